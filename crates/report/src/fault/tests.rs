//! What is typed as an answer. What is found is tested where a store is at hand: in the pages, the API and the command line.

use super::words::chance;
use super::*;

#[test]
fn an_answer_is_a_key_and_a_word() {
    for text in ["drips-centre:yes", "drips-centre=yes", " drips-centre : yes "] {
        let answered: Answered = text.parse().unwrap();
        assert_eq!(answered, Answered { sign: "drips-centre".to_owned(), answer: Answer::Yes });
        assert_eq!(answered.to_string(), "drips-centre:yes");
    }
    for (text, answer) in [("s:no", Answer::No), ("s:unknown", Answer::Unknown)] {
        assert_eq!(text.parse::<Answered>().unwrap().answer, answer);
        assert_eq!(text.parse::<Answered>().unwrap().to_string(), text);
    }
    for text in ["", "drips", "drips:", ":yes", "drips:maybe", "drips:Yes", "a:b:yes"] {
        let failure = text.parse::<Answered>().unwrap_err();
        assert!(failure.hint.is_some_and(|hint| hint.contains("drips-centre=yes")), "{text}");
    }
}

/// The words that a family's file may hold are the lists that ship.
#[test]
fn a_family_can_name_each_list_that_ships() {
    let named: Vec<&str> = ouncewise_estate::family::CAUSES.iter().map(|(_, id)| *id).collect();
    let shipped: Vec<&str> = ouncewise_advice::fault::Catalogue::ids().collect();
    assert_eq!(named, shipped);
}

#[test]
fn a_chance_is_said_in_whole_percents_and_never_as_certain() {
    for (probability, said) in [
        (0.0, "under 1 %"),
        (0.004, "under 1 %"),
        (0.516, "52 %"),
        (0.99, "99 %"),
        (0.9991, "over 99 %"),
        (1.0, "over 99 %"),
    ] {
        assert_eq!(chance(probability), said);
    }
}
