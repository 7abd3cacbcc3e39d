//! The fit's solver on the nonlinear regression problems of the NIST Statistical Reference Datasets:
//! certified parameters and standard errors, from both published starts.

use crate::record::Sheet;
use crate::source::Source;
use engine::fit::problem::{FitError, Row};
use engine::fit::solve::{self, LeastSquares, Stop};
use engine::math;
use std::collections::BTreeMap;
use std::ops::{Add, ControlFlow, Div, Mul, Neg, Sub};

/// Most parameters of a set.
const MOST: usize = 9;
/// A set counts as reached where every parameter has this many digits.
const REACHED: f64 = 1e-6;
/// Tighter than the fit's own, and without its bound on the sum of squares: certified digits are wanted.
const STOP: Stop = Stop { most_iterations: 3000, most_dampings: 40, small_step: 1e-11, small_gain: -1.0 };

/// A number with its derivatives by the parameters.
#[derive(Clone, Copy)]
struct Dual {
    v: f64,
    d: [f64; MOST],
}

fn num(v: f64) -> Dual {
    Dual { v, d: [0.0; MOST] }
}

impl Dual {
    fn chain(self, v: f64, slope: f64) -> Dual {
        Dual { v, d: self.d.map(|d| d * slope) }
    }
    fn exp(self) -> Dual {
        let v = math::exp(self.v);
        self.chain(v, v)
    }
    fn ln(self) -> Dual {
        self.chain(math::ln(self.v), 1.0 / self.v)
    }
    fn pow(self, by: Dual) -> Dual {
        (by * self.ln()).exp()
    }
    fn cos(self) -> Dual {
        self.chain(math::cos(self.v), -math::sin(self.v))
    }
    fn sin(self) -> Dual {
        self.chain(math::sin(self.v), math::cos(self.v))
    }
    fn atan(self) -> Dual {
        self.chain(math::atan2(self.v, 1.0), 1.0 / (1.0 + self.v * self.v))
    }
    fn square(self) -> Dual {
        self * self
    }
}

impl Neg for Dual {
    type Output = Dual;
    fn neg(self) -> Dual {
        self.chain(-self.v, -1.0)
    }
}
impl Add for Dual {
    type Output = Dual;
    fn add(self, b: Dual) -> Dual {
        Dual { v: self.v + b.v, d: std::array::from_fn(|i| self.d[i] + b.d[i]) }
    }
}
impl Sub for Dual {
    type Output = Dual;
    fn sub(self, b: Dual) -> Dual {
        self + -b
    }
}
#[expect(clippy::suspicious_arithmetic_impl, reason = "the product rule adds")]
impl Mul for Dual {
    type Output = Dual;
    fn mul(self, b: Dual) -> Dual {
        Dual { v: self.v * b.v, d: std::array::from_fn(|i| self.d[i] * b.v + b.d[i] * self.v) }
    }
}
#[expect(clippy::suspicious_arithmetic_impl, reason = "the quotient rule")]
impl Div for Dual {
    type Output = Dual;
    fn div(self, b: Dual) -> Dual {
        let v = self.v / b.v;
        Dual { v, d: std::array::from_fn(|i| (self.d[i] - v * b.d[i]) / b.v) }
    }
}

/// `c0 + c1 x + ...`
fn polynomial(c: &[Dual], x: Dual) -> Dual {
    c.iter().rev().fold(num(0.0), |sum, c| sum * x + *c)
}

/// The published model of a set.
fn model(set: &str, b: &[Dual], x: f64, x2: f64) -> Option<Dual> {
    let (one, x, x2) = (num(1.0), num(x), num(x2));
    let bell = |a: Dual, at: Dual, wide: Dual| a * (-((x - at) / wide).square()).exp();
    let turn = |period: Dual| num(2.0 * std::f64::consts::PI) * x / period;
    // The denominators' constant is one.
    let ratio = |over: usize| {
        let mut below = vec![one];
        below.extend(&b[over..]);
        polynomial(&b[..over], x) / polynomial(&below, x)
    };
    Some(match set {
        "Bennett5" => b[0] * (b[1] + x).pow(-one / b[2]),
        "BoxBOD" | "Misra1a" => b[0] * (one - (-b[1] * x).exp()),
        "Chwirut1" | "Chwirut2" => (-b[0] * x).exp() / (b[1] + b[2] * x),
        "DanWood" => b[0] * x.pow(b[1]),
        "ENSO" => {
            let year = turn(num(12.0));
            let (p, q) = (turn(b[3]), turn(b[6]));
            b[0] + b[1] * year.cos()
                + b[2] * year.sin()
                + b[4] * p.cos()
                + b[5] * p.sin()
                + b[7] * q.cos()
                + b[8] * q.sin()
        }
        "Eckerle4" => b[0] / b[1] * (num(-0.5) * ((x - b[2]) / b[1]).square()).exp(),
        "Gauss1" | "Gauss2" | "Gauss3" => {
            b[0] * (-b[1] * x).exp() + bell(b[2], b[3], b[4]) + bell(b[5], b[6], b[7])
        }
        "Hahn1" | "Thurber" => ratio(4),
        "Kirby2" => ratio(3),
        "Lanczos1" | "Lanczos2" | "Lanczos3" => {
            b[0] * (-b[1] * x).exp() + b[2] * (-b[3] * x).exp() + b[4] * (-b[5] * x).exp()
        }
        "MGH09" => b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]),
        "MGH10" => b[0] * (b[1] / (x + b[2])).exp(),
        "MGH17" => b[0] + b[1] * (-x * b[3]).exp() + b[2] * (-x * b[4]).exp(),
        "Misra1b" => b[0] * (one - one / (one + b[1] * x / num(2.0)).square()),
        "Misra1c" => b[0] * (one - one / (one + num(2.0) * b[1] * x).pow(num(0.5))),
        "Misra1d" => b[0] * b[1] * x / (one + b[1] * x),
        // Fitted to the logarithm of y.
        "Nelson" => b[0] - b[1] * x * (-b[2] * x2).exp(),
        "Rat42" => b[0] / (one + (b[1] - b[2] * x).exp()),
        "Rat43" => b[0] / (one + (b[1] - b[2] * x).exp()).pow(one / b[3]),
        "Roszman1" => b[0] - b[1] * x - (b[2] / (x - b[3])).atan() / num(std::f64::consts::PI),
        _ => return None,
    })
}

/// One set as the solver sees it: no priors, the start as scale.
struct Set<'a> {
    name: &'a str,
    points: &'a [[f64; 3]],
    scale: Vec<f64>,
}

impl LeastSquares for Set<'_> {
    fn count(&self) -> usize {
        self.scale.len()
    }

    fn prior(&self, unknown: usize) -> (f64, f64) {
        (0.0, self.scale[unknown])
    }

    fn has_prior(&self) -> bool {
        false
    }

    fn rows(&mut self, x: &[f64], _: bool, rows: &mut Vec<Row>) -> Result<(), FitError> {
        let mut b = [num(0.0); MOST];
        for (i, (b, x)) in b.iter_mut().zip(x).enumerate() {
            b.v = *x;
            b.d[i] = 1.0;
        }
        rows.resize_with(self.points.len(), Row::default);
        for (row, [y, x1, x2]) in rows.iter_mut().zip(self.points) {
            let Some(f) = model(self.name, &b[..x.len()], *x1, *x2) else { return Err(FitError::Stopped) };
            (row.residual, row.expected) = (f.v - y, f.v);
            row.slope.clear();
            row.slope.extend(&f.d[..x.len()]);
        }
        Ok(())
    }
}

/// Parameters and standard errors that the solver finds.
fn solved(name: &str, points: &[[f64; 3]], start: &[f64]) -> Option<(Vec<f64>, Vec<f64>)> {
    let mut set = Set { name, points, scale: start.iter().map(|s| s.abs()).collect() };
    let go = &mut |_| ControlFlow::Continue(());
    let best = solve::least_squares(&mut set, start.to_vec(), STOP, go).ok()?;
    let freedom = points.len() as f64 - start.len() as f64;
    let scatter = best.reading_squares / freedom;
    let covariance = solve::covariance(&set, &best)?;
    Some((best.x, covariance.diagonal().iter().map(|v| (v * scatter).sqrt()).collect()))
}

/// The certified numbers of one set.
#[derive(Default)]
struct Certified {
    starts: [Vec<f64>; 2],
    value: Vec<f64>,
    sd: Vec<f64>,
}

/// Sets that the solver does not reach from a start: name and start. Held both ways.
const NOT_REACHED: &[(&str, usize)] = &[("BoxBOD", 1), ("MGH10", 1), ("MGH17", 1)];

pub(super) fn regression(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let mut points: BTreeMap<String, Vec<[f64; 3]>> = BTreeMap::new();
    for row in source.table("data.csv")?.rows() {
        let name = row.text("set")?;
        let y = row.number("y")?;
        let y = if name == "Nelson" { math::ln(y) } else { y };
        let point = [y, row.number("x")?, row.number("x2")?];
        points.entry(name.to_owned()).or_default().push(point);
    }
    let mut sets: BTreeMap<String, Certified> = BTreeMap::new();
    for row in source.table("certified.csv")?.rows() {
        let set = sets.entry(row.text("set")?.to_owned()).or_default();
        set.starts[0].push(row.number("start_1")?);
        set.starts[1].push(row.number("start_2")?);
        set.value.push(row.number("value")?);
        set.sd.push(row.number("sd")?);
    }
    let mut wrong = Vec::new();
    for (name, set) in &sets {
        let points = points.get(name).ok_or_else(|| format!("{name}: no data"))?;
        for (which, start) in set.starts.iter().enumerate() {
            let found = solved(name, points, start);
            let near =
                |found: &[f64]| found.iter().zip(&set.value).all(|(f, c)| (f - c).abs() <= REACHED * c.abs());
            let reached = found.as_ref().is_some_and(|(value, _)| near(value));
            if reached == NOT_REACHED.contains(&(name.as_str(), which + 1)) {
                wrong.push(format!("{name} from start {}: reached is {reached}, {found:?}", which + 1));
            }
            let Some((value, sd)) = found.filter(|_| reached) else { continue };
            for (i, ((value, sd), (c, c_sd))) in
                value.iter().zip(&sd).zip(set.value.iter().zip(&set.sd)).enumerate()
            {
                let case = format!("{name} b{}", i + 1);
                sheet.compare(&format!("parameter from start {}", which + 1), &case, *value, *c);
                let exact = if name == "Lanczos1" { " of exact data" } else { "" };
                sheet.compare(&format!("standard error{exact} from start {}", which + 1), &case, *sd, *c_sd);
            }
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n")) }
}
