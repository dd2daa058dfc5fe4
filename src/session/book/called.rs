//! Which pool a message calls by a part of its name: "old rectory: alk 60", "when were we last at Wharf?".

use super::Book;
use crate::logbook::parts_of;

/// A name is called by so many words at most.
const MOST_WORDS: usize = 4;

/// Words behind which a name may stand.
const BEFORE: [&str; 2] = ["at", "for"];

impl Book<'_> {
    /// The words at the beginning of a message, or behind "at", that stand in the name of one pool or more; the most
    /// words win. One word alone has to end in a colon, a comma or a question, or stand behind "at".
    pub(in super::super) fn called(&self, message: &str) -> Option<String> {
        let words: Vec<&str> = message.split_whitespace().collect();
        let opens = |at: &usize| {
            let before = at.checked_sub(1).and_then(|before| words.get(before));
            *at == 0 || before.is_some_and(|word| BEFORE.contains(&word.to_lowercase().as_str()))
        };
        (0..words.len()).filter(opens).find_map(|at| {
            let the = words.get(at).is_some_and(|word| word.eq_ignore_ascii_case("the"));
            let from = if the { at + 1 } else { at };
            (1..=MOST_WORDS).rev().find_map(|many| {
                let run = words.get(from..from + many)?;
                self.calls(run, at > 0)
            })
        })
    }

    fn calls(&self, run: &[&str], behind: bool) -> Option<String> {
        let (last, rest) = run.split_last()?;
        // A name does not run on behind a colon or a comma.
        if rest.iter().any(|word| word.ends_with([':', ',', '?', ';'])) {
            return None;
        }
        let ends = last.ends_with([':', ',', '?']);
        let parts = parts_of(&run.join(" "));
        let letters = parts.first()?.chars().filter(|c| c.is_alphabetic()).count();
        if letters < 2 || (run.len() == 1 && !ends && !behind) {
            return None;
        }
        let fits = |name: &str| {
            let name = parts_of(name);
            parts.iter().all(|part| name.contains(part))
        };
        self.pools.iter().any(|pool| fits(&pool.name)).then(|| parts.join(" "))
    }
}
