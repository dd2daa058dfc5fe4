//! Properties of the water that hold whatever is typed.

use brumal::chemistry::{
    ChlorineModel, Composition, Substance, Water, WaterError, carbonate_alkalinity,
    chlorine_species, mixed, saturation_index, water_after, with_carbon_dioxide_lost,
};
use proptest::prelude::*;

/// Pool waters as wide as they are found; readings that contradict each other included.
fn water() -> impl Strategy<Value = Water> {
    (0.0..40.0, 6.2..9.2, 20.0..400.0, 5.0..1500.0, 0.0..200.0, 0.0..6000.0, 0.0..80.0, 0.0..400.0)
        .prop_map(|(temperature_c, ph, alkalinity, calcium, cyanuric, salt, borate, sulfate)| {
            Water {
                temperature_c,
                ph,
                total_alkalinity: alkalinity,
                calcium_hardness: calcium,
                cyanuric_acid: cyanuric,
                salt,
                borate,
                sulfate,
                ..Water::default()
            }
        })
}

/// Waters whose carbonate alkalinity is real.
fn sound_water() -> impl Strategy<Value = Water> {
    water().prop_filter("readings contradict each other", |water| Composition::of(water).is_ok())
}

/// Up to four additions of up to 2 mmol/kg.
fn additions() -> impl Strategy<Value = Vec<(Substance, f64)>> {
    let substances: Vec<Substance> = Substance::all()
        .filter(|s| !matches!(s, Substance::SodiumSulfite | Substance::SodiumThiosulfate))
        .collect();
    prop::collection::vec((prop::sample::select(substances), 0.0..2e-3), 1..4)
}

fn relative(a: f64, b: f64) -> f64 {
    (a - b).abs() / a.abs().max(b.abs()).max(1e-9)
}

proptest! {
    // The long run of 100,000 cases meets many waters that a property does not speak of.
    #![proptest_config(ProptestConfig {
        max_global_rejects: 1_000_000,
        max_local_rejects: 1_000_000,
        ..ProptestConfig::default()
    })]

    /// No possible reading fails to solve: it has an index, or the readings are named as contradictory.
    /// `PROPTEST_CASES=100000` is how the long run is made.
    #[test]
    fn every_possible_water_solves(
        temperature_c in -1.9..50.0, ph in 3.0..11.5, alkalinity in 0.0..2000.0,
        calcium in 0.01..5000.0, cyanuric in 0.0..1000.0, salt in 0.0..40000.0,
        borate in 0.0..500.0, sulfate in 0.0..5000.0,
    ) {
        let water = Water { temperature_c, ph, total_alkalinity: alkalinity, calcium_hardness: calcium,
            cyanuric_acid: cyanuric, salt, borate, sulfate, ..Water::default() };
        match saturation_index(&water) {
            Ok(index) => {
                prop_assert!(index.is_finite());
                let totals = Composition::of(&water).unwrap();
                let back = totals.settled(temperature_c).unwrap();
                prop_assert!((back.ph - ph).abs() < 1e-5, "pH {} came back as {}", ph, back.ph);
            }
            Err(WaterError::AlkalinityHeldElsewhere { total_alkalinity, held }) => {
                prop_assert!(held >= total_alkalinity);
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    /// After any additions, even absurd ones, there is a pH, and the totals are met by it.
    #[test]
    fn every_addition_solves_and_balances(water in sound_water(), added in additions()) {
        let before = Composition::of(&water).unwrap();
        let after = water_after(&before, &added);
        let settled = after.settled(water.temperature_c).unwrap();
        prop_assert!(settled.ph.is_finite());
        if settled.ph > -0.9 && settled.ph < 14.9 {
            prop_assert!((settled.alkalinity - after.alkalinity).abs() < 1e-9, "alkalinity {} for {}",
                settled.alkalinity, after.alkalinity);
            prop_assert!(relative(settled.inorganic_carbon, after.inorganic_carbon) < 1e-9);
        }
        for total in [after.calcium - before.calcium, after.cyanurate - before.cyanurate] {
            prop_assert!(total >= -1e-15);
        }
    }

    #[test]
    fn adding_nothing_changes_nothing(water in sound_water()) {
        let before = Composition::of(&water).unwrap();
        prop_assert_eq!(water_after(&before, &[]), before);
        let zero = water_after(&before, &[(Substance::HydrochloricAcid, 0.0)]);
        prop_assert_eq!(zero, before);
        let reading = before.reading(water.temperature_c).unwrap();
        prop_assert!((reading.ph - water.ph).abs() < 1e-6);
    }

    #[test]
    fn acid_never_raises_and_base_never_lowers(water in sound_water(), amount in 1e-6..3e-3) {
        let before = Composition::of(&water).unwrap();
        let ph = |s| water_after(&before, &[(s, amount)]).settled(water.temperature_c).unwrap().ph;
        prop_assert!(ph(Substance::HydrochloricAcid) < water.ph);
        prop_assert!(ph(Substance::SodiumBisulfate) < water.ph);
        prop_assert!(ph(Substance::SodiumHydroxide) > water.ph);
        prop_assert!(ph(Substance::SodiumCarbonate) > water.ph - 1e-9 || water.ph > 10.0);
    }

    /// Closed to the air, the order does not change the end.
    #[test]
    fn order_does_not_matter(water in sound_water(), added in additions()) {
        let before = Composition::of(&water).unwrap();
        let forth = water_after(&before, &added);
        let mut turned = added.clone();
        turned.reverse();
        let back = turned.iter().fold(before, |w, step| water_after(&w, &[*step]));
        let ph = |w: Composition| w.settled(water.temperature_c).unwrap().ph;
        prop_assert!((ph(forth) - ph(back)).abs() < 1e-8);
        prop_assert!(relative(forth.alkalinity, back.alkalinity) < 1e-9);
        prop_assert!(relative(forth.calcium, back.calcium) < 1e-9);
    }

    /// Of waters whose alkalinity is mostly carbonate. Where cyanurate or borate hold most of it, warmth, pH and even
    /// salts ionise more of them and take carbonate away from the same titrated total, and the index may fall. So it may beyond pH 9, where the alkalinity
    /// is carbonate already and hydroxide takes its share.
    #[test]
    fn index_rises_with_temperature_ph_calcium_and_alkalinity(water in sound_water()) {
        prop_assume!(carbonate_alkalinity(&water).unwrap() > 0.7 * water.total_alkalinity);
        prop_assume!(water.ph < 8.7);
        let index = |w: Water| saturation_index(&w).unwrap();
        let base = index(water);
        let harder = index(Water { calcium_hardness: water.calcium_hardness * 1.1, ..water });
        let stronger = index(Water { total_alkalinity: water.total_alkalinity + 5.0, ..water });
        let warmer = index(Water { temperature_c: water.temperature_c + 2.0, ..water });
        let more_basic = index(Water { ph: water.ph + 0.1, ..water });
        prop_assert!(harder > base, "calcium");
        prop_assert!(stronger > base, "alkalinity");
        prop_assert!(warmer > base, "temperature");
        prop_assert!(more_basic > base, "pH");
    }

    #[test]
    fn mixing_keeps_every_total(pool in sound_water(), fill in sound_water(), share in 0.0..1.0) {
        let (a, b) = (Composition::of(&pool).unwrap(), Composition::of(&fill).unwrap());
        let mixture = mixed(&a, &b, share);
        prop_assert!(relative(mixture.calcium, a.calcium * (1.0 - share) + b.calcium * share) < 1e-9);
        prop_assert_eq!(mixed(&a, &b, 0.0), a);
        prop_assert!(mixture.settled(pool.temperature_c).is_ok());
    }

    /// Losing CO2 leaves alkalinity alone and never lowers the pH of water that holds more than the air does.
    #[test]
    fn carbon_dioxide_lost(water in sound_water(), share in 0.1..1.0) {
        let before = Composition::of(&water).unwrap();
        let after = with_carbon_dioxide_lost(&before, water.temperature_c, share).unwrap();
        prop_assert_eq!(after.alkalinity, before.alkalinity);
        if after.inorganic_carbon < before.inorganic_carbon {
            prop_assert!(after.settled(water.temperature_c).unwrap().ph > water.ph);
        }
    }

    /// Chlorine adds up, and cyanuric acid only ever takes hypochlorous acid away.
    #[test]
    fn chlorine_adds_up(water in water(), chlorine in 0.01..30.0) {
        let water = Water { free_chlorine: chlorine, ..water };
        let found = chlorine_species(&water, ChlorineModel::Slopes).unwrap();
        let sum = found.hypochlorous_acid + found.hypochlorite + found.held_by_cyanurate;
        prop_assert!(relative(sum, chlorine) < 1e-9);
        let bare = chlorine_species(&Water { cyanuric_acid: 0.0, ..water }, ChlorineModel::Slopes).unwrap();
        prop_assert!(found.hypochlorous_acid <= bare.hypochlorous_acid * (1.0 + 1e-9));
    }
}
