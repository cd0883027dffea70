//! Time and temperature of food, and how often surfaces are cleaned, as a profile states them.

use ouncewise_measure::Quantity;
use serde::Serialize;

use super::{Basis, Printed, Profile};

/// A temperature that food is held to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoldingLimit {
    /// The limit, included.
    pub limit: Printed,
    /// Where it comes from.
    pub basis: Basis,
}

/// A number of hours or of days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimeLimit {
    /// How many.
    pub value: f64,
    /// Where it comes from.
    pub basis: Basis,
}

/// Limits of food that needs time or temperature to stay safe (TCS food).
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Holding {
    /// Cold food stays at this or under.
    pub cold: Option<HoldingLimit>,
    /// Hot food stays at this or over.
    pub hot: Option<HoldingLimit>,
    /// Hours out of the cold after which it is thrown away, where time alone is the control.
    pub time: Option<TimeLimit>,
    /// Days that opened food may be kept cold, the day of opening being the first.
    pub date: Option<TimeLimit>,
}

/// What a limit says of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HoldingJudged<'a> {
    /// It is kept.
    Holds(&'a Basis),
    /// It is not kept.
    Broken(&'a Basis),
    /// The profile has no such limit, or the reading is no temperature or time: never a pass.
    NotCovered,
}

impl Holding {
    /// Cold food at a temperature.
    #[must_use]
    pub fn cold(&self, read: Quantity) -> HoldingJudged<'_> {
        judged(self.cold.as_ref(), |limit| read.temperature().map(|_| limit.kept_by(read)))
    }

    /// Hot food at a temperature.
    #[must_use]
    pub fn hot(&self, read: Quantity) -> HoldingJudged<'_> {
        judged(self.hot.as_ref(), |limit| read.temperature().map(|_| limit.reached_by(read)))
    }

    /// Food that has been out of the cold for so many hours.
    #[must_use]
    pub fn out_of_cold(&self, hours: f64) -> HoldingJudged<'_> {
        match &self.time {
            Some(limit) if hours >= 0.0 && hours <= limit.value => {
                HoldingJudged::Holds(&limit.basis)
            }
            Some(limit) if hours > limit.value => HoldingJudged::Broken(&limit.basis),
            _ => HoldingJudged::NotCovered,
        }
    }

    /// The last day of use, as days after that of opening: 6 for a limit of 7 days, so that what was opened on 1 April is used
    /// by 7 April (HY-20, READ-2).
    #[must_use]
    pub fn last_day_after_opening(&self) -> Option<u32> {
        let days = self.date.as_ref()?.value;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a profile's days are whole, from 1 to 3650"
        )]
        (1.0..=3650.0).contains(&days).then(|| days as u32 - 1)
    }
}

fn judged(
    limit: Option<&HoldingLimit>,
    kept: impl Fn(Printed) -> Option<bool>,
) -> HoldingJudged<'_> {
    match limit.and_then(|limit| Some((limit, kept(limit.limit)?))) {
        Some((limit, true)) => HoldingJudged::Holds(&limit.basis),
        Some((limit, false)) => HoldingJudged::Broken(&limit.basis),
        None => HoldingJudged::NotCovered,
    }
}

/// What is cleaned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CleaningOf {
    /// Surfaces in use with TCS food.
    TcsSurface,
    /// Nozzles, and lines for drinks and syrups.
    DrinkLine,
    /// Dispensers of iced tea.
    IcedTea,
    /// Dispensers of soft frozen food.
    DispensingFreezer,
}

impl CleaningOf {
    /// The words of profiles.
    pub const WORDS: &[(&str, Self)] = &[
        ("tcs-surface", Self::TcsSurface),
        ("drink-line", Self::DrinkLine),
        ("iced-tea", Self::IcedTea),
        ("dispensing-freezer", Self::DispensingFreezer),
    ];
}

/// How often something is cleaned.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cleaning {
    /// What.
    pub of: CleaningOf,
    /// Hours; nothing where the code leaves it to the maker.
    pub every_hours: Option<f64>,
    /// Only in a refrigerated room up to this temperature.
    pub room_to: Option<Printed>,
    /// Where it comes from.
    pub basis: Basis,
}

/// How often a profile asks that something be cleaned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CleaningEvery<'a> {
    /// Every so many hours.
    Hours(f64, &'a Basis),
    /// As often as the maker says; where the maker says nothing, as often as it takes to keep soil and mould from gathering.
    /// No number is the code's (HY-15, READ): a "weekly" is the maker's or the group's own.
    AsMaker(&'a Basis),
    /// The profile says nothing of it.
    NotCovered,
}

impl Profile {
    /// How often something is cleaned, in a room whose temperature is known or not.
    #[must_use]
    pub fn cleaned_every(&self, of: CleaningOf, room: Option<Quantity>) -> CleaningEvery<'_> {
        let in_room = |row: &&Cleaning| match (row.room_to, room) {
            (None, _) => true,
            (Some(to), Some(room)) => to.kept_by(room),
            (Some(_), None) => false,
        };
        let warmth = |row: &Cleaning| row.room_to.map_or(f64::INFINITY, |to| to.c);
        let rows = self.cleaning.iter().filter(|row| row.of == of).filter(in_room);
        match rows.min_by(|a, b| warmth(a).total_cmp(&warmth(b))) {
            Some(Cleaning { every_hours: Some(hours), basis, .. }) => {
                CleaningEvery::Hours(*hours, basis)
            }
            Some(Cleaning { every_hours: None, basis, .. }) => CleaningEvery::AsMaker(basis),
            None => CleaningEvery::NotCovered,
        }
    }
}
