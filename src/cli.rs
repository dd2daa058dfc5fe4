//! The command line: arguments, environment, clock, terminal. The only room that touches them.
//!
//! Each command is one file that holds its arguments and runs it. Data goes to standard output,
//! everything else to standard error; [`run`] turns what happened into the exit status.

mod args;
mod ask;
mod chat;
mod demo;
mod dose;
mod drill;
mod due;
mod exit;
mod forecast;
mod lines;
mod log;
mod logbook;
mod message;
mod night;
mod notes;
mod pool;
mod read;
mod report;
mod round;
mod rules;
mod season;
mod setup;
mod stream;
mod surroundings;

use args::{Brumal, Command};
use clap::Parser;
use exit::{Done, Failure};
use std::io::Write;
use std::process::ExitCode;
use surroundings::Surroundings;

/// Runs the program with the arguments of the process.
#[must_use]
pub fn run() -> ExitCode {
    let args = match Brumal::try_parse() {
        Ok(args) => args,
        Err(told) => return exit::usage(&told),
    };
    let mut around = Surroundings::look(&args.common);
    let done = dispatch(args, &mut around);
    // What was written may still sit in a buffer, and the reader may have left.
    let flushed = around.out.flush().map_err(Failure::from);
    exit::status(done.and_then(|done| flushed.map(|()| done)), &around)
}

fn dispatch(args: Brumal, around: &mut Surroundings) -> Result<Done, Failure> {
    match args.command {
        None => chat::run(&args.chat, &args.common, around),
        Some(Command::Ask(ask)) => ask::run(&ask, &args.common, around),
        Some(Command::Read(read)) => read::run(&read, &args.common, around),
        Some(Command::Stream(stream)) => stream::run(&stream, &args.common, around),
        Some(Command::Night(night)) => night::run(&night, &args.common, around),
        Some(Command::Season(season)) => season::run(&season, &args.common, around),
        Some(Command::Dose(dose)) => dose::run(&dose, &args.common, around),
        Some(Command::Rules(rules)) => rules::run(&rules, &args.common, around),
        Some(Command::Drill(drill)) => drill::run(&drill, &args.common, around),
        Some(Command::Demo(demo)) => demo::run(&demo, &args.common, around),
        Some(Command::Report(report)) => report::run(&report, &args.common, around),
        Some(Command::Notes(notes)) => notes::run(&notes, &args.common, around),
        Some(Command::Due(due)) => due::run(&due, &args.common, around),
        Some(Command::Pool(pool)) => pool::run(&pool, &args.common, around),
        Some(Command::Log(log)) => log::run(&log, &args.common, around),
        Some(Command::Setup(setup)) => setup::run(&setup, around),
    }
}
