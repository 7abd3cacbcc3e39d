//! SenML in JSON (RFC 8428): a pack of records with base fields, resolved to rows.

use super::message::{Channels, Row};
use super::reject::{Reason, Rejects};
use super::text::LONGEST_LINE;
use engine::units::{Quantity as Q, Unit, unit};
use serde_json::{Map, Value};

/// Longest pack that is read.
pub const LONGEST_PACK: usize = 64 * LONGEST_LINE;
/// The version of the RFC; a pack of a later one must not be read.
const VERSION: f64 = 10.0;
/// Times below this many seconds count from now (RFC 8428, 4.5.3).
const ABSOLUTE_S: f64 = 268_435_456.0;

/// Units of the registry (RFC 8428 12.1 and the secondary ones of RFC 8798) that the program has a
/// quantity for.
const UNITS: &[(&str, Q, &str)] = &[
    ("Cel", Q::Temperature, "degC"),
    ("K", Q::Temperature, "K"),
    ("%RH", Q::Fraction, "%"),
    ("%", Q::Fraction, "%"),
    ("%EL", Q::Fraction, "%"),
    ("/", Q::Fraction, "1"),
    ("Pa", Q::Pressure, "Pa"),
    ("hPa", Q::Pressure, "hPa"),
    ("ppm", Q::GasFraction, "ppm"),
    ("ppb", Q::GasFraction, "ppb"),
    ("W", Q::Power, "W"),
    ("kW", Q::Power, "kW"),
    ("J", Q::Energy, "J"),
    ("kWh", Q::Energy, "kWh"),
    ("m/s", Q::Speed, "m/s"),
    ("km/h", Q::Speed, "km/h"),
    ("m3/s", Q::AirFlow, "m3/s"),
    ("l/s", Q::AirFlow, "L/s"),
    ("m", Q::Length, "m"),
    ("mm", Q::Length, "mm"),
    ("m3", Q::Volume, "m3"),
    ("l", Q::Volume, "L"),
    ("kg", Q::Mass, "kg"),
    ("g", Q::Mass, "g"),
    ("s", Q::Time, "s"),
    ("min", Q::Time, "min"),
    ("h", Q::Time, "h"),
    ("g/m3", Q::VapourConcentration, "g/m3"),
    ("kg/m3", Q::Density, "kg/m3"),
    ("ug/m3", Q::ParticleConcentration, "ug/m3"),
    ("m2", Q::Area, "m2"),
    ("1/s", Q::AirChange, "1/s"),
    ("rad", Q::Angle, "rad"),
];

/// A record with its base fields worked in.
#[derive(Clone, Debug, PartialEq)]
pub struct Resolved {
    /// Full name.
    pub name: String,
    /// Unit as written; empty where none is told.
    pub unit: String,
    /// Seconds since 1970 UTC.
    pub time_s: f64,
    /// Number.
    pub value: Option<f64>,
    /// Number counted up over time, in unit times seconds.
    pub sum: Option<f64>,
    /// True or false.
    pub flag: Option<bool>,
    /// A text or data in base64 url, which is no reading.
    pub text: Option<String>,
}

#[derive(Default)]
struct Base {
    name: String,
    time_s: f64,
    unit: String,
    value: Option<f64>,
    sum: Option<f64>,
}

/// Fields of a record and what they hold; others are passed over unless they end in `_`.
const KNOWN: &[&str] =
    &["bn", "bt", "bu", "bv", "bs", "bver", "n", "u", "v", "vs", "vb", "vd", "s", "t", "ut"];

/// Resolves a pack. A pack that must not be read as a whole is one reject; a record that is wrong is
/// one, too, and the others stand.
pub fn resolve(text: &str, now_ms: i64, line: usize, rejects: &mut Rejects) -> Vec<Resolved> {
    if text.len() > LONGEST_PACK {
        rejects.push(line, Reason::TooLong, "", "");
        return Vec::new();
    }
    let list = match serde_json::from_str::<Vec<Value>>(text) {
        Ok(list) => list,
        Err(error) => {
            rejects.push(line, Reason::NotJson, "", &error.to_string());
            return Vec::new();
        }
    };
    let records: Option<Vec<&Map<String, Value>>> = list.iter().map(Value::as_object).collect();
    let Some(records) = records.filter(|r| !r.is_empty()) else {
        rejects.push(line, Reason::SenMl, "", "[]");
        return Vec::new();
    };
    // A field that must be understood, or a later version, forbids the whole pack (4.4 and 4.5.4).
    for record in &records {
        if let Some(key) = record.keys().find(|k| k.ends_with('_') && !KNOWN.contains(&k.as_str())) {
            rejects.push(line, Reason::SenMl, key, "_");
            return Vec::new();
        }
        if record.get("bver").is_some_and(|v| v.as_f64().is_none_or(|v| v > VERSION)) {
            rejects.push(line, Reason::SenMl, "bver", "");
            return Vec::new();
        }
    }
    let mut base = Base::default();
    records
        .into_iter()
        .filter_map(|r| match one(r, &mut base, now_ms) {
            Ok(resolved) => resolved,
            Err(key) => {
                let found = r.get(key).map_or(String::new(), Value::to_string);
                rejects.push(line, Reason::SenMl, key, &found);
                None
            }
        })
        .collect()
}

/// One record; the field that is wrong as error, nothing where it only sets base fields.
fn one(record: &Map<String, Value>, base: &mut Base, now_ms: i64) -> Result<Option<Resolved>, &'static str> {
    let text = |key: &'static str| match record.get(key) {
        None => Ok(None),
        Some(Value::String(s)) => Ok(Some(s.as_str())),
        Some(_) => Err(key),
    };
    let number = |key: &'static str| match record.get(key) {
        None => Ok(None),
        Some(Value::Number(n)) => n.as_f64().filter(|v| v.is_finite()).map(Some).ok_or(key),
        Some(_) => Err(key),
    };
    if let Some(name) = text("bn")? {
        base.name = name.to_owned();
    }
    if let Some(t) = number("bt")? {
        base.time_s = t;
    }
    if let Some(u) = text("bu")? {
        base.unit = u.to_owned();
    }
    if let Some(v) = number("bv")? {
        base.value = Some(v);
    }
    if let Some(s) = number("bs")? {
        base.sum = Some(s);
    }
    let (v, s) = (number("v")?, number("s")?);
    let flag = match record.get("vb") {
        None => None,
        Some(Value::Bool(b)) => Some(*b),
        Some(_) => return Err("vb"),
    };
    let (vs, vd) = (text("vs")?, text("vd")?);
    let values = [v.is_some(), vs.is_some(), flag.is_some(), vd.is_some()];
    match values.iter().filter(|there| **there).count() {
        0 if s.is_none() => return Ok(None),
        0 | 1 => {}
        _ => return Err("v"),
    }
    let name = format!("{}{}", base.name, text("n")?.unwrap_or(""));
    let allowed = |c: char| c.is_ascii_alphanumeric() || "-:./_".contains(c);
    if !name.chars().next().is_some_and(|c| c.is_ascii_alphanumeric()) || !name.chars().all(allowed) {
        return Err("n");
    }
    let told_s = base.time_s + number("t")?.unwrap_or(0.0);
    let time_s = if told_s < ABSOLUTE_S { now_ms as f64 / 1000.0 + told_s } else { told_s };
    Ok(Some(Resolved {
        name,
        unit: text("u")?.unwrap_or(&base.unit).to_owned(),
        time_s,
        value: v.map(|v| v + base.value.unwrap_or(0.0)),
        sum: s.map(|s| s + base.sum.unwrap_or(0.0)),
        flag,
        text: vs.or(vd).map(str::to_owned),
    }))
}

/// The program's unit of one of the registry, if it has the quantity.
pub fn unit_of(symbol: &str) -> Option<&'static Unit> {
    let (_, quantity, spelling) = UNITS.iter().find(|(s, _, _)| *s == symbol)?;
    unit(spelling, *quantity)
}

/// Rows of a pack. Numbers in a unit that the program has a quantity for; flags as 0 and 1; sums of
/// a power as energy on a channel of its own, `NAME:sum`. `now_ms` is what relative times count from.
pub fn rows(
    text: &str,
    now_ms: i64,
    line: usize,
    channels: &mut Channels,
    rejects: &mut Rejects,
) -> Vec<Row> {
    let mut out = Vec::new();
    for record in resolve(text, now_ms, line, rejects) {
        let ms = record.time_s * 1000.0;
        if ms.abs() > 1e14 {
            rejects.push(line, Reason::SenMl, "t", &record.time_s.to_string());
            continue;
        }
        let time_ms = ms.round() as i64;
        let name = record.name.as_str();
        if let Some(text) = &record.text {
            rejects.push(line, Reason::TextValue, name, text);
        }
        if let (Some(flag), Some(one)) = (record.flag, unit("1", Q::Number)) {
            out.extend(channels.row(name, one, time_ms, f64::from(u8::from(flag)), (line, &mut *rejects)));
        }
        if let Some(value) = record.value {
            match unit_of(&record.unit) {
                Some(unit) => out.extend(channels.row(name, unit, time_ms, value, (line, &mut *rejects))),
                None => rejects.push(line, Reason::Unmapped, name, &record.unit),
            }
        }
        if let Some(sum) = record.sum {
            let factor = unit_of(&record.unit).filter(|u| u.quantity == Q::Power).map(|u| u.factor);
            match factor.zip(unit("J", Q::Energy)) {
                Some((factor, joule)) => {
                    let name = format!("{name}:sum");
                    out.extend(channels.row(&name, joule, time_ms, sum * factor, (line, &mut *rejects)));
                }
                None => rejects.push(line, Reason::Unmapped, &format!("{name}:sum"), &record.unit),
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &str) -> (Vec<Resolved>, Rejects) {
        let mut rejects = Rejects::default();
        (resolve(text, 1_500_000_000_000, 0, &mut rejects), rejects)
    }

    // The packs are the examples of RFC 8428, section 5.
    #[test]
    fn one_point() {
        let (r, _) = all(r#"[{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}]"#);
        assert_eq!(r[0].name, "urn:dev:ow:10e2073a01080063");
        assert_eq!((r[0].unit.as_str(), r[0].value, r[0].time_s), ("Cel", Some(23.1), 1.5e9));
    }

    #[test]
    fn base_fields_and_relative_times() {
        let (r, _) = all(
            r#"[{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,"n":"voltage","u":"V","v":120.1},
            {"n":"current","t":-5,"v":1.2},{"n":"current","t":-4,"v":1.3},{"n":"current","t":-3,"v":1.4},
            {"n":"current","t":-2,"v":1.5},{"n":"current","t":-1,"v":1.6},{"n":"current","v":1.7}]"#,
        );
        assert_eq!(r.len(), 7);
        assert_eq!((r[0].name.as_str(), r[0].unit.as_str()), ("urn:dev:ow:10e2073a0108006:voltage", "V"));
        assert_eq!((r[1].unit.as_str(), r[1].value), ("A", Some(1.2)));
        assert!((r[1].time_s - 1_276_020_071.001).abs() < 1e-6);
        assert!((r[6].time_s - 1_276_020_076.001).abs() < 1e-6);
    }

    #[test]
    fn many_measurements_resolve_as_the_rfc_resolves_them() {
        let (r, _) = all(r#"[{"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":20},
            {"u":"lon","v":24.30621},{"u":"lat","v":60.07965},{"t":60,"v":20.3},{"u":"lon","t":60,"v":24.30622},
            {"u":"lat","t":60,"v":60.07965},{"t":120,"v":20.7},{"u":"lon","t":120,"v":24.30623},
            {"u":"lat","t":120,"v":60.07966},{"u":"%EL","t":150,"v":98},{"t":180,"v":21.2}]"#);
        let wanted = [
            ("%RH", 1_320_067_464.0, 20.0),
            ("lon", 1_320_067_464.0, 24.30621),
            ("lat", 1_320_067_464.0, 60.07965),
            ("%RH", 1_320_067_524.0, 20.3),
            ("lon", 1_320_067_524.0, 24.30622),
            ("lat", 1_320_067_524.0, 60.07965),
            ("%RH", 1_320_067_584.0, 20.7),
            ("lon", 1_320_067_584.0, 24.30623),
            ("lat", 1_320_067_584.0, 60.07966),
            ("%EL", 1_320_067_614.0, 98.0),
            ("%RH", 1_320_067_644.0, 21.2),
        ];
        for (r, w) in r.iter().zip(wanted) {
            assert_eq!((r.unit.as_str(), r.time_s, r.value), (w.0, w.1, Some(w.2)));
            assert_eq!(r.name, "urn:dev:ow:10e2073a01080063");
        }
        assert_eq!(r.len(), wanted.len());
    }

    #[test]
    fn data_types_and_collections_become_rows_where_they_are_readings() {
        let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
        let types = r#"[{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},
            {"n":"label","vs":"Machine Room"},{"n":"open","vb":false},{"n":"nfc-reader","vd":"aGkgCg"}]"#;
        let found = rows(types, 0, 1, &mut channels, &mut rejects);
        assert_eq!(found.len(), 2);
        assert!((found[0].value - 296.25).abs() < 1e-9 && found[1].value.abs() < 1e-12);
        assert_eq!(rejects.counts[&Reason::TextValue], 2);
        let collection = r#"[{"bn":"2001:db8::2/","bt":1.320078429e+09,"n":"temperature","u":"Cel","v":25.2},
            {"n":"humidity","u":"%RH","v":30},{"bn":"2001:db8::1/","n":"temperature","u":"Cel","v":12.3},
            {"n":"humidity","u":"%RH","v":67}]"#;
        let rows = rows(collection, 0, 2, &mut channels, &mut rejects);
        assert_eq!(channels.list[rows[3].channel].name, "2001:db8::1/humidity");
        assert!((rows[3].value - 0.67).abs() < 1e-12);
        assert!(rows.iter().all(|r| r.time_ms == 1_320_078_429_000));
    }

    #[test]
    fn base_values_and_sums_add() {
        let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
        let pack = r#"[{"bn":"fan","bt":1320078429,"bu":"W","bv":10,"bs":1000,"v":2,"s":5},{"t":1,"v":-3},{"t":2,"s":7}]"#;
        let rows = rows(pack, 0, 1, &mut channels, &mut rejects);
        let values: Vec<f64> = rows.iter().map(|r| r.value).collect();
        assert_eq!(values, [12.0, 1005.0, 7.0, 1007.0]);
        assert_eq!(channels.list[rows[1].channel].name, "fan:sum");
        assert_eq!(channels.list[rows[1].channel].quantity, Q::Energy);
    }

    #[test]
    fn what_the_rfc_forbids_is_refused() {
        let wrong = [
            "[]",
            "{}",
            "[1]",
            r#"[{"n":"a","v":1,"must_":2}]"#,
            r#"[{"bver":11,"n":"a","v":1}]"#,
            r#"[{"n":"a","v":1,"vb":true}]"#,
            r#"[{"n":"","v":1}]"#,
            r#"[{"n":"-a","v":1}]"#,
            r#"[{"n":"a b","v":1}]"#,
            r#"[{"n":"a","v":"1"}]"#,
        ];
        for text in wrong {
            let (list, rejects) = all(text);
            assert!(list.is_empty() && rejects.total() == 1, "{text}: {list:?}");
        }
        // One wrong record leaves the others.
        let (list, rejects) = all(r#"[{"n":"a","v":"1"},{"n":"b","v":2}]"#);
        assert_eq!((list.len(), rejects.total()), (1, 1));
    }
}
