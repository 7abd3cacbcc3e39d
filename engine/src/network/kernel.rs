//! Powers for the network's kernels: the same bits on every processor and at every lane width.
//!
//! `x^y = 2^(y log2 x)` from + - * / and moves of bits only: no table, no branch, no fused
//! multiply-add, no call into a mathematical library. The logarithm is a polynomial in
//! `s^2`, `s = (m - 1)/(m + 1)`, on a mantissa in [1/sqrt 2, sqrt 2), the exponential one on
//! [-1/2, 1/2]; both interpolate at Chebyshev nodes, computed in 50 digits (mpmath 1.4), and are off
//! by less than 5e-16. Written once over [`Lanes`].
//! Valid for positive normal `x` and `|y log2 x| < 1000`; tested to 2e-14 over 1e-12 to 1e6.

use crate::math::lanes::{Lanes, Plain, ROUND};

/// `log2((1 + s)/(1 - s)) / s` as a polynomial in `s^2`.
const LOG_SERIES: [f64; 7] = [
    2.885_390_081_777_927,
    0.961_796_693_924_334_6,
    0.577_078_017_246_328_6,
    0.412_198_402_048_275_2,
    0.320_616_388_132_245_5,
    0.261_444_249_352_291_5,
    0.242_916_085_398_753_5,
];

/// `2^f` as a polynomial in `f`, exactly one at zero.
const EXP_SERIES: [f64; 11] = [
    1.0,
    0.693_147_180_559_946_2,
    0.240_226_506_959_100_76,
    0.055_504_108_664_651_67,
    0.009_618_129_107_618_666,
    0.001_333_355_820_079_459_3,
    0.000_154_035_304_247_765_28,
    1.525_267_292_485_073_6e-5,
    1.321_545_162_332_143_4e-6,
    1.020_590_541_376_559_6e-7,
    7.070_977_866_508_139e-9,
];

/// `exponent + log2((1 + s)/(1 - s))`.
#[inline(always)]
pub(super) fn log2_of_ratio<L: Lanes>(l: L, exponent: L::V, s: L::V) -> L::V {
    let c = |i: usize| l.splat(LOG_SERIES[i]);
    // Pairs first (Estrin): a short chain of dependent operations instead of one long one.
    let z = l.mul(s, s);
    let z2 = l.mul(z, z);
    let z4 = l.mul(z2, z2);
    let low = l.add(l.add(c(0), l.mul(c(1), z)), l.mul(l.add(c(2), l.mul(c(3), z)), z2));
    let high = l.add(l.add(c(4), l.mul(c(5), z)), l.mul(c(6), z2));
    l.add(exponent, l.mul(s, l.add(low, l.mul(high, z4))))
}

/// Logarithm to base two of positive normal numbers.
#[inline(always)]
pub(super) fn log2<L: Lanes>(l: L, x: L::V) -> L::V {
    let (exponent, m) = l.split(x);
    let one = l.splat(1.0);
    log2_of_ratio(l, exponent, l.div(l.sub(m, one), l.add(m, one)))
}

/// Two to the power `t`, for `|t| < 1000`.
#[inline(always)]
pub(super) fn exp2<L: Lanes>(l: L, t: L::V) -> L::V {
    let c = |i: usize| l.splat(EXP_SERIES[i]);
    let shifted = l.add(t, l.splat(ROUND));
    let f = l.sub(t, l.sub(shifted, l.splat(ROUND)));
    let f2 = l.mul(f, f);
    let f4 = l.mul(f2, f2);
    let p0 = l.add(l.add(c(0), l.mul(c(1), f)), l.mul(l.add(c(2), l.mul(c(3), f)), f2));
    let p1 = l.add(l.add(c(4), l.mul(c(5), f)), l.mul(l.add(c(6), l.mul(c(7), f)), f2));
    let p2 = l.add(l.add(c(8), l.mul(c(9), f)), l.mul(c(10), f2));
    l.scale(l.add(p0, l.mul(l.add(p1, l.mul(p2, f4)), f4)), shifted)
}

/// `x` to the power `y`, for positive normal `x` and `|y log2 x| < 1000`.
#[inline(always)]
pub(super) fn pow(x: f64, y: f64) -> f64 {
    exp2(Plain, y * log2(Plain, x))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::lanes::{Level, Task, dispatch};

    struct Powers<'a> {
        base: &'a [f64],
        exponent: &'a [f64],
        into: &'a mut [f64],
    }

    impl Task for Powers<'_> {
        type Output = usize;
        #[inline(always)]
        fn run<L: Lanes>(self, l: L) -> usize {
            let (x, y) = (L::view(self.base), L::view(self.exponent));
            for (i, into) in L::view_mut(self.into).iter_mut().enumerate() {
                *into = exp2(l, l.mul(y[i], log2(l, x[i])));
            }
            L::N
        }
    }

    #[test]
    fn pow_agrees_with_std_and_has_the_same_bits_at_every_level() {
        let (mut base, mut exponent) = (Vec::new(), Vec::new());
        for i in 0..=18_000 {
            for y in [-1.0, -0.25, -0.175, -0.02, 0.0, 0.3, 0.5, 0.54, 0.65, 0.825, 1.0, 1.5] {
                base.push(crate::math::pow(10.0, -12.0 + f64::from(i) * 1e-3));
                exponent.push(y);
            }
        }
        let count = base.len() / 8 * 8;
        let (base, exponent) = (&base[..count], &exponent[..count]);
        for level in Level::ALL.into_iter().filter(|level| level.is_available()) {
            let mut into = vec![0.0; count];
            let width = dispatch(level, Powers { base, exponent, into: &mut into });
            assert_eq!(width, level.width());
            let mut worst: f64 = 0.0;
            for ((x, y), found) in base.iter().zip(exponent).zip(&into) {
                assert_eq!(found.to_bits(), pow(*x, *y).to_bits(), "{level:?} {x} {y}");
                let wanted = crate::math::pow(*x, *y);
                worst = worst.max(((found - wanted) / wanted).abs());
            }
            assert!(worst <= 2e-14, "{level:?} {worst:e}");
        }
    }

    /// A build without the features of `pulp` falls back to plain code and says nothing.
    #[test]
    #[cfg(target_arch = "x86_64")]
    fn the_processors_lanes_are_used() {
        if std::arch::is_x86_feature_detected!("avx2") && std::arch::is_x86_feature_detected!("fma") {
            assert!(Level::best() >= Level::X86V3, "AVX2 is here and {:?} is used", Level::best());
        }
        if std::arch::is_x86_feature_detected!("avx512f") && std::arch::is_x86_feature_detected!("avx512dq") {
            println!("AVX-512: {:?}", Level::best());
        }
        let used = dispatch(Level::best(), Powers { base: &[], exponent: &[], into: &mut [] });
        assert_eq!(used, Level::best().width());
    }

    #[test]
    fn logarithm_is_accurate_beside_one_and_exact_at_powers_of_two() {
        for i in 1..2000 {
            for x in [1.0 + f64::from(i) * 1e-4, 1.0 - f64::from(i) * 1e-4] {
                let wanted = x.log2();
                assert!((log2(Plain, x) - wanted).abs() <= 1e-15 * wanted.abs(), "{x}");
            }
        }
        for e in -300_i32..300 {
            assert!((log2(Plain, 2.0_f64.powi(e)) - f64::from(e)).abs() == 0.0);
            assert!((exp2(Plain, f64::from(e)) / 2.0_f64.powi(e) - 1.0).abs() == 0.0);
        }
    }
}
