//! The US index of air quality for PM2.5, and the short-term mean it is reported by.

use crate::math;

/// Concentrations, ug/m3, and indices between which a band runs.
type Band = (f64, f64, f64, f64);

/// Breakpoints in force since 6 May 2024, as several public reproductions give them; the last band
/// differs among them, and this is the one that runs to 325.4 ug/m3 for 500.
const BANDS: [Band; 6] = [
    (0.0, 9.0, 0.0, 50.0),
    (9.1, 35.4, 51.0, 100.0),
    (35.5, 55.4, 101.0, 150.0),
    (55.5, 125.4, 151.0, 200.0),
    (125.5, 225.4, 201.0, 300.0),
    (225.5, 325.4, 301.0, 500.0),
];

/// Index of a concentration of PM2.5, kg/m3 (mean of 24 h, or the [`nowcast`]): truncated to a tenth
/// of a ug/m3, linear within its band, rounded. Above the last band the band goes on. NaN where the
/// concentration is negative or not finite.
///
/// ```
/// use engine::air::quality::aqi_pm25;
/// assert_eq!(aqi_pm25(35.49e-9), 100.0);
/// assert_eq!(aqi_pm25(35.5e-9), 101.0);
/// ```
pub fn aqi_pm25(concentration_kg_m3: f64) -> f64 {
    if !(concentration_kg_m3 >= 0.0 && concentration_kg_m3.is_finite()) {
        return f64::NAN;
    }
    // The tiny addition keeps 9.1 from being 9.0999.
    let c = (concentration_kg_m3 * 1e9 * 10.0 + 1e-6).floor() / 10.0;
    let last = BANDS.len() - 1;
    let at = BANDS.iter().position(|b| c <= b.1 + 1e-9).unwrap_or(last);
    let (c_lo, c_hi, i_lo, i_hi) = BANDS[at];
    ((i_hi - i_lo) / (c_hi - c_lo) * (c - c_lo) + i_lo).round()
}

/// NowCast of PM2.5 from hourly means of up to twelve hours, the newest first, NaN where one is
/// missing; in their unit.
///
/// Weights fall with age as powers of `1 - range / max`, at least one half (US EPA, PM NowCast). Nothing
/// where fewer than two of the latest three hours are there (rule from memory).
///
/// ```
/// use engine::air::quality::nowcast;
/// let mut hours = [0.0; 12];
/// hours[0] = 71.0;
/// assert!((nowcast(&hours).unwrap() - 35.5087).abs() < 1e-4);
/// ```
pub fn nowcast(newest_first: &[f64]) -> Option<f64> {
    let hours = newest_first.get(..12).unwrap_or(newest_first);
    let good = |c: &f64| c.is_finite() && *c >= 0.0;
    if hours.iter().take(3).filter(|c| good(c)).count() < 2 {
        return None;
    }
    let highest = math::max_valid(hours.iter().copied().filter(good))?;
    let lowest = math::min_valid(hours.iter().copied().filter(good))?;
    let weight = if highest > 0.0 { (lowest / highest).max(0.5) } else { 1.0 };
    let (mut top, mut bottom, mut power) = (0.0, 0.0, 1.0);
    for c in hours {
        if good(c) {
            top += power * c;
            bottom += power;
        }
        power *= weight;
    }
    Some(top / bottom)
}
