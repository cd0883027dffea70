//! Doubtful records: asked about only where the owner agreed.

use crate::desk::Desk;

/// Twelve rounds of one line, which all read the same.
fn desk() -> Desk {
    let desk = Desk::with_starter();
    let mut rows = String::new();
    for day in 1..=12 {
        rows.push_str(&format!(
            "2026-03-{day:02}T06:40,rowan-end,counter-1,1,as-found,30,mL,7,Ada Brook\n"
        ));
    }
    desk.write("catches.csv", format!("at,site,machine,line,state,amount,unit,seconds,by\n{rows}"));
    desk.run(["load", "catches", "catches.csv"]).done();
    desk
}

#[test]
fn nothing_is_looked_at_until_the_owner_agrees() {
    let desk = desk();
    let report = desk.run(["doubts", "--json"]).done().json();
    assert_eq!((&report["sites"], &report["months"]), (&0.into(), &0.into()));
    desk.run(["doubts"]).done().prints("did not agree (ask_about_doubtful)");
    desk.run(["doubts", "--site", "nowhere"]).ends(2).says("there is no site `nowhere`");
}

#[test]
fn what_was_brought_in_from_a_file_is_not_looked_at() {
    let desk = desk();
    desk.run(["export", "copy"]).done();
    let estate = desk.read("copy/estate.toml");
    desk.write(
        "copy/estate.toml",
        estate.replacen("[group]\n", "[group]\nask_about_doubtful = true\n", 1),
    );
    desk.run(["load", "estate", "copy", "--yes"]).done();
    let report = desk.run(["doubts", "--json"]).done().json();
    assert_ne!(report["sites"], 0);
    assert_eq!(report["months"], 0, "a file may have rounded what it holds");
    desk.run(["export", "again"]).done();
    assert!(desk.read("again/estate.toml").contains("ask_about_doubtful = true"));
}
