//! What is said when a watch ends: sources, what nobody explained, numbers.

use crate::intake::desk::Desk;
use crate::intake::keep::Kept;
use crate::store::{MOST_UNREAD, MOST_UNREAD_BYTES};
use engine::diag::Arg;
use report::words::Words;
use serde_json::{Value, json};

/// What it is made from.
pub(super) struct Summary<'a> {
    pub(super) desk: &'a Desk<Kept>,
    pub(super) places: &'a super::places::Places,
    pub(super) words: &'a Words,
    pub(super) zone: &'a jiff::tz::TimeZone,
    /// How often each broker was connected.
    pub(super) connected: Vec<(String, u64)>,
    pub(super) held: u64,
    pub(super) left: usize,
    pub(super) failed: usize,
    /// Traces and events as the hours left them.
    pub(super) standing: &'a super::hours::Standing,
    /// What the rules would have set.
    pub(super) rules: &'a super::rules::RulesStanding,
}

fn count(n: u64) -> Arg {
    Arg::Number(n as f64)
}

impl Summary<'_> {
    fn time(&self, ms: i64) -> String {
        let stamp = jiff::Timestamp::from_millisecond(ms).unwrap_or_default();
        stamp.to_zoned_datetime(self.zone.clone()).strftime("%Y-%m-%d %H:%M:%S %:z").to_string()
    }

    /// For people.
    pub(super) fn text(&self) -> String {
        let (words, tally) = (self.words, &self.desk.tally);
        let mut lines = Vec::new();
        for (name, standing) in &self.desk.standing {
            let (of, place) = self.desk.called(name);
            let place = self.places.say(&place);
            let args = [("of", of.as_str().into()), ("place", place.as_str().into())];
            match &standing.last {
                None => lines.push(words.text("live-source-none", &args)),
                Some(last) => {
                    let quantity = self.desk.quantity(name);
                    let value = words.quantity(last.value, quantity);
                    let [of, place] = args;
                    let args = [of, place, ("value", value.into()), ("time", self.time(last.time_ms).into())];
                    lines.push(words.text("live-source", &args));
                }
            }
        }
        lines.extend(self.standing.lines.iter().cloned());
        lines.extend(self.rules.lines.iter().cloned());
        if !tally.unknown.is_empty() {
            lines.push(words.say("live-unknown-title"));
            for (via, unknown) in &tally.unknown {
                let args = [
                    ("via", via.to_string().into()),
                    ("count", count(unknown.count)),
                    ("example", unknown.example.as_str().into()),
                ];
                lines.push(words.text("live-unknown", &args));
            }
            if tally.further > 0 {
                lines.push(words.text("live-unknown-further", &[("count", count(tally.further))]));
            }
        }
        for (trouble, n) in &tally.troubles {
            let args = [("count", count(*n)), ("why", words.say(trouble.key()).into())];
            lines.push(words.text("live-trouble", &args));
        }
        let repeated = tally.repeated + self.desk.kept().twice();
        let numbers = [
            ("messages", count(tally.messages)),
            ("readings", count(tally.readings)),
            ("repeated", count(repeated)),
        ];
        lines.push(words.text("live-counts", &numbers));
        if tally.messages > 0 {
            let mean = words.fixed(tally.sum_ms as f64 / tally.messages as f64, 0);
            let longest = words.fixed(tally.longest_ms as f64, 0);
            lines.push(words.text("live-delay", &[("mean", mean.into()), ("longest", longest.into())]));
        }
        let dropped = self.desk.kept().dropped();
        if dropped > 0 {
            let room = [
                ("count", count(dropped)),
                ("most", count(MOST_UNREAD as u64)),
                ("mb", count((MOST_UNREAD_BYTES >> 20) as u64)),
            ];
            lines.push(words.text("live-dropped", &room));
        }
        for (key, n) in [("live-held", self.held), ("live-failed", tally.failed)] {
            if n > 0 {
                lines.push(words.text(key, &[("count", count(n))]));
            }
        }
        if self.left + self.failed > 0 {
            let args = [("left", Arg::Number(self.left as f64)), ("failed", Arg::Number(self.failed as f64))];
            lines.push(words.text("live-alerts", &args));
        }
        lines.push(words.say("live-not-an-alarm"));
        lines.iter().map(|l| format!("{l}\n")).collect()
    }

    /// For programs: SI, in the envelope of every command.
    pub(super) fn json(&self, job: &str) -> Value {
        let tally = &self.desk.tally;
        let source = |(name, s): (&std::sync::Arc<str>, &crate::intake::desk::Standing)| {
            let (label, place) = self.desk.called(name);
            let value = s
                .last
                .as_ref()
                .map(|l| json!({ "value": l.value, "unit": self.desk.quantity(name).si_symbol() }));
            let time_ms = s.last.as_ref().map(|l| l.time_ms);
            json!({ "name": &**name, "label": label, "place": place, "readings": s.readings, "last": value,
                    "time_ms": time_ms, "silent": s.silent.is_some() })
        };
        let unknown = |(via, u): (&crate::intake::Via, &crate::intake::desk::Unknown)| json!({ "via": via.to_string(), "messages": u.count, "last": u.example });
        let broker = |(name, times): &(String, u64)| json!({ "name": name, "connected": times });
        let troubles: serde_json::Map<String, Value> = tally
            .troubles
            .iter()
            .map(|(t, n)| (t.key().trim_start_matches("live-trouble-").to_owned(), json!(n)))
            .collect();
        json!({
            "schema": api::SCHEMA,
            "version": env!("CARGO_PKG_VERSION"),
            "diagnostics": [],
            "data": {
                "job": job,
                "messages": tally.messages,
                "readings": tally.readings,
                "repeated": tally.repeated + self.desk.kept().twice(),
                "delay_ms": { "mean": mean(tally.sum_ms, tally.messages), "longest": tally.longest_ms },
                "sources": self.desk.standing.iter().map(source).collect::<Vec<_>>(),
                "unknown": tally.unknown.iter().map(unknown).collect::<Vec<_>>(),
                "unknown_further": tally.further,
                "troubles": troubles,
                "brokers": self.connected.iter().map(broker).collect::<Vec<_>>(),
                "dropped": self.desk.kept().dropped(),
                "held": self.held,
                "failed": tally.failed,
                "watch": self.standing,
                "rules": self.rules.now,
                "alerts": { "sent": self.left, "failed": self.failed },
            }
        })
    }
}

fn mean(sum: i64, of: u64) -> Option<f64> {
    (of > 0).then(|| sum as f64 / of as f64)
}
