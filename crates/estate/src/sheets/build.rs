//! From checked values to drafts: identity, order and the limits of what can be.

use std::collections::{HashMap, HashSet};
use std::hash::{BuildHasherDefault, DefaultHasher, Hash, Hasher};

use jiff::Timestamp;
use ouncewise_ledger::record::VERSION;
use ouncewise_ledger::{Body, Draft, Entered, LineState, Record, Scope, Subject, derive_id};
use uuid::Uuid;

use super::code::{Code, Refusal};
use super::index::{About, Index};
use super::rounds;
use super::when::When;
use crate::Key;

/// Longest name of a person, and longest note, in bytes.
const LONGEST_NAME: usize = 200;
const LONGEST_NOTE: usize = 8000;

/// What a row says happened, before it has an identity.
pub(super) struct Fact<'a> {
    pub(super) about: About<'a>,
    pub(super) part: Option<&'a str>,
    pub(super) when: When,
    pub(super) id: Option<Uuid>,
    pub(super) sequence: Option<u64>,
    pub(super) body: Body,
    pub(super) person: &'a str,
    pub(super) note: &'a str,
}

/// Makes drafts of one file; remembers what it saw.
pub(super) struct Builder<'a> {
    pub(super) index: Index<'a>,
    pub(super) now: Timestamp,
    /// First 64 bits of ids given out, and how often where more than once.
    seen: HashSet<u64, BuildHasherDefault<AsIs>>,
    again: HashMap<u64, u64>,
    /// For rows that state their own place: what they said. A million of them have to fit, so it is the hash of
    /// the id, and half a hash of the row.
    stated: HashMap<[u32; 2], u32, BuildHasherDefault<AsIs>>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(index: Index<'a>, now: Timestamp) -> Builder<'a> {
        Builder {
            index,
            now,
            seen: HashSet::default(),
            again: HashMap::new(),
            stated: HashMap::default(),
        }
    }

    /// Gives a fact its moment, identity and order. `row` is all text of the row: two equal rows are a
    /// duplicate where they claim the same place, and two catches where they do not.
    pub(super) fn draft(&mut self, fact: Fact<'_>, row: &str) -> Result<Draft, Refusal> {
        if fact.person.len() > LONGEST_NAME || fact.note.len() > LONGEST_NOTE {
            return Err(Refusal::new(0, Code::CellUnclear, "the name or the note is too long")
                .hint("a quotation mark may be missing"));
        }
        let moment = fact
            .when
            .at(self.index.rules(fact.about.site), self.now)
            .map_err(|r| r.column("at"))?;
        let (kind, state, place) = sort(&fact.body);
        let About { site_key, machine, line, .. } = fact.about;
        let machine = machine.map(|(key, _)| key);
        let key = [
            site_key.as_str(),
            machine.map_or("", Key::as_str),
            line.map_or("", Key::as_str),
            &moment.written,
            kind,
            fact.part.unwrap_or(state),
        ];
        let (id, occurrence) = match (fact.id, fact.sequence) {
            (Some(id), _) => (id, self.stated(id, row)?),
            (None, Some(sequence)) => {
                let id = derive_id(&key, sequence);
                (id, self.stated(id, row)?)
            }
            (None, None) => self.next(&key),
        };
        // Within one moment: as found, then what was done, then as left.
        let sequence = fact.sequence.unwrap_or(place + occurrence);
        Ok(Draft {
            record: Record {
                v: VERSION,
                id,
                scope: Scope::site(site_key)
                    .map_err(|e| Refusal::new(0, Code::UnknownSite, e.to_string()))?,
                subject: Subject {
                    machine: machine.map(Key::to_string),
                    line: line.map(Key::to_string),
                    part: fact.part.map(str::to_owned),
                },
                at: moment.at,
                device: "import".to_owned(),
                sequence,
                by: None,
                entered: Entered::Imported,
                note: None,
                body: fact.body,
            },
            person: some(fact.person),
            note: some(fact.note),
        })
    }

    /// A row that states its id or sequence: refused where another row has the same.
    fn stated(&mut self, id: Uuid, row: &str) -> Result<u64, Refusal> {
        let said = halves(row)[0];
        match self.stated.insert(halves(id), said) {
            None => Ok(0),
            Some(earlier) if earlier == said => {
                Err(Refusal::new(0, Code::Duplicate, "the same row is above")
                    .hint("delete one; if it was caught twice, give each its own sequence"))
            }
            Some(_) => Err(Refusal::new(
                0,
                Code::Clash,
                "a row above has the same place in the order and says something else",
            )
            .hint("give each its own sequence or id")),
        }
    }

    /// The id of the next occurrence of a natural key.
    fn next(&mut self, key: &[&str]) -> (Uuid, u64) {
        let first = derive_id(key, 0);
        let short = first.as_u64_pair().0;
        if self.seen.insert(short) {
            return (first, 0);
        }
        let count = self.again.entry(short).or_insert(0);
        *count += 1;
        (derive_id(key, *count), *count)
    }
}

/// Kind and state for the natural key, and the place of such a record within one moment.
fn sort(body: &Body) -> (&'static str, &'static str, u64) {
    match body {
        Body::CatchTaken { state: LineState::AsFound, .. } => ("catch-taken", "as-found", 0),
        Body::ProductChanged { .. } => ("product-changed", "", 1_000_000),
        Body::ContainerChanged { .. } => ("container-changed", "", 1_000_000),
        Body::PartInspected { .. } => ("part-inspected", "", 2_000_000),
        Body::PartReplaced { .. } => ("part-replaced", "", 2_000_000),
        Body::LineAdjusted { .. } => ("line-adjusted", "", 3_000_000),
        Body::CatchTaken { state: LineState::AsLeft, .. } => ("catch-taken", "as-left", 4_000_000),
        other => match rounds::order(other) {
            Some(place) => (other.kind(), "", place),
            None => ("claim-made", "", 5_000_000),
        },
    }
}

/// Both halves of a hash.
fn halves(it: impl Hash) -> [u32; 2] {
    let mut hasher = DefaultHasher::new();
    it.hash(&mut hasher);
    let bits = hasher.finish();
    [(bits >> 32) as u32, bits as u32]
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

/// Bits that are a hash already.
#[derive(Default)]
struct AsIs(u64);

impl Hasher for AsIs {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = self.0 << 8 | u64::from(*byte);
        }
    }

    fn write_u64(&mut self, bits: u64) {
        // The first bits say where, the last which: both must differ between ids.
        self.0 = bits.rotate_left(32);
    }
}
