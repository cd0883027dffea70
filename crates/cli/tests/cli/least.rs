//! What the procedures that ship ask of a flush, beside the least time of the demo's lines.

use ouncewise_estate::{Address, Units};
use ouncewise_procedure::read;
use ouncewise_report::{line_flush, shipped_family};
use ouncewise_simulate::larkfield;

// No source: a step that runs shorter than the least time of `line` would leave more than the 1 % that `line` speaks of.
#[test]
fn no_family_that_ships_flushes_shorter_than_its_lines_need_at_best() {
    let estate = larkfield::estate(Units::Metric);
    let mut held = std::collections::BTreeSet::new();
    for (site, known) in &estate.sites {
        for (machine, of) in &known.machines {
            let Some(text) = shipped_family(of.family.as_str()) else { continue };
            let family = read::family("family.toml", text).0.unwrap();
            let asked = f64::from(family.flush.unwrap().0);
            for line in of.lines.keys() {
                let address = Address::new(site, machine, line).unwrap();
                let Some(least) =
                    line_flush(&estate, &address, Units::Metric).and_then(|told| told.least)
                else {
                    continue;
                };
                let best = least.at_best.0;
                assert!(
                    asked >= best,
                    "{address}: {} asks {asked} s, and {best} s is the least",
                    family.key
                );
                held.insert(family.key.clone());
            }
        }
    }
    assert_eq!(held.into_iter().collect::<Vec<_>>(), ["roller-pump", "screw-trim"]);
}
