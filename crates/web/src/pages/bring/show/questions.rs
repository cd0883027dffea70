//! What a sheet does not tell, and what it tells by a sign that a person may overrule.

use maud::{Markup, html};
use ouncewise_estate::sheets::mapping::Question;

use super::Shown;
use crate::layout::{Fault, beside, described, invalid};
use crate::pages::bring::words::{asked, choice, field, short};

/// The most questions on one page. More come from a sheet with very many names that are nearly others.
const MOST: usize = 200;

/// The most choices that are shown side by side; more stand in a list.
const BUTTONS: usize = 10;

/// Names that are offered for a field of text.
const OFFERED: usize = 1_000;

/// All questions: what the sheet does not tell, what needs setting up, and what the sheet tells by itself.
pub fn all(shown: &Shown<'_>) -> Markup {
    let questions = &shown.sheet.reading.mapping.questions;
    let all: Vec<&Question> =
        questions.iter().filter(|question| !question.id.starts_with("column ")).collect();
    let (asked, told): (Vec<&Question>, Vec<&Question>) =
        all.iter().take(MOST).partition(|question| question.because.is_none());
    let (sets_up, open): (Vec<&Question>, Vec<&Question>) =
        asked.into_iter().partition(|question| question.sets_up);
    let faulty = told.iter().any(|question| invalid(shown.wrong, &field(question)).is_some());
    html! {
        div id="questions" {
            @if !open.is_empty() {
                h2 { "What the sheet does not tell" }
                p { "The likeliest answer is chosen. Look at each: what is answered wrongly here is read wrongly." }
                @for question in open { (one(question, shown)) }
            }
            @if !sets_up.is_empty() {
                h2 { "What has to be set up for it" }
                p { "The sheet speaks of what the group does not have yet. All of this can be changed later under Set up." }
                @for question in sets_up { (one(question, shown)) }
            }
            @if !told.is_empty() {
                details open[faulty] {
                    summary { "What the sheet tells by itself (" (told.len()) ")" }
                    @for question in told { (one(question, shown)) }
                }
            }
            @if all.len() > MOST {
                p class="warn" { "There are " (all.len() - MOST) " more questions, about names that are nearly others. Their likeliest answers are taken; mend the names in the sheet to be sure." }
            }
        }
    }
}

fn one(question: &Question, shown: &Shown<'_>) -> Markup {
    let id = field(question);
    let wrong = shown.wrong;
    let left_open = shown.sheet.reading.left_open.contains(&question.id);
    let chosen = match &question.answer {
        Some(answer) => answer.as_str(),
        None if left_open => "",
        None => question.default.as_str(),
    };
    let (words, hint) = asked(question);
    let about = html! {
        @if !hint.is_empty() { p class="hint" id={ (id) "-hint" } { (hint) } }
        @if let Some(because) = &question.because { p class="hint" { "Taken so because " (because) "." } }
        @if !question.sample.is_empty() {
            ul class="hint" { @for sample in &question.sample { li { (short(sample, 120)) } } }
        }
        (beside(wrong, &id))
    };
    let described = described(wrong, &id, !hint.is_empty());
    let may_stay_open = !question.sets_up;
    html! {
        @if question.choices.is_empty() {
            div class="field" {
                label for=(id) { (words) @if may_stay_open { " (blank: leave the rows that need it out)" } }
                (about)
                @let names = offered(question, shown);
                input type="text" id=(id) name=(id) value=(chosen) autocomplete="off" list=[(!names.is_empty()).then(|| format!("{id}-names"))] aria-describedby=[described] aria-invalid=[invalid(wrong, &id)];
                @if !names.is_empty() { datalist id={ (id) "-names" } { @for name in names { option value=(name) {} } } }
            }
        } @else if question.choices.len() <= BUTTONS {
            fieldset {
                legend { (words) }
                (about)
                @for (nth, answer) in question.choices.iter().enumerate() {
                    (button(&id, nth, answer, chosen, wrong, &choice(question, answer, shown.estate)))
                }
                @if may_stay_open {
                    (button(&id, question.choices.len(), "", chosen, wrong, "I do not know: leave out the rows that need it"))
                }
            }
        } @else {
            div class="field" {
                label for=(id) { (words) }
                (about)
                select id=(id) name=(id) aria-describedby=[described] aria-invalid=[invalid(wrong, &id)] {
                    @for answer in &question.choices {
                        option value=(answer) selected[answer == chosen] { (choice(question, answer, shown.estate)) }
                    }
                    @if may_stay_open { option value="" selected[chosen.is_empty()] { "I do not know: leave out the rows that need it" } }
                }
            }
        }
    }
}

/// One answer. The first has the id of the question, to which a fault leads.
fn button(id: &str, nth: usize, value: &str, chosen: &str, wrong: &[Fault], words: &str) -> Markup {
    let own = if nth == 0 { id.to_owned() } else { format!("{id}-{nth}") };
    html! {
        label class="choice" for=(own) {
            input type="radio" id=(own) name=(id) value=(value) checked[value == chosen] aria-describedby=[described(wrong, id, false)] aria-invalid=[invalid(wrong, id)];
            (words)
        }
    }
}

/// Names that may be the answer.
fn offered(question: &Question, shown: &Shown<'_>) -> Vec<String> {
    match question.id.as_str() {
        "site" => shown.estate.sites.values().take(OFFERED).map(|site| site.name.clone()).collect(),
        "time-zone" => {
            jiff::tz::db().available().take(OFFERED).map(|name| name.to_string()).collect()
        }
        _ => Vec::new(),
    }
}
