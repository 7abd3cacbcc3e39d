//! The only place that asks what time it is.

/// Today, as `2026-11-12`.
pub(crate) fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

/// Now, to the minute, with the offset from UTC.
pub(crate) fn now() -> String {
    jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M %:z").to_string()
}

/// Now, in milliseconds since 1970 in UTC.
pub(crate) fn now_ms() -> i64 {
    jiff::Timestamp::now().as_millisecond()
}

/// A moment as people read it, in UTC.
pub(crate) fn moment(ms: i64) -> String {
    jiff::Timestamp::from_millisecond(ms)
        .map_or_else(|_| ms.to_string(), |t| t.strftime("%Y-%m-%d %H:%M:%SZ").to_string())
}

/// What a stretch of time took, for measurements of this program's speed.
#[derive(Clone, Copy)]
pub(crate) struct Watch(std::time::Instant);

impl Watch {
    /// Begins now.
    #[allow(clippy::disallowed_methods, reason = "this is the clock")]
    pub(crate) fn start() -> Watch {
        Watch(std::time::Instant::now())
    }

    /// Seconds since the start.
    pub(crate) fn seconds(&self) -> f64 {
        self.0.elapsed().as_secs_f64()
    }
}

/// A clock that nobody sets, for lengths of time.
#[allow(clippy::disallowed_methods, reason = "this is the place")]
pub(crate) fn monotonic() -> std::time::Instant {
    std::time::Instant::now()
}
