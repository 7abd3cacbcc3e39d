//! Air that leaks in by itself: the handbook's two simple models, AIM-2, and the N-factor rule.
//!
//! Each turns the leakage of an envelope test and a moment's weather into a flow. The mean over a
//! year is dominated by cold and windy hours; a steady fan with the same effect on what people
//! breathe is smaller, and is what [`Found::effective`] gives.

mod aim2;
mod handbook;

pub use aim2::{Aim2, superposed_m3_s};
pub use handbook::{
    Driven, Enhanced, EnhancedCoefficients, FOUNDATIONS, Foundation, SHELTERS, STOREYS, Shelter, Storeys,
    basic, basic_coefficients,
};

use super::envelope::leakage_area_m2;
use super::field::{LEVEL, Note, Worked};
use super::ventilation::exposure::{Air, steady_equivalent_m3_s};
use crate::math;
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::Quantity;
use serde::Serialize;

/// Largest bias and scatter that Walker and Wilson (1998, abstract) state for their model, of the
/// part that the stack drives; the enhanced model is a table of it.
pub const STACK_ACCURACY: f64 = 0.07;
/// The same of the part that the wind drives.
pub const WIND_ACCURACY: f64 = 0.15;

/// Air changes per hour at 50 Pa over those of a year: `N = C H S L` (Sherman 1987; its factors
/// from memory, a worked example read: climate 18, height 0.7, 13.3 1/h give 1.06 1/h).
///
/// ```
/// use engine::procedure::infiltration::n_factor;
/// assert!((13.3 / n_factor(18.0, 0.7, 1.0, 1.0) - 1.0556).abs() < 1e-4);
/// ```
pub fn n_factor(climate: f64, height: f64, shelter: f64, cracks: f64) -> f64 {
    climate * height * shelter * cracks
}

/// Which model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Model {
    /// [`basic`].
    Basic(Storeys, Shelter),
    /// [`Enhanced`].
    Enhanced(Enhanced),
    /// [`Aim2`] without a flue; wind ratio and shelter as in the enhanced tables.
    Aim2(Aim2, Enhanced),
    /// Flow at 50 Pa over N ([`n_factor`]).
    NFactor(f64),
}

/// Weather of one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Outdoors, K.
    pub outdoor_k: f64,
    /// Wind at the weather station, m/s.
    pub wind_m_s: f64,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Which model.
    pub model: Model,
    /// Flow at 4 Pa of the envelope test, reference conditions, m3/s.
    pub flow4: Estimate,
    /// Flow at 50 Pa, m3/s.
    pub flow50: Estimate,
    /// Flow exponent.
    pub exponent: f64,
    /// Indoors, K.
    pub indoor_k: f64,
    /// One moment, or one an hour.
    pub weather: Vec<Moment>,
    /// Air volume, m3.
    pub volume_m3: Option<f64>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// Mean infiltration, m3/s.
    pub infiltration: Estimate,
    /// The same in air changes, 1/s.
    pub air_change: Option<Estimate>,
    /// The steady flow that dilutes a steady source as well as the changing one does over the
    /// record, m3/s; needs the volume and more than one moment.
    pub effective: Option<Estimate>,
    /// Share of the stack in the sum of both drives.
    pub stack_share: Option<f64>,
    /// Moments of weather behind it.
    pub moments: usize,
}

/// Works it.
///
/// The interval takes in the envelope test's and, for the enhanced model and AIM-2, the stated
/// accuracy of the model ([`STACK_ACCURACY`], [`WIND_ACCURACY`], each one number for all hours); the
/// texts state none for the basic model and the N-factor, and then there is no interval.
///
/// ```
/// use engine::measure::{Estimate, NoInterval};
/// use engine::procedure::infiltration::{Asked, Model, Moment, Shelter, Storeys, evaluate};
/// use engine::units::Quantity::AirFlow;
/// let exact = |q| Estimate::without(q, AirFlow, NoInterval::Exact);
/// let found = evaluate(&Asked {
///     model: Model::Basic(Storeys::Two, Shelter::Moderate),
///     flow4: exact(0.05 * (8.0_f64 / 1.2041).sqrt()), // 500 cm2
///     flow50: exact(0.7),
///     exponent: 0.65,
///     indoor_k: 293.15,
///     weather: vec![Moment { outdoor_k: 254.15, wind_m_s: 6.7 }],
///     volume_m3: Some(340.0),
/// });
/// assert!((found.infiltration.si - 0.0736).abs() < 1e-4);
/// assert!((found.air_change.unwrap().si * 3600.0 - 0.78).abs() < 0.005);
/// ```
pub fn evaluate(asked: &Asked) -> Found {
    let n = asked.exponent;
    let driven = |flow4: f64, m: &Moment| -> Driven {
        let c = flow4 / math::pow(4.0, n);
        let dt_k = asked.indoor_k - m.outdoor_k;
        match &asked.model {
            Model::Basic(storeys, shelter) => {
                basic(leakage_area_m2(flow4, 4.0, 1.0), *storeys, *shelter, dt_k, m.wind_m_s)
            }
            Model::Enhanced(house) => house.coefficients().flows(c, n, dt_k, m.wind_m_s),
            Model::Aim2(house, site) => {
                let site = site.coefficients();
                let wind = site.shelter * site.wind_ratio * m.wind_m_s;
                let density = crate::air::dry_density_kg_m3(m.outdoor_k, crate::air::STANDARD_PRESSURE_PA);
                house.flows(c, dt_k, asked.indoor_k, density, wind)
            }
            Model::NFactor(_) => Driven { stack_m3_s: f64::NAN, wind_m3_s: f64::NAN },
        }
    };
    let flows = |flow4: f64, stack: f64, wind: f64| -> Vec<f64> {
        let of = |m: &Moment| {
            let d = driven(flow4, m);
            Driven { stack_m3_s: d.stack_m3_s * stack, wind_m3_s: d.wind_m3_s * wind }.together_m3_s()
        };
        asked.weather.iter().map(of).collect()
    };
    let half = |e: &Estimate| e.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0);
    let stated = matches!(asked.model, Model::Enhanced(_) | Model::Aim2(..));
    let of_flow = |f: &dyn Fn(&[f64]) -> f64| match stated {
        true => {
            let inputs = [(asked.flow4.si, half(&asked.flow4)), (1.0, STACK_ACCURACY), (1.0, WIND_ACCURACY)];
            propagate(&inputs, LEVEL, Quantity::AirFlow, |x| match x {
                [flow4, stack, wind] => f(&flows(*flow4, *stack, *wind)),
                _ => f64::NAN,
            })
        }
        false => {
            Estimate::without(f(&flows(asked.flow4.si, 1.0, 1.0)), Quantity::AirFlow, NoInterval::NotDefined)
        }
    };
    let mean = |q: &[f64]| q.iter().sum::<f64>() / q.len() as f64;
    let infiltration = match asked.model {
        Model::NFactor(n) => {
            Estimate::without(asked.flow50.si / n, Quantity::AirFlow, NoInterval::NotDefined)
        }
        _ => of_flow(&mean),
    };
    let hours = asked.weather.len() > 1 && !matches!(asked.model, Model::NFactor(_));
    let effective = asked.volume_m3.filter(|_| hours).map(|volume_m3| {
        let air = Air { volume_m3, step_s: 3600.0 };
        of_flow(&|q: &[f64]| steady_equivalent_m3_s(q, air))
    });
    let stack_share = (!matches!(asked.model, Model::NFactor(_))).then(|| {
        let all: Vec<Driven> = asked.weather.iter().map(|m| driven(asked.flow4.si, m)).collect();
        let stack: f64 = all.iter().map(|d| d.stack_m3_s).sum();
        stack / all.iter().map(|d| d.stack_m3_s + d.wind_m3_s).sum::<f64>()
    });
    Found {
        air_change: asked.volume_m3.map(|v| infiltration.scaled(1.0 / v, Quantity::AirChange)),
        infiltration,
        effective,
        stack_share,
        moments: asked.weather.len(),
    }
}

impl Found {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        // Over a year it is an average; of one moment, that moment's.
        let id = if self.moments > 1 { "figure-infiltration" } else { "figure-infiltration-moment" };
        worked.figure(id, self.infiltration);
        if let Some(change) = self.air_change {
            worked.figure("figure-infiltration-change", change);
        }
        if let Some(effective) = self.effective {
            worked.figure("figure-infiltration-effective", effective);
        }
        if let Some(share) = self.stack_share.filter(|s| s.is_finite()) {
            let share = Estimate::without(share, Quantity::Fraction, NoInterval::NotDefined);
            worked.figure("figure-stack-share", share);
        }
        if self.infiltration.bounds().is_none() {
            worked.notes.push(Note::new("note-infiltration-accuracy-not-stated"));
        }
        if self.moments == 1 {
            worked.notes.push(Note::new("note-infiltration-one-moment"));
        }
        worked
    }
}
