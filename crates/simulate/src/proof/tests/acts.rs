//! What acts bring, and what they cost.

use super::super::facts::Adjuster;
use super::super::machine::Machine;
use super::super::nature::Nature;
use super::super::visit::{Broken, Visit};
use super::{ANY, machine, still};

fn level(machine: &Machine) -> f64 {
    machine.served(0)
}

#[test]
fn adjusters_move_in_their_steps() {
    let moved = |adjuster, meant| {
        let mut machine = machine(&still(), 1, 1, adjuster);
        let begin = level(&machine);
        let asked = Visit::new(&mut machine).adjust(0, meant);
        (asked, (1e6 * (level(&machine) - begin)).round() / 1e6)
    };
    assert_eq!(moved(ANY, 0.0321), (Some(0.0321), 0.0321));
    assert_eq!(moved(Adjuster::Notches { step: 0.03 }, -0.05), (Some(-0.06), -0.06));
    assert_eq!(moved(Adjuster::Notches { step: 0.03 }, 0.014), (None, 0.0));
    let panel = Adjuster::Panel { step: 0.01, range: (-0.2, 0.1) };
    assert_eq!(moved(panel, 0.5), (Some(0.1), 0.1));
    assert_eq!(moved(Adjuster::Taught, 0.5), (None, 0.0));
    assert_eq!(moved(Adjuster::None, 0.5), (None, 0.0));
    assert_eq!(moved(ANY, f64::NAN), (None, 0.0));
}

#[test]
fn a_screw_has_slack_and_an_effect_of_its_own() {
    let mut machine = machine(&still(), 1, 1, ANY);
    machine.lines[0].response = 1.5;
    machine.lines[0].slack = 0.02;
    machine.lines[0].turned_up = true;
    let begin = level(&machine);
    let mut visit = Visit::new(&mut machine);
    visit.adjust(0, 0.04);
    visit.adjust(0, -0.06);
    assert!((level(&machine) - begin - 1.5 * (0.04 - (0.06 - 0.02))).abs() < 1e-12);
}

#[test]
fn an_adjuster_has_ends() {
    let mut machine = machine(&still(), 1, 1, ANY);
    let mut visit = Visit::new(&mut machine);
    for _turn in 0..5 {
        visit.adjust(0, 1.0);
    }
    assert!((visit.truth(0).level - 2.0_f64.ln()).abs() < 1e-12);
    assert_eq!(visit.adjust(0, 0.1), None, "there is no more");
    for _turn in 0..5 {
        visit.adjust(0, -1.0);
    }
    assert!((visit.truth(0).level + 2.0).abs() < 1e-12);
}

#[test]
fn teaching_makes_the_draw_what_the_cup_shows() {
    let mut machine = machine(&still(), 1, 1, Adjuster::Taught);
    machine.errors[0] = 0.6;
    assert!(Visit::new(&mut machine).teach(0, 0.0));
    assert!((level(&machine) - (29.4_f64 / 30.0).ln()).abs() < 1e-12);
    // Stopped where this cup shows 30.6 mL, it is right.
    assert!(Visit::new(&mut machine).teach(0, -(29.4_f64 / 30.0).ln()));
    assert!(level(&machine).abs() < 1e-12);
    let mut screw = self::machine(&still(), 1, 1, ANY);
    assert!(!Visit::new(&mut screw).teach(0, 0.0));
}

#[test]
fn services_work_half_work_or_fail() {
    let left = |service_fails, service_halves| {
        let nature = Nature { service_fails, service_halves, ..still() };
        let mut machine = machine(&nature, 1, 1, ANY);
        let line = &mut machine.lines[0];
        (line.clog, line.split, line.wear) = (0.2, 0.1, 0.04);
        let mut visit = Visit::new(&mut machine);
        visit.clean(0);
        visit.replace(0);
        let line = &machine.lines[0];
        assert_eq!(line.part_age, 0.0);
        [line.clog, line.split, line.wear]
    };
    assert_eq!(left(0.0, 0.0), [0.0, 0.0, 0.0]);
    assert_eq!(left(0.0, 1.0), [0.1, 0.05, 0.02]);
    assert_eq!(left(1.0, 0.0), [0.2, 0.1, 0.04]);
}

#[test]
fn a_technician_mends_before_the_next_week() {
    let mut machine = machine(&still(), 1, 2, Adjuster::None);
    machine.lines[0].clog = 1.4;
    machine.supply = 0.1;
    let mut visit = Visit::new(&mut machine);
    for _twice in 0..2 {
        visit.call(Broken::Line(0));
        visit.call(Broken::Supply);
    }
    assert!(level(&machine) < -1.0);
    assert_eq!(machine.tally.calls, 2.0, "the same call twice is one");
    machine.pass_week();
    assert!((machine.supply, machine.lines[0].clog) == (0.0, 0.0));
    assert!(level(&machine).abs() < 1e-12, "the line is set right with the supply mended");
}

#[test]
fn a_new_part_has_the_same_life_whenever_it_is_fitted() {
    let life = |weeks| {
        let mut machine = Machine::new(&Nature::hard(), 4, 0, 3);
        (0..weeks).for_each(|_| machine.pass_week());
        machine.made_up = false;
        Visit::new(&mut machine).replace(1);
        machine.lines[1].part_life
    };
    assert_eq!(life(0).to_bits(), life(30).to_bits());
}

// Counted by hand from the prices and minutes of the facts.
#[test]
fn what_is_done_is_counted() {
    let mut machine = machine(&Nature { draw_spread: 0.0, ..still() }, 1, 2, ANY);
    machine.lines[0].set = 0.01;
    machine.lines[1].set = 0.04;
    let mut visit = Visit::new(&mut machine);
    visit.catch(0);
    visit.adjust(0, -0.01);
    visit.adjust(1, -0.04);
    visit.clean(0);
    visit.replace(1);
    visit.call(Broken::Line(1));
    assert!((visit.minutes() - (1.2 + 0.8 + 0.8 + 5.0 + 8.0 + 3.0)).abs() < 1e-9);
    let tally = &machine.tally;
    assert_eq!((tally.catches, tally.adjusted, tally.needless), (1.0, 2.0, 1.0));
    assert_eq!((tally.parts, tally.calls), (1.0, 1.0));
    let poured = 30.0 * 0.01_f64.exp() + 3.0 * 30.0 + 4.0 * 30.0;
    assert!((tally.poured - poured).abs() < 1e-9, "{}", tally.poured);
    let money = tally.money;
    assert!((money.poured - 0.006 * poured).abs() < 1e-12);
    assert!((money.crew - 18.8 / 60.0 * 15.0).abs() < 1e-12);
    assert_eq!((money.parts, money.calls), (9.0, 120.0));
}

// Half a week: portions × target × excess × price; drinks made again where it is short.
#[test]
fn what_is_served_is_counted() {
    let mut machine = machine(&still(), 1, 3, ANY);
    for (line, portion) in [1.10_f64, 0.98, 0.90].into_iter().enumerate() {
        machine.lines[line].set = portion.ln();
        machine.facts.lines[line].portions = 200.0;
    }
    machine.score_half();
    let tally = &machine.tally;
    assert_eq!((tally.machine_weeks, tally.line_weeks, tally.off_weeks), (0.5, 1.5, 1.0));
    assert!((tally.error - 0.5 * (0.10 + 0.02 + 0.10)).abs() < 1e-12);
    assert!((tally.money.over - 100.0 * 30.0 * 0.10 * 0.006).abs() < 1e-9);
    assert!((tally.money.remade - 100.0 * 0.03 * 1.5).abs() < 1e-9);
    assert!((tally.money.total() - tally.money.over - tally.money.remade).abs() < 1e-12);
}
