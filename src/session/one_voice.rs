//! One voice on what to add: where a plan was computed, the steps that rules call for carry its amounts, or give
//! way to it; nothing beside it says otherwise.

use super::dose::complete;
use super::turn::Session;
use super::wish::Wanted;
use crate::advice::{Advised, Answer, AnswerAction};
use crate::facts::Value;
use crate::knowledge::{Action, Urgency, Who};
use crate::plan::{DosePlan, DoseStep, HeldBack};
use crate::units::trim_number;

/// An action that measures out doses in general.
const ALL: &str = "all";
/// An action that holds every dose back.
const HOLD: &str = "hold";

/// How much of what, and what an addition would do, where that was asked; for a plain report with a volume the
/// amounts beside the steps. The plan's own question comes before others.
pub(super) fn to_dose(session: &Session<'_>, wanted: &Wanted, answer: &mut Answer) {
    if answer.actions.iter().any(|action| action.urgency == Urgency::Now) && !wanted.asked {
        return;
    }
    let Some(planned) = session.dose_wanted(wanted) else {
        return amounts(session, answer);
    };
    let known = planned.as_ref().map_or(true, |plan| {
        !plan.before.is_empty() || !plan.steps.is_empty() || !plan.replace.is_empty()
    });
    if known {
        let mut told = session.dose_told(&planned);
        if let Some(hold) = held(session, answer) {
            told.lines.insert(0, hold);
        }
        answer.replies.retain(|reply| reply.heading != "notes");
        answer.replies.push(told);
        answer.answered = true;
    }
    let Ok(plan) = &planned else { return };
    if let Some(question) = session.dose_question(plan) {
        answer.questions = vec![question];
    }
    if known && complete(plan) {
        give_way(session, wanted, plan, answer);
    }
}

fn action<'s>(session: &'s Session<'_>, id: &str) -> Option<&'s Action> {
    session.base.knowledge().action(id)
}

fn dosed<'s>(session: &'s Session<'_>, id: &str) -> &'s [String] {
    action(session, id).map_or(&[], |action| action.dose.as_slice())
}

/// The text of what holds every dose back, if a rule calls for it.
fn held(session: &Session<'_>, answer: &Answer) -> Option<String> {
    let holds = |one: &&AnswerAction| dosed(session, &one.id).iter().any(|id| id == HOLD);
    answer.actions.iter().find(holds).map(|one| one.text.clone())
}

/// Takes out the steps of rules that the plan's own steps stand for, and what is said of them.
fn give_way(session: &Session<'_>, wanted: &Wanted, plan: &DosePlan, answer: &mut Answer) {
    let products = &session.base.knowledge().products;
    let family = |id: &str| products.iter().find(|p| p.id == id).map(|p| p.family.clone());
    let used: Vec<String> = plan.steps.iter().filter_map(|step| family(&step.product)).collect();
    // A plan to the ranges speaks of everything; one to a value that was asked for only of what it moves.
    let whole = !wanted.wish.aims() && wanted.wish.add.is_empty();
    let speaks_of = |ids: &[String]| {
        let of_balance = ["acid", "carbonate"];
        ids.iter().any(|id| {
            id == ALL
                || family(id).is_some_and(|family| {
                    whole
                        || used.contains(&family)
                        || (of_balance.contains(&family.as_str())
                            && used.iter().any(|used| of_balance.contains(&used.as_str())))
                })
        })
    };
    measuring_out(session, answer);
    remove(answer, |one| {
        let ids = dosed(session, &one.id);
        !ids.iter().any(|id| id == HOLD) && speaks_of(ids)
    });
    keep_apart(session, plan, answer);
}

/// What rules still call for beside a plan stays hours away from what it may not meet there.
fn keep_apart(session: &Session<'_>, plan: &DosePlan, answer: &mut Answer) {
    let knowledge = session.base.knowledge();
    for one in &mut answer.actions {
        let own = dosed(session, &one.id).iter().filter_map(|id| knowledge.product(id));
        let meets = own.flat_map(|own| {
            plan.steps.iter().filter_map(move |step| {
                let conflict = knowledge.conflict(knowledge.product(&step.product)?, own)?;
                Some((step, conflict))
            })
        });
        // Of equals the first, which is the product that the action would take first.
        let worst = meets.min_by(|a, b| b.1.apart_h.total_cmp(&a.1.apart_h));
        let Some((step, conflict)) = worst else { continue };
        let hours = trim_number(conflict.apart_h, 0);
        let fill = [
            ("hours", hours.as_str()),
            ("name", &step.name),
            ("text", &one.text),
            ("why", &conflict.why),
        ];
        one.text = knowledge.dosing.say("hours_after", &fill);
    }
}

/// Takes out the step that measures out doses in general, and the finding that offers it: it is done.
fn measuring_out(session: &Session<'_>, answer: &mut Answer) {
    let general = |one: &AnswerAction| dosed(session, &one.id).iter().any(|id| id == ALL);
    let of = answer.actions.iter().filter(|one| general(one));
    let rules: Vec<String> = of.flat_map(|one| one.because.clone()).collect();
    answer.findings.retain(|finding| !rules.contains(&finding.rule));
    remove(answer, general);
}

/// Takes actions out, with the cautions and the findings that stand for them alone.
fn remove(answer: &mut Answer, gone: impl Fn(&AnswerAction) -> bool) {
    let (out, stay): (Vec<_>, Vec<_>) =
        std::mem::take(&mut answer.actions).into_iter().partition(|one| gone(one));
    answer.actions = stay;
    let stands =
        |id: &String, list: &[AnswerAction]| list.iter().any(|one| one.cautions.contains(id));
    let actions = &answer.actions;
    answer.cautions.retain(|one| !stands(&one.id, &out) || stands(&one.id, actions));
    number(answer);
}

fn number(answer: &mut Answer) {
    for (at, one) in answer.actions.iter_mut().enumerate() {
        one.order = at + 1;
    }
}

/// Puts the amount into a step that raises chlorine beyond the ranges, by what the rules say it is to reach.
fn burn_off(session: &Session<'_>, answer: &mut Answer) {
    if held(session, answer).is_some() {
        return;
    }
    for one in &mut answer.actions {
        let Some(action) = action(session, &one.id) else { continue };
        let memory = session.talk.state.memory();
        let aim = action.own_aim.and_then(|fact| memory.value(fact)).and_then(Value::number);
        let Some(plan) = aim.and_then(|aim| session.dose_to_chlorine(aim)) else { continue };
        let steps: Vec<&DoseStep> =
            plan.steps.iter().filter(|step| action.own_dose.contains(&step.product)).collect();
        if !steps.is_empty() && steps.len() == plan.steps.len() {
            one.text = told(session, &steps, ["report_own", "report_own_portions"], &one.text);
        }
    }
}

/// Puts the amounts of a plan into the steps that rules call for.
fn amounts(session: &Session<'_>, answer: &mut Answer) {
    burn_off(session, answer);
    let called = answer.actions.iter().any(|one| is_dose(session, &one.id));
    if !called || held(session, answer).is_some() {
        return;
    }
    let Some(plan) = session.dose_reported() else { return };
    // Burning off algae takes more chlorine than a plan to the ranges knows.
    let own =
        |one: &AnswerAction| action(session, &one.id).map(|action| action.own_dose.as_slice());
    let own: Vec<String> = answer.actions.iter().filter_map(own).flatten().cloned().collect();
    let steps: Vec<&DoseStep> =
        plan.steps.iter().filter(|step| !own.contains(&step.product)).collect();
    measuring_out(session, answer);
    let mut told: Vec<&str> = Vec::new();
    let dosing = &session.base.knowledge().dosing;
    // Cautions of what is held back stand with nothing.
    let mut idle: Vec<String> = Vec::new();
    let mut ranks: Vec<usize> = Vec::new();
    for one in answer.actions.iter_mut() {
        let ids = dosed(session, &one.id);
        if ids.is_empty() {
            continue;
        }
        // Which product to take for what is measured out beyond the plan stands as it is.
        if ids.iter().all(|id| own.contains(id)) {
            ranks.push(usize::MAX);
            continue;
        }
        let of: Vec<&DoseStep> =
            steps.iter().copied().filter(|step| ids.contains(&step.product)).collect();
        ranks.push(of.first().map_or(usize::MAX, |step| step.order));
        match of.as_slice() {
            [] if is_missing(session, &plan, ids) => {
                let text = one.text.clone();
                one.text = dosing.say("report_missing", &[("text", &text)]);
            }
            [] => {
                one.text = none_now(session, &plan, &steps, one);
                one.wait_h = None;
                idle.append(&mut one.cautions);
            }
            // A rule that says which product to take, beside the one that says to add it.
            [step, ..] if told.contains(&step.product.as_str()) => {
                one.text = same_product(session, step);
            }
            [step, ..] => {
                told.push(&step.product);
                one.text = portioned(session, &of);
                one.wait_h = of.last().map(|step| step.wait_h);
            }
        }
    }
    let actions = &answer.actions;
    let stands = |id: &String| actions.iter().any(|one| one.cautions.contains(id));
    answer.cautions.retain(|one| !idle.contains(&one.id) || stands(&one.id));
    in_plan_order(session, answer, ranks);
    let rest =
        steps.iter().filter(|step| !told.contains(&step.product.as_str()) && step.portion == 1);
    let extra: Vec<AnswerAction> = rest.map(|step| own_step(session, &plan, step)).collect();
    answer.actions.extend(extra);
    number(answer);
    // What the water reads after a plan of which a part is left out nobody has computed.
    let after = if steps.len() < plan.steps.len() { Vec::new() } else { plan.after.clone() };
    answer.replies.push(summary(session, DosePlan { after, ..plan.clone() }));
}

/// Whether the plan wants one of these products, and nobody has any at hand.
fn is_missing(session: &Session<'_>, plan: &DosePlan, ids: &[String]) -> bool {
    let product = |id: &String| session.base.knowledge().product(id);
    let is = |held: &HeldBack| {
        let named = |name: &String| *name == held.product;
        ids.iter().any(|id| {
            named(id) || product(id).is_some_and(|one| named(&one.family) || named(&one.substance))
        })
    };
    plan.held_back.iter().filter(|held| held.missing).any(is)
}

fn is_dose(session: &Session<'_>, id: &str) -> bool {
    dosed(session, id).iter().any(|id| id != HOLD)
}

/// The steps with amounts, among themselves, in the order of the plan.
fn in_plan_order(session: &Session<'_>, answer: &mut Answer, ranks: Vec<usize>) {
    let places: Vec<usize> = answer
        .actions
        .iter()
        .enumerate()
        .filter(|(_, one)| !dosed(session, &one.id).is_empty())
        .map(|(at, _)| at)
        .collect();
    let mut doses: Vec<(usize, AnswerAction)> = ranks
        .into_iter()
        .zip(places.iter().filter_map(|at| answer.actions.get(*at).cloned()))
        .collect();
    doses.sort_by_key(|(rank, _)| *rank);
    let most = doses.iter().map(|(_, one)| one.urgency).min();
    for (at, (_, dose)) in places.into_iter().zip(doses) {
        if let Some(slot) = answer.actions.get_mut(at) {
            let urgency = slot.urgency;
            *slot = dose;
            // The headings of urgency stay in order.
            slot.urgency = most.map_or(urgency, |_| urgency);
        }
    }
}

/// "2 times 11 fl oz of muriatic acid (31.45 %), 4 h apart. How."
fn portioned(session: &Session<'_>, steps: &[&DoseStep]) -> String {
    told(session, steps, ["report_step", "report_portions"], "")
}

/// Portions of one product in one of two wordings: for one of them, and for several.
fn told(
    session: &Session<'_>,
    steps: &[&DoseStep],
    [one, several]: [&str; 2],
    text: &str,
) -> String {
    let dosing = &session.base.knowledge().dosing;
    let Some(first) = steps.first() else { return String::new() };
    let product = session.base.knowledge().product(&first.product);
    let add = product.map_or("", |product| product.add.as_str());
    let caution = product.map_or("", |product| product.caution.as_str());
    let many = steps.len().to_string();
    let hours = trim_number(first.wait_h, 0);
    let reads = steps.last().map(|step| session.readings_told(&step.after)).unwrap_or_default();
    let fill = [
        ("text", text),
        ("given", first.amount.given.as_str()),
        ("name", &first.name),
        ("strength", &first.strength),
        ("add", add),
        ("caution", caution),
        ("n", &many),
        ("hours", &hours),
        ("reads", &reads),
    ];
    dosing.say(if steps.len() > 1 { several } else { one }, &fill)
}

fn same_product(session: &Session<'_>, step: &DoseStep) -> String {
    let fill = [("name", step.name.as_str())];
    session.base.knowledge().dosing.say("report_same", &fill)
}

/// A step that rules call for and the plan does not need: what to do instead, and why.
fn none_now(
    session: &Session<'_>,
    plan: &DosePlan,
    steps: &[&DoseStep],
    one: &AnswerAction,
) -> String {
    let knowledge = session.base.knowledge();
    let names: Vec<&str> = dosed(session, &one.id)
        .iter()
        .filter_map(|id| knowledge.product(id))
        .map(|product| product.name.as_str())
        .take(2)
        .collect();
    let reads = session.readings_told(&session.dose_after(plan, steps));
    let name = names.join(" or ");
    let key = if steps.is_empty() { "report_none" } else { "report_none_yet" };
    knowledge.dosing.say(key, &[("name", &name), ("reads", &reads)])
}

/// A step of the plan that no rule calls for by itself.
fn own_step(session: &Session<'_>, plan: &DosePlan, step: &DoseStep) -> AnswerAction {
    let knowledge = session.base.knowledge();
    let of: Vec<&DoseStep> = plan.steps.iter().filter(|s| s.product == step.product).collect();
    let product = knowledge.product(&step.product);
    AnswerAction {
        id: format!("dose-{}", step.product),
        urgency: Urgency::Routine,
        order: 0,
        text: portioned(session, &of),
        because: plan
            .before
            .iter()
            .map(|reading| reading.name.to_owned())
            .filter(|name| name.contains('.'))
            .collect(),
        cites: product.iter().flat_map(|p| p.cites.iter().map(|cite| cite.to.0.clone())).collect(),
        who: Who::Anyone,
        wait_h: of.last().map(|step| step.wait_h),
        tools: Vec::new(),
        cautions: Vec::new(),
    }
}

/// What the water reads after the plan, and what it leaves alone.
fn summary(session: &Session<'_>, plan: DosePlan) -> Advised {
    let whole = session.dose_told(&Ok(plan));
    let step = |line: &String| line.starts_with(|c: char| c.is_ascii_digit());
    let lines = whole.lines.into_iter().filter(|line| !step(line)).collect();
    Advised { heading: whole.heading, lines, cites: Vec::new() }
}
