//! The command line as people and programs meet it: the real binary, run from outside.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod calc;
mod check;
mod codes;
mod demo;
mod desk;
mod doors;
mod doubts;
mod flush;
mod help;
mod journey;
mod json;
mod learn;
mod least;
mod parts;
mod plain;
mod publish;
mod schema;
mod serve;
mod simulate;
mod strength;
mod xlsx;
