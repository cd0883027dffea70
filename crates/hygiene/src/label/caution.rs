//! Cautions as data: what can hurt, what follows, how to avoid it. A chemical label's own word is printed as it stands.

use std::fmt;

use serde::Serialize;

use super::Chemistry;
use crate::profile::{Sanitiser, Status};

/// The line that stands on every printed and guided procedure.
pub const STANDING: &str = "Follow the product label, the machine's manual and your local code; where they differ the stricter \
applies, and this sheet is not them. Electrical, refrigeration, gas and pressure work: licensed technician.";

/// The signal words of ANSI Z535.4 and Z535.6, for a procedure's own hazards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum SignalWord {
    /// Not related to injury (HY-163, READ); it has no safety-alert triangle.
    Notice,
    /// Could result in minor or moderate injury (HY-162, READ).
    Caution,
    /// Could result in death or serious injury (HY-161, READ).
    Warning,
    /// Will result in death or serious injury; for the most extreme only (HY-160, READ).
    Danger,
}

impl SignalWord {
    /// Whether the safety-alert triangle goes with it.
    #[must_use]
    pub fn triangle(self) -> bool {
        self != Self::Notice
    }
}

impl fmt::Display for SignalWord {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(match self {
            Self::Notice => "NOTICE",
            Self::Caution => "CAUTION",
            Self::Warning => "WARNING",
            Self::Danger => "DANGER",
        })
    }
}

/// Where a hazard comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hazard {
    /// Sanitisers, detergents, descalers.
    Chemical,
    /// Mains power.
    Electricity,
    /// Stored pressure: gas, pumped syrup, refrigerant.
    Pressure,
    /// Pump rollers, agitators, blades.
    MovingParts,
    /// Food that strangers eat.
    Food,
    /// Wet floors and full buckets.
    Floor,
    /// Water hot enough to sanitise.
    Heat,
    /// Damage to the machine.
    Machine,
}

/// One caution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// Where the hazard comes from.
    pub hazard: Hazard,
    /// The word for a procedure's own hazard; nothing where only the chemical's label has one.
    pub word: Option<SignalWord>,
    /// Whether the chemical label's own word goes before ours.
    pub label_word: bool,
    /// What can happen, and what follows.
    pub what: &'static str,
    /// How to avoid it.
    pub avoid: &'static str,
    /// Whether it is of chlorine only.
    pub chlorine: bool,
    /// Whether the crew stops here, and a licensed technician goes on.
    pub technician: bool,
    /// How the text is known.
    pub status: Status,
    /// Where from.
    pub source: &'static str,
}

impl Caution {
    /// Whether it goes with a product of this chemistry; with one that is not known all do.
    #[must_use]
    pub fn goes_with(&self, chemistry: Option<Chemistry>) -> bool {
        let chlorine = |chemistry: Chemistry| chemistry.sanitiser() == Sanitiser::Chlorine;
        !self.chlorine || chemistry.is_none_or(chlorine)
    }

    /// The signal word to print: the label's own, exactly as entered, where the hazard is the chemical's; never graded again.
    #[must_use]
    pub fn printed_word(&self, label: Option<&str>) -> String {
        let own = label.filter(|word| self.label_word && !word.trim().is_empty());
        match (own, self.word) {
            (Some(own), _) => own.to_owned(),
            (None, Some(word)) => word.to_string(),
            (None, None) => "See the label".to_owned(),
        }
    }
}

const fn caution(
    hazard: Hazard,
    word: SignalWord,
    what: &'static str,
    avoid: &'static str,
    status: Status,
    source: &'static str,
) -> Caution {
    Caution {
        hazard,
        word: Some(word),
        label_word: false,
        what,
        avoid,
        chlorine: false,
        technician: false,
        status,
        source,
    }
}

const CAUTIONS: &[Caution] = &[
    Caution {
        label_word: true,
        chlorine: true,
        ..caution(
            Hazard::Chemical,
            SignalWord::Warning,
            "Chlorine sanitiser with an acid (descaler, acid cleaner, acid syrup) gives off chlorine gas; with ammonia, chloramines. Both can injure your lungs badly.",
            "Never mix them. Rinse with water between an acid step and a chlorine step. If it smells sharp, leave, let the air clear, and call for help.",
            Status::Read,
            "a university's safety page on bleach: acids, phosphoric acid, ammonia; leave until the fumes clear",
        )
    },
    Caution {
        word: None,
        label_word: true,
        ..caution(
            Hazard::Chemical,
            SignalWord::Warning,
            "Undiluted product burns skin and eyes.",
            "Wear gloves and eye protection as the label says. Keep the safety data sheet on site. Splashed: rinse with water for as long as the label says, and get help.",
            Status::Read2,
            "labels and safety data sheets",
        )
    },
    Caution {
        label_word: true,
        chlorine: true,
        ..caution(
            Hazard::Chemical,
            SignalWord::Warning,
            "A damp packet of dry chlorine, or one with syrup or grease in it, can heat up and give off gas.",
            "Keep packets dry and shut, away from food, drink and other chemicals. Use whole packets.",
            Status::Read,
            "a university's safety page on bleach; keeping dry is the labels' own",
        )
    },
    caution(
        Hazard::Electricity,
        SignalWord::Warning,
        "With the cabinet open, live parts can shock or kill.",
        "Unplug the machine, and keep the plug in your own sight and control until it is closed. A lock on the panel isolates nothing.",
        Status::Read,
        "HY-164: 29 CFR 1910.147(a)(2)(iii)(A), unplugged and the plug under the exclusive control of who does the work",
    ),
    caution(
        Hazard::MovingParts,
        SignalWord::Warning,
        "Pump rollers and agitators start without notice and take fingers and sleeves with them.",
        "Draw first, with hands out. Then unplug, and only then open or reach in.",
        Status::Judged,
        "HY-164 and our judgement of the order of steps",
    ),
    Caution {
        technician: true,
        ..caution(
            Hazard::Pressure,
            SignalWord::Warning,
            "A line, tank or cylinder under pressure can burst or throw its fitting.",
            "Relieve the pressure as the manual says before you open anything. Vent or open nothing that holds pressure. Gas cylinders and pressure vessels: licensed technician.",
            Status::Judged,
            "our judgement",
        )
    },
    Caution {
        technician: true,
        ..caution(
            Hazard::Electricity,
            SignalWord::Warning,
            "Mains wiring and refrigeration can injure or kill whoever is not trained for them.",
            "Stop here, and call a licensed technician.",
            Status::Judged,
            "our judgement",
        )
    },
    caution(
        Hazard::Food,
        SignalWord::Warning,
        "Sanitiser left in a line, or a line that was not sanitised, makes guests ill.",
        "Keep the line out of service until it was washed, sanitised, drained, and its first volume thrown away. If you think that it is unsafe, stop: that is always right.",
        Status::Judged,
        "our judgement",
    ),
    caution(
        Hazard::Food,
        SignalWord::Warning,
        "An allergen of the old product stays at the wall of the line and in the nozzle, and can kill a guest.",
        "Flushing cannot show that it is gone. Replace every part that both products touch, or keep the line for one product.",
        Status::Calculated,
        "HY-34",
    ),
    caution(
        Hazard::Floor,
        SignalWord::Caution,
        "Wet floors and full buckets: people fall, and backs give way.",
        "Lay a mat, mop at once, lift from the knees, and fill less.",
        Status::NoSource,
        "common practice",
    ),
    caution(
        Hazard::Heat,
        SignalWord::Warning,
        "Water hot enough to sanitise scalds at once.",
        "Keep hands out, wear gloves that keep it off, and carry it in small amounts.",
        Status::NoSource,
        "common practice",
    ),
    caution(
        Hazard::Machine,
        SignalWord::Notice,
        "The wrong lubricant, a pump run dry, or the wrong sanitiser on seals ruins parts.",
        "See the manual. Ask what the seal is made of before you choose a lubricant.",
        Status::NoSource,
        "common practice; that some greases swell some rubbers is from memory",
    ),
];

/// The cautions of the hazards that a procedure has, in the order in which they are printed.
pub fn cautions<'a>(hazards: &'a [Hazard]) -> impl Iterator<Item = &'static Caution> + 'a {
    CAUTIONS.iter().filter(|caution| hazards.contains(&caution.hazard))
}

/// Whether a part is lubricated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lubricate {
    /// It must be.
    Must,
    /// It may be.
    May,
    /// It must never be.
    Never,
}

impl Lubricate {
    /// In words for the crew.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Must => "lubricate: a thin film of food-grade lubricant, no more than a sheen",
            Self::May => {
                "a thin film of food-grade lubricant if it is dry, no more than a sheen; or none"
            }
            Self::Never => "no lubricant on this part",
        }
    }
}

/// How much of a lubricant may end up in so many grams of food, in mg, at a limit in parts of a million by mass (HY-33, CALC:
/// 13.16 kg at 1 ppm is 13.2 mg).
#[must_use]
pub fn film_allowance(food_grams: f64, ppm: f64) -> f64 {
    food_grams * ppm / 1000.0
}

/// What a film comes to in so many grams of food if all of it gets there, in parts of a million by mass (HY-33, CALC: 0.1 g in
/// 13.16 kg is 7.6).
#[must_use]
pub fn film_share(film_grams: f64, food_grams: f64) -> f64 {
    film_grams / food_grams * 1e6
}
