//! Lines no longer than a table of hours has them: a file of one endless line is refused before it fills the memory.

use std::io::{self, Read};

/// Longest line, bytes.
const LONGEST: usize = 64 << 10;

/// A reader that fails at a line that is too long.
#[derive(Debug)]
pub(super) struct ShortLines<R> {
    inner: R,
    since: usize,
    line: usize,
}

impl<R: Read> ShortLines<R> {
    pub(super) const fn new(inner: R) -> Self {
        Self { inner, since: 0, line: 1 }
    }
}

impl<R: Read> Read for ShortLines<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(into)?;
        for byte in into.iter().take(count) {
            if *byte == b'\n' {
                (self.since, self.line) = (0, self.line + 1);
                continue;
            }
            self.since += 1;
            if self.since > LONGEST {
                let line = self.line;
                let why = format!("line {line} is longer than 64 kB, so this is no table of hours");
                return Err(io::Error::new(io::ErrorKind::InvalidData, why));
            }
        }
        Ok(count)
    }
}
