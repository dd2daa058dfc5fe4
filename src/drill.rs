//! Practice: cases drawn from templates, answered in one's own words, marked by the rules, spaced over days.
//!
//! [`draw`] makes a case with a seed; [`Sitting`] tells it, answers questions, reads what the trainee does and marks
//! it against what the rules and calculators say of the hidden facts. Nothing here reads a clock or a file.

mod amount;
mod ask;
mod chance;
mod change;
mod check;
mod clause;
mod cue;
mod cut;
mod draw;
mod ear;
mod example;
mod mark;
mod progress;
mod reading;
mod right;
mod sequence;
mod sitting;
mod spacing;

pub use chance::Chance;
pub use change::changed;
pub use check::check;

pub use draw::{Case, draw};
pub use ear::Ear;
pub use mark::{Grade, Mark, SaidAmount};
pub use progress::{
    Card, Go, Readiness, Standing, cards, earned, in_order, queue, readiness, template,
};
pub use reading::Harm;
pub use right::{Danger, Needed, NeededAmount, NeededHours, Right, right};
pub use sitting::{Heard, Sitting};
pub use spacing::{Memory, Spacing};
