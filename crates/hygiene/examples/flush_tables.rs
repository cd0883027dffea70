//! Recomputes the tables of flushing, and prints them as they stand in the source: `flush_tables laminar` takes about ten
//! minutes,
//! `flush_tables pause` about five.

use std::fmt::Write as _;
use std::io::{self, Write as _};

use ouncewise_hygiene::flush::solve::{
    PAUSES, REGIMES, Rings, pause_regimes, volumes_to_residues, volumes_with_pause,
};

fn main() -> io::Result<()> {
    let text = match std::env::args().nth(1).as_deref() {
        Some("laminar") => laminar(),
        Some("pause") => pause(),
        _ => "say `laminar` or `pause`\n".into(),
    };
    io::stdout().write_all(text.as_bytes())
}

/// Rings and cells for a regime number: near the wall where it is small, short steps where it is large.
fn grid(tau: f64) -> (usize, usize) {
    match tau {
        ..3e-5 => (200, 4000),
        3e-5..3e-4 => (160, 4000),
        3e-4..3e-3 => (100, 4000),
        3e-3..3e-2 => (60, 4000),
        3e-2..0.3 => (30, 4800),
        0.3..3.0 => (20, 8000),
        _ => (16, 16_000),
    }
}

fn laminar() -> String {
    let (mut outlet, mut line) = (String::new(), String::new());
    for tau in REGIMES {
        let (rings, cells) = grid(tau);
        let (out, left) = volumes_to_residues(Rings::new(tau, rings, cells), 100.0);
        row(&mut outlet, &out);
        row(&mut line, &left);
    }
    format!(
        "pub(super) const OUTLET: [[f64; 33]; {0}] = [\n{outlet}];\n\npub(super) const LINE: [[f64; 33]; {0}] = [\n{line}];\n",
        REGIMES.len()
    )
}

fn pause() -> String {
    let mut text = String::new();
    for tau in pause_regimes() {
        text.push_str("[\n");
        for pause in PAUSES {
            row(&mut text, &volumes_with_pause(tau, pause, 80, 1600));
        }
        text.push_str("],\n");
    }
    text
}

fn row(text: &mut String, volumes: &[f64]) {
    let numbers: Vec<String> = volumes.iter().map(|volumes| format!("{volumes:.4}")).collect();
    let _ = writeln!(text, "[{}],", numbers.join(", "));
}
