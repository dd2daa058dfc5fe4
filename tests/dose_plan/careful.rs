//! What a careful technician would not sign, found by reading plans; and what mixes in before a plan.

use super::{Case, FINE, knowledge, plan, products, value};
use brumal::facts::{Fact, Origin};
use brumal::plan::{DosePlan, DoseRequest, DoseWish, plan_dose};
use brumal::units::System;

/// What undoes another step is never planned beside it: no soda ash beside acid, no calcium that only makes up for
/// acid; acid for the alkalinity stops at the floor of pH.
#[test]
fn acid_is_not_undone_in_the_same_plan() {
    let knowledge = knowledge();
    let facts = [
        ("pool.volume", "25000 gal"),
        ("pool.surface", "plaster"),
        ("water.temperature", "60 F"),
        ("water.ph", "7.8"),
        ("water.total_alkalinity", "240"),
        ("water.calcium_hardness", "300"),
        ("water.cyanuric_acid", "30"),
        ("water.free_chlorine", "2"),
    ];
    let plan = plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap();
    let used = products(&plan);
    assert!(used.contains(&"muriatic-acid"), "{used:?}");
    assert!(!used.contains(&"soda-ash") && !used.contains(&"calcium-chloride"), "{used:?}");
    assert!(value(&plan.after, "water.ph") >= knowledge.dosing.ph_floor - 0.05);
    assert!(plan.held_back.iter().any(|held| held.product == "water.total_alkalinity"));
}

/// A heavy dose of chlorine in milder water is not led in by a spoonful of acid that no test could tell.
#[test]
fn a_spoonful_is_not_planned() {
    let knowledge = knowledge();
    let facts = [
        ("pool.volume", "16000 gal"),
        ("water.temperature", "55 F"),
        ("water.ph", "7.6"),
        ("water.total_alkalinity", "110"),
        ("water.free_chlorine", "2"),
        ("water.combined_chlorine", "1.2"),
    ];
    let plan = plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap();
    for step in plan.steps.iter().filter(|step| step.product == "muriatic-acid") {
        // A tenth of pH at this alkalinity takes about 8 fl oz.
        assert!(step.amount.value * f64::from(step.portions) > 0.15, "{}", step.amount.given);
    }
}

/// By its own log a pool that loses chlorine fast is dosed to last, and told so; a bromine pool gets no chlorine.
#[test]
fn the_log_and_the_sanitizer_count() {
    let knowledge = knowledge();
    let mut facts = FINE.to_vec();
    facts[7] = ("water.free_chlorine", "0.5");
    let usual = plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap();
    facts.push(("trend.chlorine_use", "0.45"));
    let lasting = plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap();
    let free = |plan: &DosePlan| value(&plan.after, "water.free_chlorine");
    // 1 mg/L at the end of 4 days at 0.45 mg/L a day.
    assert!(
        free(&lasting) > free(&usual) && (free(&lasting) - 2.8).abs() < 0.15,
        "{}",
        free(&lasting)
    );
    assert!(
        lasting
            .remarks
            .iter()
            .any(|text| text.contains("by its log") || text.contains("By its log"))
    );
    facts.push(("sanitizer.method", "bromine"));
    let bromine = plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap();
    assert!(bromine.held_back.iter().any(|held| held.product == "water.free_chlorine"));
    assert!(products(&bromine).iter().all(|id| *id != "liquid-chlorine"));
}

/// Rain and fill water mix in first: by the mass balance of each reading.
#[test]
fn rain_and_fill_water_mix_in_first() {
    let knowledge = knowledge();
    let words = &knowledge.vocabulary;
    let of = |name: &str, value: f64| (words.find(name).unwrap(), value);
    let stated = FINE.iter().map(|(name, value)| {
        let id = words.find(name).unwrap();
        Fact::stated(id, words.get(id).unwrap().parse(value).unwrap(), *value, Origin::Message)
    });
    let facts: Vec<Fact> = stated.collect();
    let plan = |wish: DoseWish| {
        plan_dose(&DoseRequest { knowledge: &knowledge, facts: &facts, wish, system: System::Us })
            .unwrap()
    };
    let fill = vec![
        of("water.ph", 7.8),
        of("water.total_alkalinity", 60.0),
        of("water.calcium_hardness", 80.0),
    ];
    let refilled = plan(DoseWish { replace: Some(0.3), fill, ..DoseWish::default() });
    let before = |name: &str| value(&refilled.before, name);
    let mixed = |name: &str| value(&refilled.mixed, name);
    assert!(
        (mixed("water.calcium_hardness") - (0.7 * before("water.calcium_hardness") + 24.0)).abs()
            < 1e-6
    );
    assert!(
        (mixed("water.total_alkalinity") - (0.7 * before("water.total_alkalinity") + 18.0)).abs()
            < 1e-6
    );
    // 5 ft of average depth and 2 in of rain: 2 / 62 of the mixture.
    let rained = plan(DoseWish { rain_mm: Some(50.8), ..DoseWish::default() });
    let share = value(&rained.mixed, "water.calcium_hardness")
        / value(&rained.before, "water.calcium_hardness");
    assert!((share - 60.0 / 62.0).abs() < 1e-6, "{share}");
    assert!(rained.assumed.iter().any(|text| text.contains("rain")), "{:?}", rained.assumed);
}

/// Bromine by stoichiometry: one mole of KHSO5 (152.17 g, 43 % of the salt) frees one of Br2 (159.81 g) from bromide.
#[test]
fn bromine_is_raised_by_an_oxidizer_without_chlorine() {
    let knowledge = knowledge();
    let mut facts = FINE.to_vec();
    facts.retain(|(name, _)| *name != "water.free_chlorine");
    facts.push(("sanitizer.method", "bromine"));
    facts.push(("pool.volume", "10000 gal"));
    let made = |bromine| {
        let facts = [&facts[..], &[bromine]].concat();
        plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap()
    };
    let low = made(("water.bromine", "1"));
    let [step] = &low.steps[..] else { panic!("{:?}", low.steps) };
    assert_eq!(step.product, "monopersulfate");
    // From 1 to the aim of 4 mg/L in 37,854 L; a cup measures to a tenth.
    let grams = 3.0 * 37_854.0 / 1000.0 / 159.81 * 152.17 / 0.43;
    assert!((step.amount.value * 1000.0 / grams - 1.0).abs() < 0.05, "{:?}", step.amount);
    assert!((value(&low.after, "water.bromine") - 4.0).abs() < 0.2, "{:?}", low.after);
    assert!(low.remarks.iter().any(|text| text.contains("bromide")), "{:?}", low.remarks);
    // 0.444 mg/L on the chlorine scale are the same 1 mg/L of bromine: 159.81 over 70.91.
    let by_chlorine = made(("water.free_chlorine", "0.444"));
    assert_eq!(by_chlorine.steps.first().map(|step| &step.product), Some(&step.product));
    assert!((value(&by_chlorine.before, "water.bromine") - 1.0).abs() < 0.01);
    // In its range nothing is added; untested, it is asked for and no amount is made up.
    assert!(made(("water.bromine", "4")).steps.is_empty());
    let untested = made(("water.temperature", "48"));
    assert!(untested.steps.is_empty(), "{:?}", untested.steps);
    assert!(untested.questions.iter().any(|need| need.fact == "water.bromine"));
}

/// What the index may be goes by the surface, and by the hot wall of a heater.
#[test]
fn the_index_is_kept_in_the_band_of_the_surface_and_of_the_heater() {
    let knowledge = knowledge();
    let made = |more: &[(&'static str, &'static str)]| {
        let facts = [&[("pool.volume", "12000 gal"), ("water.temperature", "42 F")], more].concat();
        plan(&knowledge, Case { facts: &facts, ..Case::default() }).unwrap()
    };
    let hungry =
        [("water.ph", "7.2"), ("water.total_alkalinity", "80"), ("water.calcium_hardness", "200")];
    let on = |surface| made(&[&hungry[..], &[("pool.surface", surface)]].concat());
    let (plaster, vinyl) = (on("plaster"), on("vinyl"));
    let index = value(&plaster.before, "saturation_index_cold");
    assert!(index < -0.5 && index > -1.0, "{index}");
    assert!(!plaster.steps.is_empty() && vinyl.steps.is_empty(), "{:?}", vinyl.steps);
    assert!(vinyl.remarks.iter().any(|text| text.contains("vinyl: −0.7 to 0.3")));
    let scaling = [
        ("pool.surface", "plaster"),
        ("water.ph", "7.8"),
        ("water.total_alkalinity", "150"),
        ("water.calcium_hardness", "390"),
    ];
    let cool = made(&scaling);
    let index = value(&cool.before, "saturation_index");
    assert!(index > 0.43 && index < 0.5, "{index}");
    assert!(cool.steps.is_empty(), "{:?}", cool.steps);
    let heated = made(&[&scaling[..], &[("heater.kind", "gas")]].concat());
    assert_eq!(heated.steps.first().map(|step| step.product.as_str()), Some("muriatic-acid"));
}
