//! From what was typed to records, and to what the round then lacks.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};
use ouncewise_hygiene::label::LabelStrength;
use ouncewise_hygiene::round::{
    Judged, Known, MustStep, OpenedBox, State, is_day_or_month, opened_boxes, rounds, strip_class,
};
use ouncewise_ledger::{
    Body, Draft, Entered, Holds, MAX_TEXT, PersonId, Record, Scope, Stage, Subject, derive_id,
};
use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::{Quantity, Seconds};
use ouncewise_report::ProcedureText;
use uuid::Uuid;

use super::here::{Here, Moment};
use super::typed::Typed;
use crate::layout::Fault;

/// The key of the parts of a machine whose family lists none.
const ALL_PARTS: &str = "all-parts";

/// All answers, understood.
pub struct Answers {
    /// How the round stands with them.
    pub judged: Judged,
    records: Vec<(Record, Option<String>)>,
}

impl Answers {
    /// What is appended.
    pub fn drafts(&self) -> Vec<Draft> {
        let draft = |(record, person): &(Record, Option<String>)| Draft {
            person: person.clone(),
            ..record.clone().into()
        };
        self.records.iter().map(draft).collect()
    }

    /// The records, in the order in which they were made.
    pub fn records(&self) -> impl Iterator<Item = &Record> {
        self.records.iter().map(|(record, _)| record)
    }
}

/// The id of one record of a form.
pub fn id(form: Uuid, what: &str) -> Uuid {
    derive_id(&["round", &form.to_string(), what], 0)
}

/// Reads the form: all faults at once, or what it says and how the round stands with it.
pub fn read(here: &Here, typed: &Typed) -> Result<Answers, Vec<Fault>> {
    let mut made = Making {
        here,
        typed,
        followed: here.followed(typed.of("procedure")),
        must_steps: BTreeMap::new(),
        faults: Vec::new(),
        records: Vec::new(),
    };
    let Some(times) = made.times() else { return Err(made.faults) };
    made.opened(&times);
    made.steps(&times);
    made.bucket(&times);
    made.outlet(&times);
    made.emptying(&times);
    made.parts(&times);
    made.product(&times);
    made.others(&times);
    if made.records.len() < 2 && made.faults.is_empty() {
        made.fault("dose", "nothing is filled in yet: fill in one entry at least");
    }
    made.close(&times)
}

/// When the parts of a round were.
struct Times {
    opened: Moment,
    outlet: Option<Moment>,
    ended: Option<Moment>,
    lasted: Option<String>,
    closed: Moment,
}

struct Making<'h> {
    here: &'h Here,
    typed: &'h Typed,
    /// The procedure that the round follows.
    followed: Option<&'h ProcedureText>,
    /// Its steps that must not be skipped, by its version.
    must_steps: BTreeMap<String, Vec<MustStep>>,
    faults: Vec<Fault>,
    /// Each with the name of who did it.
    records: Vec<(Record, Option<String>)>,
}

impl Making<'_> {
    fn fault(&mut self, field: &str, what: impl Into<String>) {
        self.faults.push(Fault::new(field, what));
    }

    fn times(&mut self) -> Option<Times> {
        let typed = self.typed;
        let Ok(day) = typed.of("day").parse::<Date>() else {
            self.fault("day", "the day must be a date, like 2026-03-02");
            return None;
        };
        if day.year() < 2000 {
            self.fault("day", "that day is before 2000: look at the year");
            return None;
        }
        let time = |making: &mut Self, field: &str| -> Option<Moment> {
            let text = typed.of(field);
            if text.is_empty() {
                return None;
            }
            let moment = clock(text).and_then(|time| making.here.moment(day.to_datetime(time)));
            match moment {
                None => making.fault(field, "the time must be hours and minutes, like 06:40"),
                Some(moment) if making.here.to_come(moment) => {
                    making.fault(field, "that time is still to come: look at the day and the time");
                }
                Some(_) => {}
            }
            moment
        };
        let opened = time(self, "opened");
        if typed.of("opened").is_empty() {
            self.fault("opened", "write when the round began, like 06:40");
        }
        let outlet = time(self, "outlet-time");
        let text = typed.of("contact-end");
        let (ended, lasted) = if text.is_empty() {
            (None, None)
        } else if text.contains(':') {
            (time(self, "contact-end"), None)
        } else {
            let ran = text.parse::<Quantity>().ok().and_then(Quantity::duration);
            match (ran.filter(|Seconds(ran)| (0.0..86_400.0).contains(ran)), outlet) {
                (Some(Seconds(ran)), Some(outlet)) => (outlet.after(ran), Some(text.to_owned())),
                (Some(_), None) => {
                    self.fault("outlet-time", "write when the contact time began, like 06:52");
                    (None, None)
                }
                (None, _) => {
                    let what = "write how long the contact time was, like 2 min, or when it ended, like 06:54";
                    self.fault("contact-end", what);
                    (None, None)
                }
            }
        };
        let closed = time(self, "closed");
        let opened = opened?;
        let known = [Some(opened), outlet, ended];
        let latest = known.into_iter().flatten().max_by_key(|moment| moment.instant);
        let closed = closed.or(latest)?;
        for (field, earlier, later) in [
            ("outlet-time", Some(opened), outlet),
            ("contact-end", outlet.or(Some(opened)), ended),
            ("closed", latest, Some(closed)),
        ] {
            if let (Some(earlier), Some(later)) = (earlier, later)
                && later.instant < earlier.instant
            {
                self.fault(field, "that is before what went before it: look at the times");
            }
        }
        Some(Times { opened, outlet, ended, lasted, closed })
    }

    /// Adds a record of the machine, or of a line or part of it.
    fn add(&mut self, field: &str, what: &str, at: Moment, subject: Subject, body: Body) -> Uuid {
        let id = id(self.typed.form, what);
        let here = self.here;
        let entered = match self.typed.of("how") {
            "machine" => Entered::AtMachine,
            _ => Entered::FromPaper,
        };
        let Ok(scope) = Scope::site(&here.site) else { return id };
        let person = match what {
            "verified" => self.typed.given("verified"),
            _ => self.typed.given("by"),
        };
        let record = Record {
            v: ouncewise_ledger::record::VERSION,
            id,
            scope,
            subject,
            at: at.at(),
            device: "desk".to_owned(),
            sequence: self.records.len() as u64,
            by: None,
            entered,
            note: None,
            body,
        };
        if let Err(found) = record.check() {
            let said: Vec<String> = found.into_iter().map(|fault| fault.message).collect();
            self.fault(field, said.join("; "));
        }
        self.records.push((record, person));
        id
    }

    fn machine(&self) -> Subject {
        Subject::machine(&self.here.machine)
    }

    /// Adds a record of the lines that are ticked: one of the machine where all are.
    fn of_lines(&mut self, field: &str, what: &str, at: Moment, body: &Body) {
        let lines = &self.here.lines;
        let ticked: Vec<String> = lines
            .iter()
            .filter(|(key, _)| self.typed.ticked(&format!("line-{key}")))
            .map(|(key, _)| key.clone())
            .collect();
        if ticked.len() == lines.len() {
            self.add(field, what, at, self.machine(), body.clone());
            return;
        }
        for line in ticked {
            let subject = Subject::line(&self.here.machine, &line);
            self.add(field, &format!("{what}/{line}"), at, subject, body.clone());
        }
    }

    fn opened(&mut self, times: &Times) {
        for field in ["by", "verified"] {
            if self.typed.of(field).chars().count() > 200 {
                self.fault(field, "the name must be shorter than 200 letters");
            }
        }
        let none =
            !self.here.lines.iter().any(|(key, _)| self.typed.ticked(&format!("line-{key}")));
        if let Some((first, _)) = self.here.lines.first().filter(|_| none) {
            self.fault(&format!("line-{first}"), "tick the lines that were sanitised");
        }
        let profile = self.here.profile.as_ref();
        let body = Body::RoundOpened {
            procedure: self.followed.map(|followed| followed.version.clone()),
            profile: profile.map(|(key, _)| key.clone()),
            edition: profile.map(|(_, profile)| profile.edition.chars().take(MAX_TEXT).collect()),
            program: Some(format!("ouncewise {}", env!("CARGO_PKG_VERSION"))),
        };
        self.add("day", "opened", times.opened, self.machine(), body);
    }

    /// The steps that are said to be done. A step that must not be skipped and is not among them leaves the round incomplete.
    fn steps(&mut self, times: &Times) {
        let typed = self.typed;
        let chosen = typed.of("procedure");
        let Some(followed) = self.followed else {
            if !chosen.is_empty() {
                self.fault("procedure", "choose one of the procedures of this machine’s family");
            }
            return;
        };
        if typed.of("steps-of") != chosen {
            let what = "the steps below are now those of the procedure that you chose: tick those that were done";
            self.fault("procedure", what);
            return;
        }
        let must = followed.must_steps(&self.here.terms());
        for MustStep { key, may_not_come_up } in &must {
            let step = key.clone();
            let body = match typed.of(key) {
                "" => continue,
                "not" if *may_not_come_up => {
                    Body::StepSkipped { step, reason: "it did not come up".to_owned() }
                }
                _ => Body::StepDone { step },
            };
            self.add(key, key, times.closed, self.machine(), body);
        }
        self.must_steps.insert(followed.version.clone(), must);
    }

    /// The box that was chosen, or the new one that was described.
    fn box_of(&mut self, name: &str, holds: Holds, at: Moment, wanted: bool) -> Option<Uuid> {
        let typed = self.typed;
        let chosen = typed.of(name);
        if let Ok(id) = chosen.parse::<Uuid>() {
            if self.here.boxes.get(&id).is_some_and(|opened| opened.holds == holds) {
                return Some(id);
            }
            self.fault(name, "choose one of the boxes that were opened here, or a new one");
            return None;
        }
        let field = |what: &str| format!("{name}-{what}");
        let label = typed.given(&field("name"));
        let facts = ["registration", "lot", "expiry"].map(|what| typed.given(&field(what)));
        let Some(label) = label else {
            if facts.iter().any(Option::is_some) && wanted {
                self.fault(&field("name"), "write what the label calls it");
            }
            return None;
        };
        let [registration, lot, expiry] = facts;
        if expiry.as_deref().is_some_and(|expiry| !is_day_or_month(expiry)) {
            self.fault(&field("expiry"), "write it as the year and the month, like 2027-06, or with the day, like 2027-06-30");
        }
        let contact = typed.given(&field("contact"));
        if contact.as_deref().is_some_and(|text| {
            text.parse::<Quantity>().ok().and_then(Quantity::duration).is_none()
        }) {
            self.fault(&field("contact"), "write the time that the label asks, like 60 s");
        }
        let active = typed.given(&field("active"));
        let strength = typed.given(&field("strength"));
        if let Some(Err(why)) = strength.as_deref().map(str::parse::<LabelStrength>) {
            let like = "write the strength that the label allows where food touches, like 100 to 200 ppm, or its one dilution, like 100 ppm";
            self.fault(&field("strength"), format!("{}: {like}", why.what));
        }
        let body = Body::BoxOpened {
            holds,
            name: label,
            registration,
            lot,
            expiry,
            active,
            contact,
            strength,
            signal_word: typed.given(&field("signal-word")),
        };
        Some(self.add(&field("name"), &field("box"), at, Subject::default(), body))
    }

    /// A quantity as it was read.
    fn quantity(&mut self, field: &str, dimension: Dimension, like: &str) -> Option<String> {
        let text = self.typed.given(field)?;
        match text.parse::<Quantity>() {
            Ok(read) if read.unit.dimension() == dimension => {}
            Ok(_) => self.fault(field, format!("write it with its unit, like {like}")),
            Err(why) => self.fault(field, format!("{why}; like {like}")),
        }
        Some(text)
    }

    /// A strip as it was read: the class of its card.
    fn strip(&mut self, field: &str) -> Option<String> {
        let text = self.typed.given(field)?;
        if strip_class(&text).is_none() {
            self.fault(field, "write the one class of the strip’s card that it matched, like 100");
        }
        let bare = text.replace(',', ".");
        let is_bare = bare.chars().all(|c| c.is_ascii_digit() || c == '.');
        Some(if is_bare { format!("strip class {bare}") } else { text })
    }

    fn bucket(&mut self, times: &Times) {
        let typed = self.typed;
        let mixed = ["dose", "water", "temperature", "ph", "hardness"];
        let any = mixed.iter().any(|field| !typed.of(field).is_empty());
        let sanitiser = self.box_of("sanitiser", Holds::Sanitiser, times.opened, any);
        let reads = ["strip-bucket", "strip-outlet", "purged"];
        let strips = reads.iter().any(|field| !typed.of(field).is_empty());
        let from_box = self.box_of("strips", Holds::Strips, times.opened, strips);
        let water = self.quantity("water", Dimension::Volume, "10 L");
        let temperature = self.quantity("temperature", Dimension::Temperature, "25 °C");
        let ph = typed.given("ph");
        let number = |text: &str| text.replace(',', ".").parse::<f64>().ok();
        if ph
            .as_deref()
            .is_some_and(|text| !number(text).is_some_and(|ph| (0.0..=14.0).contains(&ph)))
        {
            self.fault("ph", "a pH is a number from 0 to 14, like 7.5");
        }
        if any {
            let dose = typed.given("dose");
            if dose.is_none() {
                self.fault("dose", "write how much was put in, like 1 sachet");
            }
            if water.is_none() {
                self.fault("water", "write into how much water, like 10 L");
            }
            let product = match &sanitiser.and_then(|id| self.name_of(id)) {
                Some(name) => name.clone(),
                None => typed.given("sanitiser-name").unwrap_or_else(|| "not named".to_owned()),
            };
            if let (Some(dose), Some(water)) = (dose, water) {
                let hardness = typed.given("hardness");
                let body = Body::SolutionMixed {
                    product,
                    dose,
                    water,
                    temperature,
                    ph,
                    hardness,
                    from_box: sanitiser,
                };
                self.add("dose", "mixed", times.opened, self.machine(), body);
            }
        }
        if let Some(reading) = self.strip("strip-bucket") {
            let body = Body::StripRead { reading, place: "bucket".to_owned(), from_box };
            self.add("strip-bucket", "strip-bucket", times.opened, self.machine(), body);
        }
        if let Some(reading) = self.strip("strip-outlet") {
            let at = times.outlet.unwrap_or(times.opened);
            let body = Body::StripRead { reading, place: "outlet".to_owned(), from_box };
            self.of_lines("strip-outlet", "strip-outlet", at, &body);
        }
    }

    fn name_of(&self, id: Uuid) -> Option<String> {
        if let Some(opened) = self.here.boxes.get(&id) {
            return Some(opened.name.clone());
        }
        self.records.iter().find_map(|(record, _)| match &record.body {
            Body::BoxOpened { name, .. } if record.id == id => Some(name.clone()),
            _ => None,
        })
    }

    fn outlet(&mut self, times: &Times) {
        if let Some(outlet) = times.outlet {
            self.of_lines("outlet-time", "contact-started", outlet, &Body::ContactStarted {});
        }
        if let Some(ended) = times.ended {
            let body = Body::ContactEnded { lasted: times.lasted.clone() };
            self.of_lines("contact-end", "contact-ended", ended, &body);
        }
    }

    fn emptying(&mut self, times: &Times) {
        let typed = self.typed;
        let after = times.ended.unwrap_or(times.closed);
        for (field, stage, at) in [
            ("flushed-before", Stage::Before, times.opened),
            ("flushed-after", Stage::After, after),
        ] {
            if let Some(amount) = typed.given(field) {
                let read = amount.parse::<Quantity>().map(|read| read.unit.dimension());
                if !matches!(read, Ok(Dimension::Volume | Dimension::Duration)) {
                    self.fault(field, "write how much or how long, like 4 L or 90 s");
                }
                self.of_lines(field, field, at, &Body::Flushed { stage, amount });
            }
        }
        match typed.of("drained") {
            "open" => self.of_lines("drained", "drained", after, &Body::Drained { vented: true }),
            "shut" => self.of_lines("drained", "drained", after, &Body::Drained { vented: false }),
            _ => {}
        }
        if let Some(reading) = self.strip("purged") {
            let body = Body::Purged { reading: Some(reading), amount: None };
            self.of_lines("purged", "purged", after, &body);
        }
        if typed.ticked("discarded") {
            let amount = self.quantity("discarded-amount", Dimension::Volume, "100 mL");
            self.of_lines("discarded", "discarded", after, &Body::Discarded { amount });
        }
    }

    fn parts(&mut self, times: &Times) {
        let typed = self.typed;
        let good = typed.ticked("parts-good");
        let whole = [(ALL_PARTS.to_owned(), String::new())];
        let parts = if self.here.parts.is_empty() { &whole[..] } else { &self.here.parts };
        for (key, _) in parts {
            let field = format!("part-{key}");
            let found = typed.given(&field).or_else(|| good.then(|| "good".to_owned()));
            if let Some(found) = found {
                let subject = self.machine().with_part(key);
                self.add(&field, &field, times.closed, subject, Body::PartInspected { found });
            }
        }
        if let Some(lubricant) = typed.given("lubricant") {
            let body =
                Body::Lubricated { lubricant, statement: typed.given("lubricant-statement") };
            self.add("lubricant", "lubricated", times.closed, self.machine(), body);
        }
    }

    fn product(&mut self, times: &Times) {
        let temperature = self.quantity("product-temperature", Dimension::Temperature, "4 °C");
        let lot = self.typed.given("product-lot");
        let opened = self.typed.given("product-opened");
        if opened.as_deref().is_some_and(|day| day.parse::<Date>().is_err()) {
            self.fault("product-opened", "the day must be a date, like 2026-03-02");
        }
        if temperature.is_some() || lot.is_some() || opened.is_some() {
            let body = Body::ProductChecked { temperature, lot, opened };
            self.add("product-temperature", "product", times.closed, self.machine(), body);
        }
    }

    fn others(&mut self, times: &Times) {
        let typed = self.typed;
        if typed.given("verified").is_some() {
            self.add("verified", "verified", times.closed, self.machine(), Body::Verified {});
        }
        let (happened, done) = (typed.given("happened"), typed.given("mended"));
        match (happened, done) {
            (None, None) => {}
            (Some(happened), Some(done)) => {
                let body = Body::Deviated { happened, done, released: typed.ticked("released") };
                self.add("happened", "deviated", times.closed, self.machine(), body);
            }
            (Some(_), None) => self.fault("mended", "write what was done about it"),
            (None, Some(_)) => self.fault("happened", "write what went wrong"),
        }
    }

    /// Closes the round as it stands.
    fn close(mut self, times: &Times) -> Result<Answers, Vec<Fault>> {
        let reason = self.typed.given("reason");
        let body = Body::RoundClosed { complete: true, reason };
        self.add("reason", "closed", times.closed, self.machine(), body);
        if !self.faults.is_empty() {
            return Err(self.faults);
        }
        let judged = self.judged();
        if let Some((Record { body: Body::RoundClosed { complete, .. }, .. }, _)) =
            self.records.last_mut()
        {
            *complete = judged.state != State::Incomplete;
        }
        Ok(Answers { judged, records: self.records })
    }

    /// How the round stands with these records; people are told apart by what they are called.
    fn judged(&self) -> Judged {
        let by = |(record, person): &(Record, Option<String>)| {
            let who = person.as_ref().map(|name| name.to_lowercase());
            let by = who.map(|name| PersonId(derive_id(&["person", &name], 0)));
            Record { by, ..record.clone() }
        };
        let records: Vec<Record> = self.records.iter().map(by).collect();
        let mut boxes: BTreeMap<Uuid, OpenedBox> = self.here.boxes.clone();
        boxes.extend(opened_boxes(records.iter().map(|record| (record, &record.body))));
        let lines: Vec<&str> = self.here.lines.iter().map(|(key, _)| key.as_str()).collect();
        let known = Known {
            profile: self.here.profile.as_ref().map(|(_, profile)| profile),
            lines: &lines,
            boxes: &boxes,
            least_flush: &self.here.least_flush,
            drawn_at: &self.here.drawn_at,
            must_steps: &self.must_steps,
        };
        let mine = records.iter().filter(|record| record.subject.machine.is_some());
        let rounds = rounds(mine.map(|record| (record, &record.body)));
        // The form opens one.
        rounds.last().map_or_else(
            || Judged {
                state: State::Open,
                present: Vec::new(),
                musts: Vec::new(),
                shoulds: Vec::new(),
                unconfirmed: Vec::new(),
                failed: Vec::new(),
                questions: Vec::new(),
            },
            |round| round.judge(&known),
        )
    }
}

/// A time of day: `6:40`, `06:40`, `06:40:30`.
fn clock(text: &str) -> Option<Time> {
    let whole = if text.find(':') == Some(1) { format!("0{text}") } else { text.to_owned() };
    let whole = if whole.len() == 5 { format!("{whole}:00") } else { whole };
    whole.parse().ok()
}
