//! Surface moisture meters: readings on the meter's own scale, compared with a dry place of the
//! same material. They say where it is wetter, never how wet.

use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::procedure::field::{LEVEL, Note, Worked};
use crate::units::Quantity;
use serde::Serialize;

/// What was read, on the meter's own scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Material at the spots.
    pub material: String,
    /// Material at the dry place.
    pub reference_material: String,
    /// Readings at a dry place of the same material.
    pub reference: Vec<f64>,
    /// Readings at named spots.
    pub spots: Vec<(String, f64)>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Meter {
    /// Mean of the dry readings.
    pub reference: f64,
    /// How far a single dry reading may lie above it by chance, at 95 %; absent for one reading.
    pub chance: Option<f64>,
    /// Each spot: its name, by how much it reads above the dry mean, whether that is more than chance.
    pub spots: Vec<(String, Estimate, Option<bool>)>,
    /// Remarks.
    #[serde(skip)]
    pub said: Vec<Diagnostic>,
}

/// Works it: each spot less the mean of the dry readings; above chance where it exceeds the
/// prediction interval of one more dry reading, `t s sqrt(1 + 1/n)`.
///
/// Errors: M101 no dry reading or no spot, M104 a dry place of another material. A reading that
/// is not finite is left out and said (M102).
///
/// ```
/// use engine::procedure::moisture::meter::{Asked, evaluate};
/// let wall = evaluate(&Asked {
///     material: "gypsum board".into(), reference_material: "gypsum board".into(),
///     reference: vec![14.0, 16.0, 15.0, 15.0], spots: vec![("below window".into(), 42.0)],
/// }).unwrap();
/// assert_eq!(wall.spots[0].2, Some(true));
/// ```
pub fn evaluate(asked: &Asked) -> Result<Meter, Diagnostic> {
    let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
    if !same(&asked.material, &asked.reference_material) {
        return Err(Diagnostic::error(code::M104)
            .arg("material", asked.material.as_str())
            .arg("reference", asked.reference_material.as_str()));
    }
    let mut said = Vec::new();
    let dry: Vec<f64> = asked.reference.iter().copied().filter(|r| r.is_finite()).collect();
    let spots: Vec<&(String, f64)> = asked.spots.iter().filter(|s| s.1.is_finite()).collect();
    let bad = asked.reference.len() + asked.spots.len() - dry.len() - spots.len();
    if bad > 0 {
        said.push(Diagnostic::warning(code::M102).arg("count", bad));
    }
    let found = dry.len().min(spots.len());
    if found == 0 {
        return Err(Diagnostic::error(code::M101).arg("found", found).arg("needed", 1_usize));
    }
    let n = dry.len() as f64;
    let mean = dry.iter().sum::<f64>() / n;
    let chance = (dry.len() > 1).then(|| {
        let variance = dry.iter().map(|d| (d - mean) * (d - mean)).sum::<f64>() / (n - 1.0);
        student_t_two_sided(LEVEL, n - 1.0) * (variance * (1.0 + 1.0 / n)).sqrt()
    });
    let spots = spots.into_iter().map(|(name, shown)| {
        let above = shown - mean;
        let estimate = match chance {
            Some(half) => Estimate::range(above, above - half, above + half, LEVEL, Quantity::Number),
            None => Estimate::without(above, Quantity::Number, NoInterval::TooFewPoints),
        };
        (name.clone(), estimate, chance.map(|half| above > half))
    });
    Ok(Meter { reference: mean, chance, spots: spots.collect(), said })
}

impl Meter {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for (name, above, wetter) in &self.spots {
            worked.figure_of("figure-meter-above", name, *above);
            if *wetter == Some(true) {
                worked.notes.push(Note::new("note-meter-wetter").arg("of", name.replace('_', " ")));
            }
        }
        worked.notes.push(Note::new("note-meter-relative"));
        if self.chance.is_none() {
            worked.notes.push(Note::caution("note-meter-one-reference"));
        }
        worked
    }
}
