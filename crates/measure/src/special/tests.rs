//! The functions against a table of 22 digits, and their properties.

use super::*;
use proptest::prelude::*;

/// Its header says how it was computed.
const REFERENCE: &str = include_str!("tests/reference.csv");
const TOLERANCE: f64 = 1e-12;

fn compute(function: &str, x: &[f64]) -> f64 {
    match (function, x) {
        ("normal_below", &[z]) => normal_below(z),
        ("normal_within", &[low, high]) => normal_within(low, high),
        ("normal_quantile", &[p]) => normal_quantile(p),
        ("t_below", &[t, nu]) => t_below(t, nu),
        ("t_density", &[t, nu]) => t_density(t, nu),
        ("t_quantile", &[p, nu]) => t_quantile(p, nu),
        ("chi_squared_below", &[x, nu]) => chi_squared_below(x, nu),
        ("chi_squared_above", &[x, nu]) => chi_squared_above(x, nu),
        ("chi_squared_quantile", &[p, nu]) => chi_squared_quantile(p, nu),
        ("f_below", &[x, a, b]) => f_below(x, a, b),
        ("f_above", &[x, a, b]) => f_above(x, a, b),
        ("f_quantile", &[p, a, b]) => f_quantile(p, a, b),
        _ => panic!("the table names {function}{x:?}"),
    }
}

#[test]
fn agrees_with_the_reference_table() {
    let mut rows = 0;
    let mut faults = Vec::new();
    for row in REFERENCE.lines().filter(|row| !row.starts_with('#')).skip(1) {
        let fields: Vec<&str> = row.split(',').collect();
        let arguments: Vec<f64> =
            fields[1].split(' ').map(|field| field.parse().unwrap()).collect();
        let expected: f64 = fields[2].parse().unwrap();
        let computed = compute(fields[0], &arguments);
        let off = (computed / expected - 1.0).abs();
        if off.is_nan() || off > TOLERANCE {
            faults.push(format!("{row}: {computed:e}, off by {off:.1e}"));
        }
        rows += 1;
    }
    assert!(rows > 400, "only {rows} rows");
    assert!(faults.is_empty(), "{} of {rows}:\n{}", faults.len(), faults.join("\n"));
}

/// JCGM 100:2008, table G.2, as printed: p = 68.27, 90, 95, 95.45, 99 and 99.73 %, of which the first, fourth and last stand
/// for one, two and three standard deviations of a normal distribution (the table's note).
#[test]
fn jcgm_100_table_g_2() {
    let [one, two, three] = [1.0, 2.0, 3.0].map(|z| normal_within(-z, z));
    let probabilities = [one, 0.90, 0.95, two, 0.99, three];
    let table = [
        (1.0, [1.84, 6.31, 12.71, 13.97, 63.66, 235.80]),
        (2.0, [1.32, 2.92, 4.30, 4.53, 9.92, 19.21]),
        (4.0, [1.14, 2.13, 2.78, 2.87, 4.60, 6.62]),
        (5.0, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51]),
        (9.0, [1.06, 1.83, 2.26, 2.32, 3.25, 4.09]),
        (16.0, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54]),
        (19.0, [1.03, 1.73, 2.09, 2.14, 2.86, 3.45]),
        (30.0, [1.02, 1.70, 2.04, 2.09, 2.75, 3.27]),
        (50.0, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16]),
        (f64::INFINITY, [1.000, 1.645, 1.960, 2.000, 2.576, 3.000]),
    ];
    for (nu, row) in table {
        for (p, expected) in probabilities.into_iter().zip(row) {
            let factor = t_quantile(0.5 + 0.5 * p, nu);
            assert!(
                (factor - expected).abs() <= 0.005,
                "p {p}, ν {nu}: {factor}, printed {expected}"
            );
        }
    }
}

/// NIST/SEMATECH e-Handbook 6.1.6, interval of a capability index (formula from memory; values computed with scipy):
/// Ĉp = 1 from 100 readings, 95 %.
#[test]
fn e_handbook_capability_interval() {
    let end = |p: f64| libm::sqrt(chi_squared_quantile(p, 99.0) / 99.0);
    assert!((end(0.025) - 0.860_825_8).abs() < 5e-8);
    assert!((end(0.975) - 1.138_943_3).abs() < 5e-8);
}

#[test]
fn ends_and_nonsense() {
    assert_eq!(normal_quantile(0.0), f64::NEG_INFINITY);
    assert_eq!(normal_quantile(1.0), f64::INFINITY);
    assert_eq!(normal_quantile(0.5), 0.0);
    assert_eq!(t_quantile(1.0, 3.0), f64::INFINITY);
    assert_eq!(t_quantile(0.5, 3.0), 0.0);
    assert_eq!(t_below(f64::NEG_INFINITY, 3.0), 0.0);
    assert_eq!(t_below(f64::INFINITY, 3.0), 1.0);
    assert_eq!(t_below(0.0, 3.0), 0.5);
    assert_eq!(normal_within(2.0, 1.0), 0.0);
    assert_eq!(normal_within(f64::NEG_INFINITY, f64::INFINITY), 1.0);
    assert_eq!(chi_squared_quantile(0.0, 3.0), 0.0);
    assert_eq!(f_quantile(1.0, 3.0, 4.0), f64::INFINITY);
    let nonsense = [
        normal_quantile(-0.1),
        normal_quantile(f64::NAN),
        normal_below(f64::NAN),
        t_quantile(1.1, 3.0),
        t_quantile(0.4, 0.0),
        t_quantile(0.4, f64::NAN),
        t_below(f64::NAN, 3.0),
        t_below(1.0, -1.0),
        t_density(1.0, 0.0),
        chi_squared_below(1.0, -2.0),
        chi_squared_quantile(0.5, f64::NAN),
        chi_squared_quantile(2.0, 3.0),
        f_below(f64::NAN, 2.0, 3.0),
        f_quantile(0.5, -1.0, 3.0),
    ];
    assert!(nonsense.iter().all(|value| value.is_nan()), "{nonsense:?}");
}

fn near(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * a.abs().max(b.abs())
}

proptest! {
    #[test]
    fn whatever_is_asked_is_a_probability_or_not_a_number(x in any::<f64>(), nu in any::<f64>(), few in 0.5..50.0_f64) {
        let answers = [
            normal_below(x), t_below(x, nu), t_below(x, few), chi_squared_below(x, nu), chi_squared_above(x, few),
            f_below(x, nu, few), f_above(x, few, few),
        ];
        prop_assert!(answers.iter().all(|p| p.is_nan() || (0.0..=1.0).contains(p)), "{:?}", answers);
    }

    #[test]
    fn quantiles_undo_probabilities(p in 1e-12..0.5_f64, nu in 0.3..1e7_f64) {
        prop_assert!(near(normal_below(normal_quantile(p)), p, 1e-12));
        prop_assert!(near(t_below(t_quantile(p, nu), nu), p, 1e-11));
        prop_assert!(near(chi_squared_below(chi_squared_quantile(p, nu), nu), p, 1e-9));
    }

    #[test]
    fn tails_mirror_and_add_up(t in -40.0..40.0_f64, nu in 0.3..1e7_f64) {
        prop_assert!((t_below(t, nu) + t_below(-t, nu) - 1.0).abs() < 1e-14);
        prop_assert_eq!(t_quantile(0.25, nu), -t_quantile(0.75, nu));
        prop_assert!((normal_below(t) + normal_below(-t) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn t_rises_and_narrows(t in 0.01..30.0_f64, more in 0.001..2.0_f64, nu in 0.5..1e5_f64, more_nu in 1.01..9.0_f64) {
        prop_assert!(t_below(-t, nu) >= t_below(-t - more, nu));
        prop_assert!(t_below(-t, nu) >= t_below(-t, nu * more_nu) * (1.0 - 1e-12));
        prop_assert!(t_below(-t, nu) >= normal_below(-t) * (1.0 - 1e-12));
    }

    #[test]
    fn distributions_meet(t in 0.01..30.0_f64, nu in 0.5..1e4_f64) {
        // t² is F with one and ν degrees of freedom; chi-square with one is z².
        prop_assert!(near(f_above(t * t, 1.0, nu), 2.0 * t_below(-t, nu), 1e-10));
        prop_assert!(near(chi_squared_above(t * t, 1.0), 2.0 * normal_below(-t), 1e-10));
    }
}
