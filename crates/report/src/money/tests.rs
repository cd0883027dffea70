//! What a line costs, from records written out by hand: nothing by doubt, and each call once.

use ouncewise_estate::files;
use ouncewise_estimate::stand;
use ouncewise_ledger::{Entered, LineState, Scope, Subject};
use uuid::Uuid;

use super::*;

/// A machine of three lines and one of a single line; 5.00 EUR/L, 1.40 EUR a drink, 700 portions of 30 mL.
fn estate() -> Estate {
    let files = [
        (
            "estate.toml",
            "[group]\nname = \"G\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\nremade = \"1.40\"\n",
        ),
        (
            "families/screw.toml",
            "name = \"Screw\"\nmetering = \"rate\"\n[adjuster]\nkind = \"none\"\n",
        ),
        (
            "products.toml",
            "[pandan]\nname = \"Pandan\"\ncost = \"5.00 EUR/L\"\n[cherry]\nname = \"Cherry\"\ncost = \"9.00 EUR/L\"\n",
        ),
        (
            "measures.toml",
            "[cup]\nname = \"cup\"\nkind = \"vessel\"\ndivision = \"2 mL\"\ntolerance = \"1 mL\"\n",
        ),
        ("sites.csv", "site,measures\ns,cup = cup\n"),
        ("machines.csv", "site,machine,family\ns,a,screw\ns,b,screw\n"),
        (
            "lines.csv",
            "site,machine,line,product,target,tolerance,draw,measure,portions\n\
             s,a,1,pandan,30 mL,5 %,7 s,cup,700\n\
             s,a,2,pandan,30 mL,5 %,7 s,cup,700\n\
             s,a,3,pandan,30 mL,5 %,7 s,cup,700\n\
             s,b,1,pandan,30 mL,5 %,7 s,cup,700\n",
        ),
    ];
    let files =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).collect();
    let (estate, faults) = files::read(&files);
    assert_eq!(faults, []);
    estate
}

/// So many days before now, which is 2026-03-29.
fn event(days: i64, subject: Subject, body: Body) -> Event {
    let at = now() - SignedDuration::from_hours(24 * days);
    let record = Record {
        v: 1,
        id: Uuid::now_v7(),
        scope: Scope::site("s").unwrap(),
        subject,
        at: at.strftime("%Y-%m-%dT%H:%M:%S.000Z").to_string(),
        device: "t".to_owned(),
        sequence: 1,
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body,
    };
    let received = record.at.clone();
    Event { index: 0, received, record, outcome: Outcome::Stands, flags: Vec::new() }
}

fn now() -> Timestamp {
    "2026-03-29T06:00:00Z".parse().unwrap()
}

fn caught(days: i64, amount: &str) -> Event {
    let body = Body::CatchTaken {
        state: LineState::AsFound,
        amount: amount.to_owned(),
        draw: "7 s".to_owned(),
        measure: "cup".to_owned(),
        water: None,
        water_draw: None,
        temperature: None,
    };
    event(days, Subject::line("a", "1"), body)
}

fn called(days: i64, subject: Subject, cost: Option<&str>) -> Event {
    let cost = cost.map(ToOwned::to_owned);
    event(days, subject, Body::TechnicianCalled { fault: "leaks".to_owned(), cost, out: None })
}

fn adjusted(days: i64) -> Event {
    let body = Body::LineAdjusted { done: "1/4 turn".to_owned(), setting: None, meant: None };
    event(days, Subject::line("a", "1"), body)
}

/// What line 1 of the machine of three costs by its catches.
fn costs(events: &[Event]) -> MoneyReport {
    let estate = estate();
    let happenings = events.iter().map(|event| (&event.record, &event.record.body));
    let scope = Scope::site("s").unwrap();
    let rows = stand(&estate, &scope, "a", |_| true, happenings);
    line_money(&estate, &rows[0].standing, events, (now(), Units::Metric)).unwrap()
}

fn amount(report: &MoneyReport, kind: &str) -> Option<f64> {
    Some(report.a_week.iter().find(|item| item.kind == kind)?.amount)
}

fn near(got: Option<f64>, want: f64) {
    assert!(got.is_some_and(|got| (got - want).abs() < 1e-9), "{got:?} {want}");
}

// By hand: 30 mL are 30 mL, however rough the cup; 3 mL over are 700 × 3 mL at 5.00 EUR/L.
#[test]
fn doubt_is_no_cost_and_is_told_beside_it() {
    let on = costs(&[caught(7, "30 mL")]);
    near(amount(&on, "given-away"), 0.0);
    near(amount(&on, "made-again"), 0.0);
    for item in &on.a_week[..2] {
        assert!(item.reason.contains("its doubt leaves open 0.00 to "), "{}", item.reason);
        assert!(!item.reason.contains("0.00 to 0.00"), "{}", item.reason);
    }
    near(amount(&costs(&[caught(7, "33 mL")]), "given-away"), 10.5);
}

#[test]
fn a_line_that_was_touched_costs_nothing_that_no_catch_showed() {
    let touched = costs(&[caught(7, "33 mL"), adjusted(6)]);
    assert_eq!(amount(&touched, "given-away"), None);
    assert_eq!(amount(&touched, "made-again"), None);
    assert_eq!(touched.not_stated, ["what it pours since it was touched, with a catch"]);
    assert!(amount(&touched, "poured-away").is_some());
    assert_eq!(costs(&[caught(7, "33 mL"), adjusted(6), caught(5, "33 mL")]).not_stated.len(), 0);
}

// By hand: two catches of 30 mL in two weeks at 5.00 EUR/L, whatever came; and one in one week since another product is in it.
#[test]
fn what_was_poured_away_is_what_the_recipe_pours_of_the_present_product() {
    near(amount(&costs(&[caught(14, "30 mL"), caught(7, "0 mL")]), "poured-away"), 0.15);
    let body = Body::ProductChanged { product: "pandan".to_owned() };
    let change = event(10, Subject::line("a", "1"), body);
    let changed = costs(&[caught(14, "30 mL"), change, caught(7, "30 mL")]);
    near(amount(&changed, "poured-away"), 0.15);
    assert!(changed.a_week.iter().any(|item| item.reason.starts_with("1 catch in 1 week,")));
}

// By hand: 300 EUR for three lines, 400 EUR for the site's four, and 52 EUR for the line itself.
#[test]
fn a_call_for_several_lines_is_divided_by_their_number() {
    let machine = called(30, Subject::machine("a"), Some("300 EUR"));
    let site = called(20, Subject::default(), Some("400 EUR"));
    let line = called(10, Subject::line("a", "1"), Some("52 EUR"));
    let told = costs(&[machine, site, line]);
    near(amount(&told, "technician"), (100.0 + 100.0 + 52.0) / 52.0);
    assert!(told.a_week[0].reason.contains("divided by their number"), "{told:?}");
    let alone = costs(&[called(10, Subject::line("a", "1"), Some("52 EUR"))]);
    assert!(!alone.a_week[0].reason.contains("divided"), "{alone:?}");
    let silent = costs(&[called(10, Subject::line("a", "1"), None)]);
    assert_eq!(silent.a_week, []);
    assert_eq!(silent.not_stated, ["what 1 call of a technician cost, with the record"]);
}
