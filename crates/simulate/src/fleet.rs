//! Estates of any size, for benchmarks and for trials of advice.

use std::collections::BTreeMap;

use jiff::civil::Date;
use ouncewise_estate::family::Touches;
use ouncewise_estate::{
    Estate, Family, Group, Key, Line, Machine, MarksRead, MeasureKind, Part, Piece, Product, Reads,
    Site, State, Timing, Tubing, Water,
};
use ouncewise_ledger::Draft;
use ouncewise_measure::{Adjuster, Metering};

use crate::site::SiteRun;
use crate::truth::SiteWeek;
use crate::world::World;

/// How large an estate, for how long.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// Number of sites.
    pub sites: usize,
    /// Machines at each site.
    pub machines_per_site: usize,
    /// Lines on each machine.
    pub lines_per_machine: usize,
    /// Weeks that are lived through.
    pub weeks: u32,
    /// The same seed gives the same records.
    pub seed: u64,
    /// First day; no record lies before it, and none after `7 × weeks` days.
    pub start: Date,
    /// How everything behaves.
    pub world: World,
}

impl Config {
    /// One site with one machine of eight lines for a year; a start for `..` of other sizes.
    #[must_use]
    pub fn new(seed: u64, start: Date) -> Self {
        Self {
            sites: 1,
            machines_per_site: 1,
            lines_per_machine: 8,
            weeks: 52,
            seed,
            start,
            world: World::default(),
        }
    }
}

/// An estate, and its weeks to come.
#[derive(Debug, Clone)]
pub struct Fleet {
    /// The estate on the first day.
    pub estate: Estate,
    config: Config,
}

impl Fleet {
    /// Its weeks: all of the first site, then all of the second, and so on. Only the present week
    /// is held in memory.
    pub fn weeks(&self) -> impl Iterator<Item = SiteWeek> + '_ {
        let Config { seed, start, weeks, world, .. } = &self.config;
        self.estate
            .sites
            .keys()
            .filter_map(|key| SiteRun::new(&self.estate, key, world, &[], *seed, *start, *weeks))
            .flatten()
    }

    /// What is written down, in the order of events at each site.
    pub fn drafts(&self) -> impl Iterator<Item = Draft> + '_ {
        self.weeks().flat_map(|week| week.drafts)
    }
}

/// An estate of the size that `config` asks for: sites `s00001` and so on, machines `m1`, lines
/// `1`. Three of eight machines are screw-trim, three roller-pump, and two of the other kinds.
#[must_use]
pub fn generate(config: Config) -> Fleet {
    let estate = Estate {
        group: Group { name: "Test group".to_owned(), ..Group::default() },
        owners: BTreeMap::new(),
        families: families(),
        products: products(),
        measures: measures(),
        profiles: BTreeMap::new(),
        sites: (0..config.sites)
            .map(|n| (key(&format!("s{:05}", n + 1)), site(n, &config)))
            .collect(),
    };
    Fleet { estate, config }
}

fn key(text: &str) -> Key {
    text.parse().expect("a key of this file")
}

/// Parses a text of this file.
fn of<T: std::str::FromStr>(text: &str) -> T {
    text.parse().unwrap_or_else(|_| unreachable!("`{text}` is read by the type that it is for"))
}

const OTHERS: [&str; 5] =
    ["ring-step", "panel-number", "panel-percent", "fixed-nozzle", "twin-valve"];

fn families() -> BTreeMap<Key, Family> {
    let hand = Timing::Hand { spread: of("0.10 s"), resolution: of("0.1 s") };
    let machine = Timing::Machine { tolerance: of("0.02 s") };
    let family = |name: &str, metering, adjuster, timing| {
        let part = Part {
            name: "Seal".to_owned(),
            number: None,
            life: Some(of("26 weeks")),
            touches: Touches::Line,
            lubricate: None,
        };
        let parts = BTreeMap::from([(key("seal"), part)]);
        let name_key = key(name);
        let name = name.to_owned();
        (
            name_key,
            Family {
                name,
                metering,
                adjuster,
                faults: None,
                opening_offset: None,
                timing,
                tubing: Tubing::default(),
                parts,
                notes: None,
                retired: false,
            },
        )
    };
    let screw =
        Adjuster::Screw { per_turn: Some(0.2), anticlockwise_gives_more: true, slack_turns: 0.1 };
    BTreeMap::from([
        family("screw-trim", Metering::Rate, screw.clone(), hand),
        family("roller-pump", Metering::Dose, Adjuster::Taught, machine),
        family(
            "ring-step",
            Metering::Rate,
            Adjuster::Notches { per_notch: 0.03, more: "up".to_owned() },
            hand,
        ),
        family(
            "panel-number",
            Metering::Dose,
            Adjuster::Number { step: 1.0, range: (10.0, 99.0) },
            machine,
        ),
        family(
            "panel-percent",
            Metering::Dose,
            Adjuster::Percent { step: 1.0, range: (50.0, 150.0) },
            machine,
        ),
        family("fixed-nozzle", Metering::Rate, Adjuster::None, machine),
        family("twin-valve", Metering::Ratio, screw, hand),
    ])
}

fn products() -> BTreeMap<Key, Product> {
    let names = [
        "gooseberry",
        "cardamom",
        "sour-cherry",
        "pandan",
        "smoked-honey",
        "black-sesame",
        "bergamot",
        "rhubarb",
    ];
    let product = |(n, name): (usize, &&str)| {
        let density = Some(of(&format!("1.{} g/mL", 18 + 2 * n)));
        let cost = Some(of("4.20 EUR/L"));
        let name = (*name).to_owned();
        (
            key(&name),
            Product {
                name,
                density,
                temperature: None,
                allergens: Vec::new(),
                cost,
                retired: false,
            },
        )
    };
    names.iter().enumerate().map(product).collect()
}

fn measures() -> BTreeMap<Key, MeasureKind> {
    let vessel = |division: &str, tolerance: &str| Reads::Vessel {
        marks: MarksRead::Every(of(division)),
        tolerance: of(tolerance),
        film: None,
    };
    let scale = |step: &str, tolerance: &str| Reads::Scale {
        resolution: of(step),
        tolerance: of(tolerance),
        tared: true,
    };
    let kind = |name: &str, reads, capacity: Option<&str>| {
        (
            key(name),
            MeasureKind {
                name: name.to_owned(),
                reads,
                capacity: capacity.map(of),
                retired: false,
            },
        )
    };
    BTreeMap::from([
        kind("cylinder-50", vessel("1 mL", "0.5 mL"), Some("50 mL")),
        kind("beaker-250", vessel("5 mL", "3 mL"), Some("250 mL")),
        kind("scale-tenth", scale("0.1 g", "0.2 g"), None),
        kind(
            "cup-30",
            Reads::Vessel { marks: MarksRead::One(of("30 mL")), tolerance: of("2 mL"), film: None },
            Some("45 mL"),
        ),
    ])
}

fn site(n: usize, config: &Config) -> Site {
    let usual = match n % 8 {
        0..=4 => "cylinder-50",
        5 | 6 => "scale-tenth",
        _ => "cup-30",
    };
    let piece = |kind: &str| (key(kind), Piece { kind: key(kind), retired: false });
    let machines = (0..config.machines_per_site)
        .map(|m| (key(&format!("m{}", m + 1)), machine(n, m, usual, config)));
    Site {
        name: format!("Site {}", n + 1),
        owner: None,
        time_zone: None,
        jurisdiction: None,
        measures: BTreeMap::from([piece(usual), piece("beaker-250"), piece("scale-tenth")]),
        machines: machines.collect(),
        retired: false,
    }
}

fn machine(site: usize, nth: usize, usual: &str, config: &Config) -> Machine {
    let count = site * config.machines_per_site + nth;
    let family = match count % 8 {
        0..=2 => "screw-trim",
        3..=5 => "roller-pump",
        _ => OTHERS[(count / 8 * 2 + count % 8 - 6) % OTHERS.len()],
    };
    let names: Vec<Key> = products().into_keys().collect();
    let lines = (0..config.lines_per_machine).map(|l| {
        let product = names[(count + l) % names.len()].clone();
        (key(&format!("{}", l + 1)), line(product, family, usual))
    });
    Machine {
        name: format!("Machine {}", nth + 1),
        family: key(family),
        serial: Some(format!("T{count:06}")),
        state: State::Open,
        lines: lines.collect(),
    }
}

fn line(product: Key, family: &str, usual: &str) -> Line {
    let (target, draw, setting) = match family {
        "roller-pump" => ("15 mL", "1 dose", None),
        "panel-number" => ("15 mL", "1 dose", Some("40")),
        "panel-percent" => ("15 mL", "1 dose", Some("100")),
        _ => ("30 mL", "6 s", None),
    };
    // The water of a drink does not fit the small measures.
    let ratio = family == "twin-valve";
    Line {
        name: None,
        product,
        target: of(target),
        tolerance: of("5 %"),
        draw: of(draw),
        water: ratio.then(|| Water { target: of("150 mL"), tolerance: of("5 %") }),
        measure: Some(key(if ratio { "scale-tenth" } else { usual })),
        setting: setting.map(of),
        portions: None,
        tubing: Tubing::default(),
        retired: false,
    }
}
