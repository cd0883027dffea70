//! Group, owners, sites, machines, families, lines, products and measures:
//! what they are, the files that people write about them, and every fault in
//! those files at its place.
//!
//! An [`Estate`] is a value. It is read from files ([`files`]), compared with
//! another one ([`plan`]), turned into records, and rebuilt from records
//! ([`fold`]). The three agree: applying the plan's records to what is gives
//! what was wanted.
//!
//! # What this crate does not do
//!
//! No I/O: files are bytes by name. It computes no portion and no verdict; it
//! says what a line is set up as ([`Estate::setup`]), and `measure` does the
//! rest.

pub mod address;
mod adjuster;
pub mod estate;
pub mod family;
pub mod fault;
pub mod fields;
pub mod files;
pub mod fold;
pub mod group;
pub mod key;
pub mod life;
pub mod line;
pub mod machine;
pub mod measure_kind;
pub mod misread;
pub mod money;
pub mod owner;
pub mod percent;
pub mod piece;
pub mod plan;
pub mod product;
pub mod profile;
pub mod setup;
pub mod sheets;
pub mod site;
pub mod starter;
#[cfg(test)]
mod testing;
pub mod timing;
pub mod tubing;
pub mod turns;
pub mod written;
pub mod zone;

pub use address::Address;
pub use estate::Estate;
pub use family::{Family, Part, Touches};
pub use fault::{Fault, Place, Severity};
pub use group::{Group, Units};
pub use key::Key;
pub use life::Life;
pub use line::{Line, Water};
pub use machine::{Machine, State};
pub use measure_kind::{MarksRead, MeasureKind, Reads};
pub use misread::Misread;
pub use money::{Cost, Currency, Per};
pub use owner::Owner;
pub use percent::Percent;
pub use piece::Piece;
pub use product::{Density, Product};
pub use profile::OwnProfile;
pub use setup::EstateError;
pub use site::Site;
pub use timing::Timing;
pub use tubing::Tubing;
pub use turns::Turns;
pub use zone::Zone;
