//! Each unknown number of the house before and after the readings.

use super::LEVEL;
use super::draws::Draws;
use super::limits::{self, Limits};
use crate::house::{House, ParamKind};
use crate::measure::{Estimate, NoInterval};
use serde::Serialize;

/// One unknown number of the house before and after the readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Known {
    /// Name in the documents of the thing.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// What the number is.
    pub kind: ParamKind,
    /// Before.
    pub prior: Estimate,
    /// After.
    pub posterior: Estimate,
    /// Share of the prior variance that the readings removed, 0 to 1.
    pub from_readings: f64,
    /// What the ends of its interval rest on.
    pub limits: Limits,
}

/// The parameter `p`, from all weighted draws.
pub(super) fn known(house: &House, drawn: &Draws, p: usize) -> Known {
    let param = &house.params[p];
    let quantity = param.kind.quantity();
    let common = common_exponent(house, p);
    let z = crate::measure::normal_quantile((1.0 + LEVEL) / 2.0);
    let (mean, sd) = match common {
        Some(c) => (house.params[c].mean, house.params[c].sd.hypot(param.sd)),
        None => (param.mean, param.sd),
    };
    let at = |z: f64| param.scale.value(mean + z * sd);
    let values = limits::ascending(drawn, |theta| param.scale.value(number(theta, p, common)));
    let quantile = |level: f64| limits::quantile(&values, level);
    let posterior = match values.is_empty() {
        true => Estimate::without(f64::NAN, quantity, NoInterval::NotComputed),
        false => {
            let tail = (1.0 - LEVEL) / 2.0;
            Estimate::range(quantile(0.5), quantile(tail), quantile(1.0 - tail), LEVEL, quantity)
        }
    };
    let left = limits::variance(&limits::ascending(drawn, |theta| theta[p]));
    Known {
        name: param.name.clone(),
        label: param.label.clone(),
        kind: param.kind,
        prior: Estimate::range(at(0.0), at(-z), at(z), LEVEL, quantity),
        posterior,
        from_readings: (1.0 - left / (param.sd * param.sd)).clamp(0.0, 1.0),
        limits: limits_of(house, drawn, p),
    }
}

/// What the ends of the interval of parameter `p` rest on.
pub(super) fn limits_of(house: &House, drawn: &Draws, p: usize) -> Limits {
    let common = common_exponent(house, p);
    limits::limits(drawn, |theta| number(theta, p, common))
}

/// An own exponent is a deviation from the common one; what is shown is the exponent itself.
fn common_exponent(house: &House, p: usize) -> Option<usize> {
    let param = &house.params[p];
    let own = param.kind == ParamKind::Exponent && param.mean.abs() < f64::EPSILON;
    if own { house.params.iter().position(|q| q.kind == ParamKind::CommonExponent) } else { None }
}

fn number(theta: &[f64], p: usize, common: Option<usize>) -> f64 {
    theta[p] + common.map_or(0.0, |c| theta[c])
}
