//! What a plan holds back, and the water that has to be replaced.

use super::goal::{Goal, breakpoint, bromine};
use super::mix::of_fill;
use super::pick::{Picked, of_family, on_hand, preferred};
use super::reading::{Tested, of_water};
use super::{DoseRequest, HeldBack, Replacement};
use crate::chemistry::{Water, replaced_share};
use crate::facts::Value;
use crate::knowledge::Product;
use crate::units::{convert, display_unit, find_unit, show, trim_number};

/// Where a goal's limit stands.
type Limit = fn(&Goal) -> f64;

/// A fact's value as an answer says it.
pub(super) fn shown(request: &DoseRequest<'_>, name: &str, value: f64) -> String {
    let def = request.knowledge.vocabulary.def(name);
    def.map_or_else(String::new, |def| def.show(Value::Number(value), request.system))
}

/// What an answer calls a fact.
pub(super) fn title<'a>(request: &DoseRequest<'a>, name: &'a str) -> &'a str {
    request.knowledge.vocabulary.def(name).map_or(name, |def| def.title.as_str())
}

/// What is above its range and that no product lowers: water to replace.
pub(super) fn replacements(
    request: &DoseRequest<'_>,
    tested: &Tested,
    goals: &[Goal],
) -> Vec<Replacement> {
    // Cyanuric acid weakens chlorine from its limit on; hard or salty water is borne to the outer one.
    let limits: [(&str, Limit); 3] = [
        ("water.cyanuric_acid", |goal| goal.high),
        ("water.calcium_hardness", |goal| if goal.asked { goal.high } else { goal.very_high }),
        ("water.salt", |goal| if goal.asked { goal.high } else { goal.very_high }),
    ];
    let too_high = limits.iter().filter_map(|(name, limit)| {
        let goal = goals.iter().find(|goal| goal.name == *name)?;
        let now = tested.value(name);
        let wanted = limit(goal);
        if now <= wanted + goal.resolution {
            return None;
        }
        let share = replaced_share(now, wanted, of_fill(request, name))?;
        Some(replacement(request, tested, name, share))
    });
    too_high.collect()
}

fn replacement(request: &DoseRequest<'_>, tested: &Tested, name: &str, share: f64) -> Replacement {
    let dosing = &request.knowledge.dosing;
    let litres = tested.volume_l.map(|volume| volume * share);
    let volume = litres.zip(find_unit("L")).map_or_else(
        || "of the pool's volume".to_owned(),
        |(litres, unit)| {
            let shown = display_unit(unit, request.system);
            let many = convert(litres, unit, shown).map(two_figures).unwrap_or(litres);
            show(convert(many, shown, unit).unwrap_or(litres), unit, 0, request.system)
        },
    );
    let fill = [
        ("title", title(request, name)),
        ("share", &trim_number((share * 100.0).ceil(), 0)),
        ("volume", &volume),
        ("fill", &shown(request, name, of_fill(request, name))),
        ("most", &trim_number(dosing.replace_at_once_percent, 0)),
    ];
    Replacement { fact: name.to_owned(), share, litres, text: dosing.say("replace", &fill) }
}

/// Rounded to two figures: nobody drains to the litre.
fn two_figures(value: f64) -> f64 {
    let step = 10_f64.powf(value.max(1.0).log10().floor() - 1.0);
    (value / step).round() * step
}

/// Chlorine that is too high, in doubt, or combined in water too cold to clear it.
pub(super) fn chlorine(
    request: &DoseRequest<'_>,
    tested: &Tested,
    goals: &[Goal],
) -> Vec<HeldBack> {
    let dosing = &request.knowledge.dosing;
    let mut held = Vec::new();
    let mut hold = |product: &str, why: String| {
        held.push(HeldBack { product: product.to_owned(), why, missing: false });
    };
    if bromine(request) {
        hold("water.free_chlorine", dosing.say("bromine", &[]));
        return held;
    }
    if tested.chlorine_in_doubt {
        hold("water.free_chlorine", dosing.say("chlorine_doubt", &[]));
    }
    let goal = goals.iter().find(|goal| goal.name == "water.free_chlorine");
    let free = tested.value("water.free_chlorine");
    if goal.is_some_and(|goal| !goal.asked && free > goal.high + goal.resolution) {
        let value = shown(request, "water.free_chlorine", free);
        hold("water.free_chlorine", dosing.say("chlorine_high", &[("value", &value)]));
    }
    let cold = tested.water.temperature_c < dosing.breakpoint_from_c;
    if let Some((combined, _)) = breakpoint(request, tested).filter(|_| cold) {
        let value = shown(request, "water.combined_chlorine", combined);
        let limit = shown(request, "water.temperature", dosing.breakpoint_from_c);
        let why = dosing.say("combined_cold", &[("value", &value), ("limit", &limit)]);
        hold("water.combined_chlorine", why);
    }
    held
}

/// "Leave it" is not said of a reading that the plan moves for another's sake.
pub(super) fn forget_moved(request: &DoseRequest<'_>, plan: &mut super::DosePlan) {
    let value = |list: &[super::DoseReading], name: &str| {
        list.iter().find(|reading| reading.name == name).map(|reading| reading.value)
    };
    let before = if plan.mixed.is_empty() { &plan.before } else { &plan.mixed };
    let stays = |held: &HeldBack| {
        let id = request.knowledge.vocabulary.find(&held.product);
        let notch = id.and_then(|id| request.knowledge.dosing.resolution(id));
        let moved = value(before, &held.product).zip(value(&plan.after, &held.product));
        let tells = notch.map_or(f64::INFINITY, |notch| 0.5 * notch.drops);
        moved.is_none_or(|(from, to)| (to - from).abs() <= tells)
    };
    let kept = plan.held_back.iter().filter(|held| stays(held)).cloned().collect();
    plan.held_back = kept;
}

/// Products that were asked for by name and that the plan does not use.
pub(super) fn not_used(
    request: &DoseRequest<'_>,
    used: &[super::DoseStep],
    held: &[HeldBack],
) -> Vec<HeldBack> {
    let dosing = &request.knowledge.dosing;
    let unused = request.knowledge.products.iter().filter(|product| {
        preferred(request, &product.id).is_some()
            && used.iter().all(|step| step.product != product.id)
            && held.iter().all(|held| held.product != product.id)
    });
    let key = |product: &Product| match (on_hand(request, product), used.is_empty()) {
        (false, true) => "asked_not_on_hand",
        (true, true) => "none_needed",
        (_, false) => "other_instead",
    };
    unused
        .map(|product| HeldBack {
            product: product.id.clone(),
            why: dosing.say(key(product), &[]),
            missing: false,
        })
        .collect()
}

/// Readings that the plan leaves out of range, and why.
pub(super) fn not_reached(
    request: &DoseRequest<'_>,
    after: &Water,
    goals: &[Goal],
    all: &[Picked<'_>],
) -> Vec<HeldBack> {
    let dosing = &request.knowledge.dosing;
    let balance = ["water.ph", "water.total_alkalinity", "water.calcium_hardness"];
    let of_balance = goals.iter().filter(|goal| balance.contains(&goal.name) && goal.aim.is_some());
    let left = of_balance.filter_map(|goal| {
        let value = of_water(after, goal.name);
        let off = (goal.low - value).max(value - goal.high);
        (off > goal.resolution).then_some((goal, value))
    });
    let told = left.map(|(goal, value)| {
        let too_high = value > goal.high;
        let family = match (goal.name, too_high) {
            ("water.ph" | "water.total_alkalinity", true) => "acid",
            ("water.ph" | "water.total_alkalinity", false) => "carbonate",
            _ => "calcium",
        };
        let title = title(request, goal.name);
        let value = shown(request, goal.name, value);
        if of_family(all, family).is_none() {
            let why = dosing.say("not_on_hand", &[("title", title)]);
            return HeldBack { product: family.to_owned(), why, missing: true };
        }
        let key = if too_high && goal.name == "water.total_alkalinity" {
            "alkalinity_high"
        } else {
            "low_not_reached"
        };
        let why = dosing.say(key, &[("title", title), ("value", &value)]);
        HeldBack { product: goal.name.to_owned(), why, missing: false }
    });
    told.collect()
}
