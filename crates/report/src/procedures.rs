//! Procedures for pages and programs: the list, one of them with its versions, the kit and the time of a place.

use std::collections::BTreeMap;

use ouncewise_estate::Estate;
use ouncewise_procedure::estimate::estimate;
use ouncewise_procedure::kit::kit;
use ouncewise_procedure::words::Standing;
use ouncewise_procedure::{Procedure, Terms};
use schemars::JsonSchema;
use serde::Serialize;

use crate::data::FaultReport;
use crate::failure::Failure;
use crate::kit::BringReport;
use crate::library::{Judged, Library, ProcedureText, StepSeen, checked};
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
    /// SHA-256 of its text: the version in force.
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
    /// `written`, `unreviewed`, or by whom it was reviewed.
    pub standing: String,
    /// Whether nobody has read its safety text over.
    pub unreviewed: bool,
}

/// How long a procedure takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TimeReport {
    /// For how many lines.
    pub lines: u32,
    /// A quick hand, where nothing is found: seconds.
    pub least: u32,
    /// A slow hand, where nothing is found: seconds.
    pub most: u32,
    /// A slow hand on the longest way: seconds.
    pub longest: u32,
    /// Of it, seconds that are waited.
    pub waiting: u32,
    /// Numbers of steps that state no time, and are not counted.
    pub untimed: Vec<usize>,
    /// The same in a sentence.
    pub says: String,
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
    /// SHA-256 of its text.
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

/// What to bring along, and how long it takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KitHere {
    /// Key of the family.
    pub family: String,
    /// Key of the procedure.
    pub name: String,
    /// Key of the site, where it is for one.
    pub site: Option<String>,
    /// Key of the machine, where it is for one.
    pub machine: Option<String>,
    /// How many machines it is for.
    pub machines: usize,
    /// How many lines they have in all.
    pub lines: u32,
    /// What to bring.
    pub bring: Vec<BringReport>,
    /// How long it takes, machine after machine.
    pub takes: TimeReport,
}

/// How many machines of a family the group has, but those that were removed; each with its lines in use.
fn machines<'e>(
    estate: &'e Estate,
    family: &'e str,
    site: Option<&'e str>,
) -> impl Iterator<Item = (&'e str, &'e str, u32)> {
    estate
        .sites
        .iter()
        .filter(move |(key, own)| !own.retired && site.is_none_or(|site| site == key.as_str()))
        .flat_map(move |(site, own)| {
            let of = own.machines.iter().filter(move |(_, machine)| {
                machine.family.as_str() == family && machine.state.word() != "removed"
            });
            of.map(move |(machine, known)| {
                let lines = known.lines.values().filter(|line| !line.retired).count();
                (site.as_str(), machine.as_str(), u32::try_from(lines).unwrap_or(u32::MAX))
            })
        })
}

/// The machines that a procedure serves: key of the site, and of the machine within it.
#[must_use]
pub fn served<'e>(estate: &'e Estate, family: &'e str) -> Vec<(&'e str, &'e str)> {
    machines(estate, family, None).map(|(site, machine, _)| (site, machine)).collect()
}

impl TimeReport {
    fn new(judged: &Judged, lines: &[u32]) -> Self {
        let terms = Terms::default();
        let all =
            lines.iter().map(|lines| estimate(&judged.family, &judged.procedure, &terms, *lines));
        let mut time = Self {
            lines: lines.iter().fold(0, |sum, lines| sum.saturating_add(*lines)),
            least: 0,
            most: 0,
            longest: 0,
            waiting: 0,
            untimed: Vec::new(),
            says: String::new(),
        };
        for one in all {
            for (sum, add) in [
                (&mut time.least, one.usual.least),
                (&mut time.most, one.usual.most),
                (&mut time.longest, one.longest),
                (&mut time.waiting, one.waiting),
            ] {
                *sum = sum.saturating_add(add.0);
            }
            time.untimed = one.untimed;
        }
        let least = time.least.div_ceil(60);
        let most = time.most.div_ceil(60);
        let usual = if least == most {
            minutes(time.most)
        } else {
            format!("{least} to {}", minutes(time.most))
        };
        time.says = format!("{usual}, of which {} waiting", minutes(time.waiting));
        if time.longest > time.most {
            time.says.push_str(&format!(
                "; at most {} where parts are found worn or a catch is off",
                minutes(time.longest)
            ));
        }
        time
    }
}

fn minutes(seconds: u32) -> String {
    match seconds.div_ceil(60) {
        minutes @ 0..180 => format!("{minutes} min"),
        minutes => format!("{} h {} min", minutes / 60, minutes % 60),
    }
}

fn languages(procedure: &Procedure) -> Vec<LanguageOf> {
    let of = procedure.languages.iter().map(|(language, standing)| LanguageOf {
        language: language.clone(),
        standing: standing.word(),
        unreviewed: *standing == Standing::Unreviewed,
    });
    of.collect()
}

impl ProcedureInList {
    /// A version of a procedure.
    #[must_use]
    pub fn of(one: &ProcedureText, estate: &Estate) -> Self {
        let read = one.read();
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
            takes: judged
                .map(|judged| TimeReport::new(judged, &[u32::from(judged.procedure.lines)])),
            machines: machines(estate, &one.family, None).count(),
        }
    }

    /// The first part of the version, as a card prints it.
    #[must_use]
    pub fn short(&self) -> &str {
        self.version.get(..12).unwrap_or(&self.version)
    }
}

/// All procedures in force.
#[must_use]
pub fn procedures(library: &Library, estate: &Estate) -> ProceduresReport {
    let names = library.names().into_iter();
    let in_force = names.filter_map(|(family, name)| library.in_force(family, name));
    ProceduresReport { procedures: in_force.map(|one| ProcedureInList::of(one, estate)).collect() }
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

/// One procedure in full.
#[must_use]
pub fn procedure_here(library: &Library, one: &ProcedureText, estate: &Estate) -> ProcedureHere {
    let (check, faults) = checked(&one.file(), &one.read().judged);
    ProcedureHere {
        procedure: ProcedureInList::of(one, estate),
        text: one.text.clone(),
        model: one.model.clone(),
        check,
        faults,
        steps: one.steps("en").iter().map(StepReport::from).collect(),
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

/// What to bring, and how long it takes: for one machine, for all of a site, or for one of as many lines as the text says.
///
/// # Errors
/// If there is no such machine of its family, or the text cannot be read.
pub fn procedure_kit(
    one: &ProcedureText,
    estate: &Estate,
    site: Option<&str>,
    machine: Option<&str>,
) -> Result<KitHere, Failure> {
    let read = one.read();
    let Ok(judged) = &read.judged else {
        return Err(Failure::data(format!("{} cannot be read", one.at()))
            .hint("mend its faults first; the check shows them"));
    };
    let lines: Vec<u32> = match site {
        None => vec![u32::from(judged.procedure.lines)],
        Some(site) => machines(estate, &one.family, Some(site))
            .filter(|(_, own, _)| machine.is_none_or(|machine| machine == *own))
            .map(|(.., lines)| lines)
            .collect(),
    };
    if lines.is_empty() {
        let place = machine.map_or_else(
            || site.unwrap_or_default().to_owned(),
            |machine| format!("{}/{machine}", site.unwrap_or_default()),
        );
        return Err(Failure::missing(format!(
            "there is no machine of the family `{}` at `{place}`",
            one.family
        ))
        .hint("the page of the site lists its machines with their families"));
    }
    let mut bring: Vec<BringReport> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for lines in &lines {
        for thing in kit(&judged.family, &judged.procedure, 1, *lines) {
            let each =
                thing.spare || judged.family.thing(&thing.key).is_some_and(|own| own.per_line);
            match places.get(&thing.key) {
                // One brush or stopwatch goes from machine to machine.
                Some(at) if each => bring[*at].count = bring[*at].count.saturating_add(thing.count),
                Some(_) => {}
                None => {
                    places.insert(thing.key.clone(), bring.len());
                    bring.push(BringReport {
                        name: thing.name.of("en").to_owned(),
                        key: thing.key,
                        spare: thing.spare,
                        count: thing.count,
                    });
                }
            }
        }
    }
    Ok(KitHere {
        family: one.family.clone(),
        name: one.name.clone(),
        site: site.map(str::to_owned),
        machine: machine.map(str::to_owned),
        machines: lines.len(),
        lines: lines.iter().fold(0, |sum, lines| sum.saturating_add(*lines)),
        bring,
        takes: TimeReport::new(judged, &lines),
    })
}
