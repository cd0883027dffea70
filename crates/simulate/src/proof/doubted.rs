//! People whose months are honest, hurried or made up, and what is asked about them.
//!
//! Each kind of month is drawn anew many times with the same sizes, and looked at as a site's records would be. The world of
//! the catches is that of the other proofs ([`Nature`]); how people make readings up, and how they type, is assumed.

use std::thread;

use ouncewise_estimate::doubt::{Caught, Month, Round, Timing, doubt};

use crate::chance::Chance;

use super::facts::{DrawFacts, Facts, Marks};
use super::nature::Nature;
use super::people::{LIKELY, TOO_NEAR};
use super::reading::{Draw, Seen};

/// How a person comes by what they write.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Catches, and records as it goes.
    Honest,
    /// Catches with short draws, and reads to whole divisions.
    Hurried,
    /// Catches, writes on paper, and types all of it at the end.
    Types,
    /// Writes the same list every time.
    Copies,
    /// Writes the round before again.
    CarriesForward,
    /// Writes the round before again, some readings moved by a step.
    Nudges,
    /// Catches every second line, and carries the others forward.
    Half,
    /// Writes readings that are too near the target.
    TooNear,
    /// Writes likely numbers in whole mL.
    Invents,
    /// Writes numbers that scatter as real ones do, in no hurry: nothing can tell them.
    Careful,
}

impl Kind {
    /// Those whose readings are real, by their share of honest people. Shares are assumed.
    pub const HONEST: [(Self, f64); 3] =
        [(Self::Honest, 0.65), (Self::Hurried, 0.25), (Self::Types, 0.10)];

    /// Those who make readings up.
    pub const MADE_UP: [Self; 7] = [
        Self::Copies,
        Self::CarriesForward,
        Self::Nudges,
        Self::Half,
        Self::TooNear,
        Self::Invents,
        Self::Careful,
    ];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Honest => "honest",
            Self::Hurried => "honest, in a hurry",
            Self::Types => "honest, types at the end",
            Self::Copies => "same list every time",
            Self::CarriesForward => "the round before again",
            Self::Nudges => "the round before, nudged",
            Self::Half => "every second line carried forward",
            Self::TooNear => "too near the target",
            Self::Invents => "likely numbers, whole mL",
            Self::Careful => "scattered as real ones",
        }
    }

    fn makes_up(self) -> bool {
        Self::MADE_UP.contains(&self)
    }
}

/// What was asked about months of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedOf {
    /// Which kind.
    pub kind: Kind,
    /// Months that had enough readings.
    pub months: usize,
    /// How many were asked about.
    pub asked: usize,
    /// Chance that such a month looks less honest than an honest one of the same sizes; none for honest kinds.
    pub auc: Option<f64>,
}

/// Looks at `months` months of each kind that makes readings up, and at `honest` honest ones.
#[must_use]
pub fn doubted(
    nature: &Nature,
    seed: u64,
    (honest, months): (usize, usize),
    threads: usize,
) -> Vec<AskedOf> {
    let mut plan: Vec<(Kind, u64)> = Vec::new();
    for (kind, share) in Kind::HONEST {
        plan.extend((0..(share * honest as f64).round() as u64).map(|nth| (kind, nth)));
    }
    for kind in Kind::MADE_UP {
        plan.extend((0..months as u64).map(|nth| (kind, nth)));
    }
    let look = |(kind, nth): &(Kind, u64)| {
        let month = Writer::new(nature, *kind, seed, *nth).month();
        doubt(&month, seed ^ nth).map(|doubt| (*kind, doubt.score, doubt.asks()))
    };
    let share = plan.len().div_ceil(threads.max(1)).max(1);
    let seen: Vec<(Kind, f64, bool)> = thread::scope(|scope| {
        let running: Vec<_> = plan
            .chunks(share)
            .map(|some| scope.spawn(move || some.iter().filter_map(look).collect::<Vec<_>>()))
            .collect();
        running.into_iter().flat_map(|thread| thread.join().unwrap_or_default()).collect()
    });
    let scores = |kind: Kind| seen.iter().filter(move |s| s.0 == kind).map(|s| s.1);
    let honest: Vec<f64> = Kind::HONEST.iter().flat_map(|(kind, _)| scores(*kind)).collect();
    Kind::HONEST
        .iter()
        .map(|(kind, _)| *kind)
        .chain(Kind::MADE_UP)
        .map(|kind| AskedOf {
            kind,
            months: scores(kind).count(),
            asked: seen.iter().filter(|s| s.0 == kind && s.2).count(),
            auc: kind.makes_up().then(|| auc(&scores(kind).collect::<Vec<_>>(), &honest)),
        })
        .collect()
}

/// The share of pairs in which the first is greater; ties count half.
fn auc(made_up: &[f64], honest: &[f64]) -> f64 {
    let pair = |a: f64, b: f64| f64::from(u8::from(a > b)) + 0.5 * f64::from(u8::from(a == b));
    let sum: f64 = made_up.iter().flat_map(|a| honest.iter().map(|b| pair(*a, *b))).sum();
    sum / (made_up.len() as f64 * honest.len() as f64)
}

/// Lines of the machine. Assumed.
const LINES: usize = 10;

/// Weeks of a month.
const WEEKS: usize = 4;

/// Writes one month.
struct Writer<'n> {
    nature: &'n Nature,
    kind: Kind,
    facts: Facts,
    late: f64,
    errors: Vec<f64>,
    levels: Vec<f64>,
    list: Vec<f64>,
    chance: Chance,
}

impl<'n> Writer<'n> {
    fn new(nature: &'n Nature, kind: Kind, seed: u64, nth: u64) -> Self {
        // Sizes do not depend on the kind: the same place in the stream.
        let mut chance = Chance::new(seed, "months");
        chance.go_to(1_000 * nth);
        let (facts, late) = Facts::draw(nature, LINES, &mut chance);
        let errors = facts
            .measures
            .iter()
            .map(|measure| {
                nature.measure_errors * chance.between(-measure.tolerance, measure.tolerance)
            })
            .collect();
        let levels = (0..LINES).map(|_| chance.normal(nature.line_start)).collect();
        let list = (0..LINES).map(|_| chance.normal(LIKELY)).collect();
        Self { nature, kind, facts, late, errors, levels, list, chance }
    }

    fn month(mut self) -> Month {
        // How many of the weeks are theirs, two at least; the others are somebody else's, honest.
        let count = 2 + self.chance.below(WEEKS - 1);
        let paper = self.chance.happens(0.3);
        let opens = self.chance.happens(0.5);
        let biases = [0, 1].map(|_| self.chance.normal(self.nature.person_bias));
        let mut rounds: Vec<Round> = Vec::new();
        for week in 0..=WEEKS {
            for level in &mut self.levels {
                *level += self.nature.walk_shape.draw(self.nature.line_walk, &mut self.chance);
            }
            // The first is of the month before.
            let theirs = week > WEEKS - count;
            let kind = if theirs { self.kind } else { Kind::Honest };
            let before = rounds.last().map_or(&[][..], |round| &round.caught[..]).to_vec();
            let caught: Vec<(Caught, f64)> = (0..LINES)
                .filter_map(|line| self.write(kind, line, &before, biases[usize::from(theirs)]))
                .collect();
            let timing = (!paper).then(|| self.timing(kind, &caught, opens));
            let caught = caught.into_iter().map(|(caught, _)| caught).collect();
            rounds.push(Round { machine: 0, theirs, caught, timing });
        }
        Month { rounds }
    }

    /// One reading, and the seconds that are written with it.
    fn write(
        &mut self,
        kind: Kind,
        line: usize,
        before: &[Caught],
        bias: f64,
    ) -> Option<(Caught, f64)> {
        let known = self.facts.lines[line];
        let measure = self.facts.measures[known.measure];
        let Marks::Every(division) = measure.marks else { return None };
        let last = before.iter().find(|caught| caught.line == line).copied();
        let real = self.catch(kind, line, bias);
        let (noise, likely) = (self.chance.normal(1.0), self.chance.normal(LIKELY));
        let nudge = self.chance.below(5);
        let (recipe, share) = match known.draw {
            DrawFacts::Seconds { recipe, .. } => (Some(recipe), 1.0),
            DrawFacts::Doses { portions } => (None, portions),
        };
        let portion = known.target * share;
        let rounded = |amount: f64, step: f64| ((amount / step).round() * step).max(step);
        let near = |log: f64| rounded(portion * libm::exp(log), measure.step());
        let sd = self.facts.noise_variance(line, known.measure, recipe).sqrt();
        let amount = match kind {
            Kind::Honest | Kind::Hurried | Kind::Types => None,
            Kind::Copies => Some(near(self.list[line])),
            Kind::CarriesForward => last.map(|last| last.amount),
            Kind::Half if line.is_multiple_of(2) => None,
            Kind::Half => last.map(|last| last.amount),
            Kind::Nudges => last.map(|last| match nudge {
                0 => last.amount + measure.step(),
                1 => (last.amount - measure.step()).max(measure.step()),
                _ => last.amount,
            }),
            Kind::TooNear => Some(near(TOO_NEAR * noise)),
            Kind::Invents => Some(rounded(portion * libm::exp(likely), 1.0)),
            Kind::Careful => Some(near(self.levels[line] + sd * noise)),
        };
        let (amount, level, seconds) = match amount {
            Some(amount) => (amount, libm::log(amount / portion), recipe),
            None => real?,
        };
        let caught = Caught {
            line,
            amount,
            coarsest: division,
            level,
            noise: self.facts.noise_variance(line, known.measure, seconds).sqrt(),
            steady: libm::hypot(0.204 * division / amount, 0.004),
        };
        Some((caught, seconds.unwrap_or(0.0)))
    }

    /// A real catch: the amount, its level and the seconds; nothing where nothing came.
    fn catch(&mut self, kind: Kind, line: usize, bias: f64) -> Option<(f64, f64, Option<f64>)> {
        let known = self.facts.lines[line];
        let draw = Draw {
            line,
            measure: known.measure,
            level: self.levels[line],
            spread: 1.0,
            error: self.errors[known.measure],
            density: 1.0,
            late: self.late,
            bias,
            hurried: kind == Kind::Hurried,
            person: 0,
        };
        let (reading, _) = draw.read(&self.facts, self.nature, &mut self.chance);
        let Seen::Amount(level) = reading.seen else { return None };
        let share = match (known.draw, reading.seconds) {
            (DrawFacts::Seconds { recipe, .. }, Some(seconds)) => seconds / recipe,
            _ => self.facts.portions_at_once(line),
        };
        Some((known.target * share * libm::exp(level), level, reading.seconds))
    }

    /// When the records of a round are made. All of it is assumed.
    fn timing(&mut self, kind: Kind, caught: &[(Caught, f64)], opens: bool) -> Timing {
        let typed = kind == Kind::Types || (kind.makes_up() && kind != Kind::Careful);
        let hurried = kind == Kind::Hurried;
        let mut timing = Timing::default();
        let mut real = 0.0;
        for (nth, (_, seconds)) in caught.iter().enumerate() {
            let handled = self.chance.between(12.0, 40.0) * if hurried { 0.4 } else { 1.0 };
            let typing = self.chance.between(2.0, 8.0);
            real += seconds + handled;
            if nth == 0 && !opens {
                continue;
            }
            let gap = if typed { typing } else { seconds + handled };
            if nth > 0 {
                timing.gaps.push(gap);
            }
            timing.span += gap;
            timing.ran += seconds;
        }
        if kind == Kind::Types && opens {
            timing.span = real;
        }
        timing
    }
}
