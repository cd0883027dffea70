//! What is not for a terminal has no escape bytes, and nothing waits for an answer that nobody can give.

use crate::desk::{Desk, Ran};

const ESCAPE: char = '\u{1b}';

/// Commands that would colour what they print: results, help, talk and errors.
fn colourful(desk: &Desk, more: &[&str], env: &[(&str, &str)]) -> Vec<Ran> {
    desk.write("broken/estate.toml", "[group]\nnaem = \"x\"\n");
    [
        &["week"][..],
        &["line", "rowan-end/counter-1/2"],
        &["check", "broken"],
        &["--help"],
        &["week", "--site", "nowhere"],
        &["load", "list"],
        &["demo", "--no-serve", "--top", "1"],
        &["pour"],
    ]
    .into_iter()
    .map(|args| desk.run_with(args.iter().chain(more).copied(), env))
    .collect()
}

#[test]
fn a_pipe_no_color_and_a_dumb_terminal_get_no_escapes() {
    let desk = Desk::with_catches();
    std::fs::create_dir(desk.path("broken")).unwrap();
    for (more, env) in [
        (&[][..], &[][..]),
        (&[], &[("NO_COLOR", "1")]),
        (&[], &[("TERM", "dumb")]),
        (&["--color", "never"], &[]),
    ] {
        for ran in colourful(&desk, more, env) {
            assert!(!ran.out.contains(ESCAPE) && !ran.err.contains(ESCAPE), "{}", ran.out);
        }
    }
}

#[test]
fn colour_comes_where_it_is_asked_for() {
    let desk = Desk::with_catches();
    assert!(desk.run(["week", "--color", "always"]).done().out.contains(ESCAPE));
    assert!(desk.run(["week", "--site", "x", "--color", "always"]).ends(2).err.contains(ESCAPE));
}

#[test]
fn nothing_is_asked_where_nobody_can_answer() {
    let desk = Desk::with_catches();
    desk.run(["backup", "copy.db"]).done();
    let lines = desk.read("our-group/lines.csv");
    let shorter: Vec<&str> = lines.lines().take(3).collect();
    desk.write("our-group/lines.csv", shorter.join("\n"));
    for args in [
        &["load", "undo", "1"][..],
        &["load", "estate", "our-group"],
        &["restore", "copy.db"],
        &["forget", "person", "Ada Brook"],
    ] {
        desk.run(args.iter().copied()).ends(2).says("--yes");
    }
    // Nothing was done either.
    assert_eq!(desk.run(["week", "--json"]).json()["counts"]["on_target"], 0);
    desk.run(["load", "list"]).done().prints("catches.csv");
    desk.run(["load", "estate", "our-group", "--yes"]).done().prints("1 to retire");
}

#[test]
fn quiet_leaves_the_result_and_nothing_else() {
    let desk = Desk::new();
    let loud = desk.run(["demo", "--no-serve", "--top", "1"]).done();
    let quiet = desk.run(["demo", "--no-serve", "--top", "1", "--quiet"]).done();
    assert_eq!(loud.out, quiet.out);
    assert!(loud.err.contains("made up"));
    assert_eq!(quiet.err, "");
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let desk = Desk::with_catches();
    let ran = desk.shell("ouncewise week | true; ouncewise schema week | head -n 1").done();
    assert_eq!((ran.out.as_str(), ran.err.as_str()), ("{\n", ""));
}
