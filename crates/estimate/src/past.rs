//! One machine's past as numbers, and running the joint filter over it.

use crate::joint::{Behaviour, Joint, Reading, Scored};

/// Something that happened to a machine, in the order of events.
#[derive(Debug, Clone, PartialEq)]
pub enum Happened {
    /// A line was caught.
    Read(Reading),
    /// A line was adjusted by the log of a wanted ratio of flows; none where nobody wrote by how much.
    Adjusted(usize, Option<f64>),
    /// A draw was taught: the log of the mark, the measure with the variance of its error, the person.
    Taught(usize, f64, Option<(u32, f64)>, Option<u32>),
    /// A line was cleaned.
    Cleaned(usize),
    /// A line got a new part or another product: the log of its target from now on.
    Renewed(usize, f64),
    /// A line gave nothing, or less than half: a fault, and no level.
    Failed(usize),
    /// Another machine stands here now: the logs of all lines' targets.
    Swapped(Vec<f64>),
}

/// What happened on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// When, in weeks from any beginning.
    pub at: f64,
    /// What happened, in order.
    pub happened: Vec<Happened>,
}

/// A machine's past.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Past {
    /// Logs of the lines' targets at the beginning.
    pub targets: Vec<f64>,
    /// The visits, in order.
    pub visits: Vec<Visit>,
}

impl Past {
    /// How many readings it holds.
    #[must_use]
    pub fn readings(&self) -> usize {
        let read = |visit: &Visit| {
            visit.happened.iter().filter(|what| matches!(what, Happened::Read(_))).count()
        };
        self.visits.iter().map(read).sum()
    }

    /// Runs the filter over all of it, and tells of every reading what it was worth.
    pub fn run(
        &self,
        behaviour: &Behaviour,
        told: impl FnMut(&Joint, &Visit, &Reading, Scored),
    ) -> Joint {
        self.run_through(behaviour, |_, _| {}, told)
    }

    /// The same, and shows the filter as it stands just before each visit.
    pub fn run_through(
        &self,
        behaviour: &Behaviour,
        mut before_visit: impl FnMut(&Joint, &Visit),
        mut told: impl FnMut(&Joint, &Visit, &Reading, Scored),
    ) -> Joint {
        let mut joint = Joint::new(behaviour, &self.targets);
        let mut readings = Vec::new();
        let mut before = self.visits.first().map_or(0.0, |visit| visit.at);
        for visit in &self.visits {
            joint.pass(behaviour, visit.at - before);
            before = visit.at;
            before_visit(&joint, visit);
            let mut rest = &visit.happened[..];
            while let Some(first) = rest.first() {
                let reads =
                    rest.iter().take_while(|what| matches!(what, Happened::Read(_))).count();
                if reads == 0 {
                    joint.take(behaviour, first);
                    rest = &rest[1..];
                    continue;
                }
                let (now, later) = rest.split_at(reads);
                readings.clear();
                readings.extend(now.iter().filter_map(|what| match what {
                    Happened::Read(reading) if reading.line < joint.lines() => Some(*reading),
                    _ => None,
                }));
                let (scored, _) = joint.read_together(behaviour, &readings);
                for (reading, scored) in readings.iter().zip(scored) {
                    told(&joint, visit, reading, scored);
                }
                rest = later;
            }
        }
        joint
    }
}

impl Joint {
    /// Takes in what was done; readings and lines that the machine does not have are passed over.
    fn take(&mut self, behaviour: &Behaviour, what: &Happened) {
        let known = |line: usize| line < self.lines();
        match what {
            Happened::Adjusted(line, Some(meant)) if known(*line) => {
                self.adjust(behaviour, *line, *meant);
            }
            Happened::Adjusted(line, None) if known(*line) => self.adjust_unknown(behaviour, *line),
            Happened::Taught(line, mark, measure, person) if known(*line) => {
                self.teach(behaviour, *line, *mark, *measure, *person);
            }
            Happened::Cleaned(line) if known(*line) => self.clean(behaviour, *line),
            Happened::Renewed(line, target) if known(*line) => {
                self.renew(behaviour, *line, *target);
            }
            Happened::Swapped(targets) => self.swap(behaviour, targets),
            _ => {}
        }
    }
}

impl Happened {
    /// Whether it may have changed the flow of a line.
    #[must_use]
    pub fn touches(&self, line: usize) -> bool {
        match self {
            Self::Read(_) | Self::Failed(_) => false,
            Self::Adjusted(touched, _)
            | Self::Taught(touched, ..)
            | Self::Cleaned(touched)
            | Self::Renewed(touched, _) => *touched == line,
            Self::Swapped(_) => true,
        }
    }
}
