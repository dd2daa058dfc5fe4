//! The invented water of one pool from day to day.

use super::Dice;
use crate::logbook::{Added, Held, Reading, Visit};

/// Its state.
#[derive(Debug, Clone)]
pub(super) struct Water {
    litres: f64,
    temperature_c: f64,
    holds_c: Option<f64>,
    ph: f64,
    free_chlorine: f64,
    alkalinity: f64,
    calcium: f64,
    cyanuric: f64,
    salt: Option<f64>,
    clean_kpa: f64,
    pressure_kpa: f64,
    dirt_kpa: f64,
    cartridge: bool,
    leaks: bool,
    drop_mm: f64,
    visits: u32,
}

fn rounded(value: f64, step: f64) -> f64 {
    (value / step).round() * step
}

impl Water {
    pub(super) fn new(dice: &mut Dice, told: &str, n: u32) -> Self {
        let thousands = told.split(['k', ',']).nth(1).and_then(|t| t.trim().parse::<f64>().ok());
        let clean_kpa = rounded(dice.between(70.0, 95.0), 3.4);
        Self {
            litres: thousands.unwrap_or(18.0) * 3785.4,
            temperature_c: 17.0,
            holds_c: (!told.contains("no heater")).then_some(if n % 3 == 1 { 10.0 } else { 5.0 }),
            ph: dice.between(7.3, 7.7),
            free_chlorine: dice.between(2.0, 3.5),
            alkalinity: dice.between(85.0, 130.0),
            calcium: dice.between(170.0, 320.0),
            cyanuric: dice.between(20.0, 55.0),
            salt: told.contains("salt").then(|| dice.between(2900.0, 3400.0)),
            clean_kpa,
            pressure_kpa: clean_kpa,
            dirt_kpa: dice.between(0.6, 1.6),
            cartridge: told.contains("cartridge"),
            leaks: n == 4,
            drop_mm: 0.0,
            visits: 0,
        }
    }

    /// One day passes.
    pub(super) fn day(&mut self, dice: &mut Dice, air_c: f64) {
        self.temperature_c += 0.12 * (air_c - self.temperature_c) + dice.between(-0.2, 0.2);
        self.temperature_c = self.temperature_c.max(self.holds_c.unwrap_or(1.0));
        let warm = (self.temperature_c / 10.0).exp2();
        self.free_chlorine = (self.free_chlorine - dice.between(0.03, 0.09) * warm).max(0.0);
        if self.salt.is_some() && self.temperature_c > 12.0 {
            self.free_chlorine += 0.35;
        }
        self.ph += dice.between(0.0, 0.025);
        self.alkalinity -= dice.between(0.0, 0.25);
        self.pressure_kpa += self.dirt_kpa * dice.between(0.5, 1.5);
        self.drop_mm += dice.between(0.5, 2.0) + if self.leaks { 17.0 } else { 0.0 };
        if dice.chance(0.18) {
            // Rain or melting snow dilutes what is dissolved.
            self.drop_mm = (self.drop_mm - dice.between(3.0, 12.0)).max(0.0);
            let share = dice.between(0.992, 0.999);
            self.cyanuric *= share;
            self.calcium *= share;
            self.salt = self.salt.map(|salt| salt * share);
        }
    }

    /// What is measured at a visit.
    pub(super) fn read(
        &mut self,
        dice: &mut Dice,
        day: u32,
        (air_c, low_c): (f64, f64),
        visit: &mut Visit,
    ) {
        self.visits += 1;
        let mut put = |fact: &str, value: f64, step: f64, method: &str| {
            visit.readings.push(Reading {
                fact: fact.to_owned(),
                value: Held::Number(rounded(value, step)),
                given: String::new(),
                method: method.to_owned(),
            });
        };
        put("air.temperature", air_c + 1.5, 0.5, "");
        put("air.low_past", low_c, 0.5, "");
        put("water.temperature", self.temperature_c, 0.5, "probe");
        put("water.ph", self.ph + dice.between(-0.04, 0.04), 0.1, "drop test");
        put("water.free_chlorine", self.free_chlorine.max(0.1), 0.1, "drop test");
        put("filter.pressure", self.pressure_kpa, 3.5, "gauge");
        put("water.level_drop", self.drop_mm, 1.0, "tape");
        if self.visits % 4 == 1 {
            put("water.total_alkalinity", self.alkalinity, 5.0, "drop test");
            put("water.calcium_hardness", self.calcium, 10.0, "drop test");
            put("water.cyanuric_acid", self.cyanuric, 5.0, "drop test");
            if let Some(salt) = self.salt {
                put("water.salt", salt, 100.0, "strip");
            }
        }
        if air_c < -3.0 && self.temperature_c < 2.5 {
            put("ice.thickness", dice.between(5.0, 25.0), 5.0, "tape");
        }
        if day > 20 && day < 60 && dice.chance(0.5) {
            visit.readings.push(Reading {
                fact: "debris.leaves".to_owned(),
                value: Held::Word(if dice.chance(0.4) { "heavy" } else { "some" }.to_owned()),
                given: "leaves".to_owned(),
                method: String::new(),
            });
        }
    }

    fn add(&self, product: &str, percent: f64, amount: f64, unit: &str, visit: &mut Visit) {
        let amount = rounded(amount.max(0.05), 0.05);
        let given = match unit {
            "L" => format!("{amount:.2} L"),
            _ => format!("{amount:.2} kg"),
        };
        visit.additions.push(Added {
            product: product.to_owned(),
            percent: Some(percent),
            amount,
            unit: unit.to_owned(),
            given,
        });
    }

    /// What is put in: amounts by rule of thumb, invented like the rest.
    pub(super) fn treat(&mut self, dice: &mut Dice, visit: &mut Visit) {
        let thousands = self.litres / 1000.0;
        let aim = if self.temperature_c < 15.0 { 2.0 } else { 3.0 };
        if self.free_chlorine < aim * 0.6 {
            let raise = aim - self.free_chlorine;
            self.add("liquid-chlorine", 12.5, raise * thousands * 0.0083, "L", visit);
            self.free_chlorine = aim * dice.between(0.92, 1.05);
        }
        if self.ph > 7.75 {
            self.add("muriatic-acid", 31.45, thousands * 0.011, "L", visit);
            self.ph -= dice.between(0.25, 0.4);
            self.alkalinity -= 4.0;
        }
        if self.alkalinity < 80.0 {
            self.add("bicarbonate", 100.0, thousands * 0.0336, "kg", visit);
            self.alkalinity += 20.0;
        }
    }

    /// What is done.
    pub(super) fn work(&mut self, dice: &mut Dice, day: u32, visit: &mut Visit) {
        let mut done = vec!["skim", "baskets", "test"];
        if self.visits % 4 == 1 {
            done.push("full-test");
        }
        if self.visits.is_multiple_of(3) || self.temperature_c > 10.0 {
            done.push("brush");
        }
        if self.visits % 6 == 2 && self.temperature_c > 3.0 {
            done.push("vacuum");
        }
        if self.pressure_kpa > self.clean_kpa + 55.0 {
            done.push(if self.cartridge { "cartridge" } else { "backwash" });
            self.pressure_kpa = self.clean_kpa + dice.between(0.0, 5.0);
            visit.note = "pressure was up; clean again after it".to_owned();
        }
        if self.drop_mm > 25.0 {
            visit.note = "topped up to mid-skimmer".to_owned();
        }
        self.drop_mm = 0.0;
        if (8..12).contains(&day) && dice.chance(0.8) {
            done.push("freeze-sensor-test");
            done.push("drain-plug-drill");
            done.push("clock-check");
            done.push("heater-service");
        }
        visit.tasks = done.into_iter().map(str::to_owned).collect();
        visit.tasks.sort();
    }
}
