//! Text that must fit: its width, and what to do where it does not.
//!
//! The width of a text is known only where it is shown. It is estimated from above, by the advances of a wide sans
//! serif (DejaVu Sans), so that a text that fits here fits there.

/// Text without what XML cannot hold, in one line.
pub(crate) fn clean(text: &str) -> String {
    let plain = |c: char| {
        if c.is_control() || c.is_whitespace() || matches!(c, '\u{fffe}' | '\u{ffff}') {
            ' '
        } else {
            c
        }
    };
    let text: String = text.chars().map(plain).collect();
    text.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// The width of a text at a font size, both in pixels, estimated from above.
pub(crate) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let ems: f64 = text.chars().map(advance).sum();
    ems * size * if bold { 1.12 } else { 1.0 }
}

/// Advance of a character in ems.
fn advance(c: char) -> f64 {
    match c {
        ' ' | '.' | ',' | ':' | ';' | '\'' | '|' | 'i' | 'l' | 'j' | 'I' | '!' | '/' => 0.34,
        '(' | ')' | '[' | ']' | 'f' | 't' | 'r' | '-' => 0.42,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' | '—' => 1.0,
        '+' | '−' | '±' | '×' | '=' | '<' | '>' | '&' => 0.84,
        'A'..='Z' => 0.79,
        'a'..='z' | '0'..='9' => 0.64,
        _ if c.is_ascii() => 0.84,
        '\u{a0}'..='\u{24f}' => 0.8,
        _ => 1.1,
    }
}

/// The text, or as much of its beginning as fits into so many pixels, with an ellipsis.
pub(crate) fn clip(text: &str, size: f64, bold: bool, room: f64) -> String {
    if width(text, size, bold) <= room + 1e-6 {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if width(&kept, size, bold) + width("…", size, bold) > room {
            kept.pop();
            break;
        }
    }
    if kept.is_empty() {
        return String::new();
    }
    format!("{}…", kept.trim_end())
}

/// The text in lines of so many pixels at most; what does not fit into `most` lines is cut off with an ellipsis.
pub(crate) fn wrap(text: &str, size: f64, bold: bool, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() && lines.len() < most {
        if lines.len() + 1 == most {
            lines.push(clip(rest, size, bold, room));
            break;
        }
        let (line, after) = rest.split_at(fitting(rest, size, bold, room));
        lines.push(line.trim_end().to_owned());
        rest = after.trim_start();
    }
    lines
}

/// The text in as few lines as [`wrap`] needs, and these about equally long.
pub(crate) fn wrap_evenly(
    text: &str,
    size: f64,
    bold: bool,
    room: f64,
    most: usize,
) -> Vec<String> {
    let lines = wrap(text, size, bold, room, most);
    let all = width(text, size, bold);
    if lines.len() < 2 || all > room * most as f64 {
        return lines;
    }
    let least = all / lines.len() as f64;
    let rooms = (0..10).map(|k| least + (room - least) * f64::from(k) / 10.0);
    let whole = |even: &Vec<String>| even.len() == lines.len() && even.join(" ") == lines.join(" ");
    rooms.map(|room| wrap(text, size, bold, room, most)).find(whole).unwrap_or(lines)
}

/// How many bytes of a text fit in a line: whole words, or if not even one fits, as many characters; at least one.
fn fitting(text: &str, size: f64, bold: bool, room: f64) -> usize {
    if width(text, size, bold) <= room {
        return text.len();
    }
    let (mut words, mut characters) = (0, text.chars().next().map_or(0, char::len_utf8));
    for (at, c) in text.char_indices() {
        if width(&text[..at], size, bold) > room {
            break;
        }
        if c == ' ' {
            words = at;
        }
        characters = characters.max(at);
    }
    if words > 0 { words } else { characters }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_fits_is_left_alone_and_what_does_not_is_cut() {
        assert_eq!(clip("gooseberry", 12.0, false, 200.0), "gooseberry");
        let cut = clip("gooseberry and smoked honey", 12.0, false, 80.0);
        assert!(cut.ends_with('…') && width(&cut, 12.0, false) <= 80.0, "{cut}");
        assert_eq!(clip("gooseberry", 12.0, false, 3.0), "");
    }

    #[test]
    fn words_are_kept_whole_where_they_fit() {
        let lines = wrap("all four lines moved up on 3 March", 12.0, false, 120.0, 3);
        assert_eq!(lines, ["all four lines", "moved up on 3", "March"]);
        let lines = wrap("Donaudampfschifffahrtsgesellschaft", 12.0, false, 100.0, 2);
        assert!(lines.iter().all(|line| width(line, 12.0, false) <= 100.0), "{lines:?}");
    }

    #[test]
    fn no_word_is_left_alone_on_a_line() {
        let lines = wrap_evenly("all four lines moved up on 3 March", 12.0, false, 220.0, 3);
        assert_eq!(lines, ["all four lines moved", "up on 3 March"]);
        let lines = wrap_evenly(&"long ".repeat(100), 12.0, false, 100.0, 3);
        assert!(lines.len() == 3 && lines[2].ends_with('…'), "{lines:?}");
    }

    #[test]
    fn nothing_is_left_that_xml_cannot_hold() {
        assert_eq!(clean("a\u{0}b\n  c\u{ffff}\u{1b}[31m"), "a b c [31m");
    }
}
