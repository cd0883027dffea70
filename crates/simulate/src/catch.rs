//! One draw into a measure: how long it ran, what came, what was read.

use crate::chance::Chance;
use crate::crew::Person;
use crate::kitchen::{Piece, Poured, Read, read};
use crate::plant::{Clock, RecipeDraw};
use crate::world::World;

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted {
    pub(crate) recipe: RecipeDraw,
    /// How the seconds are taken.
    pub(crate) clock: Clock,
    /// Seconds of a draw that pour nothing.
    pub(crate) offset: f64,
    /// The recipe's portion, mL.
    pub(crate) target: f64,
    /// log(true portion / target) at the recipe's own draw.
    pub(crate) level: f64,
    /// True density, g/mL.
    pub(crate) density: f64,
    /// The density that the reader believes in.
    pub(crate) believed: f64,
}

/// Draws once, and reads.
///
/// Gives what was read, and the draw as read: `7.1 s`, `2 doses`.
pub(crate) fn draw(
    wanted: Wanted,
    piece: &Piece,
    person: &Person,
    world: &World,
    chance: &mut Chance,
) -> (Read, String) {
    let Wanted { target, density, believed, .. } = wanted;
    let noise = chance.normal(world.draw_spread);
    match wanted.recipe {
        RecipeDraw::Seconds(recipe) => {
            // A measure that is too small is filled for a shorter time.
            let asked = recipe * (0.9 * piece.holds / target).min(1.0);
            let (ran, shown, step) = match wanted.clock {
                Clock::Thumb(step) => {
                    let ran = (asked + chance.normal(world.stop_spread)).max(0.3);
                    let seen = ran + person.timing_bias + chance.normal(world.thumb);
                    (ran, (seen / step).round().max(1.0) * step, step)
                }
                Clock::Machine(tolerance) => {
                    (asked + chance.between(-tolerance, tolerance), asked, 0.1)
                }
            };
            let flow = target * libm::exp(wanted.level + noise) / (recipe - wanted.offset);
            let volume = flow * (ran - wanted.offset).max(0.0);
            let hoped = target * shown / recipe;
            let read = read(piece, Poured { volume, hoped, density, believed }, world, chance);
            (read, format!("{shown:.*} s", crate::kitchen::decimals(step)))
        }
        RecipeDraw::Doses(doses) => {
            // Two portions at once where they fit; a cup with one mark takes what its mark says.
            let fits = if piece.marks_only() {
                piece.mark() / target
            } else {
                (piece.holds / target).min(2.0)
            };
            let portions = fits.round().max(1.0);
            let count = portions * f64::from(doses);
            let volume = portions * target * libm::exp(wanted.level + noise / count.sqrt());
            let poured = Poured { volume, hoped: portions * target, density, believed };
            let read = read(piece, poured, world, chance);
            (read, format!("{count} dose{}", if count > 1.0 { "s" } else { "" }))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kitchen::{Shows, WrittenUnit};

    fn scale() -> Piece {
        let unit = WrittenUnit { text: "g".to_owned(), size: 1.0 };
        let shows = Shows::Weight { resolution: 0.01, unit, tared: false };
        Piece { key: "scale".to_owned(), shows, tolerance: 0.0, error: 0.0, holds: f64::INFINITY }
    }

    fn nobody() -> Person {
        Person { name: "Nobody".to_owned(), timing_bias: 0.0, adjusts_at: None }
    }

    fn wanted(recipe: RecipeDraw) -> Wanted {
        Wanted {
            recipe,
            clock: Clock::Thumb(0.1),
            offset: 0.0,
            target: 30.0,
            level: 0.05,
            density: 1.2,
            believed: 1.2,
        }
    }

    // A timed catch spreads by the thumb (relative to its seconds), the draw and the display's step:
    // first-order propagation, JCGM 100, 5.1.2; thumb 0.10 s (Am. J. Phys. 87(2) 110, 2019).
    #[test]
    fn a_timed_catch_spreads_by_thumb_and_draw() {
        let world = World::default();
        let mut chance = Chance::new(11, "thumb");
        let n = 20_000;
        let logs: Vec<f64> = (0..n)
            .map(|_| {
                let (read, _) = draw(
                    wanted(RecipeDraw::Seconds(6.0)),
                    &scale(),
                    &nobody(),
                    &world,
                    &mut chance,
                );
                (1.0 + read.deviation).ln()
            })
            .collect();
        let mean = logs.iter().sum::<f64>() / f64::from(n);
        let sd = (logs.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(n - 1)).sqrt();
        let time = (world.thumb.powi(2) + 0.01 / 12.0).sqrt() / 6.0;
        let expected = time.hypot(world.draw_spread);
        assert!((mean - 0.05).abs() < 5.0 * expected / f64::from(n).sqrt() + time * time, "{mean}");
        assert!((sd / expected - 1.0).abs() < 0.03, "{sd} {expected}");
    }

    #[test]
    fn doses_fill_the_measure_twice_at_most() {
        let world = World { draw_spread: 0.0, ..World::default() };
        let mut chance = Chance::new(1, "doses");
        let mut text = |holds, doses| {
            let piece = Piece { holds, ..scale() };
            draw(wanted(RecipeDraw::Doses(doses)), &piece, &nobody(), &world, &mut chance).1
        };
        assert_eq!(text(f64::INFINITY, 1), "2 doses");
        assert_eq!(text(40.0, 1), "1 dose");
        assert_eq!(text(100.0, 2), "4 doses");
    }

    // A valve that opens late pours flow × (t − offset): at the recipe's own draw the portion is whole.
    #[test]
    fn an_opening_offset_leaves_the_recipes_own_draw_unchanged() {
        let world = World { draw_spread: 0.0, stop_spread: 0.0, thumb: 0.0, ..World::default() };
        let mut chance = Chance::new(1, "offset");
        let late = Wanted { offset: 0.4, level: 0.0, ..wanted(RecipeDraw::Seconds(6.0)) };
        let (read, text) = draw(late, &scale(), &nobody(), &world, &mut chance);
        assert!(read.deviation.abs() < 1e-3, "{}", read.deviation);
        assert_eq!(text, "6.0 s");
    }
}
