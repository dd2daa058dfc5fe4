//! A chart as SVG: one file, no scripts, readable without colour. Its colours stand in attributes, so that a page's style
//! sheet can set others by the classes (a dark page does).

use std::fmt::Write as _;

use super::{Chart, scale};
use crate::units::{count, trim_number};

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 320.0;
const LEFT: f64 = 56.0;
const RIGHT: f64 = 120.0;
const TOP: f64 = 34.0;
const BOTTOM: f64 = 46.0;
const STRIP: f64 = 10.0;
/// Stroke and dash of the lines in their order: dark tones that also part in grey.
const LINES: [(&str, &str); 4] =
    [("#1b3a57", ""), ("#a33b20", "6 3"), ("#3f6b3a", "2 3"), ("#6b4e8a", "10 3 2 3")];

/// Where steps and values lie on the picture.
struct Plan {
    low: f64,
    high: f64,
    steps: f64,
}

impl Plan {
    fn x(&self, step: f64) -> f64 {
        LEFT + step / self.steps * (WIDTH - LEFT - RIGHT)
    }

    fn y(&self, value: f64) -> f64 {
        TOP + (self.high - value) / (self.high - self.low) * (HEIGHT - TOP - BOTTOM)
    }
}

/// The chart as a whole SVG element.
#[must_use]
pub fn svg_chart(chart: &Chart) -> String {
    let height = HEIGHT + count(chart.strips.len()) * (STRIP + 4.0);
    let (low, high) = chart.range();
    let plan = Plan { low, high, steps: count(chart.steps().max(2) - 1) };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" \
         font-family=\"sans-serif\" font-size=\"12\">\n<title>{title}</title>\n<desc>{desc}</desc>\n\
         <rect class=\"paper\" width=\"{WIDTH}\" height=\"{height}\" fill=\"#ffffff\"/>\n\
         <text x=\"{LEFT}\" y=\"18\" font-weight=\"bold\">{title} ({unit})</text>\n",
        title = escape(&chart.title),
        desc = escape(&description(chart)),
        unit = escape(&chart.unit),
    );
    axes(&mut svg, chart, &plan);
    let mut labels = Labels::default();
    guides(&mut svg, chart, &plan, &mut labels);
    lines(&mut svg, chart, &plan, &mut labels);
    strips_of(&mut svg, chart, &|step| plan.x(step));
    svg.push_str("</svg>\n");
    svg
}

fn axes(svg: &mut String, chart: &Chart, plan: &Plan) {
    let (right, side) = (WIDTH - RIGHT, LEFT - 6.0);
    for tick in scale(plan.low, plan.high, 8.0) {
        let at = plan.y(tick);
        push(
            svg,
            &format!(
                "<line x1=\"{LEFT}\" x2=\"{right}\" y1=\"{at:.1}\" y2=\"{at:.1}\" class=\"rule\" stroke=\"#e2e2e2\"/>\n\
                 <text x=\"{side}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#444\">{}</text>",
                at + 4.0,
                trim_number(tick, 1)
            ),
        );
    }
    let base = HEIGHT - BOTTOM + 16.0;
    for (step, label) in &chart.marks {
        push(
            svg,
            &format!(
                "<text x=\"{:.1}\" y=\"{base}\" text-anchor=\"middle\" fill=\"#444\">{}</text>",
                plan.x(count(*step)),
                escape(label)
            ),
        );
    }
}

/// Labels at the right of the chart, which must not lie on each other.
#[derive(Default)]
struct Labels {
    taken: Vec<f64>,
}

impl Labels {
    /// The nearest free height to the one wanted.
    fn place(&mut self, wanted: f64) -> f64 {
        let free = |at: f64, taken: &[f64]| taken.iter().all(|other| (other - at).abs() >= 13.0);
        let mut at = wanted;
        for step in [0.0, -14.0, 14.0, -28.0, 28.0, -42.0, 42.0] {
            if free(wanted + step, &self.taken) {
                at = wanted + step;
                break;
            }
        }
        self.taken.push(at);
        at
    }
}

fn guides(svg: &mut String, chart: &Chart, plan: &Plan, labels: &mut Labels) {
    let right = WIDTH - RIGHT;
    for guide in &chart.guides {
        let at = plan.y(guide.value);
        push(
            svg,
            &format!(
                "<line x1=\"{LEFT}\" x2=\"{right}\" y1=\"{at:.1}\" y2=\"{at:.1}\" class=\"guide\" stroke=\"#555\" \
                 stroke-dasharray=\"1 4\"/>\n<text x=\"{}\" y=\"{:.1}\" fill=\"#555\">{}</text>",
                right + 6.0,
                labels.place(at + 4.0),
                escape(&guide.label)
            ),
        );
    }
}

fn lines(svg: &mut String, chart: &Chart, plan: &Plan, labels: &mut Labels) {
    let (x, y) = (|step: f64| plan.x(step), |value: f64| plan.y(value));
    for (line, (n, (colour, dash))) in chart.lines.iter().zip(LINES.iter().enumerate().cycle()) {
        let path = path(&line.values, &x, &y);
        push(
            svg,
            &format!(
                "<path class=\"l{n}\" d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.8\" \
                 stroke-dasharray=\"{dash}\"/>"
            ),
        );
        let mut ends = line.values.iter().enumerate().rev();
        if let Some((step, value)) = ends.find_map(|(at, value)| Some((at, (*value)?))) {
            push(
                svg,
                &format!(
                    "<text class=\"t{n}\" x=\"{:.1}\" y=\"{:.1}\" fill=\"{colour}\">{}</text>",
                    x(count(step)) + 6.0,
                    labels.place(y(value) + 4.0),
                    escape(&line.label)
                ),
            );
        }
    }
}

fn push(svg: &mut String, element: &str) {
    svg.push_str(element);
    svg.push('\n');
}

fn strips_of(svg: &mut String, chart: &Chart, x: &impl Fn(f64) -> f64) {
    for (row, strip) in chart.strips.iter().enumerate() {
        let top = HEIGHT - 22.0 + count(row) * (STRIP + 4.0);
        for (from, to) in &strip.stretches {
            let (left, right) = (x(count(*from)), x(count(*to)).min(WIDTH - RIGHT));
            push(
                svg,
                &format!(
                    "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{:.1}\" height=\"{STRIP}\" fill=\"#8a9bb0\" stroke=\"#444\" stroke-width=\"0.5\"/>",
                    (right - left).max(0.5)
                ),
            );
        }
        push(
            svg,
            &format!(
                "<text x=\"{:.1}\" y=\"{:.1}\" fill=\"#444\">{}</text>",
                WIDTH - RIGHT + 6.0,
                top + 9.0,
                escape(&strip.label)
            ),
        );
    }
}

fn path(values: &[Option<f64>], x: &impl Fn(f64) -> f64, y: &impl Fn(f64) -> f64) -> String {
    let mut path = String::new();
    let mut pen_down = false;
    for (step, value) in values.iter().enumerate() {
        let Some(value) = value.filter(|value| value.is_finite()) else {
            pen_down = false;
            continue;
        };
        let command = if pen_down { 'L' } else { 'M' };
        // Writing into a string cannot fail.
        let _ = write!(path, "{command}{:.1} {:.1}", x(count(step)), y(value));
        pen_down = true;
    }
    path
}

/// What the chart shows, in words, for those who don't see it.
fn description(chart: &Chart) -> String {
    let lines = chart.lines.iter().map(|line| {
        let values = line.values.iter().flatten();
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(*value), high.max(*value))
        });
        if low > high {
            return format!("{}: nothing", line.label);
        }
        format!(
            "{}: {} to {} {}",
            line.label,
            trim_number(low, 1),
            trim_number(high, 1),
            chart.unit
        )
    });
    lines.collect::<Vec<_>>().join("; ")
}

/// Text for XML; control characters are dropped.
pub(in crate::render) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::Line;
    use super::*;

    #[test]
    fn names_are_escaped_and_gaps_lift_the_pen() {
        let chart = Chart {
            title: "<b>\u{1b}Quarry & Lane</b>".to_owned(),
            unit: "°C".to_owned(),
            marks: vec![],
            lines: vec![Line {
                label: "air".to_owned(),
                mark: '*',
                values: vec![Some(1.0), None, Some(2.0), Some(3.0)],
            }],
            guides: vec![],
            strips: vec![],
        };
        let svg = svg_chart(&chart);
        assert!(svg.contains("&lt;b&gt;Quarry &amp; Lane"), "{svg}");
        let path = svg.split(" d=\"").nth(1).unwrap();
        assert_eq!(path.matches('M').count(), 2, "{svg}");
        assert!(svg.contains("air: 1 to 3 °C"), "{svg}");
    }
}
