//! See `api::intake::parsers`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| api::intake::parsers::files(bytes));
