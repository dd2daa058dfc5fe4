//! How people ask for a dose: `tests/cases/dose_asks.toml` through the conversation.

use brumal::clock::Moment;
use brumal::facts::Value;
use brumal::plan::{DosePlan, DoseWish};
use brumal::session::{Base, Session, Settings};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct File {
    ask: Vec<Ask>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ask {
    message: String,
    products: Option<Vec<String>>,
    #[serde(default)]
    gives: BTreeMap<String, f64>,
    #[serde(default)]
    reads: BTreeMap<String, f64>,
    replaces: Option<f64>,
    within: Option<f64>,
    #[serde(default = "yes")]
    wish: bool,
}

const fn yes() -> bool {
    true
}

fn asks() -> Vec<Ask> {
    let path = format!("{}/tests/cases/dose_asks.toml", env!("CARGO_MANIFEST_DIR"));
    toml::from_str::<File>(&std::fs::read_to_string(path).unwrap()).unwrap().ask
}

fn base() -> Base {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    Base::from_folder(&folder).unwrap()
}

fn planned(base: &Base, message: &str) -> DosePlan {
    let mut session = Session::new(base, Settings::default());
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    session.dose(Some(message), &DoseWish::default(), at).unwrap_or_else(|why| {
        panic!("{message}: {why:?}");
    })
}

/// What a reading may be off: half of what one measuring step does, and the last figure of the page.
fn slack(name: &str) -> f64 {
    match name {
        "water.ph" => 0.03,
        "water.free_chlorine" => 0.15,
        "water.salt" => 10.0,
        _ => 1.0,
    }
}

#[test]
fn what_people_ask_for_is_planned() {
    let base = base();
    let mut wrong = Vec::new();
    assert!(asks().iter().filter(|ask| ask.wish).count() >= 30, "the set is complete");
    for ask in asks().iter().filter(|ask| ask.wish) {
        let plan = planned(&base, &ask.message);
        let mut products: Vec<&str> = plan.steps.iter().map(|step| step.product.as_str()).collect();
        products.dedup();
        if ask.products.as_ref().is_some_and(|wanted| *wanted != products) {
            wrong.push(format!("{}: {products:?}", ask.message));
        }
        for (product, amount) in &ask.gives {
            let of = plan.steps.iter().filter(|step| step.product == *product);
            let sum: f64 = of.map(|step| step.amount.value).sum();
            if (sum / amount - 1.0).abs() > ask.within.unwrap_or(0.03) {
                wrong.push(format!("{}: {sum} of {product}, not {amount}", ask.message));
            }
        }
        for (name, value) in &ask.reads {
            let read = plan.after.iter().find(|reading| reading.name == *name);
            let read = read.map_or(f64::NAN, |reading| reading.value);
            if read.is_nan() || (read - value).abs() > slack(name) {
                wrong.push(format!("{}: {name} {read}, not {value}", ask.message));
            }
        }
        let share = plan.replace.first().map(|replace| replace.share);
        if let Some(wanted) = ask.replaces
            && !share.is_some_and(|share| (share - wanted).abs() < 0.01)
        {
            wrong.push(format!("{}: replaces {share:?}", ask.message));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A message that asks for no dose gets none, and no number of it is taken for a wish.
#[test]
fn what_nobody_asks_for_is_not_planned() {
    let base = base();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let asks = asks();
    let idle: Vec<&Ask> = asks.iter().filter(|ask| !ask.wish).collect();
    assert!(idle.len() >= 4, "the set is complete");
    for ask in idle {
        let answer = Session::new(&base, Settings::default()).turn(&ask.message, at);
        let dose = answer.replies.iter().any(|reply| reply.heading == "dose");
        assert!(!dose, "{}", ask.message);
    }
}

/// Beside a computed plan nothing says otherwise: no step of the rules measures, raises or lowers again.
#[test]
fn one_voice_says_what_to_add() {
    let base = base();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let measured =
        ["weigh-the-dose", "raise-ph", "lower-ph", "raise-alkalinity", "lower-alkalinity"];
    for message in [
        "how much acid to get to 7.5? ph 8, alk 110, 18k gal, 31% acid",
        "what do I add? ph 7.0 alk 60 ch 150 water 44 plaster 15000 gal",
    ] {
        let answer = Session::new(&base, Settings::default()).turn(message, at);
        assert!(answer.replies.iter().any(|reply| reply.heading == "dose"), "{message}");
        for action in &answer.actions {
            assert!(!measured.contains(&action.id.as_str()), "{message}: {}", action.text);
        }
        assert!(answer.findings.iter().all(|f| f.id != "amounts-need-the-volume"), "{message}");
    }
}

/// A dose of chlorine that rules call for beside an acid plan is told to wait for it.
#[test]
fn chlorine_beside_an_acid_plan_waits() {
    let base = base();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let message =
        "ph 7.9 alk 90 ch 250 cya 20 fc .5, water 44, 20000 gal. how much acid to get to 7.5?";
    let answer = Session::new(&base, Settings::default()).turn(message, at);
    let chlorine = answer.actions.iter().find(|action| action.id == "raise-free-chlorine").unwrap();
    assert!(
        chlorine.text.starts_with("No sooner than 4 h after the muriatic acid"),
        "{}",
        chlorine.text
    );
}

/// Chlorine that is to burn off algae is not held back in the same breath, and no water is foretold without it.
#[test]
fn chlorine_that_burns_off_is_not_held_back() {
    let base = base();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let message = "algae on the walls, fc 1 tc 1 ph 7.5 alk 100 ch 250 cya 30 water 60, 18000 gal plaster, liquid chlorine on hand";
    let answer = Session::new(&base, Settings::default()).turn(message, at);
    let called = |id: &str| answer.actions.iter().find(|action| action.id == id);
    assert!(called("oxidize").is_some());
    let product = called("use-liquid-chlorine").unwrap();
    assert!(product.text.contains("take the liquid"), "{}", product.text);
    let told = answer.replies.iter().filter(|reply| reply.heading == "dose");
    assert!(told.flat_map(|reply| &reply.lines).all(|line| !line.starts_with("after:")));
}

/// A plain report with a volume gets the amounts in the steps that rules call for.
#[test]
fn a_report_with_a_volume_carries_the_amounts() {
    let base = base();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let message = "ph 7.1 alk 60 ch 250 water 42, 12,000 gallons plaster";
    let answer = Session::new(&base, Settings::default()).turn(message, at);
    let raise = answer.actions.iter().find(|action| action.id == "raise-alkalinity").unwrap();
    assert!(
        raise.text.contains("lb") && raise.text.contains("sodium bicarbonate"),
        "{}",
        raise.text
    );
    let without = "ph 7.1 alk 60 ch 250 water 42, plaster";
    let answer = Session::new(&base, Settings::default()).turn(without, at);
    assert!(answer.questions.iter().any(|q| q.name == "pool.volume"), "{:?}", answer.questions);
}

/// A size becomes a volume, in `read` as in the chat.
#[test]
fn a_size_is_a_volume() {
    let base = base();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let message = "pool is 30 by 15, 5 ft deep average, ph 8 alk 100 water 50";
    let answer = Session::new(&base, Settings::default()).turn(message, at);
    let id = base.knowledge().vocabulary.find("pool.volume").unwrap();
    let volume = answer.read.iter().find(|fact| fact.id == id).unwrap();
    // 30 × 15 × 5 ft³, 28.317 L each.
    let Value::Number(litres) = volume.value else { panic!("{:?}", volume.value) };
    assert!((litres / (2250.0 * 28.316_85) - 1.0).abs() < 1e-4, "{litres}");
}
