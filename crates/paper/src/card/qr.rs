//! The version of a card as a square code that a camera reads: drawn as one path, with nothing fetched.

use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};

/// White around it, in modules: four, as ISO/IEC 18004 asks.
const QUIET: i32 = 4;

/// The code of a text; nothing where the text is too long for one.
pub(super) fn code(text: &str, label: &str) -> Option<Markup> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        for x in (0..size).filter(|x| code.get_module(*x, y)) {
            path.push_str(&format!("M{} {}h1v1h-1z", x + QUIET, y + QUIET));
        }
    }
    let side = size + 2 * QUIET;
    Some(html! {
        svg class="code" viewBox=(format!("0 0 {side} {side}")) role="img" aria-label=(label)
            shape-rendering="crispEdges" {
            path d=(path) {}
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_fits_and_a_book_does_not() {
        // ISO/IEC 18004: the smallest code has 21 modules a side, and each size up adds four.
        let drawn = code("A", "version").unwrap().into_string();
        assert!(drawn.contains("0 0 29 29"), "{drawn}");
        assert!(code(&"x".repeat(5000), "version").is_none());
    }
}
