//! SIGKILL at random while four writers write; what was not answered for is sent again.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::Found;
use crate::victim::{WRITERS, furnish, hold};

pub async fn check(dir: &Path, times: u32) -> Found {
    let started = Instant::now();
    let dir = dir.join("kill");
    furnish(&dir).await?;
    let seed = 20_260_302;
    let mut random = StdRng::seed_from_u64(seed);
    // How many of each writer's records were answered for: they come in order.
    let mut answered = [0_u64; WRITERS as usize];
    let mut silent = 0;
    for round in 0..times {
        let wait = Duration::from_millis(random.random_range(5..60));
        let before = answered;
        one(&dir, wait, &mut answered)?;
        if before == answered {
            silent += 1;
        }
        if round % 20 == 19 {
            hold(&dir, &answered).await.map_err(|e| format!("after kill {round}: {e}"))?;
        }
    }
    let found = hold(&dir, &answered).await?;
    let acknowledged: u64 = answered.iter().sum();
    if silent * 4 > times {
        return Err(format!(
            "{silent} of {times} victims died before they answered once: this shows nothing"
        ));
    }
    Ok(format!(
        "killed {times} times (seed {seed}): {acknowledged} records acknowledged, 0 missing, 0 twice, {} unanswered ones kept; the chain verifies; {:.0} s",
        found - acknowledged,
        started.elapsed().as_secs_f64()
    ))
}

/// Starts a victim, lets it work for a while after its first answer, kills it, and reads all it said.
fn one(dir: &Path, wait: Duration, answered: &mut [u64]) -> Result<(), String> {
    let program = std::env::current_exe().map_err(|e| e.to_string())?;
    let mut victim = Command::new(program)
        .args(["write".as_ref(), dir.as_os_str(), "full".as_ref(), "1000000000".as_ref()])
        .args(answered.iter().map(ToString::to_string))
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|e| e.to_string())?;
    let lines = listen(&mut victim);
    let first =
        lines.recv_timeout(Duration::from_secs(20)).map_err(|e| format!("no answer: {e}"))?;
    take(&first, answered)?;
    std::thread::sleep(wait);
    victim.kill().map_err(|e| e.to_string())?;
    victim.wait().map_err(|e| e.to_string())?;
    // The pipe keeps what was said before the kill.
    lines.iter().try_for_each(|line| take(&line, answered))
}

fn listen(victim: &mut Child) -> mpsc::Receiver<String> {
    let (send, lines) = mpsc::channel();
    let out = victim.stdout.take().expect("it was piped");
    std::thread::spawn(move || {
        for line in BufReader::new(out).lines().map_while(Result::ok) {
            if send.send(line).is_err() {
                return;
            }
        }
    });
    lines
}

fn take(line: &str, answered: &mut [u64]) -> Result<(), String> {
    let (writer, n) = said(line).ok_or_else(|| format!("an odd answer: {line}"))?;
    let count = answered.get_mut(writer).ok_or("an odd writer")?;
    if *count != n {
        return Err(format!("writer {writer} answered {n} after {count}"));
    }
    *count += 1;
    Ok(())
}

/// `writer n`.
pub fn said(line: &str) -> Option<(usize, u64)> {
    let (writer, n) = line.trim().split_once(' ')?;
    Some((writer.parse().ok()?, n.parse().ok()?))
}
