//! The lowest place of a function of a few numbers, without derivatives: the
//! simplex method of Nelder & Mead (1965), restarted once from where it ended.

/// Where a function is lowest.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Lowest {
    pub place: Vec<f64>,
    pub value: f64,
}

/// Searches from `start` with first steps of `step`, until the values of all corners are within
/// `close` (relative) or the function was asked `most` times. What is not a number counts as
/// infinitely high.
pub(crate) fn lowest(
    start: &[f64],
    step: f64,
    close: f64,
    most: usize,
    cost: impl Fn(&[f64]) -> f64,
) -> Lowest {
    let first = descend(start, step, close, most / 2, &cost);
    descend(&first.place, step / 2.0, close, most / 2, &cost)
}

fn descend(
    start: &[f64],
    step: f64,
    close: f64,
    most: usize,
    cost: &impl Fn(&[f64]) -> f64,
) -> Lowest {
    let asked = |place: Vec<f64>| {
        let value = cost(&place);
        Lowest { value: if value.is_nan() { f64::INFINITY } else { value }, place }
    };
    let n = start.len();
    let mut corners: Vec<Lowest> = vec![asked(start.to_vec())];
    for axis in 0..n {
        let mut place = start.to_vec();
        place[axis] += step;
        corners.push(asked(place));
    }
    let mut left = most;
    loop {
        corners.sort_by(|a, b| a.value.total_cmp(&b.value));
        let (low, high) = (corners[0].value, corners[n].value);
        let wide = (0..n).any(|axis| {
            corners.iter().any(|c| (c.place[axis] - corners[0].place[axis]).abs() > 1e-7)
        });
        if left == 0 || (high - low <= close * (low.abs() + close) && !wide) {
            return corners.swap_remove(0);
        }
        let middle: Vec<f64> = (0..n)
            .map(|axis| corners[..n].iter().map(|c| c.place[axis]).sum::<f64>() / n as f64)
            .collect();
        let toward = |share: f64, corner: &Lowest| {
            let pairs = middle.iter().zip(&corner.place);
            asked(pairs.map(|(m, c)| m + share * (c - m)).collect())
        };
        let turned = toward(-1.0, &corners[n]);
        left = left.saturating_sub(2);
        corners[n] = if turned.value < low {
            let farther = toward(-2.0, &corners[n]);
            if farther.value < turned.value { farther } else { turned }
        } else if turned.value < corners[n - 1].value {
            turned
        } else {
            let nearer = if turned.value < high {
                toward(-0.5, &corners[n])
            } else {
                toward(0.5, &corners[n])
            };
            if nearer.value < high.min(turned.value) {
                nearer
            } else {
                let best = corners[0].place.clone();
                left = left.saturating_sub(n);
                for corner in &mut corners[1..] {
                    let pairs = best.iter().zip(&corner.place);
                    *corner = asked(pairs.map(|(b, c)| b + 0.5 * (c - b)).collect());
                }
                continue;
            }
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Rosenbrock (1960): the lowest place of 100 (y − x²)² + (1 − x)² is (1, 1).
    #[test]
    fn it_finds_the_end_of_a_bent_valley() {
        let valley = |x: &[f64]| 100.0 * (x[1] - x[0] * x[0]).powi(2) + (1.0 - x[0]).powi(2);
        let found = lowest(&[-1.2, 1.0], 0.5, 1e-14, 4000, valley);
        assert!((found.place[0] - 1.0).abs() < 1e-5, "{found:?}");
        assert!((found.place[1] - 1.0).abs() < 1e-5, "{found:?}");
    }

    #[test]
    fn what_is_not_a_number_is_avoided() {
        let root = |x: &[f64]| (x[0] - 2.0).sqrt() + x[0];
        let found = lowest(&[5.0], 1.0, 1e-12, 400, root);
        assert!((found.place[0] - 2.0).abs() < 1e-4, "{found:?}");
    }
}
