//! The practice that this project stands for: one catch of every line as found, the joint filter over
//! all of them, and the act that `advice` chooses.

use std::sync::{Arc, Mutex, PoisonError};

use ouncewise_advice::decide::{Act, Case, Line, Means, Policy, Visit as Shown, advise};
use ouncewise_advice::shared::{Apart, Together, together};
use ouncewise_estimate::ahead::{Ahead, Tails, ahead};
use ouncewise_estimate::fit::fit;
use ouncewise_estimate::joint::{Behaviour, Joint, Reading as Read, Said, Scored};
use ouncewise_estimate::past::{Happened, Past, Visit as Day};

use super::facts::{Adjuster, DrawFacts, Facts, Marks};
use super::nature::Nature;
use super::reading::{Reading, Seen};
use super::table::{Entry, live};
use super::visit::{Broken, Practice, Visit};

/// Standard deviation that an opening offset is thought to have where the family states none, seconds. Assumed.
const OFFSET: f64 = 0.2;

/// A line that cannot be set any further is called for where its chance of serving off target exceeds this.
const CALL: f64 = 0.3;

/// A reading that is farther from what was expected than this, and from the next one, was a slip.
const SLIP: f64 = 3.5;

/// How a [`Estimated`] practice decides: by the stated priors where nothing else is given.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// How the lines of its family behave.
    pub behaviour: Behaviour,
    /// When to act.
    pub policy: Policy,
    /// Takes measures for true, whatever their class allows: only to see what the doubt of them is worth.
    pub measures_are_true: bool,
}

/// Follows every line with its doubt, and touches what is worth touching.
#[derive(Debug)]
pub struct Estimated {
    settings: Settings,
    tails: Tails,
    joint: Joint,
    lines: Vec<Line>,
    week: f64,
    part_weeks: f64,
    /// When each line's part was new.
    renewed: Vec<f64>,
    /// The lines that stood off together when the latest round was over.
    together: Option<Together>,
    /// What happened so far, and where it goes at the end, if somebody wants it.
    past: Past,
    wanted: Option<Pasts>,
}

/// Where the pasts of machines are gathered.
type Pasts = Arc<Mutex<Vec<Past>>>;

/// How the lines of each family behave, a family being machines that are set alike.
#[derive(Debug, Clone, Default)]
pub struct Learnt {
    /// What holds where nothing was learnt.
    stated: Settings,
    families: [Option<Behaviour>; FAMILIES],
}

const FAMILIES: usize = 5;

fn family(facts: &Facts) -> usize {
    match facts.lines.first().map(|line| line.adjuster) {
        Some(Adjuster::Screw { .. }) => 0,
        Some(Adjuster::Taught) => 1,
        Some(Adjuster::Notches { .. }) => 2,
        Some(Adjuster::Panel { .. }) => 3,
        Some(Adjuster::None) | None => 4,
    }
}

impl Learnt {
    /// Lives through an estate of its own with the stated priors, and fits each family of enough machines to what was
    /// recorded there: as a group would from its own records of two years.
    #[must_use]
    pub fn from(
        nature: &Nature,
        seed: u64,
        size: (usize, usize),
        weeks: u32,
        threads: usize,
    ) -> Self {
        Self::about(Settings::default(), nature, seed, size, weeks, threads)
    }

    /// The same about other priors. A spread or chance that is stated as 0 stays 0.
    pub(super) fn about(
        stated: Settings,
        nature: &Nature,
        seed: u64,
        size: (usize, usize),
        weeks: u32,
        threads: usize,
    ) -> Self {
        let pasts: [Pasts; FAMILIES] = Default::default();
        let (kept, settings) = (pasts.clone(), stated.clone());
        let priors = Entry::new("learning", move |facts| {
            let pasts = kept[family(facts)].clone();
            Box::new(Estimated::new(facts, settings.clone()).kept_in(pasts))
        });
        let _ = live(nature, &priors, seed, size, weeks);
        let families = pasts.map(|pasts| {
            let pasts = pasts.lock().unwrap_or_else(PoisonError::into_inner);
            fit(&pasts, &stated.behaviour, threads).map(|fitted| fitted.behaviour)
        });
        Self { stated, families }
    }

    /// How a machine is looked after, by what was learnt of its family.
    #[must_use]
    pub fn settings(&self, facts: &Facts) -> Settings {
        let stated = self.stated.clone();
        let behaviour = self.families[family(facts)].clone().unwrap_or(stated.behaviour);
        Settings { behaviour, ..stated }
    }
}

impl Drop for Estimated {
    fn drop(&mut self) {
        if let Some(pasts) = &self.wanted {
            let past = std::mem::take(&mut self.past);
            pasts.lock().unwrap_or_else(PoisonError::into_inner).push(past);
        }
    }
}

impl Estimated {
    /// For one machine.
    #[must_use]
    pub fn new(facts: &Facts, settings: Settings) -> Self {
        let targets = vec![0.0; facts.lines.len()];
        let lines = facts.lines.iter().map(|line| Line {
            target: 0.0,
            tolerance: line.tolerance,
            means: match line.adjuster {
                Adjuster::Screw { step, .. }
                | Adjuster::Notches { step }
                | Adjuster::Panel { step, .. } => Means::Steps(step),
                Adjuster::Taught => {
                    Means::Taught(!matches!(facts.measures[line.measure].marks, Marks::One))
                }
                Adjuster::None => Means::None,
            },
            measure: None,
            person: None,
            part_due: None,
        });
        Self {
            joint: Joint::new(&settings.behaviour, &targets),
            lines: lines.collect(),
            tails: Tails::default(),
            week: 0.0,
            part_weeks: facts.part_weeks,
            renewed: vec![0.0; targets.len()],
            together: None,
            past: Past { targets, visits: Vec::new() },
            wanted: None,
            settings,
        }
    }

    /// The same, and its past is kept when it ends: to learn from.
    fn kept_in(mut self, pasts: Pasts) -> Self {
        self.wanted = Some(pasts);
        self
    }

    fn note(&mut self, what: Happened) {
        if self.wanted.is_some()
            && let Some(day) = self.past.visits.last_mut()
        {
            day.happened.push(what);
        }
    }

    /// A measure as the filter takes it.
    fn measure(&self, reading: &Reading) -> Option<(u32, f64)> {
        let measure = u32::try_from(reading.measure).unwrap_or(u32::MAX);
        (!self.settings.measures_are_true).then_some((measure, reading.class_variance))
    }

    /// A reading as the filter takes it.
    fn read(&self, facts: &Facts, reading: &Reading) -> Option<Read> {
        let (mut shift, mut variance) = (0.0, reading.variance);
        if let (DrawFacts::Seconds { recipe, offset }, Some(seconds)) =
            (facts.lines[reading.line].draw, reading.seconds)
        {
            // An offset pours nothing: what ran shorter than the recipe seems to pour less.
            let inverse = 1.0 / seconds - 1.0 / recipe;
            match offset {
                Some(late) if seconds > late => {
                    shift = libm::log((recipe - late) / recipe * seconds / (seconds - late));
                }
                _ => variance += (OFFSET * inverse) * (OFFSET * inverse),
            }
        }
        let said = match reading.seen {
            Seen::Amount(log) => Said::Value(log + shift, variance),
            Seen::Between(low, high) => Said::Between(low + shift, high + shift, variance),
            Seen::Nothing => return None,
        };
        Some(Read {
            line: reading.line,
            said,
            measure: self.measure(reading),
            person: Some(u32::try_from(reading.person).unwrap_or(u32::MAX)),
        })
    }

    fn take(&mut self, facts: &Facts, reading: &Reading) -> Option<Scored> {
        let read = self.read(facts, reading)?;
        self.note(Happened::Read(read));
        Some(self.joint.read(&self.settings.behaviour, &read))
    }

    /// Catches all lines before anything is touched, and takes in what they show together.
    fn found(&mut self, visit: &mut Visit<'_>) -> Vec<Shown> {
        let facts = visit.facts().clone();
        let mut shown = vec![Shown::default(); self.lines.len()];
        let mut readings = Vec::new();
        for (line, shown) in shown.iter_mut().enumerate() {
            for _attempt in 0..2 {
                let reading = visit.catch(line);
                shown.catches += 1;
                if !reading.is_fault() {
                    self.lines[line].measure = self.measure(&reading);
                    self.lines[line].person = Some(reading.person as u32);
                    readings.extend(self.read(&facts, &reading));
                    break;
                }
                shown.fault = shown.catches == 2;
            }
        }
        let before = self.joint.clone();
        let (mut scored, moved) = self.joint.read_together(&self.settings.behaviour, &readings);
        if !moved {
            // What surprises most may be a slip of the hand: a second catch tells.
            let mut slips = false;
            for index in 0..readings.len() {
                let line = readings[index].line;
                if scored[index].surprise.abs() <= SLIP || shown[line].catches > 1 {
                    continue;
                }
                let again = visit.catch(line);
                shown[line].catches += 1;
                if let (false, Some(read)) = (again.is_fault(), self.read(&facts, &again)) {
                    let apart = distance(&readings[index], &read);
                    if apart > SLIP {
                        readings[index] = read;
                    } else {
                        readings.push(read);
                    }
                    slips = true;
                }
            }
            if slips {
                self.joint = before;
                scored = self.joint.read_together(&self.settings.behaviour, &readings).0;
            }
        }
        for (reading, scored) in readings.iter().zip(&scored) {
            self.note(Happened::Read(*reading));
            let shown = &mut shown[reading.line];
            shown.surprise = scored.surprise;
            shown.shocked = shown.shocked.max(scored.shocked);
        }
        shown
    }

    /// Does for one line what is advised, until nothing more is.
    fn act(&mut self, visit: &mut Visit<'_>, line: usize, mut shown: Shown) {
        let behaviour = self.settings.behaviour.clone();
        self.lines[line].part_due = Some(self.renewed[line] + self.part_weeks - visit.week());
        for _act in 0..4 {
            let advised = advise(&Case {
                joint: &self.joint,
                behaviour: &behaviour,
                index: line,
                line: &self.lines[line],
                visit: &shown,
                policy: &self.settings.policy,
                tails: &self.tails,
            });
            match advised.act {
                Act::LeaveAlone | Act::SeeToShared => break,
                Act::CatchAgain => self.catch_as_left(visit, line, &mut shown),
                Act::Adjust(by) => {
                    match visit.adjust(line, by) {
                        Some(asked) => {
                            self.joint.adjust(&behaviour, line, asked);
                            self.note(Happened::Adjusted(line, Some(asked)));
                        }
                        // The adjuster is at its end.
                        None if advised.off_if_left > CALL => self.call(visit, line),
                        None => {}
                    }
                    break;
                }
                Act::Teach(at) => {
                    if visit.teach(line, at) {
                        let known = &self.lines[line];
                        let (measure, person) = (known.measure, known.person);
                        self.joint.teach(&behaviour, line, at, measure, person);
                        self.note(Happened::Taught(line, at, measure, person));
                    }
                    break;
                }
                Act::Clean => {
                    visit.clean(line);
                    shown.cleaned = true;
                    self.joint.disturb(line, behaviour.shock * shown.shocked.max(0.5));
                    self.note(Happened::Adjusted(line, None));
                    self.catch_as_left(visit, line, &mut shown);
                }
                Act::Replace => {
                    visit.replace(line);
                    let weeks = visit.week() - self.renewed[line];
                    self.joint.replace(&behaviour, line, weeks);
                    let level = self.joint.level(line).mean;
                    self.note(Happened::Renewed(line, level));
                    self.renewed[line] = visit.week();
                    self.lines[line].part_due = Some(self.part_weeks);
                    self.catch_as_left(visit, line, &mut shown);
                }
                Act::Call => {
                    self.call(visit, line);
                    break;
                }
            }
        }
    }

    /// A technician mends the line and sets it to its target, so far as that succeeds.
    fn call(&mut self, visit: &mut Visit<'_>, line: usize) {
        visit.call(Broken::Line(line));
        self.joint.renew(&self.settings.behaviour, line, 0.0);
        self.note(Happened::Renewed(line, 0.0));
    }

    fn catch_as_left(&mut self, visit: &mut Visit<'_>, line: usize, shown: &mut Shown) {
        let facts = visit.facts().clone();
        let reading = visit.catch(line);
        shown.catches += 1;
        shown.fault = reading.is_fault();
        if !shown.fault
            && let Some(scored) = self.take(&facts, &reading)
        {
            shown.surprise = 0.0;
            shown.shocked = scored.shocked;
        }
    }
}

/// How far two readings of one line lie apart, in standard deviations; marks never do.
fn distance(a: &Read, b: &Read) -> f64 {
    match (a.said, b.said) {
        (Said::Value(x, u), Said::Value(y, v)) => (x - y).abs() / (u + v).sqrt(),
        _ => 0.0,
    }
}

impl Estimated {
    /// Lets time pass, catches all lines and takes in what they show; nothing is touched.
    pub(super) fn look(&mut self, visit: &mut Visit<'_>) -> Vec<Shown> {
        self.joint.pass(&self.settings.behaviour, visit.week() - self.week);
        self.week = visit.week();
        self.past.visits.push(Day { at: self.week, happened: Vec::new() });
        self.found(visit)
    }

    /// Does what is advised on what was shown.
    pub(super) fn act_on(&mut self, visit: &mut Visit<'_>, mut shown: Vec<Shown>) {
        let read: Vec<usize> = (0..self.lines.len())
            .filter(|line| shown[*line].catches > 0 && !shown[*line].fault)
            .collect();
        let now = together(&self.apart(&read));
        if let Some(now) = now.filter(|now| now.adjust_none(self.together.as_ref())) {
            for line in now.lines {
                shown[line].shared = true;
            }
        }
        for (line, shown) in shown.into_iter().enumerate() {
            self.act(visit, line, shown);
        }
        // What was set stands off no more: the next round begins from there.
        self.together = together(&self.apart(&read));
    }

    /// How far from their targets these lines stand now.
    fn apart(&self, lines: &[usize]) -> Vec<Apart> {
        let apart = |line: &usize| {
            let known = &self.lines[*line];
            let by = self.joint.level(*line).mean - known.target;
            Apart { line: *line, by, tolerance: known.tolerance }
        };
        lines.iter().map(apart).collect()
    }

    /// How a line will stand so many weeks from the latest round, if nobody touches it.
    pub(super) fn ahead(&self, line: usize, weeks: f64) -> Ahead {
        ahead(&self.settings.behaviour, self.joint.level(line), weeks, &self.tails)
    }
}

impl Practice for Estimated {
    fn round(&mut self, visit: &mut Visit<'_>) {
        let shown = self.look(visit);
        self.act_on(visit, shown);
    }
}
