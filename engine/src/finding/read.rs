//! `findings/*.toml`: rules of findings, limits that the user found in force, and what people saw.
//! The program's own rules are files of the same form.

use super::evidence::{Evidence, Item, Origin, Value};
use super::quantity::{Class, QUANTITIES, SETUPS, slot};
use super::{Cause, Limit, Mark, Rule, Sort, Texts, Who};
use crate::diag::{Diagnostic, code};
use crate::doc::field::KINDS;
use crate::doc::job::Measure;
use crate::doc::read::{Tab, parse};
use crate::doc::rules::condition;
use crate::doc::{File, Sink, Sp};
use crate::measure::{Estimate, NoInterval};
use crate::procedure::field::LEVEL;
use crate::rule::{self, Kind, Signal};
use crate::text::closest;
use crate::units::Quantity as Q;

/// Names that the text of a plan change may leave open.
pub const PLACEHOLDERS: &[&str] = &["zone", "main", "fan", "appliance", "leaks_to_zone", "sleeping"];
/// Most weight of a cause.
const HEAVIEST: f64 = 1000.0;

/// A limit that the user found in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Adopted {
    /// The rule.
    pub finding: Sp<String>,
    /// Its limit.
    pub limit: Sp<String>,
    /// The value as written, read once the rule's quantity is known.
    pub value: Sp<String>,
    /// Where it stands.
    pub source: String,
}

/// One document, or several put together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rules {
    /// Rules in the order of the files.
    pub rules: Vec<Rule>,
    /// Limits in force.
    pub adopted: Vec<Adopted>,
    /// What people saw.
    pub seen: Vec<Item>,
}

impl Rules {
    /// Adds another document; of two rules of one name the first stays, and limits in force take the
    /// place of the rules' own.
    pub fn add(&mut self, other: Rules, sink: &Sink) {
        for rule in other.rules {
            match self.rules.iter().find(|r| r.id == rule.id) {
                None => self.rules.push(rule),
                Some(first) => {
                    let said = Diagnostic::error(code::Q102).at(rule.span.clone());
                    let first = Some(&first.span).filter(|s| s.file.starts_with("findings/")).cloned();
                    sink.borrow_mut().push(said.at(first).arg("finding", rule.id.as_str()));
                }
            }
        }
        for adopted in other.adopted {
            self.adopt(adopted, sink);
        }
        self.seen.extend(other.seen);
    }

    fn adopt(&mut self, adopted: Adopted, sink: &Sink) {
        let say = |d: Diagnostic| sink.borrow_mut().push(d);
        let ids: Vec<String> = self.rules.iter().map(|r| r.id.clone()).collect();
        let Some(rule) = self.rules.iter_mut().find(|r| r.id == adopted.finding.value) else {
            return say(adopted.finding.unknown("finding", ids.iter().map(String::as_str)));
        };
        let names: Vec<String> = rule.limits.iter().map(|l| l.name.clone()).collect();
        let Some(limit) = rule.limits.iter_mut().find(|l| l.name == adopted.limit.value) else {
            return say(adopted.limit.unknown("limit", names.iter().map(String::as_str)));
        };
        let Some(Kind::Measure(q)) = QUANTITIES.get(limit.of).map(|n| n.kind) else { return };
        match crate::units::parse(&adopted.value.value, q) {
            Ok(written) => {
                limit.si = written.si;
                limit.source.clone_from(&adopted.source);
                limit.mark = Mark::Adopted;
            }
            Err(error) => say(crate::doc::read::unit_diagnostic(error, q, &adopted.value.value)
                .at(adopted.value.span.clone())),
        }
        self.adopted.push(adopted);
    }
}

/// Reads one document; `own` where it is the user's, who writes the words beside the rule.
pub fn read(file: &File, own: bool, sink: &Sink) -> Rules {
    let root = parse(&file.name, &file.text, sink);
    let top = Tab::top(&file.name, &root, sink);
    top.format();
    let adopted = top.list("adopt");
    let seen = top.list("seen");
    Rules {
        rules: top.named("finding").iter().filter_map(|r| rule(r, file, own, sink)).collect(),
        adopted: adopted.iter().filter_map(adopt).collect(),
        seen: seen.iter().filter_map(|t| one_seen(t, sink)).collect(),
    }
}

fn adopt(t: &Tab<'_, '_>) -> Option<Adopted> {
    let finding = t.need("finding", t.text("finding"));
    let limit = t.need("limit", t.text("limit"));
    let value = t.need("value", t.text("value"));
    let source = t.need("source", t.text("source"));
    Some(Adopted { finding: finding?, limit: limit?, value: value?, source: source?.value })
}

fn quantity(name: &Sp<String>, sink: &Sink) -> Option<usize> {
    let found = slot(&name.value);
    if found.is_none() {
        // Of about a hundred names those of the same group help; else what is near over all.
        let root = name.value.split('.').next().unwrap_or("");
        let near = closest(&name.value, QUANTITIES.iter().map(|q| q.name)).unwrap_or("");
        let near_root = near.split('.').next().unwrap_or("");
        let same = |q: &&str| q.split('.').next().is_some_and(|r| r == root || r == near_root);
        sink.borrow_mut().push(name.unknown("quantity", QUANTITIES.iter().map(|q| q.name).filter(same)));
    }
    found
}

fn state(word: &Sp<String>, sink: &Sink) -> Option<&'static str> {
    let found = SETUPS.iter().find(|s| **s == word.value).copied();
    if found.is_none() {
        sink.borrow_mut().push(word.unknown("setup", SETUPS.iter().copied()));
    }
    found
}

fn one_seen(t: &Tab<'_, '_>, sink: &Sink) -> Option<Item> {
    let what = t.need("what", t.text("what"));
    let of = t.text("of");
    let zone = t.text("zone");
    let note = t.text("note").map(|n| n.value);
    let setups = t.texts("setup");
    let Some(slot) = what.as_ref().and_then(|w| quantity(w, sink)) else {
        t.leave_alone();
        return None;
    };
    let named = QUANTITIES.get(slot)?;
    let value = match named.kind {
        Kind::Flag => t.need("is", t.flag("is")).map(Value::Flag),
        Kind::Measure(q) => {
            let value = t.need("value", t.quantity("value", q));
            // Half a width is a difference of temperatures where the value is one.
            let beside = if q == Q::Temperature { Q::TemperatureDifference } else { q };
            let within = t.quantity("within", beside);
            value.map(|v| {
                Value::Number(match within {
                    Some(w) => Estimate::range(v.value, v.value - w.value, v.value + w.value, LEVEL, q),
                    None => Estimate::without(v.value, q, NoInterval::TypedWithoutInstrument),
                })
            })
        }
    };
    if (named.class == Class::House) != of.is_none() {
        let said = Diagnostic::error(code::Q103).arg("name", named.name);
        let wants = if named.class == Class::House { "no" } else { "yes" };
        t.say(said.at(t.span_of("what")).arg("wants", wants));
        return None;
    }
    let setup: Vec<(&'static str, bool)> =
        setups.iter().filter_map(|s| state(s, sink)).map(|s| (s, true)).collect();
    let mut item = Item::new(slot, value?, Origin::Seen { note, span: t.span() }).setup(&setup);
    if let Some(of) = of {
        let zone = zone
            .as_ref()
            .map(|z| z.value.as_str())
            .or_else(|| matches!(named.class, Class::Space | Class::Room).then_some(of.value.as_str()));
        item = item.of(&of.value, &of.value.replace('_', " "), zone);
    }
    Some(item)
}

fn limit((name, t): &(Sp<String>, Tab<'_, '_>), sink: &Sink) -> Option<Limit> {
    let of = t.need("of", t.text("of"));
    let source = t.text("source").map_or_else(String::new, |s| s.value);
    let mark = t.need("mark", t.choice("mark", Mark::CHOICES));
    let Some(of) = of.and_then(|o| quantity(&o, sink)) else {
        t.leave_alone();
        return None;
    };
    let Kind::Measure(q) = QUANTITIES.get(of)?.kind else {
        t.leave_alone();
        t.say(Diagnostic::error(code::Q104).at(t.span_of("of")).arg("limit", name.value.as_str()));
        return None;
    };
    let value = t.need("value", t.quantity("value", q));
    Some(Limit { name: name.value.clone(), of, si: value?.value, source, mark: mark?.value })
}

fn rule((id, t): &(Sp<String>, Tab<'_, '_>), file: &File, own: bool, sink: &Sink) -> Option<Rule> {
    let row = t.count("row").map(|r| r.value);
    let sort = t.choice("sort", Sort::CHOICES).map_or(Sort::House, |s| s.value);
    let either = t.flag("either").unwrap_or(false);
    let limits: Vec<Limit> = t.named("limit").iter().filter_map(|l| limit(l, sink)).collect();
    let mut signals = Evidence::signals();
    signals.list.extend(limits.iter().filter_map(|l| {
        let of = QUANTITIES.get(l.of)?;
        let name = format!("limit.{}", l.name);
        Some(Signal {
            name,
            kind: of.kind,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
            usual: 0.0,
            whole: false,
        })
    }));
    let text = t.need("when", condition(t, "when", file));
    let when = text.as_ref().and_then(|c| rule::condition(c, &signals, sink));
    let setup = setups(t, sink);
    let causes = causes(t, file, own, &signals, sink);
    let touches = touches(t);
    let spoils: Vec<Sp<String>> = t.texts("spoils");
    let (test_s, test_kind) = test(t);
    let who = t.need("who", t.choice("who", Who::CHOICES));
    let change = t.text("change");
    let source = t.need("source", t.text("source"));
    let mark = t.need("mark", t.choice("mark", Mark::CHOICES));
    let texts = if own { Some(texts(t)) } else { None };
    let (text, when, causes) = (text?, when?, causes?);
    let slots: Vec<usize> =
        when.slots().into_iter().map(usize::from).filter(|s| *s < QUANTITIES.len()).collect();
    let say = |d: Diagnostic| t.say(d.arg("finding", id.value.as_str()));
    let read_by_causes = causes.iter().filter_map(|c| c.more.as_ref()).flat_map(|(p, _)| p.slots());
    let all = slots.iter().copied().chain(read_by_causes.map(usize::from));
    let mut classes: Vec<Class> = all.filter_map(|s| QUANTITIES.get(s)).map(|q| q.class).collect();
    classes.retain(|c| *c != Class::House);
    classes.sort_unstable();
    classes.dedup();
    if classes.len() > 1 {
        say(Diagnostic::error(code::Q101).at(text.span.clone()));
        return None;
    }
    if either && text.text.contains("!(") {
        // A comparison with nothing is false, and its contrary would be true.
        say(Diagnostic::error(code::Q105).at(text.span.clone()));
        return None;
    }
    if (sort == Sort::Quality) == spoils.is_empty() {
        say(Diagnostic::error(code::Q106).at(t.span()));
        return None;
    }
    for name in &spoils {
        let group = name.value.strip_suffix('*');
        let known =
            |q: &super::quantity::Named| group.map_or(q.name == name.value, |g| q.name.starts_with(g));
        if !QUANTITIES.iter().any(known) {
            t.say(name.unknown("quantity", QUANTITIES.iter().map(|q| q.name)));
        }
    }
    if let Some(change) = &change {
        for open in change.value.split('{').skip(1).filter_map(|part| part.split('}').next()) {
            // Tables of TOML are written with a blank or a quote after the brace.
            if open.chars().all(|c| c.is_ascii_lowercase() || c == '_') && !PLACEHOLDERS.contains(&open) {
                let name = Sp { value: open.to_owned(), span: change.span.clone() };
                t.say(name.unknown("placeholder", PLACEHOLDERS.iter().copied()));
            }
        }
    }
    let stem = file.name.rsplit('/').next().unwrap_or(&file.name).trim_end_matches(".toml");
    Some(Rule {
        id: id.value.clone(),
        row,
        family: stem.to_owned(),
        sort,
        when,
        text,
        either,
        class: classes.first().copied(),
        slots,
        setup,
        limits,
        causes,
        test_s: test_s?,
        test_kind,
        who: who?.value,
        change: change.map(|c| c.value),
        touches,
        spoils: spoils.into_iter().map(|s| s.value).collect(),
        source: source?.value,
        mark: mark?.value,
        texts: match texts {
            None => None,
            Some(written) => Some(written?),
        },
        span: id.span.clone(),
    })
}

fn setups(t: &Tab<'_, '_>, sink: &Sink) -> Vec<(usize, &'static str)> {
    let mut out = Vec::new();
    for line in t.texts("setup") {
        let Some((name, word)) = line.value.split_once(':') else {
            t.say(Diagnostic::error(code::Q107).at(line.span.clone()).arg("text", line.value.as_str()));
            continue;
        };
        let part = |text: &str| Sp { value: text.trim().to_owned(), span: line.span.clone() };
        let (slot, word) = (quantity(&part(name), sink), state(&part(word), sink));
        out.extend(slot.zip(word));
    }
    out
}

fn causes(
    t: &Tab<'_, '_>,
    file: &File,
    own: bool,
    signals: &rule::Signals,
    sink: &Sink,
) -> Option<Vec<Cause>> {
    let one = |(id, t): &(Sp<String>, Tab<'_, '_>)| {
        let weight = t.need("weight", plain(t, "weight"));
        let when = condition(t, "more_when", file);
        let times = plain(t, "times");
        let says = t.text("says").map(|s| s.value);
        if own {
            t.need("says", says.as_ref());
        }
        let more = match (&when, times) {
            (Some(when), Some(times)) => rule::condition(when, signals, sink).map(|p| (p, times)),
            (Some(_), None) => {
                t.need("times", times);
                None
            }
            _ => None,
        };
        Some(Cause { id: id.value.clone(), weight: weight?, more, says })
    };
    let causes: Vec<Cause> = t.named("cause").iter().filter_map(one).collect();
    if causes.is_empty() {
        t.need("cause", None::<()>);
        return None;
    }
    Some(causes)
}

fn touches(t: &Tab<'_, '_>) -> Vec<Measure> {
    let mut out = Vec::new();
    for word in t.texts("touches") {
        match Measure::CHOICES.iter().find(|(name, _)| *name == word.value) {
            Some((_, measure)) => out.push(*measure),
            None => t.say(word.unknown("complaint quantity", Measure::CHOICES.iter().map(|c| c.0))),
        }
    }
    out
}

fn test(t: &Tab<'_, '_>) -> (Option<f64>, Option<String>) {
    let takes = t.need("test_takes", t.bounded("test_takes", Q::Time, 0.0..=400.0 * 86_400.0));
    let kind = t.text("test_kind");
    if let Some(kind) = &kind
        && !KINDS.iter().any(|k| k.0 == kind.value)
        && kind.value != "envelope"
    {
        t.say(kind.unknown("test", KINDS.iter().map(|k| k.0).chain(["envelope"])));
    }
    (takes.map(|s| s.value), kind.map(|k| k.value))
}

fn texts(t: &Tab<'_, '_>) -> Option<Texts> {
    let words = t.need("text", t.table("text"))?;
    let need = |key: &'static str| words.need(key, words.text(key)).map(|s| s.value);
    let (says, test) = (need("says"), need("test"));
    let (refuted, remedy) = (need("refuted"), need("remedy"));
    let caution = words.text("caution").map(|c| c.value);
    Some(Texts { says: says?, test: test?, refuted: refuted?, remedy: remedy?, caution })
}

/// A weight or a factor: a pure number.
fn plain(t: &Tab<'_, '_>, key: &'static str) -> Option<f64> {
    let number = t.number(key)?;
    t.within(key, &number, Q::Number, 0.0..=HEAVIEST).then_some(number.value)
}
