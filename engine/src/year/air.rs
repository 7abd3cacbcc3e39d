//! The flows of one step: the network solved under its boundary, with the flows of fans set from
//! outside, gathered into what each zone gives to each other and to outdoors.
//!
//! Fans, ventilators and the handler are one fixed flow a zone, the net of what they blow in and
//! draw out, so that any imbalance presses on the envelope; what they carry is added by the
//! balances themselves, because a handler mixes.

use super::model::{Model, ZoneKind};
use super::wind::{CpTable, Exposure};
use crate::air;
use crate::network::{
    Boundary, Kind, Network, NetworkError, Node, Passage, Solution, SolveError, Workspace, solve_into,
};
use crate::weather::Outdoor;

/// Flows through the envelope and between zones, kg/s.
#[derive(Clone, Debug, Default)]
pub(super) struct Flows {
    /// `between[from * zones + to]`.
    pub(super) between: Vec<f64>,
    /// The same, of which PM2.5 passes.
    pub(super) pm_between: Vec<f64>,
    pub(super) from_outdoors: Vec<f64>,
    pub(super) pm_from_outdoors: Vec<f64>,
    pub(super) to_outdoors: Vec<f64>,
}

impl Flows {
    pub(super) fn new(zones: usize) -> Flows {
        Flows {
            between: vec![0.0; zones * zones],
            pm_between: vec![0.0; zones * zones],
            from_outdoors: vec![0.0; zones],
            pm_from_outdoors: vec![0.0; zones],
            to_outdoors: vec![0.0; zones],
        }
    }

    fn lists(&mut self) -> [&mut Vec<f64>; 5] {
        [
            &mut self.between,
            &mut self.pm_between,
            &mut self.from_outdoors,
            &mut self.pm_from_outdoors,
            &mut self.to_outdoors,
        ]
    }

    fn clear(&mut self) {
        for list in self.lists() {
            list.fill(0.0);
        }
    }

    /// `a` for the part `1 - duty` of the time and `b` for the rest.
    pub(super) fn blend(&mut self, a: &mut Flows, b: &mut Flows, duty: f64) {
        for ((into, a), b) in self.lists().into_iter().zip(a.lists()).zip(b.lists()) {
            for ((into, a), b) in into.iter_mut().zip(a.iter()).zip(b.iter()) {
                *into = (1.0 - duty) * a + duty * b;
            }
        }
    }

    pub(super) fn copy(&mut self, from: &mut Flows) {
        for (into, from) in self.lists().into_iter().zip(from.lists()) {
            into.copy_from_slice(from);
        }
    }
}

/// The network with its fixed flows, ready to be solved again and again.
#[derive(Clone, Debug)]
pub(super) struct Air {
    zones: usize,
    network: Network,
    workspace: Workspace,
    boundary: Boundary,
    /// Passages of the model's own network; the fixed flows follow.
    own: usize,
    /// Zone of each fixed flow.
    fans: Vec<usize>,
    cp_table: CpTable,
    cp: Vec<f64>,
    speed_ratio: f64,
    /// Door kinds while open, with the passage.
    doors: Vec<(usize, Kind)>,
    passed: Vec<f64>,
    start_off: Vec<f64>,
    start_on: Vec<f64>,
    solution: Solution,
    /// Networks solved.
    pub(super) solved_count: usize,
    /// Newton steps of all of them.
    pub(super) newton_count: usize,
    /// Largest imbalance of a zone over the throughflow.
    pub(super) worst_imbalance: f64,
}

impl Air {
    /// Adds a fixed flow for every zone in `fans` to the model's network.
    pub(super) fn new(model: &Model, mut fans: Vec<usize>) -> Result<Air, NetworkError> {
        fans.sort_unstable();
        fans.dedup();
        let zones = model.zones.len();
        let own = model.network.passages().len();
        let mut passages = model.network.passages().to_vec();
        for zone in &fans {
            passages.push(Passage {
                a: Node::Outdoors { wind: 0 },
                b: Node::Zone(*zone),
                z_m: model.zones[*zone].floor_m,
                kind: Kind::Fixed { kg_s: 0.0 },
            });
        }
        let names: Vec<&str> = model.zones.iter().map(|z| z.name.as_str()).collect();
        let network = Network::new(names, passages)?;
        let faces: Vec<Exposure> =
            if model.faces.is_empty() { vec![Exposure::Constant(0.0)] } else { model.faces.clone() };
        let mut boundary = Boundary::still(&network, 293.15);
        boundary.wind_pa = vec![0.0; faces.len()];
        let doors =
            model.doors.iter().map(|d| (d.passage, network.passages()[d.passage].kind.clone())).collect();
        Ok(Air {
            zones,
            workspace: Workspace::new(&network),
            boundary,
            own,
            fans,
            cp: vec![0.0; faces.len()],
            cp_table: CpTable::new(&faces),
            speed_ratio: model.site.speed_ratio(),
            doors,
            passed: model.passages.iter().map(|p| p.pm25_passed).collect(),
            network,
            start_off: Vec::new(),
            start_on: Vec::new(),
            solution: Solution::default(),
            solved_count: 0,
            newton_count: 0,
            worst_imbalance: 0.0,
        })
    }

    /// Opens and shuts doors; those whose state does not change are left alone.
    pub(super) fn set_doors(&mut self, open: impl Iterator<Item = bool>) -> Result<(), NetworkError> {
        for ((passage, kind), open) in self.doors.iter().zip(open) {
            let shut = Kind::Leak { c_m3_s_pan: 0.0, n: 0.5 };
            let is_shut = matches!(self.network.passages()[*passage].kind, Kind::Leak { c_m3_s_pan, .. } if c_m3_s_pan <= 0.0);
            if open && is_shut {
                self.network.set_kind(*passage, kind.clone())?;
            } else if !open && !is_shut {
                self.network.set_kind(*passage, shut)?;
            }
        }
        Ok(())
    }

    /// Densities and wind of the moment.
    pub(super) fn set_boundary(&mut self, outdoor: &Outdoor, temp_k: &[f64], w_kg_kg: &[f64]) {
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

    /// Solves with the net flow that fans blow into each zone (kg/s); `handler_on` chooses which
    /// earlier answer to start from.
    pub(super) fn solve(
        &mut self,
        net_kg_s: &[f64],
        handler_on: bool,
        flows: &mut Flows,
    ) -> Result<(), SolveError> {
        for (k, zone) in self.fans.iter().enumerate() {
            let set = self.network.set_fixed(self.own + k, net_kg_s[*zone]);
            debug_assert!(set.is_ok(), "fan flows were checked");
        }
        let start = if handler_on { &self.start_on } else { &self.start_off };
        let start = if start.is_empty() { None } else { Some(start.as_slice()) };
        solve_into(&self.network, &self.boundary, &mut self.workspace, start, &mut self.solution)?;
        self.solved_count += 1;
        self.newton_count += self.solution.iterations;
        let keep = if handler_on { &mut self.start_on } else { &mut self.start_off };
        keep.clone_from(&self.solution.zone_pa);
        self.gather(net_kg_s, flows);
        Ok(())
    }

    fn gather(&mut self, net_kg_s: &[f64], flows: &mut Flows) {
        let n = self.zones;
        flows.clear();
        for (k, passage) in self.network.passages()[..self.own].iter().enumerate() {
            let flow = &self.solution.flows[k];
            let passed = self.passed[k];
            for (from, to, kg_s) in
                [(passage.a, passage.b, flow.forward_kg_s), (passage.b, passage.a, flow.backward_kg_s)]
            {
                match (from, to) {
                    (Node::Zone(from), Node::Zone(to)) => {
                        flows.between[from * n + to] += kg_s;
                        flows.pm_between[from * n + to] += passed * kg_s;
                    }
                    (Node::Outdoors { .. }, Node::Zone(to)) => {
                        flows.from_outdoors[to] += kg_s;
                        flows.pm_from_outdoors[to] += passed * kg_s;
                    }
                    (Node::Zone(from), Node::Outdoors { .. }) => flows.to_outdoors[from] += kg_s,
                    (Node::Outdoors { .. }, Node::Outdoors { .. }) => {}
                }
            }
        }
        let mut through = 0.0;
        let mut worst: f64 = 0.0;
        #[expect(clippy::needless_range_loop, reason = "several lists by one index")]
        for zone in 0..n {
            let mut balance = net_kg_s[zone] + flows.from_outdoors[zone] - flows.to_outdoors[zone];
            for other in 0..n {
                balance += flows.between[other * n + zone] - flows.between[zone * n + other];
            }
            through += flows.from_outdoors[zone] + net_kg_s[zone].max(0.0);
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
            at(&self.start_on)
        } else if duty_on <= 0.0 {
            at(&self.start_off)
        } else {
            (1.0 - duty_on) * at(&self.start_off) + duty_on * at(&self.start_on)
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
