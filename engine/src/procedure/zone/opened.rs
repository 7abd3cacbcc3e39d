//! Add-a-hole and open-a-door: from a ratio of barriers to their flows.

use super::closure::{Closed, FLOOR_PA, close};
use super::{Asked, Barrier, Hole, Inputs, Opened, REFERENCE_PA, Shared, Telling, bounded, honest, telling};
use crate::diag::{Diagnostic, code};
use crate::math::pow;
use crate::measure::{Estimate, NoInterval, propagate};
use crate::procedure::field::{LEVEL, Note};
use crate::units::Quantity;
use serde::Serialize;

/// How flows were come by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// A known hole in a barrier.
    Hole,
    /// A door opened, and the rise of the fan's flow.
    Door,
}

impl Way {
    pub(super) fn word(self) -> &'static str {
        match self {
            Way::Hole => "hole",
            Way::Door => "door",
        }
    }
}

/// What one opened state gives.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Method {
    /// Index of the opened state.
    pub state: usize,
    /// Where the opening was.
    pub barrier: Barrier,
    /// How.
    pub way: Way,
    /// Flow of the inner barrier at 50 Pa, m3/s.
    pub house_zone: Estimate,
    /// Flow of the outer barrier at 50 Pa, m3/s.
    pub zone_outdoors: Estimate,
    /// Flow through the zone with the house at 50 Pa, m3/s: what sealing the inner barrier would take away.
    pub through: Estimate,
    /// The same as a share of the house's flow at 50 Pa.
    pub share: Option<Estimate>,
    /// Whether it tells.
    pub tells: Telling,
}

/// What two methods say of each other.
pub(super) fn agreement(methods: &[Method]) -> Option<Note> {
    let told: Vec<(f64, f64)> =
        (methods.iter()).filter(|m| m.tells == Telling::Tells).filter_map(|m| m.through.bounds()).collect();
    let apart = |a: &(f64, f64), b: &(f64, f64)| a.1 < b.0 || b.1 < a.0;
    let any = told.iter().enumerate().any(|(k, a)| told.iter().skip(k + 1).any(|b| apart(a, b)));
    if any {
        return Some(Note::new("note-opened-disagree"));
    }
    (told.len() > 1).then(|| Note::new("note-opened-agree"))
}

pub(super) fn methods(
    asked: &Asked,
    first: &Closed,
    at50: Option<(f64, f64)>,
    said: &mut Vec<Diagnostic>,
) -> Vec<Method> {
    let mut out = Vec::new();
    for (k, opened) in asked.opened.iter().enumerate() {
        let mut held: Vec<f64> = asked.as_found.house_outdoors_pa.into_iter().map(f64::abs).collect();
        let others = asked.opened.iter().enumerate().filter(|(o, _)| *o != k);
        held.extend(others.filter_map(|(_, o)| o.readings.house_outdoors_pa.map(f64::abs)));
        let Some(second) = close(asked, &opened.readings, k + 1, &held, said) else { continue };
        let flows = asked.as_found.flow_m3_s.zip(opened.readings.flow_m3_s);
        if opened.hole.is_none() && flows.is_none() {
            said.push(Diagnostic::warning(code::Z103).arg("test", asked.test.as_str()).arg("state", k + 1));
        }
        let pair = Pair { asked, first, second: &second, opened, state: k };
        if let Some(hole) = opened.hole {
            out.extend(pair.hole(hole, at50, said));
        }
        if let Some(flows) = flows {
            out.extend(pair.door(flows, at50, said));
        }
    }
    out
}

/// The state as found and one opened state.
struct Pair<'a> {
    asked: &'a Asked,
    first: &'a Closed,
    second: &'a Closed,
    opened: &'a Opened,
    state: usize,
}

/// Both states' pressures and exponents, from the side of the opened barrier.
struct Sides {
    /// Across the opened barrier, before and after, Pa.
    here: [f64; 2],
    /// Across the other, Pa.
    there: [f64; 2],
    /// House to outdoors, Pa.
    house: [f64; 2],
    n_here: f64,
    n_there: f64,
}

impl Sides {
    fn at(p: f64, n: f64) -> f64 {
        pow(p / REFERENCE_PA, n)
    }

    /// Flow of the other barrier at 50 Pa over that of the opened one.
    fn ratio(&self) -> f64 {
        Sides::at(self.here[0], self.n_here) / Sides::at(self.there[0], self.n_there)
    }

    /// The hole's flow over the opened barrier's flow at 50 Pa: what more passes the other barrier.
    fn more(&self) -> f64 {
        self.ratio() * Sides::at(self.there[1], self.n_there) - Sides::at(self.here[1], self.n_here)
    }

    /// Rise of the flow over the other barrier's at 50 Pa, the house brought to the second pressure.
    fn rise(&self) -> f64 {
        Sides::at(self.there[1], self.n_there) - self.carried() * Sides::at(self.there[0], self.n_there)
    }

    /// Flow at the second house pressure over that at the first.
    fn carried(&self) -> f64 {
        pow(self.house[1] / self.house[0], self.n_there)
    }
}

impl Pair<'_> {
    fn inputs(&self) -> (Inputs, Shared, [usize; 2]) {
        let mut inputs = Inputs::new();
        let (n, half) = self.asked.exponent;
        let shared = Shared {
            gain: inputs.add(1.0, self.asked.gauge.gain()),
            inner: inputs.add(n, half),
            outer: inputs.add(n, half),
        };
        let at = [self.first.place(&mut inputs), self.second.place(&mut inputs)];
        (inputs, shared, at)
    }

    fn sides(&self, x: &[f64], shared: Shared, at: [usize; 2]) -> Sides {
        let before = self.first.pressures(x, at[0], shared.gain);
        let after = self.second.pressures(x, at[1], shared.gain);
        let (here, there, n_here, n_there) = match self.opened.barrier {
            Barrier::HouseZone => (0, 1, x[shared.inner], x[shared.outer]),
            Barrier::ZoneOutdoors => (1, 0, x[shared.outer], x[shared.inner]),
        };
        // A pressure whose error reaches zero leaves the flows without an end.
        let told = before.iter().chain(&after).all(|p| *p > FLOOR_PA);
        let n_here = if told { n_here } else { f64::NAN };
        Sides {
            here: [before[here], after[here]],
            there: [before[there], after[there]],
            house: [before[2], after[2]],
            n_here,
            n_there,
        }
    }

    /// Add-a-hole.
    fn hole(&self, hole: Hole, at50: Option<(f64, f64)>, said: &mut Vec<Diagnostic>) -> Option<Method> {
        let (mut inputs, shared, at) = self.inputs();
        let (size, factor, m) = match hole {
            Hole::Sharp { area_m2, discharge } => {
                let size = inputs.add(area_m2.0, area_m2.1);
                (size, inputs.add(discharge.0, discharge.1), 0.5)
            }
            Hole::At50 { flow_m3_s, exponent } => {
                (inputs.add(flow_m3_s.0, flow_m3_s.1), inputs.add(1.0, 0.0), exponent)
            }
        };
        let sharp = (2.0 * REFERENCE_PA / self.asked.density_kg_m3).sqrt();
        let per = if matches!(hole, Hole::Sharp { .. }) { sharp } else { 1.0 };
        let here = move |x: &[f64], s: &Sides| x[size] * x[factor] * per * Sides::at(s.here[1], m) / s.more();
        let moved = inputs.above_zero(|x| self.sides(x, shared, at).more());
        self.method(Way::Hole, inputs, (shared, at), moved, at50, said, move |x, s| {
            let here = here(x, s);
            [here, here * s.ratio()]
        })
    }

    /// Open-a-door.
    fn door(
        &self,
        flows: (f64, f64),
        at50: Option<(f64, f64)>,
        said: &mut Vec<Diagnostic>,
    ) -> Option<Method> {
        let (mut inputs, shared, at) = self.inputs();
        let accuracy = self.asked.flow_accuracy;
        let share = |q: f64| accuracy.map_or(0.0, |a| a.limit(q) / q);
        // Where nobody says how well the flow repeats, each reading has all of the stated accuracy alone:
        // a small difference of two large flows deserves the doubt.
        let (gain, own) = match self.asked.flow_repeats {
            Some(repeats) => (share(flows.0), [repeats; 2]),
            None => (0.0, [share(flows.0), share(flows.1)]),
        };
        let gain = inputs.add(1.0, gain);
        let before = inputs.add(flows.0, own[0] * flows.0);
        let after = inputs.add(flows.1, own[1] * flows.1);
        let rise = move |x: &[f64], s: &Sides| (x[after] - s.carried() * x[before]) / x[gain];
        let pressures = inputs.above_zero(|x| self.sides(x, shared, at).rise());
        let flow = inputs.above_zero(|x| rise(x, &self.sides(x, shared, at)));
        let moved = match (pressures, flow) {
            (Some(a), Some(b)) => Some(a && b),
            _ => None,
        };
        self.method(Way::Door, inputs, (shared, at), moved, at50, said, move |x, s| {
            let there = rise(x, s) / s.rise();
            [there / s.ratio(), there]
        })
    }

    /// `flows` gives the flow at 50 Pa of the opened barrier and of the other. `moved` is nothing where
    /// the readings moved less than they are exact, false where they moved the wrong way.
    #[expect(clippy::too_many_arguments, reason = "what both ways have in common")]
    fn method(
        &self,
        way: Way,
        mut inputs: Inputs,
        (shared, at): (Shared, [usize; 2]),
        moved: Option<bool>,
        at50: Option<(f64, f64)>,
        said: &mut Vec<Diagnostic>,
        flows: impl Fn(&[f64], &Sides) -> [f64; 2],
    ) -> Option<Method> {
        if moved == Some(false) {
            said.push(
                Diagnostic::error(code::Z106)
                    .arg("test", self.asked.test.as_str())
                    .arg("state", self.state + 1)
                    .arg("way", way.word()),
            );
            return None;
        }
        let stated = self.asked.gauge.is_stated()
            && (way == Way::Hole || self.asked.flow_accuracy.is_some() || self.asked.flow_repeats.is_some());
        let (inner, outer) = match self.opened.barrier {
            Barrier::HouseZone => (0, 1),
            Barrier::ZoneOutdoors => (1, 0),
        };
        let both = |x: &[f64]| {
            let sides = self.sides(x, shared, at);
            (flows(x, &sides), sides)
        };
        // What passes the zone with the house at 50 Pa: the inner barrier at its own share of it.
        let through = |x: &[f64]| {
            let [hz, _, ho] = self.first.pressures(x, at[0], shared.gain);
            both(x).0[inner] * pow(hz / ho, x[shared.inner])
        };
        let house = at50.map(|q| inputs.add(q.0, q.1));
        let (through50, whole) = inputs.positive(Quantity::AirFlow, through);
        let (house_zone, _) = inputs.positive(Quantity::AirFlow, |x| both(x).0[inner]);
        let (zone_outdoors, _) = inputs.positive(Quantity::AirFlow, |x| both(x).0[outer]);
        let share = house.map(|q| {
            let e = propagate(&inputs.list, LEVEL, Quantity::Fraction, |x| through(x) / x[q]);
            honest(bounded(e), stated)
        });
        let mut tells = telling(&through50, whole && moved.is_some(), stated);
        if stated && moved.is_none() {
            tells = Telling::NotMoved;
        }
        // Where the readings did not move, an interval around the middle would be a false comfort.
        let shown = |e: Estimate| match tells {
            Telling::NotMoved => Estimate::without(e.si, e.quantity, NoInterval::DataCannotTell),
            _ => honest(e, stated),
        };
        Some(Method {
            state: self.state,
            barrier: self.opened.barrier,
            way,
            house_zone: shown(house_zone),
            zone_outdoors: shown(zone_outdoors),
            through: shown(through50),
            share: share.map(shown),
            tells,
        })
    }
}
