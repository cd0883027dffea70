//! `ouncewise line`: one line's story and where it stands.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_estate::{Address, Estate};
use ouncewise_estimate::standing::{VisitShown, judge};
use ouncewise_estimate::{Event, Happening, stories};
use ouncewise_ledger::order::Outcome;
use ouncewise_ledger::{Body, LineState, Record};
use ouncewise_measure::print;
use ouncewise_store::History;

use super::opened;
use crate::args::Line;
use crate::exit::{Exit, Failure};
use crate::output::Output;
use crate::plural::many;
use crate::report::{LineReport, LineStanding, StoryEvent, VisitReport};

/// Runs it.
pub fn run(args: &Line, output: &Output) -> Result<Exit, Failure> {
    let address: Address = args
        .address
        .parse()
        .map_err(|e: ouncewise_estate::Misread| Failure::usage(e.message).hint(e.hint))?;
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let history = store.line(&address).await?;
        let Some(standing) = &history.standing else {
            let estate = store.estate().await?;
            let known: Vec<String> = estate.lines().map(|(known, _)| known.to_string()).collect();
            let near =
                ouncewise_estate::fault::nearest(&args.address, known.iter().map(String::as_str));
            let failure = Failure::usage(format!("there is no line `{address}`"));
            return Err(match near {
                Some(near) => failure.hint(format!("did you mean `{near}`?")),
                None => failure.hint("`ouncewise week --top 1000` lists lines by their addresses"),
            });
        };
        let estate = store.estate_at(&address.site).await?;
        store.close().await?;
        let all = story(&estate, &address, &history);
        let earlier = all.len().saturating_sub(args.last);
        let shown = &all[earlier..];
        let report = LineReport {
            standing: LineStanding::new(standing),
            story: shown.iter().map(|told| told.event.clone()).collect(),
            earlier,
        };
        output.result(&report, || words(&report, shown, estate.group.risk.fraction()));
        Ok(Exit::Done)
    })
}

/// One event, for a program and for people.
struct Told {
    event: StoryEvent,
    visit: Option<VisitShown>,
}

/// What happened to a line, corrections and withdrawn records too, in the order of events.
fn story(estate: &Estate, address: &Address, history: &History) -> Vec<Told> {
    let effective: Vec<(&Record, &Body)> = history
        .events
        .iter()
        .filter_map(|event| match &event.outcome {
            Outcome::Stands => Some((&event.record, &event.record.body)),
            Outcome::Replaced { instead, .. } => Some((&event.record, instead)),
            Outcome::Withdrawn { .. } => None,
        })
        .collect();
    let line: &str = &address.line;
    let mut stories = stories([line], effective);
    let mut told: Vec<Told> = stories
        .remove(line)
        .unwrap_or_default()
        .into_iter()
        .map(|event| tell(estate, address, &event))
        .collect();
    for event in &history.events {
        let what = match &event.outcome {
            Outcome::Stands => continue,
            Outcome::Withdrawn { reason, .. } => {
                format!("withdrawn ({reason}): {}", brief(&event.record.body))
            }
            Outcome::Replaced { reason, .. } => {
                format!("corrected ({reason}): was {}", brief(&event.record.body))
            }
        };
        told.push(Told {
            event: StoryEvent {
                at: event.record.at.clone(),
                record: event.record.id.to_string(),
                what,
                visit: None,
            },
            visit: None,
        });
    }
    let instant = |told: &Told| told.event.at.parse::<jiff::Timestamp>().ok();
    told.sort_by_key(instant);
    told
}

fn tell(estate: &Estate, address: &Address, event: &Event) -> Told {
    let visit = match &event.what {
        Happening::Caught(visit) => Some(judge(estate, address, visit, None)),
        _ => None,
    };
    Told {
        event: StoryEvent {
            at: event.at.clone(),
            record: event.id.to_string(),
            what: event.what.words(),
            visit: visit.as_ref().map(VisitReport::new),
        },
        visit,
    }
}

fn brief(body: &Body) -> String {
    match body {
        Body::CatchTaken { amount, draw, .. } => format!("{amount} in {draw}"),
        other => other.kind().replace('-', " "),
    }
}

fn words(report: &LineReport, story: &[Told], risk: f64) -> String {
    let bold = Style::new().bold();
    let standing = &report.standing;
    let mut text = String::new();
    let mut line = |words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{words}");
    };
    line(&format!(
        "{bold}{}{bold:#}  {} on {}, {}",
        standing.address, standing.line, standing.machine, standing.site
    ));
    let verdict = standing.verdict.as_deref().unwrap_or("no verdict").replace('-', " ");
    let sure = standing.probability_on_target.map_or_else(String::new, |p| {
        format!(" ({} sure that it is on target)", print::probability(p, risk))
    });
    line(&format!("this catch shows: {verdict}{sure}"));
    line(&format!("why: {}", standing.reason));
    line(&format!("do:  {}", standing.act.advice));
    line("");
    if report.earlier > 0 {
        line(&format!("… {} (--last N shows more)", many(report.earlier, "earlier event")));
    }
    for told in story {
        let day = told.event.at.get(..16).unwrap_or(&told.event.at).replace('T', " ");
        match &told.visit {
            None => line(&format!("{day}  {}", told.event.what)),
            Some(visit) => line(&format!("{day}  {}", visit_words(visit))),
        }
    }
    if story.is_empty() {
        line("Nothing was recorded yet. Print its sheet, catch it, and load the catches.");
    }
    text
}

fn visit_words(visit: &VisitShown) -> String {
    let state = match visit.state {
        LineState::AsFound => "as found",
        LineState::AsLeft => "as left ",
    };
    let read = visit.read.join("; ");
    let shows = match (&visit.shown, &visit.trouble) {
        (Some(shown), _) => {
            let portion = shown.portion.map_or_else(String::new, |p| {
                format!(
                    "{} {}, ",
                    print::with_uncertainty(p, shown.standard_uncertainty),
                    shown.unit
                )
            });
            let off = shown
                .deviation()
                .map_or_else(String::new, |d| format!(" {}", print::signed_percent(d)));
            let mind: String = shown.caveats.iter().map(|caveat| format!("; {caveat}")).collect();
            format!("{portion}{}{off}{mind}", shown.verdict.words())
        }
        (None, trouble) => trouble.clone().unwrap_or_default(),
    };
    format!("{state}  {read} ({}) → {shows}", visit.measure)
}
