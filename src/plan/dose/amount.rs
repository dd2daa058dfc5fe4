//! Amounts of products: from moles to what a cup, a jug or a kitchen scale can measure, and back.

use crate::chemistry::{CHLORINE_MG_PER_MOL, Substance};
use crate::knowledge::{Dosing, Form, Knowledge, Product, Strength, StrengthIs};
use crate::units::{System, convert, find_unit, trim_number};

/// Fluid ounces in a US gallon, ounces in a pound (NIST SP 811).
const FL_OZ_PER_GAL: f64 = 128.0;
const OZ_PER_LB: f64 = 16.0;

/// An amount of a product.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// Litres of a liquid, kilograms of a powder.
    pub value: f64,
    /// `L` or `kg`.
    pub unit: &'static str,
    /// As it is measured: `21 fl oz`, `1 lb 6 oz`.
    pub given: String,
}

/// Litres or kilograms of a product in each mole of its substance. `None` for an unknown substance.
pub(super) fn per_mole(product: &Product, strength: Strength) -> Option<f64> {
    let substance = Substance::named(&product.substance)?;
    let share = strength.percent / 100.0;
    let chlorine_kg = substance.effect().free_chlorine * CHLORINE_MG_PER_MOL / 1e6;
    let kg = match product.strength_is {
        StrengthIs::Substance => substance.molar_mass_g() / 1e3 / share,
        StrengthIs::AvailableChlorine => chlorine_kg / share,
        // g in 100 mL: a per cent is 0.01 kg/L.
        StrengthIs::AvailableChlorineByVolume => chlorine_kg / share * strength.density_kg_l,
    };
    let amount = match product.form {
        Form::Liquid => kg / strength.density_kg_l,
        Form::Dry => kg,
    };
    (amount.is_finite() && amount > 0.0).then_some(amount)
}

/// Rounds an amount (L or kg) to what can be measured; never to nothing.
pub(super) fn measurable(amount: f64, form: Form, system: System, dosing: &Dosing) -> Amount {
    let large = match form {
        Form::Liquid => "L",
        Form::Dry => "kg",
    };
    let measure = dosing.measure(form, system == System::Us);
    let each = measure
        .zip(find_unit(large))
        .and_then(|(measure, large)| convert(1.0, measure.unit, large))
        .unwrap_or(1e-3);
    let many = amount / each;
    let step = measure.map_or(1.0, |measure| measure.step(many)).max(1e-3);
    let rounded = ((many / step).round() * step).max(step);
    Amount { value: rounded * each, unit: large, given: spoken(rounded, form, system) }
}

/// An amount (L of a liquid, kg of a powder) as it is measured out: `21 fl oz`, `1 lb 6 oz`, `350 mL`.
#[must_use]
pub fn measured_out(amount: f64, form: Form, system: System, knowledge: &Knowledge) -> String {
    measurable(amount, form, system, &knowledge.dosing).given
}

/// The amount as somebody gave it, in words of its own units.
pub(super) fn as_is(amount: f64, form: Form, given: String) -> Amount {
    let unit = match form {
        Form::Liquid => "L",
        Form::Dry => "kg",
    };
    Amount { value: amount, unit, given }
}

/// So many fl oz, oz, mL or g in words.
fn spoken(many: f64, form: Form, system: System) -> String {
    match (form, system) {
        (Form::Liquid, System::Us) => in_two(many, FL_OZ_PER_GAL, "gal", "fl oz"),
        (Form::Dry, System::Us) => in_two(many, OZ_PER_LB, "lb", "oz"),
        (Form::Liquid, System::Si) => in_one(many, "L", "mL"),
        (Form::Dry, System::Si) => in_one(many, "kg", "g"),
    }
}

fn in_two(many: f64, each: f64, large: &str, small: &str) -> String {
    let whole = ((many + 1e-6) / each).floor();
    let rest = many - whole * each;
    let rest_text = format!("{} {small}", trim_number(rest, 2));
    match (whole >= 1.0, rest > 1e-6) {
        (true, true) => format!("{} {large} {rest_text}", trim_number(whole, 0)),
        (true, false) => format!("{} {large}", trim_number(whole, 0)),
        _ => rest_text,
    }
}

fn in_one(many: f64, large: &str, small: &str) -> String {
    if many >= 1e3 {
        format!("{} {large}", trim_number(many / 1e3, 2))
    } else {
        format!("{} {small}", trim_number(many, 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_what_a_cup_or_a_scale_can_measure() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
        let texts = crate::knowledge::read_folder(&folder).unwrap();
        let dosing = Knowledge::load(&texts).value.dosing;
        for (amount, form, system, given) in [
            (0.620, Form::Liquid, System::Us, "21 fl oz"),
            (0.003, Form::Liquid, System::Us, "0.5 fl oz"),
            (1.19, Form::Liquid, System::Us, "40 fl oz"),
            (4.24, Form::Liquid, System::Us, "1 gal 16 fl oz"),
            (0.62, Form::Dry, System::Us, "1 lb 6 oz"),
            (0.907, Form::Dry, System::Us, "2 lb"),
            (0.0001, Form::Dry, System::Us, "0.25 oz"),
            (0.6243, Form::Liquid, System::Si, "620 mL"),
            (1.262, Form::Liquid, System::Si, "1.25 L"),
            (1.337, Form::Dry, System::Si, "1.35 kg"),
        ] {
            assert_eq!(measurable(amount, form, system, &dosing).given, given, "{amount}");
        }
    }
}
