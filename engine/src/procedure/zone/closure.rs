//! The loop of three pressures: house to zone and zone to outdoors have to add up to house to outdoors.

use super::{Asked, Inputs, Readings};
use crate::diag::{Diagnostic, code};
use crate::measure::Estimate;
use crate::procedure::field::{Check, LEVEL, Limit};
use crate::units::Quantity;
use serde::Serialize;

/// A pressure below this is taken as this, Pa: a ratio needs numbers above zero.
pub(super) const FLOOR_PA: f64 = 0.01;

/// Which reading of a loop that does not close is most likely wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Suspect {
    /// House less zone.
    HouseZone,
    /// Zone less outdoors.
    ZoneOutdoors,
    /// House less outdoors.
    HouseOutdoors,
    /// The readings do not say.
    None,
}

impl Suspect {
    fn of(index: usize) -> Suspect {
        [Suspect::HouseZone, Suspect::ZoneOutdoors, Suspect::HouseOutdoors]
            .get(index)
            .copied()
            .unwrap_or(Suspect::None)
    }

    fn index(self) -> Option<usize> {
        [Suspect::HouseZone, Suspect::ZoneOutdoors, Suspect::HouseOutdoors].iter().position(|s| *s == self)
    }

    /// As messages select it.
    pub fn word(self) -> &'static str {
        match self {
            Suspect::HouseZone => "house-zone",
            Suspect::ZoneOutdoors => "zone-outdoors",
            Suspect::HouseOutdoors => "house-outdoors",
            Suspect::None => "unknown",
        }
    }
}

/// How the signs of the readings were taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TookAs {
    /// As typed.
    Typed,
    /// Without sign: typed, they contradicted each other.
    Magnitudes,
}

/// How well the loop closes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Loop {
    /// House to zone and zone to outdoors less house to outdoors, Pa.
    pub misclosure: Estimate,
    /// What the gauges allow, Pa either way.
    pub allowed_pa: Option<f64>,
    /// The reading most likely wrong, where it does not close.
    pub suspect: Option<Suspect>,
    /// That reading was left out, and follows from the other two.
    pub left_out: bool,
    /// How signs were taken.
    pub took: TookAs,
}

impl Loop {
    pub(super) fn check(&self) -> Check {
        // The gauges' own statement is the limit: it holds or it does not, and says nothing where
        // nothing is known of the gauges.
        let half = self.allowed_pa.unwrap_or(1.0);
        let bare =
            Estimate::without(self.misclosure.si, Quantity::Pressure, crate::measure::NoInterval::Exact);
        let (source, confirmed) = match self.allowed_pa {
            Some(_) => ("gum-2008", true),
            None => ("common-practice", false),
        };
        Limit { lo: Some(-half), hi: Some(half), source: source.to_owned(), confirmed, clause: None }
            .check("check-zone-loop", Some(bare))
    }
}

/// A state with its loop closed.
#[derive(Clone, Debug)]
pub(crate) struct Closed {
    raw: [Option<f64>; 3],
    half: [f64; 3],
    /// Shares in which a misclosure is laid on the readings: by the squares of their errors.
    shares: [f64; 3],
    pub(super) check: Option<Loop>,
}

impl Closed {
    /// Puts the readings among the inputs; gives the place of the first.
    pub(super) fn place(&self, inputs: &mut Inputs) -> usize {
        let mut first = None;
        for (raw, half) in self.raw.iter().zip(self.half) {
            let at = inputs.add(raw.unwrap_or(0.0), if raw.is_some() { half } else { 0.0 });
            first.get_or_insert(at);
        }
        first.unwrap_or(0)
    }

    /// House-zone, zone-outdoors, house-outdoors from the inputs, Pa: true pressures, loop closed.
    pub(super) fn pressures(&self, x: &[f64], at: usize, gain: usize) -> [f64; 3] {
        let scaled = |k: usize| x[at + k] / x[gain];
        self.solve([scaled(0), scaled(1), scaled(2)])
    }

    /// The same from the readings themselves.
    pub(super) fn middle(&self) -> [f64; 3] {
        self.solve(self.raw.map(|r| r.unwrap_or(0.0)))
    }

    fn solve(&self, p: [f64; 3]) -> [f64; 3] {
        let (hz, zo) = match self.raw.map(|r| r.is_some()) {
            [true, true, true] => {
                let off = p[0] + p[1] - p[2];
                (p[0] - self.shares[0] * off, p[1] - self.shares[1] * off)
            }
            [true, true, false] => (p[0], p[1]),
            [true, false, _] => (p[0], p[2] - p[0]),
            [false, ..] => (p[2] - p[1], p[1]),
        };
        let (hz, zo) = (hz.max(FLOOR_PA), zo.max(FLOOR_PA));
        [hz, zo, hz + zo]
    }
}

/// Closes the loop of one state (0 is as found); says what is wrong, and gives nothing where nothing
/// can be worked with.
pub(super) fn close(
    asked: &Asked,
    readings: &Readings,
    state: usize,
    held: &[f64],
    said: &mut Vec<Diagnostic>,
) -> Option<Closed> {
    let gauge = &asked.gauge;
    let about = |d: Diagnostic| d.arg("test", asked.test.as_str()).arg("state", state);
    let typed = readings.pressures();
    let base = asked.baseline.pressures();
    let mut p: [Option<f64>; 3] = [None; 3];
    for (k, slot) in p.iter_mut().enumerate() {
        *slot = typed[k].map(|t| t - base[k].unwrap_or(0.0));
    }
    if p.iter().flatten().count() < 2 {
        said.push(about(Diagnostic::error(code::Z101)));
        return None;
    }
    let half = [0, 1, 2].map(|k| {
        let with_baseline = if base[k].is_some() { std::f64::consts::SQRT_2 } else { 1.0 };
        p[k].map_or(0.0, |v| gauge.own_pa(v) * with_baseline)
    });
    let given: Vec<f64> = p.iter().flatten().copied().collect();
    let mixed = given.iter().any(|v| *v > 0.0) && given.iter().any(|v| *v < 0.0);
    let magnitude = p.map(|v| v.map(f64::abs));
    let whole = [0, 1, 2].map(|k| p[k].map_or(0.0, |v| gauge.total_pa(v)));
    let allowed = allowed(whole);
    if mixed {
        // Signs that close as typed, or a zone beyond the house, are real: something else blows there.
        let closes = |v: &[Option<f64>; 3]| match v {
            [Some(a), Some(b), Some(c)] => (a + b - c).abs() <= allowed.max(1.0),
            _ => false,
        };
        if closes(&p) && !closes(&magnitude) {
            said.push(about(Diagnostic::error(code::Z105)));
            return None;
        }
        said.push(about(Diagnostic::warning(code::Z104)));
    }
    let beyond = |whole: Option<f64>, part: Option<f64>| {
        whole.zip(part).is_some_and(|(w, p)| p - w > allowed.max(1.0))
    };
    let [hz, zo, ho] = magnitude;
    let all = hz.is_some() && zo.is_some() && ho.is_some();
    if !all && (beyond(ho, hz) || beyond(ho, zo)) {
        said.push(about(Diagnostic::error(code::Z105)));
        return None;
    }
    let squares = whole.map(|h| h * h);
    let sum: f64 = squares.iter().sum();
    let shares = if sum > 0.0 { squares.map(|s| s / sum) } else { [1.0 / 3.0; 3] };
    let check = match magnitude {
        [Some(hz), Some(zo), Some(ho)] => {
            let off = hz + zo - ho;
            let limit = if gauge.is_stated() { allowed } else { 1.0 };
            let found = (off.abs() > limit).then(|| suspect([hz, zo, ho], whole, limit, held));
            if let Some((suspect, sure)) = found {
                said.push(
                    about(Diagnostic::warning(code::Z102))
                        .arg("off", (off, Quantity::Pressure))
                        .arg("allowed", (limit, Quantity::Pressure))
                        .arg("suspect", suspect.word())
                        .arg("used", if sure { "left-out" } else { "shared" }),
                );
            }
            let misclosure = match gauge.is_stated() {
                true => Estimate::range(off, off - allowed, off + allowed, LEVEL, Quantity::Pressure),
                false => Estimate::without(
                    off,
                    Quantity::Pressure,
                    crate::measure::NoInterval::TypedWithoutInstrument,
                ),
            };
            Some(Loop {
                misclosure,
                allowed_pa: gauge.is_stated().then_some(allowed),
                suspect: found.map(|f| f.0),
                left_out: found.is_some_and(|f| f.1),
                took: if mixed { TookAs::Magnitudes } else { TookAs::Typed },
            })
        }
        _ => None,
    };
    let mut raw = magnitude;
    let left_out = check.as_ref().filter(|c| c.left_out).and_then(|c| c.suspect);
    if let Some(slot) = left_out.and_then(|s| raw.get_mut(s.index()?)) {
        *slot = None;
        return Some(Closed { raw, half, shares, check });
    }
    // Readings that miss the closing are less exact than the gauge says: what is laid on each widens it.
    let off = check.as_ref().map_or(0.0, |c| c.misclosure.si.abs());
    let half = match gauge.is_stated() {
        true => [0, 1, 2].map(|k| half[k].max(off * shares[k])),
        false => half,
    };
    Some(Closed { raw, half, shares, check })
}

/// What three readings may miss the closing by, Pa: all of each one's error, in quadrature. A gain that
/// they share would drop out; the ports of a gauge may have gains of their own.
fn allowed(half: [f64; 3]) -> f64 {
    half.iter().map(|h| h * h).sum::<f64>().sqrt()
}

/// Which reading is most likely wrong, and whether that is sure enough to leave it out: one that a slip of
/// the decimal point explains; house to outdoors where the other two add up to what the fan held in the
/// other states; else, unsure, the least exact.
fn suspect(p: [f64; 3], half: [f64; 3], allowed: f64, held: &[f64]) -> (Suspect, bool) {
    let implied = [p[2] - p[1], p[2] - p[0], p[0] + p[1]];
    let near = |a: f64, b: f64| (a - b).abs() <= allowed.max(0.02 * b.abs());
    let slips = |k: usize| {
        let far = (p[k] - implied[k]).abs() > 0.5 * implied[k].abs();
        far && (near(10.0 * p[k], implied[k]) || near(p[k] / 10.0, implied[k]))
    };
    let slipped: Vec<usize> = (0..3).filter(|k| slips(*k)).collect();
    if let [only] = slipped.as_slice() {
        return (Suspect::of(*only), true);
    }
    let as_held = |v: f64| held.iter().any(|h| near(v, *h));
    if as_held(implied[2]) && !as_held(p[2]) {
        return (Suspect::HouseOutdoors, true);
    }
    // House to outdoors agrees with the other states: it is one of the other two.
    let among: &[usize] = if as_held(p[2]) { &[0, 1] } else { &[0, 1, 2] };
    let widest = among.iter().copied().max_by(|a, b| half[*a].total_cmp(&half[*b]));
    let alone = |k: usize| among.iter().all(|o| *o == k || half[*o] < 0.99 * half[k]);
    (widest.filter(|k| alone(*k)).map_or(Suspect::None, Suspect::of), false)
}
