//! From texts to a family and its procedures, with every fault at once.

mod family;
mod fields;
mod place;
mod procedure;

pub use family::family;
pub use place::At;
pub use procedure::procedure;

use fields::Reader;
use ouncewise_estate::written::{self, Table};

use crate::rule::Rule;

/// The written tree, as far as it can be read.
fn tree(reader: &Reader<'_>, text: &str) -> Option<Table> {
    let (table, broken) = written::toml(text);
    for broken in broken {
        reader.refuse(Rule::Unreadable, broken.span, broken.message, broken.hint);
    }
    table
}
