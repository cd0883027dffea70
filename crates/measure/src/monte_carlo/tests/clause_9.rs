//! The examples of clause 9, and one of NPL DEM-ES-011.

use super::*;

fn sum(x: &[f64]) -> f64 {
    x.iter().sum()
}

#[test]
fn jcgm_101_9_2_2_four_normal() {
    let found = draw(&[standard_normal(); 4], sum, DRAWS, 1).unwrap();
    close(found.mean(), 0.0, 0.006);
    close(found.standard_uncertainty(), 2.0, 0.0043);
    interval_close(found.symmetric(0.95), -3.92, 3.92, 0.017);
}

#[test]
fn jcgm_101_9_2_3_four_rectangular() {
    let found = draw(&[about(0.0, 3.0_f64.sqrt()); 4], sum, DRAWS, 2).unwrap();
    close(found.mean(), 0.0, 0.006);
    close(found.standard_uncertainty(), 2.0, 0.0043);
    // Exactly ±2√3 (2 − (3/5)^¼); published ±3.88.
    interval_close(found.symmetric(0.95), -3.879_406_7, 3.879_406_7, 0.013);
}

#[test]
fn jcgm_101_9_2_4_one_dominant_rectangle() {
    let half = 3.0_f64.sqrt();
    let inputs = [about(0.0, half), about(0.0, half), about(0.0, half), about(0.0, 10.0 * half)];
    let found = draw(&inputs, sum, DRAWS, 3).unwrap();
    close(found.standard_uncertainty(), 103.0_f64.sqrt(), 0.015);
    // First order would give ±19.9.
    interval_close(found.symmetric(0.95), -17.0, 17.0, 0.06);
}

/// 9.3.1.3: conventional mass of a weight in milligrams over 100 g; densities in kg/m³.
fn mass_deviation(x: &[f64]) -> f64 {
    let [reference, added, air, weight, standard] = [x[0], x[1], x[2], x[3], x[4]];
    (reference + added) * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / standard)) - 100_000.0
}

#[test]
fn jcgm_101_9_3_mass_calibration() {
    let inputs = [
        Input::Normal { mean: 100_000.0, standard_uncertainty: 0.050 },
        Input::Normal { mean: 1.234, standard_uncertainty: 0.020 },
        Input::Rectangular { low: 1.10, high: 1.30 },
        Input::Rectangular { low: 7000.0, high: 9000.0 },
        Input::Rectangular { low: 7950.0, high: 8050.0 },
    ];
    let found = draw(&inputs, mass_deviation, DRAWS, 4).unwrap();
    close(found.mean(), 1.2341, 0.0003);
    close(found.standard_uncertainty(), 0.0754, 0.0003);
    interval_close(found.shortest(0.95), 1.0834, 1.3825, 0.003);
    // Computed with numpy, three times four million draws.
    interval_close(found.symmetric(0.95), 1.0844, 1.3835, 0.0007);

    // First order gives 0.0539, as the air's density is 1.2 on average; with second-order terms 0.0750.
    let third = |half: f64| half / 3.0_f64.sqrt();
    let at = [100_000.0, 1.234, 1.2, 8000.0, 8000.0];
    let u = [0.050, 0.020, third(0.10), third(1000.0), third(50.0)];
    let found = Linearity::of(|x: &[f64; 5]| mass_deviation(x), &at, &u);
    close(found.first_order, 0.0539, 0.000_05);
    close(found.second_order, 0.0750, 0.000_05);
    assert!(!found.first_order_is_enough(1));
}

/// δY = X1² + X2², in units of 10⁻⁶; X1 and X2 have u = 0.005 and correlation r. 9.4.
fn loss(x1: f64, r: f64, seed: u64) -> Sample {
    let model = move |z: &[f64]| {
        let first = x1 + 0.005 * z[0];
        let second = 0.005 * (r * z[0] + (1.0 - r * r).sqrt() * z[1]);
        1e6 * (first * first + second * second)
    };
    draw(&[standard_normal(); 2], model, DRAWS, seed).unwrap()
}

#[test]
fn jcgm_101_9_4_comparison_loss() {
    // x1, r, mean, u, shortest 95 % interval as published in tables 4 to 8; u by closed form √(4 x1² u² + 4 u⁴ (1 + r²)).
    let rows = [
        (0.0, 0.0, 50.0, 50.0, 0.0, 150.0),
        (0.010, 0.0, 150.0, 111.8034, 0.0, 367.0),
        (0.050, 0.0, 2550.0, 502.4938, 1590.0, 3543.0),
        (0.0, 0.9, 50.0, 67.2681, 0.0, 185.0),
        (0.010, 0.9, 150.0, 120.5197, 13.0, 398.0),
        (0.050, 0.9, 2550.0, 504.5047, 1628.0, 3555.0),
    ];
    for (seed, (x1, r, mean, u, low, high)) in (10..).zip(rows) {
        let found = loss(x1, r, seed);
        close(found.mean(), mean, 0.003 * u);
        close(found.standard_uncertainty(), u, 0.006 * u);
        // A shortest interval wanders along a flat density: its ends are less certain than its length.
        interval_close(found.shortest(0.95), low, high, 0.5 + 0.04 * u);
        close(found.shortest(0.95).high - found.shortest(0.95).low, high - low, 1.0 + 0.012 * u);
    }
    // Without correlation and at zero the result is exponential: the interval ends at −2u² ln 0.05.
    let found = loss(0.0, 0.0, 10).shortest(0.95);
    close(found.low, 0.0, 0.01);
    close(found.high, 149.786_6, 0.7);
}

/// 9.5: deviation of an end gauge in nm over 50 mm, by the full model (9.5.2.2).
#[test]
fn jcgm_101_9_5_gauge_block() {
    let t = |mean: f64, standard_uncertainty: f64, degrees_of_freedom: f64| Input::T {
        mean,
        standard_uncertainty,
        degrees_of_freedom,
    };
    let inputs = [
        t(50_000_623.0, 25.0, 18.0),
        t(215.0, 6.0, 24.0),
        t(0.0, 4.0, 5.0),
        t(0.0, 7.0, 8.0),
        about(11.5e-6, 2e-6),
        Input::Normal { mean: -0.1, standard_uncertainty: 0.2 },
        Input::Arcsine { low: -0.5, high: 0.5 },
        Input::CurvilinearTrapezoid { low: -1e-6, high: 1e-6, inexact: 0.1e-6 },
        Input::CurvilinearTrapezoid { low: -0.05, high: 0.05, inexact: 0.025 },
    ];
    let model = |x: &[f64]| {
        let (standard, difference) = (x[0], x[1] + x[2] + x[3]);
        let (alpha, theta, delta_alpha, delta_theta) = (x[4], x[5] + x[6], x[7], x[8]);
        let hot = 1.0 + (alpha + delta_alpha) * (theta + delta_theta);
        (standard * (1.0 + alpha * theta) + difference) / hot - 50_000_000.0
    };
    let found = draw(&inputs, model, DRAWS, 20).unwrap();
    close(found.mean(), 838.0, 0.5);
    close(found.standard_uncertainty(), 36.0, 0.5);
    interval_close(found.shortest(0.99), 745.0, 932.0, 3.0);
    interval_close(found.symmetric(0.99), 744.6, 931.8, 1.0);
}

/// NPL DEM-ES-011, 9.2, as quoted in the tests of suncal: y = ln x for x between 0.1 and 1.1.
#[test]
fn npl_dem_es_011_9_2_logarithm() {
    let inputs = [Input::Rectangular { low: 0.1, high: 1.1 }];
    let found = draw(&inputs, |x| x[0].ln(), DRAWS, 30).unwrap();
    close(found.mean(), -0.664_900, 0.002);
    close(found.standard_uncertainty(), 0.606, 0.002);
    interval_close(found.shortest(0.95), -1.895, 0.095, 0.01);
    let first = Linearity::of(|x: &[f64; 1]| x[0].ln(), &[0.6], &[1.0 / 12.0_f64.sqrt()]);
    close(first.first_order, 0.481, 0.0005);
    assert!(!first.first_order_is_enough(1));
}

/// 37.0 mL in 5.00 s by hand, this project's own example: computed with ten million draws of another generator.
#[test]
fn flow_rate() {
    let inputs = [
        about(37.0, 0.5),
        Input::Triangular { low: -0.5, high: 0.5 },
        Input::Normal { mean: 5.0, standard_uncertainty: 0.10 },
        about(0.0, 0.005),
    ];
    let found = draw(&inputs, |x| (x[0] + x[1]) / (x[2] + x[3]), DRAWS, 40).unwrap();
    close(found.mean(), 7.402_962, 0.0006);
    close(found.standard_uncertainty(), 0.164_36, 0.0004);
    interval_close(found.symmetric(0.95), 7.0897, 7.7333, 0.002);
    // The second-order terms say the same without a draw.
    let second = Linearity::of_quotient(7.4, 0.353_553_390_6 / 37.0, 0.100_041_658_0 / 5.0);
    close(second.second_order, 0.164_36, 0.000_05);
    close(7.4 + second.shift, 7.402_962, 1e-6);
}
