//! Lines of standard input: bounded, and told apart when they are not text.

use std::io::{self, BufRead, BufReader, Read};

/// A longer line is refused, so that memory stays bounded whatever is sent.
const LONGEST: usize = 1 << 20;

/// One line, without its end.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Line {
    /// Text.
    Text(String),
    /// Not text, or too much of it; says why.
    Bad(String),
}

/// Reads lines.
#[derive(Debug)]
pub(super) struct Lines<R> {
    from: BufReader<R>,
}

impl<R: Read> Lines<R> {
    pub(super) fn new(from: R) -> Self {
        Self { from: BufReader::with_capacity(1 << 16, from) }
    }

    /// Whether the next line would have to be waited for.
    pub(super) fn is_dry(&self) -> bool {
        !self.from.buffer().contains(&b'\n')
    }

    /// The next line; `None` at the end. A last line need not end in a line feed.
    pub(super) fn next(&mut self) -> io::Result<Option<Line>> {
        let mut bytes = Vec::new();
        let limit = u64::try_from(LONGEST + 1).unwrap_or(u64::MAX);
        if self.from.by_ref().take(limit).read_until(b'\n', &mut bytes)? == 0 {
            return Ok(None);
        }
        if bytes.len() > LONGEST && !bytes.ends_with(b"\n") {
            self.from.skip_until(b'\n')?;
            return Ok(Some(Line::Bad("the line is longer than 1 MiB".to_owned())));
        }
        if bytes.ends_with(b"\n") {
            bytes.pop();
        }
        if bytes.ends_with(b"\r") {
            bytes.pop();
        }
        Ok(Some(match String::from_utf8(bytes) {
            Ok(text) => Line::Text(text),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                Line::Bad(format!("the line is not UTF-8 text (byte {at})"))
            }
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(bytes: &[u8]) -> Vec<Line> {
        let mut lines = Lines::new(bytes);
        std::iter::from_fn(|| lines.next().unwrap()).collect()
    }

    #[test]
    fn ends_of_lines_and_the_last_one_without() {
        let text = |text: &str| Line::Text(text.to_owned());
        assert_eq!(all(b"a\r\nb\n\nc"), [text("a"), text("b"), text(""), text("c")]);
        assert_eq!(all(b""), []);
    }

    #[test]
    fn bad_lines_do_not_end_the_stream() {
        let mut bytes = vec![b'x'; LONGEST + 5];
        bytes.extend_from_slice(b"\npH \xff\nok\n");
        let [Line::Bad(long), Line::Bad(garbled), Line::Text(ok)] = &all(&bytes)[..] else {
            panic!("three lines")
        };
        assert_eq!(long, "the line is longer than 1 MiB");
        assert_eq!(garbled, "the line is not UTF-8 text (byte 3)");
        assert_eq!(ok, "ok");
    }
}
