//! Whether a procedure's text holds against its family's model.

use ouncewise_estate::{Fault, Place, Severity};
use serde::Serialize;

use crate::family::Family;
use crate::leave::{self, May};
use crate::model::explore::{Broken, Explored, explore};
use crate::model::program::Program;
use crate::model::state::{END, State};
use crate::procedure::{Kind, Procedure};
use crate::rule::Rule;
use crate::shape;
use crate::story::{self, Story};
use crate::terms::Terms;

/// What a check says of a text as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The text holds against the model. It says nothing of a machine, and not that anybody followed it.
    Checked,
    /// It holds, but on some way it cannot be shown that nothing of another allergen is left.
    CannotBeShownClean,
    /// Something breaks a rule.
    Broken,
    /// Nothing breaks a rule as far as was looked, and not everything was looked at.
    NotCovered,
}

/// A rule that is broken, where, and the shortest way to it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Which rule.
    pub rule: Rule,
    /// Where in the text.
    pub place: Place,
    /// The step's number on the card; none where it is told of the end, or of the whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub number: Option<usize>,
    /// What is wrong here, in lower case and without a full stop.
    pub message: String,
    /// How to mend it.
    pub hint: String,
    /// The shortest way to it; none where it is plain from the text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub story: Option<Story>,
    /// With how many lines it was found: 1, or 2 for what carries over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lines: Option<u8>,
}

impl Finding {
    /// As any other fault in a file.
    #[must_use]
    pub fn fault(&self) -> Fault {
        Fault {
            code: self.rule.code(),
            severity: if self.rule.is_note() { Severity::Warning } else { Severity::Error },
            place: self.place.clone(),
            message: self.message.clone(),
            hint: Some(self.hint.clone()),
        }
    }
}

/// What a check found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// In one word.
    pub verdict: Verdict,
    /// What breaks a rule, by its place in the text.
    pub findings: Vec<Finding>,
    /// How many states were looked at, with one line and with two.
    pub states: [usize; 2],
}

/// Checks a procedure against its family: its shape, one line with what the machine shares, and two lines for what carries over.
#[must_use]
pub fn check(family: &Family, procedure: &Procedure, terms: &Terms) -> Report {
    let program = Program::new(family, procedure, terms);
    let mut findings = shape::findings(&program);
    let one: Explored<1> = explore(&program, terms.most);
    let two: Explored<2> = explore(&program.in_turn(), terms.most);
    for broken in &one.broken {
        findings.push(finding(&program, broken, 1));
    }
    let carried: Vec<&Broken> = two.broken.iter().filter(|b| !b.is_among(&one.broken)).collect();
    if !carried.is_empty() {
        // Told in the order of the text, if that can be looked at.
        let in_order: Explored<2> = explore(&program, terms.most);
        for broken in carried {
            let told = in_order.broken.iter().find(|b| b.is(broken)).unwrap_or(broken);
            findings.push(finding(&program, told, 2));
        }
    }
    let whole = one.whole && two.whole;
    let broke = findings.iter().any(|f| f.story.is_some() && !f.rule.is_note());
    let reached = |(stage, step): (u8, u8)| {
        let (stage, step) = (usize::from(stage), usize::from(step));
        one.reached[stage][step] || two.reached[stage][step]
    };
    let unreached: Vec<_> = program.spots().filter(|spot| !reached(*spot)).collect();
    if whole && !broke {
        // Behind what breaks a rule nothing is looked at, so that this is told only where nothing does.
        for spot in &unreached {
            findings.push(at_step(&program, *spot, Rule::Unreachable, ""));
        }
    }
    for one in leave::leaving(&program, &one).iter().filter(|one| one.may != May::Leave) {
        let stops = |spot: &(u8, u8)| {
            program.at(*spot).step.stop && story::number(&program, *spot) == one.number
        };
        if let Some(spot) = program.spots().find(stops) {
            findings.push(at_step(&program, spot, Rule::StopUnsafe, ""));
        }
    }
    let serves = |state: &State<1>| state.shared.stage == END && !state.lines[0].withheld;
    if whole && !broke && procedure.kind != Kind::TakeOut && !one.found.iter().any(serves) {
        findings.push(Finding {
            rule: Rule::Owed,
            place: procedure.at.0.clone(),
            number: None,
            message: "no way gives a line back to service".to_owned(),
            hint: "release the line where everything is as it should be".to_owned(),
            story: None,
            lines: None,
        });
    }
    if !whole {
        let numbers: Vec<String> =
            unreached.iter().map(|spot| story::number(&program, *spot).to_string()).collect();
        let what = if numbers.is_empty() {
            "every step was come to, but not in every way".to_owned()
        } else {
            format!("steps {} were not come to", numbers.join(", "))
        };
        findings.push(Finding {
            rule: Rule::NotCovered,
            place: procedure.at.0.clone(),
            number: None,
            message: format!("{} states were looked at, and {what}", terms.most),
            hint: Rule::NotCovered.mend().to_owned(),
            story: None,
            lines: None,
        });
    }
    findings.sort_by(|a, b| {
        let key = |f: &Finding| (f.place.line, f.place.column, f.rule);
        key(a).cmp(&key(b))
    });
    let errors = |f: &Finding| !f.rule.is_note() && f.rule != Rule::NotCovered;
    let verdict = if findings.iter().any(errors) {
        Verdict::Broken
    } else if !whole {
        Verdict::NotCovered
    } else if findings.iter().any(|f| f.rule == Rule::CannotShow) {
        Verdict::CannotBeShownClean
    } else {
        Verdict::Checked
    };
    Report { verdict, findings, states: [one.states, two.states] }
}

/// What is told of a step, without a story.
pub(crate) fn at_step(program: &Program<'_>, spot: (u8, u8), rule: Rule, detail: &str) -> Finding {
    let placed = program.at(spot);
    let message = if detail.is_empty() {
        rule.title().to_owned()
    } else {
        format!("{}: {detail}", rule.title())
    };
    Finding {
        rule,
        place: placed.step.at.0.clone(),
        number: Some(story::number(program, spot)),
        message,
        hint: rule.mend().to_owned(),
        story: None,
        lines: None,
    }
}

fn finding(program: &Program<'_>, broken: &Broken, lines: u8) -> Finding {
    let story = story::told(program, &broken.way, lines > 1);
    let place = match (broken.spot, story.steps.last()) {
        (Some(spot), _) => program.at(spot).step.at.0.clone(),
        (None, Some(last)) => last.place.clone(),
        (None, None) => program.procedure.at.0.clone(),
    };
    let message = match broken.spot {
        Some(_) => broken.rule.title().to_owned(),
        None => format!("at the end, {}", broken.rule.title()),
    };
    Finding {
        rule: broken.rule,
        place,
        number: broken.spot.map(|spot| story::number(program, spot)),
        message,
        hint: broken.rule.mend().to_owned(),
        story: Some(story),
        lines: Some(lines),
    }
}

/// A broken rule and the length of the shortest way to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Shortest {
    /// Which rule.
    pub rule: Rule,
    /// The step's number on the card; none at the end.
    pub number: Option<usize>,
    /// How many steps the shortest way has.
    pub steps: usize,
}

/// What is broken in the full product of one, two or three lines, in the order of the text: what [`check`] finds with one line
/// and two is validated against it. Nothing where not every state could be looked at.
#[must_use]
pub fn product(
    family: &Family,
    procedure: &Procedure,
    terms: &Terms,
    lines: u8,
) -> Option<Vec<Shortest>> {
    fn of<const N: usize>(program: &Program<'_>, most: usize) -> Option<Vec<Shortest>> {
        let explored = explore::<N>(program, most);
        let shortest = |broken: &Broken| Shortest {
            rule: broken.rule,
            number: broken.spot.map(|spot| story::number(program, spot)),
            steps: broken.way.len(),
        };
        explored.whole.then(|| explored.broken.iter().map(shortest).collect())
    }
    let program = Program::new(family, procedure, terms);
    match lines {
        1 => of::<1>(&program, terms.most),
        2 => of::<2>(&program, terms.most),
        3 => of::<3>(&program, terms.most),
        _ => None,
    }
}
