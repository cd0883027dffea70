//! Procedures among the files that are checked, and those that are named on the command line.

use std::path::{Path, PathBuf};

use ouncewise_estate::files::Files;
use ouncewise_estate::{Fault, Place, Severity};
use ouncewise_ledger::procedure_version;
use ouncewise_procedure::mend::{self, Mended};
use ouncewise_procedure::{Family, Procedure, Report, Terms, check, read};
use ouncewise_report::{
    Failure, ProcedureReport, many, shipped_family, shipped_procedure, shipped_procedures,
};

use super::profiles::{self, as_text, is_of_sort};
use crate::args::Language;

/// The model of a family, beside its procedures.
const FAMILY: &str = "family.toml";

/// Whether a file is a procedure or the model of a family: it lies in a folder `procedures`, or has their keys at its top.
pub fn is_one(name: &str, bytes: &[u8]) -> bool {
    is_of_sort(name, bytes, "procedures", ["kind", "family"]) || is_family(name, bytes)
}

fn is_family(name: &str, bytes: &[u8]) -> bool {
    let model = is_of_sort(name, bytes, "", ["family", "isolation"]);
    model || (name == FAMILY || name.ends_with("/family.toml")) && is_in_folder(name)
}

fn is_in_folder(name: &str) -> bool {
    name.rsplit('/').skip(1).any(|folder| folder == "procedures")
}

/// What was found in procedures.
#[derive(Default)]
pub struct Checked {
    /// Every fault, at its place.
    pub faults: Vec<Fault>,
    /// What the check says of each text.
    pub procedures: Vec<ProcedureReport>,
}

/// Checks every procedure among the files, against the model beside it. `paths` are those that were named: a single file has
/// its model beside it on the disk.
pub fn checked(all: &Files, paths: &[PathBuf], terms: &Terms) -> Checked {
    let mut found = Checked::default();
    for (name, bytes) in all.iter().filter(|(name, bytes)| is_family(name, bytes)) {
        match as_text(name, bytes) {
            Ok(text) => found.faults.extend(read::family(name, text).1),
            Err(faults) => found.faults.extend(faults),
        }
    }
    for (name, bytes) in all.iter().filter(|(name, bytes)| !is_family(name, bytes)) {
        let text = match as_text(name, bytes) {
            Ok(text) => text,
            Err(faults) => {
                found.faults.extend(faults);
                found.procedures.push(ProcedureReport::unread(name));
                continue;
            }
        };
        let model = model_of(name);
        let beside = all.get(&model).cloned().or_else(|| on_disk(name, paths));
        let beside = beside.and_then(|bytes| String::from_utf8(bytes).ok());
        match judged(name, text, &model, beside.as_deref(), terms) {
            Ok((_, _, report)) => {
                found
                    .faults
                    .extend(report.findings.iter().map(ouncewise_procedure::Finding::fault));
                found.procedures.push(ProcedureReport::of(name, &report, "en"));
            }
            Err(faults) => {
                found.faults.extend(faults);
                found.procedures.push(ProcedureReport::unread(name));
            }
        }
    }
    found
}

/// The model beside a file that was named alone.
fn on_disk(name: &str, paths: &[PathBuf]) -> Option<Vec<u8>> {
    let path = paths.iter().find(|path| path.file_name().is_some_and(|own| own == name))?;
    std::fs::read(path.with_file_name(FAMILY)).ok()
}

/// Reads and checks a procedure, or says why it cannot be read.
fn judged(
    name: &str,
    text: &str,
    model_file: &str,
    beside: Option<&str>,
    terms: &Terms,
) -> Result<(Family, Procedure, Report), Vec<Fault>> {
    let wanted = family_named(text);
    let model = beside.or_else(|| wanted.and_then(shipped_family));
    let one = |message: String, hint: &str| {
        let line = text.lines().position(|line| line.trim_start().starts_with("family"));
        let place =
            Place { file: name.to_owned(), line: line.unwrap_or(0) + 1, column: 1, span: None };
        vec![Fault {
            code: "R006",
            severity: Severity::Error,
            place,
            message,
            hint: Some(hint.to_owned()),
        }]
    };
    let Some(model) = model else {
        let key = wanted.unwrap_or("");
        return Err(one(
            format!("there is no model of the family `{key}`"),
            "lay its `family.toml` beside the procedure",
        ));
    };
    let Some(family) = read::family(model_file, model).0 else {
        return Err(one(
            "the model of its family cannot be read".to_owned(),
            "mend the faults of `family.toml` first",
        ));
    };
    let (procedure, faults) = read::procedure(name, text, &family);
    match procedure {
        Some(procedure) if faults.is_empty() => {
            let report = check(&family, &procedure, terms);
            Ok((family, procedure, report))
        }
        _ => Err(faults),
    }
}

/// What is safe to mend: each text with its name, as it is and as it would be.
pub fn mended(all: &Files, paths: &[PathBuf]) -> Vec<(String, String, Mended)> {
    let mut found: Vec<(String, String, Mended)> = Vec::new();
    let texts = all.iter().filter(|(name, bytes)| is_one(name, bytes));
    let texts = texts.filter_map(|(name, bytes)| Some((name, as_text(name, bytes).ok()?)));
    let (models, written): (Vec<_>, Vec<_>) =
        texts.partition(|(name, text)| is_family(name, text.as_bytes()));
    for (name, text) in models {
        found.push((name.clone(), text.to_owned(), mend::family(text)));
    }
    for (name, text) in written {
        let model = model_of(name);
        let beside = found.iter().find(|(own, ..)| *own == model);
        let beside = beside
            .map(|(.., mended)| mended.text.clone())
            .or_else(|| on_disk(name, paths).and_then(|bytes| String::from_utf8(bytes).ok()));
        let model =
            beside.or_else(|| family_named(text).and_then(shipped_family).map(str::to_owned));
        if let Some(family) = model.and_then(|model| read::family(FAMILY, &model).0) {
            found.push((name.clone(), text.to_owned(), mend::procedure(text, &family)));
        }
    }
    found
}

/// The name of the model beside a procedure.
fn model_of(name: &str) -> String {
    match name.rsplit_once('/') {
        Some((folder, _)) => format!("{folder}/{FAMILY}"),
        None => FAMILY.to_owned(),
    }
}

/// The family that a procedure names at its top.
pub fn family_named(text: &str) -> Option<&str> {
    let (_, rest) =
        text.lines().filter_map(|line| line.split_once('=')).find(|(k, _)| k.trim() == "family")?;
    rest.split('"').nth(1)
}

/// The story of each finding that has one, for people.
pub fn stories(report: &ProcedureReport) -> String {
    let mut text = format!("{}: {}\n", report.file, report.says);
    for finding in &report.findings {
        if let Some(story) = &finding.story {
            let at = finding.step.map_or("at the end".to_owned(), |step| format!("step {step}"));
            text.push_str(&format!("  {} {at}, it comes about so: {story}\n", finding.code));
        }
    }
    text
}

/// A procedure that was named, with its text.
pub struct Named {
    pub family: Family,
    pub procedure: Procedure,
    pub report: Report,
    /// What it was checked under.
    pub terms: Terms,
    /// SHA-256 of its text and its model, in hexadecimal.
    pub version: String,
}

/// Whether a name is that of a file, or of a procedure that ships.
pub fn is_there(name: &str) -> bool {
    let ships = || name.split_once('/').and_then(|(family, own)| shipped_procedure(family, own));
    Path::new(name).exists() || ships().is_some()
}

/// The procedure of a file, or one that ships, in a language that it has, checked under the food code that was chosen.
pub fn named(what: &Language) -> Result<Named, Failure> {
    let Language { file: name, language, .. } = what;
    let named = by_name(name, profiles::terms(&what.code)?)?;
    let languages = &named.procedure.languages;
    if languages.iter().all(|(code, _)| code != language) {
        let all: Vec<&str> = languages.iter().map(|(code, _)| code.as_str()).collect();
        return Err(Failure::usage(format!("{name} is not written in `{language}`"))
            .hint(format!("it has: {}", all.join(", "))));
    }
    Ok(named)
}

fn by_name(name: &str, terms: Terms) -> Result<Named, Failure> {
    let path = Path::new(name);
    if !path.exists() {
        let ships = name.split_once('/').and_then(|(family, own)| shipped_procedure(family, own));
        if let Some((family, procedure, text)) = ships {
            let report = check(&family, &procedure, &terms);
            let model = shipped_family(name.split_once('/').map_or("", |(family, _)| family));
            let version = procedure_version(text, Some(model.unwrap_or_default()));
            return Ok(Named { family, procedure, report, terms, version });
        }
        let all: Vec<String> =
            shipped_procedures().map(|(family, own, _)| format!("{family}/{own}")).collect();
        return Err(Failure::usage(format!("there is no procedure `{name}`"))
            .hint(format!("name a file, or one that ships: {}", all.join(", "))));
    }
    let text = std::fs::read_to_string(path).map_err(|e| Failure::io(path, &e))?;
    let beside = std::fs::read_to_string(path.with_file_name(FAMILY)).ok();
    let (family, procedure, report) = judged(name, &text, FAMILY, beside.as_deref(), &terms)
        .map_err(|faults| {
            let first = faults.first().map_or_else(String::new, ToString::to_string);
            Failure::data(first).hint(format!(
                "`ouncewise check {name}` shows each of its {} at its place",
                many(faults.len(), "fault")
            ))
        })?;
    let model = beside.as_deref().or_else(|| family_named(&text).and_then(shipped_family));
    let version = procedure_version(&text, Some(model.unwrap_or_default()));
    Ok(Named { family, procedure, report, terms, version })
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLEAN: &str = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    const MODEL: &str = include_str!("../../../../content/procedures/screw-trim/family.toml");

    #[test]
    fn a_procedure_is_told_by_its_folder_or_its_first_keys() {
        assert!(is_one("procedures/ours.toml", b"x = 1"));
        assert!(is_one("weekly-clean.toml", CLEAN.as_bytes()));
        assert!(is_one("family.toml", MODEL.as_bytes()));
        assert!(is_family("family.toml", MODEL.as_bytes()));
        assert!(!is_family("weekly-clean.toml", CLEAN.as_bytes()));
        assert!(!is_one("families/screw-trim.toml", b"name = 1\nmetering = \"rate\"\n"));
        assert!(!is_one("estate.toml", b"[group]\nname = 1\n"));
    }

    #[test]
    fn the_model_is_found_beside_or_among_those_that_ship() {
        let judged =
            |text: &str, model| super::judged("a.toml", text, FAMILY, model, &Terms::default());
        assert!(judged(CLEAN, Some(MODEL)).is_ok());
        assert!(judged(CLEAN, None).is_ok());
        let other = CLEAN.replace("\"screw-trim\"", "\"nobody\"");
        let faults = judged(&other, None).unwrap_err();
        assert_eq!((faults[0].code, faults[0].place.line), ("R006", 4));
        assert_eq!(judged(CLEAN, Some("= =")).unwrap_err()[0].code, "R006");
    }
}
