//! How well a syrup keeps by its sugar alone, and what a code asks of it by that.

/// How strongly sucrose binds water, in Norrish's equation (MEMORY, as in HY-85; the form was READ).
const NORRISH: f64 = 6.47;
/// Molar masses in g/mol: sucrose and water (IUPAC weights, CALC).
const MASSES: (f64, f64) = (342.30, 18.015);

/// The water activity of sucrose in water, by Norrish (HY-85, CALC): 0.865 at 65 °Bx, which protects itself, and 0.996 where
/// 7 % of it is left in water (HY-131, CALC), which does not.
#[must_use]
pub fn water_activity(brix: f64) -> f64 {
    let sugar = brix.clamp(0.0, 100.0) / MASSES.0;
    let water = (100.0 - brix.clamp(0.0, 100.0)) / MASSES.1;
    let share = sugar / (sugar + water);
    (1.0 - share) * libm::exp(-NORRISH * share * share)
}

/// Whether food of a water activity needs time and temperature to stay safe (TCS), by the table of a model code for food that is
/// not packed and heated (HY-86: FC Table B, READ through a state's rules).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ByActivity {
    /// It does not, whatever its pH is.
    NotTcs,
    /// Over this pH the product is to be assessed; up to it it does not.
    AssessedOver(f64),
    /// Under this pH it does not; from it on the product is to be assessed.
    NotTcsUnder(f64),
}

impl ByActivity {
    /// The row of the table.
    #[must_use]
    pub fn of(activity: f64) -> Self {
        match activity {
            dry if dry < 0.88 => Self::NotTcs,
            dry if dry <= 0.90 => Self::AssessedOver(5.0),
            damp if damp <= 0.92 => Self::AssessedOver(4.6),
            _ => Self::NotTcsUnder(4.2),
        }
    }

    /// Whether it is shown to need no time and temperature at this pH.
    #[must_use]
    pub fn not_tcs(self, ph: f64) -> bool {
        match self {
            Self::NotTcs => true,
            Self::AssessedOver(most) => ph <= most,
            Self::NotTcsUnder(under) => ph < under,
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::NotTcs => "it keeps by its sugar at any pH".to_owned(),
            Self::AssessedOver(most) => format!("it keeps by its sugar up to pH {most}"),
            Self::NotTcsUnder(under) => format!("its sugar keeps it only under pH {under}"),
        }
    }
}
