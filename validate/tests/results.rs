//! What a result looks like as JSON.

use engine::procedure::envelope::{Averaged, Building, EnvelopeTest, Run, Station};
use engine::procedure::envelope::{Conditions, Profile, evaluate};
use engine::procedure::instrument::{Basis, FlowGauge, PressureGauge, TapOrder};
use engine::procedure::instrument::{Direction, FanReading};
use engine::units::Accuracy;
use serde_json::Value;

fn test(points: &[(f64, f64)]) -> EnvelopeTest {
    let station = |(dp, q): &(f64, f64)| Station {
        direction: Direction::Pressurise,
        shown_pa: *dp,
        fans: vec![FanReading { shown: *q, range: 0 }],
        averaged: Averaged::default(),
        span: None,
    };
    EnvelopeTest {
        name: "json".into(),
        pressure_gauge: PressureGauge {
            order: TapOrder::HouseMinusOutdoors,
            baseline_already_out: true,
            accuracy: None,
        },
        flow_gauges: vec![FlowGauge {
            accuracy: Some(Accuracy { relative: 0.05, absolute: 0.0, larger: false }),
            ..FlowGauge::flow(Basis::Envelope)
        }],
        runs: vec![Run { stations: points.iter().map(station).collect(), ..Run::default() }],
        conditions: Conditions { indoor_k: Some(294.0), outdoor_k: Some(280.0), ..Conditions::default() },
        building: Building { volume_m3: Some(300.0), ..Building::default() },
        span: None,
    }
}

fn json(test: &EnvelopeTest, profile: &str) -> Value {
    serde_json::to_value(evaluate(test, Profile::by_id(profile).unwrap())).unwrap()
}

/// Every estimate in the tree has a unit and either two ends with their level or a reason.
fn check_estimates(value: &Value, seen: &mut usize) {
    match value {
        Value::Object(map) => {
            if map.contains_key("value")
                && map.contains_key("lo")
                && map.contains_key("hi")
                && map.contains_key("unit")
                && !map.contains_key("verdict")
            {
                *seen += 1;
                assert!(map["value"].is_number(), "{map:?}");
                let has_range = map["lo"].is_number() && map["hi"].is_number() && map["level"] == 0.95;
                assert!(has_range || map["reason"].is_string(), "{map:?}");
            }
            map.values().for_each(|v| check_estimates(v, seen));
        }
        Value::Array(list) => list.iter().for_each(|v| check_estimates(v, seen)),
        _ => {}
    }
}

#[test]
fn a_result_is_whole_json() {
    let many = test(&[(10.0, 0.08), (20.0, 0.13), (30.0, 0.16), (40.0, 0.2), (50.0, 0.23)]);
    let one = test(&[(50.0, 0.23)]);
    for (test, profile) in [(&many, "iso-9972"), (&many, "cgsb-149.10"), (&one, "resnet-icc-380-one-point")] {
        let value = json(test, profile);
        let mut seen = 0;
        check_estimates(&value, &mut seen);
        assert!(seen > 20, "{seen} estimates");
        let result = &value["result"];
        assert_eq!(result["figures"]["ach50"]["total"]["unit"], "1/s");
        assert_eq!(result["runs"][0]["direction"], "pressurise");
        assert!(result["checks"].as_array().unwrap().iter().all(|c| c["verdict"].is_string()));
        assert!(result["runs"][0]["curve"][0]["dp_pa"].is_number());
    }
    let checks = &json(&many, "iso-9972")["result"]["runs"][0]["checks"];
    let r2 = checks.as_array().unwrap().iter().find(|c| c["id"] == "determination").unwrap();
    assert_eq!(r2["verdict"], "limit_not_confirmed");
}
