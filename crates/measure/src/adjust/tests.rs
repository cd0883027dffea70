//! Golden sentences.
