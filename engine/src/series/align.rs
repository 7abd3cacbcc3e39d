//! Offset between the clocks of two loggers.
