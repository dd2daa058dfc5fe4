//! The water level against computed evaporation and rain.

use super::{Ground, Trend, confidence_above, median, number, says};
use crate::engine::State;
use crate::facts::{Origin, Value};
use crate::logbook::{Held, Visit};
use crate::units::{find_unit, show};
use std::collections::BTreeMap;

/// What evaporation explains, mm a day.
#[derive(Debug, Clone, Copy)]
struct Evaporation {
    best: f64,
    most: f64,
}

/// A stretch between two visits.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    /// Fall of the level with the rain added to it, mm a day.
    fall: f64,
    evaporation: Evaporation,
}

impl Ground<'_> {
    /// Fall of the level, rain counted in, against computed evaporation. A stretch with rain of unknown depth is
    /// left out: it says nothing.
    pub(super) fn level_loss(&self) -> Option<Trend> {
        let (stretches, wet) = self.dry_stretches()?;
        if !self.enough(stretches.len()) {
            return None;
        }
        let over = stretches.iter().map(|one| one.fall - one.evaporation.most);
        let confidence = confidence_above(over.clone());
        let above = over.filter(|over| *over > 0.0).count();
        let middle = |of: fn(&Stretch) -> f64| median(stretches.iter().map(of).collect());
        let value = middle(|one| one.fall)?;
        let (best, most) =
            (middle(|one| one.evaporation.best)?, middle(|one| one.evaporation.most)?);
        let leak = match confidence {
            sure if sure >= self.limits.leak_likely => Some("likely"),
            sure if sure >= self.limits.leak_possible => Some("possible"),
            _ => None,
        };
        let per_day = find_unit("mm/d")?;
        let shown = |value: f64| show(value, per_day, 2, self.units);
        let mut text = format!(
            "The level falls by {}, rain counted in; evaporation explains about {}, {} at most",
            shown(value),
            shown(best),
            shown(most)
        );
        let many = stretches.len();
        if let Some(leak) = leak {
            let percent = (confidence * 100.0).floor();
            let sure =
                if confidence > 0.995 { "over 99 %".to_owned() } else { format!("{percent:.0} %") };
            text.push_str(&format!(
                ": a leak is {leak} ({above} of {many} stretches between visits are above it; confidence {sure})"
            ));
        }
        text.push('.');
        if wet > 0 {
            text.push_str(&format!(
                " {wet} stretches with rain or snow of unknown depth say nothing."
            ));
        }
        let facts = leak.map_or_else(Vec::new, |leak| {
            vec![
                ("trend.level_loss", Held::Number(value)),
                ("trend.leak", Held::Word(leak.to_owned())),
            ]
        });
        Some(Trend { name: "level_loss", value, text, facts })
    }

    /// The stretches that say something, and how many do not for rain of unknown depth.
    fn dry_stretches(&self) -> Option<(Vec<Stretch>, usize)> {
        let mut known = BTreeMap::new();
        let (mut stretches, mut wet) = (Vec::new(), 0_usize);
        for pair in self.visits.windows(2) {
            let [earlier, later] = pair else { continue };
            let days = later.at.hours_since(earlier.at) / 24.0;
            // How far it fell since the visit before, at which it was brought back to its mark.
            let Some(fell) = number(later, "water.level_drop") else { continue };
            if !(0.5..=self.limits.longest_stretch_d).contains(&days) {
                continue;
            }
            let rain = number(later, "weather.rain_depth");
            if rain.is_none()
                && self
                    .base
                    .knowledge()
                    .work
                    .words
                    .wetting
                    .iter()
                    .any(|kind| says(later, "weather.kind", kind))
            {
                wet += 1;
                continue;
            }
            let evaporation = self.evaporation(later, &mut known)?;
            stretches.push(Stretch { fall: (fell + rain.unwrap_or(0.0)) / days, evaporation });
        }
        Some((stretches, wet))
    }

    /// Evaporation at the air and water of a visit, or at the middle of all, by the calculator that answers use.
    fn evaporation(
        &self,
        visit: &Visit,
        known: &mut BTreeMap<[String; 2], Option<Evaporation>>,
    ) -> Option<Evaporation> {
        let here = |fact: &str| {
            let middle = || median(self.visits.iter().filter_map(|v| number(v, fact)).collect());
            number(visit, fact).or_else(middle)
        };
        let (air, water) = (here("air.temperature")?, here("water.temperature")?);
        // To whole degrees, so that a winter needs few runs.
        let key = [format!("{air:.0}"), format!("{water:.0}")];
        if let Some(known) = known.get(&key) {
            return *known;
        }
        let found = self.evaporation_at(air.round(), water.round());
        known.insert(key, found);
        found
    }

    fn evaporation_at(&self, air_c: f64, water_c: f64) -> Option<Evaporation> {
        let words = &self.base.knowledge().vocabulary;
        let mut state = State::new(&self.base.network);
        for (id, value) in super::super::history::of_profile(self.profile, words) {
            state.state(id, value, Origin::Profile);
        }
        for (fact, value) in [("air.temperature", air_c), ("water.temperature", water_c)] {
            state.state(words.find(fact)?, Value::Number(value), Origin::Assumed);
        }
        // A cover only lessens it: without one is the most that evaporation explains.
        if let (Some(id), Some(def)) = (words.find("cover.on"), words.def("cover.on"))
            && def.unit().is_none()
        {
            state.state(id, Value::Flag(false), Origin::Assumed);
        }
        state.run();
        let found = state.computed().find(|(_, one)| one.gives == "figure.evaporation")?.1.clone();
        let most = found.high.unwrap_or(found.value * self.limits.evaporation_margin);
        Some(Evaporation { best: found.value, most })
    }
}
