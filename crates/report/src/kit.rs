//! What to bring along for a procedure, for those of a machine or of a whole site, and how long that takes.

use ouncewise_estate::Estate;
use ouncewise_procedure::estimate::estimate;
use ouncewise_procedure::kit::kit as brings;
use ouncewise_procedure::time::Seconds;
use ouncewise_procedure::{Family, Procedure, Terms};
use schemars::JsonSchema;
use serde::Serialize;

use crate::library::{Library, ProcedureText};
use crate::{Failure, HeldTo, many};

/// What to bring along, and how long it takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KitReport {
    /// Key of the site, where it is for one.
    pub site: Option<String>,
    /// Key of the machine, where it is for one.
    pub machine: Option<String>,
    /// What the procedures were held to.
    pub held_to: HeldTo,
    /// The procedures that are followed, each on the machines of its family.
    pub follows: Vec<KitFollows>,
    /// Machines for which no procedure is written: nothing is brought for them.
    pub without: Vec<String>,
    /// What to bring along.
    pub bring: Vec<BringReport>,
    /// How long all of it takes, machine after machine.
    pub takes: TimeReport,
}

/// A procedure that is followed, and how long it takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KitFollows {
    /// Key of its family of machines.
    pub family: String,
    /// Its key among the procedures of its family; none, where it is a file.
    pub name: Option<String>,
    /// What it is called.
    pub title: String,
    /// On how many machines.
    pub machines: usize,
    /// How long it takes on them, one after the other.
    pub takes: TimeReport,
}

/// One thing to bring along.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BringReport {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Whether it is a spare part, only needed where the old one is worn or due.
    pub spare: bool,
}

/// How long work takes.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TimeReport {
    /// For how many lines in all.
    pub lines: u32,
    /// A quick hand, where nothing is found: seconds.
    pub least: u32,
    /// A slow hand, where nothing is found: seconds.
    pub most: u32,
    /// A slow hand on the longest way: seconds.
    pub longest: u32,
    /// Where nothing is found, seconds of waiting with free hands.
    pub waiting: u32,
    /// Numbers of steps that state no time, and are not counted; of several procedures, each names its own.
    pub untimed: Vec<usize>,
    /// The same in a sentence, without a full stop.
    pub says: String,
}

/// A procedure on machines of so many lines each.
pub struct Followed<'a> {
    /// Its family.
    pub family: &'a Family,
    /// The procedure.
    pub procedure: &'a Procedure,
    /// Its key among those of its family; none, where it is a file.
    pub name: Option<&'a str>,
    /// How many lines each machine has.
    pub lines: Vec<u32>,
}

impl TimeReport {
    /// How long a procedure takes on machines of so many lines each, one after the other.
    pub(crate) fn of(family: &Family, procedure: &Procedure, terms: &Terms, lines: &[u32]) -> Self {
        let mut time = Self::default();
        for lines in lines {
            let one = estimate(family, procedure, terms, *lines);
            let seconds = [one.usual.least, one.usual.most, one.longest, one.waiting];
            time.add(*lines, seconds.map(|Seconds(seconds)| seconds));
            time.untimed = one.untimed;
        }
        time.said()
    }

    /// One after the other.
    fn sum(all: &[KitFollows]) -> Self {
        if let [one] = all {
            return one.takes.clone();
        }
        let mut time = Self::default();
        for Self { lines, least, most, longest, waiting, .. } in all.iter().map(|one| &one.takes) {
            time.add(*lines, [*least, *most, *longest, *waiting]);
        }
        time.said()
    }

    fn add(&mut self, lines: u32, seconds: [u32; 4]) {
        self.lines = self.lines.saturating_add(lines);
        let sums = [&mut self.least, &mut self.most, &mut self.longest, &mut self.waiting];
        for (sum, add) in sums.into_iter().zip(seconds) {
            *sum = sum.saturating_add(add);
        }
    }

    fn said(mut self) -> Self {
        let usual = if self.least.div_ceil(60) == self.most.div_ceil(60) {
            minutes(self.most)
        } else {
            format!("{} to {}", minutes(self.least), minutes(self.most))
        };
        self.says = usual;
        if self.waiting > 0 {
            self.says.push_str(&format!(", of which {} waiting", minutes(self.waiting)));
        }
        if self.longest > self.most {
            let longest = minutes(self.longest);
            self.says.push_str(&format!(
                "; at most {longest} where parts are found worn or a catch is off"
            ));
        }
        self
    }
}

fn minutes(seconds: u32) -> String {
    match seconds.div_ceil(60) {
        minutes @ 0..180 => format!("{minutes} min"),
        minutes => format!("{} h {} min", minutes / 60, minutes % 60),
    }
}

impl KitReport {
    /// For how many machines it is.
    #[must_use]
    pub fn machines(&self) -> usize {
        self.follows.iter().map(|one| one.machines).sum()
    }

    /// For what it is and how long that takes, in a sentence.
    #[must_use]
    pub fn says(&self) -> String {
        let lines = usize::try_from(self.takes.lines).unwrap_or(usize::MAX);
        let machines = many(self.machines(), "machine");
        format!("For {machines} with {}: {}.", many(lines, "line"), self.takes.says)
    }
}

/// What to bring along for procedures, each on its machines one after the other, and how long that takes.
#[must_use]
pub fn kit(followed: &[Followed<'_>], terms: &Terms, language: &str) -> KitReport {
    let mut bring: Vec<BringReport> = Vec::new();
    for Followed { family, procedure, lines, .. } in followed {
        for thing in lines.iter().flat_map(|lines| brings(family, procedure, 1, *lines)) {
            let each = thing.spare || family.thing(&thing.key).is_some_and(|own| own.per_line);
            let name = thing.name.of(language);
            match bring.iter_mut().find(|own| own.key == thing.key && own.name == name) {
                // One bucket or stopwatch goes from machine to machine.
                Some(own) if each => own.count = own.count.saturating_add(thing.count),
                Some(_) => {}
                None => bring.push(BringReport {
                    name: name.to_owned(),
                    key: thing.key,
                    count: thing.count,
                    spare: thing.spare,
                }),
            }
        }
    }
    let follows = followed.iter().map(|one| KitFollows {
        family: one.family.key.clone(),
        name: one.name.map(str::to_owned),
        title: one.procedure.title.of(language).to_owned(),
        machines: one.lines.len(),
        takes: TimeReport::of(one.family, one.procedure, terms, &one.lines),
    });
    let follows: Vec<KitFollows> = follows.collect();
    KitReport {
        site: None,
        machine: None,
        held_to: HeldTo::of(terms),
        takes: TimeReport::sum(&follows),
        follows,
        without: Vec::new(),
        bring,
    }
}

/// A machine of the group that was not removed, with its lines in use.
pub(crate) struct Standing<'e> {
    pub(crate) site: &'e str,
    pub(crate) machine: &'e str,
    pub(crate) family: &'e str,
    pub(crate) lines: u32,
}

/// The machines of the group, or of a site, but those that were removed.
pub(crate) fn machines<'e>(
    estate: &'e Estate,
    site: Option<&'e str>,
) -> impl Iterator<Item = Standing<'e>> {
    let sites = estate.sites.iter();
    sites
        .filter(move |(key, own)| !own.retired && site.is_none_or(|site| site == key.as_str()))
        .flat_map(|(site, own)| {
            let there = own.machines.iter().filter(|(_, own)| own.state.word() != "removed");
            there.map(move |(machine, known)| {
                let lines = known.lines.values().filter(|line| !line.retired).count();
                Standing {
                    site: site.as_str(),
                    machine: machine.as_str(),
                    family: known.family.as_str(),
                    lines: u32::try_from(lines).unwrap_or(u32::MAX),
                }
            })
        })
}

fn not_there(site: &str, machine: Option<&str>, what: &str) -> Failure {
    let place = machine.map_or_else(|| site.to_owned(), |machine| format!("{site}/{machine}"));
    Failure::missing(format!("there is no machine {what}at `{place}`"))
        .hint("the page of the site lists its machines with their families")
}

fn unread(one: &ProcedureText) -> Failure {
    Failure::data(format!("{} cannot be read", one.at()))
        .hint("mend its faults first; the check shows them")
}

/// What to bring, and how long it takes, for one procedure: on one machine, on all of a site, or on one of as many lines as the
/// text says.
///
/// # Errors
/// If there is no such machine of its family, or the text cannot be read.
pub fn procedure_kit(
    one: &ProcedureText,
    estate: &Estate,
    site: Option<&str>,
    machine: Option<&str>,
    terms: &Terms,
) -> Result<KitReport, Failure> {
    let read = one.read_under(terms);
    let Ok(judged) = &read.judged else { return Err(unread(one)) };
    let lines: Vec<u32> = match site {
        None => vec![u32::from(judged.procedure.lines)],
        Some(site) => machines(estate, Some(site))
            .filter(|own| own.family == one.family)
            .filter(|own| machine.is_none_or(|machine| machine == own.machine))
            .map(|own| own.lines)
            .collect(),
    };
    if let (Some(site), true) = (site, lines.is_empty()) {
        return Err(not_there(site, machine, &format!("of the family `{}` ", one.family)));
    }
    let (family, procedure) = (&judged.family, &judged.procedure);
    let followed = Followed { family, procedure, name: Some(&one.name), lines };
    let kit = kit(&[followed], terms, "en");
    Ok(KitReport { site: site.map(str::to_owned), machine: machine.map(str::to_owned), ..kit })
}

/// What to bring to a site, or to one of its machines, where each machine's usual procedure is followed, or another by its key.
///
/// # Errors
/// If there is no such machine, none has such a procedure, or its text cannot be read.
pub fn place_kit(
    (library, estate): (&Library, &Estate),
    (site, machine): (&str, Option<&str>),
    procedure: Option<&str>,
    terms: &Terms,
    language: &str,
) -> Result<KitReport, Failure> {
    let mut by_text: Vec<(&ProcedureText, Vec<u32>)> = Vec::new();
    let mut without = Vec::new();
    let mut any = false;
    let here = machines(estate, Some(site));
    for own in here.filter(|own| machine.is_none_or(|machine| machine == own.machine)) {
        any = true;
        let follows = match procedure {
            Some(name) => library.in_force(own.family, name),
            None => library.usual(own.family),
        };
        let Some(follows) = follows else {
            without.push(own.machine.to_owned());
            continue;
        };
        match by_text.iter_mut().find(|(known, _)| known.at() == follows.at()) {
            Some((_, lines)) => lines.push(own.lines),
            None => by_text.push((follows, vec![own.lines])),
        }
    }
    if !any {
        return Err(not_there(site, machine, ""));
    }
    if by_text.is_empty() {
        let what = procedure.map_or_else(
            || "no procedure is written for the machines there".to_owned(),
            |name| format!("no machine there has a procedure `{name}`"),
        );
        return Err(Failure::missing(what).hint("the page Procedures lists what there is"));
    }
    let read: Vec<_> =
        by_text.iter().map(|(one, lines)| (*one, one.read_under(terms), lines)).collect();
    let followed: Result<Vec<Followed<'_>>, Failure> = read
        .iter()
        .map(|(one, read, lines)| {
            let judged = read.judged.as_ref().map_err(|_| unread(one))?;
            Ok(Followed {
                family: &judged.family,
                procedure: &judged.procedure,
                name: Some(&one.name),
                lines: lines.to_vec(),
            })
        })
        .collect();
    let kit = kit(&followed?, terms, language);
    let (site, machine) = (Some(site.to_owned()), machine.map(str::to_owned));
    Ok(KitReport { site, machine, without, ..kit })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_line_needs_is_counted_for_each_and_what_is_shared_once() {
        // content/procedures/screw-trim/family.toml: a brush is `per = "line"`, the bucket is not.
        let (family, clean, _) = crate::shipped_procedure("screw-trim", "weekly-clean").unwrap();
        let of = |lines: Vec<u32>| {
            let one = Followed { family: &family, procedure: &clean, name: None, lines };
            kit(&[one], &Terms::default(), "en")
        };
        let (report, one) = (of(vec![4; 3]), of(vec![4]));
        let count = |key: &str| report.bring.iter().find(|b| b.key == key).map(|b| b.count);
        assert_eq!((count("brush"), count("bucket")), (Some(12), Some(1)));
        assert_eq!(count("spare valve-seal"), Some(12));
        let time = &report.takes;
        assert!(0 < time.least && time.least < time.most);
        assert!(time.most <= time.longest && time.waiting < time.least);
        assert_eq!((time.most, time.lines), (3 * one.takes.most, 12));
        assert!(report.says().starts_with("For 3 machines with 12 lines: "), "{}", report.says());
    }

    #[test]
    fn two_families_are_brought_for_together() {
        let (screw, clean, _) = crate::shipped_procedure("screw-trim", "weekly-clean").unwrap();
        let (roller, other, _) = crate::shipped_procedure("roller-pump", "weekly-clean").unwrap();
        let followed = [
            Followed { family: &screw, procedure: &clean, name: None, lines: vec![4, 2] },
            Followed { family: &roller, procedure: &other, name: None, lines: vec![3] },
        ];
        let report = kit(&followed, &Terms::default(), "en");
        let all = |key: &str| report.bring.iter().filter(|b| b.key == key).collect::<Vec<_>>();
        // The same bucket serves all; each line has its own brush; a part belongs to its family.
        assert_eq!((all("bucket").len(), all("bucket")[0].count), (1, 1));
        assert_eq!(all("brush").iter().map(|b| b.count).sum::<u32>(), 9);
        assert_eq!(all("spare pump-tube")[0].count, 3);
        let each: u32 = report.follows.iter().map(|one| one.takes.most).sum();
        assert_eq!((report.takes.most, report.takes.lines, report.machines()), (each, 9, 3));
    }
}
