//! Signals of control rules in the words of a house.

use engine::rule::{Set, spelled};
use report::words::Words;

/// Words of a field, by what it is a signal of.
const ROOM: [(&str, &str); 8] = [
    ("temp", "signal-room-temp"),
    ("rh", "signal-room-rh"),
    ("dew_point", "signal-room-dew-point"),
    ("humidity_ratio", "signal-room-humidity-ratio"),
    ("humidity_rise", "signal-room-humidity-rise"),
    ("co2", "signal-room-co2"),
    ("pm25", "signal-room-pm25"),
    ("people", "signal-room-people"),
];
const DEVICE: [(&str, &str); 9] = [
    ("on", "signal-device-on"),
    ("flow", "signal-device-flow"),
    ("pressure", "signal-device-pressure"),
    ("filter_drop", "signal-device-filter-drop"),
    ("power", "signal-device-power"),
    ("run_share", "signal-device-run-share"),
    ("coil_water", "signal-device-coil-water"),
    ("mixing_power", "signal-device-mixing-power"),
    ("leak_air", "signal-device-leak-air"),
];
const OTHER: [(&str, &str); 24] = [
    ("outdoor.temp", "signal-outdoor-temp"),
    ("outdoor.rh", "signal-outdoor-rh"),
    ("outdoor.dew_point", "signal-outdoor-dew-point"),
    ("outdoor.humidity_ratio", "signal-outdoor-humidity-ratio"),
    ("outdoor.pm25", "signal-outdoor-pm25"),
    ("outdoor.co2", "signal-outdoor-co2"),
    ("outdoor.wind", "signal-outdoor-wind"),
    ("outdoor.smoke", "signal-outdoor-smoke"),
    ("time.hour", "signal-time-hour"),
    ("time.weekday", "signal-time-weekday"),
    ("time.month", "signal-time-month"),
    ("house.relative_exposure", "signal-house-relative-exposure"),
    ("house.debt", "signal-house-debt"),
    ("house.outdoor_air", "signal-house-outdoor-air"),
    ("house.mean_age", "signal-house-mean-age"),
    ("house.pressure", "signal-house-pressure"),
    ("house.lowest_co2", "signal-house-lowest-co2"),
    ("house.lowest_pm25", "signal-house-lowest-pm25"),
    ("house.temp", "signal-house-temp"),
    ("house.humidity_ratio", "signal-house-humidity-ratio"),
    ("house.windows_open", "signal-house-windows-open"),
    ("cooktop.on", "signal-cooktop-on"),
    ("cooktop.presence", "signal-cooktop-presence"),
    ("cooktop.temp_rise", "signal-cooktop-temp-rise"),
];

/// Names of a house's zones and devices, and the words for what is measured there.
pub(super) struct Names<'a> {
    pub(super) set: &'a Set,
    /// Zones by the name that a condition spells, with the name people read.
    pub(super) zones: Vec<(String, String)>,
    pub(super) words: &'a Words,
}

impl Names<'_> {
    /// A device as people call it; what no document names is named in the reader's language.
    pub(super) fn device(&self, at: usize) -> String {
        let Some(device) = self.set.signals.devices.get(at) else { return String::new() };
        let own = device.label == device.name.replace('_', " ");
        let key = match device.name.as_str() {
            "air_handler" => "device-air-handler",
            "dehumidifier" => "device-dehumidifier",
            "ventilator" => "device-ventilator",
            _ => return device.label.clone(),
        };
        if own { self.words.say(key) } else { device.label.clone() }
    }

    /// A signal in plain words; its own name where there are none.
    pub(super) fn signal(&self, id: &str) -> String {
        let key =
            |list: &[(&str, &'static str)], field: &str| list.iter().find(|k| k.0 == field).map(|k| k.1);
        if let Some((place, field)) = id.split_once('.') {
            let with = |key: &str, place: &str| self.words.text(key, &[("place", place.into())]);
            let zone = self.zones.iter().find(|z| z.0 == place);
            if let (Some(zone), Some(key)) = (zone, key(&ROOM, field)) {
                return with(key, &zone.1);
            }
            if let Some(key) = key(&OTHER, id) {
                return self.words.say(key);
            }
            let device = self.set.signals.devices.iter().position(|d| spelled(&d.name) == place);
            if let (Some(device), Some(key)) = (device, key(&DEVICE, field)) {
                return with(key, &self.device(device));
            }
        }
        id.to_owned()
    }

    /// A condition with its signals in plain words, and quantities without their marks.
    pub(super) fn condition(&self, text: &str) -> String {
        let mut out = String::new();
        let mut rest = text;
        let plain = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
        while let Some(first) = rest.chars().next() {
            let end = rest.find(|c| !plain(c)).unwrap_or(rest.len());
            let (word, after_word) = rest.split_at_checked(end).unwrap_or((rest, ""));
            let marks = [("rule-word-and", "&&"), ("rule-word-or", "||")];
            let marked = marks.into_iter().find_map(|(key, mark)| Some((key, rest.strip_prefix(mark)?)));
            if let Some((quantity, after)) = quantity(rest) {
                out += quantity;
                rest = after;
            } else if !word.is_empty() {
                let is_name = word.contains('.') && first.is_ascii_alphabetic() || first == '_';
                out += &if is_name { self.signal(word) } else { self.word(word) };
                rest = after_word;
            } else if let Some((key, after)) = marked {
                out += &self.words.say(key);
                rest = after;
            } else if first == '!' && !rest.starts_with("!=") {
                out += &format!("{} ", self.words.say("rule-word-not"));
                rest = rest.strip_prefix('!').unwrap_or("");
            } else {
                out.push(first);
                rest = rest.strip_prefix(first).unwrap_or("");
            }
        }
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn word(&self, word: &str) -> String {
        match word {
            "in" => self.words.say("rule-word-in"),
            "true" => self.words.say("rule-word-always"),
            other => other.to_owned(),
        }
    }
}

/// `q("5 degF")` at the start of a text: the quantity, and what comes after.
fn quantity(text: &str) -> Option<(&str, &str)> {
    let inner = text.strip_prefix("q(")?.trim_start();
    let mark = inner.chars().next().filter(|c| *c == '"' || *c == '\'')?;
    let (quantity, after) = inner.get(1..)?.split_once(mark)?;
    Some((quantity, after.trim_start().strip_prefix(')')?))
}
