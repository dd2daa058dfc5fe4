//! A chart in plain characters.

use super::{Chart, scale};
use crate::units::{count, trim_number};

/// Columns left of the chart for the scale.
const LEFT: usize = 7;

/// Lines of text, `width` columns wide (at least 40), `rows` rows high without axis and labels.
#[must_use]
pub fn plain_chart(chart: &Chart, width: usize, rows: usize) -> Vec<String> {
    let width = width.max(40);
    let columns = width - LEFT - 1;
    let rows = rows.max(4);
    let (low, high) = chart.range();
    let steps = chart.steps().max(1);
    let row_of = |value: f64| place((high - value) / (high - low), rows);
    let step_of = |column: usize| place(count(column) / count(columns), steps);
    let mut grid = vec![vec![' '; columns]; rows];
    let mut put = |row: usize, column: usize, mark: char, over: bool| {
        if let Some(cell) = grid.get_mut(row).and_then(|row| row.get_mut(column))
            && (over || *cell == ' ')
        {
            *cell = mark;
        }
    };
    for guide in &chart.guides {
        (0..columns).step_by(2).for_each(|column| put(row_of(guide.value), column, '-', false));
    }
    for line in &chart.lines {
        for column in 0..columns {
            if let Some(value) = line.values.get(step_of(column)).copied().flatten() {
                put(row_of(value), column, line.mark, true);
            }
        }
    }
    let mut labels = vec![String::new(); rows];
    for tick in scale(low, high, count(rows) / 2.0) {
        if let Some(label) = labels.get_mut(row_of(tick)) {
            *label = trim_number(tick, 1);
        }
    }
    let mut text = vec![format!("{} ({})", chart.title, chart.unit)];
    for (row, label) in grid.into_iter().zip(labels) {
        let line: String = row.into_iter().collect();
        text.push(format!("{label:>LEFT$}|{line}").trim_end().to_owned());
    }
    text.push(format!("{:>LEFT$}+{}", "", "-".repeat(columns)));
    text.push(under(chart, columns, steps));
    text.extend(chart.strips.iter().map(|strip| {
        let mut marks = vec![' '; columns];
        for (column, mark) in marks.iter_mut().enumerate() {
            let step = step_of(column);
            if strip.stretches.iter().any(|(from, to)| (*from..*to).contains(&step)) {
                *mark = strip.mark;
            }
        }
        let line: String = marks.into_iter().collect();
        format!("{:>LEFT$}|{line}", "").trim_end().to_owned()
    }));
    text.extend(legend(chart, width));
    text
}

/// The place of a share among so many.
fn place(share: f64, among: usize) -> usize {
    let exact = (share * count(among)).floor();
    (0..among).find(|at| count(*at) >= exact).unwrap_or(among - 1)
}

/// Labels of the steps, under the axis.
fn under(chart: &Chart, columns: usize, steps: usize) -> String {
    let mut line = String::new();
    for (step, label) in &chart.marks {
        let column = place(count(*step) / count(steps), columns);
        let at = column + LEFT + 1;
        let used = line.chars().count();
        if (used == 0 || at > used) && at + label.chars().count() <= columns + LEFT + 1 {
            line.push_str(&" ".repeat(at - used));
            line.push_str(label);
        }
    }
    line
}

fn legend(chart: &Chart, width: usize) -> Vec<String> {
    let lines = chart.lines.iter().map(|line| format!("{} {}", line.mark, line.label));
    let strips = chart.strips.iter().map(|strip| format!("{} {}", strip.mark, strip.label));
    let guides = chart.guides.iter().map(|guide| format!("- {}", guide.label));
    let all: Vec<String> = lines.chain(strips).chain(guides).collect();
    let indent = " ".repeat(LEFT + 1);
    let options = textwrap::Options::new(width).initial_indent(&indent).subsequent_indent(&indent);
    textwrap::wrap(&all.join("   "), options)
        .into_iter()
        .map(std::borrow::Cow::into_owned)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Guide, Line, Strip};
    use super::*;

    fn chart() -> Chart {
        let falling = (0..24u8).map(|h| Some(40.0 - f64::from(h))).collect();
        Chart {
            title: "Air".to_owned(),
            unit: "°F".to_owned(),
            marks: vec![(0, "18:00".to_owned()), (12, "06:00".to_owned())],
            lines: vec![Line { label: "air".to_owned(), mark: '*', values: falling }],
            guides: vec![Guide { label: "freezing".to_owned(), value: 32.0 }],
            strips: vec![Strip { label: "frost".to_owned(), mark: '#', stretches: vec![(9, 24)] }],
        }
    }

    #[test]
    fn a_chart_keeps_to_its_columns_and_falls_where_the_values_fall() {
        let lines = plain_chart(&chart(), 60, 10);
        assert!(lines.iter().all(|line| line.chars().count() <= 60), "{lines:#?}");
        assert!(lines.iter().all(|line| line.is_ascii() || line.contains('°')), "{lines:#?}");
        // Upper left to lower right.
        let first = lines.get(1).and_then(|line| line.find('*')).unwrap();
        let last = lines.get(10).and_then(|line| line.rfind('*')).unwrap();
        assert!(first < 12 && last > 50, "{lines:#?}");
        assert!(lines.iter().any(|line| line.contains("####")), "{lines:#?}");
    }

    #[test]
    fn nothing_to_draw_is_no_reason_to_fail() {
        let empty = Chart { lines: Vec::new(), strips: Vec::new(), guides: Vec::new(), ..chart() };
        assert!(plain_chart(&empty, 10, 0).len() >= 5);
    }
}
