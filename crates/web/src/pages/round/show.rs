//! The pages of a round: the form, what it comes to before it is recorded, and how it stands once it is.

mod entries;
mod fields;
mod steps;

use maud::{Markup, html};
use ouncewise_hygiene::label::STANDING;
use ouncewise_hygiene::round::{Judged, Missing, State};
use ouncewise_report::{RoundReport, many};

use super::answers::Answers;
use super::here::Here;
use super::typed::Typed;
use crate::layout::{Fault, Place, faults, page, titled, trail};
use crate::words;
use crate::wrong::sentence;
use fields::Form;

/// The form.
pub fn form(here: &Here, typed: &Typed, wrong: &[Fault]) -> Markup {
    let title = format!("Record a round: {}, {}", here.machine_name, here.site_name);
    let fields = Form { here, typed, wrong };
    let body = html! {
        (above(here))
        (faults(wrong))
        h1 { "Record a round: " (here.machine_name) ", " (here.site_name) }
        p class="warn" { (STANDING) }
        @match &here.profile {
            Some((key, profile)) => p {
                "In force here: " (profile.name) " (" span class="key" { (key) } ", " (profile.edition) "). "
                "What it must have on record stands open; the rest is folded away. Leave blank what was not done: the round is kept all the same, and says what it lacks."
            }
            None => p {
                "No food code is in force here, so that nothing is asked for. Name one under "
                a href="/setup" { "Set up" } ", as the jurisdiction of the group or of the site."
            }
        }
        p { "Catches are recorded on " a href={ (at(here)) "/record" } { "their own form" } "." }
        form method="post" action={ (at(here)) "/round" } novalidate data-keep {
            input type="hidden" name="form" value=(typed.form);
            (entries::round(&fields))
            (steps::all(&fields))
            (entries::all(&fields))
            p { button name="act" value="check" { "Check what it comes to" } }
        }
    };
    page(&titled(&title, wrong), Some(Place::Sites), &body)
}

fn at(here: &Here) -> String {
    words::machine_page(&here.site, &here.machine)
}

fn above(here: &Here) -> Markup {
    trail(&[
        ("/sites", "Sites"),
        (&words::site_page(&here.site), &here.site_name),
        (&at(here), &here.machine_name),
    ])
}

/// What it comes to. Nothing is recorded yet.
pub fn check(here: &Here, typed: &Typed, answers: &Answers) -> Markup {
    let records = answers.records().count();
    let body = html! {
        (above(here))
        h1 { "Check before it is recorded" }
        p { (here.machine_name) ", " (here.site_name) ". Nothing is recorded until you press the button at the end." }
        (stands(here, typed, &answers.judged))
        h2 { "What will be recorded" }
        ul {
            @for record in answers.records() {
                li {
                    (words::when(&record.at)) ": "
                    @if let Some(line) = &record.subject.line { "line " (line) ", " }
                    @if let Some(part) = &record.subject.part { (part) ", " }
                    (crate::pages::records::what(&record.body))
                }
            }
        }
        form method="post" action={ (at(here)) "/round" } {
            input type="hidden" name="form" value=(typed.form);
            @for (name, value) in typed.fields() { input type="hidden" name=(name) value=(value); }
            ul class="acts" {
                li { button name="act" value="keep" { "Record " (many(records, "entry").replace("entrys", "entries")) } }
                li { button class="plain" name="act" value="change" { "Change something" } }
            }
        }
    };
    page("Check before it is recorded", Some(Place::Sites), &body)
}

fn stands(here: &Here, typed: &Typed, judged: &Judged) -> Markup {
    let steps = here
        .followed(typed.of("procedure"))
        .map_or_else(Vec::new, |one| one.steps(&here.terms(), "en"));
    let open = steps.into_iter().filter(|step| judged.unconfirmed.contains(&step.key()));
    let open: Vec<(usize, String)> = open.map(|step| (step.number, step.say)).collect();
    let missing: Vec<String> = judged.musts.iter().map(Missing::words).collect();
    let wanting: Vec<String> = judged.shoulds.iter().map(Missing::words).collect();
    let asks = judged.questions.iter().map(|question| (&question.lines, question.ask.as_str()));
    let complete = judged.state == State::Complete;
    let failed = !judged.failed.is_empty();
    html! {
        (lacks((complete, failed), judged.state.words(), &missing, &wanting, asks))
        (unconfirmed(&open))
    }
}

/// The steps that must not be skipped, and that nobody ticked.
fn unconfirmed(open: &[(usize, String)]) -> Markup {
    html! {
        @if !open.is_empty() {
            div class="warn" {
                p { strong { (many(open.len(), "step")) " that must not be skipped " @if open.len() == 1 { "is" } @else { "are" } " not confirmed:" } }
                ul { @for (number, say) in open { li { "Step " (number) ". " (say) } } }
            }
        }
    }
}

fn lacks<'a>(
    (complete, failed): (bool, bool),
    state: &str,
    missing: &[String],
    wanting: &[String],
    asks: impl Iterator<Item = (&'a Vec<String>, &'a str)>,
) -> Markup {
    html! {
        p class=(if complete { "said" } else { "warn" }) {
            strong { "The round is " (state) "." }
            @if failed { " What is asked of its strips or its contact time did not hold." }
            @if !missing.is_empty() { " It lacks " (many(missing.len(), "record")) " that the food code in force asks for:" }
        }
        @if !missing.is_empty() { ul { @for words in missing { li { (sentence(words)) } } } }
        @if !wanting.is_empty() {
            p { "Good to have, and not there: " (wanting.join("; ")) "." }
        }
        @for (lines, ask) in asks {
            p {
                "A question: "
                @if !lines.is_empty() { "line " (lines.join(", ")) ": " }
                (ask)
            }
        }
    }
}

fn reported(round: &RoundReport) -> Markup {
    let words = |of: &[ouncewise_report::MissingReport]| -> Vec<String> {
        of.iter().map(|missing| missing.words.clone()).collect()
    };
    let asks = round.questions.iter().map(|question| (&question.lines, question.ask.as_str()));
    let complete = round.state == "complete";
    let open: Vec<(usize, String)> =
        round.unconfirmed.iter().map(|step| (step.number, step.say.clone())).collect();
    let failed = !round.failed.is_empty();
    html! {
        (lacks((complete, failed), round.state_words(), &words(&round.missing), &words(&round.wanting), asks))
        @if let (Some(follows), Some(version)) = (&round.follows, &round.procedure) { p { (followed(follows, version)) } }
        (unconfirmed(&open))
    }
}

/// Which procedure a round followed, and in which version.
fn followed(follows: &str, version: &str) -> Markup {
    html! {
        "It follows "
        a href={ "/procedures/" (follows) "/versions/" (version) } { (follows) ", version " (version.get(..12).unwrap_or(version)) }
        "."
    }
}

/// How the round of a form stands, once it was recorded.
pub fn kept(here: &Here, round: Option<&RoundReport>) -> Markup {
    let body = html! {
        (above(here))
        @match round {
            None => h1 { "Nothing was recorded by this form" }
            Some(round) => {
                h1 { "Recorded" }
                div class="said" role="status" {
                    p { "The round of " (words::when(&round.opened)) " on " (here.machine_name) ", " (here.site_name) ", is on disk." }
                }
                (reported(round))
                @if !round.missing.is_empty() || !round.unconfirmed.is_empty() {
                    p { "What was recorded is kept. If what is missing was done, record the round again with all of it." }
                }
            }
        }
        ul class="acts" {
            li { a class="button" href={ (at(here)) "/record" } { "Record its catches" } }
            li { a class="button plain" href=(at(here)) { "See the machine" } }
            li { a class="button plain" href={ "/records/" (here.site) } { "See the records" } }
        }
    };
    page("Recorded", Some(Place::Sites), &body)
}

/// The latest rounds of a machine, for its page.
pub fn latest(rounds: &[RoundReport], earlier: usize) -> Markup {
    html! {
        h2 { "Its latest rounds" }
        @if rounds.is_empty() { p { "No round was recorded yet." } }
        @else {
            ul class="rounds" {
                @for round in rounds {
                    li {
                        (words::when(&round.opened)) ": " strong { (round.state_words()) }
                        @if let Some(profile) = &round.profile { ", under " span class="key" { (profile) } }
                        @if !round.missing.is_empty() {
                            details {
                                summary { "Lacks " (many(round.missing.len(), "record")) }
                                ul { @for missing in &round.missing { li { (sentence(&missing.words)) } } }
                            }
                        }
                        @if !round.unconfirmed.is_empty() {
                            details {
                                summary { "Not confirmed: " (many(round.unconfirmed.len(), "step")) " that must not be skipped" }
                                ul { @for step in &round.unconfirmed { li { "Step " (step.number) ". " (step.say) } } }
                            }
                        }
                        @if let (Some(follows), Some(version)) = (&round.follows, &round.procedure) { p { (followed(follows, version)) } }
                        @for question in &round.questions {
                            p {
                                "A question: "
                                @if !question.lines.is_empty() { "line " (question.lines.join(", ")) ": " }
                                (question.ask)
                            }
                        }
                    }
                }
            }
            @if earlier > 0 { p class="muted" { (many(earlier, "earlier round")) "." } }
        }
    }
}
