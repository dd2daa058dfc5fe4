//! When a question may be asked: silly ones are kept back, and none is asked while people are in danger.

use super::condition::{Condition, read_condition};
use super::document::Reader;
use super::named::named;
use super::vocabulary::Vocabulary;
use crate::facts::FactId;
use serde::{Deserialize, Serialize};

/// When a fact may be asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskWhen {
    /// The fact.
    pub fact: FactId,
    /// All must be true.
    pub when: Vec<Condition>,
    /// None may be true.
    pub unless: Vec<Condition>,
}

/// When which question is kept back.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Questions {
    /// While one of these is true nothing is asked.
    pub silent_when: Vec<Condition>,
    /// The preconditions of some facts.
    pub asked: Vec<AskWhen>,
}

/// Reads `questions.toml`.
pub(super) fn read_questions(top: &Reader<'_, '_>, words: &Vocabulary) -> Questions {
    let conditions = |table: &Reader<'_, '_>, key: &'static str| -> Vec<Condition> {
        let texts = table.texts(key);
        texts.iter().filter_map(|text| read_condition(text, words, table.problems())).collect()
    };
    let silent_when = conditions(top, "silent_when");
    let mut asked = Vec::new();
    for table in top.tables("question") {
        let when = conditions(&table, "when");
        let unless = conditions(&table, "unless");
        for fact in table.texts("facts").iter().filter_map(|text| named(&table, text, words)) {
            asked.push(AskWhen { fact, when: when.clone(), unless: unless.clone() });
        }
        table.finish();
    }
    Questions { silent_when, asked }
}
