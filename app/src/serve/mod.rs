//! The server: the pages, and with a store the desk that phones and other machines exchange with.
//!
//! A request passes [`listen`] (who may connect, how long, encrypted by [`tls`]), [`guard`] (host, origin,
//! pace, token) and reaches one of [`documents`], [`series`], [`live`], [`tasks`] or [`pair`]; everything
//! else is [`pages`]: files of a fixed list by exact name. No path of the disk is ever made from a request.
//! Nothing is believed of a device but its token, which travels in a header alone: no cookie that another
//! site could make a browser send, no secret in an address.

mod desk;
mod documents;
mod guard;
mod listen;
mod live;
mod pace;
mod pages;
mod pair;
mod photos;
mod print;
mod refuse;
mod series;
mod tasks;
mod tls;

use crate::cli::{data, talk};
use crate::pages::PAGES;
use crate::store::{Store, StoreError};
use anyhow::{Result, anyhow, bail};
use desk::Desk;
use engine::diag::{Diagnostic, Diagnostics, code};
use report::terminal::{Style, render_all};
use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

/// What is to be served.
pub(crate) struct Asked {
    /// 0 for a free one.
    pub(crate) port: u16,
    /// The store of the desk.
    pub(crate) store: Option<PathBuf>,
    /// The local network.
    pub(crate) lan: Option<Lan>,
    /// Whether requests are said.
    pub(crate) log: bool,
}

/// How the local network is served.
pub(crate) struct Lan {
    /// At which address.
    pub(crate) address: Option<IpAddr>,
    /// Certificate and key of the user's own.
    pub(crate) pair: Option<(PathBuf, PathBuf)>,
    /// Other names of this machine.
    pub(crate) names: Vec<String>,
}

/// How long what is under way may take when the program is ended.
const FAREWELL: Duration = Duration::from_secs(3);

/// Serves until the program is ended.
pub(crate) fn run(asked: Asked) -> Result<u8> {
    let words = api::plain_words();
    if PAGES.is_empty() && asked.store.is_none() {
        bail!("{}", words.say("cli-no-pages"));
    }
    let store = match asked.store.as_deref().map(Store::existing).transpose() {
        Ok(store) => store.map(Arc::new),
        Err(trouble) => return Ok(said(trouble.diagnostic())),
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(32)
        .enable_io()
        .enable_time()
        .build()?;
    let (end, ended) = tokio::sync::watch::channel(false);
    // Where the signal cannot be taken, ending the program still ends it.
    let handler = move || {
        end.send_replace(true);
    };
    ctrlc::set_handler(handler).ok();
    let done = runtime.block_on(serve(&asked, store, ended));
    runtime.shutdown_timeout(FAREWELL);
    match done {
        Ok(()) => Ok(0),
        Err(error) => match error.downcast::<Trouble>() {
            Ok(trouble) => Ok(said(trouble.0)),
            Err(error) => Err(error),
        },
    }
}

/// Trouble that has a code.
#[derive(Debug, thiserror::Error)]
#[error("{0:?}")]
struct Trouble(Diagnostic);

impl From<StoreError> for Trouble {
    fn from(error: StoreError) -> Trouble {
        Trouble(error.diagnostic())
    }
}

fn said(trouble: Diagnostic) -> u8 {
    let none: BTreeMap<String, String> = BTreeMap::new();
    let list = Diagnostics { list: vec![trouble] };
    talk(&render_all(&list, &none, &api::plain_words(), Style { colour: crate::cli::colour() }));
    2
}

async fn serve(
    asked: &Asked,
    store: Option<Arc<Store>>,
    mut ended: tokio::sync::watch::Receiver<bool>,
) -> Result<()> {
    let words = api::plain_words();
    let address = match &asked.lan {
        None => IpAddr::V4(Ipv4Addr::LOCALHOST),
        Some(Lan { address: Some(address), .. }) => *address,
        Some(Lan { address: None, .. }) => reached().ok_or(Trouble(Diagnostic::error(code::K163)))?,
    };
    if !listen::local(address) || address.is_unspecified() {
        return Err(Trouble(Diagnostic::error(code::K161).arg("address", address.to_string())).into());
    }
    let bound = listen::bind(SocketAddr::new(address, asked.port)).map_err(|e| {
        anyhow!("{}: {e}", words.text("cli-port-taken", &[("port", asked.port.to_string().into())]))
    })?;
    let at = bound.local_addr()?;
    let Some(store) = store else {
        data(&format!("{}\n", words.text("cli-serving", &[("address", format!("http://{at}/").into())])));
        let work = listen::run(bound, None, pages::router(PAGES), ended.clone());
        work.await;
        return Ok(());
    };
    let names = names(at, asked.lan.as_ref());
    let shown = match (&asked.lan, &asked.store) {
        (Some(lan), Some(file)) => Some(tls::shown(file, lan, &names)?),
        _ => None,
    };
    let scheme = if shown.is_some() { "https" } else { "http" };
    let origin = format!("{scheme}://{}", names.first().map_or("", String::as_str));
    data(&format!("{}\n", words.text("cli-desk-serving", &[("address", format!("{origin}/").into())])));
    if let Some(shown) = &shown {
        data(&format!("{}\n", words.text("cli-desk-print", &[("print", shown.print.as_str().into())])));
        if let Some(path) = &shown.authority {
            let path = path.display().to_string();
            data(&format!("{}\n", words.text("cli-desk-authority", &[("path", path.into())])));
        }
    }
    let desk = Desk::new(store, names, scheme, asked.log, ended.clone());
    pair::at_the_terminal(&desk, &origin);
    live::beat(&desk);
    let router = desk::router(&desk, PAGES);
    let work = listen::run(bound, shown.map(|s| s.acceptor), router, ended.clone());
    work.await;
    desk.tasks.end();
    ended.mark_unchanged();
    talk(&format!("{}\n", words.say("cli-desk-ended")));
    Ok(())
}

/// The address of this machine that others of its network reach. Nothing is sent: connecting a datagram
/// socket asks the routing table alone (the far address is one of RFC 5737's, that nobody has).
fn reached() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let address = socket.local_addr().ok()?.ip();
    (listen::local(address) && !address.is_loopback()).then_some(address)
}

/// What may stand in a `Host` header, the one that is shown first.
fn names(at: SocketAddr, lan: Option<&Lan>) -> Vec<String> {
    let mut names: Vec<String> = lan.iter().flat_map(|l| &l.names).map(|n| with_port(n, at.port())).collect();
    names.push(at.to_string());
    if at.ip().is_loopback() {
        names.push(with_port("localhost", at.port()));
    }
    names.iter().map(|n| n.to_ascii_lowercase()).collect()
}

fn with_port(name: &str, port: u16) -> String {
    format!("{name}:{port}")
}
