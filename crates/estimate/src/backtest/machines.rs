//! What forecasts by the histories of whole machines would have been worth: the first reading of each line at a visit, forecast
//! from all that was known before that visit.
//!
//! Errors are of natural logarithms, which for small ones are fractions of the portion.

use crate::joint::{Behaviour, Reading, Said};
use crate::past::{Happened, Past, Visit};

use crate::score::{Coverage, crps_normal};

use super::{Forecast, Scored, Way, counted, score};

/// Machines of fewer visits than this are left out.
pub const FEWEST: usize = 8;

/// From fewer forecasts than this no tail is fitted.
const FEW: usize = 50;

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
    line: usize,
    second: bool,
    level: Forecast,
    before: Vec<f64>,
}

/// What forecasts of one line were worth: each of a visit's first reading, by all that was known before that visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Track {
    /// How often the interval of 90 % that was drawn before held the reading.
    pub held: Coverage,
    /// Mean continuous ranked probability score, as a fraction of the portion.
    pub crps: f64,
    /// That of *same as last time*, with the spread that served it best on these very readings.
    pub same_as_last: f64,
}

/// The latest forecasts that a track record counts.
const LATEST: usize = 20;

/// Of fewer forecasts than this there is no record worth telling.
const TOLD: usize = 5;

/// The record of each line's latest forecasts, in the order of the past's lines; none where there are too few.
#[must_use]
pub fn tracks(past: &Past, behaviour: &Behaviour) -> Vec<Option<Track>> {
    let asked = of_machine(past, behaviour);
    let track = |line: usize| {
        let of_line: Vec<&Asked> = asked.iter().filter(|one| one.line == line).collect();
        let latest = &of_line[of_line.len().saturating_sub(LATEST)..];
        if latest.len() < TOLD {
            return None;
        }
        let mean = |score: &dyn Fn(&Asked) -> f64| {
            latest.iter().map(|one| score(one)).sum::<f64>() / latest.len() as f64
        };
        let off = |one: &Asked| one.level.then - smoothed(&one.before, 1.0);
        let sd = mean(&|one| off(one) * off(one)).sqrt();
        let held = latest.iter().filter(|one| one.level.held()).count();
        Some(Track {
            held: Coverage { hits: counted(held), of: counted(latest.len()) },
            crps: mean(&|one| one.level.crps()),
            same_as_last: mean(&|one| crps_normal(0.0, sd, off(one))),
        })
    };
    (0..past.targets.len()).map(track).collect()
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
    let wider = tails(&asked);
    let mut forecasts = Vec::new();
    for one in asked.iter().filter(|one| one.second) {
        let told = |mean: f64, sd: f64| Forecast::normal(mean, sd, one.level.then);
        forecasts.push((Way::SameAsLast, told(smoothed(&one.before, 1.0), last_sd)));
        forecasts.push((Way::Smoothed, told(smoothed(&one.before, weight), smoothed_sd)));
        forecasts.push((Way::Level, one.level.widened(wider)));
    }
    forecasts
}

fn of_machine(past: &Past, behaviour: &Behaviour) -> Vec<Asked> {
    let half = past.visits.len() / 2;
    let mut read: Vec<Vec<f64>> = vec![Vec::new(); past.targets.len()];
    let mut latest: Vec<f64> = vec![0.0; past.targets.len()];
    let mut machine_latest = 0.0;
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
                let own = behaviour.chance_of_shock(visit.at - latest[line]);
                let shared = behaviour.chance_of_shared_shock(visit.at - machine_latest);
                let level = Forecast {
                    mean: value - scored.surprise * scored.sd,
                    sd: scored.sd,
                    shocks: [(own, behaviour.shock), (shared, behaviour.shared_shock)],
                    then: value,
                };
                asked.push(Asked { line, second: number >= half, level, before: before.clone() });
            }
            for what in &visit.happened {
                if let Happened::Read(Reading { line, said: Said::Value(value, _), .. }) = what
                    && let Some(read) = read.get_mut(*line)
                {
                    read.push(*value);
                    latest[*line] = visit.at;
                    machine_latest = visit.at;
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

/// So many times as wide as the filter says must the calm part be for nine in ten intervals of the first halves to hold.
fn tails(asked: &[Asked]) -> f64 {
    let firsts: Vec<&Forecast> =
        asked.iter().filter(|one| !one.second).map(|one| &one.level).collect();
    let held = |wider: f64| firsts.iter().filter(|level| level.widened(wider).held()).count();
    // Few tell little of a tail.
    if firsts.len() < FEW {
        return 1.0;
    }
    (14..=60)
        .map(|step| 0.05 * f64::from(step))
        .find(|w| 10 * held(*w) >= 9 * firsts.len())
        .unwrap_or(3.0)
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
    let sum: f64 =
        firsts().map(|one| (one.level.then - smoothed(&one.before, weight)).powi(2)).sum();
    (sum / f64::max(firsts().count() as f64, 1.0)).sqrt().max(1e-9)
}

#[cfg(test)]
mod tests {
    use rand::{RngExt as _, SeedableRng as _};
    use rand_chacha::ChaCha8Rng;
    use rand_distr::{Distribution as _, StandardNormal};

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

    // Jumps that the family's chance of a shock allows for: an interval of 90 % holds about nine in ten of what then was read,
    // where the calm part alone, scored on the same readings, holds fewer.
    #[test]
    fn intervals_allow_for_shocks() {
        let mut level = 0.0;
        let mut luck = ChaCha8Rng::seed_from_u64(11);
        let behaviour =
            Behaviour { shock_chance: 0.08, shock: 0.15 * 0.15, ..Behaviour::default() };
        let values: Vec<f64> = (0..600)
            .map(|_| {
                let mut normal = || -> f64 { StandardNormal.sample(&mut luck) };
                let (shock, noise, walk) = (normal(), normal(), normal());
                if luck.random_bool(0.08) {
                    level += 0.15 * shock;
                }
                level += 0.005 * walk;
                level + 0.02 * noise
            })
            .collect();
        let asked = of_machine(&past(&values), &behaviour);
        let seconds = || asked.iter().filter(|one| one.second);
        let calm = seconds()
            .filter(|one| Forecast { shocks: [(0.0, 0.0); 2], ..one.level }.held())
            .count();
        let scores = backtest(&[Family { behaviour, pasts: vec![past(&values)] }]);
        let level = scores.iter().find(|scored| scored.way == Way::Level).unwrap();
        assert_eq!(level.coverage.holds(0.9, 0.99), Some(true), "{level:?}");
        assert_ne!(calm, usize::try_from(level.coverage.hits).unwrap(), "shocks change nothing");
    }

    // The record of a line is that of its own last twenty readings; readings that only scatter are better met by a level than
    // by the last one, and too few are no record.
    #[test]
    fn a_line_has_a_record_of_its_forecasts() {
        let values: Vec<f64> =
            (0..60_u32).map(|i| 0.02 * (f64::from(i * 37 % 23) / 11.0 - 1.0)).collect();
        let track = tracks(&past(&values), &Behaviour::default())[0].unwrap();
        assert_eq!(track.held.of, 20);
        assert!(track.held.hits >= 17 && track.crps < track.same_as_last, "{track:?}");
        // The last reading a fifth off what was expected: one of twenty is out.
        let mut values = values;
        values[59] += 0.2;
        let missed = tracks(&past(&values), &Behaviour::default())[0].unwrap();
        assert_eq!(missed.held.hits + 1, track.held.hits);
        assert_eq!(tracks(&past(&values[..5]), &Behaviour::default()), [None]);
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
