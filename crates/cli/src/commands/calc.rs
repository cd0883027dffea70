//! `ouncewise calc`: verdicts without a ledger.

mod flush;

use std::fmt::Write;

use ouncewise_measure::conformity::Limits;
use ouncewise_measure::print::{self, Units};
use ouncewise_measure::showing::Capability;
use ouncewise_measure::uncertainty::straight_line;
use ouncewise_measure::{Amount, Catch, Draw, Setup, Showing};
use ouncewise_report::{
    CatchReport, CatchWords, Exit, Failure, MeasureReport, OffsetReport, SetupWords, Value, Window,
    calculate_catch, calculate_measure, read_catch,
};

use crate::args::{Calc, CalcCatch, CalcMeasure, CalcOffset, CalcWhat, SetupArgs};
use crate::output::Output;

/// Runs it.
pub fn run(args: &Calc, output: &Output) -> Result<Exit, Failure> {
    match &args.what {
        CalcWhat::Catch(args) => catch(args, output),
        CalcWhat::Measure(args) => measure(args, output),
        CalcWhat::Strength(args) => super::strength::run(args, output),
        CalcWhat::Offset(args) => offset(args, output),
        CalcWhat::Flush(args) => flush::run(args, output),
    }
}

fn catch(args: &CalcCatch, output: &Output) -> Result<Exit, Failure> {
    let words = CatchWords {
        setup: setup(&args.setup),
        catches: args.catches.clone(),
        water: args.water.clone(),
    };
    let units = output.units(Units::default());
    let shown = calculate_catch(&words, units).map_err(|e| e.failure("--"))?;
    let (setup, showing) = (&shown.setup, &shown.showing);
    output.result(&shown.report, || catch_words(setup, showing, &shown.report, units));
    Ok(Exit::Done)
}

fn setup(args: &SetupArgs) -> SetupWords {
    SetupWords {
        target: args.target.clone(),
        tolerance: Some(args.tolerance.clone()),
        water_target: args.water_target.clone(),
        cup: args.reads.cup.clone(),
        mark: args.reads.mark.clone(),
        scale: args.reads.scale.clone(),
        film: args.film.clone(),
        tared: args.tared,
        timer: Some(args.timer.clone()),
        density: args.density.clone(),
        temperature: args.temperature.clone(),
        opening_offset: args.opening_offset.clone(),
        adjuster: args.adjuster.clone(),
        setting: args.setting,
        risk: Some(args.risk.clone()),
    }
}

fn limits_words((from, to): (f64, f64), unit: &str, units: Units) -> String {
    let (scale, unit) = units.in_place_of(unit);
    format!("{} to {} {unit}", number(scale * from), number(scale * to))
}

/// Three significant digits: as much as anybody can set or read.
fn number(value: f64) -> String {
    print::significant(value, 3)
}

fn catch_words(setup: &Setup, showing: &Showing, report: &CatchReport, units: Units) -> String {
    let mut text = String::new();
    let sure = print::probability(report.probability_on_target, setup.risk);
    let what = if report.subject == "water" { "water" } else { "portion" };
    let mut row = |name: &str, words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{name:<10} {words}");
    };
    row(
        "verdict",
        &format!(
            "{} ({sure} sure that the {what} is in tolerance)",
            report.verdict.replace('-', " ")
        ),
    );
    row("do", &report.act.advice);
    row("because", &report.reason);
    let water = setup.aim.water.filter(|_| report.subject == "water");
    let limits = match water {
        Some((water, tolerance)) => Limits::around(water.0, tolerance),
        None => setup.aim.limits(),
    };
    let unit = report.portion.as_ref().map_or("mL", |p| p.unit.as_str());
    if let Some(portion) = &report.portion {
        let portion = print::with_doubt(portion.value, portion.standard_uncertainty, unit, units);
        row(
            what,
            &format!(
                "{portion}; in tolerance from {}",
                limits_words((limits.lower, limits.upper), unit, units)
            ),
        );
    }
    // While the water is not shown to be right, the flow and the doubt of the syrup are of no use.
    let syrup = water.is_none();
    if let Some(rate) = report.rate.as_ref().filter(|_| syrup) {
        row("flow", &print::with_doubt(rate.value, rate.standard_uncertainty, &rate.unit, units));
    }
    let (scale, unit) = units.in_place_of(unit);
    for (i, part) in report.budget.iter().filter(|_| syrup).enumerate() {
        let share = print::percent(part.share);
        let stays = if part.persistent { ", the same in every catch" } else { "" };
        row(
            if i == 0 { "doubt" } else { "" },
            &format!(
                "{share:>6} {} ({} {unit}{stays})",
                part.source,
                print::uncertainty(scale * part.contribution)
            ),
        );
    }
    if !showing.first_order_enough {
        row("method", "first order (JCGM 100) is not enough here: what is beyond it is counted in");
    }
    for (i, way) in report.to_decide.iter().flat_map(|d| &d.words).enumerate() {
        row(if i == 0 { "to decide" } else { "" }, way);
    }
    for caveat in &report.caveats {
        row("mind", caveat);
    }
    text
}

fn measure(args: &CalcMeasure, output: &Output) -> Result<Exit, Failure> {
    let units = output.units(Units::default());
    let (setup, capability, report) =
        calculate_measure(&setup(&args.setup), units).map_err(|e| e.failure("--"))?;
    output.result(&report, || measure_words(&setup, &capability, &report, units));
    Ok(if report.can_show_on_target { Exit::Done } else { Exit::No })
}

fn measure_words(
    setup: &Setup,
    capability: &Capability,
    report: &MeasureReport,
    units: Units,
) -> String {
    let mut text = String::new();
    let mut row = |name: &str, words: &str| {
        let _ = writeln!(text, "{name:<10} {words}");
    };
    let doubt = print::percent(capability.relative_doubt);
    let tolerance = print::percent(setup.aim.tolerance);
    row(
        "doubt",
        &format!(
            "one catch has a doubt of {doubt} (standard uncertainty); the tolerance is ±{tolerance}"
        ),
    );
    for (part, share) in capability.budget.shares() {
        row("", &format!("{:>6} {}", print::percent(share / 100.0), part.source));
    }
    let best = print::probability(capability.best_probability, setup.risk);
    row(
        "at best",
        &if report.can_show_on_target {
            format!("a dead-centre catch is {best} sure: it can show that a line is on target")
        } else {
            format!(
                "even a dead-centre catch is only {best} sure: one catch can never show that a line is on target"
            )
        },
    );
    let mut window = |name: &str, unit: &str, window: &Option<Window>| {
        let Some(window) = window else { return };
        if let Some((from, to)) = window.on_target {
            let limits = limits_words((from, to), unit, units);
            row(name, &format!("{limits} shows on target"));
        }
        let (under, over) = window.off_target;
        let (scale, unit) = units.in_place_of(unit);
        row(
            name,
            &format!(
                "under {} or over {} {unit} shows off target",
                number(scale * under),
                number(scale * over)
            ),
        );
    };
    window("reading", &report.unit, &report.amount);
    window(
        "seconds",
        &report.fill_to.map_or_else(
            || "s".to_owned(),
            |fill| format!("s to {}", print::amount(fill, 3, "mL", units)),
        ),
        &report.seconds,
    );
    for (i, way) in report.to_decide.words.iter().enumerate() {
        row(if i == 0 { "to decide" } else { "" }, way);
    }
    text
}

/// Fits amount = flow × (draw − offset) to draws of different lengths.
fn offset(args: &CalcOffset, output: &Output) -> Result<Exit, Failure> {
    let units = output.units(Units::default());
    let mut unit = None;
    let mut readings = Vec::with_capacity(args.catches.len());
    for text in &args.catches {
        let Catch { amount, draw, .. } = read_catch(text, None).map_err(|e| e.failure("--"))?;
        let Draw::Time(seconds) = draw else {
            return Err(Failure::usage(format!("catch `{text}` counts doses"))
                .hint("an offset is of seconds"));
        };
        let (value, of) = match amount {
            Amount::Volume(volume) => (volume.0, "mL"),
            Amount::Mass(mass) => (mass.0, "g"),
            Amount::Mark(..) => {
                return Err(
                    Failure::usage(format!("catch `{text}` is a mark")).hint("read an amount")
                );
            }
        };
        if *unit.get_or_insert(of) != of {
            return Err(Failure::usage("some catches are by volume and some by weight")
                .hint("read all of them in one way"));
        }
        readings.push((seconds.0, value));
    }
    let unit = unit.unwrap_or("mL");
    let line = straight_line::fit(&readings, 0.0).ok_or_else(|| {
        Failure::usage("these draws are all of one length").hint("draw at three lengths or more")
    })?;
    if line.slope <= 0.0 || !line.slope.is_finite() {
        return Err(
            Failure::data("longer draws do not pour more here").hint("look at the readings again")
        );
    }
    let (offset, u) = line.zero();
    let by_length = |a: &&(f64, f64), b: &&(f64, f64)| a.0.total_cmp(&b.0);
    let flow = |reading: Option<&(f64, f64)>| reading.map_or(f64::NAN, |(t, v)| v / t);
    let report = OffsetReport {
        offset: Value { value: offset, unit: "s".to_owned(), standard_uncertainty: u },
        flow: Value {
            value: line.slope,
            unit: format!("{unit}/s"),
            standard_uncertainty: line.slope_uncertainty,
        },
        shown: offset.abs() > 2.0 * u,
        shortest_over_longest: flow(readings.iter().min_by(by_length))
            / flow(readings.iter().max_by(by_length)),
    };
    output.result(&report, || {
        let mut text = format!(
            "offset     {} s\nflow       {} while open\n",
            print::with_uncertainty(offset, u),
            print::within(line.slope, line.slope_uncertainty, &report.flow.unit, units)
        );
        let ratio = print::signed_percent(report.shortest_over_longest - 1.0);
        text.push_str(&format!("V/t        {ratio} in the shortest draw against the longest\n"));
        text.push_str(&if report.shown {
            format!(
                "do         state it in the family: opening_offset = \"{} s\"\n",
                print::value(offset, u)
            )
        } else {
            "do         nothing: an offset is not shown by these draws\n".to_owned()
        });
        text
    });
    Ok(if report.shown { Exit::Done } else { Exit::No })
}
