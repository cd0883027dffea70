//! What one file says of another: every name must be there, and fit.

use std::collections::BTreeSet;

use ouncewise_measure::Adjuster;
use rust_decimal::prelude::ToPrimitive;

use super::read::Named;
use super::{FAMILIES, GROUP, LINES, MACHINES, MEASURES, PRODUCTS, PROFILES, SITES, pieces};
use crate::estate::Estate;
use crate::family::Family;
use crate::fault::{Severity, nearest};
use crate::fields::{Fields, Flaw, code};
use crate::key::Key;
use crate::machine::State;
use crate::percent::decimal;
use crate::setup::misfit;
use crate::tubing::Tubing;
use crate::written::{Table, Value};

/// For how many unknown names the one that was meant is sought.
const GUESSES: usize = 300;

/// Whether a thing is there.
#[derive(Clone, Copy)]
enum Found {
    There,
    /// It is described, but was refused.
    Refused,
    Missing,
}

impl Found {
    fn new(there: bool, named: bool) -> Self {
        match (there, named) {
            (true, _) => Self::There,
            (false, true) => Self::Refused,
            (false, false) => Self::Missing,
        }
    }
}

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
        there: Found,
        known: impl Iterator<Item = &'a Key>,
    ) {
        match there {
            Found::There => return,
            Found::Missing if !named.unread.contains(self.file) => {}
            Found::Refused | Found::Missing => {
                fields.spoil();
                return;
            }
        }
        // A wrong sheet can hold a hundred thousand unknown names: guessing what each meant would take hours.
        let near = (named.sought.replace(named.sought.get() + 1) < GUESSES)
            .then(|| nearest(self.key, known.map(Key::as_str)))
            .flatten();
        let hint = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("describe it in `{}`", self.file),
        };
        let message = format!("there is no {} `{}`", self.what, self.key);
        fields.refuse_field(self.field, self.code, message, hint);
    }
}

/// What `estate.toml` names in its group.
pub(crate) fn group(table: &Table, estate: &Estate, named: &Named, flaws: &mut Vec<Flaw>) {
    let Some(Value::Table(group)) = table.get("group").map(|entry| &entry.node.value) else {
        return;
    };
    let Some(entry) = group.get("jurisdiction") else { return };
    let Value::Text(text) = &entry.node.value else { return };
    let Ok(key) = text.trim().parse::<Key>() else { return };
    if let Some((message, hint)) = no_profile(&key, estate, named) {
        flaws.push(Flaw {
            code: code::UNKNOWN_PROFILE,
            severity: Severity::Error,
            span: entry.node.span.clone(),
            message,
            hint: Some(hint),
        });
    }
}

/// What is wrong with the name of a profile, and the profiles that there are.
fn no_profile(key: &Key, estate: &Estate, named: &Named) -> Option<(String, String)> {
    let known = estate.profile_keys();
    if known.contains(&key.as_str()) || named.profiles.contains(key) {
        return None;
    }
    let guess = named.sought.replace(named.sought.get() + 1) < GUESSES;
    let near = guess.then(|| nearest(key, known.iter().copied())).flatten();
    let meant = near.map_or_else(String::new, |near| format!("did you mean `{near}`? "));
    let hint = format!(
        "{meant}there are `{}`; your own is a file `{PROFILES}KEY.toml`",
        known.join("`, `")
    );
    Some((format!("there is no profile `{key}`"), hint))
}

/// What a row of `sites.csv` names.
pub(crate) fn site(fields: &mut Fields<'_>, estate: &Estate, named: &Named) {
    let retired = fields.peek_flag("retired");
    if let Some(key) = &fields.peek("owner") {
        let owner = estate.owners.get(key);
        Name { field: "owner", code: code::UNKNOWN_OWNER, what: "owner", key, file: GROUP }.check(
            fields,
            named,
            Found::new(owner.is_some(), named.owners.contains(key)),
            named.owners.iter(),
        );
        warn_retired(fields, "owner", !retired && owner.is_some_and(|o| o.retired), "owner", key);
    }
    if let Some(key) = &fields.peek("jurisdiction")
        && let Some((message, hint)) = no_profile(key, estate, named)
    {
        fields.refuse_field("jurisdiction", code::UNKNOWN_PROFILE, message, hint);
    }
    let (pieces, _) = pieces::read(&fields.peek::<String>("measures").unwrap_or_default());
    let mut told = BTreeSet::new();
    for piece in pieces.values() {
        let key = &piece.kind;
        if !told.insert(key) {
            continue;
        }
        let kind = estate.measures.get(key);
        let what = "kind of measure";
        Name { field: "measures", code: code::UNKNOWN_MEASURE_KIND, what, key, file: MEASURES }
            .check(
                fields,
                named,
                Found::new(kind.is_some(), named.measures.contains(key)),
                named.measures.iter(),
            );
        let clash = !retired && !piece.retired && kind.is_some_and(|m| m.retired);
        warn_retired(fields, "measures", clash, what, key);
    }
}

/// What a row of `machines.csv` names.
pub(crate) fn machine(fields: &mut Fields<'_>, estate: &Estate, named: &mut Named) {
    let site: Option<Key> = fields.peek("site");
    let retired = fields
        .peek::<String>("state")
        .is_some_and(|s| s.eq_ignore_ascii_case(State::Removed.word()));
    if let Some(key) = &site {
        Name { field: "site", code: code::UNKNOWN_SITE, what: "site", key, file: SITES }.check(
            fields,
            named,
            Found::new(estate.sites.contains_key(key), named.sites.contains_key(key)),
            named.sites.keys(),
        );
    }
    if let Some(key) = &fields.peek("family") {
        let family = estate.families.get(key);
        Name { field: "family", code: code::UNKNOWN_FAMILY, what: "family", key, file: FAMILIES }
            .check(
                fields,
                named,
                Found::new(family.is_some(), named.families.contains(key)),
                named.families.iter(),
            );
        warn_retired(
            fields,
            "family",
            !retired && family.is_some_and(|f| f.retired),
            "family",
            key,
        );
    }
    if let (Some(serial), Some(site), Some(machine), false) =
        (fields.peek::<String>("serial"), site, fields.peek::<Key>("machine"), retired)
    {
        match named.serials.get(&serial) {
            Some((s, m)) => fields.warn_field(
                "serial",
                code::SERIAL_TWICE,
                format!("the machine `{s}/{m}` has the same serial number `{serial}`"),
                "one machine stands in one place: check both plates",
            ),
            None => drop(named.serials.insert(serial, (site, machine))),
        }
    }
}

/// What a row of `lines.csv` names, and whether its recipe fits its machine.
pub(crate) fn line(fields: &mut Fields<'_>, estate: &Estate, named: &Named) {
    let retired = fields.peek_flag("retired");
    let (site, machine): (Option<Key>, Option<Key>) = (fields.peek("site"), fields.peek("machine"));
    let place = site.as_ref().and_then(|key| Some((key, estate.sites.get(key)?)));
    if let Some(key) = &site {
        Name { field: "site", code: code::UNKNOWN_SITE, what: "site", key, file: SITES }.check(
            fields,
            named,
            Found::new(place.is_some(), named.sites.contains_key(key)),
            named.sites.keys(),
        );
    }
    if let Some(key) = &fields.peek("product") {
        let product = estate.products.get(key);
        Name {
            field: "product",
            code: code::UNKNOWN_PRODUCT,
            what: "product",
            key,
            file: PRODUCTS,
        }
        .check(
            fields,
            named,
            Found::new(product.is_some(), named.products.contains(key)),
            named.products.iter(),
        );
        warn_retired(
            fields,
            "product",
            !retired && product.is_some_and(|p| p.retired),
            "product",
            key,
        );
    }
    let Some((site, place)) = place else { return };
    if let Some(key) = &fields.peek("measure") {
        let piece = place.measures.get(key);
        let what = format!("measure at {site} called");
        Name { field: "measure", code: code::UNKNOWN_MEASURE, what: &what, key, file: SITES }
            .check(fields, named, Found::new(piece.is_some(), false), place.measures.keys());
        warn_retired(
            fields,
            "measure",
            !retired && piece.is_some_and(|p| p.retired),
            "measure",
            key,
        );
    }
    let Some(key) = &machine else { return };
    let what = format!("machine at {site} called");
    let here = named.machines.keys().filter(|(s, _)| s == site).map(|(_, m)| m);
    Name { field: "machine", code: code::UNKNOWN_MACHINE, what: &what, key, file: MACHINES }.check(
        fields,
        named,
        Found::new(
            place.machines.contains_key(key),
            named.machines.contains_key(&(site.clone(), key.clone())),
        ),
        here,
    );
    if let Some(family) = estate.family_of(site, key) {
        recipe(fields, family);
        tubes(fields, family);
    }
}

/// Whether a line's recipe and setting fit how its family meters and is set.
fn recipe(fields: &mut Fields<'_>, family: &Family) {
    let water = fields.has("water");
    for (field, what, mend) in
        misfit(fields.peek("draw"), fields.peek("target"), water, family.metering)
    {
        let code = match field {
            "draw" => code::DRAW_UNIT,
            "target" => code::TARGET_UNIT,
            _ if water => code::WATER_TOO,
            _ => code::NO_WATER,
        };
        fields.refuse_field(field, code, what, mend);
    }
    let Some(setting) = fields.peek::<String>("setting").as_deref().and_then(decimal) else {
        return;
    };
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
            format!("leave it empty; `{LINES}` needs it only for a number or percent on a panel"),
        ),
    };
    // Only a warning: what was once recorded must come back from its own export.
    fields.warn_field("setting", code::NO_PANEL, message, hint);
}

/// Whether the tubes that a line states fit those of its family.
fn tubes(fields: &mut Fields<'_>, family: &Family) {
    let own =
        Tubing { bore: fields.peek("bore"), length: fields.peek("length"), ..Tubing::default() };
    // What does not fit in itself is told where it is read.
    if own.misfit().is_some() || own == Tubing::default() {
        return;
    }
    if let Some((what, mend)) = own.over(&family.tubing).misfit() {
        let field = if own.length.is_some() { "length" } else { "bore" };
        let message = format!("`{field}`: with what `{}` states that is {what}", family.name);
        // Only a warning: the family may have changed since, and what was once recorded must come back.
        fields.warn_field(field, code::OTHER_TUBES, message, mend);
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
