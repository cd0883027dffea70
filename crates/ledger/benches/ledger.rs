//! How fast records become bytes, hashes and a root, and come back.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use ouncewise_ledger::merkle::{Frontier, Hash, root};
use ouncewise_ledger::{
    Body, Entered, LineState, PersonId, Record, Scope, Subject, derive_id, leaf_hash,
};

const RECORDS: usize = 10_000;

fn main() {
    divan::main();
}

fn catches() -> Vec<Record> {
    let scope = Scope::site("fernhollow").expect("a key");
    let catch = |i: usize| Record {
        v: 1,
        id: derive_id(&["fernhollow", "counter-1", "3"], i as u64),
        scope: scope.clone(),
        subject: Subject::line("counter-1", "3"),
        at: "2026-03-02T06:41:07.250+01:00".to_owned(),
        device: "sheet".to_owned(),
        sequence: i as u64,
        by: Some(PersonId(derive_id(&["person"], 0))),
        entered: Entered::Imported,
        note: None,
        body: Body::CatchTaken {
            state: LineState::AsFound,
            amount: format!("{} mL", 25 + i % 10),
            draw: "7.1 s".to_owned(),
            measure: "cup-a".to_owned(),
            water: None,
            water_draw: None,
            temperature: None,
        },
    };
    (0..RECORDS).map(catch).collect()
}

#[divan::bench]
fn to_bytes(bencher: Bencher) {
    let records = catches();
    bencher.counter(ItemsCount::new(RECORDS)).bench(|| {
        for record in &records {
            black_box(record.to_bytes().expect("whole numbers"));
        }
    });
}

#[divan::bench]
fn to_bytes_hashed_and_added(bencher: Bencher) {
    let records = catches();
    bencher.counter(ItemsCount::new(RECORDS)).bench(|| {
        let mut frontier = Frontier::new();
        for record in &records {
            let bytes = record.to_bytes().expect("whole numbers");
            frontier.push(leaf_hash("2026-03-02T05:41:09.004Z", &bytes));
        }
        frontier.root()
    });
}

#[divan::bench]
fn checked(bencher: Bencher) {
    let records = catches();
    bencher
        .counter(ItemsCount::new(RECORDS))
        .bench(|| records.iter().filter(|record| record.check().is_ok()).count());
}

#[divan::bench]
fn from_bytes(bencher: Bencher) {
    let all: Vec<Vec<u8>> =
        catches().iter().map(|record| record.to_bytes().expect("whole numbers")).collect();
    bencher.counter(ItemsCount::new(RECORDS)).bench(|| {
        for bytes in &all {
            black_box(Record::from_bytes(bytes).expect("our own bytes"));
        }
    });
}

#[divan::bench]
fn standing_of_a_machine(bencher: Bencher) {
    let records = catches();
    bencher.counter(ItemsCount::new(RECORDS)).with_inputs(|| records.clone()).bench_values(
        |records| ouncewise_ledger::order::standing(records, ouncewise_ledger::order::no_skew),
    );
}

#[divan::bench]
fn root_of_leaves(bencher: Bencher) {
    let leaves: Vec<Hash> = (0..RECORDS).map(|i| leaf_hash("", &i.to_be_bytes())).collect();
    bencher.counter(ItemsCount::new(RECORDS)).bench(|| root(black_box(&leaves)));
}
