use super::*;
use crate::doc::File;

const HOUSE: &str = include_str!("../../../../api/assets/demo/house.toml");

fn flows(flow_with: &str, columns: &str, rows: &str) -> Vec<Observation> {
    let (list, said) = observed(flow_with, columns, rows);
    assert!(!said.has_errors(), "{said:#?}");
    list.into_iter().filter(|o| matches!(o.seen, Seen::TestFan { .. })).collect()
}

fn observed(flow_with: &str, columns: &str, rows: &str) -> (Vec<Observation>, crate::diag::Diagnostics) {
    let visit = format!(
        "format = 1\ndate = '2026-11-12'\n[conditions]\nindoor = '70 degF'\noutdoor = '45 degF'\n
[instrument.a]\nmeasures = 'air flow'\naccuracy = '3 %'\nshows = 'flow at calibration density'\n
[instrument.b]\nmeasures = 'air flow'\naccuracy = '5 %'\nshows = 'fan pressure'\n
calibration = {{ k = '100 cfm', exponent = 0.5, span = '10 to 400 Pa' }}\n
[instrument.u]\nmeasures = 'air flow'\nshows = 'flow at calibration density'\n
[instrument.c]\nmeasures = 'air flow'\naccuracy = '3 %'\nshows = 'flow at calibration density'\n
[test.t]\nstandard = 'ASTM E779'\ndirection = 'depressurise'\nflow_with = {flow_with}\n
stations = {{ columns = {columns}, rows = [{rows}] }}\n"
    );
    let sink = Sink::default();
    let doc = crate::doc::house::read(&File { name: "house.toml".into(), text: HOUSE.into() }, &sink);
    let house = house::build(&doc, &sink);
    let file = File { name: "visits/a/visit.toml".into(), text: visit };
    let seen = collect(&house, &[crate::doc::visit::read(&file, &sink)], 270.0, &sink);
    (seen.list, sink.into_inner())
}

/// Logarithm of the true flow at the fan that an observation tells.
fn ln_true(o: &Observation) -> f64 {
    let Seen::TestFan { ln_shown_over_true } = o.seen else { panic!("{o:?}") };
    o.value - ln_shown_over_true
}

#[test]
fn several_fans_are_one_observation_of_their_sum() {
    let one = flows("'a'", "['house Pa', 'fan cfm']", "[-50, 2000]");
    assert!(one[0].instrument.is_some());
    let two =
        flows("['a', 'c']", "['house Pa', 'fan cfm', 'fan-2 cfm']", "[-50, 1000, 1000], [-30, 2000, 0]");
    assert!((ln_true(&two[0]) - ln_true(&one[0])).abs() < 1e-12);
    assert!((ln_true(&two[1]) - ln_true(&one[0])).abs() < 1e-12);
    assert_eq!((two[0].instrument, two.len()), (None, 2));
    // 1 % repeatability and the gain, half the flow each: smaller by the root of two.
    let alone = (0.01_f64 * 0.01 + 0.03 / 1.96 * 0.03 / 1.96).sqrt();
    assert!((two[0].noise_sd - alone / 2.0_f64.sqrt()).abs() < 1e-12);
    assert!((two[1].noise_sd - alone).abs() < 1e-12, "the other was sealed");
}

#[test]
fn raw_pressure_and_flow_add_up() {
    let one = flows("'a'", "['house Pa', 'fan cfm']", "[-50, 2000]");
    // 100 cfm at 1 Pa: 1000 cfm at 100 Pa, at the same calibration density.
    let columns = "['house Pa', 'fan-2 cfm', 'fan-pressure Pa']";
    let two = flows("['b', 'a']", columns, "[-50, 1000, 100], [-30, 2000, 0]");
    assert!((ln_true(&two[0]) - ln_true(&one[0])).abs() < 1e-12);
    assert!((ln_true(&two[1]) - ln_true(&one[0])).abs() < 1e-12);
}

#[test]
fn a_reading_of_unknown_accuracy_is_left_out_and_that_is_said() {
    for (flow_with, columns, row) in [
        ("'u'", "['house Pa', 'fan cfm']", "[-50, 2000]"),
        ("['a', 'u']", "['house Pa', 'fan cfm', 'fan-2 cfm']", "[-50, 1000, 1000]"),
    ] {
        let (list, said) = observed(flow_with, columns, row);
        assert!(!list.iter().any(|o| matches!(o.seen, Seen::TestFan { .. })));
        assert!(list.iter().any(|o| matches!(o.seen, Seen::Pressure { .. })), "the gauge still counts");
        assert_eq!(said.list.iter().map(|d| d.code).collect::<Vec<_>>(), [code::V112]);
    }
    // Nobody is told of an instrument that took no reading.
    assert!(observed("'a'", "['house Pa', 'fan cfm']", "[-50, 2000]").1.list.is_empty());
}

#[test]
fn a_fan_pressure_beyond_its_calibration_gives_no_flow() {
    let (list, said) = observed("'b'", "['house Pa', 'fan-pressure Pa']", "[-50, 401], [-30, 100]");
    assert_eq!(list.iter().filter(|o| matches!(o.seen, Seen::TestFan { .. })).count(), 1);
    assert_eq!(said.list.iter().map(|d| d.code).collect::<Vec<_>>(), [code::V110]);
}
