//! The `ouncewise` command line: parse, call, print (for people or as JSON), exit code.

mod args;
mod commands;
mod output;

use std::process::ExitCode;

use clap::Parser;

use crate::args::{Arguments, Command};
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let output = Output::new(&arguments.global);
    match run(&arguments.command, &output) {
        Ok(exit) => exit.into(),
        Err(failure) => {
            output.failure(&failure);
            failure.exit.into()
        }
    }
}

fn run(command: &Command, output: &Output) -> Result<Exit, Failure> {
    match command {
        Command::Demo(args) => commands::demo::run(args, output),
        Command::New(args) => commands::new::run(args, output),
        Command::Check(args) => commands::check::run(args, output),
        Command::Card(args) => commands::card::run(args, output),
        Command::Publish(args) => commands::publish::run(args, output),
        Command::Quiz(args) => commands::quiz::run(args, output),
        Command::SignOff(args) => commands::card::sign_off(args, output),
        Command::Kit(args) => commands::kit::run(args, output),
        Command::Skip(args) => commands::skip::run(args, output),
        Command::Load(args) => commands::load::run(args, output),
        Command::Export(args) => commands::export::run(args, output),
        Command::Week(args) => commands::week::run(args, output),
        Command::Line(args) => commands::line::run(args, output),
        Command::Fault(args) => commands::fault::run(args, output),
        Command::Backtest(args) => commands::backtest::run(args, output),
        Command::Learn(args) => commands::learn::run(args, output),
        Command::Rounds(args) => commands::rounds::run(args, output),
        Command::Serve(args) => commands::serve::run(args, output),
        Command::Parts(args) => commands::parts::run(args, output),
        Command::Doubts(args) => commands::doubts::run(args, output),
        Command::Sheet(args) => commands::sheet::run(args, output),
        Command::Calc(args) => commands::calc::run(args, output),
        Command::Simulate(args) => commands::simulate::run(args, output),
        Command::Ledger(args) => commands::ledger::run(args, output),
        Command::Rebuild(args) => commands::rebuild::run(args, output),
        Command::Verify(args) => commands::verify::run(args, output),
        Command::Backup(args) => commands::backup::run(args, output),
        Command::Restore(args) => commands::restore::run(args, output),
        Command::Forget(args) => commands::forget::run(args, output),
        Command::Schema(args) => commands::schema::run(args, output),
    }
}
