//! One site through its weeks.

use jiff::civil::Date;
use jiff::{SignedDuration, Span, Timestamp};
use ouncewise_estate::Estate;
use ouncewise_ledger::{Body, Entered, Scope, Subject};

use crate::chance::Chance;
use crate::crew::Person;
use crate::diary::{Diary, Happening};
use crate::flow::Flow;
use crate::incident::{Incident, What};
use crate::plant::{self, SitePlan};
use crate::round::{Round, Slips};
use crate::sanitise::Sanitising;
use crate::state::Machine;
use crate::truth::{PieceTruth, SiteWeek, Truth};
use crate::world::World;

const NOTES: [&str; 6] = [
    "nozzle was sticky again",
    "bubbles at first, drew off a little",
    "new container half way through",
    "only two of us this morning",
    "drip tray cracked",
    "stopwatch battery low",
];

/// A site going through its weeks.
pub(crate) struct SiteRun<'e> {
    estate: &'e Estate,
    world: World,
    key: String,
    plan: SitePlan,
    script: Vec<Incident>,
    chance: Chance,
    diary: Diary,
    crew: Vec<Person>,
    machines: Vec<Machine>,
    habits: Habits,
    /// How the latest rounds are recorded, where a food code is in force.
    sanitising: Option<Sanitising>,
    start: Date,
    weeks: u32,
    week: u32,
}

struct Habits {
    weekday: i32,
    hour: i8,
    planner: bool,
    /// Whether every fourth round is read with the best measure.
    checks: bool,
    claims_until: u32,
}

impl<'e> SiteRun<'e> {
    /// Nothing, if the estate has no such site, or it has no key that a ledger takes.
    pub(crate) fn new(
        estate: &'e Estate,
        key: &str,
        world: &World,
        script: &[Incident],
        seed: u64,
        start: Date,
        weeks: u32,
    ) -> Option<Self> {
        let mut plan = plant::site(estate, key)?;
        let scope = Scope::site(key).ok()?;
        let mut chance = Chance::new(seed, key);
        plan.pieces.iter_mut().for_each(|piece| piece.renew(&mut chance));
        let crew = (0..4).map(|_| Person::new(world, &mut chance)).collect();
        let plans = std::mem::take(&mut plan.machines);
        let machines =
            plans.into_iter().map(|machine| Machine::new(machine, world, &mut chance)).collect();
        let script: Vec<Incident> = script.iter().filter(|i| i.site == key).copied().collect();
        let scripted = script.iter().find(|i| i.what == What::ClaimsUntil).map(|i| i.week);
        let paper = if chance.happens(world.paper_sites) { weeks / 3 } else { 0 };
        let habits = Habits {
            weekday: i32::try_from(chance.below(7)).expect("below 7"),
            hour: 5 + i8::try_from(chance.below(5)).expect("below 5"),
            planner: chance.happens(world.planners),
            checks: chance.happens(world.checks),
            claims_until: scripted.unwrap_or(paper),
        };
        let diary = Diary::new(key, scope, plan.zone.clone());
        let sanitising = Sanitising::new(estate, key, seed, weeks);
        let world = world.clone();
        let key = key.to_owned();
        Some(Self {
            estate,
            world,
            key,
            plan,
            script,
            chance,
            diary,
            crew,
            machines,
            habits,
            sanitising,
            start,
            weeks,
            week: 0,
        })
    }

    /// A moment of a day here, `minutes` after midnight; nothing if it lies beyond the last day.
    fn moment(&self, day: i32, minutes: i32) -> Option<Timestamp> {
        if day < 0 || day >= 7 * i32::try_from(self.weeks).ok()? {
            return None;
        }
        let date = self.start.checked_add(Span::new().days(day)).ok()?;
        let local =
            date.at(0, 0, 0, 0).checked_add(SignedDuration::from_mins(minutes.into())).ok()?;
        self.plan.zone.to_timestamp(local).ok()
    }

    fn scripted(&self) -> Vec<Incident> {
        self.script.iter().filter(|i| i.week == self.week).copied().collect()
    }

    fn live(&mut self) -> SiteWeek {
        let week = i32::try_from(self.week).expect("weeks are few");
        let day = 7 * week + self.habits.weekday;
        let jitter = i32::try_from(self.chance.below(40)).expect("below 40");
        let begin = 60 * i32::from(self.habits.hour) + jitter;
        let incidents = self.scripted();
        self.change_crew();
        for machine in &mut self.machines {
            machine.pass_week(&self.world, &mut self.chance);
        }
        self.containers(day);
        self.happen(&incidents, day, begin - 30);
        let scripted = |what| incidents.iter().any(|i| i.what == what);
        let by_chance = self.chance.happens(self.world.missed_week);
        let missed = scripted(What::Missed) || (by_chance && !scripted(What::CalledAway));
        let mut truth = self.truths();
        if !missed {
            let mut minutes = begin;
            for index in 0..self.machines.len() {
                if self.machines[index].paused > 0 {
                    continue;
                }
                self.round(index, &incidents, day, minutes);
                let sanitised = self.sanitising.as_ref().is_some_and(|s| s.holds(self.week));
                minutes += if sanitised { 20 } else { 0 };
                minutes +=
                    15 + 5 * i32::try_from(self.machines[index].lines.len()).expect("few lines");
            }
        }
        self.leave(&mut truth);
        let pieces =
            self.plan.pieces.iter().map(|p| PieceTruth { measure: p.key.clone(), error: p.error });
        let done = SiteWeek {
            site: self.key.clone(),
            week: self.week,
            drafts: self.diary.close(),
            truth,
            pieces: pieces.collect(),
        };
        self.week += 1;
        done
    }

    fn round(&mut self, index: usize, incidents: &[Incident], day: i32, minutes: i32) {
        let Some(now) = self.moment(day, minutes) else { return };
        let next_day =
            self.moment(day + 1, 10 * 60 + 5 * i32::try_from(index).expect("few machines"));
        let machine = &mut self.machines[index];
        if self.week < self.habits.claims_until {
            return claims(
                machine,
                now,
                &self.crew,
                &self.world,
                &mut self.diary,
                &mut self.chance,
            );
        }
        let here = |i: &&Incident| i.machine.is_none_or(|m| m == machine.plan.key);
        let is = |what: What| incidents.iter().filter(here).any(|i| i.what == what);
        let scripted_note = incidents.iter().filter(here).find_map(|i| match i.what {
            What::Note(text) => Some(text),
            _ => None,
        });
        let chance = &mut self.chance;
        let random_note = chance.happens(self.world.note).then(|| *chance.pick(&NOTES));
        let slips = Slips {
            typo: is(What::Typo) | chance.happens(self.world.typo * machine.lines.len() as f64),
            wrong_line: is(What::WrongLine)
                | chance.happens(self.world.wrong_line * machine.lines.len() as f64),
            unfinished: chance.happens(self.world.unfinished) && !is(What::CalledAway),
            called_away: is(What::CalledAway),
            note: scripted_note.or(random_note).map(str::to_owned),
        };
        let nth = chance.below(self.crew.len());
        let (person, other) = (&self.crew[nth], &self.crew[(nth + 1) % self.crew.len()]);
        let week = self.week;
        Round {
            world: &self.world,
            chance: &mut self.chance,
            diary: &mut self.diary,
            pieces: &self.plan.pieces,
            person,
            currency: &self.plan.currency,
            now,
            next_day,
            planner: self.habits.planner,
            best_measure: self.habits.checks && self.week % 4 == 3,
            sanitising: self.sanitising.as_mut().filter(|s| s.holds(week)),
            other: &other.name,
        }
        .perform(machine, &slips);
    }

    /// Somebody leaves, and somebody new comes, about every ten weeks.
    fn change_crew(&mut self) {
        if self.chance.happens(0.1) {
            let place = self.chance.below(self.crew.len());
            self.crew[place] = Person::new(&self.world, &mut self.chance);
        }
    }

    /// Containers that are empty are changed in the days before the round.
    fn containers(&mut self, day: i32) {
        for machine in 0..self.machines.len() {
            if self.machines[machine].paused > 0 {
                continue;
            }
            for line in 0..self.machines[machine].lines.len() {
                if self.machines[machine].lines[line].container_left > 0.0 {
                    continue;
                }
                self.machines[machine].lines[line].new_container(&self.world, &mut self.chance);
                let before = 1 + i32::try_from(self.chance.below(4)).expect("below 4");
                let minutes = 600 + i32::try_from(self.chance.below(600)).expect("below 600");
                if let Some(at) = self.moment(day - before, minutes) {
                    let lot = Some(format!("L{:05}", self.chance.below(100_000)));
                    let plan = &self.machines[machine];
                    let subject = Subject::line(&plan.plan.key, &plan.lines[line].plan.key);
                    self.write(at, subject, Body::ContainerChanged { lot });
                }
            }
        }
    }

    /// Incidents of this week: those of the script, and those of chance.
    fn happen(&mut self, incidents: &[Incident], day: i32, minutes: i32) {
        let Some(at) = self.moment(day, minutes) else { return };
        for index in 0..self.machines.len() {
            self.random_incidents(index, at);
            let paused = self.machines[index].paused;
            if paused > 0 && paused < u32::MAX {
                self.machines[index].paused -= 1;
                if paused == 1 {
                    let subject = Subject::machine(&self.machines[index].plan.key);
                    self.write(at, subject, Body::MachineReopened {});
                }
            }
        }
        for incident in incidents {
            if let What::NewPiece(measure) = incident.what {
                self.new_piece(measure, at);
            }
            for index in 0..self.machines.len() {
                if incident.machine.is_none_or(|m| m == self.machines[index].plan.key) {
                    self.machine_incident(index, incident, at);
                }
            }
        }
    }

    fn new_piece(&mut self, measure: &str, at: Timestamp) {
        if let Some(piece) = self.plan.pieces.iter_mut().find(|p| p.key == measure) {
            piece.renew(&mut self.chance);
            let body = Body::MeasureReplaced { measure: measure.to_owned() };
            self.write(at, Subject::default(), body);
        }
    }

    fn random_incidents(&mut self, index: usize, at: Timestamp) {
        let (swapped, paused) = (
            self.chance.happens(self.world.swap_chance),
            self.chance.happens(self.world.pause_chance),
        );
        if self.machines[index].paused > 0 {
            return;
        }
        if swapped {
            let serial = format!("X{:06}", self.chance.below(1_000_000));
            self.swap(index, serial, at);
        } else if paused {
            let weeks = 2 + u32::try_from(self.chance.below(6)).expect("below 6");
            self.pause(index, weeks, at);
        }
        for line in 0..self.machines[index].lines.len() {
            if self.chance.happens(self.world.product_chance) && !self.estate.products.is_empty() {
                let nth = self.chance.below(self.estate.products.len());
                let product =
                    self.estate.products.keys().nth(nth).expect("below the length").to_string();
                self.change_product(index, line, &product, at);
            }
        }
    }

    fn machine_incident(&mut self, index: usize, incident: &Incident, at: Timestamp) {
        let lines: Vec<usize> = {
            let lines = self.machines[index].lines.iter().enumerate();
            lines
                .filter(|(_, l)| incident.line.is_none_or(|k| k == l.plan.key))
                .map(|(i, _)| i)
                .collect()
        };
        match incident.what {
            What::Swap(serial) => self.swap(index, serial.to_owned(), at),
            What::Pause(weeks) => self.pause(index, weeks, at),
            What::Drop(depth) => self.machines[index].shared.fail(depth),
            What::Product(product) => {
                for line in lines {
                    self.change_product(index, line, product, at);
                }
            }
            What::Clog(depth) => self.flows(index, &lines, |flow| flow.clog = depth),
            What::WearOut => self.flows(index, &lines, Flow::wear_out),
            What::Knock(change) => self.flows(index, &lines, |flow| flow.adjust(change, 0.0)),
            What::ClaimsUntil
            | What::NewPiece(_)
            | What::Typo
            | What::WrongLine
            | What::Missed
            | What::CalledAway
            | What::Note(_) => {}
        }
    }

    fn flows(&mut self, index: usize, lines: &[usize], act: impl Fn(&mut Flow)) {
        lines.iter().for_each(|line| act(&mut self.machines[index].lines[*line].flow));
    }

    fn swap(&mut self, index: usize, serial: String, at: Timestamp) {
        self.machines[index].swap(&self.world, &mut self.chance);
        let subject = Subject::machine(&self.machines[index].plan.key);
        self.write(at, subject, Body::MachineSwapped { serial, family: None });
    }

    fn pause(&mut self, index: usize, weeks: u32, at: Timestamp) {
        self.machines[index].paused = weeks;
        let subject = Subject::machine(&self.machines[index].plan.key);
        self.write(at, subject, Body::MachinePaused {});
    }

    fn change_product(&mut self, index: usize, line: usize, product: &str, at: Timestamp) {
        let density = plant::density_of(self.estate, product);
        let machine = &mut self.machines[index];
        machine.lines[line].change_product(product, density, &self.world, &mut self.chance);
        let subject = Subject::line(&machine.plan.key, &machine.lines[line].plan.key);
        self.write(at, subject, Body::ProductChanged { product: product.to_owned() });
    }

    fn write(&mut self, at: Timestamp, subject: Subject, body: Body) {
        let person = Some(self.chance.pick(&self.crew).name.clone());
        let happening =
            Happening { at, subject, person, note: None, entered: Entered::AtMachine, body };
        self.diary.write(happening, &mut self.chance);
    }

    /// What holds before anything is touched.
    fn truths(&self) -> Vec<Truth> {
        let of_machine = |machine: &Machine| {
            let shared = machine.shared.lasting();
            let in_use = machine.paused == 0;
            let of_line = move |line: &crate::state::Line| {
                let found = libm::exp(line.flow.level() + shared);
                Truth {
                    address: line.plan.address.clone(),
                    week: self.week,
                    found,
                    left: found,
                    water: line.plan.water.map(|_| libm::exp(line.flow.water)),
                    tolerance: line.plan.tolerance,
                    clogged: line.flow.clog > 0.0,
                    worn_out: line.flow.worn_out(),
                    shared,
                    in_use,
                }
            };
            machine.lines.iter().map(of_line).collect::<Vec<_>>()
        };
        self.machines.iter().flat_map(of_machine).collect()
    }

    /// Adds what holds after the round.
    fn leave(&self, truth: &mut [Truth]) {
        for (before, after) in truth.iter_mut().zip(self.truths()) {
            *before = Truth { found: before.found, ..after };
        }
    }
}

/// A round of which the log says only "OK": cleaned, but neither read nor adjusted.
fn claims(
    machine: &mut Machine,
    now: Timestamp,
    crew: &[Person],
    world: &World,
    diary: &mut Diary,
    chance: &mut Chance,
) {
    let person = chance.pick(crew).name.clone();
    for line in &mut machine.lines {
        line.flow.clean(world, chance);
        let subject = Subject::line(&machine.plan.key, &line.plan.key);
        let body = Body::ClaimMade { said: "OK".to_owned() };
        let person = Some(person.clone());
        diary.write(
            Happening { at: now, subject, person, note: None, entered: Entered::FromPaper, body },
            chance,
        );
    }
}

impl Iterator for SiteRun<'_> {
    type Item = SiteWeek;

    fn next(&mut self) -> Option<SiteWeek> {
        (self.week < self.weeks).then(|| self.live())
    }
}
