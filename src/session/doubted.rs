//! The question about a reading that was doubted.

use super::turn::Session;
use crate::advice::AnswerQuestion;

impl Session<'_> {
    /// A doubted reading is asked about before anything else.
    pub(super) fn doubt(&self) -> Option<AnswerQuestion> {
        let fact = self.talk.doubted.as_ref()?;
        let def = self.base.knowledge().vocabulary.get(fact.id)?;
        let why = fact.doubt.clone()?;
        let text = match fact.likely {
            Some(value) => {
                let shown = def.show(value, self.settings.units);
                format!("I read \"{}\" as {}. Did you mean {shown}?", fact.given, def.title)
            }
            None if fact.value.number().is_none() => {
                format!("I read \"{}\". Is that so?", fact.given)
            }
            None => {
                format!("I read \"{}\" as {}. What does it really read?", fact.given, def.title)
            }
        };
        Some(AnswerQuestion { fact: fact.id, name: def.name.clone(), text, why })
    }
}
