//! Additions: what a mole of a substance does to the totals of a water.

use super::Composition;

/// What one mole of a substance adds to one kg of water's totals.
pub type Effect = Composition;

/// A pure substance that goes into pools. What is sold, and how strong, is knowledge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Substance {
    /// HCl.
    HydrochloricAcid,
    /// NaHSO4.
    SodiumBisulfate,
    /// NaHCO3.
    SodiumBicarbonate,
    /// Na2CO3.
    SodiumCarbonate,
    /// NaOH.
    SodiumHydroxide,
    /// CaCl2.
    CalciumChloride,
    /// C3H3N3O3.
    CyanuricAcid,
    /// NaOCl, sold with as much NaCl.
    SodiumHypochlorite,
    /// Ca(OCl)2.
    CalciumHypochlorite,
    /// NaCl2C3N3O3.
    Dichlor,
    /// Cl3C3N3O3.
    Trichlor,
    /// LiOCl.
    LithiumHypochlorite,
    /// Na2S2O3.
    SodiumThiosulfate,
    /// Na2SO3.
    SodiumSulfite,
    /// NaCl.
    SodiumChloride,
    /// Na2B4O7.
    SodiumTetraborate,
    /// B(OH)3.
    BoricAcid,
    /// CO2.
    CarbonDioxide,
    /// KHSO5, sold as the triple salt with KHSO4 and K2SO4.
    PotassiumMonopersulfate,
    /// NaBr.
    SodiumBromide,
    /// C5H6BrClN2O2, the stuff of bromine tablets.
    Bromochlorodimethylhydantoin,
}

/// One substance's name in knowledge, molar mass in g/mol and effect by the mole.
type Row = (Substance, &'static str, f64, Effect);

/// An effect that touches nothing, to be filled in.
const NONE: Effect = Effect {
    alkalinity: 0.0,
    inorganic_carbon: 0.0,
    calcium: 0.0,
    chloride: 0.0,
    sulfate: 0.0,
    cyanurate: 0.0,
    boron: 0.0,
    hypochlorite: 0.0,
    free_chlorine: 0.0,
    bromine: 0.0,
    salt: 0.0,
};

/// Acids, bases, calcium and the rest, by the stoichiometry of the closed system.
const WITHOUT_CHLORINE: [Row; 11] = [
    (
        Substance::HydrochloricAcid,
        "hydrochloric-acid",
        36.461,
        Effect { alkalinity: -1.0, chloride: 1.0, salt: 1.0, ..NONE },
    ),
    (
        Substance::SodiumBisulfate,
        "sodium-bisulfate",
        120.06,
        Effect { alkalinity: -1.0, sulfate: 1.0, ..NONE },
    ),
    (
        Substance::SodiumBicarbonate,
        "sodium-bicarbonate",
        84.007,
        Effect { alkalinity: 1.0, inorganic_carbon: 1.0, ..NONE },
    ),
    (
        Substance::SodiumCarbonate,
        "sodium-carbonate",
        105.988,
        Effect { alkalinity: 2.0, inorganic_carbon: 1.0, ..NONE },
    ),
    (Substance::SodiumHydroxide, "sodium-hydroxide", 39.997, Effect { alkalinity: 1.0, ..NONE }),
    (
        Substance::CalciumChloride,
        "calcium-chloride",
        110.98,
        Effect { calcium: 1.0, chloride: 2.0, ..NONE },
    ),
    (Substance::CyanuricAcid, "cyanuric-acid", 129.07, Effect { cyanurate: 1.0, ..NONE }),
    (
        Substance::SodiumChloride,
        "sodium-chloride",
        58.44,
        Effect { chloride: 1.0, salt: 1.0, ..NONE },
    ),
    (
        Substance::SodiumTetraborate,
        "sodium-tetraborate",
        201.22,
        Effect { alkalinity: 2.0, boron: 4.0, ..NONE },
    ),
    (Substance::BoricAcid, "boric-acid", 61.83, Effect { boron: 1.0, ..NONE }),
    (Substance::CarbonDioxide, "carbon-dioxide", 44.009, Effect { inorganic_carbon: 1.0, ..NONE }),
];

/// Substances that bring chlorine or take it away.
const WITH_CHLORINE: [Row; 7] = [
    (
        Substance::SodiumHypochlorite,
        "sodium-hypochlorite",
        74.442,
        Effect { alkalinity: 1.0, hypochlorite: 1.0, free_chlorine: 1.0, ..NONE },
    ),
    (
        Substance::CalciumHypochlorite,
        "calcium-hypochlorite",
        142.98,
        Effect { alkalinity: 2.0, calcium: 1.0, hypochlorite: 2.0, free_chlorine: 2.0, ..NONE },
    ),
    (
        Substance::Dichlor,
        "dichlor",
        219.95,
        Effect { alkalinity: 1.0, cyanurate: 1.0, hypochlorite: 2.0, free_chlorine: 2.0, ..NONE },
    ),
    (
        Substance::Trichlor,
        "trichlor",
        232.41,
        Effect { cyanurate: 1.0, hypochlorite: 3.0, free_chlorine: 3.0, ..NONE },
    ),
    (
        Substance::LithiumHypochlorite,
        "lithium-hypochlorite",
        58.39,
        Effect { alkalinity: 1.0, hypochlorite: 1.0, free_chlorine: 1.0, ..NONE },
    ),
    (
        Substance::SodiumSulfite,
        "sodium-sulfite",
        126.04,
        // SO3²⁻ + HOCl → SO4²⁻ + Cl⁻ + H⁺.
        Effect {
            alkalinity: -1.0,
            chloride: 1.0,
            sulfate: 1.0,
            hypochlorite: -1.0,
            free_chlorine: -1.0,
            ..NONE
        },
    ),
    (
        Substance::SodiumThiosulfate,
        "sodium-thiosulfate",
        158.11,
        // Between S4O6²⁻ (½ Cl2 a mole) and SO4²⁻ (4 Cl2 a mole), by pH; 1.17 is what a town's figure for
        // dechlorinating pools amounts to (Town of Dryden NY, stormwater page: 4.0 oz per 10,000 gal and mg/L).
        Effect {
            alkalinity: -0.74,
            chloride: 1.17,
            sulfate: 0.785,
            hypochlorite: -1.17,
            free_chlorine: -1.17,
            ..NONE
        },
    ),
];

/// What bromine pools are kept with. Effects on bromine count on bromide in the water.
const WITH_BROMINE: [Row; 3] = [
    (
        Substance::PotassiumMonopersulfate,
        "potassium-monopersulfate",
        152.17,
        // HSO5⁻ + Br⁻ → SO4²⁻ + HOBr; the triple salt 2 KHSO5·KHSO4·K2SO4 brings half a mole of KHSO4 and of K2SO4 along.
        Effect { alkalinity: -0.5, sulfate: 2.0, bromine: 1.0, ..NONE },
    ),
    // Bromide itself shows in no test of a pool kit; what it brings is room for an oxidizer.
    (Substance::SodiumBromide, "sodium-bromide", 102.89, NONE),
    (
        Substance::Bromochlorodimethylhydantoin,
        "bromochlorodimethylhydantoin",
        241.47,
        // HOBr at once, and HOCl that makes a second from bromide.
        Effect { bromine: 2.0, ..NONE },
    ),
];

fn rows() -> impl Iterator<Item = &'static Row> {
    WITHOUT_CHLORINE.iter().chain(&WITH_CHLORINE).chain(&WITH_BROMINE)
}

impl Substance {
    fn row(self) -> Option<&'static Row> {
        rows().find(|row| row.0 == self)
    }

    /// Every substance, in a fixed order.
    pub fn all() -> impl Iterator<Item = Self> {
        rows().map(|row| row.0)
    }

    /// The substance of a name as knowledge writes it (`sodium-bicarbonate`).
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        rows().find(|row| row.1 == name).map(|row| row.0)
    }

    /// Its name as knowledge writes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().map_or("", |row| row.1)
    }

    /// Molar mass, g/mol (without water of crystallisation).
    #[must_use]
    pub fn molar_mass_g(self) -> f64 {
        self.row().map_or(f64::NAN, |row| row.2)
    }

    /// What a mole of it adds to the totals.
    #[must_use]
    pub fn effect(self) -> Effect {
        self.row().map_or(NONE, |row| row.3)
    }
}

/// The water after additions: each a substance and its amount, mol per kg of water. Closed: nothing
/// leaves to or comes from the air, nothing precipitates. The order does not matter.
///
/// A neutraliser takes no more chlorine than there is.
#[must_use]
pub fn water_after(before: &Composition, additions: &[(Substance, f64)]) -> Composition {
    let added = additions.iter().fold(*before, |water, (substance, amount)| {
        water.zip(&substance.effect(), |total, effect| total + effect * amount)
    });
    Composition {
        hypochlorite: added.hypochlorite.max(0.0),
        free_chlorine: added.free_chlorine.max(0.0),
        ..added
    }
}
