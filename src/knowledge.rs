//! Everything a senior technician may edit, loaded and checked.
//!
//! [`Knowledge::load`] reads named texts (packed into the program, or a `--knowledge` folder) and gathers
//! every problem on the way; [`Knowledge::check`] looks at what belongs together.

mod action;
mod asking;
mod check;
mod citation;
mod condition;
mod deed;
mod document;
mod doing;
mod dosing;
mod equipment;
mod example;
mod lexicon;
mod named;
mod product;
mod quantity;
mod question;
mod range;
mod rule;
mod scenario;
mod short;
mod source;
mod spoken;
mod stem;
mod talk;
mod task;
mod template;
mod trend;
mod vocabulary;
mod winter;
mod wording;

pub use action::{Action, Caution, IdRef, Who};
pub use asking::Asking;
pub use check::{contested, layers};
pub use citation::{Citation, NoteRef, Passage};
pub use condition::{Comparison, Concluded, Conclusion, Condition, Expr};
pub use deed::{DEED, Deed, Deeds};
pub use doing::{Concept, ConceptId, Doing, Pattern, Sayings, Shapes};
pub use dosing::{
    Assumed, ChlorineWeights, Dosing, Measure, MendLimits, Resolution, SearchWeights, Shape,
};
pub use equipment::{
    CoverDef, Equipment, ExposureDef, FormDef, HeaterSettings, MaterialDef, NightSettings, PartDef,
    PipeDef, PoolSettings, PumpSettings,
};
pub use example::Examples;
pub use lexicon::{
    AskKind, AskWords, Effect, Keeps, Label, LabelKind, Lexicon, Manner, Phrase, Role, Sense, Step,
    TermId, Traits, Words, plain_words, split_phrase,
};
pub use product::{Conflict, Form, Product, Strength, StrengthIs, Use};
pub use question::{AskWhen, Questions};
pub use range::{BandSet, IndexBands, Range, SURFACE, Standing, USE, USES};
pub use rule::{Example, Rule, Urgency, Verdict};
pub use scenario::{Call, DrawnFact, Level, Scenario, Skill, Spread, Told, Want};
pub use short::{Short, ShortAnswers};
pub use source::read_folder;
pub use spoken::{Period, PeriodUnit, RecordWords};
pub use stem::{stem, stems};
pub use talk::Talk;
pub use task::{Drawn, Every, Family, Season, Task, Work};
pub use template::{Part, Template, capital};
pub use trend::TrendLimits;
pub use vocabulary::{Bringer, FactDef, Kind, Thesaurus, Vocabulary};
pub use winter::{CheckAt, Found, NightCheck, Weights, Winter};

use crate::facts::{ChoiceSet, FactId, RuleId};
use crate::problem::{Checked, Problem, SourceText};
use document::{Problems, Reader, parse};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The knowledge, compiled.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Knowledge {
    /// Every fact.
    pub vocabulary: Vocabulary,
    /// Every word and phrase that messages are read by.
    pub lexicon: Lexicon,
    /// Every rule, in order of file and place.
    pub rules: Vec<Rule>,
    /// Every action, sorted by id.
    pub actions: Vec<Action>,
    /// Every caution, sorted by id.
    pub cautions: Vec<Caution>,
    /// Every range.
    pub ranges: Vec<Range>,
    /// The parts of a pad, covers, pumps and heaters.
    pub equipment: Equipment,
    /// What a cold night calls for.
    pub winter: Winter,
    /// Every product, in order of the file.
    pub products: Vec<Product>,
    /// The place of each product by all that it is called.
    pub product_names: BTreeMap<String, usize>,
    /// What may never meet what.
    pub conflicts: Vec<Conflict>,
    /// How treatment plans are made.
    pub dosing: Dosing,
    /// Recurring work, and the words of the record.
    pub work: Work,
    /// When which question is kept back.
    pub questions: Questions,
    /// How people answer it in a few words.
    pub answers: ShortAnswers,
    /// What people ask leave to do.
    pub deeds: Deeds,
    /// The words of the conversation.
    pub talk: Talk,
    /// Templates of drills, in order of file and place.
    pub scenarios: Vec<Scenario>,
    /// What is learnt by them, in order of the file.
    pub skills: Vec<Skill>,
    /// How people say what they do.
    pub doing: Doing,
}

/// Reads a file that stands by itself; false if there is none of that name.
fn read_file(all: &mut Knowledge, source: &SourceText, top: &Reader<'_, '_>) -> bool {
    match source.name.as_str() {
        "equipment.toml" => {
            all.equipment = equipment::read_equipment(source, top);
        }
        "winter.toml" => all.winter = winter::read_winter(top),
        "products.toml" => {
            (all.products, all.product_names, all.conflicts) = product::read_products(top);
        }
        "tasks.toml" => all.work = task::read_work(top, &all.vocabulary),
        "questions.toml" => {
            all.questions = question::read_questions(top, &all.vocabulary);
        }
        "answers.toml" => {
            all.answers = short::read_answers(top, &all.vocabulary);
        }
        "talk.toml" => all.talk = talk::read_talk(top),
        "deeds.toml" => {
            all.deeds = deed::read_deeds(top, &all.vocabulary);
        }
        "dosing.toml" => {
            all.dosing = dosing::read_dosing(top, &all.vocabulary);
        }
        _ => return false,
    }
    true
}

impl Knowledge {
    /// Reads the knowledge from its texts. What cannot be read is left out and reported.
    #[must_use]
    pub fn load(texts: &[SourceText]) -> Checked<Self> {
        let problems = Problems::default();
        let mut all = Self { vocabulary: read_vocabulary(texts, &problems), ..Self::default() };
        all.lexicon = lexicon::compile(texts, &all.vocabulary, &problems);
        for source in texts.iter().filter(|source| source.name.ends_with(".toml")) {
            let table = parse(source, &Problems::default());
            let top = Reader::new(source, &table, &problems);
            let (folder, file) = source.name.split_once('/').unwrap_or(("", &source.name));
            let topic = file.trim_end_matches(".toml");
            match folder {
                "rules" => {
                    top.tables("derived");
                    let rules = top.tables("rule");
                    all.rules.extend(
                        rules.iter().filter_map(|t| rule::read_rule(t, topic, &all.vocabulary)),
                    );
                }
                "actions" => {
                    let (actions, cautions) = (top.tables("action"), top.tables("caution"));
                    all.actions.extend(
                        actions.iter().filter_map(|t| action::read_action(t, &all.vocabulary)),
                    );
                    let cautions =
                        cautions.iter().filter_map(|t| action::read_caution(t, &all.vocabulary));
                    all.cautions.extend(cautions);
                }
                "ranges" => {
                    let ranges = top.tables("range");
                    all.ranges.extend(
                        ranges.iter().filter_map(|t| range::read_range(t, &all.vocabulary)),
                    );
                }
                "scenarios" => read_drills(&mut all, file, &top),
                "" if read_file(&mut all, source, &top) => {}
                _ => continue,
            }
            top.finish();
        }
        all.actions.sort_by(|a, b| a.id.cmp(&b.id));
        all.cautions.sort_by(|a, b| a.id.cmp(&b.id));
        let mut problems = problems.into_vec();
        check::stratify(&mut all, &mut problems);
        let problems = problems.into_iter().map(Problem::hinted).collect();
        Checked { value: all, problems }
    }

    /// Looks at what belongs together: ids, citations, ranges, orders, reachability, contradictions.
    /// `sections` are the `note#section` names that exist; without them citations are not looked at.
    #[must_use]
    pub fn check(&self, sections: Option<&std::collections::BTreeSet<String>>) -> Vec<Problem> {
        check::check(self, sections).into_iter().map(Problem::hinted).collect()
    }

    /// An action by its id.
    #[must_use]
    pub fn action(&self, id: &str) -> Option<&Action> {
        let at = self.actions.binary_search_by(|action| action.id.as_str().cmp(id)).ok()?;
        self.actions.get(at)
    }

    /// A caution by its id.
    #[must_use]
    pub fn caution(&self, id: &str) -> Option<&Caution> {
        let at = self.cautions.binary_search_by(|caution| caution.id.as_str().cmp(id)).ok()?;
        self.cautions.get(at)
    }

    /// A rule by its place.
    #[must_use]
    pub fn rule(&self, id: RuleId) -> Option<&Rule> {
        self.rules.get(id.index())
    }

    /// The bands of the saturation index, by surface and at a heater's hot wall.
    #[must_use]
    pub fn index_bands(&self) -> IndexBands {
        IndexBands::of_ranges(&self.ranges, &self.vocabulary)
    }

    /// The range of a value on a surface; the default one while the surface is unknown.
    #[must_use]
    pub fn range(&self, fact: FactId, surface: Option<usize>) -> Option<&Range> {
        let mut of_fact = self.ranges.iter().filter(|range| range.fact == fact);
        match surface {
            Some(n) => {
                of_fact.find(|r| r.surfaces.is_empty() || r.surfaces.meets(ChoiceSet::one(n)))
            }
            None => of_fact.clone().find(|range| range.default).or_else(|| of_fact.next()),
        }
    }
}

/// The words of doing, or skills and templates of drills.
fn read_drills(all: &mut Knowledge, file: &str, top: &Reader<'_, '_>) {
    match file {
        "words.toml" => {
            let examples = std::mem::take(&mut all.doing.examples);
            all.doing = Doing { examples, ..doing::read_doing(top) };
            return;
        }
        "examples.toml" => {
            all.doing.examples = example::read_examples(top);
            return;
        }
        _ => {}
    }
    all.skills.extend(scenario::read_skills(top));
    all.scenarios.extend(scenario::read_scenarios(top, &all.vocabulary));
}

/// Facts come from the vocabulary, from the calculators' file, and from the rule files.
fn read_vocabulary(texts: &[SourceText], problems: &Problems) -> Vocabulary {
    let mut vocabulary = Vocabulary::default();
    for source in texts.iter().filter(|source| source.name.ends_with(".toml")) {
        let wanted = match source.name.as_str() {
            "vocabulary.toml" => Some(("fact", Bringer::People)),
            "figures.toml" => Some(("fact", Bringer::Calculators)),
            name if name.starts_with("rules/") => Some(("derived", Bringer::Rules)),
            _ => None,
        };
        // Syntax errors are reported here, once for each file.
        let table = parse(source, problems);
        if let Some((key, bringer)) = wanted {
            let top = Reader::new(source, &table, problems);
            vocabulary.add(vocabulary::read_facts(&top, key, bringer), problems);
            if bringer != Bringer::Rules {
                top.finish();
            }
        }
    }
    vocabulary
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(name: &str, text: &str) -> SourceText {
        SourceText { name: name.to_owned(), text: text.to_owned() }
    }

    fn with_rule(when: &str) -> Checked<Knowledge> {
        let vocabulary = include_str!("../knowledge/vocabulary.toml");
        let rule = format!(
            "[[rule]]\nid = \"a\"\ntitle = \"t\"\nwhen = ['{when}']\nsource = \"common practice\"\n"
        );
        Knowledge::load(&[source("vocabulary.toml", vocabulary), source("rules/a.toml", &rule)])
    }

    #[test]
    fn a_misspelt_fact_is_underlined_and_the_right_one_offered() {
        let loaded = with_rule("air.temprature <= 32 °F");
        let [problem] = loaded.problems.as_slice() else { panic!("{:?}", loaded.problems) };
        assert_eq!(problem.message, "no fact is called `air.temprature`");
        assert_eq!(problem.help.as_deref(), Some("did you mean `air.temperature`?"));
        let place = problem.place.as_ref().unwrap();
        assert_eq!((place.file.as_str(), place.line, place.column), ("rules/a.toml", 4, 10));
        assert_eq!(place.span.end - place.span.start, "air.temprature".len());
    }

    #[test]
    fn units_and_values_are_checked() {
        for (when, message) in [
            ("air.temperature <= 32 psi", "the two sides do not measure the same"),
            ("air.temperature <= 32", "a bare number does not fit here"),
            (
                "pool.surface is plastr",
                "`plastr` is not one of plaster, vinyl, fiberglass, tile, painted",
            ),
            ("pump.running is maybe", "`maybe` is neither yes nor no"),
            ("pump.running", "a comparison is missing here"),
            ("pump.running is yes water.ph > 7", "this is left over"),
            ("(water.ph > 7", "this bracket is not closed"),
        ] {
            let loaded = with_rule(when);
            let told: Vec<_> = loaded.problems.iter().map(|p| p.message.as_str()).collect();
            assert!(told.contains(&message), "{when}: {told:?}");
        }
    }

    #[test]
    fn conditions_are_read_in_base_units() {
        let loaded = with_rule(
            "water.temperature - air.temperature > 18 °F and filter.pressure >= filter.clean_pressure + 8 psi",
        );
        assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
        let text = format!("{:?}", loaded.value.rules[0].when);
        assert!(text.contains("Number(10.0)"), "18 °F of difference are 10 K: {text}");
        assert!(text.contains("Number(55.158"), "8 psi are 55.16 kPa: {text}");
    }
}
