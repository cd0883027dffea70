//! Charts held against the worked examples of the NIST/SEMATECH e-Handbook, and run lengths against published tables.

mod drift;
mod examples;
mod shift;

/// Whether a figure, rounded as printed, is the printed one: half a unit of its last digit, and a little for ties.
fn printed(got: f64, want: f64, digits: i32) -> bool {
    (got - want).abs() <= 0.500_1 * 10f64.powi(-digits)
}

/// Rows of a file of numbers, without its source and its headings.
fn rows(text: &str) -> Vec<Vec<&str>> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines.map(|line| line.split(',').collect()).collect()
}
