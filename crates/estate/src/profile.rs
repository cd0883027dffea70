//! Whose food code holds where: the profiles that ship, and a lead's own beside them.

use std::borrow::Cow;
use std::ops::Range;

use ouncewise_hygiene::profile::{FieldFault, Profile};

use crate::estate::Estate;
use crate::fault::Severity;
use crate::fields::{Define, Definition, Field, Flaw, Shape, code};
use crate::key::Key;

/// The longest text of a profile, in bytes: a record must hold it.
const LONGEST: usize = 60_000;

/// A profile that a lead wrote, with its text as written.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnProfile {
    /// As written; line ends are single line feeds.
    pub text: String,
    /// What it says.
    pub profile: Profile,
}

impl OwnProfile {
    pub(crate) const FIELDS: &'static [Field] = &[Field::must(
        "text",
        Shape::Note,
        "the profile as its file says it",
        "id = \"our-county\"",
    )];

    /// Reads the text of a profile's file.
    ///
    /// # Errors
    /// Everything that is wrong with it, each with its bytes in the text.
    pub(crate) fn read(key: &Key, text: &str) -> Result<Self, Vec<Flaw>> {
        let flaw = |span, message: String, hint: &str| Flaw {
            code: code::PROFILE,
            severity: Severity::Error,
            span,
            message,
            hint: Some(hint.to_owned()),
        };
        if text.len() > LONGEST {
            let message = format!("{} bytes; the longest profile has {LONGEST}", text.len());
            return Err(vec![flaw(0..0, message, "leave out remarks, and rows that no site uses")]);
        }
        if let Some((at, found)) =
            text.char_indices().find(|(_, c)| c.is_control() && !matches!(c, '\n' | '\t' | '\r'))
        {
            let message = format!("the hidden character U+{:04X}", u32::from(found));
            return Err(vec![flaw(at..at + found.len_utf8(), message, "take it out")]);
        }
        if Profile::all_shipped().iter().any(|(id, _)| key == id) {
            let message = format!("`{key}` is a profile that ships");
            return Err(vec![flaw(
                0..0,
                message,
                "give your own another name, such as `our-county`",
            )]);
        }
        let read = Profile::read(text).map_err(|faults| {
            faults
                .into_iter()
                .map(|FieldFault { key, what, mend }| {
                    let message =
                        if key.starts_with("line ") { what } else { format!("`{key}`: {what}") };
                    flaw(place(text, &key), message, &mend)
                })
                .collect::<Vec<_>>()
        })?;
        if read.id != key.as_str() {
            let message = format!("the file's name is `{key}`, and its `id` is `{}`", read.id);
            return Err(vec![flaw(place(text, "id"), message, "give both the same name")]);
        }
        Ok(Self { text: text.replace("\r\n", "\n").replace('\r', "\n"), profile: read })
    }

    /// What a record of it keeps.
    pub(crate) fn define(&self) -> Definition {
        Define::default().text("text", &self.text).done()
    }
}

/// Where a key of a profile stands in its text: `limit[2].from` on the line of `from` under the second `[[limit]]`. Of what
/// is missing, the heading it should be under.
fn place(text: &str, key: &str) -> Range<usize> {
    if let Some(line) = key.strip_prefix("line ").and_then(|line| line.parse::<usize>().ok()) {
        let start = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
        return start..start;
    }
    let (mut under, mut nth) = (String::new(), 1);
    let mut steps = key.split('.').peekable();
    let first = steps.peek().copied().unwrap_or_default();
    if let Some((list, number)) = first.strip_suffix(']').and_then(|step| step.split_once('[')) {
        (under, nth) = (format!("[[{list}]]"), number.parse().unwrap_or(1));
        steps.next();
    } else if key.contains('.') {
        under = format!("[{}]", key.rsplit_once('.').map_or("", |(table, _)| table));
    }
    let name = if under.starts_with("[[") {
        steps.next().unwrap_or_default()
    } else {
        key.rsplit('.').next().unwrap_or_default()
    };
    let name = name.split('[').next().unwrap_or_default();
    let (mut start, mut seen, mut heading) = (0, 0, 0..0);
    let mut inside = under.is_empty();
    for line in text.split_inclusive('\n') {
        let words = line.trim();
        let span = start..start + line.trim_end().len();
        if words.starts_with('[') {
            let here = words.starts_with(under.as_str()) && !under.is_empty();
            seen += usize::from(here);
            inside = here && seen == nth;
            if inside {
                heading = span;
            }
        } else if inside
            && words.strip_prefix(name).is_some_and(|rest| rest.trim_start().starts_with('='))
        {
            return span;
        }
        start += line.len();
    }
    heading
}

impl Estate {
    /// The keys of all profiles, shipped and own, in order.
    #[must_use]
    pub fn profile_keys(&self) -> Vec<&str> {
        let shipped = Profile::all_shipped().iter().map(|(id, _)| *id);
        let mut keys: Vec<&str> = shipped.chain(self.profiles.keys().map(Key::as_str)).collect();
        keys.sort_unstable();
        keys
    }

    /// A profile by its key: one of our own, or one that ships.
    #[must_use]
    pub fn profile(&self, key: &str) -> Option<Cow<'_, Profile>> {
        match self.profiles.get(key) {
            Some(own) => Some(Cow::Borrowed(&own.profile)),
            None => Profile::shipped(key).map(Cow::Owned),
        }
    }

    /// What a calculation takes for the name of a profile: the text of one of our own, else the name as it stands.
    #[must_use]
    pub fn profile_words<'a>(&'a self, named: &'a str) -> &'a str {
        self.profiles.get(named.trim()).map_or(named, |own| &own.text)
    }

    /// Key of the profile that is in force at a site: its own, else the group's.
    #[must_use]
    pub fn jurisdiction(&self, site: &str) -> Option<&Key> {
        let site = self.sites.get(site)?;
        site.jurisdiction.as_ref().or(self.group.jurisdiction.as_ref())
    }

    /// The profile that is in force at a site; nothing where none is named, or where there is none of that name.
    #[must_use]
    pub fn profile_in_force(&self, site: &str) -> Option<Cow<'_, Profile>> {
        self.profile(self.jurisdiction(site)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{self, Files};
    use crate::{fold, plan, starter};

    fn county() -> String {
        let (_, text) = Profile::all_shipped().iter().find(|(id, _)| *id == "model-code").unwrap();
        text.replace("id = \"model-code\"", "id = \"our-county\"")
    }

    fn with(profile: &str, jurisdiction: &str) -> Files {
        let mut files = starter::files();
        files.insert("profiles/our-county.toml".to_owned(), profile.as_bytes().to_vec());
        let estate = String::from_utf8(files["estate.toml"].clone()).unwrap();
        let named = format!("[group]\njurisdiction = \"{jurisdiction}\"");
        files.insert("estate.toml".to_owned(), estate.replace("[group]", &named).into_bytes());
        files
    }

    #[test]
    fn an_own_profile_is_in_force_is_written_back_and_comes_back_from_its_records() {
        let (estate, faults) = files::read(&with(&county(), "our-county"));
        assert_eq!(faults, []);
        let site = estate.sites.keys().next().unwrap().clone();
        let in_force = estate.profile_in_force(&site).unwrap();
        assert_eq!((in_force.id.as_str(), in_force.limits.len()), ("our-county", 6));
        assert_eq!(files::read(&files::write(&estate)), (estate.clone(), vec![]));
        let mut rebuilt = Estate::default();
        let records = |estate: &Estate, wanted: &Estate| plan::changes(estate, wanted).changes;
        for change in records(&rebuilt, &estate) {
            let record = ouncewise_ledger::Record {
                v: 1,
                id: uuid::Uuid::now_v7(),
                scope: change.scope,
                subject: change.subject,
                at: "2026-03-02T06:41:07.250+01:00".to_owned(),
                device: "desk".to_owned(),
                sequence: 1,
                by: None,
                entered: ouncewise_ledger::Entered::AtDesk,
                note: None,
                body: change.body,
            };
            assert_eq!(record.check(), Ok(()));
            fold::apply(&mut rebuilt, &record).unwrap();
        }
        assert_eq!(rebuilt, estate);
        assert_eq!(records(&rebuilt, &estate), []);
        // No longer named, it goes; what was done under it says so in its records.
        let without = Estate { profiles: Default::default(), ..estate.clone() };
        assert_eq!(plan::changes(&estate, &without).count(plan::Sort::Retire), 1);
    }

    #[test]
    fn faults_of_a_profile_stand_at_their_place() {
        let wrong = county()
            .replacen("from = 50\ntemperature", "from = \"fifty\"\ntemperature", 1)
            .replacen("seconds = 30", "secs = 30", 1);
        let line = |what: &str| wrong.lines().position(|line| line.contains(what)).unwrap() + 1;
        let (_, faults) = files::read(&with(&wrong, "model-code"));
        let told: Vec<(&str, usize)> = faults.iter().map(|f| (f.code, f.place.line)).collect();
        assert_eq!(told.len(), 3, "{faults:#?}");
        assert!(told.contains(&("E060", line("fifty"))), "{faults:#?}");
        assert!(told.contains(&("E060", line("secs = 30"))), "{faults:#?}");
        assert!(faults.iter().all(|f| f.place.file == "profiles/our-county.toml"));
    }

    #[test]
    fn a_jurisdiction_that_no_profile_has_is_told_with_those_that_there_are() {
        let (_, faults) = files::read(&with(&county(), "our-country"));
        assert_eq!(faults.len(), 1, "{faults:#?}");
        let hint = faults[0].hint.as_deref().unwrap();
        assert!(hint.starts_with("did you mean `our-county`?"), "{hint}");
        let (_, faults) = files::read(&with(&county(), "atlantis"));
        let hint = faults[0].hint.as_deref().unwrap();
        for (id, _) in Profile::all_shipped() {
            assert!(hint.contains(&format!("`{id}`")), "{hint}");
        }
    }
}
