//! Reads a weather year from comma-separated text.
//!
//! Lines that start with `#` give the station (`# latitude: 36.1 deg`); then a header whose every
//! column carries its unit in brackets (`dry_bulb [degC]`); then a row for each hour of the year, 1
//! to 8760, in the station's standard time all year. Gaps of at most three hours are interpolated,
//! counted and said; a longer one is an error. All mistakes of a file are reported in one run, at
//! most ten of a kind.

use super::table::{COLUMNS, Gaps, Sayer, Table};
use super::{HOURS, Weather};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::units::{self, Quantity};

const IRRADIANCE: &str = "W/m2";

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
pub(super) fn read(file: &str, text: &str) -> (Option<Weather>, Diagnostics) {
    let mut reader = Reader {
        sayer: Sayer::new(file),
        station: Vec::new(),
        table: Table::new(),
        rows: 0,
        semicolons: false,
    };
    let places = reader.lines(text);
    let weather = reader.finish(&places);
    (weather.filter(|_| !reader.sayer.found.has_errors()), reader.sayer.found)
}

struct Reader<'a> {
    sayer: Sayer<'a>,
    station: Vec<(String, String, Span)>,
    table: Table,
    rows: usize,
    /// Cells stand between semicolons, as where the decimal mark is a comma.
    semicolons: bool,
}

impl Reader<'_> {
    fn mark(&self) -> char {
        if self.semicolons { ';' } else { ',' }
    }

    fn lines(&mut self, text: &str) -> Vec<Place> {
        let mut places: Vec<Place> = Vec::new();
        let mut seen = vec![false; HOURS];
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let at = start;
            start += line.len();
            let line = line.trim_end_matches(['\n', '\r']);
            let span = Span::new(self.sayer.file, at..at + line.len());
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
        self.semicolons = line.contains(';') && !line.contains(',');
        for cell in line.split(self.mark()) {
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
                self.sayer.say(
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
                self.sayer.say(Diagnostic::error(code::W101).at(span.clone()).arg("column", kind.name));
            }
        }
        if !places.iter().any(|p| matches!(p, Place::Hour)) {
            self.sayer.say(Diagnostic::error(code::W101).at(span.clone()).arg("column", "hour"));
        }
        places
    }

    fn row(&mut self, line: &str, start: usize, span: &Span, places: &[Place], seen: &mut [bool]) {
        self.rows += 1;
        let cells: Vec<&str> = line.split(self.mark()).collect();
        let Some(place) = places.iter().position(|p| matches!(p, Place::Hour)) else {
            return;
        };
        let written = cells.get(place).map_or("", |c| c.trim());
        let hour = match written.parse::<usize>() {
            Ok(hour) if (1..=HOURS).contains(&hour) && !seen[hour - 1] => hour - 1,
            _ => {
                self.sayer.say(Diagnostic::error(code::W109).at(span.clone()).arg("hour", written));
                return;
            }
        };
        seen[hour] = true;
        let mut at = start;
        for (k, place) in places.iter().enumerate() {
            let raw = cells.get(k).copied().unwrap_or("");
            let cell_span = Span::new(self.sayer.file, at..at + raw.len());
            at += raw.len() + 1;
            let Place::Value { kind, unit } = place else {
                continue;
            };
            let cell = raw.trim();
            if cell.is_empty() {
                continue;
            }
            let said = (COLUMNS[*kind].name, cell, hour + 1);
            let comma = self.semicolons && cell.contains(',');
            let number = if comma { cell.replace(',', ".").parse() } else { cell.parse::<f64>() };
            let value = number.ok().filter(|v| v.is_finite());
            let Some(value) = value else {
                self.sayer.say(
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
                self.sayer.say(
                    Diagnostic::error(code::W104)
                        .at(cell_span)
                        .arg("column", said.0)
                        .arg("cell", said.1)
                        .arg("hour", said.2),
                );
                continue;
            }
            self.table.columns[*kind][hour] = Some(si);
        }
    }

    fn station_number(&mut self, key: &'static str, quantity: Quantity) -> Option<f64> {
        let line = self.station.iter().find(|(k, _, _)| k == key).cloned();
        let value = line.as_ref().and_then(|(_, text, _)| units::parse(text, quantity).ok());
        if value.is_none() {
            self.sayer.say(Diagnostic::error(code::W108).at(line.map(|l| l.2)).arg("key", key));
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
            self.sayer.say(Diagnostic::error(code::W105).arg("found", self.rows).arg("wanted", HOURS));
            return None;
        }
        let filled = self.table.fill(&present, Gaps::Prepared, &mut self.sayer);
        let long = self.sayer.found.list.iter().any(|d| d.code == code::W106);
        if self.rows > HOURS || (long && self.rows != HOURS) {
            self.sayer.say(Diagnostic::error(code::W105).arg("found", self.rows).arg("wanted", HOURS));
        }
        if self.sayer.found.has_errors() {
            return None;
        }
        let elevation_m = elevation_m?;
        Some(Weather {
            station: self.station_text("station"),
            source: self.station_text("source"),
            latitude_rad: latitude_rad?,
            longitude_rad: longitude_rad?,
            elevation_m,
            utc_offset_h: utc_offset_s? / 3600.0,
            hours: self.table.hours(elevation_m),
            filled_count: filled,
            pm25_kg_m3: Vec::new(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air;

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
    fn semicolons_and_decimal_commas_read_the_same() {
        let spanish = text(|hour| plain(hour).map(|row| row.replace(",990,", ",990.5,")));
        let commas = spanish.replace(',', ";").replace(".5;", ",5;");
        assert_eq!(read("w.csv", &commas).0.unwrap().hours, read("w.csv", &spanish).0.unwrap().hours);
    }

    #[test]
    fn whatever_is_wrong_names_the_file() {
        let (_, found) = read("w.csv", &text(|h| (h < 4000).then(|| plain(h)).flatten()));
        assert!(found.list.iter().all(|d| d.spans[0].file == "w.csv"));
        assert!(!found.list.is_empty());
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
