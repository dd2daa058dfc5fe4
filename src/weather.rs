//! Hourly weather: read from files or made from a stated low and high.
