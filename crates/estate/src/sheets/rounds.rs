//! A row of what was recorded of a round's sanitising: its kind, and the cells that such a record has.

use ouncewise_ledger::{Body, Record, Scope, Subject};
use serde_json::{Map, Value};
use uuid::Uuid;

use super::code::{Code, Refusal};
use super::known::clean;

/// What is written in a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cell {
    /// Words as they were read.
    Words,
    /// One of these.
    One(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// A box: its id, or its name or lot as a row above has it.
    Box,
}

/// Cells of a kind: the column, what it holds, and whether it must be filled.
type Cells = &'static [(&'static str, Cell, bool)];

const W: Cell = Cell::Words;

/// The kinds that such a file holds, each with its cells. A row of another kind is refused.
const KINDS: &[(&str, Cells)] = &[
    (
        "round-opened",
        &[
            ("procedure", W, false),
            ("profile", W, false),
            ("edition", W, false),
            ("program", W, false),
        ],
    ),
    (
        "box-opened",
        &[
            ("holds", Cell::One(&["sanitiser", "strips"]), true),
            ("name", W, true),
            ("registration", W, false),
            ("lot", W, false),
            ("expiry", W, false),
            ("active", W, false),
            ("contact", W, false),
            ("strength", W, false),
            ("signal_word", W, false),
        ],
    ),
    (
        "solution-mixed",
        &[
            ("product", W, true),
            ("dose", W, true),
            ("water", W, true),
            ("temperature", W, false),
            ("ph", W, false),
            ("hardness", W, false),
            ("box", Cell::Box, false),
        ],
    ),
    ("strip-read", &[("reading", W, true), ("place", W, true), ("box", Cell::Box, false)]),
    ("contact-started", &[]),
    ("contact-ended", &[("lasted", W, false)]),
    ("flushed", &[("stage", Cell::One(&["before", "after"]), true), ("amount", W, true)]),
    ("drained", &[("vented", Cell::Flag, true)]),
    ("purged", &[("reading", W, false), ("amount", W, false)]),
    ("discarded", &[("amount", W, false)]),
    ("lubricated", &[("lubricant", W, true), ("statement", W, false)]),
    ("product-checked", &[("temperature", W, false), ("lot", W, false), ("opened", W, false)]),
    ("verified", &[]),
    ("deviated", &[("happened", W, true), ("done", W, true), ("released", Cell::Flag, true)]),
    ("round-closed", &[("complete", Cell::Flag, true), ("reason", W, false)]),
];

/// The columns that may be there: those that a kind has, after the line and before who and what else.
pub(super) const OPTIONAL: &[&str] = &[
    "line",
    "profile",
    "edition",
    "program",
    "procedure",
    "holds",
    "name",
    "registration",
    "lot",
    "expiry",
    "active",
    "contact",
    "strength",
    "signal_word",
    "product",
    "dose",
    "water",
    "temperature",
    "ph",
    "hardness",
    "box",
    "reading",
    "place",
    "lasted",
    "stage",
    "amount",
    "vented",
    "lubricant",
    "statement",
    "opened",
    "happened",
    "done",
    "released",
    "complete",
    "reason",
    "by",
    "sequence",
    "id",
    "note",
];

/// Every column that a kind has, in the order in which they are written.
pub const COLUMNS: &[&str] = OPTIONAL.split_at(1).1.split_at(OPTIONAL.len() - 5).0;

/// The cells of a record, by column, with its kind; nothing for records of other kinds.
#[must_use]
pub fn cells(body: &Body) -> Option<(&'static str, Vec<(&'static str, String)>)> {
    let (kind, known) = KINDS.iter().find(|(kind, _)| *kind == body.kind())?;
    let Ok(Value::Object(fields)) = serde_json::to_value(body) else { return None };
    let cell = |(column, ..): &(&'static str, Cell, bool)| {
        let text = match fields.get(*column)? {
            Value::String(text) => text.clone(),
            Value::Bool(true) => "yes".to_owned(),
            Value::Bool(false) => "no".to_owned(),
            _ => return None,
        };
        Some((*column, text))
    };
    Some((kind, known.iter().filter_map(cell).collect()))
}

/// Whether a kind is of no machine: a box is opened at a site.
pub(super) fn of_site(kind: &str) -> bool {
    kind == "box-opened"
}

/// The body that a row's cells make. `get` gives the text under a column, `boxed` the box that a text means.
pub(super) fn body<'t>(
    kind: &str,
    get: impl Fn(&str) -> &'t str,
    boxed: impl Fn(&str) -> Option<Uuid>,
) -> Result<Body, Refusal> {
    let word = kind.trim().to_lowercase().replace([' ', '_'], "-");
    let Some((kind, cells)) = KINDS.iter().find(|(known, _)| *known == word) else {
        let kinds: Vec<&str> = KINDS.iter().map(|(kind, _)| *kind).collect();
        let refusal =
            Refusal::new(0, Code::CellUnclear, format!("{kind:?} is no kind of a round's record"));
        return Err(refusal.column("kind").hint(format!("write one of: {}", kinds.join(", "))));
    };
    let stray = COLUMNS
        .iter()
        .find(|column| !get(column).is_empty() && cells.iter().all(|(known, ..)| known != *column));
    if let Some(stray) = stray {
        let takes: Vec<&str> = cells.iter().map(|(column, ..)| *column).collect();
        let takes = if takes.is_empty() { "nothing".to_owned() } else { takes.join(", ") };
        return Err(Refusal::new(
            0,
            Code::CellUnclear,
            format!("a record `{kind}` has no {stray}"),
        )
        .column(*stray)
        .hint(format!("leave the cell empty; `{kind}` takes {takes}")));
    }
    let mut fields = Map::from_iter([("kind".to_owned(), Value::from(*kind))]);
    for (column, cell, must) in *cells {
        let text = clean(get(column));
        if text.is_empty() {
            if *must {
                return Err(Refusal::new(
                    0,
                    Code::EmptyCell,
                    format!("a record `{kind}` says its {column}"),
                )
                .column(*column));
            }
            continue;
        }
        fields.insert((*column).to_owned(), value(*cell, column, text, &boxed)?);
    }
    let body: Body = serde_json::from_value(Value::Object(fields))
        .map_err(|e| Refusal::new(0, Code::CellUnclear, e.to_string()).column("kind"))?;
    checked(&body)?;
    Ok(body)
}

fn value(
    cell: Cell,
    column: &str,
    text: String,
    boxed: impl Fn(&str) -> Option<Uuid>,
) -> Result<Value, Refusal> {
    let refuse = |hint: String| {
        let reason = format!("{text:?} cannot stand under {column}");
        Err(Refusal::new(0, Code::CellUnclear, reason).column(column).hint(hint))
    };
    match cell {
        Cell::Words => Ok(text.into()),
        Cell::One(words) => match words.iter().find(|word| word.eq_ignore_ascii_case(&text)) {
            Some(word) => Ok((*word).into()),
            None => refuse(format!("write one of: {}", words.join(", "))),
        },
        Cell::Flag => match text.to_lowercase().as_str() {
            "yes" | "y" | "true" | "x" | "1" => Ok(true.into()),
            "no" | "n" | "false" | "0" => Ok(false.into()),
            _ => refuse("write yes or no".to_owned()),
        },
        Cell::Box => match Uuid::try_parse(&text).ok().or_else(|| boxed(&text)) {
            Some(id) => Ok(id.to_string().into()),
            None => refuse(
                "write the id of the record that opened the box, or its name or lot as a row above has it"
                    .to_owned(),
            ),
        },
    }
}

/// Refuses what a ledger would refuse: of an expiry that is no date, of a text that is too long.
fn checked(body: &Body) -> Result<(), Refusal> {
    let probe = Record {
        v: ouncewise_ledger::record::VERSION,
        id: Uuid::from_u128(0x0195_540a_c212_8000_8000_0000_0000_0000),
        scope: Scope::site("site")
            .map_err(|e| Refusal::new(0, Code::UnknownSite, e.to_string()))?,
        subject: if of_site(body.kind()) {
            Subject::default()
        } else {
            Subject::machine("machine")
        },
        at: "2026-03-02T06:41:00.000Z".to_owned(),
        device: "import".to_owned(),
        sequence: 0,
        by: None,
        entered: ouncewise_ledger::Entered::Imported,
        note: None,
        body: body.clone(),
    };
    probe.check().map_err(|faults| {
        let fault = faults.first().map_or_else(String::new, ToString::to_string);
        Refusal::new(0, Code::CellUnclear, fault)
    })
}

/// The place of such a record among others of one moment: between what was found and what was left.
pub(super) fn order(body: &Body) -> Option<u64> {
    use ouncewise_ledger::Stage::{After, Before};
    let at_outlet = |place: &str| place.trim().eq_ignore_ascii_case("outlet");
    Some(match body {
        Body::RoundOpened { .. } => 0,
        Body::BoxOpened { .. } => 100_000,
        Body::Flushed { stage: Before, .. } => 1_100_000,
        Body::SolutionMixed { .. } => 1_200_000,
        Body::StripRead { place, .. } if at_outlet(place) => 1_400_000,
        Body::StripRead { .. } => 1_300_000,
        Body::ContactStarted {} => 1_500_000,
        Body::ContactEnded { .. } => 1_600_000,
        Body::Drained { .. } => 1_700_000,
        Body::Flushed { stage: After, .. } => 1_750_000,
        Body::Purged { .. } => 1_800_000,
        Body::Discarded { .. } => 1_900_000,
        Body::Lubricated { .. } => 2_500_000,
        Body::ProductChecked { .. } => 2_600_000,
        Body::Deviated { .. } => 4_500_000,
        Body::RoundClosed { .. } => 4_900_000,
        Body::Verified {} => 4_950_000,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every kind of the list is one of the ledger's, and has columns that are written.
    #[test]
    fn the_kinds_are_those_of_records() {
        for (kind, cells) in KINDS {
            assert!(Body::KINDS.contains(kind), "{kind}");
            for (column, ..) in *cells {
                assert!(COLUMNS.contains(column), "{kind} {column}");
            }
        }
    }

    #[test]
    fn what_is_written_reads_back() {
        let strip = Uuid::from_u128(0x0195_540a_c212_7000_8000_0000_0000_0001);
        let bodies = [
            Body::Flushed { stage: ouncewise_ledger::Stage::After, amount: "90 s".to_owned() },
            Body::StripRead {
                reading: "strip class 100".to_owned(),
                place: "outlet".to_owned(),
                from_box: Some(strip),
            },
            Body::Drained { vented: true },
            Body::RoundClosed { complete: false, reason: Some("a coach came in".to_owned()) },
        ];
        for wanted in bodies {
            let (kind, written) = cells(&wanted).unwrap();
            let get = |column: &str| {
                written.iter().find(|(known, _)| *known == column).map_or("", |(_, text)| text)
            };
            assert_eq!(body(kind, get, |_| None).unwrap(), wanted);
        }
        assert_eq!(cells(&Body::LineCleaned {}), None);
    }

    #[test]
    fn what_a_kind_does_not_take_or_lacks_is_refused_at_its_column() {
        let told = |kind: &str, cells: &[(&str, &'static str)]| {
            let get = |column: &str| {
                cells.iter().find(|(known, _)| *known == column).map_or("", |(_, text)| *text)
            };
            let refusal = body(kind, get, |_| None).unwrap_err();
            (refusal.code, refusal.column.unwrap_or_default())
        };
        assert_eq!(told("rinsed", &[]).0, Code::CellUnclear);
        assert_eq!(told("drained", &[]), (Code::EmptyCell, "vented".to_owned()));
        assert_eq!(told("Drained", &[("vented", "perhaps")]).1, "vented");
        assert_eq!(told("drained", &[("vented", "yes"), ("place", "outlet")]).1, "place");
        assert_eq!(
            told("strip read", &[("reading", "100"), ("place", "bucket"), ("box", "blue")]).1,
            "box"
        );
        assert_eq!(told("product-checked", &[]).0, Code::CellUnclear);
    }
}
