//! Canonical bytes against RFC 8785's own examples, a second writer, and hostile input.

use std::collections::BTreeMap;

use proptest::prelude::*;
use serde::Serialize;
use serde_json::{Value, json};

use super::*;
use crate::samples::{any_text, any_value};

fn text<T: Serialize + ?Sized>(value: &T) -> String {
    String::from_utf8(to_bytes(value).unwrap()).unwrap()
}

/// A second writer, as simple as can be: sorts UTF-16 vectors, escapes character by character.
fn plain(value: &Value) -> String {
    fn quoted(text: &str) -> String {
        let escaped = text.chars().map(|c| match c {
            '"' => "\\\"".to_owned(),
            '\\' => "\\\\".to_owned(),
            '\u{8}' => "\\b".to_owned(),
            '\t' => "\\t".to_owned(),
            '\n' => "\\n".to_owned(),
            '\u{c}' => "\\f".to_owned(),
            '\r' => "\\r".to_owned(),
            c if c < ' ' => format!("\\u{:04x}", u32::from(c)),
            c => c.to_string(),
        });
        format!("\"{}\"", escaped.collect::<String>())
    }
    match value {
        Value::Null => "null".to_owned(),
        Value::Bool(b) => b.to_string(),
        Value::Number(n) => n.to_string(),
        Value::String(s) => quoted(s),
        Value::Array(list) => {
            format!("[{}]", list.iter().map(plain).collect::<Vec<_>>().join(","))
        }
        Value::Object(object) => {
            let sorted: BTreeMap<Vec<u16>, String> = object
                .iter()
                .map(|(k, v)| (k.encode_utf16().collect(), format!("{}:{}", quoted(k), plain(v))))
                .collect();
            format!("{{{}}}", sorted.into_values().collect::<Vec<_>>().join(","))
        }
    }
}

#[test]
fn keys_are_sorted_by_utf16_units() {
    // RFC 8785 §3.2.3, the example and the order it gives.
    let input = r#"{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh",
        "1":"One","\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}"#;
    let bytes = text(&parse(input.as_bytes()).unwrap());
    let order = [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O",
        "Euro Sign",
        "Emoji",
        "Hebrew",
    ];
    let places: Vec<usize> = order.iter().map(|name| bytes.find(name).unwrap()).collect();
    assert!(places.is_sorted(), "{bytes}");
}

#[test]
fn text_has_the_fewest_escapes() {
    // RFC 8785 §3.2.2 and its UTF-8 bytes in §3.2.4 (the numbers there are fractions, which we refuse).
    let input = r#"{"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"#;
    let expected =
        "{\"literals\":[null,true,false],\"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
    assert_eq!(text(&parse(input.as_bytes()).unwrap()), expected);
    assert_eq!(
        text("\u{0}\u{8}\t\n\u{c}\r\u{1f}\u{7f}\u{2028}"),
        "\"\\u0000\\b\\t\\n\\f\\r\\u001f\u{7f}\u{2028}\""
    );
}

#[test]
fn whole_numbers_within_2_to_53() {
    for good in ["0", "-1", "9007199254740991", "-9007199254740991"] {
        assert_eq!(text(&parse(good.as_bytes()).unwrap()), good);
    }
    for bad in [
        "9007199254740992",
        "-9007199254740992",
        "18446744073709551615",
        "1e2",
        "1.0",
        "-0",
        "0.1",
        "1e999",
        "18446744073709551616",
    ] {
        let error = parse(bad.as_bytes()).unwrap_err();
        assert!(matches!(error, CanonicalError::Malformed { line: 1, .. }), "{bad}: {error}");
    }
    assert_eq!(
        to_bytes(&json!({"a": [1, {"b": 9_007_199_254_740_992_u64}]})),
        Err(CanonicalError::TooBig {
            path: "/a/1/b".to_owned(),
            value: "9007199254740992".to_owned()
        })
    );
    assert_eq!(
        to_bytes(&json!({"target": 29.6})),
        Err(CanonicalError::Fraction { path: "/target".to_owned(), value: "29.6".to_owned() })
    );
    assert!(to_bytes(&f32::NAN).is_err());
    assert!(
        to_bytes(&i128::MAX).is_err()
            && to_bytes(&u128::MAX).is_err()
            && to_bytes(&i64::MIN).is_err()
    );
}

#[test]
fn refused_text_says_where() {
    let cases: [(&[u8], &str); 14] = [
        (br#"{"a":1,"a":1}"#, "is there twice"),
        (br#"{"a":{"b":1,"\u0062":2}}"#, "is there twice"),
        (b"{} {}", "trailing"),
        (b"", "EOF"),
        (b"\xef\xbb\xbf{}", "expected value"),
        (b"\"\xff\"", "unicode"),
        (br#""\ud800""#, "hex escape"),
        (br#""\ud800x""#, "hex escape"),
        (b"\"a\nb\"", "control character"),
        (b"{a:1}", "key must be a string"),
        (b"[1,]", "trailing comma"),
        (b"NaN", "expected value"),
        (b"01", "invalid number"),
        (b"'a'", "expected value"),
    ];
    for (bytes, words) in cases {
        let error = parse(bytes).unwrap_err().to_string();
        assert!(error.starts_with("line ") && error.contains(words), "{bytes:?}: {error}");
        assert!(!error.contains(" at line "), "{error}");
    }
}

#[test]
fn depth_is_bounded_both_ways() {
    let nested = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
    let deepest = parse(nested(MAX_DEPTH).as_bytes()).unwrap();
    assert_eq!(text(&deepest), nested(MAX_DEPTH));
    assert!(parse(nested(MAX_DEPTH + 1).as_bytes()).unwrap_err().to_string().contains("flatter"));
    assert!(matches!(to_bytes(&json!([deepest])), Err(CanonicalError::TooDeep { .. })));
    // No depth of brackets reaches the stack's end.
    assert!(parse(&b"[".repeat(1_000_000)).is_err());
    assert!(parse(&br#"{"a":"#.repeat(200_000)).is_err());
}

#[test]
fn every_shape_of_a_rust_type_is_written_as_json_has_it() {
    #[derive(Serialize)]
    struct Unit;
    #[derive(Serialize)]
    struct New(u8);
    #[derive(Serialize)]
    struct Pair(i8, Option<bool>);
    #[derive(Serialize)]
    enum Shape {
        Bare,
        One(char),
        Two(u16, i16),
        Named { z: u32, a: i32 },
    }
    let shapes = (
        Unit,
        New(1),
        Pair(-2, None),
        Shape::Bare,
        Shape::One('é'),
        Shape::Two(3, -4),
        Shape::Named { z: 5, a: -6 },
    );
    assert_eq!(
        text(&shapes),
        r#"[null,1,[-2,null],"Bare",{"One":"é"},{"Two":[3,-4]},{"Named":{"a":-6,"z":5}}]"#
    );
    let error = to_bytes(&BTreeMap::from([(("not", "text"), 1)])).unwrap_err();
    assert!(matches!(error, CanonicalError::NoSuchValue { .. }), "{error}");

    #[derive(Serialize)]
    enum Bad {
        One(f64),
        Two(u8, f64),
        Named { x: f64 },
    }
    for (bad, place) in
        [(Bad::One(0.5), "/One"), (Bad::Two(1, 0.5), "/Two/1"), (Bad::Named { x: 0.5 }, "/Named/x")]
    {
        assert!(to_bytes(&bad).unwrap_err().to_string().starts_with(&format!("{place}: ")));
    }
}

#[test]
fn a_key_written_twice_is_refused() {
    struct Twice;
    impl Serialize for Twice {
        fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
            serializer.collect_map([("b", 1), ("a", 2), ("b", 1)])
        }
    }
    assert_eq!(to_bytes(&[Twice]), Err(CanonicalError::DuplicateKey { path: "/0/b".to_owned() }));
}

/// Whatever the bytes, an answer or an error; and what is read is written and read again the same.
fn fuzz(bytes: &[u8]) {
    if let Ok(value) = parse(bytes) {
        let canonical = to_bytes(&value).expect("what can be parsed has canonical bytes");
        assert_eq!(parse(&canonical).unwrap(), value);
        assert_eq!(String::from_utf8(canonical).unwrap(), plain(&value));
    }
}

proptest! {
    #[test]
    fn two_writers_agree_and_reading_back_is_a_fixed_point(value in any_value()) {
        let bytes = to_bytes(&value).unwrap();
        prop_assert_eq!(std::str::from_utf8(&bytes).unwrap(), plain(&value));
        let read = parse(&bytes).unwrap();
        prop_assert_eq!(&read, &value);
        prop_assert_eq!(to_bytes(&read).unwrap(), bytes);
    }

    #[test]
    fn spelling_does_not_matter(value in any_value()) {
        let pretty = serde_json::to_vec_pretty(&value).unwrap();
        prop_assert_eq!(to_bytes(&parse(&pretty).unwrap()).unwrap(), to_bytes(&value).unwrap());
    }

    #[test]
    fn any_bytes_are_answered(bytes in proptest::collection::vec(any::<u8>(), 0..64)) {
        fuzz(&bytes);
    }

    #[test]
    fn damaged_json_is_answered(value in any_value(), cuts in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..4)) {
        let mut bytes = to_bytes(&value).unwrap();
        for (at, byte) in cuts {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        fuzz(&bytes);
    }

    #[test]
    fn keys_in_order_of_utf16(a in any_text(), b in any_text()) {
        let utf16 = |s: &str| s.encode_utf16().collect::<Vec<_>>();
        prop_assert_eq!(super::write::key_order(&a, &b), utf16(&a).cmp(&utf16(&b)));
    }
}
