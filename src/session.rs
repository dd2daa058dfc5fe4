//! The conversation: the only room that joins the flow with the notes and the log.
//!
//! `ask`, `read`, `stream` and the chat all call [`Session::turn`]; they differ in rendering alone.

mod base;
mod turn;

pub use base::{Base, Settings};
pub use turn::Session;
