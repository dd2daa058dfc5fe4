//! Products: what is on the van, how strong, how to add it, and what may never meet what.

mod called;

use self::called::product_names;
use super::citation::Citation;
use super::document::{Reader, Text};
use super::quantity::measured;
use super::rule::read_cites;
use crate::problem::{Code, Place, Problem};
use crate::units::{Dimension, convert, find_unit, parse_quantity, unit};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Gallons for which `at_once` is written.
const AT_ONCE_GALLONS: f64 = 10_000.0;

/// What a product's strength counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum StrengthIs {
    /// The substance, share by weight.
    Substance,
    /// Available chlorine as Cl2, share by weight.
    AvailableChlorine,
    /// Grams of available chlorine in 100 mL: the trade per cent.
    AvailableChlorineByVolume,
}

/// Whether a product is poured or weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Form {
    /// Measured by volume.
    Liquid,
    /// Weighed.
    Dry,
}

/// What plans do with a product.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Use {
    /// Plans may use it.
    Plan,
    /// It is known only to warn of it.
    Caution,
    /// No longer sold for pools.
    Withdrawn,
}

/// One strength as sold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Strength {
    /// Per cent.
    pub percent: f64,
    /// kg/L, of the liquid or of the powder as poured.
    pub density_kg_l: f64,
}

/// One product.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Product {
    /// Its id, as `chemical.on_hand` and `--add` name it.
    pub id: String,
    /// What an answer calls it.
    pub name: String,
    /// What people call it.
    pub words: Vec<String>,
    /// The substance, by the name that chemistry knows.
    pub substance: String,
    /// What its strength counts.
    pub strength_is: StrengthIs,
    /// The strengths it is sold in; the first is taken unless another is said.
    pub strengths: Vec<Strength>,
    /// Poured or weighed.
    pub form: Form,
    /// The family whose conflicts it shares.
    pub family: String,
    /// Its place among the steps of a plan.
    pub place_in_plan: f64,
    /// The most at once, L or kg for each litre of pool.
    pub at_once_per_l: f64,
    /// Hours to wait after it.
    pub wait_h: f64,
    /// What plans do with it.
    pub use_in: Use,
    /// Share of its strength lost a day, per cent of what is left.
    pub fades_percent_day: f64,
    /// How to add it.
    pub add: String,
    /// What cold water does to it.
    pub cold: String,
    /// What to beware of.
    pub caution: String,
    /// The notes that explain it.
    pub cites: Vec<Citation>,
    /// Where its figures come from.
    pub source: String,
    /// Where it is written.
    pub place: Place,
}

impl Product {
    /// The strength taken unless another is said.
    #[must_use]
    pub fn usual_strength(&self) -> Strength {
        self.strengths.first().copied().unwrap_or(Strength { percent: 100.0, density_kg_l: 1.0 })
    }

    /// A strength as somebody said it, with the density of the nearest one sold.
    #[must_use]
    pub fn strength(&self, percent: f64) -> Strength {
        let off = |s: &Strength| (s.percent - percent).abs();
        let near = self.strengths.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        Strength { percent, density_kg_l: near.map_or(1.0, |s| s.density_kg_l) }
    }

    /// A strength after `days` on the shelf.
    #[must_use]
    pub fn aged(&self, strength: Strength, days: f64) -> Strength {
        let left = (1.0 - self.fades_percent_day / 100.0).clamp(0.0, 1.0).powf(days.max(0.0));
        Strength { percent: strength.percent * left, ..strength }
    }
}

/// How two families get along.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Conflict {
    /// The two families.
    pub between: (String, String),
    /// Whether they may never meet; else they are only kept hours apart.
    pub never: bool,
    /// Hours between the two in one pool.
    pub apart_h: f64,
    /// Why.
    pub why: String,
    /// Where this comes from.
    pub source: String,
    /// Where it is written.
    pub place: Place,
}

impl super::Knowledge {
    /// A product by its id.
    #[must_use]
    pub fn product(&self, id: &str) -> Option<&Product> {
        self.products.iter().find(|product| product.id == id)
    }

    /// How two products get along; `None` where nothing is known against it. A product may meet itself.
    #[must_use]
    pub fn conflict(&self, a: &Product, b: &Product) -> Option<&Conflict> {
        if a.id == b.id {
            return None;
        }
        self.conflicts.iter().find(|conflict| {
            let (x, y) = (&conflict.between.0, &conflict.between.1);
            (*x == a.family && *y == b.family) || (*x == b.family && *y == a.family)
        })
    }
}

/// Reads the products, what they are called, and their conflicts.
pub(super) fn read_products(
    top: &Reader<'_, '_>,
) -> (Vec<Product>, BTreeMap<String, usize>, Vec<Conflict>) {
    let products: Vec<Product> = top.tables("product").iter().filter_map(read_product).collect();
    let conflicts = top.tables("conflict");
    let conflicts = conflicts.iter().filter_map(|table| read_conflict(table, &products)).collect();
    let names = product_names(&products);
    (products, names, conflicts)
}

/// Reads one `[[product]]`.
fn read_product(table: &Reader<'_, '_>) -> Option<Product> {
    let id = table.text("id")?;
    let form = read_form(table);
    let product = Product {
        place: id.place(),
        id: id.text,
        name: table.string("name"),
        words: table.strings("words"),
        substance: table.string("substance"),
        strength_is: one_of(
            table,
            "strength_is",
            &[
                ("substance", StrengthIs::Substance),
                ("available chlorine", StrengthIs::AvailableChlorine),
                ("available chlorine by volume", StrengthIs::AvailableChlorineByVolume),
            ],
        ),
        strengths: read_strengths(table),
        form,
        family: table.string("family"),
        place_in_plan: table.number("place").unwrap_or(9.0),
        at_once_per_l: read_at_once(table, form),
        wait_h: measured(table, "wait", "h").unwrap_or(0.0),
        use_in: one_of(
            table,
            "use",
            &[("plan", Use::Plan), ("caution", Use::Caution), ("withdrawn", Use::Withdrawn)],
        ),
        fades_percent_day: measured(table, "fades", "%").unwrap_or(0.0),
        add: table.string("add"),
        cold: table.string("cold"),
        caution: table.string("caution"),
        cites: read_cites(table),
        source: table.string("source"),
    };
    table.finish();
    Some(product)
}

/// Whether it is poured or weighed.
pub(super) fn read_form(table: &Reader<'_, '_>) -> Form {
    one_of(table, "form", &[("liquid", Form::Liquid), ("dry", Form::Dry)])
}

/// Reads one `[[conflict]]`.
fn read_conflict(table: &Reader<'_, '_>, products: &[Product]) -> Option<Conflict> {
    let place = table.place();
    let between = table.texts("between");
    let known = |text: &Text<'_>| {
        if !products.iter().any(|product| product.family == text.text) {
            let message = format!("no product is of the family `{}`", text.text);
            let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
            let families = products.iter().map(|product| product.family.as_str());
            table.problem(problem.did_you_mean(&text.text, families));
        }
    };
    between.iter().for_each(known);
    let how = one_of(table, "how", &[("never", true), ("apart", false)]);
    let conflict = Conflict {
        between: match between.as_slice() {
            [a, b] => (a.text.clone(), b.text.clone()),
            _ => {
                let message = "`between` should name two families";
                table.problem(Problem::error(Code::Value, Some(place), message));
                return None;
            }
        },
        never: how,
        apart_h: measured(table, "apart", "h").unwrap_or(0.0),
        why: table.string("why"),
        source: table.string("source"),
        place: table.place(),
    };
    table.finish();
    Some(conflict)
}

/// One of some words; the first where it is missing or wrong, which is reported.
fn one_of<T: Copy>(table: &Reader<'_, '_>, key: &'static str, words: &[(&'static str, T)]) -> T {
    let text = table.text(key);
    let word = text.as_ref().map_or("", |text| text.text.as_str());
    match words.iter().find(|(name, _)| *name == word) {
        Some((_, value)) => *value,
        None => {
            if let Some(text) = &text {
                let message = format!("`{word}` is not a `{key}`");
                let problem = Problem::error(Code::Value, Some(text.place()), message);
                table.problem(problem.did_you_mean(word, words.iter().map(|(name, _)| *name)));
            }
            // Every caller gives at least one word.
            #[expect(clippy::indexing_slicing, reason = "callers list at least one word")]
            let (_, first) = words[0];
            first
        }
    }
}

fn read_strengths(table: &Reader<'_, '_>) -> Vec<Strength> {
    let densities = table.numbers("density");
    let texts = table.texts("strengths");
    if texts.is_empty() || texts.len() != densities.len() {
        let message = "`strengths` and `density` should hold as many values, and at least one";
        table.problem(Problem::error(Code::Value, Some(table.place()), message));
    }
    let share = |text: &Text<'_>| match parse_quantity(&text.text) {
        Ok((percent, from)) if unit(from).dimension == Dimension::Share && percent > 0.0 => {
            Some(percent)
        }
        _ => {
            let message = format!("`{}` is not a strength", text.text);
            let problem = Problem::error(Code::Units, Some(text.place()), message);
            table.problem(problem.help("write it like `31.45 %`"));
            None
        }
    };
    let both = texts.iter().zip(densities);
    both.filter_map(|(text, density_kg_l)| Some(Strength { percent: share(text)?, density_kg_l }))
        .collect()
}

/// The most at once, in L or kg for each litre of pool.
fn read_at_once(table: &Reader<'_, '_>, form: Form) -> f64 {
    let unit_name = match form {
        Form::Liquid => "L",
        Form::Dry => "kg",
    };
    let litres = find_unit("gal")
        .zip(find_unit("L"))
        .and_then(|(gallons, litres)| convert(AT_ONCE_GALLONS, gallons, litres))
        .unwrap_or(f64::INFINITY);
    measured(table, "at_once", unit_name).unwrap_or(0.0) / litres
}

#[cfg(test)]
mod tests {
    use super::super::Knowledge;
    use super::*;
    use crate::problem::SourceText;

    fn shipped() -> (Knowledge, Vec<Problem>) {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
        let texts = super::super::read_folder(&folder).unwrap();
        let loaded = Knowledge::load(&texts);
        (loaded.value, loaded.problems)
    }

    #[test]
    fn the_shipped_products_are_sound() {
        let (knowledge, problems) = shipped();
        let of_ours = |problem: &&Problem| {
            let file = problem.place.as_ref().map_or("", |place| place.file.as_str());
            file == "products.toml" || file == "dosing.toml"
        };
        assert_eq!(problems.iter().filter(of_ours).collect::<Vec<_>>(), Vec::<&Problem>::new());
        assert!(knowledge.products.len() > 12 && knowledge.dosing.ph_at_once > 0.0);
        for product in &knowledge.products {
            assert!(!product.source.is_empty() && !product.caution.is_empty(), "{}", product.id);
            assert!(!product.cites.is_empty() && !product.strengths.is_empty(), "{}", product.id);
        }
    }

    #[test]
    fn everything_on_hand_is_a_product() {
        let (knowledge, _) = shipped();
        for id in knowledge.vocabulary.def("chemical.on_hand").unwrap().values() {
            assert!(knowledge.product(id).is_some(), "{id}");
        }
    }

    #[test]
    fn people_find_products_by_their_words() {
        let (knowledge, _) = shipped();
        for (words, id) in [
            ("baking soda", "bicarbonate"),
            ("Muriatic", "muriatic-acid"),
            ("cal-hypo", "cal-hypo"),
            ("bleach", "liquid-chlorine"),
            ("dry acid", "dry-acid"),
        ] {
            assert_eq!(knowledge.product_called(words).map(|p| p.id.as_str()), Some(id), "{words}");
        }
        assert!(knowledge.product_called("fairy dust").is_none());
    }

    fn load(text: &str) -> Vec<String> {
        let text = SourceText { name: "products.toml".to_owned(), text: text.to_owned() };
        Knowledge::load(&[text]).problems.into_iter().map(|problem| problem.message).collect()
    }

    #[test]
    fn what_is_wrong_is_told() {
        let told = load(
            "[[product]]\nid = \"a\"\nform = \"gas\"\nstrengths = [\"5 lb\"]\ndensity = [1.0]\n",
        );
        assert!(told.iter().any(|m| m == "`gas` is not a `form`"), "{told:?}");
        assert!(told.iter().any(|m| m == "`5 lb` is not a strength"), "{told:?}");
        assert!(told.iter().any(|m| m == "`name` is missing"), "{told:?}");
        let told = load("[[conflict]]\nbetween = [\"acid\", \"choclate\"]\nhow = \"never\"\n");
        assert!(told.iter().any(|m| m == "no product is of the family `choclate`"), "{told:?}");
    }

    /// Liquid chlorine fades: by 0.8 % a day, 12.5 % is about 9.8 % after a month (common practice).
    #[test]
    fn strength_fades_with_age() {
        let (knowledge, _) = shipped();
        let bleach = knowledge.product("liquid-chlorine").unwrap();
        let aged = bleach.aged(bleach.usual_strength(), 30.0);
        assert!((aged.percent - 9.8).abs() < 0.1, "{}", aged.percent);
    }
}
