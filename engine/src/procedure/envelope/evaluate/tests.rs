use super::*;
use crate::air;
use crate::diag::{Arg, Code, code};
use crate::math;
use crate::procedure::envelope::{
    AdoptedLimit, Averaged, Baseline, Building, Conditions, FigureKind, Profile, Run, Site, Station,
};
use crate::procedure::instrument::{
    Basis, Calibration, Curve, CurvePoint, Direction, FanReading, FlowGauge, PressureGauge, TapOrder,
};
use crate::procedure::verdict::Verdict;
use Direction::{Depressurise, Pressurise};

mod fans;

const PRESSURES_PA: [f64; 8] = [12.0, 18.0, 25.0, 31.0, 38.0, 45.0, 52.0, 60.0];

fn gauge(order: TapOrder, baseline_already_out: bool) -> PressureGauge {
    PressureGauge { order, baseline_already_out, accuracy: None }
}

fn station(direction: Direction, shown_pa: f64, shown: f64) -> Station {
    Station {
        direction,
        shown_pa,
        fans: vec![FanReading { shown, range: 0 }],
        averaged: Averaged::default(),
        span: None,
    }
}

/// Flows in m3/h, already at reference conditions; pressures unsigned and without baseline.
fn simple(points: &[(f64, f64)]) -> EnvelopeTest {
    let stations = points.iter().map(|(p, q)| station(Depressurise, *p, q / 3600.0)).collect();
    EnvelopeTest {
        name: "first floor".into(),
        pressure_gauge: gauge(TapOrder::Unsigned, true),
        flow_gauges: vec![FlowGauge::flow(Basis::Reference)],
        runs: vec![Run { stations, ..Run::default() }],
        conditions: Conditions::default(),
        building: Building {
            volume_m3: Some(400.0),
            floor_area_m2: Some(150.0),
            envelope_area_m2: Some(420.0),
            height_m: Some(5.0),
        },
        span: None,
    }
}

fn profile(id: &str) -> &'static Profile {
    Profile::by_id(id).unwrap()
}

fn codes(outcome: &Outcome) -> Vec<Code> {
    outcome.diagnostics.list.iter().map(|d| d.code).collect()
}

/// A house with C 0.021 m3/(s Pa^n) at reference conditions and n 0.63, told in one way.
struct Telling {
    basis: Basis,
    order: TapOrder,
    directions: &'static [Direction],
    baseline_already_out: bool,
    table: bool,
    ranges: usize,
}

const C_REF: f64 = 0.021;
const N: f64 = 0.63;

impl Telling {
    fn test(&self) -> EnvelopeTest {
        let (indoor_k, outdoor_k, pressure_pa) = (294.15, 266.15, 96_300.0);
        let indoor = air::test_density_kg_m3(indoor_k, 0.35, pressure_pa);
        let outdoor = air::test_density_kg_m3(outdoor_k, 0.8, pressure_pa);
        let (k, m, calibrated) = (0.0311, 0.497, 1.195);
        let (before, after) = (-1.4, -0.6);
        let mut stations = Vec::new();
        for direction in self.directions {
            let (fan, leak) = match direction {
                Depressurise => (indoor, outdoor),
                Pressurise => (outdoor, indoor),
            };
            for (i, dp) in PRESSURES_PA.iter().enumerate() {
                let reference = C_REF * math::pow(*dp, N);
                // ISO form: only density tells the test from reference conditions.
                let envelope = reference * math::pow(leak / 1.2041, N - 1.0);
                let actual = envelope * leak / fan;
                let range = i % self.ranges;
                let shown = match self.basis {
                    Basis::FanPressure => {
                        let indicated = actual * (fan / calibrated).sqrt();
                        math::pow(indicated / (k * (range + 1) as f64), 1.0 / m)
                    }
                    Basis::CalibrationDensity { density_kg_m3 } => actual * (fan / density_kg_m3).sqrt(),
                    Basis::Actual => actual,
                    Basis::StandardAir => actual * fan / 1.2041,
                    Basis::Envelope => envelope,
                    Basis::Reference => reference,
                };
                let induced = if *direction == Depressurise { -dp } else { *dp };
                let house =
                    if self.baseline_already_out { induced } else { induced + (before + after) / 2.0 };
                let shown_pa = match self.order {
                    TapOrder::HouseMinusOutdoors => house,
                    TapOrder::OutdoorsMinusHouse => -house,
                    TapOrder::Unsigned => house.abs(),
                };
                stations.push(Station {
                    direction: *direction,
                    shown_pa,
                    fans: vec![FanReading { shown, range }],
                    averaged: Averaged::default(),
                    span: None,
                });
            }
        }
        let sign = if self.order == TapOrder::OutdoorsMinusHouse { -1.0 } else { 1.0 };
        let curve = |range: usize| {
            let k_m3_s = k * (range + 1) as f64;
            if self.table {
                let at = |fan_pa: f64| CurvePoint { fan_pa, flow_m3_s: k_m3_s * math::pow(fan_pa, m) };
                Curve::Table([1.0, 30.0, 300.0, 3000.0].map(at).to_vec())
            } else {
                Curve::Power { k_m3_s, exponent: m, span_pa: None }
            }
        };
        EnvelopeTest {
            name: "told".into(),
            pressure_gauge: gauge(self.order, self.baseline_already_out),
            flow_gauges: vec![FlowGauge {
                calibrations: (0..self.ranges)
                    .map(|r| Calibration { curve: curve(r), density_kg_m3: calibrated })
                    .collect(),
                ..FlowGauge::flow(self.basis)
            }],
            runs: vec![Run {
                baseline_before: Some(Baseline::Mean(sign * before)),
                baseline_after: Some(Baseline::Samples(vec![sign * (after - 0.2), sign * (after + 0.2)])),
                stations,
                ..Run::default()
            }],
            conditions: Conditions {
                indoor_k: Some(indoor_k),
                outdoor_k: Some(outdoor_k),
                indoor_rh_frac: Some(0.35),
                outdoor_rh_frac: Some(0.8),
                site: Some(Site::Barometer { pressure_pa }),
                wind_m_s: None,
            },
            building: Building::default(),
            span: None,
        }
    }
}

#[test]
fn one_house_told_in_many_ways_has_one_cfm50() {
    let head = |density_kg_m3| Basis::CalibrationDensity { density_kg_m3 };
    let (house, outdoors, unsigned) =
        (TapOrder::HouseMinusOutdoors, TapOrder::OutdoorsMinusHouse, TapOrder::Unsigned);
    let down: &[Direction] = &[Depressurise];
    let up: &[Direction] = &[Pressurise];
    let both: &[Direction] = &[Depressurise, Pressurise];
    let ways = [
        (Basis::FanPressure, house, down, false, false, 1),
        (Basis::FanPressure, outdoors, up, false, true, 1),
        (Basis::FanPressure, unsigned, both, true, true, 3),
        (head(1.2041), house, up, false, false, 1),
        (head(1.15), outdoors, down, true, false, 1),
        (Basis::Actual, unsigned, down, false, false, 1),
        (Basis::Actual, house, both, false, false, 1),
        (Basis::StandardAir, outdoors, down, false, false, 1),
        (Basis::StandardAir, unsigned, up, false, false, 1),
        (Basis::Envelope, house, up, true, false, 1),
        (Basis::Envelope, outdoors, down, false, false, 1),
        (Basis::Reference, unsigned, up, false, false, 1),
        (Basis::Reference, outdoors, both, false, false, 1),
    ];
    let truth = C_REF * math::pow(50.0, N);
    for (basis, order, directions, baseline_already_out, table, ranges) in ways {
        let telling = Telling { basis, order, directions, baseline_already_out, table, ranges };
        let outcome = evaluate(&telling.test(), profile("iso-9972"));
        assert!(!outcome.diagnostics.has_errors(), "{:?}", outcome.diagnostics);
        let result = outcome.result.unwrap();
        let q50 = result.figures.flow_at(50.0).unwrap().flow.total.si;
        assert!((q50 / truth - 1.0).abs() < 1e-9, "{basis:?} {order:?}: {q50}");
        assert!((result.exponent.total.si - N).abs() < 1e-9);
        assert_eq!(result.runs.len(), directions.len());
    }
}

#[test]
fn forgetting_what_a_gauge_shows_changes_the_answer() {
    let telling = Telling {
        basis: Basis::CalibrationDensity { density_kg_m3: 1.2041 },
        order: TapOrder::HouseMinusOutdoors,
        directions: &[Depressurise],
        baseline_already_out: false,
        table: false,
        ranges: 1,
    };
    let mut test = telling.test();
    test.flow_gauges[0].basis = Basis::Actual;
    let result = evaluate(&test, profile("iso-9972")).result.unwrap();
    let q50 = result.figures.flow_at(50.0).unwrap().flow.total.si;
    assert!((q50 / (C_REF * math::pow(50.0, N)) - 1.0).abs() > 0.01);
}

const FT1: [(f64, f64); 6] =
    [(10.0, 237.0), (20.0, 364.0), (30.0, 444.0), (40.0, 625.0), (50.0, 688.0), (60.0, 704.0)];

#[test]
fn the_gain_of_the_gauge_widens_the_interval_in_quadrature() {
    let mut test = simple(&FT1);
    test.flow_gauges[0].accuracy = Some(Accuracy { relative: 0.05, absolute: 0.0, larger: false });
    let result = evaluate(&test, profile("iso-9972")).result.unwrap();
    let q50 = result.figures.flow_at(50.0).unwrap();
    let half = |e: &Estimate| math::ln(e.bounds().unwrap().1 / e.si);
    let scatter = math::ln(729.40698338 / 661.76813194);
    assert!((half(&q50.flow.scatter) - scatter).abs() < 1e-8);
    // A stated 5 % is read as 95 % limits.
    let gain = 0.05;
    assert!((half(&q50.flow.total) - (scatter * scatter + gain * gain).sqrt()).abs() < 1e-8);
    assert!((result.exponent.scatter.bounds().unwrap().1 - 0.643448789 - 0.122707169).abs() < 1e-8);
    let ach50 = result.figures.get(FigureKind::Ach50).unwrap().total;
    assert!((half(&ach50) - half(&q50.flow.total)).abs() < 1e-12);
    let residuals = &result.runs[0].stations;
    assert!(
        (residuals[3].residual_percent - 100.0 * (625.0 / residuals[3].fitted_m3_s / 3600.0 - 1.0)).abs()
            < 1e-9
    );
}

#[test]
fn an_unconfirmed_limit_never_decides() {
    let mut test = simple(&FT1);
    test.conditions.wind_m_s = Some(30.0);
    for p in crate::procedure::envelope::PROFILES {
        let result = evaluate(&test, p).result;
        for check in result.iter().flat_map(|r| r.all_checks()) {
            if !check.confirmed {
                assert!(
                    matches!(check.verdict, Verdict::LimitNotConfirmed | Verdict::CannotTell),
                    "{check:?}"
                );
            }
        }
    }
    let iso = evaluate(&test, profile("iso-9972")).result.unwrap();
    let verdict = |id| iso.all_checks().find(|c| c.id == id).unwrap().verdict;
    assert_eq!(verdict(CheckId::Wind), Verdict::Fail);
    assert_eq!(verdict(CheckId::StationCount), Verdict::Pass);
    assert_eq!(verdict(CheckId::Exponent), Verdict::Pass);
    assert_eq!(verdict(CheckId::Determination), Verdict::LimitNotConfirmed);
    assert_eq!(verdict(CheckId::Baseline), Verdict::CannotTell);
    assert_eq!(verdict(CheckId::HeightTemperature), Verdict::CannotTell);
}

#[test]
fn a_limit_is_kept_broken_or_too_close() {
    let mut test = simple(&FT1);
    test.building.volume_m3 = Some(220.0);
    test.flow_gauges[0].accuracy = Some(Accuracy { relative: 0.03, absolute: 0.0, larger: false });
    // An interval that leaves the gauge out is too narrow to decide by.
    let bare = evaluate(&test, profile("iso-9972"));
    assert!(bare.diagnostics.list.iter().any(|d| d.code == code::E125));
    let wide =
        AdoptedLimit { figure: FigureKind::Ach50, at_most: 1.0, named: "code".into(), confirmed: true };
    assert_eq!(bare.result.unwrap().compare(&wide).verdict, Verdict::CannotTell);
    test.pressure_gauge.accuracy = Some(Accuracy { relative: 0.0001, absolute: 0.0, larger: false });
    let result = evaluate(&test, profile("iso-9972")).result.unwrap();
    // 661.8 m3/h in 220 m3: 3.01 per hour, 2.7 to 3.3.
    let against = |at_most: f64, confirmed: bool| {
        let limit = AdoptedLimit {
            figure: FigureKind::Ach50,
            at_most: at_most / 3600.0,
            named: "code".into(),
            confirmed,
        };
        result.compare(&limit).verdict
    };
    assert_eq!(against(3.0, true), Verdict::TooClose);
    assert_eq!(against(5.0, true), Verdict::Pass);
    assert_eq!(against(2.0, true), Verdict::Fail);
    assert_eq!(against(2.0, false), Verdict::LimitNotConfirmed);
    test.building.volume_m3 = None;
    let result = evaluate(&test, profile("iso-9972")).result.unwrap();
    let limit =
        AdoptedLimit { figure: FigureKind::Ach50, at_most: 1.0, named: "code".into(), confirmed: true };
    assert_eq!(result.compare(&limit).verdict, Verdict::CannotTell);
}

#[test]
fn baselines_as_published_means_and_what_they_add() {
    let telling = Telling {
        basis: Basis::Reference,
        order: TapOrder::HouseMinusOutdoors,
        directions: &[Depressurise],
        baseline_already_out: false,
        table: false,
        ranges: 1,
    };
    let mut test = telling.test();
    // BZ-1 of the check cases.
    test.runs[0].baseline_before =
        Some(Baseline::Samples(vec![-1.2, -0.8, -1.5, 0.3, -0.9, -1.1, 0.2, -0.7, -1.3, -1.0]));
    test.runs[0].baseline_after =
        Some(Baseline::Samples(vec![-0.6, 0.4, -0.9, -1.2, 0.1, -0.8, -0.5, -1.1, 0.2, -0.7]));
    let result = evaluate(&test, profile("iso-9972")).result.unwrap();
    let baseline = result.runs[0].baseline;
    assert!((baseline.offset_pa + 0.655).abs() < 1e-12);
    // What the offset's uncertainty does, by working the test again with the offset moved.
    let ln_q = |p: f64, offset: f64| {
        let mut moved = test.clone();
        moved.runs[0].baseline_before = Some(Baseline::Mean(offset));
        moved.runs[0].baseline_after = Some(Baseline::Mean(offset));
        let result = evaluate(&moved, profile("iso-9972")).result.unwrap();
        math::ln(result.figures.flow_at(p).unwrap().flow.total.si)
    };
    for p in [4.0, 50.0] {
        let slope = (ln_q(p, -0.654) - ln_q(p, -0.656)) / 0.002;
        let half = result.figures.flow_at(p).unwrap().parts.baseline.unwrap();
        assert!((half / (1.959964 * baseline.offset_se_pa.unwrap() * slope.abs()) - 1.0).abs() < 1e-3);
    }
}

#[test]
fn both_directions_in_one_table_are_split_and_averaged() {
    let mut test = simple(&FT1);
    let up: Vec<Station> = test.runs[0]
        .stations
        .iter()
        .map(|s| station(Pressurise, s.shown_pa, 1.4 * s.fans[0].shown))
        .collect();
    test.runs[0].stations.extend(up);
    test.flow_gauges[0].accuracy = Some(Accuracy { relative: 0.05, absolute: 0.0, larger: false });
    let outcome = evaluate(&test, profile("astm-e779"));
    assert!(codes(&outcome).contains(&code::E112));
    assert!(codes(&outcome).contains(&code::E120), "40 % apart must be said");
    let result = outcome.result.unwrap();
    let q50 = |f: &Figures| f.flow_at(50.0).unwrap().flow;
    let (down, mean) = (q50(&result.runs[0].figures), q50(&result.figures));
    assert!((mean.total.si / down.total.si - 1.2).abs() < 1e-12);
    let parts = result.figures.flow_at(50.0).unwrap().parts;
    let alone = result.runs[0].figures.flow_at(50.0).unwrap().parts.flow_gain.unwrap();
    assert!((parts.flow_gain.unwrap() - alone).abs() < 1e-12);
    let s = result.runs[0].figures.flow_at(50.0).unwrap().parts.scatter.unwrap();
    let expected = s * (1.0_f64 + 1.4 * 1.4).sqrt() / 2.4;
    assert!((parts.scatter.unwrap() - expected).abs() < 1e-12);
    let directions = result.checks.iter().find(|c| c.id == CheckId::Directions).unwrap();
    assert_eq!(directions.value, Some(2.0));
}

#[test]
fn one_and_two_points() {
    // PT-1 and PT-2 of the check cases.
    let q = |result: &EnvelopeResult, p| result.figures.flow_at(p).unwrap().flow.total.si * 3600.0;
    let two =
        evaluate(&simple(&[(50.0, 1040.0), (12.5, 422.0)]), profile("astm-e1827-two-point")).result.unwrap();
    assert!((two.exponent.total.si - 0.6506343121606347).abs() < 1e-12);
    assert!((q(&two, 4.0) - 201.06943033007687).abs() < 1e-8);
    let one = evaluate(&simple(&[(50.0, 1040.0)]), profile("resnet-icc-380-one-point")).result.unwrap();
    assert!((q(&one, 4.0) - 201.39182192643332).abs() < 1e-8);
    assert!(
        one.figures.flow_at(50.0).unwrap().flow.total.bounds().is_none(),
        "no gauge, no scatter, no interval"
    );
    let low = evaluate(&simple(&[(48.3, 1010.0)]), profile("resnet-icc-380-one-point"));
    assert!(codes(&low).contains(&code::E113));
    assert!((q(&low.result.unwrap(), 50.0) - 1032.9665104927153).abs() < 1e-8);
    // Five readings at the one pressure tell their scatter; a reading at 20 Pa is set aside.
    let mut test = simple(&[(50.1, 1040.0), (49.8, 1036.0), (50.3, 1046.0), (49.9, 1031.0), (20.0, 300.0)]);
    test.flow_gauges[0].accuracy = Some(Accuracy { relative: 0.05, absolute: 0.0, larger: false });
    let outcome = evaluate(&test, profile("astm-e1827-one-point"));
    assert!(codes(&outcome).contains(&code::E121));
    let result = outcome.result.unwrap();
    assert_eq!(result.runs[0].left_out, vec![5]);
    assert!(result.figures.flow_at(50.0).unwrap().flow.scatter.bounds().is_some());
    let (lo, hi) = result.exponent.total.bounds().unwrap();
    assert!((hi - lo - 2.0 * 1.959964 * 0.07).abs() < 1e-6);
}

#[test]
fn an_odd_exponent_and_a_low_top_station_are_kept_and_said() {
    let points: Vec<(f64, f64)> =
        [10.0_f64, 15.0, 20.0, 25.0, 30.0].iter().map(|p| (*p, 5.0 * p * p.sqrt())).collect();
    let outcome = evaluate(&simple(&points), profile("iso-9972"));
    assert!(codes(&outcome).contains(&code::E113) && codes(&outcome).contains(&code::E114));
    let result = outcome.result.unwrap();
    assert!((result.exponent.total.si - 1.5).abs() < 1e-12);
    let q50 = result.figures.flow_at(50.0).unwrap();
    assert!(q50.extrapolated && (q50.flow.total.si * 3600.0 - 5.0 * math::pow(50.0, 1.5)).abs() < 1e-8);
    let of = |id| result.all_checks().find(|c| c.id == id).unwrap();
    assert_eq!(of(CheckId::Exponent).verdict, Verdict::Fail);
    assert_eq!(of(CheckId::HighestPressure).verdict, Verdict::Fail);
    let limit =
        AdoptedLimit { figure: FigureKind::Ach50, at_most: 1.0, named: "code".into(), confirmed: true };
    assert_eq!(result.compare(&limit).failed_checks.len(), 2);
}

#[test]
fn bad_input_is_named() {
    fn find(outcome: &Outcome, code: Code) -> &Diagnostic {
        outcome
            .diagnostics
            .list
            .iter()
            .find(|d| d.code == code)
            .unwrap_or_else(|| panic!("{code} in {outcome:?}"))
    }
    let iso = profile("iso-9972");
    let mut test = simple(&FT1);
    test.runs[0].stations[1].shown_pa = f64::NAN;
    test.runs[0].stations[2].fans[0].shown = 0.0;
    test.runs[0].stations[3].shown_pa = -40.0;
    test.building.volume_m3 = Some(0.0);
    test.building.height_m = Some(f64::NAN);
    test.conditions.outdoor_k = Some(-5.0);
    test.pressure_gauge.accuracy = Some(Accuracy { relative: -0.1, absolute: 0.0, larger: false });
    let outcome = evaluate(&test, iso);
    assert!(find(&outcome, code::E102).args.contains(&("station", Arg::Number(2.0))));
    assert!(find(&outcome, code::E103).args.contains(&("station", Arg::Number(3.0))));
    assert!(find(&outcome, code::E104).args.contains(&("station", Arg::Number(4.0))));
    assert!(find(&outcome, code::E108).args.contains(&("test", Arg::Text("first floor".into()))));
    find(&outcome, code::E117);
    find(&outcome, code::E118);
    find(&outcome, code::E122);
    let result = outcome.result.unwrap();
    assert_eq!(result.runs[0].left_out, vec![2, 3, 4]);
    assert!(result.figures.ach50.is_none() && result.figures.nl.is_none());

    test.runs[0].stations.truncate(4);
    let outcome = evaluate(&test, iso);
    assert!(outcome.result.is_none());
    assert!(find(&outcome, code::E101).args.contains(&("found", Arg::Number(1.0))));

    let mut test = simple(&[(50.0, 1.0), (50.0, 2.0), (50.0, 3.0)]);
    find(&evaluate(&test, iso), code::E119);
    test.pressure_gauge.baseline_already_out = false;
    find(&evaluate(&test, iso), code::E105);
    test.runs[0].baseline_before = Some(Baseline::Samples(vec![0.5, f64::INFINITY]));
    test.runs[0].baseline_after = Some(Baseline::Mean(0.5));
    let outcome = evaluate(&test, iso);
    assert!(find(&outcome, code::E107).args.contains(&("sample", Arg::Number(2.0))));
    find(&outcome, code::E106);
    test.runs.clear();
    find(&evaluate(&test, iso), code::E101);

    let mut test = simple(&FT1);
    test.flow_gauges[0].basis = Basis::FanPressure;
    let outcome = evaluate(&test, iso);
    find(&outcome, code::E110);
    find(&outcome, code::E115);
    find(&outcome, code::E116);
    let curve = Curve::Power { k_m3_s: 0.02, exponent: 0.5, span_pa: Some((100.0, 200.0)) };
    test.flow_gauges[0].calibrations = vec![Calibration { curve, density_kg_m3: 1.2 }];
    find(&evaluate(&test, iso), code::E109);
    test.flow_gauges[0].calibrations[0].density_kg_m3 = f64::NAN;
    find(&evaluate(&test, iso), code::E111);
}

mod any_input {
    use super::*;
    use crate::procedure::envelope::PROFILES;
    use proptest::prelude::*;

    /// Mostly what a gauge might show, sometimes anything a float can be.
    fn value(usual: std::ops::Range<f64>) -> impl Strategy<Value = f64> {
        prop_oneof![4 => usual, 1 => any::<f64>()]
    }

    prop_compose! {
        fn any_station()(down in any::<bool>(), shown_pa in value(-80.0..80.0), shown in value(0.01..1.0), range in 0..2_usize,
            second in prop_oneof![Just(0.0), value(0.01..1.0)])
            -> Station {
            let direction = if down { Depressurise } else { Pressurise };
            Station { direction, shown_pa, fans: vec![FanReading { shown, range }, FanReading { shown: second, range: 0 }], averaged: Averaged::default(), span: None }
        }
    }

    proptest! {
        #[test]
        fn nothing_panics_and_every_figure_is_finite(
            mut stations in prop::collection::vec(any_station(), 0..12),
            before in prop::collection::vec(value(-3.0..3.0), 0..4),
            told in prop::collection::vec(value(0.1..400.0), 9),
            which in 0..PROFILES.len(),
            bases in prop::collection::vec(0..6_usize, 1..3),
            out in any::<bool>(),
        ) {
            let density_kg_m3 = told[0];
            let bases: Vec<Basis> = bases.into_iter().map(|b| [Basis::FanPressure, Basis::CalibrationDensity { density_kg_m3 }, Basis::Actual,
                Basis::StandardAir, Basis::Envelope, Basis::Reference][b]).collect();
            for station in &mut stations {
                station.fans.truncate(bases.len());
            }
            let curve = Curve::Power { k_m3_s: told[1], exponent: told[2], span_pa: None };
            let order = if out { TapOrder::Unsigned } else { TapOrder::HouseMinusOutdoors };
            let test = EnvelopeTest {
                name: "any".into(),
                pressure_gauge: gauge(order, out),
                flow_gauges: bases.into_iter().map(|basis| FlowGauge {
                    basis,
                    calibrations: vec![Calibration { curve: curve.clone(), density_kg_m3: 1.2 }],
                    accuracy: Some(Accuracy { relative: 0.05, absolute: told[3], larger: true }),
                }).collect(),
                runs: vec![Run { baseline_before: Some(Baseline::Samples(before)), stations, ..Run::default() }],
                conditions: Conditions {
                    indoor_k: Some(told[4]),
                    outdoor_k: Some(told[5]),
                    site: Some(Site::Barometer { pressure_pa: 1000.0 * told[6] }),
                    ..Conditions::default()
                },
                building: Building { volume_m3: Some(told[7]), floor_area_m2: Some(told[8]), ..Building::default() },
                span: None,
            };
            let outcome = evaluate(&test, &PROFILES[which]);
            match outcome.result {
                None => prop_assert!(outcome.diagnostics.has_errors()),
                Some(result) => {
                    for run in &result.runs {
                        prop_assert!(run.stations.iter().all(|s| s.residual_percent.is_finite()), "{run:?}");
                    }
                    for flow in &result.figures.flows {
                        prop_assert!(flow.flow.total.si.is_finite() && flow.flow.total.si > 0.0, "{flow:?}");
                        let ends = flow.flow.total.bounds().unwrap_or((1.0, 1.0));
                        prop_assert!(ends.0 >= 0.0 && ends.0 <= ends.1, "{flow:?}");
                    }
                }
            }
        }
    }
}
