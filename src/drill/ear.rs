//! What a trainee is heard with: the words of doing and the wordings of actions, ready to be looked up.

use super::cue::Cues;
use super::cut::sentences;
use super::example::Likenesses;
use crate::knowledge::{ConceptId, Doing, Knowledge, Part, stem};
use std::collections::{BTreeMap, BTreeSet};

/// What a trainee is heard with: the words of doing, ready to be looked up. Made once for many cases.
#[derive(Debug)]
pub struct Ear<'k> {
    /// The words of doing.
    pub doing: &'k Doing,
    /// Every known stem, for mending misspelt ones.
    pub(super) known: BTreeSet<String>,
    /// First words of verbs.
    pub(super) verbs: BTreeSet<&'k str>,
    /// Phrases by their first word.
    pub(super) heads: BTreeMap<&'k str, Vec<(ConceptId, &'k [String])>>,
    /// Verbs of looking.
    pub(super) looks: Vec<ConceptId>,
    /// What the words of a clause point to.
    pub(super) cues: Cues<'k>,
    /// What people say who do something.
    pub(super) examples: Likenesses<'k>,
    /// The wordings of actions, by id.
    wordings: BTreeMap<&'k str, Wording>,
}

/// The wording of an action, for comparison with what was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Wording {
    /// The stems that say what it is.
    pub stems: BTreeSet<String>,
    /// How many denials it holds.
    pub denials: usize,
    /// Each of its sentences likewise.
    pub parts: Vec<BTreeSet<String>>,
}

impl<'k> Ear<'k> {
    /// Makes one.
    #[must_use]
    pub fn new(knowledge: &'k Knowledge) -> Self {
        let doing = &knowledge.doing;
        let mut ear = Self {
            doing,
            known: known_words(doing),
            verbs: BTreeSet::new(),
            heads: BTreeMap::new(),
            looks: Vec::new(),
            wordings: BTreeMap::new(),
            cues: Cues::default(),
            examples: Likenesses::default(),
        };
        for (id, concept) in doing.concepts.iter().enumerate() {
            let Ok(id) = ConceptId::try_from(id) else { continue };
            if doing.shapes.looks.contains(&concept.name) {
                ear.looks.push(id);
            }
            for phrase in &concept.phrases {
                let Some(head) = phrase.first() else { continue };
                ear.heads.entry(head).or_default().push((id, phrase));
                if concept.verb && !doing.shapes.small.contains(head) {
                    ear.verbs.insert(head);
                }
            }
        }
        for action in &knowledge.actions {
            let words = |part: &Part| match part {
                Part::Words(words) => words.clone(),
                Part::Fact(_) => String::new(),
            };
            let text: String = action.text.0.iter().map(words).collect();
            ear.known.extend(doing.stems(&text));
            let wording = ear.wording(&text);
            let concepts = ear.named(&ear.told_to_do(&text));
            ear.cues.add(&action.id, wording.stems.iter().cloned(), concepts);
            ear.wordings.insert(&action.id, wording);
        }
        ear.cues.weigh();
        ear.examples = Likenesses::new(knowledge, &ear);
        ear
    }

    /// A wording without what it only forbids beside: "have it replaced; no glue, tape or clamp".
    fn told_to_do(&self, text: &str) -> String {
        let denies = |part: &String| !self.denials(&self.doing.stems(part)).is_empty();
        let mut parts = sentences(text);
        if !parts.first().is_some_and(denies) {
            parts.retain(|part| !denies(part));
        }
        parts.join("; ")
    }

    fn wording(&self, text: &str) -> Wording {
        let small = &self.doing.shapes.small;
        let told = |text: &str| -> BTreeSet<String> {
            self.doing.stems(text).into_iter().filter(|word| !small.contains(word)).collect()
        };
        let denials =
            sentences(text).iter().map(|part| self.denials(&self.doing.stems(part)).len()).sum();
        let parts = sentences(text).iter().map(|part| told(part)).collect();
        Wording { stems: told(text), denials, parts }
    }

    /// The wording of an action.
    #[must_use]
    pub fn wording_of(&self, id: &str) -> Option<&Wording> {
        self.wordings.get(id)
    }
}

/// Every stem that the words of doing know, for mending misspelt ones.
fn known_words(doing: &Doing) -> BTreeSet<String> {
    let shapes = &doing.shapes;
    let lists = [
        &shapes.not,
        &shapes.idle,
        &shapes.later,
        &shapes.next,
        &shapes.before,
        &shapes.after,
        &shapes.first,
        &shapes.asks,
    ];
    let phrases = doing.concepts.iter().flat_map(|concept| &concept.phrases);
    let phrases = phrases.chain(lists.into_iter().flatten());
    let asked = doing.asked.iter().flat_map(|(_, phrases, _)| phrases);
    let mut known: BTreeSet<String> = phrases.chain(asked).flatten().cloned().collect();
    known.extend(shapes.small.iter().map(|word| stem(word)));
    known
}
