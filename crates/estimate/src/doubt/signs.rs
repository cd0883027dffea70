//! The signs, each as a number that is greater the less a month looks like one of honest catches.

use super::{Caught, Round};

/// A weak sign that readings may not have been caught.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sign {
    /// The same list of readings came again, in other rounds or on other machines.
    Repeated,
    /// Readings are those of the round before.
    Carried,
    /// Readings lie nearer to the target than this measure can show.
    TooNear,
    /// Readings of a line differ less from round to round than this measure makes them.
    TooAlike,
    /// One last digit is far too common.
    Digits,
    /// Rounds took less time than the draws alone.
    TooQuick,
    /// Catches were entered within seconds of each other.
    Burst,
}

impl Sign {
    /// Those of the readings, in the order of [`Strengths`].
    pub(super) const OF_READINGS: [Self; 5] =
        [Self::Repeated, Self::Carried, Self::TooNear, Self::TooAlike, Self::Digits];

    /// In words, as something that honest work may also bring.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Repeated => "the same list of readings comes again",
            Self::Carried => "readings are those of the round before",
            Self::TooNear => "readings lie nearer to the target than this measure can show",
            Self::TooAlike => {
                "readings differ less from round to round than this measure makes them"
            }
            Self::Digits => "one last digit is very common",
            Self::TooQuick => "rounds took less time than the draws alone",
            Self::Burst => "catches were entered within seconds of each other",
        }
    }
}

/// How strong each sign of the readings is.
pub(super) type Strengths = [f64; 5];

/// Two lists have to have so many lines in common.
const LIST: usize = 4;

/// Last digits say something from so many readings on.
const DIGITS: usize = 50;

/// A record within so many seconds of the one before was typed, and not caught in between. Assumed.
const TYPED: f64 = 6.0;

/// How strong the signs are.
pub(super) fn strengths(rounds: &[Round]) -> Strengths {
    let own: Vec<usize> = (0..rounds.len()).filter(|place| rounds[*place].theirs).collect();
    let before = |place: usize| {
        (0..place).rev().find(|earlier| rounds[*earlier].machine == rounds[place].machine)
    };
    let (mut repeated, mut listed) = (0, 0);
    let (mut carried, mut compared) = (0, 0);
    let (mut near, mut alike, mut differences, mut readings) = (0.0, 0.0, 0.0, 0.0);
    for (nth, &place) in own.iter().enumerate() {
        let round = &rounds[place];
        for &earlier in &own[..nth] {
            // The list of the round before is another sign.
            let (same, of) = same(&rounds[earlier], round);
            if before(place) != Some(earlier) && of >= LIST {
                (repeated, listed) = (repeated + same, listed + of);
            }
        }
        if let Some(before) = before(place) {
            let (same, of) = same(&rounds[before], round);
            (carried, compared) = (carried + same, compared + of);
        }
        let last = own[..nth].iter().rev().find(|p| rounds[**p].machine == round.machine);
        for caught in &round.caught {
            near += (caught.level / caught.noise).powi(2);
            readings += 1.0;
            let twin = last.and_then(|p| rounds[*p].caught.iter().find(|c| c.line == caught.line));
            if let Some(twin) = twin.filter(|twin| !is(twin, caught)) {
                let variance = twin.noise.powi(2) + caught.noise.powi(2);
                alike += (twin.level - caught.level).powi(2) / variance;
                differences += 1.0;
            }
        }
    }
    let share = |same: u32, of: usize| if of >= LIST { f64::from(same) / of as f64 } else { 0.0 };
    // What differs by less than a computer's rounding is the same.
    let told = |strength: f64| (strength * 1e9).round() / 1e9;
    [
        share(repeated, listed),
        share(carried, compared),
        told(-near / f64::max(readings, 1.0)),
        if differences >= LIST as f64 { told(-alike / differences) } else { f64::NEG_INFINITY },
        digits(own.iter().flat_map(|place| &rounds[*place].caught)),
    ]
}

/// The signs of time.
pub(super) fn of_time<'a>(rounds: impl Iterator<Item = &'a Round>) -> Vec<Sign> {
    let (mut timed, mut quick, mut typed) = (0, 0, 0);
    for timing in rounds.filter_map(|round| round.timing.as_ref()) {
        let mut gaps = timing.gaps.clone();
        gaps.sort_by(f64::total_cmp);
        if gaps.len() < LIST - 1 {
            continue;
        }
        timed += 1;
        quick += u32::from(timing.span < timing.ran);
        typed += u32::from(gaps[gaps.len() / 2] < TYPED);
    }
    let half = |count: u32| timed > 0 && 2 * count >= timed;
    let there = [(half(quick), Sign::TooQuick), (half(typed), Sign::Burst)];
    there.into_iter().filter(|(is, _)| *is).map(|(_, sign)| sign).collect()
}

/// How many lines of two rounds have the same amount, and how many both have.
fn same(a: &Round, b: &Round) -> (u32, usize) {
    let (mut same, mut of) = (0, 0);
    for caught in &b.caught {
        if let Some(other) = a.caught.iter().find(|other| other.line == caught.line) {
            of += 1;
            same += u32::from(is(other, caught));
        }
    }
    (same, of)
}

fn is(a: &Caught, b: &Caught) -> bool {
    (a.amount - b.amount).abs() < 1e-6 * a.amount.abs()
}

/// The share of the commonest last digit, at the steps in which the person reads.
fn digits<'a>(caught: impl Iterator<Item = &'a Caught>) -> f64 {
    let caught: Vec<&Caught> = caught.collect();
    if caught.len() < DIGITS {
        return 0.0;
    }
    let mut counts = [0u32; 10];
    for (caught, step) in caught.iter().zip(resolution(&caught)) {
        let digit = (caught.amount / step).round().rem_euclid(10.0);
        counts[(digit as usize).min(9)] += 1;
    }
    f64::from(counts.into_iter().max().unwrap_or(0)) / caught.len() as f64
}

/// Steps in which readings are written: the coarsest part of each measure's coarsest step that nine in ten of the readings
/// with such a measure are whole multiples of.
#[must_use]
pub fn resolution(caught: &[&Caught]) -> Vec<f64> {
    const PARTS: [f64; 8] = [1.0, 0.5, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01];
    let mut known: Vec<(f64, f64)> = Vec::new();
    caught
        .iter()
        .map(|one| {
            if let Some((_, step)) = known.iter().find(|(coarsest, _)| *coarsest == one.coarsest) {
                return *step;
            }
            let alike = || caught.iter().filter(|other| other.coarsest == one.coarsest);
            let fits = |step: f64| {
                let whole = |c: &&&Caught| {
                    let steps = c.amount / step;
                    (steps - steps.round()).abs() < 0.01
                };
                10 * alike().filter(whole).count() >= 9 * alike().count()
            };
            let step = PARTS.into_iter().map(|part| part * one.coarsest).find(|step| fits(*step));
            let step = step.unwrap_or(0.01 * one.coarsest);
            known.push((one.coarsest, step));
            step
        })
        .collect()
}
