//! Moisture at a surface: dew point of the air beside it, relative humidity at it, surface factor,
//! and how much more water the air holds than that outdoors.

use super::field::{LEVEL, Limit, Note, Worked};
use super::source::COMMON_PRACTICE;
use crate::air::{
    DRY_AIR_GAS_CONSTANT, MASS_RATIO, ZERO_CELSIUS_K, dew_point_k, humidity_ratio, saturation_over_water_pa,
    saturation_pressure_pa,
};
use crate::measure::{Estimate, propagate};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Humidity at a surface from which mould is to be reckoned with where it lasts; the trade's rule of
/// thumb, no source.
const MOULD_RH: f64 = 0.8;

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Air temperature, K.
    pub air_k: f64,
    /// Relative humidity of the air, 0 to 1.
    pub rh_frac: f64,
    /// Surface temperature, K.
    pub surface_k: Option<f64>,
    /// Outdoor temperature, K.
    pub outdoor_k: Option<f64>,
    /// Relative humidity outdoors, 0 to 1, over liquid water as hygrometers and weather services
    /// state it.
    pub outdoor_rh_frac: Option<f64>,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Accuracy of both temperatures (95 % limits).
    pub temperature_accuracy: Option<Accuracy>,
    /// Accuracy of the humidity (95 % limits).
    pub humidity_accuracy: Option<Accuracy>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Surface {
    /// Dew point of the air, K.
    pub dew_point: Estimate,
    /// Relative humidity at the surface, 0 to 1; above 1 it is wet.
    pub surface_rh: Option<Estimate>,
    /// How far the surface is above the dew point, K.
    pub margin: Option<Estimate>,
    /// Surface factor (surface - outdoors) / (air - outdoors); ISO 13788 calls it f_Rsi.
    pub surface_factor: Option<Estimate>,
    /// Water vapour in the air less that outdoors, kg/m3.
    pub excess: Option<Estimate>,
    /// Humidity ratio less that outdoors, kg/kg.
    pub excess_ratio: Option<Estimate>,
    /// Outdoor temperature, K.
    outdoor_k: Option<f64>,
}

/// Works it.
///
/// The vapour pressure at the surface is that of the air beside it, so its relative humidity is
/// `rh p_ws(air) / p_ws(surface)` (saturation pressures: ASHRAE 2017 ch. 1 eq. 5 and 6).
///
/// Moisture excess: difference of `v = p_v / (R_v T)` and of the humidity ratio (eq. 20) indoors and
/// outdoors; outdoors the humidity is taken over liquid water, also in frost.
///
/// ```
/// use engine::procedure::surface::{Asked, evaluate};
/// let corner = evaluate(&Asked {
///     air_k: 293.15,
///     rh_frac: 0.5,
///     surface_k: Some(285.15),
///     outdoor_k: Some(273.15),
///     outdoor_rh_frac: Some(0.8),
///     pressure_pa: 101_325.0,
///     temperature_accuracy: None,
///     humidity_accuracy: None,
/// });
/// assert!((corner.dew_point.si - 273.15 - 9.272).abs() < 0.001);
/// assert!((corner.surface_factor.unwrap().si - 0.6).abs() < 1e-12);
/// assert!((corner.excess.unwrap().si * 1e3 - 4.764).abs() < 0.01);
/// ```
pub fn evaluate(asked: &Asked) -> Surface {
    let kelvin = |k: f64| (k, asked.temperature_accuracy.map_or(0.0, |a| a.limit(k)));
    let rh = (asked.rh_frac, asked.humidity_accuracy.map_or(0.0, |a| a.limit(asked.rh_frac)));
    let stated = asked.temperature_accuracy.is_some() && asked.humidity_accuracy.is_some();
    let honest = |e: Estimate| match stated {
        true => e,
        false => Estimate::without(e.si, e.quantity, crate::measure::NoInterval::TypedWithoutInstrument),
    };
    let air = kelvin(asked.air_k);
    let vapour_pa = |air_k: f64, rh: f64| rh.max(1e-4) * saturation_pressure_pa(air_k);
    let dew_point = propagate(&[air, rh], LEVEL, Quantity::Temperature, |x| match x {
        [air_k, rh] => dew_point_k(vapour_pa(*air_k, *rh)),
        _ => f64::NAN,
    });
    let at_surface = asked.surface_k.map(|k| {
        let inputs = [air, rh, kelvin(k)];
        let of = |quantity, f: fn(f64, f64) -> f64| {
            honest(propagate(&inputs, LEVEL, quantity, |x| match x {
                [air_k, rh, surface_k] => f(vapour_pa(*air_k, *rh), *surface_k),
                _ => f64::NAN,
            }))
        };
        let wet = of(Quantity::Fraction, |vapour, surface_k| vapour / saturation_pressure_pa(surface_k));
        let margin = of(Quantity::TemperatureDifference, |vapour, surface_k| surface_k - dew_point_k(vapour));
        (wet, margin)
    });
    let surface_factor = asked.surface_k.zip(asked.outdoor_k).map(|(surface, outdoor)| {
        let inputs = [kelvin(surface), air, kelvin(outdoor)];
        honest(propagate(&inputs, LEVEL, Quantity::Number, |x| match x {
            [surface, air, outdoor] => (surface - outdoor) / (air - outdoor),
            _ => f64::NAN,
        }))
    });
    let outdoors = asked.outdoor_k.zip(asked.outdoor_rh_frac);
    let between = |quantity, f: &dyn Fn(f64, f64) -> f64| {
        let (outdoor_k, outdoor_rh) = outdoors?;
        let limit = asked.humidity_accuracy.map_or(0.0, |a| a.limit(outdoor_rh));
        let inputs = [air, rh, kelvin(outdoor_k), (outdoor_rh, limit)];
        Some(honest(propagate(&inputs, LEVEL, quantity, |x| match x {
            [air_k, rh, outdoor_k, outdoor_rh] => {
                let outdoor_pa = outdoor_rh * saturation_over_water_pa(*outdoor_k);
                f(vapour_pa(*air_k, *rh), *air_k) - f(outdoor_pa, *outdoor_k)
            }
            _ => f64::NAN,
        })))
    };
    let vapour_gas_constant = DRY_AIR_GAS_CONSTANT / MASS_RATIO;
    let excess = between(Quantity::VapourConcentration, &|pa, k| pa / (vapour_gas_constant * k));
    let excess_ratio = between(Quantity::HumidityRatio, &|pa, _| humidity_ratio(pa, asked.pressure_pa));
    Surface {
        dew_point: honest(dew_point),
        surface_rh: at_surface.map(|s| s.0),
        margin: at_surface.map(|s| s.1),
        surface_factor,
        excess,
        excess_ratio,
        outdoor_k: asked.outdoor_k,
    }
}

/// Moisture excess that one house in ten went above, kg/m3: 4 g/m3 up to 5 degC outdoors, 1.5 g/m3
/// from 15 degC, linear between (Kalamees et al., 101 timber houses).
fn usual_excess_kg_m3(outdoor_k: f64) -> f64 {
    let share = ((outdoor_k - ZERO_CELSIUS_K - 5.0) / 10.0).clamp(0.0, 1.0);
    (4.0 - 2.5 * share) * 1e-3
}

impl Surface {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-dew-point", self.dew_point);
        if let Some(rh) = self.surface_rh {
            worked.figure("figure-surface-rh", rh);
            if rh.si >= 1.0 {
                worked.notes.push(Note::new("note-surface-wet"));
            }
        }
        if let Some(margin) = self.margin {
            worked.figure("figure-dew-margin", margin);
        }
        if let Some(factor) = self.surface_factor {
            worked.figure("figure-surface-factor", factor);
        }
        if let Some(excess) = self.excess {
            worked.figure("figure-moisture-excess", excess);
            // How other houses are, not what this one must be: shown, never deciding.
            let usual = usual_excess_kg_m3(self.outdoor_k.unwrap_or(ZERO_CELSIUS_K));
            let rule = Limit::at_most(usual, "kalamees-timber-houses", false);
            worked.checks.push(rule.check("check-moisture-excess", Some(excess)));
        }
        if let Some(ratio) = self.excess_ratio {
            worked.figure("figure-moisture-excess-ratio", ratio);
        }
        if self.surface_rh.is_some() {
            let rule = Limit::at_most(MOULD_RH, COMMON_PRACTICE, false);
            worked.checks.push(rule.check("check-surface-mould", self.surface_rh));
            worked.notes.push(Note::new("note-surface-once"));
        }
        worked
    }
}
