//! What one file says of another: every name must be there, and fit.

use std::collections::BTreeSet;

use ouncewise_measure::Adjuster;
use rust_decimal::prelude::ToPrimitive;

use super::read::Named;
use super::{FAMILIES, GROUP, LINES, MACHINES, MEASURES, PRODUCTS, SITES};
use crate::estate::Estate;
use crate::family::Family;
use crate::fault::nearest;
use crate::fields::{Fields, code};
use crate::key::Key;
use crate::line::Line;
use crate::machine::Machine;
use crate::setup::misfit;
use crate::site::Site;

/// A name that a field uses.
struct Name<'a> {
    field: &'static str,
    code: &'static str,
    what: &'a str,
    key: &'a Key,
    /// Where things of this sort are described.
    file: &'static str,
}

impl Name<'_> {
    /// Refuses the name unless the thing is there. Where the thing was refused, or its file could
    /// not be read whole, the cause is told already, and what uses it is left out without a word.
    fn check<'a>(
        &self,
        fields: &mut Fields<'_>,
        named: &Named,
        there: bool,
        mut known: impl Iterator<Item = &'a Key> + Clone,
    ) {
        if there {
            return;
        }
        if named.unread.contains(self.file) || known.clone().any(|k| k == self.key) {
            fields.spoil();
            return;
        }
        let hint = match nearest(self.key, known.by_ref().map(Key::as_str)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("describe it in `{}`", self.file),
        };
        let message = format!("there is no {} `{}`", self.what, self.key);
        fields.refuse_field(self.field, self.code, message, hint);
    }
}

pub(crate) fn site(fields: &mut Fields<'_>, site: &Site, estate: &Estate, named: &Named) {
    if let Some(key) = &site.owner {
        let owner = estate.owners.get(key);
        Name { field: "owner", code: code::UNKNOWN_OWNER, what: "owner", key, file: GROUP }.check(
            fields,
            named,
            owner.is_some(),
            named.owners.iter(),
        );
        warn_retired(
            fields,
            "owner",
            !site.retired && owner.is_some_and(|o| o.retired),
            "owner",
            key,
        );
    }
    let mut told = BTreeSet::new();
    for piece in site.measures.values() {
        let key = &piece.kind;
        if !told.insert(key) {
            continue;
        }
        let kind = estate.measures.get(key);
        let what = "kind of measure";
        Name { field: "measures", code: code::UNKNOWN_MEASURE_KIND, what, key, file: MEASURES }
            .check(fields, named, kind.is_some(), named.measures.iter());
        let clash = !site.retired && !piece.retired && kind.is_some_and(|m| m.retired);
        warn_retired(fields, "measures", clash, what, key);
    }
}

pub(crate) fn machine(
    fields: &mut Fields<'_>,
    (site, key): (&Key, &Key),
    machine: &Machine,
    estate: &Estate,
    named: &mut Named,
) {
    Name { field: "site", code: code::UNKNOWN_SITE, what: "site", key: site, file: SITES }.check(
        fields,
        named,
        estate.sites.contains_key(site),
        named.sites.keys(),
    );
    let family = estate.families.get(&machine.family);
    let name = Name {
        field: "family",
        code: code::UNKNOWN_FAMILY,
        what: "family",
        key: &machine.family,
        file: FAMILIES,
    };
    name.check(fields, named, family.is_some(), named.families.iter());
    let clash = !machine.retired() && family.is_some_and(|f| f.retired);
    warn_retired(fields, "family", clash, "family", &machine.family);
    if let Some(serial) = machine.serial.as_ref().filter(|_| !machine.retired()) {
        match named.serials.get(serial) {
            Some((s, m)) => fields.warn_field(
                "serial",
                code::SERIAL_TWICE,
                format!("the machine `{s}/{m}` has the same serial number `{serial}`"),
                "one machine stands in one place: check both plates",
            ),
            None => drop(named.serials.insert(serial.clone(), (site.clone(), key.clone()))),
        }
    }
}

pub(crate) fn line(
    fields: &mut Fields<'_>,
    (site, machine): (&Key, &Key),
    line: &Line,
    estate: &Estate,
    named: &Named,
) {
    let place = estate.sites.get(site);
    Name { field: "site", code: code::UNKNOWN_SITE, what: "site", key: site, file: SITES }.check(
        fields,
        named,
        place.is_some(),
        named.sites.keys(),
    );
    if place.is_some() {
        let what = format!("machine at {site} called");
        let here = named.machines.keys().filter(|(s, _)| s == site).map(|(_, m)| m);
        let there = estate.machine(site, machine).is_some();
        Name {
            field: "machine",
            code: code::UNKNOWN_MACHINE,
            what: &what,
            key: machine,
            file: MACHINES,
        }
        .check(fields, named, there, here);
    }
    let product = estate.products.get(&line.product);
    let name = Name {
        field: "product",
        code: code::UNKNOWN_PRODUCT,
        what: "product",
        key: &line.product,
        file: PRODUCTS,
    };
    name.check(fields, named, product.is_some(), named.products.iter());
    let clash = !line.retired && product.is_some_and(|p| p.retired);
    warn_retired(fields, "product", clash, "product", &line.product);
    if let (Some(key), Some(place)) = (&line.measure, place) {
        let piece = place.measures.get(key);
        let what = format!("measure at {site} called");
        Name { field: "measure", code: code::UNKNOWN_MEASURE, what: &what, key, file: SITES }
            .check(fields, named, piece.is_some(), place.measures.keys());
        warn_retired(
            fields,
            "measure",
            !line.retired && piece.is_some_and(|p| p.retired),
            "measure",
            key,
        );
    }
    if let Some(family) = estate.family_of(site, machine) {
        recipe(fields, line, family);
    }
}

/// Whether a line's recipe and setting fit how its family meters and is set.
fn recipe(fields: &mut Fields<'_>, line: &Line, family: &Family) {
    for (field, what, mend) in misfit(line, family.metering) {
        let code = match field {
            "draw" => code::DRAW_UNIT,
            "target" => code::TARGET_UNIT,
            _ if line.water.is_none() => code::NO_WATER,
            _ => code::WATER_TOO,
        };
        fields.refuse_field(field, code, what, mend);
    }
    if let Some(setting) = line.setting {
        let range = match family.adjuster {
            Adjuster::Number { range, .. } | Adjuster::Percent { range, .. } => Some(range),
            _ => None,
        };
        let (message, hint) = match (range, setting.to_f64()) {
            (Some((lowest, highest)), Some(s)) if (lowest..=highest).contains(&s) => return,
            (Some((lowest, highest)), _) => (
                format!("the panel cannot show {setting}"),
                format!("the panel of `{}` goes from {lowest} to {highest}", family.name),
            ),
            (None, _) => (
                format!("`{}` has no panel that shows a setting", family.name),
                format!(
                    "leave it empty; `{LINES}` needs it only for a number or percent on a panel"
                ),
            ),
        };
        // Only a warning: what was once recorded must come back from its own export.
        fields.warn_field("setting", code::NO_PANEL, message, hint);
    }
}

fn warn_retired(fields: &mut Fields<'_>, field: &str, clash: bool, what: &str, key: &Key) {
    if clash {
        fields.warn_field(
            field,
            code::RETIRED_USE,
            format!("the {what} `{key}` is retired"),
            format!("name another {what}, or take the mark off `{key}`"),
        );
    }
}
