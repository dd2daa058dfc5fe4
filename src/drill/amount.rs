//! Amounts as a trainee says them: how much of a product in all.

use super::mark::SaidAmount;
use super::right::NeededAmount;
use crate::knowledge::{Doing, Knowledge, Product};
use crate::language::{Said, in_figures, said as measured};
use crate::plan::{measured_out, parse_addition};
use crate::units::{Dimension, System, base_value, find_unit, unit};

/// The amount of one product among what was said.
pub(super) fn amount(
    needed: &NeededAmount,
    said: &str,
    knowledge: &Knowledge,
    units: System,
) -> SaidAmount {
    let product = knowledge.products.iter().find(|product| product.id == needed.product);
    let spoken = product.map_or(0.0, |product| in_all(said, product, knowledge));
    let said = (spoken > 0.0).then_some(spoken);
    let right = said.is_some_and(|said| within(said, needed));
    let told =
        |(said, product): (f64, &Product)| measured_out(said, product.form, units, knowledge);
    let told = said.zip(product).map(told).unwrap_or_default();
    SaidAmount { needed: needed.clone(), said, told, right }
}

/// Whether an amount lies within the tolerance; its very edge is within, whatever a conversion rounds.
fn within(said: f64, needed: &NeededAmount) -> bool {
    let most = needed.tolerance * needed.amount;
    (said - needed.amount).abs() <= most + 1e-9 * needed.amount
}

/// Every amount of a product in what was said; one without any product beside it counts too.
fn in_all(said: &str, product: &Product, knowledge: &Knowledge) -> f64 {
    let plain = in_figures(said, &knowledge.lexicon).to_lowercase().replace('-', " ");
    let plain = with_ounces(&plain, knowledge);
    let names = named(&plain, knowledge);
    let mut all: Vec<f64> = Vec::new();
    let mut behind: Option<usize> = None;
    for one in measured(&plain, &knowledge.lexicon).iter().filter(|one| doses(one)) {
        if !bound(&plain, one, &names).is_none_or(|name| name.means(product)) {
            continue;
        }
        let text = format!("{} {} {}", one.value(), unit(one.unit).name, product.id);
        let Ok(added) = parse_addition(&text, knowledge) else { continue };
        let between = behind.and_then(|behind| plain.get(behind..one.span.start));
        // "13 now, another 13, so 26 in all": that is the sum, and not the last once more.
        let sum = all.len() > 1 && near(all.iter().sum(), added.amount);
        let same = !sum && between.is_some_and(|between| again(between, &knowledge.doing));
        // "9 lb 6 oz" is one amount.
        let joined = between.is_some_and(|between| between.trim().is_empty());
        match all.last_mut() {
            Some(last) if joined => *last += added.amount,
            Some(last) if same => *last = added.amount,
            _ => all.push(added.amount),
        }
        behind = Some(one.span.end);
    }
    together(&all, &said.to_lowercase(), &knowledge.doing)
}

/// What is told as a whole and as its portions may differ so much by rounding.
const ROUNDED: f64 = 0.04;

/// Whether two amounts are one, whatever was rounded.
fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDED * a.max(b)
}

/// "4 lb 14" is "4 lb 14 oz": a whole number below sixteen right behind pounds, and no unit behind it.
fn with_ounces(text: &str, knowledge: &Knowledge) -> String {
    let bare = |word: &str| word.trim_end_matches([',', '.', ';', ')']).to_owned();
    let words: Vec<&str> = text.split(' ').collect();
    let pounds = |at: usize| {
        let unit = words.get(at).and_then(|word| find_unit(word)).map(|found| unit(found).name);
        unit == Some("lb")
    };
    // In figures: "three pounds twelve".
    let ounces = |at: usize, word: &str| -> Option<String> {
        let told = in_figures(&format!("{} oz", bare(word)), &knowledge.lexicon);
        let small = told.strip_suffix(" oz")?.parse::<u8>().is_ok_and(|n| n < 16);
        let next = words.get(at + 1).is_some_and(|next| find_unit(&bare(next)).is_some());
        let behind = at.checked_sub(1).is_some_and(pounds);
        (small && behind && !(next && bare(word) == word)).then_some(told)
    };
    let told = words.iter().enumerate().map(|(at, word)| match ounces(at, word) {
        Some(told) => word.replacen(&bare(word), &told, 1),
        None => (*word).to_owned(),
    });
    told.collect::<Vec<_>>().join(" ")
}

/// What some amounts come to. A whole that is told beside its portions counts once: "31 oz in all, 15.5 now, the
/// other 15.5 oz later"; "19 lb, in two halves of 9.5 lb".
fn together(all: &[f64], text: &str, doing: &Doing) -> f64 {
    let sum: f64 = all.iter().sum();
    let shapes = &doing.shapes;
    let names_whole = shapes.whole.iter().any(|phrase| text.contains(phrase.as_str()));
    let whole = all
        .iter()
        .enumerate()
        .find(|(at, one)| all.len() > 2 && near(**one, sum - **one) && (*at == 0 || names_whole));
    if let Some((_, whole)) = whole {
        return *whole;
    }
    let [whole, part] = all else { return sum };
    let mut words = text.split(|c: char| !c.is_alphanumeric());
    let portioned = words.any(|word| shapes.portions.iter().any(|one| one == word));
    let portion = (2..=4_u8).any(|n| near(*whole, f64::from(n) * part));
    // "5 oz, that is 5 oz in all" is said twice.
    let twice = names_whole && near(*whole, *part);
    if (portioned && portion) || twice { *whole } else { sum }
}

/// A product, or the water that it is stirred into, as it is named in a text.
struct Name<'k> {
    from: usize,
    to: usize,
    /// `None` is the water.
    product: Option<&'k Product>,
    /// Whether it was named by its kind alone: "acid".
    kind: bool,
}

impl Name<'_> {
    fn means(&self, product: &Product) -> bool {
        self.product
            .is_some_and(|one| one.id == product.id || (self.kind && one.family == product.family))
    }
}

/// The products that a text names, in order; the longest name wins.
fn named<'k>(text: &str, knowledge: &'k Knowledge) -> Vec<Name<'k>> {
    let mut all: Vec<Name<'k>> = Vec::new();
    let mut find = |word: &str, product: Option<&'k Product>| {
        let kind = product.is_some_and(|one| one.family == word);
        let alone = |from: usize, to: usize| {
            let before = text.get(..from).and_then(|text| text.chars().next_back());
            let after = text.get(to..).and_then(|text| text.chars().next());
            ![before, after].into_iter().flatten().any(char::is_alphanumeric)
        };
        let places = text.match_indices(word).map(|(from, _)| (from, from + word.len()));
        let places = places.filter(|(from, to)| alone(*from, *to));
        all.extend(places.map(|(from, to)| Name { from, to, product, kind }));
    };
    for product in &knowledge.products {
        let own = [product.name.to_lowercase(), product.id.replace('-', " ")];
        own.iter().chain(&product.words).for_each(|word| find(word, Some(product)));
    }
    knowledge.doing.shapes.stirred_into.iter().for_each(|word| find(word, None));
    all.sort_by_key(|name| (name.from, usize::MAX - name.to));
    let mut end = 0;
    all.retain(|name| {
        let free = name.from >= end;
        end = if free { name.to } else { end };
        free
    });
    all
}

/// The name that an amount is of: the one right behind it ("2 lb of soda ash"), else the last one before it.
fn bound<'n, 'k>(text: &str, one: &Said, names: &'n [Name<'k>]) -> Option<&'n Name<'k>> {
    let after = names.iter().find(|name| name.from >= one.span.end).filter(|name| {
        let between = text.get(one.span.end..name.from).unwrap_or_default();
        between.split_whitespace().count() <= CLOSE && !between.contains(STOPS)
    });
    let before = names.iter().rev().find(|name| name.to <= one.span.start);
    after.or_else(|| before.filter(|name| name.product.is_some()))
}

/// So many words may stand between an amount and its product: "of the old".
const CLOSE: usize = 3;
/// And none of these.
const STOPS: [char; 6] = [',', ';', ':', '.', '\n', '!'];

/// Whether words between two amounts say that the second is the first once more: "half a gallon, about 60 oz".
fn again(between: &str, doing: &Doing) -> bool {
    let words = || between.split([' ', ',', '(', ')']).filter(|word| !word.is_empty());
    let says = |list: &[String]| words().any(|word| list.iter().any(|one| one == word));
    says(&doing.shapes.alike) && !says(&doing.shapes.besides)
}

/// Whether it can be a dose: the pool's own volume is none.
fn doses(one: &Said) -> bool {
    let measured = matches!(one.dimension(), Dimension::Mass | Dimension::Volume);
    let pool = one.dimension() == Dimension::Volume && base_value(one.value(), one.unit) > 400.0;
    measured && one.value() > 0.0 && !pool
}
