//! Reads messages as people type them: free text in, facts with their places out.
//!
//! The road: tokens (`token`, `spelling`) → pieces (`phrase`, with `number`, `measure` and `rescale`) → clauses and their mood
//! (`clause`) → states (`state`, `subject`, `mention`, `unknown`, `polarity`) and numbers (`label`, `bind`, `rest`, `quantity`, `duration`) → statements,
//! weighed against each other (`weigh`, `doubt`) → [`Reading`]. The words stand in the knowledge; here is only how they
//! are put together.

mod amount;
mod answer;
mod ask;
mod bind;
mod clause;
mod contradiction;
mod course;
mod decade;
mod doubt;
mod duration;
mod heading;
mod hour;
mod label;
mod measure;
mod mention;
mod number;
mod part;
mod phrase;
mod polarity;
mod pool;
mod quantity;
mod reading;
mod rescale;
mod rest;
mod spelling;
mod state;
mod statement;
mod subject;
mod token;
mod unknown;
mod weigh;

pub use amount::{Said, in_figures, said};
pub use doubt::{Doubt, doubt};
pub use heading::{Headed, headed};
pub use part::{in_one_breath, parts};
pub use pool::{PoolMention, PoolNames};
pub use reading::{Reading, ReadingContext, Unread, read};
