//! A condition as a flat program over numbered slots.
//!
//! A small stack machine: the stack is an array on the caller's stack, so that nothing is allocated.
//! The commonest step, a signal against a constant, is one operation. `&&` and `||` jump over their
//! right side where the left decides; the value is the same either way, because nothing here fails.

/// How two numbers compare.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// Below.
    Less,
    /// Below or the same.
    AtMost,
    /// Above.
    More,
    /// Above or the same.
    AtLeast,
    /// The same.
    Same,
    /// Not the same.
    Differs,
}

impl Order {
    /// Whether `a` stands so to `b`; IEEE 754: nothing but `Differs` holds of no number.
    #[inline]
    #[expect(clippy::float_cmp, reason = "equality of counts and hours is what was asked")]
    pub(super) fn holds(self, a: f64, b: f64) -> bool {
        match self {
            Order::Less => a < b,
            Order::AtMost => a <= b,
            Order::More => a > b,
            Order::AtLeast => a >= b,
            Order::Same => a == b,
            Order::Differs => a != b,
        }
    }

    /// What holds where this does not, of numbers.
    pub(super) fn not(self) -> Order {
        match self {
            Order::Less => Order::AtLeast,
            Order::AtMost => Order::More,
            Order::More => Order::AtMost,
            Order::AtLeast => Order::Less,
            Order::Same => Order::Differs,
            Order::Differs => Order::Same,
        }
    }

    /// The same with its sides exchanged.
    pub(super) fn turned(self) -> Order {
        match self {
            Order::Less => Order::More,
            Order::AtMost => Order::AtLeast,
            Order::More => Order::Less,
            Order::AtLeast => Order::AtMost,
            same => same,
        }
    }
}

/// Arithmetic of two numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sum {
    /// a + b
    Add,
    /// a - b
    Take,
    /// a b
    Times,
    /// a / b
    Over,
}

impl Sum {
    #[inline]
    pub(super) fn of(self, a: f64, b: f64) -> f64 {
        match self {
            Sum::Add => a + b,
            Sum::Take => a - b,
            Sum::Times => a * b,
            Sum::Over => a / b,
        }
    }
}

/// One operation; flags are 1 and 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Op {
    /// Pushes a slot.
    Slot(u16),
    /// Pushes a constant.
    Const(f64),
    /// Pushes how a slot stands to a constant.
    SlotConst(Order, u16, f64),
    /// Replaces two by how they compare.
    Compare(Order),
    /// Replaces two by their sum.
    Sum(Sum),
    /// Changes the sign.
    Minus,
    /// Turns a flag.
    Not,
    /// Where the flag on top is false, goes on at an operation and leaves it; else drops it.
    AndElse(u16),
    /// Where the flag on top is true, goes on at an operation and leaves it; else drops it.
    OrElse(u16),
    /// Drops a flag; where it is false, goes on at an operation.
    Unless(u16),
    /// Goes on at an operation.
    Jump(u16),
}

/// Deepest stack of a program; a deeper expression is refused.
pub(super) const DEEPEST: usize = 16;
/// Longest program; a longer expression is refused.
pub(super) const LONGEST: usize = 1024;

/// A condition ready to run.
#[derive(Clone, Debug, PartialEq)]
pub struct Program {
    pub(super) ops: Vec<Op>,
}

impl Program {
    /// Whether the condition holds; one value a slot, SI, flags as 1 and 0. A slot beyond the end
    /// reads as no number. Allocates nothing.
    pub fn holds(&self, signals: &[f64]) -> bool {
        let ops = self.ops.as_slice();
        // A single comparison needs no stack.
        if let [Op::SlotConst(order, slot, value)] = ops {
            return order.holds(read(signals, *slot), *value);
        }
        let mut stack = [0.0_f64; DEEPEST];
        // One past the top.
        let mut top = 0_usize;
        let mut at = 0_usize;
        while let Some(op) = ops.get(at) {
            at += 1;
            match *op {
                Op::Slot(slot) => push(&mut stack, &mut top, read(signals, slot)),
                Op::Const(value) => push(&mut stack, &mut top, value),
                Op::SlotConst(order, slot, value) => {
                    push(&mut stack, &mut top, flag(order.holds(read(signals, slot), value)));
                }
                Op::Compare(order) => two(&mut stack, &mut top, |a, b| flag(order.holds(a, b))),
                Op::Sum(sum) => two(&mut stack, &mut top, |a, b| sum.of(a, b)),
                Op::Minus => one(&mut stack, top, |a| -a),
                Op::Not => one(&mut stack, top, |a| 1.0 - a),
                Op::AndElse(to) => {
                    if is(&stack, top) {
                        top -= 1;
                    } else {
                        at = usize::from(to);
                    }
                }
                Op::OrElse(to) => {
                    if is(&stack, top) {
                        at = usize::from(to);
                    } else {
                        top -= 1;
                    }
                }
                Op::Unless(to) => {
                    if !is(&stack, top) {
                        at = usize::from(to);
                    }
                    top -= 1;
                }
                Op::Jump(to) => at = usize::from(to),
            }
        }
        is(&stack, 1)
    }

    /// Slots it reads, each once, rising.
    pub fn slots(&self) -> Vec<u16> {
        let mut slots: Vec<u16> = self
            .ops
            .iter()
            .filter_map(|op| match op {
                Op::Slot(slot) | Op::SlotConst(_, slot, _) => Some(*slot),
                _ => None,
            })
            .collect();
        slots.sort_unstable();
        slots.dedup();
        slots
    }
}

#[inline]
fn read(signals: &[f64], slot: u16) -> f64 {
    signals.get(usize::from(slot)).copied().unwrap_or(f64::NAN)
}

#[inline]
fn flag(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

// The lowering has counted the stack: the masks keep the compiler from checking again.
#[inline]
fn push(stack: &mut [f64; DEEPEST], top: &mut usize, value: f64) {
    stack[*top & (DEEPEST - 1)] = value;
    *top += 1;
}

#[inline]
fn is(stack: &[f64; DEEPEST], top: usize) -> bool {
    stack[top.wrapping_sub(1) & (DEEPEST - 1)] > 0.5
}

#[inline]
fn one(stack: &mut [f64; DEEPEST], top: usize, f: impl Fn(f64) -> f64) {
    let place = &mut stack[top.wrapping_sub(1) & (DEEPEST - 1)];
    *place = f(*place);
}

#[inline]
fn two(stack: &mut [f64; DEEPEST], top: &mut usize, f: impl Fn(f64, f64) -> f64) {
    let b = stack[top.wrapping_sub(1) & (DEEPEST - 1)];
    *top = top.wrapping_sub(1);
    one(stack, *top, |a| f(a, b));
}
