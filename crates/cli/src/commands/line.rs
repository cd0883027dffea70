//! `ouncewise line`: one line's story and where it stands.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_estate::Address;
use ouncewise_estimate::Says;
use ouncewise_estimate::standing::VisitShown;
use ouncewise_ledger::LineState;
use ouncewise_measure::print::{self, Units};
use ouncewise_report::{
    ChartsReport, Exit, Failure, LineReport, LineStanding, Told, line_allergens, line_flush,
    line_money, many,
};

use super::opened;
use crate::args::Line;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Line, output: &Output) -> Result<Exit, Failure> {
    let address: Address = args
        .address
        .parse()
        .map_err(|e: ouncewise_estate::Misread| Failure::usage(e.message).hint(e.hint))?;
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        opened::follow(&store, output).await?;
        let (estate, history, all) = ouncewise_report::line(&store, &address).await?;
        let standing = history.standing.as_ref().expect("a line that is there stands somewhere");
        let now = jiff::Timestamp::now();
        let (site, machine) = (&*address.site, &*address.machine);
        let stands = ouncewise_report::stands(&store, &estate, site, machine, now).await?;
        let stands = stands.into_iter().find(|line| line.address == address);
        let charts = match args.charts {
            true => Some(ouncewise_report::charts_of(&store, &address).await?.1),
            false => None,
        };
        store.close().await?;
        let units = output.units(estate.group.units);
        let earlier = all.len().saturating_sub(args.last);
        let shown = &all[earlier..];
        let report = LineReport {
            standing: LineStanding {
                money: line_money(&estate, standing, &history.events, (now, units)),
                ..LineStanding::new(standing, units)
            },
            stands: stands.and_then(|line| line.report),
            flush: line_flush(&estate, &address, units).map(|flush| flush.report),
            allergens: line_allergens(&estate, &address, &history.events),
            charts,
            story: shown.iter().map(|told| told.event.clone()).collect(),
            earlier,
        };
        let catch = standing.catch_says();
        output.result(&report, || {
            words(&report, &catch, shown, (estate.group.risk.fraction(), units))
        });
        Ok(Exit::Done)
    })
}

fn words(report: &LineReport, catch: &Says, story: &[Told], (risk, units): (f64, Units)) -> String {
    let bold = Style::new().bold();
    let standing = &report.standing;
    let mut text = String::new();
    let mut line = |words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{words}");
    };
    line(&format!(
        "{bold}{}{bold:#}  {} on {}, {}",
        standing.address, standing.line, standing.machine, standing.site
    ));
    line(&format!("do:  {}", standing.act.advice));
    line(&format!("why: {}", standing.reason));
    line("");
    let verdict = catch.verdict.map_or("no verdict", |told| told.words());
    let sure = catch.probability_on_target.map_or_else(String::new, |p| {
        format!(" ({} sure that it is on target)", print::probability(p, risk))
    });
    line(&format!("this catch shows: {verdict}{sure}"));
    let reason = catch.reason.words(units);
    if reason != standing.reason {
        line(&format!("  {reason}"));
    }
    if let Some(stands) = &report.stands {
        line(&format!("the line stands: {}", stands.verdict_words(risk, units)));
        line(&stands.ahead_words(risk));
        if let Some(track) = &stands.track {
            line(&track.words());
        }
        if let Some(words) = stands.wear_words() {
            line(&words);
        }
        for guard in &stands.guards {
            line(&format!("mind: {guard}"));
        }
    }
    if let Some(history) = &standing.history {
        line(&format!("how its family behaves: {}", history.parameters));
    }
    if let Some(flush) = &report.flush {
        line(&format!("flush: {}", flush.least.words));
        if !flush.assumptions.is_empty() {
            line(&format!("  assumed: {}", flush.assumptions.join("; ")));
        }
    }
    for allergen in &report.allergens {
        line(&format!("allergens: {}", allergen.words));
    }
    if let Some(money) = &standing.money {
        for item in &money.a_week {
            line(&format!("{}: {}", item.name().to_lowercase(), item.words()));
            line(&format!("  {}", item.reason));
        }
        if !money.not_stated.is_empty() {
            line(&format!("for what else it costs, state: {}", money.not_stated.join("; ")));
        }
    }
    line("");
    if let Some(charts) = &report.charts {
        charted(&mut line, charts);
        return text;
    }
    if report.earlier > 0 {
        line(&format!("… {} (--last N shows more)", many(report.earlier, "earlier event")));
    }
    for told in story {
        let day = told.event.at.get(..16).unwrap_or(&told.event.at).replace('T', " ");
        match &told.visit {
            None => line(&format!("{day}  {}", told.event.what)),
            Some(visit) => line(&format!("{day}  {}", visit_words(visit, units))),
        }
    }
    if story.is_empty() {
        line("Nothing was recorded yet. Print its sheet, catch it, and load the catches.");
    }
    text
}

/// The control charts: what signals, and what that means.
fn charted(line: &mut impl FnMut(&str), charts: &ChartsReport) {
    let bold = Style::new().bold();
    line(&format!(
        "{bold}Control charts{bold:#}  {}",
        many(charts.readings, "reading") + " as found"
    ));
    line(&charts.basis);
    for said in &charts.charts {
        line("");
        line(&format!("{bold}{}{bold:#}", said.what));
        line(&format!("  {}", said.finding));
        let signals = charts.points.iter().filter(|point| point.signals.contains(&said.chart));
        let signals: Vec<_> = signals.collect();
        for point in &signals[signals.len().saturating_sub(LISTED)..] {
            let day = point.at.get(..10).unwrap_or(&point.at);
            let value = match said.chart.as_str() {
                "single" => format!("{} off the target", print::signed_percent(point.off)),
                "range" => format!(
                    "{} from the one before",
                    print::percent(point.range.unwrap_or_default())
                ),
                "average" => format!(
                    "{} on average, limits ±{}",
                    print::signed_percent(point.average),
                    print::percent(point.average_limit)
                ),
                _ => format!("{:.1} above, {:.1} below", point.above, point.below),
            };
            line(&format!("  {day}  {value}"));
        }
    }
    line("");
    for words in &charts.meaning {
        line(words);
    }
}

/// Signals of a chart that are listed, the latest.
const LISTED: usize = 5;

fn visit_words(visit: &VisitShown, units: Units) -> String {
    let state = match visit.state {
        LineState::AsFound => "as found",
        LineState::AsLeft => "as left ",
    };
    let read = visit.read.join("; ");
    let shows = match (&visit.shown, &visit.trouble) {
        (Some(shown), _) => {
            let portion = shown.portion.map_or_else(String::new, |p| {
                format!(
                    "{}; ",
                    print::with_doubt(p, shown.standard_uncertainty, &shown.unit, units)
                )
            });
            let off = shown
                .deviation()
                .map_or_else(String::new, |d| format!(" {}", print::signed_percent(d)));
            let mind: String = shown.caveats.iter().map(|caveat| format!("; {caveat}")).collect();
            format!("{portion}{}{off}{mind}", shown.verdict.words())
        }
        (None, trouble) => trouble.clone().unwrap_or_default(),
    };
    format!("{state}  {read} ({}) → {shows}", visit.measure)
}
