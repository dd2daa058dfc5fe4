//! Words said to the program itself, and not about a pool.

use crate::knowledge::Knowledge;

/// What such a message wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Said {
    /// What can be typed.
    Help,
    /// Why this answer, or its action of this number.
    Why(Option<usize>),
    /// All of the last answer, also what can wait.
    More,
    /// Why not this.
    WhyNot(String),
    /// Take back what was said last.
    ForgetThat,
    /// Take back everything.
    ForgetAll,
    /// Yes, to the question that was asked.
    Yes,
    /// No, to the question that was asked.
    No,
    /// The one asked does not know.
    DontKnow,
}

/// The whole message, if it is one of these; everything else is read for facts.
pub(super) fn said(message: &str) -> Option<Said> {
    let text = message.trim().trim_end_matches(['?', '!', '.']).trim().to_lowercase();
    let found = match text.as_str() {
        "help" | "what can i say" | "what can you do" => Said::Help,
        "why" | "why that" | "why so" | "how come" => Said::Why(None),
        "more" | "tell me more" | "show more" | "all of it" | "the rest" => Said::More,
        "forget that" | "forget it" | "scratch that" | "undo" => Said::ForgetThat,
        "forget everything" | "forget all" | "start over" | "new pool" => Said::ForgetAll,
        "yes" | "y" | "yep" | "yeah" | "yup" | "si" | "right" | "correct" => Said::Yes,
        "no" | "n" | "nope" | "nah" => Said::No,
        "dunno" | "don't know" | "dont know" | "i don't know" | "i dont know" | "no idea"
        | "not sure" | "no clue" => Said::DontKnow,
        _ => {
            if let Some(rest) = text.strip_prefix("why not ") {
                return Some(Said::WhyNot(rest.to_owned()));
            }
            let rest = text.strip_prefix("why ")?;
            let number = rest
                .trim_start_matches(['#', ' '])
                .trim_start_matches("step ")
                .trim_end_matches('.');
            Said::Why(Some(number.parse().ok()?))
        }
    };
    Some(found)
}

/// The action that a few words mean best: most of the words stand in its id or its wording.
pub(super) fn action_meant<'k>(words: &str, knowledge: &'k Knowledge) -> Option<&'k str> {
    let wanted = stems(words);
    let scored = knowledge.actions.iter().filter_map(|action| {
        let wording = action.text.fill(&|_| String::new());
        let (id, text) = (stems(&action.id.replace('-', " ")), stems(&wording));
        let weight =
            |stem: &String| if id.contains(stem) { 3 } else { usize::from(text.contains(stem)) };
        let hits: usize = wanted.iter().map(weight).sum();
        let met = wanted.iter().filter(|stem| weight(stem) > 0).count();
        (met * 2 > wanted.len()).then_some((hits, std::cmp::Reverse(id.len()), action.id.as_str()))
    });
    scored.max().map(|(_, _, id)| id)
}

/// The telling words of a text, cut to their beginnings.
fn stems(text: &str) -> Vec<String> {
    let small = [
        "the", "and", "its", "it", "to", "a", "of", "is", "in", "on", "not", "me", "my", "i",
        "just",
    ];
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty() && !small.contains(word))
        .map(|word| word.chars().take(5).collect::<String>().trim_end_matches('e').to_owned())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_to_the_program_are_told_from_reports() {
        assert_eq!(said("Why?"), Some(Said::Why(None)));
        assert_eq!(said("why 2"), Some(Said::Why(Some(2))));
        assert_eq!(said("why not restart it"), Some(Said::WhyNot("restart it".to_owned())));
        assert_eq!(said("why is my water green?"), None);
        assert_eq!(said("pump is off"), None);
        assert_eq!(said("more"), Some(Said::More));
        assert_eq!(said("scratch that"), Some(Said::ForgetThat));
    }
}
