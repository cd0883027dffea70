//! What one file says of another: every name must be there, and fit.

use std::collections::BTreeSet;

use ouncewise_measure::Adjuster;
use rust_decimal::prelude::ToPrimitive;

use super::read::Named;
use super::{LINES, MACHINES, MEASURES, PRODUCTS, SITES};
use crate::estate::Estate;
use crate::fault::nearest;
use crate::fields::{Fields, code};
use crate::key::Key;
use crate::line::Line;
use crate::machine::Machine;
use crate::setup::misfit;
use crate::site::Site;

/// Refuses a name that nothing bears.
fn refuse<'a>(
    fields: &mut Fields<'_>,
    field: &str,
    code: &'static str,
    what: &str,
    key: &Key,
    known: impl Iterator<Item = &'a Key>,
    file: &str,
) {
    let hint = match nearest(key, known.map(Key::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("describe it in `{file}`"),
    };
    fields.refuse_field(field, code, format!("there is no {what} `{key}`"), hint);
}

pub(crate) fn site(fields: &mut Fields<'_>, site: &Site, estate: &Estate, named: &Named) {
    if let Some(owner) = &site.owner
        && !named.owners.contains(owner)
    {
        refuse(
            fields,
            "owner",
            code::UNKNOWN_OWNER,
            "owner",
            owner,
            named.owners.iter(),
            "estate.toml",
        );
    }
    if let Some(owner) = &site.owner {
        let retired = estate.owners.get(owner).is_some_and(|o| o.retired);
        warn_retired(fields, "owner", !site.retired && retired, "owner", owner);
    }
    let mut told = BTreeSet::new();
    for piece in site.measures.values() {
        if !told.insert(&piece.kind) {
            continue;
        }
        if !named.measures.contains(&piece.kind) {
            let what = "kind of measure";
            let known = named.measures.iter();
            refuse(
                fields,
                "measures",
                code::UNKNOWN_MEASURE_KIND,
                what,
                &piece.kind,
                known,
                MEASURES,
            );
        }
        let retired = estate.measures.get(&piece.kind).is_some_and(|m| m.retired);
        warn_retired(
            fields,
            "measures",
            !site.retired && !piece.retired && retired,
            "kind of measure",
            &piece.kind,
        );
    }
}

pub(crate) fn machine(
    fields: &mut Fields<'_>,
    (site, key): (&Key, &Key),
    machine: &Machine,
    estate: &Estate,
    named: &mut Named,
) {
    if !named.sites.contains_key(site) {
        refuse(fields, "site", code::UNKNOWN_SITE, "site", site, named.sites.keys(), SITES);
    }
    let family = &machine.family;
    if !named.families.contains(family) {
        let file = format!("families/{family}.toml");
        refuse(
            fields,
            "family",
            code::UNKNOWN_FAMILY,
            "family",
            family,
            named.families.iter(),
            &file,
        );
    }
    let retired = estate.families.get(family).is_some_and(|f| f.retired);
    warn_retired(fields, "family", !machine.retired() && retired, "family", family);
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
    let known_site = named.sites.contains_key(site);
    if !known_site {
        refuse(fields, "site", code::UNKNOWN_SITE, "site", site, named.sites.keys(), SITES);
    } else if !named.machines.contains_key(&(site.clone(), machine.clone())) {
        let here = named.machines.keys().filter(|(s, _)| s == site).map(|(_, m)| m);
        let what = format!("machine at {site} called");
        refuse(fields, "machine", code::UNKNOWN_MACHINE, &what, machine, here, MACHINES);
    }
    let product = &line.product;
    if !named.products.contains(product) {
        refuse(
            fields,
            "product",
            code::UNKNOWN_PRODUCT,
            "product",
            product,
            named.products.iter(),
            PRODUCTS,
        );
    }
    let retired = estate.products.get(product).is_some_and(|p| p.retired);
    warn_retired(fields, "product", !line.retired && retired, "product", product);
    if let (Some(measure), Some(place)) = (&line.measure, estate.sites.get(site)) {
        match place.measures.get(measure) {
            None => {
                let what = format!("measure at {site} called");
                let file = format!("the column `measures` of {SITES}");
                let known = place.measures.keys();
                refuse(fields, "measure", code::UNKNOWN_MEASURE, &what, measure, known, &file);
            }
            Some(piece) => {
                warn_retired(fields, "measure", !line.retired && piece.retired, "measure", measure)
            }
        }
    }
    let family = estate.machine(site, machine).and_then(|m| estate.families.get(&m.family));
    let Some(family) = family else { return };
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
