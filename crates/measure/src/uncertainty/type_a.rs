//! Standard uncertainties from repeated readings: Type A, JCGM 100:2008, 4.2.

/// What repeated readings of one thing tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeated {
    /// How many readings.
    pub count: usize,
    /// Arithmetic mean.
    pub mean: f64,
    /// Experimental standard deviation of one reading; its variance has the divisor n − 1.
    pub standard_deviation: f64,
}

impl Repeated {
    /// Standard uncertainty of the mean, s / √n. 4.2.3.
    pub fn standard_uncertainty(&self) -> f64 {
        self.standard_deviation / libm::sqrt(self.count as f64)
    }

    /// Degrees of freedom, n − 1.
    pub fn degrees_of_freedom(&self) -> f64 {
        self.count as f64 - 1.0
    }
}

/// Mean and standard deviation of readings, in two passes so that a large mean costs no digits. `None` below two readings.
pub fn repeated(readings: &[f64]) -> Option<Repeated> {
    let count = readings.len();
    if count < 2 {
        return None;
    }
    let mean = mean(readings);
    let variance = sum_of_products(readings, mean, readings, mean) / (count as f64 - 1.0);
    Some(Repeated { count, mean, standard_deviation: libm::sqrt(variance) })
}

/// Covariance of the means of two series read in pairs (5.2.3, 17). `None` below two pairs, or if the series are not of one length.
pub fn covariance_of_means(a: &[f64], b: &[f64]) -> Option<f64> {
    let count = a.len() as f64;
    (a.len() == b.len() && a.len() >= 2)
        .then(|| sum_of_products(a, mean(a), b, mean(b)) / (count * (count - 1.0)))
}

/// How uncertain a standard deviation from `count` normal readings is itself, as a fraction of it. Table E.1.
pub fn doubt_of_standard_deviation(count: usize) -> f64 {
    // E[s]/σ = √(2/(n−1)) Γ(n/2)/Γ((n−1)/2).
    let half = 0.5 * (count as f64 - 1.0);
    let mean = libm::exp(libm::lgamma(half + 0.5) - libm::lgamma(half)) / libm::sqrt(half);
    libm::sqrt(1.0 - mean * mean) / mean
}

/// The mean, with what its own rounding left out put back.
pub fn mean(readings: &[f64]) -> f64 {
    let count = readings.len() as f64;
    let rough = readings.iter().sum::<f64>() / count;
    rough + readings.iter().map(|reading| reading - rough).sum::<f64>() / count
}

/// Σ (a − ā)(b − b̄), less what the rounding of the means leaves in it.
fn sum_of_products(a: &[f64], mean_a: f64, b: &[f64], mean_b: f64) -> f64 {
    let (mut products, mut left_a, mut left_b) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        let (dx, dy) = (x - mean_a, y - mean_b);
        products += dx * dy;
        left_a += dx;
        left_b += dy;
    }
    products - left_a * left_b / a.len() as f64
}
