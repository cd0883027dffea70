//! The sheet as plain text, for a terminal or a printer without a browser.

use super::row::{Leave, Pen, PenAmount, Row, Says, Window};
use super::{MachineSheet, Setting, Way};

/// The sheet, wrapped to `width` columns.
pub(super) fn render(sheet: &MachineSheet, width: usize) -> String {
    let mut page = Page { width, text: String::new() };
    let header = &sheet.header;
    page.line(0, &format!("{} · {}", header.machine, header.site));
    let mut about = format!("{} · {}", header.group, header.family);
    if let Some(serial) = &header.serial {
        about.push_str(&format!(" · serial {serial}"));
    }
    about.push_str(&format!(" · {}/{}", header.site_key, header.machine_key));
    page.line(0, &about);
    if let Some(state) = header.out_of_use {
        page.line(0, &format!("THIS MACHINE IS {}", state.to_uppercase()));
    }
    page.line(0, &format!("Printed {} · ouncewise {}", header.printed_on, header.version));
    page.gap();
    page.line(0, "Date ____________  From ______ to ______  Done by __________________");
    page.gap();
    for (number, step) in sheet.steps.iter().enumerate() {
        page.hanging(&format!("{}. ", number + 1), step);
    }
    page.gap();
    for measure in &sheet.measures {
        page.hanging("", &format!("{}: {}, {}", measure.key, measure.name, measure.read));
    }
    page.hanging("", &sheet.setting.about);
    for row in &sheet.rows {
        page.gap();
        page.line(0, &"-".repeat(width.min(72)));
        self::row(&mut page, &sheet.setting, row);
    }
    if sheet.rows.is_empty() {
        page.gap();
        page.line(0, "This machine has no lines in use.");
    }
    if !sheet.notes.is_empty() {
        page.gap();
        sheet.notes.iter().for_each(|note| page.hanging("* ", note));
    }
    page.gap();
    page.hanging("", &sheet.cautions.join(" "));
    page.gap();
    page.hanging("", &sheet.key_in);
    page.text
}

fn row(page: &mut Page, setting: &Setting, row: &Row) {
    let allergens = match row.allergens.is_empty() {
        true => String::new(),
        false => format!("   CONTAINS {}", row.allergens.join(", ").to_uppercase()),
    };
    page.hanging(&format!("{:<4}", row.line), &format!("{}{allergens}", row.name));
    page.item("catch", &format!("{}, for {}", row.draw, row.asks));
    if let Some(water) = &row.water {
        let leave = match &water.leave {
            Some((least, most)) => format!("right from {least} to {most} {}", water.unit),
            None => "this measure cannot show it".to_owned(),
        };
        page.item("water", &format!("first, for {}: {leave}", water.asks));
    }
    match &row.says {
        Says::Windows(window) => windows(page, setting, window),
        Says::Marks { mark, under, at, over } => {
            page.item("under", &format!("the {mark} mark: {under}"));
            page.item("at", &format!("the {mark} mark: {at}"));
            page.item("over", &format!("the {mark} mark: {over}"));
        }
        Says::Trouble { .. } => page.item("read", "see the note below"),
    }
    if !row.how_far.is_empty() {
        page.item("how far", &row.how_far);
    }
    if let Some(last) = &row.last {
        page.item("last", last);
    }
    let left = pen(&row.pen);
    let found = if row.water.is_some() { format!("water ______   {left}") } else { left.clone() };
    page.item("found", &format!("{found}   adjusted by __________"));
    page.item("left", &left);
    page.item("not done", "[ ] too busy   [ ] no product   [ ] other: ____________________");
}

fn windows(page: &mut Page, setting: &Setting, window: &Window) {
    let unit = window.unit;
    match &window.leave {
        Leave::Between { least, most } => {
            page.item("leave it", &format!("{} {unit}", between(least, most)));
        }
        Leave::Mean { catches, least, most } => {
            let range = between(least, most);
            let words = format!("{range} {unit}, the mean of {catches} catches");
            page.item("leave it", &words);
        }
        Leave::With { measure } => page.item("leave it", &format!("read it with {measure}")),
        Leave::Never => {
            page.item("leave it", "in between, though this measure does not show it; see below");
        }
    }
    let (low, high) = ("or under", "or over");
    let (little, much) = if window.fewer_is_more { (high, low) } else { (low, high) };
    let side = |at: &Option<String>, word: &str, way: &Way| match at {
        Some(at) => format!("{at} {unit} {word}: {}", said(way)),
        None => "not shown by this measure".to_owned(),
    };
    page.item("too little", &side(&window.too_little, little, &setting.more));
    page.item("too much", &side(&window.too_much, much, &setting.less));
}

fn between(least: &str, most: &str) -> String {
    if least == most { format!("at {least}") } else { format!("from {least} to {most}") }
}

fn said(way: &Way) -> String {
    format!("{} {}", way.verb, way.way).trim_end().to_owned()
}

fn pen(pen: &Pen) -> String {
    let amount = match &pen.amount {
        PenAmount::Number { unit } => format!("______ {unit}"),
        PenAmount::Given { amount } => format!("{amount} in"),
        PenAmount::Side => "under / at / over".to_owned(),
        PenAmount::Any => "____________".to_owned(),
    };
    let seconds = if pen.seconds { "   ______ s" } else { "" };
    format!("{amount}{seconds}")
}

/// Text that is being laid out.
struct Page {
    width: usize,
    text: String,
}

/// Where the words of a row's items begin.
const ITEM: usize = 16;

impl Page {
    fn gap(&mut self) {
        self.text.push('\n');
    }

    fn line(&mut self, indent: usize, words: &str) {
        self.wrapped(&" ".repeat(indent), indent, words);
    }

    /// A first line with its own beginning, and the rest under its words.
    fn hanging(&mut self, start: &str, words: &str) {
        self.wrapped(start, start.chars().count(), words);
    }

    fn item(&mut self, label: &str, words: &str) {
        let start = format!("    {label:<width$}", width = ITEM - 4);
        self.wrapped(&start, ITEM, words);
    }

    fn wrapped(&mut self, start: &str, indent: usize, words: &str) {
        let mut line = start.to_owned();
        let mut used = start.chars().count();
        let mut fresh = true;
        // Runs of blanks are part of the layout of what is filled in by pen; only the first of them is broken at.
        for word in words.split(' ') {
            let length = word.chars().count();
            if !fresh && used + 1 + length > self.width {
                self.text.push_str(line.trim_end());
                self.text.push('\n');
                line = " ".repeat(indent);
                (used, fresh) = (indent, true);
            }
            if !fresh {
                line.push(' ');
                used += 1;
            }
            line.push_str(word);
            used += length;
            fresh = fresh && word.is_empty();
        }
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }
}
