//! Typed values that contradict each other or the trade's experience, asked about at once.
//!
//! These are our own rules, common practice without a source: they ask, they never decide, and a
//! tester may answer "it is so". Each names the field it is about and has a text and a help in the
//! catalogue (`phone-ask-*`).

use super::draft::{Draft, Field, date, digits, is_typed};
use super::look::is_multi_point;
use super::profiles;
use engine::air;
use engine::diag::Arg;
use engine::math;
use engine::measure::regression::PowerLaw;
use engine::procedure::instrument::Direction;
use engine::units::{Quantity, System};
use report::words::{Show, Words};
use serde::Serialize;
use serde_json::Value;

/// Exponent of a house nobody has measured yet; houses lie between 0.5 and 0.75 or so.
const USUAL_EXPONENT: f64 = 0.65;
/// A flow this many times off the others' is asked about. The usual exponent against 0.5 or 1 over
/// the pressures of a test moves a flow by less than two.
const DECADE: f64 = 4.0;
/// Flow may fall by this share against a higher pressure: wind moves both.
const FALLS: f64 = 0.03;
/// Nearer than this, two stations are one, Pa.
const SAME_PA: f64 = 0.5;
/// No house is tested above this, Pa.
const HIGHEST_PA: f64 = 110.0;
/// A baseline that a display should show, Pa.
const BASELINE_PA: f64 = 2.0;
/// With its other reading the baseline must leave this share of the scatter to be suspected.
const SCATTER_SHARE: f64 = 0.25;
/// Volume over floor area, m.
const STOREY_M: std::ops::RangeInclusive<f64> = 2.0..=6.0;
/// Envelope area over volume to the power 2/3: a ball has 4.84, a long low house 12.
const SHAPE: std::ops::RangeInclusive<f64> = 4.83..=14.0;
/// A barometer's reading off the standard atmosphere at the altitude, Pa: weather moves it by 4 kPa.
const WEATHER_PA: f64 = 4500.0;
/// Days in a year between calibrations.
const YEAR_DAYS: i64 = 366;

/// One question.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Challenge {
    /// The rule, to remember an answer by.
    pub(super) id: &'static str,
    pub(super) field: String,
    pub(super) text: String,
    pub(super) help: String,
    /// The question with the value it is about: an answer holds as long as both stay.
    pub(super) mark: String,
    /// The value as typed.
    #[serde(skip)]
    pub(super) value: String,
}

struct Asker<'a> {
    /// A draft with one run.
    draft: &'a Draft,
    /// In front of the fields of that run.
    prefix: &'static str,
    /// The draft as typed.
    typed: &'a Value,
    words: &'a Words,
    asked: Vec<Challenge>,
}

/// The value at a field of the draft as typed; an entry of a station is named like its column.
fn value_at(typed: &Value, field: &str) -> String {
    let mut path = String::new();
    let mut in_station = false;
    for part in field.split('.') {
        let numbered = |stem: &str| -> Option<usize> {
            match part.strip_prefix(stem)? {
                "" => Some(0),
                rest => rest.strip_prefix('-')?.parse::<usize>().ok()?.checked_sub(1),
            }
        };
        path += &match (numbered("fan"), numbered("range")) {
            (Some(n), _) if in_station => format!("/fans/{n}"),
            (_, Some(n)) if in_station => format!("/ranges/{n}"),
            _ => format!("/{part}"),
        };
        in_station |= part == "stations";
    }
    match typed.pointer(&path) {
        Some(Value::String(text)) => text.clone(),
        Some(Value::Null) | None => String::new(),
        Some(other) => other.to_string(),
    }
}

impl Asker<'_> {
    fn ask(&mut self, id: &'static str, field: &str, args: &[(&str, Arg)]) {
        let key = format!("phone-ask-{id}");
        let text = self.words.text(&key, args);
        let help = self.words.text(&format!("{key}.help"), args);
        let in_run =
            ["stations", "baseline_before", "baseline_after"].iter().any(|list| field.starts_with(list));
        let field = if in_run { format!("{}{field}", self.prefix) } else { field.to_owned() };
        let value = value_at(self.typed, &field);
        let mark = format!("{id}: {field}={value}");
        self.asked.push(Challenge { id, field, text, help, mark, value });
    }

    fn pa(&self, pa: f64) -> Arg {
        self.words.quantity(pa, Quantity::Pressure).into()
    }

    fn si(&self, text: &str, field: Field) -> Option<f64> {
        digits(text).map(|n| field.unit(self.words).to_si(n))
    }

    /// A number of the fan column, with its unit.
    fn fan(&self, shown: f64) -> Arg {
        let field = self.draft.fan_field();
        let unit = field.unit(self.words);
        self.words.quantity_as(unit.to_si(shown), field.quantity(), Show::unit(unit.symbol)).into()
    }
}

/// Every question that the draft raises, in the order of its fields.
pub(super) fn challenges(draft: &Draft, now: &str, words: &Words) -> Vec<Challenge> {
    let typed = serde_json::to_value(draft).unwrap_or_default();
    let mut a = Asker { draft, prefix: "", typed: &typed, words, asked: Vec::new() };
    numbers(&mut a);
    sizes(&mut a);
    instruments(&mut a, now);
    calibrations(&mut a);
    air_and_wind(&mut a);
    let mut asked = a.asked;
    for (run, prefix) in draft.runs().iter().zip(["", "second."]) {
        let mut a = Asker { draft: run, prefix, typed: &typed, words, asked: Vec::new() };
        stations(&mut a);
        baseline(&mut a);
        asked.extend(a.asked);
    }
    // Two runs may raise one question about what both have.
    let mut seen: Vec<String> = Vec::new();
    asked.retain(|c| {
        let first = !seen.contains(&c.mark);
        seen.push(c.mark.clone());
        first
    });
    asked
}

/// What the tester said to be right, as sentences for the sheet: place and value, what was asked.
pub(super) fn confirmed(draft: &Draft, now: &str, words: &Words) -> Vec<String> {
    if draft.accepted.is_empty() {
        return Vec::new();
    }
    let list = challenges(draft, now, words);
    list.iter().filter(|c| draft.accepted.contains(&c.mark)).map(|c| sentence(c, draft, words)).collect()
}

/// A question and its value, as the sheet says that it was confirmed.
pub(super) fn sentence(c: &Challenge, draft: &Draft, words: &Words) -> String {
    let field = c.field.strip_prefix("second.").unwrap_or(&c.field);
    let mut parts = field.split('.');
    let (list, number) = (parts.next().unwrap_or(""), parts.next().and_then(|n| n.parse::<usize>().ok()));
    let number = Arg::from(number.map_or(0, |n| n + 1));
    let mut place = match list {
        "stations" => words.text("phone-field-station", &[("number", number)]),
        "baseline_before" | "baseline_after" => words.text("phone-field-baseline", &[("number", number)]),
        "fans" if draft.fans.len() > 1 => words.text("phone-field-fan", &[("number", number)]),
        "fans" => words.say("phone-field-only-fan"),
        "gauge" => words.say("phone-field-gauge"),
        "conditions" => words.say("phone-field-conditions"),
        "building" => words.say("phone-field-building"),
        _ => words.say("phone-field-place"),
    };
    if c.field != field {
        place = format!("{place}, {}", words.say(&format!("phone-run-{}", draft.other_direction())));
    }
    // A choice has no value that a person typed.
    let value = digits(&c.value).map_or_else(String::new, |n| words.number(n));
    let args = [("place", place.into()), ("value", value.into()), ("asked", c.text.clone().into())];
    words.text("phone-confirmed", &args)
}

/// What was typed as a number and is none.
fn numbers(a: &mut Asker<'_>) {
    let d = a.draft;
    let mut list: Vec<(String, &String)> = [
        ("place.altitude", &d.place.altitude),
        ("place.limit", &d.place.limit),
        ("building.volume", &d.building.volume),
        ("building.floor_area", &d.building.floor_area),
        ("building.envelope_area", &d.building.envelope_area),
        ("building.height", &d.building.height),
        ("conditions.indoor", &d.conditions.indoor),
        ("conditions.outdoor", &d.conditions.outdoor),
        ("conditions.indoor_rh", &d.conditions.indoor_rh),
        ("conditions.outdoor_rh", &d.conditions.outdoor_rh),
        ("conditions.wind", &d.conditions.wind),
        ("conditions.barometer", &d.conditions.barometer),
    ]
    .map(|(field, text)| (field.to_owned(), text))
    .to_vec();
    for (i, fan) in d.fans.iter().enumerate() {
        list.push((format!("fans.{i}.calibration_density"), &fan.calibration_density));
        for (j, c) in fan.calibrations.iter().enumerate() {
            let at = |name: &str| format!("fans.{i}.calibrations.{j}.{name}");
            if c.is_table() {
                for (k, point) in c.points.iter().enumerate() {
                    list.push((at(&format!("points.{k}.pressure")), &point.pressure));
                    list.push((at(&format!("points.{k}.flow")), &point.flow));
                }
            } else {
                list.push((at("flow"), &c.flow));
                list.push((at("exponent"), &c.exponent));
                list.push((at("low"), &c.low));
                list.push((at("high"), &c.high));
            }
        }
    }
    let second = d.second.as_ref();
    let none = (&[][..], &[][..], &[][..]);
    let lists = [
        ("", (d.baseline_before.as_slice(), d.baseline_after.as_slice(), d.stations.as_slice())),
        ("second.", second.map_or(none, |s| (&s.baseline_before, &s.baseline_after, &s.stations))),
    ];
    for (prefix, (before, after, stations)) in lists {
        for (name, samples) in [("baseline_before", before), ("baseline_after", after)] {
            list.extend(samples.iter().enumerate().map(|(i, t)| (format!("{prefix}{name}.{i}"), t)));
        }
        for (i, s) in stations.iter().enumerate() {
            list.push((format!("{prefix}stations.{i}.house"), &s.house));
            let fans = s.fans.iter().take(d.fans.len()).enumerate();
            list.extend(fans.map(|(fan, t)| (format!("{prefix}stations.{i}.{}", fan_entry(fan)), t)));
        }
    }
    for (field, text) in list {
        // A sign or a mark alone is the beginning of a number.
        let begun = text.trim().chars().all(|c| "-\u{2212}.,".contains(c));
        if !begun && digits(text).is_none() {
            a.ask("number", &field, &[("typed", text.trim().into())]);
        }
    }
}

/// Name of a fan's number in a station, like its column in the documents.
fn fan_entry(fan: usize) -> String {
    if fan == 0 { "fan".to_owned() } else { format!("fan-{}", fan + 1) }
}

/// Calibrations that cannot hold, and readings they do not cover.
fn calibrations(a: &mut Asker<'_>) {
    let d = a.draft;
    for (i, fan) in d.fans.iter().enumerate().filter(|(_, f)| f.shows_pressure()) {
        for (j, c) in fan.calibrations.iter().enumerate() {
            let field = |name: &str| format!("fans.{i}.calibrations.{j}.{name}");
            if c.is_table() {
                let points = c.numbers();
                let rises = |w: &[(f64, f64)]| matches!(w, [x, y] if x.0 < y.0 && x.1 < y.1);
                if !points.windows(2).all(rises) || points.iter().any(|p| p.0 <= 0.0 || p.1 <= 0.0) {
                    a.ask("calibration-table", &field("points"), &[]);
                }
            } else if let Some((low, high)) = c.span_pa().filter(|(low, high)| low >= high) {
                a.ask("calibration-span", &field("high"), &[("low", a.pa(low)), ("high", a.pa(high))]);
            }
        }
    }
    let second = d.second.iter().flat_map(|s| s.stations.iter().enumerate()).map(|s| ("second.", s));
    for (prefix, (i, s)) in d.stations.iter().enumerate().map(|s| ("", s)).chain(second) {
        for (at, fan) in d.fans.iter().enumerate().filter(|(_, f)| f.shows_pressure()) {
            let Some(shown) = digits(s.fan(at)).filter(|pa| *pa > 0.0) else { continue };
            let Some((low, high)) = fan.range(s.range(at)).and_then(|c| c.span_pa()) else { continue };
            if low < high && !(low..=high).contains(&shown) {
                let args = [("typed", a.pa(shown)), ("low", a.pa(low)), ("high", a.pa(high))];
                a.ask("outside-span", &format!("{prefix}stations.{i}.{}", fan_entry(at)), &args);
            }
        }
    }
}

fn sizes(a: &mut Asker<'_>) {
    let b = &a.draft.building;
    let volume = a.si(&b.volume, Field::Volume).filter(|v| *v > 0.0);
    let floor = a.si(&b.floor_area, Field::Area).filter(|v| *v > 0.0);
    let envelope = a.si(&b.envelope_area, Field::Area).filter(|v| *v > 0.0);
    if let (Some(volume), Some(floor)) = (volume, floor)
        && !STOREY_M.contains(&(volume / floor))
    {
        let height = a.words.about(volume / floor, Quantity::Length, Show::default());
        a.ask("volume-floor", "building.floor_area", &[("height", height.into())]);
    }
    if let (Some(volume), Some(area)) = (volume, envelope)
        && !SHAPE.contains(&(area / math::pow(volume, 2.0 / 3.0)))
    {
        let args = [
            ("area", a.words.quantity(area, Quantity::Area).into()),
            ("volume", a.words.quantity(volume, Quantity::Volume).into()),
        ];
        let id = if area < SHAPE.start() * math::pow(volume, 2.0 / 3.0) {
            "envelope-small"
        } else {
            "envelope-large"
        };
        a.ask(id, "building.envelope_area", &args);
    }
    if let (Some(floor), Some(area)) = (floor, envelope)
        && area < floor
    {
        a.ask("envelope-floor", "building.envelope_area", &[]);
    }
}

fn instruments(a: &mut Asker<'_>, now: &str) {
    let d = a.draft;
    // Not before somebody has begun with the instrument, or with the test.
    let testing = !d.whole_stations().is_empty();
    let known = |typed: [&String; 3]| testing || typed.into_iter().any(|t| is_typed(t));
    let gauge = &d.gauge;
    if !is_typed(&gauge.accuracy) && known([&gauge.label, &gauge.serial, &gauge.calibrated]) {
        a.ask("gauge-accuracy", "gauge.accuracy", &[]);
    }
    for (i, fan) in d.fans.iter().enumerate() {
        if !is_typed(&fan.accuracy) && known([&fan.label, &fan.serial, &fan.calibrated]) {
            a.ask("fan-accuracy", &format!("fans.{i}.accuracy"), &[]);
        }
    }
    // Where nobody says what day it is, the day of the test is.
    let today = date(now).or_else(|| d.date("")).and_then(|t| day(&t));
    let fans = d.fans.iter().enumerate().map(|(i, f)| (format!("fans.{i}.calibrated"), &f.calibrated));
    let dates = std::iter::once(("gauge.calibrated".to_owned(), &d.gauge.calibrated)).chain(fans);
    for (field, text) in dates {
        let field = field.as_str();
        if !is_typed(text) {
            continue;
        }
        let Some(calibrated) = date(text).and_then(|t| day(&t)) else {
            a.ask("calibration-date", field, &[("typed", text.trim().into())]);
            continue;
        };
        let Some(today) = today else { continue };
        if calibrated > today {
            a.ask("calibration-future", field, &[("date", text.trim().into())]);
        } else if today - calibrated > YEAR_DAYS {
            a.ask("calibration-old", field, &[("date", text.trim().into())]);
        }
    }
}

/// Number of a civil day, for differences (Gregorian calendar, days from March on).
fn day(date: &str) -> Option<i64> {
    let mut parts = date.split('-').map(|p| p.parse::<i64>().ok());
    let (year, month, day) = (parts.next()??, parts.next()??, parts.next()??);
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    Some(365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + day)
}

fn air_and_wind(a: &mut Asker<'_>) {
    let c = &a.draft.conditions;
    let (indoor, outdoor) = (digits(&c.indoor), digits(&c.outdoor));
    // People live between 10 and 35 degC, 50 and 95 degF; the other scale's numbers lie apart.
    let (low, high, other) = match a.words.system() {
        System::Si => (5.0, 40.0, "\u{b0}F"),
        System::Ip => (45.0, 104.0, "\u{b0}C"),
    };
    let unit = a.words.unit_symbol(Quantity::Temperature, Show::default());
    let wrong = |t: f64| !(low..=high).contains(&t);
    if let Some(t) = indoor.filter(|t| wrong(*t)) {
        let args =
            [("typed", a.words.number(t).into()), ("unit", unit.clone().into()), ("other", other.into())];
        a.ask("temperature", "conditions.indoor", &args);
    }
    let hottest = if a.words.system() == System::Si { 50.0 } else { 122.0 };
    if let Some(t) = outdoor.filter(|t| *t > hottest) {
        let args = [("typed", a.words.number(t).into()), ("unit", unit.into()), ("other", other.into())];
        a.ask("temperature", "conditions.outdoor", &args);
    }
    for (field, text) in [("conditions.indoor_rh", &c.indoor_rh), ("conditions.outdoor_rh", &c.outdoor_rh)] {
        // Up to 1 it is perhaps a share.
        if let Some(percent) = digits(text).filter(|rh| !(1.0..=100.0).contains(rh)) {
            a.ask("humidity", field, &[("typed", a.words.number(percent).into())]);
        }
    }
    let altitude = a.si(&a.draft.place.altitude, Field::Length);
    let barometer = a.si(&c.barometer, Field::Barometer);
    if let (Some(altitude), Some(pa)) = (altitude, barometer) {
        let expected = air::standard_pressure_pa(altitude);
        if (pa - expected).abs() > WEATHER_PA {
            let unit = Show::unit(Field::Barometer.unit(a.words).symbol);
            let args = [
                ("typed", a.words.quantity_as(pa, Quantity::Pressure, unit).into()),
                ("expected", a.words.about(expected, Quantity::Pressure, unit).into()),
            ];
            a.ask("barometer", "conditions.barometer", &args);
        }
    }
}

/// The fan's column in the logarithm of what should rise with pressure to a usual power.
fn level(a: &Asker<'_>, pa: f64, fan: f64) -> Option<f64> {
    // The pressure in a fan goes with the square of its flow.
    let power = if a.draft.fan_shows_pressure() { 0.5 } else { 1.0 };
    (pa > 0.0 && fan > 0.0).then(|| power * math::ln(fan) - USUAL_EXPONENT * math::ln(pa))
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    math::quantile_sorted(&values, 0.5)
}

fn stations(a: &mut Asker<'_>) {
    let d = a.draft;
    let offset_pa = d.offset_along_pa();
    for (i, s) in d.stations.iter().enumerate() {
        let Some(shown) = digits(&s.house) else { continue };
        let field = format!("stations.{i}.house");
        if shown.abs() > HIGHEST_PA {
            a.ask("pressure-high", &field, &[("typed", a.pa(shown.abs())), ("limit", a.pa(HIGHEST_PA))]);
        }
        let against = match d.direction() {
            Some(Direction::Pressurise) => shown < 0.0,
            // A minus is how many a display shows a depressurised house; the digits count.
            _ => false,
        };
        if against {
            a.ask("sign", &field, &[("typed", a.pa(shown))]);
        }
        if shown.abs() <= offset_pa {
            a.ask("within-baseline", &field, &[("typed", a.pa(shown.abs())), ("baseline", a.pa(offset_pa))]);
        }
    }
    let whole: Vec<(usize, f64, f64)> =
        d.whole_stations().into_iter().map(|(i, shown, fan)| (i, shown - offset_pa, fan)).collect();
    let off = decades(a, &whole);
    let kept: Vec<_> = whole.iter().copied().filter(|(i, ..)| !off.contains(i)).collect();
    not_rising(a, &kept);
    if is_multi_point(d) {
        same_twice(a, &whole);
    }
}

/// Flows far off the others', with the value that was perhaps meant. Returns their places.
fn decades(a: &mut Asker<'_>, whole: &[(usize, f64, f64)]) -> Vec<usize> {
    let levels: Vec<(usize, f64, f64)> =
        whole.iter().filter_map(|(i, pa, fan)| level(a, *pa, *fan).map(|l| (*i, *fan, l))).collect();
    let mut off = Vec::new();
    for (at, (i, fan, own)) in levels.iter().enumerate() {
        let others: Vec<f64> = levels.iter().filter(|o| o.0 != *i).map(|o| o.2).collect();
        let two = others.len() == 1;
        let Some(usual) = median(others) else { continue };
        // Of two that differ only the one typed last can be asked about.
        if (own - usual).abs() <= math::ln(DECADE) || (two && at == 0) {
            continue;
        }
        off.push(*i);
        let power = if a.draft.fan_shows_pressure() { 2.0 } else { 1.0 };
        let expected = fan * math::exp(power * (usual - own));
        let meant = [10.0, 0.1, 100.0, 0.01].map(|f| f * fan);
        let near = meant.into_iter().find(|m| math::ln(m / expected).abs() < math::ln(2.0));
        let args = [
            ("typed", a.fan(*fan)),
            ("expected", rounded(a, expected)),
            ("meant", near.map_or_else(|| Arg::from(""), |m| a.fan(m))),
        ];
        a.ask("decade", &format!("stations.{i}.fan"), &args);
    }
    off
}

/// About two digits: the line of others is no better known.
fn rounded(a: &Asker<'_>, value: f64) -> Arg {
    let step = math::pow(10.0, (math::log10(value)).floor() - 1.0);
    a.fan((value / step).round() * step)
}

fn not_rising(a: &mut Asker<'_>, whole: &[(usize, f64, f64)]) {
    let mut sorted = whole.to_vec();
    sorted.sort_by(|x, y| x.1.total_cmp(&y.1));
    for pair in sorted.windows(2) {
        let [(i, low_pa, low), (j, high_pa, high)] = pair else { continue };
        if high_pa - low_pa > SAME_PA && *high < low * (1.0 - FALLS) {
            let (last, fan) = if i > j { (*i, *low) } else { (*j, *high) };
            let args = [
                ("typed", a.fan(fan)),
                ("low", a.fan(*low)),
                ("high", a.fan(*high)),
                ("pressure", a.pa(*high_pa)),
            ];
            a.ask("not-rising", &format!("stations.{last}.fan"), &args);
        }
    }
}

fn same_twice(a: &mut Asker<'_>, whole: &[(usize, f64, f64)]) {
    for (at, (i, pa, _)) in whole.iter().enumerate() {
        let before = whole.iter().take(at).find(|o| (o.1 - pa).abs() < SAME_PA);
        if let Some((j, ..)) = before {
            let args = [("typed", a.pa(pa + a.draft.offset_along_pa())), ("station", Arg::from(j + 1))];
            a.ask("same-pressure", &format!("stations.{i}.house"), &args);
        }
    }
}

/// Whether the readings look as if the baseline had been treated in another way than was said.
fn baseline(a: &mut Asker<'_>) {
    let d = a.draft;
    let Some(baseline_pa) = d.baseline_pa().filter(|b| b.abs() >= BASELINE_PA) else { return };
    let shown_baseline = a.pa(baseline_pa);
    if d.gauge.baseline_subtracted {
        a.ask("baseline-unused", "gauge.baseline_subtracted", &[("baseline", shown_baseline)]);
        return;
    }
    let whole = d.whole_stations();
    let along = d.offset_along_pa();
    if let Some(better) = better_offset(&whole, along, d.fan_shows_pressure()) {
        let (id, field) = match better {
            Better::Out => ("baseline-out", "gauge.baseline_subtracted"),
            Better::Reversed => ("baseline-reversed", "baseline_before"),
        };
        a.ask(id, field, &[("baseline", shown_baseline)]);
        return;
    }
    // A tester who aims at round pressures reads them off a display that has the baseline out.
    let aims = d.profile().map(profiles::pressures_pa).unwrap_or_default();
    let round = |pa: f64| {
        aims.iter().any(|aim| (aim - pa).abs() < 0.05) || (pa / 5.0 - (pa / 5.0).round()).abs() < 0.01
    };
    let typed: Vec<f64> = d.stations.iter().filter_map(|s| digits(&s.house)).map(f64::abs).collect();
    if let Some(first) = typed.first()
        && typed.iter().all(|pa| round(*pa))
    {
        let direction = match d.direction() {
            Some(Direction::Pressurise) => "pressurise",
            _ => "depressurise",
        };
        let args =
            [("baseline", shown_baseline), ("typed", a.pa(*first)), ("direction", Arg::from(direction))];
        a.ask("baseline-round", "gauge.baseline_subtracted", &args);
    }
}

enum Better {
    Out,
    Reversed,
}

/// The scatter of the log-log line with the baseline as said, left in, and taken out the other way.
fn better_offset(whole: &[(usize, f64, f64)], along_pa: f64, fan_pressure: bool) -> Option<Better> {
    if whole.len() < 5 {
        return None;
    }
    let scatter = |offset_pa: f64| {
        let dp: Vec<f64> = whole.iter().map(|s| s.1 - offset_pa).collect();
        let flow: Vec<f64> =
            whole.iter().map(|s| if fan_pressure { s.2.max(0.0).sqrt() } else { s.2 }).collect();
        let law = PowerLaw::ordinary(&dp, &flow).ok()?;
        // Only the line of a house is a better one.
        (0.45..=1.0).contains(&law.exponent()).then(|| {
            dp.iter()
                .zip(&flow)
                .map(|(p, q)| math::ln(*q) - law.line.intercept - law.exponent() * math::ln(*p))
                .map(|r| r * r)
                .sum::<f64>()
        })
    };
    let said = scatter(along_pa).unwrap_or(f64::INFINITY);
    let (out, reversed) = (scatter(0.0), scatter(-along_pa));
    let beats = |s: Option<f64>| s.filter(|s| *s < SCATTER_SHARE * said);
    match (beats(out), beats(reversed)) {
        (Some(o), Some(r)) => Some(if r < o { Better::Reversed } else { Better::Out }),
        (Some(_), None) => Some(Better::Out),
        (None, Some(_)) => Some(Better::Reversed),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests;
