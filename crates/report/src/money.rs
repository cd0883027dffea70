//! What a line costs a week, each number by itself, and only by prices that somebody stated.

use jiff::{SignedDuration, Timestamp};
use ouncewise_advice::money::{Portions, Prices, WeekCost, week};
use ouncewise_estate::{Address, Estate, Per, money};
use ouncewise_estimate::{ActKind, Standing};
use ouncewise_ledger::order::Outcome;
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::print::{self, Units};
use ouncewise_measure::{Draw, DrawRead, Target};
use ouncewise_store::{Event, Store, Week};
use rust_decimal::prelude::ToPrimitive;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::lines::WeekReport;
use crate::plural::many;

/// What a line costs a week: separate numbers, which are known to different degrees and are never added up here.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct MoneyReport {
    /// The numbers; one that cannot be told by what was stated is left out.
    pub a_week: Vec<MoneyItem>,
    /// What to state so that the others can be told.
    pub not_stated: Vec<String>,
}

/// One number.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MoneyItem {
    /// `given-away`, `made-again`, `poured-away` or `technician`.
    pub kind: String,
    /// How much a week.
    pub amount: f64,
    /// In what currency (ISO 4217).
    pub currency: String,
    /// What it is, and what it rests on, in a sentence.
    pub reason: String,
}

impl MoneyReport {
    /// What it costs a week in one sentence without a stop, each number by itself; nothing where none can be told.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        let items = self.a_week.iter().filter(|item| item.amount >= 0.005);
        let said: Vec<String> = items
            .map(|item| {
                format!("{} {:.2} {}", item.name().to_lowercase(), item.amount, item.currency)
            })
            .collect();
        (!said.is_empty()).then(|| format!("costs a week: {}", said.join("; ")))
    }
}

impl MoneyItem {
    fn new(kind: &str, amount: f64, currency: money::Currency, reason: String) -> Self {
        Self { kind: kind.to_owned(), amount, currency: currency.to_string(), reason }
    }

    /// What it is called.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self.kind.as_str() {
            "given-away" => "Product given away",
            "made-again" => "Short portions, as drinks made again",
            "poured-away" => "Product poured away in catches",
            _ => "Technician calls",
        }
    }

    /// How much a week, in words.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{:.2} {} a week", self.amount, self.currency)
    }
}

/// So far back catches are counted.
const CATCHES: i64 = 13;

/// So far back calls are counted.
const CALLS: i64 = 52;

/// What a line costs a week, as of now, told in the reader's units.
#[must_use]
pub fn line_money(
    estate: &Estate,
    standing: &Standing,
    events: &[Event],
    (now, units): (Timestamp, Units),
) -> Option<MoneyReport> {
    let address = &standing.address;
    let known = estate.line(address)?;
    let mut report = MoneyReport::default();
    let product = estate.products.get(&known.product)?;
    let (unit, target) = match standing_target(estate, address)? {
        Target::Volume(volume) => ("mL", volume.0),
        Target::Mass(mass) => ("g", mass.0),
    };
    // A price by weight says nothing of a portion by volume, and the other way round.
    let cost = product
        .cost
        .filter(|cost| matches!((cost.per, unit), (Per::Litre, "mL") | (Per::Kilogram, "g")));
    if cost.is_none() {
        let per = if unit == "mL" { "litre" } else { "kilogram" };
        report.not_stated.push(format!("what a {per} of {} costs, with the product", product.name));
    }
    if known.portions.is_none() {
        report
            .not_stated
            .push("how many portions it pours in a usual week, with the line".to_owned());
    }
    if estate.group.remade.is_none() {
        report.not_stated.push("what a drink costs that is made again, with the group".to_owned());
    }
    // What a history expects of a line that was touched since is no level of it.
    let stands = portion(standing).filter(|_| standing.touched.is_none());
    if standing.touched.is_some() {
        report.not_stated.push("what it pours since it was touched, with a catch".to_owned());
    }
    let caught = poured(known.draw, effective(events), now);
    let line = Portions {
        target,
        tolerance: target * known.tolerance.fraction(),
        mean: target,
        // The doubt of where a line stands is no portion that is off: it would make the roughest cup the dearest line.
        sd: 0.0,
        a_week: known.portions.and_then(|n| n.to_f64()).unwrap_or(0.0),
        poured_away: caught.map_or(0.0, |(shares, weeks, _)| shares * target / weeks),
    };
    let prices = Prices {
        product_per_ml: cost.and_then(|cost| cost.amount.to_f64()).map(|price| price / 1000.0),
        remade: estate.group.remade.and_then(|price| price.to_f64()),
        ..Prices::default()
    };
    if let Some((mean, sd)) = stands {
        let of = format!(
            "{} a portion against {} asked",
            print::within(mean, 2.0 * sd, unit, units),
            print::amount(target, 3, unit, units)
        );
        let costs = |mean: f64| week(&prices, &Portions { mean, ..line });
        // At the estimate, and in words from where to where its doubt leaves it open.
        let told = |number: fn(&WeekCost) -> Option<f64>, currency: money::Currency| {
            let (low, high) = (number(&costs(mean - 2.0 * sd))?, number(&costs(mean + 2.0 * sd))?);
            let open = format!(
                "its doubt leaves open {:.2} to {:.2} {currency}",
                low.min(high),
                low.max(high)
            );
            Some((number(&costs(mean))?, open))
        };
        if let (Some(portions), Some(cost)) = (known.portions, cost)
            && let Some((amount, open)) = told(|costs| costs.over_pour, cost.currency)
        {
            let reason =
                format!("what is over the target: {of}, {portions} portions, at {cost}; {open}");
            report.a_week.push(MoneyItem::new("given-away", amount, cost.currency, reason));
        }
        let currency = estate.group.currency;
        if let (Some(portions), Some(remade)) = (known.portions, estate.group.remade)
            && let Some((amount, open)) = told(|costs| costs.under_pour, currency)
        {
            let reason = format!(
                "what is under the target: {of}, {portions} portions; one that is short by the tolerance or more counts as a drink made again at {remade} {currency}, one that is short by half of it as a quarter; {open}"
            );
            report.a_week.push(MoneyItem::new("made-again", amount, currency, reason));
        }
    }
    if let (Some(cost), Some(amount), Some((_, weeks, catches))) =
        (cost, week(&prices, &line).poured_away, caught)
    {
        let weeks = many(weeks.round() as usize, "week");
        let reason = format!("{} in {weeks}, at {cost}", many(catches, "catch"));
        report.a_week.push(MoneyItem::new("poured-away", amount, cost.currency, reason));
    }
    let (called, silent) = calls(estate, address, effective(events), now);
    report.a_week.extend(called);
    if silent > 0 {
        let calls = many(silent, "call");
        report.not_stated.push(format!("what {calls} of a technician cost, with the record"));
    }
    Some(report)
}

/// Adds what each line of a week costs as it stands. What only its records tell (product poured away, technicians) is left to
/// the line's own report: a list of many lines reads no histories.
///
/// # Errors
///
/// If the store cannot be read.
pub async fn week_money(
    store: &Store,
    (report, week): (&mut WeekReport, &Week),
    now: Timestamp,
    units: Option<Units>,
) -> Result<(), Failure> {
    for (line, row) in report.lines.iter_mut().zip(&week.rows) {
        let estate = store.estate_at(&row.standing.address.site).await?;
        let units = units.unwrap_or(estate.group.units);
        line.money = line_money(&estate, &row.standing, &[], (now, units));
    }
    Ok(())
}

fn standing_target(estate: &Estate, address: &Address) -> Option<Target> {
    let target = estate.line(address)?.target;
    let volume = target.volume().map(Target::Volume);
    volume.or_else(|| target.mass().map(Target::Mass))
}

/// The portion and its standard uncertainty: by the history, else by its latest catches; of a faulty line by these alone.
fn portion(standing: &Standing) -> Option<(f64, f64)> {
    let history = standing.history.as_ref().map(|history| &history.stands);
    let shown = standing.latest.as_ref().and_then(|latest| latest.shown.as_ref());
    let by_catch = shown
        .filter(|shown| !shown.water)
        .and_then(|shown| Some((shown.portion?, shown.standard_uncertainty)));
    let by_history = history.map(|stands| (stands.portion, stands.standard_uncertainty));
    // A fault is no level: the history is of the time before it.
    if standing.act == ActKind::FindFault { by_catch } else { by_history.or(by_catch) }
}

/// The records of a line with the bodies that hold.
fn effective(events: &[Event]) -> impl Iterator<Item = (&Record, &Body)> {
    events.iter().filter_map(|event| match &event.outcome {
        Outcome::Stands => Some((&event.record, &event.record.body)),
        Outcome::Replaced { instead, .. } => Some((&event.record, instead)),
        Outcome::Withdrawn { .. } => None,
    })
}

/// Weeks since a record, where it is not of the future.
fn weeks_since(record: &Record, now: Timestamp) -> Option<f64> {
    let gone = now.duration_since(record.instant().ok()?);
    (gone >= SignedDuration::ZERO).then(|| gone.as_secs_f64() / (7.0 * 86_400.0))
}

/// What was poured of the present product in the catches of the last weeks, in portions of the recipe; over how many weeks, and in
/// how many catches. Nothing where none was taken.
fn poured<'a>(
    recipe: DrawRead,
    records: impl Iterator<Item = (&'a Record, &'a Body)>,
    now: Timestamp,
) -> Option<(f64, f64, usize)> {
    let recipe = recipe.draw().ok()?;
    let (mut shares, mut catches, mut first) = (0.0, 0, 0.0_f64);
    for (record, body) in records {
        let Some(weeks) = weeks_since(record, now) else { continue };
        let draw = match body {
            Body::CatchTaken { draw, .. } => draw,
            // Another product has another price.
            Body::ProductChanged { .. } => {
                (shares, catches, first) = (0.0, 0, 0.0);
                continue;
            }
            _ => continue,
        };
        first = first.max(weeks);
        let ran = draw.parse::<DrawRead>().ok().and_then(|draw| draw.draw().ok());
        let share = match (ran, recipe) {
            (Some(Draw::Time(ran)), Draw::Time(asked)) => ran.0 / asked.0,
            (Some(Draw::Doses(ran)), Draw::Doses(asked)) => f64::from(ran) / f64::from(asked),
            _ => continue,
        };
        if weeks <= CATCHES as f64 && share.is_finite() {
            shares += share;
            catches += 1;
        }
    }
    // Of a line that is younger than that, the weeks since its first catch.
    (catches > 0).then(|| (shares, first.clamp(1.0, CATCHES as f64), catches))
}

/// How many lines a record is about: the one that it names, or those in use of its machine or its site.
fn lines_of(estate: &Estate, address: &Address, record: &Record) -> usize {
    let (machine, line) = (&record.subject.machine, &record.subject.line);
    let Some(site) = estate.sites.get(&address.site).filter(|_| line.is_none()) else { return 1 };
    let machines = site.machines.iter().filter(|(key, known)| match machine {
        Some(machine) => key.as_str() == machine,
        None => !known.retired(),
    });
    let lines = machines.flat_map(|(_, known)| known.lines.values());
    lines.filter(|line| !line.retired).count().max(1)
}

/// What technicians cost a line, by the calls whose cost is on record, a number for each currency; and how many calls have none. A
/// call for several lines is divided by their number.
fn calls<'a>(
    estate: &Estate,
    address: &Address,
    records: impl Iterator<Item = (&'a Record, &'a Body)>,
    now: Timestamp,
) -> (Vec<MoneyItem>, usize) {
    let mut sums: Vec<(money::Currency, f64, usize, bool)> = Vec::new();
    let mut silent = 0;
    for (record, body) in records {
        let Body::TechnicianCalled { cost, .. } = body else { continue };
        if weeks_since(record, now).is_none_or(|weeks| weeks > CALLS as f64) {
            continue;
        }
        let read = cost.as_deref().and_then(|cost| money::amount(cost).ok());
        let Some((amount, currency)) = read.and_then(|(n, of)| Some((n.to_f64()?, of))) else {
            silent += 1;
            continue;
        };
        let lines = lines_of(estate, address, record);
        let (share, shared) = (amount / lines as f64, lines > 1);
        match sums.iter_mut().find(|sum| sum.0 == currency) {
            Some(sum) => *sum = (currency, sum.1 + share, sum.2 + 1, sum.3 || shared),
            None => sums.push((currency, share, 1, shared)),
        }
    }
    let items = sums.into_iter().map(|(currency, sum, calls, shared)| {
        let of = match shared {
            true => ": a call for several lines is divided by their number",
            false => "",
        };
        let reason =
            format!("{} in {CALLS} weeks came to {sum:.2} {currency}{of}", many(calls, "call"));
        MoneyItem::new("technician", sum / CALLS as f64, currency, reason)
    });
    (items.collect(), silent)
}

#[cfg(test)]
mod tests;
