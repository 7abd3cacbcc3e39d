//! Reads a weather year from comma-separated text.
//!
//! Lines that start with `#` give the station (`# latitude: 36.1 deg`); then a header whose every
//! column carries its unit in brackets (`dry_bulb [degC]`); then a row for each hour of the year, 1
//! to 8760. Gaps of at most three hours are interpolated, counted and said; a longer one is an
//! error. All mistakes of a file are reported in one run, at most [`MOST_SAID`] of a kind.

use super::{HOURS, Hour, Weather};
use crate::air;
use crate::diag::{Code, Diagnostic, Diagnostics, Span, code};
use crate::math;
use crate::units::{self, Quantity};

/// Longest gap that is interpolated, h.
const LONGEST_GAP_H: usize = 3;
/// Diagnostics of one code before the rest is only counted.
const MOST_SAID: usize = 10;
const IRRADIANCE: &str = "W/m2";

/// What a column holds. `None` as quantity is irradiance, which has one unit only.
struct Kind {
    name: &'static str,
    quantity: Option<Quantity>,
    /// Possible values, SI.
    lo: f64,
    hi: f64,
    needed: bool,
}

const TEMP: usize = 0;
const DEW: usize = 1;
const PRESSURE: usize = 2;
const WIND: usize = 3;
const FROM: usize = 4;
const GHI: usize = 5;
const DNI: usize = 6;
const DHI: usize = 7;
const COLUMNS: [Kind; 8] = [
    Kind { name: "dry_bulb", quantity: Some(Quantity::Temperature), lo: 193.15, hi: 333.15, needed: true },
    Kind { name: "dew_point", quantity: Some(Quantity::Temperature), lo: 183.15, hi: 309.15, needed: true },
    Kind { name: "pressure", quantity: Some(Quantity::Pressure), lo: 5e4, hi: 1.1e5, needed: false },
    Kind { name: "wind_speed", quantity: Some(Quantity::Speed), lo: 0.0, hi: 75.0, needed: true },
    Kind {
        name: "wind_from",
        quantity: Some(Quantity::Angle),
        lo: 0.0,
        hi: std::f64::consts::TAU * 1.000_001,
        needed: true,
    },
    Kind { name: "ghi", quantity: None, lo: 0.0, hi: 1500.0, needed: false },
    Kind { name: "dni", quantity: None, lo: 0.0, hi: 1500.0, needed: false },
    Kind { name: "dhi", quantity: None, lo: 0.0, hi: 1500.0, needed: false },
];

/// A column of the file: which kind, and how to bring it to SI.
enum Place {
    Hour,
    Value {
        kind: usize,
        unit: Option<&'static units::Unit>,
    },
    /// Named, but its unit is not understood: said once, its cells are not looked at.
    Broken {
        kind: usize,
    },
    Unused,
}

/// Reads `text`; `file` is its name for the diagnostics. The weather is there unless something
/// was an error.
pub fn read(file: &str, text: &str) -> (Option<Weather>, Diagnostics) {
    let mut reader = Reader {
        file,
        found: Diagnostics::default(),
        said: Vec::new(),
        station: Vec::new(),
        columns: vec![vec![None; HOURS]; COLUMNS.len()],
        rows: 0,
    };
    let places = reader.lines(text);
    let weather = reader.finish(&places);
    (weather.filter(|_| !reader.found.has_errors()), reader.found)
}

struct Reader<'a> {
    file: &'a str,
    found: Diagnostics,
    /// How often each code came up.
    said: Vec<(Code, usize)>,
    station: Vec<(String, String, Span)>,
    columns: Vec<Vec<Option<f64>>>,
    rows: usize,
}

impl Reader<'_> {
    fn say(&mut self, diagnostic: Diagnostic) {
        let code = diagnostic.code;
        let count = match self.said.iter_mut().find(|(c, _)| *c == code) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                self.said.push((code, 1));
                1
            }
        };
        if count <= MOST_SAID {
            self.found.push(diagnostic);
        }
    }

    fn lines(&mut self, text: &str) -> Vec<Place> {
        let mut places: Vec<Place> = Vec::new();
        let mut seen = vec![false; HOURS];
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let at = start;
            start += line.len();
            let line = line.trim_end_matches(['\n', '\r']);
            let span = Span::new(self.file, at..at + line.len());
            if let Some(comment) = line.strip_prefix('#') {
                if let Some((key, value)) = comment.split_once(':') {
                    self.station.push((key.trim().to_owned(), value.trim().to_owned(), span));
                }
            } else if line.trim().is_empty() {
            } else if places.is_empty() {
                places = self.header(line, &span);
            } else {
                self.row(line, at, &span, &places, &mut seen);
            }
        }
        places
    }

    fn header(&mut self, line: &str, span: &Span) -> Vec<Place> {
        let mut places = Vec::new();
        for cell in line.split(',') {
            let cell = cell.trim();
            if cell == "hour" {
                places.push(Place::Hour);
                continue;
            }
            let (name, spelling) = match cell.split_once('[') {
                Some((name, rest)) => (name.trim(), rest.trim_end_matches(']').trim()),
                None => (cell, ""),
            };
            let Some(kind) = COLUMNS.iter().position(|k| k.name == name) else {
                places.push(Place::Unused);
                continue;
            };
            let unit = COLUMNS[kind].quantity.and_then(|q| units::unit(spelling, q));
            let understood =
                if COLUMNS[kind].quantity.is_some() { unit.is_some() } else { spelling == IRRADIANCE };
            if !understood {
                let wanted = COLUMNS[kind].quantity.map_or(IRRADIANCE, |q| q.likely_units()[1]);
                self.say(
                    Diagnostic::error(code::W102)
                        .at(span.clone())
                        .arg("column", name)
                        .arg("unit", spelling)
                        .arg("wanted", wanted),
                );
            }
            places.push(if understood { Place::Value { kind, unit } } else { Place::Broken { kind } });
        }
        for (k, kind) in COLUMNS.iter().enumerate() {
            let there = places
                .iter()
                .any(|p| matches!(p, Place::Value { kind, .. } | Place::Broken { kind } if *kind == k));
            if kind.needed && !there {
                self.say(Diagnostic::error(code::W101).at(span.clone()).arg("column", kind.name));
            }
        }
        if !places.iter().any(|p| matches!(p, Place::Hour)) {
            self.say(Diagnostic::error(code::W101).at(span.clone()).arg("column", "hour"));
        }
        places
    }

    fn row(&mut self, line: &str, start: usize, span: &Span, places: &[Place], seen: &mut [bool]) {
        self.rows += 1;
        let cells: Vec<&str> = line.split(',').collect();
        let Some(place) = places.iter().position(|p| matches!(p, Place::Hour)) else {
            return;
        };
        let written = cells.get(place).map_or("", |c| c.trim());
        let hour = match written.parse::<usize>() {
            Ok(hour) if (1..=HOURS).contains(&hour) && !seen[hour - 1] => hour - 1,
            _ => {
                self.say(Diagnostic::error(code::W109).at(span.clone()).arg("hour", written));
                return;
            }
        };
        seen[hour] = true;
        let mut at = start;
        for (k, place) in places.iter().enumerate() {
            let raw = cells.get(k).copied().unwrap_or("");
            let cell_span = Span::new(self.file, at..at + raw.len());
            at += raw.len() + 1;
            let Place::Value { kind, unit } = place else {
                continue;
            };
            let cell = raw.trim();
            if cell.is_empty() {
                continue;
            }
            let said = (COLUMNS[*kind].name, cell, hour + 1);
            let value = cell.parse::<f64>().ok().filter(|v| v.is_finite());
            let Some(value) = value else {
                self.say(
                    Diagnostic::error(code::W103)
                        .at(cell_span)
                        .arg("column", said.0)
                        .arg("cell", said.1)
                        .arg("hour", said.2),
                );
                continue;
            };
            let si = unit.map_or(value, |u| u.to_si(value));
            if si < COLUMNS[*kind].lo || si > COLUMNS[*kind].hi {
                self.say(
                    Diagnostic::error(code::W104)
                        .at(cell_span)
                        .arg("column", said.0)
                        .arg("cell", said.1)
                        .arg("hour", said.2),
                );
                continue;
            }
            self.columns[*kind][hour] = Some(si);
        }
    }

    fn station_number(&mut self, key: &'static str, quantity: Quantity) -> Option<f64> {
        let line = self.station.iter().find(|(k, _, _)| k == key).cloned();
        let value = line.as_ref().and_then(|(_, text, _)| units::parse(text, quantity).ok());
        if value.is_none() {
            self.say(Diagnostic::error(code::W108).at(line.map(|l| l.2)).arg("key", key));
        }
        value.map(|w| w.si)
    }

    fn station_text(&self, key: &str) -> String {
        self.station.iter().find(|(k, _, _)| k == key).map_or_else(String::new, |(_, text, _)| text.clone())
    }

    fn finish(&mut self, places: &[Place]) -> Option<Weather> {
        let latitude_rad = self.station_number("latitude", Quantity::Angle);
        let longitude_rad = self.station_number("longitude", Quantity::Angle);
        let elevation_m = self.station_number("elevation", Quantity::Length);
        let utc_offset_s = self.station_number("utc_offset", Quantity::Time);
        let had = |k: usize| places.iter().any(|p| matches!(p, Place::Value { kind, .. } if *kind == k));
        let present: Vec<usize> = (0..COLUMNS.len()).filter(|k| had(*k)).collect();
        if places.is_empty() {
            self.say(Diagnostic::error(code::W105).arg("found", self.rows).arg("wanted", HOURS));
            return None;
        }
        let mut filled = 0;
        let mut long = self.rows > HOURS;
        for k in present {
            match fill(&mut self.columns[k], k == FROM) {
                Ok(count) => filled += count,
                Err((first, hours)) => {
                    long = true;
                    self.say(
                        Diagnostic::error(code::W106)
                            .arg("column", COLUMNS[k].name)
                            .arg("hour", first + 1)
                            .arg("hours", hours)
                            .arg("longest", LONGEST_GAP_H),
                    );
                }
            }
        }
        if long && self.rows != HOURS {
            self.say(Diagnostic::error(code::W105).arg("found", self.rows).arg("wanted", HOURS));
        }
        if filled > 0 {
            self.say(Diagnostic::warning(code::W107).arg("count", filled).arg("longest", LONGEST_GAP_H));
        }
        if self.found.has_errors() {
            return None;
        }
        let elevation_m = elevation_m?;
        let standard_pa = air::standard_pressure_pa(elevation_m);
        let hours = (0..HOURS)
            .map(|h| {
                let get = |k: usize, other: f64| self.columns[k][h].unwrap_or(other);
                let temp_k = get(TEMP, f64::NAN);
                let pressure_pa = get(PRESSURE, standard_pa);
                // A dew point above the dry bulb is rounding of the source: saturated.
                let dew_k = get(DEW, f64::NAN).min(temp_k);
                Hour {
                    temp_k,
                    w_kg_kg: air::saturation_humidity_ratio(dew_k, pressure_pa),
                    pressure_pa,
                    wind_m_s: get(WIND, 0.0),
                    wind_from_rad: get(FROM, 0.0),
                    ghi_w_m2: get(GHI, 0.0),
                    dni_w_m2: get(DNI, 0.0),
                    dhi_w_m2: get(DHI, 0.0),
                }
            })
            .collect();
        Some(Weather {
            station: self.station_text("station"),
            source: self.station_text("source"),
            latitude_rad: latitude_rad?,
            longitude_rad: longitude_rad?,
            elevation_m,
            utc_offset_h: utc_offset_s? / 3600.0,
            hours,
            filled_count: filled,
        })
    }
}

/// Fills gaps of at most [`LONGEST_GAP_H`] between two values, cyclic; how many were filled, or
/// the first hour and the length of a gap that is too long.
fn fill(column: &mut [Option<f64>], angle: bool) -> Result<usize, (usize, usize)> {
    let count = column.len();
    let Some(first) = column.iter().position(Option::is_some) else {
        return Err((0, count));
    };
    let mut filled = 0;
    let mut last = first;
    // Once round from the first value there is, back to itself.
    for step in 1..=count {
        let here = (first + step) % count;
        let Some(b) = column[here] else { continue };
        let gap = first + step - last - 1;
        if gap > LONGEST_GAP_H {
            return Err(((last + 1) % count, gap));
        }
        let a = column[last % count].unwrap_or(b);
        for k in 1..=gap {
            let part = k as f64 / (gap + 1) as f64;
            column[(last + k) % count] = Some(if angle { turn(a, b, part) } else { a + part * (b - a) });
        }
        filled += gap;
        last = first + step;
    }
    Ok(filled)
}

fn turn(a: f64, b: f64, part: f64) -> f64 {
    let north = (1.0 - part) * math::cos(a) + part * math::cos(b);
    let east = (1.0 - part) * math::sin(a) + part * math::sin(b);
    math::atan2(east, north).rem_euclid(std::f64::consts::TAU)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(edit: impl Fn(usize) -> Option<String>) -> String {
        let mut text = String::from(
            "# station: Somewhere\n# latitude: 36.1 deg\n# longitude: -79.95 deg\n# elevation: 273 m\n# utc_offset: -5 h\n\
             hour,dry_bulb [degC],dew_point [degC],pressure [hPa],wind_speed [m/s],wind_from [deg],ghi [W/m2]\n",
        );
        for hour in 1..=HOURS {
            if let Some(row) = edit(hour) {
                text.push_str(&row);
                text.push('\n');
            }
        }
        text
    }

    fn plain(hour: usize) -> Option<String> {
        Some(format!("{hour},{},5,990,3,350,0", 10 + hour % 2))
    }

    fn codes(found: &Diagnostics) -> Vec<&'static str> {
        let mut list: Vec<&str> = found.list.iter().map(|d| d.code.0).collect();
        list.dedup();
        list
    }

    #[test]
    fn a_whole_year_reads_in_si() {
        let (weather, found) = read("w.csv", &text(plain));
        let weather = weather.unwrap();
        assert!(found.list.is_empty());
        assert_eq!(weather.hours.len(), HOURS);
        assert!((weather.hours[0].temp_k - 284.15).abs() < 1e-9);
        assert!((weather.hours[0].pressure_pa - 99_000.0).abs() < 1e-9);
        assert!((weather.utc_offset_h + 5.0).abs() < 1e-12);
        // Dew point 5 degC: the vapour pressure is that of saturation at 5 degC, 872.6 Pa (ASHRAE).
        let pw = air::vapour_pressure_pa(weather.hours[0].w_kg_kg, 99_000.0);
        assert!((pw - 872.6).abs() < 0.3, "{pw}");
    }

    #[test]
    fn short_gaps_are_filled_and_counted_long_ones_refused() {
        let (weather, found) =
            read("w.csv", &text(|h| if (100..103).contains(&h) { None } else { plain(h) }));
        assert_eq!(codes(&found), ["W107"]);
        // Three hours of six columns.
        assert_eq!(weather.unwrap().filled_count, 18);
        let (weather, found) =
            read("w.csv", &text(|h| if (100..104).contains(&h) { None } else { plain(h) }));
        assert!(weather.is_none());
        assert!(codes(&found).contains(&"W106") && codes(&found).contains(&"W105"));
    }

    #[test]
    fn mistakes_are_named() {
        let (_, found) =
            read("w.csv", &text(|h| if h == 7 { Some("7,cold,5,990,3,350,0".into()) } else { plain(h) }));
        assert!(codes(&found).contains(&"W103"));
        let w103 = found.list.iter().find(|d| d.code == code::W103).unwrap();
        let body = text(|h| if h == 7 { Some("7,cold,5,990,3,350,0".into()) } else { plain(h) });
        assert_eq!(body.get(w103.spans[0].start..w103.spans[0].end), Some("cold"));
        let (_, found) =
            read("w.csv", &text(|h| if h == 7 { Some("7,900,5,990,3,350,0".into()) } else { plain(h) }));
        assert!(codes(&found).contains(&"W104"));
        let (_, found) =
            read("w.csv", &text(|h| if h == 7 { Some("6,9,5,990,3,350,0".into()) } else { plain(h) }));
        assert!(codes(&found).contains(&"W109"));
        let (_, found) = read("w.csv", &text(plain).replace("dry_bulb [degC]", "dry_bulb [Pa]"));
        assert_eq!(codes(&found), ["W102"]);
        let (_, found) = read("w.csv", &text(plain).replace("wind_speed [m/s]", "gust [m/s]"));
        assert!(codes(&found).contains(&"W101"));
        let (_, found) = read("w.csv", &text(plain).replace("# latitude: 36.1 deg", "# latitude: 36.1"));
        assert_eq!(codes(&found), ["W108"]);
        let (_, found) = read("w.csv", "");
        assert!(codes(&found).contains(&"W105"));
    }
}
