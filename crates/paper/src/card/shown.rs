//! The card in the words of its language, as plain data: the page for a browser and the PDF say the same.

use ouncewise_procedure::family::Caution;
use ouncewise_procedure::procedure::Over;
use ouncewise_procedure::{Again, Lead, Numbered};
use serde::Serialize;

use super::{Card, qr, words};
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
    pub(super) fn of(card: &'a Card<'_>) -> Self {
        let language = card.print.language;
        let said = words::of(language);
        let code = card.terms.code.as_deref().unwrap_or(said.no_code);
        let after = words::after(card.terms.after, language);
        let stage = |stage: &'a ouncewise_procedure::procedure::Stage| ShownStage {
            title: stage.title.of(language),
            over: match stage.over {
                Over::Machine => said.machine,
                Over::EachLine => said.each_line,
                Over::AllLines => said.all_lines,
            },
            steps: card
                .steps
                .iter()
                .filter(|step| step.stage == stage.id)
                .map(|one| step(card, one))
                .collect(),
        };
        Self {
            paper: card.print.paper,
            lang: said.lang,
            title: card.procedure.title.of(language),
            purpose: card.procedure.purpose.of(language),
            about: vec![
                card.family.key.clone(),
                format!("{} {}", said.version, card.short()),
                format!("{}: {code} ({after})", said.code),
            ],
            unreviewed: card.unreviewed.then_some(said.unreviewed),
            code: qr::rows(&format!("ouncewise procedure sha256:{}", card.print.version))
                .unwrap_or_default(),
            code_says: said.version,
            always: said.always,
            standing: said.standing.join(" "),
            bring: said.bring,
            kit: card
                .kit
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
            stages: card
                .procedure
                .stages
                .iter()
                .map(stage)
                .filter(|stage| !stage.steps.is_empty())
                .collect(),
            notes: vec![format!("{}: {}", said.must_not_skip, said.model)],
        }
    }
}

fn step<'a>(card: &'a Card<'_>, one: &'a Numbered<'_>) -> ShownStep<'a> {
    let language = card.print.language;
    let said = words::of(language);
    let look_for = one.step.look_for.of(language);
    let leads = one.leads.iter().map(|lead| leads(*lead, language));
    ShownStep {
        number: one.number,
        must: card.must_not_skip.contains(&one.number),
        cautions: one
            .step
            .cautions
            .iter()
            .filter_map(|key| card.family.caution(key))
            .map(|own| caution(own, language))
            .collect(),
        say: one.step.say.of(language),
        look_for: (!look_for.is_empty()).then(|| format!("{}: {look_for}", said.look_for)),
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

fn caution(caution: &Caution, language: &str) -> ShownCaution {
    let words = [&caution.hazard, &caution.consequence, &caution.avoid];
    ShownCaution {
        signal: words::signal(caution.signal, language),
        says: words.map(|words| words.of(language)).join(" "),
    }
}
