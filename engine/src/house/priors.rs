//! From a range that a person believes nine times in ten to a normal prior, and the few numbers
//! that hold for every house.

use super::Scale;

/// Discharge coefficient that turns a free area into flow: sharp-edged opening (ASHRAE
/// Fundamentals 2021 ch. 16 uses 0.6 to 0.611 for the 10 Pa equivalent area).
pub const AREA_DISCHARGE: f64 = 0.6;

/// Mean and 5-95 % range of the exponent of cracks: "about 0.65, whole houses 0.6 to 0.7"
/// (ASHRAE Fundamentals 2021 ch. 16, text at eq. 40).
pub const COMMON_EXPONENT: (f64, f64, f64) = (0.65, 0.60, 0.70);

/// How far one leak's exponent lies from the common one, sd on the logit scale; 0.4 is about 0.04 in
/// n. A whole house is a mean over its leaks: they spread more than houses do. An assumption, no
/// source.
pub const EXPONENT_OWN_SD: f64 = 0.4;

/// 5-95 % range of the exponent of an opening that is given by its area: a sharp-edged hole has 0.5,
/// screens, louvres and the cracks around it raise it. An assumption, no source.
pub const OPENING_EXPONENT: (f64, f64) = (0.51, 0.60);

/// The normal quantile that leaves 5 % above.
const Z90: f64 = 1.644_853_626_951_473;

/// Mean and sd of `theta` for a 90 % range of values; a range without width gives an sd of
/// `least_sd`.
pub fn normal_of_range(scale: Scale, lo: f64, hi: f64, least_sd: f64) -> (f64, f64) {
    let (a, b) = (scale.theta(lo), scale.theta(hi));
    let sd = (b - a) / (2.0 * Z90);
    ((a + b) / 2.0, if sd > least_sd { sd } else { least_sd })
}
