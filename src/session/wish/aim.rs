//! Which numbers of a message are to be reached, and of what.

use super::sentence::{Number, Sentence};
use super::{Wanted, readable, says};
use crate::facts::FactId;
use crate::knowledge::{Asking, Knowledge};
use crate::language::Reading;
use crate::problem::Span;
use crate::units::Dimension;

/// Words looked at before a number.
const BACK: usize = 4;

/// What a number is to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// A value to reach.
    To,
    /// A difference.
    By,
    /// One or the other, as the reading in hand says.
    Either,
    /// Where the reading stands.
    From,
}

/// Reads the values to reach and the changes. `dose` says that the message asks for a dose.
pub(super) fn aims(
    sentences: &[Sentence<'_>],
    reading: &Reading,
    knowledge: &Knowledge,
    dose: bool,
    now: &dyn Fn(FactId) -> Option<f64>,
    wanted: &mut Wanted,
) {
    let asking = &knowledge.dosing.asking;
    for (n, sentence) in sentences.iter().enumerate() {
        let moves = sentence.holds(&asking.raise)
            || sentence.holds(&asking.lower)
            || sentence.holds(&asking.wants)
            || (!sentence.products.is_empty() && !sentence.holds(&asking.added));
        if dose || moves {
            let earlier = sentences.get(..n).unwrap_or(&[]);
            View { sentence, knowledge, asking, earlier, dose }.read(now, wanted);
        }
    }
    // What the message says of a reading as it stands, where the number to reach was read in its place.
    let goals: Vec<FactId> =
        wanted.wish.to.iter().chain(&wanted.wish.by).map(|(fact, _)| *fact).collect();
    for (fact, value, span) in sentences.iter().flat_map(|s| standing(s, knowledge, &goals)) {
        let read = reading.facts.iter().find(|held| held.id == fact && !held.supposed);
        let misread = read.is_none_or(|held| {
            held.doubt.is_some()
                || held.value.number().is_some_and(|n| {
                    wanted.wish.to.iter().any(|(id, to)| *id == fact && (to - n).abs() < 1e-9)
                })
        });
        let told = wanted.from.iter().any(|(known, _)| *known == fact);
        let wish = wanted.used.contains(&span);
        if misread && !told && !wish {
            wanted.from.push((fact, value));
        }
    }
}

/// Readings as a sentence states them: "ph 7.9", "its 7.8" of what is to be moved.
fn standing(
    sentence: &Sentence<'_>,
    knowledge: &Knowledge,
    goals: &[FactId],
) -> Vec<(FactId, f64, Span)> {
    let asking = &knowledge.dosing.asking;
    let mut found = Vec::new();
    for (at, number) in sentence.numbers().filter(|(_, number)| readable(number.dimension)) {
        let Some(span) = sentence.words.get(at).map(|word| word.span) else { continue };
        let mut place = at;
        let mut stated = false;
        while let Some(before) = place.checked_sub(1) {
            let word = sentence.word(before);
            let label = sentence.labels.iter().find(|label| label.at + label.words == place);
            if let Some(label) = label {
                if goals.contains(&label.fact) {
                    found.push((label.fact, number.value, span));
                }
                break;
            }
            if says(&asking.states, word) {
                stated = true;
            } else if !["at", "about", "around"].contains(&word) {
                break;
            }
            place = before;
        }
        if let [goal] = goals
            && stated
            && sentence.labels.iter().all(|label| label.at + label.words != place)
        {
            let range = knowledge.vocabulary.get(*goal).and_then(|def| def.possible);
            if range.is_none_or(|(low, high)| (low..=high).contains(&number.value)) {
                found.push((*goal, number.value, span));
            }
        }
    }
    found
}

/// Whether "raise alkalinity 100" means to 100 and not by 100: it lies beyond the reading, and not far below.
fn reaches(value: f64, held: Option<f64>, down: bool) -> bool {
    held.is_some_and(|held| {
        let beyond = if down { value < held } else { value > held };
        beyond && value > 0.5 * held
    })
}

struct View<'s, 'm> {
    sentence: &'s Sentence<'m>,
    knowledge: &'s Knowledge,
    asking: &'s Asking,
    earlier: &'s [Sentence<'m>],
    dose: bool,
}

impl View<'_, '_> {
    /// Reads the numbers of the sentence into the wish.
    fn read(&self, now: &dyn Fn(FactId) -> Option<f64>, wanted: &mut Wanted) {
        let span = |at: usize| self.sentence.words.get(at).map(|word| word.span);
        let mut came_from = None;
        for (at, number) in self.sentence.numbers() {
            if !readable(number.dimension) {
                continue;
            }
            let Some(part) = self.part(at, number) else { continue };
            if part == Part::From {
                came_from = Some((at, number));
                continue;
            }
            let Some(fact) = self.fact(at, number, part) else { continue };
            wanted.used.extend(span(at));
            let reached = |list: &[(FactId, f64)]| list.iter().any(|(known, _)| *known == fact);
            if reached(&wanted.wish.to) || reached(&wanted.wish.by) {
                continue;
            }
            if let Some((place, from)) = came_from.take() {
                wanted.from.push((fact, from.value));
                wanted.read.extend(span(place));
            }
            let down = self.falls(at);
            let to = part == Part::To
                || (part == Part::Either && reaches(number.value, now(fact), down));
            if to {
                wanted.wish.to.push((fact, number.value));
            } else {
                let sign = if down { -1.0 } else { 1.0 };
                wanted.wish.by.push((fact, sign * number.value));
            }
        }
    }

    /// The nearest word before a place that is no filler, with its place.
    fn before(&self, at: usize) -> Option<(usize, &str)> {
        let soft = |word: &str| {
            says(&self.asking.fillers, word)
                && !says(&self.asking.aims, word)
                && !["at", "for", "get", "be"].contains(&word)
        };
        let back = (1..=BACK).map_while(|n| at.checked_sub(n));
        back.map(|at| (at, self.sentence.word(at))).find(|(_, word)| !soft(word))
    }

    /// What a number is to be, by the words around it.
    fn part(&self, at: usize, number: Number) -> Option<Part> {
        let asking = self.asking;
        if number.plus {
            return Some(Part::By);
        }
        let behind = self.sentence.word(at + number.words);
        if ["shock", "boost", "more"].contains(&behind) {
            return Some(Part::By);
        }
        let (place, word) = self.before(at)?;
        if word == "from" || (says(&asking.aims, behind) && self.is_number(at + number.words + 1)) {
            return Some(Part::From);
        }
        let wants = |place: usize| {
            let back = (1..=BACK).map_while(|n| place.checked_sub(n));
            let mut words = back.map(|at| self.sentence.word(at));
            words
                .find(|word| says(&asking.wants, word) || says(&asking.states, word))
                .is_some_and(|word| says(&asking.wants, word))
        };
        if says(&asking.aims, word) || says(&asking.wants, word) {
            return Some(Part::To);
        }
        if ["at", "be", "get"].contains(&word) {
            let gets = word == "get" && number.dimension == Some(Dimension::Concentration);
            return (gets || wants(place)).then_some(Part::To);
        }
        if says(&asking.changes, word) {
            return Some(Part::By);
        }
        if says(&asking.raise, word) || says(&asking.lower, word) {
            return Some(Part::Either);
        }
        if word == "for" && number.dimension == Some(Dimension::Concentration) {
            return Some(Part::Either);
        }
        let label =
            self.sentence.labels.iter().find(|label| label.at + label.words == place + 1)?;
        let (_, verb) = self.before(label.at)?;
        if verb == "for" || says(&asking.wants, verb) {
            return Some(Part::To);
        }
        (says(&asking.raise, verb) || says(&asking.lower, verb)).then_some(Part::Either)
    }

    fn is_number(&self, at: usize) -> bool {
        self.sentence.words.get(at).is_some_and(|word| word.number.is_some())
    }

    /// Whether the nearest word of direction before a number says that it falls.
    fn falls(&self, at: usize) -> bool {
        let words = (0..at).rev().map(|at| self.sentence.word(at));
        let mut directions = words.filter_map(|word| {
            // "Get" and "bring" go either way; "down" decides.
            let either = ["get", "take", "bring", "bringing"].contains(&word);
            if says(&self.asking.lower, word) {
                Some(true)
            } else {
                (says(&self.asking.raise, word) && !either).then_some(false)
            }
        });
        directions.next().unwrap_or(false)
    }

    /// What a number is of: the name right behind it, the nearest before it that takes such a value, what
    /// the named product moves, or what was spoken of before.
    fn fact(&self, at: usize, number: Number, part: Part) -> Option<FactId> {
        let end = at + number.words;
        let behind = self.sentence.labels.iter().find(|label| {
            let between =
                label.at == end || (label.at == end + 1 && self.sentence.word(end) == "of");
            between && !self.leads_on(label.at + label.words)
        });
        if let Some(label) = behind.filter(|label| self.takes(label.fact, number.value, part)) {
            return Some(label.fact);
        }
        let nearest = |sentence: &Sentence<'_>, before: usize| {
            let labels = sentence.labels.iter().rev().filter(|label| label.at < before);
            labels.map(|label| label.fact).find(|fact| self.takes(*fact, number.value, part))
        };
        nearest(self.sentence, at).or_else(|| self.by_product(number.value, part)).or_else(|| {
            let mut back = self.earlier.iter().rev();
            self.dose.then(|| back.find_map(|earlier| nearest(earlier, usize::MAX))).flatten()
        })
    }

    /// Whether a number or a word that leads to one follows: then the name before is that number's.
    fn leads_on(&self, at: usize) -> bool {
        let word = self.sentence.word(at);
        self.is_number(at)
            || ((says(&self.asking.aims, word)
                || says(&self.asking.changes, word)
                || word == "from")
                && (1..=3).any(|n| self.is_number(at + n)))
    }

    fn takes(&self, fact: FactId, value: f64, part: Part) -> bool {
        let Some(def) = self.knowledge.vocabulary.get(fact) else { return false };
        let Some((low, high)) = def.possible.or(def.plausible) else { return false };
        if part == Part::By {
            return value <= high && (def.name != "water.ph" || value < 2.0);
        }
        // 7.4 is a pH, unless it is called chlorine.
        let like_ph = (6.5..=8.6).contains(&value) && value.fract() > 0.0;
        let may = ["water.ph", "water.free_chlorine"].contains(&def.name.as_str());
        if part == Part::Either && def.name == "water.ph" && value < 2.0 {
            return true;
        }
        (low..=high).contains(&value) && (!like_ph || may)
    }

    /// The reading that a named product moves.
    fn by_product(&self, value: f64, part: Part) -> Option<FactId> {
        self.sentence.products.iter().find_map(|(_, id)| {
            let product = self.knowledge.product(id)?;
            let small = value < if part == Part::To { 14.0 } else { 2.0 };
            let moved = match product.family.as_str() {
                "acid" | "carbonate" if small => "water.ph",
                "acid" | "carbonate" => "water.total_alkalinity",
                "calcium" => "water.calcium_hardness",
                "stabilizer" => "water.cyanuric_acid",
                "salt" => "water.salt",
                "borate" => "water.borate",
                _ => "water.free_chlorine",
            };
            let fact = self.knowledge.vocabulary.find(moved)?;
            self.takes(fact, value, part).then_some(fact)
        })
    }
}
