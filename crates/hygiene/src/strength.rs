//! Strength of a sanitiser solution: from dose and water to mg/L, in any unit, and whether label and code both hold.

mod aim;
mod amount;
mod chlorine;
mod decay;
mod doubt;
mod gallon;
mod judge;
mod mix;
mod product;
#[cfg(test)]
mod tests;

pub use aim::{Aim, AimAt, Window, aim, window};
pub use amount::{DoseRead, MgPerLitre};
pub use chlorine::{
    Hardness, NoFraction, Salt, cyanuric_acid_per_chlorine, hocl_fraction, hocl_pka,
};
pub use decay::{
    DECAY_PER_DAY, PUBLISHED_DECAY, Published, SOIL_TAKES, Standing, left_after, rate_from,
    soil_words, standing,
};
pub use doubt::{Doubt, Shape, Stated, StatedErrors};
pub use gallon::{VesselWarning, lookalikes, vessel_warnings};
pub use judge::{About, By, Conditions, Finding, Outcome, Question, StrengthVerdict, judge};
pub(crate) use judge::{Findings, known_ph, no_label};
pub use mix::{Fill, Made, Mix};
pub use product::{Dilution, Liquid, LiquidScale, Needed, Piece, Product};
