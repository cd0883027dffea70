//! The files that people write about an estate, read and written back.
//!
//! `estate.toml`, `families/*.toml`, `products.toml`, `measures.toml`,
//! `profiles/*.toml`, `sites.csv`, `machines.csv`, `lines.csv`; `docs/files.md` describes them.
//! Files are bytes by name: this crate opens none.

mod cross;
mod csv;
#[cfg(test)]
mod docs;
#[cfg(test)]
mod faults;
pub mod fuzz;
mod lines;
pub(crate) mod pieces;
mod read;
pub mod schema;
#[cfg(test)]
mod tests;
mod texts;
mod write;

use std::collections::BTreeMap;

pub use read::read;
pub use texts::{fields_of, file_of, texts_of};
pub use write::write;

/// Files by name, with `/` between folders.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The folder of the families, one file each.
pub const FAMILIES: &str = "families/";
/// The folder of our own profiles, one file each.
pub const PROFILES: &str = "profiles/";
/// The files that must be there.
pub const MUST: [&str; 6] = [GROUP, PRODUCTS, MEASURES, SITES, MACHINES, LINES];
pub(crate) const GROUP: &str = "estate.toml";
pub(crate) const PRODUCTS: &str = "products.toml";
pub(crate) const MEASURES: &str = "measures.toml";
pub(crate) const SITES: &str = "sites.csv";
pub(crate) const MACHINES: &str = "machines.csv";
pub(crate) const LINES: &str = "lines.csv";

/// Whether a file of this name belongs to the estate.
#[must_use]
pub fn is_known(name: &str) -> bool {
    MUST.contains(&name) || family_key(name).is_some() || profile_key(name).is_some()
}

/// The key text of a family's file: `families/screw-trim.toml` gives `screw-trim`.
pub(crate) fn family_key(name: &str) -> Option<&str> {
    name.strip_prefix(FAMILIES)?.strip_suffix(".toml")
}

/// The key text of a profile's file: `profiles/our-county.toml` gives `our-county`.
pub(crate) fn profile_key(name: &str) -> Option<&str> {
    name.strip_prefix(PROFILES)?.strip_suffix(".toml")
}
