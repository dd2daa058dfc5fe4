//! JSON strings without raw control or direction characters.

use super::super::clean::shows;
use serde_json::ser::Formatter;
use std::io::{self, Write};

/// Compact JSON that writes unshowable characters as `\uXXXX`.
pub(super) struct Escaping;

impl Formatter for Escaping {
    fn write_string_fragment<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        fragment: &str,
    ) -> io::Result<()> {
        // Most text is plain ASCII: nothing to look at character by character. Looked at to its end, many bytes at a
        // time, rather than one by one to the first that is not.
        if fragment.bytes().fold(true, |plain, byte| plain & (b' '..=b'~').contains(&byte)) {
            return writer.write_all(fragment.as_bytes());
        }
        let mut rest = fragment;
        while let Some(at) = rest.find(|c| !shows(c)) {
            let (before, from) = rest.split_at_checked(at).unwrap_or((rest, ""));
            writer.write_all(before.as_bytes())?;
            let mut chars = from.chars();
            if let Some(hidden) = chars.next() {
                for unit in hidden.encode_utf16(&mut [0; 2]) {
                    write!(writer, "\\u{unit:04x}")?;
                }
            }
            rest = chars.as_str();
        }
        writer.write_all(rest.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn escaped_strings_read_back_the_same() {
        let text = "pH\u{202e} 7\u{7f}.2 \u{9b}31m \u{e0041}\"\\\n°";
        let mut out = Vec::new();
        super::super::line(&mut out, &text).unwrap();
        let written = String::from_utf8(out).unwrap();
        assert!(written.trim_end().chars().all(super::shows), "{written}");
        assert_eq!(serde_json::from_str::<String>(&written).unwrap(), text);
    }
}
