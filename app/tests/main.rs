//! The program as its user runs it: whole commands, exit status, what is printed and written.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "clippy sees as tests only functions marked so, not their helpers; a test that cannot go on fails"
)]

mod demo;
mod desk;
mod exchange;
mod fans;
mod field;
mod field_ducts;
mod field_sealing;
mod field_tracer;
mod field_vent;
mod field_zones;
mod import;
mod mistakes;
mod next;
#[cfg(feature = "pdf")]
mod pdf;
mod phone;
mod plans;
mod rooms;
mod run;
mod safety;
mod single;
mod store;
mod watch_live;
mod watched_house;
