//! The demo: Larkfield Counters, 24 dessert and drink counters at the halts of an invented valley line.
//!
//! The estate is written in files under `content/demo`, which also show how
//! such files look. A script makes sure that a year has one of everything;
//! chance, with its seed, does the rest.

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use ouncewise_estate::Estate;
use ouncewise_ledger::Draft;

use crate::incident::{Incident, What};
use crate::site::SiteRun;
use crate::truth::SiteWeek;
use crate::world::World;

/// How many weeks the demo lives through.
pub const WEEKS: u32 = 52;

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
    line("heronsluice", "counter-1", "2", NOW - 5, What::Product("quince")),
    at("copperlow", 40, What::NewPiece("cup")),
    on("wrenfold", "counter-1", 33, What::Typo),
    on("fernhollow", "counter-1", 45, What::Typo),
    on("marlcote", "counter-1", 41, What::WrongLine),
    at("bramblecross", NOW - 2, What::Missed),
    at("bramblecross", NOW - 1, What::Missed),
    on("larchpool", "counter-1", 28, What::Drop(0.12)),
    on("sedgewhistle", "counter-1", 37, What::Note("the pressure gauge hung at the back twitches")),
    // What there is to find this week.
    on("mossgate", "counter-1", NOW, What::Drop(0.12)),
    line("fernhollow", "counter-1", "3", NOW - 9, What::WearOut),
    line("yarrowend", "counter-1", "5", NOW - 7, What::WearOut),
    line("saltersfold", "counter-1", "2", NOW, What::Clog(1.2)),
    line("ashenwater", "counter-1", "1", NOW, What::Knock(0.12)),
    line("sedgewhistle", "window-1", "3", NOW, What::Knock(-0.10)),
    line("hazelmoss", "window-1", "2", NOW, What::Knock(0.09)),
    line("ashenwater", "window-1", "4", NOW, What::Clog(0.15)),
];
