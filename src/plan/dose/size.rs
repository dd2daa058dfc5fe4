//! Dimensions of a pool as messages say them: `30 by 15, 5 ft deep average`, `round, 24 ft across, 4 ft deep`.

use crate::knowledge::Dosing;
use crate::problem::Span;
use crate::units::{System, UnitId, convert, find_unit};

/// Litres in a cubic metre.
const LITRES_PER_M3: f64 = 1e3;
/// Words between a number and what says that it is a depth or a diameter.
const NEAR: usize = 3;

/// A pool's size that a message says.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeSaid {
    /// Its volume, L.
    pub litres: f64,
    /// The shape taken.
    pub shape: String,
    /// From the first number to the last word of it.
    pub span: Span,
}

/// A number, a unit of length, or a word of the message.
#[derive(Debug, Clone, PartialEq)]
enum Bit {
    Number(f64),
    Unit(UnitId),
    By,
    To,
    Word(String),
}

/// Reads a pool's dimensions from a message: two lengths or a diameter, and a depth (an average, or two ends).
/// `None` unless both are there.
#[must_use]
pub fn size_said(message: &str, dosing: &Dosing, system: System) -> Option<SizeSaid> {
    let bits = bits(message);
    let scan = Scan { bits: &bits };
    let word = |bit: &Bit| match bit {
        Bit::Word(word) => dosing.shape(word),
        _ => None,
    };
    let shape = bits.iter().find_map(|(bit, _)| word(bit));
    let round = shape.is_some_and(|shape| shape.name == "round");
    let (mut area, plain) = if round { scan.diameter() } else { scan.sides() }?;
    let depth = scan.depth(&area).or_else(|| {
        // "32 x 16 x 5": the third of a row is the depth.
        (area.len() == 3).then(|| area.pop().into_iter().collect())
    })?;
    let spoken = area.iter().chain(&depth).find_map(|length| length.unit);
    let default = find_unit(if system == System::Us { "ft" } else { "m" });
    let metres = |length: &Length| {
        let from = length.unit.or(spoken).or(default)?;
        convert(length.value, from, find_unit("m")?)
    };
    let sides: Option<Vec<f64>> = area.iter().take(2).map(metres).collect();
    let ends: Option<Vec<f64>> = depth.iter().map(metres).collect();
    let (sides, ends) = (sides?, ends?);
    let deep = ends.iter().sum::<f64>() / crate::units::count(ends.len().max(1));
    let flat = match sides.as_slice() {
        [diameter] => diameter * diameter,
        [length, width] => length * width,
        _ => return None,
    };
    let name = if plain { shape.map_or("rectangle", |shape| &shape.name) } else { "round" };
    let factor = dosing.shape(name).map_or(1.0, |shape| shape.factor);
    let litres = flat * deep * factor * LITRES_PER_M3;
    let places = area.iter().chain(&depth).map(|length| length.at);
    let (first, last) = (places.clone().min()?, places.max()?);
    let start = bits.get(first)?.1.start;
    let end = scan.end_of(last);
    (dosing.pool_least_l..=dosing.pool_most_l).contains(&litres).then(|| SizeSaid {
        litres,
        shape: name.to_owned(),
        span: Span::new(start, end),
    })
}

/// A length with its unit, if it has one, and its place.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Length {
    value: f64,
    unit: Option<UnitId>,
    at: usize,
}

struct Scan<'b> {
    bits: &'b [(Bit, Span)],
}

impl Scan<'_> {
    fn bit(&self, at: usize) -> Option<&Bit> {
        self.bits.get(at).map(|(bit, _)| bit)
    }

    /// A length at a place, and the place after it.
    fn length(&self, at: usize) -> Option<(Length, usize)> {
        let Some(Bit::Number(value)) = self.bit(at) else { return None };
        let unit = match self.bit(at + 1) {
            Some(Bit::Unit(unit)) => Some(*unit),
            _ => None,
        };
        let next = at + 1 + usize::from(unit.is_some());
        (*value > 0.0).then_some((Length { value: *value, unit, at }, next))
    }

    /// Two lengths or three with "by" between; true because it is not told by a diameter.
    fn sides(&self) -> Option<(Vec<Length>, bool)> {
        (0..self.bits.len()).find_map(|at| {
            let (first, mut next) = self.length(at)?;
            let mut found = vec![first];
            while found.len() < 3 && self.bit(next) == Some(&Bit::By) {
                let (length, after) = self.length(next + 1)?;
                found.push(length);
                next = after;
            }
            (found.len() > 1).then_some((found, true))
        })
    }

    /// The length nearest to a word for round or across; a row of two is diameter and depth.
    fn diameter(&self) -> Option<(Vec<Length>, bool)> {
        if let Some((mut row, _)) = self.sides() {
            let depth = (row.len() > 2).then(|| row.pop()).flatten();
            row.truncate(1 + usize::from(depth.is_some()));
            return Some((row, false)).filter(|_| depth.is_some()).or_else(|| self.first_length());
        }
        self.first_length()
    }

    fn first_length(&self) -> Option<(Vec<Length>, bool)> {
        let lengths = (0..self.bits.len()).filter_map(|at| self.length(at));
        let mut likely = lengths.filter(|(length, next)| {
            length.unit.is_some() && !self.says(*next, "deep") && !self.after(length.at, "depth")
        });
        likely.next().map(|(length, _)| (vec![length], false))
    }

    /// Whether one of the next words is this one, with no number between.
    fn says(&self, at: usize, word: &str) -> bool {
        let mut ahead = (at..at + NEAR).map_while(|at| match self.bit(at) {
            Some(Bit::Word(word)) => Some(word),
            _ => None,
        });
        ahead.any(|said| said.starts_with(word))
    }

    /// Whether one of the words right before is this one, with no number between.
    fn after(&self, at: usize, word: &str) -> bool {
        let back = (1..=NEAR).map_while(|n| match at.checked_sub(n).and_then(|at| self.bit(at)) {
            Some(Bit::Word(word)) => Some(word),
            _ => None,
        });
        back.into_iter().any(|said| said.starts_with(word))
    }

    /// The depth: one length or two ends, none of them a side.
    fn depth(&self, sides: &[Length]) -> Option<Vec<Length>> {
        let free = |length: &Length| !sides.iter().any(|side| side.at == length.at);
        for at in 0..self.bits.len() {
            let Some((first, mut next)) = self.length(at).filter(|(length, _)| free(length)) else {
                continue;
            };
            let mut ends = vec![first];
            // "3 to 8 ft deep", "3 ft shallow end, 8 ft deep end".
            if self.says(next, "shallow") {
                while matches!(self.bit(next), Some(Bit::Word(_) | Bit::To)) {
                    next += 1;
                }
                next = next.saturating_sub(1);
            }
            if matches!(self.bit(next), Some(Bit::To | Bit::Word(_)))
                && let Some((second, after)) = self.length(next + 1).filter(|(l, _)| free(l))
                && (self.bit(next) == Some(&Bit::To) || self.says(after, "deep"))
            {
                ends.push(second);
                next = after;
            }
            if self.says(next, "deep")
                || self.says(next, "depth")
                || self.after(at, "depth")
                || self.after(at, "deep")
            {
                return Some(ends);
            }
        }
        None
    }

    /// Where a length ends, with the words that say what it is.
    fn end_of(&self, at: usize) -> usize {
        let mut end = at;
        for ahead in at + 1..=at + NEAR {
            match self.bit(ahead) {
                Some(Bit::Unit(_)) => end = ahead,
                Some(Bit::Word(word))
                    if ["deep", "depth", "average", "avg", "end", "across"]
                        .iter()
                        .any(|known| word.starts_with(known)) =>
                {
                    end = ahead;
                }
                _ => break,
            }
        }
        self.bits.get(end).map_or(0, |(_, span)| span.end)
    }
}

/// The message as numbers, units of length, "by", "to" and words.
fn bits(message: &str) -> Vec<(Bit, Span)> {
    let lower = message.to_lowercase();
    let mut bits = Vec::new();
    let mut at = 0;
    while let Some(rest) = lower.get(at..).filter(|rest| !rest.is_empty()) {
        let kind = |c: char| {
            if c.is_ascii_digit() || c == '.' {
                0
            } else if c.is_alphabetic() || c == '-' {
                1
            } else {
                2
            }
        };
        let first = rest.chars().next().map_or(2, kind);
        let length = match first {
            2 => rest.chars().next().map_or(1, char::len_utf8),
            of => rest.chars().take_while(|c| kind(*c) == of).map(char::len_utf8).sum(),
        };
        let text = rest.get(..length).unwrap_or_default();
        let bit = match (first, text) {
            (0, number) => number.trim_end_matches('.').parse().ok().map(Bit::Number),
            (2, "'" | "′" | "’") => find_unit("ft").map(Bit::Unit),
            (2, "\"" | "″") => find_unit("in").map(Bit::Unit),
            (2, "×" | "*") | (1, "x" | "by") => Some(Bit::By),
            (1, "to" | "-" | "and") => Some(Bit::To),
            (1, word) => {
                Some(length_unit(word).map_or_else(|| Bit::Word(word.to_owned()), Bit::Unit))
            }
            _ => None,
        };
        // Lower case may have other lengths than what was typed: such a message has no places.
        let span = Span::new(at.min(message.len()), (at + length).min(message.len()));
        bits.extend(bit.map(|bit| (bit, span)));
        at += length;
    }
    bits
}

fn length_unit(word: &str) -> Option<UnitId> {
    if ![
        "ft", "foot", "feet", "m", "meter", "meters", "metre", "metres", "in", "inch", "inches",
        "cm",
    ]
    .contains(&word)
    {
        return None;
    }
    find_unit(word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::knowledge::{Knowledge, read_folder};

    fn dosing() -> Dosing {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
        Knowledge::load(&read_folder(&folder).unwrap()).value.dosing
    }

    /// Geometry, and 7.48052 US gal in a cubic foot (NIST SP 811).
    #[test]
    fn sizes_are_read_from_messages() {
        let dosing = dosing();
        let gallons = |cubic_feet: f64| cubic_feet * 7.480_52;
        let quarter = std::f64::consts::FRAC_PI_4;
        for (text, want) in [
            ("pool is 30 by 15, 5 ft deep average", gallons(30.0 * 15.0 * 5.0)),
            ("its a 32x16 rectangle, 3 to 8 feet deep, ph 8", gallons(32.0 * 16.0 * 5.5)),
            ("round pool 24 ft across, 4 ft deep, fc 0", gallons(24.0 * 24.0 * 4.0 * quarter)),
            ("15 ft round, 48 in deep", gallons(15.0 * 15.0 * 4.0 * quarter)),
            ("kidney pool 32x18 ft 3 to 8 ft deep", gallons(32.0 * 18.0 * 5.5 * 0.75)),
            ("oval 30' x 15', average depth 4.5 ft", gallons(30.0 * 15.0 * 4.5 * quarter)),
            ("10 x 5 x 1.5 m", 75_000.0 / 3.785_411_784),
            ("20 ft by 40 ft, 3 ft shallow end and 9 ft deep end", gallons(20.0 * 40.0 * 6.0)),
        ] {
            let said = size_said(text, &dosing, System::Us).unwrap_or_else(|| panic!("{text}"));
            let got = said.litres / 3.785_411_784;
            assert!((got / want - 1.0).abs() < 1e-3, "{text}: {got} against {want}");
        }
    }

    #[test]
    fn what_is_no_size_is_left() {
        let dosing = dosing();
        for text in [
            "ph 7.2 alk 90 ch 180, 44 F, 18000 gal",
            "30 by 15",
            "ice 2 in thick, wind 20 to 30",
            "the deep end is 8 ft deep",
            "2 x 4 in the shed",
            "",
        ] {
            assert_eq!(size_said(text, &dosing, System::Us), None, "{text}");
        }
    }
}
