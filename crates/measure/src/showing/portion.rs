//! Amounts that were read as numbers become a portion with its standard uncertainty (JCGM 100:2008).
//!
//! A catch of `amount` over `t` seconds, or `n` doses, stands for the portion at the recipe's own draw `D`:
//!
//! ```text
//! portion = amount · (D − offset) / (t − offset)     or     amount · D / n
//! ```

use super::parts::{self, Parts, Source};
use super::{Setup, ShowError};
use crate::catch::{Amount, Draw, Target};
use crate::conformity::Limits;
use crate::instrument::{Measure, Timer};
use crate::special::{normal_within, t_within};
use crate::uncertainty::Budget;
use crate::uncertainty::propagation::Linearity;

/// One thing that is judged on a line: its product, or its water.
#[derive(Clone, Copy)]
pub(super) struct View<'a> {
    pub setup: &'a Setup,
    /// What it should be, and what still serves.
    pub target: f64,
    pub limits: Limits,
    /// What one unit of the measure is in the target's unit, and the relative standard uncertainty of it.
    pub conversion: (f64, f64),
}

impl<'a> View<'a> {
    /// The portion of a line.
    pub(super) fn product(setup: &'a Setup) -> Result<Self, ShowError> {
        let conversion = setup.conversion().ok_or_else(|| {
            let (target, caught) = match setup.aim.target {
                Target::Volume(_) => ("by volume", "by weight"),
                Target::Mass(_) => ("by weight", "by volume"),
            };
            ShowError::DensityMissing { target, caught }
        })?;
        Ok(View { setup, target: setup.aim.target.value(), limits: setup.aim.limits(), conversion })
    }

    /// The water of a ratio line.
    pub(super) fn water(setup: &'a Setup) -> Option<Self> {
        let (water, tolerance) = setup.aim.water?;
        let limits = Limits::around(water.0, tolerance);
        Some(View { setup, target: water.0, limits, conversion: setup.water_conversion() })
    }

    /// By what an amount over this draw is multiplied to be a portion, and the seconds that were divided by.
    pub(super) fn factor(&self, draw: Draw) -> (f64, Option<f64>) {
        let offset = self.setup.offset();
        match (self.setup.aim.draw, draw) {
            (Draw::Time(recipe), Draw::Time(ran)) => {
                ((recipe.0 - offset) / (ran.0 - offset), Some(ran.0 - offset))
            }
            (Draw::Doses(recipe), Draw::Doses(caught)) => {
                (f64::from(recipe) / f64::from(caught), None)
            }
            // Refused by `Setup::check` and `check_draw` before anything is computed.
            _ => (f64::NAN, None),
        }
    }

    /// What an amount read in the measure's own unit comes to, once the film of the catch before is taken off.
    pub(super) fn without_film(&self, amount: f64) -> f64 {
        match &self.setup.measure {
            // Between none of the film and all of it is in the reading.
            Measure::Vessel(vessel) => amount - 0.5 * vessel.film.0,
            Measure::Scale(_) => amount,
        }
    }

    /// One catch as a portion, in the target's unit.
    pub(super) fn poured(&self, amount: f64, draw: Draw) -> Poured {
        let (factor, seconds) = self.factor(draw);
        let (unit, density) = self.conversion;
        let portion = self.without_film(amount).max(0.0) * unit * factor;
        let mut parts = parts::of_reading(&self.setup.measure, amount).scaled(unit * factor);
        parts.set(Source::Density, portion * density);
        if let Some(seconds) = seconds {
            let timing = parts::of_timing(self.setup.timer).scaled(portion / seconds);
            for source in [Source::Thumb, Source::Display, Source::Machine] {
                parts.set(source, timing.get(source));
            }
        }
        Poured { portion, parts, water_degrees: f64::INFINITY }
    }
}

/// One catch as a portion.
#[derive(Clone, Copy)]
pub(super) struct Poured {
    pub portion: f64,
    pub parts: Parts,
    /// Degrees of freedom of the water's part.
    pub water_degrees: f64,
}

impl Poured {
    /// The syrup that goes with the recipe's water, where this much water was caught.
    pub(super) fn with_water(self, water: Water) -> Poured {
        let scale = water.wanted / water.amount;
        let portion = self.portion * scale;
        let mut parts = self.parts.scaled(scale);
        parts.set(Source::Water, portion * water.rest / water.amount);
        // A machine that errs by so many seconds does so over the water as well, and most of it cancels (JCGM 100, 5.2.2).
        let machine = parts.get(Source::Machine) - portion * water.machine / water.amount;
        parts.set(Source::Machine, machine);
        Poured { portion, parts, water_degrees: water.degrees_of_freedom }
    }
}

/// The water of all catches, over the recipe's draw, and the water that was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    pub amount: f64,
    pub wanted: f64,
    /// Standard uncertainty by the machine's timing alone.
    machine: f64,
    /// Standard uncertainty by all else, and its degrees of freedom. The measure's own error is in it: two levels of one
    /// measure err apart, for all that is known.
    rest: f64,
    degrees_of_freedom: f64,
}

impl Water {
    /// Standard uncertainty, in mL.
    pub fn uncertainty(&self) -> f64 {
        libm::hypot(self.machine, self.rest)
    }
}

/// The mean of all catches of a visit.
#[derive(Clone, Copy)]
pub(super) struct Portion {
    pub value: f64,
    pub u: f64,
    pub degrees_of_freedom: f64,
    pub first_order_enough: bool,
    /// First-order standard uncertainty of all but the dividing, and the relative one of what was divided by.
    over: f64,
    under: f64,
    parts: Parts,
    /// Degrees of freedom of the water's part, and of how the catches scatter.
    water_degrees: f64,
    scatter_degrees: f64,
}

impl Portion {
    /// As the water that a syrup goes with, where so much was wanted.
    pub(super) fn as_water(&self, wanted: f64) -> Water {
        let machine = libm::fabs(self.parts.get(Source::Machine));
        let rest = libm::sqrt((self.u * self.u - machine * machine).max(0.0));
        // The machine's part is known without limit (JCGM 100, G.4.1).
        let share = if self.u > 0.0 { rest / self.u } else { 1.0 };
        let degrees_of_freedom = self.degrees_of_freedom * share * share * share * share;
        Water { amount: self.value, wanted, machine, rest, degrees_of_freedom }
    }

    /// Of one catch or more.
    pub(super) fn of_mean(all: impl Iterator<Item = Poured> + Clone) -> Portion {
        // In one go, as every round computes each catch anew.
        let (mut count, mut value, mut single) = (0.0, 0.0, 0.0);
        let mut water_degrees = f64::INFINITY;
        let mut sum = Parts::default();
        for one in all.clone() {
            count += 1.0;
            value += one.portion;
            sum.add(&one.parts);
            single += one.parts.divisor();
            water_degrees = one.water_degrees.min(water_degrees);
        }
        let (value, mut parts, single) = (value / count, sum.averaged(count), single / count);
        let mut scatter_degrees = f64::INFINITY;
        if count > 1.0 {
            // What the catches scatter by (Type A) and what reading and timing should make them scatter by (Type B) are
            // one effect, never counted twice: the larger is kept, so that two catches that agree by chance prove nothing.
            let scatter = all.map(|one| (one.portion - value) * (one.portion - value)).sum::<f64>();
            let variance = scatter / (count - 1.0) / count;
            if variance > parts.passing() {
                parts = parts.without_passing();
                parts.set(Source::Scatter, libm::sqrt(variance));
                scatter_degrees = count - 1.0;
            }
        }
        Portion::new(value, parts, single, water_degrees, scatter_degrees)
    }

    /// `single` is the variance of one catch that comes from what it was divided by.
    fn new(
        value: f64,
        mut parts: Parts,
        single: f64,
        water_degrees: f64,
        scatter_degrees: f64,
    ) -> Portion {
        let first = parts.persistent() + parts.passing();
        let relative = |variance: f64| if value > 0.0 { libm::sqrt(variance) / value } else { 0.0 };
        let divisor = parts.divisor();
        let mut u = libm::sqrt(first);
        let rest = (first - divisor).max(0.0);
        let (over, under) = (libm::sqrt(rest), relative(divisor));
        let linearity = Linearity::of_quotient(value, relative(rest), under);
        // A quotient of uncertain values lies high by the variance of its divisor, and repeating does not mend that.
        let shift = value * relative(single) * relative(single);
        let more = linearity.second_order - linearity.first_order;
        let first_order_enough = shift + 2.0 * more <= FIRST_ORDER * u;
        let budget = |parts: &Parts| parts.budget(water_degrees, scatter_degrees);
        if !first_order_enough {
            let variance = shift * shift + more * (linearity.second_order + linearity.first_order);
            parts.set(Source::Dividing, libm::sqrt(variance));
            u = budget(&parts).combined();
        }
        let degrees_of_freedom = if water_degrees.min(scatter_degrees) < f64::INFINITY {
            budget(&parts).effective_degrees_of_freedom()
        } else {
            f64::INFINITY
        };
        Portion {
            value,
            u,
            degrees_of_freedom,
            first_order_enough,
            over,
            under,
            parts,
            water_degrees,
            scatter_degrees,
        }
    }

    /// Where its doubt comes from.
    pub(super) fn budget(&self) -> Budget {
        self.parts.budget(self.water_degrees, self.scatter_degrees)
    }

    /// Probability that the true portion lies within limits (JCGM 106, 7.4), as that of a quotient: the true portion lies
    /// under a limit exactly where `amount − limit · divisor` lies under zero, which stays a plain sum however short the
    /// draw was (Fieller's argument). Without a divisor it is the plain normal or t probability.
    pub(super) fn probability(&self, limits: Limits) -> f64 {
        if self.over == 0.0 && self.under == 0.0 {
            return f64::from(limits.hold(self.value));
        }
        let (over, under) = (self.over * self.over, self.under * self.under);
        let from = |limit: f64| (limit - self.value) / libm::sqrt(over + limit * limit * under);
        let (low, high) = (from(limits.lower), from(limits.upper));
        if self.degrees_of_freedom == f64::INFINITY {
            normal_within(low, high)
        } else {
            // Truncated before the look-up (JCGM 100, G.4.1 note 1).
            t_within(low, high, libm::floor(self.degrees_of_freedom * (1.0 + 1e-12)).max(1.0))
        }
    }
}

/// First order is enough while what it leaves out moves an end of the 95 % interval by less than this fraction of the
/// standard uncertainty. It is the test of JCGM 101, 8.1, at one significant digit, taken at the digit where it is
/// strictest (½ of one in 9.5, a nineteenth), so that the answer does not depend on the unit.
const FIRST_ORDER: f64 = 1.0 / 19.0;

/// A draw counts as another one where it differs by more than this fraction, or by more than three standard
/// uncertainties of its own timing.
const SAME_DRAW: f64 = 0.10;

/// Seconds by which two draws of a line that was meant to run `seconds` may differ.
fn same_draw(setup: &Setup, seconds: f64) -> f64 {
    let timing = match setup.timer {
        Timer::Hand { spread, .. } => spread.0,
        Timer::Machine { tolerance } => tolerance.0,
    };
    (SAME_DRAW * seconds).max(3.0 * timing)
}

/// Refuses draws that cannot be computed with or pooled. True where one is another draw than the recipe's and the family
/// states no opening offset, so that the portion at the recipe's draw is only a guess.
pub(super) fn check_draws(
    setup: &Setup,
    draws: impl Iterator<Item = (usize, Draw)>,
) -> Result<bool, ShowError> {
    let (mut shortest, mut longest, mut other) = (f64::INFINITY, 0f64, false);
    for (number, draw) in draws {
        match (setup.aim.draw, draw) {
            (Draw::Time(recipe), Draw::Time(ran)) => {
                let what = "the time it ran";
                if !(ran.0 > 0.0 && ran.0.is_finite()) {
                    return Err(ShowError::Catch {
                        number,
                        what,
                        value: ran.0,
                        hint: "give seconds above zero",
                    });
                }
                if ran.0 <= setup.offset() {
                    let hint = "it must be longer than the valve's opening offset";
                    return Err(ShowError::Catch { number, what, value: ran.0, hint });
                }
                (shortest, longest) = (shortest.min(ran.0), longest.max(ran.0));
                other |= (ran.0 - recipe.0).abs() > same_draw(setup, recipe.0);
            }
            (Draw::Doses(_), Draw::Doses(0)) => {
                let hint = "give one dose or more";
                return Err(ShowError::Catch {
                    number,
                    what: "the number of doses",
                    value: 0.0,
                    hint,
                });
            }
            (Draw::Doses(_), Draw::Doses(_)) => {}
            (Draw::Time(_), Draw::Doses(_)) => {
                return Err(ShowError::DrawKind { number, wanted: "seconds", given: "doses" });
            }
            (Draw::Doses(_), Draw::Time(_)) => {
                return Err(ShowError::DrawKind { number, wanted: "doses", given: "seconds" });
            }
        }
    }
    if setup.opening_offset.is_some() {
        return Ok(false);
    }
    if longest - shortest > same_draw(setup, shortest) {
        return Err(ShowError::DrawsDiffer { shortest, longest });
    }
    Ok(other)
}

/// The number that was read, in the measure's own unit; the mark's own volume where only that was.
pub(super) fn amount(amount: Amount) -> f64 {
    match amount {
        Amount::Volume(volume) | Amount::Mark(_, volume) => volume.0,
        Amount::Mass(mass) => mass.0,
    }
}

/// The amount in the measure's own unit, or what is wrong with it. A mark is given by its own volume.
pub(super) fn check_amount(setup: &Setup, number: usize, amount: Amount) -> Result<(), ShowError> {
    let wrong = match (&setup.measure, amount) {
        (Measure::Vessel(_), Amount::Mass(_)) => Some(("by weight", "a vessel")),
        (Measure::Scale(_), Amount::Volume(_)) => Some(("by volume", "a scale")),
        (Measure::Scale(_), Amount::Mark(..)) => Some(("at a mark", "a scale")),
        _ => None,
    };
    if let Some((caught, measure)) = wrong {
        return Err(ShowError::WrongMeasure { number, caught, measure });
    }
    let value = self::amount(amount);
    if value >= 0.0 && value.is_finite() {
        Ok(())
    } else {
        Err(ShowError::Catch {
            number,
            what: "the amount",
            value,
            hint: "give what was caught, zero or more",
        })
    }
}
