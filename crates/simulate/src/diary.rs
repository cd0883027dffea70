//! Writes down what happens at one site: times, devices, running numbers, ids.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use ouncewise_ledger::{Body, Draft, Entered, Record, Scope, Subject};
use uuid::{Builder, Uuid};

use crate::chance::Chance;

/// What happened, before it has its running number.
pub(crate) struct Happening {
    pub(crate) at: Timestamp,
    pub(crate) subject: Subject,
    pub(crate) person: Option<String>,
    pub(crate) note: Option<String>,
    pub(crate) entered: Entered,
    pub(crate) body: Body,
}

/// The records of one site.
pub(crate) struct Diary {
    scope: Scope,
    zone: TimeZone,
    tablet: Device,
    desk: Device,
    open: Vec<(Uuid, Happening)>,
}

struct Device {
    name: String,
    sequence: u64,
}

impl Device {
    fn next(&mut self) -> u64 {
        self.sequence += 1;
        self.sequence
    }
}

impl Diary {
    pub(crate) fn new(site: &str, scope: Scope, zone: TimeZone) -> Self {
        let device = |kind: &str| Device { name: format!("{kind}-{site}"), sequence: 0 };
        Self { scope, zone, tablet: device("tablet"), desk: device("desk"), open: Vec::new() }
    }

    /// Notes a happening and gives the id of its record (UUIDv7 of its time).
    pub(crate) fn write(&mut self, happening: Happening, chance: &mut Chance) -> Uuid {
        let milliseconds = u64::try_from(happening.at.as_millisecond()).unwrap_or(0);
        let id = Builder::from_unix_timestamp_millis(milliseconds, &chance.ten_bytes()).into_uuid();
        self.open.push((id, happening));
        id
    }

    /// The day at a moment, as the site counts it: `2026-03-02`.
    pub(crate) fn day(&self, at: Timestamp) -> String {
        written(at, &self.zone)[..10].to_owned()
    }

    /// Hands over what was written since the last time, in the order of events.
    pub(crate) fn close(&mut self) -> Vec<Draft> {
        let mut open = std::mem::take(&mut self.open);
        open.sort_by_key(|(_, happening)| happening.at);
        open.into_iter().map(|(id, happening)| self.draft(id, happening)).collect()
    }

    fn draft(&mut self, id: Uuid, happening: Happening) -> Draft {
        let device = match happening.entered {
            Entered::AtMachine => &mut self.tablet,
            Entered::FromPaper | Entered::Imported | Entered::AtDesk => &mut self.desk,
        };
        let sequence = device.next();
        let record = Record {
            v: 1,
            id,
            scope: self.scope.clone(),
            subject: happening.subject,
            at: written(happening.at, &self.zone),
            device: device.name.clone(),
            sequence,
            by: None,
            entered: happening.entered,
            note: None,
            body: happening.body,
        };
        Draft { record, person: happening.person, note: happening.note }
    }
}

/// RFC 3339 with milliseconds and the offset of the site: `2026-03-02T06:41:07.250+01:00`.
fn written(at: Timestamp, zone: &TimeZone) -> String {
    let offset = zone.to_offset(at);
    let local = offset.to_datetime(at);
    let minutes = offset.seconds() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    format!(
        "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}{sign}{:02}:{:02}",
        local.year(),
        local.month(),
        local.day(),
        local.hour(),
        local.minute(),
        local.second(),
        local.millisecond(),
        minutes.abs() / 60,
        minutes.abs() % 60,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_written_with_the_offset_of_its_site() {
        let zone: ouncewise_estate::Zone = "Europe/Vienna".parse().unwrap();
        for text in ["2026-03-02T06:41:07.250+01:00", "2026-07-02T06:41:07.000+02:00"] {
            let at: Timestamp = text.parse().unwrap();
            assert_eq!(written(at, &zone.rules()), text);
        }
        let west: ouncewise_estate::Zone = "America/St_Johns".parse().unwrap();
        let at: Timestamp = "2026-01-02T03:04:05.006-03:30".parse().unwrap();
        assert_eq!(written(at, &west.rules()), "2026-01-02T03:04:05.006-03:30");
    }
}
