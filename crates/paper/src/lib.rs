//! What is printed: the machine sheet, and the card of a procedure with the form of its observed sign-off.
//!
//! A [`sheet::MachineSheet`] is plain data, computed once from the estate. It
//! is then shown as text for a terminal or as one HTML document that a browser
//! opens from a file and prints: no script, nothing fetched, black on white. With
//! the feature `pdf` it is typeset as a PDF as well, with fonts of its own.
//!
//! # What this crate does not do
//!
//! It reads no file and no clock, and it decides nothing: windows and acts are
//! those of `measure`, so that what the sheet says at the machine is what the
//! program says when the sheet is keyed in.

pub mod card;
pub mod sheet;
#[cfg(feature = "pdf")]
mod typeset;

#[cfg(feature = "pdf")]
pub use typeset::PdfError;
