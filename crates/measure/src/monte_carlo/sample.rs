//! What a set of drawn results says. JCGM 101:2008, 7.5 to 7.7.

/// Drawn results in rising order.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    sorted: Vec<f64>,
}

/// An interval that holds the result with a stated probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Sample {
    /// Takes finite results in any order; at least one.
    pub(super) fn new(mut values: Vec<f64>) -> Self {
        values.sort_unstable_by(f64::total_cmp);
        Self { sorted: values }
    }

    /// The results, rising.
    pub fn sorted(&self) -> &[f64] {
        &self.sorted
    }

    /// Their mean (7.6).
    pub fn mean(&self) -> f64 {
        crate::uncertainty::type_a::mean(&self.sorted)
    }

    /// Their standard deviation, divisor M − 1, in two passes (7.6, note on cancellation).
    pub fn standard_uncertainty(&self) -> f64 {
        spread(&self.sorted)
    }

    /// The share of results from `low` to `high`, both counted.
    pub fn share_within(&self, low: f64, high: f64) -> f64 {
        let below = self.sorted.partition_point(|&value| value < low);
        let upto = self.sorted.partition_point(|&value| value <= high);
        upto.saturating_sub(below) as f64 / self.sorted.len() as f64
    }

    /// The interval with as much probability below it as above (7.7.1, 7.7.2).
    pub fn symmetric(&self, p: f64) -> Interval {
        let span = covered(self.sorted.len(), p);
        let left_out = self.sorted.len() - span;
        // r = (M − q) / 2, or half more and truncated, counted from one.
        let first = left_out.div_ceil(2).max(1) - 1;
        self.interval(first, span)
    }

    /// The shortest interval (7.7.4): the one to take where the results lean to one side.
    pub fn shortest(&self, p: f64) -> Interval {
        let span = covered(self.sorted.len(), p);
        let last = self.sorted.len() - 1 - span.min(self.sorted.len() - 1);
        let first = (0..=last)
            .min_by(|&a, &b| {
                let width = |first: usize| {
                    self.sorted[first + span.min(self.sorted.len() - 1)] - self.sorted[first]
                };
                width(a).total_cmp(&width(b))
            })
            .unwrap_or(0);
        self.interval(first, span)
    }

    fn interval(&self, first: usize, span: usize) -> Interval {
        let end = (first + span).min(self.sorted.len() - 1);
        Interval { low: self.sorted[first.min(end)], high: self.sorted[end] }
    }
}

/// How many of `count` results an interval of probability `p` spans: q = pM, or ⌊pM + ½⌋ (7.7.2).
pub(super) fn covered(count: usize, p: f64) -> usize {
    libm::floor(p * count as f64 + 0.5) as usize
}

/// Standard deviation with divisor n − 1, in two passes; zero below two values.
pub(super) fn spread(values: &[f64]) -> f64 {
    crate::uncertainty::type_a::repeated(values).map_or(0.0, |repeated| repeated.standard_deviation)
}
