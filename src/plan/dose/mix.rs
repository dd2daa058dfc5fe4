//! Rain and fill water: what mixes in before anything is added.

use super::reading::{Tested, number, of_water};
use super::{DoseNeed, DoseRequest};
use crate::chemistry::{Composition, Water, mixed, rain};
use crate::facts::Value;
use crate::units::show_named;

/// The water once what was said has mixed in; `None` if nothing was.
pub(super) fn mix(request: &DoseRequest<'_>, tested: &Tested) -> Option<Tested> {
    let mut after = tested.clone();
    let mut any = false;
    if let Some(depth_mm) = request.wish.rain_mm.filter(|depth| *depth > 0.0) {
        let deep_m = depth_m(request, tested);
        let fell_m = depth_mm / 1e3;
        after.assumed.push(rain_told(request, depth_mm, deep_m));
        stir(&mut after, &rain(tested.water.temperature_c), fell_m / (fell_m + deep_m));
        any = true;
    }
    if let Some(share) = request.wish.replace.filter(|share| *share > 0.0) {
        let (fill, told) = fill(request, tested.water.temperature_c);
        after.assumed.extend(told);
        match Composition::of(&fill) {
            Ok(fill) => stir(&mut after, &fill, share),
            Err(error) => after.questions.push(DoseNeed {
                fact: "water.total_alkalinity".to_owned(),
                text: format!("What does the fill water read? {error}"),
                why: "the water after depends on it".to_owned(),
            }),
        }
        any = true;
    }
    any.then_some(after)
}

/// Average depth, m: by volume and surface where both are known.
fn depth_m(request: &DoseRequest<'_>, tested: &Tested) -> f64 {
    let area = number(request, "pool.surface_area").filter(|area| *area > 0.0);
    let known = tested.volume_l.zip(area).map(|(litres, area)| litres / 1e3 / area);
    known.unwrap_or(request.knowledge.dosing.average_depth_m)
}

fn rain_told(request: &DoseRequest<'_>, depth_mm: f64, deep_m: f64) -> String {
    let shown = |value, name, decimals| show_named(value, name, decimals, request.system);
    let feet = |metres: f64| match request.system {
        crate::units::System::Us => format!("{} ft", crate::units::trim_number(metres / 0.3048, 1)),
        crate::units::System::Si => format!("{} m", crate::units::trim_number(metres, 1)),
    };
    let fill = [("value", shown(depth_mm, "mm", 1)), ("depth", feet(deep_m))];
    let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
    request.knowledge.dosing.say("rain_depth", &fill)
}

/// Fill water: what was said of it, else what the knowledge takes; and what was taken, in words.
fn fill(request: &DoseRequest<'_>, temperature_c: f64) -> (Water, Vec<String>) {
    let words = &request.knowledge.vocabulary;
    let mut taken = Vec::new();
    let mut value = |name: &str| {
        let Some(id) = words.find(name) else { return 0.0 };
        let of = |list: &[(_, f64)]| list.iter().find(|(fact, _)| *fact == id).map(|(_, v)| *v);
        of(&request.wish.fill).unwrap_or_else(|| {
            let assumed = of(&request.knowledge.dosing.fill);
            if let (Some(value), Some(def)) = (assumed, words.get(id)) {
                let shown = def.show(Value::Number(value), request.system);
                taken.push(if def.title == "pH" {
                    format!("pH {shown}")
                } else {
                    format!("{} {shown}", def.title)
                });
            }
            assumed.unwrap_or(0.0)
        })
    };
    let water = Water {
        temperature_c,
        ph: value("water.ph"),
        total_alkalinity: value("water.total_alkalinity"),
        calcium_hardness: value("water.calcium_hardness"),
        cyanuric_acid: value("water.cyanuric_acid"),
        salt: value("water.salt"),
        borate: value("water.borate"),
        free_chlorine: value("water.free_chlorine"),
        bromine: value("water.bromine"),
        ..Water::default()
    };
    let told = (!taken.is_empty())
        .then(|| request.knowledge.dosing.say("fill_unknown", &[("value", &taken.join(", "))]));
    (water, told.into_iter().collect())
}

/// One reading of the fill water.
pub(super) fn of_fill(request: &DoseRequest<'_>, name: &str) -> f64 {
    of_water(&fill(request, 10.0).0, name)
}

/// Mixes a share of another water in.
fn stir(tested: &mut Tested, added: &Composition, share: f64) {
    let t = tested.water.temperature_c;
    let readings = || Composition::readings(&tested.water).unwrap_or_default();
    let totals = mixed(&tested.composition.unwrap_or_else(readings), added, share);
    let known = tested.composition.is_some();
    let ph = totals.settled(t).ok().filter(|_| known).map_or(tested.water.ph, |found| found.ph);
    tested.water = Water { sulfate: tested.water.sulfate, ..totals.reading_at(t, ph) };
    tested.composition = known.then_some(totals);
    tested.combined = tested.combined.map(|combined| combined * (1.0 - share));
}
