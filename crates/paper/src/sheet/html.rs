//! The sheet as one HTML document that a browser opens from a file and prints: nothing is fetched and nothing runs.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::row::{Leave, Pen, PenAmount, Row, Says, Water, Window};
use super::{MachineSheet, Paper, Way};

const STYLE: &str = include_str!("html/style.css");

/// Reasons for which a line was not done, as heads of narrow columns.
const NOT_DONE: [&str; 3] = ["too busy", "no product", "other"];

/// The sheet as a document.
pub(super) fn render(sheet: &MachineSheet) -> String {
    let header = &sheet.header;
    let columns = Columns::of(sheet);
    let size = match sheet.rows.len() {
        0..=5 => "few",
        6..=9 => "some",
        _ => "many",
    };
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Machine sheet " (header.site_key) "/" (header.machine_key) }
                style { (PreEscaped(style(sheet))) }
            }
            body class=(size) {
                main {
                    (head(sheet))
                    (steps(sheet))
                    (table(sheet, &columns))
                    @if !sheet.notes.is_empty() {
                        ul class="notes" {
                            @for note in &sheet.notes { li { (note) } }
                        }
                    }
                    section class="cautions" {
                        @for caution in &sheet.cautions { span { (caution) } " " }
                    }
                    p class="key-in" { (sheet.key_in) }
                }
            }
        }
    }
    .into_string()
}

/// The style, with the paper and the words in the page's margin.
fn style(sheet: &MachineSheet) -> String {
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
    format!(
        "@page{{size:{size};@bottom-left{{content:\"{}\"}}}}\n{STYLE}",
        css_string(&words)
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

    /// Boxes of one catch.
    fn boxes(&self) -> usize {
        1 + usize::from(self.water) + usize::from(self.seconds)
    }

    /// Columns before the pen's, and all of them.
    fn all(&self) -> usize {
        6 + 2 * self.boxes() + 1 + NOT_DONE.len()
    }
}

fn table(sheet: &MachineSheet, columns: &Columns) -> Markup {
    let pair = html! {
        @if columns.water { th scope="col" class="pen" { "water" } }
        th scope="col" class="pen" { @if columns.water { "syrup" } @else { "amount" } }
        @if columns.seconds { th scope="col" class="pen" { "seconds" } }
    };
    html! {
        table {
            thead {
                tr {
                    th scope="col" rowspan="2" class="line" { "Line" }
                    th scope="col" rowspan="2" class="catch" { "Catch" }
                    th scope="colgroup" colspan="3" { "What it reads · between two windows: catch again" }
                    th scope="col" rowspan="2" class="far" { "How far" }
                    th scope="colgroup" colspan=(columns.boxes()) class="found" { "As found" }
                    th scope="col" rowspan="2" class="moved" { "Adjusted by" }
                    th scope="colgroup" colspan=(columns.boxes()) class="left" { "As left" }
                    th scope="colgroup" colspan=(NOT_DONE.len()) class="undone" { "Not done" }
                }
                tr {
                    (way("little", "Too little", &sheet.setting.more))
                    th scope="col" class="leave" { "LEAVE IT" }
                    (way("much", "Too much", &sheet.setting.less))
                    (pair)
                    (pair)
                    @for reason in NOT_DONE { th scope="col" class="why" { span { (reason) } } }
                }
            }
            @for row in &sheet.rows { (self::row(row, columns)) }
            @if sheet.rows.is_empty() {
                tbody { tr { td colspan=(columns.all()) { "This machine has no lines in use." } } }
            }
        }
    }
}

fn way(class: &str, what: &str, way: &Way) -> Markup {
    html! {
        th scope="col" class=(class) {
            (what) ": " (way.verb) @if !way.way.is_empty() { " " strong { (way.way) } }
        }
    }
}

/// A line is a table body of its own, so that what its last catch said is never parted from it.
fn row(row: &Row, columns: &Columns) -> Markup {
    let rows = 1 + usize::from(row.last.is_some());
    html! {
        tbody {
            tr class="reading" {
                th scope="rowgroup" class="line" rowspan=(rows) {
                    div class="name" { b { (row.line) } span { (row.name) } }
                    @if !row.allergens.is_empty() {
                        div class="allergens" { (row.allergens.join(", ").to_uppercase()) }
                    }
                }
                td class="catch" { (catch(row)) }
                (says(row))
                td class="far" { (row.how_far) }
                (boxes(row, columns))
                td class="pen moved" {}
                (boxes(row, columns))
                @for _ in NOT_DONE { td class="tick" { span class="box" {} } }
            }
            @if let Some(last) = &row.last {
                tr class="last" { td colspan=(columns.all() - 1) { b { "Last catch " } (last) } }
            }
        }
    }
}

fn catch(row: &Row) -> Markup {
    html! {
        @if let Some(water) = &row.water { (self::water(water)) }
        div class="do" {
            (row.draw)
            @if let Some(measure) = &row.measure { " into " (measure) }
        }
        div class="asks" { "asks " (row.asks) }
    }
}

fn water(water: &Water) -> Markup {
    html! {
        div class="water" {
            "water " (water.asks) ": "
            @match &water.leave {
                Some((least, most)) => strong { (least) " to " (most) " " (water.unit) },
                None => "not shown",
            }
        }
    }
}

fn says(row: &Row) -> Markup {
    match &row.says {
        Says::Windows(window) => windows(window),
        Says::Marks { mark, under, at, over } => html! {
            td class="mark" { b { "under " (mark) } " " (under) }
            td class="mark leave" { b { "at " (mark) } " " (at) }
            td class="mark" { b { "over " (mark) } " " (over) }
        },
        Says::Trouble { .. } => html! {
            td class="mark" colspan="3" { "cannot be judged: see below" }
        },
    }
}

fn windows(window: &Window) -> Markup {
    let (little, much) =
        if window.fewer_is_more { ("or over", "or under") } else { ("or under", "or over") };
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
                b { (least) " – " (most) } " " small { (window.unit) }
            },
            Leave::Catches { catches } => td class="leave" { small { "catch " (catches) " times" } },
            Leave::With { measure } => td class="leave" { small { "use " (measure) } },
            Leave::Never => td class="leave" { small { "see below" } },
        }
        (side(&window.too_much, much))
    }
}

fn boxes(row: &Row, columns: &Columns) -> Markup {
    let Pen { amount, seconds } = &row.pen;
    html! {
        @if columns.water {
            td class="pen" { @if let Some(water) = &row.water { small { (water.unit) } } }
        }
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
