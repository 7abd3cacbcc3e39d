//! Doubts about a series, as flags on stretches.
