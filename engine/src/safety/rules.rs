//! What follows from each thing seen: the rules of the hazard screen, as data.
//!
//! A rule names what was seen and says what changes, what it forbids until then and who must act. None
//! rests on a remembered number: levels of carbon monoxide and of gas come from the protocols of
//! [`crate::procedure::combustion`], and the area of mould is shown beside its published one.

use crate::doc::screen::{Found, Item};
use crate::procedure::source::{COMMON_PRACTICE, FROM_MEMORY};
use serde::Serialize;

/// What the screen comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Everything was looked at and nothing stands against the usual procedure.
    Go,
    /// The procedure changes.
    Changed,
    /// Something has not been looked at.
    Unfinished,
    /// The work ends until somebody acted.
    Stop,
}

/// What may not be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bars {
    /// Nothing.
    Nothing,
    /// Going into the place, opening it or reading in it.
    Entering,
    /// Drawing air down: test fan, exhausts, an air handler with doors shut.
    DrawingDown,
    /// Anything that moves the pressure of the house, either way.
    MovingAir,
    /// Everything.
    Everything,
}

/// Who must act.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Who {
    /// Emergency services, called from outside.
    Emergency,
    /// The gas utility, called from outside.
    GasUtility,
    /// A licensed heating contractor.
    HeatingContractor,
    /// A licensed electrician.
    Electrician,
    /// Whoever is licensed for asbestos.
    AsbestosInspector,
    /// Whoever is certified for lead.
    LeadCertified,
    /// A specialist for mould or sewage.
    Specialist,
    /// A builder or engineer.
    Builder,
    /// Those who live there.
    People,
    /// The neighbours.
    Neighbours,
    /// The tester.
    Tester,
}

/// One rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Its name: `screen-rule-...` in the catalogues says what changes.
    pub id: &'static str,
    /// Seen at what.
    pub item: Item,
    /// Seen how.
    pub found: &'static [Found],
    /// What it comes to: changed or stop.
    pub outcome: Outcome,
    /// What it forbids.
    pub bars: Bars,
    /// Whether somebody's recorded word to it lifts what it forbids; what changes stays.
    pub until_agreed: bool,
    /// Who must act.
    pub who: Who,
    /// Where it stands: an id of [`crate::procedure::source`].
    pub source: &'static str,
}

const SEEN: &[Found] = &[Found::Suspect, Found::Present];
const SUSPECT: &[Found] = &[Found::Suspect];
const PRESENT: &[Found] = &[Found::Present];

const fn rule(
    id: &'static str,
    (item, found): (Item, &'static [Found]),
    outcome: Outcome,
    bars: Bars,
    who: Who,
    source: &'static str,
) -> Rule {
    Rule { id, item, found, outcome, bars, until_agreed: false, who, source }
}

const fn agreed(rule: Rule) -> Rule {
    Rule { until_agreed: true, ..rule }
}

use Bars::{DrawingDown, Entering, Everything, MovingAir, Nothing};
use Outcome::{Changed, Stop};

/// Every rule.
pub const RULES: &[Rule] = &[
    rule("co-present", (Item::AmbientCo, PRESENT), Stop, Everything, Who::Emergency, COMMON_PRACTICE),
    rule("co-suspect", (Item::AmbientCo, SUSPECT), Changed, DrawingDown, Who::HeatingContractor, "bpi-1200"),
    // A smell alone is enough: nobody waits for a number.
    rule("gas-seen", (Item::Gas, SEEN), Stop, Everything, Who::GasUtility, COMMON_PRACTICE),
    agreed(rule("people-seen", (Item::People, SEEN), Changed, MovingAir, Who::People, "resnet-interim-2010")),
    rule("pets-seen", (Item::Pets, SEEN), Changed, Nothing, Who::People, "resnet-interim-2010"),
    agreed(rule(
        "neighbours-seen",
        (Item::Neighbours, SEEN),
        Changed,
        DrawingDown,
        Who::Neighbours,
        COMMON_PRACTICE,
    )),
    rule("flues-present", (Item::Flues, PRESENT), Stop, Everything, Who::HeatingContractor, "irc-2015-app-d"),
    rule(
        "flues-suspect",
        (Item::Flues, SUSPECT),
        Changed,
        DrawingDown,
        Who::HeatingContractor,
        "irc-2015-app-d",
    ),
    agreed(rule("unvented-seen", (Item::Unvented, SEEN), Changed, DrawingDown, Who::People, COMMON_PRACTICE)),
    rule("embers-present", (Item::Embers, PRESENT), Changed, DrawingDown, Who::People, "us-notice-11-6"),
    rule("embers-suspect", (Item::Embers, SUSPECT), Changed, DrawingDown, Who::Tester, COMMON_PRACTICE),
    rule("structure-seen", (Item::Structure, SEEN), Changed, Entering, Who::Builder, FROM_MEMORY),
    rule("wiring-seen", (Item::Wiring, SEEN), Changed, Nothing, Who::Electrician, FROM_MEMORY),
    rule(
        "asbestos-present",
        (Item::Asbestos, PRESENT),
        Changed,
        DrawingDown,
        Who::AsbestosInspector,
        "advisor-vermiculite",
    ),
    rule(
        "asbestos-suspect",
        (Item::Asbestos, SUSPECT),
        Changed,
        DrawingDown,
        Who::AsbestosInspector,
        "advisor-vermiculite",
    ),
    rule("asbestos-place", (Item::Asbestos, SEEN), Changed, Entering, Who::Tester, "advisor-vermiculite"),
    rule("mould-seen", (Item::Mould, SEEN), Changed, DrawingDown, Who::Specialist, FROM_MEMORY),
    rule("sewage-seen", (Item::Sewage, SEEN), Changed, DrawingDown, Who::Specialist, FROM_MEMORY),
    rule("lead-seen", (Item::Lead, SEEN), Changed, Nothing, Who::LeadCertified, "us-lead-rule"),
];

/// Area of visible mould from which published guidance sends for a specialist, m2 (10 ft2, from memory):
/// shown beside the area, decides nothing.
pub const MOULD_M2: f64 = 0.929_030_4;

/// Whether an item has to be looked at before air may be drawn down.
pub fn before_drawing(item: Item) -> bool {
    // Who looked for fuel is the gate's own question.
    item == Item::Fuel || RULES.iter().any(|r| r.item == item && r.bars >= DrawingDown)
}
