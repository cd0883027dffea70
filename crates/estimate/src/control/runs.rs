//! Runs rules: so many of the last readings beyond a line on one side, and what each added rule costs in false alarms.

use std::collections::BTreeMap;

use ouncewise_measure::special::normal_within;

use super::{Course, MOST_READINGS, NONE_LEFT};

/// A rule: it cries out when `hits` of the last `of` readings lie beyond `beyond` standard deviations on the same side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// How many must lie beyond.
    pub hits: u32,
    /// Of how many last readings, 16 at most.
    pub of: u32,
    /// Standard deviations from the target; 0 is the target itself.
    pub beyond: f64,
}

/// The four rules of the Western Electric handbook (1956): 1 beyond 3, 2 of 3 beyond 2, 4 of 5 beyond 1, 8 in a row on one side.
/// Together they cry out every 92 readings with nothing wrong, where the first alone takes 370.
pub const WESTERN_ELECTRIC: [Rule; 4] = [
    Rule { hits: 1, of: 1, beyond: 3.0 },
    Rule { hits: 2, of: 3, beyond: 2.0 },
    Rule { hits: 4, of: 5, beyond: 1.0 },
    Rule { hits: 8, of: 8, beyond: 0.0 },
];

/// What each rule must remember, for the side above and the side below: bit 0 is the latest reading.
type Memory = Vec<[u32; 2]>;

impl Rule {
    fn is_sane(&self) -> bool {
        (1..=16).contains(&self.of) && (1..=self.of).contains(&self.hits) && self.beyond >= 0.0
    }

    /// Whether the rule cries out at a reading, and what it remembers after it. A past reading that can no longer be part of an
    /// alarm is forgotten, which keeps the states few (Champ and Woodall 1987).
    fn step(&self, past: u32, hit: bool) -> (bool, u32) {
        let window = (1 << self.of) - 1;
        let now = (past << 1 | u32::from(hit)) & window;
        if now.count_ones() >= self.hits {
            return (true, now);
        }
        // A hit of age a (1 the latest) is still there after `of` − a further hits.
        let kept = (1..self.of).filter(|age| {
            let younger = now & ((1 << age) - 1);
            now >> (age - 1) & 1 == 1 && self.of - age + younger.count_ones() >= self.hits
        });
        (false, kept.fold(0, |bits, age| bits | 1 << (age - 1)))
    }
}

/// One step of all rules: whether any cries out, and what they remember.
fn step(rules: &[Rule], memory: &Memory, z: f64) -> (bool, Memory) {
    let mut alarm = false;
    let next = rules
        .iter()
        .zip(memory)
        .map(|(rule, sides)| {
            let (above, up) = rule.step(sides[0], z > rule.beyond);
            let (below, down) = rule.step(sides[1], z < -rule.beyond);
            alarm |= above || below;
            [up, down]
        })
        .collect();
    (alarm, next)
}

/// At which readings, in standard deviations from the target, any of the rules cries out, by their place from 0. Empty if a
/// rule is out of range.
#[must_use]
pub fn rules_alarms(rules: &[Rule], readings: &[f64]) -> Vec<usize> {
    if !rules.iter().all(Rule::is_sane) {
        return Vec::new();
    }
    let mut memory: Memory = vec![[0, 0]; rules.len()];
    let mut alarms = Vec::new();
    for (place, z) in readings.iter().enumerate() {
        let alarm;
        (alarm, memory) = step(rules, &memory, *z);
        if alarm {
            alarms.push(place);
        }
    }
    alarms
}

/// How many readings the rules together take on average until one cries out, by the chain of Champ and Woodall (1987). NaN if
/// a rule is out of range, if there is none, or if it takes more than some hundred thousand readings.
#[must_use]
pub fn rules_run_length(rules: &[Rule], course: Course) -> f64 {
    if rules.is_empty() || !rules.iter().all(Rule::is_sane) || !course.shift.is_finite() {
        return f64::NAN;
    }
    // A reading is known by the zone between two lines that it falls in.
    let mut lines: Vec<f64> = rules.iter().flat_map(|r| [-r.beyond, r.beyond]).collect();
    lines.push(f64::INFINITY);
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|a, b| a == b);
    let mut low = f64::NEG_INFINITY;
    let zones: Vec<(f64, f64)> =
        lines.into_iter().map(|high| (core::mem::replace(&mut low, high), high)).collect();
    let inside = |(low, high): (f64, f64)| match (low.is_finite(), high.is_finite()) {
        (true, true) => 0.5 * (low + high),
        (true, false) => low + 1.0,
        _ => high - 1.0,
    };
    // Every memory that can be come to, and where each zone leads from it.
    let start: Memory = vec![[0, 0]; rules.len()];
    let mut numbers = BTreeMap::from([(start.clone(), 0usize)]);
    let mut memories = vec![start];
    let mut leads: Vec<Vec<Option<usize>>> = Vec::new();
    while leads.len() < memories.len() {
        let memory = memories[leads.len()].clone();
        let to = zones.iter().map(|zone| {
            let (alarm, next) = step(rules, &memory, inside(*zone));
            (!alarm).then(|| {
                *numbers.entry(next.clone()).or_insert_with(|| {
                    memories.push(next);
                    memories.len() - 1
                })
            })
        });
        let to = to.collect();
        leads.push(to);
    }
    let mut chance = vec![0.0; memories.len()];
    chance[0] = 1.0;
    let mut total = 0.0;
    for reading in 1..MOST_READINGS {
        let left: f64 = chance.iter().sum();
        total += left;
        if left < NONE_LEFT {
            return total;
        }
        let mean = course.mean(reading);
        let odds: Vec<f64> = zones.iter().map(|(a, b)| normal_within(a - mean, b - mean)).collect();
        let mut next = vec![0.0; memories.len()];
        for (from, to) in chance.iter().zip(&leads) {
            for (odds, to) in odds.iter().zip(to) {
                if let Some(to) = to {
                    next[*to] += from * odds;
                }
            }
        }
        chance = next;
    }
    f64::NAN
}
