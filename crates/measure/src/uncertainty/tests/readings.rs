//! Type A and Type B, one clause of JCGM 100:2008 a test.

use super::super::{type_a::*, type_b};
use super::close;
use proptest::prelude::*;

#[test]
fn jcgm_100_4_3_3_multiple_of_s() {
    assert_eq!(type_b::expanded(240.0, 3.0), 80.0);
}

#[test]
fn jcgm_100_4_3_4_normal_99_percent() {
    close(type_b::expanded(129.0, 2.58), 50.0, 0.5);
}

#[test]
fn jcgm_100_4_3_5_even_chance() {
    close(type_b::even_chance(0.04), 0.0592, 1e-15);
    close(type_b::even_chance(0.04).powi(2), 3.5e-3, 0.05e-3);
}

#[test]
fn jcgm_100_4_3_6_two_in_three() {
    assert_eq!(type_b::two_in_three(0.7), 0.7);
}

#[test]
fn jcgm_100_4_3_7_rectangular() {
    close(type_b::rectangular(0.40e-6), 0.23e-6, 0.005e-6);
    close(type_b::rectangular(0.40e-6).powi(2), 53.3e-15, 0.05e-15);
    // Example 2 and 5.1.5: the meter's limits, then with 12 µV of Type A.
    let limit = 14e-6 * 0.928_571 + 2e-6;
    close(limit, 15e-6, 0.05e-6);
    let u = type_b::rectangular(15e-6);
    close(u, 8.7e-6, 0.05e-6);
    close(libm::hypot(u, 12e-6), 15e-6, 0.5e-6);
    close(libm::hypot(u, 12e-6), 14.7986e-6, 5e-11);
}

#[test]
fn jcgm_100_4_3_8_asymmetric() {
    close(type_b::asymmetric(0.12e-6, 0.40e-6), 0.15e-6, 0.005e-6);
    close(type_b::asymmetric(0.12e-6, 0.40e-6), 0.150_11e-6, 5e-12);
}

#[test]
fn jcgm_100_4_3_9_trapezoid_and_triangle() {
    close(type_b::trapezoid(1.0, 0.0), type_b::triangular(1.0), 1e-12);
    close(type_b::trapezoid(1.0, 1.0), type_b::rectangular(1.0), 1e-12);
    close(type_b::trapezoid(1.0, 0.5), 0.456_435, 5e-7);
}

#[test]
fn jcgm_100_4_4_5_and_4_4_6_hundred_degrees() {
    close(type_b::rectangular(4.0), 2.309_401, 1e-6);
    close(type_b::triangular(4.0), 1.632_993, 1e-6);
}

#[test]
fn jcgm_100_f_2_2_1_resolution() {
    close(type_b::resolution(1.0), 0.288_675_1, 1e-7);
}

#[test]
fn jcgm_100_h_1_3_4_arcsine() {
    close(type_b::arcsine(0.5), 0.35, 0.005);
}

#[test]
fn jcgm_100_g_4_2_judged_reliability() {
    assert_eq!(type_b::degrees_of_freedom(0.25), 8.0);
    assert_eq!(type_b::degrees_of_freedom(0.5), 2.0);
    close(type_b::degrees_of_freedom(0.1), 50.0, 1e-12);
}

#[test]
fn jcgm_100_table_e_1_doubt_of_s() {
    let table = [
        (2, 75.551),
        (3, 52.272),
        (4, 42.202),
        (5, 36.300),
        (10, 23.876),
        (20, 16.326),
        (30, 13.186),
        (50, 10.127),
    ];
    for (count, percent) in table {
        close(100.0 * doubt_of_standard_deviation(count), percent, 5e-4);
    }
}

#[test]
fn jcgm_100_4_4_3_twenty_temperatures() {
    let readings = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
        100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ];
    let found = repeated(&readings).unwrap();
    close(found.mean, 100.145, 1e-12);
    close(found.standard_deviation, 1.488_844_483_1, 5e-11);
    close(found.standard_uncertainty(), 0.332_915_747_2, 5e-11);
    assert_eq!(found.degrees_of_freedom(), 19.0);
}

#[test]
fn too_few_readings() {
    assert_eq!(repeated(&[]), None);
    assert_eq!(repeated(&[1.0]), None);
    assert_eq!(covariance_of_means(&[1.0, 2.0], &[1.0]), None);
    assert_eq!(repeated(&[2.5, 2.5]).unwrap().standard_deviation, 0.0);
}

proptest! {
    #[test]
    fn type_b_scales_and_orders(a in 1e-6..1e6_f64, top in 0.0..1.0_f64) {
        prop_assert!(type_b::triangular(a) <= type_b::trapezoid(a, top) * (1.0 + 1e-15));
        prop_assert!(type_b::trapezoid(a, top) <= type_b::rectangular(a) * (1.0 + 1e-15));
        prop_assert!(type_b::rectangular(a) < type_b::arcsine(a) && type_b::arcsine(a) < a);
        prop_assert_eq!(type_b::rectangular(2.0 * a), 2.0 * type_b::rectangular(a));
        prop_assert!((type_b::asymmetric(a, a) / type_b::rectangular(a) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn type_a_shifts_and_scales(readings in prop::collection::vec(-50.0..50.0_f64, 2..30), shift in -1e3..1e3_f64, scale in 0.1..10.0_f64) {
        let before = repeated(&readings).unwrap();
        let moved: Vec<f64> = readings.iter().map(|x| scale * x + shift).collect();
        let after = repeated(&moved).unwrap();
        prop_assert!((after.mean - (scale * before.mean + shift)).abs() < 1e-10);
        prop_assert!((after.standard_deviation - scale * before.standard_deviation).abs() < 1e-9);
    }
}
