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
}

struct Asker<'a> {
    draft: &'a Draft,
    words: &'a Words,
    asked: Vec<Challenge>,
}

impl Asker<'_> {
    fn ask(&mut self, id: &'static str, field: &str, args: &[(&str, Arg)]) {
        let key = format!("phone-ask-{id}");
        let text = self.words.text(&key, args);
        let help = self.words.text(&format!("{key}.help"), args);
        self.asked.push(Challenge { id, field: field.to_owned(), text, help });
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
    let mut a = Asker { draft, words, asked: Vec::new() };
    numbers(&mut a);
    sizes(&mut a);
    instruments(&mut a, now);
    air_and_wind(&mut a);
    stations(&mut a);
    baseline(&mut a);
    a.asked
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
        ("conditions.wind", &d.conditions.wind),
        ("conditions.barometer", &d.conditions.barometer),
        ("fan.calibration_density", &d.fan.calibration_density),
        ("fan.calibration_flow", &d.fan.calibration_flow),
        ("fan.calibration_exponent", &d.fan.calibration_exponent),
    ]
    .map(|(field, text)| (field.to_owned(), text))
    .to_vec();
    for (name, samples) in [("baseline_before", &d.baseline_before), ("baseline_after", &d.baseline_after)] {
        list.extend(samples.iter().enumerate().map(|(i, t)| (format!("{name}.{i}"), t)));
    }
    for (i, s) in d.stations.iter().enumerate() {
        list.push((format!("stations.{i}.house"), &s.house));
        list.push((format!("stations.{i}.fan"), &s.fan));
    }
    for (field, text) in list {
        // A sign or a mark alone is the beginning of a number.
        let begun = text.trim().chars().all(|c| "-\u{2212}.,".contains(c));
        if !begun && digits(text).is_none() {
            a.ask("number", &field, &[("typed", text.trim().into())]);
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
    let (gauge, fan) = (&d.gauge, &d.fan);
    if !is_typed(&gauge.accuracy) && known([&gauge.label, &gauge.serial, &gauge.calibrated]) {
        a.ask("gauge-accuracy", "gauge.accuracy", &[]);
    }
    if !is_typed(&fan.accuracy) && known([&fan.label, &fan.serial, &fan.calibrated]) {
        a.ask("fan-accuracy", "fan.accuracy", &[]);
    }
    // Where nobody says what day it is, the day of the test is.
    let today = date(now).or_else(|| d.date("")).and_then(|t| day(&t));
    for (field, text) in [("gauge.calibrated", &d.gauge.calibrated), ("fan.calibrated", &d.fan.calibrated)] {
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
