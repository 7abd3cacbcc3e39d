//! Truths of another making, with what the fit does not know of: leakage half a standard deviation
//! off, each leak with an exponent of its own, gusts on every face while a reading is taken, one door
//! in twenty not as recorded, one reading in fifty wrong by a slip, one passage that nobody drew.
//!
//! Its readings are worked out here, reading by reading, from the air network alone; of the fit it
//! uses only the list of what was read under which setup. Kept apart from [`crate::truth_drawn`].

use crate::fit_cases::{Case, hidden};
use crate::fit_coverage::{Hidden, Made};
use crate::rounds::Visit;
use engine::doc::visit::Direction;
use engine::fit::observe::{Observation, Observations, Seen, Station};
use engine::fit::total_at50_m3_s;
use engine::house::air::{Air, TestFan, register_flow_m3_s};
use engine::house::{Exponent, House, Law, Owner, ParamKind, WINDS};
use engine::math;
use engine::rng::Stream;

/// Leakage is this many prior standard deviations off, in one direction for a whole house.
const LEAKAGE_OFF_SD: f64 = 0.5;
/// Exponents of leaks of cracks, and of openings.
const CRACKS: (f64, f64) = (0.55, 0.75);
const OPENINGS: (f64, f64) = (0.5, 0.6);
/// A gust during a reading, as a share of the wind's own spread.
const GUST: f64 = 0.5;
/// One door in so many stood otherwise, from when it was last touched until it was touched again.
const DOOR_OTHERWISE: f64 = 0.05;
/// One reading in so many is wrong by a slip.
const SLIP: f64 = 0.02;
/// The passage passes this share of the total at 50 Pa, even in the logarithm.
const SHARE: (f64, f64) = (0.02, 0.4);
/// Factor on the noise of a reading that is set aside.
const NO_WEIGHT: f64 = 1e4;
/// Ends of the passage.
pub const PASSAGES: [[&str; 2]; 6] = [
    ["main", "attic"],
    ["main", "crawl"],
    ["bedroom", "attic"],
    ["main", "outdoors"],
    ["attic", "crawl"],
    ["bedroom", "main"],
];
/// Cubic feet a minute in a litre a second.
const CFM_IN_L_S: f64 = 2.118_88;

fn between(stream: &mut Stream, (lo, hi): (f64, f64)) -> f64 {
    lo + (hi - lo) * stream.uniform()
}

/// Which of [`PASSAGES`] house `at` of a series has.
pub fn passage(at: u64) -> [&'static str; 2] {
    PASSAGES[(at % PASSAGES.len() as u64) as usize]
}

/// The truth of house `at` of a series, and its readings; nothing where they cannot be made.
/// `drawn` is the text of the house as drawn and `visit` that of the visit; `case` is made of them.
/// Without `mistakes` every reading and door is right.
pub fn make(case: &Case, (drawn, visit): (&str, &Visit), mistakes: bool, seed: u64, at: u64) -> Option<Made> {
    let mut stream = Stream::new(seed.wrapping_add(at), "house of other making");
    let pair = passage(at);
    let mut real = Case::new(&format!("{drawn}{}", hidden(pair)), &visit.text);
    let passage = real.house.leaks.iter().position(|l| l.name == "hidden")?;
    own_exponents(&mut real.house, &mut stream);
    let off = if stream.uniform() < 0.5 { -LEAKAGE_OFF_SD } else { LEAKAGE_OFF_SD };
    let size = real.house.leaks[passage].at50;
    let mut theta: Vec<f64> = (real.house.params.iter())
        .map(|p| {
            let off = if p.kind == ParamKind::LeakAt50 { off } else { 0.0 };
            p.mean + p.sd * (off + stream.normal())
        })
        .collect();
    theta[size] = -30.0;
    let mut air = Air::new(&real.house).ok()?;
    let without_it = total_at50_m3_s(&real.house, &mut air, &theta);
    let share = math::exp(between(&mut stream, (math::ln(SHARE.0), math::ln(SHARE.1))));
    theta[size] = math::ln(without_it * share / (1.0 - share));
    let mut there = real.seen.clone();
    let doors = if mistakes { turn_doors(&mut there, visit.looked_from(), &mut stream) } else { Vec::new() };
    let values = values(&real.house, &there, &theta, &mut stream)?;
    let mut seen = case.seen.clone();
    let (mut slips, mut as_shown) = (Vec::new(), Vec::new());
    for (at, (o, shown)) in seen.list.iter_mut().zip(values).enumerate() {
        o.below = o.below && shown < o.value;
        if o.below {
            continue;
        }
        o.value = shown;
        if mistakes && stream.uniform() < SLIP {
            slips.push(at);
            as_shown.push(shown);
            slip(o, &mut stream);
        }
    }
    let mut told = seen.clone();
    for (to, from) in told.stations.iter_mut().zip(&there.stations) {
        to.setup.open.clone_from(&from.setup.open);
    }
    for (at, shown) in slips.iter().zip(as_shown) {
        told.list[*at].noise_sd *= NO_WEIGHT;
        // It tells nothing, but a search begins where its fan is said to be.
        told.list[*at].value = shown;
    }
    let beside = case.house.leaks.iter().position(|l| {
        let same = |i: usize, j: usize| l.between[i] == real.house.leaks[passage].between[j];
        (same(0, 0) && same(1, 1)) || (same(0, 1) && same(1, 0))
    });
    let hidden = Some(Hidden { pair, share, size, beside });
    let stations = (0..seen.stations.len()).collect();
    Some(Made { house: real.house, theta, seen, told, stations, hidden, slips, doors })
}

/// Gives each leak an exponent that has nothing to do with any other's.
fn own_exponents(house: &mut House, stream: &mut Stream) {
    let own: Vec<Exponent> = (house.leaks.iter())
        .map(|l| match l.exponent {
            // Openings have a range of their own, cracks share one.
            Exponent::Fixed(_) | Exponent::Own(_) => Exponent::Fixed(between(stream, OPENINGS)),
            _ => Exponent::Fixed(between(stream, CRACKS)),
        })
        .collect();
    for e in &mut house.elements {
        if let (Law::Leak { exponent, .. }, Owner::Leak(leak)) = (&mut e.law, e.owner) {
            *exponent = own[leak];
        }
    }
    for (leak, own) in house.leaks.iter_mut().zip(own) {
        leak.exponent = own;
    }
}

/// Turns doors that were not as recorded; returns each door with its first station. A door stays as it is until the record
/// says that it was touched; from station `looked` on each is looked at for every setup.
fn turn_doors(there: &mut Observations, looked: usize, stream: &mut Stream) -> Vec<(usize, usize)> {
    let mut turned = Vec::new();
    let doors = there.stations.first().map_or(0, |s| s.setup.open.len());
    for door in 0..doors {
        let mut before = None;
        let mut otherwise = false;
        for (at, s) in there.stations.iter_mut().enumerate() {
            let noted = s.setup.open[door];
            if before != Some(noted) || at >= looked {
                otherwise = stream.uniform() < DOOR_OTHERWISE;
                turned.extend(otherwise.then_some((door, at)));
            }
            before = Some(noted);
            s.setup.open[door] = noted != otherwise;
        }
    }
    turned
}

/// What each instrument shows, one after the other.
fn values(house: &House, there: &Observations, theta: &[f64], stream: &mut Stream) -> Option<Vec<f64>> {
    let errors: Vec<(f64, f64)> = (there.instruments.iter())
        .map(|i| (i.gain_sd * stream.normal(), i.offset_sd * stream.normal()))
        .collect();
    let mut winds = |sd: f64| -> Vec<f64> { (0..WINDS).map(|_| sd * stream.normal()).collect() };
    let half = 0.5_f64.sqrt();
    let visits: Vec<Vec<f64>> = there.wind_sd_pa.iter().map(|sd| winds(sd * half)).collect();
    let steady: Vec<Vec<f64>> = (there.stations.iter())
        .map(|s| {
            let own = winds(there.wind_sd_pa[s.visit] * half);
            own.iter().zip(&visits[s.visit]).map(|(a, b)| a + b).collect()
        })
        .collect();
    let mut air = Air::new(house).ok()?;
    let mut out = Vec::with_capacity(there.list.len());
    for o in &there.list {
        let s = &there.stations[o.station];
        let sign = if s.setup.test_fan == Some(Direction::Pressurise) { 1.0 } else { -1.0 };
        let fan = match s.fan_zone {
            Some(zone) => TestFan::Hold { zone, pa: sign * held_pa(there, o.station, zone, &errors) },
            None => TestFan::Off,
        };
        air.set_temperatures(&s.zone_k, s.outdoor_k, s.pressure_pa);
        air.set(house, theta, &s.setup, fan).ok()?;
        let gust = GUST * there.wind_sd_pa[s.visit];
        for (face, steady) in steady[o.station].iter().enumerate() {
            air.boundary.wind_pa[face] = steady + gust * stream.normal();
        }
        air.solve().ok()?;
        out.push(shown(house, &air, s, o, theta, errors.as_slice())? + o.noise_sd * stream.normal());
    }
    Some(out)
}

/// The pressure, without sign, that the fan is brought to: what its gauge should show.
fn held_pa(there: &Observations, station: usize, zone: usize, errors: &[(f64, f64)]) -> f64 {
    let mut own = there.list.iter().filter(|o| o.station == station);
    let target = own.find_map(|o| match o.seen {
        Seen::Pressure { feels, against } if feels.zone == Some(zone) && against.zone.is_none() => {
            let (gain, offset) = o.instrument.map_or((0.0, 0.0), |i| errors[i]);
            Some(((o.value - offset) / (1.0 + gain)).abs())
        }
        _ => None,
    });
    target.filter(|pa| *pa > 1.0).unwrap_or(50.0)
}

/// What the instrument shows but for its scatter; nothing where the test fan would blow backwards.
fn shown(
    house: &House,
    air: &Air,
    s: &Station,
    o: &Observation,
    theta: &[f64],
    errors: &[(f64, f64)],
) -> Option<f64> {
    let (gain, offset) = o.instrument.map_or((0.0, 0.0), |i| errors[i]);
    let flow = match o.seen {
        Seen::Pressure { feels, against } => {
            let dp_pa = air.pressure_between_pa(feels.zone, against.zone, feels.z_m);
            return Some((1.0 + gain) * dp_pa + offset);
        }
        Seen::TestFan { ln_shown_over_true } => {
            let zone = s.fan_zone?;
            let out = s.setup.test_fan != Some(Direction::Pressurise);
            let from = &air.boundary;
            let density = if out { from.zone_density_kg_m3[zone] } else { from.outdoor_density_kg_m3 };
            let flow = air.solution.held_flow_kg_s[zone] * if out { -1.0 } else { 1.0 } / density;
            flow * math::exp(ln_shown_over_true)
        }
        Seen::Fan(fan) => house.value(house.fans[fan].flow, theta),
        Seen::Register(register) => register_flow_m3_s(house, theta, register),
        Seen::Handler => house.value(house.air_handler.as_ref()?.flow, theta),
        // No visit of these houses has a duct test or a tracer.
        Seen::DuctLeak { .. } | Seen::Inflow { .. } | Seen::HeatLoss { .. } => return None,
    };
    (flow > 0.0).then(|| math::ln(flow * (1.0 + gain)))
}

/// A slip that people make.
fn slip(o: &mut Observation, stream: &mut Stream) {
    let which = stream.uniform();
    if let Seen::Pressure { .. } = o.seen {
        o.value *= if which < 0.5 {
            -1.0
        } else if which < 0.75 {
            10.0
        } else {
            0.1
        };
    } else {
        o.value += if which < 0.4 {
            math::ln(CFM_IN_L_S)
        } else if which < 0.8 {
            -math::ln(CFM_IN_L_S)
        } else {
            math::ln(10.0)
        };
    }
}
