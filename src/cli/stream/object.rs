//! One object of a stream and its answer.

use super::super::lines::Line;
use super::super::surroundings::session;
use super::Stream;
use crate::advice::Answer;
use crate::clock::Moment;
use crate::render::{answer_json, json_line};
use serde::Serialize;
use serde_json::{Map, Value};
use std::io::{self, Write};

/// The keys that an object may have.
const KEYS: [&str; 5] = ["id", "text", "facts", "at", "pool"];

#[derive(Serialize)]
struct Unreadable<'a> {
    id: &'a Value,
    error: &'a str,
    line: usize,
}

/// Writes the answer to one line, or what is wrong with it.
pub(super) fn answer_line(
    stream: &Stream<'_>,
    number: usize,
    line: &Line,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut id = Value::Null;
    let answered = match line {
        Line::Bad(why) => Err(why.clone()),
        Line::Text(text) => parse(text).and_then(|mut object| {
            id = object.remove("id").unwrap_or_default();
            answer(stream, &object)
        }),
    };
    match answered {
        Ok(answer) => answer_json(out, &answer, &stream.base.knowledge().vocabulary, Some(&id)),
        Err(error) => json_line(out, &Unreadable { id: &id, error: &error, line: number }),
    }
}

fn parse(text: &str) -> Result<Map<String, Value>, String> {
    match serde_json::from_str(text.trim_start_matches('\u{feff}')) {
        Ok(Value::Object(object)) => Ok(object),
        Ok(_) => Err("the line is not a JSON object".to_owned()),
        Err(error) => {
            let why = error.to_string().replace(" at line 1 column ", ", column ");
            Err(format!("the line is not JSON: {why}"))
        }
    }
}

fn answer(stream: &Stream<'_>, object: &Map<String, Value>) -> Result<Answer, String> {
    if let Some(key) = object.keys().find(|key| !KEYS.contains(&key.as_str())) {
        return Err(format!("unknown key `{key}` (known: {})", KEYS.join(", ")));
    }
    let at = match text_of(object, "at")? {
        Some(at) => Moment::parse(at).map_err(|problem| problem.to_string())?,
        None => stream.at,
    };
    let text = text_of(object, "text")?.unwrap_or("");
    let facts = match object.get("facts") {
        None | Some(Value::Null) => Map::new(),
        Some(Value::Object(facts)) => facts.clone(),
        Some(_) => return Err("`facts` is not an object".to_owned()),
    };
    if text.trim().is_empty() && facts.is_empty() {
        return Err("neither `text` nor `facts` says anything".to_owned());
    }
    let mut session = session(stream.base, None, stream.common)
        .map_err(|_| "a fact of the command line does not hold".to_owned())?;
    session.plan_when_asked();
    if let Some(pool) = text_of(object, "pool")? {
        session.pool(Some(pool.to_owned()));
    }
    for (name, value) in &facts {
        if let Some(written) = written(name, value)? {
            session.state(name, &written).map_err(|problem| problem.to_string())?;
        }
    }
    let mut turns = text.lines().filter(|line| !line.trim().is_empty());
    let first = session.turn(turns.next().unwrap_or(""), at);
    Ok(turns.fold(first, |_, turn| session.turn(turn, at)))
}

fn text_of<'a>(object: &'a Map<String, Value>, key: &str) -> Result<Option<&'a str>, String> {
    match object.get(key) {
        None | Some(Value::Null) => Ok(None),
        Some(Value::String(text)) => Ok(Some(text)),
        Some(_) => Err(format!("`{key}` is not a string")),
    }
}

/// A value as `--fact` writes it; `None` for null, which states nothing.
pub(in crate::cli) fn written(name: &str, value: &Value) -> Result<Option<String>, String> {
    let wrong = || format!("`{name}` takes a number, true, false, a word or a list of words");
    Ok(match value {
        Value::Null => None,
        Value::Bool(flag) => Some(if *flag { "yes" } else { "no" }.to_owned()),
        Value::Number(number) => Some(number.as_f64().ok_or_else(wrong)?.to_string()),
        Value::String(text) => Some(text.clone()),
        Value::Array(items) => {
            let words: Option<Vec<&str>> = items.iter().map(Value::as_str).collect();
            Some(words.ok_or_else(wrong)?.join(","))
        }
        Value::Object(_) => return Err(wrong()),
    })
}
