//! When the lines of a machine stand off together: what they have in common is named, and for one visit none of them is set.
//!
//! What moves all lines at once is rarely in the lines: a new measure or a new person (then it is the reading that
//! moved), a delivery, the supply, the temperature. Much of that passes, and lines that were set against it are off
//! once it has. So at the first visit none of them is adjusted. What stays to the next visit is set, line by line:
//! to wait longer costs more than it saves (`docs/evidence.md` says how much).

/// How far a line stands from its target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// Which line.
    pub line: usize,
    /// Natural logarithm of flow over target.
    pub by: f64,
    /// How far off still serves, as a fraction.
    pub tolerance: f64,
}

/// Lines that stand off on one side.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// Which, in ascending order.
    pub lines: Vec<usize>,
    /// By how much: the middle one, natural logarithm of flow over target.
    pub by: f64,
}

/// Of fewer lines nobody can say that all moved.
pub(crate) const FEWEST: usize = 3;

/// So many of the lines that were read must stand off on one side by more than half the tolerance.
const SHARE: f64 = 2.0 / 3.0;

/// Whether the lines that were read at one visit stand off together.
#[must_use]
pub fn together(read: &[Apart]) -> Option<Together> {
    let enough = |count: usize| count >= FEWEST && count as f64 >= SHARE * read.len() as f64;
    [-1.0, 1.0].into_iter().find_map(|side| {
        let mut off: Vec<&Apart> =
            read.iter().filter(|apart| side * apart.by > 0.5 * apart.tolerance).collect();
        if !enough(off.len()) {
            return None;
        }
        off.sort_by(|a, b| a.by.total_cmp(&b.by));
        let by = off[off.len() / 2].by;
        let mut lines: Vec<usize> = off.iter().map(|apart| apart.line).collect();
        lines.sort_unstable();
        Some(Together { lines, by })
    })
}

impl Together {
    /// Whether they stood off on the same side at another visit.
    #[must_use]
    pub fn as_at(&self, other: Option<&Self>) -> bool {
        other.is_some_and(|other| other.by * self.by > 0.0)
    }

    /// Whether none of these lines is to be set: they did not stand off so at the visit before.
    #[must_use]
    pub fn adjust_none(&self, before: Option<&Self>) -> bool {
        !self.as_at(before)
    }
}

/// What lines that moved together have in common: where to look first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// The measure that all were read with, and that this machine was not read with before.
    NewMeasure(u32),
    /// The person who read all of them, and who did not read this machine before.
    NewPerson(u32),
    /// The machine: its supply, pressure and cold, or what was delivered.
    Machine,
}

/// Who read a line, and with what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Read {
    /// The measure.
    pub measure: Option<u32>,
    /// The person.
    pub person: Option<u32>,
}

/// Where to look first, by who read these lines now, and who read this machine before.
#[must_use]
pub fn suspect(now: &[Read], before: &[Read]) -> Suspect {
    // At the first visit everything is new, which tells nothing.
    let is_new = |what: fn(&Read) -> Option<u32>| {
        let first = what(now.first()?)?;
        let all = now.iter().all(|read| what(read) == Some(first));
        let known = before.iter().any(|read| what(read) == Some(first));
        (all && !known && before.iter().any(|read| what(read).is_some())).then_some(first)
    };
    match (is_new(|read| read.measure), is_new(|read| read.person)) {
        (Some(measure), _) => Suspect::NewMeasure(measure),
        (None, Some(person)) => Suspect::NewPerson(person),
        (None, None) => Suspect::Machine,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(off: &[f64]) -> Vec<Apart> {
        let apart = |(line, by): (usize, &f64)| Apart { line, by: *by, tolerance: 0.05 };
        off.iter().enumerate().map(apart).collect()
    }

    // DESIGN's order: every line on the machine moved; two thirds of at least three count for that. Common practice, no source.
    #[test]
    fn two_thirds_on_one_side_are_together() {
        let low = together(&read(&[-0.1, -0.08, 0.0, -0.06])).unwrap();
        assert_eq!((low.lines, low.by), (vec![0, 1, 3], -0.08));
        assert_eq!(together(&read(&[-0.1, -0.1, 0.1, 0.1])), None);
        assert_eq!(together(&read(&[-0.1, -0.1])), None, "of two nobody can say");
        assert_eq!(together(&read(&[0.02; 6])), None, "within half the tolerance");
    }

    #[test]
    fn none_is_set_at_the_first_visit_only() {
        let (low, high) = (together(&read(&[-0.1; 4])), together(&read(&[0.1; 4])));
        let now = low.clone().unwrap();
        assert!(now.adjust_none(None) && now.adjust_none(high.as_ref()));
        assert!(!now.adjust_none(low.as_ref()));
    }

    #[test]
    fn what_is_new_is_the_first_suspect() {
        let by = |measure: u32, person: u32| Read { measure: Some(measure), person: Some(person) };
        let before = [by(0, 0), by(0, 1)];
        assert_eq!(suspect(&[by(1, 2), by(1, 2)], &before), Suspect::NewMeasure(1));
        assert_eq!(suspect(&[by(0, 2), by(0, 2)], &before), Suspect::NewPerson(2));
        assert_eq!(suspect(&[by(0, 2), by(0, 1)], &before), Suspect::Machine);
        assert_eq!(suspect(&[by(0, 1), by(0, 1)], &before), Suspect::Machine);
        assert_eq!(suspect(&[by(1, 2), by(1, 2)], &[]), Suspect::Machine, "all is new");
    }
}
