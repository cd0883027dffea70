//! Costs against published exercises and numeric minima.

use super::*;

fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} {want}");
}

/// Exercises on the quadratic loss, as printed in courses; more digits recomputed for the reference.
#[test]
fn quadratic_loss() {
    let transistor = QuadraticLoss { factor: 0.444 };
    near(transistor.mean(115.0, 2.0, 115.0), 1.776, 1e-12);
    near(transistor.mean(124.0, 0.33, 115.0), 36.012_351_6, 1e-7);
    near(transistor.mean(115.0, 0.33, 115.0), 0.048_351_6, 1e-12);
    near(transistor.one(124.0, 115.0), 0.444 * 81.0, 1e-12);
    // Tolerance, cost at it, factor.
    let rows = [
        (0.1, 0.015, 1.5),
        (0.3, 0.03, 0.333_333_333),
        (5.0, 100.0, 4.0),
        (0.4, 81.0, 506.25),
        (30.0, 300.0, 0.333_333_333),
        (0.020, 150.0, 375_000.0),
    ];
    for (tolerance, cost, factor) in rows {
        near(QuadraticLoss::of(cost, tolerance).factor / factor, 1.0, 1e-8);
    }
    near(QuadraticLoss::of(0.015, 0.1).mean(15.0, 0.05, 15.0), 0.003_75, 1e-12);
    near(QuadraticLoss::of(100.0, 5.0).mean(180.0, 2.0, 180.0), 16.0, 1e-12);
    near(QuadraticLoss::of(81.0, 0.4).mean(100.0, 0.2, 100.0), 20.25, 1e-12);
    near(QuadraticLoss::of(300.0, 30.0).worth_adjusting(2.25), 2.598_076, 1e-6);
}

/// Filled to 10.2 with 0.16 of spread and 10 on the label: 10.56 % short.
#[test]
fn short_portions() {
    near(short_share(10.2, 0.16, 10.0), 0.105_649_8, 5e-8);
}

/// Closed forms with made prices, standard deviation 3; the optimum of another program agrees to seven digits.
#[test]
fn where_to_aim() {
    let aim = aim_with_penalty(0.02, 1.5, 3.0).unwrap();
    near(aim.deviations, 2.144_732, 1e-6);
    near(aim.above, 6.434_195, 2e-6);
    near(aim.cost, 0.152_665, 1e-6);
    near(aim.short, 0.015_987, 1e-6);
    assert_eq!(aim_with_penalty(0.02, 0.02 * 3.0 * 2.506_628, 3.0), None);
    assert_eq!(aim_with_penalty(0.0, 1.0, 3.0), None);
    let aim = aim_linear(0.02, 0.08, 3.0).unwrap();
    near(aim.deviations, 0.841_621, 1e-6);
    near(aim.cost, 0.083_988_6, 1e-7);
    near(aim.short, 0.2, 1e-12);
    assert_eq!(aim_linear(0.02, f64::NAN, 3.0), None);
    let aim = aim_quadratic(1.0, 3.0, 3.0).unwrap();
    near(aim.deviations, 0.436_327, 1e-6);
    near(aim.cost, 14.963_398, 1e-6);
    near(aim_quadratic(2.0, 2.0, 3.0).unwrap().above, 0.0, 1e-12);
    assert_eq!(aim_quadratic(-1.0, 3.0, 3.0), None);
}

/// Visit 6, loss 0.5, wear 1.2 a week.
#[test]
fn when_to_recalibrate() {
    let plain = recalibrate(6.0, 0.5, 1.2).unwrap();
    near(plain.weeks, 2.320_794, 1e-6);
    near(plain.cost, 3.877_982, 1e-6);
    let ahead = recalibrate_ahead(6.0, 0.5, -1.2, 100.0).unwrap();
    near(ahead.weeks, 3.684_031, 1e-6);
    near(ahead.cost, 2.442_976, 1e-6);
    near(ahead.ahead, 0.5 * 1.2 * 3.684_031, 1e-6);
    near(1.0 - ahead.cost / plain.cost, 0.37, 0.005);
    // With no room it is the plain rule; with some it is between, and no other time is better.
    let none = recalibrate_ahead(6.0, 0.5, 1.2, 0.0).unwrap();
    near(none.weeks, plain.weeks, 1e-9);
    near(none.cost, plain.cost, 1e-9);
    let some = recalibrate_ahead(6.0, 0.5, 1.2, 1.0).unwrap();
    assert!(some.cost < plain.cost && some.cost > ahead.cost && some.ahead == 1.0);
    let cost = |weeks: f64| {
        // The mean square of being off over the weeks, summed in small steps.
        let steps = 20_000;
        let off = (0..steps).map(|n| -1.0 + 1.2 * weeks * (f64::from(n) + 0.5) / f64::from(steps));
        6.0 / weeks + 0.5 * off.map(|e| e * e).sum::<f64>() / f64::from(steps)
    };
    near(cost(some.weeks), some.cost, 1e-7);
    assert!(cost(some.weeks * 1.01) > some.cost && cost(some.weeks * 0.99) > some.cost);
    for (visit, loss, drift) in [(0.0, 1.0, 1.0), (1.0, 0.0, 1.0), (1.0, 1.0, 0.0)] {
        assert_eq!(recalibrate(visit, loss, drift), None);
        assert_eq!(recalibrate_ahead(visit, loss, drift, 1.0), None);
    }
    assert_eq!(recalibrate_ahead(1.0, 1.0, 1.0, f64::NAN), None);
}

fn line(mean: f64, sd: f64) -> Portions {
    Portions { target: 30.0, tolerance: 1.5, mean, sd, a_week: 700.0, poured_away: 60.0 }
}

/// Parts of the loss by hand where portions do not vary, and against sums over the normal distribution where they do.
#[test]
fn a_week_of_a_line() {
    let prices = Prices {
        product_per_ml: Some(0.01),
        remade: Some(0.9),
        order: Some(4.0),
        orders_lost: Some(1.5),
    };
    let cost = week(&prices, &line(31.0, 0.0));
    near(cost.over_pour.unwrap(), 7.0, 1e-9);
    near(cost.under_pour.unwrap(), 0.0, 1e-9);
    near(cost.poured_away.unwrap(), 0.6, 1e-12);
    near(cost.orders_lost.unwrap(), 6.0, 1e-12);
    assert!(cost.missing.is_empty());
    // Short by the whole tolerance each time: every drink at the price of a remade one.
    near(week(&prices, &line(28.5, 0.0)).under_pour.unwrap(), 0.9 * 700.0, 1e-9);
    // However short: no drink is made again twice.
    near(week(&prices, &line(10.0, 0.0)).under_pour.unwrap(), 0.9 * 700.0, 1e-9);
    near(week(&prices, &line(10.0, 0.8)).under_pour.unwrap(), 0.9 * 700.0, 1e-9);
    let cost = week(&prices, &line(29.6, 0.8));
    let (mut over, mut under) = (0.0, 0.0);
    let steps = 200_000;
    for n in 0..steps {
        let z = -8.0 + 16.0 * (f64::from(n) + 0.5) / f64::from(steps);
        let (off, weight) = (-0.4 + 0.8 * z, normal_density(z) * 16.0 / f64::from(steps));
        over += weight * off.max(0.0);
        under += weight * off.clamp(-1.5, 0.0) * off.clamp(-1.5, 0.0);
    }
    near(cost.over_pour.unwrap(), 0.01 * 700.0 * over, 1e-7);
    near(cost.under_pour.unwrap(), 0.9 / 2.25 * 700.0 * under, 1e-6);
}

#[test]
fn what_is_not_stated_is_left_out_and_said() {
    let cost = week(&Prices::default(), &line(31.0, 0.5));
    assert_eq!(
        (cost.over_pour, cost.under_pour, cost.poured_away, cost.orders_lost),
        (None, None, None, None)
    );
    assert_eq!(cost.missing.len(), 4);
}
