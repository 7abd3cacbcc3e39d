//! How the names of a watch are said: as whoever wrote them writes them, or as people call what they name.

use engine::doc::house::House;
use engine::doc::watch::{HANDLER, OUTDOORS, Watch};
use engine::rule::spelled;
use engine::watch::Field;
use report::words::Words;

/// Names of traces, devices and places.
#[derive(Clone, Debug)]
pub(crate) enum Names {
    /// As they are written, for whoever wrote them.
    Written,
    /// As people call them.
    Called(Called),
}

impl Names {
    /// What a trace, a device or a place is called.
    pub(crate) fn say(&self, id: &str, words: &Words) -> String {
        match self {
            Names::Written => id.to_owned(),
            Names::Called(called) => called.say(id, words),
        }
    }
}

/// What people call the places of a house.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// Zones, fans and doors by their names as a trace spells them.
    labels: Vec<(String, String)>,
}

impl Places {
    /// As a house names them.
    pub fn of(house: Option<&House>) -> Places {
        let labels = house.map_or_else(Vec::new, |h| {
            let zones = h.zones.iter().map(|z| (&z.name.value, &z.label));
            let fans = h.fans.iter().map(|f| (&f.name.value, &f.label));
            let doors = h.doors.iter().map(|d| (&d.name.value, &d.label));
            zones.chain(fans).chain(doors).map(|(name, label)| (spelled(name), label.clone())).collect()
        });
        Places { labels }
    }

    /// What a place is called; what nobody knows stays as it is written.
    pub fn say(&self, id: &str, words: &Words) -> String {
        let plain = spelled(id);
        match (self.labels.iter().find(|l| l.0 == plain), id) {
            (Some((_, label)), _) => label.clone(),
            (None, OUTDOORS | "outdoor") => words.say("watch-place-outdoor"),
            (None, HANDLER) => words.say("watch-place-air-handler"),
            (None, other) => spaced(other),
        }
    }
}

/// What people call the places of a house, and where its traces are taken.
#[derive(Clone, Debug, Default)]
pub(crate) struct Called {
    places: Places,
    traces: Vec<Named>,
}

/// A trace whose name does not say where it is taken.
#[derive(Clone, Debug)]
pub(crate) struct Named {
    /// Its name.
    pub(crate) name: String,
    /// What its own document calls it, where it does.
    pub(crate) label: Option<String>,
    /// A zone, fan or door of the house, its air handler, or outdoors.
    pub(crate) place: String,
    /// What it measures, where the watch has a word for it.
    pub(crate) field: Option<Field>,
}

impl Called {
    /// By the documents of a house and its watch.
    pub(crate) fn of(house: Option<&House>, watch: &Watch) -> Called {
        let traces = watch.sources.iter().map(|s| {
            let name = s.name.value.clone();
            // Without a label the document has the name for one.
            let label = Some(s.label.clone()).filter(|l| *l != spaced(&name));
            let field = if s.word == "run_share" { Some(Field::On) } else { Field::named(s.word) };
            Named { name, label, place: s.place.value.clone(), field }
        });
        Called { places: Places::of(house), traces: traces.collect() }
    }

    /// The same with traces that the documents do not tell of.
    pub(crate) fn with(mut self, traces: impl IntoIterator<Item = Named>) -> Called {
        for trace in traces {
            if self.named(&trace.name).is_none() {
                self.traces.push(trace);
            }
        }
        self
    }

    fn named(&self, id: &str) -> Option<&Named> {
        self.traces.iter().find(|t| t.name == id)
    }

    /// What a trace, a device or a place is called; what nobody knows stays as it is written.
    fn say(&self, id: &str, words: &Words) -> String {
        let Some(trace) = self.named(id) else {
            let of = id.split_once('.').and_then(|(place, field)| Some((place, Field::named(field)?)));
            return match of {
                Some((place, field)) => self.measured(place, &field_word(field, words), words),
                None => self.places.say(id, words),
            };
        };
        if let Some(label) = &trace.label {
            return label.clone();
        }
        let Some(field) = trace.field else { return self.measured(&trace.place, &spaced(id), words) };
        let said = self.measured(&trace.place, &field_word(field, words), words);
        // Two of a kind at one place are told apart by their own names.
        let alike = |t: &&Named| t.label.is_none() && t.place == trace.place && t.field == trace.field;
        match self.traces.iter().filter(alike).count() {
            1 => said,
            _ => format!("{said} ({})", spaced(id)),
        }
    }

    fn measured(&self, place: &str, what: &str, words: &Words) -> String {
        let place = self.places.say(place, words);
        if what.starts_with(&place) {
            return what.to_owned();
        }
        words.text("watch-trace-name", &[("place", place.into()), ("what", what.into())])
    }
}

fn field_word(field: Field, words: &Words) -> String {
    words.say(&format!("watch-field-{}", field.name().replace('_', "-")))
}

fn spaced(id: &str) -> String {
    id.replace('_', " ")
}
