//! The water's figures: saturation index, carbonate alkalinity, hypochlorous acid.

use crate::chemistry::{
    HypochlorousAcid, Water, carbonate_alkalinity, dissolved_solids_estimate, factor_table_index,
    hypochlorous_acid, saturation_index, saturation_index_at,
};
use crate::engine::{Calculator, Computed, Inputs, Signature};
use crate::knowledge::Dosing;

/// The calcite index now and when cold, the printed table's index, and carbonate alkalinity.
#[derive(Debug)]
pub(super) struct Balance(pub Dosing);

impl Calculator for Balance {
    fn signature(&self) -> Signature {
        Signature {
            name: "water balance",
            needs: &["water.temperature", "water.ph", "water.total_alkalinity"],
            uses: &[
                "water.calcium_hardness",
                "water.cyanuric_acid",
                "water.salt",
                "water.dissolved_solids",
                "water.borate",
            ],
            gives: &[
                "figure.saturation_index",
                "figure.saturation_index_cold",
                "figure.saturation_index_exchanger",
                "figure.factor_table_index",
                "figure.carbonate_alkalinity",
            ],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let Some(water) = tested(inputs) else { return Vec::new() };
        let taken = taken_for_granted(inputs);
        let doubt = self.0.index_doubt;
        let coldest_c = self.0.coldest_c.min(water.temperature_c);
        let mut all = Vec::new();
        let mut add = |gives, value, doubt: f64, method: String| {
            let (low, high) = (value - doubt, value + doubt);
            let band = doubt > 0.0;
            all.push(Computed {
                gives,
                value,
                low: band.then_some(low),
                high: band.then_some(high),
                method,
            });
        };
        if let Ok(value) = carbonate_alkalinity(&water) {
            let method = format!(
                "total alkalinity less what cyanurate (Wahman 2018) and borate hold at this pH and \
                 temperature{taken}"
            );
            add("figure.carbonate_alkalinity", value, 0.0, method);
        }
        if let Ok(value) = saturation_index(&water) {
            let method = format!(
                "calcite by Plummer & Busenberg 1982 at the water's own temperature, ion pairs and \
                 activities in; published constants differ by about {doubt}{taken}"
            );
            add("figure.saturation_index", value, doubt, method);
        }
        if let Ok(value) = saturation_index_at(&water, coldest_c) {
            let method = format!(
                "the same water cooled to {coldest_c:.0} °C with nothing lost to the air{taken}"
            );
            add("figure.saturation_index_cold", value, doubt, method);
        }
        let rise_c = self.0.exchanger_rise_c;
        if let Ok(value) = saturation_index_at(&water, water.temperature_c + rise_c) {
            let method = format!("the same water at a heater's wall, {rise_c:.0} °C warmer{taken}");
            add("figure.saturation_index_exchanger", value, doubt, method);
        }
        let solids = inputs.number("water.dissolved_solids");
        let solids = solids.unwrap_or_else(|| dissolved_solids_estimate(&water));
        if let Ok(value) = factor_table_index(&water, solids) {
            let method = "the printed factor table (Montana ARM 37.115, Table 7); made for warm \
                          water, it reads up to a quarter too low in the cold";
            add("figure.factor_table_index", value, 0.0, method.to_owned());
        }
        all
    }
}

/// What free chlorine amounts to at this temperature, pH and cyanuric acid.
#[derive(Debug)]
pub(super) struct Disinfection(pub Dosing);

impl Calculator for Disinfection {
    fn signature(&self) -> Signature {
        Signature {
            name: "hypochlorous acid",
            needs: &["water.temperature", "water.ph", "water.free_chlorine"],
            uses: &["water.cyanuric_acid"],
            gives: &["figure.hypochlorous_acid"],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let known = inputs.number("water.cyanuric_acid");
        let water = |cyanuric_acid: f64| {
            Some(Water {
                temperature_c: inputs.number("water.temperature")?,
                ph: inputs.number("water.ph")?,
                free_chlorine: inputs.number("water.free_chlorine")?,
                cyanuric_acid,
                ..Water::default()
            })
        };
        let found = |cyanuric: f64| water(cyanuric).and_then(|w| hypochlorous_acid(&w).ok());
        let Some(HypochlorousAcid { value, mut low, high }) = found(known.unwrap_or(0.0)) else {
            return Vec::new();
        };
        let mut method = "the 1974 cyanurate model at 25 °C moved by the slopes of Wahman 2018, \
                          Wahman & Alexander 2019 and Morris 1966; the band spans the published models"
            .to_owned();
        if known.is_none() {
            low = found(self.0.cyanuric_unmeasured).map_or(low, |stabilised| stabilised.low);
            method.push_str(&format!(
                "; cyanuric acid was not given: the figure is for none of it, the low end for {:.0} mg/L",
                self.0.cyanuric_unmeasured
            ));
        }
        if inputs.number("water.temperature").is_some_and(|t| t < self.0.chlorine_models_from_c) {
            method.push_str("; that cold every model is an extrapolation");
        }
        vec![Computed {
            gives: "figure.hypochlorous_acid",
            value,
            low: Some(low),
            high: Some(high),
            method,
        }]
    }
}

/// The water of the inputs. Without a reading of calcium the index is left out by itself.
pub(super) fn tested(inputs: &Inputs<'_>) -> Option<Water> {
    let or_none = |name| inputs.number(name).unwrap_or(0.0);
    let water = Water {
        temperature_c: inputs.number("water.temperature")?,
        ph: inputs.number("water.ph")?,
        total_alkalinity: inputs.number("water.total_alkalinity")?,
        calcium_hardness: or_none("water.calcium_hardness"),
        cyanuric_acid: or_none("water.cyanuric_acid"),
        salt: or_none("water.salt"),
        borate: or_none("water.borate"),
        ..Water::default()
    };
    let solids = inputs.number("water.dissolved_solids");
    Some(match (inputs.number("water.salt"), solids) {
        // Solids beyond what the readings imply are mostly salt.
        (None, Some(solids)) => {
            Water { salt: (solids - dissolved_solids_estimate(&water)).max(0.0), ..water }
        }
        _ => water,
    })
}

/// What the index takes for granted, in words.
pub(super) fn taken_for_granted(inputs: &Inputs<'_>) -> String {
    let missing: Vec<&str> = [
        ("water.cyanuric_acid", "cyanuric acid"),
        ("water.salt", "salt"),
        ("water.borate", "borate"),
    ]
    .iter()
    .filter(|(name, _)| {
        let by_solids = *name == "water.salt" && inputs.number("water.dissolved_solids").is_some();
        inputs.number(name).is_none() && !by_solids
    })
    .map(|(_, word)| *word)
    .collect();
    if missing.is_empty() {
        return String::new();
    }
    format!("; taken as none: {}", missing.join(", "))
}
