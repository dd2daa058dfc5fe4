//! Short answers to a question that was just asked: "yes", "about 18", "none".

use super::bind::Binder;
use super::quantity::fit;
use super::statement::Statement;
use crate::facts::{FactId, Value};
use crate::knowledge::{Kind, Role};

/// A message of more words than this is no short answer.
const SHORT: usize = 8;

/// What a short answer says of the fact that was asked about.
#[must_use]
pub fn answer(
    binder: &Binder<'_, '_>,
    asked: FactId,
    rest: &[usize],
    told: &[Statement],
) -> Option<Statement> {
    if told.iter().any(|statement| statement.fact == asked) {
        return None;
    }
    let def = binder.knowledge.vocabulary.get(asked)?;
    let words = binder.pieces.iter().filter(|p| p.sign.is_none() && !p.line).count();
    match &def.kind {
        Kind::Number { .. } => {
            let at = *rest.first().filter(|_| words <= SHORT)?;
            let measure = binder.pieces.get(at)?.measure?;
            let fit = fit(def, &measure, binder.habit)?;
            Some(Statement::new(asked, Value::Number(fit.value), at, at))
        }
        Kind::YesNo { .. } => {
            let at =
                binder.pieces.iter().take(3).position(|p| p.is(Role::Yes) || p.is(Role::No))?;
            let yes = binder.pieces.get(at)?.is(Role::Yes);
            Some(Statement::new(asked, Value::Flag(yes), at, at))
        }
        Kind::OneOf(_) | Kind::SeveralOf(_) => {
            let none = def.choice("none")?;
            let at =
                binder.pieces.iter().take(3).position(|p| p.is(Role::No) || p.is(Role::Denied))?;
            let value = match def.kind {
                Kind::OneOf(_) => Value::Choice(u8::try_from(none).ok()?),
                _ => Value::Choices(crate::facts::ChoiceSet::one(none)),
            };
            (words <= SHORT).then(|| Statement::new(asked, value, at, at))
        }
    }
}
