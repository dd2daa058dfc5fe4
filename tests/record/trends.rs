//! Trends by hand-made series: what surely drifts is said, and two points say nothing.

use super::{at, pool, reading};
use brumal::logbook::{NewVisit, Sqlite, Store, Stretch};
use brumal::session::{Base, Trend, trends};
use brumal::units::System;

/// A visit every two days with these readings of one fact; air at 2 °C and water at 6 °C.
fn found(fact: &str, values: &[f64], backwash_first: bool) -> Vec<Trend> {
    let store = Sqlite::in_memory().unwrap();
    let id = pool(&store, "Quarry Lane 9");
    let begins = at("2026-01-01T10:00:00-05:00");
    for (n, value) in (0_u32..).zip(values) {
        let mut visit = NewVisit::new(begins.plus_hours(48.0 * f64::from(n)), "Ida");
        visit.readings = vec![reading("air.temperature", 2.0), reading("water.temperature", 6.0)];
        visit.readings.push(reading(fact, *value));
        if n == 0 && backwash_first {
            visit.tasks = vec!["backwash".to_owned()];
        }
        store.add_visit(&id, &visit).unwrap();
    }
    let visits = store.visits(&id, Stretch::default(), usize::MAX).unwrap();
    let end = begins.plus_hours(48.0 * f64::from(u32::try_from(values.len()).unwrap() - 1));
    let profile = store.profile(&id, end).unwrap();
    trends(&Base::packed().unwrap(), &visits, &profile, end, System::Si)
}

fn one(trends: &[Trend], name: &str) -> Option<Trend> {
    trends.iter().find(|trend| trend.name == name).cloned()
}

/// By hand: 4 kPa in two days are 2 kPa a day; 8 psi are 55 kPa, which takes 27.5 days, of which 18 have passed.
#[test]
fn the_filter_tells_when_it_will_want_cleaning() {
    let values: Vec<f64> = (0..10).map(|n| 80.0 + 4.0 * f64::from(n)).collect();
    let trend = one(&found("filter.pressure", &values, true), "filter_rise").unwrap();
    assert!((trend.value - 2.0).abs() < 1e-6, "{trend:?}");
    assert!(
        trend.text.contains("in about 10 days") || trend.text.contains("in about 9 days"),
        "{trend:?}"
    );
    assert_eq!(one(&found("filter.pressure", &values[..3], true), "filter_rise"), None);
    assert_eq!(one(&found("filter.pressure", &[80.0; 10], true), "filter_rise"), None);
}

/// By hand: 1 mg/L in two days, with one misread visit that must not bend it.
#[test]
fn chlorine_use_is_the_middle_of_many_stretches() {
    let mut values: Vec<f64> = (0..8).map(|n| 8.0 - f64::from(n)).collect();
    values[4] = 0.1;
    let trend = one(&found("water.free_chlorine", &values, false), "chlorine_use").unwrap();
    assert!((trend.value - 0.5).abs() < 1e-6, "{trend:?}");
    assert_eq!(one(&found("water.free_chlorine", &values[..4], false), "chlorine_use"), None);
}

/// Cold water evaporates a few millimetres a day at most; 40 mm in two days are no evaporation, 2 mm may be.
#[test]
fn a_leak_is_suspected_only_beyond_evaporation() {
    let leaks = one(&found("water.level_drop", &[40.0; 12], false), "level_loss").unwrap();
    assert!(
        (leaks.value - 20.0).abs() < 1e-6 && leaks.text.contains("a leak is likely"),
        "{leaks:?}"
    );
    let none = one(&found("water.level_drop", &[2.0; 12], false), "level_loss").unwrap();
    assert!(!none.text.contains("leak"), "{none:?}");
    assert_eq!(one(&found("water.level_drop", &[40.0; 3], false), "level_loss"), None);
}
