//! A draft as the documents of a job: the phone asks with the very files that the command line reads.

use super::draft::{Draft, Field, SHOWS, Station, digits, is_typed};
use super::prepare;
use super::write::Toml;
use engine::doc::File;
use engine::procedure::instrument::Direction;
use engine::units::Unit;
use report::words::Words;

/// Stands for the date of a draft that has none; only a look is made of such a draft, never a sheet.
const NO_DATE: &str = "2000-01-01";
/// In front of the draft's own id and beginning, which no other document needs.
pub(super) const TEST_MARK: &str = "test: ";
pub(super) const BEGUN_MARK: &str = "begun: ";

/// `job.toml` and `visits/<date>/visit.toml`.
pub(super) fn compose(draft: &Draft, now: &str) -> Vec<File> {
    let words = draft.words();
    let date = draft.date(now).unwrap_or_else(|| NO_DATE.to_owned());
    vec![
        File { name: "job.toml".to_owned(), text: job(draft, &words, &date) },
        File { name: format!("visits/{date}/visit.toml"), text: visit(draft, &words, &date) },
    ]
}

/// The same with the first `stations` whole stations only.
pub(super) fn compose_prefix(draft: &Draft, now: &str, stations: usize) -> Vec<File> {
    let whole = draft.whole_stations();
    let kept = whole.iter().take(stations).filter_map(|(i, ..)| draft.stations.get(*i).cloned());
    compose(&Draft { stations: kept.collect(), ..draft.clone() }, now)
}

/// Digits as a document writes them; what is no number stays as typed, so that its reader says so.
fn plain(text: &str) -> String {
    digits(text).map_or_else(|| text.trim().to_owned(), |n| format!("{n}"))
}

fn with_unit(toml: &mut Toml, key: &str, text: &str, unit: &Unit) {
    if is_typed(text) {
        toml.string(key, &format!("{} {}", plain(text), unit.symbol));
    }
}

/// `3` is `3 %`, `1 or 0.25` is `1 % or 0.25 Pa`; what carries units stays.
pub(super) fn accuracy(text: &str, unit: &Unit) -> String {
    let mut out = String::new();
    let mut rest = text.trim();
    let mut usual = "%";
    loop {
        let cut = [" or ", " o ", "+"]
            .iter()
            .filter_map(|mark| rest.find(mark).map(|at| (at, *mark)))
            .min_by_key(|(at, _)| *at);
        let (part, mark, next) = match cut {
            Some((at, mark)) => {
                let (part, tail) = rest.split_at(at);
                (part, Some(mark), tail.strip_prefix(mark).unwrap_or(""))
            }
            None => (rest, None, ""),
        };
        let part = part.trim();
        out += &match digits(part) {
            Some(n) => format!("{n} {usual}"),
            // `0,25 Pa`: the number again, then its own unit.
            None => {
                let at =
                    part.find(|c: char| !(c.is_ascii_digit() || ".,-".contains(c))).unwrap_or(part.len());
                let (number, unit) = part.split_at(at);
                match digits(number) {
                    Some(n) => format!("{n} {}", unit.trim()),
                    None => part.to_owned(),
                }
            }
        };
        usual = unit.symbol;
        match mark {
            Some("+") => out += " + ",
            Some(_) => out += " or ",
            None => return out,
        }
        rest = next;
    }
}

fn job(draft: &Draft, words: &Words, date: &str) -> String {
    let mut toml = Toml::default();
    if is_typed(&draft.id) {
        toml.comment(&format!("{TEST_MARK}{}", draft.id.trim()));
    }
    if is_typed(&draft.created) {
        toml.comment(&format!("{BEGUN_MARK}{}", draft.created.trim()));
    }
    toml.raw("format", "1");
    let name = if is_typed(&draft.place.name) {
        draft.place.name.trim().to_owned()
    } else {
        words.text("phone-job-name", &[("date", date.into())])
    };
    toml.string("name", &name);
    toml.string("units", if words.system() == engine::units::System::Si { "SI" } else { "IP" });
    toml.string("language", words.language().tag());

    toml.table("tester");
    toml.typed("name", &draft.tester.name);
    toml.typed("credential", &draft.tester.credential);
    toml.typed("firm", &draft.tester.firm);

    toml.table("place");
    toml.typed("name", &draft.place.name);
    with_unit(&mut toml, "altitude", &draft.place.altitude, Field::Length.unit(words));
    with_unit(&mut toml, "limit_ach50", &draft.place.limit, Field::AirChange.unit(words));
    toml.typed("limit_source", &draft.place.limit_source);
    toml.raw("limit_confirmed", if draft.place.limit_confirmed { "true" } else { "false" });

    toml.table("building");
    with_unit(&mut toml, "volume", &draft.building.volume, Field::Volume.unit(words));
    with_unit(&mut toml, "floor_area", &draft.building.floor_area, Field::Area.unit(words));
    with_unit(&mut toml, "envelope_area", &draft.building.envelope_area, Field::Area.unit(words));
    with_unit(&mut toml, "height", &draft.building.height, Field::Length.unit(words));
    toml.typed("includes", &includes(draft, words));
    toml.done()
}

/// What counts as inside, with the answer about the basement in front.
fn includes(draft: &Draft, words: &Words) -> String {
    let basement = basement_words(&draft.building.basement, words);
    let rest = draft.building.includes.trim();
    match basement {
        Some(basement) if rest.is_empty() => basement,
        Some(basement) => format!("{basement}; {rest}"),
        None => rest.to_owned(),
    }
}

/// The sentence part for `in`, `out` and `none`.
pub(super) fn basement_words(answer: &str, words: &Words) -> Option<String> {
    match answer.trim() {
        "in" => Some(words.say("phone-basement-in")),
        "out" => Some(words.say("phone-basement-out")),
        "none" => Some(words.say("phone-basement-none")),
        _ => None,
    }
}

fn visit(draft: &Draft, words: &Words, date: &str) -> String {
    let mut toml = Toml::default();
    toml.raw("format", "1");
    toml.string("date", date);

    toml.table("conditions");
    let c = &draft.conditions;
    with_unit(&mut toml, "indoor", &c.indoor, Field::Temperature.unit(words));
    with_unit(&mut toml, "outdoor", &c.outdoor, Field::Temperature.unit(words));
    with_unit(&mut toml, "wind", &c.wind, Field::Speed.unit(words));
    with_unit(&mut toml, "barometer", &c.barometer, Field::Barometer.unit(words));

    let gauge = &draft.gauge;
    toml.table("instrument.gauge");
    toml.string("label", label(&gauge.label, "phone-gauge", words).as_str());
    toml.string("measures", "pressure");
    // An instrument without a stated accuracy is one without limits of its own: the look says what
    // is missing, and the interval then holds the scatter alone.
    toml.string("accuracy", &stated(&gauge.accuracy, Field::Pressure.unit(words)));
    toml.typed("serial", &gauge.serial);
    toml.typed("calibrated", &gauge.calibrated);
    toml.string("baseline", if gauge.baseline_subtracted { "subtracted" } else { "not subtracted" });

    fan(draft, words, &mut toml);
    test(draft, words, &mut toml);
    toml.done()
}

fn label(typed: &str, key: &str, words: &Words) -> String {
    if is_typed(typed) { typed.trim().to_owned() } else { words.say(key) }
}

fn stated(typed: &str, unit: &Unit) -> String {
    if is_typed(typed) { accuracy(typed, unit) } else { "0 %".to_owned() }
}

fn fan(draft: &Draft, words: &Words, toml: &mut Toml) {
    let fan = &draft.fan;
    toml.table("instrument.fan");
    toml.string("label", label(&fan.label, "phone-fan", words).as_str());
    toml.string("measures", "air flow");
    toml.string("accuracy", &stated(&fan.accuracy, Field::Flow.unit(words)));
    toml.typed("serial", &fan.serial);
    toml.typed("calibrated", &fan.calibrated);
    let shows = SHOWS.iter().find(|(id, _)| *id == fan.shows.trim()).map_or(fan.shows.as_str(), |s| s.1);
    toml.typed("shows", shows);
    with_unit(toml, "calibration_density", &fan.calibration_density, Field::Density.unit(words));
    if draft.fan_shows_pressure() && is_typed(&fan.calibration_flow) {
        toml.table("instrument.fan.calibration");
        with_unit(toml, "k", &fan.calibration_flow, Field::Flow.unit(words));
        if is_typed(&fan.calibration_exponent) {
            let exponent = plain(&fan.calibration_exponent);
            match digits(&exponent) {
                Some(_) => toml.raw("exponent", &exponent),
                None => toml.string("exponent", &exponent),
            }
        }
    }
}

fn test(draft: &Draft, words: &Words, toml: &mut Toml) {
    toml.table("test.envelope");
    toml.typed("standard", &draft.profile);
    toml.typed("direction", &draft.direction);
    toml.string("reads", "house minus outdoors");
    toml.string("pressure_with", "gauge");
    toml.string("flow_with", "fan");
    samples(toml, "baseline_before", &draft.baseline_before);
    samples(toml, "baseline_after", &draft.baseline_after);
    toml.pairs("prepared", &prepare::written(draft, words));

    toml.table("test.envelope.stations");
    let fan = if draft.fan_shows_pressure() { "fan-pressure" } else { "fan" };
    toml.raw("columns", &format!("[\"house Pa\", \"{fan} {}\"]", draft.fan_field().unit(words).symbol));
    let (whole, half): (Vec<&Station>, Vec<&Station>) = (draft.stations.iter())
        .filter(|s| is_typed(&s.house) || is_typed(&s.fan))
        .partition(|s| is_typed(&s.house) && is_typed(&s.fan));
    let sign = if draft.direction() == Some(Direction::Pressurise) { "" } else { "-" };
    let rows: String = whole
        .iter()
        .map(|s| format!("  [{}, {}],\n", cell(&s.house, Some(sign)), cell(&s.fan, None)))
        .collect();
    toml.raw("rows", &format!("[\n{rows}]"));
    for s in half {
        toml.comment(&format!("half a station: house {:?}, fan {:?}", s.house, s.fan));
    }
}

/// A cell of the table; with a sign, the number stands without its own.
fn cell(text: &str, sign: Option<&str>) -> String {
    match (digits(text), sign) {
        (Some(n), Some(sign)) => format!("{sign}{}", n.abs()),
        (Some(n), None) => format!("{n}"),
        (None, _) => super::write::quoted(text.trim()),
    }
}

fn samples(toml: &mut Toml, key: &str, list: &[String]) {
    let cells: Vec<String> = list.iter().filter(|t| is_typed(t)).map(|t| cell(t, None)).collect();
    if !cells.is_empty() {
        toml.raw(key, &format!("[\"Pa\", {}]", cells.join(", ")));
    }
}
