//! The parts of one result's uncertainty.

use crate::special::t_quantile;

/// One line of a budget.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// What it comes from, in plain words: `the cup's own tolerance`.
    pub source: &'static str,
    /// Its contribution to the standard uncertainty of the result, |c·u|, in the result's unit.
    pub contribution: f64,
    /// Its degrees of freedom; infinite for Type B.
    pub degrees_of_freedom: f64,
    /// Whether it is shared by every catch made with the same measure, and so never averages away.
    pub persistent: bool,
}

impl Part {
    /// A part of known limits (Type B, infinite degrees of freedom) that differs from catch to catch.
    pub const fn new(source: &'static str, contribution: f64) -> Self {
        Self {
            source,
            contribution: contribution.abs(),
            degrees_of_freedom: f64::INFINITY,
            persistent: false,
        }
    }

    /// The same part, shared by every catch made with the same measure.
    pub const fn persistent(self) -> Self {
        Self { persistent: true, ..self }
    }

    /// The same part, known from so many degrees of freedom.
    pub const fn with_degrees_of_freedom(self, degrees_of_freedom: f64) -> Self {
        Self { degrees_of_freedom, ..self }
    }
}

/// An uncertainty widened to hold the true value with a stated probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expanded {
    /// The probability asked for.
    pub probability: f64,
    /// Coverage factor k.
    pub factor: f64,
    /// Effective degrees of freedom, truncated as they were looked up; infinite if nothing limits them.
    pub degrees_of_freedom: f64,
    /// Expanded uncertainty U = k·u, in the result's unit.
    pub uncertainty: f64,
}

/// The parts of an uncertainty, largest first, without allocation.
///
/// Parts are uncorrelated: what two of them share is a part of its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Budget {
    parts: [Part; Budget::MOST],
    len: usize,
}

impl Default for Budget {
    fn default() -> Self {
        Self::new()
    }
}

impl Budget {
    /// The most parts that a budget can hold.
    pub const MOST: usize = 12;

    /// What parts beyond [`Self::MOST`] are gathered under.
    const REST: &'static str = "everything smaller";

    /// What stands where no part is.
    const NONE: Part = Part::new("", 0.0);

    /// A budget without parts.
    pub const fn new() -> Self {
        Self { parts: [Self::NONE; Self::MOST], len: 0 }
    }

    /// A budget of `len` parts (at most [`Self::MOST`]), none of them zero, that come largest first.
    pub(crate) fn sorted(len: usize, part: impl Fn(usize) -> Part) -> Self {
        let parts = core::array::from_fn(|at| if at < len { part(at) } else { Self::NONE });
        Self { parts, len: len.min(Self::MOST) }
    }

    /// Adds a part. A part of zero is left out; nothing is lost when the budget is full, as the smallest are then gathered into one.
    pub fn add(&mut self, part: Part) {
        let part = Part { contribution: part.contribution.abs(), ..part };
        if part.contribution == 0.0 {
            return;
        }
        if self.len == Self::MOST {
            self.len -= 1;
            let smallest = self.parts[self.len];
            if part.contribution <= smallest.contribution {
                self.insert(gathered(smallest, part));
                return;
            }
            self.len -= 1;
            let next = self.parts[self.len];
            self.insert(gathered(next, smallest));
        }
        self.insert(part);
    }

    /// The same budget with one more part.
    #[must_use]
    pub fn with(mut self, part: Part) -> Self {
        self.add(part);
        self
    }

    fn insert(&mut self, part: Part) {
        let mut at = self.len;
        while at > 0 && self.parts[at - 1].contribution < part.contribution {
            self.parts[at] = self.parts[at - 1];
            at -= 1;
        }
        self.parts[at] = part;
        self.len += 1;
    }

    /// The parts, largest first.
    pub fn parts(&self) -> &[Part] {
        &self.parts[..self.len]
    }

    /// The parts, largest first, each with its share of the variance in percent.
    pub fn shares(&self) -> impl Iterator<Item = (&Part, f64)> {
        let variance = self.variance(|_| true);
        self.parts()
            .iter()
            .map(move |part| (part, 100.0 * part.contribution * part.contribution / variance))
    }

    fn variance(&self, which: impl Fn(&Part) -> bool) -> f64 {
        // Smallest first, so that small parts are not rounded away.
        self.parts()
            .iter()
            .rev()
            .filter(|part| which(part))
            .map(|part| part.contribution * part.contribution)
            .sum()
    }

    /// Combined standard uncertainty, in the result's unit. JCGM 100, 5.1.2 (10).
    pub fn combined(&self) -> f64 {
        libm::sqrt(self.variance(|_| true))
    }

    /// What every catch with the same measure shares, and no repetition takes away.
    pub fn persistent(&self) -> f64 {
        libm::sqrt(self.variance(|part| part.persistent))
    }

    /// What differs from catch to catch, and averages away.
    pub fn passing(&self) -> f64 {
        libm::sqrt(self.variance(|part| !part.persistent))
    }

    /// The budget of the mean of `count` such results: what passes falls with √count, what persists stays.
    #[must_use]
    pub fn averaged(&self, count: u32) -> Self {
        let shrink = 1.0 / libm::sqrt(f64::from(count.max(1)));
        self.map(
            |part| if part.persistent { part.contribution } else { part.contribution * shrink },
        )
    }

    /// The budget of the result times a known factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        self.map(|part| part.contribution * factor.abs())
    }

    fn map(&self, contribution: impl Fn(&Part) -> f64) -> Self {
        let mut budget = Self::new();
        for part in self.parts() {
            budget.add(Part { contribution: contribution(part), ..*part });
        }
        budget
    }

    /// Effective degrees of freedom by Welch and Satterthwaite, not truncated. JCGM 100, G.4.1 (G.2b).
    pub fn effective_degrees_of_freedom(&self) -> f64 {
        effective_degrees_of_freedom(
            self.parts().iter().map(|part| (part.contribution, part.degrees_of_freedom)),
        )
    }

    /// The uncertainty that holds the true value with probability `p`, by Student's t. JCGM 100, G.4.1.
    pub fn expanded(&self, p: f64) -> Expanded {
        let degrees_of_freedom = truncated(self.effective_degrees_of_freedom());
        let factor = t_quantile(0.5 + 0.5 * p, degrees_of_freedom);
        Expanded {
            probability: p,
            factor,
            degrees_of_freedom,
            uncertainty: factor * self.combined(),
        }
    }
}

/// Two parts as one.
fn gathered(a: Part, b: Part) -> Part {
    let both = [a, b].map(|part| (part.contribution, part.degrees_of_freedom));
    Part {
        source: Budget::REST,
        contribution: libm::hypot(a.contribution, b.contribution),
        degrees_of_freedom: effective_degrees_of_freedom(both.into_iter()),
        persistent: a.persistent || b.persistent,
    }
}

/// Effective degrees of freedom of uncorrelated (standard uncertainty, degrees of freedom); infinite where nothing limits them.
/// JCGM 100, G.4.1 (G.2b).
pub fn effective_degrees_of_freedom(parts: impl Iterator<Item = (f64, f64)> + Clone) -> f64 {
    let variance: f64 = parts.clone().map(|(u, _)| u * u).sum();
    let limit: f64 = parts
        .filter(|&(u, degrees)| degrees.is_finite() && u != 0.0)
        .map(|(u, degrees)| {
            let share = u * u / variance;
            share * share / degrees
        })
        // Not `sum`, which is minus zero for no parts, and would make minus infinity here.
        .fold(0.0, |limit, share| limit + share);
    1.0 / limit
}

/// Degrees of freedom truncated to a whole number before a look-up (JCGM 100, G.4.1 note).
///
/// A value a rounding error under a whole number is that number; under one they are left alone, as there is nothing to truncate to.
fn truncated(degrees_of_freedom: f64) -> f64 {
    if degrees_of_freedom < 1.0 {
        degrees_of_freedom
    } else {
        libm::floor(degrees_of_freedom * (1.0 + 1e-12))
    }
}
