//! Which pool is meant: the whole name, a part of it, or one with a slip of the finger.

use super::record::PoolRecord;

/// Whether a word may mean a pool with such a name.
type Alike = dyn Fn(&[String], &String) -> bool;

/// What a name may mean.
#[derive(Debug, Clone, PartialEq)]
pub enum Found<'a> {
    /// One pool.
    One(&'a PoolRecord),
    /// Several: somebody has to say which.
    Several(Vec<&'a PoolRecord>),
    /// None; the nearest name, if one is near.
    None(Option<&'a PoolRecord>),
}

/// The words of a name, in lower case, without apostrophes and the accents of Latin letters, as people type them.
#[must_use]
pub fn parts_of(name: &str) -> Vec<String> {
    let lower: String = name
        .to_lowercase()
        .chars()
        .filter(|c| !matches!(c, '\'' | '\u{2019}' | '\u{300}'..='\u{36f}'))
        .map(plain)
        .collect();
    let words = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_owned).collect()
}

/// A Latin letter without its accent.
const fn plain(letter: char) -> char {
    match letter {
        'à'..='å' => 'a',
        'ç' => 'c',
        'è'..='ë' => 'e',
        'ì'..='ï' => 'i',
        'ñ' => 'n',
        'ò'..='ö' | 'ø' => 'o',
        'ù'..='ü' => 'u',
        'ý' | 'ÿ' => 'y',
        other => other,
    }
}

/// Finds a pool by its id, its name, words that stand in its name, or words nearly so; the sharpest of these that
/// fits any pool decides.
#[must_use]
pub fn find_pool<'a>(pools: &'a [PoolRecord], wanted: &str) -> Found<'a> {
    let words = parts_of(wanted);
    let exact = |pool: &&PoolRecord| pool.id == wanted || parts_of(&pool.name) == words;
    if let Some(pool) = pools.iter().find(exact) {
        return Found::One(pool);
    }
    if words.is_empty() {
        return Found::None(None);
    }
    let begins = |name: &[String], word: &String| name.iter().any(|part| part.starts_with(word));
    let stands = |name: &[String], word: &String| name.contains(word);
    let near = |name: &[String], word: &String| name.iter().any(|part| is_near(part, word));
    let short = |name: &[String], word: &String| {
        name.iter().any(|part| part == word || is_near(part, word) || shortens(word, part))
    };
    let rules: [&Alike; 4] = [&stands, &begins, &near, &short];
    for rule in rules {
        let fits = |pool: &&PoolRecord| {
            let name = parts_of(&pool.name);
            words.iter().all(|word| rule(&name, word))
        };
        let found: Vec<&PoolRecord> = pools.iter().filter(fits).collect();
        match found.as_slice() {
            [] => {}
            [one] => return Found::One(one),
            _ => return Found::Several(found),
        }
    }
    let names = pools.iter().map(|pool| pool.name.as_str());
    let nearest = crate::problem::nearest(wanted, names);
    Found::None(nearest.and_then(|name| pools.iter().find(|pool| pool.name == name)))
}

/// One slip in a short word, two in a long one; numbers must be right.
fn is_near(part: &str, word: &str) -> bool {
    if part == word {
        return true;
    }
    if part.chars().any(|c| c.is_ascii_digit()) || word.chars().any(|c| c.is_ascii_digit()) {
        return false;
    }
    let allowed = match word.chars().count() {
        0..=3 => return false,
        4..=6 => 1,
        _ => 2,
    };
    strsim::damerau_levenshtein(part, word) <= allowed
}

/// `rd` for `road`, `ln` for `lane`: the same first letter, and every letter in its order.
fn shortens(word: &str, part: &str) -> bool {
    let letters = |text: &str| !text.is_empty() && text.chars().all(char::is_alphabetic);
    if !letters(word) || !letters(part) || word.chars().count() < 2 {
        return false;
    }
    let mut rest = part.chars();
    let begins = word.chars().next() == part.chars().next();
    begins && word.chars().all(|letter| rest.any(|held| held == letter))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Moment;

    fn pools() -> Vec<PoolRecord> {
        let at = Moment::parse("2026-01-01T08:00:00Z").unwrap();
        ["Quarry Lane 9", "Quarry Lane 11", "Mill Race Lodge"]
            .map(|name| PoolRecord {
                id: name.to_lowercase().replace(' ', "-"),
                name: name.to_owned(),
                added: at,
                retired: None,
            })
            .to_vec()
    }

    #[test]
    fn parts_and_slips_find_a_pool_and_two_that_fit_are_both_told() {
        let mut pools = pools();
        pools.extend(["Café Lumière", "O'Hare's"].map(|name| PoolRecord {
            id: name.to_owned(),
            name: name.to_owned(),
            ..pools[0].clone()
        }));
        let one = |wanted: &str| match find_pool(&pools, wanted) {
            Found::One(pool) => pool.name.clone(),
            other => format!("{other:?}"),
        };
        assert_eq!(one("quarry lane 9"), "Quarry Lane 9");
        assert_eq!(one("mill"), "Mill Race Lodge");
        assert_eq!(one("the lodge".trim_start_matches("the ")), "Mill Race Lodge");
        assert_eq!(one("mil race"), "Mill Race Lodge");
        assert_eq!(one("qarry lane 11"), "Quarry Lane 11");
        assert_eq!(one("11"), "Quarry Lane 11");
        assert_eq!(one("quarry ln 11"), "Quarry Lane 11");
        assert_eq!(one("cafe lumiere"), "Café Lumière");
        assert_eq!(one("ohares"), "O'Hare's");
        assert_eq!(one("ml rce"), "Mill Race Lodge");
        assert!(matches!(find_pool(&pools, "quarry"), Found::Several(found) if found.len() == 2));
        assert!(matches!(find_pool(&pools, "harbour"), Found::None(None)));
    }
}
