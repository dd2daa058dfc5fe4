//! What is due as a calendar (RFC 5545): an all-day event for each task, its id always the same, so that importing the
//! calendar again moves the event instead of adding another.

use crate::clock::Moment;
use crate::plan::PoolDue;
use chrono::TimeDelta;
use icalendar::{Calendar, Component, Event, EventLike};

/// Writes a calendar.
#[must_use]
pub fn calendar(round: &[PoolDue], at: Moment) -> String {
    let mut calendar = Calendar::new();
    calendar.name("Pools: what is due");
    // A later calendar wins over an earlier one (RFC 5545, section 3.8.7.4): hours since 2020.
    let sequence = (at.time().timestamp() - 1_577_836_800).max(0) / 3600;
    for pool in round {
        for item in &pool.items {
            let day = item.due.max(at.date());
            let uid = format!("{}.{}@brumal", item.task, pool.pool);
            let event = Event::new()
                .uid(&uid)
                .timestamp(at.time().to_utc())
                .sequence(u32::try_from(sequence).unwrap_or(0))
                .summary(&format!("{}: {}", pool.name, item.title))
                .description(&item.why)
                .location(&pool.name)
                .starts(day)
                .ends(day + TimeDelta::days(1))
                .add_property("TRANSP", "TRANSPARENT")
                .done();
            calendar.push(event);
        }
    }
    // The library names itself as the maker; the calendar is ours.
    calendar.done().to_string().replacen(
        "PRODID:ICALENDAR-RS",
        "PRODID:-//Brumal//What is due//EN",
        1,
    )
}
