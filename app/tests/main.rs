//! The program as its user runs it.
