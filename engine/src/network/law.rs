//! The laws of passages: mass flow, slope and potential as functions of the pressure difference.
//!
//! All share one regularisation, `dp (dp^2 + e^2)^((n-1)/2)` in place of `sign(dp) |dp|^n`: smooth,
//! odd, monotone, of finite slope at zero. The potential is the integral of the flow over the
//! pressure difference, so that the balance of all zones is the gradient of a convex function.
//! A large opening integrates the same law (n = 1/2) over its height in closed form.
//! Sources: power law and its correction for density and viscosity, ASTM E779, written
//! there as `C0 = C (mu/mu0)^(2n-1) (rho/rho0)^(1-n)`; integral over a large opening, Brown and
//! Solvason 1962 (from memory). A leak's coefficient is stated for dry air at 20 degC and 101,325 Pa
//! (`air::REFERENCE_DENSITY_KG_M3`, `air::REFERENCE_TEMP_K`).

use super::kernel::pow;

/// Standard acceleration of free fall, m/s2 (exact, CGPM 1901).
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// Pressure below which a passage becomes linear, Pa. Ours; tested against 0.003 Pa.
pub const SMOOTHING_PA: f64 = 0.01;

/// Least slope of a fan, kg/(s Pa). Ours: keeps a flat curve solvable, moves no flow that matters
/// (1e-7 kg/s at 100 Pa).
pub const FLOOR_SLOPE_KG_S_PA: f64 = 1e-9;

/// What a law says at one pressure difference.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Point {
    /// Net flow from a to b, kg/s.
    pub(super) flow: f64,
    /// Derivative of the flow with respect to the pressure difference, kg/(s Pa).
    pub(super) slope: f64,
    /// Integral of the flow from a fixed origin, kg Pa/s.
    pub(super) potential: f64,
}

/// `k dp (dp^2 + e^2)^((n-1)/2)`; its potential is `k (dp^2 + e^2)^((n+1)/2) / (n+1)`.
#[inline(always)]
pub(super) fn leak(k: f64, n: f64, e2: f64, dp: f64) -> Point {
    let d2 = dp * dp;
    let s = d2 + e2;
    let w = k * pow(s, 0.5 * (n - 1.0));
    Point { flow: w * dp, slope: w * (1.0 + (n - 1.0) * d2 / s), potential: w * s / (n + 1.0) }
}

/// A damper: a closed leak that works both ways, and more of it beyond `opens_pa`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct DamperTerms {
    pub(super) closed: f64,
    pub(super) more: f64,
    pub(super) n: f64,
    pub(super) opens_pa: f64,
}

pub(super) fn damper(d: &DamperTerms, e2: f64, dp: f64) -> Point {
    let mut point = leak(d.closed, d.n, e2, dp);
    let beyond = dp - d.opens_pa;
    if beyond > 0.0 {
        let open = leak(d.more, d.n, e2, beyond);
        point.flow += open.flow;
        point.slope += open.slope;
        // The potential of the open part starts at zero where the damper opens.
        point.potential += open.potential - leak(d.more, d.n, e2, 0.0).potential;
    }
    point
}

/// A large opening at given densities.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct OpeningTerms {
    /// `Cd b h sqrt(2 rho_a)`: multiplies the flow from a to b, kg/(s Pa^0.5).
    pub(super) forward: f64,
    /// `Cd b h sqrt(2 rho_b)`: multiplies the flow from b to a.
    pub(super) backward: f64,
    /// Pressure difference at the sill less the one between the reference pressures, Pa.
    pub(super) sill_pa: f64,
    /// Pressure difference at the head less the one at the sill, Pa.
    pub(super) rise_pa: f64,
}

/// Flow of an opening in both directions, with slopes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct TwoWay {
    pub(super) forward: f64,
    pub(super) backward: f64,
    pub(super) forward_slope: f64,
    /// Growth of the backward flow as the pressure difference falls: not negative.
    pub(super) backward_slope: f64,
    pub(super) potential: f64,
}

impl TwoWay {
    pub(super) fn net(&self) -> Point {
        Point {
            flow: self.forward - self.backward,
            slope: self.forward_slope + self.backward_slope,
            potential: self.potential,
        }
    }
}

/// `x (x^2 + e^2)^(-1/4)` at one height, with what its integrals need.
#[derive(Clone, Copy)]
struct Level {
    s: f64,
    /// The flow law itself.
    f: f64,
    /// Its integral from zero.
    g: f64,
    /// Fourth root of `e^2 / s`.
    t: f64,
    inverse_quarter: f64,
}

/// `integral of (1+v^2)^(-1/4) from 0 to u, divided by u (1+u^2)^(-1/4)`, as a polynomial in
/// `(1+u^2)^(-1/4)`: Chebyshev interpolation in 40 digits, error below 6e-10 (tested by quadrature).
const ROOT_INTEGRAL: [f64; 13] = [
    2.000_000_000_126_030_5,
    -1.198_140_278_572_210_4,
    2.803_875_313_666_175e-6,
    -7.585_944_436_397_73e-5,
    0.667_778_380_127_449_6,
    -0.608_945_747_731_302_1,
    0.056_526_212_324_898_58,
    -0.215_391_018_277_658_7,
    1.027_358_888_938_152_5,
    -1.374_264_391_903_453,
    0.921_718_697_935_604_6,
    -0.325_024_532_308_857_9,
    0.048_456_845_500_978_06,
];

/// The smoothing pressure and its powers, worked out once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Smooth {
    e2: f64,
    e_half: f64,
    e_three_halves: f64,
}

impl Smooth {
    pub(super) fn new(e2: f64) -> Self {
        let e_half = e2.sqrt().sqrt();
        Self { e2, e_half, e_three_halves: e2.sqrt() * e_half }
    }
}

#[inline(always)]
fn level(x: f64, &Smooth { e2, e_half, e_three_halves }: &Smooth) -> Level {
    let s = x * x + e2;
    let half = s.sqrt();
    let quarter = half.sqrt();
    let inverse_quarter = 1.0 / quarter;
    // (2/3)(s^(3/4) - e^(3/2)) without the difference, which loses digits near zero.
    let numerator = x * x * (s * s + s * e2 + e2 * e2);
    let g =
        numerator / (1.5 * (half * quarter + e_three_halves) * (s * half + e_three_halves * e_three_halves));
    Level { s, f: x * inverse_quarter, g, t: e_half * inverse_quarter, inverse_quarter }
}

/// [`ROOT_INTEGRAL`] at `t`, in pairs: a short chain of dependent operations instead of one long one.
fn root_polynomial(t: f64) -> f64 {
    let c = &ROOT_INTEGRAL;
    let t2 = t * t;
    let t4 = t2 * t2;
    let low = (c[0] + c[1] * t) + (c[2] + c[3] * t) * t2;
    let middle = (c[4] + c[5] * t) + (c[6] + c[7] * t) * t2;
    let high = (c[8] + c[9] * t) + (c[10] + c[11] * t) * t2;
    low + (middle + (high + c[12] * t4) * t4) * t4
}

/// Integral of `g` from zero, for the potential only.
#[inline(always)]
fn integral_of_g(x: f64, l: &Level, &Smooth { e2, e_three_halves, .. }: &Smooth) -> f64 {
    let root_integral = l.f * root_polynomial(l.t);
    let three_quarters = l.s * l.inverse_quarter;
    (2.0 / 3.0) * (0.4 * (x * three_quarters + 1.5 * e2 * root_integral) - e_three_halves * x)
}

/// Flow through a large opening, integrated over its height; each direction at its own density.
pub(super) fn opening(o: &OpeningTerms, e: &Smooth, dp_ref: f64) -> TwoWay {
    let sill = dp_ref + o.sill_pa;
    let head = sill + o.rise_pa;
    let rise = o.rise_pa;
    if sill * head < 0.0 {
        // The neutral level lies inside: the two parts are integrals from it to sill and head.
        let inverse_rise = 1.0 / rise.abs();
        let (x_in, x_out) = if head > sill { (sill, head) } else { (head, sill) };
        let (low, high) = (level(x_in, e), level(x_out, e));
        let potential =
            o.forward * integral_of_g(x_out, &high, e) - o.backward * integral_of_g(x_in, &low, e);
        return TwoWay {
            forward: o.forward * high.g * inverse_rise,
            backward: o.backward * low.g * inverse_rise,
            forward_slope: o.forward * high.f * inverse_rise,
            backward_slope: -o.backward * low.f * inverse_rise,
            potential: potential * inverse_rise,
        };
    }
    let mid = sill + 0.5 * rise;
    let (flow, slope, potential) = if rise * rise < 1e-6 * (mid * mid + e.e2) {
        mean_by_series(mid, rise, e)
    } else {
        let (low, high) = (level(sill, e), level(head, e));
        let inverse_rise = 1.0 / rise;
        (
            (high.g - low.g) * inverse_rise,
            (high.f - low.f) * inverse_rise,
            (integral_of_g(head, &high, e) - integral_of_g(sill, &low, e)) * inverse_rise,
        )
    };
    if mid >= 0.0 {
        TwoWay {
            forward: o.forward * flow,
            forward_slope: o.forward * slope,
            potential: o.forward * potential,
            ..TwoWay::default()
        }
    } else {
        TwoWay {
            backward: -o.backward * flow,
            backward_slope: o.backward * slope,
            potential: o.backward * potential,
            ..TwoWay::default()
        }
    }
}

/// Means over `rise` around `mid` of the law, its slope and its integral, to the second order.
/// The next term is below 1e-15 where this is used (rise below 1e-3 of the pressure term).
fn mean_by_series(mid: f64, rise: f64, e: &Smooth) -> (f64, f64, f64) {
    let l = level(mid, e);
    let h = rise * rise / 24.0;
    let share = mid * mid / l.s;
    let first = l.inverse_quarter * (1.0 - 0.5 * share);
    let second = l.f / l.s * (1.25 * share - 1.5);
    let third = l.inverse_quarter / l.s * (-1.5 + share * (7.5 - 5.625 * share));
    (l.f + second * h, first + third * h, l.g + first * h)
}

#[cfg(test)]
mod tests {
    use super::*;

    const E2: f64 = SMOOTHING_PA * SMOOTHING_PA;

    fn simpson(f: impl Fn(f64) -> f64, from: f64, to: f64, steps: u32) -> f64 {
        let h = (to - from) / f64::from(2 * steps);
        let mut sum = f(from) + f(to);
        for i in 1..2 * steps {
            sum += f(from + h * f64::from(i)) * if i % 2 == 1 { 4.0 } else { 2.0 };
        }
        sum * h / 3.0
    }

    #[test]
    fn slope_and_potential_of_a_leak_are_derivative_and_integral() {
        for n in [0.5, 0.65, 1.0] {
            for dp in [-30.0, -1.0, -0.01, 0.0, 0.003, 0.2, 8.0] {
                let h = 1e-5 * (1.0_f64 + f64::abs(dp));
                let (up, down, at) =
                    (leak(2.0, n, E2, dp + h), leak(2.0, n, E2, dp - h), leak(2.0, n, E2, dp));
                let slope = (up.flow - down.flow) / (2.0 * h);
                assert!((at.slope - slope).abs() < 1e-5 * slope, "{n} {dp}");
                let flow = (up.potential - down.potential) / (2.0 * h);
                assert!((at.flow - flow).abs() < 1e-5 * (1.0 + flow.abs()), "{n} {dp}");
            }
        }
    }

    #[test]
    fn the_root_integral_meets_quadrature() {
        for x in [1e-4, 3e-3, 0.01, 0.05, 0.4, 3.0, 50.0] {
            let l = level(x, &Smooth::new(E2));
            let polynomial = root_polynomial(l.t);
            // v = w^2 takes the root out of the integrand at large v.
            let wanted =
                simpson(|w| 2.0 * w * crate::math::pow(w * w * w * w + E2, -0.25), 0.0, x.sqrt(), 40_000);
            assert!((l.f * polynomial / wanted - 1.0).abs() < 1e-9, "{x}");
        }
    }

    fn terms(rise_pa: f64, forward: f64, backward: f64) -> OpeningTerms {
        OpeningTerms { forward, backward, sill_pa: 0.3, rise_pa }
    }

    #[test]
    fn slope_and_potential_of_an_opening_are_derivative_and_integral() {
        for rise in [-1.6, -0.02, -1e-4, 0.0, 2e-5, 1e-3, 0.7] {
            for dp in [-3.0, -0.7, -0.31, -0.3, -0.2995, -0.1, 0.0, 2.0] {
                let o = terms(rise, 1.5, 1.5 + 0.05 * rise);
                let h = 2e-6;
                let at = opening(&o, &Smooth::new(E2), dp).net();
                let (up, down) = (
                    opening(&o, &Smooth::new(E2), dp + h).net(),
                    opening(&o, &Smooth::new(E2), dp - h).net(),
                );
                let slope = (up.flow - down.flow) / (2.0 * h);
                assert!((at.slope - slope).abs() < 2e-3 * slope, "{rise} {dp}: {} {slope}", at.slope);
                // The potential serves the line search; 1e-5 of the flow is far more than it needs.
                let flow = (up.potential - down.potential) / (2.0 * h);
                assert!((at.flow - flow).abs() < 1e-5, "{rise} {dp}: {} {flow}", at.flow);
            }
        }
    }

    #[test]
    fn series_and_closed_form_meet() {
        for mid in [-4.0, -0.02, 0.006, 0.9, 40.0] {
            let rise = 1e-3 * f64::sqrt(mid * mid + E2);
            let o = |factor: f64| OpeningTerms {
                forward: 1.0,
                backward: 1.0,
                sill_pa: -0.5 * rise * factor,
                rise_pa: rise * factor,
            };
            let below = opening(&o(1.0 - 1e-9), &Smooth::new(E2), mid).net();
            let above = opening(&o(1.0 + 1e-9), &Smooth::new(E2), mid).net();
            assert!((below.flow / above.flow - 1.0).abs() < 1e-11, "{mid}");
            assert!((below.slope / above.slope - 1.0).abs() < 1e-9, "{mid}");
        }
    }

    #[test]
    fn value_and_slope_are_continuous_where_the_neutral_level_enters() {
        for rise in [-2.0, -0.01, 1e-6, 0.4] {
            let o = terms(rise, 1.5, 1.53);
            for edge in [-o.sill_pa, -o.sill_pa - rise] {
                let step = 1e-9 * f64::abs(rise);
                let one = opening(&o, &Smooth::new(E2), edge - step).net();
                let two = opening(&o, &Smooth::new(E2), edge + step).net();
                assert!((one.flow - two.flow).abs() < 1e-8 * (one.flow.abs() + 1e-3), "{rise}");
                assert!((one.slope - two.slope).abs() < 1e-3 * one.slope.abs(), "{rise}");
            }
        }
    }

    #[test]
    fn a_damper_is_continuous_and_tight_backwards() {
        let d = DamperTerms { closed: 0.001, more: 0.099, n: 0.6, opens_pa: 0.0 };
        let forward = damper(&d, E2, 5.0);
        let backward = damper(&d, E2, -5.0);
        assert!((forward.flow - leak(0.1, 0.6, E2, 5.0).flow).abs() < 1e-15);
        assert!((backward.flow - leak(0.001, 0.6, E2, -5.0).flow).abs() < 1e-15);
        let d = DamperTerms { opens_pa: 2.0, ..d };
        let step = damper(&d, E2, 2.0 + 1e-12).flow - damper(&d, E2, 2.0).flow;
        assert!(step.abs() < 1e-12);
        let h = 1e-6;
        let flow = (damper(&d, E2, 3.0 + h).potential - damper(&d, E2, 3.0 - h).potential) / (2.0 * h);
        assert!((flow - damper(&d, E2, 3.0).flow).abs() < 1e-8);
    }
}
