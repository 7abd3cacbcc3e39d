//! The dominant duct leak: what the handler does to the pressure of the house, repeated off and on
//! so that wind does not answer in its place.
//!
//! More leakage from the supply ducts to outdoors lowers the house's pressure, more into the return
//! ducts raises it. Each reading with the handler on is held against those with it off before and
//! after; the mean of the differences has a Student t interval, with the step of the display as
//! noise of its own. With the flow of the house at 50 Pa the shift becomes a flow:
//! `|Q_supply - Q_return| = Q50 (|dp| / 50)^n` (from the power law).

use crate::math;
use crate::measure::{Estimate, NoInterval, student_t_below, student_t_two_sided};
use crate::procedure::field::{LEVEL, Note, Worked};
use crate::procedure::known::{Known, follows};
use crate::units::Quantity;
use serde::Serialize;

/// Step of the display where nobody states one, Pa (common practice, no source).
pub const DISPLAY_STEP_PA: f64 = 0.1;
/// Chance from which a side is named: that of an interval without zero in it.
pub const SURE: f64 = 0.5 + LEVEL / 2.0;
/// Fewest repeats that name a side (own choice).
pub const REPEATS: usize = 3;

/// Which side leaks more to outdoors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The supply: the house loses air.
    Supply,
    /// The return: the house gains air.
    Return,
    /// The readings do not tell.
    CannotTell,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// House minus outdoors with the handler off and then on, Pa, in the order taken.
    pub repeats: Vec<(f64, f64)>,
    /// House minus outdoors with the handler off once more at the end, Pa.
    pub last_off_pa: Option<f64>,
    /// Step of the gauge's display, Pa.
    pub step_pa: Option<f64>,
    /// Flow of the house at 50 Pa, m3/s, and its exponent.
    pub house: Option<(Known, Known)>,
    /// Whether interior doors were open.
    pub doors_open: bool,
    /// Whether a duct from outdoors into the return was open.
    pub intake_open: bool,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Dominant {
    /// Which side.
    pub side: Side,
    /// What the handler does to the house's pressure.
    pub shift: Estimate,
    /// Chance that the supply side leaks more, 0 to 1; none from a single repeat.
    pub supply_chance: Option<f64>,
    /// Supply leakage less return leakage to outdoors, m3/s.
    pub net: Option<Estimate>,
    /// Standard deviation of the differences, Pa.
    pub noise_pa: Option<f64>,
    /// Repeats.
    pub repeats: usize,
    /// Whether interior doors were open.
    pub doors_open: bool,
    /// Whether a duct from outdoors into the return was open.
    pub intake_open: bool,
}

/// Flow that shifts the house's pressure by `shift_pa`, positive where the house loses air.
pub fn net_flow_m3_s(shift_pa: f64, q50_m3_s: f64, n: f64) -> f64 {
    -shift_pa.signum() * q50_m3_s * math::pow(shift_pa.abs() / 50.0, n)
}

/// Pressure of the house, Pa, when it loses `net_m3_s` (negative: gains): the inverse.
///
/// ```
/// use engine::procedure::duct::dominant::house_pressure_pa;
/// assert!((house_pressure_pa(100.0, 500.0, 0.65) + 4.2037).abs() < 1e-4);
/// ```
pub fn house_pressure_pa(net_m3_s: f64, q50_m3_s: f64, n: f64) -> f64 {
    -net_m3_s.signum() * 50.0 * math::pow(net_m3_s.abs() / q50_m3_s, 1.0 / n)
}

/// Works it.
///
/// ```
/// use engine::procedure::duct::dominant::*;
/// let result = evaluate(&Asked {
///     repeats: vec![(-1.0, -2.1), (-1.2, -2.2), (-0.9, -2.0), (-1.1, -2.0)],
///     last_off_pa: Some(-1.0), step_pa: Some(0.1), house: None, doors_open: true, intake_open: false,
/// });
/// assert_eq!(result.side, Side::Supply);
/// assert!(result.shift.si < -0.9 && result.supply_chance.unwrap() > 0.99);
/// ```
pub fn evaluate(asked: &Asked) -> Dominant {
    let offs: Vec<f64> = asked.repeats.iter().map(|r| r.0).chain(asked.last_off_pa).collect();
    let shifts: Vec<f64> = (asked.repeats.iter().enumerate())
        .map(|(i, (off, on))| on - offs.get(i + 1).map_or(*off, |after| 0.5 * (off + after)))
        .collect();
    let count = shifts.len() as f64;
    let mean = shifts.iter().sum::<f64>() / count;
    let squares = shifts.iter().map(|d| (d - mean) * (d - mean)).sum::<f64>();
    // Two roundings of a display stand in each difference.
    let step = asked.step_pa.filter(|s| *s > 0.0).unwrap_or(DISPLAY_STEP_PA);
    let rounding = 2.0 * step * step / 12.0;
    let variance = (count > 1.0).then(|| (squares / (count - 1.0)).max(rounding));
    let dof = count - 1.0;
    let (shift, chance) = match variance {
        Some(variance) => {
            let se = (variance / count).sqrt();
            let half = student_t_two_sided(LEVEL, dof) * se;
            let shift = Estimate::range(mean, mean - half, mean + half, LEVEL, Quantity::Pressure);
            (shift, Some(student_t_below(-mean / se, dof)))
        }
        None => (Estimate::without(mean, Quantity::Pressure, NoInterval::TooFewPoints), None),
    };
    let enough = shifts.len() >= REPEATS;
    let side = match chance {
        Some(p) if enough && p >= SURE => Side::Supply,
        Some(p) if enough && p <= 1.0 - SURE => Side::Return,
        _ => Side::CannotTell,
    };
    let net = asked.house.filter(|_| variance.is_some()).map(|(q50, n)| {
        follows(&[Known::from_estimate(&shift), q50, n], Quantity::AirFlow, |x| match x {
            [shift, q50, n] => net_flow_m3_s(*shift, *q50, *n),
            _ => f64::NAN,
        })
    });
    Dominant {
        side,
        shift,
        supply_chance: chance,
        net,
        noise_pa: variance.map(f64::sqrt),
        repeats: shifts.len(),
        doors_open: asked.doors_open,
        intake_open: asked.intake_open,
    }
}

impl Dominant {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-handler-shift", self.shift);
        if let Some(net) = self.net {
            worked.figure("figure-net-duct-leak", net);
        }
        if !self.doors_open {
            worked.notes.push(Note::caution("note-dominant-doors"));
        }
        if self.intake_open {
            worked.notes.push(Note::caution("note-dominant-intake"));
        }
        // Nobody is sure beyond 99.9 % of what a few readings tell.
        let chance = self.supply_chance.unwrap_or(0.5).clamp(0.001, 0.999);
        let say = |id, chance: f64| {
            let note = Note::new(id).arg("chance", ((1000.0 * chance).round() / 1000.0, Quantity::Fraction));
            note.arg("noise", (self.noise_pa.unwrap_or(0.0), Quantity::Pressure))
        };
        worked.notes.push(match self.side {
            Side::Supply => say("note-dominant-supply", chance),
            Side::Return => say("note-dominant-return", 1.0 - chance),
            Side::CannotTell if self.repeats < REPEATS => Note::new("note-dominant-few"),
            Side::CannotTell => say("note-dominant-unclear", chance),
        });
        if self.net.is_some() {
            worked.notes.push(Note::new("note-dominant-net"));
        }
        worked
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    fn asked(repeats: Vec<(f64, f64)>) -> Asked {
        Asked {
            repeats,
            last_off_pa: None,
            step_pa: Some(0.1),
            house: None,
            doors_open: true,
            intake_open: false,
        }
    }

    /// Without an effect a side is named as often as the level allows, one with an effect mostly.
    #[test]
    fn wind_does_not_answer_in_place_of_the_ducts() {
        let mut rng = Stream::new(7, "dominant");
        let mut named = |shift_pa: f64| {
            let tests = 3000;
            let mut count = 0;
            for _ in 0..tests {
                let mut read = |pa: f64| ((pa + 0.6 * rng.normal()) * 10.0).round() / 10.0;
                let repeats = (0..5).map(|_| (read(-1.0), read(-1.0 + shift_pa))).collect();
                count += usize::from(evaluate(&asked(repeats)).side == Side::Supply);
            }
            count as f64 / f64::from(tests)
        };
        // Neighbouring differences share a reading, which is why this is no exact 2.5 %.
        let by_chance = named(0.0);
        assert!(by_chance < 0.045, "{by_chance}");
        assert!(named(-2.0) > 0.9);
    }

    #[test]
    fn equal_differences_are_as_sure_as_the_display_and_no_more() {
        let small = evaluate(&asked(vec![(-1.0, -1.1), (-1.0, -1.1), (-1.0, -1.1)]));
        assert!(small.shift.bounds().unwrap().0 < -0.15, "{:?}", small.shift);
        let none = evaluate(&asked(vec![(-1.0, -1.0); 6]));
        assert_eq!(none.side, Side::CannotTell);
        let two = evaluate(&asked(vec![(0.0, -5.0), (0.0, -5.1)]));
        assert_eq!(two.side, Side::CannotTell, "two repeats name no side");
        let one = evaluate(&asked(vec![(0.0, -5.0)]));
        assert!(one.supply_chance.is_none() && one.shift.bounds().is_none());
    }

    #[test]
    fn flow_and_pressure_are_inverse() {
        for shift_pa in [-4.2, -0.7, 0.3, 2.0] {
            let net = net_flow_m3_s(shift_pa, 0.6, 0.65);
            assert!((house_pressure_pa(net, 0.6, 0.65) - shift_pa).abs() < 1e-12);
            assert!(net.is_sign_positive() == (shift_pa < 0.0), "losing air lowers the pressure");
        }
    }
}
