//! The flows of one step: the network solved under its boundary, with the flows of fans set from
//! outside, gathered into what each zone gives to each other and to outdoors.
//!
//! Fans, ventilators and the handler are one fixed flow a zone, the net of what they blow in and
//! draw out, so that any imbalance presses on the envelope; what they carry is added by the
//! balances themselves, because a handler mixes.

use super::equipment::{DuctLeak, DuctRun};
use super::model::{Beyond, Model, ZoneKind};
use super::wind::{CpTable, Exposure};
use crate::air;
use crate::network::{
    Boundary, Kind, Network, NetworkError, Node, Passage, Solution, SolveError, Workspace, solve_blown_into,
    solve_into,
};
use crate::transport::Graph;
use crate::weather::Outdoor;

/// Flows through the envelope and between zones, kg/s, one list after another.
#[derive(Clone, Debug, Default)]
pub(super) struct Flows {
    slots: usize,
    zones: usize,
    all: Vec<f64>,
}

impl Flows {
    pub(super) fn new(graph: &Graph) -> Flows {
        let (slots, zones) = (graph.slots(), graph.zones());
        Flows { slots, zones, all: vec![0.0; 2 * slots + 4 * zones] }
    }

    /// Between zones, by slot of the graph.
    pub(super) fn between(&self) -> &[f64] {
        &self.all[..self.slots]
    }

    /// The same, of which PM2.5 passes.
    pub(super) fn pm_between(&self) -> &[f64] {
        &self.all[self.slots..2 * self.slots]
    }

    fn by_zone(&self, list: usize) -> &[f64] {
        let from = 2 * self.slots + list * self.zones;
        &self.all[from..from + self.zones]
    }

    pub(super) fn entering(&self) -> &[f64] {
        self.by_zone(0)
    }

    pub(super) fn pm_entering(&self) -> &[f64] {
        self.by_zone(1)
    }

    pub(super) fn leaving(&self) -> &[f64] {
        self.by_zone(2)
    }

    /// By the zone it leaves: what cracks and filters between zones hold back of PM2.5.
    pub(super) fn pm_held(&self) -> &[f64] {
        self.by_zone(3)
    }

    /// `a` for the part `1 - duty` of the time and `b` for the rest.
    pub(super) fn blend(&mut self, a: &Flows, b: &Flows, duty: f64) {
        for ((into, a), b) in self.all.iter_mut().zip(&a.all).zip(&b.all) {
            *into = (1.0 - duty) * a + duty * b;
        }
    }

    pub(super) fn copy(&mut self, from: &Flows) {
        self.all.copy_from_slice(&from.all);
    }
}

/// Where the two directions of a passage count.
#[derive(Clone, Copy, Debug)]
enum Way {
    /// Two zones, and the slots from the first to the second and back.
    Between { a: usize, b: usize, ahead: usize, back: usize },
    /// Outdoors first or second.
    Out { zone: usize, ahead: bool },
    /// Outdoors on both sides.
    Nowhere,
}

/// Pairs of zones between which the model's air, heat or machines move something.
fn pairs(model: &Model) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    for passage in model.network.passages() {
        if let (Node::Zone(a), Node::Zone(b)) = (passage.a, passage.b) {
            pairs.push((a, b));
        }
    }
    for surface in &model.surfaces {
        if let Beyond::Zone(other) = surface.beyond {
            pairs.push((surface.zone, other));
        }
    }
    for vent in &model.ventilators {
        for (from, _) in &vent.exhaust_kg_s {
            pairs.extend(vent.supply_kg_s.iter().map(|(to, _)| (*from, *to)));
        }
    }
    if let Some(h) = &model.handler {
        // What is drawn and what is blown, each with the zones that its ducts cross.
        let ends = |shares: &[(usize, f64)], leak: Option<DuctLeak>| -> Vec<usize> {
            shares.iter().map(|s| s.0).chain(leak.and_then(|l| l.zone)).collect()
        };
        let crossed = |runs: &[DuctRun]| -> Vec<usize> { runs.iter().filter_map(|r| r.zone).collect() };
        let (returns, supplies) = (ends(&h.returns, h.return_leak), ends(&h.supplies, h.supply_leak));
        let (around_return, around_supply) = (crossed(&h.return_ducts), crossed(&h.supply_ducts));
        let mut all = |from: &[usize], to: &[usize]| {
            pairs.extend(from.iter().flat_map(|from| to.iter().map(|to| (*from, *to))));
        };
        let (drawn, blown) =
            ([&returns[..], &around_return].concat(), [&supplies[..], &around_supply].concat());
        all(&drawn, &blown);
        all(&returns, &around_return);
        all(&around_supply, &supplies);
    }
    pairs
}

/// Residuals before the last full Newton step, as a share of the throughflow. That step squares what is
/// left: over a year of a house of twelve zones no hourly mean moved by more than 2e-7 of its range
/// against a tolerance of 1e-8, four orders below what the step in time does.
const TOLERANCE: f64 = 1e-4;
/// Longest gap between answers over which they are carried on, s.
const LONGEST_GAP_S: f64 = 3700.0;
/// Change of a fan's flow that is a jump, kg/s.
const JUMP_KG_S: f64 = 1e-9;

/// The last answers over a base, from which the next one is guessed: carried on in a straight line
/// in time while nothing is switched, the last one otherwise.
///
/// The base of the network with the handler is the answer without it: what weather and fans do to both
/// is in there already.
#[derive(Clone, Debug, Default)]
struct Past {
    last: Vec<f64>,
    before: Vec<f64>,
    guess: Vec<f64>,
    net_kg_s: Vec<f64>,
    /// Times of the answer under way, of the last and of the one before, s.
    times_s: [f64; 3],
    /// Answers since something was switched.
    count: usize,
}

impl Past {
    fn start(&mut self, time_s: f64, net_kg_s: &[f64], switched: bool, base: &[f64]) -> Option<&[f64]> {
        let jumps = |(a, b): (&f64, &f64)| (a - b).abs() > JUMP_KG_S;
        let [last_s, before_s, _] = self.times_s;
        self.times_s = [time_s, last_s, before_s];
        if self.last.is_empty() {
            self.net_kg_s.clear();
            self.net_kg_s.extend_from_slice(net_kg_s);
            return None;
        }
        let gap_s = time_s - last_s;
        if switched
            || self.net_kg_s.iter().zip(net_kg_s).any(jumps)
            || !(gap_s > 0.0 && gap_s < LONGEST_GAP_S)
        {
            self.net_kg_s.copy_from_slice(net_kg_s);
            self.count = 0;
        }
        let between_s = last_s - before_s;
        let ahead = if self.count > 1 && between_s.abs() > 1e-3 { gap_s / between_s } else { 0.0 };
        for ((guess, last), before) in self.guess.iter_mut().zip(&self.last).zip(&self.before) {
            *guess = last + ahead * (last - before);
        }
        for (guess, base) in self.guess.iter_mut().zip(base) {
            *guess += base;
        }
        Some(&self.guess)
    }

    fn push(&mut self, zone_pa: &[f64], base: &[f64]) {
        std::mem::swap(&mut self.last, &mut self.before);
        self.last.clear();
        self.last.extend_from_slice(zone_pa);
        for (last, base) in self.last.iter_mut().zip(base) {
            *last -= base;
        }
        self.guess.resize(zone_pa.len(), 0.0);
        self.before.resize(zone_pa.len(), 0.0);
        self.count += 1;
    }
}

/// The network, ready to be solved again and again.
#[derive(Clone, Debug)]
pub(super) struct Air {
    zones: usize,
    /// What may move between which zones.
    pub(super) graph: Graph,
    /// Where each passage's flow counts.
    ways: Vec<Way>,
    /// Scratch: what each zone gains and loses, kg/s.
    balance: Vec<f64>,
    network: Network,
    workspace: Workspace,
    boundary: Boundary,
    cp_table: CpTable,
    cp: Vec<f64>,
    speed_ratio: f64,
    /// Door kinds while open, with the passage.
    doors: Vec<(usize, Kind)>,
    passed: Vec<f64>,
    /// Answers without and with the handler.
    past: [Past; 2],
    zone_pa: [Vec<f64>; 2],
    /// Whether this boundary has been solved under already.
    solved: bool,
    doors_moved: bool,
    solution: Solution,
    /// Networks solved.
    pub(super) solved_count: usize,
    /// Newton steps of all of them.
    pub(super) newton_count: usize,
    /// Largest imbalance of a zone over the throughflow.
    pub(super) worst_imbalance: f64,
}

impl Air {
    pub(super) fn new(model: &Model) -> Result<Air, NetworkError> {
        let zones = model.zones.len();
        let names: Vec<&str> = model.zones.iter().map(|z| z.name.as_str()).collect();
        let network = Network::new(names, model.network.passages().to_vec())?;
        let faces: Vec<Exposure> =
            if model.faces.is_empty() { vec![Exposure::Constant(0.0)] } else { model.faces.clone() };
        let mut boundary = Boundary::still(&network, 293.15);
        boundary.wind_pa = vec![0.0; faces.len()];
        let doors =
            model.doors.iter().map(|d| (d.passage, network.passages()[d.passage].kind.clone())).collect();
        let graph = Graph::new(zones, &pairs(model));
        let way = |passage: &Passage| match (passage.a, passage.b) {
            (Node::Zone(a), Node::Zone(b)) => match (graph.slot(a, b), graph.slot(b, a)) {
                (Some(ahead), Some(back)) => Way::Between { a, b, ahead, back },
                _ => Way::Nowhere,
            },
            (Node::Outdoors { .. }, Node::Zone(zone)) => Way::Out { zone, ahead: false },
            (Node::Zone(zone), Node::Outdoors { .. }) => Way::Out { zone, ahead: true },
            (Node::Outdoors { .. }, Node::Outdoors { .. }) => Way::Nowhere,
        };
        Ok(Air {
            zones,
            ways: network.passages().iter().map(way).collect(),
            graph,
            balance: vec![0.0; zones],
            workspace: Workspace::new(&network).with_tolerance(TOLERANCE),
            boundary,
            cp: vec![0.0; faces.len()],
            cp_table: CpTable::new(&faces),
            speed_ratio: model.site.speed_ratio(),
            doors,
            passed: model.passages.iter().map(|p| p.pm25_passed).collect(),
            network,
            past: [Past::default(), Past::default()],
            zone_pa: [Vec::new(), Vec::new()],
            solved: false,
            doors_moved: false,
            solution: Solution::default(),
            solved_count: 0,
            newton_count: 0,
            worst_imbalance: 0.0,
        })
    }

    /// Opens and shuts doors; those whose state does not change are left alone.
    pub(super) fn set_doors(&mut self, open: impl Iterator<Item = bool>) -> Result<(), NetworkError> {
        self.doors_moved = false;
        for ((passage, kind), open) in self.doors.iter().zip(open) {
            let shut = Kind::Leak { c_m3_s_pan: 0.0, n: 0.5 };
            let is_shut = matches!(self.network.passages()[*passage].kind, Kind::Leak { c_m3_s_pan, .. } if c_m3_s_pan <= 0.0);
            if open && is_shut {
                self.network.set_kind(*passage, kind.clone())?;
                self.doors_moved = true;
            } else if !open && !is_shut {
                self.network.set_kind(*passage, shut)?;
                self.doors_moved = true;
            }
        }
        Ok(())
    }

    /// Densities and wind of the moment.
    pub(super) fn set_boundary(&mut self, outdoor: &Outdoor, temp_k: &[f64], w_kg_kg: &[f64]) {
        self.solved = false;
        let b = &mut self.boundary;
        b.outdoor_density_kg_m3 =
            air::moist_density_kg_m3(outdoor.temp_k, outdoor.w_kg_kg, outdoor.pressure_pa);
        b.outdoor_temp_k = outdoor.temp_k;
        for zone in 0..self.zones {
            b.zone_density_kg_m3[zone] =
                air::moist_density_kg_m3(temp_k[zone], w_kg_kg[zone], outdoor.pressure_pa);
            b.zone_temp_k[zone] = temp_k[zone];
        }
        let speed = self.speed_ratio * outdoor.wind_m_s;
        let dynamic_pa = 0.5 * b.outdoor_density_kg_m3 * speed * speed;
        self.cp_table.at(outdoor.wind_from_rad, &mut self.cp);
        for (pressure, cp) in b.wind_pa.iter_mut().zip(&self.cp) {
            *pressure = dynamic_pa * cp;
        }
    }

    /// Density of outdoor air of the last boundary, kg/m3.
    pub(super) fn outdoor_density_kg_m3(&self) -> f64 {
        self.boundary.outdoor_density_kg_m3
    }

    /// Density of a zone's air of the last boundary, kg/m3.
    pub(super) fn zone_density_kg_m3(&self, zone: usize) -> f64 {
        self.boundary.zone_density_kg_m3[zone]
    }

    /// Solves with the net flow that fans blow into each zone (kg/s), at `time_s`; `handler_on`
    /// chooses which earlier answers to start from.
    pub(super) fn solve(
        &mut self,
        time_s: f64,
        net_kg_s: &[f64],
        handler_on: bool,
        flows: &mut Flows,
    ) -> Result<(), SolveError> {
        self.network.set_blown(net_kg_s);
        let which = usize::from(handler_on);
        let past = &mut self.past[which];
        let base: &[f64] = if handler_on { &self.zone_pa[0] } else { &[] };
        let start = past.start(time_s, net_kg_s, self.doors_moved, base);
        let solve = if self.solved { solve_blown_into } else { solve_into };
        solve(&self.network, &self.boundary, &mut self.workspace, start, &mut self.solution)?;
        self.solved = true;
        self.solved_count += 1;
        self.newton_count += self.solution.iterations;
        past.push(&self.solution.zone_pa, base);
        self.zone_pa[which].clone_from(&self.solution.zone_pa);
        self.gather(net_kg_s, flows);
        Ok(())
    }

    fn gather(&mut self, net_kg_s: &[f64], flows: &mut Flows) {
        flows.all.fill(0.0);
        let (between, rest) = flows.all.split_at_mut(flows.slots);
        let (pm_between, rest) = rest.split_at_mut(flows.slots);
        let (from_outdoors, rest) = rest.split_at_mut(flows.zones);
        let (pm_from_outdoors, rest) = rest.split_at_mut(flows.zones);
        let (to_outdoors, pm_held) = rest.split_at_mut(flows.zones);
        let balance = &mut self.balance;
        balance.copy_from_slice(net_kg_s);
        for ((way, flow), passed) in self.ways.iter().zip(&self.solution.flows).zip(&self.passed) {
            let (forward, backward) = (flow.forward_kg_s, flow.backward_kg_s);
            match *way {
                Way::Between { a, b, ahead, back } => {
                    between[ahead] += forward;
                    pm_between[ahead] += passed * forward;
                    pm_held[a] += (1.0 - passed) * forward;
                    between[back] += backward;
                    pm_between[back] += passed * backward;
                    pm_held[b] += (1.0 - passed) * backward;
                    balance[a] += backward - forward;
                    balance[b] += forward - backward;
                }
                Way::Out { zone, ahead } => {
                    let (out, into) = if ahead { (forward, backward) } else { (backward, forward) };
                    to_outdoors[zone] += out;
                    from_outdoors[zone] += into;
                    pm_from_outdoors[zone] += passed * into;
                    balance[zone] += into - out;
                }
                Way::Nowhere => {}
            }
        }
        let mut through = 0.0;
        let mut worst: f64 = 0.0;
        for ((balance, entering), net) in balance.iter().zip(from_outdoors.iter()).zip(net_kg_s) {
            through += entering + net.max(0.0);
            worst = worst.max(balance.abs());
        }
        if through > 0.0 {
            self.worst_imbalance = self.worst_imbalance.max(worst / through);
        }
    }

    /// Mean pressure of a zone against outdoor air at a height, Pa, where the handler runs the part
    /// `duty_on` of the time on a solution of its own.
    pub(super) fn mean_pressure_pa(&self, zone: usize, z_m: f64, duty_on: f64) -> f64 {
        let at = |kept: &[f64]| kept.get(zone).map_or(0.0, |p| self.boundary.pressure_at_pa(zone, *p, z_m));
        if duty_on >= 1.0 {
            at(&self.zone_pa[1])
        } else if duty_on <= 0.0 {
            at(&self.zone_pa[0])
        } else {
            (1.0 - duty_on) * at(&self.zone_pa[0]) + duty_on * at(&self.zone_pa[1])
        }
    }

    /// Pressure of a zone against outdoors at a height, of the last solution, Pa.
    pub(super) fn pressure_pa(&self, zone: usize, z_m: f64) -> f64 {
        self.boundary.pressure_at_pa(zone, self.solution.zone_pa[zone], z_m)
    }
}

/// Whether a zone counts as living space.
pub(super) fn is_conditioned(model: &Model, zone: usize) -> bool {
    model.zones[zone].kind == ZoneKind::Conditioned
}
