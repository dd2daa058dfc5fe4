//! Compiles the lexicon: every phrase into one tree of words, every pattern into a table.

use super::ask::{AskKind, AskWords, Keeps};
use super::role::Role;
use super::tree::{grow, letters};
use super::words::Phrase;
use super::{Effect, Label, LabelKind, Lexicon, Manner, Sense, TermId, split_phrase};
use crate::facts::{FactId, Value};
use crate::knowledge::document::{Problems, Reader, Text, parse};
use crate::knowledge::vocabulary::{FactDef, Kind, Vocabulary};
use crate::problem::{Code, Place, Problem, SourceText};
use crate::units::{UNITS, find_unit};
use std::collections::{BTreeMap, BTreeSet};

/// What is gathered on the way to a lexicon.
pub(super) struct Builder<'a> {
    pub(super) texts: &'a [SourceText],
    pub(super) vocabulary: &'a Vocabulary,
    pub(super) problems: &'a Problems,
    phrases: BTreeMap<Vec<String>, BTreeSet<Sense>>,
    names: BTreeMap<String, TermId>,
    same: BTreeMap<String, String>,
    pub(super) lexicon: Lexicon,
}

/// Compiles `lexicon/*.toml` and the words of the vocabulary.
pub(in super::super) fn compile(
    texts: &[SourceText],
    vocabulary: &Vocabulary,
    problems: &Problems,
) -> Lexicon {
    let mut builder = Builder {
        texts,
        vocabulary,
        problems,
        phrases: BTreeMap::new(),
        names: BTreeMap::new(),
        same: BTreeMap::new(),
        lexicon: Lexicon::default(),
    };
    builder.units();
    let files = texts
        .iter()
        .filter(|text| text.name.starts_with("lexicon/") && text.name.ends_with(".toml"));
    for source in files {
        let table = parse(source, &Problems::default());
        builder.file(&Reader::new(source, &table, problems));
    }
    for (fact, def) in vocabulary.iter() {
        builder.fact(fact, def);
    }
    builder.finish()
}

impl Builder<'_> {
    fn units(&mut self) {
        for unit in UNITS {
            for spelling in std::iter::once(&unit.name).chain(unit.spellings) {
                if let Some(id) = find_unit(spelling) {
                    self.add(spelling, Sense::Unit(id));
                }
            }
        }
    }

    fn add(&mut self, phrase: &str, sense: Sense) -> bool {
        let words = split_phrase(phrase);
        if words.is_empty() {
            return phrase.is_empty();
        }
        self.phrases.entry(words).or_default().insert(sense)
    }

    /// Adds the phrases of a list, and reports those that hold no word or stand there twice.
    fn add_texts(&mut self, texts: &[Text<'_>], sense: Sense) {
        for text in texts {
            if !self.add(&text.text, sense) {
                self.problems.push(
                    Problem::warning(
                        Code::Duplicate,
                        Some(text.place()),
                        format!("`{}` says nothing new", text.text),
                    )
                    .help("leave it out: it stands here already, or holds no word"),
                );
            }
        }
    }

    fn file(&mut self, top: &Reader<'_, '_>) {
        for thing in top.tables("thing") {
            let id = self.term(&thing.string("name"));
            self.add_texts(&thing.texts("words"), Sense::Thing(id));
            thing.finish();
        }
        for state in top.tables("state") {
            let id = self.term(&state.string("name"));
            self.add_texts(&state.texts("words"), Sense::State(id, Manner::Plain));
            self.add_texts(&state.texts("particles"), Sense::State(id, Manner::Particle));
            self.add_texts(&state.texts("verbs"), Sense::State(id, Manner::Verb));
            self.add_texts(&state.texts("before"), Sense::State(id, Manner::Before));
            self.add_texts(&state.texts("nouns"), Sense::State(id, Manner::Noun));
            state.finish();
        }
        for role in top.tables("role") {
            let Some(name) = role.text("name") else { continue };
            let words = role.texts("words");
            match Role::named(&name.text) {
                Some(role) => self.add_texts(&words, Sense::Role(role)),
                None => self.unknown(&name, "role", Role::ALL.iter().map(|(_, known)| *known)),
            }
            role.finish();
        }
        for ask in top.tables("ask") {
            self.ask(&ask);
            ask.finish();
        }
        if let Some(numbers) = top.table("numbers") {
            for (word, value) in numbers.entries() {
                self.number(&word, &value, Sense::Number);
            }
        }
        if let Some(heard) = top.table("heard") {
            for (word, value) in heard.entries() {
                self.number(&word, &value, Sense::Heard);
            }
        }
        for (other, meant) in pairs(top, "same") {
            self.same.insert(other, meant);
        }
        self.lexicon.short.extend(pairs(top, "short"));
        self.lexicon.short.sort();
        if let Some(common) = top.opt_text("common") {
            for word in common.text.split_whitespace() {
                self.add(word, Sense::Role(Role::Common));
            }
        }
        top.finish();
    }

    fn unknown<'n>(&self, name: &Text<'_>, what: &str, known: impl Iterator<Item = &'n str>) {
        let problem = Problem::error(
            Code::UnknownName,
            Some(name.place()),
            format!("`{}` is not a {what}", name.text),
        );
        self.problems.push(problem.did_you_mean(&name.text, known));
    }

    fn number(&mut self, word: &Text<'_>, value: &Text<'_>, sense: fn(u16) -> Sense) {
        match value.text.parse::<f64>().ok().filter(|n| n.is_finite()) {
            Some(number) => {
                let at = u16::try_from(self.lexicon.numbers.len()).unwrap_or(u16::MAX);
                self.lexicon.numbers.push(number);
                self.add(&word.text, sense(at));
            }
            None => self.problems.push(Problem::error(
                Code::Value,
                Some(value.place()),
                format!("`{}` is not a number", value.text),
            )),
        }
    }

    fn ask(&mut self, table: &Reader<'_, '_>) {
        let Some(name) = table.text("kind") else { return };
        let Some(kind) = AskKind::named(&name.text) else {
            let known = ["report", "advise", "target", "dose", "explain", "what-if", "due"];
            return self.unknown(&name, "kind of ask", known.into_iter());
        };
        let keeps = match table.opt_text("keeps") {
            Some(text) => {
                let known = Keeps::named(&text.text);
                if known.is_none() {
                    let names = ["nothing", "numbers", "own", "all"];
                    self.unknown(&text, "way to keep what a question states", names.into_iter());
                }
                known.unwrap_or(Keeps::Nothing)
            }
            None => Keeps::Nothing,
        };
        let rank = table.number("rank").unwrap_or(1.0);
        let rank = (0..=20u8).find(|n| (f64::from(*n) - rank).abs() < 0.5).unwrap_or(1);
        for (key, opens, starts) in
            [("opens", true, true), ("starts", false, true), ("words", false, false)]
        {
            let texts = table.texts(key);
            if texts.is_empty() {
                continue;
            }
            let at = u16::try_from(self.lexicon.asks.len()).unwrap_or(u16::MAX);
            self.lexicon.asks.push(AskWords { kind, rank, opens, starts, keeps });
            self.add_texts(&texts, Sense::Ask(at));
        }
    }

    fn term(&mut self, name: &str) -> TermId {
        if let Some(id) = self.names.get(name) {
            return *id;
        }
        let id = TermId(u16::try_from(self.lexicon.terms.len()).unwrap_or(u16::MAX));
        self.lexicon.terms.push(name.to_owned());
        self.names.insert(name.to_owned(), id);
        id
    }

    fn fact(&mut self, fact: FactId, def: &FactDef) {
        let words = &def.words;
        for (list, kind) in [
            (&words.label, LabelKind::Strong),
            (&words.weak, LabelKind::Weak),
            (&words.past, LabelKind::Past),
            (&words.ahead, LabelKind::Ahead),
            (&words.about, LabelKind::About),
        ] {
            if list.is_empty() {
                continue;
            }
            let at = u16::try_from(self.lexicon.labels.len()).unwrap_or(u16::MAX);
            self.lexicon.labels.push(Label { fact, kind });
            for phrase in list {
                self.add(&phrase.text, Sense::Label(at));
            }
        }
        if !words.done.is_empty() {
            let at = u16::try_from(self.lexicon.done.len()).unwrap_or(u16::MAX);
            self.lexicon.done.push(fact);
            for phrase in &words.done {
                self.add(&phrase.text, Sense::Done(at));
            }
        }
        for (pattern, value) in &words.says {
            if let Ok(value) = def.parse(value) {
                self.pattern(def, fact, pattern, value);
            }
        }
        self.traits(def);
    }

    fn traits(&mut self, def: &FactDef) {
        let words = &def.words;
        let named = |list: &[Phrase]| -> Vec<TermId> {
            list.iter().filter_map(|phrase| self.known(def, phrase, &phrase.text)).collect()
        };
        let traits = super::Traits {
            subjects: named(&words.subject),
            barred: named(&words.barred),
            of: named(&words.of),
            default: words.default,
            uses_up: words.uses_up,
            forecast: words.forecast,
            by_the_clock: words.by_the_clock,
            start: words.start,
            greater: words.greater.as_ref().and_then(|other| self.named_fact(def, other)),
            during: words.during.as_ref().and_then(|during| {
                let (name, value) = during.text.split_once(" is ")?;
                let fact = self.vocabulary.find(name.trim());
                let value = fact
                    .and_then(|id| self.vocabulary.get(id))
                    .and_then(|other| other.parse(value).ok());
                if value.is_none() {
                    let message = format!("`{}` is not a fact and its value", during.text);
                    self.problems.push(Problem::error(
                        Code::UnknownName,
                        self.place(def, during),
                        message,
                    ));
                }
                fact.zip(value)
            }),
        };
        self.lexicon.traits.push(traits);
    }

    fn named_fact(&mut self, def: &FactDef, phrase: &Phrase) -> Option<FactId> {
        let found = self.vocabulary.find(phrase.text.trim());
        if found.is_none() {
            let message = format!("`{}` is no fact", phrase.text);
            let place = self.place(def, phrase);
            self.problems.push(Problem::error(Code::UnknownName, place, message));
        }
        found
    }

    fn place(&self, def: &FactDef, phrase: &Phrase) -> Option<Place> {
        let source = self.texts.iter().find(|text| text.name == def.place.file)?;
        Some(source.place(phrase.at))
    }

    fn known(&self, def: &FactDef, phrase: &Phrase, name: &str) -> Option<TermId> {
        let found = self.names.get(name).copied();
        // A knowledge without any lexicon is one of a test: nothing can be said of its terms.
        if found.is_none() && self.texts.iter().any(|text| text.name.starts_with("lexicon/")) {
            let problem = Problem::error(
                Code::UnknownName,
                self.place(def, phrase),
                format!("no thing or state of the lexicon is called `{name}`"),
            );
            let known =
                self.names.keys().map(String::as_str).filter(|k| !k.starts_with(['=', '[']));
            self.problems.push(problem.did_you_mean(name, known));
        }
        found
    }

    /// Takes a pattern apart: at most one thing in braces, and a state in braces or a phrase.
    fn pattern(&mut self, def: &FactDef, fact: FactId, pattern: &Phrase, value: Value) {
        let mut named = Vec::new();
        let mut rest = pattern.text.as_str();
        while let Some((inside, after)) =
            rest.trim_start().strip_prefix('{').and_then(|r| r.split_once('}'))
        {
            match self.known(def, pattern, inside) {
                Some(id) => named.push(id),
                None => return,
            }
            rest = after;
        }
        let denied = match (value, &def.kind, &def.words.denied) {
            (Value::Flag(flag), ..) => Some(Value::Flag(!flag)),
            (_, Kind::OneOf(_) | Kind::SeveralOf(_), Some(none)) => def.parse(&none.text).ok(),
            _ => None,
        };
        let rest = rest.trim();
        let listed = rest.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'));
        let rest = listed.unwrap_or(rest);
        if listed.is_some() {
            let id = self.term(&format!("[{rest}]"));
            self.add(rest, Sense::Item(id));
            named.push(id);
        } else if !rest.is_empty() {
            let id = self.term(&format!("={rest}"));
            self.add(rest, Sense::State(id, Manner::Plain));
            named.push(id);
        }
        let effect = Effect { fact, value, denied };
        match named.as_slice() {
            [term] => self.lexicon.mentions.push((*term, effect)),
            [thing, state] => self.lexicon.pairs.push((*thing, *state, effect)),
            _ => self.problems.push(
                Problem::error(
                    Code::Syntax,
                    self.place(def, pattern),
                    format!("`{}` is not a pattern", pattern.text),
                )
                .help("write a phrase, `{thing}`, `{thing} {state}` or `{thing} phrase`"),
            ),
        }
    }

    fn finish(mut self) -> Lexicon {
        self.lexicon.mentions.sort_by_key(|entry| (entry.0, entry.1.fact));
        self.lexicon.pairs.sort_by_key(|entry| (entry.0, entry.1, entry.2.fact));
        let mut words: BTreeMap<&str, bool> = BTreeMap::new();
        for (phrase, senses) in &self.phrases {
            let target = senses.iter().any(|sense| *sense != Sense::Role(Role::Common));
            for word in phrase {
                *words.entry(word).or_default() |= target;
            }
        }
        self.lexicon.shapes = words.iter().map(|(word, target)| (*target, letters(word))).collect();
        self.lexicon.words = words.keys().map(|word| (*word).to_owned()).collect();
        let same: Vec<(String, u32)> = self
            .same
            .iter()
            .filter(|(other, _)| self.lexicon.word(other).is_none())
            .filter_map(|(other, meant)| Some((other.clone(), self.lexicon.word(meant)?)))
            .collect();
        self.lexicon.same = same;
        let phrases: Vec<(Vec<u32>, Vec<Sense>)> = self
            .phrases
            .iter()
            .map(|(phrase, senses)| {
                let ids = phrase.iter().filter_map(|word| self.lexicon.word(word)).collect();
                (ids, senses.iter().copied().collect())
            })
            .collect();
        grow(&mut self.lexicon, &phrases);
        self.lexicon
    }
}

/// A table of words with others that stand for them: each other with its word.
fn pairs(top: &Reader<'_, '_>, key: &'static str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for (meant, others) in top.table(key).map_or_else(Vec::new, |table| table.entries()) {
        for other in others.text.split(", ").filter(|other| !other.is_empty()) {
            found.push((other.to_owned(), meant.text.clone()));
        }
    }
    found
}
