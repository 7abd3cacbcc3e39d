//! The parts of `visit.toml` that keep people from harm: what was looked at before anything was switched
//! on, who agreed to what, what was touched and put back, what was changed, and the close of the visit.

use super::Sp;
use super::field::combustion_zone::{PROTOCOL_IDS, ProtocolId};
use super::read::Tab;
use crate::diag::{Diagnostic, Span, code};
use crate::units::Quantity as Q;
use serde::Serialize;

/// What is looked at before anything is switched on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Item {
    /// Carbon monoxide in the air, from the doorstep on.
    AmbientCo,
    /// Smell of gas, and what the leak detector says.
    Gas,
    /// People whom a test may harm: asthma, oxygen, infants.
    People,
    /// Animals.
    Pets,
    /// Neighbours' appliances: a shared flue, an attached house.
    Neighbours,
    /// Fuel in or at the house: `[combustion]`.
    Fuel,
    /// Flues and vents: blocked, rusted, apart.
    Flues,
    /// Heaters without a flue.
    Unvented,
    /// Fire, embers and ash.
    Embers,
    /// Floors, stairs, joists, heat under the roof.
    Structure,
    /// Knob-and-tube or unknown wiring.
    Wiring,
    /// Asbestos and vermiculite.
    Asbestos,
    /// Mould.
    Mould,
    /// Sewage.
    Sewage,
    /// Lead paint.
    Lead,
}

/// Their words in documents, in a good order of looking: what acts at once first, at the door; then what
/// burns, then what one walks on, then what air would carry, last what only the work disturbs.
pub const ITEMS: &[(&str, Item)] = &[
    ("ambient_co", Item::AmbientCo),
    ("gas", Item::Gas),
    ("people", Item::People),
    ("pets", Item::Pets),
    ("neighbours", Item::Neighbours),
    ("fuel", Item::Fuel),
    ("flues", Item::Flues),
    ("unvented", Item::Unvented),
    ("embers", Item::Embers),
    ("structure", Item::Structure),
    ("wiring", Item::Wiring),
    ("asbestos", Item::Asbestos),
    ("mould", Item::Mould),
    ("sewage", Item::Sewage),
    ("lead", Item::Lead),
];

impl Item {
    /// The word in documents.
    pub fn word(self) -> &'static str {
        ITEMS.iter().find(|i| i.1 == self).map_or("", |i| i.0)
    }

    /// The word as part of a catalogue key.
    pub fn key(self) -> String {
        self.word().replace('_', "-")
    }
}

/// What a look found. Not looked at is the absence of a look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// Looked at, nothing seen.
    NoneSeen,
    /// May be there.
    Suspect,
    /// Is there.
    Present,
}

/// The words of documents.
pub const FOUND: &[(&str, Found)] =
    &[("none seen", Found::NoneSeen), ("suspect", Found::Suspect), ("present", Found::Present)];

/// One look.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// At what.
    pub item: Item,
    /// What was found.
    pub found: Found,
    /// Who looked.
    pub looked_by: Option<String>,
    /// Where, in words.
    pub place: Option<String>,
    /// The zone of `house.toml` that it is in.
    pub zone: Option<Sp<String>>,
    /// When.
    pub time: Option<String>,
    /// Photos: path within the job folder, or the SHA-256 of an attachment.
    pub photos: Vec<Sp<String>>,
    /// Anything else.
    pub note: Option<String>,
    /// Carbon monoxide, the highest reading, volume fraction.
    pub highest: Option<Sp<f64>>,
    /// Whose levels of carbon monoxide it is held against.
    pub protocol: Option<ProtocolId>,
    /// Gas in the air, as a share of the lower explosive limit.
    pub lel: Option<f64>,
    /// Visible mould, m2.
    pub area_m2: Option<f64>,
    /// Where it was written.
    pub span: Span,
}

/// Somebody's word.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Agreed {
    /// Who.
    pub who: String,
    /// To what.
    pub to: String,
    /// Which item it settles; nothing for a general word, such as a disclosure.
    pub about: Option<Item>,
    /// When.
    pub when: String,
}

/// What was looked at on one visit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hazards {
    /// Whether there is such a table in its long form: who looked, or a table an item.
    pub begun: bool,
    /// The looks, in the order of [`ITEMS`].
    pub looks: Vec<Look>,
}

impl Hazards {
    /// The look at an item.
    pub fn get(&self, item: Item) -> Option<&Look> {
        self.looks.iter().find(|l| l.item == item)
    }
}

/// On what work was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChangedPart {
    /// The shell: something was sealed, insulated, replaced.
    Shell,
    /// Air handler or ducts.
    Handler,
    /// An exhaust or supply fan.
    Fan,
    /// An appliance or its flue.
    Appliance,
    /// Anything that an appliance does not feel.
    Other,
}

const PARTS: &[(&str, ChangedPart)] = &[
    ("shell", ChangedPart::Shell),
    ("handler", ChangedPart::Handler),
    ("fan", ChangedPart::Fan),
    ("appliance", ChangedPart::Appliance),
    ("other", ChangedPart::Other),
];

/// Work that was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Changed {
    /// What.
    pub what: String,
    /// On what.
    pub part: ChangedPart,
    /// When, as written; the day is [`Changed::day`].
    pub when: Option<String>,
    /// The day: that of `when` where it has one, else the visit's.
    pub day: String,
    /// Where it was written.
    pub span: Span,
}

/// Something the visit touched that no reading names, noted by hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Touched {
    /// What.
    pub what: Sp<String>,
    /// How it was found.
    pub found: Option<String>,
    /// How it was left for the tests.
    pub left: Option<String>,
}

/// Things put back.
#[derive(Clone, Debug, PartialEq)]
pub struct Restored {
    /// Which, by their names on the restore list.
    pub what: Vec<Sp<String>>,
    /// Who.
    pub by: String,
    /// When.
    pub when: String,
}

/// The close of a visit.
#[derive(Clone, Debug, PartialEq)]
pub struct Closed {
    /// Who.
    pub by: String,
    /// When.
    pub when: String,
    /// Where it was written.
    pub span: Span,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Care {
    /// What was looked at.
    pub hazards: Hazards,
    /// Who agreed to what.
    pub agreed: Vec<Agreed>,
    /// State of the house as found, where it is another than `[start]`.
    pub found: Vec<(Sp<String>, Sp<String>)>,
    /// Things touched, noted by hand.
    pub touched: Vec<Touched>,
    /// Things put back.
    pub restored: Vec<Restored>,
    /// Work done.
    pub changed: Vec<Changed>,
    /// The visit is over.
    pub closed: Option<Closed>,
}

/// Reads these parts of a visit of this date.
pub(super) fn read(top: &Tab<'_, '_>, date: &str) -> Care {
    Care {
        hazards: top.table("hazards").map(|t| hazards(&t)).unwrap_or_default(),
        agreed: top.list("agreed").iter().filter_map(agreed).collect(),
        found: top.pairs("found"),
        touched: top.list("touched").iter().filter_map(touched).collect(),
        restored: top.list("restored").iter().filter_map(restored).collect(),
        changed: top.list("changed").iter().filter_map(|t| changed(t, date)).collect(),
        closed: top.table("closed").and_then(|t| {
            let (by, when) = (t.need("by", t.text("by")), t.need("when", t.text("when")));
            Some(Closed { by: by?.value, when: when?.value, span: t.span() })
        }),
    }
}

fn hazards(t: &Tab<'_, '_>) -> Hazards {
    let everyone = t.text("looked_by").map(|w| w.value);
    // Fuel has a table of its own, `[combustion]`.
    if t.has("fuel") {
        t.say(Diagnostic::error(code::O101).at(t.span_of("fuel")));
        t.ask("fuel");
    }
    let mut looks = Vec::new();
    let mut begun = everyone.is_some();
    for (word, item) in ITEMS.iter().filter(|i| i.1 != Item::Fuel) {
        // A bare true or false is the short form.
        if t.has(word) && !t.holds_table(word) {
            let found = t.flag(word).map(|is| if is { Found::Present } else { Found::NoneSeen });
            looks.extend(found.map(|found| Look {
                item: *item,
                found,
                looked_by: everyone.clone(),
                place: None,
                zone: None,
                time: None,
                photos: Vec::new(),
                note: None,
                highest: None,
                protocol: None,
                lel: None,
                area_m2: None,
                span: t.span_of(word),
            }));
        } else if let Some(one) = t.table(word) {
            begun = true;
            looks.extend(look(&one, *item, everyone.as_ref()));
        }
    }
    Hazards { begun, looks }
}

fn look(t: &Tab<'_, '_>, item: Item, everyone: Option<&String>) -> Option<Look> {
    let found = t.need("state", t.choice("state", FOUND));
    let text = |key| t.text(key).map(|w| w.value);
    let looked_by = text("looked_by").or_else(|| everyone.cloned());
    let (place, time, note) = (text("where"), text("time"), text("note"));
    let photos = t.text_or_texts("photo");
    let is = |wanted: Item| item == wanted;
    let zoned = matches!(item, Item::Asbestos | Item::Structure | Item::Mould | Item::Sewage | Item::Wiring);
    let zone = if zoned { t.text("zone") } else { None };
    let highest = if is(Item::AmbientCo) { t.bounded("highest", Q::GasFraction, 0.0..=0.1) } else { None };
    let protocol = if is(Item::AmbientCo) { t.choice("protocol", PROTOCOL_IDS) } else { None };
    let lel = if is(Item::Gas) { t.bounded("lel", Q::Fraction, 0.0..=1.0) } else { None };
    let area = if is(Item::Mould) { t.bounded("area", Q::Area, 0.0..=1e4) } else { None };
    Some(Look {
        item,
        found: found?.value,
        looked_by,
        place,
        zone,
        time,
        photos,
        note,
        highest,
        protocol: protocol.map(|p| p.value),
        lel: lel.map(|l| l.value),
        area_m2: area.map(|a| a.value),
        span: t.span(),
    })
}

fn agreed(t: &Tab<'_, '_>) -> Option<Agreed> {
    let word = |key| t.need(key, t.text(key)).map(|w| w.value);
    let (who, to, when) = (word("who"), word("to"), word("when"));
    let about = t.choice("about", ITEMS).map(|a| a.value);
    Some(Agreed { who: who?, to: to?, about, when: when? })
}

fn touched(t: &Tab<'_, '_>) -> Option<Touched> {
    let what = t.need("what", t.text("what"));
    let (found, left) = (t.text("found").map(|w| w.value), t.text("left").map(|w| w.value));
    Some(Touched { what: what?, found, left })
}

fn restored(t: &Tab<'_, '_>) -> Option<Restored> {
    let what = t.text_or_texts("what");
    if what.is_empty() {
        t.need::<()>("what", None);
    }
    let word = |key| t.need(key, t.text(key)).map(|w| w.value);
    let (by, when) = (word("by"), word("when"));
    (!what.is_empty()).then_some(())?;
    Some(Restored { what, by: by?, when: when? })
}

fn changed(t: &Tab<'_, '_>, date: &str) -> Option<Changed> {
    let what = t.need("what", t.text("what"));
    let part = t.choice("part", PARTS).map_or(ChangedPart::Shell, |p| p.value);
    let when = t.text("when");
    Some(Changed {
        what: what?.value,
        part,
        day: day_of(when.as_ref().map(|w| w.value.as_str()), date),
        when: when.map(|w| w.value),
        span: t.span(),
    })
}

/// The day that a time names, or the visit's.
pub(crate) fn day_of(when: Option<&str>, date: &str) -> String {
    let first = when.and_then(|w| w.trim().get(..10)).filter(|d| d.parse::<jiff::civil::Date>().is_ok());
    first.unwrap_or(date).to_owned()
}
