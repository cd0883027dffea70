//! A line and how it is flushed, in phrases that a person types: `6 mm`, `250 mL in 10 s`, `syrup 60 Bx`, `1 % at the outlet`.

use ouncewise_hygiene::fluid::Fluid;
use ouncewise_hygiene::flush::{SMALLEST_RESIDUE, Want};
use ouncewise_hygiene::line::written::{self, Unread};
use ouncewise_hygiene::line::{KiloPascals, Line, MlPerSecond, Pressure, Top, Tube};
use ouncewise_hygiene::prime::Before;
use ouncewise_hygiene::profile::{Profile, Sanitiser};
use ouncewise_hygiene::strength::MgPerLitre;
use ouncewise_measure::{Celsius, Millilitres, Seconds};
use schemars::JsonSchema;
use serde::Deserialize;

use super::cold::Fed;
use super::{geometry, rinse};
use crate::held_to::food_code;
use crate::phrase::{Misphrased, duration, percent, temperature, volume};

/// A line and how it is to be flushed, in phrases. What is left out is not known; nothing is taken for it unless it says so.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FlushWords {
    /// Inner diameter of the tube: `6 mm`, `1/4 in`; of several, in the order of the flow, parted by `;`, and `?` for one that
    /// is not known.
    #[schemars(length(max = 400))]
    pub bore: Option<String>,
    /// Its length: `3 m`, `10 ft`; as many as there are bores.
    #[schemars(length(max = 400))]
    pub length: Option<String>,
    /// What valves, joints and elbows hold, parted by `;`: `4 mL`, `2 x 1.5 mL`, `2 x ?`, `3 mL dead end`.
    #[schemars(length(max = 400))]
    pub fittings: Option<String>,
    /// What the whole line holds, if somebody measured it: `95 mL`. With a bore or a length it stands for the other.
    #[schemars(length(max = 100))]
    pub volume: Option<String>,
    /// The flow while flushing: `250 mL in 10 s`, `25 mL/s`.
    #[schemars(length(max = 100))]
    pub flow: Option<String>,
    /// What is in the line: `water`, `syrup 60 Bx`, or a sanitiser by its strength, to be purged: `chlorine 100 ppm`.
    /// `water` if left out.
    #[schemars(length(max = 100))]
    pub contents: Option<String>,
    /// The food code, which says of a rinse after sanitising whether it may be: `model-code`, `california`, `new-york`,
    /// `uk-rinse`, or the text of a profile file of your own; where there is an estate, also its key.
    #[schemars(length(max = 200_000))]
    pub profile: Option<String>,
    /// The most that is there to move what is in the line: `80 kPa`, `1 bar`, `10 psi`. For a thick product that of a pump that
    /// pulls, 80 kPa, is taken if left out.
    #[schemars(length(max = 100))]
    pub push: Option<String>,
    /// The temperature at which the portion was set: then it is said what the line's own temperature makes of it.
    #[schemars(length(max = 100))]
    pub set_at: Option<String>,
    /// What holds the product back while it is drawn: `tube` or `screw` where pressure feeds it, or `pump`. All three are told
    /// apart if left out.
    #[schemars(length(max = 100))]
    pub held_back: Option<String>,
    /// Temperature of line and water; `20 °C` if left out.
    #[schemars(length(max = 100))]
    pub temperature: Option<String>,
    /// When it is done: `1 % in the line`, `1 % at the outlet`, `10 g/L of sugar`, `4 ppm`, `drinking water`. If left out:
    /// `drinking water` for a sanitiser, else `1 % in the line`.
    #[schemars(length(max = 100))]
    pub want: Option<String>,
    /// Whether the line holds pressure: `yes`, `no` or `unknown`.
    #[schemars(length(max = 100))]
    pub holds_pressure: Option<String>,
    /// Whether air can be let in at its highest point: `yes`, `no` or `unknown`.
    #[schemars(length(max = 100))]
    pub top_opens: Option<String>,
    /// The longest pause that there is time for: `3 min`.
    #[schemars(length(max = 100))]
    pub pause: Option<String>,
    /// How long the line takes to drain, if somebody timed it: `8 s`.
    #[schemars(length(max = 100))]
    pub drain: Option<String>,
    /// The product that the line is filled with afterwards: `syrup 60 Bx`, `water`.
    #[schemars(length(max = 100))]
    pub prime: Option<String>,
    /// What the line holds when the product comes: `water` or `air`; `water` if left out.
    #[schemars(length(max = 100))]
    pub prime_into: Option<String>,
    /// How much of what comes out may still be something else: `1 %`, which it is if left out.
    #[schemars(length(max = 100))]
    pub prime_weaker: Option<String>,
}

/// What a line holds that is to be flushed out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Contents {
    /// Water, or what is as thin.
    Water,
    /// Syrup, in °Bx.
    Syrup(f64),
    /// A sanitiser of this strength.
    Sanitiser(MgPerLitre),
}

/// When it is done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Wanted {
    /// No more than this share in what comes out.
    Outlet(f64),
    /// No more than this share left in the line.
    Line(f64),
    /// No more sugar left in the line than this, in g/L.
    Sugar(f64),
    /// A sanitiser no stronger than this in what comes out.
    Strength(MgPerLitre),
    /// Chlorine no stronger than drinking water, or the code's own figure, allows in what comes out.
    Potable(MgPerLitre),
}

/// A product to fill the line with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Priming {
    pub(super) product: Contents,
    pub(super) before: Before,
    pub(super) weaker: f64,
}

/// The phrases, read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Asked {
    pub(super) line: Line,
    /// What the whole line holds, where it was measured.
    pub(super) measured: Option<Millilitres>,
    pub(super) flow: Option<MlPerSecond>,
    pub(super) contents: Contents,
    /// Which sanitiser that is, where somebody said it.
    pub(super) kind: Option<Sanitiser>,
    pub(super) profile: Option<Profile>,
    pub(super) push: Option<KiloPascals>,
    pub(super) set_at: Option<Celsius>,
    pub(super) held_back: Option<Fed>,
    pub(super) temperature: Option<Celsius>,
    pub(super) wanted: Wanted,
    pub(super) pause: Option<Seconds>,
    pub(super) drain: Option<Seconds>,
    pub(super) prime: Option<Priming>,
}

impl Contents {
    /// As a liquid that flows.
    pub(super) fn fluid(self) -> Fluid {
        match self {
            Self::Water | Self::Sanitiser(_) => Fluid::Water,
            Self::Syrup(brix) => Fluid::Syrup { brix },
        }
    }
}

impl Asked {
    /// Reads all phrases.
    pub(super) fn read(words: &FlushWords) -> Result<Asked, Misphrased> {
        let some = |text: &Option<String>| {
            text.as_deref().map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned)
        };
        let measured =
            some(&words.volume).map(|text| over_nothing("volume", &text, volume)).transpose()?;
        let tubes = tubes(some(&words.bore).as_deref(), some(&words.length).as_deref())?;
        let fittings = some(&words.fittings)
            .map_or(Ok(Vec::new()), |text| written::fittings(&text))
            .map_err(|fault| unread("fittings", fault))?;
        let pressure = match yes_or_no("holds-pressure", some(&words.holds_pressure).as_deref())? {
            Some(true) => Pressure::Held,
            Some(false) => Pressure::None,
            None => Pressure::Unknown,
        };
        let top = match yes_or_no("top-opens", some(&words.top_opens).as_deref())? {
            Some(true) => Top::Opens,
            Some(false) => Top::Closed,
            None => Top::Unknown,
        };
        let line = geometry::with_measured(Line { tubes, fittings, top, pressure }, measured)?;
        let (contents, kind) = match some(&words.contents) {
            None => (Contents::Water, None),
            Some(text) => {
                let lower = text.to_lowercase();
                let (kind, rest) = rinse::named(&lower);
                match (kind, contents("contents", if kind.is_some() { rest } else { &text })?) {
                    (Some(_), Contents::Water | Contents::Syrup(_)) => {
                        return Err(Misphrased::new(
                            "contents",
                            format!(" `{text}` has no strength"),
                        )
                        .hint("write the sanitiser and its strength, as `chlorine 100 ppm`"));
                    }
                    (kind, contents) => (contents, kind),
                }
            }
        };
        let profile = some(&words.profile).map(|text| food_code(&text)).transpose()?;
        let prime = match some(&words.prime) {
            None => None,
            Some(text) => Some(Priming {
                product: product(&text)?,
                before: before(some(&words.prime_into).as_deref())?,
                weaker: some(&words.prime_weaker).map_or(Ok(0.01), |text| weaker(&text))?,
            }),
        };
        Ok(Asked {
            line,
            measured,
            flow: some(&words.flow)
                .map(|text| written::flow(&text))
                .transpose()
                .map_err(|fault| unread("flow", fault))?,
            contents,
            kind,
            push: some(&words.push)
                .map(|text| {
                    in_units("push", &text, PRESSURES, "write it as `80 kPa`, `1 bar` or `10 psi`")
                })
                .transpose()?
                .map(KiloPascals),
            set_at: some(&words.set_at).map(|text| temperature("set-at", &text)).transpose()?,
            held_back: some(&words.held_back).map(|text| Fed::read(&text)).transpose()?,
            temperature: some(&words.temperature)
                .map(|text| temperature("temperature", &text))
                .transpose()?,
            wanted: wanted(some(&words.want).as_deref(), contents, kind, profile.as_ref())?,
            profile,
            pause: some(&words.pause)
                .map(|text| over_nothing("pause", &text, duration))
                .transpose()?,
            drain: some(&words.drain)
                .map(|text| over_nothing("drain", &text, duration))
                .transpose()?,
            prime,
        })
    }

    /// As the physics asks for it.
    pub(super) fn want(&self, at: Celsius) -> Result<Want, Misphrased> {
        let refuse =
            |what: &str, hint: &str| Misphrased::new("want", format!(": {what}")).hint(hint);
        let share = match (self.wanted, self.contents) {
            (Wanted::Outlet(share) | Wanted::Line(share), _) => share,
            (Wanted::Sugar(grams), contents) => match contents.fluid().sugar(at) {
                Ok(Some(sugar)) if sugar > 0.0 => grams / sugar,
                _ => {
                    return Err(refuse(
                        "no sugar is in the line",
                        "say what is in it, as `syrup 60 Bx`",
                    ));
                }
            },
            (Wanted::Strength(to) | Wanted::Potable(to), Contents::Sanitiser(from)) => {
                to.0 / from.0
            }
            (Wanted::Strength(_) | Wanted::Potable(_), _) => {
                return Err(refuse(
                    "a strength is wanted, and no sanitiser is in the line",
                    "say how strong it is in the line, as `100 ppm`; or want a share, as `1 % at the outlet`",
                ));
            }
        };
        if share > LARGEST {
            return Err(refuse(
                "what is in the line is no stronger than that already",
                "nothing needs to be flushed for it",
            ));
        }
        let want = match self.wanted {
            Wanted::Line(_) | Wanted::Sugar(_) => Want::line(share),
            Wanted::Outlet(_) | Wanted::Strength(_) | Wanted::Potable(_) => Want::outlet(share),
        };
        want.map_err(|_| {
            refuse(
                "less than 0.001 % of what is in the line is not computed",
                "want more than that; what must be gone altogether is taken apart",
            )
        })
    }
}

/// The largest share of old liquid that can be wanted.
const LARGEST: f64 = 0.99;

/// A quantity of more than nothing.
fn over_nothing<T>(
    field: &'static str,
    text: &str,
    by: fn(&'static str, &str) -> Result<T, Misphrased>,
) -> Result<T, Misphrased>
where
    T: Copy + PartialOrd + Default,
{
    let value = by(field, text)?;
    if value > T::default() {
        return Ok(value);
    }
    Err(Misphrased::new(field, format!(" `{text}` is not more than nothing"))
        .hint("write what was measured; leave it out where nobody did"))
}

const BRIX: &[(&str, f64)] = &[
    ("bx", 1.0),
    ("°bx", 1.0),
    ("brix", 1.0),
    ("°brix", 1.0),
    ("degbx", 1.0),
    ("degreesbrix", 1.0),
];
const PRESSURES: &[(&str, f64)] =
    &[("kpa", 1.0), ("bar", 100.0), ("mbar", 0.1), ("psi", 6.894_757)];
const SUGAR: &[(&str, f64)] = &[("g/l", 1.0), ("g/litre", 1.0), ("g/liter", 1.0)];

/// What cannot be read of a line, as the fault of a phrase.
fn unread(field: &'static str, fault: Unread) -> Misphrased {
    Misphrased::new(field, format!(" {}", fault.what)).hint(fault.mend)
}

/// A number with a unit that is none of a quantity.
fn in_units(
    field: &'static str,
    text: &str,
    units: &[(&str, f64)],
    hint: &str,
) -> Result<f64, Misphrased> {
    written::number_in(text, units, hint).map_err(|fault| unread(field, fault))
}

/// Tubes from their bores and lengths; a missing one is not known.
fn tubes(bore: Option<&str>, length: Option<&str>) -> Result<Vec<Tube>, Misphrased> {
    let bores = bore.map_or(Ok(Vec::new()), written::bores).map_err(|e| unread("bore", e))?;
    let lengths =
        length.map_or(Ok(Vec::new()), written::lengths).map_err(|e| unread("length", e))?;
    written::tubes(&bores, &lengths)
        .map_err(|fault| Misphrased::new("length", format!(": {}", fault.what)).hint(fault.mend))
}

/// `water`, `syrup 60 Bx`, `100 ppm`.
fn contents(field: &'static str, text: &str) -> Result<Contents, Misphrased> {
    let hint = "write `water`, `syrup 60 Bx`, or a sanitiser by its strength: `100 ppm`";
    let lower = text.to_lowercase();
    if lower == "water" {
        return Ok(Contents::Water);
    }
    let named =
        |names: &[&str]| names.iter().find_map(|name| lower.strip_prefix(name)).map(str::trim);
    if let Some(rest) = named(&["syrup of", "syrup"]) {
        return in_units(field, rest, BRIX, "write how strong the syrup is, as `syrup 60 Bx`")
            .map(Contents::Syrup);
    }
    let strength =
        named(&["sanitiser of", "sanitizer of", "sanitiser", "sanitizer"]).unwrap_or(lower.trim());
    if let Ok(strength) = strength.parse::<MgPerLitre>() {
        return if strength.0 > 0.0 {
            Ok(Contents::Sanitiser(strength))
        } else {
            Err(Misphrased::new(field, format!(" `{text}` is no sanitiser")).hint(hint))
        };
    }
    if let Ok(brix) = in_units(field, &lower, BRIX, hint) {
        return Ok(Contents::Syrup(brix));
    }
    Err(Misphrased::new(field, format!(" `{text}` is not known here")).hint(hint))
}

fn product(text: &str) -> Result<Contents, Misphrased> {
    let hint = "write the product as `syrup 60 Bx` or `water`";
    match contents("prime", text) {
        Ok(Contents::Sanitiser(_)) => {
            Err(Misphrased::new("prime", format!(" `{text}` is a sanitiser, and no product"))
                .hint(hint))
        }
        Ok(product) => Ok(product),
        Err(fault) => Err(fault.hint(hint)),
    }
}

fn weaker(text: &str) -> Result<f64, Misphrased> {
    let share = percent("prime-weaker", text)?;
    if (SMALLEST_RESIDUE..=LARGEST).contains(&share) {
        return Ok(share);
    }
    Err(Misphrased::new("prime-weaker", format!(" `{text}` is outside 0.001 % to 99 %"))
        .hint("write how much of what comes out may still be something else, as `1 %`"))
}

fn before(text: Option<&str>) -> Result<Before, Misphrased> {
    match text.map(str::to_lowercase).as_deref() {
        None | Some("water") => Ok(Before::Water),
        Some("air") => Ok(Before::Air),
        Some(other) => Err(Misphrased::new("prime-into", format!(" `{other}` is neither"))
            .hint("write `water`, or `air` where the line was drained or is new")),
    }
}

fn yes_or_no(field: &'static str, text: Option<&str>) -> Result<Option<bool>, Misphrased> {
    match text.map(str::to_lowercase).as_deref() {
        None | Some("unknown" | "?" | "not known") => Ok(None),
        Some("yes" | "y" | "true") => Ok(Some(true)),
        Some("no" | "n" | "false") => Ok(Some(false)),
        Some(other) => Err(Misphrased::new(field, format!(" `{other}` is neither yes nor no"))
            .hint("write `yes`, `no`, or `unknown`")),
    }
}

/// `1 % at the outlet`, `1 % in the line`, `10 g/L of sugar`, `4 ppm`, `drinking water`.
fn wanted(
    text: Option<&str>,
    contents: Contents,
    kind: Option<Sanitiser>,
    profile: Option<&Profile>,
) -> Result<Wanted, Misphrased> {
    let hint = "write a share and where, as `1 % in the line` or `1 % at the outlet`; or `10 g/L of sugar`, `4 ppm`, `drinking water`";
    let potable = || match kind {
        None | Some(Sanitiser::Chlorine) => Ok(Wanted::Potable(rinse::figure(profile).0)),
        Some(kind) => {
            let what = format!(
                ": what drinking water may hold is known for chlorine alone, and not for {kind}"
            );
            Err(Misphrased::new("want", what).hint("write how strong it may stay by its label, as `4 ppm`, or a share, as `1 % at the outlet`"))
        }
    };
    let Some(text) = text else {
        return match contents {
            Contents::Sanitiser(_) => potable(),
            _ => Ok(Wanted::Line(0.01)),
        };
    };
    let lower = text.to_lowercase();
    if matches!(lower.as_str(), "drinking water" | "drinking-water") {
        return potable();
    }
    if let Some((share, place)) = lower.split_once('%') {
        let share = percent("want", &format!("{share}%")).map_err(|fault| fault.hint(hint))?;
        return match place.trim() {
            "at the outlet" | "at outlet" | "outlet" | "in what comes out" => {
                Ok(Wanted::Outlet(share))
            }
            "" | "in the line" | "in line" | "line" | "left" | "left in the line" => {
                Ok(Wanted::Line(share))
            }
            _ => Err(Misphrased::new("want", format!(" `{text}` does not say where")).hint(hint)),
        };
    }
    let sugar = ["of sugar left", "of sugar", "sugar left", "sugar"]
        .iter()
        .find_map(|end| lower.strip_suffix(end));
    if let Some(grams) = sugar
        .or_else(|| lower.contains("g/l").then_some(lower.as_str()).filter(|t| !t.contains("mg")))
    {
        return in_units("want", grams.trim(), SUGAR, hint).map(Wanted::Sugar);
    }
    match lower.parse::<MgPerLitre>() {
        Ok(strength) => Ok(Wanted::Strength(strength)),
        Err(_) => Err(Misphrased::new("want", format!(" `{text}` is not known here")).hint(hint)),
    }
}
