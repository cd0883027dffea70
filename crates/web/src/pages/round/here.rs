//! What the form knows: the machine, its lines and parts, the site's boxes, and the food code that is in force.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use ouncewise_estate::{Address, Estate};
use ouncewise_hygiene::flush::Least;
use ouncewise_hygiene::profile::{Level, Profile, RecordKind};
use ouncewise_hygiene::round::OpenedBox;
use ouncewise_ledger::Holds;
use ouncewise_measure::Quantity;
use ouncewise_report::{Library, ProcedureText, Terms};
use uuid::Uuid;

use crate::App;
use crate::wrong::Wrong;

/// How far a clock at a desk may be ahead.
const AHEAD: SignedDuration = SignedDuration::from_mins(10);

/// The machine whose round it is.
pub struct Here {
    /// Key of the site.
    pub site: String,
    /// Key of the machine.
    pub machine: String,
    /// Name of the site.
    pub site_name: String,
    /// Name of the machine.
    pub machine_name: String,
    /// Its lines in use: key and name.
    pub lines: Vec<(String, String)>,
    /// The parts of its family: key and name.
    pub parts: Vec<(String, String)>,
    /// What is said of lubricant on its parts: name and words, where the family states it.
    pub lubricate: Vec<(String, &'static str)>,
    /// How cold the product of a line is drawn, where it is described.
    pub drawn_at: BTreeMap<String, Quantity>,
    /// The boxes that were opened at the site, by the record that opened each.
    pub boxes: BTreeMap<Uuid, OpenedBox>,
    /// The least time that a flush of a line takes, where its tubes are known.
    pub least_flush: BTreeMap<String, Least>,
    /// The profile that is in force, with its key.
    pub profile: Option<(String, Profile)>,
    /// What a round follows unless somebody says otherwise.
    pub usual: Option<String>,
    /// The clock of the site.
    pub now: DateTime,
    family: String,
    library: Library,
    zone: TimeZone,
    instant: Timestamp,
}

impl Here {
    /// Reads it.
    pub async fn read(app: &App, site: &str, machine: &str) -> Result<Self, Wrong> {
        let estate: Arc<Estate> = app.store().estate_at(site).await?;
        let (Some(place), Some(known)) = (estate.sites.get(site), estate.machine(site, machine))
        else {
            return Err(Wrong::missing(
                format!("there is no machine `{site}/{machine}`"),
                "the page of its site lists the machines",
            ));
        };
        let mut keys: Vec<_> = known.lines.iter().filter(|(_, line)| !line.retired).collect();
        keys.sort_by(|a, b| a.0.natural_cmp(b.0));
        let lines = keys.into_iter().map(|(key, _)| {
            let name = Address::new(site, machine, key)
                .map_or_else(|_| key.to_string(), |at| estate.line_label(&at));
            (key.to_string(), name)
        });
        let parts = estate.families.get(&known.family).map_or_else(Vec::new, |family| {
            let part = |(key, part): (&ouncewise_estate::Key, &ouncewise_estate::Part)| {
                (key.to_string(), part.name.clone())
            };
            family.parts.iter().map(part).collect()
        });
        let lubricate = estate.families.get(&known.family).map_or_else(Vec::new, |family| {
            let parts = family.parts.values();
            parts.filter_map(|part| Some((part.name.clone(), part.lubricate?.words()))).collect()
        });
        let zone = place.time_zone.as_ref().unwrap_or(&estate.group.time_zone).rules();
        let instant = app.now();
        let named = |name: &str, key: &str| if name.is_empty() { key } else { name }.to_owned();
        let profile = estate
            .jurisdiction(site)
            .and_then(|key| Some((key.to_string(), estate.profile(key)?.into_owned())));
        let library = Library::of(app.store()).await?;
        let usual = library.usual(&known.family).map(|usual| usual.version.clone());
        Ok(Self {
            site: site.to_owned(),
            machine: machine.to_owned(),
            site_name: named(&place.name, site),
            machine_name: named(&known.name, machine),
            lines: lines.collect(),
            parts,
            lubricate,
            drawn_at: ouncewise_report::drawn_at(&estate, known),
            boxes: ouncewise_report::boxes(app.store(), site, machine).await?,
            least_flush: ouncewise_report::least_flushes(&estate, site, machine),
            profile,
            usual,
            now: instant.to_zoned_datetime(zone.clone()).datetime(),
            family: known.family.to_string(),
            library,
            zone,
            instant,
        })
    }

    /// What a procedure is held to here.
    pub fn terms(&self) -> Terms {
        self.profile.as_ref().map_or_else(Terms::default, |(_, profile)| Terms::of(profile))
    }

    /// The procedures in force of the machine's family.
    pub fn procedures(&self) -> Vec<&ProcedureText> {
        self.library.of_family(&self.family)
    }

    /// What those in force replaced: a round that was begun by it, or by its card, is recorded after it.
    pub fn replaced(&self) -> Vec<&ProcedureText> {
        let before = |one: &ProcedureText| {
            let all = self.library.versions(&one.family, &one.name);
            all.rev().find(|own| own.version != one.version)
        };
        self.procedures().into_iter().filter_map(before).collect()
    }

    /// The procedure of a version, among those of the machine's family. What was done by one that is in force no more was done by it.
    pub fn followed(&self, version: &str) -> Option<&ProcedureText> {
        self.library.version(version).filter(|one| one.family == self.family)
    }

    /// Whether a record is asked for with a must. Without a profile all of them may be.
    pub fn must(&self, kind: RecordKind) -> bool {
        self.profile.as_ref().is_none_or(|(_, profile)| profile.asks(kind) == Some(Level::Must))
    }

    /// The boxes of a sort, the latest first; those past their expiry last.
    pub fn boxes_of(&self, holds: Holds) -> Vec<(Uuid, &OpenedBox)> {
        let today = self.now.date().to_string();
        let of = self.boxes.iter().filter(|(_, opened)| opened.holds == holds);
        let mut boxes: Vec<(Uuid, &OpenedBox)> = of.map(|(id, opened)| (*id, opened)).collect();
        boxes.sort_by(|(_, a), (_, b)| (a.past_at(&today), &b.at).cmp(&(b.past_at(&today), &a.at)));
        boxes
    }

    /// A moment by the clock of the site; nothing where it is out of range.
    pub fn moment(&self, at: DateTime) -> Option<Moment> {
        let zoned = self.zone.to_ambiguous_zoned_datetime(at).compatible().ok()?;
        Some(Moment { instant: zoned.timestamp(), offset: zoned.offset() })
    }

    /// Whether a moment is still to come.
    pub fn to_come(&self, moment: Moment) -> bool {
        moment.instant > self.instant.saturating_add(AHEAD).unwrap_or(self.instant)
    }
}

/// A moment at the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    pub instant: Timestamp,
    offset: jiff::tz::Offset,
}

impl Moment {
    /// As a record spells it.
    pub fn at(self) -> String {
        ouncewise_ledger::time::at(self.instant, self.offset)
    }

    /// So many seconds later; nothing where that is out of range.
    pub fn after(self, seconds: f64) -> Option<Self> {
        let later = SignedDuration::try_from_secs_f64(seconds).ok()?;
        Some(Self { instant: self.instant.checked_add(later).ok()?, ..self })
    }
}
