//! How often to recalibrate a line that wears steadily, and how far to aim ahead of the wear.

/// How often, how far ahead, and at what cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recalibration {
    /// Weeks between two visits.
    pub weeks: f64,
    /// How far to set the line against the coming drift, in the unit of the drift; 0 if it is set to the target.
    pub ahead: f64,
    /// What visits and drift cost a week together.
    pub cost: f64,
}

fn sane(visit: f64, loss: f64, drift: f64) -> bool {
    let above = |x: f64| x > 0.0 && x.is_finite();
    above(visit) && above(loss) && above(drift.abs())
}

/// A line set to its target at each visit that then drifts by `drift` a week, where a visit costs `visit` and being off by e
/// costs `loss` · e² a week: A / T + k b² T² / 3 a week is least at T = (3 A / (2 k b²))^(1/3). Nothing unless there is a drift
/// and both cost something: then there is no reason to go, or none to wait.
#[must_use]
pub fn recalibrate(visit: f64, loss: f64, drift: f64) -> Option<Recalibration> {
    sane(visit, loss, drift).then(|| {
        let bend = loss * drift * drift;
        let weeks = libm::cbrt(1.5 * visit / bend);
        Recalibration { weeks, ahead: 0.0, cost: visit / weeks + bend * weeks * weeks / 3.0 }
    })
}

/// The same, set ahead by half of the coming drift, so that the line is on its target half-way: T = (6 A / (k b²))^(1/3), and
/// the cost 37 % less. `room` is how far the line may be set off its target, by the tolerance and the doubt: where half the
/// drift is more than that, the line is set ahead by the room, and the weeks are the best for it. Nothing as
/// [`recalibrate`].
#[must_use]
pub fn recalibrate_ahead(visit: f64, loss: f64, drift: f64, room: f64) -> Option<Recalibration> {
    if !sane(visit, loss, drift) || room.is_nan() {
        return None;
    }
    let (bend, speed, room) = (loss * drift * drift, drift.abs(), room.max(0.0));
    let weeks = libm::cbrt(6.0 * visit / bend);
    if 0.5 * speed * weeks <= room {
        let cost = visit / weeks + bend * weeks * weeks / 12.0;
        return Some(Recalibration { weeks, ahead: 0.5 * speed * weeks, cost });
    }
    // Off by −room at first and by b T − room at last. Its slope in T rises: from below 0 at twice the room, or at 0, to above.
    let slope = |t: f64| loss * (2.0 * speed * speed * t / 3.0 - room * speed) - visit / (t * t);
    let (mut low, mut high) = (0.0, weeks);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if slope(middle) > 0.0 { high = middle } else { low = middle }
    }
    let weeks = 0.5 * (low + high);
    let off = room * room - room * speed * weeks + speed * speed * weeks * weeks / 3.0;
    Some(Recalibration { weeks, ahead: room, cost: visit / weeks + loss * off })
}
