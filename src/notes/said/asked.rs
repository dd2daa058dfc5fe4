//! How like a question is to what a section says, small words included: "how much", "which first".

use super::{Known, Said};
use crate::notes::index::{Words, number};
use crate::notes::lookup::Lookup;
use std::collections::BTreeSet;

/// A word that counts as much or more is a telling one.
const TELLING: f64 = 0.45;
/// A section's own words are mixed with so many words of all sections.
const SMOOTH: f64 = 30.0;
/// Unknown words of this many letters or more may hold a slip.
const SLIP_FROM: usize = 5;

/// The names in a question.
#[derive(Debug)]
pub(in super::super) struct Asked<'a> {
    said: &'a Said,
    /// For each name of the notes, one more than its place in `names` if it is asked, else 0.
    places: Vec<u8>,
    names: Vec<&'a Known>,
    /// The weight of the whole question, unknown words included.
    whole: f64,
}

/// How like a question is to a section; all but `small` from 0 to 1.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(in super::super) struct Likeness {
    /// The likest way of asking.
    pub(in super::super) likest: f64,
    /// Title and heading.
    pub(in super::super) heading: f64,
    /// How often the ways of asking hold the words of the question: the root of the share of ways that hold each.
    pub(in super::super) often: f64,
    /// The likest sentence of the text.
    pub(in super::super) sentence: f64,
    /// How much more the ways of asking use the small words of the question, "how much" or "why", than others do:
    /// the sum of logarithms of the ratios (a smoothed language model, Zhai and Lafferty 2004).
    pub(in super::super) small: f64,
}

impl<'a> Asked<'a> {
    /// Reads a question.
    pub(in super::super) fn of(
        said: &'a Said,
        words: &Words,
        lookup: &Lookup,
        question: &str,
    ) -> Self {
        let mut places = vec![0; said.names.len()];
        let mut names: Vec<&Known> = Vec::new();
        let (mut whole, mut unknown) = (0.0, BTreeSet::new());
        for name in said.groups.read(words, question) {
            let known = said.number(&name.name);
            let known = known.or_else(|| said.near(&name.name).filter(|_| name.informative));
            let Some(at) = known else {
                if unknown.insert(name.name.clone()) {
                    whole += said.groups.weigh(words, lookup, &name);
                }
                continue;
            };
            let (Some(place), Some(known)) = (places.get_mut(at), said.names.get(at)) else {
                continue;
            };
            if *place == 0 {
                names.push(known);
                *place = u8::try_from(names.len()).unwrap_or(0);
                whole += known.weight;
            }
        }
        Self { said, places, names, whole }
    }

    /// How like it is to a section, by its number.
    pub(in super::super) fn like(&self, section: usize) -> Likeness {
        let Some(section) = self.said.sections.get(section) else { return Likeness::default() };
        let mut likest: f64 = 0.0;
        let mut holding = vec![0_usize; self.names.len()];
        for way in &section.ways {
            likest = likest.max(self.phrase(way));
            for place in way.iter().filter_map(|name| self.place(*name)) {
                if let Some(ways) = holding.get_mut(place) {
                    *ways += 1;
                }
            }
        }
        let all = number(section.ways.len().max(1));
        let said = number(section.ways.iter().map(Vec::len).sum());
        let (mut often, mut small) = (0.0, 0.0);
        for (name, ways) in self.names.iter().zip(holding) {
            let ways = number(ways);
            often += name.weight * (ways / all).sqrt();
            if name.small {
                let here = SMOOTH.mul_add(name.usual, ways) / (said + SMOOTH);
                small += name.weight * (here / name.usual).ln();
            }
        }
        let sentences = section.sentences.iter().map(|sentence| self.phrase(sentence));
        Likeness {
            likest,
            heading: self.phrase(&section.heading),
            often: often / self.whole.max(TELLING),
            sentence: sentences.fold(0.0, f64::max),
            small,
        }
    }

    /// Where a name stands among the weights, if it is asked.
    fn place(&self, name: u32) -> Option<usize> {
        let place = self.places.get(usize::try_from(name).ok()?)?;
        usize::from(*place).checked_sub(1)
    }

    /// How like it is to a phrase: 0 for nothing in common but small words, 1 for the same words. Half of it is how much of
    /// the phrase is said in the question (containment), half how much the two overlap (Dice 1945).
    fn phrase(&self, names: &[u32]) -> f64 {
        let (mut common, mut others, mut telling) = (0.0, 0.0, false);
        for name in names {
            let known = usize::try_from(*name).ok().and_then(|at| self.said.names.get(at));
            let weight = known.map_or(0.0, |known| known.weight);
            others += weight;
            if self.place(*name).is_some() {
                common += weight;
                telling |= weight > TELLING;
            }
        }
        if telling {
            f64::midpoint(common / others, 2.0 * common / (self.whole + others))
        } else {
            0.0
        }
    }
}

impl Said {
    /// The name one slip (Damerau) away from an unknown one, first letter kept; the weightiest if there are several.
    fn near(&self, name: &str) -> Option<usize> {
        let first = name.chars().next().filter(|_| name.chars().count() >= SLIP_FROM)?;
        let letter = first.to_string();
        let start = self.names.partition_point(|known| known.name < letter);
        let known = self.names.iter().enumerate().skip(start);
        let of_letter = known.take_while(|(_, known)| known.name.starts_with(first));
        let near =
            of_letter.filter(|(_, known)| strsim::damerau_levenshtein(&known.name, name) == 1);
        near.max_by(|(_, a), (_, b)| a.weight.total_cmp(&b.weight)).map(|(at, _)| at)
    }
}
