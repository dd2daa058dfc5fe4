//! How well skills sit, as one page that needs nothing else.

use super::super::html;
use super::progress::{Progress, due, ready};
use super::{call_title, percent};
use crate::drill::Card;
use minijinja::{Value, context};
use std::io::{self, Write};

const TEMPLATE: &str = include_str!("progress.html");

/// Writes progress as HTML. Names that people typed are escaped, and control characters are left out.
///
/// # Errors
/// The writer's, or a fault of the template.
pub fn progress_page(out: &mut dyn Write, progress: &Progress<'_>) -> io::Result<()> {
    let calls: Vec<Value> = progress
        .readiness
        .iter()
        .map(|one| context! {
            title => call_title(one.call), width => (one.share * 100.0).round(), told => ready(one),
            share => percent(one.share), ready => one.ready,
        })
        .collect();
    let (mut cards, new): (Vec<&Card<'_>>, Vec<&Card<'_>>) =
        progress.cards.iter().partition(|card| card.goes > 0);
    cards.sort_by(|a, b| a.recall.total_cmp(&b.recall).then_with(|| a.skill.id.cmp(&b.skill.id)));
    let new: Vec<String> = new.iter().map(|card| card.skill.title.clone()).collect();
    let skills: Vec<Value> = cards
        .iter()
        .map(|card| context! {
            title => card.skill.title.clone(), width => (card.recall * 100.0).round(), share => percent(card.recall),
            due => due(card), goes => card.goes, passed => card.passed,
            last => card.last.map(|last| last.date().to_string()),
        })
        .collect();
    let values = context! {
        person => progress.person, day => progress.at.date().to_string(), calls, skills, new,
    };
    html::write(out, TEMPLATE, values)
}
