//! Faults in files, shown at their place in the text.

use std::collections::BTreeMap;

use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, NamedSource, Report,
    Severity as Level,
};
use ouncewise_estate::{Fault, Severity};

/// All faults in words, each with the lines of text around it where the file is known.
pub fn render(faults: &[Fault], files: &BTreeMap<String, Vec<u8>>) -> String {
    let handler = GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor())
        .with_width(100)
        .with_context_lines(1);
    let mut text = String::new();
    for fault in faults {
        let place = &fault.place;
        let source = files.get(&place.file).and_then(|bytes| std::str::from_utf8(bytes).ok());
        let (Some(source), Some(span)) = (source, place.span.clone()) else {
            text.push_str(&format!("{fault}\n\n"));
            continue;
        };
        let mut diagnostic = MietteDiagnostic::new(format!(
            "{}:{}:{}: {}",
            place.file, place.line, place.column, fault.message
        ))
        .with_code(fault.code)
        .with_severity(match fault.severity {
            Severity::Error => Level::Error,
            Severity::Warning => Level::Warning,
        })
        .with_label(LabeledSpan::at(span, "here"));
        if let Some(hint) = &fault.hint {
            diagnostic = diagnostic.with_help(hint);
        }
        let report = Report::new(diagnostic)
            .with_source_code(NamedSource::new(&place.file, source.to_owned()));
        // Writing to a string fails only if the span lies outside the text; then one plain line says it.
        if handler.render_report(&mut text, report.as_ref()).is_err() {
            text.push_str(&format!("{fault}\n"));
        }
        text.push('\n');
    }
    text
}

/// `3 faults, 1 warning`.
pub fn count(faults: &[Fault]) -> String {
    let warnings = faults.iter().filter(|f| f.severity == Severity::Warning).count();
    let errors = faults.len() - warnings;
    let many = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    match (errors, warnings) {
        (0, 0) => "no faults".to_owned(),
        (_, 0) => many(errors, "fault"),
        (0, _) => many(warnings, "warning"),
        _ => format!("{}, {}", many(errors, "fault"), many(warnings, "warning")),
    }
}
