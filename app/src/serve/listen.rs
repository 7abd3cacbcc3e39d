//! Connections: who may make one, how many, how long a request may take to arrive.

use axum::Router;
use hyper::body::Incoming;
use hyper::service::Service;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpListener;
use tokio::sync::watch;
use tokio_rustls::TlsAcceptor;

/// Connections at once, of all and of one address: a browser holds six, and a page may be open in several.
const AT_ONCE: usize = 256;
const OF_ONE: usize = 64;
/// How long the head of a request may take, and an encrypted greeting.
const HEAD: Duration = Duration::from_secs(10);
const GREETING: Duration = Duration::from_secs(10);
/// Longest head, bytes, and most fields in it.
const LONGEST_HEAD: usize = 32 << 10;
const MOST_FIELDS: usize = 64;
/// How long answers under way may take once the end was asked for.
const FAREWELL: Duration = Duration::from_secs(2);

/// Who asks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Peer(pub(super) IpAddr);

/// Whether an address is of this machine or of a network of its own: loopback, RFC 1918, link-local
/// (RFC 3927, RFC 4291), unique local (RFC 4193).
pub(super) fn local(address: IpAddr) -> bool {
    match address.to_canonical() {
        IpAddr::V4(v4) => v4.is_loopback() || v4.is_private() || v4.is_link_local(),
        IpAddr::V6(v6) => {
            let first = v6.segments()[0];
            v6.is_loopback() || first & 0xfe00 == 0xfc00 || first & 0xffc0 == 0xfe80
        }
    }
}

/// Takes a port.
///
/// # Errors
/// Where somebody else has it.
pub(super) fn bind(at: SocketAddr) -> io::Result<TcpListener> {
    let listener = std::net::TcpListener::bind(at)?;
    listener.set_nonblocking(true)?;
    TcpListener::from_std(listener)
}

/// Connections by address.
#[derive(Clone, Default)]
struct Count(Arc<Mutex<BTreeMap<IpAddr, usize>>>);

/// One of them, as long as it lives.
struct Held(Count, IpAddr);

impl Count {
    fn hold(&self, address: IpAddr) -> Option<Held> {
        let mut counts = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if counts.values().sum::<usize>() >= AT_ONCE {
            return None;
        }
        let count = counts.entry(address).or_default();
        if *count >= OF_ONE {
            return None;
        }
        *count += 1;
        drop(counts);
        Some(Held(self.clone(), address))
    }

    fn none(&self) -> bool {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).is_empty()
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        let mut counts = self.0.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = counts.get_mut(&self.1) {
            *count -= 1;
            if *count == 0 {
                counts.remove(&self.1);
            }
        }
    }
}

/// Answers until the end is asked for, and a moment longer for what is under way.
pub(super) async fn run(
    listener: TcpListener,
    tls: Option<TlsAcceptor>,
    router: Router,
    mut end: watch::Receiver<bool>,
) {
    let count = Count::default();
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            _ = end.wait_for(|ended| *ended) => break,
        };
        let Ok((socket, from)) = accepted else {
            // Out of handles or the like: not at full speed.
            tokio::time::sleep(Duration::from_millis(100)).await;
            continue;
        };
        // Whoever is no neighbour gets no answer at all, nor does a neighbour who holds too much.
        if !local(from.ip()) {
            continue;
        }
        let Some(held) = count.hold(from.ip().to_canonical()) else { continue };
        // Small answers go at once; where that cannot be set they go a moment later.
        socket.set_nodelay(true).ok();
        let inner = TowerToHyperService::new(router.clone());
        let service = Known { inner, peer: Peer(from.ip().to_canonical()) };
        let (tls, end) = (tls.clone(), end.clone());
        tokio::spawn(async move {
            match tls {
                None => one(socket, service, end).await,
                Some(tls) => {
                    if let Ok(Ok(socket)) = tokio::time::timeout(GREETING, tls.accept(socket)).await {
                        one(socket, service, end).await;
                    }
                }
            }
            drop(held);
        });
    }
    drop(listener);
    let last = async {
        while !count.none() {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    };
    // Whoever still reads then is cut off.
    tokio::time::timeout(FAREWELL, last).await.ok();
}

async fn one<S>(socket: S, service: Known, mut end: watch::Receiver<bool>)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let mut http = hyper::server::conn::http1::Builder::new();
    http.timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .max_buf_size(LONGEST_HEAD)
        .max_headers(MOST_FIELDS);
    let mut talk = pin!(http.serve_connection(TokioIo::new(socket), service));
    // A client that goes away, or sends what is no HTTP, ends its connection and nothing else.
    tokio::select! {
        _ = talk.as_mut() => return,
        _ = end.wait_for(|ended| *ended) => {}
    }
    talk.as_mut().graceful_shutdown();
    talk.await.ok();
}

/// The routes, told who asks.
struct Known {
    inner: TowerToHyperService<Router>,
    peer: Peer,
}

impl Service<hyper::Request<Incoming>> for Known {
    type Response = <TowerToHyperService<Router> as Service<hyper::Request<Incoming>>>::Response;
    type Error = <TowerToHyperService<Router> as Service<hyper::Request<Incoming>>>::Error;
    type Future = <TowerToHyperService<Router> as Service<hyper::Request<Incoming>>>::Future;

    fn call(&self, mut request: hyper::Request<Incoming>) -> Self::Future {
        request.extensions_mut().insert(self.peer);
        self.inner.call(request)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_and_nobody_else() {
        for yes in [
            "127.0.0.1",
            "127.9.9.9",
            "::1",
            "10.0.0.1",
            "172.16.0.1",
            "172.31.255.255",
            "192.168.1.1",
            "169.254.3.4",
            "fd00::1",
            "fc12::1",
            "fe80::1",
            "febf::1",
            "::ffff:192.168.1.1",
        ] {
            assert!(local(yes.parse().unwrap()), "{yes}");
        }
        for no in [
            "8.8.8.8",
            "172.15.0.1",
            "172.32.0.1",
            "192.169.0.1",
            "100.64.0.1",
            "0.0.0.0",
            "::",
            "2001:db8::1",
            "fec0::1",
            "::ffff:8.8.8.8",
            "169.253.0.1",
        ] {
            assert!(!local(no.parse().unwrap()), "{no}");
        }
    }
}
