//! The only place that asks what time it is.

/// Today, as `2026-11-12`.
pub(crate) fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

/// Now, to the minute, with the offset from UTC.
pub(crate) fn now() -> String {
    jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M %:z").to_string()
}

/// Now, ms since 1970.
pub(crate) fn now_ms() -> i64 {
    jiff::Timestamp::now().as_millisecond()
}

/// A clock that nobody sets, for lengths of time.
#[allow(clippy::disallowed_methods, reason = "this is the place")]
pub(crate) fn monotonic() -> std::time::Instant {
    std::time::Instant::now()
}
