//! `stream`: JSON Lines in, JSON Lines out.

use super::{AT, PROGRAM, answered, ended};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

fn lines(arguments: &[&str], input: &[u8]) -> Vec<Value> {
    let mut all = vec!["stream"];
    all.extend(arguments);
    answered(&all, input).lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn every_object_gets_its_answer_in_order_with_its_id() {
    let ids = [json!("a"), json!(7), json!(null), json!([1, "x"]), json!({"k": true}), json!(2.5)];
    let input: String =
        ids.iter().map(|id| format!("{}\n", json!({"id": id, "text": "ph 7.2"}))).collect();
    let out = lines(&[], input.as_bytes());
    assert_eq!(
        out.iter().map(|line| &line["id"]).collect::<Vec<_>>(),
        ids.iter().collect::<Vec<_>>()
    );
    assert!(out.iter().all(|line| line["schema"] == "brumal.answer/1" && line["at"] == AT));
}

/// The contract: a line that cannot be read yields an error with its number, and the next is answered.
#[test]
fn a_bad_line_is_named_and_the_next_one_answered() {
    let input = b"nonsense\n{\"id\": 1, \"text\": 5}\n\n[1]\n{\"id\": 2}\n{\"id\": 3, \"text\": \"ph 7.2 \xff\"}\n\
        {\"id\": 4, \"facts\": {\"water.pH\": 7}}\n{\"id\": 5, \"facts\": {\"water.ph\": NaN}}\n\
        {\"id\": 6, \"text\": \"x\", \"at\": \"noon\"}\n{\"id\": 7, \"text\": \"x\", \"tone\": \"kind\"}\n\
        {\"id\": 8, \"facts\": {\"water.ph\": 7.2}}";
    let out = lines(&[], input);
    let told: Vec<(Value, Option<u64>, bool)> = out
        .iter()
        .map(|line| (line["id"].clone(), line["line"].as_u64(), line["error"].is_string()))
        .collect();
    let bad = |id: Value, line: u64| (id, Some(line), true);
    let expected = [
        bad(json!(null), 1),
        bad(json!(1), 2),
        bad(json!(null), 4),
        bad(json!(2), 5),
        bad(json!(null), 6),
        bad(json!(4), 7),
        bad(json!(null), 8),
        bad(json!(6), 9),
        bad(json!(7), 10),
        (json!(8), None, false),
    ];
    assert_eq!(told, expected, "{out:#?}");
    assert!(out[5]["error"].as_str().unwrap().contains("did you mean `water.ph`?"), "{}", out[5]);
}

#[test]
fn facts_are_canonical_values_or_written_with_a_unit() {
    let input = json!({"id": 1, "facts": {
        "water.temperature": "44 F", "water.ph": 7.2, "pump.running": false, "pool.surface": "plaster",
        "ice.where": ["pump", "filter"], "water.bromine": null}})
    .to_string();
    let out = &lines(&[], input.as_bytes())[0];
    let fact = |name: &str| {
        let facts = out["facts"].as_array().unwrap();
        facts.iter().find(|fact| fact["name"] == name).map(|fact| fact["value"].clone())
    };
    // 44 °F = (44 - 32) / 1.8 °C, NIST SP 811 (2008), B.8.
    assert!((fact("water.temperature").unwrap().as_f64().unwrap() - 12.0 / 1.8).abs() < 1e-9);
    assert_eq!(fact("water.ph"), Some(json!(7.2)));
    assert_eq!(fact("pump.running"), Some(json!(false)));
    assert_eq!(fact("pool.surface"), Some(json!("plaster")));
    assert_eq!(fact("ice.where"), Some(json!(["pump", "filter"])));
    assert_eq!(fact("water.bromine"), None);
}

/// The contract: `text` may hold several messages; the answer is the last one, and nothing outlives the object.
#[test]
fn lines_of_text_are_turns_of_one_conversation() {
    let input =
        "{\"id\":1,\"text\":\"pump stopped\\n19 F out\"}\n{\"id\":2,\"text\":\"19 F out\"}\n";
    let out = lines(&[], input.as_bytes());
    let names = |line: &Value| -> Vec<String> {
        let facts = line["facts"].as_array().unwrap();
        facts.iter().map(|fact| fact["name"].as_str().unwrap().to_owned()).collect()
    };
    assert!(names(&out[0]).contains(&"pump.running".to_owned()), "{}", out[0]);
    assert!(!names(&out[1]).contains(&"pump.running".to_owned()), "{}", out[1]);
}

#[test]
fn several_workers_give_the_same_bytes_in_the_same_order() {
    let input: String = (0..500)
        .map(|n| match n % 3 {
            0 => format!("{{\"id\":{n},\"text\":\"ph {}.{} alk 90\"}}\n", 6 + n % 3, n % 10),
            1 => format!("{{\"id\":{n},\"facts\":{{\"air.temperature\":-{}}}}}\n", n % 20),
            _ => format!("broken {n}\n"),
        })
        .collect();
    let one = answered(&["stream"], input.as_bytes());
    assert_eq!(one.lines().count(), 500);
    assert_eq!(answered(&["stream", "--jobs", "3"], input.as_bytes()), one);
}

#[test]
fn an_answer_does_not_wait_for_the_next_line() {
    let mut child = Command::new(PROGRAM)
        .args(["stream", "--at", AT])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut to = child.stdin.take().unwrap();
    let mut from = BufReader::new(child.stdout.take().unwrap());
    for id in 0..3 {
        writeln!(to, "{{\"id\":{id},\"text\":\"ph 7.2\"}}").unwrap();
        let mut line = String::new();
        from.read_line(&mut line).unwrap();
        assert!(line.starts_with(&format!("{{\"id\":{id},")), "{line}");
    }
    drop(to);
    assert!(child.wait().unwrap().success());
}

#[test]
fn a_wrong_option_is_told_before_the_first_line() {
    let (status, out, told) = ended(&["stream", "--fact", "water.pH=7"], b"{\"text\":\"x\"}\n");
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(told.contains("water.ph"), "{told}");
    assert_eq!(answered(&["stream"], b""), "");
}

/// Whatever a line holds, it yields one object with an answer or a reason, and the next line is answered.
#[test]
fn whatever_a_line_holds_the_next_is_answered() {
    let noise: String =
        (0..64 * 1024_u32).map(|n| char::from(32 + u8::try_from(n * 7919 % 95).unwrap())).collect();
    let deep = "[".repeat(5_000);
    let rows = [
        json!({"text": ""}).to_string(),
        json!({"text": " \t\n"}).to_string(),
        json!({ "text": noise }).to_string(),
        json!({"text": "NaN ph NaN, pH 72, 4000 F"}).to_string(),
        json!({"text": "pump running, pump not running, 20F"}).to_string(),
        json!({"text": "$(reboot) `x`; rm -rf / {pool} %s \u{1b}[2J \u{202e}"}).to_string(),
        json!({"facts": {"water.ph": 72}}).to_string(),
        json!({"facts": {"water.ph": "72 F"}}).to_string(),
        json!({"facts": {"air.temperature": 4000}}).to_string(),
        json!({"facts": {"pump.running": "maybe"}}).to_string(),
        json!({"facts": {"pool.surface": 3}}).to_string(),
        "{\"facts\": {\"water.ph\": 1e999}}".to_owned(),
        "{\"text\": \"x\"".to_owned(),
        deep,
        "\u{feff}{}".to_owned(),
        "null".to_owned(),
    ];
    let input: String = rows
        .iter()
        .map(|row| format!("{row}\n{}\n", json!({"id": "next", "text": "pump quit, 20F"})))
        .collect();
    let out = lines(&[], input.as_bytes());
    assert_eq!(out.len(), rows.len() * 2, "one object a line");
    for (pair, row) in out.chunks(2).zip(&rows) {
        let [first, next] = pair else { panic!("pairs") };
        let row = row.chars().take(60).collect::<String>();
        let told = first["error"].as_str().is_some_and(|why| !why.is_empty());
        assert!(told || first["schema"] == "brumal.answer/1", "{row}: {first}");
        assert_eq!(next["id"], "next", "{row}: {next}");
        assert_eq!(next["actions"][0]["id"], "switch-off-breakers", "{row}: {next}");
        let raw = first.to_string();
        assert!(!raw.contains('\u{1b}') && !raw.contains('\u{202e}'), "{row}");
    }
}

/// Several lines of text are turns: somebody is led through the steps there too, and a pipe does the same.
#[test]
fn steps_are_led_through_in_a_stream_and_in_a_pipe() {
    let text = "pump died, 19 out, breaker trips\nnext\ndone\ncant find it";
    let out = lines(&[], format!("{}\n", json!({"id": 1, "text": text})).as_bytes());
    let step = &out[0]["step"];
    assert_eq!(
        (step["number"].as_u64(), step["action"].as_str()),
        (Some(2), Some("leave-tripped-breaker-off")),
        "{step}"
    );
    let off = out[0]["facts"].as_array().unwrap().iter().find(|fact| fact["name"] == "breaker.off");
    assert_eq!(off.map(|fact| fact["value"].clone()), Some(json!(true)), "what is done is a fact");
    assert!(
        out[0]["replies"][0]["lines"][0].as_str().unwrap().contains("breaker"),
        "{}",
        out[0]["replies"]
    );
    let piped = answered(&["--echo"], format!("{text}\nstop\n").as_bytes());
    assert!(piped.contains("STEP 2 OF") && piped.contains("done: Switch off"), "{piped}");
}
