//! Procedures for pages and programs: the list, one of them with its versions, the kit and the time of a place.

use ouncewise_estate::Estate;
use ouncewise_procedure::words::Standing;
use ouncewise_procedure::{Procedure, Terms};
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::FaultReport;
use crate::failure::Failure;
use crate::held_to::HeldTo;
use crate::kit::{TimeReport, machines};
use crate::library::{Library, ProcedureText, StepSeen, checked};
use crate::procedure::ProcedureReport;

/// All procedures of the group.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProceduresReport {
    /// By family and name.
    pub procedures: Vec<ProcedureInList>,
}

/// One procedure in the list, as the version in force has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProcedureInList {
    /// Key of its family of machines.
    pub family: String,
    /// Its key among the procedures of its family.
    pub name: String,
    /// What it is called.
    pub title: String,
    /// What it is for.
    pub purpose: String,
    /// `clean`, `calibrate`, `renew`, `start-up`, `take-out` or `change`; empty where the text cannot be read.
    pub kind: String,
    /// What the check says of its text, in a word. Of a machine it says nothing.
    pub verdict: String,
    /// The same in a sentence.
    pub says: String,
    /// SHA-256 of its text and its model: the version in force.
    pub version: String,
    /// When it was published; absent of one that ships.
    pub published: Option<String>,
    /// Its languages, each with whether somebody read it over.
    pub languages: Vec<LanguageOf>,
    /// How long it takes, for as many lines as it says that a machine has.
    pub takes: Option<TimeReport>,
    /// How many machines of its family the group has, but those that were removed.
    pub machines: usize,
}

/// A language of a procedure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LanguageOf {
    /// Its short code.
    pub language: String,
    /// What the procedure is called in it.
    pub title: String,
    /// `written`, `unreviewed`, or by whom it was reviewed.
    pub standing: String,
    /// Whether nobody has read its safety text over.
    pub unreviewed: bool,
}

/// One procedure: its text, what the check says of it, its steps and versions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProcedureHere {
    /// As in the list.
    pub procedure: ProcedureInList,
    /// Its text.
    pub text: String,
    /// The text of its family's model.
    pub model: String,
    /// What it was held to.
    pub held_to: HeldTo,
    /// What the check says of its text, with the shortest way to each broken rule.
    pub check: ProcedureReport,
    /// Every fault and every finding at its place.
    pub faults: Vec<FaultReport>,
    /// Its steps, in the order of its card.
    pub steps: Vec<StepReport>,
    /// All its versions, newest last.
    pub versions: Vec<VersionReport>,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StepReport {
    /// Its number on the card.
    pub number: usize,
    /// Its key in the records of a round: `step-done` with it confirms the step.
    pub key: String,
    /// What it says.
    pub say: String,
    /// Whether it must not be skipped: a round that does not confirm it is incomplete.
    pub must_not_skip: bool,
    /// Whether it is off the way of the usual answers: then `step-skipped` with its key and a reason is an answer too.
    pub may_not_come_up: bool,
}

impl From<&StepSeen> for StepReport {
    fn from(step: &StepSeen) -> Self {
        Self {
            number: step.number,
            key: step.key(),
            say: step.say.clone(),
            must_not_skip: step.must_not_skip,
            may_not_come_up: step.may_not_come_up,
        }
    }
}

/// One version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct VersionReport {
    /// SHA-256 of its text and its model.
    pub version: String,
    /// When it was published; absent of one that ships.
    pub published: Option<String>,
    /// The record that published it.
    pub record: Option<String>,
    /// Whether it was withdrawn.
    pub withdrawn: bool,
    /// Whether rounds follow it.
    pub in_force: bool,
}

/// The machines that a procedure serves: key of the site, and of the machine within it.
#[must_use]
pub fn served<'e>(estate: &'e Estate, family: &'e str) -> Vec<(&'e str, &'e str)> {
    let all = machines(estate, None).filter(|own| own.family == family);
    all.map(|own| (own.site, own.machine)).collect()
}

fn languages(procedure: &Procedure) -> Vec<LanguageOf> {
    let of = procedure.languages.iter().map(|(language, standing)| LanguageOf {
        language: language.clone(),
        title: procedure.title.of(language).to_owned(),
        standing: standing.word(),
        unreviewed: *standing == Standing::Unreviewed,
    });
    of.collect()
}

impl ProcedureInList {
    /// A version of a procedure, under the terms of a food code.
    #[must_use]
    pub fn of(one: &ProcedureText, estate: &Estate, terms: &Terms) -> Self {
        let read = one.read_under(terms);
        let (verdict, says) = read.verdict();
        let judged = read.judged.as_ref().ok();
        let procedure = judged.map(|judged| &judged.procedure);
        Self {
            family: one.family.clone(),
            name: one.name.clone(),
            title: one.title(),
            purpose: procedure.map_or_else(String::new, |p| p.purpose.of("en").to_owned()),
            kind: procedure.map_or_else(String::new, |p| p.kind.word().to_owned()),
            verdict,
            says,
            version: one.version.clone(),
            published: one.published.as_ref().map(|(_, at)| at.clone()),
            languages: procedure.map_or_else(Vec::new, languages),
            takes: judged.map(|judged| {
                let lines = [u32::from(judged.procedure.lines)];
                TimeReport::of(&judged.family, &judged.procedure, terms, &lines)
            }),
            machines: machines(estate, None).filter(|own| own.family == one.family).count(),
        }
    }

    /// The first part of the version, as a card prints it.
    #[must_use]
    pub fn short(&self) -> &str {
        self.version.get(..12).unwrap_or(&self.version)
    }
}

/// All procedures in force, under the terms of the group's food code.
#[must_use]
pub fn procedures(library: &Library, estate: &Estate) -> ProceduresReport {
    let names = library.names().into_iter();
    let in_force = names.filter_map(|(family, name)| library.in_force(family, name));
    let of = |one| ProcedureInList::of(one, estate, library.terms());
    ProceduresReport { procedures: in_force.map(of).collect() }
}

/// A procedure, as the version in force has it or as another of its versions does.
///
/// # Errors
/// If there is no such procedure or version.
pub fn procedure_text<'l>(
    library: &'l Library,
    (family, name): (&str, &str),
    version: Option<&str>,
) -> Result<&'l ProcedureText, Failure> {
    let found = match version {
        None => library.in_force(family, name),
        Some(version) => library.versions(family, name).rfind(|one| one.version == version),
    };
    found.ok_or_else(|| {
        let known = library.versions(family, name).next().is_some();
        let (what, hint) = match (known, version) {
            (true, Some(version)) => (
                format!("there is no version `{version}` of `{family}/{name}`"),
                "its page lists its versions",
            ),
            _ => (
                format!("there is no procedure `{family}/{name}`"),
                "the page Procedures lists what there is",
            ),
        };
        Failure::missing(what).hint(hint)
    })
}

/// One procedure in full, under the terms of a food code.
#[must_use]
pub fn procedure_here(
    library: &Library,
    one: &ProcedureText,
    estate: &Estate,
    terms: &Terms,
) -> ProcedureHere {
    let (check, faults) = checked(&one.file(), &one.read_under(terms).judged);
    ProcedureHere {
        procedure: ProcedureInList::of(one, estate, terms),
        held_to: HeldTo::of(terms),
        text: one.text.clone(),
        model: one.model.clone(),
        check,
        faults,
        steps: one.steps(terms, "en").iter().map(StepReport::from).collect(),
        versions: versions(library, one),
    }
}

/// All versions of a procedure, newest last.
#[must_use]
pub fn versions(library: &Library, one: &ProcedureText) -> Vec<VersionReport> {
    let in_force = library.in_force(&one.family, &one.name);
    let all = library.versions(&one.family, &one.name);
    all.map(|version| VersionReport {
        version: version.version.clone(),
        published: version.published.as_ref().map(|(_, at)| at.clone()),
        record: version.published.as_ref().map(|(id, _)| id.clone()),
        withdrawn: version.withdrawn,
        in_force: in_force.is_some_and(|own| std::ptr::eq(own, version)),
    })
    .collect()
}
