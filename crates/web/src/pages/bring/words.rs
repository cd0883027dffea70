//! What a column can hold, in plain words; and what does not go in, as CSV.

use ouncewise_estate::sheets::mapping::Means;
use ouncewise_report::RowsReport;

/// Every meaning with its words, in the order in which people look for them.
pub const MEANS: [(Means, &str); 23] = [
    (Means::Nothing, "not read"),
    (Means::Site, "site"),
    (Means::SiteNumber, "the group’s number of the site"),
    (Means::Machine, "machine"),
    (Means::Serial, "serial number of the machine"),
    (Means::Line, "line"),
    (Means::Product, "product or flavour"),
    (Means::Date, "date, perhaps with a time"),
    (Means::Time, "time of day"),
    (Means::Amount, "amount caught"),
    (Means::Unit, "unit of the amount"),
    (Means::Seconds, "seconds it ran"),
    (Means::Doses, "doses it was"),
    (Means::Water, "water of a ratio line"),
    (Means::Measure, "what it was read with"),
    (Means::State, "as found or as left"),
    (Means::By, "who"),
    (Means::Adjusted, "what was adjusted"),
    (Means::Done, "a tick or an OK"),
    (Means::Temperature, "temperature of the product"),
    (Means::Target, "what the recipe asks"),
    (Means::Tolerance, "how far off still serves"),
    (Means::Note, "note"),
];

/// A meaning as a form and a mapping file spell it.
pub fn key(means: Means) -> String {
    match serde_json::to_value(means) {
        Ok(serde_json::Value::String(key)) => key,
        _ => String::new(),
    }
}

/// Every row that does not go in, with its reason. Cells that a spreadsheet program would take for a formula begin with
/// an apostrophe.
pub fn csv(report: &RowsReport) -> String {
    let mut text = String::from("row,column,code,reason,hint\r\n");
    for refusal in report.refusals.iter().chain(&report.listings) {
        let cells = [
            refusal.row.to_string(),
            refusal.column.clone().unwrap_or_default(),
            refusal.code.clone(),
            refusal.reason.clone(),
            refusal.hint.clone().unwrap_or_default(),
        ];
        let cells: Vec<String> = cells.iter().map(|cell| quoted(cell)).collect();
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    }
    text
}

fn quoted(cell: &str) -> String {
    let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\0']);
    let cell = if formula { format!("'{cell}") } else { cell.to_owned() };
    if cell.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}
