//! The PDF: that it is one page, says what the sheet says, and takes any name for a name.

use typst::layout::{Frame, FrameItem};
use typst_layout::PagedDocument;

use super::super::pdf::typeset;
use super::*;

const DATED: Print<'static> = Print { printed_on: "2026-06-08", ..PRINT };
const LETTER: Print<'static> = Print { paper: Paper::Letter, ..DATED };

fn sheet_on(machine: &str, print: &Print<'_>) -> MachineSheet {
    MachineSheet::new(&estate::small(), "fernhollow", machine, &[], print).unwrap()
}

/// The words of each page in the order in which they are set, without what only parts them: lines are broken anywhere.
fn pages(sheet: &MachineSheet) -> Vec<String> {
    fn read(frame: &Frame, text: &mut String) {
        for (_, item) in frame.items() {
            match item {
                FrameItem::Group(group) => read(&group.frame, text),
                FrameItem::Text(item) => text.push_str(&item.text),
                _ => {}
            }
        }
    }
    let document: PagedDocument = typeset(sheet).unwrap();
    let page = |frame: &Frame| {
        let mut text = String::new();
        read(frame, &mut text);
        squeezed(&text)
    };
    document.pages().iter().map(|it| page(&it.frame)).collect()
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && !"\u{ad}\u{200b}\u{200e}-".contains(*c)).collect()
}

/// What must stand on the paper.
fn said(sheet: &MachineSheet) -> Vec<String> {
    let header = &sheet.header;
    let mut said = vec![header.machine.clone(), header.site.clone(), header.family.clone()];
    said.extend(header.serial.clone());
    said.extend(header.out_of_use.map(str::to_owned));
    said.extend(sheet.steps.clone());
    for measure in &sheet.measures {
        said.push(format!("{}: {}, {}.", measure.key, measure.name, measure.read));
    }
    said.push(sheet.setting.about.clone());
    said.push(format!("Too little: {} {}", sheet.setting.more.verb, sheet.setting.more.way));
    said.push(format!("Too much: {} {}", sheet.setting.less.verb, sheet.setting.less.way));
    for row in &sheet.rows {
        said.push(format!("{} {}", row.line, row.name));
        said.extend(row.allergens.iter().map(|a| a.to_uppercase()));
        said.push(format!("{} {}", row.draw, row.asks));
        if let Some((least, most)) = row.water.as_ref().and_then(|water| water.leave.as_ref()) {
            said.push(format!("{least} – {most}"));
        }
        said.extend(windows(row));
        said.push(row.how_far.replace("; ", ""));
        said.extend(row.last.clone());
    }
    said.extend(sheet.notes.clone());
    said.extend(sheet.cautions.clone());
    said.push(sheet.key_in.clone());
    said
}

fn windows(row: &Row) -> Vec<String> {
    match &row.says {
        Says::Windows(window) => {
            let range = |least: &str, most: &str| {
                if least == most { least.to_owned() } else { format!("{least} – {most}") }
            };
            let leave = match &window.leave {
                Leave::Between { least, most } => {
                    format!("{} {}", range(least, most), window.unit)
                }
                Leave::Mean { catches, least, most } => {
                    format!("{} {}, mean of {catches}", range(least, most), window.unit)
                }
                Leave::With { measure } => format!("use {measure}"),
                Leave::Never => "in between, not shown".to_owned(),
            };
            let (little, much) = if window.fewer_is_more {
                ("s or over", "s or under")
            } else {
                ("or under", "or over")
            };
            let side = |at: &Option<String>, words: &str| match at {
                Some(at) => format!("{at} {words}"),
                None => "not shown".to_owned(),
            };
            vec![side(&window.too_little, little), leave, side(&window.too_much, much)]
        }
        Says::Marks { mark, under, at, over } => {
            vec![
                format!("under {mark} {under}"),
                format!("at {mark} {at}"),
                format!("over {mark} {over}"),
            ]
        }
        Says::Trouble { .. } => vec!["cannot be judged".to_owned()],
    }
}

/// That all of it is there, and as often as it is said: what is set first depends on what spans what.
fn assert_says(text: &str, said: &[String], who: &str) {
    let said: Vec<String> = said.iter().map(|words| squeezed(words)).collect();
    for words in &said {
        let times = said.iter().filter(|other| *other == words).count();
        assert!(text.matches(words.as_str()).count() >= times, "{who}: `{words}` in `{text}`");
    }
}

#[test]
fn every_machine_is_one_page_that_says_what_its_sheet_says() {
    for print in [DATED, LETTER] {
        for machine in MACHINES {
            let sheet = sheet_on(machine, &print);
            let pages = pages(&sheet);
            let who = format!("{machine} on {:?}", print.paper);
            assert_eq!(pages.len(), 1, "{who}");
            assert_says(&pages[0], &said(&sheet), &who);
        }
    }
}

/// The long counter of twelve lines, of which the first so many have something to say.
fn long_counter(print: &Print<'_>, saying: usize) -> MachineSheet {
    let standings: Vec<Standing> = (1..=saying)
        .map(|line| Standing {
            address: Address::new("fernhollow", "twelve", &line.to_string()).unwrap(),
            ..standing("1", ActKind::Adjust)
        })
        .collect();
    MachineSheet::new(&estate::small(), "fernhollow", "twelve", &standings, print).unwrap()
}

#[test]
fn a_dozen_lines_stay_on_one_page_by_smaller_letters() {
    for print in [DATED, LETTER] {
        let sheet = long_counter(&print, 4);
        let pages = pages(&sheet);
        assert_eq!(pages.len(), 1, "{:?}", print.paper);
        assert_says(&pages[0], &said(&sheet), "twelve");
    }
}

#[test]
fn more_lines_go_on_under_the_same_heading_and_none_is_parted() {
    let mut sheet = long_counter(&DATED, 12);
    for (place, mut row) in sheet.rows.clone().into_iter().enumerate() {
        row.line = (13 + place).to_string();
        sheet.rows.push(row);
    }
    let pages = pages(&sheet);
    assert!(pages.len() > 1);
    for (place, page) in pages.iter().enumerate() {
        assert!(page.contains(&squeezed("Adjusted by")), "page {place} has no heading");
        assert!(page.contains(&squeezed(&format!("page {} of {}", place + 1, pages.len()))));
        assert!(page.contains("fernhollow/twelve"));
        let lines = page.matches(&squeezed("7 s into")).count()
            + page.matches(&squeezed("6 s onto")).count()
            + page.matches(&squeezed("9 s into")).count()
            + page.matches(&squeezed("fill cup")).count();
        assert_eq!(lines, page.matches(&squeezed("Last catch 2026-06-01")).count(), "page {place}");
    }
    assert_says(&pages.concat(), &said(&sheet), "twenty-four");
}

/// Names that would do something if they were read as markup, or that no font has all letters of.
const NAMES: [&str; 12] = [
    "#panic(\"read as code\") #import \"sheet.json\"",
    "*bold* _slanted_ `raw` $x^2$ <label> @reference = heading",
    "\\ \\u{41} // gone /* gone */ ~ -- --- ... [x] {y} ]] }} )) \"quoted\" 'quoted'",
    "</style><script>alert(1)</script>",
    "Smoked\nhoney\r\n\ttwo\u{0}three\u{2028}four",
    "דבש מעושן 12 mL",
    "عسل مدخن لذيذ",
    "\u{202e}turned round\u{2066} and \u{200f}back",
    "bees 🐝 family 👩\u{200d}👩\u{200d}👧 flag 🇦🇹 smile 😀",
    "燻製蜂蜜 ราดซอส スモーク",
    "e\u{20dd} a\u{301}\u{302}\u{303} \u{301} \u{e000}\u{f400}\u{fffe}\u{feff}\u{10ffff} 𝐁𝔬𝔩𝔡",
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
];

#[test]
fn names_are_text_wherever_they_stand_in_a_pdf_too() {
    for name in NAMES {
        let mut sheet = sheet_on("screw", &DATED);
        sheet.header.site = name.to_owned();
        sheet.header.machine = name.to_owned();
        sheet.header.group = name.to_owned();
        sheet.header.family = name.to_owned();
        sheet.header.serial = Some(name.to_owned());
        sheet.setting.more.way = name.to_owned();
        sheet.rows[0].name = name.to_owned();
        sheet.rows[0].allergens = vec![name.to_owned()];
        sheet.measures[0].name = name.to_owned();
        sheet.notes.push(name.to_owned());
        let text = pages(&sheet).concat();
        // A line that is read from right to left has its words the other way round. Nine times, for allergens are in capitals.
        for word in crate::typeset::plain(name).split_whitespace() {
            assert!(text.matches(&squeezed(word)).count() >= 9, "{name}: `{word}` in {text}");
        }
        let pdf = sheet.to_pdf();
        assert!(pdf.is_ok(), "{name}: {pdf:?}");
    }
}

#[test]
fn letters_that_no_font_has_are_boxes_and_the_sheet_says_so() {
    let mut sheet = sheet_on("ring", &DATED);
    assert!(!pages(&sheet).concat().contains('□'));
    sheet.rows[0].name = "蜂蜜 honey \u{202e}\u{1}мёд".to_owned();
    let text = pages(&sheet).concat();
    assert!(text.contains("1□□honeyмёд"), "{text}");
    assert!(text.contains(&squeezed("□ stands for a letter")), "{text}");
}

#[test]
fn a_name_of_any_length_is_cut_and_ends() {
    let mut sheet = sheet_on("ring", &DATED);
    sheet.rows[0].name = "honey ".repeat(20_000);
    sheet.header.site = "x".repeat(100_000);
    sheet.notes.push("y".repeat(100_000));
    let text = pages(&sheet).concat();
    assert!(text.contains('…') && text.len() < 10_000, "{}", text.len());
    assert!(sheet.to_pdf().is_ok());
}

fn holds(pdf: &[u8], words: &str) -> bool {
    pdf.windows(words.len()).any(|part| part == words.as_bytes())
}

#[test]
fn the_same_sheet_is_the_same_bytes_tagged_and_for_an_archive() {
    let sheet = sheet_on("taught", &DATED);
    let pdf = sheet.to_pdf().unwrap();
    let again = std::thread::spawn(|| sheet_on("taught", &DATED).to_pdf().unwrap()).join().unwrap();
    assert!(pdf == again);
    assert!(pdf.starts_with(b"%PDF-1.7"));
    for words in [
        "<pdfaid:part>2</pdfaid:part>",
        "<pdfaid:conformance>A</pdfaid:conformance>",
        "<pdfuaid:part>1</pdfuaid:part>",
        "/Marked true",
        "/StructTreeRoot",
        "/Type/Pages/Count 1/",
        "2026-06-08",
        "Machine sheet fernhollow/taught",
    ] {
        assert!(holds(&pdf, words), "{words}");
    }
    assert!(pdf != sheet_on("taught", &LETTER).to_pdf().unwrap());
}

#[test]
fn a_day_that_is_no_date_is_printed_as_it_is() {
    let sheet = sheet_on("taught", &PRINT);
    assert!(pages(&sheet)[0].contains("printed8June2026"));
    let pdf = sheet.to_pdf().unwrap();
    assert!(holds(&pdf, "pdfuaid:part") && !holds(&pdf, "pdfaid:part"));
}

#[test]
fn the_paper_is_as_asked_and_lies_on_its_side() {
    let size = |print: &Print<'_>| {
        let document = typeset(&sheet_on("ring", print)).unwrap();
        let size = document.pages()[0].frame.size();
        (size.x.to_mm().round(), size.y.to_mm().round())
    };
    assert_eq!(size(&DATED), (297.0, 210.0));
    assert_eq!(size(&LETTER), (279.0, 216.0));
}
