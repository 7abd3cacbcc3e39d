//! The usual preparation of a house for each procedure, and what of it has to be put back.
//!
//! The lists are common practice and recalled from memory, worded by us; the page shows them as
//! "usual, check your edition" and the tester changes them. They decide nothing.

use self::Kind::{Device, Fan, Opening, Trap};
use self::State::{Closed, Open, Sealed};
use super::draft::{Draft, Prepared, is_typed};
use report::words::Words;
use serde::Serialize;

/// How an opening or a device stands during the test.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum State {
    Open,
    Closed,
    Sealed,
}

impl State {
    pub(super) const ALL: [State; 3] = [Open, Closed, Sealed];

    pub(super) fn id(self) -> &'static str {
        match self {
            Open => "open",
            Closed => "closed",
            Sealed => "sealed",
        }
    }

    pub(super) fn of(id: &str) -> Option<State> {
        State::ALL.into_iter().find(|s| s.id() == id.trim())
    }
}

/// Decides the words for the three states.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Kind {
    /// Doors, windows, vents: open, closed, sealed.
    Opening,
    /// Fans with an opening of their own, always off: left as it is, shut, sealed.
    Fan,
    /// What runs by itself: left on, switched off, switched off and sealed.
    Device,
    /// Water that shuts a drain: left, filled, sealed.
    Trap,
}

impl Kind {
    fn id(self) -> &'static str {
        match self {
            Opening => "opening",
            Fan => "fan",
            Device => "device",
            Trap => "trap",
        }
    }
}

/// One line of a preparation list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Item {
    pub(super) id: &'static str,
    pub(super) kind: Kind,
    pub(super) usual: State,
    /// Whether closing it (switching it off) has to be undone after the test.
    pub(super) restore: bool,
}

const fn item(id: &'static str, kind: Kind, usual: State, restore: bool) -> Item {
    Item { id, kind, usual, restore }
}

/// Most urgent first: what burns, then what blows, then what opens.
const ITEMS: &[Item] = &[
    item("appliance", Device, Closed, true),
    item("fireplace", Opening, Closed, true),
    item("air-handler", Device, Closed, true),
    item("ventilation", Device, Closed, true),
    item("exhaust-fans", Fan, Open, false),
    item("range-hood", Fan, Open, false),
    item("dryer", Device, Closed, false),
    item("windows", Opening, Closed, false),
    item("inside-doors", Opening, Open, false),
    item("attic-hatch", Opening, Closed, false),
    item("trickle-vents", Opening, Closed, true),
    item("combustion-air", Opening, Open, true),
    item("registers", Opening, Open, true),
    item("room-coolers", Device, Closed, true),
    item("traps", Trap, Closed, false),
];

/// Where a procedure usually wants another state than the list says.
fn usual(profile: &str, item: &Item) -> State {
    match (profile, item.id) {
        ("iso-9972", "ventilation" | "exhaust-fans" | "trickle-vents") => Sealed,
        ("iso-9972", "range-hood" | "combustion-air") => Closed,
        ("cgsb-149.10", "ventilation" | "exhaust-fans" | "range-hood" | "dryer" | "combustion-air") => Sealed,
        (p, "ventilation") if p.starts_with("resnet") => Sealed,
        _ => item.usual,
    }
}

/// The list of a procedure.
pub(super) fn items(profile: &str) -> Vec<Item> {
    ITEMS.iter().map(|i| Item { usual: usual(profile, i), ..*i }).collect()
}

pub(super) fn item_of(id: &str) -> Option<&'static Item> {
    ITEMS.iter().find(|i| i.id == id.trim())
}

/// What people read; the tester's own words stand for themselves.
pub(super) fn label(id: &str, words: &Words) -> String {
    match item_of(id) {
        Some(item) => words.say(&format!("phone-prep-{}", item.id)),
        None => id.trim().to_owned(),
    }
}

pub(super) fn state_words(kind: Kind, state: State, words: &Words) -> String {
    words.say(&format!("phone-state-{}-{}", kind.id(), state.id()))
}

/// Whether the preparation has disturbed something that must be put back.
pub(super) fn is_disturbed(prepared: &Prepared) -> bool {
    match State::of(&prepared.state) {
        Some(Sealed) => true,
        Some(Closed) => item_of(&prepared.id).is_some_and(|i| i.restore),
        _ => false,
    }
}

/// What must be put back, in the order of the list.
pub(super) fn restore_list(draft: &Draft) -> Vec<&Prepared> {
    draft.preparation.iter().filter(|p| is_typed(&p.id) && is_disturbed(p)).collect()
}

/// Whether something disturbed is not put back yet.
pub(super) fn is_restore_open(draft: &Draft) -> bool {
    restore_list(draft).iter().any(|p| !p.restored)
}

/// The list as the documents hold it: what, and how with whether it was put back.
pub(super) fn written(draft: &Draft, words: &Words) -> Vec<(String, String)> {
    let line = |p: &Prepared| {
        let state = State::of(&p.state)?;
        let kind = item_of(&p.id).map_or(Opening, |i| i.kind);
        let mut how = state_words(kind, state, words);
        if is_disturbed(p) {
            let after = if p.restored { "phone-restored" } else { "phone-to-restore" };
            how = format!("{how}, {}", words.say(after));
        }
        Some((label(&p.id, words), how))
    };
    draft.preparation.iter().filter(|p| is_typed(&p.id)).filter_map(line).collect()
}

/// The list as the sheet prints it: what stands alike together, what is to be put back first.
pub(super) fn grouped(draft: &Draft, words: &Words) -> Vec<String> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for (what, how) in written(draft, words) {
        match groups.iter_mut().find(|g| g.0 == how) {
            Some(group) => group.1.push(what),
            None => groups.push((how, vec![what])),
        }
    }
    let open = format!(", {}", words.say("phone-to-restore"));
    groups.sort_by_key(|g| !g.0.ends_with(&open));
    groups.into_iter().map(|(how, what)| format!("{how}: {}", what.join(", "))).collect()
}

/// The way back from [`written`]; a line in other words becomes a line of the tester's own, all its
/// words kept, that waits for a state.
pub(super) fn read_back(what: &str, how: &str, words: &Words) -> Prepared {
    let item = ITEMS.iter().find(|i| label(i.id, words) == what);
    let kind = item.map_or(Opening, |i| i.kind);
    let cut = |key: &str| how.strip_suffix(&format!(", {}", words.say(key)));
    let (state, restored) = match (cut("phone-restored"), cut("phone-to-restore")) {
        (Some(state), _) => (state, true),
        (None, Some(state)) => (state, false),
        (None, None) => (how, false),
    };
    match State::ALL.into_iter().find(|s| state_words(kind, *s, words) == state) {
        Some(state) => {
            Prepared { id: item.map_or(what, |i| i.id).to_owned(), state: state.id().to_owned(), restored }
        }
        None => Prepared { id: format!("{what} ({how})"), ..Prepared::default() },
    }
}

/// Whether a line in the phone's words, of this language, means that something has to be put back, and
/// whether it says that it was; nothing for a line in other words.
pub(crate) fn preparation(what: &str, how: &str, words: &Words) -> Option<(bool, bool)> {
    let read = read_back(what, how, words);
    // Read back with a state: the words were ours.
    State::of(&read.state)?;
    Some((is_disturbed(&read), read.restored))
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::procedure::envelope::PROFILES;
    use engine::units::System;
    use report::words::Language;

    #[test]
    fn every_list_has_words_in_every_language() {
        for language in Language::ALL {
            let words = Words::new(language, System::Si);
            for profile in PROFILES {
                for item in items(profile.id) {
                    assert_ne!(label(item.id, &words), format!("phone-prep-{}", item.id));
                    for state in State::ALL {
                        let said = state_words(item.kind, state, &words);
                        assert!(!said.starts_with("phone-"), "{said}");
                        let p = Prepared { id: item.id.into(), state: state.id().into(), restored: true };
                        let draft = Draft { preparation: vec![p.clone()], ..Draft::default() };
                        for (what, how) in written(&draft, &words) {
                            let back = read_back(&what, &how, &words);
                            assert_eq!((back.id, back.state), (p.id.clone(), p.state.clone()));
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn what_was_switched_off_or_sealed_must_be_put_back() {
        let p = |id: &str, state: &str| Prepared { id: id.into(), state: state.into(), restored: false };
        let wanted = [
            ("appliance", "closed", true),
            ("appliance", "open", false),
            ("windows", "closed", false),
            ("exhaust-fans", "sealed", true),
            ("cat flap", "sealed", true),
            ("cat flap", "closed", false),
        ];
        for (id, state, disturbed) in wanted {
            assert_eq!(is_disturbed(&p(id, state)), disturbed, "{id} {state}");
        }
        let mut draft = Draft { preparation: vec![p("appliance", "closed")], ..Draft::default() };
        assert!(is_restore_open(&draft));
        draft.preparation[0].restored = true;
        assert!(!is_restore_open(&draft) && restore_list(&draft).len() == 1);
    }
}
