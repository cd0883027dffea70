//! The act, its reason and what is expected of it, in plain sentences with their numbers.

use ouncewise_estimate::stands::{Seen, Stands};
use ouncewise_estimate::{ActKind, Told};
use ouncewise_measure::print::Sentence;
use ouncewise_measure::{Setup, print};

use super::common::Moved;
use crate::decide::{Act, Advised};
use crate::shared::Suspect;

/// What there is to say of one line.
pub struct About<'a> {
    pub stands: &'a Stands,
    /// With the direction in which it was last adjusted.
    pub setup: &'a Setup,
    pub advised: &'a Advised,
    pub seen: &'a Seen,
    /// Over how many weeks chances are told.
    pub weeks: u32,
    /// Where it moved with others.
    pub share: Option<Share<'a>>,
    /// The wear part that is due first.
    pub part: Option<&'a str>,
    /// What its latest catch read, as a fraction over the target, where it read a number.
    pub read: Option<f64>,
}

/// `4.1 standard deviations`; a mixture of more is not worth its digits.
fn deviations(surprise: f64) -> String {
    match surprise.abs() {
        far if far < 10.0 => format!("{far:.1} standard deviations"),
        _ => "more than 10 standard deviations".to_owned(),
    }
}

/// What the line moved with.
pub struct Share<'a> {
    pub moved: &'a Moved,
    /// Lines of the machine.
    pub of: usize,
    /// The one measure.
    pub measure: Option<&'a String>,
}

impl About<'_> {
    /// The kind of the one act.
    pub fn kind(&self) -> ActKind {
        match self.advised.act {
            Act::LeaveAlone => ActKind::LeaveAlone,
            Act::CatchAgain => ActKind::CatchAgain,
            Act::SeeToShared => ActKind::SeeToShared,
            Act::Adjust(_) | Act::Teach(_) if self.instruction().is_none() => ActKind::Call,
            Act::Adjust(_) | Act::Teach(_) => ActKind::Adjust,
            Act::Clean => ActKind::Clean,
            Act::Replace => ActKind::Replace,
            Act::Call => ActKind::Call,
        }
    }

    /// The one act in a sentence.
    pub fn advice(&self) -> Sentence {
        match self.kind() {
            ActKind::LeaveAlone => "leave it alone".into(),
            ActKind::SeeToShared => {
                format!("{}; adjust none of these lines yet", self.where_to_look()).into()
            }
            ActKind::Adjust => self.instruction().unwrap_or_default(),
            ActKind::Clean => {
                "clean it thoroughly, then catch it again before anything is adjusted".into()
            }
            ActKind::Replace => {
                format!("replace its {}, then catch it and set it", self.the_part()).into()
            }
            ActKind::Call => "call the technician: the crew cannot set this line".into(),
            _ => self.again(),
        }
    }

    /// Another catch.
    pub fn again(&self) -> Sentence {
        "catch it once more, as found, before anything is adjusted".into()
    }

    fn the_part(&self) -> &str {
        self.part.unwrap_or("wear part")
    }

    fn instruction(&self) -> Option<Sentence> {
        let change = match self.advised.act {
            Act::Adjust(by) => libm::expm1(by),
            Act::Teach(over) => return self.setup.teaching(libm::expm1(over)),
            _ => return None,
        };
        self.setup.adjustment(change).map(|adjustment| adjustment.instruction)
    }

    fn where_to_look(&self) -> String {
        const MACHINE: &str = "the machine's supply, pressure and cold";
        let Some(share) = &self.share else { return String::new() };
        match (share.moved.suspect, share.measure) {
            (Suspect::NewMeasure(_), Some(measure)) => format!(
                "catch one of them with another measure: “{measure}” was not used here before; then look to {MACHINE}"
            ),
            (Suspect::NewPerson(_), _) => format!(
                "have somebody else catch one of them: who read them did not read this machine before; then look to {MACHINE}"
            ),
            (_, Some(measure)) => format!(
                "look to what they share: {MACHINE}, what was delivered last, then the measure “{measure}”"
            ),
            (_, None) => {
                format!("look to what they share: {MACHINE}, and what was delivered last")
            }
        }
    }

    /// Why: what the two statements say against each other.
    pub fn contrary(&self, catch: Told) -> Sentence {
        Sentence::from(format!(
            "its last catch by itself shows it {}, and its history says {}: ",
            catch.words(),
            self.stands.verdict.words(),
        ))
        .then(self.pours())
    }

    /// Why, in one sentence with its numbers.
    pub fn reason(&self) -> Sentence {
        let sure = print::probability(self.stands.probability_on_target, self.setup.risk);
        let pours = self.pours();
        let band = format!("within ±{} %", print::significant(100.0 * self.setup.aim.tolerance, 3));
        match self.kind() {
            ActKind::LeaveAlone if self.stands.verdict == Told::OnTarget => {
                let next = self.next();
                pours.then(format!(", {sure} sure to be {band}; {next} to be off a week later"))
            }
            ActKind::LeaveAlone => pours.then(format!(
                ", {sure} sure to be {band}, and touching it now would gain nothing"
            )),
            ActKind::CatchAgain => match self.seen.latest {
                Some((_, scored)) => Sentence::from(format!(
                    "its last reading{} lies {} from what its history led to expect, and is caught again before it is believed; ",
                    self.read
                        .map_or_else(String::new, |by| format!(", {},", print::signed_percent(by))),
                    deviations(scored.surprise)
                ))
                .then(pours),
                None => pours,
            },
            ActKind::SeeToShared => {
                Sentence::from(self.moved("stand off the same way")).then("; ").then(pours)
            }
            ActKind::Clean => {
                let fault = self.seen.latest.map_or(0.0, |(_, s)| s.shocked);
                pours.then(format!(
                    "; it fell at once, with {} to be a fault and not wear",
                    print::probability(fault, self.setup.risk)
                ))
            }
            // What lasts is set, and its cause is still to be found.
            ActKind::Adjust if self.share.is_some() => Sentence::from(format!(
                "{}, so {}, and call the technician if that is not found; ",
                self.moved("still stand off the same way"),
                self.where_to_look(),
            ))
            .then(pours)
            .then(format!("; {}", self.gain())),
            ActKind::Adjust => pours.then(format!("; {}", self.gain())),
            ActKind::Replace => Sentence::from(format!(
                "its {} is past the life that its family states; ",
                self.the_part()
            ))
            .then(pours),
            _ => pours.then(format!(", {sure} sure to be {band}; {}", self.left())),
        }
    }

    /// `by 14 readings it pours 31.9 mL where 30 mL belong (+6.3 %, give or take 1.9 %)`.
    fn pours(&self) -> Sentence {
        let (stands, asked) = (self.stands, self.setup.aim.target);
        let target = asked.value();
        let readings = match stands.readings {
            1 => "one reading".to_owned(),
            many => format!("{many} readings"),
        };
        Sentence::from(format!("by {readings} it pours "))
            .then(asked.figure(stands.portion).doubted(stands.standard_uncertainty))
            .then(" where ")
            // What the recipe asks, as it is written there: `30`, `29.57`.
            .then(asked.figure(target).fine(4))
            .then(format!(
                " belong ({}, give or take {})",
                print::signed_percent(stands.portion / target - 1.0),
                print::percent(stands.standard_uncertainty / target),
            ))
    }

    fn next(&self) -> String {
        print::probability(self.stands.off_next_round, self.setup.risk)
    }

    fn left(&self) -> String {
        format!(
            "left alone it would serve off target {} of the next {} weeks",
            print::probability(self.advised.off_if_left, self.setup.risk),
            self.weeks
        )
    }

    fn gain(&self) -> String {
        format!(
            "{}; adjusted so, {}",
            self.left(),
            print::probability(self.advised.off_after, self.setup.risk)
        )
    }

    fn moved(&self, how: &str) -> String {
        let Some(share) = &self.share else { return String::new() };
        let all = share.moved.together.lines.len();
        let which = if all == share.of {
            format!("all {all} lines of the machine")
        } else {
            format!("{all} of its machine's {} lines", share.of)
        };
        let person = if share.moved.one_person && share.moved.adjust_none {
            ", all read by one person"
        } else {
            ""
        };
        format!(
            "{which} {how}, by about {}{person}",
            print::signed_percent(libm::expm1(share.moved.together.by))
        )
    }
}
