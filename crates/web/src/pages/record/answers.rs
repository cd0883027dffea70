//! From what was typed to records, and to what they show.

use std::sync::Arc;

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use ouncewise_estate::{Address, Estate, MarksRead, MeasureKind, Reads};
use ouncewise_estimate::standing::{VisitShown, judge};
use ouncewise_estimate::visit::CatchRead;
use ouncewise_estimate::{ActKind, Visit};
use ouncewise_ledger::{Body, Draft, Entered, LineState, Record, Scope, Subject};
use ouncewise_measure::{Adjuster, AmountRead, DrawRead, Metering};
use uuid::Uuid;

use super::form::{LineTyped, Typed, field};
use super::ids::{self, What};
use crate::App;
use crate::layout::Fault;
use crate::wrong::Wrong;

/// How far a clock at a desk may be ahead.
const AHEAD: SignedDuration = SignedDuration::from_mins(10);

/// One line of the machine, as the form knows it.
pub struct LineHere {
    /// Its key.
    pub key: String,
    /// What it is called where its number stands beside it.
    pub called: String,
    /// What it is called where it stands alone.
    pub name: String,
    /// What the recipe asks: `30 mL ± 5 % in 7 s`.
    pub asks: String,
    /// The recipe's own draw, as written.
    pub draw: String,
    /// Whether it is drawn in doses.
    pub doses: bool,
    /// Whether its water is caught too.
    pub water: bool,
    /// Key of its usual measure; empty where it has none.
    pub measure: String,
    /// How it is set, for the hint.
    pub adjuster: Adjuster,
}

/// The machine that is recorded.
pub struct Here {
    /// The estate, with this site.
    pub estate: Arc<Estate>,
    /// Key of the site.
    pub site: String,
    /// Key of the machine.
    pub machine: String,
    /// Name of the site.
    pub site_name: String,
    /// Name of the machine.
    pub machine_name: String,
    /// Its lines, in the order of its sheet.
    pub lines: Vec<LineHere>,
    /// The site's measures: key and name.
    pub measures: Vec<(String, String)>,
    /// The clock of the site.
    pub now: DateTime,
    zone: TimeZone,
    instant: Timestamp,
}

impl Here {
    /// Reads what the form needs.
    pub async fn read(app: &App, site: &str, machine: &str) -> Result<Self, Wrong> {
        let estate = app.store().estate_at(site).await?;
        let (Some(place), Some(known)) = (estate.sites.get(site), estate.machine(site, machine))
        else {
            return Err(Wrong::missing(
                format!("there is no machine `{site}/{machine}`"),
                "the page of its site lists the machines",
            ));
        };
        let family = estate.families.get(&known.family);
        let mut keys: Vec<_> = known.lines.iter().filter(|(_, line)| !line.retired).collect();
        keys.sort_by(|a, b| a.0.natural_cmp(b.0));
        let kept: Vec<(String, String)> = place
            .measures
            .iter()
            .filter(|(_, piece)| !piece.retired)
            .map(|(key, piece)| {
                let kind = estate.measures.get(&piece.kind);
                let name = kind.map_or(piece.kind.as_str(), |kind| kind.name.as_str());
                (key.to_string(), name.to_owned())
            })
            .collect();
        let lines = keys
            .into_iter()
            .map(|(key, line)| LineHere {
                key: key.to_string(),
                called: Address::new(site, machine, key)
                    .map_or_else(|_| key.to_string(), |at| estate.line_name(&at).to_owned()),
                name: Address::new(site, machine, key)
                    .map_or_else(|_| key.to_string(), |at| estate.line_label(&at)),
                asks: format!("{} ± {} in {}", line.target, line.tolerance, line.draw),
                draw: line.draw.to_string(),
                doses: matches!(line.draw, DrawRead::Doses(_)),
                water: family.is_some_and(|family| family.metering == Metering::Ratio),
                measure: match (&line.measure, kept.as_slice()) {
                    (Some(measure), _) => measure.to_string(),
                    (None, [(only, _)]) => only.clone(),
                    (None, _) => String::new(),
                },
                adjuster: family.map_or(Adjuster::None, |family| family.adjuster.clone()),
            })
            .collect();
        let zone = place.time_zone.as_ref().unwrap_or(&estate.group.time_zone).rules();
        let instant = app.now();
        let named = |name: &str, key: &str| if name.is_empty() { key } else { name }.to_owned();
        Ok(Self {
            site: site.to_owned(),
            machine: machine.to_owned(),
            site_name: named(&place.name, site),
            machine_name: named(&known.name, machine),
            lines,
            measures: kept,
            now: instant.to_zoned_datetime(zone.clone()).datetime(),
            zone,
            instant,
            estate: estate.clone(),
        })
    }

    /// The kind of a measure of this site.
    pub fn kind(&self, measure: &str) -> Option<&MeasureKind> {
        let piece = self.estate.sites.get(self.site.as_str())?.measures.get(measure)?;
        self.estate.measures.get(&piece.kind)
    }

    fn address(&self, line: &str) -> Option<Address> {
        Address::new(&self.site, &self.machine, line).ok()
    }
}

/// One line's answers.
pub struct LineAnswers {
    /// Its key.
    pub key: String,
    /// What it is called where its number stands beside it.
    pub called: String,
    /// What its catches as found show.
    pub found: Option<VisitShown>,
    /// What was adjusted.
    pub done: Option<String>,
    /// What its catches as left show.
    pub left: Option<VisitShown>,
    /// Why it was not caught.
    pub why: Option<String>,
    /// What is odd about them: asked before they are recorded.
    pub odd: Vec<String>,
}

/// All answers, understood.
pub struct Answers {
    /// When, as the records spell it.
    pub at: String,
    /// By line; those that were left blank are not here.
    pub lines: Vec<LineAnswers>,
    records: Vec<Record>,
    person: Option<String>,
}

impl Answers {
    /// What is appended.
    pub fn drafts(&self) -> Vec<Draft> {
        let person = &self.person;
        self.records
            .iter()
            .map(|record| Draft { person: person.clone(), ..record.clone().into() })
            .collect()
    }

    /// Whether anything is odd, and asks to be confirmed.
    pub fn odd(&self) -> bool {
        self.lines.iter().any(|line| !line.odd.is_empty())
    }

    /// How many records.
    pub fn records(&self) -> usize {
        self.records.len()
    }
}

/// Reads the form: all faults at once, or what it says and shows.
pub fn read(here: &Here, typed: &Typed) -> Result<Answers, Vec<Fault>> {
    let mut faults = Vec::new();
    let at = when(here, typed).map_err(|wrong| faults.extend(wrong)).ok();
    if typed.by.chars().count() > 200 {
        faults.push(Fault::new("by", "the name must be shorter than 200 letters"));
    }
    let entered = match typed.how.as_str() {
        "paper" => Entered::FromPaper,
        "machine" => Entered::AtMachine,
        _ => {
            faults.push(Fault::new(
                "how-paper",
                "choose whether it is copied from paper or keyed in at the machine",
            ));
            Entered::FromPaper
        }
    };
    let mut made = Making {
        here,
        form: typed.form,
        at: at.clone().unwrap_or_default(),
        entered,
        records: Vec::new(),
    };
    let mut lines = Vec::new();
    for line in &here.lines {
        let Some(typed) = typed.lines.get(&line.key) else { continue };
        let answers = made.line(line, typed, &mut faults);
        if answers.found.is_some()
            || answers.left.is_some()
            || answers.done.is_some()
            || answers.why.is_some()
        {
            lines.push(answers);
        }
    }
    if faults.is_empty() && made.records.is_empty() {
        let first =
            here.lines.first().map_or_else(|| "day".to_owned(), |line| field("found", &line.key));
        faults.push(Fault::new(
            first,
            "nothing is filled in yet: type what was read of one line at least",
        ));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let person = Some(typed.by.clone()).filter(|by| !by.is_empty());
    Ok(Answers { at: made.at, lines, records: made.records, person })
}

/// The time of the round by the clock of the site, as a record spells it.
fn when(here: &Here, typed: &Typed) -> Result<String, Vec<Fault>> {
    let day = typed.day.parse::<Date>();
    let day = day.map_err(|_| Fault::new("day", "the day must be a date, like 2026-03-02"));
    let time: Option<Time> = match typed.time.len() {
        4 | 5 => format!("{}:00", typed.time)
            .parse()
            .ok()
            .or_else(|| format!("0{}:00", typed.time).parse().ok()),
        _ => typed.time.parse().ok(),
    };
    let time =
        time.ok_or_else(|| Fault::new("time", "the time must be hours and minutes, like 06:40"));
    let (day, time) = match (day, time) {
        (Ok(day), Ok(time)) => (day, time),
        (day, time) => return Err(day.err().into_iter().chain(time.err()).collect()),
    };
    let wrong_day = |what: &str| vec![Fault::new("day", what)];
    let zoned = here
        .zone
        .to_ambiguous_zoned_datetime(day.to_datetime(time))
        .compatible()
        .map_err(|_| wrong_day("that day is out of range"))?;
    if zoned.timestamp() > here.instant.saturating_add(AHEAD).unwrap_or(here.instant) {
        return Err(wrong_day("that time is still to come: look at the day and the time"));
    }
    if day.year() < 2000 {
        return Err(wrong_day("that day is before 2000: look at the year"));
    }
    Ok(ouncewise_ledger::time::at(zoned.timestamp(), zoned.offset()))
}

struct Making<'h> {
    here: &'h Here,
    form: Uuid,
    at: String,
    entered: Entered,
    records: Vec<Record>,
}

impl Making<'_> {
    fn line(&mut self, line: &LineHere, typed: &LineTyped, faults: &mut Vec<Fault>) -> LineAnswers {
        let found = self.caught(line, typed, LineState::AsFound, faults);
        let done = Some(typed.done.clone()).filter(|done| !done.is_empty());
        if let Some(done) = &done {
            self.adjusted(line, done, faults);
        }
        let left = self.caught(line, typed, LineState::AsLeft, faults);
        let why = Some(typed.why.clone()).filter(|why| !why.is_empty());
        if let Some(why) = &why {
            if !typed.found.is_empty() || !typed.left.is_empty() {
                faults.push(Fault::new(
                    field("why", &line.key),
                    format!("{}: it was caught, so leave out why it was not", line.name),
                ));
            }
            let body = Body::StepSkipped { step: "catch".to_owned(), reason: why.clone() };
            self.add(line, What::NotCaught, 0, body, faults);
        }
        let odd = self.odd(line, found.as_ref(), done.as_deref());
        LineAnswers {
            key: line.key.clone(),
            called: line.called.clone(),
            found,
            done,
            left,
            why,
            odd,
        }
    }

    /// What is odd about a line's answers: a reading far off its target, and an adjustment that nothing called for.
    fn odd(&self, line: &LineHere, found: Option<&VisitShown>, done: Option<&str>) -> Vec<String> {
        let own = |record: &&Record| record.subject.line.as_deref() == Some(line.key.as_str());
        let far = self.records.iter().filter(own).filter_map(|record| {
            let (_, words) = ouncewise_report::far_off(&self.here.estate, record)?;
            Some(words)
        });
        let mut odd: Vec<String> = far.collect();
        let shown = found.and_then(|found| found.shown.as_ref());
        if let (Some(done), Some(shown)) = (done, shown)
            && shown.act == ActKind::LeaveAlone
        {
            odd.push(format!(
                "nothing needed adjusting: as found it was {}, and its advice was to leave it alone. Was it adjusted all the same ({done})?",
                shown.verdict.words()
            ));
        }
        odd
    }

    fn adjusted(&mut self, line: &LineHere, done: &str, faults: &mut Vec<Fault>) {
        let id = field("done", &line.key);
        let (done, setting) = match line.adjuster {
            Adjuster::Number { .. } | Adjuster::Percent { .. } => {
                let number = done.trim_end_matches(['%', ' ']).replace(',', ".");
                if number.parse::<f64>().is_err() {
                    let what =
                        format!("{}: write what the panel shows now, a number like 104", line.name);
                    return faults.push(Fault::new(id, what));
                }
                (format!("set to {number}"), Some(number))
            }
            _ => (done.to_owned(), None),
        };
        let body = Body::LineAdjusted { done, setting, meant: None };
        self.add(line, What::Adjusted, 0, body, faults);
    }

    /// Adds the catches of one line in one state, and says what they show.
    fn caught(
        &mut self,
        line: &LineHere,
        typed: &LineTyped,
        state: LineState,
        faults: &mut Vec<Fault>,
    ) -> Option<VisitShown> {
        let (what, name, amounts, draws, water) = match state {
            LineState::AsFound => {
                (What::Found, "found", &typed.found, &typed.found_draw, &typed.found_water)
            }
            LineState::AsLeft => {
                (What::Left, "left", &typed.left, &typed.left_draw, &typed.left_water)
            }
        };
        let amounts = several(amounts);
        if amounts.is_empty() {
            return None;
        }
        let place = |part: &str| field(&format!("{name}{part}"), &line.key);
        let before = faults.len();
        let mut fault = |id: String, what: String| {
            faults.push(Fault::new(id, format!("{}: {what}", line.name)));
        };
        if amounts.len() > ids::MOST {
            fault(place(""), format!("at most {} catches fit in one field", ids::MOST));
        }
        let Some(kind) = self.here.kind(&typed.measure) else {
            fault(
                field("measure", &line.key),
                "choose the measure that it was read with".to_owned(),
            );
            return None;
        };
        let draws = several(draws);
        let waters = several(water);
        if draws.len() != 1 && draws.len() != amounts.len() {
            let word = if line.doses { "doses" } else { "seconds" };
            fault(place("-draw"), format!("write the {word} once, or once for each amount"));
        }
        if line.water && waters.len() != amounts.len() {
            fault(place("-water"), "write the water that was caught with it".to_owned());
        }
        let mut bodies = Vec::new();
        for (nth, text) in amounts.iter().take(ids::MOST).enumerate() {
            let amount = amount(text, kind).map_err(|what| fault(place(""), what));
            let one = draws.get(if draws.len() == 1 { 0 } else { nth });
            let draw = draw(one.map_or("", String::as_str), line.doses)
                .map_err(|what| fault(place("-draw"), what));
            let water = match waters.get(nth) {
                Some(text) if line.water => self::amount(text, kind)
                    .map(|read| Some(read.to_string()))
                    .map_err(|what| fault(place("-water"), what)),
                _ => Ok(None),
            };
            if let (Ok(amount), Ok(draw), Ok(water)) = (amount, draw, water) {
                bodies.push(Body::CatchTaken {
                    state,
                    amount: amount.to_string(),
                    draw: draw.to_string(),
                    measure: typed.measure.clone(),
                    water,
                    water_draw: None,
                    temperature: None,
                });
            }
        }
        let mut visit: Option<Visit> = None;
        for (nth, body) in bodies.into_iter().enumerate() {
            let Some(record) = self.add(line, what, nth, body, faults) else { continue };
            let (Some(Ok(read)), Ok(instant)) =
                (CatchRead::from_body(&record.body), record.instant())
            else {
                continue;
            };
            match &mut visit {
                None => visit = Some(Visit::begin(&record, instant, read)),
                // Draws of another length are judged by themselves once they are recorded; here the first counts.
                Some(visit) => drop(visit.add(&record, instant, read)),
            }
        }
        let (visit, address) = (visit?, self.here.address(&line.key)?);
        let shown = judge(&self.here.estate, &address, &visit, None);
        if let Some(trouble) = &shown.trouble
            && faults.len() == before
        {
            faults.push(Fault::new(place(""), format!("{}: {trouble}", line.name)));
        }
        Some(shown)
    }

    /// Adds a record, unless its ledger would refuse it.
    fn add(
        &mut self,
        line: &LineHere,
        what: What,
        nth: usize,
        body: Body,
        faults: &mut Vec<Fault>,
    ) -> Option<Record> {
        let scope = Scope::site(&self.here.site).ok()?;
        // All bear one time, and what lines share is seen in readings that follow each other: all lines as found first, as on a sheet.
        let stage = match what {
            What::Found => 0,
            What::Adjusted => 3_000_000,
            What::Left => 4_000_000,
            What::NotCaught => 5_000_000,
        };
        let record = Record {
            v: ouncewise_ledger::record::VERSION,
            id: ids::id(self.form, &line.key, what, nth),
            scope,
            subject: Subject::line(&self.here.machine, &line.key),
            at: self.at.clone(),
            device: "desk".to_owned(),
            sequence: stage + self.records.len() as u64,
            by: None,
            entered: self.entered,
            note: None,
            body,
        };
        // Without a time nothing fits; that is said by itself.
        if !self.at.is_empty()
            && let Err(found) = record.check()
        {
            let name = match what {
                What::Found => "found",
                What::Adjusted => "done",
                What::Left => "left",
                What::NotCaught => "why",
            };
            let said: Vec<String> = found.iter().map(ToString::to_string).collect();
            faults.push(Fault::new(
                field(name, &line.key),
                format!("{}: {}", line.name, said.join("; ")),
            ));
            return None;
        }
        self.records.push(record.clone());
        Some(record)
    }
}

/// Several readings in one field, parted by `;`.
fn several(text: &str) -> Vec<String> {
    text.split(';').map(|one| one.trim().to_owned()).filter(|one| !one.is_empty()).collect()
}

/// An amount as typed; a bare number is in the unit that stands on the measure, a bare `over` is over a cup's only mark.
fn amount(text: &str, kind: &MeasureKind) -> Result<AmountRead, String> {
    let typed = text.parse::<AmountRead>();
    let Err(why) = typed else { return typed.map_err(|e| e.to_string()) };
    let lower = text.to_lowercase();
    let unit = kind.marked_in();
    if matches!(lower.as_str(), "over" | "under" | "at") {
        return match kind.reads {
            Reads::Vessel { marks: MarksRead::One(mark), .. } => {
                format!("{lower} the {mark} mark").parse().map_err(|_| why.to_string())
            }
            Reads::Vessel { .. } => Err(format!(
                "`{lower}` says nothing without a mark, and this measure has many: write the number that was read, or such as {lower} the 30 mL mark"
            )),
            Reads::Scale { .. } => Err(format!(
                "`{lower}` is of a cup with a mark, and this is a scale: write what it showed, such as 37.2"
            )),
        };
    }
    if let Some(why) = two_commas(text, "29.6") {
        return Err(why);
    }
    if text.ends_with(|last: char| last.is_ascii_digit() || last == '.' || last == ',') {
        return format!("{text} {unit}").parse::<AmountRead>().map_err(|e| e.to_string());
    }
    Err(why.to_string())
}

/// What is wrong with a number like `29,6,1`.
fn two_commas(text: &str, like: &str) -> Option<String> {
    let number = text.trim_end_matches(|c: char| !c.is_ascii_digit());
    let plain = number.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let marks = number.matches(['.', ',']).count();
    (plain && marks > 1).then(|| {
        format!(
            "`{text}` has {marks} points or commas: a number has one at most, such as {like}; several readings are parted by ;"
        )
    })
}

/// Seconds or doses as typed; a bare number is what the line is drawn in.
fn draw(text: &str, doses: bool) -> Result<DrawRead, String> {
    let typed = text.parse::<DrawRead>();
    let Err(why) = typed else { return typed.map_err(|e| e.to_string()) };
    if let Some(why) = two_commas(text, "7.1") {
        return Err(why);
    }
    if text.is_empty() {
        return Err(if doses {
            "write how many doses it was"
        } else {
            "write how many seconds it ran"
        }
        .to_owned());
    }
    if text.ends_with(|last: char| last.is_ascii_digit() || last == '.' || last == ',') {
        let unit = match (doses, text) {
            (true, "1") => "dose",
            (true, _) => "doses",
            (false, _) => "s",
        };
        return format!("{text} {unit}").parse::<DrawRead>().map_err(|e| e.to_string());
    }
    Err(why.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    // The machine sheet tells a cup's window in the unit that stands on the cup, and the pen writes what is read there.
    #[test]
    fn a_bare_number_is_in_the_unit_that_stands_on_the_measure() {
        let cup = |marks: fn(ouncewise_measure::Quantity) -> MarksRead, step: &str| MeasureKind {
            name: "cup".to_owned(),
            reads: Reads::Vessel {
                marks: marks(step.parse().unwrap()),
                tolerance: "1 mL".parse().unwrap(),
                film: None,
            },
            capacity: None,
            retired: false,
        };
        let ounces = cup(MarksRead::Every, "0.125 fl oz (US)");
        assert_eq!(amount("1,05", &ounces).unwrap().to_string(), "1.05 fl oz (US)");
        assert_eq!(amount("31 mL", &ounces).unwrap().to_string(), "31 mL");
        let mark = cup(MarksRead::One, "1 fl oz (US)");
        let over = amount("over", &mark).unwrap().to_string();
        assert_eq!(over, "over the 1 fl oz (US) mark");
        let millilitres = cup(MarksRead::Every, "1 mL");
        assert_eq!(amount("29,6", &millilitres).unwrap().to_string(), "29.6 mL");
        assert!(amount("over", &millilitres).is_err());
    }
}
