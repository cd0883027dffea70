//! What cold does to a portion.

use ouncewise_measure::Celsius;
use ouncewise_measure::print::{self, Units};

use super::pressure::{KiloPascals, suction_ceiling};
use super::{FlowError, Line, MlPerSecond};
use crate::fluid::Fluid;

/// What makes the product flow, and what holds it back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Feed {
    /// Pressure, held back by the tube alone.
    PressureThroughTube,
    /// Pressure, held back by a screw or another narrow place that is not tube.
    PressureThroughScrew,
    /// A pump that moves the same volume at each turn, as far as its suction reaches.
    Pump {
        /// What it moves.
        flow: MlPerSecond,
        /// What it can pull.
        suction: KiloPascals,
    },
}

/// A portion in the cold, over that in the warm, drawn for the same time.
#[derive(Debug, Clone, PartialEq)]
pub enum Portion {
    /// This much of it.
    Share(f64),
    /// Between these: what the tube alone would give, and no change.
    Between(f64, f64),
}

/// What cold does to a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Cold {
    /// How many times as thick the product is.
    pub thicker: f64,
    /// What that leaves of the portion.
    pub portion: Portion,
    /// The most that can be pulled in the cold; only where a pump pulls, and the flow would be laminar.
    pub ceiling: Option<MlPerSecond>,
    /// In words, in the reader's units.
    pub words: String,
}

/// What a line gives at `cold`, over what it gives at `warm`.
///
/// Held back by its tube alone, a line that is fed by pressure gives less in the measure that the product is thicker: 60
/// °Bx at 5 °C gives 28 % of its portion at 25 °C (HY-98, CALC). That figure is not the screw's: a screw is a narrow place
/// where a thick product creeps and a thin one shoots, so its portion lies between that and no change, and only a catch
/// tells. A pump gives the same until the product is too thick to be pulled (HY-97, CALC).
///
/// # Errors
/// A line that is not known, and temperatures or strengths that the product's viscosity is not known for.
pub fn cold(
    line: &Line,
    feed: Feed,
    product: Fluid,
    warm: Celsius,
    cold: Celsius,
    units: Units,
) -> Result<Cold, FlowError> {
    let geometry = line.geometry()?;
    let (thin, thick) = (product.at(warm)?, product.at(cold)?);
    let thicker = thick.viscosity.0 / thin.viscosity.0;
    // The same pressure moves less of what is thicker; more, if it was the other way round.
    let tube = 1.0 / thicker;
    let said = format!(
        "at {} the product is {thicker:.1} times as thick as at {}",
        print::temperature(cold, units),
        print::temperature(warm, units)
    );
    let (portion, ceiling, words) = match feed {
        Feed::PressureThroughTube => {
            let words = format!(
                "{said}: a line that its tube holds back gives {:.0} % of its portion",
                100.0 * tube
            );
            (Portion::Share(tube), None, words)
        }
        Feed::PressureThroughScrew => {
            let words = format!(
                "{said}: the tube alone would give {:.0} %, but it is the screw that holds back here; its portion is between that and no change, and only a catch tells",
                100.0 * tube
            );
            (Portion::Between(tube.min(1.0), tube.max(1.0)), None, words)
        }
        Feed::Pump { flow, suction } => {
            geometry.seconds_per_volume(flow)?;
            let most = |product| match suction_ceiling(&geometry, product, suction) {
                Ok(most) => Ok(Some(most)),
                Err(FlowError::NotLaminar { .. }) => Ok(None),
                Err(other) => Err(other),
            };
            let (before, ceiling) = (most(&thin)?, most(&thick)?);
            let pulled = |most: Option<MlPerSecond>| most.map_or(flow.0, |most| most.0.min(flow.0));
            let words = match ceiling {
                Some(most) if most.0 < flow.0 => format!(
                    "{said}: no more than {} of it can be pulled through this line, so the pump starves; warm the product, or draw slower",
                    print::amount(most.0, 2, "mL/s", units)
                ),
                _ => format!("{said}: the pump moves the same volume, and can still pull it"),
            };
            (Portion::Share(pulled(ceiling) / pulled(before)), ceiling, words)
        }
    };
    Ok(Cold { thicker, portion, ceiling, words })
}
