//! The words of these pages: what a column can hold, what is asked, what can be answered.

use ouncewise_estate::Estate;
use ouncewise_estate::sheets::mapping::{Column, Means, Question};
use sha2::{Digest, Sha256};

use crate::wrong::sentence;

/// What a column can hold, in plain words and in groups, in the order in which people look for it.
#[rustfmt::skip]
pub const MEANS: [(&str, &[(Means, &str)]); 6] = [
    ("What was read", &[
        (Means::Amount, "Amount caught"),
        (Means::Unit, "Unit of the amount"),
        (Means::Seconds, "Seconds that it ran"),
        (Means::Doses, "Doses that it was"),
        (Means::State, "Before or after (as found, as left)"),
        (Means::Done, "A tick or an OK, without a figure"),
        (Means::Adjusted, "What was adjusted"),
    ]),
    ("Where", &[
        (Means::Site, "Site"),
        (Means::SiteNumber, "Your own number for the site"),
        (Means::Machine, "Machine"),
        (Means::Serial, "Serial number of the machine"),
        (Means::Line, "Line"),
        (Means::Product, "Product or flavour"),
    ]),
    ("When and who", &[
        (Means::Date, "Date, perhaps with a time"),
        (Means::Time, "Time of day"),
        (Means::By, "Who did it"),
    ]),
    ("How", &[
        (Means::Measure, "What it was read with"),
        (Means::Water, "Water, on a ratio line"),
        (Means::Temperature, "Temperature of the product"),
        (Means::Note, "Note"),
    ]),
    ("What the recipe asks (sets up lines)", &[
        (Means::Target, "The right amount"),
        (Means::Tolerance, "How far off still serves"),
    ]),
    ("Nothing", &[(Means::Nothing, "Not read")]),
];

/// What a column can hold, in plain words.
pub fn means(means: Means) -> &'static str {
    MEANS
        .iter()
        .flat_map(|(_, group)| group.iter())
        .find(|(known, _)| *known == means)
        .map_or("Not read", |(_, words)| words)
}

/// A meaning as a form spells it.
pub fn key(means: Means) -> String {
    match serde_json::to_value(means) {
        Ok(serde_json::Value::String(key)) => key,
        _ => String::new(),
    }
}

/// A meaning from a form.
pub fn from_key(key: &str) -> Option<Means> {
    serde_json::from_value(serde_json::Value::String(key.to_owned())).ok()
}

/// The name of a question's field. An id may hold any cell of the sheet, and be of any length.
pub fn field(question: &Question) -> String {
    let hash = Sha256::digest(&question.id);
    format!("answer-{}", hex(hash.get(..8).unwrap_or_default()))
}

/// Bytes in hexadecimal.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The number of a column by its letter: 0 is `A`.
pub fn number(letter: &str) -> Option<usize> {
    letter
        .bytes()
        .try_fold(0usize, |sum, b| {
            let nth = b.is_ascii_uppercase().then(|| usize::from(b - b'A') + 1)?;
            sum.checked_mul(26)?.checked_add(nth)
        })?
        .checked_sub(1)
}

/// The beginning of a text that may be of any length.
pub fn short(text: &str, most: usize) -> String {
    let mut short: String = text.chars().take(most).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

/// How a column is called: its letter and heading.
pub fn called(column: &Column) -> String {
    match column.heading.as_str() {
        "" => format!("Column {}", column.letter),
        heading => format!("{}: {}", column.letter, short(heading, 80)),
    }
}

/// A question as a page asks it, and a hint how to answer.
pub fn asked(question: &Question) -> (String, &'static str) {
    let (asks, hint) = match question.id.as_str() {
        "date-order" => ("In dates such as 02/03/2026, is the day first or the month?", ""),
        "year" => ("Which year are the dates that have none?", "Such as 2026"),
        "date" => ("Which day are these readings of?", "Such as 2026-03-02"),
        "site" => ("Which site is this sheet about?", "Its name"),
        "machine" => ("Which machine is this sheet about?", "Its name"),
        "unit" => ("Which unit are the amounts without one in?", ""),
        "state" => ("Were these readings taken before anything was touched, or after?", ""),
        "draw" => (
            "How long did the readings run that have no seconds or doses?",
            "Write recipe for one portion as the recipe draws it; or 7 s, or 2 doses",
        ),
        "names" => ("The names over the columns of readings: what are they?", ""),
        "sections" => {
            ("Some rows hold one text alone. What does it name, for the rows under it?", "")
        }
        "group" => ("What is the group called?", ""),
        "family" => ("How do the new machines work?", ""),
        "target" => (
            "What does the recipe ask for, where the sheet does not say?",
            "Such as 30 mL or 40 g; the answer given is the round portion nearest to the readings",
        ),
        "tolerance" => ("How far off still serves, where the sheet does not say?", "Such as 5 %"),
        "recipe-draw" => (
            "How long is one portion drawn at every new line?",
            "Such as 7 s, or 1 dose; the answer given is the middle of all seconds in the sheet",
        ),
        "measure-kind" => (
            "What are readings taken with at the new sites?",
            "Say more under Set up afterwards: without the right divisions and tolerance no catch is judged rightly",
        ),
        "time-zone" => {
            ("Which time zone are the new sites in?", "Such as Europe/Vienna or America/Chicago")
        }
        id if id.starts_with("recipe-draw ") => {
            return (sentence(&short(&question.asks, 200)), "Such as 7 s, or 1 dose");
        }
        id if id.starts_with("target ") => {
            return (sentence(&short(&question.asks, 200)), "Such as 30 mL or 40 g");
        }
        _ => return (sentence(&short(&question.asks, 300)), ""),
    };
    (asks.to_owned(), hint)
}

/// An answer as a page shows it.
pub fn choice(question: &Question, choice: &str, estate: &Estate) -> String {
    let id = question.id.as_str();
    let words = match (id, choice) {
        (_, "day-month") => "The day: 02/03 is 2 March",
        (_, "month-day") => "The month: 02/03 is 3 February",
        (_, "leave out") => "Leave its rows out",
        (_, "by number") => "Several, told apart by their numbers",
        ("state", "as-found") => "Before (as found)",
        ("state", "as-left") => "After (as left)",
        ("names", "readings") => "They only tell readings of one line apart",
        ("names" | "sections", "site") => "Sites",
        ("names" | "sections", "machine") => "Machines",
        ("names", "line") => "Lines",
        ("sections", "date") => "Days",
        ("sections", "no") => "Nothing",
        ("add", "yes") => "Yes, add what is new",
        ("add", "no") => "No; refuse their rows",
        (id, "new")
            if id.starts_with("site ") && question.choices.iter().any(|c| c == "by number") =>
        {
            "One site"
        }
        (_, "new") => "A new one",
        ("family", key) => match estate.families.get(key) {
            Some(family) => return format!("As {}", family.name),
            None => return made(key),
        },
        ("measure-kind", key) => match estate.measures.get(key) {
            Some(kind) => return kind.name.clone(),
            None => return made(key),
        },
        (id, key) if id.starts_with("site ") => match estate.sites.get(key) {
            Some(site) => return site.name.clone(),
            None => key,
        },
        (_, other) => other,
    };
    short(words, 100)
}

/// What can be made, with a capital first: `new: by the dose, taught`.
fn made(choice: &str) -> String {
    let mut chars = choice.strip_prefix("new: ").unwrap_or(choice).chars();
    let first: String = chars.next().into_iter().flat_map(char::to_uppercase).collect();
    first + chars.as_str()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_meaning_has_words_of_its_own() {
        let all: Vec<Means> = MEANS.iter().flat_map(|(_, g)| g.iter().map(|(m, _)| *m)).collect();
        assert_eq!(all.len(), 23);
        for one in &all {
            assert_eq!(all.iter().filter(|m| *m == one).count(), 1, "{one:?}");
            assert_eq!(from_key(&key(*one)), Some(*one));
        }
        assert_eq!(from_key("gold"), None);
        assert_eq!(means(Means::By), "Who did it");
    }

    #[test]
    fn letters_count_as_in_a_spreadsheet() {
        for (letter, nth) in [
            ("A", Some(0)),
            ("Z", Some(25)),
            ("AA", Some(26)),
            ("", None),
            ("a", None),
            ("ZZZZZZZZZZZZZZZZZ", None),
        ] {
            assert_eq!(number(letter), nth, "{letter}");
        }
    }
}
