//! The known name nearest to a mistaken one.

/// The nearest of the known names, if it is near enough to be meant; ties go to the first by name.
#[must_use]
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = (written.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|name| (strsim::damerau_levenshtein(written, name), name))
        .filter(|(distance, _)| *distance <= allowed)
        .min()
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_names_are_offered_and_far_ones_are_not() {
        let known = ["air.temperature", "water.temperature", "water.ph"];
        assert_eq!(nearest("air.temprature", known), Some("air.temperature"));
        assert_eq!(nearest("pool.depth", known), None);
    }
}
