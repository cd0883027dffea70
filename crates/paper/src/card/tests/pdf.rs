//! The card as a PDF: on one page or two, with the words of the page for a browser.

use typst::layout::{Frame, FrameItem};

use super::super::pdf::typeset;
use super::super::shown::Shown;
use super::*;

/// The words of each page in the order in which they are set, without what only parts them; and the size of the smallest letter.
fn pages(card: &Print<'_>) -> (Vec<String>, f64) {
    fn read(frame: &Frame, text: &mut String, least: &mut f64) {
        for (_, item) in frame.items() {
            match item {
                FrameItem::Group(group) => read(&group.frame, text, least),
                FrameItem::Text(item) => {
                    text.push_str(&item.text);
                    *least = least.min(item.size.to_pt());
                }
                _ => {}
            }
        }
    }
    let mut least = f64::INFINITY;
    let document = typeset(card).unwrap();
    let mut page = |frame: &Frame| {
        let mut text = String::new();
        read(frame, &mut text, &mut least);
        squeezed(&text)
    };
    let pages = document.pages().iter().map(|it| page(&it.frame)).collect();
    (pages, least)
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '\u{200b}').collect()
}

/// What ships: both families, every procedure.
const SHIPPED: [&str; 2] = ["roller-pump", "screw-trim"];
const NAMES: [&str; 6] = [
    "weekly-clean",
    "weekly-calibration",
    "renew-parts",
    "first-start-up",
    "take-out",
    "change-flavour",
];

fn shipped(family: &str, name: &str) -> (Family, Procedure) {
    let at = format!("{}/../../content/procedures/{family}", env!("CARGO_MANIFEST_DIR"));
    let text = |name: &str| std::fs::read_to_string(format!("{at}/{name}.toml")).unwrap();
    let family = read::family("family.toml", &text("family")).0.unwrap();
    let procedure = read::procedure(name, &text(name), &family).0.unwrap();
    (family, procedure)
}

#[test]
fn every_card_that_ships_takes_one_page_or_two_and_says_what_its_page_says() {
    let terms = Terms::default();
    for (family, name) in SHIPPED.iter().flat_map(|f| NAMES.iter().map(move |n| (*f, *n))) {
        let (family, procedure) = shipped(family, name);
        for paper in [Paper::A4, Paper::Letter] {
            for language in ["en", "es"] {
                // The longest on each paper; of the others, each language once.
                if name != "weekly-clean" && (language == "en") != (paper == Paper::A4) {
                    continue;
                }
                let card = print(&family, &procedure, &terms, paper, language);
                let (pages, least) = pages(&card);
                let who = format!("{}/{name} {language} {paper:?}", family.key);
                assert!((1..=2).contains(&pages.len()), "{who}: {} pages", pages.len());
                // 9 pt is a millimetre and a half of small letter: 7 minutes of arc at 70 cm, and an eye with 20/20 reads 5.
                assert!(least >= 9.0, "{who}: {least} pt");
                let text = pages.concat();
                let shown = Shown::of(&card);
                let mut said =
                    vec![shown.title.to_owned(), shown.purpose.to_owned(), shown.standing.clone()];
                said.extend(shown.kit.iter().cloned());
                said.extend(shown.about.iter().cloned());
                for step in shown.stages.iter().flat_map(|stage| &stage.steps) {
                    said.push(step.say.to_owned());
                    said.extend(step.look_for.clone());
                    said.extend(step.leads.iter().cloned());
                    said.extend(step.cautions.iter().map(|own| own.says.clone()));
                }
                for words in said {
                    assert!(text.contains(&squeezed(&words)), "{who}: `{words}` in {text}");
                }
                let marks = shown.stages.iter().flat_map(|s| &s.steps).filter(|s| s.must).count();
                let mark = squeezed(&format!("■ {}", shown.must_not_skip));
                assert_eq!(text.matches(&mark).count(), marks, "{who}");
                assert!(!text.contains('□'), "{who} has a letter that cannot be shown: {text}");
            }
        }
    }
}

#[test]
fn the_same_card_is_the_same_bytes_tagged_and_upright() {
    let (family, procedure) = shipped("screw-trim", "weekly-clean");
    let terms = Terms::default();
    let card = |paper| print(&family, &procedure, &terms, paper, "en");
    let made = |paper, version| Print { version, ..card(paper) }.to_pdf().unwrap();
    let pdf = made(Paper::A4, "0123456789abcdef");
    assert!(pdf.starts_with(b"%PDF-1.7"));
    assert!(pdf == made(Paper::A4, "0123456789abcdef"));
    assert!(
        pdf != made(Paper::A4, "f123456789abcdef")
            && pdf != made(Paper::Letter, "0123456789abcdef")
    );
    let holds = |words: &str| pdf.windows(words.len()).any(|part| part == words.as_bytes());
    for words in ["<pdfuaid:part>1</pdfuaid:part>", "/Marked true", "/StructTreeRoot", "/Lang"] {
        assert!(holds(words), "{words}");
    }
    let size = typeset(&card(Paper::Letter)).unwrap().pages()[0].frame.size();
    assert_eq!((size.x.to_mm().round(), size.y.to_mm().round()), (216.0, 279.0));
}

#[test]
fn what_an_author_writes_is_text_and_never_markup() {
    let (mut family, mut procedure) = shipped("screw-trim", "weekly-calibration");
    let wild = "#panic(\"x\") *bold* </p> \\ \u{202e}turned 燻 🐝";
    procedure.title.0.insert("en".into(), wild.into());
    procedure.stages[0].steps[0].say.0.insert("en".into(), wild.repeat(40));
    family.key = wild.to_owned();
    let terms = Terms::default();
    let card = Print { version: "", ..print(&family, &procedure, &terms, Paper::A4, "en") };
    assert!(card.to_pdf().is_ok());
    assert!(pages(&card).0.concat().contains(&squeezed("#panic(\"x\") *bold* </p>")));
}
