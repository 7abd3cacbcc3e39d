//! What each reading would show in every draw: one solution a setup and draw serves all its taps.
//!
//! What the instruments' own errors and the visit's wind are in a draw follows from the readings so
//! far: given the house of that draw they are normal, with the mean that its readings ask for and the
//! covariance of the fit's own linearised problem. A second reading with the same fan tells nothing of the fan's error, and here it does not.

use super::Reads;
use super::moment::{Instrument, Kit, Moment, Tool};
use super::trials::{Board, Column};
use crate::doc::visit::Direction;
use crate::fit::observe::{Observations, common_height_m};
use crate::fit::problem::{Problem, Row};
use crate::fit::solve;
use crate::house::air::{Air, TestFan, node, register_flow_m3_s};
use crate::house::{Hole, House, Setup, WINDS};
use crate::math;
use crate::rng::Stream;
use nalgebra::{Cholesky, DMatrix, DVector};
use std::ops::ControlFlow;

/// Wind pressure on a face where no visit says anything, sd, Pa: a light breeze of 2 m/s.
const LIGHT_WIND_PA: f64 = 1.0;
/// Share of the wind's variance that a whole visit has in common, as the fit assumes.
const SHARED_WIND: f64 = 0.5;
/// Newton steps to the errors given a house, and the step that is small enough, sd.
const MOST_STEPS: usize = 6;
const STEP_ENOUGH: f64 = 0.05;
/// Indoors and outdoors where no station says, K.
const INDOOR_K: f64 = 293.15;
const OUTDOOR_K: f64 = 283.15;

/// Errors of one draw.
#[derive(Clone, Debug)]
pub(super) struct Errors {
    gain: [f64; TOOLS.len()],
    offset_pa: f64,
    visit_wind_pa: [f64; WINDS],
    /// By how much each hole that readings were taken with is off, as a logarithm; in the fit's order.
    hole: Vec<f64>,
}

const TOOLS: [Instrument; 6] = [
    Instrument::Gauge,
    Instrument::TestFan,
    Instrument::Hood,
    Instrument::Plate,
    Instrument::DuctTester,
    Instrument::Pan,
];

fn index(instrument: Instrument) -> usize {
    TOOLS.iter().position(|t| *t == instrument).unwrap_or(0)
}

/// A tool, or the usual one in its place: what a missing instrument would tell is asked too.
fn tool(kit: &Kit, instrument: Instrument) -> Tool {
    let none = Tool { shared: None, gain_sd: 0.0, offset_sd: 0.0, noise_sd: 0.0, ln_shown_over_true: 0.0 };
    kit.get(instrument).or_else(|| Kit::usual().get(instrument)).unwrap_or(none)
}

/// What the fit's other unknowns (instrument errors, winds, test-fan pressures) are, given a house.
struct Given<'a> {
    problem: Problem<'a>,
    /// The others at the optimum, in units of the prior.
    optimum: DVector<f64>,
    /// Slopes of the whitened readings by the others.
    slopes: DMatrix<f64>,
    /// Factor of the others' precision.
    factor: Cholesky<f64, nalgebra::Dyn>,
}

impl<'a> Given<'a> {
    fn new(house: &'a House, seen: &'a Observations) -> Option<Given<'a>> {
        if seen.list.is_empty() {
            return None;
        }
        let mut problem = Problem::new(house, seen).ok()?;
        let best = solve::optimum(&mut problem, &mut |_| ControlFlow::Continue(())).ok()?;
        let first = problem.first_house;
        let slopes = best.slopes.columns(0, first).into_owned();
        let factor = Cholesky::new(DMatrix::identity(first, first) + slopes.tr_mul(&slopes))?;
        Some(Given { problem, optimum: best.z.rows(0, first).into_owned(), slopes, factor })
    }

    /// Their mean given the house `theta`: the least of the sum of squares over them alone, by Newton
    /// steps on the optimum's own factor. Draws lie along a curved sheet, on which a straight line from
    /// the optimum would put errors many times their size.
    fn mean(&mut self, theta: &[f64], rows: &mut Vec<Row>) -> DVector<f64> {
        let mut z = self.optimum.clone();
        for _ in 0..MOST_STEPS {
            let mut x: Vec<f64> = z.iter().enumerate().map(|(i, z)| self.raw(i, *z)).collect();
            x.extend_from_slice(theta);
            if self.problem.rows(&x, false, rows).is_err() {
                break;
            }
            let residual = DVector::from_iterator(rows.len(), rows.iter().map(|r| r.residual));
            let step = self.factor.solve(&(&z + self.slopes.tr_mul(&residual)));
            z -= &step;
            if step.amax() < STEP_ENOUGH {
                break;
            }
        }
        z
    }

    fn raw(&self, unknown: usize, z: f64) -> f64 {
        let (mean, sd) = self.problem.prior(unknown);
        mean + sd * z
    }
}

/// Errors and winds of every draw, with the holes that readings were taken with.
pub(super) fn errors(
    house: &House,
    draws: &[Vec<f64>],
    moment: &Moment,
) -> (Vec<Errors>, Vec<(usize, Hole)>) {
    let mut given = Given::new(house, &moment.seen);
    let (first_hole, holes) =
        given.as_ref().map_or((0, Vec::new()), |g| (g.problem.first_hole, g.problem.holes.clone()));
    let instruments = moment.seen.instruments.len();
    let visit = moment.seen.wind_sd_pa.len().checked_sub(1);
    let wind_sd = moment.seen.wind_sd_pa.last().copied().unwrap_or(LIGHT_WIND_PA);
    let mut stream = Stream::new(moment.seed, "next errors");
    let mut rows = Vec::new();
    let mut before: Option<(&Vec<f64>, DVector<f64>)> = None;
    let errors = draws
        .iter()
        .map(|theta| {
            let mut normal = |sd: f64| sd * stream.normal();
            let others = given.as_mut().map(|g| {
                // Resampling repeats draws, one after the other.
                let mean = match &before {
                    Some((same, mean)) if *same == theta => mean.clone(),
                    _ => g.mean(theta, &mut rows),
                };
                let mut noise = DVector::from_fn(mean.len(), |_, _| normal(1.0));
                // The factor is of the precision.
                g.factor.l_dirty().tr_solve_lower_triangular_mut(&mut noise);
                let z = &mean + noise;
                before = Some((theta, mean));
                (0..z.len()).map(|i| g.raw(i, z[i])).collect::<Vec<f64>>()
            });
            let first_gain = given.as_ref().map_or(0, |g| g.problem.gain_unknown(0));
            let others = others.map(|all| move |i: usize| all.get(i).copied().unwrap_or(0.0));
            let gain = TOOLS.map(|t| {
                let tool = tool(&moment.kit, t);
                match (&others, tool.shared) {
                    (Some(at), Some(i)) => at(first_gain + i),
                    _ => normal(tool.gain_sd),
                }
            });
            let gauge = tool(&moment.kit, Instrument::Gauge);
            let offset_pa = match (&others, gauge.shared) {
                (Some(at), Some(i)) => at(first_gain + instruments + i),
                _ => normal(gauge.offset_sd),
            };
            let mut visit_wind_pa = [0.0; WINDS];
            for (face, wind) in visit_wind_pa.iter_mut().enumerate() {
                *wind = match (&others, visit) {
                    (Some(at), Some(v)) => at(first_gain + 2 * instruments + v * WINDS + face),
                    _ => normal(wind_sd * SHARED_WIND.sqrt()),
                };
            }
            let hole =
                (0..holes.len()).map(|i| others.as_ref().map_or(0.0, |at| at(first_hole + i))).collect();
            Errors { gain, offset_pa, visit_wind_pa, hole }
        })
        .collect();
    (errors, holes)
}

/// The bench on which setups are solved.
pub(super) struct Bench<'a> {
    pub(super) house: &'a House,
    pub(super) moment: &'a Moment,
    pub(super) draws: &'a [Vec<f64>],
    pub(super) errors: Vec<Errors>,
    /// Holes that readings were taken with: a further reading tells nothing of their areas.
    holes: Vec<(usize, Hole)>,
    air: Air,
    fan_zone: Option<usize>,
    wind_sd_pa: f64,
}

impl<'a> Bench<'a> {
    pub(super) fn new(house: &'a House, draws: &'a [Vec<f64>], moment: &'a Moment) -> Option<Bench<'a>> {
        let mut air = Air::new(house).ok()?;
        let zone_k = |z: &crate::house::Zone| {
            if z.kind.is_indoors() { INDOOR_K } else { (INDOOR_K + OUTDOOR_K) / 2.0 }
        };
        match moment.seen.stations.last() {
            Some(s) => air.set_temperatures(&s.zone_k, s.outdoor_k, s.pressure_pa),
            None => {
                let zones: Vec<f64> = house.zones.iter().map(zone_k).collect();
                air.set_temperatures(&zones, OUTDOOR_K, moment.pressure_pa);
            }
        }
        let wind_sd_pa = moment.seen.wind_sd_pa.last().copied().unwrap_or(LIGHT_WIND_PA);
        let (errors, holes) = errors(house, draws, moment);
        let fan_zone = crate::fit::fan_zone(house);
        Some(Bench { house, moment, draws, errors, holes, air, fan_zone, wind_sd_pa })
    }

    /// By how much a hole is off in each draw, as a logarithm: the same in whatever is read with it.
    pub(super) fn off_by(&self, door: usize, hole: Hole) -> Vec<f64> {
        match self.holes.iter().position(|h| *h == (door, hole)) {
            Some(at) => self.errors.iter().map(|e| e.hole[at]).collect(),
            None => {
                let name = &self.house.doors[door].text.name.value;
                let mut stream = Stream::new(self.moment.seed, &format!("next hole {name} {}", hole.area_m2));
                self.draws.iter().map(|_| hole.ln_sd * stream.normal()).collect()
            }
        }
    }

    /// Noise of a reading, sd.
    pub(super) fn noise_sd(&self, reads: &Reads) -> f64 {
        tool(&self.moment.kit, instrument_of(reads)).noise_sd
    }

    /// What each of `reads` shows in every draw in a setup, without the reading's own noise; not a
    /// number where the draw has no solution. The wind of the moment has the name `wind`.
    pub(super) fn shown(
        &mut self,
        (setup, fan_pa): (&Setup, f64),
        reads: &[&Reads],
        wind: &str,
    ) -> Vec<Vec<f64>> {
        let mut stream = Stream::new(self.moment.seed, &format!("next wind {wind}"));
        let sd = self.wind_sd_pa * (1.0 - SHARED_WIND).sqrt();
        let holes: Vec<(usize, Hole, Vec<f64>)> = crate::fit::problem::holes_of(setup)
            .map(|(door, hole)| (door, hole, self.off_by(door, hole)))
            .collect();
        let mut holed = setup.clone();
        let mut out = vec![Vec::with_capacity(self.draws.len()); reads.len()];
        for (draw, (theta, errors)) in self.draws.iter().zip(&self.errors).enumerate() {
            for (face, at) in self.air.boundary.wind_pa.iter_mut().enumerate().take(WINDS) {
                *at = errors.visit_wind_pa[face] + sd * stream.normal();
            }
            let fan = match (setup.test_fan, self.fan_zone) {
                // The fan is set by the gauge's display, errors included.
                (Some(direction), Some(zone)) => {
                    let shown = if direction == Direction::Depressurise { -fan_pa } else { fan_pa };
                    let pa = (shown - errors.offset_pa) / (1.0 + errors.gain[index(Instrument::Gauge)]);
                    TestFan::Hold { zone, pa }
                }
                _ => TestFan::Off,
            };
            for (door, hole, off) in &holes {
                holed.hole[*door] = Some(hole.off_by(off[draw]));
            }
            let solved = self.air.set(self.house, theta, &holed, fan).is_ok() && self.air.solve().is_ok();
            for (column, reads) in out.iter_mut().zip(reads) {
                column.push(if solved { self.read(theta, errors, setup, reads) } else { f64::NAN });
            }
        }
        out
    }

    fn read(&self, theta: &[f64], errors: &Errors, setup: &Setup, reads: &Reads) -> f64 {
        let (house, air) = (self.house, &self.air);
        let gain = errors.gain[index(instrument_of(reads))];
        let with_gain = |ln_flow: f64| ln_flow + math::ln(1.0 + gain);
        let ln = |flow: f64| if flow > 0.0 { with_gain(math::ln(flow)) } else { f64::NAN };
        match *reads {
            Reads::Tap { feels, compared_with } => {
                let z_m = common_height_m(house, Some(feels), compared_with);
                let dp = air.pressure_between_pa(Some(feels), compared_with, z_m);
                (1.0 + gain) * dp + errors.offset_pa
            }
            Reads::FanFlow => {
                let Some(zone) = self.fan_zone else { return f64::NAN };
                let out_kg_s = -air.solution.held_flow_kg_s[zone];
                let flow = match setup.test_fan {
                    Some(Direction::Pressurise) => -out_kg_s / air.boundary.outdoor_density_kg_m3,
                    _ => out_kg_s / air.boundary.zone_density_kg_m3[zone],
                };
                ln(flow) + tool(&self.moment.kit, Instrument::TestFan).ln_shown_over_true
            }
            Reads::Exhaust { fan } => match crate::house::fan_line(house, fan) {
                Some((element, _)) => {
                    let a = node(house.elements[element].a);
                    ln(air.boundary.volume_flow_m3_s(a, air.solution.flows[element].net_kg_s()))
                }
                None => with_gain(theta[house.fans[fan].flow]),
            },
            Reads::Register { register } => ln(register_flow_m3_s(house, theta, register)),
            Reads::Ducts { supply } | Reads::Pans { supply } => {
                ln(crate::fit::inflow::duct_leak_m3_s(house, theta, (supply, !supply)))
            }
            Reads::Handler => with_gain(house.air_handler.as_ref().map_or(f64::NAN, |h| theta[h.flow])),
        }
    }

    /// The board's columns over the draws.
    pub(super) fn table(&mut self, board: &Board) -> Vec<Vec<f64>> {
        let mut values = vec![Vec::new(); board.columns.len()];
        for (at, setup) in board.setups.iter().enumerate() {
            let here: Vec<(usize, &Column)> =
                board.columns.iter().enumerate().filter(|(_, c)| c.setup == at).collect();
            let reads: Vec<&Reads> = here.iter().map(|(_, c)| &c.reads).collect();
            let state = (setup, board.fan_pa[at]);
            let shown = self.shown(state, &reads, &wind_name(self.house, state));
            for ((column, _), shown) in here.iter().zip(shown) {
                values[*column] = shown;
            }
        }
        values
    }
}

/// What takes a reading.
pub(super) fn instrument_of(reads: &Reads) -> Instrument {
    match reads {
        Reads::Tap { .. } => Instrument::Gauge,
        Reads::FanFlow => Instrument::TestFan,
        Reads::Exhaust { .. } | Reads::Register { .. } => Instrument::Hood,
        Reads::Handler => Instrument::Plate,
        Reads::Ducts { .. } => Instrument::DuctTester,
        Reads::Pans { .. } => Instrument::Pan,
    }
}

/// A name of a setup that does not hang on the order of doors and fans in the document.
pub(super) fn wind_name(house: &House, (setup, fan_pa): (&Setup, f64)) -> String {
    let doors = house.doors.iter().zip(&setup.open).filter(|(_, open)| **open);
    let fans = house.fans.iter().zip(&setup.running).filter(|(_, on)| **on);
    let masked = house.leaks.iter().zip(&setup.sealed).filter(|(_, sealed)| **sealed);
    let mut on: Vec<&str> = doors
        .map(|(d, _)| d.text.name.value.as_str())
        .chain(masked.map(|(l, _)| l.name.as_str()))
        .chain(fans.map(|(f, _)| f.text.name.value.as_str()))
        .collect();
    on.sort_unstable();
    let holes: String = house
        .doors
        .iter()
        .zip(&setup.hole)
        .filter_map(|(d, hole)| hole.map(|h| format!(" {} {:.4}", d.text.name.value, h.area_m2)))
        .collect();
    let fan_pa = if setup.test_fan.is_some() { fan_pa } else { 0.0 };
    format!("{}{holes} {} {fan_pa}", on.join(" "), setup.air_handler)
}
