//! The card as one HTML document that a browser opens from a file and prints.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use ouncewise_procedure::family::Caution;
use ouncewise_procedure::procedure::Over;
use ouncewise_procedure::{Again, Lead, Numbered};

use super::{Card, qr, words};
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
    let language = card.print.language;
    let said = words::of(language);
    let title = card.procedure.title.of(language);
    // The words of the card itself are translated too, and nobody has signed them either.
    let unreviewed = html! { @if card.unreviewed { b class="un" { "[" (said.unreviewed) "] " } } };
    html! {
        (DOCTYPE)
        html lang=(said.lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                @match style_at {
                    Some(href) => link rel="stylesheet" href=(href);,
                    None => style { (PreEscaped(style(card.print.paper))) },
                }
            }
            body {
                main {
                    header {
                        div {
                            h1 { (title) }
                            p { (card.procedure.purpose.of(language)) }
                            p { (card.family.key) " · " (said.version) " " code { (card.short()) } @if card.unreviewed { " · " (said.lang) ": " (said.unreviewed) } }
                        }
                        @let code = format!("ouncewise procedure sha256:{}", card.print.version);
                        @if let Some(code) = qr::code(&code, said.version) { (code) }
                    }
                    section class="always" {
                        h2 { (said.always) }
                        p { (unreviewed) @for words in said.standing { (words) " " } }
                    }
                    section class="kit" {
                        h2 { (said.bring) }
                        p {
                            @for (nth, thing) in card.kit.iter().enumerate() {
                                @if nth > 0 { " · " }
                                "☐ " @if thing.count > 1 { (thing.count) " × " }
                                (thing.name.of(language))
                                @if thing.spare { " (" (said.if_needed) ")" }
                            }
                        }
                    }
                    @for stage in &card.procedure.stages {
                        @let steps: Vec<&Numbered<'_>> = card.steps.iter().filter(|s| s.stage == stage.id).collect();
                        @if !steps.is_empty() {
                            section {
                                h2 {
                                    (stage.title.of(language)) " "
                                    small { (over(stage.over, said)) }
                                }
                                ol {
                                    @for one in steps { (step(card, one, &unreviewed)) }
                                }
                            }
                        }
                    }
                    p class="model" { (said.must_not_skip) ": " (said.model) }
                }
            }
        }
    }
    .into_string()
}

fn over(over: Over, said: &words::Said) -> &'static str {
    match over {
        Over::Machine => said.machine,
        Over::EachLine => said.each_line,
        Over::AllLines => said.all_lines,
    }
}

fn step(card: &Card<'_>, one: &Numbered<'_>, unreviewed: &Markup) -> Markup {
    let language = card.print.language;
    let said = words::of(language);
    let must = card.must_not_skip.contains(&one.number);
    let cautions = one.step.cautions.iter().filter_map(|key| card.family.caution(key));
    html! {
        li class=[must.then_some("must")] value=(one.number) {
            @for own in cautions { (caution(own, language, unreviewed)) }
            p {
                b { (one.number) ". " }
                @if must { b class="mark" { "■ " (said.must_not_skip) } " " }
                (one.step.say.of(language))
                @if !one.step.look_for.is_empty() {
                    " " i { (said.look_for) ": " (one.step.look_for.of(language)) }
                }
                @for lead in &one.leads { " " span class="lead" { (leads(*lead, language)) } }
                @if let Some(again) = one.again { " " span class="lead" { (back(again, said)) } }
                @if one.step.stop { " " i { (said.may_stop) } }
            }
        }
    }
}

fn leads(lead: Lead<'_>, language: &str) -> String {
    let said = words::of(language);
    let to = lead.to.map_or_else(|| said.end.to_owned(), |to| format!("{} {to}", said.step));
    match lead.answer {
        Some(answer) => format!("[{} → {to}]", words::answer(answer, language)),
        None => format!("[→ {to}]"),
    }
}

fn back(again: Again, said: &words::Said) -> String {
    let to = again.then.map_or_else(|| said.end.to_owned(), |to| format!("{} {to}", said.step));
    format!("[{} {} ×; {} → {to}]", said.back_at_most, again.at_most, said.after_that)
}

fn caution(caution: &Caution, language: &str, unreviewed: &Markup) -> Markup {
    html! {
        p class="caution" {
            b { "⚠ " (words::signal(caution.signal, language)) ": " }
            (unreviewed)
            (caution.hazard.of(language)) " " (caution.consequence.of(language)) " "
            (caution.avoid.of(language))
        }
    }
}
