//! Files of causes among the files that are checked, and those that are named on the command line.

use std::path::Path;

use ouncewise_advice::fault::{Catalogue, CatalogueFault};
use ouncewise_estate::{Fault, Place, Severity};
use ouncewise_report::{Causes, Failure};

use super::profiles::{as_text, find, is_of_sort, lines};

/// Whether a file is a list of causes: it lies in a folder `faults`, or names its families and its basis at the top.
pub fn is_one(name: &str, bytes: &[u8]) -> bool {
    is_of_sort(name, bytes, "faults", ["families", "basis"])
}

/// All faults of a list of causes, each at its place.
pub fn faults(name: &str, bytes: &[u8]) -> Vec<Fault> {
    let text = match as_text(name, bytes) {
        Ok(text) => text,
        Err(faults) => return faults,
    };
    let Err(faults) = Catalogue::read(text) else { return Vec::new() };
    let mut found: Vec<Fault> = faults.into_iter().map(|fault| told(name, text, &fault)).collect();
    found.sort_by_key(|fault| fault.place.line);
    found
}

fn told(file: &str, text: &str, fault: &CatalogueFault) -> Fault {
    let lines = lines(text);
    let at = match fault.line {
        Some(line) => line.saturating_sub(1),
        None => find(&lines, &fault.key),
    };
    let at = at.min(lines.len().saturating_sub(1));
    let (span, line) = lines.get(at).cloned().unwrap_or((0..0, ""));
    let blank = line.len() - line.trim_start().len();
    let code = match fault.says.as_str() {
        says if says.starts_with("unknown field") => "E010",
        says if says.starts_with("missing field") => "E011",
        says if says.ends_with(" is wanted") => "E012",
        _ if fault.line.is_some() => "E002",
        says if says.starts_with("there is no ") => "E016",
        says if says.starts_with("no act ") || says.starts_with("name at least") => "E011",
        _ => "E024",
    };
    // What is wrong, and after a colon how to mend it.
    let (what, mend) = match fault.says.split_once(": ") {
        _ if fault.line.is_some() => {
            (fault.says.as_str(), "compare it with a list that ships, in `content/faults`")
        }
        _ if fault.says.starts_with("give ") => ("this number cannot be", fault.says.as_str()),
        Some(both) => both,
        None => (fault.says.as_str(), "a cause is named by its key"),
    };
    Fault {
        code,
        severity: Severity::Error,
        place: Place {
            file: file.to_owned(),
            line: at + 1,
            column: line[..blank].chars().count() + 1,
            span: Some(span.start + blank..span.start + line.trim_end().len().max(blank)),
        },
        message: if fault.key.is_empty() {
            what.to_owned()
        } else {
            format!("`{}`: {what}", fault.key)
        },
        hint: Some(mend.to_owned()),
    }
}

/// The causes that are named on the command line: by the id of a list that ships, or by a file.
pub fn named(name: &str) -> Result<Causes, Failure> {
    if let Some(catalogue) = Catalogue::shipped(name) {
        return Ok(Causes { id: name.to_owned(), catalogue });
    }
    let path = Path::new(name);
    if !name.contains('.') && !path.exists() {
        let all: Vec<&str> = Catalogue::ids().collect();
        return Err(Failure::usage(format!("there is no list of causes `{name}`"))
            .hint(format!("name a file, or one that ships: {}", all.join(", "))));
    }
    let text = std::fs::read_to_string(path).map_err(|e| Failure::io(path, &e))?;
    let catalogue = Catalogue::read(&text).map_err(|faults| {
        let first = faults.first().map_or_else(String::new, ToString::to_string);
        Failure::data(format!("{name}: {first}")).hint(format!(
            "`ouncewise check {name}` shows each of its {} at its place",
            ouncewise_report::many(faults.len(), "fault")
        ))
    })?;
    let id = path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
    Ok(Causes { id, catalogue })
}

#[cfg(test)]
mod tests {
    use super::*;

    const OURS: &str = "name = \"Ours\"\nfamilies = [\"ours\"]\nbasis = \"ours\"\n\n[causes.a]\nname = \"a\"\nprior = 1.5\n\n[signs.s]\nask = \"S?\"\nminutes = 1\nleak = 0.1\nby = { a = 0.5, b = 0.5 }\n\n[acts.m]\ndoes = \"M.\"\nminutes = 0\nmends = [\"a\"]\n";

    #[test]
    fn a_list_is_told_by_its_folder_or_its_first_keys() {
        assert!(is_one("faults/ours.toml", b"id = 1"));
        assert!(is_one("group/faults/ours.toml", b"\xE9"));
        assert!(is_one("ours.toml", OURS.as_bytes()));
        assert!(!is_one("faults/ours.csv", OURS.as_bytes()));
        assert!(!is_one(
            "families/ours.toml",
            b"name = 1\n[parts.families]\nbasis = 2\nfamilies = 3\n"
        ));
    }

    #[test]
    fn each_fault_stands_at_its_line() {
        let found = faults("ours.toml", OURS.as_bytes());
        let at: Vec<(usize, &str)> = found.iter().map(|f| (f.place.line, f.code)).collect();
        assert_eq!(at, [(7, "E024"), (13, "E016"), (17, "E024")], "{found:#?}");
        assert_eq!(&OURS[found[1].place.span.clone().unwrap()], "by = { a = 0.5, b = 0.5 }");
        for (text, code, line) in [
            ("name = \"x\"\nfamilies = = 3\n", "E002", 2),
            ("name = \"x\"\nspeed = 3\n", "E010", 2),
            ("name = 3\n", "E012", 1),
            ("", "E011", 1),
        ] {
            let found = faults("ours.toml", text.as_bytes());
            assert_eq!((found[0].code, found[0].place.line), (code, line), "{found:#?}");
            assert!(found[0].hint.is_some());
        }
        assert_eq!(faults("ours.toml", b"\xE9")[0].code, "E001");
        for id in Catalogue::ids() {
            assert!(named(id).is_ok(), "{id}");
        }
    }
}
