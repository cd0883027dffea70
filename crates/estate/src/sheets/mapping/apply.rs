//! Reading a sheet by its mapping.

use std::collections::VecDeque;
use std::io::Read;

use jiff::Timestamp;
use ouncewise_ledger::{Body, Draft, LineState};
use ouncewise_measure::{AmountRead, DrawRead, Quantity};

use super::super::Row;
use super::super::build::{Builder, Fact};
use super::super::code::{Code, Refusal};
use super::super::index::{Index, Spot};
use super::super::known::clean;
use super::super::reading::{self, misread, plain, seconds};
use super::super::table::{Hint, Table, TableRow};
use super::super::when::{When, clock};
use super::dates::{self, Need, Settled};
use super::names::{self, LEAVE_OUT};
use super::shape::{self, Shape};
use super::units::{self, waiting};
use super::walk::{Data, Kind, Place, Reading, Walk, misfits, state_of};
use super::words::phrase;
use super::{Mapping, Means, Order, ask_dates};
use crate::Estate;

/// The rows of a sheet, read by a mapping; a row with several readings comes as several.
pub struct Applied<'a, R: Read> {
    mapping: &'a Mapping,
    table: Table<R>,
    head: VecDeque<TableRow>,
    walk: Walk<'a>,
    builder: Builder<'a>,
    ready: VecDeque<Row>,
    ended: bool,
}

impl<'a, R: Read> Applied<'a, R> {
    pub(super) fn open(
        mapping: &'a Mapping,
        mut table: Table<R>,
        estate: &'a Estate,
        now: Timestamp,
    ) -> Result<Applied<'a, R>, Vec<Refusal>> {
        let rows =
            usize::try_from(mapping.heading_row + mapping.heading_rows - 1).unwrap_or(usize::MAX);
        let head = table.take_rows(rows).map_err(|r| vec![r])?;
        let misfits = misfits(mapping, &head);
        if !misfits.is_empty() {
            return Err(misfits);
        }
        let walk = Walk::new(mapping);
        let ready = walk
            .not_loaded()
            .map(|c| {
                let reason = if c.because.is_empty() { "the mapping says so" } else { &c.because };
                let name = if c.heading.is_empty() {
                    "without a heading".to_owned()
                } else {
                    format!("{:?}", c.heading)
                };
                Row::Listed(
                    Refusal::new(
                        mapping.heading_row,
                        Code::ColumnNotLoaded,
                        format!("the column {name} is not loaded: {reason}"),
                    )
                    .column(&c.letter),
                )
            })
            .collect();
        Ok(Applied {
            mapping,
            table,
            head: head.into(),
            walk,
            builder: Builder::new(Index::new(estate), now),
            ready,
            ended: false,
        })
    }

    /// Reads one more row into `ready`.
    fn advance(&mut self) {
        let mut row = TableRow::default();
        if let Some(first) = self.head.pop_front() {
            row = first;
        } else {
            match self.table.read(&mut row) {
                Ok(true) => {}
                Ok(false) => {
                    self.ended = true;
                    return;
                }
                Err(refusal) => {
                    self.ended = true;
                    self.ready.push_back(Row::Refused(refusal));
                    return;
                }
            }
        }
        match self.walk.look(&row) {
            Kind::Listed(refusal) => self.ready.push_back(told(refusal)),
            Kind::Data(data) => self.data(row.number, &data),
        }
    }

    fn data(&mut self, row: u64, data: &Data) {
        let before = self.ready.len();
        let mut note = data.note.as_str();
        let mut nothing = false;
        for reading in &data.readings {
            // A tick beside a reading says nothing more.
            let beside = reading.means == Means::Done
                && data.readings.iter().any(|r| {
                    r.means == Means::Amount && r.place == reading.place && !is_nothing(&r.text)
                });
            if beside {
                continue;
            }
            match self.reading(data, reading, note) {
                Ok(Some(draft)) => {
                    note = "";
                    self.ready.push_back(Row::Draft { row, draft });
                }
                Ok(None) => nothing = true,
                Err(mut refusal) => {
                    refusal.row = row;
                    refusal.column = Some(match refusal.column.take() {
                        Some(what) if what != "amount" => format!("{} ({what})", reading.letter),
                        _ => reading.letter.clone(),
                    });
                    self.ready.push_back(told(refusal));
                }
            }
        }
        if self.ready.len() == before {
            let (code, reason) = match (nothing, data.note.as_str()) {
                (true, "") => (Code::NoReading, "the row says that nothing was read".to_owned()),
                (false, "") => (Code::NoReading, "the row has no reading".to_owned()),
                (_, note) => (
                    Code::Remark,
                    format!("only a remark: {}", note.chars().take(120).collect::<String>()),
                ),
            };
            self.ready.push_back(Row::Listed(Refusal::new(row, code, reason)));
        }
    }

    fn reading(
        &mut self,
        data: &Data,
        reading: &Reading,
        note: &str,
    ) -> Result<Option<Draft>, Refusal> {
        let text = reading.text.as_str();
        let shape = shape::of(text, Hint::Text);
        if is_nothing(text)
            || (matches!(reading.means, Means::Done | Means::Adjusted) && is_not_done(text))
        {
            return Ok(None);
        }
        let place = &reading.place;
        if reading.waits {
            return Err(waiting("names"));
        }
        for (id, text) in [("site", &place.site), ("date", &place.date)] {
            if text.is_empty() && self.mapping.question(id).is_some_and(|q| q.answer.is_none()) {
                return Err(waiting(id));
            }
        }
        let spot = names::spot(
            self.mapping,
            &mut self.builder.index,
            &place.site,
            &place.machine,
            &place.line,
        )?;
        let (when, odd_time) =
            self.when(place, data.texts.get(&Means::Time).map_or("", String::as_str))?;
        let mut notes: Vec<String> = Vec::new();
        let body =
            match reading.means {
                Means::Adjusted => {
                    let done = if shape == Shape::Claim {
                        format!("adjusted ({})", clean(text))
                    } else {
                        clean(text)
                    };
                    Body::LineAdjusted { done: within_limits(done)?, setting: None, meant: None }
                }
                Means::Done => Body::ClaimMade { said: within_limits(clean(text))? },
                _ if shape == Shape::Claim => Body::ClaimMade { said: within_limits(clean(text))? },
                _ => {
                    let unit = reading
                        .unit
                        .as_deref()
                        .or_else(|| data.texts.get(&Means::Unit).map(String::as_str));
                    let cell =
                        units::cell(self.mapping, text, unit, "unit").map_err(|refusal| {
                            match refusal.code {
                        Code::NotAnAmount if shape == Shape::Text => Refusal::new(
                            0,
                            Code::CellUnclear,
                            format!("{text:?} is no reading"),
                        )
                        .hint(
                            "write a number, OK, or nothing; words belong into a column of notes",
                        ),
                        _ => refusal,
                    }
                        })?;
                    if !cell.note.is_empty() {
                        notes.push(cell.note.clone());
                    }
                    self.catch(data, reading, cell.amount, cell.draw, &spot)?
                }
            };
        if let Some(time) = odd_time {
            notes.push(time);
        }
        if !note.is_empty() {
            notes.push(note.to_owned());
        }
        let note = notes.join("; ");
        let person = data.texts.get(&Means::By).map_or("", String::as_str);
        self.builder
            .draft(
                Fact {
                    about: spot.into(),
                    part: None,
                    when,
                    id: None,
                    sequence: None,
                    body,
                    person,
                    note: &note,
                },
                "",
            )
            .map(Some)
    }

    fn catch(
        &self,
        data: &Data,
        reading: &Reading,
        amount: AmountRead,
        draw: Option<DrawRead>,
        spot: &Spot<'_>,
    ) -> Result<Body, Refusal> {
        let text = |means| data.texts.get(&means).map_or("", String::as_str);
        let draw = match (draw, reading.seconds.as_str(), reading.doses.as_str()) {
            (Some(draw), _, _) => draw,
            (None, "", "") => self.usual_draw(spot)?,
            (None, "", doses) => {
                let n = doses
                    .parse::<u32>()
                    .map(DrawRead::Doses)
                    .or_else(|_| doses.parse::<DrawRead>());
                n.map_err(|e| misread(&e).column("doses"))?
            }
            (None, text, _) => seconds(text)?,
        };
        let state = match (reading.state.as_deref(), text(Means::State)) {
            (Some("as-left"), _) => LineState::AsLeft,
            (Some(_), _) => LineState::AsFound,
            (None, "") => match self.mapping.answer("state") {
                Some("as-left") => LineState::AsLeft,
                Some(_) => LineState::AsFound,
                None => return Err(waiting("state")),
            },
            (None, word) => state_of(word).ok_or_else(|| {
                Refusal::new(
                    0,
                    Code::StateUnclear,
                    format!("{word:?} is neither as found nor as left"),
                )
                .column("state")
                .hint("write found or left, before or after")
            })?,
        };
        let measure = self.measure(text(Means::Measure))?;
        let water = match text(Means::Water) {
            "" => None,
            cell => Some(
                units::amount(self.mapping, cell, self.unit_of(Means::Water), "unit")
                    .map_err(|r| r.column("water"))?,
            ),
        };
        reading::Reading {
            amount,
            draw,
            measure,
            state,
            water,
            water_draw: None,
            temperature: self.temperature(text(Means::Temperature))?,
        }
        .body(&self.builder.index, spot)
    }

    /// The draw of readings that say none.
    fn usual_draw(&self, spot: &Spot<'_>) -> Result<DrawRead, Refusal> {
        match self.mapping.answer("draw") {
            Some("recipe") => Ok(spot.line.draw),
            Some(text) => text.parse().map_err(|e| misread(&e).column("seconds")),
            None if self.mapping.question("draw").is_some() => Err(waiting("draw")),
            None => Err(Refusal::new(0, Code::DrawUnclear, "neither seconds nor doses are given")
                .column("seconds")),
        }
    }

    fn measure<'t>(&'t self, text: &'t str) -> Result<&'t str, Refusal> {
        if text.is_empty() {
            return Ok(text);
        }
        let id = names::question(Means::Measure, text);
        match self.mapping.question(&id).map(|q| q.answer.as_deref()) {
            None => Ok(text),
            Some(None) => Err(waiting(&id)),
            Some(Some(LEAVE_OUT)) => {
                Err(Refusal::new(0, Code::LeftOut, format!("readings with {text:?} are left out")))
            }
            Some(Some(answer)) => Ok(answer),
        }
    }

    fn unit_of(&self, means: Means) -> Option<&str> {
        self.mapping.columns.iter().find(|c| c.means == means).and_then(|c| c.unit.as_deref())
    }

    fn temperature(&self, text: &str) -> Result<Option<Quantity>, Refusal> {
        if text.is_empty() || is_nothing(text) {
            return Ok(None);
        }
        let unit =
            self.unit_of(Means::Temperature).or_else(|| self.mapping.answer("temperature-unit"));
        let text = match (plain(text), unit) {
            (Some(_), Some(unit)) => format!("{text} {unit}"),
            (Some(_), None) if self.mapping.question("temperature-unit").is_some() => {
                return Err(waiting("temperature-unit"));
            }
            _ => text.to_owned(),
        };
        text.parse().map(Some).map_err(|e| misread(&e).column("temperature"))
    }

    /// The moment of a reading; and a time of day that is none, for the note.
    fn when(&self, place: &Place, time: &str) -> Result<(When, Option<String>), Refusal> {
        let text = place.date.as_str();
        if text.is_empty() {
            return Err(Refusal::new(0, Code::EmptyCell, "the date is not given").column("date"));
        }
        let not_a_date = || {
            Refusal::new(0, Code::NotADate, format!("{text:?} is not a date"))
                .column("date")
                .hint("write it as 2026-03-02")
        };
        let dated = dates::read(text, place.date_is)
            .or_else(|| dates::within(text))
            .ok_or_else(not_a_date)?;
        let at_site = ask_dates::order_at(&place.site);
        let order = self
            .mapping
            .answer(&at_site)
            .or_else(|| self.mapping.answer("date-order"))
            .and_then(Order::of);
        let year = self.mapping.answer("year").and_then(|y| y.trim().parse().ok());
        let mut when = dated.settle(Settled { order, year }).map_err(|need| match need {
            Need::Order if self.mapping.question(&at_site).is_some() => waiting(&at_site),
            Need::Order => waiting("date-order"),
            Need::Year => waiting("year"),
            Need::Never => not_a_date(),
        })?;
        if when.time.is_some() || time.is_empty() {
            return Ok((when, None));
        }
        match clock(time) {
            Some((time, offset)) => {
                (when.time, when.offset) = (Some(time), offset);
                Ok((when, None))
            }
            None => Ok((when, Some(format!("time: {}", clean(time))))),
        }
    }
}

impl<R: Read> Iterator for Applied<'_, R> {
    type Item = Row;

    fn next(&mut self) -> Option<Row> {
        while self.ready.is_empty() && !self.ended {
            self.advance();
        }
        self.ready.pop_front()
    }
}

/// A fault is refused, anything else is listed.
fn told(refusal: Refusal) -> Row {
    if refusal.code.is_fault() { Row::Refused(refusal) } else { Row::Listed(refusal) }
}

fn is_nothing(text: &str) -> bool {
    shape::of(text, Hint::Text) == Shape::Nothing
}

/// `not done, too busy` in a column of ticks.
fn is_not_done(text: &str) -> bool {
    matches!(
        phrase(text).split(' ').next(),
        Some(
            "not"
                | "no"
                | "nicht"
                | "kein"
                | "keine"
                | "sin"
                | "never"
                | "skipped"
                | "missed"
                | "todo"
        )
    )
}

/// Free text as a record takes it.
fn within_limits(text: String) -> Result<String, Refusal> {
    if text.chars().count() > ouncewise_ledger::MAX_TEXT {
        return Err(Refusal::new(0, Code::CellUnclear, "the text is too long for a reading")
            .hint("move it into a column of notes"));
    }
    Ok(text)
}
