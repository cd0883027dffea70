//! Where the doubt of one reading comes from (JCGM 100:2008, 4.3), as contributions to one portion.

use core::ops::Range;

use crate::instrument::{Marks, Measure, Timer};
use crate::uncertainty::{Budget, Part, type_b};

/// What a part comes from. All but those in [`PASSING`] are shared by all catches of a visit.
#[derive(Debug, Clone, Copy)]
pub(super) enum Source {
    Tolerance,
    Film,
    Density,
    Machine,
    Water,
    Reading,
    Thumb,
    Display,
    /// What the catches themselves show; stands in for all other passing parts.
    Scatter,
    /// What a quotient has beyond its first order; shared again, as repeating does not mend it.
    Dividing,
}

/// The words that people read, in the order of [`Source`].
const WORDS: [&str; 10] = [
    "the measure's own tolerance",
    "the film left in the measure",
    "the product's density",
    "the machine's own timing",
    "the water",
    "reading the measure",
    "the thumb on the stopwatch",
    "the stopwatch's display",
    "how the catches differ",
    "dividing by a short time",
];

/// The sources that differ from catch to catch, and average away.
const PASSING: Range<usize> = Source::Reading as usize..Source::Dividing as usize;

/// Standard uncertainties of one result by source, each in the result's unit. Those that are shared carry a sign where they
/// may cancel.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Parts([f64; WORDS.len()]);

impl Parts {
    pub(super) fn set(&mut self, source: Source, u: f64) {
        self.0[source as usize] = u;
    }

    pub(super) fn get(&self, source: Source) -> f64 {
        self.0[source as usize]
    }

    /// All of them times a known factor.
    pub(super) fn scaled(mut self, factor: f64) -> Self {
        self.0.iter_mut().for_each(|part| *part *= factor.abs());
        self
    }

    /// Only what all catches share.
    pub(super) fn without_passing(mut self) -> Self {
        self.0[PASSING].fill(0.0);
        self
    }

    /// Variance of what all catches share.
    pub(super) fn persistent(&self) -> f64 {
        let (before, after) = (&self.0[..PASSING.start], &self.0[PASSING.end..]);
        before.iter().chain(after).map(|u| u * u).sum()
    }

    /// Variance of what differs from catch to catch.
    pub(super) fn passing(&self) -> f64 {
        self.0[PASSING].iter().map(|u| u * u).sum()
    }

    /// Variance of what the amount was divided by: the time, and on a ratio line the water.
    pub(super) fn divisor(&self) -> f64 {
        let sum =
            |sources: [Source; 2]| sources.iter().map(|s| self.get(*s) * self.get(*s)).sum::<f64>();
        sum([Source::Machine, Source::Water]) + sum([Source::Thumb, Source::Display])
    }

    /// Adds those of one more result: what is shared adds up in step, of what passes the squares do.
    pub(super) fn add(&mut self, one: &Parts) {
        for (at, (total, u)) in self.0.iter_mut().zip(one.0).enumerate() {
            *total += if PASSING.contains(&at) { u * u } else { u };
        }
    }

    /// The parts of the mean of so many results that were added up.
    pub(super) fn averaged(mut self, count: f64) -> Parts {
        for total in &mut self.0[PASSING] {
            *total = libm::sqrt(*total);
        }
        self.scaled(1.0 / count)
    }

    /// As a budget, where the water and the scatter are known from so many degrees of freedom.
    pub(super) fn budget(&self, of_water: f64, of_scatter: f64) -> Budget {
        let size = |at: usize| self.0[at].abs();
        // Largest first, as a budget keeps them.
        let (mut order, mut len) = ([0; WORDS.len()], 0);
        for at in (0..WORDS.len()).filter(|at| size(*at) != 0.0) {
            let mut place = len;
            while place > 0 && size(order[place - 1]) < size(at) {
                order[place] = order[place - 1];
                place -= 1;
            }
            order[place] = at;
            len += 1;
        }
        Budget::sorted(len, |place| {
            let at = order[place];
            Part {
                source: WORDS[at],
                contribution: size(at),
                degrees_of_freedom: if at == Source::Water as usize {
                    of_water
                } else if at == Source::Scatter as usize {
                    of_scatter
                } else {
                    f64::INFINITY
                },
                persistent: !PASSING.contains(&at),
            }
        })
    }
}

/// Parts of reading `amount` in the measure's own unit, before any conversion.
pub(super) fn of_reading(measure: &Measure, amount: f64) -> Parts {
    let mut parts = Parts::default();
    match measure {
        Measure::Vessel(vessel) => {
            parts.set(Source::Tolerance, type_b::rectangular(vessel.tolerance.0));
            // The film of the catch before is still in the vessel: between none of it and all of it.
            parts.set(Source::Film, type_b::asymmetric(vessel.film.0, 0.0));
            parts.set(
                Source::Reading,
                match vessel.marks {
                    // Read to half a division, likeliest near what was read.
                    Marks::Every(division) => type_b::triangular(0.5 * division.0),
                    // A level at the only mark is as good as the mark; one elsewhere is guessed, to half its distance from
                    // the mark (assumed, no source).
                    Marks::One(mark) => type_b::triangular(0.5 * (amount - mark.0).abs()),
                },
            );
        }
        Measure::Scale(scale) => {
            parts.set(Source::Tolerance, type_b::rectangular(scale.tolerance.0));
            // Tare and gross are two readings (QUAM, example A2).
            let readings = if scale.tared { core::f64::consts::SQRT_2 } else { 1.0 };
            parts.set(Source::Reading, readings * type_b::resolution(scale.resolution.0));
        }
    }
    parts
}

/// Parts of a time, in seconds.
pub(super) fn of_timing(timer: Timer) -> Parts {
    let mut parts = Parts::default();
    match timer {
        Timer::Hand { spread, resolution } => {
            parts.set(Source::Thumb, spread.0);
            parts.set(Source::Display, type_b::resolution(resolution.0));
        }
        // The same machine errs the same way each time, for all that is known.
        Timer::Machine { tolerance } => {
            parts.set(Source::Machine, type_b::rectangular(tolerance.0));
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_budget_is_what_adding_each_part_gives(
            sizes in prop::array::uniform10(prop_oneof![Just(0.0), Just(-1.0), -2.0..2.0_f64]),
        ) {
            let mut added = Budget::new();
            for (at, size) in sizes.into_iter().enumerate() {
                let part = Part::new(WORDS[at], size);
                added.add(match WORDS[at] {
                    "the water" => part.persistent().with_degrees_of_freedom(3.0),
                    "how the catches differ" => part.with_degrees_of_freedom(4.0),
                    "reading the measure" => part,
                    "the thumb on the stopwatch" | "the stopwatch's display" => part,
                    _ => part.persistent(),
                });
            }
            prop_assert_eq!(Parts(sizes).budget(3.0, 4.0), added);
        }
    }
}
