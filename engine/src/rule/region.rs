//! Where a condition holds, as far as intervals can tell.
//!
//! A condition becomes alternatives, each a set of bounds on single signals and a rest of
//! comparisons between signals. An alternative whose bounds are empty within the signals' physical
//! ranges, or one of whose other comparisons cannot hold there by interval arithmetic, is dropped:
//! where none is left, the condition can never hold. The other way round nothing is claimed without
//! a witness: values, one a signal, under which the condition was seen to hold.
//!
//! A comparison of one signal, also within sums and products with numbers, is a bound, and bounds of a
//! signal that is always whole end on whole numbers. Of conditions that are made of such comparisons alone
//! (a box each alternative) it is therefore exact, to the rounding of a bound, whether they and any two of
//! them ([`together`]) can hold. Where signals are compared with each other, a witness is looked for
//! by samples, and no finding is no proof.

use super::lower::{Cond, Num};
use super::program::{Order, Sum};
use super::signal::{Kind, Signals};
use crate::units::Quantity as Q;

/// Alternatives kept; a condition with more is not analysed.
const MOST: usize = 256;
/// Samples tried for a witness where signals are compared with each other.
const TRIES: usize = 4000;

/// What one alternative asks of one signal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// The signal.
    pub slot: u16,
    /// At least this, SI.
    pub low: f64,
    /// At most this, SI.
    pub high: f64,
    /// Whether the low end itself does not count.
    pub above: bool,
    /// Whether the high end itself does not count.
    pub below: bool,
}

impl Bounds {
    fn is_empty(&self) -> bool {
        self.low > self.high || (self.low >= self.high && (self.above || self.below))
    }

    /// The same for a signal that is always whole.
    fn whole(mut self) -> Bounds {
        let (low, high) = (self.low.ceil(), self.high.floor());
        if low <= self.low && self.above {
            self.low += 1.0;
        } else {
            self.low = low;
        }
        if high >= self.high && self.below {
            self.high -= 1.0;
        } else {
            self.high = high;
        }
        Bounds { above: false, below: false, ..self }
    }

    fn with(&mut self, other: &Bounds) {
        if other.low > self.low || (other.low >= self.low && other.above) {
            (self.low, self.above) = (other.low, other.above);
        }
        if other.high < self.high || (other.high <= self.high && other.below) {
            (self.high, self.below) = (other.high, other.below);
        }
    }
}

#[derive(Clone, Debug, Default, PartialEq)]
struct Term {
    /// By rising slot.
    bounds: Vec<Bounds>,
    /// Comparisons between signals.
    rest: Vec<Cond>,
}

impl Term {
    fn and(&self, other: &Term) -> Option<Term> {
        let mut out = self.clone();
        for b in &other.bounds {
            match out.bounds.binary_search_by_key(&b.slot, |o| o.slot) {
                Ok(at) => out.bounds[at].with(b),
                Err(at) => out.bounds.insert(at, *b),
            }
        }
        if out.bounds.iter().any(Bounds::is_empty) {
            return None;
        }
        for r in &other.rest {
            if !out.rest.contains(r) {
                out.rest.push(r.clone());
            }
        }
        Some(out)
    }
}

/// Where a condition holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    cond: Cond,
    /// Alternatives; nothing where there are too many.
    terms: Option<Vec<Term>>,
}

impl Region {
    pub(super) fn of(cond: &Cond, signals: &Signals) -> Region {
        let terms = alternatives(cond, false, signals).map(|terms| {
            let can = |t: &Term| t.rest.iter().all(|c| may_hold(c, t, signals));
            terms.into_iter().filter(can).collect()
        });
        Region { cond: cond.clone(), terms }
    }

    /// Whether it is sure that the condition never holds.
    pub fn is_never(&self) -> bool {
        self.terms.as_ref().is_some_and(Vec::is_empty)
    }

    /// Bounds on single signals, an alternative each, and whether that is all there is to it.
    pub fn alternatives(&self) -> Vec<(Vec<Bounds>, bool)> {
        self.terms.iter().flatten().map(|t| (t.bounds.clone(), t.rest.is_empty())).collect()
    }

    /// Values, one a slot, under which the condition holds; alternative by alternative.
    pub fn witnesses(&self, signals: &Signals) -> Vec<Vec<f64>> {
        self.terms.iter().flatten().filter_map(|t| witness(t, &self.cond, signals)).collect()
    }

    /// Values under which it holds, if any were found.
    pub fn witness(&self, signals: &Signals) -> Option<Vec<f64>> {
        match &self.terms {
            Some(terms) => terms.iter().find_map(|t| witness(t, &self.cond, signals)),
            // Too many alternatives: samples of all its signals.
            None => witness(&Term { bounds: Vec::new(), rest: vec![self.cond.clone()] }, &self.cond, signals),
        }
    }

    pub(super) fn cond(&self) -> &Cond {
        &self.cond
    }
}

/// Values under which two conditions hold together, if any were found: alternative against alternative,
/// so that their number does not multiply.
pub(super) fn together(a: &Region, b: &Region, signals: &Signals) -> Option<Vec<f64>> {
    let cond = Cond::All(Box::new(a.cond.clone()), Box::new(b.cond.clone()));
    let (Some(left), Some(right)) = (&a.terms, &b.terms) else {
        return witness(&Term { bounds: Vec::new(), rest: vec![cond.clone()] }, &cond, signals);
    };
    let can = |t: &Term| t.rest.iter().all(|c| may_hold(c, t, signals));
    let pairs = left.iter().flat_map(|x| right.iter().filter_map(|y| x.and(y))).filter(can);
    // What is sure comes first: boxes need no samples.
    let (boxes, others): (Vec<Term>, Vec<Term>) = pairs.partition(|t| t.rest.is_empty());
    boxes.iter().chain(others.iter().take(MOST)).find_map(|t| witness(t, &cond, signals))
}

fn alternatives(cond: &Cond, not: bool, signals: &Signals) -> Option<Vec<Term>> {
    let both = |a: Option<Vec<Term>>, b: Option<Vec<Term>>| -> Option<Vec<Term>> {
        let (a, b) = (a?, b?);
        if a.len() * b.len() > MOST {
            return None;
        }
        Some(a.iter().flat_map(|x| b.iter().filter_map(|y| x.and(y))).collect())
    };
    let either = |a: Option<Vec<Term>>, b: Option<Vec<Term>>| -> Option<Vec<Term>> {
        let (mut a, b) = (a?, b?);
        a.extend(b);
        (a.len() <= MOST).then_some(a)
    };
    let alt = |c: &Cond, n: bool| alternatives(c, n, signals);
    match cond {
        Cond::Const(b) => Some(if *b == not { Vec::new() } else { vec![Term::default()] }),
        Cond::Flag(slot) => {
            let v = if not { 0.0 } else { 1.0 };
            let bounds = vec![Bounds { slot: *slot, low: v, high: v, above: false, below: false }];
            Some(vec![Term { bounds, rest: Vec::new() }])
        }
        Cond::Not(inner) => alt(inner, !not),
        Cond::All(a, b) if !not => both(alt(a, false), alt(b, false)),
        Cond::Any(a, b) if not => both(alt(a, true), alt(b, true)),
        Cond::All(a, b) | Cond::Any(a, b) => either(alt(a, not), alt(b, not)),
        Cond::If(which, yes, no) => {
            either(both(alt(which, false), alt(yes, not)), both(alt(which, true), alt(no, not)))
        }
        Cond::Alike(same, a, b) => {
            let same = *same != not;
            either(both(alt(a, false), alt(b, !same)), both(alt(a, true), alt(b, same)))
        }
        // A number that hangs on a condition: one comparison for each way.
        Cond::Compare(order, Num::If(which, yes, no), b) => {
            let way = |x: &Num| Box::new(Cond::Compare(*order, x.clone(), b.clone()));
            alt(&Cond::If(which.clone(), way(yes), way(no)), not)
        }
        Cond::Compare(order, a, Num::If(which, yes, no)) => {
            let way = |x: &Num| Box::new(Cond::Compare(*order, a.clone(), x.clone()));
            alt(&Cond::If(which.clone(), way(yes), way(no)), not)
        }
        Cond::Compare(order, a, b) => {
            let order = if not { order.not() } else { *order };
            Some(compared(order, a, b, signals))
        }
    }
}

fn compared(order: Order, a: &Num, b: &Num, signals: &Signals) -> Vec<Term> {
    let (order, slot, value) = match (a, b) {
        // As written: no rounding moves the bound.
        (Num::Slot(slot), Num::Const(value)) => (order, *slot, *value),
        (Num::Const(value), Num::Slot(slot)) => (order.turned(), *slot, *value),
        _ => match Line::of(a).zip(Line::of(b)).and_then(|(a, b)| a.plus(b, -1.0)) {
            Some(Line { slot: None, offset, .. }) => {
                return if order.holds(offset, 0.0) { vec![Term::default()] } else { Vec::new() };
            }
            Some(Line { slot: Some(slot), times, offset }) if times.abs() > 0.0 => {
                (if times > 0.0 { order } else { order.turned() }, slot, -offset / times)
            }
            _ => {
                let rest = vec![Cond::Compare(order, a.clone(), b.clone())];
                return vec![Term { bounds: Vec::new(), rest }];
            }
        },
    };
    let Some(signal) = signals.list.get(usize::from(slot)) else { return Vec::new() };
    let whole = Bounds { slot, low: signal.low, high: signal.high, above: false, below: false };
    let within = |low: f64, high: f64, above: bool, below: bool| {
        let mut bounds = whole;
        bounds.with(&Bounds { slot, low, high, above, below });
        if signal.whole {
            bounds = bounds.whole();
        }
        (!bounds.is_empty()).then(|| Term { bounds: vec![bounds], rest: Vec::new() })
    };
    let (none, all) = (f64::NEG_INFINITY, f64::INFINITY);
    let less = || within(none, value, false, true);
    let more = || within(value, all, true, false);
    match order {
        Order::Less => less().into_iter().collect(),
        Order::AtMost => within(none, value, false, false).into_iter().collect(),
        Order::More => more().into_iter().collect(),
        Order::AtLeast => within(value, all, false, false).into_iter().collect(),
        Order::Same => within(value, value, false, false).into_iter().collect(),
        Order::Differs => less().into_iter().chain(more()).collect(),
    }
}

/// A number that is a straight line in one signal, or no signal at all.
#[derive(Clone, Copy)]
struct Line {
    slot: Option<u16>,
    times: f64,
    offset: f64,
}

impl Line {
    fn of(num: &Num) -> Option<Line> {
        match num {
            Num::Slot(slot) => Some(Line { slot: Some(*slot), times: 1.0, offset: 0.0 }),
            Num::Const(x) => Some(Line { slot: None, times: 0.0, offset: *x }),
            Num::Minus(inner) => Some(Line::of(inner)?.scaled(-1.0)),
            Num::Sum(sum, a, b) => {
                let (a, b) = (Line::of(a)?, Line::of(b)?);
                match (sum, a.slot, b.slot) {
                    (Sum::Add, ..) => a.plus(b, 1.0),
                    (Sum::Take, ..) => a.plus(b, -1.0),
                    (Sum::Times, _, None) => Some(a.scaled(b.offset)),
                    (Sum::Times, None, _) => Some(b.scaled(a.offset)),
                    (Sum::Over, _, None) if b.offset.abs() > 0.0 => Some(a.scaled(1.0 / b.offset)),
                    _ => None,
                }
            }
            Num::If(..) => None,
        }
    }

    fn scaled(self, by: f64) -> Line {
        Line { slot: self.slot, times: by * self.times, offset: by * self.offset }
    }

    /// With `sign` times another one; nothing where they are lines in two signals.
    fn plus(self, other: Line, sign: f64) -> Option<Line> {
        if let (Some(a), Some(b)) = (self.slot, other.slot)
            && a != b
        {
            return None;
        }
        Some(Line {
            slot: self.slot.or(other.slot),
            times: self.times + sign * other.times,
            offset: self.offset + sign * other.offset,
        })
    }
}

fn range(term: &Term, slot: u16, signals: &Signals) -> (f64, f64) {
    match term.bounds.binary_search_by_key(&slot, |b| b.slot) {
        Ok(at) => (term.bounds[at].low, term.bounds[at].high),
        Err(_) => signals
            .list
            .get(usize::from(slot))
            .map_or((f64::NEG_INFINITY, f64::INFINITY), |s| (s.low, s.high)),
    }
}

/// Interval of a number within a term; the whole line where nothing better is known.
fn interval(num: &Num, term: &Term, signals: &Signals) -> (f64, f64) {
    let whole = (f64::NEG_INFINITY, f64::INFINITY);
    let hull = |points: [f64; 4]| {
        if points.iter().any(|p| p.is_nan()) {
            return whole;
        }
        let fold = |f: fn(f64, f64) -> f64, start| points.into_iter().fold(start, f);
        (fold(f64::min, f64::INFINITY), fold(f64::max, f64::NEG_INFINITY))
    };
    match num {
        Num::Slot(slot) => range(term, *slot, signals),
        Num::Const(x) => (*x, *x),
        Num::Minus(inner) => {
            let (low, high) = interval(inner, term, signals);
            (-high, -low)
        }
        Num::Sum(sum, a, b) => {
            let ((al, ah), (bl, bh)) = (interval(a, term, signals), interval(b, term, signals));
            match sum {
                Sum::Add => (al + bl, ah + bh),
                Sum::Take => (al - bh, ah - bl),
                Sum::Over if bl <= 0.0 && bh >= 0.0 => whole,
                Sum::Times | Sum::Over => {
                    hull([sum.of(al, bl), sum.of(al, bh), sum.of(ah, bl), sum.of(ah, bh)])
                }
            }
        }
        Num::If(_, yes, no) => {
            let ((al, ah), (bl, bh)) = (interval(yes, term, signals), interval(no, term, signals));
            (al.min(bl), ah.max(bh))
        }
    }
}

#[expect(clippy::float_cmp, reason = "two points of one value are the same point")]
fn may_hold(cond: &Cond, term: &Term, signals: &Signals) -> bool {
    let Cond::Compare(order, a, b) = cond else { return true };
    let ((al, ah), (bl, bh)) = (interval(a, term, signals), interval(b, term, signals));
    match order {
        Order::Less => al < bh,
        Order::AtMost => al <= bh,
        Order::More => ah > bl,
        Order::AtLeast => ah >= bl,
        Order::Same => al <= bh && bl <= ah,
        Order::Differs => !(al == ah && bl == bh && al == bl),
    }
}

pub(super) fn value(num: &Num, signals: &[f64]) -> f64 {
    match num {
        Num::Slot(slot) => signals.get(usize::from(*slot)).copied().unwrap_or(f64::NAN),
        Num::Const(x) => *x,
        Num::Minus(inner) => -value(inner, signals),
        Num::Sum(sum, a, b) => sum.of(value(a, signals), value(b, signals)),
        Num::If(which, yes, no) => value(if holds(which, signals) { yes } else { no }, signals),
    }
}

/// The tree itself, for witnesses; programs are what runs.
pub(super) fn holds(cond: &Cond, signals: &[f64]) -> bool {
    match cond {
        Cond::Const(b) => *b,
        Cond::Flag(slot) => signals.get(usize::from(*slot)).is_some_and(|v| *v > 0.5),
        Cond::Not(inner) => !holds(inner, signals),
        Cond::All(a, b) => holds(a, signals) && holds(b, signals),
        Cond::Any(a, b) => holds(a, signals) || holds(b, signals),
        Cond::Compare(order, a, b) => order.holds(value(a, signals), value(b, signals)),
        Cond::If(which, yes, no) => holds(if holds(which, signals) { yes } else { no }, signals),
        Cond::Alike(same, a, b) => (holds(a, signals) == holds(b, signals)) == *same,
    }
}

fn slots_of_num(num: &Num, out: &mut Vec<u16>) {
    match num {
        Num::Slot(slot) => out.push(*slot),
        Num::Const(_) => {}
        Num::Minus(inner) => slots_of_num(inner, out),
        Num::Sum(_, a, b) => [a, b].into_iter().for_each(|n| slots_of_num(n, out)),
        Num::If(which, a, b) => {
            slots_of(which, out);
            [a, b].into_iter().for_each(|n| slots_of_num(n, out));
        }
    }
}

fn slots_of(cond: &Cond, out: &mut Vec<u16>) {
    match cond {
        Cond::Const(_) => {}
        Cond::Flag(slot) => out.push(*slot),
        Cond::Not(inner) => slots_of(inner, out),
        Cond::All(a, b) | Cond::Any(a, b) | Cond::Alike(_, a, b) => {
            [a, b].into_iter().for_each(|c| slots_of(c, out));
        }
        Cond::Compare(_, a, b) => [a, b].into_iter().for_each(|n| slots_of_num(n, out)),
        Cond::If(which, a, b) => [which, a, b].into_iter().for_each(|c| slots_of(c, out)),
    }
}

/// A value within the bounds: the usual one where it fits, else a little beyond the nearer end.
fn inside(b: &Bounds, signals: &Signals) -> f64 {
    let Some(signal) = signals.list.get(usize::from(b.slot)) else { return b.low };
    let fits = |x: f64| (x > b.low || (x >= b.low && !b.above)) && (x < b.high || (x <= b.high && !b.below));
    if fits(signal.usual) {
        return signal.usual;
    }
    let (near, far) = if signal.usual <= b.low { (b.low, b.high) } else { (b.high, b.low) };
    let counted = matches!(signal.kind, Kind::Flag | Kind::Measure(Q::Number));
    if counted {
        let whole = [near, near.ceil(), near.floor(), near.ceil() + 1.0, near.floor() - 1.0];
        if let Some(x) = whole.into_iter().find(|x| fits(*x)) {
            return x;
        }
    }
    let beyond = (0.25 * (near - signal.usual).abs()).max(0.01 * (signal.high - signal.low));
    let step = beyond.min(0.5 * (far - near).abs());
    near + step.copysign(far - near)
}

fn witness(term: &Term, cond: &Cond, signals: &Signals) -> Option<Vec<f64>> {
    let mut values = signals.usual();
    for b in &term.bounds {
        values[usize::from(b.slot)] = inside(b, signals);
    }
    if holds(cond, &values) {
        return Some(values);
    }
    let mut free = Vec::new();
    term.rest.iter().for_each(|c| slots_of(c, &mut free));
    free.sort_unstable();
    free.dedup();
    if free.is_empty() {
        return None;
    }
    // A congruential generator of its own: the same witness every time.
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut uniform = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for attempt in 0..TRIES {
        for slot in &free {
            let (low, high) = range(term, *slot, signals);
            let usual = signals.list[usize::from(*slot)].usual.clamp(low, high);
            // Near the usual value first, then anywhere.
            let reach = (attempt + 1) as f64 / TRIES as f64;
            let to = if uniform() < 0.5 { low } else { high };
            let x = usual + reach * uniform() * (to - usual);
            let flag = signals.list[usize::from(*slot)].kind == Kind::Flag;
            values[usize::from(*slot)] = if flag { x.round() } else { x };
        }
        if holds(cond, &values) {
            return Some(values);
        }
    }
    None
}
