//! Files of a jurisdiction's rules among the files that are checked: which they are, and their faults at their place.

use std::ops::Range;
use std::path::Path;

use ouncewise_estate::{Fault, Place, Severity};
use ouncewise_hygiene::profile::{FieldFault, Profile};
use ouncewise_procedure::Terms;
use ouncewise_report::Failure;

use crate::args::Code;

/// Whether a file is a profile: it lies in a folder `profiles`, or names its code and its edition at the top.
pub fn is_one(name: &str, bytes: &[u8]) -> bool {
    is_of_sort(name, bytes, "profiles", ["code", "edition"])
}

/// Whether a TOML file is of a sort: it lies in that sort's folder, or has the sort's keys at its top.
pub fn is_of_sort(name: &str, bytes: &[u8], folder: &str, keys: [&str; 2]) -> bool {
    if !name.ends_with(".toml") {
        return false;
    }
    if name.rsplit('/').skip(1).any(|in_it| in_it == folder) {
        return true;
    }
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let top = || text.lines().take_while(|line| !line.trim_start().starts_with('['));
    keys.into_iter().all(|key| top().any(|line| key_of(line) == Some(key)))
}

/// A file as text, or the one fault that it is none.
pub fn as_text<'b>(name: &str, bytes: &'b [u8]) -> Result<&'b str, Vec<Fault>> {
    std::str::from_utf8(bytes).map_err(|_| {
        vec![Fault {
            code: "E001",
            severity: Severity::Error,
            place: Place { file: name.to_owned(), line: 1, column: 1, span: None },
            message: "the file is not UTF-8 text".to_owned(),
            hint: Some("save it as UTF-8".to_owned()),
        }]
    })
}

/// A profile that ships by its name, or the text of a file.
pub fn named(named: &str) -> Result<String, Failure> {
    let path = Path::new(named);
    if path.extension().is_none() && !path.exists() {
        return Ok(named.to_owned());
    }
    std::fs::read_to_string(path).map_err(|e| Failure::io(path, &e))
}

/// The terms of the food code that procedures are held to.
pub fn terms(code: &Code) -> Result<Terms, Failure> {
    let text = code.profile.as_deref().map(named).transpose()?;
    ouncewise_report::terms(text.as_deref())
}

/// All faults of a profile, each at its place.
pub fn faults(name: &str, bytes: &[u8]) -> Vec<Fault> {
    let text = match as_text(name, bytes) {
        Ok(text) => text,
        Err(faults) => return faults,
    };
    let Err(faults) = Profile::read(text) else { return Vec::new() };
    let mut found: Vec<Fault> = faults.into_iter().map(|fault| told(name, text, fault)).collect();
    found.sort_by_key(|fault| fault.place.line);
    found
}

fn told(file: &str, text: &str, fault: FieldFault) -> Fault {
    let lines: Vec<(Range<usize>, &str)> = lines(text);
    let written = fault.key.strip_prefix("line ").and_then(|line| line.parse::<usize>().ok());
    let at = written.map_or_else(|| find(&lines, &fault.key), |line| line - 1);
    let at = at.min(lines.len().saturating_sub(1));
    let (span, line) = lines.get(at).cloned().unwrap_or((0..0, ""));
    let code = match fault.what.as_str() {
        _ if written.is_some() => "E002",
        "this key is not known here" => "E010",
        "it is missing" | "it is empty" => "E011",
        what if what.ends_with("is none of its words") => "E016",
        what if what.starts_with("it is a") => "E012",
        _ => "E024",
    };
    let blank = line.len() - line.trim_start().len();
    Fault {
        code,
        severity: Severity::Error,
        place: Place {
            file: file.to_owned(),
            line: at + 1,
            column: line[..blank].chars().count() + 1,
            span: Some(span.start + blank..span.start + line.trim_end().len().max(blank)),
        },
        message: if written.is_some() {
            fault.what
        } else {
            format!("`{}`: {}", fault.key, fault.what)
        },
        hint: Some(fault.mend),
    }
}

/// Each line with its bytes, without what ends it.
pub(super) fn lines(text: &str) -> Vec<(Range<usize>, &str)> {
    let mut start = 0;
    text.split_inclusive('\n')
        .map(|whole| {
            let line = whole.trim_end_matches(['\n', '\r']);
            let from = start;
            start += whole.len();
            (from..from + line.len(), line)
        })
        .collect()
}

pub(super) fn key_of(line: &str) -> Option<&str> {
    line.split_once('=').map(|(key, _)| key.trim())
}

fn heading(line: &str) -> Option<&str> {
    let line = line.split('#').next().unwrap_or_default().trim();
    line.starts_with('[').then(|| line.trim_matches(['[', ']']).trim())
}

/// The line of a key, by its way: `limit[2].from`. Where the key is not there, the heading of its table.
pub(super) fn find(lines: &[(Range<usize>, &str)], way: &str) -> usize {
    let parts: Vec<(&str, usize)> = way
        .split('.')
        .map(|part| match part.split_once('[') {
            Some((name, number)) => (name, number.trim_end_matches(']').parse().unwrap_or(1)),
            None => (part, 1),
        })
        .collect();
    for length in (1..=parts.len()).rev() {
        let name: Vec<&str> = parts[..length].iter().map(|(name, _)| *name).collect();
        let name = name.join(".");
        let which = parts[length - 1].1.max(1);
        let mut tables =
            lines.iter().enumerate().filter(|(_, (_, line))| heading(line) == Some(&name));
        let Some((at, _)) = tables.nth(which - 1) else { continue };
        let key = parts.get(length).map(|(name, _)| *name);
        return within(lines, at + 1, key).unwrap_or(at);
    }
    within(lines, 0, parts.first().map(|(name, _)| *name)).unwrap_or(0)
}

/// The line of a key from here to the next heading.
fn within(lines: &[(Range<usize>, &str)], from: usize, key: Option<&str>) -> Option<usize> {
    let own = lines.iter().enumerate().skip(from);
    own.take_while(|(_, (_, line))| heading(line).is_none())
        .find(|(_, (_, line))| key.is_some() && key_of(line) == key)
        .map(|(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    const OURS: &str = "id = \"ours\"\nname = \"Ours\"\ncode = \"C\"\nedition = \"1\"\nspeed = 3\n\n[[limit]]\nsanitiser = \"soap\"\nas_label = true\nclause = \"1\"\nstatus = \"READ\"\nsource = \"s\"\n\n[after]\nrule = \"drain\"\nclause = \"2\"\nstatus = \"READ\"\n";

    #[test]
    fn a_profile_is_told_by_its_folder_or_its_first_keys() {
        assert!(is_one("profiles/ours.toml", b"id = 1"));
        assert!(is_one("group/profiles/ours.toml", b""));
        assert!(is_one("ours.toml", OURS.as_bytes()));
        assert!(!is_one("profiles/ours.csv", OURS.as_bytes()));
        assert!(!is_one("estate.toml", b"[group]\ncode = 1\nedition = 2\n"));
    }

    #[test]
    fn each_fault_stands_at_its_line() {
        let found = faults("ours.toml", OURS.as_bytes());
        let at: Vec<(usize, &str)> = found.iter().map(|f| (f.place.line, f.code)).collect();
        assert_eq!(at, [(5, "E010"), (8, "E016"), (14, "E011")], "{found:#?}");
        let span = found[1].place.span.clone().unwrap();
        assert_eq!(&OURS[span], "sanitiser = \"soap\"");
        let broken = faults("ours.toml", b"id = \"ours\"\nname = = 3\n");
        assert_eq!((broken[0].code, broken[0].place.line), ("E002", 2));
        assert!(!faults("ours.toml", b"").is_empty());
        assert_eq!(faults("ours.toml", b"\xE9")[0].code, "E001");
        for (id, text) in Profile::all_shipped() {
            assert!(faults(id, text.as_bytes()).is_empty(), "{id}");
        }
    }
}
