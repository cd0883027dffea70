//! `ouncewise quiz`: questions on a procedure, the answer sheet, and the form of the observed sign-off.

use ouncewise_report::{Exit, Failure, QuizReport};

use super::procedures;
use crate::args::Quiz;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Quiz, output: &Output) -> Result<Exit, Failure> {
    let language = &args.what.language;
    let named = procedures::named(&args.what)?;
    let report = ouncewise_report::quiz(&named.family, &named.procedure, &named.terms, language);
    output.result(&report, || words(&report));
    Ok(Exit::Done)
}

fn words(report: &QuizReport) -> String {
    let letter = |nth: usize| char::from(b'a' + u8::try_from(nth).unwrap_or(25).min(25));
    let mut text = format!(
        "{}\n{}\n\nName ______________________  Date ____________\n",
        report.title, report.held_to.says
    );
    for (nth, one) in report.questions.iter().enumerate() {
        text.push_str(&format!("\n{}. {}\n", nth + 1, one.ask));
        for (nth, choice) in one.choices.iter().enumerate() {
            text.push_str(&format!("   [ ] {}. {choice}\n", letter(nth)));
        }
    }
    text.push_str("\nAnswer sheet, for the trainer\n");
    let right = report.questions.iter().enumerate();
    let right: Vec<String> =
        right.map(|(nth, one)| format!("{}{}", nth + 1, letter(one.right))).collect();
    text.push_str(&format!("  {}\n", right.join("  ")));
    text.push_str("\nObserved sign-off: watched at the machine, each step done rightly\n");
    for one in &report.watched {
        let step = format!("  [ ] {}. {} {}", one.step, one.say, one.look_for);
        text.push_str(step.trim_end());
        text.push('\n');
    }
    text.push_str("\nCrew member ______________  Trainer ______________  Date ____________\n");
    text
}
