//! What to bring along for a procedure, and how long it takes.

use ouncewise_procedure::estimate::estimate;
use ouncewise_procedure::kit::kit as brings;
use ouncewise_procedure::time::Seconds;
use ouncewise_procedure::{Family, Procedure, Terms};
use schemars::JsonSchema;
use serde::Serialize;

use crate::{HeldTo, many};

/// `kit`: what to bring along for so many machines, and how long one after the other takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KitReport {
    /// What the procedure is called.
    pub title: String,
    /// What it was held to.
    pub held_to: HeldTo,
    /// For so many machines.
    pub machines: u32,
    /// Of so many lines each.
    pub lines: u32,
    /// What to bring along.
    pub bring: Vec<BringReport>,
    /// Seconds that a quick hand takes on the usual way.
    pub least_s: u32,
    /// Seconds that a slow hand takes on the usual way.
    pub most_s: u32,
    /// Seconds of a slow hand where every answer costs most.
    pub longest_s: u32,
    /// Of the usual way, seconds of waiting with free hands.
    pub waiting_s: u32,
    /// Numbers of the steps that say no time, and are counted as none.
    pub untimed: Vec<usize>,
    /// The time in a sentence.
    pub says: String,
}

/// One thing to bring along.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BringReport {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Whether it is a spare part, only needed where the old one is worn or due.
    pub spare: bool,
}

/// What to bring along for so many machines of so many lines each, and how long that takes.
#[must_use]
pub fn kit(
    family: &Family,
    procedure: &Procedure,
    terms: &Terms,
    machines: u32,
    lines: u32,
    language: &str,
) -> KitReport {
    let (machines, lines) = (machines.max(1), lines.max(1));
    let each = estimate(family, procedure, terms, lines);
    let all = |seconds: Seconds| seconds.0.saturating_mul(machines);
    let (least_s, most_s) = (all(each.usual.least), all(each.usual.most));
    let (longest_s, waiting_s) = (all(each.longest), all(each.waiting));
    let minutes = |seconds: u32| seconds.div_ceil(60);
    let says = format!(
        "{} of {}: {} to {} min on the usual way, of which {} min are waiting; at worst {} min.",
        many(machines as usize, "machine"),
        many(lines as usize, "line"),
        minutes(least_s),
        minutes(most_s),
        minutes(waiting_s),
        minutes(longest_s)
    );
    let bring = brings(family, procedure, machines, lines).into_iter().map(|thing| BringReport {
        name: thing.name.of(language).to_owned(),
        key: thing.key,
        count: thing.count,
        spare: thing.spare,
    });
    KitReport {
        title: procedure.title.of(language).to_owned(),
        held_to: HeldTo::of(terms),
        machines,
        lines,
        bring: bring.collect(),
        least_s,
        most_s,
        longest_s,
        waiting_s,
        untimed: each.untimed,
        says,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_line_needs_is_counted_for_each_and_what_is_shared_once() {
        // content/procedures/screw-trim/family.toml: a brush is `per = "line"`, the bucket is not.
        let (family, clean, _) = crate::shipped_procedure("screw-trim", "weekly-clean").unwrap();
        let report = kit(&family, &clean, &Terms::default(), 3, 4, "en");
        let count = |key: &str| report.bring.iter().find(|b| b.key == key).map(|b| b.count);
        assert_eq!((count("brush"), count("bucket")), (Some(12), Some(1)));
        assert_eq!(count("spare valve-seal"), Some(12));
        assert!(0 < report.least_s && report.least_s < report.most_s);
        assert!(report.most_s <= report.longest_s && report.waiting_s < report.least_s);
        let one = kit(&family, &clean, &Terms::default(), 1, 4, "en");
        assert_eq!(report.most_s, 3 * one.most_s);
        assert!(report.says.starts_with("3 machines of 4 lines: "), "{}", report.says);
    }
}
