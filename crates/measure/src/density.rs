//! Densities of water, air and syrup, and what weighing in air does to a mass.
//!
//! Everything here is in g/mL and °C, and refuses to go beyond the range that its source covers.

mod air;
mod product;
mod sucrose;
#[cfg(test)]
mod tests;
mod water;

pub use air::{Air, WEIGHTS, buoyancy_factor, volume_of_weighed, z_factor};
pub use product::{Basis, of_product};
pub use sucrose::{sucrose, sucrose_dissolves};
pub use water::{water, water_kell};

/// A density that cannot be given, and why.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DensityError {
    /// Beyond what the source covers.
    #[error(
        "{what} of {value} {unit} is outside {from} to {to} {unit}, which the {source_covers} covers: {mend}"
    )]
    OutOfRange {
        /// What was given: `a temperature`.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// The smallest that is covered.
        from: f64,
        /// The largest that is covered.
        to: f64,
        /// Which formula or table it is.
        source_covers: &'static str,
        /// How to mend it, in words.
        mend: &'static str,
    },
    /// A standard uncertainty that is below zero or no number.
    #[error("a standard uncertainty of {value} {unit} cannot be: give zero or more")]
    Uncertainty {
        /// What was given.
        value: f64,
        /// Its unit.
        unit: &'static str,
    },
}

/// A closed range, with what to say outside it.
struct Range {
    what: &'static str,
    unit: &'static str,
    from: f64,
    to: f64,
    source_covers: &'static str,
    mend: &'static str,
}

impl Range {
    /// The value, if it lies in the range; NaN never does.
    fn check(&self, value: f64) -> Result<f64, DensityError> {
        if (self.from..=self.to).contains(&value) {
            return Ok(value);
        }
        let &Range { what, unit, from, to, source_covers, mend } = self;
        Err(DensityError::OutOfRange { what, value, unit, from, to, source_covers, mend })
    }
}

/// A polynomial without its constant term: `c[0]·x + c[1]·x² + …`.
fn powers(x: f64, coefficients: &[f64]) -> f64 {
    x * coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}
