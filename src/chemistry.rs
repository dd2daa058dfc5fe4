//! Equilibrium of the water: plain numbers in, plain numbers out; no files, no ranges.
//!
//! A [`Water`] is what a test kit says. [`Composition`] is what it is made of, in moles: totals that
//! add up when waters mix or products go in. [`Speciation`] is how those totals share themselves out
//! at one pH. Concentrations typed by people are mg/L, taken as mg per kg of water, as the
//! reference program takes them; inside, everything is mol per kg of water.

mod activity;
mod addition;
mod air;
mod borate;
mod carbonate;
mod chlorine;
mod composition;
mod constants;
mod cyanurate;
mod factor_table;
mod mixing;
mod saturation;
mod solve;
mod water;

pub use addition::{Effect, Substance, water_after};
pub use air::{carbon_dioxide_of_air_mol_kg, share_lost_after, with_carbon_dioxide_lost};
pub use borate::borate_ion_share;
pub use carbonate::Speciation;
pub use chlorine::{
    ChlorineModel, ChlorineSpecies, HypochlorousAcid, chlorine_species, hypochlorous_acid,
};
pub use composition::Composition;
pub use cyanurate::cyanurate_ion_share;
pub use factor_table::{dissolved_solids_estimate, factor_table_index};
pub use mixing::{mixed, rain, replaced_share};
pub use saturation::{carbonate_alkalinity, saturation_index, saturation_index_at};
pub use solve::rising_root;
pub use water::{Water, WaterError};

/// mg of calcium carbonate in one equivalent of alkalinity (half of 100.09 g/mol).
pub const CALCIUM_CARBONATE_MG_PER_EQ: f64 = 50_045.0;
/// mg of calcium carbonate in one mole of calcium.
pub const CALCIUM_CARBONATE_MG_PER_MOL: f64 = 100_090.0;
/// mg of chlorine (Cl2) in one mole.
pub const CHLORINE_MG_PER_MOL: f64 = 70_906.0;
/// mg of Br2 in a mole.
pub const BROMINE_MG_PER_MOL: f64 = 159_808.0;
/// mg of cyanuric acid in one mole.
pub const CYANURIC_ACID_MG_PER_MOL: f64 = 129_070.0;
/// mg of sodium chloride in one mole.
pub const SODIUM_CHLORIDE_MG_PER_MOL: f64 = 58_440.0;
/// mg of boron in one mole.
pub const BORON_MG_PER_MOL: f64 = 10_810.0;
/// mg of sulfate in one mole.
pub const SULFATE_MG_PER_MOL: f64 = 96_060.0;
