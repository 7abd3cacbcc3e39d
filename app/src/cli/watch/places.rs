//! What people call the places where sources stand.

use engine::doc::house::House;
use engine::doc::watch::{HANDLER, OUTDOORS};
use engine::rule::spelled;
use report::words::Words;

/// Places of a house by the names of its watch.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    called: Vec<(String, String)>,
}

impl Places {
    /// As the house names its zones, fans and doors, and the catalogue what lies outside of them.
    pub(super) fn of(house: Option<&House>, words: &Words) -> Places {
        let outside = [(OUTDOORS, "watch-place-outdoor"), (HANDLER, "watch-place-air-handler")];
        let mut called: Vec<(String, String)> =
            outside.map(|(name, key)| (spelled(name), words.say(key))).to_vec();
        if let Some(h) = house {
            called.extend(h.zones.iter().map(|z| (spelled(&z.name.value), z.label.clone())));
            called.extend(h.fans.iter().map(|f| (spelled(&f.name.value), f.label.clone())));
            called.extend(h.doors.iter().map(|d| (spelled(&d.name.value), d.label.clone())));
        }
        Places { called }
    }

    /// What a place is called; what nobody knows stays as it is written.
    pub(super) fn say(&self, name: &str) -> String {
        let plain = spelled(name);
        let known = self.called.iter().find(|c| c.0 == plain);
        known.map_or_else(|| name.replace('_', " "), |(_, label)| label.clone())
    }
}
