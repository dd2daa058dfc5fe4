//! Quantities of the knowledge, in the unit that the program counts in.

use super::document::{Reader, Text};
use crate::problem::{Code, Problem};
use crate::units::{convert, find_unit, parse_quantity};

/// A quantity of a key in a unit; what cannot be read is reported.
pub(super) fn measured(table: &Reader<'_, '_>, key: &'static str, unit_name: &str) -> Option<f64> {
    table.opt_text(key).and_then(|text| in_unit(table, &text, unit_name))
}

/// A quantity as text, in a unit.
pub(super) fn in_unit(table: &Reader<'_, '_>, text: &Text<'_>, unit_name: &str) -> Option<f64> {
    let wanted = find_unit(unit_name)?;
    let read = parse_quantity(&text.text).and_then(|(value, from)| {
        convert(value, from, wanted)
            .ok_or_else(|| format!("`{}` is not in a unit like `{unit_name}`", text.text))
    });
    read.map_err(|why| table.problem(Problem::error(Code::Units, Some(text.place()), why))).ok()
}
