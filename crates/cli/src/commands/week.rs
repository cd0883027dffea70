//! `ouncewise week`: which lines need a decision, worst first, why, and the one act.

use std::fmt::Write;

use anstyle::{AnsiColor, Style};
use jiff::Timestamp;
use ouncewise_estate::Group;
use ouncewise_estimate::{Basis, Standing, Told};
use ouncewise_measure::print;
use ouncewise_report::{Counts, Exit, Failure, MoneyReport, WeekReport, day_and_age, many};
use ouncewise_store::Store;

use super::opened;
use crate::args::Week;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Week, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        show(&store, args.site.as_deref(), args.top, Timestamp::now(), output).await?;
        store.close().await?;
        Ok(Exit::Done)
    })
}

/// Shows the week of a store, as of now.
pub async fn show(
    store: &Store,
    site: Option<&str>,
    top: usize,
    now: Timestamp,
    output: &Output,
) -> Result<(), Failure> {
    let top = u32::try_from(top).unwrap_or(u32::MAX);
    opened::follow(store, output).await?;
    let (mut report, week, group) =
        ouncewise_report::week(store, site, top, output.asked()).await?;
    ouncewise_report::week_money(store, (&mut report, &week), now, output.asked()).await?;
    output.result(&report, || {
        let standings: Vec<&Standing> = week.rows.iter().map(|row| &row.standing).collect();
        words(&report, &standings, &group, now)
    });
    Ok(())
}

fn words(report: &WeekReport, standings: &[&Standing], group: &Group, now: Timestamp) -> String {
    let bold = Style::new().bold();
    let (risk, units) = (group.risk.fraction(), group.units);
    let mut text = String::new();
    // Writing to a string cannot fail.
    let mut line = |words: &str| {
        let _ = writeln!(text, "{words}");
    };
    let Counts { on_target, off_target, undecided, without_verdict } = report.counts;
    let all = report.counts.all();
    let whose = report.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let called = if report.group.is_empty() { "No group yet" } else { &report.group };
    line(&format!("{bold}{called}{whose}: this week{bold:#}"));
    if all == 0 {
        line(
            "No line is in use yet. Describe the group (`ouncewise new DIR`), or bring in a spreadsheet (`ouncewise load sheet FILE`).",
        );
        return text;
    }
    line(&format!(
        "{} in use: {on_target} on target, {off_target} off target, {undecided} undecided, {without_verdict} without a verdict.",
        many(all, "line")
    ));
    if report.behind > 0 {
        line(&format!(
            "Still being brought up to date: {}. Run this again in a moment.",
            many(report.behind, "machine")
        ));
    }
    line("");
    for (number, standing) in standings.iter().enumerate() {
        line(&format!("{bold}{:>2}. {}{bold:#}  {}", number + 1, standing.address, name(standing)));
        let caught = standing.latest.as_ref().map_or_else(String::new, |latest| {
            format!(", caught {}", day_and_age(&latest.at, now))
        });
        line(&format!("    {}{caught}", verdict(standing, risk)));
        line(&format!("    why: {}", standing.reason.words(units)));
        line(&format!("    do:  {}", standing.advice.words(units)));
        let money = report.lines.get(number).and_then(|line| line.money.as_ref());
        if let Some(costs) = money.and_then(MoneyReport::words) {
            line(&format!("    {costs}"));
        } else if let Some(cost) = &standing.over_per_100 {
            line(&format!("    costs {cost} of product for each 100 portions"));
        }
    }
    if !report.cannot_decide.is_empty() {
        line("");
        line(&format!("{bold}Measures that cannot decide, however often one catches{bold:#}"));
        for cannot in &report.cannot_decide {
            line(&format!(
                "  {} at {}: {}; {}",
                cannot.measure,
                cannot.site,
                many(cannot.lines, "line"),
                cannot.advice
            ));
        }
    }
    if let Some(worst) = standings.first() {
        line("");
        line(&format!("More of one line: ouncewise line {}", worst.address));
    }
    text
}

fn name(standing: &Standing) -> String {
    format!("{} on {}, {}", standing.line, standing.machine, standing.site)
}

/// The verdict in words, with the sign that goes with it: never by colour alone.
fn verdict(standing: &Standing, risk: f64) -> String {
    let Some(told) = standing.verdict else { return "– no verdict".to_owned() };
    let sure = standing.probability_on_target.map_or_else(String::new, |p| {
        format!(" ({} sure that it is on target)", print::probability(p, risk))
    });
    let deviation = standing
        .deviation()
        .map_or_else(String::new, |d| format!(", {}", print::signed_percent(d)));
    let basis = match standing.basis {
        Basis::Catch => "by its latest catch",
        Basis::History => "by its history",
    };
    let (sign, colour) = match told {
        Told::OnTarget => ("✓", AnsiColor::Green),
        Told::OffTarget => ("✗", AnsiColor::Red),
        Told::Undecided => ("?", AnsiColor::Yellow),
    };
    let style = colour.on_default();
    format!("{style}{sign} {}{style:#}{deviation}{sure}, {basis}", told.words())
}
