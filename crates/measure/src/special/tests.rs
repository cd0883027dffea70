//! Tables and properties.
