//! What people call the places where sources stand, in the job's language.

use engine::doc::house::House;
use report::words::Words;

/// Places of a house by the names of its watch.
#[derive(Clone, Debug)]
pub(super) struct Places {
    named: api::watch::Places,
    words: Words,
}

impl Places {
    /// As the house names them.
    pub(super) fn of(house: Option<&House>, words: &Words) -> Places {
        Places { named: api::watch::Places::of(house), words: *words }
    }

    /// What a place is called.
    pub(super) fn say(&self, name: &str) -> String {
        self.named.say(name, &self.words)
    }
}
