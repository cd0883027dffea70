//! Where the doubt of one reading comes from (JCGM 100:2008, 4.3), as contributions to one portion.

use crate::instrument::{Marks, Measure, Timer};
use crate::uncertainty::{Budget, Part, type_b};

/// What a part comes from. Those before [`Source::Reading`] are shared by all catches of a visit.
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
}

/// The words that people read, in the order of [`Source`].
const WORDS: [&str; 8] = [
    "the measure's own tolerance",
    "the film left in the measure",
    "the product's density",
    "the machine's own timing",
    "the water",
    "reading the measure",
    "the thumb on the stopwatch",
    "the stopwatch's display",
];
const FIRST_PASSING: usize = Source::Reading as usize;

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
        self.0[FIRST_PASSING..].fill(0.0);
        self
    }

    /// Variance of what all catches share.
    pub(super) fn persistent(&self) -> f64 {
        self.0[..FIRST_PASSING].iter().map(|u| u * u).sum()
    }

    /// Variance of what differs from catch to catch.
    pub(super) fn passing(&self) -> f64 {
        self.0[FIRST_PASSING..].iter().map(|u| u * u).sum()
    }

    /// Variance of what the amount was divided by: the time, and on a ratio line the water.
    /// Without the passing ones, where the catches' own scatter stands in for these.
    pub(super) fn divisor(&self, with_passing: bool) -> f64 {
        let sum =
            |sources: &[Source]| sources.iter().map(|s| self.get(*s) * self.get(*s)).sum::<f64>();
        let shared = sum(&[Source::Machine, Source::Water]);
        if with_passing { shared + sum(&[Source::Thumb, Source::Display]) } else { shared }
    }

    /// The parts of the mean of several results: what is shared adds up in step, what passes averages.
    pub(super) fn of_mean(all: impl Iterator<Item = Parts>) -> Parts {
        let (mut sum, mut count) = (Parts::default(), 0.0);
        for parts in all {
            count += 1.0;
            for (at, (total, u)) in sum.0.iter_mut().zip(parts.0).enumerate() {
                *total += if at < FIRST_PASSING { u } else { u * u };
            }
        }
        for total in &mut sum.0[FIRST_PASSING..] {
            *total = libm::sqrt(*total);
        }
        sum.scaled(1.0 / count)
    }

    /// As a budget; `repeated` stands in for all passing parts, where the catches themselves show more than these say.
    /// The water's part is known from so many degrees of freedom.
    pub(super) fn budget(&self, repeated: Option<Part>, water_degrees: f64) -> Budget {
        let mut budget = Budget::new();
        for (at, words) in WORDS.iter().enumerate() {
            if at < FIRST_PASSING {
                let part = Part::new(words, self.0[at]).persistent();
                let of_water = at == Source::Water as usize;
                budget.add(if of_water {
                    part.with_degrees_of_freedom(water_degrees)
                } else {
                    part
                });
            } else if repeated.is_none() {
                budget.add(Part::new(words, self.0[at]));
            }
        }
        if let Some(part) = repeated {
            budget.add(part);
        }
        budget
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
