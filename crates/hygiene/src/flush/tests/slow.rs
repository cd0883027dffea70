//! The tables against the slow solution that they were made from, on a coarser grid and between their rows; and HY-120 by
//! the slow solution.

use super::*;
use crate::flush::solve::{RESIDUES, Rings, volumes_to_residues};

/// Off the rows of the tables, volumes are within 0.5 % of the slow solution for residues down to 0.1 %.
#[test]
fn the_tables_are_what_the_slow_solution_gives() {
    for (tau, rings, cells, most) in [
        (7e-4, 40, 800, 6.0),
        (4.2e-3, 32, 640, 5.0),
        (2.4e-2, 16, 640, 3.5),
        (0.42, 16, 1600, 1.9),
    ] {
        let (outlet, line) = volumes_to_residues(Rings::new(tau, rings, cells), most);
        let flush = of_regime(tau);
        let mut compared = 0;
        for (share, (outlet, line)) in RESIDUES.into_iter().zip(outlet.into_iter().zip(line)) {
            if !(1e-3..=0.9).contains(&share) || outlet.is_nan() || line.is_nan() {
                continue;
            }
            for (want, slow) in
                [(Want::outlet(share).unwrap(), outlet), (Want::line(share).unwrap(), line)]
            {
                near(flush.volumes_for(want), slow, 5e-3, &format!("τ {tau:e}: {want:?}"));
            }
            compared += 1;
        }
        assert!(compared > 12, "τ {tau:e}: {compared}");
    }
}

/// Below the tables the wall's own law goes on: a table that began at a ten times larger regime number would give the same
/// within 1.5 %.
#[test]
fn below_the_tables_the_walls_law_goes_on() {
    for share in [0.3, 0.03, 3e-3, 1e-3, 3e-4] {
        let (here, tenfold) = (of_regime(1e-5), of_regime(1e-4));
        let slower = 10.0_f64.cbrt();
        let by_law = |want: Want, power: i32| {
            let same = share * slower.powi(power);
            let limit = volumes_when_convective(want.place(), share);
            if same < 0.25 {
                let want = if power == 2 { Want::outlet(same) } else { Want::line(same) };
                slower * tenfold.volumes_for(want.unwrap())
            } else {
                limit
            }
        };
        for (want, power) in [(Want::outlet(share).unwrap(), 2), (Want::line(share).unwrap(), 1)] {
            near(by_law(want, power), here.volumes_for(want), 0.015, &format!("{want:?}"));
            let below = of_regime(9.9e-6).volumes_for(want);
            near(below, here.volumes_for(want), 0.01, "across the end of the table");
        }
    }
}

/// Beyond the tables, at τ = 10, Taylor and Aris go on within 1 %.
#[test]
fn beyond_the_tables_taylor_and_aris_go_on() {
    for share in [0.3, 0.1, 0.01, 1e-3] {
        for want in [Want::outlet(share).unwrap(), Want::line(share).unwrap()] {
            let (table, beyond) = (of_regime(9.999), of_regime(10.001));
            near(beyond.volumes_for(want), table.volumes_for(want), 0.01, &format!("{want:?}"));
        }
    }
}

/// HY-120 (SIM; 3 %, and the last digit printed): four volumes straight leave 4.5 %; two, a pause and two 2.4 %; four ones
/// with shorter pauses 2.2 %.
#[test]
fn hy_120_a_pause_helps() {
    let run = |tube: &mut Rings, volumes: f64| {
        let until = tube.volumes() + volumes - 1e-9;
        while tube.volumes() < until {
            tube.step();
        }
    };
    let after = |parts: u32, pause: f64| {
        let mut tube = Rings::new(1e-3, 40, 800);
        for part in 0..parts {
            if part > 0 {
                tube.rest(pause);
            }
            run(&mut tube, 4.0 / f64::from(parts));
        }
        assert!((tube.volumes() - 4.0).abs() < 1e-9);
        tube.residue()
    };
    near_percent(after(1, 0.0), 4.5, 0.03, 0.1, "straight");
    near_percent(after(2, 0.01), 2.4, 0.03, 0.1, "one pause");
    near_percent(after(4, 0.003), 2.2, 0.03, 0.1, "three pauses");
    // The quick answer is that of the slow solution; 0.01 is about 3 min of sugar in 6.35 mm.
    let paused = pause::volumes(1e-3, 0.01, after(2, 0.01)).unwrap();
    near(paused, 4.0, 0.01, "volumes with a pause");
    near(
        pause_number(Seconds(194.0), Millimetres(6.35), Diffusivity::SUCROSE),
        0.01,
        0.01,
        "D·t/a²",
    );
}

/// Old liquid is neither made nor lost, and no share leaves 0 to 1.
#[test]
fn the_slow_solution_keeps_mass() {
    let mut tube = Rings::in_series(&[(0.3, 0.02), (0.7, 0.01)], 12, 240);
    let mut out = 0.0;
    for step in 0..60 {
        let share = tube.step();
        assert!((-1e-12..=1.0 + 1e-12).contains(&share), "{step}: {share}");
        out += share * tube.step_volumes();
        if step % 20 == 7 {
            tube.rest(0.05);
        }
        assert!((out + tube.residue() - 1.0).abs() < 1e-10, "{step}");
    }
}

/// Without spreading, the slow solution is the convective limit.
#[test]
fn the_slow_solution_has_the_convective_limit() {
    let mut tube = Rings::new(0.0, 50, 500);
    while tube.volumes() < 4.0 {
        tube.step();
    }
    near(tube.residue(), convective(Place::Line, tube.volumes()), 5e-3, "left");
}

/// Two tubes of different bores, flushed through both, take no more than is answered, and no less than the least.
#[test]
fn two_bores_take_no_more_than_is_answered() {
    // Half of the length each: 4.76 and 9.53 mm, or 3.2 and 9.5 mm.
    for (narrow, tau) in [(0.2, 4e-3), (0.1, 2e-2)] {
        let bore = |share: f64| 6.35 * (2.0 * share).sqrt();
        let half = |share| Line::of_one_tube(Millimetres(bore(share)), Metres(50.0)).tubes;
        let tubes = [half(narrow), half(1.0 - narrow)].concat();
        let flow = 0.05;
        let flush =
            flushed(&Line { tubes, ..Line::default() }, flow, tau * 1e-6 * flow / (PI * 100.0));
        let (outlet, line) = volumes_to_residues(
            Rings::in_series(&[(narrow, 0.5 * tau), (1.0 - narrow, 0.5 * tau)], 24, 480),
            5.0,
        );
        let mut compared = 0;
        for (share, (outlet, line)) in RESIDUES.into_iter().zip(outlet.into_iter().zip(line)) {
            if !(0.01..=0.5).contains(&share) || outlet.is_nan() || line.is_nan() {
                continue;
            }
            for (want, slow) in
                [(Want::outlet(share).unwrap(), outlet), (Want::line(share).unwrap(), line)]
            {
                let (answer, least) =
                    (flush.volumes_for(want), flush.least(want).at_best.0 / flush.seconds(1.0).0);
                assert!(
                    slow <= 1.01 * answer && slow >= 0.99 * least,
                    "{want:?}: {least} {slow} {answer}"
                );
                assert!(answer < 1.4 * slow, "{want:?}: {slow} {answer}");
            }
            compared += 1;
        }
        assert!(compared > 8, "{compared}");
    }
}
