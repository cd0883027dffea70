//! What people write for an amount and a draw, and what is refused.

use super::*;
use crate::quantity::{Grams, Millilitres, Seconds};
use proptest::prelude::*;

#[test]
fn amounts_are_read_as_written() {
    for (typed, canonical) in [
        ("29,6 ml", "29.6 mL"),
        ("31g", "31 g"),
        ("0 mL", "0 mL"),
        ("1.02 fl oz (US)", "1.02 fl oz (US)"),
        ("at 30 mL", "at the 30 mL mark"),
        ("at the 30 mL mark", "at the 30 mL mark"),
        ("At the 30ml line", "at the 30 mL mark"),
        ("on 30 mL", "at the 30 mL mark"),
        ("= 30 mL", "at the 30 mL mark"),
        ("30 mL mark", "at the 30 mL mark"),
        ("30 mL-mark", "at the 30 mL mark"),
        ("over the 30 mL mark", "over the 30 mL mark"),
        ("OVER 30 ML", "over the 30 mL mark"),
        ("> 30 mL", "over the 30 mL mark"),
        (">30ml", "over the 30 mL mark"),
        ("above 30,0 ml", "over the 30.0 mL mark"),
        ("more than 30 mL", "over the 30 mL mark"),
        ("under 30 ml", "under the 30 mL mark"),
        ("<\u{a0}1 fl oz (US)", "under the 1 fl oz (US) mark"),
        ("below the 1 US fl oz mark ", "under the 1 fl oz (US) mark"),
        ("less than 30 mL", "under the 30 mL mark"),
        ("\u{feff}under30mL", "under the 30 mL mark"),
    ] {
        let read: AmountRead = typed.parse().unwrap_or_else(|error| panic!("{typed:?}: {error}"));
        assert_eq!(read.to_string(), canonical, "{typed:?}");
    }
}

#[test]
fn draws_are_read_as_written() {
    for (typed, canonical) in [
        ("7.1s", "7.1 s"),
        ("7,10 sec", "7.10 s"),
        ("1 min", "1 min"),
        ("7100 ms", "7100 ms"),
        ("1 dose", "1 dose"),
        ("1 doses", "1 dose"),
        ("2 Doses", "2 doses"),
        ("3 shots", "3 doses"),
        ("2x", "2 doses"),
        ("2.0 doses", "2 doses"),
        (" 4294967295 doses", "4294967295 doses"),
    ] {
        let read: DrawRead = typed.parse().unwrap_or_else(|error| panic!("{typed:?}: {error}"));
        assert_eq!(read.to_string(), canonical, "{typed:?}");
    }
}

#[test]
fn readings_become_what_is_computed_with() {
    let amount = |text: &str| text.parse::<AmountRead>().unwrap().amount().unwrap();
    assert_eq!(amount("29.6 mL"), Amount::Volume(Millilitres(29.6)));
    assert_eq!(amount("1 oz (weight)"), Amount::Mass(Grams(28.349_523_125)));
    assert_eq!(
        amount("over 1 fl oz (US)"),
        Amount::Mark(MarkSide::Over, Millilitres(29.573_529_562_5))
    );
    let draw = |text: &str| text.parse::<DrawRead>().unwrap().draw().unwrap();
    assert_eq!(draw("7.1 s"), Draw::Time(Seconds(7.1)));
    assert_eq!(draw("2 doses"), Draw::Doses(2));
}

#[test]
fn amounts_that_cannot_be_are_refused_at_their_place() {
    for (typed, fault, faulty, says) in [
        ("-1 g", Fault::TooSmall, "-1 g", "less than nothing"),
        ("at 0 mL", Fault::TooSmall, "0 mL", "no mark"),
        ("over -3 mL", Fault::TooSmall, "-3 mL", "no mark"),
        ("over 31 g", Fault::WrongDimension, "31 g", "is a weight"),
        ("7.1 s", Fault::WrongDimension, "7.1 s", "is a time"),
        ("4 °C", Fault::WrongDimension, "4 °C", "is a temperature"),
        ("≥ 30 mL", Fault::Side, "≥", "leaves open"),
        (">= 30 mL", Fault::Side, ">=", "leaves open"),
        ("at least 30 mL", Fault::Side, "at least", "leaves open"),
        ("over the 1 oz mark", Fault::WhichUnit, "oz", "`fl oz (US)`"),
        ("over 1,234 mL", Fault::Separator, "1,234", "`1.234`"),
        ("over", Fault::Empty, "", "`30 mL`"),
        ("", Fault::Empty, "", "`30 mL`"),
        ("attic 30 mL", Fault::NoNumber, "attic 30 mL", "number first"),
        ("mark", Fault::NoNumber, "mark", "number first"),
        ("OK", Fault::NoNumber, "OK", "number first"),
    ] {
        let error = typed.parse::<AmountRead>().expect_err(typed);
        assert_eq!(error.fault, fault, "{typed:?}: {error}");
        assert_eq!(&typed[error.span.clone()], faulty, "{typed:?}: {error}");
        assert!(error.to_string().contains(says), "{typed:?}: {error}");
    }
}

#[test]
fn draws_that_cannot_be_are_refused_at_their_place() {
    for (typed, fault, faulty, says) in [
        ("7", Fault::NoUnit, "7", "`7 s` or `7 doses`"),
        ("0 s", Fault::TooSmall, "0 s", "no time"),
        ("-1 s", Fault::TooSmall, "-1 s", "no time"),
        ("0 doses", Fault::TooSmall, "0 doses", "no draw"),
        (" 1.5 doses", Fault::NotWhole, "1.5 doses", "whole"),
        ("-1 doses", Fault::NotWhole, "-1 doses", "whole"),
        ("4294967296 doses", Fault::NotWhole, "4294967296 doses", "whole"),
        ("30 mL", Fault::WrongDimension, "30 mL", "is a volume"),
        ("0:07", Fault::UnknownUnit, ":07", "in seconds"),
        ("fast", Fault::NoNumber, "fast", "number first"),
        ("", Fault::Empty, "", "nothing"),
    ] {
        let error = typed.parse::<DrawRead>().expect_err(typed);
        assert_eq!(error.fault, fault, "{typed:?}: {error}");
        assert_eq!(&typed[error.span.clone()], faulty, "{typed:?}: {error}");
        assert!(error.to_string().contains(says), "{typed:?}: {error}");
    }
}

#[test]
fn a_reading_made_by_hand_is_checked_too() {
    let mark = "7.1 s".parse().unwrap();
    assert!(AmountRead::Mark { side: MarkSide::At, mark }.amount().is_err());
    assert!(DrawRead::Doses(0).draw().is_err());
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in ".*") {
        fuzz_reading(text.as_bytes());
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..64)) {
        fuzz_reading(&bytes);
    }

    #[test]
    fn canonical_forms_read_back(hundredths in 1..1_000_000_u32, doses in 1..u32::MAX, side in 0..4_usize) {
        let quantity: Quantity = format!("{}.{:02} mL", hundredths / 100, hundredths % 100).parse().unwrap();
        let amount = match side {
            0 => AmountRead::Number(quantity),
            1 => AmountRead::Mark { side: MarkSide::At, mark: quantity },
            2 => AmountRead::Mark { side: MarkSide::Over, mark: quantity },
            _ => AmountRead::Mark { side: MarkSide::Under, mark: quantity },
        };
        prop_assert_eq!(amount.to_string().parse(), Ok(amount));
        prop_assert_eq!(DrawRead::Doses(doses).to_string().parse(), Ok(DrawRead::Doses(doses)));
    }
}
