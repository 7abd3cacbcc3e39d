//! Days that stand for others: each month cut into strata of like days, one day picked in each.

use super::{DAYS, MONTH_STARTS, Weather};

/// A day of the year and how many days it stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PickedDay {
    /// Day of the year, from 0.
    pub day: usize,
    /// Number of days it stands for.
    pub weight: f64,
}

/// What likeness is judged by: temperature, humidity ratio, wind speed squared (as wind presses),
/// sun; means of the day.
const FEATURES: usize = 4;
type Features = [f64; FEATURES];
/// Part of what the picks of a month were off that the next month still makes up for.
const DEBT_KEPT: f64 = 0.7;

impl Weather {
    /// About `count` days of the year with weights that sum to 365: `count / 12` a month (at least
    /// one, at most eight).
    ///
    /// The days of a month are halved by mean temperature, the halves by mean humidity ratio, and
    /// so on in turn. In each stratum the day is picked that lies near the stratum's centre
    /// (temperature, humidity ratio, wind squared, sun, each by its spread over the year) and makes
    /// up for what the picks before it were off, so that the year's sums are kept: with the centre
    /// alone 48 days of one real year had 6 % too few degree-hours of heating.
    pub fn stratified_days(&self, count: usize) -> Vec<PickedDay> {
        let per_month = (count / 12).clamp(1, 8);
        let features: Vec<Features> = (0..DAYS).map(|d| self.day_features(d)).collect();
        let spread = spread(&features);
        let mut picked = Vec::with_capacity(12 * per_month);
        let mut debt = [0.0; FEATURES];
        for month in 0..12 {
            let days: Vec<usize> = (MONTH_STARTS[month]..MONTH_STARTS[month + 1]).collect();
            split(days, per_month, 0, &features, &mut |stratum| {
                if let Some(day) = pick(stratum, &features, &spread, &mut debt) {
                    picked.push(PickedDay { day, weight: stratum.len() as f64 });
                }
            });
            debt = debt.map(|d| DEBT_KEPT * d);
        }
        picked.sort_by_key(|p| p.day);
        picked
    }

    fn day_features(&self, day: usize) -> Features {
        let mut sum = [0.0; FEATURES];
        for h in 0..24 {
            let hour = self.hour((24 * day + h) as i64);
            let values = [hour.temp_k, hour.w_kg_kg, hour.wind_m_s * hour.wind_m_s, hour.ghi_w_m2];
            for (s, v) in sum.iter_mut().zip(values) {
                *s += v / 24.0;
            }
        }
        sum
    }
}

/// Splits `days` into `parts` strata of nearly equal size; axis 0 and 1 in turn.
fn split(mut days: Vec<usize>, parts: usize, axis: usize, all: &[Features], done: &mut impl FnMut(&[usize])) {
    if parts <= 1 || days.len() <= 1 {
        done(&days);
        return;
    }
    days.sort_by(|a, b| all[*a][axis].total_cmp(&all[*b][axis]).then(a.cmp(b)));
    let low = parts / 2;
    let upper = days.split_off(days.len() * low / parts);
    split(days, low, 1 - axis, all, done);
    split(upper, parts - low, 1 - axis, all, done);
}

fn centre(days: &[usize], all: &[Features]) -> Features {
    let mut sum = [0.0; FEATURES];
    for day in days {
        for (s, v) in sum.iter_mut().zip(all[*day]) {
            *s += v / days.len() as f64;
        }
    }
    sum
}

fn spread(all: &[Features]) -> Features {
    let days: Vec<usize> = (0..all.len()).collect();
    let middle = centre(&days, all);
    let mut square = [0.0; FEATURES];
    for f in all {
        for ((s, v), m) in square.iter_mut().zip(f).zip(middle) {
            *s += (v - m) * (v - m) / all.len() as f64;
        }
    }
    square.map(|s| if s > 0.0 { s.sqrt() } else { 1.0 })
}

/// The day of a stratum of least distance to its centre plus least distance of all that was
/// picked so far to its own; `debt` is that sum, in day spreads.
fn pick(days: &[usize], all: &[Features], spread: &Features, debt: &mut Features) -> Option<usize> {
    let middle = centre(days, all);
    let weight = days.len() as f64;
    let off = |day: usize, k: usize| (all[day][k] - middle[k]) / spread[k];
    let cost = |day: usize| -> f64 {
        (0..FEATURES)
            .map(|k| {
                let own = off(day, k);
                let joint = own + debt[k] / weight;
                own * own + joint * joint
            })
            .sum()
    };
    let day = days.iter().copied().min_by(|a, b| cost(*a).total_cmp(&cost(*b)))?;
    let next: Features = std::array::from_fn(|k| debt[k] + weight * off(day, k));
    *debt = next;
    Some(day)
}

#[cfg(test)]
mod tests {
    use super::super::{Hour, Weather};

    #[test]
    fn weights_sum_to_the_year_and_every_month_is_there() {
        let mut weather = Weather::steady(Hour {
            temp_k: 280.0,
            w_kg_kg: 0.005,
            pressure_pa: 1e5,
            wind_m_s: 3.0,
            wind_from_rad: 0.0,
            ghi_w_m2: 0.0,
            dni_w_m2: 0.0,
            dhi_w_m2: 0.0,
        });
        for (k, hour) in weather.hours.iter_mut().enumerate() {
            let day = k / 24;
            hour.temp_k += ((day * 37) % 101) as f64 * 0.1;
            hour.w_kg_kg += ((day * 53) % 89) as f64 * 1e-5;
        }
        for (count, expected) in [(12, 12), (48, 48), (96, 96)] {
            let picked = weather.stratified_days(count);
            assert_eq!(picked.len(), expected);
            let weight: f64 = picked.iter().map(|p| p.weight).sum();
            assert!((weight - 365.0).abs() < 1e-9);
            assert!(picked.windows(2).all(|p| p[0].day < p[1].day));
        }
        // The picked days keep the mean temperature of the year.
        let mean: f64 = weather
            .stratified_days(48)
            .iter()
            .map(|p| p.weight / 365.0 * weather.day_features(p.day)[0])
            .sum();
        assert!((mean - weather.mean_temp_k()).abs() < 0.3, "{mean}");
    }
}
