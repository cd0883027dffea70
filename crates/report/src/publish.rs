//! Publishing a procedure: a record in the group's ledger, with the text that was checked.

use ouncewise_estate::{Fault, Key, Place, Severity};
use ouncewise_ledger::{Body, Draft, Entered, Record, Scope, Subject, derive_id, text_hash};
use ouncewise_procedure::Verdict;
use ouncewise_store::{Outcome, Store};
use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use crate::data::FaultReport;
use crate::failure::Failure;
use crate::library::{Judged, Library, ProcedureText, checked, judge};
use crate::procedure::ProcedureReport;

/// What a procedure may not be called: its family's model is, and pages and files are.
const TAKEN: [&str; 3] = ["family", "new", "check"];

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
    /// SHA-256 of its text, as its card prints it.
    pub version: String,
    /// `published`, `in-force` (this very text was already), `would-be-published`, `refused`, `withdrawn` or `would-be-withdrawn`.
    pub outcome: String,
    /// The record that says so.
    pub record: Option<String>,
    /// What the check says of the text.
    pub check: Option<ProcedureReport>,
    /// Every fault and every finding, at its place.
    pub faults: Vec<FaultReport>,
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
                "Withdrawn: version {short} of {at} is followed no more. It stays in the ledger, marked."
            ),
            "would-be-withdrawn" => {
                format!("Version {short} of {at} would be withdrawn. Nothing was recorded.")
            }
            _ => format!("Refused: {at} was not published."),
        }
    }

    /// The first part of the version, as a card prints it.
    #[must_use]
    pub fn short(&self) -> &str {
        self.version.get(..12).unwrap_or(&self.version)
    }
}

impl ToPublish<'_> {
    /// Checks the text against the model of its family, under the terms of the group's food code.
    fn judged(&self, library: &Library) -> Result<Judged, Vec<Fault>> {
        let model = self.model.or_else(|| library.model(self.family));
        let file = format!("{}.toml", self.name);
        let judged = judge(&file, self.text, model, library.terms())?;
        if judged.family.key == self.family {
            return Ok(judged);
        }
        let place = Place { file: "family.toml".to_owned(), line: 1, column: 1, span: None };
        let message =
            format!("this is the model of `{}`, not of `{}`", judged.family.key, self.family);
        let hint = Some("publish it under its own family".to_owned());
        Err(vec![Fault { code: "R006", severity: Severity::Error, place, message, hint }])
    }

    /// What would become of the text, before anything is recorded.
    ///
    /// # Errors
    /// If its family or its name cannot be a key.
    pub fn would(&self, library: &Library) -> Result<PublishReport, Failure> {
        for (what, key) in [("family", self.family), ("name", self.name)] {
            if let Err(why) = key.parse::<Key>() {
                return Err(Failure::usage(format!("{what}: {}", why.message)).hint(why.hint));
            }
        }
        if TAKEN.contains(&self.name) {
            return Err(Failure::usage(format!("a procedure cannot be called `{}`", self.name))
                .hint("call it by what it is for, such as `weekly-clean`"));
        }
        let judged = self.judged(library);
        let (check, faults) = checked(&format!("{}.toml", self.name), &judged);
        let version = text_hash(self.text);
        let holds = matches!(&judged, Ok(judged) if may_be_published(judged.report.verdict));
        let model = self.model.or_else(|| library.model(self.family)).unwrap_or_default();
        let in_force = library
            .in_force(self.family, self.name)
            .filter(|one| one.version == version && one.model == model && one.published.is_some());
        let record = in_force.and_then(|one| one.published.as_ref()).map(|(id, _)| id.clone());
        let outcome = match (holds, in_force) {
            (false, _) => "refused",
            (true, Some(_)) => "in-force",
            (true, None) => "would-be-published",
        };
        Ok(PublishReport {
            family: self.family.to_owned(),
            name: self.name.to_owned(),
            version,
            outcome: outcome.to_owned(),
            record,
            check: Some(check),
            faults,
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
        library: &Library,
        id: Option<Uuid>,
        at: &str,
    ) -> Result<PublishReport, Failure> {
        let mut report = self.would(library)?;
        if report.outcome != "would-be-published" {
            return Ok(report);
        }
        let model = self.model.or_else(|| library.model(self.family)).unwrap_or_default();
        let times = library.times_published(self.family, self.name);
        let key = ["publish", self.family, self.name, &report.version, &text_hash(model)];
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

/// Withdraws the version of a procedure that was published last: what was in force before is so again. With `dry_run` it only
/// tells.
///
/// # Errors
/// If none was published, or the store fails.
pub async fn withdraw(
    store: &Store,
    library: &Library,
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
    Ok(PublishReport {
        family: family.to_owned(),
        name: name.to_owned(),
        version: one.version.clone(),
        outcome: if dry_run { "would-be-withdrawn" } else { "withdrawn" }.to_owned(),
        record: Some(if dry_run { of } else { correcting }.to_string()),
        check: None,
        faults: Vec::new(),
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
