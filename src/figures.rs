//! Calculators bound to fact names: the bridge from `chemistry` and `thermal` to the engine.
//!
//! Each calculator declares its facts by name in its signature; the names of what it gives are declared in
//! `knowledge/figures.toml`. Add a calculator to [`all`].

mod cold;
mod filter;
mod freezing;
mod mend;
mod pool;
mod told;
mod water;

use crate::engine::Calculator;
use crate::knowledge::Knowledge;

/// Every calculator. Those of the cold compute with the pad that the knowledge describes.
#[must_use]
pub fn all(knowledge: &Knowledge) -> Vec<Box<dyn Calculator>> {
    let dosing = || knowledge.dosing.clone();
    let notch = |name: &str| {
        let fact = knowledge.vocabulary.find(name);
        fact.and_then(|fact| knowledge.dosing.resolution(fact)).map_or(1.0, |r| r.scale)
    };
    let equipment = || knowledge.equipment.clone();
    vec![
        Box::new(filter::PressureRise),
        Box::new(water::Balance(dosing())),
        Box::new(water::Disinfection(dosing())),
        Box::new(mend::Mend::new(dosing(), knowledge.index_bands(), notch)),
        Box::new(mend::ChlorineLasts(dosing())),
        Box::new(freezing::Pipe(equipment())),
        Box::new(freezing::IceGrowth(equipment())),
        Box::new(pool::PoolLosses(equipment())),
    ]
}
