//! Runs: resistances in series, with a fan, a stack or a draft hood in the line, as one passage.
//!
//! A run has one flow, so its pressure is a sum over its parts: `dp + drive = R(m) - r(m)`, with the
//! resistance `R` non-decreasing in the mass flow and the fan's rise `r` non-increasing. The law of a
//! passage is its inverse, `m(dp)`, found by Newton within a bracket to rounding, and its
//! potential the convex conjugate `m R - integral of R - integral over the rise of m`: the series law
//! stays monotone and the network's potential convex whatever is in the line.
//! With a fan the unknown is the rise, not the flow: a fan that holds its flow has many rises at one flow.
//!
//! **Resistance**: `dp = (Q m^2 + T (mu/mu0)^(1/4) m^(7/4) + L (mu/mu0) m) / rho`. `Q` is a loss
//! coefficient, an orifice or a rough wall, `T` a smooth wall (Blasius), `L` laminar flow through a filter. Straight
//! ducts are fitted to Colebrook's equation at Reynolds numbers from 4,000 to 150,000
//! ([`Resistance::straight`], worst error tested below 2 %); below that, in laminar flow and in the
//! transition, where a duct takes hundredths of a pascal a metre, the law is only monotone.
//! Not covered: heat lost along the run, leaks along it (make a leak of its own), branches (make a zone).

use super::fan::FanCurve;
use super::kernel::pow;
use super::law::{FLOOR_SLOPE_KG_S_PA, GRAVITY_M_S2, Point};
use crate::air::{REFERENCE_DENSITY_KG_M3, REFERENCE_TEMP_K, viscosity_pa_s};
use crate::device::duct::friction_factor;

const STEPS: usize = 100;
/// Pressure below which a run becomes linear, as a share of that of leaks, whose law is sharper.
const KNEE: f64 = 0.03;
/// Reynolds numbers over which straight ducts are fitted.
const REYNOLDS: (f64, f64) = (4e3, 1.5e5);
const FIT_POINTS: u32 = 40;

/// What a part of a run takes from the pressure, by its geometry; parts in series add.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Resistance {
    /// `dp rho / m^2`, 1/m4.
    pub quadratic_m4: f64,
    /// `dp rho / m^(7/4)` for air of 20 degC, Pa kg/m3 (s/kg)^(7/4).
    pub turbulent: f64,
    /// `dp rho / m` for air of 20 degC, Pa s/m3.
    pub linear: f64,
}

impl Resistance {
    /// Fittings: `dp = C rho V^2 / 2` with the velocity in `area_m2`.
    pub fn loss(coefficient: f64, area_m2: f64) -> Self {
        Self { quadratic_m4: 0.5 * coefficient / (area_m2 * area_m2), ..Self::default() }
    }

    /// A sharp opening: `V = Cd sqrt(2 dp / rho)`.
    pub fn orifice(area_m2: f64, discharge: f64) -> Self {
        Self::loss(1.0 / (discharge * discharge), area_m2)
    }

    /// A part of which the drop at one flow of air of 20 degC and 101,325 Pa is told, and the exponent
    /// `n` of `flow = C dp^n` there (0.5 to 1): a filter, a coil, a terminal. Value and slope are met at that flow.
    pub fn rated(drop_pa: f64, flow_m3_s: f64, n: f64) -> Self {
        let kg_s = flow_m3_s * REFERENCE_DENSITY_KG_M3;
        let straight = 2.0 - 1.0 / n;
        let whole = drop_pa * REFERENCE_DENSITY_KG_M3;
        Self {
            quadratic_m4: (1.0 - straight) * whole / (kg_s * kg_s),
            turbulent: 0.0,
            linear: straight * whole / kg_s,
        }
    }

    /// A straight round duct, or another shape by its hydraulic diameter and true area: Colebrook's
    /// friction factor fitted by `A + C Re^(-1/4) + B/Re`, none below zero, least squares of the relative error.
    pub fn straight(length_m: f64, diameter_m: f64, area_m2: f64, roughness_m: f64) -> Self {
        let [a, c, b] = friction_terms(roughness_m / diameter_m);
        let k = length_m / (2.0 * diameter_m * area_m2 * area_m2);
        // Re = m D / (A mu).
        let per_re = area_m2 * viscosity_pa_s(REFERENCE_TEMP_K) / diameter_m;
        Self { quadratic_m4: k * a, turbulent: k * c * per_re.sqrt().sqrt(), linear: k * b * per_re }
    }

    /// The same `factor` times.
    pub fn times(self, factor: f64) -> Self {
        Self {
            quadratic_m4: factor * self.quadratic_m4,
            turbulent: factor * self.turbulent,
            linear: factor * self.linear,
        }
    }

    /// Both in series.
    pub fn and(self, other: Self) -> Self {
        Self {
            quadratic_m4: self.quadratic_m4 + other.quadratic_m4,
            turbulent: self.turbulent + other.turbulent,
            linear: self.linear + other.linear,
        }
    }

    /// Pressure at a mass flow (kg/s) of air of this density (kg/m3) and viscosity (Pa s), Pa.
    pub fn drop_pa(&self, kg_s: f64, density_kg_m3: f64, viscosity: f64) -> f64 {
        self.at(density_kg_m3, viscosity / viscosity_pa_s(REFERENCE_TEMP_K), 0.0).at(kg_s).r
    }

    fn sum(&self) -> f64 {
        self.quadratic_m4 + self.turbulent + self.linear
    }

    /// For air of a density and of a viscosity over that at 20 degC.
    fn at(&self, density: f64, viscosity_ratio: f64, e2: f64) -> Terms {
        let q = self.quadratic_m4 / density;
        let t = self.turbulent * viscosity_ratio.sqrt().sqrt() / density;
        let l = self.linear * viscosity_ratio / density;
        // The flow at which a share of the smoothing pressure is reached: off by 1e-4 at 1 Pa.
        let e = KNEE * e2.sqrt();
        let (by_q, by_t) = ((e / q).sqrt(), if t > 0.0 && e > 0.0 { pow(e / t, 4.0 / 7.0) } else { e / t });
        let knee = if by_q < by_t { by_q } else { by_t };
        let knee = if knee.is_finite() && knee > 1e-12 { knee } else { 1e-12 };
        Terms { q, t, l, m2: knee * knee }
    }

    fn is_valid(&self) -> bool {
        [self.quadratic_m4, self.turbulent, self.linear].iter().all(|v| (0.0..1e15).contains(v))
    }
}

/// `[A, C, B]` of [`Resistance::straight`]: of all choices of terms the best without a negative one.
fn friction_terms(relative_roughness: f64) -> [f64; 3] {
    let span = crate::math::ln(REYNOLDS.1 / REYNOLDS.0);
    let (mut m, mut v) = ([[0.0; 3]; 3], [0.0; 3]);
    for i in 0..=FIT_POINTS {
        let re = REYNOLDS.0 * crate::math::exp(span * f64::from(i) / f64::from(FIT_POINTS));
        let f = friction_factor(re, relative_roughness);
        let basis = [1.0 / f, 1.0 / (re.sqrt().sqrt() * f), 1.0 / (re * f)];
        for r in 0..3 {
            v[r] += basis[r];
            for c in 0..3 {
                m[r][c] += basis[r] * basis[c];
            }
        }
    }
    let mut best = ([0.0; 3], f64::INFINITY);
    for mask in 1..8_u8 {
        let used: Vec<usize> = (0..3).filter(|i| mask & (1 << i) != 0).collect();
        let Some(x) = normal_equations(&m, &v, &used) else { continue };
        if x.iter().any(|x| *x < 0.0) {
            continue;
        }
        // Sum of squares less a constant.
        let error: f64 =
            (0..3).map(|r| x[r] * ((0..3).map(|c| m[r][c] * x[c]).sum::<f64>() - 2.0 * v[r])).sum();
        if error < best.1 {
            best = (x, error);
        }
    }
    best.0
}

fn normal_equations(m: &[[f64; 3]; 3], v: &[f64; 3], used: &[usize]) -> Option<[f64; 3]> {
    // Scaled to a unit diagonal, then Gauss.
    let n = used.len();
    let scale: Vec<f64> = used.iter().map(|&i| m[i][i].sqrt()).collect();
    let mut a = [[0.0; 4]; 3];
    for r in 0..n {
        for c in 0..n {
            a[r][c] = m[used[r]][used[c]] / (scale[r] * scale[c]);
        }
        a[r][3] = v[used[r]] / scale[r];
    }
    for k in 0..n {
        if a[k][k] < 1e-12 {
            return None;
        }
        for r in k + 1..n {
            let factor = a[r][k] / a[k][k];
            let pivot = a[k];
            for (to, from) in a[r].iter_mut().zip(pivot).skip(k) {
                *to -= factor * from;
            }
        }
    }
    let mut x = [0.0; 3];
    for k in (0..n).rev() {
        let later: f64 = (k + 1..n).map(|c| a[k][c] * x[used[c]] * scale[c]).sum();
        x[used[k]] = (a[k][3] - later) / a[k][k] / scale[k];
    }
    Some(x)
}

/// Gas that stands in a run whatever the direction of its flow: a chimney while its appliance
/// fires. A run without it is full of air of its side a, as a cold flue is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// Mean temperature, K.
    pub temp_k: f64,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
}

/// A draft hood at side a: the burner's gas comes in below it, the zone's air through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hood {
    /// Resistance of the relief opening.
    pub opening: Resistance,
    /// Gas the burner feeds below the hood, kg/s; it is taken from side a.
    pub fed_kg_s: f64,
}

/// Parts in series between the two sides of a passage; side a lies at the passage's height.
#[derive(Clone, Debug)]
pub struct Run {
    /// Parts of known size.
    pub fixed: Resistance,
    /// The part whose size is a parameter (filter, coil): see [`Partial`](super::Partial).
    pub sized: Resistance,
    /// A fan that blows from a to b; its inlet air is that of a.
    pub fan: Option<FanCurve>,
    /// A draft hood; the fan, where there is one, is beyond it.
    pub hood: Option<Hood>,
    /// Height of side b over side a, m.
    pub rise_m: f64,
    /// What stands in the run.
    pub gas: Option<Gas>,
}

impl Run {
    /// A run of one resistance.
    pub fn of(fixed: Resistance) -> Self {
        Self { fixed, sized: Resistance::default(), fan: None, hood: None, rise_m: 0.0, gas: None }
    }

    pub(super) fn is_valid(&self) -> bool {
        let parts = [self.fixed, self.sized, self.hood.map_or_else(Resistance::default, |h| h.opening)];
        let hood = self.hood.is_none_or(|h| h.opening.sum() > 0.0 && (0.0..10.0).contains(&h.fed_kg_s));
        let gas = self
            .gas
            .is_none_or(|g| (150.0..2500.0).contains(&g.temp_k) && (0.01..10.0).contains(&g.density_kg_m3));
        parts.iter().all(Resistance::is_valid)
            && (self.fan.is_some() || self.fixed.sum() + self.sized.sum() > 0.0)
            && hood
            && gas
            && self.rise_m.abs() <= 1000.0
    }
}

/// Where a run works.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Working {
    /// Flow from a to b, kg/s.
    pub flow_kg_s: f64,
    /// The same as volume of the air of side a, m3/s.
    pub flow_m3_s: f64,
    /// Pressure rise over the fan, Pa; zero without one.
    pub rise_pa: f64,
    /// Pressure that the sized part takes, Pa.
    pub sized_pa: f64,
    /// Flow out of a draft hood into side a, kg/s: spillage. Below zero it draws air in.
    pub spilled_kg_s: f64,
}

/// A resistance for the air of the moment, in mass flow.
#[derive(Clone, Copy, Debug, Default)]
struct Terms {
    q: f64,
    t: f64,
    l: f64,
    /// Square of the flow below which the law is straight.
    m2: f64,
}

/// Resistance, slope and integral at one flow.
#[derive(Clone, Copy, Debug, Default)]
struct Drop {
    r: f64,
    slope: f64,
    integral: f64,
}

impl Terms {
    #[inline]
    fn at(&self, m: f64) -> Drop {
        let s = m * m + self.m2;
        let half = s.sqrt();
        let quarter = half.sqrt();
        // s^(3/8)
        let w = quarter * quarter.sqrt();
        Drop {
            r: m * (self.q * half + self.t * w + self.l),
            slope: self.q * (half + m * m / half) + self.t * w * (1.0 + 0.75 * m * m / s) + self.l,
            integral: self.q * s * half / 3.0 + self.t * s * w / 2.75 + 0.5 * self.l * m * m,
        }
    }

    /// A flow at which the resistance is at least `x`, which is not negative.
    fn enough(&self, x: f64) -> f64 {
        let (by_q, by_l) = ((x / self.q).sqrt(), x / self.l);
        let by_t = if self.t > 0.0 && x > 0.0 { pow(x / self.t, 4.0 / 7.0) } else { x / self.t };
        [by_q, by_l, by_t]
            .into_iter()
            .filter(|v| v.is_finite())
            .reduce(|a, b| if b < a { b } else { a })
            .unwrap_or(0.0)
    }
}

/// A run with the densities of the moment.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct RunTerms {
    forward: Terms,
    backward: Terms,
    sized_forward: Terms,
    sized_backward: Terms,
    hood: Option<(Terms, f64)>,
    drive_pa: f64,
    inlet_density: f64,
}

/// Air of one side: density, and viscosity over that at 20 degC.
#[derive(Clone, Copy, Debug)]
pub(super) struct Side {
    pub(super) density: f64,
    pub(super) viscosity_ratio: f64,
}

impl RunTerms {
    pub(super) fn new(run: &Run, a: Side, b: Side, e2: f64) -> Self {
        let gas = run.gas.map(|g| Side {
            density: g.density_kg_m3,
            viscosity_ratio: viscosity_pa_s(g.temp_k) / viscosity_pa_s(REFERENCE_TEMP_K),
        });
        let (ahead, back) = (gas.unwrap_or(a), gas.unwrap_or(b));
        let all = run.fixed.and(run.sized);
        let at = |r: &Resistance, side: Side| r.at(side.density, side.viscosity_ratio, e2);
        let within = |whole: Terms, part: &Resistance, side: Side| Terms { m2: whole.m2, ..at(part, side) };
        let (forward, backward) = (at(&all, ahead), at(&all, back));
        Self {
            forward,
            backward,
            sized_forward: within(forward, &run.sized, ahead),
            sized_backward: within(backward, &run.sized, back),
            hood: run.hood.map(|h| (at(&h.opening, a), h.fed_kg_s)),
            drive_pa: (b.density - ahead.density) * GRAVITY_M_S2 * run.rise_m,
            inlet_density: a.density,
        }
    }

    fn drop(&self, m: f64) -> Drop {
        let mut drop = if m >= 0.0 { self.forward.at(m) } else { self.backward.at(m) };
        // Both directions meet at rest.
        drop.integral -=
            if m >= 0.0 { self.forward.at(0.0).integral } else { self.backward.at(0.0).integral };
        if let Some((hood, fed)) = &self.hood {
            let through = hood.at(m - fed);
            drop.r += through.r;
            drop.slope += through.slope;
            drop.integral += through.integral;
        }
        drop
    }

    /// Fan flow, its slope and integral over the rise, in mass.
    fn fan(&self, curve: &FanCurve, rise: f64) -> Point {
        let p = curve.passage(self.inlet_density, -rise);
        Point {
            flow: p.flow - FLOOR_SLOPE_KG_S_PA * rise,
            slope: -p.slope - FLOOR_SLOPE_KG_S_PA,
            potential: -p.potential - 0.5 * FLOOR_SLOPE_KG_S_PA * rise * rise,
        }
    }

    /// Flow (and the fan's rise) at a pressure difference.
    fn flow_at(&self, fan: Option<&FanCurve>, dp: f64) -> (f64, f64) {
        let x = dp + self.drive_pa;
        let Some(curve) = fan else {
            let side = if x >= 0.0 { &self.forward } else { &self.backward };
            let reach = side.enough(x.abs());
            let m = match &self.hood {
                // Convex on either side of rest: from beyond the root Newton only comes nearer.
                None if x >= 0.0 => within((0.0, reach), reach, |m| (self.drop(m).r - x, self.drop(m).slope)),
                None => within((-reach, 0.0), -reach, |m| (self.drop(m).r - x, self.drop(m).slope)),
                Some((_, fed)) => {
                    let (up, down) = (self.forward.enough(x.abs()), self.backward.enough(x.abs()));
                    let most = fed.abs() + if up > down { up } else { down };
                    within((-most, most), 0.0, |m| (self.drop(m).r - x, self.drop(m).slope))
                }
            };
            return (m, 0.0);
        };
        // `r - R(m(r)) + x` grows with the rise; see the bracket in the tests.
        let open = -x;
        let far = open + self.drop(self.fan(curve, open).flow).r;
        let bracket = if far >= open { (open, far) } else { (far, open) };
        let rise = within(bracket, 0.5 * (open + far), |r| {
            let fan = self.fan(curve, r);
            let drop = self.drop(fan.flow);
            (r - drop.r + x, 1.0 - drop.slope * fan.slope)
        });
        (self.fan(curve, rise).flow, rise)
    }

    /// The law.
    pub(super) fn point(&self, fan: Option<&FanCurve>, dp: f64) -> Point {
        let (m, rise) = self.flow_at(fan, dp);
        let drop = self.drop(m);
        match fan {
            None => Point {
                flow: m,
                slope: 1.0 / drop.slope,
                potential: m * (dp + self.drive_pa) - drop.integral,
            },
            Some(curve) => {
                let fan = self.fan(curve, rise);
                Point {
                    flow: m,
                    slope: -fan.slope / (1.0 - drop.slope * fan.slope),
                    potential: m * drop.r - drop.integral - fan.potential,
                }
            }
        }
    }

    /// The law made linear for a start.
    pub(super) fn secant(&self, fan: Option<&FanCurve>, dp: f64) -> (f64, f64) {
        if fan.is_some() {
            let p = self.point(fan, dp);
            return (p.slope, p.flow);
        }
        let at = |dp: f64| self.flow_at(None, dp - self.drive_pa).0;
        let slope = 0.5 * (at(1.0) - at(-1.0));
        (slope, at(0.0) + slope * (dp + self.drive_pa))
    }

    /// Derivatives of the flow at a given pressure difference by the logarithm of the flow scale (of
    /// the fan, or of the whole run without one) and of the sized resistance, kg/s.
    pub(super) fn partials(&self, fan: Option<&FanCurve>, dp: f64) -> (f64, f64) {
        let (m, rise) = self.flow_at(fan, dp);
        let drop = self.drop(m);
        let (slope, by_scale) = match fan {
            None => (1.0 / drop.slope, m),
            Some(curve) => {
                let fan = self.fan(curve, rise);
                let stiff = 1.0 - drop.slope * fan.slope;
                (-fan.slope / stiff, (m + FLOOR_SLOPE_KG_S_PA * rise) / stiff)
            }
        };
        (by_scale, -slope * self.sized(m))
    }

    fn sized(&self, m: f64) -> f64 {
        if m >= 0.0 { self.sized_forward.at(m).r } else { self.sized_backward.at(m).r }
    }

    pub(super) fn working(&self, fan: Option<&FanCurve>, dp: f64) -> Working {
        let (flow_kg_s, rise_pa) = self.flow_at(fan, dp);
        Working {
            flow_kg_s,
            flow_m3_s: flow_kg_s / self.inlet_density,
            rise_pa,
            sized_pa: self.sized(flow_kg_s),
            spilled_kg_s: self.hood.map_or(0.0, |(_, fed)| fed - flow_kg_s),
        }
    }

    /// Rise over the fan where it lies beyond the curve's points.
    pub(super) fn beyond(&self, curve: &FanCurve, dp: f64) -> Option<f64> {
        let (_, rise) = self.flow_at(Some(curve), dp);
        curve.beyond(self.inlet_density, -rise).then_some(rise)
    }
}

/// Root of an increasing function within a bracket: Newton, halving where it leaves it.
fn within((mut low, mut high): (f64, f64), start: f64, f: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut x = start;
    for _ in 0..STEPS {
        let (value, slope) = f(x);
        if value == 0.0 {
            return x;
        }
        if value > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let newton = x - value / slope;
        if (newton - x).abs() <= 4e-16 * x.abs() || high - low <= 4e-16 * high.abs() {
            break;
        }
        x = if newton >= low && newton <= high { newton } else { 0.5 * (low + high) };
    }
    x
}

#[cfg(test)]
mod tests;
