//! Moments as the file keeps them: seconds of UTC and minutes of offset, so that local times come back as they were said.

use crate::clock::Moment;
use chrono::{DateTime, FixedOffset};
use rusqlite::types::Type;

/// Seconds since 1970 (UTC), and the offset in minutes.
pub(super) fn pack(at: Moment) -> (i64, i32) {
    let time = at.time();
    (time.timestamp(), time.offset().local_minus_utc() / 60)
}

/// The moment of seconds and minutes; an error of the column if they are none.
pub(super) fn unpack(seconds: i64, minutes: i32) -> Result<Moment, rusqlite::Error> {
    let offset = minutes.checked_mul(60).and_then(FixedOffset::east_opt);
    let time = DateTime::from_timestamp(seconds, 0);
    match (time, offset) {
        (Some(time), Some(offset)) => Ok(Moment::new(time.with_timezone(&offset))),
        _ => Err(rusqlite::Error::FromSqlConversionFailure(
            0,
            Type::Integer,
            "this is not a moment in time".into(),
        )),
    }
}
