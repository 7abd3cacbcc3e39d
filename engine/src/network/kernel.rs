//! Powers for the network's kernels: the same bits on every processor and at every lane width.
//!
//! `x^y = 2^(y log2 x)` from + - * / and moves of bits only: no table, no branch, no fused
//! multiply-add, no call into a mathematical library. The logarithm is a polynomial in
//! `s^2`, `s = (m - 1)/(m + 1)`, on a mantissa in [1/sqrt 2, sqrt 2), the exponential one on
//! [-1/2, 1/2]; both interpolate at Chebyshev nodes, computed in 50 digits (mpmath 1.4), and are off
//! by less than 5e-16. A lane version applies the same function to each lane; that is why it is
//! forced inline. [`pow_each`] is the loop the compiler turns into lanes today.
//! Valid for positive normal `x` and `|y log2 x| < 1000`; tested to 2e-14 over 1e-12 to 1e6.

/// Bits of the largest number below 1/sqrt 2.
const SQRT_HALF_BITS: u64 = 0x3FE6_A09E_667F_3BCC;
const ONE_BITS: u64 = 1023 << 52;
const EXPONENT_MASK: u64 = 0xFFF << 52;
/// 2^52: an integer below it, put into its mantissa, is that integer as a float after subtraction.
const TWO_52: f64 = 4_503_599_627_370_496.0;
/// 1.5 * 2^52: adding it rounds to an integer and leaves that integer in the low bits.
const ROUND: f64 = 6_755_399_441_055_744.0;

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

/// Logarithm to base two of a positive normal number.
#[inline(always)]
pub(crate) fn log2(x: f64) -> f64 {
    let bits = x.to_bits();
    let biased = bits.wrapping_sub(SQRT_HALF_BITS).wrapping_add(ONE_BITS);
    let exponent = f64::from_bits((biased >> 52) | TWO_52.to_bits()) - (TWO_52 + 1023.0);
    let m = f64::from_bits(bits.wrapping_sub((biased & EXPONENT_MASK).wrapping_sub(ONE_BITS)));
    let s = (m - 1.0) / (m + 1.0);
    let c = &LOG_SERIES;
    // Pairs first (Estrin): a short chain of dependent operations instead of one long one.
    let z = s * s;
    let z2 = z * z;
    let z4 = z2 * z2;
    let low = (c[0] + c[1] * z) + (c[2] + c[3] * z) * z2;
    let high = (c[4] + c[5] * z) + c[6] * z2;
    exponent + s * (low + high * z4)
}

/// Two to the power `t`, for `|t| < 1000`.
#[inline(always)]
pub(crate) fn exp2(t: f64) -> f64 {
    let shifted = t + ROUND;
    let f = t - (shifted - ROUND);
    let c = &EXP_SERIES;
    let f2 = f * f;
    let f4 = f2 * f2;
    let p0 = (c[0] + c[1] * f) + (c[2] + c[3] * f) * f2;
    let p1 = (c[4] + c[5] * f) + (c[6] + c[7] * f) * f2;
    let p2 = (c[8] + c[9] * f) + c[10] * f2;
    let p = p0 + (p1 + p2 * f4) * f4;
    f64::from_bits(p.to_bits().wrapping_add(shifted.to_bits() << 52))
}

/// `x` to the power `y`, for positive normal `x` and `|y log2 x| < 1000`.
#[inline(always)]
pub(crate) fn pow(x: f64, y: f64) -> f64 {
    exp2(y * log2(x))
}

/// `base[i] = base[i]^exponent[i]` for every `i` both have.
pub(crate) fn pow_each(base: &mut [f64], exponent: &[f64]) {
    for (x, &y) in base.iter_mut().zip(exponent) {
        *x = pow(*x, y);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pow_agrees_with_std() {
        let mut worst: f64 = 0.0;
        for i in 0..=18_000 {
            let x = crate::math::pow(10.0, -12.0 + f64::from(i) * 1e-3);
            for y in [
                -1.0, -0.25, -0.175, -0.02, 0.0, 0.3, 0.5, 0.54, 0.65, 0.825, 1.0, 1.5,
            ] {
                let wanted = crate::math::pow(x, y);
                worst = worst.max(((pow(x, y) - wanted) / wanted).abs());
            }
        }
        assert!(worst <= 2e-14, "{worst:e}");
    }

    #[test]
    fn logarithm_is_accurate_beside_one_and_exact_at_powers_of_two() {
        for i in 1..2000 {
            for x in [1.0 + f64::from(i) * 1e-4, 1.0 - f64::from(i) * 1e-4] {
                let wanted = x.log2();
                assert!((log2(x) - wanted).abs() <= 1e-15 * wanted.abs(), "{x}");
            }
        }
        for e in -300_i32..300 {
            assert!((log2(2.0_f64.powi(e)) - f64::from(e)).abs() == 0.0);
            assert!((exp2(f64::from(e)) / 2.0_f64.powi(e) - 1.0).abs() == 0.0);
        }
    }
}
