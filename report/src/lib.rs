//! Results to documents.
