//! Real weather files against counts made with another tool (pandas; tests/reference/README_weather.md
//! holds the conventions), the almanac, and every kind of file that is no forecast.

use std::io::BufReader;

use brumal::clock::Moment;
use brumal::weather::{
    Options, Series, Site, Stated, clear_sky_w_m2, counts, hourly_curve, read, sine_of_elevation,
    sun_times,
};
use chrono::{FixedOffset, NaiveDate, Timelike as _};

fn options(zone: Option<&str>) -> Options {
    Options {
        zone: zone.map(|name| name.parse().unwrap()),
        offset: FixedOffset::west_opt(5 * 3600).unwrap(),
        us_habit: true,
    }
}

fn file(name: &str) -> Series {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    let input = BufReader::new(std::fs::File::open(path).unwrap());
    let read = read(name, input, &options(Some("America/New_York")));
    assert!(read.problems.is_empty(), "{:?}", read.problems);
    read.value
}

fn text(content: &str) -> (Series, Vec<String>) {
    let read = read("it.csv", content.as_bytes(), &options(None));
    let said = read.problems.iter().map(ToString::to_string).collect();
    (read.value, said)
}

#[test]
fn counts_are_those_of_the_other_tool() {
    let path = format!("{}/tests/reference/weather_counts_shared.json", env!("CARGO_MANIFEST_DIR"));
    let json: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let files = json["files"].as_object().unwrap();
    assert_eq!(files.len(), 4);
    for (name, want) in files {
        let got = counts(&file(name));
        let number = |key: &str| usize::try_from(want[key].as_u64().unwrap()).unwrap();
        assert_eq!(got.hours, number("hours"), "{name}");
        assert_eq!(got.missing_hours, number("missing_hours"), "{name}");
        assert_eq!(got.at_or_below_4_4c, number("hours_at_or_below_4_4C"), "{name}");
        assert_eq!(got.at_or_below_0c, number("hours_at_or_below_0C"), "{name}");
        assert_eq!(got.periods, number("periods"), "{name}");
        assert_eq!(got.longest_gap_h, number("longest_gap_h"), "{name}");
        let spell = got.longest_freeze.unwrap();
        assert_eq!(spell.hours, number("longest_freeze_h"), "{name}");
        let (lowest, at) = got.lowest.unwrap();
        assert!((lowest - want["lowest"].as_f64().unwrap()).abs() < 0.005, "{name} {lowest}");
        if name.ends_with(".csv") {
            assert_eq!(spell.from.to_rfc3339(), want["longest_freeze_from"], "{name}");
            assert_eq!(spell.to.to_rfc3339(), want["longest_freeze_to"], "{name}");
            assert_eq!(at.to_rfc3339(), want["lowest_at"], "{name}");
        } else {
            let shown = |at: chrono::DateTime<FixedOffset>| {
                format!("{} hour {}", at.format("%m-%d"), at.hour())
            };
            assert_eq!(shown(spell.from), want["longest_freeze_from"], "{name}");
            assert_eq!(shown(spell.to), want["longest_freeze_to"], "{name}");
            assert_eq!(shown(at), want["lowest_at"], "{name}");
        }
    }
}

#[test]
fn short_gaps_are_filled_as_the_other_tool_fills_them() {
    for (name, cold, freezing) in [
        ("weather_airport_2013_shared.csv", 2164, 924),
        ("weather_airport_2013_shared_jan_mar.csv", 1466, 645),
    ] {
        let (filled, hours) = file(name).filled().unwrap();
        let got = counts(&filled);
        assert_eq!(got.missing_hours, 0);
        assert_eq!(hours, counts(&file(name)).missing_hours, "{name}");
        assert_eq!((got.at_or_below_4_4c, got.at_or_below_0c), (cold, freezing), "{name}");
    }
}

#[test]
fn the_clock_goes_forward_and_back() {
    let (spring, said) = {
        let read = read(
            "dst.csv",
            "time,temp_f\n2013-03-10T01:00,30\n2013-03-10T02:00,31\n2013-03-10T03:00,32\n"
                .as_bytes(),
            &options(Some("America/New_York")),
        );
        (read.value, read.problems)
    };
    assert_eq!(counts(&spring).hours, 2);
    assert_eq!(said[0].place.as_ref().unwrap().line, 3);
    assert!(said[0].message.contains("does not exist"), "{}", said[0].message);
    let autumn = read(
        "dst.csv",
        "time,temp_f\n2013-11-03T00:00,40\n2013-11-03T01:00,39\n2013-11-03T01:00,38\n2013-11-03T02:00,37\n"
            .as_bytes(),
        &options(Some("America/New_York")),
    );
    assert_eq!(counts(&autumn.value).hours, 4);
    assert!(autumn.problems.is_empty());
}

#[test]
fn columns_are_found_whatever_they_are_called() {
    let want = -7.222;
    for content in [
        "time,temp_f\n2026-01-14 00:00,19\n2026-01-14 01:00,19\n",
        "\u{feff}time;Temperature (°C);Wind (km/h)\n2026-01-14T00:00;-7,222;10\n2026-01-14T01:00;-7,222;10\n",
        "date\ttime\ttemp F\n01/14/2026\t12:00 AM\t19\n01/14/2026\t1:00 AM\t19\n",
        "# exported\ndatetime,air_temperature\n2026-01-14T00:00:00-05:00,19 F\n2026-01-14T01:00:00-05:00,19 °F\n",
        "valid|tmpf|sknt\n2026011400|19|5\n2026011401|19|5\n",
        "date,hour,dew point f,temp c\n2026-01-14,0,10,-7.222\n2026-01-14,1,10,-7.222\n",
        "time,temp\n2026-01-14 00:00,19\n2026-01-14 01:00,19\n",
        "time,temp_f\r\n2026-01-14 00:00,19\r\n2026-01-14 01:00,19\r\n",
    ] {
        let (series, said) = text(content);
        assert!(said.is_empty(), "{content}: {said:?}");
        let air: Vec<f64> = series.hours().filter_map(|hour| hour.air_c).collect();
        assert_eq!(air.len(), 2, "{content}");
        assert!((air[0] - want).abs() < 0.01, "{content}: {air:?}");
        assert_eq!(series.span().unwrap().0.to_rfc3339(), "2026-01-14T00:00:00-05:00", "{content}");
    }
}

#[test]
fn what_is_no_forecast_is_told_plainly() {
    for (content, said) in [
        ("", "is empty"),
        ("   \n\n", "is empty"),
        ("<html><body>tonight</body></html>", "is a web page"),
        ("PK\u{3}\u{4}\u{0}\u{0}", "is not text"),
        (
            "dear all, see you tonight\nbye\n",
            "is not a table of hours: its first line is `dear all",
        ),
        ("time,pressure\n2026-01-14 00:00,1010\n", "is not a table of hours"),
        ("temp_f\n19\n", "is not a table of hours"),
        ("date,low,high\n2026-01-14,19,34\n", "holds a low and high for each day"),
        ("date,temp_f\n2026-01-14,19\n2026-01-15,20\n2026-01-16,21\n", "holds one value a day"),
        ("time,temp_f\nsoon,19\nlater,20\n", "holds no temperature"),
        ("{\"a\": 1}", "holds no list of hours"),
        ("{\"properties\": {\"periods\": [", "is not whole JSON"),
        ("time,temp_f\n", "holds no temperature"),
    ] {
        let (series, problems) = text(content);
        assert_eq!(series.hours().count(), 0, "{content}");
        assert!(problems[0].contains(said), "{content}: {problems:?}");
    }
}

/// One endless line, at the start or later, is refused at once and named; nothing of its size is kept.
#[test]
fn an_endless_line_is_refused() {
    for (line, content) in [
        (1, "no end ".repeat(100_000)),
        (3, format!("time,temp_f\n2026-01-14 00:00,19\n{}", "9".repeat(700_000))),
    ] {
        let (series, problems) = text(&content);
        assert_eq!(series.hours().count(), 0);
        assert!(problems[0].contains(&format!("line {line} is longer than 64 kB")), "{problems:?}");
        assert!(problems[0].len() < 300, "{problems:?}");
    }
}

/// °F and °C in one column: each cell with a unit of its own is read by it, and said with its line.
#[test]
fn mixed_units_are_read_cell_by_cell() {
    let (series, said) =
        text("time,temp\n2026-01-14 00:00,19 F\n2026-01-14 01:00,-7 C\n2026-01-14 02:00,20 F\n");
    let air: Vec<_> = series.hours().filter_map(|hour| hour.air_c).collect();
    // 19 °F = −7.22 °C, 20 °F = −6.67 °C by hand.
    for (got, want) in air.iter().zip([-7.222, -7.0, -6.667]) {
        assert!((got - want).abs() < 0.01, "{air:?} {said:?}");
    }
    assert_eq!(air.len(), 3, "{said:?}");
}

#[test]
fn bad_lines_are_named_and_the_rest_is_used() {
    let (series, said) = text(
        "time,temp_f\n2026-01-14 00:00,19\nnever,20\n2026-01-14 02:00,warm\n2026-01-14 03:00,4000\n2026-01-14 04:00,-9 C\n",
    );
    let all = said.join("\n");
    for part in [
        "it.csv:3:1: `never` is not a time",
        "it.csv:4:1: `warm` is no value",
        "it.csv:5:1: `4000` is no possible value",
        "it.csv:6:1: `-9 C` has another unit",
    ] {
        assert!(all.contains(part), "{part}: {all}");
    }
    let air: Vec<_> = series.hours().filter_map(|hour| hour.air_c).collect();
    assert_eq!(air.len(), 2);
    assert!((air[1] + 9.0).abs() < 1e-9);
}

#[test]
fn long_gaps_are_refused_with_their_dates_and_the_past_is_past() {
    let (series, _) = text(
        "time,temp_f\n2026-01-14 00:00,19\n2026-01-14 01:00,19\n2026-01-14 02:00,19\n2026-01-14 12:00,30\n2026-01-14 13:00,30\n2026-01-14 14:00,30\n",
    );
    let refused = series.filled().unwrap_err();
    assert!(
        refused[0].message.contains("9 hours, from 2026-01-14 03:00 to 2026-01-14 11:00"),
        "{}",
        refused[0].message
    );
    let later = Moment::parse("2026-01-15T06:00:00-05:00").unwrap();
    let past = series.ahead(later).unwrap_err();
    assert!(past.message.contains("lies in the past: its last hour is 2026-01-14 14:00"));
    let within = Moment::parse("2026-01-14T12:30:00-05:00").unwrap();
    assert_eq!(series.ahead(within).unwrap().len(), 3);
}

#[test]
fn public_forecast_json_is_read_in_its_shapes() {
    let periods = r#"{"geometry": {"coordinates": [-75.0, 40.0]}, "properties": {"periods": [
        {"startTime": "2026-01-14T18:00:00-05:00", "temperature": 30, "temperatureUnit": "F",
         "windSpeed": "5 to 10 mph", "relativeHumidity": {"unitCode": "wmoUnit:percent", "value": 60}},
        {"startTime": "2026-01-14T19:00:00-05:00", "temperature": 28, "temperatureUnit": "F", "windSpeed": "10 mph"}]}}"#;
    let (series, said) = text(periods);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(series.place, Some((40.0, -75.0)));
    let first = series.hours().next().unwrap();
    assert!((first.air_c.unwrap() + 1.111).abs() < 0.01);
    assert!((first.wind_m_s.unwrap() - 4.4704).abs() < 1e-6);
    assert_eq!(first.humidity, Some(0.6));
    let steps = r#"{"properties": {"timeseries": [
        {"time": "2026-01-14T18:00:00Z", "data": {"instant": {"details": {"air_temperature": -3.5,
         "wind_speed": 4.2, "relative_humidity": 80.0, "cloud_area_fraction": 50.0}}}},
        {"time": "2026-01-14T19:00:00Z", "data": {"instant": {"details": {"air_temperature": -4.0}}}}]}}"#;
    let (series, said) = text(steps);
    assert!(said.is_empty(), "{said:?}");
    let first = series.hours().next().unwrap();
    assert_eq!((first.air_c, first.wind_m_s, first.cloud), (Some(-3.5), Some(4.2), Some(0.5)));
    let celsius = periods.replace("\"temperatureUnit\": \"F\"", "\"temperatureUnit\": \"C\"");
    assert_eq!(text(&celsius).0.hours().next().unwrap().air_c, Some(30.0));
}

#[test]
fn sunrise_and_sunset_are_the_almanacs() {
    // Astronomical almanac data for New York City, 40.71° N 74.01° W (US Naval Observatory tables,
    // from memory, to the minute): 1 January 7:20 and 16:39; 21 June 5:25 and 20:31 (daylight time).
    let site = Site { latitude_deg: 40.71, longitude_deg: -74.01 };
    for (date, hours, rise, set) in [
        ((2026, 1, 1), -5, 7 * 60 + 20, 16 * 60 + 39),
        ((2026, 6, 21), -4, 5 * 60 + 25, 20 * 60 + 31),
    ] {
        let offset = FixedOffset::east_opt(hours * 3600).unwrap();
        let date = NaiveDate::from_ymd_opt(date.0, date.1, date.2).unwrap();
        let day = sun_times(site, date, offset).unwrap();
        let minutes =
            |at: chrono::DateTime<FixedOffset>| i64::from(at.num_seconds_from_midnight()) / 60;
        assert!((minutes(day.sunrise) - rise).abs() <= 2, "{day:?}");
        assert!((minutes(day.sunset) - set).abs() <= 2, "{day:?}");
        assert!(sine_of_elevation(site, day.sunrise).abs() < 0.02);
        assert!(clear_sky_w_m2(sine_of_elevation(site, day.sunrise)) < 1.0);
    }
    // Noon at midsummer: 90 − 40.71 + 23.44 = 72.73° high.
    let noon = Moment::parse("2026-06-21T12:58:00-04:00").unwrap().time();
    assert!((sine_of_elevation(site, noon).asin().to_degrees() - 72.73).abs() < 0.3);
    assert_eq!(
        sun_times(
            Site { latitude_deg: 80.0, longitude_deg: 0.0 },
            NaiveDate::from_ymd_opt(2026, 6, 21).unwrap(),
            FixedOffset::east_opt(0).unwrap()
        ),
        None
    );
}

#[test]
fn a_stated_low_and_high_become_hours() {
    let site = Site { latitude_deg: 40.0, longitude_deg: -75.0 };
    let at = Moment::parse("2026-01-14T20:10:00-05:00").unwrap();
    let stated =
        Stated { low_c: -7.2, high_c: Some(1.1), now_c: None, wind_m_s: Some(6.7), cloud: None };
    let series = hourly_curve(&stated, at, site);
    let hours: Vec<_> = series.hours().collect();
    assert_eq!(hours[0].at.to_rfc3339(), "2026-01-14T20:00:00-05:00");
    let lowest = counts(&series).lowest.unwrap();
    assert!((lowest.0 + 7.2).abs() < 0.3, "{lowest:?}");
    assert!((6..=8).contains(&lowest.1.hour()), "lowest about sunrise: {lowest:?}");
    let highest =
        hours.iter().skip(12).max_by(|a, b| a.air_c.partial_cmp(&b.air_c).unwrap()).unwrap();
    assert!((13..=15).contains(&highest.at.hour()), "highest in the afternoon: {highest:?}");
    assert!((highest.air_c.unwrap() - 1.1).abs() < 0.2);
    // The air now is where the night begins.
    let now = hourly_curve(&Stated { now_c: Some(-3.3), ..stated }, at, site);
    assert!((now.hours().next().unwrap().air_c.unwrap() + 3.3).abs() < 0.1);
    // Every hour between low and high, falling through the night.
    let night: Vec<f64> = hours.iter().take(10).map(|hour| hour.air_c.unwrap()).collect();
    assert!(night.windows(2).all(|pair| pair[1] <= pair[0] + 1e-9), "{night:?}");
    assert!(hours.iter().all(|h| (-7.21..=1.11).contains(&h.air_c.unwrap())));
}
