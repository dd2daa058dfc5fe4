//! The message of a command: the words of the command line, or standard input.

use super::exit::Failure;
use crate::problem::{Code, Problem};
use std::io::Read;

/// A message longer than this is no message.
const LONGEST: u64 = 1 << 20;

/// The words joined by spaces; a single `-` stands for standard input.
pub(super) fn message(words: &[String]) -> Result<String, Failure> {
    match words {
        [dash] if dash == "-" => standard_input(),
        words => Ok(words.join(" ")),
    }
}

fn standard_input() -> Result<String, Failure> {
    let mut bytes = Vec::new();
    std::io::stdin().lock().take(LONGEST + 1).read_to_end(&mut bytes)?;
    let told = |message: String, help: &str| {
        Failure::told(Problem::error(Code::Value, None, message).help(help))
    };
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > LONGEST {
        return Err(told("the message is longer than 1 MiB".to_owned(), "send it in pieces"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        told(format!("the message is not UTF-8 text (byte {at})"), "save it as UTF-8 and try again")
    })
}
