//! From checked values to drafts: identity, order and the limits of what can be.

use std::collections::{HashMap, HashSet};
use std::hash::{DefaultHasher, Hash, Hasher};

use jiff::Timestamp;
use ouncewise_ledger::record::VERSION;
use ouncewise_ledger::{Body, Draft, Entered, LineState, Record, Scope, Subject, derive_id};
use ouncewise_measure::quantity::{Dimension, Fault, QuantityError};
use ouncewise_measure::{Amount, AmountRead, Draw, DrawRead, Metering, Quantity, Unit};
use uuid::Uuid;

use super::code::{Code, Refusal};
use super::index::{Index, Spot};
use super::when::When;
use crate::measure_kind::Reads;

/// More than this is no portion: 20 L, in mL; 20 kg, in g.
const MOST: f64 = 20_000.0;
/// More than this many times the recipe is a slip of the unit, not a reading.
const TIMES_TARGET: f64 = 20.0;
/// A draw longer than an hour is no draw.
const LONGEST_DRAW: f64 = 3600.0;
/// More doses than anybody catches.
const MOST_DOSES: u32 = 1000;
/// Longest name of a person, and longest note, in bytes.
const LONGEST_NAME: usize = 200;
const LONGEST_NOTE: usize = 8000;

/// What a row says happened, before it has an identity.
pub(super) struct Fact<'a> {
    pub(super) spot: Spot<'a>,
    pub(super) part: Option<&'a str>,
    pub(super) when: When,
    pub(super) id: Option<Uuid>,
    pub(super) sequence: Option<u64>,
    pub(super) body: Body,
    pub(super) person: &'a str,
    pub(super) note: &'a str,
}

/// Makes drafts of one file; remembers what it saw.
pub(super) struct Builder<'a> {
    pub(super) index: Index<'a>,
    pub(super) now: Timestamp,
    /// First 64 bits of ids given out, and how often where more than once.
    seen: HashSet<u64>,
    again: HashMap<u64, u64>,
    /// For rows that state their own place: what they said.
    stated: HashMap<Uuid, u64>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(index: Index<'a>, now: Timestamp) -> Builder<'a> {
        Builder { index, now, seen: HashSet::new(), again: HashMap::new(), stated: HashMap::new() }
    }

    /// Gives a fact its moment, identity and order. `row` is all text of the row: two equal rows are a
    /// duplicate where they claim the same place, and two catches where they do not.
    pub(super) fn draft(&mut self, fact: Fact<'_>, row: &str) -> Result<Draft, Refusal> {
        if fact.person.len() > LONGEST_NAME || fact.note.len() > LONGEST_NOTE {
            return Err(Refusal::new(0, Code::CellUnclear, "the name or the note is too long")
                .hint("a quotation mark may be missing"));
        }
        let moment =
            fact.when.at(self.index.rules(fact.spot.site), self.now).map_err(|r| r.column("at"))?;
        let (kind, state, stage) = sort(&fact.body);
        let key = [
            fact.spot.site_key.as_str(),
            fact.spot.machine_key.as_str(),
            fact.spot.line_key.as_str(),
            &moment.written,
            kind,
            fact.part.unwrap_or(state),
        ];
        let (id, occurrence) = match (fact.id, fact.sequence) {
            (Some(id), _) => (id, self.stated(id, row)?),
            (None, Some(sequence)) => {
                let id = derive_id(&key, sequence);
                (id, self.stated(id, row)?)
            }
            (None, None) => self.next(&key),
        };
        // Within one moment: as found, then what was done, then as left.
        let sequence = fact.sequence.unwrap_or(stage * 1_000_000 + occurrence);
        Ok(Draft {
            record: Record {
                v: VERSION,
                id,
                scope: Scope::site(fact.spot.site_key)
                    .map_err(|e| Refusal::new(0, Code::UnknownSite, e.to_string()))?,
                subject: Subject {
                    machine: Some(fact.spot.machine_key.to_string()),
                    line: Some(fact.spot.line_key.to_string()),
                    part: fact.part.map(str::to_owned),
                },
                at: moment.at,
                device: "import".to_owned(),
                sequence,
                by: None,
                entered: Entered::Imported,
                note: None,
                body: fact.body,
            },
            person: some(fact.person),
            note: some(fact.note),
        })
    }

    /// A row that states its id or sequence: refused where another row has the same.
    fn stated(&mut self, id: Uuid, row: &str) -> Result<u64, Refusal> {
        let mut hasher = DefaultHasher::new();
        row.hash(&mut hasher);
        let said = hasher.finish();
        match self.stated.insert(id, said) {
            None => Ok(0),
            Some(earlier) if earlier == said => {
                Err(Refusal::new(0, Code::Duplicate, "the same row is above")
                    .hint("delete one; if it was caught twice, give each its own sequence"))
            }
            Some(_) => Err(Refusal::new(
                0,
                Code::Clash,
                "a row above has the same place in the order and says something else",
            )
            .hint("give each its own sequence or id")),
        }
    }

    /// The id of the next occurrence of a natural key.
    fn next(&mut self, key: &[&str]) -> (Uuid, u64) {
        let first = derive_id(key, 0);
        let short = first.as_u64_pair().0;
        if self.seen.insert(short) {
            return (first, 0);
        }
        let count = self.again.entry(short).or_insert(0);
        *count += 1;
        (derive_id(key, *count), *count)
    }
}

/// Kind and state for the natural key, and the place of such a record within one moment.
fn sort(body: &Body) -> (&'static str, &'static str, u64) {
    match body {
        Body::CatchTaken { state: LineState::AsFound, .. } => ("catch-taken", "as-found", 0),
        Body::ProductChanged { .. } => ("product-changed", "", 1),
        Body::ContainerChanged { .. } => ("container-changed", "", 1),
        Body::PartInspected { .. } => ("part-inspected", "", 2),
        Body::PartReplaced { .. } => ("part-replaced", "", 2),
        Body::LineAdjusted { .. } => ("line-adjusted", "", 3),
        Body::CatchTaken { state: LineState::AsLeft, .. } => ("catch-taken", "as-left", 4),
        _ => ("claim-made", "", 5),
    }
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

/// What was read of one catch.
pub(super) struct Reading<'t> {
    pub(super) amount: AmountRead,
    pub(super) draw: DrawRead,
    pub(super) measure: &'t str,
    pub(super) state: LineState,
    pub(super) water: Option<AmountRead>,
    pub(super) water_draw: Option<DrawRead>,
    pub(super) temperature: Option<Quantity>,
}

impl Reading<'_> {
    /// Checks a catch against its line and measure.
    pub(super) fn body(&self, index: &Index<'_>, spot: &Spot<'_>) -> Result<Body, Refusal> {
        self.check_draw(spot)?;
        let (measure, kind) =
            index.find_measure(spot, self.measure).map_err(|r| r.column("measure"))?;
        let amount = self.amount.amount().map_err(|e| misread(&e).column("amount"))?;
        let weighed = matches!(amount, Amount::Mass(_));
        if let Some(kind) = kind {
            let scale = matches!(kind.reads, Reads::Scale { .. });
            if weighed != scale {
                let (what, reads) = if scale {
                    ("a volume", "a scale, which reads a weight")
                } else {
                    ("a weight", "a vessel, which reads a volume")
                };
                return Err(Refusal::new(
                    0,
                    Code::WrongUnit,
                    format!("`{}` is {what}, and {measure} is {reads}", self.amount),
                )
                .column("unit")
                .hint("mend the unit, or name the measure that was used"));
            }
            let most =
                kind.capacity.and_then(|c| c.volume().map(|v| v.0).or(c.mass().map(|m| m.0)));
            // A cup can be filled over its last mark; half as much again cannot.
            if most.is_some_and(|most| size(amount) > 1.5 * most) {
                return Err(impossible(format!("`{}` does not fit into {measure}", self.amount))
                    .column("amount"));
            }
        }
        if size(amount) > MOST || self.over_target(spot, amount) {
            return Err(impossible(format!(
                "`{}` is far more than the portion of {}",
                self.amount, spot.line.target
            ))
            .column("amount"));
        }
        if let Some(water) = &self.water {
            if spot.line.water.is_none() {
                return Err(Refusal::new(0, Code::WrongUnit, "the line has no water")
                    .column("water")
                    .hint("leave the cell empty, or describe the water of the line"));
            }
            let water = water.amount().map_err(|e| misread(&e).column("water"))?;
            if size(water) > MOST {
                return Err(impossible(format!(
                    "`{}` of water is more than any drink",
                    self.water.expect("some")
                ))
                .column("water"));
            }
        }
        if let Some(temperature) = self.temperature {
            let t = temperature.temperature().ok_or_else(|| {
                Refusal::new(0, Code::WrongUnit, format!("`{temperature}` is no temperature"))
                    .column("temperature")
                    .hint("write it as `4 °C` or `39 °F`")
            })?;
            if !(-30.0..=100.0).contains(&t.0) {
                return Err(impossible(format!("`{temperature}` is no temperature of a product"))
                    .column("temperature"));
            }
        }
        Ok(Body::CatchTaken {
            state: self.state,
            amount: self.amount.to_string(),
            draw: self.draw.to_string(),
            measure: measure.to_string(),
            water: self.water.map(|w| w.to_string()),
            water_draw: self.water_draw.map(|d| d.to_string()),
            temperature: self.temperature.map(|t| t.to_string()),
        })
    }

    fn check_draw(&self, spot: &Spot<'_>) -> Result<(), Refusal> {
        for (draw, column) in [(Some(self.draw), "seconds"), (self.water_draw, "water_seconds")] {
            match draw.map(|d| d.draw()) {
                None => {}
                Some(Err(error)) => return Err(misread(&error).column(column)),
                Some(Ok(Draw::Time(t))) if t.0 > LONGEST_DRAW => {
                    return Err(impossible(format!("`{}` is longer than any draw", self.draw))
                        .column(column));
                }
                Some(Ok(Draw::Doses(n))) if n > MOST_DOSES => {
                    return Err(impossible(format!(
                        "`{}` are more than anybody catches",
                        self.draw
                    ))
                    .column("doses"));
                }
                Some(Ok(_)) => {}
            }
        }
        match (spot.family.map(|f| f.metering), self.draw) {
            (Some(Metering::Rate), DrawRead::Doses(_)) => Err(Refusal::new(
                0,
                Code::DrawUnclear,
                "the line is metered by the second, and no seconds are given",
            )
            .column("seconds")),
            (Some(Metering::Dose), DrawRead::Time(_)) => Err(Refusal::new(
                0,
                Code::DrawUnclear,
                "the line is metered by the dose, and no doses are given",
            )
            .column("doses")),
            _ => Ok(()),
        }
    }

    /// Whether an amount is far over what the recipe asks in the same sort of unit, for this draw.
    fn over_target(&self, spot: &Spot<'_>, amount: Amount) -> bool {
        let target = match amount {
            Amount::Volume(_) | Amount::Mark(..) => spot.line.target.volume().map(|v| v.0),
            Amount::Mass(_) => spot.line.target.mass().map(|m| m.0),
        };
        let times = match (self.draw.draw(), spot.line.draw.draw()) {
            (Ok(Draw::Time(a)), Ok(Draw::Time(b))) => a.0 / b.0,
            (Ok(Draw::Doses(a)), Ok(Draw::Doses(b))) => f64::from(a) / f64::from(b),
            _ => 1.0,
        };
        target.is_some_and(|target| size(amount) > TIMES_TARGET * target * times.max(1.0))
    }
}

fn size(amount: Amount) -> f64 {
    match amount {
        Amount::Volume(v) | Amount::Mark(_, v) => v.0,
        Amount::Mass(m) => m.0,
    }
}

fn impossible(reason: String) -> Refusal {
    Refusal::new(0, Code::Impossible, reason).hint("mend the number or its unit")
}

/// A quantity that could not be read, as a refusal.
pub(super) fn misread(error: &QuantityError) -> Refusal {
    let code = match error.fault {
        Fault::NoUnit | Fault::WhichUnit | Fault::UnknownUnit => Code::UnitUnclear,
        Fault::WrongDimension => Code::WrongUnit,
        Fault::TooSmall | Fault::NotWhole => Code::Impossible,
        _ => Code::NotAnAmount,
    };
    Refusal::new(0, code, error.what.clone()).hint(error.mend.clone())
}

/// A number of seconds, or of doses, from cells that carry no unit.
pub(super) fn seconds(text: &str) -> Result<DrawRead, Refusal> {
    let draw = match plain(text) {
        Some(number) => DrawRead::Time(Quantity::new(number, Unit::Second)),
        None => text.parse::<DrawRead>().map_err(|e| misread(&e).column("seconds"))?,
    };
    match draw.draw() {
        Ok(_) => Ok(draw),
        Err(error) => Err(misread(&error).column("seconds")),
    }
}

/// A number without a unit, a point or one comma for decimals; quickly.
pub(super) fn plain(text: &str) -> Option<rust_decimal::Decimal> {
    let simple = text.len() <= 12
        && !text.is_empty()
        && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if simple && !text.starts_with('.') && !text.ends_with('.') {
        return text.parse().ok();
    }
    crate::percent::decimal(text)
}

/// Whether a unit is one of amounts.
pub(super) fn is_amount(unit: Unit) -> bool {
    matches!(unit.dimension(), Dimension::Volume | Dimension::Mass)
}
