//! Standard uncertainties from limits and other knowledge: Type B, JCGM 100:2008, 4.3.
//!
//! A half-width `a` and its standard uncertainty have the same unit. All have infinite degrees of freedom unless
//! [`degrees_of_freedom`] is asked.
//!
//! The roots are `f64::sqrt`, which rounds correctly everywhere and is worked out when this is compiled.

/// A value equally likely anywhere within ±`a`: a / √3. 4.3.7 (7).
pub fn rectangular(a: f64) -> f64 {
    a / 3_f64.sqrt()
}

/// A value within ±`a`, likeliest in the middle: a / √6. 4.3.9 (9b).
pub fn triangular(a: f64) -> f64 {
    a / 6_f64.sqrt()
}

/// A value within ±`a`, equally likely within ±`top`·`a` and falling away to the limits: a √((1 + β²) / 6). 4.3.9 (9a).
///
/// A `top` of 1 is rectangular, 0 is triangular.
pub fn trapezoid(a: f64, top: f64) -> f64 {
    a * libm::sqrt((1.0 + top * top) / 6.0)
}

/// A value at most `below` under and `above` over its estimate: (below + above) / √12. 4.3.8 (8).
pub fn asymmetric(below: f64, above: f64) -> f64 {
    (below + above) / 12_f64.sqrt()
}

/// A value that swings like a sine within ±`a`: a / √2. H.1.3.4.
pub fn arcsine(a: f64) -> f64 {
    a / core::f64::consts::SQRT_2
}

/// An expanded uncertainty, or a multiple of a standard deviation, with its factor: U / k. 4.3.3, 4.3.4.
pub fn expanded(uncertainty: f64, factor: f64) -> f64 {
    uncertainty / factor
}

/// As likely within ±`a` as not: 1.48 a. 4.3.5.
pub fn even_chance(a: f64) -> f64 {
    1.48 * a
}

/// Within ±`a` two times in three: a. 4.3.6.
pub fn two_in_three(a: f64) -> f64 {
    a
}

/// A display, or a reading to the nearest division, in steps of `step`: step / √12. F.2.2.1.
pub fn resolution(step: f64) -> f64 {
    step / 12_f64.sqrt()
}

/// Degrees of freedom of a standard uncertainty that is itself judged good to a fraction `doubt`: ½ doubt⁻². G.4.2 (G.3).
pub fn degrees_of_freedom(doubt: f64) -> f64 {
    0.5 / (doubt * doubt)
}
