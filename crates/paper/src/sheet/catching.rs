//! How a line is caught with its measure, and what its readings mean.

use ouncewise_estate::{Key, Line, MarksRead, MeasureKind, Reads};
use ouncewise_measure::showing::can_show;
use ouncewise_measure::{
    Act, Draw, MarkSide, Millilitres, Seconds, Setup, ShowError, Showing, Verdict,
};

use super::legend::{Note, Takes};
use super::probe::{Edges, Probe, Reading};
use super::readout::Readout;
use super::row::{Leave, Pen, PenAmount, Says, Water, Window};
use super::setting::how_far;

/// A window narrower than this part of the tolerance leaves nearly every good line undecided.
const USABLE: f64 = 0.25;

/// More of the recipe's draws than this are not worth pouring away for one catch.
const MOST_DRAWS: u32 = 3;

/// How a line is caught, and what its readings mean.
pub(super) struct Catching {
    pub draw: String,
    /// How many of the recipe's draws it is.
    pub times: u32,
    pub water: Option<Water>,
    pub says: Says,
    pub how_far: String,
    pub pen: Pen,
    pub notes: Vec<Note>,
}

/// A measure that is kept at the site.
pub(super) struct Kept<'a> {
    pub key: &'a Key,
    pub kind: &'a MeasureKind,
    /// The line as it is set up with it.
    pub setup: Setup,
}

/// How one line is caught with `kept`; `others` are the site's other measures.
pub(super) fn catching(
    line: &Line,
    kept: &Kept<'_>,
    others: &[Kept<'_>],
) -> Result<Catching, ShowError> {
    let recipe = kept.setup.aim.draw;
    if let (Some(mark), Draw::Doses(_)) = (only_mark(kept.kind), recipe) {
        return marks(line, kept, others, mark);
    }
    let (probe, edges) = probe(kept)?;
    let readout = readout(kept, probe.reading);
    let water = line.water.map(|water| self::water(water, &probe, kept));
    let (leave, note) = match (leave(edges, readout), &water) {
        (Some((least, most)), _) => (Leave::Between { least, most }, None),
        (None, Some(Water { leave: None, .. })) => no_water(kept, others),
        (None, _) => undecidable(&probe, kept, others),
    };
    let fewer_is_more = matches!(probe.reading, Reading::Seconds(_));
    let side = |edge: Option<f64>, down: bool| {
        edge.map(|at| readout.print(if down { readout.down(at) } else { readout.up(at) }))
    };
    let draw = match probe.reading {
        Reading::Seconds(mark) => {
            format!("fill {} to {}", kept.key, Readout::of(kept.kind).amount(mark))
        }
        Reading::Volume(draw) if draw == recipe => format!("{} into {}", line.draw, kept.key),
        Reading::Mass(draw) if draw == recipe => format!("{} onto {}", line.draw, kept.key),
        Reading::Volume(draw) => format!("{draw} at once into {}", kept.key),
        Reading::Mass(draw) => format!("{draw} at once onto {}", kept.key),
    };
    let (draws, times) = match (probe.reading, recipe) {
        (Reading::Volume(Draw::Doses(all)) | Reading::Mass(Draw::Doses(all)), Draw::Doses(one)) => {
            (f64::from(all), all / one.max(1))
        }
        (Reading::Volume(Draw::Time(all)) | Reading::Mass(Draw::Time(all)), Draw::Time(one)) => {
            (1.0, libm::round(all.0 / one.0) as u32)
        }
        _ => (1.0, 1),
    };
    let one_draw = match probe.reading {
        Reading::Seconds(mark) => Readout::of(kept.kind).amount(mark),
        _ => readout.amount(probe.right / draws),
    };
    let by_hand = matches!(kept.setup.timer, ouncewise_measure::Timer::Hand { .. });
    Ok(Catching {
        draw,
        times,
        water,
        how_far: how_far(&kept.setup, probe.right, readout, &one_draw),
        says: Says::Windows(Window {
            unit: readout.unit.symbol(),
            too_little: side(edges.too_little, !fewer_is_more),
            leave,
            too_much: side(edges.too_much, fewer_is_more),
            fewer_is_more,
        }),
        pen: match probe.reading {
            Reading::Seconds(mark) => Pen {
                amount: PenAmount::Given { amount: Readout::of(kept.kind).amount(mark) },
                seconds: true,
            },
            Reading::Volume(draw) | Reading::Mass(draw) => Pen {
                amount: PenAmount::Number { unit: readout.unit.symbol() },
                seconds: by_hand && matches!(draw, Draw::Time(_)),
            },
        },
        notes: note.into_iter().collect(),
    })
}

fn water(water: ouncewise_estate::Water, probe: &Probe<'_>, kept: &Kept<'_>) -> Water {
    let readout = Readout::of(kept.kind);
    let leave = probe.water_edges().and_then(|(least, most)| {
        let (least, most) = (readout.up(least), readout.down(most));
        (least <= most).then(|| (readout.print(least), readout.print(most)))
    });
    Water { asks: water.target.to_string(), leave, unit: readout.unit.symbol() }
}

/// What to do where the measure cannot show that the water is right: the syrup beside it is not judged either.
fn no_water(kept: &Kept<'_>, others: &[Kept<'_>]) -> (Leave, Option<Note>) {
    let start = format!("{} cannot show the water of", kept.key);
    match best(others) {
        Some(better) => {
            let end = format!("right. {} ({}) can: use it for both.", better.key, better.kind.name);
            (Leave::With { measure: better.key.to_string() }, Some(Note::new(start, &end)))
        }
        None => {
            let end = "right, and this kitchen keeps nothing that can: adjust no syrup by it.";
            (Leave::Never, Some(Note::new(start, end)))
        }
    }
}

/// The measure with the widest window, if any has a usable one.
fn best<'a, 'k>(others: &'a [Kept<'k>]) -> Option<&'a Kept<'k>> {
    let width = |other: &Kept<'_>| {
        let (probe, edges) = probe(other).ok().filter(|_| !too_small(other))?;
        leave(edges, readout(other, probe.reading)).filter(|_| usable(&probe, edges))?;
        edges.leave.map(|(least, most)| (most - least) / probe.right)
    };
    others
        .iter()
        .filter_map(|other| Some((other, width(other)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(other, _)| other)
}

/// The mark of a cup that has no other.
fn only_mark(kind: &MeasureKind) -> Option<Millilitres> {
    match kind.reads {
        Reads::Vessel { marks: MarksRead::One(mark), .. } => mark.volume(),
        _ => None,
    }
}

fn readout(kept: &Kept<'_>, reading: Reading) -> Readout {
    match reading {
        Reading::Seconds(_) => Readout::seconds(),
        _ => Readout::of(kept.kind),
    }
}

/// The readings that leave a line alone, rounded inwards to what can be read; `None` if none is left.
fn leave(edges: Edges, readout: Readout) -> Option<(String, String)> {
    let (least, most) = edges.leave?;
    let (least, most) = (readout.up(least), readout.down(most));
    (least <= most).then(|| (readout.print(least), readout.print(most)))
}

/// The smallest catch that can show a good line on target with a usable window; else the recipe's own draw.
fn probe<'a>(kept: &'a Kept<'_>) -> Result<(Probe<'a>, Edges), ShowError> {
    let setup = &kept.setup;
    let reading = |draw: Draw| match (kept.kind.reads.clone(), only_mark(kept.kind), draw) {
        (Reads::Scale { .. }, ..) => Reading::Mass(draw),
        (_, Some(mark), Draw::Time(_)) => Reading::Seconds(mark.0),
        _ => Reading::Volume(draw),
    };
    let first = Probe::new(setup, reading(setup.aim.draw))?;
    let edges = first.edges();
    if matches!(first.reading, Reading::Seconds(_)) || usable(&first, edges) {
        return Ok((first, edges));
    }
    for times in 2..=MOST_DRAWS {
        let Some(draw) = longer(setup, edges, times) else { continue };
        let probe = Probe::new(setup, reading(draw))?;
        if !holds(kept, &probe) {
            break;
        }
        let longer = probe.edges();
        if usable(&probe, longer) || edges.leave.is_none() && longer.leave.is_some() {
            return Ok((probe, longer));
        }
    }
    Ok((first, edges))
}

fn usable(probe: &Probe<'_>, edges: Edges) -> bool {
    let band = 2.0 * probe.setup.aim.tolerance * probe.right;
    edges.leave.is_some_and(|(least, most)| most - least >= USABLE * band)
}

/// So many of the recipe's draws in one catch. A longer time says something of the portion only where the family states
/// its opening offset, and then only what a shorter one cannot.
fn longer(setup: &Setup, edges: Edges, times: u32) -> Option<Draw> {
    match setup.aim.draw {
        Draw::Doses(doses) => Some(Draw::Doses(doses.checked_mul(times)?)),
        Draw::Time(seconds) if setup.opening_offset.is_some() && edges.leave.is_none() => {
            Some(Draw::Time(Seconds(seconds.0 * f64::from(times))))
        }
        Draw::Time(_) => None,
    }
}

/// Whether a measure is known to hold the catch, also where it is too much by twice the tolerance.
fn holds(kept: &Kept<'_>, probe: &Probe<'_>) -> bool {
    let most = probe.right * (1.0 + 2.0 * probe.setup.aim.tolerance);
    kept.kind.capacity.is_some_and(|capacity| most <= capacity.exact().to_f64())
}

/// Whether a measure is known to be too small for a catch that is right.
pub(super) fn too_small(kept: &Kept<'_>) -> bool {
    let Some(capacity) = kept.kind.capacity.map(|c| c.exact().to_f64()) else { return false };
    let reading = match kept.kind.reads {
        Reads::Scale { .. } => Reading::Mass(kept.setup.aim.draw),
        Reads::Vessel { .. } if only_mark(kept.kind).is_some() => return false,
        Reads::Vessel { .. } => Reading::Volume(kept.setup.aim.draw),
    };
    let water = kept.setup.aim.water.is_some_and(|(water, _)| water.0 > capacity);
    water || Probe::new(&kept.setup, reading).is_ok_and(|probe| probe.right > capacity)
}

/// The fewest catches that are worth it and whose mean has a usable window.
fn mean(probe: &Probe<'_>, readout: Readout) -> Option<Leave> {
    (2..=MOST_DRAWS).find_map(|catches| {
        let mean = probe.mean_of(catches as usize);
        let edges = mean.edges();
        let narrow = edges.leave.is_some_and(|(least, most)| readout.is_narrow(most - least));
        let readout = if narrow { readout.of_mean() } else { readout };
        let (least, most) = leave(edges, readout).filter(|_| usable(&mean, edges))?;
        Some(Leave::Mean { catches, least, most })
    })
}

/// What to do where no single reading shows the line on target.
fn undecidable(probe: &Probe<'_>, kept: &Kept<'_>, others: &[Kept<'_>]) -> (Leave, Option<Note>) {
    if let Some(better) = best(others) {
        let leave = Leave::With { measure: better.key.to_string() };
        return (leave, Some(use_better(kept, better)));
    }
    if let Some(leave) = mean(probe, readout(kept, probe.reading)) {
        let start = format!("One catch with {} cannot show", kept.key);
        let end = "on target: catch as often as it says, write down each, and read their mean.";
        return (leave, Some(Note::new(start, end)));
    }
    (Leave::Never, Some(nothing_better(kept, "though it shows too little and too much")))
}

fn use_better(kept: &Kept<'_>, better: &Kept<'_>) -> Note {
    let end = format!("on target in one catch. {} ({}) can: use it.", better.key, better.kind.name);
    Note::new(format!("{} cannot show", kept.key), &end)
}

/// What it takes, where nothing in this kitchen will do.
fn nothing_better(kept: &Kept<'_>, though: &str) -> Note {
    let takes = can_show(&kept.setup)
        .ok()
        .and_then(|can| can.decide.better)
        .map(|way| Takes { scale: way.what.scale.map(|step| step.0), vessel: way.what.vessel.0 });
    let end = match takes {
        Some(_) => format!("on target, {though}; this kitchen keeps nothing that can"),
        None => format!("on target, {though}; no other measure can either."),
    };
    Note { takes, ..Note::new(format!("{} cannot show", kept.key), &end) }
}

/// A cup that only says on which side of its one mark the doses stand.
fn marks(
    line: &Line,
    kept: &Kept<'_>,
    others: &[Kept<'_>],
    mark: Millilitres,
) -> Result<Catching, ShowError> {
    let (draw, times) = to_the_mark(&kept.setup, mark)?;
    let probe = Probe::new(&kept.setup, Reading::Volume(draw))?;
    let readout = Readout::of(kept.kind);
    let better = best(others);
    let side = |side: MarkSide| {
        let key = better.map(|other| other.key.as_str());
        probe.at_mark(side, mark, draw).map(|showing| act(&showing, key))
    };
    let (under, at, over) = (side(MarkSide::Under)?, side(MarkSide::At)?, side(MarkSide::Over)?);
    let note = match (at == LEAVE, better) {
        (true, _) => None,
        (false, Some(better)) => Some(use_better(kept, better)),
        (false, None) => Some(nothing_better(kept, "however often it is caught")),
    };
    let doses = match draw {
        Draw::Doses(doses) => f64::from(doses),
        Draw::Time(_) => 1.0,
    };
    let one_dose = readout.amount(probe.right / doses);
    Ok(Catching {
        draw: match times {
            1 => format!("{} into {}", line.draw, kept.key),
            _ => format!("{draw} at once into {}", kept.key),
        },
        times,
        water: None,
        says: Says::Marks { mark: readout.amount(mark.0), under, at, over },
        how_far: how_far(&kept.setup, probe.right, readout, &one_dose),
        pen: Pen { amount: PenAmount::Side, seconds: false },
        notes: note.into_iter().collect(),
    })
}

/// As many of the recipe's draws as come to the mark when the line is right; else the recipe's own.
fn to_the_mark(setup: &Setup, mark: Millilitres) -> Result<(Draw, u32), ShowError> {
    let one = Probe::new(setup, Reading::Volume(setup.aim.draw))?.right;
    let fits = |times: &u32| (f64::from(*times) * one / mark.0 - 1.0).abs() <= setup.aim.tolerance;
    let times = (1..=MOST_DRAWS).find(fits).unwrap_or(1);
    Ok(match setup.aim.draw {
        Draw::Doses(doses) => (Draw::Doses(doses.saturating_mul(times)), times),
        draw => (draw, 1),
    })
}

const LEAVE: &str = "leave it";

/// An act in the two or three words that fit beside a mark.
fn act(showing: &Showing, better: Option<&str>) -> String {
    let read = || better.map_or("unsure: leave it".to_owned(), |key| format!("use {key}"));
    match (&showing.act, showing.verdict) {
        (Act::LeaveAlone, Verdict::OnTarget) => LEAVE.to_owned(),
        (Act::LeaveAlone, _) => "unsure: leave it".to_owned(),
        (Act::Adjust(by), _) if by.change < 0.0 => "too much: adjust".to_owned(),
        (Act::Adjust(_), _) => "too little: adjust".to_owned(),
        (Act::Call, _) => "call".to_owned(),
        (Act::CatchMore { draw }, _) => format!("catch {draw} at once"),
        (Act::CatchAgain, Verdict::OffTarget) | (Act::Weigh { .. }, _) => read(),
        (Act::FindFault, _) => "a fault: adjust nothing".to_owned(),
        (Act::SeeToWater, _) => "see to the water".to_owned(),
        (Act::CatchAgain, _) => "catch again".to_owned(),
    }
}
