//! The card as one HTML document that a browser opens from a file and prints, and what it shares with the form of the sign-off.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::shown::{Shown, ShownCaution, ShownStep};
use super::{Print, Printed, qr, sign_off};
use crate::sheet::Paper;

/// The style that belongs to [`Print::page`].
#[must_use]
pub fn style(what: Printed, paper: Paper) -> String {
    let size = match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    let both = include_str!("style.css");
    let own = match what {
        Printed::Card => "",
        Printed::SignOff => include_str!("sign_off.css"),
    };
    format!("@page{{size:{size};margin:9mm 11mm}}\n{both}{own}")
}

/// A document, with its style inside or at an address.
pub(super) fn page(print: &Print<'_>, what: Printed, style_at: Option<&str>) -> String {
    let (title, main) = match what {
        Printed::Card => card(print),
        Printed::SignOff => sign_off::form(print),
    };
    html! {
        (DOCTYPE)
        html lang=(print.said().lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) ", " (print.family.key) }
                @match style_at {
                    Some(href) => link rel="stylesheet" href=(href);,
                    None => style { (PreEscaped(style(what, print.paper))) },
                }
            }
            body { main { (main) } }
        }
    }
    .into_string()
}

/// Family, version and food code, and whether somebody signed the language.
pub(super) fn about(print: &Print<'_>) -> Markup {
    let marked = print.unreviewed().map(|words| format!("{}: {words}", print.said().lang));
    let all: Vec<String> = print.about().into_iter().chain(marked).collect();
    html! { p { (all.join(" · ")) } }
}

/// What holds whatever the rest says. Its words are translated too, and nobody has signed them either.
pub(super) fn standing(print: &Print<'_>) -> Markup {
    html! { (mark(print)) (print.standing()) }
}

/// A caution at its step.
pub(super) fn caution(print: &Print<'_>, own: &ShownCaution) -> Markup {
    html! { b { "⚠ " (own.signal) ": " } (mark(print)) (own.says) }
}

fn mark(print: &Print<'_>) -> Markup {
    html! { @if let Some(words) = print.unreviewed() { b { "[" (words) "] " } } }
}

/// The card: its title, and what stands on it.
fn card(print: &Print<'_>) -> (String, Markup) {
    let shown = Shown::of(print);
    let main = html! {
        header {
            div {
                h1 { (shown.title) }
                p { (shown.purpose) }
                (about(print))
            }
            @if !shown.code.is_empty() { (qr::drawn(&shown.code, shown.code_says)) }
        }
        section class="always" {
            h2 { (shown.always) }
            p { (standing(print)) }
        }
        section class="kit" {
            h2 { (shown.bring) }
            p { (shown.kit.join(" · ")) }
        }
        @for stage in &shown.stages {
            section {
                h2 { (stage.title) " " small { (stage.over) } }
                ol { @for one in &stage.steps { (step(print, &shown, one)) } }
            }
        }
        @for note in &shown.notes { p class="model" { (note) } }
    };
    (shown.title.to_owned(), main)
}

fn step(print: &Print<'_>, shown: &Shown<'_>, one: &ShownStep<'_>) -> Markup {
    html! {
        li class=[one.must.then_some("must")] value=(one.number) {
            @for own in &one.cautions { p class="caution" { (caution(print, own)) } }
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
