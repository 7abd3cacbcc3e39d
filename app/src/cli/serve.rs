//! `airwright serve`: the pages on this machine and, with a store, the desk that devices exchange with.

use crate::serve::{self, Asked, Lan};
use anyhow::Result;
use clap::Args;
use std::net::IpAddr;
use std::path::PathBuf;

/// What is served, and to whom.
#[derive(Debug, Args)]
pub(super) struct OnServe {
    /// Port; 0 takes a free one.
    #[arg(long, default_value_t = 8064, value_parser = super::port)]
    port: u16,
    /// Serve the desk of this store, too: devices join by a code and exchange documents and series.
    #[arg(long, value_name = "FILE")]
    store: Option<PathBuf>,
    /// Serve the local network, encrypted, at this address of this machine; without an address at the one
    /// that other machines reach.
    #[arg(long, value_name = "ADDRESS", requires = "store")]
    #[allow(clippy::option_option, reason = "how clap says: not asked, asked, asked with an address")]
    lan: Option<Option<IpAddr>>,
    /// Certificate to show, PEM, the whole chain; without one it is made and kept beside the store.
    #[arg(long, value_name = "FILE", requires = "lan", requires = "key")]
    cert: Option<PathBuf>,
    /// Its key, PEM.
    #[arg(long, value_name = "FILE", requires = "cert")]
    key: Option<PathBuf>,
    /// Another name by which devices call this machine, such as `desk.home.arpa`.
    #[arg(long, value_name = "NAME", requires = "lan")]
    name: Vec<String>,
    /// Say each request on standard error: no secrets, no contents.
    #[arg(long)]
    log: bool,
}

/// Serves until the program is ended.
pub(super) fn run(on: &OnServe) -> Result<u8> {
    serve::run(Asked {
        port: on.port,
        store: on.store.clone(),
        lan: on.lan.map(|address| Lan {
            address,
            pair: on.cert.clone().zip(on.key.clone()),
            names: on.name.clone(),
        }),
        log: on.log,
    })
}
