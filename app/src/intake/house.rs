//! All ways in of one `watch.toml`, opened together and ended together.

use super::cannot::Cannot;
use super::outdoor::{self, Agency, Doing};
use super::{Inlet, LONGEST, Stop, mqtt, posts, secret};
use engine::doc::watch::{Arrives, Broker, Watch};
use std::path::Path;
use std::sync::Arc;

/// The ways in, open.
pub(crate) struct House {
    /// Brokers by name.
    pub(crate) brokers: Vec<(String, mqtt::Listening)>,
    /// The server for posts.
    pub(crate) posts: Option<posts::Listening>,
    /// How the agencies are doing.
    pub(crate) agencies: Doing,
}

/// How to connect to a broker.
///
/// # Errors
///
/// A secret that is not where the document says.
pub(crate) fn setup(broker: &Broker, job: &Path, name: &str) -> Result<mqtt::Setup, Cannot> {
    let login = broker.user.as_ref().map(|(user, password)| {
        let password = password.as_ref().map(|p| secret::read(p, job)).transpose();
        password.map(|p| (user.value.clone(), p))
    });
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    // Under this name the broker keeps what we miss: the same at every start, another for every job.
    let own = || {
        format!("airwright-{}-{}", name.chars().map(plain).take(40).collect::<String>(), broker.name.value)
    };
    Ok(mqtt::Setup {
        name: Arc::from(broker.name.value.as_str()),
        host: broker.address.value.host.clone(),
        port: broker.address.value.port,
        version: broker.version,
        client: broker.client.as_ref().map_or_else(own, |c| c.value.clone()),
        login: login.transpose()?,
        tls: broker.tls.then(|| broker.authority.as_ref().map(|a| job.join(&a.value))),
        keep_alive_s: broker.keep_alive_s as u16,
    })
}

/// Topic filters of a broker's sources, each once.
fn filters(watch: &Watch, broker: &str) -> Vec<String> {
    let of = |s: &engine::doc::watch::Source| match &s.from {
        Arrives::Topic { broker: b, filter } if b.value == broker => Some(filter.value.clone()),
        _ => None,
    };
    let mut all: Vec<String> = watch.sources.iter().filter_map(of).collect();
    let more = watch.brokers.iter().filter(|b| b.name.value == broker).flat_map(|b| &b.listen);
    all.extend(more.map(|f| f.value.clone()));
    all.sort();
    all.dedup();
    all
}

impl House {
    /// Opens them.
    ///
    /// # Errors
    ///
    /// A secret that is missing, an address that is taken; a broker or an agency that is away is none.
    pub(crate) fn open(
        watch: &Watch,
        setups: &[mqtt::Setup],
        job: &Path,
        agencies: Vec<Box<dyn Agency>>,
        inlet: &Inlet,
        stop: &Stop,
    ) -> Result<House, Cannot> {
        let mut brokers = Vec::new();
        for setup in setups {
            let filters = filters(watch, &setup.name);
            // A broker that is only published to needs no connection that stays.
            if !filters.is_empty() {
                let listening = mqtt::listen(setup, filters, inlet.clone(), stop.clone())?;
                brokers.push((setup.name.to_string(), listening));
            }
        }
        let posts = watch.posts.as_ref().map(|p| {
            let token = secret::read(&p.token, job)?;
            // What is longer would be kept as its beginning only.
            let largest_body = p.largest_body.min(LONGEST);
            let terms = posts::Terms { token, largest_body, per_minute: p.per_minute };
            let at = &p.listen.value;
            posts::listen(&at.host, at.port, terms, inlet.clone(), stop.clone())
        });
        let posts = posts.transpose()?;
        let doing = Doing::default();
        if !agencies.is_empty() {
            outdoor::watch(agencies, inlet.clone(), Arc::clone(&doing), stop.clone())?;
        }
        Ok(House { brokers, posts, agencies: doing })
    }

    /// Ends them, after their stop was asked for.
    pub(crate) fn end(self) {
        for (_, broker) in self.brokers {
            broker.end();
        }
        if let Some(posts) = self.posts {
            posts.end();
        }
    }
}
