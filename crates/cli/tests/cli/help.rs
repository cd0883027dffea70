//! `--help` at every level: examples first, short lines, and each example does what it says.

use crate::desk::{CATCHES, Desk};
use crate::xlsx::workbook;

/// A help page: the words that lead to it, and its text.
struct Page {
    words: Vec<String>,
    text: String,
}

/// All pages, from the top.
fn pages(desk: &Desk) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut open: Vec<Vec<String>> = vec![Vec::new()];
    while let Some(words) = open.pop() {
        let args = words.iter().map(String::as_str);
        let ran = desk.run(args.clone().chain(["--help"])).done();
        assert_eq!(ran.err, "", "{words:?} talks");
        let short = desk.run(args.chain(["-h"])).done();
        assert!(short.out.starts_with("Example"), "{words:?} -h:\n{}", short.out);
        let under = ran.out.lines().skip_while(|line| *line != "Commands:").skip(1);
        for line in under.take_while(|line| !line.is_empty()) {
            // A line that goes on from the one before is further in.
            if let Some(name) = line.strip_prefix("  ").filter(|l| !l.starts_with(' ')) {
                let name = name.split_whitespace().next().unwrap();
                if name != "help" {
                    open.push(words.iter().cloned().chain([name.to_owned()]).collect());
                }
            }
        }
        pages.push(Page { words, text: ran.out });
    }
    pages
}

/// The commands under `Examples:`, each on one line, with the exit code that its remark names.
fn examples(page: &Page) -> Vec<(String, i32)> {
    let block = page.text.lines().skip(1).take_while(|line| !line.is_empty());
    let mut examples: Vec<(String, i32)> = Vec::new();
    let mut goes_on = false;
    for line in block {
        let (line, remark) = line.split_once(" # ").unwrap_or((line, ""));
        let code = remark.strip_prefix("exit code ").map_or(0, |r| r[..1].parse().unwrap());
        let (text, more) = match line.trim_end().strip_suffix('\\') {
            Some(text) => (text.trim(), true),
            None => (line.trim(), false),
        };
        match examples.last_mut().filter(|_| goes_on) {
            Some(last) => *last = (format!("{} {text}", last.0), code),
            None => examples.push((text.to_owned(), code)),
        }
        goes_on = more;
    }
    examples
}

/// What a reader of the page has at hand before typing its examples.
fn prepared(words: &str) -> Desk {
    let desk = match words {
        "week" | "line" | "fault" | "rounds" | "sheet" | "parts" | "doubts" | "learn" | "kit" => {
            return Desk::with_demo();
        }
        "backtest" => Desk::with_demo(),
        "serve" => {
            let desk = Desk::new();
            desk.run(["demo", "--no-serve", "--quiet", "--keep", "my-demo"]).done();
            return desk;
        }
        "demo" | "new" | "calc" | "calc catch" | "calc measure" | "calc flush" | "schema"
        | "skip" | "card" | "quiz" | "sign-off" | "simulate" | "simulate compare"
        | "simulate ablate" | "simulate forecasts" => Desk::new(),
        "check" | "load estate" => {
            let desk = Desk::new();
            desk.run(["new", "our-group"]).done();
            desk
        }
        "load" | "load catches" => Desk::with_starter(),
        // The first page has one of each sort of command, `week` too.
        _ => Desk::with_catches(),
    };
    desk.write("catches.csv", CATCHES);
    let weeks = (0..30).map(|week| format!("a,{week},{}\n", 30.0 + 0.1 * f64::from(week % 7)));
    desk.write("histories.csv", format!("unit,at,value\n{}", weeks.collect::<String>()));
    desk.write(
        "adjustments.csv",
        "at,site,machine,line,done\n2026-02-02T07:00,rowan-end,counter-1,1,1/4 turn clockwise\n",
    );
    desk.write(
        "parts.csv",
        "at,site,machine,line,part,found\n2026-02-02,rowan-end,counter-1,1,valve-seal,worn\n",
    );
    desk.write(
        "products.csv",
        "at,site,machine,line,product,lot\n2026-02-02,rowan-end,counter-1,1,,L 17\n",
    );
    desk.write(
        "rounds.csv",
        "at,site,machine,kind,stage,amount\n2026-02-02T07:00,rowan-end,counter-1,flushed,before,90 s\n",
    );
    desk.write(
        "our-log.xlsx",
        workbook(&[
            &["Site", "Machine", "Flavour", "Date", "Before (ml)", "Seconds"],
            &["Rowan End", "counter-1", "Gooseberry", "2026-02-02", "31", "7"],
            &["Rowan End", "counter-1", "Gooseberry", "2026-02-09", "30.5", "7"],
        ]),
    );
    match words {
        "load records" => drop(desk.run(["export", "our-copy"]).done()),
        "restore" => drop(desk.run(["backup", "ouncewise-2026-03-02.db"]).done()),
        _ => {}
    }
    desk
}

#[test]
fn help_shows_examples_first_in_short_lines() {
    let desk = Desk::new();
    let pages = pages(&desk);
    assert!(pages.len() > 25, "only {} pages were found", pages.len());
    for Page { words, text } in &pages {
        assert!(text.starts_with("Example"), "{words:?} does not begin with examples:\n{text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{words:?} has a long line: {line}");
        }
    }
}

/// An example that serves until it is stopped, as one that ends.
fn that_ends(line: &str) -> String {
    if line.starts_with("ouncewise demo") && !line.contains("--no-serve") {
        return format!("{line} --no-serve");
    }
    if line.starts_with("ouncewise serve") {
        // A port of its own, where the reader's is the usual one.
        let port = if line.contains("--listen") { "" } else { " --listen 127.0.0.1:0" };
        return format!("timeout --preserve-status 3 {line}{port}");
    }
    line.to_owned()
}

#[test]
fn every_example_does_what_it_says() {
    let mut ran = 0;
    for page in pages(&Desk::new()) {
        let words = page.words.join(" ");
        let desk = prepared(&words);
        for (line, code) in examples(&page) {
            assert!(line.starts_with("ouncewise "), "{words}: {line}");
            desk.shell(&that_ends(&line)).ends(code);
            ran += 1;
        }
    }
    assert!(ran > 45, "only {ran} examples were found");
}

#[test]
fn a_slip_in_a_name_is_met_with_the_right_one() {
    let desk = Desk::new();
    desk.run(["wek"]).ends(2).says("week");
    desk.run(["load", "catch"]).ends(2).says("catches");
    desk.run(["week", "--jsn"]).ends(2).says("--json");
}

#[test]
fn the_bare_command_shows_help_and_the_version_is_told() {
    let desk = Desk::new();
    desk.run([]).ends(2).says("Examples:");
    let version = desk.run(["--version"]).done().out;
    assert_eq!(version, concat!("ouncewise ", env!("CARGO_PKG_VERSION"), "\n"));
}
