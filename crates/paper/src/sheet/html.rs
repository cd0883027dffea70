//! The sheet as one HTML document that a browser opens from a file and prints: nothing is fetched and nothing runs.

mod fit;

use fit::Fit;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::row::{Leave, Pen, PenAmount, Row, Says, Water, Window};
use super::{MachineSheet, Paper, Way};

const STYLE: &str = include_str!("html/style.css");

/// Reasons for which a line was not done: too busy, no product, another.
const NOT_DONE: [&str; 3] = ["busy", "empty", "other"];

/// The sheet as a document, with its style inside or at an address.
pub(super) fn render(sheet: &MachineSheet, style_at: Option<&str>) -> String {
    let header = &sheet.header;
    let columns = Columns::of(sheet);
    let fit = Fit::of(sheet);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Machine sheet " (header.site_key) "/" (header.machine_key) }
                @match style_at {
                    Some(href) => link rel="stylesheet" href=(href);,
                    None => style { (PreEscaped(style(sheet))) },
                }
            }
            body class=[fit.class()] {
                main {
                    (head(sheet))
                    (steps(sheet))
                    (table(sheet, &columns))
                    @if !sheet.notes.is_empty() {
                        ul class="notes" {
                            @for note in &sheet.notes { li { (unparted(note)) } }
                        }
                    }
                    section class="cautions" {
                        @for caution in &sheet.cautions { span { (caution) } " " }
                    }
                    @if fit.notes.is_some() {
                        section class="room" { h2 { "Notes" } }
                    }
                    p class="key-in" { (sheet.key_in) }
                }
            }
        }
    }
    .into_string()
}

/// The style, with the paper and the words in the page's margin.
pub(super) fn style(sheet: &MachineSheet) -> String {
    let fit = Fit::of(sheet);
    let header = &sheet.header;
    let size = match sheet.paper {
        Paper::A4 => "A4 landscape",
        Paper::Letter => "letter landscape",
    };
    let words = format!(
        "{} · {} · {}/{} · printed {} · ouncewise {}",
        header.site,
        header.machine,
        header.site_key,
        header.machine_key,
        header.printed_on,
        header.version
    );
    // A browser's own heights give way to these. How to key it in stands in the margin of every page, over which machine it is.
    format!(
        "@page{{size:{size};@bottom-left{{content:\"{}\\a {}\"}}}}\n.reading td{{height:{:.1}mm}}.room{{height:{:.1}mm}}\n{STYLE}",
        css_string(&sheet.key_in),
        css_string(&words),
        fit.row,
        fit.notes.unwrap_or(0.0)
    )
}

/// Text inside a CSS string inside a style element: everything that could end either is escaped.
fn css_string(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            c if c.is_alphanumeric() || " ·/.,:-()+".contains(c) => c.to_string(),
            c if c.is_control() => " ".to_owned(),
            c => format!("\\{:x} ", u32::from(c)),
        })
        .collect()
}

fn head(sheet: &MachineSheet) -> Markup {
    let header = &sheet.header;
    html! {
        header {
            div class="which" {
                h1 { (header.machine) " · " (header.site) }
                p {
                    (header.group) " · " (header.family)
                    @if let Some(serial) = &header.serial { " · serial " (serial) }
                    @if let Some(state) = header.out_of_use { " · " strong { "this machine is " (state) } }
                }
            }
            div class="who" {
                span { "Date" } span class="rule" {}
                span { "from" } span class="rule short" {}
                span { "to" } span class="rule short" {}
                span { "by" } span class="rule long" {}
            }
        }
    }
}

fn steps(sheet: &MachineSheet) -> Markup {
    html! {
        ol class="steps" {
            @for step in &sheet.steps { li { (step) } " " }
        }
        p class="about" {
            @for measure in &sheet.measures {
                strong { (measure.key) } ": " (measure.name) ", " (measure.read) ". "
            }
            (sheet.setting.about)
        }
    }
}

/// Which pen columns this machine needs.
struct Columns {
    water: bool,
    seconds: bool,
}

impl Columns {
    fn of(sheet: &MachineSheet) -> Columns {
        Columns {
            water: sheet.rows.iter().any(|row| row.water.is_some()),
            seconds: sheet.rows.iter().any(|row| row.pen.seconds),
        }
    }

    /// Boxes of a catch as found. The water is not adjusted here, so it is caught once.
    fn found(&self) -> usize {
        self.left() + usize::from(self.water)
    }

    /// Boxes of a catch as left.
    fn left(&self) -> usize {
        1 + usize::from(self.seconds)
    }

    /// The widths that the style gives.
    fn class(&self) -> &'static str {
        match (self.water, self.seconds) {
            (true, _) => "water",
            (false, true) => "timed",
            (false, false) => "plain",
        }
    }

    /// Columns before the pen's, and all of them.
    fn all(&self) -> usize {
        6 + self.found() + usize::from(self.water) + 1 + self.left() + NOT_DONE.len()
    }
}

fn table(sheet: &MachineSheet, columns: &Columns) -> Markup {
    let read = html! {
        th scope="col" class="sub" { @if columns.water { "syrup" } @else { "read" } }
        @if columns.seconds { th scope="col" class="sub" { "time" } }
    };
    html! {
        table class=(columns.class()) {
            colgroup {
                col class="line";
                col class="catch";
                @if columns.water { col class="water"; }
                @for class in ["side", "leave", "side", "far"] { col class=(class); }
                @for _ in 0..columns.found() { col class="pen"; }
                col class="moved";
                @for _ in 0..columns.left() { col class="pen"; }
                @for _ in NOT_DONE { col class="why"; }
            }
            thead {
                tr {
                    th scope="col" rowspan="2" { "Line" }
                    th scope="col" rowspan="2" { "Catch" }
                    @if columns.water { th scope="col" rowspan="2" { "Water first" } }
                    (way("Too little", &sheet.setting.more))
                    th scope="col" rowspan="2" class="leave" { "Leave it" }
                    (way("Too much", &sheet.setting.less))
                    th scope="col" rowspan="2" { "How far" }
                    th scope="colgroup" colspan=(columns.found()) class="group" { "As found" }
                    th scope="col" rowspan="2" class="moved" { "Adjusted by" }
                    th scope="colgroup" colspan=(columns.left()) class="group" { "As left" }
                    th scope="colgroup" colspan=(NOT_DONE.len()) class="group" { "Not done" }
                }
                tr {
                    @if columns.water { th scope="col" class="sub" { "water" } }
                    (read)
                    (read)
                    @for reason in NOT_DONE { th scope="col" class="sub" { (reason) } }
                }
            }
            @for row in &sheet.rows { (self::row(row, columns)) }
            @if sheet.rows.is_empty() {
                tbody { tr { td colspan=(columns.all()) { "This machine has no lines in use." } } }
            }
        }
    }
}

fn way(what: &str, way: &Way) -> Markup {
    html! {
        th scope="col" rowspan="2" class="side" {
            (what) ": " (way.verb) @if !way.way.is_empty() { " " strong { (hyphened(&way.way)) } }
        }
    }
}

/// A long word that may be broken in its middle.
fn hyphened(word: &str) -> String {
    word.replace("anticlockwise", "anti\u{ad}clockwise")
}

/// Numbers are not parted from their units, and what is short enough for any column stays on one line.
fn unparted(words: &str) -> String {
    const UNITS: [&str; 9] = ["%", "mL", "L", "g", "s", "fl", "dose", "doses", "turn"];
    let short = words.chars().count() < 13;
    let mut text = String::new();
    for word in words.split(' ') {
        let unit = text.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&word);
        if !text.is_empty() {
            text.push(if short || unit || text.ends_with('±') { '\u{a0}' } else { ' ' });
        }
        text.push_str(word);
    }
    text
}

/// A line is a table body of its own, so that what its last catch said is never parted from it.
fn row(row: &Row, columns: &Columns) -> Markup {
    let rows = 1 + usize::from(row.last.is_some());
    html! {
        tbody {
            tr class="reading" {
                th scope="rowgroup" class="what" rowspan=(rows) {
                    b { (row.line) } " " (row.name)
                    @for allergen in &row.allergens { " " span class="allergen" { (allergen) } }
                }
                td { div { (unparted(&row.draw)) } div { (unparted(&row.asks)) } }
                @if columns.water { (water(row.water.as_ref())) }
                (says(row))
                td { @for part in row.how_far.split("; ") { div { (unparted(part)) } } }
                @if columns.water {
                    td class="pen" { @if let Some(water) = &row.water { small { (water.unit) } } }
                }
                (boxes(row, columns))
                td class="pen" {}
                (boxes(row, columns))
                @for _ in NOT_DONE { td class="tick" { span class="box" {} } }
            }
            @if let Some(last) = &row.last {
                tr class="last" { td colspan=(columns.all() - 1) { (unparted(last)) } }
            }
        }
    }
}

fn water(water: Option<&Water>) -> Markup {
    html! {
        td class="leave" {
            @if let Some(Water { leave, unit, .. }) = water {
                @match leave {
                    Some((least, most)) => { strong { (least) " –" br; (most) } " " (unit) }
                    None => "see below",
                }
            }
        }
    }
}

fn says(row: &Row) -> Markup {
    match &row.says {
        Says::Windows(window) => windows(window),
        Says::Marks { mark, under, at, over } => html! {
            td class="mark" { b { "under " (unparted(mark)) } " " (under) }
            td class="mark leave" { b { "at " (unparted(mark)) } " " (at) }
            td class="mark" { b { "over " (unparted(mark)) } " " (over) }
        },
        Says::Trouble { .. } => html! {
            td class="mark" colspan="3" { "cannot be judged: see below" }
        },
    }
}

fn windows(window: &Window) -> Markup {
    let (little, much) = match window.fewer_is_more {
        true => ("s or over", "s or under"),
        false => ("or under", "or over"),
    };
    let side = |at: &Option<String>, words: &str| {
        html! {
            td class="side" {
                @match at {
                    Some(at) => { b { (at) } " " small { (words) } },
                    None => small { "not shown" },
                }
            }
        }
    };
    html! {
        (side(&window.too_little, little))
        @match &window.leave {
            Leave::Between { least, most } => td class="leave" {
                (between(least, most)) " " small { (window.unit) }
            },
            Leave::Mean { catches, least, most } => td class="leave" {
                (between(least, most)) " " small { (window.unit) ", mean of " (catches) }
            },
            Leave::With { measure } => td class="leave" { small { "use " (measure) } },
            Leave::Never => td class="leave" { small { "in between," } " " small { "not shown" } },
        }
        (side(&window.too_much, much))
    }
}

fn between(least: &str, most: &str) -> Markup {
    html! {
        b { (least) @if least != most { "\u{a0}– " (most) } }
    }
}

fn boxes(row: &Row, columns: &Columns) -> Markup {
    let Pen { amount, seconds } = &row.pen;
    html! {
        @match amount {
            PenAmount::Number { unit } => td class="pen" { small { (unit) } },
            PenAmount::Given { amount } => td class="given" { (amount) },
            PenAmount::Side => td class="pick" { "under at over" },
            PenAmount::Any => td class="pen" {},
        }
        @if columns.seconds {
            @if *seconds { td class="pen" { small { "s" } } } @else { td class="none" { "–" } }
        }
    }
}
