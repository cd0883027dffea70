//! `simulate`: the same seeds give the same table, the oracle leads it, each term is taken out in turn, forecasts
//! are scored, and sizes have limits.

use serde_json::Value;

use crate::desk::Desk;

const SMALL: [&str; 8] = ["simulate", "compare", "--sites", "3", "--seeds", "2", "--weeks", "40"];

#[test]
fn the_oracle_leaves_the_least_off_target_in_each_world() {
    let report = Desk::new().run(SMALL.into_iter().chain(["--json"])).done().json();
    let rows = report["practices"].as_array().unwrap();
    for world in ["plain", "hard", "unlike"] {
        let rows: Vec<&Value> = rows.iter().filter(|row| row["world"] == world).collect();
        assert_eq!(rows.len(), 6, "four common ones, ours and the oracle");
        let off = |row: &Value| row["off_target_percent"]["mean"].as_f64().unwrap();
        let best = rows.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
        assert_eq!(best["practice"], "oracle");
        assert!(rows.iter().any(|row| row["practice"] == "estimated"));
    }
}

#[test]
fn worlds_can_be_chosen_and_the_same_seeds_give_the_same_table() {
    let desk = Desk::new();
    let run = || {
        let chosen = ["--world", "unlike", "--world", "plain", "--world", "plain"];
        desk.run(SMALL.into_iter().chain(chosen)).done().out
    };
    let first = run();
    assert_eq!(first, run());
    let plain = first.find("World: plain").unwrap();
    assert!(plain < first.find("World: unlike").unwrap() && !first.contains("World: hard"));
    assert_eq!(first.matches("World: ").count(), 2);
    // Lines fit a terminal of 100 columns.
    assert!(first.lines().all(|line| line.trim_end().chars().count() <= 100), "{first}");
}

#[test]
fn what_cannot_be_lived_through_is_not_understood() {
    let desk = Desk::new();
    for args in [["--sites", "0"], ["--seeds", "0"], ["--lines", "100000"], ["--world", "flat"]] {
        let ran = desk.run(["simulate", "compare"].into_iter().chain(args)).ends(2);
        assert!(ran.err.contains(args[1]), "{}", ran.err);
    }
    let none = ["simulate", "compare", "--weeks", "0"];
    desk.run(none).ends(2);
}

#[test]
fn each_term_is_taken_out_in_turn() {
    let desk = Desk::new();
    let small = ["simulate", "ablate", "--world", "hard", "--sites", "2", "--seeds", "2"];
    let args = small.into_iter().chain(["--weeks", "30"]);
    let report = desk.run(args.clone().chain(["--json"])).done().json();
    let rows = report["rows"].as_array().unwrap();
    let without: Vec<Option<&str>> = rows.iter().map(|row| row["without"].as_str()).collect();
    let terms = ["machine and day", "measure", "person", "shock", "shared shock"];
    assert_eq!(without, [None].into_iter().chain(terms.map(Some)).collect::<Vec<_>>());
    let figure = |row: &Value, name: &str| row[name]["mean"].as_f64().unwrap();
    for row in rows {
        let of = |name: &str| figure(row, name) - figure(&rows[0], name);
        let more = [
            ("off_target_percent", "more_off_target_percent"),
            ("crew_minutes", "more_crew_minutes"),
        ];
        for (name, more) in more {
            assert!((of(name) - figure(row, more)).abs() < 1e-9, "{row}");
        }
    }
    // Who does not think of shocks does other things.
    assert_ne!(figure(&rows[4], "more_crew_minutes"), 0.0);
    let words = desk.run(args).done().out;
    assert!(terms.iter().all(|term| words.contains(term)), "{words}");
    assert!(words.lines().all(|line| line.trim_end().chars().count() <= 100), "{words}");
}

#[test]
fn forecasts_are_scored_by_horizon_and_by_what_lines_are_read_with() {
    let desk = Desk::new();
    let small = ["simulate", "forecasts", "--world", "plain", "--sites", "6", "--seeds", "2"];
    let run = |weeks| desk.run(small.into_iter().chain(["--weeks", weeks]));
    let json = small.into_iter().chain(["--weeks", "60", "--json"]);
    let report = desk.run(json).done().json();
    let rows = report["rows"].as_array().unwrap();
    // All kitchens of the plain world have a scale, and none a cup with one mark.
    let cells: Vec<(&str, u64)> = rows
        .iter()
        .map(|row| (row["read_with"].as_str().unwrap(), row["ahead"].as_u64().unwrap()))
        .collect();
    let horizons = [1, 2, 4, 8];
    let both = ["divided", "scale"].into_iter().flat_map(|c| horizons.map(|weeks| (c, weeks)));
    assert_eq!(cells, both.collect::<Vec<_>>());
    let mean = |row: &Value, name: &str| row[name]["mean"].as_f64().unwrap();
    for class in rows.chunks(4) {
        // The farther ahead, the less sure.
        assert!(class.windows(2).all(|pair| mean(&pair[0], "crps") < mean(&pair[1], "crps")));
    }
    for row in rows {
        // Asked for: better than both rivals, and nine of ten held. Few machines are looked at here.
        assert!(mean(row, "last_worse") > 0.0 && mean(row, "smoothed_worse") > 0.0, "{row}");
        assert!((80.0..=100.0).contains(&mean(row, "held_percent")), "{row}");
    }
    let words = run("26").done().out;
    assert!(words.contains("smoothed") && words.contains("scale"), "{words}");
    assert!(words.lines().all(|line| line.trim_end().chars().count() <= 100), "{words}");
    assert!(run("13").done().out.contains("14th week"));
}
