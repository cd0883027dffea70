//! One line of the machine on the sheet.

use ouncewise_estate::{Address, Estate, Key, Line as LineOf, Piece, Site};
use ouncewise_estimate::Standing;
use serde::Serialize;

use super::Print;
use super::catching::{self, Kept, catching};
use super::last;
use super::legend::Note;
use super::readout::{Readout, asked};

/// One line: what the recipe asks, what readings mean, and room for a pen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Key of the line.
    pub line: String,
    /// What it is called, or what it carries.
    pub name: String,
    /// Allergens in the product's own words.
    pub allergens: Vec<String>,
    /// What the recipe asks: `30 mL ± 5 %`; `2 × 8 mL ± 6 %` where two of its draws are caught at once.
    pub asks: String,
    /// Key of the measure, where it is known.
    pub measure: Option<String>,
    /// How it is drawn, and into what: `7 s into cylinder`, `2 doses onto scale`, `fill cup to 30 mL`.
    pub draw: String,
    /// On a ratio line: the water, which comes first.
    pub water: Option<Water>,
    /// What readings mean.
    pub says: Says,
    /// How far a step of the adjuster goes: `1/8 turn: 0.75 mL`.
    pub how_far: String,
    /// What the last catch said, where it asks for something.
    pub last: Option<String>,
    /// What is written by pen, once as found and once as left.
    pub pen: Pen,
}

/// The water of a ratio line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Water {
    /// What the recipe asks, as written.
    pub asks: String,
    /// Between these it is right; `None` where this measure cannot show it.
    pub leave: Option<(String, String)>,
    /// Unit of the readings.
    pub unit: &'static str,
}

/// What readings mean.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "says", rename_all = "kebab-case")]
pub enum Says {
    /// Windows of readings.
    Windows(Window),
    /// Only the side of a mark is read.
    Marks {
        /// The mark.
        mark: String,
        /// What to do when it stands under the mark.
        under: String,
        /// At it.
        at: String,
        /// Over it.
        over: String,
    },
    /// It cannot be judged; why, and how to mend it.
    Trouble {
        /// In words.
        why: String,
    },
}

/// Windows of readings, as printed. In a gap between two of them the line is caught again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Window {
    /// Unit of the readings.
    pub unit: &'static str,
    /// At this or beyond it, away from the middle, too little comes.
    pub too_little: Option<String>,
    /// Where to leave it.
    pub leave: Leave,
    /// At this or beyond it, too much comes.
    pub too_much: Option<String>,
    /// Seconds to fill to a mark: a larger number is less.
    pub fewer_is_more: bool,
}

/// Where to leave a line alone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "leave", rename_all = "kebab-case")]
pub enum Leave {
    /// Between these, ends included.
    Between {
        /// The least.
        least: String,
        /// The most.
        most: String,
    },
    /// One catch cannot show it; the mean of so many can, between these.
    Mean {
        /// How many.
        catches: u32,
        /// The least.
        least: String,
        /// The most.
        most: String,
    },
    /// This measure cannot show it, and another one of this kitchen can.
    With {
        /// Key of that one.
        measure: String,
    },
    /// Nothing in this kitchen can show it.
    Never,
}

/// What is written by pen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pen {
    /// The amount.
    pub amount: PenAmount,
    /// Whether the seconds are written as well.
    pub seconds: bool,
}

/// How an amount is written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "read", rename_all = "kebab-case")]
pub enum PenAmount {
    /// As a number.
    Number {
        /// Its unit.
        unit: &'static str,
    },
    /// It is always the same: what the cup is filled to.
    Given {
        /// With its unit.
        amount: String,
    },
    /// As the side of a mark.
    Side,
    /// As whatever is read, with its unit.
    Any,
}

/// A row, and what is said of several rows at once.
pub(super) struct Made {
    pub row: Row,
    pub notes: Vec<Note>,
}

/// The rows of a machine's lines that are in use.
pub(super) fn rows(
    estate: &Estate,
    site: &str,
    machine: &str,
    standings: &[Standing],
    print: &Print<'_>,
) -> Vec<Made> {
    let Some((here, stands)) = estate.sites.get(site).zip(estate.machine(site, machine)) else {
        return Vec::new();
    };
    let mut lines: Vec<(&Key, &LineOf)> =
        stands.lines.iter().filter(|(_, line)| !line.retired).collect();
    lines.sort_by(|a, b| a.0.natural_cmp(b.0));
    lines
        .into_iter()
        .filter_map(|(key, line)| {
            let address = Address::new(site, machine, key).ok()?;
            let standing = standings.iter().find(|standing| standing.address == address);
            Some(row(estate, here, &address, line, standing, print))
        })
        .collect()
}

fn row(
    estate: &Estate,
    site: &Site,
    address: &Address,
    line: &LineOf,
    standing: Option<&Standing>,
    print: &Print<'_>,
) -> Made {
    let product = estate.products.get(&line.product);
    let measure = usual(site, line, print.measure);
    let read = measure
        .and_then(|key| estate.measures.get(&site.measures.get(key)?.kind))
        .map(|kind| Readout::of(kind).unit);
    let mut row = Row {
        line: address.line.to_string(),
        name: estate.line_name(address).to_owned(),
        allergens: product.map(|p| p.allergens.clone()).unwrap_or_default(),
        asks: format!("{} ± {}", asked(line.target, read, print.units), line.tolerance),
        measure: measure.map(Key::to_string),
        draw: line.draw.to_string(),
        water: None,
        says: Says::Trouble { why: String::new() },
        how_far: String::new(),
        last: standing.and_then(|standing| last::words(standing, print.units)),
        pen: Pen { amount: PenAmount::Any, seconds: false },
    };
    let kept = match kept(estate, site, address, measure) {
        Ok(kept) => kept,
        Err(why) => return trouble(row, why),
    };
    if catching::too_small(&kept) {
        let why = format!("{} ({}) does not hold what the recipe asks", kept.key, kept.kind.name);
        return trouble(row, why);
    }
    let others: Vec<Kept<'_>> = site
        .measures
        .iter()
        .filter(|(key, piece)| !piece.retired && *key != kept.key)
        .filter_map(|(key, _)| self::kept(estate, site, address, Some(key)).ok())
        .collect();
    match catching(line, &kept, &others) {
        Ok(made) => {
            row.draw = made.draw;
            if made.times > 1 {
                row.asks = format!("{} × {}", made.times, row.asks);
            }
            row.water = made.water;
            row.says = made.says;
            row.how_far = made.how_far;
            row.pen = made.pen;
            Made { row, notes: made.notes }
        }
        Err(why) => trouble(row, why.to_string()),
    }
}

fn trouble(mut row: Row, why: String) -> Made {
    let note =
        Note::new("Write down what you read of".to_owned(), &format!("all the same: {why}."));
    row.says = Says::Trouble { why };
    Made { row, notes: vec![note] }
}

/// The measure that is used: the one that was asked for, the line's usual one, or the only one that is kept.
fn usual<'a>(site: &'a Site, line: &'a LineOf, asked: Option<&str>) -> Option<&'a Key> {
    if let Some(key) = asked.or(line.measure.as_deref()) {
        return site.measures.get_key_value(key).map(|(key, _)| key);
    }
    let mut kept = site.measures.iter().filter(|(_, piece)| !piece.retired);
    let (only, more) = (kept.next(), kept.next());
    only.filter(|_| more.is_none()).map(|(key, _)| key)
}

/// A line with one of the site's measures.
fn kept<'a>(
    estate: &'a Estate,
    site: &'a Site,
    address: &Address,
    measure: Option<&'a Key>,
) -> Result<Kept<'a>, String> {
    // Without a measure, the estate says which are missing.
    let setup = estate.setup(address, measure.map(Key::as_str)).map_err(|e| e.to_string())?;
    let piece: Option<(&Key, &Piece)> =
        measure.and_then(|key| site.measures.get_key_value(key.as_str()));
    let kind = piece.and_then(|(key, piece)| Some((key, estate.measures.get(&piece.kind)?)));
    let (key, kind) = kind.ok_or_else(|| "no measure is named".to_owned())?;
    Ok(Kept { key, kind, setup })
}
