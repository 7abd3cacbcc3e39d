//! Typical years of the National Solar Radiation Database, third edition (TMY3).
//!
//! Format: Wilcox and Marion 2008, NREL/TP-581-43156: a line for the station (number, name, state,
//! hours from UTC, latitude, longitude, elevation in m), a header, then 8760 rows that each end at
//! the hour they name, in local standard time; months come from different calendar years. Columns
//! are found by name, whatever their order. -9900 stands for a missing value.

use super::table::{COLUMNS, DEW, DHI, DNI, FROM, GHI, Gaps, PRESSURE, Sayer, TEMP, Table, WIND, cells};
use super::{HOURS, MONTH_STARTS, Weather};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::units::{self, Quantity};

/// Kind, name in the header, unit.
const NAMES: [(usize, &str, &str); 8] = [
    (TEMP, "dry-bulb (c)", "degC"),
    (DEW, "dew-point (c)", "degC"),
    (PRESSURE, "pressure (mbar)", "hPa"),
    (WIND, "wspd (m/s)", "m/s"),
    (FROM, "wdir (degrees)", "deg"),
    (GHI, "ghi (w/m^2)", ""),
    (DNI, "dni (w/m^2)", ""),
    (DHI, "dhi (w/m^2)", ""),
];
/// At or below this a value is missing.
const MISSING: f64 = -9900.0;

/// Whether the text looks like this format: its second line begins with the date's column.
pub(super) fn is_it(text: &str) -> bool {
    text.lines().nth(1).is_some_and(|l| l.to_ascii_lowercase().starts_with("date (mm/dd/yyyy)"))
}

pub(super) fn read(file: &str, text: &str) -> (Option<Weather>, Diagnostics) {
    let mut sayer = Sayer::new(file);
    let weather = year(text, &mut sayer);
    (weather.filter(|_| !sayer.found.has_errors()), sayer.found)
}

struct Column {
    kind: usize,
    cell: usize,
    unit: Option<&'static units::Unit>,
}

fn year(text: &str, sayer: &mut Sayer<'_>) -> Option<Weather> {
    let mut table = Table::new();
    let (mut station, mut columns, mut rows) = (None, Vec::new(), 0);
    let mut seen = vec![false; HOURS];
    let mut start = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let at = start;
        start += line.len();
        let line = line.trim_end_matches(['\n', '\r']);
        let span = Span::new(sayer.file, at..at + line.len());
        let cells = cells(line, ',');
        match number {
            0 => station = head(&cells, &span, sayer),
            1 => columns = header(&cells, &span, sayer),
            _ if line.trim().is_empty() => {}
            _ => {
                rows += 1;
                let when = (cells.first().map_or("", |c| c.1), cells.get(1).map_or("", |c| c.1));
                let Some(hour) = hour_of(when.0, when.1) else {
                    let written = format!("{} {}", when.0, when.1);
                    sayer.say(
                        Diagnostic::error(code::W115).at(span).arg("line", number + 1).arg("cell", written),
                    );
                    continue;
                };
                if std::mem::replace(&mut seen[hour], true) {
                    sayer.say(Diagnostic::error(code::W109).at(span).arg("hour", hour + 1));
                    continue;
                }
                for column in &columns {
                    value(column, &cells, hour, at, &mut table, sayer);
                }
            }
        }
    }
    if rows != HOURS {
        // Which hours are missing is said with the gaps.
        sayer.say(Diagnostic::warning(code::W116).arg("found", rows).arg("wanted", HOURS));
    }
    let present: Vec<usize> = columns.iter().map(|c| c.kind).collect();
    let filled_count = table.fill(&present, Gaps::Prepared, sayer);
    if sayer.found.has_errors() {
        return None;
    }
    let station: Station = station?;
    Some(Weather {
        station: station.name,
        source: "TMY3, National Solar Radiation Database".to_owned(),
        latitude_rad: station.latitude_rad,
        longitude_rad: station.longitude_rad,
        elevation_m: station.elevation_m,
        utc_offset_h: station.utc_offset_h,
        hours: table.hours(station.elevation_m),
        filled_count,
        pm25_kg_m3: Vec::new(),
    })
}

struct Station {
    name: String,
    utc_offset_h: f64,
    latitude_rad: f64,
    longitude_rad: f64,
    elevation_m: f64,
}

fn head(cells: &[(usize, &str)], span: &Span, sayer: &mut Sayer<'_>) -> Option<Station> {
    let mut number = |place: usize, key: &'static str, most: f64| {
        let value = cells.get(place).and_then(|c| c.1.parse::<f64>().ok()).filter(|v| v.abs() <= most);
        if value.is_none() {
            sayer.say(Diagnostic::error(code::W117).at(span.clone()).arg("key", key).arg("place", place + 1));
        }
        value
    };
    let values = [
        number(3, "utc_offset", 14.0),
        number(4, "latitude", 90.0),
        number(5, "longitude", 180.0),
        number(6, "elevation", 9000.0),
    ];
    let text = |place: usize| cells.get(place).map_or("", |c| c.1);
    Some(Station {
        name: format!("{} {}, {}", text(0), text(1), text(2)),
        utc_offset_h: values[0]?,
        latitude_rad: values[1]?.to_radians(),
        longitude_rad: values[2]?.to_radians(),
        elevation_m: values[3]?,
    })
}

fn header(cells: &[(usize, &str)], span: &Span, sayer: &mut Sayer<'_>) -> Vec<Column> {
    let mut columns = Vec::new();
    for (kind, name, unit) in NAMES {
        let place = cells.iter().position(|c| c.1.eq_ignore_ascii_case(name));
        let unit = COLUMNS[kind].quantity.and_then(|q: Quantity| units::unit(unit, q));
        match place {
            Some(cell) => columns.push(Column { kind, cell, unit }),
            None if COLUMNS[kind].needed => {
                sayer.say(Diagnostic::error(code::W118).at(span.clone()).arg("column", name));
            }
            None => {}
        }
    }
    if !columns.iter().any(|c| [GHI, DNI, DHI].contains(&c.kind)) {
        sayer.say(Diagnostic::warning(code::W113).at(span.clone()));
    }
    columns
}

fn value(
    column: &Column,
    cells: &[(usize, &str)],
    hour: usize,
    line_at: usize,
    table: &mut Table,
    sayer: &mut Sayer<'_>,
) {
    let Some((place, cell)) = cells.get(column.cell).filter(|c| !c.1.is_empty()) else {
        return;
    };
    let kind = &COLUMNS[column.kind];
    let number = cell.parse::<f64>().ok().filter(|v| v.is_finite());
    if number.is_some_and(|n| n <= MISSING) {
        return;
    }
    let si = number.map(|n| column.unit.map_or(n, |u| u.to_si(n)));
    let fault = match si {
        None => code::W103,
        Some(si) if si < kind.lo || si > kind.hi => code::W104,
        Some(si) => {
            table.columns[column.kind][hour] = Some(si);
            return;
        }
    };
    let span = Span::new(sayer.file, line_at + place..line_at + place + cell.len());
    sayer.say(
        Diagnostic::error(fault).at(span).arg("column", kind.name).arg("cell", *cell).arg("hour", hour + 1),
    );
}

/// Hour of the year, from 0, of `MM/DD/YYYY` and the hour's end `HH:MM`, 01:00 to 24:00.
fn hour_of(date: &str, time: &str) -> Option<usize> {
    let mut parts = date.split('/');
    let month: usize = parts.next()?.parse().ok()?;
    let day: usize = parts.next()?.parse().ok()?;
    let (hour, minute) = time.split_once(':')?;
    let (hour, minute): (usize, usize) = (hour.parse().ok()?, minute.parse().ok()?);
    if !(1..=12).contains(&month) || !(1..=24).contains(&hour) || minute != 0 {
        return None;
    }
    let (first, next) = (MONTH_STARTS[month - 1], MONTH_STARTS[month]);
    (1..=next - first).contains(&day).then(|| 24 * (first + day - 1) + hour - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "723170,\"SOMEWHERE, FIELD\",NC,-5.0,36.100,-79.950,273\r\n\
        Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Dew-point (C),\
        Pressure (mbar),Wdir (degrees),Wspd (m/s)\r\n";

    fn file(edit: impl Fn(usize, String) -> Option<String>) -> String {
        let mut text = HEAD.to_owned();
        for hour in 0..HOURS {
            let day = hour / 24;
            let month = crate::weather::month_of(day);
            let row = format!(
                "{:02}/{:02}/{},{:02}:00,0,0,0,{},5.0,993,200,6.2",
                month + 1,
                day - MONTH_STARTS[month] + 1,
                1980 + month,
                hour % 24 + 1,
                10 + hour % 3
            );
            if let Some(row) = edit(hour, row) {
                text.push_str(&row);
                text.push_str("\r\n");
            }
        }
        text
    }

    fn codes(found: &Diagnostics) -> Vec<&'static str> {
        found.list.iter().map(|d| d.code.0).collect()
    }

    #[test]
    fn a_year_of_tmy3_is_read_by_its_names() {
        let (weather, found) = crate::weather::read("w.csv", &file(|_, row| Some(row)));
        let weather = weather.unwrap();
        assert!(found.list.is_empty(), "{found:?}");
        assert_eq!(weather.station, "723170 SOMEWHERE, FIELD, NC");
        assert!((weather.utc_offset_h + 5.0).abs() < 1e-12 && (weather.elevation_m - 273.0).abs() < 1e-12);
        assert!((weather.hours[1].temp_k - 284.15).abs() < 1e-9);
        assert!((weather.hours[0].pressure_pa - 99_300.0).abs() < 1e-9);
        assert!((weather.hours[0].wind_from_rad - 200_f64.to_radians()).abs() < 1e-12);
    }

    #[test]
    fn what_is_missing_or_wrong_is_named() {
        let (weather, found) = read(
            "w.csv",
            &file(|h, row| match h {
                100 | 101 => Some(row.replace(",5.0,", ",-9900,")),
                _ => Some(row),
            }),
        );
        assert_eq!(codes(&found), ["W107"]);
        assert_eq!(weather.unwrap().filled_count, 2);
        let (weather, found) =
            read("w.csv", &file(|h, row| if (50..60).contains(&h) { None } else { Some(row) }));
        assert!(weather.is_none() && codes(&found).contains(&"W106") && codes(&found).contains(&"W116"));
        let (_, found) =
            read("w.csv", &file(|h, row| Some(if h == 9 { row.replace(",993,", ",bad,") } else { row })));
        assert!(codes(&found).contains(&"W103"));
        let (_, found) =
            read("w.csv", &file(|h, row| Some(if h == 9 { row.replace("01/01", "13/01") } else { row })));
        assert!(codes(&found).contains(&"W115"));
        let (_, found) = read("w.csv", &file(|_, row| Some(row)).replace("Wspd (m/s)", "Wspd (kt)"));
        assert!(codes(&found).contains(&"W118"));
        let (_, found) = read("w.csv", &file(|_, row| Some(row)).replace("36.100", "north"));
        assert_eq!(codes(&found), ["W117"]);
    }
}
