//! `plans.toml`: named sets of changes to the house and its controls, searches among changes, and bad
//! days that plans live through.

mod change;
mod event;
mod read;
mod setting;

pub use change::{Change, Machine, RuleAct, RuledDevice, Sealing, SurfaceOf, Verb, When};
pub use event::{Event, EventKind, Size, Start};
pub use read::{SIZES, form, read, sizes};
pub use setting::{Setting, with_setting};

use super::Sp;

/// A named set of changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// A plan whose changes come first.
    pub extends: Option<Sp<String>>,
    /// First cost as written for the whole plan, money, low and high end.
    pub price: Option<(f64, f64)>,
    /// Currency of the first cost.
    pub currency: Option<Sp<&'static str>>,
    /// The changes, with their places.
    pub changes: Vec<Sp<Change>>,
    /// For each change, what it is paid by.
    pub paid: Vec<Paid>,
    /// Whether every change could be read: a plan without one of them is another plan.
    pub whole: bool,
}

/// What a change costs, as a name in the user's book of prices and how often.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Paid {
    /// Name of a price ([`super::job::Price`]) or of the size taken; nothing where none was named.
    pub by: Option<Sp<String>>,
    /// The name was written as a price and has to be there; the name of a size need not be.
    pub must: bool,
    /// How many.
    pub count: f64,
}

/// Changes of which the best combination is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Search {
    /// The name.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// A plan whose changes come first in every combination.
    pub extends: Option<Sp<String>>,
    /// Changes taken at once, at most.
    pub at_most: usize,
    /// The changes to choose from.
    pub choices: Vec<Choice>,
}

/// One change that a search may take.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What people read; the change in words where not told.
    pub label: Option<String>,
    /// The change.
    pub change: Sp<Change>,
    /// What it costs.
    pub paid: Paid,
    /// Of one group one at most is taken.
    pub group: Option<String>,
    /// Ends of its continuous setting, SI, on which the best is looked for.
    pub vary: Option<(f64, f64)>,
}

/// The whole document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plans {
    /// Plans.
    pub plans: Vec<Plan>,
    /// Searches.
    pub searches: Vec<Search>,
    /// Bad days.
    pub events: Vec<Event>,
}
