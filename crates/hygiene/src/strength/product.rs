//! What goes into the water: sachets and tablets, dry product, liquid on each of its scales of percent, or a label's own
//! dilution; how much active each dose brings, and how much is needed.

use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::{Grams, Millilitres, Quantity};

use super::mix::{Fill, no_water};
use super::{DoseRead, MgPerLitre, Salt};
use crate::profile::FieldFault;

/// A product, as its label states its strength. "Available" is available chlorine throughout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Product {
    /// Sachets or tablets, used whole.
    Pieces(Piece),
    /// Loose dry product of so many percent available chlorine, by mass.
    Dry {
        /// Percent by mass.
        available_percent: f64,
        /// The salt it is made of, if it is known: no product holds more than its pure salt.
        salt: Option<Salt>,
    },
    /// A liquid.
    Liquid(Liquid),
    /// Any product whose label says what one dilution gives, such as 30 mL in 15 L for 200 mg/L.
    ByLabel(Dilution),
}

/// What is in one sachet or tablet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece {
    /// The label states the available chlorine.
    Available(Grams),
    /// The label states the mass and its share of available chlorine.
    Share {
        /// Mass of one piece.
        mass: Grams,
        /// Percent by mass.
        available_percent: f64,
        /// The salt it is made of, if it is known.
        salt: Option<Salt>,
    },
}

/// A liquid concentrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liquid {
    /// Which scale the number is on.
    pub scale: LiquidScale,
    /// The number.
    pub number: f64,
    /// In g/mL. Asked for where a dose by volume meets a scale by mass, or the other way round: no density is assumed.
    pub density: Option<f64>,
}

/// What the number on a liquid's label counts. The three scales of percent differ by up to a tenth (HY-52, CALC).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LiquidScale {
    /// Percent sodium hypochlorite by mass: g NaOCl in 100 g.
    HypochloriteByMass,
    /// Percent available chlorine by mass: g in 100 g.
    AvailableByMass,
    /// "Trade percent": g available chlorine in 100 mL.
    TradePercent,
    /// Active in mg/L of the concentrate, as for quats and iodine.
    ActiveMgPerLitre,
}

/// A dilution that a label gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dilution {
    /// Its dose.
    pub dose: DoseRead,
    /// Its water.
    pub water: Quantity,
    /// Whether the dose goes into that water, or is made up to it.
    pub fill: Fill,
    /// The strength that the label says it gives.
    pub gives: MgPerLitre,
}

/// How much is needed for a strength.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Needed {
    /// So much by mass.
    Mass(Grams),
    /// So much by volume.
    Volume(Millilitres),
    /// Whole pieces, the fewest that reach the strength in the water asked for, and the volume that makes it exactly.
    Pieces {
        /// How many.
        count: u32,
        /// Solution that they make at the strength asked for.
        water: Millilitres,
    },
}

/// Active in a dose: so many grams in each of its own units.
enum PerUnit {
    Piece(f64),
    Gram(f64),
    Millilitre(f64),
    Either { gram: f64, density: f64 },
}

impl Product {
    /// Active in a dose, in grams; available chlorine for the chlorines.
    ///
    /// # Errors
    /// A dose of another kind than the product's, a figure that cannot be, a density that is missing.
    pub fn active(&self, dose: DoseRead) -> Result<Grams, FieldFault> {
        let per = self.per_unit()?;
        let amount = |dimension| match dose {
            DoseRead::Amount(quantity) if quantity.unit.dimension() == dimension => {
                Some(quantity.exact().to_f64())
            }
            _ => None,
        };
        let active = match (per, dose) {
            (PerUnit::Piece(grams), DoseRead::Pieces(count)) => Some(grams * f64::from(count)),
            (PerUnit::Gram(share), _) => amount(Dimension::Mass).map(|grams| grams * share),
            (PerUnit::Millilitre(share), _) => {
                amount(Dimension::Volume).map(|millilitres| millilitres * share)
            }
            (PerUnit::Either { gram, density }, _) => {
                amount(Dimension::Mass).map(|grams| grams * gram).or_else(|| {
                    amount(Dimension::Volume).map(|millilitres| millilitres * density * gram)
                })
            }
            _ => None,
        };
        match active {
            Some(grams) if grams > 0.0 && grams.is_finite() => Ok(Grams(grams)),
            Some(_) => Err(FieldFault::new(
                "dose",
                "a dose of nothing makes no solution",
                "write what went in, such as `1 sachet`",
            )),
            None => Err(self.wrong_dose(dose)),
        }
    }

    /// How much is needed for a strength in so much water.
    ///
    /// # Errors
    /// A strength or a volume that is not over zero, a figure of the product that cannot be, and a strength that the product
    /// itself does not have.
    pub fn needed(
        &self,
        strength: MgPerLitre,
        water: Millilitres,
        fill: Fill,
    ) -> Result<Needed, FieldFault> {
        let wanted = strength.0 / 1e6; // g in a mL
        if !(wanted > 0.0 && wanted.is_finite()) {
            return Err(FieldFault::new(
                "strength",
                "the strength wanted is not over zero",
                "write it in mg/L, such as `100 ppm`",
            ));
        }
        if !(water.0 > 0.0 && water.0.is_finite()) {
            return Err(no_water());
        }
        let grams = wanted * water.0;
        let too_weak = || {
            FieldFault::new(
                "product",
                "the product is no stronger than the solution wanted",
                "see which figure the label gives, and on which scale",
            )
        };
        let liquid = |per_millilitre: f64| {
            let left = match fill {
                Fill::UpTo => per_millilitre,
                Fill::Into => per_millilitre - wanted,
            };
            if per_millilitre > wanted { Ok(grams / left) } else { Err(too_weak()) }
        };
        Ok(match self.per_unit()? {
            PerUnit::Gram(share) => Needed::Mass(Grams(grams / share)),
            PerUnit::Millilitre(share) => Needed::Volume(Millilitres(liquid(share)?)),
            PerUnit::Either { gram, density } => {
                Needed::Volume(Millilitres(liquid(gram * density)?))
            }
            PerUnit::Piece(each) => {
                // A count that is whole but for rounding is that count.
                let count = libm::ceil(grams / each * (1.0 - 1e-9)).max(1.0);
                if count > f64::from(u32::MAX) {
                    return Err(too_weak());
                }
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "from 1 to u32::MAX"
                )]
                let count = count as u32;
                Needed::Pieces { count, water: Millilitres(f64::from(count) * each / wanted) }
            }
        })
    }

    /// Millilitres that a dose adds to the water; a dry one is taken to add none.
    pub(super) fn bulk(&self, dose: DoseRead) -> f64 {
        let DoseRead::Amount(quantity) = dose else { return 0.0 };
        match (quantity.volume(), quantity.mass(), self) {
            (Some(volume), _, _) => volume.0,
            (_, Some(mass), Self::Liquid(Liquid { density: Some(density), .. }))
                if *density > 0.0 =>
            {
                mass.0 / density
            }
            _ => 0.0,
        }
    }

    /// Millilitres that a dose takes up in a solution, at least. A dry dose takes up a millilitre a gram, and a liquid whose
    /// density nobody stated is no heavier than 1.5 g/mL (both JUDGE: they are there to find slips, not to compute with).
    pub(super) fn takes_up(&self, dose: DoseRead) -> f64 {
        const HEAVIEST: f64 = 1.5;
        match (dose, self) {
            (DoseRead::Pieces(count), Self::Pieces(piece)) => {
                let (Piece::Available(each) | Piece::Share { mass: each, .. }) = piece;
                f64::from(count) * each.0
            }
            (DoseRead::Pieces(_), _) => 0.0,
            (DoseRead::Amount(quantity), Self::Liquid(Liquid { density: None, .. })) => {
                quantity.mass().map_or_else(|| self.bulk(dose), |mass| mass.0 / HEAVIEST)
            }
            (DoseRead::Amount(quantity), Self::Dry { .. }) => {
                quantity.mass().map_or(0.0, |mass| mass.0)
            }
            (DoseRead::Amount(_), _) => self.bulk(dose),
        }
    }

    fn per_unit(&self) -> Result<PerUnit, FieldFault> {
        match *self {
            Self::Pieces(Piece::Available(grams)) => {
                over_zero("available", grams.0, "the available chlorine of a piece")
                    .map(PerUnit::Piece)
            }
            Self::Pieces(Piece::Share { mass, available_percent, salt }) => {
                let mass = over_zero("mass", mass.0, "the mass of a piece")?;
                Ok(PerUnit::Piece(mass * dry_share(available_percent, salt)?))
            }
            Self::Dry { available_percent, salt } => {
                dry_share(available_percent, salt).map(PerUnit::Gram)
            }
            Self::Liquid(liquid) => liquid.per_unit(),
            Self::ByLabel(dilution) => dilution.per_unit(),
        }
    }

    fn wrong_dose(&self, dose: DoseRead) -> FieldFault {
        let what = format!("a dose of {dose} does not fit how the product's strength is stated");
        let mend = match self {
            Self::Pieces(_) => "write how many sachets or tablets went in, such as `2 sachets`",
            Self::Dry { .. } => "write how many grams went in",
            Self::Liquid(Liquid {
                scale: LiquidScale::TradePercent | LiquidScale::ActiveMgPerLitre,
                ..
            }) => {
                "this scale counts by volume: write the dose in mL, or state the product's density in g/mL"
            }
            Self::Liquid(_) => {
                "this percent counts grams in 100 grams: state the product's density in g/mL, or weigh the dose"
            }
            Self::ByLabel(_) => "write the dose as the label does: pieces, a volume or a mass",
        };
        FieldFault::new("dose", what, mend)
    }
}

impl Liquid {
    /// The same strength in trade percent, g available chlorine in 100 mL; nothing for a liquid by its active, or without a
    /// density where one is needed.
    ///
    /// 5.25 % NaOCl by mass at 1.08 g/mL is 5.40 trade percent (HY-52, CALC).
    #[must_use]
    pub fn trade_percent(&self) -> Option<f64> {
        match self.scale {
            LiquidScale::ActiveMgPerLitre => None,
            LiquidScale::TradePercent => Some(self.number),
            LiquidScale::AvailableByMass => Some(self.number * self.density?),
            LiquidScale::HypochloriteByMass => {
                Some(self.number * self.density? * Salt::SodiumHypochlorite.available())
            }
        }
    }

    fn per_unit(&self) -> Result<PerUnit, FieldFault> {
        let most = match self.scale {
            LiquidScale::ActiveMgPerLitre => 1e6,
            _ => 100.0,
        };
        let number = over_zero("strength", self.number, "the strength of the product")?;
        if number > most {
            return Err(FieldFault::new(
                "strength",
                format!("{number} is more than all of the product"),
                format!("this scale ends at {most}"),
            ));
        }
        let density =
            self.density.map(|density| over_zero("density", density, "the density")).transpose()?;
        let share = number / most;
        Ok(match (self.scale, density) {
            (LiquidScale::HypochloriteByMass, density) => {
                by_mass(share * Salt::SodiumHypochlorite.available(), density)
            }
            (LiquidScale::AvailableByMass, density) => by_mass(share, density),
            (LiquidScale::TradePercent | LiquidScale::ActiveMgPerLitre, None) => {
                PerUnit::Millilitre(share)
            }
            (LiquidScale::TradePercent | LiquidScale::ActiveMgPerLitre, Some(density)) => {
                PerUnit::Either { gram: share / density, density }
            }
        })
    }
}

impl Dilution {
    /// Active that the label's own dose brings, in grams.
    pub(super) fn active(&self) -> Result<f64, FieldFault> {
        let gives =
            over_zero("gives", self.gives.0, "the strength that the label's dilution gives")?;
        let water = self
            .water
            .volume()
            .map(|volume| volume.0)
            .filter(|volume| *volume > 0.0)
            .ok_or_else(no_water)?;
        let dose = match self.dose {
            DoseRead::Amount(quantity) => quantity.volume().map_or(0.0, |volume| volume.0),
            DoseRead::Pieces(_) => 0.0,
        };
        let total = if self.fill == Fill::Into { water + dose } else { water };
        Ok(gives / 1e6 * total)
    }

    fn per_unit(&self) -> Result<PerUnit, FieldFault> {
        let active = self.active()?;
        let no_dose = || {
            FieldFault::new(
                "dose",
                "the label's dilution has no dose",
                "write the label's dose, such as `1 sachet` or `30 mL`",
            )
        };
        match self.dose {
            DoseRead::Pieces(0) => Err(no_dose()),
            DoseRead::Pieces(count) => Ok(PerUnit::Piece(active / f64::from(count))),
            DoseRead::Amount(quantity) => match (quantity.volume(), quantity.mass()) {
                (Some(volume), _) if volume.0 > 0.0 => Ok(PerUnit::Millilitre(active / volume.0)),
                (_, Some(mass)) if mass.0 > 0.0 => Ok(PerUnit::Gram(active / mass.0)),
                _ => Err(no_dose()),
            },
        }
    }
}

fn by_mass(gram: f64, density: Option<f64>) -> PerUnit {
    density.map_or(PerUnit::Gram(gram), |density| PerUnit::Either { gram, density })
}

fn over_zero(key: &'static str, value: f64, what: &str) -> Result<f64, FieldFault> {
    if value > 0.0 && value.is_finite() {
        return Ok(value);
    }
    Err(FieldFault::new(
        key,
        format!("{what} is not a number over zero"),
        "write what the label states",
    ))
}

/// A dry product's share of available chlorine, which its pure salt bounds (HY-47, CALC).
fn dry_share(percent: f64, salt: Option<Salt>) -> Result<f64, FieldFault> {
    let percent = over_zero("available_percent", percent, "the percent of available chlorine")?;
    let most = salt.map_or(100.0, |salt| 100.0 * salt.available());
    // Labels round up to a whole percent: 65 % is printed for a salt of 64.5 %.
    if percent > libm::ceil(most) {
        return Err(FieldFault::new(
            "available_percent",
            format!("{percent} % is more available chlorine than the pure salt has ({most:.1} %)"),
            "see whether the label's percent is of the salt or of available chlorine",
        ));
    }
    Ok(percent / 100.0)
}
