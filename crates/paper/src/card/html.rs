//! The card as one HTML document that a browser opens from a file and prints.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::shown::{Shown, ShownStep};
use super::{Card, qr};
use crate::sheet::Paper;

const STYLE: &str = include_str!("style.css");

/// The style for a paper.
pub(super) fn style(paper: Paper) -> String {
    let size = match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    format!("@page{{size:{size};margin:9mm 11mm}}\n{STYLE}")
}

/// The card as a document, with its style inside or at an address.
pub(super) fn render(card: &Card<'_>, style_at: Option<&str>) -> String {
    let shown = Shown::of(card);
    // The words of the card itself are translated too, and nobody has signed them either.
    let unreviewed =
        html! { @if let Some(words) = shown.unreviewed { b class="un" { "[" (words) "] " } } };
    html! {
        (DOCTYPE)
        html lang=(shown.lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (shown.title) ", " (card.family.key) }
                @match style_at {
                    Some(href) => link rel="stylesheet" href=(href);,
                    None => style { (PreEscaped(style(shown.paper))) },
                }
            }
            body {
                main {
                    header {
                        div {
                            h1 { (shown.title) }
                            p { (shown.purpose) }
                            p { (shown.about.join(" · ")) @if let Some(words) = shown.unreviewed { " · " (shown.lang) ": " (words) } }
                        }
                        @if !shown.code.is_empty() { (qr::drawn(&shown.code, shown.code_says)) }
                    }
                    section class="always" {
                        h2 { (shown.always) }
                        p { (unreviewed) (shown.standing) }
                    }
                    section class="kit" {
                        h2 { (shown.bring) }
                        p { (shown.kit.join(" · ")) }
                    }
                    @for stage in &shown.stages {
                        section {
                            h2 { (stage.title) " " small { (stage.over) } }
                            ol { @for one in &stage.steps { (step(&shown, one, &unreviewed)) } }
                        }
                    }
                    @for note in &shown.notes { p class="model" { (note) } }
                }
            }
        }
    }
    .into_string()
}

fn step(shown: &Shown<'_>, one: &ShownStep<'_>, unreviewed: &Markup) -> Markup {
    html! {
        li class=[one.must.then_some("must")] value=(one.number) {
            @for own in &one.cautions {
                p class="caution" { b { "⚠ " (own.signal) ": " } (unreviewed) (own.says) }
            }
            p {
                b { (one.number) ". " }
                @if one.must { b class="mark" { "■ " (shown.must_not_skip) } " " }
                (one.say)
                @if let Some(words) = &one.look_for { " " i { (words) } }
                @for lead in &one.leads { " " span class="lead" { (lead) } }
                @if let Some(words) = one.stop { " " i { (words) } }
            }
        }
    }
}
