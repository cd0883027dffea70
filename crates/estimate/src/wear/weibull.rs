//! Weibull's distribution fitted by maximum likelihood to lives of which some are not over and some were watched late.

use ouncewise_measure::special::{chi_squared_quantile, normal_quantile};

use super::{Life, WearError, checked};
use crate::numeric::{lowest, root};

/// A fitted distribution: the share (age / scale)^shape of it is the cumulative hazard at an age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    /// Shape β: under 1 parts fail less the older they are, 1 by chance alone, above 1 they wear.
    pub shape: f64,
    /// Scale η: the age that 36.8 % survive, in the unit of the lives.
    pub scale: f64,
    /// Logarithm of the likelihood at its greatest.
    pub log_likelihood: f64,
    /// Variances of ln η and ln β, and their covariance, by the observed information.
    covariance: [f64; 3],
}

/// Shapes that are looked through.
const SHAPES: (f64, f64) = (0.02, 200.0);

/// Sums over lives, with ages in units of the greatest one so that no power overflows.
struct Sums<'a> {
    lives: &'a [Life],
    unit: f64,
    failures: f64,
    logs: f64,
}

impl<'a> Sums<'a> {
    fn of(lives: &'a [Life]) -> Self {
        let unit = lives.iter().fold(0.0, |most: f64, l| most.max(l.to));
        let failed = || lives.iter().filter(|l| l.failed);
        let logs = failed().map(|l| libm::log(l.to / unit)).sum();
        Self { lives, unit, failures: failed().count() as f64, logs }
    }

    /// Σ of age^β watched: that at the end less that at the start.
    fn powers(&self, shape: f64) -> f64 {
        let power = |age: f64| if age > 0.0 { libm::pow(age / self.unit, shape) } else { 0.0 };
        self.lives.iter().map(|l| power(l.to) - power(l.from)).sum()
    }

    /// Logarithm of the likelihood of a shape and the logarithm of a scale (in units).
    fn at(&self, shape: f64, log_scale: f64) -> f64 {
        self.failures * (libm::log(shape) - shape * log_scale)
            + (shape - 1.0) * self.logs
            + -libm::exp(-shape * log_scale) * self.powers(shape)
            - self.failures * libm::log(self.unit)
    }

    /// The likeliest scale of a shape, as a logarithm in units.
    fn log_scale(&self, shape: f64) -> f64 {
        libm::log(self.powers(shape) / self.failures) / shape
    }

    /// The greatest likelihood of a shape.
    fn profile(&self, shape: f64) -> f64 {
        self.at(shape, self.log_scale(shape))
    }

    /// Second derivatives of minus the log-likelihood in ln η and ln β.
    fn information(&self, shape: f64, log_scale: f64) -> [f64; 3] {
        let w = |age: f64| shape * (libm::log(age / self.unit) - log_scale);
        let mut sums = [0.0; 3];
        for life in self.lives {
            let mut add = |age: f64, sign: f64| {
                let (w, e) = (w(age), sign * libm::exp(w(age)));
                sums[0] += shape * shape * e;
                sums[1] -= shape * e * (w + 1.0);
                sums[2] += e * (w * w + w);
            };
            add(life.to, 1.0);
            if life.from > 0.0 {
                add(life.from, -1.0);
            }
            if life.failed {
                sums[1] += shape;
                sums[2] -= w(life.to);
            }
        }
        sums
    }
}

impl Weibull {
    /// The likeliest shape and scale.
    ///
    /// # Errors
    /// If a life does not end after it was first watched, if none failed, or if the failures do not tell a shape.
    pub fn fit(lives: &[Life]) -> Result<Self, WearError> {
        checked(lives)?;
        let sums = Sums::of(lives);
        if sums.failures == 0.0 {
            return Err(WearError::NoFailure);
        }
        // With parts watched late there may be more than one hill: the highest of a grid, then closer.
        let (low, high) = (libm::log(SHAPES.0), libm::log(SHAPES.1));
        let height = |log_shape: f64| sums.profile(libm::exp(log_shape));
        const LOOKS: u32 = 120;
        let look = |n: u32| low + (high - low) * f64::from(n) / f64::from(LOOKS);
        let best = (0..=LOOKS)
            .max_by(|a, b| height(look(*a)).total_cmp(&height(look(*b))))
            .filter(|n| (1..LOOKS).contains(n))
            .ok_or(WearError::NoSpread)?;
        let near = lowest(look(best - 1), look(best + 1), |x| -height(x));
        // A valley of a function is found to half the digits only: the rest by Newton's steps.
        let (mut log_shape, mut log_scale) = (near, sums.log_scale(libm::exp(near)));
        for _ in 0..50 {
            let shape = libm::exp(log_shape);
            let [aa, ab, bb] = sums.information(shape, log_scale);
            // At the likeliest scale of a shape only the slope in the shape is left.
            let slope = slope(&sums, shape, log_scale);
            let step = slope / (bb - ab * ab / aa);
            log_shape += step.clamp(-0.1, 0.1);
            log_scale = sums.log_scale(libm::exp(log_shape));
            if step.is_nan() || step.abs() < 1e-15 {
                break;
            }
        }
        let shape = libm::exp(log_shape);
        let [aa, ab, bb] = sums.information(shape, log_scale);
        let determinant = aa * bb - ab * ab;
        if determinant.is_nan() || determinant <= 0.0 {
            return Err(WearError::NoSpread);
        }
        Ok(Self {
            shape,
            scale: libm::exp(log_scale) * sums.unit,
            log_likelihood: sums.at(shape, log_scale),
            covariance: [bb / determinant, aa / determinant, -ab / determinant],
        })
    }

    /// The mean life, in the unit of the lives.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.scale * libm::tgamma(1.0 + 1.0 / self.shape)
    }

    /// Standard deviation of lives.
    #[must_use]
    pub fn sd(&self) -> f64 {
        let mean = self.mean();
        (self.scale * self.scale * libm::tgamma(1.0 + 2.0 / self.shape) - mean * mean).sqrt()
    }

    /// The share that survives an age.
    #[must_use]
    pub fn surviving(&self, age: f64) -> f64 {
        libm::exp(-libm::pow(age.max(0.0) / self.scale, self.shape))
    }

    /// Probability that a part of an age fails within a further time.
    #[must_use]
    pub fn fails_within(&self, age: f64, time: f64) -> f64 {
        let hazard = |age: f64| libm::pow(age.max(0.0) / self.scale, self.shape);
        -libm::expm1(hazard(age) - hazard(age + time.max(0.0)))
    }

    /// The age by which a share has failed: 0.1 gives what is called B10.
    #[must_use]
    pub fn age_of(&self, share: f64) -> f64 {
        self.scale * libm::pow(-libm::log1p(-share), 1.0 / self.shape)
    }

    /// Akaike's criterion: to compare with another distribution on the same lives.
    #[must_use]
    pub fn aic(&self) -> f64 {
        4.0 - 2.0 * self.log_likelihood
    }

    /// Standard errors of scale and shape, by the observed information.
    #[must_use]
    pub fn errors(&self) -> (f64, f64) {
        (self.scale * self.covariance[0].sqrt(), self.shape * self.covariance[1].sqrt())
    }

    /// Wald's interval of the shape on the scale of its logarithm, with a confidence (0.95).
    #[must_use]
    pub fn shape_between(&self, confidence: f64) -> (f64, f64) {
        around(self.shape, self.covariance[1], confidence)
    }

    /// Wald's interval of the age by which a share has failed, on the scale of its logarithm. The scale itself is that of the
    /// share 1 − 1/e.
    #[must_use]
    pub fn age_between(&self, share: f64, confidence: f64) -> (f64, f64) {
        let bend = -libm::log(-libm::log1p(-share)) / self.shape;
        let [aa, bb, ab] = self.covariance;
        around(self.age_of(share), aa + bend * bend * bb + 2.0 * bend * ab, confidence)
    }

    /// The interval of shapes that the lives do not speak against (profile likelihood): better than Wald's where few failed.
    /// `lives` are those of the fit. An end that is not to be found is 0 or infinite.
    #[must_use]
    pub fn shape_profile(&self, lives: &[Life], confidence: f64) -> (f64, f64) {
        let sums = Sums::of(lives);
        let floor = self.floor(confidence);
        let miss = |log_shape: f64| sums.profile(libm::exp(log_shape)) - floor;
        let best = libm::log(self.shape);
        let end = |end: f64| (miss(end) < 0.0).then(|| libm::exp(root(end, best, miss)));
        (end(libm::log(SHAPES.0)).unwrap_or(0.0), end(libm::log(SHAPES.1)).unwrap_or(f64::INFINITY))
    }

    /// The interval of the age by which a share has failed that the lives do not speak against (profile likelihood).
    #[must_use]
    pub fn age_profile(&self, lives: &[Life], share: f64, confidence: f64) -> (f64, f64) {
        let sums = Sums::of(lives);
        let floor = self.floor(confidence);
        let bend = libm::log(-libm::log1p(-share));
        let miss = |log_age: f64| {
            let height = |log_shape: f64| {
                let shape = libm::exp(log_shape);
                sums.at(shape, log_age - bend / shape)
            };
            let best = libm::log(self.shape);
            height(lowest(best - 3.0, best + 3.0, |x| -height(x))) - floor
        };
        let best = libm::log(self.age_of(share) / sums.unit);
        let end = |step: f64| {
            (1..=60)
                .map(|n| best + step * f64::from(n))
                .find(|end| miss(*end) < 0.0)
                .map(|end| sums.unit * libm::exp(root(end, best, miss)))
        };
        (end(-0.25).unwrap_or(0.0), end(0.25).unwrap_or(f64::INFINITY))
    }

    /// The log-likelihood that an interval of that confidence ends at.
    fn floor(&self, confidence: f64) -> f64 {
        self.log_likelihood - 0.5 * chi_squared_quantile(confidence, 1.0)
    }
}

/// Slope of the log-likelihood in ln β.
fn slope(sums: &Sums<'_>, shape: f64, log_scale: f64) -> f64 {
    let w = |age: f64| shape * (libm::log(age / sums.unit) - log_scale);
    let lost = |age: f64| if age > 0.0 { libm::exp(w(age)) * w(age) } else { 0.0 };
    let of = |l: &Life| {
        let gained = if l.failed { 1.0 + w(l.to) } else { 0.0 };
        gained - lost(l.to) + lost(l.from)
    };
    sums.lives.iter().map(of).sum()
}

/// What lies within a confidence about an estimate whose logarithm has that variance.
fn around(estimate: f64, variance: f64, confidence: f64) -> (f64, f64) {
    let factor = libm::exp(normal_quantile(0.5 + 0.5 * confidence) * variance.sqrt());
    (estimate / factor, estimate * factor)
}
