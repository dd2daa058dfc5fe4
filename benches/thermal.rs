//! How long the cold takes to compute: one pipe, one season, a night for a whole round.

use brumal::clock::Moment;
use brumal::knowledge::{Knowledge, read_folder};
use brumal::plan::{Control, Planner, Tariff, Told, winter};
use brumal::thermal::{Body, Exposure, Material, Outside, Run, estimate};
use brumal::weather::{Hour, Options, Series, Site, read};
use chrono::{Duration, FixedOffset};
use std::path::Path;

const SITE: Site = Site { latitude_deg: 45.0, longitude_deg: 8.0 };

fn main() {
    divan::main();
}

fn knowledge() -> Knowledge {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    let knowledge = Knowledge::load(&read_folder(&folder).unwrap_or_default()).value;
    assert!(!knowledge.rules.is_empty(), "the bench has lost its knowledge");
    knowledge
}

fn pipe() -> Body {
    let pvc = Material { conductivity_w_m_k: 0.19, density_kg_m3: 1400.0, heat_j_kg_k: 1000.0 };
    Body::pipe(48.26, 3.683, pvc, None)
}

/// What is known of the pool with a number.
#[derive(Clone, Copy)]
struct Numbered(u32);

impl Told for Numbered {
    fn number(&self, name: &str) -> Option<f64> {
        match name {
            "water.temperature" => Some(3.0 + f64::from(self.0 % 97) * 0.1),
            "plumbing.diameter" => Some(if self.0.is_multiple_of(2) { 38.1 } else { 50.8 }),
            "pool.volume" => Some(40_000.0 + f64::from(self.0 % 50) * 1000.0),
            _ => None,
        }
    }
    fn flag(&self, name: &str) -> Option<bool> {
        match name {
            "plumbing.insulated" => Some(self.0.is_multiple_of(3)),
            "freeze_sensor.fitted" => Some(!self.0.is_multiple_of(5)),
            _ => None,
        }
    }
    fn choice(&self, name: &str) -> Option<&str> {
        (name == "heater.kind" && self.0.is_multiple_of(4)).then_some("gas")
    }
}

fn night_hours() -> Vec<Hour> {
    let start = Moment::parse("2026-01-14T16:00:00-05:00").map(Moment::time).unwrap_or_default();
    (0..72u8)
        .map(|step| {
            let swing = (f64::from(step) * 0.2618).cos();
            Hour {
                air_c: Some(-4.0 + 5.0 * swing),
                wind_m_s: Some(3.0 + swing),
                ..Hour::empty(start + Duration::hours(step.into()))
            }
        })
        .collect()
}

fn year() -> Series {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/weather_typical_year.epw");
    let options = Options {
        zone: None,
        offset: FixedOffset::east_opt(3600).unwrap_or_else(|| chrono::Offset::fix(&chrono::Utc)),
        us_habit: false,
    };
    let text = std::fs::read(path).unwrap_or_default();
    let year = read("year.epw", text.as_slice(), &options).value;
    assert_eq!(year.hours().count(), 8760, "the bench has lost its year");
    year
}

#[divan::bench]
fn pipe_estimate(bencher: divan::Bencher<'_, '_>) {
    let (body, exposure) = (pipe(), Exposure::open(-7.0, 4.0, 5.0));
    bencher.bench(|| estimate(divan::black_box(&body), divan::black_box(&exposure)));
}

#[divan::bench]
fn pipe_full_run(bencher: divan::Bencher<'_, '_>) {
    let body = pipe();
    let outside = Outside { surroundings_c: -7.0, film_w_m2k: 35.0 };
    bencher.bench(|| divan::black_box(&body).freeze(5.0, Run::default(), |_| outside));
}

/// 8,760 hours of one pool; the target is 5 ms.
#[divan::bench]
fn pool_season(bencher: divan::Bencher<'_, '_>) {
    let (knowledge, year) = (knowledge(), year());
    let tariff = Tariff::default();
    bencher.bench(|| {
        let weather = (&year, &year, 0);
        winter(&knowledge.equipment, &Numbered(4), weather, SITE, (Control::Sensor, &tariff))
    });
}

/// One worker's share of 100,000 pools by 72 hours on two cores is 50,000; the target is 10 s.
#[divan::bench(args = [1000, 50_000], sample_count = 1, sample_size = 1)]
fn night_round(bencher: divan::Bencher<'_, '_>, pools: u32) {
    let (knowledge, hours) = (knowledge(), night_hours());
    let Ok(at) = Moment::parse("2026-01-14T16:00:00-05:00") else { return };
    bencher.bench(|| {
        let mut planner = Planner::new(&knowledge, hours.clone(), at, Some(SITE));
        (0..pools).map(|pool| planner.plan("pool", &Numbered(pool)).if_stopped.len()).sum::<usize>()
    });
}
