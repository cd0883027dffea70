//! *The line stands*: what a line's history says, beside what its latest catch shows.

use ouncewise_estate::{Address, Estate};
use ouncewise_estimate::ahead::Tails;
use ouncewise_estimate::backtest::machines::{Track, tracks};
use ouncewise_estimate::history;
use ouncewise_estimate::joint::Behaviour;
use ouncewise_estimate::passage::by_wear_alone;
use ouncewise_estimate::stands::{Asked, Followed, Stands, follow};
use ouncewise_ledger::order::Outcome;
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::Target;
use ouncewise_measure::print::{self, Units};
use ouncewise_store::Store;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::lines::Value;
use crate::plural::many;

/// The line stands: by all its readings, those of its machine's other lines, and what was done.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StandsReport {
    /// `history`: what the verdict rests on.
    pub basis: String,
    /// The portion at the recipe's own draw.
    pub portion: Value,
    /// `on-target`, `off-target` or `undecided`, after the guards.
    pub verdict: String,
    /// Probability that the true portion lies in tolerance, before the guards.
    pub probability_on_target: f64,
    /// Chance of being off at a round a week from now, if nobody touches it.
    pub off_next_round: f64,
    /// Weeks after which it will have been off with this chance; absent beyond a year.
    pub weeks_until_off: WeeksUntilOff,
    /// Weeks after which half of such lines are off by wear alone, where their level is known and nothing sudden comes: the inverse
    /// Gaussian, as a check of the weeks above. Absent where the family shows no drift, beyond a year, and in lists.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wear_alone: Option<f64>,
    /// How many readings it rests on.
    pub readings: u32,
    /// Change by the week that its family shows, as a fraction.
    pub drift_per_week: f64,
    /// What all lines of its machine share by now, as a fraction.
    pub shared: f64,
    /// Why the verdict is no better, or what to do for it.
    pub guards: Vec<String>,
    /// What the latest forecasts of this line were worth; absent for fewer than five.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub track: Option<TrackReport>,
}

/// What the latest forecasts of a line were worth, at most twenty: each was of a visit's first catch, by what was known before.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TrackReport {
    /// Forecasts that are counted.
    pub forecasts: u32,
    /// How many catches fell within the 90 % band that was expected of them.
    pub held: u32,
    /// Mean continuous ranked probability score, as a fraction of the portion; smaller is better.
    pub crps: f64,
    /// That of taking the last reading for the next one.
    pub crps_same_as_last: f64,
}

impl TrackReport {
    fn new(track: &Track) -> Self {
        Self {
            forecasts: track.held.of,
            held: track.held.hits,
            crps: track.crps,
            crps_same_as_last: track.same_as_last,
        }
    }

    /// In a sentence or two.
    #[must_use]
    pub fn words(&self) -> String {
        let (ours, same) = (print::percent(self.crps), print::percent(self.crps_same_as_last));
        let beside = match self.crps < self.crps_same_as_last {
            true => "closer than to guess the same as last time",
            false => "no closer than to guess the same as last time",
        };
        format!(
            "Of its last {} {} fell in the 90 % band expected of them; the forecasts were {beside} (their score is {ours} of a portion against {same}; smaller is better).",
            many(self.forecasts as usize, "catch"),
            self.held,
        )
    }
}

/// Weeks after which a line will have been off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WeeksUntilOff {
    /// With a chance of 10 %.
    pub in_10_percent: Option<u32>,
    /// With a chance of 50 %.
    pub in_50_percent: Option<u32>,
    /// With a chance of 90 %.
    pub in_90_percent: Option<u32>,
}

impl StandsReport {
    /// The report of where a line stands, in `mL` or `g`.
    #[must_use]
    pub fn new(stands: &Stands, unit: &str) -> Self {
        let [in_10_percent, in_50_percent, in_90_percent] = stands.weeks_until_off;
        Self {
            basis: "history".to_owned(),
            portion: Value {
                value: stands.portion,
                unit: unit.to_owned(),
                standard_uncertainty: stands.standard_uncertainty,
            },
            verdict: stands.verdict.key().to_owned(),
            probability_on_target: stands.probability_on_target,
            off_next_round: stands.off_next_round,
            weeks_until_off: WeeksUntilOff { in_10_percent, in_50_percent, in_90_percent },
            wear_alone: None,
            readings: stands.readings,
            drift_per_week: stands.drift_per_week,
            shared: stands.shared,
            guards: stands.guards.clone(),
            track: None,
        }
    }

    /// The verdict with the portion, its doubt and how sure it is.
    #[must_use]
    pub fn verdict_words(&self, risk: f64, units: Units) -> String {
        let verdict = match self.verdict.as_str() {
            "undecided" if !self.guards.is_empty() => "undecided, for the reason below".to_owned(),
            verdict => verdict.replace('-', " "),
        };
        let portion = &self.portion;
        format!(
            "{verdict}; {} within two standard uncertainties by {} ({} sure that it is on target)",
            print::within(portion.value, 2.0 * portion.standard_uncertainty, &portion.unit, units),
            many(self.readings as usize, "reading"),
            print::probability(self.probability_on_target, risk),
        )
    }

    /// What to expect, in a sentence; the chance as the reason of its advice prints it.
    #[must_use]
    pub fn ahead_words(&self, risk: f64) -> String {
        let next = format!(
            "If nobody touches it, the chance that it is off a week from now is {}",
            print::probability(self.off_next_round, risk)
        );
        let weeks = &self.weeks_until_off;
        match (weeks.in_10_percent, weeks.in_50_percent) {
            (Some(0), _) => format!("{next}."),
            (Some(tenth), Some(half)) => format!(
                "{next}; one such line in ten is off within {}, half of them within {}.",
                many(tenth as usize, "week"),
                many(half as usize, "week")
            ),
            (Some(tenth), None) => format!(
                "{next}; one such line in ten is off within {}.",
                many(tenth as usize, "week")
            ),
            (None, _) => format!("{next}; nine such lines in ten stay on target for a year."),
        }
    }
}

impl StandsReport {
    /// What the check by wear alone says, where it differs from the forecast by more than a quarter and two weeks.
    #[must_use]
    pub fn wear_words(&self) -> Option<String> {
        let alone = self.wear_alone?;
        let half = self.weeks_until_off.in_50_percent.map(f64::from);
        let differs = half.is_none_or(|half| (alone - half).abs() > (0.25 * alone).max(2.0));
        differs.then(|| {
            let all = match half {
                Some(half) => format!("{half:.0} weeks"),
                None => "more than a year".to_owned(),
            };
            format!(
                "By wear alone half of such lines would be off within {alone:.0} weeks; the forecast says {all}, because it reckons \
                 with what may come suddenly and with the doubt of where the line stands now."
            )
        })
    }
}

/// One line by its history.
#[derive(Debug, Clone, PartialEq)]
pub struct LineStands {
    /// Its address.
    pub address: Address,
    /// Where it stands; none where it was never read.
    pub report: Option<StandsReport>,
    /// Where it stood after each visit, as logs of the portion.
    pub followed: Vec<Followed>,
    /// How such lines behave.
    pub behaviour: Behaviour,
}

/// Each line of a machine by its history, in the order in which people list them; none where the estate does not know it.
///
/// # Errors
///
/// If the store cannot be read.
pub async fn stands(
    store: &Store,
    estate: &Estate,
    site: &str,
    machine: &str,
    now: jiff::Timestamp,
) -> Result<Vec<LineStands>, Failure> {
    let events = store.machine(site, machine).await?;
    let effective = events.iter().filter_map(|event| match &event.outcome {
        Outcome::Stands => Some((&event.record, &event.record.body)),
        Outcome::Replaced { instead, .. } => Some((&event.record, instead)),
        Outcome::Withdrawn { .. } => None,
    });
    let family = estate.machine(site, machine).map_or("", |machine| &*machine.family);
    let (behaviour, _) = store.behaviours().await?.of(family);
    Ok(told(estate, &behaviour, (site, machine), effective, now))
}

fn told<'a>(
    estate: &Estate,
    behaviour: &Behaviour,
    (site, machine): (&str, &str),
    happenings: impl Iterator<Item = (&'a Record, &'a Body)>,
    now: jiff::Timestamp,
) -> Vec<LineStands> {
    let Some(history) = history::read(estate, site, machine, happenings) else {
        return Vec::new();
    };
    let setups: Vec<_> = history
        .addresses
        .iter()
        .map(|address| {
            let measures = history.measures.iter().map(|key| Some(key.as_str()));
            std::iter::once(None)
                .chain(measures)
                .find_map(|measure| estate.setup(address, measure).ok())
        })
        .collect();
    let asked: Vec<Option<Asked>> = setups
        .iter()
        .map(|setup| {
            let setup = setup.as_ref()?;
            Some(Asked { tolerance: setup.aim.tolerance, risk: setup.risk })
        })
        .collect();
    // By the day, so that asking twice on one day gives the same answer.
    let today = (history::weeks(now) * 7.0).floor() / 7.0;
    let told = follow(&history, behaviour, &Tails::default(), &asked, today);
    let end = history.past.visits.last().map_or(today, |visit| visit.at);
    let since = behaviour.drift * (today - end).max(0.0);
    let tracks = tracks(&history.past, behaviour);
    let asked = history.past.targets.iter().copied().zip(asked).map(Some);
    let lines = history.addresses.into_iter().zip(setups).zip(told.lines).zip(told.followed);
    lines
        .zip(tracks)
        .zip(asked)
        .enumerate()
        .map(|(index, (((((address, setup), stands), followed), track), asked))| {
            let unit = setup.map_or("mL", |setup| match setup.aim.target {
                Target::Volume(_) => "mL",
                Target::Mass(_) => "g",
            });
            // From where the forecast begins: after all that was done, not only after the last reading.
            let level = told.joint.level(index).mean + since;
            let wear_alone =
                asked.and_then(|(target, asked)| wear_alone(behaviour, level, target, asked?));
            LineStands {
                address,
                report: stands.map(|stands| StandsReport {
                    wear_alone,
                    track: track.as_ref().map(TrackReport::new),
                    ..StandsReport::new(&stands, unit)
                }),
                followed,
                behaviour: behaviour.clone(),
            }
        })
        .collect()
}

/// The longest time that is told, in weeks.
const YEAR: f64 = 52.0;

/// Weeks from now by which half of the lines that stand so are off by wear alone.
fn wear_alone(behaviour: &Behaviour, level: f64, target: f64, asked: Asked) -> Option<f64> {
    let limits = (target + (-asked.tolerance.min(0.999)).ln_1p(), target + asked.tolerance.ln_1p());
    let walk = behaviour.walk + behaviour.machine_walk;
    by_wear_alone(level, limits, behaviour.drift, walk, 0.5).filter(|weeks| *weeks <= YEAR)
}

#[cfg(test)]
mod tests;
