//! Where one thing that is said ends and the next begins: sentences, their parts, and the pieces of a part.

use super::clause::begins;
use super::ear::Ear;

/// The parts of a sentence: cut at commas, colons, brackets and dashes, but not within "22:00" or "25,000".
pub(super) fn parts(sentence: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut from = 0;
    for (at, mark) in sentence.match_indices([',', ':', '(', ')', '—', '–', '=', '→']) {
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        let end = at + mark.len();
        let before = sentence.get(..at).and_then(|text| text.chars().next_back());
        let after = sentence.get(end..).and_then(|text| text.chars().next());
        if matches!(mark, "," | ":") && digit(before) && digit(after) {
            continue;
        }
        parts.push(sentence.get(from..at).unwrap_or_default());
        from = end;
    }
    parts.push(sentence.get(from..).unwrap_or_default());
    parts.into_iter().flat_map(|part| part.split(" - ")).flat_map(|part| part.split("->")).collect()
}

/// Cuts what was typed into sentences: at line ends, and at `.`, `;`, `!` and `?` that end a word.
pub fn sentences(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut now = String::new();
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let ends = match c {
            '\n' | ';' | '!' => true,
            '.' | '?' => letters.peek().is_none_or(|next| next.is_whitespace()),
            _ => false,
        };
        if c == '?' {
            now.push(c);
        }
        if ends {
            all.push(std::mem::take(&mut now));
        } else if c != '?' {
            now.push(c);
        }
    }
    all.push(now);
    all.retain(|sentence| sentence.chars().any(char::is_alphanumeric));
    all
}

/// What goes on is told within so many words: "that pump there is sucking air".
const OPENING: usize = 4;

impl Ear<'_> {
    /// Whether a part tells what goes on: "it's running dry", "the pump is sucking air".
    pub(super) fn goes_on(&self, part: &str) -> bool {
        let shapes = &self.doing.shapes;
        let words: Vec<String> = part.split_whitespace().map(str::to_lowercase).collect();
        let bare = |word: &str| word.replace(['\'', '’'], "");
        let is = |word: &String| {
            word.ends_with("'s") || word.ends_with("’s") || shapes.being.contains(&bare(word))
        };
        // Only what the part opens with: "turn it while it's running" does something.
        words.windows(2).take(OPENING).enumerate().any(|(at, pair)| {
            let [a, b] = pair else { return false };
            let before = at.checked_sub(1).and_then(|at| words.get(at)).map(|word| bare(word));
            let beside = before.is_some_and(|word| {
                shapes.who.contains(&word) || shapes.circumstance.contains(&word)
            });
            let b = b.trim_matches(|c: char| !c.is_alphanumeric());
            let ing = b.len() > 4 && b.ends_with("ing") && !shapes.to_be.iter().any(|one| one == b);
            is(a) && ing && !beside
        })
    }

    /// Cuts the words of a part where another thing begins: "… and open …", "then …", "… before …".
    ///
    /// What "or" adds to something denied is denied too: "use no phone or switches".
    pub(super) fn pieces(&self, words: &[String]) -> Vec<Vec<String>> {
        let shapes = &self.doing.shapes;
        let mut pieces: Vec<Vec<String>> = vec![Vec::new()];
        let mut at = 0;
        while let Some(word) = words.get(at) {
            let next = begins(words, at, &shapes.next);
            let order =
                begins(words, at, &shapes.before).or_else(|| begins(words, at, &shapes.after));
            let joins = matches!(word.as_str(), "and" | "but" | "or" | "so");
            let opens = || {
                // "… and I'm back at sunrise": who does it may stand between.
                let said_by =
                    |n: &usize| words.get(*n).is_some_and(|word| shapes.who.contains(word));
                let next = at + 1 + usize::from(said_by(&(at + 1)));
                let verb = words.get(next).is_some_and(|word| self.verbs.contains(word.as_str()));
                // "Plugs and rings" are two things, though people ring.
                let pair = at > 0 && begins(words, at - 1, &shapes.pairs).is_some();
                !pair && (verb || begins(words, next, &shapes.not).is_some())
            };
            let first = begins(words, at, &shapes.first).is_some();
            if let (Some(taken), false) = (next, first) {
                // "Hose then drained": what is only named yet is done in the next word.
                let does = |piece: &Vec<String>| {
                    piece.iter().any(|word| self.verbs.contains(word.as_str()))
                };
                if pieces.last().is_none_or(does) {
                    pieces.push(Vec::new());
                }
                at += taken;
                continue;
            }
            let reason = begins(words, at, &shapes.reason).is_some();
            if reason || (order.is_some() && !first) || (joins && opens()) {
                pieces.push(Vec::new());
            }
            if word == "or" && opens() {
                let denial = pieces.iter().rev().nth(1).and_then(|before| {
                    let (at, _) = self.denials(before).first().copied()?;
                    before.get(at).cloned()
                });
                pieces.last_mut().into_iter().for_each(|last| last.extend(denial.clone()));
            }
            if let Some(last) = pieces.last_mut().filter(|_| !joins || !opens()) {
                last.push(word.clone());
            }
            at += 1;
        }
        pieces.retain(|piece| !piece.is_empty());
        pieces
    }
}
