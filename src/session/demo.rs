//! An invented winter of the fictional Ottermoor Pools: the same bytes for the same seed.
//!
//! Nothing here is measured or copied. The weather is a yearly wave with weather-like noise; the water follows it, loses
//! chlorine, drifts in pH, loads its filter, and somebody comes twice a week and does something about it.

mod water;

use super::base::Base;
use super::history::held;
use crate::clock::Moment;
use crate::language::{ReadingContext, read};
use crate::logbook::{
    Blackout, Held, Imported, PoolRecord, Postponement, ProfileEntry, Record, Store, Visit,
    parts_of,
};
use crate::problem::Problem;
use water::Water;

/// Names, places and where the breakers are.
const POOLS: &str = include_str!("demo/pools.txt");

/// The first day of the winter, and how many days it has.
const BEGINS: &str = "2025-10-01T08:00:00-05:00";
const DAYS: u32 = 182;

/// Invented people of the invented company.
const PEOPLE: [&str; 3] = ["Ida Fenn", "Bo Larch", "Wren Tully"];

/// Numbers that look random and are always the same (splitmix64; G. L. Steele, D. Lea, C. H. Flood, "Fast Splittable
/// Pseudorandom Number Generators", OOPSLA 2014, figure 17).
#[derive(Debug, Clone)]
pub(super) struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number between two others.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = f64::from(u32::try_from(self.next() >> 32).unwrap_or(0)) / f64::from(u32::MAX);
        low + (high - low) * share
    }

    /// True so often.
    pub(super) fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }
}

/// Mean air of each day, °C, and its low.
fn weather(dice: &mut Dice) -> Vec<(f64, f64)> {
    let mut swing: f64 = 0.0;
    (0..DAYS)
        .map(|day| {
            // Coldest about the 20th of January, 111 days after the first of October.
            let wave = ((f64::from(day) - 111.0) / 365.25 * std::f64::consts::TAU).cos();
            swing = 0.75 * swing + dice.between(-3.2, 3.2);
            let mean = 9.0 - 12.5 * wave + swing;
            (mean, mean - dice.between(3.0, 7.0))
        })
        .collect()
}

fn profile(base: &Base, told: &str, since: Moment, pool: &str) -> Vec<Record> {
    let context = ReadingContext { moment: Some(since), ..ReadingContext::default() };
    let facts = read(told, &context, base.knowledge()).facts;
    let entry = |name: &str, value: Held, given: &str| Record::Profile {
        pool: pool.to_owned(),
        entry: ProfileEntry {
            name: name.to_owned(),
            value: Some(value),
            given: given.to_owned(),
            since,
            who: "Ida Fenn".to_owned(),
            why: String::new(),
        },
    };
    let certain = facts.iter().filter(|fact| fact.doubt.is_none() && !fact.supposed);
    certain
        .filter_map(|fact| {
            let def = base.knowledge().vocabulary.get(fact.id)?;
            Some(entry(&def.name, held(def, fact.value), &fact.given))
        })
        .collect()
}

fn pool(base: &Base, line: &str, begins: Moment) -> Option<(PoolRecord, Vec<Record>)> {
    let mut parts = line.split('|').map(str::trim);
    let (told, place, breakers) = (parts.next()?, parts.next()?, parts.next()?);
    let (name, facts) = told.split_once(',')?;
    let id = parts_of(name).join("-");
    let record = PoolRecord { id: id.clone(), name: name.to_owned(), added: begins, retired: None };
    let mut records = vec![Record::Pool(record.clone())];
    records.extend(profile(base, facts, begins, &id));
    let degrees: Vec<f64> = place.split(' ').filter_map(|text| text.parse().ok()).collect();
    let notes = [
        ("note.breakers", Held::Word(breakers.to_owned())),
        ("place.latitude", Held::Number(*degrees.first()?)),
        ("place.longitude", Held::Number(*degrees.get(1)?)),
    ];
    records.extend(notes.into_iter().map(|(name, value)| Record::Profile {
        pool: id.clone(),
        entry: ProfileEntry {
            name: name.to_owned(),
            value: Some(value),
            given: String::new(),
            since: begins,
            who: "Ida Fenn".to_owned(),
            why: String::new(),
        },
    }));
    Some((record, records))
}

/// Fills a record with the invented winter.
///
/// # Errors
/// The record's; also if it holds other things under the same names.
pub fn demo(base: &Base, store: &dyn Store, seed: u64) -> Result<Imported, Problem> {
    let begins = Moment::parse(BEGINS)?;
    let mut dice = Dice(seed);
    let days = weather(&mut dice);
    let mut records = Vec::new();
    for (n, line) in (0_u32..).zip(POOLS.lines()) {
        let Some((pool, told)) = pool(base, line, begins) else { continue };
        records.extend(told);
        let mut dice = Dice(seed ^ (u64::from(n) + 1).wrapping_mul(0x5851_f42d_4c95_7f2d));
        let mut water = Water::new(&mut dice, line, n);
        for (day, (mean, low)) in (0_u32..).zip(&days) {
            water.day(&mut dice, *mean);
            // Monday and Thursday, or Tuesday and Friday; the first of October 2025 was a Wednesday.
            let weekday = (day + 2 + n % 2) % 7;
            if weekday != 1 && weekday != 4 {
                continue;
            }
            let minutes = f64::from(n) * 55.0 + dice.between(0.0, 30.0).floor();
            let at = begins.plus_hours(f64::from(day) * 24.0 + minutes / 60.0);
            let who = PEOPLE.get(usize::try_from(n % 3).unwrap_or(0)).copied().unwrap_or("");
            let id = format!("{}.{}", pool.id, at.time().format("%Y%m%d-%H%M"));
            records.push(Record::Visit(visit(
                &mut water,
                &mut dice,
                (day, *mean, *low),
                Visit {
                    id,
                    pool: pool.id.clone(),
                    at,
                    who: who.to_owned(),
                    note: String::new(),
                    readings: Vec::new(),
                    additions: Vec::new(),
                    tasks: Vec::new(),
                    photos: Vec::new(),
                    corrections: Vec::new(),
                },
            )));
        }
    }
    records.extend(dates(begins));
    store.import(&records)
}

fn visit(
    water: &mut Water,
    dice: &mut Dice,
    (day, mean, low): (u32, f64, f64),
    mut visit: Visit,
) -> Visit {
    water.read(dice, day, (mean, low), &mut visit);
    water.treat(dice, &mut visit);
    water.work(dice, day, &mut visit);
    visit
}

fn dates(begins: Moment) -> Vec<Record> {
    let day = |days: f64| begins.plus_hours(days * 24.0);
    vec![
        Record::Postponed(Postponement {
            pool: "tarn-view-21".to_owned(),
            task: "vacuum".to_owned(),
            until: day(190.0),
            who: "Wren Tully".to_owned(),
            why: "cover frozen to the coping".to_owned(),
        }),
        Record::Blackout(Blackout {
            pool: None,
            from: day(84.0),
            to: day(86.0),
            why: "office closed".to_owned(),
        }),
    ]
}
