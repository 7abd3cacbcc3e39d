//! Readings by MQTT: a thread a broker, with reconnecting and acknowledgement after keeping.

mod link;

use super::{Arrival, BackOff, Inlet, Stop, Ticket, Via};
use crate::clock;
use engine::doc::watch::Version;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// First and longest pause between attempts to connect, ms.
const PAUSES_MS: (u64, u64) = (250, 60_000);
/// Longest packet; its payload is cut to [`super::LONGEST`]. A longer one would end the connection.
const LONGEST_PACKET: usize = 4 << 20;
/// Acknowledgements and subscriptions that may wait to be sent.
const REQUESTS: usize = 1024;
/// How long one message of our own may take to be acknowledged.
const PUBLISHING: Duration = Duration::from_secs(20);

/// What is needed to connect.
#[derive(Clone)]
pub(crate) struct Setup {
    /// Name of the broker's table.
    pub(crate) name: Arc<str>,
    /// Host.
    pub(crate) host: String,
    /// Port.
    pub(crate) port: u16,
    /// Version spoken.
    pub(crate) version: Version,
    /// Our name at the broker.
    pub(crate) client: String,
    /// User and password.
    pub(crate) login: Option<(String, Option<String>)>,
    /// Whether the connection is encrypted; the file of an authority of one's own.
    pub(crate) tls: Option<Option<PathBuf>>,
    /// Keep-alive, s.
    pub(crate) keep_alive_s: u16,
}

impl std::fmt::Debug for Setup {
    /// Without the login.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} at {}:{}", self.name, self.host, self.port)
    }
}

/// What happened on a connection.
enum Happened {
    /// Connected.
    Up,
    /// A message came.
    Message(Message),
    /// Our message has arrived.
    Published,
    /// The broker does not let us hear the topics of one filter, by its place.
    Refused(usize),
    /// The connection was lost or could not be made.
    Down(String),
    /// It was ended by us.
    Over,
    /// Nothing that matters here.
    Other,
}

/// A message as the client library hands it out.
struct Message {
    topic: String,
    body: Vec<u8>,
    again: bool,
    stored: bool,
    ticket: Option<Box<dyn Ticket>>,
}

/// One connection of either version, seen from its thread.
trait Link: Send {
    /// Waits for what happens next; connects where there is no connection.
    fn next(&mut self) -> Happened;
    /// Asks for topics, each message at least once.
    fn subscribe(&mut self, filters: &[String]) -> Result<(), String>;
    /// Sends a message, at least once.
    fn publish(&mut self, topic: &str, body: &[u8]) -> Result<(), String>;
    /// Something that ends the connection from another thread.
    fn ender(&self) -> Box<dyn Fn() + Send>;
}

fn open(setup: &Setup, stays: bool) -> Result<Box<dyn Link>, String> {
    match setup.version {
        Version::V311 => link::v4(setup, stays),
        Version::V5 => link::v5(setup, stays),
    }
}

/// How a broker's connection is doing, for showing.
#[derive(Clone, Default)]
pub(crate) struct Status {
    up: Arc<AtomicBool>,
    connected: Arc<AtomicU64>,
    why: Arc<Mutex<String>>,
}

impl Status {
    /// Whether it is connected now.
    pub(crate) fn is_up(&self) -> bool {
        self.up.load(Ordering::Relaxed)
    }

    /// How often it was connected.
    pub(crate) fn connected(&self) -> u64 {
        self.connected.load(Ordering::Relaxed)
    }

    /// Why it is not.
    pub(crate) fn why(&self) -> String {
        self.why.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn goes_up(&self) {
        self.up.store(true, Ordering::Relaxed);
        self.connected.fetch_add(1, Ordering::Relaxed);
    }

    fn goes_down(&self, why: String) {
        self.up.store(false, Ordering::Relaxed);
        *self.why.lock().unwrap_or_else(PoisonError::into_inner) = why;
    }
}

/// A broker that is listened to.
pub(crate) struct Listening {
    /// How it is doing.
    pub(crate) status: Status,
    end: Box<dyn Fn() + Send>,
    thread: std::thread::JoinHandle<()>,
}

impl Listening {
    /// Ends the connection; what the broker has not been told of it sends again next time.
    pub(crate) fn end(self) {
        (self.end)();
        // A thread that is just connecting ends when that is decided; nobody needs to wait for it.
        if self.thread.is_finished() && self.thread.join().is_err() {}
    }
}

/// Listens to a broker until told to stop.
///
/// # Errors
///
/// Why there can be no such connection at all; a broker that is away is no error.
pub(crate) fn listen(
    setup: &Setup,
    filters: Vec<String>,
    inlet: Inlet,
    stop: Stop,
) -> Result<Listening, String> {
    let mut link = open(setup, true)?;
    let end = link.ender();
    let status = Status::default();
    let told = status.clone();
    let name = Arc::clone(&setup.name);
    let thread = std::thread::Builder::new().name(format!("mqtt {name}"));
    let work = move || {
        let mut pause = BackOff::new(PAUSES_MS.0, PAUSES_MS.1);
        while !stop.asked() {
            match link.next() {
                Happened::Up => match link.subscribe(&filters) {
                    Ok(()) => {
                        pause.reset();
                        told.goes_up();
                    }
                    Err(why) => told.goes_down(why),
                },
                Happened::Message(m) => {
                    let via = Via::Topic { broker: Arc::clone(&name), topic: m.topic };
                    let arrival = Arrival::new(via, m.body, clock::now_ms());
                    if !inlet.put(Arrival { again: m.again, stored: m.stored, ticket: m.ticket, ..arrival }) {
                        return;
                    }
                }
                Happened::Down(why) => {
                    told.goes_down(why);
                    if stop.wait(pause.next()) {
                        return;
                    }
                }
                // Connected, and of no use: that must be seen.
                Happened::Refused(at) => {
                    let filter = filters.get(at).map_or("", String::as_str);
                    told.goes_down(format!("`{filter}` is refused"));
                }
                Happened::Over => return,
                Happened::Published | Happened::Other => {}
            }
        }
    };
    let thread = thread.spawn(work).map_err(|e| e.to_string())?;
    Ok(Listening { status, end, thread })
}

/// Publishes one message on a connection of its own and waits until the broker has it.
///
/// # Errors
///
/// Why it could not be handed over.
pub(crate) fn publish(setup: &Setup, topic: &str, body: &[u8]) -> Result<(), String> {
    let mut link = open(setup, false)?;
    let end = link.ender();
    let began = clock::monotonic();
    // The library waits for ever where a broker takes a connection and says nothing.
    let (done, waits) = std::sync::mpsc::channel::<()>();
    let watchdog = std::thread::spawn(move || {
        if waits.recv_timeout(PUBLISHING).is_err() {
            end();
        }
    });
    let result = loop {
        match link.next() {
            Happened::Up => {
                if let Err(why) = link.publish(topic, body) {
                    break Err(why);
                }
            }
            Happened::Published => break Ok(()),
            Happened::Down(why) => break Err(why),
            Happened::Over => break Err("no answer".to_owned()),
            Happened::Message(_) | Happened::Refused(_) | Happened::Other if began.elapsed() > PUBLISHING => {
                break Err("no answer".to_owned());
            }
            Happened::Message(_) | Happened::Refused(_) | Happened::Other => {}
        }
    };
    link.ender()();
    // The watchdog ends by itself; it may have ended already.
    done.send(()).ok();
    watchdog.join().ok();
    result
}

#[cfg(test)]
mod tests;
