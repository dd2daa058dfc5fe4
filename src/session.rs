//! The conversation: the only room that joins the flow with the notes and the log.
//!
//! `ask`, `read`, `stream` and the chat all call [`Session::turn`]; they differ in rendering alone.

mod additions;
mod amend;
mod base;
mod book;
mod cold;
mod conversation;
mod demo;
mod done;
mod dose;
mod doubted;
mod ellipsis;
mod examples;
mod guide;
mod hearing;
mod history;
mod one_voice;
mod onward;
mod passages;
mod period;
mod program;
mod recall;
mod reply;
mod report;
mod round;
mod steps;
mod strangers;
mod table;
mod telling;
mod trends;
mod turn;
mod visit;
mod wish;
mod words;

pub use additions::amount_words;
pub use amend::{PutRight, corrections, taken_out};
pub use base::{Base, Settings};
pub use book::{Book, Keep};
pub use demo::demo;
pub use examples::{check_folder, check_texts, run_examples};
pub use history::{History, ToKeep, held, history, of_profile, to_keep, value};
pub use report::season_report;
pub use round::round;
pub use table::{Column, Mapping, table_mapping, table_records};
pub use trends::{Trend, trends};
pub use turn::Session;
pub use visit::{VisitNotes, VisitTold, pool_told, visit_told};
