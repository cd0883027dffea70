//! How many verdicts with their budget one core gives in a second, and what the act and its words cost on top.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use ouncewise_measure::showing::{can_show, judge, show};
use ouncewise_measure::{
    Adjuster, Aim, Amount, Catch, Draw, Grams, MarkSide, Marks, Measure, Metering, Millilitres,
    Scale, Seconds, Setup, Target, Timer, Unit, Vessel,
};

fn main() {
    divan::main();
}

/// 30 mL in 7 s by hand, read in a cylinder.
fn timed() -> Setup {
    Setup {
        aim: Aim {
            metering: Metering::Rate,
            target: Target::Volume(Millilitres(30.0)),
            tolerance: 0.05,
            draw: Draw::Time(Seconds(7.0)),
            water: None,
        },
        measure: Measure::Vessel(Vessel {
            marks: Marks::Every(Millilitres(1.0)),
            tolerance: Millilitres(0.5),
            film: Millilitres(0.2),
        }),
        marked_in: Unit::Millilitre,
        timer: Timer::by_hand(),
        density: None,
        temperature: None,
        opening_offset: None,
        adjuster: Adjuster::Screw {
            per_turn: Some(0.2),
            anticlockwise_gives_more: true,
            slack_turns: 0.125,
        },
        setting: None,
        last_adjusted: None,
        risk: 0.05,
    }
}

/// A thousand catches from 24 to 36 mL: every verdict and every act comes up.
fn catches(amount: impl Fn(f64) -> Amount) -> Vec<Catch> {
    (0..1000)
        .map(|at| Catch {
            amount: amount(24.0 + 0.012 * f64::from(at)),
            draw: Draw::Time(Seconds(7.0 + 0.1 * f64::from(at % 3))),
            temperature: None,
            water: None,
        })
        .collect()
}

fn each<T>(
    bencher: Bencher<'_, '_>,
    setup: &Setup,
    catches: &[Catch],
    f: impl Fn(&Setup, &[Catch]) -> T + Sync,
) {
    bencher.counter(ItemsCount::new(catches.len())).bench(|| {
        for catch in catches {
            black_box(f(black_box(setup), core::slice::from_ref(black_box(catch))));
        }
    });
}

/// One read and timed catch: portion, budget, probability, verdict.
#[divan::bench]
fn verdict_with_budget(bencher: Bencher<'_, '_>) {
    let catches = catches(|ml| Amount::Volume(Millilitres(ml)));
    each(bencher, &timed(), &catches, |setup, catch| judge(setup, catch).expect("computable"));
}

/// One weighed and timed catch, by density.
#[divan::bench]
fn verdict_with_budget_weighed(bencher: Bencher<'_, '_>) {
    let catches = catches(|ml| Amount::Mass(Grams(1.3 * ml)));
    let measure =
        Measure::Scale(Scale { resolution: Grams(0.1), tolerance: Grams(0.2), tared: true });
    let setup = Setup { measure, density: Some((1.3, 0.002)), ..timed() };
    each(bencher, &setup, &catches, |setup, catch| judge(setup, catch).expect("computable"));
}

/// Five catches of one visit.
#[divan::bench]
fn verdict_of_five_catches(bencher: Bencher<'_, '_>) {
    let (setup, catches) = (timed(), catches(|ml| Amount::Volume(Millilitres(ml))));
    bencher.counter(ItemsCount::new(catches.len() / 5)).bench(|| {
        for five in catches.chunks(5) {
            black_box(judge(black_box(&setup), black_box(five)).expect("computable"));
        }
    });
}

/// The same as the first, with what it would take, the act, and its sentence.
#[divan::bench]
fn showing_in_words(bencher: Bencher<'_, '_>) {
    let catches = catches(|ml| Amount::Volume(Millilitres(ml)));
    each(bencher, &timed(), &catches, |setup, catch| show(setup, catch).expect("computable"));
}

/// A catch that says only over a mark: an integral over what may be.
#[divan::bench]
fn verdict_of_a_mark(bencher: Bencher<'_, '_>) {
    let catches = &catches(|ml| Amount::Mark(MarkSide::Over, Millilitres(ml)))[..50];
    each(bencher, &timed(), catches, |setup, catch| judge(setup, catch).expect("computable"));
}

/// All windows of one line, as its sheet needs them.
#[divan::bench]
fn windows_of_a_line(bencher: Bencher<'_, '_>) {
    let setup = timed();
    bencher
        .counter(ItemsCount::new(1usize))
        .bench(|| can_show(black_box(&setup)).expect("computable"));
}
