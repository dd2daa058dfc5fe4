//! Chlorine: hypochlorous acid, hypochlorite and the chlorinated cyanurates.

use super::constants::{REFERENCE_K, kelvin, pk_cyanuric_first, pk_hypochlorous, ten_to};
use super::solve::rising_root;
use super::{CHLORINE_MG_PER_MOL, CYANURIC_ACID_MG_PER_MOL, Water, WaterError};

/// Which published set of constants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChlorineModel {
    /// O'Brien, Morris & Butler 1974 at 25 °C, moved to other temperatures by the slopes per 1/T of Wahman
    /// 2018 (K6) and Wahman & Alexander 2019 (K7a, K9a), and of Morris 1966 for HOCl. The figure shown.
    Slopes,
    /// The constants of 2018 and 2019 taken outright, not as slopes.
    Outright2019,
    /// The 1974 constants of 25 °C at every temperature.
    Unmoved1974,
}

/// What free chlorine by the DPD test is made of, mg/L as Cl2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChlorineSpecies {
    /// HOCl, which disinfects.
    pub hypochlorous_acid: f64,
    /// OCl⁻, which hardly does.
    pub hypochlorite: f64,
    /// Chlorine held in reserve by cyanurate.
    pub held_by_cyanurate: f64,
}

/// Hypochlorous acid with the span of the published models, mg/L as Cl2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HypochlorousAcid {
    /// By [`ChlorineModel::Slopes`].
    pub value: f64,
    /// The lowest of the models.
    pub low: f64,
    /// The highest of the models.
    pub high: f64,
}

/// pK by name as in EPA/600/S-17/165 (2017), Table 2.
#[derive(Debug, Clone, Copy)]
struct Pk {
    k1a: f64,
    k2: f64,
    k4: f64,
    k6: f64,
    k7a: f64,
    k8: f64,
    k10: f64,
    k11a: f64,
    k12: f64,
    hypochlorous: f64,
}

/// O'Brien, Morris & Butler 1974, as listed in EPA/600/S-17/165 (2017), Table 2; 25 °C.
const OF_1974: Pk = Pk {
    k1a: 1.8,
    k2: 3.75,
    k4: 5.33,
    k6: 6.88,
    k7a: 4.51,
    k8: 10.12,
    k10: 11.40,
    k11a: 6.90,
    k12: 13.5,
    hypochlorous: 7.54,
};

/// Slopes of pK per 1/T: K6 by Wahman 2018, Environ. Sci.: Water Res. Technol. 4:1522; K7a and K9a by
/// Wahman & Alexander 2019, Environ. Eng. Sci., doi 10.1089/ees.2018.0387; 5–35 °C.
const SLOPE_K6: f64 = 1_743.0;
const SLOPE_K7A: f64 = 2_028.0;
const SLOPE_K9A: f64 = 2_229.0;

impl Pk {
    fn of(model: ChlorineModel, temperature_c: f64) -> Self {
        let t = kelvin(temperature_c);
        let inverse = 1.0 / t - 1.0 / REFERENCE_K;
        match model {
            ChlorineModel::Unmoved1974 => OF_1974,
            ChlorineModel::Slopes => Self {
                k6: OF_1974.k6 + SLOPE_K6 * inverse,
                k7a: OF_1974.k7a + SLOPE_K7A * inverse,
                // K9a = K8 K11a / K10, and only K11a is given the slope.
                k11a: OF_1974.k11a + SLOPE_K9A * inverse,
                hypochlorous: OF_1974.hypochlorous + pk_hypochlorous(t)
                    - pk_hypochlorous(REFERENCE_K),
                ..OF_1974
            },
            ChlorineModel::Outright2019 => Self {
                k6: pk_cyanuric_first(t),
                k7a: SLOPE_K7A / t - 2.15,
                k11a: SLOPE_K9A / t - 1.65 - OF_1974.k8 + OF_1974.k10,
                hypochlorous: pk_hypochlorous(t),
                ..OF_1974
            },
        }
    }
}

/// Free chlorine shared out between HOCl, OCl⁻ and ten cyanurates. Concentrations for activities, as
/// the models were made. `free_chlorine` mg/L as Cl2 by the DPD test, which reads all three.
///
/// # Errors
/// Readings that cannot be.
pub fn chlorine_species(
    water: &Water,
    model: ChlorineModel,
) -> Result<ChlorineSpecies, WaterError> {
    let water = water.checked()?;
    let pk = Pk::of(model, water.temperature_c);
    let chlorine = water.free_chlorine / CHLORINE_MG_PER_MOL;
    let cyanurate = water.cyanuric_acid / CYANURIC_ACID_MG_PER_MOL;
    let h = ten_to(-water.ph);
    let per_acid = 1.0 + ten_to(water.ph - pk.hypochlorous);
    let ladder = Ladder::of(&pk, h);
    let most = chlorine / per_acid;
    let acid = if most > 0.0 {
        rising_root(0.0, most, most * 1e-14, chlorine * 1e-14, |p| {
            p * per_acid + cyanurate * ladder.chlorine(p) - chlorine
        })
    } else {
        0.0
    };
    Ok(ChlorineSpecies {
        hypochlorous_acid: acid * CHLORINE_MG_PER_MOL,
        hypochlorite: acid * (per_acid - 1.0) * CHLORINE_MG_PER_MOL,
        held_by_cyanurate: cyanurate * ladder.chlorine(acid) * CHLORINE_MG_PER_MOL,
    })
}

/// Cyanurates with no to three chlorines, per mole of H3Cy; `n` of them times the n-th power of HOCl.
#[derive(Debug, Clone, Copy)]
struct Ladder {
    none: f64,
    one: f64,
    two: f64,
    three: f64,
}

impl Ladder {
    fn of(pk: &Pk, h: f64) -> Self {
        let k = |pk: f64| ten_to(-pk);
        let single = k(pk.k6) / h;
        let double = single * k(pk.k10) / h;
        let triple = double * k(pk.k12) / h;
        let chlorinated_double = double / k(pk.k11a);
        let chlorinated_single = chlorinated_double * h / k(pk.k8);
        let chlorinated = chlorinated_single * h / k(pk.k4);
        let dichlorinated_single = chlorinated_single / k(pk.k7a);
        let dichlorinated = dichlorinated_single * h / k(pk.k2);
        Self {
            none: 1.0 + single + double + triple,
            one: chlorinated + chlorinated_single + chlorinated_double,
            two: dichlorinated + dichlorinated_single,
            three: dichlorinated / k(pk.k1a),
        }
    }

    /// Chlorine held per mole of cyanurate at a concentration of HOCl, mol/L.
    fn chlorine(&self, p: f64) -> f64 {
        let one = self.one * p;
        let two = self.two * p * p;
        let three = self.three * p * p * p;
        (one + 2.0 * two + 3.0 * three) / (self.none + one + two + three)
    }
}

/// Hypochlorous acid, mg/L as Cl2, with the span of the published models. Below 5 °C every one of them
/// is an extrapolation.
///
/// # Errors
/// Readings that cannot be.
pub fn hypochlorous_acid(water: &Water) -> Result<HypochlorousAcid, WaterError> {
    let by = |model| chlorine_species(water, model).map(|species| species.hypochlorous_acid);
    let value = by(ChlorineModel::Slopes)?;
    let outright = by(ChlorineModel::Outright2019)?;
    let unmoved = by(ChlorineModel::Unmoved1974)?;
    Ok(HypochlorousAcid {
        value,
        low: value.min(outright).min(unmoved),
        high: value.max(outright).max(unmoved),
    })
}
