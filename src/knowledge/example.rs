//! Examples (`scenarios/examples.toml`): clauses of people who do an action, as they were said.
//!
//! Patterns of [`super::Doing`] say which words make a deed. Examples show whole clauses: what a trainee says that no
//! pattern knows is taken for the action whose example it is most like.

use super::document::Reader;
use crate::problem::Place;
use serde::{Deserialize, Serialize};

/// The examples of one action.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Examples {
    /// The action's id.
    pub id: String,
    /// Clauses, each with its place.
    pub clauses: Vec<(String, Place)>,
    /// Where the id is written.
    pub place: Place,
}

/// Reads `scenarios/examples.toml`.
pub(super) fn read_examples(top: &Reader<'_, '_>) -> Vec<Examples> {
    let Some(table) = top.table("does") else { return Vec::new() };
    let lists = table.lists().into_iter().map(|(name, texts)| {
        let clauses = texts.into_iter().map(|text| (text.text.clone(), text.place())).collect();
        Examples { place: name.place(), id: name.text, clauses }
    });
    lists.collect()
}
