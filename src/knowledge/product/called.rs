//! Whether a name is what a product is called.

/// Whether two names are one but for case and `-` for a blank. Builds no text: it is asked of every word of every
/// message.
pub(super) fn same_words(name: &str, words: &str) -> bool {
    if name.is_ascii() && words.is_ascii() {
        let byte = |b: u8| if b == b'-' { b' ' } else { b.to_ascii_lowercase() };
        return name.len() == words.len()
            && name.bytes().zip(words.bytes()).all(|(a, b)| byte(a) == byte(b));
    }
    letters(name).eq(letters(words))
}

fn letters(text: &str) -> impl Iterator<Item = char> + '_ {
    let chars = text.chars().map(|c| if c == '-' { ' ' } else { c });
    chars.flat_map(char::to_lowercase)
}
