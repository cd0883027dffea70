//! A family's causes, signs and acts: a TOML file that people write, and those that ship.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use serde::Deserialize;

use super::noisy_or::{NoisyOr, OrSign, Seen};
use super::order::Step;

/// What may be wrong with machines that are built alike, how it shows, and what is done about it. In the order of keys.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    /// Its name.
    pub name: String,
    /// Keys of the families that it is for.
    pub families: Vec<String>,
    /// Where its numbers come from.
    pub basis: String,
    /// What may be wrong.
    pub causes: Vec<Cause>,
    /// How it shows.
    pub signs: Vec<Sign>,
    /// What is done about it.
    pub acts: Vec<Act>,
    /// What is opened for acts.
    pub access: Vec<Access>,
}

/// A cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// Probability that it is there on a line that somebody wonders about, before anything is seen.
    pub prior: f64,
    /// Keys of the parts that it may be.
    pub parts: Vec<String>,
}

/// A sign.
#[derive(Debug, Clone, PartialEq)]
pub struct Sign {
    /// Its key.
    pub key: String,
    /// The question for it, to be answered yes or no.
    pub ask: String,
    /// Minutes that it takes to find out.
    pub minutes: f64,
    /// Probability that it shows with none of the causes.
    pub leak: f64,
    /// For each cause, the probability that it alone, the leak aside, brings the sign about.
    pub strengths: Vec<f64>,
}

/// An act.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// Its key.
    pub key: String,
    /// What to do.
    pub does: String,
    /// Minutes that it takes.
    pub minutes: f64,
    /// Whether only a technician may do it.
    pub technician: bool,
    /// Places of the causes that it mends.
    pub mends: Vec<usize>,
    /// Place of what must be opened for it.
    pub access: Option<usize>,
}

/// What is opened once for several acts.
#[derive(Debug, Clone, PartialEq)]
pub struct Access {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// Minutes that it takes to open and to shut.
    pub minutes: f64,
}

/// A fault in a file: where, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CatalogueFault {
    /// The key that it stands at; empty where the text itself cannot be read.
    pub key: String,
    /// The line that it stands in, from 1, where it has no key.
    pub line: Option<usize>,
    /// What is wrong and how to mend it.
    pub says: String,
}

impl fmt::Display for CatalogueFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(out, "line {line}: {}", self.says),
            None => write!(out, "{}: {}", self.key, self.says),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct File {
    name: String,
    families: Vec<String>,
    basis: String,
    causes: BTreeMap<String, FileCause>,
    signs: BTreeMap<String, FileSign>,
    acts: BTreeMap<String, FileAct>,
    #[serde(default)]
    access: BTreeMap<String, FileAccess>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileCause {
    name: String,
    prior: f64,
    #[serde(default)]
    parts: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileSign {
    ask: String,
    minutes: f64,
    leak: f64,
    by: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileAct {
    does: String,
    minutes: f64,
    mends: Vec<String>,
    access: Option<String>,
    #[serde(default)]
    technician: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileAccess {
    name: String,
    minutes: f64,
}

macro_rules! catalogues {
    ($($id:literal;)*) => {
        &[$(($id, include_str!(concat!("../../../../content/faults/", $id, ".toml")))),*]
    };
}

/// Id and text of each that ships.
pub(super) const SHIPPED: &[(&str, &str)] = catalogues! {
    "piston";
    "pressure";
    "roller-pump";
};

/// Most causes of a catalogue: so that what is seen can always be weighed exactly.
pub(super) const MOST_CAUSES: usize = 20;

impl Catalogue {
    /// One that ships, by its id.
    #[must_use]
    pub fn shipped(id: &str) -> Option<Self> {
        SHIPPED.iter().find(|(own, _)| *own == id).and_then(|(_, text)| Self::read(text).ok())
    }

    /// The ids of those that ship, in order.
    pub fn ids() -> impl Iterator<Item = &'static str> {
        SHIPPED.iter().map(|(id, _)| *id)
    }

    /// From the text of a file.
    ///
    /// # Errors
    /// All faults of the file; only the first where it is not TOML or a key is missing or unknown.
    pub fn read(text: &str) -> Result<Self, Vec<CatalogueFault>> {
        let file: File = toml::from_str(text).map_err(|error| vec![unread(text, &error)])?;
        let faults = faults(&file);
        if !faults.is_empty() {
            return Err(faults);
        }
        let place = |key: &String| file.causes.keys().position(|own| own == key);
        let opened = |key: &String| file.access.keys().position(|own| own == key);
        let signs = file.signs.iter().map(|(key, sign)| Sign {
            key: key.clone(),
            ask: sign.ask.clone(),
            minutes: sign.minutes,
            leak: sign.leak,
            strengths: file.causes.keys().map(|c| sign.by.get(c).copied().unwrap_or(0.0)).collect(),
        });
        let acts = file.acts.iter().map(|(key, act)| Act {
            key: key.clone(),
            does: act.does.clone(),
            minutes: act.minutes,
            technician: act.technician,
            mends: act.mends.iter().filter_map(place).collect(),
            access: act.access.as_ref().and_then(opened),
        });
        let (signs, acts) = (signs.collect(), acts.collect());
        let causes = file.causes.into_iter().map(|(key, cause)| Cause {
            key,
            name: cause.name,
            prior: cause.prior,
            parts: cause.parts,
        });
        let access = file.access.into_iter().map(|(key, access)| Access {
            key,
            name: access.name,
            minutes: access.minutes,
        });
        Ok(Self {
            name: file.name,
            families: file.families,
            basis: file.basis,
            causes: causes.collect(),
            signs,
            acts,
            access: access.collect(),
        })
    }

    /// The place of a sign by its key.
    #[must_use]
    pub fn sign(&self, key: &str) -> Option<usize> {
        self.signs.iter().position(|sign| sign.key == key)
    }

    /// Answers to all signs before anybody has looked.
    #[must_use]
    pub fn nothing_seen(&self) -> Vec<Seen> {
        vec![Seen::Unknown; self.signs.len()]
    }

    /// What it says of causes and signs, to compute with.
    #[must_use]
    pub fn model(&self) -> NoisyOr {
        NoisyOr {
            priors: self.causes.iter().map(|cause| cause.prior).collect(),
            signs: self
                .signs
                .iter()
                .map(|sign| OrSign { leak: sign.leak, strengths: sign.strengths.clone() })
                .collect(),
        }
    }

    /// Its acts with their minutes, to be put in order.
    #[must_use]
    pub fn steps(&self) -> Vec<Step> {
        let step =
            |act: &Act| Step { cost: act.minutes, mends: act.mends.clone(), access: act.access };
        self.acts.iter().map(step).collect()
    }
}

/// A text that is not TOML, or has a key too many, too few or of the wrong sort.
fn unread(text: &str, error: &toml::de::Error) -> CatalogueFault {
    let before = error.span().and_then(|span| text.get(..span.start)).unwrap_or_default();
    let message = error.message();
    let sort =
        message.strip_prefix("invalid type: ").and_then(|rest| rest.split_once(", expected "));
    let says = match sort {
        Some((is, wanted)) => format!("this is {is}, and {wanted} is wanted"),
        None => message.to_owned(),
    };
    CatalogueFault { key: String::new(), line: Some(before.matches('\n').count() + 1), says }
}

/// Everything in a file that cannot be, each at its key.
fn faults(file: &File) -> Vec<CatalogueFault> {
    let mut faults = Vec::new();
    let mut fault =
        |key: String, says: String| faults.push(CatalogueFault { key, line: None, says });
    let is_minutes = |m: f64| m > 0.0 && m <= 1440.0;
    let minutes = "give minutes above 0 and up to 1440";
    if file.causes.is_empty() || file.causes.len() > MOST_CAUSES {
        let says = format!("there are {}: give 1 to {MOST_CAUSES}", file.causes.len());
        fault("causes".into(), says);
    }
    for (key, cause) in &file.causes {
        if !(cause.prior > 0.0 && cause.prior < 1.0) {
            let says = format!("{} is no chance: give a number between 0 and 1", cause.prior);
            fault(format!("causes.{key}.prior"), says);
        }
    }
    for (key, sign) in &file.signs {
        let at = format!("signs.{key}");
        if !is_minutes(sign.minutes) {
            fault(format!("{at}.minutes"), minutes.into());
        }
        if !(sign.leak > 0.0 && sign.leak < 1.0) {
            let says = "give a number between 0 and 1: how often it shows with none of the causes";
            fault(format!("{at}.leak"), says.into());
        }
        for (cause, strength) in &sign.by {
            if !file.causes.contains_key(cause) {
                let says = "there is no such cause: add it, or mend the key";
                fault(format!("{at}.by.{cause}"), says.into());
            } else if !(*strength > 0.0 && *strength <= 1.0) {
                let says = "give a number above 0 and up to 1; leave the cause out where it is 0";
                fault(format!("{at}.by.{cause}"), says.into());
            }
        }
    }
    for (key, act) in &file.acts {
        let at = format!("acts.{key}");
        if !is_minutes(act.minutes) {
            fault(format!("{at}.minutes"), minutes.into());
        }
        if act.mends.is_empty() {
            fault(format!("{at}.mends"), "name at least one cause that it mends".into());
        }
        for cause in act.mends.iter().filter(|cause| !file.causes.contains_key(*cause)) {
            fault(
                format!("{at}.mends"),
                format!("there is no cause {cause}: add it, or mend the key"),
            );
        }
        if let Some(access) = act.access.as_ref().filter(|a| !file.access.contains_key(*a)) {
            fault(
                format!("{at}.access"),
                format!("there is no access {access}: add it, or mend the key"),
            );
        }
    }
    for (key, access) in &file.access {
        if !is_minutes(access.minutes) {
            fault(format!("access.{key}.minutes"), minutes.into());
        }
    }
    let mended: BTreeSet<&String> = file.acts.values().flat_map(|act| &act.mends).collect();
    for key in file.causes.keys().filter(|key| !mended.contains(key)) {
        fault(format!("causes.{key}"), "no act mends it: add one".into());
    }
    faults
}
