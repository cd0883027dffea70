//! Air locks and filling against the rows of the hygiene tables; each test names its rows and their status.

use ouncewise_measure::print::Units;

use super::*;
use crate::fluid::{MilliNewtonsPerMetre, SYRUP_TENSION};
use crate::line::Metres;
use proptest::prelude::*;

const AT: Celsius = Celsius(20.0);

fn line(bore: f64) -> Line {
    Line::of_one_tube(Millimetres(bore), Metres(3.0))
}

/// HY-126 (READ; 0.5 %): bores below which a bubble stays: 5.00 mm for water, 4.56 mm for 60 °Bx at 78 mN/m (ASSUMED, an
/// input), and 3.47 mm at 35 mN/m and the density of water.
#[test]
fn hy_126_where_a_bubble_stays() {
    let geometry = line(4.8).geometry().unwrap();
    let water = Fluid::Water.at(AT).unwrap();
    let syrup = Fluid::Syrup { brix: 60.0 }.at(AT).unwrap();
    let soapy = Properties { surface_tension: MilliNewtonsPerMetre(35.0), ..water };
    for (liquid, below) in [(water, 5.00), (syrup, 4.56), (soapy, 3.47)] {
        let lock = air_lock(&geometry, &liquid);
        assert!((lock.below.0 / below - 1.0).abs() < 5e-3, "{} is not {below}", lock.below.0);
        assert_eq!(lock.locks, 4.8 < below);
    }
    assert_eq!(syrup.surface_tension, SYRUP_TENSION);
    assert!(air_lock(&geometry, &syrup).assumed && !air_lock(&geometry, &water).assumed);
}

/// Into air it takes the line's own volume; into water as many as a flush.
#[test]
fn a_prime_takes_a_volume_or_more() {
    let of = |before, bore| {
        prime(&line(bore), MlPerSecond(5.0), Fluid::Syrup { brix: 60.0 }, before, AT, 0.01).unwrap()
    };
    let into_air = of(Before::Air, 6.35);
    assert!((into_air.product.0 - 95.0).abs() < 0.1 && (into_air.takes.0 - 19.0).abs() < 0.1);
    let said = |prime: &Prime| prime.words.words(Units::Metric);
    assert_eq!(said(&into_air), "run 20 s: 95 mL of product");
    assert_eq!(into_air.words.words(Units::Us), "run 20 s: 3.213 fl oz (US) of product");
    let into_water = of(Before::Water, 6.35);
    assert!(into_water.product.0 > 4.0 * into_air.product.0);
    assert!(into_water.assumptions[0].contains("at best"));
    let narrow = of(Before::Air, 4.0);
    assert!(said(&narrow).contains("waiting does not help"), "{}", said(&narrow));
    assert!(narrow.assumptions.iter().any(|note| note.contains("surface tension")));
    let unknown = prime(&Line::default(), MlPerSecond(5.0), Fluid::Water, Before::Air, AT, 0.01);
    assert!(unknown.unwrap_err().to_string().starts_with("no least time known"));
}

proptest! {
    /// The bore goes with the square root of the surface tension, and a denser liquid lets go sooner.
    #[test]
    fn locks_scale(tension in 10.0..100.0_f64, density in 0.8..1.5_f64, scale in 0.2..5.0_f64) {
        let geometry = line(6.35).geometry().unwrap();
        let of = |tension, density| {
            let liquid = Properties { surface_tension: MilliNewtonsPerMetre(tension), density, ..Fluid::Water.at(AT).unwrap() };
            air_lock(&geometry, &liquid).below.0
        };
        prop_assert!((of(scale * tension, density) / of(tension, density) - scale.sqrt()).abs() < 1e-9);
        prop_assert!((of(tension, scale * density) * scale.sqrt() / of(tension, density) - 1.0).abs() < 1e-9);
    }
}
