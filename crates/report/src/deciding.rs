//! What it would take to decide about a line, in words.

use ouncewise_measure::print::{self, Units};
use ouncewise_measure::showing::Decide;
use ouncewise_measure::{Draw, Marks, Measure, Setup};

use crate::lines::Deciding;
use crate::plural::many;

impl Deciding {
    /// What it would take to decide, as data and in words, in these units.
    pub fn new(setup: &Setup, decide: &Decide, units: Units) -> Self {
        let unit = setup.aim.target.unit();
        let poured = |poured: f64| format!("pours away {}", print::amount(poured, 2, unit, units));
        let mut words = Vec::new();
        if let Some(way) = decide.catches {
            let catches = many(way.what, "catch");
            let how = match (&setup.measure, setup.aim.draw) {
                // A cup with one mark gives no number by itself: the seconds do.
                (Measure::Vessel(vessel), Draw::Time(_))
                    if matches!(vessel.marks, Marks::One(_)) =>
                {
                    format!("{catches} filled to the mark and timed")
                }
                _ => format!("{catches} in all with this measure"),
            };
            words.push(format!("{how} ({})", poured(way.poured)));
        }
        // Where one catch will do, nobody needs another way.
        let one = decide.catches.is_some_and(|way| way.what == 1);
        if let Some(way) = decide.longer.filter(|_| !one) {
            words.push(format!(
                "one draw of {} with this measure ({})",
                way.what,
                poured(way.poured)
            ));
        }
        if let Some(way) = decide.better.as_ref().filter(|_| !one) {
            words.push(format!("{} ({})", way.what.words(setup).words(units), poured(way.poured)));
        }
        if words.is_empty() {
            words.push(
                "nothing decides while the line stands so near to its limit: act on the advice"
                    .to_owned(),
            );
        }
        Self {
            needed: decide.needed,
            catches: decide.catches.map(|way| way.what),
            longer: decide.longer.map(|way| way.what.to_string()),
            better: decide.better.map(|way| way.what.words(setup).words(units)),
            words,
        }
    }
}
