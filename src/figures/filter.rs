//! The filter's pressure over its clean value.

use crate::engine::{Calculator, Computed, Inputs, Signature};

/// Rise of the filter pressure since cleaning, in kPa.
#[derive(Debug)]
pub(super) struct PressureRise;

impl Calculator for PressureRise {
    fn signature(&self) -> Signature {
        Signature {
            name: "filter-pressure-rise",
            needs: &["filter.pressure", "filter.clean_pressure"],
            uses: &[],
            gives: &["figure.filter_pressure_rise"],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let (Some(now), Some(clean)) =
            (inputs.number("filter.pressure"), inputs.number("filter.clean_pressure"))
        else {
            return Vec::new();
        };
        vec![Computed {
            gives: "figure.filter_pressure_rise",
            value: now - clean,
            low: None,
            high: None,
            method: "gauge now less the gauge after cleaning".to_owned(),
        }]
    }
}
