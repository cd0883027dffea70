//! The card in the words of its language, as plain data: the page for a browser and the PDF say the same.

use ouncewise_procedure::kit::kit;
use ouncewise_procedure::procedure::Over;
use ouncewise_procedure::{Again, Lead, Numbered, numbered, skips};
use serde::Serialize;

use super::{Print, qr, words};
use crate::sheet::Paper;

/// All that stands on a card.
#[derive(Debug, Serialize)]
pub(super) struct Shown<'a> {
    pub(super) paper: Paper,
    pub(super) lang: &'static str,
    pub(super) title: &'a str,
    pub(super) purpose: &'a str,
    /// Family, version and food code.
    pub(super) about: Vec<String>,
    /// The words that a translation nobody signed is marked by; none, where it is signed.
    pub(super) unreviewed: Option<&'static str>,
    /// The version as a square code: rows of dark and light.
    pub(super) code: Vec<String>,
    pub(super) code_says: &'static str,
    pub(super) always: &'static str,
    pub(super) standing: String,
    pub(super) bring: &'static str,
    pub(super) kit: Vec<String>,
    pub(super) must_not_skip: &'static str,
    pub(super) stages: Vec<ShownStage<'a>>,
    /// What is said once at the end.
    pub(super) notes: Vec<String>,
}

/// A stage with its steps.
#[derive(Debug, Serialize)]
pub(super) struct ShownStage<'a> {
    pub(super) title: &'a str,
    pub(super) over: &'static str,
    pub(super) steps: Vec<ShownStep<'a>>,
}

/// A step.
#[derive(Debug, Serialize)]
pub(super) struct ShownStep<'a> {
    pub(super) number: usize,
    pub(super) must: bool,
    pub(super) cautions: Vec<ShownCaution>,
    pub(super) say: &'a str,
    pub(super) look_for: Option<String>,
    /// Where it leads, each in brackets.
    pub(super) leads: Vec<String>,
    pub(super) stop: Option<&'static str>,
}

/// A caution before a step.
#[derive(Debug, Serialize)]
pub(super) struct ShownCaution {
    pub(super) signal: &'static str,
    pub(super) says: String,
}

impl<'a> Shown<'a> {
    pub(super) fn of(print: &Print<'a>) -> Self {
        let Print { family, procedure, terms, language, .. } = *print;
        let said = print.said();
        let steps = numbered(family, procedure, terms);
        let must = skips(family, procedure, terms).must_not_skip();
        let stage = |stage: &'a ouncewise_procedure::procedure::Stage| ShownStage {
            title: stage.title.of(language),
            over: match stage.over {
                Over::Machine => said.machine,
                Over::EachLine => said.each_line,
                Over::AllLines => said.all_lines,
            },
            steps: steps
                .iter()
                .filter(|step| step.stage == stage.id)
                .map(|one| step(print, one, must.contains(&one.number)))
                .collect(),
        };
        Self {
            paper: print.paper,
            lang: said.lang,
            title: procedure.title.of(language),
            purpose: procedure.purpose.of(language),
            about: print.about(),
            unreviewed: print.unreviewed(),
            code: qr::rows(&format!("ouncewise procedure sha256:{}", print.version))
                .unwrap_or_default(),
            code_says: said.version,
            always: said.always,
            standing: print.standing(),
            bring: said.bring,
            kit: kit(family, procedure, 1, u32::from(procedure.lines))
                .iter()
                .map(|thing| {
                    let count = if thing.count > 1 {
                        format!("{} × ", thing.count)
                    } else {
                        String::new()
                    };
                    let spare =
                        if thing.spare { format!(" ({})", said.if_needed) } else { String::new() };
                    format!("☐\u{a0}{count}{}{spare}", thing.name.of(language))
                })
                .collect(),
            must_not_skip: said.must_not_skip,
            stages: procedure
                .stages
                .iter()
                .map(stage)
                .filter(|stage| !stage.steps.is_empty())
                .collect(),
            notes: vec![format!("{}: {}", said.must_not_skip, said.model)],
        }
    }
}

fn step<'a>(print: &Print<'a>, one: &Numbered<'a>, must: bool) -> ShownStep<'a> {
    let (said, language) = (print.said(), print.language);
    let leads = one.leads.iter().map(|lead| leads(*lead, language));
    ShownStep {
        number: one.number,
        must,
        cautions: print.cautions(&one.step.cautions),
        say: one.step.say.of(language),
        look_for: print.look_for(&one.step.look_for),
        leads: leads.chain(one.again.map(|again| back(again, said))).collect(),
        stop: one.step.stop.then_some(said.may_stop),
    }
}

fn leads(lead: Lead<'_>, language: &str) -> String {
    let said = words::of(language);
    let to = lead.to.map_or_else(|| said.end.to_owned(), |to| format!("{} {to}", said.step));
    match lead.answer {
        Some(answer) => format!("[{} → {to}]", words::answer(answer, language)),
        None => format!("[→ {to}]"),
    }
}

fn back(again: Again, said: &words::Said) -> String {
    let to = again.then.map_or_else(|| said.end.to_owned(), |to| format!("{} {to}", said.step));
    format!("[{} {} ×; {} → {to}]", said.back_at_most, again.at_most, said.after_that)
}
