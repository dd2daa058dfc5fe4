//! Control characters never pass: neither escape sequences, nor marks that turn the reading direction.

use std::borrow::Cow;

/// Whether a character may be shown. Line feeds may; every other control, every mark that reorders or
/// hides text, and the "tag" characters may not.
pub(super) fn shows(c: char) -> bool {
    match c {
        '\n' => true,
        c if c.is_control() => false,
        // Soft hyphen, Arabic letter mark, zero width and direction marks, line and paragraph
        // separators, embeddings, overrides, isolates, invisible operators, byte order mark.
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{feff}' => false,
        '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' => false,
        '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}' => false,
        _ => true,
    }
}

/// The text without what may not be shown; a tab or a carriage return becomes a space.
#[must_use]
pub fn clean(text: &str) -> Cow<'_, str> {
    if text.chars().all(shows) {
        return Cow::Borrowed(text);
    }
    let shown = |c: char| match c {
        '\t' | '\r' | '\u{2028}' | '\u{2029}' => Some(' '),
        c if shows(c) => Some(c),
        _ => None,
    };
    Cow::Owned(text.chars().filter_map(shown).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escape_sequences_lose_their_power() {
        assert_eq!(clean("\u{1b}[2J\u{1b}]0;x\u{7}pH 7.2"), "[2J]0;xpH 7.2");
        assert_eq!(clean("a\tb\r\nc"), "a b \nc");
        assert_eq!(clean("\u{9b}31m red"), "31m red");
    }

    #[test]
    fn the_reading_direction_cannot_be_turned() {
        assert_eq!(clean("pH \u{202e}2.7\u{202c}"), "pH 2.7");
        assert_eq!(clean("\u{2066}a\u{2069}\u{200f}\u{feff}"), "a");
    }

    #[test]
    fn other_scripts_and_signs_stay() {
        let text = "−7 °C · ½ in · Brücke · 水 · é";
        assert_eq!(clean(text), text);
    }
}
