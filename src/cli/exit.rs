//! How a run ends: the exit status, and the reason on standard error.

use super::surroundings::Surroundings;
use crate::problem::{Code, Problem, SourceText};
use crate::render::{View, clean, problems_text};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

/// A run that came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Done {
    /// Answered.
    Answered,
    /// What was looked at is not in order, and that has been said.
    Refused,
    /// Something needs doing now, and `--exit-code` asked to say so.
    Pressing,
}

/// A run that did not.
#[derive(Debug)]
pub(super) enum Failure {
    /// The command line asks for something that is not there.
    Usage(Box<Problem>),
    /// A reason in one line, with the next step.
    Told(Box<Problem>),
    /// Problems in files, with the texts they stand in.
    Files(Vec<Problem>, Vec<SourceText>),
    /// Writing or reading failed.
    Stream(io::Error),
}

impl Failure {
    /// Wrong usage.
    pub(super) fn usage(problem: Problem) -> Self {
        Self::Usage(Box::new(problem))
    }

    /// A reason.
    pub(super) fn told(problem: Problem) -> Self {
        Self::Told(Box::new(problem))
    }

    /// A file that cannot be read.
    pub(super) fn unread(file: &Path, error: &io::Error) -> Self {
        let message = format!("`{}` cannot be read: {error}", file.display());
        Self::told(Problem::error(Code::File, None, message).help("check the path"))
    }

    /// A file that cannot be written.
    pub(super) fn unwritten(file: &Path, error: &io::Error) -> Self {
        let message = format!("`{}` cannot be written: {error}", file.display());
        Self::told(Problem::error(Code::File, None, message).help("give another file"))
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Self::Stream(error)
    }
}

/// What clap has to say: help and version are answers, everything else is wrong usage.
pub(super) fn usage(told: &clap::Error) -> ExitCode {
    let printed = told.print();
    match (told.use_stderr(), printed) {
        (true, _) => ExitCode::from(2),
        (false, Ok(())) => ExitCode::SUCCESS,
        (false, Err(error)) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        (false, Err(_)) => ExitCode::from(1),
    }
}

/// The exit status; a reason goes to standard error.
pub(super) fn status(ended: Result<Done, Failure>, around: &Surroundings) -> ExitCode {
    let failure = match ended {
        Ok(Done::Answered) => return ExitCode::SUCCESS,
        Ok(Done::Pressing) => return ExitCode::from(10),
        Ok(Done::Refused) => return ExitCode::from(1),
        Err(failure) => failure,
    };
    let mut err = io::stderr().lock();
    // Nobody is left to tell if standard error is closed too.
    let _ = tell(&mut err, &failure, around.error_view);
    match failure {
        Failure::Usage(_) => ExitCode::from(2),
        // The reader has seen enough: no reason to complain.
        Failure::Stream(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Failure::Told(_) | Failure::Files(..) | Failure::Stream(_) => ExitCode::from(1),
    }
}

fn tell(err: &mut dyn Write, failure: &Failure, view: View) -> io::Result<()> {
    match failure {
        Failure::Usage(problem) | Failure::Told(problem) => {
            writeln!(err, "brumal: {}", clean(&problem.message))?;
            if let Some(help) = &problem.help {
                writeln!(err, "  {}", clean(help))?;
            }
            Ok(())
        }
        Failure::Files(problems, texts) => problems_text(err, problems, texts, view),
        Failure::Stream(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        Failure::Stream(error) => writeln!(err, "brumal: {error}"),
    }
}
