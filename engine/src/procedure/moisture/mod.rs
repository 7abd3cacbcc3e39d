//! Moisture in and on materials: mould over time, wood, relative meters, infrared pairs.
//!
//! A single reading at a surface is [`crate::procedure::surface`].

pub mod infrared;
pub mod meter;
pub mod mould;
pub mod wood;
