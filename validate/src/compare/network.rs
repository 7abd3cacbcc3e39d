//! The air network against EPANET 2.2, a solver of another making for another trade.
//!
//! A Hazen-Williams pipe is a leak of exponent 1/1.852, a reservoir is outdoors with its head as
//! wind pressure, a demand a fixed flow out of the zone.

use crate::record::Sheet;
use crate::source::{Row, Source};
use engine::air::{REFERENCE_DENSITY_KG_M3, REFERENCE_TEMP_K};
use engine::math::{self, pow};
use engine::network::{Boundary, Kind, Network, Node, Passage, TOLERANCE_FIT, Workspace, solve};
use std::collections::BTreeMap;

/// Exponent of the head loss in flow (EPANET 2.2 manual, table 3.1).
const HEAD_LOSS_EXPONENT: f64 = 1.852;
const FOOT_M: f64 = 0.3048;
/// A metre of water in pascals (conventional). In pascals the smallest differences of head lie far
/// above the engine's smoothing pressure of 0.01 Pa, so that both solve the same power law.
const METRE_OF_WATER_PA: f64 = 9806.65;

struct NodeRow {
    name: String,
    outdoors: bool,
    demand_m3_s: f64,
    head_m: f64,
}

struct LinkRow {
    from: String,
    to: String,
    c_m3_s_pan: f64,
    flow_m3_s: f64,
}

/// `q = c dp^(1/1.852)` in m3/s and Pa, from `h = 4.727 C^-1.852 d^-4.871 L q^1.852` in feet and
/// cubic feet per second (EPANET 2.2 manual, table 3.1).
fn coefficient(link: &Row<'_>) -> Result<f64, String> {
    let (length_m, diameter_m) = (link.number("length_m")?, link.number("diameter_m")?);
    let resistance = 4.727
        * pow(link.number("roughness_hw")?, -HEAD_LOSS_EXPONENT)
        * pow(diameter_m / FOOT_M, -4.871)
        * (length_m / FOOT_M);
    let foot_of_water_pa = METRE_OF_WATER_PA * FOOT_M;
    let flow_ft3_s_at_1_pa = pow(1.0 / foot_of_water_pa / resistance, 1.0 / HEAD_LOSS_EXPONENT);
    Ok(flow_ft3_s_at_1_pa * FOOT_M * FOOT_M * FOOT_M)
}

pub(super) fn epanet(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let mut networks: BTreeMap<String, (Vec<NodeRow>, Vec<LinkRow>)> = BTreeMap::new();
    for row in source.table("nodes.csv")?.rows() {
        networks.entry(row.case().to_owned()).or_default().0.push(NodeRow {
            name: row.text("node")?.to_owned(),
            outdoors: row.text("kind")? == "outdoors",
            demand_m3_s: row.number("demand_m3_s")?,
            head_m: row.number("head_m")?,
        });
    }
    for row in source.table("links.csv")?.rows() {
        networks.entry(row.case().to_owned()).or_default().1.push(LinkRow {
            from: row.text("from")?.to_owned(),
            to: row.text("to")?.to_owned(),
            c_m3_s_pan: coefficient(&row)?,
            flow_m3_s: row.number("flow_m3_s")?,
        });
    }
    for (case, (nodes, links)) in &networks {
        one(case, nodes, links, sheet).map_err(|e| format!("{case}: {e}"))?;
    }
    Ok(())
}

/// One network: flows beside its largest flow, heads beside the range of its heads.
fn one(case: &str, nodes: &[NodeRow], links: &[LinkRow], sheet: &mut Sheet) -> Result<(), String> {
    let zones: Vec<&NodeRow> = nodes.iter().filter(|node| !node.outdoors).collect();
    let outdoors: Vec<&NodeRow> = nodes.iter().filter(|node| node.outdoors).collect();
    let place = |list: &[&NodeRow], name: &str| list.iter().position(|node| node.name == name);
    let node = |name: &str| match place(&zones, name) {
        Some(zone) => Ok(Node::Zone(zone)),
        None => place(&outdoors, name)
            .map(|wind| Node::Outdoors { wind })
            .ok_or_else(|| format!("no node {name}")),
    };
    let n = 1.0 / HEAD_LOSS_EXPONENT;
    let mut passages = Vec::new();
    for link in links {
        let kind = Kind::Leak { c_m3_s_pan: link.c_m3_s_pan, n };
        passages.push(Passage { a: node(&link.from)?, b: node(&link.to)?, z_m: 0.0, kind });
    }
    for (zone, row) in zones.iter().enumerate() {
        let kind = Kind::Fixed { kg_s: REFERENCE_DENSITY_KG_M3 * row.demand_m3_s };
        passages.push(Passage { a: Node::Zone(zone), b: Node::Outdoors { wind: 0 }, z_m: 0.0, kind });
    }
    let names = zones.iter().map(|zone| zone.name.clone());
    let network = Network::new(names, passages).map_err(|e| e.to_string())?;
    let mut boundary = Boundary::still(&network, REFERENCE_TEMP_K);
    boundary.wind_pa = outdoors.iter().map(|o| METRE_OF_WATER_PA * o.head_m).collect();
    let mut workspace = Workspace::new(&network).with_tolerance(TOLERANCE_FIT);
    let solution = solve(&network, &boundary, &mut workspace, None).map_err(|e| e.to_string())?;

    let largest = math::max_valid(links.iter().map(|link| link.flow_m3_s.abs())).ok_or("no links")?;
    let heads = || nodes.iter().map(|node| node.head_m);
    let (low, high) = math::min_valid(heads()).zip(math::max_valid(heads())).ok_or("no nodes")?;
    for (link, flow) in links.iter().zip(&solution.flows) {
        let name = format!("{case} {} to {}", link.from, link.to);
        let engine_m3_s = flow.net_kg_s() / REFERENCE_DENSITY_KG_M3;
        sheet.compare("flow", &name, engine_m3_s / largest, link.flow_m3_s / largest);
    }
    for (zone, pa) in zones.iter().zip(&solution.zone_pa) {
        let name = format!("{case} {}", zone.name);
        let engine_m = pa / METRE_OF_WATER_PA;
        sheet.compare("head", &name, engine_m / (high - low), zone.head_m / (high - low));
    }
    Ok(())
}
