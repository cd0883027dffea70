//! Our own practice against the best of the common ones, and as the pages advise.

use super::super::visit::{Practice, Visit};
use super::super::{Entry, Estimated, Nature, Plan, Settings, Smoothed, Smoothing, compare};
use super::{ANY, machine, still};

// A machine whose lines were set to their targets and then all stand off again waits for one round again, as on the pages.
#[test]
fn lines_that_were_set_and_moved_together_again_wait_again() {
    let mut machine = machine(&still(), 1, 6, ANY);
    let mut ours = Estimated::new(&machine.facts, Settings::default());
    let mut adjusted = Vec::new();
    for round in 0..4 {
        if round % 2 == 0 {
            machine.lines.iter_mut().for_each(|line| line.set += 0.08);
        }
        ours.round(&mut Visit::new(&mut machine));
        adjusted.push(machine.tally.adjusted);
        machine.pass_week();
    }
    assert_eq!(adjusted, [0.0, 6.0, 6.0, 12.0]);
}

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
