//! A draft as the documents of a job: the phone asks with the very files that the command line reads.

use super::draft::{Calibration, Draft, Fan, Field, SHOWS, Station, digits, is_typed};
use super::prepare;
use super::write::{Toml, quoted};
use engine::doc::File;
use engine::units::Unit;
use report::words::Words;

/// Stands for the date of a draft that has none; only a look is made of such a draft, never a sheet.
const NO_DATE: &str = "2000-01-01";
/// In front of the draft's own id and beginning, which no other document needs.
pub(super) const TEST_MARK: &str = "test: ";
pub(super) const BEGUN_MARK: &str = "begun: ";

/// `job.toml` and `visits/<date>/visit.toml`; `confirmed` are the answers of the tester as sentences.
pub(super) fn compose(draft: &Draft, now: &str, confirmed: &[String]) -> Vec<File> {
    let words = draft.words();
    let date = draft.date(now).unwrap_or_else(|| NO_DATE.to_owned());
    vec![
        File { name: "job.toml".to_owned(), text: job(draft, &words, &date) },
        File { name: format!("visits/{date}/visit.toml"), text: visit(draft, &words, &date, confirmed) },
    ]
}

/// The same with the first `stations` whole stations only, those of the first run before the others.
pub(super) fn compose_prefix(draft: &Draft, now: &str, stations: usize) -> Vec<File> {
    let cut = |list: &[Station], count: usize| -> Vec<Station> {
        list.iter().filter(|s| draft.is_whole(s)).take(count).cloned().collect()
    };
    let first = cut(&draft.stations, stations);
    let rest = stations - first.len();
    let second =
        draft.second.as_ref().map(|s| super::draft::Second { stations: cut(&s.stations, rest), ..s.clone() });
    compose(&Draft { stations: first, second, ..draft.clone() }, now, &[])
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

    toml.table("firm");
    toml.typed("name", &draft.firm.name);
    let lines: Vec<String> =
        draft.firm.address.lines().map(str::trim).filter(|l| !l.is_empty()).map(quoted).collect();
    if !lines.is_empty() {
        toml.raw("address", &format!("[{}]", lines.join(", ")));
    }
    toml.typed("phone", &draft.firm.phone);
    toml.typed("licence", &draft.firm.licence);

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

fn visit(draft: &Draft, words: &Words, date: &str, confirmed: &[String]) -> String {
    let mut toml = Toml::default();
    toml.raw("format", "1");
    toml.string("date", date);

    toml.table("conditions");
    let c = &draft.conditions;
    with_unit(&mut toml, "indoor", &c.indoor, Field::Temperature.unit(words));
    with_unit(&mut toml, "outdoor", &c.outdoor, Field::Temperature.unit(words));
    with_unit(&mut toml, "indoor_rh", &c.indoor_rh, Field::Humidity.unit(words));
    with_unit(&mut toml, "outdoor_rh", &c.outdoor_rh, Field::Humidity.unit(words));
    with_unit(&mut toml, "wind", &c.wind, Field::Speed.unit(words));
    with_unit(&mut toml, "barometer", &c.barometer, Field::Barometer.unit(words));

    let gauge = &draft.gauge;
    toml.table("instrument.gauge");
    toml.string("label", label(&gauge.label, "phone-gauge", words).as_str());
    toml.string("measures", "pressure");
    stated(&mut toml, &gauge.accuracy, Field::Pressure.unit(words));
    toml.typed("serial", &gauge.serial);
    toml.typed("calibrated", &gauge.calibrated);
    toml.string("baseline", if gauge.baseline_subtracted { "subtracted" } else { "not subtracted" });

    for (at, one) in draft.fans.iter().enumerate() {
        fan(one, at, words, &mut toml);
    }
    test(draft, words, confirmed, &mut toml);
    toml.done()
}

fn label(typed: &str, key: &str, words: &Words) -> String {
    if is_typed(typed) { typed.trim().to_owned() } else { words.say(key) }
}

/// An instrument whose accuracy nobody knows has none: the interval then says so.
fn stated(toml: &mut Toml, typed: &str, unit: &Unit) {
    if is_typed(typed) {
        toml.string("accuracy", &accuracy(typed, unit));
    }
}

/// Name of a fan's instrument in the documents.
fn fan_name(at: usize) -> String {
    if at == 0 { "fan".to_owned() } else { format!("fan_{}", at + 1) }
}

fn fan(fan: &Fan, at: usize, words: &Words, toml: &mut Toml) {
    let name = fan_name(at);
    toml.table(&format!("instrument.{name}"));
    let usual = words.say("phone-fan");
    let usual = if at == 0 { usual } else { format!("{usual} {}", at + 1) };
    toml.string("label", if is_typed(&fan.label) { fan.label.trim() } else { &usual });
    toml.string("measures", "air flow");
    stated(toml, &fan.accuracy, Field::Flow.unit(words));
    toml.typed("serial", &fan.serial);
    toml.typed("calibrated", &fan.calibrated);
    let shows = SHOWS.iter().find(|(id, _)| *id == fan.shows.trim()).map_or(fan.shows.as_str(), |s| s.1);
    toml.typed("shows", shows);
    with_unit(toml, "calibration_density", &fan.calibration_density, Field::Density.unit(words));
    if !fan.shows_pressure() {
        return;
    }
    let named = fan.has_ranges() || fan.calibrations.iter().any(|c| is_typed(&c.name));
    for (c, range) in fan.calibrations.iter().zip(fan.range_names()) {
        // What is not whole yet waits in the draft.
        if named {
            toml.table(&format!("instrument.{name}.range.{}", quoted(&range)));
        } else if c.is_typed() {
            toml.table(&format!("instrument.{name}.calibration"));
        }
        if c.is_typed() || named {
            calibration(c, words, toml);
        }
    }
}

fn calibration(c: &Calibration, words: &Words, toml: &mut Toml) {
    let flow = Field::Flow.unit(words);
    if c.is_table() {
        let row = |(pa, flow): &(f64, f64)| format!("[{pa}, {flow}]");
        let rows: Vec<String> = c.numbers().iter().map(row).collect();
        let columns = format!("[\"pressure Pa\", \"flow {}\"]", flow.symbol);
        toml.raw("table", &format!("{{ columns = {columns}, rows = [{}] }}", rows.join(", ")));
        return;
    }
    with_unit(toml, "k", &c.flow, flow);
    if is_typed(&c.exponent) {
        let exponent = plain(&c.exponent);
        match digits(&exponent) {
            Some(_) => toml.raw("exponent", &exponent),
            None => toml.string("exponent", &exponent),
        }
    }
    if let Some((low, high)) = c.span_pa() {
        toml.string("span", &format!("{low} to {high} Pa"));
    }
}

fn test(draft: &Draft, words: &Words, confirmed: &[String], toml: &mut Toml) {
    toml.table("test.envelope");
    toml.typed("standard", &draft.profile);
    toml.string("reads", "house minus outdoors");
    toml.string("pressure_with", "gauge");
    match draft.fans.as_slice() {
        [_] => toml.string("flow_with", "fan"),
        fans => {
            let names: Vec<String> = (0..fans.len()).map(|at| quoted(&fan_name(at))).collect();
            toml.raw("flow_with", &format!("[{}]", names.join(", ")));
        }
    }
    toml.pairs("prepared", &prepare::written(draft, words));
    if !confirmed.is_empty() {
        let lines: String = confirmed.iter().map(|c| format!("  {},\n", quoted(c))).collect();
        toml.raw("confirmed", &format!("[\n{lines}]"));
    }
    let first = Run {
        direction: &draft.direction,
        before: &draft.baseline_before,
        after: &draft.baseline_after,
        stations: &draft.stations,
    };
    first.write("test.envelope", draft, words, toml);
    if let Some(second) = &draft.second {
        toml.list_item("test.envelope.run");
        let run = Run {
            direction: draft.other_direction(),
            before: &second.baseline_before,
            after: &second.baseline_after,
            stations: &second.stations,
        };
        run.write("test.envelope.run", draft, words, toml);
    }
}

/// One direction as typed.
struct Run<'a> {
    direction: &'a str,
    before: &'a [String],
    after: &'a [String],
    stations: &'a [Station],
}

impl Run<'_> {
    /// Direction, baselines and stations, into the table of this name, which was begun.
    fn write(&self, table: &str, draft: &Draft, words: &Words, toml: &mut Toml) {
        toml.typed("direction", self.direction);
        samples(toml, "baseline_before", self.before);
        samples(toml, "baseline_after", self.after);
        toml.table(&format!("{table}.stations"));
        let mut columns = vec![quoted("house Pa")];
        for (at, fan) in draft.fans.iter().enumerate() {
            let number = if at == 0 { String::new() } else { format!("-{}", at + 1) };
            let stem = if fan.shows_pressure() { "fan-pressure" } else { "fan" };
            columns.push(quoted(&format!("{stem}{number} {}", fan.field().unit(words).symbol)));
            if fan.has_ranges() {
                columns.push(quoted(&format!("range{number}")));
            }
        }
        let (whole, half): (Vec<&Station>, Vec<&Station>) =
            self.stations.iter().filter(|s| s.is_begun()).partition(|s| draft.is_whole(s));
        let sign = if self.direction.trim() == "pressurise" { "" } else { "-" };
        let names: Vec<Vec<String>> = draft.fans.iter().map(Fan::range_names).collect();
        let row = |s: &&Station| {
            let mut cells = vec![cell(&s.house, Some(sign))];
            for (at, fan) in draft.fans.iter().enumerate() {
                cells.push(cell(s.fan(at), None));
                if fan.has_ranges() {
                    let number = s.range(at).trim().parse::<usize>().unwrap_or(0);
                    let name = number.checked_sub(1).and_then(|n| names[at].get(n));
                    cells.push(quoted(name.map_or("", String::as_str)));
                }
            }
            format!("  [{}],\n", cells.join(", "))
        };
        let rows: String = whole.iter().map(row).collect();
        let columns = columns.join(", ");
        toml.raw("columns", &format!("[{columns}]"));
        toml.raw("rows", &format!("[\n{rows}]"));
        for s in half {
            toml.comment(&format!("half a station: house {:?}, fans {:?}", s.house, s.fans));
        }
    }
}

/// A cell of the table; with a sign, the number stands without its own.
fn cell(text: &str, sign: Option<&str>) -> String {
    match (digits(text), sign) {
        (Some(n), Some(sign)) => format!("{sign}{}", n.abs()),
        (Some(n), None) => format!("{n}"),
        (None, _) => quoted(text.trim()),
    }
}

fn samples(toml: &mut Toml, key: &str, list: &[String]) {
    let cells: Vec<String> = list.iter().filter(|t| is_typed(t)).map(|t| cell(t, None)).collect();
    if !cells.is_empty() {
        toml.raw(key, &format!("[\"Pa\", {}]", cells.join(", ")));
    }
}
