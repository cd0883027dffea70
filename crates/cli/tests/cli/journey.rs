//! From an empty folder to verdicts and back again: nothing is lost on the way, and nothing altered unseen.

use std::fs;

use serde_json::Value;

use crate::desk::{CATCHES, Desk};

/// The reports that must come out the same wherever the records are.
fn told(desk: &Desk, data: &str) -> Vec<String> {
    let run =
        |args: &[&str]| desk.run(args.iter().copied().chain(["--json", "--data", data])).done().out;
    vec![
        run(&["week", "--top", "100"]),
        run(&["line", "rowan-end/counter-1/1", "--last", "100"]),
        run(&["line", "rowan-end/counter-1/2", "--last", "100"]),
        run(&["line", "rowan-end/window-1/1", "--last", "100"]),
        run(&["rounds"]),
    ]
}

fn desk_with_history() -> Desk {
    let desk = Desk::with_catches();
    desk.write(
        "adjustments.csv",
        "at,site,machine,line,done,meant,by,note\n\
         2026-02-09T06:50,rowan-end,counter-1,2,1/8 turn clockwise,-5 %,Ada Brook,turned slowly\n",
    );
    desk.write(
        "parts.csv",
        "at,site,machine,line,part,found,number,lot\n\
         2026-02-10,rowan-end,counter-1,2,valve-seal,worn,,\n\
         2026-02-11,rowan-end,counter-1,2,valve-seal,,VS-7,L 4\n",
    );
    desk.write(
        "products.csv",
        "at,site,machine,line,product,lot\n2026-02-12,rowan-end,window-1,1,,L 17\n",
    );
    desk.write(
        "rounds.csv",
        "at,site,machine,line,kind,profile,holds,name,lot,product,dose,water,reading,place,box,stage,amount,vented,complete,by\n\
         2026-02-16,rowan-end,,,box-opened,,strips,Blue strips,S-9,,,,,,,,,,,Ada Brook\n\
         2026-02-16T06:40,rowan-end,counter-1,,round-opened,model-code,,,,,,,,,,,,,,Ada Brook\n\
         2026-02-16T06:45,rowan-end,counter-1,,Flushed,,,,,,,,,,,before,90 s,,,Ada Brook\n\
         2026-02-16T06:50,rowan-end,counter-1,,solution-mixed,,,,,sachets,1 sachet,10 L,,,,,,,,Ada Brook\n\
         2026-02-16T06:52,rowan-end,counter-1,1,strip-read,,,,,,,,strip class 100,outlet,blue strips,,,,,Ada Brook\n\
         2026-02-16T07:00,rowan-end,counter-1,,drained,,,,,,,,,,,,,yes,,Ada Brook\n\
         2026-02-16T07:05,rowan-end,counter-1,,round-closed,,,,,,,,,,,,,,no,Ada Brook\n",
    );
    for (what, records) in [("adjustments", 1), ("parts", 2), ("products", 1), ("rounds", 7)] {
        let ran = desk.run(["load", what, &format!("{what}.csv"), "--json"]).done();
        assert_eq!(ran.json()["added"], records, "{what}");
    }
    desk
}

#[test]
fn a_catch_becomes_a_verdict_kept_in_a_ledger() {
    let desk = Desk::new();
    desk.run(["new", "our-group"]).done().prints("estate.toml").says("ouncewise check our-group");
    desk.run(["check", "our-group"]).done().prints("no faults");
    desk.run(["load", "estate", "our-group"])
        .done()
        .prints("to add")
        .says("ouncewise load catches");
    desk.run(["load", "estate", "our-group"]).done().prints("0 to add, 0 to change, 0 to retire");
    desk.write("catches.csv", CATCHES);
    desk.run(["load", "catches", "catches.csv"]).done().prints("6 records in 6 rows: 6 added");
    let again = desk.run(["load", "catches", "catches.csv"]).done();
    again.prints("6 records in 6 rows: 0 added, 6 there already");

    let week = desk.run(["week", "--json"]).done().json();
    let lines = week["lines"].as_array().unwrap();
    let line = |address: &str| lines.iter().find(|l| l["address"] == address).unwrap();
    // 40.9 g of 36 g at ±5 %, weighed to 0.1 g: off target beyond doubt. By itself it would be adjusted; but a week before it
    // was right, and what is far from what was expected is caught again first.
    let heavy = line("rowan-end/counter-1/2");
    assert_eq!(
        (&heavy["verdict"], &heavy["act"]["kind"], &heavy["by_catch"]["act"]["kind"]),
        (&"off-target".into(), &"catch-again".into(), &"adjust".into())
    );
    assert_eq!(lines[0]["address"], "rowan-end/counter-1/2", "worst first");
    // A cup of 30 ± 2 mL cannot decide about ±5 %, however often it is filled.
    let marked = line("rowan-end/window-1/1");
    assert_eq!(marked["verdict"], "undecided");
    assert!(week["cannot_decide"].as_array().unwrap().iter().any(|c| c["measure"] == "cup-a"));

    let story = desk.run(["line", "rowan-end/counter-1/2"]).done().out;
    assert!(story.contains("36.4 g in 7.0 s") && story.contains("40.9 g in 7.0 s"), "{story}");
    desk.run(["verify"]).done().prints("none was altered");
}

#[test]
fn what_is_exported_comes_back_the_same() {
    let desk = desk_with_history();
    desk.run(["export", "copy"]).done().prints("records written to copy");
    let tables = ["catches", "adjustments", "parts", "products", "rounds"];
    let files: Vec<String> = std::iter::once("records.jsonl".to_owned())
        .chain(tables.iter().map(|table| format!("{table}.csv")))
        .collect();
    for file in &files {
        assert!(desk.path("copy").join(file).exists(), "{file}");
    }
    desk.run(["load", "records", "copy/records.jsonl", "--data", "second"]).done();
    assert_eq!(told(&desk, "second"), told(&desk, "data"));
    for data in ["data", "second"] {
        desk.run(["load", "estate", "copy", "--dry-run", "--data", data])
            .done()
            .prints("0 to add, 0 to change, 0 to retire");
        // The tables of an export are the doors' own files: nothing in them is new.
        for what in tables {
            let file = format!("copy/{what}.csv");
            let json = desk.run(["load", what, &file, "--json", "--data", data]).done().json();
            assert_eq!(json["already_there"], json["records"], "{what}: {json:#}");
        }
    }
    // And once more round gives the same bytes.
    desk.run(["export", "copy-2", "--data", "second"]).done();
    let estate = ["estate.toml", "lines.csv", "sites.csv", "machines.csv"];
    for file in files.iter().map(String::as_str).chain(estate) {
        assert_eq!(
            desk.read(&format!("copy/{file}")),
            desk.read(&format!("copy-2/{file}")),
            "{file}"
        );
    }
    // Into a ledger that has them, they add nothing.
    let json = desk.run(["load", "records", "copy/records.jsonl", "--json"]).done().json();
    assert_eq!((&json["added"], &json["conflicts"]), (&0.into(), &0.into()), "{json:#}");
}

#[test]
fn a_load_is_taken_back_and_loaded_again() {
    let desk = desk_with_history();
    let before = told(&desk, "data");
    let number = |name: &str| -> String {
        let loads = desk.run(["load", "list", "--json"]).done().json();
        let loads = loads["loads"].as_array().unwrap();
        let load = loads.iter().find(|l| l["name"] == name && l["withdrawn_at"].is_null());
        load.unwrap()["number"].to_string()
    };
    let first = number("catches.csv");
    desk.run(["load", "undo", &first, "--yes"]).done().prints("6 records withdrawn");
    desk.run(["load", "undo", &first, "--yes"]).ends(2).says("was withdrawn before");
    desk.run(["line", "rowan-end/counter-1/2"]).done().prints("withdrawn (");
    let week = desk.run(["week", "--json"]).done().json();
    assert!(week["lines"].as_array().unwrap().iter().all(|line| line["verdict"].is_null()));
    desk.run(["load", "catches", "catches.csv"]).done().prints("6 added");
    desk.run(["load", "catches", "catches.csv"]).done().prints("6 there already");
    let verdicts = |json: &str| -> Vec<Value> {
        let week: Value = serde_json::from_str(json).unwrap();
        week["lines"].as_array().unwrap().iter().map(|line| line["latest"].clone()).collect()
    };
    assert_eq!(verdicts(&told(&desk, "data")[0]), verdicts(&before[0]));
    desk.run(["verify"]).done();
    // What was withdrawn and said again survives a round trip as well.
    desk.run(["export", "copy"]).done();
    desk.run(["load", "records", "copy/records.jsonl", "--data", "second"]).done();
    assert_eq!(told(&desk, "second"), told(&desk, "data"));
}

/// Makes 40.9 g into 40.1 g wherever a ledger's file says it.
fn tamper(bytes: &mut [u8]) {
    let places: Vec<usize> =
        bytes.windows(6).enumerate().filter(|(_, w)| w == b"40.9 g").map(|(i, _)| i).collect();
    assert!(!places.is_empty(), "the record's text is in the file as it is");
    for place in places {
        bytes[place + 3] = b'1';
    }
}

#[test]
fn a_flipped_byte_is_found_and_the_record_named() {
    let desk = desk_with_history();
    let line = desk.run(["line", "rowan-end/counter-1/2", "--json"]).done().json();
    let caught = line["story"].as_array().unwrap();
    let caught =
        caught.iter().find(|event| event["what"].as_str().unwrap().contains("40.9")).unwrap();
    let id = caught["record"].as_str().unwrap();
    let mut bytes = fs::read(desk.ledger()).unwrap();
    tamper(&mut bytes);
    fs::write(desk.ledger(), bytes).unwrap();
    desk.run(["verify"]).ends(1).prints(id).prints("rowan-end");
    let json = desk.run(["verify", "--json"]).ends(1).json();
    assert_eq!(json["misfit"]["id"], id);
}

#[test]
fn a_backup_comes_back_and_a_rebuild_changes_nothing() {
    let desk = desk_with_history();
    let before = told(&desk, "data");
    desk.run(["rebuild"]).done().prints("2 machines computed again");
    assert_eq!(told(&desk, "data"), before);
    desk.run(["backup", "copy.db"]).done().prints("verified");
    desk.run(["backup", "copy.db"]).ends(2).says("is there already");
    let all = desk.run(["load", "list", "--json"]).done().json();
    for load in all["loads"].as_array().unwrap() {
        desk.run(["load", "undo", &load["number"].to_string(), "--yes"]).done();
    }
    assert_ne!(told(&desk, "data"), before);
    let json = desk.run(["restore", "copy.db", "--yes", "--json"]).done().json();
    assert!(json["aside"].is_string(), "{json:#}");
    assert_eq!(told(&desk, "data"), before);
    desk.run(["restore", "copy.db", "--yes", "--data", "elsewhere"]).done();
    assert_eq!(told(&desk, "elsewhere"), before);
    // A backup that was tampered with is not put back.
    let mut bytes = fs::read(desk.path("copy.db")).unwrap();
    tamper(&mut bytes);
    fs::write(desk.path("bad.db"), bytes).unwrap();
    desk.run(["restore", "bad.db", "--yes"]).ends(65).says("bad.db");
    assert_eq!(told(&desk, "data"), before);
}

#[test]
fn names_and_notes_can_be_erased_and_the_records_stay() {
    let desk = desk_with_history();
    let before = told(&desk, "data");
    desk.run(["forget", "person", "ada brook", "--yes"]).done().prints("Backups");
    desk.run(["forget", "person", "Ada Brook", "--yes"]).ends(2);
    let note = "01964c1e-7a53-7b2e-9d3c-2f1f6a0c4b11";
    desk.run(["forget", "note", note, "--yes"]).done();
    desk.run(["export", "copy"]).done();
    let records = desk.read("copy/records.jsonl");
    assert!(!records.contains("Ada Brook") && !records.contains("new crew"));
    assert!(records.contains("turned slowly"));
    assert_eq!(told(&desk, "data"), before);
    desk.run(["verify"]).done();
}

#[test]
fn each_ledger_goes_out_with_its_checkpoint() {
    let desk = desk_with_history();
    desk.run(["ledger", "evidence"]).done().prints("2 ledgers with");
    for (name, scope) in [("group", "@group"), ("rowan-end", "rowan-end")] {
        let records = desk.read(&format!("evidence/{name}.jsonl"));
        let checkpoint = desk.read(&format!("evidence/{name}.checkpoint"));
        let mut lines = checkpoint.lines();
        assert!(lines.next().unwrap().ends_with(scope), "{checkpoint}");
        assert_eq!(lines.next().unwrap(), records.lines().count().to_string());
        assert_eq!(lines.next().unwrap().len(), 44, "a root in base64");
    }
}

/// What nobody answered is said, what a load set up goes with it, and an answer that changes nothing says so.
#[test]
fn a_sheet_says_what_it_assumes_and_takes_back_what_it_set_up() {
    let desk = Desk::new();
    desk.write(
        "log.csv",
        "Store,Line,Flavor,Actual (ml),Sec,Date\nElm Court,1,Cherry,30,7,2026-03-02\nElm Court,1,Cherry,300,7.1,2026-03-09\n\
         Elm Court,2,Vanilla,40,9,2026-03-02\nElm Court,2,Vanilla,41,9.1,2026-03-09\n",
    );
    let load = |more: &[&str]| {
        let all = ["load", "sheet", "log.csv", "--yes"].iter().chain(more);
        desk.run(all.copied()).done()
    };
    load(&[])
        .prints("Assumed: how long is one portion drawn at every new line")
        .prints("--answer 'recipe-draw \"Vanilla\"=…'")
        .prints("had no answer: the likeliest is taken")
        .prints("300 mL is 9.9 times the target of 30 mL: a slip of the decimal point?");
    desk.run(["week"]).done().prints("Cherry on machine 1, Elm Court");
    desk.run(["load", "undo", "1", "--yes"]).done().prints("and 10 things that it set up");
    desk.run(["week"]).done().prints("No line is in use yet");
    load(&["--answer", "recipe-draw=8 s"]);
    desk.run(["export", "copy"]).done();
    assert!(desk.read("copy/lines.csv").contains("cherry,30 mL,5 %,8 s"));
    load(&["--answer", "recipe-draw=5 s"]).prints("The answer to `recipe-draw` changes nothing");
    // Somebody caught line 1 since: it stays, and the other goes.
    desk.write(
        "catches.csv",
        "at,site,machine,line,state,amount,unit,seconds,measure\n2026-03-10 06:40,elm-court,machine-1,1,found,30,mL,8,cup\n",
    );
    desk.run(["load", "catches", "catches.csv"]).done();
    desk.run(["load", "undo", "2", "--yes"]).done().prints("stay: other records are about them");
    desk.run(["export", "left"]).done();
    let lines = desk.read("left/lines.csv");
    assert!(lines.contains("elm-court,machine-1,1,") && !lines.contains("vanilla"), "{lines}");
}
