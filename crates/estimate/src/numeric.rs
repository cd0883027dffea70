//! Small numerical tools of this crate: Gauss and Legendre's rule, linear equations, a root and a lowest point on a line.

use core::f64::consts::PI;

/// Abscissae and weights of Gauss and Legendre's rule of `count` points from `low` to `high`.
pub(crate) fn points(low: f64, high: f64, count: usize) -> Vec<(f64, f64)> {
    let (centre, half) = (0.5 * (low + high), 0.5 * (high - low));
    let n = count as f64;
    (0..count)
        .map(|place| {
            let mut x = libm::cos(PI * (place as f64 + 0.75) / (n + 0.5));
            let mut slope = 1.0;
            for _ in 0..100 {
                let (mut now, mut before) = (1.0, 0.0);
                for degree in 1..=count {
                    let k = degree as f64;
                    (now, before) = (((2.0 * k - 1.0) * x * now - (k - 1.0) * before) / k, now);
                }
                slope = n * (x * now - before) / (x * x - 1.0);
                let step = now / slope;
                x -= step;
                if step.abs() < 1e-15 {
                    break;
                }
            }
            (centre - half * x, half * 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// Solves the linear equations `matrix · x = right` by elimination with pivots; nothing finite where they have no
/// single answer.
pub(crate) fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let size = right.len();
    for column in 0..size {
        let pivot = (column..size)
            .max_by(|&a, &b| matrix[a][column].abs().total_cmp(&matrix[b][column].abs()))
            .unwrap_or(column);
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        let (above, below) = matrix.split_at_mut(column + 1);
        let lead = &above[column];
        for (offset, row) in below.iter_mut().enumerate() {
            let factor = row[column] / lead[column];
            if factor != 0.0 {
                for (into, from) in row[column..].iter_mut().zip(&lead[column..]) {
                    *into -= factor * from;
                }
                right[column + 1 + offset] -= factor * right[column];
            }
        }
    }
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|j| matrix[row][j] * right[j]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    right
}

/// The root of `f` between two ends, in any order, where it has different signs; by halving.
pub(crate) fn root(one: f64, other: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (one.min(other), one.max(other));
    let rises = f(high) > 0.0;
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if (f(middle) > 0.0) == rises { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

/// Where `f` is lowest between two ends, if it has one valley there, by the golden section.
pub(crate) fn lowest(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    const SHARE: f64 = 0.618_033_988_749_894_9;
    let (mut left, mut right) = (high - SHARE * (high - low), low + SHARE * (high - low));
    let (mut at_left, mut at_right) = (f(left), f(right));
    for _ in 0..120 {
        if at_left <= at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - SHARE * (high - low);
            at_left = f(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + SHARE * (high - low);
            at_right = f(right);
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rule of n points is exact for polynomials of degree 2n − 1, and not beyond (Gauss).
    #[test]
    fn gauss_and_legendre_are_exact_as_far_as_they_must() {
        let sum = |n, degree| -> f64 {
            points(-1.0, 2.0, n).iter().map(|(x, w)| w * libm::pow(*x, f64::from(degree))).sum()
        };
        let exact = |degree: i32| {
            (2f64.powi(degree + 1) - (-1f64).powi(degree + 1)) / f64::from(degree + 1)
        };
        for degree in 0..16 {
            assert!((sum(8, degree) / exact(degree) - 1.0).abs() < 1e-13, "{degree}");
        }
        assert!((sum(8, 18) / exact(18) - 1.0).abs() > 1e-9);
        assert!((sum(120, 19) / exact(19) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn equations_roots_and_valleys() {
        let got = solve(
            vec![vec![0.0, 2.0, 1.0], vec![1.0, -2.0, -3.0], vec![-1.0, 1.0, 2.0]],
            vec![-8.0, 0.0, 3.0],
        );
        for (got, want) in got.iter().zip([-4.0, -5.0, 2.0]) {
            assert!((got - want).abs() < 1e-12, "{got} {want}");
        }
        let none = solve(vec![vec![1.0, 1.0], vec![1.0, 1.0]], vec![1.0, 2.0]);
        assert!(!none[0].is_finite() && !none[1].is_finite());
        assert!((root(0.0, 2.0, |x| x * x - 2.0) - 2f64.sqrt()).abs() < 1e-15);
        assert!((root(0.0, 2.0, |x| 2.0 - x * x) - 2f64.sqrt()).abs() < 1e-15);
        assert!((lowest(-3.0, 5.0, |x| (x - 1.25) * (x - 1.25)) - 1.25).abs() < 1e-7);
    }
}
