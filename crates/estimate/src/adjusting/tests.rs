//! Funnel, integral control, bounded adjustment and the harmonic rule against published and recomputed figures.

use super::*;
use ouncewise_measure::special::normal_below;

/// Deming's funnel on one hundred fixed displacements: means and standard deviations (divided by n) of the four rules, as the
/// page of the task prints them.
#[test]
fn the_funnel() {
    let text = include_str!("data/deming_funnel_rosetta.csv");
    let rows: Vec<Vec<f64>> = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').map(|n| n.parse().unwrap()).collect())
        .collect();
    assert_eq!(rows.len(), 100);
    // Where the funnel stands next, from where it stands and how far the marble fell from it.
    let rules: [fn(f64, f64) -> f64; 4] =
        [|_, _| 0.0, |_, fell| -fell, |at, fell| -(at + fell), |at, fell| at + fell];
    let expected = [
        [(0.0004, 0.7153), (0.0702, 0.6462)],
        [(0.0009, 1.0371), (-0.0103, 0.8999)],
        [(0.0439, 7.9871), (-0.0063, 4.7784)],
        [(3.1341, 1.5874), (5.4210, 3.9304)],
    ];
    for ((number, rule), axes) in (1..).zip(rules).zip(expected) {
        for (axis, (mean, sd)) in axes.into_iter().enumerate() {
            let mut at = 0.0;
            let landed: Vec<f64> = rows
                .iter()
                .map(|row| {
                    let fell = row[axis];
                    let landed = at + fell;
                    at = if number == 2 { at - landed } else { rule(at, fell) };
                    landed
                })
                .collect();
            let got = landed.iter().sum::<f64>() / 100.0;
            let square = landed.iter().map(|x| (x - got) * (x - got)).sum::<f64>() / 100.0;
            assert!((got - mean).abs() < 5.1e-5, "rule {number} axis {axis}: {got} {mean}");
            assert!(
                (square.sqrt() - sd).abs() < 5.1e-5,
                "rule {number} axis {axis}: {square} {sd}"
            );
        }
    }
}

/// Variances by the algebra of a first-order autoregression; 64 % at θ = 0.8 is in the abstract of a paper of 1993
/// (doi 10.1080/03610929308831016).
#[test]
fn integral_control() {
    for (share, want) in
        [(0.1, 1.052_632), (0.2, 1.111_111), (0.3, 1.176_471), (0.5, 1.333_333), (1.0, 2.0)]
    {
        assert!((spread_by_share(0.0, share) - want).abs() < 5e-7);
        assert!((spread_by_share(0.0, share) - 2.0 / (2.0 - share)).abs() < 1e-12);
    }
    let rows = [
        (0.2, 0.1, 1.052_632),
        (0.2, 0.2, 1.0),
        (0.2, 0.5, 1.12),
        (0.2, 1.0, 1.64),
        (0.4, 0.2, 1.111_111),
        (0.4, 1.0, 1.36),
    ];
    for (weight, share, want) in rows {
        assert!((spread_by_share(weight, share) - want).abs() < 5e-7, "{weight} {share}");
    }
    assert_eq!(spread_by_share(0.2, 2.0), f64::INFINITY);
    assert_eq!(spread_by_share(0.2, 0.0), f64::INFINITY);
}

/// The closed form λ = (√(q² + 4q) − q) / 2.
#[test]
fn the_weight_of_a_walking_level() {
    for (q, want) in [(0.01, 0.095_125), (0.1, 0.270_156), (1.0, 0.618_034)] {
        assert!((lambda(q, 1.0) - want).abs() < 1e-6);
    }
    assert!((lambda(0.05, 1.0) - 0.2).abs() < 1e-15 && (lambda(0.5, 1.0) - 0.5).abs() < 1e-15);
    assert!((lambda(5.0, 100.0) - 0.2).abs() < 1e-15);
    assert_eq!(lambda(3.0, 0.0), 1.0);
    assert_eq!(lambda(0.0, 3.0), 0.0);
    assert!(lambda(0.0, 0.0).is_nan() && lambda(-1.0, 1.0).is_nan());
    // The gain of the filter of the Nile's level (Durbin and Koopman 2012).
    assert!((lambda(1469.1, 15099.0) - 0.267_048_0).abs() < 1e-6);
}

const STEPS: [(f64, f64, f64); 12] = [
    (0.5, 1.607, 0.0305),
    (1.0, 2.783, 0.1906),
    (1.5, 4.576, 0.4776),
    (2.0, 6.914, 0.8600),
    (2.5, 9.752, 1.3271),
    (3.0, 13.086, 1.8779),
    (4.0, 21.250, 3.2322),
    (5.0, 31.415, 4.9222),
    (7.5, 65.578, 10.610),
    (10.0, 112.241, 18.384),
    (15.0, 243.067, 40.185),
    (20.0, 423.893, 70.321),
];

/// Computed for the reference with 400 nodes.
#[test]
fn a_bounded_walk() {
    for (limit, interval, excess) in STEPS {
        let (got, square) = walk(limit);
        assert!((got - interval).abs() < 1e-3, "{limit}: {got}");
        assert!(
            (square / excess - 1.0).abs() < 2e-3_f64.min(6e-5 / excess).max(3e-5),
            "{limit}: {square}"
        );
    }
    assert!(walk(0.0).0.is_nan() && walk(51.0).0.is_nan() && walk(f64::NAN).0.is_nan());
}

/// The curves that Box and Luceño (1997) fitted to the exact values, within 1.3 per cent from 2.5 steps on.
#[test]
fn the_fitted_curves_are_near() {
    for limit in [2.5, 3.0, 4.0, 5.0, 7.5, 10.0] {
        let (interval, excess) = walk(limit);
        let bend = libm::pow(limit, 0.3) - 0.88;
        let fitted =
            1.0 + 1.1 * limit + limit * limit * (1.0 - 0.115 * libm::exp(-9.2 * bend * bend));
        assert!((fitted / interval - 1.0).abs() < 0.013, "{limit}: {fitted} {interval}");
        let share = normal_below(1.35 * (libm::log(limit) - 0.67));
        let fitted = (1.0 + 0.06 * limit * limit) / (1.0 - 0.647 * share) - 1.0;
        assert!((fitted / excess - 1.0).abs() < 0.013, "{limit}: {fitted} {excess}");
        if limit == 5.0 {
            assert!((fitted - 4.963).abs() < 1e-3);
        }
    }
}

/// Average interval and inflation in per cent for limits of 0.5, 1, 1.5 and 2, computed for the reference; Box and Luceño's
/// table is printed to fewer digits and agrees.
#[test]
fn the_table_of_bounded_adjustment() {
    let rows = [
        (0.1, [(31.4, 2.4), (112.2, 8.8), (243.1, 18.4), (423.9, 30.5)]),
        (0.2, [(9.8, 2.6), (31.4, 9.4), (65.6, 19.3), (112.2, 31.7)]),
        (0.3, [(5.3, 2.6), (15.6, 9.8), (31.4, 20.1), (52.8, 32.8)]),
        (0.4, [(3.6, 2.5), (9.8, 10.1), (19.0, 20.7), (31.4, 33.7)]),
        (0.5, [(2.8, 2.4), (6.9, 10.2), (13.1, 21.2), (21.3, 34.5)]),
    ];
    for (weight, cells) in rows {
        for (limit, (interval, inflation)) in [0.5, 1.0, 1.5, 2.0].into_iter().zip(cells) {
            let got = Bounded::at(weight, limit);
            assert!((got.interval - interval).abs() < 0.051, "{got:?}");
            assert!((100.0 * got.inflation() - inflation).abs() < 0.051, "{got:?}");
        }
    }
}

#[test]
fn a_limit_for_a_wanted_inflation() {
    let known = Bounded::at(0.2, 1.0);
    let got = Bounded::for_inflation(0.2, known.inflation()).unwrap();
    assert!((got.limit - 1.0).abs() < 1e-5, "{got:?}");
    assert!((got.interval - known.interval).abs() < 1e-3);
    assert!((Bounded::for_inflation(0.2, 1e9).unwrap().limit - 10.0).abs() < 1e-6);
    assert_eq!(Bounded::for_inflation(0.0, 0.1), None);
    assert_eq!(Bounded::for_inflation(0.2, f64::NAN), None);
    assert!(Bounded::at(1.5, 1.0).interval.is_nan() && Bounded::at(0.2, -1.0).mean_square.is_nan());
    // Dear adjustments ask for wide limits, cheap ones for narrow.
    let cost = |limit, adjustment| Bounded::at(0.2, limit).cost(adjustment, 1.0);
    assert!(cost(1.0, 10.0) < cost(0.2, 10.0) && cost(0.2, 0.01) < cost(1.0, 0.01));
    assert!((known.cost(31.415, 1.0) - 1.0 - known.mean_square).abs() < 1e-4);
}

/// The rule followed through as a linear recursion, so that no random number is needed: what is left after each catch as a
/// weighted sum of the first offset and of each catch's noise. Expected values: 1/k (Grubbs 1983), and with an offset of
/// three times the noise the figures that a simulation for the reference printed with three digits.
#[test]
fn the_harmonic_rule() {
    let left_after = |catches: usize, ratio: Option<f64>| {
        let mut offset = 1.0;
        let mut noise = vec![0.0; catches];
        for k in 0..catches {
            let share = harmonic_share(k as u32 + 1, ratio);
            noise.iter_mut().for_each(|n| *n *= 1.0 - share);
            noise[k] -= share;
            offset *= 1.0 - share;
        }
        offset * offset * ratio.map_or(1e9, |r| r * r) + noise.iter().map(|n| n * n).sum::<f64>()
    };
    for (catches, want) in [(1, 1.0), (2, 0.5), (3, 0.3333), (4, 0.25), (5, 0.2)] {
        assert!((left_after(catches, None) - want).abs() < 5e-5);
        assert!((harmonic_left(catches as u32, None) - want).abs() < 5e-5);
    }
    for (catches, want) in [9.0, 0.9, 0.4737, 0.3214, 0.2432, 0.1957].into_iter().enumerate() {
        assert!((left_after(catches, Some(3.0)) - want).abs() < 5.1e-5, "{catches}");
        assert!((harmonic_left(catches as u32, Some(3.0)) - want).abs() < 5.1e-5);
    }
    // No other last share leaves less (Trietsch 1998: least loss at every step).
    for share in [0.4, 0.6] {
        let other = (1.0 - share) * (1.0 - share) * harmonic_left(1, None) + share * share;
        assert!(other > harmonic_left(2, None));
    }
    assert_eq!(harmonic_share(0, None), 1.0);
    assert_eq!(harmonic_left(0, None), f64::INFINITY);
}
