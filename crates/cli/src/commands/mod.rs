//! One file a command: each reads its arguments, calls the crates below, and prints.

pub mod backtest;
pub mod backup;
pub mod calc;
pub mod card;
pub mod check;
pub mod demo;
pub mod doubts;
pub mod export;
pub mod fault;
pub mod forget;
pub mod learn;
pub mod ledger;
pub mod line;
pub mod load;
pub mod new;
pub mod parts;
pub mod publish;
pub mod quiz;
pub mod rebuild;
pub mod restore;
pub mod rounds;
pub mod schema;
pub mod serve;
pub mod sheet;
pub mod simulate;
pub mod skip;
pub mod strength;
pub mod verify;
pub mod week;

mod ask;
mod causes;
mod faults;
mod folder;
mod opened;
mod procedures;
mod profiles;
