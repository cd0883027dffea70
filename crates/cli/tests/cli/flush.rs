//! `calc flush`: golden outputs, and what it says of a line that is not known.

use crate::desk::Desk;

/// The line of most rows of the hygiene tables: 3 m of 6.35 mm.
const LINE: &str = "ouncewise calc flush --bore '6.35 mm' --length '3 m'";

fn golden(line: &str) -> String {
    let ran = Desk::new().shell(line);
    assert!(ran.code <= 1, "{line}: {}", ran.err);
    assert_eq!(ran.err, "", "{line}");
    format!("$ {line}\n{}(exit code {})\n", ran.out, ran.code)
}

#[test]
fn each_content_has_its_own_answer() {
    for (name, line) in [
        ("water", format!("{LINE} --flow '50 mL in 10 s'")),
        (
            "syrup",
            format!(
                "{LINE} --flow '5 mL/s' --contents 'syrup 60 Bx' --temperature '5 °C' --holds-pressure no --top-opens yes --pause '3 min' --prime 'syrup 60 Bx'"
            ),
        ),
        ("sanitiser", format!("{LINE} --flow '5 mL/s' --contents '100 ppm'")),
        ("turbulent", format!("{LINE} --flow '47.5 mL/s' --want '1 % at the outlet'")),
        ("unknown", "ouncewise calc flush --length '3 m' --contents 'syrup 60 Bx'".to_owned()),
    ] {
        insta::assert_snapshot!(format!("flush-{name}"), golden(&line));
    }
}

// HY-119 (PKG): at a Reynolds number of 9493, 1 % at the outlet takes 1.11 volumes of 95 mL.
#[test]
fn json_gives_what_the_text_says() {
    let desk = Desk::new();
    let line = format!("{LINE} --flow '47.5 mL/s' --want '1 % at the outlet'");
    let text = desk.shell(&line).done().out;
    let json = desk.shell(&format!("{line} --json")).done().json();
    assert_eq!(json["manner"]["kind"], "turbulent");
    let volumes = json["plans"][0]["volumes"].as_f64().unwrap();
    assert!((volumes - 1.11).abs() < 0.011, "{volumes}");
    assert!(text.contains(json["crew"].as_str().unwrap()));
    assert!(text.contains(json["least"]["words"].as_str().unwrap()));
    for caution in json["cautions"].as_array().unwrap() {
        assert!(text.contains(caution["avoid"].as_str().unwrap()));
    }
}

#[test]
fn a_phrase_that_cannot_be_read_is_named_with_its_option() {
    let desk = Desk::new();
    desk.shell("ouncewise calc flush --bore 6").ends(2).says("--bore `6` has no unit");
    desk.shell(&format!("{LINE} --flow '25 oz/s'")).ends(2).says("--flow `25 oz/s`");
    desk.shell(&format!("{LINE} --flow 25mL/s --prime-into steam")).ends(2).says("--prime");
    desk.shell(&format!("{LINE} --flow 25mL/s --holds-pressure perhaps"))
        .ends(2)
        .says("`yes`, `no`");
}
