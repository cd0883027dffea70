//! Which letters can be shown, and what stands for those that cannot.

use serde::Serialize;
use serde_json::Value;

use super::world;

/// Stands for a letter that there is no shape for.
const BOX: char = '□';

const BOXES: &str =
    "□ stands for a letter that this PDF cannot show; the page printed from a browser can.";

/// No text is longer than this: what is cut off was no name.
const MOST: usize = 1000;

/// Data as JSON, in letters that can be shown. Where one cannot, the list of `notes` says so.
pub(super) fn shown(data: &impl Serialize) -> Result<Vec<u8>, serde_json::Error> {
    let mut data = serde_json::to_value(data)?;
    let mut boxes = false;
    each(&mut data, &mut |text| {
        let plain = plain(text);
        boxes |= plain.contains(BOX);
        *text = plain;
    });
    if let Some(Value::Array(notes)) = data.get_mut("notes").filter(|_| boxes) {
        notes.push(BOXES.into());
    }
    serde_json::to_vec(&data)
}

/// Does something with every text in it.
fn each(value: &mut Value, with: &mut impl FnMut(&mut String)) {
    match value {
        Value::String(text) => with(text),
        Value::Array(values) => values.iter_mut().for_each(|value| each(value, with)),
        Value::Object(fields) => fields.values_mut().for_each(|value| each(value, with)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// A text on one line, of letters that can be shown.
pub(crate) fn plain(text: &str) -> String {
    let mut plain: String = text.chars().take(MOST).filter_map(letter).collect();
    if text.chars().nth(MOST).is_some() {
        plain.push('…');
    }
    plain
}

/// What stands for one letter; `None` for what is only there to steer others.
fn letter(c: char) -> Option<char> {
    match c {
        c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') => Some(' '),
        // Joiners belong to the shapes of the letters beside them.
        '\u{200c}' | '\u{200d}' => Some(c),
        // Soft hyphens, marks of direction, fillers of no width, and choices between shapes.
        '\u{ad}'
        | '\u{61c}'
        | '\u{180e}'
        | '\u{200b}'
        | '\u{200e}'
        | '\u{200f}'
        | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}'
        | '\u{feff}'
        | '\u{e0000}'..='\u{e0fff}' => None,
        // What a private letter means is nobody's business but its font's.
        '\u{e000}'..='\u{f8ff}' | '\u{f0000}'.. => Some(BOX),
        c if world::has(c) => Some(c),
        _ => Some(BOX),
    }
}
