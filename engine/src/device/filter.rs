//! What a filter holds back of PM2.5.

/// Shares of PM2.5 mass below 1 um and from 1 to 2.5 um in an assumed indoor aerosol (75 % of mass
/// lognormal about 0.35 um, 25 % about 4 um); the part below 0.3 um is credited as the finest
/// tested band.
const FINE_SHARE: f64 = 0.883;
const COARSE_SHARE: f64 = 0.118;

/// Part of PM2.5 held, at least, by a filter with composite efficiencies `e1` (0.3 to 1 um) and
/// `e2` (1 to 3 um), both 0 to 1. A lower bound, since the class gives minima; no published
/// average is used.
pub fn pm25_efficiency(e1: f64, e2: f64) -> f64 {
    (FINE_SHARE * e1 + COARSE_SHARE * e2).clamp(0.0, 1.0)
}

/// Least efficiencies of a MERV class from 5 to 16 for 0.3 to 1 um and 1 to 3 um, 0 to 1; nothing for
/// another class. ANSI/ASHRAE 52.2-2017 Table 12-1, from memory.
///
/// ```
/// use engine::device::filter::merv_bands;
/// assert_eq!(merv_bands(11), Some((0.2, 0.65)));
/// assert_eq!(merv_bands(20), None);
/// ```
pub fn merv_bands(class: usize) -> Option<(f64, f64)> {
    Some(match class {
        5..=7 => (0.0, 0.0),
        8 => (0.0, 0.2),
        9 => (0.0, 0.35),
        10 => (0.0, 0.5),
        11 => (0.2, 0.65),
        12 => (0.35, 0.8),
        13 => (0.5, 0.85),
        14 => (0.75, 0.9),
        15 => (0.85, 0.9),
        16 => (0.95, 0.95),
        _ => return None,
    })
}

/// Deposition of PM2.5 on surfaces, 1/s: 0.4 per hour (0.39 in the PTEAM study, from memory).
pub const DEPOSITION_PER_S: f64 = 0.4 / 3600.0;
/// Part of outdoor PM2.5 that passes cracks: 0.78 with spread 0.17 (Chen and Zhao, handbook
/// abstract).
pub const PENETRATION: f64 = 0.78;

#[cfg(test)]
mod tests {
    use super::pm25_efficiency;

    /// The reference's lower bounds for MERV 8, 11, 13, 14 and 16.
    #[test]
    fn classes() {
        for (e1, e2, held) in
            [(0.0, 0.2, 0.02), (0.2, 0.65, 0.25), (0.5, 0.85, 0.54), (0.75, 0.9, 0.77), (0.95, 0.95, 0.95)]
        {
            assert!((pm25_efficiency(e1, e2) - held).abs() < 0.006, "{e1}");
        }
    }
}
