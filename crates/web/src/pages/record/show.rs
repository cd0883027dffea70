//! The three pages of recording: the form, the answers to check, and what was recorded.

use maud::{Markup, html};
use ouncewise_estate::Group;
use ouncewise_estimate::standing::VisitShown;
use ouncewise_estimate::{ActKind, Told as Verdict};
use ouncewise_measure::Adjuster;
use ouncewise_report::many;
use ouncewise_store::History;
use uuid::Uuid;

use super::answers::{Answers, Here, LineHere};
use super::form::{LineTyped, Typed, field};
use super::ids::{self, What};
use crate::layout::{Fault, Place, beside, described, faults, invalid, page, titled, trail};
use crate::pages::week::shows;
use crate::words;
use crate::wrong::sentence;

/// The form.
pub fn form(here: &Here, typed: &Typed, wrong: &[Fault]) -> Markup {
    let title = format!("Record catches: {}, {}", here.machine_name, here.site_name);
    let at = words::machine_page(&here.site, &here.machine);
    let body = html! {
        (above(here))
        (faults(wrong))
        h1 { "Record catches: " (here.machine_name) ", " (here.site_name) }
        p { "Key it in as the sheet has it, line by line. Leave blank what was not done. You see what it means before anything is recorded." }
        form method="post" action={ (at) "/record" } novalidate data-keep {
            input type="hidden" name="form" value=(typed.form);
            (when_and_who(typed, wrong))
            @for line in &here.lines {
                @if let Some(one) = typed.lines.get(&line.key) { (line_fields(here, line, one, wrong)) }
            }
            @if here.lines.is_empty() {
                p { "This machine has no lines yet: add them under Set up." }
            } @else {
                p { button name="act" value="check" { "Check what it means" } }
            }
        }
    };
    page(&titled(&title, wrong), Some(Place::Sites), &body)
}

fn above(here: &Here) -> Markup {
    trail(&[
        ("/sites", "Sites"),
        (&words::site_page(&here.site), &here.site_name),
        (&words::machine_page(&here.site, &here.machine), &here.machine_name),
    ])
}

fn when_and_who(typed: &Typed, wrong: &[Fault]) -> Markup {
    html! {
        fieldset {
            legend { "The round" }
            div class="row" {
                (text("day", "Day", "Such as 2026-03-02", &typed.day, "short", None, wrong))
                (text("time", "Time", "Such as 06:40", &typed.time, "short", None, wrong))
                (text("by", "Who caught it (optional)", "A name or initials", &typed.by, "", None, wrong))
            }
            fieldset class="field" aria-describedby=[described(wrong, "how-paper", false)] {
                legend { "How it comes in" }
                (beside(wrong, "how-paper"))
                @for (value, words) in [("paper", "Copied from a paper sheet"), ("machine", "Keyed in at the machine, as it happens")] {
                    label class="choice" for={ "how-" (value) } {
                        input type="radio" id={ "how-" (value) } name="how" value=(value) checked[typed.how == value];
                        (words)
                    }
                }
            }
        }
    }
}

fn line_fields(here: &Here, line: &LineHere, typed: &LineTyped, wrong: &[Fault]) -> Markup {
    let key = &line.key;
    let draw = if line.doses { "Doses" } else { "Seconds" };
    let id = |name: &str| field(name, key);
    // What the browser says that it understood is in the unit of the measure that the form came with.
    let unit = here.kind(&typed.measure).map(|kind| kind.marked_in().symbol());
    html! {
        fieldset class="line-form" {
            legend { "Line " (key) ": " (line.called) }
            p class="hint" { "The recipe asks " (line.asks) "." }
            div class="row" {
                (text(&id("found"), "As found: amount", "Such as 29.6; several parted by ;", &typed.found, "short", unit, wrong))
                @if line.water { (text(&id("found-water"), "Its water", "Such as 148", &typed.found_water, "short", unit, wrong)) }
                (text(&id("found-draw"), draw, "As on the sheet", &typed.found_draw, "short", None, wrong))
                div class="field" {
                    label for=(id("measure")) { "Measure" }
                    p class="hint" { "Of this site" }
                    (beside(wrong, &id("measure")))
                    select id=(id("measure")) name=(id("measure")) aria-invalid=[invalid(wrong, &id("measure"))] aria-describedby=[described(wrong, &id("measure"), false)] {
                        @if typed.measure.is_empty() || !here.measures.iter().any(|(key, _)| *key == typed.measure) {
                            option value="" selected { "Choose" }
                        }
                        @for (key, name) in &here.measures {
                            option value=(key) selected[*key == typed.measure] { (key) ": " (name) }
                        }
                    }
                }
            }
            div class="row" {
                (text(&id("done"), done_label(&line.adjuster), done_hint(&line.adjuster), &typed.done, "", None, wrong))
                (text(&id("left"), "As left: amount", "Blank if nothing was touched", &typed.left, "short", unit, wrong))
                @if line.water { (text(&id("left-water"), "Its water", "Such as 148", &typed.left_water, "short", unit, wrong)) }
                (text(&id("left-draw"), draw, "As on the sheet", &typed.left_draw, "short", None, wrong))
            }
            (text(&id("why"), "If it was not caught: why (optional)", "Such as: too busy; empty; out of order", &typed.why, "", None, wrong))
        }
    }
}

fn done_label(adjuster: &Adjuster) -> &'static str {
    match adjuster {
        Adjuster::Number { .. } | Adjuster::Percent { .. } => "Adjusted: the panel shows now",
        Adjuster::Taught => "Taught again at",
        _ => "Adjusted by",
    }
}

fn done_hint(adjuster: &Adjuster) -> &'static str {
    match adjuster {
        Adjuster::Screw { .. } => "Such as 1/4 turn anticlockwise",
        Adjuster::Notches { .. } => "Such as 2 notches up",
        Adjuster::Number { .. } | Adjuster::Percent { .. } => "Such as 104",
        Adjuster::Taught => "Such as taught at 31 mL",
        Adjuster::None => "What the technician did",
    }
}

fn text(
    id: &str,
    label: &str,
    hint: &str,
    value: &str,
    class: &str,
    unit: Option<&str>,
    wrong: &[Fault],
) -> Markup {
    html! {
        div class="field" {
            label for=(id) { (label) }
            p class="hint" id={ (id) "-hint" } { (hint) }
            (beside(wrong, id))
            input type="text" id=(id) name=(id) value=(value) class=(class) autocomplete="off" data-echo=[unit.map(|_| "amount")] data-unit=[unit]
                aria-describedby=[described(wrong, id, true)] aria-invalid=[invalid(wrong, id)];
        }
    }
}

/// The answers, with what they mean. Nothing is recorded yet.
pub fn check(here: &Here, typed: &Typed, answers: &Answers, wrong: &[Fault]) -> Markup {
    let at = format!("{}/record", words::machine_page(&here.site, &here.machine));
    let body = html! {
        (above(here))
        (faults(wrong))
        h1 { "Check before it is recorded" }
        p { (here.machine_name) ", " (here.site_name) ", " (words::when(&answers.at)) ". Nothing is recorded until you press the button at the end." }
        dl class="facts" {
            dt { "Who" } dd { @if typed.by.is_empty() { "Not provided" } @else { (typed.by) } }
            dt { "How it comes in" } dd { @if typed.how == "paper" { "Copied from paper" } @else { "Keyed in at the machine" } }
        }
        @for line in &answers.lines {
            section class="line-form" {
                h2 { "Line " (line.key) ": " (line.called) }
                dl class="facts" {
                    @if let Some(found) = &line.found {
                        dt { "As found" } dd { (visit(found, &here.estate.group)) }
                    }
                    @if let Some(done) = &line.done { dt { "Adjusted" } dd { (done) } }
                    @if let Some(left) = &line.left {
                        dt { "As left" } dd { (visit(left, &here.estate.group)) }
                    }
                    @if let Some(why) = &line.why { dt { "Not caught" } dd { (why) } }
                }
                @for words in &line.odd { p class="warn" { (sentence(words)) } }
                @if wants_adjusting(line.found.as_ref()) && line.left.is_none() && line.done.is_none() {
                    p class="warn" { "It asks for an adjustment, and none is on the form. If the machine is still at hand: adjust it now, catch it again, and add that." }
                }
            }
        }
        form method="post" action=(at) {
            input type="hidden" name="form" value=(typed.form);
            @for (name, value) in typed.fields() { input type="hidden" name=(name) value=(value); }
            @if answers.odd() {
                div class="field" {
                    (beside(wrong, "sure"))
                    label class="choice" for="sure" {
                        input type="checkbox" id="sure" name="sure" value="yes" checked[typed.sure == "yes"] aria-describedby=[described(wrong, "sure", false)] aria-invalid=[invalid(wrong, "sure")];
                        "What is asked above is as it was read and done"
                    }
                }
            }
            ul class="acts" {
                li { button name="act" value="keep" { "Record " (many(answers.records(), "entry").replace("entrys", "entries")) } }
                li { button class="plain" name="act" value="change" { "Change something" } }
            }
        }
    };
    page(&titled("Check before it is recorded", wrong), Some(Place::Sites), &body)
}

fn wants_adjusting(found: Option<&VisitShown>) -> bool {
    found.and_then(|found| found.shown.as_ref()).is_some_and(|shown| shown.act == ActKind::Adjust)
}

/// What one visit's catches show, and the one act.
fn visit(visit: &VisitShown, group: &Group) -> Markup {
    let (risk, units) = (group.risk.fraction(), group.units);
    html! {
        p { (visit.read.join("; ")) ", with " span class="key" { (visit.measure) } }
        @match &visit.shown {
            Some(shown) => {
                p {
                    (words::verdict(Some(shown.verdict)))
                    @if let Some(portion) = words::portion(shown, units) { ", " (portion) }
                    @if let Some(off) = words::deviation(Some(shown)) { ", " (off) }
                    @if let Some(likely) = words::likely(Some(shown.probability_on_target), risk) { " (" (likely) ")" }
                }
                p { (sentence(&shown.reason.words(units))) }
                p class="act" { strong { (sentence(&shown.advice.words(units))) } }
            }
            None => p { (sentence(visit.trouble.as_deref().unwrap_or("it cannot be judged"))) },
        }
    }
}

/// What was recorded by a form, and where the machine's lines stand now.
pub fn recorded(
    here: &Here,
    form: Uuid,
    lines: &[(ouncewise_estate::Address, History, Vec<ouncewise_report::Told>)],
) -> Markup {
    let (risk, units) = (here.estate.group.risk.fraction(), here.estate.group.units);
    let mut total = 0;
    let touched: Vec<(&History, usize)> = lines
        .iter()
        .filter_map(|(address, history, _)| {
            let of_form: Vec<(What, Uuid)> = ids::of_line(form, &address.line).collect();
            let here = |id: Uuid| of_form.iter().any(|(_, of)| *of == id);
            let count = history.events.iter().filter(|event| here(event.record.id)).count();
            total += count;
            (count > 0).then_some((history, count))
        })
        .collect();
    let off = touched
        .iter()
        .filter_map(|(history, _)| history.standing.as_ref())
        .filter(|standing| standing.verdict == Some(Verdict::OffTarget))
        .count();
    let at = words::machine_page(&here.site, &here.machine);
    let body = html! {
        (above(here))
        h1 { @if total > 0 { "Recorded" } @else { "Nothing was recorded by this form" } }
        @if total > 0 {
            div class="said" role="status" {
                p { (many(total, "entry").replace("entrys", "entries")) " about " (many(touched.len(), "line")) " of " (here.machine_name) ", " (here.site_name) ". They are on disk." }
            }
            h2 { @if off > 0 { "What to do now" } @else { "Where they stand now" } }
            ol class="worst" {
                @for (history, _) in &touched {
                    @if let Some(standing) = &history.standing {
                        li {
                            h3 { a href=(words::line_page(&standing.address)) { (standing.address.line) " · " (words::beside_number(standing)) } }
                            div class="picture" { (words::picture(standing, units)) }
                            p { (shows(standing, risk)) }
                            p { (sentence(&standing.reason.words(units))) }
                            p class="act" { (sentence(&standing.advice.words(units))) }
                        }
                    }
                }
            }
        }
        ul class="acts" {
            li { a class="button" href={ (at) "/record" } { "Record more" } }
            li { a class="button plain" href=(at) { "See the machine" } }
            li { a class="button plain" href="/" { "This week" } }
        }
    };
    page("Recorded", Some(Place::Sites), &body)
}
