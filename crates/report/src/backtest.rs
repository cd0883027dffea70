//! What forecasts would have been worth on somebody's histories.

use std::collections::BTreeMap;

use ouncewise_estimate::backtest::{FEWEST, History, Scored, backtest, machines};
use ouncewise_estimate::series::Point;
use ouncewise_store::Store;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::learn::pasts;

/// Ways of forecasting, scored on the second halves of histories.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BacktestReport {
    /// How many readings ahead was forecast.
    pub ahead: usize,
    /// What errors and scores are in: `the readings' own unit`, or `the portion, as a fraction`.
    pub unit: String,
    /// Units (of an estate, machines) that were long enough.
    pub units: usize,
    /// Units that were too short, and left out.
    pub too_short: usize,
    /// Each way; smaller errors and scores are better.
    pub ways: Vec<WayReport>,
}

/// One way of forecasting.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WayReport {
    /// `same as last time`, `smoothed` or `level` (of an estate, the level by the whole machine's history).
    pub way: String,
    /// Forecasts that were scored.
    pub forecasts: u32,
    /// Mean distance of the forecast from what was then read.
    pub mean_error: f64,
    /// Mean continuous ranked probability score.
    pub crps: f64,
    /// Share of intervals of 90 % that held.
    pub coverage_90: f64,
}

impl From<&Scored> for WayReport {
    fn from(scored: &Scored) -> Self {
        let coverage = scored.coverage;
        Self {
            way: scored.way.words().to_owned(),
            forecasts: coverage.of,
            mean_error: scored.error,
            crps: scored.crps,
            coverage_90: f64::from(coverage.hits) / f64::from(coverage.of.max(1)),
        }
    }
}

/// Scores the histories of a CSV text: columns `unit, at, value`, and `group` and `u` (the reading's own standard
/// uncertainty) where there are any. `at` is a number or a date; readings of a unit may come in any order.
///
/// # Errors
///
/// Where a column is missing, or cells cannot be read: all of them, by row.
pub fn score_histories(text: &[u8], ahead: usize) -> Result<BacktestReport, Failure> {
    let histories = read(text)?;
    let long = |history: &&History| history.points.len() >= FEWEST.max(4 * ahead);
    let units = histories.iter().filter(long).count();
    let scores = backtest(&histories, ahead);
    if scores.is_empty() {
        return Err(Failure::data(format!(
            "no unit has {} readings or more",
            FEWEST.max(4 * ahead)
        ))
        .hint("bring longer histories, or forecast fewer readings ahead"));
    }
    Ok(BacktestReport {
        ahead,
        unit: "the readings' own unit".to_owned(),
        units,
        too_short: histories.len() - units,
        ways: scores.iter().map(WayReport::from).collect(),
    })
}

/// Scores forecasts of an estate's own catches: of each line's first catch at a visit, from all that its machine's records said
/// before. `told` hears of each machine that was read.
///
/// # Errors
///
/// If the store cannot be read, or no machine has visits enough.
pub async fn score_estate(
    store: &Store,
    mut told: impl FnMut(),
) -> Result<BacktestReport, Failure> {
    let estate = store.estate().await?;
    let behaviours = store.behaviours().await?;
    let mut families = Vec::new();
    for key in estate.families.keys() {
        let pasts = pasts(store, &estate, key, &mut told).await?;
        families.push(machines::Family { behaviour: behaviours.of(key).0, pasts });
    }
    let all: usize = families.iter().map(|family| family.pasts.len()).sum();
    let long = |family: &machines::Family| {
        family.pasts.iter().filter(|past| past.visits.len() >= machines::FEWEST).count()
    };
    let units: usize = families.iter().map(long).sum();
    let scores = machines::backtest(&families);
    if scores.is_empty() {
        return Err(Failure::data(format!("no machine has {} visits or more", machines::FEWEST))
            .hint("load more of its history, or score any history as a CSV file: `ouncewise backtest FILE`"));
    }
    Ok(BacktestReport {
        ahead: 1,
        unit: "the portion, as a fraction".to_owned(),
        units,
        too_short: all - units,
        ways: scores.iter().map(WayReport::from).collect(),
    })
}

/// The most faults that are told.
const MOST: usize = 10;

fn read(text: &[u8]) -> Result<Vec<History>, Failure> {
    let mut reader =
        csv::ReaderBuilder::new().comment(Some(b'#')).trim(csv::Trim::All).from_reader(text);
    let heads =
        reader.headers().map_err(|e| Failure::data(format!("this is no CSV: {e}")))?.clone();
    let column = |name: &str| heads.iter().position(|head| head.eq_ignore_ascii_case(name));
    let needed = |name: &str| {
        column(name).ok_or_else(|| {
            Failure::data(format!("there is no column `{name}`"))
                .hint("columns are unit, at, value, and group and u where there are any")
        })
    };
    let (unit, at, value) = (needed("unit")?, needed("at")?, needed("value")?);
    let (group, own) = (column("group"), column("u"));
    let mut units: BTreeMap<(String, String), Vec<Point>> = BTreeMap::new();
    let mut faults: Vec<String> = Vec::new();
    for (index, row) in reader.records().enumerate() {
        // The first line has the headings.
        let line = row
            .as_ref()
            .ok()
            .and_then(|row| row.position())
            .map_or(index + 2, |p| usize::try_from(p.line()).unwrap_or(index + 2));
        let point = row.map_err(|e| e.to_string()).and_then(|row| {
            let cell = |column: usize| row.get(column).unwrap_or_default();
            let own = own.map_or(Ok(0.0), |column| match cell(column) {
                "" => Ok(0.0),
                text => number("u", text),
            })?;
            let point = Point {
                at: moment(cell(at))?,
                value: number("value", cell(value))?,
                own: own * own,
            };
            let key = (group.map_or("", cell).to_owned(), cell(unit).to_owned());
            Ok((key, point))
        });
        match point {
            Ok((key, point)) => units.entry(key).or_default().push(point),
            Err(why) => faults.push(format!("line {line}: {why}")),
        }
    }
    if !faults.is_empty() {
        let more = faults.len().saturating_sub(MOST);
        faults.truncate(MOST);
        let rest = if more > 0 { format!("\nand {more} more") } else { String::new() };
        return Err(Failure::data(format!("{}{rest}", faults.join("\n"))));
    }
    let history = |((group, unit), mut points): ((String, String), Vec<Point>)| {
        points.sort_by(|a, b| a.at.total_cmp(&b.at));
        History { unit, group, points }
    };
    Ok(units.into_iter().map(history).collect())
}

fn number(name: &str, text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number: &f64| number.is_finite());
    number.ok_or_else(|| format!("`{name}` is `{text}`: write a number, such as 29.6"))
}

/// A number, or a date as weeks since 1970.
fn moment(text: &str) -> Result<f64, String> {
    if let Ok(date) = text.parse::<jiff::civil::Date>() {
        let days = jiff::civil::date(1970, 1, 1).until(date).map_err(|e| e.to_string())?.get_days();
        return Ok(f64::from(days) / 7.0);
    }
    let number = text.parse().ok().filter(|number: &f64| number.is_finite());
    number.ok_or_else(|| format!("`at` is `{text}`: write a number, or a date such as 2026-03-02"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weeks(count: usize) -> String {
        let rows: String = (0..count)
            .map(|week| format!("a,{week},{}\n", 30.0 + 0.1 * f64::from(week as u32 % 5)))
            .collect();
        format!("unit,at,value\n{rows}")
    }

    #[test]
    fn histories_are_scored() {
        let report = score_histories(weeks(40).as_bytes(), 1).unwrap();
        assert_eq!((report.units, report.too_short, report.ways.len()), (1, 0, 3));
        assert_eq!(report.ways[0].forecasts, 19);
    }

    #[test]
    fn every_fault_is_told_by_its_line() {
        let text = "unit,at,value,u\na,2026-03-02,29.6,\na,soon,29.6,\nb,3,much,0.1\n";
        let told = score_histories(text.as_bytes(), 1).unwrap_err().message;
        assert!(told.contains("line 3: `at` is `soon`"), "{told}");
        assert!(told.contains("line 4: `value` is `much`"), "{told}");
        let told = score_histories(b"unit,value\n", 1).unwrap_err().message;
        assert!(told.contains("no column `at`"), "{told}");
        let told = score_histories(weeks(5).as_bytes(), 1).unwrap_err().message;
        assert!(told.contains("12 readings or more"), "{told}");
    }
}
