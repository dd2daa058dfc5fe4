//! The record: pools, visits, what was read, added and done, kept in one file.
//!
//! The rest of the program meets [`Store`], which says what a record must be able to do; [`Sqlite`] is the one that
//! keeps it in a file on the practitioner's own machine. A server database would stand beside it and change nothing
//! else. Facts are kept by their names and in canonical units: this room knows no vocabulary.

mod exchange;
mod fault;
mod find;
mod record;
mod schema;
mod sqlite;
mod stamp;
mod store;
mod trend;

pub use exchange::{
    COLUMNS, LARGEST_CELL, harmless, is_export, read_csv, read_jsonl, write_csv, write_jsonl,
};
pub use find::{Found, find_pool, parts_of};
pub use record::{
    Account, Added, Amendment, Blackout, Correction, Held, Imported, Latest, NewPool, NewVisit,
    Part, PoolRecord, Postponement, Practice, ProfileEntry, Reading, Record, Stretch, Visit,
};
pub use sqlite::{Rescued, Sqlite, rescue};
pub use store::Store;
pub use trend::{Fit, robust_fit};
