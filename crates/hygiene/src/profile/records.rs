//! Which records a profile requires, and which of them are missing: a round that lacks one closes as incomplete, and keeps what
//! it has.

use std::fmt;

use serde::Serialize;

use super::{Basis, Profile, Sanitiser};

/// Something that a sanitising round may have on record. Values are what was observed, made at the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RecordKind {
    /// Site, machine and line, with the product and its allergens.
    Machine,
    /// When it began and ended, by which clock.
    Times,
    /// Who did it.
    Person,
    /// Under which profile and version it was done.
    Profile,
    /// The sanitiser's box: name as on the label, registration, lot, expiry.
    SanitiserBox,
    /// The strips' box: kind, lot, expiry.
    StripBox,
    /// The solution: which product, how many pieces or how much, in how much water.
    SolutionMixed,
    /// The temperature of the solution.
    SolutionTemperature,
    /// Its pH.
    SolutionPh,
    /// The hardness of the water.
    WaterHardness,
    /// The strip read in the bucket.
    StripBucket,
    /// The strip read at the outlet.
    StripOutlet,
    /// When the contact time began: the outlet on its strength.
    ContactStart,
    /// When it ended.
    ContactEnd,
    /// How much was flushed before and after.
    Flushed,
    /// That it was drained, with the top open or not.
    Drained,
    /// That sanitiser was purged, with the strip after it.
    Purged,
    /// That the first volume was thrown away.
    Discarded,
    /// Each part: as found, replaced, why.
    PartsInspected,
    /// Which lubricant, and where.
    Lubricated,
    /// The temperature of the product.
    ProductTemperature,
    /// The product's lot and the day it was opened.
    ProductOpened,
    /// A second person who looked.
    Verified,
    /// What went wrong, what was done, who released the line.
    Deviation,
}

/// The entry in which a record is made: records of one entry are one act of the crew.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Entry {
    /// The round itself knows it; nobody enters it.
    ByItself,
    /// Once for each box.
    OncePerBox,
    /// The bucket.
    Bucket,
    /// The outlet's strip, which starts the contact time.
    Outlet,
    /// The end of the contact time.
    ContactEnd,
    /// Emptying: drained, purged, first volume away.
    Emptying,
    /// The parts.
    Parts,
    /// The product that goes back in.
    Product,
    /// A second person's look.
    Verifying,
    /// Only when something happened.
    IfItHappened,
}

impl RecordKind {
    /// The words of profiles.
    pub const WORDS: &[(&str, Self)] = &[
        ("machine", Self::Machine),
        ("times", Self::Times),
        ("person", Self::Person),
        ("profile", Self::Profile),
        ("sanitiser-box", Self::SanitiserBox),
        ("strip-box", Self::StripBox),
        ("solution-mixed", Self::SolutionMixed),
        ("solution-temperature", Self::SolutionTemperature),
        ("solution-ph", Self::SolutionPh),
        ("water-hardness", Self::WaterHardness),
        ("strip-bucket", Self::StripBucket),
        ("strip-outlet", Self::StripOutlet),
        ("contact-start", Self::ContactStart),
        ("contact-end", Self::ContactEnd),
        ("flushed", Self::Flushed),
        ("drained", Self::Drained),
        ("purged", Self::Purged),
        ("discarded", Self::Discarded),
        ("parts-inspected", Self::PartsInspected),
        ("lubricated", Self::Lubricated),
        ("product-temperature", Self::ProductTemperature),
        ("product-opened", Self::ProductOpened),
        ("verified", Self::Verified),
        ("deviation", Self::Deviation),
    ];

    /// The entry in which it is made.
    #[must_use]
    pub fn entry(self) -> Entry {
        match self {
            Self::Machine | Self::Times | Self::Person | Self::Profile => Entry::ByItself,
            Self::SanitiserBox | Self::StripBox => Entry::OncePerBox,
            Self::SolutionMixed
            | Self::SolutionTemperature
            | Self::SolutionPh
            | Self::WaterHardness
            | Self::StripBucket => Entry::Bucket,
            Self::StripOutlet | Self::ContactStart => Entry::Outlet,
            Self::ContactEnd => Entry::ContactEnd,
            Self::Flushed | Self::Drained | Self::Purged | Self::Discarded => Entry::Emptying,
            Self::PartsInspected | Self::Lubricated => Entry::Parts,
            Self::ProductTemperature | Self::ProductOpened => Entry::Product,
            Self::Verified => Entry::Verifying,
            Self::Deviation => Entry::IfItHappened,
        }
    }
}

impl fmt::Display for RecordKind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = Self::WORDS.iter().find(|(_, own)| own == self).map_or("", |(word, _)| word);
        out.pad(word)
    }
}

/// How strongly a record is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Without it the round is incomplete.
    Must,
    /// Good to have.
    Should,
}

/// A record that a profile asks for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordNeed {
    /// Which.
    pub kind: RecordKind,
    /// How strongly.
    pub level: Level,
    /// Only with this sanitiser.
    pub only: Option<Sanitiser>,
    /// Where it comes from.
    pub basis: Basis,
}

/// What a round lacks.
#[derive(Debug, Clone, PartialEq)]
pub struct MissingRecords<'a> {
    /// Of what it must have.
    pub musts: Vec<&'a RecordNeed>,
    /// Of what it should have.
    pub shoulds: Vec<&'a RecordNeed>,
}

impl MissingRecords<'_> {
    /// Whether nothing that must be there is missing.
    #[must_use]
    pub fn complete(&self) -> bool {
        self.musts.is_empty()
    }
}

impl Profile {
    /// Which of the records it asks for are not among those present. Where the sanitiser is not known, what is asked for one of
    /// them only is asked for. What is recorded only when something happened is never missing.
    #[must_use]
    pub fn missing_records(
        &self,
        sanitiser: Option<Sanitiser>,
        present: &[RecordKind],
    ) -> MissingRecords<'_> {
        let missing = |level| {
            self.records
                .iter()
                .filter(|need| need.level == level && need.kind.entry() != Entry::IfItHappened)
                .filter(|need| need.only.is_none() || sanitiser.is_none() || need.only == sanitiser)
                .filter(|need| !present.contains(&need.kind))
                .collect()
        };
        MissingRecords { musts: missing(Level::Must), shoulds: missing(Level::Should) }
    }

    /// How many entries a routine round needs for what it must have, beside catches: not those that the round makes by itself,
    /// nor those made once per box or only when something happened.
    #[must_use]
    pub fn entries_of_a_round(&self, sanitiser: Sanitiser) -> Vec<Entry> {
        let free = [Entry::ByItself, Entry::OncePerBox, Entry::IfItHappened];
        let mut entries: Vec<Entry> = self
            .records
            .iter()
            .filter(|need| {
                need.level == Level::Must && need.only.is_none_or(|only| only == sanitiser)
            })
            .map(|need| need.kind.entry())
            .filter(|entry| !free.contains(entry))
            .collect();
        entries.sort_unstable();
        entries.dedup();
        entries
    }
}
