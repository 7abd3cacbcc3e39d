//! Plans side by side, and what they come to on bad days.

use super::{Limit, Number};
use serde::{Deserialize, Serialize};

/// Whether a plan may be acted on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlanStatus {
    /// Computed, not released, and why.
    Held(Vec<String>),
    /// May go into a work scope, to be kept to these conditions; none where nothing in it is felt by
    /// an appliance that burns fuel.
    Released(Vec<String>),
}

/// A plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// Letter on the page.
    pub letter: String,
    /// Name.
    pub name: String,
    /// What is changed.
    pub changes: Vec<String>,
    /// Price.
    pub price: Number,
    /// Held or released.
    pub status: PlanStatus,
    /// Chance of being best, 0 to 1; 0 for a held plan.
    pub best_frac: f64,
    /// For a held plan: the chance of being best if every plan were released, 0 to 1.
    pub if_released_frac: Option<f64>,
    /// Chance of meeting every target, 0 to 1.
    pub targets_frac: f64,
    /// Whether it is the best one; never true for a held plan.
    pub best: bool,
}

/// One score of all plans.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Score {
    /// What is scored.
    pub name: String,
    /// Place and period.
    pub detail: String,
    /// Target, if there is one.
    pub target: Option<Limit>,
    /// The house as found.
    pub as_found: Option<Number>,
    /// One number a plan, in the order of the plans.
    pub plans: Vec<Number>,
}

/// Plans side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plans {
    /// What best means here.
    pub rule: String,
    /// The plans.
    pub list: Vec<Plan>,
    /// Chance that leaving the house as found is best, 0 to 1. With the plans' `best_frac` it makes 1.
    pub as_found_frac: f64,
    /// Chance that no plan meets every target, 0 to 1.
    pub none_meets_frac: f64,
    /// Scores, a figure each.
    pub scores: Vec<Score>,
    /// Other quantities, a row each.
    pub rest: Vec<Score>,
    /// What the doubt between the best hangs on, what searches found; a sentence each.
    pub notes: Vec<String>,
    /// Bad days that the plans lived through.
    pub bad_days: Vec<BadDays>,
}

/// An event and what it came to in every plan.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct BadDays {
    /// What happens, for how long, from which day on.
    pub title: String,
    /// In how many houses, and what the reader must know.
    pub note: String,
    /// A quantity each.
    pub rows: Vec<BadDaysRow>,
}

/// One quantity of an event.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BadDaysRow {
    /// What.
    pub name: String,
    /// The house as found.
    pub as_found: Number,
    /// For each plan its value, and that less the house as found.
    pub plans: Vec<[Number; 2]>,
}
