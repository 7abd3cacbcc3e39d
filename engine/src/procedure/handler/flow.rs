//! Flow of the air handler by flow plate, pressure matching, temperature rise, traverse or hoods.
//!
//! * Plate: `Q = sum(Q_plate) (P_filter / P_plate)^0.5`, both pressures of the supply plenum (from the
//!   system curve; at `dp ~ Q^(5/3)` the exponent would be 0.6, which is in the interval).
//! * Pressure matching: a calibrated fan in place of the return brings the supply plenum to the
//!   pressure it has in operation; where it does not get there, the same law (from memory: ASHRAE 152).
//! * Temperature rise: `Q = P / (rho c_p dT)` (sensible heat).
//! * Traverse: [`super::traverse`].
//! * Hoods: flows added; one gauge's gain is common to all.
//!
//! Flow is that of the air that was there; beside it stands the same mass as trade standard air
//! (0.075 lb/ft3).

use super::setup::Setup;
use super::traverse::{PLACEMENT, Section, Shows, Traversed, mean_speed};
use crate::air::TRADE_STANDARD_DENSITY_KG_M3;
use crate::math;
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::procedure::field::{LEVEL, Limit, around};
use crate::procedure::known::{Known, follows};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Exponent of flow over a ratio of plenum pressures, and the half width taken for it.
pub const SYSTEM_EXPONENT: (f64, f64) = (0.5, 0.1);
/// Ratios of flow within which the correction is trusted (from memory).
pub const TRUSTED: (f64, f64) = (0.9, 1.2);
/// Half width of a fuel furnace's output where nobody states one, as a share (from memory: 10 % and
/// more).
pub const FUEL_OUTPUT_SHARE: f64 = 0.1;

/// How the flow was found.
#[derive(Clone, Debug, PartialEq)]
pub enum Method {
    /// Plates in the filter slots.
    Plate {
        /// Flow of each, m3/s.
        flows_m3_s: Vec<f64>,
        /// Accuracy of a plate.
        accuracy: Option<Accuracy>,
        /// Supply plenum with the filter in, Pa.
        with_filter_pa: f64,
        /// Supply plenum with the plates in, Pa.
        with_plate_pa: f64,
        /// Accuracy of these pressures.
        pressure_accuracy: Option<Accuracy>,
    },
    /// A calibrated fan in place of the return.
    Matching {
        /// Its flow, m3/s.
        flow_m3_s: f64,
        /// Accuracy of it.
        accuracy: Option<Accuracy>,
        /// Supply plenum in operation, Pa.
        wanted_pa: f64,
        /// Supply plenum reached by the fan, Pa.
        reached_pa: f64,
        /// Accuracy of these pressures.
        pressure_accuracy: Option<Accuracy>,
    },
    /// Heat over temperature rise.
    Rise {
        /// Heat given to the air, W.
        heat_w: Known,
        /// Whether it comes from burning fuel.
        fuel: bool,
        /// Air before the heater, K, one or several places.
        before_k: Vec<f64>,
        /// Air after it, K, one or several places.
        after_k: Vec<f64>,
        /// Accuracy of the thermometer.
        accuracy: Option<Accuracy>,
        /// Humidity ratio of the air, kg/kg.
        w_kg_kg: f64,
    },
    /// Speeds over a plane.
    Traverse {
        /// The plane.
        section: Section,
        /// Readings by line.
        lines: Vec<Vec<f64>>,
        /// What they are.
        shows: Shows,
        /// Accuracy of a reading.
        accuracy: Option<Accuracy>,
        /// Positions along a line, m.
        depths_m: Vec<f64>,
        /// Straight duct before and after the plane, m.
        straight_m: (Option<f64>, Option<f64>),
    },
    /// Hoods on registers.
    Hoods {
        /// Flow of each supply register, m3/s.
        supply: Vec<(String, f64)>,
        /// Flow of each return grille, m3/s.
        back: Vec<(String, f64)>,
        /// Accuracy of the hood.
        accuracy: Option<Accuracy>,
    },
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// How the flow was found.
    pub method: Method,
    /// Density of the air that was measured, kg/m3.
    pub density_kg_m3: f64,
    /// Whether neither barometer nor altitude told the air's pressure.
    pub pressure_assumed: bool,
    /// Electric power of the blower, W.
    pub power_w: Option<Known>,
    /// Rated cooling capacity, W.
    pub capacity_w: Option<f64>,
    /// Least flow per capacity, m3/J.
    pub least_per_capacity: Option<Limit>,
    /// Most power per flow, W s/m3.
    pub most_power: Option<Limit>,
    /// How the equipment ran.
    pub setup: Setup,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HandlerFlow {
    /// Flow of the air that was there.
    pub flow: Estimate,
    /// The same mass as trade standard air.
    pub standard: Estimate,
    /// Electric power per flow.
    pub power_per_flow: Option<Estimate>,
    /// Flow, as trade standard air, per rated capacity.
    pub per_capacity: Option<Estimate>,
    /// Sum of the supply registers.
    pub supply_sum: Option<Estimate>,
    /// Sum of the return grilles.
    pub return_sum: Option<Estimate>,
    /// Flow with the filter over flow with the plate, or wanted over reached.
    pub correction: Option<Estimate>,
    /// Temperature rise.
    pub rise: Option<Estimate>,
    /// Mean speed over a traverse.
    pub mean_speed: Option<Estimate>,
    /// The traverse.
    pub traverse: Option<Traversed>,
    /// Diameters of straight duct before and after the plane.
    pub straight_diameters: Option<(Option<f64>, Option<f64>)>,
    /// What the method asks to be said.
    pub said: Vec<Said>,
    /// How the equipment ran.
    pub setup: Setup,
    /// Limits, for checks.
    #[serde(skip)]
    pub limits: [Option<Limit>; 2],
}

/// What has to be said of a flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Said {
    /// The air's pressure was assumed.
    SeaLevel,
    /// The correction of a plate is outside what is trusted.
    FarCorrection,
    /// A matching fan sees no return.
    Matching,
    /// The output of a fuel furnace is not measured.
    FuelOutput,
    /// One place of warm air only.
    OnePlace,
    /// Readings below zero in a traverse.
    BelowZero,
    /// One line over a round duct.
    OneLine,
    /// Too slow for a pitot tube.
    Slow,
    /// Hoods see registers, not the handler.
    Hoods,
}

/// Works it; nothing where a temperature rise is none (the caller says so).
///
/// ```
/// use engine::procedure::handler::flow::*;
/// use engine::procedure::handler::setup::Setup;
/// let cfm = 0.3048_f64.powi(3) / 60.0;
/// let result = evaluate(&Asked {
///     method: Method::Plate {
///         flows_m3_s: vec![600.0 * cfm, 400.0 * cfm], accuracy: None,
///         with_filter_pa: 100.0, with_plate_pa: 80.0, pressure_accuracy: None,
///     },
///     density_kg_m3: 1.2, pressure_assumed: false, power_w: None, capacity_w: None,
///     least_per_capacity: None, most_power: None, setup: Setup::default(),
/// }).unwrap();
/// assert!((result.flow.si / cfm - 1118.034).abs() < 0.001);
/// ```
pub fn evaluate(asked: &Asked) -> Option<HandlerFlow> {
    let mut result = by_method(asked)?;
    if asked.pressure_assumed {
        result.said.push(Said::SeaLevel);
    }
    let flow = Known::from_estimate(&result.flow);
    let density = asked.density_kg_m3 / TRADE_STANDARD_DENSITY_KG_M3;
    result.standard = result.flow.scaled(density, Quantity::AirFlow);
    result.power_per_flow = asked.power_w.map(|power| {
        follows(&[power, flow], Quantity::SpecificFanPower, |x| match x {
            [power, flow] => power / flow,
            _ => f64::NAN,
        })
    });
    result.per_capacity = asked.capacity_w.map(|c| result.standard.scaled(1.0 / c, Quantity::FlowPerPower));
    result.limits = [asked.least_per_capacity.clone(), asked.most_power.clone()];
    Some(result)
}

fn plain(flow: Estimate, setup: &Setup) -> HandlerFlow {
    HandlerFlow {
        flow,
        standard: flow,
        power_per_flow: None,
        per_capacity: None,
        supply_sum: None,
        return_sum: None,
        correction: None,
        rise: None,
        mean_speed: None,
        traverse: None,
        straight_diameters: None,
        said: Vec::new(),
        setup: setup.clone(),
        limits: [None, None],
    }
}

fn by_method(asked: &Asked) -> Option<HandlerFlow> {
    let setup = &asked.setup;
    match &asked.method {
        Method::Plate { flows_m3_s, accuracy, with_filter_pa, with_plate_pa, pressure_accuracy } => {
            let pressures = (*with_filter_pa, *with_plate_pa, *pressure_accuracy);
            let mut result = corrected(sum_of(flows_m3_s, *accuracy), pressures, setup);
            if result.correction.is_some_and(|c| !(TRUSTED.0..=TRUSTED.1).contains(&c.si)) {
                result.said.push(Said::FarCorrection);
            }
            Some(result)
        }
        Method::Matching { flow_m3_s, accuracy, wanted_pa, reached_pa, pressure_accuracy } => {
            let pressures = (*wanted_pa, *reached_pa, *pressure_accuracy);
            let mut result = corrected(Known::read(*flow_m3_s, *accuracy), pressures, setup);
            result.said.push(Said::Matching);
            if result.correction.is_some_and(|c| !(TRUSTED.0..=TRUSTED.1).contains(&c.si)) {
                result.said.push(Said::FarCorrection);
            }
            Some(result)
        }
        Method::Rise { heat_w, fuel, before_k, after_k, accuracy, w_kg_kg } => {
            let (before, after) = (mean_of(before_k, *accuracy), mean_of(after_k, *accuracy));
            if after.si <= before.si {
                return None;
            }
            let rise = follows(&[before, after], Quantity::TemperatureDifference, |x| match x {
                [before, after] => after - before,
                _ => f64::NAN,
            });
            let rho_cp = super::rho_cp_j_m3_k(asked.density_kg_m3, *w_kg_kg);
            let flow = follows(&[*heat_w, Known::from_estimate(&rise)], Quantity::AirFlow, |x| match x {
                // A rise within its own doubt bounds nothing: a tenth of it stands for the end.
                [heat, k] => flow_of_rise_m3_s(*heat, k.max(0.1 * rise.si), rho_cp),
                _ => f64::NAN,
            });
            let mut result = HandlerFlow { rise: Some(rise), ..plain(flow, setup) };
            if *fuel {
                result.said.push(Said::FuelOutput);
            }
            if after_k.len() < 2 {
                result.said.push(Said::OnePlace);
            }
            Some(result)
        }
        Method::Traverse { section, lines, shows, accuracy, depths_m, straight_m } => {
            Some(traversed(asked, section, lines, *shows, *accuracy, depths_m, *straight_m))
        }
        Method::Hoods { supply, back, accuracy } => {
            let sum = |list: &[(String, f64)]| {
                let flows: Vec<f64> = list.iter().map(|f| f.1).collect();
                let sum = sum_of(&flows, *accuracy);
                (!flows.is_empty()).then(|| around(sum.si, sum.half, Quantity::AirFlow))
            };
            let (supply_sum, return_sum) = (sum(supply), sum(back));
            let larger = match (supply_sum, return_sum) {
                (Some(a), Some(b)) => Some(if a.si >= b.si { a } else { b }),
                (a, b) => a.or(b),
            };
            let mut result = HandlerFlow { supply_sum, return_sum, ..plain(larger?, setup) };
            result.said.push(Said::Hoods);
            Some(result)
        }
    }
}

/// Flow from heat and temperature rise, m3/s.
///
/// ```
/// use engine::procedure::handler::flow::flow_of_rise_m3_s;
/// let q = flow_of_rise_m3_s(9600.0, 25.0 / 1.8, 1.204 * 1006.0);
/// assert!((q - 0.570662).abs() < 1e-6);
/// ```
pub fn flow_of_rise_m3_s(heat_w: f64, rise_k: f64, rho_cp_j_m3_k: f64) -> f64 {
    heat_w / (rho_cp_j_m3_k * rise_k)
}

/// Factor on flow from a ratio of plenum pressures.
pub fn pressure_correction(wanted_pa: f64, found_pa: f64, exponent: f64) -> f64 {
    math::pow((wanted_pa / found_pa).abs(), exponent)
}

/// One gauge's error is the same way in every reading: limits add.
fn sum_of(flows_m3_s: &[f64], accuracy: Option<Accuracy>) -> Known {
    Known {
        si: flows_m3_s.iter().sum(),
        half: accuracy.map(|a| flows_m3_s.iter().map(|q| a.limit(*q)).sum()),
    }
}

fn corrected(flow: Known, pressures: (f64, f64, Option<Accuracy>), setup: &Setup) -> HandlerFlow {
    let (wanted, found, accuracy) = pressures;
    let exponent = Known { si: SYSTEM_EXPONENT.0, half: Some(SYSTEM_EXPONENT.1) };
    let inputs = [Known::read(wanted, accuracy), Known::read(found, accuracy), exponent];
    let correction = follows(&inputs, Quantity::Number, |x| match x {
        [wanted, found, n] => pressure_correction(*wanted, *found, *n),
        _ => f64::NAN,
    });
    let total = follows(&[flow, Known::from_estimate(&correction)], Quantity::AirFlow, |x| match x {
        [flow, factor] => flow * factor,
        _ => f64::NAN,
    });
    HandlerFlow { correction: Some(correction), ..plain(total, setup) }
}

/// Mean of several places with its spread, and the thermometer's own error.
fn mean_of(values: &[f64], accuracy: Option<Accuracy>) -> Known {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let half = accuracy.map(|a| {
        let squares = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>();
        let spread = if count > 1.0 {
            student_t_two_sided(LEVEL, count - 1.0) * (squares / (count * (count - 1.0))).sqrt()
        } else {
            0.0
        };
        (a.limit(mean) * a.limit(mean) + spread * spread).sqrt()
    });
    Known { si: mean, half }
}

fn traversed(
    asked: &Asked,
    section: &Section,
    lines: &[Vec<f64>],
    shows: Shows,
    accuracy: Option<Accuracy>,
    depths_m: &[f64],
    straight_m: (Option<f64>, Option<f64>),
) -> HandlerFlow {
    let read = mean_speed(lines, shows, asked.density_kg_m3);
    let flow = read.mean_m_s * section.area_m2();
    // The gauge moves all readings the same way.
    let half = accuracy.map(|a| {
        let moved: Vec<Vec<f64>> =
            lines.iter().map(|l| l.iter().map(|r| r + a.limit(*r)).collect()).collect();
        let gauge = mean_speed(&moved, shows, asked.density_kg_m3).mean_m_s / read.mean_m_s - 1.0;
        flow * (gauge * gauge + PLACEMENT * PLACEMENT).sqrt()
    });
    let flow = match half {
        Some(half) => Estimate::range(flow, flow - half, flow + half, LEVEL, Quantity::AirFlow),
        None => Estimate::without(flow, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let mut said = Vec::new();
    if read.below_zero > 0 {
        said.push(Said::BelowZero);
    }
    if lines.len() < 2 && matches!(section, Section::Round { .. }) {
        said.push(Said::OneLine);
    }
    if shows == Shows::VelocityPressure && read.mean_m_s < super::traverse::PITOT_LEAST_M_S {
        said.push(Said::Slow);
    }
    let over = |m: Option<f64>| m.map(|m| m / section.diameter_m());
    HandlerFlow {
        mean_speed: Some(flow.scaled(1.0 / section.area_m2(), Quantity::DuctSpeed)),
        traverse: Some(Traversed { depths_m: depths_m.to_vec(), ..read }),
        straight_diameters: Some((over(straight_m.0), over(straight_m.1))),
        said,
        ..plain(flow, &asked.setup)
    }
}
