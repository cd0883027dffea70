//! Publishing a procedure: what holds is recorded once, what does not is refused, and both can be taken back.

use crate::desk::Desk;

const MODEL: &str = include_str!("../../../../content/procedures/screw-trim/family.toml");
const CALIBRATE: &str =
    include_str!("../../../../content/procedures/screw-trim/weekly-calibration.toml");

#[test]
fn a_text_that_holds_is_published_once_and_can_be_withdrawn() {
    let desk = Desk::with_starter();
    let with = |title: &str| CALIBRATE.replace("Weekly calibration", title);
    desk.write("family.toml", MODEL);
    desk.write("weekly-calibration.toml", with("Our calibration"));
    let publish = |more: &[&str]| {
        let args = ["publish", "weekly-calibration.toml", "--json"];
        desk.run(args.iter().chain(more).copied()).done().json()
    };
    assert_eq!(publish(&["--dry-run"])["outcome"], "would-be-published");
    let first = publish(&["--yes"]);
    assert_eq!(first["outcome"], "published");
    assert_eq!(first["check"]["verdict"], "checked");
    // The card prints the same version.
    let card = desk.run(["card", "weekly-calibration.toml"]).done().out;
    assert!(card.contains(&first["version"].as_str().unwrap()[..12]));
    let again = publish(&["--yes"]);
    assert_eq!((&again["outcome"], &again["record"]), (&"in-force".into(), &first["record"]));
    desk.write("weekly-calibration.toml", with("Our new calibration"));
    assert_ne!(publish(&["--yes"])["version"], first["version"]);
    // Without a terminal nobody can answer.
    desk.run(["publish", "weekly-calibration.toml", "--withdraw"]).ends(2);
    let withdrawn = publish(&["--withdraw", "--yes"]);
    assert_eq!(withdrawn["outcome"], "withdrawn");
    // What is in force again is checked.
    assert_eq!(withdrawn["check"]["verdict"], "checked");
    desk.write("weekly-calibration.toml", with("Our calibration"));
    assert_eq!(publish(&["--dry-run"])["outcome"], "in-force");
    // What was withdrawn can be published again.
    desk.write("weekly-calibration.toml", with("Our new calibration"));
    assert_eq!(publish(&["--yes"])["outcome"], "published");
    assert_eq!(publish(&["--dry-run"])["outcome"], "in-force");
    assert_eq!(publish(&["--name", "ours", "--yes"])["outcome"], "published");
    let kit = desk.run(["kit", "screw-trim/ours", "--json"]).done().json();
    assert_eq!(kit["follows"][0]["title"], "Our new calibration");
    assert!(!kit["bring"].as_array().unwrap().is_empty());
    let last = ["publish", "screw-trim/ours", "--withdraw", "--yes", "--json"];
    let last = desk.run(last).done().json();
    assert_eq!((&last["outcome"], &last["check"]), (&"withdrawn".into(), &serde_json::Value::Null));
    desk.run(["verify"]).done();
}

#[test]
fn a_text_that_the_group_has_is_published_under_the_model_that_its_family_has_now() {
    let desk = Desk::with_starter();
    desk.write("family.toml", MODEL);
    desk.write("weekly-calibration.toml", CALIBRATE);
    desk.run(["publish", "weekly-calibration.toml", "--yes"]).done();
    let again = ["publish", "screw-trim/weekly-calibration", "--dry-run", "--json"];
    assert_eq!(desk.run(again).done().json()["outcome"], "in-force");
    desk.write("family.toml", format!("{MODEL}\n# A newer model.\n"));
    desk.write("calibration.toml", CALIBRATE);
    desk.run(["publish", "calibration.toml", "--yes"]).done();
    assert_eq!(desk.run(again).done().json()["outcome"], "would-be-published");
}

#[test]
fn a_text_that_does_not_hold_is_refused_with_its_findings() {
    let desk = Desk::with_starter();
    desk.write("family.toml", MODEL);
    // Nothing opened or handled since it was sanitised goes into service: without the soak it was never sanitised.
    let clean = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    let broken = clean.replace("use = \"sanitise\"", "use = \"flush\"");
    desk.write("weekly-clean.toml", broken);
    let ran = desk.run(["publish", "weekly-clean.toml", "--yes", "--json"]).ends(1).json();
    assert_eq!((&ran["outcome"], &ran["check"]["verdict"]), (&"refused".into(), &"broken".into()));
    assert!(!ran["faults"].as_array().unwrap().is_empty(), "{ran}");
    desk.write("unread.toml", "family = \"screw-trim\"\nkind = \"polish\"\n");
    let ran = desk.run(["publish", "unread.toml", "--yes", "--json"]).ends(1).json();
    assert_eq!(ran["check"]["verdict"], "unreadable");
    desk.run(["publish", "screw-trim/nothing", "--yes"]).ends(2);
    desk.run(["publish", "screw-trim/weekly-clean", "--name", "Our Clean", "--yes"]).ends(2);
    desk.run(["publish", "screw-trim/weekly-clean", "--withdraw", "--yes"]).ends(2);
}
