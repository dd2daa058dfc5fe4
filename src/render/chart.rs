//! Line charts over hours: in plain characters for a terminal, as SVG for a page.
//!
//! Lines are told apart by mark or dash and by a label beside them, never by colour alone.

mod plain;
mod svg;

pub use plain::plain_chart;
pub(super) use svg::escape;
pub use svg::svg_chart;

/// One line of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it shows.
    pub label: String,
    /// Its mark in plain characters.
    pub mark: char,
    /// One value for each step; `None` leaves a gap.
    pub values: Vec<Option<f64>>,
}

/// A level drawn across.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    /// What it means.
    pub label: String,
    /// Where.
    pub value: f64,
}

/// Stretches of steps, marked under the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// What they are.
    pub label: String,
    /// The mark in plain characters.
    pub mark: char,
    /// First step and the one after the last, for each stretch.
    pub stretches: Vec<(usize, usize)>,
}

/// A chart over steps of equal length.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// What it shows.
    pub title: String,
    /// Unit of the values.
    pub unit: String,
    /// Labels under the chart: at which step, and what.
    pub marks: Vec<(usize, String)>,
    /// The lines; the last is drawn on top.
    pub lines: Vec<Line>,
    /// The levels.
    pub guides: Vec<Guide>,
    /// Stretches under the chart.
    pub strips: Vec<Strip>,
}

impl Chart {
    /// How many steps it spans.
    fn steps(&self) -> usize {
        self.lines.iter().map(|line| line.values.len()).max().unwrap_or(0)
    }

    /// Lowest and highest of what is drawn, a little wider than the values.
    fn range(&self) -> (f64, f64) {
        let values = self.lines.iter().flat_map(|line| line.values.iter().flatten().copied());
        let all = values.chain(self.guides.iter().map(|guide| guide.value));
        let (low, high) = all
            .filter(|value| value.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            });
        if low > high {
            return (0.0, 1.0);
        }
        let room = ((high - low) * 0.05).max(0.5);
        (low - room, high + room)
    }
}

/// The steps of a nice scale between two values: multiples of 1, 2 or 5 times a power of ten, at
/// most `most` of them.
pub(super) fn scale(low: f64, high: f64, most: f64) -> Vec<f64> {
    let rough = ((high - low) / most).max(1e-9);
    let power = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power);
    let mut ticks = Vec::new();
    let mut tick = (low / step).ceil() * step;
    while tick <= high + 1e-9 && ticks.len() < 50 {
        ticks.push(if tick.abs() < step * 1e-6 { 0.0 } else { tick });
        tick += step;
    }
    ticks
}
