//! Forward chaining over working memory; knows no trade word.
//!
//! A [`Network`] is compiled once from the rules and the calculators: an index from each fact to the
//! nodes that look at it, and one total order of the nodes. A [`State`] is one pool's working memory
//! with what has fired; changing a fact wakes only the nodes that look at it, withdraws what rested on
//! the old value, and chains to the new fixed point. A what-if is a copy.

mod agenda;
mod calculator;
mod evaluate;
mod fire;
mod justification;
mod memory;
mod network;

pub use calculator::{Calculator, Computed, Inputs, Signature};
pub use evaluate::Truth;
pub use fire::State;
pub use justification::{Justification, Obstacle};
pub use memory::Memory;
pub use network::{Network, NodeId};
