//! The phone's pages as `./web/build` made them, embedded in the program.

/// A file: name with `/`, and what is in it.
pub(crate) type Page = (&'static str, &'static [u8]);

/// Every file; empty where the program was built before the pages.
pub(crate) const PAGES: &[Page] = include!(concat!(env!("OUT_DIR"), "/pages.rs"));
