//! Rules in words: the table, the sheet for commissioning, what a test showed.

use super::signals::Names;
use crate::Job;
use crate::rules::{Lived, Provoked, Rules, Years};
use engine::diag::{Arg, Diagnostic, Severity};
use engine::doc::rules::{Does, IfLost};
use engine::rule::{Act, Bounds, Event, Kind, Refusal, Rule, Set, Setting, Stage, demands};
use engine::units::Quantity;
use report::rules::{RuleView, RulesView, SheetView, TestedView};
use report::words::{Show, Usage, Words};

/// Time that a device and a sensor are given on site beyond what the rule waits for, s.
const PATIENCE_S: f64 = 300.0;

/// All that is shown of the rules.
pub(crate) fn view(job: &Job, rules: &Rules, words: &Words) -> RulesView {
    let Some(set) = &rules.set else { return RulesView::default() };
    let zones = job.house.iter().flat_map(|h| &h.zones);
    let zones = zones.map(|z| (engine::rule::spelled(&z.name), z.label.clone())).collect();
    let worded = Worded { set, words, names: Names { set, zones, words } };
    let mut tested: Vec<TestedView> = rules.provoked.iter().map(|p| worded.provoked(p)).collect();
    tested.extend(rules.lived.iter().map(|l| worded.lived(l)));
    tested.extend(rules.year.iter().map(|y| worded.years(y)));
    RulesView {
        head: super::sheets::head(job, String::new(), job.documents.visits.last(), words, ""),
        title: words.text("rules-page-title", &[("job", job.documents.job.name.as_str().into())]),
        missing: refused(job).then(|| words.say("rules-some-missing")),
        rules: set.rules.iter().enumerate().map(|(at, r)| worded.rule(at, r)).collect(),
        authority: worded.authority(rules),
        sheet: set.rules.iter().map(|r| worded.sheet(r)).collect(),
        tested,
    }
}

/// Whether something in the rules' files could not be read: a sheet must not look whole without it.
fn refused(job: &Job) -> bool {
    let found = job.sink().borrow();
    let of_rules = |d: &Diagnostic| d.spans.first().is_some_and(|s| s.file.starts_with("rules/"));
    found.list.iter().any(|d| d.severity == Severity::Error && of_rules(d))
}

struct Worded<'a> {
    set: &'a Set,
    words: &'a Words,
    names: Names<'a>,
}

impl Worded<'_> {
    fn text(&self, key: &str, args: &[(&str, Arg)]) -> String {
        self.words.text(key, args)
    }

    /// A length of time in the unit that people count it in.
    fn time(&self, s: f64) -> String {
        let show = match s {
            s if s >= 48.0 * 3600.0 => Show::unit("d"),
            s if s >= 2.0 * 3600.0 => Show::usage(Usage::Hours),
            _ => Show::unit("min"),
        };
        self.words.quantity_as(s, Quantity::Time, show)
    }

    fn device(&self, rule: &Rule) -> String {
        self.names.device(rule.device)
    }

    fn setting(&self, setting: Setting) -> String {
        let most = self.words.percent(setting.at_most);
        match setting.set {
            Some(set) => self.words.percent(set.min(setting.at_most)),
            None if setting.at_most < 1.0 => self.text("rules-own-at-most", &[("most", most.into())]),
            None => self.words.say("rules-own"),
        }
    }

    fn rule(&self, at: usize, rule: &Rule) -> RuleView {
        let device: Arg = self.device(rule).into();
        let share = |x: f64| Arg::from(self.words.percent(x));
        let does = match rule.does {
            Does::Set { on, off: Some(off) } => self
                .text("rules-sets-and-rests", &[("device", device), ("on", share(on)), ("off", share(off))]),
            Does::Set { on, off: None } => self.text("rules-sets", &[("device", device), ("on", share(on))]),
            Does::LockOut { floor } => {
                self.text("rules-locks", &[("device", device), ("floor", share(floor))])
            }
        };
        let mut keeps = vec![self.text("rules-priority", &[("priority", rule.priority.into())])];
        for (key, s) in [("rules-min-on", rule.min_on_s), ("rules-min-off", rule.min_off_s)] {
            if s > 0.0 {
                keeps.push(self.text(key, &[("time", self.time(s).into())]));
            }
        }
        if rule.most_on_s.is_finite() {
            keeps.push(self.text("rules-most-on", &[("time", self.time(rule.most_on_s).into())]));
        }
        keeps.push(self.words.say(match rule.if_lost {
            IfLost::On => "rules-lost-on",
            IfLost::Off => "rules-lost-off",
            IfLost::LetGo => "rules-lost-let-go",
        }));
        let debt = self.set.worst_debt(at).map(|w| {
            let flow = |x| Arg::from(self.words.quantity(x, Quantity::AirFlow));
            let mut args = vec![
                ("acts", self.time(w.acts_s).into()),
                ("flow", flow(w.flow_m3_s)),
                ("exposure", self.words.number(w.exposure).into()),
                ("owed", self.words.quantity_as(w.owed_s, Quantity::Time, Show::usage(Usage::Hours)).into()),
                ("full", flow(w.full_m3_s)),
            ];
            match w.repay_s {
                Some(s) => {
                    args.push(("repay", self.time(s).into()));
                    self.text("rules-debt", &args)
                }
                None => self.text("rules-debt-never", &args),
            }
        });
        RuleView {
            label: rule.label.clone(),
            name: rule.name.clone(),
            does,
            on_words: self.names.condition(&rule.text.0.text),
            on_when: one_line(&rule.text.0.text),
            off_words: rule.text.1.as_ref().map_or_else(String::new, |c| self.names.condition(&c.text)),
            off_when: rule.text.1.as_ref().map_or_else(String::new, |c| one_line(&c.text)),
            keeps,
            debt,
        }
    }

    fn authority(&self, rules: &Rules) -> Vec<String> {
        let mut out = vec![self.words.say("rules-advises")];
        out.extend(
            rules.commanded.iter().map(|d| self.text("rules-commanded", &[("device", d.as_str().into())])),
        );
        for (device, why) in &rules.refused {
            let word = |r: &Refusal| {
                self.words.say(match r {
                    Refusal::NotItsDevice => "rules-refused-device",
                    Refusal::NoFallback => "rules-refused-fallback",
                    Refusal::NoHeartbeat => "rules-refused-heartbeat",
                    Refusal::DoesNotVentilate => "rules-refused-loss",
                    Refusal::NoPermission => "rules-refused-permission",
                })
            };
            let why = why.iter().map(word).collect::<Vec<_>>().join("; ");
            out.push(self.text("rules-refused", &[("device", device.as_str().into()), ("why", why.into())]));
        }
        out
    }

    /// A signal in plain words, with its own name behind.
    fn named(&self, id: &str) -> String {
        let words = self.names.signal(id);
        if words == id { format!("`{id}`") } else { format!("{words} (`{id}`)") }
    }

    /// One bound as an instruction.
    fn bound(&self, b: &Bounds) -> String {
        let signal = &self.set.signals.list[usize::from(b.slot)];
        let name = ("signal", Arg::from(self.named(&signal.name)));
        let q = match signal.kind {
            Kind::Flag => {
                let key = if b.low > 0.5 { "rules-bound-true" } else { "rules-bound-false" };
                return self.text(key, &[name]);
            }
            Kind::Measure(q) => q,
        };
        let value = |x: f64| Arg::from(self.words.quantity(x, q));
        let (from, to) = (b.low > signal.low || b.above, b.high < signal.high || b.below);
        match (from, to) {
            (true, true) if b.high - b.low <= 0.0 => {
                self.text("rules-bound-at", &[name, ("value", value(b.low))])
            }
            (true, true) => {
                self.text("rules-bound-between", &[name, ("low", value(b.low)), ("high", value(b.high))])
            }
            (true, false) => self.text("rules-bound-above", &[name, ("value", value(b.low))]),
            (false, _) => self.text("rules-bound-below", &[name, ("value", value(b.high))]),
        }
    }

    fn demand(&self, bounds: &[Bounds], whole: bool, text: &str) -> String {
        let mut parts: Vec<String> = bounds.iter().map(|b| self.bound(b)).collect();
        if !whole || parts.is_empty() {
            parts.push(self.text("rules-bound-so-that", &[("condition", self.names.condition(text).into())]));
        }
        parts.join("; ")
    }

    fn sheet(&self, rule: &Rule) -> SheetView {
        let device = || ("device", Arg::from(self.device(rule)));
        let within = |s: f64| ("time", Arg::from(self.time(s + PATIENCE_S)));
        let acts = match rule.does {
            Does::Set { on, .. } => self.words.percent(on),
            Does::LockOut { floor } => {
                self.text("rules-no-more-than", &[("most", self.words.percent(floor).into())])
            }
        };
        let rests = match rule.does {
            Does::Set { off: Some(off), .. } => self.words.percent(off),
            _ => self.words.say("rules-own"),
        };
        let see =
            |key: &str, at: &str, wait: f64| self.text(key, &[device(), ("at", at.into()), within(wait)]);
        let mut steps = Vec::new();
        for demand in demands(&rule.region.0).iter().take(6) {
            let what = self.demand(&demand.bounds, demand.whole, &rule.text.0.text);
            let act = self.text("rules-provoke", &[("what", what.into())]);
            let mut seen = see("rules-see-on", &acts, rule.min_off_s);
            if rule.min_on_s > 0.0 {
                seen += " ";
                seen += &self.text("rules-see-stays", &[("time", self.time(rule.min_on_s).into())]);
            }
            steps.push((act, seen));
        }
        let end = match (&rule.region.1, &rule.text.1) {
            (Some(region), Some(text)) => demands(region).first().map(|d| {
                self.text("rules-provoke", &[("what", self.demand(&d.bounds, d.whole, &text.text).into())])
            }),
            _ => Some(self.words.say("rules-undo")),
        };
        if let Some(end) = end {
            steps.push((end, see("rules-see-off", &rests, rule.min_on_s)));
        }
        if rule.most_on_s.is_finite() && rule.most_on_s < 86_400.0 {
            let act = self.text("rules-provoke-cap", &[("time", self.time(rule.most_on_s).into())]);
            steps.push((act, see("rules-see-cap", &rests, 0.0)));
        }
        if let Some(slot) = rule.slots.first() {
            let name = self.set.signals.list[usize::from(*slot)].name.as_str();
            let act = self.text("rules-provoke-lost", &[("signal", self.named(name).into())]);
            let wait = rule.min_on_s.max(rule.min_off_s);
            let seen = match rule.if_lost {
                IfLost::On => see("rules-see-on", &acts, wait),
                IfLost::Off => see("rules-see-off", &rests, wait),
                IfLost::LetGo => see("rules-see-off", &self.words.say("rules-own"), wait),
            };
            steps.push((act, seen));
        }
        SheetView { label: format!("{} ({})", rule.label, self.device(rule)), steps }
    }

    fn provoked(&self, p: &Provoked) -> TestedView {
        let rule = &self.set.rules[p.rule];
        let line = |part: &engine::rule::Part| {
            let stage = match part.stage {
                Stage::Rest => self.words.say("rules-stage-rest"),
                Stage::Provoke(at) => self.text("rules-stage-provoke", &[("number", (at + 1).into())]),
                Stage::Cap => self.words.say("rules-stage-cap"),
                Stage::End => self.words.say("rules-stage-end"),
                Stage::Lose => self.words.say("rules-stage-lose"),
            };
            let state = self.words.say(if part.seen { "rules-is-on" } else { "rules-is-off" });
            let key = if part.seen == part.expected { "rules-part" } else { "rules-part-wrong" };
            let args = [
                ("stage", stage.into()),
                ("held", self.time(part.held_s).into()),
                ("state", state.into()),
                ("device", self.device(rule).into()),
                ("setting", self.setting(part.setting).into()),
            ];
            self.text(key, &args)
        };
        let mut lines: Vec<String> = p.parts.iter().map(line).collect();
        if p.without > 0 {
            lines.push(self.text("rules-without", &[("count", p.without.into())]));
        }
        TestedView { label: rule.label.clone(), as_expected: Some(p.as_expected), lines }
    }

    fn event(&self, event: &Event, lived: &Lived) -> String {
        let rule = &self.set.rules[event.rule];
        let at = lived
            .clock(event.time_s)
            .map_or_else(|| self.time(event.time_s), |t| t.strftime("%Y-%m-%d %H:%M").to_string());
        let key = match event.act {
            Act::On => "rules-event-on",
            Act::Off => "rules-event-off",
            Act::Lost => "rules-event-lost",
            Act::Back => "rules-event-back",
        };
        let what = self.text(
            key,
            &[
                ("rule", rule.label.as_str().into()),
                ("device", self.device(rule).into()),
                ("setting", self.setting(event.setting).into()),
            ],
        );
        format!("{at}  {what}")
    }

    fn lived(&self, lived: &Lived) -> TestedView {
        let mut lines: Vec<String> = lived.events.iter().map(|e| self.event(e, lived)).collect();
        if lines.is_empty() {
            lines.push(self.words.say("rules-nothing-happened"));
        }
        if let Some(owed) = lived.owed_s.filter(|o| *o > 0.0) {
            let hours = self.words.quantity_as(owed, Quantity::Time, Show::usage(Usage::Hours));
            lines.push(self.text("rules-owed-at-end", &[("owed", hours.into())]));
        }
        TestedView { label: lived.file.clone(), as_expected: None, lines }
    }

    fn years(&self, years: &Years) -> TestedView {
        let (without, with) = (&years.without, &years.with);
        let pair = |a: f64, b: f64, q: Quantity, show: Show| {
            [("without", a), ("with", b)].map(|(n, x)| (n, Arg::from(self.words.quantity_as(x, q, show))))
        };
        let usual = Show::default();
        let whole = |key: &str, a: f64, b: f64, q| self.text(key, &pair(a, b, q, usual));
        let mut lines = vec![
            whole(
                "rules-year-air",
                without.outdoor_air_per_h / 3600.0,
                with.outdoor_air_per_h / 3600.0,
                Quantity::AirChange,
            ),
            whole("rules-year-electricity", without.electricity_j, with.electricity_j, Quantity::Energy),
        ];
        for (a, b) in without.rooms.iter().zip(&with.rooms) {
            let room = |key: &str, x: f64, y: f64, q, show| {
                let [without, with] = pair(x, y, q, show);
                self.text(key, &[("room", a.label.as_str().into()), without, with])
            };
            let (x, y) = (a.night_co2_p95_ppm * 1e-6, b.night_co2_p95_ppm * 1e-6);
            lines.push(room("rules-year-co2", x, y, Quantity::GasFraction, usual));
            let (x, y) = (a.damp_h * 3600.0, b.damp_h * 3600.0);
            lines.push(room("rules-year-damp", x, y, Quantity::Time, Show::usage(Usage::Hours)));
            let (x, y) = (a.pm25_mean_kg_m3, b.pm25_mean_kg_m3);
            lines.push(room("rules-year-particles", x, y, Quantity::ParticleConcentration, usual));
        }
        let label = match &years.plan {
            Some(plan) => self.text("rules-year-plan", &[("plan", plan.as_str().into())]),
            None => self.words.say("rules-year-found"),
        };
        TestedView { label, as_expected: None, lines }
    }
}

/// A condition on one line.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
