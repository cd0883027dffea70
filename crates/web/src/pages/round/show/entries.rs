//! The entries of the form, in the order of the work.

use maud::{Markup, html};
use ouncewise_hygiene::flush::time;
use ouncewise_hygiene::label::Hazard;
use ouncewise_hygiene::profile::RecordKind as Kind;
use ouncewise_ledger::Holds;

use super::super::here::Here;
use super::fields::Form;
use crate::layout::{beside, described};

/// All of them.
pub fn all(form: &Form<'_>) -> Markup {
    html! {
        (bucket(form))
        (outlet(form))
        (contact_end(form))
        (emptying(form))
        (parts(form))
        (product(form))
        (closing(form))
    }
}

/// When it was, who did it, and on which lines.
pub fn round(form: &Form<'_>) -> Markup {
    html! {
        fieldset {
            legend { "The round" }
            div class="row" {
                (form.text("day", "Day", "Such as 2026-03-02", "short"))
                (form.text("opened", "Began at", "Such as 06:40", "short"))
                (form.text("by", "Who did it", "A name or initials", ""))
            }
            fieldset class="field" aria-describedby=[described(form.wrong, "how-paper", false)] {
                legend { "How it comes in" }
                (beside(form.wrong, "how-paper"))
                @for (value, words) in [("paper", "Copied from paper"), ("machine", "Keyed in at the machine, as it happens")] {
                    label class="choice" for={ "how-" (value) } {
                        input type="radio" id={ "how-" (value) } name="how" value=(value) checked[form.typed.of("how") == value];
                        (words)
                    }
                }
            }
            @if !form.here.lines.is_empty() {
                fieldset class="field" {
                    legend { "Lines that were sanitised" }
                    @for (key, name) in &form.here.lines {
                        (form.tick(&format!("line-{key}"), &format!("{key}: {name}")))
                    }
                }
            }
        }
    }
}

fn bucket(form: &Form<'_>) -> Markup {
    let body = html! {
        (form.cautions(&[Hazard::Chemical, Hazard::Floor]))
        (form.box_of("sanitiser", Holds::Sanitiser, "Sanitiser from"))
        div class="row" {
            (form.text("dose", "Put in", "Such as 1 sachet or 15 mL", "short"))
            (form.text("water", "Into water", "Measured, such as 10 L", "short"))
            (form.text("temperature", "Its temperature", "Such as 25 °C or 77 °F", "short"))
        }
        (form.may(Kind::SolutionPh, "Its pH", &["ph"], &form.text("ph", "pH", "Such as 7.5", "short")))
        (form.may(Kind::WaterHardness, "Hardness of the water", &["hardness"], &form.text("hardness", "Hardness", "Such as 120 mg/L", "short")))
        (form.box_of("strips", Holds::Strips, "Strips from"))
        (form.text("strip-bucket", "Strip in the bucket", "The class of its card that it matched, such as 100", "short"))
    };
    let kinds = [Kind::SolutionMixed, Kind::SolutionTemperature, Kind::StripBucket];
    form.entry("1. Bucket", &kinds, &["dose", "water", "temperature", "strip-bucket"], &body)
}

fn outlet(form: &Form<'_>) -> Markup {
    let body = html! {
        p class="hint" { "The contact time begins when the strip at the outlet agrees with the bucket, and not when the pump starts." }
        div class="row" {
            (form.text("strip-outlet", "Strip at the outlet", "The class that it matched, such as 100", "short"))
            (form.text("outlet-time", "Contact time began at", "Such as 06:52 or 06:52:30", "short"))
        }
    };
    let kinds = [Kind::StripOutlet, Kind::ContactStart];
    form.entry("2. Outlet", &kinds, &["strip-outlet", "outlet-time"], &body)
}

fn contact_end(form: &Form<'_>) -> Markup {
    let body = form.text(
        "contact-end",
        "Contact time: how long, or when it ended",
        "Such as 2 min or 90 s by a timer, or 06:54",
        "short",
    );
    form.entry("3. End of the contact time", &[Kind::ContactEnd], &["contact-end"], &body)
}

/// The least time of a flush before the sanitiser, line by line where they differ.
fn least(here: &Here) -> Vec<String> {
    let mut by_time: Vec<(String, Vec<&str>)> = Vec::new();
    let mut unknown: Vec<&str> = Vec::new();
    for (line, _) in &here.lines {
        let Some(least) = here.least_flush.get(line) else {
            unknown.push(line);
            continue;
        };
        let time = time(least.at_best);
        match by_time.iter_mut().find(|(known, _)| *known == time) {
            Some((_, lines)) => lines.push(line),
            None => by_time.push((time, vec![line])),
        }
    }
    let of = |lines: &[&str]| match lines {
        lines if lines.len() == here.lines.len() => String::new(),
        [line] => format!(" Line {line}."),
        lines => format!(" Lines {}.", lines.join(", ")),
    };
    let mut all: Vec<String> = by_time
        .iter()
        .map(|(time, lines)| {
            format!("Before the sanitiser running takes {time}, at best.{}", of(lines))
        })
        .collect();
    if !unknown.is_empty() {
        all.push(format!(
            "No least time known: nobody stated bore, length and flow.{}",
            of(&unknown)
        ));
    }
    all
}

fn emptying(form: &Form<'_>) -> Markup {
    let drained = [
        ("", "Not recorded"),
        ("open", "Drained, with the top open to the air"),
        ("shut", "Drained, with the top shut"),
    ];
    let drained: Vec<(String, String)> =
        drained.iter().map(|(v, w)| ((*v).to_owned(), (*w).to_owned())).collect();
    let flushed = html! {
        @for words in least(form.here) { p class="hint" { (words) } }
        div class="row" {
            (form.text("flushed-before", "Flushed before the sanitiser", "Such as 4 L or 90 s", "short"))
            (form.text("flushed-after", "Flushed after it", "Such as 4 L or 90 s", "short"))
        }
    };
    let purged =
        form.text("purged", "Strip at the outlet after purging", "The class, such as 0", "short");
    let body = html! {
        (form.cautions(&[Hazard::Pressure, Hazard::Food]))
        (form.choose("drained", "Drained", "A narrow line stays full unless air comes in at the top", &drained))
        (form.tick("discarded", "The first volume of product was thrown away"))
        (form.text("discarded-amount", "How much of it (optional)", "Such as 100 mL", "short"))
        (form.may(Kind::Flushed, "Flushing", &["flushed-before", "flushed-after"], &flushed))
        (form.may(Kind::Purged, "Purging", &["purged"], &purged))
    };
    let kinds = [Kind::Drained, Kind::Discarded, Kind::Purged, Kind::Flushed];
    form.entry("4. Emptying", &kinds, &["drained", "discarded"], &body)
}

fn parts(form: &Form<'_>) -> Markup {
    let ids: Vec<String> = form.here.parts.iter().map(|(key, _)| format!("part-{key}")).collect();
    let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
    let bad = html! {
        @for (key, name) in &form.here.parts {
            (form.text(&format!("part-{key}"), name, "What was found, as worn or damaged", ""))
        }
    };
    let lubricant = html! {
        div class="row" {
            (form.text("lubricant", "Lubricant", "Its name, as on the tube", ""))
            (form.text("lubricant-statement", "What its label says of food (optional)", "Such as food grade", ""))
        }
    };
    let body = html! {
        (form.cautions(&[Hazard::Electricity, Hazard::MovingParts, Hazard::Machine]))
        (form.tick("parts-good", "All parts were looked at; all are good but those named below"))
        @if !ids.is_empty() { (form.folded("A part is not good", &ids, &bad)) }
        @if !form.here.lubricate.is_empty() {
            ul { @for (part, words) in &form.here.lubricate { li { (part) ": " (words) } } }
        }
        (form.may(Kind::Lubricated, "Lubricant", &["lubricant", "lubricant-statement"], &lubricant))
    };
    let kinds = [Kind::PartsInspected, Kind::Lubricated];
    form.entry("5. Parts", &kinds, &["parts-good", "lubricant"], &body)
}

fn product(form: &Form<'_>) -> Markup {
    let body = html! {
        div class="row" {
            (form.text("product-temperature", "Its temperature", "Such as 4 °C or 39 °F", "short"))
            (form.text("product-lot", "Lot of its container", "As printed on it", "short"))
            (form.text("product-opened", "Opened on", "The day, such as 2026-03-01", "short"))
        }
    };
    let kinds = [Kind::ProductTemperature, Kind::ProductOpened];
    let fields = ["product-temperature", "product-lot", "product-opened"];
    form.entry("6. Product", &kinds, &fields, &body)
}

fn closing(form: &Form<'_>) -> Markup {
    let verified =
        form.text("verified", "Who looked it over", "A second person: not the one who did it", "");
    let wrong = html! {
        (form.text("happened", "What went wrong", "Such as: the strip stayed pale at the outlet", ""))
        (form.text("mended", "What was done about it", "Such as: flushed and mixed again", ""))
        (form.tick("released", "The line went back into service"))
    };
    html! {
        fieldset {
            legend { "Closing" }
            (form.text("closed", "Ended at (optional)", "Such as 07:30; else the last time above", "short"))
            (form.may(Kind::Verified, "A second person’s look", &["verified"], &verified))
            (form.folded("Something went wrong", &["happened", "mended"], &wrong))
            (form.folded("Why something is missing", &["reason"], &form.text("reason", "Why", "Such as: a coach came in", "")))
        }
    }
}
