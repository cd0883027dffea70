//! First passages against published and recomputed figures.

use super::*;
use ouncewise_measure::special::{f_quantile, normal_quantile};

/// Lasers whose current rises until it is 10 % up (Meeker and Escobar 1998, Table C.17): drift and variance for each hour were
/// fitted for the reference, and another program's inverse Gaussian gave these.
#[test]
fn lasers_with_one_common_drift() {
    let passage = Passage::of(0.002_037_906_7, 1.602_673e-4, 10.0).unwrap();
    assert!((passage.mean - 4906.996).abs() < 5e-3, "{passage:?}");
    assert!((passage.shape / 623_957.62 - 1.0).abs() < 1e-6);
    for (time, want) in
        [(4000.0, 0.011_707_4), (4500.0, 0.175_315_1), (5000.0, 0.601_103_0), (6000.0, 0.989_772_2)]
    {
        let got = passage.by(time);
        assert!((got - want).abs() < 2e-7, "{time}: {got}");
        assert!((reached_by(time, 0.002_037_906_7, 0.0, 1.602_673e-4, 10.0) - want).abs() < 2e-7);
    }
    for (chance, want) in [(0.05, 4225.59), (0.1, 4363.49), (0.5, 4887.79), (0.9, 5475.18)] {
        let got = passage.time(chance);
        assert!((got - want).abs() < 6e-3, "{chance}: {got}");
        assert!((passage.by(got) - chance).abs() < 1e-12);
    }
}

/// Three of the fifteen lasers passed before 4000 hours. With one drift for all, 1.2 % would: outside the 95 % limits of that
/// share. With drifts that differ as fitted, what is expected lies inside.
#[test]
fn drifts_that_differ_must_not_be_ignored() {
    let (lowest, highest) = {
        // Clopper and Pearson 1934, for 3 of 15.
        let below = 3.0 / (3.0 + 13.0 * f_quantile(0.975, 26.0, 6.0));
        let f = f_quantile(0.975, 8.0, 24.0);
        (below, 4.0 * f / (12.0 + 4.0 * f))
    };
    let common = reached_by(4000.0, 0.002_037_906_7, 0.0, 1.602_673e-4, 10.0);
    assert!(common < lowest, "{common} {lowest}");
    let own = reached_by(4000.0, 0.002_037_906_7, 4.177_424e-4, 1.166_401e-4, 10.0);
    assert!(own > lowest && own < highest, "{lowest} {own} {highest}");
    assert!((own - 0.2).abs() < 0.1, "{own}");
}

/// However narrow the wandering is beside the drifts, the mixture is what its parts come to: summed here over many equal shares
/// of the drifts.
#[test]
fn a_mixture_is_the_sum_of_its_parts() {
    for (drift, drift_sd, variance) in [(0.5, 0.2, 0.4), (0.1, 0.3, 1e-3), (-0.2, 0.3, 0.2)] {
        let shares = 40_000;
        let sum: f64 = (0..shares)
            .map(|place| {
                let z = normal_quantile((f64::from(place) + 0.5) / f64::from(shares));
                reached_by(10.0, drift + z * drift_sd, 0.0, variance, 3.0)
            })
            .sum::<f64>()
            / f64::from(shares);
        let got = reached_by(10.0, drift, drift_sd, variance, 3.0);
        assert!((got - sum).abs() < 2e-5, "{drift} {drift_sd} {variance}: {got} {sum}");
    }
}

/// The distribution by its other form, the integral of its density (Johnson, Kotz and Balakrishnan 1994, chapter 15).
#[test]
fn the_distribution_is_the_integral_of_its_density() {
    for (mean, shape) in [(1.0, 0.2), (3.0, 3.0), (10.0, 400.0)] {
        let passage = Passage { mean, shape };
        let density = |t: f64| {
            let off = (t - mean) / mean;
            (shape / (2.0 * core::f64::consts::PI * t * t * t)).sqrt()
                * libm::exp(-shape * off * off / (2.0 * t))
        };
        for time in [0.5 * mean, mean, 2.0 * mean] {
            let sum: f64 = points(1e-9, time, 400).iter().map(|(t, w)| w * density(*t)).sum();
            assert!((passage.by(time) - sum).abs() < 1e-9, "{mean} {shape} {time}: {sum}");
        }
    }
    // Far beyond where its parts overflow.
    let narrow = Passage { mean: 1.0, shape: 1e6 };
    assert!((narrow.by(1.0) - 0.500_199_5).abs() < 1e-6, "{}", narrow.by(1.0));
    assert_eq!(narrow.by(0.0), 0.0);
    assert_eq!(narrow.by(f64::INFINITY), 1.0);
}

#[test]
fn ends_and_nonsense() {
    let passage = Passage { mean: 5.0, shape: 2.0 };
    assert_eq!(passage.time(0.0), 0.0);
    assert_eq!(passage.time(1.0), f64::INFINITY);
    assert!(passage.time(1.5).is_nan() && passage.by(f64::NAN).is_nan());
    for (drift, variance, distance) in [(0.0, 1.0, 1.0), (1.0, 0.0, 1.0), (1.0, 1.0, -1.0)] {
        assert_eq!(Passage::of(drift, variance, distance), None);
    }
    assert_eq!(reached_by(1.0, 1.0, 0.0, 1.0, 0.0), 1.0);
    assert_eq!(reached_by(0.0, 1.0, 0.0, 1.0, 1.0), 0.0);
    assert!(reached_by(1.0, 1.0, -1.0, 1.0, 1.0).is_nan());
    // Away from the limit it is reached at all with the probability exp(2 v D / σ²).
    let ever = reached_by(1e6, -0.1, 0.0, 0.5, 2.0);
    assert!((ever - libm::exp(-0.8)).abs() < 1e-9, "{ever}");
}

/// The weeks of a worn line by hand: 4 % to go at 0.2 % a week is 20 weeks on average, half of them a little before.
#[test]
fn weeks_by_wear_alone() {
    let limits = (-0.05, 0.05);
    let half = by_wear_alone(-0.01, limits, -0.002, 0.003 * 0.003, 0.5).unwrap();
    let passage = Passage::of(0.002, 0.003 * 0.003, 0.04).unwrap();
    assert!((passage.mean - 20.0).abs() < 1e-9 && (passage.by(half) - 0.5).abs() < 1e-9);
    assert!(half > 18.0 && half < 20.0, "{half}");
    // Upwards it is the other limit.
    let up = by_wear_alone(0.01, limits, 0.002, 0.003 * 0.003, 0.5).unwrap();
    assert!((up - half).abs() < 1e-9);
    for (level, drift) in [(0.06, 0.002), (-0.06, -0.002), (0.0, 0.0), (f64::NAN, 0.002)] {
        assert_eq!(by_wear_alone(level, limits, drift, 1e-5, 0.5), None);
    }
}
