//! Bills against the weather: base use, slopes and balance temperatures of each fuel.
//!
//! Mean power of a period = base + H mean(T_h - T)+ + C mean(T - T_c)+, over the days of the period
//! (variable-base degree-days, as in Fels 1986, from memory), fitted by least squares with the balance
//! temperatures among the unknowns; intervals by Student's t from the curvature at the optimum.
//! Where only the mean temperature of a period is known, days on both sides of a balance temperature
//! are lost. Of flat, heating, cooling and both the one with the smallest corrected information
//! criterion is taken whose slopes are above zero. What the bills cannot tell is said instead.

mod fit;
pub mod outdoors;

pub use fit::Shape;

use super::field::{LEVEL, Note, Worked};
use crate::diag::{Diagnostic, Span, code};
use crate::math;
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::units::Quantity;
use fit::{Fitted, fit, gradient, predicted_w, range_k};
use serde::Serialize;

/// Fewest periods for any slope.
pub const LEAST_PERIODS: usize = 6;
/// Outdoor means have to differ by this, K, for a slope to be told; common practice, no source.
pub const LEAST_RANGE_K: f64 = 8.0;
const DAY_S: f64 = 86400.0;

/// One bill.
#[derive(Clone, Debug, PartialEq)]
pub struct Period {
    /// Days from reading to reading.
    pub days: f64,
    /// Energy used, J.
    pub energy_j: f64,
    /// Outdoor temperature, K: of every day, or one mean.
    pub outdoor_k: Vec<f64>,
    /// Whether its closing read was estimated.
    pub estimated: bool,
    /// Where it was written.
    pub span: Option<Span>,
}

impl Period {
    /// Mean power, W.
    pub fn power_w(&self) -> f64 {
        self.energy_j / (self.days * DAY_S)
    }
}

/// What is asked of one fuel.
#[derive(Clone, Debug, PartialEq)]
pub struct Fuel {
    /// Its name.
    pub name: String,
    /// Its bills in the order of time.
    pub periods: Vec<Period>,
    /// The shape, where the user knows it.
    pub shape: Option<Shape>,
    /// Share of the fuel's heat that reaches the rooms, where it heats.
    pub efficiency: Option<f64>,
    /// Every day of a usual year, K, where there is a weather file.
    pub usual_year_k: Vec<f64>,
}

/// Why something is not told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Untold {
    /// Fewer than [`LEAST_PERIODS`] periods.
    TooFew,
    /// The weather hardly changed.
    NoSeason,
    /// The scatter hides any slope.
    NoSlope,
}

/// What follows for one fuel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FuelFound {
    /// Its name.
    pub name: String,
    /// Periods used.
    pub periods: usize,
    /// Days in them.
    pub days: f64,
    /// Mean power over them, W.
    pub mean_w: f64,
    /// The shape taken.
    pub shape: Shape,
    /// Use that does not follow the weather, W.
    pub base: Option<Estimate>,
    /// More power per kelvin below the balance temperature, W/K.
    pub heating_slope: Option<Estimate>,
    /// Balance temperature of heating, K.
    pub heating_balance: Option<Estimate>,
    /// More power per kelvin above it, W/K.
    pub cooling_slope: Option<Estimate>,
    /// Balance temperature of cooling, K.
    pub cooling_balance: Option<Estimate>,
    /// Heat that the house loses per kelvin: slope times efficiency, W/K.
    pub heat_loss: Option<Estimate>,
    /// Mean outdoor temperature of the heating, each day by its degrees below the balance, K.
    pub heating_outdoor: Option<Estimate>,
    /// Use of a usual year, J.
    pub usual_year: Option<Estimate>,
    /// Standard deviation of a period's power about the model, W.
    pub scatter_w: f64,
    /// Share of the variance that the model explains.
    pub r2: f64,
    /// Correlation of neighbouring residuals.
    pub neighbours: f64,
    /// Whether it is beyond what chance does, so that the intervals were widened for it.
    pub autocorrelated: bool,
    /// Why there is no slope.
    pub untold: Option<Untold>,
    /// Periods put together because a read was estimated.
    pub merged: usize,
    /// Whether an estimated read without a good one after it was left out.
    pub open_end: bool,
    /// Whether any period has its mean temperature only.
    pub means_only: bool,
    /// Whether no period is free of heating, so that base and balance cannot be told apart.
    pub base_hidden: bool,
}

/// Joins each period with an estimated closing read with the one after it: the sum is right where
/// the split is not. A last one stays open and goes.
fn join_estimated(periods: &[Period]) -> (Vec<Period>, usize, bool) {
    let mut out: Vec<Period> = Vec::new();
    let mut open: Option<Period> = None;
    let mut merged = 0;
    for p in periods {
        let mut p = p.clone();
        if let Some(before) = open.take() {
            merged += 1;
            p = together(&before, &p);
        }
        if p.estimated { open = Some(p) } else { out.push(p) }
    }
    (out, merged, open.is_some())
}

fn together(a: &Period, b: &Period) -> Period {
    // Means weigh by their days; daily values already do.
    let daily = |p: &Period| p.outdoor_k.len() > 1;
    let outdoor_k = if daily(a) && daily(b) {
        [a.outdoor_k.clone(), b.outdoor_k.clone()].concat()
    } else {
        let mean = |p: &Period| p.outdoor_k.iter().sum::<f64>() / p.outdoor_k.len() as f64;
        vec![(mean(a) * a.days + mean(b) * b.days) / (a.days + b.days)]
    };
    Period {
        days: a.days + b.days,
        energy_j: a.energy_j + b.energy_j,
        outdoor_k,
        estimated: b.estimated,
        span: a.span.clone(),
    }
}

/// Periods that can be used, and what is wrong with the others.
///
/// An estimated read before a bill that cannot be used has nothing to be joined with, and goes too.
fn usable(fuel: &Fuel) -> (Vec<Period>, Vec<Diagnostic>, bool) {
    let (mut said, mut lost) = (Vec::new(), false);
    let mut good: Vec<Period> = Vec::new();
    for (row, p) in fuel.periods.iter().enumerate() {
        let wrong = if !(p.days.is_finite() && (1.0..=400.0).contains(&p.days)) {
            Some(code::B101)
        } else if !(p.energy_j.is_finite() && p.energy_j >= 0.0) {
            Some(code::B102)
        } else if p.outdoor_k.is_empty() || p.outdoor_k.iter().any(|t| !t.is_finite()) {
            Some(code::B103)
        } else {
            None
        };
        let Some(code) = wrong else {
            good.push(p.clone());
            continue;
        };
        let days = if p.days.is_finite() { p.days } else { 0.0 };
        said.push(
            Diagnostic::error(code)
                .at(p.span.clone())
                .arg("fuel", fuel.name.as_str())
                .arg("row", row + 1)
                .arg("days", days),
        );
        if good.last().is_some_and(|p| p.estimated) {
            good.pop();
            lost = true;
        }
    }
    (good, said, lost)
}

/// Works one fuel.
///
/// # Errors
/// B104 where no period is left. Periods left out are said beside the result (B101 to B103).
///
/// ```
/// use engine::procedure::bills::{Fuel, Period, Shape, evaluate};
/// // 100 W and 200 W/K below 15 degC, months from -5 to 25 degC.
/// let month = |c: f64| Period {
///     days: 30.0,
///     energy_j: 30.0 * 86400.0 * (100.0 + 200.0 * (15.0 - c).max(0.0)),
///     outdoor_k: vec![c + 273.15],
///     estimated: false,
///     span: None,
/// };
/// let months = [-5.0, -3.0, 1.0, 6.0, 11.0, 17.0, 22.0, 25.0, 19.0, 13.0, 5.0, -2.0];
/// let gas = Fuel {
///     name: "gas".into(),
///     periods: months.map(month).to_vec(),
///     shape: None,
///     efficiency: None,
///     usual_year_k: Vec::new(),
/// };
/// let (found, said) = evaluate(&gas).unwrap();
/// assert!(said.is_empty());
/// assert_eq!(found.shape, Shape::Heating);
/// assert!((found.heating_slope.unwrap().si - 200.0).abs() < 0.1);
/// assert!((found.heating_balance.unwrap().si - 288.15).abs() < 0.01);
/// ```
pub fn evaluate(fuel: &Fuel) -> Result<(FuelFound, Vec<Diagnostic>), Diagnostic> {
    let (good, said, lost) = usable(fuel);
    let (periods, merged, open) = join_estimated(&good);
    let open_end = open || lost;
    if periods.is_empty() {
        return Err(Diagnostic::error(code::B104).arg("fuel", fuel.name.as_str()));
    }
    let days: f64 = periods.iter().map(|p| p.days).sum();
    let mean_w = periods.iter().map(|p| p.energy_j).sum::<f64>() / (days * DAY_S);
    let (cold, warm) = range_k(&periods);
    let mut untold = if periods.len() < LEAST_PERIODS {
        Some(Untold::TooFew)
    } else if warm - cold < LEAST_RANGE_K {
        Some(Untold::NoSeason)
    } else {
        None
    };
    let flat = fit(&periods, Shape::Flat);
    let chosen = match untold {
        Some(_) => None,
        None => choose(&periods, fuel.shape),
    };
    if untold.is_none() && chosen.as_ref().is_none_or(|c| c.shape == Shape::Flat) {
        untold = Some(Untold::NoSlope);
    }
    let mut found = FuelFound {
        name: fuel.name.clone(),
        periods: periods.len(),
        days,
        mean_w,
        shape: Shape::Flat,
        base: None,
        heating_slope: None,
        heating_balance: None,
        cooling_slope: None,
        cooling_balance: None,
        heat_loss: None,
        heating_outdoor: None,
        usual_year: None,
        scatter_w: f64::NAN,
        r2: 0.0,
        neighbours: 0.0,
        autocorrelated: false,
        untold,
        merged,
        open_end,
        means_only: periods.iter().any(|p| p.outdoor_k.len() < 2 && p.days > 3.0),
        base_hidden: false,
    };
    if let Some(best) = chosen {
        let flat_rss = flat.map_or(f64::NAN, |f| f.rss);
        describe(&mut found, &best, &periods, fuel, flat_rss);
    }
    Ok((found, said))
}

fn describe(found: &mut FuelFound, best: &Fitted, periods: &[Period], fuel: &Fuel, flat_rss: f64) {
    let n = periods.len() as f64;
    let dof = n - best.shape.parameters() as f64;
    let sum: f64 = best.residuals.iter().map(|r| r * r).sum();
    let pairs: f64 = best.residuals.windows(2).map(|w| w.iter().product::<f64>()).sum();
    // Rounding in an exact fit is no correlation.
    let exact = sum <= 1e-16 * n * found.mean_w * found.mean_w;
    let r = if exact { 0.0 } else { (pairs / sum).clamp(-0.95, 0.95) };
    found.shape = best.shape;
    found.neighbours = r;
    found.autocorrelated = r > 2.0 / n.sqrt();
    let widen = if found.autocorrelated { ((1.0 + r) / (1.0 - r)).sqrt() } else { 1.0 };
    let variance = best.rss / dof * widen * widen;
    found.scatter_w = (best.rss / dof).sqrt();
    found.r2 = 1.0 - best.rss / flat_rss;
    let quantile = student_t_two_sided(LEVEL, dof);
    let estimate = |i: usize, quantity| {
        let si = best.parameters.get(i).copied()?;
        let half = quantile * (variance * best.unscaled[(i, i)]).sqrt();
        Some(Estimate::range(si, si - half, si + half, LEVEL, quantity))
    };
    found.base = estimate(0, Quantity::Power);
    let cooling = match best.shape {
        Shape::Both => 3,
        _ => 1,
    };
    if best.shape.heats() {
        found.heating_slope = estimate(1, Quantity::Conductance);
        found.heating_balance = estimate(2, Quantity::Temperature);
        // Base and balance are told apart by periods that heat on few days only.
        let balance = best.parameters.get(2).copied().unwrap_or(f64::NAN);
        let hardly = |p: &&Period| fit::below(p, balance) < 1.0;
        found.base_hidden = periods.iter().filter(hardly).count() < 2;
        found.heating_outdoor = heating_outdoor_k(periods, balance)
            .map(|k| Estimate::without(k, Quantity::Temperature, NoInterval::Exact));
    }
    if best.shape.cools() {
        found.cooling_slope = estimate(cooling, Quantity::Conductance);
        found.cooling_balance = estimate(cooling + 1, Quantity::Temperature);
    }
    if let (Some(slope), Some(efficiency)) = (found.heating_slope, fuel.efficiency) {
        found.heat_loss = Some(slope.scaled(efficiency, Quantity::Conductance));
    }
    if !fuel.usual_year_k.is_empty() && best.shape != Shape::Flat {
        let seconds = fuel.usual_year_k.len() as f64 * DAY_S;
        let year = Period {
            days: fuel.usual_year_k.len() as f64,
            energy_j: 0.0,
            outdoor_k: fuel.usual_year_k.clone(),
            estimated: false,
            span: None,
        };
        let power = predicted_w(&year, best.shape, &best.parameters);
        let g = nalgebra::DVector::from_vec(gradient(&year, best.shape, &best.parameters));
        let half = quantile * (variance * (g.transpose() * &best.unscaled * &g)[(0, 0)]).sqrt();
        let around = Estimate::range(power, power - half, power + half, LEVEL, Quantity::Power);
        found.usual_year = Some(around.scaled(seconds, Quantity::Energy));
    }
}

/// Mean outdoor temperature of the heating, each day by its degrees below the balance temperature, K.
fn heating_outdoor_k(periods: &[Period], balance_k: f64) -> Option<f64> {
    let (mut sum, mut degree_days) = (0.0, 0.0);
    for p in periods {
        let days = p.days / p.outdoor_k.len() as f64;
        for t in p.outdoor_k.iter().filter(|t| **t < balance_k) {
            sum += days * (balance_k - t) * t;
            degree_days += days * (balance_k - t);
        }
    }
    (degree_days > 0.0).then(|| sum / degree_days)
}

/// The shape with the smallest corrected information criterion whose slopes are above zero; the
/// user's own where there is one.
fn choose(periods: &[Period], wanted: Option<Shape>) -> Option<Fitted> {
    if let Some(shape) = wanted {
        return fit(periods, shape);
    }
    let n = periods.len() as f64;
    let scale: f64 = periods.iter().map(|p| p.power_w() * p.power_w()).sum();
    let criterion = |f: &Fitted| {
        // The residual variance counts as a number too.
        let k = f.shape.parameters() as f64 + 1.0;
        let spare = n - k - 1.0;
        // An exact fit must not count as infinitely good.
        let rss = f.rss.max(1e-18 * scale);
        if spare > 0.0 {
            n * math::ln(rss / n) + 2.0 * k + 2.0 * k * (k + 1.0) / spare
        } else {
            f64::INFINITY
        }
    };
    // Balance and slope of a short season hang together, so a slope's own interval is no test of it;
    // the criterion is.
    let rises = |f: &Fitted| match f.shape {
        Shape::Flat => true,
        Shape::Heating | Shape::Cooling => f.parameters.get(1).is_some_and(|s| *s > 0.0),
        Shape::Both => [1, 3].iter().all(|i| f.parameters.get(*i).is_some_and(|s| *s > 0.0)),
    };
    let shapes = [Shape::Flat, Shape::Heating, Shape::Cooling, Shape::Both];
    let fits = shapes.into_iter().filter_map(|s| fit(periods, s)).filter(rises);
    fits.min_by(|a, b| criterion(a).total_cmp(&criterion(b)))
}

/// All fuels of a house.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Bills {
    /// One a fuel.
    pub fuels: Vec<FuelFound>,
    /// Whether the temperatures are those of a usual year, not of the bills' own days.
    pub usual_weather: bool,
}

impl Bills {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for f in &self.fuels {
            let mean = Estimate::without(f.mean_w, Quantity::Power, NoInterval::Exact);
            let base = f.base.filter(|_| !f.base_hidden);
            for (id, figure) in [
                ("figure-use-base", base),
                ("figure-heating-slope", f.heating_slope),
                ("figure-heating-balance", f.heating_balance.filter(|_| !f.base_hidden)),
                ("figure-cooling-slope", f.cooling_slope),
                ("figure-cooling-balance", f.cooling_balance),
                ("figure-heat-loss", f.heat_loss),
                ("figure-heating-outdoor", f.heating_outdoor.filter(|_| f.heat_loss.is_some())),
                ("figure-usual-year", f.usual_year),
                ("figure-use-mean", Some(mean)),
            ] {
                if let Some(figure) = figure {
                    worked.figure_of(id, &f.name, figure);
                }
            }
            if f.base.is_some() && f.untold.is_none() {
                let r2 = Estimate::without(f.r2, Quantity::Number, NoInterval::NotDefined);
                worked.figure_of("figure-explained", &f.name, r2);
            }
            self.notes(f, &mut worked);
        }
        if self.usual_weather {
            worked.notes.push(Note::caution("note-bills-usual-weather"));
        }
        worked
    }

    fn notes(&self, f: &FuelFound, worked: &mut Worked) {
        let mut say = |when: bool, note: Note| {
            if when {
                worked.notes.push(note.arg("fuel", f.name.replace('_', " ")));
            }
        };
        let untold = |u| f.untold == Some(u);
        say(
            untold(Untold::TooFew),
            Note::caution("note-bills-too-few").arg("periods", f.periods).arg("wanted", LEAST_PERIODS),
        );
        say(untold(Untold::NoSeason), Note::caution("note-bills-no-season"));
        say(untold(Untold::NoSlope), Note::new("note-bills-no-slope"));
        say(
            f.untold.is_none() && f.days < 330.0,
            Note::caution("note-bills-not-a-year").arg("days", f.days.round()),
        );
        say(f.base_hidden, Note::caution("note-bills-base-hidden"));
        say(
            f.autocorrelated,
            Note::caution("note-bills-autocorrelated").arg("r", (f.neighbours * 100.0).round() / 100.0),
        );
        say(f.merged > 0, Note::new("note-bills-estimated").arg("merged", f.merged));
        say(f.open_end, Note::new("note-bills-open-end"));
        say(f.untold.is_none() && f.means_only, Note::new("note-bills-means-only"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    const MEANS: [f64; 12] = [-4.0, -2.0, 3.0, 9.0, 15.0, 20.0, 24.0, 23.0, 17.0, 11.0, 5.0, -1.0];

    fn months(noise: f64, seed: &str, power: impl Fn(f64) -> f64) -> Fuel {
        let mut rng = Stream::new(3, seed);
        let period = |c: &f64| {
            let days: Vec<f64> = (0..30).map(|_| c + 273.15 + 4.0 * rng.normal()).collect();
            let w = days.iter().map(|k| power(k - 273.15)).sum::<f64>() / 30.0 + noise * rng.normal();
            Period { days: 30.0, energy_j: w * 30.0 * DAY_S, outdoor_k: days, estimated: false, span: None }
        };
        Fuel {
            name: "gas".into(),
            periods: MEANS.iter().map(period).collect(),
            shape: None,
            efficiency: None,
            usual_year_k: Vec::new(),
        }
    }

    /// Intervals hold the true numbers about as often as they say.
    #[test]
    fn coverage() {
        let mut held = [0; 3];
        for i in 0..300 {
            let mut fuel = months(150.0, &format!("c{i}"), |c| 400.0 + 180.0 * (16.0 - c).max(0.0));
            fuel.shape = Some(Shape::Heating);
            let (found, _) = evaluate(&fuel).unwrap();
            let truth = [(found.base, 400.0), (found.heating_slope, 180.0), (found.heating_balance, 289.15)];
            for (count, (estimate, truth)) in held.iter_mut().zip(truth) {
                let (lo, hi) = estimate.unwrap().bounds().unwrap();
                *count += i32::from(lo <= truth && truth <= hi);
            }
        }
        assert!(held.iter().all(|h| (272..=297).contains(h)), "{held:?} of 300");
    }

    #[test]
    fn shapes_are_told_apart() {
        let shape = |seed, power: fn(f64) -> f64| evaluate(&months(60.0, seed, power)).unwrap().0.shape;
        assert_eq!(shape("f", |_| 500.0), Shape::Flat);
        assert_eq!(shape("h", |c| 300.0 + 150.0 * (15.0 - c).max(0.0)), Shape::Heating);
        assert_eq!(shape("c", |c| 600.0 + 90.0 * (c - 19.0).max(0.0)), Shape::Cooling);
        let both = |c: f64| 600.0 + 150.0 * (12.0 - c).max(0.0) + 120.0 * (c - 19.0).max(0.0);
        assert_eq!(shape("b", both), Shape::Both);
    }

    #[test]
    fn what_cannot_be_told_is_said() {
        let mut few = months(10.0, "few", |c| 300.0 + 150.0 * (15.0 - c).max(0.0));
        few.periods.truncate(4);
        assert_eq!(evaluate(&few).unwrap().0.untold, Some(Untold::TooFew));
        let mut summer = months(10.0, "summer", |_| 300.0);
        summer.periods = [5, 6, 7, 5, 6, 7, 6].map(|i| summer.periods[i].clone()).to_vec();
        assert_eq!(evaluate(&summer).unwrap().0.untold, Some(Untold::NoSeason));
        // Winter only: the slope is told, the base is not.
        let mut winter = months(30.0, "winter", |c| 300.0 + 150.0 * (18.0 - c).max(0.0));
        winter.periods = [0, 1, 2, 3, 9, 10, 11].map(|i| winter.periods[i].clone()).to_vec();
        winter.shape = Some(Shape::Heating);
        let (found, _) = evaluate(&winter).unwrap();
        assert!(found.base_hidden, "{found:?}");
    }

    /// An estimated read puts use into the wrong month; joined with the next the sum is right.
    #[test]
    fn estimated_reads_are_joined() {
        let power = |c: f64| 300.0 + 150.0 * (15.0 - c).max(0.0);
        let mut fuel = months(0.0, "e", power);
        let moved = 0.3 * fuel.periods[2].energy_j;
        fuel.periods[2].energy_j += moved;
        fuel.periods[3].energy_j -= moved;
        fuel.periods[2].estimated = true;
        let (found, _) = evaluate(&fuel).unwrap();
        assert_eq!((found.merged, found.periods), (1, 11));
        assert!((found.heating_slope.unwrap().si - 150.0).abs() < 0.5);
        fuel.periods[11].estimated = true;
        assert!(evaluate(&fuel).unwrap().0.open_end);
    }

    #[test]
    fn a_bad_bill_is_said_and_the_rest_computes() {
        let mut fuel = months(5.0, "bad", |c| 300.0 + 150.0 * (15.0 - c).max(0.0));
        fuel.periods[1].energy_j = -5.0;
        fuel.periods[4].days = f64::NAN;
        fuel.periods[6].outdoor_k = vec![f64::NAN];
        let (found, said) = evaluate(&fuel).unwrap();
        assert_eq!(found.periods, 9);
        let codes: Vec<&str> = said.iter().map(|d| d.code.0).collect();
        assert_eq!(codes, ["B102", "B101", "B103"]);
        fuel.periods.truncate(2);
        fuel.periods.remove(0);
        assert_eq!(evaluate(&fuel).unwrap_err().code, code::B104);
    }
}
