//! Each rule has a page: what it says, how to mend it, and one example that passes and one that fails. The examples are tests,
//! and the page is written from them (`UPDATE_DOCS=1 cargo test -p ouncewise-procedure`); so is the JSON Schema.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use ouncewise_procedure::{Rule, Terms, check, read, schema};

/// Which text an edit is made in.
#[derive(Clone, Copy, PartialEq)]
enum In {
    Family,
    Procedure,
}
use In::{Family as F, Procedure as P};

/// A rule, the family whose weekly clean is edited, and the edits: after all but the last it passes, after the last it fails.
type Example = (Rule, &'static str, &'static [(In, &'static str, &'static str)]);

const ST: &str = "screw-trim";
const RP: &str = "roller-pump";

const EXAMPLES: &[Example] = &[
    (Rule::Unreadable, ST, &[(P, "kind = \"clean\"", "kind = \"clean")]),
    (Rule::UnknownField, ST, &[(P, "frequency = \"7 days\"", "frequncy = \"7 days\"")]),
    (Rule::Missing, ST, &[(P, "kind = \"clean\"\n", "")]),
    (Rule::WrongSort, ST, &[(P, "lines = 8", "lines = \"eight\"")]),
    (Rule::UnknownVerb, ST, &[(F, "do = \"feed none; relieve\"", "do = \"feed none; releive\"")]),
    (Rule::UnknownName, ST, &[(P, "cautions = [\"power\"]", "cautions = [\"pwer\"]")]),
    (Rule::Twice, ST, &[(P, "id = \"on\"", "id = \"off\"")]),
    (Rule::Unreachable, ST, &[(F, "off = \"adjust\", undecided", "off = \"catch\", undecided")]),
    (
        Rule::AnswerMissing,
        ST,
        &[(F, "off = \"adjust\", undecided = \"catch\" }", "off = \"adjust\" }")],
    ),
    (Rule::Endless, ST, &[(F, "at_most = 2\nor_else = \"out\"\n", "")]),
    (Rule::Language, ST, &[(P, "title.es = \"Limpieza y desinfección semanal\"\n", "")]),
    (Rule::KitMissing, ST, &[(P, "  \"strips\",\n", "")]),
    (Rule::KitUnused, ST, &[(F, "with = [\"gloves\"]\n", "")]),
    (Rule::ReadingUnused, ST, &[(F, "reads = [\"amount\"]", "reads = [\"amount\", \"seconds\"]")]),
    (Rule::ReadingUnknown, ST, &[(F, "reads = [\"amount\"]\n", "")]),
    (Rule::OverWindow, ST, &[(P, "window = \"4 h\"", "window = \"30 min\"")]),
    (Rule::WrongStage, ST, &[(P, "do = \"isolate\"", "do = \"isolate; drain\"")]),
    (
        Rule::TwoAnswers,
        ST,
        &[(F, "do = \"look valve-seal\"", "do = \"look valve-seal; look nozzle-ring\"")],
    ),
    (
        Rule::NoSentence,
        ST,
        &[(
            P,
            "say.en = \"Pull the plug and keep it in your own control.\"\nsay.es = \"Desenchufe y mantenga el enchufe bajo su control.\"\n",
            "",
        )],
    ),
    (Rule::StopUnsafe, ST, &[(F, "do = \"soak 60 s\"", "do = \"soak 60 s\"\nstop = true")]),
    (Rule::ServesOther, ST, &[(F, "do = \"withhold\"", "do = \"relieve\"")]),
    (
        Rule::ServesOpen,
        RP,
        &[(
            P,
            "[[stage.step]]\nuse = \"flush\"\n\n[[stage.step]]\nuse = \"shut\"\n",
            "[[stage.step]]\ndo = \"relieve\"\nsay.en = \"Begin.\"\nsay.es = \"Empiece.\"\n",
        )],
    ),
    (Rule::Pressure, ST, &[(F, "do = \"feed none; relieve\"", "do = \"feed none\"")]),
    (Rule::Power, ST, &[(P, "do = \"isolate\"", "do = \"isolate; restore\"")]),
    (
        Rule::DrivenOpen,
        ST,
        &[
            (F, "isolation = \"plug\"", "isolation = \"none\""),
            (P, "do = \"isolate\"", "do = \"mix detergent\""),
            (P, "do = \"restore\"", "do = \"mix detergent\""),
            (
                F,
                "do = \"lubricate valve-seal\"",
                "do = \"lubricate valve-seal; feed water; run 150 s\"",
            ),
        ],
    ),
    (Rule::PowerOnHands, ST, &[(F, "do = \"refit all\"", "do = \"refit valve-seal\"")]),
    (Rule::NotLooked, ST, &[(F, "do = \"look nozzle-ring\"", "do = \"look valve-seal\"")]),
    (Rule::NotWashed, ST, &[(F, "do = \"wash all\"", "do = \"wash valve-seal\"")]),
    (Rule::WornBack, ST, &[(F, "worn = \"spare-ring\"", "worn = \"wash\"")]),
    (Rule::NotLubricated, ST, &[(F, "do = \"lubricate valve-seal\"", "do = \"wash valve-seal\"")]),
    (Rule::NeverLubricate, ST, &[(F, "do = \"lubricate valve-seal\"", "do = \"lubricate all\"")]),
    (
        Rule::NotWashedFirst,
        ST,
        &[
            (F, "do = \"soak 2 min\"", "do = \"relieve\""),
            (F, "do = \"feed detergent; run 150 s\"", "do = \"feed water; run 150 s\""),
        ],
    ),
    (
        Rule::NotRinsed,
        ST,
        &[(
            F,
            "do = \"feed water; run 150 s\"\nsay.en = \"Connect water",
            "do = \"relieve\"\nsay.en = \"Connect water",
        )],
    ),
    (Rule::NotTested, ST, &[(F, "wrong = \"mix\"", "wrong = \"next\"")]),
    (Rule::Contact, ST, &[(F, "do = \"soak 60 s\"", "do = \"soak 20 s\"")]),
    (Rule::SanitiserLeft, ST, &[(F, "do = \"feed none; drain\"", "do = \"feed none\"")]),
    (
        Rule::DetergentLeft,
        ST,
        &[(
            F,
            "do = \"feed detergent; run 150 s\"",
            "do = \"feed detergent; run 150 s; feed product; run 150 s\"",
        )],
    ),
    (
        Rule::RinsedAfter,
        ST,
        &[(F, "do = \"feed none; drain\"", "do = \"feed none; drain; feed water; run 150 s\"")],
    ),
    (Rule::NotSanitised, ST, &[(F, "do = \"soak 60 s\"", "do = \"relieve\"")]),
    (
        Rule::OpenAtRelease,
        ST,
        &[(F, "do = \"release\"", "do = \"feed none; relieve; isolate; remove all; release\"")],
    ),
    (Rule::NotReady, ST, &[(F, "do = \"release\"", "do = \"isolate; release\"")]),
    (
        Rule::CatchNotReady,
        ST,
        &[(F, "do = \"feed product; run until air-free\"", "do = \"feed product; run 180 s\"")],
    ),
    (Rule::NotCaught, ST, &[(F, "off = \"adjust\", undecided", "off = \"give-back\", undecided")]),
    (Rule::AdjustBlind, ST, &[(F, "do = \"adjust\"", "do = \"adjust; adjust\"")]),
    (Rule::Impossible, ST, &[(P, "do = \"isolate\"", "do = \"isolate; close\"")]),
    (
        Rule::SpareUnknown,
        ST,
        &[(
            F,
            "answers = { yes = \"next\", no = \"put-back\" }",
            "answers = { yes = \"next\", no = \"next\" }",
        )],
    ),
    (Rule::LeftUntagged, ST, &[(F, "do = \"withhold; tag\"", "do = \"withhold\"")]),
    (
        Rule::LeftStanding,
        ST,
        &[(F, "do = \"withhold; tag\"", "do = \"withhold; tag; feed detergent; run 150 s\"")],
    ),
    (
        Rule::Owed,
        ST,
        &[(
            P,
            "[[stage.step]]\nuse = \"parts\"\n",
            "[[stage.step]]\ndo = \"relieve\"\nsay.en = \"Look.\"\nsay.es = \"Mire.\"\n",
        )],
    ),
    (
        Rule::RunShort,
        ST,
        &[(
            F,
            "do = \"feed water; run 150 s\"\nsay.en = \"Take",
            "do = \"feed water; run 8 s\"\nsay.en = \"Take",
        )],
    ),
    (Rule::HardWired, ST, &[(F, "isolation = \"plug\"", "isolation = \"hard-wired\"")]),
    (
        Rule::CannotShow,
        ST,
        &[(
            F,
            "cepillo suave, uno por línea\"\nper = \"line\"",
            "cepillo suave, uno por línea\"\nper = \"machine\"",
        )],
    ),
    (Rule::NotAtOutlet, ST, &[(F, "do = \"test outlet\"", "do = \"test sanitiser\"")]),
    (Rule::OutletUnread, ST, &[(F, "do = \"test outlet\"", "do = \"test sanitiser\"")]),
    (Rule::InletOpen, RP, &[(F, "do = \"feed none\"", "do = \"relieve\"")]),
];

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name)
}

fn content(family: &str, name: &str) -> String {
    fs::read_to_string(path(&format!("content/procedures/{family}/{name}.toml"))).unwrap()
}

/// The usual terms; for what is only noted, those of a food code that asks for no strip at the outlet.
fn terms(rule: Rule) -> Terms {
    Terms { outlet: rule != Rule::OutletUnread, ..Terms::default() }
}

/// Every code that is told of a family and a procedure.
fn told(family: &str, procedure: &str, terms: &Terms) -> Vec<&'static str> {
    let (family, mut faults) = read::family("family.toml", family);
    let mut codes = Vec::new();
    if let Some(family) = family {
        let (procedure, more) = read::procedure("procedure.toml", procedure, &family);
        faults.extend(more);
        if let Some(procedure) = procedure {
            let report = check(&family, &procedure, terms);
            codes.extend(report.findings.iter().map(|finding| finding.rule.code()));
        }
    }
    codes.extend(faults.iter().map(|fault| fault.code));
    codes
}

#[test]
fn each_rule_has_an_example_that_passes_and_one_that_fails() {
    let apart = [Rule::TooMuch, Rule::NotCovered];
    for rule in Rule::ALL {
        assert!(apart.contains(rule) || EXAMPLES.iter().any(|(own, ..)| own == rule), "{rule:?}");
    }
    let mut wrong = Vec::new();
    for (rule, family, edits) in EXAMPLES {
        let mut texts = [content(family, "family"), content(family, "weekly-clean")];
        for (nth, (where_, from, to)) in edits.iter().enumerate() {
            let last = nth + 1 == edits.len();
            if last {
                let codes = told(&texts[0], &texts[1], &terms(*rule));
                assert!(!codes.contains(&rule.code()), "{rule:?} passes not: {codes:?}");
            }
            let text = &mut texts[usize::from(*where_ == P)];
            assert!(text.contains(from), "{rule:?}: {from}");
            *text = text.replacen(from, to, 1);
        }
        let codes = told(&texts[0], &texts[1], &terms(*rule));
        if !codes.contains(&rule.code()) {
            wrong.push(format!("{rule:?} fails not: {codes:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// So many steps of a stage pass; one more is too much.
const STEPS: usize = 200;

/// So many states are too few for the weekly clean that ships.
const FEW: usize = 50;

/// What is too large is never called checked.
#[test]
fn what_is_too_large_is_not_covered() {
    let (family, procedure) = (content(ST, "family"), content(ST, "weekly-clean"));
    let few = Terms { most: FEW, ..Terms::default() };
    assert_eq!(told(&family, &procedure, &few), [Rule::NotCovered.code()]);
    assert!(told(&family, &procedure, &Terms::default()).is_empty());
    let code = Rule::TooMuch.code();
    for (steps, too_much) in [(STEPS, false), (STEPS + 1, true)] {
        let (name, rest) = procedure.split_once("[[stage]]").unwrap();
        let over = "id = \"long\"\nover = \"machine\"\ntitle.en = \"a\"\ntitle.es = \"b\"\n";
        let step = "[[stage.step]]\ndo = \"withhold\"\nsay.en = \"a\"\nsay.es = \"b\"\n";
        let step = step.repeat(steps);
        let long = format!("{name}[[stage]]\n{over}\n{step}\n[[stage]]{rest}");
        assert_eq!(told(&family, &long, &few).contains(&code), too_much, "{steps} steps");
    }
}

/// What is on disk is what it should be, or becomes so where that is asked for.
fn same(name: &str, wanted: &str) {
    if std::env::var_os("UPDATE_DOCS").is_some() {
        fs::create_dir_all(path(name).parent().unwrap()).unwrap();
        fs::write(path(name), wanted).unwrap();
    }
    let found = fs::read_to_string(path(name)).unwrap_or_default();
    assert!(
        found == wanted,
        "{name} is not what the code says; set UPDATE_DOCS=1 to write it anew"
    );
}

#[test]
fn the_page_of_rules_is_what_the_rules_say() {
    let mut page = String::from(
        "# Rules for procedures\n\nEach rule by its code: what it says, how to mend what breaks it, and what it would do. The \
         examples are edits of the weekly cleans that ship, and are tests. What the verbs mean stands in \
         [procedures.md](../procedures.md).\n",
    );
    for rule in Rule::ALL {
        let harm = format!("{:?}", rule.harm()).to_lowercase();
        let seen = if rule.is_noticed() { "it is noticed" } else { "nobody notices" };
        let _ = write!(
            page,
            "\n<a id=\"{code}\"></a>\n\n## {code}: {title}\n\nMend it: {mend}. Touches the {harm}; while the work is done, {seen}.\n",
            code = rule.code(),
            title = rule.title(),
            mend = rule.mend()
        );
        if *rule == Rule::OutletUnread {
            page.push_str("\nIt is told where a food code asks for no strip at the outlet, and the text stands; where it asks for one, [R234](#R234) is told instead.\n");
        }
        if *rule == Rule::TooMuch {
            let more = STEPS + 1;
            let _ = write!(
                page,
                "\nPasses: a stage of {STEPS} steps, those of its passages counted.\n\nFails: a stage of {more}.\n"
            );
        }
        if *rule == Rule::NotCovered {
            let most = Terms::default().most;
            let _ = write!(
                page,
                "\nPasses: the weekly clean that ships; no more than {most} states are looked at, and it has fewer.\n\nFails: the same where no more than {FEW} are looked at.\n"
            );
        }
        if let Some((_, _, edits)) = EXAMPLES.iter().find(|(own, ..)| own == rule) {
            let (_, from, to) = edits.last().unwrap();
            let shown = |text: &str| {
                if text.is_empty() {
                    "# (not there)".to_owned()
                } else {
                    text.trim_end().to_owned()
                }
            };
            let _ = write!(
                page,
                "\nPasses:\n\n```text\n{}\n```\n\nFails:\n\n```text\n{}\n```\n",
                shown(from),
                shown(to)
            );
        }
    }
    same("docs/procedures/rules.md", &page);
}

#[test]
fn the_schemas_are_those_of_the_code() {
    let same_schema = |name: &str, schema: serde_json::Value| {
        let wanted = serde_json::to_string_pretty(&schema).unwrap() + "\n";
        same(&format!("content/schemas/{name}.json"), &wanted);
    };
    same_schema("procedure", schema::procedure());
    same_schema("procedure-family", schema::family());
}
