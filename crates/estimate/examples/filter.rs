//! Cases as JSON lines in, answers as JSON lines out, so that another program can hold the filters against its own:
//! `checks/reference/filters.py` does.

use std::error::Error;
use std::io::{self, BufRead as _, Write as _};

use ouncewise_estimate::course::course;
use ouncewise_estimate::joint::{Behaviour, Level, Reading, Said};
use ouncewise_estimate::past::{Happened, Past, Visit};
use ouncewise_estimate::series::{Model, Normal, Point, Slope, filter, smooth};
use serde_json::{Value, json};

fn main() -> Result<(), Box<dyn Error>> {
    let mut out = io::stdout().lock();
    for line in io::stdin().lock().lines() {
        let case: Value = serde_json::from_str(&line?)?;
        let answer = match case["ask"].as_str() {
            Some("series") => series(&case),
            Some("machine") => machine(&case),
            _ => None,
        };
        let refused = || json!({ "error": "`ask` is `series` or `machine`, with all its numbers" });
        writeln!(out, "{}", answer.unwrap_or_else(refused))?;
    }
    Ok(())
}

/// One series alone, from a start of which nothing is known.
fn series(case: &Value) -> Option<Value> {
    let slope = match &case["slope"] {
        Value::Null => Slope::None,
        walks => Slope::Walks(walks.as_f64()?),
    };
    let model = Model { noise: case["noise"].as_f64()?, walk: case["walk"].as_f64()?, slope };
    let points: Vec<Point> = all(&case["points"], |point| {
        Some(Point { at: point[0].as_f64()?, value: point[1].as_f64()?, own: point[2].as_f64()? })
    })?;
    let pair = |normal: Normal| [normal.mean, normal.variance];
    let filtered = filter(&model, &points);
    let moments: Vec<f64> = points.iter().map(|point| point.at).collect();
    let smoothed = match slope {
        Slope::None => smooth(model.noise, model.walk, &points, &moments),
        Slope::Walks(_) => Vec::new(),
    };
    Some(json!({
        "log_likelihood": filtered.log_likelihood,
        "levels": filtered.steps.iter().map(|step| pair(step.level)).collect::<Vec<_>>(),
        "expected": filtered.steps.iter().map(|step| step.expected.map(pair)).collect::<Vec<_>>(),
        "smoothed": smoothed.into_iter().map(pair).collect::<Vec<_>>(),
        "ahead": pair(filtered.ahead(case["ahead"].as_f64()?)),
    }))
}

/// All lines of a machine together; the states after the readings of each visit.
fn machine(case: &Value) -> Option<Value> {
    let past = Past {
        targets: all(&case["targets"], Value::as_f64)?,
        visits: all(&case["visits"], |visit| {
            Some(Visit { at: visit["at"].as_f64()?, happened: all(&visit["happened"], happened)? })
        })?,
    };
    let behaviour = behaviour(&case["behaviour"])?;
    let pair = |level: Level| [level.mean, level.variance];
    let mut log_likelihood = 0.0;
    let mut visits: Vec<(f64, Value)> = Vec::new();
    past.run(&behaviour, |joint, visit, _, scored| {
        log_likelihood += scored.log_likelihood();
        let measures: Vec<_> = (0..2).map(|who| joint.measure_error(who).map(pair)).collect();
        let told = json!({
            "levels": (0..joint.lines()).map(|line| pair(joint.level(line))).collect::<Vec<_>>(),
            "shared": pair(joint.shared()),
            "today": pair(joint.today()),
            "measures": measures,
        });
        match visits.last_mut() {
            Some((at, last)) if *at == visit.at => *last = told,
            _ => visits.push((visit.at, told)),
        }
    });
    let visits: Vec<Value> = visits.into_iter().map(|(_, told)| told).collect();
    let found = |line: usize| -> Vec<[f64; 2]> {
        course(&past, &behaviour, line).iter().map(|stood| pair(stood.found)).collect()
    };
    let courses: Vec<_> = (0..past.targets.len()).map(found).collect();
    Some(json!({ "log_likelihood": log_likelihood, "visits": visits, "courses": courses }))
}

fn all<T>(list: &Value, of: impl Fn(&Value) -> Option<T>) -> Option<Vec<T>> {
    list.as_array()?.iter().map(of).collect()
}

fn behaviour(stated: &Value) -> Option<Behaviour> {
    let number = |key: &str| stated[key].as_f64();
    Some(Behaviour {
        walk: number("walk")?,
        drift: number("drift")?,
        machine_walk: number("machine_walk")?,
        day: number("day")?,
        person: number("person")?,
        new_part: number("new_part")?,
        new_part_spread: number("new_part_spread")?,
        response: number("response")?,
        response_spread: number("response_spread")?,
        adjusting: number("adjusting")?,
        cleaning: number("cleaning")?,
        teaching: number("teaching")?,
        // A mixture is no Kalman filter: other tests sum those over a grid.
        shock_chance: 0.0,
        shared_chance: 0.0,
        ..Behaviour::default()
    })
}

fn happened(what: &Value) -> Option<Happened> {
    let number = |place: usize| what[place].as_f64();
    let index = |place: usize| what[place].as_u64().and_then(|n| usize::try_from(n).ok());
    let who = |place: usize| what[place].as_u64().and_then(|n| u32::try_from(n).ok());
    let line = index(1)?;
    Some(match what[0].as_str()? {
        "read" => Happened::Read(Reading {
            line,
            said: Said::Value(number(2)?, number(3)?),
            measure: Some((who(4)?, number(5)?)),
            person: Some(who(6)?),
        }),
        "adjusted" => Happened::Adjusted(line, Some(number(2)?)),
        "taught" => Happened::Taught(line, number(2)?, Some((who(3)?, number(4)?)), Some(who(5)?)),
        "cleaned" => Happened::Cleaned(line),
        "renewed" => Happened::Renewed(line, number(2)?),
        _ => return None,
    })
}
