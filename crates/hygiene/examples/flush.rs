//! Cases as JSON lines in, answers as JSON lines out, so that another program can hold them against its own:
//! `checks/reference/flush.py` does.

use std::error::Error;
use std::io::{self, BufRead as _, Write as _};

use ouncewise_hygiene::drain::FilmLaw;
use ouncewise_hygiene::fluid::{
    Diffusivity, Fluid, MilliNewtonsPerMetre, MilliPascalSeconds, Properties,
};
use ouncewise_hygiene::flush::{Flush, Place, Spreads, Want};
use ouncewise_hygiene::line::{
    Line, Metres, MetresPerSecond, Millimetres, MlPerSecond, pressure_drop,
};
use ouncewise_measure::Celsius;
use serde_json::{Value, json};

/// Where a case does not say.
const AT: Celsius = Celsius(20.0);

fn main() -> Result<(), Box<dyn Error>> {
    let mut out = io::stdout().lock();
    for line in io::stdin().lock().lines() {
        let case: Value = serde_json::from_str(&line?)?;
        let answer = answer(&case).unwrap_or_else(|error| json!({ "error": error.to_string() }));
        writeln!(out, "{answer}")?;
    }
    Ok(())
}

fn answer(case: &Value) -> Result<Value, Box<dyn Error>> {
    let number = |key: &str| case[key].as_f64().ok_or_else(|| format!("`{key}` is no number"));
    let numbers = |key: &str| -> Vec<f64> {
        case[key].as_array().into_iter().flatten().filter_map(Value::as_f64).collect()
    };
    let tube = || -> Result<Line, String> {
        Ok(Line::of_one_tube(Millimetres(number("bore_mm")?), Metres(number("length_m")?)))
    };
    let liquid = || -> Result<Properties, Box<dyn Error>> {
        let stated = Fluid::Stated {
            viscosity: MilliPascalSeconds(number("viscosity")?),
            density: number("density")?,
        };
        Ok(stated.at(AT)?)
    };
    Ok(match case["ask"].as_str() {
        Some("flush") => {
            let flow = MlPerSecond(number("flow")?);
            let spreads = Spreads::At(Diffusivity(number("diffusivity")?));
            let flush =
                Flush::new(&tube()?, flow, Fluid::Water, Fluid::Water, AT)?.spreading(spreads)?;
            let at = |place| -> Vec<f64> {
                numbers("volumes")
                    .into_iter()
                    .map(|volumes| flush.residue(place, volumes))
                    .collect()
            };
            let to = |want: fn(f64) -> Result<Want, _>| -> Result<Vec<f64>, _> {
                numbers("residues")
                    .into_iter()
                    .map(|share| want(share).map(|want| flush.volumes_for(want)))
                    .collect()
            };
            json!({
                "volume": flush.geometry().volume.0,
                "reynolds": flush.reynolds().1,
                "regime_number": flush.regime_number(),
                "seconds_per_volume": flush.seconds(1.0).0,
                "outlet": at(Place::Outlet),
                "line": at(Place::Line),
                "volumes_to_outlet": to(Want::outlet)?,
                "volumes_to_line": to(Want::line)?,
            })
        }
        Some("pressure") => {
            let (line, liquid) = (tube()?.geometry()?, liquid()?);
            let flow = MlPerSecond(number("flow")?);
            json!({
                "kilopascals": pressure_drop(&line, flow, &liquid)?.0,
                "reynolds": line.reynolds(flow, &liquid)?.1,
            })
        }
        Some("film") => {
            let tension = MilliNewtonsPerMetre(number("tension")?);
            let liquid = Properties { surface_tension: tension, ..liquid()? };
            json!({ "film": FilmLaw::AUSSILLOUS_QUERE.film(MetresPerSecond(number("speed")?), &liquid) })
        }
        _ => return Err("`ask` is `flush`, `pressure` or `film`".into()),
    })
}
