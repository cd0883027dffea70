//! Which crate uses which: exactly these edges, from `cargo metadata`. Arrows point down only.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// What each crate uses of the others. A new edge is a decision, made here first.
const EDGES: [(&str, &[&str]); 14] = [
    ("measure", &[]),
    ("ledger", &[]),
    ("chart", &[]),
    ("hygiene", &["ledger", "measure"]),
    ("estate", &["hygiene", "ledger", "measure"]),
    ("procedure", &["estate", "hygiene"]),
    ("estimate", &["estate", "ledger", "measure"]),
    ("advice", &["estate", "estimate", "ledger", "measure"]),
    ("simulate", &["advice", "estate", "estimate", "ledger", "measure"]),
    ("store", &["advice", "estate", "estimate", "ledger"]),
    ("paper", &["estate", "estimate", "measure", "procedure"]),
    (
        "report",
        &["advice", "estate", "estimate", "hygiene", "ledger", "measure", "procedure", "store"],
    ),
    (
        "web",
        &[
            "chart", "estate", "estimate", "hygiene", "ledger", "measure", "paper", "report",
            "store",
        ],
    ),
    (
        "cli",
        &[
            "advice",
            "estate",
            "estimate",
            "hygiene",
            "ledger",
            "measure",
            "paper",
            "procedure",
            "report",
            "simulate",
            "store",
            "web",
        ],
    ),
];

/// What only tests use.
const TEST_EDGES: [(&str, &[&str]); 1] = [("store", &["simulate"])];

/// Crates that compute only: what these do not use, they cannot do.
const PURE: [&str; 10] = [
    "measure",
    "ledger",
    "chart",
    "hygiene",
    "estate",
    "procedure",
    "estimate",
    "advice",
    "simulate",
    "paper",
];
const IMPURE: [&str; 6] = ["tokio", "sqlx", "directories", "tempfile", "indicatif", "anstream"];

struct Package {
    name: String,
    uses: Vec<(String, bool)>,
}

fn short(name: &str) -> String {
    if name == "ouncewise" { "cli" } else { name.trim_start_matches("ouncewise-") }.to_owned()
}

fn packages() -> Vec<Package> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps", "--offline"])
        .current_dir(root)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let list = |value: &Value| value.as_array().unwrap().clone();
    list(&metadata["packages"])
        .iter()
        .map(|package| Package {
            name: short(package["name"].as_str().unwrap()),
            uses: list(&package["dependencies"])
                .iter()
                .map(|d| (d["name"].as_str().unwrap().to_owned(), d["kind"] == "dev"))
                .collect(),
        })
        .collect()
}

fn edges(of_tests: bool) -> BTreeMap<String, BTreeSet<String>> {
    let ours = |name: &str| name == "ouncewise" || name.starts_with("ouncewise-");
    packages()
        .into_iter()
        .map(|p| {
            let uses = p.uses.iter().filter(|(name, dev)| ours(name) && *dev == of_tests);
            (p.name, uses.map(|(name, _)| short(name)).collect())
        })
        .collect()
}

fn wanted(edges: &[(&str, &[&str])]) -> BTreeMap<String, BTreeSet<String>> {
    let set = |uses: &[&str]| uses.iter().map(|&u| u.to_owned()).collect();
    edges.iter().map(|(name, uses)| ((*name).to_owned(), set(uses))).collect()
}

#[test]
fn the_edges_between_crates_are_these() {
    assert_eq!(edges(false), wanted(&EDGES));
    let tests: BTreeMap<_, _> = edges(true).into_iter().filter(|(_, u)| !u.is_empty()).collect();
    assert_eq!(tests, wanted(&TEST_EDGES));
}

#[test]
fn arrows_point_down_only() {
    for (place, (name, uses)) in EDGES.iter().enumerate() {
        for used in *uses {
            let below = EDGES[..place].iter().any(|(other, _)| other == used);
            assert!(below, "{name} uses {used}, which does not stand above it in the list");
        }
    }
}

#[test]
fn what_computes_has_nothing_to_do_io_with() {
    for package in packages().iter().filter(|p| PURE.contains(&p.name.as_str())) {
        for (used, dev) in &package.uses {
            assert!(*dev || !IMPURE.contains(&used.as_str()), "{} uses {used}", package.name);
        }
    }
}
