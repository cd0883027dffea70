//! *Calculate a strength*: whether a sanitiser solution is accepted by its label, the code and its strip.

use axum::Router;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_measure::print::significant;
use ouncewise_report::{StrengthFinding, StrengthReport, StrengthWords, calculate_strength};
use serde::Deserialize;

use super::{among, choice, codes, text};
use crate::App;
use crate::layout::{Fault, Place, faults, page, titled};
use crate::wrong::{Wrong, sentence};

const HERE: &str = "/calculate/strength";

const CHEMISTRIES: &[(&str, &str)] = &[
    ("", "Not known"),
    ("hypochlorite", "Hypochlorite (bleach)"),
    ("isocyanurate", "Isocyanurate (NaDCC, TCCA)"),
    ("other-chlorine", "Another chlorine"),
    ("iodine", "Iodine"),
    ("quat-single", "One quat"),
    ("quat-multi", "Several quats"),
    ("quat-unstated", "Quat, the label does not say which"),
    ("other", "Another"),
];

const APPLIED: &[(&str, &str)] =
    &[("immersed", "Immersed, or run through a line"), ("swabbed", "Swabbed on")];

const RINSES: &[(&str, &str)] =
    &[("silent", "Nothing"), ("asks", "Rinse"), ("forbids", "Do not rinse")];

pub fn routes() -> Router<App> {
    Router::new().route(HERE, get(show))
}

/// The fields, as they were typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
struct Typed {
    profile: String,
    chemistry: String,
    label_strength: String,
    label_contact: String,
    label_temperature: String,
    label_ph: String,
    label_hardness: String,
    label_rinse: String,
    components: String,
    signal_word: String,
    product: String,
    density: String,
    dose: String,
    water: String,
    applied: String,
    temperature: String,
    ph: String,
    hardness: String,
    strips: String,
    bucket: String,
    outlet: String,
    strips_expire: String,
    product_expires: String,
    dose_error: String,
    assay_error: String,
    water_error: String,
    contact: String,
    stood: String,
    did: String,
    hot_water: String,
    sent: String,
}

async fn show(
    State(app): State<App>,
    asked: Result<Query<Typed>, QueryRejection>,
) -> Result<Response, Wrong> {
    let Query(typed) = asked?;
    let estate = app.store().estate_at("").await?;
    if typed.sent.is_empty() {
        let profile = estate.group.jurisdiction.as_ref().map(ToString::to_string);
        let usual = Typed { profile: profile.unwrap_or_default(), ..typed };
        return Ok(shown(&usual, &estate, &[], &html! {}).into_response());
    }
    let zone = estate.group.time_zone.rules();
    let today = app.now().to_zoned_datetime(zone).date().to_string();
    let (status, wrong, answer) =
        match calculate_strength(&words(&typed, &estate, today), estate.group.units) {
            Ok(report) => (StatusCode::OK, Vec::new(), told(&report, !typed.hot_water.is_empty())),
            Err(wrong) => {
                let fault = Fault::new(wrong.field, wrong.to_string());
                (StatusCode::UNPROCESSABLE_ENTITY, vec![fault], html! {})
            }
        };
    Ok((status, shown(&typed, &estate, &wrong, &answer)).into_response())
}

fn words(typed: &Typed, estate: &Estate, today: String) -> StrengthWords {
    let some = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    StrengthWords {
        profile: estate.profile_words(&typed.profile).to_owned(),
        chemistry: some(&typed.chemistry),
        label_strength: some(&typed.label_strength),
        label_contact: some(&typed.label_contact),
        label_temperature: some(&typed.label_temperature),
        label_ph: some(&typed.label_ph),
        label_hardness: some(&typed.label_hardness),
        label_rinse: some(&typed.label_rinse),
        components: some(&typed.components),
        signal_word: some(&typed.signal_word),
        product: some(&typed.product),
        density: some(&typed.density),
        dose: some(&typed.dose),
        water: some(&typed.water),
        applied: some(&typed.applied),
        temperature: some(&typed.temperature),
        ph: some(&typed.ph),
        hardness: some(&typed.hardness),
        strips: some(&typed.strips),
        bucket: some(&typed.bucket),
        outlet: some(&typed.outlet),
        strips_expire: some(&typed.strips_expire),
        product_expires: some(&typed.product_expires),
        today: Some(today),
        dose_error: some(&typed.dose_error),
        assay_error: some(&typed.assay_error),
        water_error: some(&typed.water_error),
        contact: some(&typed.contact),
        stood: some(&typed.stood),
        did: some(&typed.did),
        hot_water: some(&typed.hot_water),
    }
}

fn shown(typed: &Typed, estate: &Estate, wrong: &[Fault], answer: &Markup) -> Markup {
    let field = |id: &str, label: &str, hint: &str, value: &str| {
        text(id, label, hint, value, "short", wrong)
    };
    let codes: Vec<(&str, &str)> = codes(estate).collect();
    // What is wrong, or was filled in, is not folded away.
    let label = [
        &typed.label_temperature,
        &typed.label_ph,
        &typed.label_hardness,
        &typed.components,
        &typed.signal_word,
        &typed.product_expires,
    ];
    let label = label.iter().any(|text| !text.is_empty());
    let doubt = [&typed.density, &typed.dose_error, &typed.assay_error, &typed.water_error];
    let doubt = doubt.iter().any(|text| !text.is_empty());
    let more = [&typed.did, &typed.hot_water].iter().any(|text| !text.is_empty());
    let body = html! {
        (among(HERE))
        (faults(wrong))
        h1 { "Calculate a strength" }
        p { "Whether a sanitiser solution is accepted. The product’s label and the local code must both hold, and the strip must agree. Leave blank what is not known: the answer then says what is missing. Nothing is kept." }
        (answer)
        form method="get" action=(HERE) novalidate {
            input type="hidden" name="sent" value="yes";
            fieldset {
                legend { "The rules" }
                (choice("profile", "Local code", &codes, &typed.profile, wrong))
            }
            fieldset {
                legend { "What the label says" }
                div class="row" {
                    (choice("chemistry", "What the active is", CHEMISTRIES, &typed.chemistry, wrong))
                    (choice("label-rinse", "Of a rinse afterwards", RINSES, &typed.label_rinse, wrong))
                    (field("label-strength", "Strength where food touches", "Such as 100 to 200 ppm, or 100 ppm", &typed.label_strength))
                    (field("label-contact", "Contact time", "Such as 60 s", &typed.label_contact))
                }
                details open[label] {
                    summary { "More on the label" }
                    (field("label-temperature", "Coldest solution (optional)", "Such as 24 °C", &typed.label_temperature))
                    (field("label-ph", "Highest pH (optional)", "Such as 8", &typed.label_ph))
                    (field("label-hardness", "Hardest water (optional)", "Such as 500 mg/L", &typed.label_hardness))
                    (text("components", "What a quat is made of (optional)", "Each as the code names it, with its share: NAME 60 %; NAME 40 %", &typed.components, "", wrong))
                    (field("signal-word", "Its own signal word (optional)", "As it stands there", &typed.signal_word))
                    (field("product-expires", "Last day of the product (optional)", "Such as 2027-03-31", &typed.product_expires))
                }
            }
            fieldset {
                legend { "What was mixed" }
                div class="row" {
                    (text("product", "How strong the product is", "Such as 1.7 g of 56 %, 0.95 g available, 56 % dry, 5.25 % hypochlorite, 5.4 % trade, or 30 mL in 15 L gives 200 ppm", &typed.product, "", wrong))
                    (field("dose", "Dose", "Such as 1 sachet, or 30 mL", &typed.dose))
                    (field("water", "Made up to", "Such as 10 L, or 2.5 gal (US)", &typed.water))
                    (choice("applied", "How it is put on", APPLIED, &typed.applied, wrong))
                    (field("temperature", "Temperature", "Such as 24 °C, or 75 °F", &typed.temperature))
                    (field("ph", "pH", "Such as 7.5", &typed.ph))
                    (field("hardness", "Hardness of the water", "Such as 250 mg/L, or 14 °dH", &typed.hardness))
                }
                details open[doubt] {
                    summary { "How well it was measured" }
                    (field("density", "Density of a liquid (optional)", "Such as 1.08 g/mL", &typed.density))
                    (field("dose-error", "The dose, 19 times in 20 (optional)", "Such as 5 %", &typed.dose_error))
                    (field("assay-error", "The product’s own strength, at most (optional)", "Such as 5 %", &typed.assay_error))
                    (field("water-error", "The water, 19 times in 20 (optional)", "Such as 10 %", &typed.water_error))
                }
            }
            fieldset {
                legend { "What the strips read" }
                div class="row" {
                    (text("strips", "What they are for, and the numbers on their card", "Such as chlorine 10 50 100 200; or iodine, quat-single, quat-multi", &typed.strips, "", wrong))
                    (field("bucket", "In the bucket", "Such as 100 ppm", &typed.bucket))
                    (field("outlet", "At the outlet", "Such as 100 ppm", &typed.outlet))
                    (field("strips-expire", "Last day of the strips", "Such as 2027-03-31", &typed.strips_expire))
                    (field("contact", "Contact since the outlet agreed", "Such as 60 s", &typed.contact))
                    (field("stood", "How long the bucket stood", "Such as 8 h", &typed.stood))
                }
            }
            details open[more] {
                summary { "What was done before and after, and hot water" }
                (text("did", "What was done, in its order (optional)", "Such as washed, rinsed, sanitised, drained, served; also washed with sanitiser, and handled", &typed.did, "", wrong))
                (field("hot-water", "Hot water instead of a solution (optional)", "Its temperature, such as 77 °C or 171 °F; its time goes into the contact above", &typed.hot_water))
            }
            p { button { "Calculate" } }
        }
    };
    page(&titled("Calculate a strength", wrong), Some(Place::Calculate), &body)
}

fn findings(all: &[StrengthFinding]) -> Markup {
    html! {
        ul {
            @for finding in all {
                li {
                    strong { (sentence(&finding.outcome.replace('-', " "))) } " "
                    (sentence(&finding.say))
                    @if let Some(act) = &finding.act { " " (sentence(act)) }
                    @if let (Some(clause), Some(known)) = (&finding.clause, &finding.known) {
                        " (" (clause) "; " (known) ")"
                    }
                }
            }
        }
    }
}

fn told(report: &StrengthReport, hot: bool) -> Markup {
    html! {
        section class="said" role="status" aria-labelledby="shows" {
            h2 id="shows" { @if hot { "This hot water is " } @else { "This solution is " } (report.verdict) }
            @if let Some(strength) = report.mg_per_l {
                p { "The mix makes " (significant(strength, 3)) " mg/L." }
            }
            @if let Some(act) = &report.act { p class="act" { strong { (sentence(act)) } } }
            h3 { "Why" }
            (findings(&report.findings))
            @for say in &report.vessels { p { (sentence(say)) } }
            @if let Some(aim) = &report.aim {
                h3 { "What to aim at" }
                p { (sentence(aim)) }
                ul { @for way in &report.mix { li { (sentence(way)) } } }
            }
            h3 { "Before, contact, and after" }
            p { (sentence(&report.before)) }
            (findings(&report.order))
            @if let Some(least) = report.least_contact.filter(|_| !hot) {
                p { "At least " (significant(least, 3)) " s, from when the strip at the outlet agrees with the bucket." }
            }
            (findings(&report.contact))
            @for say in [&report.outlet, &report.stood, &report.hypochlorous].into_iter().flatten() {
                p { (sentence(say)) }
            }
            p { (sentence(&report.after)) }
            @if !report.food.is_empty() {
                details {
                    summary { "What this code says of food" }
                    ul { @for limit in &report.food { li { (sentence(&limit.words)) " (" (limit.clause) "; " (limit.known) ")" } } }
                }
            }
            @if !report.notes.is_empty() {
                h3 { "What to know beside it" }
                ul { @for note in &report.notes { li { (sentence(note)) } } }
            }
            h3 { "Cautions" }
            ul {
                @for caution in &report.cautions {
                    li { strong { (caution.word) } " " (caution.what) " " (caution.avoid) }
                }
            }
            p class="hint" { "By " (report.profile) ". " (report.standing) }
        }
    }
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;

    use crate::testing::{empty, get};

    #[tokio::test]
    async fn a_mix_is_judged_and_without_a_label_it_is_not_covered() {
        let here = empty().await;
        let ask = async |more: &str| {
            let path = format!("/calculate/strength?sent=yes&profile=model-code&{more}");
            get(&here.app, &path).await
        };
        let (status, page) = ask("").await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains("This solution is not covered"), "{page}");
        let mix = "chemistry=isocyanurate&label-strength=100+to+200+ppm&label-contact=60+s\
            &product=0.9464+g+available&dose=1+sachet&temperature=75+%C2%B0F&ph=7\
            &strips=chlorine+10+50+100+200&bucket=100+ppm";
        let (_, page) = ask(&format!("{mix}&water=2+gal+(US)")).await;
        assert!(page.contains("This solution is accepted"), "{page}");
        let york = mix.replace("100+to+200", "50+to+200");
        let york = format!("{york}&water=2.5+gal+(imperial)&profile=new-york&applied=swabbed");
        let (_, page) = get(&here.app, &format!("/calculate/strength?sent=yes&{york}")).await;
        assert!(!page.contains("This solution is accepted"), "{page}");
        let did = format!("{mix}&water=2+gal+(US)&did=sanitised,+drained,+served");
        let (_, page) = ask(&did).await;
        assert!(page.contains("This solution is not accepted"), "{page}");
        assert!(page.contains("without being washed first"), "{page}");
        let (_, page) = ask("hot-water=171+%C2%B0F&contact=30+s").await;
        assert!(page.contains("This hot water is accepted"), "{page}");
        assert!(page.contains("scalds"), "{page}");
        let (status, page) = ask(&mix.replace("0.9464+g+available", "1.7+g+of+99+%25")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
        let (status, page) = ask(&format!("{mix}&water=0.5+mL")).await;
        assert!(
            status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("does not fit"),
            "{page}"
        );
        let short = format!("{mix}&water=2+gal+(US)&outlet=100+ppm&contact=6+s");
        let (_, page) = ask(&short).await;
        assert!(page.contains("This solution is not accepted"), "{page}");
        let (status, page) = ask(&format!("{mix}&water=2+gal")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(page.contains("id=\"water-fault\""), "{page}");
    }

    #[tokio::test]
    async fn every_profile_that_ships_can_be_chosen() {
        let here = empty().await;
        for (id, _) in crate::pages::calculate::PROFILES {
            let path = format!("/calculate/strength?sent=yes&profile={id}");
            assert_eq!(get(&here.app, &path).await.0, StatusCode::OK, "{id}");
        }
    }
}
