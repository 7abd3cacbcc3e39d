//! Particles from the hourly files of the United States' air agencies: one comma-separated file an hour
//! with the place and the newest values of every monitor. Names of files and columns from memory of the
//! public description.

use super::super::Trouble;
use super::super::web::{Fetch, Kept};
use super::{Agency, Observed, apart_m};
use engine::doc::watch::Outdoor;
use std::time::Duration;

/// Name of the answers.
pub(super) const NAME: &str = "particles";
/// Where the files are; another place with the same files stands in `particles_at`.
const FILES: &str = "https://s3-us-west-1.amazonaws.com/files.airnowtech.org/airnow";
/// Files of past hours change while late monitors report.
const NEWS_FOR: Duration = Duration::from_secs(50 * 60);
/// Hours that are looked back; a file appears some half hour after its hour.
const BACK: i64 = 3;
const HOUR_MS: i64 = 3_600_000;

/// The files of the agencies.
pub(crate) struct Particles<F> {
    kept: Kept<F>,
    files: String,
    place: (f64, f64),
    within_m: f64,
}

impl<F: Fetch> Particles<F> {
    /// For a place.
    pub(crate) fn new(at: &Outdoor, kept: Kept<F>) -> Particles<F> {
        let files = at.particles_at.as_ref().map_or(FILES, |s| s.value.trim_end_matches('/')).to_owned();
        Particles { kept, files, place: (at.latitude_deg, at.longitude_deg), within_m: at.within_m }
    }

    /// Head and row of the nearest monitor with a value.
    fn nearest(&self, text: &str) -> Option<String> {
        let mut lines = text.lines();
        let head = lines.next()?;
        let columns = cells(head);
        let at = |name: &str| columns.iter().position(|c| c == name);
        let (lat, lon) = (at("Latitude")?, at("Longitude")?);
        let mut best: Option<(f64, &str)> = None;
        for line in lines {
            let row = cells(line);
            let number = |at: usize| row.get(at).and_then(|c| c.parse::<f64>().ok());
            let (Some(lat), Some(lon)) = (number(lat), number(lon)) else { continue };
            let far = apart_m(self.place, (lat, lon));
            let nearer = far <= self.within_m && best.is_none_or(|(b, _)| far < b);
            if nearer && value(&columns, &row).is_some() {
                best = Some((far, line));
            }
        }
        best.map(|(_, line)| format!("{head}\n{line}\n"))
    }
}

impl<F: Fetch> Agency for Particles<F> {
    fn name(&self) -> &'static str {
        NAME
    }

    fn latest(&self, now_ms: i64) -> Result<Vec<u8>, String> {
        let mut why = "no file".to_owned();
        for back in 0..BACK {
            let hour =
                jiff::Timestamp::from_millisecond(now_ms - back * HOUR_MS).map_err(|e| e.to_string())?;
            let hour = hour.to_zoned_datetime(jiff::tz::TimeZone::UTC);
            let url = hour.strftime("%Y/%Y%m%d/HourlyAQObs_%Y%m%d%H.dat");
            match self.kept.get(&format!("{}/{url}", self.files), "text/plain", NEWS_FOR) {
                Ok(bytes) => match self.nearest(&String::from_utf8_lossy(&bytes)) {
                    Some(found) => return Ok(found.into_bytes()),
                    None => why = "no monitor with a value is near enough".to_owned(),
                },
                Err(w) => why = w,
            }
        }
        Err(why)
    }
}

/// The cells of a line; quotes may enclose commas, a doubled quote is one.
fn cells(line: &str) -> Vec<String> {
    let (mut out, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    let mut rest = line.trim_end_matches('\r').chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '"' if quoted && rest.peek() == Some(&'"') => {
                cell.push('"');
                rest.next();
            }
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(std::mem::take(&mut cell)),
            _ => cell.push(c),
        }
    }
    out.push(cell);
    out
}

/// The PM2.5 of a row, kg/m3.
fn value(columns: &[String], row: &[String]) -> Option<f64> {
    let cell = |name: &str| columns.iter().position(|c| c == name).and_then(|at| row.get(at));
    let number = cell("PM25")?.parse::<f64>().ok()?;
    let unit = cell("PM25_Unit")?.to_ascii_uppercase();
    // Monitors report a little below zero in clean air; that is kept as zero.
    (unit == "UG/M3" && number.is_finite() && (-10.0..5000.0).contains(&number))
        .then(|| number.max(0.0) * 1e-9)
}

/// Reads head and row of one monitor.
pub(super) fn read(body: &[u8]) -> Result<Vec<Observed>, Trouble> {
    let text = std::str::from_utf8(body).map_err(|_| Trouble::Malformed)?;
    let mut lines = text.lines().map(cells);
    let (columns, row) = (lines.next().unwrap_or_default(), lines.next().ok_or(Trouble::Malformed)?);
    let cell =
        |name: &str| columns.iter().position(|c| c == name).and_then(|at| row.get(at)).map(String::as_str);
    let (day, hour) = (cell("ValidDate").unwrap_or(""), cell("ValidTime").unwrap_or(""));
    // Hours are of UTC and name the beginning of the mean; its middle is what is kept.
    let begin = jiff::civil::DateTime::strptime("%m/%d/%Y %H:%M", format!("{day} {hour}"));
    let begin = begin.and_then(|t| jiff::tz::TimeZone::UTC.to_timestamp(t)).map_err(|_| Trouble::Time)?;
    let time_ms = begin.as_millisecond() + HOUR_MS / 2;
    let value = value(&columns, &row).ok_or(Trouble::NoValue)?;
    Ok(vec![("pm25", time_ms, value)])
}
