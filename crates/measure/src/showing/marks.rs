//! Catches that say only at, over or under a mark: each is an interval, and counts as one.
//!
//! What is believed of the portion before such a catch: its logarithm is normal about the target's, with a standard
//! deviation of 0.2, so that two lines in three stand within 20 % of their target (assumed, no source). Over the width of
//! a tolerance that is nearly flat, so a level *at* a mark is judged as a number would be; and one level *over* or *under*
//! the target leaves the verdict open, as it should.
//!
//! The level in the vessel is `portion / factor`, out by the vessel's own error (rectangular) and by the machine's timing and
//! the density (normal), all the same in all catches, and by the thumb and judging (normal, new in each). *At* is said of a
//! level within half a division of the mark, *over* and *under* of one beyond that.

use super::parts;
use super::portion::View;
use crate::catch::{Amount, Draw};
use crate::instrument::{Marks, Measure};
use crate::quadrature::{integrate, points};
use crate::reading::MarkSide;
use crate::special::{normal_below, normal_density, normal_within};
use crate::uncertainty::type_b::triangular;

/// Standard deviation of the logarithm of portion over target, before anything is caught.
pub(super) const BEFORE: f64 = 0.2;

/// How many of these the believed range reaches, either way: from three tenths of the target to three times it.
const REACH: f64 = 6.0;

/// Panels of the quadrature between two places where something begins or ends to change.
const PANELS: u32 = 4;

/// A level within this fraction of the only mark of a cup is called *at* it (assumed, no source).
pub(super) const AT_ONLY_MARK: f64 = 0.02;

/// What marks (and numbers beside them) leave to be believed of a portion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Believed {
    pub mean: f64,
    pub u: f64,
    pub probability: f64,
}

/// How near to a mark a level is called *at* it, in mL.
pub(super) fn at_half_width(measure: &Measure) -> f64 {
    match measure {
        Measure::Vessel(vessel) => match vessel.marks {
            Marks::Every(division) => 0.5 * division.0,
            Marks::One(mark) => AT_ONLY_MARK * mark.0,
        },
        Measure::Scale(_) => 0.0,
    }
}

/// One catch, made ready for asking how likely it is at a given portion.
struct Seen {
    /// Lower and upper end of the level that the words allow, or the number that was read.
    from: f64,
    to: f64,
    number: Option<f64>,
    /// Level per portion, spread of the level that does not grow with it, and its relative spread: new in each catch.
    level: f64,
    spread: f64,
    relative: f64,
    /// Relative spread of the machine's timing, the same in each.
    machine: f64,
}

impl Seen {
    fn new(view: &View<'_>, amount: Amount, draw: Draw) -> Seen {
        let (factor, seconds) = view.factor(draw);
        let unit = view.conversion.0;
        let timing = parts::of_timing(view.setup.timer);
        let relative = |variance: f64| seconds.map_or(0.0, |s| libm::sqrt(variance) / s);
        let half = at_half_width(&view.setup.measure);
        let (from, to, number, read) = match amount {
            Amount::Mark(MarkSide::At, mark) => (mark.0 - half, mark.0 + half, None, mark.0),
            Amount::Mark(MarkSide::Over, mark) => (mark.0 + half, f64::INFINITY, None, mark.0),
            Amount::Mark(MarkSide::Under, mark) => (f64::NEG_INFINITY, mark.0 - half, None, mark.0),
            Amount::Volume(volume) => (0.0, 0.0, Some(view.without_film(volume.0)), volume.0),
            Amount::Mass(mass) => (0.0, 0.0, Some(view.without_film(mass.0)), mass.0),
        };
        // The half division (or the fiftieth of a cup's only mark) is in the interval already; what is judged on top of it is
        // whether it was passed, and as well as that. Without it two catches that say otherwise could not both be.
        let reading = parts::of_reading(&view.setup.measure, read).get(parts::Source::Reading);
        let spread = if number.is_none() { triangular(half) } else { reading }.max(1e-6 * read);
        let film = view.without_film(0.0);
        Seen {
            from: from + film,
            to: to + film,
            number,
            level: 1.0 / (unit * factor),
            spread,
            relative: relative(timing.passing()),
            machine: relative(timing.persistent()),
        }
    }

    /// Portions between which the likelihood changes slowly, or evenly, the vessel being out by up to `most`.
    fn changes(&self, most: f64) -> impl Iterator<Item = f64> {
        let (from, to) = self.number.map_or((self.from, self.to), |number| (number, number));
        [from, to]
            .into_iter()
            .filter(|end| end.is_finite())
            .flat_map(move |end| {
                let fast = 5.0 * libm::hypot(self.spread, end * self.relative);
                [-most, most].into_iter().flat_map(move |out| [end + out - fast, end + out + fast])
            })
            .map(|level| level / self.level)
            .filter(|portion| *portion > 0.0)
    }

    /// How likely this catch is at a portion, the vessel being out by `error`.
    fn likelihood(&self, portion: f64, error: f64) -> f64 {
        let level = portion * self.level;
        let spread = libm::hypot(self.spread, level * self.relative);
        let level = level + error;
        match self.number {
            Some(number) => normal_density((number - level) / spread) / spread,
            None => normal_within((self.from - level) / spread, (self.to - level) / spread),
        }
    }

    /// The same, averaged over all further errors within ± `most`: of a single catch, that has a closed form.
    fn averaged(&self, portion: f64, error: f64, most: f64) -> f64 {
        let level = portion * self.level;
        let spread = libm::hypot(self.spread, level * self.relative);
        let level = level + error;
        if let Some(number) = self.number {
            let away = number - level;
            return normal_within((away - most) / spread, (away + most) / spread) / (2.0 * most);
        }
        let (from, to) = (self.from - level, self.to - level);
        // By symmetry from the side where the tail is, so that it keeps its digits.
        let (from, to) = if from + to > 0.0 { (-to, -from) } else { (from, to) };
        let below = |end: f64| {
            // The integral of the normal distribution function is z Φ(z) + φ(z).
            let whole = |z: f64| z * normal_below(z) + normal_density(z);
            (whole((end + most) / spread) - whole((end - most) / spread)) * spread / (2.0 * most)
        };
        let nothing = if from == f64::NEG_INFINITY { 0.0 } else { below(from) };
        (below(to) - nothing).max(0.0)
    }
}

/// What is believed before anything is caught.
pub(super) fn before(view: &View<'_>) -> Believed {
    let of = |limit: f64| libm::log(limit / view.target) / BEFORE;
    let variance = BEFORE * BEFORE;
    let mean = view.target * libm::exp(0.5 * variance);
    Believed {
        mean,
        u: mean * libm::sqrt(libm::expm1(variance)),
        probability: normal_within(of(view.limits.lower), of(view.limits.upper)),
    }
}

/// What all catches together leave to be believed.
pub(super) fn believed(view: &View<'_>, catches: impl Iterator<Item = (Amount, Draw)>) -> Believed {
    let seen: Vec<Seen> = catches.map(|(amount, draw)| Seen::new(view, amount, draw)).collect();
    // Out by up to so much either way, all alike: the tolerance, and the film about the half that is taken off.
    let (most, film) = match &view.setup.measure {
        Measure::Vessel(vessel) => (vessel.tolerance.0, 0.5 * vessel.film.0),
        Measure::Scale(scale) => (scale.tolerance.0, 0.0),
    };
    let machine = seen.iter().map(|one| one.machine).sum::<f64>() / seen.len() as f64;
    let shared = libm::hypot(machine, view.conversion.1);
    let over = |limit: f64, panels: u32, of: &dyn Fn(f64) -> f64| {
        if limit > 0.0 { integrate(-limit, limit, panels, of) / (2.0 * limit) } else { of(0.0) }
    };
    let likelihood = |portion: f64| match seen.as_slice() {
        [one] if most > 0.0 => over(film, 2, &|error| one.averaged(portion, error, most)),
        all => over(film, 2, &|error| {
            over(most, 4, &|more| {
                all.iter().map(|one| one.likelihood(portion, error + more)).product()
            })
        }),
    };
    // In the logarithm x of what seems to be poured over the target: the portion's own logarithm, and what all catches
    // share, which is normal as well. Given x, the portion's own has the mean `kept`·x and the standard deviation `apart`.
    let spread = libm::hypot(BEFORE, shared);
    let (kept, apart) = (BEFORE * BEFORE / (spread * spread), BEFORE * shared / spread);
    let ends = [view.limits.lower, view.limits.upper].map(|limit| libm::log(limit / view.target));
    // Cut wherever something changes fast.
    let changes = seen.iter().flat_map(|one| one.changes(most + film));
    let mut cuts: Vec<f64> = changes
        .map(|portion| libm::log(portion / view.target))
        .chain(ends.iter().flat_map(|end| [-6.0, 0.0, 6.0].map(|k| (end + k * apart) / kept)))
        .filter(|x| x.abs() < REACH * spread)
        .chain([-REACH * spread, REACH * spread])
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let [mut total, mut on_target, mut first, mut second] = [0.0; 4];
    for pair in cuts.windows(2) {
        for (x, weight) in points(pair[0], pair[1], PANELS) {
            let mean = kept * x;
            let mass = weight * normal_density(x / spread) * likelihood(view.target * libm::exp(x));
            // Moments about the target, so that a narrow result keeps its digits.
            let size = libm::exp(mean + 0.5 * apart * apart);
            let away = view.target * libm::expm1(mean + 0.5 * apart * apart);
            let own = view.target * view.target * size * size * libm::expm1(apart * apart);
            total += mass;
            first += mass * away;
            second += mass * (away * away + own);
            on_target += mass
                * if apart > 0.0 {
                    normal_within((ends[0] - mean) / apart, (ends[1] - mean) / apart)
                } else {
                    f64::from(ends[0] <= x && x <= ends[1])
                };
        }
    }
    if total > f64::MIN_POSITIVE * 1e10 {
        let mean = first / total;
        let u = libm::sqrt((second / total - mean * mean).max(0.0));
        return Believed { mean: view.target + mean, u, probability: on_target / total };
    }
    // No portion of the believed range makes this likely at all: the line stands where the levels say.
    let level = |one: &Seen| {
        one.number.unwrap_or(if one.to.is_finite() { one.to } else { one.from }) / one.level
    };
    let mean = seen.iter().map(level).sum::<f64>() / seen.len() as f64;
    Believed { mean, u: 0.0, probability: f64::from(view.limits.hold(mean)) }
}
