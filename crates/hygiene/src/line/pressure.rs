//! What it takes to push or pull a liquid through a line.

use super::geometry::{Geometry, area, reynolds};
use super::{FlowError, Millimetres, MlPerSecond, Span};
use crate::fluid::Properties;

/// A pressure in kPa.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct KiloPascals(pub f64);

/// The suction that a pump is taken to have (JUDGE, as in HY-97): no pump pulls with more than the pressure of the air,
/// about 101 kPa.
pub const AVAILABLE_SUCTION: KiloPascals = KiloPascals(80.0);

/// Up to here a flow is laminar.
pub(crate) const LAMINAR_BELOW: f64 = 2300.0;
/// From here on it is turbulent.
pub(crate) const TURBULENT_FROM: f64 = 4000.0;

const SUCTION: Span = Span {
    what: "a suction",
    unit: "kPa",
    from: 0.1,
    to: 101.325,
    mend: "give what the pump can pull; it is never more than the pressure of the air",
};

/// Darcy's friction factor: 64/Re in laminar flow, Colebrook's above that (HY-91 and HY-93, READ and PKG). `roughness` is
/// over the bore: 0 in a new tube.
#[must_use]
pub fn darcy_friction(reynolds: f64, roughness: f64) -> f64 {
    if reynolds < LAMINAR_BELOW {
        return 64.0 / reynolds;
    }
    // Newton on Colebrook's equation in 1/√f, from Blasius's friction in a smooth tube.
    let mut x = 1.0 / blasius(reynolds).sqrt();
    for _ in 0..50 {
        let inside = roughness / 3.7 + 2.51 * x / reynolds;
        let miss = x + 2.0 * libm::log10(inside);
        let slope = 1.0 + 2.0 * core::f64::consts::LOG10_E * 2.51 / (reynolds * inside);
        let step = miss / slope;
        x -= step;
        if step.abs() <= 1e-14 * x {
            break;
        }
    }
    1.0 / (x * x)
}

/// Friction in a smooth tube by Blasius (HY-93, READ and PKG).
pub(super) fn blasius(reynolds: f64) -> f64 {
    0.3164 / libm::pow(reynolds, 0.25)
}

/// The pressure that a flow takes in the line's tubes, without its fittings and its height: at least this.
///
/// # Errors
/// A flow that is out of range.
pub fn pressure_drop(
    line: &Geometry,
    flow: MlPerSecond,
    fluid: &Properties,
) -> Result<KiloPascals, FlowError> {
    line.seconds_per_volume(flow)?;
    let flow = 1e-6 * flow.0;
    let pascals = line.tubes().map(|(bore, length)| {
        let speed = flow / area(bore);
        let friction = darcy_friction(reynolds(flow, bore, fluid), 0.0);
        friction * length / bore * 0.5 * 1e3 * fluid.density * speed * speed
    });
    Ok(KiloPascals(pascals.sum::<f64>() / 1000.0))
}

/// The most that can be pulled through the line's tubes: cold thick syrup starves any pump (HY-97, CALC). 60 °Bx at 5 °C in
/// 3 m of 6.35 mm comes to 6.8 mL/s with 80 kPa.
///
/// # Errors
/// A suction that no pump has; a flow that would not be laminar, because the formula would give far too much for it.
pub fn suction_ceiling(
    line: &Geometry,
    fluid: &Properties,
    available: KiloPascals,
) -> Result<MlPerSecond, FlowError> {
    let available = 1000.0 * SUCTION.check(available.0)?;
    let resistance: f64 = line
        .tubes()
        .map(|(bore, length)| 32e-3 * fluid.viscosity.0 * length / (bore * bore * area(bore)))
        .sum();
    let flow = available / resistance;
    let fastest = reynolds(flow, 1e-3 * line.narrowest.0, fluid);
    if fastest >= LAMINAR_BELOW {
        let what = "the most that can be pulled";
        return Err(FlowError::NotLaminar { what, reynolds: fastest });
    }
    Ok(MlPerSecond(1e6 * flow))
}

/// How many times the pressure that the same laminar flow takes where a bore has become narrower: a crust of 0.5 mm in
/// 6.35 mm takes 1.98 times as much, half the bore 16 times (HY-99, CALC).
#[must_use]
pub fn narrowed(bore: Millimetres, to: Millimetres) -> f64 {
    libm::pow(bore.0 / to.0, 4.0)
}
