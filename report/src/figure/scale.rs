//! Axes: linear and logarithmic scales with round ticks.

use engine::math::{log10, max_valid, min_valid, pow};

/// A scale from values to pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    lo: f64,
    hi: f64,
    from_px: f64,
    to_px: f64,
    log: bool,
}

impl Scale {
    /// A linear scale over `[lo, hi]`.
    pub(super) fn linear(lo: f64, hi: f64, from_px: f64, to_px: f64) -> Scale {
        let hi = if hi > lo { hi } else { lo + 1.0 };
        Scale { lo, hi, from_px, to_px, log: false }
    }

    /// A logarithmic scale over `[lo, hi]`, both positive.
    pub(super) fn log(lo: f64, hi: f64, from_px: f64, to_px: f64) -> Scale {
        let lo = if lo > 0.0 { lo } else { 1e-9 };
        let hi = if hi > lo { hi } else { lo * 10.0 };
        Scale { lo, hi, from_px, to_px, log: true }
    }

    /// Pixel of a value; values outside the axis end at its edge.
    pub(super) fn at(&self, value: f64) -> f64 {
        let v = value.clamp(self.lo, self.hi);
        let part = if self.log {
            log10(v / self.lo) / log10(self.hi / self.lo)
        } else {
            (v - self.lo) / (self.hi - self.lo)
        };
        self.from_px + part * (self.to_px - self.from_px)
    }

    /// Low end.
    pub(super) fn lo(&self) -> f64 {
        self.lo
    }

    /// High end.
    pub(super) fn hi(&self) -> f64 {
        self.hi
    }

    /// Round values within the axis, at most about `most`.
    pub(super) fn ticks(&self, most: usize) -> Vec<f64> {
        if self.log { self.log_ticks(most) } else { linear_ticks(self.lo, self.hi, most) }
    }

    fn log_ticks(&self, most: usize) -> Vec<f64> {
        let sets: [&[f64]; 4] =
            [&[1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0], &[1.0, 2.0, 5.0], &[1.0, 3.0], &[1.0]];
        let mut best = Vec::new();
        for set in sets {
            best.clear();
            for decade in -12..13 {
                for m in set {
                    let v = m * pow(10.0, f64::from(decade));
                    if v >= self.lo * 0.999 && v <= self.hi * 1.001 {
                        best.push(v);
                    }
                }
            }
            if best.len() <= most {
                break;
            }
        }
        best
    }
}

/// A step of 1, 2 or 5 times a power of ten that cuts `span` into at most `most` parts.
pub(super) fn round_step(span: f64, most: usize) -> f64 {
    if !(span > 0.0 && span.is_finite()) {
        return 1.0;
    }
    let raw = span / most.max(1) as f64;
    let base = pow(10.0, log10(raw).floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * base).find(|s| *s >= raw * 0.999).unwrap_or(base * 10.0)
}

/// The next round value above.
pub(super) fn round_top(value: f64) -> f64 {
    let base = pow(10.0, log10(value.max(1e-9)).floor());
    [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0]
        .into_iter()
        .map(|m| m * base)
        .find(|t| *t >= value)
        .unwrap_or(value)
}

fn linear_ticks(lo: f64, hi: f64, most: usize) -> Vec<f64> {
    let step = round_step(hi - lo, most);
    let first = (lo / step - 1e-9).ceil();
    (0..=most + 1).map(|i| (first + i as f64) * step).filter(|v| *v <= hi + step * 1e-6).collect()
}

/// Decimals that tell ticks of this step apart.
pub(super) fn tick_decimals(ticks: &[f64]) -> i32 {
    let step = ticks.windows(2).map(|w| w[1] - w[0]);
    let step = min_valid(step.filter(|s| *s > 0.0)).or(max_valid(ticks.iter().copied())).unwrap_or(1.0);
    let mut decimals = 0;
    let mut s = step;
    while decimals < 6 && (s - s.round()).abs() > 1e-6 * s.abs() {
        s *= 10.0;
        decimals += 1;
    }
    decimals
}

/// The smallest round range around values, with the step's multiples at its ends.
pub(super) fn round_range(values: impl IntoIterator<Item = f64>, most: usize) -> (f64, f64) {
    let all: Vec<f64> = values.into_iter().filter(|v| v.is_finite()).collect();
    let (Some(lo), Some(hi)) = (min_valid(all.iter().copied()), max_valid(all.iter().copied())) else {
        return (0.0, 1.0);
    };
    let span = if hi > lo { hi - lo } else { hi.abs() * 0.2 + 1e-6 };
    let step = round_step(span * 1.05, most);
    ((lo / step + 1e-9).floor() * step, (hi / step - 1e-9).ceil() * step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round() {
        assert_eq!(
            Scale::linear(-3.0, 5.0, 0.0, 1.0).ticks(8),
            [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
        );
        assert_eq!(
            Scale::log(10.0, 10_000.0, 0.0, 1.0).ticks(7),
            [10.0, 30.0, 100.0, 300.0, 1000.0, 3000.0, 10_000.0]
        );
        assert_eq!(round_range([783.0, 1852.0], 4), (500.0, 2000.0));
        assert_eq!(tick_decimals(&[0.5, 1.0, 1.5]), 1);
        assert_eq!(tick_decimals(&[10.0, 20.0]), 0);
    }

    #[test]
    fn values_land_where_they_should() {
        let s = Scale::log(1.0, 100.0, 0.0, 200.0);
        assert!((s.at(10.0) - 100.0).abs() < 1e-9);
        assert!((s.at(1e6) - 200.0).abs() < 1e-9);
        let l = Scale::linear(0.0, 10.0, 100.0, 0.0);
        assert!((l.at(2.5) - 75.0).abs() < 1e-9);
    }
}
