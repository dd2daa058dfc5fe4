//! A season at one pool, gathered from the record for its customer.

use super::additions::amount_words;
use super::base::Base;
use super::history::value;
use super::round::round;
use super::trends::{points, says, trends};
use crate::advice::{ColdNight, Report, ReportVisit, Series, titled};
use crate::clock::Moment;
use crate::facts::Value;
use crate::knowledge::{Kind, SURFACE, capital};
use crate::logbook::{Held, PoolRecord, ProfileEntry, Store, Stretch, Visit};
use crate::plan::AHEAD_DAYS;
use crate::problem::{Code, Problem};
use crate::units::{System, convert, count, display_unit, show, unit};
use std::collections::BTreeMap;

/// So many of the coldest nights are told.
const NIGHTS: usize = 8;

/// What a report is made from.
struct Sources<'a> {
    base: &'a Base,
    visits: Vec<Visit>,
    profile: Vec<ProfileEntry>,
    from: Moment,
    units: System,
}

/// Gathers a report. Without a stretch: from the first to the last visit.
///
/// # Errors
/// The record's, or that there are no visits in that time.
pub fn season_report(
    base: &Base,
    store: &dyn Store,
    pool: &PoolRecord,
    stretch: Stretch,
    (at, units): (Moment, System),
) -> Result<Report, Problem> {
    // What the log has of days to come (an imported plan, a trial with `--at`) is no history yet.
    let asked_to = stretch.to;
    let stretch = Stretch { to: asked_to.or(Some(at)), ..stretch };
    let visits = store.visits(&pool.id, stretch, usize::MAX)?;
    let (Some(newest), Some(oldest)) = (visits.first(), visits.last()) else {
        return Err(Problem::error(Code::Value, None, "there are no visits in that time")
            .help("leave `--from` and `--to` out, or name other days"));
    };
    let from = stretch.from.unwrap_or(oldest.at);
    let to = asked_to.unwrap_or(newest.at);
    let profile = store.profile(&pool.id, to)?;
    let next = round(base, store, Some(pool), at, AHEAD_DAYS)?;
    let sources = Sources { base, visits, profile, from, units };
    let day = |at: Moment| at.time().format("%-d %B %Y").to_string();
    Ok(Report {
        pool: pool.name.clone(),
        from: day(from),
        to: day(to),
        begins: from,
        days: (to.hours_since(from) / 24.0).max(1.0),
        made: day(at),
        glance: sources.glance(),
        series: base
            .knowledge()
            .work
            .drawn
            .iter()
            .filter_map(|drawn| sources.series(&drawn.fact, &drawn.by))
            .collect(),
        trends: trends(base, &sources.visits, &sources.profile, to, units)
            .into_iter()
            .map(|trend| trend.text)
            .collect(),
        nights: sources.nights(),
        treatments: sources.treatments(),
        visits: sources.visits.iter().map(|visit| sources.told(visit)).collect(),
        next: next
            .iter()
            .flat_map(|pool| &pool.items)
            .map(|item| format!("{} ({}): {}", item.title, item.due.format("%-d %B"), item.why))
            .collect(),
    })
}

impl Sources<'_> {
    fn shown(&self, fact: &str, held: &Held) -> Option<String> {
        let def = self.base.knowledge().vocabulary.def(fact)?;
        Some(titled(def, &def.show(value(def, held)?, self.units)))
    }

    fn numbers(&self, fact: &str) -> Vec<(f64, f64)> {
        points(&self.visits, fact, self.from)
    }

    fn one(&self, fact: &str, number: f64) -> String {
        let def = self.base.knowledge().vocabulary.def(fact);
        def.map(|def| def.show(Value::Number(number), self.units)).unwrap_or_default()
    }

    fn glance(&self) -> Vec<(String, String)> {
        let mut glance = vec![("visits".to_owned(), self.visits.len().to_string())];
        let lows = self.numbers("air.low_past");
        if let Some(low) = lows.iter().map(|p| p.1).min_by(f64::total_cmp) {
            glance.push(("coldest night noted".to_owned(), self.one("air.low_past", low)));
            let frost = lows.iter().filter(|point| point.1 <= 0.0).count();
            glance.push(("visits after a frost".to_owned(), frost.to_string()));
        }
        let water = self.numbers("water.temperature");
        if let Some(low) = water.iter().map(|p| p.1).min_by(f64::total_cmp) {
            glance.push(("coldest water".to_owned(), self.one("water.temperature", low)));
        }
        let added: usize = self.visits.iter().map(|visit| visit.additions.len()).sum();
        glance.push(("doses".to_owned(), added.to_string()));
        let done: usize = self.visits.iter().map(|visit| visit.tasks.len()).sum();
        glance.push(("tasks done".to_owned(), done.to_string()));
        for fact in ["water.free_chlorine", "water.ph"] {
            if let Some((inside, all, title)) = self.inside(fact) {
                let share = count(inside) / count(all.max(1)) * 100.0;
                glance.push((format!("{title} in its range"), format!("{share:.0} %")));
            }
        }
        glance
    }

    fn range(&self, fact: &str) -> Option<(Option<f64>, Option<f64>)> {
        let knowledge = self.base.knowledge();
        let id = knowledge.vocabulary.find(fact)?;
        let surface = self.profile.iter().find(|entry| entry.name == SURFACE);
        let surface = surface.and_then(|entry| match &entry.value {
            Some(Held::Word(word)) => knowledge.vocabulary.def(SURFACE)?.choice(word),
            _ => None,
        });
        let [_, low, high, _] = knowledge.range(id, surface)?.edges;
        Some((low.is_finite().then_some(low), high.is_finite().then_some(high)))
    }

    /// How many readings keep to the range, of how many.
    fn inside(&self, fact: &str) -> Option<(usize, usize, String)> {
        let (low, high) = self.range(fact)?;
        let title = self.base.knowledge().vocabulary.def(fact)?.title.clone();
        let points = self.numbers(fact);
        // A reading on the edge is inside, whatever the last digit of the unit's factor says.
        let fits = |value: f64| {
            low.is_none_or(|low| value >= low - 1e-6)
                && high.is_none_or(|high| value <= high + 1e-6)
        };
        let inside = points.iter().filter(|point| fits(point.1)).count();
        (!points.is_empty()).then_some((inside, points.len(), title))
    }

    fn series(&self, fact: &str, by: &[String]) -> Option<Series> {
        let def = self.base.knowledge().vocabulary.def(fact)?;
        let Kind::Number { unit: canonical, decimals } = def.kind else { return None };
        let points = self.numbers(fact);
        if points.len() < 2 {
            return None;
        }
        let display = display_unit(canonical, self.units);
        let seen = |value: f64| convert(value, canonical, display).unwrap_or(value);
        let (low, high) = self.range(fact).unwrap_or_default();
        let values = points.iter().map(|point| point.1);
        let least = values.clone().min_by(f64::total_cmp)?;
        let most = values.max_by(f64::total_cmp)?;
        let last = points.last()?.1;
        let told = |value: f64| show(value, canonical, decimals, self.units);
        let mut summary = format!(
            "{} readings between {} and {}; the last one {}.",
            points.len(),
            told(least),
            told(most),
            told(last)
        );
        if let Some((inside, all, _)) = self.inside(fact) {
            summary.push_str(&format!(" {inside} of {all} keep to the range."));
        }
        let marks = self.marks(by);
        if !marks.is_empty() {
            let days = if marks.len() == 1 { "day" } else { "days" };
            summary.push_str(&format!(" Something was done about it on {} {days}.", marks.len()));
        }
        let title = capital(&def.title);
        Some(Series {
            title,
            unit: unit(display).name.to_owned(),
            points: points.iter().map(|(day, value)| (*day, seen(*value))).collect(),
            low: low.map(seen),
            high: high.map(seen),
            marks,
            summary,
        })
    }

    /// Days on which one of these products or tasks was used.
    fn marks(&self, by: &[String]) -> Vec<(f64, String)> {
        let mark = |visit: &Visit| {
            let added = visit.additions.iter().filter(|one| by.contains(&one.product));
            let added = added.map(|one| format!("{} {}", one.given, self.product(&one.product)));
            let tasks = visit.tasks.iter().filter(|task| by.contains(task)).map(|id| self.task(id));
            let what: Vec<String> = added.chain(tasks).collect();
            let day = visit.at.time().format("%-d %B");
            let at = visit.at.hours_since(self.from) / 24.0;
            (!what.is_empty()).then(|| (at, format!("{day}: {}", what.join(", "))))
        };
        self.visits.iter().filter_map(mark).collect()
    }

    fn task(&self, id: &str) -> String {
        self.base.knowledge().work.task(id).map_or(id.to_owned(), |task| task.title.clone())
    }

    fn product(&self, id: &str) -> String {
        self.base.knowledge().product(id).map_or(id.to_owned(), |product| product.name.clone())
    }

    fn nights(&self) -> Vec<ColdNight> {
        let low = |visit: &Visit| {
            let one = visit.readings.iter().find(|reading| reading.fact == "air.low_past")?;
            one.value.number().filter(|low| *low <= 0.0)
        };
        let mut cold: Vec<(f64, &Visit)> =
            self.visits.iter().filter_map(|visit| Some((low(visit)?, visit))).collect();
        cold.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.at.cmp(&b.1.at)));
        let night = |(low, visit): &(f64, &Visit)| ColdNight {
            day: visit.at.time().format("%a %-d %b %Y").to_string(),
            low: self.one("air.low_past", *low),
            water: visit
                .readings
                .iter()
                .find(|reading| reading.fact == "water.temperature")
                .and_then(|reading| reading.value.number())
                .map(|water| self.one("water.temperature", water))
                .unwrap_or_default(),
            protected: self.protected(visit),
        };
        cold.iter().take(NIGHTS).map(night).collect()
    }

    /// What the log and the profile say stood between the pool and the frost; nothing is made up.
    fn protected(&self, visit: &Visit) -> String {
        let profile = |name: &str| {
            let entry = self.profile.iter().find(|entry| entry.name == name)?;
            self.shown(name, entry.value.as_ref()?)
        };
        let is = |name: &str, word: &str| {
            let held = self.profile.iter().find(|entry| entry.name == name);
            matches!(held.and_then(|entry| entry.value.as_ref()), Some(Held::Word(said)) if said == word)
        };
        let mut by = Vec::new();
        if says(visit, "pump.running", "yes") {
            by.push("pump running".to_owned());
        }
        if says(visit, "heater.running", "yes") {
            by.push("heater running".to_owned());
        }
        if is("freeze_sensor.fitted", "yes") {
            by.push("freeze sensor".to_owned());
        }
        if self.profile.iter().any(|e| e.name == "cover.kind") && !is("cover.kind", "none") {
            by.extend(profile("cover.kind"));
        }
        if self.profile.iter().any(|e| e.name == "heater.kind") && !is("heater.kind", "none") {
            by.extend(profile("heater.kind"));
        }
        if by.is_empty() { "the log does not say".to_owned() } else { by.join(", ") }
    }

    fn treatments(&self) -> Vec<(String, String, String)> {
        let mut sums: BTreeMap<(String, String), (f64, usize)> = BTreeMap::new();
        for one in self.visits.iter().flat_map(|visit| &visit.additions) {
            let sum = sums.entry((one.product.clone(), one.unit.clone())).or_default();
            sum.0 += one.amount;
            sum.1 += 1;
        }
        let row = |((product, name), (sum, times)): ((String, String), (f64, usize))| {
            let amount = amount_words(sum, &name, self.units);
            (self.product(&product), amount, times.to_string())
        };
        sums.into_iter().map(row).collect()
    }

    fn told(&self, visit: &Visit) -> ReportVisit {
        let readings = visit.readings.iter().filter_map(|one| self.shown(&one.fact, &one.value));
        let added = visit
            .additions
            .iter()
            .map(|one| format!("{} {}", one.given, self.product(&one.product)));
        let done = visit.tasks.iter().map(|id| self.task(id));
        ReportVisit {
            day: visit.at.time().format("%-d %b %Y").to_string(),
            who: visit.who.clone(),
            readings: readings.collect::<Vec<_>>().join(", "),
            added: added.collect::<Vec<_>>().join(", "),
            done: done.collect::<Vec<_>>().join("; "),
            photos: visit.photos.join(", "),
            note: visit.note.clone(),
        }
    }
}
