//! `ouncewise simulate ablate`: what each term of the estimate is worth.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{AblateReport, AblatedReport, Exit, Failure, Figure, many};
use ouncewise_simulate::proof::{Ablated, Nature, Plan, Term, ablate};

use super::{LEARNT_FROM, figure, with_error};
use crate::output::Output;

/// Runs it.
pub(super) fn run((natures, plan): &(Vec<Nature>, Plan), output: &Output) -> Result<Exit, Failure> {
    let estates = natures.len() * (Term::ALL.len() + 1) * (plan.seeds.len() + 1);
    let bar = output.progress(Some(estates as u64), "living through estates");
    let rows = natures
        .iter()
        .flat_map(|nature| ablate(nature, LEARNT_FROM, plan, &|| bar.inc(1)))
        .map(|ablated| row(&ablated))
        .collect();
    bar.finish_and_clear();
    let report = AblateReport {
        rows,
        seeds: plan.seeds.clone(),
        sites: plan.sites,
        lines: plan.lines,
        weeks: plan.weeks,
    };
    output.result(&report, || words(&report, output));
    Ok(Exit::Done)
}

fn row(ablated: &Ablated) -> AblatedReport {
    AblatedReport {
        world: ablated.row.world.to_owned(),
        without: ablated.without.map(|term| term.words().to_owned()),
        off_target_percent: figure(ablated.row.off_share, 100.0),
        more_off_target_percent: figure(ablated.more_off, 100.0),
        crew_minutes: figure(ablated.row.minutes, 1.0),
        more_crew_minutes: figure(ablated.more_minutes, 1.0),
    }
}

fn words(report: &AblateReport, output: &Output) -> String {
    let bold = Style::new().bold();
    let mut text = String::new();
    for world in report.rows.chunk_by(|a, b| a.world == b.world) {
        let mut table = output.table(&["without", "off, %", "more", "minutes", "more"]);
        for row in world {
            let more = |figure: Figure| match row.without {
                Some(_) => with_error(figure),
                None => String::new(),
            };
            table.add_row([
                row.without.clone().unwrap_or_else(|| "nothing".to_owned()),
                with_error(row.off_target_percent),
                more(row.more_off_target_percent),
                with_error(row.crew_minutes),
                more(row.more_crew_minutes),
            ]);
        }
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{bold}World: {}{bold:#}\n{table}\n", world[0].world);
    }
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "off      line-weeks that served outside tolerance\n\
         minutes  of the crew, a machine and week\n\
         more     than with nothing taken out, seed by seed\n\n\
         Means over {} (± standard error) of {} of {}, {} each. Each was fitted anew\n\
         without its term to records of another such estate, where it has twenty machines of a family.",
        many(report.seeds.len(), "seed"),
        many(report.sites, "site"),
        many(report.lines, "line"),
        many(report.weeks as usize, "week"),
    );
    text
}
