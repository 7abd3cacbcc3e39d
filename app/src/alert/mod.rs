//! Telling people: each alert in plain words of the job's language, through channels that may fail.
//!
//! A message goes into the outbox with the alert itself and leaves it when the channel has taken it;
//! a channel that fails is tried again, later and later, for as long as it takes.

mod mail;
mod words;

use crate::intake::web::Web;
use crate::intake::{Stop, mqtt, secret};
use engine::doc::watch::{Alert, By};
use std::path::{Path, PathBuf};
use std::time::Duration;

pub(crate) use words::{News, NewsKind, compose};

/// How often the outbox is looked into.
const LOOK: Duration = Duration::from_secs(2);
/// Pause after a first failure, and the longest, ms.
const PAUSES_MS: (i64, i64) = (10_000, 6 * 3_600_000);
/// Messages sent in one go.
pub(crate) const AT_ONCE: usize = 20;

/// What is handed to a channel.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct Message {
    /// Name and version of this shape.
    pub(crate) schema: String,
    /// Kind of alert.
    pub(crate) kind: String,
    /// Name of the job.
    pub(crate) job: String,
    /// The source or device it is about.
    pub(crate) of: String,
    /// When, with offset.
    pub(crate) time: String,
    /// The number that tells, SI, where there is one.
    pub(crate) value: Option<f64>,
    /// Its SI unit.
    pub(crate) unit: Option<String>,
    /// Such alerts a month that are expected of a house where nothing is the matter; nothing where no chance
    /// is in it.
    #[serde(default)]
    pub(crate) false_a_month: Option<f64>,
    /// One line.
    pub(crate) subject: String,
    /// In plain words.
    pub(crate) text: String,
}

/// A message in the outbox.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Due {
    /// Its number.
    pub(crate) id: i64,
    /// The channel it goes by.
    pub(crate) channel: String,
    /// What to hand over, JSON of a [`Message`].
    pub(crate) payload: Vec<u8>,
    /// Attempts that failed.
    pub(crate) attempts: i64,
    /// What tells it from others.
    pub(crate) key: String,
}

/// Where messages wait until they have left.
pub(crate) trait Outbox: Send + Sync {
    /// What should leave by now, at most [`AT_ONCE`] of it.
    ///
    /// # Errors
    ///
    /// Where the outbox cannot be read.
    fn due(&self, now_ms: i64) -> Result<Vec<Due>, String>;
    /// It has left.
    ///
    /// # Errors
    ///
    /// Where that could not be noted; it may then leave twice.
    fn sent(&self, id: i64, now_ms: i64) -> Result<(), String>;
    /// It could not leave; again at `next_ms`.
    ///
    /// # Errors
    ///
    /// Where that could not be noted.
    fn failed(&self, id: i64, next_ms: i64, why: &str) -> Result<(), String>;
}

/// The channels of the document, ready for use.
pub(crate) struct Channels {
    list: Vec<Alert>,
    brokers: Vec<mqtt::Setup>,
    job: PathBuf,
    web: Web,
}

impl Channels {
    /// Of a document; `brokers` by the names of their tables. Secrets are read when they are needed.
    pub(crate) fn new(list: &[Alert], brokers: Vec<mqtt::Setup>, job: &Path) -> Channels {
        let web = Web::new(concat!("airwright/", env!("CARGO_PKG_VERSION")));
        Channels { list: list.to_vec(), brokers, job: job.to_path_buf(), web }
    }

    /// Their names.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.list.iter().map(|a| a.name.value.as_str())
    }

    /// Hands a message over.
    ///
    /// # Errors
    ///
    /// Why not, in words without a secret.
    pub(crate) fn hand_over(&self, due: &Due) -> Result<(), String> {
        let channel = self.list.iter().find(|a| a.name.value == due.channel);
        let channel = channel.ok_or("`watch.toml` has no such channel any more")?;
        match &channel.by {
            By::Mail(mail) => {
                let message: Message = serde_json::from_slice(&due.payload).map_err(|e| e.to_string())?;
                mail::send(mail, &message, &due.key, &self.job)
            }
            By::Webhook { url, token } => {
                let token = token.as_ref().map(|t| secret::read(t, &self.job)).transpose()?;
                let body = std::str::from_utf8(&due.payload).map_err(|e| e.to_string())?;
                self.web.post(&url.value, token.as_deref(), body)
            }
            By::Mqtt { broker, topic } => {
                let setup = self.brokers.iter().find(|b| *b.name == *broker.value).ok_or("no such broker")?;
                // A name of its own: two connections of one name end each other.
                let client = format!("{}-alert", setup.client);
                mqtt::publish(&mqtt::Setup { client, ..setup.clone() }, &topic.value, &due.payload)
            }
        }
    }
}

/// When to try again after so many failures.
fn pause_ms(attempts: i64) -> i64 {
    let doublings = u32::try_from(attempts.clamp(0, 20)).unwrap_or(20);
    (PAUSES_MS.0 << doublings).min(PAUSES_MS.1)
}

/// Sends what is due; how many messages left and how many could not.
pub(crate) fn send_due(outbox: &dyn Outbox, channels: &Channels, now_ms: i64) -> (usize, usize) {
    let (mut left, mut failed) = (0, 0);
    for due in outbox.due(now_ms).unwrap_or_default() {
        let noted = match channels.hand_over(&due) {
            Ok(()) => {
                left += 1;
                outbox.sent(due.id, now_ms)
            }
            Err(why) => {
                failed += 1;
                let short: String = why.chars().take(300).collect();
                outbox.failed(due.id, now_ms + pause_ms(due.attempts), &short)
            }
        };
        if noted.is_err() {
            // The store says so elsewhere; the message stays and may come twice, not get lost.
            break;
        }
    }
    (left, failed)
}

/// Sends what is due from time to time until told to stop; how many left and how many attempts failed.
pub(crate) fn run(
    outbox: &dyn Outbox,
    channels: &Channels,
    stop: &Stop,
    clock: fn() -> i64,
) -> (usize, usize) {
    let mut all = (0, 0);
    loop {
        let (left, failed) = send_due(outbox, channels, clock());
        all = (all.0 + left, all.1 + failed);
        if stop.wait(LOOK) {
            return all;
        }
    }
}

#[cfg(test)]
mod tests;
