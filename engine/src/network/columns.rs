//! The leaks of a network as columns, so that their law is worked out in lanes.
//!
//! Passages of another kind have a coefficient of zero here and are listed apart.

use super::kernel::{exp2, log2};
use super::law::{GRAVITY_M_S2, SMOOTHING_PA};
use super::shape::WIDEST;
use super::{Kind, Passage};
use crate::math::lanes::{Aligned, Plain};

/// One entry a passage, filled up to a multiple of the widest lanes.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Columns {
    /// Volumetric coefficient at reference conditions, m3/(s Pa^n).
    pub(super) c: Vec<f64>,
    pub(super) n_less_one: Vec<f64>,
    pub(super) inverse_n_plus_one: Vec<f64>,
    /// Potential of a unit coefficient at rest for [`SMOOTHING_PA`], taken off so that both
    /// directions meet there.
    pub(super) at_rest: Vec<f64>,
    /// Weight of a column of air of unit density up to the passage, m2/s2; an opening counts from
    /// the ground and carries its own heights.
    pub(super) gz: Vec<f64>,
    /// Passages that are no leaks, ascending.
    pub(super) others: Vec<usize>,
}

impl Columns {
    pub(super) fn new(passages: &[Passage]) -> Self {
        let padded = passages.len().next_multiple_of(WIDEST);
        let mut columns = Self {
            c: vec![0.0; padded],
            n_less_one: vec![0.0; padded],
            inverse_n_plus_one: vec![0.5; padded],
            at_rest: vec![0.0; padded],
            gz: vec![0.0; padded],
            // Room for all, so that no later swap allocates.
            others: Vec::with_capacity(passages.len()),
        };
        for (k, passage) in passages.iter().enumerate() {
            columns.set(k, passage);
        }
        columns
    }

    /// Takes over the numbers of others, in memory that is there already.
    pub(super) fn copy_from(&mut self, from: &Self) {
        for (to, from) in [
            (&mut self.c, &from.c),
            (&mut self.n_less_one, &from.n_less_one),
            (&mut self.inverse_n_plus_one, &from.inverse_n_plus_one),
            (&mut self.at_rest, &from.at_rest),
            (&mut self.gz, &from.gz),
        ] {
            to.clone_from(from);
        }
        self.others.clone_from(&from.others);
    }

    /// Takes over what a passage has become.
    pub(super) fn set(&mut self, k: usize, passage: &Passage) {
        let opening = matches!(passage.kind, Kind::Opening { .. });
        self.gz[k] = if opening { 0.0 } else { GRAVITY_M_S2 * passage.z_m };
        let place = self.others.binary_search(&k);
        let (c, n_less_one) = match passage.kind {
            Kind::Leak { c_m3_s_pan, n } => {
                if let Ok(place) = place {
                    self.others.remove(place);
                }
                (c_m3_s_pan, n - 1.0)
            }
            _ => {
                if let Err(place) = place {
                    self.others.insert(place, k);
                }
                (0.0, 0.0)
            }
        };
        self.c[k] = c;
        if self.n_less_one[k].to_bits() != n_less_one.to_bits() || self.at_rest[k] <= 0.0 {
            self.n_less_one[k] = n_less_one;
            self.inverse_n_plus_one[k] = 1.0 / (n_less_one + 2.0);
            self.at_rest[k] = at_rest(n_less_one, SMOOTHING_PA * SMOOTHING_PA);
        }
    }
}

/// The leaks of the networks in the lanes, by passage: [`Columns`] side by side.
#[derive(Clone, Debug)]
pub(super) struct Leaks {
    lanes: usize,
    pub(super) c: Aligned,
    pub(super) n_less_one: Aligned,
    pub(super) inverse_n_plus_one: Aligned,
    pub(super) at_rest: Aligned,
    pub(super) gz: Aligned,
    /// What each lane was filled with last: most often it is the same again.
    filled: Vec<Columns>,
}

impl Leaks {
    pub(super) fn new(lanes: usize, padded: usize) -> Self {
        let empty = || Aligned::new(padded * lanes, 0.0);
        Self {
            lanes,
            c: empty(),
            n_less_one: empty(),
            inverse_n_plus_one: empty(),
            at_rest: empty(),
            gz: empty(),
            filled: vec![Columns::default(); if lanes > 1 { lanes } else { 0 }],
        }
    }

    /// Takes over a network's leaks into one lane.
    pub(super) fn fill(&mut self, lane: usize, columns: &Columns, smoothing2: f64) {
        let n = self.lanes;
        if n == 1 {
            self.c.copy_from_slice(&columns.c);
            self.n_less_one.copy_from_slice(&columns.n_less_one);
            self.inverse_n_plus_one.copy_from_slice(&columns.inverse_n_plus_one);
            self.at_rest.copy_from_slice(&columns.at_rest);
            self.gz.copy_from_slice(&columns.gz);
        } else {
            let same = same_bits(&self.filled[lane].n_less_one, &columns.n_less_one)
                && same_bits(&self.filled[lane].gz, &columns.gz);
            let into = |to: &mut [f64], from: &[f64]| {
                for (to, from) in to[lane..].iter_mut().step_by(n).zip(from) {
                    *to = *from;
                }
            };
            if !same {
                into(&mut self.n_less_one, &columns.n_less_one);
                into(&mut self.inverse_n_plus_one, &columns.inverse_n_plus_one);
                into(&mut self.at_rest, &columns.at_rest);
                into(&mut self.gz, &columns.gz);
            }
            if !same || !same_bits(&self.filled[lane].c, &columns.c) {
                into(&mut self.c, &columns.c);
                self.filled[lane].copy_from(columns);
            }
        }
        if smoothing2.to_bits() != (SMOOTHING_PA * SMOOTHING_PA).to_bits() {
            for (k, n_less_one) in columns.n_less_one.iter().enumerate() {
                self.at_rest[k * n + lane] = at_rest(*n_less_one, smoothing2);
            }
        }
    }

    /// A lane that is not used: the numbers of another one.
    pub(super) fn copy_lane(&mut self, from: usize, to: usize) {
        // Whatever the lane is filled with next, it is not the same.
        self.filled[to].c.clear();
        for list in
            [&mut self.c, &mut self.n_less_one, &mut self.inverse_n_plus_one, &mut self.at_rest, &mut self.gz]
        {
            for entry in list.chunks_exact_mut(self.lanes) {
                entry[to] = entry[from];
            }
        }
    }
}

#[inline(always)]
fn same_bits(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a.to_bits() ^ b.to_bits())) == 0
}

/// `e^(n+1) / (n+1)`: the potential of a unit coefficient at rest.
fn at_rest(n_less_one: f64, e2: f64) -> f64 {
    exp2(Plain, (0.5 * n_less_one + 1.0) * log2(Plain, e2)) / (n_less_one + 2.0)
}
