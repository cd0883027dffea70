//! A machine as it really is, and how a week passes for it.

use crate::chance::Chance;

use super::cost::Tally;
use super::facts::{Adjuster, DrawFacts, Facts};
use super::nature::Nature;
use super::people::Person;
use super::reading::Seen;

/// How a line really stands; only an [`Oracle`](super::Oracle) may know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrueLine {
    /// log(true portion / target) as served, without the effect of the day.
    pub level: f64,
    /// Whether crust narrows it.
    pub clogged: bool,
    /// Whether its part is past its life.
    pub worn_out: bool,
    /// Whether its valve or tube is split.
    pub split: bool,
    /// Whether what is done in this round is really done, and not only written down.
    pub done: bool,
}

/// A line with all that goes on inside. Levels are log(true portion / target).
#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// Where the adjuster stands.
    pub(crate) set: f64,
    pub(crate) walk: f64,
    pub(crate) wear: f64,
    wear_rate: f64,
    /// Whether wear goes on at present.
    wears: bool,
    pub(crate) part_age: f64,
    pub(crate) part_life: f64,
    pub(crate) clog: f64,
    pub(crate) split: f64,
    wrong_product: f64,
    /// What today's air takes away.
    pub(crate) air: f64,
    /// What of the next draw still comes before the container is empty, if it runs out today.
    pub(crate) empty: Option<f64>,
    /// True density of the present container over the stated.
    pub(crate) density: f64,
    /// What a change of one that is meant really does.
    pub(crate) response: f64,
    /// What a change of direction loses first.
    pub(crate) slack: f64,
    /// Direction of the last turn.
    pub(crate) turned_up: bool,
    /// Where a panel stands, from where it stood at the start.
    pub(crate) shown: f64,
    /// What was last written of it, and in the round before.
    pub(crate) written: Option<Seen>,
    pub(crate) written_before: Option<Seen>,
    /// Catches and acts of the present week, and parts so far: places in the streams of chance.
    pub(crate) catches: u64,
    pub(crate) acts: u64,
    pub(crate) parts: u64,
}

/// A machine, its kitchen and its crew.
pub(crate) struct Machine {
    pub(crate) nature: Nature,
    pub(crate) facts: Facts,
    pub(crate) lines: Vec<Line>,
    pub(crate) walk: f64,
    pub(crate) day: f64,
    pub(crate) supply: f64,
    pub(crate) excursion: f64,
    /// Seconds of a draw that pour nothing.
    pub(crate) late: f64,
    /// Own errors of the measures, mL.
    pub(crate) errors: Vec<f64>,
    pub(crate) crew: Vec<Person>,
    people: usize,
    /// Index of who does this week's round.
    pub(crate) on_duty: usize,
    /// Whether this week's round is only written down.
    pub(crate) made_up: bool,
    /// Whether this week's round is missed.
    pub(crate) missed: bool,
    /// The week, from 0.
    pub(crate) week: u32,
    /// What a technician will see to before the next week: the machine, or one line.
    pub(crate) called: Vec<Option<usize>>,
    /// What happens, whatever is done.
    truth: Chance,
    /// What catches read.
    pub(crate) reads: Chance,
    /// What acts bring.
    pub(crate) acts: Chance,
    /// How long parts live.
    pub(crate) parts: Chance,
    pub(crate) tally: Tally,
}

/// People of a machine's crew. Assumed.
const CREW: usize = 4;

/// What a blocked line loses: about a quarter still flows.
const BLOCKED: f64 = 1.4;

impl Machine {
    /// The machine of site `site`, as its seed wills.
    pub(crate) fn new(nature: &Nature, seed: u64, site: usize, lines: usize) -> Self {
        let stream = |what: &str| Chance::new(seed, &format!("proof {what} {site}"));
        let mut truth = stream("truth");
        let (facts, late) = Facts::draw(nature, lines, &mut truth);
        let fill = nature.measure_errors;
        let errors = facts
            .measures
            .iter()
            .map(|m| fill * truth.between(-m.tolerance, m.tolerance))
            .collect();
        let people: Vec<Person> =
            (0..CREW).map(|number| Person::new(number, lines, nature, &mut truth)).collect();
        let mut parts = stream("parts");
        let lines = facts
            .lines
            .iter()
            .enumerate()
            .map(|(index, line)| {
                parts.go_to((index as u64) << 20);
                let life = parts.weibull(nature.life_shape, nature.life_weeks);
                let wear = match line.draw {
                    DrawFacts::Seconds { .. } => nature.wear_valve,
                    DrawFacts::Doses { .. } => nature.wear_pump,
                };
                let (response, slack) = match line.adjuster {
                    Adjuster::Screw { .. } => (nature.screw_response, nature.slack),
                    _ => (nature.panel_response, (0.0, 0.0)),
                };
                Line::new(nature, (wear, life), (response, slack), &mut truth)
            })
            .collect();
        let mut machine = Self {
            nature: nature.clone(),
            facts,
            lines,
            walk: 0.0,
            day: truth.normal(nature.machine_day),
            supply: 0.0,
            excursion: 0.0,
            late,
            errors,
            crew: people,
            people: CREW,
            on_duty: 0,
            made_up: false,
            missed: false,
            week: 0,
            called: Vec::new(),
            truth,
            reads: stream("reads"),
            acts: stream("acts"),
            parts,
            tally: Tally::default(),
        };
        machine.begin_week();
        machine
    }

    /// What lasts of what all lines share.
    fn shared(&self) -> f64 {
        self.walk - self.supply + self.excursion
    }

    /// What a line serves, without the effect of the day.
    pub(crate) fn served(&self, line: usize) -> f64 {
        self.lines[line].own() + self.shared()
    }

    /// What a draw of a line meets today.
    pub(crate) fn today(&self, line: usize) -> f64 {
        self.served(line) + self.day - self.lines[line].air
    }

    /// Who does this week's round.
    pub(crate) fn person(&self) -> &Person {
        &self.crew[self.on_duty]
    }

    /// Counts half a week of every line as it stands.
    pub(crate) fn score_half(&mut self) {
        let prices = self.facts.prices;
        self.tally.machine_weeks += 0.5;
        for index in 0..self.lines.len() {
            let known = &self.facts.lines[index];
            let portion = libm::exp(self.served(index));
            let off = portion - 1.0;
            self.tally.line_weeks += 0.5;
            self.tally.error += 0.5 * off.abs();
            let drinks = 0.5 * known.portions;
            self.tally.money.over += drinks * known.target * off.max(0.0) * prices.product;
            if off.abs() > known.tolerance {
                self.tally.off_weeks += 0.5;
                if off < 0.0 {
                    self.tally.money.remade += drinks * prices.remade_share * prices.remade;
                }
            }
        }
    }

    /// Lets a week pass: the technician comes, everything moves, and somebody is on duty.
    pub(crate) fn pass_week(&mut self) {
        self.week += 1;
        self.technician();
        let nature = &self.nature;
        let chance = &mut self.truth;
        self.walk += nature.walk_shape.draw(nature.machine_walk, chance);
        self.day = chance.normal(nature.machine_day);
        if let Some(depth) = fault(nature.supply, nature, chance) {
            self.supply = self.supply.max(depth);
        }
        let ends = chance.happens(nature.excursion_ends);
        let sign = chance.between(-1.0, 1.0);
        let begins = fault(nature.excursion, nature, chance);
        self.excursion = match (begins, ends) {
            (Some(size), _) if self.excursion == 0.0 => size.copysign(sign),
            (_, true) => 0.0,
            _ => self.excursion,
        };
        for line in &mut self.lines {
            line.pass_week(nature, chance);
        }
        self.begin_week();
    }

    /// Who is on duty, and whether the round is done.
    fn begin_week(&mut self) {
        let chance = &mut self.truth;
        let leaver = chance.below(CREW);
        let leaves = chance.happens(self.nature.leaves);
        let newcomer = Person::new(self.people, self.lines.len(), &self.nature, chance);
        if leaves {
            self.crew[leaver] = newcomer;
            self.people += 1;
        }
        self.on_duty = chance.below(CREW);
        let makes_up = chance.happens(self.nature.makes_up);
        self.made_up = makes_up && self.crew[self.on_duty].makes_up();
        self.missed = chance.happens(self.nature.missed_week);
        for line in &mut self.lines {
            (line.catches, line.acts) = (0, 0);
            line.written_before = line.written;
        }
    }

    /// How much of a trouble a service takes away: all, half or nothing.
    pub(crate) fn service(nature: &Nature, chance: &mut Chance) -> f64 {
        let luck = chance.between(0.0, 1.0);
        if luck < nature.service_fails {
            0.0
        } else if luck < nature.service_fails + nature.service_halves {
            0.5
        } else {
            1.0
        }
    }

    fn technician(&mut self) {
        let mut called = std::mem::take(&mut self.called);
        // The supply first: a line is set right by what then comes out of it.
        called.sort_unstable();
        for what in called {
            let place = what.unwrap_or(self.lines.len());
            self.go_to_act(place, CALLED);
            let works = Self::service(&self.nature, &mut self.acts);
            let spread = self.acts.normal(self.nature.teach_spread);
            match what {
                None => self.supply *= 1.0 - works,
                Some(index) => {
                    let line = &mut self.lines[index];
                    line.clog *= 1.0 - works;
                    line.split *= 1.0 - works;
                    line.wrong_product *= 1.0 - works;
                    // Set right as it then stands, so far as the work succeeds.
                    let now = self.served(index);
                    self.lines[index].set += works * (spread - now);
                }
            }
        }
    }

    /// Goes to the place of a line's n-th act of this week.
    pub(crate) fn go_to_act(&mut self, line: usize, nth: u64) {
        self.acts.go_to(self.place(line, nth));
    }

    /// Goes to the place of a line's n-th catch of this week.
    pub(crate) fn go_to_read(&mut self, line: usize, nth: u64) {
        self.reads.go_to(self.place(line, nth));
    }

    fn place(&self, line: usize, nth: u64) -> u64 {
        (u64::from(self.week) * (self.lines.len() as u64 + 1) + line as u64) * 64 + nth.min(63)
    }
}

/// The act that stands for the technician's.
const CALLED: u64 = 63;

impl Line {
    fn new(
        nature: &Nature,
        (wear, life): (f64, f64),
        (response, slack): (f64, (f64, f64)),
        chance: &mut Chance,
    ) -> Self {
        Self {
            set: chance.normal(nature.line_start),
            walk: 0.0,
            wear: 0.0,
            wear_rate: wear * libm::exp(chance.normal(nature.wear_spread)),
            wears: chance.happens(0.5) || nature.wear_stops.0 == 0.0,
            // Wear so far has been adjusted away already.
            part_age: chance.between(0.0, 26.0).min(life),
            part_life: life,
            clog: 0.0,
            split: 0.0,
            wrong_product: 0.0,
            air: 0.0,
            empty: None,
            density: 1.0 + chance.normal(nature.density_spread),
            response: libm::exp(chance.normal(response).clamp(-2.0 * response, 2.0 * response)),
            slack: chance.between(slack.0, slack.1),
            turned_up: chance.happens(0.5),
            shown: 0.0,
            written: None,
            written_before: None,
            catches: 0,
            acts: 0,
            parts: 0,
        }
    }

    /// Whether a screw, ring or panel goes no further that way.
    pub(crate) fn at_end(&self, up: bool) -> bool {
        if up { self.set >= ENDS.1 } else { self.set <= ENDS.0 }
    }

    /// Moves a screw, ring or panel, as far as it goes.
    pub(crate) fn turn(&mut self, by: f64) {
        let (low, high) = (self.set.min(ENDS.0), self.set.max(ENDS.1));
        self.set = (self.set + by).clamp(low, high);
    }

    /// The line's own lasting level.
    pub(crate) fn own(&self) -> f64 {
        self.set + self.walk - self.wear - self.clog + self.split + self.wrong_product
    }

    /// Whether its part is past its life.
    pub(crate) fn worn_out(&self) -> bool {
        self.part_age > self.part_life
    }

    /// Draws the same number of times whatever state the line is in.
    fn pass_week(&mut self, nature: &Nature, chance: &mut Chance) {
        self.walk += nature.walk_shape.draw(nature.line_walk, chance);
        let turn = chance.between(0.0, 1.0);
        let (stops, starts) = nature.wear_stops;
        self.wears = if self.wears { turn >= stops } else { turn < starts };
        self.part_age += 1.0;
        let worn_out = self.worn_out();
        if self.wears {
            self.wear += self.wear_rate * if worn_out { nature.worn_out_factor } else { 1.0 };
        }
        if let Some(depth) = fault(nature.clog, nature, chance) {
            self.clog = self.clog.max(depth);
        }
        if chance.happens(nature.block) {
            self.clog = BLOCKED;
        }
        self.air = fault(nature.air, nature, chance).unwrap_or(0.0);
        let rest = chance.between(0.0, 0.9);
        self.empty = chance.happens(nature.empty).then_some(rest);
        let up = chance.happens(0.5);
        let density = 1.0 + chance.normal(nature.density_spread);
        let ends = chance.happens(CONTAINER_ENDS);
        let wrong = fault(nature.wrong_product, nature, chance);
        if ends {
            self.wrong_product = 0.0;
            self.density = density;
        }
        if let Some(size) = wrong {
            self.wrong_product = if up { size } else { -size };
        }
        let (split, depth) = nature.split;
        let split = split * if worn_out { WORN_OUT_SPLITS } else { 1.0 };
        if let Some(size) = fault((split, depth), nature, chance) {
            self.split = self.split.max(size);
        }
    }
}

/// Where a screw, ring or panel ends: shut to a seventh, and open to twice the portion. Assumed.
const ENDS: (f64, f64) = (-2.0, std::f64::consts::LN_2);

/// Chance per week that a container is used up: it lasts 2.5 weeks in the mean. Assumed.
const CONTAINER_ENDS: f64 = 0.4;

/// How many times likelier a part splits once its life is over. Assumed.
const WORN_OUT_SPLITS: f64 = 10.0;

/// The depth of a fault that begins this week, if it does.
fn fault((p, (low, high)): (f64, (f64, f64)), nature: &Nature, chance: &mut Chance) -> Option<f64> {
    let begins = chance.happens(p);
    let scatter = chance.between(1.0 - nature.fault_scatter, 1.0 + nature.fault_scatter);
    let depth = chance.between(low, high) * scatter;
    begins.then_some(depth)
}
