//! Tests of the table and of the doors with known columns.

use std::collections::BTreeSet;

use ouncewise_ledger::{Body, Draft, LineState};
use proptest::prelude::*;

use super::fixture::{X, estate, now, xlsx};
use super::*;

fn rows(bytes: &[u8]) -> Vec<TableRow> {
    Table::open(bytes).unwrap().take_rows(1000).unwrap()
}

fn texts(bytes: &[u8]) -> Vec<Vec<String>> {
    rows(bytes).iter().map(|r| r.iter().map(str::to_owned).collect()).collect()
}

fn load(door: Door, text: &str) -> Vec<Row> {
    let estate = estate();
    Known::open(Table::open(text.as_bytes()).unwrap(), door, &estate, now()).unwrap().collect()
}

fn drafts(rows: Vec<Row>) -> Vec<Draft> {
    rows.into_iter()
        .map(|row| match row {
            Row::Draft { draft, .. } => draft,
            other => panic!("{other:?}"),
        })
        .collect()
}

const HEAD: &str = "at,site,machine,line,amount,unit,seconds,state\n";

fn catches(lines: &str) -> Vec<Row> {
    load(Door::Catches, &format!("{HEAD}{lines}"))
}

/// The code and column of the only row.
fn refused(line: &str) -> (Code, String) {
    match catches(line).pop().unwrap() {
        Row::Refused(r) => (r.code, r.column.unwrap_or_default()),
        other => panic!("{other:?}"),
    }
}

#[test]
fn any_separator_encoding_and_line_end_gives_the_same_rows() {
    let wanted = vec![vec!["Straße", "29,6"], vec!["b", "c;d\te"]];
    let text = "Straße|29,6\nb|c;d\te\n";
    for bytes in [
        "Straße;\"29,6\"\r\nb;\"c;d\te\"\r\n".as_bytes().to_vec(),
        "Straße,\"29,6\"\nb,c;d\te".as_bytes().to_vec(),
        "\u{feff}Straße|29,6\rb|c;d\te\r".as_bytes().to_vec(),
        encoding_rs::WINDOWS_1252.encode(text).0.into_owned(),
        [vec![0xFF, 0xFE], text.encode_utf16().flat_map(u16::to_le_bytes).collect()].concat(),
        [vec![0xFE, 0xFF], text.encode_utf16().flat_map(u16::to_be_bytes).collect()].concat(),
        text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
    ] {
        assert_eq!(texts(&bytes), wanted, "{:?}", String::from_utf8_lossy(&bytes));
    }
}

#[test]
fn a_decimal_comma_is_not_taken_for_the_separator() {
    assert_eq!(
        texts(b"menge;sekunden\n29,6;7,1\n30,1;7,0\n"),
        vec![vec!["menge", "sekunden"], vec!["29,6", "7,1"], vec!["30,1", "7,0"]]
    );
}

#[test]
fn rows_are_numbered_as_a_spreadsheet_program_does() {
    let rows = rows(b"a,b\n\n\nc,\"d\ne\"\n,\nf,g\n\n");
    let numbers: Vec<(u64, bool)> = rows.iter().map(|r| (r.number, r.is_empty())).collect();
    assert_eq!(numbers, [(1, false), (2, true), (3, true), (4, false), (5, true), (6, false)]);
}

#[test]
fn an_encoding_fault_refuses_its_row_and_no_other() {
    let mut bytes =
        format!("{HEAD}2026-03-02,fernhollow,counter-1,1,29.6,mL,7.1,as-found\n# é").into_bytes();
    bytes.truncate(bytes.len() - 4);
    bytes.extend("2026-03-02,Fern Höllow,counter-1,1,29.6,mL,7.1,as-found\n".as_bytes());
    bytes.extend(b"2026-03-02,fernh\xF6llow,counter-1,1,29.6,mL,7.1,as-found\n2026-03-02,fernhollow,counter-1,2,29.6,mL,7.1,as-found\n");
    let estate = estate();
    let rows: Vec<Row> =
        Known::open(Table::open(bytes.as_slice()).unwrap(), Door::Catches, &estate, now())
            .unwrap()
            .collect();
    let codes: Vec<Option<Code>> =
        rows.iter().map(|r| if let Row::Refused(r) = r { Some(r.code) } else { None }).collect();
    assert_eq!(codes, [None, Some(Code::UnknownSite), Some(Code::Encoding), None]);
}

#[test]
fn a_workbook_gives_dates_numbers_and_merged_cells() {
    let t = |s: &str| X::Text(s.to_owned());
    let book = xlsx(
        "Log",
        &[
            vec![t("Log"), X::None, X::None],
            vec![],
            vec![t("Date"), t("Gooseberry"), X::None],
            // 46083 is 2 March 2026; 46083.28 is 06:43:12 of that day.
            vec![X::Date(46083.0), X::Number(29.6), X::Number(0.1 + 0.2)],
            vec![X::Date(46083.28), X::Number(30.0), X::None],
        ],
        &["B3:C3".to_owned()],
    );
    let table = Table::open(book.as_slice()).unwrap();
    assert_eq!((table.sheet(), table.sheets()), (Some("Log"), &["Log".to_owned()][..]));
    assert_eq!(
        texts(&book),
        vec![
            vec!["Log"],
            vec![],
            vec!["Date", "Gooseberry", "Gooseberry"],
            vec!["2026-03-02", "29.6", "0.3"],
            vec!["2026-03-02T06:43:12", "30"]
        ]
    );
    let rows = rows(&book);
    assert!(rows[2].is_copied(2) && !rows[2].is_copied(1));
    assert_eq!((rows[3].hint(0), rows[3].hint(1)), (Hint::Date, Hint::Number));
    assert_eq!(
        Table::open_sheet(book.as_slice(), Some("Other")).err().unwrap().code,
        Code::Unreadable
    );
}

#[test]
fn what_is_no_sheet_is_refused_as_a_whole() {
    for bytes in [
        &b"PK\x03\x04nonsense"[..],
        &[0xD0, 0xCF, 0x11, 0xE0, 1, 2],
        &[0, 0, 0, 0, 1, 2, 3, 4, 0, 0, 0],
    ] {
        assert_eq!(Table::open(bytes).err().unwrap().code, Code::Unreadable);
    }
}

#[test]
fn a_catch_is_kept_as_it_was_read() {
    let text = "Line,SITE,at,machine,amount,unit,seconds,state,by,note,temperature,measure\n\
                Smoked honey,Fern Hollow,2026-03-02T06:41,counter-1,\"29,60\",ml,7.10,as-found,Ada,\"cold, thick\",4 °C,60 mL cup\n";
    let draft = drafts(load(Door::Catches, text)).pop().unwrap();
    let record = &draft.record;
    assert_eq!(record.check(), Ok(()));
    assert_eq!(
        (record.scope.as_str(), record.at.as_str()),
        ("fernhollow", "2026-03-02T06:41:00.000+01:00")
    );
    assert_eq!(
        (record.subject.machine.as_deref(), record.subject.line.as_deref()),
        (Some("counter-1"), Some("2"))
    );
    assert_eq!(
        (draft.person.as_deref(), draft.note.as_deref()),
        (Some("Ada"), Some("cold, thick"))
    );
    let Body::CatchTaken { state, amount, draw, measure, temperature, .. } = &record.body else {
        panic!("{:?}", record.body)
    };
    assert_eq!(
        (*state, amount.as_str(), draw.as_str(), measure.as_str()),
        (LineState::AsFound, "29.60 mL", "7.10 s", "cup")
    );
    assert_eq!(temperature.as_deref(), Some("4 °C"));
}

#[test]
fn a_mark_is_read_in_every_way_of_writing_it() {
    let text = "at,site,machine,line,mark,amount,unit,doses,state\n\
                2026-03-02,fernhollow,pump,a,over the 30 mL mark,,,2,as-left\n\
                2026-03-03,fernhollow,pump,a,over,30,mL,2,as-left\n\
                2026-03-04,fernhollow,pump,a,over 30,,ml,2,as-left\n\
                2026-03-05,fernhollow,pump,a,30 mL,,,2,as-left\n";
    let amounts: Vec<String> = drafts(load(Door::Catches, text))
        .into_iter()
        .map(|d| match d.record.body {
            Body::CatchTaken { amount, draw, .. } => format!("{amount}, {draw}"),
            other => panic!("{other:?}"),
        })
        .collect();
    let over = "over the 30 mL mark, 2 doses";
    assert_eq!(amounts, [over, over, over, "at the 30 mL mark, 2 doses"]);
}

#[test]
fn every_refusal_names_its_cell() {
    for (line, code, column) in [
        ("2026-03-02,fernholow,counter-1,1,29.6,mL,7.1,as-found", Code::UnknownSite, "site"),
        ("2026-03-02,fernhollow,counter-9,1,29.6,mL,7.1,as-found", Code::UnknownMachine, "machine"),
        ("2026-03-02,fernhollow,counter-1,9,29.6,mL,7.1,as-found", Code::UnknownLine, "line"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,oz,7.1,as-found", Code::UnitUnclear, "unit"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,g,7.1,as-found", Code::WrongUnit, "unit"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,s,7.1,as-found", Code::WrongUnit, "unit"),
        ("2026-03-02,fernhollow,counter-1,1,29.6 g,mL,7.1,as-found", Code::WrongUnit, "amount"),
        ("2026-03-02,fernhollow,counter-1,1,-29.6,mL,7.1,as-found", Code::Impossible, "amount"),
        ("2026-03-02,fernhollow,counter-1,1,300,L,7.1,as-found", Code::Impossible, "amount"),
        ("2026-03-02,fernhollow,counter-1,1,lots,mL,7.1,as-found", Code::NotAnAmount, "amount"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,mL,0,as-found", Code::Impossible, "seconds"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,mL,-7,as-found", Code::Impossible, "seconds"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,mL,7200,as-found", Code::Impossible, "seconds"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,mL,,as-found", Code::DrawUnclear, "seconds"),
        ("2026-03-02,fernhollow,pump,a,29.6,mL,7.1,as-found", Code::DrawUnclear, "doses"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,mL,7.1,fine", Code::StateUnclear, "state"),
        ("02/03/2026,fernhollow,counter-1,1,29.6,mL,7.1,as-found", Code::NotADate, "at"),
        ("2026-02-30,fernhollow,counter-1,1,29.6,mL,7.1,as-found", Code::NotADate, "at"),
        ("2026-04-02,fernhollow,counter-1,1,29.6,mL,7.1,as-found", Code::Future, "at"),
        ("1926-03-02,fernhollow,counter-1,1,29.6,mL,7.1,as-found", Code::TooOld, "at"),
        (",fernhollow,counter-1,1,29.6,mL,7.1,as-found", Code::EmptyCell, "at"),
        ("2026-03-02,fernhollow,counter-1,1,,mL,7.1,as-found", Code::AmountOrMark, "amount"),
        ("2026-03-02,fernhollow,counter-1,1,29.6,mL,7.1,as-found,extra", Code::TooManyCells, ""),
    ] {
        assert_eq!(refused(&format!("{line}\n")), (code, column.to_owned()), "{line}");
    }
}

#[test]
fn a_refusal_says_what_was_probably_meant() {
    let rows = catches("2026-03-02,fernholow,counter-1,1,29.6,mL,7.1,as-found\n");
    let Row::Refused(refusal) = &rows[0] else { panic!() };
    assert_eq!(
        refusal.to_string(),
        "row 2, column site: there is no site \"fernholow\" (S020); did you mean \"fernhollow\"?"
    );
}

#[test]
fn all_faults_of_a_heading_come_at_once() {
    let estate = estate();
    let faults = Known::open(
        Table::open(&b"at,site,machine,lien,amount,amount,state\n"[..]).unwrap(),
        Door::Catches,
        &estate,
        now(),
    )
    .err()
    .unwrap();
    let codes: Vec<Code> = faults.iter().map(|f| f.code).collect();
    assert_eq!(
        codes,
        [Code::UnknownColumn, Code::TwiceColumn, Code::MissingColumn, Code::MissingColumn]
    );
    assert!(faults[0].hint.as_deref().unwrap().contains("line"));
}

#[test]
fn the_same_reading_three_times_is_three_catches_and_loading_again_is_the_same() {
    let lines = "2026-03-02,fernhollow,counter-1,1,30,mL,7,as-found\n".repeat(3)
        + "2026-03-02,fernhollow,counter-1,1,30,mL,7,as-left\n";
    let first = drafts(catches(&lines));
    let ids: BTreeSet<_> = first.iter().map(|d| d.record.id).collect();
    assert_eq!(ids.len(), 4);
    let bytes =
        |drafts: &[Draft]| drafts.iter().map(|d| d.record.to_bytes().unwrap()).collect::<Vec<_>>();
    assert_eq!(bytes(&first), bytes(&drafts(catches(&lines))));
    // Appending rows leaves the identity of those before as it was.
    let longer =
        drafts(catches(&format!("{lines}2026-03-03,fernhollow,counter-1,1,30,mL,7,as-found\n")));
    assert_eq!(bytes(&first), bytes(&longer)[..4]);
}

#[test]
fn within_a_day_as_found_comes_before_what_was_done_and_as_left_last() {
    let found = drafts(catches(
        "2026-03-02,fernhollow,counter-1,1,30,mL,7,as-left\n2026-03-02,fernhollow,counter-1,1,28,mL,7,as-found\n",
    ));
    let adjusted = drafts(load(
        Door::Adjustments,
        "at,site,machine,line,done,meant\n2026-03-02,fernhollow,counter-1,1,1/4 turn anticlockwise,8 %\n",
    ));
    let part = drafts(load(
        Door::Parts,
        "at,site,machine,line,part,lot\n2026-03-02,fernhollow,counter-1,1,Valve seat,L7\n",
    ));
    let (left, found) = (&found[0].record, &found[1].record);
    let (adjusted, part) = (&adjusted[0].record, &part[0].record);
    assert!(
        [left, found, adjusted, part]
            .iter()
            .all(|r| r.at == "2026-03-02T00:00:00.000+01:00" && r.check().is_ok())
    );
    assert!(
        found.sequence < part.sequence
            && part.sequence < adjusted.sequence
            && adjusted.sequence < left.sequence
    );
    assert_eq!(part.subject.part.as_deref(), Some("valve-seat"));
}

#[test]
fn a_stated_sequence_or_id_is_kept_and_may_not_come_twice() {
    let head = "at,site,machine,line,amount,unit,seconds,state,sequence,id\n";
    let row = |amount: &str, sequence: &str, id: &str| {
        format!("2026-03-02,fernhollow,counter-1,1,{amount},mL,7,as-found,{sequence},{id}\n")
    };
    let id = "0195583d-5a00-7000-8000-000000000001";
    let text = format!(
        "{head}{}{}{}{}{}{}",
        row("30", "1", ""),
        row("30", "2", ""),
        row("30", "1", ""),
        row("31", "2", ""),
        row("30", "", id),
        row("29", "", "x")
    );
    let rows = load(Door::Catches, &text);
    let codes: Vec<Option<Code>> =
        rows.iter().map(|r| if let Row::Refused(r) = r { Some(r.code) } else { None }).collect();
    assert_eq!(
        codes,
        [None, None, Some(Code::Duplicate), Some(Code::Clash), None, Some(Code::NotAnId)]
    );
    let Row::Draft { draft, .. } = &rows[4] else { panic!() };
    assert_eq!(draft.record.id.to_string(), id);
}

#[test]
fn adjustments_parts_and_products_come_through_their_own_doors() {
    let body = |door, text: &str| drafts(load(door, text)).pop().unwrap().record.body;
    assert_eq!(
        body(
            Door::Adjustments,
            "at,site,machine,line,done,setting,meant\n2026-03-02,moss-end,,1,,104,\"-8,5 %\"\n"
        ),
        Body::LineAdjusted {
            done: "set to 104".to_owned(),
            setting: Some("104".to_owned()),
            meant: Some("-8.5 %".to_owned())
        }
    );
    assert_eq!(
        body(Door::Parts, "at,site,machine,line,part,found\n2026-03-02,moss-end,,1,VS-7,worn\n"),
        Body::PartInspected { found: "worn".to_owned() }
    );
    assert_eq!(
        body(Door::Products, "at,site,machine,line,product,lot\n2026-03-02,moss-end,,1,Pandan,\n"),
        Body::ProductChanged { product: "pandan".to_owned() }
    );
    assert_eq!(
        body(Door::Products, "at,site,machine,line,product,lot\n2026-03-02,moss-end,,1,,B-77\n"),
        Body::ContainerChanged { lot: Some("B-77".to_owned()) }
    );
    let Row::Refused(refusal) =
        &load(Door::Parts, "at,site,machine,line,part\n2026-03-02,moss-end,,1,vale seat\n")[0]
    else {
        panic!()
    };
    assert_eq!(
        (refusal.code, refusal.hint.as_deref()),
        (Code::UnknownPart, Some("did you mean \"Valve seat\"?"))
    );
}

#[test]
fn an_open_quotation_mark_does_not_swallow_the_file_unseen() {
    let text = format!(
        "{HEAD}2026-03-02,\"fernhollow,counter-1,1,30,mL,7,as-found\n{}",
        "2026-03-02,fernhollow,counter-1,1,30,mL,7,as-found\n".repeat(400)
    );
    let mut rows = load(Door::Catches, &text);
    let Row::Refused(refusal) = rows.remove(0) else { panic!() };
    assert_eq!(
        refusal.to_string(),
        "row 2: the quotation mark before \"fernhollow\" in column B is not closed (S011); \
         close or delete it; the rows under it were read as rows of their own"
    );
    assert_eq!(rows.iter().map(Row::number).collect::<Vec<_>>(), (3..=402).collect::<Vec<_>>());
    assert_eq!(drafts(rows).len(), 400);
}

#[test]
fn a_cell_that_holds_rows_or_never_ends_is_open_and_a_wrapped_one_is_not() {
    let good = "2026-03-02,fernhollow,counter-1,1,30,mL,7,as-found";
    let head = "at,site,machine,line,amount,unit,seconds,state,note\n";
    let what = |lines: &str| -> Vec<(u64, Option<Code>)> {
        load(Door::Catches, &format!("{head}{lines}"))
            .iter()
            .map(|row| match row {
                Row::Refused(refusal) => (refusal.row, Some(refusal.code)),
                row => (row.number(), None),
            })
            .collect()
    };
    let open = Some(Code::Quote);
    // Open to the end of the file, on the last line and before.
    assert_eq!(what(&format!("{good},ok\n{good},\"cold")), [(2, None), (3, open)]);
    assert_eq!(what(&format!("{good},\"cold\nvery\n\n")).first(), Some(&(2, open)));
    // Closed by a stray mark, one row below, or at its end, or after whole rows.
    let rows = [(2, open), (3, None), (4, None)];
    assert_eq!(what(&format!("{good},\"cold\n{good},thick\"\n{good},ok\n")), rows);
    assert_eq!(what(&format!("{good},\"cold\n{good},ok\n{good},\"\"\n")), rows);
    assert_eq!(
        what(&format!("{good},\"cold\n{good},\"thick\"\n{good},\"two\nlines\"\n{good},ok\n")),
        [(2, open), (3, None), (4, None), (5, None)]
    );
    // A note over twenty lines is one, over twenty-one lines it is none.
    let note = |lines: usize| format!("{good},\"{}\"\n{good},ok\n", vec!["a"; lines].join("\n"));
    assert_eq!(what(&note(20)), [(2, None), (3, None)]);
    assert_eq!(what(&note(21)).len(), 22);
    assert_eq!(what(&note(21))[0], (2, open));
    // Wrapped headings and notes with commas are cells like any other.
    assert_eq!(
        texts(b"\"Date\nchecked\",Site,\"Before\r\n(ml)\",Note\n2,\"a \"\"b\"\"\",3,\"cold, thick,\nand \"\"slow\"\"\"\n"),
        [
            vec!["Date\nchecked", "Site", "Before\r\n(ml)", "Note"],
            vec!["2", "a \"b\"", "3", "cold, thick,\nand \"slow\""]
        ]
    );
    // A short row is not whole, but what closes its mark is the beginning of a cell below.
    assert_eq!(
        texts(b"a,b,c\n\"Week 10\n1,\"2,3\n4,5,6\n").len(),
        4,
        "a mark that text follows closes nothing"
    );
    // What is open is kept as it was written.
    assert_eq!(
        texts(b"a,b,c,d\n1,\"2,\"\"x,3\n4,5,6,7\n"),
        [vec!["a", "b", "c", "d"], vec!["1", "\"2", "\"\"x", "3"], vec!["4", "5", "6", "7"]]
    );
    let estate = estate();
    let refusals = Known::open(
        Table::open(&b"at,\"site,machine\n"[..]).unwrap(),
        Door::Catches,
        &estate,
        now(),
    );
    assert_eq!(refusals.err().unwrap()[0].code, Code::Quote);
}

#[test]
fn every_code_is_documented_and_stands_for_one_thing() {
    let text = include_str!("../../../../docs/sheets.md");
    let codes: BTreeSet<&str> = Code::ALL.iter().map(|c| c.as_str()).collect();
    assert_eq!(codes.len(), Code::ALL.len());
    for code in Code::ALL {
        assert!(
            text.contains(&format!("| {} | {} |", code.as_str(), code.title())),
            "{} is not in docs/sheets.md",
            code.as_str()
        );
    }
    for door in [Door::Catches, Door::Adjustments, Door::Parts, Door::Products] {
        for column in door.required().iter().chain(door.optional()) {
            assert!(
                text.contains(&format!("`{column}`")),
                "column {column} is not in docs/sheets.md"
            );
        }
    }
}

/// Bytes that are nearly a sheet: pieces of real ones, shuffled.
fn nearly_a_sheet() -> impl Strategy<Value = Vec<u8>> {
    let pieces = prop::sample::select(vec![
        "at,site,machine,line,amount,unit,seconds,state\n",
        "2026-03-02",
        ",",
        ";",
        "\t",
        "\n",
        "\r\n",
        "\"",
        "29.6",
        "29,6 ml",
        "1 oz",
        "OK",
        "✓",
        "as-found",
        "fernhollow",
        "counter-1",
        "Fern Holow",
        "Date",
        "Site",
        "Line",
        "Qty (ml)",
        "Before",
        "After",
        "02/03/2026",
        "2 Mar 26",
        "46083",
        "Total",
        "7.1",
        "n/a",
        "Cherry",
        "Week 10",
        "\u{feff}",
        "é",
        "\u{0}",
        "-",
        "1/4 turn",
        "0",
        "-5",
        "99999999999999999999999999",
        "NaN",
        "(",
        ")",
        "31/12",
        "Site:",
        " in 7s",
        "%",
        "(US)",
    ]);
    prop_oneof![
        prop::collection::vec(pieces, 0..120).prop_map(|p| p.concat().into_bytes()),
        prop::collection::vec(any::<u8>(), 0..400),
    ]
}

/// A workbook of such pieces, whole or with some bytes changed.
fn nearly_a_workbook() -> impl Strategy<Value = Vec<u8>> {
    let cell = prop_oneof![
        Just(X::None),
        prop::sample::select(vec![
            "Date",
            "Site",
            "Line",
            "Before",
            "After",
            "29.6 ml",
            "1 oz",
            "OK",
            "Fern Hollow",
            "Total"
        ])
        .prop_map(|t| X::Text(t.to_owned())),
        (-10.0..60000.0_f64).prop_map(X::Number),
        (0.0..60000.0_f64).prop_map(X::Date),
    ];
    let rows = prop::collection::vec(prop::collection::vec(cell, 0..6), 0..12);
    let merged = prop::sample::select(vec![
        vec![],
        vec!["A1:C1".to_owned()],
        vec!["A1:XFD1048576".to_owned()],
        vec!["B2:B9".to_owned(), "C1:D1".to_owned()],
    ]);
    (rows, merged, prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6))
        .prop_map(|(rows, merged, changes)| {
            let mut bytes = xlsx("Sheet", &rows, &merged);
            for (at, value) in changes {
                let at = at.index(bytes.len());
                bytes[at] = value;
            }
            bytes
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Every line is a row, whatever marks are put into it, and every line without a mark is loaded.
    #[test]
    fn quotation_marks_anywhere_lose_no_row(
        count in 1..60_usize,
        marks in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), any::<bool>()), 1..8),
        end in prop::sample::select(vec!["\n", "\r\n", "\r"]),
        separator in prop::sample::select(vec![",", ";", "\t"]),
    ) {
        let mut lines: Vec<String> = (0..count)
            .map(|i| format!("2026-03-02,fernhollow,counter-1,1,30,mL,7,as-found,row {i}").replace(',', separator))
            .collect();
        for (line, place, at_cell) in marks {
            let line = line.get_mut(&mut lines);
            let cells: Vec<usize> = line.match_indices(separator).map(|(i, _)| i + 1).collect();
            let place = if at_cell { *place.get(&cells) } else { place.index(line.len() + 1) };
            line.insert(place, '"');
        }
        let head = "at,site,machine,line,amount,unit,seconds,state,note".replace(',', separator);
        let text = format!("{head}{end}{}{end}", lines.join(end));
        let loaded = load(Door::Catches, &text);
        prop_assert_eq!(loaded.iter().map(Row::number).collect::<Vec<_>>(), (2..count as u64 + 2).collect::<Vec<_>>(), "{}", text);
        for (row, line) in loaded.iter().zip(&lines) {
            prop_assert!(line.contains('"') || matches!(row, Row::Draft { .. }), "{:?} in {}", row, text);
        }
        fuzz::any_bytes(text.as_bytes(), &estate(), now());
    }

    #[test]
    fn no_csv_bytes_panic_or_lose_a_row(bytes in nearly_a_sheet()) {
        fuzz::any_bytes(&bytes, &estate(), now());
    }

    #[test]
    fn no_workbook_bytes_panic_or_lose_a_row(bytes in nearly_a_workbook()) {
        fuzz::any_bytes(&bytes, &estate(), now());
    }

    /// What is loaded is a record that the ledger takes.
    #[test]
    fn every_draft_passes_the_ledgers_check(amount in 0.0..200.0_f64, seconds in 0.1..30.0_f64, day in 1..=28, left in any::<bool>(), by in "[ -~]{0,12}") {
        let state = if left { "as-left" } else { "as-found" };
        let by = by.replace('"', "'");
        let text = format!("{}{}", "at,site,machine,line,amount,unit,seconds,state,by\n", format_args!("2026-02-{day:02},moss-end,counter-1,3,{amount:.2},mL,{seconds:.2},{state},\"{by}\"\n"));
        for row in load(Door::Catches, &text) {
            if let Row::Draft { draft, .. } = row {
                prop_assert_eq!(draft.record.check(), Ok(()));
            }
        }
    }
}
