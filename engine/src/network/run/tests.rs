use super::*;
use crate::device::duct::{compression_factor, friction_pa_m};
use crate::network::law::SMOOTHING_PA;

const E2: f64 = SMOOTHING_PA * SMOOTHING_PA;
const ROOM: Side = Side { density: REFERENCE_DENSITY_KG_M3, viscosity_ratio: 1.0 };
const COLD: Side = Side { density: 1.35, viscosity_ratio: 0.92 };

fn round(d: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * d * d
}

fn curve() -> FanCurve {
    FanCurve::new(&[(0.0, 0.060), (25.0, 0.060), (50.0, 0.047), (100.0, 0.030), (150.0, 0.012)], 1.2).unwrap()
}

#[test]
fn straight_ducts_meet_colebrook_within_two_percent() {
    let mu = viscosity_pa_s(REFERENCE_TEMP_K);
    let mut worst: f64 = 0.0;
    for d in [0.1, 0.125, 0.15, 0.2, 0.3, 0.4] {
        for rough in [0.0, 4.6e-7, 4.6e-5, 9e-5, 1.5e-4, 9e-4, 3e-3] {
            let r = Resistance::straight(10.0, d, round(d), rough);
            for i in 0..=50 {
                let re = 4e3 * crate::math::pow(37.5, f64::from(i) / 50.0);
                let kg_s = re * round(d) * mu / d;
                let exact = 10.0 * friction_pa_m(d, kg_s / 1.2041, rough, 1.2041, mu);
                worst = worst.max((r.drop_pa(kg_s, 1.2041, mu) / exact - 1.0).abs());
            }
        }
    }
    println!("worst {worst:.4}");
    assert!(worst < 0.02, "{worst}");
}

/// validate/data/fluids-friction (fluids 1.3.1, exact Colebrook): runs 04, 10, 16, 17, 22, 28, 36.
#[test]
fn straight_ducts_meet_published_friction() {
    for (d, q, rough, pa_m) in [
        (0.1, 0.015, 9e-5, 0.670_485_840_564_472),
        (0.125, 0.03, 9e-5, 0.786_104_576_429_214),
        (0.15, 0.05, 9e-5, 0.813_856_587_665_901),
        (0.15, 0.05, 9e-4, 1.119_963_782_098_68),
        (0.2, 0.1, 9e-5, 0.704_227_822_782_545),
        (0.25, 0.2, 9e-5, 0.838_831_200_908_305),
        (0.3, 0.3, 3e-3, 1.395_604_336_895_81),
    ] {
        let found = Resistance::straight(1.0, d, round(d), rough).drop_pa(q * 1.204, 1.204, 1.8134e-5);
        assert!((found / pa_m - 1.0).abs() < 0.02, "{d} {rough}: {found} {pa_m}");
    }
}

#[test]
fn parts_meet_their_closed_forms() {
    // C rho V^2 / 2 at 4 m/s, and an orifice against the law of a leak of exponent 0.5.
    let area = round(0.15);
    let found = Resistance::loss(1.7, area).drop_pa(1.2 * 4.0 * area, 1.2, 1.8e-5);
    assert!((found - 1.7 * 1.2 * 8.0).abs() < 1e-9);
    let terms = RunTerms::new(&Run::of(Resistance::orifice(0.01, 0.6)), ROOM, ROOM, E2);
    let wanted = 0.6 * 0.01 * (2.0 * REFERENCE_DENSITY_KG_M3 * 7.0_f64).sqrt();
    assert!((terms.point(None, 7.0).flow / wanted - 1.0).abs() < 3e-5);
    // A filter: value and slope at its rating.
    let filter = Resistance::rated(60.0, 0.4, 0.8);
    let drop = |q: f64| {
        filter.drop_pa(q * REFERENCE_DENSITY_KG_M3, REFERENCE_DENSITY_KG_M3, viscosity_pa_s(REFERENCE_TEMP_K))
    };
    assert!((drop(0.4) - 60.0).abs() < 1e-9);
    let slope = (drop(0.4 + 1e-6) - drop(0.4 - 1e-6)) / 2e-6 * 0.4 / 60.0;
    assert!((slope - 1.0 / 0.8).abs() < 1e-6, "{slope}");
    // Half the flow, against the power law that it stands for.
    assert!((drop(0.2) / (60.0 * crate::math::pow(0.5, 1.25)) - 1.0).abs() < 0.05);
    // Compressed flexible duct takes its published multiple.
    let flex = Resistance::straight(3.0, 0.1524, round(0.1524), 9e-4);
    let more = flex.times(compression_factor(0.1524, 0.3));
    assert!((more.drop_pa(0.06, 1.2, 1.8e-5) / flex.drop_pa(0.06, 1.2, 1.8e-5) - 9.17).abs() < 0.01);
}

fn kinds() -> Vec<Run> {
    let duct = Resistance::straight(8.0, 0.125, round(0.125), 9e-4).and(Resistance::loss(2.5, round(0.125)));
    let filter = Resistance::rated(40.0, 0.05, 0.8);
    let gas = Gas { temp_k: 420.0, density_kg_m3: 0.84 };
    let hood = Hood { opening: Resistance::orifice(0.02, 0.6), fed_kg_s: 0.01 };
    vec![
        Run::of(duct),
        Run { sized: filter, ..Run::of(Resistance::default()) },
        Run { sized: filter, fan: Some(curve()), ..Run::of(duct) },
        Run { fan: Some(curve()), ..Run::of(Resistance::default()) },
        Run { rise_m: 6.0, gas: Some(gas), ..Run::of(duct) },
        Run { rise_m: 6.0, gas: Some(gas), hood: Some(hood), ..Run::of(duct) },
        Run { rise_m: 6.0, gas: Some(gas), hood: Some(hood), fan: Some(curve()), ..Run::of(duct) },
    ]
}

#[test]
fn flow_is_the_gradient_of_a_convex_potential() {
    for (k, run) in kinds().iter().enumerate() {
        assert!(run.is_valid());
        let terms = RunTerms::new(run, ROOM, COLD, E2);
        let fan = run.fan.as_ref();
        let mut last = f64::NEG_INFINITY;
        for i in -60..=60 {
            let dp = f64::from(i) * 3.7 + 0.013;
            let h = 1e-4;
            let (up, down, at) = (terms.point(fan, dp + h), terms.point(fan, dp - h), terms.point(fan, dp));
            assert!(at.flow >= last && at.slope > 0.0, "{k} {dp}");
            last = at.flow;
            let flow = (up.potential - down.potential) / (2.0 * h);
            assert!((at.flow - flow).abs() < 1e-7 * (1.0 + flow.abs()), "{k} {dp}: {} {flow}", at.flow);
            let slope = (up.flow - down.flow) / (2.0 * h);
            assert!((at.slope - slope).abs() < 1e-3 * slope + 1e-9, "{k} {dp}: {} {slope}", at.slope);
        }
    }
}

#[test]
fn the_series_law_holds_to_rounding() {
    for (k, run) in kinds().iter().enumerate() {
        let terms = RunTerms::new(run, ROOM, COLD, E2);
        for dp in [-180.0, -40.0, -3.0, -0.02, 0.0, 0.4, 12.0, 90.0] {
            let w = terms.working(run.fan.as_ref(), dp);
            let out = terms.drop(w.flow_kg_s).r - w.rise_pa - terms.drive_pa - dp;
            assert!(out.abs() < 1e-9 * (1.0 + dp.abs() + w.rise_pa.abs()), "{k} {dp}: {out}");
        }
    }
}

/// A straight fan line against one quadratic: `a q^2 = p0 (1 - q/q0)` in closed form.
#[test]
fn fan_and_duct_meet_in_closed_form() {
    let (p0, q0) = (120.0, 0.08);
    let fan = FanCurve::new(&[(0.0, q0), (p0, 0.0)], REFERENCE_DENSITY_KG_M3).unwrap();
    let loss = Resistance::loss(6.0, round(0.125));
    let run = Run { fan: Some(fan), ..Run::of(loss) };
    let w = RunTerms::new(&run, ROOM, ROOM, E2).working(run.fan.as_ref(), 0.0);
    let a = loss.quadratic_m4 * REFERENCE_DENSITY_KG_M3;
    let b = p0 / q0;
    let q = (-b + (b * b + 4.0 * a * p0).sqrt()) / (2.0 * a);
    assert!((w.flow_m3_s / q - 1.0).abs() < 3e-5, "{} {q}", w.flow_m3_s);
    assert!((w.rise_pa / (a * q * q) - 1.0).abs() < 3e-5);
}

/// A stack by hand: `rho g h` against `C rho V^2 / 2`, both directions by the pressure across it.
#[test]
fn a_stack_draws_by_its_own_temperature_and_can_be_turned() {
    let area = round(0.15);
    let gas = Gas { temp_k: 420.0, density_kg_m3: 101_325.0 / (287.055 * 420.0) };
    let run = Run { rise_m: 6.0, gas: Some(gas), ..Run::of(Resistance::loss(3.0, area)) };
    let terms = RunTerms::new(&run, ROOM, COLD, E2);
    let draft = (1.35 - gas.density_kg_m3) * GRAVITY_M_S2 * 6.0;
    let wanted = area * (2.0 * gas.density_kg_m3 * draft / 3.0).sqrt();
    assert!((terms.point(None, 0.0).flow / wanted - 1.0).abs() < 3e-5);
    assert!(terms.point(None, -draft).flow.abs() < 1e-12, "held at rest by its own draft");
    assert!(terms.point(None, -draft - 5.0).flow < 0.0);
}

#[test]
fn a_draft_hood_spills_what_the_flue_cannot_take() {
    let area = round(0.15);
    let gas = Gas { temp_k: 420.0, density_kg_m3: 0.84 };
    let opening = Resistance::orifice(0.02, 0.6);
    let flue = Resistance::loss(3.0, area);
    let run =
        Run { rise_m: 6.0, gas: Some(gas), hood: Some(Hood { opening, fed_kg_s: 0.01 }), ..Run::of(flue) };
    let terms = RunTerms::new(&run, ROOM, COLD, E2);
    let well = terms.working(None, 0.0);
    assert!(well.spilled_kg_s < 0.0, "the hood draws dilution air: {well:?}");
    let back = terms.working(None, -40.0);
    assert!(back.flow_kg_s < 0.0 && back.spilled_kg_s > 0.01, "{back:?}");
    // Where the flue takes just what the burner feeds, nothing passes the hood.
    let dp = flue.drop_pa(0.01, 0.84, 1.8e-5) - terms.drive_pa;
    assert!(terms.working(None, dp).spilled_kg_s.abs() < 1e-5);
}

#[test]
fn partials_meet_differences() {
    let h = 1e-6;
    for run in kinds() {
        let at = |scale: f64, sized: f64, dp: f64| {
            let moved = Run {
                sized: run.sized.times(crate::math::exp(sized)),
                fan: run.fan.as_ref().map(|f| f.with_flow(crate::math::exp(scale)).unwrap()),
                ..run.clone()
            };
            RunTerms::new(&moved, ROOM, COLD, E2).working(moved.fan.as_ref(), dp).flow_kg_s
        };
        let terms = RunTerms::new(&run, ROOM, COLD, E2);
        for dp in [-30.0, 4.0] {
            let (by_scale, by_sized) = terms.partials(run.fan.as_ref(), dp);
            let sized = (at(0.0, h, dp) - at(0.0, -h, dp)) / (2.0 * h);
            assert!((by_sized - sized).abs() < 1e-4 * (sized.abs() + 1e-4), "{by_sized} {sized}");
            if run.fan.is_some() {
                let scale = (at(h, 0.0, dp) - at(-h, 0.0, dp)) / (2.0 * h);
                assert!((by_scale - scale).abs() < 1e-4 * (scale.abs() + 1e-4), "{by_scale} {scale}");
            }
        }
    }
}
