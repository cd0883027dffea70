//! The questions: what the sheet does not tell, each with its likeliest answer, and those that the sheet answers itself.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;

use super::super::table::{Hint, TableRow};
use super::propose::Told;
use super::shape::{self, Shape};
use super::walk::{Data, Kind, Reading, Walk};
use super::{Mapping, Means, Question, ask_dates, ask_names, ask_units, grow};
use crate::Estate;

/// Sample cells that are shown with a question.
pub(super) const SAMPLES: usize = 3;

/// What the rows of data say, as far as questions need it.
#[derive(Default)]
pub(super) struct Seen {
    /// Cells with readings, each with its row.
    pub(super) readings: Vec<(u64, Reading)>,
    pub(super) sites: BTreeMap<String, (usize, u64)>,
    pub(super) site_numbers: BTreeMap<String, BTreeSet<String>>,
    pub(super) lines: BTreeMap<(String, String, String), (usize, u64)>,
    pub(super) dates: Vec<(String, u64, String, Hint)>,
    pub(super) measures: BTreeMap<(String, String), u64>,
    pub(super) states: bool,
    pub(super) amounts_without_unit_column: bool,
}

/// Adds all questions to a mapping.
pub(super) fn questions(
    mapping: &mut Mapping,
    rows: &[TableRow],
    told: &Told,
    estate: &Estate,
    now: Timestamp,
) {
    constants(mapping, told, estate, now);
    let seen = see(&grow::with_defaults(mapping), rows);
    ask_names::sites(mapping, &seen, estate);
    // Names that several sites have are told apart now, and each site's dates by themselves.
    let seen = see(&grow::with_defaults(mapping), rows);
    columns(mapping, rows);
    ask_units::units_of(mapping, &seen, estate);
    ask_dates::dates_of(mapping, &seen, told, estate, now);
    states_and_draws(mapping, &seen);
    ask_units::temperatures(mapping, rows, estate);
    ask_names::lines(mapping, &seen, estate);
    ask_names::measures(mapping, &seen, estate);
    grow::questions(mapping, rows, estate);
}

fn see(mapping: &Mapping, rows: &[TableRow]) -> Seen {
    let mut seen = Seen {
        amounts_without_unit_column: !mapping.columns.iter().any(|c| c.means == Means::Unit),
        ..Seen::default()
    };
    let mut walk = Walk::new(mapping);
    for row in rows {
        let Kind::Data(Data { readings, texts, .. }) = walk.look(row) else { continue };
        if let (Some(name), Some(number)) = (texts.get(&Means::Site), texts.get(&Means::SiteNumber))
        {
            seen.site_numbers.entry(name.clone()).or_default().insert(number.clone());
        }
        seen.states |= texts.contains_key(&Means::State);
        for reading in readings {
            if shape::of(&reading.text, Hint::Text) == Shape::Nothing {
                continue;
            }
            let place = &reading.place;
            let count = |entry: &mut (usize, u64)| {
                entry.0 += 1;
                if entry.1 == 0 {
                    entry.1 = row.number;
                }
            };
            count(seen.sites.entry(place.site.clone()).or_default());
            count(
                seen.lines
                    .entry((place.site.clone(), place.machine.clone(), place.line.clone()))
                    .or_default(),
            );
            if let Some(measure) = texts.get(&Means::Measure) {
                seen.measures.entry((place.site.clone(), measure.clone())).or_insert(row.number);
            }
            let date = (place.site.clone(), row.number, place.date.clone(), place.date_is);
            if seen.dates.last() != Some(&date) {
                seen.dates.push(date);
            }
            seen.readings.push((row.number, reading));
        }
    }
    seen
}

/// A question, with an answer and its reason where the sheet tells.
pub(super) fn ask(
    mapping: &mut Mapping,
    id: &str,
    asks: impl Into<String>,
    choices: &[&str],
    default: &str,
    because: Option<&str>,
    sample: Vec<String>,
) {
    if mapping.question(id).is_some() {
        return;
    }
    mapping.questions.push(Question {
        id: id.to_owned(),
        asks: asks.into(),
        choices: choices.iter().map(|c| (*c).to_owned()).collect(),
        default: default.to_owned(),
        answer: because.map(|_| default.to_owned()),
        because: because.map(str::to_owned),
        sample,
        sets_up: false,
    });
}

/// What the names over readings are of, where it cannot be told.
pub(super) fn names(mapping: &mut Mapping, likely: Option<&'static str>) {
    let Some(likely) = likely else { return };
    let called = mapping
        .columns
        .iter()
        .filter_map(|c| Some(format!("column {}: {}", c.letter, c.called.as_ref()?)));
    let sample: Vec<String> = called.take(4).collect();
    let choices = ["readings", "site", "machine", "line"];
    let asks = "what are the names over readings of? `readings`: they only tell readings of one line apart";
    ask(mapping, "names", asks, &choices, likely, None, sample);
}

/// Site, machine and date where no cell of a row tells them.
fn constants(mapping: &mut Mapping, told: &Told, estate: &Estate, now: Timestamp) {
    // As if names over readings told nothing: they may turn out not to.
    let tells = |mapping: &Mapping, means| {
        let mut mapping = grow::with_defaults(mapping);
        mapping.questions.iter_mut().filter(|q| q.id == "names").for_each(|q| q.answer = None);
        Walk::new(&mapping).tells(means)
    };
    if !tells(mapping, Means::Site) {
        let only = (estate.sites.len() == 1)
            .then(|| estate.sites.keys().next().map(ToString::to_string))
            .flatten();
        match (&told.site, &told.title, only) {
            (Some(site), _, _) => ask(
                mapping,
                "site",
                "which site is this sheet about?",
                &[],
                site,
                Some("it stands above the heading, or in the name of the sheet or file"),
                Vec::new(),
            ),
            (None, _, Some(only)) => ask(
                mapping,
                "site",
                "which site is this sheet about?",
                &[],
                &only,
                None,
                Vec::new(),
            ),
            (None, title, None) => {
                let title = title.as_deref().unwrap_or("the site");
                ask(
                    mapping,
                    "site",
                    "which site is this sheet about?",
                    &[],
                    title,
                    None,
                    Vec::new(),
                );
            }
        }
    }
    if !tells(mapping, Means::Machine)
        && let Some(machine) = &told.machine
    {
        ask(
            mapping,
            "machine",
            "which machine is this sheet about?",
            &[],
            machine,
            Some("it stands above the heading"),
            Vec::new(),
        );
    }
    if !tells(mapping, Means::Date) {
        let asks = "which day are these readings of?";
        match &told.date {
            Some(date) => ask(
                mapping,
                "date",
                asks,
                &[],
                date,
                Some("it stands above the heading, or in the name of the sheet or file"),
                Vec::new(),
            ),
            None => ask(
                mapping,
                "date",
                asks,
                &[],
                &now.to_zoned_datetime(estate.group.time_zone.rules()).date().to_string(),
                None,
                Vec::new(),
            ),
        }
    }
}

/// Columns that are not loaded and hold numbers: they may be readings under a word that is not known.
fn columns(mapping: &mut Mapping, rows: &[TableRow]) {
    let first = mapping.heading_row + mapping.heading_rows;
    let unknown: Vec<(String, String)> = mapping
        .columns
        .iter()
        .filter(|c| c.means == Means::Nothing && !c.heading.is_empty())
        .map(|c| (c.letter.clone(), c.heading.clone()))
        .collect();
    let readings = mapping.columns.iter().any(|c| matches!(c.means, Means::Amount | Means::Done));
    for (letter, heading) in unknown {
        let Some(number) = super::column_number(&letter) else { continue };
        let data: Vec<&TableRow> =
            rows.iter().filter(|r| r.number >= first && !r.get(number).is_empty()).collect();
        let numbers = data
            .iter()
            .filter(|r| {
                matches!(shape::of(r.get(number), r.hint(number)), Shape::Number | Shape::Amount)
            })
            .count();
        if data.len() < 2 || numbers * 2 < data.len() {
            continue;
        }
        let sample = data
            .iter()
            .take(SAMPLES)
            .map(|r| format!("row {}: {}", r.number, r.get(number)))
            .collect();
        let default = if readings { "nothing" } else { "amount" };
        let choices = [
            "nothing",
            "amount",
            "seconds",
            "doses",
            "target",
            "water",
            "line",
            "site-number",
            "temperature",
        ];
        ask(
            mapping,
            &format!("column {letter}"),
            format!("what does the column {heading:?} hold?"),
            &choices,
            default,
            None,
            sample,
        );
    }
}

/// What readings are taken for where the sheet has no word for it.
fn states_and_draws(mapping: &mut Mapping, seen: &Seen) {
    let amounts = || seen.readings.iter().filter(|(_, r)| r.means == Means::Amount);
    if !seen.states && amounts().any(|(_, r)| r.state.is_none()) {
        let why = "there is no word about before or after, and a lone reading is one as found";
        ask(
            mapping,
            "state",
            "were lone readings taken before anything was touched, or after?",
            &["as-found", "as-left"],
            "as-found",
            Some(why),
            Vec::new(),
        );
    }
    if amounts().any(|(_, r)| r.seconds.is_empty() && r.doses.is_empty()) {
        let why = "such readings have neither seconds nor doses: each is taken for one portion, drawn as the recipe says";
        ask(
            mapping,
            "draw",
            "how long did readings run that have no seconds or doses? write recipe, or 7 s, or 2 doses",
            &[],
            "recipe",
            Some(why),
            Vec::new(),
        );
    }
}
