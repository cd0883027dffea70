//! One sheet of each sort, as people keep them.

use ouncewise_ledger::{Body, Draft, LineState};

use super::super::*;
use crate::sheets::Row;
use crate::sheets::fixture::{X, estate, now, xlsx};

fn propose_csv(text: &str, estate: &Estate) -> (Mapping, Vec<TableRow>) {
    let rows = Table::open(text.as_bytes()).unwrap().take_rows(LOOKED_AT).unwrap();
    (propose(&rows, About { file: "log.csv", sheet: None }, estate, now()).unwrap(), rows)
}

/// What became of a sheet: catches as text, and the codes of all else with their rows.
fn told(mapping: &Mapping, bytes: &[u8], estate: &Estate) -> (Vec<String>, Vec<(u64, Code)>) {
    let mut drafts = Vec::new();
    let mut others = Vec::new();
    for row in apply(mapping, Table::open(bytes).unwrap(), estate, now()).unwrap() {
        match row {
            Row::Draft { draft, .. } => drafts.push(show(&draft)),
            Row::Refused(r) | Row::Listed(r) => others.push((r.row, r.code)),
        }
    }
    (drafts, others)
}

fn show(draft: &Draft) -> String {
    let r = &draft.record;
    assert_eq!(r.check(), Ok(()));
    let what = match &r.body {
        Body::CatchTaken { state, amount, draw, .. } => format!(
            "{} {amount} in {draw}",
            if *state == LineState::AsFound { "found" } else { "left" }
        ),
        Body::ClaimMade { said } => format!("claim {said}"),
        Body::LineAdjusted { done, .. } => format!("adjusted {done}"),
        other => format!("{other:?}"),
    };
    let note = draft.note.as_deref().map_or(String::new(), |n| format!(" [{n}]"));
    format!(
        "{} {}/{}/{} {what}{note}",
        &r.at[..16],
        r.scope,
        r.subject.machine.as_deref().unwrap(),
        r.subject.line.as_deref().unwrap()
    )
}

fn open(mapping: &Mapping) -> Vec<&str> {
    mapping.open().map(|q| q.id.as_str()).collect()
}

#[test]
fn a_row_per_catch_with_a_title_totals_and_blank_rows() {
    let text = "Calibration log,,,,,,\n,,,,,,\nDate,Store,Flavour,Before (ml),After (ml),Secs,Comments\n\
                25/03/2026,Fern Hollow,Gooseberry,28.1,30.2,7.1,\n,,,,,,\n26/03/2026,Moss End,Cardamom,OK,,,all fine\n\
                27/03/2026,Moss End,Cardamom,n/a,,,closed early\nTotal,,,58.3,,,\nDate,Store,Flavour,Before (ml),After (ml),Secs,Comments\n,,,,,,checked by JM\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), Vec::<&str>::new(), "{mapping:#?}");
    let (drafts, others) = told(&mapping, text.as_bytes(), &estate);
    assert_eq!(
        drafts,
        [
            "2026-03-25T00:00 fernhollow/counter-1/1 found 28.1 mL in 7.1 s",
            "2026-03-25T00:00 fernhollow/counter-1/1 left 30.2 mL in 7.1 s",
            "2026-03-26T00:00 moss-end/counter-1/3 claim OK [all fine]",
        ]
    );
    assert_eq!(
        others,
        [
            (1, Code::Title),
            (2, Code::Blank),
            (3, Code::Heading),
            (5, Code::Blank),
            (7, Code::Remark),
            (8, Code::Totals),
            (9, Code::HeadingAgain),
            (10, Code::Remark),
        ]
    );
}

#[test]
fn a_column_for_each_line_under_merged_groups() {
    let t = |s: &str| X::Text(s.to_owned());
    let book = xlsx(
        "March",
        &[
            vec![t("Fern Hollow: weekly check")],
            vec![t("Date"), t("Gooseberry"), X::None, t("Smoked Honey"), X::None, t("Initials")],
            vec![X::None, t("Before"), t("After"), t("Before"), t("After"), X::None],
            vec![X::Date(46083.0), t("28.5ml"), t("30 ml"), t("✓"), X::None, t("AB")],
            vec![
                X::Date(46090.0),
                t("29 ml (foamy)"),
                t("30.5 ml"),
                t("1 oz"),
                t("> 30 ml"),
                t("CD"),
            ],
        ],
        &[
            "A1:F1".to_owned(),
            "A2:A3".to_owned(),
            "B2:C2".to_owned(),
            "D2:E2".to_owned(),
            "F2:F3".to_owned(),
        ],
    );
    let estate = estate();
    let mut table = Table::open(book.as_slice()).unwrap();
    let rows = table.take_rows(100).unwrap();
    let mut mapping =
        propose(&rows, About { file: "x.xlsx", sheet: table.sheet() }, &estate, now()).unwrap();
    assert_eq!((mapping.heading_row, mapping.heading_rows), (2, 2));
    assert_eq!(open(&mapping), ["unit oz"]);
    let (drafts, others) = told(&mapping, &book, &estate);
    assert_eq!(
        drafts,
        [
            "2026-03-02T00:00 fernhollow/counter-1/1 found 28.5 mL in 7 s",
            "2026-03-02T00:00 fernhollow/counter-1/1 left 30 mL in 7 s",
            "2026-03-02T00:00 fernhollow/counter-1/2 claim ✓",
            "2026-03-09T00:00 fernhollow/counter-1/1 found 29 mL in 7 s [foamy]",
            "2026-03-09T00:00 fernhollow/counter-1/1 left 30.5 mL in 7 s",
            "2026-03-09T00:00 fernhollow/counter-1/2 left over the 30 mL mark in 7 s",
        ]
    );
    assert!(others.contains(&(5, Code::Waiting)));
    assert!(mapping.set("unit oz", "a lot").is_err());
    mapping.set("unit oz", "fl oz (US)").unwrap();
    let (drafts, others) = told(&mapping, &book, &estate);
    assert_eq!(drafts[5], "2026-03-09T00:00 fernhollow/counter-1/2 found 1 fl oz (US) in 7 s");
    assert!(others.iter().all(|(_, c)| !c.is_fault()), "{others:?}");
}

#[test]
fn a_line_per_row_and_a_column_for_each_week() {
    let text = "Site:;Moss End\n\nLeitung;02.03.2026;09.03.2026;16.03.2026\nGooseberry;29,6;30,1;OK\n3;28,9;-;29,4\nMittelwert;29,2;;\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), Vec::<&str>::new(), "{mapping:#?}");
    let (drafts, others) = told(&mapping, text.as_bytes(), &estate);
    assert_eq!(
        drafts,
        [
            "2026-03-02T00:00 moss-end/counter-1/1 found 29.6 mL in 7 s",
            "2026-03-09T00:00 moss-end/counter-1/1 found 30.1 mL in 7 s",
            "2026-03-16T00:00 moss-end/counter-1/1 claim OK",
            "2026-03-02T00:00 moss-end/counter-1/3 found 28.9 mL in 7 s",
            "2026-03-16T00:00 moss-end/counter-1/3 found 29.4 mL in 7 s",
        ]
    );
    assert_eq!(others, [(1, Code::Title), (2, Code::Blank), (3, Code::Heading), (6, Code::Totals)]);
}

#[test]
fn sites_in_rows_of_their_own_and_cells_that_repeat_the_one_above() {
    let text = "Flavor,Date,Amount (ml),Time (s)\nFern Hollow,,,\nGooseberry,2026-03-02,29.6,7\nCardamom,,30,7.1\nMoss End,,,\nGooseberry,2026-03-03,31,7\n,2026-03-04,31.5,7\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    let (drafts, others) = told(&mapping, text.as_bytes(), &estate);
    assert_eq!(
        drafts,
        [
            "2026-03-02T00:00 fernhollow/counter-1/1 found 29.6 mL in 7 s",
            "2026-03-02T00:00 fernhollow/counter-1/3 found 30 mL in 7.1 s",
            "2026-03-03T00:00 moss-end/counter-1/1 found 31 mL in 7 s",
            "2026-03-04T00:00 moss-end/counter-1/1 found 31.5 mL in 7 s",
        ],
        "{mapping:#?}"
    );
    assert_eq!(others, [(1, Code::Heading), (2, Code::Section), (5, Code::Section)]);
}

#[test]
fn day_and_month_are_told_by_the_sheet_or_asked() {
    let estate = estate();
    let order = |dates: &[&str]| {
        let text = dates
            .iter()
            .fold("Date,Site,Line,ml,sec\n".to_owned(), |t, d| t + d + ",Moss End,1,30,7\n");
        let (mapping, _) = propose_csv(&text, &estate);
        let question = mapping.question("date-order").unwrap().clone();
        (question.answer, question.default)
    };
    let day = Some("day-month".to_owned());
    assert_eq!(order(&["02/03/2026", "25/03/2026"]).0, day);
    assert_eq!(order(&["03/02/2026", "03/25/2026"]).0, Some("month-day".to_owned()));
    // 2 November would be in the future.
    assert_eq!(order(&["11/02/2026"]).0, day);
    // Weekly steps by day first, and monthly ones by month first.
    assert_eq!(order(&["05/01/2026", "12/01/2026", "02/02/2026", "09/02/2026"]).0, day);
    assert_eq!(order(&["01/02/2026"]), (None, "day-month".to_owned()));
}

#[test]
fn a_sheet_of_one_store_with_readings_that_are_only_counted() {
    let text = "Syrup Calibration,,,,,,\nStore 114 - Riverside,,,,,,\nManager: Pat,,Week of 3/2/2026,,,,\n,,,,,,\nFlavor,Target (oz),1st,2nd,Psi,Adj?,Initials\n\
                Vanilla,1,1.05,1.02,31,,PT\nCaramel,1,0.9,1,32,1/4 turn,PT\nMocha,1.5,OK,,33,,\nHazelnut,1,,,30,not done - busy,\n,,,,,,\nTotal,,,,,,\n";
    let empty = Estate::default();
    let (mut mapping, rows) = propose_csv(text, &empty);
    let asked: Vec<&str> = mapping.open().filter(|q| !q.sets_up).map(|q| q.id.as_str()).collect();
    assert_eq!(asked, ["column E", "unit oz", "date-order"], "{mapping:#?}");
    mapping.accept_defaults();
    let grown = estate_from(&mapping, &rows, &empty).unwrap();
    let (drafts, others) = told(&mapping, text.as_bytes(), &grown);
    let place = "2026-03-02T00:00 114-riverside/machine-1";
    assert_eq!(
        drafts,
        [
            format!("{place}/vanilla found 1.05 fl oz (US) in 1 dose"),
            format!("{place}/vanilla found 1.02 fl oz (US) in 1 dose"),
            format!("{place}/caramel found 0.9 fl oz (US) in 1 dose"),
            format!("{place}/caramel found 1 fl oz (US) in 1 dose"),
            format!("{place}/caramel adjusted 1/4 turn"),
            format!("{place}/mocha claim OK"),
        ]
    );
    assert!(others.contains(&(5, Code::ColumnNotLoaded)) && others.contains(&(9, Code::NoReading)));
    assert_eq!(grown.products.len(), 4);
}

#[test]
fn names_over_readings_that_may_be_of_anything_are_asked_about() {
    let text = "Date,Line,North,South\n2026-03-02,1,30 ml,31 ml\n2026-03-09,1,29 ml,30 ml\n";
    let estate = estate();
    let (mut mapping, _) = propose_csv(text, &estate);
    assert_eq!(mapping.question("names").map(|q| q.default.as_str()), Some("site"), "{mapping:#?}");
    assert!(
        told(&mapping, text.as_bytes(), &estate)
            .1
            .iter()
            .filter(|(n, _)| *n > 1)
            .all(|(_, c)| *c == Code::Waiting)
    );
    mapping.set("names", "readings").unwrap();
    mapping.set("site", "moss-end").unwrap();
    let (drafts, others) = told(&mapping, text.as_bytes(), &estate);
    assert_eq!((drafts.len(), others), (4, vec![(1, Code::Heading)]));
    assert!(drafts.iter().all(|d| d.contains("moss-end/counter-1/1")));
}

#[test]
fn an_empty_estate_grows_from_one_sheet() {
    let text = "Store,Store #,Flavor,Target (ml),Actual (ml),Sec,Date\nMain Street,12,Cherry,30,29.1,7,2026-03-02\nMain Street,12,Vanilla,25,24,6,2026-03-02\nMain Street,47,Cherry,30,31,7,2026-03-02\nElm Court,9,Chery,30,30,7,2026-03-02\n";
    let empty = Estate::default();
    let (mut mapping, rows) = propose_csv(text, &empty);
    assert!(
        mapping.open().any(|q| q.id == "line \"Chery\"" && q.default == "Cherry"),
        "{mapping:#?}"
    );
    mapping.accept_defaults();
    let grown = estate_from(&mapping, &rows, &empty).unwrap();
    let lines: Vec<String> = grown
        .lines()
        .map(|(a, l)| format!("{a} {} {} {}", l.target, l.tolerance, l.draw))
        .collect();
    assert_eq!(
        lines,
        [
            "elm-court/machine-1/cherry 30 mL 5 % 7 s",
            "main-street-12/machine-1/cherry 30 mL 5 % 7 s",
            "main-street-12/machine-1/vanilla 25 mL 5 % 7 s",
            "main-street-47/machine-1/cherry 30 mL 5 % 7 s",
        ]
    );
    let (drafts, others) = told(&mapping, text.as_bytes(), &grown);
    assert_eq!((drafts.len(), others), (4, vec![(1, Code::Heading)]));
    // Answers that do not go together are told.
    let mut odd = mapping.clone();
    odd.set("recipe-draw", "2 doses").unwrap();
    assert_eq!(estate_from(&odd, &rows, &empty).unwrap_err()[0].code, Code::MappingMisfit);
    odd.set("target", "soon").unwrap_or_default();
    odd.set("tolerance", "wide").unwrap();
    assert_eq!(estate_from(&odd, &rows, &empty).unwrap_err().len(), 1);
    // Growing again finds nothing to add.
    assert_eq!(estate_from(&mapping, &rows, &grown).unwrap(), grown);
    // Without a choice nothing is added, and the rows say why.
    mapping.questions.iter_mut().find(|q| q.id == "add").unwrap().answer = Some("no".to_owned());
    assert_eq!(estate_from(&mapping, &rows, &empty).unwrap(), empty);
    assert!(
        told(&mapping, text.as_bytes(), &empty)
            .1
            .iter()
            .all(|(n, c)| *n == 1 || *c == Code::UnknownSite)
    );
}

#[test]
fn a_mapping_is_kept_edited_and_used_again() {
    let text = "Fecha,Tienda,Sabor,Antes,Segundos\n03/02/2026,Moss End,Cardamom,29,7\n";
    let estate = estate();
    let (mut mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), ["date-order"]);
    let file = mapping.to_toml();
    let edited =
        file.replace("default = \"day-month\"", "default = \"day-month\"\nanswer = \"month-day\"");
    let edited = Mapping::from_toml(&edited).unwrap();
    assert_eq!(
        told(&edited, text.as_bytes(), &estate).0,
        ["2026-03-02T00:00 moss-end/counter-1/3 found 29 mL in 7 s"]
    );
    mapping.set("date-order", "day-month").unwrap();
    // The next month's sheet has the same heading: the mapping reads it as it is, and a new one learns from it.
    let next = "Fecha,Tienda,Sabor,Antes,Segundos\n01/03/2026,Moss End,Cardamom,29,7\n";
    let (mut fresh, rows) = propose_csv(next, &estate);
    assert!(mapping.fits(&rows));
    fresh.remember(&mapping);
    assert_eq!(open(&fresh), ["date-order"], "the order of dates is each sheet's own");
    assert_eq!(
        told(&mapping, next.as_bytes(), &estate).0,
        ["2026-03-01T00:00 moss-end/counter-1/3 found 29 mL in 7 s"]
    );
    // Another sheet does not fit, and bad answers are told with their question.
    assert!(
        !mapping.fits(&propose_csv("Date,Site,Line,ml\n2026-03-02,Moss End,1,30\n", &estate).1)
    );
    let bad = file.replace("default = \"day-month\"", "default = \"day-month\"\nanswer = \"week\"");
    assert_eq!(Mapping::from_toml(&bad).unwrap_err()[0].code, Code::MappingMisfit);
    assert_eq!(Mapping::from_toml("version = 1\nheading_rows = \n").unwrap_err()[0].row, 2);
}

#[test]
fn ticks_adjustments_and_shifts() {
    let text = "Week of,Location,Line,Reading (ml),Secs,OK?,Action taken,Time,By\n2 Mar 26,Moss End,Line 1,28,7,✓,1/4 turn anticlockwise,6:40 am,AB\n2 Mar 26,Moss End,Line 2,,,✓,,morning,AB\n2 Mar 26,Moss End,Line 3,,,not done,,,AB\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    let (drafts, others) = told(&mapping, text.as_bytes(), &estate);
    assert_eq!(
        drafts,
        [
            "2026-03-02T06:40 moss-end/counter-1/1 found 28 mL in 7 s",
            "2026-03-02T06:40 moss-end/counter-1/1 adjusted 1/4 turn anticlockwise",
            "2026-03-02T00:00 moss-end/counter-1/2 claim ✓ [time: morning]",
        ],
        "{mapping:#?}"
    );
    assert_eq!(others, [(1, Code::Heading), (4, Code::NoReading)]);
}

#[test]
fn temperatures_and_measures_that_are_not_known_are_asked_about() {
    let text = "Date,Site,Line,Amount (ml),Sec,Temp,Cup used\n2026-03-02,Moss End,1,29,7,39,jug\n2026-03-02,Moss End,2,29,7,40 °F,60 ml cup\n";
    let estate = estate();
    let (mut mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), ["temperature-unit", "measure \"jug\""]);
    assert_eq!(
        told(&mapping, text.as_bytes(), &estate),
        (
            vec!["2026-03-02T00:00 moss-end/counter-1/2 found 29 mL in 7 s".to_owned()],
            vec![(1, Code::Heading), (2, Code::Waiting)]
        )
    );
    mapping.set("measure \"jug\"", "leave out").unwrap();
    mapping.set("temperature-unit", "°F").unwrap();
    assert_eq!(
        told(&mapping, text.as_bytes(), &estate).1,
        [(1, Code::Heading), (2, Code::LeftOut)]
    );
    mapping.set("measure \"jug\"", "cup").unwrap();
    assert_eq!(told(&mapping, text.as_bytes(), &estate).0.len(), 2);
}

#[test]
fn sites_that_write_dates_in_their_own_ways_are_told_apart() {
    let text = "Date,Site,Line,ml,sec\n25/03/2026,Moss End,1,30,7\n02/03/2026,Moss End,1,30,7\n03/25/2026,Fern Hollow,1,30,7\n03/02/2026,Fern Hollow,1,30,7\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), Vec::<&str>::new());
    let days: Vec<String> =
        told(&mapping, text.as_bytes(), &estate).0.iter().map(|t| t[..10].to_owned()).collect();
    assert_eq!(days, ["2026-03-25", "2026-03-02", "2026-03-25", "2026-03-02"]);
}

#[test]
fn a_name_that_several_sites_have_is_asked_about() {
    let mut estate = estate();
    estate.sites.get_mut("moss-end").unwrap().name = "Main Street".to_owned();
    estate.sites.get_mut("fernhollow").unwrap().name = "Main Street".to_owned();
    let text = "Date,Site,Line,ml,sec\n2026-03-02,Main Street,1,30,7\n2026-03-02,moss-end,1,31,7\n";
    let (mut mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), ["site \"Main Street\""]);
    mapping.set("site \"Main Street\"", "fernhollow").unwrap();
    assert_eq!(
        told(&mapping, text.as_bytes(), &estate).0,
        [
            "2026-03-02T00:00 fernhollow/counter-1/1 found 30 mL in 7 s",
            "2026-03-02T00:00 moss-end/counter-1/1 found 31 mL in 7 s"
        ]
    );
}

#[test]
fn a_sheet_without_a_heading_is_refused_with_advice() {
    let rows = Table::open(&b"29.6,30.1\n28.4,30\n"[..]).unwrap().take_rows(10).unwrap();
    let refusal = propose(&rows, About::default(), &estate(), now()).unwrap_err();
    assert_eq!(refusal.code, Code::NoHeading);
    assert!(refusal.hint.is_some());
}

#[test]
fn a_first_row_of_words_is_data_and_no_second_heading() {
    let text = "Date,Store,Flavour,Qty,Notes\n25/03/2026,Moss End,Gooseberry,done,\n26/03/2026,Moss End,Gooseberry,30 ml,\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    assert_eq!(mapping.heading_rows, 1);
    assert_eq!(told(&mapping, text.as_bytes(), &estate).0.len(), 2);
}

#[test]
fn slips_in_the_names_of_site_and_line_are_asked_about_together() {
    let text = "Date,Store,Flavour,Qty (ml)\n2026-03-02,Mosss End,Goooseberry,30\n";
    let estate = estate();
    let (mut mapping, _) = propose_csv(text, &estate);
    assert_eq!(open(&mapping), ["site \"Mosss End\"", "line \"Goooseberry\""]);
    mapping.accept_defaults();
    assert_eq!(told(&mapping, text.as_bytes(), &estate).0.len(), 1);
}

#[test]
fn column_letters_go_both_ways() {
    for (n, l) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")] {
        assert_eq!((letter(n), column_number(l)), (l.to_owned(), Some(n)));
    }
    assert_eq!(column_number("a"), None);
}

#[test]
fn a_heading_that_says_where_is_the_site() {
    let estate = estate();
    for heading in ["Where", "Location", "Store", "Restaurant", "Dónde", "Wo", "Standort"] {
        let text = format!(
            "Date,{heading},Flavour,Before (ml),Secs\n25/03/2026,Fern Hollow,Gooseberry,28.1,7.1\n\
             26/03/2026,Moss End,Cardamom,29.3,7\n"
        );
        let (mapping, _) = propose_csv(&text, &estate);
        assert_eq!(mapping.columns[1].means, Means::Site, "{heading}");
        assert_eq!(
            told(&mapping, text.as_bytes(), &estate).0,
            [
                "2026-03-25T00:00 fernhollow/counter-1/1 found 28.1 mL in 7.1 s",
                "2026-03-26T00:00 moss-end/counter-1/3 found 29.3 mL in 7 s",
            ],
            "{heading}"
        );
    }
}

#[test]
fn one_line_and_one_site_are_asked_about_in_the_singular() {
    let asks = |text: &str| {
        let (mapping, _) = propose_csv(text, &estate());
        mapping.questions.into_iter().find(|q| q.id == "add").unwrap().asks
    };
    let one = "Date,Site,Line,Before (ml),Secs\n25/03/2026,Tarn Gate,Gooseberry,28.1,7.1\n";
    assert_eq!(asks(one), "the sheet speaks of 1 line not in the estate (1 new site): add it?");
    assert_eq!(
        asks(&format!(
            "{one}25/03/2026,Tarn Gate,Cardamom,29.1,7.1\n25/03/2026,Long Acre,Pandan,29.1,7.1\n"
        )),
        "the sheet speaks of 3 lines not in the estate (2 new sites): add them?"
    );
}

#[test]
fn an_open_quotation_mark_refuses_its_row_and_leaves_the_others() {
    let text = "Date,Site,Flavour,Before (ml),Secs,Note\n25/03/2026,Fern Hollow,Gooseberry,28.1,7.1,\"cold\n\
                26/03/2026,Moss End,Cardamom,29.3,7,\n27/03/2026,Moss End,Cardamom,29.5,7,thick\"\n";
    let estate = estate();
    let (mapping, _) = propose_csv(text, &estate);
    let (drafts, others) = told(&mapping, text.as_bytes(), &estate);
    assert_eq!((drafts.len(), others), (2, vec![(1, Code::Heading), (2, Code::Quote)]));
}

#[test]
fn lines_are_called_by_their_flavours_and_drawn_as_long_as_they_are() {
    let text = "Store,Line,Flavor,Actual (ml),Sec,Date\n\
                Elm Court,1,Cherry,30,7,2026-03-02\nElm Court,1,Cherry,30,7.1,2026-03-03\nElm Court,Line 2,Vanilla,40,9,2026-03-02\n\
                Elm Court,Line 2,Vanilla,40,9.1,2026-03-03\nElm Court,3,Pandan,30,6.9,2026-03-02\n";
    let empty = Estate::default();
    let (mut mapping, rows) = propose_csv(text, &empty);
    let asked: Vec<(&str, &str)> = mapping
        .open()
        .filter(|q| q.id.starts_with("recipe-draw"))
        .map(|q| (q.id.as_str(), q.default.as_str()))
        .collect();
    assert_eq!(asked, [("recipe-draw", "7 s"), ("recipe-draw \"Vanilla\"", "9 s")]);
    mapping.accept_defaults();
    let grown = estate_from(&mapping, &rows, &empty).unwrap();
    let lines: Vec<String> = grown
        .lines()
        .map(|(at, line)| format!("{at} {} {}", grown.line_name(&at), line.draw))
        .collect();
    assert_eq!(
        lines,
        [
            "elm-court/machine-1/1 Cherry 7 s",
            "elm-court/machine-1/2 Vanilla 9 s",
            "elm-court/machine-1/3 Pandan 7 s",
        ]
    );
    // They are found again by what the sheet calls them.
    assert_eq!(told(&mapping, text.as_bytes(), &grown).0.len(), 5);
    assert_eq!(estate_from(&mapping, &rows, &grown).unwrap(), grown);
    let mut odd = mapping.clone();
    odd.set("recipe-draw \"Vanilla\"", "soon").unwrap();
    assert_eq!(estate_from(&odd, &rows, &empty).unwrap_err()[0].code, Code::MappingMisfit);
}
