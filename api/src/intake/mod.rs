//! Readings from anything: files and messages of any logger, by a mapping made by looking.
//!
//! Pure: bytes come in, rows go out, also on a phone. [`look::look`] proposes a [`mapping::Mapping`] and asks
//! what the text does not tell; [`read::read`] reads through it row by row with bounded memory;
//! [`write::Writer`] makes the series beside a visit of it and checks its quality on the way.
//! [`senml`], [`bthome`] and [`json`] read single messages to the same [`message::Row`]s, for live
//! sources too. Nothing here panics or grows with what a sender sends.

pub mod bthome;
pub mod guess;
pub mod job;
pub mod json;
pub mod look;
pub mod mapping;
pub mod message;
#[cfg(any(test, feature = "fuzzing"))]
pub mod parsers;
pub mod read;
pub mod reject;
pub mod senml;
mod show;
#[cfg(test)]
mod tests;
pub mod text;
pub mod time;
pub mod write;
