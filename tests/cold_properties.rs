//! What must hold for every pipe and every pool, whatever the numbers.

use brumal::thermal::{
    Body, Cover, Exposure, Ice, Layer, Material, MovingRun, Pool, PoolHour, PoolState, Quick,
    estimate, least_flow_l_min, outside_film, step_hour,
};
use proptest::prelude::*;

const PVC: Material =
    Material { conductivity_w_m_k: 0.19, density_kg_m3: 1400.0, heat_j_kg_k: 1000.0 };
const FOAM: Material =
    Material { conductivity_w_m_k: 0.036, density_kg_m3: 35.0, heat_j_kg_k: 1400.0 };

fn pipe(outside_mm: f64, foam_mm: f64) -> Body {
    let foam = (foam_mm > 0.0).then(|| Layer { thickness_m: foam_mm / 1000.0, material: FOAM });
    Body::pipe(outside_mm, outside_mm * 0.07, PVC, foam)
}

fn hours(body: &Body, air: f64, wind: f64, start: f64) -> (f64, f64) {
    let estimate = estimate(body, &Exposure::open(air, wind, start));
    (estimate.cool_h.unwrap_or(f64::MAX), estimate.freeze_h.unwrap_or(f64::MAX))
}

proptest! {
    #[test]
    fn colder_windier_or_thinner_never_lasts_longer(
        outside in 20.0..120.0f64, foam in 0.0..30.0f64, air in -30.0..-0.5f64,
        wind in 0.0..15.0f64, start in 0.5..25.0f64, more in 0.01..5.0f64,
    ) {
        let base = hours(&pipe(outside, foam), air, wind, start);
        let colder = hours(&pipe(outside, foam), air - more, wind, start);
        prop_assert!(colder.0 <= base.0 && colder.1 <= base.1);
        let windier = hours(&pipe(outside, foam), air, wind + more, start);
        prop_assert!(windier.0 <= base.0 * 1.000_001 && windier.1 <= base.1 * 1.000_001);
        let cooler = hours(&pipe(outside, foam), air, wind, (start - more).max(0.0));
        prop_assert!(cooler.0 <= base.0 && cooler.1 <= base.1);
        if foam <= 0.0 {
            let thinner = hours(&pipe(outside / (1.0 + more / 5.0), foam), air, wind, start);
            prop_assert!(thinner.0 <= base.0 && thinner.1 <= base.1);
        }
    }

    #[test]
    fn the_bounds_hold_the_best_estimate(
        outside in 20.0..120.0f64, foam in 0.0..30.0f64, air in -30.0..3.0f64,
        wind in 0.0..15.0f64, start in 0.0..25.0f64,
    ) {
        let e = estimate(&pipe(outside, foam), &Exposure::open(air, wind, start));
        let order = |low: Option<f64>, best: Option<f64>, high: Option<f64>| {
            let never = |v: Option<f64>| v.unwrap_or(f64::INFINITY);
            never(low) <= never(best) && never(best) <= never(high)
        };
        prop_assert!(order(e.cool_low_h, e.cool_h, e.cool_high_h), "{e:?}");
        prop_assert!(order(e.freeze_low_h, e.freeze_h, e.freeze_high_h), "{e:?}");
        prop_assert!(order(e.cool_h, e.freeze_h, None));
    }

    #[test]
    fn insulation_helps_beyond_the_critical_radius(
        outside in 20.0..120.0f64, foam in 1.0..30.0f64, more in 0.5..20.0f64,
        air in -30.0..-0.5f64, wind in 0.0..15.0f64,
    ) {
        let thin = pipe(outside, foam);
        let thick = pipe(outside, foam + more);
        let film = |body: &Body| outside_film(body.outside_diameter_m(), wind, air, air, 0.0);
        let (a, b) = (film(&thin).total_w_m2k, film(&thick).total_w_m2k);
        // The film of the thicker one is a little weaker too; both work the same way.
        prop_assert!(thin.critical_radius_m(a) < thin.outer_m());
        let last = |body: &Body, film| Quick::new(body, film).freeze_through_h(air);
        prop_assert!(last(&thick, b) >= last(&thin, a));
        prop_assert!(last(&thick, a) >= last(&thin, a));
    }

    #[test]
    fn more_flow_never_arrives_colder(
        length in 0.5..40.0f64, air in -30.0..-0.1f64, wind in 0.0..15.0f64,
        inlet in 0.6..20.0f64, flow in 0.05..400.0f64, more in 1.0..10.0f64,
    ) {
        let body = pipe(48.26, 0.0);
        let film = outside_film(body.outside_diameter_m(), wind, air, air, 0.0);
        let run = MovingRun::new(&body, length, film.total_w_m2k, film.surroundings_c);
        prop_assert!(run.outlet_c(inlet, flow * more) >= run.outlet_c(inlet, flow) - 1e-9);
        let least = least_flow_l_min(&run, inlet, 0.5).unwrap();
        prop_assert!((run.outlet_c(inlet, least.max(1e-9)) - 0.5).abs() < 1e-6);
    }

    #[test]
    fn the_pools_energy_closes(
        water in 0.0..28.0f64, ice in 0.0..200.0f64, snow in 0.0..100.0f64,
        hours in prop::collection::vec((-25.0..20.0f64, 0.2..1.0f64, 0.0..12.0f64, 0.0..600.0f64,
            0.0..4.0f64, 0.0..10.0f64), 1..60),
        heater in 0.0..50_000.0f64, covered in any::<bool>(),
    ) {
        let cover = Cover { evaporation: 0.1, resistance_m2k_w: 0.05, sun: 0.2 };
        let pool = Pool {
            area_m2: 40.0, volume_l: 55_000.0, ground_area_m2: 75.0, ground_w_m2k: 0.4,
            ground_c: 9.0, activity: 0.5, convection: 0.75, wind_share: 0.7, make_up_c: 8.0,
            cover: if covered { cover } else { Cover::NONE },
            pump_w: 300.0, heater_w: heater, hold_c: 4.4,
        };
        let iced = ice > 100.0;
        let mut state = PoolState {
            water_c: if iced { 0.0 } else { water },
            ice: if iced { Ice { thickness_mm: ice, snow_mm: snow } } else { Ice::default() },
        };
        let start = pool.energy_j_m2(&state);
        let (mut lost, mut through) = (0.0, 0.0f64);
        for (air_c, humidity, wind_m_s, sun_w_m2, rain_mm, snow_mm) in hours {
            let hour = PoolHour {
                air_c, humidity, wind_m_s, sky_c: air_c - 8.0, sun_w_m2,
                rain_mm: if air_c > 0.5 { rain_mm } else { 0.0 },
                snow_mm: if air_c > 0.5 { 0.0 } else { snow_mm },
            };
            let (next, losses) = step_hour(&pool, &state, &hour);
            lost += losses.total_w_m2() * 3600.0;
            through += losses.total_w_m2().abs() * 3600.0;
            state = next;
            prop_assert!(state.water_c >= 0.0 && state.ice.thickness_mm >= 0.0);
            prop_assert!(state.water_c.is_finite());
        }
        let change = start - pool.energy_j_m2(&state);
        prop_assert!((change - lost).abs() <= 1e-6 * through.max(1.0), "{change} {lost}");
    }
}
