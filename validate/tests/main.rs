//! Checks of the engine against the outside world.

mod transport;
mod year;
