//! `brumal night` as its users run it.

use super::{answered, brumal, ended, home};
use serde_json::Value;

const FORECAST: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference");

#[test]
fn a_stated_low_is_planned_and_drawn() {
    let text = answered(
        &[
            "night",
            "--low",
            "19F",
            "--high",
            "34F",
            "--wind",
            "15",
            "--no-log",
            "--pool",
            "Quarry Lane 9",
        ],
        b"",
    );
    assert!(text.starts_with("Quarry Lane 9: NOW\n"), "{text}");
    for part in [
        "Lowest 19 °F",
        "BEFORE BED",
        "AT FIRST LIGHT",
        "return pipe          ",
        "part                 ice from",
        "TAKE CARE",
        "Never step on a frozen or covered pool",
        "frost",
        "Taken for granted: a typical pad",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let chart = text.lines().skip_while(|line| !line.contains("the night ahead"));
    let chart: Vec<&str> = chart.take(18).collect();
    assert_eq!(chart.len(), 18, "{text}");
    assert!(chart.iter().all(|line| line.chars().count() <= 60), "{text}");
}

#[test]
fn a_round_is_sorted_worst_first_and_held_to_the_contract() {
    let home = home("night-round");
    let (forecast, pools) = (home.join("tonight.csv"), home.join("round.json"));
    let mut rows = "time,temp_f,wind_mph\n".to_owned();
    for hour in 0..24 {
        let (day, clock) = if hour < 18 { (14, hour + 6) } else { (15, hour - 18) };
        rows += &format!("2026-01-{day}T{clock:02}:00,{},12\n", 36 - hour);
    }
    std::fs::write(&forecast, rows).unwrap();
    std::fs::write(
        &pools,
        r#"{"schema": "brumal.pools/1", "pools": [
        {"name": "Drained", "facts": {"plumbing.drained": true}},
        {"name": "Guarded", "facts": {"freeze_sensor.fitted": true, "freeze_sensor.tested": true,
         "freeze_sensor.setpoint": 4.4, "water.temperature": 9}},
        {"name": "Bare", "facts": {"freeze_sensor.fitted": false, "water.temperature": 4}}]}"#,
    )
    .unwrap();
    let (forecast, pools) = (forecast.to_str().unwrap(), pools.to_str().unwrap());
    let args = ["night", "--forecast", forecast, "--pools", pools, "--format", "json"];
    let json: Value = serde_json::from_str(&answered(&args, b"")).unwrap();
    assert_eq!(json["schema"], "brumal.night/1");
    let list = json["pools"].as_array().unwrap();
    let names: Vec<_> = list.iter().map(|pool| pool["pool"].as_str().unwrap()).collect();
    assert_eq!(names, ["Bare", "Guarded", "Drained"]);
    let bare = &list[0];
    assert_eq!(bare["urgency"], "now");
    // 36 °F at 06:00 falling 1 °F an hour: 32 °F at 10:00, 13 °F at 05:00.
    assert_eq!(bare["freezing"][0]["from"], "2026-01-14T10:00:00-05:00");
    assert_eq!(bare["freezing"][0]["hours"], 20.0);
    assert!((bare["lowest"].as_f64().unwrap() + 10.56).abs() < 0.01);
    for key in ["pump", "heater", "if_stopped", "actions", "cautions"] {
        assert!(!bare[key].is_null(), "{key}");
    }
    let part = &bare["if_stopped"][1];
    assert!(part["low_h"].as_f64() <= part["cool_h"].as_f64());
    assert!(part["cool_h"].as_f64() <= part["high_h"].as_f64());
    let status = brumal(&[&args[..], &["--exit-code"]].concat()).output().unwrap().status;
    assert_eq!(status.code(), Some(10));
    let calm = ["night", "--low", "50F", "--exit-code", "--no-log"];
    assert_eq!(ended(&calm, b"").0, 0);
}

#[test]
fn what_is_no_forecast_ends_in_a_reason() {
    let old = format!("{FORECAST}/weather_airport_2013_shared.csv");
    let (status, out, told) =
        ended(&["night", "--forecast", &old, "--zone", "America/New_York", "--no-log"], b"");
    assert_eq!((status, out.as_str()), (1, ""));
    assert!(told.contains("lies in the past: its last hour is 2013-12-30 18:00"), "{told}");
    for (input, said) in [
        (&b"date,low,high\n2026-01-14,19,34\n"[..], "a low and high for each day"),
        (b"hello there\n", "is not a table of hours"),
        (b"\x00\x01", "is not text"),
        (b"", "is empty"),
    ] {
        let (status, _, told) = ended(&["night", "--forecast", "-", "--no-log"], input);
        assert!(status == 1 && told.contains(said), "{said}: {told}");
    }
    assert_eq!(ended(&["night", "--no-log"], b"").0, 2);
    assert_eq!(ended(&["night", "--low", "cold", "--no-log"], b"").0, 2);
}

#[test]
fn a_typical_year_stands_for_this_one_and_the_chart_is_a_picture() {
    let home = home("night-chart");
    let (year, chart) = (format!("{FORECAST}/weather_typical_year.epw"), home.join("night.svg"));
    let chart_name = chart.to_str().unwrap();
    let text = answered(&["night", "--forecast", &year, "--chart", chart_name, "--no-log"], b"");
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("the file's year taken for 2026"), "{text}");
    let svg = std::fs::read_to_string(&chart).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("<title>the pool: the night ahead"));
}

/// What `pool list` writes is what `--pools` reads, places and all.
#[test]
fn the_round_of_the_demo_is_planned_from_the_list_of_its_pools() {
    let folder = home("night-demo-round");
    std::fs::create_dir_all(&folder).unwrap();
    let (log, list) = (folder.join("demo.sqlite"), folder.join("round.json"));
    let (log, list) = (log.to_str().unwrap(), list.to_str().unwrap());
    let _ = std::fs::remove_file(log);
    assert_eq!(ended(&["demo", "--logbook", log], b"").0, 0);
    let pools = answered(&["pool", "list", "--logbook", log, "--format", "json"], b"");
    assert!(pools.contains("place.latitude"), "{pools}");
    std::fs::write(list, &pools).unwrap();
    let night = ["night", "--low", "12F", "--high", "25F", "--at", "2026-01-14T16:00:00-05:00"];
    let text = answered(&[&night[..], &["--no-log", "--pools", list]].concat(), b"");
    for pool in ["Beacon Terrace", "Mill Race Lodge"] {
        assert!(text.contains(pool), "{pool}: {text}");
    }
}

/// What cannot be is refused with its bounds: air, wind, a high below the low, a pool without water.
#[test]
fn what_cannot_be_is_refused_with_the_reason() {
    let at = ["night", "--no-log", "--at", "2026-01-14T17:30:00-05:00"];
    for (given, told) in [
        (&["--low=-200F"][..], "cannot be"),
        (&["--low=19F", "--wind=-5 mph"][..], "cannot be"),
        (&["--low=60F", "--high=20F"][..], "a high of `20F` is below a low of `60F`"),
        (&["--low=19F", "--fact", "pool.volume=0"][..], "pool volume of `0` cannot be"),
    ] {
        let (status, _, why) = ended(&[&at[..], given].concat(), b"");
        assert_eq!(status, 2, "{given:?}: {why}");
        assert!(why.contains(told), "{given:?}: {why}");
    }
}

/// Nobody knows whether the hours freeze that a forecast does not reach: neither frost nor warmth by then says so.
#[test]
fn a_forecast_that_ends_before_the_night_does_is_said_to() {
    let short = "ends before the night does";
    for (air, hours, early) in [(28, 3, true), (50, 3, true), (28, 24, false), (50, 24, false)] {
        let mut rows = "time,temp_f\n".to_owned();
        for hour in 0..hours {
            rows.push_str(&format!(
                "2026-12-{}T{:02}:00,{air}\n",
                20 + (16 + hour) / 24,
                (16 + hour) % 24
            ));
        }
        let at = ["--at", "2026-12-20T16:00:00-05:00", "--no-log"];
        let text = answered(&[&["night", "--forecast", "-"], &at[..]].concat(), rows.as_bytes());
        let plain = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(plain.contains(short), early, "{air} °F for {hours} h: {text}");
        assert!(!early || !text.starts_with("the pool: INFO"), "{text}");
    }
}
