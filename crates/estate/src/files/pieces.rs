//! The measures of a site in one cell: `cup-a = cup-30; scale = scale-01; old-cup = cup-30 retired`.

use std::collections::BTreeMap;

use crate::key::Key;
use crate::misread::Misread;
use crate::piece::Piece;

/// Reads the list. Every fault is told, not only the first.
pub(crate) fn read(text: &str) -> (BTreeMap<Key, Piece>, Vec<Misread>) {
    let mut pieces = BTreeMap::new();
    let mut faults = Vec::new();
    for item in text.split(';').map(str::trim).filter(|t| !t.is_empty()) {
        let (item, retired) = match item.strip_suffix("retired") {
            Some(rest) if rest.ends_with(char::is_whitespace) => (rest.trim(), true),
            _ => (item, false),
        };
        // One piece of a kind may go by the name of its kind.
        let (key, kind) = item.split_once('=').unwrap_or((item, item));
        match (key.trim().parse::<Key>(), kind.trim().parse::<Key>()) {
            (Ok(key), Ok(kind)) => {
                if pieces.insert(key.clone(), Piece { kind, retired }).is_some() {
                    let hint = "give each piece a key of its own: `cup-a = cup-30; cup-b = cup-30`";
                    faults.push(Misread::new(format!("the measure `{key}` is listed twice"), hint));
                }
            }
            (key, kind) => faults.extend([key.err(), kind.err()].into_iter().flatten()),
        }
    }
    (pieces, faults)
}

/// Writes the list.
pub(crate) fn write(pieces: &BTreeMap<Key, Piece>) -> String {
    let item = |(key, piece): (&Key, &Piece)| {
        let retired = if piece.retired { " retired" } else { "" };
        if *key == piece.kind {
            format!("{key}{retired}")
        } else {
            format!("{key} = {}{retired}", piece.kind)
        }
    };
    pieces.iter().map(item).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_reads_as_it_is_written() {
        let text = "cup-a = cup-30; old = cup-30 retired; scale-01";
        let (pieces, faults) = read(text);
        assert!(faults.is_empty(), "{faults:?}");
        assert_eq!(write(&pieces), text);
        assert!(pieces["old"].retired && pieces["scale-01"].kind == "scale-01");
    }

    #[test]
    fn every_fault_is_told() {
        let (pieces, faults) = read("Cup A; b = ; c = cup-30; c = cup-30; retired");
        assert_eq!(faults.len(), 4, "{faults:?}");
        assert_eq!(pieces.len(), 2);
    }
}
