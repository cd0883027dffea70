//! *Calculate*: one catch, or what a measure can show, without anything in the store.

mod flush;
mod strength;

use axum::Router;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_estimate::Told;
use ouncewise_measure::print::{self, Units};
use ouncewise_report::{
    CannotCalculate, CatchReport, CatchWords, MeasureReport, SetupWords, calculate_catch,
    calculate_measure,
};
use serde::Deserialize;

use super::line::budget;
use crate::App;
use crate::layout::{Fault, Place, beside, described, faults, invalid, page, titled};
use crate::words;
use crate::wrong::{Wrong, sentence};

pub fn routes() -> Router<App> {
    Router::new().route("/calculate", get(show)).merge(flush::routes()).merge(strength::routes())
}

/// What can be calculated: the address and the name of each page.
const ALL: [(&str, &str); 3] = [
    ("/calculate", "One catch"),
    ("/calculate/flush", "A flush"),
    ("/calculate/strength", "A strength"),
];

/// Links from one calculation to the others.
fn among(here: &str) -> Markup {
    html! {
        nav class="among" aria-label="Calculations" {
            ul {
                @for (at, words) in ALL {
                    li { a href=(at) aria-current=[(at == here).then_some("page")] { (words) } }
                }
            }
        }
    }
}

/// The food codes that come along.
const PROFILES: &[(&str, &str)] = &[
    ("model-code", "Model food code (US)"),
    ("california", "California"),
    ("new-york", "New York"),
    ("uk-rinse", "United Kingdom style: rinse after"),
];

/// The food codes that can be chosen: those that come along, and the group's own.
fn codes(estate: &Estate) -> impl Iterator<Item = (&str, &str)> {
    let own = estate.profiles.iter().map(|(key, own)| (key.as_str(), own.profile.name.as_str()));
    PROFILES.iter().copied().chain(own)
}

fn choice(id: &str, label: &str, all: &[(&str, &str)], value: &str, wrong: &[Fault]) -> Markup {
    html! {
        div class="field" {
            label for=(id) { (label) }
            (beside(wrong, id))
            select id=(id) name=(id) aria-invalid=[invalid(wrong, id)] {
                @for (word, words) in all { option value=(word) selected[*word == value] { (words) } }
            }
        }
    }
}

/// The fields, as they were typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
struct Typed {
    target: String,
    tolerance: String,
    reads: String,
    step: String,
    limit: String,
    catch: String,
    timer: String,
    density: String,
    temperature: String,
    adjuster: String,
    sent: String,
}

async fn show(
    State(app): State<App>,
    asked: Result<Query<Typed>, QueryRejection>,
) -> Result<Response, Wrong> {
    let Query(typed) = asked?;
    if typed.sent.is_empty() {
        let usual = Typed {
            tolerance: "5 %".to_owned(),
            reads: "cup".to_owned(),
            timer: "hand".to_owned(),
            ..Typed::default()
        };
        return Ok(shown(&usual, &[], &html! {}).into_response());
    }
    let units = app.store().estate_at("").await?.group.units;
    let (answer, wrong) = answer(&typed, units);
    let status = if wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, shown(&typed, &wrong, &answer)).into_response())
}

/// The answer, or what is wrong with the fields.
fn answer(typed: &Typed, units: Units) -> (Markup, Vec<Fault>) {
    let some = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    let read = match (some(&typed.step), some(&typed.limit)) {
        (Some(step), Some(limit)) => Some(format!("{step} ± {limit}")),
        (step, _) => step,
    };
    let reads = |kind: &str| read.clone().filter(|_| typed.reads == kind);
    let setup = SetupWords {
        target: typed.target.clone(),
        tolerance: some(&typed.tolerance),
        cup: reads("cup"),
        mark: reads("mark"),
        scale: reads("scale"),
        timer: some(&typed.timer),
        density: some(&typed.density),
        temperature: some(&typed.temperature),
        adjuster: some(&typed.adjuster),
        ..SetupWords::default()
    };
    let outcome = match some(&typed.catch) {
        None => {
            calculate_measure(&setup, units).map(|(_, _, report)| measure_shows(&report, units))
        }
        Some(catches) => {
            let catches = catches.split(';').filter_map(some).collect();
            let words = CatchWords { setup, catches, water: Vec::new() };
            calculate_catch(&words, units)
                .map(|shown| catch_shows(&shown.report, shown.setup.risk, units))
        }
    };
    match outcome {
        Ok(answer) => (answer, Vec::new()),
        Err(CannotCalculate::Misphrased(wrong)) => {
            let field = match wrong.field {
                "cup" | "mark" | "scale" => "step",
                other => other,
            };
            (html! {}, vec![Fault::new(field, wrong.to_string())])
        }
        Err(CannotCalculate::Unfit(what, hint)) => {
            let what = hint.map_or_else(|| what.clone(), |hint| format!("{what}; {hint}"));
            (
                html! {},
                vec![Fault::new(
                    if typed.catch.trim().is_empty() { "target" } else { "catch" },
                    what,
                )],
            )
        }
    }
}

fn shown(typed: &Typed, wrong: &[Fault], answer: &Markup) -> Markup {
    let body = html! {
        (among("/calculate"))
        (faults(wrong))
        h1 { "Calculate one catch" }
        p { "Nothing is kept. Leave the catch blank to see what a measure can show before anybody reads it." }
        (answer)
        form method="get" action="/calculate" novalidate {
            input type="hidden" name="sent" value="yes";
            fieldset {
                legend { "What the recipe asks" }
                div class="row" {
                    (text("target", "Portion and its draw", "Such as 30 mL in 7 s, or 40 g in 1 dose", &typed.target, "", wrong))
                    (text("tolerance", "How far off still serves", "Such as 5 %", &typed.tolerance, "short", wrong))
                }
            }
            fieldset {
                legend { "What it is read with" }
                @for (value, words) in [("cup", "A cup or cylinder with divisions"), ("mark", "A cup with one mark"), ("scale", "A scale")] {
                    label class="choice" for={ "reads-" (value) } {
                        input type="radio" id={ "reads-" (value) } name="reads" value=(value) checked[typed.reads == value];
                        (words)
                    }
                }
                div class="row" {
                    (text("step", "One division, the mark, or the scale’s step", "Such as 1 mL, 30 mL or 0.1 g", &typed.step, "short", wrong))
                    (text("limit", "The maker’s tolerance", "Such as 0.5 mL; a scale may have none", &typed.limit, "short", wrong))
                    (text("timer", "How the seconds are taken", "hand, or machine", &typed.timer, "short", wrong))
                }
            }
            fieldset {
                legend { "What was caught" }
                (text("catch", "The catch (optional)", "Such as 31 mL in 7.1 s; several parted by ;", &typed.catch, "", wrong))
                details {
                    summary { "More about the line" }
                    (text("adjuster", "How it is set (optional)", "Such as screw 20 %/turn, notches 3 %/notch, number, taught, none", &typed.adjuster, "", wrong))
                    (text("density", "Density of the product (optional)", "Such as 1.27 ± 0.01 g/mL, or 62 ± 1 Brix: to weigh what is asked by volume", &typed.density, "", wrong))
                    (text("temperature", "Its temperature (optional)", "Such as 4 °C", &typed.temperature, "short", wrong))
                }
            }
            p { button { "Calculate" } }
        }
    };
    page(&titled("Calculate one catch", wrong), Some(Place::Calculate), &body)
}

fn text(id: &str, label: &str, hint: &str, value: &str, class: &str, wrong: &[Fault]) -> Markup {
    html! {
        div class="field" {
            label for=(id) { (label) }
            p class="hint" id={ (id) "-hint" } { (hint) }
            (beside(wrong, id))
            input type="text" id=(id) name=(id) value=(value) class=(class) autocomplete="off"
                aria-describedby=[described(wrong, id, true)] aria-invalid=[invalid(wrong, id)];
        }
    }
}

fn catch_shows(report: &CatchReport, risk: f64, units: Units) -> Markup {
    let told = match report.verdict.as_str() {
        "on-target" => Told::OnTarget,
        "off-target" => Told::OffTarget,
        _ => Told::Undecided,
    };
    html! {
        section class="said" role="status" aria-labelledby="shows" {
            h2 id="shows" { "This catch shows" }
            p {
                (words::verdict(Some(told)))
                @if let Some(portion) = &report.portion {
                    ", " (print::with_doubt(portion.value, portion.standard_uncertainty, &portion.unit, units))
                }
                @if let Some(likely) = words::likely(Some(report.probability_on_target), risk) { " (" (likely) ")" }
            }
            p { (sentence(&report.reason)) }
            p class="act" { strong { (sentence(&report.act.advice)) } }
            h3 { "Where the doubt comes from" }
            (budget(report))
        }
    }
}

fn measure_shows(report: &MeasureReport, units: Units) -> Markup {
    let (scale, unit) = units.in_place_of(&report.unit);
    html! {
        section class="said" role="status" aria-labelledby="shows" {
            h2 id="shows" { "What this measure can show" }
            p {
                @if report.can_show_on_target { "One catch can show a line to be on target." }
                @else { "One catch can never show a line to be on target: dead centre it is " (print::percent(report.best_probability)) " sure." }
                " The doubt of one catch is " (print::percent(report.relative_doubt)) "."
            }
            @if let Some(window) = &report.amount {
                @if let Some((from, to)) = window.on_target {
                    p { "Readings from " (print::significant(scale * from, 3)) " to " (print::significant(scale * to, 3)) " " (unit) " show it on target." }
                }
            }
            @if let (Some(window), Some(fill)) = (&report.seconds, report.fill_to) {
                @if let Some((from, to)) = window.on_target {
                    p { "Filled to " (print::amount(fill, 3, "mL", units)) ": from " (print::significant(from, 3)) " to " (print::significant(to, 3)) " s show it on target." }
                }
            }
            h3 { "What it takes to decide about a line that is exactly right" }
            ul { @for words in &report.to_decide.words { li { (sentence(words)) } } }
        }
    }
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;

    use crate::testing::{empty, get};

    #[tokio::test]
    async fn a_cup_that_cannot_tell_is_said_so_and_a_catch_is_judged() {
        let here = empty().await;
        let ask = async |more: &str| {
            let path = format!(
                "/calculate?sent=yes&target=30+mL+in+7+s&tolerance=5+%25&timer=hand&{more}"
            );
            get(&here.app, &path).await
        };
        let (status, page) = ask("reads=mark&step=30+mL&limit=2+mL").await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains("can never show a line to be on target"), "{page}");
        let (_, page) = ask("reads=cup&step=1+mL&limit=0.5+mL&catch=36+mL+in+7+s").await;
        assert!(page.contains("off target"), "{page}");
        let (status, page) = ask("reads=cup&step=1+oz&limit=0.5+mL&catch=36+mL+in+7+s").await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(page.contains("id=\"step-fault\"") && page.contains("value=\"1 oz\""), "{page}");
    }
}
