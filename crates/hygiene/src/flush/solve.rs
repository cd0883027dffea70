//! The slow way: a straight tube as rings and cells, from which the tables were made. Takes from a tenth of a second to
//! minutes, so nothing calls it but the example that makes the tables, and tests.
//!
//! Old and new liquid are equally thick and dense, the flow is laminar, and nothing spreads along the tube by itself. With
//! s = (r/a)², ξ the share of the volume that lies upstream and θ the volumes that have passed:
//!
//! ∂c/∂θ + 2(1 − s) ∂c/∂ξ = τ · 4 ∂/∂s (s ∂c/∂s),  τ = π·D·L/Q.
//!
//! Rings of equal area move at odd multiples of the slowest, so that a step moves each by whole cells: the flow is exact,
//! and nothing is smeared by it. Between steps the rings exchange by a matrix exponential, half before and half after
//! (Strang, 1968): mass is kept and no concentration leaves 0 to 1.

mod tabulate;

use core::ops::Range;

pub use tabulate::{
    PAUSED_RESIDUES, PAUSES, REGIMES, RESIDUES, pause_regimes, volumes_to_residues,
    volumes_with_pause,
};

/// Concentrations below this are not exchanged between rings.
const NOTHING: f64 = 1e-14;
/// Cells that are worked on at once.
const BLOCK: usize = 128;

/// A tube full of old liquid, one volume of which is 1.
#[derive(Debug, Clone)]
pub struct Rings {
    rings: usize,
    cells: usize,
    /// Share of old liquid, ring by ring from the axis, in each from the inlet to the outlet.
    old: Vec<f64>,
    pieces: Vec<Piece>,
    /// Whether half a step of exchange is still due.
    due: bool,
    volumes: f64,
}

/// A piece of one bore: its cells, its share of the volume over the square of its radius, and what its rings exchange.
#[derive(Debug, Clone)]
struct Piece {
    cells: Range<usize>,
    rate: f64,
    half: Exchange,
    full: Exchange,
}

impl Rings {
    /// One tube. `tau` is π·D·L/Q.
    ///
    /// # Panics
    /// As [`Rings::in_series`].
    #[must_use]
    pub fn new(tau: f64, rings: usize, cells: usize) -> Rings {
        Rings::in_series(&[(1.0, tau)], rings, cells)
    }

    /// Tubes of different bores one after another: the share of the volume that each holds, and its own π·D·L/Q.
    ///
    /// # Panics
    /// Without a tube or a ring, or with fewer than two cells to a ring.
    #[must_use]
    pub fn in_series(tubes: &[(f64, f64)], rings: usize, cells: usize) -> Rings {
        assert!(
            !tubes.is_empty() && rings > 0 && cells >= 2 * rings,
            "a step moves by whole cells"
        );
        let step = rings as f64 / cells as f64;
        let (mut from, mut share) = (0, 0.0);
        let mut pieces = Vec::with_capacity(tubes.len());
        for (volume, tau) in tubes {
            share += volume;
            let to = ((share * cells as f64).round() as usize).min(cells);
            let rate = tau / volume;
            pieces.push(Piece {
                cells: from..to,
                rate,
                half: Exchange::new(rings, 0.5 * step * rate),
                full: Exchange::new(rings, step * rate),
            });
            from = to;
        }
        Rings { rings, cells, old: vec![1.0; rings * cells], pieces, due: false, volumes: 0.0 }
    }

    /// The volumes that pass in one step.
    #[must_use]
    pub fn step_volumes(&self) -> f64 {
        self.rings as f64 / self.cells as f64
    }

    /// The volumes that have passed.
    #[must_use]
    pub fn volumes(&self) -> f64 {
        self.volumes
    }

    /// The old liquid that is left in the tube, over its volume.
    #[must_use]
    pub fn residue(&self) -> f64 {
        self.old.iter().sum::<f64>() / self.old.len() as f64
    }

    /// One step of flow; gives the share of old liquid in what came out.
    pub fn step(&mut self) -> f64 {
        let due = self.due;
        self.exchange(|piece| if due { &piece.full } else { &piece.half });
        self.due = true;
        let mut out = 0.0;
        for (ring, at) in self.old.chunks_exact_mut(self.cells).zip(0..) {
            let moved = 2 * (self.rings - at) - 1;
            let stays = self.cells - moved;
            out += ring[stays..].iter().sum::<f64>();
            ring.copy_within(..stays, moved);
            ring[..moved].fill(0.0);
        }
        self.volumes += self.step_volumes();
        out / (self.rings * self.rings) as f64
    }

    /// A pause, in the first piece as long as `D·t/a²` says, in the others in the same time.
    pub fn rest(&mut self, d_t_over_a2: f64) {
        if self.due {
            self.exchange(|piece| &piece.half);
            self.due = false;
        }
        let first = self.pieces[0].rate;
        let pauses: Vec<Exchange> = self
            .pieces
            .iter()
            .map(|piece| if first > 0.0 { piece.rate / first } else { 1.0 })
            .map(|faster| Exchange::new(self.rings, d_t_over_a2 * faster))
            .collect();
        for (piece, pause) in self.pieces.iter().zip(&pauses) {
            pause.apply(&mut self.old, self.cells, piece.cells.clone());
        }
    }

    fn exchange(&mut self, which: impl Fn(&Piece) -> &Exchange) {
        for piece in &self.pieces {
            which(piece).apply(&mut self.old, self.cells, piece.cells.clone());
        }
    }
}

/// What each ring gets from every other in some time: rows of a matrix, without the zeros at their ends.
#[derive(Debug, Clone)]
struct Exchange {
    rows: Vec<(usize, Vec<f64>)>,
}

impl Exchange {
    /// exp(A·t), where A exchanges between neighbours. All terms are positive: no cancellation.
    fn new(rings: usize, t: f64) -> Exchange {
        let inward = |ring: usize| 4.0 * (rings * ring) as f64;
        let outward = |ring: usize| if ring + 1 < rings { inward(ring + 1) } else { 0.0 };
        let fastest = (0..rings).map(|ring| inward(ring) + outward(ring)).fold(1.0, f64::max);
        let mut x = fastest * t;
        let mut squarings = 0;
        while x > 1.0 {
            x *= 0.5;
            squarings += 1;
        }
        let once = |of: &[f64]| {
            let mut out = vec![0.0; rings * rings];
            for ring in 0..rings {
                let (a, b) = (inward(ring) / fastest, outward(ring) / fastest);
                for at in 0..rings {
                    let mut sum = (1.0 - a - b) * of[ring * rings + at];
                    if ring > 0 {
                        sum += a * of[(ring - 1) * rings + at];
                    }
                    if ring + 1 < rings {
                        sum += b * of[(ring + 1) * rings + at];
                    }
                    out[ring * rings + at] = sum;
                }
            }
            out
        };
        let mut power = vec![0.0; rings * rings];
        power.iter_mut().step_by(rings + 1).for_each(|one| *one = 1.0);
        let mut weight = libm::exp(-x);
        let mut sum: Vec<f64> = power.iter().map(|value| weight * value).collect();
        for order in 1..20 {
            power = once(&power);
            weight *= x / f64::from(order);
            sum.iter_mut().zip(&power).for_each(|(sum, value)| *sum += weight * value);
        }
        for _ in 0..squarings {
            sum = squared(&sum, rings);
        }
        let rows = sum.chunks_exact(rings).map(|row| {
            let from = row.iter().position(|value| *value > NOTHING).unwrap_or(0);
            let to = row.iter().rposition(|value| *value > NOTHING).unwrap_or(0);
            (from, row[from..=to].to_vec())
        });
        Exchange { rows: rows.collect() }
    }

    fn apply(&self, old: &mut [f64], cells: usize, among: Range<usize>) {
        let mut block = vec![0.0; self.rows.len() * BLOCK];
        for from in among.clone().step_by(BLOCK) {
            let width = BLOCK.min(among.end - from);
            for (kept, ring) in block.chunks_exact_mut(BLOCK).zip(old.chunks_exact(cells)) {
                kept[..width].copy_from_slice(&ring[from..from + width]);
            }
            for ((first, row), ring) in self.rows.iter().zip(old.chunks_exact_mut(cells)) {
                let out = &mut ring[from..from + width];
                out.fill(0.0);
                for (share, kept) in row.iter().zip(block.chunks_exact(BLOCK).skip(*first)) {
                    out.iter_mut().zip(kept).for_each(|(out, kept)| *out += share * kept);
                }
            }
        }
    }
}

fn squared(matrix: &[f64], size: usize) -> Vec<f64> {
    let mut out = vec![0.0; size * size];
    for (row, out) in matrix.chunks_exact(size).zip(out.chunks_exact_mut(size)) {
        for (factor, other) in row.iter().zip(matrix.chunks_exact(size)) {
            if *factor > 0.0 {
                out.iter_mut().zip(other).for_each(|(out, value)| *out += factor * value);
            }
        }
    }
    out
}
