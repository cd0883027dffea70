//! The charts of one line: its readings as found, off their target, by all three charts at once.

use std::sync::LazyLock;

use super::{Course, Cusum, Ewma, EwmaLimits, Individuals, d2, d4_upper, pair_run_length};

/// Fewer pairs of neighbouring readings say nothing of use about how far apart neighbours are.
pub const FEWEST_PAIRS: usize = 20;

/// The weighted average: the newest reading counts a fifth.
pub const AVERAGE: Ewma = Ewma { weight: 0.2, width: 2.86, limits: EwmaLimits::Exact };

/// The sums: half a standard deviation is let pass, five are the limit.
pub const SUMS: Cusum = Cusum { slack: 0.5, limit: 5.0, head_start: 0.0 };

/// A reading as found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// How far off its target, as a fraction.
    pub off: f64,
    /// Whether the line was adjusted or given a part since the reading before it: the mean, the averages and the sums begin
    /// anew, and it has no range.
    pub anew: bool,
}

/// Pairs of neighbouring readings between which nothing was done to the line: how far apart they are.
pub fn ranges(readings: &[Found]) -> impl Iterator<Item = f64> {
    let pairs = readings.windows(2).filter(|two| !two[1].anew);
    pairs.map(|two| (two[1].off - two[0].off).abs())
}

/// A reading on all charts. Averages and sums are about the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charted {
    /// The reading.
    pub found: Found,
    /// The lower limit of single readings.
    pub low: f64,
    /// The upper limit of single readings.
    pub high: f64,
    /// Whether it is beyond its limits.
    pub single_out: bool,
    /// How far it is from the reading before it; nothing where the line was touched between.
    pub range: Option<f64>,
    /// Whether that is beyond its limit.
    pub range_out: bool,
    /// The weighted average, as a fraction off the target.
    pub average: f64,
    /// Its limits, above and below the target.
    pub average_limit: f64,
    /// Whether it is beyond them.
    pub average_out: bool,
    /// The sum of what is above the target, in standard deviations of one reading.
    pub above: f64,
    /// The sum of what is below it.
    pub below: f64,
    /// Whether one of them is past the limit.
    pub sum_out: bool,
}

/// The charts of one line. All but the sums are fractions of the target.
#[derive(Debug, Clone, PartialEq)]
pub struct Charts {
    /// The mean of its readings since it was last touched, and the limits of single ones and of ranges.
    pub single: Individuals,
    /// Its readings in order.
    pub readings: Vec<Charted>,
}

/// The charts of a line's readings in the order in which they were taken, where neighbours are so far apart as `ranges` says:
/// its own, or those of all lines of its machine. Nothing without readings, for fewer than [`FEWEST_PAIRS`], or where
/// neighbours do not differ.
#[must_use]
pub fn chart_line(readings: &[Found], ranges: &[f64]) -> Option<Charts> {
    if readings.is_empty() || ranges.len() < FEWEST_PAIRS {
        return None;
    }
    let mut charted: Vec<Charted> = Vec::with_capacity(readings.len());
    let mut latest = None;
    for part in parts(readings) {
        let offs: Vec<f64> = part.iter().map(|found| found.off).collect();
        // What was before it was touched says nothing of where its readings lie since.
        let single = Individuals::about(offs.iter().sum::<f64>() / offs.len() as f64, ranges)?;
        let sd = single.sd();
        if !(sd > 0.0 && sd.is_finite()) {
            return None;
        }
        let averages = AVERAGE.run(0.0, sd, &offs);
        let sums = SUMS.run(0.0, sd, &offs);
        for ((found, average), sum) in part.iter().zip(averages).zip(sums) {
            let before = charted.last().filter(|_| !found.anew);
            let range = before.map(|before| (found.off - before.found.off).abs());
            charted.push(Charted {
                found: *found,
                low: single.low,
                high: single.high,
                single_out: found.off < single.low || found.off > single.high,
                range,
                range_out: range.is_some_and(|range| range > single.range_high),
                average: average.average,
                average_limit: average.high,
                average_out: average.out,
                above: sum.above,
                below: sum.below,
                sum_out: sum.out,
            });
        }
        latest = Some(single);
    }
    Some(Charts { single: latest?, readings: charted })
}

/// The readings cut where the line was touched.
fn parts(readings: &[Found]) -> impl Iterator<Item = &[Found]> {
    readings.chunk_by(|_, next| !next.anew)
}

/// How many readings a chart takes on average until it signals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patience {
    /// While nothing is wrong.
    pub quiet: f64,
    /// After the line has moved off by one standard deviation of a reading.
    pub moved: f64,
}

/// Of single readings with their ranges, of the weighted average, and of the sums, where readings do not depend on each other.
#[must_use]
pub fn patience() -> [Patience; 3] {
    static KNOWN: LazyLock<[Patience; 3]> = LazyLock::new(|| {
        let both = |run: &dyn Fn(f64) -> f64| Patience { quiet: run(0.0), moved: run(1.0) };
        [
            both(&|shift| pair_run_length(3.0, d4_upper(2) * d2(2), shift)),
            both(&|shift| AVERAGE.average_run_length(Course::steady(shift))),
            both(&|shift| SUMS.average_run_length(shift)),
        ]
    });
    *KNOWN
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(offs: &[f64]) -> Vec<Found> {
        offs.iter().map(|off| Found { off: *off, anew: false }).collect()
    }

    /// NIST/SEMATECH e-Handbook 6.3.2.3: the same readings, in their standard deviation of 0.635, by which k and h are stated
    /// there; the charts are held to that scale by ranges of it.
    #[test]
    fn sums_are_those_of_the_handbook() {
        let readings = [
            324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225,
            324.600, 324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775,
            326.875, 328.350,
        ];
        let offs: Vec<f64> = readings.iter().map(|r| r - 325.0).collect();
        let sd = 0.635;
        let charts = chart_line(&found(&offs), &[sd * d2(2); 20]).unwrap();
        let above: Vec<f64> = charts.readings.iter().map(|r| r.above * sd).collect();
        for (got, want) in above[12..].iter().zip([3.0075, 4.94, 7.4475, 10.63, 11.9875]) {
            assert!((got - want).abs() < 1e-9, "{got} {want}");
        }
        // Its h is 4.1959; ours is 5 standard deviations, 3.175.
        let first = charts.readings.iter().position(|r| r.sum_out);
        assert_eq!(first, Some(13));
    }

    /// NIST/SEMATECH e-Handbook 6.3.2.2 (individuals): mean, limits and the limit of ranges, as fractions of 50.
    #[test]
    fn single_readings_are_those_of_the_handbook() {
        let offs = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
        let readings = found(&offs.map(|r| r / 50.0 - 1.0));
        let own: Vec<f64> = ranges(&readings).collect();
        // Nine ranges are too few; three times the same are enough, and say the same.
        assert_eq!(chart_line(&readings, &own), None);
        let charts = chart_line(&readings, &own.repeat(3)).unwrap();
        let near = |got: f64, want: f64| assert!((got - want).abs() < 2e-3, "{got} {want}");
        near(50.0 * (1.0 + charts.single.mean), 50.81);
        near(50.0 * (1.0 + charts.single.high), 55.8041);
        near(50.0 * (1.0 + charts.single.low), 45.8159);
        near(50.0 * charts.single.range_high, 6.1347);
        assert!(charts.readings.iter().all(|r| !r.single_out && !r.range_out));
    }

    #[test]
    fn a_line_that_was_touched_begins_anew() {
        let mut readings = found(&[0.0, 0.08, 0.08, 0.08, 0.08, 0.08, 0.0, 0.0]);
        readings[6].anew = true;
        let charts = chart_line(&readings, &[0.02; 20]).unwrap();
        assert!(charts.readings[5].sum_out && charts.readings[5].average_out);
        let after = charts.readings[6];
        assert_eq!((after.range, after.average, after.above), (None, 0.0, 0.0));
        assert!(!after.sum_out && !after.average_out);
        assert_eq!(ranges(&readings).count(), 6);
        // The first limits of the average are those of one reading: a fifth of 2.86 standard deviations.
        let sd = 0.02 / d2(2);
        assert!((charts.readings[0].average_limit - 0.2 * 2.86 * sd).abs() < 1e-12);
    }

    #[test]
    fn each_part_is_held_to_its_own_mean() {
        let about = |mean: f64| (0..15).map(move |week| mean + 0.005 * f64::from(week % 3 - 1));
        let offs: Vec<f64> = about(0.08).chain(about(0.0)).collect();
        let mut readings = found(&offs);
        readings[15].anew = true;
        let charts = chart_line(&readings, &[0.01; 20]).unwrap();
        assert!(charts.readings.iter().all(|reading| !reading.single_out));
        assert!(charts.single.mean.abs() < 1e-9, "{:?}", charts.single);
        assert!(charts.readings[14].low > charts.readings[15].high);
    }

    #[test]
    fn what_says_nothing_is_not_charted() {
        assert_eq!(chart_line(&[], &[0.02; 20]), None);
        assert_eq!(chart_line(&found(&[0.1]), &[0.02; 19]), None);
        assert_eq!(chart_line(&found(&[0.1]), &[0.0; 20]), None, "a cup that always says the same");
        assert_eq!(chart_line(&found(&[f64::NAN]), &[0.02; 20]), None);
    }

    /// Crowder 1987 for the pair at textbook limits; Knoth 2003 for the average with exact limits; Lucas and Crosier 1982.
    #[test]
    fn how_patient_the_charts_are() {
        let [single, average, sums] = patience();
        let near = |got: f64, want: f64, within: f64| assert!((got - want).abs() < within, "{got}");
        near(single.quiet, 105.3, 0.05);
        near(average.quiet, 365.856, 1e-2);
        near(average.moved, 8.795, 1e-2);
        near(sums.quiet, 465.4435, 1e-2);
        near(sums.moved, 10.3760, 1e-3);
    }
}
