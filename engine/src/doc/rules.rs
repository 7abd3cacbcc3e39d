//! `rules/*.toml`: control rules, as written.
//!
//! Conditions are CEL and stay text here; [`crate::rule`] gives them their meaning.

use super::read::{Tab, parse};
use super::{File, Sink, Sp};
use crate::diag::Span;
use crate::units::Quantity as Q;

/// Longest time that a key may hold, s.
const WEEK_S: f64 = 7.0 * 86_400.0;
/// Priority of a rule that states none.
const PRIORITY: usize = 5;
/// Floor of a lock-out that states none: ventilation goes on at a third.
const FLOOR: f64 = 0.33;
/// Longest time that a lock-out acts in 24 hours where none is stated, s.
const LOCK_OUT_MOST_S: f64 = 12.0 * 3600.0;

/// A condition as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    /// The expression.
    pub text: String,
    /// Where the text stands, with its quotes.
    pub span: Span,
    /// First byte of the expression in the file, where its characters stand there one by one.
    pub inside: Option<usize>,
}

impl Condition {
    /// The place of some bytes of the expression; the whole text where they cannot be told apart.
    pub fn place(&self, range: std::ops::Range<usize>) -> Span {
        match self.inside {
            Some(first) if range.start < range.end && range.end <= self.text.len() => {
                Span::new(&self.span.file, first + range.start..first + range.end)
            }
            _ => self.span.clone(),
        }
    }
}

/// What a rule does to its device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Does {
    /// Sets it: share of full while the rule is on, and where it rests while no rule is on.
    Set {
        /// Share of full while on, 0 to 1.
        on: f64,
        /// Share of full while no rule is on; nothing leaves the device to its own schedule.
        off: Option<f64>,
    },
    /// Holds it down to a floor while on, whatever rules of no higher priority or its own schedule ask for.
    LockOut {
        /// Share of full that is left, 0 to 1.
        floor: f64,
    },
}

/// What a rule does when one of its signals is lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum IfLost {
    /// As if its condition held.
    On,
    /// As if its condition did not hold.
    Off,
    /// It has nothing to say: the device runs on its own schedule or by other rules.
    LetGo,
}

/// One rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// The device it acts on.
    pub device: Sp<String>,
    /// What it does to it.
    pub does: Does,
    /// When it starts.
    pub on_when: Condition,
    /// When it ends; nothing where it ends as soon as `on_when` no longer holds.
    pub off_when: Option<Condition>,
    /// Least time on, s.
    pub min_on_s: f64,
    /// Least time off, s.
    pub min_off_s: f64,
    /// Most time on in any 24 hours, s.
    pub most_on_s: Option<Sp<f64>>,
    /// The higher one counts.
    pub priority: usize,
    /// When a signal is lost.
    pub if_lost: IfLost,
    /// Whether what it takes from ventilation is owed and repaid.
    pub debt: bool,
}

/// What the house owes its people, for debts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Outdoor air that the house is meant to have, m3/s.
    pub target_m3_s: f64,
    /// Outdoor air that comes in by itself, m3/s; counts where no signal tells the whole.
    pub infiltration_m3_s: f64,
}

/// That this program may command a device.
#[derive(Clone, Debug, PartialEq)]
pub struct Authority {
    /// The device.
    pub device: Sp<String>,
    /// Share of full by its own schedule, 0 to 1, and the hours of it, s of the day.
    pub fallback: Option<(f64, Vec<(f64, f64)>)>,
    /// Longest silence before the device acts on its own, s.
    pub heartbeat_s: Option<f64>,
    /// Share of full to which it goes then, 0 to 1.
    pub on_loss: Option<f64>,
    /// Who permitted it, when, and what they wrote.
    pub permission: Option<Permission>,
    /// Where the table stands.
    pub span: Span,
}

/// A recorded permission.
#[derive(Clone, Debug, PartialEq)]
pub struct Permission {
    /// Who.
    pub by: String,
    /// When, as written.
    pub date: Sp<String>,
    /// What they looked at.
    pub says: String,
}

/// One document of rules.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rules {
    /// Rules in the order of the file.
    pub rules: Vec<Rule>,
    /// Ventilation that is owed, and where it was written.
    pub exposure: Option<Sp<Exposure>>,
    /// Devices that may be commanded.
    pub authorities: Vec<Authority>,
}

/// Reads one of `rules/*.toml`.
pub fn read(file: &File, sink: &Sink) -> Rules {
    let root = parse(&file.name, &file.text, sink);
    let top = Tab::top(&file.name, &root, sink);
    top.format();
    let exposure = top.table("exposure").and_then(|t| {
        let target = t.need("target", t.bounded("target", Q::AirFlow, 1e-4..=10.0));
        let infiltration = t.bounded("infiltration", Q::AirFlow, 0.0..=10.0);
        let value =
            Exposure { target_m3_s: target?.value, infiltration_m3_s: infiltration.map_or(0.0, |i| i.value) };
        Some(Sp { value, span: t.span() })
    });
    Rules {
        rules: top.named("rule").iter().filter_map(|r| rule(r, file)).collect(),
        exposure,
        authorities: top.named("authority").iter().map(authority).collect(),
    }
}

/// All documents of rules of a job, put together in the order of their names.
pub fn all(files: &[File], sink: &Sink) -> Rules {
    let mut out = Rules::default();
    let named = |f: &&File| f.name.starts_with("rules/") && f.name.ends_with(".toml");
    for file in files.iter().filter(named) {
        let one = read(file, sink);
        out.rules.extend(one.rules);
        out.authorities.extend(one.authorities);
        // The first counts; another one is refused where the rules are put together.
        if let Some(exposure) = one.exposure {
            match &out.exposure {
                Some(first) if first.value != exposure.value => sink.borrow_mut().push(
                    crate::diag::Diagnostic::error(crate::diag::code::R112)
                        .at(exposure.span)
                        .at(first.span.clone()),
                ),
                _ => out.exposure = Some(exposure),
            }
        }
    }
    out
}

/// A condition with the place of each of its characters.
pub(crate) fn condition(t: &Tab<'_, '_>, key: &'static str, file: &File) -> Option<Condition> {
    let text = t.text(key)?;
    let written = file.text.get(text.span.start..text.span.end).unwrap_or("");
    let quote = ["'''", "\"\"\"", "'", "\""].into_iter().find(|q| written.starts_with(q)).unwrap_or("");
    let mut first = quote.len();
    // A line break right after three quotes is no part of the text.
    if quote.len() == 3 {
        let rest = written.get(3..).unwrap_or("");
        first += if rest.starts_with("\r\n") { 2 } else { usize::from(rest.starts_with('\n')) };
    }
    let same = written.get(first..).is_some_and(|rest| rest.starts_with(text.value.as_str()));
    Some(Condition { inside: same.then_some(text.span.start + first), text: text.value, span: text.span })
}

fn share(t: &Tab<'_, '_>, key: &'static str) -> Option<f64> {
    t.bounded(key, Q::Fraction, 0.0..=1.0).map(|s| s.value)
}

fn does(t: &Tab<'_, '_>) -> Option<Does> {
    let lock_out = t.choice("does", &[("set", false), ("lock out", true)]);
    if t.has("does") && lock_out.is_none() {
        t.leave_alone();
        return None;
    }
    if lock_out.is_some_and(|l| l.value) {
        return Some(Does::LockOut { floor: share(t, "floor").unwrap_or(FLOOR) });
    }
    let on = t.need("on", share(t, "on"));
    let off = share(t, "off");
    Some(Does::Set { on: on?, off })
}

fn rule((name, t): &(Sp<String>, Tab<'_, '_>), file: &File) -> Option<Rule> {
    let label = t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value);
    let device = t.need("device", t.text("device"));
    let does = does(t);
    let locks = matches!(does, Some(Does::LockOut { .. }));
    let on_when = t.need("on_when", condition(t, "on_when", file));
    let off_when = condition(t, "off_when", file);
    let time = |key| t.bounded(key, Q::Time, 0.0..=WEEK_S).map_or(0.0, |s| s.value);
    let (min_on_s, min_off_s) = (time("min_on"), time("min_off"));
    let most = t.bounded("most_on", Q::Time, 60.0..=86_400.0);
    let stated = Sp { value: LOCK_OUT_MOST_S, span: t.span() };
    let most_on_s = most.or_else(|| (locks && !t.has("most_on")).then_some(stated));
    let priority = t.count("priority").map_or(PRIORITY, |p| p.value);
    let choices = [("on", IfLost::On), ("off", IfLost::Off), ("let go", IfLost::LetGo)];
    let if_lost = t.choice("if_lost", &choices).map_or(IfLost::LetGo, |c| c.value);
    let debt = t.flag("debt").unwrap_or(locks);
    if most_on_s.as_ref().is_some_and(|most| most.value < min_on_s) {
        t.say(
            crate::diag::Diagnostic::error(crate::diag::code::R113)
                .at(t.span_of("min_on"))
                .arg("rule", name.value.as_str())
                .arg("least", (min_on_s, Q::Time))
                .arg("most", (most_on_s.as_ref().map_or(0.0, |m| m.value), Q::Time)),
        );
    }
    Some(Rule {
        name: name.clone(),
        label,
        device: device?,
        does: does?,
        on_when: on_when?,
        off_when,
        min_on_s,
        min_off_s,
        most_on_s,
        priority,
        if_lost,
        debt,
    })
}

fn authority((device, t): &(Sp<String>, Tab<'_, '_>)) -> Authority {
    let hours = t.texts("fallback_hours");
    let spans: Vec<(f64, f64)> = hours.iter().filter_map(|s| super::house::clock_hours(t, s)).collect();
    let fallback = share(t, "fallback");
    let permission = t.table("permission").and_then(|p| {
        let (by, date, says) =
            (p.need("by", p.text("by")), p.need("date", p.text("date")), p.need("says", p.text("says")));
        Some(Permission { by: by?.value, date: date?, says: says?.value })
    });
    Authority {
        device: device.clone(),
        fallback: fallback.map(|share| (share, spans)),
        heartbeat_s: t.bounded("heartbeat", Q::Time, 1.0..=3600.0).map(|h| h.value),
        on_loss: share(t, "on_loss"),
        permission,
        span: t.span(),
    }
}
