//! Numbers side by side: the same arithmetic at every width that a processor offers.
//!
//! A kernel is written once over [`Lanes`] and run by [`dispatch`] at a [`Level`]. Only + - * /,
//! the square root and moves of bits are offered, and no fused multiply-add, so that every level and every width give
//! the same bits. Whatever is generic over `Lanes` must be `#[inline(always)]` down to the
//! arithmetic: the compiler may use wide instructions only inside the function that [`dispatch`]
//! enters. Not covered: lanes of anything but `f64`. Nothing can fail: a level that the
//! processor lacks falls back to [`Level::Plain`].

/// Bits of the largest number below 1/sqrt 2.
const SQRT_HALF_BITS: u64 = 0x3FE6_A09E_667F_3BCC;
const ONE_BITS: u64 = 1023 << 52;
const EXPONENT_MASK: u64 = 0xFFF << 52;
/// 2^52: an integer below it, put into its mantissa, is that integer as a float after subtraction.
const TWO_52: f64 = 4_503_599_627_370_496.0;
/// 1.5 * 2^52: adding it rounds to an integer and leaves that integer in the low bits.
pub(crate) const ROUND: f64 = 6_755_399_441_055_744.0;

/// A set of instructions that kernels are compiled for. The answer does not depend on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// What every processor has; one number at a time, unless the compiler finds pairs.
    Plain,
    /// x86-64-v3 (AVX2): four numbers.
    X86V3,
    /// x86-64-v4 (AVX-512): eight numbers.
    X86V4,
}

impl Level {
    /// The widest level of this processor.
    pub fn best() -> Self {
        Self::ALL.into_iter().rev().find(|level| level.is_available()).unwrap_or(Self::Plain)
    }

    /// Every level, the narrowest first.
    pub const ALL: [Self; 3] = [Self::Plain, Self::X86V3, Self::X86V4];

    /// Whether this processor has it.
    pub fn is_available(self) -> bool {
        match self {
            Self::Plain => true,
            #[cfg(target_arch = "x86_64")]
            Self::X86V3 => pulp::x86::V3::try_new().is_some(),
            #[cfg(target_arch = "x86_64")]
            Self::X86V4 => pulp::x86::V4::try_new().is_some(),
            #[cfg(not(target_arch = "x86_64"))]
            _ => false,
        }
    }

    /// Numbers worked on at once.
    pub fn width(self) -> usize {
        match self {
            Self::Plain => 1,
            Self::X86V3 => 4,
            Self::X86V4 => 8,
        }
    }
}

/// Something to run at a level. `run` must be `#[inline(always)]`.
pub(crate) trait Task {
    type Output;
    fn run<L: Lanes>(self, lanes: L) -> Self::Output;
}

/// Runs a task at a level, or at the plain one where the processor lacks it.
pub(crate) fn dispatch<T: Task>(level: Level, task: T) -> T::Output {
    #[cfg(target_arch = "x86_64")]
    {
        match level {
            Level::X86V4 => {
                if let Some(simd) = pulp::x86::V4::try_new() {
                    return simd.vectorize(wide::Entry { simd, task });
                }
            }
            Level::X86V3 => {
                if let Some(simd) = pulp::x86::V3::try_new() {
                    return simd.vectorize(wide::Entry { simd, task });
                }
            }
            Level::Plain => {}
        }
    }
    let _ = level;
    task.run(Plain)
}

/// Arithmetic on [`N`](Self::N) numbers side by side.
pub(crate) trait Lanes: Copy {
    /// The numbers.
    type V: Copy;
    /// A choice for each of them.
    type M: Copy;
    /// How many.
    const N: usize;

    /// A slice as whole vectors; what does not fill one is left out.
    fn view(values: &[f64]) -> &[Self::V];
    fn view_mut(values: &mut [f64]) -> &mut [Self::V];
    fn splat(self, x: f64) -> Self::V;
    fn add(self, a: Self::V, b: Self::V) -> Self::V;
    fn sub(self, a: Self::V, b: Self::V) -> Self::V;
    fn mul(self, a: Self::V, b: Self::V) -> Self::V;
    fn div(self, a: Self::V, b: Self::V) -> Self::V;
    /// Rounded as the standard has it, at every level.
    fn sqrt(self, a: Self::V) -> Self::V;
    fn abs(self, a: Self::V) -> Self::V;
    fn not_less(self, a: Self::V, b: Self::V) -> Self::M;
    fn select(self, mask: Self::M, yes: Self::V, no: Self::V) -> Self::V;
    /// `(e, m)` with `x = m 2^e` and `m` in [1/sqrt 2, sqrt 2), for positive normal `x`.
    fn split(self, x: Self::V) -> (Self::V, Self::V);
    /// `p 2^k`, where `shifted` is the integer `k` plus [`ROUND`].
    fn scale(self, p: Self::V, shifted: Self::V) -> Self::V;
}

/// Numbers that begin at a line of the cache, so that no vector lies across two.
#[derive(Debug, Default)]
pub(crate) struct Aligned {
    room: Vec<f64>,
    start: usize,
    len: usize,
}

impl Aligned {
    const LINE_BYTES: usize = 64;
    const LINE: usize = Self::LINE_BYTES / size_of::<f64>();

    pub(crate) fn new(len: usize, value: f64) -> Self {
        let room = vec![value; len + Self::LINE];
        let start = room.as_ptr().align_offset(Self::LINE_BYTES);
        // The offset may be refused; then it is slower and no less right.
        let start = if start < Self::LINE { start } else { 0 };
        Self { room, start, len }
    }
}

impl Clone for Aligned {
    fn clone(&self) -> Self {
        let mut other = Self::new(self.len, 0.0);
        other.copy_from_slice(self);
        other
    }
}

impl std::ops::Deref for Aligned {
    type Target = [f64];
    #[inline(always)]
    fn deref(&self) -> &[f64] {
        &self.room[self.start..self.start + self.len]
    }
}

impl std::ops::DerefMut for Aligned {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut [f64] {
        &mut self.room[self.start..self.start + self.len]
    }
}

/// One number at a time.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plain;

impl Lanes for Plain {
    type V = f64;
    type M = bool;
    const N: usize = 1;

    #[inline(always)]
    fn view(values: &[f64]) -> &[f64] {
        values
    }
    #[inline(always)]
    fn view_mut(values: &mut [f64]) -> &mut [f64] {
        values
    }
    #[inline(always)]
    fn splat(self, x: f64) -> f64 {
        x
    }
    #[inline(always)]
    fn add(self, a: f64, b: f64) -> f64 {
        a + b
    }
    #[inline(always)]
    fn sub(self, a: f64, b: f64) -> f64 {
        a - b
    }
    #[inline(always)]
    fn mul(self, a: f64, b: f64) -> f64 {
        a * b
    }
    #[inline(always)]
    fn div(self, a: f64, b: f64) -> f64 {
        a / b
    }
    #[inline(always)]
    fn sqrt(self, a: f64) -> f64 {
        a.sqrt()
    }
    #[inline(always)]
    fn abs(self, a: f64) -> f64 {
        a.abs()
    }
    #[inline(always)]
    fn not_less(self, a: f64, b: f64) -> bool {
        a >= b
    }
    #[inline(always)]
    fn select(self, mask: bool, yes: f64, no: f64) -> f64 {
        if mask { yes } else { no }
    }
    #[inline(always)]
    fn split(self, x: f64) -> (f64, f64) {
        let bits = x.to_bits();
        let biased = bits.wrapping_sub(SQRT_HALF_BITS).wrapping_add(ONE_BITS);
        let exponent = f64::from_bits((biased >> 52) | TWO_52.to_bits()) - (TWO_52 + 1023.0);
        let mantissa = bits.wrapping_sub((biased & EXPONENT_MASK).wrapping_sub(ONE_BITS));
        (exponent, f64::from_bits(mantissa))
    }
    #[inline(always)]
    fn scale(self, p: f64, shifted: f64) -> f64 {
        f64::from_bits(p.to_bits().wrapping_add(shifted.to_bits() << 52))
    }
}

#[cfg(target_arch = "x86_64")]
mod wide {
    use super::{EXPONENT_MASK, Lanes, ONE_BITS, ROUND, SQRT_HALF_BITS, TWO_52, Task};
    // Of the two casts, pulp's own checks pointers in every build with assertions.
    use pulp::Simd;
    use pulp::bytemuck::cast;

    /// Lanes of one of pulp's instruction sets.
    #[derive(Clone, Copy)]
    pub(super) struct Wide<S>(S);

    pub(super) struct Entry<S, T> {
        pub(super) simd: S,
        pub(super) task: T,
    }

    impl<S: Simd, T: Task> pulp::NullaryFnOnce for Entry<S, T> {
        type Output = T::Output;
        #[inline(always)]
        fn call(self) -> T::Output {
            self.task.run(Wide(self.simd))
        }
    }

    /// 2^32: what an integer in the upper half of 64 bits counts.
    const TWO_32: f64 = 4_294_967_296.0;
    /// 1.5 * 2^20: adding an integer leaves it in the low bits of the upper half.
    const ROUND_UPPER: f64 = 1_572_864.0;

    impl<S: Simd> Lanes for Wide<S> {
        type V = S::f64s;
        type M = S::m64s;
        const N: usize = S::F64_LANES;

        #[inline(always)]
        fn view(values: &[f64]) -> &[S::f64s] {
            S::as_simd_f64s(values).0
        }
        #[inline(always)]
        fn view_mut(values: &mut [f64]) -> &mut [S::f64s] {
            S::as_mut_simd_f64s(values).0
        }
        #[inline(always)]
        fn splat(self, x: f64) -> S::f64s {
            self.0.splat_f64s(x)
        }
        #[inline(always)]
        fn add(self, a: S::f64s, b: S::f64s) -> S::f64s {
            self.0.add_f64s(a, b)
        }
        #[inline(always)]
        fn sub(self, a: S::f64s, b: S::f64s) -> S::f64s {
            self.0.sub_f64s(a, b)
        }
        #[inline(always)]
        fn mul(self, a: S::f64s, b: S::f64s) -> S::f64s {
            self.0.mul_f64s(a, b)
        }
        #[inline(always)]
        fn div(self, a: S::f64s, b: S::f64s) -> S::f64s {
            self.0.div_f64s(a, b)
        }
        #[inline(always)]
        fn sqrt(self, a: S::f64s) -> S::f64s {
            self.0.sqrt_f64s(a)
        }
        #[inline(always)]
        fn abs(self, a: S::f64s) -> S::f64s {
            let bits = self.0.and_u64s(cast(a), self.0.splat_u64s(u64::MAX >> 1));
            cast(bits)
        }
        #[inline(always)]
        fn not_less(self, a: S::f64s, b: S::f64s) -> S::m64s {
            self.0.greater_than_or_equal_f64s(a, b)
        }
        #[inline(always)]
        fn select(self, mask: S::m64s, yes: S::f64s, no: S::f64s) -> S::f64s {
            cast(self.0.select_u64s(mask, cast(yes), cast(no)))
        }
        // Only halves of 64 bits can be shifted at every level: integers stand in the upper ones.
        #[inline(always)]
        fn split(self, x: S::f64s) -> (S::f64s, S::f64s) {
            let s = self.0;
            let bits = cast::<S::f64s, S::u64s>(x);
            let biased = s.add_u64s(bits, s.splat_u64s(ONE_BITS.wrapping_sub(SQRT_HALF_BITS)));
            let power = s.and_u64s(biased, s.splat_u64s(EXPONENT_MASK));
            let integer: S::u64s = cast(s.wrapping_dyn_shr_u32s(cast(power), s.splat_u32s(20)));
            let float = cast(s.or_u64s(integer, s.splat_u64s(TWO_52.to_bits())));
            let exponent = s.mul_f64s(
                s.sub_f64s(float, s.splat_f64s(TWO_52 + 1023.0 * TWO_32)),
                s.splat_f64s(1.0 / TWO_32),
            );
            let mantissa = s.sub_u64s(bits, s.sub_u64s(power, s.splat_u64s(ONE_BITS)));
            (exponent, cast(mantissa))
        }
        #[inline(always)]
        fn scale(self, p: S::f64s, shifted: S::f64s) -> S::f64s {
            let s = self.0;
            let integer = s.sub_f64s(shifted, s.splat_f64s(ROUND));
            let upper = s.add_f64s(integer, s.splat_f64s(ROUND_UPPER));
            let power: S::u64s = cast(s.wrapping_dyn_shl_u32s(cast(upper), s.splat_u32s(20)));
            let bits: S::u64s = cast(p);
            cast(s.add_u64s(bits, power))
        }
    }
}
