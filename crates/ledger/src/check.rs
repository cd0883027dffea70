//! What a record's types cannot say: bounded text, keys, times, whole numbers.

use thiserror::Error;

use crate::body::{Body, Thing};
use crate::canonical::{self, MAX_INTEGER};
use crate::id::procedure_version;
use crate::key::check_key;
use crate::merkle::Hash;
use crate::record::{MAX_BYTES, Record, Scope, Subject, VERSION};
use crate::time;

#[cfg(test)]
mod tests;

/// The longest text of one field, in characters.
pub const MAX_TEXT: usize = 500;

/// One thing that is wrong with a record.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{field}: {message}")]
pub struct RecordFault {
    /// The field, as `body.amount`.
    pub field: String,
    /// What is wrong, and how to mend it.
    pub message: String,
}

pub(crate) fn check(record: &Record) -> Result<(), Vec<RecordFault>> {
    let mut faults = Faults { within: String::new(), list: Vec::new() };
    faults.record(record);
    if faults.list.is_empty() { Ok(()) } else { Err(faults.list) }
}

/// Faults found so far, and the field within which we are.
struct Faults {
    within: String,
    list: Vec<RecordFault>,
}

impl Faults {
    fn add(&mut self, field: &str, message: impl Into<String>) {
        self.list.push(RecordFault {
            field: format!("{}{field}", self.within),
            message: message.into(),
        });
    }

    fn record(&mut self, record: &Record) {
        if record.v != VERSION {
            self.add("v", format!("format {} is not known here; write {VERSION}", record.v));
        }
        if !matches!(record.id.get_version_num(), 7 | 8) {
            self.add("id", "a record's id is a UUID of version 7, or 8 where it was imported");
        }
        self.subject(&record.subject);
        if let Err(error) = time::parse(&record.at) {
            self.add("at", error.to_string());
        }
        self.text("device", &record.device);
        self.whole("sequence", record.sequence);
        if let Some(note) = &record.note {
            self.hash("note", note);
        }
        if let Body::Correction { of, .. } = &record.body
            && *of == record.id
        {
            self.add("body.of", "a record cannot correct itself; name the record that was wrong");
        }
        self.within.push_str("body.");
        self.body(&record.body, &record.subject);
        self.within.clear();
        // Other kinds cannot be too long without a text that is.
        let open_ended = matches!(
            record.body,
            Body::Configured { .. }
                | Body::ProcedurePublished { .. }
                | Body::ParametersPublished { .. }
                | Body::Correction { .. }
        );
        if open_ended
            && let Ok(bytes) = record.to_bytes()
            && bytes.len() > MAX_BYTES
        {
            self.add("body", format!("{} bytes in all; the longest is {MAX_BYTES}", bytes.len()));
        }
    }

    fn subject(&mut self, subject: &Subject) {
        let Subject { machine, line, part } = subject;
        for (field, key) in
            [("subject.machine", machine), ("subject.line", line), ("subject.part", part)]
        {
            if let Some(key) = key {
                self.key(field, key);
            }
        }
        if machine.is_none() && line.is_some() {
            self.add("subject.machine", "a line is named without its machine; name both");
        }
    }

    fn body(&mut self, body: &Body, subject: &Subject) {
        self.about(body, subject);
        match body {
            Body::RoundOpened { procedure, profile, edition, program } => {
                if let Some(hash) = procedure {
                    self.hash("procedure", hash);
                }
                if let Some(profile) = profile {
                    self.key("profile", profile);
                }
                self.given(&[("edition", edition), ("program", program)]);
            }
            Body::BoxOpened { .. }
            | Body::SolutionMixed { .. }
            | Body::StripRead { .. }
            | Body::ContactStarted {}
            | Body::ContactEnded { .. }
            | Body::Flushed { .. }
            | Body::Drained { .. }
            | Body::Purged { .. }
            | Body::Discarded { .. }
            | Body::Lubricated { .. }
            | Body::ProductChecked { .. }
            | Body::Verified {}
            | Body::Deviated { .. } => self.sanitising(body),
            Body::StepDone { step } => self.key("step", step),
            Body::StepSkipped { step, reason } => {
                self.key("step", step);
                self.text("reason", reason);
            }
            Body::PartInspected { found } => self.text("found", found),
            Body::PartReplaced { number, lot, why } => {
                self.given(&[("number", number), ("lot", lot), ("why", why)]);
            }
            Body::CatchTaken {
                state: _,
                amount,
                draw,
                measure,
                water,
                water_draw,
                temperature,
            } => {
                self.texts(&[("amount", amount), ("draw", draw)]);
                self.key("measure", measure);
                self.given(&[
                    ("water", water),
                    ("water_draw", water_draw),
                    ("temperature", temperature),
                ]);
            }
            Body::ClaimMade { said } => self.text("said", said),
            Body::LineAdjusted { done, setting, meant } => {
                self.text("done", done);
                self.given(&[("setting", setting), ("meant", meant)]);
            }
            Body::LineCleaned {} | Body::MachinePaused {} | Body::MachineReopened {} => {}
            Body::ProductChanged { product } => self.key("product", product),
            Body::ContainerChanged { lot } => self.given(&[("lot", lot)]),
            Body::MeasureReplaced { measure } => self.key("measure", measure),
            Body::MachineSwapped { serial, family } => {
                self.text("serial", serial);
                if let Some(family) = family {
                    self.key("family", family);
                }
            }
            Body::TechnicianCalled { fault, cost, out } => {
                self.text("fault", fault);
                self.given(&[("cost", cost), ("out", out)]);
            }
            Body::RoundClosed { complete: _, reason } => self.given(&[("reason", reason)]),
            Body::Configured { thing, key, definition } => {
                self.thing(*thing, key);
                for (name, value) in definition {
                    self.text("definition", name);
                    self.value(name, value, 0);
                }
                if let Err(error) = canonical::to_bytes(definition) {
                    self.add("definition", error.to_string());
                }
            }
            Body::Retired { thing, key } => self.thing(*thing, key),
            Body::ProcedurePublished { key, hash, family, text, model } => {
                self.key("key", key);
                self.hash("hash", hash);
                if let Some(family) = family {
                    self.key("family", family);
                } else if text.is_some() {
                    self.add("family", "a text is published for a family of machines; name it");
                }
                for (field, lines) in [("text", text), ("model", model)] {
                    if let Some(lines) = lines {
                        self.lines(field, lines);
                    }
                }
                if let Some(text) = text
                    && *hash != procedure_version(text, model.as_deref())
                {
                    self.add("hash", "it is not the SHA-256 of the text, a zero byte and the model; hash both as they are (of a text without a model, the text alone)");
                }
            }
            Body::ParametersPublished { family, values } => {
                self.key("family", family);
                for (name, value) in values {
                    self.texts(&[("values", name), ("values", value)]);
                }
            }
            Body::Correction { of: _, reason, instead } => {
                self.text("reason", reason);
                match instead.as_deref() {
                    None => {}
                    Some(Body::Correction { .. }) => self.add(
                        "instead",
                        "what holds instead is no correction; correct the correction itself",
                    ),
                    Some(instead) => {
                        let outside = self.within.len();
                        self.within.push_str("instead.");
                        self.body(instead, subject);
                        self.within.truncate(outside);
                    }
                }
            }
            Body::Verification { size, root } => {
                self.whole("size", *size);
                self.hash("root", root);
            }
        }
    }

    /// The kinds of a round's sanitising.
    fn sanitising(&mut self, body: &Body) {
        match body {
            Body::BoxOpened {
                holds: _,
                name,
                registration,
                lot,
                expiry,
                active,
                contact,
                strength,
                signal_word,
            } => {
                self.text("name", name);
                self.given(&[
                    ("registration", registration),
                    ("lot", lot),
                    ("expiry", expiry),
                    ("active", active),
                    ("contact", contact),
                    ("strength", strength),
                    ("signal_word", signal_word),
                ]);
            }
            Body::SolutionMixed {
                product,
                dose,
                water,
                temperature,
                ph,
                hardness,
                from_box: _,
            } => {
                self.texts(&[("product", product), ("dose", dose), ("water", water)]);
                self.given(&[("temperature", temperature), ("ph", ph), ("hardness", hardness)]);
            }
            Body::StripRead { reading, place, from_box: _ } => {
                self.texts(&[("reading", reading), ("place", place)]);
            }
            Body::ContactEnded { lasted } => self.given(&[("lasted", lasted)]),
            Body::Flushed { stage: _, amount } => self.text("amount", amount),
            Body::Purged { reading, amount } => {
                self.given(&[("reading", reading), ("amount", amount)]);
            }
            Body::Discarded { amount } => self.given(&[("amount", amount)]),
            Body::Lubricated { lubricant, statement } => {
                self.text("lubricant", lubricant);
                self.given(&[("statement", statement)]);
            }
            Body::ProductChecked { temperature, lot, opened } => {
                if temperature.is_none() && lot.is_none() && opened.is_none() {
                    self.add(
                        "temperature",
                        "nothing was seen of the product; write its temperature, its lot or the day it was opened",
                    );
                }
                self.given(&[("temperature", temperature), ("lot", lot), ("opened", opened)]);
            }
            Body::Deviated { happened, done, released: _ } => {
                self.texts(&[("happened", happened), ("done", done)]);
            }
            _ => {}
        }
    }

    /// What a kind must be about.
    fn about(&mut self, body: &Body, subject: &Subject) {
        let missing = match body {
            Body::CatchTaken { .. }
            | Body::LineAdjusted { .. }
            | Body::LineCleaned {}
            | Body::ProductChanged { .. }
            | Body::ContainerChanged { .. }
                if subject.line.is_none() =>
            {
                "line"
            }
            Body::PartInspected { .. } | Body::PartReplaced { .. } if subject.part.is_none() => {
                "part"
            }
            Body::MachineSwapped { .. }
            | Body::MachinePaused {}
            | Body::MachineReopened {}
            | Body::PartInspected { .. }
            | Body::PartReplaced { .. }
            | Body::ClaimMade { .. }
            | Body::RoundOpened { .. }
            | Body::RoundClosed { .. }
            | Body::ContactStarted {}
            | Body::ContactEnded { .. }
            | Body::Flushed { .. }
            | Body::Drained { .. }
            | Body::Purged { .. }
            | Body::Discarded { .. }
            | Body::Lubricated { .. }
            | Body::ProductChecked { .. }
            | Body::Verified {}
            | Body::Deviated { .. }
                if subject.machine.is_none() =>
            {
                "machine"
            }
            _ => return,
        };
        self.add("kind", format!("{} needs a {missing} in its subject", body.kind()));
    }

    fn thing(&mut self, thing: Thing, key: &str) {
        if thing != Thing::Group || key != Scope::GROUP {
            self.key("key", key);
        }
    }

    /// The texts within a value of a definition; numbers and depth are the canonical bytes' business.
    fn value(&mut self, name: &str, value: &serde_json::Value, depth: usize) {
        use serde_json::Value;
        match value {
            Value::String(text) => {
                // Here text may have several lines.
                if let Some(found) = text.chars().find(|&c| hidden(c) && !matches!(c, '\n' | '\t'))
                {
                    self.add("definition", format!("{name}: {}", hidden_message(found)));
                }
            }
            Value::Array(list) if depth < canonical::MAX_DEPTH => {
                list.iter().for_each(|value| self.value(name, value, depth + 1));
            }
            Value::Object(object) if depth < canonical::MAX_DEPTH => {
                for (key, value) in object {
                    self.text("definition", key);
                    self.value(name, value, depth + 1);
                }
            }
            _ => {}
        }
    }

    fn texts(&mut self, fields: &[(&str, &String)]) {
        fields.iter().for_each(|(field, text)| self.text(field, text));
    }

    fn given(&mut self, fields: &[(&str, &Option<String>)]) {
        for (field, text) in fields {
            if let Some(text) = text {
                self.text(field, text);
            }
        }
    }

    fn text(&mut self, field: &str, text: &str) {
        if text.trim().is_empty() {
            self.add(field, "empty; write it, or leave the field out where it may be left out");
        }
        if let Some(found) = text.chars().find(|&c| hidden(c)) {
            self.add(field, hidden_message(found));
        }
        let length = text.chars().count();
        if length > MAX_TEXT {
            self.add(field, format!("{length} characters; the longest is {MAX_TEXT}"));
        }
    }

    /// Text of several lines, as a file has them. How long it may be, its record bounds.
    fn lines(&mut self, field: &str, text: &str) {
        if text.trim().is_empty() {
            self.add(field, "empty; write it, or leave the field out where it may be left out");
        }
        let of_a_file = |c: &char| hidden(*c) && !matches!(c, '\n' | '\r' | '\t');
        if let Some(found) = text.chars().find(of_a_file) {
            self.add(field, hidden_message(found));
        }
    }

    fn key(&mut self, field: &str, key: &str) {
        if let Err(error) = check_key(key) {
            self.add(field, error.to_string());
        }
    }

    fn hash(&mut self, field: &str, text: &str) {
        if let Err(error) = text.parse::<Hash>() {
            self.add(field, error.to_string());
        }
    }

    fn whole(&mut self, field: &str, number: u64) {
        if number > MAX_INTEGER {
            self.add(field, format!("{number} is beyond {MAX_INTEGER}; count from 0 again"));
        }
    }
}

/// Controls, line and paragraph separators, and marks that turn the direction of what follows:
/// with them a text can look like another one.
fn hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn hidden_message(found: char) -> String {
    format!("the hidden character U+{:04X}; take it out", u32::from(found))
}
