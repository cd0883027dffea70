//! Chlorine's chemistry and the decay of a bucket, against the rows of H §2.

use super::*;
use ouncewise_measure::Celsius;

const SALTS: [Salt; 5] = [
    Salt::Dichloroisocyanurate,
    Salt::DichloroisocyanurateDihydrate,
    Salt::SodiumHypochlorite,
    Salt::CalciumHypochlorite,
    Salt::Trichloroisocyanuric,
];

/// HY-40 (MEMORY of the formula, cross-checked): pKa of HOCl at 0 to 35 °C.
#[test]
fn the_acid_constant_by_temperature() {
    let expected = [7.825, 7.754, 7.690, 7.633, 7.582, 7.537, 7.497, 7.463];
    for (celsius, pka) in (0..).step_by(5).zip(expected) {
        near(hocl_pka(Celsius(f64::from(celsius))), pka, 0.001, "HY-40");
    }
}

fn percent(ph: f64, celsius: f64) -> f64 {
    100.0 * hocl_fraction(Chemistry::Hypochlorite, ph, Celsius(celsius)).unwrap()
}

/// HY-41 (READ: Davis, Water and Wastewater Engineering, example 13-1 prints 22.37 % OCl⁻ at pH 7.0 with a pKa of 7.54): 77.6 %.
#[test]
fn the_share_at_ph_7() {
    near(percent(7.0, 25.0), 77.6, 0.2, "HY-41, at our pKa of 7.537");
    near(100.0 / (1.0 + libm::exp10(7.0 - 7.54)), 77.6, 0.1, "HY-41, at the printed pKa");
}

/// HY-42 (CALC; K READ): 90 % at pH 6.61, by K = 2.7e-8 at 20 °C.
#[test]
fn the_ph_of_nine_tenths() {
    near(-libm::log10(2.7e-8) - libm::log10(9.0), 6.61, 0.01, "HY-42, by its own K");
    near(percent(6.61, 20.0), 90.0, 0.5, "HY-42, by HY-40");
}

/// HY-43, HY-44 (CALC): shares at 20 °C by pH, and at 0 and 30 °C at pH 7.5.
#[test]
fn the_share_by_ph_and_temperature() {
    let by_ph = [
        (6.0, 97.45),
        (6.5, 92.35),
        (7.0, 79.24),
        (7.5, 54.69),
        (8.0, 27.63),
        (8.5, 10.77),
        (9.0, 3.68),
        (10.0, 0.38),
    ];
    for (ph, expected) in by_ph {
        near(percent(ph, 20.0), expected, 0.05, "HY-43");
    }
    near(percent(7.5, 0.0), 67.89, 0.05, "HY-44");
    near(percent(7.5, 30.0), 49.84, 0.05, "HY-44");
}

/// HY-45 (CALC): hypochlorous acid at each row of the code: why its columns differ.
#[test]
fn the_acid_at_each_row_of_the_code() {
    for (strength, ph, celsius, expected) in [
        (25.0, 8.0, 49.0, 4.97),
        (50.0, 8.0, 24.0, 12.99),
        (50.0, 10.0, 38.0, 0.139),
        (100.0, 8.0, 13.0, 31.1),
        (100.0, 10.0, 13.0, 0.45),
    ] {
        near(strength * percent(ph, celsius) / 100.0, expected, 0.01 * expected, "HY-45");
    }
}

/// A trap of H §2 note (a): the share is not for isocyanurates, nor for what is no hypochlorite.
#[test]
fn the_share_is_guarded() {
    let twenty = Celsius(20.0);
    assert_eq!(hocl_fraction(Chemistry::Isocyanurate, 7.0, twenty), Err(NoFraction::Isocyanurate));
    for other in
        [Chemistry::OtherChlorine, Chemistry::Iodine, Chemistry::QuatSingle, Chemistry::Other]
    {
        assert_eq!(
            hocl_fraction(other, 7.0, twenty),
            Err(NoFraction::NotHypochlorite),
            "{other:?}"
        );
    }
    for (ph, celsius) in
        [(-0.1, 20.0), (14.1, 20.0), (7.0, -1.0), (7.0, 51.0), (f64::NAN, 20.0), (7.0, f64::NAN)]
    {
        assert_eq!(
            hocl_fraction(Chemistry::Hypochlorite, ph, Celsius(celsius)),
            Err(NoFraction::OutOfRange)
        );
    }
}

/// HY-46 (CALC from the IUPAC weights), recomputed here from the atoms.
#[test]
fn molar_masses() {
    let (c, h, n, o, na, cl, ca) = (12.011, 1.008, 14.007, 15.999, 22.989_77, 35.453, 40.078);
    let dichloro = 3.0 * c + 2.0 * cl + 3.0 * n + na + 3.0 * o;
    let atoms = [
        dichloro,
        dichloro + 2.0 * (2.0 * h + o),
        na + o + cl,
        ca + 2.0 * (o + cl),
        3.0 * c + 3.0 * cl + 3.0 * n + 3.0 * o,
    ];
    let rows = [219.95, 255.98, 74.44, 142.98, 232.41];
    for ((salt, atoms), row) in SALTS.into_iter().zip(atoms).zip(rows) {
        near(salt.molar_mass(), atoms, 0.001, "from the atoms");
        near(salt.molar_mass(), row, 0.02, "HY-46");
    }
}

/// HY-47 (CALC): theoretical available chlorine. HY-48 (CALC): 0.910 mg of cyanuric acid with each mg of it from NaDCC.
#[test]
fn available_chlorine_of_the_pure_salts() {
    for (salt, expected) in SALTS.into_iter().zip([64.48, 55.40, 95.25, 99.18, 91.53]) {
        near(100.0 * salt.available(), expected, 0.05, "HY-47");
    }
    near(cyanuric_acid_per_chlorine(), 0.910, 0.002, "HY-48");
}

/// HY-58 (CALC): 500 mg/L as CaCO₃ is 29.2 grains per US gallon, 28.0 German and 50 French degrees.
#[test]
fn units_of_hardness() {
    for hardness in [
        Hardness::MgPerLitre(500.0),
        Hardness::GrainsPerGallonUs(29.2),
        Hardness::German(28.0),
        Hardness::French(50.0),
    ] {
        // A tenth of a grain is 1.7 mg/L.
        near(hardness.as_carbonate().0, 500.0, 1.8, "HY-58");
    }
}

/// HY-63 (READ), HY-64 (CALC): 50 % and 40 % left at 30 days are 0.0231 and 0.0305 a day; 24 h leave 97.7 and 97.0 %.
#[test]
fn a_standing_bucket_loses_little() {
    near(rate_from(0.5, 30.0).unwrap(), 0.0231, 0.000_05, "HY-64");
    near(rate_from(0.4, 30.0).unwrap(), 0.0305, 0.000_05, "HY-64");
    near(100.0 * left_after(DECAY_PER_DAY.0, 1.0), 97.7, 0.1, "HY-64");
    near(100.0 * left_after(DECAY_PER_DAY.1, 1.0), 97.0, 0.1, "HY-64");
    let (least, most) = PUBLISHED_DECAY[0].left;
    near(
        rate_from(most, PUBLISHED_DECAY[0].days).unwrap(),
        DECAY_PER_DAY.0,
        0.000_05,
        "the default is the published row",
    );
    near(
        rate_from(least, PUBLISHED_DECAY[0].days).unwrap(),
        DECAY_PER_DAY.1,
        0.000_05,
        "the default is the published row",
    );
    assert_eq!(
        (rate_from(0.0, 30.0), rate_from(1.2, 30.0), rate_from(0.5, 0.0)),
        (None, None, None)
    );
}

/// HY-64 (CALC), a trap: an overnight drop to half is soil or acid, and not age; what two strip classes support decides.
#[test]
fn half_overnight_is_not_age() {
    let says = |left, hours| standing(left, hours, DECAY_PER_DAY);
    assert!(matches!(says((0.45, 0.55), 14.0), Standing::FasterThanAge { .. }));
    assert!(says((0.45, 0.55), 14.0).words().contains("soil or acid"));
    assert!(matches!(says((0.97, 0.99), 24.0), Standing::AsAge { .. }));
    // Two strips that read 100 support a share from a half to twice: nothing is shown.
    assert!(matches!(says((71.0 / 141.0, 141.0 / 71.0), 14.0), Standing::AsAge { .. }));
    for (left, hours) in [((0.9, 0.5), 5.0), ((f64::NAN, 1.0), 5.0), ((0.5, 0.6), -1.0)] {
        assert_eq!(says(left, hours), Standing::NotTwoReadings);
    }
}

/// HY-66 (READ): 0.5 mg/L in clean water and 7.5 mg/L with 900 mg/L of oxygen demand; it stands in what people are told.
#[test]
fn soil_uses_chlorine_up() {
    assert_eq!(SOIL_TAKES, [(0.0, 0.5), (900.0, 7.5)]);
    let words = soil_words();
    for figure in ["7.5 mg/L", "900 mg/L", "0.5 mg/L"] {
        assert!(words.contains(figure), "{words}");
    }
}
