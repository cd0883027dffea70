//! `ouncewise calc flush`: how a line is flushed, and the least time that physics allows.

use std::fmt::Write;

use ouncewise_measure::Millilitres;
use ouncewise_measure::print::{self, Units, significant};
use ouncewise_report::{Exit, Failure, FlushReport, FlushWords, PlanReport, calculate_flush};

use crate::args::CalcFlush;
use crate::output::Output;

/// Runs it.
pub fn run(args: &CalcFlush, output: &Output) -> Result<Exit, Failure> {
    let words = FlushWords {
        bore: args.bore.clone(),
        length: args.length.clone(),
        fittings: args.fittings.clone(),
        volume: args.volume.clone(),
        flow: args.flow.clone(),
        contents: Some(args.contents.clone()),
        profile: args.profile.as_deref().map(super::super::profiles::named).transpose()?,
        push: args.push.clone(),
        set_at: args.set_at.clone(),
        held_back: args.held_back.clone(),
        temperature: args.temperature.clone(),
        want: args.want.clone(),
        holds_pressure: Some(args.holds_pressure.clone()),
        top_opens: Some(args.top_opens.clone()),
        pause: args.pause.clone(),
        drain: args.drain.clone(),
        prime: args.prime.clone(),
        prime_into: Some(args.prime_into.clone()),
        prime_weaker: Some(args.prime_weaker.clone()),
    };
    let units = output.units(Units::default());
    let shown = calculate_flush(&words, units).map_err(|e| e.failure("--"))?;
    output.result(&shown.report, || text(&shown.report, units));
    Ok(if shown.known { Exit::Done } else { Exit::No })
}

fn text(report: &FlushReport, units: Units) -> String {
    let mut text = String::new();
    let mut row = |name: &str, words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{name:<10} {words}");
    };
    row("wanted", &report.wanted.words);
    if let Some(crew) = &report.crew {
        row("do", crew);
    }
    row("least", &report.least.words);
    if let Some(tube) = &report.tube {
        row("tube", &tube.words);
    }
    for cold in &report.cold {
        row("cold", &cold.words);
    }
    for missing in &report.missing {
        row("measure", &format!("{}: {}", missing.what, missing.measure));
    }
    if let Some(volume) = report.volume_ml {
        let passes =
            report.seconds_per_volume.map(|s| format!("; one passes in {} s", significant(s, 3)));
        let holds = print::volume(Millilitres(volume), units);
        row("volume", &format!("{holds}{}", passes.unwrap_or_default()));
    }
    if let Some(manner) = &report.manner {
        row("flow", &manner.words);
    }
    if let (Some((slowest, fastest)), Some(regime)) = (report.reynolds, report.regime_number) {
        let reynolds = if fastest - slowest < 0.005 * fastest {
            significant(fastest, 3)
        } else {
            format!("{} to {}", significant(slowest, 3), significant(fastest, 3))
        };
        row("", &format!("Reynolds number {reynolds}, regime number {regime:.1e}"));
    }
    if let Some(first) = report.first_arrival_s {
        row("", &format!("the first water comes out after {} s", significant(first, 2)));
    }
    if let Some(swirls) = report.swirls_from_ml_per_s {
        row(
            "",
            &format!(
                "from {} on it would be turbulent, and take little more than one volume",
                print::amount(swirls, 3, "mL/s", units)
            ),
        );
    }
    for (i, plan) in report.plans.iter().enumerate() {
        row(if i == 0 { "ways" } else { "" }, &plan_words(plan, units));
    }
    for (i, why) in report.not_offered.iter().enumerate() {
        row(if i == 0 { "not" } else { "" }, why);
    }
    if let Some(prime) = &report.prime {
        row("fill", &prime.words);
    }
    let mut minded: Vec<&str> = report.notes.iter().map(String::as_str).collect();
    for note in report.plans.iter().flat_map(|plan| &plan.assumptions) {
        if !minded.contains(&note.as_str()) {
            minded.push(note);
        }
    }
    for (i, note) in minded.iter().enumerate() {
        row(if i == 0 { "mind" } else { "" }, note);
    }
    for (i, basis) in report.basis.iter().enumerate() {
        row(if i == 0 { "known" } else { "" }, &format!("{}: {}", basis.what, basis.known));
    }
    for caution in &report.cautions {
        row(&caution.word, &format!("{} {}", caution.what, caution.avoid));
    }
    row("", &report.standing);
    text
}

fn plan_words(plan: &PlanReport, units: Units) -> String {
    format!(
        "{} ({} volumes, {}; {} % left)",
        plan.words,
        significant(plan.volumes, 2),
        print::volume(Millilitres(plan.solution_ml), units),
        significant(100.0 * plan.residue, 2)
    )
}
