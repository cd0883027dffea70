//! The lowest place of a function whose numbers hardly depend on each other: one number after the
//! other, each by a parabola through three values (a form of Powell's search along the axes).

/// Steps never become smaller than this share of the first.
const LEAST: f64 = 0.05;

/// Searches from `start` with first steps of `first_step`, in turns over all numbers, until a turn gains less
/// than `close`, twice running where steps became shorter, or the function was asked `most` times. What is not a number counts as infinitely high.
pub(crate) fn lowest(
    start: &[f64],
    first_step: f64,
    close: f64,
    most: usize,
    cost: impl Fn(&[f64]) -> f64,
) -> Vec<f64> {
    let mut asked = 0;
    let mut ask = |place: &[f64]| {
        asked += 1;
        let value = cost(place);
        (if value.is_nan() { f64::INFINITY } else { value }, asked >= most)
    };
    let mut place = start.to_vec();
    let mut steps = vec![first_step; start.len()];
    let (mut best, _) = ask(&place);
    let mut was_poor = false;
    loop {
        let (before, before_steps) = (best, steps.clone());
        for axis in 0..place.len() {
            let (here, step) = (place[axis], steps[axis]);
            let mut at = |x: f64| {
                place[axis] = x;
                ask(&place)
            };
            let (up, _) = at(here + step);
            let (down, _) = at(here - step);
            let bend = up + down - 2.0 * best;
            let shift = if bend > 0.0 && bend.is_finite() {
                (0.5 * step * (down - up) / bend).clamp(-3.0 * step, 3.0 * step)
            } else {
                2.0 * step * if up < down { 1.0 } else { -1.0 }
            };
            let (guess, last) = at(here + shift);
            let found = [(best, 0.0), (up, step), (down, -step), (guess, shift)]
                .into_iter()
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or((best, 0.0));
            best = found.0;
            place[axis] = here + found.1;
            let moved = found.1.abs();
            let change = if moved >= step {
                1.5
            } else if moved < 0.3 * step {
                0.5
            } else {
                1.0
            };
            // Never too small to see a slope: other numbers may still be far from their place.
            steps[axis] = (step * change).max(LEAST * first_step);
            if last {
                return place;
            }
        }
        // What gained nothing because its steps were too long has another turn; what gained little, one more.
        let shorter = steps.iter().zip(&before_steps).any(|(now, then)| now < then);
        let poor = before - best < close;
        if poor && (!shorter || was_poor && best < before) {
            return place;
        }
        was_poor = poor;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_finds_the_floor_of_a_bowl() {
        let bowl = |x: &[f64]| {
            (x[0] - 2.0).powi(2) + 10.0 * (x[1] + 1.0).powi(2) + 0.5 * (x[0] - 2.0) * (x[1] + 1.0)
        };
        let found = lowest(&[0.0, 0.0], 0.5, 1e-12, 500, bowl);
        assert!((found[0] - 2.0).abs() < 1e-4 && (found[1] + 1.0).abs() < 1e-4, "{found:?}");
    }

    #[test]
    fn what_is_not_a_number_is_avoided() {
        let root = |x: &[f64]| (x[0] - 2.0).sqrt() + x[0];
        let found = lowest(&[5.0], 1.0, 1e-12, 400, root);
        assert!((found[0] - 2.0).abs() < 0.1, "{found:?}");
    }
}
