//! How a phrase of the knowledge falls into words. The reader of messages splits its text the same way.

/// The words of a phrase, in the form in which messages are compared: lower case, without
/// apostrophes (but those of "we'll", "we're", "we'd"); `'s` is a word of its own, a hyphen parts words, other signs stand alone.
#[must_use]
pub fn split_phrase(phrase: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut chars = phrase.chars().flat_map(char::to_lowercase).peekable();
    while let Some(c) = chars.next() {
        match c {
            '\'' | '’' if word.is_empty() && !ends_in_s(&chars) => words.push("'".to_owned()),
            '\'' | '’' => {
                if ends_in_s(&chars) {
                    chars.next();
                    flush(&mut word, &mut words);
                    words.push("'s".to_owned());
                } else if is_verb(&chars) {
                    // "We'll" is not "well", nor "she'll" a shell.
                    word.push('\'');
                }
            }
            '²' | '³' => word.push(if c == '²' { '2' } else { '3' }),
            '.' if word.is_empty() || !chars.peek().is_some_and(|c| c.is_alphanumeric()) => {
                flush(&mut word, &mut words);
            }
            c if c.is_alphanumeric() => {
                // "24h" is a number and a word; "h2o" is one word.
                let number = word.chars().all(|w| w.is_ascii_digit());
                if !word.is_empty() && number && c.is_alphabetic() {
                    flush(&mut word, &mut words);
                }
                word.push(c);
            }
            '.' | '-' | '_' => flush(&mut word, &mut words),
            c if c.is_whitespace() => flush(&mut word, &mut words),
            c => {
                flush(&mut word, &mut words);
                words.push(c.to_string());
            }
        }
    }
    flush(&mut word, &mut words);
    words
}

/// Whether an apostrophe is that of "'s".
fn ends_in_s(after: &(impl Iterator<Item = char> + Clone)) -> bool {
    let mut after = after.clone();
    after.next() == Some('s') && !after.next().is_some_and(char::is_alphanumeric)
}

/// Whether an apostrophe is that of "'ll", "'re" or "'d".
fn is_verb(after: &(impl Iterator<Item = char> + Clone)) -> bool {
    let rest: String = after.clone().take_while(|c| c.is_alphanumeric()).collect();
    matches!(rest.as_str(), "ll" | "re" | "d")
}

fn flush(word: &mut String, words: &mut Vec<String>) {
    if !word.is_empty() {
        words.push(std::mem::take(word));
    }
}

/// Words in lower case without signs; an apostrophe is left out, so that "can't" is no "can". For whole messages that are
/// held against phrases; what is read piece by piece is split as [`split_phrase`] does.
#[must_use]
pub fn plain_words(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace(['\'', '\u{2019}'], "");
    let words = plain.split(|c: char| !c.is_alphanumeric());
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// Whether a typed word is a word that is looked for: the same, or one slip away in a longer one.
pub fn is_nearly(wanted: &str, typed: &str) -> bool {
    wanted == typed
        || (wanted.len() >= 5
            && typed.len().abs_diff(wanted.len()) <= 1
            && wanted.chars().next() == typed.chars().next()
            && strsim::osa_distance(wanted, typed) <= 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_fall_into_words() {
        for (phrase, words) in [
            ("in-ground", "in ground"),
            ("isn't", "isnt"),
            ("pump's off", "pump 's off"),
            ("'s", "'s"),
            ("we'll", "we'll"),
            ("they're calling", "they're calling"),
            ("h2o", "h2o"),
            ("km/h", "km / h"),
            ("fl. oz", "fl oz"),
            ("24/7", "24 / 7"),
            ("m³", "m3"),
            ("°C", "° c"),
        ] {
            assert_eq!(split_phrase(phrase).join(" "), words, "{phrase}");
        }
    }
}
