//! `ouncewise calc`: verdicts without a ledger.

use std::fmt::Write;

use ouncewise_measure::conformity::Limits;
use ouncewise_measure::showing::{Capability, Decide, ShowError, can_show, decide, show};
use ouncewise_measure::uncertainty::straight_line;
use ouncewise_measure::{Act, Amount, Catch, Draw, Marks, Measure, Setup, Showing, print};

use crate::args::{Calc, CalcCatch, CalcMeasure, CalcOffset, CalcWhat};
use crate::exit::{Exit, Failure};
use crate::output::Output;
use crate::phrase;
use crate::plural::many;
use crate::report::{CatchReport, Deciding, MeasureReport, OffsetReport, Value, Window};

/// Runs it.
pub fn run(args: &Calc, output: &Output) -> Result<Exit, Failure> {
    match &args.what {
        CalcWhat::Catch(args) => catch(args, output),
        CalcWhat::Measure(args) => measure(args, output),
        CalcWhat::Offset(args) => offset(args, output),
    }
}

fn catch(args: &CalcCatch, output: &Output) -> Result<Exit, Failure> {
    let setup = phrase::setup(&args.setup)?;
    if !args.water.is_empty() && args.water.len() != args.catches.len() {
        return Err(Failure::usage(format!(
            "{}, but {} of water",
            many(args.catches.len(), "catch"),
            args.water.len()
        ))
        .hint("give one --water for each catch, in the same order"));
    }
    let catches = args
        .catches
        .iter()
        .enumerate()
        .map(|(i, text)| phrase::catch(text, args.water.get(i).map(String::as_str)))
        .collect::<Result<Vec<_>, _>>()?;
    let mut showing = show(&setup, &catches).map_err(|e| refused(&e))?;
    if let (None, Act::Adjust(adjustment)) = (&args.setup.adjuster, &mut showing.act) {
        adjustment.instruction = format!(
            "change it by {} (--adjuster tells in which terms)",
            print::signed_percent(adjustment.change)
        );
    }
    let decide = decide(&setup, &catches).map_err(|e| refused(&e))?;
    let report = CatchReport::new(&setup, &showing, decide.as_ref());
    output.result(&report, || catch_words(&setup, &showing, &report));
    Ok(Exit::Done)
}

fn refused(error: &ShowError) -> Failure {
    Failure::usage(error.to_string())
}

fn limits_words(limits: Limits, unit: &str) -> String {
    format!("{} to {} {unit}", number(limits.lower), number(limits.upper))
}

/// Three significant digits: as much as anybody can set or read.
fn number(value: f64) -> String {
    print::significant(value, 3)
}

fn catch_words(setup: &Setup, showing: &Showing, report: &CatchReport) -> String {
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
        let portion = format!(
            "{} {unit}",
            print::with_uncertainty(portion.value, portion.standard_uncertainty)
        );
        row(what, &format!("{portion}; in tolerance from {}", limits_words(limits, unit)));
    }
    // While the water is not shown to be right, the flow and the doubt of the syrup are of no use.
    let syrup = water.is_none();
    if let Some(rate) = report.rate.as_ref().filter(|_| syrup) {
        row(
            "flow",
            &format!(
                "{} {}",
                print::with_uncertainty(rate.value, rate.standard_uncertainty),
                rate.unit
            ),
        );
    }
    for (i, part) in report.budget.iter().filter(|_| syrup).enumerate() {
        let share = print::percent(part.share);
        let stays = if part.persistent { ", the same in every catch" } else { "" };
        row(
            if i == 0 { "doubt" } else { "" },
            &format!(
                "{share:>6} {} ({} {unit}{stays})",
                part.source,
                print::uncertainty(part.contribution)
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
    let setup = phrase::setup(&args.setup)?;
    let capability = can_show(&setup).map_err(|e| refused(&e))?;
    let report = MeasureReport::new(&setup, &capability);
    output.result(&report, || measure_words(&setup, &capability, &report));
    Ok(if report.can_show_on_target { Exit::Done } else { Exit::No })
}

fn measure_words(setup: &Setup, capability: &Capability, report: &MeasureReport) -> String {
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
            row(name, &format!("{} to {} {unit} shows on target", number(from), number(to)));
        }
        let (under, over) = window.off_target;
        row(
            name,
            &format!("under {} or over {} {unit} shows off target", number(under), number(over)),
        );
    };
    window("reading", &report.unit, &report.amount);
    window(
        "seconds",
        &format!("s to {} mL", report.fill_to.map_or_else(String::new, number)),
        &report.seconds,
    );
    for (i, way) in report.to_decide.words.iter().enumerate() {
        row(if i == 0 { "to decide" } else { "" }, way);
    }
    text
}

/// Fits amount = flow × (draw − offset) to draws of different lengths.
fn offset(args: &CalcOffset, output: &Output) -> Result<Exit, Failure> {
    let mut unit = None;
    let mut readings = Vec::with_capacity(args.catches.len());
    for text in &args.catches {
        let Catch { amount, draw, .. } = phrase::catch(text, None)?;
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
            return Err(Failure::usage("some catches are in mL and some in g")
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
            "offset     {} s\nflow       {} {unit}/s while open\n",
            print::with_uncertainty(offset, u),
            print::with_uncertainty(line.slope, line.slope_uncertainty)
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

impl Deciding {
    /// What it would take to decide, as data and in words.
    pub fn new(setup: &Setup, decide: &Decide, unit: &str) -> Self {
        let poured = |amount: f64| format!("pours away {} {unit}", print::significant(amount, 2));
        let mut words = Vec::new();
        if let Some(way) = decide.catches {
            let catches = many(way.what, "catch");
            let how = match (&setup.measure, setup.aim.draw) {
                // A cup with one mark gives no number by itself: the seconds do.
                (Measure::Vessel(vessel), Draw::Time(_))
                    if matches!(vessel.marks, Marks::One(_)) =>
                {
                    format!("{catches} filled to the mark and timed")
                }
                _ => format!("{catches} in all with this measure"),
            };
            words.push(format!("{how} ({})", poured(way.poured)));
        }
        // Where one catch will do, nobody needs another way.
        let one = decide.catches.is_some_and(|way| way.what == 1);
        if let Some(way) = decide.longer.filter(|_| !one) {
            words.push(format!(
                "one draw of {} with this measure ({})",
                way.what,
                poured(way.poured)
            ));
        }
        if let Some(way) = decide.better.as_ref().filter(|_| !one) {
            words.push(format!("{} ({})", way.what.words(setup), poured(way.poured)));
        }
        if words.is_empty() {
            words.push(
                "nothing decides while the line stands so near to its limit: act on the advice"
                    .to_owned(),
            );
        }
        Self {
            needed: decide.needed,
            catches: decide.catches.map(|way| way.what),
            longer: decide.longer.map(|way| way.what.to_string()),
            better: decide.better.map(|way| way.what.words(setup)),
            words,
        }
    }
}
