//! `brumal stream`: JSON Lines in, JSON Lines out, in the same order.

mod object;

pub(super) use object::written;

use super::args::Common;
use super::exit::{Done, Failure};
use super::lines::{Line, Lines};
use super::surroundings::{Surroundings, base};
use crate::session::Base;
use clap::Args;
use object::answer_line;
use std::io::{self, Write};

/// Answer JSON Lines from standard input, one answer a line, for many pools
#[derive(Debug, Args)]
#[command(after_help = "\
Each line is an object {\"id\": …, \"text\": \"…\", \"facts\": {\"water.ph\": 7.2}, \"at\": \"…\", \"pool\": \"…\"}
with text, facts or both. Several lines of text are the turns of one conversation; the answer is the
last one. A line that cannot be read yields {\"id\": …, \"error\": \"…\", \"line\": N}. Nothing is kept from
one object to the next.

Example:
  brumal stream --at 2026-01-14T06:40:00-05:00 < round.jsonl > answers.jsonl")]
pub(super) struct StreamArgs {
    /// How many answers to work on at a time
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=256))]
    jobs: u16,
}

/// What every object of the stream shares.
struct Stream<'a> {
    base: &'a Base,
    common: &'a Common,
    at: crate::clock::Moment,
}

/// Lines handed out to one worker at a time.
const SHARE: usize = 64;

/// Answers line by line until the input ends.
pub(super) fn run(
    args: &StreamArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let stream = Stream { base: &base, common, at: around.at };
    // A wrong `--fact` is wrong for every object: say so once, before the first.
    super::surroundings::session(&base, None, common)?;
    let mut lines = Lines::new(io::stdin().lock());
    let workers = usize::from(args.jobs);
    let mut number = 0;
    loop {
        let batch = batch(&mut lines, workers, &mut number)?;
        if batch.is_empty() {
            return Ok(Done::Answered);
        }
        write_answers(&stream, &batch, workers, &mut around.out)?;
        // Somebody may wait for this answer before sending the next line.
        if lines.is_dry() {
            around.out.flush()?;
        }
    }
}

/// The next lines with their numbers: as many as the workers can take, or as have arrived.
fn batch<R: io::Read>(
    lines: &mut Lines<R>,
    workers: usize,
    number: &mut usize,
) -> io::Result<Vec<(usize, Line)>> {
    let wanted = if workers == 1 { 1 } else { workers * SHARE };
    let mut batch = Vec::with_capacity(wanted);
    while batch.len() < wanted && (batch.is_empty() || !lines.is_dry()) {
        let Some(line) = lines.next()? else { break };
        *number += 1;
        if !matches!(&line, Line::Text(text) if text.trim().is_empty()) {
            batch.push((*number, line));
        }
    }
    Ok(batch)
}

fn write_answers(
    stream: &Stream<'_>,
    batch: &[(usize, Line)],
    workers: usize,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    if workers == 1 {
        for (number, line) in batch {
            answer_line(stream, *number, line, out)?;
        }
        return Ok(());
    }
    let answered: Vec<io::Result<Vec<u8>>> = std::thread::scope(|scope| {
        let work = |share: &'_ [(usize, Line)]| -> io::Result<Vec<u8>> {
            let mut out = Vec::new();
            for (number, line) in share {
                answer_line(stream, *number, line, &mut out)?;
            }
            Ok(out)
        };
        let shares = batch.chunks(batch.len().div_ceil(workers));
        let hands: Vec<_> = shares.map(|share| scope.spawn(move || work(share))).collect();
        let lost = |_| Err(io::Error::other("a worker did not come back"));
        hands.into_iter().map(|hand| hand.join().unwrap_or_else(lost)).collect()
    });
    for bytes in answered {
        out.write_all(&bytes?)?;
    }
    Ok(())
}
