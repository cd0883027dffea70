//! What holds for all of the source: lengths, words, and who may do what.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::{Path, PathBuf};

/// Lines of a file that are not its tests.
const LONGEST: usize = 800;

fn root() -> PathBuf {
    fs::canonicalize(Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")).unwrap()
}

/// Files below a folder, with their path from the root.
fn files(below: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut open = vec![root().join(below)];
    while let Some(path) = open.pop() {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if !matches!(name.as_str(), "target" | ".git" | "__pycache__" | "venv" | "node_modules")
            {
                open.extend(fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
            }
        } else if let Ok(text) = fs::read_to_string(&path) {
            let name = path.strip_prefix(root()).unwrap().to_string_lossy().into_owned();
            found.push((name, text));
        }
    }
    found.sort();
    found
}

/// The Rust files of the crates, without their tests: those beside (`tests.rs`, `tests/`), below
/// (`mod tests`), and what only tests use.
fn sources() -> Vec<(String, String)> {
    // Documents whose examples are tests are read by a test: `files/docs.rs`.
    let test_only = |name: &str| {
        [
            "/tests/",
            "/tests.rs",
            "/benches/",
            "/examples/",
            "/fixture.rs",
            "/testing.rs",
            "/files/docs.rs",
        ]
        .iter()
        .any(|part| name.contains(part))
    };
    let sources: Vec<_> = files("crates")
        .into_iter()
        .filter(|(name, _)| name.ends_with(".rs") && !test_only(name))
        .map(|(name, text)| {
            let end = text.find("#[cfg(test)]\nmod tests {").unwrap_or(text.len());
            (name, text[..end].to_owned())
        })
        .collect();
    assert!(sources.len() > 100, "only {} files were found", sources.len());
    sources
}

/// The code of a line, without a comment.
fn code(line: &str) -> &str {
    line.split("//").next().unwrap_or_default()
}

/// Asserts that no line of the sources outside `allowed` says any of `words`.
#[track_caller]
fn only_in(allowed: &[&str], words: &[&str]) {
    let faults: Vec<String> = sources()
        .iter()
        .filter(|(name, _)| !allowed.iter().any(|a| name.starts_with(a)))
        .flat_map(|(name, text)| {
            text.lines()
                .enumerate()
                .filter(|(_, line)| words.iter().any(|word| code(line).contains(word)))
                .map(move |(i, line)| format!("{name}:{}: {}", i + 1, line.trim()))
        })
        .collect();
    assert!(faults.is_empty(), "only {allowed:?} may say {words:?}:\n{}", faults.join("\n"));
}

#[test]
fn files_are_short_and_say_what_they_are_for() {
    for (name, text) in sources() {
        assert!(text.lines().count() <= LONGEST, "{name} has {} lines", text.lines().count());
        assert!(text.starts_with("//!"), "{name} does not say first what it is for");
    }
}

#[test]
fn no_word_is_out_of_place() {
    // Put together here, so that this file does not say them.
    let banned = [
        ["milk", "shake"].concat(),
        ["TO", "DO"].concat(),
        ["FIX", "ME"].concat(),
        ["/wo", "rk/"].concat(),
        ["/tm", "p/"].concat(),
        ["crates", ".io"].concat(),
        ["pypi", ".org"].concat(),
    ];
    let mut looked_at = 0;
    for below in ["crates", "content", "docs", "checks", ".ci", "README.md", "CONTRIBUTING.md"] {
        for (name, text) in files(below) {
            looked_at += 1;
            for (i, line) in text.lines().enumerate() {
                for word in &banned {
                    // Scripts make folders of their own where the system says that such belong.
                    let scratch = line.contains("mktemp") || line.contains("TMPDIR");
                    assert!(scratch || !line.contains(word), "{name}:{} says {word}", i + 1);
                }
            }
        }
    }
    assert!(looked_at > 200, "only {looked_at} files were found");
}

#[test]
fn only_the_store_speaks_sql() {
    only_in(
        &["crates/store/"],
        &["SELECT ", "INSERT INTO", "DELETE FROM", "CREATE TABLE", "UPDATE ", "PRAGMA ", "sqlx"],
    );
}

#[test]
fn only_the_command_line_and_the_store_read_the_clock() {
    only_in(
        &["crates/cli/", "crates/store/"],
        &["SystemTime::now", "Instant::now", "Timestamp::now", "Zoned::now", "TimeZone::system"],
    );
}

#[test]
fn only_those_who_make_records_make_ids() {
    only_in(&["crates/cli/", "crates/store/", "crates/report/", "crates/web/"], &["now_v7"]);
}

#[test]
fn few_touch_files_and_the_environment() {
    only_in(
        &[
            "crates/cli/",
            "crates/store/",
            // Readings of sheets that are remembered, the port, and sheets on their way in.
            "crates/report/src/mappings.rs",
            "crates/web/src/serve.rs",
            "crates/web/src/pages/bring",
            "crates/web/src/api/sheets.rs",
        ],
        &["std::fs", "File::open", "std::env::", "std::net"],
    );
}

#[test]
fn only_the_command_line_prints() {
    only_in(&["crates/cli/"], &["println!", "print!(", "eprint!(", "stdout()", "stderr()"]);
}
