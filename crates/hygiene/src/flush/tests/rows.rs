//! HY-110 to HY-119, HY-127 to HY-131, each with its status.

use super::*;
use crate::drain::{Drain, FilmLaw};
use crate::fluid::Properties;
use crate::line::MetresPerSecond;
use crate::strength::MgPerLitre;

/// HY-110 (READ, PKG; 1e-9): one less the old share in what comes out.
#[test]
fn hy_110_the_convective_limit() {
    for (volumes, new) in [
        (0.4, 0.0),
        (0.5, 0.0),
        (0.75, 0.555_555_555_6),
        (1.0, 0.75),
        (2.0, 0.9375),
        (5.0, 0.99),
        (10.0, 0.9975),
    ] {
        assert!((1.0 - convective(Place::Outlet, volumes) - new).abs() < 1e-9, "{volumes}");
    }
}

/// HY-111 (CALC; 1e-3): volumes to 10 %, 5 %, 1 % and 0.1 % in what comes out.
#[test]
fn hy_111_volumes_in_the_convective_limit() {
    for (share, volumes) in [(0.1, 1.581), (0.05, 2.236), (0.01, 5.0), (1e-3, 15.81)] {
        near(volumes_when_convective(Place::Outlet, share), volumes, 1e-3, "volumes");
        near(of_regime(0.0).volumes_for(Want::outlet(share).unwrap()), volumes, 1e-3, "flush");
    }
}

/// HY-112 (CALC; 1e-9): old liquid still in the line.
#[test]
fn hy_112_what_is_left_in_the_convective_limit() {
    for (volumes, percent) in
        [(1.0, 25.0), (2.0, 12.5), (3.0, 100.0 / 12.0), (5.0, 5.0), (25.0, 1.0)]
    {
        assert!((100.0 * convective(Place::Line, volumes) - percent).abs() < 1e-9, "{volumes}");
    }
    assert_eq!(convective(Place::Line, 0.3), 0.7);
}

/// HY-113 (CALC; 1 %, and the last digit printed): the regime number has no bore in it. The diffusivity is MEMORY, and an
/// input.
#[test]
fn hy_113_the_regime_number_has_no_bore() {
    for (flow, expected) in [(5.0, 9.8e-4), (10.0, 4.9e-4), (30.0, 1.63e-4)] {
        for bore in [3.175, 6.35, 12.7] {
            let tube = Line::of_one_tube(Millimetres(bore), Metres(3.0));
            let flush = flushed(&tube, flow, Diffusivity::SUCROSE.0);
            near(flush.regime_number(), expected, 0.01, "τ");
        }
    }
}

/// HY-114 (SIM; 1 %): percent in what comes out after 1, 2, 3 and 5 volumes.
#[test]
fn hy_114_what_comes_out() {
    for (tau, row) in [
        (1e-4, [(1.0, 25.0, 0.1), (2.0, 6.30, 0.01), (3.0, 2.85, 0.01), (5.0, 1.13, 0.01)]),
        (1e-3, [(1.0, 25.2, 0.1), (2.0, 6.72, 0.01), (3.0, 3.49, 0.01), (5.0, 1.51, 0.01)]),
        (3e-3, [(1.0, 25.6, 0.1), (2.0, 7.62, 0.01), (3.0, 4.21, 0.01), (5.0, 1.00, 0.01)]),
        (1e-2, [(1.0, 27.0, 0.1), (2.0, 9.48, 0.01), (3.0, 3.65, 0.01), (5.0, 0.15, 0.01)]),
        (3e-2, [(1.0, 30.8, 0.1), (2.0, 9.19, 0.01), (3.0, 1.39, 0.01), (5.0, 0.00, 0.01)]),
    ] {
        for (volumes, percent, digit) in row {
            let share = of_regime(tau).residue(Place::Outlet, volumes);
            near_percent(share, percent, 0.01, digit, &format!("τ {tau:e}, {volumes} volumes"));
        }
    }
}

/// HY-115 (SIM; 1 %): percent left in the line after 2, 3 and 5 volumes.
#[test]
fn hy_115_what_is_left_in_the_line() {
    for (tau, row) in [
        (1e-4, [(2.0, 12.5, 0.1), (3.0, 8.2, 0.1), (5.0, 4.7, 0.1)]),
        (1e-3, [(2.0, 12.1, 0.1), (3.0, 7.3, 0.1), (5.0, 2.6, 0.1)]),
        (3e-3, [(2.0, 11.3, 0.1), (3.0, 5.6, 0.1), (5.0, 0.93, 0.01)]),
        (1e-2, [(2.0, 8.9, 0.1), (3.0, 2.6, 0.1), (5.0, 0.06, 0.01)]),
        (3e-2, [(2.0, 4.9, 0.1), (3.0, 0.5, 0.1), (5.0, 0.0, 0.1)]),
    ] {
        for (volumes, percent, digit) in row {
            let share = of_regime(tau).residue(Place::Line, volumes);
            near_percent(share, percent, 0.01, digit, &format!("τ {tau:e}, {volumes} volumes"));
        }
    }
}

/// HY-116 (SIM; 2 %): volumes to 1 % and 0.1 % in what comes out.
#[test]
fn hy_116_volumes_where_things_spread() {
    for (tau, one, tenth) in [
        (1e-3, 5.85, 9.26),
        (3e-3, 5.00, 7.05),
        (1e-2, 3.97, 5.18),
        (0.1, 2.40, 2.86),
        (0.3, 1.89, 2.19),
        (1.0, 1.51, 1.68),
    ] {
        for (share, volumes) in [(0.01, one), (1e-3, tenth)] {
            let ours = of_regime(tau).volumes_for(Want::outlet(share).unwrap());
            near(ours, volumes, 0.02, &format!("τ {tau:e}, {share}"));
        }
    }
}

/// HY-117 (PKG; 1 %): by Taylor and Aris, which takes more volumes than HY-116.
#[test]
fn hy_117_taylor_and_aris_where_they_hold() {
    for (tau, one, tenth) in [(0.3, 2.43, 3.12), (1.0, 1.63, 1.89)] {
        let peclet = taylor_aris_peclet(tau).unwrap();
        assert_eq!(peclet, 48.0 * tau);
        for (share, volumes) in [(0.01, one), (1e-3, tenth)] {
            let theirs = volumes_when_dispersed(Place::Outlet, share, peclet);
            near(theirs, volumes, 0.01, &format!("τ {tau:e}, {share}"));
            assert!(theirs > of_regime(tau).volumes_for(Want::outlet(share).unwrap()));
        }
    }
}

/// HY-118 (PKG, a trap): at a Reynolds number of 1000, a Schmidt number of 1930 and 472 bores, Taylor and Aris would give a
/// Péclet number of 0.047; it is refused, and the table is read instead.
#[test]
fn hy_118_taylor_and_aris_are_refused_where_they_do_not_hold() {
    let (reynolds, schmidt, bores) = (1000.0, 1930.0, 472.0);
    // u·d/D is the Reynolds times the Schmidt number, and τ = D·L/(u·a²).
    let tau = 4.0 * bores / (reynolds * schmidt);
    near(48.0 * tau, 0.047, 0.01, "nonsense");
    assert!(matches!(taylor_aris_peclet(tau), Err(FlowError::NotDispersed { .. })));
    assert!(taylor_aris_peclet(0.299).is_err() && taylor_aris_peclet(f64::NAN).is_err());
    let flush = of_regime(tau);
    assert_eq!(flush.manner(), Manner::Diffusing);
    near(flush.volumes_for(Want::outlet(0.01).unwrap()), 5.85, 0.02, "volumes");
}

/// HY-119 (PKG; 1 %): turbulent flow in 472 bores needs 1.2 volumes.
#[test]
fn hy_119_turbulent_flow() {
    let want = |share| Want::outlet(share).unwrap();
    for (reynolds, peclet, one, tenth) in
        [(4000.0, 364.0, 1.17, 1.23), (9493.0, 839.0, 1.11, 1.15), (20_000.0, 1127.0, 1.10, 1.13)]
    {
        near(472.0 * turbulent_peclet(reynolds), peclet, 0.01, "Péclet number");
        let tube = Line::of_one_tube(Millimetres(6.35), Metres(472.0 * 6.35e-3));
        let water = Fluid::Water.at(Celsius(20.0)).unwrap();
        let flow = tube.geometry().unwrap().flow_for_reynolds(reynolds * (1.0 + 1e-12), &water);
        let flush = flushed(&tube, flow.0, Diffusivity::SUCROSE.0);
        assert!(matches!(flush.manner(), Manner::Turbulent { .. }), "{:?}", flush.manner());
        near(flush.volumes_for(want(0.01)), one, 0.01, "1 %");
        near(flush.volumes_for(want(1e-3)), tenth, 0.01, "0.1 %");
    }
    // Laminar flow in the same tube needs 5 to 9.
    let slow = flushed(&line(), 5.0, Diffusivity::SUCROSE.0);
    assert!((5.0..10.0).contains(&slow.volumes_for(want(0.01))));
}

/// HY-127 (READ; its number of 0.6 is MEMORY and is not used): a thick product is flushed worse than is computed, and the
/// answer says so.
#[test]
fn hy_127_water_runs_through_the_middle_of_syrup() {
    let of = |old| Flush::new(&line(), MlPerSecond(5.0), old, Fluid::Water, Celsius(20.0)).unwrap();
    let said = of(Fluid::Syrup { brix: 60.0 }).assumptions();
    assert!(said[0].contains("straight tube, equal viscosity: at best"), "{said:?}");
    assert!(said.iter().any(|note| note.contains("58 times as thick")), "{said:?}");
    assert!(!of(Fluid::Water).assumptions().iter().any(|note| note.contains("thick")));
}

/// HY-128 (CALC; 1e-2): volumes from 100 and 200 mg/L to 4 mg/L, and to 1 mg/L, in the convective limit. The 4 mg/L are
/// READ-2 (HY-32), and an input.
#[test]
fn hy_128_a_sanitiser_is_purged() {
    let convective = of_regime(0.0);
    for (from, to, volumes) in [
        (100.0, DRINKING_WATER, 2.5),
        (200.0, DRINKING_WATER, 3.5),
        (100.0, MgPerLitre(1.0), 5.0),
        (200.0, MgPerLitre(1.0), 7.1),
    ] {
        let want = Want::purged(MgPerLitre(from), to).unwrap();
        assert!((convective.volumes_for(want) - volumes).abs() < 0.05, "{from}");
    }
    near(
        convective.volumes_for(Want::purged(MgPerLitre(200.0), DRINKING_WATER).unwrap()),
        12.5_f64.sqrt(),
        1e-12,
        "exact",
    );
    assert!(Want::purged(MgPerLitre(4.0), MgPerLitre(100.0)).is_err());
    assert!(Want::purged(MgPerLitre(0.0), DRINKING_WATER).is_err());
}

/// How fast a sanitiser's actives spread is not known, and neither nothing nor much is the worst: between them it takes
/// longest.
#[test]
fn a_purge_is_asked_at_its_worst() {
    let want = Want::purged(MgPerLitre(100.0), DRINKING_WATER).unwrap();
    let flush = flushed(&line(), 1.0, 0.0);
    let at_worst = flush.clone().spreading(Spreads::UpTo(Diffusivity::SANITISER)).unwrap();
    assert!(at_worst.volumes_for(want) > 1.1 * flush.volumes_for(want));
    let fast = flush.clone().spreading(Spreads::At(Diffusivity::SANITISER)).unwrap();
    assert!(at_worst.volumes_for(want) >= fast.volumes_for(want));
    // The least is the best of them.
    assert!(at_worst.least(want).at_best <= flush.least(want).at_best);
}

/// HY-129 (CALC; 2 %): after a drain, 200 mg/L are 6.3 or 16.9 mg/L in the first line volume: it is thrown away.
#[test]
fn hy_129_the_first_volume_after_a_drain() {
    let water: Properties = Fluid::Water.at(Celsius(20.0)).unwrap();
    for (speed, expected) in [(0.1, 6.3), (0.5, 16.9)] {
        let film = FilmLaw::AUSSILLOUS_QUERE.film(MetresPerSecond(speed), &water);
        near(200.0 * film, expected, 0.02, "mg/L");
    }
    // So one drain does not bring 200 mg/L to 4 mg/L, and two do.
    let flush = flushed(&line().that_drains(), 5.0, 0.0);
    let want = Want::purged(MgPerLitre(200.0), DRINKING_WATER).unwrap();
    let advice = flush.advise(want, &Allowed { pause: None, drain: Drain::default() }).unwrap();
    assert_eq!(advice.plans[1].way, Way::DrainAndRefill { cycles: 2 });
}

/// HY-130 (CALC; 1 %): 10 g/L of sucrose are 1.17 % of 65 °Bx and 1.30 % of 60 °Bx.
#[test]
fn hy_130_sugar_that_interferes() {
    for (brix, percent) in [(65.0, 1.17), (60.0, 1.30)] {
        let want = Want::sugar_left(10.0, Fluid::Syrup { brix }, Celsius(20.0)).unwrap();
        near(100.0 * want.residue(), percent, 0.01, "%");
        assert_eq!(want.place(), Place::Line);
    }
    near(Fluid::Syrup { brix: 65.0 }.sugar(Celsius(20.0)).unwrap().unwrap(), 855.6, 1e-3, "g/L");
    assert!(Want::sugar_left(10.0, Fluid::Water, Celsius(20.0)).is_err());
    assert!(Want::sugar_left(10.0, thick(5.0), Celsius(20.0)).is_err());
}

/// HY-131 (CALC; 5 %): 7.3 % of 65 °Bx left in the line is some 62 g/L, about 6 °Bx. Its water activity is not computed here.
#[test]
fn hy_131_what_is_left_is_food() {
    let at = Celsius(20.0);
    let left = 0.073 * Fluid::Syrup { brix: 65.0 }.sugar(at).unwrap().unwrap();
    near(left, 62.0, 0.05, "g/L");
    near(Fluid::Syrup { brix: 6.0 }.sugar(at).unwrap().unwrap(), left, 0.05, "6 °Bx");
}

/// HY-104 (READ): over 40 °C protein and starch set; a rinse gains from 23 °C to 45 °C.
#[test]
fn hy_104_the_first_rinse_is_lukewarm() {
    assert_eq!((RINSE_GAINS.0.0, RINSE_GAINS.1.0, SETS_SOIL.0), (23.0, 45.0, 40.0));
    assert!([20.0, 40.0].iter().all(|at| too_hot_to_rinse(Celsius(*at), Units::Metric).is_none()));
    let hot = too_hot_to_rinse(Celsius(49.0), Units::Metric).unwrap();
    assert!(hot.contains("40 °C") && hot.contains("lukewarm") && hot.contains("45 °C"), "{hot}");
}
