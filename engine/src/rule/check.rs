//! Documents of rules to a [`Set`]: names resolved, conditions lowered, contradictions found.

use super::lower::{self, Cond};
use super::region::{self, Region};
use super::signal::Signals;
use super::{Rule, Set};
use crate::diag::{Diagnostic, code};
use crate::doc::Sink;
use crate::doc::house::House;
use crate::doc::rules::{Does, Rule as Written, Rules};
use crate::text::closest;
use crate::units::Quantity as Q;

/// Puts the rules of a house together; what is wrong goes to the sink, and rules that cannot run
/// are left out.
pub fn compile(written: &Rules, house: &House, signals: Signals, sink: &Sink) -> Set {
    let mut rules: Vec<Rule> = Vec::new();
    for one in &written.rules {
        if let Some(first) = rules.iter().find(|r| r.name == one.name.value) {
            sink.borrow_mut().push(
                Diagnostic::error(code::R125)
                    .at(one.name.span.clone())
                    .at(first.span.clone())
                    .arg("rule", one.name.value.as_str()),
            );
            continue;
        }
        rules.extend(rule(one, &signals, sink));
    }
    rules.sort_by_key(|r| std::cmp::Reverse(r.priority));
    if written.exposure.is_none()
        && let Some(owes) = rules.iter().find(|r| r.debt)
    {
        sink.borrow_mut()
            .push(Diagnostic::error(code::R116).at(owes.span.clone()).arg("rule", owes.name.as_str()));
    }
    for (at, a) in rules.iter().enumerate() {
        for b in rules.iter().skip(at + 1) {
            fights(a, b, &signals, sink);
        }
    }
    let lived = house.zones.iter().filter(|z| z.kind.is_indoors());
    let volume = |z: &crate::doc::house::Zone| {
        let box_m3 = z.floor_area_m2.map_or(0.0, |a| a * (z.ceiling_m - z.floor_m));
        z.volume_m3.unwrap_or(box_m3)
    };
    Set {
        volume_m3: lived.map(volume).sum(),
        signals,
        rules,
        exposure: written.exposure.as_ref().map(|e| e.value),
    }
}

fn rule(one: &Written, signals: &Signals, sink: &Sink) -> Option<Rule> {
    let say = |d: Diagnostic| sink.borrow_mut().push(d.arg("rule", one.name.value.as_str()));
    let device = signals.device(&one.device.value);
    match device.map(|d| &signals.devices[d]) {
        None => {
            let names = || signals.devices.iter().map(|d| d.name.as_str());
            let near = closest(&one.device.value, names()).unwrap_or("");
            say(Diagnostic::error(code::R111)
                .at(one.device.span.clone())
                .arg("name", one.device.value.as_str())
                .arg("near", near)
                .arg("known", names().collect::<Vec<_>>().join(", ")));
        }
        Some(d) if d.safety_exhaust => {
            say(Diagnostic::error(code::R123)
                .at(one.device.span.clone())
                .arg("device", one.device.value.as_str()));
        }
        Some(_) => {}
    }
    let on = lower::read(&one.on_when, signals, sink);
    // An `off_when` that cannot be read leaves no rule that could run.
    let off = match &one.off_when {
        None => Some(None),
        Some(text) => lower::read(text, signals, sink).map(Some),
    };
    let (on, off) = (on?, off?);
    let program = |cond: &Cond, span: &crate::diag::Span| {
        let made = lower::program(cond);
        if made.is_none() {
            say(Diagnostic::error(code::R124).at(span.clone()));
        }
        made
    };
    let on_when = program(&on, &one.on_when.span);
    let off_when = match (&off, &one.off_when) {
        (Some(cond), Some(text)) => program(cond, &text.span).map(Some),
        _ => Some(None),
    };
    let (on_when, off_when) = (on_when?, off_when?);
    let region = Region::of(&on, signals);
    let off_region = off.as_ref().map(|c| Region::of(c, signals));
    let sound = acts(one, &on, &region, off_region.as_ref(), signals, &say);
    let mut slots = on_when.slots();
    slots.extend(off_when.iter().flat_map(|p| p.slots()));
    slots.sort_unstable();
    slots.dedup();
    if let Does::LockOut { floor } = one.does {
        if slots.iter().any(|s| signals.list[usize::from(*s)].name == "outdoor.rh") {
            say(Diagnostic::error(code::R114).at(one.on_when.span.clone()));
        }
        if floor <= 0.0 {
            let most = one.most_on_s.as_ref().map_or(86_400.0, |m| m.value);
            say(Diagnostic::warning(code::R115).at(one.name.span.clone()).arg("most", (most, Q::Time)));
        }
    }
    let device = device.filter(|d| sound && !signals.devices[*d].safety_exhaust)?;
    Some(Rule {
        name: one.name.value.clone(),
        label: one.label.clone(),
        device,
        does: one.does,
        on_when,
        off_when,
        text: (one.on_when.clone(), one.off_when.clone()),
        region: (region, off_region),
        slots,
        min_on_s: one.min_on_s,
        min_off_s: one.min_off_s,
        most_on_s: one.most_on_s.as_ref().map_or(f64::INFINITY, |m| m.value),
        priority: one.priority,
        if_lost: one.if_lost,
        debt: one.debt,
        span: one.name.span.clone(),
    })
}

fn not(cond: &Cond) -> Cond {
    Cond::Not(Box::new(cond.clone()))
}

fn both(a: &Cond, b: &Cond) -> Cond {
    Cond::All(Box::new(a.clone()), Box::new(b.clone()))
}

/// Names and values of the signals that two conditions read, under a witness.
fn example(cond: &Cond, signals: &Signals, witness: &[f64]) -> String {
    let Some(program) = lower::program(cond) else { return String::new() };
    let one = |slot: &u16| {
        let at = usize::from(*slot);
        let signal = &signals.list[at];
        let value = witness.get(at).copied().unwrap_or(f64::NAN);
        match signal.kind {
            super::Kind::Flag => format!("{} = {}", signal.name, value > 0.5),
            super::Kind::Measure(q) => {
                let unit = q.display_unit(crate::units::System::Si);
                let shown = crate::text::digits(unit.from_si(value), 4);
                let unit = if unit.symbol == "1" { String::new() } else { format!(" {}", unit.symbol) };
                format!("{} = {shown}{unit}", signal.name)
            }
        }
    };
    program.slots().iter().map(one).collect::<Vec<_>>().join(", ")
}

/// Whether a rule's conditions can act at all.
fn acts(
    one: &Written,
    on: &Cond,
    region: &Region,
    off: Option<&Region>,
    signals: &Signals,
    say: &impl Fn(Diagnostic),
) -> bool {
    if region.is_never() {
        say(Diagnostic::error(code::R117).at(one.on_when.span.clone()));
        return false;
    }
    if *on != Cond::Const(true) && Region::of(&not(on), signals).is_never() {
        say(Diagnostic::warning(code::R118).at(one.on_when.span.clone()));
    }
    let (Some(off), Some(text)) = (off, &one.off_when) else { return true };
    if off.is_never() {
        say(Diagnostic::warning(code::R119).at(text.span.clone()));
    }
    // What ends a rule is stronger than what starts it.
    if Region::of(&both(on, &not(off.cond())), signals).is_never() {
        say(Diagnostic::error(code::R117).at(one.on_when.span.clone()).at(text.span.clone()));
        return false;
    }
    let together = both(on, off.cond());
    if let Some(witness) = region::together(region, off, signals) {
        say(Diagnostic::warning(code::R120)
            .at(text.span.clone())
            .at(one.on_when.span.clone())
            .arg("example", example(&together, signals, &witness)));
    }
    true
}

/// Where a rule may be on: where it starts, and where it has not ended.
pub(super) fn may_be_on(rule: &Rule) -> Cond {
    let on = rule.region.0.cond();
    match &rule.region.1 {
        None => on.clone(),
        Some(off) => Cond::Any(Box::new(both(on, &not(off.cond()))), Box::new(not(off.cond()))),
    }
}

#[expect(clippy::float_cmp, reason = "two settings that were written alike are one setting")]
fn fights(a: &Rule, b: &Rule, signals: &Signals, sink: &Sink) {
    let (Does::Set { on: on_a, off: off_a }, Does::Set { on: on_b, off: off_b }) = (a.does, b.does) else {
        return;
    };
    if a.device != b.device || a.priority != b.priority {
        return;
    }
    let with = |code| {
        Diagnostic::error(code)
            .at(b.span.clone())
            .at(a.span.clone())
            .arg("rule", b.name.as_str())
            .arg("other", a.name.as_str())
            .arg("device", signals.devices[a.device].name.as_str())
    };
    if let (Some(x), Some(y)) = (off_a, off_b)
        && x != y
    {
        sink.borrow_mut()
            .push(with(code::R122).arg("first", (y, Q::Fraction)).arg("second", (x, Q::Fraction)));
    }
    if on_a == on_b {
        return;
    }
    let (may_a, may_b) = (may_be_on(a), may_be_on(b));
    let together = both(&may_a, &may_b);
    let (region_a, region_b) = (Region::of(&may_a, signals), Region::of(&may_b, signals));
    if let Some(witness) = region::together(&region_a, &region_b, signals) {
        sink.borrow_mut().push(with(code::R121).arg("example", example(&together, signals, &witness)));
    }
}
