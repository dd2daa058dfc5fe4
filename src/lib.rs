//! Brumal: a chat for the practitioner who keeps outdoor pools open and running all winter.
//!
//! The rooms, in the order in which a message passes through them:
//! `language` reads text into facts, `engine` chains rules over them (calling the calculators of
//! `figures`, which stand on `chemistry` and `thermal`), `advice` composes the answer, `render`
//! writes it. `knowledge` is what a senior technician may edit. `session` joins the flow with the
//! notes; `cli` alone touches clock, terminal and environment.

pub mod advice;
pub mod chemistry;
pub mod cli;
pub mod clock;
pub mod drill;
pub mod engine;
pub mod facts;
pub mod figures;
pub mod knowledge;
pub mod language;
pub mod logbook;
pub mod notes;
pub mod plan;
pub mod problem;
pub mod render;
pub mod session;
pub mod thermal;
pub mod units;
pub mod weather;
