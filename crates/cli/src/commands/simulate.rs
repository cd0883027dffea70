//! `ouncewise simulate`: virtual estates whose truth is known.

mod ablated;
mod forecast;

use std::fmt::Write;
use std::num::NonZero;
use std::thread::available_parallelism;

use anstyle::Style;
use clap::ValueEnum;
use ouncewise_report::{CompareReport, Exit, Failure, Figure, PracticeReport};
use ouncewise_simulate::proof::{
    Entry, Estimated, Learnt, Nature, Plan, Row, Spread, common, compare,
};

use crate::args::{Compare, Estates, Simulate, SimulateWhat, World};
use crate::output::Output;

/// The estate that families are learnt from: none of those that are scored.
const LEARNT_FROM: u64 = 1_000_003;

/// Runs it.
pub fn run(args: &Simulate, output: &Output) -> Result<Exit, Failure> {
    match &args.what {
        SimulateWhat::Compare(args) => side_by_side(args, output),
        SimulateWhat::Forecasts(args) => forecast::run(&asked(&args.estates), output),
        SimulateWhat::Ablate(args) => ablated::run(&asked(&args.estates), output),
    }
}

/// What is lived through: worlds, and how much of each.
fn asked(args: &Estates) -> (Vec<Nature>, Plan) {
    let mut worlds = args.world.clone();
    worlds.sort_unstable();
    worlds.dedup();
    if worlds.is_empty() {
        worlds = World::value_variants().to_vec();
    }
    let plan = Plan {
        seeds: (1..=args.seeds).collect(),
        sites: args.sites as usize,
        lines: args.lines as usize,
        weeks: args.weeks,
        threads: available_parallelism().map_or(1, NonZero::get),
    };
    (worlds.into_iter().map(World::nature).collect(), plan)
}

fn side_by_side(args: &Compare, output: &Output) -> Result<Exit, Failure> {
    let (natures, plan) = asked(&args.estates);
    let practices = common().len() + 1;
    let estates = natures.len() * (practices * plan.seeds.len() + 1);
    let bar = output.progress(Some(estates as u64), "living through estates");
    let mut rows = Vec::new();
    for nature in natures {
        let size = (plan.sites, plan.lines);
        let learnt = Learnt::from(&nature, LEARNT_FROM, size, plan.weeks, plan.threads);
        bar.inc(1);
        let mut practices: Vec<Entry> = common().into();
        let ours = Entry::new("estimated", move |facts| {
            Box::new(Estimated::new(facts, learnt.settings(facts)))
        });
        // The oracle comes last.
        practices.insert(practices.len() - 1, ours);
        let practices: Vec<&Entry> = practices.iter().collect();
        rows.extend(compare(&[nature], &practices, &plan, &|| bar.inc(1)).rows);
    }
    bar.finish_and_clear();
    let report = CompareReport {
        practices: rows.iter().map(practice).collect(),
        seeds: plan.seeds,
        sites: plan.sites,
        lines: plan.lines,
        weeks: plan.weeks,
    };
    output.result(&report, || words(&report, output));
    Ok(Exit::Done)
}

fn figure(spread: Spread, scale: f64) -> Figure {
    Figure {
        mean: scale * spread.mean,
        standard_error: Some(scale * spread.error).filter(|error| error.is_finite()),
    }
}

fn practice(row: &Row) -> PracticeReport {
    PracticeReport {
        world: row.world.to_owned(),
        practice: row.practice.to_owned(),
        off_target_percent: figure(row.off_share, 100.0),
        error_percent: figure(row.error, 100.0),
        needless_adjustments: figure(row.needless, 1.0),
        crew_minutes: figure(row.minutes, 1.0),
        poured_ml: figure(row.poured, 1.0),
        parts: figure(row.parts, 1.0),
        calls: figure(row.calls, 1.0),
        money: figure(row.money, 1.0),
    }
}

const HEAD: [&str; 9] =
    ["practice", "off, %", "error, %", "needless", "minutes", "mL", "parts", "calls", "money"];

const LEGEND: &str = "\
off       line-weeks that served outside tolerance
error     how far off lines served, mean
needless  adjustments of a line within half its tolerance, a line and year
minutes   of the crew, a machine and week
mL        product poured away, a machine and week
parts     wear parts, a line and year
calls     for a technician, a machine and year
money     all of it, a machine and week, at prices that are assumed
";

fn words(report: &CompareReport, output: &Output) -> String {
    let bold = Style::new().bold();
    let mut text = String::new();
    for world in report.practices.chunk_by(|a, b| a.world == b.world) {
        let mut table = output.table(&HEAD);
        for row in world {
            let mean = |figure: Figure, decimals: usize| format!("{:.decimals$}", figure.mean);
            table.add_row([
                row.practice.clone(),
                with_error(row.off_target_percent),
                with_error(row.error_percent),
                mean(row.needless_adjustments, 1),
                mean(row.crew_minutes, 1),
                mean(row.poured_ml, 0),
                mean(row.parts, 2),
                mean(row.calls, 2),
                with_error(row.money),
            ]);
        }
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{bold}World: {}{bold:#}\n{table}\n", world[0].world);
    }
    let seeds = ouncewise_report::many(report.seeds.len(), "seed");
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "{LEGEND}\nMeans over {seeds} (± standard error) of {} of {}, {} each.\n\
         All practices met the same machines. `estimated` goes by where each line\n\
         stands, with families of twenty machines or more fitted to records of another such estate;\n\
         the oracle knows the truth, and nobody else can.",
        ouncewise_report::many(report.sites, "site"),
        ouncewise_report::many(report.lines, "line"),
        ouncewise_report::many(report.weeks as usize, "week"),
    );
    text
}

fn with_error(figure: Figure) -> String {
    match figure.standard_error {
        Some(error) => format!("{:.2} ± {error:.2}", figure.mean),
        None => format!("{:.2}", figure.mean),
    }
}
