//! What must hold of every budget, and of every check on first order.

use super::super::{
    Budget, Part,
    propagation::{Linearity, propagate, uncorrelated},
};
use super::close;
use proptest::prelude::*;

/// The flow-rate example of this project's check values, computed with `uncertainties`, GTC and suncal alike:
/// 37.0 mL in a cylinder ±0.5 mL, read to ±0.5 mL; 5.00 s by hand, 0.10 s, display ±0.005 s.
#[test]
fn flow_rate() {
    let (volume, time) = (37.0, 5.0);
    let rate = volume / time;
    let cylinder =
        Part::new("the cylinder", super::super::type_b::rectangular(0.5) / time).persistent();
    let others = Budget::new()
        .with(Part::new("reading it", super::super::type_b::triangular(0.5) / time))
        .with(Part::new("the hand", rate / time * 0.10))
        .with(Part::new("the display", rate / time * super::super::type_b::rectangular(0.005)));
    let budget = others.with(cylinder);
    close(budget.combined(), 0.164_080_021_1, 5e-11);
    let sources: Vec<&str> = budget.parts().iter().map(|part| part.source).collect();
    assert_eq!(sources, ["the hand", "the cylinder", "reading it", "the display"]);
    close(budget.shares().next().unwrap().1, 81.36, 0.01);
    close(budget.shares().map(|(_, share)| share).sum(), 100.0, 1e-12);
    assert_eq!(budget.expanded(0.95).degrees_of_freedom, f64::INFINITY);
    close(budget.expanded(0.95).factor, 1.959_963_985, 5e-10);

    // Five catches with the same cylinder: what it is off does not average away.
    let spread = super::super::type_a::repeated(&[7.31, 7.46, 7.40, 7.52, 7.36]).unwrap();
    close(spread.mean, 7.41, 1e-12);
    close(spread.standard_uncertainty(), 0.036_878_177_8, 5e-11);
    let five = Budget::new()
        .with(
            Part::new("spread", spread.standard_uncertainty())
                .with_degrees_of_freedom(spread.degrees_of_freedom()),
        )
        .with(cylinder);
    close(five.combined(), 0.068_507_9, 5e-8);
    close(five.effective_degrees_of_freedom(), 47.637, 5e-4);
    let expanded = five.expanded(0.95);
    assert_eq!(expanded.degrees_of_freedom, 47.0);
    close(expanded.factor, 2.011_740_5, 5e-8);
    close(expanded.uncertainty, 0.137_820_1, 5e-8);
    close(five.averaged(100).persistent(), five.persistent(), 0.0);
}

#[test]
fn one_part_keeps_its_whole_degrees_of_freedom() {
    // u⁴ / (u⁴ / ν) may round to just under ν, and must not be truncated to ν − 1.
    for degrees in 1..200 {
        let degrees = f64::from(degrees);
        for u in [0.1, 0.3, 1.0 / 3.0, 7.7e-5] {
            let budget =
                Budget::new().with(Part::new("spread", u).with_degrees_of_freedom(degrees));
            assert_eq!(budget.expanded(0.95).degrees_of_freedom, degrees);
        }
    }
}

#[test]
fn an_empty_budget_has_no_doubt() {
    let budget = Budget::new().with(Part::new("nothing", 0.0));
    assert!(budget.parts().is_empty());
    assert_eq!(budget.combined(), 0.0);
    assert_eq!(budget.effective_degrees_of_freedom(), f64::INFINITY);
    assert_eq!(budget.expanded(0.95).uncertainty, 0.0);
}

/// JCGM 101:2008, 9.4.2.2: at x1 = 0 the sum of two squares is stationary, and first order sees no uncertainty at all.
#[test]
fn jcgm_101_9_4_stationary_point() {
    let loss = |x: &[f64; 2]| x[0] * x[0] + x[1] * x[1];
    let u = [0.005, 0.005];
    let found = Linearity::of(loss, &[0.0, 0.0], &u);
    close(found.first_order, 0.0, 1e-18);
    close(found.shift, 50e-6, 1e-12);
    close(found.second_order, 50e-6, 1e-12);
    assert!(!found.first_order_is_enough(1) && !found.first_order_is_enough(2));
    // Table 5: first order 100 and 500; with all terms 111.8034 and 502.4938 (closed form).
    let found = Linearity::of(loss, &[0.010, 0.0], &u);
    close(found.first_order, 100e-6, 1e-11);
    close(found.second_order, 111.803_4e-6, 5e-11);
    assert!(!found.first_order_is_enough(1));
    let found = Linearity::of(loss, &[0.050, 0.0], &u);
    close(found.first_order, 500e-6, 1e-11);
    close(found.second_order, 502.493_8e-6, 5e-11);
}

#[test]
fn a_straight_model_needs_no_second_order() {
    let found =
        Linearity::of(|x: &[f64; 2]| 3.0 * x[0] - 2.0 * x[1] + 7.0, &[1.0, 2.0], &[0.1, 0.2]);
    close(found.first_order, 0.5, 1e-12);
    assert!(found.first_order_is_enough(2));
    let exact = Linearity::of(|x: &[f64; 1]| x[0], &[1.0], &[0.0]);
    assert!(exact.first_order_is_enough(2));
}

#[test]
fn a_quotient_by_its_closed_form() {
    for (over, under) in [(0.01, 0.02), (0.03, 0.0), (0.0, 0.05), (0.04, 0.04)] {
        let (x, y) = (37.0, 5.0);
        let closed = Linearity::of_quotient(x / y, over, under);
        let found = Linearity::of(|v: &[f64; 2]| v[0] / v[1], &[x, y], &[over * x, under * y]);
        close(found.first_order, closed.first_order, 1e-7);
        close(found.second_order, closed.second_order, 1e-5);
        close(found.shift, closed.shift, 1e-6);
    }
    // A catch of 5 s by hand is straight enough; one of half a second is not.
    assert!(Linearity::of_quotient(7.4, 0.0096, 0.02).first_order_is_enough(1));
    assert!(!Linearity::of_quotient(7.4, 0.0096, 0.2).first_order_is_enough(1));
}

fn parts() -> impl Strategy<Value = Vec<(f64, f64, bool)>> {
    let degrees = prop_oneof![Just(f64::INFINITY), 1.0..60.0_f64];
    prop::collection::vec((1e-3..1e3_f64, degrees, any::<bool>()), 1..20)
}

fn budget(parts: &[(f64, f64, bool)]) -> Budget {
    let mut budget = Budget::new();
    for &(u, degrees, persistent) in parts {
        let part = Part::new("part", u).with_degrees_of_freedom(degrees);
        budget.add(if persistent { part.persistent() } else { part });
    }
    budget
}

fn near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

proptest! {
    #[test]
    fn order_of_parts_does_not_matter(mut parts in parts(), seed in any::<u64>()) {
        let before = budget(&parts);
        let turn = seed as usize % parts.len();
        parts.rotate_left(turn);
        parts.reverse();
        let after = budget(&parts);
        prop_assert!(near(before.combined(), after.combined()));
        prop_assert!(before.parts().is_sorted_by(|a, b| a.contribution >= b.contribution));
    }

    #[test]
    fn nothing_is_lost_when_full(parts in parts()) {
        let found = budget(&parts);
        prop_assert!(found.parts().len() == parts.len().min(Budget::MOST));
        let variance: f64 = parts.iter().map(|part| part.0 * part.0).sum();
        prop_assert!(near(found.combined(), variance.sqrt()));
        let both = libm::hypot(found.persistent(), found.passing());
        prop_assert!(near(found.combined(), both));
        let persistent: f64 = parts.iter().filter(|part| part.2).map(|part| part.0 * part.0).sum();
        prop_assert!(found.persistent() >= persistent.sqrt() * (1.0 - 1e-12));
    }

    #[test]
    fn another_part_adds_doubt(parts in parts(), more in 1e-3..1e3_f64) {
        let before = budget(&parts);
        let after = before.with(Part::new("one more", more));
        prop_assert!(after.combined() > before.combined());
        prop_assert!(after.combined() >= more);
    }

    #[test]
    fn scaling_scales(parts in parts(), factor in 1e-3..1e3_f64) {
        let (before, after) = (budget(&parts), budget(&parts).scaled(-factor));
        prop_assert!(near(after.combined(), factor * before.combined()));
        prop_assert!(near(after.effective_degrees_of_freedom(), before.effective_degrees_of_freedom()));
    }

    #[test]
    fn effective_degrees_of_freedom_lie_between(parts in parts()) {
        let least = parts.iter().map(|part| part.1).fold(f64::INFINITY, f64::min);
        let sum: f64 = parts.iter().map(|part| part.1).sum();
        let effective = budget(&parts).effective_degrees_of_freedom();
        prop_assert!(effective >= least * (1.0 - 1e-12));
        prop_assert!(effective <= sum * (1.0 + 1e-12));
    }

    #[test]
    fn averaging_never_beats_the_measure(parts in parts(), count in 1..1000_u32) {
        let one = budget(&parts);
        let mean = one.averaged(count);
        prop_assert!(near(mean.persistent(), one.persistent()));
        prop_assert!(near(mean.passing() * f64::from(count).sqrt(), one.passing()));
        prop_assert!(mean.combined() <= one.combined() * (1.0 + 1e-12));
    }

    #[test]
    fn more_probability_needs_a_wider_interval(parts in parts(), p in 0.05..0.98_f64) {
        let budget = budget(&parts);
        prop_assert!(budget.expanded(p).uncertainty < budget.expanded(p + 0.01).uncertainty);
    }

    #[test]
    fn propagation_without_correlation_is_a_budget(c in prop::array::uniform4(-5.0..5.0_f64), u in prop::array::uniform4(1e-3..5.0_f64)) {
        let mut by_parts = Budget::new();
        for (c, u) in c.iter().zip(u) {
            by_parts.add(Part::new("part", c * u));
        }
        let variance = propagate(&[c], &uncorrelated(&u))[0][0];
        prop_assert!(near(variance.sqrt(), by_parts.combined()));
    }
}
