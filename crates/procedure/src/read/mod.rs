//! From texts to a family and its procedures, with every fault at once.

mod family;
mod fields;
mod place;
mod procedure;
pub(crate) mod tree;

pub use family::family;
pub use place::At;
pub use procedure::procedure;

use fields::Reader;
use toml::de::DeTable;
use tree::Table;

use crate::rule::Rule;

/// Tables nested deeper than this are nobody's procedure.
const DEEPEST: usize = 32;

/// The written tree, as far as it can be read.
fn tree(reader: &Reader<'_>, text: &str) -> Option<Table> {
    if tree::deepest(text) > DEEPEST {
        let message = format!("brackets are nested more than {DEEPEST} deep");
        reader.refuse(Rule::Unreadable, 0..0, message, "no table here is nested that deep");
        return None;
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let message = error.message().trim().to_owned();
        let hint = "text stands in quotes, and a table begins with its name in brackets";
        reader.refuse(Rule::Unreadable, error.span().unwrap_or(0..0), message, hint);
    }
    Some(Table::from_toml(table.get_ref()))
}
