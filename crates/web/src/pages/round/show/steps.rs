//! The procedure that the round follows: which, and its steps; those that must not be skipped come first, to be confirmed.

use maud::{Markup, html};
use ouncewise_report::{ProcedureText, StepSeen, many, may_be_published};

use super::super::here::Here;
use super::fields::Form;
use crate::layout::{beside, described, invalid};
use crate::pages::procedures::page_of;

/// Which procedure, and its steps.
pub fn all(form: &Form<'_>) -> Markup {
    let here = form.here;
    let chosen = form.typed.of("procedure");
    let followed = here.followed(chosen);
    let (in_force, mut earlier) = (here.procedures(), here.replaced());
    let listed = |one: &&ProcedureText| {
        in_force.iter().chain(&earlier).any(|own| own.version == one.version)
    };
    let other = followed.filter(|one| !listed(one));
    earlier.extend(other);
    if in_force.is_empty() && earlier.is_empty() {
        return html! {
            p { "No procedure is written for this machine’s family, so that none is followed. " a href="/procedures" { "Procedures" } };
        };
    }
    let called = |one: &ProcedureText| {
        format!("{}, version {}", one.title(), one.version.get(..12).unwrap_or(&one.version))
    };
    html! {
        fieldset class="line-form" {
            legend { "The procedure" }
            div class="field" {
                label for="procedure" { "Which one was followed" }
                p class="hint" id="procedure-hint" { "In the version in force, unless it was done by the one before. Where you choose another, its steps are shown when you check" }
                (beside(form.wrong, "procedure"))
                select id="procedure" name="procedure" aria-describedby=[described(form.wrong, "procedure", true)] aria-invalid=[invalid(form.wrong, "procedure")] {
                    @for one in &in_force {
                        option value=(one.version) selected[one.version == chosen] { (called(one)) }
                    }
                    @for one in &earlier {
                        option value=(one.version) selected[one.version == chosen] { (called(one)) ", no longer in force" }
                    }
                    option value="" selected[followed.is_none()] { "None of these" }
                }
            }
            input type="hidden" name="steps-of" value=(chosen);
            @if let Some(followed) = followed {
                @if !holds(followed, here) {
                    p class="warn" {
                        "This text does not hold by what is asked at this site: do not serve by it, and tell your lead. "
                        a href={ (page_of(&followed.family, &followed.name)) "?for=" (here.site) } { "What is wrong with it" }
                    }
                }
                @let (must, rest): (Vec<StepSeen>, Vec<StepSeen>) = followed.steps(&here.terms(), "en").into_iter().partition(|step| step.must_not_skip);
                @if !must.is_empty() {
                    fieldset class="field" {
                        legend { "Must not skip: tick what was done" }
                        p class="hint" { "Left out, these can hurt a guest or the crew, and nobody sees it. Leave open what was not done: the round is kept all the same, as incomplete." }
                        @for step in must.iter().filter(|step| !step.may_not_come_up) { (tick(form, step)) }
                        @for step in must.iter().filter(|step| step.may_not_come_up) { (tick(form, step)) }
                    }
                }
                @if !rest.is_empty() {
                    details {
                        summary { "The other " (many(rest.len(), "step")) }
                        ul { @for step in &rest { li { (step.number) ". " (step.say) } } }
                    }
                }
                p { a href=(page_of(&followed.family, &followed.name)) { "The procedure, its card and what follows if a step is skipped" } }
            }
        }
    }
}

/// Whether a text holds under the food code of the site: what is published is held to the group's.
fn holds(followed: &ProcedureText, here: &Here) -> bool {
    let read = followed.read_under(&here.terms());
    read.judged.as_ref().is_ok_and(|judged| may_be_published(judged.report.verdict))
}

/// A step to be confirmed. What was ticked of another procedure is no answer to this one's. A step that comes up after some
/// answers only has two answers of its own, so that nobody has to say that it was done.
fn tick(form: &Form<'_>, step: &StepSeen) -> Markup {
    let key = step.key();
    let same = form.typed.of("steps-of") == form.typed.of("procedure");
    let given = if same { form.typed.of(&key) } else { "" };
    let says = html! { strong { (step.number) ". " } (step.say) };
    html! {
        @if step.may_not_come_up {
            fieldset class="field" {
                legend { (says) }
                (beside(form.wrong, &key))
                @for (value, words) in [("yes", "Done"), ("not", "It did not come up")] {
                    @let id = format!("{key}-{value}");
                    label class="choice" for=(id) {
                        input type="radio" id=(id) name=(key) value=(value) checked[given == value];
                        (words)
                    }
                }
            }
        } @else {
            (beside(form.wrong, &key))
            label class="choice" for=(key) {
                input type="checkbox" id=(key) name=(key) value="yes" checked[!given.is_empty()];
                span { (says) }
            }
        }
    }
}
