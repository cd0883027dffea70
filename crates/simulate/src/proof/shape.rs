//! How chance is shaped: bell, heavy tails, or leaning to one side.

use crate::chance::Chance;

/// The shape of a noise; its mean is zero and its standard deviation what is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Normal.
    Bell,
    /// Student's t with five degrees of freedom: far values are common (kurtosis 9).
    Heavy,
    /// An exponential less its mean: far values lie on one side (skewness 2).
    Leaning,
}

impl Shape {
    /// Draws one.
    pub(crate) fn draw(self, sd: f64, chance: &mut Chance) -> f64 {
        match self {
            Self::Bell => chance.normal(sd),
            Self::Heavy => {
                let squares: f64 = (0..5).map(|_| chance.normal(1.0)).map(|z| z * z).sum();
                // t = z / √(χ²/5) has variance 5/3; so √(3/5) t = z √(3/χ²) has variance 1.
                chance.normal(sd) * (3.0 / squares.max(1e-9)).sqrt()
            }
            // A Weibull of shape 1 is an exponential.
            Self::Leaning => sd * (chance.weibull(1.0, 1.0) - 1.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Moments by formula: skewness 0, 0, 2; kurtosis of t with ν = 5 is 3 + 6/(ν−4) = 9, whose
    // sample value is too wild to test, so its share beyond 4 sd stands for it: 4/√(3/5) = 5.164 on
    // t₅, two-sided 0.00357 (quadrature of its density); of a normal 0.0000633.
    #[test]
    fn shapes_have_their_moments() {
        let mut chance = Chance::new(4, "shapes");
        let n = 200_000;
        let mut moments = |shape: Shape| {
            let values: Vec<f64> = (0..n).map(|_| shape.draw(2.0, &mut chance)).collect();
            let mean =
                |f: &dyn Fn(f64) -> f64| values.iter().map(|x| f(*x)).sum::<f64>() / n as f64;
            let (m, v) = (mean(&|x| x), mean(&|x| x * x));
            (m, v.sqrt(), mean(&|x| x * x * x) / v.powf(1.5), mean(&|x| f64::from(x.abs() > 8.0)))
        };
        let (mean, sd, skew, far) = moments(Shape::Bell);
        assert!(mean.abs() < 0.02 && (sd - 2.0).abs() < 0.02 && skew.abs() < 0.05, "{mean} {sd}");
        assert!(far < 0.0002, "{far}");
        let (mean, sd, _, far) = moments(Shape::Heavy);
        assert!(mean.abs() < 0.02 && (sd - 2.0).abs() < 0.1, "{mean} {sd}");
        assert!((far - 0.00357).abs() < 0.0006, "{far}");
        let (mean, sd, skew, _) = moments(Shape::Leaning);
        assert!(mean.abs() < 0.02 && (sd - 2.0).abs() < 0.05, "{mean} {sd}");
        assert!((skew - 2.0).abs() < 0.2, "{skew}");
    }
}
