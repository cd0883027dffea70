//! Where each line of a machine stands by what its latest catches show, worst first.

use ouncewise_estate::{Address, Estate, Key, Per, State};
use ouncewise_ledger::{Body, LineState, Record, Scope};
use ouncewise_measure::adjust::Direction;
use ouncewise_measure::print::Sentence;
use ouncewise_measure::{Draw, Setup, showing};
use rust_decimal::prelude::ToPrimitive;
use serde::{Deserialize, Serialize};

use crate::recent::recent;
use crate::shown::{ActKind, Basis, Shown, Told};
use crate::stands::Stands;
use crate::story::{Event, Happening, stories};
use crate::visit::Visit;

/// A line's row in the projection: what it is sorted and counted by, and its standing.
#[derive(Debug, Clone, PartialEq)]
pub struct LineRow {
    /// Key of the line.
    pub line: String,
    /// How urgent: see [`urgency`]. Lines out of use have none and are not listed.
    pub urgency: Option<f64>,
    /// The verdict that holds, where there is one.
    pub verdict: Option<Told>,
    /// The kind of the one act.
    pub act: ActKind,
    /// Key of the measure that cannot decide about it, however often it is caught; where its catches would have it weighed.
    pub undecided_by: Option<String>,
    /// The instant of the latest catch, in milliseconds since 1970 UTC.
    pub caught_ms: Option<i64>,
    /// All of it.
    pub standing: Standing,
}

/// Where a line stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standing {
    /// Its address.
    pub address: Address,
    /// Name of the site.
    pub site: String,
    /// Name of the machine.
    pub machine: String,
    /// Name of the line: its own, or its product's.
    pub line: String,
    /// What the verdict rests on.
    pub basis: Basis,
    /// The verdict that holds now; absent when the line was never caught, or cannot be judged.
    pub verdict: Option<Told>,
    /// Probability that the true portion lies in tolerance, where there is a verdict.
    pub probability_on_target: Option<f64>,
    /// The kind of the one act.
    pub act: ActKind,
    /// The one act, in a sentence.
    pub advice: Sentence,
    /// Why, in a sentence.
    pub reason: Sentence,
    /// What the portion that is over costs, for each 100 portions, where the product's price is stated.
    pub over_per_100: Option<String>,
    /// The latest visit, whatever its state.
    pub latest: Option<VisitShown>,
    /// The latest visit that caught the line as found.
    pub found: Option<VisitShown>,
    /// What was done since the latest catch that may have changed the flow.
    pub touched: Option<Dated>,
    /// The latest claim without a measurement.
    pub claimed: Option<Dated>,
    /// Whether the machine is in use and the line not retired.
    pub in_use: bool,
    /// How it stands by its history, as of the machine's last visit, where that was followed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub history: Option<ByHistory>,
    /// What its catches say, where something else is said above because of its history.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by_catch: Option<Says>,
}

/// How a line stands by its history, and what to expect.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ByHistory {
    /// Where it stands.
    pub stands: Stands,
    /// Chance of serving off target, on average over the coming weeks, if it is left alone.
    pub off_if_left: f64,
    /// The same after the act, where that can be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub off_after: Option<f64>,
    /// Over how many weeks.
    pub weeks: u32,
    /// The wanted change of the flow as a fraction, if the act is to adjust.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub change: Option<f64>,
    /// The parameters that its family's behaviour is taken from: `stated priors`, or the record that adopted fitted ones.
    pub parameters: String,
}

/// What holds of a line, and the one act.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Says {
    /// What the verdict rests on.
    pub basis: Basis,
    /// The verdict, where there is one.
    pub verdict: Option<Told>,
    /// Probability that the true portion lies in tolerance, where there is a verdict.
    pub probability_on_target: Option<f64>,
    /// The kind of the one act.
    pub act: ActKind,
    /// The one act, in a sentence.
    pub advice: Sentence,
    /// Why, in a sentence.
    pub reason: Sentence,
}

impl Standing {
    /// Takes in what the line's history says; where that decides, it is said first, and what its catches say is kept beside it.
    pub fn follow(&mut self, history: ByHistory, says: Option<Says>) {
        self.forget();
        self.history = Some(history);
        if let Some(says) = says {
            self.by_catch = Some(self.swap(says));
        }
    }

    /// Goes back to what the catches say by themselves.
    pub fn forget(&mut self) {
        self.history = None;
        if let Some(says) = self.by_catch.take() {
            self.swap(says);
        }
    }

    /// What its catches say by themselves.
    #[must_use]
    pub fn catch_says(&self) -> Says {
        self.by_catch.clone().unwrap_or_else(|| Says {
            basis: self.basis,
            verdict: self.verdict,
            probability_on_target: self.probability_on_target,
            act: self.act,
            advice: self.advice.clone(),
            reason: self.reason.clone(),
        })
    }

    /// How far off the portion is, as a fraction of the target, by what its verdict rests on; absent where only marks were read.
    #[must_use]
    pub fn deviation(&self) -> Option<f64> {
        let shown = self.latest.as_ref()?.shown.as_ref()?;
        match (self.basis, &self.history) {
            (Basis::History, Some(history)) => Some(history.stands.portion / shown.target - 1.0),
            _ => shown.deviation(),
        }
    }

    fn swap(&mut self, says: Says) -> Says {
        Says {
            basis: std::mem::replace(&mut self.basis, says.basis),
            verdict: std::mem::replace(&mut self.verdict, says.verdict),
            probability_on_target: std::mem::replace(
                &mut self.probability_on_target,
                says.probability_on_target,
            ),
            act: std::mem::replace(&mut self.act, says.act),
            advice: std::mem::replace(&mut self.advice, says.advice),
            reason: std::mem::replace(&mut self.reason, says.reason),
        }
    }
}

impl LineRow {
    /// The row of a standing.
    #[must_use]
    pub fn new(standing: Standing) -> Self {
        let instant = |visit: &VisitShown| visit.at.parse::<jiff::Timestamp>().ok();
        Self {
            line: standing.address.line.to_string(),
            urgency: standing.in_use.then(|| urgency(&standing)),
            verdict: standing.verdict,
            act: standing.act,
            // Whatever the history makes of it: that the measure cannot decide is still to be known.
            undecided_by: match (standing.catch_says().act, &standing.latest) {
                (ActKind::Weigh, Some(latest)) => Some(latest.measure.clone()),
                _ => None,
            },
            caught_ms: standing
                .latest
                .as_ref()
                .and_then(instant)
                .map(jiff::Timestamp::as_millisecond),
            standing,
        }
    }
}

/// Words with a date.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dated {
    /// When, as the device wrote it.
    pub at: String,
    /// What.
    pub words: String,
}

/// A visit and what it shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VisitShown {
    /// When, as the device wrote it.
    pub at: String,
    /// As found or as left.
    pub state: LineState,
    /// Key of the measure.
    pub measure: String,
    /// The catches as read.
    pub read: Vec<String>,
    /// What they show; absent when they cannot be judged.
    pub shown: Option<Shown>,
    /// Why they cannot be judged, and how to mend it.
    pub trouble: Option<String>,
}

/// Where each line of a machine stands.
///
/// `happenings` are the machine's records in the order of events, each with
/// the body that holds after corrections; `estate` is the estate as it is now:
/// the latest catches are held against today's recipe. Lines come in the
/// order in which people list them, and only those that are `wanted`.
#[must_use]
pub fn stand<'a>(
    estate: &Estate,
    scope: &Scope,
    machine: &str,
    wanted: impl Fn(&str) -> bool,
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<LineRow> {
    let lines = lines(estate, scope, machine, wanted);
    row_of_each(estate, scope, machine, &lines, recent(&lines, happenings))
}

/// The lines of a machine that are wanted, in the order in which people list them.
pub(crate) fn lines<'e>(
    estate: &'e Estate,
    scope: &Scope,
    machine: &str,
    wanted: impl Fn(&str) -> bool,
) -> Vec<&'e Key> {
    let known = scope.site_key().and_then(|site| estate.machine(site, machine));
    let keys = known.into_iter().flat_map(|machine| machine.lines.keys());
    let mut keys: Vec<&Key> = keys.filter(|key| wanted(key.as_str())).collect();
    keys.sort_by(|a, b| a.natural_cmp(b));
    keys
}

/// The row of each of a machine's lines, from the whole past or as much of it as can still decide.
pub(crate) fn row_of_each<'a>(
    estate: &Estate,
    scope: &Scope,
    machine: &str,
    lines: &[&Key],
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<LineRow> {
    let Some(site) = scope.site_key() else { return Vec::new() };
    let stories = stories(lines.iter().map(|key| key.as_str()), happenings);
    lines
        .iter()
        .filter_map(|key| {
            let address = Address::new(site, machine, key).ok()?;
            Some(row(estate, address, stories.get(key.as_str()).map_or(&[], Vec::as_slice)))
        })
        .collect()
}

/// Judges a visit against the estate. A screw that was `last_adjusted` the other way loses its slack first.
#[must_use]
pub fn judge(
    estate: &Estate,
    address: &Address,
    visit: &Visit,
    last_adjusted: Option<Direction>,
) -> VisitShown {
    let judged =
        estate.setup(address, Some(&visit.measure)).map_err(|e| e.to_string()).and_then(|setup| {
            let setup = Setup { last_adjusted, ..setup };
            let showing = showing::show(&setup, &visit.plain()).map_err(|e| e.to_string())?;
            Ok(Shown::tell(&setup, &showing))
        });
    let (shown, trouble) = match judged {
        Ok(shown) => (Some(shown), None),
        Err(trouble) => (None, Some(trouble)),
    };
    VisitShown {
        at: visit.at.clone(),
        state: visit.state,
        measure: visit.measure.clone(),
        read: visit.read.clone(),
        shown,
        trouble,
    }
}

/// What of a line's story decides where it stands.
#[derive(Default)]
struct Latest<'a> {
    visit: Option<&'a Visit>,
    found: Option<&'a Visit>,
    touched: Option<&'a Event>,
    adjusted: Option<Direction>,
    claimed: Option<Dated>,
}

/// `aim` is what the recipe asks, and is left out where the family states its opening offset: then
/// a draw of any length tells the portion, and the latest catches count. Otherwise catches at the
/// recipe's own draw count before others of the same occasion.
fn latest(story: &[Event], aim: Option<Draw>) -> Latest<'_> {
    let mut latest = Latest::default();
    for event in story {
        match &event.what {
            Happening::Caught(visit) => {
                let nearer = |before: Option<&Visit>| {
                    before
                        .is_none_or(|before| !before.at_once(visit) || !farther(visit, before, aim))
                };
                if latest.touched.is_some() || nearer(latest.visit) {
                    latest.visit = Some(visit);
                }
                latest.touched = None;
                if visit.state == LineState::AsFound && nearer(latest.found) {
                    latest.found = Some(visit);
                }
            }
            // Another product or another machine: what was caught before says nothing about now.
            Happening::ProductChanged { .. } | Happening::MachineSwapped { .. } => {
                (latest.visit, latest.found) = (None, None);
                latest.touched = Some(event);
            }
            Happening::Claimed { said } => {
                latest.claimed = Some(Dated { at: event.at.clone(), words: said.clone() });
            }
            what if what.may_change_flow() => latest.touched = Some(event),
            _ => {}
        }
        match &event.what {
            Happening::Adjusted { towards, .. } => latest.adjusted = *towards,
            // A new part or machine has its own slack, on nobody knows which side.
            Happening::PartReplaced { .. } | Happening::MachineSwapped { .. } => {
                latest.adjusted = None;
            }
            _ => {}
        }
    }
    latest
}

/// Whether a visit's draw is farther from the recipe's than another's, by their ratio.
fn farther(visit: &Visit, other: &Visit, aim: Option<Draw>) -> bool {
    let Some(Draw::Time(recipe)) = aim else { return false };
    let distance = |visit: &Visit| match visit.draw() {
        Some(Draw::Time(seconds)) => (seconds.0 / recipe.0).max(recipe.0 / seconds.0),
        _ => f64::INFINITY,
    };
    // Two draws by hand are never quite alike: only another length counts.
    distance(visit) > 1.1 * distance(other)
}

/// The recipe's draw, where only draws of that length tell the portion.
fn only_draw(estate: &Estate, address: &Address) -> Option<Draw> {
    let family = estate.family_of(&address.site, &address.machine)?;
    if family.opening_offset.is_some() {
        return None;
    }
    estate.line(address)?.draw.draw().ok()
}

fn row(estate: &Estate, address: Address, story: &[Event]) -> LineRow {
    let latest = latest(story, only_draw(estate, &address));
    let shown = latest.visit.map(|visit| judge(estate, &address, visit, latest.adjusted));
    let found = match (latest.found, latest.visit) {
        (Some(found), Some(visit)) if std::ptr::eq(found, visit) => shown.clone(),
        (Some(found), _) => Some(judge(estate, &address, found, latest.adjusted)),
        (None, _) => None,
    };
    let touched =
        latest.touched.map(|event| Dated { at: event.at.clone(), words: event.what.words() });
    let says = says(shown.as_ref(), touched.as_ref(), latest.claimed.as_ref());
    let machine = estate.machine(&address.site, &address.machine);
    let in_use = machine.is_some_and(|m| m.state == State::Open)
        && estate.sites.get(&address.site).is_some_and(|s| !s.retired)
        && estate.line(&address).is_some_and(|l| !l.retired);
    let over_per_100 = match &touched {
        None => shown.as_ref().and_then(|s| over_per_100(estate, &address, s.shown.as_ref()?)),
        Some(_) => None,
    };
    let standing = Standing {
        site: estate.sites.get(&address.site).map_or_else(String::new, |s| s.name.clone()),
        machine: machine.map_or_else(String::new, |m| m.name.clone()),
        line: estate.line_label(&address),
        basis: says.basis,
        verdict: says.verdict,
        probability_on_target: says.probability_on_target,
        act: says.act,
        advice: says.advice,
        reason: says.reason,
        over_per_100,
        latest: shown,
        found,
        touched,
        claimed: latest.claimed,
        in_use,
        history: None,
        by_catch: None,
        address,
    };
    LineRow::new(standing)
}

fn says(latest: Option<&VisitShown>, touched: Option<&Dated>, claimed: Option<&Dated>) -> Says {
    let again = |reason: String| Says {
        basis: Basis::Catch,
        verdict: None,
        probability_on_target: None,
        act: ActKind::CatchAgain,
        advice: "catch it once, as found".into(),
        reason: reason.into(),
    };
    let Some(latest) = latest else {
        return again(match (touched, claimed) {
            (Some(touched), _) => {
                format!("{} on {}, and not caught since", touched.words, day(&touched.at))
            }
            (None, Some(claimed)) => {
                format!(
                    "a log of {} says “{}”, but nobody measured",
                    day(&claimed.at),
                    claimed.words
                )
            }
            (None, None) => "it was never caught".to_owned(),
        });
    };
    if let Some(touched) = touched {
        return Says {
            advice: "catch it once, as left".into(),
            ..again(format!(
                "{} on {}, and not caught since; only a catch releases it",
                touched.words,
                day(&touched.at)
            ))
        };
    }
    match (&latest.shown, &latest.trouble) {
        (Some(shown), _) => Says {
            basis: Basis::Catch,
            verdict: Some(shown.verdict),
            probability_on_target: Some(shown.probability_on_target),
            act: shown.act,
            advice: shown.advice.clone(),
            reason: shown.reason.clone(),
        },
        (None, trouble) => Says {
            basis: Basis::Catch,
            verdict: None,
            probability_on_target: None,
            act: ActKind::Describe,
            advice: "complete the description of this line".into(),
            reason: trouble.clone().unwrap_or_default().into(),
        },
    }
}

/// The day of a device time, as written.
fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

/// How urgent a standing is: a class, and within it how bad. Larger is worse.
///
/// | from | class |
/// | --- | --- |
/// | 500 | no flow, or under half: a fault |
/// | 400 | off target, by how many tolerances (at most 50), then by probability |
/// | 300 | touched and not caught since |
/// | 200 | undecided, by the probability of being off |
/// | 150 | on target, and yet there is something to do, by the chance of being off soon |
/// | 100 | never measured, or cannot be judged |
/// | 0 | nothing to do, by the probability of being off |
#[must_use]
pub fn urgency(standing: &Standing) -> f64 {
    if standing.act == ActKind::FindFault {
        return 500.0;
    }
    let off = standing.probability_on_target.map_or(0.0, |p| 1.0 - p);
    let soon = standing.history.as_ref().map_or(off, |history| history.off_if_left);
    let idle = standing.act == ActKind::LeaveAlone && standing.basis == Basis::History;
    match standing.verdict {
        Some(Told::OffTarget) => 400.0 + tolerances(standing).map_or(1.0, |t| t.min(50.0)) + off,
        None if standing.touched.is_some() => 300.0,
        Some(Told::Undecided | Told::OnTarget) if idle => 90.0 * off,
        Some(Told::Undecided) => 200.0 + 90.0 * off,
        None => 100.0,
        Some(Told::OnTarget) if standing.act == ActKind::LeaveAlone => 90.0 * off,
        Some(Told::OnTarget) => 150.0 + 40.0 * soon,
    }
}

/// How many tolerances it is off, by what its verdict rests on.
fn tolerances(standing: &Standing) -> Option<f64> {
    let shown = standing.latest.as_ref()?.shown.as_ref()?;
    Some(standing.deviation()?.abs() / shown.tolerance)
}

/// What is poured over, in money, for each 100 portions.
fn over_per_100(estate: &Estate, address: &Address, shown: &Shown) -> Option<String> {
    let over = shown.portion? - shown.target;
    if shown.water || over <= 0.0 || shown.verdict != Told::OffTarget {
        return None;
    }
    let cost = estate.products.get(&estate.line(address)?.product)?.cost?;
    // A price by weight says nothing of a portion by volume, and the other way round.
    let thousandths = match (cost.per, shown.unit.as_str()) {
        (Per::Litre, "mL") | (Per::Kilogram, "g") => cost.amount.to_f64()?,
        _ => return None,
    };
    Some(format!("{:.2} {}", over * 100.0 * thousandths / 1000.0, cost.currency))
}
