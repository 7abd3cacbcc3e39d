//! Pairs of infrared readings: the same spots before the fan and while it runs.
//!
//! A spot that gets colder in winter while the fan draws air out of the house, beyond what the
//! air temperatures explain, has outdoor air coming through it; one that was cold before and does
//! not change loses heat by conduction. The index `(surface - outdoors) / (indoors - outdoors)`
//! takes out a change of the air temperatures between the two pictures.

use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::procedure::field::{LEVEL, Limit, Note, Worked};
use crate::procedure::source::FROM_MEMORY;
use crate::units::Quantity;
use serde::Serialize;

/// Difference of air temperatures below which nothing can be said, K.
const LEAST_DIFFERENCE_K: f64 = 2.0;
/// Difference that the thermography standards ask for, K (from memory).
const WANTED_DIFFERENCE_K: f64 = 10.0;
/// Hours of steady temperatures that they ask for, s (from memory).
const WANTED_STEADY_S: f64 = 4.0 * 3600.0;
/// Index by which a spot has to differ from the median of the spots to be called colder
/// beforehand; a rule of our own.
const COLDER: f64 = 0.1;

/// One spot in both pictures, K.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Its name.
    pub name: String,
    /// Before the fan, K.
    pub before_k: Option<f64>,
    /// While it ran, K.
    pub during_k: Option<f64>,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Spots.
    pub spots: Vec<Spot>,
    /// Air indoors before and during, K.
    pub indoor_k: (f64, f64),
    /// Air outdoors before and during, K.
    pub outdoor_k: (f64, f64),
    /// House less outdoors while the fan ran, Pa; negative drew air out.
    pub house_pa: Option<f64>,
    /// How long the temperatures had been steady, s.
    pub steady_s: Option<f64>,
    /// Smallest difference that the camera tells between two readings (95 %), K. Its offset is in
    /// both and cancels.
    pub tells_k: Option<f64>,
}

/// What a spot shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shows {
    /// It moved towards outdoors while air was drawn in through the envelope.
    AirLeak,
    /// It stood out beforehand and did not move: conduction.
    Conduction,
    /// Neither.
    Nothing,
    /// The difference is not beyond what the camera tells, or nobody said what it tells.
    CannotTell,
}

/// One spot worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pair {
    /// Its name.
    pub name: String,
    /// Index before, 0 outdoors to 1 indoors.
    pub before: f64,
    /// Index during.
    pub during: f64,
    /// How far it moved towards outdoors, at the air temperatures of the second picture, K.
    pub moved: Estimate,
    /// What that says.
    pub shows: Shows,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Infrared {
    /// Spots, those that moved most first.
    pub pairs: Vec<Pair>,
    /// Indoors less outdoors, the smaller of the two times, K.
    pub difference_k: f64,
    /// How long it had been steady, s.
    pub steady_s: Option<f64>,
    /// Which way the fan blew: drawn out where true.
    pub drawn_out: Option<bool>,
    /// Remarks.
    #[serde(skip)]
    pub said: Vec<Diagnostic>,
}

/// Works it.
///
/// Errors: M105 where indoors and outdoors differ by less than 2 K or changed sides, M101 where no
/// spot has both readings; a spot without both is left out and said (M107).
///
/// ```
/// use engine::procedure::moisture::infrared::{Asked, Shows, Spot, evaluate};
/// let spot = |name: &str, before: f64, during: f64| Spot {
///     name: name.into(), before_k: Some(before), during_k: Some(during),
/// };
/// let scan = evaluate(&Asked {
///     spots: vec![spot("rim joist", 290.0, 285.0), spot("corner", 286.0, 285.9), spot("wall", 292.0, 292.0)],
///     indoor_k: (293.0, 293.0), outdoor_k: (273.0, 273.0),
///     house_pa: Some(-20.0), steady_s: Some(6.0 * 3600.0), tells_k: Some(0.5),
/// }).unwrap();
/// assert_eq!(scan.pairs[0].shows, Shows::AirLeak);
/// assert_eq!(scan.pairs[1].shows, Shows::Conduction);
/// ```
pub fn evaluate(asked: &Asked) -> Result<Infrared, Diagnostic> {
    let (before_k, during_k) = (asked.indoor_k.0 - asked.outdoor_k.0, asked.indoor_k.1 - asked.outdoor_k.1);
    let difference_k = before_k.abs().min(during_k.abs());
    if difference_k < LEAST_DIFFERENCE_K || (before_k > 0.0) != (during_k > 0.0) {
        return Err(Diagnostic::error(code::M105)
            .arg("before", (before_k, Quantity::TemperatureDifference))
            .arg("during", (during_k, Quantity::TemperatureDifference)));
    }
    let mut said = Vec::new();
    let mut pairs = Vec::new();
    for spot in &asked.spots {
        let (Some(before), Some(during)) = (spot.before_k, spot.during_k) else {
            said.push(Diagnostic::warning(code::M107).arg("spot", spot.name.as_str()));
            continue;
        };
        let index = ((before - asked.outdoor_k.0) / before_k, (during - asked.outdoor_k.1) / during_k);
        // Each reading carries half of what the camera tells of their difference.
        let half = asked.tells_k.unwrap_or(0.0) / 2.0_f64.sqrt();
        let inputs = [(before, half), (during, half)];
        let (indoor, outdoor) = (asked.indoor_k, asked.outdoor_k);
        let moved = propagate(&inputs, LEVEL, Quantity::TemperatureDifference, |x| {
            let expected = (x[0] - outdoor.0) / before_k;
            (expected - (x[1] - outdoor.1) / during_k) * (indoor.1 - outdoor.1).abs()
        });
        let moved = match asked.tells_k {
            Some(_) => moved,
            None => Estimate::without(moved.si, moved.quantity, NoInterval::TypedWithoutInstrument),
        };
        let (name, shows) = (spot.name.clone(), Shows::CannotTell);
        pairs.push(Pair { name, before: index.0, during: index.1, moved, shows });
    }
    if pairs.is_empty() {
        return Err(Diagnostic::error(code::M101).arg("found", 0_usize).arg("needed", 1_usize));
    }
    let mut indices: Vec<f64> = pairs.iter().map(|p| p.before).collect();
    indices.sort_by(f64::total_cmp);
    let usual = crate::math::quantile_sorted(&indices, 0.5).unwrap_or(1.0);
    let drawn_out = asked.house_pa.map(|p| p < 0.0);
    for pair in &mut pairs {
        pair.shows = match pair.moved.bounds() {
            None => Shows::CannotTell,
            // Blown out, indoor air warms what it passes; only drawn in it is outdoor air.
            Some((lo, _)) if lo > 0.0 && drawn_out == Some(true) => Shows::AirLeak,
            Some((lo, hi)) if lo <= 0.0 && hi >= 0.0 && pair.before < usual - COLDER => Shows::Conduction,
            Some((lo, hi)) if lo <= 0.0 && hi >= 0.0 => Shows::Nothing,
            Some(_) => Shows::CannotTell,
        };
    }
    pairs.sort_by(|a, b| b.moved.si.total_cmp(&a.moved.si));
    Ok(Infrared { pairs, difference_k, steady_s: asked.steady_s, drawn_out, said })
}

impl Infrared {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for pair in &self.pairs {
            worked.figure_of("figure-infrared-moved", &pair.name, pair.moved);
        }
        for pair in &self.pairs {
            let index = Estimate::without(pair.before, Quantity::Number, NoInterval::NotDefined);
            worked.figure_of("figure-surface-factor", &pair.name, index);
        }
        let exact = |x, quantity| Estimate::without(x, quantity, NoInterval::Exact);
        let difference = exact(self.difference_k, Quantity::TemperatureDifference);
        let rule = Limit::at_least(WANTED_DIFFERENCE_K, FROM_MEMORY, false);
        worked.checks.push(rule.check("check-infrared-difference", Some(difference)));
        let steady = self.steady_s.map(|s| exact(s, Quantity::Time));
        let rule = Limit::at_least(WANTED_STEADY_S, FROM_MEMORY, false);
        worked.checks.push(rule.check("check-infrared-steady", steady));
        match self.drawn_out {
            None => worked.notes.push(Note::caution("note-infrared-no-pressure")),
            Some(false) => worked.notes.push(Note::caution("note-infrared-blown")),
            Some(true) => {}
        }
        for pair in &self.pairs {
            let id = match pair.shows {
                Shows::AirLeak => "note-infrared-leak",
                Shows::Conduction => "note-infrared-conduction",
                Shows::Nothing | Shows::CannotTell => continue,
            };
            worked.notes.push(Note::new(id).arg("of", pair.name.replace('_', " ")));
        }
        if self.pairs.iter().all(|p| p.moved.bounds().is_none()) {
            worked.notes.push(Note::caution("note-infrared-no-accuracy"));
        }
        worked
    }
}
