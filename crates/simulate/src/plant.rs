//! What an estate says of one site, in plain numbers (mL, g, s) for the physics.

use jiff::tz::TimeZone;
use ouncewise_estate::{
    Address, Density, Estate, Family, MarksRead, MeasureKind, Reads, State, Timing,
};
use ouncewise_measure::{Adjuster, DrawRead, Metering, Quantity};
use std::sync::Arc;

use crate::kitchen::{Piece, Shows, WrittenUnit};

/// One site.
pub(crate) struct SitePlan {
    pub(crate) zone: TimeZone,
    pub(crate) currency: String,
    pub(crate) pieces: Vec<Piece>,
    pub(crate) machines: Vec<MachinePlan>,
}

/// One machine.
pub(crate) struct MachinePlan {
    pub(crate) key: String,
    pub(crate) open: bool,
    pub(crate) metering: Metering,
    pub(crate) adjuster: Adjuster,
    /// Seconds of a draw that pour nothing.
    pub(crate) offset: f64,
    pub(crate) timing: Clock,
    /// Wear part keys, each with the maker's number.
    pub(crate) parts: Vec<(String, Option<String>)>,
    pub(crate) lines: Vec<LinePlan>,
}

/// How seconds are taken.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Clock {
    /// A thumb on a stopwatch that shows steps of so many seconds.
    Thumb(f64),
    /// By the machine, within so many seconds.
    Machine(f64),
}

/// One line.
pub(crate) struct LinePlan {
    pub(crate) key: String,
    pub(crate) address: Arc<Address>,
    pub(crate) product: String,
    /// The portion, mL.
    pub(crate) target: f64,
    /// The portion as written.
    pub(crate) target_text: String,
    pub(crate) tolerance: f64,
    pub(crate) draw: RecipeDraw,
    /// Water of a ratio line, mL.
    pub(crate) water: Option<f64>,
    /// Index of the measure that is usually used.
    pub(crate) piece: usize,
    /// Index of the best measure here.
    pub(crate) best: usize,
    /// Density that the estate states, g/mL.
    pub(crate) density: f64,
    pub(crate) setting: Option<f64>,
}

/// The recipe's own draw.
#[derive(Debug, Clone, Copy)]
pub(crate) enum RecipeDraw {
    /// Seconds.
    Seconds(f64),
    /// Doses.
    Doses(u32),
}

/// What a vessel holds when nobody says.
const HOLDS: f64 = 50.0;

/// Reads one site out of the estate. Retired lines and pieces, and what cannot be computed with
/// (a target in a unit that is neither volume nor mass), are left out.
pub(crate) fn site(estate: &Estate, key: &str) -> Option<SitePlan> {
    let site = estate.sites.get(key)?;
    let pieces: Vec<Piece> = site
        .measures
        .iter()
        .filter(|(_, piece)| !piece.retired)
        .filter_map(|(key, piece)| self::piece(key, estate.measures.get(&piece.kind)?))
        .collect();
    let machines = site.machines.iter().filter_map(|(machine_key, machine)| {
        let family = estate.families.get(&machine.family)?;
        let lines = machine.lines.iter().filter(|(_, line)| !line.retired);
        let lines = lines.filter_map(|(line_key, line)| {
            let density = density_of(estate, &line.product);
            let target = volume(&line.target, density)?;
            let usual =
                line.measure.as_ref().and_then(|m| pieces.iter().position(|p| p.key == m.as_str()));
            let best = (0..pieces.len())
                .min_by(|a, b| pieces[*a].doubt(target).total_cmp(&pieces[*b].doubt(target)))?;
            Some(LinePlan {
                key: line_key.to_string(),
                address: Arc::new(Address::new(key, machine_key.as_str(), line_key.as_str()).ok()?),
                product: line.product.to_string(),
                target,
                target_text: line.target.to_string(),
                tolerance: line.tolerance.fraction(),
                draw: match line.draw {
                    DrawRead::Time(time) => RecipeDraw::Seconds(time.duration()?.0),
                    DrawRead::Doses(doses) => RecipeDraw::Doses(doses.max(1)),
                },
                water: line.water.and_then(|w| volume(&w.target, 1.0)),
                piece: usual.unwrap_or(best),
                best,
                density,
                setting: line.setting.and_then(|s| s.to_string().parse().ok()),
            })
        });
        Some(MachinePlan {
            key: machine_key.to_string(),
            open: machine.state == State::Open,
            metering: family.metering,
            adjuster: family.adjuster.clone(),
            offset: family.opening_offset.and_then(Quantity::duration).map_or(0.0, |s| s.0),
            timing: clock(family),
            parts: family
                .parts
                .iter()
                .map(|(key, part)| (key.to_string(), part.number.clone()))
                .collect(),
            lines: lines.collect(),
        })
    });
    Some(SitePlan {
        zone: site.time_zone.as_ref().unwrap_or(&estate.group.time_zone).rules(),
        currency: estate.group.currency.to_string(),
        machines: machines.collect(),
        pieces,
    })
}

fn clock(family: &Family) -> Clock {
    let seconds = |q: &Quantity| q.duration().map_or(0.1, |s| s.0);
    match &family.timing {
        Timing::Hand { resolution, .. } => Clock::Thumb(seconds(resolution).max(0.01)),
        Timing::Machine { tolerance } => Clock::Machine(seconds(tolerance)),
    }
}

/// A piece with no error yet.
fn piece(key: &str, kind: &MeasureKind) -> Option<Piece> {
    let millilitres = |q: &Quantity| q.volume().map(|v| v.0);
    let grams = |q: &Quantity| q.mass().map(|m| m.0);
    let unit = |q: &Quantity, amount: f64| WrittenUnit {
        text: q.unit.to_string(),
        size: amount / number(q),
    };
    let (shows, tolerance) = match &kind.reads {
        Reads::Vessel { marks: MarksRead::Every(division), tolerance, .. } => {
            let size = millilitres(division)?;
            (
                Shows::Divisions { division: size, unit: unit(division, size) },
                millilitres(tolerance)?,
            )
        }
        Reads::Vessel { marks: MarksRead::One(mark), tolerance, .. } => (
            Shows::OneMark { mark: millilitres(mark)?, text: mark.to_string() },
            millilitres(tolerance)?,
        ),
        Reads::Scale { resolution, tolerance, tared } => {
            let size = grams(resolution)?;
            (
                Shows::Weight { resolution: size, unit: unit(resolution, size), tared: *tared },
                grams(tolerance)?,
            )
        }
    };
    let unlimited = matches!(shows, Shows::Weight { .. });
    let holds = kind.capacity.as_ref().and_then(millilitres);
    let holds = holds.unwrap_or(if unlimited { f64::INFINITY } else { HOLDS });
    Some(Piece { key: key.to_owned(), shows, tolerance, error: 0.0, holds })
}

fn number(q: &Quantity) -> f64 {
    q.number.to_string().parse().unwrap_or(1.0)
}

/// A target as mL.
fn volume(target: &Quantity, density: f64) -> Option<f64> {
    target
        .volume()
        .map(|v| v.0)
        .or_else(|| target.mass().map(|m| m.0 / density))
        .filter(|v| *v > 0.0)
}

/// g/mL of a product as the estate states it; 1 where it says nothing.
pub(crate) fn density_of(estate: &Estate, product: &str) -> f64 {
    match estate.products.get(product).and_then(|p| p.density) {
        Some(Density::Stated(x)) => x.value.to_string().parse().unwrap_or(1.0),
        Some(Density::Brix(x)) => x.value.to_string().parse().map_or(1.0, sucrose_density),
        None => 1.0,
    }
}

/// Sucrose solution at 20 °C, g/mL, from its Brix: straight between table rows.
/// Source: CRC Handbook column as found in public copies (0, 10 … 70 °Bx).
fn sucrose_density(brix: f64) -> f64 {
    const TABLE: [f64; 8] = [0.9982, 1.0381, 1.0810, 1.1270, 1.1765, 1.2295, 1.2864, 1.3472];
    let place = (brix / 10.0).clamp(0.0, 6.999);
    let row = place as usize;
    TABLE[row] + (place - row as f64) * (TABLE[row + 1] - TABLE[row])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brix_becomes_the_density_of_the_table() {
        assert!((sucrose_density(60.0) - 1.2864).abs() < 1e-12);
        assert!((sucrose_density(65.0) - 1.3168).abs() < 1e-3, "ICUMSA: 1.3166 at 65 °Bx, 20 °C");
    }
}
