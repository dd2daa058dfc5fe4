//! Cuts the text of a condition into words, numbers with units, and signs.

use crate::problem::Span;
use crate::units::{UNITS, UnitId, find_unit};

/// One token.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Token {
    /// A fact's name, a value or a keyword.
    Word(String),
    /// A number and its unit.
    Number(f64, UnitId),
    /// `<= >= != < > = + - * / ( ) ,`
    Sign(&'static str),
}

const SIGNS: [&str; 13] = ["<=", ">=", "!=", "<", ">", "=", "+", "-", "*", "/", "(", ")", ","];

/// All tokens with their places.
///
/// # Errors
/// The place and name of the first sign that means nothing.
pub(super) fn tokens(text: &str) -> Result<Vec<(Token, Span)>, (String, Span)> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let Some(first) = rest.chars().next() else { break };
        if first.is_whitespace() {
            at += first.len_utf8();
            continue;
        }
        let (token, length) = if first.is_ascii_digit() || (first == '.' && digit_follows(rest)) {
            number(rest)
                .ok_or_else(|| ("a number that cannot be read".to_owned(), Span::new(at, at + 1)))?
        } else if first.is_ascii_lowercase() {
            word(rest)
        } else if let Some(sign) = SIGNS.iter().find(|sign| rest.starts_with(**sign)) {
            (Token::Sign(sign), sign.len())
        } else {
            return Err((
                format!("`{first}` means nothing here"),
                Span::new(at, at + first.len_utf8()),
            ));
        };
        found.push((token, Span::new(at, at + length)));
        at += length;
    }
    Ok(found)
}

fn digit_follows(rest: &str) -> bool {
    rest.chars().nth(1).is_some_and(|c| c.is_ascii_digit())
}

fn word(rest: &str) -> (Token, usize) {
    let mut end = 0;
    let mut chars = rest.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next = chars.peek().map(|(_, c)| *c);
        let joins = matches!(c, '.' | '-') && next.is_some_and(|n| n.is_ascii_lowercase());
        if !(c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_' || joins) {
            break;
        }
        end = at + c.len_utf8();
    }
    (Token::Word(rest.get(..end).unwrap_or("").to_owned()), end)
}

fn number(rest: &str) -> Option<(Token, usize)> {
    let digits =
        rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(rest.len());
    let text = rest.get(..digits)?.trim_end_matches([',', '.']);
    let value: f64 = text.replace(',', "").parse().ok()?;
    let after = rest.get(text.len()..)?;
    let space = after.len() - after.trim_start().len();
    let tail = after.get(space..)?;
    let longest = UNITS
        .iter()
        .flat_map(|unit| unit.spellings.iter().chain([&unit.name]))
        .filter(|name| !name.is_empty() && begins_with_unit(tail, name))
        .max_by_key(|name| name.len());
    match longest {
        Some(name) => {
            let unit = find_unit(name)?;
            Some((Token::Number(value, unit), text.len() + space + name.len()))
        }
        None => Some((Token::Number(value, find_unit("")?), text.len())),
    }
}

/// Whether a text begins with a unit's name that is not the beginning of a longer word.
fn begins_with_unit(text: &str, name: &str) -> bool {
    text.strip_prefix(name).is_some_and(|after| {
        let next = after.chars().next();
        !next.is_some_and(|c| c.is_alphanumeric() || c == '/')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_numbers_and_signs_are_told_apart() {
        let all: Vec<Token> =
            tokens("water.ph - 7.4 > 0.2").unwrap().into_iter().map(|t| t.0).collect();
        let plain = find_unit("").unwrap();
        assert_eq!(
            all,
            vec![
                Token::Word("water.ph".into()),
                Token::Sign("-"),
                Token::Number(7.4, plain),
                Token::Sign(">"),
                Token::Number(0.2, plain)
            ]
        );
        let all = tokens("water.level is below-skimmer").unwrap();
        assert_eq!(all.last().unwrap().0, Token::Word("below-skimmer".into()));
        let all = tokens("filter.pressure >= 8 psi and air.temperature<32 °F").unwrap();
        assert!(all.contains(&(Token::Number(32.0, find_unit("°F").unwrap()), Span::new(45, 51))));
        assert!(tokens("air.temperature < 32 & x").is_err());
    }
}
