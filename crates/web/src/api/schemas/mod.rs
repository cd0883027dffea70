//! Schemas of what other crates define without one: records, machine sheets, mappings of sheets. Each is held against
//! the type itself by a test.

mod mapping;
mod record;
mod sheet;
#[cfg(test)]
mod tests;

pub use mapping::MappingHere;
pub use record::{AnswerHere, DraftHere, EntryHere, IdHere, KeyHere, ScopeHere, UuidHere};
pub use sheet::SheetHere;
