//! What "saved" means, put to the test: the store is killed, loses its power, runs out of disk and may not write.
//!
//! `run` builds this program and starts it once for each promise; each prints its figure and fails on a miss.
//! The program also starts itself as its own victim (`write`).

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a check prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a check reads the clock")]

mod disk;
mod kill;
mod power;
mod trace;
mod victim;

use std::path::PathBuf;
use std::process::ExitCode;

/// What a check found.
type Found = Result<String, String>;

#[tokio::main]
async fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let word = |at: usize| args.get(at).map_or("", String::as_str);
    let dir = PathBuf::from(word(1));
    let found: Found = match word(0) {
        "write" => victim::write(&dir, &args[2..]).await,
        "kill" => kill::check(&dir, word(2).parse().unwrap_or(200)).await,
        "power" => power::check(&dir).await,
        "full" => disk::full(&dir).await,
        "readonly" => disk::read_only(&dir).await,
        _ => Err("usage: crash kill DIR TIMES | power DIR | full DIR | readonly DIR".to_owned()),
    };
    match found {
        Ok(figure) => {
            if !figure.is_empty() {
                println!("crash: {figure}");
            }
            ExitCode::SUCCESS
        }
        Err(miss) => {
            eprintln!("crash: MISSED: {miss}");
            ExitCode::FAILURE
        }
    }
}
