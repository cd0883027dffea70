//! The demo: Larkfield Counters, 24 dessert and drink counters at the halts of an invented valley line.
//!
//! The estate is written in files under `content/demo`, which also show how
//! such files look. A script makes sure that a year has one of everything;
//! chance, with its seed, does the rest.

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use ouncewise_estate::{Estate, MarksRead, Reads, Units, files};
use ouncewise_ledger::Draft;
use ouncewise_measure::{Quantity, Unit};

use crate::incident::{Incident, What};
use crate::site::SiteRun;
use crate::truth::SiteWeek;
use crate::world::World;

macro_rules! family {
    ($key:literal) => {
        (
            concat!("families/", $key, ".toml"),
            include_str!(concat!("../../../content/demo/families/", $key, ".toml")),
        )
    };
}

/// The seed of the demo that everybody sees. Chosen for a last week in which all that the script
/// brings can be seen in the readings.
pub const SEED: u64 = 9;

/// How many weeks the demo lives through.
pub const WEEKS: u32 = 52;

/// The files of `content/demo`, by the names under which an estate is read.
const FILES: [(&str, &str); 13] = [
    ("estate.toml", include_str!("../../../content/demo/estate.toml")),
    ("products.toml", include_str!("../../../content/demo/products.toml")),
    ("measures.toml", include_str!("../../../content/demo/measures.toml")),
    ("sites.csv", include_str!("../../../content/demo/sites.csv")),
    ("machines.csv", include_str!("../../../content/demo/machines.csv")),
    ("lines.csv", include_str!("../../../content/demo/lines.csv")),
    family!("fixed-nozzle"),
    family!("panel-number"),
    family!("panel-percent"),
    family!("ring-step"),
    family!("roller-pump"),
    family!("screw-trim"),
    family!("twin-valve"),
];

/// The demo's files by name, as somebody would write them.
#[must_use]
pub fn files() -> files::Files {
    FILES.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
}

/// The estate on the first day. In US units, portions and the marks of cups are in fluid ounces
/// to the nearest eighth; cylinders keep their millilitres and scales their grams, as they do there.
#[must_use]
pub fn estate(units: Units) -> Estate {
    let (mut estate, _no_faults) = files::read(&files());
    if units == Units::Us {
        speak_us(&mut estate);
    }
    estate
}

fn speak_us(estate: &mut Estate) {
    estate.group.units = Units::Us;
    let machines = estate.sites.values_mut().flat_map(|site| site.machines.values_mut());
    for line in machines.flat_map(|machine| machine.lines.values_mut()) {
        line.target = eighths(line.target);
        if let Some(water) = &mut line.water {
            water.target = eighths(water.target);
        }
    }
    for kind in estate.measures.values_mut() {
        if let Reads::Vessel { marks: MarksRead::One(mark), .. } = &mut kind.reads {
            *mark = eighths(*mark);
        }
    }
}

/// A volume in US fluid ounces, to the nearest eighth (at least one); anything else as it is.
fn eighths(quantity: Quantity) -> Quantity {
    let Some(volume) = quantity.volume() else { return quantity };
    let ounces = (volume.0 / 29.573_529_562_5 * 8.0).round().max(1.0) / 8.0;
    Quantity::rounded(ounces, 3, Unit::FluidOunceUs)
        .map_or(quantity, |q| Quantity::new(q.number.normalize(), q.unit))
}

/// What is written down in the year that ends with `last_day`, in the order of events at each
/// site. Nothing lies after `last_day`.
pub fn drafts(estate: &Estate, seed: u64, last_day: Date) -> impl Iterator<Item = Draft> + '_ {
    weeks(estate, seed, last_day).flat_map(|week| week.drafts)
}

/// The same, with what really held: all weeks of one site, then of the next.
pub fn weeks(estate: &Estate, seed: u64, last_day: Date) -> impl Iterator<Item = SiteWeek> + '_ {
    let span: Span = (i64::from(WEEKS) * 7 - 1).days();
    let start = last_day.checked_sub(span).unwrap_or(Date::MIN);
    let world = World::default();
    estate
        .sites
        .keys()
        .filter_map(move |key| SiteRun::new(estate, key, &world, SCRIPT, seed, start, WEEKS))
        .flatten()
}

/// The last week.
const NOW: u32 = WEEKS - 1;

const fn at(site: &'static str, week: u32, what: What) -> Incident {
    Incident { site, machine: None, line: None, week, what }
}

const fn on(site: &'static str, machine: &'static str, week: u32, what: What) -> Incident {
    Incident { machine: Some(machine), ..at(site, week, what) }
}

const fn line(
    site: &'static str,
    machine: &'static str,
    line: &'static str,
    week: u32,
    what: What,
) -> Incident {
    Incident { line: Some(line), ..on(site, machine, week, what) }
}

/// What happens whatever the seed.
const SCRIPT: &[Incident] = &[
    at("thistlewick", 18, What::ClaimsUntil),
    at("damsonby", 26, What::ClaimsUntil),
    on("otterlea", "counter-1", 30, What::Swap("RP-31077")),
    on("quillbrook", "window-1", 20, What::Pause(5)),
    on("gorsemere", "window-1", NOW - 2, What::Pause(8)),
    line("harrowmead", "counter-1", "4", 35, What::Product("elderberry")),
    line("heronsluice", "counter-1", "6", NOW - 5, What::Product("quince")),
    at("copperlow", 40, What::NewPiece("cup")),
    on("wrenfold", "counter-1", 33, What::Typo),
    on("fernhollow", "counter-1", 45, What::Typo),
    on("marlcote", "counter-1", 41, What::WrongLine),
    at("bramblecross", NOW - 2, What::Missed),
    at("bramblecross", NOW - 1, What::Missed),
    on("larchpool", "counter-1", 28, What::Drop(0.12)),
    on("sedgewhistle", "counter-1", 37, What::Note("the pressure gauge hung at the back twitches")),
    // What there is to find this week: read, and not seen to.
    at("mossgate", NOW, What::CalledAway),
    at("fernhollow", NOW, What::CalledAway),
    at("yarrowend", NOW, What::CalledAway),
    at("saltersfold", NOW, What::CalledAway),
    at("ashenwater", NOW, What::CalledAway),
    at("sedgewhistle", NOW, What::CalledAway),
    at("hazelmoss", NOW, What::CalledAway),
    on("mossgate", "counter-1", NOW, What::Drop(0.12)),
    line("fernhollow", "counter-1", "3", NOW - 9, What::WearOut),
    line("yarrowend", "counter-1", "5", NOW - 7, What::WearOut),
    line("saltersfold", "counter-1", "2", NOW, What::Clog(1.2)),
    line("ashenwater", "counter-1", "1", NOW, What::Knock(0.12)),
    line("sedgewhistle", "window-1", "3", NOW, What::Knock(-0.10)),
    line("hazelmoss", "window-1", "2", NOW, What::Knock(0.09)),
    line("ashenwater", "window-1", "4", NOW, What::Clog(0.15)),
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use jiff::civil::date;
    use ouncewise_estate::Family;
    use ouncewise_ledger::{Body, Entered};
    use ouncewise_measure::Metering;

    use super::*;

    const LAST: Date = date(2026, 11, 22);

    #[test]
    fn the_files_hold_no_fault() {
        let (_, faults) = files::read(&files());
        assert_eq!(
            faults.iter().map(ToString::to_string).collect::<Vec<_>>(),
            Vec::<String>::new()
        );
    }

    #[test]
    fn the_estate_is_as_large_and_as_mixed_as_it_says() {
        let estate = estate(Units::Metric);
        assert_eq!(estate.sites.len(), 24);
        assert_eq!(estate.owners.len(), 2);
        let used = |family: &Family| {
            (format!("{:?}", std::mem::discriminant(&family.adjuster)), family.metering)
        };
        let machines = estate.sites.values().flat_map(|site| site.machines.values());
        let kinds: Vec<_> = machines.map(|m| used(&estate.families[&m.family])).collect();
        assert_eq!(kinds.iter().map(|k| &k.0).collect::<BTreeSet<_>>().len(), 6, "adjusters");
        for metering in [Metering::Rate, Metering::Dose, Metering::Ratio] {
            assert!(kinds.iter().any(|k| k.1 == metering));
        }
        assert!(estate.products["black-sesame"].allergens.contains(&"sesame".to_owned()));
        assert!(estate.lines().any(|(_, line)| line.target.mass().is_some()), "a recipe by weight");
    }

    #[test]
    fn every_line_can_be_set_up_with_its_measure() {
        for units in [Units::Metric, Units::Us] {
            let estate = estate(units);
            for (address, _) in estate.lines() {
                estate.setup(&address, None).unwrap_or_else(|e| panic!("{address}: {e}"));
            }
        }
    }

    #[test]
    fn us_units_are_fluid_ounces_by_eighths() {
        let text = |q: &str| eighths(q.parse().unwrap()).to_string();
        assert_eq!(text("30 mL"), "1 fl oz (US)");
        assert_eq!(text("15 mL"), "0.5 fl oz (US)");
        assert_eq!(text("40 mL"), "1.375 fl oz (US)");
        assert_eq!(text("36 g"), "36 g");
    }

    #[test]
    fn every_record_of_the_year_is_sound_in_both_units() {
        for units in [Units::Metric, Units::Us] {
            let estate = estate(units);
            let first = date(2025, 11, 24);
            assert!(crate::tests::sound(weeks(&estate, 7, LAST), first, LAST) > 15_000);
        }
    }

    #[test]
    fn the_year_has_one_of_everything_whatever_the_seed() {
        let estate = estate(Units::Metric);
        for seed in [SEED, 1, 2] {
            let mut seen = BTreeSet::new();
            for draft in drafts(&estate, seed, LAST) {
                let kind = serde_json::to_value(&draft.record.body).unwrap()["kind"].to_string();
                seen.insert(kind);
                if draft.note.is_some() {
                    seen.insert("a note".to_owned());
                }
                match &draft.record.body {
                    Body::Correction { instead: None, .. } => seen.insert("withdrawn".to_owned()),
                    Body::Correction { .. } => seen.insert("corrected".to_owned()),
                    Body::CatchTaken { amount, .. } if amount.ends_with("mark") => {
                        seen.insert("a mark".to_owned())
                    }
                    Body::CatchTaken { water: Some(_), .. } => seen.insert("water".to_owned()),
                    Body::ClaimMade { said }
                        if draft.record.entered == Entered::FromPaper && said == "OK" =>
                    {
                        seen.insert("a claim".to_owned())
                    }
                    Body::LineAdjusted { setting: Some(_), .. } => {
                        seen.insert("a setting".to_owned())
                    }
                    _ => false,
                };
            }
            let expected = [
                "\"machine-swapped\"",
                "\"machine-paused\"",
                "\"machine-reopened\"",
                "\"measure-replaced\"",
                "\"product-changed\"",
                "\"container-changed\"",
                "\"part-replaced\"",
                "\"technician-called\"",
                "\"line-cleaned\"",
                "\"line-adjusted\"",
                "\"round-closed\"",
                "a note",
                "withdrawn",
                "corrected",
                "a mark",
                "water",
                "a claim",
                "a setting",
            ];
            for kind in expected {
                assert!(seen.contains(kind), "seed {seed}: {kind}");
            }
        }
    }

    #[test]
    fn the_last_week_holds_what_the_script_brings() {
        let estate = estate(Units::Metric);
        let last: Vec<SiteWeek> =
            weeks(&estate, SEED, LAST).filter(|week| week.week == NOW).collect();
        let left = |address: &str| {
            let truths = last.iter().flat_map(|week| &week.truth);
            let truth = truths.into_iter().find(|t| t.address.to_string() == address);
            truth.unwrap_or_else(|| panic!("{address}")).left
        };
        assert!(left("saltersfold/counter-1/2") < 0.5, "blocked");
        assert!(left("ashenwater/counter-1/1") > 1.06, "knocked up");
        assert!(left("sedgewhistle/window-1/3") < 0.95, "knocked down");
        assert!(left("hazelmoss/window-1/2") > 1.05, "the panel was touched");
        assert!(left("fernhollow/counter-1/3") < 1.0, "worn out");
        for line in 1..=6 {
            assert!(left(&format!("mossgate/counter-1/{line}")) < 0.95, "the supply failed");
        }
        let paused = last.iter().flat_map(|week| &week.truth).filter(|t| !t.in_use);
        assert!(paused.into_iter().all(|t| t.address.site.as_str() == "gorsemere"));
        assert!(
            last.iter().all(|week| !week.drafts.is_empty()),
            "every site has something to show this week"
        );
    }

    /// Of the latest weeks' rounds most have all that the code asks, and some lack something or were cut short.
    #[test]
    fn the_latest_rounds_are_sanitised_under_the_code_in_force() {
        let estate = estate(Units::Metric);
        let (mut opened, mut complete, mut lacking, mut short) = (0, 0, 0, 0);
        let mut kinds = BTreeSet::new();
        let mut boxes = BTreeSet::new();
        for week in weeks(&estate, SEED, LAST) {
            let sanitised = week.week >= WEEKS - 6;
            for draft in &week.drafts {
                kinds.insert((sanitised, draft.record.body.kind()));
                match &draft.record.body {
                    Body::RoundOpened { profile, edition, .. } => {
                        opened += usize::from(sanitised);
                        assert_eq!((profile.is_some(), edition.is_some()), (sanitised, sanitised));
                    }
                    Body::RoundClosed { complete: true, .. } if sanitised => complete += 1,
                    Body::RoundClosed { .. } if sanitised => lacking += 1,
                    Body::BoxOpened { .. } => drop(boxes.insert(draft.record.id)),
                    Body::Flushed { amount, .. } if amount == "8 s" => short += 1,
                    Body::StripRead { from_box, .. } => {
                        assert!(boxes.contains(&from_box.unwrap()), "a box that was opened");
                    }
                    _ => {}
                }
            }
        }
        for kind in [
            "solution-mixed",
            "strip-read",
            "contact-started",
            "contact-ended",
            "flushed",
            "drained",
            "discarded",
            "lubricated",
            "product-checked",
            "verified",
        ] {
            assert!(kinds.contains(&(true, kind)) && !kinds.contains(&(false, kind)), "{kind}");
        }
        assert!(
            opened > 150 && complete > opened / 2 && lacking > 20 && short > 2,
            "{opened} {complete} {lacking} {short}"
        );
    }

    /// How the latest rounds are recorded changes nothing of what is caught, adjusted and replaced.
    #[test]
    fn sanitising_is_written_down_beside_what_is_caught() {
        let with = estate(Units::Metric);
        let mut without = with.clone();
        without.group.jurisdiction = None;
        let caught = |estate: &Estate| {
            let all = drafts(estate, SEED, LAST).map(|draft| draft.record);
            let of = all.filter(|r| {
                matches!(
                    r.body,
                    Body::CatchTaken { .. } | Body::LineAdjusted { .. } | Body::PartReplaced { .. }
                )
            });
            let mut all: Vec<_> = of.map(|r| (r.scope.to_string(), r.subject, r.body)).collect();
            // Machine by machine: a longer round runs into the next machine's.
            all.sort_by_key(|(scope, subject, _)| (scope.clone(), subject.machine.clone()));
            all
        };
        assert!(
            caught(&with) == caught(&without),
            "the same readings in the same order on each machine"
        );
    }

    #[test]
    fn in_the_last_week_some_lines_are_off_and_most_are_not() {
        let estate = estate(Units::Metric);
        for seed in 1..=8 {
            let last = weeks(&estate, seed, LAST).filter(|week| week.week == NOW);
            let truth: Vec<_> = last.flat_map(|week| week.truth).filter(|t| t.in_use).collect();
            let off = truth.iter().filter(|t| t.off_target()).count() as f64 / truth.len() as f64;
            assert!((0.05..=0.25).contains(&off), "seed {seed}: {off}");
        }
    }
}
