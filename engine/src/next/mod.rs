//! Which reading to take next: the one that tells most about the question per minute of work.
//!
//! Candidates are setups that the house allows (the test fan at 50 Pa with one door or hatch
//! changed, the air handler or an exhaust on) with one tap or flow each. For every draw of the fit
//! the network says what would be read; how closely that goes with the question's own value over
//! the draws, against the noise that the instrument adds, is the share of the question's variance
//! the reading would remove. Cost is the changeover from the present setup plus the reading.
//! What safety forbids is left out: nothing is drawn down while combustion results are missing.

use crate::doc::visit::Direction;
use crate::fit::scene::{Scene, picture};
use crate::house::air::{Air, STATED_AT_PA, TestFan};
use crate::house::{House, Owner, Place, Setup, start};
use crate::math;
use crate::measure::Estimate;
use crate::rng::Stream;
use crate::units::Quantity;
use serde::Serialize;

/// What is to be known better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Question {
    /// Flow at 50 Pa through everything.
    Total,
    /// Air from a buffer zone into the rooms on a cold evening.
    AirFrom {
        /// Index of the buffer zone.
        zone: usize,
    },
    /// Air through a room's openings with its door as at night.
    RoomAir {
        /// Index of the room.
        zone: usize,
    },
}

/// What would be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "reads", rename_all = "kebab-case")]
pub enum Reads {
    /// Pressure of a zone against the rooms (or outdoors) while the test fan holds -50 Pa, and the
    /// fan's flow.
    Tap {
        /// Index of the zone felt.
        feels: usize,
        /// Index of the zone it is compared with; nothing for outdoors.
        compared_with: Option<usize>,
    },
    /// Only the fan's flow.
    FanFlow,
    /// The flow of an exhaust fan, by hood.
    Exhaust {
        /// Index in [`House::fans`].
        fan: usize,
    },
    /// The flow of a register or return grille, by hood.
    Register {
        /// Index in the air handler's registers.
        register: usize,
    },
    /// The flow through the air handler.
    Handler,
}

/// One reading worth taking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// What is read.
    #[serde(flatten)]
    pub reads: Reads,
    /// The test fan runs.
    pub test_fan: bool,
    /// The air handler runs.
    pub air_handler: bool,
    /// Door or hatch to be turned from its usual state, by index.
    pub toggled: Option<usize>,
    /// Whether that door then stands open.
    pub toggled_open: bool,
    /// Work, minutes.
    pub minutes: f64,
    /// Share of the question's variance it would remove, 0 to 1.
    pub removes: f64,
    /// What would be read (the tap's pressure or the flow), before it is read.
    pub expected: Estimate,
    /// The question's range after it, as a share of the present range.
    pub narrower: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Next {
    /// The question.
    pub question: Question,
    /// What is known of it now.
    pub now: Estimate,
    /// Readings, best for each minute first.
    pub list: Vec<Candidate>,
    /// Readings left out because safety forbids them now.
    pub forbidden: usize,
}

/// Minutes of work; common practice, no source, to be replaced by the user's own.
mod minutes {
    /// One reading of a gauge that is in place.
    pub(super) const READING: f64 = 2.0;
    /// A tube to another zone.
    pub(super) const TUBE: f64 = 3.0;
    /// Setting up the test fan.
    pub(super) const FAN_IN: f64 = 12.0;
    /// Opening or shutting a door.
    pub(super) const DOOR: f64 = 1.0;
    /// A ladder to a hatch and back.
    pub(super) const HATCH: f64 = 4.0;
    /// A hood to a fan.
    pub(super) const HOOD: f64 = 5.0;
    /// A flow plate in the filter slot.
    pub(super) const PLATE: f64 = 10.0;
}

/// Noise of readings: pressure sd, Pa; sd of the logarithm of a flow. Usual instruments;
/// common practice, no source.
const PRESSURE_SD: f64 = 0.3;
/// What one fan flow differs from another by: the fan's own error is common to all of them and mostly
/// known from the first.
const FLOW_SD: f64 = 0.01;
const HOOD_SD: f64 = 0.05;
/// Noise is put on each draw's reading this many times.
const NOISY_COPIES: usize = 4;

/// What the instruments and the moment allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// State of the house now.
    pub setup: Setup,
    /// Rooms may be drawn down with a fan of any kind (no embers, no open burner unknown).
    pub may_depressurise: bool,
    /// The job has a test fan.
    pub has_test_fan: bool,
    /// Barometric pressure, Pa.
    pub pressure_pa: f64,
    /// Flows that were read already: the same instrument again would tell nothing new, because its
    /// own error stays the same.
    pub already_read: Vec<Reads>,
}

struct Trial {
    candidate: Candidate,
    setup: Setup,
}

/// Ranks further readings for a question.
pub fn next(house: &House, draws: &[Vec<f64>], question: Question, moment: &Moment) -> Next {
    let target = question_values(house, draws, question, moment.pressure_pa);
    let mut sorted = target.clone();
    sorted.sort_by(f64::total_cmp);
    let now = Estimate::from_sorted_draws(&sorted, crate::fit::LEVEL, Quantity::AirFlow);
    let mut list = Vec::new();
    let mut forbidden = 0;
    if let Ok(mut air) = Air::new(house) {
        for trial in trials(house, moment) {
            if !moment.may_depressurise && draws_down(house, &trial.setup) {
                forbidden += 1;
                continue;
            }
            if let Some(judged) = judge(house, &mut air, draws, &target, trial) {
                list.push(judged);
            }
        }
    }
    let rate = |c: &Candidate| c.removes / c.minutes;
    list.sort_by(|a, b| rate(b).total_cmp(&rate(a)));
    Next { question, now, list, forbidden }
}

/// Whether a setup may draw rooms down: a test fan, an exhaust, or an air handler with a door shut
/// between its supply and its return.
fn draws_down(house: &House, setup: &Setup) -> bool {
    let indoors = |p: &Place| matches!(p, Place::Zone(z) if house.zones[*z].kind.is_indoors());
    let exhaust = house.fans.iter().zip(&setup.running).any(|(f, on)| *on && indoors(&f.between[0]));
    let usual = start(house);
    let shut = usual.open.iter().zip(&setup.open).any(|(usual, now)| *usual && !now);
    setup.test_fan.is_some() || exhaust || (setup.air_handler && shut)
}

/// The question's value in every draw, m3/s.
fn question_values(house: &House, draws: &[Vec<f64>], question: Question, pressure_pa: f64) -> Vec<f64> {
    match question {
        Question::Total => {
            let Ok(mut air) = Air::new(house) else { return Vec::new() };
            draws.iter().map(|d| crate::fit::total_at50_m3_s(house, &mut air, d)).collect()
        }
        Question::AirFrom { zone } | Question::RoomAir { zone } => {
            let scene = Scene::cold_evening(house, pressure_pa);
            draws
                .iter()
                .map(|d| {
                    let Ok(p) = picture(house, &scene, std::slice::from_ref(d)) else { return f64::NAN };
                    let wanted = |s: &&crate::fit::scene::Stream| match question {
                        Question::AirFrom { .. } => {
                            s.from == Some(zone)
                                && s.to.is_some_and(|t| house.zones[t].kind.is_indoors())
                                // What a supply register brings is house air that passes the duct.
                                && !matches!(s.owner, Owner::Register(r) if r != usize::MAX)
                        }
                        _ => s.to == Some(zone),
                    };
                    p.streams.iter().filter(wanted).map(|s| s.flow.si).sum()
                })
                .collect()
        }
    }
}

fn trials(house: &House, moment: &Moment) -> Vec<Trial> {
    let base = start(house);
    let rooms = crate::fit::fan_zone(house);
    let mut out = Vec::new();
    let mut push = |reads: Reads, setup: Setup, toggled: Option<usize>, minutes: f64| {
        let open = toggled.is_some_and(|d| setup.open[d]);
        out.push(Trial {
            candidate: Candidate {
                reads,
                test_fan: setup.test_fan.is_some(),
                air_handler: setup.air_handler,
                toggled,
                toggled_open: open,
                minutes,
                removes: 0.0,
                expected: Estimate::without(0.0, Quantity::Pressure, crate::measure::NoInterval::NotComputed),
                narrower: 1.0,
            },
            setup,
        });
    };
    if moment.has_test_fan {
        let fan = |toggled: Option<usize>| {
            let mut setup = base.clone();
            setup.test_fan = Some(Direction::Depressurise);
            let mut cost = if moment.setup.test_fan.is_some() { 0.0 } else { minutes::FAN_IN };
            if let Some(d) = toggled {
                setup.open[d] = !setup.open[d];
                cost += if house.doors[d].horizontal || house.doors[d].bottom_m < 0.5 {
                    minutes::HATCH
                } else {
                    minutes::DOOR
                };
            }
            (setup, cost)
        };
        let changes = std::iter::once(None).chain((0..house.doors.len()).map(Some));
        for toggled in changes {
            let (setup, cost) = fan(toggled);
            push(Reads::FanFlow, setup.clone(), toggled, cost + minutes::READING);
            for zone in (0..house.zones.len()).filter(|z| Some(*z) != rooms) {
                let indoor = house.zones[zone].kind.is_indoors();
                let compared_with = if indoor { rooms } else { None };
                let reads = Reads::Tap { feels: zone, compared_with };
                push(reads, setup.clone(), toggled, cost + minutes::TUBE + minutes::READING);
            }
        }
    }
    if house.air_handler.is_some() {
        let mut setup = base.clone();
        setup.air_handler = true;
        push(Reads::Handler, setup.clone(), None, minutes::PLATE + minutes::READING);
        for register in 0..house.air_handler.as_ref().map_or(0, |h| h.registers.len()) {
            push(Reads::Register { register }, setup.clone(), None, minutes::HOOD + minutes::READING);
        }
        // What the handler's leaks do to the pressures of the house.
        for zone in 0..house.zones.len() {
            let reads = Reads::Tap { feels: zone, compared_with: None };
            push(reads, setup.clone(), None, minutes::TUBE + minutes::READING);
        }
        for (d, door) in house.doors.iter().enumerate().filter(|(_, d)| !d.horizontal) {
            let ends: Vec<usize> = door
                .between
                .iter()
                .filter_map(|p| match p {
                    Place::Zone(z) => Some(*z),
                    Place::Outdoors(_) => None,
                })
                .collect();
            let (Some(&a), Some(&b)) = (ends.first(), ends.get(1)) else { continue };
            let mut shut = setup.clone();
            shut.open[d] = false;
            let reads = Reads::Tap { feels: a, compared_with: Some(b) };
            push(reads, shut, Some(d), minutes::DOOR + minutes::TUBE + minutes::READING);
        }
    }
    for fan in 0..house.fans.len() {
        let mut setup = base.clone();
        setup.running[fan] = true;
        push(Reads::Exhaust { fan }, setup, None, minutes::HOOD + minutes::READING);
    }
    out
}

/// How much of the question's variance a reading would remove.
fn judge(
    house: &House,
    air: &mut Air,
    draws: &[Vec<f64>],
    target: &[f64],
    trial: Trial,
) -> Option<Candidate> {
    let Trial { mut candidate, setup } = trial;
    let even = vec![crate::air::REFERENCE_TEMP_K; house.zones.len()];
    air.set_temperatures(&even, crate::air::REFERENCE_TEMP_K, crate::air::STANDARD_PRESSURE_PA);
    air.boundary.wind_pa.fill(0.0);
    let fan_zone = crate::fit::fan_zone(house)?;
    let fan =
        if candidate.test_fan { TestFan::Hold { zone: fan_zone, pa: -STATED_AT_PA } } else { TestFan::Off };
    // Up to two numbers a reading: the tap (or flow), and the test fan's flow beside it.
    let mut read: Vec<Vec<f64>> = Vec::new();
    let mut noise: Vec<f64> = Vec::new();
    let mut kept = Vec::new();
    for (theta, value) in draws.iter().zip(target) {
        if !value.is_finite() || air.set(house, theta, &setup, fan).is_err() || air.solve().is_err() {
            continue;
        }
        let mut row = Vec::with_capacity(2);
        match candidate.reads {
            Reads::Tap { feels, compared_with } => {
                let z_m = crate::fit::observe::common_height_m(house, Some(feels), compared_with);
                row.push(air.pressure_between_pa(Some(feels), compared_with, z_m));
            }
            Reads::FanFlow => {}
            Reads::Exhaust { fan } => row.push(match crate::house::fan_line(house, fan) {
                Some((element, _)) => math::ln(air.solution.flows[element].net_kg_s().abs().max(1e-9)),
                None => theta[house.fans[fan].flow],
            }),
            Reads::Register { register } => {
                row.push(math::ln(crate::house::air::register_flow_m3_s(house, theta, register)));
            }
            Reads::Handler => row.push(theta[house.air_handler.as_ref()?.flow]),
        }
        if candidate.test_fan {
            let out = -air.solution.held_flow_kg_s[fan_zone] / air.boundary.outdoor_density_kg_m3;
            if out <= 0.0 {
                continue;
            }
            row.push(math::ln(out));
        }
        read.push(row);
        kept.push(*value);
    }
    match candidate.reads {
        Reads::Tap { .. } => noise.push(PRESSURE_SD * PRESSURE_SD),
        Reads::FanFlow => {}
        Reads::Exhaust { .. } | Reads::Register { .. } | Reads::Handler => noise.push(HOOD_SD * HOOD_SD),
    }
    if candidate.test_fan {
        noise.push(FLOW_SD * FLOW_SD);
    }
    let (removes, expected) = explained(&read, &noise, &kept)?;
    let is_flow = !matches!(candidate.reads, Reads::Tap { .. });
    candidate.expected = if is_flow {
        let mut flows: Vec<f64> = expected.iter().map(|v| math::exp(*v)).collect();
        flows.sort_by(f64::total_cmp);
        Estimate::from_sorted_draws(&flows, crate::fit::LEVEL, Quantity::AirFlow)
    } else {
        Estimate::from_sorted_draws(&expected, crate::fit::LEVEL, Quantity::Pressure)
    };
    candidate.removes = removes;
    candidate.narrower = (1.0 - removes).sqrt();
    Some(candidate)
}

/// Share of the variance of `target` that the noisy readings would remove, and the first reading's
/// values, sorted.
///
/// By the law of total variance that share is the variance of the target's mean given the readings.
/// The mean is taken as a cubic of each reading and their product, fitted over the draws with noise
/// put on each; terms that noise alone would explain are taken off.
fn explained(read: &[Vec<f64>], noise: &[f64], target: &[f64]) -> Option<(f64, Vec<f64>)> {
    let n = read.len();
    if n < 20 {
        return None;
    }
    let target_mean = target.iter().sum::<f64>() / n as f64;
    let variance = target.iter().map(|t| (t - target_mean) * (t - target_mean)).sum::<f64>() / n as f64;
    if variance <= 0.0 {
        return None;
    }
    // In units of what the noisy reading spreads.
    let scale: Vec<(f64, f64)> = (0..noise.len())
        .map(|at| {
            let mean = read.iter().map(|r| r[at]).sum::<f64>() / n as f64;
            let spread = read.iter().map(|r| (r[at] - mean) * (r[at] - mean)).sum::<f64>() / n as f64;
            (mean, (spread + noise[at]).sqrt())
        })
        .collect();
    let mut stream = Stream::new(1, "next");
    let mut features: Vec<f64> = Vec::new();
    let width = if noise.len() == 1 { 3 } else { 7 };
    let mut gram = nalgebra::DMatrix::<f64>::zeros(width, width);
    let mut cross = nalgebra::DVector::<f64>::zeros(width);
    let mut sums = nalgebra::DVector::<f64>::zeros(width);
    for (r, t) in read.iter().zip(target) {
        for _ in 0..NOISY_COPIES {
            features.clear();
            for (at, (mean, sd)) in scale.iter().enumerate() {
                let y = (r[at] + noise[at].sqrt() * stream.normal() - mean) / sd;
                features.extend([y, y * y, y * y * y]);
            }
            if let [a, _, _, b, _, _] = features[..] {
                features.push(a * b);
            }
            for i in 0..width {
                sums[i] += features[i];
                cross[i] += features[i] * (t - target_mean);
                for j in 0..width {
                    gram[(i, j)] += features[i] * features[j];
                }
            }
        }
    }
    let copies = (n * NOISY_COPIES) as f64;
    gram -= &sums * sums.transpose() / copies;
    // A trace of ridge: two readings that always agree are one.
    for i in 0..width {
        gram[(i, i)] += 1e-9 * copies;
    }
    let weights = nalgebra::Cholesky::new(gram)?.solve(&cross);
    let removed = weights.dot(&cross) / copies / variance;
    // A few draws explain a little of anything by chance; take that off.
    let chance = width as f64 / n as f64;
    let removed = ((removed - chance) / (1.0 - chance)).clamp(0.0, 1.0);
    let mut first: Vec<f64> = read.iter().map(|r| r[0]).collect();
    first.sort_by(f64::total_cmp);
    Some((removed, first))
}
