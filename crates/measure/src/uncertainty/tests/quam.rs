//! EURACHEM/CITAC QUAM (the same figures in its 2nd and 3rd editions), examples A1 and A2.

use super::super::{
    Budget, Part,
    propagation::{propagate, uncorrelated},
    type_b,
};
use super::close;

#[test]
fn a_1_calibration_standard() {
    let volume = Budget::new()
        .with(Part::new("the flask", type_b::triangular(0.1)))
        .with(Part::new("filling", 0.02))
        .with(Part::new("temperature", type_b::rectangular(4.0 * 2.1e-4 * 100.0)));
    close(volume.parts()[1].contribution, 0.040_824_8, 5e-8);
    close(volume.parts()[0].contribution, 0.048_497_4, 5e-8);
    close(volume.combined(), 0.066_473_05, 5e-9);

    let (mass, purity) = (100.28, 0.9999);
    let concentration = 1000.0 * mass * purity / 100.0;
    close(concentration, 1_002.699_72, 1e-8);
    let mut budget = volume.scaled(concentration / 100.0);
    budget.add(Part::new("weighing", concentration / mass * 0.05));
    budget.add(Part::new("purity", concentration / purity * type_b::rectangular(0.0001)));
    close(budget.combined(), 0.835_199_23, 1e-6);
    let expected = [
        ("weighing", 0.49995),
        ("temperature", 0.48628),
        ("the flask", 0.40935),
        ("filling", 0.20054),
        ("purity", 0.05790),
    ];
    assert_eq!(budget.parts().len(), expected.len());
    for (part, (source, contribution)) in budget.parts().iter().zip(expected) {
        assert_eq!(part.source, source);
        close(part.contribution, contribution, 1e-5);
    }
}

#[test]
fn a_2_weighing_by_difference() {
    // Tare and gross are two readings, each with the balance's limits.
    let u = libm::hypot(type_b::rectangular(0.15), type_b::rectangular(0.15));
    close(u, 0.122_474_5, 5e-8);
}

/// Example A2; the molar mass of the phthalate, 204.2212 g/mol with u = 0.0038 g/mol, from memory.
#[test]
fn a_2_sodium_hydroxide_titration() {
    let (mass, purity, molar_mass, volume, repeat) = (0.3888, 1.0, 204.2212, 18.64, 1.0);
    let concentration = 1000.0 * mass * purity / (molar_mass * volume) * repeat;
    close(concentration, 0.102_136_160, 1e-9);
    let weighing = type_b::rectangular(0.15e-3);
    let uncertainties = [
        libm::hypot(weighing, weighing),
        type_b::rectangular(0.0005),
        0.0038,
        libm::hypot(type_b::triangular(0.03), 0.006),
        0.0005,
    ];
    let sensitivities = [[
        concentration / mass,
        concentration / purity,
        -concentration / molar_mass,
        -concentration / volume,
        concentration / repeat,
    ]];
    let u = propagate(&sensitivities, &uncorrelated(&uncertainties))[0][0].sqrt();
    close(u, 0.000_100_501, 1e-8);
}
