//! How messages ask for a dose: the words of `[asking]` in `dosing.toml`.

use super::document::Reader;
use super::named::named;
use super::quantity::in_unit;
use super::vocabulary::Vocabulary;
use crate::facts::FactId;
use serde::{Deserialize, Serialize};

/// The words by which messages ask for a dose.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Asking {
    /// A product and its amount follow.
    pub adding: Vec<String>,
    /// As `adding`, of what was done: a question only where something is asked.
    pub added: Vec<String>,
    /// A value to reach follows.
    pub aims: Vec<String>,
    /// As `aims`, of wishes.
    pub wants: Vec<String>,
    /// A difference follows.
    pub changes: Vec<String>,
    /// Something is to rise.
    pub raise: Vec<String>,
    /// Something is to fall.
    pub lower: Vec<String>,
    /// Words between these and the number.
    pub fillers: Vec<String>,
    /// A number after these is how it stands, not where it is to go.
    pub states: Vec<String>,
    /// Water is taken out and replaced.
    pub drain: Vec<String>,
    /// What is said after these is of the fill water.
    pub fill_water: Vec<String>,
    /// Rain.
    pub rain: Vec<String>,
    /// What follows is on the van.
    pub have: Vec<String>,
    /// The product that follows is the one to be used.
    pub only: Vec<String>,
    /// Shares of the water in words, 0 to 1.
    pub shares: Vec<(String, f64)>,
    /// What people call the readings.
    pub names: Vec<(FactId, Vec<String>)>,
}

/// Reads `[asking]`.
pub(super) fn read_asking(table: &Reader<'_, '_>, words: &Vocabulary) -> Asking {
    let asking = Asking {
        adding: table.strings("adding"),
        added: table.strings("added"),
        aims: table.strings("aims"),
        wants: table.strings("wants"),
        changes: table.strings("changes"),
        raise: table.strings("raise"),
        lower: table.strings("lower"),
        fillers: table.strings("fillers"),
        states: table.strings("states"),
        drain: table.strings("drain"),
        fill_water: table.strings("fill_water"),
        rain: table.strings("rain"),
        have: table.strings("have"),
        only: table.strings("only"),
        shares: table.table("shares").map(|shares| read_shares(&shares)).unwrap_or_default(),
        names: table.table("names").map(|names| read_names(&names, words)).unwrap_or_default(),
    };
    table.finish();
    asking
}

fn read_shares(table: &Reader<'_, '_>) -> Vec<(String, f64)> {
    let found = table.entries().into_iter().filter_map(|(words, share)| {
        let percent = in_unit(table, &share, "%")?;
        Some((words.text, percent / 100.0))
    });
    found.collect()
}

fn read_names(table: &Reader<'_, '_>, words: &Vocabulary) -> Vec<(FactId, Vec<String>)> {
    let found = table.entries().into_iter().filter_map(|(name, called)| {
        let fact = named(table, &name, words)?;
        Some((fact, called.text.split(", ").map(str::to_owned).collect()))
    });
    found.collect()
}
