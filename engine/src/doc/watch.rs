//! `watch.toml`: where live readings come from, what they are, and who is told.
//!
//! A reading counts once a `[source.NAME]` table says what it is; what arrives without one is kept
//! raw. Secrets never stand in the document: it names the file or the environment variable that
//! holds them.

use super::read::{Tab, parse};
use super::{File, Sink, Sp};
use crate::diag::{Diagnostic, code};
use crate::units::{self, Accuracy, Quantity as Q, Unit};
use std::net::IpAddr;

mod channel;
mod check;
mod known;

pub use channel::{Alert, By, Mail, MailTls};
pub use check::check;
pub use known::Filter;

/// Name of the document.
pub const NAME: &str = "watch.toml";
/// The place of a source at the air handler.
pub const HANDLER: &str = "air_handler";
/// The place of a source that is not in the house.
pub const OUTDOORS: &str = "outdoors";
/// Longest silence of a source, where neither it nor its interval is stated, s.
const SILENT_S: f64 = 1800.0;
/// Intervals that may be missed before a source counts as silent. Common practice, no source.
const MISSED: f64 = 5.0;
/// Most bytes of a posted body, where none is stated.
const LARGEST_BODY: usize = 64 << 10;
/// Posts a minute, where none is stated.
const PER_MINUTE: usize = 600;

/// What a source may measure: the words that control rules use, and some more.
pub const QUANTITIES: &[(&str, Q)] = &[
    ("temp", Q::Temperature),
    ("rh", Q::Fraction),
    ("dew_point", Q::Temperature),
    ("humidity_ratio", Q::HumidityRatio),
    ("co2", Q::GasFraction),
    ("co", Q::GasFraction),
    ("pm25", Q::ParticleConcentration),
    ("pm10", Q::ParticleConcentration),
    ("pressure", Q::Pressure),
    ("barometer", Q::Pressure),
    ("filter_drop", Q::StaticPressure),
    ("flow", Q::AirFlow),
    ("intake_flow", Q::AirFlow),
    ("on", Q::Number),
    ("power", Q::Power),
    ("energy", Q::Energy),
    ("wind", Q::Speed),
    ("wind_from", Q::Angle),
    ("run_share", Q::Fraction),
    ("people", Q::Number),
    ("open", Q::Number),
];

/// How a message says its readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Payload {
    /// A JSON document; `value` is the path to the number.
    Json,
    /// SenML in JSON (RFC 8428); `value` is the record's name.
    Senml,
    /// BTHome version 2 as a gateway forwards it; `value` is the object's name.
    Bthome,
    /// Comma-separated text with a header; `value` is the column.
    Csv,
    /// The number alone.
    Plain,
}

/// What was done to a value before it was sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// Nothing.
    Raw,
    /// The zero or baseline was taken off.
    BaselineSubtracted,
    /// A correction factor or an offset was applied.
    Corrected,
}

/// Where the messages of a source arrive.
#[derive(Clone, Debug, PartialEq)]
pub enum Arrives {
    /// At a broker, on topics that the filter matches.
    Topic {
        /// Name of the broker's table.
        broker: Sp<String>,
        /// MQTT topic filter.
        filter: Sp<String>,
    },
    /// Posted here, to `/readings/` and this path.
    Path(Sp<String>),
}

/// A live source.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// The name of its table.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where its messages arrive.
    pub from: Arrives,
    /// How they say it.
    pub payload: Payload,
    /// Where in a JSON message a BTHome payload stands; nothing where the message is the payload.
    pub inside: Option<Sp<String>>,
    /// What of the message is the value.
    pub value: Option<Sp<String>>,
    /// What of the message is the time; without it the time of arrival counts.
    pub time: Option<Sp<String>>,
    /// Which instrument, in the user's words.
    pub instrument: Sp<String>,
    /// A zone of the house, a fan, `air_handler`, a door, or [`OUTDOORS`].
    pub place: Sp<String>,
    /// The instrument's 95 % limit; nothing for that of its class.
    pub accuracy: Option<Accuracy>,
    /// A word of [`QUANTITIES`].
    pub word: &'static str,
    /// What that measures.
    pub quantity: Q,
    /// The unit of the numbers sent.
    pub unit: &'static Unit,
    /// What was done to them before.
    pub basis: Basis,
    /// After how long without a reading it counts as silent, s.
    pub silent_after_s: f64,
}

/// Where a secret is kept.
#[derive(Clone, Debug, PartialEq)]
pub enum Secret {
    /// In a file, its path relative to the job's folder.
    File(Sp<String>),
    /// In an environment variable.
    Environment(Sp<String>),
}

/// A host and a port.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Address {
    /// Name or number of the host.
    pub host: String,
    /// Port.
    pub port: u16,
}

impl Address {
    /// Whether it is this machine.
    pub fn is_here(&self) -> bool {
        self.host == "localhost" || self.host.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback())
    }
}

/// Version of MQTT.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Version {
    /// 3.1.1.
    V311,
    /// 5.
    V5,
}

/// An MQTT broker.
#[derive(Clone, Debug, PartialEq)]
pub struct Broker {
    /// The name of its table.
    pub name: Sp<String>,
    /// Where it listens.
    pub address: Sp<Address>,
    /// Version spoken.
    pub version: Version,
    /// Whether the connection is encrypted.
    pub tls: bool,
    /// A file with the authority's certificate (PEM), where it is not one that the system knows.
    pub authority: Option<Sp<String>>,
    /// Our name at the broker, under which it keeps what we missed.
    pub client: Option<Sp<String>>,
    /// User and where the password is.
    pub user: Option<(Sp<String>, Option<Secret>)>,
    /// Longest silence of the connection, s.
    pub keep_alive_s: f64,
    /// Topic filters that are listened to beside those of the sources: to find what else there is.
    pub listen: Vec<Sp<String>>,
}

/// Readings posted to this machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Posts {
    /// Where we listen: this machine or its own network.
    pub listen: Sp<Address>,
    /// What a sender must show.
    pub token: Secret,
    /// Most bytes of one body.
    pub largest_body: usize,
    /// Most posts a minute.
    pub per_minute: usize,
}

/// Outdoor air from public agencies.
#[derive(Clone, Debug, PartialEq)]
pub struct Outdoor {
    /// Latitude, deg north.
    pub latitude_deg: f64,
    /// Longitude, deg east.
    pub longitude_deg: f64,
    /// Whether a weather service is asked.
    pub weather: bool,
    /// Whether particles are asked for.
    pub particles: bool,
    /// Whom the agency may write to, as it asks of those who fetch by program.
    pub contact: Sp<String>,
    /// Another address of the weather service.
    pub weather_at: Option<Sp<String>>,
    /// Another address of the particle files.
    pub particles_at: Option<Sp<String>>,
    /// Farthest monitor that counts, m.
    pub within_m: f64,
}

/// The document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Watch {
    /// Brokers.
    pub brokers: Vec<Broker>,
    /// Posts.
    pub posts: Option<Posts>,
    /// Sources in the order of the file.
    pub sources: Vec<Source>,
    /// Outdoor air.
    pub outdoor: Option<Outdoor>,
    /// Who is told, and how.
    pub alerts: Vec<Alert>,
    /// Accuracies of traces by their names, such as `bedroom.co2`.
    pub accuracies: Vec<(Sp<String>, Accuracy)>,
    /// Filters.
    pub filters: Vec<Filter>,
}

/// Reads `watch.toml` of a job, all of it; nothing in it where there is no such file.
pub fn of_job(files: &[File], sink: &Sink) -> Watch {
    files.iter().find(|f| f.name == NAME).map(|f| read(f, sink)).unwrap_or_default()
}

/// Reads `watch.toml`.
pub fn read(file: &File, sink: &Sink) -> Watch {
    let root = parse(&file.name, &file.text, sink);
    let top = Tab::top(&file.name, &root, sink);
    top.format();
    let watch = Watch {
        brokers: top.named("broker").iter().filter_map(broker).collect(),
        posts: top.table("posts").and_then(|t| posts(&t)),
        sources: top.named("source").iter().filter_map(source).collect(),
        outdoor: top.table("outdoor").and_then(|t| outdoor(&t)),
        alerts: top.named("alert").iter().filter_map(channel::alert).collect(),
        accuracies: top.named("trace").iter().filter_map(known::trace).collect(),
        filters: top.named("filter").iter().filter_map(known::filter).collect(),
    };
    check::names(&watch, &top);
    watch
}

/// A host with its port, or a diagnostic.
fn address(t: &Tab<'_, '_>, key: &'static str) -> Option<Sp<Address>> {
    let text = t.text(key)?;
    let parts = text.value.rsplit_once(':').and_then(|(host, port)| {
        let host = host.strip_prefix('[').and_then(|h| h.strip_suffix(']')).unwrap_or(host);
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | ':' | '_');
        let port = port.parse::<u16>().ok()?;
        (!host.is_empty() && host.chars().all(plain)).then(|| Address { host: host.to_owned(), port })
    });
    if parts.is_none() {
        t.say(Diagnostic::error(code::L138).at(text.span.clone()).arg("found", text.value.as_str()));
    }
    parts.map(|value| Sp { value, span: text.span })
}

/// Where a secret is kept: `<what>_file` or `<what>_env`; what stands in the document is refused.
fn secret(t: &Tab<'_, '_>, [plain, file, env]: [&'static str; 3]) -> Option<Secret> {
    if let Some(found) = t.text(plain) {
        t.say(Diagnostic::error(code::L133).at(found.span).arg("key", plain));
    }
    match (t.text(file), t.text(env)) {
        (Some(_), Some(second)) => {
            t.say(Diagnostic::error(code::L134).at(second.span).arg("one", file).arg("other", env));
            None
        }
        (Some(path), None) => Some(Secret::File(path)),
        (None, name) => name.map(Secret::Environment),
    }
}

const PASSWORD: [&str; 3] = ["password", "password_file", "password_env"];
const TOKEN: [&str; 3] = ["token", "token_file", "token_env"];

fn broker((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Broker> {
    let address = t.need("address", address(t, "address"));
    let version = t
        .choice("version", &[("3.1.1", Version::V311), ("5", Version::V5)])
        .map_or(Version::V311, |v| v.value);
    let tls = t.flag("tls").unwrap_or(false);
    let authority = t.text("authority");
    let client = t.text("client");
    let password = secret(t, PASSWORD);
    let user = t.text("user").map(|user| (user, password));
    let keep_alive_s = t.bounded("keep_alive", Q::Time, 5.0..=3600.0).map_or(30.0, |s| s.value);
    let mut listen = t.text_or_texts("listen");
    listen.retain(|f| filter(t, f));
    let (name, address) = (name.clone(), address?);
    let broker = Broker { name, address, version, tls, authority, client, user, keep_alive_s, listen };
    if broker.user.is_some() && !broker.tls && !broker.address.value.is_here() {
        t.say(
            Diagnostic::warning(code::L142)
                .at(broker.address.span.clone())
                .arg("name", broker.name.value.as_str()),
        );
    }
    Some(broker)
}

fn posts(t: &Tab<'_, '_>) -> Option<Posts> {
    let listen = t.need("listen", address(t, "listen"));
    let token = secret(t, TOKEN);
    let largest_body = t.count("largest_body").map_or(LARGEST_BODY, |c| c.value.clamp(256, 4 << 20));
    let per_minute = t.count("per_minute").map_or(PER_MINUTE, |c| c.value.clamp(1, 60_000));
    let listen = listen?;
    let own = match listen.value.host.parse::<IpAddr>() {
        Ok(IpAddr::V4(ip)) => ip.is_loopback() || ip.is_private() || ip.is_link_local(),
        Ok(IpAddr::V6(ip)) => ip.is_loopback() || ip.is_unique_local() || ip.is_unicast_link_local(),
        Err(_) => listen.value.host == "localhost",
    };
    if !own {
        t.say(Diagnostic::error(code::L140).at(listen.span.clone()).arg("found", listen.value.host.as_str()));
        return None;
    }
    let Some(token) = token else {
        t.say(Diagnostic::error(code::L141).at(t.span()));
        return None;
    };
    Some(Posts { listen, token, largest_body, per_minute })
}

/// Whether a topic filter is one by the rules of MQTT (section 4.7 of 3.1.1 and 5).
fn is_filter(filter: &str) -> bool {
    let levels: Vec<&str> = filter.split('/').collect();
    let last = levels.len() - 1;
    let level = |(at, l): (usize, &&str)| match *l {
        "+" => true,
        "#" => at == last,
        other => !other.contains(['+', '#']),
    };
    !filter.is_empty()
        && filter.len() < 65_536
        && !filter.contains('\0')
        && levels.iter().enumerate().all(level)
}

/// The same, with a diagnostic where it is none.
fn filter(t: &Tab<'_, '_>, filter: &Sp<String>) -> bool {
    let good = is_filter(&filter.value);
    if !good {
        let found = filter.value.as_str();
        t.say(Diagnostic::error(code::L135).at(filter.span.clone()).arg("found", found));
    }
    good
}

/// Whether a topic is one that a filter asks for (section 4.7 of MQTT 3.1.1 and 5).
pub fn matches(filter: &str, topic: &str) -> bool {
    // Topics of the broker's own are asked for by name only.
    if topic.starts_with('$') && filter.starts_with(['+', '#']) {
        return false;
    }
    let mut topic = topic.split('/');
    for level in filter.split('/') {
        match (level, topic.next()) {
            // `a/#` takes `a` too.
            ("#", _) => return true,
            ("+", Some(_)) => {}
            (plain, Some(found)) if plain == found => {}
            _ => return false,
        }
    }
    topic.next().is_none()
}

fn source((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Source> {
    let label = t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value);
    let (topic, path, broker) = (t.text("topic"), t.text("path"), t.text("broker"));
    let from = match (topic, path) {
        (Some(filter), None) => {
            let broker = t.need("broker", broker);
            if self::filter(t, &filter) {
                broker.map(|broker| Arrives::Topic { broker, filter })
            } else {
                None
            }
        }
        (None, Some(path)) => Some(Arrives::Path(path)),
        (_, path) => {
            let at = path.map_or_else(|| t.span(), |p| p.span);
            t.say(Diagnostic::error(code::L132).at(at).arg("name", name.value.as_str()));
            None
        }
    };
    let payloads = [
        ("json", Payload::Json),
        ("senml", Payload::Senml),
        ("bthome", Payload::Bthome),
        ("csv", Payload::Csv),
        ("plain", Payload::Plain),
    ];
    let payload = t.need("payload", t.choice("payload", &payloads)).map(|p| p.value);
    let (inside, value) = (t.text("inside"), t.text("value"));
    if payload.is_some_and(|p| p != Payload::Plain) && value.is_none() {
        t.need::<()>("value", None);
    }
    let time = t.text("time");
    let instrument = t.need("instrument", t.text("instrument"));
    let place = t.need("place", t.text("place"));
    let words: Vec<(&'static str, (&'static str, Q))> =
        QUANTITIES.iter().map(|(w, q)| (*w, (*w, *q))).collect();
    let quantity = t.need("quantity", t.choice("quantity", &words)).map(|q| q.value);
    let written = t.need("unit", t.text("unit"));
    let unit = match (&quantity, &written) {
        (Some((word, q)), Some(written)) => {
            let unit = units::unit(&written.value, *q);
            if unit.is_none() {
                let [one, other] = q.likely_units();
                t.say(
                    Diagnostic::error(code::L131)
                        .at(written.span.clone())
                        .arg("unit", written.value.as_str())
                        .arg("quantity", *word)
                        .arg("one", one)
                        .arg("other", other),
                );
            }
            unit
        }
        _ => None,
    };
    let bases = [
        ("raw", Basis::Raw),
        ("baseline-subtracted", Basis::BaselineSubtracted),
        ("corrected", Basis::Corrected),
    ];
    let basis = t.need("basis", t.choice("basis", &bases)).map(|b| b.value);
    let every = t.bounded("every", Q::Time, 0.1..=86_400.0).map(|s| s.value);
    let silent = t.bounded("silent_after", Q::Time, 1.0..=7.0 * 86_400.0).map(|s| s.value);
    let (word, quantity) = quantity?;
    let accuracy = t.accuracy("accuracy", quantity).map(|a| a.value);
    Some(Source {
        accuracy,
        name: name.clone(),
        label,
        from: from?,
        payload: payload?,
        inside,
        value,
        time,
        instrument: instrument?,
        place: place?,
        word,
        quantity,
        unit: unit?,
        basis: basis?,
        silent_after_s: silent.or(every.map(|s| (MISSED * s).max(60.0))).unwrap_or(SILENT_S),
    })
}

fn outdoor(t: &Tab<'_, '_>) -> Option<Outdoor> {
    let degrees = |key, most: f64| {
        let rad = t.bounded(key, Q::Angle, -most.to_radians()..=most.to_radians());
        t.need(key, rad).map(|r| r.value.to_degrees())
    };
    let (latitude_deg, longitude_deg) = (degrees("latitude", 90.0), degrees("longitude", 180.0));
    let weather = t.flag("weather").unwrap_or(false);
    let particles = t.flag("particles").unwrap_or(false);
    let contact = t.need("contact", t.text("contact"));
    let (weather_at, particles_at) = (url(t, "weather_at"), url(t, "particles_at"));
    let within_m = t.bounded("within", Q::Length, 1000.0..=500_000.0).map_or(50_000.0, |w| w.value);
    Some(Outdoor {
        latitude_deg: latitude_deg?,
        longitude_deg: longitude_deg?,
        weather,
        particles,
        contact: contact?,
        weather_at,
        particles_at,
        within_m,
    })
}

/// An address of the web: encrypted, or this machine; without a secret in it.
fn url(t: &Tab<'_, '_>, key: &'static str) -> Option<Sp<String>> {
    let text = t.text(key)?;
    let rest = text.value.strip_prefix("https://").map(|r| (r, true));
    let rest = rest.or_else(|| text.value.strip_prefix("http://").map(|r| (r, false)));
    let good = rest.is_some_and(|(rest, encrypted)| {
        let host = rest.split(['/', '?', '#']).next().unwrap_or("");
        let bare = host.rsplit_once(':').map_or(host, |(h, _)| h);
        let here = Address { host: bare.trim_matches(['[', ']']).to_owned(), port: 0 }.is_here();
        !host.is_empty() && !host.contains('@') && (encrypted || here) && !rest.contains(char::is_whitespace)
    });
    if !good {
        t.say(Diagnostic::error(code::L143).at(text.span.clone()).arg("key", key));
    }
    good.then_some(text)
}

#[cfg(test)]
mod tests;
