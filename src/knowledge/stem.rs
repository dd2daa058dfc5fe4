//! Words of a text and their stems, for comparing what people say whatever the endings.

/// The words of a text: lower case, without apostrophes; `&` is "and".
pub(super) fn words(text: &str) -> Vec<String> {
    let plain: String = text
        .to_lowercase()
        .replace('&', " and ")
        .chars()
        .filter(|c| !matches!(c, '\'' | '’' | '‘'))
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect();
    plain.split_whitespace().map(str::to_owned).collect()
}

/// The stems of the words of a text, without endings.
#[must_use]
pub fn stems(text: &str) -> Vec<String> {
    words(text).iter().map(|word| stem(word)).collect()
}

/// A word without its endings: `draining`, `drains` and `drain` are one, `noted` is `note` and not `not`.
#[must_use]
pub fn stem(word: &str) -> String {
    if word.len() <= 3 || !word.is_ascii() {
        return word.to_owned();
    }
    // "Housings" has two endings: that of many, then that of doing.
    let one = without(word, &["ies", "es", "s"]).unwrap_or_else(|| word.to_owned());
    let mut stem = without(&one, &["ing", "ied", "ed"]).unwrap_or(one);
    let bytes = stem.as_bytes();
    // "dripp" is "drip", but "add" is whole.
    let doubled = matches!(bytes, [_, _, .., a, b] if a == b && !b"lsez".contains(b));
    if doubled || (stem.len() > 4 && stem.ends_with('e')) {
        stem.pop();
    }
    stem
}

/// A word without one of some endings, if it has one.
fn without(word: &str, endings: &[&str]) -> Option<String> {
    let hissing = |left: &str| ["ss", "x", "ch", "sh", "zz"].iter().any(|end| left.ends_with(end));
    endings.iter().find_map(|ending| {
        let left = word.strip_suffix(ending)?;
        let whole = match *ending {
            "s" => !left.ends_with(['s', 'u']),
            "es" => hissing(left),
            // "Bleed" and "need" are whole.
            "ed" => !left.ends_with('e'),
            _ => true,
        };
        (whole && left.len() >= 3).then(|| match *ending {
            "ied" | "ies" => format!("{left}y"),
            "ing" | "ed" if lost_e(left) => format!("{left}e"),
            _ => left.to_owned(),
        })
    })
}

/// Whether what is left of a word of four letters has lost its e: "not" of "noted", but not "tapp" of "tapped".
fn lost_e(left: &str) -> bool {
    let vowel = |letter: &u8| b"aeiou".contains(letter);
    match left.as_bytes() {
        [a, b, c] => !vowel(c) && !b"wxy".contains(c) && vowel(b) && (!vowel(a) || *c == b's'),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_of_one_word_have_one_stem() {
        for (a, b) in [
            ("draining", "drains"),
            ("shut", "shutting"),
            ("close", "closed"),
            ("close", "closing"),
            ("pumps", "pump"),
            ("valve", "valves"),
            ("switched", "switch"),
            ("relief", "relief"),
            ("adding", "add"),
            ("hosing", "hoses"),
            ("taped", "tape"),
            ("easing", "ease"),
            ("housings", "housing"),
            ("bleeding", "bleed"),
            ("bleeds", "bleed"),
            ("flushes", "flush"),
            ("freezes", "freezing"),
        ] {
            assert_eq!(stem(a), stem(b), "{a} {b}");
        }
        for (a, b) in
            [("start", "stop"), ("note", "not"), ("noted", "not"), ("tape", "tap"), ("tube", "tub")]
        {
            assert_ne!(stem(a), stem(b), "{a} {b}");
        }
    }
}
