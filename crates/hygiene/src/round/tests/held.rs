//! Strips and the contact time of a round, held to the code and to the label of the box.

use super::*;

#[test]
fn a_clock_that_began_before_the_outlets_strip_is_asked_about() {
    let mut records = round();
    records.swap(3, 4);
    let early = judged(&records);
    assert_eq!((early.state, early.questions.len()), (State::Incomplete, 1), "{early:?}");
    assert_eq!(early.questions[0].about, About::Contact);
    assert!(early.questions[0].ask.contains("before a strip was read at the outlet"));
    // A minute after the strip does not make up for it: how long the whole line held solution is not known.
    records[5] = at(900, None, Body::ContactEnded { lasted: None });
    records[11].at = "2026-03-02T06:20:00.250+01:00".to_owned();
    assert_eq!(judged(&records).state, State::Incomplete);
    // Without an end it is asked all the same.
    records.remove(5);
    assert!(judged(&records).questions.iter().any(|one| one.about == About::Contact));
    // Where no time is known that it could be held to, too: neither label nor code of a box that is not named.
    let mut unnamed = round();
    unnamed.swap(3, 4);
    if let Body::SolutionMixed { from_box, .. } = &mut unnamed[1].body {
        *from_box = None;
    }
    assert!(judged(&unnamed).questions.iter().any(|one| one.about == About::Contact));
}

/// DESIGN's label and code, both: the strength on the box's label is written down once, and each round's strips are held to it.
#[test]
fn the_strength_on_the_boxs_label_is_held_in_each_round() {
    let with = |strength: &str, read: &str| {
        let mut boxes = boxes();
        boxes.get_mut(&id(SANITISER)).unwrap().strength = text(strength);
        let mut records = round();
        records[2] = at(150, None, read_as(read, "bucket"));
        records[3] = at(300, None, read_as(read, "outlet"));
        judged_with(&records, Some(&shipped("model-code")), &boxes)
    };
    let asks = |judged: &Judged| -> String {
        judged.questions.iter().map(|question| format!("{}\n", question.ask)).collect()
    };
    for (strength, read) in
        [("50 to 200 ppm", "50"), ("100 ppm", "100"), ("150 ppm", "200"), (" ", "50")]
    {
        let judged = with(strength, read);
        assert_eq!((judged.state, asks(&judged).as_str()), (State::Complete, ""), "{strength}");
    }
    // 50 holds by the code at 25 °C (HY-02, READ), and not by this label.
    let weak = with("100 to 200 ppm", "50");
    assert_eq!(weak.state, State::Incomplete);
    assert!(asks(&weak).contains("the label of “tablets” asks 100 mg/L or more"), "{weak:?}");
    let strong = with("25 to 50 ppm", "200");
    assert!(asks(&strong).contains("the label of “tablets” allows 50 mg/L at most"), "{strong:?}");
    assert_eq!(strong.state, State::Incomplete);
    // The code's figure stays where it is the stricter (HY-25).
    let over = with("100 to 600 ppm", "400");
    assert!(asks(&over).contains("200 mg/L at most") && !asks(&over).contains("label"), "{over:?}");
    // Where the code leaves the strength to the label, the label alone is held.
    let mut boxes = boxes();
    boxes.get_mut(&id(SANITISER)).unwrap().strength = text("150 to 200 ppm");
    let rinsed = judged_with(&round(), Some(&shipped("uk-rinse")), &boxes);
    assert!(asks(&rinsed).contains("the label of “tablets” asks 150 mg/L"), "{rinsed:?}");
    // What cannot be read is not passed over: nobody would know that the label was held to nothing.
    let unread = with("about a hundred", "100");
    assert_eq!(unread.state, State::Incomplete);
    assert!(asks(&unread).contains("“about a hundred”, which cannot be read"), "{unread:?}");
    boxes.get_mut(&id(SANITISER)).unwrap().strength = None;
    boxes.get_mut(&id(SANITISER)).unwrap().contact = text("a minute");
    let unread = judged_with(&round(), Some(&shipped("model-code")), &boxes);
    assert!(
        asks(&unread).contains("the contact time on the label of “tablets” is written “a minute”")
    );
    // A label that allows nothing of what the code does.
    let apart = with("400 to 600 ppm", "100");
    assert_eq!(apart.state, State::Incomplete);
    assert!(asks(&apart).contains("is it the right product"), "{apart:?}");
}

fn read_as(class: &str, place: &str) -> Body {
    let Body::StripRead { place, from_box, .. } = strip(place) else { unreachable!() };
    Body::StripRead { reading: class.to_owned(), place, from_box }
}

/// A round with these readings in the bucket and at the outlet, and the solution at this temperature.
fn sanitised(bucket: &str, outlet: &str, temperature: &str, seconds: u32) -> Judged {
    let mut records = round();
    if let Body::SolutionMixed { temperature: own, .. } = &mut records[1].body {
        *own = text(temperature);
    }
    records[2] = at(150, None, read_as(bucket, "bucket"));
    records[3] = at(300, None, read_as(outlet, "outlet"));
    records[5] = at(301 + seconds, None, Body::ContactEnded { lasted: None });
    judged(&records)
}

/// HY-01 to HY-03 and HY-07 (READ), and the use of section 3.3: the clock starts when the outlet's strip is on target.
#[test]
fn sanitising_that_fails_is_asked_about_and_not_complete() {
    let asks = |judged: &Judged| -> String {
        judged.questions.iter().map(|question| format!("{}\n", question.ask)).collect()
    };
    let good = sanitised("100", "100", "25 °C", 60);
    assert_eq!((good.state, good.questions.len()), (State::Complete, 0), "{good:?}");
    // 50 of both is a row from 24 °C on (HY-02), the pH not being known.
    assert_eq!(sanitised("50", "50", "25 °C", 60).state, State::Complete);

    let all = sanitised("10", "0", "5 °C", 2);
    assert_eq!(all.state, State::Incomplete);
    for part in
        ["no row for chlorine at 5 °C", "bucket reads 10 mg/L", "outlet reads 0 mg/L", "was 2 s"]
    {
        assert!(asks(&all).contains(part), "{part}: {all:?}");
    }
    let weak = sanitised("100", "10", "25 °C", 2);
    assert_eq!(weak.state, State::Incomplete);
    assert!(
        asks(&weak).contains("outlet reads 10 mg/L") && asks(&weak).contains("was 2 s"),
        "{weak:?}"
    );
    let short = sanitised("100", "100", "25 °C", 2);
    assert_eq!((short.state, short.questions.len()), (State::Incomplete, 1), "{short:?}");
    let far = sanitised("200", "50", "25 °C", 60);
    assert_eq!((far.state, far.questions.len()), (State::Incomplete, 1), "{far:?}");
    assert_eq!(far.questions[0].about, About::Strip);
    assert!(far.questions[0].ask.contains("had the solution arrived"), "{far:?}");
    // Over the 200 mg/L that may stay without a rinse (HY-25).
    let strong = sanitised("400", "400", "25 °C", 60);
    assert_eq!(strong.state, State::Incomplete);
    assert!(asks(&strong).contains("200 mg/L at most"), "{strong:?}");
    // At 15 °C only the row from 100 on is open (HY-03).
    let cold = sanitised("50", "50", "15 °C", 60);
    assert_eq!(cold.state, State::Incomplete);
    assert!(asks(&cold).contains("100 mg/L or more"), "{cold:?}");
}

/// What does not hold is told also where something else is lacking.
#[test]
fn what_failed_is_told_beside_what_is_missing() {
    let good = sanitised("100", "100", "25 °C", 60);
    assert_eq!(good.failed, []);
    let mut records = round();
    records[3] = at(300, None, read_as("0", "outlet"));
    records[5] = at(303, None, Body::ContactEnded { lasted: None });
    records.retain(|record| !matches!(record.body, Body::Lubricated { .. }));
    let judged = judged(&records);
    assert_eq!(kinds(&judged.musts), [K::Lubricated]);
    assert_eq!(judged.failed, [K::StripOutlet, K::ContactEnd]);
}

/// The strip before the clock counts: one that came up is no fault, and one after the purge reads nothing.
#[test]
fn the_outlets_strip_before_the_clock_counts() {
    let mut records = round();
    records.insert(3, at(200, None, read_as("0", "outlet")));
    records.insert(8, at(410, None, read_as("0", "outlet")));
    let judged = judged(&records);
    assert_eq!((judged.state, judged.questions.len()), (State::Complete, 0), "{judged:?}");
}

#[test]
fn a_strip_names_one_class_or_none() {
    for (reading, class) in [
        ("strip class 100", Some(100.0)),
        ("strip class 12,5", Some(12.5)),
        ("12.5", Some(12.5)),
        ("it reads 100, and the other 100.", Some(100.0)),
        ("0 ppm", Some(0.0)),
        ("strip class 100 of 10/50/100/200", None),
        ("50 to 100", None),
        ("pale", None),
        ("", None),
    ] {
        assert_eq!(strip_class(reading), class.map(crate::strength::MgPerLitre), "{reading}");
    }
}

/// HY-04 (READ): 12.5 mg/L is the least of iodine.
#[test]
fn a_strip_is_held_as_it_was_written_and_asked_about_where_that_is_not_clear() {
    let with = |active: &str, bucket: &str, outlet: &str| {
        let mut boxes = boxes();
        for opened in boxes.values_mut() {
            opened.active = text(active);
        }
        let mut records = round();
        records[2] = at(150, None, read_as(bucket, "bucket"));
        records[3] = at(300, None, read_as(outlet, "outlet"));
        judged_with(&records, Some(&shipped("model-code")), &boxes)
    };
    assert_eq!(with("iodine", "12,5", "12.5 ppm").questions, []);
    let several = with("chlorine", "100", "100 of 10/50/100/200");
    assert_eq!((several.state, several.questions.len()), (State::Incomplete, 1), "{several:?}");
    assert_eq!(several.questions[0].about, About::Strip);
    assert!(several.questions[0].ask.contains("which class of its card was it"), "{several:?}");
    let none = with("chlorine", "good", "100");
    assert_eq!((none.state, none.questions.len()), (State::Incomplete, 1), "{none:?}");
    assert!(none.questions[0].ask.contains("in the bucket reads “good”"), "{none:?}");
}

/// HY-05 (READ): a quat's strength is its label's. Quat cards step by less than two: 150 beside 200 is the class below it.
#[test]
fn a_strip_one_class_lower_at_the_outlet_is_asked_about_where_both_are_of_one_box() {
    let with = |outlet: &str, from: u128| {
        let mut boxes = boxes();
        for opened in boxes.values_mut() {
            opened.active = text("quat");
        }
        boxes.get_mut(&id(SANITISER)).unwrap().strength = text("200 to 400 ppm");
        let mut records = round();
        records[2] = at(150, None, read_as("200", "bucket"));
        let Body::StripRead { reading, place, .. } = read_as(outlet, "outlet") else {
            unreachable!()
        };
        let from_box = Some(id(from));
        records[3] = at(300, None, Body::StripRead { reading, place, from_box });
        judged_with(&records, Some(&shipped("model-code")), &boxes)
    };
    assert_eq!(with("200", STRIPS).questions, []);
    let weaker = with("150", STRIPS);
    assert_eq!((weaker.state, weaker.questions.len()), (State::Incomplete, 1), "{weaker:?}");
    assert!(weaker.questions[0].ask.contains("had the solution arrived"), "{weaker:?}");
    // The numbers of two cards need not be the same.
    assert_eq!(with("150", STRIPS + 1).questions, []);
}

/// HY-62 (READ): strips for another sanitiser give a wrong number; a box that does not say what it is for is not asked about.
#[test]
fn strips_for_another_sanitiser_are_asked_about() {
    let with = |active: Option<&str>| {
        let mut boxes = boxes();
        boxes.get_mut(&id(STRIPS)).unwrap().active = active.and_then(text);
        judged_with(&round(), Some(&shipped("model-code")), &boxes)
    };
    assert_eq!(with(Some("chlorine")).questions, []);
    assert_eq!(with(None).state, State::Complete);
    let wrong = with(Some("quat"));
    assert_eq!((wrong.state, wrong.questions.len()), (State::Incomplete, 1), "{wrong:?}");
    assert!(
        wrong.questions[0].ask.contains("for quat, and the sanitiser is chlorine"),
        "{wrong:?}"
    );
}
