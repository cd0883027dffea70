//! What is known of a line before it is read: the estate's part of a verdict.

use ouncewise_measure::density::{Basis, of_product};
use ouncewise_measure::{Aim, Draw, DrawRead, Metering, Millilitres, Quantity, Setup, Target};
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
            marked_in: kind.marked_in(),
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
pub(crate) fn misfit(
    draw: Option<DrawRead>,
    target: Option<Quantity>,
    water: bool,
    metering: Metering,
) -> Vec<(&'static str, String, String)> {
    let word = metering_word(metering);
    let mut found = Vec::new();
    let mut add = |field, what: String, mend: &str| found.push((field, what, mend.to_owned()));
    match (metering, draw) {
        (Metering::Rate, Some(DrawRead::Doses(_))) => add(
            "draw",
            format!("a {word} line cannot be drawn in doses"),
            "write the recipe's seconds, such as `7 s`",
        ),
        (Metering::Dose, Some(DrawRead::Time(_))) => add(
            "draw",
            format!("a {word} line cannot be drawn for a time"),
            "write the recipe's doses, such as `1 dose`",
        ),
        _ => {}
    }
    if metering == Metering::Ratio {
        if let Some(target) = target.filter(|t| t.mass().is_some()) {
            add(
                "target",
                format!("a ratio is by volume, and the target is in {}", target.unit),
                "write the syrup of one drink by volume, such as `30 mL`",
            );
        }
        if !water {
            add(
                "water",
                "a ratio line has no `water`".to_owned(),
                "write how much belongs to one drink, such as `150 mL`",
            );
        }
    } else if water {
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
    if let Some((_, what, mend)) =
        misfit(Some(line.draw), Some(line.target), line.water.is_some(), metering)
            .into_iter()
            .next()
    {
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

#[cfg(test)]
mod tests {
    use ouncewise_measure::{Adjuster, Grams, Measure, Seconds};

    use super::*;

    fn starter() -> Estate {
        crate::files::read(&crate::starter::files()).0
    }

    fn at(text: &str) -> Address {
        text.parse().unwrap()
    }

    #[test]
    fn a_line_is_set_up_from_its_recipe_family_product_and_measure() {
        let estate = starter();
        let setup = estate.setup(&at("rowan-end/counter-1/2"), None).unwrap();
        assert_eq!(setup.aim.target, Target::Mass(Grams(36.0)));
        assert_eq!(setup.aim.draw, Draw::Time(Seconds(7.0)));
        assert!((setup.aim.tolerance - 0.05).abs() < 1e-15 && (setup.risk - 0.05).abs() < 1e-15);
        assert!(matches!(setup.measure, Measure::Scale(_)));
        assert!(
            matches!(setup.adjuster, Adjuster::Screw { slack_turns, .. } if (slack_turns - 0.125).abs() < 1e-15)
        );
        assert_eq!((setup.density, setup.opening_offset, setup.setting), (None, None, None));
        let setup = estate.setup(&at("rowan-end/counter-1/1"), Some("scale")).unwrap();
        let (density, u) = setup.density.unwrap();
        // Gooseberry at 4 °C: 1.24 ± 0.01 g/mL at 20 °C; colder is a little heavier, and less sure.
        assert!((1.24..1.25).contains(&density) && (0.0057..0.01).contains(&u), "{density} {u}");
    }

    /// Limits of ±a are rectangular, a/√3; without limits half of the last digit (JCGM 100, 4.3.7).
    #[test]
    fn a_stated_number_carries_its_doubt() {
        let u = |text: &str| match text.parse::<Density>().unwrap() {
            Density::Stated(x) | Density::Brix(x) => x.standard_uncertainty(),
        };
        assert!((u("1.24 ± 0.01 g/mL") - 0.01 / 3f64.sqrt()).abs() < 1e-15);
        assert!((u("1.24 g/mL") - 0.005 / 3f64.sqrt()).abs() < 1e-15);
        assert!((u("62 Brix") - 0.5 / 3f64.sqrt()).abs() < 1e-15);
    }

    #[test]
    fn what_is_missing_is_named_with_how_to_mend_it() {
        let mut estate = starter();
        let told = |estate: &Estate, address: &str, measure| {
            estate.setup(&at(address), measure).unwrap_err().to_string()
        };
        let cases = [
            (
                "rowan-ent/counter-1/1",
                None,
                "there is no site `rowan-ent`; did you mean `rowan-end`?",
            ),
            (
                "rowan-end/counter-2/1",
                None,
                "there is no machine at rowan-end `counter-2`; did you mean `counter-1`?",
            ),
            (
                "rowan-end/counter-1/1",
                Some("cup-b"),
                "there is no measure at rowan-end `cup-b`; did you mean `cup-a`?",
            ),
        ];
        for (address, measure, message) in cases {
            assert_eq!(told(&estate, address, measure), message);
        }
        let site = estate.sites.get_mut("rowan-end").unwrap();
        let machine = site.machines.get_mut("counter-1").unwrap();
        machine.lines.get_mut("1").unwrap().measure = None;
        machine.lines.get_mut("2").unwrap().draw = ouncewise_measure::DrawRead::Doses(1);
        assert_eq!(
            told(&estate, "rowan-end/counter-1/1", None),
            "rowan-end/counter-1/1 has no usual measure, and rowan-end keeps cup-a, scale; name one, or set the line's `measure`"
        );
        assert_eq!(
            told(&estate, "rowan-end/counter-1/2", None),
            "rowan-end/counter-1/2: a rate line cannot be drawn in doses; write the recipe's seconds, such as `7 s`"
        );
        // The only piece that is left is the one that is meant.
        estate.sites.get_mut("rowan-end").unwrap().measures.get_mut("scale").unwrap().retired =
            true;
        estate.setup(&at("rowan-end/counter-1/1"), None).unwrap();
    }
}
