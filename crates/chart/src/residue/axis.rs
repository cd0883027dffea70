//! The axes of a residue: decades of a share, and seconds or minutes.

/// The least share that an axis reaches down to.
const LEAST: f64 = -6.0;

/// The logarithm of the lower end of an axis from 100 % down, and its decades: to 0.1 % or as far as what is wanted lies, and
/// some way below it.
pub(super) fn decades(wanted: Option<f64>) -> (f64, Vec<f64>) {
    let low = wanted.map_or(-3.0, |share| (share.log10() - 0.3).floor());
    let low = low.clamp(LEAST, -3.0);
    #[expect(clippy::cast_possible_truncation, reason = "3 to 6")]
    let steps = -low as i32;
    (low, (0..=steps).map(|step| 10f64.powi(-step)).collect())
}

/// The level axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Times {
    until: f64,
    left: f64,
    right: f64,
}

/// Steps of a second, a minute, an hour and a day that people count by.
const STEPS: [f64; 20] = [
    0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0,
    7200.0, 21_600.0, 43_200.0, 86_400.0, 259_200.0,
];

/// The least room for a time.
const ROOM: f64 = 58.0;

impl Times {
    pub(super) fn up_to(until: f64, left: f64, right: f64) -> Self {
        Self { until, left, right: right.max(left + 1.0) }
    }

    /// Where a time is drawn; beyond the ends, at the ends.
    pub(super) fn x(&self, at: f64) -> f64 {
        let part = if at.is_finite() { (at / self.until).clamp(0.0, 1.0) } else { 0.0 };
        self.left + part * (self.right - self.left)
    }

    /// Round times with their words.
    pub(super) fn ticks(&self) -> Vec<(f64, String)> {
        let most = ((self.right - self.left) / ROOM).floor().max(1.0);
        let step = STEPS.into_iter().find(|step| self.until / step <= most);
        let step = step.unwrap_or(self.until / most);
        let ticks = (0..=40).map(|k| f64::from(k) * step).take_while(|at| *at <= self.until);
        ticks.map(|at| (at, said(at, step))).collect()
    }
}

/// A round time: `0`, `20 s`, `1 min`, `2 h`.
fn said(at: f64, step: f64) -> String {
    if at == 0.0 {
        return "0".to_owned();
    }
    let whole_minutes = at >= 60.0 && at % 60.0 == 0.0;
    let (unit, seconds) = match step {
        ..60.0 if !whole_minutes => ("s", 1.0),
        ..3600.0 => ("min", 60.0),
        _ => ("h", 3600.0),
    };
    format!("{} {unit}", crate::number::plain(at / seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_goes_to_a_tenth_of_a_percent_or_below_what_is_wanted() {
        assert_eq!(decades(Some(0.01)), (-3.0, vec![1.0, 0.1, 0.01, 0.001]));
        assert_eq!(decades(Some(0.001)).0, -4.0);
        assert_eq!(decades(Some(0.0015)).0, -4.0);
        assert_eq!(decades(Some(1e-9)).0, -6.0);
        assert_eq!(decades(None).0, -3.0);
    }

    #[test]
    fn times_are_round_and_have_room() {
        let words = |until, right| {
            let ticks = Times::up_to(until, 0.0, right).ticks();
            ticks.into_iter().map(|(_, words)| words).collect::<Vec<_>>()
        };
        assert_eq!(words(105.0, 250.0), ["0", "30 s", "1 min", "90 s"]);
        assert_eq!(words(700.0, 250.0), ["0", "5 min", "10 min"]);
        assert_eq!(
            words(9000.0, 600.0),
            [
                "0", "15 min", "30 min", "45 min", "60 min", "75 min", "90 min", "105 min",
                "120 min", "135 min", "150 min"
            ]
        );
        assert!(words(1e6, 100.0).len() <= 3);
    }
}
