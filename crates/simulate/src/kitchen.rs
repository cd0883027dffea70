//! The measures of one kitchen as they really are, and what people read off them.

use crate::chance::Chance;
use crate::world::World;

/// A unit as it is written, and how many mL or g it stands for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct WrittenUnit {
    pub(crate) text: String,
    pub(crate) size: f64,
}

/// What a measure can show.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shows {
    /// A volume by eye, one division every so many mL.
    Divisions {
        /// mL.
        division: f64,
        /// The unit of its marks.
        unit: WrittenUnit,
    },
    /// One mark only.
    OneMark {
        /// mL.
        mark: f64,
        /// As written: `30 mL`.
        text: String,
    },
    /// A weight in steps of so many g.
    Weight {
        /// g.
        resolution: f64,
        /// The unit of its display.
        unit: WrittenUnit,
        /// Whether the empty vessel is read as well.
        tared: bool,
    },
}

/// One measure at a site, with the persistent error that nobody sees.
#[derive(Debug, Clone)]
pub(crate) struct Piece {
    /// Key of the measure at its site.
    pub(crate) key: String,
    pub(crate) shows: Shows,
    /// The maker's tolerance, plus or minus: mL of a vessel, g of a scale.
    pub(crate) tolerance: f64,
    /// What it shows beyond the truth, same unit.
    pub(crate) error: f64,
    /// The largest draw it takes, in mL.
    pub(crate) holds: f64,
}

impl Piece {
    /// Another piece of the same kind comes into this place. Its error lies anywhere within the
    /// maker's tolerance (rectangular, JCGM 100, 4.3.7).
    pub(crate) fn renew(&mut self, chance: &mut Chance) {
        self.error = chance.between(-self.tolerance, self.tolerance);
    }

    /// Whether it can only say at, over or under.
    pub(crate) fn marks_only(&self) -> bool {
        matches!(self.shows, Shows::OneMark { .. })
    }

    /// Its only mark, mL; what it holds where it is graduated.
    pub(crate) fn mark(&self) -> f64 {
        if let Shows::OneMark { mark, .. } = self.shows { mark } else { self.holds }
    }

    /// How doubtful a reading of `amount` mL is, relative: to find the better measure.
    pub(crate) fn doubt(&self, amount: f64) -> f64 {
        match &self.shows {
            _ if amount > self.holds => f64::INFINITY,
            Shows::Divisions { division, .. } => (self.tolerance + 0.5 * division) / amount,
            Shows::OneMark { .. } => f64::INFINITY,
            Shows::Weight { resolution, .. } => (self.tolerance + resolution) / amount,
        }
    }
}

/// What is poured into a measure, and what the reader thinks of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Poured {
    /// The true volume, mL.
    pub(crate) volume: f64,
    /// The volume that was hoped for, mL.
    pub(crate) hoped: f64,
    /// True density, g/mL.
    pub(crate) density: f64,
    /// The density that the reader believes in.
    pub(crate) believed: f64,
}

/// What was read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Read {
    /// As kept in the ledger: `29.5 mL`, `38.2 g`, `over the 30 mL mark`.
    pub(crate) text: String,
    /// Relative deviation from what was hoped for, as the reader sees it.
    pub(crate) deviation: f64,
}

/// Reads `poured` off `piece`.
pub(crate) fn read(piece: &Piece, poured: Poured, world: &World, chance: &mut Chance) -> Read {
    match &piece.shows {
        Shows::Divisions { division, unit } => {
            // People read a coarse vessel to half a division, and a fine one to a fifth.
            let step = if *division > 2.0 { division / 2.0 } else { division / 5.0 };
            let seen = poured.volume + piece.error + chance.normal(world.reading_share * division);
            let shown = (seen.max(0.0) / step).round() * step;
            Read { text: written(shown, step, unit), deviation: shown / poured.hoped - 1.0 }
        }
        Shows::OneMark { mark, text } => {
            let eye = chance.normal(world.at_mark / 3.0);
            let off = (poured.volume + piece.error) / mark - 1.0 + eye;
            let (side, deviation) = if off.abs() <= world.at_mark {
                ("at", 0.0)
            } else if off > 0.0 {
                ("over", world.mark_means)
            } else {
                ("under", -world.mark_means)
            };
            Read { text: format!("{side} the {text} mark"), deviation }
        }
        Shows::Weight { resolution, unit, tared } => {
            let step = *resolution;
            let net = (poured.volume * poured.density + piece.error).max(0.0);
            let display = |weight: f64| (weight / step).round() * step;
            // Tare and gross are two readings, each rounded to the display's step.
            let cup = if *tared { 10.0 * step + chance.between(0.0, step) } else { 0.0 };
            let shown = (display(cup + net) - display(cup)).max(0.0);
            let hoped = poured.hoped * poured.believed;
            Read { text: written(shown, step, unit), deviation: shown / hoped - 1.0 }
        }
    }
}

/// `amount` (mL or g), read in steps of `step`, in the unit of the measure.
fn written(amount: f64, step: f64, unit: &WrittenUnit) -> String {
    format!("{:.*} {}", decimals(step / unit.size), amount / unit.size, unit.text)
}

/// Decimals that a reading in steps of `step` needs, at most four.
pub(crate) fn decimals(step: f64) -> usize {
    let whole = |scaled: f64| (scaled - scaled.round()).abs() < 1e-6;
    (0..4).find(|n| whole(step * libm::pow(10.0, f64::from(*n)))).map_or(4, |n: u8| n.into())
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    fn piece(shows: Shows, tolerance: f64) -> Piece {
        Piece { key: "m".to_owned(), shows, tolerance, error: 0.0, holds: 100.0 }
    }

    fn unit(text: &str, size: f64) -> WrittenUnit {
        WrittenUnit { text: text.to_owned(), size }
    }

    fn divisions(division: f64) -> Shows {
        Shows::Divisions { division, unit: unit("mL", 1.0) }
    }

    fn text(shows: Shows, volume: f64) -> String {
        let poured = Poured { volume, hoped: 30.0, density: 1.25, believed: 1.25 };
        read(&piece(shows, 0.5), poured, &World::default(), &mut Chance::new(2, "digits")).text
    }

    // Rectangular distribution: mean 0, variance a²/3 (JCGM 100, 4.3.7).
    #[test]
    fn the_errors_of_pieces_fill_the_makers_tolerance() {
        let mut chance = Chance::new(5, "pieces");
        let mut cylinder = piece(divisions(1.0), 0.5);
        let n = 20_000;
        let errors: Vec<f64> = (0..n)
            .map(|_| {
                cylinder.renew(&mut chance);
                cylinder.error
            })
            .collect();
        let mean = errors.iter().sum::<f64>() / f64::from(n);
        let variance = errors.iter().map(|e| e * e).sum::<f64>() / f64::from(n);
        let expected = 0.25 / 3.0;
        assert!(mean.abs() < 4.0 * (expected / f64::from(n)).sqrt());
        // Kurtosis of the rectangle is 9/5, so the variance of e² is 0.8 σ⁴.
        assert!((variance / expected - 1.0).abs() < 4.0 * (0.8 / f64::from(n)).sqrt());
        assert!(errors.iter().all(|e| e.abs() <= 0.5));
    }

    #[test]
    fn readings_have_the_digits_and_unit_of_their_measure() {
        let fine = text(divisions(1.0), 30.0);
        assert!(
            fine.ends_with(" mL") && fine.split_once('.').is_some_and(|(_, d)| d.len() == 4),
            "{fine}"
        );
        assert!(!text(divisions(10.0), 31.0).contains('.'));
        let ounces =
            Shows::Divisions { division: 29.5735 / 8.0, unit: unit("fl oz (US)", 29.5735) };
        assert!(text(ounces, 29.5735).ends_with(" fl oz (US)"));
        let tenth = Shows::Weight { resolution: 0.1, unit: unit("g", 1.0), tared: false };
        assert_eq!(text(tenth, 30.0), "37.5 g");
        let gram = Shows::Weight { resolution: 1.0, unit: unit("g", 1.0), tared: false };
        assert_eq!(text(gram, 30.4), "38 g");
    }

    #[test]
    fn a_cup_with_one_mark_says_only_its_side() {
        let cup = || Shows::OneMark { mark: 30.0, text: "30 mL".to_owned() };
        assert_eq!(text(cup(), 36.0), "over the 30 mL mark");
        assert_eq!(text(cup(), 24.0), "under the 30 mL mark");
        assert_eq!(text(cup(), 30.0), "at the 30 mL mark");
    }

    // The spread of a graduated reading: the eye's share and the rounding, r²/12 (JCGM 100, F.2.2.1).
    #[test]
    fn readings_spread_as_configured() {
        let world = World::default();
        let mut chance = Chance::new(9, "eye");
        let cylinder = piece(divisions(1.0), 0.5);
        let poured = Poured { volume: 30.07, hoped: 30.0, density: 1.0, believed: 1.0 };
        let n = 20_000;
        let seen: Vec<f64> = (0..n)
            .map(|_| 30.0 * (1.0 + read(&cylinder, poured, &world, &mut chance).deviation))
            .collect();
        let mean = seen.iter().sum::<f64>() / f64::from(n);
        let variance = seen.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(n - 1);
        let expected = world.reading_share.powi(2) + 0.2_f64.powi(2) / 12.0;
        assert!((mean - 30.07).abs() < 4.0 * (expected / f64::from(n)).sqrt(), "{mean}");
        assert!((variance / expected - 1.0).abs() < 0.05, "{variance} {expected}");
    }

    #[test]
    fn decimals_follow_the_step() {
        assert_eq!([1.0, 5.0, 0.5, 0.1, 0.2, 0.25].map(decimals), [0, 0, 1, 1, 1, 2]);
    }
}
