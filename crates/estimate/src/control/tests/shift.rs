//! Average run lengths where the mean stays where it is, or has stepped.

use super::super::*;
use super::printed;
use ouncewise_measure::special::normal_density;

fn ewma(weight: f64, width: f64) -> Ewma {
    Ewma { weight, width, limits: EwmaLimits::Asymptotic }
}

/// Champ and Woodall 1987, Table 1, columns C1, C12, C13 and C14.
#[test]
fn runs_rules_of_champ_and_woodall() {
    let [first, two, four, eight] = WESTERN_ELECTRIC;
    let columns: [(&[Rule], [f64; 16]); 4] = [
        (
            &[first],
            [
                370.40, 308.43, 200.08, 119.67, 71.55, 43.89, 27.82, 18.25, 12.38, 8.69, 6.30,
                4.72, 3.65, 2.90, 2.38, 2.00,
            ],
        ),
        (
            &[first, two],
            [
                225.44, 177.56, 104.46, 57.92, 33.12, 20.01, 12.81, 8.69, 6.21, 4.66, 3.65, 2.96,
                2.48, 2.13, 1.87, 1.68,
            ],
        ),
        (
            &[first, four],
            [
                166.05, 120.70, 63.88, 33.99, 19.78, 12.66, 8.84, 6.62, 5.24, 4.33, 3.68, 3.18,
                2.78, 2.43, 2.14, 1.89,
            ],
        ),
        (
            &[first, eight],
            [
                152.73, 110.52, 59.76, 33.64, 21.07, 14.58, 10.90, 8.60, 7.03, 5.85, 4.89, 4.08,
                3.38, 2.81, 2.35, 1.99,
            ],
        ),
    ];
    for (rules, column) in columns {
        for (place, want) in column.into_iter().enumerate() {
            let shift = 0.2 * place as f64;
            let got = rules_run_length(rules, Course::steady(shift));
            // Tables of runs rules rest on Monte Carlo or are rounded twice: a unit of the last digit.
            assert!((got - want).abs() < 0.0101, "{rules:?} {shift}: {got} {want}");
        }
    }
}

/// All four rules together: 91.75, as cited from Champ and Woodall.
#[test]
fn all_four_rules_together_cry_out_every_92_readings() {
    let got = rules_run_length(&WESTERN_ELECTRIC, Course::steady(0.0));
    assert!((got - 91.75).abs() < 0.01, "{got}");
}

#[test]
fn rules_find_what_they_say() {
    let [first, two, four, eight] = WESTERN_ELECTRIC;
    assert_eq!(rules_alarms(&[first], &[2.9, -3.1, 3.0, 3.2]), [1, 3]);
    assert_eq!(rules_alarms(&[two], &[2.1, 0.0, 2.1, 0.0, 0.0, -2.1, 2.1]), [2]);
    assert_eq!(rules_alarms(&[four], &[1.1, 1.1, -1.1, 1.1, 1.1]), [4]);
    assert_eq!(rules_alarms(&[eight], &[-0.1; 9]), [7, 8]);
    assert!(rules_alarms(&[Rule { hits: 3, of: 2, beyond: 1.0 }], &[9.0; 5]).is_empty());
    assert!(rules_run_length(&[], Course::steady(0.0)).is_nan());
}

const SHIFTS: [f64; 11] = [0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0];

/// Lucas and Crosier 1982, Table 1: three printed digits.
#[test]
fn sums_of_lucas_and_crosier() {
    let plain = [168.0, 74.2, 26.6, 13.3, 8.38, 4.75, 3.34, 2.62, 2.19, 1.71, 1.31];
    let ahead = [149.0, 62.7, 20.1, 8.97, 5.29, 2.86, 2.01, 1.59, 1.32, 1.07, 1.01];
    for (head_start, column) in [(0.0, plain), (2.0, ahead)] {
        let chart = Cusum { slack: 0.5, limit: 4.0, head_start };
        for (shift, want) in SHIFTS.into_iter().zip(column) {
            let digits = if want >= 100.0 {
                0
            } else if want >= 10.0 {
                1
            } else {
                2
            };
            let got = chart.average_run_length(shift);
            // One of the 22 is 1.3254 where 1.32 is printed.
            let within = 0.55 * 10f64.powi(-digits);
            assert!((got - want).abs() < within, "{head_start} {shift}: {got} {want}");
        }
    }
    let chart = Cusum { slack: 0.5, limit: 4.0, head_start: 0.0 };
    assert!((chart.average_run_length(0.0) - 167.683_8).abs() < 1e-3);
}

/// Computed for the reference by another program (Knoth's `spc`); the printed 465, 139, 38, 17, 10.4, 5.75, 4.01 agree.
#[test]
fn sums_of_limit_five_and_of_one_side() {
    let chart = Cusum { slack: 0.5, limit: 5.0, head_start: 0.0 };
    let rows = [
        (0.0, 465.443_5),
        (0.25, 139.493_7),
        (0.5, 37.996_1),
        (0.75, 17.048_3),
        (1.0, 10.376_0),
        (1.5, 5.747_2),
        (2.0, 4.008_9),
        (3.0, 2.573_3),
    ];
    for (shift, want) in rows {
        let got = chart.average_run_length(shift);
        assert!((got - want).abs() < 1e-3, "{shift}: {got} {want}");
    }
    let one = |limit, shift| {
        Cusum { slack: 0.5, limit, head_start: 0.0 }.upper_run_length(Course::steady(shift))
    };
    assert!((one(4.0, 0.0) - 335.367_6).abs() < 1e-3);
    assert!((one(5.0, 0.0) - 930.887_0).abs() < 2e-3);
    // Brook and Evans 1972, section 4.3.
    assert!((one(3.0, 0.0) - 117.59).abs() < 0.01 && printed(one(3.0, 1.5), 3.75, 2));
    // A far shift is met by one side alone; a chart out of range has no run length.
    assert!((chart.average_run_length(30.0) - 1.0).abs() < 1e-9);
    assert!(Cusum { head_start: 6.0, ..chart }.average_run_length(0.0).is_nan());
    assert!(Cusum { limit: f64::NAN, ..chart }.average_run_length(0.0).is_nan());
}

/// Siegmund's approximation with the limit lengthened by 1.166, within some two per cent of the exact values.
#[test]
fn siegmund_is_near() {
    let approximate = |limit: f64, shift: f64| {
        let b = limit + 1.166;
        let side = |d: f64| (libm::exp(-2.0 * d * b) + 2.0 * d * b - 1.0) / (2.0 * d * d);
        1.0 / (1.0 / side(shift - 0.5) + 1.0 / side(-shift - 0.5))
    };
    for (limit, shift, want) in
        [(4.0, 0.0, 169.047), (4.0, 1.0, 8.343), (5.0, 0.0, 469.111), (5.0, 1.0, 10.336)]
    {
        assert!((approximate(limit, shift) - want).abs() < 1e-3);
        let exact = Cusum { slack: 0.5, limit, head_start: 0.0 }.average_run_length(shift);
        assert!((exact / want - 1.0).abs() < 0.02, "{limit} {shift}: {exact}");
    }
}

/// Lucas and Saccucci 1990, Table 3: three printed digits.
#[test]
fn averages_of_lucas_and_saccucci() {
    let shifts = [0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0];
    let tables = [
        (0.5, 3.071, [500.0, 255.0, 88.8, 35.9, 17.5, 6.53, 3.63, 2.50, 1.93, 1.58, 1.34, 1.07]),
        (0.03, 2.437, [500.0, 76.7, 29.3, 17.6, 12.6, 8.07, 5.99, 4.80, 4.03, 3.49, 3.11, 2.55]),
    ];
    for (weight, width, column) in tables {
        for (shift, want) in shifts.into_iter().zip(column) {
            let digits = if want >= 100.0 {
                0
            } else if want >= 10.0 {
                1
            } else {
                2
            };
            let got = ewma(weight, width).average_run_length(Course::steady(shift));
            assert!(printed(got, want, digits), "{weight} {shift}: {got} {want}");
        }
    }
}

/// Computed for the reference by another program (Knoth's `spc`).
#[test]
fn averages_of_common_pairs() {
    let rows = [
        (0.05, 2.615, 499.93, 28.764, 11.383),
        (0.10, 2.814, 499.58, 31.297, 10.331),
        (0.20, 2.962, 499.73, 41.764, 10.542),
        (0.25, 2.998, 499.84, 48.294, 11.136),
        (0.40, 3.054, 499.95, 71.201, 14.263),
    ];
    for (weight, width, none, half, one) in rows {
        for (shift, want) in [(0.0, none), (0.5, half), (1.0, one)] {
            let got = ewma(weight, width).average_run_length(Course::steady(shift));
            assert!((got - want).abs() < 0.01, "{weight} {shift}: {got} {want}");
        }
    }
    let rows =
        [(0.1, 2.7, 368.994, 9.730), (0.2, 2.86, 371.103, 9.802), (0.3, 3.0, 465.553, 11.699)];
    for (weight, width, none, one) in rows {
        for (shift, want) in [(0.0, none), (1.0, one)] {
            let got = ewma(weight, width).average_run_length(Course::steady(shift));
            assert!((got - want).abs() < 1e-3, "{weight} {shift}: {got} {want}");
        }
    }
    // Crowder 1989: the width for 250 readings with nothing wrong, to half a hundredth.
    for (weight, width) in [(0.05, 2.32), (0.10, 2.55), (0.15, 2.65), (0.20, 2.72), (0.25, 2.76)] {
        let at = |width| ewma(weight, width).average_run_length(Course::steady(0.0));
        assert!(at(width - 0.006) < 250.0 && at(width + 0.006) > 250.0, "{weight}");
    }
}

/// The first two rows were computed for the reference by Knoth's method of 2003; the others are Steiner 1999, Table 2.
#[test]
fn averages_with_exact_limits() {
    let exact = |weight, width, shift| {
        let chart = Ewma { weight, width, limits: EwmaLimits::Exact };
        chart.average_run_length(Course::steady(shift))
    };
    for (weight, width, none, one) in [(0.2, 2.86, 365.856, 8.795), (0.1, 2.7, 356.095, 7.541)] {
        let (got, after) = (exact(weight, width, 0.0), exact(weight, width, 1.0));
        assert!((got - none).abs() < 1e-3 && (after - one).abs() < 1e-3, "{got} {after}");
    }
    // Steiner's chain is coarse: 200 000 simulated runs after a shift came to 9.235 ± 0.012 where he prints 9.0.
    let (got, after) = (exact(0.05, 3.0, 0.0), exact(0.05, 3.0, 1.0));
    assert!((got / 1353.0 - 1.0).abs() < 0.01, "{got}");
    assert!((after / 9.0 - 1.0).abs() < 0.03 && (after - 9.235).abs() < 3.0 * 0.012, "{after}");
    let fixed = |shift| ewma(0.05, 3.0).average_run_length(Course::steady(shift));
    assert!(printed(fixed(0.0), 1379.0, 0) && printed(fixed(1.0), 13.5, 1));
    assert!(ewma(0.0, 3.0).average_run_length(Course::steady(0.0)).is_nan());
    assert!(ewma(0.2, -1.0).average_run_length(Course::steady(0.0)).is_nan());
}

/// Crowder 1987 (both papers), whose quadrature was good to some half per cent: a million simulated runs of the first came to
/// 18.223 ± 0.018, and half a million of the second to 34.58 ± 0.05. And Rigdon, Cruthis and Champ 1994, Table 2, by Monte Carlo.
#[test]
fn individuals_with_moving_ranges() {
    let listing = [18.2164, 16.3541, 12.4282, 8.7559, 6.1071, 4.3582, 3.2260, 2.4878, 1.9989];
    let table = [34.44, 34.28, 34.07, 33.81, 33.45, 32.82, 31.50, 28.85, 24.49];
    for (place, (narrow, wide)) in listing.into_iter().zip(table).enumerate() {
        let shift = 0.25 * place as f64;
        let got = pair_run_length(2.0, 3.0, shift);
        assert!((got / narrow - 1.0).abs() < 1e-3, "{shift}: {got} {narrow}");
        let got = pair_run_length(4.0, 3.0, shift);
        assert!((got / wide - 1.0).abs() < 0.03, "{shift}: {got} {wide}");
    }
    assert!((pair_run_length(2.0, 3.0, 0.0) - 18.223).abs() < 3.0 * 0.018);
    assert!((pair_run_length(4.0, 3.0, 0.0) - 34.58).abs() < 3.0 * 0.05);
    let wider = [200.54, 132.25, 90.84, 65.66, 49.35, 38.92, 31.11];
    for (place, want) in wider.into_iter().enumerate() {
        let ratio = 1.0 + 0.05 * place as f64;
        let got = pair_run_length(2.992 / ratio, 4.139 / ratio, 0.0);
        assert!((got / want - 1.0).abs() < 0.02, "{ratio}: {got} {want}");
    }
    // The textbook limits: the moving range makes of 370 readings 105.
    let textbook = pair_run_length(3.0, d4_upper(2) * d2(2), 0.0);
    assert!(printed(textbook, 105.3, 1), "{textbook}");
    assert!(pair_run_length(f64::NAN, 3.0, 0.0).is_nan());
}

/// What a chart is worth whose limits come from `n` single readings: computed for the reference. A standard deviation pooled
/// over many lines makes a young line watchable; its own from ten weeks does not.
#[test]
fn short_baselines() {
    let chart = ewma(0.2, 2.86);
    // The mean only: the average over where the mean was taken to be.
    let known = |n: f64, shift: f64| -> f64 {
        crate::numeric::points(-6.5, 6.5, 80)
            .into_iter()
            .map(|(z, weight)| {
                let off = shift - z / n.sqrt();
                weight * normal_density(z) * chart.average_run_length(Course::steady(off))
            })
            .sum()
    };
    let rows = [(5.0, 135.0, 25.7), (10.0, 173.6, 15.4), (20.0, 215.2, 11.7), (50.0, 268.9, 10.4)];
    for (n, none, one) in rows {
        let (got, after) = (known(n, 0.0), known(n, 1.0));
        // The reference's figures rest on a coarser sum, good to half a per cent.
        assert!((got / none - 1.0).abs() < 6e-3 && printed(after, one, 1), "{n}: {got} {after}");
    }
    // The standard deviation as well, from n − 1 degrees of freedom: summed over its distribution.
    let both = |width: f64, n: f64, free: f64, shift: f64| -> f64 {
        let scale = 0.5 * free;
        let density = |w: f64| {
            let log =
                scale * scale.ln() - libm::lgamma(scale) + (free - 1.0) * w.ln() - scale * w * w;
            2.0 * log.exp()
        };
        crate::numeric::points(0.2, 2.2, 32)
            .into_iter()
            .flat_map(|(w, weight)| {
                let chart = ewma(0.2, width * w);
                let share = weight * density(w);
                crate::numeric::points(-5.5, 5.5, 24).into_iter().map(move |(z, weight)| {
                    let course = Course::steady(shift - z / n.sqrt());
                    share * weight * normal_density(z) * chart.average_run_length(course)
                })
            })
            .sum()
    };
    let rows =
        [(20.0, 626.0, 13.1), (30.0, 443.0, 11.4), (50.0, 377.0, 10.6), (100.0, 357.0, 10.2)];
    for (n, none, one) in rows {
        let (got, after) = (both(2.86, n, n - 1.0, 0.0), both(2.86, n, n - 1.0, 1.0));
        // With few readings the mean is made by the few far too wide limits.
        let within = if n < 25.0 { 0.03 } else { 0.006 };
        assert!((got / none - 1.0).abs() < within && printed(after, one, 1), "{n}: {got} {after}");
    }
    // The set-up of Jones, Champ and Rigdon 2001: means of five, limits from twenty such, the pooled deviation freed of its
    // bias. Known 200.325; estimated 144.458 by 10⁸ simulated runs.
    let plain = ewma(0.2, 2.636).average_run_length(Course::steady(0.0));
    assert!((plain - 200.325).abs() < 0.01, "{plain}");
    let estimated = both(2.636 / c4(81), 20.0, 80.0, 0.0);
    assert!((estimated / 144.458 - 1.0).abs() < 5e-3, "{estimated}");
}

/// Odeh and Owen 1980, Table 3.4.1: 3.393 for ten readings, 95 % with 95 % confidence; more digits by another program.
#[test]
fn limits_that_ten_readings_bear_out() {
    assert!((tolerance_factor(10, 0.95, 0.95) - 3.393_429).abs() < 2e-6);
    // With many readings it is the normal quantile.
    assert!((tolerance_factor(1_000_000, 0.95, 0.95) - 1.96).abs() < 5e-3);
    assert!(tolerance_factor(1, 0.95, 0.95).is_nan() && tolerance_factor(10, 1.0, 0.95).is_nan());
}
