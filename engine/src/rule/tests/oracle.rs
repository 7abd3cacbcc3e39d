//! 10 000 random expressions: the program says what a CEL interpreter says.

use super::super::lower;
use super::*;
use crate::doc::rules::Condition;
use crate::rng::Stream;
use crate::units::{self, Quantity as Q};
use cel::{Context, Program as Interpreted, Value};
use std::collections::{BTreeMap, HashMap};

/// Random texts of CEL: what rules read, and the same with quantities in SI, which needs no units.
struct Writer<'a> {
    signals: &'a Signals,
    below: &'a mut dyn FnMut(usize) -> usize,
}

type Pair = (String, String);

impl Writer<'_> {
    fn pick(&mut self, n: usize) -> usize {
        (self.below)(n)
    }

    fn of(&mut self, kind: Kind) -> String {
        let names: Vec<&str> =
            self.signals.list.iter().filter(|s| s.kind == kind).map(|s| s.name.as_str()).collect();
        names[self.pick(names.len())].to_owned()
    }

    /// A quantity written in one of its units.
    fn written(&mut self, q: Q, low: f64, high: f64) -> Pair {
        let units: Vec<_> = units::UNITS.iter().filter(|u| u.quantity == q).collect();
        let unit = units[self.pick(units.len())];
        let si = low + (high - low) * self.pick(1000) as f64 / 999.0;
        let text = format!("{:.3} {}", unit.from_si(si), unit.symbol);
        let si = units::parse(&text, q).unwrap().si;
        (format!("q(\"{}\")", text.replace('"', "\\\"")), format!("({si:?})"))
    }

    fn number(&mut self, q: Q, depth: usize) -> Pair {
        let slot = {
            let list: Vec<&Signal> =
                self.signals.list.iter().filter(|s| s.kind == Kind::Measure(q)).collect();
            (!list.is_empty()).then(|| list[(self.below)(list.len())].clone())
        };
        let choice = if depth == 0 { 0 } else { self.pick(8) };
        let plain = |s: String| (s.clone(), s);
        match choice {
            1 if q != Q::Temperature => {
                let (a, b) = (self.number(q, depth - 1), self.number(q, depth - 1));
                let op = ["+", "-"][self.pick(2)];
                (format!("({} {op} {})", a.0, b.0), format!("({} {op} {})", a.1, b.1))
            }
            1 => {
                let a = self.number(q, depth - 1);
                let b = self.written(Q::TemperatureDifference, -20.0, 20.0);
                let op = ["+", "-"][self.pick(2)];
                (format!("({} {op} {})", a.0, b.0), format!("({} {op} {})", a.1, b.1))
            }
            2 if q == Q::TemperatureDifference => {
                let (a, b) = (self.number(Q::Temperature, depth - 1), self.number(Q::Temperature, depth - 1));
                (format!("({} - {})", a.0, b.0), format!("({} - {})", a.1, b.1))
            }
            3 if q != Q::Temperature => {
                let (a, b) = (self.number(q, depth - 1), self.number(Q::Number, depth - 1));
                let op = ["*", "/"][self.pick(2)];
                (format!("({} {op} {})", a.0, b.0), format!("({} {op} {})", a.1, b.1))
            }
            4 => {
                let c = self.flag(depth - 1);
                let (a, b) = (self.number(q, depth - 1), self.number(q, depth - 1));
                (format!("({} ? {} : {})", c.0, a.0, b.0), format!("({} ? {} : {})", c.1, a.1, b.1))
            }
            5 if q != Q::Temperature => {
                let a = self.number(q, depth - 1);
                (format!("(-{})", a.0), format!("(-{})", a.1))
            }
            6 if q == Q::Number => {
                let (a, b) = (self.number(Q::Pressure, depth - 1), self.number(Q::Pressure, depth - 1));
                (format!("({} / {})", a.0, b.0), format!("({} / {})", a.1, b.1))
            }
            7 if q == Q::Number => plain(format!("{:.2}", self.pick(3000) as f64 / 100.0 - 3.0)),
            _ => match slot {
                Some(signal) => plain(signal.name),
                None => plain("1.5".to_owned()),
            },
        }
    }

    fn flag(&mut self, depth: usize) -> Pair {
        let plain = |s: String| (s.clone(), s);
        if depth == 0 {
            return match self.pick(8) {
                0 => plain(["true", "false"][self.pick(2)].to_owned()),
                _ => plain(self.of(Kind::Flag)),
            };
        }
        match self.pick(10) {
            0 | 1 => {
                let (a, b) = (self.flag(depth - 1), self.flag(depth - 1));
                (format!("({} && {})", a.0, b.0), format!("({} && {})", a.1, b.1))
            }
            2 => {
                let (a, b) = (self.flag(depth - 1), self.flag(depth - 1));
                (format!("{} || {}", a.0, b.0), format!("{} || {}", a.1, b.1))
            }
            3 => {
                let a = self.flag(depth - 1);
                (format!("!({})", a.0), format!("!({})", a.1))
            }
            4 => {
                let (c, a, b) = (self.flag(depth - 1), self.flag(depth - 1), self.flag(depth - 1));
                (
                    format!("(({}) ? ({}) : ({}))", c.0, a.0, b.0),
                    format!("(({}) ? ({}) : ({}))", c.1, a.1, b.1),
                )
            }
            5 => {
                let op = ["==", "!="][self.pick(2)];
                let (a, b) = (self.flag(depth - 1), self.flag(depth - 1));
                (format!("(({}) {op} ({}))", a.0, b.0), format!("(({}) {op} ({}))", a.1, b.1))
            }
            6 => {
                let op = ["<", "<=", ">", ">=", "==", "!="][self.pick(6)];
                let name = self.of(Kind::Measure(Q::Number));
                plain(format!("{name} {op} {}", self.pick(26)))
            }
            7 => plain(format!(
                "{} in [{}, {}, {}.0]",
                self.of(Kind::Measure(Q::Number)),
                self.pick(4),
                self.pick(9),
                self.pick(13)
            )),
            _ => {
                let kinds = [
                    Q::Temperature,
                    Q::GasFraction,
                    Q::HumidityRatio,
                    Q::AirFlow,
                    Q::Pressure,
                    Q::Number,
                    Q::TemperatureDifference,
                    Q::Fraction,
                    Q::Time,
                ];
                let q = kinds[self.pick(kinds.len())];
                let op = ["<", "<=", ">", ">="][self.pick(4)];
                let a = self.number(q, depth - 1);
                let ranged: Option<(f64, f64)> =
                    self.signals.list.iter().find(|s| s.kind == Kind::Measure(q)).map(|s| (s.low, s.high));
                let b = match ranged {
                    Some((low, high)) if q != Q::Number && self.pick(2) == 0 => self.written(q, low, high),
                    _ => self.number(q, depth - 1),
                };
                (format!("{} {op} {}", a.0, b.0), format!("{} {op} {}", a.1, b.1))
            }
        }
    }
}

fn context<'a>(signals: &Signals, values: &[f64]) -> Context<'a, 'a> {
    let mut places: BTreeMap<String, HashMap<String, Value>> = BTreeMap::new();
    for (signal, value) in signals.list.iter().zip(values) {
        let (place, field) = signal.name.split_once('.').unwrap();
        let value = if signal.kind == Kind::Flag { Value::Bool(*value > 0.5) } else { Value::Float(*value) };
        places.entry(place.to_owned()).or_default().insert(field.to_owned(), value);
    }
    let mut context = Context::default();
    for (place, fields) in places {
        context.add_variable_from_value(place, fields);
    }
    context
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= x < n")]
fn one_of(stream: &mut Stream, n: usize) -> usize {
    (stream.uniform() * n as f64) as usize
}

#[test]
fn ten_thousand_expressions_mean_what_cel_says() {
    let house = a_house();
    let signals = Signals::of_house(&house, &[]);
    let mut stream = Stream::new(17, "rules-oracle");
    let mut below = move |n: usize| one_of(&mut stream, n);
    let (mut compared, mut held, mut refused) = (0, 0, 0);
    let mut longest = 0;
    for case in 0..10_000 {
        let depth = 1 + case % 5;
        let (text, plain) = Writer { signals: &signals, below: &mut below }.flag(depth);
        let sink = Sink::default();
        let condition = Condition { text: text.clone(), span: Span::new("r", 0..0), inside: None };
        let cond = lower::read(&condition, &signals, &sink)
            .unwrap_or_else(|| panic!("{text}\n{:?}", sink.borrow().list));
        let Some(program) = lower::program(&cond) else {
            refused += 1;
            continue;
        };
        longest = longest.max(program.ops.len());
        let oracle = Interpreted::compile(&plain).unwrap();
        let values: Vec<f64> = signals
            .list
            .iter()
            .map(|s| {
                let part = below(1001) as f64 / 1000.0;
                let whole = s.kind == Kind::Flag || (s.kind == Kind::Measure(Q::Number) && below(2) == 0);
                let x = s.low + part * (s.high - s.low);
                if whole { x.round() } else { x }
            })
            .collect();
        match oracle.execute(&context(&signals, &values)) {
            Ok(Value::Bool(said)) => {
                assert_eq!(program.holds(&values), said, "{text}");
                assert_eq!(region::holds(&cond, &values), said, "{text}");
                compared += 1;
                held += usize::from(said);
            }
            // A number that is none: 0/0. CEL refuses to order it; here nothing but `!=` holds.
            Err(_) => refused += 1,
            Ok(other) => panic!("{text}: {other:?}"),
        }
    }
    assert!(compared > 9_700 && held > 2000 && held < 8000, "{compared} {held} {refused}");
    assert!(longest > 60, "{longest}");
}

#[test]
fn no_text_makes_the_reader_panic() {
    let signals = Signals::of_house(&a_house(), &[]);
    let pieces = [
        "main", ".", "co2", " > ", "q(", "\"", "5 degF", ")", "&&", "(", "1", "!", "?", ":", "[", "]", "{",
        "in", "'", "\u{b0}", "\\", "has(", ".all(x, ", "-", "é",
    ];
    let mut stream = Stream::new(3, "rules-garbage");
    for _ in 0..2000 {
        let n = one_of(&mut stream, 9);
        let text: String = (0..n).map(|_| pieces[one_of(&mut stream, pieces.len())]).collect();
        let sink = Sink::default();
        let condition = Condition { text: text.clone(), span: Span::new("r", 0..1), inside: Some(0) };
        let read = lower::read(&condition, &signals, &sink);
        assert!(read.is_some() || sink.borrow().has_errors(), "{text}");
    }
}
