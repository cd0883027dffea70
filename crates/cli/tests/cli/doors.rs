//! What comes in by `load`: each sort of bad row is refused with its row and its reason, the good ones go in.

use serde_json::Value;

use crate::desk::{Desk, Ran};

/// `(row, column, code)` of each refusal.
fn refusals(ran: &Ran) -> Vec<(u64, String, String)> {
    let json = ran.json();
    let list = json["refusals"].as_array().unwrap();
    assert_eq!(json["refused"], list.len());
    let words = |v: &Value| v.as_str().unwrap_or_default().to_owned();
    list.iter()
        .map(|r| {
            assert!(!words(&r["reason"]).is_empty(), "{r}");
            (r["row"].as_u64().unwrap(), words(&r["column"]), words(&r["code"]))
        })
        .collect()
}

/// Loads rows that are all bad but the first; asserts the code of each, and that the first went in.
#[track_caller]
fn assert_refused(desk: &Desk, what: &str, heading: &str, good: &str, bad: &[(&str, &str)]) {
    let rows: Vec<&str> = std::iter::once(good).chain(bad.iter().map(|(row, _)| *row)).collect();
    desk.write("rows.csv", format!("{heading}\n{}\n", rows.join("\n")));
    let ran = desk.run(["load", what, "rows.csv", "--json"]).ends(65);
    let found = refusals(&ran);
    let wanted: Vec<(u64, &str)> =
        bad.iter().enumerate().map(|(i, (_, code))| (i as u64 + 3, *code)).collect();
    let codes: Vec<(u64, &str)> =
        found.iter().map(|(row, _, code)| (*row, code.as_str())).collect();
    assert_eq!(codes, wanted, "{:#}", ran.json());
    let json = ran.json();
    assert_eq!((&json["records"], &json["added"]), (&1.into(), &1.into()));
    // People see the same rows and codes.
    let text = desk.run(["load", what, "rows.csv"]).ends(65).out;
    for (row, code) in wanted.iter().take(20) {
        let told = text
            .lines()
            .any(|l| l.starts_with(&format!("row {row}")) && l.contains(&format!("({code})")));
        assert!(told, "row {row} {code} is not in\n{text}");
    }
    assert!(text.contains("0 added, 1 there already"), "{text}");
}

#[test]
fn each_bad_catch_is_refused_by_row_with_its_reason() {
    let desk = Desk::with_starter();
    let lines = desk.read("our-group/lines.csv");
    desk.write(
        "our-group/lines.csv",
        lines + "rowan-end,counter-1,4,Front,gooseberry,30 mL,5 %,7 s,,cup-a,,\nrowan-end,counter-1,5,Front,gooseberry,30 mL,5 %,7 s,,cup-a,,\n",
    );
    desk.run(["load", "estate", "our-group"]).done();
    assert_refused(
        &desk,
        "catches",
        "at,site,machine,line,state,amount,unit,mark,seconds,doses,measure,sequence,id",
        "2026-02-02T06:40,rowan-end,counter-1,2,as-found,36.4,g,,7,,scale,1,",
        &[
            ("2026-02-02T06:41,nowhere,counter-1,2,as-found,36,g,,7,,scale,,", "S020"),
            ("2026-02-02T06:41,rowan-end,counter-9,2,as-found,36,g,,7,,scale,,", "S021"),
            ("2026-02-02T06:41,rowan-end,counter-1,9,as-found,36,g,,7,,scale,,", "S022"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7,,bucket,,", "S023"),
            ("2026-02-02T06:41,rowan-end,counter-1,Front,as-found,36,g,,7,,scale,,", "S025"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,a lot,g,,7,,scale,,", "S030"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,,,7,,scale,,", "S031"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,1.2,oz,,7,,scale,,", "S031"),
            ("2026-02-02T06:41,rowan-end,counter-1,1,as-found,36,g,,7,,cup-a,,", "S032"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,-36,g,,7,,scale,,", "S033"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36000,g,,7,,scale,,", "S033"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7200,,scale,,", "S033"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,,,scale,,", "S034"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,,2,scale,,", "S034"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,,,,7,,scale,,", "S035"),
            (
                "2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,at the 30 mL mark,7,,scale,,",
                "S035",
            ),
            ("2026-02-02T06:41,rowan-end,counter-1,2,sometime,36,g,,7,,scale,,", "S036"),
            (",rowan-end,counter-1,2,as-found,36,g,,7,,scale,,", "S013"),
            ("02/03/2026,rowan-end,counter-1,2,as-found,36,g,,7,,scale,,", "S040"),
            ("2199-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7,,scale,,", "S041"),
            ("1926-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7,,scale,,", "S042"),
            ("2026-02-02T06:40,rowan-end,counter-1,2,as-found,36.4,g,,7,,scale,1,", "S050"),
            ("2026-02-02T06:40,rowan-end,counter-1,2,as-found,36.9,g,,7,,scale,1,", "S051"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7,,scale,,first", "S052"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7,,scale,one,", "S053"),
            ("2026-02-02T06:41,rowan-end,counter-1,2,as-found,36,g,,7,,scale,,,,surplus", "S012"),
        ],
    );
}

#[test]
fn bytes_that_are_no_text_and_open_quotes_are_refused_where_they_are() {
    let desk = Desk::with_starter();
    let mut file = b"at,site,machine,line,state,amount,unit,seconds,note\n\
        2026-02-02,rowan-end,counter-1,2,as-found,36.4,g,7,f\xc3\xbcr uns\n\
        2026-02-03,rowan-end,counter-1,2,as-found,36.4,g,7,f\xff\xfer uns\n\
        2026-02-04,rowan-end,counter-1,2,as-found,36.4,g,7,ok\n"
        .to_vec();
    desk.write("bytes.csv", &file);
    let ran = desk.run(["load", "catches", "bytes.csv", "--json"]).ends(65);
    assert_eq!(refusals(&ran), [(3, String::new(), "S010".to_owned())]);
    assert_eq!(ran.json()["added"], 2);
    file.extend_from_slice(b"2026-02-05,rowan-end,counter-1,2,as-found,36.4,g,7,\"never closed\n");
    for second in 0..300 {
        let row = format!("2026-02-06,rowan-end,counter-1,2,as-found,36.4,g,7.{second},ok\n");
        file.extend_from_slice(row.as_bytes());
    }
    desk.write("quote.csv", &file);
    let ran = desk.run(["load", "catches", "quote.csv", "--json"]).ends(65);
    let codes: Vec<String> = refusals(&ran).into_iter().map(|(.., code)| code).collect();
    assert!(codes.contains(&"S011".to_owned()), "{codes:?}");
}

#[test]
fn bad_adjustments_parts_and_products_are_refused_too() {
    let desk = Desk::with_starter();
    assert_refused(
        &desk,
        "adjustments",
        "at,site,machine,line,done,meant",
        "2026-02-02T06:50,rowan-end,counter-1,1,1/4 turn clockwise,-5 %",
        &[
            ("2026-02-02T06:51,rowan-end,counter-1,1,,", "S013"),
            ("2026-02-02T06:51,rowan-end,counter-9,1,1/4 turn clockwise,", "S021"),
        ],
    );
    assert_refused(
        &desk,
        "parts",
        "at,site,machine,line,part,found,number,lot",
        "2026-02-02,rowan-end,counter-1,1,valve seal,worn,,",
        &[
            ("2026-02-02,rowan-end,counter-1,1,cup holder,worn,,", "S026"),
            ("2026-02-02,rowan-end,counter-1,1,,worn,,", "S013"),
        ],
    );
    assert_refused(
        &desk,
        "products",
        "at,site,machine,line,product,lot",
        "2026-02-02,rowan-end,counter-1,1,Black sesame,",
        &[
            ("2026-02-02,rowan-end,counter-1,1,tea,", "S024"),
            ("2026-02-02,rowan-end,counter-1,1,,", "S013"),
        ],
    );
}

#[test]
fn a_heading_is_told_all_its_faults_at_once() {
    let desk = Desk::with_starter();
    desk.write("heading.csv", "at,site,site,maschine,line,amount,seconds\n");
    desk.run(["load", "catches", "heading.csv"])
        .ends(65)
        .says("S004")
        .says("did you mean \"machine\"?")
        .says("S005")
        .says("S003")
        .says("\"state\"");
}

#[test]
fn all_or_nothing_means_it_and_a_dry_run_keeps_nothing() {
    let desk = Desk::with_starter();
    let heading = "at,site,machine,line,state,amount,unit,seconds\n";
    let good = "2026-02-02T06:40,rowan-end,counter-1,2,as-found,36.4,g,7\n";
    let bad = "2026-02-02T06:41,rowan-end,counter-1,7,as-found,36.4,g,7\n";
    desk.write("both.csv", format!("{heading}{good}{bad}"));
    desk.run(["load", "catches", "both.csv", "--dry-run"])
        .ends(65)
        .prints("1 record in 2 rows would be loaded; 1 refused");
    desk.run(["load", "catches", "both.csv", "--all-or-nothing"])
        .ends(65)
        .says("row 3")
        .says("nothing was loaded");
    desk.run(["load", "list"]).done().prints("Nothing was loaded yet");
    desk.run(["load", "catches", "both.csv"]).ends(65).prints("1 record in 2 rows: 1 added");
}

#[test]
fn the_answer_to_a_stranger_s_sheet_is_a_proposal_and_nothing_is_dropped() {
    let desk = Desk::with_starter();
    desk.write(
        "log.csv",
        "Weekly log;;;;;\n\
         Where;Machine;Flavour;Day;Before (ml);secs\n\
         Rowan End;counter-1;Gooseberry;02.02.2026;31;7\n\
         Rowan End;counter-1;Gooseberry;09.02.2026;OK;\n\
         Rowan End;counter-1;Gooseberry;16.02.2026;closed;\n\
         Rowan End;counter-1;Gooseberry;31.02.2026;30;7\n\
         Total;;;;61;\n",
    );
    let tried = desk.run(["load", "sheet", "log.csv", "--defaults", "--json"]).ends(65);
    let kept = desk.run(["load", "sheet", "log.csv", "--defaults", "--yes", "--json"]).ends(65);
    for ran in [&tried, &kept] {
        let rows = &ran.json()["rows"];
        let n = |name: &str| rows[name].as_u64().unwrap();
        assert_eq!(n("rows"), 7, "{rows:#}");
        assert_eq!((n("records"), n("refused")), (2, 1), "{rows:#}");
        assert_eq!(n("listed"), 4, "{rows:#}");
    }
    assert_eq!(tried.json()["rows"]["dry_run"], true);
    assert_eq!(kept.json()["rows"]["added"], 2);
    // The mapping is remembered: the same sheet again asks nothing, and adds nothing.
    let again = desk.run(["load", "sheet", "log.csv", "--yes", "--json"]).ends(65);
    assert_eq!(again.json()["open"].as_array().unwrap().len(), 0);
    assert_eq!(again.json()["rows"]["already_there"], 2);
}
