//! Moisture of wood by a meter, and what the air beside it would make of it.

use crate::air::ZERO_CELSIUS_K;
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, propagate, student_t_two_sided};
use crate::procedure::field::{LEVEL, Limit, Note, Worked};
use crate::procedure::source::COMMON_PRACTICE;
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Highest moisture content that the trade leaves in framing before it is closed in; common
/// practice, no source.
const USUAL_LIMIT: f64 = 0.19;

/// What was read. Moisture contents are kg of water per kg of dry wood.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Readings at one place, as shown.
    pub readings: Vec<f64>,
    /// What the meter's own table adds for the species; nothing where the meter is set to it.
    pub species_correction: Option<f64>,
    /// What the meter's own table adds for the temperature of the wood.
    pub temperature_correction: Option<f64>,
    /// Accuracy of the meter (95 % limits).
    pub accuracy: Option<Accuracy>,
    /// Temperature, K, and humidity of the air beside it, where it has long been so.
    pub air: Option<(f64, f64)>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wood {
    /// Moisture content with the typed corrections.
    pub moisture: Estimate,
    /// Mean as shown.
    pub shown: f64,
    /// Readings used.
    pub used: usize,
    /// What wood would come to in this air.
    pub equilibrium: Option<f64>,
    /// Wood less equilibrium.
    pub above: Option<Estimate>,
    /// Remarks.
    #[serde(skip)]
    pub said: Vec<Diagnostic>,
    corrected: bool,
}

/// Moisture content, kg/kg, that solid wood comes to in air of a temperature, K, and a relative
/// humidity, 0 to 1.
///
/// Hailwood and Horrobin's sorption model with the coefficients of the US Wood Handbook (Forest
/// Products Laboratory), from memory; at 21.1 degC and 50 % its table gives 9.2 %.
///
/// ```
/// use engine::procedure::moisture::wood::equilibrium;
/// assert!((equilibrium(294.26, 0.5) - 0.092).abs() < 0.001);
/// ```
pub fn equilibrium(temp_k: f64, rh_frac: f64) -> f64 {
    let t = temp_k - ZERO_CELSIUS_K;
    let h = rh_frac.clamp(0.0, 1.0);
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
    let kh = k * h;
    let bound = (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh);
    18.0 / w * (kh / (1.0 - kh) + bound)
}

/// Works it: the mean of the readings with what the user typed from the meter's own tables.
///
/// No species or temperature table is built in: every meter has its own. The scatter of the
/// readings (Student's t) and the meter's stated accuracy go into the interval.
///
/// Errors: M101 no reading, M106 corrections that leave less than nothing or more than 200 %.
/// A reading outside 0 to 200 % is left out and said (M102).
///
/// ```
/// use engine::procedure::moisture::wood::{Asked, evaluate};
/// let sill = evaluate(&Asked {
///     readings: vec![0.21, 0.22, 0.23], species_correction: Some(-0.01),
///     temperature_correction: None, accuracy: None, air: Some((293.15, 0.5)),
/// }).unwrap();
/// assert!((sill.moisture.si - 0.21).abs() < 1e-12);
/// assert!(sill.above.unwrap().si > 0.1);
/// ```
pub fn evaluate(asked: &Asked) -> Result<Wood, Diagnostic> {
    let mut said = Vec::new();
    let good: Vec<f64> = asked.readings.iter().copied().filter(|r| (0.0..=2.0).contains(r)).collect();
    if good.len() < asked.readings.len() {
        said.push(Diagnostic::warning(code::M102).arg("count", asked.readings.len() - good.len()));
    }
    if good.is_empty() {
        return Err(Diagnostic::error(code::M101).arg("found", 0_usize).arg("needed", 1_usize));
    }
    let n = good.len() as f64;
    let shown = good.iter().sum::<f64>() / n;
    let scatter = (good.len() > 1).then(|| {
        let variance = good.iter().map(|g| (g - shown) * (g - shown)).sum::<f64>() / (n - 1.0);
        student_t_two_sided(LEVEL, n - 1.0) * (variance / n).sqrt()
    });
    let added = asked.species_correction.unwrap_or(0.0) + asked.temperature_correction.unwrap_or(0.0);
    let value = shown + added;
    if !(0.0..=2.0).contains(&value) {
        return Err(Diagnostic::error(code::M106)
            .arg("shown", (shown, Quantity::Fraction))
            .arg("corrected", (value, Quantity::Fraction)));
    }
    let moisture = match asked.accuracy {
        Some(accuracy) => {
            let inputs = [(value, accuracy.limit(shown)), (0.0, scatter.unwrap_or(0.0))];
            propagate(&inputs, LEVEL, Quantity::Fraction, |x| x[0] + x[1])
        }
        None => Estimate::without(value, Quantity::Fraction, NoInterval::TypedWithoutInstrument),
    };
    let equilibrium = asked.air.map(|(temp_k, rh)| equilibrium(temp_k, rh));
    let above = equilibrium.map(|e| match moisture.bounds() {
        Some((lo, hi)) => Estimate::range(value - e, lo - e, hi - e, LEVEL, Quantity::Fraction),
        None => Estimate::without(value - e, Quantity::Fraction, NoInterval::TypedWithoutInstrument),
    });
    let corrected = asked.species_correction.is_some();
    Ok(Wood { moisture, shown, used: good.len(), equilibrium, above, said, corrected })
}

impl Wood {
    /// In the shape of all tests. `limit` is the user's own.
    pub fn worked(&self, limit: Option<&Limit>) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-wood-moisture", self.moisture);
        if let Some(equilibrium) = self.equilibrium {
            let assumed = Estimate::without(equilibrium, Quantity::Fraction, NoInterval::Assumed);
            worked.figure("figure-wood-equilibrium", assumed);
        }
        if let Some(above) = self.above {
            worked.figure("figure-wood-above", above);
            // Wood follows the air by weeks; two points above it is not the air's doing.
            if above.bounds().map_or(above.si, |b| b.0) > 0.04 {
                worked.notes.push(Note::new("note-wood-wetter"));
            }
        }
        let usual = Limit::at_most(USUAL_LIMIT, COMMON_PRACTICE, false);
        worked.checks.push(limit.unwrap_or(&usual).check("check-wood-moisture", Some(self.moisture)));
        if !self.corrected {
            worked.notes.push(Note::caution("note-wood-uncorrected"));
        }
        if self.shown > 0.3 {
            worked.notes.push(Note::new("note-wood-saturated"));
        }
        worked
    }
}
