//! How wrong a mix may be, from the errors that the user stated of their own measuring. None is ever assumed here.

use ouncewise_measure::special::{normal_below, normal_density};

use super::MgPerLitre;
use crate::profile::FieldFault;

/// How a stated error spreads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shape {
    /// The half width is two standard deviations of a normal spread: "about 19 in 20 are within it".
    TwoSigma,
    /// Anywhere within the half width alike, and never outside: a maker's limits.
    Limits,
}

/// One stated error, as a fraction of the amount: 0.05 is ±5 %.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated {
    /// Half the width, over zero and under a half.
    pub half_width: f64,
    /// How it spreads.
    pub shape: Shape,
}

/// What the user stated of their own measuring; what was not stated is taken as exact, and the pages say so.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StatedErrors {
    /// Of the dose: the mass of a packet, the reading of a cup.
    pub dose: Option<Stated>,
    /// Of the product's own strength.
    pub assay: Option<Stated>,
    /// Of the water.
    pub water: Option<Stated>,
}

/// A spread of one factor around 1.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Factor {
    deviation: f64,
    shape: Shape,
    /// Whether the strength is divided by it.
    below: bool,
}

/// How wrong a strength may be: dose times assay over water, each spread as it was stated.
///
/// Computed by integrating over the spreads, not to first order: the water stands under the line, so the doubt is lopsided
/// (HY-59, CALC: ±5 % two sigma, ±5 % limits and ±10 % two sigma make 88.6 to 113.4 around 100).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    at: MgPerLitre,
    /// The widest factor first; it is integrated in closed form.
    factors: [Option<Factor>; 3],
}

/// Steps of the sum over a spread: enough for a ten-thousandth of probability.
const STEPS: u32 = 24;
/// A normal spread is summed over so many standard deviations each way.
const REACH: f64 = 5.0;

impl StatedErrors {
    /// Every stated error that cannot be.
    pub(super) fn faults(&self) -> Vec<FieldFault> {
        [("dose_error", self.dose), ("assay_error", self.assay), ("water_error", self.water)]
            .into_iter()
            .filter_map(|(key, stated)| {
                let half = stated?.half_width;
                let mend =
                    "state it as a percent of the amount, over 0 % and under 50 %, or leave it out";
                (!(half > 0.0 && half < 0.5)).then(|| {
                    FieldFault::new(key, "the stated error is no error of a measuring", mend)
                })
            })
            .collect()
    }
}

impl Factor {
    fn new(stated: Stated, below: bool) -> Self {
        let deviation = match stated.shape {
            Shape::TwoSigma => stated.half_width / 2.0,
            Shape::Limits => stated.half_width / libm::sqrt(3.0),
        };
        Self { deviation, shape: stated.shape, below }
    }

    /// Probability that the factor is below `x`.
    fn chance_below(self, x: f64) -> f64 {
        match self.shape {
            Shape::TwoSigma => normal_below((x - 1.0) / self.deviation),
            Shape::Limits => {
                let half = self.deviation * libm::sqrt(3.0);
                ((x - 1.0 + half) / (2.0 * half)).clamp(0.0, 1.0)
            }
        }
    }

    /// Values with weights that sum to one, over the spread (Simpson's rule).
    fn points(self) -> Vec<(f64, f64)> {
        let half = match self.shape {
            Shape::TwoSigma => REACH * self.deviation,
            Shape::Limits => self.deviation * libm::sqrt(3.0),
        };
        let mut points: Vec<(f64, f64)> = (0..=STEPS)
            .map(|step| {
                let x = 2.0 * f64::from(step) / f64::from(STEPS) - 1.0;
                let simpson = match step {
                    0 | STEPS => 1.0,
                    step if step % 2 == 1 => 4.0,
                    _ => 2.0,
                };
                let density =
                    if self.shape == Shape::TwoSigma { normal_density(REACH * x) } else { 1.0 };
                (1.0 + half * x, simpson * density)
            })
            .collect();
        let sum: f64 = points.iter().map(|(_, weight)| weight).sum();
        for point in &mut points {
            point.1 /= sum;
        }
        points
    }
}

impl Doubt {
    /// Nothing if nothing was stated, or the strength is no number over zero.
    pub(super) fn new(at: MgPerLitre, errors: &StatedErrors) -> Option<Self> {
        let mut factors = [
            errors.dose.map(|stated| Factor::new(stated, false)),
            errors.assay.map(|stated| Factor::new(stated, false)),
            errors.water.map(|stated| Factor::new(stated, true)),
        ];
        let width = |factor: &Option<Factor>| factor.map_or(0.0, |factor| factor.deviation);
        factors.sort_by(|a, b| width(b).total_cmp(&width(a)));
        (factors[0].is_some() && at.0 > 0.0 && at.0.is_finite()).then_some(Self { at, factors })
    }

    /// The doubt of another strength that is measured out in the same way.
    #[must_use]
    pub fn moved_to(self, at: MgPerLitre) -> Self {
        Self { at, ..self }
    }

    /// Standard uncertainty to first order, in mg/L: the root of the sum of squares.
    #[must_use]
    pub fn standard_uncertainty(&self) -> MgPerLitre {
        let squares: f64 =
            self.factors.iter().flatten().map(|factor| factor.deviation * factor.deviation).sum();
        MgPerLitre(self.at.0 * libm::sqrt(squares))
    }

    /// Probability that the true strength is below a limit.
    #[must_use]
    pub fn chance_below(&self, limit: MgPerLitre) -> f64 {
        self.below_ratio(limit.0 / self.at.0, &self.grid())
    }

    /// The strength that a share `p` of such mixes is below.
    #[must_use]
    pub fn quantile(&self, p: f64) -> MgPerLitre {
        MgPerLitre(self.at.0 * self.ratio(p, &self.grid()))
    }

    /// The middle share `p` of such mixes: from, to.
    #[must_use]
    pub fn interval(&self, p: f64) -> (MgPerLitre, MgPerLitre) {
        let tail = (1.0 - p) / 2.0;
        (self.quantile(tail), self.quantile(1.0 - tail))
    }

    /// What the narrower factors multiply the strength by, with weights; one point if there are none.
    fn grid(&self) -> Vec<(f64, f64)> {
        let mut grid = vec![(1.0, 1.0)];
        for factor in self.factors.iter().skip(1).flatten() {
            let points = factor.points();
            grid = grid
                .iter()
                .flat_map(|&(value, weight)| {
                    points.iter().map(move |&(x, share)| {
                        // No water at all is no solution, and below no limit.
                        let value = if !factor.below {
                            value * x
                        } else if x > 0.0 {
                            value / x
                        } else {
                            f64::INFINITY
                        };
                        (value, weight * share)
                    })
                })
                .collect();
        }
        grid
    }

    fn below_ratio(&self, ratio: f64, grid: &[(f64, f64)]) -> f64 {
        let Some(widest) = self.factors[0] else { return f64::from(u8::from(1.0 < ratio)) };
        if ratio.is_nan() || ratio <= 0.0 {
            return 0.0;
        }
        grid.iter()
            .map(|&(rest, weight)| {
                let chance = if !widest.below {
                    widest.chance_below(ratio / rest)
                } else if rest.is_finite() {
                    1.0 - widest.chance_below(rest / ratio)
                } else {
                    0.0
                };
                weight * chance
            })
            .sum::<f64>()
            .clamp(0.0, 1.0)
    }

    /// The ratio that a share `p` is below, by the Illinois form of false position: each look at the grid is dear.
    fn ratio(&self, p: f64, grid: &[(f64, f64)]) -> f64 {
        let excess = |ratio: f64| self.below_ratio(ratio, grid) - p;
        let sd = self.standard_uncertainty().0 / self.at.0;
        let (mut low, mut below) = (0.0, -p);
        let mut high = 1.0 + 6.0 * sd;
        let mut above = excess(high);
        let near = 1.0 - 5.0 * sd;
        if near > 0.0 {
            let at = excess(near);
            if at < 0.0 {
                (low, below) = (near, at);
            }
        }
        while above < 0.0 && high < 1e3 {
            (low, below) = (high, above);
            high *= 2.0;
            above = excess(high);
        }
        let mut side = 0;
        for step in 0..80 {
            // A half step now and then: the tails are flat, and a secant alone creeps there.
            let secant = (low * above - high * below) / (above - below);
            let half = 0.5 * (low + high);
            let middle =
                if step % 4 < 2 || !(secant > low && secant < high) { half } else { secant };
            let at = excess(middle);
            if at.abs() < 1e-8 || high - low < 1e-10 {
                return middle;
            }
            if at < 0.0 {
                (low, below) = (middle, at);
                above *= if side < 0 { 0.5 } else { 1.0 };
                side = -1;
            } else {
                (high, above) = (middle, at);
                below *= if side > 0 { 0.5 } else { 1.0 };
                side = 1;
            }
        }
        0.5 * (low + high)
    }
}
