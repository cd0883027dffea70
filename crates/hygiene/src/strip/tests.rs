//! Strips against HY-61, HY-62, and the outlet.

use super::*;

fn kind(classes: &[f64]) -> StripKind {
    let classes: Vec<MgPerLitre> = classes.iter().map(|class| MgPerLitre(*class)).collect();
    StripKind::new(StripReads::Chlorine, &classes).unwrap()
}

/// HY-61 (CALC; the set of classes is NO-SOURCE): edges of 10, 50, 100, 200 are 22.4, 70.7, 141 as geometric means, and 30, 75,
/// 150 as arithmetic ones.
#[test]
fn a_class_supports_up_to_its_neighbours() {
    let kind = kind(&[10.0, 50.0, 100.0, 200.0]);
    for (edges, expected) in
        [(Edges::Geometric, [22.4, 70.7, 141.4]), (Edges::Arithmetic, [30.0, 75.0, 150.0])]
    {
        for (pair, edge) in [10.0, 50.0, 100.0, 200.0].windows(2).zip(expected) {
            let below = kind.supports(MgPerLitre(pair[0]), edges).unwrap();
            let above = kind.supports(MgPerLitre(pair[1]), edges).unwrap();
            assert!((below.to.unwrap().0 - edge).abs() < 0.05, "{pair:?}: {below:?}");
            assert_eq!(below.to, Some(above.from));
        }
    }
    let hundred = kind.supports(MgPerLitre(100.0), Edges::Geometric).unwrap();
    assert_eq!(hundred.to_string(), "about 71 to 141 mg/L");
    assert!(
        hundred.holds(MgPerLitre(94.6))
            && !hundred.holds(MgPerLitre(70.0))
            && !hundred.holds(MgPerLitre(142.0))
    );
    // The ends are open: the least begins at nothing, the most has no end.
    assert_eq!(kind.supports(MgPerLitre(10.0), Edges::Geometric).unwrap().from, MgPerLitre(0.0));
    assert_eq!(kind.supports(MgPerLitre(200.0), Edges::Geometric).unwrap().to, None);
    assert_eq!(kind.supports(MgPerLitre(75.0), Edges::Geometric), None);
}

#[test]
fn a_card_may_begin_at_nothing() {
    let kind = kind(&[0.0, 100.0, 200.0]);
    assert_eq!(
        kind.supports(MgPerLitre(0.0), Edges::Geometric).unwrap().to,
        Some(MgPerLitre(50.0))
    );
    for classes in [
        &[][..],
        &[100.0][..],
        &[100.0, 50.0][..],
        &[50.0, 50.0][..],
        &[-1.0, 5.0][..],
        &[f64::NAN, 5.0][..],
    ] {
        let classes: Vec<MgPerLitre> = classes.iter().map(|class| MgPerLitre(*class)).collect();
        assert_eq!(StripKind::new(StripReads::Chlorine, &classes).unwrap_err().key, "classes");
    }
}

/// HY-62 (READ): which strip is for which product.
#[test]
fn the_strip_fits_the_chemistry() {
    use Chemistry as C;
    let right = |reads, chemistry| {
        StripKind::new(reads, &[MgPerLitre(100.0), MgPerLitre(200.0)]).unwrap().right_for(chemistry)
    };
    for chemistry in [C::Hypochlorite, C::Isocyanurate, C::OtherChlorine] {
        assert_eq!(right(StripReads::Chlorine, chemistry), RightStrip::Yes);
        assert_eq!(right(StripReads::QuatMulti, chemistry), RightStrip::No);
    }
    assert_eq!(right(StripReads::Iodine, C::Iodine), RightStrip::Yes);
    assert_eq!(right(StripReads::QuatSingle, C::QuatSingle), RightStrip::Yes);
    assert_eq!(right(StripReads::QuatSingle, C::QuatMulti), RightStrip::No);
    assert_eq!(right(StripReads::QuatMulti, C::QuatUnstated), RightStrip::NotStated);
    assert_eq!(right(StripReads::Other, C::Other), RightStrip::Yes);
    assert_eq!(right(StripReads::Chlorine, C::Other), RightStrip::No);
}

#[test]
fn the_last_day_counts() {
    assert_eq!(InDate::on(&"2025-11-30", Some(&"2025-11-30")), InDate::Yes);
    assert_eq!(InDate::on(&"2025-12-01", Some(&"2025-11-30")), InDate::No);
    assert_eq!(InDate::on(&"2025-12-01", None), InDate::NotStated);
}

/// A strip in the bucket says nothing about the line: it is taken at the outlet, and a weak one there names its causes (HY-65,
/// READ).
#[test]
fn the_outlet_is_held_to_the_bucket() {
    let kind = kind(&[10.0, 50.0, 100.0, 200.0]);
    let read = |class| StripRead { kind: &kind, class: MgPerLitre(class), in_date: InDate::Yes };
    let says = |class| at_outlet(MgPerLitre(100.0), &read(class), Chemistry::Isocyanurate);
    assert_eq!(says(100.0), AtOutlet::Arrived);
    assert_eq!(says(50.0), AtOutlet::Weaker);
    assert_eq!(says(200.0), AtOutlet::Stronger);
    assert_eq!(says(75.0), AtOutlet::SaysNothing);
    assert!(says(50.0).words().contains("residue"));
    let old = StripRead { in_date: InDate::No, ..read(100.0) };
    assert_eq!(at_outlet(MgPerLitre(100.0), &old, Chemistry::Isocyanurate), AtOutlet::SaysNothing);
    assert_eq!(
        at_outlet(MgPerLitre(100.0), &read(100.0), Chemistry::Iodine),
        AtOutlet::SaysNothing
    );
    assert_ne!(
        at_outlet(MgPerLitre(f64::NAN), &read(100.0), Chemistry::Isocyanurate),
        AtOutlet::Arrived
    );
}
