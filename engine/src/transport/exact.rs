//! The exact answer under constant flows, for checking the ordinary step.

use super::Exchange;
use crate::math;

/// Terms of the series for the exponential of a matrix of norm at most one half: the next is
/// below 1e-22 of the sum.
const TERMS: usize = 18;

/// Values after `duration_s` under constant flows, in place.
///
/// The system and its inputs form one matrix `A` with non-negative entries off the diagonal. With
/// `m` the largest rate, `A + m I` is non-negative, and `exp(A t) = exp(-m t) exp((A + m I) t)`
/// is a series and then squarings of non-negative numbers: nothing is ever subtracted, so nothing
/// cancels. Cost: a few matrix products per doubling of `m t`.
pub fn exact(duration_s: f64, capacity: &[f64], exchange: &Exchange, values: &mut [f64]) {
    let zones = exchange.zones();
    let n = zones + 1;
    // Leaving rates, 1/s.
    let leave: Vec<f64> = (0..zones)
        .map(|j| {
            let out: f64 = (0..zones).filter(|i| *i != j).map(|i| exchange.transfer[j * zones + i]).sum();
            (out + exchange.lost[j]) / capacity[j]
        })
        .collect();
    let fastest = math::max_valid(leave.iter().copied()).unwrap_or(0.0);
    let mut halvings = 0u32;
    let mut part_s = duration_s;
    while fastest * part_s > 0.5 {
        part_s *= 0.5;
        halvings += 1;
    }
    let mut shifted = vec![0.0; n * n];
    for i in 0..zones {
        for j in 0..zones {
            shifted[i * n + j] = part_s
                * if i == j {
                    (fastest - leave[i]).max(0.0)
                } else {
                    exchange.transfer[j * zones + i] / capacity[i]
                };
        }
        shifted[i * n + zones] = part_s * exchange.input[i] / capacity[i];
    }
    shifted[n * n - 1] = part_s * fastest;

    let damp = math::exp(-fastest * part_s);
    let mut term = identity(n);
    let mut sum = identity(n);
    for k in 1..=TERMS {
        term = product(n, &term, &shifted);
        for (s, t) in sum.iter_mut().zip(&mut term) {
            *t /= k as f64;
            *s += *t;
        }
    }
    for s in &mut sum {
        *s *= damp;
    }
    // The last row is that of a constant, exactly; keep it so, or its rounding doubles each time.
    for round in 0..=halvings {
        if round > 0 {
            sum = product(n, &sum, &sum);
        }
        for j in 0..n {
            sum[zones * n + j] = if j == zones { 1.0 } else { 0.0 };
        }
    }
    let start: Vec<f64> = values.to_vec();
    for (i, value) in values.iter_mut().enumerate() {
        *value = sum[i * n + zones] + (0..zones).map(|j| sum[i * n + j] * start[j]).sum::<f64>();
    }
}

fn identity(n: usize) -> Vec<f64> {
    let mut m = vec![0.0; n * n];
    for i in 0..n {
        m[i * n + i] = 1.0;
    }
    m
}

fn product(n: usize, a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut c = vec![0.0; n * n];
    for i in 0..n {
        for k in 0..n {
            let x = a[i * n + k];
            for j in 0..n {
                c[i * n + j] += x * b[k * n + j];
            }
        }
    }
    c
}
