//! That what was looked at already need not be looked at again.

use super::*;
use crate::read;
use crate::terms::AfterRule;

const SHIPPED: [(&str, &str); 2] = [
    (
        include_str!("../../../../content/procedures/screw-trim/family.toml"),
        include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml"),
    ),
    (
        include_str!("../../../../content/procedures/roller-pump/family.toml"),
        include_str!("../../../../content/procedures/roller-pump/change-flavour.toml"),
    ),
];

/// Every mistake in a procedure: a search from the beginning, and one that begins where the mistake is made.
fn assert_same(family: &str, text: &str, after: AfterRule, most: usize) -> usize {
    let family = read::family("family.toml", family).0.unwrap();
    let procedure = read::procedure("p.toml", text, &family).0.unwrap();
    let terms = Terms { after, most, ..Terms::default() };
    let right = Right::of(Program::new(&family, &procedure, &terms), most);
    let mut told = 0;
    for spot in right.program.spots() {
        for mistake in [Mistake::LeftOut, Mistake::Twice, Mistake::Swapped] {
            let Some(wrong) = right.program.with(spot, mistake) else { continue };
            let one = explore::<1>(&wrong, most).broken;
            let mut two = explore::<2>(&wrong.in_turn(), most).broken;
            two.retain(|broken| !broken.is_among(&one));
            let one = one.into_iter().map(|broken| (broken, false));
            let mut all: Vec<_> = one.chain(two.into_iter().map(|b| (b, true))).collect();
            all.retain(|(b, _)| !right.known.contains(&(b.rule, b.spot)));
            assert_eq!(
                right.fresh(&wrong, &changed(spot, mistake), true),
                all,
                "{mistake:?} at {spot:?}"
            );
            told += all.len();
        }
    }
    told
}

#[test]
fn a_search_from_the_mistake_on_tells_what_one_from_the_beginning_tells() {
    for (family, text) in SHIPPED {
        for after in [AfterRule::DrainNoRinse, AfterRule::Rinse] {
            assert!(assert_same(family, text, after, 400_000) > 30);
        }
        // A text with a fault of its own, and one that is too large to be looked at whole.
        let faulty = text.replacen("do = \"restore\"", "do = \"isolate\"", 1);
        assert_same(family, &faulty, AfterRule::Drain, 400_000);
        assert_same(family, text, AfterRule::DrainNoRinse, 60);
    }
}
