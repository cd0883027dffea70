//! What a record bears on: the description of the estate, and which machines' standing.

use std::collections::{BTreeMap, BTreeSet};

use ouncewise_ledger::{Body, Record, Thing};

/// Whose standing has to be folded again.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Touched {
    /// Every machine of the group.
    pub all: bool,
    /// Every machine of these sites.
    pub sites: BTreeSet<String>,
    /// These machines.
    pub machines: BTreeMap<Machine, Lines>,
}

/// A machine's scope and key.
pub(crate) type Machine = (String, String);

/// Some lines of a machine, or all of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Lines {
    All,
    Some(BTreeSet<String>),
}

impl Lines {
    pub fn hold(&self, line: &str) -> bool {
        match self {
            Lines::All => true,
            Lines::Some(lines) => lines.contains(line),
        }
    }
}

impl Touched {
    pub fn is_empty(&self) -> bool {
        !self.all && self.sites.is_empty() && self.machines.is_empty()
    }

    /// Adds what `record` bears on. For a correction, `target` is the machine that the
    /// corrected record is about: `None` where that record is not here yet.
    pub fn add(&mut self, record: &Record, shapes: bool, target: Option<Option<&str>>) {
        let scope = record.scope.as_str();
        let machine = match (&record.subject.machine, &record.body) {
            (Some(machine), _) => Some(machine.as_str()),
            (None, Body::Configured { thing: Thing::Machine, key, .. })
            | (None, Body::Retired { thing: Thing::Machine, key }) => Some(key.as_str()),
            (None, Body::Correction { .. }) => match target {
                // It waits for its record: that one will bring it to bear.
                None => return,
                Some(machine) => machine,
            },
            (None, _) => None,
        };
        if shapes && record.scope.is_group() {
            self.all = true;
        } else if let Some(machine) = machine {
            let lines = self
                .machines
                .entry((scope.to_owned(), machine.to_owned()))
                .or_insert(Lines::Some(BTreeSet::new()));
            // What is said of one line bears on no other. A correction may be of another line's record.
            match (&record.subject.line, lines) {
                (Some(line), Lines::Some(lines))
                    if !shapes && !matches!(record.body, Body::Correction { .. }) =>
                {
                    lines.insert(line.clone());
                }
                (_, lines) => *lines = Lines::All,
            }
        } else if shapes
            || matches!(record.body, Body::MeasureReplaced { .. } | Body::Correction { .. })
        {
            self.sites.insert(scope.to_owned());
        }
    }
}

/// Whether a record describes the estate, and so belongs to its fold. A correction does when
/// the record it corrects does; whoever knows that record decides.
pub(crate) fn shapes(body: &Body) -> bool {
    matches!(
        body,
        Body::Configured { .. }
            | Body::Retired { .. }
            | Body::MachineSwapped { .. }
            | Body::MachinePaused {}
            | Body::MachineReopened {}
            | Body::ProductChanged { .. }
            | Body::LineAdjusted { setting: Some(_), .. }
    )
}
