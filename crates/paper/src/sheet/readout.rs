//! What can be read on a measure: its own unit, and the step that an eye or a display can tell.

use ouncewise_estate::{MarksRead, MeasureKind, Reads, Units};
use ouncewise_measure::{Quantity, Unit, print};

/// A stopwatch is stopped by a thumb: hundredths of a second say nothing.
const SECONDS_STEP: f64 = 0.1;

/// How a reading is rounded and printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Readout {
    /// The unit that stands on the measure.
    pub unit: Unit,
    /// The smallest step that is read, in that unit.
    step: f64,
}

impl Readout {
    /// Of amounts in a measure. A graduated vessel is read to a tenth of a division, cut to a decimal place; a scale to
    /// its own step.
    pub fn of(kind: &MeasureKind) -> Readout {
        let number = |q: Quantity| q.unit.of_base(base(q));
        match kind.reads {
            Reads::Vessel { marks: MarksRead::Every(q) | MarksRead::One(q), .. } => {
                let tenth = libm::floor(libm::log10(number(q) / 10.0) + 1e-9);
                Readout { unit: q.unit, step: libm::exp10(tenth) }
            }
            Reads::Scale { resolution: q, .. } => Readout { unit: q.unit, step: number(q) },
        }
    }

    /// Of seconds on a stopwatch.
    pub fn seconds() -> Readout {
        Readout { unit: Unit::Second, step: SECONDS_STEP }
    }

    /// Of the mean of a few readings, which falls between the steps.
    pub fn of_mean(self) -> Readout {
        Readout { step: self.step / 10.0, ..self }
    }

    /// Whether so much (in mL, g or s) is only a step or two.
    pub fn is_narrow(self, base: f64) -> bool {
        self.unit.of_base(base) < 3.0 * self.step
    }

    /// The reading (mL, g or s) at or over `base`, to the step.
    pub fn up(self, base: f64) -> f64 {
        libm::ceil(self.unit.of_base(base) / self.step - 1e-9) * self.step
    }

    /// The reading at or under `base`, to the step.
    pub fn down(self, base: f64) -> f64 {
        libm::floor(self.unit.of_base(base) / self.step + 1e-9) * self.step
    }

    /// A number in the measure's unit, with the decimals of the step.
    pub fn print(self, number: f64) -> String {
        let places = (0..6).find(|places| {
            let scaled = self.step * libm::exp10(f64::from(*places));
            (scaled - libm::round(scaled)).abs() < 1e-6
        });
        format!("{number:.*}", places.unwrap_or(6) as usize)
    }

    /// How much a small step of the adjuster changes a reading, with its unit: two digits.
    pub fn change(self, base: f64) -> String {
        format!("{} {}", print::significant(self.unit.of_base(base), 2), self.unit)
    }

    /// An amount with its unit, without idle zeros: `30 mL`.
    pub fn amount(self, base: f64) -> String {
        let text = print::significant(self.unit.of_base(base), 3);
        let text = match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.'),
            false => &text,
        };
        format!("{text} {}", self.unit)
    }
}

/// In mL, g or s.
fn base(q: Quantity) -> f64 {
    q.exact().to_f64()
}

/// A recipe's amount as written; in the wanted units as well, where neither it nor the measure is in them already.
pub(super) fn asked(q: Quantity, read: Option<Unit>, units: Units) -> String {
    let known = read.is_some_and(|unit| metric(unit) == metric(q.unit));
    if known || metric(q.unit) == (units == Units::Metric) {
        return q.to_string();
    }
    match (q.volume(), q.mass()) {
        (Some(volume), _) => format!("{q} = {}", print::volume(volume, units)),
        (_, Some(mass)) => format!("{q} = {}", print::mass(mass, units)),
        _ => q.to_string(),
    }
}

fn metric(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Microlitre
            | Unit::Millilitre
            | Unit::Centilitre
            | Unit::Decilitre
            | Unit::Litre
            | Unit::Milligram
            | Unit::Gram
            | Unit::Kilogram
    )
}
