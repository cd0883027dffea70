//! What is read off the slow solution for the tables.

use super::Rings;

/// The regime numbers that are tabulated, four to the decade.
pub const REGIMES: [f64; 25] = [
    1.000000e-05,
    1.778279e-05,
    3.162278e-05,
    5.623413e-05,
    1.000000e-04,
    1.778279e-04,
    3.162278e-04,
    5.623413e-04,
    1.000000e-03,
    1.778279e-03,
    3.162278e-03,
    5.623413e-03,
    1.000000e-02,
    1.778279e-02,
    3.162278e-02,
    5.623413e-02,
    1.000000e-01,
    1.778279e-01,
    3.162278e-01,
    5.623413e-01,
    1.000000e+00,
    1.778279e+00,
    3.162278e+00,
    5.623413e+00,
    1.000000e+01,
];
/// The residues that are tabulated, largest first: at the outlet and in the line.
pub const RESIDUES: [f64; 33] = [
    0.99, 0.95, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.14, 0.1, 0.07, 0.05, 0.03, 0.02, 0.014,
    0.01, 7e-3, 5e-3, 3e-3, 2e-3, 1.4e-3, 1e-3, 7e-4, 5e-4, 3e-4, 2e-4, 1.4e-4, 1e-4, 5e-5, 2e-5,
    1e-5,
];
/// The residues in the line that are tabulated for two halves with a pause between them, largest first.
pub const PAUSED_RESIDUES: [f64; 16] = [
    0.3, 0.2, 0.14, 0.1, 0.07, 0.05, 0.03, 0.02, 0.014, 0.01, 7e-3, 5e-3, 3e-3, 2e-3, 1.4e-3, 1e-3,
];
/// The pauses that are tabulated, as D·t/a²: after the last, each cross-section is even.
pub const PAUSES: [f64; 6] = [1e-3, 3e-3, 0.01, 0.03, 0.1, 0.3];

/// The regime numbers that are tabulated for pauses: two to the decade, up to 0.1.
pub fn pause_regimes() -> impl Iterator<Item = f64> {
    REGIMES.into_iter().step_by(2).take(9)
}

/// The volumes at which the outlet and the line come down to each of [`RESIDUES`], as far as `most` volumes: `NAN` beyond.
#[must_use]
pub fn volumes_to_residues(
    mut tube: Rings,
    most: f64,
) -> ([f64; RESIDUES.len()], [f64; RESIDUES.len()]) {
    let (mut outlet, mut line) = (Falling::new(0.5), Falling::new(0.0));
    while tube.volumes() < most && outlet.next.min(line.next) < RESIDUES.len() {
        let before = tube.volumes();
        let out = tube.step();
        line.goes_to(tube.volumes(), tube.residue());
        // What came out is the mean over the step. In the convective limit, 1/(4θ²), that is the value at the geometric
        // mean of its ends; elsewhere the difference is of the second order of a short step.
        outlet.goes_to((before * tube.volumes()).sqrt(), out);
    }
    (outlet.crossed, line.crossed)
}

/// A residue that falls from 1, and where it crossed those of the table.
struct Falling {
    volumes: f64,
    residue: f64,
    next: usize,
    crossed: [f64; RESIDUES.len()],
}

impl Falling {
    fn new(volumes: f64) -> Falling {
        Falling { volumes, residue: 1.0, next: 0, crossed: [f64::NAN; RESIDUES.len()] }
    }

    /// Between two points the logarithm is taken as straight.
    fn goes_to(&mut self, volumes: f64, residue: f64) {
        if volumes <= self.volumes {
            return;
        }
        while self.next < RESIDUES.len() && residue <= RESIDUES[self.next] {
            let fallen = libm::log(self.residue / RESIDUES[self.next]);
            let of = libm::log(self.residue / residue);
            let part = if of > 0.0 { fallen / of } else { 1.0 };
            self.crossed[self.next] = self.volumes + part * (volumes - self.volumes);
            self.next += 1;
        }
        (self.volumes, self.residue) = (volumes, residue);
    }
}

/// The volumes, in two equal halves with a pause between them, at which the line comes down to each of [`PAUSED_RESIDUES`].
///
/// # Panics
/// As [`Rings::in_series`].
#[must_use]
pub fn volumes_with_pause(
    tau: f64,
    pause: f64,
    rings: usize,
    cells: usize,
) -> [f64; PAUSED_RESIDUES.len()] {
    let mut crossed = [f64::NAN; PAUSED_RESIDUES.len()];
    let mut first = Rings::new(tau, rings, cells);
    let (mut next, mut steps, mut last) = (0, 0, (0.0_f64, 1.0_f64));
    while next < crossed.len() {
        // Some 5 % further each time.
        let until = (steps + 1).max((f64::from(steps) * 1.05) as u32);
        while steps < until {
            first.step();
            steps += 1;
        }
        let mut second = first.clone();
        second.rest(pause);
        (0..steps).for_each(|_| _ = second.step());
        let (volumes, residue) = (second.volumes(), second.residue());
        while next < crossed.len() && residue <= PAUSED_RESIDUES[next] {
            let part = libm::log(last.1 / PAUSED_RESIDUES[next]) / libm::log(last.1 / residue);
            crossed[next] = libm::exp(libm::log(last.0) + part * libm::log(volumes / last.0));
            next += 1;
        }
        last = (volumes, residue);
    }
    crossed
}
