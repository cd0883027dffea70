//! Propagation of distributions by drawing, JCGM 101:2008: what a model's result may be, where first order is not trusted.
//!
//! Every function takes a seed: the same seed gives the same result on every machine of one kind.

mod input;
mod sample;
#[cfg(test)]
mod tests;

pub use input::Input;
pub use sample::{Interval, Sample};

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// How a result is to be drawn until it is stable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Seed of the draws.
    pub seed: u64,
    /// Coverage probability of the interval, between 0 and 1.
    pub probability: f64,
    /// How many significant digits of the standard uncertainty must be stable: 1 or 2 (7.9.2).
    pub digits: u32,
    /// No more draws than this, stable or not (7.9.1, note 1).
    pub most: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self { seed: 0, probability: 0.95, digits: 2, most: 1_000_000 }
    }
}

/// What the adaptive procedure found.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// All draws.
    pub sample: Sample,
    /// Whether mean, standard uncertainty and both ends of the interval became stable to the digits asked for.
    pub stable: bool,
    /// The numerical tolerance that they were held against.
    pub tolerance: f64,
}

/// Why nothing could be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MonteCarloError {
    /// An input whose numbers describe no distribution.
    #[error(
        "input {index} ({input:?}) describes no distribution: limits must rise, and spreads and degrees of freedom must be over zero"
    )]
    Input {
        /// Which input, counted from zero.
        index: usize,
        /// The input.
        input: Input,
    },
    /// A coverage probability outside 0 to 1.
    #[error("a coverage probability of {probability} is not between 0 and 1")]
    Probability {
        /// The probability.
        probability: f64,
    },
    /// The model gave no number for values that its inputs can take.
    #[error(
        "the model gives no finite number for the inputs {inputs:?}; narrow the input that makes it so"
    )]
    NotFinite {
        /// What the inputs were.
        inputs: Vec<f64>,
    },
}

/// The largest rounding that leaves `u` right to so many significant digits: δ = ½·10ˡ where u ≈ c·10ˡ and c has that many
/// digits (7.9.2). Zero for a `u` of zero.
pub fn numerical_tolerance(u: f64, digits: u32) -> f64 {
    if u == 0.0 {
        return 0.0;
    }
    let digits = f64::from(digits.max(1));
    let exponent = libm::floor(libm::log10(u.abs())) + 1.0 - digits;
    let scale = libm::exp10(exponent);
    // Rounding may carry into one digit more: 0.996 to two digits is 1.0.
    if libm::round(u.abs() / scale) >= libm::exp10(digits) { 5.0 * scale } else { 0.5 * scale }
}

/// Draws a fixed number of results, at least one (clause 7).
///
/// # Errors
///
/// [`MonteCarloError`], where an input describes no distribution or the model gives no finite number.
pub fn draw(
    inputs: &[Input],
    model: impl Fn(&[f64]) -> f64,
    draws: usize,
    seed: u64,
) -> Result<Sample, MonteCarloError> {
    let mut source = Source::new(inputs, model, seed)?;
    let mut values = Vec::with_capacity(draws);
    source.fill(&mut values, draws.max(1))?;
    Ok(Sample::new(values))
}

/// Draws in blocks until the result is stable (the adaptive procedure of 7.9.4), or the most draws are made.
///
/// # Errors
///
/// [`MonteCarloError`], where the settings or an input make no sense or the model gives no finite number.
pub fn adaptive(
    inputs: &[Input],
    model: impl Fn(&[f64]) -> f64,
    settings: &Settings,
) -> Result<Outcome, MonteCarloError> {
    let p = settings.probability;
    if !(p > 0.0 && p < 1.0) {
        return Err(MonteCarloError::Probability { probability: p });
    }
    let mut source = Source::new(inputs, model, settings.seed)?;
    let block = block_size(p);
    let mut values = Vec::with_capacity(2 * block);
    let mut statistics: [Vec<f64>; 4] = Default::default();
    loop {
        let start = values.len();
        source.fill(&mut values, block)?;
        let one = Sample::new(values[start..].to_vec());
        let ends = one.symmetric(p);
        let found = [one.mean(), one.standard_uncertainty(), ends.low, ends.high];
        for (series, value) in statistics.iter_mut().zip(found) {
            series.push(value);
        }
        let blocks = statistics[0].len();
        if blocks < 2 {
            continue;
        }
        let tolerance = numerical_tolerance(sample::spread(&values), settings.digits);
        let stable = statistics.iter().all(|series| {
            let spread_of_mean = sample::spread(series) / libm::sqrt(blocks as f64);
            2.0 * spread_of_mean <= tolerance
        });
        if stable || values.len() + block > settings.most {
            return Ok(Outcome { sample: Sample::new(values), stable, tolerance });
        }
    }
}

/// Draws in one block: at least 10⁴, and a hundred in the tails (7.9.4 b).
fn block_size(p: f64) -> usize {
    // A rounding error over a whole number is that number: 100 / (1 − 0.99) is 10 000.
    let tails = libm::ceil(100.0 / (1.0 - p) * (1.0 - 1e-12));
    (tails as usize).max(10_000)
}

/// Inputs and model, with the stream that they are drawn from.
struct Source<M> {
    inputs: Vec<input::Drawer>,
    model: M,
    stream: ChaCha8Rng,
    drawn: Vec<f64>,
}

impl<M: Fn(&[f64]) -> f64> Source<M> {
    fn new(inputs: &[Input], model: M, seed: u64) -> Result<Self, MonteCarloError> {
        let inputs: Vec<_> = inputs
            .iter()
            .enumerate()
            .map(|(index, &input)| input.drawer().ok_or(MonteCarloError::Input { index, input }))
            .collect::<Result<_, _>>()?;
        let drawn = vec![0.0; inputs.len()];
        Ok(Self { inputs, model, stream: ChaCha8Rng::seed_from_u64(seed), drawn })
    }

    fn fill(&mut self, values: &mut Vec<f64>, draws: usize) -> Result<(), MonteCarloError> {
        values.reserve(draws);
        for _ in 0..draws {
            for (value, input) in self.drawn.iter_mut().zip(&self.inputs) {
                *value = input.draw(&mut self.stream);
            }
            let result = (self.model)(&self.drawn);
            if !result.is_finite() {
                return Err(MonteCarloError::NotFinite { inputs: self.drawn.clone() });
            }
            values.push(result);
        }
        Ok(())
    }
}
