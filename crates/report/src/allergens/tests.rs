//! Changes of product and shared parts, held against HY-34 (CALC) of the hygiene tables: flushing alone cannot show that an
//! allergen is gone; replace the parts, or dedicate the line; a shared nozzle defeats a dedicated line.

use ouncewise_estate::files;
use ouncewise_ledger::order::Outcome;
use ouncewise_ledger::{Entered, Scope, Subject};
use uuid::Uuid;

use super::*;

/// Two lines, sesame in the first, end in one nozzle; a third machine names no parts.
fn estate() -> Estate {
    let files = [
        ("estate.toml", "[group]\nname = \"G\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\n"),
        (
            "families/screw.toml",
            "name = \"Screw\"\nmetering = \"rate\"\n[adjuster]\nkind = \"none\"\n\
             [parts.seal]\nname = \"valve seal\"\n[parts.ring]\nname = \"outer ring\"\ntouches = \"nothing\"\n",
        ),
        (
            "families/joint.toml",
            "name = \"Joint\"\nmetering = \"rate\"\n[adjuster]\nkind = \"none\"\n\
             [parts.nozzle]\nname = \"nozzle\"\ntouches = \"all-lines\"\n",
        ),
        (
            "families/bare.toml",
            "name = \"Bare\"\nmetering = \"rate\"\n[adjuster]\nkind = \"none\"\n",
        ),
        (
            "products.toml",
            "[pandan]\nname = \"Pandan\"\n[cherry]\nname = \"Cherry\"\n\
             [sesame]\nname = \"Black sesame\"\nallergens = [\"sesame\"]\n",
        ),
        ("measures.toml", ""),
        ("sites.csv", "site\ns\n"),
        ("machines.csv", "site,machine,family\ns,a,screw\ns,j,joint\ns,b,bare\n"),
        (
            "lines.csv",
            "site,machine,line,product,target,tolerance,draw\n\
             s,a,1,pandan,30 mL,5 %,7 s\n\
             s,j,1,pandan,30 mL,5 %,7 s\ns,j,2,sesame,30 mL,5 %,7 s\n\
             s,b,1,pandan,30 mL,5 %,7 s\n",
        ),
    ];
    let files =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).collect();
    let (estate, faults) = files::read(&files);
    assert_eq!(faults, []);
    estate
}

fn at(machine: &str) -> Address {
    Address::new("s", machine, "1").unwrap()
}

fn event(day: &str, part: Option<&str>, body: Body) -> Event {
    let mut subject = Subject::line("a", "1");
    subject.part = part.map(str::to_owned);
    let record = Record {
        v: 1,
        id: Uuid::from_u128(day.bytes().fold(1, |sum, byte| sum * 31 + u128::from(byte))),
        scope: Scope::site("s").unwrap(),
        subject,
        at: format!("{day}T06:40:00.000Z"),
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

fn changed(day: &str, product: &str) -> Event {
    event(day, None, Body::ProductChanged { product: product.to_owned() })
}

fn renewed(day: &str, part: &str) -> Event {
    event(day, Some(part), Body::PartReplaced { number: None, lot: None, why: None })
}

#[test]
fn a_planned_change_off_an_allergen_says_what_flushing_cannot_show() {
    let mut estate = estate();
    let line = |estate: &mut Estate, machine: &str, product: &str| {
        let machines = &mut estate.sites.get_mut("s").unwrap().machines;
        let lines = &mut machines.get_mut(machine).unwrap().lines;
        lines.get_mut("1").unwrap().product = product.parse().unwrap();
    };
    assert_eq!(planned_allergens(&estate, &at("a"), "cherry"), None);
    assert_eq!(
        planned_allergens(&estate, &at("a"), "sesame"),
        None,
        "it has more, and leaves none"
    );
    line(&mut estate, "a", "sesame");
    let told = planned_allergens(&estate, &at("a"), "pandan").unwrap();
    assert!(!told.shown_clean);
    assert_eq!(told.parts, ["tubes", "valve seal"], "what no product touches is no matter");
    assert_eq!(
        told.words,
        "Black sesame to Pandan: cannot be shown clean of sesame: flushing leaves some at the wall; \
         replace tubes and valve seal, or keep this line for one product"
    );
    // Where a family names no parts, nobody knows what to replace.
    line(&mut estate, "b", "sesame");
    let told = planned_allergens(&estate, &at("b"), "pandan").unwrap();
    assert!(!told.shown_clean && told.words.contains("enter the parts"), "{}", told.words);
    // Line 2 still runs sesame through the nozzle: a new one does not help.
    line(&mut estate, "j", "sesame");
    let told = planned_allergens(&estate, &at("j"), "pandan").unwrap();
    assert!(
        told.words.contains("a nozzle that several lines share carries it over"),
        "{}",
        told.words
    );
}

#[test]
fn what_was_in_a_line_stays_until_every_part_is_newer() {
    let estate = estate();
    let told = |events: &[Event]| line_allergens(&estate, &at("a"), events);
    let mut events = vec![
        changed("2026-01-05", "sesame"),
        changed("2026-02-02", "cherry"),
        changed("2026-02-09", "pandan"),
    ];
    let found = told(&events);
    // Through two changes; the day is that on which it left.
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].at.as_deref(), Some("2026-02-02T06:40:00.000Z"));
    assert_eq!((found[0].from.as_str(), found[0].parts.len()), ("Black sesame", 2));
    // A part from before the change was soaked in it.
    events.insert(1, renewed("2026-01-20", "seal"));
    assert_eq!(told(&events)[0].parts, ["tubes", "valve seal"]);
    events.push(renewed("2026-02-10", "seal"));
    assert_eq!(told(&events)[0].parts, ["tubes"]);
    assert!(!told(&events)[0].shown_clean);
    events.push(renewed("2026-02-11", "tubes"));
    let whole = told(&events);
    assert!(
        whole[0].shown_clean
            && whole[0].words.contains("every part that sesame touched was replaced")
    );
    // Withdrawn, the new tubes were never there.
    let record = &mut events.last_mut().unwrap().outcome;
    *record = Outcome::Withdrawn { reason: "slip".to_owned(), by: Uuid::nil() };
    assert!(!told(&events)[0].shown_clean);
    // Another machine has none of this one's past.
    events.push(event(
        "2026-02-20",
        None,
        Body::MachineSwapped { serial: "x".to_owned(), family: None },
    ));
    assert_eq!(told(&events), []);
}

#[test]
fn a_line_described_anew_with_another_product_is_a_change_too() {
    let of = |product: &str| {
        let definition = [("product".to_owned(), product.into())].into_iter().collect();
        Body::Configured { thing: Thing::Line, key: "1".to_owned(), definition }
    };
    let mut events =
        [event("2026-01-05", None, of("sesame")), event("2026-02-02", None, of("pandan"))];
    for event in &mut events {
        event.record.subject.line = None;
    }
    let found = line_allergens(&estate(), &at("a"), &events);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].allergens, ["sesame"]);
}

#[test]
fn a_shared_nozzle_defeats_a_line_kept_for_one_product() {
    let found = line_allergens(&estate(), &at("j"), &[]);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].about.as_str(), found[0].shown_clean), ("shared-part", false));
    assert_eq!(
        found[0].to_string(),
        "line s/j/1: Pandan cannot be shown free of sesame: line 2 (Black sesame) runs through the same nozzle; \
         give it one of its own, or tell guests"
    );
    assert_eq!(line_allergens(&estate(), &at("a"), &[]), []);
    assert!(allergen_caution().starts_with("WARNING: An allergen of the old product"));
}

/// HY-34 (CALC): 1 % protein, 0.1 % carried over and 39 g are 0.39 mg; it stands where a change of product is told.
#[test]
fn the_caution_says_how_much_a_portion_still_holds() {
    let caution = allergen_caution();
    assert!(caution.contains("still holds 0.39 mg") && caution.contains("remembered"), "{caution}");
}
