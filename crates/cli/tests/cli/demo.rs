//! Larkfield Counters: the same whenever and wherever it is made.

use crate::desk::Desk;

#[test]
fn the_demo_prints_this_week() {
    let desk = Desk::new();
    let first = desk.run(["demo", "--no-serve"]).done();
    insta::assert_snapshot!("demo", first.out);
    assert_eq!(desk.run(["demo", "--no-serve"]).done().out, first.out, "twice is not the same");
    let kept = desk.run(["demo", "--no-serve", "--keep", "my-demo"]).done();
    assert_eq!(kept.out, first.out, "kept is not the same");
    // The demo stands on its last evening; asked today, only the age of its catches differs.
    let aged = |text: &str| -> Vec<String> {
        text.lines().map(|line| line.split(", caught").next().unwrap().to_owned()).collect()
    };
    let today = desk.run(["week", "--data", "my-demo"]).done().out;
    assert_eq!(aged(&today), aged(&first.out));
    assert!(today.contains(" weeks ago"), "{today}");
    desk.run(["demo", "--no-serve", "--keep", "my-demo"]).ends(2).says("not empty");
}

#[test]
fn another_seed_is_another_year() {
    let desk = Desk::new();
    let week = |args: &[&str]| desk.run(args.iter().copied()).done().json();
    let first = week(&["demo", "--json"]);
    assert_eq!(first["group"], "Larkfield Counters");
    assert_eq!(first["lines"].as_array().unwrap().len(), 10);
    assert_ne!(first, week(&["demo", "--json", "--seed", "7"]));
    assert_eq!(week(&["demo", "--json", "--top", "3"])["lines"].as_array().unwrap().len(), 3);
}

#[test]
fn the_demo_speaks_us_units_too() {
    let desk = Desk::new();
    desk.run(["demo", "--no-serve", "--units", "us", "--keep", "data"]).done();
    desk.run(["export", "copy"]).done();
    assert!(desk.read("copy/lines.csv").contains("1 fl oz (US)"));
    assert!(!desk.read("copy/lines.csv").contains(" mL"));
}
