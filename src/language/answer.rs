//! Short answers to a question that was just asked: "yes", "about 18", "none".

use super::bind::Binder;
use super::quantity::fit;
use super::statement::Statement;
use crate::facts::{ChoiceSet, FactId, Value};
use crate::knowledge::{Kind, Role, Short, plain_words};

/// A message of more words than this is no short answer.
const SHORT: usize = 8;
/// So many words are few.
const FEW: usize = 4;

/// What a short answer says of the fact that was asked about.
#[must_use]
pub fn answer(
    binder: &Binder<'_, '_>,
    text: &str,
    asked: FactId,
    rest: &[usize],
    told: &[Statement],
) -> Option<Statement> {
    if told.iter().any(|statement| statement.fact == asked) {
        return None;
    }
    let def = binder.knowledge.vocabulary.get(asked)?;
    let words = binder.pieces.iter().filter(|p| p.sign.is_none() && !p.line).count();
    if let Kind::Number { .. } = def.kind {
        let at = *rest.first().filter(|_| words <= SHORT)?;
        let measure = binder.pieces.get(at)?.measure?;
        let fit = fit(def, &measure, binder.habit)?;
        return Some(Statement::new(asked, Value::Number(fit.value), at, at));
    }
    let answers = &binder.knowledge.answers;
    let said = if words <= SHORT { plain_words(text) } else { Vec::new() };
    // Words that say something by themselves answer only if they are few.
    let alone = told.is_empty() || said.len() <= FEW;
    match answers.says(asked, &said).filter(|_| alone) {
        Some(Short::Is(value)) => {
            let last = binder.pieces.len().saturating_sub(1);
            return Some(Statement::new(asked, value, 0, last));
        }
        Some(Short::IsNot) => return None,
        None => {}
    }
    let first = |roles: [Role; 2]| {
        binder.pieces.iter().take(3).position(|p| roles.into_iter().any(|role| p.is(role)))
    };
    match &def.kind {
        Kind::YesNo { .. } => {
            let at = first([Role::Yes, Role::No])?;
            let yes = binder.pieces.get(at)?.is(Role::Yes);
            // "I'm not there yet" denies something else.
            let meant = yes || at == 0 || !answers.is_elsewhere(&said);
            meant.then(|| Statement::new(asked, Value::Flag(yes), at, at))
        }
        kind => {
            let none = def.choice("none")?;
            let at = first([Role::No, Role::Denied])?;
            let value = match kind {
                Kind::OneOf(_) => Value::Choice(u8::try_from(none).ok()?),
                _ => Value::Choices(ChoiceSet::one(none)),
            };
            let meant = words <= SHORT && !answers.is_elsewhere(&said);
            meant.then(|| Statement::new(asked, value, at, at))
        }
    }
}
