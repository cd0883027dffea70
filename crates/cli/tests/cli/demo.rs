//! Larkfield Counters: the same whenever and wherever it is made.

use std::collections::BTreeMap;

use serde_json::Value;

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

/// What is said in millilitres, but for a mark of a measure that stands in them, with the reader's own unit beside it:
/// `stop at 31 mL = 1.048 fl oz (US)`.
fn in_millilitres(said: &str) -> Vec<&str> {
    let other = |line: &&str| {
        line.match_indices("mL").any(|(at, mark)| !line[at + mark.len()..].starts_with(" = "))
    };
    said.lines().filter(other).collect()
}

/// A line's page without what was written down as it was read: of a catch, what it shows is left; of all else, nothing.
fn without_records(page: &str) -> String {
    let told = page.lines().filter_map(|line| match line.starts_with("20") {
        true => line.split_once(" → ").map(|(_, shows)| shows),
        false => Some(line),
    });
    told.collect::<Vec<_>>().join("\n")
}

#[test]
fn every_reason_is_in_the_units_that_are_asked_for() {
    let desk = Desk::new();
    let demo = desk.run(["demo", "--no-serve", "--units", "us", "--keep", "data"]).done().out;
    assert_eq!(in_millilitres(&demo), [""; 0]);
    let week = desk.run(["week", "--top", "200"]).done().out;
    assert!(week.contains("fl oz (US) where"), "{week}");
    assert!(week.contains("a vessel good to ±0.06 fl oz (US)"), "{week}");
    assert_eq!(in_millilitres(&week), [""; 0]);

    let report = desk.run(["week", "--top", "200", "--json"]).done().json();
    let lines = report["lines"].as_array().unwrap();
    // One line for each act and basis, and each machine that is among them.
    let mut kinds: BTreeMap<String, &str> = BTreeMap::new();
    for line in lines {
        let kind = format!("{}, {}", line["act"]["kind"], line["basis"]);
        kinds.entry(kind).or_insert(line["address"].as_str().unwrap());
        for sentence in [&line["reason"], &line["act"]["advice"], &line["by_catch"]["reason"]] {
            assert_eq!(in_millilitres(sentence.as_str().unwrap_or_default()), [""; 0]);
        }
        // Numbers stay in the unit that is named beside them.
        let unit = &line["latest"]["portion"]["unit"];
        assert!(unit.is_null() || unit == "mL" || unit == "g", "{unit}");
    }
    assert!(kinds.len() > 8, "{kinds:?}");
    for address in kinds.values() {
        let page = desk.run(["line", address]).done().out;
        assert_eq!(in_millilitres(&without_records(&page)), [""; 0], "{address}");
        assert!(!page.contains("°C"), "{page}");
        let (machine, _) = address.rsplit_once('/').unwrap();
        let sheet = desk.run(["sheet", machine, "--json"]).done().json();
        let mut said: Vec<&Value> = sheet["notes"].as_array().unwrap().iter().collect();
        for row in sheet["rows"].as_array().unwrap() {
            said.extend([&row["asks"], &row["last"], &row["draw"]]);
        }
        for sentence in said {
            assert_eq!(in_millilitres(sentence.as_str().unwrap_or_default()), [""; 0]);
        }
    }
    // Who reads millilitres asks for them.
    let metric = desk.run(["week", "--top", "200", "--units", "metric"]).done().out;
    assert!(metric.contains(" mL where"), "{metric}");
    assert!(!metric.contains("fl oz (US) where"), "{metric}");
}

#[test]
fn a_calculation_is_in_the_units_that_are_asked_for() {
    let desk = Desk::new();
    let calc = |what: &[&str]| {
        let out = desk.run([&["calc"], what, &["--units", "us"]].concat());
        assert!(out.code < 2, "{}", out.err);
        out.out
    };
    let said = [
        calc(&["catch", "31 mL in 7.1 s", "--target", "30 mL in 7 s", "--cup", "1 mL ± 0.5 mL"]),
        calc(&[
            "catch",
            "36 mL in 7.1 s",
            "--target",
            "30 mL in 7 s",
            "--mark",
            "30 mL ± 2 mL",
            "--adjuster",
            "taught",
        ]),
        calc(&[
            "catch",
            "64 mL in 2 doses",
            "--target",
            "30 mL in 1 dose",
            "--cup",
            "5 mL ± 1 mL",
            "--adjuster",
            "taught",
        ]),
        calc(&["measure", "--target", "30 mL in 7 s", "--cup", "1 mL ± 0.5 mL"]),
        calc(&["measure", "--target", "30 mL in 7 s", "--mark", "30 mL ± 2 mL"]),
        calc(&["offset", "11.3 mL in 2 s", "29.4 mL in 5 s", "47.4 mL in 8 s"]),
        calc(&[
            "flush",
            "--bore",
            "6 mm",
            "--length",
            "3 m",
            "--flow",
            "250 mL in 10 s",
            "--prime",
            "syrup 60 Bx",
        ]),
    ];
    for said in &said {
        assert_eq!(in_millilitres(said), [""; 0]);
        assert!(said.contains("fl oz (US)"), "{said}");
        assert!(!said.contains("°C"), "{said}");
    }
    // NIST Handbook 44, appendix C: 28.349 523 125 g in an ounce by weight.
    let weighed =
        calc(&["catch", "40 g in 1 dose", "--target", "36 g in 1 dose", "--scale", "1 g"]);
    assert!(
        weighed.contains("1.411 oz (weight) is 11.1 % over the target of 1.27 oz (weight)"),
        "{weighed}"
    );
}
