//! Checks of the engine against the outside world; not published.

pub mod fit_cases;
