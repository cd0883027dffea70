//! A line whose volume somebody measured: what follows from it for bore, length and fittings.

use core::f64::consts::PI;

use ouncewise_hygiene::line::{Fitting, Line, Metres, Millimetres, Tube};
use ouncewise_measure::print::Units;
use ouncewise_measure::{Millilitres, print};

use crate::phrase::Misphrased;

/// How much less than its tubes a line may be measured to hold: a graduated jug and a tape are no better (JUDGE).
const SHORT: f64 = 0.9;

/// More than this beyond its tubes, over them, is taken for what its fittings hold (JUDGE).
const NEAR: f64 = 0.02;

/// More than this times what its tubes hold is more than fittings are likely to (JUDGE).
const FAR: f64 = 2.0;

/// What a tube of this bore in mm holds, in mL for each metre.
fn per_metre(bore: f64) -> f64 {
    0.25 * PI * bore * bore
}

/// The line with what a measured volume tells of it: the bore or the length of the one tube of which it is missing, or what
/// its fittings hold beyond its tubes.
pub(super) fn with_measured(line: Line, measured: Option<Millilitres>) -> Result<Line, Misphrased> {
    let Some(Millilitres(measured)) = measured else { return Ok(line) };
    if line.fittings.iter().any(|fitting| fitting.holds.is_some() && !fitting.dead_end) {
        return Err(Misphrased::new("volume", " is given, and so is what fittings hold")
            .hint("give the volume of the whole line, or that of its fittings: not both"));
    }
    let fits = |tubes: Vec<Tube>| Line { tubes, ..line.clone() };
    match line.tubes.as_slice() {
        [Tube { bore: Some(Millimetres(bore)), length: None }] if *bore > 0.0 => {
            let length = Some(Metres(measured / per_metre(*bore)));
            Ok(fits(vec![Tube { bore: Some(Millimetres(*bore)), length }]))
        }
        [Tube { bore: None, length: Some(Metres(length)) }] if *length > 0.0 => {
            let bore = Some(Millimetres((measured / length / per_metre(1.0)).sqrt()));
            Ok(fits(vec![Tube { bore, length: Some(Metres(*length)) }]))
        }
        tubes => {
            let held: Option<f64> = tubes
                .iter()
                .map(|tube| Some(per_metre(tube.bore?.0) * tube.length?.0))
                .sum::<Option<f64>>()
                .filter(|held| *held > 0.0);
            let Some(held) = held else { return Ok(line) };
            if measured < SHORT * held {
                return Err(Misphrased::new(
                    "volume",
                    format!(
                        ": its tubes alone hold {} times what was measured",
                        print::significant(held / measured, 2)
                    ),
                )
                .hint("look at bore and length again, or measure the volume again"));
            }
            let more = measured - held;
            let mut fittings: Vec<Fitting> =
                line.fittings.iter().copied().filter(|fitting| fitting.dead_end).collect();
            if more > NEAR * held {
                fittings.push(Fitting {
                    count: 1,
                    holds: Some(Millilitres(more)),
                    dead_end: false,
                });
            }
            Ok(Line { fittings, ..line })
        }
    }
}

/// What to say of a measured volume of which its tubes hold the smaller part.
pub(super) fn far(line: &Line, measured: Option<Millilitres>, units: Units) -> Option<String> {
    let Millilitres(measured) = measured?;
    let held: f64 = line
        .tubes
        .iter()
        .map(|tube| Some(per_metre(tube.bore?.0) * tube.length?.0))
        .sum::<Option<f64>>()?;
    (held > 0.0 && measured > FAR * held).then(|| {
        format!(
            "{} were measured, and its tubes hold {} of it: look at bore, length and volume again, or the times are not this line's",
            print::volume(Millilitres(measured), units),
            print::volume(Millilitres(held), units)
        )
    })
}
