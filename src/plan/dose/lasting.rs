//! How long chlorine lasts, by what a pool's own log bears out.

use super::reading::{Tested, number};
use super::{DosePlan, DoseRequest};
use crate::facts::Value;
use crate::units::trim_number;

/// Free chlorine lost a day by the log, mg/L.
fn loss(request: &DoseRequest<'_>) -> Option<f64> {
    number(request, "trend.chlorine_use")
        .filter(|rate| *rate > request.knowledge.dosing.chlorine_loss_tells)
}

/// The free chlorine that lasts as long as the knowledge asks, mg/L.
pub(super) fn lasting(request: &DoseRequest<'_>) -> Option<f64> {
    let dosing = &request.knowledge.dosing;
    Some(dosing.chlorine_least + loss(request)? * dosing.chlorine_lasts_d)
}

/// Says how long the chlorine lasts, after the plan or as it stands.
pub(super) fn say_lasting(request: &DoseRequest<'_>, plan: &mut DosePlan, tested: &Tested) {
    let dosing = &request.knowledge.dosing;
    let Some(rate) = loss(request).filter(|_| tested.knows("water.free_chlorine")) else { return };
    let after = plan.after.iter().find(|reading| reading.name == "water.free_chlorine");
    let free = after.map_or(tested.water.free_chlorine, |reading| reading.value);
    let dosed = free > tested.water.free_chlorine + 1e-9;
    if free <= dosing.chlorine_least {
        return;
    }
    let shown = |value: f64| {
        let def = request.knowledge.vocabulary.def("water.free_chlorine");
        def.map_or_else(String::new, |def| def.show(Value::Number(value), request.system))
    };
    let days = trim_number(((free - dosing.chlorine_least) / rate).floor().max(1.0), 0);
    let fill = [("rate", shown(rate)), ("least", shown(dosing.chlorine_least)), ("days", days)];
    let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
    plan.remarks.push(dosing.say(if dosed { "lasts" } else { "lasts_now" }, &fill));
}
