//! Films, drains and cycles against the rows of the hygiene tables; each test names its rows and their status.

use super::*;
use crate::fluid::{Fluid, MilliPascalSeconds};
use ouncewise_measure::Celsius;
use proptest::prelude::*;

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    assert!(
        (value / expected - 1.0).abs() <= relative,
        "{what}: {value} is not {expected} within {relative}"
    );
}

fn water() -> Properties {
    Fluid::Water.at(Celsius(20.0)).unwrap()
}

/// Syrup of the row's own viscosity in mPa·s.
fn syrup(brix: f64, viscosity: f64) -> Properties {
    let density = ouncewise_measure::density::sucrose(brix, Celsius(20.0)).unwrap();
    Fluid::Stated { viscosity: MilliPascalSeconds(viscosity), density }.at(Celsius(20.0)).unwrap()
}

fn line() -> Line {
    Line::of_one_tube(Millimetres(6.35), Metres(3.0)).that_drains()
}

/// HY-121 (READ; 0.1 %): a slug of air at Ca = 0.005 goes 7.85 % faster than the liquid; its film over the radius is half
/// of that, 1.342·Ca^(2/3).
#[test]
fn hy_121_the_film_behind_a_slow_slug() {
    near(bretherton(5e-3), 0.0785, 1e-3, "W");
    near(0.5 * bretherton(5e-3) / libm::pow(5e-3, 2.0 / 3.0), 1.342, 1e-3, "h/R");
}

/// HY-122 (MEMORY; 1 %): water at 0.1 m/s: Ca 1.38e-3, film over radius 0.0159, 3.2 % of the volume; at 0.5 m/s 8.5 %; 60
/// °Bx at 0.1 m/s 27 %.
#[test]
fn hy_122_the_film_behind_a_quick_slug() {
    let law = FilmLaw::AUSSILLOUS_QUERE;
    let slow = MetresPerSecond(0.1);
    near(capillary_number(slow, &water()), 1.38e-3, 0.01, "Ca");
    let film = law.film(slow, &water());
    near(1.0 - (1.0 - film).sqrt(), 0.0159, 0.01, "h/R");
    // The row prints two digits.
    assert!((film - 0.032).abs() < 5e-4, "{film}");
    assert!((law.film(MetresPerSecond(0.5), &water()) - 0.085).abs() < 5e-4);
    assert!((law.film(slow, &syrup(60.0, 56.5)) - 0.27).abs() < 5e-3);
    // For slow slugs it is Bretherton's.
    let crawl = MetresPerSecond(1e-6);
    near(law.film(crawl, &water()), bretherton(capillary_number(crawl, &water())), 0.01, "limit");
}

/// HY-123 (CALC; JUDGE for the mixing): 3.2 %, 0.10 %, 0.003 % after one, two and three cycles.
#[test]
fn hy_123_drain_and_refill() {
    for (cycles, expected) in [(1, 0.032), (2, 0.0010), (3, 0.000_03)] {
        assert!((left_after(0.032, 0.032, cycles) / expected - 1.0).abs() < 0.1, "{cycles}");
    }
    assert_eq!((cycles_for(0.032, 0.032, 0.01), cycles_for(0.032, 0.032, 0.5)), (2, 1));
    // A syrup leaves its own film the first time only.
    assert!((left_after(0.27, 0.032, 2) - 0.00864).abs() < 1e-12);
    assert_eq!(left_after(0.27, 0.032, 0), 1.0);
}

/// HY-124 (READ, CALC; 1 %, and half of the last digit printed): half has run out of 3 m of 6.35 mm.
#[test]
fn hy_124_thick_syrup_drains_slowly() {
    for (liquid, expected, digit) in [
        (water(), 0.24, 0.005),
        (syrup(40.0, 6.2), 1.3, 0.05),
        (syrup(60.0, 56.5), 10.7, 0.1),
        (syrup(60.0, 156.0), 29.0, 0.5),
        (syrup(65.0, 147.2), 27.0, 0.5),
    ] {
        let half = half_drained(Millimetres(6.35), Metres(3.0), &liquid).0;
        assert!((half - expected).abs() <= digit, "{half} is not {expected}");
    }
}

/// HY-125 (READ; the sealed top is inferred): closed at the top, 6.35 mm keeps its liquid. Air is advised only where the
/// line opens and holds no pressure.
#[test]
fn hy_125_only_an_open_line_without_pressure_is_drained() {
    let why = |top, pressure, bore| {
        let line = Line { top, pressure, ..Line::of_one_tube(Millimetres(bore), Metres(3.0)) };
        why_not_drained(&line, &line.geometry().unwrap())
    };
    assert_eq!(why(Top::Opens, Pressure::None, 6.35), None);
    let said = |top, pressure, bore| why(top, pressure, bore).unwrap();
    assert!(said(Top::Closed, Pressure::None, 6.35).contains("keeps its liquid"));
    assert!(said(Top::Closed, Pressure::None, 12.7).contains("may keep"));
    assert!(said(Top::Closed, Pressure::None, 20.0).contains("not known"));
    assert!(said(Top::Opens, Pressure::Held, 6.35).contains("stays shut"));
    assert!(said(Top::Opens, Pressure::Unknown, 6.35).contains("stays shut"));
    assert!(said(Top::Unknown, Pressure::None, 6.35).contains("nobody said"));
    let unsaid = Line::of_one_tube(Millimetres(6.35), Metres(3.0));
    assert!(why_not_drained(&unsaid, &unsaid.geometry().unwrap()).is_some());
}

/// Where nobody timed it, water takes the assumed speed, and thick syrup its own weight's.
#[test]
fn an_untimed_drain_is_as_slow_as_the_liquid() {
    let geometry = line().geometry().unwrap();
    let drain = Drain::default();
    let water = drain.of(&geometry, &water()).unwrap();
    assert!((water.takes.0 - 30.0).abs() < 1e-9 && (water.film - 0.0316).abs() < 1e-4);
    let thick = syrup(65.0, 1472.0);
    let slow = drain.of(&geometry, &thick).unwrap();
    let half = |liquid| half_drained(Millimetres(6.35), Metres(3.0), liquid).0;
    assert!((slow.takes.0 - 2.0 * half(&thick)).abs() < 1e-6);
    // HY-124: half of 60 °Bx at 5 °C is still in after 29 s, so that no drain of it ends at 30 s.
    let cold = syrup(60.0, 156.0);
    let takes = drain.of(&geometry, &cold).unwrap().takes.0;
    assert!(takes >= 2.0 * half(&cold) - 1e-9 && takes > 58.0, "{takes}");
    let timed = Drain { takes: Some(Seconds(6.0)), ..drain }.of(&geometry, &self::water()).unwrap();
    assert!((timed.takes.0 - 6.0).abs() < 1e-12 && (timed.film - 0.085).abs() < 5e-4);
    for takes in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let wrong = Drain { takes: Some(Seconds(takes)), ..drain };
        assert!(wrong.of(&geometry, &thick).is_err(), "{takes}");
    }
}

proptest! {
    /// A film is a share, grows with speed and thickness, and shrinks with surface tension.
    #[test]
    fn films_are_shares(speed in 1e-4..5.0_f64, thick in 0.3..1e5_f64, more in 1.01..10.0_f64) {
        let film = |speed, thick| FilmLaw::default().film(MetresPerSecond(speed), &syrup(60.0, thick));
        let one = film(speed, thick);
        prop_assert!(one > 0.0 && one < 1.0);
        prop_assert!(film(more * speed, thick) > one && film(speed, more * thick) > one);
        // Only their product counts.
        prop_assert!((film(2.0 * speed, thick) - film(speed, 2.0 * thick)).abs() < 1e-12);
    }

    /// As many cycles as needed, and not one more.
    #[test]
    fn cycles_are_the_fewest(first in 0.01..0.6_f64, others in 0.01..0.3_f64, want in 1e-5..0.9_f64) {
        let cycles = cycles_for(first, others, want);
        prop_assert!(left_after(first, others, cycles) <= want);
        prop_assert!(cycles == 1 || left_after(first, others, cycles - 1) > want);
    }
}
