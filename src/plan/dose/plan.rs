//! The plan itself: goals, amounts, steps, and everything that has to be said about them.

use super::balance::Balance;
use super::band::band_told;
use super::goal::{Goal, breakpoint, coldest, goals, surface};
use super::lasting::say_lasting;
use super::mix::mix;
use super::pick::{Picked, available, chlorine, of_family, of_substance};
use super::reading::{Tested, tested};
use super::schedule::{Dose, Now, portions, steps};
use super::{DosePlan, DoseRequest, HeldBack, additions, hold};
use crate::chemistry::{
    BORON_MG_PER_MOL, BROMINE_MG_PER_MOL, CALCIUM_CARBONATE_MG_PER_EQ,
    CALCIUM_CARBONATE_MG_PER_MOL, CHLORINE_MG_PER_MOL, CYANURIC_ACID_MG_PER_MOL,
    SODIUM_CHLORIDE_MG_PER_MOL, Substance, share_lost_after, water_after, with_carbon_dioxide_lost,
};
use crate::knowledge::BandSet;
use crate::problem::Problem;
use crate::units::{System, find_unit, show, trim_number};

/// Makes a plan, or predicts the water after additions.
///
/// # Errors
/// Every number that cannot be, with its bounds.
pub fn plan_dose(request: &DoseRequest<'_>) -> Result<DosePlan, Vec<Problem>> {
    let first = tested(request)?;
    let stirred = mix(request, &first);
    let dosing = &request.knowledge.dosing;
    let each_l = match request.system {
        System::Us => dosing.each_us_l,
        System::Si => dosing.each_si_l,
    };
    let cold = coldest(request, first.water.temperature_c);
    let shown = |tested: &Tested| Now::before(tested, cold).shown(&tested.given);
    let (before, mixed) = (shown(&first), stirred.as_ref().map(shown).unwrap_or_default());
    let tested = stirred.unwrap_or(first);
    let litres = tested.volume_l.unwrap_or(each_l);
    let start = Now::before(&tested, cold);
    let mut names = tested.given.clone();
    let mut plan = DosePlan {
        before,
        mixed,
        questions: tested.questions.clone(),
        assumed: tested.assumed.clone(),
        volume_l: tested.volume_l,
        each_l: litres,
        retest_h: dosing.retest_h,
        ..DosePlan::default()
    };
    let parts = if request.wish.add.is_empty() {
        let (doses, held) = doses(request, &tested, &start, &mut plan);
        plan.held_back = held;
        let (parts, left) = portions(request, &start, doses, litres);
        for product in left {
            let why = dosing.say("later", &[]);
            plan.held_back.push(HeldBack { product: product.id.clone(), why, missing: false });
        }
        parts
    } else {
        additions::portions(&request.wish.add, request.knowledge, litres)
    };
    let (steps, mut after) = steps(request, &start, &parts, &mut names);
    plan.steps = steps;
    if let Some(days) = request.wish.days {
        after = aired(request, &after, days);
    }
    plan.after = after.shown(&names);
    if request.wish.add.is_empty() {
        left_alone(request, &mut plan, &tested, &after);
    }
    say_lasting(request, &mut plan, &tested);
    if parts.iter().any(|part| part.substance.effect().bromine > 0.0) {
        plan.remarks.push(dosing.say("bromine_bank", &[]));
    }
    let balanced = request.wish.add.is_empty() && !request.wish.aims();
    if balanced && tested.knows("water.calcium_hardness") {
        plan.remarks.extend(start.outlook.map(|outlook| band_told(request, &start, outlook)));
    }
    say(request, &mut plan, &tested);
    Ok(plan)
}

/// What the plan leaves as it is, and why.
fn left_alone(request: &DoseRequest<'_>, plan: &mut DosePlan, tested: &Tested, after: &Now) {
    hold::forget_moved(request, plan);
    plan.held_back.extend(hold::not_used(request, &plan.steps, &plan.held_back));
    if tested.composition.is_none() {
        return;
    }
    let (goals, _) = goals(request, tested);
    let left = hold::not_reached(request, &after.water(), &goals, &available(request));
    // Where water is to be replaced, that is said already.
    let replaced = |fact: &str| plan.replace.iter().any(|replace| replace.fact == fact);
    let left: Vec<HeldBack> = left.into_iter().filter(|one| !replaced(&one.product)).collect();
    plan.held_back.extend(left);
}

/// The water after days open to the air.
fn aired(request: &DoseRequest<'_>, after: &Now, days: f64) -> Now {
    let share = share_lost_after(days, request.knowledge.dosing.carbon_dioxide_half_life_d);
    match with_carbon_dioxide_lost(&after.totals, after.temperature_c, share) {
        Ok(totals) if after.outlook.is_some() => after.holding(totals),
        _ => after.clone(),
    }
}

/// Amounts of everything, and what is held back.
fn doses<'a>(
    request: &DoseRequest<'a>,
    tested: &Tested,
    start: &Now,
    plan: &mut DosePlan,
) -> (Vec<Dose<'a>>, Vec<HeldBack>) {
    let (goals, mut held) = goals(request, tested);
    let all = available(request);
    plan.replace = hold::replacements(request, tested, &goals);
    held.extend(hold::chlorine(request, tested, &goals));
    let mut doses = linear(request, tested, &goals, &all, &mut held);
    doses.extend(chlorine_dose(request, tested, &goals, &all, &mut held));
    let fixed: Vec<(Substance, f64)> =
        doses.iter().map(|dose| (dose.picked.substance, dose.mol_per_kg)).collect();
    match start.outlook {
        Some(outlook) => {
            let base = water_after(&start.totals, &fixed);
            let balance = Balance::new(request, tested, start, outlook, &goals, base);
            doses.extend(balance.doses(&all));
        }
        None => {
            doses.extend(calcium_alone(tested, &goals, &all));
            doses.extend(alkalinity_alone(tested, &goals, &all));
        }
    }
    (doses, held)
}

/// Readings that only their own product moves: cyanuric acid, salt, borate.
fn linear<'a>(
    request: &DoseRequest<'a>,
    tested: &Tested,
    goals: &[Goal],
    all: &[Picked<'a>],
    held: &mut Vec<HeldBack>,
) -> Vec<Dose<'a>> {
    let dosing = &request.knowledge.dosing;
    let movers = [
        ("water.cyanuric_acid", Substance::CyanuricAcid, CYANURIC_ACID_MG_PER_MOL),
        ("water.salt", Substance::SodiumChloride, SODIUM_CHLORIDE_MG_PER_MOL),
        ("water.borate", Substance::BoricAcid, BORON_MG_PER_MOL),
        ("water.bromine", Substance::PotassiumMonopersulfate, BROMINE_MG_PER_MOL),
    ];
    let mut doses = Vec::new();
    for (name, substance, mg_per_mol) in movers {
        let Some(goal) = goals.iter().find(|goal| goal.name == name) else { continue };
        let Some(aim) = goal.aim.filter(|aim| *aim > tested.value(name)) else { continue };
        let cold = tested.water.temperature_c < dosing.warm_from_c;
        if name == "water.cyanuric_acid" && cold && !goal.asked {
            let value = hold::shown(request, name, tested.value(name));
            let why = dosing.say("cyanuric_cold", &[("value", &value)]);
            held.push(HeldBack { product: "cyanuric-acid".to_owned(), why, missing: false });
            continue;
        }
        match of_substance(all, substance) {
            Some(picked) => {
                doses.push(Dose { picked, mol_per_kg: (aim - tested.value(name)) / mg_per_mol });
            }
            None => held.push(HeldBack {
                product: substance.name().to_owned(),
                why: dosing.say("not_on_hand", &[("title", hold::title(request, name))]),
                missing: true,
            }),
        }
    }
    doses
}

/// Chlorine up to its aim, or to what clears the combined part where the water is warm enough; or down, if
/// that was asked for.
fn chlorine_dose<'a>(
    request: &DoseRequest<'a>,
    tested: &Tested,
    goals: &[Goal],
    all: &[Picked<'a>],
    held: &mut Vec<HeldBack>,
) -> Option<Dose<'a>> {
    let goal = goals.iter().find(|goal| goal.name == "water.free_chlorine")?;
    if tested.chlorine_in_doubt {
        return None;
    }
    let now = tested.water.free_chlorine;
    let warm = tested.water.temperature_c >= request.knowledge.dosing.breakpoint_from_c;
    let clears = breakpoint(request, tested).filter(|_| warm && !goal.asked);
    let aim = match clears {
        Some((_, free)) => Some(goal.aim.unwrap_or(now).max(free)),
        None => goal.aim,
    }?;
    if aim < now {
        let neutralizer = of_family(all, "neutralizer").filter(|_| goal.asked)?;
        let per_mole = -neutralizer.effect.free_chlorine * CHLORINE_MG_PER_MOL;
        return Some(Dose { mol_per_kg: (now - aim) / per_mole, picked: neutralizer });
    }
    let (best, others) = chlorine(request, all, tested, goals);
    held.extend(others);
    let Some(picked) = best else {
        let title = hold::title(request, "water.free_chlorine");
        let why = request.knowledge.dosing.say("not_on_hand", &[("title", title)]);
        held.push(HeldBack { product: "liquid-chlorine".to_owned(), why, missing: true });
        return None;
    };
    let per_mole = picked.effect.free_chlorine * CHLORINE_MG_PER_MOL;
    (aim > now).then_some(Dose { mol_per_kg: (aim - now) / per_mole, picked })
}

/// Calcium where pH or alkalinity is unknown, so that nothing else can be planned.
fn calcium_alone<'a>(tested: &Tested, goals: &[Goal], all: &[Picked<'a>]) -> Option<Dose<'a>> {
    let name = "water.calcium_hardness";
    let aim = goals.iter().find(|goal| goal.name == name)?.aim?;
    let short = aim - tested.value(name);
    let picked = of_family(all, "calcium")?;
    (short > 0.0).then_some(Dose { picked, mol_per_kg: short / CALCIUM_CARBONATE_MG_PER_MOL })
}

/// A change of alkalinity that was asked for where pH or alkalinity is unknown: bicarbonate up, acid down.
fn alkalinity_alone<'a>(tested: &Tested, goals: &[Goal], all: &[Picked<'a>]) -> Option<Dose<'a>> {
    let goal = goals.iter().find(|goal| goal.name == "water.total_alkalinity" && goal.asked)?;
    let by = goal.aim? - tested.value(goal.name);
    let picked = if by > 0.0 {
        of_substance(all, Substance::SodiumBicarbonate)
    } else {
        of_family(all, "acid")
    }?;
    let eq = by / CALCIUM_CARBONATE_MG_PER_EQ;
    let mol_per_kg = eq / picked.effect.alkalinity;
    (mol_per_kg > 0.0).then_some(Dose { picked, mol_per_kg })
}

/// Values that were asked for though they lie outside the range that applies.
fn beyond_ranges(request: &DoseRequest<'_>) -> Vec<String> {
    let asked = request.wish.to.iter().filter_map(|(fact, value)| {
        let name = request.knowledge.vocabulary.name(*fact);
        let range = request.knowledge.range(*fact, surface(request))?;
        if range.band(*value) == BandSet::OK {
            return None;
        }
        let [_, low, high, _] = range.edges;
        let shown = |value: f64| hold::shown(request, name, value);
        let edges = match (low.is_finite(), high.is_finite()) {
            (true, true) => format!("{}–{}", shown(low), shown(high)),
            (true, false) => format!("≥ {}", shown(low)),
            _ => format!("≤ {}", shown(high)),
        };
        let title = hold::title(request, name);
        let fill = [("title", title), ("value", &shown(*value)), ("range", &edges)];
        Some(request.knowledge.dosing.say("asked_outside", &fill))
    });
    asked.collect()
}

/// Cautions, sections and what else has to be said.
fn say(request: &DoseRequest<'_>, plan: &mut DosePlan, tested: &Tested) {
    let dosing = &request.knowledge.dosing;
    let products: Vec<_> =
        plan.steps.iter().filter_map(|step| request.knowledge.product(&step.product)).collect();
    for (n, a) in products.iter().enumerate() {
        for b in products.iter().skip(n + 1) {
            if let Some(conflict) = request.knowledge.conflict(a, b) {
                let hours = trim_number(conflict.apart_h, 0);
                let key = if conflict.never { "never_together" } else { "apart" };
                let fill = [("a", a), ("b", b)].map(|(key, product)| (key, product.name.as_str()));
                let fill = [fill.as_slice(), &[("hours", &hours), ("why", &conflict.why)]].concat();
                plan.cautions.push(dosing.say(key, &fill));
            }
        }
    }
    if !plan.replace.is_empty() {
        plan.cautions.push(dosing.say("replace_caution", &[]));
        plan.cites.push("draining#never-empty-the-shell".to_owned());
        plan.cites.push("draining#where-water-may-go".to_owned());
    }
    plan.cautions.extend(beyond_ranges(request));
    if tested.volume_l.is_none() && !plan.steps.is_empty() {
        let litres = find_unit("L");
        let volume = litres.map(|unit| show(plan.each_l, unit, 0, request.system));
        let fill = [("volume", volume.as_deref().unwrap_or(""))];
        plan.assumed.push(dosing.say("no_volume", &fill));
    }
    plan.assumed.push(match request.wish.days {
        Some(days) => {
            let half = dosing.carbon_dioxide_half_life_d;
            let share = trim_number(share_lost_after(days, half) * 100.0, 0);
            let (days, half) = (trim_number(days, 1), trim_number(half, 1));
            dosing.say("open_air", &[("share", &share), ("days", &days), ("half", &half)])
        }
        None => dosing.say("closed", &[]),
    });
    if !plan.steps.is_empty() {
        plan.cautions.push(dosing.say("label", &[]));
        plan.cites
            .extend(["adding-chemicals#how-to-add", "adding-chemicals#order"].map(str::to_owned));
    }
    for product in products {
        plan.cites.extend(product.cites.iter().map(|cite| cite.to.0.clone()));
    }
    let mut seen = std::collections::BTreeSet::new();
    plan.cites.retain(|cite| seen.insert(cite.clone()));
    let mut told = std::collections::BTreeSet::new();
    plan.cautions.retain(|caution| told.insert(caution.clone()));
}
