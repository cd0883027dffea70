//! Tests of the files.
