//! Causes that each may bring a sign about by themselves, and a leak for what is not listed: the noisy-OR, exactly.

use std::fmt;

/// What is known of a sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Seen {
    /// It is there.
    Yes,
    /// It is not there.
    No,
    /// Nobody has looked.
    #[default]
    Unknown,
}

/// A sign: how often it shows with none of the causes, and how often each brings it about.
#[derive(Debug, Clone, PartialEq)]
pub struct OrSign {
    /// Probability that it shows with none of the causes.
    pub leak: f64,
    /// For each cause, the probability that this cause *alone*, the leak aside, brings it about. An estimate that was asked
    /// with the leak at work is turned into this by [`strength_alone`].
    pub strengths: Vec<f64>,
}

/// Causes that are there or not, each by itself, and the signs that they bring about. The sign is missing only if the leak and
/// each cause that is there fail to bring it about: (1 − leak) Π (1 − strength).
#[derive(Debug, Clone, PartialEq)]
pub struct NoisyOr {
    /// Probability of each cause before anything is seen.
    pub priors: Vec<f64>,
    /// The signs.
    pub signs: Vec<OrSign>,
}

/// What the signs make of the causes.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// Probability of each cause.
    pub causes: Vec<f64>,
    /// Probability of all that was seen, before it was.
    pub evidence: f64,
}

/// Why there is no posterior.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PosteriorError {
    /// What was seen does not fit the signs in number, or a sign's strengths the causes, or a probability is none.
    Shape,
    /// What was seen cannot be: its probability is 0.
    Impossible,
    /// More than 20 causes and more than 12 signs that are there: too many to count exactly.
    TooMany,
}

impl fmt::Display for PosteriorError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Shape => "answers, signs and causes do not fit each other in number",
            Self::Impossible => {
                "no cause on the list explains these answers together: look at one of them again, \
                 or give the sign a leak"
            }
            Self::TooMany => {
                "more than 20 causes with more than 12 signs answered yes cannot be computed \
                 exactly: split the list"
            }
        })
    }
}

impl std::error::Error for PosteriorError {}

/// Most causes of which every set is gone through without looking for a shorter way.
const EASY: usize = 14;
/// Most causes of which every set is gone through at all.
const MOST_CAUSES: usize = 20;
/// A sum over sets of signs that has kept nearly all its digits.
const MUCH: f64 = 1e-3;
/// Most signs that are there of which every set is gone through.
const MOST_SIGNS: usize = 12;

/// A strength as it is for the cause alone, from one that was asked with the leak at work ("the sign shows so often when this
/// cause, and no other on the list, is there"): 1 − (1 − asked) / (1 − leak), and 0 where that would be less.
///
/// Programs differ in which of the two they mean; taken for the other, posteriors are wrong in the second digit.
#[must_use]
pub fn strength_alone(asked: f64, leak: f64) -> f64 {
    (1.0 - (1.0 - asked) / (1.0 - leak)).max(0.0)
}

/// The other way: how often the sign shows when the cause, and no other on the list, is there.
#[must_use]
pub fn strength_with_leak(alone: f64, leak: f64) -> f64 {
    1.0 - (1.0 - alone) * (1.0 - leak)
}

/// A cause for the count: the weights of its being there and not, after the signs that are missing, and for each sign that is
/// there how often the cause fails to bring it about.
struct Weighed {
    there: f64,
    absent: f64,
    fails: Vec<f64>,
}

impl NoisyOr {
    /// Probability of each cause after what was seen, exactly.
    ///
    /// A sign that is missing weighs on each cause by itself. For those that are there all sets of causes are gone through, or
    /// all sets of such signs where these are fewer (Heckerman 1989, "Quickscore").
    ///
    /// # Errors
    /// If numbers do not fit, if what was seen cannot be, or if there are too many causes and signs.
    pub fn posterior(&self, seen: &[Seen]) -> Result<Posterior, PosteriorError> {
        let (causes, leaks, certain) = self.weighed(seen)?;
        let mut shares = vec![0.0; causes.len()];
        let quick = causes.len() > EASY.max(leaks.len()) && leaks.len() <= MOST_SIGNS;
        let mut all = if quick { by_signs(&causes, &leaks, &mut shares) } else { 0.0 };
        // Terms of changing signs lose digits where the sum is small: then the long way, if it can be gone.
        if all < MUCH && causes.len() <= MOST_CAUSES {
            shares.fill(0.0);
            all = by_causes(&causes, &leaks, &mut shares);
        }
        if all.is_nan() || all * certain <= 0.0 {
            return Err(PosteriorError::Impossible);
        }
        let causes = shares.into_iter().map(|share| (share / all).clamp(0.0, 1.0)).collect();
        Ok(Posterior { causes, evidence: all * certain })
    }

    /// The same where exactly one of the causes is there, which is the usual case; `evidence` is then given that it is so.
    ///
    /// # Errors
    /// As [`NoisyOr::posterior`].
    pub fn single(&self, seen: &[Seen]) -> Result<Posterior, PosteriorError> {
        self.fits(seen)?;
        let alone = |cause: usize| {
            let others = self.priors.iter().enumerate().filter(|(other, _)| *other != cause);
            self.priors[cause] * others.map(|(_, p)| 1.0 - p).product::<f64>()
        };
        let shown = |cause: usize| {
            let of = |(sign, seen): (&OrSign, &Seen)| {
                let missing = (1.0 - sign.leak) * (1.0 - sign.strengths[cause]);
                match seen {
                    Seen::Yes => 1.0 - missing,
                    Seen::No => missing,
                    Seen::Unknown => 1.0,
                }
            };
            self.signs.iter().zip(seen).map(of).product::<f64>()
        };
        let weights: Vec<f64> = (0..self.priors.len()).map(|c| alone(c) * shown(c)).collect();
        let all: f64 = weights.iter().sum();
        if all.is_nan() || all <= 0.0 {
            return Err(PosteriorError::Impossible);
        }
        let one: f64 = (0..self.priors.len()).map(alone).sum();
        let causes = weights.into_iter().map(|weight| weight / all).collect();
        Ok(Posterior { causes, evidence: all / one })
    }

    /// Whether numbers fit and probabilities are such.
    fn fits(&self, seen: &[Seen]) -> Result<(), PosteriorError> {
        let is_chance = |p: &f64| (0.0..=1.0).contains(p);
        let fits = |sign: &OrSign| {
            is_chance(&sign.leak)
                && sign.strengths.len() == self.priors.len()
                && sign.strengths.iter().all(is_chance)
        };
        let all = seen.len() == self.signs.len()
            && self.priors.iter().all(is_chance)
            && self.signs.iter().all(fits);
        if all { Ok(()) } else { Err(PosteriorError::Shape) }
    }

    /// The causes weighed by the missing signs, for each sign that is there how often the leak fails to bring it about, and the
    /// leaks' part in the missing ones.
    fn weighed(&self, seen: &[Seen]) -> Result<(Vec<Weighed>, Vec<f64>, f64), PosteriorError> {
        self.fits(seen)?;
        let of = |wanted: Seen| {
            self.signs.iter().zip(seen).filter(move |(_, s)| **s == wanted).map(|(sign, _)| sign)
        };
        let causes = self
            .priors
            .iter()
            .enumerate()
            .map(|(cause, prior)| Weighed {
                there: prior * of(Seen::No).map(|s| 1.0 - s.strengths[cause]).product::<f64>(),
                absent: 1.0 - prior,
                fails: of(Seen::Yes).map(|s| 1.0 - s.strengths[cause]).collect(),
            })
            .collect();
        let leaks: Vec<f64> = of(Seen::Yes).map(|s| 1.0 - s.leak).collect();
        if self.priors.len() > MOST_CAUSES && leaks.len() > MOST_SIGNS {
            return Err(PosteriorError::TooMany);
        }
        Ok((causes, leaks, of(Seen::No).map(|s| 1.0 - s.leak).product()))
    }
}

/// Sum over all sets of causes, and into `shares` over those that hold each cause.
fn by_causes(causes: &[Weighed], missing: &[f64], shares: &mut [f64]) -> f64 {
    let (Some((first, rest)), Some((share, others))) =
        (causes.split_first(), shares.split_first_mut())
    else {
        return missing.iter().map(|missing| 1.0 - missing).product();
    };
    // The shares of the causes that follow are summed with the weight of this one.
    let mut branch = |weight: f64, missing: &[f64]| {
        if weight == 0.0 {
            return 0.0;
        }
        let mut inner = vec![0.0; others.len()];
        let sum = by_causes(rest, missing, &mut inner);
        others.iter_mut().zip(inner).for_each(|(into, from)| *into += weight * from);
        weight * sum
    };
    let without = branch(first.absent, missing);
    let less: Vec<f64> = missing.iter().zip(&first.fails).map(|(m, fails)| m * fails).collect();
    let with = branch(first.there, &less);
    *share += with;
    without + with
}

/// The same as a sum with changing signs over all sets of the signs that are there.
fn by_signs(causes: &[Weighed], leaks: &[f64], shares: &mut [f64]) -> f64 {
    let mut all = 0.0;
    for set in 0u32..1 << leaks.len() {
        let within = |place: &usize| set >> place & 1 == 1;
        let sign = if set.count_ones() % 2 == 0 { 1.0 } else { -1.0 };
        let leak: f64 = (0..leaks.len()).filter(within).map(|place| leaks[place]).product();
        let there: Vec<f64> = causes
            .iter()
            .map(|c| c.there * (0..leaks.len()).filter(within).map(|p| c.fails[p]).product::<f64>())
            .collect();
        // Products of all factors before and after each cause: a factor may be 0.
        let factor = |place: usize| causes[place].absent + there[place];
        let mut after = vec![1.0; causes.len() + 1];
        for place in (0..causes.len()).rev() {
            after[place] = after[place + 1] * factor(place);
        }
        let mut before = sign * leak;
        all += before * after[0];
        for (place, share) in shares.iter_mut().enumerate() {
            *share += before * there[place] * after[place + 1];
            before *= factor(place);
        }
    }
    all
}
