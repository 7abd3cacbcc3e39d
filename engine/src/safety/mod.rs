//! Keeping people from harm on a visit: the hazard screen before anything is switched on, what it
//! forbids, the states in which combustion is tested, and what has to be put back.
//!
//! States what was seen, what follows by which published or customary rule, and who must act; says of
//! nothing that it is in order. What was not looked at is said. `docs/SAFETY.md`.

mod expect;
mod flags;
mod guide;
mod repeat;
mod restore;
mod rules;
mod screen;

pub use expect::{Expected, Weather, expect};
pub use flags::{Flag, against};
pub use guide::{Guide, Record, Stand, Step, Try, guides, states};
pub use repeat::{AFTER_SOURCE, DAY_SOURCE, Day, Repeats, Standing, repeats};
pub use restore::{
    Back, Because, Disturbed, Prepared, Restore, Sort, check as check_restored, plain, restore,
};
pub use rules::{Bars, MOULD_M2, Outcome, RULES, Rule, Who, before_drawing};
pub use screen::{Around, KnownFrom, Lack, Mark, Missing, Reason, Screen, Seen, carry, check, screen};
