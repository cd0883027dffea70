//! Tests of mappings: single sheets here, 150 messy sites in `messy`.

mod messy;
mod sheets;
