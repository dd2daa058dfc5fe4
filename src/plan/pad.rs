//! What is known of a pool, made into the bodies and the pool that `thermal` computes with. What is not
//! known is taken from `equipment.toml`, and said.

use super::span::in_both;
use crate::knowledge::{Equipment, FormDef, MaterialDef, PartDef};
use crate::thermal::{Body, Content, Cover, Exposure, Layer, Material, Pool, Shape};

/// Foam put round a pipe said to be insulated without a thickness, mm (½ in, common practice).
const USUAL_FOAM_MM: f64 = 13.0;

/// What is known of a pool, by names of facts; numbers in canonical units.
pub trait Told {
    /// A number.
    fn number(&self, name: &str) -> Option<f64>;
    /// Yes or no.
    fn flag(&self, name: &str) -> Option<bool>;
    /// The word of a `one of` fact.
    fn choice(&self, name: &str) -> Option<&str>;
}

/// A part that stands in the cold.
#[derive(Clone, Debug, PartialEq)]
pub struct PadPart {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Its body.
    pub body: Body,
    /// Shares of the stated wind: least, likely, most.
    pub wind: [f64; 3],
    /// Share of its view that is sky.
    pub sky_view: f64,
    /// What breaks.
    pub breaks: String,
    /// How bad, 1 to 3.
    pub damage: f64,
    /// Length in the open, m, of a run of pipe.
    pub run_m: Option<f64>,
}

/// The parts of a pad.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pad {
    /// Parts with water in the cold, in the order of draining.
    pub parts: Vec<PadPart>,
    /// What was taken for granted, in words.
    pub assumed: Vec<String>,
}

/// A pool's heat, and what was taken for granted.
#[derive(Clone, Debug, PartialEq)]
pub struct PoolHeat {
    /// The pool, without heater and pump.
    pub pool: Pool,
    /// Water now, °C.
    pub start_c: f64,
    /// Whether the water's temperature was said.
    pub start_known: bool,
    /// What was taken for granted, in words.
    pub assumed: Vec<String>,
}

fn material(def: &MaterialDef) -> Material {
    Material {
        conductivity_w_m_k: def.conductivity_w_m_k,
        density_kg_m3: def.density_kg_m3,
        heat_j_kg_k: def.heat_j_kg_k,
    }
}

/// A part as a body; a pipe takes `nominal_mm` if that is known. `None` when a name leads nowhere.
#[must_use]
pub fn part_body(
    equipment: &Equipment,
    part: &PartDef,
    nominal_mm: Option<f64>,
    foam_mm: f64,
) -> Option<Body> {
    let wall = material(equipment.material(&part.wall)?);
    let foam = equipment.material("foam").map(material);
    let insulation = foam
        .filter(|_| foam_mm > 0.0)
        .map(|material| Layer { thickness_m: foam_mm / 1000.0, material });
    let (shape, inner_mm) = match part.form {
        FormDef::Pipe(nominal, _) => {
            let size = equipment.pipe(&part.wall, nominal_mm.unwrap_or(nominal))?;
            return Some(Body::pipe(size.outside_mm, size.wall_mm, wall, insulation));
        }
        FormDef::Cylinder(inner) => (Shape::Cylinder, inner),
        FormDef::Sphere(inner) => (Shape::Sphere, inner),
        FormDef::Slab(inner) => (Shape::Slab, inner),
    };
    let content = match part.grain.as_ref().and_then(|id| equipment.material(id)) {
        Some(grain) => Content::between_grains(material(grain), part.porosity),
        None => Content::water(),
    };
    Some(Body {
        shape,
        inner_m: inner_mm / 1000.0,
        wall: Layer { thickness_m: part.wall_mm / 1000.0, material: wall },
        insulation,
        content,
    })
}

/// Whether a part is there: told, ruled out, or taken so.
fn fitted(part: &PartDef, told: &dyn Told) -> bool {
    if part.unless_by.as_ref().is_some_and(|name| told.flag(name) == Some(true)) {
        return false;
    }
    let Some((name, values)) = &part.fitted_by else { return part.assumed };
    if let Some(flag) = told.flag(name) {
        return values.iter().any(|value| (value == "yes") == flag);
    }
    told.choice(name).map_or(part.assumed, |word| values.iter().any(|value| value == word))
}

/// The parts of a pool's pad. Drained plumbing has none.
#[must_use]
pub fn pad(equipment: &Equipment, told: &dyn Told) -> Pad {
    if told.flag("plumbing.drained") == Some(true) {
        return Pad::default();
    }
    let nominal_mm = told.number("plumbing.diameter");
    let insulated = told.flag("plumbing.insulated");
    let foam_mm = if insulated == Some(true) { USUAL_FOAM_MM } else { 0.0 };
    let filter = told.choice("filter.kind");
    let mut list = Vec::new();
    for part in equipment.parts.iter().filter(|part| fitted(part, told)) {
        let run_m = match part.form {
            FormDef::Pipe(_, length) => Some(length),
            _ => None,
        };
        let own_foam =
            if run_m.is_some() { foam_mm.max(part.insulation_mm) } else { part.insulation_mm };
        // Without sand the tank holds plain water.
        let plain = PartDef { grain: None, porosity: 1.0, ..part.clone() };
        let kind = if filter.is_some_and(|kind| kind != "sand") { &plain } else { part };
        let (Some(body), Some(exposure)) =
            (part_body(equipment, kind, nominal_mm, own_foam), equipment.exposure(&part.exposure))
        else {
            continue;
        };
        list.push(PadPart {
            id: part.id.clone(),
            title: part.title.clone(),
            body,
            wind: exposure.wind,
            sky_view: exposure.sky_view,
            breaks: part.breaks.clone(),
            damage: part.damage,
            run_m,
        });
    }
    Pad { parts: list, assumed: assumed_of_pad(nominal_mm, insulated) }
}

fn assumed_of_pad(nominal_mm: Option<f64>, insulated: Option<bool>) -> Vec<String> {
    let mut assumed = vec!["a typical pad".to_owned()];
    if nominal_mm.is_none() {
        assumed.push("1½ in PVC pipe".to_owned());
    }
    match insulated {
        None => assumed.push("bare pipe".to_owned()),
        Some(true) => assumed.push(format!("½ in ({USUAL_FOAM_MM:.0} mm) of foam on the pipe")),
        Some(false) => {}
    }
    assumed
}

/// The wind that was said, m/s; of "windy" without a number the most that is taken for granted.
#[must_use]
pub fn wind_told(equipment: &Equipment, told: &dyn Told) -> Option<f64> {
    let windy = told.choice("weather.kind") == Some("windy");
    told.number("wind.speed").or(windy.then_some(equipment.pool.wind_most_m_s))
}

/// What a part is exposed to: the stated wind as it reaches it, and the sky.
///
/// Without a stated wind the likely, least and most of `equipment.toml` stand in. `sky_c` is the sky's
/// temperature if it is known.
#[must_use]
pub fn exposure(
    equipment: &Equipment,
    part: &PadPart,
    air_c: f64,
    wind_m_s: Option<f64>,
    start_c: (f64, f64, f64),
) -> Exposure {
    let [least, likely, most] = part.wind;
    let pool = &equipment.pool;
    let (low, best, high) = match wind_m_s {
        Some(wind) => (least * wind, likely * wind, (most * wind).max(0.5)),
        None => (likely * pool.wind_least_m_s, likely * pool.wind_m_s, likely * pool.wind_most_m_s),
    };
    let (start_low, start, start_high) = start_c;
    Exposure {
        air_c,
        wind_m_s: best,
        wind_range_m_s: (low.min(best), high.max(best)),
        start_c: start,
        start_range_c: (start_low, start_high),
        sky_c: air_c,
        clearest_sky_c: air_c - 20.0,
        sky_view: part.sky_view,
    }
}

/// The pool's heat as far as it is known.
#[must_use]
pub fn pool_heat(equipment: &Equipment, told: &dyn Told) -> PoolHeat {
    let settings = &equipment.pool;
    let mut assumed = Vec::new();
    let depth = settings.mean_depth_m;
    let (volume, area) = (told.number("pool.volume"), told.number("pool.surface_area"));
    let (volume_l, area_m2) = match (volume, area) {
        (Some(volume), Some(area)) => (volume, area),
        (Some(volume), None) => {
            assumed.push(format!("a mean depth of {}", in_both(depth, "m", 1)));
            (volume, volume / 1000.0 / depth)
        }
        (None, Some(area)) => {
            assumed.push(format!("a mean depth of {}", in_both(depth, "m", 1)));
            (area * depth * 1000.0, area)
        }
        (None, None) => {
            assumed.push(format!("a pool of {}", in_both(settings.volume_l, "L", 0)));
            (settings.volume_l, settings.volume_l / 1000.0 / depth)
        }
    };
    let mean_depth = volume_l / 1000.0 / area_m2;
    // Floor, and walls all round a pool twice as long as wide.
    let around_m = 6.0 * (area_m2 / 2.0).sqrt();
    let above_ground = told.choice("pool.kind") == Some("above-ground");
    let covered = told.flag("cover.on").unwrap_or(false);
    let kind = if covered { told.choice("cover.kind").unwrap_or("solid") } else { "none" };
    let cover = equipment.cover(kind);
    let start = told.number("water.temperature");
    if start.is_none() {
        assumed.push(water_assumed(equipment));
    }
    let pool = Pool {
        area_m2,
        volume_l,
        ground_area_m2: area_m2 + if above_ground { 0.0 } else { around_m * mean_depth },
        ground_w_m2k: settings.ground_w_m2k,
        ground_c: settings.ground_c,
        activity: settings.activity,
        convection: settings.convection,
        wind_share: settings.wind_share,
        make_up_c: settings.make_up_c,
        cover: Cover {
            evaporation: cover.evaporation,
            resistance_m2k_w: cover.resistance_m2k_w,
            sun: cover.sun,
        },
        pump_w: 0.0,
        heater_w: 0.0,
        hold_c: equipment.night.hold_c,
    };
    PoolHeat {
        pool,
        start_c: start.unwrap_or(settings.start_c),
        start_known: start.is_some(),
        assumed,
    }
}

/// The wind that is taken where none was said, in words.
#[must_use]
pub fn wind_assumed(equipment: &Equipment) -> String {
    format!("wind of {}", in_both(equipment.pool.wind_m_s, "m/s", 1))
}

/// The water that is taken where none was said, in words.
#[must_use]
pub fn water_assumed(equipment: &Equipment) -> String {
    format!("water at {}", in_both(equipment.pool.start_c, "°C", 0))
}
