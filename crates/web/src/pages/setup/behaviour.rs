//! How families behave: what holds now, what the group's own records tell, and adopting that.

use axum::extract::rejection::FormRejection;
use axum::extract::{Form, State};
use axum::http::StatusCode;
use maud::{Markup, html};
use ouncewise_report::{LearnReport, LearntFamily, many};
use serde::Deserialize;

use crate::App;
use crate::layout::{self, Place, trail};
use crate::learning::learnt;
use crate::wrong::Wrong;

#[derive(Debug, Deserialize)]
pub struct Sent {
    family: String,
    adopt: Option<String>,
}

/// The families, with what holds now.
pub async fn all(State(app): State<App>) -> Result<Markup, Wrong> {
    let (estate, behaviours) = (app.store().estate().await?, app.store().behaviours().await?);
    let machines = |family: &str| {
        let sites = estate.sites.values();
        sites.flat_map(|s| s.machines.values()).filter(|m| &*m.family == family).count()
    };
    let body = html! {
        (trail(&[("/setup", "Set up")]))
        h1 { "How families behave" }
        (introduction())
        @if estate.families.is_empty() { p { "There is no family yet." } }
        ul {
            @for (key, family) in &estate.families {
                li {
                    strong { (family.name) } ", " (many(machines(key), "machine")) ". In force: " (behaviours.of(key).1) "."
                    (ask(key, false))
                }
            }
        }
    };
    Ok(layout::page("How families behave", Some(Place::SetUp), &body))
}

fn introduction() -> Markup {
    html! {
        p {
            "How far lines wander, how fast they wear and how often something sudden comes is assumed, until twenty machines of a family have readings. "
            "Then your own records tell it, and you can adopt what they tell: a record in the group’s ledger says so, and every estimate names it. "
            a href="/docs/estimate" { "How it thinks, and where it can be wrong" }
        }
    }
}

/// The button that looks, or the one that adopts.
fn ask(family: &str, adopt: bool) -> Markup {
    html! {
        form method="post" action="/setup/behaviour" {
            input type="hidden" name="family" value=(family);
            @if adopt {
                input type="hidden" name="adopt" value="yes";
                button { "Adopt what was learnt" }
            } @else {
                button class="plain" { "See what the records tell of " (family) }
            }
        }
    }
}

/// What the records tell of one family; adopted, where that was asked for.
pub async fn sent(
    State(app): State<App>,
    fields: Result<Form<Sent>, FormRejection>,
) -> Result<Markup, Wrong> {
    let Form(Sent { family, adopt }) = fields?;
    let report = learnt(&app, &family, adopt.is_some()).await.ok_or_else(|| Wrong {
        status: StatusCode::INTERNAL_SERVER_ERROR,
        what: "a defect of this program stopped the fit".to_owned(),
        hint: Some("nothing was recorded; what is in force stays".to_owned()),
    })??;
    let title = format!("How {family} behaves");
    let body = html! {
        (trail(&[("/setup", "Set up"), ("/setup/behaviour", "How families behave")]))
        h1 { (title) }
        @for learnt in &report.families { (about(learnt, &report)) }
        p { a href="/setup/behaviour" { "All families" } }
    };
    Ok(layout::page(&title, Some(Place::SetUp), &body))
}

fn about(learnt: &LearntFamily, report: &LearnReport) -> Markup {
    html! {
        p {
            (many(learnt.machines, "machine")) " with " (many(learnt.readings, "reading")) ". "
            @if report.adopted { "Until now: " } @else { "In force: " } (learnt.in_force) "."
        }
        @match learnt.gain {
            None => { p class="warn" { "Fewer than " (learnt.needed) " machines tell too little: what is in force stays." } }
            Some(gain) => {
                @if report.adopted {
                    p role="status" { strong { "Adopted." } " A record of the group’s ledger says so. The estimates follow within a moment." }
                }
                p { "What was learnt explains the readings better by " (format!("{gain:.1}")) " (difference of log-likelihoods; under 2 is little)." }
                div class="scroll" tabindex="0" role="region" aria-label="What was in force and what was learnt" {
                    table {
                        caption { "All but chances and shares are fractions of the flow" }
                        thead { tr { @for heading in ["What it means", "Now", "Learnt", "Name in records"] { th scope="col" { (heading) } } } }
                        tbody {
                            @for value in &learnt.values {
                                tr {
                                    th scope="row" { (value.meaning) }
                                    td { (value.now) }
                                    td { (value.fitted.as_deref().unwrap_or("–")) }
                                    td { span class="key" { (value.name) } }
                                }
                            }
                        }
                    }
                }
                @if !report.adopted { (ask(&learnt.family, true)) }
            }
        }
    }
}
