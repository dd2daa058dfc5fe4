//! Amounts and hours at the very edge of what counts as right, said in the measures that people use.
//!
//! Factors: NIST SP 811 (2008), appendix B.8: US gallon 3.785 411 784 L, so a quart is a fourth of it, a cup a
//! sixteenth, a fluid ounce a hundred-and-twenty-eighth; pound 0.453 592 37 kg, ounce a sixteenth of it.
//! Each line was worked out by hand from the tolerance or band above it, before the program was asked.

use super::{BASE, sit};
use brumal::drill::{NeededAmount, NeededHours};
use brumal::knowledge::Want;

const GALLON_L: f64 = 3.785_411_784;

/// Whether an amount counts as right where so much is needed.
fn amount_is_right(product: &str, needed: f64, tolerance: f64, said: &str) -> bool {
    let scenario = BASE.knowledge().scenarios.iter();
    let mut dosing = scenario.filter(|one| matches!(one.want, Want::Amounts { .. }));
    let mut sitting = sit(dosing.next().unwrap(), 1);
    let name = BASE.knowledge().product(product).unwrap().name.clone();
    let one = sitting.right.amounts.first().unwrap().clone();
    let product = product.to_owned();
    sitting.right.amounts = vec![NeededAmount { product, name, amount: needed, tolerance, ..one }];
    sitting.say(said);
    let mark = sitting.mark();
    mark.amounts[0].right
}

fn all_as_said(product: &str, needed: f64, tolerance: f64, lines: &[(&str, bool)]) {
    let wrong: Vec<String> = lines
        .iter()
        .filter(|(said, right)| amount_is_right(product, needed, tolerance, said) != *right)
        .map(|(said, right)| format!("`{said}` should be {right} for {needed} of {product}"))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// 2 L, give or take 15 %: from 1.7 to 2.3 L.
#[test]
fn litres_and_millilitres_at_the_edge() {
    all_as_said(
        "muriatic-acid",
        2.0,
        0.15,
        &[
            ("Add 1.7 L of acid", true),
            ("1700 mL muriatic acid in front of a return", true),
            ("add 1699 mL of acid", false),
            ("2.3 litres of muriatic", true),
            ("2300 ml acid", true),
            ("2301 mL acid", false),
            ("1.5 to 1.9 L of acid", true),  // its middle is 1.7
            ("1.4 to 1.9 L of acid", false), // 1.65
            ("a litre of acid now, then 0.7 L an hour later", true),
            ("a litre of acid now, then 0.6 L an hour later", false),
            ("two litres of acid, that is 2000 mL", true), // once, not twice
        ],
    );
}

/// 2 L, give or take 15 %: a whole that is told beside its portions counts once, other amounts add up.
#[test]
fn a_whole_and_its_portions() {
    all_as_said(
        "muriatic-acid",
        2.0,
        0.15,
        &[
            ("2 L of acid in all: 1 L now, 1 L after four hours", true),
            ("4 L of acid in all: 2 L now, 2 L after four hours", false),
            ("2 litres of acid, in two halves of 1 L", true),
            ("4 litres of acid, in two halves of 2 L", false),
            ("1 L of acid now and the other 1 L tomorrow, 2 L all told", true),
            ("1 L of acid now, 1 L at noon, 2 L tomorrow", false), // 4 L
            ("0.5 L of acid now, 0.5 L at noon, 1 L tomorrow", true), // 2 L
            ("2 L of acid now, 1 L tomorrow", false),              // 3 L
            ("about 2.1 L of acid, call it 2 L", true),
            ("2 L of acid, a third of it now: 0.67 L", true),
            ("1 L of acid now, then another 1 L, so 2 L in all", true),
            ("2 L of acid now, then another 2 L, so 4 L in all", false),
            ("2 L of acid, so 2 L in all", true),
            ("1 L of acid, so 1 L in all", false),
        ],
    );
}

/// 2 kg, give or take 15 %: from 1.7 kg (3 lb 11.97 oz) to 2.3 kg (5 lb 1.13 oz). Ounces behind pounds need no name.
#[test]
fn pounds_with_bare_ounces() {
    all_as_said(
        "bicarbonate",
        2.0,
        0.15,
        &[
            ("3 lb 12 of bicarb", true),
            ("3 lb 11 of bicarb", false),
            ("5 lb 1, spread over the deep end", true),
            ("5 lb 2.", false),
            ("bicarb, three pounds twelve", true),
            ("4 lb 14 now", true),
            ("4 lb 6 oz in all: 2 lb 3 oz today, 2 lb 3 oz after the next test", true),
            ("8 lb 12 oz in all: 4 lb 6 oz today, 4 lb 6 oz after the next test", false),
            ("4 lb 6 oz of bicarb, in two halves of 2 lb 3 oz", true),
            ("4 lb, 14 minutes apart from the rest", true), // 4 lb alone
        ],
    );
}

/// 1 gal, give or take 10 %: from 0.9 to 1.1 gal; 3.6 to 4.4 qt, 14.4 to 17.6 cups, 115.2 to 140.8 fl oz.
#[test]
fn gallons_quarts_cups_and_fluid_ounces_at_the_edge() {
    all_as_said(
        "muriatic-acid",
        GALLON_L,
        0.10,
        &[
            ("0.9 gal of acid", true),
            ("0.89 gal of acid", false),
            ("1.1 gallons of acid", true),
            ("1.11 gallons of acid", false),
            ("a gallon of acid", true),
            ("3.6 quarts of acid", true),
            ("3 and a half quarts of acid", false),
            ("four quarts of acid", true),
            ("four and a half quarts of acid", false),
            ("14.4 cups of acid", true),
            ("fourteen cups of acid", false),
            ("14 and a half cups of acid", true),
            ("17.6 cups of acid", true),
            ("17.7 cups of acid", false),
            ("115.2 fl oz of acid", true),
            ("115 fl oz of acid", false),
            ("140.8 oz of acid", true), // ounces of a liquid are fluid ounces
            ("141 oz of acid", false),
            ("half a gallon of acid now, then the other half a gallon of acid in four hours", true),
            ("half a gallon of acid", false),
            ("a gallon of dry acid", false), // another product of the same kind
            ("a gallon of bleach", false),
            ("half a gallon of bleach and a gallon of acid", true),
        ],
    );
}

/// What is half a gallon, a quart and a half, when that is the lower edge, and when it lies just below.
#[test]
fn amounts_in_words_at_the_edge() {
    for (said, gallons) in [
        ("half a gallon of acid", 0.5),
        ("a half gallon of acid", 0.5),
        ("a quart and a half of acid", 0.375),
        ("one and a half quarts of acid", 0.375),
        ("a quart of acid", 0.25),
        ("three quarts of acid", 0.75),
        ("two gallons and a half of acid", 2.5),
        ("a gallon and a quarter of acid", 1.25),
        ("1 1/2 gal of acid", 1.5),
        ("three quarters of a gallon of acid", 0.75),
        ("a couple of gallons of acid", 2.0),
        ("a cup of acid", 0.0625),
        ("a cup and a half of acid", 0.09375),
        ("twelve cups of acid", 0.75),
    ] {
        let litres = gallons * GALLON_L;
        // At 20 %, x is the lower edge of x / 0.8 and the upper edge of x / 1.2.
        all_as_said("muriatic-acid", litres / 0.8, 0.2, &[(said, true)]);
        all_as_said("muriatic-acid", litres / 0.799, 0.2, &[(said, false)]);
        all_as_said("muriatic-acid", litres / 1.2, 0.2, &[(said, true)]);
        all_as_said("muriatic-acid", litres / 1.201, 0.2, &[(said, false)]);
    }
}

/// 2 kg, give or take 15 %: from 1.7 to 2.3 kg; 3.7479 to 5.0706 lb, 59.966 to 81.130 oz.
#[test]
fn kilograms_grams_pounds_and_ounces_at_the_edge() {
    all_as_said(
        "soda-ash",
        2.0,
        0.15,
        &[
            ("1.7 kg of soda ash", true),
            ("1700 g soda ash", true),
            ("1699 grams of soda ash", false),
            ("2300 g of soda ash", true),
            ("2,301 g of soda ash", false),
            ("3.75 lb of soda ash", true),
            ("3.74 lb of soda ash", false),
            ("5.07 pounds of soda ash", true),
            ("5.08 pounds of soda ash", false),
            ("three and three quarter pounds of soda ash", true), // 3.75 lb
            ("60 oz of soda ash", true),
            ("59 oz of soda ash", false),
            ("81 ounces of soda ash", true),
            ("82 ounces of soda ash", false),
            ("3 pounds 12 oz of soda ash", true), // 3.75 lb
            ("3 lb 11 oz of soda ash", false),    // 3.6875 lb
            ("five pounds of soda ash", true),
            ("five and a quarter pounds of soda ash", false),
            ("4 lb of bicarb", false), // another product
            ("4 lb of soda ash and 3 lb of bicarb", true),
            ("bicarb 3 lb, soda ash 4 lb", true),
            ("3 lb of bicarb and 2 lb of soda ash", false),
            ("Soda ash: 2 lb now, in a 5 gallon bucket of water. 2 lb tomorrow.", true),
            ("Stir 4 lb of soda ash into 3 gallons of water and pour it in.", true),
        ],
    );
}

/// A band from 1.5 to 2.5 h.
#[test]
fn hours_at_the_edge_of_the_band() {
    let scenario = BASE.knowledge().scenarios.iter();
    let mut cold = scenario.filter(|one| matches!(one.want, Want::Hours(_)));
    let scenario = cold.next().unwrap();
    let lines = [
        ("90 min", true),
        ("89 minutes", false),
        ("1.5 h", true),
        ("1.49 h", false),
        ("an hour and a half", true),
        ("one and a half hours", true),
        ("an hour", false),
        ("an hour and 20 minutes", false),
        ("1 h 30 min", true),
        ("an hour or two", true), // its middle is 1.5
        ("1 to 2 hours", true),
        ("1-1.9 h", false),           // 1.45
        ("two to three hours", true), // 2.5
        ("between 2 and 3 hours", true),
        ("2 to 3.1 hours", false), // 2.55
        ("2.5 hours", true),
        ("two and a half hours", true),
        ("2 h 30 min", true),
        ("150 minutes", true),
        ("151 min", false),
        ("2.51 h", false),
        ("half an hour", false),
        ("three hours", false),
        ("soon", false),
    ];
    let told = |said: &str| format!("The bare pipe has about {said} until it freezes.");
    let right = |said: &str| {
        let mut sitting = sit(scenario, 1);
        sitting.right.hours = Some(NeededHours { low: 1.5, best: 2.0, high: 2.5 });
        sitting.say(&told(said));
        sitting.mark().hours.unwrap().1
    };
    let wrong: Vec<&str> = lines
        .iter()
        .filter(|(said, wanted)| right(said) != *wanted)
        .map(|(said, _)| *said)
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}
