//! Our own practice against the best of the common ones.

use super::super::{Entry, Estimated, Nature, Plan, Settings, Smoothed, Smoothing, compare};

// The whole comparison, with more sites and seeds, is `ouncewise simulate compare`; this is a small one.
#[test]
fn following_each_line_beats_smoothing_in_every_world() {
    let plan = Plan { seeds: vec![31, 32], sites: 16, lines: 12, weeks: 104, threads: 2 };
    let smoothed = Entry::new("smoothed", |facts| Box::new(Smoothed::new(facts, Smoothing::TUNED)));
    let one = Entry::new("one catch", |facts| Box::new(super::super::EveryCatch::new(facts)));
    let ours =
        Entry::new("estimated", |facts| Box::new(Estimated::new(facts, Settings::default())));
    let table = compare(&Nature::all(), &[&one, &smoothed, &ours], &plan, &|| ());
    for rows in table.rows.chunks_exact(3) {
        let [one, smoothed, ours] = rows else { unreachable!("three practices") };
        assert!(ours.off_share.mean < smoothed.off_share.mean, "{ours:?}\n{smoothed:?}");
        assert!(ours.needless.mean < 0.6 * smoothed.needless.mean, "{ours:?}\n{smoothed:?}");
        assert!(ours.minutes.mean <= one.minutes.mean, "{ours:?}\n{one:?}");
    }
}
