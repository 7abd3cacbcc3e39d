//! A national weather service's station observations as GeoJSON: the service's point, its stations in
//! order of nearness, the newest observation of the first that has one. Shape of the answers from
//! memory of the public interface.

use super::super::Trouble;
use super::super::web::{Fetch, Kept};
use super::{Agency, Observed, apart_m};
use engine::doc::watch::Outdoor;
use serde_json::Value;
use std::time::Duration;

/// Name of the answers.
pub(super) const NAME: &str = "weather";
/// The service of the United States; another one with the same interface stands in `weather_at`.
const SERVICE: &str = "https://api.weather.gov";
const ACCEPT: &str = "application/geo+json";
/// Stations do not move.
const STATIONS_FOR: Duration = Duration::from_secs(30 * 86_400);
/// Observations come once an hour.
const NEWS_FOR: Duration = Duration::from_secs(50 * 60);
/// Stations that are asked until one answers.
const STATIONS: usize = 3;
/// An observation older than this is not the air of now, ms.
const OLD_MS: i64 = 3 * 3_600_000;

/// The weather service.
pub(crate) struct Weather<F> {
    kept: Kept<F>,
    service: String,
    place: (f64, f64),
    within_m: f64,
}

impl<F: Fetch> Weather<F> {
    /// For a place.
    pub(crate) fn new(at: &Outdoor, kept: Kept<F>) -> Weather<F> {
        let service = at.weather_at.as_ref().map_or(SERVICE, |s| s.value.trim_end_matches('/')).to_owned();
        Weather { kept, service, place: (at.latitude_deg, at.longitude_deg), within_m: at.within_m }
    }

    fn json(&self, url: &str, most: Duration) -> Result<Value, String> {
        let bytes = self.kept.get(url, ACCEPT, most)?;
        serde_json::from_slice(&bytes).map_err(|e| format!("{url}: {e}"))
    }

    /// Names of the stations around, nearest first.
    fn stations(&self) -> Result<Vec<String>, String> {
        let (lat, lon) = self.place;
        let point = self.json(&format!("{}/points/{lat:.4},{lon:.4}", self.service), STATIONS_FOR)?;
        let list = point.pointer("/properties/observationStations").and_then(Value::as_str);
        let list = list.ok_or("the service names no stations for this place")?;
        // Only the service itself is followed.
        let own = list.strip_prefix(&self.service).filter(|rest| rest.starts_with('/'));
        let own = own.ok_or("the service points to another host")?;
        let list = self.json(&format!("{}{own}", self.service), STATIONS_FOR)?;
        let features =
            list.get("features").and_then(Value::as_array).ok_or("the list of stations has none")?;
        let mut found: Vec<(f64, String)> = features.iter().filter_map(|f| self.station(f)).collect();
        found.retain(|(far, _)| *far <= self.within_m);
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        Ok(found.into_iter().map(|(_, name)| name).collect())
    }

    fn station(&self, feature: &Value) -> Option<(f64, String)> {
        let name = feature.pointer("/properties/stationIdentifier")?.as_str()?;
        let number = |at: &str| feature.pointer(at).and_then(Value::as_f64);
        let place = (number("/geometry/coordinates/1")?, number("/geometry/coordinates/0")?);
        let plain = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric());
        plain.then(|| (apart_m(self.place, place), name.to_owned()))
    }
}

impl<F: Fetch> Agency for Weather<F> {
    fn name(&self) -> &'static str {
        NAME
    }

    fn latest(&self, now_ms: i64) -> Result<Vec<u8>, String> {
        let mut why = "no station is near enough".to_owned();
        for name in self.stations()?.iter().take(STATIONS) {
            let url = format!("{}/stations/{name}/observations/latest", self.service);
            match self.kept.get(&url, ACCEPT, NEWS_FOR) {
                Ok(body) => match read(&body) {
                    Ok(found) if found.iter().any(|(_, t, _)| now_ms - t < OLD_MS) => return Ok(body),
                    Ok(_) => why = format!("the newest observation of {name} is older than three hours"),
                    Err(_) => why = format!("the answer of {name} cannot be read"),
                },
                Err(w) => why = w,
            }
        }
        Err(why)
    }
}

/// Reads an observation; a value that the service itself doubts (quality mark X) is left out.
pub(super) fn read(body: &[u8]) -> Result<Vec<Observed>, Trouble> {
    let all: Value = serde_json::from_slice(body).map_err(|_| Trouble::Malformed)?;
    let observed = all.get("properties").ok_or(Trouble::Malformed)?;
    let time =
        observed.get("timestamp").and_then(Value::as_str).and_then(|t| t.parse::<jiff::Timestamp>().ok());
    let time_ms = time.ok_or(Trouble::Time)?.as_millisecond();
    let mut out = Vec::new();
    for (key, word) in [
        ("temperature", "temp"),
        ("dewpoint", "dew_point"),
        ("relativeHumidity", "rh"),
        ("windSpeed", "wind"),
        ("windDirection", "wind_from"),
        ("barometricPressure", "barometer"),
    ] {
        let Some(one) = observed.get(key) else { continue };
        let (Some(value), Some(unit)) = (one.get("value").and_then(Value::as_f64), one.get("unitCode"))
        else {
            continue;
        };
        if one.get("qualityControl").and_then(Value::as_str) == Some("X") {
            continue;
        }
        let unit = unit.as_str().unwrap_or("");
        let si = match unit.rsplit(':').next().unwrap_or(unit) {
            "degC" => value + 273.15,
            "percent" => value / 100.0,
            "km_h-1" => value / 3.6,
            "degree_(angle)" => value.to_radians(),
            "m_s-1" | "Pa" | "K" => value,
            "hPa" => value * 100.0,
            _ => continue,
        };
        out.push((word, time_ms, si));
    }
    if out.is_empty() { Err(Trouble::NoValue) } else { Ok(out) }
}
