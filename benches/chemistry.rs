//! How long the water takes: an index from a test, the pH of a composition, a whole plan.
//!
//! `cargo bench --bench chemistry`, and beside it the same waters by the reference program, called in one
//! process: `python3 benches/reference_waters.py` (PHREEQC by its Python package phreeqpython).

use brumal::chemistry::{
    Composition, Substance, Water, hypochlorous_acid, saturation_index, water_after,
};
use brumal::facts::{Fact, Origin};
use brumal::knowledge::{Knowledge, read_folder};
use brumal::plan::{DoseRequest, DoseWish, plan_dose};
use brumal::units::System;
use divan::Bencher;

fn main() {
    divan::main();
}

/// The hungry water of a winter morning.
fn water() -> Water {
    Water {
        temperature_c: 6.7,
        ph: 7.2,
        total_alkalinity: 90.0,
        calcium_hardness: 180.0,
        cyanuric_acid: 20.0,
        salt: 300.0,
        free_chlorine: 0.5,
        ..Water::default()
    }
}

#[divan::bench]
fn index_from_a_test(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(water).bench_values(|water| saturation_index(&water));
}

#[divan::bench]
fn hypochlorous_acid_by_three_models(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(water).bench_values(|water| hypochlorous_acid(&water));
}

#[divan::bench]
fn ph_after_a_dose(bencher: Bencher<'_, '_>) {
    let before = Composition::of(&water()).unwrap_or_default();
    bencher.with_inputs(|| before).bench_values(|before| {
        water_after(&before, &[(Substance::HydrochloricAcid, 1e-4)]).settled(6.7)
    });
}

#[divan::bench]
fn plan(bencher: Bencher<'_, '_>) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    let knowledge = Knowledge::load(&read_folder(&folder).unwrap_or_default()).value;
    let stated = [
        ("pool.volume", "68000"),
        ("pool.surface", "plaster"),
        ("water.temperature", "6.7"),
        ("water.ph", "7.2"),
        ("water.total_alkalinity", "90"),
        ("water.calcium_hardness", "180"),
        ("water.cyanuric_acid", "20"),
        ("water.free_chlorine", "0.5"),
    ];
    let words = &knowledge.vocabulary;
    let facts: Vec<Fact> = stated
        .iter()
        .filter_map(|(name, value)| {
            let id = words.find(name)?;
            let value = words.get(id)?.parse(value).ok()?;
            Some(Fact::stated(id, value, *name, Origin::Message))
        })
        .collect();
    assert_eq!(facts.len(), stated.len(), "a fact of the bench has lost its name");
    let request = DoseRequest {
        knowledge: &knowledge,
        facts: &facts,
        wish: DoseWish::default(),
        system: System::Us,
    };
    bencher.bench(|| plan_dose(&request));
}
