//! What is asked about honest months, and about made-up ones.

use super::super::nature::Nature;
use super::super::{Kind, doubted};

// Asked for: at most 0.2 % of honest months, and made-up ones told with an AUC of 0.95 or more. Few months are looked at
// here: `simulate evidence` looks at many.
#[test]
fn honest_months_are_left_alone_and_crude_inventions_are_not() {
    let told = doubted(&Nature::hard(), 11, (120, 30), 1);
    let of = |kind: Kind| told.iter().find(|asked| asked.kind == kind).unwrap();
    for (kind, _) in Kind::HONEST {
        assert_eq!(of(kind).asked, 0, "{kind:?}");
        assert!(of(kind).auc.is_none());
    }
    for kind in [Kind::Copies, Kind::CarriesForward, Kind::TooNear] {
        assert!(of(kind).auc.unwrap() > 0.9, "{:?}", of(kind));
    }
    // Who knows how real readings scatter, and takes the time, cannot be told: chance is 0.5.
    let careful = of(Kind::Careful).auc.unwrap();
    assert!((careful - 0.5).abs() < 0.2, "{careful}");
    assert_eq!(of(Kind::Careful).asked, 0);
}

#[test]
fn the_same_seed_gives_the_same_on_any_number_of_threads() {
    let look = |threads| doubted(&Nature::plain(), 3, (12, 4), threads);
    assert_eq!(look(1), look(3));
}
