//! Safety over every pair of products and a grid of waters.

use super::{Case, Facts, knowledge, plan};
use brumal::chemistry::Substance;
use brumal::knowledge::{Knowledge, Product, Use};
use brumal::plan::DosePlan;

/// Every pair of products: acid never meets chlorine, no two chlorines meet, no neutraliser meets chlorine.
#[test]
fn every_pair_of_products_that_must_not_meet_is_known() {
    let knowledge = knowledge();
    let effect = |product: &Product| Substance::named(&product.substance).unwrap().effect();
    let chlorine = |product: &Product| effect(product).free_chlorine > 0.0;
    let acid = |product: &Product| product.family == "acid";
    let neutralizer = |product: &Product| effect(product).free_chlorine < 0.0;
    let mut pairs = 0;
    for a in &knowledge.products {
        for b in knowledge.products.iter().filter(|b| b.id != a.id) {
            let never = knowledge.conflict(a, b).is_some_and(|conflict| conflict.never);
            let must = (acid(a) && chlorine(b))
                || (chlorine(a) && chlorine(b))
                || (neutralizer(a) && chlorine(b));
            if must {
                pairs += 1;
                assert!(never, "{} and {}", a.id, b.id);
                let apart = knowledge.conflict(a, b).unwrap().apart_h;
                assert!(apart >= 2.0, "{} and {}: {apart} h", a.id, b.id);
            }
            let same = knowledge.conflict(a, b).map(|c| &c.why)
                == knowledge.conflict(b, a).map(|c| &c.why);
            assert!(same, "{} and {} differ by order", a.id, b.id);
        }
    }
    assert!(pairs >= 30, "{pairs}");
}

/// A plan over a grid of waters and vans never breaks a rule of safety.
#[test]
fn no_plan_over_a_grid_of_waters_breaks_a_rule() {
    let knowledge = knowledge();
    let plans: u32 = std::thread::scope(|scope| {
        let halves = ["34 F", "80 F"].map(|temperature| {
            let knowledge = &knowledge;
            scope.spawn(move || grid_at(knowledge, temperature))
        });
        halves.into_iter().map(|half| half.join().unwrap()).sum()
    });
    assert_eq!(plans, 2 * 5 * 3 * 3 * 3 * 3);
}

fn grid_at(knowledge: &Knowledge, temperature: &str) -> u32 {
    let vans = [
        "muriatic-acid, liquid-chlorine, bicarbonate, soda-ash, calcium-chloride",
        "dry-acid, cal-hypo, dichlor, trichlor, bicarbonate",
        "",
    ];
    let mut plans = 0;
    for ph in ["6.6", "7.1", "7.5", "7.9", "8.6"] {
        for alkalinity in ["30", "90", "220"] {
            for calcium in ["60", "250", "900"] {
                for (cyanuric, free) in [("0", "0"), ("30", "0.5"), ("120", "12")] {
                    for van in vans {
                        let mut facts = vec![
                            ("pool.volume", "12000 gal"),
                            ("pool.surface", "plaster"),
                            ("water.temperature", temperature),
                            ("water.ph", ph),
                            ("water.total_alkalinity", alkalinity),
                            ("water.calcium_hardness", calcium),
                            ("water.cyanuric_acid", cyanuric),
                            ("water.free_chlorine", free),
                        ];
                        if !van.is_empty() {
                            facts.push(("chemical.on_hand", van));
                        }
                        let case = Case { facts: &facts, ..Case::default() };
                        safe(knowledge, &plan(knowledge, case).unwrap(), &facts);
                        plans += 1;
                    }
                }
            }
        }
    }
    plans
}

fn safe(knowledge: &Knowledge, plan: &DosePlan, facts: Facts<'_>) {
    let mut clock = 0.0;
    let mut done: Vec<(&Product, f64)> = Vec::new();
    let mut ph = plan.before.iter().find(|r| r.name == "water.ph").map(|r| r.value);
    let litres = 12_000.0 * 3.785_411_784;
    for step in &plan.steps {
        let product = knowledge.product(&step.product).unwrap();
        assert_eq!(product.use_in, Use::Plan, "{facts:?}");
        for (earlier, at) in &done {
            if let Some(conflict) = knowledge.conflict(earlier, product) {
                let apart = clock - at;
                assert!(
                    apart >= conflict.apart_h - 1e-9,
                    "{apart} h between {} and {}: {facts:?}",
                    earlier.id,
                    product.id
                );
            }
        }
        // One cup or one notch of the scale above the most at once.
        let most = product.at_once_per_l * litres;
        assert!(
            step.amount.value <= most * 1.05 + 0.03,
            "{} of {}: {facts:?}",
            step.amount.given,
            product.id
        );
        assert!(step.amount.value > 0.0 && step.text.contains(&product.caution), "{facts:?}");
        let after = step.after.iter().find(|r| r.name == "water.ph").map(|r| r.value);
        if let (Some(before), Some(after)) = (ph, after) {
            assert!(
                (after - before).abs() < 0.45,
                "{before} to {after} by {}: {facts:?}",
                product.id
            );
        }
        ph = after;
        done.push((product, clock));
        clock += step.wait_h;
    }
    let chlorines = done
        .iter()
        .filter(|(p, _)| Substance::named(&p.substance).unwrap().effect().free_chlorine > 0.0);
    let kinds: std::collections::BTreeSet<_> = chlorines.map(|(p, _)| p.id.as_str()).collect();
    assert!(kinds.len() <= 1, "two chlorines: {kinds:?}: {facts:?}");
    let acid = done.iter().any(|(p, _)| p.family == "acid");
    if acid && !kinds.is_empty() {
        assert!(plan.cautions.iter().any(|c| c.contains("never together")), "{facts:?}");
    }
    assert!(plan.after.iter().all(|r| r.value.is_finite()), "{facts:?}");
}
