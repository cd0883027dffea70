//! Where each line of a machine stands by what its latest catches show, worst first.

use ouncewise_estate::{Address, Estate, Key, Per, State};
use ouncewise_ledger::{Body, LineState, Record, Scope};
use ouncewise_measure::adjust::Direction;
use ouncewise_measure::{Draw, Setup, showing};
use rust_decimal::prelude::ToPrimitive;
use serde::{Deserialize, Serialize};

use crate::recent::recent;
use crate::shown::{ActKind, Basis, Shown, Told};
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
    /// Key of the measure that cannot decide about it, however often it is caught; where the act is to weigh.
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
    pub advice: String,
    /// Why, in a sentence.
    pub reason: String,
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
    whole(estate, scope, machine, wanted, recent(happenings))
}

/// The same, from the whole past or as much of it as can still decide.
pub(crate) fn whole<'a>(
    estate: &Estate,
    scope: &Scope,
    machine: &str,
    wanted: impl Fn(&str) -> bool,
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<LineRow> {
    let Some(site) = scope.site_key() else { return Vec::new() };
    let Some(known) = estate.machine(site, machine) else { return Vec::new() };
    let mut keys: Vec<&Key> = known.lines.keys().filter(|key| wanted(key.as_str())).collect();
    keys.sort_by(|a, b| a.natural_cmp(b));
    let stories = stories(keys.iter().map(|key| key.as_str()), happenings);
    keys.into_iter()
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
        line: estate.line_name(&address).to_owned(),
        basis: Basis::Catch,
        verdict: says.verdict,
        probability_on_target: says.probability,
        act: says.act,
        advice: says.advice,
        reason: says.reason,
        over_per_100,
        latest: shown,
        found,
        touched,
        claimed: latest.claimed,
        in_use,
        address,
    };
    LineRow {
        line: standing.address.line.to_string(),
        urgency: in_use.then(|| urgency(&standing)),
        verdict: standing.verdict,
        act: standing.act,
        undecided_by: match (standing.act, &standing.latest) {
            (ActKind::Weigh, Some(latest)) => Some(latest.measure.clone()),
            _ => None,
        },
        caught_ms: latest.visit.map(|visit| visit.instant.as_millisecond()),
        standing,
    }
}

/// What holds now, and the one act.
struct Says {
    verdict: Option<Told>,
    probability: Option<f64>,
    act: ActKind,
    advice: String,
    reason: String,
}

fn says(latest: Option<&VisitShown>, touched: Option<&Dated>, claimed: Option<&Dated>) -> Says {
    let again = |reason: String| Says {
        verdict: None,
        probability: None,
        act: ActKind::CatchAgain,
        advice: "catch it once, as found".to_owned(),
        reason,
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
            advice: "catch it once, as left".to_owned(),
            ..again(format!(
                "{} on {}, and not caught since; only a catch releases it",
                touched.words,
                day(&touched.at)
            ))
        };
    }
    match (&latest.shown, &latest.trouble) {
        (Some(shown), _) => Says {
            verdict: Some(shown.verdict),
            probability: Some(shown.probability_on_target),
            act: shown.act,
            advice: shown.advice.clone(),
            reason: shown.reason.clone(),
        },
        (None, trouble) => Says {
            verdict: None,
            probability: None,
            act: ActKind::Describe,
            advice: "complete the description of this line".to_owned(),
            reason: trouble.clone().unwrap_or_default(),
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
/// | 100 | never measured, or cannot be judged |
/// | 0 | on target, by the probability of being off |
#[must_use]
pub fn urgency(standing: &Standing) -> f64 {
    if standing.act == ActKind::FindFault {
        return 500.0;
    }
    let off = standing.probability_on_target.map_or(0.0, |p| 1.0 - p);
    match standing.verdict {
        Some(Told::OffTarget) => {
            let shown = standing.latest.as_ref().and_then(|latest| latest.shown.as_ref());
            let tolerances = shown
                .and_then(|shown| Some(shown.deviation()?.abs() / shown.tolerance))
                .map_or(1.0, |t| t.min(50.0));
            400.0 + tolerances + off
        }
        None if standing.touched.is_some() => 300.0,
        Some(Told::Undecided) => 200.0 + 90.0 * off,
        None => 100.0,
        Some(Told::OnTarget) => 90.0 * off,
    }
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
