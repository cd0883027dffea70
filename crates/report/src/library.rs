//! The procedures of a group: those that ship, and every version that it published; each text read and checked once.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use ouncewise_estate::{Fault, Place, Severity};
use ouncewise_hygiene::round::MustStep;
use ouncewise_ledger::procedure_version;
use ouncewise_procedure::procedure::Kind;
use ouncewise_procedure::{Family, Numbered, Procedure, Report, Terms, check, numbered, read};
use ouncewise_store::Store;

use crate::data::FaultReport;
use crate::failure::Failure;
use crate::held_to::terms_at;
use crate::procedure::{
    ProcedureReport, SkipReport, shipped_family, shipped_procedures, skip, verdict_says,
};

/// As many texts are kept as they were read; with more, reading begins anew.
const KEPT: usize = 200;

/// One version of a procedure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProcedureText {
    /// Key of its family.
    pub family: String,
    /// Its key among the procedures of its family.
    pub name: String,
    /// SHA-256 of its text and its model, in hexadecimal.
    pub version: String,
    /// Its text.
    pub text: String,
    /// The text of its family's model.
    pub model: String,
    /// The record that published it, and when; nothing of one that ships.
    pub published: Option<(String, String)>,
    /// Whether its publication was withdrawn.
    pub withdrawn: bool,
}

/// A text that could be read, and what the check says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The model of its family.
    pub family: Family,
    /// The procedure.
    pub procedure: Procedure,
    /// What the check says.
    pub report: Report,
}

/// A text as it was read, and what follows from it.
#[derive(Debug)]
pub struct ReadText {
    /// What it was held to.
    pub terms: Terms,
    /// The procedure with its check, or every fault for which it cannot be read.
    pub judged: Result<Judged, Vec<Fault>>,
    skips: Mutex<BTreeMap<String, Arc<SkipReport>>>,
}

/// A step of a procedure as people see it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepSeen {
    /// Its number on the card.
    pub number: usize,
    /// Its stage.
    pub stage: String,
    /// `machine`, `each-line` or `all-lines`.
    pub over: &'static str,
    /// What it says.
    pub say: String,
    /// What to look for.
    pub look_for: String,
    /// Where its answers lead: the answer, and the number of a step; no number: to the end.
    pub leads: Vec<(Option<String>, Option<usize>)>,
    /// Whether it must not be skipped.
    pub must_not_skip: bool,
    /// Whether it is off the way of the usual answers, so that it may not come up.
    pub may_not_come_up: bool,
}

impl StepSeen {
    /// Its key in records.
    #[must_use]
    pub fn key(&self) -> String {
        step_key(self.number)
    }
}

/// The key of a step in the records of a round: its number on the card of the version that the round follows.
#[must_use]
pub fn step_key(number: usize) -> String {
    format!("step-{number}")
}

/// Reads and checks a text against the model of its family, under the terms of a food code.
///
/// # Errors
/// With every fault for which it cannot be read.
pub fn judge(
    file: &str,
    text: &str,
    model: Option<&str>,
    terms: &Terms,
) -> Result<Judged, Vec<Fault>> {
    let one = |message: &str, hint: &str| {
        let place = Place { file: file.to_owned(), line: 1, column: 1, span: None };
        let hint = Some(hint.to_owned());
        let message = message.to_owned();
        vec![Fault { code: "R006", severity: Severity::Error, place, message, hint }]
    };
    let Some(model) = model else {
        return Err(one("there is no model of its family", "give the text of its `family.toml`"));
    };
    let (family, faults) = read::family("family.toml", model);
    let family = match family {
        Some(family) if faults.is_empty() => family,
        _ if faults.is_empty() => {
            return Err(one(
                "the model of its family cannot be read",
                "mend its `family.toml` first",
            ));
        }
        _ => return Err(faults),
    };
    let (procedure, faults) = read::procedure(file, text, &family);
    match procedure {
        Some(procedure) if faults.is_empty() => {
            let report = check(&family, &procedure, terms);
            Ok(Judged { family, procedure, report })
        }
        _ => Err(faults),
    }
}

/// What the check says of a text, and every fault at its place.
#[must_use]
pub fn checked(
    file: &str,
    judged: &Result<Judged, Vec<Fault>>,
) -> (ProcedureReport, Vec<FaultReport>) {
    match judged {
        Ok(judged) => {
            let faults = judged.report.findings.iter().map(|one| FaultReport::from(&one.fault()));
            (ProcedureReport::of(file, &judged.report, "en"), faults.collect())
        }
        Err(faults) => {
            (ProcedureReport::unread(file), faults.iter().map(FaultReport::from).collect())
        }
    }
}

/// The numbers of the steps that are come to where every answer is the usual one: the first that the step names.
fn usual_way(procedure: &Procedure, all: &[Numbered<'_>]) -> BTreeSet<usize> {
    let sent = |stage: &str| procedure.stages.iter().any(|own| own.id == stage && own.sent);
    let mut way = BTreeSet::new();
    let mut at = all.first();
    // Steps are numbered in their order, and the way only goes on: it comes to an end.
    while let Some(step) = at {
        way.insert(step.number);
        let to = match step.leads.first() {
            Some(lead) => lead.to.map(|to| to.max(step.number + 1)),
            None => {
                let on = |next: &&Numbered<'_>| {
                    next.number > step.number && (next.stage == step.stage || !sent(next.stage))
                };
                all.iter().find(on).map(|next| next.number)
            }
        };
        at = to.and_then(|to| all.iter().find(|next| next.number == to));
    }
    way
}

static READ: LazyLock<Mutex<HashMap<String, Arc<ReadText>>>> = LazyLock::new(Mutex::default);

impl ProcedureText {
    /// The name of its file.
    #[must_use]
    pub fn file(&self) -> String {
        format!("{}.toml", self.name)
    }

    /// Where it is found: `screw-trim/weekly-clean`.
    #[must_use]
    pub fn at(&self) -> String {
        format!("{}/{}", self.family, self.name)
    }

    /// The text, read and checked under the usual terms.
    #[must_use]
    pub fn read(&self) -> Arc<ReadText> {
        self.read_under(&Terms::default())
    }

    /// The text, read and checked under the terms of a food code. It is looked at once, however often it is asked for.
    #[must_use]
    pub fn read_under(&self, terms: &Terms) -> Arc<ReadText> {
        let key = format!("{} {} {terms:?}", self.file(), self.version);
        let known = |read: &HashMap<String, Arc<ReadText>>| read.get(&key).cloned();
        if let Some(known) = known(&READ.lock().unwrap_or_else(PoisonError::into_inner)) {
            return known;
        }
        let judged = judge(&self.file(), &self.text, Some(&self.model), terms);
        let read = Arc::new(ReadText { terms: terms.clone(), judged, skips: Mutex::default() });
        let mut all = READ.lock().unwrap_or_else(PoisonError::into_inner);
        if all.len() >= KEPT {
            all.clear();
        }
        all.insert(key, read.clone());
        read
    }

    /// What it is called; its key, where it cannot be read.
    #[must_use]
    pub fn title(&self) -> String {
        match &self.read().judged {
            Ok(judged) => judged.procedure.title.of("en").to_owned(),
            Err(_) => self.name.clone(),
        }
    }

    /// Its steps under the terms of a food code, in a language and in the order of its card; none where it cannot be read.
    #[must_use]
    pub fn steps(&self, terms: &Terms, language: &str) -> Vec<StepSeen> {
        let read = self.read_under(terms);
        let (Ok(judged), Some(skips)) = (&read.judged, read.skips("en")) else { return Vec::new() };
        let all = numbered(&judged.family, &judged.procedure, terms);
        let usual = usual_way(&judged.procedure, &all);
        all.into_iter()
            .map(|one| StepSeen {
                number: one.number,
                stage: one.stage.to_owned(),
                over: one.over.word(),
                say: one.step.say.of(language).to_owned(),
                look_for: one.step.look_for.of(language).to_owned(),
                leads: one
                    .leads
                    .iter()
                    .map(|lead| (lead.answer.map(str::to_owned), lead.to))
                    .collect(),
                must_not_skip: skips.must_not_skip.contains(&one.number),
                may_not_come_up: !usual.contains(&one.number),
            })
            .collect()
    }

    /// The steps that must not be skipped under the terms of a food code, as records of a round name them.
    #[must_use]
    pub fn must_steps(&self, terms: &Terms) -> Vec<MustStep> {
        let must = self.steps(terms, "en").into_iter().filter(|step| step.must_not_skip);
        must.map(|step| MustStep { key: step.key(), may_not_come_up: step.may_not_come_up })
            .collect()
    }
}

impl ReadText {
    /// What follows from each mistake, in the words of a language; nothing where the text cannot be read.
    #[must_use]
    pub fn skips(&self, language: &str) -> Option<Arc<SkipReport>> {
        let judged = self.judged.as_ref().ok()?;
        let mut all = self.skips.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = all.get(language) {
            return Some(known.clone());
        }
        let found = Arc::new(skip(&judged.family, &judged.procedure, &self.terms, language));
        // Only languages that it has: an address may name any.
        if judged.procedure.languages.iter().any(|(own, _)| own == language) || language == "en" {
            all.insert(language.to_owned(), found.clone());
        }
        Some(found)
    }

    /// What the check says, in a word and in a sentence.
    #[must_use]
    pub fn verdict(&self) -> (String, String) {
        match &self.judged {
            Ok(judged) => (
                ProcedureReport::of("", &judged.report, "en").verdict,
                verdict_says(&judged.report),
            ),
            Err(_) => {
                let unread = ProcedureReport::unread("");
                (unread.verdict, unread.says)
            }
        }
    }
}

/// All procedures that a group has: those that ship first, then what it published, oldest first.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Library {
    texts: Vec<ProcedureText>,
    terms: Terms,
}

impl Library {
    /// Those of a store.
    ///
    /// # Errors
    /// If it cannot be read.
    pub async fn of(store: &Store) -> Result<Self, Failure> {
        let shipped = shipped_procedures().map(|(family, name, text)| {
            let model = shipped_family(family).unwrap_or_default();
            ProcedureText {
                family: family.to_owned(),
                name: name.to_owned(),
                version: procedure_version(text, Some(model)),
                text: text.to_owned(),
                model: model.to_owned(),
                published: None,
                withdrawn: false,
            }
        });
        let mut all: Vec<ProcedureText> = shipped.collect();
        all.extend(store.published().await?.into_iter().map(|one| ProcedureText {
            family: one.family,
            name: one.name,
            version: one.version,
            text: one.text,
            model: one.model,
            published: Some((one.record.to_string(), one.at)),
            withdrawn: one.withdrawn,
        }));
        let terms = terms_at(&*store.estate_at("").await?, None);
        Ok(Self { texts: all, terms })
    }

    /// The terms of the group's food code: what is published is held to them.
    #[must_use]
    pub fn terms(&self) -> &Terms {
        &self.terms
    }

    /// Family and key of each procedure.
    #[must_use]
    pub fn names(&self) -> BTreeSet<(&str, &str)> {
        self.texts.iter().map(|one| (one.family.as_str(), one.name.as_str())).collect()
    }

    /// All versions of a procedure: the one that ships first, then those that were published, newest last.
    pub fn versions(
        &self,
        family: &str,
        name: &str,
    ) -> impl DoubleEndedIterator<Item = &ProcedureText> {
        self.texts.iter().filter(move |one| one.family == family && one.name == name)
    }

    /// The version that rounds follow: what was published last and not withdrawn, else what ships.
    #[must_use]
    pub fn in_force(&self, family: &str, name: &str) -> Option<&ProcedureText> {
        self.versions(family, name).rfind(|one| !one.withdrawn)
    }

    /// The procedures in force of a family.
    #[must_use]
    pub fn of_family(&self, family: &str) -> Vec<&ProcedureText> {
        let of = self.names().into_iter().filter(|(own, _)| *own == family);
        of.filter_map(|(_, name)| self.in_force(family, name)).collect()
    }

    /// The version of a hash.
    #[must_use]
    pub fn version(&self, hash: &str) -> Option<&ProcedureText> {
        self.texts.iter().rfind(|one| one.version == hash)
    }

    /// What a round of a machine of this family follows unless somebody says otherwise: its weekly clean, else its first clean.
    #[must_use]
    pub fn usual(&self, family: &str) -> Option<&ProcedureText> {
        let is_clean = |one: &&&ProcedureText| matches!(&one.read().judged, Ok(judged) if judged.procedure.kind == Kind::Clean);
        let all = self.of_family(family);
        let weekly = all.iter().find(|one| one.name == "weekly-clean");
        weekly.or_else(|| all.iter().find(is_clean)).copied()
    }

    /// The text of a family's model: the one that was published last with a text of it, else what ships.
    #[must_use]
    pub fn model(&self, family: &str) -> Option<&str> {
        let of = self.texts.iter().rfind(|one| one.family == family && !one.withdrawn);
        of.map(|one| one.model.as_str())
    }

    /// The steps that must not be skipped of a version, under the terms of a food code; nothing, where it is not known here.
    #[must_use]
    pub fn must_steps(
        &self,
        version: Option<&str>,
        terms: &Terms,
    ) -> BTreeMap<String, Vec<MustStep>> {
        let known = version.and_then(|version| self.version(version)).into_iter();
        known.map(|one| (one.version.clone(), one.must_steps(terms))).collect()
    }

    /// How many records published a version of a procedure, withdrawn ones too.
    pub(crate) fn times_published(&self, family: &str, name: &str) -> u64 {
        self.versions(family, name).filter(|one| one.published.is_some()).count() as u64
    }
}
