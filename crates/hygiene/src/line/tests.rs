//! Volumes, Reynolds numbers, pressures and cold against the rows of the hygiene tables; each test names its rows and their
//! status.

use super::pressure::blasius;
use super::*;
use crate::fluid::{Fluid, MilliPascalSeconds, Properties};
use ouncewise_measure::Celsius;
use ouncewise_measure::print::Units;
use proptest::prelude::*;

const FOOT: f64 = 0.3048;

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    assert!(
        (value / expected - 1.0).abs() <= relative,
        "{what}: {value} is not {expected} within {relative}"
    );
}

fn tube(bore: f64, length: f64) -> Geometry {
    Line::of_one_tube(Millimetres(bore), Metres(length)).geometry().unwrap()
}

fn water(celsius: f64) -> Properties {
    Fluid::Water.at(Celsius(celsius)).unwrap()
}

/// A liquid as the row states it: mPa·s and g/mL.
fn stated(viscosity: f64, density: f64) -> Properties {
    Fluid::Stated { viscosity: MilliPascalSeconds(viscosity), density }.at(Celsius(20.0)).unwrap()
}

/// The five liquids of HY-94, their viscosity as the row gives it.
fn syrups() -> [Properties; 5] {
    [(20.0, 1.960), (40.0, 6.200), (60.0, 56.5), (60.0, 156.0), (65.0, 147.2)].map(
        |(brix, viscosity)| {
            let density = ouncewise_measure::density::sucrose(brix, Celsius(20.0)).unwrap();
            stated(viscosity, density)
        },
    )
}

/// HY-70 and HY-71 (CALC): mL in a metre and in a foot; 0.001.
#[test]
fn hy_70_71_what_a_tube_holds() {
    for (bore, metre) in [
        (3.175, 7.917),
        (4.7625, 17.814),
        (6.35, 31.669),
        (7.9375, 49.483),
        (9.525, 71.256),
        (12.7, 126.677),
    ] {
        assert!((tube(bore, 1.0).volume.0 - metre).abs() < 1e-3, "{bore} mm");
    }
    for (bore, foot) in [(6.35, 9.653), (9.525, 21.719)] {
        assert!((tube(bore, FOOT).volume.0 - foot).abs() < 1e-3, "{bore} mm");
    }
}

/// HY-90 (READ, PKG): the worked example of `fluids`, 2.5 m/s in 0.25 m; 1e-6.
#[test]
fn hy_90_a_reynolds_number() {
    let air =
        Properties { viscosity: MilliPascalSeconds(0.019), density: 1.1613e-3, ..water(20.0) };
    let flow = 2.5 * geometry::area(0.25);
    near(geometry::reynolds(flow, 0.25, &air), 38_200.657_89, 1e-9, "Reynolds number");
}

/// HY-91 and HY-93 (READ, PKG): 64/Re, Blasius and Colebrook; 1e-6.
#[test]
fn hy_91_93_friction() {
    assert_eq!(darcy_friction(128.0, 0.0), 0.5);
    near(blasius(1e4), 0.031_64, 1e-9, "Blasius");
    near(darcy_friction(1e5, 1e-4), 0.018_513_866, 1e-6, "Colebrook");
    // A smooth tube by Blasius and by Colebrook differ by no more than 3 %.
    near(darcy_friction(1e4, 0.0), blasius(1e4), 0.03, "smooth");
}

/// HY-92 (READ, PKG): 10 kg/s of 1000 kg/m³ and 0.01 mPa·s in 0.1 m take 63.434 473 21 Pa a metre; 1e-6. The viscosity and
/// the flow are not those of a line, so the friction is taken by itself.
#[test]
fn hy_92_a_pressure_in_turbulent_flow() {
    let liquid = Properties { viscosity: MilliPascalSeconds(0.01), density: 1.0, ..water(20.0) };
    let (flow, bore) = (0.01, 0.1);
    let speed = flow / geometry::area(bore);
    let friction = darcy_friction(geometry::reynolds(flow, bore, &liquid), 0.0);
    near(friction / bore * 0.5 * 1000.0 * speed * speed, 63.434_473_21, 1e-6, "Pa");
}

/// HY-94 and HY-95 (PKG): kPa for 5 mL/s in 3 m of 6.35 mm, 0.1 %; Reynolds numbers, 0.5 % (the row prints some with two
/// digits).
#[test]
fn hy_94_95_what_thick_syrup_takes() {
    let line = tube(6.35, 3.0);
    let expected = [(0.737, 553.0), (2.330, 190.0), (21.24, 22.8), (58.64, 8.3), (55.33, 9.0)];
    for (syrup, (pressure, reynolds)) in syrups().iter().zip(expected) {
        let took = pressure_drop(&line, MlPerSecond(5.0), syrup).unwrap();
        near(took.0, pressure, 1e-3, "kPa");
        let (slow, fast) = line.reynolds(MlPerSecond(5.0), syrup).unwrap();
        assert_eq!(slow, fast);
        let half_of_last_digit = if reynolds < 10.0 { 0.05 } else { 0.005 * reynolds };
        assert!((fast - reynolds).abs() <= half_of_last_digit, "{fast} is not {reynolds}");
    }
}

/// HY-96 (PKG): kPa for 30 mL/s; 0.1 %.
#[test]
fn hy_96_a_fast_draw_of_syrup() {
    let [_, forty, sixty, cold, _] = syrups();
    for (syrup, expected) in [(forty, 13.98), (sixty, 127.4), (cold, 351.8)] {
        let took = pressure_drop(&tube(6.35, 3.0), MlPerSecond(30.0), &syrup).unwrap();
        near(took.0, expected, 1e-3, "kPa");
    }
}

/// HY-97 (CALC; 1 %): what 80 kPa pull through 3 m of 6.35 mm; for 40 °Bx the laminar formula would give 172 mL/s, and is
/// refused.
#[test]
fn hy_97_no_pump_pulls_more_than_the_air_presses() {
    let line = tube(6.35, 3.0);
    let [_, forty, sixty, cold, sixty_five] = syrups();
    for (syrup, expected) in [(sixty, 18.8), (cold, 6.8), (sixty_five, 7.2)] {
        let most = suction_ceiling(&line, &syrup, AVAILABLE_SUCTION).unwrap();
        near(most.0, expected, 0.01, "mL/s");
        // And that flow takes all of the suction.
        near(pressure_drop(&line, most, &syrup).unwrap().0, 80.0, 1e-9, "kPa");
    }
    let refused = suction_ceiling(&line, &forty, AVAILABLE_SUCTION).unwrap_err();
    assert!(matches!(refused, FlowError::NotLaminar { reynolds, .. } if reynolds > 2300.0));
    assert!(suction_ceiling(&line, &sixty, KiloPascals(200.0)).is_err());
}

/// HY-98 (CALC; 1 % of the row's own viscosities, 5 % of ours): fed by pressure, 60 °Bx at 5 °C gives 28 % of its portion
/// at 25 °C. That is the tube's figure and not the screw's, and a pump gives the same until it starves (HY-97).
#[test]
fn hy_98_cold_and_the_portion() {
    let line = Line::of_one_tube(Millimetres(6.35), Metres(3.0));
    let of = |feed| {
        cold(&line, feed, Fluid::Syrup { brix: 60.0 }, Celsius(25.0), Celsius(5.0), Units::Metric)
            .unwrap()
    };
    let Portion::Share(tube) = of(Feed::PressureThroughTube).portion else { panic!("one share") };
    near(tube, 0.28, 0.05, "tube");
    let screw = of(Feed::PressureThroughScrew);
    assert_eq!(screw.portion, Portion::Between(tube, 1.0));
    assert!(screw.words.contains("only a catch tells"), "{}", screw.words);
    let pump = |flow| of(Feed::Pump { flow: MlPerSecond(flow), suction: AVAILABLE_SUCTION });
    assert_eq!(pump(5.0).portion, Portion::Share(1.0));
    let starved = pump(10.0);
    let most = starved.ceiling.unwrap().0;
    near(most, 6.8, 0.05, "ceiling");
    assert_eq!(starved.portion, Portion::Share(most / 10.0));
    assert!(starved.words.contains("starves"), "{}", starved.words);
}

/// HY-99 (CALC; 0.5 %): a crust of 0.5 mm, and half the bore.
#[test]
fn hy_99_a_crust_and_a_kink() {
    near(narrowed(Millimetres(6.35), Millimetres(5.35)), 1.98, 5e-3, "crust");
    assert_eq!(narrowed(Millimetres(6.35), Millimetres(3.175)), 16.0);
}

/// HY-100 and HY-101 (READ, PKG; 0.2 %): 1.5 m/s. A public page prints a Reynolds number of 18 000 for 50 mm at 70 °C: ten
/// times too low.
#[test]
fn hy_100_101_the_rule_of_a_metre_and_a_half() {
    let rule = MetresPerSecond(1.5);
    for (bore, t, flow, reynolds) in [
        (6.35, 20.0, 47.5, 9493.0),
        (9.525, 20.0, 106.9, 14_239.0),
        (50.0, 70.0, 2945.2, 181_700.0),
    ] {
        let line = tube(bore, 3.0);
        near(line.flow_at(rule).0, flow, 2e-3, "mL/s");
        near(
            line.reynolds(line.flow_at(rule), &water(t)).unwrap().1,
            reynolds,
            2e-3,
            "Reynolds number",
        );
    }
    near(
        tube(6.35, 3.0).flow_at(rule).0 * 60.0 / 3_785.411_784,
        0.753,
        2e-3,
        "US gallons a minute",
    );
}

/// HY-102 (PKG; 0.5 %): where laminar ends and turbulent begins, for water of 20 °C.
#[test]
fn hy_102_from_laminar_to_turbulent() {
    for (bore, laminar, turbulent) in [(6.35, 11.5, 20.0), (9.525, 17.3, 30.0)] {
        let line = tube(bore, 3.0);
        near(line.flow_for_reynolds(2300.0, &water(20.0)).0, laminar, 5e-3, "2300");
        near(line.flow_for_reynolds(4000.0, &water(20.0)).0, turbulent, 5e-3, "4000");
    }
}

/// HY-103 (READ-2; 0.2 %): 2 US gallons a minute in 6.35 mm, the nearest published norm for a drink line, is 3.98 m/s and a
/// Reynolds number of 25 215.
#[test]
fn hy_103_a_handbook_for_drink_lines() {
    let (line, flow) = (tube(6.35, 3.0), 2.0 * 3_785.411_784 / 60.0);
    near(line.flow_at(MetresPerSecond(3.98)).0, flow, 2e-3, "mL/s");
    near(
        line.reynolds(MlPerSecond(flow), &water(20.0)).unwrap().1,
        25_215.0,
        2e-3,
        "Reynolds number",
    );
}

/// A line of which something is not known has no least time; it is never zero.
#[test]
fn what_is_missing_is_named() {
    let known = Tube { bore: Some(Millimetres(6.35)), length: Some(Metres(3.0)) };
    for (tubes, missing) in [
        (vec![], "the line has no tube"),
        (vec![known, Tube { bore: None, ..known }], "the bore of tube 2 is not given"),
        (vec![Tube { length: None, ..known }], "the length of tube 1 is not given"),
    ] {
        let refused = Line { tubes, ..Line::default() }.geometry().unwrap_err().to_string();
        assert!(refused.starts_with(&format!("no least time known: {missing}")), "{refused}");
    }
    for (bore, length) in [(0.0, 3.0), (-6.0, 3.0), (6.35, f64::NAN), (6350.0, 3.0), (6.35, 0.0)] {
        let line = Line::of_one_tube(Millimetres(bore), Metres(length));
        assert!(matches!(line.geometry(), Err(FlowError::OutOfRange { .. })), "{bore} {length}");
    }
    assert!(tube(6.35, 3.0).seconds_per_volume(MlPerSecond(0.0)).is_err());
}

/// What fittings hold counts where the flow goes through them, and what nobody said is noted.
#[test]
fn fittings_add_to_the_volume() {
    let fitting = |count, holds: Option<f64>, dead_end| Fitting {
        count,
        holds: holds.map(Millilitres),
        dead_end,
    };
    let with = |fittings| {
        let line = Line::of_one_tube(Millimetres(6.35), Metres(1.0));
        Line { fittings, ..line }.geometry().unwrap()
    };
    let two = with(vec![fitting(2, Some(1.5), false)]);
    assert!((two.volume.0 - 34.669).abs() < 1e-3 && !two.fittings_not_known && !two.dead_ends);
    let unknown = with(vec![fitting(1, None, false), fitting(1, Some(3.0), true)]);
    assert!((unknown.volume.0 - 31.669).abs() < 1e-3);
    assert!(unknown.fittings_not_known && unknown.dead_ends);
    assert!(!with(vec![fitting(0, None, true)]).fitted);
}

proptest! {
    /// In laminar flow the pressure goes as flow, length and viscosity, and as one over the fourth power of the bore
    /// (dimensions).
    #[test]
    fn laminar_pressure_scales(bore in 3.0..10.0_f64, length in 0.5..5.0_f64, flow in 0.1..3.0_f64, thick in 20.0..200.0_f64) {
        let took = |bore, length, flow, thick| pressure_drop(&tube(bore, length), MlPerSecond(flow), &stated(thick, 1.2)).unwrap().0;
        let one = took(bore, length, flow, thick);
        prop_assert!((took(bore, 2.0 * length, flow, thick) / one - 2.0).abs() < 1e-9);
        prop_assert!((took(bore, length, 2.0 * flow, thick) / one - 2.0).abs() < 1e-9);
        prop_assert!((took(bore, length, flow, 2.0 * thick) / one - 2.0).abs() < 1e-9);
        prop_assert!((took(2.0 * bore, length, flow, thick) * 16.0 / one - 1.0).abs() < 1e-9);
    }

    /// Friction falls with the Reynolds number on either side of the change, and rises across it.
    #[test]
    fn friction_falls(reynolds in 1.0..1e6_f64, more in 1.01..3.0_f64) {
        let crosses = reynolds < 2300.0 && more * reynolds >= 2300.0;
        prop_assert!(crosses || darcy_friction(more * reynolds, 0.0) < darcy_friction(reynolds, 0.0));
    }

    /// Two tubes in series hold and resist as much as both.
    #[test]
    fn tubes_in_series_add(a in 2.0..12.0_f64, b in 2.0..12.0_f64, long in 0.5..4.0_f64, flow in 0.1..50.0_f64) {
        let one = |bore| Tube { bore: Some(Millimetres(bore)), length: Some(Metres(long)) };
        let both = Line { tubes: vec![one(a), one(b)], ..Line::default() }.geometry().unwrap();
        let took = |line: &Geometry| pressure_drop(line, MlPerSecond(flow), &water(20.0)).unwrap().0;
        prop_assert!((both.volume.0 - tube(a, long).volume.0 - tube(b, long).volume.0).abs() < 1e-9);
        prop_assert!((took(&both) / (took(&tube(a, long)) + took(&tube(b, long))) - 1.0).abs() < 1e-12);
    }
}
