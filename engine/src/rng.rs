//! Randomness with a seed and a stream name, so that every draw can be made again.
//!
//! ChaCha with 12 rounds: its stream is the same on every platform. Two streams of one seed are
//! independent; the stream's number is a hash (FNV-1a) of its name.

use rand::Rng;
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;

/// A source of random numbers for one purpose.
#[derive(Clone, Debug)]
pub struct Stream {
    inner: ChaCha12Rng,
}

impl Stream {
    /// The stream called `name` of this seed.
    pub fn new(seed: u64, name: &str) -> Stream {
        let mut inner = ChaCha12Rng::seed_from_u64(seed);
        let hash = name
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
        inner.set_stream(hash);
        Stream { inner }
    }

    /// Uniform in the open interval (0, 1).
    pub fn uniform(&mut self) -> f64 {
        let bits = self.inner.next_u64() >> 11;
        (bits as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    /// Standard normal, by inversion.
    pub fn normal(&mut self) -> f64 {
        let u = self.uniform();
        crate::measure::normal_quantile(u)
    }

    /// Chi-square with `dof` degrees of freedom (sum of squares; `dof` is small here).
    pub fn chi_square(&mut self, dof: usize) -> f64 {
        (0..dof)
            .map(|_| {
                let z = self.normal();
                z * z
            })
            .sum()
    }
}
