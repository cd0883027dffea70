//! Faults of estate files, all at once, each at its place, in three renderings that agree.

use crate::desk::Desk;

fn broken() -> Desk {
    let desk = Desk::new();
    desk.run(["new", "group"]).done();
    desk.write(
        "group/estate.toml",
        "[group]\nname = \"Our group\"\nunits = \"metric\"\ntime_zone = \"Europe/Vienna\"\ncurrency = \"EUR\"\nrisk = \"5\"\ntolerence = \"5 %\"\n",
    );
    desk.write(
        "group/lines.csv",
        "site,machine,line,name,product,target,tolerance,draw,water,measure,setting,retired\n\
         rowan-end,counter-1,1,,goosberry,30 mL,5 %,7 s,,cup-a,,\n\
         rowan-end,counter-1,2,,black-sesame,1 oz,5 %,7 s,,scale,,\n\
         rowan-end,counter-1,2,,black-sesame,36 g,5 %,7 s,,scale,,\n\
         rowan-end,window-2,1,,gooseberry,30 mL,5 %,1 dose,,cup-a,,\n",
    );
    desk
}

#[test]
fn every_fault_is_shown_at_its_place() {
    let ran = broken().run(["check", "group"]).ends(1);
    assert_eq!(ran.err, "");
    insta::assert_snapshot!("check", ran.out);
}

#[test]
fn text_and_json_tell_the_same() {
    let desk = broken();
    let text = desk.run(["check", "group"]).ends(1).out;
    let json = desk.run(["check", "group", "--json"]).ends(1).json();
    let faults = json["faults"].as_array().unwrap();
    assert!(faults.len() >= 5, "{json:#}");
    let plain: String = text.split_whitespace().collect();
    let has = |words: &str| {
        // Long sentences are broken in the drawing; only the words count.
        let words: String = words.split_whitespace().collect();
        plain.replace('│', "").contains(&words)
    };
    for fault in faults {
        let word = |name: &str| fault[name].as_str().unwrap_or_default();
        let place = format!("{}:{}:{}", word("file"), fault["line"], fault["column"]);
        assert!(has(&place), "{place}\n{text}");
        assert!(text.contains(word("code")), "{fault}");
        assert!(has(word("message")), "{fault}\n{text}");
    }
}

#[test]
fn a_list_of_causes_is_checked_and_used() {
    let desk = Desk::with_catches();
    let ours = include_str!("../../../../content/faults/pressure.toml");
    std::fs::create_dir(desk.path("our-group/faults")).unwrap();
    desk.write("our-group/faults/ours.toml", ours);
    desk.run(["check", "our-group"]).done().prints("no faults");
    let ask = ["fault", "rowan-end/counter-1/1", "--causes", "our-group/faults/ours.toml"];
    let told = desk.run(ask.into_iter().chain(["--json"])).done().json();
    assert_eq!(told["catalogue"]["id"], "ours");
    assert!(told["catalogue"]["why"].as_str().unwrap().contains("you named"), "{told}");
    desk.write("our-group/faults/ours.toml", ours.replace("prior = 0.15", "prior = 15"));
    desk.run(["check", "our-group"]).ends(1).prints("prior = 15").prints("ours.toml");
}

#[test]
fn single_files_and_clean_folders_pass() {
    let desk = Desk::new();
    desk.run(["new", "group"]).done();
    desk.run(["check", "group"]).done().prints("no faults: 1 site, 2 machines, 3 lines");
}

#[test]
fn a_procedure_that_does_not_hold_is_told_with_how_it_comes_about() {
    let desk = Desk::new();
    let clean = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    std::fs::create_dir(desk.path("procedures")).unwrap();
    desk.write("procedures/ours.toml", clean);
    desk.run(["check", "procedures"]).done().prints("the text holds").prints("not that anybody");
    // Without the passage that isolates it, hands are inside while the power is on.
    let (before, after) = clean.split_once("do = \"isolate\"").unwrap();
    desk.write("procedures/ours.toml", format!("{before}do = \"ask power-off\"{after}"));
    let json = desk.run(["check", "procedures", "--json"]).ends(1).json();
    let told = &json["procedures"][0];
    assert_eq!(told["verdict"], "broken", "{json:#}");
    let story = told["findings"].as_array().unwrap().iter().find_map(|f| f["story"].as_str());
    assert!(story.unwrap().contains("Step "), "{json:#}");
    let text = desk.run(["check", "procedures/ours.toml"]).ends(1).out;
    assert!(
        text.contains("The text does not hold.") && text.contains("it comes about so:"),
        "{text}"
    );
}

#[test]
fn a_procedure_is_held_to_the_food_code_that_was_named() {
    // uk-rinse: `[after] rule = "rinse"`; without a profile it is drained, and the output says that nobody chose.
    let desk = Desk::new();
    let file = "screw-trim/weekly-clean";
    let usual = desk.run(["skip", file, "--json"]).done().json();
    assert_eq!(usual["held_to"]["after"], "drain-no-rinse");
    assert!(usual["held_to"]["code"].is_null());
    let rinsed = desk.run(["skip", file, "--profile", "uk-rinse", "--json"]).done().json();
    assert_eq!(rinsed["held_to"]["after"], "rinse");
    assert_eq!(rinsed["verdict"], "checked", "{rinsed:#}");
    desk.run(["skip", file]).done().prints("No food code was chosen");
    desk.run(["quiz", file, "--profile", "new-york"]).done().prints("Held to New York");
    let card = desk.run(["card", file, "--profile", "uk-rinse"]).done().out;
    assert!(card.contains("Food code: United Kingdom") && card.contains("(rinse)"), "{card}");
    assert!(card.contains("rinse for 150 seconds") && !card.contains("let the line drain"));
    desk.run(["card", file, "--profile", "nowhere"]).ends(2).says("uk-rinse");
    // A file of one's own, and what follows from it: this text only drains, and that code wants a rinse.
    let clean = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    std::fs::create_dir(desk.path("procedures")).unwrap();
    desk.write("procedures/ours.toml", clean);
    let model = include_str!("../../../../content/procedures/screw-trim/family.toml");
    desk.write("procedures/family.toml", model.replace("under = [\"rinse\"]", "under = []"));
    let rules = include_str!("../../../../content/profiles/uk-rinse.toml");
    desk.write("rules.toml", rules.replacen("name = \"", "name = \"Our own, after ", 1));
    let check = |profile| desk.run(["check", "procedures", "--profile", profile]);
    check("rules.toml").done().prints("Held to Our own, after United Kingdom");
    check("model-code").ends(1).prints("a sanitised line is rinsed");
    desk.write("rules.toml", "id = 3\n");
    check("rules.toml").ends(65).says("--profile has faults");
    let flush = ["calc", "flush", "--profile", "rules.toml", "--contents", "chlorine 100 ppm"];
    desk.run(flush).ends(65).says("--profile has faults");
    let strength = ["calc", "strength", "--profile", "rules.toml"];
    desk.run(strength).ends(65).says("--profile has faults");
}

#[test]
fn the_kit_of_a_place_and_the_form_of_the_sign_off_are_made_by_command() {
    let desk = Desk::with_demo();
    let site = desk.run(["kit", "fernhollow", "--json"]).done().json();
    let one = desk.run(["kit", "fernhollow/counter-1", "--json"]).done().json();
    // All machines of the site take longer than one of them, under the food code of the site.
    let most = |kit: &serde_json::Value| kit["takes"]["most"].as_u64().unwrap();
    assert!(most(&site) > most(&one), "{site:#}");
    assert_eq!((&site["site"], &one["machine"]), (&"fernhollow".into(), &"counter-1".into()));
    assert!(one["follows"][0]["name"] == "weekly-clean" && !one["bring"][0].is_null());
    desk.run(["kit", "Fern Hollow", "--procedure", "weekly-calibration"])
        .done()
        .prints("stopwatch");
    desk.run(["kit", "fernhollow", "--machines", "2"]).ends(2).says("leave both out");
    desk.run(["kit", "nowhere"]).ends(2).says("there is no site `nowhere`");
    desk.run(["kit", "fernhollow", "--procedure", "nothing"]).ends(2).says("has a procedure");
    let form = desk.run(["sign-off", "screw-trim/weekly-clean", "--language", "es"]).done().out;
    assert!(form.contains("Visto bueno") && form.contains("sin revisar"), "{form}");
    // Without a ledger it says which procedures there are.
    let desk = Desk::new();
    desk.run(["kit", "nowhere"]).ends(2).says("there is no procedure `nowhere`");
    // A ledger that cannot be opened is what is wrong, and no procedure that is missing.
    std::fs::create_dir(desk.path("data")).unwrap();
    std::fs::write(desk.ledger(), "no ledger").unwrap();
    let why = desk.run(["week"]).err;
    let ran = desk.run(["kit", "nowhere"]);
    assert!(ran.code != 2 && ran.err == why, "{}", ran.err);
}

#[test]
fn two_files_of_one_name_are_refused_and_neither_is_written() {
    let desk = Desk::new();
    let clean = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    let spoilt = clean.replacen("do = \"restore\"", "do = \"restor\"", 1);
    for (folder, text) in [("north", clean), ("south", spoilt.as_str())] {
        std::fs::create_dir_all(desk.path(&format!("{folder}/procedures"))).unwrap();
        desk.write(&format!("{folder}/procedures/weekly-clean.toml"), text);
    }
    let both = "`procedures/weekly-clean.toml` is both";
    desk.run(["check", "north", "south"]).ends(2).says(both);
    desk.run(["check", "north", "south", "--fix", "--yes"]).ends(2).says(both);
    assert_eq!(desk.read("north/procedures/weekly-clean.toml"), clean);
    assert_eq!(desk.read("south/procedures/weekly-clean.toml"), spoilt);
    // One file that is named twice is one file.
    let file = "north/procedures/weekly-clean.toml";
    desk.run(["check", "north/procedures", file, "north/../north/procedures"])
        .done()
        .prints("1 procedure in 1 file");
}

#[test]
fn what_is_safe_to_mend_is_shown_asked_about_and_written() {
    let desk = Desk::new();
    let clean = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");
    let spoilt = clean.replacen("do = \"restore\"", "do = \"restor\"", 1).replacen(
        "\"stopwatch\"",
        "\"driver\"",
        1,
    );
    std::fs::create_dir(desk.path("procedures")).unwrap();
    desk.write("procedures/ours.toml", &spoilt);
    let text = || std::fs::read_to_string(desk.path("procedures/ours.toml")).unwrap();
    // Nobody can be asked here: nothing is written, and what would be is shown.
    let ran = desk.run(["check", "procedures", "--fix"]).ends(2);
    assert!(
        ran.err.contains("-do = \"restor\"") && ran.err.contains("+do = \"restore\""),
        "{}",
        ran.err
    );
    assert_eq!(text(), spoilt);
    let json = desk.run(["check", "procedures", "--fix", "--yes", "--json"]).done().json();
    let said: Vec<&str> =
        json["fixed"].as_array().unwrap().iter().map(|f| f["says"].as_str().unwrap()).collect();
    assert!(said.iter().any(|s| s.contains("`restor` is `restore`")), "{said:?}");
    assert!(said.iter().any(|s| s.contains("stopwatch")), "{said:?}");
    assert_eq!(text().lines().count(), clean.lines().count());
    assert!(text().starts_with(clean.lines().next().unwrap()));
    desk.run(["check", "procedures/ours.toml", "--fix", "--yes"])
        .done()
        .says("Nothing that is safe");
    desk.run(["check", "procedures", "--yes"]).ends(2).says("--fix");
}
