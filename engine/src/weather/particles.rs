//! A year of outdoor PM2.5 beside the weather, hour by hour.
//!
//! Comma-separated: lines with `#` are remarks; a header with `pm25 [ug/m3]` (any unit of particle
//! mass in air, in brackets) and either `hour` (1 to 8760, standard time, ending then) or `time`
//! (the start of the hour with its offset from UTC, `2023-07-01T14:00-04:00` or `...Z`: daylight
//! saving does no harm, as each time says its own offset). Values are means of their hour. 29
//! February is left out. Instruments report small negative values in clean air; those down to
//! -10 ug/m3 count as none (common practice, no source). Gaps up to three hours are interpolated,
//! up to a day filled from the days around; the rest takes the mean of the year; all of it counted
//! and said. Less than half of a year is an error.

use super::table::{Filled, Gaps, Sayer, cells, fill, runs};
use super::{HOURS, MONTH_STARTS};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::units::{self, Quantity};
use jiff::Timestamp;
use jiff::tz::Offset;

/// Most that outdoor air was seen to hold in smoke or dust, kg/m3.
const MOST_KG_M3: f64 = 1e-5;
/// Least that an instrument's noise explains, kg/m3.
const LEAST_KG_M3: f64 = -1e-8;

struct Header {
    value: usize,
    unit: &'static units::Unit,
    /// Place, and whether it is a time.
    when: (usize, bool),
}

/// Reads `text`; `utc_offset_h` is the weather's standard time. Kilograms per m3 for each hour of
/// the year, there unless something was an error; to be put into [`super::Weather::pm25_kg_m3`].
pub fn read(file: &str, text: &str, utc_offset_h: f64) -> (Option<Vec<f64>>, Diagnostics) {
    let mut sayer = Sayer::new(file);
    let values = year(text, utc_offset_h, &mut sayer);
    (values.filter(|_| !sayer.found.has_errors()), sayer.found)
}

fn year(text: &str, utc_offset_h: f64, sayer: &mut Sayer<'_>) -> Option<Vec<f64>> {
    let mut column: Vec<Option<f64>> = vec![None; HOURS];
    let mut head: Option<Header> = None;
    let mut start = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let at = start;
        start += line.len();
        let line = line.trim_end_matches(['\n', '\r']);
        if line.starts_with('#') || line.trim().is_empty() {
            continue;
        }
        let cells = cells(line, ',');
        let span = Span::new(sayer.file, at..at + line.len());
        let Some(head) = &head else {
            head = Some(header(&cells, &span, sayer)?);
            continue;
        };
        let written = cells.get(head.when.0).map_or("", |c| c.1);
        let hour = if head.when.1 {
            match by_time(written, utc_offset_h) {
                Some(hour) => hour,
                None => {
                    sayer.say(
                        Diagnostic::error(code::W115).at(span).arg("line", number + 1).arg("cell", written),
                    );
                    continue;
                }
            }
        } else {
            written.parse::<usize>().ok().and_then(|h| h.checked_sub(1))
        };
        // 29 February.
        if hour.is_none() && head.when.1 {
            continue;
        }
        let Some(hour) = hour.filter(|h| *h < HOURS && column[*h].is_none()) else {
            sayer.say(Diagnostic::error(code::W109).at(span).arg("hour", written));
            continue;
        };
        let cell = cells.get(head.value).map_or("", |c| c.1);
        if cell.is_empty() {
            continue;
        }
        let si = cell.parse::<f64>().ok().filter(|v| v.is_finite()).map(|v| head.unit.to_si(v));
        match si {
            Some(si) if (LEAST_KG_M3..=MOST_KG_M3).contains(&si) => column[hour] = Some(si.max(0.0)),
            _ => {
                let fault = if si.is_some() { code::W104 } else { code::W103 };
                let said = Diagnostic::error(fault).at(span).arg("column", "pm25");
                sayer.say(said.arg("cell", cell).arg("hour", hour + 1));
            }
        }
    }
    finish(column, sayer)
}

fn header(cells: &[(usize, &str)], span: &Span, sayer: &mut Sayer<'_>) -> Option<Header> {
    let named =
        |name: &str| cells.iter().position(|c| c.1.split_once('[').map_or(c.1, |(n, _)| n.trim()) == name);
    let when = named("time").map(|p| (p, true)).or(named("hour").map(|p| (p, false)));
    let value = named("pm25");
    for (there, name) in [(value.is_some(), "pm25"), (when.is_some(), "hour")] {
        if !there {
            sayer.say(Diagnostic::error(code::W118).at(span.clone()).arg("column", name));
        }
    }
    let value = value?;
    let spelling = cells
        .get(value)
        .and_then(|c| c.1.split_once('['))
        .map_or("", |(_, u)| u.trim_end_matches(']').trim());
    let unit = units::unit(spelling, Quantity::ParticleConcentration);
    if unit.is_none() {
        sayer.say(
            Diagnostic::error(code::W102)
                .at(span.clone())
                .arg("column", "pm25")
                .arg("unit", spelling)
                .arg("wanted", "ug/m3"),
        );
    }
    Some(Header { value, unit: unit?, when: when? })
}

/// The hour of the year that a time starts: nothing where it cannot be read, and nothing inside
/// on 29 February.
#[expect(clippy::option_option, reason = "two ways of having no hour, told apart by the caller")]
fn by_time(written: &str, utc_offset_h: f64) -> Option<Option<usize>> {
    let time: Timestamp = written.parse().ok()?;
    #[expect(clippy::cast_possible_truncation, reason = "within a day")]
    let offset = Offset::from_seconds((utc_offset_h * 3600.0) as i32).ok()?;
    let local = offset.to_datetime(time);
    let (month, day) = (usize::try_from(local.month()).ok()?, usize::try_from(local.day()).ok()?);
    if month == 2 && day == 29 {
        return Some(None);
    }
    let hour = usize::try_from(local.hour()).ok()?;
    Some(Some(24 * (MONTH_STARTS[month - 1] + day - 1) + hour))
}

fn finish(mut column: Vec<Option<f64>>, sayer: &mut Sayer<'_>) -> Option<Vec<f64>> {
    let known: Vec<f64> = column.iter().copied().flatten().collect();
    if 2 * known.len() < HOURS {
        sayer.say(Diagnostic::error(code::W119).arg("found", known.len()).arg("wanted", HOURS / 2));
        return None;
    }
    let mean = known.iter().sum::<f64>() / known.len() as f64;
    let Filled { short, by_days, .. } = fill(&mut column, false, Gaps::Station);
    let by_mean: Vec<usize> = (0..HOURS).filter(|h| column[*h].is_none()).collect();
    if known.len() < HOURS {
        let mut hours = [short.as_slice(), &by_days, &by_mean].concat();
        hours.sort_unstable();
        sayer.say(
            Diagnostic::warning(code::W120)
                .arg("short", short.len())
                .arg("by_days", by_days.len())
                .arg("by_mean", by_mean.len())
                .arg("where", runs(&hours)),
        );
    }
    Some(column.into_iter().map(|v| v.unwrap_or(mean)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn by_hours(edit: impl Fn(usize) -> String) -> String {
        let mut text = String::from("# made up\nhour,pm25 [ug/m3]\n");
        (1..=HOURS).for_each(|h| text.push_str(&edit(h)));
        text
    }

    #[test]
    fn hours_and_times_give_the_same_year() {
        let (a, found) = read("p.csv", &by_hours(|h| format!("{h},{}\n", h % 50)), -5.0);
        assert!(found.list.is_empty());
        let mut text = String::from("time,pm25 [ug/m3]\n");
        let first: Timestamp = "2023-01-01T00:00-05:00".parse().unwrap();
        for h in 0..HOURS {
            let time = first + jiff::SignedDuration::from_hours(h as i64);
            // Summer time from March to November: written with its own offset.
            let offset = if (1700..7400).contains(&h) { -4 } else { -5 };
            let local = Offset::constant(offset).to_datetime(time);
            text.push_str(&format!(
                "{}-0{}:00,{}\n",
                local.strftime("%Y-%m-%dT%H:%M"),
                -offset,
                (h + 1) % 50
            ));
        }
        let (b, found) = read("p.csv", &text, -5.0);
        assert!(found.list.is_empty(), "{found:?}");
        assert_eq!(a, b);
        assert!((a.unwrap()[6] - 7e-9).abs() < 1e-20);
    }

    #[test]
    fn gaps_are_counted_and_a_time_without_offset_is_refused() {
        let (values, found) = read(
            "p.csv",
            &by_hours(|h| match h {
                10..12 | 100..120 | 1000..1100 => format!("{h},\n"),
                200 => "200,-3\n".to_owned(),
                _ => format!("{h},8\n"),
            }),
            0.0,
        );
        assert_eq!(found.list.iter().map(|d| d.code.0).collect::<Vec<_>>(), ["W120"]);
        let values = values.unwrap();
        assert!((values[1050] - 8e-9).abs() < 1e-11 && values[199] < 1e-30);
        let (none, found) = read("p.csv", "time,pm25 [ug/m3]\n2023-07-01T14:00,8\n", 0.0);
        let codes: Vec<_> = found.list.iter().map(|d| d.code.0).collect();
        assert!(none.is_none() && codes.contains(&"W115") && codes.contains(&"W119"));
        let (_, found) = read("p.csv", "hour,pm25\n1,8\n", 0.0);
        assert_eq!(found.list[0].code.0, "W102");
    }
}
