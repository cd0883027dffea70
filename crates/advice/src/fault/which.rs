//! Which causes belong to a line: the one place that says so.

use ouncewise_measure::{Adjuster, Metering};

use super::catalogue::{Catalogue, SHIPPED};

/// How a line's machine is built, as far as its causes go.
#[derive(Debug, Clone, Copy)]
pub struct Built<'a> {
    /// The causes that its family names, by their id.
    pub named: Option<&'a str>,
    /// Key of its family.
    pub family: &'a str,
    /// What is measured on it.
    pub metering: Metering,
    /// How it is set.
    pub adjuster: &'a Adjuster,
}

/// By what causes were chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chosen {
    /// Its family names them.
    Named,
    /// They name its family.
    Family,
    /// They are for machines that meter and are set alike: they may not fit.
    Alike,
}

/// The causes for a line, with their id and by what they were chosen: those that its family names; else those that name its
/// family; else by how it is built. A draw that is taught is taken for a roller pump's, any other dose for a piston's, and what
/// flows while it is drawn, alone or with water, for one that pressure feeds.
#[must_use]
pub fn for_line(built: &Built<'_>) -> (&'static str, Catalogue, Chosen) {
    let named = built.named.and_then(shipped).map(|found| (found, Chosen::Named));
    let family = || {
        let mut all = SHIPPED.iter().filter_map(|(id, _)| shipped(id));
        let of =
            all.find(|(_, catalogue)| catalogue.families.iter().any(|own| own == built.family));
        of.map(|found| (found, Chosen::Family))
    };
    let alike = || {
        let id = match (built.adjuster, built.metering) {
            (Adjuster::Taught, _) => "roller-pump",
            (_, Metering::Dose) => "piston",
            (_, Metering::Rate | Metering::Ratio) => "pressure",
        };
        shipped(id).map(|found| (found, Chosen::Alike))
    };
    let ((id, catalogue), chosen) =
        named.or_else(family).or_else(alike).expect("what ships is read by a test");
    (id, catalogue, chosen)
}

fn shipped(id: &str) -> Option<(&'static str, Catalogue)> {
    let (id, text) = SHIPPED.iter().find(|(own, _)| *own == id)?;
    Catalogue::read(text).ok().map(|catalogue| (*id, catalogue))
}
