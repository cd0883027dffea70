//! Distributions of inputs, JCGM 101:2008, 6.4, and how a value of each is drawn.

use core::f64::consts::TAU;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal, StudentT};

/// What is known of one input of a model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Input {
    /// Known without doubt.
    Exact(f64),
    /// Estimate and standard uncertainty, many degrees of freedom (6.4.7).
    Normal {
        /// Best estimate.
        mean: f64,
        /// Standard uncertainty.
        standard_uncertainty: f64,
    },
    /// Mean of repeated readings, scaled and shifted t (6.4.9).
    T {
        /// Best estimate.
        mean: f64,
        /// Standard uncertainty, s / √n.
        standard_uncertainty: f64,
        /// Degrees of freedom, n − 1.
        degrees_of_freedom: f64,
    },
    /// Equally likely anywhere between two limits (6.4.2).
    Rectangular {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// Between two limits, likeliest midway (6.4.5).
    Triangular {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// Between two limits, with a flat top (6.4.4).
    Trapezoid {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
        /// Width of the top over width of the base: 1 is rectangular, 0 triangular.
        top: f64,
    },
    /// Between limits that are themselves inexact (6.4.3).
    CurvilinearTrapezoid {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
        /// Each limit may lie so far off, either way.
        inexact: f64,
    },
    /// Swings like a sine between two limits, at an unknown moment (6.4.6).
    Arcsine {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
}

/// An input made ready for drawing.
#[derive(Debug, Clone, Copy)]
pub(super) enum Drawer {
    Exact(f64),
    Normal(f64, f64),
    T(f64, f64, StudentT<f64>),
    /// Low end, and the weights of two rectangular draws: rectangular, triangular and trapezoid are their sum (6.4.4.4).
    TwoRectangular(f64, f64, f64),
    Curvilinear(f64, f64, f64),
    Arcsine(f64, f64),
}

impl Input {
    /// `None` if the numbers describe no distribution.
    pub(super) fn drawer(self) -> Option<Drawer> {
        let limits = |low: f64, high: f64| low.is_finite() && high.is_finite() && low <= high;
        let spread = |mean: f64, u: f64| mean.is_finite() && u.is_finite() && u >= 0.0;
        match self {
            Self::Exact(value) => value.is_finite().then_some(Drawer::Exact(value)),
            Self::Normal { mean, standard_uncertainty: u } => {
                spread(mean, u).then_some(Drawer::Normal(mean, u))
            }
            Self::T { mean, standard_uncertainty: u, degrees_of_freedom } => {
                if !spread(mean, u) || degrees_of_freedom.is_nan() {
                    return None;
                }
                if degrees_of_freedom.is_infinite() && degrees_of_freedom > 0.0 {
                    return Some(Drawer::Normal(mean, u));
                }
                Some(Drawer::T(mean, u, StudentT::new(degrees_of_freedom).ok()?))
            }
            Self::Rectangular { low, high } => {
                limits(low, high).then_some(Drawer::TwoRectangular(low, high - low, 0.0))
            }
            Self::Triangular { low, high } => Self::Trapezoid { low, high, top: 0.0 }.drawer(),
            Self::Trapezoid { low, high, top } => (limits(low, high) && (0.0..=1.0).contains(&top))
                .then(|| {
                    let half = 0.5 * (high - low);
                    Drawer::TwoRectangular(low, half * (1.0 + top), half * (1.0 - top))
                }),
            Self::CurvilinearTrapezoid { low, high, inexact } => {
                (limits(low, high) && inexact >= 0.0 && low + inexact <= high - inexact)
                    .then_some(Drawer::Curvilinear(low, high, inexact))
            }
            Self::Arcsine { low, high } => {
                limits(low, high).then_some(Drawer::Arcsine(0.5 * (low + high), 0.5 * (high - low)))
            }
        }
    }
}

impl Drawer {
    pub(super) fn draw(&self, stream: &mut impl Rng) -> f64 {
        match self {
            Self::Exact(value) => *value,
            Self::Normal(mean, u) => {
                let z: f64 = StandardNormal.sample(stream);
                mean + u * z
            }
            Self::T(mean, u, t) => mean + u * t.sample(stream),
            Self::TwoRectangular(low, first, second) => {
                let part = if *second == 0.0 { 0.0 } else { second * stream.random::<f64>() };
                low + first * stream.random::<f64>() + part
            }
            Self::Curvilinear(low, high, inexact) => {
                // Both ends move together, so that the middle stays (6.4.3.4).
                let from = low - inexact + 2.0 * inexact * stream.random::<f64>();
                let to = low + high - from;
                from + (to - from) * stream.random::<f64>()
            }
            Self::Arcsine(middle, half) => middle + half * libm::sin(TAU * stream.random::<f64>()),
        }
    }
}
