//! The `ouncewise` command line.
fn main() {}
