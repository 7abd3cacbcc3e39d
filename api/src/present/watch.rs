//! The watch in words: what was measured against what was expected, events, alerts, filters, debts.

mod names;

pub use names::Places;
pub(crate) use names::{Called, Named, Names};

use crate::watch::Watched;
use engine::diag::Arg;
use engine::procedure::source;
use engine::units::Quantity as Q;
use engine::watch::signals::{DeviceNow, RuleNow, RulesNow};
use engine::watch::{
    Alert, Cause, Due, Event, Field, Kind, Level, Moved, Night, Now, Question, Range, Told, What,
};
use engine::watch::{alert, filter::Shows};
use report::text::columns;
use report::words::{Show, Usage, Words};

/// Nights shown at most, the last ones.
const NIGHTS: usize = 12;
/// Causes shown of an event.
const CAUSES: usize = 3;
/// Days before which no trace is judged against what is usual.
const LEARNS_DAYS: i64 = 28;
/// Share of a cause that is told.
pub(crate) const LEAST_SHARE: f64 = 0.02;

/// Everything, carbon monoxide first.
pub(crate) fn lines(w: &Watched, words: &Words) -> String {
    let of = Worded { w, words, names: &Names::Written };
    let mut out = String::new();
    let mut block = |key: &str, body: String| {
        if !body.is_empty() {
            out += &format!("{}\n{body}\n", words.say(key));
        }
    };
    block("watch-monoxide-title", of.monoxide());
    block("watch-traces-title", of.traces());
    block("watch-alerts-title", of.alerts());
    block("watch-events-title", w.events.iter().rev().map(|e| of.event(e)).collect());
    block("watch-nights-title", of.nights());
    block("watch-filters-title", of.filters());
    block("watch-debts-title", of.debts());
    out
}

/// A watch and the words it is told in.
pub(crate) struct Worded<'a> {
    /// The watch.
    pub(crate) w: &'a Watched,
    /// Its words.
    pub(crate) words: &'a Words,
    /// How it says the names in it.
    pub(crate) names: &'a Names,
}

impl Worded<'_> {
    fn time(&self, ms: i64) -> String {
        let zone = self.w.zone.clone().unwrap_or(jiff::tz::TimeZone::UTC);
        let Ok(at) = jiff::Timestamp::from_millisecond(ms) else { return String::new() };
        zone.to_offset(at).to_datetime(at).strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// What a trace, a device or a place is called.
    pub(crate) fn called(&self, id: &str) -> String {
        self.names.say(id, self.words)
    }

    fn field(&self, trace: &str) -> Field {
        field(&self.w.fields, trace)
    }

    fn value(&self, trace: &str, si: f64) -> String {
        self.words.about(si, self.field(trace).quantity(), Show::default())
    }

    /// A difference of a trace's quantity, with its sign.
    fn difference(&self, trace: &str, si: f64) -> String {
        difference(&self.w.fields, self.words, trace, si)
    }

    fn range(&self, r: &Range, quantity: Q) -> String {
        let show = Show::default();
        let value = self.words.about(r.si, quantity, show);
        match (r.lo, r.hi) {
            (Some(lo), Some(hi)) => {
                let (lo, hi) = (self.words.about(lo, quantity, show), self.words.about(hi, quantity, show));
                format!("{value} ({})", self.words.from_to(&lo, &hi))
            }
            _ => value,
        }
    }

    /// A sample of carbon monoxide at or above a published level: who must do what.
    pub(crate) fn monoxide_alert(&self, a: &Alert) -> String {
        let level = a.level.unwrap_or(Level::Tell);
        let published = alert::levels().into_iter().find(|l| l.0 == level).map(|l| l.1);
        let args: Vec<(&str, Arg)> = vec![
            ("time", self.time(a.time_ms).into()),
            ("trace", self.called(&a.of).into()),
            ("value", self.words.about(a.value, Q::GasFraction, Show::default()).into()),
            ("level", published.map_or(f64::NAN, |p| (p.si * 1e7).round() / 10.0).into()),
            ("source", published.map_or(source::FROM_MEMORY, |p| p.source).into()),
        ];
        let key = match level {
            Level::Tell => "watch-monoxide-tell",
            Level::Stop => "watch-monoxide-stop",
            Level::Leave => "watch-monoxide-leave",
        };
        self.words.text(key, &args)
    }

    fn monoxide(&self) -> String {
        let of_kind = |a: &&Alert| a.kind == Kind::CarbonMonoxide;
        let mut out = String::new();
        for a in self.w.alerts.iter().filter(of_kind) {
            out += &format!("!! {}\n", self.monoxide_alert(a));
        }
        if self.w.fields.iter().any(|f| f.1 == Field::Co) {
            out += &format!("   {}\n", self.words.say("watch-no-alarm"));
        }
        out
    }

    fn traces(&self) -> String {
        let row = |n: &Now| {
            let measured = self.value(&n.trace, n.measured);
            let text = match (n.expected, n.interval, n.within) {
                (Some(expected), Some((lo, hi)), Some(within)) => {
                    let ends = self.words.from_to(&self.value(&n.trace, lo), &self.value(&n.trace, hi));
                    let args = [
                        ("measured", measured.into()),
                        ("expected", self.value(&n.trace, expected).into()),
                        ("range", ends.into()),
                    ];
                    let key = if within { "watch-trace-in" } else { "watch-trace-out" };
                    self.words.text(key, &args)
                }
                _ => self.words.text("watch-trace-learning", &[("measured", measured.into())]),
            };
            (self.called(&n.trace), format!("{}  {text}", self.time(n.hour_ms)))
        };
        let mut out = columns(&self.w.traces.iter().map(row).collect::<Vec<_>>());
        if !self.w.has_model {
            out += &format!("  {}\n", self.words.say("watch-no-model"));
        }
        out
    }

    /// An alert without its time.
    pub(crate) fn alert(&self, a: &Alert) -> String {
        let value = match a.kind {
            Kind::CarbonMonoxide => return self.monoxide_alert(a),
            Kind::Silence | Kind::Debt => self.words.about(a.value, Q::Time, Show::usage(Usage::Hours)),
            Kind::FilterDue => self.words.number(a.value),
            Kind::BelowOutdoors => self.value(&a.of, a.value),
            Kind::Change => self.difference(&a.of, a.value),
        };
        let key = match a.kind {
            Kind::Silence => "watch-alert-silence",
            Kind::Debt => "watch-alert-debt",
            Kind::FilterDue => "watch-alert-filter",
            Kind::BelowOutdoors => "watch-alert-below-outdoors",
            Kind::Change | Kind::CarbonMonoxide => "watch-alert-change",
        };
        self.words.text(key, &[("of", self.called(&a.of).into()), ("value", value.into())])
    }

    fn alerts(&self) -> String {
        let mut out = String::new();
        for a in self.w.alerts.iter().filter(|a| a.kind != Kind::CarbonMonoxide) {
            out += &format!("  {}  {}\n", self.time(a.time_ms), self.alert(a));
        }
        if out.is_empty() {
            let args = [("time", self.time(self.w.to_ms).into())];
            out += &format!("  {}\n", self.words.text("watch-quiet", &args));
        } else {
            let all: f64 = self.w.expected_false_a_month.iter().filter_map(|k| k.1).sum();
            out += &format!(
                "  {}\n",
                self.words.text("watch-false", &[("count", self.words.fixed(all, 1).into())])
            );
        }
        if self.w.to_ms - self.w.from_ms < LEARNS_DAYS * 86_400_000 {
            out += &format!("  {}\n", self.words.say("watch-learns"));
        }
        out
    }

    /// How far a trace of an event is off, and how rarely chance does that.
    pub(crate) fn moved(&self, m: &Moved) -> String {
        // At this height by chance once in so many months.
        let months = if m.chance_a_month > 0.0 { 1.0 / m.chance_a_month } else { f64::INFINITY };
        let args = [
            ("trace", self.called(&m.trace).into()),
            ("by", self.difference(&m.trace, m.by).into()),
            ("months", if months >= 1000.0 { "1000".into() } else { self.words.fixed(months, 0).into() }),
        ];
        self.words.text("watch-moved", &args)
    }

    fn event(&self, e: &Event) -> String {
        let end = match e.end_ms {
            Some(end) if e.became_usual => {
                self.words.text("watch-event-usual", &[("time", self.time(end).into())])
            }
            Some(end) => self.words.text("watch-event-ended", &[("time", self.time(end).into())]),
            None => self.words.say("watch-event-lasts"),
        };
        let mut out = format!("  {}  {end}\n", self.time(e.start_ms));
        for m in &e.traces {
            out += &format!("    {}\n", self.moved(m));
        }
        for (share, cause) in likeliest(e, &self.w.fields, self.words, self.names) {
            out += &format!("    {:>4}  {cause}\n", self.words.percent(share));
        }
        if e.causes.is_empty() {
            out += &format!("    {}\n", self.words.say("watch-no-causes"));
        }
        if e.question == Some(Question::WhereIsTheFilter) {
            out += &format!("    {}\n", self.words.say("watch-where-is-the-filter"));
        }
        out
    }

    fn nights(&self) -> String {
        let skip = self.w.nights.len().saturating_sub(NIGHTS);
        let line =
            |n: &Night| format!("  {}  {}: {}\n", self.time(n.from_ms), self.called(&n.trace), self.night(n));
        self.w.nights.iter().skip(skip).map(line).collect()
    }

    /// What a night or a departure told, without its time and trace.
    pub(crate) fn night(&self, n: &Night) -> String {
        let range = |r: &Range, q: Q| -> Arg { self.range(r, q).into() };
        let ppm = |si: f64| -> Arg { self.words.about(si, Q::GasFraction, Show::default()).into() };
        match &n.told {
            Told::Decay { rate, baseline, between_rooms } => {
                let key = if *between_rooms { "watch-decay-between" } else { "watch-decay" };
                self.words.text(key, &[("rate", range(rate, Q::AirChange)), ("baseline", ppm(*baseline))])
            }
            Told::BuildUp { plateau, rate, source_m3_s, seen } => {
                let key = if *seen { "watch-build-up" } else { "watch-build-up-open" };
                let args = [("plateau", range(plateau, Q::GasFraction)), ("rate", range(rate, Q::AirChange))];
                let mut text = self.words.text(key, &args);
                if let Some(source) = source_m3_s {
                    let args = [("source", range(source, Q::GasFlow))];
                    text += &format!(" {}", self.words.text("watch-source", &args));
                }
                text
            }
            Told::Exchange { with, across, outdoor } => self.words.text(
                "watch-exchange",
                &[
                    ("with", self.called(with).into()),
                    ("across", range(across, Q::AirFlow)),
                    ("outdoor", range(outdoor, Q::AirFlow)),
                ],
            ),
            Told::Moisture { excess } => {
                self.words.text("watch-moisture", &[("excess", range(excess, Q::VapourConcentration))])
            }
            Told::Pressure { mean, least } => {
                let pa =
                    |si: f64| -> Arg { self.words.about(si, Q::Pressure, Show::default().signed()).into() };
                self.words.text("watch-pressure", &[("mean", pa(*mean)), ("least", pa(*least))])
            }
        }
    }

    /// A filter's load and when it is due.
    pub(crate) fn filter(&self, due: &Due) -> String {
        let day = |d: Option<f64>| {
            #[expect(clippy::cast_possible_truncation, reason = "days since 1970")]
            let date = d.and_then(|d| {
                jiff::civil::date(1970, 1, 1).checked_add(jiff::Span::new().days(d as i64)).ok()
            });
            date.map_or_else(|| self.words.say("watch-never"), |d| d.to_string())
        };
        let f = &due.forecast;
        let what = match f.from {
            Shows::Flow | Shows::Intake => "watch-from-flow",
            Shows::Drop => "watch-from-drop",
            Shows::Power => "watch-from-power",
        };
        let args = [
            ("device", self.called(&due.device).into()),
            ("trace", self.called(&due.trace).into()),
            ("load", self.words.fixed(f.load.0, 2).into()),
            ("lo", self.words.fixed(f.load.1, 2).into()),
            ("hi", self.words.fixed(f.load.2, 2).into()),
            ("due", day(f.due_day).into()),
            ("from", day(f.due_between.0).into()),
            ("to", day(f.due_between.1).into()),
            ("what", self.words.say(what).into()),
        ];
        self.words.text("watch-filter", &args)
    }

    fn filters(&self) -> String {
        self.w.filters.iter().map(|due| format!("  {}\n", self.filter(due))).collect()
    }

    /// Ventilation that is owed; nothing where the documents do not say how much there should be.
    pub(crate) fn owed(&self) -> Option<String> {
        self.w.owed.map(|owed| self.debt(owed))
    }

    fn debt(&self, (relative, owed_s): (f64, f64)) -> String {
        let owed = self.words.about(owed_s, Q::Time, Show::usage(Usage::Hours));
        let args = [("relative", self.words.fixed(relative, 2).into()), ("owed", owed.into())];
        self.words.text("watch-debt", &args)
    }

    fn rule(&self, rule: &RuleNow) -> String {
        let since = rule.since_ms.map(|ms| self.time(ms));
        let args = [
            ("rule", rule.label.as_str().into()),
            ("device", rule.device.as_str().into()),
            ("share", self.words.percent(rule.share).into()),
            ("time", since.clone().unwrap_or_default().into()),
        ];
        let key = match (rule.on, rule.locks_out, since.is_some()) {
            (true, false, _) => "watch-rule-sets",
            (true, true, _) => "watch-rule-holds",
            (false, _, true) => "watch-rule-off",
            (false, _, false) => "watch-rule-never",
        };
        let mut text = self.words.text(key, &args);
        if rule.lost {
            text += &format!("; {}", self.words.say("watch-rule-lost"));
        }
        if rule.owed_s > 0.0 {
            let owed = self.words.about(rule.owed_s, Q::Time, Show::usage(Usage::Hours));
            text += &format!("; {}", self.words.text("watch-rule-owes", &[("owed", owed.into())]));
        }
        text
    }

    fn device(&self, device: &DeviceNow) -> String {
        let share = |s: f64| -> Arg { self.words.percent(s).into() };
        let name = || ("device", Arg::from(device.label.as_str()));
        let mut text = match device.set {
            Some(set) => self.words.text("watch-device-set", &[name(), ("share", share(set))]),
            None => self.words.text("watch-device-free", &[name()]),
        };
        if device.at_most < 1.0 {
            text +=
                &format!("; {}", self.words.text("watch-device-held", &[("share", share(device.at_most))]));
        }
        text
    }

    /// What the rules would have done: their sentences with what stands out, devices after them; nothing without rules.
    pub(crate) fn rules(&self) -> Option<serde_json::Value> {
        let now = self.w.rules.as_ref()?;
        let rule = |r: &RuleNow| serde_json::json!({ "text": self.rule(r), "on": r.on, "lost": r.lost, "since_ms": r.since_ms });
        Some(serde_json::json!({
            "at_ms": now.at_ms,
            "rules": now.rules.iter().map(rule).collect::<Vec<_>>(),
            "devices": now.devices.iter().map(|d| self.device(d)).collect::<Vec<_>>(),
            "owed": now.owed.filter(|o| o.1 > 0.0).map(|o| self.debt(o)),
            "text": self.words.text("watch-rules-at", &[("time", self.time(now.at_ms).into())]),
        }))
    }

    /// The same in lines.
    fn rule_lines(&self) -> String {
        let Some(now) = &self.w.rules else { return String::new() };
        let args = [("time", self.time(now.at_ms).into())];
        let first = std::iter::once(self.words.text("watch-rules-at", &args));
        let rules = now.rules.iter().map(|r| self.rule(r));
        let devices = now.devices.iter().map(|d| self.device(d));
        first.chain(rules).chain(devices).map(|line| format!("  {line}\n")).collect()
    }

    fn debts(&self) -> String {
        let owed: String = self.owed().map(|text| format!("  {text}\n")).unwrap_or_default();
        owed + &self.rule_lines()
    }
}

/// The rules of a watch in lines, for somebody who reads a terminal.
pub(crate) fn rule_lines(now: &RulesNow, zone: Option<jiff::tz::TimeZone>, words: &Words) -> Vec<String> {
    let w = Watched { rules: Some(now.clone()), zone, ..Watched::default() };
    let of = Worded { w: &w, words, names: &Names::Written };
    of.rule_lines().lines().map(|l| l.trim().to_owned()).collect()
}

/// What the traces measure, by name.
type Fields = [(String, Field)];

fn field(fields: &Fields, trace: &str) -> Field {
    fields.iter().find(|f| f.0 == trace).map_or(Field::On, |f| f.1)
}

/// A difference of a trace's quantity, with its sign.
fn difference(fields: &Fields, words: &Words, trace: &str, si: f64) -> String {
    let quantity = match field(fields, trace).quantity() {
        Q::Temperature => Q::TemperatureDifference,
        other => other,
    };
    words.about(si, quantity, Show::default().signed())
}

/// The likeliest causes of an event, each with its share.
pub(crate) fn likeliest(e: &Event, fields: &Fields, words: &Words, names: &Names) -> Vec<(f64, String)> {
    let told = e.causes.iter().filter(|c| c.share >= LEAST_SHARE).take(CAUSES);
    told.map(|c| (c.share, cause(c, fields, words, names))).collect()
}

/// A cause in words.
pub(crate) fn cause(c: &Cause, fields: &Fields, words: &Words, names: &Names) -> String {
    let about = |quantity: Q| -> Arg { words.about(c.amount, quantity, Show::default()).into() };
    let say = |key: &str, args: &[(&str, Arg)]| words.text(key, args);
    let of = |id: &str| -> Arg { names.say(id, words).into() };
    match &c.what {
        What::Stopped { device } if c.amount < 0.99 => {
            let lost = words.percent(c.amount);
            say("watch-cause-weak", &[("device", of(device)), ("lost", lost.into())])
        }
        What::Stopped { device } => say("watch-cause-stopped", &[("device", of(device))]),
        What::Runs { device } => say("watch-cause-runs", &[("device", of(device))]),
        What::DoorOpen { between: [a, b] } => say("watch-cause-door-open", &[("a", of(a)), ("b", of(b))]),
        What::DoorShut { between: [a, b] } => say("watch-cause-door-shut", &[("a", of(a)), ("b", of(b))]),
        What::Window { zone } => say("watch-cause-window", &[("zone", of(zone)), ("area", about(Q::Area))]),
        What::Duct { into } => {
            let share = words.percent(c.amount);
            say("watch-cause-duct", &[("into", of(into)), ("share", share.into())])
        }
        What::People { zone } => say("watch-cause-people", &[("zone", of(zone)), ("count", c.amount.into())]),
        What::Smoke => say("watch-cause-smoke", &[("more", about(Q::ParticleConcentration))]),
        What::NoHeat => say("watch-cause-no-heat", &[]),
        What::Filter { device } => {
            say("watch-cause-filter", &[("device", of(device)), ("load", c.amount.into())])
        }
        What::Sensor { trace } => {
            let by = difference(fields, words, trace, c.amount);
            say("watch-cause-sensor", &[("trace", of(trace)), ("by", by.into())])
        }
        What::Other => say("watch-cause-other", &[]),
    }
}
