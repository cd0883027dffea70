//! Questions before what cannot simply be done again. Never without a terminal.

use std::io::{BufRead, IsTerminal, Write};

use ouncewise_report::Failure;

/// Asks whether to go on. Without a terminal nobody can answer: then `--yes` must have been given.
pub fn go_on(question: &str, yes: bool) -> Result<bool, Failure> {
    if yes {
        return Ok(true);
    }
    if !std::io::stdin().is_terminal() {
        return Err(Failure::usage("this needs an answer, and there is no terminal to ask on")
            .hint("say yes beforehand with --yes"));
    }
    let mut err = std::io::stderr();
    let _ = write!(err, "{question} [y/N] ").and_then(|()| err.flush());
    let mut answer = String::new();
    std::io::stdin()
        .lock()
        .read_line(&mut answer)
        .map_err(|e| Failure::io(std::path::Path::new("stdin"), &e))?;
    Ok(matches!(answer.trim().to_lowercase().as_str(), "y" | "yes"))
}
