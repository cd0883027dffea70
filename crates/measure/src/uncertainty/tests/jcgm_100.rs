//! The examples of JCGM 100:2008, annexes G and H.

use super::super::{
    Budget, Part, day_effect,
    propagation::{Linearity, propagate, uncorrelated},
    straight_line,
    type_a::{Repeated, covariance_of_means, repeated},
    type_b,
};
use super::close;
use crate::special::{f_quantile, t_quantile};

#[test]
fn g_4_1_welch_satterthwaite() {
    let budget = Budget::new()
        .with(Part::new("first", 0.25).with_degrees_of_freedom(9.0))
        .with(Part::new("second", 0.57).with_degrees_of_freedom(4.0))
        .with(Part::new("third", 0.82).with_degrees_of_freedom(14.0));
    close(budget.combined(), 1.03, 0.005);
    close(budget.combined(), 1.029_465_9, 5e-8);
    close(budget.effective_degrees_of_freedom(), 19.0, 0.05);
    close(budget.effective_degrees_of_freedom(), 18.998_742, 5e-7);
    // The example rounds 19.0 to 19. Its note truncates, and so do we: 18, the cautious side.
    let expanded = budget.expanded(0.95);
    assert_eq!(expanded.degrees_of_freedom, 18.0);
    close(expanded.factor, 2.10, 0.005);
    close(t_quantile(0.975, 19.0), 2.093_024_1, 5e-8);
    close(expanded.uncertainty, 2.2, 0.05);
}

/// The comparison of the two gauges, H.1.3.2, in nm: s = 13 nm over √5, 10 nm at t95(5), 20 nm at three standard deviations.
fn comparison() -> [f64; 3] {
    [13.0 / libm::sqrt(5.0), 10.0 / t_quantile(0.975, 5.0), 20.0 / 3.0]
}

/// Contributions of H.1 in nm, with full precision. The printed, rounded ones would give ν = 17 instead of 16.
fn end_gauge() -> (Budget, Budget) {
    let comparator = Budget::new()
        .with(Part::new("repeated readings", comparison()[0]).with_degrees_of_freedom(24.0))
        .with(Part::new("comparator, random", comparison()[1]).with_degrees_of_freedom(5.0))
        .with(Part::new("comparator, systematic", comparison()[2]).with_degrees_of_freedom(8.0));
    let length = 50.000_623e6;
    // θ has no part of its own as the expansion coefficients are alike on average; δα and δθ do (H.1.4).
    let expansion = length * 0.1 * type_b::rectangular(1e-6);
    let temperature = length * 11.5e-6 * type_b::rectangular(0.05);
    let whole = Budget::new()
        .with(Part::new("the standard", 25.0).with_degrees_of_freedom(18.0))
        .with(
            Part::new("the comparator", comparator.combined())
                .with_degrees_of_freedom(comparator.effective_degrees_of_freedom()),
        )
        .with(
            Part::new("expansion", expansion)
                .with_degrees_of_freedom(type_b::degrees_of_freedom(0.1)),
        )
        .with(
            Part::new("temperature", temperature)
                .with_degrees_of_freedom(type_b::degrees_of_freedom(0.5)),
        );
    (comparator, whole)
}

#[test]
fn h_1_end_gauge() {
    let (comparator, whole) = end_gauge();
    close(comparator.combined(), 9.7, 0.05);
    close(comparator.effective_degrees_of_freedom(), 25.621_306, 5e-7);
    close(whole.combined().powi(2), 1002.0, 1.0);
    close(whole.combined(), 31.658_160, 1e-5);
    close(whole.effective_degrees_of_freedom(), 16.741_149, 1e-5);
    let expanded = whole.expanded(0.99);
    assert_eq!(expanded.degrees_of_freedom, 16.0);
    close(expanded.factor, 2.92, 0.005);
    // Printed 93 nm: 2.92 times 32 nm, both rounded.
    close(2.92 * 32.0, 93.0, 0.5);
    close(expanded.uncertainty, 92.4666, 1e-3);
    close(50.000_623 + 215e-6, 50.000_838, 1e-9);
}

/// l = l_S + d − l_S (δα θ + α_S δθ), H.1.1 (H.3), in nm.
fn end_gauge_length(x: &[f64; 6]) -> f64 {
    let [standard, difference, delta_alpha, theta, alpha, delta_theta] = *x;
    standard + difference - standard * (delta_alpha * theta + alpha * delta_theta)
}

#[test]
fn h_1_7_second_order() {
    let at = [50.000_623e6, 215.0, 0.0, -0.1, 11.5e-6, 0.0];
    let theta = libm::hypot(type_b::arcsine(0.5), 0.2);
    let u = [
        25.0,
        libm::sqrt(comparison().iter().map(|u| u * u).sum()),
        type_b::rectangular(1e-6),
        theta,
        type_b::rectangular(2e-6),
        type_b::rectangular(0.05),
    ];
    let found = Linearity::of(end_gauge_length, &at, &u);
    close(found.first_order, 31.658_160, 1e-5);
    close(found.second_order, 34.0, 0.5);
    close(found.second_order, 33.801_19, 1e-4);
    // The two terms that the example prints: l_S u(δα) u(θ), and l_S u(α_S) u(δθ).
    close(at[0] * u[2] * u[3], 11.7, 0.05);
    close(at[0] * u[4] * u[5], 1.7, 0.05);
    assert!(!found.first_order_is_enough(2));
}

const VOLTS: [f64; 5] = [5.007, 4.994, 5.005, 4.990, 4.999];
const MILLIAMPS: [f64; 5] = [19.663, 19.639, 19.640, 19.685, 19.678];
const PHASES: [f64; 5] = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

/// Sensitivities of R = V/I cos φ, X = V/I sin φ and Z = V/I to V (volts), I (amperes) and φ.
fn impedance(volts: f64, amps: f64, phase: f64) -> [[f64; 3]; 3] {
    let z = volts / amps;
    let (sin, cos) = (phase.sin(), phase.cos());
    [
        [cos / amps, -z * cos / amps, -z * sin],
        [sin / amps, -z * sin / amps, z * cos],
        [1.0 / amps, -z / amps, 0.0],
    ]
}

#[test]
fn h_2_resistance_reactance_and_impedance() {
    let series = [VOLTS, MILLIAMPS.map(|i| i * 1e-3), PHASES];
    let means = series.map(|readings| repeated(&readings).unwrap());
    for (found, (mean, u, tolerance)) in means.iter().zip([
        (4.9990, 0.0032, 5e-5),
        (19.6610e-3, 0.0095e-3, 5e-8),
        (1.04446, 0.00075, 5e-6),
    ]) {
        close(found.mean, mean, 5e-6);
        close(found.standard_uncertainty(), u, tolerance);
    }
    let mut covariance = [[0.0; 3]; 3];
    for (i, a) in series.iter().enumerate() {
        for (j, b) in series.iter().enumerate() {
            covariance[i][j] = covariance_of_means(a, b).unwrap();
        }
    }
    let correlation = |m: &[[f64; 3]; 3], i: usize, j: usize| m[i][j] / (m[i][i] * m[j][j]).sqrt();
    close(correlation(&covariance, 0, 1), -0.36, 0.005);
    close(correlation(&covariance, 0, 2), 0.86, 0.005);
    close(correlation(&covariance, 1, 2), -0.65, 0.005);

    let [v, i, phase] = means.map(|found| found.mean);
    let z = v / i;
    close(z * phase.cos(), 127.732, 5e-4);
    close(z * phase.sin(), 219.847, 5e-4);
    close(z, 254.260, 5e-4);
    let sensitivities = impedance(v, i, phase);
    let results = propagate(&sensitivities, &covariance);
    for (k, (printed, computed)) in
        [(0.071, 0.071_071_4), (0.295, 0.295_581_7), (0.236, 0.236_336_1)].into_iter().enumerate()
    {
        close(results[k][k].sqrt(), printed, 1e-3);
        close(results[k][k].sqrt(), computed, 1e-6);
    }
    close(correlation(&results, 0, 1), -0.588_429_8, 1e-6);
    close(correlation(&results, 0, 2), -0.485_259_2, 1e-6);
    close(correlation(&results, 1, 2), 0.992_511_6, 1e-6);

    // Table H.5: what comes of leaving the correlation out.
    let apart = uncorrelated(&means.map(|found| found.standard_uncertainty()));
    let results = propagate(&sensitivities, &apart);
    for (k, printed) in [0.195, 0.201, 0.204].into_iter().enumerate() {
        close(results[k][k].sqrt(), printed, 1e-3);
    }
}

#[test]
fn h_3_thermometer_calibration() {
    let readings = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];
    let line = straight_line::fit(&readings, 20.0).unwrap();
    close(line.intercept, -0.171_203_790, 1e-8);
    close(line.intercept_uncertainty, 0.002_877_598, 1e-8);
    close(line.slope, 0.002_182_698, 1e-8);
    close(line.slope_uncertainty, 0.000_667_939, 1e-8);
    close(line.correlation, -0.930_429_603, 1e-8);
    close(line.residual, 0.003_497_564, 1e-8);
    assert_eq!(line.degrees_of_freedom, 9.0);
    let (predicted, u) = line.at(30.0);
    close(predicted, -0.149_376_813, 1e-8);
    close(u, 0.004_138_596, 1e-8);
    close(line.chance_of_no_slope(), 0.009_716_6, 5e-8);
    // Where the line is best known: the mean temperature.
    let best = 20.0 - line.correlation * line.intercept_uncertainty / line.slope_uncertainty;
    close(best, 24.0085, 5e-4);
    assert!(line.at(best).1 < line.at(best - 0.5).1 && line.at(best).1 < line.at(best + 0.5).1);
    // Where it crosses zero: not in the example; from its own figures by 5.2.2 (−a/b, correlated), in Python.
    let (zero, u) = line.zero();
    close(zero, 98.436_77, 1e-4);
    close(u, 22.781_33, 1e-4);
}

#[test]
fn a_line_needs_three_places() {
    assert_eq!(straight_line::fit(&[(0.0, 1.0), (1.0, 2.0)], 0.0), None);
    assert_eq!(straight_line::fit(&[(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)], 0.0), None);
}

#[test]
fn h_5_day_effect() {
    let means = [172.0, 116.0, 13.0, 144.0, 106.0, 31.0, 60.0, 125.0, 163.0, 41.0];
    let spreads = [60.0, 77.0, 111.0, 101.0, 67.0, 93.0, 80.0, 73.0, 88.0, 86.0];
    let days: Vec<Repeated> = means
        .into_iter()
        .zip(spreads)
        .map(|(mean, standard_deviation)| Repeated { count: 5, mean, standard_deviation })
        .collect();
    let found = day_effect::analyse(&days).unwrap();
    close(found.mean, 97.1, 1e-10);
    close(found.of_daily_means, 57.0895, 5e-5);
    close(found.between_days(), 127.6560, 5e-5);
    close(found.within_days, 84.8870, 5e-5);
    // Printed 2.25, from rounded values.
    close(found.ratio(), 2.261_519, 5e-7);
    assert_eq!(found.degrees_of_freedom(), (9.0, 40.0));
    close(f_quantile(0.95, 9.0, 40.0), 2.12, 0.005);
    close(f_quantile(0.975, 9.0, 40.0), 2.45, 0.005);
    close(found.chance_of_no_effect(), 0.037_396_8, 5e-8);
    close(found.day(), 42.638_61, 5e-6);
    let (u, degrees) = found.uncertainty_with_effect();
    close(u, 18.053_29, 5e-6);
    assert_eq!(degrees, 9.0);
    let (u, degrees) = found.uncertainty_without_effect();
    close(u, 13.323_24, 5e-6);
    assert_eq!(degrees, 49.0);
}

#[test]
fn days_must_be_alike() {
    let day = |count| Repeated { count, mean: 1.0, standard_deviation: 0.1 };
    assert_eq!(day_effect::analyse(&[]), None);
    assert_eq!(day_effect::analyse(&[day(5)]), None);
    assert_eq!(day_effect::analyse(&[day(5), day(4)]), None);
    assert_eq!(day_effect::analyse(&[day(5), day(5)]).unwrap().day(), 0.0);
}
