//! What is known of a line before it is read: the estate's part of a verdict.

use ouncewise_measure::density::{Basis, of_product};
use ouncewise_measure::{Aim, Draw, Metering, Millilitres, Quantity, Setup, Target};
use rust_decimal::prelude::ToPrimitive;

use crate::address::Address;
use crate::estate::Estate;
use crate::family::metering_word;
use crate::fault::nearest;
use crate::key::Key;
use crate::line::Line;
use crate::piece::Piece;
use crate::product::{Density, Product};
use crate::site::Site;

/// What is missing before a line can be read, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EstateError {
    /// There is no such thing.
    #[error("there is no {what} `{key}`{}", near.as_ref().map_or(String::new(), |n| format!("; did you mean `{n}`?")))]
    Unknown {
        /// `site`, `machine at fernhollow`, …
        what: String,
        /// The key that is not there.
        key: String,
        /// The one that was probably meant.
        near: Option<String>,
    },
    /// A measure must be named, since none is usual here and there is not just one.
    #[error("{address} has no usual measure, and {site} keeps {kept}; name one, or set the line's `measure`", kept = if keys.is_empty() { "none; add it to `measures` of the site".to_owned() } else { keys.join(", ") })]
    WhichMeasure {
        /// The line.
        address: Address,
        /// The site.
        site: Key,
        /// The measures that the site keeps.
        keys: Vec<String>,
    },
    /// The line's recipe does not fit how its family meters.
    #[error("{address}: {what}; {mend}")]
    Recipe {
        /// The line.
        address: Address,
        /// What does not fit.
        what: String,
        /// How to mend it.
        mend: String,
    },
}

impl Estate {
    /// All that is known of a line before it is read with a measure of its site; without a key,
    /// with the line's usual one, or the only one that the site keeps.
    ///
    /// # Errors
    ///
    /// What is missing, and how to mend it.
    pub fn setup(&self, address: &Address, measure: Option<&str>) -> Result<Setup, EstateError> {
        let site = found("site", &address.site, &self.sites)?;
        let machine =
            found(&format!("machine at {}", address.site), &address.machine, &site.machines)?;
        let on = format!("line on {}/{}", address.site, address.machine);
        let line = found(&on, &address.line, &machine.lines)?;
        let family = found("family", &machine.family, &self.families)?;
        let product = found("product", &line.product, &self.products)?;
        let piece = self.piece(address, site, line, measure)?;
        let kind = found("kind of measure", &piece.kind, &self.measures)?;
        Ok(Setup {
            aim: aim(address, line, family.metering)?,
            measure: kind.measure(),
            timer: family.timing.timer(),
            density: density(product),
            temperature: product.temperature.and_then(Quantity::temperature),
            opening_offset: family.opening_offset.and_then(Quantity::duration),
            adjuster: family.adjuster.clone(),
            setting: line.setting.and_then(|s| s.to_f64()),
            last_adjusted: None,
            risk: self.group.risk.fraction(),
        })
    }

    fn piece<'a>(
        &self,
        address: &Address,
        site: &'a Site,
        line: &Line,
        measure: Option<&str>,
    ) -> Result<&'a Piece, EstateError> {
        if let Some(key) = measure.or(line.measure.as_deref()) {
            return found(&format!("measure at {}", address.site), key, &site.measures);
        }
        let kept: Vec<(&Key, &Piece)> = site.measures.iter().filter(|(_, p)| !p.retired).collect();
        match kept[..] {
            [(_, piece)] => Ok(piece),
            _ => Err(EstateError::WhichMeasure {
                address: address.clone(),
                site: address.site.clone(),
                keys: kept.iter().map(|(key, _)| key.to_string()).collect(),
            }),
        }
    }
}

fn found<'a, T>(
    what: &str,
    key: &str,
    things: &'a std::collections::BTreeMap<Key, T>,
) -> Result<&'a T, EstateError> {
    things.get(key).ok_or_else(|| EstateError::Unknown {
        what: what.to_owned(),
        key: key.to_owned(),
        near: nearest(key, things.keys().map(Key::as_str)).map(str::to_owned),
    })
}

/// What does not fit between a line's recipe and how its family meters: the field, what, and how to mend it.
pub(crate) fn misfit(line: &Line, metering: Metering) -> Vec<(&'static str, String, String)> {
    use ouncewise_measure::DrawRead::{Doses, Time};
    let word = metering_word(metering);
    let mut found = Vec::new();
    let mut add = |field, what: String, mend: &str| found.push((field, what, mend.to_owned()));
    match (metering, line.draw) {
        (Metering::Rate, Doses(_)) => add(
            "draw",
            format!("a {word} line cannot be drawn in doses"),
            "write the recipe's seconds, such as `7 s`",
        ),
        (Metering::Dose, Time(_)) => add(
            "draw",
            format!("a {word} line cannot be drawn for a time"),
            "write the recipe's doses, such as `1 dose`",
        ),
        _ => {}
    }
    if metering == Metering::Ratio {
        if line.target.volume().is_none() {
            add(
                "target",
                format!("a ratio is by volume, and the target is in {}", line.target.unit),
                "write the syrup of one drink by volume, such as `30 mL`",
            );
        }
        if line.water.is_none() {
            add(
                "water",
                "a ratio line has no `water`".to_owned(),
                "write how much belongs to one drink, such as `150 mL`",
            );
        }
    } else if line.water.is_some() {
        add(
            "water",
            format!("a {word} line has no water of its own"),
            "leave it out, or give the machine a ratio family",
        );
    }
    found
}

fn aim(address: &Address, line: &Line, metering: Metering) -> Result<Aim, EstateError> {
    let recipe = |what: &str, mend: &str| EstateError::Recipe {
        address: address.clone(),
        what: what.to_owned(),
        mend: mend.to_owned(),
    };
    if let Some((_, what, mend)) = misfit(line, metering).into_iter().next() {
        return Err(recipe(&what, &mend));
    }
    let target = match (line.target.volume(), line.target.mass()) {
        (Some(volume), _) => Target::Volume(volume),
        (_, Some(mass)) => Target::Mass(mass),
        _ => {
            return Err(recipe(
                "the target is neither a volume nor a weight",
                "write it like `30 mL` or `38 g`",
            ));
        }
    };
    let draw: Draw = line.draw.draw().map_err(|e| recipe(&e.what, &e.mend))?;
    let water = line.water.and_then(|w| Some((w.target.volume()?, w.tolerance.fraction())));
    let water: Option<(Millilitres, f64)> = water.filter(|_| metering == Metering::Ratio);
    Ok(Aim { metering, target, tolerance: line.tolerance.fraction(), draw, water })
}

/// The density in g/mL with its standard uncertainty, where the product states it or its Brix.
fn density(product: &Product) -> Option<(f64, f64)> {
    let basis = match product.density? {
        Density::Stated(read) => Basis::Stated {
            density: read.value.to_f64()?,
            standard_uncertainty: read.standard_uncertainty(),
            at: None,
        },
        Density::Brix(read) => Basis::Brix {
            brix: read.value.to_f64()?,
            standard_uncertainty: read.within.map(|_| read.standard_uncertainty()),
        },
    };
    of_product(basis, product.temperature.and_then(Quantity::temperature)).ok()
}
