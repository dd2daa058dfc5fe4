//! A cold night in words: the plan, what may have frozen after a stop, how long is left. The wording
//! stands in `winter.toml`; the chat and `brumal night` say the same.

use crate::knowledge::Winter;
use crate::plan::{AfterFailure, NightPlan, PartAfter, PartState, PartTime, Window, span_words};
use crate::units::{System, show_named, trim_number};
use chrono::{DateTime, FixedOffset};

/// One line of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColdLine {
    /// Whether it is what matters most.
    pub strong: bool,
    /// What it says.
    pub text: String,
}

/// Most parts told in a line of a conversation.
const PARTS: usize = 8;

/// A plan: the cold, the pump, the heat, the ice on the pool.
#[must_use]
pub fn night_lines(plan: &NightPlan<'_>, words: &Winter, units: System) -> Vec<ColdLine> {
    let mut lines = vec![ColdLine { strong: false, text: summary(plan, words, units) }];
    let mut say = |strong: bool, text: String| lines.push(ColdLine { strong, text });
    if !plan.pump.is_empty() {
        say(true, words.say("night_pump", &[("windows", &windows(&plan.pump))]));
        pump(plan, words, units, &mut say);
    }
    heater(plan, words, units, &mut say);
    if let Some((ice_mm, snow_mm)) = plan.ice.filter(|(ice, _)| *ice >= 1.0) {
        let snow = if snow_mm >= 5.0 {
            words.say("night_snow", &[("snow", &show_named(snow_mm, "mm", 0, units))])
        } else {
            String::new()
        };
        let ice = show_named(ice_mm, "mm", 0, units);
        say(false, words.say("night_ice", &[("ice", &ice), ("snow", &snow)]));
    }
    lines
}

fn summary(plan: &NightPlan<'_>, words: &Winter, units: System) -> String {
    let lowest = plan.lowest.map_or_else(
        || words.say("night_no_air", &[]),
        |(air, at)| {
            let air = show_named(air, "°C", 0, units);
            words.say("night_lowest", &[("air", &air), ("at", &clock_words(at))])
        },
    );
    let frost = match plan.freezing.as_slice() {
        [] if plan.action.is_empty() => words.say("night_warm", &[]),
        [] => words.say("night_no_frost", &[("windows", &windows(&plan.action))]),
        list => words.say("night_frost", &[("windows", &windows(list))]),
    };
    format!("{lowest} {frost}")
}

fn windows(list: &[Window]) -> String {
    let one = |window: &Window| {
        format!(
            "{} to {} ({})",
            clock_words(window.from),
            clock_words(window.to),
            span_words(window.hours)
        )
    };
    let mut text = list.iter().take(3).map(one).collect::<Vec<_>>().join(", ");
    if list.len() > 3 {
        text += &format!(" and {} more times", list.len() - 3);
    }
    text
}

fn pump(plan: &NightPlan<'_>, words: &Winter, units: System, say: &mut impl FnMut(bool, String)) {
    let Some(speed) = &plan.speed else { return };
    match speed.least_l_min {
        None => say(true, words.say("night_no_speed", &[])),
        Some(flow) => {
            let fill = [
                ("rpm", trim_number(speed.least_rpm, 0)),
                ("kw", trim_number(speed.kw, 2)),
                ("flow", show_named(flow, "L/min", 1, units)),
            ];
            let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
            say(false, words.say("night_speed", &fill));
        }
    }
    if speed.too_low {
        say(true, words.say("night_speed_low", &[]));
    }
}

fn heater(plan: &NightPlan<'_>, words: &Winter, units: System, say: &mut impl FnMut(bool, String)) {
    let need = &plan.heater;
    if plan.freezing.is_empty() {
        return;
    }
    let coldest = show_named(need.coldest_c, "°C", 0, units);
    if !need.needed {
        say(false, words.say("night_no_heat", &[("coldest", &coldest)]));
        return;
    }
    let short = need.has_kw.is_some_and(|has| has < need.kw);
    let more = if short { words.say("night_heat_more", &[]) } else { String::new() };
    let fill = [
        ("coldest", coldest),
        ("hold", show_named(need.hold_c, "°C", 0, units)),
        ("kw", trim_number(need.kw, 0)),
        ("more", more),
        ("kwh", trim_number(need.kwh, 0)),
    ];
    let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
    say(false, words.say("night_heat", &fill));
}

/// What is in hand if the water stops at the worst time, by the part that is dear to lose and goes first.
#[must_use]
pub fn in_hand_line(plan: &NightPlan<'_>, words: &Winter) -> Option<String> {
    let worst = clock_words(plan.worst_at?);
    let early = |part: &&PartTime| part.low_h.unwrap_or(f64::INFINITY);
    let part = (plan.if_stopped.iter())
        .filter(|part| part.dear() && part.low_h.is_some())
        .min_by(|a, b| early(a).total_cmp(&early(b)))?;
    let time = |hours: Option<f64>| {
        hours.map_or_else(|| words.say("night_beyond", &[]), |hours| format!("in {}", soon(hours)))
    };
    let fill = [
        ("worst", worst),
        ("part", part.title.clone()),
        ("low", time(part.low_h)),
        ("cool", time(part.cool_h)),
        ("blocked", time(part.freeze_h)),
    ];
    Some(words.say("night_in_hand", &fill.each_ref().map(|(name, value)| (*name, value.as_str()))))
}

/// The same in short, for one pool of a round.
#[must_use]
pub fn unable_line(plan: &NightPlan<'_>, words: &Winter) -> Option<String> {
    let in_hand_h = plan.in_hand_h()?;
    let part = plan.if_stopped.iter().find(|part| part.dear() && part.low_h == Some(in_hand_h))?;
    let worst = plan.worst_at.map_or_else(String::new, |at| format!(" at {}", clock_words(at)));
    let (part, hours) = (short_title(part, words), soon(in_hand_h));
    Some(words.say("night_if_stopped", &[("worst", &worst), ("part", &part), ("hours", &hours)]))
}

/// A part of the table: its name, and ice, slush and blocked as bands in the shortest words.
#[must_use]
pub fn part_row(part: &PartTime, words: &Winter) -> [String; 4] {
    let [slush, slush_low, slush_high] = part.slush_h;
    let [blocked_low, blocked_high] = part.freeze_band_h;
    [
        short_title(part, words),
        band(part.low_h.or(part.cool_h), part.high_h),
        band(slush_low.or(slush), slush_high),
        band(blocked_low.or(part.freeze_h), blocked_high),
    ]
}

/// The short name of a part where the knowledge has one.
fn short_title(part: &PartTime, words: &Winter) -> String {
    let key = format!("short_{}", part.id);
    words.words.get(&key).cloned().unwrap_or_else(|| part.title.clone())
}

/// `40 min-3 h`, `2-5 h`, `over 8 h`; a dash when not within the forecast.
fn band(low: Option<f64>, high: Option<f64>) -> String {
    let (Some(low), high) = (low, high) else { return "-".to_owned() };
    let first = soon(low);
    match high {
        None => format!("{first}+"),
        Some(high) => {
            let last = soon(high.max(low));
            match (first.rsplit_once(' '), last.rsplit_once(' ')) {
                _ if first == last => first,
                (Some((from, unit)), Some((to, same))) if unit == same => {
                    format!("{from}-{to} {unit}")
                }
                _ => format!("{first}-{last}"),
            }
        }
    }
}

fn soon(hours: f64) -> String {
    if hours < 1.0 / 60.0 { "0 min".to_owned() } else { span_words(hours) }
}

/// After the stop: what to take each part for, and the order of draining.
#[must_use]
pub fn after_lines(after: &AfterFailure, words: &Winter, units: System) -> Vec<String> {
    let air = |celsius: f64| show_named(celsius, "°C", 0, units);
    let low = after
        .air
        .low_ahead_c
        .filter(|low| *low < after.air.now_c)
        .map_or_else(String::new, |low| words.say("after_air_low", &[("low", &air(low))]));
    let fill = [
        ("hours", span_words(after.stopped_h)),
        ("then", air(after.air.then_c)),
        ("now", air(after.air.now_c)),
        ("low", low),
    ];
    let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
    let mut lines = vec![words.say("after_air", &fill)];
    let of = |state: PartState| after.parts.iter().filter(move |part| part.state == state);
    let titles =
        |state: PartState| of(state).map(|part| part.title.as_str()).collect::<Vec<_>>().join(", ");
    let frozen = titles(PartState::TreatAsFrozen);
    let may = titles(PartState::MayHoldIce);
    let liquid: Vec<String> = of(PartState::StillLiquid)
        .map(|part| match part.ice_in_h {
            Some(hours) => {
                let hours = span_words(hours);
                words.say("after_liquid_part", &[("part", &part.title), ("hours", &hours)])
            }
            None => part.title.clone(),
        })
        .collect();
    for (key, parts) in
        [("after_frozen", frozen), ("after_may", may), ("after_liquid", liquid.join(", "))]
    {
        if !parts.is_empty() {
            lines.push(words.say(key, &[("parts", &parts)]));
        }
    }
    let order: Vec<&str> = after.parts.iter().map(|part| part.title.as_str()).collect();
    lines.push(words.say("after_order", &[("parts", &order.join(", "))]));
    lines.push(words.say("after_note", &[]));
    lines.push(words.say("taken", &[("what", &after.assumed.join(", "))]));
    lines
}

/// How long each part has from now on.
#[must_use]
pub fn left_lines(after: &AfterFailure, words: &Winter, units: System) -> Vec<String> {
    let air = |celsius: f64| show_named(celsius, "°C", 0, units);
    let coming = after.air.low_ahead_c.filter(|low| *low < after.air.now_c);
    let low =
        coming.map_or_else(String::new, |low| words.say("after_air_low", &[("low", &air(low))]));
    let key = if after.stopped_h > 0.0 { "left_stopped" } else { "left_now" };
    let now = air(after.air.now_c);
    let mut lines = vec![words.say(key, &[("air", &now), ("low", &low)])];
    if after.parts.iter().all(|part| part.ice_in_h.is_none()) {
        lines.push(words.say("left_safe", &[]));
        return lines;
    }
    lines.extend(after.parts.iter().take(PARTS).map(|part| left(part, words)));
    lines.push(words.say("left_note", &[]));
    lines.push(words.say("taken", &[("what", &after.assumed.join(", "))]));
    lines
}

fn left(part: &PartAfter, words: &Winter) -> String {
    let ahead = |hours: Option<f64>| match hours {
        None => words.say("left_beyond", &[]),
        Some(hours) if hours > 48.0 => words.say("left_beyond", &[]),
        Some(hours) if hours < 1.0 / 60.0 => words.say("left_at_once", &[]),
        Some(hours) => span_words(hours),
    };
    if part.state == PartState::TreatAsFrozen {
        return words.say("left_frozen", &[("part", &part.title)]);
    }
    if part.state == PartState::MayHoldIce {
        let blocked = part.blocked_in_h.filter(|hours| *hours > 0.0 && *hours <= 48.0);
        let blocked = blocked.map_or_else(String::new, |hours| {
            words.say("left_blocked", &[("blocked", &span_words(hours))])
        });
        return words.say("left_may", &[("part", &part.title), ("blocked", &blocked)]);
    }
    let early = part.ice_in_h.unwrap_or(f64::INFINITY);
    let band = match (part.cool_in_h, part.latest_in_h) {
        (Some(cool), Some(latest)) if latest > cool => {
            format!(" ({})", band(Some(early.min(cool)), Some(latest)))
        }
        _ => String::new(),
    };
    let fill = [
        ("part", part.title.clone()),
        ("ice", ahead(part.ice_in_h)),
        ("cool", ahead(part.cool_in_h)),
        ("band", band),
        ("blocked", ahead(part.blocked_in_h)),
    ];
    words.say("left_part", &fill.each_ref().map(|(name, value)| (*name, value.as_str())))
}

/// A moment as a person says it.
#[must_use]
pub fn clock_words(at: DateTime<FixedOffset>) -> String {
    at.format("%a %H:%M").to_string()
}
