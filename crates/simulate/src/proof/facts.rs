//! What a lead would know about a machine: what its recipes ask, how it is set, what it is read with,
//! and what things cost.

use crate::chance::Chance;

use super::nature::Nature;

/// What is known about one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    /// Its lines.
    pub lines: Vec<LineFacts>,
    /// The measures of its kitchen.
    pub measures: Vec<MeasureFacts>,
    /// Index of the scale among the measures, where there is one: what [`Visit::weigh`](super::Visit::weigh)
    /// reads with.
    pub scale: Option<usize>,
    /// Weeks after which the family says that its wear part should be replaced.
    pub part_weeks: f64,
    /// Standard deviation of start and stop together by hand, seconds.
    pub thumb: f64,
    /// Standard deviation that a person's own timing error is thought to have, seconds.
    pub person_bias: f64,
    /// Standard deviation of one draw about its line's level.
    pub draw_spread: f64,
    /// Standard deviation of reading a vessel by eye, as a share of its division.
    pub reading_share: f64,
    /// How near to its only mark a cup must stand to be called "at" it, as a share of the mark.
    pub at_mark: f64,
    /// Relative standard deviation of density between containers.
    pub density_spread: f64,
    /// What things cost.
    pub prices: Prices,
    /// How long things take.
    pub minutes: Minutes,
}

/// What is known about one line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineFacts {
    /// The recipe's portion, mL.
    pub target: f64,
    /// How far off still serves, as a fraction.
    pub tolerance: f64,
    /// The recipe's own draw.
    pub draw: DrawFacts,
    /// How it is set.
    pub adjuster: Adjuster,
    /// Index of the measure that it is usually caught with.
    pub measure: usize,
    /// Portions served in a week.
    pub portions: f64,
}

/// How a portion is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DrawFacts {
    /// For so many seconds, by hand.
    Seconds {
        /// The recipe's seconds.
        recipe: f64,
        /// Seconds that pour nothing, where the family states them.
        offset: Option<f64>,
    },
    /// In doses: a catch takes this many portions at once.
    Doses {
        /// Portions.
        portions: f64,
    },
}

/// How a line is set. Steps are changes of the logarithm of its portion; a step of 0 is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Adjuster {
    /// An unmarked screw.
    Screw {
        /// The smallest turn that people make, by what a turn is thought to do.
        step: f64,
        /// Whether what a turn does was ever found out; otherwise it is a guess.
        known: bool,
    },
    /// A ring with notches.
    Notches {
        /// One notch.
        step: f64,
    },
    /// A number or percent on a panel.
    Panel {
        /// Its smallest step.
        step: f64,
        /// How far down and up it goes from where it stood at the start.
        range: (f64, f64),
    },
    /// Start and stop a draw at the mark: see [`Visit::teach`](super::Visit::teach).
    Taught,
    /// The crew cannot set it.
    None,
}

/// What a measure shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Marks {
    /// A volume by eye, one division every so many mL.
    Every(f64),
    /// Only at, over or under the portion that it is made for.
    One,
    /// A weight in steps of so many g.
    Weight(f64),
}

/// What is known about a measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasureFacts {
    /// What it shows.
    pub marks: Marks,
    /// The maker's tolerance, plus or minus: mL of a vessel, g of a scale (read as mL of the product).
    pub tolerance: f64,
}

impl MeasureFacts {
    /// Variance of its persistent error on `amount` mL, relative: anywhere within the maker's
    /// tolerance (rectangular, JCGM 100, 4.3.7).
    #[must_use]
    pub fn class_variance(&self, amount: f64) -> f64 {
        (self.tolerance / amount).powi(2) / 3.0
    }

    /// The steps in which it is read, mL or g; people read a coarse vessel to half a division, and a
    /// fine one to a fifth. Zero where it has one mark.
    #[must_use]
    pub fn step(&self) -> f64 {
        match self.marks {
            Marks::Every(division) if division > 2.0 => division / 2.0,
            Marks::Every(division) => division / 5.0,
            Marks::Weight(resolution) => resolution,
            Marks::One => 0.0,
        }
    }
}

/// What things cost, in the group's currency. The defaults are assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prices {
    /// Product, a mL.
    pub product: f64,
    /// An hour of the crew.
    pub hour: f64,
    /// A wear part.
    pub part: f64,
    /// A technician's call.
    pub call: f64,
    /// A drink that is made again.
    pub remade: f64,
    /// Share of drinks made again while a line gives less than its tolerance allows.
    pub remade_share: f64,
}

impl Default for Prices {
    fn default() -> Self {
        Self { product: 0.006, hour: 15.0, part: 9.0, call: 120.0, remade: 1.5, remade_share: 0.03 }
    }
}

/// How long things take the crew, minutes. The defaults are assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Minutes {
    /// A catch.
    pub catch: f64,
    /// A catch on the scale.
    pub weigh: f64,
    /// An adjustment.
    pub adjust: f64,
    /// Teaching.
    pub teach: f64,
    /// A thorough clean of one line, beyond the one that every round has.
    pub clean: f64,
    /// A new part.
    pub replace: f64,
    /// A call for a technician.
    pub call: f64,
    /// Another container.
    pub container: f64,
    /// Any of these when it is only written down and not done.
    pub claim: f64,
}

impl Default for Minutes {
    fn default() -> Self {
        Self {
            catch: 1.2,
            weigh: 2.5,
            adjust: 0.8,
            teach: 1.5,
            clean: 5.0,
            replace: 8.0,
            call: 3.0,
            container: 2.0,
            claim: 0.2,
        }
    }
}

impl Facts {
    /// A machine of `lines` lines, as they come in this world. The sizes are assumed: portions of 20
    /// to 40 mL within 5 % (one line in four: 8 %), draws of 4 to 8 s. Beside it the seconds of a draw
    /// that really pour nothing.
    pub(crate) fn draw(nature: &Nature, lines: usize, chance: &mut Chance) -> (Self, f64) {
        let kind = chance.below(16);
        // Six of sixteen machines have screws, six are taught; the rest are of the other kinds.
        let adjuster = match kind {
            0..6 => Adjuster::Screw { step: 0.0125, known: nature.screw_response <= 0.05 },
            6..12 => Adjuster::Taught,
            12 => Adjuster::Notches { step: 0.03 },
            13 | 14 => Adjuster::Panel { step: 0.01, range: (-0.4, 0.4) },
            _ => Adjuster::None,
        };
        let by_dose = matches!(adjuster, Adjuster::Taught | Adjuster::Panel { .. });
        let late = chance.between(nature.opening_offset.0, nature.opening_offset.1);
        let offset = chance.happens(nature.offset_stated).then_some(late);
        let one_mark = chance.happens(nature.one_mark);
        let cup = if one_mark {
            MeasureFacts { marks: Marks::One, tolerance: 0.6 }
        } else if chance.happens(0.5) {
            MeasureFacts { marks: Marks::Every(2.0), tolerance: 1.0 }
        } else {
            MeasureFacts { marks: Marks::Every(1.0), tolerance: 0.5 }
        };
        let cylinder = MeasureFacts { marks: Marks::Every(1.0), tolerance: 0.5 };
        let mut measures = vec![cup, cylinder];
        let scale = chance.happens(nature.scales).then_some(measures.len());
        measures.extend(scale.map(|_| MeasureFacts { marks: Marks::Weight(0.1), tolerance: 0.1 }));
        let lines = (0..lines)
            .map(|_| {
                let measure = usize::from(chance.happens(0.3));
                let recipe = (2.0 * chance.between(4.0, 8.0)).round() / 2.0;
                let portions = if one_mark && measure == 0 { 1.0 } else { 2.0 };
                LineFacts {
                    target: chance.between(20.0, 40.0).round(),
                    tolerance: if chance.happens(0.25) { 0.08 } else { 0.05 },
                    draw: if by_dose {
                        DrawFacts::Doses { portions }
                    } else {
                        DrawFacts::Seconds { recipe, offset }
                    },
                    adjuster,
                    measure,
                    portions: chance.between(100.0, 400.0).round(),
                }
            })
            .collect();
        let facts = Self {
            lines,
            measures,
            scale,
            part_weeks: 26.0,
            thumb: nature.thumb,
            person_bias: nature.person_bias,
            draw_spread: nature.draw_spread,
            reading_share: nature.reading_share,
            at_mark: nature.at_mark,
            density_spread: nature.density_spread,
            prices: Prices::default(),
            minutes: Minutes::default(),
        };
        (facts, late)
    }

    /// Variance of the noise of one catch of `line` with a measure, relative, by its budget: draw,
    /// thumb, eye and rounding (first-order propagation, JCGM 100, 5.1.2). `seconds` are those drawn,
    /// where it is drawn by time.
    #[must_use]
    pub fn noise_variance(&self, line: usize, measure: usize, seconds: Option<f64>) -> f64 {
        let known = &self.lines[line];
        let measure = &self.measures[measure];
        let portions = self.portions_at_once(line);
        let (share, time) = match (known.draw, seconds) {
            (DrawFacts::Seconds { recipe, .. }, Some(seconds)) => {
                // The display's step of 0.1 s is rectangular (JCGM 100, F.2.2.1).
                (seconds / recipe, (self.thumb.powi(2) + 0.01 / 12.0) / seconds.powi(2))
            }
            _ => (portions, 0.0),
        };
        let amount = known.target * share;
        let eye = match measure.marks {
            Marks::Every(division) => {
                ((self.reading_share * division).powi(2) + measure.step().powi(2) / 12.0)
                    / amount.powi(2)
            }
            Marks::Weight(resolution) => {
                resolution.powi(2) / 12.0 / amount.powi(2) + self.density_spread.powi(2)
            }
            Marks::One => (self.at_mark / 3.0).powi(2),
        };
        self.draw_spread.powi(2) / portions + time + eye
    }

    /// How many portions a catch of `line` takes at once.
    #[must_use]
    pub fn portions_at_once(&self, line: usize) -> f64 {
        match self.lines[line].draw {
            DrawFacts::Seconds { .. } => 1.0,
            DrawFacts::Doses { portions } => portions,
        }
    }
}
