//! The cold in conversation: a stated night is planned as `brumal night` plans it, the night after a failure is
//! reconstructed, and "how long have I got?" is answered part by part.

use crate::cli::answered;
use serde_json::Value;

const MORNING: &str = "2026-01-14T07:00:00-05:00";
const EVENING: &str = "2026-01-14T17:30:00-05:00";

fn ask(message: &str, at: &str) -> Value {
    let text = answered(&["ask", message, "--at", at, "--no-log", "--format", "json"], b"");
    serde_json::from_str(&text).unwrap()
}

fn fact(answer: &Value, name: &str) -> Option<f64> {
    let facts = answer["facts"].as_array().unwrap();
    facts.iter().find(|fact| fact["name"] == name)?["value"].as_f64()
}

/// The lines under a heading.
fn told(answer: &Value, heading: &str) -> String {
    let replies = answer["replies"].as_array().unwrap();
    let reply = replies.iter().find(|reply| reply["heading"] == heading);
    let lines = reply.map_or(&[][..], |reply| reply["lines"].as_array().unwrap());
    lines.iter().map(|line| line.as_str().unwrap()).collect::<Vec<_>>().join("\n")
}

/// The forms in which people tell tonight's low, tomorrow's high and the wind: °C, °C, m/s by hand.
#[test]
fn a_night_is_told_in_many_forms() {
    for (message, low, high, wind) in [
        ("tonight 19, tomorrow 34, wind 15", -7.22, 1.11, 6.71),
        ("low 19 tonight, high 34 tomorrow, wind 15 mph", -7.22, 1.11, 6.71),
        ("lo tonite 19, hi tomorow 34, 15mph wind", -7.22, 1.11, 6.71),
        ("19 tonight, 34 tomorrow, wind 15", -7.22, 1.11, 6.71),
        ("tonight -7C, tomorrow 1C, wind 25 km/h", -7.0, 1.0, 6.94),
        ("tonite minus 7 tomorow 1 C, wind 25 kmh", -7.0, 1.0, 6.94),
        ("forecast low 23F, high of 40F, wind 10 kn", -5.0, 4.44, 5.14),
    ] {
        let answer = ask(message, EVENING);
        for (name, expected) in
            [("air.low_ahead", low), ("air.high_ahead", high), ("wind.speed", wind)]
        {
            let got = fact(&answer, name).unwrap_or(f64::NAN);
            assert!((got - expected).abs() < 0.02, "{message}: {name} is {got}, not {expected}");
        }
        assert!(told(&answer, "tonight").contains("Pump: "), "{message}: {answer}");
    }
    // The colder of two nights is what to plan for; a value taken back is no second one.
    assert!(
        (fact(&ask("low tonight 22F, tomorrow 15F", EVENING), "air.low_ahead").unwrap() + 9.44)
            .abs()
            < 0.02
    );
    // A low stays a low beside a colder one; it is a high only where it is said to be one of the day.
    for (message, low, high) in [
        ("low tonight 22F, tomorrow 15F", 15.0, None),
        ("tonight 22, tomorrow 15", 15.0, None),
        ("low 22 tonight, low 15 tomorrow night", 15.0, None),
        ("low of 28 tomorrow, 15 tonight", 15.0, None),
        ("low tonight 15F, tomorrow 22F", 15.0, Some(22.0)),
        ("low tonight 22, tomorrow 15, high 34", 15.0, Some(34.0)),
        ("tonight 19, 34 by day", 19.0, Some(34.0)),
    ] {
        let answer = ask(message, EVENING);
        let near = |name: &str, told: f64| {
            fact(&answer, name).is_some_and(|got| (got - (told - 32.0) / 1.8).abs() < 0.02)
        };
        assert!(near("air.low_ahead", low), "{message}: {answer}");
        match high {
            Some(high) => assert!(near("air.high_ahead", high), "{message}: {answer}"),
            None => assert_eq!(fact(&answer, "air.high_ahead"), None, "{message}"),
        }
    }
    let corrected = ask("tonight 19, sorry, 17", EVENING);
    assert!((fact(&corrected, "air.low_ahead").unwrap() + 8.33).abs() < 0.02, "{corrected}");
    assert_eq!(fact(&corrected, "air.high_ahead"), None);
}

/// "In chat … gives the same": the words of the plan are those of `brumal night`.
#[test]
fn the_chat_plans_a_night_as_the_command_does() {
    for (low, high, wind, at) in
        [("19", "34", "15", EVENING), ("12", "30", "5", EVENING), ("27", "41", "20", MORNING)]
    {
        let message = format!("tonight {low}, tomorrow {high}, wind {wind}");
        let chat = told(&ask(&message, at), "tonight");
        let (low, high) = (format!("{low}F"), format!("{high}F"));
        let args =
            ["night", "--low", &low, "--high", &high, "--wind", wind, "--at", at, "--no-log"];
        // A wide sheet, so that a line of the plan is a line.
        let night = answered(&args, b"");
        let flat: String = night.split_whitespace().collect::<Vec<_>>().join(" ");
        let lines: Vec<&str> = chat.lines().collect();
        assert!(lines.len() >= 4, "{chat}");
        for line in lines.iter().filter(|line| !line.starts_with("If the water stops")) {
            assert!(flat.contains(line), "{line}\n{night}");
        }
    }
}

/// Said in the morning, "tonight" is the night to come and not the last minutes of the one just over.
#[test]
fn tonight_in_the_morning_is_the_night_to_come() {
    let plan = told(&ask("tonight 19, tomorrow 34, wind 15", MORNING), "tonight");
    assert!(plan.contains("Lowest 19 °F at Thu 07:00"), "{plan}");
    let before_dawn = told(&ask("low tonight 19", "2026-01-14T02:00:00-05:00"), "tonight");
    assert!(before_dawn.contains("at Wed 07:00"), "{before_dawn}");
}

/// The night after a failure, in the forms in which it is told: hours, air then and now (°C) by hand.
#[test]
fn a_failed_night_is_reconstructed_from_what_is_said() {
    for (message, then, now, hours) in [
        ("pump off since about 3, was 26 falling to 19", -3.33, -7.22, 4.0),
        ("pmup off since abuot 3, was 26 faling to 19", -3.33, -7.22, 4.0),
        ("fell from 26 to 19 since the pump quit at 3", -3.33, -7.22, 4.0),
        ("pump quit 4 hours ago, was -3C falling to -7C", -3.0, -7.0, 4.0),
        ("pump off 5 hours, air went from 30 down to 18", -1.11, -7.78, 5.0),
        ("pump off since 2, -4C then, -9C now", -4.0, -9.0, 5.0),
    ] {
        let answer = ask(message, MORNING);
        let got = |name: &str| fact(&answer, name).unwrap_or(f64::NAN);
        assert!((got("air.at_stop") - then).abs() < 0.02, "{message}: {answer}");
        assert!((got("air.temperature") - now).abs() < 0.02, "{message}: {answer}");
        assert!((got("pump.stopped_for") - hours).abs() < 0.02, "{message}: {answer}");
        let told = told(&answer, "after the stop");
        assert!(told.contains("Treat as frozen: pressure gauge"), "{message}: {told}");
        assert!(told.contains("Drain in this order, what freezes first: pressure gauge"), "{told}");
        assert!(told.contains("don't start the pump"), "{told}");
    }
    // Water that cools is no air.
    let water = ask("pump off since 3am, water was 50 falling to 44", MORNING);
    assert_eq!(fact(&water, "air.at_stop"), None, "{water}");
}

/// A short stop in mild frost leaves parts that are liquid for sure; the order is that of freezing.
#[test]
fn what_is_liquid_for_sure_is_said_with_the_time_it_has() {
    let answer = ask("pump off 20 minutes, 30F out, wind 2 mph, water 50F", MORNING);
    let told = told(&answer, "after the stop");
    let liquid = told.lines().find(|line| line.starts_with("Still liquid for sure")).unwrap();
    assert!(liquid.contains("filter tank (for ") && liquid.contains("more)"), "{told}");
    let order = told.lines().find(|line| line.starts_with("Drain in this order")).unwrap();
    let at = |part: &str| order.find(part).unwrap();
    assert!(at("pressure gauge") < at("exposed return pipe"), "{order}");
    assert!(at("exposed return pipe") < at("filter tank"), "{order}");
}

#[test]
fn how_long_is_answered_part_by_part_with_a_band() {
    let answer = ask("25F out, wind 8 mph, water 44. how long have I got if it quits?", EVENING);
    let first = told(&answer, "how long");
    assert!(first.contains("If the water stops now, at 25 °F"), "{answer}");
    for part in ["pressure gauge", "exposed return pipe", "pump pot", "filter tank"] {
        let line = first.lines().find(|line| line.starts_with(part)).unwrap();
        assert!(line.contains("min") || line.contains(" h"), "{line}");
    }
    let pipe = first.lines().find(|line| line.starts_with("exposed return pipe")).unwrap();
    assert!(pipe.contains("(") && pipe.contains("-") && pipe.contains("blocked in"), "{pipe}");
    assert!(first.contains("Estimates, not promises"), "{first}");
    for way in ["how long do I have", "how much time have i got?", "when will the pipes freeze"] {
        let answer = ask(&format!("pump stopped 10 min ago, 25 out. {way}"), EVENING);
        assert!(told(&answer, "how long").contains("From now, at 25 °F"), "{way}: {answer}");
    }
    // Above freezing there is no hurry, and that is said.
    let mild = told(&ask("45F out, how long have I got?", EVENING), "how long");
    assert!(mild.contains("nothing freezes"), "{mild}");
}

/// A sentence that calls ice safe to be on; `denied` are the words that turn it into a warning.
fn calls_ice_safe(sentence: &str) -> bool {
    let low = sentence.to_lowercase();
    let words: Vec<&str> = low.split(|c: char| !c.is_alphanumeric() && c != '\'').collect();
    let any = |list: &[&str]| words.iter().any(|word| list.contains(word));
    let ice = any(&["ice", "sheet", "frozen"]);
    let being_on = [
        "safe",
        "safely",
        "bear",
        "bears",
        "carry",
        "carries",
        "walk",
        "walking",
        "stand on",
        "standing on",
        "step on",
        "skate",
        "thick enough",
        "hold you",
        "holds you",
    ];
    let on = being_on.iter().any(|phrase| match phrase.contains(' ') {
        true => low.contains(phrase),
        false => any(&[phrase]),
    });
    let denied = any(&[
        "no", "not", "never", "nobody", "off", "don't", "doesn't", "isn't", "cannot", "can't",
        "must",
    ]);
    ice && on && !denied
}

/// Every text that a user may be shown: the notes without the questions they answer, what knowledge puts as text, and
/// the words in quotes of the program.
fn told_texts() -> Vec<(String, String)> {
    let mut files = Vec::new();
    let mut folders = vec![std::path::PathBuf::from("knowledge"), "src".into()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() { folders.push(path) } else { files.push(path) }
        }
    }
    files.sort();
    let mut told = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).unwrap();
        let kind = file.extension().and_then(|kind| kind.to_str()).unwrap_or("").to_owned();
        for line in text.lines() {
            // What users say is no text of ours: questions, messages, words that are looked for.
            let shown = match kind.as_str() {
                "md" => !line.starts_with("Asked:"),
                "toml" => {
                    line.contains(" = \"")
                        && !["message = ", "id = "].iter().any(|key| line.starts_with(key))
                }
                _ => line.contains('"'),
            };
            if shown {
                let name = file.display().to_string();
                told.extend(
                    line.split(['.', ';', '?', '!']).map(|part| (name.clone(), part.to_owned())),
                );
            }
        }
    }
    told
}

/// The line: nothing here ever says that ice is safe to stand on.
#[test]
fn no_text_calls_ice_safe() {
    assert!(calls_ice_safe("Four inches of ice are safe for one person"));
    assert!(calls_ice_safe("the ice will bear a child"));
    assert!(!calls_ice_safe("No ice on a pool is safe to stand on"));
    let told = told_texts();
    assert!(told.len() > 5_000, "{} sentences", told.len());
    let wrong: Vec<_> = told.iter().filter(|(_, sentence)| calls_ice_safe(sentence)).collect();
    let unknown: Vec<_> = wrong
        .iter()
        .filter(|(_, sentence)| !HARMLESS.iter().any(|part| sentence.contains(part)))
        .collect();
    assert!(unknown.is_empty(), "{unknown:#?}");
}

/// Read by eye: ice beside something else that is walked or carried, and what users ask, in the program's own tests.
const HARMLESS: [&str; 5] = [
    "Walk the pad and the run of the pipes",
    "A thin wall above the ground carries the push of the ice",
    "until track and sheet are free of ice, and step on it for nothing",
    "deed(1, \"walk*|skate ice\"",
    "asked(\"is it safe walking on the ice\")",
];
