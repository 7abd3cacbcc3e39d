//! What the heating bills of a season see of a house: the heat that it loses for each kelvin.
//!
//! The line of bills over outdoor temperature has the slope of conduction and of the air that comes
//! in, `d/dT (UA (T_in - T) + c sum m_k (T_in - T_k))`. The air is what the network says at the mean
//! outdoor temperature of the heating, five kelvins to both sides of it (the difference quotient), in
//! the season's mean wind from each of four sides. Zones around the rooms stand between indoors and
//! outdoors where their own balance of conduction and air puts them ([`Season::reach`]); the ground
//! does not follow the weather. The sum of the conductances is not known: `house.toml` gives it, and
//! [`Season::ua_sd_w_k`] says how far it may be off. It enters no network, so what the readings say of it
//! follows in closed form once the air is known (`heat_loss`).
//! Not covered: sun and inner gains that go with the season (a stated discrepancy,
//! [`super::observe::field`]), storage, ducts' losses.

use super::LEVEL;
use super::observe::Observations;
use crate::air;
use crate::house::air::{Air, TestFan, for_each_partial};
use crate::house::{House, Place, Setup, WINDS, start};
use crate::math;
use crate::measure::Estimate;
use crate::network::{NetworkError, Observation as Read, Sensitivity, SolveError};
use crate::rng::Stream;
use crate::units::Quantity;
use serde::Serialize;

/// Heat capacity of air, J/(kg K).
const AIR_J_KG_K: f64 = 1006.0;
/// Half of the difference quotient's step, K.
const STEP_K: f64 = 5.0;
/// Pressure coefficients of a square house's walls by the angle from the wind, in steps of a right
/// angle (Swami and Chandra 1988, low-rise, ratio 1), and of its roof (common practice, no source).
const WALL_CP: [f64; 4] = [0.60, -0.44, -0.36, -0.44];
const ROOF_CP: f64 = -0.3;
/// Rounds in which the temperatures of zones around the rooms and the flows settle.
const ROUNDS: usize = 8;
/// A fan that runs longer than this in a day counts as running, s.
const MOST_OF_A_DAY_S: f64 = 43_200.0;

/// Mean conditions of a heating season.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Climate {
    /// Rooms, K.
    pub indoor_k: f64,
    /// Outdoors, each day by its degrees below the balance temperature, K.
    pub outdoor_k: f64,
    /// Wind at the eaves, m/s.
    pub wind_m_s: f64,
    /// Barometric pressure, Pa.
    pub pressure_pa: f64,
}

/// One state of the season, with its share in the slope.
#[derive(Clone, Debug, PartialEq)]
struct State {
    zone_k: Vec<f64>,
    outdoor_k: f64,
    wind_pa: [f64; WINDS],
    /// Heat for each kelvin by the flow in, W s/(kg K).
    weight_j_kg_k: f64,
}

/// A heating season of one house.
#[derive(Clone, Debug, PartialEq)]
pub struct Season {
    setup: Setup,
    states: Vec<State>,
    pressure_pa: f64,
    /// How far each zone follows outdoors: 0 as the rooms, 1 as outdoors.
    pub reach: Vec<f64>,
    /// Conductance between the rooms and outdoors, through zones around them too, as `house.toml`
    /// gives it, W/K.
    pub ua_w_k: f64,
    /// How far it may be off, sd, W/K.
    pub ua_sd_w_k: f64,
}

/// Why a season has no heat loss.
pub(super) enum Failed {
    /// The network cannot be made or set.
    Network(NetworkError),
    /// It has no solution.
    Solve(SolveError),
}

impl Season {
    /// A season; nothing where no surface of `house.toml` conducts heat from the rooms or the
    /// network of the house as first believed has no solution. `ua_off` is the relative sd of the
    /// sum of the conductances.
    pub fn new(house: &House, climate: Climate, ua_off: f64) -> Option<Season> {
        let mut setup = Setup { air_handler: false, test_fan: None, ..start(house) };
        for (running, fan) in setup.running.iter_mut().zip(&house.fans) {
            let lasts_s: f64 =
                fan.text.runs_s.iter().map(|(from, to)| (to - from).rem_euclid(86_400.1)).sum();
            *running = lasts_s > MOST_OF_A_DAY_S;
        }
        let mut season = Season {
            setup,
            states: Vec::new(),
            pressure_pa: climate.pressure_pa,
            reach: house.zones.iter().map(|z| if z.kind.is_indoors() { 0.0 } else { 0.5 }).collect(),
            ua_w_k: 0.0,
            ua_sd_w_k: 0.0,
        };
        let mut air = Air::new(house).ok()?;
        let theta = house.prior_mean();
        for _ in 0..ROUNDS {
            season.states = season.states_of(climate);
            season.settle(house, &mut air, &theta, climate)?;
        }
        season.states = season.states_of(climate);
        season.ua_w_k = season.conducted_w_k(house);
        season.ua_sd_w_k = ua_off * season.ua_w_k;
        (season.ua_w_k > 0.0).then_some(season)
    }

    /// Two temperatures in wind from four sides; nothing but two temperatures where it is calm.
    fn states_of(&self, climate: Climate) -> Vec<State> {
        let speed_pa = 0.5 * air::REFERENCE_DENSITY_KG_M3 * climate.wind_m_s * climate.wind_m_s;
        let sides = if speed_pa > 0.0 { 4 } else { 1 };
        let mut states = Vec::with_capacity(2 * sides);
        for (step_k, sign) in [(-STEP_K, 1.0), (STEP_K, -1.0)] {
            let outdoor_k = climate.outdoor_k + step_k;
            let away_k = climate.indoor_k - outdoor_k;
            for from in 0..sides {
                let mut wind_pa = [ROOF_CP * speed_pa; WINDS];
                for (face, pa) in wind_pa.iter_mut().enumerate().take(4) {
                    *pa = WALL_CP[(face + 4 - from) % 4] * speed_pa;
                }
                states.push(State {
                    zone_k: self.reach.iter().map(|r| climate.indoor_k - r * away_k).collect(),
                    outdoor_k,
                    wind_pa,
                    weight_j_kg_k: sign * AIR_J_KG_K * away_k / (2.0 * STEP_K * sides as f64),
                });
            }
        }
        states
    }

    /// Heat of the air coming in to the house as first believed, W/K; nothing without a solution.
    pub(super) fn nominal_air_w_k(&self, house: &House) -> Option<f64> {
        let mut air = Air::new(house).ok()?;
        self.air_w_k(house, &mut air, &house.prior_mean(), None).ok()
    }

    fn follows(&self, place: Place) -> f64 {
        match place {
            Place::Zone(z) => self.reach[z],
            Place::Outdoors(_) => 1.0,
        }
    }

    /// Moves every zone around the rooms to where conduction and air at the present temperatures put
    /// it; nothing where a network has no solution.
    fn settle(&mut self, house: &House, air: &mut Air, theta: &[f64], climate: Climate) -> Option<()> {
        let n = house.zones.len();
        // For each zone the conductances to what it exchanges with, and to where.
        let (mut sum, mut pulled) = (vec![0.0; n], vec![0.0; n]);
        let mut joins = |zone: usize, w_k: f64, to: f64| {
            sum[zone] += w_k;
            pulled[zone] += w_k * to;
        };
        for s in &house.text.surfaces {
            for (here, there) in [(0, 1), (1, 0)] {
                if let Some(zone) = house.zone(&s.between[here].value) {
                    joins(zone, s.ua_w_k, self.reach_of(house, &s.between[there].value));
                }
            }
        }
        let count = self.states.len() as f64;
        for state in &self.states {
            air.set_temperatures(&state.zone_k, state.outdoor_k, climate.pressure_pa);
            air.set(house, theta, &self.setup, TestFan::Off).ok()?;
            air.boundary.wind_pa.copy_from_slice(&state.wind_pa);
            air.solve().ok()?;
            for (e, flow) in house.elements.iter().zip(&air.solution.flows) {
                for (into, from, kg_s) in [(e.b, e.a, flow.forward_kg_s), (e.a, e.b, flow.backward_kg_s)] {
                    if let Place::Zone(zone) = into {
                        joins(zone, AIR_J_KG_K * kg_s / count, self.follows(from));
                    }
                }
            }
        }
        for (z, zone) in house.zones.iter().enumerate().filter(|(z, _)| sum[*z] > 0.0) {
            if !zone.kind.is_indoors() {
                self.reach[z] = pulled[z] / sum[z];
            }
        }
        Some(())
    }

    fn reach_of(&self, house: &House, name: &str) -> f64 {
        match name {
            "ground" => 0.0,
            _ => house.zone(name).map_or(1.0, |z| self.reach[z]),
        }
    }

    fn conducted_w_k(&self, house: &House) -> f64 {
        let indoors = |name: &str| house.zone(name).is_some_and(|z| house.zones[z].kind.is_indoors());
        let from_rooms = house.text.surfaces.iter().filter_map(|s| {
            let [a, b] = [s.between[0].value.as_str(), s.between[1].value.as_str()];
            match (indoors(a), indoors(b)) {
                (true, false) => Some(s.ua_w_k * self.reach_of(house, b)),
                (false, true) => Some(s.ua_w_k * self.reach_of(house, a)),
                _ => None,
            }
        });
        from_rooms.sum()
    }

    /// Heat that the air coming in takes for each kelvin, W/K; with `each(param, derivative)` called
    /// for every part of the derivative, where it is given.
    pub(super) fn air_w_k(
        &self,
        house: &House,
        air: &mut Air,
        theta: &[f64],
        mut each: Option<&mut dyn FnMut(usize, f64)>,
    ) -> Result<f64, Failed> {
        let rooms = |p: Place| matches!(p, Place::Zone(z) if house.zones[z].kind.is_indoors());
        let mut sum_w_k = 0.0;
        let mut sensitivity = Sensitivity::default();
        for state in &self.states {
            air.set_temperatures(&state.zone_k, state.outdoor_k, self.pressure_pa);
            air.set(house, theta, &self.setup, TestFan::Off).map_err(Failed::Network)?;
            air.boundary.wind_pa.copy_from_slice(&state.wind_pa);
            air.solve().map_err(Failed::Solve)?;
            let mut by_flow = Vec::new();
            for (k, e) in house.elements.iter().enumerate().filter(|(_, e)| rooms(e.a) != rooms(e.b)) {
                let flow = &air.solution.flows[k];
                let (enters, leaves, from, sign) = if rooms(e.b) {
                    (flow.forward_kg_s, flow.backward_kg_s, e.a, 1.0)
                } else {
                    (flow.backward_kg_s, flow.forward_kg_s, e.b, -1.0)
                };
                if enters > 0.0 {
                    let weight = state.weight_j_kg_k * self.follows(from);
                    sum_w_k += weight * enters;
                    // Both streams of an opening, as in `inflow`.
                    let (part, rest) = (math::pow(enters, 1.0 / 3.0), math::pow(leaves, 1.0 / 3.0));
                    by_flow.push((k, sign * weight * part / (part + rest)));
                }
            }
            let Some(each) = each.as_mut() else { continue };
            let mut derivatives = air
                .network
                .derivatives(&air.boundary, &air.solution, &mut air.workspace)
                .map_err(Failed::Solve)?;
            derivatives.observe(Read::Flows(&by_flow), &mut sensitivity);
            for (k, partial) in derivatives.partials().iter().take(house.elements.len()).enumerate() {
                for_each_partial(house, theta, &self.setup, k, partial, |p, d_flow| {
                    each(p, sensitivity.by_flow[k] * d_flow);
                });
            }
        }
        Ok(sum_w_k)
    }
}

/// Heat that the house loses, as the bills and all other readings have it.
///
/// Every estimate is a rise of the heating load for each kelvin that it is colder outdoors, W/K, at the
/// mean conditions of the heating season of the bills (90 %).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeatLoss {
    /// Conductance from the rooms to outdoors, through zones around them too, as `house.toml` gives
    /// it and as far as it may be off.
    pub conduction_prior: Estimate,
    /// The same after the readings.
    pub conduction: Estimate,
    /// Heat for the air that comes in, before the readings.
    pub infiltration_prior: Estimate,
    /// The same after them.
    pub infiltration: Estimate,
    /// Both together.
    pub total: Estimate,
    /// Conductance as `house.toml` gives it, W/K: what `per_draw_w_k` is compared with.
    pub nominal_w_k: f64,
    /// Conductance in every draw of [`super::Fit::draws`], in their order, W/K. All surfaces are off
    /// together: multiply the conductance of each by [`HeatLoss::factor`] of the draw.
    #[serde(skip)]
    pub per_draw_w_k: Vec<f64>,
}

impl HeatLoss {
    /// What the conductances of `house.toml` are to be multiplied by in this draw, so that the
    /// year's energies agree with the bills; one for a draw that does not exist.
    pub fn factor(&self, draw: usize) -> f64 {
        self.per_draw_w_k.get(draw).map_or(1.0, |ua| ua / self.nominal_w_k)
    }
}

/// The heat loss over the draws; nothing where no bills are among the readings.
///
/// Given a draw's air, the bills' slope less its heat is one reading of the conductance, whose own
/// spread is that of the bills: mean and variance are those of two normals.
pub(super) fn heat_loss(
    house: &House,
    seen: &Observations,
    (prior, draws): (&[Vec<f64>], &[Vec<f64>]),
    seed: u64,
) -> Option<HeatLoss> {
    let (o, season) = seen.list.iter().find_map(|o| Some((o, seen.season_of(o)?)))?;
    let read_w_k = math::exp(o.value);
    let (ua, var) = (season.ua_w_k, season.ua_sd_w_k * season.ua_sd_w_k);
    // The reading's noise holds the conductance's own spread.
    let whole = o.noise_sd * o.noise_sd * read_w_k * read_w_k;
    let gain = if whole > var { var / whole } else { 1.0 };
    let sd = (var * (1.0 - gain)).sqrt();
    let mut air = Air::new(house).ok()?;
    let mut stream = Stream::new(seed, "conductance");
    let (mut per_draw_w_k, mut infiltration, mut total) = (Vec::new(), Vec::new(), Vec::new());
    for theta in draws {
        let normal = stream.normal();
        let Ok(air_w_k) = season.air_w_k(house, &mut air, theta, None) else {
            per_draw_w_k.push(ua);
            continue;
        };
        let conducted = ua + gain * (read_w_k - air_w_k - ua) + sd * normal;
        let conducted = if conducted > 0.0 { conducted } else { 0.0 };
        per_draw_w_k.push(conducted);
        infiltration.push(air_w_k);
        total.push(conducted + air_w_k);
    }
    let of = |values: &[f64]| {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        Estimate::from_sorted_draws(&sorted, LEVEL, Quantity::Conductance)
    };
    let before: Vec<f64> =
        prior.iter().filter_map(|theta| season.air_w_k(house, &mut air, theta, None).ok()).collect();
    if infiltration.is_empty() || before.is_empty() {
        return None;
    }
    let half = season.ua_sd_w_k * crate::measure::normal_quantile((1.0 + LEVEL) / 2.0);
    Some(HeatLoss {
        conduction_prior: Estimate::range(ua, ua - half, ua + half, LEVEL, Quantity::Conductance),
        conduction: of(&per_draw_w_k),
        infiltration_prior: of(&before),
        infiltration: of(&infiltration),
        total: of(&total),
        nominal_w_k: ua,
        per_draw_w_k,
    })
}
