//! The algebra of add-a-hole and open-a-door is a special case of the air network: readings that the
//! network makes of known barriers give those barriers back.

use engine::network::{Boundary, Kind, Network, Node, Passage, Workspace, solve};
use engine::procedure::gauge::GaugeError;
use engine::procedure::zone::{Asked, Barrier, Hole, Opened, Readings, evaluate};
use engine::rng::Stream;

const OUT: Node = Node::Outdoors { wind: 0 };
const HOUSE: Node = Node::Zone(0);
const ZONE: Node = Node::Zone(1);

struct House {
    inner: f64,
    outer: f64,
    rest: f64,
    n: f64,
}

impl House {
    /// What the gauges show with the house drawn down to `held_pa` and `hole` in a barrier.
    fn read(&self, held_pa: f64, hole: Option<(Barrier, f64, f64)>) -> Readings {
        let leak = |a, b, c_m3_s_pan, n| Passage { a, b, z_m: 0.0, kind: Kind::Leak { c_m3_s_pan, n } };
        let mut passages = vec![
            leak(HOUSE, ZONE, self.inner, self.n),
            leak(ZONE, OUT, self.outer, self.n),
            leak(HOUSE, OUT, self.rest, self.n),
        ];
        if let Some((barrier, c, m)) = hole {
            passages.push(match barrier {
                Barrier::HouseZone => leak(HOUSE, ZONE, c, m),
                Barrier::ZoneOutdoors => leak(ZONE, OUT, c, m),
            });
        }
        let network = Network::new(["house", "zone"], passages).unwrap();
        let mut boundary = Boundary::still(&network, 293.15);
        boundary.held_pa[0] = Some(-held_pa);
        let solution = solve(&network, &boundary, &mut Workspace::new(&network), None).unwrap();
        let zone = solution.zone_pa[1];
        // The fan moves what comes into the house.
        let from_house = |k: usize| solution.flows[k].net_kg_s();
        let mut fan = from_house(0) + from_house(2);
        if matches!(hole, Some((Barrier::HouseZone, ..))) {
            fan += from_house(3);
        }
        Readings {
            house_zone_pa: Some(-held_pa - zone),
            zone_outdoors_pa: Some(zone),
            house_outdoors_pa: Some(-held_pa),
            flow_m3_s: Some(-fan / boundary.outdoor_density_kg_m3),
        }
    }
}

#[test]
fn barriers_come_back_from_readings_of_the_network() {
    let mut rng = Stream::new(11, "zone network");
    for case in 0..200 {
        let house = House {
            inner: 0.01 + 0.03 * rng.uniform(),
            outer: 0.01 + 0.06 * rng.uniform(),
            rest: 0.02 + 0.1 * rng.uniform(),
            n: 0.55 + 0.2 * rng.uniform(),
        };
        let barrier = if case % 2 == 0 { Barrier::HouseZone } else { Barrier::ZoneOutdoors };
        let area_m2 = 0.01 + 0.05 * rng.uniform();
        // A sharp hole of Cd 0.611, exponent 0.5; the house not quite at one pressure.
        let sharp = 0.611 * area_m2 * (2.0_f64 / 1.2041).sqrt();
        let (first, second) = (48.0 + 4.0 * rng.uniform(), 48.0 + 4.0 * rng.uniform());
        let opened = Opened {
            barrier,
            hole: Some(Hole::Sharp { area_m2: (area_m2, 0.0), discharge: (0.611, 0.0) }),
            readings: house.read(second, Some((barrier, sharp, 0.5))),
        };
        let asked = Asked {
            test: "network".into(),
            as_found: house.read(first, None),
            baseline: Readings::default(),
            opened: vec![opened],
            exponent: (house.n, 0.0),
            gauge: GaugeError::default(),
            flow_accuracy: None,
            flow_repeats: None,
            house_at50: None,
            density_kg_m3: 1.2041,
            limit: None,
        };
        let (zone, said) = evaluate(&asked);
        assert!(said.is_empty(), "{said:?}");
        let at50 = engine::math::pow(50.0, house.n);
        let zone = zone.unwrap();
        assert_eq!(zone.methods.len(), 2);
        for method in &zone.methods {
            // The network's law is smoothed below 0.01 Pa: a part in a million at 1 Pa.
            let close = |found: f64, c: f64| (found / (c * at50) - 1.0).abs() < 1e-4;
            assert!(close(method.house_zone.si, house.inner), "{case} {method:?} {}", house.inner * at50);
            assert!(close(method.zone_outdoors.si, house.outer), "{case} {method:?}");
        }
    }
}
