//! A visit: catches of one line in one state, with one measure, one after another.

use jiff::{SignedDuration, Timestamp};
use ouncewise_ledger::{Body, LineState, Record};
use ouncewise_measure::{AmountRead, Catch, Draw, DrawRead, Quantity};
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
        let Body::CatchTaken { state, amount, draw, measure, water, water_draw, temperature } =
            body
        else {
            return None;
        };
        let catch = || {
            let draw_read = parse::<DrawRead>(draw)?;
            let caught = match water {
                Some(water) => Some((
                    parse::<AmountRead>(water)?.amount().map_err(|e| e.to_string())?,
                    match water_draw {
                        Some(text) => parse::<DrawRead>(text)?.draw().map_err(|e| e.to_string())?,
                        None => draw_read.draw().map_err(|e| e.to_string())?,
                    },
                )),
                None => None,
            };
            let temperature = match temperature {
                Some(text) => parse::<Quantity>(text)?.temperature(),
                None => None,
            };
            let catch = Catch {
                amount: parse::<AmountRead>(amount)?.amount().map_err(|e| e.to_string())?,
                draw: draw_read.draw().map_err(|e| e.to_string())?,
                temperature,
                water: caught,
            };
            let read = match water {
                Some(water) => format!("{amount} in {draw}, water {water}"),
                None => format!("{amount} in {draw}"),
            };
            Ok(Self { state: *state, measure: measure.clone(), catch, read })
        };
        Some(catch())
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
