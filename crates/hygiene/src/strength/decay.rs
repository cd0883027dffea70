//! What a standing bucket loses, by what was published; a faster loss has another cause than age.

use crate::profile::Status;

/// Loss per day of diluted hypochlorite at 20 °C in other than closed brown bottles, from and to: the first-order rates of
/// 50 % and 40 % left at 30 days (HY-64, CALC from HY-63). An input with this as its stated default, not a constant of nature.
pub const DECAY_PER_DAY: (f64, f64) = (0.0231, 0.0305);

/// A published remainder of diluted hypochlorite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Published {
    /// How it was kept.
    pub kept: &'static str,
    /// Days.
    pub days: f64,
    /// The share left, from and to.
    pub left: (f64, f64),
    /// How the figure is known.
    pub status: Status,
}

/// HY-63 (READ: Rutala et al. 1998, abstract): diluted hypochlorite after 30 days at 20 °C.
pub const PUBLISHED_DECAY: [Published; 3] = [
    Published {
        kept: "1:50 and 1:100, in other than closed brown bottles",
        days: 30.0,
        left: (0.40, 0.50),
        status: Status::Read,
    },
    Published {
        kept: "1:5, in closed clear bottles",
        days: 30.0,
        left: (0.83, 0.85),
        status: Status::Read,
    },
    Published {
        kept: "in closed brown bottles",
        days: 30.0,
        left: (0.97, 1.00),
        status: Status::Read,
    },
];

/// Free chlorine in mg/L that killed 99.999 % of *E. coli* O157:H7 in five seconds at pH 6.5, by the soil in the water as mg/L of
/// chemical oxygen demand (HY-66, READ: an abstract in Int. J. Food Microbiol. 266, 2018).
pub const SOIL_TAKES: [(f64, f64); 2] = [(0.0, 0.5), (900.0, 7.5)];

/// What soil does to chlorine, in words; a strip that is weak at the outlet is often that.
#[must_use]
pub fn soil_words() -> String {
    let [(_, clean), (soil, soiled)] = SOIL_TAKES;
    format!(
        "soil and syrup use chlorine up before it works: in one study {soiled} mg/L were needed in water with {soil} mg/L of soil (as oxygen demand) where {clean} mg/L did in clean water; wash and rinse before you sanitise"
    )
}

/// Share left after so many days at a first-order rate per day.
#[must_use]
pub fn left_after(per_day: f64, days: f64) -> f64 {
    libm::exp(-per_day * days)
}

/// The first-order rate per day that leaves this share after so many days; nothing for what is no loss over no time.
#[must_use]
pub fn rate_from(left: f64, days: f64) -> Option<f64> {
    (left > 0.0 && left <= 1.0 && days > 0.0).then(|| -libm::log(left) / days)
}

/// What a bucket that stood says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Standing {
    /// Age alone can explain it.
    AsAge {
        /// Share that age alone leaves, from and to.
        expected: (f64, f64),
    },
    /// Lower than age alone leaves: soil or acid went in, or it was weak from the start.
    FasterThanAge {
        /// Share that age alone leaves, from and to.
        expected: (f64, f64),
    },
    /// The readings are not two strengths over some hours.
    NotTwoReadings,
}

impl Standing {
    /// In words for the crew.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AsAge { .. } => "a clean covered bucket loses about this much by standing",
            Self::FasterThanAge { .. } => {
                "this is more than standing takes: soil or acid got in, or it was weak to begin with; mix a new bucket"
            }
            Self::NotTwoReadings => "two strengths and the hours between them are needed",
        }
    }
}

/// Whether a bucket of hypochlorite lost more than age takes. `left` is the range of the share that the two readings support
/// (a strip reads a class, not a number); `per_day` is the range of rates, by default [`DECAY_PER_DAY`].
#[must_use]
pub fn standing(left: (f64, f64), hours: f64, per_day: (f64, f64)) -> Standing {
    let (least, most) = left;
    if !(least >= 0.0 && most >= least && hours >= 0.0 && hours.is_finite() && most.is_finite()) {
        return Standing::NotTwoReadings;
    }
    let days = hours / 24.0;
    let expected = (left_after(per_day.1, days), left_after(per_day.0, days));
    // Only where the whole of what the readings support is below it.
    if most < expected.0 {
        Standing::FasterThanAge { expected }
    } else {
        Standing::AsAge { expected }
    }
}
