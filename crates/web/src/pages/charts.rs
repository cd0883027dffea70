//! A line's control charts, for whoever asks: pictures, what a signal means, and the same numbers as a table.

use axum::Router;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_chart::{ControlChart, ControlPoint, Theme, control_chart, responsive};
use ouncewise_estate::Address;
use ouncewise_measure::print;
use ouncewise_report::{ChartLimits, ChartPoint, ChartSaid, ChartsReport, many};

use crate::App;
use crate::layout::{Place, page, trail};
use crate::words;
use crate::wrong::{Wrong, sentence};

pub fn routes() -> Router<App> {
    Router::new().route("/sites/{site}/{machine}/{line}/charts", get(show))
}

/// The page of a line's control charts.
pub fn page_of(address: &Address) -> String {
    format!("{}/charts", words::line_page(address))
}

async fn show(
    State(app): State<App>,
    at: Result<Path<(String, String, String)>, PathRejection>,
) -> Result<Markup, Wrong> {
    let Path((site, machine, line)) = at?;
    let address = Address::new(&site, &machine, &line)?;
    let (name, report) = ouncewise_report::charts_of(app.store(), &address).await?;
    let title = format!("Control charts · {name}, {site}/{machine}");
    let body = html! {
        (trail(&[("/sites", "Sites"), (&words::site_page(&site), &site), (&words::machine_page(&site, &machine), &machine), (&words::line_page(&address), &name)]))
        h1 { "Control charts of " (name) }
        p {
            "Four ways to look back at what was read as found, before anything was touched: "
            (many(report.readings, "reading")) "."
        }
        p { (sentence(&report.basis)) }
        ul { @for words in &report.meaning { li { (words) } } }
        @if let Some(limits) = report.limits {
            @for said in &report.charts { (figure(&report, limits, said)) }
            h2 { "The numbers" }
            (numbers(&report))
        }
        p { a href=(words::line_page(&address)) { "Back to the line and what to do about it" } }
    };
    Ok(page(&title, Some(Place::Sites), &body))
}

fn figure(report: &ChartsReport, limits: ChartLimits, said: &ChartSaid) -> Markup {
    let picture = picture(report, limits, said);
    html! {
        figure {
            (responsive(|size| control_chart(&picture, Theme::Css, size)))
            figcaption class="muted" { (sentence(&said.what)) }
        }
    }
}

/// A chart's picture: in percent of the target, the sums in standard deviations of a reading.
fn picture(report: &ChartsReport, limits: ChartLimits, said: &ChartSaid) -> ControlChart {
    let out = |point: &ChartPoint| point.signals.contains(&said.chart);
    let curve = |of: &dyn Fn(&ChartPoint) -> Option<Drawn>| -> Vec<ControlPoint> {
        let drawn = report.points.iter().filter_map(|point| {
            let (value, limits) = of(point)?;
            let at = words::local(&point.at)?;
            Some(ControlPoint { at, value, limits, out: out(point), anew: point.anew })
        });
        drawn.collect()
    };
    let percent = |fraction: f64| 100.0 * fraction;
    let target = Some((0.0, "target".to_owned()));
    let (what, middle, curves) = match said.chart.as_str() {
        "single" => {
            let mean =
                Some((percent(limits.mean), "its mean since it was last touched".to_owned()));
            (
                "single readings, in % off the target",
                mean,
                vec![curve(&|point| {
                    let held = (Some(percent(point.low)), Some(percent(point.high)));
                    Some((percent(point.off), held))
                })],
            )
        }
        "range" => (
            "how far each reading is from the one before, in % of the target",
            None,
            vec![curve(&|point| {
                Some((percent(point.range?), (None, Some(percent(limits.range)))))
            })],
        ),
        "average" => (
            "weighted average of the readings, in % off the target",
            target,
            vec![curve(&|point| {
                let limit = percent(point.average_limit);
                Some((percent(point.average), (Some(-limit), Some(limit))))
            })],
        ),
        _ => {
            let past = |sum: f64| sum > limits.sum;
            let mut above = curve(&|point| Some((point.above, (None, Some(limits.sum)))));
            let mut below = curve(&|point| Some((-point.below, (Some(-limits.sum), None))));
            above.iter_mut().for_each(|point| point.out = past(point.value));
            below.iter_mut().for_each(|point| point.out = past(-point.value));
            (
                "sums of what is above the target (up) and below it (down), in standard deviations of a reading",
                target,
                vec![above, below],
            )
        }
    };
    let name = said.what.split(':').next().unwrap_or_default();
    let finding = format!("{name}: {}", said.finding.replacen("No signal", "no signal", 1));
    ControlChart { finding, what: what.to_owned(), middle, curves }
}

/// A value and the limits that it is held to.
type Drawn = (f64, (Option<f64>, Option<f64>));

/// The same as a table, newest first.
fn numbers(report: &ChartsReport) -> Markup {
    let beyond = |point: &ChartPoint| match point.signals.is_empty() {
        true => "–".to_owned(),
        false => point.signals.join(", "),
    };
    html! {
        div class="scroll" tabindex="0" role="region" aria-label="Every reading on all charts" {
            table {
                caption { "Newest first; averages are in percent off the target, sums in standard deviations of a reading" }
                thead { tr {
                    @for heading in ["Caught", "Off the target", "From the one before", "Weighted average", "Its limits", "Sum above", "Sum below", "Signals"] {
                        th scope="col" { (heading) }
                    }
                } }
                tbody {
                    @for point in report.points.iter().rev() {
                        tr {
                            td { (words::day(&point.at)) @if point.anew { " (adjusted or given a part before)" } }
                            td { (print::signed_percent(point.off)) }
                            td { (point.range.map_or_else(|| "–".to_owned(), print::percent)) }
                            td { (print::signed_percent(point.average)) }
                            td { "±" (print::percent(point.average_limit)) }
                            td { (format!("{:.1}", point.above)) }
                            td { (format!("{:.1}", point.below)) }
                            td { (beyond(point)) }
                        }
                    }
                }
            }
        }
    }
}
