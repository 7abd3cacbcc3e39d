//! Where an air handler's blower works: its flow, and that of an outdoor duct into its return, from
//! the network of filter, return, intake and supply on the blower's curve.
//!
//! The network has the rooms and outdoors at one pressure, which next to the tens of pascals within a
//! return are the same (common practice, no source); what is known is the point as found: the flow, the rise,
//! the filter's drop and the suction where an outdoor duct joins. Return, intake and supply are
//! `C dp^0.5` through that point, the filter `C dp^n`. Then the filter changes, and the network is
//! solved again on the motor's curve:
//!
//! * the wheel at one speed makes `A s^2 - B x^2` over `x`, the flow over that as found, and `s`, the
//!   speed over that as found (fan laws and a wheel whose pressure falls with the square of its flow;
//!   common practice, no source);
//! * a permanent split capacitor motor keeps `s = 1`, the simplest that can be said of it;
//! * a motor that holds its torque turns as `s = 1 / x`, since the torque of a forward-curved wheel
//!   goes with speed and flow (`Q s`, Euler's equation without its constant term), up to [`MOST_SPEED`];
//! * one that holds its flow does so up to its limit, and then follows the wheel at full speed.
//!
//! Electric power goes with `s^2 x`, torque times speed of such a wheel; the motor's efficiency stays.
//! Shares of duct leaks stay.

use crate::doc::house::{AirHandler, Blower, HandlerFilter, Motor};
use crate::math;
use crate::network::{
    Boundary, FanCurve, Kind, Network, Node, Passage, Solution, SolveError, TOLERANCE_FIT, Workspace,
    solve_into,
};

/// Fastest that a motor of constant torque turns, over its speed as found. Common practice, no source.
const MOST_SPEED: f64 = 1.25;
/// Part of what return and supply take without filter that falls before the intake's junction, where its suction
/// is not told. Common practice, no source.
const RETURN_PART: f64 = 1.0 / 3.0;
/// Points along a curve.
const POINTS: u32 = 24;

/// Where the blower works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandlerPoint {
    /// Flow through the blower, m3/s.
    pub flow_m3_s: f64,
    /// Outdoor air that the intake brings while it runs, m3/s.
    pub intake_m3_s: f64,
    /// Drop over the filter, Pa.
    pub filter_pa: f64,
    /// Pressure that the blower makes, Pa.
    pub rise_pa: f64,
    /// Electric power over that as found.
    pub power: f64,
}

/// What is put into the handler since it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandlerChange {
    /// Another filter.
    pub filter: Option<HandlerFilter>,
    /// Speed over that as found.
    pub speed: f64,
    /// Outdoor air of a new intake at the pressures as found, m3/s.
    pub intake_m3_s: f64,
}

/// Why there is no working point.
#[derive(Clone, Debug, PartialEq)]
pub enum BlowerError {
    /// Filter and return take more than the blower makes, Pa.
    TooMuch {
        /// What they take.
        drops_pa: f64,
        /// What it makes.
        rise_pa: f64,
    },
    /// The network was not solved.
    Solve(SolveError),
}

impl HandlerFilter {
    /// Drop at a flow, Pa; `found_m3_s` is that of the handler as found.
    pub fn drop_at_pa(&self, flow_m3_s: f64, found_m3_s: f64) -> f64 {
        let at = self.at_m3_s.unwrap_or(found_m3_s);
        self.loading * self.drop_pa * math::pow(flow_m3_s / at, 1.0 / self.exponent)
    }

    fn passage(&self, found_m3_s: f64) -> Kind {
        let at = self.at_m3_s.unwrap_or(found_m3_s);
        let n = self.exponent;
        Kind::Leak { c_m3_s_pan: at / math::pow(self.loading * self.drop_pa, n), n }
    }
}

/// The wheel's `A` and `B`, Pa.
fn wheel(blower: &Blower) -> (f64, f64) {
    match blower.motor {
        // At full speed it passes its limit at the flow as found.
        Motor::ConstantAirflow { up_to_pa } => {
            let b = blower.shut_off_pa - up_to_pa;
            (blower.rise_pa + b, b)
        }
        _ => (blower.shut_off_pa, blower.shut_off_pa - blower.rise_pa),
    }
}

/// The blower's curve through the point as found, at its speed then.
fn curve(blower: &Blower, flow_m3_s: f64) -> Option<FanCurve> {
    let density = crate::air::REFERENCE_DENSITY_KG_M3;
    let (a, b) = wheel(blower);
    // Points by the flow from none to that at no pressure, each at the speed that the motor takes there.
    let points = |most: f64, speed: &dyn Fn(f64) -> f64| {
        let at = |i: u32| {
            let x = most * f64::from(i) / f64::from(POINTS);
            let s = speed(x);
            (a * s * s - b * x * x, x * flow_m3_s)
        };
        FanCurve::new(&(0..=POINTS).map(at).collect::<Vec<_>>(), density).ok()
    };
    match &blower.motor {
        Motor::Curve(curve) => curve.with_flow(flow_m3_s / curve.flow_m3_s(blower.rise_pa)).ok(),
        Motor::OneSpeed => points((a / b).sqrt(), &|_| 1.0),
        Motor::ConstantTorque => {
            points((a / b).sqrt().sqrt(), &|x| if x * MOST_SPEED > 1.0 { 1.0 / x } else { MOST_SPEED })
        }
        Motor::ConstantAirflow { up_to_pa } => {
            FanCurve::constant_flow(flow_m3_s, *up_to_pa, blower.shut_off_pa, density).ok()
        }
    }
}

/// Electric power over that as found at a flow and rise, both at the speed as found.
fn power(blower: &Blower, x: f64, rise_pa: f64) -> f64 {
    let (a, b) = wheel(blower);
    match blower.motor {
        Motor::Curve(_) => x,
        _ => ((rise_pa + b * x * x) / a).max(0.0) * x,
    }
}

/// What falls where at the flow as found, Pa.
struct Found {
    filter: Option<HandlerFilter>,
    intake_m3_s: f64,
    /// Return without a filter at the grille, and all behind the junction without a filter at the blower.
    duct_pa: f64,
    rest_pa: f64,
}

fn found(
    handler: &AirHandler,
    blower: &Blower,
    flow_m3_s: f64,
    new_intake_m3_s: f64,
) -> Result<Found, BlowerError> {
    let filter = handler.filter;
    let intake_m3_s = handler.intake.map_or(0.0, |i| i.flow_m3_s).min(0.5 * flow_m3_s);
    let at_grille = filter.filter(|f| f.at_grille);
    let at_blower = filter.filter(|f| !f.at_grille);
    let grille_pa = at_grille.map_or(0.0, |f| f.drop_at_pa(flow_m3_s - intake_m3_s, flow_m3_s));
    let blower_pa = at_blower.map_or(0.0, |f| f.drop_at_pa(flow_m3_s, flow_m3_s));
    let left_pa = blower.rise_pa - grille_pa - blower_pa;
    let told = handler.intake.and_then(|i| i.suction_pa);
    let suction_pa = told.unwrap_or(grille_pa + RETURN_PART * left_pa);
    let (duct_pa, rest_pa) = (suction_pa - grille_pa, blower.rise_pa - suction_pa - blower_pa);
    if !(duct_pa > 0.0 && rest_pa > 0.0) {
        let drops_pa = grille_pa.max(suction_pa) + blower_pa;
        return Err(BlowerError::TooMuch { drops_pa, rise_pa: blower.rise_pa.min(suction_pa.max(drops_pa)) });
    }
    Ok(Found { filter, intake_m3_s: intake_m3_s + new_intake_m3_s, duct_pa, rest_pa })
}

/// Where the blower of a handler works that moves `flow_m3_s` as found, after `change`; nothing where
/// the house file knows no blower.
///
/// # Errors
/// [`BlowerError`].
pub fn handler_point(
    handler: &AirHandler,
    flow_m3_s: f64,
    change: &HandlerChange,
) -> Option<Result<HandlerPoint, BlowerError>> {
    let blower = handler.blower.as_ref()?;
    Some(point(handler, blower, flow_m3_s, change))
}

fn point(
    handler: &AirHandler,
    blower: &Blower,
    flow_m3_s: f64,
    change: &HandlerChange,
) -> Result<HandlerPoint, BlowerError> {
    let before = found(handler, blower, flow_m3_s, change.intake_m3_s)?;
    let too_much = |drops_pa| BlowerError::TooMuch { drops_pa, rise_pa: blower.rise_pa };
    let curve = curve(blower, flow_m3_s).and_then(|c| c.at_speed(change.speed).ok()).ok_or(too_much(0.0))?;
    let filter = change.filter.or(before.filter);
    let root = |flow: f64, pa: f64| Kind::Leak { c_m3_s_pan: flow / pa.sqrt(), n: 0.5 };
    let old_intake_m3_s = before.intake_m3_s - change.intake_m3_s;
    let suction_pa = before.duct_pa
        + before
            .filter
            .filter(|f| f.at_grille)
            .map_or(0.0, |f| f.drop_at_pa(flow_m3_s - old_intake_m3_s, flow_m3_s));
    let out = Node::Outdoors { wind: 0 };
    let (junction, outlet) = (Node::Zone(0), Node::Zone(1));
    // Behind a filter at the grille, or before the blower behind one that stands there.
    let behind = Node::Zone(2);
    let at_grille = filter.is_some_and(|f| f.at_grille);
    let inlet = if filter.is_some() && !at_grille { behind } else { junction };
    let mut passages = vec![
        (inlet, outlet, Kind::Curve(curve)),
        (outlet, out, root(flow_m3_s, before.rest_pa)),
        (if at_grille { behind } else { out }, junction, root(flow_m3_s - old_intake_m3_s, before.duct_pa)),
    ];
    let mut add = |passage| {
        passages.push(passage);
        Some(passages.len() - 1)
    };
    let filter_at = filter.and_then(|f| {
        let (a, b) = if f.at_grille { (out, behind) } else { (junction, behind) };
        add((a, b, f.passage(flow_m3_s)))
    });
    let intake_at = if before.intake_m3_s > 0.0 {
        add((out, junction, root(before.intake_m3_s, suction_pa)))
    } else {
        None
    };
    let names: &[&str] =
        if filter.is_some() { &["junction", "outlet", "filter"] } else { &["junction", "outlet"] };
    let passages = passages.into_iter().map(|(a, b, kind)| Passage { a, b, z_m: 0.0, kind }).collect();
    let network = Network::new(names.iter().copied(), passages).map_err(|_| too_much(0.0))?;
    let boundary = Boundary::still(&network, crate::air::REFERENCE_TEMP_K);
    let mut workspace = Workspace::new(&network).with_tolerance(TOLERANCE_FIT);
    let mut solved = Solution::default();
    // The start that hardly moves from the point as found.
    let start = [-suction_pa, before.rest_pa, if at_grille { -0.5 * suction_pa } else { -suction_pa - 20.0 }];
    let start = start.get(..names.len());
    solve_into(&network, &boundary, &mut workspace, start, &mut solved).map_err(BlowerError::Solve)?;
    let density = crate::air::REFERENCE_DENSITY_KG_M3;
    let of = |passage: Option<usize>| passage.and_then(|p| solved.flows.get(p)).copied().unwrap_or_default();
    let (blown, s) = (of(Some(0)), change.speed);
    let (now_m3_s, rise_pa) = (blown.net_kg_s() / density, -blown.dp_pa);
    Ok(HandlerPoint {
        flow_m3_s: now_m3_s,
        intake_m3_s: (of(intake_at).net_kg_s() / density).max(0.0),
        filter_pa: of(filter_at).dp_pa,
        rise_pa,
        power: s * s * s * power(blower, now_m3_s / flow_m3_s / s, rise_pa / (s * s)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doc::house::HandlerIntake;

    const FLOW: f64 = 0.5;
    const STILL: HandlerChange = HandlerChange { filter: None, speed: 1.0, intake_m3_s: 0.0 };

    /// A filter that takes 25 Pa clean as the square of the flow, of a rise of 125 Pa.
    fn filter(loading: f64, at_grille: bool) -> HandlerFilter {
        HandlerFilter { drop_pa: 25.0, at_m3_s: Some(FLOW), loading, exponent: 0.5, at_grille }
    }

    fn handler(motor: Motor, at_grille: bool, intake: Option<HandlerIntake>) -> AirHandler {
        let shut_off_pa = 300.0;
        AirHandler {
            zone: crate::doc::Sp { value: "attic".into(), span: crate::diag::Span::new("house.toml", 0..0) },
            flow_m3_s: (FLOW, FLOW),
            supply_leak: (0.0, 0.0),
            return_leak: (0.0, 0.0),
            power_w: 400.0,
            filter_pm25: 0.3,
            mix_share: 0.0,
            registers: Vec::new(),
            ducts: Vec::new(),
            blower: Some(Blower { motor, rise_pa: 125.0, shut_off_pa }),
            filter: Some(filter(1.0, at_grille)),
            intake,
            span: crate::diag::Span::new("house.toml", 0..0),
        }
    }

    fn with(h: &AirHandler, filter: HandlerFilter) -> HandlerPoint {
        handler_point(h, FLOW, &HandlerChange { filter: Some(filter), ..STILL }).unwrap().unwrap()
    }

    #[test]
    fn nothing_changed_is_the_point_as_found() {
        let duct = Some(HandlerIntake { flow_m3_s: 0.03, suction_pa: Some(40.0) });
        for motor in [Motor::OneSpeed, Motor::ConstantTorque, Motor::ConstantAirflow { up_to_pa: 200.0 }] {
            for at_grille in [false, true] {
                let h = handler(motor.clone(), at_grille, duct);
                let p = handler_point(&h, FLOW, &STILL).unwrap().unwrap();
                assert!((p.flow_m3_s / FLOW - 1.0).abs() < 2e-3, "{motor:?}: {p:?}");
                assert!((p.intake_m3_s / 0.03 - 1.0).abs() < 2e-3, "{p:?}");
                assert!((p.rise_pa - 125.0).abs() < 0.5 && (p.power - 1.0).abs() < 5e-3, "{p:?}");
            }
        }
    }

    #[test]
    fn a_loaded_filter_by_motor_worked_by_hand() {
        // 100 x^2 for the rest and 75 x^2 for the filter loaded threefold, against
        // 300 - 175 x^2: x = sqrt(300 / 350); with the torque held 300 / x^2 = 350 x^2.
        let p = with(&handler(Motor::OneSpeed, false, None), filter(3.0, false));
        assert!((p.flow_m3_s / FLOW - (300.0_f64 / 350.0).sqrt()).abs() < 1e-3, "{p:?}");
        assert!((p.filter_pa - 75.0 * 300.0 / 350.0).abs() < 0.2, "{p:?}");
        // A wheel at one speed takes less power with less flow.
        assert!((p.power - (300.0_f64 / 350.0).sqrt()).abs() < 2e-3, "{p:?}");
        let p = with(&handler(Motor::ConstantTorque, false, None), filter(3.0, false));
        assert!((p.flow_m3_s / FLOW - (300.0_f64 / 350.0).sqrt().sqrt()).abs() < 1e-3, "{p:?}");
        assert!(p.power > 1.0, "{p:?}");
        // The flow is held, and the power pays: 175 Pa, s^2 = (175 + 100) / 225.
        let p = with(&handler(Motor::ConstantAirflow { up_to_pa: 200.0 }, false, None), filter(3.0, false));
        assert!((p.flow_m3_s / FLOW - 1.0).abs() < 1e-3 && (p.power - 275.0 / 225.0).abs() < 2e-3, "{p:?}");
        // Beyond its limit it falls: 100 x^2 + 150 x^2 against 300 - 100 x^2, to the cubic between the
        // curve's points.
        let p = with(&handler(Motor::ConstantAirflow { up_to_pa: 200.0 }, false, None), filter(6.0, false));
        assert!((p.flow_m3_s / FLOW - (300.0_f64 / 350.0).sqrt()).abs() < 5e-3, "{p:?}");
    }

    /// Common practice, no source: what joins before a loading filter draws less, what joins behind it more.
    #[test]
    fn an_intake_answers_to_the_side_that_the_filter_loads_on() {
        let duct = Some(HandlerIntake { flow_m3_s: 0.03, suction_pa: Some(40.0) });
        // Grille and intake fall alike before the filter: 0.03 sqrt(300 / 350).
        let p = with(&handler(Motor::OneSpeed, false, duct), filter(3.0, false));
        assert!((p.intake_m3_s - 0.03 * (300.0_f64 / 350.0).sqrt()).abs() < 5e-5, "{p:?}");
        // Behind it, from a bisection of the same four laws in another program: 0.469803 and 0.0398156 m3/s.
        let p = with(&handler(Motor::OneSpeed, true, duct), filter(3.0, true));
        assert!(
            (p.flow_m3_s - 0.469_803).abs() < 5e-4 && (p.intake_m3_s - 0.039_815_6).abs() < 5e-5,
            "{p:?}"
        );
        assert!(p.flow_m3_s < FLOW && p.intake_m3_s > 0.03);
    }

    #[test]
    fn slower_by_the_fan_laws() {
        let p = handler_point(
            &handler(Motor::OneSpeed, false, None),
            FLOW,
            &HandlerChange { speed: 0.8, ..STILL },
        );
        let p = p.unwrap().unwrap();
        assert!((p.flow_m3_s / FLOW - 0.8).abs() < 2e-3 && (p.power - 0.512).abs() < 3e-3, "{p:?}");
    }

    #[test]
    fn drops_beyond_the_rise_are_refused() {
        let mut h = handler(Motor::OneSpeed, false, None);
        h.filter = Some(filter(6.0, false));
        assert!(matches!(handler_point(&h, FLOW, &STILL), Some(Err(BlowerError::TooMuch { .. }))));
    }
}
