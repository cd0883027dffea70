//! One round on one machine: catch every line as found, clean, see to what is off, catch as left.

use jiff::{SignedDuration, Timestamp};
use ouncewise_ledger::{Body, Entered, LineState, Subject};
use ouncewise_measure::Adjuster;
use uuid::Uuid;

use crate::catch::{Wanted, draw};
use crate::chance::Chance;
use crate::crew::{self, Done, Person};
use crate::diary::{Diary, Happening};
use crate::kitchen::{Piece, Shows, decimals};
use crate::sanitise::{Sanitising, Work};
use crate::state::{Machine, Repair};
use crate::world::World;

/// What goes wrong in the writing of this round.
#[derive(Debug, Clone, Default)]
pub(crate) struct Slips {
    pub(crate) typo: bool,
    pub(crate) wrong_line: bool,
    pub(crate) unfinished: bool,
    pub(crate) called_away: bool,
    pub(crate) note: Option<String>,
}

/// A round under way.
pub(crate) struct Round<'r> {
    pub(crate) world: &'r World,
    pub(crate) chance: &'r mut Chance,
    pub(crate) diary: &'r mut Diary,
    pub(crate) pieces: &'r [Piece],
    pub(crate) person: &'r Person,
    pub(crate) currency: &'r str,
    pub(crate) now: Timestamp,
    /// When desk work of the next day is done; nothing if that lies beyond the last day.
    pub(crate) next_day: Option<Timestamp>,
    /// Whether this site plans its part changes.
    pub(crate) planner: bool,
    /// Whether today's catches are read with the best measure of the kitchen.
    pub(crate) best_measure: bool,
    /// How its sanitising is recorded, where it is.
    pub(crate) sanitising: Option<&'r mut Sanitising>,
    /// Somebody else of the crew.
    pub(crate) other: &'r str,
}

/// A reading this far below target means that something is wrong, whatever the recipe's tolerance.
const WELL_OFF: f64 = 0.07;

impl Round<'_> {
    /// Does the round.
    pub(crate) fn perform(&mut self, machine: &mut Machine, slips: &Slips) {
        let here = Subject::machine(&machine.plan.key);
        let opened = self.sanitising.as_ref().map_or_else(Body::round_opened, |s| s.opened());
        self.note(0, here.clone(), opened);
        let count = machine.lines.len();
        let reached =
            if slips.unfinished && count > 1 { 1 + self.chance.below(count - 1) } else { count };
        let found: Vec<f64> = (0..reached)
            .map(|index| {
                let (body, deviation) = self.catch(machine, index, LineState::AsFound);
                self.record_catch(machine, index, body, slips.typo && index == 0);
                deviation
            })
            .collect();
        if slips.wrong_line && count > 1 {
            self.wrong_line(machine);
        }
        if slips.called_away {
            return self.close(here, false, Some("called away"), slips);
        }
        let whole = self.sanitise(machine, reached);
        for line in machine.lines.iter_mut().take(reached) {
            let subject = Subject::line(&machine.plan.key, &line.plan.key);
            self.note(25, subject, Body::LineCleaned {});
            line.flow.clean(self.world, self.chance);
        }
        let low = found.iter().filter(|d| **d < -0.045).count();
        if count >= 3 && low * 4 >= count * 3 && self.chance.happens(0.6) {
            // The crew sees that all lines fell together, and touches none.
            let fault = "all lines low".to_owned();
            self.call(machine, here.clone(), Repair::Supply, fault);
        } else {
            for (index, deviation) in found.iter().enumerate() {
                self.attend(machine, index, *deviation);
            }
        }
        self.close(here, whole, (reached < count).then_some("too busy"), slips);
        if let Some(sanitising) = &mut self.sanitising {
            let (diary, person, other) = (&mut *self.diary, self.person.name.as_str(), self.other);
            let mut work = Work { diary, person, other, reached };
            sanitising.look_over(machine, &mut work, self.now);
        }
    }

    /// Sanitises what was reached. Whether all that must be recorded of it was, or none is.
    fn sanitise(&mut self, machine: &Machine, reached: usize) -> bool {
        let Some(sanitising) = &mut self.sanitising else { return true };
        let (diary, person, other) = (&mut *self.diary, self.person.name.as_str(), self.other);
        let mut work = Work { diary, person, other, reached };
        let (ended, whole) = sanitising.perform(machine, &mut work, self.now);
        self.now = ended;
        whole
    }

    fn close(&mut self, here: Subject, whole: bool, reason: Option<&str>, slips: &Slips) {
        self.pass(60);
        let complete = whole && reason.is_none();
        let body = Body::RoundClosed { complete, reason: reason.map(str::to_owned) };
        self.write(here, body, slips.note.clone());
    }

    /// Sees to one line after its reading.
    fn attend(&mut self, machine: &mut Machine, index: usize, found: f64) {
        let line = &mut machine.lines[index];
        let well_off = found.abs() > WELL_OFF.max(line.plan.tolerance);
        line.off_rounds = if well_off { line.off_rounds + 1 } else { 0 };
        let old = line.flow.part_age() >= f64::from(self.world.part_weeks);
        let suspect = found < -WELL_OFF && line.off_rounds >= 2 && self.chance.happens(0.4);
        // What was cleaned is caught again before it serves, but for those in a hurry.
        let mut found = if self.chance.happens(self.world.caught_after_clean) {
            self.catch_as_left(machine, index)
        } else {
            found
        };
        let line = &mut machine.lines[index];
        if found < -0.5 && self.chance.happens(0.7) {
            let subject = Subject::line(&machine.plan.key, &line.plan.key);
            line.flow.strip();
            self.note(420, subject, Body::LineCleaned {});
            found = self.catch_as_left(machine, index);
        } else if ((self.planner && old) || suspect) && !machine.plan.parts.is_empty() {
            self.replace_part(machine, index);
            found = self.catch_as_left(machine, index);
        }
        let line = &machine.lines[index];
        let tolerance = line.plan.tolerance;
        if matches!(machine.plan.adjuster, Adjuster::None) {
            if found.abs() > tolerance && line.off_rounds >= 2 {
                let subject = Subject::line(&machine.plan.key, &line.plan.key);
                self.call(
                    machine,
                    subject,
                    Repair::Line(index),
                    "portion off and not adjustable".to_owned(),
                );
            }
            return;
        }
        let mut limit = self.person.adjusts_at.unwrap_or(tolerance);
        for _attempt in 0..2 {
            // A reading under half is a fault; nobody turns a screw that far.
            if found.abs() <= limit || found < -0.5 {
                return;
            }
            if !self.adjust(machine, index, found) {
                return;
            }
            found = self.catch_as_left(machine, index);
            limit = limit.max(tolerance);
        }
    }

    /// Turns the adjuster by the whole of the reading, as people do. False if nothing was turned.
    fn adjust(&mut self, machine: &mut Machine, index: usize, deviation: f64) -> bool {
        let today = machine.shared.today();
        let line = &mut machine.lines[index];
        let wanted = -deviation / (1.0 + deviation);
        let piece = &self.pieces[line.plan.piece];
        let done = if matches!(machine.plan.adjuster, Adjuster::Taught) {
            // The draw is stopped where this measure shows the target.
            let error = match piece.shows {
                Shows::Weight { .. } => piece.error / (line.plan.density * line.container),
                Shows::Divisions { .. } | Shows::OneMark { .. } => piece.error,
            };
            let level = libm::log1p((-error / line.plan.target).max(-0.5))
                + self.chance.normal(self.world.teach_spread);
            line.flow.set_to(level - today);
            Some(Done {
                text: format!("taught at {}", line.plan.target_text),
                setting: None,
                meant: wanted,
            })
        } else {
            crew::adjust(
                &machine.plan.adjuster,
                &mut line.flow,
                line.setting,
                wanted,
                self.world,
                self.chance,
            )
        };
        let Some(done) = done else { return false };
        line.setting = done.setting.or(line.setting);
        let step = match machine.plan.adjuster {
            Adjuster::Number { step, .. } | Adjuster::Percent { step, .. } => step,
            _ => 1.0,
        };
        let percent =
            if matches!(machine.plan.adjuster, Adjuster::Percent { .. }) { " %" } else { "" };
        let setting = done.setting.map(|s| format!("{s:.*}{percent}", decimals(step)));
        let meant = Some(format!("{:+.0} %", done.meant * 100.0));
        let subject = Subject::line(&machine.plan.key, &line.plan.key);
        self.note(40, subject, Body::LineAdjusted { done: done.text, setting, meant });
        true
    }

    fn replace_part(&mut self, machine: &mut Machine, index: usize) {
        let (part, number) = self.chance.pick(&machine.plan.parts).clone();
        let line = &mut machine.lines[index];
        let subject = Subject::line(&machine.plan.key, &line.plan.key).with_part(&part);
        let found = if line.flow.worn_out() { "worn" } else { "good" };
        self.note(60, subject.clone(), Body::PartInspected { found: found.to_owned() });
        self.note(180, subject, Body::PartReplaced { number, lot: None, why: None });
        line.flow.replace_part(self.world, self.chance);
    }

    /// A technician is called next day, and mends it before the next week.
    fn call(&mut self, machine: &mut Machine, subject: Subject, repair: Repair, fault: String) {
        let Some(at) = self.next_day else { return };
        machine.called.push(repair);
        let cost =
            Some(format!("{:.2} {}", 90.0 + 10.0 * self.chance.below(9) as f64, self.currency));
        let out = Some(format!("{} h", 4 + self.chance.below(44)));
        let body = Body::TechnicianCalled { fault, cost, out };
        self.desk(at, subject, body);
    }

    fn catch_as_left(&mut self, machine: &Machine, index: usize) -> f64 {
        let (body, deviation) = self.catch(machine, index, LineState::AsLeft);
        self.record_catch(machine, index, body, false);
        deviation
    }

    /// Catches a line; gives what is written, and the relative deviation that the reader sees.
    fn catch(&mut self, machine: &Machine, index: usize, state: LineState) -> (Body, f64) {
        let line = &machine.lines[index];
        let piece = &self.pieces[if self.best_measure { line.plan.best } else { line.plan.piece }];
        let wanted = Wanted {
            recipe: line.plan.draw,
            clock: machine.plan.timing,
            offset: machine.plan.offset,
            target: line.plan.target,
            level: line.flow.level() + machine.shared.today(),
            density: line.plan.density * line.container,
            believed: line.plan.density,
        };
        let (read, shown) = draw(wanted, piece, self.person, self.world, self.chance);
        let water = line.plan.water.map(|target| {
            let wanted =
                Wanted { target, level: line.flow.water, density: 1.0, believed: 1.0, ..wanted };
            draw(wanted, piece, self.person, self.world, self.chance)
        });
        let (water, water_draw) = water.map(|(read, shown)| (read.text, shown)).unzip();
        let body = Body::CatchTaken {
            state,
            amount: read.text,
            draw: shown,
            measure: piece.key.clone(),
            water,
            water_draw,
            temperature: None,
        };
        (body, read.deviation)
    }

    /// Writes a catch down; if `slip`, with two digits swapped, and corrected next day.
    fn record_catch(&mut self, machine: &Machine, index: usize, body: Body, slip: bool) {
        let subject = Subject::line(&machine.plan.key, &machine.lines[index].plan.key);
        self.pass(50);
        match (slip.then(|| mistyped(&body)).flatten(), self.next_day) {
            (Some(wrong), Some(next_day)) => {
                let of = self.write(subject.clone(), wrong, None);
                let reason = "two digits were swapped".to_owned();
                self.desk(
                    next_day,
                    subject,
                    Body::Correction { of, reason, instead: Some(Box::new(body)) },
                );
            }
            _ => {
                self.write(subject, body, None);
            }
        }
    }

    /// Writes the first line's catch under the last line too, and withdraws it next day.
    fn wrong_line(&mut self, machine: &Machine) {
        let Some(next_day) = self.next_day else { return };
        let (body, _) = self.catch(machine, 0, LineState::AsFound);
        let last = &machine.lines[machine.lines.len() - 1];
        let subject = Subject::line(&machine.plan.key, &last.plan.key);
        self.pass(50);
        let of = self.write(subject.clone(), body, None);
        let reason = "written under the wrong line".to_owned();
        self.desk(next_day, subject, Body::Correction { of, reason, instead: None });
    }

    /// About so many seconds pass.
    fn pass(&mut self, seconds: i64) {
        let stretch = self.chance.between(0.8, 1.4);
        self.now += SignedDuration::from_millis((1000.0 * seconds as f64 * stretch) as i64);
    }

    /// About `seconds` later, something happens.
    fn note(&mut self, seconds: i64, subject: Subject, body: Body) {
        self.pass(seconds);
        self.write(subject, body, None);
    }

    fn write(&mut self, subject: Subject, body: Body, note: Option<String>) -> Uuid {
        let person = Some(self.person.name.clone());
        let entered = Entered::AtMachine;
        self.diary
            .write(Happening { at: self.now, subject, person, note, entered, body }, self.chance)
    }

    fn desk(&mut self, at: Timestamp, subject: Subject, body: Body) {
        let person = Some(self.person.name.clone());
        let happening =
            Happening { at, subject, person, note: None, entered: Entered::AtDesk, body };
        self.diary.write(happening, self.chance);
    }
}

/// The same catch with the first two different digits of its amount swapped; nothing where there are none.
fn mistyped(body: &Body) -> Option<Body> {
    let mut wrong = body.clone();
    let Body::CatchTaken { amount, .. } = &mut wrong else { return None };
    let mut bytes = amount.clone().into_bytes();
    let pair = bytes.windows(2).position(|w| {
        w[0].is_ascii_digit() && w[1].is_ascii_digit() && w[0] != w[1] && w[1] != b'0'
    })?;
    if pair > 0 {
        return None;
    }
    bytes.swap(0, 1);
    *amount = String::from_utf8(bytes).ok()?;
    Some(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn caught(amount: &str) -> Body {
        Body::CatchTaken {
            state: LineState::AsFound,
            amount: amount.to_owned(),
            draw: "6.0 s".to_owned(),
            measure: "cylinder".to_owned(),
            water: None,
            water_draw: None,
            temperature: None,
        }
    }

    #[test]
    fn a_slip_swaps_the_first_two_digits_of_a_number_only() {
        assert_eq!(mistyped(&caught("29.6 mL")), Some(caught("92.6 mL")));
        assert_eq!(mistyped(&caught("30 mL")), None);
        assert_eq!(mistyped(&caught("over the 35 mL mark")), None);
    }
}
