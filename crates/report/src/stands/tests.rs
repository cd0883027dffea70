//! What is told beside the forecast, from records written out by hand.

use ouncewise_estate::files;
use ouncewise_ledger::{Entered, LineState, Scope, Subject};
use uuid::Uuid;

use super::*;

fn estate() -> Estate {
    let files = [
        ("estate.toml", "[group]\nname = \"G\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\n"),
        (
            "families/screw.toml",
            "name = \"Screw\"\nmetering = \"rate\"\n[adjuster]\nkind = \"screw\"\nper_turn = \"20 %\"\nmore = \"anticlockwise\"\n",
        ),
        ("products.toml", "[pandan]\nname = \"Pandan\"\n"),
        (
            "measures.toml",
            "[cylinder]\nname = \"cylinder\"\nkind = \"vessel\"\ndivision = \"0.2 mL\"\ntolerance = \"0.1 mL\"\n",
        ),
        ("sites.csv", "site,measures\ns,cylinder = cylinder\n"),
        ("machines.csv", "site,machine,family\ns,a,screw\n"),
        (
            "lines.csv",
            "site,machine,line,product,target,tolerance,draw,measure\ns,a,1,pandan,30 mL,5 %,7 s,cylinder\n",
        ),
    ];
    let files =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).collect();
    let (estate, faults) = files::read(&files);
    assert_eq!(faults, []);
    estate
}

fn record(day: u32, body: Body) -> Record {
    Record {
        v: 1,
        id: Uuid::now_v7(),
        scope: Scope::site("s").unwrap(),
        subject: Subject::line("a", "1"),
        at: format!("2026-03-{day:02}T06:40:00.000Z"),
        device: "t".to_owned(),
        sequence: u64::from(day),
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body,
    }
}

// Set from −4 % to its target and not caught since: wear has all of the tolerance to go, and not the fifth that was left of it.
#[test]
fn wear_alone_begins_where_the_line_was_set_to() {
    let caught = |day: u32| {
        let body = Body::CatchTaken {
            state: LineState::AsFound,
            amount: "28.8 mL".to_owned(),
            draw: "7 s".to_owned(),
            measure: "cylinder".to_owned(),
            water: None,
            water_draw: None,
            temperature: None,
        };
        record(day, body)
    };
    let mut records = vec![caught(1), caught(8), caught(15)];
    let estate = estate();
    let wear_alone = |records: &[Record]| {
        let happenings = records.iter().map(|record| (record, &record.body));
        let now = "2026-03-16T06:00:00Z".parse().unwrap();
        let told = told(&estate, &Behaviour::default(), ("s", "a"), happenings, now);
        told[0].report.as_ref().unwrap().wear_alone.unwrap()
    };
    let before = wear_alone(&records);
    records.push(record(
        15,
        Body::LineAdjusted {
            done: "1/4 turn anticlockwise".to_owned(),
            setting: None,
            meant: Some("+4 %".to_owned()),
        },
    ));
    let after = wear_alone(&records);
    assert!(before < 12.0 && after > 25.0, "{before} {after}");
}
