//! What drift costs, where to aim, and how often to recalibrate: from prices that somebody stated, and from nothing else.
//!
//! ```
//! use ouncewise_advice::money::{Portions, Prices, week};
//! let prices = Prices { product_per_ml: Some(0.012), remade: Some(0.9), ..Prices::default() };
//! let line = Portions { target: 30.0, tolerance: 1.5, mean: 31.2, sd: 0.8, a_week: 700.0, poured_away: 60.0 };
//! let cost = week(&prices, &line);
//! assert!((cost.over_pour.unwrap() - 10.28).abs() < 0.01);
//! assert!(cost.poured_away.is_some() && cost.orders_lost.is_none());
//! assert_eq!(cost.missing, ["price of an order lost", "orders lost"]);
//! ```

mod aim;
mod recalibrate;
#[cfg(test)]
mod tests;

pub use aim::{Aim, aim_linear, aim_quadratic, aim_with_penalty, short_share};
pub use recalibrate::{Recalibration, recalibrate, recalibrate_ahead};

use ouncewise_measure::special::{normal_below, normal_density};

/// Taguchi's loss: what it costs to be off, growing with the square, and as much as stated at the tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuadraticLoss {
    /// Money for each square of the unit that the portion is in.
    pub factor: f64,
}

impl QuadraticLoss {
    /// From what a portion costs that is off by the whole tolerance: k = A / D².
    #[must_use]
    pub fn of(at_tolerance: f64, tolerance: f64) -> Self {
        Self { factor: at_tolerance / (tolerance * tolerance) }
    }

    /// The loss of one portion.
    #[must_use]
    pub fn one(&self, portion: f64, target: f64) -> f64 {
        self.factor * (portion - target) * (portion - target)
    }

    /// The mean loss of portions with a mean and a standard deviation: k (σ² + (mean − target)²).
    #[must_use]
    pub fn mean(&self, mean: f64, sd: f64, target: f64) -> f64 {
        self.factor * (sd * sd + (mean - target) * (mean - target))
    }

    /// How far off it is worth `adjusting` for that much: √(A / k).
    #[must_use]
    pub fn worth_adjusting(&self, adjusting: f64) -> f64 {
        (adjusting / self.factor).sqrt()
    }
}

/// Prices as stated, in one currency. What nobody stated stays out of every sum.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Prices {
    /// Of a millilitre of product.
    pub product_per_ml: Option<f64>,
    /// Of a drink remade because its portion was short by the whole tolerance, with what goodwill the lead puts on it.
    pub remade: Option<f64>,
    /// Of an order lost while the line is out of service.
    pub order: Option<f64>,
    /// Orders lost a week to rounds on this line, by the quiet window.
    pub orders_lost: Option<f64>,
}

/// What a line pours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Portions {
    /// The recipe's portion, in mL.
    pub target: f64,
    /// How far off still serves, in mL.
    pub tolerance: f64,
    /// The mean portion, in mL.
    pub mean: f64,
    /// Standard deviation of single portions about their mean, in mL: how they scatter, and not the doubt of that mean.
    pub sd: f64,
    /// Portions a week.
    pub a_week: f64,
    /// Product poured away a week by priming and catches, in mL.
    pub poured_away: f64,
}

/// What a line costs a week, each by itself: they are known to different degrees and are not to be added unseen.
#[derive(Debug, Clone, PartialEq)]
pub struct WeekCost {
    /// Product given away in portions above the target.
    pub over_pour: Option<f64>,
    /// Portions below the target: quadratic loss, the price of a remade drink at the tolerance, and no more beyond it: no drink is
    /// made again more than once.
    pub under_pour: Option<f64>,
    /// Product poured away by priming and catches.
    pub poured_away: Option<f64>,
    /// Orders lost while the line was out of service.
    pub orders_lost: Option<f64>,
    /// What was not stated, and so left out.
    pub missing: Vec<&'static str>,
}

/// What a line costs a week.
#[must_use]
pub fn week(prices: &Prices, line: &Portions) -> WeekCost {
    let above = line.mean - line.target;
    let over = beyond(above, line.sd);
    let under = share_of_square(-above, line.sd, line.tolerance);
    let missing = [
        (prices.product_per_ml, "price of the product"),
        (prices.remade, "price of a remade drink"),
        (prices.order, "price of an order lost"),
        (prices.orders_lost, "orders lost"),
    ];
    WeekCost {
        over_pour: prices.product_per_ml.map(|price| price * over * line.a_week),
        under_pour: prices.remade.map(|price| price * under * line.a_week),
        poured_away: prices.product_per_ml.map(|price| price * line.poured_away),
        orders_lost: prices.order.zip(prices.orders_lost).map(|(price, lost)| price * lost),
        missing: missing.into_iter().filter(|(p, _)| p.is_none()).map(|(_, says)| says).collect(),
    }
}

/// Mean of what a normal variable is above 0.
fn beyond(mean: f64, sd: f64) -> f64 {
    if sd == 0.0 {
        return mean.max(0.0);
    }
    let z = mean / sd;
    sd * (normal_density(z) + z * normal_below(z))
}

/// Mean of the square of a normal variable above 0, as a share of the square of `most`, and at most 1.
fn share_of_square(mean: f64, sd: f64, most: f64) -> f64 {
    let square = most * most;
    if sd == 0.0 {
        let above = mean.clamp(0.0, most);
        return above * above / square;
    }
    let (low, high) = (-mean / sd, (most - mean) / sd);
    let (low_density, high_density) = (normal_density(low), normal_density(high));
    let within = normal_below(high) - normal_below(low);
    let part = mean * mean * within
        + 2.0 * mean * sd * (low_density - high_density)
        + sd * sd * (within + low * low_density - high * high_density);
    (part / square + normal_below(-high)).clamp(0.0, 1.0)
}
