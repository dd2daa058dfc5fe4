//! What the winter costs, and what speaks for staying open or closing.

use super::{Tariff, Winter};

/// Costs nearer to each other than this share are even.
const EVEN: f64 = 0.15;
/// Freezing hours from which a winter is hard (common practice).
const HARD_WINTER_H: usize = 500;

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
    /// Why.
    pub because: Vec<String>,
    /// What would tip it the other way.
    pub tips: Vec<String>,
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
    pub fn verdict(&self, tariff: &Tariff) -> Verdict {
        let cost = self.cost(tariff);
        let mut because = Vec::new();
        let mut tips = Vec::new();
        let mut lean = 0i32;
        let frozen = self.counts.at_or_below_0c;
        because.push(format!("{frozen} hours at or below freezing"));
        if frozen >= HARD_WINTER_H {
            lean -= 1;
            because.push("a hard winter: where hard frost is common, closing is often wiser (common practice)".to_owned());
        }
        match cost.close {
            Some(close) if cost.unpriced.is_empty() => {
                let relative = (cost.stay_open - close) / close.max(1.0);
                because.push(format!(
                    "staying open costs {:.0}, closing and reopening {close:.0}",
                    cost.stay_open
                ));
                if relative.abs() > EVEN {
                    lean += if relative < 0.0 { 2 } else { -2 };
                    tips.push(format!(
                        "a closing price of {:.0} would make them even",
                        cost.stay_open
                    ));
                }
            }
            _ => tips.push("say the tariff and what closing costs, to weigh the money".to_owned()),
        }
        self.risk(tariff, &mut lean, &mut because, &mut tips);
        let word = match lean {
            1.. => "open",
            0 => "either",
            _ => "close",
        };
        Verdict { word, because, tips }
    }

    fn risk(
        &self,
        tariff: &Tariff,
        lean: &mut i32,
        because: &mut Vec<String>,
        tips: &mut Vec<String>,
    ) {
        if let (Some(hours), Some(share)) = (tariff.outage_h, self.outage_share) {
            because.push(format!(
                "a power failure of {hours} h reaches freezing in the exposed pipe in {:.0} % of the freezing hours",
                share * 100.0
            ));
            if share > 0.5 {
                *lean -= 2;
                tips.push(
                    "a generator, somebody to drain the pad in time, or insulated pipe".to_owned(),
                );
            }
        } else if self.shortest_h.is_some() {
            tips.push("say how long the power may fail, to weigh the risk".to_owned());
        }
        if let Some(hours) = self.shortest_h {
            because
                .push(format!("the exposed pipe lasts {:.0} min in the worst hour", hours * 60.0));
        }
        if self.coldest_c < 2.0 {
            *lean -= 1;
            because.push(format!(
                "the pool falls to {:.1} °C: moving water alone is not enough then",
                self.coldest_c
            ));
            tips.push("a heater that holds 40 °F (4.4 °C), or a cover".to_owned());
        }
    }
}
