//! *Calculate a flush*: how long a line is flushed, by which ways, and the least time that physics allows.

use axum::Router;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_chart::{ResidueChart, ResidueWay, Theme, residue_chart, residue_table, responsive};
use ouncewise_estate::Estate;
use ouncewise_measure::Millilitres;
use ouncewise_measure::print::{self, Units, significant};
use ouncewise_report::{CannotCalculate, FlushReport, FlushWords, calculate_flush};
use serde::Deserialize;

use super::{among, choice, codes, text};
use crate::App;
use crate::layout::{Fault, Place, beside, faults, invalid, page, titled};
use crate::wrong::{Wrong, sentence};

const HERE: &str = "/calculate/flush";

pub fn routes() -> Router<App> {
    Router::new().route(HERE, get(show))
}

/// The fields, as they were typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
struct Typed {
    bore: String,
    length: String,
    fittings: String,
    volume: String,
    flow: String,
    contents: String,
    profile: String,
    push: String,
    set_at: String,
    held_back: String,
    temperature: String,
    want: String,
    holds_pressure: String,
    top_opens: String,
    pause: String,
    drain: String,
    prime: String,
    prime_into: String,
    prime_weaker: String,
    sent: String,
}

impl Typed {
    /// With what is usual where nothing is typed.
    fn with_usual(self, estate: &Estate) -> Self {
        let or =
            |typed: String, usual: &str| if typed.is_empty() { usual.to_owned() } else { typed };
        let profile = estate.group.jurisdiction.as_ref().map_or("", |key| key.as_str());
        Self {
            holds_pressure: or(self.holds_pressure, "unknown"),
            top_opens: or(self.top_opens, "unknown"),
            prime_into: or(self.prime_into, "water"),
            profile: or(self.profile, profile),
            ..self
        }
    }
}

async fn show(
    State(app): State<App>,
    asked: Result<Query<Typed>, QueryRejection>,
) -> Result<Response, Wrong> {
    let Query(typed) = asked?;
    let estate = app.store().estate_at("").await?;
    if typed.sent.is_empty() {
        return Ok(shown(&typed.with_usual(&estate), &estate, &[], &html! {}).into_response());
    }
    let units = estate.group.units;
    let (status, wrong, answer) = match calculate_flush(&words(&typed, &estate), units) {
        Ok(shown) => (StatusCode::OK, Vec::new(), told(&shown.report, units)),
        Err(fault) => {
            let fault = match fault {
                CannotCalculate::Misphrased(wrong) => Fault::new(wrong.field, wrong.to_string()),
                CannotCalculate::Unfit(what, _) => Fault::new("bore", what),
            };
            (StatusCode::UNPROCESSABLE_ENTITY, vec![fault], html! {})
        }
    };
    Ok((status, shown(&typed, &estate, &wrong, &answer)).into_response())
}

fn words(typed: &Typed, estate: &Estate) -> FlushWords {
    let some = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    FlushWords {
        bore: some(&typed.bore),
        length: some(&typed.length),
        fittings: some(&typed.fittings),
        volume: some(&typed.volume),
        flow: some(&typed.flow),
        contents: some(&typed.contents),
        profile: some(estate.profile_words(&typed.profile)),
        push: some(&typed.push),
        set_at: some(&typed.set_at),
        held_back: some(&typed.held_back),
        temperature: some(&typed.temperature),
        want: some(&typed.want),
        holds_pressure: some(&typed.holds_pressure),
        top_opens: some(&typed.top_opens),
        pause: some(&typed.pause),
        drain: some(&typed.drain),
        prime: some(&typed.prime),
        prime_into: some(&typed.prime_into),
        prime_weaker: some(&typed.prime_weaker),
    }
}

fn shown(typed: &Typed, estate: &Estate, wrong: &[Fault], answer: &Markup) -> Markup {
    let cold = [&typed.set_at, &typed.held_back].iter().any(|text| !text.is_empty());
    let more = [&typed.pause, &typed.drain, &typed.prime].iter().any(|text| !text.is_empty())
        || ["pause", "drain", "prime", "prime-into", "prime-weaker"]
            .iter()
            .any(|field| invalid(wrong, field).is_some());
    let codes: Vec<(&str, &str)> = std::iter::once(("", "None")).chain(codes(estate)).collect();
    let unknown = "unknown";
    let three = [("yes", "Yes"), ("no", "No"), (unknown, "I do not know")];
    let body = html! {
        (among(HERE))
        (faults(wrong))
        h1 { "Calculate a flush" }
        p { "How long a line must run until what was in it is out, and what is quicker. Leave blank what nobody measured: the answer then says what to measure. Nothing is kept." }
        (answer)
        form method="get" action=(HERE) novalidate {
            input type="hidden" name="sent" value="yes";
            fieldset {
                legend { "The line" }
                p class="hint" { "Several tubes of different bores: all of them in the order of the flow, parted by ;" }
                div class="row" {
                    (text("bore", "Inner diameter", "Such as 6 mm, or 1/4 in", &typed.bore, "short", wrong))
                    (text("length", "Length", "Such as 3 m, or 10 ft", &typed.length, "short", wrong))
                    (text("volume", "What it holds, if measured (optional)", "Such as 95 mL; stands for a diameter or a length that nobody knows", &typed.volume, "short", wrong))
                }
                (text("fittings", "Valves, joints and elbows (optional)", "What each holds: 4 mL; 2 x 1.5 mL; 2 x ?; 3 mL dead end", &typed.fittings, "", wrong))
            }
            fieldset {
                legend { "The flush" }
                div class="row" {
                    (text("flow", "Flow", "Such as 250 mL in 10 s, or 25 mL/s", &typed.flow, "", wrong))
                    (text("contents", "What is in the line", "water, syrup 60 Bx, or a sanitiser by its strength: chlorine 100 ppm. Blank is water", &typed.contents, "", wrong))
                    (text("want", "Until when (optional)", "Such as 1 % in the line, 1 % at the outlet, 10 g/L of sugar, 4 ppm, drinking water", &typed.want, "", wrong))
                    (choice("profile", "Local code, which may forbid the rinse of a sanitiser", &codes, &typed.profile, wrong))
                    (text("push", "What moves it (optional)", "Such as 80 kPa, 1 bar or 10 psi; for syrup, blank is the 80 kPa that a pump can pull", &typed.push, "short", wrong))
                    (text("temperature", "Temperature (optional)", "Such as 5 °C; blank is 20 °C", &typed.temperature, "short", wrong))
                }
            }
            (choices("holds-pressure", "Does the line hold pressure?", &three, &typed.holds_pressure, wrong))
            (choices("top-opens", "Can air be let in at its highest point?", &three, &typed.top_opens, wrong))
            details open[cold] {
                summary { "What cold does to the portion" }
                div class="row" {
                    (text("set-at", "Temperature at which the portion was set (optional)", "Such as 25 °C; it is said what the temperature above makes of it", &typed.set_at, "short", wrong))
                    (text("held-back", "What holds the product back (optional)", "tube or screw, where pressure feeds it, or pump", &typed.held_back, "short", wrong))
                }
            }
            details open[more] {
                summary { "A pause, a timed drain, filling with product" }
                div class="row" {
                    (text("pause", "Longest pause (optional)", "Such as 3 min", &typed.pause, "short", wrong))
                    (text("drain", "Time it takes to drain (optional)", "Such as 8 s, if somebody timed it", &typed.drain, "short", wrong))
                }
                div class="row" {
                    (text("prime", "Product that it is filled with (optional)", "Such as syrup 60 Bx", &typed.prime, "short", wrong))
                    (text("prime-weaker", "How much else may be in it (optional)", "Such as 1 %", &typed.prime_weaker, "short", wrong))
                }
                (choices("prime-into", "What the line holds when the product comes", &[("water", "Water"), ("air", "Air: it was drained, or is new")], &typed.prime_into, wrong))
            }
            p { button { "Calculate" } }
        }
    };
    page(&titled("Calculate a flush", wrong), Some(Place::Calculate), &body)
}

/// One of a few answers.
fn choices(id: &str, legend: &str, all: &[(&str, &str)], chosen: &str, wrong: &[Fault]) -> Markup {
    html! {
        fieldset id=(id) {
            legend { (legend) }
            (beside(wrong, id))
            @for (value, words) in all {
                label class="choice" for={ (id) "-" (value) } {
                    input type="radio" id={ (id) "-" (value) } name=(id) value=(value) checked[*value == chosen];
                    (words)
                }
            }
        }
    }
}

/// The answer.
fn told(report: &FlushReport, units: Units) -> Markup {
    html! {
        section class="said" role="status" aria-labelledby="told" {
            @if let Some(crew) = &report.crew {
                h2 id="told" { "How to flush this line" }
                p class="act" { strong { (sentence(crew)) } }
                @if let Some(tube) = &report.tube { p { (sentence(&tube.words)) } }
                @for cold in &report.cold { p { (sentence(&cold.words)) } }
                p { "Wanted: " (report.wanted.words) "." }
                p { (sentence(&report.least.words)) }
            } @else {
                h2 id="told" { "No least time known" }
                p { (sentence(&report.least.words)) }
                h3 { "What to measure" }
                ul { @for missing in &report.missing { li { strong { (sentence(&missing.what)) } " " (sentence(&missing.measure)) } } }
            }
            ul { @for note in &report.notes { li { (sentence(note)) } } }
            @if let Some(prime) = &report.prime {
                h3 { "Filling it with product" }
                p { (sentence(&prime.words)) }
            }
        }
        (figure(report))
        @if !report.plans.is_empty() { (ways(report, units)) }
        (rests(report, units))
        details {
            summary { "What was understood, and how the figures are known" }
            dl class="facts" { @for fact in &report.understood { dt { (sentence(&fact.what)) } dd { (fact.words) } } }
            @if !report.basis.is_empty() {
                ul { @for basis in &report.basis { li { (sentence(&format!("{}: {}", basis.what, basis.known))) } } }
            }
        }
        h2 { "Cautions" }
        ul {
            @for caution in &report.cautions {
                li {
                    strong { @if caution.triangle { span aria-hidden="true" { "⚠ " } } (caution.word) }
                    " " (caution.what) " " (caution.avoid)
                }
            }
        }
        p { (report.standing) }
        h2 { "Calculate another" }
    }
}

/// The chart, and the table that says the same.
fn figure(report: &FlushReport) -> Markup {
    let Some(curves) = &report.chart else { return html! {} };
    let place =
        if report.wanted.place == "outlet" { "in what comes out" } else { "left in the line" };
    let ways = curves.curves.iter().map(|curve| ResidueWay {
        name: curve.way.clone(),
        reaches: curve.reaches_s,
        time: curve.time.clone(),
        points: curve.points.clone(),
    });
    let chart = ResidueChart {
        finding: curves.finding.clone(),
        what: format!("old content {place}"),
        wanted: report.wanted.share,
        ways: ways.collect(),
    };
    let table = residue_table(&chart);
    html! {
        figure {
            (responsive(|size| residue_chart(&chart, Theme::Css, size)))
            figcaption class="muted" { "The curves are at best. The last of it leaves late: what runs clear is not yet rid of what was in it." }
        }
        details {
            summary { "The same as a table" }
            div class="scroll" tabindex="0" role="region" aria-label={ "Share of old content " (place) } {
                table {
                    thead { tr { @for words in &table.headings { th scope="col" { (sentence(words).trim_end_matches('.')) } } } }
                    tbody { @for row in &table.rows { tr { @for cell in row { td { (cell) } } } } }
                }
            }
        }
    }
}

/// Each way with what it takes, and the ways that are not offered.
fn ways(report: &FlushReport, units: Units) -> Markup {
    html! {
        h2 { "Each way" }
        div class="scroll" tabindex="0" role="region" aria-label="Each way and what it takes" {
            table {
                thead { tr { th scope="col" { "Way" } th scope="col" { "Takes" } th scope="col" { "Water" } th scope="col" { "Line volumes" } th scope="col" { "Left then" } } }
                tbody {
                    @for plan in &report.plans {
                        tr {
                            td { (sentence(&plan.words)) }
                            td { (plan.time) }
                            td { (print::volume(Millilitres(plan.solution_ml), units)) }
                            td { (significant(plan.volumes, 2)) }
                            td { (significant(100.0 * plan.residue, 2)) " %" }
                        }
                    }
                }
            }
        }
        @if !report.not_offered.is_empty() {
            h3 { "Not offered here" }
            ul { @for why in &report.not_offered { li { (sentence(why)) } } }
        }
    }
}

/// What the times rest on, each said once, and how the line flows.
fn rests(report: &FlushReport, units: Units) -> Markup {
    let primed = report.prime.iter().flat_map(|prime| &prime.assumptions);
    let assumed = report.plans.iter().flat_map(|plan| &plan.assumptions).chain(primed);
    let mut all: Vec<&String> = Vec::new();
    for note in assumed {
        if !all.contains(&note) {
            all.push(note);
        }
    }
    html! {
        @if !all.is_empty() {
            h2 { "What this rests on" }
            ul { @for note in all { li { (sentence(note)) } } }
        }
        (flow(report, units))
    }
}

/// Volume, manner of the flow and first arrival.
fn flow(report: &FlushReport, units: Units) -> Markup {
    let Some(volume) = report.volume_ml else { return html! {} };
    html! {
        dl class="facts" {
            dt { "The line holds" }
            dd { (print::volume(Millilitres(volume), units)) @if let Some(s) = report.seconds_per_volume { ", and one such volume passes in " (significant(s, 3)) " s" } }
            @if let (Some(manner), Some((_, fastest)), Some(regime)) = (&report.manner, report.reynolds, report.regime_number) {
                dt { "The flow is" }
                dd { (manner.words) " (Reynolds number " (significant(fastest, 3)) ", regime number " (format!("{regime:.1e}")) ")" }
            }
            @if let Some(first) = report.first_arrival_s {
                dt { "The first water comes out" }
                dd { "after " (significant(first, 2)) " s, which is no sign that the rest is out" }
            }
            @if let Some(swirls) = report.swirls_from_ml_per_s {
                dt { "It would mix by itself" }
                dd { "from " (print::amount(swirls, 3, "mL/s", units)) " on, and take little more than one volume" }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use ouncewise_estate::Tubing;

    use crate::testing::{demo, empty, estate, get};

    #[tokio::test]
    async fn a_flush_is_told_drawn_and_tabled_with_its_cautions() {
        let here = empty().await;
        let path = "/calculate/flush?sent=yes&bore=6.35+mm&length=3+m&flow=5+mL%2Fs&contents=syrup+60+Bx&holds-pressure=no&top-opens=yes&pause=3+min&prime=syrup+60+Bx";
        let (status, page) = get(&here.app, path).await;
        assert_eq!(status, StatusCode::OK, "{page}");
        assert!(
            page.contains("How to flush this line") && page.contains("Drain and refill"),
            "{page}"
        );
        assert_eq!(page.matches("class=\"chart residue\"").count(), 2, "wide and narrow");
        assert!(page.contains("The same as a table") && page.contains("WARNING"), "{page}");
        assert!(page.contains("can kill a guest"), "an allergen is not flushed out");
        assert!(
            page.contains("value=\"syrup 60 Bx\"") && page.contains("aria-current=\"page\""),
            "{page}"
        );
        assert!(!page.contains(" style="), "{page}");
    }

    // HY-21 (READ): the model code forbids the rinse.
    #[tokio::test]
    async fn the_groups_food_code_is_filled_in_and_what_the_address_says_stays() {
        let here = demo().await;
        let before = estate();
        let mut after = before.clone();
        after.group.jurisdiction = Some("model-code".parse().unwrap());
        after.families.get_mut("screw").unwrap().tubing = Tubing {
            bore: Some("6 mm".to_owned()),
            length: Some("3 m".to_owned()),
            flush_flow: Some("5 mL/s".to_owned()),
            ..Tubing::default()
        };
        let described = ouncewise_report::described(&before, &after, "2026-01-06T08:00:00.000Z");
        here.store.append(described).await.unwrap();
        let (_, page) = get(&here.app, "/calculate/flush?bore=6+mm").await;
        assert!(
            page.contains("value=\"model-code\" selected") && page.contains("value=\"6 mm\""),
            "{page}"
        );
        let (_, page) = get(&here.app, "/calculate/flush?profile=uk-rinse").await;
        assert!(
            page.contains("value=\"uk-rinse\" selected")
                && !page.contains("value=\"model-code\" selected")
        );
        // From the page of a line, under the food code of its site.
        let (_, page) = get(&here.app, "/sites/fernhollow/counter-1/1").await;
        assert!(page.contains("name=\"profile\" value=\"model-code\""), "{page}");
    }

    #[tokio::test]
    async fn what_is_not_known_is_an_answer_and_what_cannot_be_read_is_a_fault() {
        let here = empty().await;
        let (status, page) = get(&here.app, "/calculate/flush?sent=yes&flow=5+mL%2Fs").await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains("No least time known") && page.contains("inner diameter"), "{page}");
        assert!(!page.contains("<svg"), "nothing is drawn of it");
        for (typed, field) in [
            ("bore=six", "bore"),
            ("prime=beer", "prime"),
            ("top-opens=perhaps", "top-opens"),
            ("want=clean", "want"),
        ] {
            let (status, page) =
                get(&here.app, &format!("/calculate/flush?sent=yes&{typed}")).await;
            assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{typed}");
            assert!(page.contains(&format!("href=\"#{field}\"")), "{typed}: {page}");
            assert!(page.contains(&format!("id=\"{field}\"")), "{typed}: {page}");
            assert!(page.contains(&format!("id=\"{field}-fault\"")), "{typed}: {page}");
        }
    }
}
