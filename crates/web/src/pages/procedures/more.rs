//! What follows from a mistake in a procedure, and the quiz with the form of the observed sign-off.

use maud::{Markup, html};
use ouncewise_report::{MistakeReport, ProcedureText, SkipReport, Terms};

use super::list::OF_THE_TEXT;
use super::page_of;
use crate::layout::{Place, page as whole, trail};
use crate::wrong::sentence;

fn above(one: &ProcedureText) -> Markup {
    trail(&[("/procedures", "Procedures"), (&page_of(&one.family, &one.name), &one.title())])
}

/// Who is the worse for it, for people.
fn who(harm: &str) -> &str {
    match harm {
        "guest" => "a guest",
        "crew" => "the crew",
        "portion" => "the portion",
        "machine" => "the machine",
        _ => "the work",
    }
}

/// The skip analysis; nothing where the text cannot be read.
pub fn skip(one: &ProcedureText, terms: &Terms, language: &str) -> Option<Markup> {
    let read = one.read_under(terms);
    let report = read.skips(language)?;
    let title = format!("What if a step is skipped: {}, {}", report.title, one.family);
    let of = |outcome: &str| -> Vec<&MistakeReport> {
        report.mistakes.iter().filter(|one| one.outcome == outcome).collect()
    };
    let (must, unseen): (Vec<_>, Vec<_>) =
        of("unseen").into_iter().partition(|one| one.must_not_skip);
    let (caught, harmless) = (of("caught"), of("harmless"));
    let body = html! {
        (above(one))
        h1 { (title) }
        p { (report.says) }
        p { (report.held_to.says) }
        p class="warn" { (OF_THE_TEXT) }
        h2 { "Must not skip" }
        @if must.is_empty() { p { "No step, as far as the model knows." } }
        @else {
            p { "Left out, these reach a guest or the crew, and nobody sees it. They are marked on the card, and confirmed in the round." }
            (table("Steps that must not be skipped", &must))
        }
        h2 { "Other mistakes that nobody sees" }
        @if unseen.is_empty() { p { "None, as far as the model knows." } }
        @else { (table("Other mistakes that nobody sees", &unseen)) }
        h2 { "Mistakes that a later step catches: " (caught.len()) }
        @if !caught.is_empty() { details { summary { "Show them" } (table("Mistakes that a later step catches", &caught)) } }
        h2 { "Mistakes from which nothing follows that the model knows of: " (harmless.len()) }
        @if !harmless.is_empty() { details { summary { "Show them" } (table("Mistakes without a consequence", &harmless)) } }
        (leaving(&report))
    };
    Some(whole(&title, Some(Place::Procedures), &body))
}

fn table(caption: &str, all: &[&MistakeReport]) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { th scope="col" class="number" { "Step" } th scope="col" { "Who is the worse for it" } th scope="col" { "What follows" } th scope="col" { "What would close it" } } }
                tbody {
                    @for one in all {
                        tr {
                            th scope="row" class="number" { (one.step) }
                            td { @match one.harm.as_deref() { Some(harm) => (who(harm)), None => "–" } }
                            td {
                                (sentence(&one.says))
                                @if let Some(story) = &one.story { details { summary { "How it comes to that" } p { (story) } } }
                            }
                            td { @match &one.proposal { Some(proposal) => (quoted(&sentence(proposal))), None => "–" } }
                        }
                    }
                }
            }
        }
    }
}

/// Words, in which what a text is written with stands between backticks.
fn quoted(words: &str) -> Markup {
    html! {
        @for (nth, part) in words.split('`').enumerate() {
            @if nth % 2 == 1 { code { (part) } } @else { (part) }
        }
    }
}

fn leaving(report: &SkipReport) -> Markup {
    html! {
        h2 { "Called away after a step" }
        p { "Whether the work may be left, and for how long." }
        div class="scroll" tabindex="0" role="region" aria-label="Called away after a step" {
            table {
                caption { "Called away after a step" }
                thead { tr { th scope="col" class="number" { "After step" } th scope="col" { "May it be left?" } } }
                tbody {
                    @for one in &report.leaving {
                        tr { th scope="row" class="number" { (one.step) } td { @if one.may == "leave" { (sentence(&one.says)) } @else { strong { (sentence(&one.says)) } } } }
                    }
                }
            }
        }
    }
}

fn letter(nth: usize) -> char {
    char::from(b'a' + u8::try_from(nth).unwrap_or(25).min(25))
}

/// The quiz, to be printed; nothing where the text cannot be read.
pub fn quiz(one: &ProcedureText, terms: &Terms, language: &str) -> Option<Markup> {
    let read = one.read_under(terms);
    let judged = read.judged.as_ref().ok()?;
    let report = ouncewise_report::quiz(&judged.family, &judged.procedure, terms, language);
    let title = format!("Quiz: {}, {}", report.title, one.family);
    let body = html! {
        (above(one))
        h1 { (title) }
        p { "Made from the model of its text, version " code { (one.version.get(..12).unwrap_or(&one.version)) } ". Print it from the browser; the answer sheet is for the trainer. The form of the observed sign-off is a page of its own, to be printed from the page of the procedure." }
        p { (report.held_to.says) }
        p { "Name ______________________ Date ____________" }
        ol {
            @for asked in &report.questions {
                li {
                    p { (asked.ask) }
                    ul class="choices" { @for (nth, choice) in asked.choices.iter().enumerate() { li { "☐ " (letter(nth)) ". " (choice) } } }
                }
            }
        }
        h2 { "Answer sheet" }
        details {
            summary { "For the trainer" }
            ol { @for asked in &report.questions { li { (letter(asked.right)) ". " @if let Some(right) = asked.choices.get(asked.right) { (right) } } } }
        }
        h2 { "Observed sign-off" }
        p { "A trainer watches each of these at the machine, and ticks what was done rightly." }
        ul class="choices" { @for step in &report.watched { li { "☐ " (step.step) ". " (step.say) " " (step.look_for) } } }
        p { "Crew member ______________ Trainer ______________ Date ____________" }
    };
    Some(whole(&title, Some(Place::Procedures), &body))
}
