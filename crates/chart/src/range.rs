//! The upright axis: from which portion to which, and its ticks.

/// Beyond these a number is a slip, and is not drawn.
const LARGEST: f64 = 1e9;

/// How many tolerances from the target an axis reaches at most: what lies beyond is drawn at its edge, with its number,
/// so that one fault does not make the whole year flat.
const FARTHEST: f64 = 6.0;

/// A linear axis on which larger values are higher.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// Where `high` is.
    pub(crate) top: f64,
    /// Where `low` is.
    pub(crate) bottom: f64,
}

/// Whether a value can be drawn.
pub(crate) fn drawable(value: f64) -> bool {
    value.is_finite() && value.abs() <= LARGEST
}

impl Range {
    /// The ends of an axis for values with their doubts, around targets with their tolerances (as amounts).
    pub(crate) fn around(
        targets: &[(f64, f64)],
        values: impl Iterator<Item = (f64, f64)>,
    ) -> (f64, f64) {
        let reach = |times: f64| {
            let ends = targets.iter().map(|&(target, tolerance)| {
                let tolerance = tolerance.max(target.abs() / 200.0);
                (target - times * tolerance, target + times * tolerance)
            });
            ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        };
        let all = |(low, high): (f64, f64), (from, to): (f64, f64)| (low.min(from), high.max(to));
        let (most, least) = reach(FARTHEST)
            .zip(reach(2.0))
            .unwrap_or(((-LARGEST, LARGEST), (f64::INFINITY, f64::NEG_INFINITY)));
        let (low, high) = values
            .filter(|(value, _)| (most.0..=most.1).contains(value))
            .map(|(value, doubt)| ((value - doubt).max(most.0), (value + doubt).min(most.1)))
            .fold(least, all);
        if low > high {
            return (0.0, 1.0);
        }
        let pad = (0.04 * (high - low)).max(low.abs().max(high.abs()) * 1e-3).max(1e-6);
        // No amount is less than nothing.
        let floor = if low >= 0.0 { 0.0 } else { f64::NEG_INFINITY };
        ((low - pad).max(floor), high + pad)
    }

    /// Where a value is drawn; beyond the ends, at the ends.
    pub(crate) fn y(&self, value: f64) -> f64 {
        let part = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.bottom - part * (self.bottom - self.top)
    }

    /// Whether a value lies on the axis.
    pub(crate) fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// About so many round values, and how many decimals they need.
    pub(crate) fn ticks(&self, about: f64) -> (Vec<f64>, usize) {
        let rough = (self.high - self.low) / about.max(1.0);
        let power = 10f64.powf(rough.log10().floor());
        let step =
            [1.0, 2.0, 5.0, 10.0].map(|s| s * power).into_iter().find(|s| *s >= rough * 0.999);
        let step = step.unwrap_or(10.0 * power);
        if !step.is_finite() || step <= 0.0 {
            return (Vec::new(), 0);
        }
        let first = (self.low / step).ceil();
        let ticks = (0..20).map(|k| (first + f64::from(k)) * step).take_while(|t| *t <= self.high);
        let decimals = (-step.log10() - 1e-9).ceil().clamp(0.0, 9.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 9")]
        (ticks.collect(), decimals as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axis(low: f64, high: f64) -> Range {
        Range { low, high, top: 0.0, bottom: 100.0 }
    }

    #[test]
    fn ticks_are_round() {
        assert_eq!(axis(26.8, 33.4).ticks(4.0), (vec![28.0, 30.0, 32.0], 0));
        assert_eq!(axis(0.93, 1.08).ticks(4.0).1, 2);
        assert!(axis(1e9, 1e9).ticks(4.0).0.len() <= 20);
    }

    #[test]
    fn the_axis_holds_the_tolerance_and_the_values_but_no_fault() {
        let (low, high) = Range::around(&[(30.0, 1.5)], [(29.0, 0.5), (34.0, 0.2)].into_iter());
        assert!(low < 27.0 && high > 34.0 && high < 35.0, "{low} {high}");
        let fault = Range::around(&[(30.0, 1.5)], [(0.0, 0.1)].into_iter());
        assert_eq!(fault, Range::around(&[(30.0, 1.5)], [].into_iter()));
        assert_eq!(Range::around(&[], [].into_iter()), (0.0, 1.0));
    }
}
