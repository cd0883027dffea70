//! The catalogues that ship, and what is said of faults in a file.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use super::super::catalogue::SHIPPED;
use super::super::*;
use super::near;

fn content() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../content")
}

#[test]
fn all_that_ship_are_read_and_are_all_there_is() {
    let files: BTreeSet<String> = fs::read_dir(content().join("faults"))
        .unwrap()
        .map(|entry| entry.unwrap().path().file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let shipped: BTreeSet<String> = SHIPPED.iter().map(|(id, _)| (*id).to_owned()).collect();
    assert_eq!(files, shipped);
    for (id, text) in SHIPPED {
        let catalogue = Catalogue::read(text).unwrap_or_else(|faults| panic!("{id}: {faults:?}"));
        assert!(catalogue.basis.contains("no source"), "{id}");
        assert!(catalogue.signs.iter().all(|sign| sign.ask.ends_with('?')), "{id}");
        assert!(catalogue.acts.iter().all(|act| act.does.ends_with('.')), "{id}");
        // Each cause shows in some sign.
        for (place, cause) in catalogue.causes.iter().enumerate() {
            let shows = catalogue.signs.iter().any(|sign| sign.strengths[place] >= 0.5);
            assert!(shows, "{id}: {}", cause.key);
        }
    }
}

/// Each family that ships has its one catalogue, which names no part that none of its families has.
#[test]
fn every_family_has_its_catalogue() {
    let mut parts: BTreeSet<(String, String)> = BTreeSet::new();
    let mut families = BTreeSet::new();
    for entry in fs::read_dir(content().join("families")).unwrap() {
        let path = entry.unwrap().path();
        let family = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let table: toml::Table = fs::read_to_string(&path).unwrap().parse().unwrap();
        if let Some(toml::Value::Table(own)) = table.get("parts") {
            parts.extend(own.keys().map(|part| (family.clone(), part.clone())));
        }
        families.insert(family);
    }
    let mut named: Vec<String> = Vec::new();
    for (id, text) in SHIPPED {
        let catalogue = Catalogue::read(text).unwrap();
        for cause in &catalogue.causes {
            for part in &cause.parts {
                let has = |family: &String| parts.contains(&(family.clone(), part.clone()));
                assert!(catalogue.families.iter().any(has), "{id}: {part}");
            }
        }
        named.extend(catalogue.families.clone());
    }
    assert_eq!(named.len(), families.len());
    assert_eq!(named.iter().cloned().collect::<BTreeSet<_>>(), families);
}

fn asked(catalogue: &Catalogue, answers: &[(&str, Seen)]) -> Vec<Seen> {
    let mut seen = catalogue.nothing_seen();
    for (key, answer) in answers {
        seen[catalogue.sign(key).unwrap()] = *answer;
    }
    seen
}

/// What the table of common practice leads to, in its own words: the likeliest cause of a few plain patterns.
#[test]
fn plain_patterns_name_their_cause() {
    use Seen::{No, Yes};
    let rows: [(&str, &[(&str, Seen)], &str); 9] = [
        ("roller-pump", &[("nothing-comes", Yes), ("bubbles", Yes)], "container-empty"),
        (
            "roller-pump",
            &[("scatters", Yes), ("bubbles", Yes), ("nothing-comes", No)],
            "air-at-inlet",
        ),
        (
            "roller-pump",
            &[("short-after-idle", Yes), ("bubbles", No), ("leaks", No)],
            "leaking-check",
        ),
        (
            "roller-pump",
            &[("low-steady", Yes), ("drifts-down", Yes), ("water-right", No)],
            "tired-tube",
        ),
        ("roller-pump", &[("right-by-noon", Yes), ("low-steady", Yes)], "cold-syrup"),
        ("pressure", &[("drips-centre", Yes), ("drips-side", No)], "worn-seal"),
        ("pressure", &[("drips-side", Yes), ("drips-centre", No)], "bad-ring"),
        ("piston", &[("drips", Yes)], "outlet-valve"),
        ("piston", &[("all-lines", Yes), ("slower-helps", No)], "wrong-measure"),
    ];
    for (id, answers, cause) in rows {
        let catalogue = Catalogue::shipped(id).unwrap();
        let got = next(&catalogue, &asked(&catalogue, answers)).unwrap();
        let (likeliest, chance) = got.causes[0];
        assert_eq!(catalogue.causes[likeliest].key, cause, "{id} {answers:?}");
        assert!(chance > 0.4, "{id} {answers:?}: {chance}");
        assert!(got.plan.exact && got.plan.cost > 0.0);
        assert_eq!(got.questions.len(), catalogue.signs.len() - answers.len());
    }
}

/// What a question saves, by hand: two causes of the same chance, acts of 10 and 20 minutes, and a sign that only the dear one
/// brings about, with the leak that it has.
#[test]
fn what_a_question_saves() {
    let text = "
        name = 'two'
        families = []
        basis = 'made'
        [causes.cheap]
        name = 'cheap'
        prior = 0.1
        [causes.dear]
        name = 'dear'
        prior = 0.1
        [signs.shows]
        ask = 'Does it show?'
        minutes = 1
        leak = 0.2
        by = { dear = 0.9 }
        [acts.a]
        does = 'A.'
        minutes = 10
        mends = ['cheap']
        [acts.b]
        does = 'B.'
        minutes = 20
        mends = ['dear']
    ";
    let catalogue = Catalogue::read(text).unwrap();
    let got = next(&catalogue, &[Seen::Unknown]).unwrap();
    // A first: 10 + half of 20. With yes (0.2 cheap, 0.92 dear) B first, with no (0.8, 0.08) A first.
    near(got.plan.cost, 20.0, 1e-12);
    let question = got.questions[0];
    near(question.yes, 0.56, 1e-12);
    let yes = 20.0 + 10.0 * 0.2 / 1.12;
    let no = 10.0 + 20.0 * 0.08 / 0.88;
    near(question.saves, 20.0 - 0.56 * yes - 0.44 * no - 1.0, 1e-12);
    assert_eq!((question.first_if_yes, question.first_if_no), (Some(1), Some(0)));
    assert_eq!(next(&catalogue, &[]), Err(PosteriorError::Shape));
}

#[test]
fn faults_in_a_file_are_all_said() {
    let text = "
        name = 'x'
        families = ['y']
        basis = 'z'
        [causes.a]
        name = 'a'
        prior = 1.5
        [causes.b]
        name = 'b'
        prior = 0.1
        [signs.s]
        ask = 'S?'
        minutes = 0
        leak = 0
        by = { a = 2, c = 0.1 }
        [acts.m]
        does = 'M.'
        minutes = nan
        mends = ['a', 'd']
        access = 'e'
    ";
    let keys: Vec<String> = Catalogue::read(text).unwrap_err().into_iter().map(|f| f.key).collect();
    assert_eq!(
        keys,
        [
            "causes.a.prior",
            "signs.s.minutes",
            "signs.s.leak",
            "signs.s.by.a",
            "signs.s.by.c",
            "acts.m.minutes",
            "acts.m.mends",
            "acts.m.access",
            "causes.b",
        ]
    );
    let one = Catalogue::read("name = 'x'\nspeed = 3").unwrap_err();
    assert_eq!(one.len(), 1);
    assert!(one[0].to_string().contains("speed"), "{}", one[0]);
    assert_eq!(one[0].line, Some(2));
    let sort = Catalogue::read("name = 'x'\nfamilies = 'y'\n").unwrap_err();
    assert_eq!(sort[0].line, Some(2));
    assert!(sort[0].says.contains("is wanted"), "{}", sort[0]);
    assert!(Catalogue::read("= = =").is_err());
    assert!(Catalogue::read("").is_err());
}
