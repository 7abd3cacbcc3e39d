//! The house as known: every leak, door, fan and duct with its prior and its posterior, given all
//! readings under their setups.
//!
//! Readings become stations and observations ([`observe`]); the unknowns and their derivatives are
//! [`problem`]; the optimum is found by [`solve`]; [`draws`] carry the doubt on to everything that
//! comes after. Why it is done this way: `docs/DECISIONS.md`.

pub mod again;
pub mod answers;
pub mod draws;
pub mod inflow;
mod jacobian;
mod known;
pub mod limits;
mod mixture;
pub mod observe;
pub mod problem;
pub mod right;
pub mod scene;
pub mod season;
pub mod simulate;
pub mod solve;
pub mod states;
pub mod suspect;
pub mod unseen;
pub mod weight;

use crate::diag::Span;
use crate::house::air::{Air, TestFan};
use crate::house::{House, ParamKind, start};
use crate::math;
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
pub use known::Known;
use observe::{Observations, Seen};
use problem::{FitError, Problem};
use serde::Serialize;
use std::ops::ControlFlow;

/// Probability inside the intervals of fit and plans.
pub const LEVEL: f64 = 0.9;

/// Probability inside the interval of a single reading, as instruments state their accuracy.
pub const STATED_LEVEL: f64 = 0.95;

/// A combination of door states with less weight than this gets no draw.
const LEAST_SHARE: f64 = 0.01;

/// A number this many sd of its prior off is strained.
const FAR_FROM_PRIOR: f64 = 3.29;
/// Readings named beside a strained number.
const MOST_PULLING: usize = 4;

/// How much work to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Weighted draws to begin with.
    pub tries: usize,
    /// Draws on, within what a practitioner waits for, while an end of an interval rests on too few.
    pub further: bool,
    /// Equally weighted draws handed on.
    pub draws: usize,
    /// Seed.
    pub seed: u64,
    /// Readings far from the others count less: their noise is a t with 4 degrees of freedom.
    pub robust: bool,
    /// Takes back readings that are clearly slips, and doors that clearly stood otherwise, before draws
    /// are made ([`right`]).
    pub set_right: bool,
    /// Looks for passages that nobody drew, for what explains the worst reading, and answers what
    /// people ask; without it the fit alone.
    pub whole: bool,
}

impl Default for Options {
    fn default() -> Options {
        Options {
            tries: 400,
            further: true,
            draws: 200,
            seed: 1,
            robust: false,
            set_right: true,
            whole: true,
        }
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
    /// Weight of the reading, one where the fit is not robust.
    pub weight: f64,
    /// What it decides.
    #[serde(flatten)]
    pub decides: weight::Weight,
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
    /// Air that ducts lose or draw in operation.
    DuctLeak {
        /// Supply side.
        supply: bool,
        /// Return side.
        back: bool,
    },
    /// Air that a room, and all that mixes with it, gets.
    Inflow {
        /// The room.
        into: String,
    },
    /// Heat that the house loses for each kelvin, by bills.
    HeatLoss,
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

/// A number that the readings pull out of the range that was written for it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strained {
    /// Name people read.
    pub label: String,
    /// What the number is.
    pub kind: ParamKind,
    /// As written.
    pub prior: Estimate,
    /// As found.
    pub posterior: Estimate,
    /// The readings that pull most, by index, the strongest first.
    pub readings: Vec<usize>,
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
    /// Share of each instrument's own error in the range of the total.
    pub gains: Vec<weight::Gain>,
    /// Doors whose state nobody noted.
    pub doors: Vec<states::DoorState>,
    /// What was taken back before draws were made; sum of squares and readings are as noted.
    pub set_right: right::SetRight,
    /// What should be taken again before one leaves, the most urgent first.
    pub again: Vec<again::Again>,
    /// The reading that disagrees most.
    pub suspect: Option<suspect::Suspect>,
    /// Passages that nobody drew.
    pub unseen: Option<unseen::Unseen>,
    /// Heat that the house loses, where heating bills are among the readings.
    pub heat_loss: Option<season::HeatLoss>,
    /// What people ask of the house.
    pub answers: Vec<answers::Answer>,
    /// Things whose range as written leaves no room for what the readings say.
    pub strained: Vec<Strained>,
    /// Readings that are not in the fit.
    pub left_out: Vec<observe::LeftOut>,
    /// Whether readings far from the others count less.
    pub robust: bool,
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
        self.readings_used == 0 || self.pareto_k < 0.7
    }

    /// Numbers whose limits rest on too few draws, the worst first.
    pub fn loose_limits(&self) -> Vec<&Known> {
        let mut loose: Vec<&Known> = self.known.iter().filter(|k| !k.limits.hold).collect();
        loose.sort_by(|a, b| b.limits.error_sd.total_cmp(&a.limits.error_sd));
        loose
    }

    /// Whether the readings fit the house as drawn, everything as noted.
    pub fn fits_as_drawn(&self) -> bool {
        self.readings_used == 0 || (self.fits_probability > 0.01 && self.set_right.is_empty())
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
    let (under, doors) = states::fit(house, seen, options.robust, &mut |i| progress(Progress::Optimum(i)))?;
    let Some(best) = under.first() else { return Err(FitError::Stopped) };
    let right::Righted { drawn: accounts, set_right, again, likeliest, passage } = match options.set_right {
        true => right::set_right(house, &best.seen, &best.optimum)?,
        false => right::Righted::default(),
    };
    // What draws are made from: the accounts of the readings under the most probable states of doors
    // that nobody noted, and the other states. States with next to no weight get no draw.
    let mut from: Vec<mixture::Posterior<'_>> = Vec::new();
    for right::Drawn { seen, optimum, share } in &accounts {
        let share = share * best.share;
        from.push(mixture::Posterior { seen, optimum, share, passage: passage.as_ref() });
    }
    let as_noted = if accounts.is_empty() { 0 } else { 1 };
    for states::Under { seen, optimum, share, .. } in under.iter().skip(as_noted) {
        from.push(mixture::Posterior { seen, optimum, share: *share, passage: None });
    }
    from.retain(|f| f.share >= LEAST_SHARE);
    let draws = mixture::drawn(house, &from, options, progress)?;
    let problem = Problem::new(house, &best.seen)?;
    let optimum = &best.optimum;
    let (weights, gains) = weight::weights(&problem, optimum);
    let readings = compare(&problem, optimum, seen, &best.weight, &weights);
    let mut known: Vec<Known> = (0..house.params.len()).map(|p| known::known(house, &draws, p)).collect();
    let mut air = Air::new(house)?;
    let total_at50 = total(house, &mut air, &draws.theta);
    let prior_draws = prior_draws(house, options.draws, options.seed);
    let total_at50_prior = total(house, &mut air, &prior_draws);
    let heat_loss = {
        let drawn_from = accounts.first().map_or(&best.seen, |a| &a.seen);
        season::heat_loss(house, drawn_from, (&prior_draws, &draws.theta), options.seed)
    };
    // Under the best account: what bends under a slip is no matter of the ranges.
    let with_passage = passage.as_ref().map_or(house, |p| &p.house);
    let strained = match accounts.first() {
        Some(a) => strained(house, &Problem::new(with_passage, &a.seen)?, &a.optimum, &known),
        None => strained(house, &problem, optimum, &known),
    };
    let degrees_of_freedom = problem.degrees_of_freedom();
    let chi_square = best.chi_square;
    let pressure_pa = seen.stations.last().map_or(crate::air::STANDARD_PRESSURE_PA, |s| s.pressure_pa);
    let (unseen, suspect, mut answers) = if options.whole {
        (
            // Without a solution at the optimum's own pressures there is nothing to score.
            unseen_under(&problem, optimum, likeliest.filter(|_| !set_right.is_empty()), options.seed),
            suspect::suspect(&problem, optimum),
            answers::answers(house, &prior_draws, &draws.theta, pressure_pa)?,
        )
    } else {
        (None, None, Vec::new())
    };
    if let (Some(heat), true) = (&heat_loss, options.whole) {
        answers.splice(0..0, answers::Answer::of_heat(heat));
    }
    if seen.list.is_empty() {
        // Draws differ by chance; what no reading said does not come from readings.
        known.iter_mut().for_each(|k| k.from_readings = 0.0);
        answers.iter_mut().for_each(|a| a.from_readings = 0.0);
    }
    Ok(Fit {
        undetermined: undetermined(house, &draws.theta),
        gains,
        doors,
        set_right,
        again,
        suspect,
        unseen,
        heat_loss,
        answers,
        strained,
        left_out: seen.left_out.clone(),
        robust: options.robust,
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

/// Passages that nobody drew, which the readings as noted ask for, or as the likeliest account has them.
fn unseen_under(
    noted: &Problem<'_>,
    optimum: &solve::Optimum,
    likeliest: Option<Observations>,
    seed: u64,
) -> Option<unseen::Unseen> {
    if let Some(seen) = likeliest {
        let mut problem = Problem::new(noted.house, &seen).ok()?;
        let go = &mut |_| ControlFlow::Continue(());
        if let Ok(optimum) = solve::optimum_from(&mut problem, optimum.x.clone(), go) {
            return unseen::look(&problem, &optimum, seed).ok();
        }
    }
    unseen::look(noted, optimum, seed).ok()
}

/// Numbers that lie further from the middle of their range than its own width would have once in a
/// thousand houses, with the readings that hold them there.
fn strained(
    house: &House,
    problem: &Problem<'_>,
    optimum: &solve::Optimum,
    known: &[Known],
) -> Vec<Strained> {
    let far = |p: &usize| optimum.z[problem.first_house + p].abs() > FAR_FROM_PRIOR;
    let pulled = (0..house.params.len()).filter(far).map(|p| {
        let column = optimum.slopes.column(problem.first_house + p);
        let mut readings: Vec<usize> = (0..column.len()).filter(|r| column[*r].abs() > 0.5).collect();
        readings.sort_by(|a, b| column[*b].abs().total_cmp(&column[*a].abs()));
        readings.truncate(MOST_PULLING);
        let k = &known[p];
        let label = if k.label.is_empty() { k.name.clone() } else { k.label.clone() };
        Strained { label, kind: k.kind, prior: k.prior, posterior: k.posterior, readings }
    });
    pulled.collect()
}

/// Draws from the prior.
pub fn prior_draws(house: &House, count: usize, seed: u64) -> Vec<Vec<f64>> {
    let mut stream = crate::rng::Stream::new(seed, "prior");
    (0..count).map(|_| house.params.iter().map(|p| p.mean + p.sd * stream.normal()).collect()).collect()
}

fn compare(
    problem: &Problem<'_>,
    optimum: &solve::Optimum,
    seen: &Observations,
    weight: &[f64],
    decides: &[weight::Weight],
) -> Vec<Compared> {
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
        .enumerate()
        .map(|(at, ((o, row), free))| {
            let is_pressure = matches!(o.seen, Seen::Pressure { .. });
            let back = |v: f64| if is_pressure { v } else { math::exp(v) };
            let around = |mid: f64, sd: f64, level: f64| {
                let half = sd * crate::measure::normal_quantile(0.5 + level / 2.0);
                let quantity = o.seen.quantity();
                Estimate::range(back(mid), back(mid - half), back(mid + half), level, quantity)
            };
            let shared = o.instrument.map(|i| &problem.seen.instruments[i]);
            let gain_sd = shared.map_or(0.0, |s| s.gain_sd * if is_pressure { o.value } else { 1.0 });
            let offset_sd = shared.filter(|_| is_pressure).map_or(0.0, |s| s.offset_sd);
            // As stated, whatever weight the fit gave it.
            let noise_sd = seen.list[at].noise_sd;
            let stated_sd = (noise_sd * noise_sd + gain_sd * gain_sd + offset_sd * offset_sd).sqrt();
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
                    Seen::HeatLoss { .. } => What::HeatLoss,
                    Seen::DuctLeak { supply, back } => What::DuctLeak { supply, back },
                    Seen::Inflow { zones: [a, b], .. } => What::Inflow {
                        into: if a == b {
                            house.zones[a].label.clone()
                        } else {
                            format!("{} + {}", house.zones[a].label, house.zones[b].label)
                        },
                    },
                },
                shown: around(o.value, stated_sd, STATED_LEVEL),
                expected: around(row.expected, fitted_sd, LEVEL),
                z: -row.residual / free.sqrt(),
                weight: weight[at],
                decides: decides[at],
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
