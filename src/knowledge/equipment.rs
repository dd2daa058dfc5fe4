//! The parts of a pad, what they are made of, covers, pumps and heaters (`equipment.toml`).

mod settings;

use super::document::{Problems, Reader, Text, parse};
use crate::problem::{Checked, Code, Problem, SourceText};
use serde::{Deserialize, Serialize};

pub use settings::{HeaterSettings, NightSettings, PoolSettings, PumpSettings};

/// Something that a wall is made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MaterialDef {
    /// Its id.
    pub id: String,
    /// Conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Specific heat, J/(kg K).
    pub heat_j_kg_k: f64,
}

/// One size of pipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PipeDef {
    /// Of which material.
    pub material: String,
    /// Nominal size, mm.
    pub nominal_mm: f64,
    /// Outside diameter, mm.
    pub outside_mm: f64,
    /// Wall, mm.
    pub wall_mm: f64,
}

/// How much of the wind and of the sky reaches a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExposureDef {
    /// Its id.
    pub id: String,
    /// Shares of the stated wind: least, likely, most.
    pub wind: [f64; 3],
    /// Share of the view that is sky.
    pub sky_view: f64,
}

/// The form of a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum FormDef {
    /// A pipe of this nominal size, mm, and this length, m.
    Pipe(f64, f64),
    /// A cylinder of this inner radius, mm.
    Cylinder(f64),
    /// A ball of this inner radius, mm.
    Sphere(f64),
    /// A layer of this depth, mm.
    Slab(f64),
}

/// A part of the pad.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartDef {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Its form.
    pub form: FormDef,
    /// Wall, mm (pipes have theirs from the table).
    pub wall_mm: f64,
    /// Material of the wall.
    pub wall: String,
    /// Insulation around it, mm.
    pub insulation_mm: f64,
    /// Share of the content that is water, and what the rest is; 1 for plain water.
    pub porosity: f64,
    /// Grains between which the water stands.
    pub grain: Option<String>,
    /// How exposed.
    pub exposure: String,
    /// Water in it, L.
    pub water_l: f64,
    /// Wall wetted by it, m².
    pub wetted_m2: f64,
    /// What breaks.
    pub breaks: String,
    /// How bad: 1 a small part, 3 the dearest.
    pub damage: f64,
    /// Which fact says that it is there, and by which values.
    pub fitted_by: Option<(String, Vec<String>)>,
    /// Which fact says that it needs no thought.
    pub unless_by: Option<String>,
    /// Whether it is taken to be there while nothing is known.
    pub assumed: bool,
}

/// A kind of cover.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CoverDef {
    /// Its id, a value of `cover.kind`.
    pub id: String,
    /// Share of the evaporation left.
    pub evaporation: f64,
    /// Resistance, m² K/W.
    pub resistance_m2k_w: f64,
    /// Share of the sun let in.
    pub sun: f64,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Equipment {
    /// Materials.
    pub materials: Vec<MaterialDef>,
    /// Pipe sizes.
    pub pipes: Vec<PipeDef>,
    /// Exposures.
    pub exposures: Vec<ExposureDef>,
    /// Parts, in the order of draining.
    pub parts: Vec<PartDef>,
    /// Covers.
    pub covers: Vec<CoverDef>,
    /// The pool of which nothing is known.
    pub pool: PoolSettings,
    /// The pump of which nothing is known.
    pub pump: PumpSettings,
    /// Heaters.
    pub heater: HeaterSettings,
    /// Thresholds of a night.
    pub night: NightSettings,
}

impl Equipment {
    /// A material by id.
    #[must_use]
    pub fn material(&self, id: &str) -> Option<&MaterialDef> {
        self.materials.iter().find(|material| material.id == id)
    }

    /// An exposure by id.
    #[must_use]
    pub fn exposure(&self, id: &str) -> Option<&ExposureDef> {
        self.exposures.iter().find(|exposure| exposure.id == id)
    }

    /// A cover by id; bare water if there is none of that name.
    #[must_use]
    pub fn cover(&self, id: &str) -> CoverDef {
        self.covers.iter().find(|cover| cover.id == id).cloned().unwrap_or(CoverDef {
            id: "none".to_owned(),
            evaporation: 1.0,
            resistance_m2k_w: 0.0,
            sun: 1.0,
        })
    }

    /// The pipe of a material nearest to a nominal size.
    #[must_use]
    pub fn pipe(&self, material: &str, nominal_mm: f64) -> Option<&PipeDef> {
        self.pipes.iter().filter(|pipe| pipe.material == material).min_by(|a, b| {
            let off = |pipe: &PipeDef| (pipe.nominal_mm - nominal_mm).abs();
            off(a).total_cmp(&off(b))
        })
    }

    /// Reads a pad of a pool's own from a file of `[[part]]` tables: the parts replace the typical
    /// ones.
    #[must_use]
    pub fn with_pad(&self, source: &SourceText) -> Checked<Self> {
        let problems = Problems::default();
        let table = parse(source, &problems);
        let top = Reader::new(source, &table, &problems);
        let mut own = self.clone();
        own.parts = top.tables("part").iter().filter_map(read_part).collect();
        top.finish();
        own.check(source, &problems);
        if own.parts.is_empty() {
            let message = format!("`{}` lists no part", source.name);
            let problem = Problem::error(Code::File, None, message);
            problems.push(problem.help("write a `[[part]]` table for each part of the pad"));
        }
        Checked { value: own, problems: problems.into_vec() }
    }

    /// Whether every name of a part leads somewhere.
    fn check(&self, source: &SourceText, problems: &Problems) {
        for part in &self.parts {
            let place = find(source, &part.id);
            let unknown = |kind: &str, name: &str| {
                problems.push(Problem::error(
                    Code::UnknownName,
                    place.clone(),
                    format!(
                        "part `{}` names the {kind} `{name}`, which nothing describes",
                        part.id
                    ),
                ));
            };
            if self.material(&part.wall).is_none() {
                unknown("material", &part.wall);
            }
            if let Some(grain) = part.grain.as_ref().filter(|id| self.material(id).is_none()) {
                unknown("material", grain);
            }
            if self.exposure(&part.exposure).is_none() {
                unknown("exposure", &part.exposure);
            }
        }
    }
}

fn find(source: &SourceText, id: &str) -> Option<crate::problem::Place> {
    let needle = format!("\"{id}\"");
    let start = source.text.find(&needle)? + 1;
    Some(source.place(crate::problem::Span::new(start, start + id.len())))
}

/// Reads `equipment.toml`.
pub(super) fn read_equipment(source: &SourceText, top: &Reader<'_, '_>) -> Equipment {
    let equipment = Equipment {
        materials: top.tables("material").iter().filter_map(read_material).collect(),
        pipes: top.tables("pipe").iter().filter_map(read_pipe).collect(),
        exposures: top.tables("exposure").iter().filter_map(read_exposure).collect(),
        parts: top.tables("part").iter().filter_map(read_part).collect(),
        covers: top.tables("cover").iter().filter_map(read_cover).collect(),
        pool: settings::read_pool(top),
        pump: settings::read_pump(top),
        heater: settings::read_heater(top),
        night: settings::read_night(top),
    };
    equipment.check(source, top.problems());
    equipment
}

/// A number that must be there and lie in a range.
fn number(table: &Reader<'_, '_>, key: &'static str, range: (f64, f64)) -> Option<f64> {
    let value = table.number(key);
    let wrong = match value {
        None => format!("`{key}` is missing, or no number"),
        Some(value) if value < range.0 || value > range.1 => {
            format!("`{key}` is {value}, not between {} and {}", range.0, range.1)
        }
        Some(value) => return Some(value),
    };
    table.problem(Problem::error(Code::Value, Some(table.place()), wrong));
    None
}

fn read_material(table: &Reader<'_, '_>) -> Option<MaterialDef> {
    let id = table.string("id");
    let conductivity = number(table, "conductivity_w_m_k", (1e-3, 1e3));
    let density = number(table, "density_kg_m3", (1.0, 3e4));
    let heat = number(table, "heat_j_kg_k", (50.0, 1e4));
    table.finish();
    Some(MaterialDef {
        id,
        conductivity_w_m_k: conductivity?,
        density_kg_m3: density?,
        heat_j_kg_k: heat?,
    })
}

fn read_pipe(table: &Reader<'_, '_>) -> Option<PipeDef> {
    let material = table.string("material");
    let nominal = number(table, "nominal_mm", (1.0, 1e3));
    let outside = number(table, "outside_mm", (1.0, 1e3));
    let wall = number(table, "wall_mm", (0.1, 100.0));
    table.finish();
    Some(PipeDef { material, nominal_mm: nominal?, outside_mm: outside?, wall_mm: wall? })
}

fn read_exposure(table: &Reader<'_, '_>) -> Option<ExposureDef> {
    let id = table.string("id");
    let least = number(table, "wind_least", (0.0, 3.0));
    let likely = number(table, "wind_likely", (0.0, 3.0));
    let most = number(table, "wind_most", (0.0, 3.0));
    let sky_view = number(table, "sky_view", (0.0, 1.0));
    table.finish();
    Some(ExposureDef { id, wind: [least?, likely?, most?], sky_view: sky_view? })
}

fn read_cover(table: &Reader<'_, '_>) -> Option<CoverDef> {
    let id = table.string("id");
    let evaporation = number(table, "evaporation", (0.0, 1.0));
    let resistance = number(table, "resistance_m2k_w", (0.0, 10.0));
    let sun = number(table, "sun", (0.0, 1.0));
    table.finish();
    Some(CoverDef { id, evaporation: evaporation?, resistance_m2k_w: resistance?, sun: sun? })
}

fn read_form(table: &Reader<'_, '_>) -> Option<FormDef> {
    if table.flag("pipe") == Some(true) {
        let nominal = number(table, "nominal_mm", (5.0, 500.0))?;
        let length = number(table, "length_m", (0.1, 500.0))?;
        return Some(FormDef::Pipe(nominal, length));
    }
    let shape = table.text("shape")?;
    let inner = number(table, "inner_mm", (0.5, 5000.0))?;
    match shape.text.as_str() {
        "cylinder" => Some(FormDef::Cylinder(inner)),
        "sphere" => Some(FormDef::Sphere(inner)),
        "slab" => Some(FormDef::Slab(inner)),
        other => {
            unknown_word(table, &shape, other);
            None
        }
    }
}

fn unknown_word(table: &Reader<'_, '_>, text: &Text<'_>, word: &str) {
    let message = format!("`{word}` is none of cylinder, sphere, slab");
    table.problem(Problem::error(Code::UnknownName, Some(text.place()), message));
}

fn read_part(table: &Reader<'_, '_>) -> Option<PartDef> {
    let id = table.string("id");
    let form = read_form(table);
    let walled = !matches!(form, Some(FormDef::Pipe(..)));
    let wall_mm = if walled { number(table, "wall_mm", (0.0, 100.0)) } else { Some(0.0) };
    let contents = table.opt_string("contents");
    let porosity = table.number("porosity").unwrap_or(1.0);
    let fitted_by = table.opt_string("fitted_by").zip(Some(table.strings("fitted_values")));
    let part = PartDef {
        id,
        title: table.string("title"),
        form: form?,
        wall_mm: wall_mm?,
        wall: table.string("wall"),
        insulation_mm: table.number("insulation_mm").unwrap_or(0.0),
        porosity: if contents.is_some() { porosity } else { 1.0 },
        grain: contents,
        exposure: table.string("exposure"),
        water_l: number(table, "water_l", (0.0, 1e5))?,
        wetted_m2: number(table, "wetted_m2", (0.0, 1e3))?,
        breaks: table.string("breaks"),
        damage: number(table, "damage", (1.0, 3.0))?,
        fitted_by,
        unless_by: table.opt_string("unless_by"),
        assumed: table.flag("assumed").unwrap_or(true),
    };
    table.finish();
    Some(part)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loaded(text: &str) -> (Equipment, Vec<String>) {
        let source = SourceText { name: "equipment.toml".to_owned(), text: text.to_owned() };
        let problems = Problems::default();
        let table = parse(&source, &problems);
        let top = Reader::new(&source, &table, &problems);
        let equipment = read_equipment(&source, &top);
        top.finish();
        let told = problems.into_vec().iter().map(ToString::to_string).collect();
        (equipment, told)
    }

    #[test]
    fn what_ships_is_whole() {
        let (equipment, told) = loaded(include_str!("../../knowledge/equipment.toml"));
        assert!(told.is_empty(), "{told:?}");
        assert!(equipment.parts.len() >= 10 && equipment.covers.len() == 5);
        // ASTM D1785, 1½ in: 1.900 in outside, 0.145 in minimum wall.
        let pipe = equipment.pipe("pvc", 38.0).unwrap();
        assert!((pipe.outside_mm - 1.900 * 25.4).abs() < 1e-3);
        assert!((pipe.wall_mm - 0.145 * 25.4).abs() < 1e-3);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        let text = include_str!("../../knowledge/equipment.toml")
            .replace("wall = \"brass\"", "wall = \"bras\"")
            .replace("activity = 0.5 ", "activity = 50 ");
        let (_, told) = loaded(&text);
        assert!(told.iter().any(|t| t.contains("names the material `bras`")), "{told:?}");
        assert!(told.iter().any(|t| t.contains("`activity` is 50, not between")), "{told:?}");
    }
}
