//! Hourly observations of weather stations (GHCNh, a public record of the United States' national
//! climate archive), one year of one station.
//!
//! Layout, column names and quality codes are written from memory, no file was at hand: separated
//! by `|` or commas; either `Year, Month, Day, Hour, Minute` or one `DATE` (2023-01-31T14:53:00);
//! `Latitude`, `Longitude`, `Elevation` (m) in every row; `temperature` and
//! `dew_point_temperature` in degC, `wind_speed` in m/s, `wind_direction` in degrees,
//! `station_level_pressure` in hPa, each followed by a column `..._Quality_Code`. Columns are found
//! by name in any case and order. A quality code that is empty or 0, 1, 4, 5, 9 passes; any other
//! means a failed check: that value is left out, counted and said.
//!
//! Times are UTC. The year is laid out in standard time: the whole hours nearest to the longitude
//! over 15 degrees, said in a note (political zones differ by up to two hours; schedules run by
//! this clock, the sun does not mind). The hours of the file's year before its local new year
//! stand in for those after it. Of several readings around a full hour the nearest counts. A
//! direction that is missing in a calm is none. 29 February is left out. There is no irradiance:
//! the sun counts as none, which is said.

use super::table::{COLUMNS, DEW, FROM, Gaps, PRESSURE, Sayer, TEMP, Table, WIND, cells, runs};
use super::{HOURS, MONTH_STARTS, Weather};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::units;
use jiff::civil::DateTime;
use jiff::{SignedDuration, ToSpan};

/// Kind, names in lower case, unit.
const NAMES: [(usize, &[&str], &str); 5] = [
    (TEMP, &["temperature"], "degC"),
    (DEW, &["dew_point_temperature", "dew_point"], "degC"),
    (PRESSURE, &["station_level_pressure"], "hPa"),
    (WIND, &["wind_speed"], "m/s"),
    (FROM, &["wind_direction"], "deg"),
];
/// Codes that stand for a missing value: 999 of a variable wind, 9999 and -9999 of anything. Only
/// where they are outside what is possible: 999 hPa is a pressure.
const MISSING: [f64; 4] = [999.0, 9999.0, 999.9, -9999.0];

/// Whether the text looks like this format: names of its first line.
pub(super) fn is_it(text: &str) -> bool {
    let Some(line) = text.lines().next() else { return false };
    let names: Vec<String> =
        cells(line, separator(line)).into_iter().map(|c| c.1.to_ascii_lowercase()).collect();
    let has = |name: &str| names.iter().any(|n| n == name);
    has("temperature") && has("latitude") && (has("date") || (has("year") && has("month") && has("hour")))
}

fn separator(line: &str) -> char {
    if line.contains('|') { '|' } else { ',' }
}

pub(super) fn read(file: &str, text: &str) -> (Option<Weather>, Diagnostics) {
    let mut sayer = Sayer::new(file);
    let weather = year(text, &mut sayer);
    (weather.filter(|_| !sayer.found.has_errors()), sayer.found)
}

struct Column {
    kind: usize,
    cell: usize,
    quality: Option<usize>,
    unit: Option<&'static units::Unit>,
}

/// Places of the columns that say when and where.
#[derive(Default)]
struct Heads {
    date: Option<usize>,
    /// Year, month, day, hour, minute.
    parts: [Option<usize>; 5],
    latitude: Option<usize>,
    longitude: Option<usize>,
    elevation: Option<usize>,
    name: Option<usize>,
}

struct Row<'a> {
    at: usize,
    cells: Vec<(usize, &'a str)>,
    /// UTC.
    time: DateTime,
}

fn header(line: &str, span: &Span, sayer: &mut Sayer<'_>) -> (Heads, Vec<Column>) {
    let names: Vec<String> =
        cells(line, separator(line)).into_iter().map(|c| c.1.to_ascii_lowercase()).collect();
    let place = |name: &str| names.iter().position(|n| n == name);
    let mut columns = Vec::new();
    for (kind, spellings, unit) in NAMES {
        let found = spellings.iter().find_map(|s| place(s).map(|cell| (*s, cell)));
        match found {
            Some((name, cell)) => columns.push(Column {
                kind,
                cell,
                quality: place(&format!("{name}_quality_code")),
                unit: COLUMNS[kind].quantity.and_then(|q| units::unit(unit, q)),
            }),
            None if COLUMNS[kind].needed => {
                sayer.say(Diagnostic::error(code::W118).at(span.clone()).arg("column", spellings[0]));
            }
            None => {}
        }
    }
    for name in ["longitude", "elevation"] {
        if place(name).is_none() {
            sayer.say(Diagnostic::error(code::W118).at(span.clone()).arg("column", name));
        }
    }
    let heads = Heads {
        date: place("date"),
        parts: ["year", "month", "day", "hour", "minute"].map(place),
        latitude: place("latitude"),
        longitude: place("longitude"),
        elevation: place("elevation"),
        name: place("station_name").or(place("name")),
    };
    (heads, columns)
}

/// When a row was observed, UTC.
fn time_of(cells: &[(usize, &str)], heads: &Heads) -> Option<DateTime> {
    let cell = |place: usize| cells.get(place).map(|c| c.1);
    if let Some(place) = heads.date {
        return cell(place)?.trim_end_matches('Z').parse().ok();
    }
    let number = |k: usize| -> Option<i16> { cell(heads.parts[k]?)?.parse().ok() };
    let small = |k: usize| number(k).and_then(|v| i8::try_from(v).ok());
    // A file without minutes counts in full hours.
    let minute = if heads.parts[4].is_some() { small(4)? } else { 0 };
    DateTime::new(number(0)?, small(1)?, small(2)?, small(3)?, minute, 0, 0).ok()
}

fn year(text: &str, sayer: &mut Sayer<'_>) -> Option<Weather> {
    let mut lines = text.split_inclusive('\n');
    let first = lines.next()?;
    let (heads, columns) = header(
        first.trim_end_matches(['\n', '\r']),
        &Span::new(sayer.file, 0..first.trim_end().len()),
        sayer,
    );
    if sayer.found.has_errors() {
        return None;
    }
    let mut rows = Vec::new();
    let mut start = first.len();
    for (number, line) in lines.enumerate() {
        let at = start;
        start += line.len();
        let line = line.trim_end_matches(['\n', '\r']);
        if line.trim().is_empty() {
            continue;
        }
        let cells = cells(line, separator(first));
        match time_of(&cells, &heads) {
            Some(time) => rows.push(Row { at, cells, time }),
            None => {
                let written = heads.date.or(heads.parts[0]).and_then(|p| cells.get(p)).map_or("", |c| c.1);
                sayer.say(
                    Diagnostic::error(code::W115)
                        .at(Span::new(sayer.file, at..at + line.len()))
                        .arg("line", number + 2)
                        .arg("cell", written),
                );
            }
        }
    }
    let station = station(&rows, &heads, sayer)?;
    let main_year = most_rows(&rows);
    let mut table = Table::new();
    let left_out = place_rows(&rows, &columns, main_year, station.utc_offset_h, &mut table, sayer);
    sayer.say(
        Diagnostic::note(code::W111)
            .arg("year", main_year.to_string())
            .arg("offset", station.utc_offset_h)
            .arg("left_out", left_out),
    );
    calm_has_no_direction(&mut table);
    let present: Vec<usize> = columns.iter().map(|c| c.kind).collect();
    let filled_count = table.fill(&present, Gaps::Station, sayer);
    sayer.say(Diagnostic::warning(code::W113));
    if sayer.found.has_errors() {
        return None;
    }
    Some(Weather { hours: table.hours(station.elevation_m), filled_count, ..station })
}

/// A weather without hours: the station's name and place.
fn station(rows: &[Row<'_>], heads: &Heads, sayer: &mut Sayer<'_>) -> Option<Weather> {
    let Some(row) = rows.first() else {
        sayer.say(Diagnostic::error(code::W105).arg("found", 0_usize).arg("wanted", HOURS));
        return None;
    };
    let mut number = |place: Option<usize>, key: &'static str, most: f64| {
        let value = place
            .and_then(|p| row.cells.get(p))
            .and_then(|c| c.1.parse::<f64>().ok())
            .filter(|v| v.abs() <= most);
        if value.is_none() {
            let place = place.map_or(0, |p| p + 1);
            sayer.say(Diagnostic::error(code::W117).arg("key", key).arg("place", place));
        }
        value
    };
    let latitude = number(heads.latitude, "latitude", 90.0);
    let longitude = number(heads.longitude, "longitude", 180.0);
    let elevation_m = number(heads.elevation, "elevation", 9000.0)?;
    let longitude = longitude?;
    Some(Weather {
        station: heads.name.and_then(|p| row.cells.get(p)).map_or_else(String::new, |c| c.1.to_owned()),
        source: "GHCNh hourly station observations".to_owned(),
        latitude_rad: latitude?.to_radians(),
        longitude_rad: longitude.to_radians(),
        elevation_m,
        utc_offset_h: (longitude / 15.0).round(),
        hours: Vec::new(),
        filled_count: 0,
        pm25_kg_m3: Vec::new(),
    })
}

/// The calendar year with the most rows; the earlier of equals.
fn most_rows(rows: &[Row<'_>]) -> i16 {
    let mut counts: Vec<(i16, usize)> = Vec::new();
    for row in rows {
        match counts.iter_mut().find(|c| c.0 == row.time.year()) {
            Some(c) => c.1 += 1,
            None => counts.push((row.time.year(), 1)),
        }
    }
    counts.iter().copied().max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(&a.0))).map_or(0, |c| c.0)
}

/// Puts the readings of a year into their hours; how many rows were left out.
fn place_rows(
    rows: &[Row<'_>],
    columns: &[Column],
    main_year: i16,
    utc_offset_h: f64,
    table: &mut Table,
    sayer: &mut Sayer<'_>,
) -> usize {
    // Minutes from the full hour of the reading that an hour has.
    let mut nearest = vec![vec![i64::MAX; HOURS]; COLUMNS.len()];
    let mut refused: Vec<Vec<usize>> = vec![Vec::new(); COLUMNS.len()];
    let mut left_out = 0;
    for row in rows {
        let place = if row.time.year() == main_year { hour_of(row.time, utc_offset_h) } else { None };
        let Some((hour, off_min)) = place else {
            left_out += 1;
            continue;
        };
        for column in columns {
            let Some((at, cell)) = row.cells.get(column.cell).filter(|c| !c.1.is_empty()) else {
                continue;
            };
            let quality = column.quality.and_then(|q| row.cells.get(q)).map_or("", |c| c.1);
            if !matches!(quality, "" | "0" | "1" | "4" | "5" | "9") {
                refused[column.kind].push(hour);
                continue;
            }
            let kind = &COLUMNS[column.kind];
            let number = cell.parse::<f64>().ok().filter(|v| v.is_finite());
            let si = number.map(|n| column.unit.map_or(n, |u| u.to_si(n)));
            let possible = si.is_some_and(|si| (kind.lo..=kind.hi).contains(&si));
            if !possible && number.is_some_and(|n| MISSING.iter().any(|m| (m - n).abs() < 1e-9)) {
                continue;
            }
            let fault = match si {
                None => code::W103,
                Some(_) if !possible => code::W104,
                Some(si) => {
                    if off_min < nearest[column.kind][hour] {
                        nearest[column.kind][hour] = off_min;
                        table.columns[column.kind][hour] = Some(si);
                    }
                    continue;
                }
            };
            let span = Span::new(sayer.file, row.at + at..row.at + at + cell.len());
            sayer.say(
                Diagnostic::error(fault)
                    .at(span)
                    .arg("column", kind.name)
                    .arg("cell", *cell)
                    .arg("hour", hour + 1),
            );
        }
    }
    for (kind, mut hours) in refused.into_iter().enumerate() {
        if hours.is_empty() {
            continue;
        }
        let count = hours.len();
        hours.sort_unstable();
        hours.dedup();
        sayer.say(
            Diagnostic::warning(code::W112)
                .arg("column", COLUMNS[kind].name)
                .arg("count", count)
                .arg("where", runs(&hours)),
        );
    }
    left_out
}

/// The hour of the year, from 0, that ends nearest to a time (UTC), and how many minutes away;
/// nothing on 29 February.
fn hour_of(utc: DateTime, utc_offset_h: f64) -> Option<(usize, i64)> {
    #[expect(clippy::cast_possible_truncation, reason = "a whole number of hours within a day")]
    let offset = SignedDuration::from_hours(utc_offset_h as i64);
    let local = utc.checked_add(offset).ok()?;
    let nearest = local.checked_add(30.minutes()).ok()?;
    let off_min = i64::from(nearest.minute() - 30).abs();
    // The hour that ends at that full hour is named by its start.
    let hour = nearest.checked_sub(1.hour()).ok()?;
    let (month, day) = (usize::try_from(hour.month()).ok()?, usize::try_from(hour.day()).ok()?);
    if month == 2 && day == 29 {
        return None;
    }
    Some((24 * (MONTH_STARTS[month - 1] + day - 1) + usize::try_from(hour.hour()).ok()?, off_min))
}

fn calm_has_no_direction(table: &mut Table) {
    for hour in 0..HOURS {
        if table.columns[WIND][hour].is_some_and(|v| v <= 0.0) && table.columns[FROM][hour].is_none() {
            table.columns[FROM][hour] = Some(0.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(edit: impl Fn(usize, String) -> Option<String>) -> String {
        let mut text = String::from(
            "Station_ID|Station_name|Year|Month|Day|Hour|Minute|Latitude|Longitude|Elevation|temperature|\
             temperature_Quality_Code|dew_point_temperature|dew_point_temperature_Quality_Code|\
             station_level_pressure|station_level_pressure_Quality_Code|wind_direction|\
             wind_direction_Quality_Code|wind_speed|wind_speed_Quality_Code\n",
        );
        for hour in 0..8784 {
            // 2024 has a 29 February; readings at 54 minutes past.
            let time =
                jiff::civil::date(2024, 1, 1).at(0, 54, 0, 0).checked_add((hour as i64).hours()).unwrap();
            let row = format!(
                "X|SOMEWHERE|{}|{}|{}|{}|{}|36.1|-79.95|273|{}|1|5.0|1|990.0|1|200|1|3.1|1",
                time.year(),
                time.month(),
                time.day(),
                time.hour(),
                time.minute(),
                10.0 + time.hour() as f64 * 0.5
            );
            if let Some(row) = edit(hour, row) {
                text.push_str(&row);
                text.push('\n');
            }
        }
        text
    }

    fn codes(found: &Diagnostics) -> Vec<&'static str> {
        found.list.iter().map(|d| d.code.0).collect()
    }

    #[test]
    fn utc_becomes_the_stations_standard_time() {
        let (weather, found) = crate::weather::read("w.psv", &file(|_, row| Some(row)));
        let weather = weather.unwrap();
        assert_eq!(codes(&found), ["W111", "W113"]);
        assert!((weather.utc_offset_h + 5.0).abs() < 1e-12);
        // 05:54 UTC is 00:54 local, nearest to 01:00, the end of the first hour: 10 + 2.5 degC.
        assert!((weather.hours[0].temp_k - 285.65).abs() < 1e-9);
        // The last local hour ends at 05:00 UTC of the next year; 04:54 UTC of this 1 January
        // stands in: 12 degC.
        assert!((weather.hours[HOURS - 1].temp_k - 285.15).abs() < 1e-9);
        assert_eq!(weather.filled_count, 0);
        assert!((weather.hours[0].wind_m_s - 3.1).abs() < 1e-12);
        // Commas and one DATE column are the same file.
        let commas = file(|_, row| Some(row)).replace('|', ",");
        assert_eq!(crate::weather::read("w.csv", &commas).0.unwrap().hours, weather.hours);
    }

    #[test]
    fn gaps_and_refused_values_are_named() {
        // Ten hours out: filled by the days around; two refused temperatures: a straight line.
        let (weather, found) = read(
            "w.psv",
            &file(|h, row| match h {
                500..510 => None,
                800 | 801 => Some(row.replace("|1|5.0|1|", "|7|5.0|1|")),
                _ => Some(row),
            }),
        );
        let found_codes = codes(&found);
        for code in ["W107", "W110", "W111", "W112", "W113"] {
            assert!(found_codes.contains(&code), "{code}: {found_codes:?}");
        }
        // Ten hours of five columns and two temperatures.
        assert_eq!(weather.unwrap().filled_count, 52);
        let (weather, found) =
            read("w.psv", &file(|h, row| if (500..540).contains(&h) { None } else { Some(row) }));
        assert!(weather.is_none() && codes(&found).contains(&"W106"));
        let (_, found) = read(
            "w.psv",
            &file(|h, row| Some(if h == 9 { row.replace("|2024|1|1|", "|2024|1|41|") } else { row })),
        );
        assert!(codes(&found).contains(&"W115"));
        let (_, found) = read("w.psv", &file(|_, row| Some(row)).replacen("|wind_speed|", "|gust|", 1));
        assert_eq!(codes(&found), ["W118"]);
    }

    #[test]
    fn the_nearest_reading_counts_and_a_calm_needs_no_direction() {
        let text = file(|h, row| {
            let special = row.replace("|0|54|36.1", "|0|20|36.1").replace("|10|1|", "|30|1|");
            Some(match h {
                // 00:54 UTC and 01:02 UTC both belong to 01:00; the second is nearer.
                48 => format!("{row}\n{}", special.replace("|0|20|", "|1|2|")),
                60 => row.replace("|200|1|3.1|", "||1|0.0|"),
                // A pressure of 999 hPa, and a variable wind.
                72 => row.replace("|990.0|", "|999.0|").replace("|200|1|3.1|", "|999|1|0.0|"),
                _ => row,
            })
        });
        let (weather, found) = read("w.psv", &text);
        assert_eq!(codes(&found), ["W111", "W113"]);
        let weather = weather.unwrap();
        // 4 January 00:54 UTC is 3 January 20:00 local.
        assert!((weather.hours[67].pressure_pa - 99_900.0).abs() < 1e-9);
        // 3 January 01:00 UTC is 2 January 20:00 local: the 44th hour ends then.
        assert!((weather.hours[43].temp_k - 303.15).abs() < 1e-9, "{}", weather.hours[43].temp_k);
    }
}
