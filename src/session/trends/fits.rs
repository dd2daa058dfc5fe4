//! Chlorine, pH, acid, salt, cyanuric acid and the filter's gauge.

use super::{Ground, Trend, dosed, number, points};
use crate::knowledge::{Form, Product, capital};
use crate::logbook::{Fit, Held, Visit, robust_fit};
use crate::session::additions::amount_words;
use crate::units::{find_unit, show, trim_number};
use std::collections::BTreeMap;

impl Ground<'_> {
    /// Fall of free chlorine from one reading to the next, where none was added in between.
    pub(super) fn chlorine_use(&self) -> Option<Trend> {
        let family = self.base.knowledge().work.families.iter().find(|f| f.word == "chlorine")?;
        let changes = self.changes("water.free_chlorine", &family.products);
        let value = -self.sure_rate(&changes).filter(|rate| *rate < 0.0)?;
        let many = changes.len();
        Some(Trend {
            name: "chlorine_use",
            value,
            text: format!(
                "Free chlorine falls by about {value:.2} mg/L a day (middle of {many} stretches without a dose)."
            ),
            facts: vec![("trend.chlorine_use", Held::Number(value))],
        })
    }

    /// Rise of the filter's gauge since it was last cleaned.
    pub(super) fn filter_rise(&self) -> Option<Trend> {
        let rise_kpa = self.limits.filter_rise_kpa;
        let work = &self.base.knowledge().work;
        let cleaning: Vec<&str> = work
            .tasks
            .iter()
            .filter(|task| task.only.as_ref().is_some_and(|(fact, _)| fact == "filter.kind"))
            .map(|task| task.id.as_str())
            .collect();
        let cleans =
            |visit: &&&Visit| visit.tasks.iter().any(|task| cleaning.contains(&task.as_str()));
        let cleaned = self.visits.iter().rev().find(cleans)?;
        let since = self.visits.iter().copied().filter(|visit| visit.at > cleaned.at);
        let points = points(since, "filter.pressure", cleaned.at);
        let fit = robust_fit(&points).filter(|fit| fit.is_sure() && fit.slope > 0.0)?;
        let noted = self.profile.iter().find(|entry| entry.name == "filter.clean_pressure");
        let clean = noted.and_then(|entry| entry.value.as_ref()?.number()).unwrap_or(fit.at_zero);
        let due_days = (clean + rise_kpa - fit.at_zero) / fit.slope;
        let ahead = due_days - self.at.hours_since(cleaned.at) / 24.0;
        let kpa = find_unit("kPa")?;
        let week = show(fit.slope * 7.0, kpa, 1, self.units);
        let rise = show(rise_kpa, kpa, 0, self.units);
        let when = if ahead < 1.0 { "now".to_owned() } else { format!("in about {ahead:.0} days") };
        Some(Trend {
            name: "filter_rise",
            value: fit.slope,
            text: format!(
                "The filter's pressure rises by {week} a week since it was cleaned on {}; it reaches {rise} over the clean gauge {when}.",
                cleaned.at.time().format("%-d %B")
            ),
            facts: vec![("trend.filter_days", Held::Number(ahead.max(0.0)))],
        })
    }

    /// Drift of what only water itself carries away, since it was last put in.
    pub(super) fn dilution(
        &self,
        name: &'static str,
        fact: &str,
        products: &[&str],
    ) -> Option<Trend> {
        let products: Vec<String> = products.iter().map(|id| (*id).to_owned()).collect();
        let last = self.visits.iter().rev().find(|visit| dosed(visit, &products));
        let since = self.visits.iter().copied();
        let since: Vec<&Visit> =
            since.filter(|visit| last.is_none_or(|last| visit.at > last.at)).collect();
        let first = since.first()?.at;
        let points = points(since, fact, first);
        let fit = robust_fit(&points).filter(Fit::is_sure)?;
        let def = self.base.knowledge().vocabulary.def(fact)?;
        let month = fit.slope * 30.0;
        let share = (fit.at_zero > 0.0).then(|| -month / fit.at_zero * 100.0);
        let way = if month < 0.0 { "falls" } else { "rises" };
        let of_it = share.map(|share| format!(", {:.0} % of it", share.abs())).unwrap_or_default();
        let title = capital(&def.title);
        let mut facts = Vec::new();
        if let (Some(share), "salt") = (share.filter(|share| *share > 0.0), name) {
            facts.push(("trend.salt_loss", Held::Number(share)));
        }
        Some(Trend {
            name,
            value: fit.slope,
            text: format!(
                "{title} {way} by about {:.0} mg/L a month{of_it} ({} readings).",
                month.abs(),
                fit.points
            ),
            facts,
        })
    }

    /// Drift of pH between doses of what moves it.
    pub(super) fn ph_drift(&self) -> Option<Trend> {
        let changes = self.changes("water.ph", &self.limits.ph_products);
        let value = self.sure_rate(&changes)?;
        let way = if value > 0.0 { "rises" } else { "falls" };
        let many = changes.len();
        let week = trim_number(value.abs() * 7.0, 2);
        Some(Trend {
            name: "ph_drift",
            value,
            text: format!(
                "pH {way} by about {week} a week when left alone (middle of {many} stretches without a dose)."
            ),
            facts: Vec::new(),
        })
    }

    /// How much acid the water asks for: the robust slope of what went in, summed up, each product by itself.
    pub(super) fn acid_demand(&self) -> Option<Trend> {
        let knowledge = self.base.knowledge();
        let acids = self.limits.acid_products.iter().filter_map(|id| knowledge.product(id));
        let mut found: BTreeMap<usize, (&Product, f64)> = BTreeMap::new();
        for product in acids {
            if let Some((times, slope)) = self.summed_up(product) {
                found.insert(times, (product, slope));
            }
        }
        let (times, (product, value)) = found.pop_last()?;
        let unit = if product.form == Form::Liquid { "L" } else { "kg" };
        let week = amount_words(value * 7.0, unit, self.units);
        let percent = trim_number(product.usual_strength().percent, 2);
        Some(Trend {
            name: "acid_demand",
            value,
            text: format!(
                "The water asks for about {week} of {} ({percent} %) a week ({times} doses).",
                product.name
            ),
            facts: Vec::new(),
        })
    }

    /// How often a product went in, and how much of it a day at its usual strength.
    fn summed_up(&self, product: &Product) -> Option<(usize, f64)> {
        let usual = product.usual_strength().percent;
        let first = self.visits.first()?.at;
        let (mut times, mut sum) = (0, 0.0);
        let mut sums = Vec::new();
        for visit in &self.visits {
            for one in visit.additions.iter().filter(|one| one.product == product.id) {
                times += 1;
                sum += one.amount * one.percent.unwrap_or(usual) / usual;
            }
            // A visit at which nothing was even measured says nothing of what the water asked for.
            if number(visit, "water.ph").is_some() || !visit.additions.is_empty() {
                sums.push((visit.at.hours_since(first) / 24.0, sum));
            }
        }
        let fit = robust_fit(&sums).filter(|fit| fit.is_sure() && fit.slope > 0.0)?;
        self.enough(times).then_some((times, fit.slope))
    }
}
