//! What the winter costs, and what speaks for staying open or closing. Weights and wording stand in
//! `winter.toml`.

use super::{Tariff, Winter};
use crate::knowledge::Winter as Words;
use crate::plan::span_words;
use crate::units::{System, count, find_unit, show, trim_number};

/// Costs in the user's currency.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cost {
    /// Staying open.
    pub stay_open: f64,
    /// Closing and reopening, if it was said.
    pub close: Option<f64>,
    /// What it is made of: words and amount.
    pub lines: Vec<(String, f64)>,
    /// What could not be priced, for want of a tariff.
    pub unpriced: Vec<String>,
}

/// Which way.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// `open`, `close` or `either`.
    pub word: &'static str,
    /// In one sentence, what decides.
    pub lead: String,
    /// Why.
    pub because: Vec<String>,
    /// What would tip it the other way.
    pub tips: Vec<String>,
}

/// The scale while it is being loaded.
struct Scale<'w> {
    words: &'w Words,
    system: System,
    points: f64,
    because: Vec<String>,
    tips: Vec<String>,
}

impl Winter {
    /// Prices the winter.
    #[must_use]
    pub fn cost(&self, tariff: &Tariff) -> Cost {
        let mut cost = Cost { close: tariff.close, ..Cost::default() };
        let mut add = |what: &str, amount: f64, price: Option<f64>| match price {
            Some(price) => cost.lines.push((what.to_owned(), amount * price)),
            None if amount > 0.0 => cost.unpriced.push(what.to_owned()),
            None => {}
        };
        add("pump", self.pump_kwh, tariff.electricity);
        let (what, price) = if self.gas {
            ("heater gas", tariff.gas)
        } else {
            ("heater current", tariff.electricity)
        };
        if self.heater_input_kwh > 0.0 {
            add(what, self.heater_input_kwh, price);
        }
        if let Some(upkeep) = tariff.upkeep {
            cost.lines.push(("upkeep".to_owned(), upkeep));
        }
        cost.stay_open = cost.lines.iter().map(|(_, amount)| amount).sum();
        cost
    }

    /// Weighs it.
    #[must_use]
    pub fn verdict(&self, tariff: &Tariff, words: &Words, system: System) -> Verdict {
        let mut scale = Scale { words, system, points: 0.0, because: Vec::new(), tips: Vec::new() };
        scale.frost(self);
        scale.money(&self.cost(tariff));
        scale.risk(self, tariff);
        scale.water(self);
        let decided = words.weights.decided;
        let (word, lead) = if scale.points >= decided {
            ("open", "season_open")
        } else if scale.points <= -decided {
            ("close", "season_close")
        } else {
            ("either", "season_balanced")
        };
        Verdict { word, lead: words.say(lead, &[]), because: scale.because, tips: scale.tips }
    }
}

impl Scale<'_> {
    fn because(&mut self, key: &str, fill: &[(&str, &str)]) {
        self.because.push(self.words.say(key, fill));
    }

    fn tip(&mut self, key: &str, fill: &[(&str, &str)]) {
        self.tips.push(self.words.say(key, fill));
    }

    fn frost(&mut self, winter: &Winter) {
        let weights = &self.words.weights;
        let frozen = winter.counts.at_or_below_0c;
        let limit = trim_number(weights.hard_winter_h, 0);
        self.because("season_frozen", &[("hours", &frozen.to_string())]);
        if count(frozen) >= weights.hard_winter_h {
            self.points += weights.hard_winter;
            self.because("season_hard", &[]);
            self.tip("season_warmer", &[("hours", &limit)]);
        } else {
            self.because("season_mild", &[]);
            self.tip("season_colder", &[("hours", &limit)]);
        }
    }

    fn money(&mut self, cost: &Cost) {
        let close = cost.close.filter(|_| cost.unpriced.is_empty() && !cost.lines.is_empty());
        let Some(close) = close else {
            self.tip("season_no_price", &[]);
            return;
        };
        let open = trim_number(cost.stay_open, 0);
        self.because("season_cost", &[("open", &open), ("close", &trim_number(close, 0))]);
        let apart = (cost.stay_open - close) / close.max(1.0);
        if apart.abs() <= self.words.weights.even_share {
            self.because("season_even", &[]);
            return;
        }
        let money = self.words.weights.money;
        self.points += if apart < 0.0 { money } else { -money };
        self.tip("season_even_at", &[("open", &open)]);
    }

    fn risk(&mut self, winter: &Winter, tariff: &Tariff) {
        let Some(lasts) = winter.shortest_h else { return };
        let weights = &self.words.weights;
        let asked = winter.outages.iter().find(|outage| outage.asked);
        match (tariff.outage_h, asked) {
            (Some(hours), Some(outage)) => {
                let fill = [("hours", trim_number(hours, 1)), ("share", outage.told(self.words))];
                let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
                self.because("season_outage", &fill);
                if outage.share > weights.outage_share {
                    self.points += weights.outage;
                    self.tip("season_outage_tip", &[]);
                }
            }
            _ => self.tip("season_outage_ask", &[]),
        }
        self.because("season_lasts", &[("span", &span_words(lasts))]);
    }

    fn water(&mut self, winter: &Winter) {
        let weights = &self.words.weights;
        if winter.coldest_c >= weights.cold_water_c {
            return;
        }
        self.points += weights.cold_water;
        let water = find_unit("°C").map(|id| show(winter.coldest_c, id, 0, self.system));
        self.because("season_cold", &[("water", &water.unwrap_or_default())]);
        self.tip("season_cold_tip", &[]);
    }
}
