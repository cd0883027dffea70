//! A jurisdiction's rules as data: a *profile* is a TOML file that names its code, edition and clauses, and says of each figure
//! how it is known. Adopted editions and local edits differ, so no limit of a code stands in this crate's own text.
//!
//! ```
//! use ouncewise_hygiene::profile::{Profile, Sanitiser};
//! let profile = Profile::shipped("model-code").expect("it ships");
//! assert_eq!(profile.limits_for(Sanitiser::Chlorine).count(), 3);
//! let faults = Profile::read("id = 'ours'\nspeed = 3").unwrap_err();
//! assert!(faults.iter().any(|fault| fault.key == "speed"));
//! assert!(faults.iter().any(|fault| fault.key == "edition"));
//! ```

mod allergen;
mod build;
mod figure;
pub mod form;
mod holding;
mod keys;
mod records;
pub mod schema;
mod shipped;
#[cfg(test)]
mod tests;
mod told;

pub use allergen::{AllergenChange, AllergenList, WettedPart, allergen_change, carried_protein};
pub use figure::{Basis, FieldFault, Status};
pub use holding::{
    Cleaning, CleaningEvery, CleaningOf, Holding, HoldingJudged, HoldingLimit, TimeLimit,
};
pub use records::{Entry, Level, MissingRecords, RecordKind, RecordNeed};
pub use told::LimitTold;

use std::fmt;

use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::{Celsius, Quantity, Unit};
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

use crate::strength::MgPerLitre;

/// The headings that a code sorts sanitisers under.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sanitiser {
    /// Chlorine, from any salt.
    Chlorine,
    /// Iodine.
    Iodine,
    /// Quaternary ammonium compounds.
    Quat,
    /// Any other chemical.
    Other,
}

impl Sanitiser {
    /// The words of profiles.
    pub const WORDS: &[(&str, Self)] = &[
        ("chlorine", Self::Chlorine),
        ("iodine", Self::Iodine),
        ("quat", Self::Quat),
        ("other", Self::Other),
    ];
}

impl fmt::Display for Sanitiser {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = Self::WORDS.iter().find(|(_, own)| own == self).map_or("", |(word, _)| word);
        out.pad(word)
    }
}

/// A temperature as a code prints it, in both units: 24 °C is printed beside 75 °F, which is 23.89 °C. A reading is held to the
/// figure of its own unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Printed {
    /// In °C.
    pub c: f64,
    /// In °F.
    pub f: f64,
}

impl Printed {
    /// The reading and the limit in the reading's own unit; nothing if it is no temperature.
    fn beside(self, read: Quantity) -> Option<(f64, f64)> {
        if read.unit.dimension() != Dimension::Temperature {
            return None;
        }
        let limit = if read.unit == Unit::Fahrenheit { self.f } else { self.c };
        Some((read.number.to_f64()?, limit))
    }

    /// Whether a reading is at it or over it.
    #[must_use]
    pub fn reached_by(self, read: Quantity) -> bool {
        self.beside(read).is_some_and(|(read, limit)| read >= limit)
    }

    /// Whether a reading is at it or under it.
    #[must_use]
    pub fn kept_by(self, read: Quantity) -> bool {
        self.beside(read).is_some_and(|(read, limit)| read <= limit)
    }

    /// As a temperature to compute with.
    #[must_use]
    pub fn celsius(self) -> Celsius {
        Celsius(self.c)
    }
}

impl fmt::Display for Printed {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} °C ({} °F)", self.c, self.f)
    }
}

/// The least temperature up to a pH.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Column {
    /// Up to this pH, included; any pH if there is none.
    pub ph_to: Option<f64>,
    /// The least temperature.
    pub least: Printed,
}

/// Which column a pH falls under.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ColumnFor<'a> {
    /// The row asks no temperature.
    NoneAsked,
    /// This one.
    This(&'a Column),
    /// The pH decides it, and is not known.
    PhUnknown,
    /// No column reaches that pH.
    NoColumn,
}

/// How a solution is put on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Applied {
    /// Immersed, or a line filled with it.
    #[default]
    Immersed,
    /// Wiped or brushed on, where a code may ask for more strength.
    Swabbed,
}

/// One row of limits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit {
    /// For which sanitiser.
    pub sanitiser: Sanitiser,
    /// The least strength; nothing where the code leaves it to the label.
    pub from: Option<MgPerLitre>,
    /// The most, included, where the row itself names one.
    pub to: Option<MgPerLitre>,
    /// How many times the least is asked of a solution that is swabbed on.
    pub swab_times: Option<f64>,
    /// Least temperatures by pH, lowest pH first.
    pub columns: Vec<Column>,
    /// The highest pH, included.
    pub ph_to: Option<f64>,
    /// Whether the label's own highest pH may stand instead.
    pub ph_or_label: bool,
    /// The hardest water.
    pub hardness_to: Option<MgPerLitre>,
    /// Whether the label's own hardest water may stand instead.
    pub hardness_or_label: bool,
    /// Where it comes from.
    pub basis: Basis,
}

impl Limit {
    /// The least strength for a way of putting it on.
    #[must_use]
    pub fn least(&self, applied: Applied) -> Option<MgPerLitre> {
        let times = if applied == Applied::Swabbed { self.swab_times.unwrap_or(1.0) } else { 1.0 };
        self.from.map(|from| MgPerLitre(from.0 * times))
    }

    /// The column of least temperature for a pH.
    #[must_use]
    pub fn column(&self, ph: Option<f64>) -> ColumnFor<'_> {
        column(&self.columns, ph)
    }
}

/// The first column, lowest pH first, that a pH falls under.
fn column(columns: &[Column], ph: Option<f64>) -> ColumnFor<'_> {
    if columns.is_empty() {
        return ColumnFor::NoneAsked;
    }
    match ph {
        Some(ph) => columns
            .iter()
            .find(|column| column.ph_to.is_none_or(|to| ph <= to))
            .map_or(ColumnFor::NoColumn, ColumnFor::This),
        None if columns[0].ph_to.is_none() => ColumnFor::This(&columns[0]),
        None => ColumnFor::PhUnknown,
    }
}

/// The most that may stay on a surface without a rinse.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ceiling {
    /// For which sanitiser.
    pub sanitiser: Sanitiser,
    /// Only for this component of the active, as the label lists it.
    pub component: Option<String>,
    /// The most, included.
    pub to: MgPerLitre,
    /// Where it comes from.
    pub basis: Basis,
}

/// A least contact time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contact {
    /// For which sanitiser.
    pub sanitiser: Sanitiser,
    /// Seconds; nothing where the code leaves it to the label.
    pub seconds: Option<f64>,
    /// Only from this strength, included.
    pub from: Option<MgPerLitre>,
    /// Only below this strength.
    pub below: Option<MgPerLitre>,
    /// Only in one of these columns, at its temperature.
    pub columns: Vec<Column>,
    /// Where it comes from.
    pub basis: Basis,
}

impl Contact {
    /// The column of least temperature for a pH.
    #[must_use]
    pub fn column(&self, ph: Option<f64>) -> ColumnFor<'_> {
        column(&self.columns, ph)
    }
}

/// Sanitising by hot water.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HotWater {
    /// The least temperature.
    pub least: Printed,
    /// The least time.
    pub seconds: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// What follows sanitising.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AfterRule {
    /// Drain well, and do not rinse.
    DrainNoRinse,
    /// Drain well; of a rinse the code says nothing.
    Drain,
    /// Rinse with drinking water.
    Rinse,
}

/// What follows sanitising, and where that is said.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct After {
    /// The rule.
    pub rule: AfterRule,
    /// Where it comes from.
    pub basis: Basis,
}

/// A rinse with water between washing and sanitising.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RinseBetween {
    /// Whether it may be left out where one detergent-sanitiser does both.
    pub unless_same_agent: bool,
    /// Where it comes from.
    pub basis: Basis,
}

/// A figure that a lubricant's residue in food is held to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LubricantLimit {
    /// Which lubricant.
    pub lubricant: String,
    /// The most in food, in parts of a million by mass.
    pub ppm_to: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// A figure with where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// The figure, in mg/L.
    pub mg_per_l: MgPerLitre,
    /// Where it comes from.
    pub basis: Basis,
}

/// One jurisdiction's rules.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Profile {
    /// Short name for files and records.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// The code.
    pub code: String,
    /// Its edition, and where and when it is in force.
    pub edition: String,
    /// What a lead should know before using it.
    pub note: Option<String>,
    /// Limits of strength, with temperature, pH and hardness.
    pub limits: Vec<Limit>,
    /// The most that may stay without a rinse.
    pub ceilings: Vec<Ceiling>,
    /// Least contact times; of two that apply, the earlier in the file holds, so that exceptions stand first.
    pub contacts: Vec<Contact>,
    /// Sanitising by hot water.
    pub hot_water: Option<HotWater>,
    /// What follows sanitising.
    pub after: After,
    /// Whether the strength must be tested, and who says so.
    pub test: Option<Basis>,
    /// A rinse between washing and sanitising.
    pub rinse_between: Option<RinseBetween>,
    /// What a line is purged to before it serves, where a drinking-water figure is known.
    pub purge: Option<Figure>,
    /// Cold, hot, and time limits of food.
    pub holding: Holding,
    /// How often surfaces are cleaned.
    pub cleaning: Vec<Cleaning>,
    /// Which records it requires.
    pub records: Vec<RecordNeed>,
    /// The allergens that it names.
    pub allergens: Option<AllergenList>,
    /// What a lubricant's residue is held to.
    pub lubricants: Vec<LubricantLimit>,
}

impl Profile {
    /// Reads a profile.
    ///
    /// # Errors
    /// Every fault at once, each with its key and how to mend it; where the text is not TOML at all, that one fault.
    pub fn read(text: &str) -> Result<Self, Vec<FieldFault>> {
        build::profile(text)
    }

    /// A profile that ships, by its id.
    #[must_use]
    pub fn shipped(id: &str) -> Option<Self> {
        shipped::PROFILES
            .iter()
            .find(|(own, _)| *own == id)
            .and_then(|(_, text)| Self::read(text).ok())
    }

    /// The profiles that ship, as id and text: what a lead copies to make their own.
    #[must_use]
    pub fn all_shipped() -> &'static [(&'static str, &'static str)] {
        shipped::PROFILES
    }

    /// Its rows for a sanitiser.
    pub fn limits_for(&self, sanitiser: Sanitiser) -> impl Iterator<Item = &Limit> {
        self.limits.iter().filter(move |limit| limit.sanitiser == sanitiser)
    }

    /// The row that a strength falls under: of those it reaches, the one with the highest least, and if that has an upper end,
    /// only up to it. Rows are lower bounds: "25 to 49" is everything from 25 up to where the next begins.
    #[must_use]
    pub fn row(
        &self,
        sanitiser: Sanitiser,
        strength: MgPerLitre,
        applied: Applied,
    ) -> Option<&Limit> {
        let reached =
            |limit: &&Limit| limit.least(applied).is_none_or(|least| at_least(strength.0, least.0));
        let from = |limit: &Limit| limit.least(applied).map_or(0.0, |least| least.0);
        self.limits_for(sanitiser)
            .filter(reached)
            .max_by(|a, b| from(a).total_cmp(&from(b)))
            .filter(|limit| {
                strength.0 > 0.0 && limit.to.is_none_or(|to| at_least(to.0, strength.0))
            })
    }
}

/// Whether one computed number is another or over it; what differs by less than a part in 10⁹ is rounding. No number is over
/// one that is no number.
pub(crate) fn at_least(value: f64, limit: f64) -> bool {
    value >= limit - 1e-9 * limit.abs()
}
