//! How fast a file of catches is read to drafts, in rows a second.
//!
//! `cargo run --release -p ouncewise-estate --example catches_speed -- [ROWS]`
//! The rows are made as they are read, so what is measured holds no file in memory.
#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a measurement of speed, printed"
)]

use std::io::Read;
use std::time::Instant;

use jiff::Timestamp;
use ouncewise_estate::Estate;
use ouncewise_estate::sheets::{About, Door, Known, Row, Table, mapping};

const SITES: usize = 100;
const LINES: usize = 12;

/// Rows of catches, made as they are read.
struct Rows {
    left: usize,
    made: usize,
    buffer: Vec<u8>,
    at: usize,
}

impl Read for Rows {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        if self.at == self.buffer.len() {
            self.buffer.clear();
            self.at = 0;
            while self.buffer.len() < 1 << 16 && self.left > 0 {
                let i = self.made;
                let (site, line, day) = (i / LINES % SITES, i % LINES + 1, i / (LINES * SITES));
                let (month, day, hour) =
                    (day / 28 % 12 + 1, day % 28 + 1, 6 + day / (28 * 12) % 12);
                let row = format!(
                    "2025-{month:02}-{day:02}T{hour:02}:{:02},site-{site},counter-1,{line},{}.{},mL,7.{},as-found,Ada\n",
                    i % 60,
                    28 + i % 4,
                    i % 10,
                    i % 9
                );
                self.buffer.extend(row.as_bytes());
                self.left -= 1;
                self.made += 1;
            }
        }
        let n = out.len().min(self.buffer.len() - self.at);
        out[..n].copy_from_slice(&self.buffer[self.at..self.at + n]);
        self.at += n;
        Ok(n)
    }
}

/// A hundred sites with twelve lines each, grown from a sheet that names them.
fn estate(now: Timestamp) -> Estate {
    let mut sheet = "Date,Site,Machine,Line,Target (mL),Amount (mL),Seconds\n".to_owned();
    for site in 0..SITES {
        for line in 1..=LINES {
            sheet.push_str(&format!("2025-01-01,site-{site},counter-1,{line},30,30,7\n"));
        }
    }
    let mut table = Table::open(sheet.as_bytes()).expect("a table");
    let rows = table.take_rows(mapping::LOOKED_AT).expect("rows");
    let mut proposed =
        mapping::propose(&rows, About::default(), &Estate::default(), now).expect("a mapping");
    proposed.accept_defaults();
    proposed.set("time-zone", "Europe/Vienna").expect("a zone");
    mapping::estate_from(&proposed, &rows, &Estate::default()).expect("an estate")
}

fn main() {
    let rows: usize = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(1_000_000);
    let now: Timestamp = "2026-04-01T12:00:00Z".parse().expect("a moment");
    let estate = estate(now);
    let head = b"at,site,machine,line,amount,unit,seconds,state,by\n".to_vec();
    let start = Instant::now();
    let table = Table::open(Rows { left: rows, made: 0, buffer: head, at: 0 }).expect("a table");
    let (mut drafts, mut others) = (0, 0);
    for row in Known::open(table, Door::Catches, &estate, now).expect("columns") {
        if matches!(row, Row::Draft { .. }) { drafts += 1 } else { others += 1 }
    }
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "{drafts} drafts and {others} others in {seconds:.2} s: {:.0} rows a second",
        rows as f64 / seconds
    );
}
