//! Every command that reports prints, with `--json`, one document that fits the schema of its name.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::desk::Desk;
use crate::schema::assert_fits;
use crate::xlsx::workbook;

fn schema(desk: &Desk, name: &str) -> Value {
    desk.run(["schema", name]).done().json()
}

#[test]
fn each_report_fits_its_schema() {
    let desk = Desk::with_catches();
    desk.write(
        "bad.csv",
        "at,site,machine,line,done\n2026-02-02,nowhere,counter-1,1,1/4 turn up\n",
    );
    desk.write(
        "log.xlsx",
        workbook(&[
            &["Site", "Machine", "Flavour", "Date", "Before (ml)", "Seconds"],
            &["Rowan End", "counter-1", "Gooseberry", "2026-02-23", "31", "7"],
            &["Rowan End", "counter-1", "Gooseberry", "soon", "30.5", "7"],
        ]),
    );
    let weeks = (0..30).map(|week| format!("a,{week},{}\n", 30.0 + 0.1 * f64::from(week % 7)));
    desk.write("histories.csv", format!("unit,at,value\n{}", weeks.collect::<String>()));
    std::fs::create_dir(desk.path("broken")).unwrap();
    desk.write("broken/estate.toml", "[group]\nname = 7\n");
    // A part that came off is not put back before the power is on again.
    let clean = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    std::fs::create_dir(desk.path("procedures")).unwrap();
    desk.write(
        "procedures/ours.toml",
        clean.replacen(
            "use = \"parts\"",
            "do = \"look nozzle-ring\"\nsay.en = \"Look.\"\nsay.es = \"Mire.\"",
            1,
        ),
    );
    let cup = ["--target", "30 mL in 7 s", "--cup", "1 mL ± 0.5 mL"];
    let marked = ["--target", "30 mL in 7 s", "--mark", "30 mL ± 2 mL"];
    let catch = |text, setup: [&'static str; 4]| {
        ["calc", "catch", text].into_iter().chain(setup).collect::<Vec<_>>()
    };
    let measure =
        |setup: [&'static str; 4]| ["calc", "measure"].into_iter().chain(setup).collect::<Vec<_>>();
    let ratio = ["--water", "149 mL in 7 s", "--water-target", "150 mL ± 5 %"];
    let cases: Vec<(&str, Vec<&str>, i32)> = vec![
        ("calc-catch", catch("31 mL in 7.1 s", cup), 0),
        ("calc-catch", catch("over the 30 mL mark in 7 s", marked), 0),
        ("calc-catch", catch("30 mL in 7 s", cup).into_iter().chain(ratio).collect(), 0),
        ("calc-measure", measure(cup), 0),
        ("calc-measure", measure(marked), 1),
        (
            "calc-measure",
            vec!["calc", "measure", "--target", "40 g in 1 dose", "--scale", "0.1 g"],
            0,
        ),
        (
            "calc-offset",
            vec!["calc", "offset", "11.3 mL in 2 s", "29.4 mL in 5 s", "47.4 mL in 8 s"],
            0,
        ),
        (
            "calc-flush",
            vec![
                "calc", "flush", "--bore", "6 mm", "--volume", "95 mL", "--flow", "5 mL/s",
                "--prime", "water",
            ],
            0,
        ),
        ("calc-flush", vec!["calc", "flush", "--flow", "5 mL/s"], 1),
        ("calc-strength", vec!["calc", "strength", "--profile", "model-code"], 1),
        ("backtest", vec!["backtest", "histories.csv"], 0),
        ("learn", vec!["learn"], 0),
        (
            "simulate-compare",
            vec!["simulate", "compare", "--sites", "1", "--seeds", "1", "--weeks", "4"],
            0,
        ),
        (
            "simulate-compare",
            vec!["simulate", "compare", "--sites", "1", "--seeds", "2", "--weeks", "4"],
            0,
        ),
        (
            "simulate-ablate",
            vec!["simulate", "ablate", "--sites", "1", "--seeds", "1", "--weeks", "4"],
            0,
        ),
        (
            "simulate-forecasts",
            vec!["simulate", "forecasts", "--sites", "2", "--seeds", "1", "--weeks", "26"],
            0,
        ),
        ("week", vec!["week"], 0),
        ("week", vec!["week", "--site", "rowan-end", "--top", "1"], 0),
        ("week", vec!["demo", "--no-serve"], 0),
        ("line", vec!["line", "rowan-end/counter-1/1"], 0),
        ("line", vec!["line", "rowan-end/counter-1/2", "--last", "1"], 0),
        ("line", vec!["line", "rowan-end/window-1/1"], 0),
        ("line", vec!["line", "rowan-end/counter-1/1", "--charts"], 0),
        ("fault", vec!["fault", "rowan-end/counter-1/1"], 0),
        (
            "fault",
            vec!["fault", "rowan-end/window-1/1", "--sign", "bubbles=yes", "--sign", "leaks=no"],
            0,
        ),
        ("rounds", vec!["rounds"], 0),
        ("rounds", vec!["rounds", "--site", "rowan-end", "--machine", "counter-1"], 0),
        ("parts", vec!["parts"], 0),
        ("parts", vec!["parts", "--part", "seal", "--planned", "6", "--failed", "60"], 0),
        ("doubts", vec!["doubts"], 0),
        ("new", vec!["new", "another"], 0),
        ("check", vec!["check", "another"], 0),
        ("check", vec!["check", "broken"], 1),
        ("check", vec!["check", "procedures"], 1),
        ("check", vec!["check", "procedures", "--fix", "--yes"], 1),
        ("skip", vec!["skip", "screw-trim/weekly-clean"], 0),
        ("kit", vec!["kit", "screw-trim/weekly-clean", "--machines", "2"], 0),
        ("quiz", vec!["quiz", "screw-trim/weekly-clean"], 0),
        ("publish", vec!["publish", "screw-trim/weekly-clean", "--yes"], 0),
        ("publish", vec!["publish", "screw-trim/weekly-clean", "--withdraw", "--yes"], 0),
        ("load-estate", vec!["load", "estate", "another", "--dry-run"], 0),
        ("load", vec!["load", "catches", "catches.csv"], 0),
        ("load", vec!["load", "catches", "catches.csv", "--dry-run"], 0),
        ("load", vec!["load", "adjustments", "bad.csv"], 65),
        ("load-sheet", vec!["load", "sheet", "log.xlsx"], 65),
        ("load-sheet", vec!["load", "sheet", "log.xlsx", "--defaults", "--yes"], 65),
        ("export", vec!["export", "copy"], 0),
        ("load", vec!["load", "records", "copy/records.jsonl", "--data", "second"], 0),
        ("ledger", vec!["ledger", "evidence"], 0),
        ("verify", vec!["verify"], 0),
        ("verify", vec!["backup", "copy.db"], 0),
        ("restore", vec!["restore", "copy.db", "--yes"], 0),
        ("restore", vec!["restore", "copy.db", "--yes", "--data", "third"], 0),
        ("rebuild", vec!["rebuild"], 0),
        ("load-list", vec!["load", "list"], 0),
        ("load-undo", vec!["load", "undo", "1", "--yes"], 0),
        ("load-list", vec!["load", "list"], 0),
        ("forget", vec!["forget", "person", "Ada Brook", "--yes"], 0),
        ("schema", vec!["schema"], 0),
    ];
    let mut seen = BTreeSet::from(["error"]);
    for (name, args, code) in &cases {
        let ran = desk.run(args.iter().copied().chain(["--json"])).ends(*code);
        assert_fits(&schema(&desk, name), &ran.json());
        seen.insert(*name);
    }
    let reports = desk.run(["schema", "--json"]).done().json()["reports"].clone();
    let reports: Vec<String> = serde_json::from_value(reports).unwrap();
    for name in &reports {
        assert!(seen.contains(name.as_str()), "nothing here prints a {name}");
    }
}

#[test]
fn a_failure_is_told_as_json_on_stderr() {
    let desk = Desk::with_starter();
    let schema = schema(&desk, "error");
    desk.write("words.csv", "These are words, and no table.\n");
    for (args, code) in [
        (&["week", "--site", "nowhere"][..], 2),
        (&["load", "catches", "words.csv"], 65),
        (&["week", "--data", "nowhere"], 69),
        (&["check", "nothing-here"], 74),
    ] {
        let ran = desk.run(args.iter().copied().chain(["--json"])).ends(code);
        assert_eq!(ran.out, "");
        let error: Value = serde_json::from_str(&ran.err).unwrap();
        assert_fits(&schema, &error);
        assert_eq!(error["error"]["exit"], code);
        // Every failure says how to mend it.
        assert!(error["error"]["hint"].is_string() || code == 65, "{error}");
    }
}

#[test]
fn the_files_have_schemas_too() {
    let desk = Desk::new();
    let files = desk.run(["schema", "--json"]).done().json()["files"].clone();
    let files: Vec<String> = serde_json::from_value(files).unwrap();
    assert_eq!(
        files,
        [
            "estate.toml",
            "family.toml",
            "products.toml",
            "measures.toml",
            "profile.toml",
            "fault.toml",
            "procedure.toml",
            "procedure-family.toml"
        ]
    );
    for name in &files {
        assert_eq!(schema(&desk, name)["type"], "object");
    }
}
