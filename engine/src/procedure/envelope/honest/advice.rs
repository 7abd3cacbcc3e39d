//! What one more station would bring.

use super::line::{self, Line};
use super::posterior::Posterior;
use super::readings::Reading;
use super::wind::told;
use crate::math;
use serde::Serialize;

/// Pressures that are weighed against each other, Pa.
const PRESSURES_PA: [f64; 9] = [10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 75.0];
/// Averaging times that are weighed against each other, s.
const SECONDS: [f64; 5] = [10.0, 20.0, 30.0, 60.0, 120.0];
/// Time it takes to bring the house to another pressure, s (own choice).
const SETTING_S: f64 = 20.0;
/// How long a station was averaged where nothing says it, s (own choice).
const USUAL_S: f64 = 20.0;
/// A fan reaches a little more than it was asked for.
const REACH: f64 = 1.05;
/// A station that narrows the interval by less than this share is not worth its time (own choice).
const WORTH: f64 = 0.02;

/// The station to take next, and whether to take one at all.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NextStation {
    /// Induced pressure, Pa.
    pub dp_pa: f64,
    /// How long to average, s.
    pub seconds: f64,
    /// Expected narrowing of the 95 % interval of the flow asked for, share of its width.
    pub narrowing: f64,
    /// True where readings matter less than the gauges' own gain, or no station brings anything
    /// worth its time.
    pub stop: bool,
}

/// Expected narrowing of the interval of ln flow at `question_pa`, share of its width, by one more
/// station at `at_pa` averaged for `seconds`.
///
/// Linear design arithmetic under the mean setting of the wind: the variance with the station over
/// the variance without, `gain_sd` (standard deviation of the gauges' shift of ln flow) in both.
/// Nothing where the pressures or the time are not above zero.
///
/// ```
/// use engine::procedure::envelope::honest::*;
/// let zero = |mean_pa| Some(Zero { mean_pa, count: 6, sd_pa: Some(0.8) });
/// let readings = Readings {
///     stations: [60.0, 45.0, 30.0].map(|p: f64| Reading::mean(p, 0.03 * p.powf(0.65))).to_vec(),
///     before: zero(1.0),
///     after: zero(1.2),
///     offset_pa: 1.1,
///     wind_m_s: None,
/// };
/// let windy = estimate(&readings, (0.65, 0.07), &WindPrior::OWN).unwrap();
/// let short = narrowing(&windy, 4.0, 0.015, 15.0, 10.0).unwrap();
/// let long = narrowing(&windy, 4.0, 0.015, 15.0, 60.0).unwrap();
/// assert!(0.0 < short && short < long && long < 1.0);
/// ```
pub fn narrowing(
    posterior: &Posterior,
    question_pa: f64,
    gain_sd: f64,
    at_pa: f64,
    seconds: f64,
) -> Option<f64> {
    if !(question_pa > 0.0 && at_pa > 0.0 && seconds > 0.0) {
        return None;
    }
    let (_, before) = posterior.centre.ln_flow(question_pa);
    let (_, after) = with_station(posterior, at_pa, seconds)?.ln_flow(question_pa);
    let gain2 = gain_sd * gain_sd;
    Some((1.0 - ((after + gain2) / (before + gain2)).sqrt()).max(0.0))
}

fn with_station(posterior: &Posterior, at_pa: f64, seconds: f64) -> Option<Line> {
    let weather = &posterior.weather;
    let mut readings = posterior.readings.clone();
    let recorded: Vec<f64> = readings.stations.iter().filter_map(|s| s.sd_pa).collect();
    let levelled_s = 2.0 * weather.integral_s;
    let own_pa = if recorded.is_empty() {
        weather.station_pa(None, None) * (USUAL_S / seconds).sqrt()
    } else {
        let sd = recorded.iter().sum::<f64>() / recorded.len() as f64;
        weather.station_pa(Some(sd), Some(seconds))
    };
    // Written so that it comes out as this error again.
    readings.stations.push(Reading {
        dp_pa: at_pa,
        flow_m3_s: math::exp(posterior.centre.ln_flow(at_pa).0),
        sd_pa: Some(own_pa),
        seconds: Some(levelled_s),
    });
    let dp_pa: Vec<f64> = readings.stations.iter().map(|s| s.dp_pa).collect();
    let ln_flow: Vec<f64> = readings.stations.iter().map(|s| math::ln(s.flow_m3_s)).collect();
    let told = told(&readings, weather, &posterior.prior);
    let mut start = posterior.centre.e_pa.clone();
    start.push(0.0);
    line::draw(
        &dp_pa,
        &ln_flow,
        &told.errors(Some(posterior.exponent)),
        Some((posterior.centre.n, &start)),
        1e-4,
    )
}

/// The station that narrows the interval of the flow at `question_pa` most for its time.
///
/// Nothing above what the fan has reached is proposed. The advice is to stop where the readings' part
/// of the interval is below the gauges' own (`gain_sd` of ln flow), which no station can take away, or
/// where the best station is not worth its time. Nothing where no station can be worked out.
///
/// ```
/// use engine::procedure::envelope::honest::*;
/// let calm = |sd: f64| Some(Zero { mean_pa: 0.5, count: 6, sd_pa: Some(sd) });
/// let readings = |sd| Readings {
///     stations: [60.0, 50.0, 40.0, 30.0, 20.0, 10.0].map(|p: f64| Reading::mean(p, 0.03 * p.powf(0.65))).to_vec(),
///     before: calm(sd),
///     after: calm(sd),
///     offset_pa: 0.5,
///     wind_m_s: None,
/// };
/// let windy = |sd| estimate(&readings(sd), (0.65, 0.07), &WindPrior::OWN).unwrap();
/// assert!(next_station(&windy(0.05), 50.0, 0.025).unwrap().stop);
/// assert!(!next_station(&windy(3.0), 50.0, 0.005).unwrap().stop);
/// ```
pub fn next_station(posterior: &Posterior, question_pa: f64, gain_sd: f64) -> Option<NextStation> {
    let reached = math::max_valid(posterior.readings.stations.iter().map(|s| s.dp_pa))? * REACH;
    let within: Vec<f64> = PRESSURES_PA.into_iter().filter(|p| *p <= reached).collect();
    let within = if within.is_empty() { vec![reached / REACH] } else { within };
    let mut best: Option<NextStation> = None;
    for dp_pa in within {
        for seconds in SECONDS {
            let Some(narrowing) = narrowing(posterior, question_pa, gain_sd, dp_pa, seconds) else {
                continue;
            };
            let rate = |n: &NextStation| n.narrowing / (n.seconds + SETTING_S);
            let this = NextStation { dp_pa, seconds, narrowing, stop: false };
            if best.as_ref().is_none_or(|b| rate(&this) > rate(b)) {
                best = Some(this);
            }
        }
    }
    let (_, readings) = posterior.centre.ln_flow(question_pa);
    best.map(|b| NextStation { stop: readings < gain_sd * gain_sd || b.narrowing < WORTH, ..b })
}
