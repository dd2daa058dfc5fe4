//! How well messages are read: two annotated sets, scored as `/shared/reference/ANNOTATION.md` says.
//!
//! `messages/shared.jsonl` came with the job (annotated by others); `messages/own-*.jsonl` are our own, annotated before
//! the program saw them. A number is right within 1.5 % or 0.06; what is optional is neither credited nor charged.

mod scoring;

use scoring::{Line, Score, lines, load, score};

fn report(title: &str, lines: &[Line]) -> Score {
    let knowledge = load();
    let total = score(lines, &knowledge);
    println!("{title}: {total}");
    for (tag, part) in &total.by_tag {
        println!("    {tag:<18} {part}");
    }
    for miss in &total.misses {
        println!("  {miss}");
    }
    total.whole
}

#[test]
fn the_shared_messages_are_read() {
    let score = report("shared", &lines("shared.jsonl"));
    assert_eq!(score.lines, 60, "the set is complete");
    assert!(score.f1() >= 0.85, "F1 {:.4}", score.f1());
    assert_eq!(score.absent, 0, "a careless reading");
}
