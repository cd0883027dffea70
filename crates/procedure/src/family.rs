//! A family's line as its procedures see it: what it may be in, which parts it has, and what its procedures share.

use serde::Serialize;

use crate::procedure::Step;
use crate::read::At;
use crate::time::Seconds;
use crate::words::Words;

/// How the power is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Isolation {
    /// A plug, kept in one's own control.
    Plug,
    /// A switch.
    Switch,
    /// Hard-wired: for a technician.
    HardWired,
    /// Nothing in it has power.
    None,
}

/// What must be opened before parts are reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cover {
    /// Each line has its own.
    Line,
    /// One for the machine.
    Machine,
    /// None.
    None,
}

/// Whether a part is lubricated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lubricant {
    /// It must be.
    Must,
    /// It may be.
    May,
    /// It never is.
    Never,
}

/// A wear part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Part {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: Words,
    /// Whether it is lubricated.
    pub lubricant: Lubricant,
    /// What takes it off, by its key in the kit.
    pub tool: Option<String>,
    /// Whether product touches it.
    pub wetted: bool,
    /// Whether all lines share it.
    pub shared: bool,
}

/// A thing of the kit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KitThing {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: Words,
    /// Whether each line has its own.
    pub per_line: bool,
}

/// A signal word of ANSI Z535.6.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Signal {
    /// Will kill or injure seriously, if not avoided.
    Danger,
    /// Could kill or injure seriously.
    Warning,
    /// Could injure slightly or moderately.
    Caution,
    /// Hurts nobody.
    Notice,
}

/// A caution: hazard, consequence, how to avoid it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// Its key.
    pub key: String,
    /// Its signal word.
    pub signal: Signal,
    /// What could hurt.
    pub hazard: Words,
    /// What it could do.
    pub consequence: Words,
    /// How to avoid it.
    pub avoid: Words,
    /// Where it was written.
    pub at: At,
}

/// Steps that several procedures share.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Passage {
    /// Its key.
    pub key: String,
    /// Its steps.
    pub steps: Vec<Step>,
}

/// How long a line may be left as it is; nothing: not at all.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Leave {
    /// With detergent or sanitiser in it.
    pub solution: Option<Seconds>,
    /// With a part off, or its cover open.
    pub open: Option<Seconds>,
}

/// A family, as its procedures see it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Family {
    /// Its key.
    pub key: String,
    /// How its power is cut.
    pub isolation: Isolation,
    /// Whether a line holds pressure.
    pub pressure: bool,
    /// What must be opened before its parts are reached.
    pub cover: Cover,
    /// What is measured: rate, dose or ratio.
    pub metering: &'static str,
    /// How it is set.
    pub adjuster: &'static str,
    /// The least run that displaces what a line holds; nothing: any.
    pub flush: Option<Seconds>,
    /// What turns the adjuster.
    pub adjust_tool: Option<String>,
    /// How long a line may be left as it is.
    pub leave: Leave,
    /// Its wear parts.
    pub parts: Vec<Part>,
    /// What its procedures may use.
    pub kit: Vec<KitThing>,
    /// Cautions that steps name.
    pub cautions: Vec<Caution>,
    /// Steps that several procedures share.
    pub passages: Vec<Passage>,
}

impl Family {
    /// A part, by its key.
    #[must_use]
    pub fn part(&self, key: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.key == key)
    }

    /// A thing of the kit, by its key.
    #[must_use]
    pub fn thing(&self, key: &str) -> Option<&KitThing> {
        self.kit.iter().find(|thing| thing.key == key)
    }

    /// A caution, by its key.
    #[must_use]
    pub fn caution(&self, key: &str) -> Option<&Caution> {
        self.cautions.iter().find(|caution| caution.key == key)
    }

    /// A passage, by its key.
    #[must_use]
    pub fn passage(&self, key: &str) -> Option<&Passage> {
        self.passages.iter().find(|passage| passage.key == key)
    }
}
