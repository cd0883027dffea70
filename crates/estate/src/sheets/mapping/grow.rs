//! What the estate lacks of what a sheet speaks of: asked about, and made.

use std::collections::{BTreeMap, BTreeSet};

use ouncewise_measure::{Adjuster, AmountRead, DrawRead, Metering, Quantity, Unit};

use super::super::code::{Code, Refusal};
use super::super::index::Index;
use super::super::many;
use super::super::reading::plain;
use super::super::table::{Hint, TableRow};
use super::draws::{self, Draws};
use super::names::{LEAVE_OUT, NEW, bare, question};
use super::shape::{self, Shape};
use super::walk::{Data, Kind, Walk};
use super::{Mapping, Means, Question, units};
use crate::measure_kind::{MarksRead, Reads};
use crate::{
    Estate, Family, Key, Line, Machine, MeasureKind, Percent, Piece, Product, Site, State, Timing,
    Tubing, Zone,
};

/// Portions that recipes ask for, in mL and g; common practice, no source.
const PORTIONS: &[f64] = &[
    5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 75.0, 90.0, 100.0, 120.0,
    150.0, 200.0, 250.0,
];

/// Families that can be made: how they are called in the question, and key and name.
const FAMILIES: &[(&str, &str, &str)] = &[
    ("new: by the second, unmarked screw", "screw", "By the second, unmarked screw"),
    ("new: by the second, cannot be set", "fixed", "By the second, cannot be set"),
    ("new: by the dose, taught", "taught", "By the dose, taught"),
    ("new: by the dose, percent on a panel", "panel", "By the dose, percent on a panel"),
];
const CUP: &str = "new: a cup with a division every 5 mL";
const SCALE: &str = "new: a scale that shows 1 g";

/// A line that a sheet speaks of, by the names that the sheet has.
type Place = (String, String, String);

/// What the sheet says about such a line.
#[derive(Debug, Default, Clone)]
struct Told {
    product: Option<String>,
    serial: Option<String>,
    target: Option<String>,
    tolerance: Option<String>,
    seconds: Vec<f64>,
    doses: bool,
    amounts: Vec<AmountRead>,
}

/// All lines that the sheet speaks of.
fn told(mapping: &Mapping, rows: &[TableRow]) -> BTreeMap<Place, Told> {
    let mut all: BTreeMap<Place, Told> = BTreeMap::new();
    let mut walk = Walk::new(mapping);
    let named = |means: Means, name: &str| match mapping.likely(&question(means, name)) {
        Some(LEAVE_OUT) => None,
        Some(NEW | "by number") | None => Some(name.to_owned()),
        Some(other) => Some(other.to_owned()),
    };
    for row in rows {
        let Kind::Data(Data { readings, texts, place, .. }) = walk.look(row) else { continue };
        let mut places: Vec<(super::walk::Place, Option<&super::walk::Reading>)> = readings
            .iter()
            .filter(|r| shape::of(&r.text, Hint::Text) != Shape::Nothing)
            .map(|r| (r.place.clone(), Some(r)))
            .collect();
        if readings.is_empty() && !place.line.is_empty() {
            places.push((place, None));
        }
        for (place, reading) in places {
            let (Some(site), Some(machine), Some(line)) = (
                named(Means::Site, &place.site),
                named(Means::Machine, &place.machine),
                named(Means::Line, &place.line),
            ) else {
                continue;
            };
            if site.is_empty() {
                continue;
            }
            let told = all.entry((site, machine, line)).or_default();
            let text = |means: Means| texts.get(&means).cloned();
            told.product = told.product.take().or_else(|| text(Means::Product));
            told.serial = told.serial.take().or_else(|| text(Means::Serial));
            told.target = told.target.take().or_else(|| text(Means::Target));
            told.tolerance = told.tolerance.take().or_else(|| text(Means::Tolerance));
            let Some(reading) = reading.filter(|r| r.means == Means::Amount) else { continue };
            if let Some(s) = number(reading.seconds.trim_end_matches(['s', ' '])) {
                told.seconds.push(s);
            }
            told.doses |= !reading.doses.is_empty();
            let unit = reading.unit.clone().or_else(|| text(Means::Unit));
            if let Ok(cell) = units::cell(mapping, &reading.text, unit.as_deref(), "unit") {
                told.amounts.push(cell.amount);
                if let Some(DrawRead::Time(t)) = cell.draw {
                    told.seconds.extend(t.duration().map(|s| s.0));
                }
            }
        }
    }
    all
}

fn number(text: &str) -> Option<f64> {
    plain(text.trim()).and_then(|d| d.to_string().parse().ok())
}

/// Places that the estate lacks. A name that fits several is not lacking: it is asked about.
fn lacking<'t>(
    index: &mut Index<'_>,
    all: &'t BTreeMap<Place, Told>,
) -> Vec<(&'t Place, &'t Told)> {
    let mut found =
        |site: &str, machine: &str, line: &str| match index.find_line(site, machine, line) {
            Ok(_) => true,
            Err(refusal) => refusal.code == Code::AmbiguousName,
        };
    all.iter()
        .filter(|((site, machine, line), _)| {
            !(found(site, machine, line)
                || found(site, machine, bare(line))
                || found(site, bare(machine), bare(line))
                || found(bare(site), bare(machine), bare(line)))
        })
        .collect()
}

/// Adds the questions that setting up needs.
pub(super) fn questions(mapping: &mut Mapping, rows: &[TableRow], estate: &Estate) {
    let likely = with_defaults(mapping);
    let all = told(&likely, rows);
    let mut index = Index::new(estate);
    let lacking = lacking(&mut index, &all);
    if lacking.is_empty() {
        return;
    }
    let mut ask =
        |id: &str, asks: String, choices: Vec<String>, default: String, sample: Vec<String>| {
            mapping.questions.push(Question {
                id: id.to_owned(),
                asks,
                choices,
                default,
                answer: None,
                because: None,
                sample,
                sets_up: true,
            });
        };
    let sites: BTreeSet<&str> = lacking
        .iter()
        .filter(|((s, _, _), _)| index.find_site(s).is_err() && index.find_site(bare(s)).is_err())
        .map(|((s, _, _), _)| s.as_str())
        .collect();
    let sample: Vec<String> = lacking
        .iter()
        .take(4)
        .map(|((s, m, l), _)| {
            [s, m, l]
                .into_iter()
                .filter(|t| !t.is_empty())
                .map(String::as_str)
                .collect::<Vec<_>>()
                .join(" / ")
        })
        .collect();
    ask(
        "add",
        format!(
            "the sheet speaks of {} not in the estate ({}): add {}?",
            many(lacking.len(), "line"),
            many(sites.len(), "new site"),
            if lacking.len() == 1 { "it" } else { "them" }
        ),
        vec!["yes".to_owned(), "no".to_owned()],
        "yes".to_owned(),
        sample,
    );
    if estate.group.name.is_empty() {
        let asks = "what is the group called?".to_owned();
        ask("group", asks, Vec::new(), "My group".to_owned(), Vec::new());
    }
    let (by_dose, weighed) = (by_dose(&lacking), weighed(&lacking));
    let existing = estate.families.iter().filter(|(_, f)| !f.retired).map(|(k, _)| k.to_string());
    let families: Vec<String> =
        existing.chain(FAMILIES.iter().map(|(c, _, _)| (*c).to_owned())).collect();
    let fits = |key: &String| {
        estate.families.get(key.as_str()).is_some_and(|f| (f.metering == Metering::Dose) == by_dose)
    };
    let default = families
        .iter()
        .find(|k| fits(k))
        .cloned()
        .unwrap_or_else(|| FAMILIES[if by_dose { 2 } else { 0 }].0.to_owned());
    ask(
        "family",
        "which family are the new machines of?".to_owned(),
        families,
        default,
        Vec::new(),
    );
    let usual = usual_target(
        &lacking.iter().flat_map(|(_, t)| t.amounts.iter().copied()).collect::<Vec<_>>(),
    );
    if lacking.iter().any(|(_, t)| t.target.is_none()) {
        let usual = usual.unwrap_or_else(|| Quantity::new(30.into(), Unit::Millilitre));
        ask("target", "what does the recipe ask for, where the sheet does not say? (the default is the round portion nearest to the readings)".to_owned(), Vec::new(), usual.to_string(), Vec::new());
        for (product, amounts) in by_product(&lacking) {
            if let Some(own) =
                usual_target(&amounts).filter(|own| *own != usual && amounts.len() > 1)
            {
                ask(
                    &format!("target {product:?}"),
                    format!("what does the recipe ask for of {product}?"),
                    Vec::new(),
                    own.to_string(),
                    Vec::new(),
                );
            }
        }
    }
    ask(
        "tolerance",
        "how far off still serves, where the sheet does not say?".to_owned(),
        Vec::new(),
        "5 %".to_owned(),
        Vec::new(),
    );
    let mut seconds: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for ((_, _, line), told) in &lacking {
        seconds.entry(product_name(line, told)).or_default().extend(&told.seconds);
    }
    for question in draws::questions(&seconds) {
        ask(&question.id, question.asks, question.choices, question.default, question.sample);
    }
    let kinds: Vec<String> = estate
        .measures
        .iter()
        .filter(|(_, k)| !k.retired)
        .map(|(k, _)| k.to_string())
        .chain([CUP.to_owned(), SCALE.to_owned()])
        .collect();
    let kind_fits = |k: &String| {
        estate
            .measures
            .get(k.as_str())
            .is_some_and(|kind| matches!(kind.reads, Reads::Scale { .. }) == weighed)
    };
    let default = kinds
        .iter()
        .find(|k| kind_fits(k))
        .cloned()
        .unwrap_or_else(|| if weighed { SCALE } else { CUP }.to_owned());
    ask(
        "measure-kind",
        "what are the readings taken with at new sites?".to_owned(),
        kinds,
        default,
        Vec::new(),
    );
    if !sites.is_empty() {
        ask(
            "time-zone",
            "which time zone are the new sites in?".to_owned(),
            Vec::new(),
            estate.group.time_zone.to_string(),
            Vec::new(),
        );
    }
}

/// The mapping as it is once every default is taken.
pub(super) fn with_defaults(mapping: &Mapping) -> Mapping {
    let mut mapping = mapping.clone();
    mapping.accept_defaults();
    mapping
}

/// Metered by the dose: doses are given, or no seconds anywhere.
fn by_dose(lines: &[(&Place, &Told)]) -> bool {
    lines.iter().any(|(_, t)| t.doses) || lines.iter().all(|(_, t)| t.seconds.is_empty())
}

fn weighed(lines: &[(&Place, &Told)]) -> bool {
    let amounts = lines.iter().flat_map(|(_, t)| &t.amounts);
    let (mut masses, mut all) = (0, 0);
    for amount in amounts {
        all += 1;
        masses += usize::from(matches!(amount, AmountRead::Number(q) if q.mass().is_some()));
    }
    masses * 2 > all
}

fn by_product(lines: &[(&Place, &Told)]) -> BTreeMap<String, Vec<AmountRead>> {
    let mut by: BTreeMap<String, Vec<AmountRead>> = BTreeMap::new();
    for ((_, _, line), told) in lines {
        if told.target.is_none() {
            by.entry(product_name(line, told)).or_default().extend(&told.amounts);
        }
    }
    by
}

/// The round portion nearest to the middle reading, in the unit that most are in.
fn usual_target(amounts: &[AmountRead]) -> Option<Quantity> {
    let quantities: Vec<Quantity> = amounts
        .iter()
        .filter_map(|a| if let AmountRead::Number(q) = a { Some(*q) } else { None })
        .collect();
    let mass = quantities.iter().filter(|q| q.mass().is_some()).count() * 2 > quantities.len();
    let mut sizes: Vec<f64> = quantities
        .iter()
        .filter_map(|q| if mass { q.mass().map(|m| m.0) } else { q.volume().map(|v| v.0) })
        .filter(|x| *x > 0.0)
        .collect();
    sizes.sort_by(f64::total_cmp);
    // Of two in the middle the lesser: a slip of the decimal point is rather one too far.
    let middle = *sizes.get(sizes.len().checked_sub(1)? / 2)?;
    let unit = most(quantities.iter().map(|q| q.unit))?;
    match unit {
        Unit::Millilitre | Unit::Gram | Unit::Litre | Unit::Centilitre | Unit::Kilogram => {
            let near = PORTIONS
                .iter()
                .copied()
                .min_by(|a, b| (a / middle).ln().abs().total_cmp(&(b / middle).ln().abs()))?;
            let decimals = u32::from(near.fract() != 0.0);
            Quantity::rounded(near, decimals, if mass { Unit::Gram } else { Unit::Millilitre })
        }
        // Recipes in ounces go by quarters.
        unit => {
            let quarters = (unit.of_base(middle) * 4.0).round().max(1.0) / 4.0;
            Quantity::rounded(quarters, 2, unit).map(|q| Quantity::new(q.number.normalize(), unit))
        }
    }
}

fn most(units: impl Iterator<Item = Unit>) -> Option<Unit> {
    let mut counts: Vec<(Unit, usize)> = Vec::new();
    for unit in units {
        match counts.iter_mut().find(|(u, _)| *u == unit) {
            Some((_, n)) => *n += 1,
            None => counts.push((unit, 1)),
        }
    }
    counts.into_iter().max_by_key(|(_, n)| *n).map(|(u, _)| u)
}

/// What a line carries: its product's name, or its own where that is a name and no number.
fn product_name(line: &str, told: &Told) -> String {
    match &told.product {
        Some(product) => product.clone(),
        None if bare(line).chars().any(char::is_alphabetic) => line.to_owned(),
        None => "Unnamed product".to_owned(),
    }
}

/// See [`super::estate_from`].
pub(super) fn estate_from(
    mapping: &Mapping,
    rows: &[TableRow],
    estate: &Estate,
) -> Result<Estate, Vec<Refusal>> {
    let mapping = with_defaults(mapping);
    let mut wanted = estate.clone();
    if mapping.likely("add") != Some("yes") {
        return Ok(wanted);
    }
    let all = told(&mapping, rows);
    let mut index = Index::new(estate);
    let lacking = lacking(&mut index, &all);
    let mut faults = Vec::new();
    let mut take = |id: &str, result: Result<(), String>| {
        if let Err(reason) = result {
            faults.push(Refusal::new(
                0,
                Code::MappingMisfit,
                format!("the answer to {id:?} cannot be used: {reason}"),
            ));
        }
    };
    let draws = Draws::read(&mapping).map_err(|(id, reason)| take(&id, Err(reason)));
    let tolerance = mapping.likely("tolerance").unwrap_or("5 %").parse::<Percent>();
    take("tolerance", tolerance.as_ref().map(|_| ()).map_err(ToString::to_string));
    let zone = mapping.likely("time-zone").unwrap_or(estate.group.time_zone.name()).parse::<Zone>();
    take("time-zone", zone.as_ref().map(|_| ()).map_err(|e| format!("{e}; {}", e.hint)));
    let targets: Result<Vec<_>, _> = mapping
        .questions
        .iter()
        .filter(|q| q.id.starts_with("target"))
        .map(|q| amount(q.answer.as_deref().unwrap_or(&q.default)).map(|t| (q.id.as_str(), t)))
        .collect();
    take("target", targets.as_ref().map(|_| ()).map_err(Clone::clone));
    let (Ok(draws), Ok(tolerance), Ok(zone), Ok(targets)) = (draws, tolerance, zone, targets)
    else {
        return Err(faults);
    };
    if wanted.group.name.is_empty() {
        // Nothing was described yet: the time zone is the group's.
        mapping.likely("group").unwrap_or("My group").clone_into(&mut wanted.group.name);
        wanted.group.time_zone = zone.clone();
    }
    let family = family(&mapping, &mut wanted, by_dose(&lacking));
    let by_second = wanted.families.get(&family).is_some_and(|f| f.metering == Metering::Rate);
    if by_second && draws.in_doses() {
        let reason =
            "the answer to \"recipe-draw\" is doses, and the family is metered by the second";
        return Err(vec![
            Refusal::new(0, Code::MappingMisfit, reason)
                .hint("write seconds, such as 7 s, or choose another family"),
        ]);
    }
    let kind = measure_kind(&mapping, &mut wanted, weighed(&lacking));
    // A target without a unit is in that of the readings.
    let unit_of = |means| {
        mapping.columns.iter().filter(move |c| c.means == means).find_map(|c| c.unit.as_deref())
    };
    let target_unit = unit_of(Means::Target).or_else(|| unit_of(Means::Amount));
    for ((site_name, machine_name, line_name), told) in lacking {
        let site_key = index
            .find_site(site_name)
            .or_else(|_| index.find_site(bare(site_name)))
            .map(|n| index.site(n).0.clone())
            .ok()
            .or_else(|| {
                wanted.sites.iter().find(|(_, s)| s.name == *site_name).map(|(k, _)| k.clone())
            })
            .unwrap_or_else(|| free_key(bare(site_name), "site", |k| wanted.sites.contains_key(k)));
        let group_zone = wanted.group.time_zone.clone();
        let site = wanted.sites.entry(site_key).or_insert_with(|| Site {
            name: site_name.clone(),
            owner: None,
            time_zone: (zone != group_zone).then(|| zone.clone()),
            jurisdiction: None,
            measures: BTreeMap::new(),
            machines: BTreeMap::new(),
            retired: false,
        });
        if site.measures.values().all(|p| p.retired) {
            site.measures.insert(kind.clone(), Piece { kind: kind.clone(), retired: false });
        }
        let machine_key = machine_key(site, machine_name);
        let machine = site.machines.entry(machine_key).or_insert_with_key(|key| Machine {
            name: if machine_name.is_empty() {
                key.replace('-', " ")
            } else {
                machine_name.clone()
            },
            family: family.clone(),
            serial: told.serial.clone(),
            state: State::Open,
            lines: BTreeMap::new(),
        });
        let product_name = product_name(line_name, told);
        let product = product(&mut wanted.products, &product_name);
        let own = targets.iter().find(|(id, _)| *id == format!("target {product_name:?}"));
        let target = told
            .target
            .as_deref()
            .and_then(|text| match units::amount(&mapping, text, target_unit, "unit") {
                Ok(AmountRead::Number(q)) if !q.number.is_zero() => Some(q),
                _ => None,
            })
            .or(own.map(|(_, t)| *t))
            .or_else(|| targets.iter().find(|(id, _)| *id == "target").map(|(_, t)| *t))
            .unwrap_or_else(|| Quantity::new(30.into(), Unit::Millilitre));
        let own_tolerance = told.tolerance.as_deref().and_then(|t| {
            let t = t.trim_start_matches(['±', '+', '/', '-', ' ']);
            t.parse::<Percent>()
                .ok()
                .or_else(|| t.trim_end_matches('%').trim().parse().ok().map(Percent))
        });
        let by_dose =
            wanted.families.get(&machine.family).is_some_and(|f| f.metering == Metering::Dose);
        let line_key = free_key(bare(line_name), "line", |k| machine.lines.contains_key(k));
        // What it carries is its name, where its key says all of what the sheet calls it.
        let told_by_key =
            told.product.is_some() && Key::suggest(bare(line_name)) == Some(line_key.clone());
        let named = line_name.is_empty() || *line_name == product_name || told_by_key;
        machine.lines.insert(
            line_key,
            Line {
                name: (!named).then(|| line_name.clone()),
                product,
                target,
                tolerance: own_tolerance.unwrap_or(tolerance),
                draw: match draws.draw(&product_name) {
                    DrawRead::Time(_) if by_dose => DrawRead::Doses(1),
                    draw => draw,
                },
                water: None,
                measure: None,
                setting: None,
                portions: None,
                tubing: Tubing::default(),
                retired: false,
            },
        );
    }
    Ok(wanted)
}

fn amount(text: &str) -> Result<Quantity, String> {
    match text.parse::<AmountRead>() {
        Ok(AmountRead::Number(q)) if !q.number.is_zero() => Ok(q),
        Ok(_) => Err(format!("{text:?} is no portion")),
        Err(error) => Err(error.to_string()),
    }
}

/// A key for a name that is not taken.
fn free_key(name: &str, other: &str, taken: impl Fn(&Key) -> bool) -> Key {
    let first = Key::suggest(name).unwrap_or_else(|| other.parse().expect("a plain word is a key"));
    if !taken(&first) {
        return first;
    }
    let stem: String = first.chars().take(56).collect();
    (2..)
        .find_map(|n| {
            format!("{}-{n}", stem.trim_end_matches('-')).parse::<Key>().ok().filter(|k| !taken(k))
        })
        .expect("numbers do not end")
}

fn machine_key(site: &Site, name: &str) -> Key {
    if name.is_empty() {
        // A sheet without machines speaks of the only one, or of the first.
        let only = site.machines.iter().find(|(_, m)| !m.retired()).map(|(k, _)| k.clone());
        return only.unwrap_or_else(|| "machine-1".parse().expect("a plain word is a key"));
    }
    let wanted = super::super::index::fold(name);
    let known = site.machines.iter().find(|(k, m)| {
        super::super::index::fold(k) == wanted || super::super::index::fold(&m.name) == wanted
    });
    if let Some((key, _)) = known {
        return key.clone();
    }
    let bare = bare(name);
    let name = if bare.chars().all(|c| c.is_ascii_digit()) {
        format!("machine-{bare}")
    } else {
        bare.to_owned()
    };
    free_key(&name, "machine", |k| site.machines.contains_key(k))
}

fn product(products: &mut BTreeMap<Key, Product>, name: &str) -> Key {
    let wanted = super::super::index::fold(name);
    if let Some((key, _)) = products.iter().find(|(k, p)| {
        super::super::index::fold(k) == wanted || super::super::index::fold(&p.name) == wanted
    }) {
        return key.clone();
    }
    let key = free_key(name, "product", |k| products.contains_key(k));
    products.insert(
        key.clone(),
        Product {
            name: name.to_owned(),
            density: None,
            temperature: None,
            allergens: Vec::new(),
            cost: None,
            retired: false,
        },
    );
    key
}

fn family(mapping: &Mapping, estate: &mut Estate, by_dose: bool) -> Key {
    let answer = mapping.likely("family").unwrap_or(FAMILIES[if by_dose { 2 } else { 0 }].0);
    let Some((_, key, name)) = FAMILIES.iter().find(|(choice, _, _)| *choice == answer) else {
        return answer.parse().unwrap_or_else(|_| "screw".parse().expect("a plain word is a key"));
    };
    let key: Key = key.parse().expect("a plain word is a key");
    let quantity = |text: &str| text.parse::<Quantity>().expect("a quantity");
    estate.families.entry(key.clone()).or_insert_with(|| Family {
        name: (*name).to_owned(),
        metering: if matches!(key.as_str(), "taught" | "panel") {
            Metering::Dose
        } else {
            Metering::Rate
        },
        adjuster: match key.as_str() {
            "screw" => {
                Adjuster::Screw { per_turn: None, anticlockwise_gives_more: true, slack_turns: 0.0 }
            }
            "taught" => Adjuster::Taught,
            "panel" => Adjuster::Percent { step: 1.0, range: (50.0, 150.0) },
            _ => Adjuster::None,
        },
        faults: None,
        opening_offset: None,
        // A thumb on a stopwatch; the spread is that of Am. J. Phys. 87(2) 110, 2019.
        timing: Timing::Hand { spread: quantity("0.10 s"), resolution: quantity("0.01 s") },
        tubing: Tubing::default(),
        parts: BTreeMap::new(),
        notes: Some(
            "made from a sheet: check how it is metered and set, and add its parts".to_owned(),
        ),
        retired: false,
    });
    key
}

fn measure_kind(mapping: &Mapping, estate: &mut Estate, weighed: bool) -> Key {
    let answer = mapping.likely("measure-kind").unwrap_or(if weighed { SCALE } else { CUP });
    let quantity = |text: &str| text.parse::<Quantity>().expect("a quantity");
    let (key, name, reads) = match answer {
        CUP => (
            "cup",
            "Cup, division 5 mL",
            Reads::Vessel {
                marks: MarksRead::Every(quantity("5 mL")),
                tolerance: quantity("2.5 mL"),
                film: None,
            },
        ),
        SCALE => (
            "scale",
            "Scale, 1 g",
            Reads::Scale { resolution: quantity("1 g"), tolerance: quantity("1 g"), tared: true },
        ),
        key => {
            return key.parse().unwrap_or_else(|_| "cup".parse().expect("a plain word is a key"));
        }
    };
    let key: Key = key.parse().expect("a plain word is a key");
    estate.measures.entry(key.clone()).or_insert_with(|| MeasureKind {
        name: name.to_owned(),
        reads,
        capacity: None,
        retired: false,
    });
    key
}
