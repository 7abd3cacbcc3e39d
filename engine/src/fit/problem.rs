//! The inverse problem: unknowns, residuals, their derivatives.
//!
//! Unknowns are put in one vector: first what the house is not (what each test fan does, shared
//! instrument errors, wind pressures), then the house's own parameters. Every unknown has a normal
//! prior, so priors are residuals like the readings, and the sum of squares is minus twice the log
//! posterior.
//!
//! What a test fan does is told by the pressure it brings its zone to, and its flow follows. Told by
//! its flow, the pressure would follow, and a pressure read to 0.1 Pa of 50 would bend with every
//! leak: the fit would have to crawl along that bend.

use super::inflow;
use super::observe::{Observation, Observations, Seen, Station, place};
use super::season::Failed;
use crate::doc::visit::Direction;
use crate::house::air::{Air, TestFan, for_each_partial, node, register_flow_m3_s, register_partials};
use crate::house::{Hole, House, Law, Setup, WINDS};
use crate::math;
use crate::network::{NetworkError, Node, SolveError};
use crate::network::{Observation as Read, Sensitivity, TOLERANCE_FIT};
use std::sync::Arc;

/// Prior of the logarithm of the pressure in Pa that a test fan makes: anything between a few and
/// a few hundred Pa. An assumption, no source; wide beside any reading.
const FAN_LN_PA: (f64, f64) = (3.7, 1.0);
/// Share of the wind's variance that a whole visit has in common. An assumption, no source.
const SHARED_WIND: f64 = 0.5;
/// An instrument without a stated error still has a residual row; this is as good as none.
const LEAST_ERROR_SD: f64 = 1e-6;

/// Why the model cannot be evaluated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// The network of the house cannot be made.
    #[error("network: {0}")]
    Network(#[from] NetworkError),
    /// The network of a station has no solution.
    #[error("station {station}: {error}")]
    Solve {
        /// Index of the station.
        station: usize,
        /// Why.
        error: SolveError,
    },
    /// The information matrix is not positive definite.
    #[error("the information matrix is singular after {iterations} iterations")]
    Singular {
        /// Iterations done.
        iterations: usize,
    },
    /// The test fan would have to blow the other way to hold its pressure.
    #[error("station {station}: the test fan would blow the other way, {out_m3_s} m3/s")]
    Backwards {
        /// Index of the station.
        station: usize,
        /// Flow in the direction noted, m3/s.
        out_m3_s: f64,
    },
    /// The caller asked to stop.
    #[error("stopped")]
    Stopped,
}

/// The problem of one job.
#[derive(Clone, Debug)]
pub struct Problem<'h> {
    /// The house as drawn.
    pub house: &'h House,
    /// The readings.
    pub seen: &'h Observations,
    /// For each station, the index of its fan's pressure in the vector.
    fan: Vec<Option<usize>>,
    first_gain: usize,
    first_offset: usize,
    first_visit_wind: usize,
    first_wind: usize,
    /// Holes of known size by door: each is one unknown, however many readings were taken with it.
    pub holes: Vec<(usize, Hole)>,
    /// Index of the first of them.
    pub first_hole: usize,
    /// Index of the house's first parameter.
    pub first_house: usize,
    /// Prior mean and sd of every unknown.
    prior: Vec<(f64, f64)>,
    air: Air,
    /// Readings of each station, by index.
    here: Arc<[Vec<usize>]>,
    /// Zone pressures of each station's last solution: the start of its next.
    last_pa: Vec<Vec<f64>>,
    /// The network of heating seasons, where there are any: its states are no stations.
    season_air: Option<Air>,
}

/// A residual and, where asked for, its derivatives by every unknown.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// Residual in standard deviations.
    pub residual: f64,
    /// Expected value of the reading, in the observation's measure.
    pub expected: f64,
    /// Derivatives of the residual.
    pub slope: Vec<f64>,
}

impl<'h> Problem<'h> {
    /// Lays out the unknowns.
    ///
    /// # Errors
    /// [`FitError::Network`].
    pub fn new(house: &'h House, seen: &'h Observations) -> Result<Problem<'h>, FitError> {
        let mut prior = Vec::new();
        let mut fan = Vec::new();
        for station in &seen.stations {
            fan.push(station.fan_zone.map(|_| {
                prior.push(FAN_LN_PA);
                prior.len() - 1
            }));
        }
        let at_least = |sd: f64| if sd > LEAST_ERROR_SD { sd } else { LEAST_ERROR_SD };
        let first_gain = prior.len();
        prior.extend(seen.instruments.iter().map(|i| (0.0, at_least(i.gain_sd))));
        let first_offset = prior.len();
        prior.extend(seen.instruments.iter().map(|i| (0.0, at_least(i.offset_sd))));
        let first_visit_wind = prior.len();
        for sd in &seen.wind_sd_pa {
            prior.extend([(0.0, sd * SHARED_WIND.sqrt()); WINDS]);
        }
        let first_wind = prior.len();
        for station in &seen.stations {
            let sd = seen.wind_sd_pa[station.visit] * (1.0 - SHARED_WIND).sqrt();
            prior.extend([(0.0, sd); WINDS]);
        }
        let first_hole = prior.len();
        let mut holes: Vec<(usize, Hole)> = Vec::new();
        for hole in seen.stations.iter().flat_map(|s| holes_of(&s.setup)) {
            if !holes.contains(&hole) {
                prior.push((0.0, at_least(hole.1.ln_sd)));
                holes.push(hole);
            }
        }
        let first_house = prior.len();
        prior.extend(house.params.iter().map(|p| (p.mean, p.sd)));
        let mut here = vec![Vec::new(); seen.stations.len()];
        for (index, o) in seen.list.iter().enumerate() {
            here[o.station].push(index);
        }
        let here = here.into();
        Ok(Problem {
            house,
            seen,
            fan,
            first_gain,
            first_offset,
            first_visit_wind,
            first_wind,
            holes,
            first_hole,
            first_house,
            prior,
            air: Air::new(house)?,
            here,
            last_pa: vec![Vec::new(); seen.stations.len()],
            season_air: if seen.seasons.is_empty() { None } else { Some(Air::new(house)?) },
        })
    }

    /// Number of unknowns.
    pub fn len(&self) -> usize {
        self.prior.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.prior.is_empty()
    }

    /// Prior means, with each test fan started at the pressure that was read there.
    pub fn start(&self) -> Vec<f64> {
        let mut x: Vec<f64> = self.prior.iter().map(|p| p.0).collect();
        for (station, fan) in self.fan.iter().enumerate() {
            if let Some(fan) = *fan {
                x[fan] = self.fan_start(self.seen, station);
            }
        }
        x
    }

    /// Where a search for what the test fan of a station holds begins: at what is `seen` of it.
    pub(super) fn fan_start(&self, seen: &Observations, station: usize) -> f64 {
        let mut shown = seen.list.iter().filter(|o| o.station == station).filter_map(|o| {
            let shown = self.shows_fan(o)? * o.value;
            (shown > 1.0).then(|| math::ln(shown))
        });
        shown.next_back().unwrap_or_else(|| self.fan[station].map_or(0.0, |fan| self.prior[fan].0))
    }

    /// Where the observation is the pressure that a station's test fan makes against outdoors: the
    /// sign with which it grows with the fan.
    pub fn shows_fan(&self, o: &Observation) -> Option<f64> {
        let s = &self.seen.stations[o.station];
        let Seen::Pressure { feels, against } = o.seen else { return None };
        let zone = s.fan_zone?;
        match (feels.zone, against.zone) {
            (Some(z), None) if z == zone => Some(-out_sign(s)),
            (None, Some(z)) if z == zone => Some(out_sign(s)),
            _ => None,
        }
    }

    /// The unknown that is the logarithm of the pressure that a station's test fan makes, Pa.
    pub fn fan_of(&self, station: usize) -> Option<usize> {
        self.fan[station]
    }

    /// The unknown that is by how much a hole's area is off, as a logarithm.
    fn hole_unknown(&self, hole: (usize, Hole)) -> Option<usize> {
        self.holes.iter().position(|h| *h == hole).map(|at| self.first_hole + at)
    }

    /// A setup with its holes as large as `x` says.
    fn with_holes(&self, setup: &Setup, x: &[f64]) -> Option<Setup> {
        let mut out: Option<Setup> = None;
        for hole in holes_of(setup) {
            let off = self.hole_unknown(hole).map_or(0.0, |u| x[u]);
            out.get_or_insert_with(|| setup.clone()).hole[hole.0] = Some(hole.1.off_by(off));
        }
        out
    }

    /// The unknown that is an instrument's relative error.
    pub fn gain_unknown(&self, instrument: usize) -> usize {
        self.first_gain + instrument
    }

    /// Number of readings less number of test-fan pressures: what the sum of squares is expected to
    /// be if the house is as drawn.
    pub fn degrees_of_freedom(&self) -> usize {
        self.seen.list.len().saturating_sub(self.fan.iter().flatten().count())
    }

    /// The part of the sum of squares that the wide priors of the test fans' pressures make.
    pub fn fan_squares(&self, x: &[f64]) -> f64 {
        let square = |&f: &usize| {
            let z = (x[f] - self.prior[f].0) / self.prior[f].1;
            z * z
        };
        self.fan.iter().flatten().map(square).sum()
    }

    /// Prior mean and sd of an unknown.
    pub fn prior(&self, unknown: usize) -> (f64, f64) {
        self.prior[unknown]
    }

    /// The sum of squared residuals of the priors at `x`.
    pub fn prior_squares(&self, x: &[f64]) -> f64 {
        x.iter()
            .zip(&self.prior)
            .map(|(x, (mean, sd))| {
                let z = (x - mean) / sd;
                z * z
            })
            .sum()
    }

    /// Residuals of all readings at `x`; with derivatives where `slopes` is set.
    ///
    /// # Errors
    /// [`FitError`] where a station's network cannot be solved.
    pub fn rows(&mut self, x: &[f64], slopes: bool, rows: &mut Vec<Row>) -> Result<(), FitError> {
        rows.resize_with(self.seen.list.len(), Row::default);
        let mut before = None;
        for station in 0..self.seen.stations.len() {
            self.station_rows(station, before, x, slopes, rows)?;
            before = Some(station);
        }
        Ok(())
    }

    /// Residuals alone, with networks solved to another tolerance than the fit's.
    ///
    /// # Errors
    /// As [`Problem::rows`].
    pub(super) fn rows_within(
        &mut self,
        tolerance: f64,
        x: &[f64],
        rows: &mut Vec<Row>,
    ) -> Result<(), FitError> {
        self.air.workspace.set_tolerance(tolerance);
        let done = self.rows(x, false, rows);
        self.air.workspace.set_tolerance(TOLERANCE_FIT);
        done
    }

    fn station_rows(
        &mut self,
        station: usize,
        before: Option<usize>,
        x: &[f64],
        slopes: bool,
        rows: &mut [Row],
    ) -> Result<(), FitError> {
        let seen = self.seen;
        let s = &seen.stations[station];
        let theta = &x[self.first_house..];
        let fan = self.fan[station];
        self.air.set_temperatures(&s.zone_k, s.outdoor_k, s.pressure_pa);
        let test_fan = match (s.fan_zone, fan) {
            (Some(zone), Some(fan)) => TestFan::Hold { zone, pa: -out_sign(s) * math::exp(x[fan]) },
            _ => TestFan::Off,
        };
        let before = before.map(|b| &seen.stations[b].setup);
        let holed = self.with_holes(&s.setup, x);
        self.air.set_after(self.house, theta, holed.as_ref().unwrap_or(&s.setup), test_fan, before)?;
        for wind in 0..WINDS {
            self.air.boundary.wind_pa[wind] = x[self.first_visit_wind + s.visit * WINDS + wind]
                + x[self.first_wind + station * WINDS + wind];
        }
        let here = Arc::clone(&self.here);
        let here = here[station].iter().map(|&index| (index, &seen.list[index]));
        let needs_network = here.clone().any(|(_, o)| needs_network(o) || self.on_curve(o).is_some());
        if needs_network {
            self.air.solution.zone_pa.clone_from(&self.last_pa[station]);
            self.air.solve().map_err(|error| FitError::Solve { station, error })?;
            self.last_pa[station].clone_from(&self.air.solution.zone_pa);
        }
        for (index, observation) in here.clone() {
            let mut row = std::mem::take(&mut rows[index].slope);
            row.clear();
            row.resize(if slopes { self.prior.len() } else { 0 }, 0.0);
            let expected = match observation.seen {
                Seen::HeatLoss { season } => self.heat_loss(season, station, x, &mut row)?,
                _ => self.expected(observation, x)?,
            };
            rows[index].expected = expected;
            let (residual, outer) = whitened(observation, expected);
            rows[index].residual = residual;
            rows[index].slope = row;
            if slopes {
                let row = &mut rows[index].slope;
                self.expected_slopes(observation, x, row);
                for v in row.iter_mut() {
                    *v *= outer;
                }
            }
        }
        if slopes && needs_network {
            self.network_slopes(station, x, rows)?;
        }
        Ok(())
    }

    /// Logarithm of the heat loss of a season, W/K; its derivatives where `row` has room for them.
    fn heat_loss(
        &mut self,
        season: usize,
        station: usize,
        x: &[f64],
        row: &mut [f64],
    ) -> Result<f64, FitError> {
        let (house, first) = (self.house, self.first_house);
        let (Some(season), Some(air)) = (self.seen.seasons.get(season), &mut self.season_air) else {
            return Ok(0.0);
        };
        let wanted = !row.is_empty();
        let mut by_param = |p: usize, d: f64| row[first + p] += d;
        let each: Option<&mut dyn FnMut(usize, f64)> = if wanted { Some(&mut by_param) } else { None };
        let air_w_k = season.air_w_k(house, air, &x[first..], each).map_err(|failed| match failed {
            Failed::Network(error) => FitError::Network(error),
            Failed::Solve(error) => FitError::Solve { station, error },
        })?;
        let whole_w_k = season.ua_w_k + air_w_k;
        row.iter_mut().for_each(|d| *d /= whole_w_k);
        Ok(math::ln(whole_w_k))
    }

    fn gain(&self, o: &Observation, x: &[f64]) -> f64 {
        o.instrument.map_or(0.0, |i| x[self.first_gain + i])
    }

    fn offset(&self, o: &Observation, x: &[f64]) -> f64 {
        o.instrument.map_or(0.0, |i| x[self.first_offset + i])
    }

    /// Flow of a station's test fan in the direction noted, m3/s of the air that passes it.
    fn fan_flow_m3_s(&self, station: usize) -> Result<f64, FitError> {
        let s = &self.seen.stations[station];
        let Some(zone) = s.fan_zone else { return Ok(1.0) };
        let out_m3_s =
            -out_sign(s) * self.air.solution.held_flow_kg_s[zone] / self.fan_density_kg_m3(s, zone);
        if out_m3_s > 0.0 { Ok(out_m3_s) } else { Err(FitError::Backwards { station, out_m3_s }) }
    }

    /// The element of a fan on a curve whose flow is read.
    fn on_curve(&self, o: &Observation) -> Option<usize> {
        match o.seen {
            Seen::Fan(fan) => crate::house::fan_line(self.house, fan).map(|(element, _)| element),
            _ => None,
        }
    }

    /// Flow along an element as air of its first side, m3/s.
    fn element_flow_m3_s(&self, station: usize, element: usize) -> Result<f64, FitError> {
        let a = node(self.house.elements[element].a);
        let net = self.air.solution.flows[element].net_kg_s();
        let out_m3_s = self.air.boundary.volume_flow_m3_s(a, net);
        if out_m3_s > 0.0 { Ok(out_m3_s) } else { Err(FitError::Backwards { station, out_m3_s }) }
    }

    fn fan_density_kg_m3(&self, s: &Station, zone: usize) -> f64 {
        let boundary = &self.air.boundary;
        if out_sign(s) > 0.0 { boundary.zone_density_kg_m3[zone] } else { boundary.outdoor_density_kg_m3 }
    }

    /// Relative and fixed error of an observation's instrument at `x`.
    pub fn shared_errors(&self, o: &Observation, x: &[f64]) -> (f64, f64) {
        (self.gain(o, x), self.offset(o, x))
    }

    /// What the instrument should show.
    fn expected(&self, o: &Observation, x: &[f64]) -> Result<f64, FitError> {
        let theta = &x[self.first_house..];
        let g = self.gain(o, x);
        Ok(match o.seen {
            Seen::Pressure { feels, against } => {
                let dp = self.air.pressure_between_pa(feels.zone, against.zone, feels.z_m);
                (1.0 + g) * dp + self.offset(o, x)
            }
            Seen::TestFan { ln_shown_over_true } => {
                math::ln(self.fan_flow_m3_s(o.station)?) + ln_shown_over_true + math::ln(1.0 + g)
            }
            // A fan on a curve shows what its line lets through, any other what it is.
            Seen::Fan(fan) => match self.on_curve(o) {
                Some(element) => math::ln(self.element_flow_m3_s(o.station, element)?) + math::ln(1.0 + g),
                None => theta[self.house.fans[fan].flow] + math::ln(1.0 + g),
            },
            Seen::Register(r) => math::ln(register_flow_m3_s(self.house, theta, r)) + math::ln(1.0 + g),
            Seen::Handler => {
                let flow = self.house.air_handler.as_ref().map_or(0, |h| h.flow);
                theta[flow] + math::ln(1.0 + g)
            }
            Seen::DuctLeak { supply, back } => {
                math::ln(inflow::duct_leak_m3_s(self.house, theta, (supply, back))) + math::ln(1.0 + g)
            }
            Seen::Inflow { zones, of_volume } => {
                let station = o.station;
                let into = self.inflow(station, zones, theta);
                let through = into.m3_s(&self.air, zones[0]);
                if through <= 0.0 {
                    return Err(FitError::Backwards { station, out_m3_s: through });
                }
                let volume_m3 = if of_volume { into.volume_m3(self.house) } else { 1.0 };
                math::ln(through / volume_m3) + math::ln(1.0 + g)
            }
            // Worked apart: its states are no station's.
            Seen::HeatLoss { .. } => o.value,
        })
    }

    /// What the body of air around a zone gets at a station, in the last solution.
    fn inflow(&self, station: usize, zones: [usize; 2], theta: &[f64]) -> inflow::Inflow {
        inflow::inflow(self.house, &self.air, &self.seen.stations[station].setup, theta, zones)
    }

    /// Derivatives of the expected value that need no network.
    fn expected_slopes(&self, o: &Observation, x: &[f64], row: &mut [f64]) {
        let theta = &x[self.first_house..];
        let g = self.gain(o, x);
        let first = self.first_house;
        if let Some(i) = o.instrument {
            row[self.first_gain + i] = match o.seen {
                Seen::Pressure { feels, against } => {
                    self.air.pressure_between_pa(feels.zone, against.zone, feels.z_m)
                }
                _ => 1.0 / (1.0 + g),
            };
            if matches!(o.seen, Seen::Pressure { .. }) {
                row[self.first_offset + i] = 1.0;
            }
        }
        match o.seen {
            Seen::Pressure { .. } | Seen::TestFan { .. } | Seen::HeatLoss { .. } => {}
            Seen::Fan(_) if self.on_curve(o).is_some() => {}
            Seen::Fan(fan) => row[first + self.house.fans[fan].flow] = 1.0,
            Seen::Register(r) => {
                register_partials(self.house, theta, r, |p, d| row[first + p] += d);
            }
            Seen::Handler => {
                if let Some(h) = &self.house.air_handler {
                    row[first + h.flow] = 1.0;
                }
            }
            Seen::DuctLeak { supply, back } => {
                inflow::duct_leak_partials(self.house, theta, (supply, back), |p, d| row[first + p] += d);
            }
            Seen::Inflow { zones, .. } => {
                let into = self.inflow(o.station, zones, theta);
                into.duct_partials(self.house, theta, |p, d| row[first + p] += d);
            }
        }
    }

    /// Derivatives of what a station's network says by everything, by one solve a reading.
    fn network_slopes(&mut self, station: usize, x: &[f64], rows: &mut [Row]) -> Result<(), FitError> {
        let seen = self.seen;
        let s = &seen.stations[station];
        let theta = &x[self.first_house..];
        let held = s.fan_zone;
        let holes: Vec<(usize, usize)> =
            holes_of(&s.setup).filter_map(|h| Some((h.0, self.hole_unknown(h)?))).collect();
        let air = &mut self.air;
        let mut derivatives = air
            .network
            .derivatives(&air.boundary, &air.solution, &mut air.workspace)
            .map_err(|error| FitError::Solve { station, error })?;
        // Flow of each element by each parameter, worked out once for all readings of the station.
        let mut by_param = Vec::with_capacity(3 * self.house.elements.len());
        for (k, partial) in derivatives.partials().iter().take(self.house.elements.len()).enumerate() {
            for_each_partial(self.house, theta, &s.setup, k, partial, |p, d_flow| {
                by_param.push((k, self.first_house + p, d_flow));
            });
            if let Law::Door { door } = self.house.elements[k].law
                && let Some((_, unknown)) = holes.iter().find(|h| h.0 == door)
            {
                by_param.push((k, *unknown, partial.by_ln_c_kg_s));
            }
        }
        let mut sensitivity = Sensitivity::default();
        let body_of =
            |zones| inflow::inflow_of(self.house, (&air.solution, &air.boundary), &s.setup, theta, zones);
        for (index, o) in self.here[station].iter().map(|&index| (index, &seen.list[index])) {
            let outer = whitened(o, rows[index].expected).1;
            let scale = match (o.seen, held) {
                (Seen::Pressure { feels, against }, _) => {
                    let mut weights = Vec::with_capacity(2);
                    for (tap, weight) in [(feels, 1.0), (against, -1.0)] {
                        if let Node::Zone(zone) = node(place(tap)) {
                            weights.push((zone, weight));
                        }
                    }
                    derivatives.observe(Read::Pressures(&weights), &mut sensitivity);
                    outer * (1.0 + o.instrument.map_or(0.0, |i| x[self.first_gain + i]))
                }
                (Seen::TestFan { .. }, Some(zone)) => {
                    derivatives.observe(Read::HeldFlow(zone), &mut sensitivity);
                    // The logarithm of the flow is read.
                    outer / air.solution.held_flow_kg_s[zone]
                }
                (Seen::Fan(fan), _) => {
                    let Some((element, _)) = crate::house::fan_line(self.house, fan) else { continue };
                    derivatives.observe(Read::Flow(element), &mut sensitivity);
                    outer / air.solution.flows[element].net_kg_s()
                }
                (Seen::Inflow { zones, .. }, _) => {
                    let into = body_of(zones);
                    derivatives.observe(Read::Flows(&into.by_flow), &mut sensitivity);
                    outer / into.kg_s
                }
                _ => continue,
            };
            let row = &mut rows[index].slope;
            for &(k, unknown, d_flow) in &by_param {
                row[unknown] += scale * sensitivity.by_flow[k] * d_flow;
            }
            if let (Some(fan), Some(zone)) = (self.fan[station], held) {
                row[fan] += scale * sensitivity.by_held[zone] * -out_sign(s) * math::exp(x[fan]);
            }
            for wind in 0..WINDS.min(sensitivity.by_wind.len()) {
                let by = scale * sensitivity.by_wind[wind];
                row[self.first_visit_wind + s.visit * WINDS + wind] += by;
                row[self.first_wind + station * WINDS + wind] += by;
            }
        }
        Ok(())
    }
}

/// Holes of known size in a setup, by door.
pub fn holes_of(setup: &Setup) -> impl Iterator<Item = (usize, Hole)> {
    setup.hole.iter().enumerate().filter_map(|(door, hole)| hole.map(|h| (door, h)))
}

/// One where the station's test fan blows out of its zone, minus one where it blows in.
fn out_sign(s: &Station) -> f64 {
    match s.setup.test_fan {
        Some(Direction::Pressurise) => -1.0,
        _ => 1.0,
    }
}

fn needs_network(o: &Observation) -> bool {
    matches!(o.seen, Seen::Pressure { .. } | Seen::TestFan { .. } | Seen::Inflow { .. })
}

/// The residual in standard deviations and its derivative by the expected value.
///
/// A reading below the instrument's range says only that the true reading is less: its residual is
/// the one whose square is minus twice the log of that probability.
fn whitened(o: &Observation, expected: f64) -> (f64, f64) {
    if let Seen::HeatLoss { .. } = o.seen {
        // Conduction adds to the air's heat, so the doubt of it is normal in W/K, not in the logarithm.
        let over = math::exp(expected - o.value);
        return ((over - 1.0) / o.noise_sd, over / o.noise_sd);
    }
    if !o.below {
        return ((expected - o.value) / o.noise_sd, 1.0 / o.noise_sd);
    }
    let u = (o.value - expected) / o.noise_sd;
    let below = crate::measure::normal_below(u);
    if below > 1.0 - 1e-15 {
        return (0.0, 0.0);
    }
    if below < 1e-280 {
        return (-u, 1.0 / o.noise_sd);
    }
    let r = (-2.0 * math::ln(below)).sqrt();
    let density = math::exp(-0.5 * u * u) / (2.0 * std::f64::consts::PI).sqrt();
    (r, density / (below * r) / o.noise_sd)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doc::{File, Sink};

    const HOUSE: &str = include_str!("../../../api/assets/demo/house.toml");
    const VISIT: &str = "
format = 1
date = '2026-11-12'
[conditions]
indoor = '70 degF'
outdoor = '45 degF'
wind = '5 mph'
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % or 0.15 Pa'
[instrument.door_fan]
measures = 'air flow'
accuracy = '3 %'
shows = 'flow at calibration density'
[instrument.hood]
measures = 'air flow'
accuracy = '5 % + 2 cfm'
shows = 'flow at actual density'
[test.t]
standard = 'ASTM E779'
direction = 'depressurise'
pressure_with = 'gauge'
flow_with = 'door_fan'
baseline_before = ['Pa', -1.2, -0.8, -1.4]
stations = { columns = ['house Pa', 'fan cfm'], rows = [[-50, 2000], [-30, 1400], [-15, 900]] }
[[reading]]
feels = 'attic'
compared_with = 'outdoors'
value = '-4 Pa'
with = 'gauge'
set = { test_fan = 'pressurise', attic_hatch = 'open' }
[[reading]]
flow_of = 'test_fan'
value = '2200 cfm'
with = 'door_fan'
[[reading]]
feels = 'bedroom'
compared_with = 'main'
value = '3 Pa'
with = 'gauge'
set = { test_fan = 'off', air_handler = 'on', bedroom_door = 'shut', bath_fan = 'on', attic_hatch = 'shut' }
[[reading]]
flow_of = 'bedroom_supply'
value = '110 cfm'
with = 'hood'
[[reading]]
flow_of = 'bath_fan'
below = '30 cfm'
with = 'hood'
[[reading]]
flow_of = 'air_handler'
value = '900 cfm'
";

    #[test]
    fn slopes_agree_with_central_differences() {
        let sink = Sink::default();
        let doc = crate::doc::house::read(&File { name: "house.toml".into(), text: HOUSE.into() }, &sink);
        let house = crate::house::build(&doc, &sink);
        let visit =
            crate::doc::visit::read(&File { name: "visits/a/visit.toml".into(), text: VISIT.into() }, &sink);
        let seen = super::super::observe::collect(&house, &[visit], 270.0, &sink);
        assert!(!sink.borrow().has_errors(), "{:#?}", sink.borrow());
        assert_eq!(seen.list.len(), 13);
        let mut problem = Problem::new(&house, &seen).unwrap();
        let mut x = problem.start();
        let mut stream = crate::rng::Stream::new(3, "jitter");
        for (i, x) in x.iter_mut().enumerate() {
            *x += 0.3 * problem.prior(i).1.min(0.5) * stream.normal();
        }
        let mut rows = Vec::new();
        problem.rows(&x, true, &mut rows).unwrap();
        let (mut up, mut down) = (Vec::new(), Vec::new());
        let mut checked = 0;
        for i in 0..problem.len() {
            let step = 1e-5;
            let at = x[i];
            x[i] = at + step;
            problem.rows(&x, false, &mut up).unwrap();
            x[i] = at - step;
            problem.rows(&x, false, &mut down).unwrap();
            x[i] = at;
            for (r, row) in rows.iter().enumerate() {
                let slope = (up[r].residual - down[r].residual) / (2.0 * step);
                let scale = 1.0 + slope.abs();
                assert!(
                    (row.slope[i] - slope).abs() < 2e-5 * scale,
                    "reading {r} unknown {i}: {} {slope}",
                    row.slope[i]
                );
                checked += usize::from(slope.abs() > 1e-3);
            }
        }
        assert!(checked > 60, "{checked}");
    }
}
