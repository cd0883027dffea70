//! What holds of every virtual estate.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::{Date, date};
use ouncewise_ledger::{Body, Draft, Entered};
use ouncewise_measure::{Adjuster, AmountRead, DrawRead, Metering};

use crate::SiteWeek;
use crate::fleet::{Config, Fleet, generate};

fn fleet(sites: usize) -> Fleet {
    generate(Config { sites, ..Config::new(11, date(2026, 1, 5)) })
}

fn bytes(drafts: impl Iterator<Item = Draft>) -> Vec<u8> {
    drafts.flat_map(|draft| draft.record.to_bytes().unwrap()).collect()
}

/// Every text that a catch keeps can be read back, and prints the same.
fn reads_back(draft: &Draft) {
    let mut body = &draft.record.body;
    if let Body::Correction { instead: Some(instead), .. } = body {
        body = instead;
    }
    let Body::CatchTaken { amount, draw, water, water_draw, .. } = body else { return };
    for text in [Some(amount), water.as_ref()].into_iter().flatten() {
        let read: AmountRead = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!(read.to_string(), *text);
        assert!(read.amount().is_ok(), "{text}");
    }
    for text in [Some(draw), water_draw.as_ref()].into_iter().flatten() {
        let read: DrawRead = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!(read.to_string(), *text);
        assert!(read.draw().is_ok(), "{text}");
    }
}

/// Every record is one that a ledger takes, in the order of events, within the days.
pub(crate) fn sound(weeks: impl Iterator<Item = SiteWeek>, first: Date, last: Date) -> usize {
    let mut before: BTreeMap<String, jiff::Timestamp> = BTreeMap::new();
    let mut sequences: BTreeMap<String, u64> = BTreeMap::new();
    let mut ids = BTreeSet::new();
    for draft in weeks.flat_map(|week| week.drafts) {
        let record = &draft.record;
        record.check().unwrap_or_else(|faults| panic!("{record:?}: {faults:?}"));
        reads_back(&draft);
        assert!(ids.insert(record.id), "an id twice");
        let at = record.instant().unwrap();
        let latest = before.insert(record.scope.to_string(), at);
        assert!(latest.is_none_or(|t| t <= at), "out of order: {}", record.at);
        let sequence = sequences.insert(record.device.clone(), record.sequence);
        assert_eq!(record.sequence, sequence.unwrap_or(0) + 1, "{}", record.device);
        let day: Date = record.at[..10].parse().unwrap();
        assert!((first..=last).contains(&day), "{day}");
        assert!(draft.person.is_some() && record.by.is_none());
    }
    ids.len()
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_others() {
    let of = |seed| {
        bytes(generate(Config { seed, weeks: 10, ..Config::new(0, date(2026, 1, 5)) }).drafts())
    };
    assert_eq!(of(1), of(1));
    assert_ne!(of(1), of(2));
}

#[test]
fn a_site_has_the_same_story_in_a_larger_estate() {
    let first = |sites| bytes(fleet(sites).weeks().take(52).flat_map(|week| week.drafts));
    assert_eq!(first(1), first(3));
}

#[test]
fn every_record_is_sound() {
    assert!(sound(fleet(24).weeks(), date(2026, 1, 5), date(2027, 1, 3)) > 10_000);
}

#[test]
fn all_kinds_of_adjuster_and_metering_occur() {
    let families = fleet(40).estate.families;
    let kinds: BTreeSet<_> = families
        .values()
        .map(|f| std::mem::discriminant(&f.adjuster))
        .map(|d| format!("{d:?}"))
        .collect();
    assert_eq!(kinds.len(), 6);
    let metered = |m: Metering| families.values().any(|f| f.metering == m);
    assert!(metered(Metering::Rate) && metered(Metering::Dose) && metered(Metering::Ratio));
    assert!(families.values().any(|f| matches!(f.adjuster, Adjuster::None)));
}

#[test]
fn every_sort_of_happening_occurs_in_a_large_estate() {
    let mut seen = BTreeSet::new();
    for draft in fleet(120).drafts() {
        let value = serde_json::to_value(&draft.record.body).unwrap();
        seen.insert(value["kind"].as_str().unwrap().to_owned());
        if draft.record.entered == Entered::FromPaper {
            assert_eq!(value["kind"], "claim-made");
        }
    }
    for kind in [
        "round-opened",
        "catch-taken",
        "claim-made",
        "line-adjusted",
        "line-cleaned",
        "part-inspected",
        "part-replaced",
        "product-changed",
        "container-changed",
        "machine-swapped",
        "machine-paused",
        "machine-reopened",
        "technician-called",
        "round-closed",
        "correction",
    ] {
        assert!(seen.contains(kind), "{kind}");
    }
}

/// Crews that adjust by whole readings keep most lines right, and leave some wrong.
#[test]
fn after_a_year_some_lines_are_off_and_most_are_not() {
    let (mut off, mut lines) = (0_u32, 0_u32);
    for week in fleet(60).weeks().filter(|week| week.week == 51) {
        lines += week.truth.iter().filter(|t| t.in_use).count() as u32;
        off += week.truth.iter().filter(|t| t.in_use && t.off_target()).count() as u32;
    }
    let share = f64::from(off) / f64::from(lines);
    assert!((0.05..=0.25).contains(&share), "{share}");
}
