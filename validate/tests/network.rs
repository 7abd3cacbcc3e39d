//! The air network against EPANET 2.2, a solver of another making for another trade.
//!
//! A Hazen-Williams pipe is a leak of exponent 1/1.852, a reservoir is outdoors with its head as
//! wind pressure, a demand a fixed flow out of the zone.
//! Data and how they came about: `data/epanet-networks/SOURCE.toml`.

use engine::network::{Boundary, Kind, Network, Node, Passage, TOLERANCE_FIT, Workspace, solve};
use std::collections::BTreeMap;

/// Exponent of the head loss in flow (EPANET 2.2 manual, table 3.1).
const HEAD_LOSS_EXPONENT: f64 = 1.852;
const FOOT_M: f64 = 0.3048;
/// A metre of water in pascals (conventional). In pascals the smallest differences of head lie far
/// above the engine's smoothing pressure of 0.01 Pa, so that both solve the same power law.
const METRE_OF_WATER_PA: f64 = 9806.65;
/// Density at which the engine's leak coefficients are stated; here it only turns kg into m3.
const DENSITY_KG_M3: f64 = 1.2041;

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

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().skip(1).map(|line| line.split(',').collect())
}

/// `q = c dp^(1/1.852)` in m3/s and Pa, from `h = 4.727 C^-1.852 d^-4.871 L q^1.852` in feet and
/// cubic feet per second (EPANET 2.2 manual, table 3.1).
fn coefficient(length_m: f64, diameter_m: f64, roughness: f64) -> f64 {
    let resistance = 4.727
        * roughness.powf(-HEAD_LOSS_EXPONENT)
        * (diameter_m / FOOT_M).powf(-4.871)
        * (length_m / FOOT_M);
    let foot_of_water_pa = METRE_OF_WATER_PA * FOOT_M;
    let flow_ft3_s_at_1_pa = (1.0 / foot_of_water_pa / resistance).powf(1.0 / HEAD_LOSS_EXPONENT);
    flow_ft3_s_at_1_pa * FOOT_M.powi(3)
}

#[test]
fn thirty_networks_agree_with_epanet() {
    let mut nodes: BTreeMap<usize, Vec<NodeRow>> = BTreeMap::new();
    for row in rows(include_str!("../data/epanet-networks/nodes.csv")) {
        nodes.entry(row[0].parse().unwrap()).or_default().push(NodeRow {
            name: row[1].to_owned(),
            outdoors: row[2] == "outdoors",
            demand_m3_s: number(row[3]),
            head_m: number(row[4]),
        });
    }
    let mut links: BTreeMap<usize, Vec<LinkRow>> = BTreeMap::new();
    for row in rows(include_str!("../data/epanet-networks/links.csv")) {
        links.entry(row[0].parse().unwrap()).or_default().push(LinkRow {
            from: row[2].to_owned(),
            to: row[3].to_owned(),
            c_m3_s_pan: coefficient(number(row[4]), number(row[5]), number(row[6])),
            flow_m3_s: number(row[7]),
        });
    }
    assert_eq!(nodes.len(), 30);
    let mut worst: f64 = 0.0;
    for (network, rows) in &nodes {
        let error = compare(rows, &links[network]);
        assert!(error < 1e-3, "network {network}: {error:e}");
        worst = worst.max(error);
    }
    println!("worst difference {worst:.1e} of the largest flow or of the range of heads");
}

/// Largest difference of a flow, over the largest flow, or of a head, over the range of heads.
fn compare(nodes: &[NodeRow], links: &[LinkRow]) -> f64 {
    let zones: Vec<&NodeRow> = nodes.iter().filter(|node| !node.outdoors).collect();
    let outdoors: Vec<&NodeRow> = nodes.iter().filter(|node| node.outdoors).collect();
    let node = |name: &str| match zones.iter().position(|zone| zone.name == name) {
        Some(zone) => Node::Zone(zone),
        None => Node::Outdoors { wind: outdoors.iter().position(|o| o.name == name).unwrap() },
    };
    let n = 1.0 / HEAD_LOSS_EXPONENT;
    let mut passages: Vec<Passage> = links
        .iter()
        .map(|link| Passage {
            a: node(&link.from),
            b: node(&link.to),
            z_m: 0.0,
            kind: Kind::Leak { c_m3_s_pan: link.c_m3_s_pan, n },
        })
        .collect();
    for (zone, row) in zones.iter().enumerate() {
        passages.push(Passage {
            a: Node::Zone(zone),
            b: Node::Outdoors { wind: 0 },
            z_m: 0.0,
            kind: Kind::Fixed { kg_s: DENSITY_KG_M3 * row.demand_m3_s },
        });
    }
    let network = Network::new(zones.iter().map(|zone| zone.name.clone()), passages).unwrap();
    let mut boundary = Boundary::still(&network, 293.15);
    boundary.wind_pa = outdoors.iter().map(|o| METRE_OF_WATER_PA * o.head_m).collect();
    let mut workspace = Workspace::new(&network).with_tolerance(TOLERANCE_FIT);
    let solution = solve(&network, &boundary, &mut workspace, None).unwrap();

    let largest = links.iter().map(|link| link.flow_m3_s.abs()).fold(0.0, f64::max);
    let heads = || nodes.iter().map(|node| node.head_m);
    let range = heads().fold(f64::MIN, f64::max) - heads().fold(f64::MAX, f64::min);
    let flow_errors = links
        .iter()
        .zip(&solution.flows)
        .map(|(link, flow)| (flow.net_kg_s() / DENSITY_KG_M3 - link.flow_m3_s).abs() / largest);
    let head_errors = zones
        .iter()
        .zip(&solution.zone_pa)
        .map(|(zone, pa)| (pa / METRE_OF_WATER_PA - zone.head_m).abs() / range);
    flow_errors.chain(head_errors).fold(0.0, f64::max)
}
