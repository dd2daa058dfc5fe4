//! `brumal season` on real weather, against counts made with another tool.

use super::{answered, ended, home};
use serde_json::Value;

const FILES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference");

fn season(file: &str, more: &[&str]) -> Value {
    let file = format!("{FILES}/{file}");
    let mut args = vec!["season", "--weather", &file, "--zone", "America/New_York", "--no-log"];
    args.extend(["--format", "json"]);
    args.extend(more);
    serde_json::from_str(&answered(&args, b"")).unwrap()
}

#[test]
fn real_winters_run_through_and_their_energy_closes() {
    let text = std::fs::read_to_string(format!("{FILES}/weather_counts_shared.json")).unwrap();
    let counts: Value = serde_json::from_str(&text).unwrap();
    for (name, want) in counts["files"].as_object().unwrap() {
        let got = season(name, &["--fact", "heater.kind=gas", "--fact", "water.temperature=8"]);
        assert_eq!(got["schema"], "brumal.season/1");
        for key in [
            "hours",
            "missing_hours",
            "hours_at_or_below_4_4C",
            "hours_at_or_below_0C",
            "longest_freeze_h",
        ] {
            assert_eq!(got[key], want[key], "{name} {key}");
        }
        let lowest = got["lowest"].as_f64().unwrap() - want["lowest"].as_f64().unwrap();
        assert!(lowest.abs() < 0.01, "{name}");
        assert!(got["energy_error"].as_f64().unwrap() < 1e-6, "{name}: {}", got["energy_error"]);
        let kwh = |key: &str| got[key].as_f64().unwrap();
        assert!((kwh("heater_input_kwh") * 0.8 - kwh("heater_kwh")).abs() < 1.0, "{name}");
        // Held at 40 °F by a heater that is large enough.
        assert!(kwh("coldest_water") > 4.4, "{name}");
        assert!(["open", "close", "either"].contains(&got["verdict"].as_str().unwrap()));
    }
}

#[test]
fn covers_controls_and_prices_do_what_they_should() {
    let file = "weather_airport_2013_shared_jan_mar.csv";
    let heated = ["--fact", "heater.kind=electric"];
    let prices = ["--electricity", "0.2", "--close-cost", "100", "--outage-hours", "6"];
    let got = season(file, &[&heated[..], &prices[..]].concat());
    let covers = got["covers"].as_array().unwrap();
    let heat = |id: &str| {
        let cover = covers.iter().find(|cover| cover["cover"] == id).unwrap();
        cover["heater_kwh"].as_f64().unwrap()
    };
    // DOE and EPA: covers save 50 to 70 % of the heating of a warm pool; they save here too.
    assert!(heat("solid") < 0.8 * heat("none") && heat("solar") < heat("solid"), "{covers:?}");
    // A mesh stops half the evaporation and most of the sun: it need not save heat, but it saves water.
    let mm = |at: usize| covers[at]["evaporation_mm"].as_f64().unwrap();
    assert!(mm(3) < 0.65 * mm(0), "{covers:?}");
    assert_eq!(got["verdict"], "close");
    let stay = got["cost"]["stay_open"].as_f64().unwrap();
    let by_hand =
        0.2 * (got["pump_kwh"].as_f64().unwrap() + got["heater_input_kwh"].as_f64().unwrap());
    assert!((stay - by_hand).abs() < 0.1, "{stay} {by_hand}");
    // 2,158 hours: always on; below 40 °F as often as the other tool counts, gaps filled.
    assert_eq!(got["pump_hours_always"], 2158);
    assert_eq!(got["pump_hours_below_40F"], 1466);
    assert!(got["pump_hours_sensor"].as_u64() > got["pump_hours_below_40F"].as_u64());
    let slow = season(file, &["--fact", "pump.variable_speed=yes", "--control", "always"]);
    // Affinity laws: at 0.55 of full speed 0.05 + 1.45 × 0.55³ = 0.291 kW of 1.5.
    let ratio = slow["pump_kwh"].as_f64().unwrap() / slow["pump_full_speed_kwh"].as_f64().unwrap();
    assert!((ratio - 0.2912 / 1.5).abs() < 1e-3, "{ratio}");
}

#[test]
fn a_page_is_written_and_a_file_with_holes_is_refused() {
    let home = home("season-page");
    let page = home.join("winter.html");
    let file = format!("{FILES}/weather_airport_2013_shared.csv");
    let text = answered(
        &[
            "season",
            "--weather",
            &file,
            "--zone",
            "America/New_York",
            "--no-log",
            "--pool",
            "<Quarry>",
            "--out",
            page.to_str().unwrap(),
        ],
        b"",
    );
    assert!(text.contains("PUMP ENERGY BY SPEED") && text.contains("WHAT WOULD TIP IT"), "{text}");
    let html = std::fs::read_to_string(&page).unwrap();
    assert!(html.contains("<svg") && html.contains("&lt;Quarry&gt;") && !html.contains("<Quarry>"));
    let mut holes = "time,temp_f\n".to_owned();
    for hour in (0..6).chain(18..24) {
        holes += &format!("2026-01-14T{hour:02}:00,30\n");
    }
    let (status, _, told) = ended(&["season", "--weather", "-", "--no-log"], holes.as_bytes());
    assert!(
        status == 1 && told.contains("12 hours, from 2026-01-14 06:00 to 2026-01-14 17:00"),
        "{told}"
    );
}
