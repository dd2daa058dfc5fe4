//! Charts as inline SVG: no script, no outside resource, the same bytes for the same data. Line and marks differ in
//! shape as well as in colour, and every chart says in words what it shows.

use super::super::chart::{escape, scale};
use super::super::clean;
use crate::advice::Series;
use crate::clock::Moment;
use crate::units::{count, trim_number};
use chrono::Datelike;
use std::fmt::Write;

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 190.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 10.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 34.0;

/// Text inside SVG.
fn escaped(text: &str) -> String {
    escape(&clean(text))
}

/// Where values and days lie on the drawing.
struct Frame {
    days: f64,
    low: f64,
    high: f64,
}

impl Frame {
    fn of(series: &Series, days: f64) -> Option<Self> {
        let values = series.points.iter().map(|point| point.1);
        let all = values.chain(series.low).chain(series.high);
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
        if !(low.is_finite() && high.is_finite()) {
            return None;
        }
        let room = ((high - low) * 0.1).max(1e-3);
        Some(Self { days: days.max(1.0), low: low - room, high: high + room })
    }

    fn x(&self, day: f64) -> f64 {
        LEFT + (WIDTH - LEFT - RIGHT) * day / self.days
    }

    fn y(&self, value: f64) -> f64 {
        TOP + (HEIGHT - TOP - BOTTOM) * (self.high - value) / (self.high - self.low)
    }
}

/// A series as an SVG element; empty if there is nothing to draw.
#[must_use]
pub(super) fn chart(series: &Series, begins: Moment, days: f64, id: usize) -> String {
    let Some(frame) = Frame::of(series, days) else { return String::new() };
    let mut svg = String::new();
    // Writing into a string cannot fail.
    let _ = write!(
        svg,
        "<svg class=\"chart\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-labelledby=\"t{id} d{id}\">\
         <title id=\"t{id}\">{}</title><desc id=\"d{id}\">{}</desc>",
        escaped(&series.title),
        escaped(&series.summary)
    );
    band(&mut svg, &frame, series);
    grid(&mut svg, &frame);
    months(&mut svg, &frame, begins);
    let points: Vec<String> = series
        .points
        .iter()
        .map(|(day, value)| format!("{:.1},{:.1}", frame.x(*day), frame.y(*value)))
        .collect();
    let _ = write!(svg, "<polyline class=\"line\" points=\"{}\"/>", points.join(" "));
    if series.points.len() <= 80 {
        for (day, value) in &series.points {
            let (x, y) = (frame.x(*day), frame.y(*value));
            let _ = write!(svg, "<circle class=\"dot\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"2.2\"/>");
        }
    }
    for (day, what) in &series.marks {
        let (x, y) = (frame.x(*day), HEIGHT - BOTTOM);
        let _ = write!(
            svg,
            "<path class=\"mark\" d=\"M{x:.1} {:.1} l4 8 h-8 z\"><title>{}</title></path>",
            y - 8.0,
            escaped(what)
        );
    }
    svg.push_str("</svg>");
    svg
}

fn band(svg: &mut String, frame: &Frame, series: &Series) {
    if series.low.is_none() && series.high.is_none() {
        return;
    }
    let top = frame.y(series.high.unwrap_or(frame.high));
    let bottom = frame.y(series.low.unwrap_or(frame.low));
    let (width, height) = (WIDTH - LEFT - RIGHT, (bottom - top).max(0.0));
    let _ = write!(
        svg,
        "<rect class=\"band\" x=\"{LEFT}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\"/>"
    );
}

fn grid(svg: &mut String, frame: &Frame) {
    let ticks = scale(frame.low, frame.high, 4.0);
    let step = (frame.high - frame.low) / count(ticks.len().max(1));
    let decimals = if step < 0.1 { 2 } else { u8::from(step < 1.0) };
    for value in ticks {
        let y = frame.y(value);
        let _ = write!(
            svg,
            "<line class=\"grid\" x1=\"{LEFT}\" x2=\"{:.1}\" y1=\"{y:.1}\" y2=\"{y:.1}\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>",
            WIDTH - RIGHT,
            LEFT - 6.0,
            y + 4.0,
            trim_number(value, decimals)
        );
    }
}

fn months(svg: &mut String, frame: &Frame, begins: Moment) {
    let mut day = begins.date();
    let mut at: usize = 0;
    let last = frame.days;
    while count(at) <= last {
        if day.day() == 1 {
            let x = frame.x(count(at));
            let y = HEIGHT - BOTTOM;
            let _ = write!(
                svg,
                "<line class=\"tick\" x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{y:.1}\" y2=\"{:.1}\"/>\
                 <text x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                y + 6.0,
                x + 3.0,
                y + 18.0,
                day.format("%b")
            );
        }
        let Some(next) = day.succ_opt() else { break };
        day = next;
        at += 1;
    }
}
