//! Publishing a procedure: a record in the group's ledger, with the text that was checked.

use std::collections::{BTreeMap, BTreeSet};

use ouncewise_estate::{Estate, Fault, Key, Place, Severity};
use ouncewise_ledger::{
    Body, Draft, Entered, Record, Scope, Subject, derive_id, procedure_version,
};
use ouncewise_procedure::{Terms, Verdict};
use ouncewise_store::{Outcome, Store};
use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use crate::data::FaultReport;
use crate::failure::Failure;
use crate::held_to::terms_at;
use crate::library::{Judged, Library, ProcedureText, checked, judge};
use crate::plural::many;
use crate::procedure::ProcedureReport;
use crate::procedures::served;

/// What a procedure may not be called: its family's model is, and pages and files are.
const TAKEN: [&str; 3] = ["family", "new", "check"];

/// As many sites are named in a sentence.
const SITES: usize = 6;

/// A text on its way to be published.
#[derive(Debug, Clone, Copy)]
pub struct ToPublish<'a> {
    /// Key of its family.
    pub family: &'a str,
    /// Its key among the procedures of its family.
    pub name: &'a str,
    /// The text.
    pub text: &'a str,
    /// The text of its family's model, where it is not the one that the group has.
    pub model: Option<&'a str>,
}

/// `publish`: what became of a text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PublishReport {
    /// Key of its family.
    pub family: String,
    /// Its key among the procedures of its family.
    pub name: String,
    /// SHA-256 of its text and its model, as its card prints it.
    pub version: String,
    /// `published`, `in-force` (this very text was already), `would-be-published`, `refused`, `withdrawn` or `would-be-withdrawn`.
    pub outcome: String,
    /// The record that says so.
    pub record: Option<String>,
    /// What the check says of the text; of what is in force again, where one is withdrawn.
    pub check: Option<ProcedureReport>,
    /// Every fault and every finding, at its place.
    pub faults: Vec<FaultReport>,
    /// Sites with such machines under whose food code a text that is or would be published does not hold. Rounds there follow it all
    /// the same.
    pub not_under: Vec<String>,
}

impl PublishReport {
    /// What became of it, in a sentence.
    #[must_use]
    pub fn says(&self) -> String {
        let (at, short) = (format!("{}/{}", self.family, self.name), self.short());
        match self.outcome.as_str() {
            "published" => format!("Published: rounds follow {at}, version {short}, from now on."),
            "in-force" => {
                format!("Version {short} of {at} is in force already: nothing was recorded.")
            }
            "would-be-published" => {
                format!("It would be published as {at}, version {short}. Nothing was recorded.")
            }
            "withdrawn" => format!(
                "Withdrawn: version {short} of {at} is followed no more. It stays in the ledger, marked. {}",
                self.back("is in force again")
            ),
            "would-be-withdrawn" => {
                let back = self.back("would be in force again");
                format!("Version {short} of {at} would be withdrawn. {back} Nothing was recorded.")
            }
            _ => format!("Refused: {at} was not published."),
        }
    }

    /// What a withdrawal leaves.
    fn back(&self, again: &str) -> String {
        match self.check {
            Some(_) => {
                format!("The version before it {again}: what the check says is of that one.")
            }
            None => "No version of it is left.".to_owned(),
        }
    }

    /// That it does not hold under the food code of some sites, in a sentence; nothing where it holds under all.
    #[must_use]
    pub fn warns(&self) -> Option<String> {
        let named = self.not_under.get(..SITES).unwrap_or(&self.not_under).join(", ");
        let more = match self.not_under.len().checked_sub(SITES) {
            None | Some(0) => String::new(),
            Some(more) => format!(" and {more} more"),
        };
        let sites = many(self.not_under.len(), "site");
        (!self.not_under.is_empty()).then(|| {
            format!(
                "It does not hold under the food code of {sites}: {named}{more}. Rounds there follow it all the same, and the crew is told not to serve by it."
            )
        })
    }

    /// The first part of the version, as a card prints it.
    #[must_use]
    pub fn short(&self) -> &str {
        self.version.get(..12).unwrap_or(&self.version)
    }
}

impl ToPublish<'_> {
    /// Checks the text against the model of its family, under the terms of a food code.
    fn judged(&self, library: &Library, terms: &Terms) -> Result<Judged, Vec<Fault>> {
        let model = self.model.or_else(|| library.model(self.family));
        let file = format!("{}.toml", self.name);
        let judged = judge(&file, self.text, model, terms)?;
        if judged.family.key == self.family {
            return Ok(judged);
        }
        let place = Place { file: "family.toml".to_owned(), line: 1, column: 1, span: None };
        let message =
            format!("this is the model of `{}`, not of `{}`", judged.family.key, self.family);
        let hint = Some("publish it under its own family".to_owned());
        Err(vec![Fault { code: "R006", severity: Severity::Error, place, message, hint }])
    }

    /// The sites with machines of the family under whose food code the text does not hold.
    fn not_under(&self, library: &Library, estate: &Estate) -> Vec<String> {
        let mut by_code: BTreeMap<Option<&Key>, BTreeSet<&str>> = BTreeMap::new();
        for (site, _) in served(estate, self.family) {
            by_code.entry(estate.jurisdiction(site)).or_default().insert(site);
        }
        let does_not_hold = |sites: &BTreeSet<&str>| {
            let terms = terms_at(estate, sites.first().copied());
            terms != *library.terms() && !holds(&self.judged(library, &terms))
        };
        let sites = by_code.into_values().filter(does_not_hold).flatten();
        sites.map(str::to_owned).collect()
    }

    /// What would become of the text, before anything is recorded. It is held to the group's food code; that it does not hold under
    /// the code of a site is told.
    ///
    /// # Errors
    /// If its family or its name cannot be a key.
    pub fn would(&self, library: &Library, estate: &Estate) -> Result<PublishReport, Failure> {
        for (what, key) in [("family", self.family), ("name", self.name)] {
            if let Err(why) = key.parse::<Key>() {
                return Err(Failure::usage(format!("{what}: {}", why.message)).hint(why.hint));
            }
        }
        if TAKEN.contains(&self.name) {
            return Err(Failure::usage(format!("a procedure cannot be called `{}`", self.name))
                .hint("call it by what it is for, such as `weekly-clean`"));
        }
        let judged = self.judged(library, library.terms());
        let (check, faults) = checked(&format!("{}.toml", self.name), &judged);
        let holds = holds(&judged);
        let model = self.model.or_else(|| library.model(self.family)).unwrap_or_default();
        let version = procedure_version(self.text, Some(model));
        let in_force = library
            .in_force(self.family, self.name)
            .filter(|one| one.version == version && one.published.is_some());
        let record = in_force.and_then(|one| one.published.as_ref()).map(|(id, _)| id.clone());
        let outcome = match (holds, in_force) {
            (false, _) => "refused",
            (true, Some(_)) => "in-force",
            (true, None) => "would-be-published",
        };
        let not_under = if holds { self.not_under(library, estate) } else { Vec::new() };
        Ok(PublishReport {
            family: self.family.to_owned(),
            name: self.name.to_owned(),
            version,
            outcome: outcome.to_owned(),
            record,
            check: Some(check),
            faults,
            not_under,
        })
    }

    /// Publishes the text, unless it was refused or is in force. `id` is that of the record; without one it follows from what is
    /// published, so that a form sent twice is recorded once.
    ///
    /// # Errors
    /// If its name cannot be a key, the text is too long for a record, another record stands under the id, or the store fails.
    pub async fn publish(
        &self,
        store: &Store,
        (library, estate): (&Library, &Estate),
        id: Option<Uuid>,
        at: &str,
    ) -> Result<PublishReport, Failure> {
        let mut report = self.would(library, estate)?;
        if report.outcome != "would-be-published" {
            return Ok(report);
        }
        let model = self.model.or_else(|| library.model(self.family)).unwrap_or_default();
        let times = library.times_published(self.family, self.name);
        let key = ["publish", self.family, self.name, &report.version];
        let id = id.unwrap_or_else(|| derive_id(&key, times));
        let body = Body::ProcedurePublished {
            key: self.name.to_owned(),
            hash: report.version.clone(),
            family: Some(self.family.to_owned()),
            text: Some(self.text.to_owned()),
            model: Some(model.to_owned()),
        };
        append(store, record(id, at, body)).await?;
        report.outcome = "published".to_owned();
        report.record = Some(id.to_string());
        Ok(report)
    }
}

/// Whether a text of this verdict may be published: one that nobody found broken, and that was looked at whole.
#[must_use]
pub fn may_be_published(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::Checked | Verdict::CannotBeShownClean)
}

fn holds(judged: &Result<Judged, Vec<Fault>>) -> bool {
    judged.as_ref().is_ok_and(|judged| may_be_published(judged.report.verdict))
}

/// Withdraws the version of a procedure that was published last: what was in force before is so again, and is checked. With
/// `dry_run` it only tells.
///
/// # Errors
/// If none was published, or the store fails.
pub async fn withdraw(
    store: &Store,
    (library, estate): (&Library, &Estate),
    (family, name): (&str, &str),
    dry_run: bool,
    at: &str,
) -> Result<PublishReport, Failure> {
    let published = |one: &&ProcedureText| one.published.is_some() && !one.withdrawn;
    let last = library.versions(family, name).rfind(published);
    let Some((one, (id, _))) = last.and_then(|one| Some((one, one.published.as_ref()?))) else {
        return Err(Failure::missing(format!("no version of `{family}/{name}` was published"))
            .hint("the page Procedures lists what is in force"));
    };
    let of: Uuid = id.parse().map_err(|_| Failure::data(format!("{id} is no id of a record")))?;
    let correcting = derive_id(&["withdraw", id], 0);
    if !dry_run {
        let reason = "withdrawn: rounds are to follow the version before it".to_owned();
        let body = Body::Correction { of, reason, instead: None };
        append(store, record(correcting, at, body)).await?;
    }
    // Food codes and models change: what held once need not hold now.
    let back = library.versions(family, name).rfind(|other| !other.withdrawn && *other != one);
    let (mut check, mut faults, mut not_under) = (None, Vec::new(), Vec::new());
    if let Some(ProcedureText { text, model, .. }) = back {
        let back = ToPublish { family, name, text, model: Some(model) };
        let judged = back.judged(library, library.terms());
        let (report, found) = checked(&format!("{name}.toml"), &judged);
        (check, faults) = (Some(report), found);
        if holds(&judged) {
            not_under = back.not_under(library, estate);
        }
    }
    Ok(PublishReport {
        family: family.to_owned(),
        name: name.to_owned(),
        version: one.version.clone(),
        outcome: if dry_run { "would-be-withdrawn" } else { "withdrawn" }.to_owned(),
        record: Some(if dry_run { of } else { correcting }.to_string()),
        check,
        faults,
        not_under,
    })
}

fn record(id: Uuid, at: &str, body: Body) -> Record {
    Record {
        v: ouncewise_ledger::record::VERSION,
        id,
        scope: Scope::group(),
        subject: Subject::default(),
        at: at.to_owned(),
        device: "desk".to_owned(),
        sequence: 0,
        by: None,
        entered: Entered::AtDesk,
        note: None,
        body,
    }
}

async fn append(store: &Store, record: Record) -> Result<(), Failure> {
    if let Err(faults) = record.check() {
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        return Err(Failure::data(format!("this cannot be recorded: {}", said.join("; "))));
    }
    let id = record.id;
    let receipt = store.append(vec![Draft::from(record)]).await?;
    if receipt.outcomes.iter().any(|outcome| matches!(outcome, Outcome::Conflict { .. })) {
        return Err(Failure::data(format!("another record stands under the id {id}"))
            .hint("it goes on standing; look at what is in force, and do it again"));
    }
    Ok(())
}
