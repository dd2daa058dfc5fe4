//! `dose`: plans and forecasts as the contract has them.

use super::{answered, ended};
use serde_json::Value;

fn json(arguments: &[&str]) -> Value {
    serde_json::from_str(&answered(arguments, b"")).unwrap()
}

const TEST: &str = "ph 7.9 alk 90 ch 200 water 44, 18000 gal";

#[test]
fn a_target_is_planned_and_reached() {
    let plan = json(&["dose", "--to", "water.ph=7.5", "--text", TEST, "--format", "json"]);
    assert_eq!(plan["schema"], "brumal.dose/1");
    assert_eq!(plan["before"]["water.ph"], 7.9);
    let step = &plan["steps"][0];
    assert_eq!((&step["product"], &step["order"]), (&"muriatic-acid".into(), &1.into()));
    assert_eq!(step["amount"]["unit"], "L");
    assert!(step["wait_h"].as_f64().unwrap() >= 4.0 && step["given"].is_string());
    let after = plan["after"]["water.ph"].as_f64().unwrap();
    assert!((after - 7.5).abs() < 0.02, "{after}");
    let index = plan["after"]["saturation_index"].as_f64().unwrap();
    assert!(index < plan["before"]["saturation_index"].as_f64().unwrap());
    assert!(
        plan["held_back"].is_array() && plan["cautions"].is_array() && plan["cites"].is_array()
    );
}

#[test]
fn an_addition_is_predicted_and_nothing_planned() {
    let add = "muriatic-acid 31.45 % 500 mL";
    let plan = json(&["dose", "--add", add, "--text", TEST, "--format", "json"]);
    assert_eq!(plan["steps"].as_array().unwrap().len(), 1);
    assert_eq!(plan["steps"][0]["amount"]["value"], 0.5);
    // 500 mL of 31.45 % acid are 5.00 mol: 250 g of CaCO3 in 68,137 L are 3.67 mg/L.
    let fall = 90.0 - plan["after"]["water.total_alkalinity"].as_f64().unwrap();
    assert!((fall - 3.67).abs() < 0.02, "{fall}");
}

#[test]
fn wrong_usage_and_impossible_values_are_refused() {
    for arguments in [
        &["dose", "--to", "water.ph"][..],
        &["dose", "--to", "water.hp=7.5"],
        &["dose", "--add", "fairy dust 2 lb"],
        &["dose", "--size", "blob 3 x 4 x 5 ft"],
        &["dose", "--fact", "pool.volume=0"],
        &["dose", "--fact", "pool.volume=1000000000"],
        &["dose", "--days", "-1"],
        &["dose", "--to", "water.ph=7.5", "--add", "2 lb soda ash"],
    ] {
        let (status, out, told) = ended(arguments, b"");
        assert_eq!(status, 2, "{arguments:?}: {told}");
        assert!(out.is_empty() && !told.is_empty(), "{arguments:?}");
    }
    let (status, _, told) = ended(&["dose", "--to", "water.ph=72"], b"");
    assert!(status == 1 && told.contains("cannot be"), "{told}");
}

#[test]
fn the_chat_answers_how_much_and_what_if_i_add() {
    let acid = answered(
        &["ask", "ph 7.9 alk 90 ch 200 water 44 18000 gal, how much acid to get to 7.5?"],
        b"",
    );
    // By PHREEQC 3.7.3 (phreeqc.dat): 22 fl oz of 31.45 % in all leave pH 7.503, 21 leave 7.516.
    assert!(acid.contains("11 fl oz muriatic acid") && acid.contains("Portion 2 of 2"), "{acid}");
    let soda = answered(
        &["ask", "ph 7.2 alk 90 ch 200 water 44 18000 gal, what if I add 2 lb of soda ash?"],
        b"",
    );
    // By the same program: pH 7.464 without salt, as nothing was said of any.
    assert!(soda.contains("2 lb soda ash") && soda.contains("pH 7.46"), "{soda}");
    let dry = answered(
        &["ask", "ph 8.2 alk 120 water 50 10000 gal. I've only got dry acid, how much do I need?"],
        b"",
    );
    assert!(dry.contains("dry acid (93 %)"), "{dry}");
}

/// What answers the plan's question, or says what is on the van, is no new message: the plan goes on with it.
#[test]
fn the_plan_that_was_asked_for_goes_on_with_the_volume_and_the_van() {
    let said = b"how much acid to get to 7.5? ph 7.9 alk 110 ch 220 water 46 plaster\n17500 gal\n\
        ive only got dry acid\nits 28 out now, pump running\n15000 gal\n";
    let told = answered(&["--no-log"], said);
    let plans: Vec<&str> = told.split("DOSE\n").skip(1).collect();
    assert_eq!(plans.len(), 3, "{told}");
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    // By PHREEQC (VIPhreeqc in phreeqpython 1.6.2, phreeqc.dat): this water comes to pH 7.5 with 7.638 mol of strong acid in
    // 17,500 gal: 25.8 fl oz of 31.45 % HCl (1.16 kg/L, 36.461 g/mol), or 34.8 oz of 93 % NaHSO4 (120.06 g/mol).
    assert!(plain(plans[1]).contains("13 fl oz muriatic acid (31.45 %). Portion 1 of 2"), "{told}");
    assert!(plain(plans[2]).contains("1 lb 1 oz dry acid (93 %). Portion 1 of 2"), "{told}");
    // Another matter came between: the wish for acid is over, and the last volume plans nothing (three plans in all).
}
