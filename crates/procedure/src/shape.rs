//! What is plain from the text without following it: answers, ends, languages, kit, readings, time.

use std::collections::BTreeSet;

use crate::check::{Finding, at_step};
use crate::estimate;
use crate::kit;
use crate::model::program::{Placed, Program, Spot};
use crate::phrase::{Phrase, Supply};
use crate::procedure::Over;
use crate::rule::Rule;
use crate::verb::Verb;
use crate::words::Words;

pub(crate) fn findings(program: &Program<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for spot in program.spots() {
        step(program, spot, &mut findings);
    }
    languages(program, &mut findings);
    kit_equals_use(program, &mut findings);
    readings(program, &mut findings);
    times(program, &mut findings);
    // A passage that stands in two places is told of once.
    let mut seen = BTreeSet::new();
    findings.retain(|f| {
        let place = (f.place.file.clone(), f.place.line, f.place.column);
        seen.insert((place, f.rule, f.message.clone()))
    });
    findings
}

fn step(program: &Program<'_>, spot: Spot, findings: &mut Vec<Finding>) {
    let placed = program.at(spot);
    let mut tell = |rule, detail: String| findings.push(at_step(program, spot, rule, &detail));
    let over = program.stages[usize::from(spot.0)].over;
    for (act, phrase) in placed.acts.iter().zip(&placed.step.phrases) {
        if over == Over::Machine && program.needs_line(act) {
            tell(Rule::WrongStage, format!("`{phrase}`"));
        }
    }
    let asking = |phrase: &Phrase| phrase.verb().asks();
    let before = placed.step.phrases.split_last().map_or(&[][..], |(_, before)| before);
    if before.iter().any(asking) {
        tell(Rule::TwoAnswers, String::new());
    }
    answers(placed, &mut tell);
    if placed.endless {
        tell(Rule::Endless, String::new());
    }
    if placed.too_many {
        tell(Rule::TooMuch, "a stage has at most four ways back".to_owned());
    }
    if placed.step.say.is_empty() && !placed.step.phrases.is_empty() {
        tell(Rule::NoSentence, format!("`{}`", crate::story::acts(placed.step)));
    }
}

fn answers(placed: &Placed<'_>, tell: &mut impl FnMut(Rule, String)) {
    let last = placed.step.phrases.last();
    for (name, goto) in &placed.answers {
        if goto.is_none() {
            tell(Rule::AnswerMissing, format!("`{name}`"));
        }
    }
    if matches!(last, Some(Phrase::Ask(_))) && placed.answers.len() < 2 {
        tell(Rule::AnswerMissing, "a question has two answers or more".to_owned());
    }
    for (name, _) in &placed.step.answers {
        if !placed.answers.iter().any(|(own, _)| own == name) {
            let own: Vec<&str> = placed.answers.iter().map(|(own, _)| *own).collect();
            let detail = if own.is_empty() {
                format!("`{name}`, where nothing is asked")
            } else {
                format!("the answer `{name}`; here are {}", own.join(", "))
            };
            tell(Rule::UnknownName, detail);
        }
    }
}

/// What is told of the procedure as a whole.
fn at_whole(program: &Program<'_>, rule: Rule, detail: &str) -> Finding {
    Finding {
        rule,
        place: program.procedure.at.0.clone(),
        number: None,
        message: format!("{}: {detail}", rule.title()),
        hint: rule.mend().to_owned(),
        story: None,
        lines: None,
    }
}

fn languages(program: &Program<'_>, findings: &mut Vec<Finding>) {
    let procedure = program.procedure;
    let family = program.family;
    let lacking = |words: &Words| -> Vec<&str> {
        let names = procedure.languages.iter().map(|(name, _)| name.as_str());
        names.filter(|name| !words.has(name)).collect()
    };
    let mut whole = |what: &str, words: &Words, must: bool| {
        for language in lacking(words) {
            if must || !words.is_empty() {
                findings.push(at_whole(program, Rule::Language, &format!("`{what}.{language}`")));
            }
        }
    };
    whole("title", &procedure.title, true);
    whole("purpose", &procedure.purpose, true);
    for stage in &procedure.stages {
        whole(&format!("title of stage {}", stage.id), &stage.title, false);
    }
    for key in &procedure.kit {
        if let Some(thing) = family.thing(key) {
            whole(&format!("kit.{key}.name"), &thing.name, true);
        } else if let Some(part) = key.strip_prefix("spare ").and_then(|part| family.part(part)) {
            whole(&format!("parts.{}.name", part.key), &part.name, true);
        }
    }
    let named: BTreeSet<&String> =
        program.spots().flat_map(|spot| &program.at(spot).step.cautions).collect();
    for caution in named.into_iter().filter_map(|key| family.caution(key)) {
        let parts = [
            ("hazard", &caution.hazard),
            ("consequence", &caution.consequence),
            ("avoid", &caution.avoid),
        ];
        for (name, words) in parts {
            whole(&format!("caution.{}.{name}", caution.key), words, true);
        }
    }
    for spot in program.spots() {
        let step = program.at(spot).step;
        for (name, words) in [("say", &step.say), ("look_for", &step.look_for)] {
            for language in lacking(words) {
                if !words.is_empty() {
                    let detail = format!("`{name}.{language}`");
                    findings.push(at_step(program, spot, Rule::Language, &detail));
                }
            }
        }
    }
}

fn kit_equals_use(program: &Program<'_>, findings: &mut Vec<Finding>) {
    let procedure = program.procedure;
    let used = kit::used(program.family, procedure);
    for (thing, step) in &used {
        if !procedure.kit.contains(thing) {
            let mut finding = at_whole(program, Rule::KitMissing, &format!("`{thing}`"));
            finding.place = step.at.0.clone();
            findings.push(finding);
        }
    }
    for thing in procedure.kit.iter().filter(|thing| !used.contains_key(*thing)) {
        findings.push(at_whole(program, Rule::KitUnused, &format!("`{thing}`")));
    }
}

fn readings(program: &Program<'_>, findings: &mut Vec<Finding>) {
    let mut taken: Vec<&String> = Vec::new();
    let used: BTreeSet<&String> =
        program.spots().flat_map(|spot| &program.at(spot).step.uses).collect();
    for spot in program.spots() {
        let step = program.at(spot).step;
        taken.extend(&step.reads);
        for reading in &step.reads {
            if !used.contains(reading) {
                let detail = format!("`{reading}`");
                findings.push(at_step(program, spot, Rule::ReadingUnused, &detail));
            }
        }
        for reading in step.uses.iter().filter(|reading| !taken.contains(reading)) {
            let detail = format!("`{reading}`");
            findings.push(at_step(program, spot, Rule::ReadingUnknown, &detail));
        }
    }
}

fn times(program: &Program<'_>, findings: &mut Vec<Finding>) {
    let procedure = program.procedure;
    if let Some(window) = procedure.window {
        let takes = estimate::of(program, u32::from(procedure.lines)).usual.most;
        if takes > window {
            let detail = format!(
                "{} min with {} lines, and the window is {window}",
                takes.0.div_ceil(60),
                procedure.lines
            );
            findings.push(at_whole(program, Rule::OverWindow, &detail));
        }
    }
    let sanitises =
        |phrase: &Phrase| matches!(phrase, Phrase::Solution(Verb::Mix, Supply::Sanitiser));
    let mixes = kit::steps(program.family, procedure).flat_map(|step| &step.phrases).any(sanitises);
    if mixes && program.contact.0 == 0 {
        let detail = "`contact`, the time on the sanitiser's label";
        findings.push(at_whole(program, Rule::Missing, detail));
    }
}
