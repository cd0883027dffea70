//! Files with our own columns: one row, one draft, or one refusal.

use std::collections::HashMap;
use std::io::Read;

use jiff::Timestamp;
use ouncewise_ledger::{Body, LineState};
use ouncewise_measure::{AmountRead, DrawRead, MarkSide, Quantity, Unit};
use uuid::Uuid;

use super::build::{Builder, Fact};
use super::code::{Code, Refusal};
use super::index::{About, Index};
use super::reading::{Reading, is_amount, misread, plain, seconds};
use super::rounds;
use super::table::{Table, TableRow};
use super::when::When;
use super::{Row, many};
use crate::fault::nearest;
use crate::{Estate, Percent};

/// Which sort of file it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Door {
    /// Catches.
    Catches,
    /// Adjustments of lines.
    Adjustments,
    /// Parts replaced or inspected.
    Parts,
    /// Products and containers changed.
    Products,
    /// What was recorded of rounds: boxes, solutions, strips, contact, flushing, draining.
    Rounds,
}

macro_rules! columns {
    ($($name:ident = $text:literal;)*) => {
        /// The columns that are known.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[expect(non_camel_case_types, reason = "a column is named as it is written")]
        enum Column { $($name,)* }

        impl Column {
            const ALL: &[(&str, Column)] = &[$(($text, Column::$name),)*];
        }
    };
}

columns! {
    at = "at"; site = "site"; machine = "machine"; line = "line"; amount = "amount"; unit = "unit"; mark = "mark";
    seconds = "seconds"; doses = "doses"; measure = "measure"; by = "by"; state = "state"; sequence = "sequence";
    id = "id"; note = "note"; temperature = "temperature"; water = "water"; water_seconds = "water_seconds";
    done = "done"; setting = "setting"; meant = "meant"; part = "part"; found = "found"; number = "number"; lot = "lot";
    why = "why";
    product = "product"; kind = "kind"; profile = "profile"; edition = "edition"; program = "program";
    procedure = "procedure"; holds = "holds"; name = "name"; registration = "registration"; expiry = "expiry";
    active = "active"; contact = "contact"; strength = "strength";
    signal_word = "signal_word"; dose = "dose"; ph = "ph"; hardness = "hardness"; from_box = "box";
    reading = "reading"; place = "place"; lasted = "lasted"; stage = "stage"; vented = "vented";
    lubricant = "lubricant"; statement = "statement"; opened = "opened"; happened = "happened"; released = "released";
    complete = "complete"; reason = "reason";
}

impl Door {
    /// Columns that must be there.
    #[must_use]
    pub fn required(self) -> &'static [&'static str] {
        match self {
            Door::Catches => &["at", "site", "machine", "line", "state"],
            Door::Adjustments => &["at", "site", "machine", "line", "done"],
            Door::Parts => &["at", "site", "machine", "line", "part"],
            Door::Products => &["at", "site", "machine", "line", "product"],
            Door::Rounds => &["at", "site", "machine", "kind"],
        }
    }

    /// Columns that may be there.
    #[must_use]
    pub fn optional(self) -> &'static [&'static str] {
        match self {
            Door::Catches => &[
                "amount",
                "unit",
                "mark",
                "seconds",
                "doses",
                "measure",
                "by",
                "sequence",
                "id",
                "note",
                "temperature",
                "water",
                "water_seconds",
            ],
            Door::Adjustments => &["setting", "meant", "by", "sequence", "id", "note"],
            Door::Parts => &["found", "number", "lot", "why", "by", "sequence", "id", "note"],
            Door::Products => &["lot", "by", "sequence", "id", "note"],
            Door::Rounds => rounds::OPTIONAL,
        }
    }

    /// Pairs of columns of which one must be there.
    fn either(self) -> &'static [[&'static str; 2]] {
        if self == Door::Catches { &[["amount", "mark"], ["seconds", "doses"]] } else { &[] }
    }
}

/// The rows of such a file, streamed.
pub struct Known<'a, R: Read> {
    table: Table<R>,
    door: Door,
    headings: Vec<String>,
    places: [usize; Column::ALL.len()],
    builder: Builder<'a>,
    row: TableRow,
    unit: (String, Option<Unit>),
    /// Boxes that rows above opened, by site and by name or lot.
    boxes: HashMap<(String, String), Uuid>,
    ended: bool,
}

/// A column that is not in the file.
const ABSENT: usize = usize::MAX;

impl<'a, R: Read> Known<'a, R> {
    /// Reads the heading. `now` is the moment after which a date is in the future.
    ///
    /// # Errors
    /// All that is wrong with the heading.
    pub fn open(
        mut table: Table<R>,
        door: Door,
        estate: &'a Estate,
        now: Timestamp,
    ) -> Result<Known<'a, R>, Vec<Refusal>> {
        let mut row = TableRow::default();
        loop {
            match table.read(&mut row) {
                Ok(true) if row.is_empty() => {}
                Ok(true) => break,
                Ok(false) => {
                    return Err(vec![Refusal::new(0, Code::NoHeading, "the file is empty")]);
                }
                Err(refusal) => return Err(vec![refusal]),
            }
        }
        if let Some(refusal) = row.refusal() {
            return Err(vec![refusal]);
        }
        let headings: Vec<String> = row.iter().map(str::to_lowercase).collect();
        let places = places(door, &headings, row.number)?;
        Ok(Known {
            table,
            door,
            headings,
            places,
            builder: Builder::new(Index::new(estate), now),
            row,
            unit: (String::new(), None),
            boxes: HashMap::new(),
            ended: false,
        })
    }

    /// The door that this was opened as.
    #[must_use]
    pub fn door(&self) -> Door {
        self.door
    }

    fn take(&mut self) -> Row {
        let number = self.row.number;
        if self.row.is_empty() {
            return Row::Listed(Refusal::new(number, Code::Blank, "blank row"));
        }
        let row = std::mem::take(&mut self.row);
        let result = self.draft(&row);
        self.row = row;
        match result {
            Ok(draft) => Row::Draft { row: number, draft },
            Err(mut refusal) => {
                refusal.row = number;
                Row::Refused(refusal)
            }
        }
    }

    fn draft(&mut self, row: &TableRow) -> Result<ouncewise_ledger::Draft, Refusal> {
        if let Some(refusal) = row.refusal() {
            return Err(refusal);
        }
        if (self.headings.len()..row.len()).any(|c| !row.get(c).is_empty()) {
            return Err(Refusal::new(
                0,
                Code::TooManyCells,
                format!(
                    "the row has {}, and the heading {}",
                    many(row.len(), "cell"),
                    self.headings.len()
                ),
            )
            .hint("put text with commas into quotation marks"));
        }
        let get = |column: Column| {
            let place = self.places[column as usize];
            if place == ABSENT { "" } else { row.get(place) }
        };
        let when = match get(Column::at) {
            "" => return Err(Refusal::new(0, Code::EmptyCell, "the date is not given").column("at")),
            text => When::iso(text).ok_or_else(|| {
                Refusal::new(0, Code::NotADate, format!("{text:?} is not a date as this file has them"))
                    .column("at")
                    .hint("write it as 2026-03-02 or 2026-03-02T06:41; other styles are read by `load sheet`")
            })?,
        };
        let index = &mut self.builder.index;
        let (site, machine, line) = (get(Column::site), get(Column::machine), get(Column::line));
        let (spot, about) = match self.door {
            Door::Rounds if machine.is_empty() && rounds::of_site(get(Column::kind)) => {
                (None, index.find_whole_site(site))
            }
            Door::Rounds | Door::Parts => (None, index.find_machine_or_line(site, machine, line)),
            Door::Catches | Door::Adjustments | Door::Products => {
                match index.find_line(site, machine, line) {
                    Ok(spot) => (Some(spot), Ok(spot.into())),
                    Err(refusal) => (None, Err(refusal)),
                }
            }
        };
        let about: About<'_> = about.map_err(|r| match r.code {
            Code::UnknownSite => r.column("site"),
            Code::UnknownMachine => r.column("machine"),
            Code::UnknownLine => r.column("line"),
            _ => r,
        })?;
        let id = match get(Column::id) {
            "" => None,
            text => Some(
                Uuid::try_parse(text)
                    .ok()
                    .filter(|id| matches!(id.get_version_num(), 7 | 8))
                    .ok_or_else(|| {
                        Refusal::new(
                            0,
                            Code::NotAnId,
                            format!("{text:?} is not a UUID of version 7 or 8"),
                        )
                        .column("id")
                        .hint("leave it empty: an id is then made from the row")
                    })?,
            ),
        };
        let sequence = match get(Column::sequence) {
            "" => None,
            text => Some(text.parse::<u64>().ok().filter(|n| *n < 1 << 53).ok_or_else(|| {
                Refusal::new(0, Code::NotASequence, format!("{text:?} is not a whole number"))
                    .column("sequence")
                    .hint("write 1, 2, 3… in the order of the day")
            })?),
        };
        let mut part = None;
        let body = match (self.door, spot) {
            (Door::Catches, Some(spot)) => {
                let reading = reading(&get, &mut self.unit)?;
                reading.body(&self.builder.index, &spot)?
            }
            (Door::Products, _) => self.product_change(&get)?,
            (Door::Parts, _) => {
                if let Some(machine) = about.machine {
                    let found = self.builder.index.find_part(machine, get(Column::part));
                    part = Some(found.map_err(|r| r.column("part"))?.as_str());
                }
                part_change(&get)?
            }
            (Door::Rounds, _) => {
                let under = |name: &str| {
                    let column = Column::ALL.iter().find(|(text, _)| *text == name);
                    column.map_or("", |(_, column)| get(*column))
                };
                let boxed = |text: &str| {
                    self.boxes.get(&(about.site_key.to_string(), text.to_lowercase())).copied()
                };
                rounds::body(get(Column::kind), under, boxed)?
            }
            (Door::Adjustments, _) | (Door::Catches, None) => adjustment(&get)?,
        };
        let opened = match &body {
            Body::BoxOpened { name, lot, .. } => {
                [Some(name), lot.as_ref()].map(|text| text.map(|text| text.to_lowercase()))
            }
            _ => [None, None],
        };
        let fact = Fact {
            about,
            part,
            when,
            id,
            sequence,
            body,
            person: get(Column::by),
            note: get(Column::note),
        };
        let draft = self.builder.draft(fact, row.cells.as_slice())?;
        for text in opened.into_iter().flatten() {
            self.boxes.insert((about.site_key.to_string(), text), draft.record.id);
        }
        Ok(draft)
    }

    fn product_change<'t>(&self, get: &impl Fn(Column) -> &'t str) -> Result<Body, Refusal> {
        match (get(Column::product), get(Column::lot)) {
            ("", "") => Err(Refusal::new(
                0,
                Code::EmptyCell,
                "neither a product nor the lot of a container is given",
            )
            .column("product")),
            ("", lot) => Ok(Body::ContainerChanged { lot: Some(clean(lot)) }),
            (product, _) => {
                let product =
                    self.builder.index.find_product(product).map_err(|r| r.column("product"))?;
                Ok(Body::ProductChanged { product: product.to_string() })
            }
        }
    }
}

impl<R: Read> Iterator for Known<'_, R> {
    type Item = Row;

    fn next(&mut self) -> Option<Row> {
        if self.ended {
            return None;
        }
        match self.table.read(&mut self.row) {
            Ok(true) => Some(self.take()),
            Ok(false) => {
                self.ended = true;
                None
            }
            Err(refusal) => {
                self.ended = true;
                Some(Row::Refused(refusal))
            }
        }
    }
}

/// Where each known column is; every fault of the heading at once.
fn places(
    door: Door,
    headings: &[String],
    row: u64,
) -> Result<[usize; Column::ALL.len()], Vec<Refusal>> {
    let mut places = [ABSENT; Column::ALL.len()];
    let mut faults = Vec::new();
    let known: Vec<&str> = door.required().iter().chain(door.optional()).copied().collect();
    for (place, heading) in headings.iter().enumerate() {
        // A column without a heading may hold nothing; one that begins with # is the writer's own.
        if heading.is_empty() || heading.starts_with('#') {
            continue;
        }
        let name = heading.replace([' ', '-'], "_");
        match Column::ALL.iter().find(|(text, _)| *text == name && known.contains(text)) {
            Some((_, column)) if places[*column as usize] == ABSENT => {
                places[*column as usize] = place;
            }
            Some(_) => faults.push(
                Refusal::new(row, Code::TwiceColumn, format!("column {heading:?} is there twice"))
                    .column(heading),
            ),
            None => {
                let fault = Refusal::new(
                    row,
                    Code::UnknownColumn,
                    format!("column {heading:?} is not known here"),
                )
                .column(heading);
                faults.push(match nearest(&name, known.iter().copied()) {
                    Some(near) => fault.hint(format!("did you mean {near:?}? put # before a heading whose column shall not be read")),
                    None => fault.hint(format!("known are: {}; put # before a heading whose column shall not be read", known.join(", "))),
                });
            }
        }
    }
    let there = |name: &str| {
        Column::ALL.iter().any(|(text, column)| *text == name && places[*column as usize] != ABSENT)
    };
    for name in door.required().iter().filter(|name| !there(name)) {
        faults.push(
            Refusal::new(row, Code::MissingColumn, format!("there is no column {name:?}"))
                .hint("for a sheet with other headings use `load sheet`"),
        );
    }
    for [a, b] in door.either() {
        if !there(a) && !there(b) {
            faults.push(Refusal::new(
                row,
                Code::MissingColumn,
                format!("there is neither a column {a:?} nor {b:?}"),
            ));
        }
    }
    if faults.is_empty() { Ok(places) } else { Err(faults) }
}

/// One catch from its cells.
fn reading<'t>(
    get: &impl Fn(Column) -> &'t str,
    unit: &mut (String, Option<Unit>),
) -> Result<Reading<'t>, Refusal> {
    let state = match get(Column::state) {
        "as-found" => LineState::AsFound,
        "as-left" => LineState::AsLeft,
        text => match text.to_lowercase().replace(['_', '-'], " ").as_str() {
            "as found" | "found" | "before" => LineState::AsFound,
            "as left" | "left" | "after" => LineState::AsLeft,
            _ => {
                return Err(Refusal::new(
                    0,
                    Code::StateUnclear,
                    format!("{text:?} is neither as-found nor as-left"),
                )
                .column("state")
                .hint("write as-found or as-left"));
            }
        },
    };
    let amount = amount(get, unit)?;
    let draw = match (get(Column::seconds), get(Column::doses)) {
        ("", "") => {
            return Err(Refusal::new(0, Code::DrawUnclear, "neither seconds nor doses are given")
                .column("seconds"));
        }
        (text, "" | "1") if !text.is_empty() => seconds(text)?,
        ("", text) => doses(text)?,
        _ => {
            return Err(Refusal::new(0, Code::DrawUnclear, "both seconds and doses are given")
                .column("seconds")
                .hint("keep the one that the line is metered by"));
        }
    };
    let water = match get(Column::water) {
        "" => None,
        text => Some(with_unit(text, get(Column::unit), unit).map_err(|r| r.column("water"))?),
    };
    let water_draw = match get(Column::water_seconds) {
        "" => None,
        text => Some(seconds(text).map_err(|r| r.column("water_seconds"))?),
    };
    let temperature = match get(Column::temperature) {
        "" => None,
        text => Some(text.parse::<Quantity>().map_err(|e| misread(&e).column("temperature"))?),
    };
    Ok(Reading {
        amount,
        draw,
        measure: get(Column::measure),
        state,
        water,
        water_draw,
        temperature,
    })
}

/// The amount, or the mark, of which one is given; a mark may also be a bare `over` beside its number.
fn amount<'t>(
    get: &impl Fn(Column) -> &'t str,
    unit: &mut (String, Option<Unit>),
) -> Result<AmountRead, Refusal> {
    match (get(Column::amount), get(Column::mark)) {
        ("", "") => {
            Err(Refusal::new(0, Code::AmountOrMark, "neither an amount nor a mark is given")
                .column("amount"))
        }
        (text, "") => with_unit(text, get(Column::unit), unit).map_err(|r| r.column("amount")),
        ("", text) => {
            let text = if text.starts_with(|c: char| c.is_ascii_digit()) {
                format!("at {text}")
            } else {
                text.to_owned()
            };
            let read = text.parse::<AmountRead>().or_else(|error| match get(Column::unit) {
                "" => Err(error),
                unit => format!("{text} {unit}").parse(),
            });
            read.map_err(|e| misread(&e).column("mark"))
        }
        (text, side) => {
            let side = match side.to_lowercase().as_str() {
                "at" => MarkSide::At,
                "over" => MarkSide::Over,
                "under" => MarkSide::Under,
                _ => {
                    return Err(Refusal::new(0, Code::AmountOrMark, "both an amount and a mark are given").column("mark").hint("keep one; or write at, over or under as the mark, and the mark's number as the amount"));
                }
            };
            match with_unit(text, get(Column::unit), unit).map_err(|r| r.column("amount"))? {
                AmountRead::Number(mark) => {
                    let read = AmountRead::Mark { side, mark };
                    read.amount().map(|_| read).map_err(|e| misread(&e).column("mark"))
                }
                read @ AmountRead::Mark { .. } => Ok(read),
            }
        }
    }
}

/// An amount whose unit stands beside its number, or in the unit column.
fn with_unit(
    text: &str,
    column: &str,
    cache: &mut (String, Option<Unit>),
) -> Result<AmountRead, Refusal> {
    if column.is_empty() {
        return text.parse::<AmountRead>().map_err(|e| misread(&e));
    }
    if cache.1.is_none() || cache.0 != column {
        let unit: Unit = column.parse().map_err(|e| misread(&e).column("unit"))?;
        if !is_amount(unit) {
            return Err(Refusal::new(
                0,
                Code::WrongUnit,
                format!("`{unit}` is no unit of an amount"),
            )
            .column("unit")
            .hint("write mL, g, fl oz (US)…"));
        }
        *cache = (column.to_owned(), Some(unit));
    }
    let unit = cache.1.expect("set just above");
    let read = match plain(text) {
        Some(number) if !number.is_sign_negative() => {
            return Ok(AmountRead::Number(Quantity::new(number, unit)));
        }
        Some(number) => AmountRead::Number(Quantity::new(number, unit)),
        None => match text.parse::<AmountRead>() {
            Ok(read) => {
                let (AmountRead::Number(q) | AmountRead::Mark { mark: q, .. }) = read;
                if q.unit != unit {
                    return Err(Refusal::new(
                        0,
                        Code::WrongUnit,
                        format!("the amount says `{}`, and the unit column `{unit}`", q.unit),
                    )
                    .hint("keep one of them"));
                }
                read
            }
            Err(_) => format!("{text} {unit}").parse::<AmountRead>().map_err(|e| misread(&e))?,
        },
    };
    read.amount().map(|_| read).map_err(|e| misread(&e))
}

fn doses(text: &str) -> Result<DrawRead, Refusal> {
    let read = match text.parse::<u32>() {
        Ok(n) => DrawRead::Doses(n),
        Err(_) => match text.parse::<DrawRead>() {
            Ok(DrawRead::Doses(n)) => DrawRead::Doses(n),
            _ => {
                return Err(Refusal::new(
                    0,
                    Code::Impossible,
                    format!("{text:?} is not a whole number of doses"),
                )
                .column("doses"));
            }
        },
    };
    read.draw().map(|_| read).map_err(|e| misread(&e).column("doses"))
}

fn adjustment<'t>(get: &impl Fn(Column) -> &'t str) -> Result<Body, Refusal> {
    let setting = get(Column::setting);
    if !setting.is_empty() && plain(setting.trim_end_matches('%').trim()).is_none() {
        return Err(Refusal::new(
            0,
            Code::NotAnAmount,
            format!("{setting:?} is not a number or percent on a panel"),
        )
        .column("setting"));
    }
    let done = match (get(Column::done), setting) {
        ("", "") => {
            return Err(Refusal::new(0, Code::EmptyCell, "what was done is not given")
                .column("done")
                .hint("write it in the adjuster's terms: 1/4 turn anticlockwise, 2 notches up"));
        }
        ("", setting) => format!("set to {setting}"),
        (done, _) => clean(done),
    };
    let meant = match get(Column::meant) {
        "" => None,
        text => {
            let percent: Percent = text.parse().map_err(|e: crate::Misread| {
                Refusal::new(0, Code::NotAnAmount, e.message).column("meant").hint(e.hint)
            })?;
            if !(-1.0..=5.0).contains(&percent.fraction()) {
                return Err(Refusal::new(
                    0,
                    Code::Impossible,
                    format!("nobody means a change of {percent}"),
                )
                .column("meant"));
            }
            Some(percent.to_string())
        }
    };
    Ok(Body::LineAdjusted { done, setting: (!setting.is_empty()).then(|| clean(setting)), meant })
}

fn part_change<'t>(get: &impl Fn(Column) -> &'t str) -> Result<Body, Refusal> {
    let (found, number, lot) = (get(Column::found), get(Column::number), get(Column::lot));
    let why = get(Column::why).to_lowercase();
    let some = |text: &str| (!text.is_empty()).then(|| clean(text));
    if !matches!(why.as_str(), "" | "failed" | "worn" | "planned") {
        return Err(Refusal::new(
            0,
            Code::CellUnclear,
            format!("{why:?} is not why a part is replaced"),
        )
        .column("why")
        .hint("write failed, worn or planned; leave it empty where it is not known"));
    }
    match found.to_lowercase().as_str() {
        "" => Ok(Body::PartReplaced { number: some(number), lot: some(lot), why: some(&why) }),
        _ if [number, lot, &why].iter().any(|cell| !cell.is_empty()) => Err(Refusal::new(
            0,
            Code::CellUnclear,
            "a row is either what was found or what was put in",
        )
        .column("found")
        .hint("make two rows of it")),
        word @ ("good" | "worn" | "damaged" | "missing") => {
            Ok(Body::PartInspected { found: word.to_owned() })
        }
        _ => Err(Refusal::new(
            0,
            Code::CellUnclear,
            format!("{found:?} is not what a part is found as"),
        )
        .column("found")
        .hint("write good, worn, damaged or missing; leave it empty for a new part")),
    }
}

/// One line of text, as a record takes it.
pub(super) fn clean(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
