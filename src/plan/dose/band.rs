//! The band that the saturation index is kept in: by the surface, and by the hot wall of a heater where there is one.

use super::DoseRequest;
use super::goal::choice;
use super::schedule::{Now, Outlook};
use crate::units::trim_number;

/// What a plan keeps the index in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Band {
    pub low: f64,
    pub high: f64,
}

/// The edges that apply, and how much higher the index is on the hot wall of a heater.
struct Edges {
    /// Act below, bring up to, bring down to, act above.
    pool: [f64; 4],
    rise: Option<f64>,
}

/// The heater of the pool, if it has a metal exchanger.
fn exchanger<'a>(request: &DoseRequest<'a>) -> Option<&'a str> {
    let heaters = &request.knowledge.dosing.exchanger_heaters;
    choice(request, "heater.kind").filter(|kind| heaters.iter().any(|known| known == kind))
}

fn edges(request: &DoseRequest<'_>, start: &Now, outlook: Outlook) -> Edges {
    let bands = request.knowledge.index_bands();
    let [act_low, low, high, act_high] = bands.of(choice(request, "pool.surface"));
    let hot_c = start.temperature_c + request.knowledge.dosing.exchanger_rise_c;
    // What a dose does to the index it does to it at every temperature, so the rise of the water before will do.
    let rise = exchanger(request).and_then(|_| {
        let hot = start.totals.settled_near(hot_c, outlook.ph).ok()?;
        Some(hot.calcite_index - outlook.index)
    });
    let [_, _, hot_high, hot_act] = bands.exchanger;
    let down = |pool: f64, hot: f64| rise.map_or(pool, |rise| pool.min(hot - rise));
    Edges { pool: [act_low, low, down(high, hot_high), down(act_high, hot_act)], rise }
}

/// The band: the inner one where the index is outside the outer one now, else the outer one, so that no dose may push
/// it out.
pub(super) fn band(request: &DoseRequest<'_>, start: &Now, outlook: Outlook) -> Band {
    let [act_low, low, high, act_high] = edges(request, start, outlook).pool;
    Band {
        low: if outlook.index_cold < act_low { low } else { act_low },
        high: if outlook.index > act_high { high } else { act_high },
    }
}

/// What the band is, for whom.
pub(super) fn band_told(request: &DoseRequest<'_>, start: &Now, outlook: Outlook) -> String {
    let Edges { pool: [_, low, high, _], rise } = edges(request, start, outlook);
    let dosing = &request.knowledge.dosing;
    let bands = request.knowledge.index_bands();
    let said = choice(request, "pool.surface");
    let [_, _, own, _] = bands.of(said);
    let (low, own) = (trim_number(low, 1), trim_number(own, 1));
    let fill = [("surface", said.unwrap_or_default()), ("low", &low), ("high", &own)];
    let key = if said.is_some() { "index_band" } else { "index_band_unknown" };
    let mut told = dosing.say(key, &fill);
    if let Some((heater, rise)) = exchanger(request).zip(rise) {
        let fill =
            [("heater", heater), ("rise", &trim_number(rise, 1)), ("high", &trim_number(high, 1))];
        told = format!("{told} {}", dosing.say("index_band_heater", &fill));
    }
    told
}
