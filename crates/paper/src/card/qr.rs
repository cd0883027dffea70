//! The version of a card as a square code that a camera reads: drawn as one path, with nothing fetched.

use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};

/// White around it, in modules: four, as ISO/IEC 18004 asks.
const QUIET: i32 = 4;

/// The code of a text, row by row: `#` is dark, `.` is light, the white around it included; nothing where the text is too long
/// for one.
pub(super) fn rows(text: &str) -> Option<Vec<String>> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let places = || -QUIET..code.size() + QUIET;
    let row = |y| places().map(|x| if code.get_module(x, y) { '#' } else { '.' }).collect();
    Some(places().map(row).collect())
}

/// The code as a picture.
pub(super) fn drawn(rows: &[String], label: &str) -> Markup {
    let mut path = String::new();
    for (y, row) in rows.iter().enumerate() {
        for (x, _) in row.char_indices().filter(|(_, dark)| *dark == '#') {
            path.push_str(&format!("M{x} {y}h1v1h-1z"));
        }
    }
    let side = rows.len();
    html! {
        svg class="code" viewBox=(format!("0 0 {side} {side}")) role="img" aria-label=(label)
            shape-rendering="crispEdges" {
            desc { (label) }
            path d=(path) {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_fits_and_a_book_does_not() {
        // ISO/IEC 18004: the smallest code has 21 modules a side, and each size up adds four.
        let rows = rows("A").unwrap();
        assert!(rows.len() == 29 && rows.iter().all(|row| row.len() == 29), "{rows:?}");
        let drawn = drawn(&rows, "version").into_string();
        assert!(drawn.contains("0 0 29 29"), "{drawn}");
        // Its corner is dark, behind four light modules each way.
        assert!(drawn.contains("M4 4h1") && !drawn.contains("M3 "), "{drawn}");
        assert!(super::rows(&"x".repeat(5000)).is_none());
    }
}
