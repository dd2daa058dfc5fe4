//! Trends by hand-made series: what surely drifts is said, and two points say nothing.

use super::{at, pool, reading};
use brumal::logbook::{Added, Held, NewVisit, Reading, Sqlite, Store, Stretch};
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

fn visits_of(of: impl Fn(u32, &mut NewVisit)) -> Vec<Trend> {
    let store = Sqlite::in_memory().unwrap();
    let id = pool(&store, "Quarry Lane 9");
    let begins = at("2026-01-01T10:00:00-05:00");
    for n in 0..12 {
        let mut visit = NewVisit::new(begins.plus_hours(48.0 * f64::from(n)), "Ida");
        visit.readings = vec![reading("air.temperature", 2.0), reading("water.temperature", 6.0)];
        of(n, &mut visit);
        store.add_visit(&id, &visit).unwrap();
    }
    let visits = store.visits(&id, Stretch::default(), usize::MAX).unwrap();
    let end = begins.plus_hours(48.0 * 11.0);
    trends(&Base::packed().unwrap(), &visits, &[], end, System::Si)
}

/// Rain hides a leak, and its depth brings it to light: by hand, 4 mm of fall with 36 mm of rain in two days are
/// 20 mm a day. Rain of unknown depth makes a stretch say nothing.
#[test]
fn rain_is_counted_in_and_unknown_rain_says_nothing() {
    let rained = visits_of(|_, visit| {
        visit.readings.push(reading("water.level_drop", 4.0));
        visit.readings.push(reading("weather.rain_depth", 36.0));
    });
    let leak = one(&rained, "level_loss").unwrap();
    assert!((leak.value - 20.0).abs() < 1e-6 && leak.text.contains("a leak is likely"), "{leak:?}");
    let unknown = visits_of(|n, visit| {
        visit.readings.push(reading("water.level_drop", 40.0));
        if n < 8 {
            visit.readings.push(Reading {
                fact: "weather.kind".to_owned(),
                value: Held::Word("rain".to_owned()),
                given: "rain".to_owned(),
                method: String::new(),
            });
        }
    });
    assert_eq!(one(&unknown, "level_loss"), None, "four dry stretches are too few");
}

/// By hand: five of five stretches above the most that evaporation explains leave a chance of 1 in 32 (97 %), which is
/// possible; twelve of twelve leave 1 in 4096, which is likely.
#[test]
fn the_confidence_of_a_leak_grows_with_its_stretches() {
    let few = one(&found("water.level_drop", &[40.0; 6], false), "level_loss").unwrap();
    assert!(few.text.contains("a leak is possible (5 of 5"), "{few:?}");
    assert!(few.text.contains("confidence 96 %"), "96.875 %, rounded down: {few:?}");
    let mixed: Vec<f64> = (0..12).map(|n| if n % 2 == 0 { 40.0 } else { 2.0 }).collect();
    let none = one(&found("water.level_drop", &mixed, false), "level_loss").unwrap();
    assert!(!none.text.contains("leak") && none.facts.is_empty(), "{none:?}");
}

/// By hand: 0.02 in two days are 0.07 a week; each third visit 0.3 L of acid goes in, which is 0.35 L a week.
#[test]
fn ph_drifts_between_doses_and_acid_follows() {
    let dosed = visits_of(|n, visit| {
        visit.readings.push(reading("water.ph", 7.4 + 0.02 * f64::from(n % 3)));
        if n % 3 == 2 {
            visit.additions.push(Added {
                product: "muriatic-acid".to_owned(),
                percent: Some(31.45),
                amount: 0.3,
                unit: "L".to_owned(),
                given: "0.3 L".to_owned(),
            });
        }
    });
    let drift = one(&dosed, "ph_drift").unwrap();
    assert!((drift.value - 0.01).abs() < 1e-6 && drift.text.contains("rises by about 0.07"));
    // Four doses are fewer than five: nothing is said of a demand.
    assert_eq!(one(&dosed, "acid_demand"), None);
    let often = visits_of(|_, visit| {
        visit.readings.push(reading("water.ph", 7.8));
        visit.additions.push(Added {
            product: "muriatic-acid".to_owned(),
            percent: Some(15.725),
            amount: 0.2,
            unit: "L".to_owned(),
            given: "0.2 L".to_owned(),
        });
    });
    // Half the strength: 0.2 L every two days are 0.05 L a day of the usual one.
    let demand = one(&often, "acid_demand").unwrap();
    assert!((demand.value - 0.05).abs() < 1e-6 && demand.text.contains("350 mL"), "{demand:?}");
}

/// By hand: 20 mg/L less in two days are 300 a month, a tenth of 3000; what was put in later begins a new line.
#[test]
fn salt_that_goes_is_a_fact_for_rules() {
    let values: Vec<f64> = (0..12).map(|n| 3000.0 - 20.0 * f64::from(n)).collect();
    let salt = one(&found("water.salt", &values, false), "salt").unwrap();
    assert!(salt.text.contains("Salt falls by about 300 mg/L a month, 10 % of it"), "{salt:?}");
    let [(name, Held::Number(share))] = salt.facts.as_slice() else { panic!("{salt:?}") };
    assert!(*name == "trend.salt_loss" && (share - 10.0).abs() < 0.01);
    let topped = visits_of(|n, visit| {
        visit.readings.push(reading("water.salt", 3000.0 - 20.0 * f64::from(n)));
        if n == 8 {
            visit.additions.push(Added {
                product: "salt".to_owned(),
                percent: None,
                amount: 20.0,
                unit: "kg".to_owned(),
                given: "20 kg".to_owned(),
            });
        }
    });
    assert_eq!(one(&topped, "salt"), None, "three readings since then say nothing");
    assert_eq!(one(&found("water.salt", &[3000.0, 2900.0], false), "salt"), None);
}

/// A rule answers from what the log bears out, and the answer says that it is from the log.
#[test]
fn a_rule_uses_a_trend() {
    let file = super::folder("trend-rule").join("log.sqlite");
    let store = Sqlite::open(&file).unwrap();
    let id = pool(&store, "Quarry Lane 9");
    let begins = at("2026-01-01T10:00:00-05:00");
    for n in 0..12 {
        let mut visit = NewVisit::new(begins.plus_hours(48.0 * f64::from(n)), "Ida");
        visit.readings = vec![
            reading("air.temperature", 2.0),
            reading("water.temperature", 6.0),
            reading("water.level_drop", 40.0),
        ];
        store.add_visit(&id, &visit).unwrap();
    }
    let args = ["--at", "2026-01-24T10:00:00-05:00", "--logbook", file.to_str().unwrap(), "ask"];
    let args = args.into_iter().chain(["quarry lane 9: ph 7.5", "--format", "json"]);
    let output = crate::cli::program().args(args).output().unwrap();
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let found = answer["findings"].as_array().unwrap();
    let leak = found.iter().find(|one| one["rule"] == "trend-leak").expect("the rule fires");
    assert!(leak["because"].to_string().contains("trend.leak"), "{leak}");
    let facts = answer["facts"].as_array().unwrap();
    let fact = facts.iter().find(|fact| fact["name"] == "trend.leak").unwrap();
    assert_eq!(fact["from"], "logbook");
}
