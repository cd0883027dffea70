//! What of a round is on record: for the whole machine, or line by line for what is done line by line.

use std::collections::BTreeSet;

use ouncewise_ledger::{Body, Holds, Record};
use uuid::Uuid;

use super::{Known, OpenedBox, Round};
use crate::profile::{RecordKind, Sanitiser};

/// A record of a round, with the body that holds.
pub type What<'a> = (&'a Record, &'a Body);

/// The kinds that are there line by line: a record of the whole machine is one of each of its lines.
const BY_LINE: [RecordKind; 7] = [
    RecordKind::StripOutlet,
    RecordKind::ContactStart,
    RecordKind::ContactEnd,
    RecordKind::Flushed,
    RecordKind::Drained,
    RecordKind::Purged,
    RecordKind::Discarded,
];

/// What is there, and of which lines.
#[derive(Debug, Clone)]
pub struct Presence<'a> {
    lines: &'a [&'a str],
    there: BTreeSet<RecordKind>,
    by_line: BTreeSet<(RecordKind, String)>,
    sanitiser: Option<&'a OpenedBox>,
}

impl<'a> Presence<'a> {
    /// Looks through a round.
    #[must_use]
    pub fn new(round: &Round<'_>, known: &Known<'a>) -> Self {
        let mut presence = Self {
            lines: known.lines,
            there: BTreeSet::from([RecordKind::Machine]),
            by_line: BTreeSet::new(),
            sanitiser: None,
        };
        if round.closed.is_some() {
            presence.there.insert(RecordKind::Times);
        }
        if round.profile.is_some() {
            presence.there.insert(RecordKind::Profile);
        }
        let own = round.records.iter().filter(|(_, body)| !matches!(body, Body::Verified {}));
        let mut doers = std::iter::once(round.opened).chain(own.map(|(record, _)| *record));
        if doers.any(|record| record.by.is_some()) {
            presence.there.insert(RecordKind::Person);
        }
        presence.boxes(round, known);
        for (record, body) in &round.records {
            for kind in of(record, body) {
                presence.add(kind, record);
            }
        }
        presence
    }

    fn add(&mut self, kind: RecordKind, record: &Record) {
        match &record.subject.line {
            Some(line) if BY_LINE.contains(&kind) => {
                self.by_line.insert((kind, line.clone()));
            }
            _ => drop(self.there.insert(kind)),
        }
    }

    /// The boxes: the last solution's, and those of all strips.
    fn boxes(&mut self, round: &Round<'_>, known: &Known<'a>) {
        let find = |from: &Option<Uuid>, holds| {
            let opened = known.boxes.get(from.as_ref()?)?;
            (opened.holds == holds).then_some(opened)
        };
        let (mut strips, mut unnamed) = (0, 0);
        for (_, body) in &round.records {
            match body {
                Body::SolutionMixed { from_box, .. } => {
                    self.sanitiser = find(from_box, Holds::Sanitiser);
                }
                Body::StripRead { from_box, .. } => {
                    strips += 1;
                    let whole = find(from_box, Holds::Strips).is_some_and(OpenedBox::whole);
                    unnamed += usize::from(!whole);
                }
                _ => {}
            }
        }
        if self.sanitiser.is_some_and(OpenedBox::whole) {
            self.there.insert(RecordKind::SanitiserBox);
        }
        if strips > 0 && unnamed == 0 {
            self.there.insert(RecordKind::StripBox);
        }
    }

    /// The box of the sanitiser, where it was named.
    #[must_use]
    pub fn sanitiser_box(&self) -> Option<&'a OpenedBox> {
        self.sanitiser
    }

    /// Which sanitiser it was, where its box says so.
    #[must_use]
    pub fn sanitiser(&self) -> Option<Sanitiser> {
        self.sanitiser.and_then(OpenedBox::sanitiser)
    }

    /// Whether a kind is there, of all lines where it is done line by line.
    #[must_use]
    pub fn has(&self, kind: RecordKind) -> bool {
        self.there.contains(&kind)
            || (BY_LINE.contains(&kind) && !self.lines.is_empty() && self.without(kind).is_empty())
    }

    fn without(&self, kind: RecordKind) -> Vec<String> {
        let lacks = |line: &&&str| !self.by_line.contains(&(kind, (***line).to_owned()));
        self.lines.iter().filter(lacks).map(|line| (*line).to_owned()).collect()
    }

    /// The lines without a kind that other lines have; none where no line has it.
    #[must_use]
    pub fn lines_without(&self, kind: RecordKind) -> Vec<String> {
        let without = self.without(kind);
        let none = self.there.contains(&kind) || without.len() == self.lines.len();
        if none || !BY_LINE.contains(&kind) { Vec::new() } else { without }
    }

    /// The kinds that are there.
    #[must_use]
    pub fn whole(&self) -> Vec<RecordKind> {
        let all = RecordKind::WORDS.iter().map(|(_, kind)| *kind);
        all.filter(|kind| self.has(*kind)).collect()
    }
}

/// What one record is a record of.
fn of(record: &Record, body: &Body) -> Vec<RecordKind> {
    use RecordKind as K;
    let given = |pairs: &[(bool, K)]| -> Vec<K> {
        pairs.iter().filter(|(there, _)| *there).map(|(_, kind)| *kind).collect()
    };
    match body {
        Body::SolutionMixed { temperature, ph, hardness, .. } => given(&[
            (true, K::SolutionMixed),
            (temperature.is_some(), K::SolutionTemperature),
            (ph.is_some(), K::SolutionPh),
            (hardness.is_some(), K::WaterHardness),
        ]),
        Body::StripRead { place, .. } => {
            let place = place.trim();
            given(&[
                (place.eq_ignore_ascii_case("bucket"), K::StripBucket),
                (place.eq_ignore_ascii_case("outlet"), K::StripOutlet),
            ])
        }
        Body::ContactStarted {} => vec![K::ContactStart],
        Body::ContactEnded { .. } => vec![K::ContactEnd],
        Body::Flushed { .. } => vec![K::Flushed],
        Body::Drained { .. } => vec![K::Drained],
        Body::Purged { reading, .. } => given(&[(reading.is_some(), K::Purged)]),
        Body::Discarded { .. } => vec![K::Discarded],
        Body::PartInspected { .. } | Body::PartReplaced { .. } => vec![K::PartsInspected],
        Body::Lubricated { .. } => vec![K::Lubricated],
        Body::ProductChecked { temperature, lot, opened } => given(&[
            (temperature.is_some(), K::ProductTemperature),
            (lot.is_some() && opened.is_some(), K::ProductOpened),
        ]),
        // It was opened when it was put on.
        Body::ContainerChanged { lot } => given(&[(lot.is_some(), K::ProductOpened)]),
        Body::Verified {} => given(&[(record.by.is_some(), K::Verified)]),
        Body::Deviated { .. } => vec![K::Deviation],
        _ => Vec::new(),
    }
}
