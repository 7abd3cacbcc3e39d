//! Mould risk at a surface from a record of its temperature and humidity.
//!
//! Two rules, each with its edition: the 30-day criterion of ASHRAE 160-2009, and the mould index
//! of Hukka and Viitanen (1999) in the form for building materials (Ojanen et al. 2010), which
//! addendum e to ASHRAE 160-2016 took in its place. The growth coefficients were read in two public
//! implementations, the classes of decline were not; an independent study found fitted materials
//! outside the classes. So the index is given for neighbouring classes too and decides nothing.

use crate::air::ZERO_CELSIUS_K;
use crate::diag::{Diagnostic, code};
use crate::math;
use crate::measure::{Estimate, NoInterval};
use crate::procedure::field::{Limit, Note, Worked};
use crate::units::Quantity;
use serde::Serialize;

const HOUR_S: f64 = 3600.0;
const WINDOW_H: usize = 30 * 24;

/// How readily mould grows on a material.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sensitivity {
    /// Untreated pine, wood with much nutrient.
    VerySensitive,
    /// Planed wood, paper-faced boards.
    Sensitive,
    /// Cement-based and plastic-based materials, mineral fibre.
    MediumResistant,
    /// Glass, metal, materials with protection.
    Resistant,
}

impl Sensitivity {
    /// All, the most sensitive first.
    pub const ALL: [Sensitivity; 4] = [
        Sensitivity::VerySensitive,
        Sensitivity::Sensitive,
        Sensitivity::MediumResistant,
        Sensitivity::Resistant,
    ];

    /// k1 below index one and from it on; A, B, C of the highest index; lowest critical humidity, %.
    fn coefficients(self) -> ([f64; 2], [f64; 3], f64) {
        match self {
            Sensitivity::VerySensitive => ([1.0, 2.0], [1.0, 7.0, 2.0], 80.0),
            Sensitivity::Sensitive => ([0.578, 0.386], [0.3, 6.0, 1.0], 80.0),
            Sensitivity::MediumResistant => ([0.072, 0.097], [0.0, 5.0, 1.5], 85.0),
            Sensitivity::Resistant => ([0.033, 0.014], [0.0, 3.0, 1.0], 85.0),
        }
    }

    /// Critical relative humidity, %, at a temperature, degC; 100 at 0 degC and below.
    ///
    /// The cubic holds up to 20 degC, above it the lowest value (Hukka and Viitanen 1999; codes that
    /// run the cubic on come to 80.03 at 25 degC).
    pub fn critical_rh_pct(self, temp_c: f64) -> f64 {
        let least = self.coefficients().2;
        if temp_c <= 0.0 {
            return 100.0;
        }
        if temp_c > 20.0 {
            return least;
        }
        (((-0.00267 * temp_c + 0.160) * temp_c - 3.13) * temp_c + 100.0).max(least)
    }

    /// Highest index that a state can reach.
    pub fn highest_index(self, temp_c: f64, rh_pct: f64) -> f64 {
        let (_, [a, b, c], _) = self.coefficients();
        let critical = self.critical_rh_pct(temp_c);
        let x = (critical - rh_pct) / (critical - 100.0);
        (a + b * x - c * x * x).max(0.0)
    }
}

/// Share of pine's decline in dry times (classes recalled, not confirmed).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Decline {
    /// As pine: 1.
    AsPine,
    /// Significant: 0.5.
    Significant,
    /// Relatively low: 0.25.
    Low,
    /// Almost none: 0.1, what ASHRAE 160 takes without further knowledge.
    AlmostNone,
}

impl Decline {
    /// The factor k3.
    pub fn factor(self) -> f64 {
        match self {
            Decline::AsPine => 1.0,
            Decline::Significant => 0.5,
            Decline::Low => 0.25,
            Decline::AlmostNone => 0.1,
        }
    }
}

/// The index through hours of constant state each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Index {
    /// Material.
    pub sensitivity: Sensitivity,
    /// Decline in dry times.
    pub decline: Decline,
    /// The index now.
    pub index: f64,
    /// Hours since growth was last possible.
    dry_h: usize,
}

impl Index {
    /// From a start, 0 for a clean surface.
    pub fn from(sensitivity: Sensitivity, decline: Decline, index: f64) -> Index {
        Index { sensitivity, decline, index, dry_h: 0 }
    }

    /// One hour at a temperature, degC, and a humidity, %.
    ///
    /// Growth: `dM/dt = k1 k2 / (7 exp(-0.68 ln T - 13.9 ln RH + 66.02))` a day where 0 < T < 50 degC
    /// and RH is critical; `k2 = max(1 - exp(2.3 (M - M_max)), 0)` with the index at the start of
    /// the hour. Decline: 0.00133 an hour in the first six dry hours, none until the 24th, 0.000667
    /// after, times k3 (Hukka and Viitanen 1999; Ojanen et al. 2010).
    pub fn hour(&mut self, temp_c: f64, rh_pct: f64) {
        let rh_pct = rh_pct.min(100.0);
        let grows = temp_c > 0.0 && temp_c < 50.0 && rh_pct >= self.sensitivity.critical_rh_pct(temp_c);
        if grows {
            let (k1, _, _) = self.sensitivity.coefficients();
            let k1 = if self.index < 1.0 { k1[0] } else { k1[1] };
            let most = self.sensitivity.highest_index(temp_c, rh_pct);
            let k2 = (1.0 - math::exp(2.3 * (self.index - most))).max(0.0);
            let weeks = math::exp(-0.68 * math::ln(temp_c) - 13.9 * math::ln(rh_pct) + 66.02);
            self.index += k1 * k2 / (7.0 * weeks) / 24.0;
            self.dry_h = 0;
            return;
        }
        self.dry_h += 1;
        let base = match self.dry_h {
            1..=6 => 0.00133,
            7..=24 => 0.0,
            _ => 0.000_667,
        };
        self.index = (self.index - base * self.decline.factor()).max(0.0);
    }
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Time of each row, s; rising.
    pub time_s: &'a [f64],
    /// Temperature of the surface, K; NaN in gaps.
    pub temp_k: &'a [f64],
    /// Relative humidity at it, 0 to 1; NaN in gaps.
    pub rh_frac: &'a [f64],
    /// The material; all four are worked where it is not known.
    pub sensitivity: Option<Sensitivity>,
    /// Decline in dry times.
    pub decline: Decline,
    /// Index at the start.
    pub start: f64,
}

/// The index of one class through the record.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OfClass {
    /// Class.
    pub sensitivity: Sensitivity,
    /// Highest index.
    pub highest: f64,
    /// Index at the end.
    pub end: f64,
    /// When it first reached one (growth under a microscope), s.
    pub reached_one_s: Option<f64>,
    /// When it first reached three (growth that is seen), s.
    pub reached_three_s: Option<f64>,
    /// Hours at or above its critical humidity.
    pub critical_h: usize,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mould {
    /// The class asked for, or every class where none was.
    pub classes: Vec<OfClass>,
    /// Neighbours of the class asked for: the index as a range.
    pub neighbours: Vec<OfClass>,
    /// Highest mean humidity of 30 days whose mean temperature lay within 5 to 40 degC.
    pub month_rh_frac: Option<f64>,
    /// Hours worked.
    pub hours: usize,
    /// Hours without a reading: the index stood still.
    pub gap_hours: usize,
    /// Remarks.
    #[serde(skip)]
    pub said: Vec<Diagnostic>,
    /// Index by hour of the first class, NaN in gaps, for drawing.
    #[serde(skip)]
    pub by_hour: Vec<f64>,
}

/// Works it on hourly means.
///
/// Errors: M101 less than a day of hours. Values outside the possible are left out (M102), hours
/// without a reading are counted (M103) and leave the index as it is.
///
/// ```
/// use engine::procedure::moisture::mould::{Asked, Decline, Sensitivity, evaluate};
/// let time_s: Vec<f64> = (0..30 * 24).map(|h| 3600.0 * f64::from(h)).collect();
/// let (temp_k, rh) = (vec![293.15; time_s.len()], vec![0.97; time_s.len()]);
/// let mould = evaluate(&Asked {
///     time_s: &time_s, temp_k: &temp_k, rh_frac: &rh,
///     sensitivity: Some(Sensitivity::Sensitive), decline: Decline::AlmostNone, start: 0.0,
/// }).unwrap();
/// assert!((mould.classes[0].end - 1.44766).abs() < 1e-4);
/// ```
pub fn evaluate(asked: &Asked<'_>) -> Result<Mould, Diagnostic> {
    let mut said = Vec::new();
    let (hours, bad) = hourly(asked);
    if bad > 0 {
        said.push(Diagnostic::warning(code::M102).arg("count", bad));
    }
    let read = hours.iter().flatten().count();
    if read < 24 {
        return Err(Diagnostic::error(code::M101).arg("found", read).arg("needed", 24_usize));
    }
    let gap_hours = hours.len() - read;
    if gap_hours > 0 {
        said.push(Diagnostic::warning(code::M103).arg("hours", gap_hours));
    }
    let run = |sensitivity| through(&hours, sensitivity, asked.decline, asked.start);
    let at = asked.sensitivity.and_then(|s| Sensitivity::ALL.iter().position(|a| *a == s));
    let (own, near): (Vec<Sensitivity>, Vec<Sensitivity>) = match at {
        Some(at) => {
            let near = [at.checked_sub(1), Some(at + 1)];
            let near = near.into_iter().flatten().filter_map(|i| Sensitivity::ALL.get(i).copied());
            (vec![Sensitivity::ALL[at]], near.collect())
        }
        None => (Sensitivity::ALL.to_vec(), Vec::new()),
    };
    let mut by_hour = Vec::new();
    let mut classes = Vec::new();
    for class in own {
        let (of, trace) = run(class);
        if by_hour.is_empty() {
            by_hour = trace;
        }
        classes.push(of);
    }
    Ok(Mould {
        classes,
        neighbours: near.into_iter().map(|s| run(s).0).collect(),
        month_rh_frac: worst_month(&hours),
        hours: hours.len(),
        gap_hours,
        said,
        by_hour,
    })
}

/// Mean temperature, degC, and humidity, %, of each hour; nothing where none was read. Also how
/// many readings were impossible.
fn hourly(asked: &Asked<'_>) -> (Vec<Option<(f64, f64)>>, usize) {
    let first = asked.time_s.first().copied().unwrap_or(0.0);
    let mut sums: Vec<(f64, f64, f64)> = Vec::new();
    let mut bad = 0;
    for ((time, temp_k), rh) in asked.time_s.iter().zip(asked.temp_k).zip(asked.rh_frac) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "times rise from the first"
        )]
        let hour = ((time - first) / HOUR_S).max(0.0) as usize;
        // A century of hours is no record.
        if hour > 24 * 36_600 {
            break;
        }
        if hour >= sums.len() {
            sums.resize(hour + 1, (0.0, 0.0, 0.0));
        }
        if temp_k.is_nan() || rh.is_nan() {
            continue;
        }
        if !(200.0..=400.0).contains(temp_k) || !(0.0..=1.05).contains(rh) {
            bad += 1;
            continue;
        }
        let sum = &mut sums[hour];
        *sum = (sum.0 + 1.0, sum.1 + temp_k - ZERO_CELSIUS_K, sum.2 + 100.0 * rh);
    }
    (sums.into_iter().map(|(n, t, rh)| (n > 0.0).then(|| (t / n, rh / n))).collect(), bad)
}

fn through(
    hours: &[Option<(f64, f64)>],
    sensitivity: Sensitivity,
    decline: Decline,
    start: f64,
) -> (OfClass, Vec<f64>) {
    let mut index = Index::from(sensitivity, decline, start);
    let mut of = OfClass {
        sensitivity,
        highest: start,
        end: start,
        reached_one_s: None,
        reached_three_s: None,
        critical_h: 0,
    };
    let mut trace = Vec::with_capacity(hours.len());
    for (h, state) in hours.iter().enumerate() {
        let Some((temp_c, rh_pct)) = state else {
            trace.push(f64::NAN);
            continue;
        };
        index.hour(*temp_c, *rh_pct);
        of.critical_h += usize::from(*temp_c > 0.0 && *rh_pct >= sensitivity.critical_rh_pct(*temp_c));
        of.highest = of.highest.max(index.index);
        let now_s = Some((h + 1) as f64 * HOUR_S);
        for (level, slot) in [(1.0, &mut of.reached_one_s), (3.0, &mut of.reached_three_s)] {
            if index.index >= level && slot.is_none() {
                *slot = now_s;
            }
        }
        trace.push(index.index);
    }
    of.end = index.index;
    (of, trace)
}

/// Highest running mean humidity over 30 days within 5 to 40 degC; windows with more than a tenth
/// of their hours missing do not count.
fn worst_month(hours: &[Option<(f64, f64)>]) -> Option<f64> {
    let (mut n, mut temp, mut rh) = (0.0, 0.0, 0.0);
    let mut worst: Option<f64> = None;
    for (i, state) in hours.iter().enumerate() {
        if let Some((t, r)) = state {
            (n, temp, rh) = (n + 1.0, temp + t, rh + r);
        }
        if let Some(Some((t, r))) = i.checked_sub(WINDOW_H).and_then(|j| hours.get(j)) {
            (n, temp, rh) = (n - 1.0, temp - t, rh - r);
        }
        if i + 1 >= WINDOW_H && n >= 0.9 * WINDOW_H as f64 && (5.0..=40.0).contains(&(temp / n)) {
            let mean = rh / n / 100.0;
            worst = Some(worst.map_or(mean, |w| w.max(mean)));
        }
    }
    worst
}

impl Mould {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        let number = |x| Estimate::without(x, Quantity::Number, NoInterval::NotDefined);
        for of in self.classes.iter().chain(&self.neighbours) {
            worked.figure(class_key(of.sensitivity), number(of.highest));
        }
        let exact = |x, quantity| Estimate::without(x, quantity, NoInterval::Exact);
        // With one class asked for, its own end and its own hours; with all four these would be eight.
        if let [of] = self.classes.as_slice() {
            worked.figure("figure-mould-index-end", number(of.end));
            let share = of.critical_h as f64 / (self.hours - self.gap_hours) as f64;
            worked.figure("figure-critical-share", exact(share, Quantity::Fraction));
        }
        let month = self.month_rh_frac.map(|rh| exact(rh, Quantity::Fraction));
        // Read in an abstract; superseded by the index, so it is shown and decides nothing.
        let rule = Limit::at_most(0.8, "ashrae-160-2009", false);
        worked.checks.push(rule.check("check-mould-month", month));
        let highest = self.classes.iter().map(|c| c.highest).fold(f64::NAN, f64::max);
        let rule = Limit::at_most(3.0, "ashrae-160-2016-e", false);
        worked.checks.push(rule.check("check-mould-index", Some(number(highest))));
        worked.notes.push(Note::new("note-mould-classes"));
        if self.month_rh_frac.is_none() {
            worked.notes.push(Note::new("note-no-month"));
        }
        worked
    }
}

fn class_key(sensitivity: Sensitivity) -> &'static str {
    match sensitivity {
        Sensitivity::VerySensitive => "figure-mould-index-very-sensitive",
        Sensitivity::Sensitive => "figure-mould-index-sensitive",
        Sensitivity::MediumResistant => "figure-mould-index-medium",
        Sensitivity::Resistant => "figure-mould-index-resistant",
    }
}
