//! Simulator B of a fan test in wind: of another making than A, run once when the method was settled.
//!
//! Gusts: a sum of cosines with random phases whose amplitudes follow Kaimal's spectrum
//! `f S = 105 x/(1 + 33 x)^(5/3)` (form from memory), longer than those of A. The house has two walls and a roof in
//! six leaks, each with its own exponent; the two walls' pressures buffet with one another. The tap
//! is a manifold: the mean of both walls, slow, with the shelter of a hedge of its own. The tester takes baselines
//! of ten samples over 5 s and six to ten stations, low ones first, in either direction.

use crate::windy::{FAN_GAIN_SD, PRESSURE_GAIN_SD, Shown, Windy};
use engine::math;
use engine::rng::Stream;

const STEP_S: f64 = 1.0;
const WAVES: usize = 48;
const LEAKS: usize = 6;

/// Gusts along the wind, unit variance.
struct Spectrum {
    rad_s: [f64; WAVES],
    size: [f64; WAVES],
    phase: [f64; WAVES],
}

impl Spectrum {
    fn new(wind_m_s: f64, rng: &mut Stream) -> Spectrum {
        // From one gust in ten minutes to one in three seconds, evenly in the logarithm.
        let step = math::ln(200.0) / (WAVES - 1) as f64;
        let mut s = Spectrum { rad_s: [0.0; WAVES], size: [0.0; WAVES], phase: [0.0; WAVES] };
        let mut sum2 = 0.0;
        for i in 0..WAVES {
            let hz = math::exp(step * i as f64) / 600.0 * (1.0 + 0.02 * rng.normal());
            // Height of 6 m.
            let x = hz * 6.0 / (wind_m_s + 0.2);
            let energy = 105.0 * x / math::pow(1.0 + 33.0 * x, 5.0 / 3.0);
            s.rad_s[i] = std::f64::consts::TAU * hz;
            s.size[i] = (2.0 * energy).sqrt();
            s.phase[i] = std::f64::consts::TAU * rng.uniform();
            sum2 += energy;
        }
        for size in &mut s.size {
            *size /= sum2.sqrt();
        }
        s
    }

    fn at(&self, time_s: f64) -> f64 {
        (0..WAVES).map(|i| self.size[i] * math::cos(self.rad_s[i] * time_s + self.phase[i])).sum()
    }
}

struct Place {
    c: [f64; LEAKS],
    n: [f64; LEAKS],
    /// Which of wall one, wall two, roof each leak faces.
    side: [usize; LEAKS],
    stack_pa: [f64; LEAKS],
    coefficient: [f64; 3],
    wind_m_s: f64,
    intensity: f64,
    gusts: Spectrum,
    buffets: [Spectrum; 2],
    time_s: f64,
    inside_pa: f64,
    tube_pa: f64,
    hedge: f64,
}

impl Place {
    fn new(wind_m_s: f64, rng: &mut Stream) -> Place {
        let q50 = 0.1 * math::exp(1.8 * rng.uniform());
        let warm_k = 25.0 * rng.uniform() - 5.0;
        let windward = rng.uniform() < 0.5;
        let exposure = 0.3 + 0.7 * rng.uniform();
        let strength = exposure * exposure;
        let mut c = [0.0; LEAKS];
        let mut n = [0.0; LEAKS];
        let mut side = [0; LEAKS];
        let mut stack_pa = [0.0; LEAKS];
        // Two leaks out of six hold most.
        let shares = [0.35, 0.25, 0.15, 0.1, 0.1, 0.05];
        for i in 0..LEAKS {
            n[i] = (0.64 + 0.09 * rng.normal()).clamp(0.5, 0.9);
            c[i] = q50 * shares[i] * math::pow(50.0, -n[i]);
            side[i] = ((3.0 * rng.uniform()) as usize).min(2);
            let at = if side[i] == 2 { 1.0 } else { rng.uniform() };
            stack_pa[i] = -1.2 * 9.81 * 5.5 * warm_k / 290.0 * (at - 0.4);
        }
        let pair = if windward { [0.55, -0.35] } else { [-0.2, -0.55] };
        Place {
            c,
            n,
            side,
            stack_pa,
            coefficient: [pair[0] * strength, pair[1] * strength, -0.45 * strength],
            wind_m_s,
            intensity: 0.18 + 0.2 * rng.uniform(),
            gusts: Spectrum::new(wind_m_s, rng),
            buffets: [Spectrum::new(4.0 + wind_m_s, rng), Spectrum::new(4.0 + wind_m_s, rng)],
            time_s: 0.0,
            inside_pa: 0.0,
            tube_pa: 0.0,
            hedge: 0.7 + 0.3 * rng.uniform(),
        }
    }

    fn flow(&self, dp_pa: f64) -> f64 {
        (0..LEAKS).map(|i| self.c[i] * math::pow(dp_pa, self.n[i])).sum()
    }

    /// One second; `fan_m3_s` blows in where positive.
    fn step(&mut self, fan_m3_s: f64) -> f64 {
        self.time_s += STEP_S;
        let u = self.wind_m_s * (1.0 + self.intensity * self.gusts.at(self.time_s)).max(0.0);
        let q = 0.6 * u * u;
        let common = self.buffets[0].at(self.time_s);
        let own = 0.6 * common + 0.8 * self.buffets[1].at(self.time_s);
        let sides = [
            q * (self.coefficient[0] + 0.08 * common),
            q * (self.coefficient[1] - 0.08 * own),
            q * (self.coefficient[2] + 0.05 * own),
        ];
        // Bisection: slow, sure, and not A's way.
        let balance = |p: f64| -> f64 {
            let leak = |i: usize| {
                let d = sides[self.side[i]] + self.stack_pa[i] - p;
                self.c[i] * d.signum() * math::pow(d.abs(), self.n[i])
            };
            fan_m3_s + (0..LEAKS).map(leak).sum::<f64>()
        };
        let (mut lo, mut hi) = (-300.0, 300.0);
        for _ in 0..36 {
            let mid = 0.5 * (lo + hi);
            if balance(mid) > 0.0 { lo = mid } else { hi = mid }
        }
        self.inside_pa = 0.5 * (lo + hi);
        let tap = self.hedge * 0.5 * (sides[0] + sides[1]);
        // A long tube: 3 s.
        self.tube_pa += (1.0 - math::exp(-STEP_S / 3.0)) * (self.inside_pa - tap - self.tube_pa);
        self.tube_pa
    }
}

fn average(place: &mut Place, seconds: f64, fan_m3_s: f64) -> (f64, f64) {
    let values: Vec<f64> = (0..(seconds / STEP_S) as usize).map(|_| place.step(fan_m3_s)).collect();
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let sum2: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    (mean, (sum2 / (values.len() - 1) as f64).sqrt())
}

fn slope(place: &Place) -> f64 {
    // Of the calm curve between 10 and 60 Pa.
    math::ln(place.flow(60.0) / place.flow(10.0)) / math::ln(6.0)
}

/// One test in a wind of this speed; taken again where a baseline exceeds the standards' 5 Pa.
pub fn simulate(wind_m_s: f64, rng: &mut Stream) -> Windy {
    loop {
        if let Some(test) = taken(wind_m_s, rng) {
            return test;
        }
    }
}

fn taken(wind_m_s: f64, rng: &mut Stream) -> Option<Windy> {
    let mut place = Place::new(wind_m_s, rng);
    let sign = if rng.uniform() < 0.5 { -1.0 } else { 1.0 };
    let gain = 1.0 + FAN_GAIN_SD * rng.normal();
    let pressure_gain = 1.0 + PRESSURE_GAIN_SD * rng.normal();
    let shown = |pa: f64| (10.0 * pressure_gain * pa).round() / 10.0;
    average(&mut place, 30.0, 0.0);
    let baseline =
        |place: &mut Place| -> Vec<f64> { (0..10).map(|_| shown(average(place, 5.0, 0.0).0)).collect() };
    let before_pa = baseline(&mut place);
    let level = before_pa.iter().sum::<f64>() / before_pa.len() as f64;
    if level.abs() > 5.0 {
        return None;
    }
    let lowest = (5.0 * level.abs()).clamp(12.0, 30.0);
    let count = 6 + ((5.0 * rng.uniform()) as usize).min(4);
    let mut stations = Vec::new();
    for i in 0..count {
        let share = i as f64 / (count - 1) as f64;
        let aim = lowest * math::exp(share * math::ln(58.0 / lowest));
        let fan = place.flow(aim) * (1.0 + 0.02 * rng.normal());
        average(&mut place, 20.0, sign * fan);
        let (mean, sd) = average(&mut place, 15.0, sign * fan);
        stations.push(Shown {
            mean_pa: shown(mean),
            sd_pa: sd,
            seconds: 15.0,
            flow_m3_s: gain * fan * (1.0 + 0.006 * rng.normal()),
        });
    }
    average(&mut place, 20.0, 0.0);
    let after_pa = baseline(&mut place);
    let after = after_pa.iter().sum::<f64>() / after_pa.len() as f64;
    (after.abs() <= 5.0).then(|| Windy {
        q4_m3_s: place.flow(4.0),
        q50_m3_s: place.flow(50.0),
        n: slope(&place),
        pressurised: sign > 0.0,
        before_pa,
        after_pa,
        stations,
        // Told in whole metres a second from the forecast.
        wind_m_s: (wind_m_s * (0.7 + 0.8 * rng.uniform())).round(),
    })
}
