//! From the names in a sheet to the things of the estate.

use super::super::code::{Code, Refusal};
use super::super::index::{Index, Spot, fold};
use super::units::waiting;
use super::words::{PREFIXES, phrase};
use super::{Mapping, Means};

/// The answer that leaves rows out.
pub(super) const LEAVE_OUT: &str = "leave out";
/// The answer that makes a new thing of the estate.
pub(super) const NEW: &str = "new";

/// A name without the word for what it is: `Line 3` is `3`, `Flavor: Cherry` is `Cherry`.
pub(super) fn bare(text: &str) -> &str {
    let mut rest = text.trim();
    loop {
        let end = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
        let after = rest[end..].trim_start_matches([' ', ':', '#', '.', '-', '№']);
        let prefix = rest.starts_with(['#', '№'])
            || (end > 0 && PREFIXES.contains(&phrase(&rest[..end]).as_str()));
        if !prefix || after.is_empty() {
            return rest;
        }
        rest = after;
    }
}

/// The id of the question what a name means.
pub(super) fn question(sort: Means, name: &str) -> String {
    let sort = match sort {
        Means::Site => "site",
        Means::Machine => "machine",
        Means::Measure => "measure",
        _ => "line",
    };
    format!("{sort} {name:?}")
}

/// A name as the sheet has it, or as a question about it was answered.
fn answered<'t>(mapping: &'t Mapping, sort: Means, name: &'t str) -> Result<&'t str, Refusal> {
    let id = question(sort, name);
    match mapping.question(&id) {
        None => Ok(name),
        Some(question) => match question.answer.as_deref() {
            None => Err(waiting(&id)),
            Some(LEAVE_OUT) => Err(Refusal::new(
                0,
                Code::LeftOut,
                format!("{name:?} is left out, as {id:?} was answered"),
            )),
            Some(NEW) => Ok(name),
            Some(answer) => Ok(answer),
        },
    }
}

/// The line that a row is about.
pub(super) fn spot<'a>(
    mapping: &Mapping,
    index: &mut Index<'a>,
    site: &str,
    machine: &str,
    line: &str,
) -> Result<Spot<'a>, Refusal> {
    let site = answered(mapping, Means::Site, site).map_err(|r| r.column("site"))?;
    let machine = answered(mapping, Means::Machine, machine).map_err(|r| r.column("machine"))?;
    let line = answered(mapping, Means::Line, line).map_err(|r| r.column("line"))?;
    let first = index.find_line(site, machine, line);
    // As it stands, then without the words before names; the first refusal says more.
    match first {
        Err(first) => {
            let sites = [site, bare(site)];
            let machines = [machine, bare(machine)];
            let lines = [line, bare(line)];
            for site in sites {
                for machine in machines {
                    for line in lines {
                        if let Ok(spot) = index.find_line(site, machine, line) {
                            return Ok(spot);
                        }
                    }
                }
            }
            Err(first)
        }
        found => found,
    }
}

/// Two names that differ by a slip of the pen: the same figures, and one or two letters.
pub(super) fn slip(a: &str, b: &str) -> bool {
    let (a, b) = (fold(a), fold(b));
    let figures = |t: &str| t.chars().filter(char::is_ascii_digit).collect::<String>();
    let shorter = a.chars().count().min(b.chars().count());
    a != b
        && shorter >= 5
        && figures(&a) == figures(&b)
        && strsim::damerau_levenshtein(&a, &b) <= if shorter >= 12 { 2 } else { 1 }
}

/// Whether a name is rare beside another, as a slip is: two real names come about equally often.
pub(super) fn rare(own: usize, other: usize) -> bool {
    own * 2 <= other
}
