use super::*;

/// The rule of a class, as the style sheet must have it.
fn rule(look: &Look) -> String {
    let mut says = format!("fill:{}", look.fill.variable());
    if look.stroke != Paint::Nothing {
        says += &format!(";stroke:{};stroke-width:{}", look.stroke.variable(), look.width);
    }
    if !look.dash.is_empty() {
        says += &format!(";stroke-dasharray:{}", look.dash);
    }
    if look.opacity < 1.0 {
        says += &format!(";opacity:{}", look.opacity);
    }
    if look.size > 0.0 {
        says += &format!(";font-size:{}px", look.size);
    }
    if look.bold {
        says += ";font-weight:700";
    }
    format!(".chart .{}{{{says}}}\n", look.class)
}

#[test]
fn the_style_sheet_says_what_the_table_says() {
    let rules: String = LOOKS.iter().map(rule).collect();
    assert!(CSS.contains(&rules), "the style sheet must hold these rules:\n{rules}");
}

/// Contrast of two colours: WCAG 2.2, definitions "contrast ratio" and "relative luminance".
fn contrast(a: &str, b: &str) -> f64 {
    let luminance = |colour: &str| {
        let digits = colour.trim_start_matches('#');
        let digits: String = match digits.len() {
            3 => digits.chars().flat_map(|c| [c, c]).collect(),
            _ => digits.to_owned(),
        };
        let part = |i: usize| {
            let part = f64::from(u8::from_str_radix(&digits[i..i + 2], 16).unwrap()) / 255.0;
            if part <= 0.040_45 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(0) + 0.7152 * part(2) + 0.0722 * part(4)
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn declared<'a>(declarations: &'a str, name: &str) -> &'a str {
    let found = declarations.split(';').find_map(|d| d.strip_prefix(name)?.strip_prefix(':'));
    found.unwrap_or_else(|| panic!("{name} is not declared"))
}

// WCAG 2.2: black on white is 21; 1.4.11 asks 3 of graphics, 1.4.6 asks 7 of text.
#[test]
fn colours_are_told_from_their_ground() {
    assert!((contrast("#000", "#fff") - 21.0).abs() < 1e-9);
    for (declarations, ground) in [(LIGHT, "#fff"), (DARK, "#121212")] {
        assert_eq!(declared(declarations, "--surface"), ground);
        for (name, least) in [("--ink", 12.0), ("--muted", 7.0), ("--band", 3.0), ("--off", 3.0)] {
            let colour = declared(declarations, name);
            let ratio = contrast(colour, ground);
            assert!(ratio >= least, "{name} {colour} on {ground}: {ratio:.2}");
        }
    }
}

// Lines that carry a meaning keep their contrast where they are thinned; the grid carries none, and of tints the edges are told.
#[test]
fn thinned_lines_are_still_told_from_their_ground() {
    let part =
        |colour: &str, i: usize| f64::from(u8::from_str_radix(&colour[i..i + 2], 16).unwrap());
    for look in
        LOOKS.iter().filter(|l| l.opacity < 1.0 && !["grid", "band", "stood"].contains(&l.class))
    {
        let colour = look.stroke.flat();
        let mixed: String = [1, 3, 5]
            .map(|i| part(colour, i) * look.opacity + 255.0 * (1.0 - look.opacity))
            .map(|mixed| format!("{:02x}", mixed.round() as u8))
            .concat();
        assert!(contrast(&mixed, "#fff") >= 3.0, "{}: #{mixed}", look.class);
    }
}

#[test]
fn paper_is_printed_in_the_light_colours() {
    for paint in [Paint::Ink, Paint::Muted, Paint::Surface, Paint::Band, Paint::Off] {
        let (name, colour) = paint.names().unwrap();
        assert_eq!(declared(LIGHT, name), colour);
    }
    assert!(CSS.contains(LIGHT), "the style sheet's print rule has the light colours");
}
