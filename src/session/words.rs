//! Words said to the program itself, and not about a pool.

use crate::knowledge::{Knowledge, Talk};

/// What such a message wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Said {
    /// What can be typed.
    Help,
    /// Why this answer, or its action of this number.
    Why(Option<usize>),
    /// Why not this.
    WhyNot(String),
    /// What would have to be different for this.
    Flip(String),
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
    /// The answer once more.
    Again,
    /// All of the last answer, also what can wait.
    More,
    /// Everything that is known.
    Facts,
    /// The emergency is over.
    Over,
    /// A courtesy.
    Thanks,
    /// Something about the steps.
    Step(Walking),
}

/// What is said to somebody who is led through the steps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Walking {
    /// Begin at the first.
    Begin,
    /// Go on.
    Next,
    /// The one in hand is done, or those of these numbers.
    Done(Vec<usize>),
    /// The one before.
    Back,
    /// Which one it is.
    Where,
    /// Leave the one in hand out.
    Skip,
    /// End, with a summary.
    Stop,
    /// It, or the thing named, cannot be found or done.
    Stuck(String),
    /// How much time is left.
    HowLong,
}

/// The whole message, if it is one of these; everything else is read for facts.
pub(super) fn said(message: &str, talk: &Talk) -> Option<Said> {
    if let Some(phrase) = talk.phrase(message) {
        return of_phrase(phrase);
    }
    let over = |clause: &str| talk.phrase(clause) == Some("over");
    if message.split([',', '.', ';', '!']).any(over) {
        return Some(Said::Over);
    }
    let (key, rest) = talk.beginning(message)?;
    match key {
        "why_not" if !rest.is_empty() => Some(Said::WhyNot(rest)),
        "why" => Some(Said::Why(Some(*numbers(&rest)?.first()?))),
        "done" => Some(Said::Step(Walking::Done(numbers(&rest)?))),
        "stuck" => Some(Said::Step(Walking::Stuck(rest))),
        "flip" => Some(Said::Flip(rest)),
        _ => None,
    }
}

fn of_phrase(phrase: &str) -> Option<Said> {
    Some(match phrase {
        "help" => Said::Help,
        "why" => Said::Why(None),
        "forget_that" => Said::ForgetThat,
        "forget_all" => Said::ForgetAll,
        "yes" => Said::Yes,
        "no" => Said::No,
        "dont_know" => Said::DontKnow,
        "again" => Said::Again,
        "more" => Said::More,
        "facts" => Said::Facts,
        "over" => Said::Over,
        "thanks" => Said::Thanks,
        "begin" => Said::Step(Walking::Begin),
        "next" => Said::Step(Walking::Next),
        "done" => Said::Step(Walking::Done(Vec::new())),
        "back" => Said::Step(Walking::Back),
        "where" => Said::Step(Walking::Where),
        "skip" => Said::Step(Walking::Skip),
        "stop" => Said::Step(Walking::Stop),
        "how_long" => Said::Step(Walking::HowLong),
        _ => return None,
    })
}

/// "2", "step 2", "with 1 and 2": the numbers, if nothing else is said.
fn numbers(rest: &str) -> Option<Vec<usize>> {
    let small = ["step", "steps", "number", "no", "with", "and", "to"];
    let words = rest.split_whitespace().filter(|word| !small.contains(word));
    let numbers: Option<Vec<usize>> = words.map(|word| word.parse().ok()).collect();
    numbers.filter(|numbers| !numbers.is_empty())
}

/// A word about the steps at the end or the beginning of a message ("found it, done"), and the rest of it.
pub(super) fn with_step<'m>(message: &'m str, talk: &Talk) -> Option<(&'m str, Walking)> {
    let cuts = message.match_indices([',', '.', ';', '!']).map(|(at, sign)| (at, at + sign.len()));
    let cuts: Vec<(usize, usize)> = cuts.collect();
    let step = |part: &str| match said(part, talk) {
        Some(Said::Step(Walking::Stuck(_)) | Said::Why(_)) | None => None,
        Some(Said::Step(walking)) => Some(walking),
        Some(_) => None,
    };
    let last = cuts.last().and_then(|(at, end)| Some((message.get(..*at)?, message.get(*end..)?)));
    let first =
        cuts.first().and_then(|(at, end)| Some((message.get(*end..)?, message.get(..*at)?)));
    [last, first].into_iter().flatten().find_map(|(rest, part)| Some((rest, step(part)?)))
}

/// The action that a few words mean best: most of the words stand in its id or its wording.
pub(super) fn action_meant<'k>(words: &str, knowledge: &'k Knowledge) -> Option<&'k str> {
    actions_meant(words, knowledge).into_iter().next()
}

/// The actions that a few words may mean, best first.
pub(super) fn actions_meant<'k>(words: &str, knowledge: &'k Knowledge) -> Vec<&'k str> {
    let same_as = &knowledge.talk.same_as;
    let meant = words.split_whitespace().map(|word| {
        let plain = word.to_lowercase();
        same_as.get(plain.trim_matches(|c: char| !c.is_alphanumeric())).cloned().unwrap_or(plain)
    });
    let wanted = stems(&meant.collect::<Vec<_>>().join(" "));
    let mut scored: Vec<_> = knowledge
        .actions
        .iter()
        .filter_map(|action| {
            let wording = action.text.fill(&|_| String::new());
            let (id, text) = (stems(&action.id.replace('-', " ")), stems(&wording));
            let weight = |stem: &String| {
                if id.contains(stem) { 3 } else { usize::from(text.contains(stem)) }
            };
            let hits: usize = wanted.iter().map(weight).sum();
            let met = wanted.iter().filter(|stem| weight(stem) > 0).count();
            let fits = met * 2 > wanted.len();
            fits.then_some((hits, std::cmp::Reverse(id.len()), action.id.as_str()))
        })
        .collect();
    scored.sort_by(|a, b| b.cmp(a));
    scored.into_iter().map(|(_, _, id)| id).collect()
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
        .map(|word| {
            let root = word.strip_suffix("ning").or_else(|| word.strip_suffix("ing"));
            root.filter(|root| root.len() > 2).unwrap_or(word)
        })
        .map(|word| word.chars().take(5).collect::<String>().trim_end_matches('e').to_owned())
        .collect()
}
