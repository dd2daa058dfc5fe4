//! Words and phrases: how messages name facts, states, times and wishes.

use super::document::Reader;
use super::vocabulary::Kind;
use serde::{Deserialize, Serialize};

/// The words by which messages name one fact.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Words {}

/// Reads the `[fact.words]` table of a fact.
pub(super) fn read_words(table: &Reader<'_, '_>, kind: Option<&Kind>) -> Words {
    let _ = (table, kind);
    Words::default()
}
