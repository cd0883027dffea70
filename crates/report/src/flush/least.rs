//! The least time that a line of the estate must be flushed, from what is known of its tubes.

use std::collections::BTreeMap;

use ouncewise_estate::{Address, Density, Estate};
use ouncewise_hygiene::fluid::Fluid;
use ouncewise_hygiene::flush::{Flush, Least, percent};
use ouncewise_hygiene::line::FlowError;
use ouncewise_measure::print::{self, Units};
use schemars::JsonSchema;
use serde::Serialize;

use super::words::{Asked, Contents};
use super::{FlushFact, FlushWords, LeastReport, MissingReport, ROOM, begun, liquid, number};

/// How long a line must be flushed before it is sanitised.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LineFlushReport {
    /// The least time that physics allows. Where tubes or flow are not known there is none, and it is not zero.
    pub least: LeastReport,
    /// What was understood of the line.
    pub understood: Vec<FlushFact>,
    /// What must be measured before a least time is known; empty where it is known.
    pub missing: Vec<MissingReport>,
    /// What it rests on.
    pub assumptions: Vec<String>,
}

/// The least time of a line, and the phrases from which it follows.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastOfLine {
    /// As it is reported.
    pub report: LineFlushReport,
    /// Where it is known.
    pub least: Option<Least>,
    /// The line in phrases, for the page that calculates flushes.
    pub words: FlushWords,
}

/// The least time that a line must be flushed to be rid of its product; nothing where there is no such line.
/// Told in these units.
#[must_use]
pub fn line_flush(estate: &Estate, address: &Address, units: Units) -> Option<LeastOfLine> {
    let tubing = estate.tubing(address)?;
    let line = estate.machine(&address.site, &address.machine)?.lines.get(&address.line)?;
    let brix = estate.products.get(&line.product).and_then(|product| match product.density? {
        Density::Brix(read) => Some(format!("syrup {} Bx", read.value)),
        Density::Stated(_) => None,
    });
    let words = FlushWords {
        bore: tubing.bore,
        length: tubing.length,
        fittings: tubing.fittings,
        flow: tubing.flush_flow,
        ..FlushWords::default()
    };
    // A Brix that is beyond what is known of syrups: as water.
    let thick = FlushWords { contents: brix, ..words.clone() };
    let read = |words: FlushWords| {
        let asked = Asked::read(&words).map_err(|fault| fault.to_string())?;
        liquid(asked.contents, ROOM, "contents").map_err(|fault| fault.to_string())?;
        Ok((asked, words))
    };
    let read: Result<(Asked, FlushWords), String> = read(thick).or_else(|_| read(words.clone()));
    let (asked, words) = match read {
        Ok(read) => read,
        Err(fault) => return Some(unknown(words, fault)),
    };
    Some(of(&asked, words, units))
}

/// The lines of a machine whose least time is known.
#[must_use]
pub fn least_flushes(estate: &Estate, site: &str, machine: &str) -> BTreeMap<String, Least> {
    let lines = estate.machine(site, machine).into_iter().flat_map(|known| known.lines.keys());
    let least = lines.filter_map(|line| {
        let address = Address::new(site, machine, line).ok()?;
        Some((line.to_string(), line_flush(estate, &address, estate.group.units)?.least?))
    });
    least.collect()
}

fn unknown(words: FlushWords, fault: String) -> LeastOfLine {
    let least = LeastReport {
        known: false,
        hard_s: None,
        at_best_s: None,
        words: format!("no least time known: {fault}"),
    };
    let missing =
        vec![MissingReport { what: fault, measure: "look at the line’s tubes".to_owned() }];
    let report =
        LineFlushReport { least, understood: Vec::new(), missing, assumptions: Vec::new() };
    LeastOfLine { report, least: None, words }
}

fn of(asked: &Asked, words: FlushWords, units: Units) -> LeastOfLine {
    let Ok(want) = asked.want(ROOM) else { return unknown(words, "what is wanted".to_owned()) };
    let geometry = match asked.line.geometry() {
        Ok(geometry) => Some(geometry),
        Err(FlowError::NotKnown { .. }) => None,
        Err(error) => return unknown(words, error.to_string()),
    };
    let begun = begun(asked, ROOM, want, geometry.as_ref(), units);
    let mut report = LineFlushReport {
        least: begun.least,
        understood: begun.understood,
        missing: begun.missing,
        assumptions: Vec::new(),
    };
    let (Some(geometry), Some(flow)) = (geometry, asked.flow) else {
        return LeastOfLine { report, least: None, words };
    };
    let flush = match Flush::new(&asked.line, flow, asked.contents.fluid(), Fluid::Water, ROOM) {
        Ok(flush) => flush,
        Err(error) => return unknown(words, error.to_string()),
    };
    let least = flush.least(want);
    report.least = LeastReport {
        known: true,
        hard_s: Some(least.hard.0),
        at_best_s: Some(least.at_best.0),
        words: least.words.clone(),
    };
    let share = percent(want.residue());
    let contents = match asked.contents {
        Contents::Syrup(brix) => format!("it is full of syrup of {} °Bx", number(brix)),
        _ => "what is in it is taken to be as thin as water: its Brix is not stated".to_owned(),
    };
    report.assumptions.push(format!("it runs until {share} of what was in the line is left"));
    report.assumptions.push(contents);
    let room = print::temperature(ROOM, units);
    report.assumptions.push(format!("the water has {room}, and the flow is as stated"));
    report.assumptions.push(match (geometry.fitted, geometry.fittings_not_known) {
        (false, _) => "no fittings are counted: nobody stated any".to_owned(),
        (true, true) => "fittings of which nobody said what they hold are not counted".to_owned(),
        (true, false) => {
            "fittings are counted with what they hold, and not with their bends".to_owned()
        }
    });
    report.assumptions.push(
        "a straight tube: bends may mix better and need less, pockets and thick syrup need more"
            .to_owned(),
    );
    LeastOfLine { report, least: Some(least), words }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The starter, whose screw-trim lines have the tubes of the reference's rows: 3 m of 6.35 mm at 5 mL/s.
    fn estate(tubing: &str) -> Estate {
        let mut files = ouncewise_estate::starter::files();
        let name = "families/screw-trim.toml";
        let text = String::from_utf8(files[name].clone()).unwrap();
        files.insert(name.to_owned(), format!("{text}\n[tubing]\n{tubing}\n").into_bytes());
        let (estate, faults) = ouncewise_estate::files::read(&files);
        assert!(faults.is_empty(), "{faults:?}");
        estate
    }

    fn of_line(estate: &Estate, line: &str) -> LeastOfLine {
        line_flush(estate, &line.parse().unwrap(), Units::Metric).unwrap()
    }

    // HY-70 (CALC): 3 m of 6.35 mm hold 95.0 mL, so that nothing is quicker than 0.99 × 19 s. HY-115 (SIM): at τ = 1e-3 it
    // still holds 2.6 % after five volumes, at 3e-3 under 1 %: at best lies beyond five volumes.
    #[test]
    fn a_line_whose_tubes_are_known_has_a_least_time_and_what_it_rests_on() {
        let estate = estate("bore = '6.35 mm'\nlength = '3 m'\nflush_flow = '50 mL in 10 s'");
        let told = of_line(&estate, "rowan-end/counter-1/1");
        let least = told.least.unwrap();
        assert!((least.hard.0 / (0.99 * 19.0) - 1.0).abs() < 1e-3, "{least:?}");
        assert!((95.0..200.0).contains(&least.at_best.0), "{least:?}");
        assert!(told.report.least.known && told.report.missing.is_empty());
        assert_eq!(told.report.least.at_best_s, Some(least.at_best.0));
        let all = told.report.assumptions.join("; ");
        for words in ["until 1 % of what was in the line", "20 °C", "no fittings are counted"] {
            assert!(all.contains(words), "{words}: {all}");
        }
        let known = least_flushes(&estate, "rowan-end", "counter-1");
        assert_eq!(known.keys().collect::<Vec<_>>(), ["1", "2"]);
    }

    #[test]
    fn what_is_not_known_has_no_least_time_and_it_is_not_zero() {
        for (tubing, lacks) in [
            ("", "bore and length of the tube"),
            ("bore = '6 mm'\nlength = '3 m'", "the flow"),
            ("bore = '6 mm; ?'\nlength = '2 m; 1 m'\nflush_flow = '5 mL/s'", "the bore of tube 2"),
        ] {
            let estate = estate(tubing);
            let told = of_line(&estate, "rowan-end/counter-1/1");
            assert_eq!((told.least, told.report.least.at_best_s), (None, None), "{tubing}");
            let words = &told.report.least.words;
            assert!(words.starts_with("no least time known") && words.contains(lacks), "{words}");
            assert!(least_flushes(&estate, "rowan-end", "counter-1").is_empty(), "{tubing}");
        }
        let estate = estate("bore = '6 mm'");
        let nowhere = "rowan-end/counter-1/9".parse().unwrap();
        assert_eq!(line_flush(&estate, &nowhere, Units::Metric), None);
    }
}
