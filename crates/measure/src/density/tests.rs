//! Densities against published tables, and ranges.

use super::*;
use crate::quantity::{Celsius, Grams};
use proptest::prelude::*;

fn near(value: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (value - expected).abs() <= tolerance,
        "{what}: {value} is not {expected} ± {tolerance}"
    );
}

/// Tanaka et al., Metrologia 38, 301 (2001), table: kg/m³ at 0, 1, … 40 °C; 1e-4.
#[test]
fn water_is_as_tanaka_tables_it() {
    const TABLE: [f64; 41] = [
        999.8428, 999.9017, 999.9429, 999.9672, 999.9749, 999.9668, 999.9431, 999.9045, 999.8513,
        999.7839, 999.7027, 999.6081, 999.5005, 999.3801, 999.2474, 999.1026, 998.9459, 998.7778,
        998.5984, 998.4079, 998.2067, 997.9950, 997.7730, 997.5408, 997.2988, 997.0470, 996.7857,
        996.5151, 996.2353, 995.9465, 995.6488, 995.3424, 995.0275, 994.7041, 994.3724, 994.0326,
        993.6847, 993.3290, 992.9654, 992.5941, 992.2152,
    ];
    for (t, expected) in (0..).zip(TABLE) {
        near(water(Celsius(f64::from(t))).unwrap() * 1000.0, expected, 1e-4, &format!("{t} °C"));
    }
}

/// Columns: Tanaka, IAPWS-95 at 101.325 kPa, Kell (1975), in kg/m³; the formula's own to 1e-5, the
/// others' spread to 0.01.
#[test]
fn three_formulas_for_water_agree() {
    for (t, tanaka, iapws, kell) in [
        (5.0, 999.96678, 999.96663, 999.96380),
        (10.0, 999.70270, 999.70247, 999.69943),
        (15.0, 999.10257, 999.10262, 999.09906),
        (20.0, 998.20675, 998.20715, 998.20312),
        (25.0, 997.04702, 997.04764, 997.04331),
        (30.0, 995.64880, 995.64945, 995.64499),
        (35.0, 994.03260, 994.03331, 994.02882),
    ] {
        let (ours, ours_kell) =
            (water(Celsius(t)).unwrap() * 1000.0, water_kell(Celsius(t)).unwrap() * 1000.0);
        near(ours, tanaka, 1e-5, "Tanaka");
        near(ours_kell, kell, 1e-5, "Kell");
        near(ours, iapws, 0.01, "IAPWS-95");
        near(ours_kell, iapws, 0.01, "Kell against IAPWS-95");
    }
}

/// kg/m³ at half humidity: the short formula of OIML R 111, and CIPM-2007 (Metrologia 45, 149) as
/// computed once with published coefficients; 1e-6 each, 3e-4 between them.
#[test]
fn air_is_as_computed_elsewhere() {
    for (t, pressure, short, cipm) in [
        (20.0, 1013.25, 1.199294, 1.199314),
        (15.0, 1013.25, 1.221495, 1.221631),
        (25.0, 1013.25, 1.177359, 1.177315),
        (20.0, 850.0, 1.005232, 1.005182),
    ] {
        let air = Air { temperature: Celsius(t), pressure, humidity: 0.5 };
        let (ours, ours_cipm) =
            (air.density().unwrap() * 1000.0, air.density_cipm().unwrap() * 1000.0);
        near(ours, short, 1e-6, "short");
        near(ours_cipm, cipm, 1e-6, "CIPM-2007");
        near(ours, ours_cipm, 3e-4, "short against CIPM-2007");
    }
}

/// NIST SOP 2: buoyancy of water and of a 65 °Bx syrup in air of 1.2 kg/m³ against weights of 8000 kg/m³.
#[test]
fn buoyancy_is_as_in_sop_2() {
    near(buoyancy_factor(0.9982, 1.2e-3, WEIGHTS), 1.001_053_43, 5e-9, "water");
    near(buoyancy_factor(1.3166, 1.2e-3, WEIGHTS), 1.000_762_13, 5e-9, "syrup");
}

/// A catch by weight: 39.50 g of a syrup of 1.3166 g/mL is 30.0015 mL without and 30.0244 mL with buoyancy
/// (air of 1.2 kg/m³; computed by four uncertainty packages alike). The room's air differs in the 8th digit.
#[test]
fn weighed_syrup_is_a_volume() {
    let volume = volume_of_weighed(Grams(39.5), 1.3166, Air::ROOM).unwrap();
    near(volume.0, 30.024_384_2, 2e-5, "with buoyancy");
    near(
        39.5 * buoyancy_factor(1.3166, 1.2e-3, WEIGHTS) / 1.3166,
        30.024_384_2,
        5e-8,
        "with the same air",
    );
}

/// ISO 8655-6, Z factors in µL/mg by °C and hPa: last two printed digits of 1.00xx; 6e-5.
#[test]
fn z_factors_are_as_tabled() {
    const PRESSURES: [f64; 6] = [800.0, 853.0, 907.0, 960.0, 1013.0, 1067.0];
    for (t, row) in [
        (15.0, [18, 18, 19, 19, 20, 20]),
        (16.0, [19, 20, 20, 21, 21, 22]),
        (18.0, [22, 23, 24, 24, 25, 25]),
        (20.0, [26, 27, 27, 28, 29, 29]),
        (22.0, [31, 31, 32, 32, 33, 33]),
        (24.0, [35, 36, 36, 37, 38, 38]),
        (25.0, [38, 38, 39, 39, 40, 41]),
        (26.0, [40, 41, 42, 42, 43, 43]),
        (28.0, [46, 46, 47, 48, 48, 49]),
        (30.0, [52, 52, 53, 53, 54, 55]),
    ] {
        for (pressure, digits) in PRESSURES.into_iter().zip(row) {
            let expected = 1.0 + f64::from(digits) * 1e-4;
            near(
                z_factor(Celsius(t), pressure).unwrap(),
                expected,
                6e-5,
                &format!("{t} °C, {pressure} hPa"),
            );
        }
    }
    near(z_factor(Celsius(20.0), 1013.25).unwrap(), 1.002_851_17, 1e-7, "20 °C");
    near(z_factor(Celsius(25.0), 1013.25).unwrap(), 1.003_999_69, 1e-7, "25 °C");
}

/// Z factors printed on public calibration certificates. They leave the air's own temperature and humidity
/// unsaid, which is worth 3e-5; the last is printed to 1e-4.
#[test]
fn z_factors_are_as_certified() {
    for (t, pressure, expected, digit) in [
        (19.35, 984.0, 1.002_67, 3e-5),
        (18.75, 986.0, 1.002_58, 3e-5),
        (20.42, 979.0, 1.0029, 1e-4),
    ] {
        near(z_factor(Celsius(t), pressure).unwrap(), expected, digit, &format!("{t} °C"));
    }
}

/// Bubník et al., Sugar Technologists' Manual (1995), p. 164: kg/m³ by °Bx at 5, 15, 20, 25, 30, 40 °C,
/// computed from its coefficients; 1e-3.
#[test]
fn sucrose_is_as_bubnik_gives_it() {
    for (brix, row) in [
        (0.0, [999.964, 999.099, 998.203, 997.043, 995.645, 992.212]),
        (10.0, [1040.734, 1039.262, 1038.115, 1036.735, 1035.143, 1031.391]),
        (20.0, [1084.478, 1082.381, 1080.977, 1079.371, 1077.581, 1073.500]),
        (30.0, [1131.429, 1128.698, 1127.032, 1125.197, 1123.205, 1118.792]),
        (40.0, [1181.805, 1178.443, 1176.518, 1174.455, 1172.263, 1167.521]),
        (50.0, [1235.792, 1231.826, 1229.654, 1227.372, 1224.990, 1219.935]),
        (60.0, [1293.514, 1289.006, 1286.611, 1284.136, 1281.583, 1276.251]),
        (65.0, [1323.787, 1319.045, 1316.555, 1313.997, 1311.372, 1305.924]),
        (70.0, [1354.988, 1350.047, 1347.477, 1344.850, 1342.165, 1336.620]),
    ] {
        for (t, expected) in [5.0, 15.0, 20.0, 25.0, 30.0, 40.0].into_iter().zip(row) {
            let ours = sucrose(brix, Celsius(t)).unwrap() * 1000.0;
            near(ours, expected, 1e-3, &format!("{brix} °Bx, {t} °C"));
        }
    }
}

/// CRC Handbook, concentrative properties of sucrose at 20 °C, kg/m³; 0.03 %.
#[test]
fn sucrose_is_as_the_crc_handbook_tables_it() {
    for (brix, expected) in [
        (0.0, 998.2),
        (10.0, 1038.1),
        (20.0, 1081.0),
        (30.0, 1127.0),
        (40.0, 1176.5),
        (50.0, 1229.5),
        (60.0, 1286.4),
        (64.0, 1310.3),
        (70.0, 1347.2),
    ] {
        let ours = sucrose(brix, Celsius(20.0)).unwrap() * 1000.0;
        near(ours, expected, 3e-4 * expected, &format!("{brix} °Bx"));
    }
}

/// Solubility of sucrose (ICUMSA polynomial), computed: 66.72 °Bx at 20 °C, 64.90 °Bx at 5 °C.
#[test]
fn cold_syrup_may_crystallise() {
    near(sucrose_dissolves(Celsius(20.0)).unwrap(), 66.72, 0.005, "20 °C");
    near(sucrose_dissolves(Celsius(5.0)).unwrap(), 64.90, 0.005, "5 °C");
}

#[test]
fn outside_its_range_a_formula_refuses_and_says_the_range() {
    let hot = water(Celsius(40.1)).unwrap_err().to_string();
    assert!(hot.contains("40.1 °C is outside 0 to 40 °C") && hot.contains("Tanaka"), "{hot}");
    for bad in [-0.1, f64::NAN, f64::INFINITY] {
        assert!(water(Celsius(bad)).is_err());
        assert!(water_kell(Celsius(bad)).is_err());
        assert!(sucrose(bad, Celsius(20.0)).is_err());
        assert!(sucrose(65.0, Celsius(bad)).is_err());
        assert!(sucrose_dissolves(Celsius(bad)).is_err());
        assert!(z_factor(Celsius(20.0), bad).is_err());
        assert!(Air { humidity: bad, ..Air::ROOM }.density().is_err());
        assert!(Air { temperature: Celsius(bad), ..Air::ROOM }.density_cipm().is_err());
        assert!(of_product(Basis::Brix { brix: bad, standard_uncertainty: None }, None).is_err());
        assert!(
            of_product(Basis::Brix { brix: 65.0, standard_uncertainty: Some(bad) }, None).is_err()
        );
        assert!(of_product(stated(bad, 0.001), None).is_err());
        assert!(of_product(stated(1.3, bad), None).is_err());
    }
    let strong = sucrose(76.1, Celsius(20.0)).unwrap_err().to_string();
    assert!(
        strong.contains("outside 0 to 76 °Bx") && strong.contains("state the product's density"),
        "{strong}"
    );
    let heavy = of_product(stated(1316.6, 2.0), None).unwrap_err().to_string();
    assert!(heavy.contains("1.316 g/mL"), "{heavy}");
    assert!(Air { pressure: 101.325, ..Air::ROOM }.density().is_err(), "kPa is not hPa");
}

fn stated(density: f64, standard_uncertainty: f64) -> Basis {
    Basis::Stated { density, standard_uncertainty, at: None }
}

#[test]
fn a_stated_density_at_its_own_temperature_is_as_stated() {
    assert_eq!(of_product(stated(1.3166, 0.002), Some(Celsius(20.0))), Ok((1.3166, 0.002)));
}

/// JCGM 100, 5.1.2 (with its note) by hand: ±15 K, rectangular, times (3 ± 2)e-4/K, rectangular, beside 0.002 g/mL.
#[test]
fn an_unknown_temperature_costs_doubt() {
    let (density, doubt) = of_product(stated(1.3166, 0.002), None).unwrap();
    assert_eq!(density, 1.3166);
    near(
        doubt,
        (0.002_f64.powi(2) + (1.3166 * 15.0_f64).powi(2) / 3.0 * (9e-8 + 4e-8 / 3.0)).sqrt(),
        1e-12,
        "doubt",
    );
}

/// JCGM 100, 5.1.2 by hand: 1.25 g/mL stated to 0.01 at 20 °C, caught at 4 °C. Its doubt grows with the density itself, and
/// 16 K of ±2e-4/K, rectangular, come on top.
#[test]
fn a_colder_product_is_heavier_and_less_sure() {
    let (density, doubt) = of_product(stated(1.25, 0.01), Some(Celsius(4.0))).unwrap();
    near(density, 1.25 * 1.0048, 1e-12, "density");
    let of_loss = 1.25 * 16.0 * 2e-4 / 3f64.sqrt();
    near(doubt, (0.010_048_f64.powi(2) + of_loss.powi(2)).sqrt(), 1e-12, "doubt");
}

/// What the sucrose formula loses between 5 °C and 35 °C lies inside the assumed loss of a stated density.
#[test]
fn the_assumed_expansion_covers_sucrose() {
    for brix in 0..=76 {
        let at = |t| sucrose(f64::from(brix), Celsius(t)).unwrap();
        for (cold, warm) in [(5.0, 20.0), (20.0, 35.0)] {
            let loss = (at(cold) - at(warm)) / at(20.0) / 15.0;
            assert!((1.15e-4..=4.15e-4).contains(&loss), "{brix} °Bx: {loss}");
        }
    }
}

/// A label's 65 °Bx at a known temperature: 1.3166 g/mL, and the doubt is that real syrup is not sucrose:
/// ±1 % and ±0.5 °Bx, both rectangular, at 6.0e-3 g/mL per °Bx (from the table above: 65 to 70 °Bx).
#[test]
fn a_label_is_no_laboratory() {
    let (density, doubt) =
        of_product(Basis::Brix { brix: 65.0, standard_uncertainty: None }, Some(Celsius(20.0)))
            .unwrap();
    near(density, 1.316_555, 1e-6, "density");
    near(
        doubt,
        ((0.01 * 1.3166_f64).powi(2) / 3.0 + (0.5 * 6.08e-3_f64).powi(2) / 3.0).sqrt(),
        1e-5,
        "doubt",
    );
    let (_, colder) =
        of_product(Basis::Brix { brix: 65.0, standard_uncertainty: None }, None).unwrap();
    assert!(colder > doubt);
}

proptest! {
    #[test]
    fn more_sugar_is_heavier_and_warmer_is_lighter(brix in 0.0..75.0_f64, t in 5.0..90.0_f64) {
        let density = sucrose(brix, Celsius(t)).unwrap();
        prop_assert!(sucrose(brix + 1.0, Celsius(t)).unwrap() > density);
        prop_assert!(sucrose(brix, Celsius(t + 1.0)).unwrap() < density);
    }

    /// Weighing in air always reads light of anything lighter than the weights.
    #[test]
    fn buoyancy_only_adds(density in 0.7..1.6_f64, pressure in 600.0..1100.0_f64, t in 0.0..40.0_f64) {
        let air = Air { temperature: Celsius(t), pressure, humidity: 0.5 }.density().unwrap();
        let factor = buoyancy_factor(density, air, WEIGHTS);
        prop_assert!(factor > 1.0 && factor < 1.002);
    }

    #[test]
    fn any_product_has_a_density_or_a_reason(a in any::<f64>(), b in any::<f64>(), t in proptest::option::of(any::<f64>())) {
        for basis in [stated(a, b), Basis::Brix { brix: a, standard_uncertainty: Some(b) }, stated(1.3, b),
                      Basis::Brix { brix: 65.0, standard_uncertainty: None }] {
            match of_product(basis, t.map(Celsius)) {
                Ok((density, doubt)) => prop_assert!(density > 0.0 && doubt >= 0.0),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
    }
}
