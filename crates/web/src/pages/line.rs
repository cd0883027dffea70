//! One line: what its latest catch shows, its chart, its numbers, and where the doubt comes from.

#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::routing::get;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use maud::{Markup, html};
use ouncewise_chart::{self as chart, LineChart, Theme, line_chart, responsive};
use ouncewise_estate::{Address, Estate, Group};
use ouncewise_estimate::ActKind;
use ouncewise_estimate::ahead::{Ahead, Tails, ahead};
use ouncewise_measure::print::{self, Figure, Units};
use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::showing::{decide, show as judge};
use ouncewise_measure::{Grams, Millilitres, Unit};
use ouncewise_report::{
    AllergenReport, CatchReport, LeastOfLine, LineStands, MoneyReport, StandsReport, Told,
    allergen_caution, line_allergens, line_flush, line_money, many,
};

use super::history::{history, latest};
use crate::App;
use crate::layout::{Place, page, trail};
use crate::words;
use crate::wrong::{Wrong, sentence};

pub fn routes() -> Router<App> {
    Router::new().route("/sites/{site}/{machine}/{line}", get(show))
}

async fn show(
    State(app): State<App>,
    at: Result<Path<(String, String, String)>, PathRejection>,
) -> Result<Markup, Wrong> {
    let Path((site, machine, line)) = at?;
    let address = Address::new(&site, &machine, &line)?;
    let (estate, known, story) = ouncewise_report::line(app.store(), &address).await?;
    let Some(standing) = &known.standing else {
        return Err(Wrong::missing(
            format!("there is no line `{address}`"),
            "this week lists lines",
        ));
    };
    let history = history(&estate, &address, &standing.line, &story);
    let zone = estate
        .sites
        .get(site.as_str())
        .and_then(|site| site.time_zone.as_ref())
        .unwrap_or(&estate.group.time_zone);
    let now = app.now();
    let (risk, units) = (estate.group.risk.fraction(), estate.group.units);
    let stands = ouncewise_report::stands(app.store(), &estate, &site, &machine, now).await?;
    let stands = stands.into_iter().find(|line| line.address == address);
    let scale = unit_of(&history).of_base(1.0);
    let picture = LineChart {
        finding: finding(&history, units),
        until: Some(now.to_zoned_datetime(zone.rules()).datetime()),
        history,
        stood: stands.as_ref().map_or_else(Vec::new, |line| stood(line, now, &zone.rules(), scale)),
    };
    let machine_at = words::machine_page(&site, &machine);
    let fault_at = super::fault::page_of(&address);
    let calls_for_it = matches!(standing.act, ActKind::FindFault | ActKind::Call | ActKind::Clean);
    let catch = standing.catch_says();
    let shown = standing.latest.as_ref().and_then(|latest| latest.shown.as_ref());
    let title = format!("{} · {}, {}", standing.line, standing.machine, standing.site);
    let body = html! {
        (trail(&[("/sites", "Sites"), (&words::site_page(&site), &standing.site), (&machine_at, &standing.machine)]))
        h1 {
            (words::beside_number(standing))
            // A key that only spells the name again tells nothing.
            @if !standing.line.eq_ignore_ascii_case(&address.line) { " " span class="muted" { "line " (address.line) } }
        }
        @if !standing.in_use { p class="warn" { "This line is not in use." } }
        section aria-labelledby="do" {
            h2 id="do" { "What to do" }
            p class="act" { strong { (sentence(&standing.advice.words(units))) } }
            p { (sentence(&standing.reason.words(units))) }
            @if let Some(cost) = &standing.over_per_100 {
                p class="muted" { "Costs " (cost) " of product for each 100 portions." }
            }
        }
        section aria-labelledby="shows" {
            h2 id="shows" { "This catch shows" }
            p {
                (words::verdict(catch.verdict))
                @if let Some(off) = words::deviation(shown) { ", " (off) }
                @if let Some(likely) = words::likely(catch.probability_on_target, risk) { " (" (likely) ")" }
                @if let Some(latest) = &standing.latest {
                    span class="muted" { ", caught " (words::day(&latest.at)) }
                }
            }
            @if catch.reason != standing.reason { p { (sentence(&catch.reason.words(units))) } }
            @if let Some(touched) = &standing.touched {
                p class="muted" { "Since then: " (touched.words) ", " (words::day(&touched.at)) "." }
            }
        }
        @if let Some(report) = stands.as_ref().and_then(|line| line.report.as_ref()) {
            (by_history(report, standing.history.as_ref().map(|history| history.parameters.as_str()), &estate.group))
        }
        (allergens(&line_allergens(&estate, &address, &known.events)))
        ul class="acts" {
            @if calls_for_it { li { a class="button" href=(fault_at) { "Find the fault" } } }
            li { a class="button" href={ (machine_at) "/record" } { "Record catches" } }
            li { a class="button plain" href={ (machine_at) "/sheet" } { "Print this machine’s sheet" } }
            @if !calls_for_it { li { a class="button plain" href=(fault_at) { "Find a fault" } } }
            li { a class="button plain" href=(super::charts::page_of(&address)) { "Control charts" } }
            li { a class="button plain" href={ "/setup/sites/" (site) } { "Change its recipe or measure" } }
        }
        figure {
            (responsive(|size| line_chart(&picture, Theme::Css, size)))
            figcaption class="muted" {
                "The bars are two standard uncertainties each way: the true portion is within them 19 times in 20. A bar that reaches well into the band is no reason to adjust."
            }
        }
        (costs(line_money(&estate, standing, &known.events, (now, estate.group.units))))
        (doubt(&estate, &address, &story))
        (flushing(&estate, &address))
        h2 { "The numbers" }
        (numbers(&picture.history))
        (corrected(&story))
    };
    Ok(page(&title, Some(Place::Sites), &body))
}

/// The other statement: where the line stands by its history, and what to expect.
fn by_history(stands: &StandsReport, parameters: Option<&str>, group: &Group) -> Markup {
    let verdict = stands.verdict_words(group.risk.fraction(), group.units);
    html! {
        section aria-labelledby="stands" {
            h2 id="stands" { "The line stands" }
            p { (sentence(&verdict)) }
            p { (stands.ahead_words(group.risk.fraction())) }
            @if let Some(words) = stands.wear_words() { p class="muted" { (words) } }
            @if let Some(track) = &stands.track { p class="muted" { (track.words()) } }
            @for guard in &stands.guards { p class="muted" { (sentence(guard)) } }
            details {
                summary { "Why?" }
                p {
                    "This rests on " (many(stands.readings as usize, "reading")) " of this line, on those of the machine’s other lines, and on what was done to them. "
                    "A measure’s own error and a person’s are in all their readings and are not averaged away. "
                    "What all lines of the machine share by now: " (print::signed_percent(stands.shared)) ". "
                    "Its family’s change by the week: " (print::signed_percent(stands.drift_per_week)) ". "
                    @if let Some(parameters) = parameters { "How its family behaves: " (parameters) "." }
                }
                p { "It never stands in for a catch: only a catch releases a line that was touched." }
                p { a href="/docs/estimate" { "How it thinks, and where it can be wrong" } }
            }
        }
    }
}

/// What it costs a week, each number by itself, and what to state for the others.
fn costs(money: Option<MoneyReport>) -> Markup {
    let Some(money) = money.filter(|m| !m.a_week.is_empty() || !m.not_stated.is_empty()) else {
        return html! {};
    };
    html! {
        section aria-labelledby="costs" {
            h2 id="costs" { "What it costs a week" }
            @if !money.a_week.is_empty() {
                dl class="facts" {
                    @for item in &money.a_week {
                        dt { (item.name()) }
                        dd { strong { (item.words()) } br; span class="muted" { (sentence(&item.reason)) } }
                    }
                }
                p class="muted" { "Each by itself: they are known to different degrees, so they are not added up." }
            }
            @if !money.not_stated.is_empty() {
                p class="muted" { "Not stated, and so left out: " (money.not_stated.join("; ")) ". " a href="/setup" { "State it" } "." }
            }
        }
    }
}

/// How far ahead the fan of the chart reaches, in weeks.
const FAN: u32 = 8;

/// Where the line stood after each visit, and will stand if nobody touches it, for the chart: in a unit of which `scale` are a base unit.
fn stood(line: &LineStands, now: Timestamp, zone: &TimeZone, scale: f64) -> Vec<chart::Stood> {
    let week = 7.0 * 86_400_000.0;
    let at = |weeks: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "milliseconds since 1970")]
        let at = Timestamp::from_millisecond((weeks * week) as i64).ok()?;
        Some(at.to_zoned_datetime(zone.clone()).datetime())
    };
    let band = |weeks: f64, ahead: Ahead, to_come: bool| {
        // 19 times in 20.
        let portion = |share: f64| scale * ahead.quantile(share).exp();
        Some(chart::Stood {
            at: at(weeks)?,
            low: portion(0.025),
            middle: portion(0.5),
            high: portion(0.975),
            ahead: to_come,
        })
    };
    let past = line.followed.iter().filter_map(|step| {
        let now = Ahead { calm: step.level, shocked: step.level, chance: 0.0 };
        band(step.at, now, false)
    });
    let today = now.as_millisecond() as f64 / week;
    let last = line.followed.last().copied();
    let fan = last.into_iter().flat_map(|last| {
        let gone = (today - last.at).max(0.0);
        (0..=FAN).filter_map(move |weeks| {
            let weeks = f64::from(weeks);
            let then = ahead(&line.behaviour, last.level, gone + weeks, &Tails::default());
            band(last.at + gone + weeks, then, true)
        })
    });
    past.chain(fan).collect()
}

/// What the chart shows, as a sentence.
fn finding(history: &chart::History, units: Units) -> String {
    let Some((at, portion)) = latest(history) else {
        return "Not yet caught with a number".to_owned();
    };
    let Some(recipe) = history.recipes.last() else {
        return "No recipe to hold it against".to_owned();
    };
    let off = portion / recipe.target - 1.0;
    let said = match print::percent(off.abs()) {
        none if none.starts_with("0 ") => "at".to_owned(),
        some => format!("{some} {}", if off < 0.0 { "under" } else { "over" }),
    };
    let unit = unit_of(history);
    let figure = |drawn: f64| match unit.dimension() {
        Dimension::Mass => Figure::mass(Grams(drawn / unit.of_base(1.0))),
        _ => Figure::volume(Millilitres(drawn / unit.of_base(1.0))),
    };
    format!(
        "{} on {}: {said} the {} asked",
        figure(portion).words(units),
        at.strftime("%-d %b %Y"),
        figure(recipe.target).fine(4).words(units),
    )
}

/// The unit that a line's portions are drawn in.
fn unit_of(history: &chart::History) -> Unit {
    history.unit.parse().unwrap_or(Unit::Millilitre)
}

/// The budget of the latest catch, largest doubt first, and what it would take to decide.
fn doubt(estate: &Estate, address: &Address, story: &[Told]) -> Markup {
    let Some(visit) = story.iter().rev().find_map(Told::caught) else { return html! {} };
    let report = estate.setup(address, Some(&visit.measure)).ok().and_then(|setup| {
        let catches = visit.plain();
        let showing = judge(&setup, &catches).ok()?;
        let decide = decide(&setup, &catches).ok().flatten();
        Some(CatchReport::new(&setup, &showing, decide.as_ref(), estate.group.units))
    });
    let Some(report) = report else { return html! {} };
    html! {
        h2 { "Where the doubt of the last catch comes from" }
        p { (words::day(&visit.at)) ", measure " span class="key" { (visit.measure) } ": " (visit.read.join("; ")) "." }
        (budget(&report))
    }
}

/// How long it must be flushed at least, and what that rests on.
fn flushing(estate: &Estate, address: &Address) -> Markup {
    let Some(LeastOfLine { report, words, .. }) = line_flush(estate, address, estate.group.units)
    else {
        return html! {};
    };
    let set_up = format!(
        "/setup/sites/{}/machines/{}/lines/{}",
        address.site, address.machine, address.line
    );
    // For whoever flushes a sanitiser there.
    let profile = estate.jurisdiction(&address.site).map(ToString::to_string);
    let phrases = [
        ("bore", &words.bore),
        ("length", &words.length),
        ("fittings", &words.fittings),
        ("flow", &words.flow),
        ("contents", &words.contents),
        ("profile", &profile),
    ];
    html! {
        h2 { "The least flush" }
        p { (sentence(&report.least.words)) }
        @if report.least.known {
            details {
                summary { "What this rests on" }
                ul { @for words in &report.assumptions { li { (sentence(words)) } } }
                ul { @for fact in &report.understood { li { (fact.what) ": " (fact.words) } } }
            }
            form method="get" action="/calculate/flush" {
                @for (name, phrase) in phrases {
                    @if let Some(phrase) = phrase { input type="hidden" name=(name) value=(phrase); }
                }
                @for (name, answer) in [("holds-pressure", "unknown"), ("top-opens", "unknown"), ("prime-into", "water"), ("sent", "yes")] {
                    input type="hidden" name=(name) value=(answer);
                }
                button class="plain" { "See every way to flush it" }
            }
        } @else {
            p { "It follows from bore, length and flow: " a href=(set_up) { "state them" } " for this line, or for its family." }
        }
    }
}

/// What flushing cannot show of its allergens, until the parts are renewed.
fn allergens(all: &[AllergenReport]) -> Markup {
    let open = all.iter().any(|one| !one.shown_clean);
    html! {
        @if !all.is_empty() {
            section class=[open.then_some("warn")] aria-labelledby="allergens" {
                h2 id="allergens" { "Allergens" }
                ul {
                    @for one in all {
                        li {
                            @if let Some(at) = &one.at { "Changed " (words::day(at)) ". " }
                            (sentence(&one.words))
                        }
                    }
                }
                @if open {
                    p { (allergen_caution()) }
                    p { "A new part counts once it is on record as replaced: " code { "ouncewise load parts" } ", by its name or " code { "tubes" } "." }
                }
            }
        }
    }
}

/// A budget, largest part first, with what it would take to decide.
pub fn budget(report: &CatchReport) -> Markup {
    html! {
        @if !report.budget.is_empty() {
            ol class="budget" {
                @for part in &report.budget {
                    @let share = format!("{:.0} %", 100.0 * part.share);
                    li {
                        meter min="0" max="1" value=(format!("{:.3}", part.share)) aria-label={ "share of " (part.source) } { (share) }
                        " " strong { (share) } " " (part.source)
                        @if part.persistent { " " span class="muted" { "(the same in every catch with this measure: it does not average away)" } }
                    }
                }
            }
        }
        @for caveat in &report.caveats { p class="muted" { (sentence(caveat)) } }
        @if let Some(ways) = &report.to_decide {
            h3 { "What it would take to decide" }
            ul { @for words in &ways.words { li { (sentence(words)) } } }
        }
    }
}

/// The table that says what the chart shows.
pub fn numbers(history: &chart::History) -> Markup {
    let mut rows = chart::table(history);
    rows.reverse();
    html! {
        @if rows.is_empty() { p { "Nothing was recorded yet. Print the machine’s sheet, catch the line, and key in what was read." } }
        @else {
            div class="scroll" tabindex="0" role="region" aria-label="Everything that was recorded about this line" {
                table {
                    caption { "Newest first" }
                    thead { tr { @for words in chart::Row::HEADINGS { th scope="col" { (words) } } } }
                    tbody {
                        @for row in &rows { tr { @for cell in row.cells() { td { (cell) } } } }
                    }
                }
            }
        }
    }
}

/// Records that no longer count as they were made.
fn corrected(story: &[Told]) -> Markup {
    let all: Vec<&Told> = story.iter().filter(|told| told.happening.is_none()).collect();
    html! {
        @if !all.is_empty() {
            h2 { "Corrected or withdrawn" }
            ul { @for told in all { li { (words::when(&told.event.at)) ": " (told.event.what) } } }
        }
    }
}
