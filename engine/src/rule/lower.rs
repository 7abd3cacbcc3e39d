//! From the text of a condition to a checked tree, and from the tree to a program.
//!
//! The text is read by the crate `cel`; the tree that comes out is checked here: names against the
//! signals, quantities against each other. What a rule may use of CEL is small: comparisons, `&&`,
//! `||`, `!`, `?:`, `+ - * /` of doubles, `in` with a list of numbers, and `q("...")`, the one
//! function, which turns a written quantity into SI. Whole numbers stand in comparisons only,
//! because CEL divides them otherwise than doubles.

use super::program::{DEEPEST, LONGEST, Op, Order, Program, Sum};
use super::signal::{Kind, Signals};
use crate::diag::{Diagnostic, Span, code};
use crate::doc::Sink;
use crate::doc::read::{quantity_key, unit_diagnostic};
use crate::doc::rules::Condition;
use crate::text::closest;
use crate::units::{self, Quantity as Q};
use cel::IdedExpr;
use cel::common::ast::{CallExpr, Expr, LiteralValue, SourceInfo, operators as ops};
use cel::parser::Parser;
use std::ops::Range;

/// A number in a condition, SI.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Num {
    Slot(u16),
    Const(f64),
    Minus(Box<Num>),
    Sum(Sum, Box<Num>, Box<Num>),
    If(Box<Cond>, Box<Num>, Box<Num>),
}

/// A condition, checked.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cond {
    Const(bool),
    Flag(u16),
    Not(Box<Cond>),
    All(Box<Cond>, Box<Cond>),
    Any(Box<Cond>, Box<Cond>),
    Compare(Order, Num, Num),
    If(Box<Cond>, Box<Cond>, Box<Cond>),
    /// Whether two flags are the same (true) or differ.
    Alike(bool, Box<Cond>, Box<Cond>),
}

/// What a number measures.
#[derive(Clone, Debug, PartialEq)]
enum Is {
    /// A literal without a point: a count.
    Whole,
    Of(Q),
    /// Written with a unit; what it measures follows from what it meets.
    Written(String, Range<usize>),
}

enum Value {
    Flag(Cond),
    Number(Num, Is),
}

struct Reader<'a> {
    condition: &'a Condition,
    signals: &'a Signals,
    info: SourceInfo,
    sink: &'a Sink,
}

/// Reads and checks a condition; what is wrong goes to the sink.
pub(super) fn read(condition: &Condition, signals: &Signals, sink: &Sink) -> Option<Cond> {
    match Parser::new().max_recursion_depth(64).parse_with_source_info(&condition.text) {
        Ok((tree, info)) => {
            let reader = Reader { condition, signals, info, sink };
            match reader.value(&tree)? {
                Value::Flag(cond) => Some(cond),
                Value::Number(..) => reader.say(code::R105, &tree, |d| d),
            }
        }
        Err(errors) => {
            for error in errors.errors.iter().take(3) {
                let (line, column) = error.pos;
                let line = usize::try_from(line).unwrap_or(1).max(1);
                let before: usize = condition.text.split_inclusive('\n').take(line - 1).map(str::len).sum();
                let rest = condition.text.get(before..).unwrap_or("");
                let chars = usize::try_from(column).unwrap_or(1).saturating_sub(1);
                let start = before + rest.char_indices().nth(chars).map_or(rest.len(), |(at, _)| at);
                let next = rest.chars().nth(chars).map_or(1, char::len_utf8);
                let place = condition.place(start..start + next);
                let detail = error.msg.trim().replace('\n', " ");
                sink.borrow_mut().push(Diagnostic::error(code::R101).at(place).arg("detail", detail));
            }
            None
        }
    }
}

impl Reader<'_> {
    /// Bytes of the text that an expression takes.
    fn extent(&self, e: &IdedExpr) -> Range<usize> {
        // Offsets are bytes; the end is the first byte of the last character.
        let text = self.condition.text.as_str();
        let end = |from: usize| (from + 1..=text.len()).find(|at| text.is_char_boundary(*at));
        let own = self.info.offset_for(e.id).and_then(|(start, stop)| {
            let (start, stop) = (start as usize, (stop as usize).max(start as usize));
            text.is_char_boundary(start).then(|| start..end(stop).unwrap_or(text.len()))
        });
        let mut range = own.unwrap_or(0..0);
        let mut join = |inner: Range<usize>| {
            if range.is_empty() {
                range = inner;
            } else if !inner.is_empty() {
                range = range.start.min(inner.start)..range.end.max(inner.end);
            }
        };
        match &e.expr {
            Expr::Call(call) => {
                call.target.iter().for_each(|t| join(self.extent(t)));
                call.args.iter().for_each(|a| join(self.extent(a)));
            }
            Expr::Select(select) => {
                join(self.extent(&select.operand));
                // The place is the point's; the field follows it.
                range.end = (range.end + select.field.len()).min(text.len());
            }
            _ => {}
        }
        range
    }

    fn place(&self, e: &IdedExpr) -> Span {
        self.condition.place(self.extent(e))
    }

    fn say<T>(
        &self,
        code: crate::diag::Code,
        e: &IdedExpr,
        with: impl Fn(Diagnostic) -> Diagnostic,
    ) -> Option<T> {
        self.sink.borrow_mut().push(with(Diagnostic::error(code).at(self.place(e))));
        None
    }

    fn refuse<T>(&self, e: &IdedExpr, what: &str) -> Option<T> {
        self.say(code::R104, e, |d| d.arg("what", what))
    }

    fn value(&self, e: &IdedExpr) -> Option<Value> {
        match &e.expr {
            Expr::Literal(literal) => match literal {
                LiteralValue::Boolean(b) => Some(Value::Flag(Cond::Const(*b.inner()))),
                LiteralValue::Double(x) => Some(Value::Number(Num::Const(*x.inner()), Is::Of(Q::Number))),
                LiteralValue::Int(i) => Some(Value::Number(Num::Const(*i.inner() as f64), Is::Whole)),
                LiteralValue::UInt(_) => self.refuse(e, "uint"),
                LiteralValue::String(_) | LiteralValue::Bytes(_) => self.refuse(e, "string"),
                LiteralValue::Null => self.refuse(e, "null"),
            },
            Expr::Ident(_) | Expr::Select(_) => self.signal(e),
            Expr::Call(call) => self.call(e, call),
            Expr::List(_) => self.refuse(e, "list"),
            Expr::Map(_) => self.refuse(e, "map"),
            Expr::Struct(_) => self.refuse(e, "struct"),
            Expr::Comprehension(_) => self.refuse(e, "macro"),
            Expr::Unspecified => self.refuse(e, "nothing"),
        }
    }

    fn name(e: &IdedExpr) -> Option<String> {
        match &e.expr {
            Expr::Ident(name) => Some(name.clone()),
            Expr::Select(select) if !select.test => {
                Some(format!("{}.{}", Self::name(&select.operand)?, select.field))
            }
            _ => None,
        }
    }

    fn signal(&self, e: &IdedExpr) -> Option<Value> {
        let Some(name) = Self::name(e) else { return self.refuse(e, "has") };
        let Some(slot) = self.signals.slot(&name) else {
            let names = || self.signals.list.iter().map(|s| s.name.as_str());
            let root = name.split('.').next().unwrap_or("");
            let same = |n: &&str| n.strip_prefix(root).is_some_and(|rest| rest.starts_with('.'));
            let near = closest(&name, names()).or_else(|| {
                // A right field of a wrong place, or a name without its place.
                let field = name.rsplit('.').next().unwrap_or("");
                names().find(|n| n.rsplit('.').next() == Some(field))
            });
            let mut known: Vec<&str> = names().filter(same).collect();
            if known.is_empty() {
                known = names().filter_map(|n| n.split('.').next()).collect();
                known.dedup();
            }
            let known = known.join(", ");
            return self.say(code::R102, e, |d| {
                d.arg("name", name.as_str()).arg("near", near.unwrap_or("")).arg("known", known.as_str())
            });
        };
        let Ok(at) = u16::try_from(slot) else { return self.refuse(e, "nothing") };
        Some(match self.signals.list[slot].kind {
            Kind::Flag => Value::Flag(Cond::Flag(at)),
            Kind::Measure(q) => Value::Number(Num::Slot(at), Is::Of(q)),
        })
    }

    fn flag(&self, e: &IdedExpr) -> Option<Cond> {
        match self.value(e)? {
            Value::Flag(cond) => Some(cond),
            Value::Number(..) => self.say(code::R105, e, |d| d),
        }
    }

    fn number(&self, e: &IdedExpr) -> Option<(Num, Is)> {
        match self.value(e)? {
            Value::Number(num, is) => Some((num, is)),
            Value::Flag(_) => self.say(code::R106, e, |d| d),
        }
    }

    fn call(&self, e: &IdedExpr, call: &CallExpr) -> Option<Value> {
        let order = match call.func_name.as_str() {
            ops::LESS => Some(Order::Less),
            ops::LESS_EQUALS => Some(Order::AtMost),
            ops::GREATER => Some(Order::More),
            ops::GREATER_EQUALS => Some(Order::AtLeast),
            ops::EQUALS => Some(Order::Same),
            ops::NOT_EQUALS => Some(Order::Differs),
            _ => None,
        };
        let sum = match call.func_name.as_str() {
            ops::ADD => Some(Sum::Add),
            ops::SUBSTRACT => Some(Sum::Take),
            ops::MULTIPLY => Some(Sum::Times),
            ops::DIVIDE => Some(Sum::Over),
            _ => None,
        };
        match (call.func_name.as_str(), call.args.as_slice()) {
            (ops::LOGICAL_AND | ops::LOGICAL_OR, [a, b]) => {
                // Both sides are read, so that both are spoken of.
                let (left, right) = (self.flag(a), self.flag(b));
                let (left, right) = (Box::new(left?), Box::new(right?));
                let and = call.func_name == ops::LOGICAL_AND;
                Some(Value::Flag(if and { Cond::All(left, right) } else { Cond::Any(left, right) }))
            }
            (ops::LOGICAL_NOT, [a]) => Some(Value::Flag(Cond::Not(Box::new(self.flag(a)?)))),
            (ops::NEGATE, [a]) => match self.number(a)? {
                (Num::Const(x), Is::Whole) => Some(Value::Number(Num::Const(-x), Is::Whole)),
                (num, Is::Of(q)) if q != Q::Temperature => {
                    Some(Value::Number(Num::Minus(Box::new(num)), Is::Of(q)))
                }
                _ => self.refuse(e, "minus"),
            },
            (ops::CONDITIONAL, [which, a, b]) => self.choice(e, which, a, b),
            (ops::IN, [a, list]) => self.within(e, a, list),
            ("q", [text]) if call.target.is_none() => self.written(text),
            (_, [a, b]) if order.is_some() => self.compare(order?, e, a, b),
            (_, [a, b]) if sum.is_some() => self.sum(sum?, e, a, b),
            _ => self.refuse(e, call.func_name.trim_matches(['_', '@'])),
        }
    }

    fn written(&self, text: &IdedExpr) -> Option<Value> {
        match &text.expr {
            Expr::Literal(LiteralValue::String(s)) => {
                let is = Is::Written(s.inner().to_owned(), self.extent(text));
                Some(Value::Number(Num::Const(0.0), is))
            }
            _ => self.refuse(text, "q"),
        }
    }

    /// A written quantity read as `q`.
    fn resolve(&self, text: &str, range: Range<usize>, q: Q) -> Option<Num> {
        match units::parse(text, q) {
            Ok(written) => Some(Num::Const(written.si)),
            Err(error) => {
                let place = self.condition.place(range);
                self.sink.borrow_mut().push(unit_diagnostic(error, q, text).at(place));
                None
            }
        }
    }

    fn misfit<T>(&self, e: &IdedExpr, a: Q, b: Q) -> Option<T> {
        self.say(code::R103, e, |d| d.arg("left", quantity_key(a)).arg("right", quantity_key(b)))
    }

    fn bare<T>(&self, e: &IdedExpr, q: Q) -> Option<T> {
        let wanted = q.likely_units().join(", ");
        self.say(code::R107, e, |d| d.arg("wanted", quantity_key(q)).arg("wanted_units", wanted.as_str()))
    }

    /// Two numbers as one quantity, for a comparison or a choice.
    fn alike(&self, e: &IdedExpr, a: &IdedExpr, b: &IdedExpr) -> Option<(Num, Num, Q)> {
        let (left, right) = (self.number(a), self.number(b));
        let ((left, l), (right, r)) = (left?, right?);
        match (l, r) {
            (Is::Of(l), Is::Of(r)) if l == r => Some((left, right, l)),
            (Is::Whole, Is::Whole) => Some((left, right, Q::Number)),
            (Is::Of(Q::Number), Is::Whole) | (Is::Whole, Is::Of(Q::Number)) => Some((left, right, Q::Number)),
            (Is::Of(q), Is::Whole) => self.bare(b, q),
            (Is::Whole, Is::Of(q)) => self.bare(a, q),
            (Is::Of(q), Is::Of(Q::Number)) if matches!(right, Num::Const(_)) => self.bare(b, q),
            (Is::Of(Q::Number), Is::Of(q)) if matches!(left, Num::Const(_)) => self.bare(a, q),
            (Is::Of(l), Is::Of(r)) => self.misfit(e, l, r),
            (Is::Of(q), Is::Written(text, range)) => Some((left, self.resolve(&text, range, q)?, q)),
            (Is::Written(text, range), Is::Of(q)) => Some((self.resolve(&text, range, q)?, right, q)),
            _ => self.say(code::R108, e, |d| d),
        }
    }

    fn compare(&self, order: Order, e: &IdedExpr, a: &IdedExpr, b: &IdedExpr) -> Option<Value> {
        let equal = matches!(order, Order::Same | Order::Differs);
        if equal
            && let (Some(Value::Flag(left)), Value::Flag(right)) = (self.value_quietly(a), self.value(b)?)
        {
            let same = order == Order::Same;
            return Some(Value::Flag(Cond::Alike(same, Box::new(left), Box::new(right))));
        }
        let (left, right, q) = self.alike(e, a, b)?;
        if equal && q != Q::Number {
            return self.say(code::R109, e, |d| d.arg("quantity", quantity_key(q)));
        }
        Some(Value::Flag(Cond::Compare(order, left, right)))
    }

    /// The value where it is one, without a word.
    fn value_quietly(&self, e: &IdedExpr) -> Option<Value> {
        let quiet = Sink::default();
        // The places of the text are of no use here.
        Reader { condition: self.condition, signals: self.signals, info: SourceInfo::default(), sink: &quiet }
            .value(e)
    }

    fn choice(&self, e: &IdedExpr, which: &IdedExpr, a: &IdedExpr, b: &IdedExpr) -> Option<Value> {
        let which = self.flag(which);
        if let Some(Value::Flag(yes)) = self.value_quietly(a) {
            let no = self.flag(b);
            return Some(Value::Flag(Cond::If(Box::new(which?), Box::new(yes), Box::new(no?))));
        }
        let (yes, no, q) = self.alike(e, a, b)?;
        Some(Value::Number(Num::If(Box::new(which?), Box::new(yes), Box::new(no)), Is::Of(q)))
    }

    fn within(&self, e: &IdedExpr, a: &IdedExpr, list: &IdedExpr) -> Option<Value> {
        let (num, is) = self.number(a)?;
        let Expr::List(list) = &list.expr else { return self.refuse(e, "in") };
        if is != Is::Of(Q::Number) {
            return self.refuse(e, "in");
        }
        let mut any: Option<Cond> = None;
        for element in &list.elements {
            let value = match self.number(element)? {
                (value @ Num::Const(_), Is::Whole | Is::Of(Q::Number)) => value,
                _ => return self.refuse(element, "in"),
            };
            let one = Cond::Compare(Order::Same, num.clone(), value);
            any = Some(match any {
                None => one,
                Some(before) => Cond::Any(Box::new(before), Box::new(one)),
            });
        }
        Some(Value::Flag(any.unwrap_or(Cond::Const(false))))
    }

    fn sum(&self, sum: Sum, e: &IdedExpr, a: &IdedExpr, b: &IdedExpr) -> Option<Value> {
        let (left, right) = (self.number(a), self.number(b));
        let ((left, l), (right, r)) = (left?, right?);
        if l == Is::Whole {
            return self.say(code::R110, a, |d| d);
        }
        if r == Is::Whole {
            return self.say(code::R110, b, |d| d);
        }
        let plain = |q: Q| matches!(q, Q::Number | Q::Fraction);
        // A quantity beside a temperature in a sum is a difference.
        let beside = |q: Q| if q == Q::Temperature { Q::TemperatureDifference } else { q };
        let (left, right, q) = match (sum, l, r) {
            (Sum::Add | Sum::Take, Is::Of(q), Is::Written(text, range)) => {
                (left, self.resolve(&text, range, beside(q))?, q)
            }
            (Sum::Add, Is::Written(text, range), Is::Of(q)) => {
                (self.resolve(&text, range, beside(q))?, right, q)
            }
            (Sum::Take, Is::Written(text, range), Is::Of(q)) => {
                (self.resolve(&text, range, q)?, right, beside(q))
            }
            (Sum::Take, Is::Of(Q::Temperature), Is::Of(Q::Temperature)) => {
                (left, right, Q::TemperatureDifference)
            }
            (Sum::Add | Sum::Take, Is::Of(Q::Temperature), Is::Of(Q::TemperatureDifference))
            | (Sum::Add, Is::Of(Q::TemperatureDifference), Is::Of(Q::Temperature)) => {
                (left, right, Q::Temperature)
            }
            (Sum::Add | Sum::Take, Is::Of(l), Is::Of(r)) if l == r && l != Q::Temperature => (left, right, l),
            (Sum::Over, Is::Of(l), Is::Of(r)) if l == r && l != Q::Temperature => (left, right, Q::Number),
            // A share of a number is a share; of anything else it is of that kind.
            (Sum::Times, Is::Of(l), Is::Of(r)) if plain(l) && r != Q::Number && r != Q::Temperature => {
                (left, right, r)
            }
            (Sum::Times | Sum::Over, Is::Of(l), Is::Of(r)) if plain(r) && l != Q::Temperature => {
                (left, right, l)
            }
            (Sum::Over, Is::Of(q), Is::Written(text, range)) if q != Q::Temperature => {
                (left, self.resolve(&text, range, q)?, Q::Number)
            }
            (_, Is::Of(l), Is::Of(r)) => return self.misfit(e, l, r),
            _ => return self.say(code::R108, e, |d| d),
        };
        Some(Value::Number(Num::Sum(sum, Box::new(left), Box::new(right)), Is::Of(q)))
    }
}

/// Reads a condition over any list of signals into a program; what is wrong goes to the sink.
pub fn condition(condition: &Condition, signals: &Signals, sink: &Sink) -> Option<Program> {
    let made = program(&read(condition, signals, sink)?);
    if made.is_none() {
        let said = Diagnostic::error(code::R124).at(condition.span.clone());
        sink.borrow_mut().push(said.arg("rule", condition.text.as_str()));
    }
    made
}

/// Makes a program of a tree; nothing where it is too deep or too long.
pub(super) fn program(cond: &Cond) -> Option<Program> {
    let mut out = Emit { ops: Vec::new(), depth: 0, deepest: 0 };
    out.cond(cond);
    (out.deepest <= DEEPEST && out.ops.len() <= LONGEST).then_some(Program { ops: out.ops })
}

struct Emit {
    ops: Vec<Op>,
    depth: usize,
    deepest: usize,
}

impl Emit {
    fn pushes(&mut self, op: Op) {
        self.ops.push(op);
        self.depth += 1;
        self.deepest = self.deepest.max(self.depth);
    }

    fn joins(&mut self, op: Op) {
        self.ops.push(op);
        self.depth -= 1;
    }

    fn here(&self) -> u16 {
        // Longer programs are refused.
        u16::try_from(self.ops.len()).unwrap_or(u16::MAX)
    }

    /// Writes the jump that was left open at `at`.
    fn land(&mut self, at: usize) {
        let here = self.here();
        if let Some(Op::AndElse(to) | Op::OrElse(to) | Op::Unless(to) | Op::Jump(to)) = self.ops.get_mut(at) {
            *to = here;
        }
    }

    fn if_else(&mut self, which: &Cond, yes: impl FnOnce(&mut Self), no: impl FnOnce(&mut Self)) {
        self.cond(which);
        let unless = self.ops.len();
        self.joins(Op::Unless(0));
        yes(self);
        let jump = self.ops.len();
        // Only one of the two sides is there afterwards.
        self.joins(Op::Jump(0));
        self.land(unless);
        no(self);
        self.land(jump);
    }

    fn cond(&mut self, cond: &Cond) {
        match cond {
            Cond::Const(b) => self.pushes(Op::Const(f64::from(u8::from(*b)))),
            Cond::Flag(slot) => self.pushes(Op::Slot(*slot)),
            Cond::Not(inner) => {
                self.cond(inner);
                self.ops.push(Op::Not);
            }
            Cond::All(a, b) | Cond::Any(a, b) => {
                self.cond(a);
                let at = self.ops.len();
                let and = matches!(cond, Cond::All(..));
                self.joins(if and { Op::AndElse(0) } else { Op::OrElse(0) });
                self.cond(b);
                self.land(at);
            }
            Cond::Compare(order, Num::Slot(slot), Num::Const(value)) => {
                self.pushes(Op::SlotConst(*order, *slot, *value));
            }
            Cond::Compare(order, Num::Const(value), Num::Slot(slot)) => {
                self.pushes(Op::SlotConst(order.turned(), *slot, *value));
            }
            Cond::Compare(order, a, b) => {
                self.num(a);
                self.num(b);
                self.joins(Op::Compare(*order));
            }
            Cond::If(which, yes, no) => self.if_else(which, |s| s.cond(yes), |s| s.cond(no)),
            Cond::Alike(same, a, b) => {
                self.cond(a);
                self.cond(b);
                self.joins(Op::Compare(if *same { Order::Same } else { Order::Differs }));
            }
        }
    }

    fn num(&mut self, num: &Num) {
        match num {
            Num::Slot(slot) => self.pushes(Op::Slot(*slot)),
            Num::Const(value) => self.pushes(Op::Const(*value)),
            Num::Minus(inner) => {
                self.num(inner);
                self.ops.push(Op::Minus);
            }
            Num::Sum(sum, a, b) => {
                self.num(a);
                self.num(b);
                self.joins(Op::Sum(*sum));
            }
            Num::If(which, yes, no) => self.if_else(which, |s| s.num(yes), |s| s.num(no)),
        }
    }
}
