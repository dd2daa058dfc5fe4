//! A trainee's words as clauses: stems of words, cut where one thing that is done ends and the next begins, in the
//! order in which the things are done.

use super::ear::Ear;
use crate::knowledge::{ConceptId, stems};
use std::collections::BTreeSet;

/// So many other words may stand inside a phrase ("turn the big pump off").
const GAP: usize = 4;

/// One clause.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// What was typed.
    pub text: String,
    /// Its stems.
    pub stems: Vec<String>,
    /// The sentence that it stands in.
    pub sentence: usize,
    /// When it is done: lower is earlier.
    pub order: f64,
    /// Its place among the clauses.
    pub place: f64,
    /// Places of denials.
    pub denials: Vec<usize>,
    /// Whether it is put off to a later day.
    pub later: bool,
    /// Whether it only asks.
    pub asks: bool,
    /// The concepts in it: which, and the last word of the nearest saying.
    pub concepts: Vec<(ConceptId, usize)>,
}

/// A sentence, for comparison with the wording of an action.
#[derive(Debug, Clone, PartialEq)]
pub struct Sentence {
    /// Its stems, small words left out.
    pub stems: BTreeSet<String>,
    /// When its first clause is done.
    pub order: f64,
    /// How many denials it holds.
    pub denials: usize,
    /// Whether it is put off.
    pub later: bool,
}

/// What a trainee said they do.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Plan {
    /// The clauses, as written.
    pub clauses: Vec<Clause>,
    /// The sentences.
    pub sentences: Vec<Sentence>,
}

/// Where a phrase stands: its first and last word. The words stand in order, near each other.
fn find(words: &[String], phrase: &[String], from: usize) -> Option<(usize, usize)> {
    let (head, rest) = phrase.split_first()?;
    for (at, word) in words.iter().enumerate().skip(from) {
        if word != head {
            continue;
        }
        let mut last = at;
        let inside = rest.iter().all(|wanted| {
            // "Run it": the pronoun stands right behind its verb.
            let gap = if wanted == "it" { 0 } else { GAP };
            let near = words.iter().enumerate().skip(last + 1).take(gap + 1);
            let next = near.into_iter().find(|(_, word)| *word == wanted);
            next.inspect(|(place, _)| last = *place).is_some()
        });
        if inside {
            return Some((at, last));
        }
    }
    None
}

/// Whether a phrase begins right here, without gaps; gives back how many words it takes.
fn begins(words: &[String], at: usize, phrases: &[Vec<String>]) -> Option<usize> {
    let rest = words.get(at..)?;
    let fits = phrases.iter().filter(|phrase| !phrase.is_empty() && rest.starts_with(phrase));
    fits.map(Vec::len).max()
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

impl Plan {
    /// Hears a question: it counts as looking, and as nothing else.
    pub fn hear_question(&mut self, text: &str, ear: &Ear<'_>) {
        let first = self.clauses.len();
        self.hear(text, ear);
        for clause in self.clauses.iter_mut().skip(first) {
            clause.asks = true;
            ear.add_looks(clause);
        }
        // Its words are no wording of anything that is done.
        let sentence = self.clauses.get(first).map_or(self.sentences.len(), |one| one.sentence);
        self.sentences.iter_mut().skip(sentence).for_each(|one| one.stems.clear());
    }

    /// Hears what was typed, after what was heard before.
    pub fn hear(&mut self, text: &str, ear: &Ear<'_>) {
        for sentence in sentences(text) {
            let number = self.sentences.len();
            let first = self.clauses.len();
            for part in sentence.split([',', ':', '(', ')', '—', '–']).flat_map(|p| p.split(" - "))
            {
                let words: Vec<String> = stems(part).iter().map(|word| ear.mend(word)).collect();
                for piece in ear.pieces(&words) {
                    let order = self.clauses.last().map_or(0.0, |last| last.place + 1.0);
                    let clause = ear.clause(piece, number, order);
                    self.clauses.push(Clause { text: part.trim().to_owned(), ..clause });
                }
            }
            ear.join(&mut self.clauses, first);
            ear.turn(&mut self.clauses, first);
            ear.look(&mut self.clauses, first);
            let whole: Vec<String> = stems(&sentence).iter().map(|word| ear.mend(word)).collect();
            let order = self.clauses.get(first).map_or(f64::INFINITY, |clause| clause.order);
            let small = &ear.doing.shapes.small;
            self.sentences.push(Sentence {
                denials: ear.denials(&whole).len(),
                later: ear.later(&whole),
                stems: whole.into_iter().filter(|word| !small.contains(word)).collect(),
                order,
            });
        }
    }
}

impl Ear<'_> {
    /// A known word for a misspelt one, if exactly one is a slip away.
    fn mend(&self, word: &str) -> String {
        let known = &self.known;
        if word.len() < 5 || known.contains(word) || !word.is_ascii() {
            return word.to_owned();
        }
        let first = word.get(..1).unwrap_or("");
        let near = known.range(first.to_owned()..).take_while(|other| other.starts_with(first));
        let slip = |other: &&String| {
            other.len() >= 4
                && other.len().abs_diff(word.len()) <= 1
                && strsim::osa_distance(other, word) == 1
        };
        let mut found = near.filter(slip);
        match (found.next(), found.next()) {
            (Some(one), None) => one.clone(),
            _ => word.to_owned(),
        }
    }

    /// Cuts the words of a part where another thing begins: "… and open …", "then …", "… before …".
    fn pieces(&self, words: &[String]) -> Vec<Vec<String>> {
        let shapes = &self.doing.shapes;
        let mut pieces: Vec<Vec<String>> = vec![Vec::new()];
        let mut at = 0;
        while let Some(word) = words.get(at) {
            let next = begins(words, at, &shapes.next);
            let order =
                begins(words, at, &shapes.before).or_else(|| begins(words, at, &shapes.after));
            let joins = matches!(word.as_str(), "and" | "but" | "or" | "so");
            let opens = || {
                let verb =
                    words.get(at + 1).is_some_and(|after| self.verbs.contains(after.as_str()));
                verb || begins(words, at + 1, &shapes.not).is_some()
            };
            let first = begins(words, at, &shapes.first).is_some();
            if let (Some(taken), false) = (next, first) {
                pieces.push(Vec::new());
                at += taken;
                continue;
            }
            if (order.is_some() && !first) || (joins && opens()) {
                pieces.push(Vec::new());
            }
            if let Some(last) = pieces.last_mut().filter(|_| !joins || !opens()) {
                last.push(word.clone());
            }
            at += 1;
        }
        pieces.retain(|piece| !piece.is_empty());
        pieces
    }

    fn clause(&self, stems: Vec<String>, sentence: usize, order: f64) -> Clause {
        let mut clause = Clause {
            text: stems.join(" "),
            sentence,
            order,
            place: order,
            denials: self.denials(&stems),
            later: self.later(&stems),
            asks: false,
            concepts: Vec::new(),
            stems,
        };
        clause.concepts = self.concepts(&clause.stems);
        if self.leads(&clause) {
            clause.order -= 1000.0;
        }
        clause
    }

    /// "First, kill the power", "I'd kill the power first": something that is done before all else. "Pump first" in a
    /// list says nothing of the kind.
    fn leads(&self, clause: &Clause) -> bool {
        let doing = self.doing;
        let begin = clause.stems.iter().position(|word| !doing.shapes.small.contains(word));
        let at = begin.unwrap_or(0);
        let first = begins(&clause.stems, at, &doing.shapes.first);
        let ends = doing.shapes.first.iter().any(|phrase| clause.stems.ends_with(phrase));
        let acts = clause.concepts.iter().any(|(id, _)| self.is_verb(*id));
        acts && (first.is_some() || ends)
    }

    fn is_verb(&self, id: ConceptId) -> bool {
        self.doing.concepts.get(usize::from(id)).is_some_and(|concept| concept.verb)
    }

    /// The concepts in some words: which, and the last word of the nearest saying.
    fn concepts(&self, words: &[String]) -> Vec<(ConceptId, usize)> {
        let mut found: Vec<(ConceptId, usize)> = Vec::new();
        let mut seen: Vec<&String> = Vec::new();
        for word in words {
            if seen.contains(&word) {
                continue;
            }
            seen.push(word);
            for (id, phrase) in self.heads.get(word.as_str()).into_iter().flatten() {
                let Some((_, last)) = find(words, phrase, 0) else { continue };
                match found.iter_mut().find(|(known, _)| known == id) {
                    Some((_, at)) => *at = last.min(*at),
                    None => found.push((*id, last)),
                }
            }
        }
        found.sort_unstable();
        found
    }

    /// Where denials stand; those that deny nothing are left out.
    pub(super) fn denials(&self, words: &[String]) -> Vec<usize> {
        let shapes = &self.doing.shapes;
        let idle: Vec<(usize, usize)> = (0..words.len())
            .filter_map(|at| Some((at, at + begins(words, at, &shapes.idle)?)))
            .collect();
        // "If it won't prime, drain": what is denied is the condition.
        let supposed = |at: usize| {
            (at.saturating_sub(3)..at).any(|n| begins(words, n, &shapes.condition).is_some())
        };
        let free = |at: &usize| {
            !supposed(*at) && !idle.iter().any(|(first, end)| (first..end).contains(&at))
        };
        (0..words.len())
            .filter(|at| begins(words, *at, &shapes.not).is_some())
            .filter(free)
            .collect()
    }

    fn later(&self, words: &[String]) -> bool {
        self.doing.shapes.later.iter().any(|phrase| find(words, phrase, 0).is_some())
    }

    /// "Level and baskets.": a sentence without a verb says what is looked at.
    fn look(&self, clauses: &mut [Clause], first: usize) {
        let Some([clause]) = clauses.get_mut(first..) else { return };
        let acts = clause.concepts.iter().any(|(id, _)| self.is_verb(*id));
        if !acts && clause.denials.is_empty() {
            self.add_looks(clause);
        }
    }

    fn add_looks(&self, clause: &mut Clause) {
        for id in &self.looks {
            if !clause.concepts.iter().any(|(known, _)| known == id) {
                clause.concepts.push((*id, 0));
            }
        }
    }

    /// A clause without a verb belongs to its neighbour: "at the breaker, switch everything off".
    fn join(&self, clauses: &mut Vec<Clause>, first: usize) {
        let verb = |clause: &Clause| {
            !clause.denials.is_empty() || clause.concepts.iter().any(|(id, _)| self.is_verb(*id))
        };
        let mut at = first;
        while at < clauses.len() {
            // Behind a denial it stands for itself: "nobody near, then the poison line".
            let denied =
                at > first && clauses.get(at - 1).is_some_and(|before| !before.denials.is_empty());
            let bare = !denied && clauses.get(at).is_some_and(|clause| !verb(clause));
            if !bare || clauses.len() - first < 2 {
                at += 1;
                continue;
            }
            let bare = clauses.remove(at);
            let before = at > first;
            let into = if before { at - 1 } else { at };
            if let Some(other) = clauses.get(into) {
                let words = if before {
                    other.stems.iter().chain(&bare.stems).cloned().collect()
                } else {
                    bare.stems.iter().chain(&other.stems).cloned().collect()
                };
                let order = other.order.min(bare.order);
                let merged = self.clause(words, other.sentence, order);
                let place = other.place.max(bare.place);
                let text = format!("{}, {}", other.text, bare.text);
                let later = other.later || merged.later;
                let merged = Clause { later, order, place, text, ..merged };
                if let Some(slot) = clauses.get_mut(into) {
                    *slot = merged;
                }
            }
        }
    }

    /// "Before I open the plugs, I cut the power"; "open the plugs after cutting the power": what comes first is first.
    fn turn(&self, clauses: &mut [Clause], first: usize) {
        let doing = self.doing;
        for at in first..clauses.len() {
            let Some(words) = clauses.get(at).map(|clause| clause.stems.clone()) else { continue };
            let other = |n: usize| clauses.get(n).map(|clause| clause.order);
            let order = if begins(&words, 0, &doing.shapes.before).is_some() && at == first {
                other(at + 1).map(|next| next + 0.5)
            } else if begins(&words, 0, &doing.shapes.after).is_some() && at > first {
                other(at - 1).map(|before| before - 0.5)
            } else {
                None
            };
            if let (Some(order), Some(clause)) = (order, clauses.get_mut(at)) {
                clause.order = order;
            }
        }
    }
}
