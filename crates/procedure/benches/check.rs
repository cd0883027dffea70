//! How long a check and a skip analysis take, and how they grow with steps, lines and parts.

use std::fmt::Write as _;

use divan::{Bencher, black_box};
use ouncewise_procedure::{Family, Procedure, Terms, check, read, skips};

fn main() {
    divan::main();
}

/// A family of so many parts.
fn family(parts: usize) -> Family {
    let mut text = include_str!("../../../content/procedures/screw-trim/family.toml").to_owned();
    for part in 2..parts {
        let _ = write!(
            text,
            "\n[parts.ring-{part}]\nname.en = \"ring\"\nname.es = \"anillo\"\nlubricant = \"may\"\n"
        );
    }
    read::family("family.toml", &text).0.expect("a family that ships")
}

/// A weekly clean of twelve lines in which every part is looked at, renewed where worn, and so many steps more are done.
fn procedure(family: &Family, extra: usize) -> Procedure {
    of_lines(family, extra, 12)
}

fn of_lines(family: &Family, extra: usize, lines: usize) -> Procedure {
    let text = include_str!("../../../content/procedures/screw-trim/weekly-clean.toml");
    let mut looks = String::new();
    for (nth, part) in family.parts.iter().enumerate() {
        let key = &part.key;
        let _ = write!(
            looks,
            "[[stage.step]]\nid = \"look-{nth}\"\ndo = \"look {key}\"\nsay.en = \"Look.\"\nsay.es = \"Mire.\"\n\
             answers = {{ good = \"look-{next}\", worn = \"next\" }}\n\
             [[stage.step]]\ndo = \"ask spare {key}\"\nsay.en = \"Spare?\"\nsay.es = \"¿Hay?\"\n\
             answers = {{ yes = \"next\", no = \"put-back\" }}\n\
             [[stage.step]]\ndo = \"renew {key}\"\nsay.en = \"Renew.\"\nsay.es = \"Cambie.\"\n",
            next = nth + 1
        );
    }
    let parts = format!(
        "[[stage.step]]\ndo = \"remove all\"\nsay.en = \"Off.\"\nsay.es = \"Fuera.\"\n{looks}\
         [[stage.step]]\nid = \"look-{n}\"\ndo = \"wash all; lubricate valve-seal; refit all\"\nsay.en = \"Back.\"\n\
         say.es = \"Ponga.\"\nthen = \"leave\"\n\
         [[stage.step]]\nid = \"put-back\"\ndo = \"tag; refit all\"\nsay.en = \"Tag.\"\nsay.es = \"Cuelgue.\"\nthen = \"out\"\n",
        n = family.parts.len()
    );
    let more =
        "[[stage.step]]\ndo = \"withhold\"\nsay.en = \"Look.\"\nsay.es = \"Mire.\"\n".repeat(extra);
    let text = text
        .replace("[[stage.step]]\nuse = \"parts\"\n", &parts)
        .replace(
            "[[stage.step]]\nuse = \"flush\"\n",
            &format!("[[stage.step]]\nuse = \"flush\"\n{more}"),
        )
        .replace("lines = 8", &format!("lines = {lines}"));
    let (procedure, faults) = read::procedure("bench.toml", &text, family);
    assert!(faults.is_empty(), "{faults:?}");
    procedure.expect("it is read")
}

/// Parts, with about forty steps.
#[divan::bench(args = [2, 4, 8, 12])]
fn check_parts(bencher: Bencher<'_, '_>, parts: usize) {
    let family = family(parts);
    let procedure = procedure(&family, 0);
    bencher.bench(|| black_box(check(&family, black_box(&procedure), &Terms::default())));
}

/// Steps more, with two parts.
#[divan::bench(args = [0, 20, 40, 80, 160])]
fn check_steps(bencher: Bencher<'_, '_>, steps: usize) {
    let family = family(2);
    let procedure = procedure(&family, steps);
    bencher.bench(|| black_box(check(&family, black_box(&procedure), &Terms::default())));
}

/// Lines, with two parts.
#[divan::bench(args = [1, 4, 12])]
fn check_lines(bencher: Bencher<'_, '_>, lines: usize) {
    let family = family(2);
    let procedure = of_lines(&family, 0, lines);
    bencher.bench(|| black_box(check(&family, black_box(&procedure), &Terms::default())));
}

/// A thousand procedures, read and checked: those that ship, each with one of its steps taken out.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn check_thousand(bencher: Bencher<'_, '_>) {
    let content = concat!(env!("CARGO_MANIFEST_DIR"), "/../../content/procedures");
    let names = [
        "weekly-clean",
        "weekly-calibration",
        "renew-parts",
        "first-start-up",
        "take-out",
        "change-flavour",
    ];
    let mut texts = Vec::new();
    for key in ["roller-pump", "screw-trim"] {
        let text = |name: &str| {
            std::fs::read_to_string(format!("{content}/{key}/{name}.toml")).expect("it ships")
        };
        let family = read::family("family.toml", &text("family")).0.expect("it is read");
        for name in names {
            texts.push((family.clone(), text(name)));
        }
    }
    let edited: Vec<(&Family, String)> = (0..1000)
        .map(|nth| {
            let (family, text) = &texts[nth % texts.len()];
            let mut pieces: Vec<&str> = text.split("[[stage.step]]").collect();
            pieces.remove(1 + nth / texts.len() % (pieces.len() - 1));
            (family, pieces.join("[[stage.step]]"))
        })
        .collect();
    bencher.bench(|| {
        for (family, text) in &edited {
            let (procedure, _) = read::procedure("p.toml", black_box(text), family);
            black_box(procedure.map(|procedure| check(family, &procedure, &Terms::default())));
        }
    });
}

/// What follows from every mistake.
#[divan::bench(args = [2, 8, 12])]
fn skip(bencher: Bencher<'_, '_>, parts: usize) {
    let family = family(parts);
    let procedure = procedure(&family, 0);
    bencher.bench(|| black_box(skips(&family, black_box(&procedure), &Terms::default())));
}
