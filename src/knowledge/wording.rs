//! Wordings by key, as plans say them: `"wait {hours} h"`.

use super::document::Reader;
use std::collections::BTreeMap;

/// A wording with its `{names}` filled in; the key itself where it is missing.
pub(super) fn worded(words: &BTreeMap<String, String>, key: &str, fill: &[(&str, &str)]) -> String {
    let wording = words.get(key).map_or(key, String::as_str);
    fill.iter()
        .fold(wording.to_owned(), |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
}

/// The entries of a table of texts.
pub(super) fn read_pairs(table: &Reader<'_, '_>) -> BTreeMap<String, String> {
    table.entries().into_iter().map(|(name, value)| (name.text, value.text)).collect()
}
