//! Draining a line and filling it again: when a line drains at all, what stays as a film, and how long it takes.

#[cfg(test)]
mod tests;

use ouncewise_measure::Seconds;

use crate::fluid::{MilliNewtonsPerMetre, Properties};
use crate::line::{
    FlowError, Geometry, Line, Metres, MetresPerSecond, Millimetres, Pressure, Span, Top,
};

/// Standard acceleration of free fall in m/s².
pub(crate) const GRAVITY: f64 = 9.806_65;

/// How fast air is taken to follow a draining liquid where nobody timed it (JUDGE).
pub const DRAIN_SPEED: MetresPerSecond = MetresPerSecond(0.1);

/// A closed tube whose open end is narrower than this keeps its water, and one wider than the second lets it go (HY-125, READ).
const SEALED: (Millimetres, Millimetres) = (Millimetres(10.0), Millimetres(15.0));

const TIMED: Span = Span {
    what: "the time of a drain",
    unit: "s",
    from: 0.1,
    to: 86_400.0,
    mend: "time it from the opening of the top until it no longer runs",
};

/// Film over radius by a slug of air: `factor·Ca^(2/3) / (1 + bend·Ca^(2/3))`, Ca = viscosity × speed / surface tension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmLaw {
    /// 1.34 for slow slugs (HY-121, READ).
    pub factor: f64,
    /// 3.35 (HY-122, MEMORY).
    pub bend: f64,
}

impl FilmLaw {
    /// Aussillous and Quéré, 2000 (MEMORY; for slow slugs it is Bretherton's, READ).
    pub const AUSSILLOUS_QUERE: FilmLaw = FilmLaw { factor: 1.34, bend: 3.35 };

    /// The share of the liquid that stays on the wall of a tube as air goes through it: 3.2 % of water at 0.1 m/s, 27 % of
    /// 60 °Bx.
    #[must_use]
    pub fn film(self, speed: MetresPerSecond, liquid: &Properties) -> f64 {
        let power = libm::pow(capillary_number(speed, liquid), 2.0 / 3.0);
        let over_radius = self.factor * power / (1.0 + self.bend * power);
        1.0 - (1.0 - over_radius) * (1.0 - over_radius)
    }
}

impl Default for FilmLaw {
    fn default() -> FilmLaw {
        FilmLaw::AUSSILLOUS_QUERE
    }
}

/// Viscosity × speed / surface tension.
#[must_use]
pub fn capillary_number(speed: MetresPerSecond, liquid: &Properties) -> f64 {
    let MilliNewtonsPerMetre(tension) = liquid.surface_tension;
    liquid.viscosity.0 * speed.0 / tension
}

/// How much faster a slow slug of air goes than the liquid, as a fraction: `1.29·(3·Ca)^(2/3)`; its film is half of that
/// over the radius (Bretherton, 1961; HY-121, READ). Within 10 % below Ca = 0.005.
#[must_use]
pub fn bretherton(capillary_number: f64) -> f64 {
    1.29 * libm::pow(3.0 * capillary_number, 2.0 / 3.0)
}

/// When half of a thick liquid has run out of an open, upright tube: `8·ν·L / (R²·g)` (HY-124, READ and CALC). Thin liquids
/// are held back by nothing but their own fall, which takes longer than this.
#[must_use]
pub fn half_drained(bore: Millimetres, length: Metres, liquid: &Properties) -> Seconds {
    let radius = 0.5e-3 * bore.0;
    Seconds(8.0 * liquid.kinematic() * length.0 / (radius * radius * GRAVITY))
}

/// Why air is not advised for this line, or nothing if it can be drained. Only a line that can be opened at the top and
/// holds no pressure is drained.
#[must_use]
pub fn why_not_drained(line: &Line, geometry: &Geometry) -> Option<String> {
    match (line.pressure, line.top) {
        (Pressure::Held, _) => Some("the line holds pressure: it stays shut".into()),
        (Pressure::Unknown, _) => {
            Some("nobody said whether the line holds pressure: it stays shut".into())
        }
        (Pressure::None, Top::Unknown) => {
            Some("nobody said whether air can be let in at the top".into())
        }
        (Pressure::None, Top::Closed) => {
            let end = geometry.outlet_bore();
            let (keeps, lets_go) = SEALED;
            Some(if end.0 < keeps.0 {
                format!("closed at the top, a bore of {} mm keeps its liquid", end.0)
            } else if end.0 < lets_go.0 {
                format!("closed at the top, a bore of {} mm may keep its liquid or lose it", end.0)
            } else {
                format!("closed at the top, a bore of {} mm gulps: what stays is not known", end.0)
            })
        }
        (Pressure::None, Top::Opens) => None,
    }
}

/// How a line is drained.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Drain {
    /// How long it takes, if somebody timed it.
    pub takes: Option<Seconds>,
    /// How thick a film stays.
    pub law: FilmLaw,
}

/// A line after one drain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drained {
    /// How long it took.
    pub takes: Seconds,
    /// What stayed, over the line's volume.
    pub film: f64,
}

impl Drain {
    /// One drain of a line full of this liquid.
    ///
    /// Where nobody timed it, air follows at 0.1 m/s (JUDGE), or as slowly as the liquid's own weight moves it in an
    /// upright tube: twice the time in which half of it is out. Fittings are taken to keep the same share as the tubes (JUDGE).
    ///
    /// # Errors
    /// A time that no drain takes.
    pub fn of(&self, geometry: &Geometry, liquid: &Properties) -> Result<Drained, FlowError> {
        let all = geometry.tubes().map(|(bore, length)| bore * bore * length).sum::<f64>();
        let stated = self.takes.map(|takes| TIMED.check(takes.0)).transpose()?;
        let (mut takes, mut film, mut half) = (0.0, 0.0, 0.0);
        for (bore, length) in geometry.tubes() {
            let volume = bore * bore * length / all;
            let speed = match stated {
                Some(takes) => all / takes / (bore * bore),
                None => DRAIN_SPEED.0.min(by_its_weight(bore, liquid)),
            };
            takes += length / speed;
            half += length / by_its_weight(bore, liquid);
            film += volume * self.law.film(MetresPerSecond(speed), liquid);
        }
        // Half of it is still in after the half time, and the rest runs no faster (HY-124).
        Ok(Drained { takes: Seconds(stated.unwrap_or(takes.max(2.0 * half))), film })
    }
}

/// The speed at which a liquid sinks through an upright tube in laminar flow, in m/s; the bore in m.
fn by_its_weight(bore: f64, liquid: &Properties) -> f64 {
    GRAVITY * bore * bore / (32.0 * liquid.kinematic())
}

/// What is left after drains and refills: the film of the first times that of the others for each. Each refill is taken to
/// pick up the film and to mix it (JUDGE, as in HY-123).
#[must_use]
pub fn left_after(first: f64, others: f64, cycles: u32) -> f64 {
    match cycles {
        0 => 1.0,
        cycles => first * libm::pow(others, f64::from(cycles - 1)),
    }
}

/// How often to drain and refill until no more than this is left; at least once.
#[must_use]
pub fn cycles_for(first: f64, others: f64, residue: f64) -> u32 {
    (1..20).find(|cycles| left_after(first, others, *cycles) <= residue).unwrap_or(20)
}
