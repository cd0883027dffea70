//! The control charts of one line: what each shows, what signals, and what a signal means.

use ouncewise_estate::Address;
use ouncewise_estimate::Happening;
use ouncewise_estimate::control::{self, Charted, Charts, FEWEST_PAIRS, Found, chart_line};
use ouncewise_ledger::LineState;
use ouncewise_measure::print;
use ouncewise_store::Store;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::line::{Told, line, machine};
use crate::plural::many;

/// `line --charts`: one line's readings as found on control charts. They are for looking back: nobody is asked to adjust by them.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChartsReport {
    /// How many readings as found there are, since its product or its machine last changed.
    pub readings: usize,
    /// By how much single readings differ, as a standard deviation and a fraction of the target; absent where too little is known
    /// to chart.
    pub spread: Option<f64>,
    /// What the spread rests on, or why nothing can be charted yet.
    pub basis: String,
    /// What holds of all readings; absent where nothing can be charted.
    pub limits: Option<ChartLimits>,
    /// The readings, oldest first.
    pub points: Vec<ChartPoint>,
    /// Each chart: what signals on it, and how patient it is.
    pub charts: Vec<ChartSaid>,
    /// What a signal means, and what not.
    pub meaning: Vec<String>,
}

/// Limits that are the same for all readings, and those of single readings since the line was last touched.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct ChartLimits {
    /// The mean of the readings since the line was last touched, as a fraction off the target.
    pub mean: f64,
    /// The lower limit of single readings since then.
    pub low: f64,
    /// The upper limit of single readings since then.
    pub high: f64,
    /// The limit of how far neighbours are apart.
    pub range: f64,
    /// The limit of the sums, in standard deviations of a reading.
    pub sum: f64,
}

/// One reading on all charts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChartPoint {
    /// When it was caught, as the device wrote it (RFC 3339).
    pub at: String,
    /// How far it was off the target, as a fraction.
    pub off: f64,
    /// Whether the line was adjusted or given a part since the reading before: the mean, averages and sums begin anew.
    pub anew: bool,
    /// The lower limit that it is held to as a single reading.
    pub low: f64,
    /// The upper limit that it is held to as a single reading.
    pub high: f64,
    /// How far it is from the reading before; absent where the line was touched between.
    pub range: Option<f64>,
    /// The weighted average, as a fraction off the target.
    pub average: f64,
    /// How far off the target the average may be.
    pub average_limit: f64,
    /// The sum of what is above the target, in standard deviations of a reading.
    pub above: f64,
    /// The sum of what is below it.
    pub below: f64,
    /// Which charts signal: `single`, `range`, `average`, `sum`.
    pub signals: Vec<String>,
}

/// One chart in words.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChartSaid {
    /// `single`, `range`, `average` or `sum`.
    pub chart: String,
    /// What it is.
    pub what: String,
    /// What it shows: how many signals, and the latest.
    pub finding: String,
    /// How many readings signal.
    pub signals: usize,
    /// How many readings pass on average until it signals while nothing is wrong; single readings and ranges together.
    pub quiet: f64,
    /// How many pass after the line has moved by one standard deviation of a reading.
    pub moved: f64,
}

const CHARTS: [(&str, &str); 4] = [
    (
        "single",
        "Single readings: each by itself, held to the line’s mean since it was last touched",
    ),
    ("range", "Ranges: how far each reading is from the one before"),
    ("average", "Weighted average: the newest reading counts a fifth, held to the target"),
    (
        "sum",
        "Sums: what is off the target is added up, half a standard deviation let pass each time",
    ),
];

/// The readings of a line as found, with when: since its product or its machine last changed, the first of each occasion.
fn found(story: &[Told]) -> Vec<(String, Found)> {
    let mut readings: Vec<(String, Found)> = Vec::new();
    let mut last = None;
    let mut anew = false;
    for told in story {
        match &told.happening {
            Some(Happening::ProductChanged { .. } | Happening::MachineSwapped { .. }) => {
                readings.clear();
                (last, anew) = (None, false);
            }
            Some(Happening::Adjusted { .. } | Happening::PartReplaced { .. }) => anew = true,
            Some(Happening::Caught(visit)) if visit.state == LineState::AsFound => {
                let shown = told.visit.as_ref().and_then(|visit| visit.shown.as_ref());
                let off = shown
                    .filter(|shown| !shown.water)
                    .and_then(ouncewise_estimate::Shown::deviation);
                let Some(off) = off.filter(|off| off.is_finite() && *off > -0.5) else { continue };
                if last.is_some_and(|last: &ouncewise_estimate::Visit| last.at_once(visit)) {
                    continue;
                }
                last = Some(visit);
                let anew = std::mem::take(&mut anew) && !readings.is_empty();
                readings.push((visit.at.clone(), Found { off, anew }));
            }
            _ => {}
        }
    }
    readings
}

/// The control charts of a line, by its own story and those of its machine's lines.
fn charts<'a>(story: &[Told], machine: impl IntoIterator<Item = &'a [Told]>) -> ChartsReport {
    let readings = found(story);
    let offs: Vec<Found> = readings.iter().map(|(_, found)| *found).collect();
    let mut ranges: Vec<f64> = control::ranges(&offs).collect();
    let own = ranges.len() >= FEWEST_PAIRS;
    if !own {
        let of = |story: &[Told]| {
            let offs: Vec<Found> = found(story).into_iter().map(|(_, found)| found).collect();
            control::ranges(&offs).collect::<Vec<f64>>()
        };
        ranges = machine.into_iter().flat_map(of).collect();
    }
    let charts = chart_line(&offs, &ranges);
    let spread = charts.as_ref().map(|charts| charts.single.sd());
    let basis = match (spread, own) {
        (Some(spread), own) => format!(
            "single readings differ by {} of a portion (standard deviation), by {} of neighbouring readings {}",
            print::percent(spread),
            many(ranges.len(), "pair"),
            if own { "of this line" } else { "of all lines of its machine" },
        ),
        (None, _) if readings.is_empty() => "it has no reading as found with a number".to_owned(),
        (None, _) if ranges.len() < FEWEST_PAIRS => format!(
            "its machine has {} of neighbouring readings between which nothing was adjusted or replaced; {FEWEST_PAIRS} are needed before limits say anything",
            many(ranges.len(), "pair"),
        ),
        (None, _) => {
            "neighbouring readings do not differ: the measure is too coarse for charts".to_owned()
        }
    };
    ChartsReport {
        readings: readings.len(),
        spread,
        basis,
        limits: charts.as_ref().map(|charts| ChartLimits {
            mean: charts.single.mean,
            low: charts.single.low,
            high: charts.single.high,
            range: charts.single.range_high,
            sum: control::SUMS.limit,
        }),
        charts: charts.as_ref().map_or_else(Vec::new, |charts| said(charts, &readings)),
        points: charts.map_or_else(Vec::new, |charts| {
            charts.readings.iter().zip(&readings).map(|(c, (at, _))| point(c, at)).collect()
        }),
        meaning: meaning(),
    }
}

/// What a line is called, and its control charts, from the store.
///
/// # Errors
///
/// If there is no such line, or the store cannot be read.
pub async fn charts_of(
    store: &Store,
    address: &Address,
) -> Result<(String, ChartsReport), Failure> {
    // A line that is not there is told here, with what is near.
    let (_, history, story) = line(store, address).await?;
    let (_, lines) = machine(store, &address.site, &address.machine).await?;
    let name = history.standing.map_or_else(|| address.line.to_string(), |known| known.line);
    let stories = lines.iter().map(|(_, _, story)| story.as_slice());
    Ok((name, charts(&story, stories)))
}

/// Which charts a reading signals on, in the order of [`CHARTS`].
fn signals(charted: &Charted) -> [bool; 4] {
    [charted.single_out, charted.range_out, charted.average_out, charted.sum_out]
}

fn point(charted: &Charted, at: &str) -> ChartPoint {
    let names = CHARTS.iter().zip(signals(charted)).filter(|(_, out)| *out);
    ChartPoint {
        at: at.to_owned(),
        off: charted.found.off,
        anew: charted.found.anew,
        low: charted.low,
        high: charted.high,
        range: charted.range,
        average: charted.average,
        average_limit: charted.average_limit,
        above: charted.above,
        below: charted.below,
        signals: names.map(|((name, _), _)| (*name).to_owned()).collect(),
    }
}

fn said(charts: &Charts, readings: &[(String, Found)]) -> Vec<ChartSaid> {
    let [single, average, sums] = control::patience();
    let patience = [single, single, average, sums];
    let all = || charts.readings.iter().zip(readings);
    CHARTS
        .iter()
        .enumerate()
        .map(|(place, (chart, what))| {
            let out: Vec<&str> = all()
                .filter(|(charted, _)| signals(charted)[place])
                .map(|(_, (at, _))| at.get(..10).unwrap_or(at))
                .collect();
            let of = many(readings.len(), "reading");
            let finding = match out.last() {
                None => format!("No signal in {of}"),
                Some(last) => {
                    format!("{} in {of}, the last on {last}", many(out.len(), "signal"))
                }
            };
            ChartSaid {
                chart: (*chart).to_owned(),
                what: (*what).to_owned(),
                finding,
                signals: out.len(),
                quiet: patience[place].quiet,
                moved: patience[place].moved,
            }
        })
        .collect()
}

/// What people must know to read the charts.
fn meaning() -> Vec<String> {
    let [single, average, sums] = control::patience();
    vec![
        "A signal says that these readings no longer look like what was before, or like the target: something changed, in the line, \
         in the measure, or in who reads it. It does not say what."
            .to_owned(),
        "All readings are held to today’s recipe: where the target was changed, those of before signal.".to_owned(),
        "Nobody is asked to adjust by a signal. What to do about the line is said by its advice, which knows the doubt of each \
         reading, the machine’s other lines and what was done; a chart knows none of these."
            .to_owned(),
        format!(
            "Charts signal by chance, too. While nothing is wrong, single readings and ranges together signal once in {:.0} readings \
             on average, the weighted average once in {:.0}, the sums once in {:.0}. After a line has moved by as much as single \
             readings differ, they take {:.0}, {:.0} and {:.0} readings.",
            single.quiet, average.quiet, sums.quiet, single.moved, average.moved, sums.moved
        ),
        "A chart is no forecast: of a slow drift it tells after some twenty readings. The fan of the line’s own chart looks ahead."
            .to_owned(),
    ]
}
