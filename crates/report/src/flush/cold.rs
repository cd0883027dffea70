//! What cold does to the portion of a line that is held back by its tube, by a screw, or by what its pump can pull.

use ouncewise_hygiene::line::{
    AVAILABLE_SUCTION, Cold, Feed, FlowError, MlPerSecond, Portion, cold,
};
use ouncewise_measure::Celsius;
use ouncewise_measure::print::Units;
use schemars::JsonSchema;
use serde::Serialize;

use super::words::{Asked, Contents};
use crate::phrase::Misphrased;

/// What makes the product flow, and what holds it back, as people write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fed {
    Tube,
    Screw,
    Pump,
}

impl Fed {
    const WORDS: [(&str, Self); 3] =
        [("tube", Self::Tube), ("screw", Self::Screw), ("pump", Self::Pump)];

    pub(super) fn read(text: &str) -> Result<Self, Misphrased> {
        let known = Self::WORDS.iter().find(|(word, _)| word.eq_ignore_ascii_case(text));
        known.map(|(_, fed)| *fed).ok_or_else(|| {
            Misphrased::new("held-back", format!(" `{text}` is none of its words"))
                .hint("write `tube` or `screw` for a line that is fed by pressure, or `pump`")
        })
    }

    fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, fed)| *fed == self).map_or("", |(word, _)| word)
    }
}

/// What cold, or warmth, does to a portion that was set at another temperature.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ColdReport {
    /// What holds the product back: `tube`, `screw` or `pump`.
    pub held_back: String,
    /// How many times as thick the product is.
    pub thicker: f64,
    /// The portion over what it was set to: at least this.
    pub least: f64,
    /// The portion over what it was set to: at most this.
    pub most: f64,
    /// The most that can be pulled, in mL/s; only of a pump, and where that flow would be laminar.
    pub ceiling_ml_per_s: Option<f64>,
    /// In words.
    pub words: String,
}

/// The product that portions are of: what the line is filled with, or what is in it.
pub(super) fn product(asked: &Asked) -> Result<Contents, Misphrased> {
    match (asked.prime.map(|priming| priming.product), asked.contents) {
        (Some(product), _) => Ok(product),
        (None, Contents::Sanitiser(_)) => Err(Misphrased::new(
            "set-at",
            ": a portion is of a product, and a sanitiser is in the line",
        )
        .hint("say which product it is filled with, as `syrup 60 Bx`; or leave it out")),
        (None, contents) => Ok(contents),
    }
}

/// What the temperature does to a portion that was set at `warm`: by what holds the product back, or by each of them where
/// nobody said it.
pub(super) fn told(
    asked: &Asked,
    product: Contents,
    flow: MlPerSecond,
    warm: Celsius,
    (at, units): (Celsius, Units),
) -> Result<Vec<ColdReport>, FlowError> {
    let all = match asked.held_back {
        Some(one) => vec![one],
        None => vec![Fed::Tube, Fed::Screw, Fed::Pump],
    };
    // A pressure that pushes is no suction: by itself, a pump is taken to pull what pumps do.
    let pulls = asked.push.filter(|_| asked.held_back == Some(Fed::Pump));
    let suction = pulls.unwrap_or(AVAILABLE_SUCTION);
    let of = |fed: Fed| {
        let feed = match fed {
            Fed::Tube => Feed::PressureThroughTube,
            Fed::Screw => Feed::PressureThroughScrew,
            Fed::Pump => Feed::Pump { flow, suction },
        };
        let Cold { thicker, portion, ceiling, words } =
            cold(&asked.line, feed, product.fluid(), warm, at, units)?;
        let (least, most) = match portion {
            Portion::Share(share) => (share, share),
            Portion::Between(least, most) => (least, most),
        };
        Ok(ColdReport {
            held_back: fed.word().to_owned(),
            thicker,
            least,
            most,
            ceiling_ml_per_s: ceiling.map(|most| most.0),
            words,
        })
    };
    all.into_iter().map(of).collect()
}
