//! The innermost loops, in the widest steps that the processor has.
//!
//! Every element is computed by itself, in the same order, and each product is rounded before it is added: wider steps give
//! the same bits.

use multiversion::multiversion;

/// Takes `pull` g gᵀ off a covariance whose rows are as long as g.
#[multiversion(targets("x86_64+avx2"))]
pub(crate) fn shrink(covariance: &mut [f64], gains: &[f64], pull: f64) {
    match gains.len() {
        // Machines of 5 to 8 lines and of 9 to 12: lengths that are known beforehand need no loop.
        16 => shrink_rows::<16>(covariance, gains, pull),
        20 => shrink_rows::<20>(covariance, gains, pull),
        0 => {}
        width => {
            for (row, gain) in covariance.chunks_exact_mut(width).zip(gains) {
                take_off(row, gains, pull * gain);
            }
        }
    }
}

#[inline(always)]
fn shrink_rows<const WIDTH: usize>(covariance: &mut [f64], gains: &[f64], pull: f64) {
    let Some(gains) = gains.first_chunk::<WIDTH>() else { return };
    for (row, gain) in covariance.as_chunks_mut::<WIDTH>().0.iter_mut().zip(gains) {
        take_off(row, gains, pull * gain);
    }
}

#[inline(always)]
fn take_off(row: &mut [f64], gains: &[f64], share: f64) {
    for (covariance, gain) in row.iter_mut().zip(gains) {
        *covariance -= share * gain;
    }
}

/// Sums these rows of a matrix whose rows are as long as the sum.
#[multiversion(targets("x86_64+avx2"))]
pub(crate) fn gather(sum: &mut [f64], matrix: &[f64], rows: &[usize]) {
    match sum.len() {
        16 => gather_rows::<16>(sum, matrix, rows),
        20 => gather_rows::<20>(sum, matrix, rows),
        width => {
            sum.fill(0.0);
            for row in rows {
                for (sum, element) in sum.iter_mut().zip(&matrix[row * width..(row + 1) * width]) {
                    *sum += element;
                }
            }
        }
    }
}

#[inline(always)]
fn gather_rows<const WIDTH: usize>(sum: &mut [f64], matrix: &[f64], rows: &[usize]) {
    let matrix = matrix.as_chunks::<WIDTH>().0;
    let mut all = [0.0; WIDTH];
    for row in rows {
        for (sum, element) in all.iter_mut().zip(&matrix[*row]) {
            *sum += element;
        }
    }
    sum.copy_from_slice(&all);
}

/// How many cells are worked out side by side.
pub(crate) const CELLS: usize = 16;

/// One step of a distribution over cells: `next[to]` becomes the sum of `step[to − from + reach]` × `mass[from]`.
///
/// `mass` and `next` are as long as each other, in whole groups of [`CELLS`]; `step` is at least `reach` longer. `from` goes
/// up to `reach`.
#[multiversion(targets("x86_64+avx2"))]
pub(crate) fn carry(next: &mut [f32], step: &[f32], mass: &[f32], reach: usize) {
    for (group, next) in next.as_chunks_mut::<CELLS>().0.iter_mut().enumerate() {
        let mut sum = [0.0; CELLS];
        let steps = step[group * CELLS..][..reach + CELLS].array_windows::<CELLS>().rev();
        for (steps, mass) in steps.zip(mass) {
            for (sum, step) in sum.iter_mut().zip(steps) {
                *sum += step * mass;
            }
        }
        *next = sum;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers without a pattern.
    fn numbers(count: usize) -> Vec<f64> {
        (1..=count).map(|k| libm::sin(k as f64 * 12.9898) * 0.5).collect()
    }

    #[test]
    fn a_covariance_shrinks_by_the_same_bits_at_any_width() {
        for width in [0, 1, 4, 12, 16, 20, 24, 31] {
            let (gains, before) = (numbers(width), numbers(width * width));
            let mut after = before.clone();
            shrink(&mut after, &gains, 0.37);
            for row in 0..width {
                for column in 0..width {
                    let at = row * width + column;
                    let want = before[at] - 0.37 * gains[row] * gains[column];
                    assert_eq!(after[at].to_bits(), want.to_bits(), "{width}: {row}, {column}");
                }
            }
        }
    }

    #[test]
    fn rows_are_summed_in_their_order() {
        for width in [4, 16, 20, 24] {
            let matrix = numbers(width * width);
            let (rows, mut sum) = ([3, 0, 2], vec![7.0; width]);
            gather(&mut sum, &matrix, &rows);
            for (column, sum) in sum.iter().enumerate() {
                let want = rows.iter().fold(0.0, |sum, row| sum + matrix[row * width + column]);
                assert_eq!(sum.to_bits(), want.to_bits(), "{width}: {column}");
            }
        }
    }

    #[test]
    fn a_step_is_the_sum_of_its_shares() {
        for cells in [16, 48, 160] {
            let reach = cells - 3;
            let single = |count: usize| -> Vec<f32> {
                numbers(count).into_iter().map(|x| x as f32).collect()
            };
            let (mass, step) = (single(cells), single(cells + reach));
            let mut next = vec![9.0; cells];
            carry(&mut next, &step, &mass, reach);
            for (to, next) in next.iter().enumerate() {
                let shares = (0..=reach).map(|from| step[to + reach - from] * mass[from]);
                let want = shares.fold(0.0_f32, |sum, share| sum + share);
                assert_eq!(next.to_bits(), want.to_bits(), "{cells}: {to}");
            }
        }
    }
}
