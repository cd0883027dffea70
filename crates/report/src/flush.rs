//! A flush without a store: a line described in phrases, and how long it takes to be rid of what is in it.

mod cold;
mod geometry;
mod least;
mod report;
mod rinse;
#[cfg(test)]
mod tests;
mod tube;
mod words;

pub use cold::ColdReport;
pub use least::{LeastOfLine, LineFlushReport, least_flushes, line_flush};
pub use report::*;
pub use tube::TubeReport;
pub use words::FlushWords;

use ouncewise_hygiene::drain::Drain;
use ouncewise_hygiene::fluid::{ByActivity, Diffusivity, Fluid, water_activity};
use ouncewise_hygiene::flush::{
    Advice, Allowed, Flush, Manner, Place, Plan, Spreads, Want, Way, percent, time,
    too_hot_to_rinse,
};
use ouncewise_hygiene::label::{Hazard, STANDING};
use ouncewise_hygiene::line::{
    FlowError, Geometry, Millimetres, MlPerSecond, Pressure, Top, narrowed,
};
use ouncewise_hygiene::prime::{Before, prime};
use ouncewise_hygiene::profile::Status;
use ouncewise_measure::print::{self, Figure, Units};
use ouncewise_measure::{Celsius, Millilitres, Seconds, density};

use crate::calculate::CannotCalculate;
use crate::phrase::Misphrased;
use words::{Asked, Contents, Wanted};

/// Where nobody says the temperature.
const ROOM: Celsius = Celsius(20.0);
/// Points of a curve; fewer where each of them is the worst of many.
const POINTS: (usize, usize) = (120, 36);
/// How far the time of a chart goes beyond the slowest way.
const BEYOND: f64 = 1.1;

/// A flush, and how it was asked.
#[derive(Debug, Clone, PartialEq)]
pub struct FlushShown {
    /// All of it, as it is reported.
    pub report: FlushReport,
    /// Whether the line is known well enough for a least time.
    pub known: bool,
}

/// How a line is flushed: by which ways, how long each takes, and the least that physics allows. A line that is not known has
/// no least time; that is an answer, with what to measure. Told in these units.
///
/// # Errors
///
/// If a phrase cannot be read, or lies outside what is computed.
pub fn calculate_flush(words: &FlushWords, units: Units) -> Result<FlushShown, CannotCalculate> {
    let asked = Asked::read(words)?;
    let at = asked.temperature.unwrap_or(ROOM);
    liquid(asked.contents, at, "contents")?;
    if let Some(priming) = asked.prime {
        liquid(priming.product, at, "prime")?;
    }
    let want = asked.want(at)?;
    let geometry = match asked.line.geometry() {
        Ok(geometry) => Some(geometry),
        Err(FlowError::NotKnown { .. }) => None,
        Err(error) => return Err(out_of_range(&error, words)),
    };
    if let (Some(geometry), Some(flow)) = (&geometry, asked.flow) {
        geometry.seconds_per_volume(flow).map_err(|error| out_of_range(&error, words))?;
    }
    // Refused whatever else is known of the line.
    if let Some(warm) = asked.set_at {
        let product = cold::product(&asked)?.fluid().at(warm);
        product.map_err(|error| Misphrased::new("set-at", format!(": {error}")))?;
    }
    let mut report = begun(&asked, at, want, geometry.as_ref(), units);
    if let (Some(_), Some(flow)) = (geometry, asked.flow) {
        told(&mut report, &asked, flow, (at, units), want)
            .map_err(|error| out_of_range(&error, words))?;
    }
    let known = report.least.known;
    Ok(FlushShown { report, known })
}

/// Refuses what is not known of a liquid, at the phrase that is at fault.
fn liquid(contents: Contents, at: Celsius, field: &'static str) -> Result<(), Misphrased> {
    let Err(error) = contents.fluid().at(at) else { return Ok(()) };
    // Any syrup would be refused where it is the temperature.
    let cold = Fluid::Water.at(at).is_err() || Fluid::Syrup { brix: 10.0 }.at(at).is_err();
    Err(Misphrased::new(if cold { "temperature" } else { field }, format!(": {error}")))
}

/// What lies outside what is computed, at the phrase that is at fault.
fn out_of_range(error: &FlowError, words: &FlushWords) -> CannotCalculate {
    let field = match error {
        FlowError::OutOfRange { what: "a bore", .. } if words.bore.is_none() => Some("volume"),
        FlowError::OutOfRange { what: "a length", .. } if words.length.is_none() => Some("volume"),
        FlowError::OutOfRange { what, .. } => match *what {
            "a bore" => Some("bore"),
            "a length" => Some("length"),
            "what a fitting holds" if words.volume.is_some() => Some("volume"),
            "what a fitting holds" => Some("fittings"),
            "a flow" => Some("flow"),
            "the time of a drain" => Some("drain"),
            "a suction" => Some("push"),
            _ => None,
        },
        _ => None,
    };
    match field {
        Some(field) => Misphrased::new(field, format!(": {error}")).into(),
        None => CannotCalculate::Unfit(error.to_string(), None),
    }
}

/// All that is known before the line is: what was understood, what is missing, what to mind.
fn begun(
    asked: &Asked,
    at: Celsius,
    want: Want,
    geometry: Option<&Geometry>,
    units: Units,
) -> FlushReport {
    let volume = geometry.map(|geometry| geometry.volume).or(asked.measured);
    let missing = missing(asked);
    let hard = volume.zip(asked.flow).map(|(volume, flow)| {
        let volumes = match want.place() {
            Place::Outlet => 0.5,
            Place::Line => 1.0 - want.residue(),
        };
        volumes * volume.0 / flow.0
    });
    let what: Vec<&str> = missing.iter().map(|missing| missing.what.as_str()).collect();
    let mut unknown = format!("no least time known: nobody said {}", what.join(", nor "));
    if let Some(hard) = hard {
        unknown += &format!("; nothing is quicker than {}", time(Seconds(hard)));
    }
    FlushReport {
        understood: understood(asked, at, want, volume, units),
        volume_ml: volume.map(|volume| volume.0),
        flow_ml_per_s: asked.flow.map(|flow| flow.0),
        seconds_per_volume: volume.zip(asked.flow).map(|(volume, flow)| volume.0 / flow.0),
        reynolds: None,
        regime_number: None,
        manner: None,
        first_arrival_s: None,
        wanted: wanted(asked, want),
        least: LeastReport { known: false, hard_s: hard, at_best_s: None, words: unknown },
        plans: Vec::new(),
        not_offered: Vec::new(),
        swirls_from_ml_per_s: None,
        crew: None,
        tube: None,
        cold: Vec::new(),
        prime: None,
        chart: None,
        notes: notes(asked, !missing.is_empty(), units),
        basis: Vec::new(),
        cautions: CautionReport::of(&hazards(asked)),
        standing: STANDING.to_owned(),
        missing,
    }
}

/// What follows where the line is known.
fn told(
    report: &mut FlushReport,
    asked: &Asked,
    flow: MlPerSecond,
    (at, units): (Celsius, Units),
    want: Want,
) -> Result<(), FlowError> {
    let mut flush = Flush::new(&asked.line, flow, asked.contents.fluid(), Fluid::Water, at)?;
    if let Contents::Sanitiser(_) = asked.contents {
        flush = flush.spreading(Spreads::UpTo(Diffusivity::SANITISER.at(at)?))?;
    }
    let allowed =
        Allowed { pause: asked.pause, drain: Drain { takes: asked.drain, ..Drain::default() } };
    let advice = flush.advise(want, &allowed)?;
    let least = flush.least(want);
    report.reynolds = Some(flush.reynolds());
    report.regime_number = Some(flush.regime_number());
    report.manner = Some(flush.manner().into());
    report.first_arrival_s = Some(flush.first_arrival().0);
    report.least = LeastReport {
        known: true,
        hard_s: Some(least.hard.0),
        at_best_s: Some(least.at_best.0),
        words: least.words,
    };
    report.plans = advice.plans.iter().map(PlanReport::from).collect();
    report.chart = Some(curves(&flush, &advice, want, asked)?);
    report.basis = basis(asked, &flush, &advice);
    report.not_offered = advice.not_offered;
    report.swirls_from_ml_per_s = advice.swirls_from.map(|flow| flow.0);
    report.crew = Some(advice.words);
    if asked.push.is_some() || matches!(asked.contents, Contents::Syrup(_)) {
        let old = asked.contents.fluid();
        let tube = tube::allowed(flush.geometry(), flow, asked.push, old, (at, units))?;
        if let (Some(most), Some(crew)) = (tube.most_ml_per_s, &mut report.crew) {
            *crew += &format!(
                "; but no more than {} can come at first{}",
                print::amount(most, 3, "mL/s", units),
                slower(asked, MlPerSecond(most), at, want, &allowed)
            );
        }
        report.tube = Some(tube);
        report.notes.extend(narrower(flush.geometry()));
    }
    if let (Contents::Sanitiser(_), Some(crew)) = (asked.contents, &mut report.crew) {
        *crew = rinse::minding(asked.profile.as_ref(), crew);
    }
    if let Some(warm) = asked.set_at {
        let product = asked.prime.map_or(asked.contents, |priming| priming.product);
        report.cold = cold::told(asked, product, flow, warm, (at, units))?;
    }
    if let Some(priming) = asked.prime {
        let product = priming.product.fluid();
        let told = prime(&asked.line, flow, product, priming.before, at, priming.weaker)?;
        report.prime = Some(PrimeReport::new(told, units));
    }
    Ok(())
}

/// What running takes where no more than `most` comes. It comes faster as the line thins.
fn slower(asked: &Asked, most: MlPerSecond, at: Celsius, want: Want, allowed: &Allowed) -> String {
    let running = Flush::new(&asked.line, most, asked.contents.fluid(), Fluid::Water, at)
        .and_then(|flush| match asked.contents {
            Contents::Sanitiser(_) => {
                flush.spreading(Spreads::UpTo(Diffusivity::SANITISER.at(at)?))
            }
            Contents::Water | Contents::Syrup(_) => Ok(flush),
        })
        .and_then(|flush| flush.advise(want, allowed));
    // So slow a flow may lie outside what is computed.
    match running.ok().and_then(|advice| advice.plans.into_iter().find(|p| p.way == Way::Run)) {
        Some(plan) => {
            format!(", so that running takes longer: {} if it never comes faster", time(plan.takes))
        }
        None => ", and it takes longer by that: measure the flow while it flushes".to_owned(),
    }
}

/// What a crust or a kink makes of the pressure (HY-99, CALC); nothing of a tube that such a crust would fill.
fn narrower(geometry: &Geometry) -> Option<String> {
    let bore = geometry.narrowest;
    let crusted = Millimetres(bore.0 - 1.0);
    (crusted.0 > 0.5).then(|| {
        format!(
            "a crust of 0.5 mm all round in {} mm takes {} times the pressure for the same flow, and a kink to half the bore {} times (computed)",
            number(bore.0),
            number(narrowed(bore, crusted)),
            number(narrowed(bore, Millimetres(0.5 * bore.0)))
        )
    })
}

/// The strength in °Bx where a fourteenth of a syrup is left in water (HY-131, CALC: 6 °Bx of 65).
fn a_fourteenth(brix: f64) -> f64 {
    let at_20 = |brix| density::sucrose(brix, ROOM).unwrap_or(1.0);
    let share = brix * at_20(brix) / 14.0;
    share / at_20(share)
}

/// What nobody measured, and how to.
fn missing(asked: &Asked) -> Vec<MissingReport> {
    let missing = |what: String, measure: &str| MissingReport { what, measure: measure.to_owned() };
    let mut all = Vec::new();
    let tubes = &asked.line.tubes;
    if tubes.is_empty() {
        all.push(missing(
            "bore and length of the tube".to_owned(),
            "measure the inner diameter of each tube, or read it off the tube, and its length from joint to joint; where one of them cannot be measured, fill the line with water, let all of it run into a measure, and give that volume too",
        ));
    }
    for (tube, number) in tubes.iter().zip(1..) {
        let which = if tubes.len() == 1 { "the tube".to_owned() } else { format!("tube {number}") };
        if tube.bore.is_none() {
            let measure = "measure the inner diameter, or read it off the tube; or measure what the whole line holds, and give that as its volume";
            all.push(missing(format!("the bore of {which}"), measure));
        }
        if tube.length.is_none() {
            let measure = "measure it along the tube, from joint to joint; or measure what the whole line holds, and give that as its volume";
            all.push(missing(format!("the length of {which}"), measure));
        }
    }
    if asked.flow.is_none() {
        let measure = "catch for ten seconds while it flushes, and write it as `250 mL in 10 s`";
        all.push(missing("the flow".to_owned(), measure));
    }
    all
}

/// A number to three digits, without zeros at its end.
fn number(value: f64) -> String {
    let text = print::significant(value, 3);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

fn understood(
    asked: &Asked,
    at: Celsius,
    want: Want,
    volume: Option<Millilitres>,
    units: Units,
) -> Vec<FlushFact> {
    let amount = |volume| print::volume(volume, units);
    let known = |value: Option<String>| value.unwrap_or_else(|| "not known".to_owned());
    let tubes: Vec<String> = asked
        .line
        .tubes
        .iter()
        .map(|tube| {
            let bore = known(tube.bore.map(|bore| format!("{} mm", number(bore.0))));
            let length = known(tube.length.map(|length| format!("{} m", number(length.0))));
            format!("bore {bore}, length {length}")
        })
        .collect();
    let fittings: Vec<String> = asked
        .line
        .fittings
        .iter()
        .map(|fitting| {
            let holds = known(fitting.holds.map(amount));
            let end = if fitting.dead_end { ", a dead end" } else { "" };
            format!("{} × {holds}{end}", fitting.count)
        })
        .collect();
    let contents = |contents: Contents| match contents {
        Contents::Water => "water".to_owned(),
        Contents::Syrup(brix) => format!("syrup of {} °Bx", number(brix)),
        Contents::Sanitiser(strength) => format!("sanitiser of {strength}"),
    };
    let pressure = match asked.line.pressure {
        Pressure::None => "holds none",
        Pressure::Held => "holds pressure",
        Pressure::Unknown => "not known: taken to hold it",
    };
    let top = match asked.line.top {
        Top::Opens => "opens",
        Top::Closed => "stays closed",
        Top::Unknown => "not known: taken to stay closed",
    };
    let tubes = if tubes.is_empty() { "not known".to_owned() } else { tubes.join("; ") };
    let mut facts = vec![("tube", tubes)];
    if !fittings.is_empty() {
        facts.push(("fittings", fittings.join("; ")));
    }
    facts.push(("volume", known(volume.map(amount))));
    facts.push((
        "flow",
        known(
            asked
                .flow
                .map(|flow| format!("{}/s", Figure::volume(Millilitres(flow.0)).words(units))),
        ),
    ));
    facts.push(("in the line", contents(asked.contents)));
    facts.push(("temperature", print::temperature(at, units)));
    facts.push(("wanted", wanted(asked, want).words));
    facts.push(("pressure", pressure.to_owned()));
    facts.push(("top", top.to_owned()));
    facts.extend(asked.pause.map(|pause| ("longest pause", time(pause))));
    facts.extend(asked.drain.map(|drain| ("drains in", format!("{} s", number(drain.0)))));
    if let Some(priming) = asked.prime {
        let into = if priming.before == Before::Air { "air" } else { "water" };
        facts.push(("filled with", format!("{} into {into}", contents(priming.product))));
    }
    facts.into_iter().map(|(what, words)| FlushFact { what: what.to_owned(), words }).collect()
}

fn wanted(asked: &Asked, want: Want) -> WantedReport {
    let share = percent(want.residue());
    let words = match asked.wanted {
        Wanted::Outlet(_) => format!("{share} in what comes out"),
        Wanted::Line(_) => format!("{share} left in the line"),
        Wanted::Sugar(grams) => {
            format!("{} g/L of sugar left in the line, which is {share}", number(grams))
        }
        Wanted::Potable(strength) => {
            format!(
                "no more chlorine than drinking water may hold ({strength}) in what comes out, which is {share}"
            )
        }
        Wanted::Strength(strength) => format!("{strength} in what comes out, which is {share}"),
    };
    WantedReport {
        place: report::place_word(want.place()).to_owned(),
        share: want.residue(),
        words,
    }
}

fn notes(asked: &Asked, unknown: bool, units: Units) -> Vec<String> {
    let mut notes = vec![
        "all of this is at best: pockets, fittings and what grew on the wall take longer, and no time shows that a line is clean".to_owned(),
    ];
    if asked.temperature.is_none() {
        let taken = print::temperature(ROOM, units);
        notes.push(format!("nobody said the temperature: {taken} is taken"));
    }
    if let Some(note) = geometry::far(&asked.line, asked.measured, units) {
        notes.push(note);
    }
    if let Contents::Sanitiser(_) = asked.contents {
        notes.extend(rinse::notes(asked.profile.as_ref(), asked.kind));
        notes.push(
            "take a strip at the outlet: that, and not this time, shows that the sanitiser is out"
                .to_owned(),
        );
    }
    if let Contents::Syrup(brix) = asked.contents {
        notes.push("water runs through the middle of thick syrup: running takes longer than is computed, and how much longer is not known".to_owned());
        let (full, rinsed) = (water_activity(brix), water_activity(a_fourteenth(brix)));
        notes.push(format!(
            "what is half rinsed keeps worse than what is full of syrup: finish it, or do not begin. Full, its water activity is {full:.3}: {}; with a fourteenth left it is {rinsed:.3}: {} (computed for sugar alone, with a constant that is only remembered; the table is a model code’s)",
            ByActivity::of(full).words(),
            ByActivity::of(rinsed).words()
        ));
    }
    if !matches!(asked.contents, Contents::Sanitiser(_)) {
        notes.extend(asked.temperature.and_then(|at| too_hot_to_rinse(at, units)));
    }
    if unknown && asked.prime.is_some() {
        notes.push("filling with product is computed once the line is known".to_owned());
    }
    notes
}

fn hazards(asked: &Asked) -> Vec<Hazard> {
    let mut hazards = vec![Hazard::MovingParts, Hazard::Food];
    if let Contents::Sanitiser(_) = asked.contents {
        hazards.push(Hazard::Chemical);
    }
    if asked.line.pressure != Pressure::None {
        hazards.push(Hazard::Pressure);
    } else if asked.line.top == Top::Opens {
        // It is opened to be drained.
        hazards.push(Hazard::Electricity);
    }
    hazards
}

/// A curve for each way, where what is wanted is looked at.
fn curves(
    flush: &Flush,
    advice: &Advice,
    want: Want,
    asked: &Asked,
) -> Result<CurvesReport, FlowError> {
    let slowest = advice.plans.iter().map(|plan| plan.takes.0).fold(0.0, f64::max);
    let until = Seconds(BEYOND * slowest);
    let points = match asked.contents {
        Contents::Sanitiser(_) => POINTS.1,
        _ => POINTS.0,
    };
    let drain = Drain { takes: asked.drain, ..Drain::default() };
    let per_volume = flush.seconds(1.0).0;
    let curve = |plan: &Plan| -> Result<CurveReport, FlowError> {
        let points: Vec<(f64, f64)> = if plan.way == Way::Run {
            let at = |point: usize| until.0 * point as f64 / (points - 1) as f64;
            let share = |at: f64| flush.residue(want.place(), at / per_volume);
            (0..points).map(|point| (at(point), share(at(point)))).collect()
        } else {
            let course = flush.course(plan, &drain, until, points / 2)?;
            course.into_iter().map(|moment| (moment.at.0, moment.residue)).collect()
        };
        let rounded =
            points.into_iter().map(|(at, share)| (round_to(at, 1e-2), four_digits(share)));
        Ok(CurveReport {
            way: way_words(plan.way),
            reaches_s: plan.takes.0,
            time: time(plan.takes),
            points: rounded.collect(),
        })
    };
    let curves = advice.plans.iter().map(curve).collect::<Result<Vec<_>, _>>()?;
    Ok(CurvesReport { finding: finding(advice, want), curves })
}

fn round_to(value: f64, step: f64) -> f64 {
    (value / step).round() * step
}

fn four_digits(share: f64) -> f64 {
    if share <= 0.0 {
        return 0.0;
    }
    let step = 10f64.powf(share.log10().floor() - 3.0);
    round_to(share, step)
}

fn way_words(way: Way) -> String {
    match way {
        Way::Run => "run".to_owned(),
        Way::RunPauseRun { .. } => "run, wait, run".to_owned(),
        Way::DrainAndRefill { cycles: 1 } => "drain and refill once".to_owned(),
        Way::DrainAndRefill { cycles: 2 } => "drain and refill twice".to_owned(),
        Way::DrainAndRefill { cycles } => format!("drain and refill {cycles} times"),
    }
}

/// What the chart shows: the quickest way, against running.
fn finding(advice: &Advice, want: Want) -> String {
    let place = match want.place() {
        Place::Outlet => "in what comes out",
        Place::Line => "left in the line",
    };
    let to = format!("{} {place}", percent(want.residue()));
    let Some(run) = advice.plans.first() else { return to };
    let quickest =
        advice.plans.iter().min_by(|a, b| a.takes.0.total_cmp(&b.takes.0)).unwrap_or(run);
    if quickest.way == Way::Run {
        return format!("Running comes down to {to} after {}, at best", time(run.takes));
    }
    let way = way_words(quickest.way);
    let mut letters = way.chars();
    let way: String =
        letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    format!("{way}: {} to {to}, where running takes {}", time(quickest.takes), time(run.takes))
}

/// How the figures behind an answer are known.
fn basis(asked: &Asked, flush: &Flush, advice: &Advice) -> Vec<BasisReport> {
    let mut all = Vec::new();
    let mut add = |what: &str, status: Status| {
        all.push(BasisReport { what: what.to_owned(), known: status.words().to_owned() });
    };
    let drained = advice.plans.iter().any(|plan| matches!(plan.way, Way::DrainAndRefill { .. }));
    if let Manner::Turbulent { .. } = flush.manner() {
        add("how the residue falls in turbulent flow", Status::Package);
    } else {
        add("how the residue falls in laminar flow", Status::Simulated);
    }
    add("how thick water is", Status::Package);
    match asked.contents {
        Contents::Syrup(_) => {
            add("how thick syrup is", Status::Read);
            add("how fast sugar spreads in water", Status::Memory);
        }
        Contents::Sanitiser(_) => {
            add("how fast a sanitiser spreads in water, at most", Status::Memory);
        }
        Contents::Water => add("how fast what is in it spreads: taken as sugar's", Status::Memory),
    }
    if let Wanted::Potable(most) = asked.wanted {
        let status = rinse::figure(asked.profile.as_ref()).1;
        add(&format!("{most} as the most chlorine that drinking water may hold"), status);
    }
    if drained {
        add("how thick a film air leaves on the wall", Status::Memory);
        if asked.drain.is_none() {
            add("air follows at 0.1 m/s, which nobody timed", Status::Judged);
        }
    }
    if asked.prime.is_some() {
        add("in which bores air stays", Status::Read);
    }
    all
}
