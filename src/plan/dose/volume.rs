//! The volume of a pool from its dimensions and shape.

use crate::knowledge::Knowledge;
use crate::problem::{Code, Problem, nearest};
use crate::units::{Dimension, convert, find_unit, parse_quantity, unit};

/// Reads `"rectangle 32 x 16 x 5 ft"` (shape, length, width, average depth; a round pool has one diameter) as
/// litres. The last unit stands for all that have none.
///
/// # Errors
/// Says what is missing or wrong.
pub fn parse_size(text: &str, knowledge: &Knowledge) -> Result<f64, Problem> {
    let (name, rest) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    let name = name.to_lowercase();
    let dosing = &knowledge.dosing;
    let Some(shape) = dosing.shape(&name) else {
        let names = || dosing.shapes.iter().map(|shape| shape.name.as_str());
        let listed = names().collect::<Vec<_>>().join(", ");
        let problem = Problem::error(Code::Value, None, format!("`{name}` is not a shape of pool"));
        return Err(match nearest(&name, names()) {
            Some(near) => problem.help(format!("did you mean `{near}`? Shapes: {listed}")),
            None => problem.help(format!("use one of {listed}")),
        });
    };
    let metres = lengths(rest)?;
    let product = match metres.as_slice() {
        [diameter, depth] if name == "round" => diameter * diameter * depth,
        [length, width, depth] => length * width * depth,
        _ => {
            let problem =
                Problem::error(Code::Value, None, format!("`{rest}` is not the size of a pool"));
            return Err(problem.help(
                "write length x width x average depth, such as `rectangle 32 x 16 x 5 ft`; a round \
                 pool has diameter x depth",
            ));
        }
    };
    Ok(product * shape.factor * 1000.0)
}

/// Each length in metres; a length without a unit takes the next one's that has one.
fn lengths(text: &str) -> Result<Vec<f64>, Problem> {
    let metre = find_unit("m");
    let mut following = None;
    let mut metres = Vec::new();
    let spaced = text.replace(['×', '*'], "x").replace(" by ", " x ");
    for part in spaced.split('x').rev() {
        let wrong = |why: String| {
            Problem::error(Code::Value, None, why).help("write lengths like `32 ft` or `9.5 m`")
        };
        let (value, from) = parse_quantity(part).map_err(wrong)?;
        let from = if unit(from).dimension == Dimension::Plain {
            following.ok_or_else(|| wrong(format!("`{}` has no unit", part.trim())))?
        } else {
            from
        };
        following = Some(from);
        let length = metre.and_then(|metre| convert(value, from, metre));
        let length = length.ok_or_else(|| wrong(format!("`{}` is not a length", part.trim())))?;
        if length <= 0.0 {
            return Err(wrong(format!("`{}` is not above zero", part.trim())));
        }
        metres.push(length);
    }
    metres.reverse();
    Ok(metres)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn knowledge() -> Knowledge {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
        Knowledge::load(&crate::knowledge::read_folder(&folder).unwrap()).value
    }

    /// Geometry, and 7.48 US gal in a cubic foot (NIST SP 811).
    #[test]
    fn sizes_become_litres() {
        let knowledge = knowledge();
        for (text, gallons) in [
            ("rectangle 32 x 16 x 5 ft", 32.0 * 16.0 * 5.0 * 7.480_52),
            (
                "oval 30 ft x 15 ft x 54 in",
                30.0 * 15.0 * 4.5 * std::f64::consts::FRAC_PI_4 * 7.480_52,
            ),
            ("round 24 x 4 ft", 24.0 * 24.0 * 4.0 * std::f64::consts::FRAC_PI_4 * 7.480_52),
            ("rectangle 10 x 5 x 1.5 m", 75_000.0 / 3.785_411_784),
        ] {
            let litres = parse_size(text, &knowledge).unwrap();
            assert!((litres / 3.785_411_784 / gallons - 1.0).abs() < 1e-4, "{text}: {litres} L");
        }
    }

    #[test]
    fn what_is_no_size_is_refused() {
        let knowledge = knowledge();
        for text in [
            "blob 3 x 4 x 5 ft",
            "rectangle 3 x 4",
            "oval 3 x 4 x 0 m",
            "round 3 lb x 2 m",
            "",
            "oval 3",
        ] {
            assert!(parse_size(text, &knowledge).is_err(), "{text}");
        }
    }
}
