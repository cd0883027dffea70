//! Tests of mappings.
