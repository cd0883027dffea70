//! How long wear parts last, from a list of replacements.

use crate::desk::Desk;

/// Replacements so many days ago, of a part that mostly fails after some sixty days.
fn desk() -> Desk {
    let desk = Desk::with_catches();
    let today = jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).date();
    let row = |ago: i64, line: u32, why: &str| {
        let day = today - jiff::Span::new().days(ago);
        format!("{day},rowan-end,counter-1,{line},valve-seal,,VS-7,,{why}\n")
    };
    let rows: String = [
        (246, 1, ""),
        (188, 1, "failed"),
        (132, 1, "Failed"),
        (62, 1, "worn"),
        (20, 1, "planned"),
        (238, 2, ""),
        (178, 2, "failed"),
        (114, 2, "failed"),
        (60, 2, "failed"),
        (40, 2, ""),
    ]
    .map(|(ago, line, why)| row(ago, line, why))
    .concat();
    desk.write("parts.csv", format!("at,site,machine,line,part,found,number,lot,why\n{rows}"));
    desk.run(["load", "parts", "parts.csv"]).done();
    desk
}

#[test]
fn what_failed_and_what_was_worn_are_kept_apart() {
    let desk = desk();
    let report = desk.run(["parts", "--json"]).done().json();
    let part = &report["parts"][0];
    assert_eq!(part["part"], "valve-seal");
    for (count, expected) in
        [("lives", 10), ("failed", 5), ("worn", 1), ("planned", 1), ("not_said", 1), ("in_use", 2)]
    {
        assert_eq!(part[count], expected, "{count}");
    }
    assert_eq!(part["until_failed"]["ended"], 5);
    assert_eq!(part["until_worn_or_failed"]["ended"], 6);
    // The first to fail was 54 days old: then six were watched, and four had come out or are younger.
    assert_eq!(part["until_failed"]["surviving"][0]["days"], 54.0);
    assert_eq!(part["until_failed"]["surviving"][0]["at_risk"], 6);
    desk.run(["parts"])
        .done()
        .prints("5 failed, 1 worn")
        .prints("its age is not known")
        .prints("say failed, worn or planned")
        .prints("needs what a planned replacement and one after a failure cost");
}

#[test]
fn costs_give_an_age() {
    let desk = desk();
    let costs = ["parts", "--part", "valve-seal", "--planned", "6", "--failed", "60"];
    desk.run(costs).done().prints("least cost: replace at");
    desk.run(["parts", "--part", "valve-seal", "--planned", "60", "--failed", "6"])
        .done()
        .prints("no age is worth planning for");
    desk.run(["parts", "--part", "valve-seal", "--planned", "0", "--failed", "6"])
        .ends(2)
        .says("a cost is not above 0");
    desk.run(["parts", "--planned", "6"]).ends(2);
    desk.run(["parts", "--family", "teapot"]).ends(2).says("there is no family `teapot`");
    let empty = Desk::with_catches();
    empty.run(["parts"]).done().prints("No part was replaced on record yet");
}

#[test]
fn a_reason_is_one_of_three() {
    let desk = Desk::with_catches();
    desk.write(
        "parts.csv",
        "at,site,machine,line,part,why\n2025-04-07,rowan-end,counter-1,1,valve-seal,bored\n",
    );
    desk.run(["load", "parts", "parts.csv"]).ends(65).prints("write failed, worn or planned");
}
