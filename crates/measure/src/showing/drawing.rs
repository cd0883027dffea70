//! The same portion by Monte Carlo (JCGM 101): nothing linearised, and every part drawn from its own distribution.

use super::portion::{self, View};
use super::{Setup, ShowError, Subject, judge};
use crate::catch::Catch;
use crate::instrument::{Marks, Measure, Timer};
use crate::monte_carlo::{Input, Interval, MonteCarloError, Settings, adaptive};

/// A portion by Monte Carlo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Mean of the drawn portions, in the target's unit. After a short draw it lies above the portion that was read.
    pub mean: f64,
    /// Their standard deviation.
    pub standard_uncertainty: f64,
    /// The interval that leaves as much below it as above.
    pub interval: Interval,
    /// Share of them in tolerance.
    pub probability_on_target: f64,
    /// How many were drawn.
    pub draws: usize,
    /// Whether the figures became stable to the digits asked for.
    pub stable: bool,
}

/// Why a portion cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawnError {
    /// It cannot be computed either.
    #[error(transparent)]
    Show(#[from] ShowError),
    /// A mark is an interval and no number to draw about.
    #[error("only a mark was read: give an amount in numbers, or take the verdict that needs none")]
    OnlyMarks,
    /// The drawing itself.
    #[error(transparent)]
    MonteCarlo(#[from] MonteCarloError),
}

/// Draws the portion of one visit's catches until it is stable (JCGM 101, 7.9). Slow beside [`judge`], and its check.
///
/// # Errors
/// As [`judge`]; marks; and settings that make no sense.
pub fn by_drawing(
    setup: &Setup,
    catches: &[Catch],
    settings: &Settings,
) -> Result<Drawn, DrawnError> {
    let judged = judge(setup, catches)?;
    if judged.portion.is_none() {
        return Err(DrawnError::OnlyMarks);
    }
    let view = View::product(setup)?;
    let mut inputs = shared(&view);
    let first = inputs.len();
    // Where the catches scatter by more than reading and timing explain, the rest is drawn as their mean (6.4.9).
    let scatter = judged.budget.parts().iter().find(|part| part.degrees_of_freedom.is_finite());
    let own = if scatter.is_some() { 0 } else { OWN };
    for catch in catches {
        inputs.extend(passing(setup, portion::amount(catch.amount)).into_iter().take(own));
    }
    inputs.push(scatter.map_or(Input::Exact(0.0), |part| Input::T {
        mean: 0.0,
        standard_uncertainty: part.contribution,
        degrees_of_freedom: part.degrees_of_freedom,
    }));
    // On a ratio line the syrup goes with the water that was caught.
    let water = judged.budget.parts().iter().find(|part| part.source == "the water");
    let wanted = View::water(setup).map(|water| water.target);
    let water = match (judged.subject, judged.water, wanted, water) {
        (Subject::Portion, Some(caught), Some(wanted), Some(part)) => {
            let relative = part.contribution / judged.estimate.max(f64::MIN_POSITIVE);
            inputs.push(normal(caught.amount / wanted, relative * caught.amount / wanted));
            true
        }
        _ => false,
    };
    // The machine errs over the water as over the syrup.
    let of_water: Vec<f64> = if water {
        let view = View::water(setup);
        let seconds = |draw| view.as_ref().and_then(|view| view.factor(draw).1);
        catches.iter().filter_map(|catch| seconds(catch.water?.1)).collect()
    } else {
        Vec::new()
    };
    let model = |x: &[f64]| {
        let mut divide = if water { x[x.len() - 1] } else { 1.0 };
        if !of_water.is_empty() {
            let late = of_water.iter().map(|s| s / (s + x[3])).sum::<f64>();
            divide *= late / of_water.len() as f64;
        }
        let scatter = x[if water { x.len() - 2 } else { x.len() - 1 }];
        let sum: f64 = catches
            .iter()
            .enumerate()
            .map(|(at, catch)| {
                let mine = if own == 0 {
                    [0.0; OWN]
                } else {
                    [0, 1, 2, 3].map(|k| x[first + OWN * at + k])
                };
                let read = view.without_film(portion::amount(catch.amount))
                    + x[0]
                    + x[1]
                    + mine[0]
                    + mine[1];
                let (factor, seconds) = view.factor(catch.draw);
                let timing = seconds.map_or(1.0, |s| s / (s + x[3] + mine[2] + mine[3]));
                read * view.conversion.0 * x[2] * factor * timing
            })
            .sum();
        sum / catches.len() as f64 / divide + scatter
    };
    let outcome = adaptive(&inputs, model, settings)?;
    let limits = setup.aim.limits();
    let sample = &outcome.sample;
    Ok(Drawn {
        mean: sample.mean(),
        standard_uncertainty: sample.standard_uncertainty(),
        interval: sample.symmetric(settings.probability),
        probability_on_target: sample.share_within(limits.lower, limits.upper),
        draws: sample.sorted().len(),
        stable: outcome.stable,
    })
}

/// How many inputs each catch has of its own.
const OWN: usize = 4;

/// What all catches share: the measure's error, its film, the factor of the density, and the machine's timing.
fn shared(view: &View<'_>) -> Vec<Input> {
    let (tolerance, film) = match &view.setup.measure {
        Measure::Vessel(vessel) => (vessel.tolerance.0, vessel.film.0),
        Measure::Scale(scale) => (scale.tolerance.0, 0.0),
    };
    let machine = match view.setup.timer {
        Timer::Machine { tolerance } => tolerance.0,
        Timer::Hand { .. } => 0.0,
    };
    vec![within(tolerance), within(0.5 * film), normal(1.0, view.conversion.1), within(machine)]
}

/// What each catch has of its own: two readings, the thumb, and the display.
fn passing(setup: &Setup, amount: f64) -> [Input; OWN] {
    let [first, second] = match &setup.measure {
        Measure::Vessel(vessel) => {
            let half = match vessel.marks {
                Marks::Every(division) => 0.5 * division.0,
                Marks::One(mark) => 0.5 * (amount - mark.0).abs(),
            };
            let read = if half > 0.0 {
                Input::Triangular { low: -half, high: half }
            } else {
                Input::Exact(0.0)
            };
            [read, Input::Exact(0.0)]
        }
        Measure::Scale(scale) => {
            let half = 0.5 * scale.resolution.0;
            [within(half), if scale.tared { within(half) } else { Input::Exact(0.0) }]
        }
    };
    let [thumb, display] = match setup.timer {
        Timer::Hand { spread, resolution } => [normal(0.0, spread.0), within(0.5 * resolution.0)],
        Timer::Machine { .. } => [Input::Exact(0.0); 2],
    };
    [first, second, thumb, display]
}

/// Rectangular about zero, or nothing.
fn within(half: f64) -> Input {
    if half > 0.0 { Input::Rectangular { low: -half, high: half } } else { Input::Exact(0.0) }
}

fn normal(mean: f64, standard_uncertainty: f64) -> Input {
    if standard_uncertainty > 0.0 {
        Input::Normal { mean, standard_uncertainty }
    } else {
        Input::Exact(mean)
    }
}
