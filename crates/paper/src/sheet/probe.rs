//! What the program would say of a reading, asked before anybody reads: the sheet's windows are where its act changes.

use ouncewise_measure::showing::{self, show};
use ouncewise_measure::{
    Act, Amount, Catch, Draw, Grams, MarkSide, Millilitres, Seconds, Setup, ShowError, Showing,
    Verdict,
};

/// What is read at the machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Reading {
    /// Millilitres after a draw.
    Volume(Draw),
    /// Grams after a draw.
    Mass(Draw),
    /// The seconds that it takes to fill to a mark, in mL.
    Seconds(f64),
}

/// A line as it is set up, and how it is read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Probe<'a> {
    pub setup: &'a Setup,
    pub reading: Reading,
    /// The reading of a line that is exactly right, in mL, g or s.
    pub right: f64,
    /// How many catches have this reading as their mean.
    pub catches: usize,
}

/// Readings at which the act changes, in mL, g or s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edges {
    /// Between these the line is shown on target; `None` where no reading shows it.
    pub leave: Option<(f64, f64)>,
    /// At this and beyond, on the side of too little, the act is to adjust.
    pub too_little: Option<f64>,
    /// The same on the side of too much.
    pub too_much: Option<f64>,
}

/// Halvings of a search: a billionth of the reading, far finer than any step that is printed.
const HALVINGS: u32 = 30;

/// Steps of the way from the right reading to a far one.
const STEPS: u32 = 64;

/// A little over half: what pours less than half of its portion is a fault, and no reading to adjust by.
const LEAST: f64 = 0.51;

/// Grams that a scale shows for a millilitre of drinking water: midway between 0 °C and 30 °C, weighed in air.
const WATER: f64 = 0.9967;

/// Nobody adjusts by more than this at once.
const MOST: f64 = 3.0;

impl<'a> Probe<'a> {
    /// Finds the reading of a line that is exactly right.
    ///
    /// # Errors
    /// What is wrong with the setup.
    pub fn new(setup: &'a Setup, reading: Reading) -> Result<Probe<'a>, ShowError> {
        let target = setup.aim.target.value();
        let offset = setup.opening_offset.map_or(0.0, |o| o.0).max(0.0);
        let (mut low, mut high) = match reading {
            Reading::Seconds(_) => (offset + 1e-3, offset + 1e4),
            _ => (1e-2 * target, 1e3 * target),
        };
        let mut probe = Probe { setup, reading, right: 0.5 * (low + high), catches: 1 };
        for _ in 0..60 {
            probe.right = 0.5 * (low + high);
            let portion = probe.show(probe.right)?.portion.unwrap_or(target);
            // More seconds to the mark are less flow.
            let fewer = matches!(reading, Reading::Seconds(_));
            if (portion > target) == fewer {
                low = probe.right;
            } else {
                high = probe.right;
            }
        }
        Ok(probe)
    }

    /// The same, asked of the mean of so many catches.
    pub fn mean_of(self, catches: usize) -> Probe<'a> {
        Probe { catches, ..self }
    }

    /// What this reading shows.
    fn show(&self, reading: f64) -> Result<Showing, ShowError> {
        let (amount, draw) = match self.reading {
            Reading::Volume(draw) => (Amount::Volume(Millilitres(reading)), draw),
            Reading::Mass(draw) => (Amount::Mass(Grams(reading)), draw),
            Reading::Seconds(mark) => {
                (Amount::Volume(Millilitres(mark)), Draw::Time(Seconds(reading)))
            }
        };
        self.caught(amount, draw)
    }

    /// What a catch shows; on a ratio line, beside water that is exactly right.
    fn caught(&self, amount: Amount, draw: Draw) -> Result<Showing, ShowError> {
        let water = self.setup.aim.water.map(|(water, _)| (self.water(water.0), draw_of(self)));
        show(self.setup, &vec![Catch { amount, draw, temperature: None, water }; self.catches])
    }

    /// What a cup shows that only says on which side of its mark the liquid stands.
    pub fn at_mark(
        &self,
        side: MarkSide,
        mark: Millilitres,
        draw: Draw,
    ) -> Result<Showing, ShowError> {
        self.caught(Amount::Mark(side, mark), draw)
    }

    /// Water in what the measure reads.
    fn water(&self, millilitres: f64) -> Amount {
        match self.reading {
            Reading::Mass(_) => Amount::Mass(Grams(WATER * millilitres)),
            _ => Amount::Volume(Millilitres(millilitres)),
        }
    }

    /// Where the act changes.
    pub fn edges(&self) -> Edges {
        let (little, much) = self.far();
        let on =
            |s: &Showing| s.verdict == Verdict::OnTarget && s.subject == showing::Subject::Portion;
        let adjust = |s: &Showing| matches!(s.act, Act::Adjust(_) | Act::Call);
        let leave = self.holds(self.right, on).then(|| {
            let ends = (self.last(little, on), self.last(much, on));
            if ends.0 < ends.1 { ends } else { (ends.1, ends.0) }
        });
        Edges {
            leave,
            too_little: self.all_beyond(little, adjust),
            too_much: self.all_beyond(much, adjust),
        }
    }

    /// The water that is shown to be right: least and most, in what the measure reads. `None` where no reading shows it.
    pub fn water_edges(&self) -> Option<(f64, f64)> {
        let (asks, _) = self.setup.aim.water?;
        let right = |reading: f64| {
            let water = Some((self.water(reading), draw_of(self)));
            let (amount, draw) = match self.reading {
                Reading::Mass(draw) => (Amount::Mass(Grams(self.right)), draw),
                Reading::Volume(draw) => (Amount::Volume(Millilitres(self.right)), draw),
                Reading::Seconds(mark) => {
                    (Amount::Volume(Millilitres(mark)), Draw::Time(Seconds(self.right)))
                }
            };
            show(self.setup, &[Catch { amount, draw, temperature: None, water }])
                .is_ok_and(|s| s.subject == showing::Subject::Portion)
        };
        let shown = match self.reading {
            Reading::Mass(_) => WATER,
            _ => 1.0,
        };
        let end = |far: f64| shown * edge(asks.0, far * asks.0, right);
        right(asks.0).then(|| (end(0.5), end(2.0)))
    }

    /// Readings far on the side of too little and of too much.
    fn far(&self) -> (f64, f64) {
        match self.reading {
            Reading::Seconds(_) => {
                let offset = self.setup.opening_offset.map_or(0.0, |o| o.0);
                let flowing = self.right - offset;
                (offset + flowing / LEAST, offset + flowing / MOST)
            }
            _ => (LEAST * self.right, MOST * self.right),
        }
    }

    fn holds(&self, reading: f64, what: impl Fn(&Showing) -> bool) -> bool {
        self.show(reading).is_ok_and(|s| what(&s))
    }

    /// The reading from which on all the way to `far` something holds; `None` if it does not hold at `far`.
    ///
    /// Acts may come and go on the way (a scale is worth it in one place and not in the next), so the way is walked in
    /// steps from its far end before the last step is halved.
    fn all_beyond(&self, far: f64, what: impl Fn(&Showing) -> bool) -> Option<f64> {
        let at = |step: u32| self.right + (far - self.right) * f64::from(step) / f64::from(STEPS);
        let other = (0..=STEPS).rev().find(|step| !self.holds(at(*step), &what));
        match other {
            Some(STEPS) => None,
            Some(step) => Some(edge(at(step + 1), at(step), |reading| self.holds(reading, &what))),
            None => Some(self.right),
        }
    }

    /// The last reading from the right one towards `far` for which something holds.
    fn last(&self, far: f64, what: impl Fn(&Showing) -> bool) -> f64 {
        edge(self.right, far, |reading| self.holds(reading, &what))
    }
}

/// The draw that the water is caught over: the recipe's.
fn draw_of(probe: &Probe<'_>) -> Draw {
    probe.setup.aim.draw
}

/// The last place from `near`, where something holds, towards `far`.
fn edge(mut near: f64, mut far: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let half = 0.5 * (near + far);
        if holds(half) {
            near = half;
        } else {
            far = half;
        }
    }
    near
}
