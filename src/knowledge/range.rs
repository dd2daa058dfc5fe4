//! Ranges of the water values: five bands by surface, each with its source and standing.

use super::document::{Reader, Text};
use super::named::named;
use super::vocabulary::{FactDef, Vocabulary};
use crate::facts::{ChoiceSet, FactId};
use crate::problem::{Code, Place, Problem};
use crate::units::{UnitId, convert, parse_quantity, unit};
use serde::{Deserialize, Serialize};

/// The fact that chooses among the ranges of a value.
pub const SURFACE: &str = "pool.surface";
/// The fact that chooses among bodies that differ, and its values.
pub const USE: &str = "pool.use";
/// Its values; each may be a key of a range.
pub const USES: [&str; 2] = ["residential", "public"];

/// A set of the five bands of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct BandSet(u8);

impl BandSet {
    /// The bands, from below to above.
    pub const NAMES: [&'static str; 5] = ["very-low", "low", "ok", "high", "very-high"];

    /// The place of "ok" among them.
    pub const OK: u8 = 2;

    /// From choices among [`Self::NAMES`].
    #[must_use]
    pub fn from_choices(set: ChoiceSet) -> Self {
        Self(
            (0..5u8)
                .filter(|n| set.meets(ChoiceSet::one(usize::from(*n))))
                .fold(0, |all, n| all | (1 << n)),
        )
    }

    /// The other bands.
    #[must_use]
    pub const fn complement(self) -> Self {
        Self(!self.0 & 0b1_1111)
    }

    /// Whether a band is in it.
    #[must_use]
    pub fn holds(self, band: u8) -> bool {
        band < 5 && self.0 & (1 << band) != 0
    }
}

/// Whether a range is a published standard or a habit of the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Standing {
    /// A published standard or code.
    Standard,
    /// A habit of the trade.
    Habit,
}

/// The bands of one value on some surfaces, in the canonical unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// Of which fact.
    pub fact: FactId,
    /// On which surfaces; all of them if empty.
    pub surfaces: ChoiceSet,
    /// Whether it is used while the surface is unknown.
    pub default: bool,
    /// Edges from below: very-low | low | ok | high | very-high. Left out edges are infinite.
    pub edges: [f64; 4],
    /// What to aim for.
    pub aim: Option<f64>,
    /// Standard or habit.
    pub standing: Standing,
    /// Where it comes from.
    pub source: String,
    /// What others say of any pool.
    pub also: Vec<String>,
    /// What others say of some pools, in the order of [`USES`].
    pub by_use: [Vec<String>; 2],
    /// The note that explains it, `note#section`.
    pub note: Option<String>,
    /// Where it is written.
    pub place: Place,
}

impl Range {
    /// The band of a value: 0 very-low … 4 very-high. An edge belongs to the band nearer to ok.
    #[must_use]
    pub fn band(&self, value: f64) -> u8 {
        let [very_low, low, high, very_high] = self.edges;
        // Typed values such as 7.8 must not fall off an edge by the last bit.
        let slack = 1e-9 * value.abs().max(1.0);
        if value < very_low - slack {
            0
        } else if value < low - slack {
            1
        } else if value <= high + slack {
            2
        } else if value <= very_high + slack {
            3
        } else {
            4
        }
    }
}

/// The bands of the saturation index: below the first and above the last edge something is done, and then it is
/// brought between the two in the middle.
#[derive(Debug, Clone, PartialEq)]
pub struct IndexBands {
    default: [f64; 4],
    by_surface: Vec<(String, [f64; 4])>,
    /// At the hot wall of a heater.
    pub exchanger: [f64; 4],
}

impl IndexBands {
    /// From the ranges.
    pub(super) fn of_ranges(ranges: &[Range], words: &Vocabulary) -> Self {
        let none = [f64::NEG_INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::INFINITY];
        let of = |name: &str| {
            let fact = words.find(name);
            ranges.iter().filter(move |range| Some(range.fact) == fact)
        };
        let default =
            |name: &str| of(name).find(|range| range.default).map_or(none, |range| range.edges);
        let surfaces = words.def(SURFACE).map(FactDef::values).unwrap_or(&[]);
        let by_surface = of("figure.saturation_index").flat_map(|range| {
            let named = range.surfaces.iter().filter_map(|n| surfaces.get(n));
            named.map(|surface| (surface.clone(), range.edges))
        });
        Self {
            by_surface: by_surface.collect(),
            default: default("figure.saturation_index"),
            exchanger: default("figure.saturation_index_exchanger"),
        }
    }

    /// Those of a surface; the default ones while it is unknown.
    #[must_use]
    pub fn of(&self, surface: Option<&str>) -> [f64; 4] {
        let found = self.by_surface.iter().find(|(name, _)| Some(name.as_str()) == surface);
        found.map_or(self.default, |(_, edges)| *edges)
    }
}

/// Reads one `[[range]]`.
pub(super) fn read_range(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<Range> {
    let name = table.text("fact")?;
    let fact = named(table, &name, words);
    let canonical = fact.and_then(|id| words.get(id)).and_then(FactDef::unit);
    let edge = |key, missing: f64| {
        let text = table.opt_text(key);
        text.and_then(|text| quantity(table, &text, canonical)).unwrap_or(missing)
    };
    let edges = [
        edge("very_low", f64::NEG_INFINITY),
        edge("low", f64::NEG_INFINITY),
        edge("high", f64::INFINITY),
        edge("very_high", f64::INFINITY),
    ];
    if edges.windows(2).any(|pair| matches!(pair, [a, b] if a > b)) {
        let message = "very_low, low, high and very_high do not rise";
        table.problem(Problem::error(Code::Range, Some(name.place()), message));
    }
    let range = Range {
        fact: fact.unwrap_or(FactId(u16::MAX)),
        surfaces: read_surfaces(table, words),
        default: table.flag("default").unwrap_or(false),
        edges,
        aim: table.opt_text("aim").and_then(|text| quantity(table, &text, canonical)),
        standing: read_standing(table),
        source: table.string("source"),
        also: table.strings("also"),
        by_use: USES.map(|value| table.strings(value)),
        note: table.opt_string("note"),
        place: name.place(),
    };
    table.finish();
    fact.map(|_| range)
}

fn quantity(table: &Reader<'_, '_>, text: &Text<'_>, canonical: Option<UnitId>) -> Option<f64> {
    let canonical = canonical?;
    let read = parse_quantity(&text.text).and_then(|(value, from)| {
        convert(value, from, canonical).ok_or_else(|| {
            format!("`{}` is not in a unit like `{}`", text.text, unit(canonical).name)
        })
    });
    read.map_err(|why| table.problem(Problem::error(Code::Units, Some(text.place()), why))).ok()
}

fn read_surfaces(table: &Reader<'_, '_>, words: &Vocabulary) -> ChoiceSet {
    let mut set = ChoiceSet::default();
    for text in table.texts("surface") {
        match words.def(SURFACE).and_then(|def| def.choice(&text.text)) {
            Some(at) => set = set.with(at),
            None => {
                let message = format!("`{}` is not a surface", text.text);
                let known = words.def(SURFACE).map(FactDef::values).unwrap_or(&[]);
                let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
                table.problem(problem.did_you_mean(&text.text, known.iter().map(String::as_str)));
            }
        }
    }
    set
}

fn read_standing(table: &Reader<'_, '_>) -> Standing {
    let Some(text) = table.text("standing") else { return Standing::Habit };
    match text.text.as_str() {
        "standard" => Standing::Standard,
        "habit" => Standing::Habit,
        other => {
            let message = format!("`{other}` is not a standing");
            let problem = Problem::error(Code::Value, Some(text.place()), message);
            table.problem(problem.help("write `standard` or `habit`"));
            Standing::Habit
        }
    }
}
