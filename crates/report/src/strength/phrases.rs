//! Reading the phrases of a solution, its label, its strips and its errors.

use jiff::civil::Date;
use ouncewise_hygiene::contact::Did;
use ouncewise_hygiene::label::{Chemistry, Component, Label, LabelRinse, LabelStrength};
use ouncewise_hygiene::profile::{Applied, Profile};
use ouncewise_hygiene::strength::{
    Conditions, Dilution, DoseRead, Fill, Hardness, Liquid, LiquidScale, MgPerLitre, Mix, Piece,
    Product, Salt, Shape, Stated, StatedErrors,
};
use ouncewise_hygiene::strip::{InDate, StripKind, StripReads};
use ouncewise_measure::{Grams, Quantity, Seconds};

use super::{StrengthWords, fault};
use crate::held_to::food_code;
use crate::phrase::{Misphrased, duration, percent, read};

const CHEMISTRIES: &[(&str, Chemistry)] = &[
    ("hypochlorite", Chemistry::Hypochlorite),
    ("isocyanurate", Chemistry::Isocyanurate),
    ("other-chlorine", Chemistry::OtherChlorine),
    ("iodine", Chemistry::Iodine),
    ("quat-single", Chemistry::QuatSingle),
    ("quat-multi", Chemistry::QuatMulti),
    ("quat-unstated", Chemistry::QuatUnstated),
    ("other", Chemistry::Other),
];

const RINSES: &[(&str, LabelRinse)] =
    &[("silent", LabelRinse::Silent), ("asks", LabelRinse::Asks), ("forbids", LabelRinse::Forbids)];

const APPLIED: &[(&str, Applied)] =
    &[("immersed", Applied::Immersed), ("swabbed", Applied::Swabbed)];

const DID: &[(&str, Did)] = &[
    ("washed", Did::Washed),
    ("washed-with-sanitiser", Did::WashedWithSanitiser),
    ("rinsed", Did::Rinsed),
    ("sanitised", Did::Sanitised),
    ("drained", Did::Drained),
    ("handled", Did::Handled),
    ("served", Did::Served),
];

/// `washed, rinsed, sanitised, drained, served`.
pub(super) fn did(text: &str) -> Result<Vec<Did>, Misphrased> {
    let parts = text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty());
    parts.map(|part| word("did", &part.replace(' ', "-"), DID)).collect()
}

const STRIPS: &[(&str, StripReads)] = &[
    ("chlorine", StripReads::Chlorine),
    ("iodine", StripReads::Iodine),
    ("quat-single", StripReads::QuatSingle),
    ("quat-multi", StripReads::QuatMulti),
    ("other", StripReads::Other),
];

/// All phrases, read.
pub(super) struct Read {
    pub profile: Profile,
    pub label: Option<Label>,
    pub mix: Option<Mix>,
    pub conditions: Conditions,
    pub strips: Option<StripKind>,
    pub bucket: Option<MgPerLitre>,
    pub outlet: Option<MgPerLitre>,
    pub strips_in_date: InDate,
    pub product_in_date: InDate,
    pub errors: Option<StatedErrors>,
    pub contact: Option<Seconds>,
    pub stood: Option<Seconds>,
}

pub(super) fn each<T>(
    text: Option<&String>,
    read: impl FnOnce(&str) -> Result<T, Misphrased>,
) -> Result<Option<T>, Misphrased> {
    text.map(|text| text.trim()).filter(|text| !text.is_empty()).map(read).transpose()
}

impl Read {
    pub(super) fn new(words: &StrengthWords) -> Result<Self, Misphrased> {
        let today = each(words.today.as_ref(), |text| date("today", text))?;
        let in_date = |name, text: &Option<String>| -> Result<InDate, Misphrased> {
            let last = each(text.as_ref(), |text| date(name, text))?;
            Ok(today.map_or(InDate::NotStated, |today| InDate::on(&today, last.as_ref())))
        };
        let strips = each(words.strips.as_ref(), |text| Ok(text.to_owned()))?;
        let strength = |name, text: &Option<String>| each(text.as_ref(), |text| read(name, text));
        Ok(Self {
            profile: food_code(&words.profile)?,
            label: label(words)?,
            mix: mix(
                words,
                each(words.chemistry.as_ref(), |t| word("chemistry", t, CHEMISTRIES))?,
            )?,
            conditions: Conditions {
                temperature: each(words.temperature.as_ref(), |t| celsius("temperature", t))?,
                ph: each(words.ph.as_ref(), |text| ph("ph", text))?,
                hardness: each(words.hardness.as_ref(), |text| hardness("hardness", text))?,
                applied: each(words.applied.as_ref(), |text| word("applied", text, APPLIED))?
                    .unwrap_or_default(),
            },
            strips: strips.map(|text| strip_kind(&text)).transpose()?,
            bucket: strength("bucket", &words.bucket)?,
            outlet: strength("outlet", &words.outlet)?,
            strips_in_date: in_date("strips-expire", &words.strips_expire)?,
            product_in_date: in_date("product-expires", &words.product_expires)?,
            errors: errors(words)?,
            contact: each(words.contact.as_ref(), |text| duration("contact", text))?,
            stood: each(words.stood.as_ref(), |text| duration("stood", text))?,
        })
    }
}

pub(super) fn word<T: Copy>(
    name: &'static str,
    text: &str,
    words: &[(&str, T)],
) -> Result<T, Misphrased> {
    let known = |(word, _): &&(&str, T)| word.eq_ignore_ascii_case(text);
    words.iter().find(known).map(|(_, value)| *value).ok_or_else(|| {
        let words: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        Misphrased::new(name, format!(" `{text}` is none of its words"))
            .hint(format!("write one of {}", words.join(", ")))
    })
}

fn date(name: &'static str, text: &str) -> Result<Date, Misphrased> {
    text.parse().map_err(|_| {
        Misphrased::new(name, format!(" `{text}` is no date"))
            .hint("write year, month and day: `2027-03-31`")
    })
}

fn number(name: &'static str, text: &str) -> Result<f64, Misphrased> {
    let number: Option<f64> = text.trim().replace(',', ".").parse().ok();
    number.filter(|number| number.is_finite()).ok_or_else(|| {
        Misphrased::new(name, format!(" `{text}` is no number")).hint("write it as `7.5`")
    })
}

fn ph(name: &'static str, text: &str) -> Result<f64, Misphrased> {
    let value = number(name, text)?;
    if (0.0..=14.0).contains(&value) {
        return Ok(value);
    }
    Err(Misphrased::new(name, format!(" `{text}` is no pH")).hint("write a number from 0 to 14"))
}

pub(super) fn celsius(name: &'static str, text: &str) -> Result<Quantity, Misphrased> {
    let quantity: Quantity = read(name, text)?;
    if quantity.temperature().is_some() {
        return Ok(quantity);
    }
    Err(Misphrased::new(name, format!(" `{text}` is no temperature"))
        .hint("write it as `24 °C` or `75 °F`"))
}

fn hardness(name: &'static str, text: &str) -> Result<MgPerLitre, Misphrased> {
    let lower = text.to_lowercase();
    for (unit, of) in [
        ("gpg", Hardness::GrainsPerGallonUs as fn(f64) -> Hardness),
        ("°dh", Hardness::German),
        ("dh", Hardness::German),
        ("°fh", Hardness::French),
        ("fh", Hardness::French),
    ] {
        if let Some(value) = lower.strip_suffix(unit) {
            return Ok(of(number(name, value)?).as_carbonate());
        }
    }
    read(name, text)
}

/// The label, where what it is made of is known.
fn label(words: &StrengthWords) -> Result<Option<Label>, Misphrased> {
    let strength = each(words.label_strength.as_ref(), |text| read("label-strength", text))?;
    let contact = each(words.label_contact.as_ref(), |text| duration("label-contact", text))?;
    let Some(chemistry) = each(words.chemistry.as_ref(), |t| word("chemistry", t, CHEMISTRIES))?
    else {
        if strength.is_some() || contact.is_some() {
            return Err(Misphrased::new("chemistry", ": what the active is, is not said")
                .hint("write it as the label does, such as `hypochlorite` or `quat-multi`"));
        }
        return Ok(None);
    };
    if strength.is_none() && contact.is_none() {
        return Ok(None);
    }
    let unknown = LabelStrength::Range { from: MgPerLitre(0.0), to: MgPerLitre(0.0) };
    let label = Label {
        strength,
        contact,
        temperature_from: each(words.label_temperature.as_ref(), |t| {
            celsius("label-temperature", t)
        })?,
        ph_to: each(words.label_ph.as_ref(), |text| ph("label-ph", text))?,
        hardness_to: each(words.label_hardness.as_ref(), |t| hardness("label-hardness", t))?,
        rinse: each(words.label_rinse.as_ref(), |t| word("label-rinse", t, RINSES))?
            .unwrap_or_default(),
        components: each(words.components.as_ref(), components)?.unwrap_or_default(),
        signal_word: each(words.signal_word.as_ref(), |text| Ok(text.to_owned()))?,
        ..Label::new("the product", chemistry, unknown, Seconds(0.0))
    };
    Ok(Some(label))
}

/// `one 60 %; another 40 %`.
fn components(text: &str) -> Result<Vec<Component>, Misphrased> {
    let field = "components";
    let wrong = |part: &str| {
        Misphrased::new(field, format!(" `{part}` is no component with its share"))
            .hint("write each as the code names it, with its share: `NAME 60 %; NAME 40 %`")
    };
    let parts = text.split(';').map(str::trim).filter(|part| !part.is_empty());
    let all: Vec<Component> = parts
        .map(|part| {
            let shared = part.strip_suffix('%').map(str::trim_end);
            let (name, share) =
                shared.and_then(|part| part.rsplit_once(' ')).ok_or_else(|| wrong(part))?;
            let share = number(field, share)? / 100.0;
            let good = (0.0..=1.0).contains(&share) && !name.trim().is_empty();
            good.then(|| Component { name: name.trim().to_owned(), share })
                .ok_or_else(|| wrong(part))
        })
        .collect::<Result<_, _>>()?;
    if all.iter().map(|component| component.share).sum::<f64>() > 1.0 + 1e-9 {
        return Err(Misphrased::new(field, ": the shares are more than 100 % together")
            .hint("write what part of all active each is"));
    }
    Ok(all)
}

fn mix(words: &StrengthWords, chemistry: Option<Chemistry>) -> Result<Option<Mix>, Misphrased> {
    let salt = chemistry.and_then(Salt::strongest);
    let density = each(words.density.as_ref(), |text| {
        let value = text.trim_end_matches("g/mL").trim_end_matches("g/ml").trim_end();
        number("density", value).map_err(|wrong| wrong.hint("write it as `1.08 g/mL`"))
    })?;
    let product = each(words.product.as_ref(), |text| product(text, density, salt))?;
    let dose = each(words.dose.as_ref(), |text| read::<DoseRead>("dose", text))?;
    let water = each(words.water.as_ref(), |text| read::<Quantity>("water", text))?;
    match (product, dose, water) {
        (Some(product), Some(dose), Some(water)) => {
            Ok(Some(Mix { product, dose, water, fill: Fill::UpTo }))
        }
        (None, None, None) => Ok(None),
        (None, ..) => Err(missing("product", "how strong the product is", "`1.7 g of 56 %`")),
        (_, None, _) => Err(missing("dose", "what went in", "`1 sachet`")),
        (.., None) => Err(missing("water", "in how much water", "`10 L`")),
    }
}

fn missing(name: &'static str, what: &str, example: &str) -> Misphrased {
    Misphrased::new(name, format!(": {what} is not said")).hint(format!(
        "write it as {example}; or leave product, dose and water out, and read a strip"
    ))
}

fn product(text: &str, density: Option<f64>, salt: Option<Salt>) -> Result<Product, Misphrased> {
    let name = "product";
    if let Some((mix, gives)) = text.split_once(" gives ") {
        let (dose, water) = mix.rsplit_once(" in ").ok_or_else(|| not_a_product(text))?;
        return Ok(Product::ByLabel(Dilution {
            dose: read(name, dose)?,
            water: read(name, water)?,
            fill: Fill::UpTo,
            gives: read(name, gives)?,
        }));
    }
    if let Some((mass, share)) = text.split_once(" of ") {
        let share = share.trim().strip_suffix('%').ok_or_else(|| not_a_product(text))?;
        return Ok(Product::Pieces(Piece::Share {
            mass: grams(mass)?,
            available_percent: number(name, share)?,
            salt,
        }));
    }
    if let Some((value, scale)) = text.split_once('%') {
        let value = number(name, value)?;
        let liquid = |scale| Ok(Product::Liquid(Liquid { scale, number: value, density }));
        return match scale.trim().to_lowercase().as_str() {
            "dry" => Ok(Product::Dry { available_percent: value, salt }),
            "hypochlorite" => liquid(LiquidScale::HypochloriteByMass),
            "available" => liquid(LiquidScale::AvailableByMass),
            "trade" => liquid(LiquidScale::TradePercent),
            _ => Err(Misphrased::new(name, format!(" `{text}` does not say which percent it is"))
                .hint("write `5.25 % hypochlorite` or `5 % available` (both by mass), `5.4 % trade` (grams of available chlorine in 100 mL), or `56 % dry`")),
        };
    }
    if let Ok(active) = text.parse::<MgPerLitre>() {
        let scale = LiquidScale::ActiveMgPerLitre;
        return Ok(Product::Liquid(Liquid { scale, number: active.0, density }));
    }
    Ok(Product::Pieces(Piece::Available(grams(text.trim_end_matches("available").trim())?)))
}

fn grams(text: &str) -> Result<Grams, Misphrased> {
    read::<Quantity>("product", text)
        .map_err(|_| not_a_product(text))?
        .mass()
        .ok_or_else(|| not_a_product(text))
}

fn not_a_product(text: &str) -> Misphrased {
    Misphrased::new("product", format!(" `{text}` does not say how strong the product is")).hint(
        "write what is in a piece, `1.7 g of 56 %` or `0.95 g available`; `56 % dry`; a liquid, `5.25 % hypochlorite`; or the label's dilution, `30 mL in 15 L gives 200 ppm`",
    )
}

/// `chlorine 10 50 100 200`.
fn strip_kind(text: &str) -> Result<StripKind, Misphrased> {
    let mut parts = text.split_whitespace();
    let reads = word("strips", parts.next().unwrap_or_default(), STRIPS)?;
    let classes = parts
        .map(|part| number("strips", part.trim_end_matches(',')).map(MgPerLitre))
        .collect::<Result<Vec<_>, _>>()?;
    StripKind::new(reads, &classes).map_err(|wrong| fault(&wrong))
}

fn errors(words: &StrengthWords) -> Result<Option<StatedErrors>, Misphrased> {
    let stated = |name, text: &Option<String>, shape| {
        each(text.as_ref(), |text| Ok(Stated { half_width: percent(name, text)?, shape }))
    };
    let errors = StatedErrors {
        dose: stated("dose-error", &words.dose_error, Shape::TwoSigma)?,
        assay: stated("assay-error", &words.assay_error, Shape::Limits)?,
        water: stated("water-error", &words.water_error, Shape::TwoSigma)?,
    };
    Ok((errors != StatedErrors::default()).then_some(errors))
}
