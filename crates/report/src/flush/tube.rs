//! What the tube and the feed allow of a flow while the line is still full of something thick.

use ouncewise_hygiene::fluid::Fluid;
use ouncewise_hygiene::line::{
    AVAILABLE_SUCTION, FlowError, Geometry, KiloPascals, MlPerSecond, pressure_drop,
};
use ouncewise_measure::Celsius;
use ouncewise_measure::print::{self, Units};
use schemars::JsonSchema;
use serde::Serialize;

use super::number;

/// What it takes to move what is in the line at the flow that was said.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TubeReport {
    /// The pressure that the tubes alone take at that flow while they are full of it, in kPa: at least this.
    pub needed_kpa: f64,
    /// The most that is there to move it, in kPa.
    pub most_kpa: f64,
    /// Whether nobody said that most, so that it is assumed.
    pub assumed: bool,
    /// The most that flows at first, in mL/s; null where the flow that was said can be reached.
    pub most_ml_per_s: Option<f64>,
    /// In words.
    pub words: String,
}

/// What the tubes and the pressure allow. Without a stated pressure, that of a pump that pulls.
pub(super) fn allowed(
    geometry: &Geometry,
    flow: MlPerSecond,
    stated: Option<KiloPascals>,
    old: Fluid,
    (at, units): (Celsius, Units),
) -> Result<TubeReport, FlowError> {
    let old = old.at(at)?;
    let needed = pressure_drop(geometry, flow, &old)?;
    let most = stated.unwrap_or(AVAILABLE_SUCTION);
    let from = match stated {
        Some(_) => format!("{} kPa are there", number(most.0)),
        None => format!(
            "nobody said what moves it: {} kPa are taken, which is what a pump can pull",
            number(most.0)
        ),
    };
    let rate = |ml_per_s: f64| print::amount(ml_per_s, 3, "mL/s", units);
    let said = format!(
        "full of what is in it ({} mPa·s, {} g/mL), the line takes {} kPa for {}, and {from}",
        number(old.viscosity.0),
        number(old.density),
        number(needed.0),
        rate(flow.0)
    );
    let most_ml_per_s = (needed > most).then(|| reached(geometry, flow, most, &old)).transpose()?;
    let words = match most_ml_per_s {
        None => format!("{said}: the flow can be reached"),
        Some(reached) => format!(
            "{said}: this flow cannot be reached. No more than {} comes at first: catch the flow while it flushes, or warm the line",
            rate(reached)
        ),
    };
    Ok(TubeReport {
        needed_kpa: needed.0,
        most_kpa: most.0,
        assumed: stated.is_none(),
        most_ml_per_s,
        words,
    })
}

/// The flow that takes all of a pressure, below one that takes more.
fn reached(
    geometry: &Geometry,
    flow: MlPerSecond,
    most: KiloPascals,
    old: &ouncewise_hygiene::fluid::Properties,
) -> Result<f64, FlowError> {
    let (mut low, mut high) = (0.0, flow.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        // Below what is computed at all, the pressure is as little as nothing.
        if MlPerSecond(middle).of_a_flush().is_ok()
            && pressure_drop(geometry, MlPerSecond(middle), old)? > most
        {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(low)
}
