//! From the text of a profile to the profile, with every fault of it.

use toml::Table;

use super::allergen::AllergenList;
use super::holding::{Cleaning, CleaningOf, Holding, HoldingLimit, TimeLimit};
use super::keys::{Faults, Keys};
use super::records::{Level, RecordKind, RecordNeed};
use super::{
    After, AfterRule, Basis, Ceiling, Column, Contact, FieldFault, Figure, HotWater, Limit,
    LubricantLimit, Printed, Profile, RinseBetween, Sanitiser, Status,
};
use crate::strength::MgPerLitre;

pub(super) const AFTER: &[(&str, AfterRule)] = &[
    ("drain-no-rinse", AfterRule::DrainNoRinse),
    ("drain", AfterRule::Drain),
    ("rinse", AfterRule::Rinse),
];

pub(super) fn profile(text: &str) -> Result<Profile, Vec<FieldFault>> {
    let table: Table =
        text.parse().map_err(|error: toml::de::Error| vec![not_toml(text, &error)])?;
    let faults = Faults::default();
    let keys = Keys::new(&table, String::new(), &faults);
    let read = whole(&keys);
    keys.done();
    match (read, faults.into_inner()) {
        (Some(profile), faults) if faults.is_empty() => Ok(profile),
        (_, faults) => Err(faults),
    }
}

fn not_toml(text: &str, error: &toml::de::Error) -> FieldFault {
    let line = error
        .span()
        .map_or(1, |span| text.bytes().take(span.start).filter(|byte| *byte == b'\n').count() + 1);
    let what = error.message().lines().next().unwrap_or_default().to_owned();
    FieldFault::new(
        format!("line {line}"),
        what,
        "mend the line; values are written as `key = 50` or `key = \"text\"`",
    )
}

fn whole(keys: &Keys<'_>) -> Option<Profile> {
    let id = keys.need_text("id", "write a short name, such as `our-county`");
    if !id.is_empty()
        && !id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
    {
        keys.fault(
            "id",
            "it has more than small letters, figures and hyphens",
            "write a short name, such as `our-county`",
        );
    }
    let name = keys.need_text("name", "write what people call it");
    let code = keys.need_text("code", "write which code it is");
    let edition = keys.need_text("edition", "write which edition, and where it is in force");
    let note = keys.text("note");
    let limits = limits(keys);
    let ceilings = rows(keys, "ceiling", ceiling);
    let contacts = rows(keys, "contact", contact);
    let hot_water = part(keys, "hot_water", hot_water);
    let after = part(keys, "after", after);
    if after.is_none() && !keys.has("after") {
        keys.missing(
            "after",
            "write under `[after]` what follows sanitising: `rule = \"drain\"` and its source",
        );
    }
    let test = part(keys, "test", basis);
    let rinse_between = part(keys, "rinse_between", |keys| {
        Some(RinseBetween {
            unless_same_agent: keys.flag("unless_same_agent"),
            basis: basis(keys)?,
        })
    });
    let purge = part(keys, "purge", |keys| {
        let mg_per_l = keys.need_number("mg_per_l", "write the figure in mg/L");
        Some(Figure { basis: basis(keys)?, mg_per_l: MgPerLitre(mg_per_l?) })
    });
    let holding = part(keys, "holding", holding).unwrap_or_default();
    let cleaning = rows(keys, "cleaning", cleaning);
    let records = rows(keys, "record", record);
    let allergens = part(keys, "allergens", allergens);
    let lubricants = rows(keys, "lubricant", lubricant);
    Some(Profile {
        id,
        name,
        code,
        edition,
        note,
        limits,
        ceilings,
        contacts,
        hot_water,
        after: after?,
        test,
        rinse_between,
        purge,
        holding,
        cleaning,
        records,
        allergens,
        lubricants,
    })
}

/// Every table of a list, read and then asked for its unknown keys.
fn rows<T>(keys: &Keys<'_>, key: &'static str, read: impl Fn(&Keys<'_>) -> Option<T>) -> Vec<T> {
    let mut rows = Vec::new();
    for keys in keys.tables(key) {
        rows.extend(read(&keys));
        keys.done();
    }
    rows
}

/// One table, read and then asked for its unknown keys.
fn part<T>(keys: &Keys<'_>, key: &'static str, read: impl Fn(&Keys<'_>) -> Option<T>) -> Option<T> {
    let keys = keys.table(key)?;
    let part = read(&keys);
    keys.done();
    part
}

fn basis(keys: &Keys<'_>) -> Option<Basis> {
    let row = keys.text("row");
    let clause = keys.need_text("clause", "write the clause of the code");
    let status = keys.need_word("status", Status::WORDS);
    let source = keys.need_text("source", "write in which document it was seen");
    Some(Basis { row, clause, status: status?, source })
}

fn printed(keys: &Keys<'_>) -> Option<Printed> {
    let c = keys.need_number("c", "write the figure in °C as the code prints it");
    let f = keys.need_number("f", "write the figure in °F as the code prints it");
    let (c, f) = (c?, f?);
    // Codes round either figure to a whole degree; more apart than that is a slip.
    if (c * 1.8 + 32.0 - f).abs() > 2.0 {
        keys.fault(
            "f",
            format!("{f} °F and {c} °C are not the same temperature"),
            "see both figures in the code again",
        );
    }
    Some(Printed { c, f })
}

fn columns(keys: &Keys<'_>) -> Vec<Column> {
    let columns: Vec<Column> = rows(keys, "temperature", |keys| {
        let ph_to = ph(keys);
        Some(Column { ph_to, least: printed(keys)? })
    });
    let order = |column: &Column| column.ph_to.unwrap_or(f64::INFINITY);
    if columns.windows(2).any(|pair| order(&pair[0]) >= order(&pair[1])) {
        keys.fault(
            "temperature",
            "its pH do not rise from one to the next",
            "write the lowest `ph_to` first, and each once",
        );
    }
    columns
}

fn ph(keys: &Keys<'_>) -> Option<f64> {
    let ph = keys.number("ph_to")?;
    if ph > 14.0 {
        keys.fault("ph_to", format!("{ph} is no pH"), "write a pH from 0 to 14");
        return None;
    }
    Some(ph)
}

fn limits(keys: &Keys<'_>) -> Vec<Limit> {
    let limits = rows(keys, "limit", limit);
    for (index, one) in limits.iter().enumerate() {
        let same = |other: &&Limit| other.sanitiser == one.sanitiser && other.from == one.from;
        if limits[..index].iter().any(|other| same(&other)) {
            keys.fault(
                &format!("limit[{}].from", index + 1),
                "another row of this sanitiser begins at the same strength",
                "give each row its own least strength, or take one out",
            );
        }
    }
    limits
}

fn limit(keys: &Keys<'_>) -> Option<Limit> {
    let sanitiser = keys.need_word("sanitiser", Sanitiser::WORDS);
    let as_label = keys.flag("as_label");
    let from = keys.number("from").map(MgPerLitre);
    let to = keys.number("to").map(MgPerLitre);
    if from.is_none() && !as_label && !keys.has("from") {
        keys.missing("from", "write the least strength in mg/L, or `as_label = true` where the code leaves it to the label");
    }
    if as_label && from.is_some() {
        keys.fault(
            "as_label",
            "the row has a least strength too",
            "keep one of `from` and `as_label`",
        );
    }
    if let (Some(from), Some(to)) = (from, to)
        && to < from
    {
        keys.fault(
            "to",
            format!("{} is under `from`", to.0),
            "write the most the row allows, or leave it out",
        );
    }
    let swab_times = keys.number("swab_times");
    if swab_times.is_some_and(|times| times < 1.0) {
        keys.fault(
            "swab_times",
            "it is under 1",
            "write how many times the strength is asked of a swabbed solution, such as `2`",
        );
    }
    let limit = (
        columns(keys),
        ph(keys),
        keys.flag("ph_or_label"),
        keys.number("hardness_to").map(MgPerLitre),
        keys.flag("hardness_or_label"),
    );
    let (columns, ph_to, ph_or_label, hardness_to, hardness_or_label) = limit;
    let basis = basis(keys);
    Some(Limit {
        sanitiser: sanitiser?,
        from,
        to,
        swab_times,
        columns,
        ph_to,
        ph_or_label,
        hardness_to,
        hardness_or_label,
        basis: basis?,
    })
}

fn ceiling(keys: &Keys<'_>) -> Option<Ceiling> {
    let sanitiser = keys.need_word("sanitiser", Sanitiser::WORDS);
    let component = keys.text("component");
    let to = keys.need_number("to", "write the most in mg/L");
    let basis = basis(keys);
    Some(Ceiling { sanitiser: sanitiser?, component, to: MgPerLitre(to?), basis: basis? })
}

fn contact(keys: &Keys<'_>) -> Option<Contact> {
    let sanitiser = keys.need_word("sanitiser", Sanitiser::WORDS);
    let as_label = keys.flag("as_label");
    let seconds = keys.number("seconds");
    if seconds.is_none() && !as_label && !keys.has("seconds") {
        keys.missing(
            "seconds",
            "write the least seconds, or `as_label = true` where the code leaves it to the label",
        );
    }
    if as_label && seconds.is_some() {
        keys.fault("as_label", "the row has seconds too", "keep one of `seconds` and `as_label`");
    }
    let from = keys.number("from").map(MgPerLitre);
    let below = keys.number("below").map(MgPerLitre);
    if let (Some(from), Some(below)) = (from, below)
        && below <= from
    {
        keys.fault(
            "below",
            "it is not over `from`",
            "write the strength at which the row ends, or leave it out",
        );
    }
    let columns = columns(keys);
    let basis = basis(keys);
    Some(Contact { sanitiser: sanitiser?, seconds, from, below, columns, basis: basis? })
}

fn hot_water(keys: &Keys<'_>) -> Option<HotWater> {
    let least = printed(keys);
    let seconds = keys.need_number("seconds", "write the least seconds");
    let basis = basis(keys);
    Some(HotWater { least: least?, seconds: seconds?, basis: basis? })
}

fn after(keys: &Keys<'_>) -> Option<After> {
    let rule = keys.need_word("rule", AFTER);
    let basis = basis(keys);
    Some(After { rule: rule?, basis: basis? })
}

fn holding(keys: &Keys<'_>) -> Option<Holding> {
    let limit = |key| {
        part(keys, key, |keys| {
            let limit = printed(keys);
            Some(HoldingLimit { basis: basis(keys)?, limit: limit? })
        })
    };
    let cold = limit("cold");
    let hot = limit("hot");
    let time = part(keys, "time", |keys| {
        let hours = keys
            .need_number("hours", "write after how many hours out of the cold food is thrown away");
        Some(TimeLimit { basis: basis(keys)?, value: hours? })
    });
    let date = part(keys, "date", |keys| {
        let days =
            keys.need_number("days", "write how many days, the day of opening being the first");
        let basis = basis(keys);
        if days.is_some_and(|days| days.fract() != 0.0 || days > 3650.0) {
            keys.fault(
                "days",
                "it is no whole number of days",
                "write how many days, the day of opening being the first",
            );
            return None;
        }
        Some(TimeLimit { basis: basis?, value: days? })
    });
    if let (Some(cold), Some(hot)) = (&cold, &hot)
        && hot.limit.c <= cold.limit.c
    {
        keys.fault("hot", "it is not over `cold`", "see both figures in the code again");
    }
    Some(Holding { cold, hot, time, date })
}

fn cleaning(keys: &Keys<'_>) -> Option<Cleaning> {
    let of = keys.need_word("of", CleaningOf::WORDS);
    let as_maker = keys.flag("as_maker");
    let hours = keys.number("every_hours");
    if hours.is_none() && !as_maker && !keys.has("every_hours") {
        keys.missing(
            "every_hours",
            "write the hours, or `as_maker = true` where the code leaves it to the maker",
        );
    }
    if as_maker && hours.is_some() {
        keys.fault("as_maker", "the row has hours too", "keep one of `every_hours` and `as_maker`");
    }
    let room_to = part(keys, "room_to", printed);
    let basis = basis(keys);
    Some(Cleaning { of: of?, every_hours: hours, room_to, basis: basis? })
}

fn record(keys: &Keys<'_>) -> Option<RecordNeed> {
    let kind = keys.need_word("kind", RecordKind::WORDS);
    let level = if keys.flag("should") { Level::Should } else { Level::Must };
    let only = keys.word("only", Sanitiser::WORDS);
    let basis = basis(keys);
    Some(RecordNeed { kind: kind?, level, only, basis: basis? })
}

fn allergens(keys: &Keys<'_>) -> Option<AllergenList> {
    let names = keys.texts("names");
    if names.is_empty() {
        keys.fault(
            "names",
            "no allergen is named",
            "write them, such as `names = [\"milk\", \"egg\"]`, or take the table out",
        );
    }
    Some(AllergenList { names, basis: basis(keys)? })
}

fn lubricant(keys: &Keys<'_>) -> Option<LubricantLimit> {
    let lubricant = keys.need_text("lubricant", "write which lubricant");
    let ppm_to =
        keys.need_number("ppm_to", "write the most in food, in parts of a million by mass");
    let basis = basis(keys);
    Some(LubricantLimit { lubricant, ppm_to: ppm_to?, basis: basis? })
}
