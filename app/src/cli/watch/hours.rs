//! The watch over what the store has, with the fitted house: hour after hour, on a thread of its own, so that
//! neither a fit nor a weighing of causes holds up what comes in.
//!
//! Each stretch of hours is read from the store, judged, and written back in one transaction: what is
//! remembered, what was expected, events, alerts and their messages. A process that ends in between
//! goes on where the last transaction stands, and finds the same again.

use super::back::{Back, Said};
use super::judge::{called, news, quantity};
use super::places::Places;
use crate::alert::{News, compose};
use crate::clock;
use crate::intake::Stop;
use crate::intake::keep::written;
use crate::store::{Expected, Found, Judged, Message, Store, Watched};
use anyhow::{Result, anyhow};
use api::watch::{Fitted, Live, Standing as Shown, cause_words, held};
use engine::diag::Arg;
use engine::doc::watch::Watch as Document;
use engine::units::Quantity as Q;
use engine::watch::{Alert, Event, Field, HOUR_MS, Kind, Now, Setup, Watch};
use engine::year::Model;
use report::words::Words;
use std::ops::ControlFlow;
use std::time::Duration;

/// How often whole hours are looked for.
const LOOK: Duration = Duration::from_secs(10);
/// How long after its end an hour is judged, ms: what is under way comes in.
const GRACE_MS: i64 = 180_000;
/// A watch that remembers nothing begins so long ago at most, ms: the days that its charts hold.
const BACK_MS: i64 = 120 * 24 * HOUR_MS;
/// Nothing is lived through that is longer without a reading, ms.
const REST_MS: i64 = 60 * 24 * HOUR_MS;
/// What was to be told longer ago is kept as an event and not sent any more, ms.
const OLD_MS: i64 = 72 * HOUR_MS;
/// It is looked for late readings so often, ms.
const LATE_LOOK_MS: i64 = 300_000;
/// What a fit for the watch is called among the results of the store, and which program made it.
const FIT: &str = "watch fit";
const PROGRAM: &str = concat!("airwright ", env!("CARGO_PKG_VERSION"));

/// What the thread is given.
pub(super) struct Work<'a> {
    /// Where all is read and kept.
    pub(super) store: &'a Store,
    /// The job's name in the store.
    pub(super) name: &'a str,
    /// The same for people.
    pub(super) title: &'a str,
    /// What the document says of sources.
    pub(super) document: &'a Document,
    /// What people call the places of the house.
    pub(super) places: &'a Places,
    /// Names of the channels that alerts go by.
    pub(super) channels: Vec<String>,
    /// In the job's language.
    pub(super) words: Words,
    /// The clock of the house.
    pub(super) zone: jiff::tz::TimeZone,
    /// Whether only trouble is said.
    pub(super) quiet: bool,
    /// Whether hours are judged when the end is asked for only.
    pub(super) at_the_end: bool,
}

/// How the traces stand at the end.
#[derive(Clone, Debug, Default, serde::Serialize)]
pub(super) struct Standing {
    /// Judged up to this, ms since 1970.
    pub(super) until_ms: Option<i64>,
    /// Each trace in its last hour.
    pub(super) traces: Vec<Now>,
    /// Events that last.
    pub(super) events: Vec<Event>,
    /// The same for people.
    #[serde(skip)]
    pub(super) lines: Vec<String>,
}

impl Work<'_> {
    pub(super) fn line(&self, key: &str, args: &[(&str, Arg)]) {
        if !self.quiet {
            super::talk(&format!("{} {}\n", clock::now(), self.words.text(key, args)));
        }
    }

    fn time(&self, ms: i64) -> String {
        let stamp = jiff::Timestamp::from_millisecond(ms).unwrap_or_default();
        stamp.to_zoned_datetime(self.zone.clone()).strftime("%Y-%m-%d %H:%M %:z").to_string()
    }

    /// The houses of the fit, from the store where it has them; none without a house.
    fn models(&self, live: &Live, halt: &Stop) -> Result<Vec<Model>> {
        if !live.has_house() {
            self.line("live-no-house", &[]);
            return Ok(Vec::new());
        }
        let traces = [("traces", Arg::Number(live.setup(&[]).sources.len() as f64))];
        let kept = self.store.result(self.name, FIT, live.hash(), PROGRAM).map_err(|e| anyhow!("{e}"))?;
        let kept = kept.and_then(|body| serde_json::from_slice::<Fitted>(&body).ok());
        if let Some(models) = kept.map(|f| live.models(&f)).filter(|m| !m.is_empty()) {
            self.line("live-fit-kept", &traces);
            return Ok(models);
        }
        self.line("live-fitting", &[]);
        let mut listen = |_| if halt.asked() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
        let Some(fitted) = live.fit(&mut listen) else {
            if !halt.asked() {
                let why = live.mistake().map(|d| self.words.diagnostic(&d).text).unwrap_or_default();
                self.line("live-unfitted", &[("why", why.into())]);
            }
            return Ok(Vec::new());
        };
        let body = serde_json::to_vec(&fitted)?;
        let made_of = (live.hash(), PROGRAM);
        self.store.keep_result(self.name, FIT, made_of, body, clock::now_ms()).map_err(|e| anyhow!("{e}"))?;
        self.line("live-fitted", &traces);
        Ok(live.models(&fitted))
    }
}

/// Fits the house and judges hours until the end is asked for, and then once more; `halt` ends it at once.
pub(super) fn run(work: &Work<'_>, inputs: &api::Inputs, end: &Stop, halt: &Stop) -> Result<Standing> {
    let live = Live::open(inputs);
    let models = work.models(&live, halt)?;
    if halt.asked() {
        return Ok(Standing::default());
    }
    let mut hours = Hours::new(work, &live, &models)?;
    loop {
        if !work.at_the_end {
            hours.told(work, halt);
        }
        if end.wait(LOOK) {
            break;
        }
    }
    hours.told(work, halt);
    Ok(hours.standing())
}

/// The watch, ready to judge.
pub(super) struct Hours<'a> {
    work: &'a Work<'a>,
    live: &'a Live,
    setup: Setup<'a>,
    fields: Vec<(String, Field)>,
    watch: Watch,
    /// Hash of the house's documents; empty without a house.
    inputs: String,
    /// Readings before this were taken, ms since 1970.
    until_ms: Option<i64>,
    /// Whether the store has a memory of it.
    went_on: bool,
    trouble: bool,
    /// What it remembered before.
    back: Back,
    /// When it was looked for late readings, ms.
    late_ms: Option<i64>,
}

impl<'a> Hours<'a> {
    /// With what the store remembers.
    pub(super) fn new(work: &'a Work<'a>, live: &'a Live, models: &'a [Model]) -> Result<Hours<'a>> {
        let setup = live.setup(models);
        let fields = setup.sources.iter().map(|s| (s.name.clone(), s.field)).collect();
        let inputs = if models.is_empty() { String::new() } else { live.hash().to_owned() };
        let memory = work.store.watched(work.name).map_err(|e| anyhow!("{e}"))?;
        let went_on = memory.is_some();
        let read = memory.and_then(|m| Some((serde_json::from_slice::<Watch>(&m.body).ok()?, m)));
        if went_on && read.is_none() {
            work.line("live-anew", &[]);
        }
        let (watch, until_ms, back) = match read {
            Some((mut watch, memory)) => {
                let same = memory.inputs == inputs;
                if !same {
                    watch.rehoused();
                }
                // What another house was expected to show is not judged again.
                (watch, Some(memory.until_ms), memory.back.filter(|_| same))
            }
            None => (Watch::default(), None, None),
        };
        let back = back.and_then(|body| serde_json::from_slice(&body).ok()).unwrap_or_default();
        Ok(Hours {
            work,
            live,
            setup,
            fields,
            watch,
            inputs,
            until_ms,
            went_on,
            trouble: false,
            back,
            late_ms: None,
        })
    }

    fn source(&self, at: usize) -> String {
        format!("{}/{}", self.work.name, self.setup.sources[at].name)
    }

    /// Judges what can be, and says what goes wrong, once until it goes right again.
    fn told(&mut self, work: &Work<'_>, halt: &Stop) {
        match self.look(clock::now_ms(), halt) {
            Ok(()) => self.trouble = false,
            Err(error) if !self.trouble => {
                self.trouble = true;
                super::talk(&format!("{}: {error:#}\n", work.words.say("severity-error")));
            }
            Err(_) => {}
        }
    }

    /// Judges all whole hours before now that are not judged yet.
    pub(super) fn look(&mut self, now_ms: i64, halt: &Stop) -> Result<()> {
        let end_ms = (now_ms - GRACE_MS).div_euclid(HOUR_MS) * HOUR_MS;
        self.look_for_late(now_ms)?;
        if self.until_ms.is_some_and(|u| u >= end_ms) {
            return Ok(());
        }
        let mut far = false;
        while !halt.asked() {
            let Some(from_ms) = self.next(end_ms)?.filter(|f| *f < end_ms) else { return Ok(()) };
            let midnight_ms = from_ms + (24 - self.setup.clock.hour(from_ms) as i64) * HOUR_MS;
            let to_ms = midnight_ms.min(end_ms);
            if !far && to_ms + 30 * 24 * HOUR_MS < end_ms {
                far = true;
                self.work.line("live-catching-up", &[("time", self.work.time(end_ms).into())]);
            }
            self.judge(from_ms, to_ms, now_ms)?;
        }
        Ok(())
    }

    /// Where readings of the last day came after their hours were judged, the memory of before is taken up again.
    fn look_for_late(&mut self, now_ms: i64) -> Result<()> {
        let due = self.late_ms.is_none_or(|l| now_ms - l >= LATE_LOOK_MS || now_ms < l);
        let (Some(until_ms), Some(oldest), true) = (self.until_ms, self.back.oldest(), due) else {
            return Ok(());
        };
        self.late_ms = Some(now_ms);
        let mut there = 0;
        for at in 0..self.setup.sources.len() {
            let of = self.work.store.points_count(&self.source(at), oldest.until_ms, until_ms);
            there += of.map_err(|e| anyhow!("{e}"))?;
        }
        if there == oldest.count {
            return Ok(());
        }
        // A second time before the first has come to its end ends where the first would have.
        let to_ms = self.back.again_to_ms.map_or(until_ms, |t| t.max(until_ms));
        if let Some((from_ms, watch)) = self.back.again(to_ms) {
            self.work.line("live-again", &[("time", self.work.time(from_ms).into())]);
            (self.watch, self.until_ms) = (watch, Some(from_ms));
        }
        Ok(())
    }

    /// Where judging goes on, ms; nothing where nothing was ever read.
    fn next(&self, end_ms: i64) -> Result<Option<i64>> {
        let since_ms = self.until_ms.unwrap_or(end_ms - BACK_MS);
        if self.until_ms.is_some() && end_ms - since_ms <= REST_MS {
            return Ok(self.until_ms);
        }
        let mut first: Option<i64> = None;
        for at in 0..self.setup.sources.len() {
            let of = self.work.store.first_from(&self.source(at), since_ms).map_err(|e| anyhow!("{e}"))?;
            first = [first, of].into_iter().flatten().min();
        }
        let first = first.map(|f| f.div_euclid(HOUR_MS) * HOUR_MS);
        Ok(match self.until_ms {
            // Short rests are lived through, long ones left out.
            Some(until_ms) => first.map(|f| if f - until_ms > REST_MS { f } else { until_ms }),
            None => first,
        })
    }

    /// Judges the hours of one day, or of a part of it.
    fn judge(&mut self, from_ms: i64, to_ms: i64, now_ms: i64) -> Result<()> {
        for at in 0..self.setup.sources.len() {
            let source = self.source(at);
            let mut points = self.work.store.points(&source, from_ms, to_ms).map_err(|e| anyhow!("{e}"))?;
            self.back.took(points.len());
            if self.setup.sources[at].field.drives() {
                let before = self.work.store.point_before(&source, from_ms).map_err(|e| anyhow!("{e}"))?;
                points = held(&points, before, (from_ms, to_ms));
            }
            // Carbon monoxide was told when it came.
            self.watch.take(&self.setup, at, &points);
        }
        let before: Vec<Event> = self.watch.events().cloned().collect();
        let alerts = self.watch.advance(&self.setup, to_ms).map_err(|e| anyhow!("{e}"))?;
        let events: Vec<Event> = self.watch.events().filter(|e| !before.contains(e)).cloned().collect();
        let bands = self.watch.take_bands();
        let expected: Vec<_> = bands
            .into_iter()
            .map(|b| {
                let (draws, instrument, learned) = b.parts;
                let (hour_ms, mean, (lo, hi)) = (b.hour_ms, b.expected, b.interval);
                (self.source(b.source), Expected { hour_ms, mean, lo, hi, draws, instrument, learned })
            })
            .collect();
        // Silence is the desk's own to tell, by each source's own patience.
        let apart = |a: &&Alert| !matches!(a.kind, Kind::Silence | Kind::CarbonMonoxide);
        let news: Vec<(&Alert, News)> = alerts.iter().filter(apart).map(|a| (a, self.news(a))).collect();
        let mut founds: Vec<Found> = events.iter().map(|e| self.event(e)).collect();
        let told: Vec<_> = news.iter().map(|(a, n)| self.tell(a, n, now_ms)).collect();
        for found in told.iter().map(|t| &t.0) {
            self.back.say(Said {
                kind: found.kind.clone(),
                about: found.about.clone(),
                time_ms: found.known_ms.unwrap_or(found.start_ms),
                start_ms: found.start_ms,
            });
        }
        if self.back.again_to_ms.is_some_and(|t| to_ms >= t) {
            // With all readings some of what was told is none: it is over where it began.
            let kind = crate::alert::NewsKind::Change.key();
            let withdrawn = self.back.withdrawn(kind, &self.watch);
            founds.extend(withdrawn.into_iter().map(|s| Found {
                job: self.work.name.to_owned(),
                kind: s.kind,
                about: s.about,
                start_ms: s.start_ms,
                known_ms: Some(s.time_ms),
                end_ms: Some(s.start_ms),
                ..Found::default()
            }));
        }
        if self.setup.clock.hour(to_ms) == 0 {
            self.back.day(to_ms, &self.watch);
        }
        let judged = Judged {
            job: self.work.name.to_owned(),
            memory: Some(Watched {
                inputs: self.inputs.clone(),
                until_ms: to_ms,
                body: serde_json::to_vec(&self.watch)?,
                standing: Shown::of(&self.watch, &self.setup).map(|s| serde_json::to_vec(&s)).transpose()?,
                back: Some(serde_json::to_vec(&self.back)?),
            }),
            went_on: self.went_on,
            expected,
            events: founds,
            told,
        };
        match self.work.store.judged(judged, clock::now_ms()) {
            Ok(true) => {}
            Ok(false) => {
                // What it remembers was erased at somebody's request.
                self.work.line("live-anew", &[]);
                (self.watch, self.until_ms, self.went_on) = (Watch::default(), None, false);
                self.back = Back::default();
                return Ok(());
            }
            Err(error) => {
                // The store stands where it stood, and so does the watch.
                self.again()?;
                return Err(anyhow!("{error}"));
            }
        }
        (self.until_ms, self.went_on) = (Some(to_ms), true);
        if !self.work.quiet {
            for (_, n) in news.iter().filter(|n| is_fresh(n.0, now_ms) && !n.1.late) {
                let message = compose(n, self.work.title, &self.work.zone, &self.work.words);
                super::talk(&format!("{} {}\n", clock::now(), message.text.trim_end()));
            }
        }
        Ok(())
    }

    /// What the store remembers, once more.
    fn again(&mut self) -> Result<()> {
        let memory = self.work.store.watched(self.work.name).map_err(|e| anyhow!("{e}"))?;
        self.back = Back::default();
        (self.watch, self.until_ms, self.went_on) = match memory {
            Some(m) => {
                let back = m.back.filter(|_| m.inputs == self.inputs);
                self.back = back.and_then(|body| serde_json::from_slice(&body).ok()).unwrap_or_default();
                (serde_json::from_slice(&m.body)?, Some(m.until_ms), true)
            }
            None => (Watch::default(), None, false),
        };
        Ok(())
    }

    fn news(&self, alert: &Alert) -> News {
        let event = self.watch.events().find(|e| Some(e.id) == alert.event);
        let causes =
            event.map(|e| cause_words(e, &self.fields, self.live, &self.work.words)).unwrap_or_default();
        News {
            causes,
            late: self.back.again_to_ms.is_some(),
            ..news(alert, self.work.document, self.work.places)
        }
    }

    /// An event as the store keeps it.
    fn event(&self, event: &Event) -> Found {
        let first = event.traces.first();
        let own = first.map_or_else(String::new, |m| m.trace.clone());
        let kind = crate::alert::NewsKind::Change.key();
        let traces: Vec<&str> = event.traces.iter().map(|m| m.trace.as_str()).collect();
        let before = self.back.before(kind, &traces, event.known_ms);
        let about = before.map_or_else(|| own.clone(), |s| s.about.clone());
        let known_ms = before.map_or(event.known_ms, |s| s.time_ms);
        let measures = match quantity(self.work.document, &own) {
            Q::Temperature => Q::TemperatureDifference,
            other => other,
        };
        Found {
            job: self.work.name.to_owned(),
            kind: kind.to_owned(),
            about,
            start_ms: event.start_ms,
            known_ms: Some(known_ms),
            end_ms: event.end_ms,
            sources: event.traces.iter().map(|m| format!("{}/{}", self.work.name, m.trace)).collect(),
            value: first.map(|m| (written(measures), m.by)),
            level: first.map(|m| m.level),
            causes: serde_json::to_string(&event.causes).ok(),
            false_a_month: None,
            is_alert: false,
        }
    }

    /// An alert with its event, and messages where it is not too old for them.
    fn tell(&self, alert: &Alert, news: &News, now_ms: i64) -> (Found, Vec<Message>) {
        let kind = news.kind.key();
        let event = self.watch.events().find(|e| Some(e.id) == alert.event);
        let traces: Vec<&str> = match event {
            Some(event) => event.traces.iter().map(|m| m.trace.as_str()).collect(),
            None => vec![alert.of.as_str()],
        };
        let before = self.back.before(kind, &traces, event.map_or(alert.time_ms, |e| e.known_ms)).cloned();
        let of_event = self.watch.events().find(|e| Some(e.id) == alert.event).map(|e| self.event(e));
        let alone = || Found {
            job: self.work.name.to_owned(),
            kind: news.kind.key().to_owned(),
            about: alert.of.clone(),
            start_ms: before.as_ref().map_or(alert.time_ms, |s| s.start_ms),
            sources: vec![format!("{}/{}", self.work.name, alert.of)],
            value: news.value.map(|(si, q)| (written(q), si)),
            ..Found::default()
        };
        let found =
            Found { is_alert: true, false_a_month: news.false_a_month, ..of_event.unwrap_or_else(alone) };
        let fresh = is_fresh(alert, now_ms) && before.is_none();
        let channels = self.work.channels.iter().filter(|_| fresh);
        (
            found,
            messages(self.work.name, self.work.title, news, (&self.work.zone, &self.work.words), channels),
        )
    }

    fn standing(&self) -> Standing {
        let lasting = self.watch.events().filter(|e| e.end_ms.is_none());
        let traces = self.watch.now(&self.setup);
        let lines = self.lines(&traces);
        Standing { until_ms: self.until_ms, traces, events: lasting.cloned().collect(), lines }
    }

    /// A line for each trace of which something is expected.
    fn lines(&self, traces: &[Now]) -> Vec<String> {
        let (work, words) = (self.work, &self.work.words);
        let one = |n: &Now| {
            let ((lo, hi), within) = (n.interval?, n.within?);
            let (of, place) = called(work.document, &n.trace, work.places);
            let show = |si| words.quantity(si, quantity(work.document, &n.trace));
            let args = [
                ("of", of.into()),
                ("place", place.into()),
                ("time", work.time(n.hour_ms).into()),
                ("measured", show(n.measured).into()),
                ("range", words.from_to(&show(lo), &show(hi)).into()),
            ];
            Some(words.text(if within { "live-expected" } else { "live-expected-out" }, &args))
        };
        let mut lines: Vec<String> = traces.iter().filter_map(one).collect();
        lines.extend(self.until_ms.map(|ms| words.text("live-judged", &[("time", work.time(ms).into())])));
        lines
    }
}

fn is_fresh(alert: &Alert, now_ms: i64) -> bool {
    now_ms - alert.time_ms <= OLD_MS
}

/// A message for each channel, told from others by job, news and channel.
pub(super) fn messages<'c>(
    name: &str,
    title: &str,
    news: &News,
    (zone, words): (&jiff::tz::TimeZone, &Words),
    channels: impl Iterator<Item = &'c String>,
) -> Vec<Message> {
    let message = compose(news, title, zone, words);
    let Ok(payload) = serde_json::to_vec(&message) else { return Vec::new() };
    channels.map(|c| (format!("{name} {} {c}", news.key()), c.clone(), payload.clone())).collect()
}

#[cfg(test)]
mod tests;
