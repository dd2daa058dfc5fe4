//! A new fact needs no Rust: a copy of the knowledge with a fact, a rule, an action and a note more answers by them.

use super::rules::copy;
use super::{answered, ended};
use std::path::Path;

const FACT: &str = r#"
[[fact]]
name = "slide.wobbles"
title = "slide"
kind = "yes/no"
yes = "slide wobbles"
no = "slide is firm"
fresh = "7 d"
ask = "Does the slide wobble?"
why = "a loose slide throws people"

[fact.words]
yes = ["slide wobbles", "wobbly slide"]
no = ["slide is firm"]
"#;

const RULE: &str = r#"
[[rule]]
id = "slide-loose"
title = "The slide is loose"
when = ["slide.wobbles is yes"]
urgency = "today"
finding = "A slide that moves under a hand may come off its legs."
call = ["rope-off-the-slide"]
cites = ["slides#loose-slide"]
source = "common practice"

[[rule.example]]
message = "the slide wobbles"
calls = ["rope-off-the-slide"]

[[rule.example]]
facts = { "slide.wobbles" = false }
fires = false
"#;

const ACTION: &str = r#"
[[action]]
id = "rope-off-the-slide"
text = "Rope off the slide until its bolts are tight."
who = "anyone"
tools = ["rope"]
cites = ["slides#loose-slide"]
stuck = "No rope: lay a ladder across its foot."
instead = "If it cannot be roped off, stay beside it."
"#;

const NOTE: &str = r#"+++
title = "Slides"
summary = "What to do with a loose slide."

[sources]
trade = "Pool trade, slides, undated, bolts; common practice"
+++

## Loose slide

Frost works on the footings of a slide and its bolts rust. Rope it off, tighten what turns, and leave cracked footings to a builder.

Asked: is a wobbling slide dangerous; what about a loose slide
Sources: trade
"#;

fn append(folder: &Path, file: &str, more: &str) {
    let path = folder.join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(path, format!("{text}{more}")).unwrap();
}

#[test]
fn a_new_fact_rule_action_and_note_need_no_rust() {
    let folder = copy("new-fact");
    let name = folder.to_str().unwrap();
    let ask = ["ask", "the slide wobbles", "--knowledge", name];
    let ask = || answered(&ask, b"");
    let step = "Rope off the slide until its bolts are tight.";
    assert!(!ask().contains(step), "it is not known before it is written");
    append(&folder, "vocabulary.toml", FACT);
    std::fs::write(folder.join("rules/slides.toml"), RULE).unwrap();
    std::fs::write(folder.join("actions/slides.toml"), ACTION).unwrap();
    std::fs::write(folder.join("notes/slides.md"), NOTE).unwrap();
    let (status, out, told) = ended(&["rules", "check", "--knowledge", name], b"");
    assert_eq!((status, told.as_str()), (0, ""), "{out}");
    let answer = ask();
    assert!(answer.contains(step), "{answer}");
    assert!(answer.contains("slide wobbles"), "the fact is shown as read:\n{answer}");
    let firm = answered(&["ask", "slide is firm", "--knowledge", name], b"");
    assert!(!firm.contains(step), "{firm}");
    let found = answered(&["notes", "search", "loose slide", "--knowledge", name], b"");
    assert!(found.contains("[slides#loose-slide]"), "{found}");
}
