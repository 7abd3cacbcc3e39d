//! `airwright watch JOB [--since TIME]`: the series of a job lived through; events go to `out/watch-events.json`.
//! `airwright watch JOB --store FILE`: live readings into the store, silence and alerts to people.

mod back;
mod hours;
mod judge;
mod places;
mod rules;
mod summary;

use super::{OnJob, colour, data, talk, work};
use crate::alert::{self, Channels, Due, News, NewsKind, Outbox, compose};
use crate::intake::cannot::Cannot;
use crate::intake::desk::{Desk, Turn};
use crate::intake::house::{House, setup};
use crate::intake::keep::{Kept, written};
use crate::intake::map::Map;
use crate::intake::{Stop, channel, mqtt, outdoor};
use crate::store::{Found, Store, Who, read_folder};
use crate::{clock, files};
use anyhow::{Result, anyhow, bail};
use api::{Inputs, Request};
use clap::Args;
use engine::diag::Arg;
use engine::doc::watch::{NAME, Watch};
use engine::doc::{Documents, Sink};
use engine::watch::Alert;
use report::terminal::{Style, render_all};
use report::words::Words;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// How long a turn waits for something to arrive.
const TURN: Duration = Duration::from_millis(200);
/// `--once` ends after so long without anything new, and after so long whatever comes.
const QUIET: Duration = Duration::from_secs(3);
const ONCE: Duration = Duration::from_secs(120);
/// At the end: turns for what waits, and time for acknowledgements to leave.
const LAST_TURNS: usize = 20;
const LEAVING: Duration = Duration::from_millis(200);

/// A job to be watched.
#[derive(Debug, Args)]
pub(super) struct OnWatch {
    #[command(flatten)]
    on: OnJob,
    /// What is shown of the job's series begins here: a date, or a date and a time, of the house's clock.
    #[arg(long, value_name = "TIME", value_parser = since, conflicts_with = "store")]
    since: Option<String>,
    /// Take live readings by the job's `watch.toml` into this store; made where it is not there.
    #[arg(long, value_name = "FILE")]
    store: Option<PathBuf>,
    /// Take what waits, send what is due, and end.
    #[arg(long, requires = "store")]
    once: bool,
    /// End after so long, such as `8 h`.
    #[arg(long = "for", value_name = "DURATION", value_parser = duration, requires = "store", conflicts_with = "once")]
    time: Option<Duration>,
}

/// A date, or a date and a time.
fn since(text: &str) -> Result<String, String> {
    let is_date = text.parse::<jiff::civil::Date>().is_ok() && text.len() == 10;
    match is_date || text.parse::<jiff::civil::DateTime>().is_ok() {
        true => Ok(text.to_owned()),
        false => Err("a date such as 2026-11-12, or a date and a time".to_owned()),
    }
}

fn duration(text: &str) -> Result<Duration, String> {
    let parsed = engine::units::parse(text, engine::units::Quantity::Time).map(|w| w.si);
    match parsed {
        Ok(s) if (1.0..=366.0 * 86_400.0).contains(&s) => Ok(Duration::from_millis((1000.0 * s) as u64)),
        _ => Err("a length of time with its unit, such as `90 s`, `10 min` or `8 h`".to_owned()),
    }
}

/// The job's documents that the watch needs, checked.
struct Opened {
    inputs: Inputs,
    documents: Documents,
    watch: Watch,
    words: Words,
}

fn open(on: &OnJob) -> Result<Option<Opened>> {
    let inputs = Inputs { files: files::read_job(&on.job)?, now: clock::now() };
    if !inputs.files.iter().any(|f| f.name == "job.toml") {
        return Err(crate::plain::no_job(&on.job));
    }
    let words = api::words(&inputs);
    let Some(file) = inputs.files.iter().find(|f| f.name == NAME).cloned() else {
        bail!("{}", words.say("cli-no-watch"))
    };
    // The rest of the job says what it has to say when it is worked.
    let documents = engine::doc::load(&inputs.files, &Sink::default());
    let sink = Sink::default();
    let watch = engine::doc::watch::read(&file, &sink);
    let mut found = sink.into_inner();
    found.append(engine::doc::watch::check(&watch, documents.house.as_ref()));
    if !found.list.is_empty() {
        let texts: BTreeMap<String, String> = [(file.name.clone(), file.text.clone())].into();
        talk(&render_all(&found, &texts, &words, Style { colour: colour() }));
    }
    if found.has_errors() {
        talk(&format!("{}\n", words.text("cli-watch-mistakes", &[("path", NAME.into())])));
        return Ok(None);
    }
    Ok(Some(Opened { inputs, documents, watch, words }))
}

/// The store as the alerts' outbox.
struct InStore(Arc<Store>);

impl Outbox for InStore {
    fn due(&self, now_ms: i64) -> Result<Vec<Due>, String> {
        let rows = self.0.outbox_due(now_ms, alert::AT_ONCE as i64).map_err(|e| e.to_string())?;
        let due = |r: crate::store::OutboxRow| Due {
            id: r.id,
            channel: r.channel,
            payload: r.payload,
            attempts: r.attempts,
            key: r.key,
        };
        Ok(rows.into_iter().map(due).collect())
    }

    fn sent(&self, id: i64, now_ms: i64) -> Result<(), String> {
        self.0.outbox_sent(id, now_ms).map_err(|e| e.to_string())
    }

    fn failed(&self, id: i64, next_ms: i64, why: &str) -> Result<(), String> {
        self.0.outbox_failed(id, next_ms, why).map_err(|e| e.to_string())
    }
}

/// Name of a job in a store: its folder's.
fn name_of(job: &Path) -> Result<String> {
    let full = job.canonicalize()?;
    let name = full.file_name().and_then(|n| n.to_str());
    name.map(str::to_owned).ok_or_else(|| anyhow!("`{}` has no name", job.display()))
}

/// Makes the job in the store where it is not there.
fn known(store: &Store, on: &Path, job: &Path, name: &str) -> Result<()> {
    if store.jobs().map_err(|e| anyhow!("{e}"))?.iter().any(|j| j.name == name) {
        return Ok(());
    }
    let mut files = read_folder(job).map_err(|e| anyhow!("{e}"))?.files;
    // A store within the job's folder does not hold itself.
    let own = on.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    files.retain(|f| !f.path.rsplit('/').next().is_some_and(|n| n.starts_with(&own)));
    let who = Who { author: "watch".to_owned(), device: "watch".to_owned(), now_ms: clock::now_ms() };
    let folder = job.canonicalize()?.display().to_string();
    store.put(name, &folder, files, false, who).map(|_| ()).map_err(|e| anyhow!("{e}"))
}

/// What is told while it runs, and to whom.
struct Telling<'a> {
    words: &'a Words,
    places: &'a places::Places,
    zone: jiff::tz::TimeZone,
    job: &'a str,
    /// Its name in the store.
    name: &'a str,
    channels: &'a Channels,
    store: &'a Store,
    quiet: bool,
    /// Connections and agencies as last told.
    told: BTreeMap<String, bool>,
}

impl Telling<'_> {
    fn line(&self, key: &str, args: &[(&str, Arg)]) {
        if !self.quiet {
            talk(&format!("{} {}\n", clock::now(), self.words.text(key, args)));
        }
    }

    /// Something beside the readings that could not be done; the watch goes on.
    fn trouble(&self, done: Result<()>) {
        if let Err(error) = done {
            talk(&format!("{}: {error:#}\n", self.words.say("severity-error")));
        }
    }

    /// Keeps news as an event with its alert, and puts it into the outbox, once for each channel. `began_ms`
    /// where the news is the end of something.
    fn put(&self, news: &News, began_ms: Option<i64>) {
        let kind = if began_ms.is_some() { NewsKind::Silence } else { news.kind };
        let found = Found {
            job: self.name.to_owned(),
            kind: kind.key().to_owned(),
            about: news.name.clone(),
            start_ms: began_ms.unwrap_or(news.time_ms),
            end_ms: began_ms.map(|_| news.time_ms),
            sources: vec![format!("{}/{}", self.name, news.name)],
            value: news.value.map(|(si, q)| (written(q), si)),
            is_alert: true,
            ..Found::default()
        };
        let names: Vec<String> = self.channels.names().map(str::to_owned).collect();
        let messages = hours::messages(self.name, self.job, news, (&self.zone, self.words), names.iter());
        self.trouble(self.store.tell(found, messages, clock::now_ms()).map_err(|e| anyhow!("{e}")));
    }

    /// What waits for nothing.
    fn found(&self, alerts: &[Alert], document: &Watch) {
        for found in alerts {
            let news = judge::news(found, document, self.places);
            self.put(&news, None);
            // Carbon monoxide is told here, too, however quiet the program is to be.
            if !self.quiet || news.kind == NewsKind::CarbonMonoxide {
                let message = compose(&news, self.job, &self.zone, self.words);
                talk(&format!("{} {}\n", clock::now(), message.text.trim_end()));
            }
        }
    }

    fn turn(&self, turn: &Turn, desk: &Desk<Kept>) {
        let silent = turn.silent.iter().map(|(name, since)| (name, *since, None));
        let heard = turn.heard.iter().map(|(name, since, at)| (name, *at, Some(*since)));
        for (name, time_ms, began_ms) in silent.chain(heard) {
            let (of, place) = desk.called(name);
            let place = self.places.say(&place);
            let args = [("of", of.as_str().into()), ("place", place.as_str().into())];
            let kind = if began_ms.is_none() { NewsKind::Silence } else { NewsKind::Heard };
            self.line(if began_ms.is_none() { "live-silent" } else { "live-heard" }, &args);
            let name = name.to_string();
            let (limit, grave, false_a_month, causes) = (None, None, None, Vec::new());
            let news = News {
                kind,
                name,
                of,
                place,
                time_ms,
                value: None,
                limit,
                grave,
                false_a_month,
                causes,
                late: false,
            };
            self.put(&news, began_ms);
        }
    }

    /// Connections that came or went.
    fn connections(&mut self, house: &House) {
        let mut now: Vec<(String, bool, String)> = Vec::new();
        for (name, broker) in &house.brokers {
            let up = broker.status.is_up();
            // Nothing is said before the first attempt has ended.
            if up || !broker.status.why().is_empty() {
                now.push((name.clone(), up, broker.status.why()));
            }
        }
        let doing = house.agencies.lock().map(|d| d.clone()).unwrap_or_default();
        for (name, why) in doing {
            now.push((name.to_owned(), why.is_none(), why.unwrap_or_default()));
        }
        for (name, up, why) in now {
            let before = self.told.insert(name.clone(), up);
            let agency = !house.brokers.iter().any(|(n, _)| *n == name);
            if before == Some(up) || (agency && up && before.is_none()) {
                continue;
            }
            let key = match (up, agency) {
                (true, _) => "live-up",
                (false, true) => "live-agency-away",
                (false, false) => "live-down",
            };
            self.line(key, &[("name", name.into()), ("why", why.into())]);
        }
    }
}

/// Lives through the job's series or, with a store, through what comes.
pub(super) fn run(asked: &OnWatch, quiet: bool) -> Result<u8> {
    match &asked.store {
        Some(store) => live(asked, store, quiet),
        None => work::run(&asked.on, &Request::Watch { since: asked.since.clone() }, quiet),
    }
}

/// What a diagnostic says, and what to do, as an error that ends the command.
fn said(words: &Words, diagnostic: &engine::diag::Diagnostic) -> anyhow::Error {
    let said = words.diagnostic(diagnostic);
    let help = said.help.map(|h| format!("\n{h}")).unwrap_or_default();
    anyhow!("{}: {}{help}", diagnostic.code, said.text)
}

/// Watches until it is ended; returns the exit status.
fn live(asked: &OnWatch, store_file: &Path, quiet: bool) -> Result<u8> {
    let on = &asked.on;
    let Some(Opened { inputs, documents, watch, words }) = open(on)? else { return Ok(2) };
    let name = name_of(&on.job)?;
    let store = Store::open(store_file).map_err(|e| {
        let why = said(&words, &e.diagnostic());
        anyhow!("{}: {why}", store_file.display())
    });
    let store = Arc::new(store?);
    known(&store, store_file, &on.job, &name)?;
    let mistake = |e: String| anyhow!(e);
    let cannot = |e: Cannot| said(&words, &e.diagnostic());
    let keep = Kept::new(Arc::clone(&store), &name, &watch, clock::now_ms()).map_err(mistake)?;
    let setups =
        watch.brokers.iter().map(|b| setup(b, &on.job, &name)).collect::<Result<Vec<mqtt::Setup>, _>>();
    let setups = setups.map_err(cannot)?;
    let channels = Channels::new(&watch.alerts, setups.clone(), &on.job);
    let agencies = watch.outdoor.as_ref().map(|o| outdoor::agencies(o, &on.job.join(files::OUT)));
    // Nothing more is taken; everything ends at once.
    let (stop, halt) = (Stop::default(), Stop::default());
    let asks = [stop.clone(), halt.clone()];
    // Where a handler cannot be set the default holds: the program ends at once, and what was not
    // acknowledged comes again.
    ctrlc::set_handler(move || asks.iter().for_each(Stop::ask)).ok();
    let (inlet, from) = channel();
    let speaks = api::words(&inputs);
    // A store that cannot keep anything is said at once, whoever listens: senders are held back.
    let trying = Box::new(move |count: u64, why: &str| {
        let said = speaks.text("live-failed", &[("count", Arg::Number(count as f64))]);
        talk(&format!("{} {said} ({why})\n", clock::now()));
    });
    let mut desk = Desk::new(from, Map::new(&watch), keep, trying, clock::now_ms());
    let house = House::open(&watch, &setups, &on.job, agencies.unwrap_or_default(), &inlet, &stop);
    let house = house.map_err(cannot)?;
    let outbox = InStore(Arc::clone(&store));
    let zone = documents.job.place.time_zone.as_ref().and_then(|z| jiff::tz::TimeZone::get(&z.value).ok());
    let places = places::Places::of(documents.house.as_ref(), &words);
    let mut telling = Telling {
        words: &words,
        places: &places,
        zone: zone.unwrap_or_else(jiff::tz::TimeZone::system),
        job: documents.job.name.as_str(),
        name: &name,
        channels: &channels,
        store: &store,
        quiet: quiet || on.json,
        told: BTreeMap::new(),
    };
    if let Some(posts) = &house.posts {
        let address = format!("http://{}/readings/", posts.address);
        telling.line("live-posts", &[("address", address.into())]);
    }
    let remembered = store.watched(&name).map_err(|e| anyhow!("{e}"))?;
    let remembered = remembered.and_then(|m| serde_json::from_slice(&m.body).ok()).unwrap_or_default();
    let mut judge = judge::Judge::new(&watch, remembered);
    let work = hours::Work {
        store: &store,
        name: &name,
        title: telling.job,
        document: &watch,
        places: &places,
        channels: channels.names().map(str::to_owned).collect(),
        words: api::words(&inputs),
        zone: telling.zone.clone(),
        quiet: telling.quiet,
        at_the_end: asked.once,
    };
    let (sending, end) = (Stop::default(), Stop::default());
    let (left, failed, standing, ruled) = std::thread::scope(|scope| {
        let (outbox, channels, over, ended) = (&outbox, &channels, sending.clone(), end.clone());
        let alerts = scope.spawn(move || alert::run(outbox, channels, &over, clock::now_ms));
        let (inputs, halt) = (&inputs, &halt);
        let (work, ruled_end) = (&work, end.clone());
        let hours = scope.spawn(move || hours::run(work, inputs, &ended, halt));
        let ruled = scope.spawn(move || rules::run(work, inputs, &ruled_end));
        let (began, mut last) = (clock::monotonic(), clock::monotonic());
        while !stop.asked() {
            let turn = desk.turn(TURN, &stop);
            if !turn.readings.is_empty() {
                last = clock::monotonic();
            }
            telling.turn(&turn, &desk);
            telling.found(&judge.turn(&turn.readings), &watch);
            telling.connections(&house);
            let over = asked.time.is_some_and(|t| began.elapsed() >= t);
            let waiting = house.brokers.iter().any(|(_, b)| !b.status.is_up());
            let quiet = last.elapsed() > QUIET && (!waiting || began.elapsed() > 4 * QUIET);
            if over || turn.over || (asked.once && (quiet || began.elapsed() > ONCE)) {
                break;
            }
        }
        stop.ask();
        // What came in meanwhile is seen to; where the store cannot keep it, it is not acknowledged.
        for _ in 0..LAST_TURNS {
            let turn = desk.turn(Duration::ZERO, &stop);
            if turn.readings.is_empty() {
                break;
            }
            telling.found(&judge.turn(&turn.readings), &watch);
        }
        end.ask();
        let standing = hours.join().unwrap_or_else(|_| Err(anyhow!("{}", words.say("live-hours-ended"))));
        let standing = standing.unwrap_or_else(|error| {
            telling.trouble(Err(error));
            hours::Standing::default()
        });
        let ruled = ruled.join().unwrap_or_else(|_| Err(anyhow!("{}", words.say("live-rules-ended"))));
        let ruled = ruled.unwrap_or_else(|error| {
            telling.trouble(Err(error));
            rules::RulesStanding::default()
        });
        sending.ask();
        // What was put in last is tried once before the end.
        let (left, failed) = alerts.join().unwrap_or_default();
        let (more, again) = alert::send_due(outbox, channels, clock::now_ms());
        (left + more, failed + again, standing, ruled)
    });
    // The last acknowledgements leave; what arrives from now on comes again next time.
    std::thread::sleep(LEAVING);
    let connected = house.brokers.iter().map(|(name, b)| (name.clone(), b.status.connected())).collect();
    house.end();
    let summary = summary::Summary {
        desk: &desk,
        places: &places,
        words: &words,
        zone: &telling.zone,
        connected,
        held: inlet.held(),
        left,
        failed,
        standing: &standing,
        rules: &ruled,
    };
    if on.json {
        data(&format!("{:#}\n", summary.json(&name)))
    } else {
        data(&summary.text())
    }
    let attention =
        !desk.tally.troubles.is_empty() || failed > 0 || desk.standing.values().any(|s| s.silent.is_some());
    Ok(u8::from(attention))
}
