//! What each fan, or each set of fans, moves the house's pressure by: state less baseline.

use super::field::{LEVEL, Limit, Note, Worked, rounded};
use super::gauge::GaugeError;
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::units::Quantity;
use serde::Serialize;

/// Readings of a pressure that wanders, Pa.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Baseline {
    /// Before the states.
    pub before_pa: Vec<f64>,
    /// After them.
    pub after_pa: Vec<f64>,
}

/// The middle of readings and what it may be off by.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Level {
    /// Mean, Pa.
    pub mean_pa: f64,
    /// Standard deviation of one reading, Pa; none for a single one.
    pub scatter_pa: Option<f64>,
    /// How many readings.
    pub count: usize,
}

impl Level {
    /// Of these readings; nothing where there is none.
    pub fn of(readings: &[f64]) -> Option<Level> {
        let good: Vec<f64> = readings.iter().copied().filter(|r| r.is_finite()).collect();
        let n = good.len() as f64;
        if good.is_empty() {
            return None;
        }
        let mean = good.iter().sum::<f64>() / n;
        let sum2: f64 = good.iter().map(|r| (r - mean) * (r - mean)).sum();
        let scatter_pa = (good.len() > 1).then(|| (sum2 / (n - 1.0)).sqrt());
        Some(Level { mean_pa: mean, scatter_pa, count: good.len() })
    }

    /// The mean with the interval of its scatter (Student's t).
    pub fn estimate(&self) -> Estimate {
        let n = self.count as f64;
        let half = self.scatter_pa.map(|s| student_t_two_sided(LEVEL, n - 1.0) * s / n.sqrt());
        match half {
            Some(half) => {
                let (lo, hi) = (self.mean_pa - half, self.mean_pa + half);
                Estimate::range(self.mean_pa, lo, hi, LEVEL, Quantity::Pressure)
            }
            None => Estimate::without(self.mean_pa, Quantity::Pressure, NoInterval::TooFewPoints),
        }
    }
}

impl Baseline {
    /// All readings as one level.
    pub fn level(&self) -> Option<Level> {
        let all: Vec<f64> = self.before_pa.iter().chain(&self.after_pa).copied().collect();
        Level::of(&all)
    }

    /// After less before, Pa.
    pub fn drift_pa(&self) -> Option<f64> {
        Some(Level::of(&self.after_pa)?.mean_pa - Level::of(&self.before_pa)?.mean_pa)
    }

    /// What a state moves the pressure by: its mean less the baseline, with the gauge's own error, the
    /// scatter of both (Student's t; a single reading is taken to scatter as the baseline does) and half
    /// the drift, in quadrature; the gain on the difference.
    ///
    /// ```
    /// use engine::procedure::fan_pressure::{Baseline, Level};
    /// let quiet = Baseline { before_pa: vec![-1.0, -1.2, -0.8], after_pa: vec![] };
    /// let hood = Level::of(&[-6.0]).unwrap();
    /// let moved = quiet.moved(&hood, &Default::default()).unwrap();
    /// assert!((moved.si + 5.0).abs() < 1e-12);
    /// // t(0.95, 2) = 4.303; 4.303 * 0.2 * sqrt(1 + 1/3).
    /// assert!((moved.bounds().unwrap().1 + 5.0 - 0.9937).abs() < 1e-3);
    /// ```
    pub fn moved(&self, state: &Level, gauge: &GaugeError) -> Option<Estimate> {
        let base = self.level()?;
        let moved = state.mean_pa - base.mean_pa;
        let scatter = match (base.scatter_pa, state.scatter_pa) {
            (Some(b), Some(s)) => Some((b, s, base.count.min(state.count))),
            (Some(b), None) => Some((b, b, base.count)),
            (None, Some(s)) => Some((s, s, state.count)),
            (None, None) => None,
        };
        let noise = scatter.map_or(0.0, |(b, s, least)| {
            let t = student_t_two_sided(LEVEL, least as f64 - 1.0);
            t * (b * b / base.count as f64 + s * s / state.count as f64).sqrt()
        });
        let drift = self.drift_pa().unwrap_or(0.0) / 2.0;
        let (a, b) = (gauge.own_pa(state.mean_pa), gauge.own_pa(base.mean_pa));
        let gain = gauge.gain() * moved;
        let half = (noise * noise + drift * drift + a * a + b * b + gain * gain).sqrt();
        if !gauge.is_stated() && scatter.is_none() {
            return Some(Estimate::without(moved, Quantity::Pressure, NoInterval::TypedWithoutInstrument));
        }
        Some(Estimate::range(moved, moved - half, moved + half, LEVEL, Quantity::Pressure))
    }
}

/// One state: which fans run.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Its name, or the fans that run.
    pub name: String,
    /// House less outdoors, Pa.
    pub shown_pa: Vec<f64>,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The test's name.
    pub test: String,
    /// All fans off.
    pub baseline: Baseline,
    /// States.
    pub states: Vec<State>,
    /// The gauge.
    pub gauge: GaugeError,
    /// The user's limit for what a state moves.
    pub limit: Option<Limit>,
}

/// What one state does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StateResult {
    /// Its name.
    pub name: String,
    /// What it moves the pressure by, Pa; nothing without a baseline.
    pub moved: Option<Estimate>,
    /// As shown, Pa.
    pub shown_pa: f64,
    /// It moves less than the baseline wanders.
    pub lost_in_noise: bool,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FanPressures {
    /// The baseline.
    pub baseline: Option<Level>,
    /// After less before, Pa.
    pub drift_pa: Option<f64>,
    /// States, in the order read.
    pub states: Vec<StateResult>,
    #[serde(skip)]
    limit: Option<Limit>,
}

/// Works it. States without a number are said and left out.
pub fn evaluate(asked: &Asked) -> (FanPressures, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let about = |d: Diagnostic| d.arg("test", asked.test.as_str());
    let baseline = asked.baseline.level();
    if baseline.is_none() {
        said.push(about(Diagnostic::error(code::Z108)));
    }
    let drift_pa = asked.baseline.drift_pa();
    if let (Some(drift), Some(level)) = (drift_pa, baseline) {
        let gauge = asked.gauge.own_pa(level.mean_pa) * std::f64::consts::SQRT_2;
        // Our own measure: more than the gauge explains and more than half a pascal.
        if drift.abs() > gauge.max(0.5) {
            said.push(about(Diagnostic::warning(code::Z109)).arg("drift", (drift, Quantity::Pressure)));
        }
    }
    let mut states = Vec::new();
    for state in &asked.states {
        let Some(level) = Level::of(&state.shown_pa) else { continue };
        let moved = asked.baseline.moved(&level, &asked.gauge);
        let lost = moved.and_then(|m| m.bounds()).is_some_and(|(lo, hi)| lo <= 0.0 && hi >= 0.0);
        states.push(StateResult {
            name: state.name.clone(),
            moved,
            shown_pa: level.mean_pa,
            lost_in_noise: lost,
        });
    }
    if states.is_empty() {
        said.push(about(Diagnostic::error(code::Z110)));
    }
    (FanPressures { baseline, drift_pa, states, limit: asked.limit.clone() }, said)
}

impl FanPressures {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for state in &self.states {
            if let Some(moved) = state.moved {
                worked.figure_of("figure-fan-moved", &state.name, moved);
            }
            if state.lost_in_noise {
                worked
                    .notes
                    .push(Note::new("note-fan-lost-in-noise").arg("state", state.name.replace('_', " ")));
            }
        }
        if let Some(level) = self.baseline {
            worked.figure("figure-baseline", level.estimate());
        }
        if let Some(limit) = &self.limit {
            let checks = self.states.iter().map(|s| limit.check("check-fan-moved", s.moved).of(&s.name));
            worked.checks.extend(checks);
        }
        let lowest =
            (self.states.iter()).filter_map(|s| Some((s, s.moved?))).min_by(|a, b| a.1.si.total_cmp(&b.1.si));
        if let Some((state, moved)) = lowest.filter(|(_, m)| m.si < 0.0) {
            worked.notes.push(
                Note::new("note-fan-greatest")
                    .arg("state", state.name.replace('_', " "))
                    .arg("moved", (rounded(moved.si, 10.0), Quantity::Pressure)),
            );
        }
        worked
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_baseline_nothing_is_moved() {
        let asked = Asked {
            test: "fans".into(),
            baseline: Baseline::default(),
            states: vec![State { name: "hood".into(), shown_pa: vec![-6.0] }],
            gauge: GaugeError::default(),
            limit: None,
        };
        let (result, said) = evaluate(&asked);
        assert_eq!(said[0].code, code::Z108);
        assert_eq!(result.states[0].moved, None);
    }

    #[test]
    fn a_small_fan_in_the_wind_is_lost_in_the_noise() {
        let asked = Asked {
            test: "fans".into(),
            baseline: Baseline { before_pa: vec![-1.5, 0.5, -0.5, -1.0], after_pa: vec![1.0, 0.2, 0.9, 0.5] },
            states: vec![State { name: "bath fan".into(), shown_pa: vec![-0.9] }],
            gauge: GaugeError::default(),
            limit: Some(Limit::at_least(-5.0, "own", true)),
        };
        let (result, said) = evaluate(&asked);
        assert!(result.states[0].lost_in_noise, "{result:?}");
        assert!(said.iter().any(|d| d.code == code::Z109), "{said:?}");
    }
}
