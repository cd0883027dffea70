//! What one catch says of the logarithm of the portion, for those who follow a line over time.

use super::marks::at_half_width;
use super::parts::{self, Source};
use super::portion::{self, Portion, View};
use super::{Setup, ShowError};
use crate::catch::{Amount, Catch, Metering};
use crate::reading::MarkSide;
use crate::uncertainty::type_b::triangular;

/// What one catch says of the natural logarithm of the portion at the recipe's own draw, in mL or g as the target is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// The lower end; of a number, both ends are it. Minus infinity where only *under* was said.
    pub from: f64,
    /// The upper end; infinite where only *over* was said.
    pub to: f64,
    /// Variance of what differs from catch to catch: reading, thumb, display.
    pub passing: f64,
    /// Variance of what comes back with the same measure: its tolerance, the film, the density, the machine's timing.
    pub persistent: f64,
}

/// A setup that was found good, to read a line's many catches with.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked(Setup);

impl Checked {
    /// Checks a setup.
    ///
    /// # Errors
    /// Whatever makes every portion impossible to compute; see [`ShowError`].
    pub fn new(setup: Setup) -> Result<Self, ShowError> {
        setup.check()?;
        View::product(&setup)?;
        Ok(Self(setup))
    }

    /// Reads one catch, to first order in its doubts. On a ratio line the syrup is scaled to the recipe's water, where the
    /// water was caught as a number. No flow at all (or no water) says nothing of a level: `None`.
    ///
    /// # Errors
    /// Whatever makes this portion impossible to compute; see [`ShowError`].
    pub fn seen(&self, catch: &Catch) -> Result<Option<Seen>, ShowError> {
        seen(&self.0, catch)
    }
}

fn seen(setup: &Setup, catch: &Catch) -> Result<Option<Seen>, ShowError> {
    let view = View::product(setup)?;
    portion::check_draws(setup, [(1, catch.draw)].into_iter())?;
    portion::check_amount(setup, 1, catch.amount)?;
    if let Amount::Mark(side, mark) = catch.amount {
        return Ok(at_mark(&view, side, mark.0, catch));
    }
    let mut poured = view.poured(portion::amount(catch.amount), catch.draw);
    if setup.aim.metering == Metering::Ratio
        && let (Some(water), Some((amount, draw))) = (View::water(setup), catch.water)
        && !matches!(amount, Amount::Mark(..))
    {
        portion::check_amount(setup, 1, amount)?;
        let read = water.poured(portion::amount(amount), draw);
        if read.portion.is_nan() || read.portion <= 0.0 {
            return Ok(None);
        }
        let water = Portion::of_mean(std::iter::once(read)).as_water(water.target);
        poured = poured.with_water(water);
    }
    let portion = poured.portion;
    if !portion.is_finite() || portion <= 0.0 {
        return Ok(None);
    }
    let level = libm::log(portion);
    let relative = |variance: f64| variance / (portion * portion);
    Ok(Some(Seen {
        from: level,
        to: level,
        passing: relative(poured.parts.passing()),
        persistent: relative(poured.parts.persistent()),
    }))
}

/// The level of a mark, and what lies beyond it.
fn at_mark(view: &View<'_>, side: MarkSide, mark: f64, catch: &Catch) -> Option<Seen> {
    let (factor, seconds) = view.factor(catch.draw);
    let half = at_half_width(&view.setup.measure);
    let level = |read: f64| {
        let portion = view.without_film(read) * view.conversion.0 * factor;
        if portion > 0.0 { libm::log(portion) } else { f64::NEG_INFINITY }
    };
    let (from, to) = match side {
        MarkSide::At => (level(mark - half), level(mark + half)),
        MarkSide::Over => (level(mark + half), f64::INFINITY),
        MarkSide::Under => (f64::NEG_INFINITY, level(mark - half)),
    };
    if mark.is_nan() || mark <= 0.0 || from.is_nan() || to.is_nan() {
        return None;
    }
    let reading = parts::of_reading(&view.setup.measure, mark);
    let timing = parts::of_timing(view.setup.timer);
    let of_time = |variance: f64| seconds.map_or(0.0, |s| variance / (s * s));
    let square = |x: f64| x * x;
    Some(Seen {
        from,
        to,
        // Whether the end of "at" was passed is judged as well as half a division (see the module of marks).
        passing: square(triangular(half) / mark) + of_time(timing.passing()),
        persistent: square(reading.get(Source::Tolerance) / mark)
            + square(reading.get(Source::Film) / mark)
            + square(view.conversion.1)
            + of_time(timing.persistent()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catch::{Aim, Draw, Target};
    use crate::instrument::{Timer, Vessel};
    use crate::quantity::{Millilitres, Seconds, Unit};
    use crate::{Adjuster, AmountRead, showing};

    fn setup() -> Setup {
        Setup {
            aim: Aim {
                metering: Metering::Rate,
                target: Target::Volume(Millilitres(30.0)),
                tolerance: 0.05,
                draw: Draw::Time(Seconds(7.0)),
                water: None,
            },
            measure: Vessel::graduated(Millilitres(1.0), Millilitres(0.5)).unwrap().into(),
            marked_in: Unit::Millilitre,
            timer: Timer::by_hand(),
            density: None,
            temperature: None,
            opening_offset: None,
            adjuster: Adjuster::Taught,
            setting: None,
            last_adjusted: None,
            risk: 0.05,
        }
    }

    fn catch(amount: &str, seconds: f64) -> Catch {
        Catch {
            amount: amount.parse::<AmountRead>().unwrap().amount().unwrap(),
            draw: Draw::Time(Seconds(seconds)),
            temperature: None,
            water: None,
        }
    }

    // The same doubt as the verdict's budget, over the portion.
    #[test]
    fn a_number_has_the_budgets_doubt() {
        let one = catch("28.4 mL", 7.1);
        let seen = seen(&setup(), &one).unwrap().unwrap();
        let shown = showing::show(&setup(), &[one]).unwrap();
        let portion = shown.portion.unwrap();
        assert_eq!(seen.from, seen.to);
        assert!((seen.from - portion.ln()).abs() < 1e-12);
        let relative = (seen.passing + seen.persistent).sqrt();
        // The verdict's has second-order terms of the division on top.
        assert!((relative / (shown.standard_uncertainty / portion) - 1.0).abs() < 1e-3);
        let persistent: f64 = shown
            .budget
            .parts()
            .iter()
            .filter(|part| part.persistent)
            .map(|part| part.contribution.powi(2))
            .sum();
        assert!((seen.persistent * portion * portion / persistent - 1.0).abs() < 1e-2);
    }

    #[test]
    fn a_mark_has_two_ends_or_one() {
        let ends = |amount: &str| {
            let seen = seen(&setup(), &catch(amount, 7.0)).unwrap().unwrap();
            (seen.from.exp(), seen.to.exp())
        };
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} is not {b}");
        let (low, high) = ends("at 30 mL");
        near(low, 29.5);
        near(high, 30.5);
        let (low, high) = ends("over 30 mL");
        near(low, 30.5);
        assert_eq!(high, f64::INFINITY);
        let (low, high) = ends("under 30 mL");
        assert_eq!(low, 0.0);
        near(high, 29.5);
    }

    #[test]
    fn no_flow_is_no_level() {
        assert_eq!(seen(&setup(), &catch("0 mL", 7.0)).unwrap(), None);
    }
}
