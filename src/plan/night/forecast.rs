//! A night's forecast out of what a message said.

use super::super::pad::{Told, wind_told};
use crate::clock::Moment;
use crate::knowledge::Equipment;
use crate::weather::{Series, Site, Stated, hourly_curve};

/// The hours drawn from the low ahead (and a high, the air now, the wind, if they were said); `None`
/// when no low was.
#[must_use]
pub fn stated_night(
    equipment: &Equipment,
    told: &dyn Told,
    at: Moment,
    site: Site,
) -> Option<Series> {
    let low_c = told.number("air.low_ahead")?;
    let stated = Stated {
        low_c,
        high_c: told.number("air.high_ahead"),
        now_c: told.number("air.temperature"),
        wind_m_s: wind_told(equipment, told),
        cloud: None,
    };
    Some(hourly_curve(&stated, at, site))
}
