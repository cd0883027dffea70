//! What forecasts by the histories of whole machines would have been worth: the first reading of each line at a visit, forecast
//! from all that was known before that visit.
//!
//! Errors are of natural logarithms, which for small ones are fractions of the portion.

use crate::joint::{Behaviour, Reading, Said};
use crate::past::{Happened, Past, Visit};

use super::{Forecast, Scored, Way, score};

/// Machines of fewer visits than this are left out.
pub const FEWEST: usize = 8;

/// The machines of one family, and how they behave.
#[derive(Debug, Clone)]
pub struct Family {
    /// How they behave.
    pub behaviour: Behaviour,
    /// Their pasts.
    pub pasts: Vec<Past>,
}

/// Scores each way at the second half of each machine's visits; what ways need to know of a family is taken from the first
/// halves. Empty where no machine is long enough.
#[must_use]
pub fn backtest(families: &[Family]) -> Vec<Scored> {
    let forecasts: Vec<(Way, Forecast)> = families.iter().flat_map(of_family).collect();
    if forecasts.is_empty() {
        return Vec::new();
    }
    Way::ALL.into_iter().map(|way| score(way, &forecasts)).collect()
}

/// A reading to be forecast: whether it belongs to the second half, what was read, what the line's history expected, and the
/// readings of the line before.
struct Asked {
    second: bool,
    then: f64,
    mean: f64,
    sd: f64,
    before: Vec<f64>,
}

fn of_family(family: &Family) -> Vec<(Way, Forecast)> {
    let asked: Vec<Asked> = family
        .pasts
        .iter()
        .filter(|past| past.visits.len() >= FEWEST)
        .flat_map(|past| of_machine(past, &family.behaviour))
        .collect();
    let weight = (1..=20)
        .map(|twentieth| 0.05 * f64::from(twentieth))
        .min_by(|a, b| spread(&asked, *a).total_cmp(&spread(&asked, *b)))
        .unwrap_or(1.0);
    let (last_sd, smoothed_sd) = (spread(&asked, 1.0), spread(&asked, weight));
    let mut forecasts = Vec::new();
    for one in asked.iter().filter(|one| one.second) {
        let told = |mean: f64, sd: f64| Forecast { mean, sd, then: one.then };
        forecasts.push((Way::SameAsLast, told(smoothed(&one.before, 1.0), last_sd)));
        forecasts.push((Way::Smoothed, told(smoothed(&one.before, weight), smoothed_sd)));
        forecasts.push((Way::Level, told(one.mean, one.sd)));
    }
    forecasts
}

fn of_machine(past: &Past, behaviour: &Behaviour) -> Vec<Asked> {
    let half = past.visits.len() / 2;
    let mut read: Vec<Vec<f64>> = vec![Vec::new(); past.targets.len()];
    let mut asked = Vec::new();
    let mut number = 0;
    past.run_through(
        behaviour,
        |joint, visit| {
            for (line, reading, value) in first_readings(visit) {
                let Some(before) = read.get(line).filter(|before| !before.is_empty()) else {
                    continue;
                };
                // By itself, so that what its neighbours read at this visit tells nothing yet.
                let scored = joint.clone().read(behaviour, reading);
                asked.push(Asked {
                    second: number >= half,
                    then: value,
                    mean: value - scored.surprise * scored.sd,
                    sd: scored.sd,
                    before: before.clone(),
                });
            }
            for what in &visit.happened {
                if let Happened::Read(Reading { line, said: Said::Value(value, _), .. }) = what
                    && let Some(read) = read.get_mut(*line)
                {
                    read.push(*value);
                }
            }
            number += 1;
        },
        |_, _, _, _| {},
    );
    asked
}

/// The first reading of each line at a visit, where nothing was done to that line before and it read a number.
fn first_readings(visit: &Visit) -> impl Iterator<Item = (usize, &Reading, f64)> {
    visit.happened.iter().enumerate().filter_map(|(place, what)| {
        let Happened::Read(reading @ Reading { line, said: Said::Value(value, _), .. }) = what
        else {
            return None;
        };
        let earlier = &visit.happened[..place];
        let fresh = earlier.iter().all(|what| {
            !what.touches(*line) && !matches!(what, Happened::Read(other) if other.line == *line)
        });
        fresh.then_some((*line, reading, *value))
    })
}

/// The weighted mean of readings, the latest most.
fn smoothed(read: &[f64], weight: f64) -> f64 {
    let mut read = read.iter();
    let first = read.next().copied().unwrap_or(0.0);
    read.fold(first, |mean, value| mean + weight * (value - mean))
}

/// Root mean square of what first halves read beside the weighted mean of what was read before.
fn spread(asked: &[Asked], weight: f64) -> f64 {
    let firsts = || asked.iter().filter(|one| !one.second);
    let sum: f64 = firsts().map(|one| (one.then - smoothed(&one.before, weight)).powi(2)).sum();
    (sum / f64::max(firsts().count() as f64, 1.0)).sqrt().max(1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One line that is read weekly: these logs.
    fn past(values: &[f64]) -> Past {
        let visit = |(week, value): (usize, &f64)| Visit {
            at: week as f64,
            happened: vec![Happened::Read(Reading {
                line: 0,
                said: Said::Value(*value, 0.02 * 0.02),
                measure: None,
                person: None,
            })],
        };
        Past { targets: vec![0.0], visits: values.iter().enumerate().map(visit).collect() }
    }

    // Readings that only scatter: the last one is the worst guess at the next, by the square root of two.
    #[test]
    fn a_level_beats_the_last_reading_where_readings_only_scatter() {
        let values: Vec<f64> =
            (0..60_u32).map(|i| 0.02 * (f64::from(i * 37 % 23) / 11.0 - 1.0)).collect();
        let family = Family { behaviour: Behaviour::default(), pasts: vec![past(&values)] };
        let scores = backtest(&[family]);
        let of = |way: Way| scores.iter().find(|scored| scored.way == way).unwrap();
        assert_eq!(of(Way::Level).coverage.of, 30);
        assert!(of(Way::Level).error < 0.9 * of(Way::SameAsLast).error, "{scores:?}");
        assert!(of(Way::Level).crps < of(Way::SameAsLast).crps, "{scores:?}");
    }

    #[test]
    fn what_is_too_short_is_left_out_and_what_was_touched_first_is_not_asked() {
        assert_eq!(
            backtest(&[Family { behaviour: Behaviour::default(), pasts: vec![past(&[0.0; 7])] }]),
            []
        );
        let mut touched = past(&[0.0; 12]);
        for visit in &mut touched.visits {
            visit.happened.insert(0, Happened::Cleaned(0));
        }
        let family = Family { behaviour: Behaviour::default(), pasts: vec![touched] };
        assert_eq!(backtest(&[family]), []);
    }
}
