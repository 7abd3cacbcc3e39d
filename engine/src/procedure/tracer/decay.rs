//! Air change from the decay of a gas in one room.

use super::curve::{self, Curve, Prior, widening};
use super::{Background, VolumeM3, flow};
use crate::diag::{Diagnostic, code};
use crate::math;
use crate::measure::regression::Line;
use crate::measure::{Estimate, NoInterval, normal_quantile, student_t_two_sided};
use crate::procedure::field::{LEVEL, Limit, Note, Worked, around};
use crate::procedure::source::{COMMON_PRACTICE, FROM_MEMORY};
use crate::units::Quantity;
use serde::Serialize;

/// Readings that a line needs.
const FEWEST: usize = 3;
/// Share of the rate that its interval should keep within on either side; a rule of our own.
const GOOD_SHARE: f64 = 0.1;
/// Share of the first excess below which a record has run into its tail (95 % is three time
/// constants, 90 % is 2.3).
const TAIL: f64 = 0.1;
/// Standard deviation of a background told by the record alone, as a share of the excess, beyond
/// which the record does not tell it.
const TOLD: f64 = 0.1;
/// The same where a background of unknown interval stands against it.
const TOLD_WELL: f64 = 0.01;
/// Part of the background by which it is moved to show what it does to the rate.
const SHOWN_SHIFT: f64 = 0.05;

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Time of each reading, s; rising.
    pub time_s: &'a [f64],
    /// Gas in the room, volume fraction; NaN in gaps.
    pub gas: &'a [f64],
    /// Gas outdoors; without it the record itself has to tell.
    pub background: Option<Background>,
    /// Volume of the room.
    pub volume_m3: Option<VolumeM3>,
}

/// Which number is the result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Line through ln(excess), with the background as read.
    Line,
    /// Exponential whose background is fitted, with what was read of it as prior.
    FittedBackground,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Decay {
    /// Air changes.
    pub rate: Estimate,
    /// How it came about.
    pub method: Method,
    /// Flow of outdoor air, m3/s.
    pub flow: Option<Estimate>,
    /// By the line through ln(excess): slope, its scatter alone in the interval.
    pub line: Option<Estimate>,
    /// Squared correlation of that line.
    pub r2: Option<f64>,
    /// From the first and last reading alone, 1/s.
    pub ends_only_per_s: Option<f64>,
    /// With the background fitted.
    pub fitted: Option<Estimate>,
    /// The background that the record runs towards.
    pub fitted_background: Option<Estimate>,
    /// The background as read.
    pub background: Option<Background>,
    /// By how much it was moved to show what that does, and the rates with less and with more.
    pub moved: Option<Moved>,
    /// From the first to the last reading used, s.
    pub duration_s: f64,
    /// Readings used.
    pub used: usize,
    /// Readings left out and other remarks.
    #[serde(skip)]
    pub said: Vec<Diagnostic>,
    /// First and last excess over the background as used.
    excess: (f64, f64),
    #[serde(skip)]
    curve: Option<Curve>,
}

/// What a wrong background does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// Volume fraction.
    pub by: f64,
    /// Rate with a background lower by that, 1/s.
    pub lower_per_s: f64,
    /// Rate with one higher by that, 1/s.
    pub higher_per_s: f64,
}

/// Slope of ln(gas - background) and all that goes with it; readings at or below the background
/// do not enter.
fn log_line(time_s: &[f64], gas: &[f64], background: f64) -> Option<(Line, f64)> {
    let kept = || time_s.iter().zip(gas).filter(|(_, c)| **c > background);
    let x: Vec<f64> = kept().map(|(t, _)| *t).collect();
    let y: Vec<f64> = kept().map(|(_, c)| math::ln(c - background)).collect();
    if x.len() < FEWEST {
        return None;
    }
    let line = Line::ordinary(&x, &y).ok()?;
    let residuals: Vec<f64> = x.iter().zip(&y).map(|(x, y)| y - line.at(*x)).collect();
    Some((line, widening(&residuals)))
}

/// Half width of the slope for its scatter alone.
fn half_of(line: &Line, widened: f64) -> Option<f64> {
    (line.dof > 0).then(|| student_t_two_sided(LEVEL, line.dof as f64) * line.slope_se * widened)
}

/// Works it.
///
/// The method of the decay standards: ordinary least squares of ln(excess) over time, the rate is
/// minus the slope, its interval Student's t of n - 2 (ASTM E741 as recalled; form as in Roulet
/// 2008 eq. 7.13-7.21), widened where neighbouring residuals are alike. The interval of the
/// background moves the whole excess and is added in quadrature. A gain of the sensor cancels; its
/// offset cancels too where the background was read with it ([`Background::read`]).
///
/// Where the record runs into its tail it tells the background itself: an exponential with free
/// end value is fitted ([`curve::fit`]), what was read of the background being its prior. It is the
/// result where no background was read, or where the record tells it more narrowly than the reading.
///
/// Errors: A101 too few readings, A103 no fall, A112 no background and none that the record tells.
/// Readings that are not finite (A113) or not above the background (A102) are left out and said.
///
/// ```
/// use engine::procedure::tracer::{Background, decay::{Asked, evaluate}};
/// let time_s: Vec<f64> = (0..9).map(|i| 900.0 * f64::from(i)).collect();
/// let gas = [1840.0, 1598.0, 1391.0, 1226.0, 1081.0, 968.0, 866.0, 783.0, 712.0].map(|c| c * 1e-6);
/// let background = Some(Background { value: 420e-6, half: None });
/// let decay = evaluate(&Asked { time_s: &time_s, gas: &gas, background, volume_m3: None }).unwrap();
/// assert!((decay.rate.si * 3600.0 - 0.78666).abs() < 1e-5);
/// ```
pub fn evaluate(asked: &Asked<'_>) -> Result<Decay, Diagnostic> {
    let mut said = Vec::new();
    let (mut time_s, mut gas) = (Vec::new(), Vec::new());
    for (row, (t, c)) in asked.time_s.iter().zip(asked.gas).enumerate() {
        if c.is_nan() {
            continue;
        }
        if c.is_finite() && *c >= 0.0 && t.is_finite() {
            time_s.push(*t);
            gas.push(*c);
        } else {
            said.push(Diagnostic::warning(code::A113).arg("row", row + 1));
        }
    }
    let too_few = |found: usize| Diagnostic::error(code::A101).arg("found", found).arg("needed", FEWEST);
    let Some(start_s) = time_s.first().copied() else { return Err(too_few(0)) };
    // A shift of the clock must not change a bit.
    let time_s: Vec<f64> = time_s.iter().map(|t| t - start_s).collect();
    if time_s.len() < FEWEST {
        return Err(too_few(time_s.len()));
    }
    if let Some(background) = asked.background {
        let low: Vec<f64> = gas.iter().copied().filter(|c| *c <= background.value).collect();
        if !low.is_empty() {
            said.push(
                Diagnostic::warning(code::A102)
                    .arg("count", low.len())
                    .arg("background", (background.value, Quantity::GasFraction)),
            );
        }
    }
    // The line and what moves it go by the same readings, whatever the background is moved to.
    let above: (Vec<f64>, Vec<f64>) = (time_s.iter().zip(&gas))
        .filter(|(_, c)| asked.background.is_none_or(|b| **c > b.value))
        .map(|(t, c)| (*t, *c))
        .unzip();
    let line = asked.background.and_then(|b| log_line(&above.0, &above.1, b.value));
    if asked.background.is_some() && line.is_none() {
        return Err(too_few(above.0.len()));
    }
    let sd = |half: f64| half / normal_quantile(0.5 + LEVEL / 2.0);
    let free = curve::fit(&time_s, &gas, None).filter(|c| c.excess > 0.0);
    let prior = asked.background.and_then(|b| {
        let half = b.half.filter(|h| *h > 0.0)?;
        Some(Prior { mean: b.value, sd: sd(half) })
    });
    let held = match prior {
        Some(prior) => curve::fit(&time_s, &gas, Some(prior)).filter(|c| c.excess > 0.0),
        None => free,
    };
    // Does the record tell the background better than the reading did?
    let tells = free.is_some_and(|free| {
        let told = free.end_se * free.coverage(LEVEL) / normal_quantile(0.5 + LEVEL / 2.0);
        let length_s = time_s.last().copied().unwrap_or(0.0);
        let tail = math::exp(-free.rate_per_s * length_s) < TAIL;
        match (asked.background, prior) {
            (None, _) => told < TOLD * free.excess,
            (Some(_), Some(prior)) => tail && told < prior.sd,
            // One that is exact is taken at its word; one whose interval nobody knows gives way.
            (Some(b), None) => b.half.is_none() && tail && told < TOLD_WELL * free.excess,
        }
    });
    if asked.background.is_none() && !tells {
        return Err(Diagnostic::error(code::A112));
    }
    let fitted = held.map(|c| around(c.rate_per_s, Some(c.coverage(LEVEL) * c.rate_se), Quantity::AirChange));
    let fitted_background =
        held.map(|c| around(c.end, Some(c.coverage(LEVEL) * c.end_se), Quantity::GasFraction));
    let by_line = line.map(|(line, widened)| whole(&line, widened, &above.0, &above.1, asked.background));
    let (rate, method) = match (tells, fitted, by_line) {
        (true, Some(fitted), _) | (_, Some(fitted), None) => (fitted, Method::FittedBackground),
        (_, _, Some(line)) => (line, Method::Line),
        _ => return Err(too_few(time_s.len())),
    };
    if !(rate.si > 0.0 && rate.si.is_finite()) {
        return Err(Diagnostic::error(code::A103).arg("rate", (rate.si, Quantity::AirChange)));
    }
    let base = asked.background.map_or_else(|| held.map_or(0.0, |c| c.end), |b| b.value);
    let used: Vec<(f64, f64)> =
        (time_s.iter().zip(&gas).filter(|(_, c)| **c > base)).map(|(t, c)| (*t, c - base)).collect();
    let (first, last) = match (used.first(), used.last()) {
        (Some(first), Some(last)) if used.len() > 1 => (*first, *last),
        _ => return Err(too_few(used.len())),
    };
    let duration_s = last.0 - first.0;
    Ok(Decay {
        rate,
        method,
        flow: asked.volume_m3.map(|volume| flow(rate, volume)),
        line: line.map(|(line, widened)| around(-line.slope, half_of(&line, widened), Quantity::AirChange)),
        r2: line.map(|(line, _)| line.r2),
        ends_only_per_s: Some(math::ln(first.1 / last.1) / duration_s),
        fitted,
        fitted_background,
        background: asked.background,
        moved: moved(&above.0, &above.1, asked.background),
        duration_s,
        used: used.len(),
        said,
        excess: (first.1, last.1),
        curve: held,
    })
}

/// The line's rate with scatter and background in its interval.
fn whole(line: &Line, widened: f64, time_s: &[f64], gas: &[f64], background: Option<Background>) -> Estimate {
    let rate = -line.slope;
    let Some(scatter) = half_of(line, widened) else {
        return Estimate::without(rate, Quantity::AirChange, NoInterval::TooFewPoints);
    };
    let (value, half) = background.map_or((0.0, 0.0), |b| (b.value, b.half.unwrap_or(0.0)));
    // A background that runs into the readings leaves no line: its effect is that of the nearer side.
    let at = |shift: f64| log_line(time_s, gas, value + shift).map(|(l, _)| -l.slope - rate);
    let (down, up) = (at(-half), at(half));
    let lower = down.or(up).map_or(0.0, f64::abs);
    let higher = up.or(down).map_or(0.0, f64::abs);
    let side = |part: f64| (scatter * scatter + part * part).sqrt();
    Estimate::range(rate, rate - side(lower), rate + side(higher), LEVEL, Quantity::AirChange)
}

fn moved(time_s: &[f64], gas: &[f64], background: Option<Background>) -> Option<Moved> {
    let background = background?;
    let first = gas.first()? - background.value;
    let shown = (SHOWN_SHIFT * background.value).max(0.01 * first);
    let by = background.half.map_or(shown, |half| half.max(shown));
    let rate = |shift: f64| log_line(time_s, gas, background.value + shift).map(|(l, _)| -l.slope);
    Some(Moved { by, lower_per_s: rate(-by)?, higher_per_s: rate(by)? })
}

impl Decay {
    /// Half width of the interval as a share of the rate.
    pub fn share(&self) -> Option<f64> {
        self.rate.bounds().map(|(lo, hi)| 0.5 * (hi - lo) / self.rate.si)
    }

    /// The fitted curve, for drawing.
    pub fn curve(&self) -> Option<&Curve> {
        self.curve.as_ref()
    }

    /// In the shape of all tests. `limit` is the user's own for the air change.
    pub fn worked(&self, limit: Option<&Limit>) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-air-change", self.rate);
        if let Some(flow) = self.flow {
            worked.figure("figure-zone-outdoor-air", flow);
        }
        let says = |e: &Estimate| e.bounds().is_some_and(|(lo, _)| lo > 0.0);
        match (self.method, self.line, self.fitted) {
            (Method::FittedBackground, Some(line), _) => worked.figure("figure-air-change-line", line),
            (Method::Line, _, Some(fitted)) if says(&fitted) => {
                worked.figure("figure-air-change-fitted", fitted)
            }
            _ => {}
        }
        if let Some(background) = self.fitted_background.filter(says) {
            worked.figure("figure-fitted-background", background);
        }
        self.checks(limit, &mut worked);
        self.notes(&mut worked);
        worked
    }

    fn checks(&self, limit: Option<&Limit>, worked: &mut Worked) {
        if let Some(limit) = limit {
            worked.checks.push(limit.check("check-air-change", Some(self.rate)));
        }
        // From memory: the time between first and last reading is at least one time constant.
        let turns = Estimate::without(self.rate.si * self.duration_s, Quantity::Number, NoInterval::Exact);
        worked.checks.push(Limit::at_least(1.0, FROM_MEMORY, false).check("check-decay-span", Some(turns)));
        let share = self.share().map(|s| Estimate::without(s, Quantity::Fraction, NoInterval::Exact));
        worked
            .checks
            .push(Limit::at_most(GOOD_SHARE, COMMON_PRACTICE, false).check("check-rate-interval", share));
    }

    fn notes(&self, worked: &mut Worked) {
        let gas = |c: f64| (c, Quantity::GasFraction);
        let per = |r: f64| (r, Quantity::AirChange);
        if self.method == Method::FittedBackground {
            worked.notes.push(Note::new(if self.background.is_some() {
                "note-background-told"
            } else {
                "note-background-fitted"
            }));
        }
        if let Some(moved) = self.moved {
            let note = Note::new("note-background-moves")
                .arg("by", gas(moved.by))
                .arg("lower", per(moved.lower_per_s))
                .arg("higher", per(moved.higher_per_s));
            worked.notes.push(note);
        }
        if self.background.is_some_and(|b| b.half.is_none()) {
            worked.notes.push(Note::caution("note-background-unsure"));
        }
        // The line takes the background at its word: does the tail run somewhere else?
        if let (Some(background), Some(told)) = (self.background, self.fitted_background)
            && let Some((lo, hi)) = told.bounds()
            && (background.value < lo - background.half.unwrap_or(0.0)
                || background.value > hi + background.half.unwrap_or(0.0))
        {
            let note = Note::caution("note-background-elsewhere")
                .arg("told", gas(told.si))
                .arg("read", gas(background.value));
            worked.notes.push(note);
        }
        if self.excess.1 < 0.1 * self.excess.0 && self.method == Method::Line {
            worked.notes.push(Note::new("note-decay-tail"));
        }
    }
}
