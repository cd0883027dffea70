//! One machine of twelve lines with two years of weekly catches: how long it takes to say what its history makes of each line
//! after one more catch, with all of its records in memory.

use std::collections::BTreeMap;

use divan::{Bencher, black_box};
use ouncewise_advice::lines::{Behaviours, by_history};
use ouncewise_estate::{Estate, files};
use ouncewise_estimate::stand;
use ouncewise_ledger::{Body, Entered, LineState, Record, Scope, Subject};

const LINES: u32 = 12;
const WEEKS: u32 = 104;

fn main() {
    divan::main();
}

fn estate() -> Estate {
    let lines: String = (1..=LINES)
        .map(|line| format!("ford,bar,{line},quince,30 mL,5 %,6 s,cylinder\n"))
        .collect();
    let texts = [
        ("estate.toml", "[group]\nname = \"Lines\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\n".to_owned()),
        (
            "families/screw.toml",
            "name = \"Hand screw\"\nmetering = \"rate\"\n[adjuster]\nkind = \"screw\"\nper_turn = \"20 %\"\nmore = \"anticlockwise\"\n"
                .to_owned(),
        ),
        ("products.toml", "[quince]\nname = \"Quince\"\n".to_owned()),
        (
            "measures.toml",
            "[cylinder]\nname = \"cylinder\"\nkind = \"vessel\"\ndivision = \"1 mL\"\ntolerance = \"0.3 mL\"\n".to_owned(),
        ),
        ("sites.csv", "site,name,measures\nford,Ford,cylinder = cylinder\n".to_owned()),
        ("machines.csv", "site,machine,name,family,state\nford,bar,Bar,screw,open\n".to_owned()),
        ("lines.csv", format!("site,machine,line,product,target,tolerance,draw,measure\n{lines}")),
    ];
    let texts = texts.map(|(name, text)| (name.to_owned(), text.into_bytes()));
    let (estate, faults) = files::read(&BTreeMap::from(texts));
    assert!(faults.is_empty(), "{faults:?}");
    estate
}

fn records() -> Vec<Record> {
    let monday: jiff::Timestamp = "2024-01-01T06:00:00Z".parse().expect("a time");
    let caught = |week: u32, line: u32| Record {
        v: 1,
        id: ouncewise_ledger::derive_id(&[&format!("{week} {line}")], 0),
        scope: Scope::site("ford").expect("a site"),
        subject: Subject::line("bar", &line.to_string()),
        at: (monday + jiff::SignedDuration::from_mins(i64::from(week * 7 * 24 * 60 + line)))
            .to_string(),
        device: "tablet".to_owned(),
        sequence: u64::from(week * 100 + line),
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body: Body::CatchTaken {
            state: LineState::AsFound,
            amount: format!("{} mL", 29 + (week * 7 + line * 5) % 4),
            draw: "6.0 s".to_owned(),
            measure: "cylinder".to_owned(),
            water: None,
            water_draw: None,
            temperature: None,
        },
    };
    (0..WEEKS).flat_map(|week| (1..=LINES).map(move |line| caught(week, line))).collect()
}

#[divan::bench]
fn machine_after_a_catch(bencher: Bencher<'_, '_>) {
    let (estate, records) = (estate(), records());
    let scope = Scope::site("ford").expect("a site");
    bencher.bench(|| {
        let happenings = || black_box(&records).iter().map(|record| (record, &record.body));
        let rows = stand(&estate, &scope, "bar", |_| true, happenings());
        by_history(&estate, &Behaviours::default(), ("ford", "bar"), rows, happenings())
    });
}
