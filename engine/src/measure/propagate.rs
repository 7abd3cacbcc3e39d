//! Uncertainty of a computed value.

use super::Estimate;
use crate::units::Quantity;

/// The value of `f` at `inputs` (value and half width of its interval each), with an interval of
/// the same `level`: each input is moved by its half width both ways, and the deviations upwards
/// and downwards are added in quadrature (JCGM 100:2008, 5.1.2, with differences over the whole
/// half width instead of derivatives, so that a curved `f` gets an uneven interval).
///
/// The inputs are taken as independent; `f` has to be defined where it is asked.
///
/// ```
/// use engine::measure::propagate;
/// use engine::units::Quantity;
/// let area = propagate(&[(3.0, 0.03), (4.0, 0.0)], 0.95, Quantity::Area, |x| x[0] * x[1]);
/// assert!((area.si - 12.0).abs() < 1e-12);
/// assert!((area.bounds().unwrap().1 - 12.12).abs() < 1e-12);
/// ```
pub fn propagate(
    inputs: &[(f64, f64)],
    level: f64,
    quantity: Quantity,
    f: impl Fn(&[f64]) -> f64,
) -> Estimate {
    let mut x: Vec<f64> = inputs.iter().map(|i| i.0).collect();
    let value = f(&x);
    let (mut up, mut down) = (0.0, 0.0);
    for (at, (middle, half)) in inputs.iter().enumerate() {
        let mut highest = 0.0_f64;
        let mut lowest = 0.0_f64;
        for end in [middle - half, middle + half] {
            if let Some(slot) = x.get_mut(at) {
                *slot = end;
            }
            let moved = f(&x) - value;
            highest = highest.max(moved);
            lowest = lowest.min(moved);
        }
        if let Some(slot) = x.get_mut(at) {
            *slot = *middle;
        }
        up += highest * highest;
        down += lowest * lowest;
    }
    Estimate::range(value, value - down.sqrt(), value + up.sqrt(), level, quantity)
}
