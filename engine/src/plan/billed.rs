//! What plans use against what the bills of the house say.
//!
//! Bills and model are set side by side where both speak of the same thing: what follows the weather in the
//! usual year of the weather file. Of the bills that is the use of that year less its base use
//! ([`crate::procedure::bills`]); its interval adds those of the two as if they were independent, which
//! is wider than it is, since both rise and fall together. Of the model it is the heating by burnt fuels on the one
//! side, and heating, cooling and the air handler's fan by electricity on the other.
//!
//! In every draw each of these parts is scaled by what the bills say over what that draw uses in the house as
//! found; a plan keeps its own proportion to it. The range of a scaled value is then
//! widened, in quadrature, by the range of the bills and by the whole difference between scaled and not: where the
//! two agree that adds nothing, where they do not neither is known to be right.

use crate::fit::LEVEL;
use crate::math;
use crate::measure::{Estimate, normal_quantile};
use crate::procedure::bills::FuelFound;
use crate::units::Quantity;
use serde::Serialize;

/// A usual year, s.
const YEAR_S: f64 = 365.0 * 86_400.0;

/// What follows the weather of a fuel's bills.
#[derive(Clone, Debug, PartialEq)]
pub struct Meter {
    /// Electricity; else something burnt.
    pub electricity: bool,
    /// Use of a usual year that follows the weather, J; nothing where the bills do not tell it.
    pub season: Option<Estimate>,
}

/// The part of a fuel's bills that follows the weather. A fuel with `elec` in its name is electricity.
pub fn meter(found: &FuelFound) -> Meter {
    let season = || {
        let base = found.base.filter(|_| !found.base_hidden)?.scaled(YEAR_S, Quantity::Energy);
        let year = found.usual_year?;
        let si = year.si - base.si;
        let half = (deviation(&year)?.powi(2) + deviation(&base)?.powi(2)).sqrt() * width();
        (si > 0.0).then(|| Estimate::range(si, si - half, si + half, LEVEL, Quantity::Energy))
    };
    Meter { electricity: found.name.to_lowercase().contains("elec"), season: season() }
}

/// Half a range of [`LEVEL`] over a standard deviation.
fn width() -> f64 {
    normal_quantile(0.5 * (1.0 + LEVEL))
}

/// Standard deviation that the range of an estimate stands for.
fn deviation(e: &Estimate) -> Option<f64> {
    let crate::measure::Interval::Range { lo, hi, level } = e.interval else { return None };
    Some(0.5 * (hi - lo) / normal_quantile(0.5 * (1.0 + level)))
}

/// One part of the energy, by model and by bills.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BilledPart {
    /// Electricity; else something burnt.
    pub electricity: bool,
    /// By the model of the house as found, J a year.
    pub model: Estimate,
    /// By the bills, J of the same year.
    pub bills: Estimate,
    /// Model over bills.
    pub ratio: Estimate,
    /// Whether its range includes one.
    pub agrees: bool,
}

/// Energy of plans scaled to the bills.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Billed {
    /// What could be compared.
    pub parts: Vec<BilledPart>,
    /// For each plan, the house as found first, all its energy scaled, J a year.
    pub energy: Vec<Estimate>,
    /// Less that of the house as found, J a year.
    pub differences: Vec<Estimate>,
}

/// Energy of one year of one plan in one draw, J: burnt for heating; electricity of heating, cooling and
/// the handler's fan; all other electricity.
pub type Parts = [f64; 3];

fn sum(list: &[f64]) -> f64 {
    list.iter().sum()
}

fn middle(list: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = list.collect();
    all.sort_by(f64::total_cmp);
    math::quantile_of_draws(&all, 0.5).unwrap_or(f64::NAN)
}

/// Sets `lived[plan][draw]` against the meters; nothing where no part is in both.
pub fn billed(lived: &[Vec<Parts>], meters: &[Meter]) -> Option<Billed> {
    let found = lived.first()?;
    let whole = |part: usize| -> Option<Estimate> {
        let of = || meters.iter().filter(move |m| m.electricity == (part == 1));
        // Several burnt fuels count together, so that one without a season hides the sum.
        let seasons: Vec<Estimate> = of().map(|m| m.season).collect::<Option<_>>()?;
        let si = seasons.iter().map(|s| s.si).sum::<f64>();
        let variance: f64 = seasons.iter().filter_map(deviation).map(|d| d * d).sum();
        let half = variance.sqrt() * width();
        (si > 0.0).then(|| Estimate::range(si, si - half, si + half, LEVEL, Quantity::Energy))
    };
    let bills = [whole(0), whole(1)];
    let parts: Vec<(usize, BilledPart)> = (0..2)
        .filter_map(|p| {
            let bills = bills[p]?;
            let values: Vec<f64> = found.iter().map(|d| d[p]).collect();
            let model = super::compared::estimate(values, Quantity::Energy);
            if model.si.is_nan() || model.si <= 0.0 {
                return None;
            }
            let of_model = deviation(&model).unwrap_or(0.0) / model.si;
            let of_bills = deviation(&bills).unwrap_or(0.0) / bills.si;
            let half = width() * (of_model * of_model + of_bills * of_bills).sqrt();
            let ratio = model.si / bills.si;
            let (lo, hi) = (ratio * math::exp(-half), ratio * math::exp(half));
            let ratio = Estimate::range(ratio, lo, hi, LEVEL, Quantity::Number);
            Some((p, BilledPart { electricity: p == 1, model, bills, ratio, agrees: lo <= 1.0 && 1.0 <= hi }))
        })
        .collect();
    if parts.is_empty() {
        return None;
    }
    let scaled = |lived: &Parts, found: &Parts| -> Parts {
        let mut out = *lived;
        for (p, part) in &parts {
            out[*p] = if found[*p] > 0.0 { lived[*p] * part.bills.si / found[*p] } else { lived[*p] };
        }
        out
    };
    // `base` is what is taken off in every draw.
    let estimate = |plan: &[Parts], base: Option<&[Parts]>| {
        let less = |d: usize, of: &dyn Fn(&Parts) -> f64| of(&plan[d]) - base.map_or(0.0, |b| of(&b[d]));
        let draws = || 0..plan.len().min(found.len());
        let values: Vec<f64> = draws().map(|d| less(d, &|e| sum(&scaled(e, &found[d])))).collect();
        let own = super::compared::estimate(values, Quantity::Energy);
        let Some((lo, hi)) = own.bounds() else { return own };
        let mut more = 0.0;
        for (p, part) in &parts {
            let by_bills = middle(draws().map(|d| less(d, &|e| scaled(e, &found[d])[*p])));
            let by_model = middle(draws().map(|d| less(d, &|e| e[*p])));
            let of_bills = width() * deviation(&part.bills).unwrap_or(0.0) / part.bills.si * by_bills;
            more += of_bills * of_bills + (by_bills - by_model).powi(2);
        }
        let wide = |end: f64| ((end - own.si).powi(2) + more).sqrt();
        Estimate::range(own.si, own.si - wide(lo), own.si + wide(hi), LEVEL, Quantity::Energy)
    };
    Some(Billed {
        energy: lived.iter().map(|plan| estimate(plan, None)).collect(),
        differences: lived.iter().map(|plan| estimate(plan, Some(found))).collect(),
        parts: parts.into_iter().map(|p| p.1).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(si: f64, half: f64) -> Estimate {
        Estimate::range(si, si - half, si + half, LEVEL, Quantity::Energy)
    }

    fn gas(si: f64, half: f64) -> [Meter; 1] {
        [Meter { electricity: false, season: Some(range(si, half)) }]
    }

    #[test]
    fn a_model_that_agrees_is_left_as_it_is() {
        // The house burns 100, a plan 60, in every draw; 10 of electricity beside.
        let lived = [vec![[100.0, 10.0, 0.0]; 5], vec![[60.0, 10.0, 0.0]; 5]];
        let b = billed(&lived, &gas(100.0, 8.0)).unwrap();
        assert!(b.parts.len() == 1 && b.parts[0].agrees && (b.parts[0].ratio.si - 1.0).abs() < 1e-12);
        assert!((b.energy[0].si - 110.0).abs() < 1e-9 && (b.differences[1].si + 40.0).abs() < 1e-9);
        // The bills' 8 % are all there is to the range: 8 of 100 and 3.2 of the 40 saved.
        let (lo, hi) = b.energy[0].bounds().unwrap();
        assert!((hi - lo - 16.0).abs() < 1e-9, "{lo} {hi}");
        let (lo, hi) = b.differences[1].bounds().unwrap();
        assert!((hi - lo - 6.4).abs() < 1e-9, "{lo} {hi}");
    }

    #[test]
    fn what_disagrees_scales_and_widens() {
        let lived = [vec![[150.0, 10.0, 5.0]; 5], vec![[90.0, 10.0, 5.0]; 5]];
        let b = billed(&lived, &gas(100.0, 5.0)).unwrap();
        assert!(!b.parts[0].agrees && (b.parts[0].ratio.si - 1.5).abs() < 1e-12);
        // Scaled by two thirds: 60 saved by the model are 40; the range reaches both.
        assert!((b.energy[0].si - 115.0).abs() < 1e-9 && (b.differences[1].si + 40.0).abs() < 1e-9);
        let (lo, _) = b.differences[1].bounds().unwrap();
        assert!((lo + 40.0 + (20.0_f64.powi(2) + 2.0_f64.powi(2)).sqrt()).abs() < 1e-9, "{lo}");
        assert!(lo < -60.0);
    }

    #[test]
    fn bills_that_do_not_tell_are_no_bills() {
        let lived = [vec![[100.0, 10.0, 0.0]; 3]];
        assert_eq!(billed(&lived, &[Meter { electricity: false, season: None }]), None);
        assert_eq!(billed(&lived, &[]), None);
        // A house that burns nothing has nothing to compare with gas.
        assert_eq!(billed(&[vec![[0.0, 10.0, 0.0]; 3]], &gas(100.0, 5.0)), None);
    }
}
