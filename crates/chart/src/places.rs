//! Places of labels one under another: near what they name, and apart.

/// Moves places apart until they are `gap` or more from each other, each as near to where it wants to be as that allows,
/// all between `top` and `bottom` if there is room. The order of equal wishes is kept.
pub(crate) fn apart(wanted: &[f64], gap: f64, top: f64, bottom: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    // Neighbours that want to be too near share the shift: runs of labels, each centred on what its members want.
    let mut runs: Vec<Run> = Vec::new();
    for &i in &order {
        runs.push(Run { members: vec![i], sum: wanted[i].clamp(top, bottom.max(top)) });
        while let [.., above, below] = runs.as_slice()
            && below.start(gap, top, bottom) - above.end(gap, top, bottom) < gap
        {
            let below = runs.pop().expect("there are two");
            let above = runs.last_mut().expect("there is one");
            // A member's wish is told as the run's wish for its first place.
            above.sum += below.sum - gap * (above.members.len() * below.members.len()) as f64;
            above.members.extend(below.members);
        }
    }
    let mut places = vec![0.0; wanted.len()];
    for run in &runs {
        for (k, &i) in run.members.iter().enumerate() {
            places[i] = run.start(gap, top, bottom) + gap * k as f64;
        }
    }
    places
}

/// Labels that stand gap by gap under one another.
struct Run {
    members: Vec<usize>,
    /// Sum of where each member wants the first of them to be.
    sum: f64,
}

impl Run {
    fn start(&self, gap: f64, top: f64, bottom: f64) -> f64 {
        let length = gap * (self.members.len() - 1) as f64;
        (self.sum / self.members.len() as f64).min(bottom - length).max(top)
    }

    fn end(&self, gap: f64, top: f64, bottom: f64) -> f64 {
        self.start(gap, top, bottom) + gap * (self.members.len() - 1) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn neighbours_share_the_shift() {
        assert_eq!(apart(&[100.0, 102.0, 104.0], 14.0, 0.0, 200.0), [88.0, 102.0, 116.0]);
        assert_eq!(apart(&[50.0, 10.0], 14.0, 0.0, 200.0), [50.0, 10.0]);
        assert_eq!(apart(&[-5.0, 3.0, 150.0], 14.0, 0.0, 100.0), [0.0, 14.0, 100.0]);
    }

    proptest! {
        #[test]
        fn labels_never_overlap_and_stay_inside(wanted in prop::collection::vec(-50.0..300.0f64, 0..8)) {
            let mut places = apart(&wanted, 14.0, 10.0, 210.0);
            places.sort_by(f64::total_cmp);
            prop_assert!(places.windows(2).all(|p| p[1] - p[0] >= 14.0 - 1e-9), "{places:?}");
            prop_assert!(places.iter().all(|p| (10.0..=210.0).contains(p)), "{places:?}");
        }
    }
}
