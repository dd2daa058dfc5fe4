//! Writing answers down: as text for a person at the pump pad, as JSON for other programs.
//!
//! Rendering is a function into a writer. Every character that reaches a terminal has passed
//! [`clean`] on the way, whatever it was typed by.

mod calendar;
mod chart;
mod clean;
mod dose;
mod drill;
mod html;
mod json;
mod layout;
mod night;
mod problem;
mod season;
mod style;
mod text;

pub use calendar::calendar;
pub use chart::{Chart, Guide, Line, Strip, plain_chart, svg_chart};
pub use clean::clean;
pub use dose::{dose_json, dose_text};
pub use drill::{
    Progress, drill_case, drill_case_json, drill_heard, drill_heard_json, drill_list, drill_marks,
    drill_marks_json, progress_csv, progress_json, progress_page, progress_text,
};
pub use html::report as report_html;
pub use json::{answer as answer_json, line as json_line, reading as reading_json};
pub use layout::Sheet;
pub use night::{NightSheet, Warned, night_chart, night_json, nights_json_begin, nights_json_end};
pub use problem::{problems as problems_text, problems_json};
pub use season::{Season, season_json, season_page, season_text};
pub use style::{Role, View};
pub use text::{answer as answer_text, passage as passage_text, reading as reading_text};
