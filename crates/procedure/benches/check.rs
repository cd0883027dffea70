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

/// A weekly clean in which every part is looked at, renewed where worn, and so many steps more are done.
fn procedure(family: &Family, extra: usize) -> Procedure {
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
        .replace("lines = 8", "lines = 12");
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

/// What follows from every mistake.
#[divan::bench(args = [2, 8])]
fn skip(bencher: Bencher<'_, '_>, parts: usize) {
    let family = family(parts);
    let procedure = procedure(&family, 0);
    bencher.bench(|| black_box(skips(&family, black_box(&procedure), &Terms::default())));
}
