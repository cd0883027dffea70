//! From a line's story to what its chart is drawn from.

use jiff::civil::DateTime;
use ouncewise_chart as chart;
use ouncewise_estate::{Address, Estate};
use ouncewise_estimate::standing::VisitShown;
use ouncewise_estimate::{Happening, Visit};
use ouncewise_ledger::LineState;
use ouncewise_measure::adjust::Direction;
use ouncewise_measure::reading::MarkSide;
use ouncewise_measure::{Amount, Draw, Target};
use ouncewise_report::Told;

use crate::words;

/// A line's history, for its chart and for its machine's.
pub fn history(estate: &Estate, address: &Address, name: &str, story: &[Told]) -> chart::History {
    let asked = estate.setup(address, None).ok().map(|setup| setup.aim);
    let shown = story.iter().rev().find_map(|told| told.visit.as_ref()?.shown.as_ref());
    let (base, target, tolerance) = match (&asked, shown) {
        (_, Some(shown)) if !shown.water => (shown.unit.clone(), shown.target, shown.tolerance),
        (Some(aim), _) => match aim.target {
            Target::Volume(v) => ("mL".to_owned(), v.0, aim.tolerance),
            Target::Mass(m) => ("g".to_owned(), m.0, aim.tolerance),
        },
        _ => (String::new(), 0.0, 0.0),
    };
    let (scale, unit) = estate.group.units.in_place_of(&base);
    let read = Read { base: &base, scale, draw: asked.map(|aim| aim.draw) };
    let recipes = if target > 0.0 {
        vec![chart::Recipe { from: None, target: scale * target, tolerance }]
    } else {
        Vec::new()
    };
    chart::History {
        name: name.to_owned(),
        recipes,
        catches: story.iter().filter_map(|told| caught(told, &read)).collect(),
        events: story.iter().filter_map(event).collect(),
        unit,
    }
}

/// How the portions of a line are drawn.
struct Read<'a> {
    /// The unit that they are computed in.
    base: &'a str,
    /// How many of the unit that they are drawn in are one of it.
    scale: f64,
    /// The recipe's own draw.
    draw: Option<Draw>,
}

fn caught(told: &Told, read: &Read<'_>) -> Option<chart::Catch> {
    let (visit, shown) = (told.caught()?, told.visit.as_ref()?);
    Some(chart::Catch {
        at: words::local(&visit.at)?,
        state: match visit.state {
            LineState::AsFound => chart::State::Found,
            LineState::AsLeft => chart::State::Left,
        },
        read: visit.read.join("; "),
        reading: reading(visit, shown, read),
        verdict: shown.shown.as_ref().map(|shown| words::chart_verdict(shown.verdict)),
    })
}

/// What is drawn of a visit: the portion, or on which side of a mark it was. A verdict about the water of a ratio line
/// says nothing of the portion.
fn reading(visit: &Visit, judged: &VisitShown, read: &Read<'_>) -> chart::Reading {
    let shown = judged.shown.as_ref().filter(|shown| !shown.water && shown.unit == read.base);
    if let Some((value, u)) =
        shown.and_then(|shown| Some((shown.portion?, shown.standard_uncertainty)))
    {
        return chart::Reading::Portion { value: read.scale * value, u: read.scale * u };
    }
    let mark = visit.catches.iter().find_map(|(_, catch)| match catch.amount {
        Amount::Mark(side, at) => Some((side, at.0, catch.draw)),
        _ => None,
    });
    match (mark, read.draw) {
        (Some((side, at, draw)), Some(recipe)) if read.base == "mL" => {
            let share = match (draw, recipe) {
                (Draw::Time(ran), Draw::Time(asked)) => asked.0 / ran.0,
                (Draw::Doses(ran), Draw::Doses(asked)) => f64::from(asked) / f64::from(ran),
                _ => return chart::Reading::Unread,
            };
            let side = match side {
                MarkSide::At => chart::Side::At,
                MarkSide::Over => chart::Side::Over,
                MarkSide::Under => chart::Side::Under,
            };
            chart::Reading::Mark { side, portion: read.scale * at * share }
        }
        _ => chart::Reading::Unread,
    }
}

fn event(told: &Told) -> Option<chart::Event> {
    let at = words::local(&told.event.at)?;
    let (what, words) = match told.happening.as_ref()? {
        Happening::Adjusted { done, towards } => {
            let way = towards.map(|way| match way {
                Direction::More => chart::Way::More,
                Direction::Less => chart::Way::Less,
            });
            (chart::Happening::Adjusted(way), done.clone())
        }
        Happening::Cleaned => (chart::Happening::Cleaned, String::new()),
        // What took the product out of the line.
        Happening::Flushed { .. } | Happening::Sanitised | Happening::Drained => {
            (chart::Happening::Cleaned, told.event.what.clone())
        }
        Happening::PartReplaced { part } => {
            (chart::Happening::PartReplaced, part.clone().unwrap_or_default())
        }
        Happening::ProductChanged { product } => {
            (chart::Happening::ProductChanged, product.clone())
        }
        Happening::MachineSwapped { serial } => (chart::Happening::MachineSwapped, serial.clone()),
        Happening::Paused => (chart::Happening::Paused, String::new()),
        Happening::Reopened => (chart::Happening::Reopened, String::new()),
        Happening::TechnicianCalled { fault } => {
            (chart::Happening::TechnicianCalled, fault.clone())
        }
        Happening::Caught(_)
        | Happening::Unreadable { .. }
        | Happening::Claimed { .. }
        | Happening::PartInspected { .. }
        | Happening::ContainerChanged => return None,
    };
    Some(chart::Event { at, what, words })
}

/// The latest catch that has a portion.
pub fn latest(history: &chart::History) -> Option<(DateTime, f64)> {
    history
        .catches
        .iter()
        .filter_map(|catch| Some((catch.at, catch.portion()?.0)))
        .max_by_key(|(at, _)| *at)
}
