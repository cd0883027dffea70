//! Writes a procedure back as its text: what is read from that is the same procedure.

use std::fmt::Write as _;

use crate::procedure::{Procedure, Stage, Step, Target, UNDER};
use crate::words::Words;

/// A text in quotation marks.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

fn list(texts: &[String]) -> String {
    let texts: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
    format!("[{}]", texts.join(", "))
}

struct Text(String);

impl Text {
    fn line(&mut self, name: &str, value: &str) {
        // Writing to a text cannot fail.
        let _ = writeln!(self.0, "{name} = {value}");
    }

    fn text(&mut self, name: &str, value: Option<&str>) {
        if let Some(value) = value {
            self.line(name, &quoted(value));
        }
    }

    fn list(&mut self, name: &str, texts: &[String]) {
        if !texts.is_empty() {
            self.line(name, &list(texts));
        }
    }

    fn words(&mut self, name: &str, words: &Words) {
        for (language, sentence) in &words.0 {
            self.line(&format!("{name}.{language}"), &quoted(sentence));
        }
    }

    fn head(&mut self, name: &str) {
        let _ = write!(self.0, "\n{name}\n");
    }
}

/// The text of a procedure.
#[must_use]
pub fn write(procedure: &Procedure) -> String {
    let mut text = Text(String::new());
    text.line("kind", &quoted(procedure.kind.word()));
    text.line("family", &quoted(&procedure.family));
    text.text("frequency", procedure.frequency.map(|s| s.to_string()).as_deref());
    if procedure.lines != 1 {
        text.line("lines", &procedure.lines.to_string());
    }
    text.text("window", procedure.window.map(|s| s.to_string()).as_deref());
    text.text("contact", procedure.contact.map(|s| s.to_string()).as_deref());
    text.list("renews", &procedure.renews);
    text.list("kit", &procedure.kit);
    text.words("title", &procedure.title);
    text.words("purpose", &procedure.purpose);
    text.head("[languages]");
    for (language, standing) in &procedure.languages {
        text.line(&key(language), &quoted(&standing.word()));
    }
    if let Some(manual) = &procedure.manual {
        text.head("[manual]");
        text.line("edition", &quoted(&manual.edition));
        text.line("page", &quoted(&manual.page));
    }
    for stage in &procedure.stages {
        write_stage(&mut text, stage);
    }
    text.0
}

/// A name that may stand bare, or in quotation marks.
fn key(name: &str) -> String {
    let bare = |b: u8| b.is_ascii_alphanumeric() || b == b'-' || b == b'_';
    if !name.is_empty() && name.bytes().all(bare) { name.to_owned() } else { quoted(name) }
}

fn write_stage(text: &mut Text, stage: &Stage) {
    text.head("[[stage]]");
    text.line("id", &quoted(&stage.id));
    text.line("over", &quoted(stage.over.word()));
    if stage.sent {
        text.line("sent", "true");
    }
    text.words("title", &stage.title);
    if stage.steps.is_empty() {
        text.line("step", "[]");
    }
    for step in &stage.steps {
        text.head("[[stage.step]]");
        write_step(text, step);
    }
}

fn write_step(text: &mut Text, step: &Step) {
    text.text("use", step.passage.as_deref());
    text.text("id", step.id.as_deref());
    if !step.under.is_empty() {
        let word = |rule| UNDER.iter().find(|(_, own)| own == rule).map_or("", |(word, _)| word);
        let words: Vec<String> = step.under.iter().map(|rule| word(rule).to_owned()).collect();
        text.list("under", &words);
    }
    if !step.phrases.is_empty() {
        text.line("do", &quoted(&crate::story::acts(step)));
    }
    text.words("say", &step.say);
    text.words("look_for", &step.look_for);
    text.text("picture", step.picture.as_deref());
    text.list("reads", &step.reads);
    text.list("uses", &step.uses);
    text.list("with", &step.with);
    text.list("cautions", &step.cautions);
    text.text("time", step.time.map(|time| time.to_string()).as_deref());
    if !step.answers.is_empty() {
        let one = |(name, target): &(String, Target)| {
            format!("{} = {}", key(name), quoted(target.word()))
        };
        let answers: Vec<String> = step.answers.iter().map(one).collect();
        text.line("answers", &format!("{{ {} }}", answers.join(", ")));
    }
    text.text("then", step.then.as_ref().map(Target::word));
    if let Some(times) = step.at_most {
        text.line("at_most", &times.to_string());
    }
    text.text("or_else", step.or_else.as_ref().map(Target::word));
    if step.stop {
        text.line("stop", "true");
    }
}
