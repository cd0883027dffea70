//! A mix: one dose in one amount of water, and the strength that they make.

use ouncewise_measure::{Grams, Millilitres, Quantity};

use super::doubt::{Doubt, StatedErrors};

use super::{DoseRead, MgPerLitre, Product};
use crate::profile::FieldFault;

/// What the amount of water says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Fill {
    /// The vessel was filled up to it, with the dose in: the usual mark on a bucket.
    #[default]
    UpTo,
    /// The dose went into it, and adds its own volume.
    Into,
}

/// One dose in one amount of water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// What went in.
    pub product: Product,
    /// How much of it.
    pub dose: DoseRead,
    /// The water; a unit of volume.
    pub water: Quantity,
    /// What the amount of water says.
    pub fill: Fill,
}

/// A solution as it was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made {
    /// The strength by arithmetic, all of the dose dissolved and evenly mixed.
    pub strength: MgPerLitre,
    /// Active in it; available chlorine for the chlorines.
    pub active: Grams,
    /// All of the solution.
    pub volume: Millilitres,
    /// How wrong it may be, from what the user stated of their own measuring; nothing if they stated nothing.
    pub doubt: Option<Doubt>,
}

impl Mix {
    /// The strength that it makes, with its doubt where the user stated their own errors.
    ///
    /// # Errors
    /// Every fault of the dose, the water and the stated errors at once.
    pub fn made(&self, errors: Option<&StatedErrors>) -> Result<Made, Vec<FieldFault>> {
        let mut faults = Vec::new();
        let mut keep = |fault| faults.push(fault);
        let active = self.product.active(self.dose).map_err(&mut keep).ok();
        let water = self
            .water
            .volume()
            .filter(|water| water.0 > 0.0)
            .ok_or_else(no_water)
            .map_err(&mut keep)
            .ok();
        if let Some(errors) = errors {
            errors.faults().into_iter().for_each(&mut keep);
        }
        let (Some(active), Some(water), true) = (active, water, faults.is_empty()) else {
            return Err(faults);
        };
        let volume = match self.fill {
            Fill::UpTo => water.0,
            Fill::Into => water.0 + self.product.bulk(self.dose),
        };
        // No solution is stronger than what it is made from: the dose itself must fit into it.
        let taken = self.product.takes_up(self.dose).max(active.0);
        if taken > volume * (1.0 + 1e-9) {
            return Err(vec![FieldFault::new(
                "water",
                format!(
                    "{} of product does not fit into {}: the solution would be stronger than the product itself",
                    self.dose, self.water
                ),
                "see whether dose and water stand in the units that were meant, such as `30 mL` in `10 L`",
            )]);
        }
        let strength = MgPerLitre(active.0 / volume * 1e6);
        let doubt = errors.and_then(|errors| Doubt::new(strength, errors));
        Ok(Made { strength, active, volume: Millilitres(volume), doubt })
    }

    /// The least and the most solution that this dose may make for a strength of `from` to `to`: more water is weaker.
    /// 0.9464 g of available chlorine is 100 to 200 mg/L in 4.73 L to 9.46 L (HY-56, CALC).
    ///
    /// # Errors
    /// A fault of the dose, or strengths that are not over zero and in order.
    pub fn water_for(
        &self,
        from: MgPerLitre,
        to: MgPerLitre,
    ) -> Result<(Millilitres, Millilitres), FieldFault> {
        let active = self.product.active(self.dose)?;
        if !(from.0 > 0.0 && to.0 >= from.0 && to.0.is_finite()) {
            return Err(FieldFault::new(
                "strength",
                "the strengths wanted are not in order over zero",
                "write the least first, such as 50 to 200 mg/L",
            ));
        }
        Ok((Millilitres(active.0 / to.0 * 1e6), Millilitres(active.0 / from.0 * 1e6)))
    }
}

impl Made {
    /// A solution whose strength is stated and not mixed here, such as one that is bought ready; its volume is
    /// not known. Never for the class of a strip: that is a question without a mix.
    #[must_use]
    pub fn stated(strength: MgPerLitre) -> Self {
        Self { strength, active: Grams(0.0), volume: Millilitres(0.0), doubt: None }
    }
}

/// The fault of water that is none.
pub(super) fn no_water() -> FieldFault {
    FieldFault::new(
        "water",
        "the water is not a volume over zero",
        "write it with its unit, such as `10 L` or `2.5 gal (US)`",
    )
}
