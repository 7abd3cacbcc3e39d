//! What a column measures and in which unit, from its header and its values, with the reason.

use engine::units::{Quantity, UNITS, Unit, unit};
use serde::Serialize;

/// What a word in a header means.
struct Meaning {
    words: &'static [&'static str],
    quantity: Quantity,
    /// The column's name in a series.
    name: &'static str,
    /// Values that are plausible in a house or outdoors, SI, for the median.
    plausible: (f64, f64),
}

/// Headers in English and Spanish. The first that fits counts.
const MEANINGS: &[Meaning] = &[
    of(&["co2", "carbon dioxide", "dioxido de carbono"], Quantity::GasFraction, "co2", (250e-6, 5e-2)),
    of(&["pm25"], Quantity::ParticleConcentration, "pm25", (0.0, 2e-6)),
    of(&["pm10"], Quantity::ParticleConcentration, "pm10", (0.0, 5e-6)),
    of(&["pm4"], Quantity::ParticleConcentration, "pm4", (0.0, 5e-6)),
    of(&["pm1"], Quantity::ParticleConcentration, "pm1", (0.0, 2e-6)),
    of(&["tvoc", "voc"], Quantity::GasFraction, "tvoc", (0.0, 1e-4)),
    of(&["carbon monoxide", "monoxido de carbono", "co"], Quantity::GasFraction, "co", (0.0, 2e-3)),
    of(&["humidity ratio", "mixing ratio"], Quantity::HumidityRatio, "humidity_ratio", (2e-4, 0.05)),
    of(
        &["absolute humidity", "abs humidity", "humedad absoluta"],
        Quantity::VapourConcentration,
        "absolute_humidity",
        (2e-4, 0.06),
    ),
    of(&["dew point", "dewpoint", "punto de rocio"], Quantity::Temperature, "dew_point", (223.15, 313.15)),
    of(&["temperature", "temp", "temperatura", "t"], Quantity::Temperature, "temperature", (223.15, 338.15)),
    of(
        &["relative humidity", "humidity", "humedad", "rh", "hum", "hr"],
        Quantity::Fraction,
        "rh",
        (0.03, 1.0),
    ),
    of(
        &["pressure", "presion", "barometer", "baro", "atm"],
        Quantity::Pressure,
        "pressure",
        (-2_500.0, 110_000.0),
    ),
    of(&["flow", "airflow", "caudal"], Quantity::AirFlow, "flow", (0.0, 5.0)),
    of(&["wind", "viento", "air speed", "velocity"], Quantity::Speed, "speed", (0.0, 40.0)),
    of(&["power", "potencia"], Quantity::Power, "power", (-50e3, 50e3)),
];

const fn of(
    words: &'static [&'static str],
    quantity: Quantity,
    name: &'static str,
    plausible: (f64, f64),
) -> Meaning {
    Meaning { words, quantity, name, plausible }
}

/// How sure a unit is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// Header or units row says so.
    Written,
    /// The only unit in which the values are plausible.
    Values,
    /// Nothing says so: this is asked.
    Asked,
}

/// A guess about a column.
#[derive(Clone, Debug, PartialEq)]
pub struct Guess {
    /// The column's name in a series.
    pub name: String,
    /// What it measures.
    pub quantity: Quantity,
    /// In which unit.
    pub unit: &'static Unit,
    /// From where the unit is known.
    pub why: Why,
    /// Units that would do, likely ones first; what is asked.
    pub choices: Vec<&'static str>,
}

/// A header as words: lower case, letters without accents, `PM2.5` as `pm25`.
fn plain(header: &str) -> String {
    let mut out = String::new();
    let mut lower = false;
    for c in header.chars() {
        let c = match c {
            '\u{e1}' | '\u{c1}' => 'a',
            '\u{e9}' | '\u{c9}' => 'e',
            '\u{ed}' | '\u{cd}' => 'i',
            '\u{f3}' | '\u{d3}' => 'o',
            '\u{fa}' | '\u{da}' => 'u',
            '\u{2082}' => '2',
            c => c,
        };
        if c.is_alphanumeric() {
            if c.is_uppercase() && lower {
                out.push(' ');
            }
            lower = c.is_lowercase();
            out.extend(c.to_lowercase());
        } else {
            lower = false;
            if !out.ends_with(' ') {
                out.push(' ');
            }
        }
    }
    out.replace("pm 2 5", "pm25").replace("pm2 5", "pm25").replace("p m25", "pm25").trim().to_owned()
}

fn meaning(header: &str) -> Option<&'static Meaning> {
    let plain = plain(header);
    let words: Vec<&str> = plain.split(' ').collect();
    MEANINGS.iter().find(|m| {
        m.words.iter().any(|w| if w.contains(' ') { plain.contains(w) } else { words.iter().any(|h| h == w) })
    })
}

/// The unit that a text names: whole, in brackets, or its last word. Letters' case is forgiven where
/// nothing else fits.
fn unit_in(text: &str, quantity: Option<Quantity>) -> Option<&'static Unit> {
    let mut candidates: Vec<&str> = vec![text.trim()];
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
        if let Some((_, rest)) = text.rsplit_once(open)
            && let Some((inside, _)) = rest.split_once(close)
        {
            candidates.push(inside.trim());
        }
    }
    for mark in [',', ' ', '_', '/', '-', '.', ':'] {
        candidates.extend(text.trim().rsplit_once(mark).map(|(_, last)| last.trim()));
    }
    let strip = |s: &str| s.trim_start_matches('\u{2103}').to_owned();
    let fits = |spelled: &str, u: &Unit| {
        u.symbol == spelled || u.spellings.contains(&spelled) || (!u.ucum.is_empty() && u.ucum == spelled)
    };
    let wanted = |u: &&Unit| match quantity {
        Some(q) => u.quantity == q,
        None => MEANINGS.iter().any(|m| m.quantity == u.quantity),
    };
    for candidate in &candidates {
        let spelled = match *candidate {
            "\u{2103}" => "degC".to_owned(),
            "\u{2109}" => "degF".to_owned(),
            "Celsius" | "celsius" => "degC".to_owned(),
            "Fahrenheit" | "fahrenheit" => "degF".to_owned(),
            other => strip(other),
        };
        if spelled.is_empty() {
            continue;
        }
        if let Some(found) = UNITS.iter().filter(wanted).find(|u| fits(&spelled, u)) {
            return Some(found);
        }
    }
    candidates.iter().filter(|c| !c.is_empty()).find_map(|c| {
        UNITS.iter().filter(wanted).find(|u| {
            u.symbol.eq_ignore_ascii_case(c) || u.spellings.iter().any(|s| s.eq_ignore_ascii_case(c))
        })
    })
}

/// A name of a column: letters, digits and `_`.
pub fn slug(text: &str) -> String {
    let plain = plain(text).replace(' ', "_");
    let out: String = plain.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '_').take(40).collect();
    let out = out.trim_matches('_').to_owned();
    if out.is_empty() || out == "time" {
        format!("column_{out}").trim_end_matches('_').to_owned()
    } else {
        out
    }
}

/// What a column is, from its header, the text of its units row and the median of its values.
pub fn column(header: &str, units_row: &str, median: Option<f64>) -> Option<Guess> {
    let known = meaning(header);
    let quantity = known.map(|m| m.quantity);
    let written = unit_in(units_row, quantity).or_else(|| unit_in(header, quantity));
    match (known, written) {
        (Some(m), Some(unit)) => Some(Guess {
            name: m.name.to_owned(),
            quantity: m.quantity,
            unit,
            why: Why::Written,
            choices: Vec::new(),
        }),
        (None, Some(unit)) => {
            // A percentage may be a battery.
            let telling = !matches!(unit.symbol, "1" | "%" | "s" | "min" | "h" | "d" | "m" | "K" | "year");
            telling.then(|| Guess {
                name: slug(header),
                quantity: unit.quantity,
                unit,
                why: Why::Written,
                choices: Vec::new(),
            })
        }
        (Some(m), None) => by_values(m, median?),
        (None, None) => None,
    }
}

fn by_values(m: &'static Meaning, median: f64) -> Option<Guess> {
    let choices: Vec<&'static Unit> =
        UNITS.iter().filter(|u| u.quantity == m.quantity && usual(m, u, median)).collect();
    let first = choices.first().copied();
    let (unit, why) = match (first, choices.len()) {
        (Some(unit), 1) => (unit, Why::Values),
        (Some(unit), _) => (unit, Why::Asked),
        (None, _) => (unit(m.quantity.si_symbol(), m.quantity)?, Why::Asked),
    };
    let mut choices: Vec<&'static str> = choices.iter().map(|u| u.symbol).collect();
    if choices.is_empty() {
        choices = UNITS.iter().filter(|u| u.quantity == m.quantity).map(|u| u.symbol).collect();
    }
    Some(Guess { name: m.name.to_owned(), quantity: m.quantity, unit, why, choices })
}

/// Whether a median in a unit is what is usual, and the unit one that devices show.
fn usual(m: &Meaning, unit: &Unit, median: f64) -> bool {
    let shown: &[&str] = match m.quantity {
        Quantity::GasFraction => &["ppm", "ppb", "vol %"],
        Quantity::Temperature => &["degC", "degF", "K"],
        Quantity::ParticleConcentration => &["ug/m3", "mg/m3"],
        Quantity::Pressure => &["Pa", "hPa", "kPa", "inHg", "mmHg"],
        _ => &[],
    };
    (shown.is_empty() || shown.contains(&unit.symbol)) && within(m, unit.to_si(median))
}

fn within(m: &Meaning, si: f64) -> bool {
    if m.quantity == Quantity::Pressure {
        // Absolute, or between two places.
        return (55e3..=110e3).contains(&si) || si.abs() <= 250.0;
    }
    (m.plausible.0..=m.plausible.1).contains(&si)
}

/// Whether a column's median can be what its mapping says; where it cannot, the units in which it
/// could. The column's name tells which gas is meant.
pub fn lies(name: &str, quantity: Quantity, said: &Unit, median: f64) -> Option<Vec<&'static str>> {
    let by_name = MEANINGS.iter().find(|m| m.quantity == quantity && name.contains(m.name));
    let m = match by_name {
        Some(m) => m,
        // Any gas may be as thin as it likes.
        None if quantity == Quantity::GasFraction => return None,
        None => MEANINGS.iter().find(|m| m.quantity == quantity)?,
    };
    if within(m, said.to_si(median)) {
        return None;
    }
    let units = UNITS.iter().filter(|u| u.quantity == quantity && u.symbol != said.symbol);
    Some(units.filter(|u| usual(m, u, median)).map(|u| u.symbol).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(header: &str, row: &str, median: f64) -> (String, &'static str, Why) {
        let g = column(header, row, Some(median)).unwrap();
        (g.name, g.unit.symbol, g.why)
    }

    #[test]
    fn headers_of_many_devices() {
        let cases = [
            ("CO2 (ppm)", "", 800.0, "co2", "ppm", Why::Written),
            ("Carbon dioxide [PPM]", "", 800.0, "co2", "ppm", Why::Written),
            ("CO2", "ppm", 800.0, "co2", "ppm", Why::Written),
            ("co2", "", 800.0, "co2", "ppm", Why::Values),
            ("Temperature_C", "", 21.0, "temperature", "degC", Why::Written),
            ("Temperatura (\u{b0}C)", "", 21.0, "temperature", "degC", Why::Written),
            ("Temp(\u{2109})", "", 70.0, "temperature", "degF", Why::Written),
            ("Temperature", "", 70.0, "temperature", "degF", Why::Values),
            ("Temperature", "", 295.0, "temperature", "K", Why::Values),
            ("Temperature", "", 21.0, "temperature", "degC", Why::Asked),
            ("Humedad relativa", "%", 45.0, "rh", "%", Why::Written),
            ("Humidity", "", 0.45, "rh", "1", Why::Values),
            ("RH", "", 45.0, "rh", "%", Why::Values),
            ("PM2.5", "\u{b5}g/m\u{b3}", 12.0, "pm25", "ug/m3", Why::Written),
            ("pm2_5", "", 12.0, "pm25", "ug/m3", Why::Values),
            ("HumidityRatio", "", 0.004, "humidity_ratio", "kg/kg", Why::Values),
            ("Baro (hPa)", "", 1013.0, "pressure", "hPa", Why::Written),
        ];
        for (header, row, median, name, unit, why) in cases {
            assert_eq!(told(header, row, median), (name.to_owned(), unit, why), "{header}");
        }
        for nothing in ["Battery (%)", "Light", "Row", "Occupancy", ""] {
            assert_eq!(column(nothing, "", Some(1.0)), None, "{nothing}");
        }
    }

    #[test]
    fn a_unit_that_lies_is_caught() {
        let q = Quantity::GasFraction;
        let ppm = unit("ppm", q).unwrap();
        assert_eq!(lies("co2", q, ppm, 0.04), Some(vec!["vol %"]));
        assert_eq!(lies("co2", q, ppm, 640.0), None);
        assert_eq!(lies("tracer", q, ppm, 0.04), None);
        let q = Quantity::Temperature;
        assert_eq!(lies("temperature", q, unit("degC", q).unwrap(), 295.0), Some(vec!["K"]));
        assert_eq!(lies("temperature", q, unit("degC", q).unwrap(), 72.0), Some(vec!["degF"]));
        let q = Quantity::Fraction;
        assert_eq!(lies("rh", q, unit("1", q).unwrap(), 45.0), Some(vec!["%"]));
        assert_eq!(lies("rh", q, unit("%", q).unwrap(), 0.45), Some(vec!["1"]));
    }

    #[test]
    fn names_are_plain() {
        assert_eq!(slug("Bed Room (2nd)"), "bed_room_2nd");
        assert_eq!(slug("time"), "column_time");
        assert_eq!(slug("\u{1f600}"), "column");
    }
}
