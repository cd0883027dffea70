//! A curve through points that keeps their order: cubic, without over- or undershoot (Fritsch and Carlson, 1980).

/// The curve.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Pchip {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Pchip {
    /// Through at least two points, whose abscissae rise.
    pub(crate) fn new(x: Vec<f64>, y: Vec<f64>) -> Pchip {
        debug_assert!(x.len() == y.len() && x.len() > 1 && x.is_sorted());
        let last = x.len() - 1;
        let secant = |at: usize| (y[at + 1] - y[at]) / (x[at + 1] - x[at]);
        // The weighted harmonic mean of the two secants, or none where they differ in sign.
        let inside = |at: usize| {
            let (before, after) = (secant(at - 1), secant(at));
            if before * after <= 0.0 {
                return 0.0;
            }
            let (left, right) = (x[at] - x[at - 1], x[at + 1] - x[at]);
            let (w1, w2) = (2.0 * right + left, right + 2.0 * left);
            (w1 + w2) / (w1 / before + w2 / after)
        };
        let slope = (0..=last).map(|at| match at {
            0 => secant(0),
            at if at == last => secant(last - 1),
            at => inside(at),
        });
        Pchip { slope: slope.collect(), x, y }
    }

    /// The value at `x`; beyond the ends the straight line goes on.
    pub(crate) fn at(&self, x: f64) -> f64 {
        let last = self.x.len() - 1;
        for (end, beyond) in [(0, x < self.x[0]), (last, x > self.x[last])] {
            if beyond {
                return self.y[end] + self.slope[end] * (x - self.x[end]);
            }
        }
        let from = self.x.partition_point(|point| *point <= x).clamp(1, last) - 1;
        self.between(from, (x - self.x[from]) / (self.x[from + 1] - self.x[from]))
    }

    /// The value at a part of the way from one point to the next.
    fn between(&self, from: usize, t: f64) -> f64 {
        let width = self.x[from + 1] - self.x[from];
        let back = 1.0 - t;
        (1.0 + 2.0 * t) * back * back * self.y[from]
            + t * back * back * width * self.slope[from]
            + t * t * (3.0 - 2.0 * t) * self.y[from + 1]
            - t * t * back * width * self.slope[from + 1]
    }

    /// Where a curve that rises has this value; the nearest end beyond them.
    pub(crate) fn rising_inverse(&self, y: f64) -> f64 {
        let last = self.x.len() - 1;
        if y <= self.y[0] {
            return self.x[0];
        }
        if y >= self.y[last] {
            return self.x[last];
        }
        let from = self.y.partition_point(|point| *point <= y).clamp(1, last) - 1;
        let t = falling_root(0.0, 1.0, |t| y - self.between(from, t));
        self.x[from] + t * (self.x[from + 1] - self.x[from])
    }
}

/// Where a function that falls comes to zero between two ends, by false position in its Illinois form.
pub(crate) fn falling_root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut at_low, mut at_high) = (f(low), f(high));
    if at_low <= 0.0 {
        return low;
    }
    if at_high >= 0.0 {
        return high;
    }
    let mut side = 0.0;
    for _ in 0..200 {
        let secant = high - at_high * (high - low) / (at_high - at_low);
        let middle = if secant > low && secant < high { secant } else { 0.5 * (low + high) };
        let value = f(middle);
        if value == 0.0 || high - low <= 1e-13 * high.abs() {
            return middle;
        }
        if value > 0.0 {
            (low, at_low) = (middle, value);
            at_high *= if side > 0.0 { 0.5 } else { 1.0 };
        } else {
            (high, at_high) = (middle, value);
            at_low *= if side < 0.0 { 0.5 } else { 1.0 };
        }
        side = value;
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::{Pchip, falling_root};

    #[test]
    fn a_curve_goes_through_its_points_and_back() {
        let x: Vec<f64> = (0..8).map(f64::from).collect();
        let y: Vec<f64> = x.iter().map(|x| libm::exp(0.4 * x)).collect();
        let curve = Pchip::new(x.clone(), y.clone());
        for (x, y) in x.iter().zip(&y) {
            assert!(
                (curve.at(*x) - y).abs() < 1e-12 && (curve.rising_inverse(*y) - x).abs() < 1e-9
            );
        }
        for x in [0.2, 1.7, 5.5, 6.99] {
            assert!((curve.at(x) / libm::exp(0.4 * x) - 1.0).abs() < 0.02, "{x}");
            assert!((curve.rising_inverse(curve.at(x)) - x).abs() < 1e-9, "{x}");
        }
        assert_eq!((curve.rising_inverse(0.0), curve.rising_inverse(1e9)), (0.0, 7.0));
    }

    #[test]
    fn a_step_is_not_overshot() {
        let curve = Pchip::new(vec![0.0, 1.0, 2.0, 3.0], vec![0.0, 0.0, 1.0, 1.0]);
        for at in 0..=300 {
            let value = curve.at(0.01 * f64::from(at));
            assert!((0.0..=1.0).contains(&value), "{at}: {value}");
        }
    }

    #[test]
    fn a_root_is_found() {
        let root = falling_root(0.0, 10.0, |x| 2.0 - x * x * x);
        assert!((root - 2.0_f64.cbrt()).abs() < 1e-10, "{root}");
        assert_eq!(falling_root(3.0, 4.0, |x| -x), 3.0);
    }
}
