//! Corrections as series beside the raw one.
