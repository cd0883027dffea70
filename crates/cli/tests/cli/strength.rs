//! `calc strength`: label and code both, a profile of one's own, and no where nothing is shown.

use crate::desk::Desk;

const MIX: [&str; 20] = [
    "calc",
    "strength",
    "--chemistry",
    "isocyanurate",
    "--label-strength",
    "100 to 200 ppm",
    "--label-contact",
    "60 s",
    "--product",
    "0.9464 g available",
    "--dose",
    "1 sachet",
    "--temperature",
    "75 °F",
    "--ph",
    "7",
    "--strips",
    "chlorine 10 50 100 200",
    "--bucket",
    "100 ppm",
];

fn mixed(desk: &Desk, more: &[&'static str], code: i32) -> String {
    desk.run(MIX.iter().chain(more).copied()).ends(code).out
}

#[test]
fn a_right_mix_is_accepted_and_the_other_gallon_is_not() {
    let desk = Desk::new();
    let right = mixed(&desk, &["--profile", "model-code", "--water", "2 gal (US)"], 0);
    assert!(right.contains("verdict    accepted") && right.contains("4-501.114"), "{right}");
    // HY-54 (CALC): 0.9464 g in 2.5 imperial gallons is 83.3 mg/L, under the label.
    let wrong = mixed(&desk, &["--profile", "model-code", "--water", "2.5 gal (imp)"], 1);
    assert!(wrong.contains("verdict    not accepted"), "{wrong}");
}

#[test]
fn without_a_label_nothing_is_covered() {
    let ran = Desk::new().run(["calc", "strength", "--profile", "california"]).ends(1);
    assert!(ran.out.contains("verdict    not covered"), "{}", ran.out);
}

#[test]
fn a_profile_of_ones_own_is_read_and_its_faults_are_told_all_at_once() {
    let desk = Desk::new();
    desk.write("ours.toml", include_str!("../../../../content/profiles/model-code.toml"));
    mixed(&desk, &["--profile", "ours.toml", "--water", "2 gal (US)"], 0);
    desk.write("bad.toml", "id = \"ours\"\nspeed = 3\n");
    let ran = desk.run(["calc", "strength", "--profile", "bad.toml"]).ends(65);
    assert!(ran.err.contains("speed") && ran.err.contains("edition"), "{}", ran.err);
    desk.run(["calc", "strength", "--profile", "nowhere.toml"]).ends(74);
    let ran = desk.run(["calc", "strength", "--profile", "atlantis"]).ends(2);
    assert!(ran.err.contains("model-code"), "{}", ran.err);
}

#[test]
fn check_tells_every_fault_of_a_profile_at_its_place() {
    let desk = Desk::new();
    let model = include_str!("../../../../content/profiles/model-code.toml");
    desk.write("ours.toml", model);
    desk.run(["check", "ours.toml"]).done().prints("no faults");
    let broken = model.replace("from = 25\n", "form = 25\n").replace("days = 7\n", "days = 7.5\n");
    desk.write("ours.toml", broken);
    let ran = desk.run(["check", "ours.toml"]).ends(1);
    assert!(ran.out.contains("form = 25") && ran.out.contains("days = 7.5"), "{}", ran.out);
}
