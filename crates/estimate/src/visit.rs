//! A visit: catches of one line in one state, with one measure, one after another.

use jiff::{SignedDuration, Timestamp};
use ouncewise_ledger::{Body, LineState, Record};
use ouncewise_measure::{Amount, AmountRead, Catch, Draw, DrawRead, Quantity};
use rustc_hash::FxHashMap;
use uuid::Uuid;

/// Catches further apart than this are two visits.
pub(crate) const LONGEST_PAUSE: SignedDuration = SignedDuration::from_hours(6);

/// Catches that are judged together.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// When the last of them was taken, as the device wrote it.
    pub at: String,
    /// The same as an instant.
    pub instant: Timestamp,
    /// As found or as left.
    pub state: LineState,
    /// Key of the measure.
    pub measure: String,
    /// The catches, with the records that hold them.
    pub catches: Vec<(Uuid, Catch)>,
    /// The catches as read: `29.6 mL in 7.1 s`.
    pub read: Vec<String>,
}

/// A catch as a record holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct CatchRead {
    state: LineState,
    measure: String,
    catch: Catch,
    read: String,
}

impl CatchRead {
    /// Reads the body of a catch record; other bodies give nothing.
    ///
    /// # Errors
    ///
    /// Where a text cannot be read as a quantity: says which and why.
    pub fn from_body(body: &Body) -> Option<Result<Self, String>> {
        Self::spelt(body, &mut Spellings::default())
    }

    /// The same, where spellings that were met before are known.
    pub(crate) fn spelt<'a>(
        body: &'a Body,
        spellings: &mut Spellings<'a>,
    ) -> Option<Result<Self, String>> {
        let Body::CatchTaken { state, amount, draw, measure, water, .. } = body else {
            return None;
        };
        Some(spellings.catch(body)?.map(|catch| Self {
            state: *state,
            measure: measure.clone(),
            catch,
            read: match water {
                Some(water) => format!("{amount} in {draw}, water {water}"),
                None => format!("{amount} in {draw}"),
            },
        }))
    }

    /// Key of the measure.
    pub(crate) fn measure(&self) -> &str {
        &self.measure
    }

    /// The catch.
    pub(crate) fn catch(&self) -> Catch {
        self.catch
    }
}

fn parse<T: std::str::FromStr>(text: &str) -> Result<T, String>
where
    T::Err: std::fmt::Display,
{
    text.parse().map_err(|e: T::Err| e.to_string())
}

/// What amounts and draws mean by their spelling: a history spells few of them, thousands of times.
#[derive(Debug, Default)]
pub(crate) struct Spellings<'a> {
    amounts: FxHashMap<&'a str, Result<Amount, String>>,
    draws: FxHashMap<&'a str, Result<Draw, String>>,
}

impl<'a> Spellings<'a> {
    fn amount(&mut self, text: &'a str) -> Result<Amount, String> {
        if let Some(known) = self.amounts.get(text) {
            return known.clone();
        }
        let read = || parse::<AmountRead>(text)?.amount().map_err(|e| e.to_string());
        self.amounts.entry(text).or_insert_with(read).clone()
    }

    fn draw(&mut self, text: &'a str) -> Result<Draw, String> {
        if let Some(known) = self.draws.get(text) {
            return known.clone();
        }
        let read = || parse::<DrawRead>(text)?.draw().map_err(|e| e.to_string());
        self.draws.entry(text).or_insert_with(read).clone()
    }

    /// The catch that a body holds; other bodies give nothing.
    ///
    /// # Errors
    ///
    /// Where a text cannot be read as a quantity: says which and why.
    pub(crate) fn catch(&mut self, body: &'a Body) -> Option<Result<Catch, String>> {
        let Body::CatchTaken { amount, draw, water, water_draw, temperature, .. } = body else {
            return None;
        };
        let mut catch = || {
            let draw = self.draw(draw)?;
            let water = match water {
                Some(water) => {
                    let caught = self.amount(water)?;
                    Some((caught, water_draw.as_deref().map_or(Ok(draw), |text| self.draw(text))?))
                }
                None => None,
            };
            let temperature = match temperature {
                Some(text) => parse::<Quantity>(text)?.temperature(),
                None => None,
            };
            Ok(Catch { amount: self.amount(amount)?, draw, temperature, water })
        };
        Some(catch())
    }
}

impl Visit {
    /// Begins a visit.
    #[must_use]
    pub fn begin(record: &Record, instant: Timestamp, catch: CatchRead) -> Self {
        Self {
            at: record.at.clone(),
            instant,
            state: catch.state,
            measure: catch.measure,
            catches: vec![(record.id, catch.catch)],
            read: vec![catch.read],
        }
    }

    /// Adds a catch, or gives it back if it belongs to another visit: another
    /// state, another measure, another length of draw, or much later.
    pub fn add(
        &mut self,
        record: &Record,
        instant: Timestamp,
        catch: CatchRead,
    ) -> Option<CatchRead> {
        let same = self.state == catch.state
            && self.measure == catch.measure
            && self.catches.last().is_some_and(|(_, last)| last.draw == catch.catch.draw)
            && instant.duration_since(self.instant) <= LONGEST_PAUSE;
        if !same {
            return Some(catch);
        }
        self.at.clone_from(&record.at);
        self.instant = instant;
        self.catches.push((record.id, catch.catch));
        self.read.push(catch.read);
        None
    }

    /// The draw of its latest catch.
    #[must_use]
    pub fn draw(&self) -> Option<Draw> {
        self.catches.last().map(|(_, catch)| catch.draw)
    }

    /// Whether another visit is of the same occasion: in the same state, and not much later.
    #[must_use]
    pub fn at_once(&self, later: &Self) -> bool {
        self.state == later.state && later.instant.duration_since(self.instant) <= LONGEST_PAUSE
    }

    /// The catches alone.
    #[must_use]
    pub fn plain(&self) -> Vec<Catch> {
        self.catches.iter().map(|(_, catch)| *catch).collect()
    }
}
