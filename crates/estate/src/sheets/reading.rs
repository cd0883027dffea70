//! What was read of one catch, and the limits of what can be.

use ouncewise_ledger::{Body, LineState};
use ouncewise_measure::quantity::{Dimension, Fault, QuantityError};
use ouncewise_measure::{AmountRead, DrawRead, Metering, Quantity, Unit};
use rust_decimal::prelude::ToPrimitive;

use super::code::{Code, Refusal};
use super::index::{Index, Spot};
use crate::measure_kind::Reads;

/// More than this is no portion: 20 L, in mL; 20 kg, in g.
const MOST: f64 = 20_000.0;
/// More than this many times the recipe is a slip of the unit, not a reading.
const TIMES_TARGET: f64 = 20.0;
/// A draw longer than an hour is no draw.
const LONGEST_DRAW: f64 = 3600.0;
/// More doses than anybody catches.
const MOST_DOSES: u32 = 1000;
/// What was read of one catch.
pub(super) struct Reading<'t> {
    pub(super) amount: AmountRead,
    pub(super) draw: DrawRead,
    pub(super) measure: &'t str,
    pub(super) state: LineState,
    pub(super) water: Option<AmountRead>,
    pub(super) water_draw: Option<DrawRead>,
    pub(super) temperature: Option<Quantity>,
}

impl Reading<'_> {
    /// Checks a catch against its line and measure.
    pub(super) fn body(&self, index: &Index<'_>, spot: &Spot<'_>) -> Result<Body, Refusal> {
        self.check_draw(spot)?;
        let (measure, kind) =
            index.find_measure(spot, self.measure).map_err(|r| r.column("measure"))?;
        let (AmountRead::Number(read) | AmountRead::Mark { mark: read, .. }) = self.amount;
        let amount = about(read);
        if let Some(kind) = kind {
            let scale = matches!(kind.reads, Reads::Scale { .. });
            if scale != (read.unit.dimension() == Dimension::Mass) {
                let (what, reads) = if scale {
                    ("a volume", "a scale, which reads a weight")
                } else {
                    ("a weight", "a vessel, which reads a volume")
                };
                return Err(Refusal::new(
                    0,
                    Code::WrongUnit,
                    format!("`{}` is {what}, and {measure} is {reads}", self.amount),
                )
                .column("unit")
                .hint("mend the unit, or name the measure that was used"));
            }
            // A cup can be filled over its last mark; half as much again cannot.
            let most =
                kind.capacity.filter(|c| c.unit.dimension() == read.unit.dimension()).map(about);
            if most.is_some_and(|most| amount > 1.5 * most) {
                return Err(impossible(format!("`{}` does not fit into {measure}", self.amount))
                    .column("amount"));
            }
        }
        if amount > MOST || self.over_target(spot, read) {
            return Err(impossible(format!(
                "`{}` is far more than the portion of {}",
                self.amount, spot.line.target
            ))
            .column("amount"));
        }
        self.check_water(spot)?;
        self.check_temperature()?;
        Ok(Body::CatchTaken {
            state: self.state,
            amount: self.amount.to_string(),
            draw: self.draw.to_string(),
            measure: measure.to_string(),
            water: self.water.map(|w| w.to_string()),
            water_draw: self.water_draw.map(|d| d.to_string()),
            temperature: self.temperature.map(|t| t.to_string()),
        })
    }

    fn check_draw(&self, spot: &Spot<'_>) -> Result<(), Refusal> {
        for (draw, column) in [(Some(self.draw), "seconds"), (self.water_draw, "water_seconds")] {
            match draw {
                Some(DrawRead::Time(t)) if about(t) > LONGEST_DRAW => {
                    return Err(impossible(format!("`{t}` is longer than any draw")).column(column));
                }
                Some(DrawRead::Doses(n)) if n > MOST_DOSES => {
                    return Err(impossible(format!("{n} doses are more than anybody catches"))
                        .column("doses"));
                }
                _ => {}
            }
        }
        let unclear = |reason: &str, column: &str| {
            Err(Refusal::new(0, Code::DrawUnclear, reason).column(column))
        };
        match (spot.family.map(|f| f.metering), self.draw) {
            (Some(Metering::Rate), DrawRead::Doses(_)) => {
                unclear("the line is metered by the second, and no seconds are given", "seconds")
            }
            (Some(Metering::Dose), DrawRead::Time(_)) => {
                unclear("the line is metered by the dose, and no doses are given", "doses")
            }
            _ => Ok(()),
        }
    }

    /// Whether an amount is far over what the recipe asks in the same sort of unit, for this draw.
    fn over_target(&self, spot: &Spot<'_>, read: Quantity) -> bool {
        let target = spot.line.target;
        let times = match (self.draw, spot.line.draw) {
            (DrawRead::Time(a), DrawRead::Time(b)) => about(a) / about(b),
            (DrawRead::Doses(a), DrawRead::Doses(b)) => f64::from(a) / f64::from(b),
            _ => 1.0,
        };
        target.unit.dimension() == read.unit.dimension()
            && about(read) > TIMES_TARGET * about(target) * times.max(1.0)
    }

    fn check_water(&self, spot: &Spot<'_>) -> Result<(), Refusal> {
        let Some(water) = self.water else { return Ok(()) };
        if spot.line.water.is_none() {
            return Err(Refusal::new(0, Code::WrongUnit, "the line has no water")
                .column("water")
                .hint("leave the cell empty, or describe the water of the line"));
        }
        let (AmountRead::Number(read) | AmountRead::Mark { mark: read, .. }) = water;
        if about(read) > MOST {
            return Err(
                impossible(format!("`{water}` of water is more than any drink")).column("water")
            );
        }
        Ok(())
    }

    fn check_temperature(&self) -> Result<(), Refusal> {
        let Some(read) = self.temperature else { return Ok(()) };
        if read.unit.dimension() != Dimension::Temperature {
            return Err(Refusal::new(0, Code::WrongUnit, format!("`{read}` is no temperature"))
                .column("temperature")
                .hint("write it as `4 °C` or `39 °F`"));
        }
        if !(-30.0..=100.0).contains(&about(read)) {
            return Err(impossible(format!("`{read}` is no temperature of a product"))
                .column("temperature"));
        }
        Ok(())
    }
}

/// A quantity in mL, g, s or °C, near enough for limits; exact conversion is ten times slower.
fn about(quantity: Quantity) -> f64 {
    let number = quantity.number.to_f64().unwrap_or(f64::MAX);
    match quantity.unit {
        Unit::Millilitre | Unit::Gram | Unit::Second => number,
        unit => {
            let (offset, numerator, denominator) = unit.factor();
            (number - offset as f64) * numerator as f64 / denominator as f64
        }
    }
}

fn impossible(reason: String) -> Refusal {
    Refusal::new(0, Code::Impossible, reason).hint("mend the number or its unit")
}

/// A quantity that could not be read, as a refusal.
pub(super) fn misread(error: &QuantityError) -> Refusal {
    let code = match error.fault {
        Fault::NoUnit | Fault::WhichUnit | Fault::UnknownUnit => Code::UnitUnclear,
        Fault::WrongDimension => Code::WrongUnit,
        Fault::TooSmall | Fault::NotWhole => Code::Impossible,
        _ => Code::NotAnAmount,
    };
    Refusal::new(0, code, error.what.clone()).hint(error.mend.clone())
}

/// A number of seconds, from a cell that may carry no unit.
pub(super) fn seconds(text: &str) -> Result<DrawRead, Refusal> {
    let draw = match plain(text) {
        Some(number) => DrawRead::Time(Quantity::new(number, Unit::Second)),
        None => text.parse::<DrawRead>().map_err(|e| misread(&e).column("seconds"))?,
    };
    match draw {
        DrawRead::Time(t) if t.number.is_sign_negative() || t.number.is_zero() => {
            draw.draw().map(|_| draw).map_err(|e| misread(&e).column("seconds"))
        }
        _ => Ok(draw),
    }
}

/// A number without a unit, a point or one comma for decimals; quickly.
pub(super) fn plain(text: &str) -> Option<rust_decimal::Decimal> {
    let simple = text.len() <= 12
        && !text.is_empty()
        && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if simple && !text.starts_with('.') && !text.ends_with('.') {
        return text.parse().ok();
    }
    crate::percent::decimal(text)
}

/// Whether a unit is one of amounts.
pub(super) fn is_amount(unit: Unit) -> bool {
    matches!(unit.dimension(), Dimension::Volume | Dimension::Mass)
}
