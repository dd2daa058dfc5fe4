//! The conversation: the only room that joins the flow with the notes and the log.
//!
//! `ask`, `read`, `stream` and the chat all call [`Session::turn`]; they differ in rendering alone.

mod base;
mod conversation;
mod examples;
mod passages;
mod reply;
mod turn;
mod words;

pub use base::{Base, Settings};
pub use examples::{check_folder, run_examples};
pub use turn::Session;
