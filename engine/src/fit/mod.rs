//! The house as known: every leak, door, fan and duct with its prior and its posterior, given all
//! readings under their setups.
//!
//! Readings become stations and observations ([`observe`]); the unknowns and their derivatives are
//! [`problem`]; the optimum is found by [`solve`]; [`draws`] carry the doubt on to everything that
//! comes after. Why it is done this way: `docs/DECISIONS.md`.

pub mod draws;
pub mod observe;
pub mod problem;
pub mod scene;
pub mod simulate;
pub mod solve;

use crate::diag::Span;
use crate::house::air::{Air, TestFan};
use crate::house::{House, ParamKind, start};
use crate::math;
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
use observe::{Observations, Seen};
use problem::{FitError, Problem};
use serde::Serialize;
use std::ops::ControlFlow;

/// Probability inside the intervals of fit and plans.
pub const LEVEL: f64 = 0.9;

/// Probability inside the interval of a single reading, as instruments state their accuracy.
pub const STATED_LEVEL: f64 = 0.95;

/// How much work to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Weighted draws.
    pub tries: usize,
    /// Equally weighted draws handed on.
    pub draws: usize,
    /// Seed.
    pub seed: u64,
}

impl Default for Options {
    fn default() -> Options {
        Options { tries: 400, draws: 200, seed: 1 }
    }
}

/// How far the work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Progress {
    /// Looking for the optimum: iterations done.
    Optimum(usize),
    /// Drawing: draws done and wanted.
    Draws(usize, usize),
}

/// One unknown number of the house before and after the readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Known {
    /// Name in the documents of the thing.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// What the number is.
    pub kind: ParamKind,
    /// Before.
    pub prior: Estimate,
    /// After.
    pub posterior: Estimate,
    /// Share of the prior variance that the readings removed, 0 to 1.
    pub from_readings: f64,
}

/// One reading against the model.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// What was read.
    pub what: What,
    /// What the instrument showed, with its stated accuracy and noise (95 %).
    pub shown: Estimate,
    /// What the fitted model expects it to show.
    pub expected: Estimate,
    /// Reading minus what all the others expect, in standard uncertainties.
    pub z: f64,
    /// Below the instrument's range.
    pub below: bool,
    /// Where it was written.
    pub span: Span,
}

/// What a reading is about, by names that people read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum What {
    /// A pressure; an empty name is outdoors.
    Pressure {
        /// Where it is felt.
        feels: String,
        /// What it is compared with.
        compared_with: String,
    },
    /// Flow of the test fan.
    TestFan,
    /// Flow of a fan or register.
    Flow {
        /// Of what.
        of: String,
    },
    /// Flow through the air handler.
    Handler,
}

/// A combination of leaks of which the readings removed less than half the variance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Undetermined {
    /// Names people read, with their share in the direction (signs tell leaks that the readings
    /// cannot tell apart).
    pub parts: Vec<(String, f64)>,
    /// Share of the variance removed.
    pub from_readings: f64,
}

/// The result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// Every unknown.
    pub known: Vec<Known>,
    /// Every reading.
    pub readings: Vec<Compared>,
    /// Flow at 50 Pa through everything between the rooms and outdoors, at reference conditions.
    pub total_at50: Estimate,
    /// The same before the readings.
    pub total_at50_prior: Estimate,
    /// What the readings did not determine.
    pub undetermined: Vec<Undetermined>,
    /// Sum of squares of readings and priors at the optimum, without the wide priors of what the
    /// test fans did.
    pub chi_square: f64,
    /// What `chi_square` is expected to be: readings less test-fan settings.
    pub degrees_of_freedom: usize,
    /// Number of readings.
    pub readings_used: usize,
    /// Probability of so large a sum if the house is as drawn.
    pub fits_probability: f64,
    /// Effective number of draws.
    pub effective_draws: f64,
    /// Pareto shape of the weights.
    pub pareto_k: f64,
    /// Iterations of the optimiser.
    pub iterations: usize,
    /// Seed of the draws.
    pub seed: u64,
    /// Draws of the house's parameters.
    #[serde(skip)]
    pub draws: Vec<Vec<f64>>,
}

impl Fit {
    /// Whether the weights of the draws can be trusted.
    pub fn draws_hold(&self) -> bool {
        self.pareto_k < 0.7
    }

    /// Whether the readings fit the house as drawn.
    pub fn fits_as_drawn(&self) -> bool {
        self.fits_probability > 0.01
    }
}

/// Fits the house to the readings.
///
/// # Errors
/// [`FitError`].
pub fn fit(
    house: &House,
    seen: &Observations,
    options: Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Fit, FitError> {
    let mut problem = Problem::new(house, seen)?;
    let optimum = solve::optimum(&mut problem, &mut |i| progress(Progress::Optimum(i)))?;
    let draws =
        draws::draws(&mut problem, &optimum, options.tries, options.draws, options.seed, &mut |done| {
            progress(Progress::Draws(done, options.tries))
        })?;
    let readings = compare(&problem, &optimum);
    let known = (0..house.params.len()).map(|p| known(house, &draws.theta, p)).collect();
    let mut air = Air::new(house)?;
    let total_at50 = total(house, &mut air, &draws.theta);
    let prior_draws = prior_draws(house, options.draws, options.seed);
    let total_at50_prior = total(house, &mut air, &prior_draws);
    let degrees_of_freedom = problem.degrees_of_freedom();
    let chi_square = optimum.squares - problem.fan_squares(&optimum.x);
    Ok(Fit {
        undetermined: undetermined(house, &draws.theta),
        known,
        readings,
        total_at50,
        total_at50_prior,
        chi_square,
        degrees_of_freedom,
        readings_used: seen.list.len(),
        fits_probability: crate::measure::chi_square_above(chi_square, degrees_of_freedom as f64),
        effective_draws: draws.effective,
        pareto_k: draws.pareto_k,
        iterations: optimum.iterations,
        seed: options.seed,
        draws: draws.theta,
    })
}

/// Draws from the prior.
pub fn prior_draws(house: &House, count: usize, seed: u64) -> Vec<Vec<f64>> {
    let mut stream = crate::rng::Stream::new(seed, "prior");
    (0..count).map(|_| house.params.iter().map(|p| p.mean + p.sd * stream.normal()).collect()).collect()
}

fn known(house: &House, draws: &[Vec<f64>], p: usize) -> Known {
    let param = &house.params[p];
    let quantity = param.kind.quantity();
    let at = |z: f64| param.scale.value(param.mean + z * param.sd);
    // An own exponent is a deviation from the common one; what is shown is the exponent itself.
    let common = house.params.iter().position(|q| q.kind == ParamKind::CommonExponent);
    let own = param.kind == ParamKind::Exponent && param.mean.abs() < f64::EPSILON;
    let value = |theta: &[f64]| match common {
        Some(c) if own => param.scale.value(theta[c] + theta[p]),
        _ => param.scale.value(theta[p]),
    };
    let z = crate::measure::normal_quantile((1.0 + LEVEL) / 2.0);
    let prior = match common {
        Some(c) if own => {
            let (m, s) = (house.params[c].mean, house.params[c].sd.hypot(param.sd));
            let at = |z: f64| param.scale.value(m + z * s);
            Estimate::range(at(0.0), at(-z), at(z), LEVEL, quantity)
        }
        _ => Estimate::range(at(0.0), at(-z), at(z), LEVEL, quantity),
    };
    let mut values: Vec<f64> = draws.iter().map(|d| value(d)).collect();
    values.sort_by(f64::total_cmp);
    let removed = 1.0 - variance(draws.iter().map(|d| d[p])) / (param.sd * param.sd);
    Known {
        name: param.name.clone(),
        label: param.label.clone(),
        kind: param.kind,
        prior,
        posterior: Estimate::from_sorted_draws(&values, LEVEL, quantity),
        from_readings: removed.clamp(0.0, 1.0),
    }
}

fn variance(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let n = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / n;
    values.map(|v| (v - mean) * (v - mean)).sum::<f64>() / (n - 1.0)
}

fn compare(problem: &Problem<'_>, optimum: &solve::Optimum) -> Vec<Compared> {
    let house = problem.house;
    let zone = |z: Option<usize>| z.map_or_else(String::new, |z| house.zones[z].label.clone());
    // What a residual at the optimum is expected to spread: the diagonal of (I + A A')^-1.
    let free = optimum.spread.inverse().diagonal();
    problem
        .seen
        .list
        .iter()
        .zip(&optimum.rows)
        .zip(free.iter())
        .map(|((o, row), free)| {
            let is_pressure = matches!(o.seen, Seen::Pressure { .. });
            let back = |v: f64| if is_pressure { v } else { math::exp(v) };
            let around = |mid: f64, sd: f64, level: f64| {
                let half = sd * crate::measure::normal_quantile(0.5 + level / 2.0);
                let quantity = if is_pressure { Quantity::Pressure } else { Quantity::AirFlow };
                Estimate::range(back(mid), back(mid - half), back(mid + half), level, quantity)
            };
            let shared = o.instrument.map(|i| &problem.seen.instruments[i]);
            let gain_sd = shared.map_or(0.0, |s| s.gain_sd * if is_pressure { o.value } else { 1.0 });
            let offset_sd = shared.filter(|_| is_pressure).map_or(0.0, |s| s.offset_sd);
            let stated_sd = (o.noise_sd * o.noise_sd + gain_sd * gain_sd + offset_sd * offset_sd).sqrt();
            let fitted_sd = o.noise_sd * (1.0 - free).clamp(0.0, 1.0).sqrt();
            Compared {
                what: match o.seen {
                    Seen::Pressure { feels, against } => {
                        What::Pressure { feels: zone(feels.zone), compared_with: zone(against.zone) }
                    }
                    Seen::TestFan { .. } => What::TestFan,
                    Seen::Fan(f) => What::Flow { of: house.fans[f].text.label.clone() },
                    Seen::Register(r) => What::Flow {
                        of: house
                            .air_handler
                            .as_ref()
                            .map_or_else(String::new, |h| h.text.registers[r].label.clone()),
                    },
                    Seen::Handler => What::Handler,
                },
                shown: around(o.value, stated_sd, STATED_LEVEL),
                expected: around(row.expected, fitted_sd, LEVEL),
                z: -row.residual / free.sqrt(),
                below: o.below,
                span: o.span.clone(),
            }
        })
        .collect()
}

/// The zone a test fan would stand in: the largest indoor one.
pub fn fan_zone(house: &House) -> Option<usize> {
    let rooms = house.zones.iter().enumerate().filter(|(_, z)| z.kind.is_indoors());
    rooms.max_by(|a, b| a.1.volume_m3.total_cmp(&b.1.volume_m3)).map(|(i, _)| i)
}

/// Flow that holds the rooms at -50 Pa, everything at reference conditions, no wind, m3/s.
pub fn total_at50_m3_s(house: &House, air: &mut Air, theta: &[f64]) -> f64 {
    let Some(zone) = fan_zone(house) else { return f64::NAN };
    let even = vec![crate::air::REFERENCE_TEMP_K; house.zones.len()];
    air.set_temperatures(&even, crate::air::REFERENCE_TEMP_K, crate::air::STANDARD_PRESSURE_PA);
    air.boundary.wind_pa.fill(0.0);
    let fan = TestFan::Hold { zone, pa: -crate::house::air::STATED_AT_PA };
    let solved = air.set(house, theta, &start(house), fan).is_ok() && air.solve().is_ok();
    if !solved {
        return f64::NAN;
    }
    -air.solution.held_flow_kg_s[zone] / air.boundary.outdoor_density_kg_m3
}

fn total(house: &House, air: &mut Air, draws: &[Vec<f64>]) -> Estimate {
    let mut flows: Vec<f64> = draws.iter().map(|d| total_at50_m3_s(house, air, d)).collect();
    flows.retain(|f| f.is_finite());
    if flows.is_empty() {
        return Estimate::without(f64::NAN, Quantity::AirFlow, NoInterval::NotComputed);
    }
    flows.sort_by(f64::total_cmp);
    Estimate::from_sorted_draws(&flows, LEVEL, Quantity::AirFlow)
}

/// What the readings left open among the sizes of leaks, gaps and duct leaks, in units of the
/// prior's sd: a size of which less than half the variance was removed, or two sizes of which a sum
/// is known and the difference is not.
///
/// The eigenvectors of the whole covariance say the same less well: sizes that no reading touched
/// have equal eigenvalues, and their eigenvectors are arbitrary mixtures.
fn undetermined(house: &House, draws: &[Vec<f64>]) -> Vec<Undetermined> {
    let is_size = |k: ParamKind| matches!(k, ParamKind::LeakAt50 | ParamKind::Gap | ParamKind::DuctLeak);
    let sizes: Vec<usize> = (0..house.params.len()).filter(|&p| is_size(house.params[p].kind)).collect();
    let n = draws.len() as f64;
    let scaled = |d: &[f64], p: usize| (d[p] - house.params[p].mean) / house.params[p].sd;
    let mean: Vec<f64> = sizes.iter().map(|&p| draws.iter().map(|d| scaled(d, p)).sum::<f64>() / n).collect();
    let covariance = |i: usize, j: usize| {
        let product = |d: &Vec<f64>| (scaled(d, sizes[i]) - mean[i]) * (scaled(d, sizes[j]) - mean[j]);
        draws.iter().map(product).sum::<f64>() / (n - 1.0)
    };
    let variance: Vec<f64> = (0..sizes.len()).map(|i| covariance(i, i)).collect();
    let name = |i: usize| {
        let param = &house.params[sizes[i]];
        if param.label.is_empty() { param.name.clone() } else { param.label.clone() }
    };
    let mut paired = vec![false; sizes.len()];
    let mut out: Vec<Undetermined> = Vec::new();
    for i in 0..sizes.len() {
        for j in i + 1..sizes.len() {
            let shared = covariance(i, j);
            if shared / (variance[i] * variance[j]).sqrt() > -0.6 {
                continue;
            }
            // Larger eigenvalue of the two by two block.
            let half = 0.5 * (variance[i] + variance[j]);
            let value = half
                + (0.25 * (variance[i] - variance[j]) * (variance[i] - variance[j]) + shared * shared).sqrt();
            if value > 0.5 {
                (paired[i], paired[j]) = (true, true);
                out.push(Undetermined {
                    parts: vec![(name(i), 1.0), (name(j), -1.0)],
                    from_readings: (1.0 - value).clamp(0.0, 1.0),
                });
            }
        }
    }
    for i in (0..sizes.len()).filter(|i| variance[*i] > 0.5 && !paired[*i]) {
        out.push(Undetermined {
            parts: vec![(name(i), 1.0)],
            from_readings: (1.0 - variance[i]).clamp(0.0, 1.0),
        });
    }
    out.sort_by(|a, b| a.from_readings.total_cmp(&b.from_readings));
    out
}
