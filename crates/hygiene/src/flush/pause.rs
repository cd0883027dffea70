//! Two halves of a flush with a pause between them: what the wall held spreads into the stream, and the second half takes
//! it along (HY-120, SIM).

use ouncewise_measure::Seconds;

use super::Place;
use super::curve::Pchip;
use super::lookup::{Fall, cubic};
use super::pause_table::PAUSED;
use super::solve::{PAUSED_RESIDUES, PAUSES, REGIMES};
use crate::fluid::Diffusivity;
use crate::line::Millimetres;

/// After this `D·t/a²` each cross-section is even, and a longer pause gains nothing.
pub const LONGEST_USEFUL_PAUSE: f64 = PAUSES[PAUSES.len() - 1];

/// `D·t/a²` of a pause: 0.01 is about 3 min for sugar in 6.35 mm.
#[must_use]
pub fn pause_number(pause: Seconds, bore: Millimetres, diffusivity: Diffusivity) -> f64 {
    let radius = 0.5e-3 * bore.0;
    diffusivity.0 * pause.0 / (radius * radius)
}

/// The volumes, in two equal halves, after which this share is left in the line; nothing outside the tables, which hold
/// residues from 30 % to 0.1 % and regime numbers from 1e-5 to 0.1. Within 1 % of the slow solution.
pub(super) fn volumes(tau: f64, pause: f64, residue: f64) -> Option<f64> {
    let (most, least) = (PAUSED_RESIDUES[0], PAUSED_RESIDUES[PAUSED_RESIDUES.len() - 1]);
    let place = 2.0 * libm::log10(tau / REGIMES[0]);
    let last = (PAUSED.len() - 1) as f64;
    if !((least..=most).contains(&residue) && (0.0..=last + 1e-9).contains(&place) && pause >= 0.0)
    {
        return None;
    }
    let straight = || libm::log(Fall::new(tau).volumes(Place::Line, residue));
    let shares: Vec<f64> = PAUSED_RESIDUES.iter().map(|share| -libm::log(*share)).collect();
    let at = |pause: usize| {
        cubic(place, PAUSED.len(), |row| {
            let volumes = PAUSED[row][pause].iter().map(|volumes| libm::log(*volumes)).collect();
            Pchip::new(shares.clone(), volumes).at(-libm::log(residue))
        })
    };
    let log = if pause < PAUSES[0] {
        let part = pause / PAUSES[0];
        (1.0 - part) * straight() + part * at(0)
    } else {
        let pauses = PAUSES.iter().map(|pause| libm::log(*pause)).collect();
        let pause = libm::log(pause.min(LONGEST_USEFUL_PAUSE));
        Pchip::new(pauses, (0..PAUSES.len()).map(at).collect()).at(pause)
    };
    Some(libm::exp(log))
}
