//! Words and signs that several pages share. State is a word, a shape and a colour, never one of them alone.

use maud::{Markup, html};
use ouncewise_chart::{Dots, Reading, Theme, dots};
use ouncewise_estate::Address;
use ouncewise_estimate::{Basis, Shown, Standing, Told};
use ouncewise_measure::print::{self, Units};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};

/// The page of a line.
pub fn line_page(address: &Address) -> String {
    format!("/sites/{}/{}/{}", part(&address.site), part(&address.machine), part(&address.line))
}

/// The page of a machine, or one below it.
pub fn machine_page(site: &str, machine: &str) -> String {
    format!("/sites/{}/{}", part(site), part(machine))
}

/// The page of a site.
pub fn site_page(site: &str) -> String {
    format!("/sites/{}", part(site))
}

fn part(key: &str) -> String {
    utf8_percent_encode(key, NON_ALPHANUMERIC).to_string().replace("%2D", "-")
}

/// A verdict: its sign and its word.
pub fn verdict(told: Option<Told>) -> Markup {
    let (class, sign, words) = match told {
        Some(Told::OnTarget) => ("on", "✓", "on target"),
        Some(Told::OffTarget) => ("off", "✗", "off target"),
        Some(Told::Undecided) => ("open", "?", "undecided"),
        None => ("none", "–", "no verdict"),
    };
    html! { strong class={ "verdict " (class) } { span class="sign" aria-hidden="true" { (sign) } (words) } }
}

/// How likely it is that a line is on target, in words.
pub fn likely(probability: Option<f64>, risk: f64) -> Option<String> {
    probability.map(|p| format!("{} likely to be on target", print::probability(p, risk)))
}

/// How far off a visit found a line: `+12 %`.
pub fn deviation(shown: Option<&Shown>) -> Option<String> {
    shown.and_then(Shown::deviation).map(print::signed_percent)
}

/// What a line is called where its number stands beside it anyway.
pub fn beside_number(standing: &Standing) -> &str {
    let number = format!(" (line {})", standing.address.line);
    standing.line.strip_suffix(&number).unwrap_or(&standing.line)
}

/// The portion with its doubt: `(29.6 ± 0.8) mL, 19 times in 20`.
pub fn portion(shown: &Shown, units: Units) -> Option<String> {
    let portion = shown.portion?;
    Some(print::with_doubt(portion, shown.standard_uncertainty, &shown.unit, units))
}

/// A line's picture in a row of a list.
pub fn picture(standing: &Standing, units: Units) -> Markup {
    let latest = standing.latest.as_ref();
    let Some(shown) = latest.and_then(|latest| latest.shown.as_ref()) else { return html! {} };
    let (scale, unit) = units.in_place_of(&shown.unit);
    // A mark alone says no more here than the verdict beside it.
    let reading = match (standing.basis, &standing.history) {
        (Basis::History, Some(history)) => Some(Reading::Portion {
            value: scale * history.stands.portion,
            u: scale * history.stands.standard_uncertainty,
        }),
        _ => shown.portion.map(|value| Reading::Portion {
            value: scale * value,
            u: scale * shown.standard_uncertainty,
        }),
    };
    let dots_of = Dots {
        unit,
        target: scale * shown.target,
        tolerance: shown.tolerance,
        reading,
        verdict: standing.verdict.map(chart_verdict),
    };
    dots(&dots_of, Theme::Css)
}

/// A verdict as a chart draws it.
pub fn chart_verdict(told: Told) -> ouncewise_chart::Verdict {
    match told {
        Told::OnTarget => ouncewise_chart::Verdict::OnTarget,
        Told::OffTarget => ouncewise_chart::Verdict::OffTarget,
        Told::Undecided => ouncewise_chart::Verdict::Undecided,
    }
}

/// A time as a record spells it, by the clock it was written by: `2 Mar 2026, 06:41`.
pub fn when(at: &str) -> String {
    match local(at) {
        Some(local) => local.strftime("%-d %b %Y, %H:%M").to_string(),
        None => at.to_owned(),
    }
}

/// Its day alone: `2 Mar 2026`.
pub fn day(at: &str) -> String {
    match local(at) {
        Some(local) => local.strftime("%-d %b %Y").to_string(),
        None => at.to_owned(),
    }
}

/// The clock's own date and time of a record's time, whatever its offset.
pub fn local(at: &str) -> Option<jiff::civil::DateTime> {
    at.get(..19)?.parse().ok()
}
