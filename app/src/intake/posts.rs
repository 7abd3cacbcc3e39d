//! Readings posted to this machine: `POST /readings/<path>` with a token, from the house's own
//! network. This file is the whole server; a later one takes its place behind [`listen`].
//!
//! Strict where a sender is strange: a request has a length, heads end within 8 KiB, everything within
//! a quarter of a minute, and a connection carries one request.

use super::cannot::{Cannot, why};
use super::{Arrival, Fate, Inlet, Stop, Ticket, Via, secret};
use crate::clock;
use std::io::{ErrorKind, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Connections at once.
const AT_ONCE: usize = 16;
/// Longest head of a request, bytes.
const LONGEST_HEAD: usize = 8 << 10;
/// How long a request may take to arrive.
const ARRIVING: Duration = Duration::from_secs(15);
/// How long the store may take.
const KEEPING: Duration = Duration::from_secs(10);

/// What senders must keep to.
#[derive(Clone)]
pub(crate) struct Terms {
    /// What they show.
    pub(crate) token: String,
    /// Most bytes of a body.
    pub(crate) largest_body: usize,
    /// Most posts a minute.
    pub(crate) per_minute: usize,
}

/// A listening server.
pub(crate) struct Listening {
    /// Where it listens.
    pub(crate) address: SocketAddr,
    thread: std::thread::JoinHandle<()>,
}

impl Listening {
    /// Ends it, after its stop was asked for.
    pub(crate) fn end(self) {
        // A connection wakes it; where none can be made it is not waiting either.
        if TcpStream::connect_timeout(&self.address, Duration::from_secs(1)).is_ok()
            && self.thread.join().is_err()
        {}
    }
}

/// Takes posts until told to stop.
///
/// # Errors
///
/// Where the address cannot be taken.
pub(crate) fn listen(
    host: &str,
    port: u16,
    terms: Terms,
    inlet: Inlet,
    stop: Stop,
) -> Result<Listening, Cannot> {
    let listener = TcpListener::bind((host, port)).map_err(|e| Cannot::Listen {
        address: format!("{host}:{port}"),
        why: why(&e),
        what: e.to_string(),
    })?;
    let address = listener.local_addr().map_err(|e| e.to_string())?;
    let pace = Mutex::new(Pace { allowed: terms.per_minute as f64, last: clock::monotonic() });
    let shared = Arc::new(Shared { terms, inlet, pace, busy: AtomicUsize::new(0) });
    let thread = std::thread::Builder::new().name("posts".to_owned());
    let work = move || {
        for socket in listener.incoming() {
            if stop.asked() {
                return;
            }
            match socket {
                Ok(socket) => take(socket, &shared),
                // Out of handles or the like: not at full speed.
                Err(_) if stop.wait(Duration::from_millis(100)) => return,
                Err(_) => {}
            }
        }
    };
    let thread = thread.spawn(work).map_err(|e| e.to_string())?;
    Ok(Listening { address, thread })
}

struct Shared {
    terms: Terms,
    inlet: Inlet,
    pace: Mutex<Pace>,
    busy: AtomicUsize,
}

/// A bucket of allowed posts that fills by the minute.
struct Pace {
    allowed: f64,
    last: Instant,
}

impl Pace {
    fn take(&mut self, per_minute: usize, now: Instant) -> bool {
        let most = per_minute as f64;
        let gained = now.saturating_duration_since(self.last).as_secs_f64() * most / 60.0;
        self.last = now;
        self.allowed = (self.allowed + gained).min(most);
        let may = self.allowed >= 1.0;
        if may {
            self.allowed -= 1.0;
        }
        may
    }
}

/// Counts a connection as long as it lives.
struct Busy(Arc<Shared>);

impl Drop for Busy {
    fn drop(&mut self) {
        self.0.busy.fetch_sub(1, Ordering::AcqRel);
    }
}

fn take(mut socket: TcpStream, shared: &Arc<Shared>) {
    let before = shared.busy.fetch_add(1, Ordering::AcqRel);
    let busy = Busy(Arc::clone(shared));
    if before >= AT_ONCE {
        // Whoever asked may have gone.
        let said = socket.set_write_timeout(Some(Duration::from_secs(1)));
        said.and_then(|()| socket.write_all(&answer(503))).ok();
        return;
    }
    let work = move || {
        let status = one(&mut socket, &busy.0);
        finish(&mut socket, status);
    };
    // Without a thread to be had the connection closes; its sender tries again.
    if std::thread::Builder::new().name("post".to_owned()).spawn(work).is_err() {}
}

/// A status and, where something was kept, how many readings it held.
type Status = (u16, Option<usize>);

fn answer(status: u16) -> Vec<u8> {
    reply((status, None))
}

fn reply((status, readings): Status) -> Vec<u8> {
    let (words, more) = match status {
        200 => ("OK", ""),
        400 => ("Bad Request", ""),
        401 => ("Unauthorized", "WWW-Authenticate: Bearer\r\n"),
        404 => ("Not Found", ""),
        405 => ("Method Not Allowed", "Allow: POST\r\n"),
        408 => ("Request Timeout", ""),
        411 => ("Length Required", ""),
        413 => ("Content Too Large", ""),
        429 => ("Too Many Requests", "Retry-After: 10\r\n"),
        431 => ("Request Header Fields Too Large", ""),
        505 => ("HTTP Version Not Supported", ""),
        _ => ("Service Unavailable", "Retry-After: 5\r\n"),
    };
    let body = match readings {
        Some(n) => format!("{{\"kept\":true,\"readings\":{n}}}\n"),
        None => format!("{{\"kept\":false,\"why\":\"{words}\"}}\n"),
    };
    format!(
        "HTTP/1.1 {status} {words}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\
         Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n{more}\r\n{body}",
        body.len()
    )
    .into_bytes()
}

/// Answers and closes so that the answer arrives: what was sent and not read is read away for a moment.
fn finish(socket: &mut TcpStream, status: Status) {
    if socket.write_all(&reply(status)).is_err() || socket.shutdown(Shutdown::Write).is_err() {
        return;
    }
    if socket.set_read_timeout(Some(Duration::from_millis(200))).is_err() {
        return;
    }
    let mut rest = [0; 4096];
    for _ in 0..64 {
        match socket.read(&mut rest) {
            Ok(n) if n > 0 => {}
            _ => return,
        }
    }
}

struct Waiting(SyncSender<Fate>);

impl Ticket for Waiting {
    fn tell(&mut self, fate: Fate) -> bool {
        // Whoever waited may have given up.
        self.0.try_send(fate).ok();
        true
    }
}

/// Reads more, until the deadline.
fn more(socket: &mut TcpStream, into: &mut Vec<u8>, most: usize, until: Instant) -> Result<bool, u16> {
    let left = until.saturating_duration_since(clock::monotonic());
    if left.is_zero() {
        return Err(408);
    }
    socket.set_read_timeout(Some(left)).map_err(|_| 503_u16)?;
    let mut part = [0; 4096];
    let want = most.min(part.len());
    match socket.read(part.get_mut(..want).ok_or(400_u16)?) {
        Ok(0) => Ok(false),
        Ok(n) => {
            into.extend_from_slice(part.get(..n).unwrap_or(&[]));
            Ok(true)
        }
        Err(e) if matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => Err(408),
        Err(e) if e.kind() == ErrorKind::Interrupted => Ok(true),
        Err(_) => Err(400),
    }
}

fn one(socket: &mut TcpStream, shared: &Shared) -> Status {
    match request(socket, shared) {
        Ok(status) => status,
        Err(status) => (status, None),
    }
}

/// What of a head is needed.
/// What is known of a request before its body.
pub(super) struct Head {
    path: String,
    pub(super) length: usize,
    continues: bool,
}

pub(super) fn head(text: &str, terms: &Terms) -> Result<Head, u16> {
    let mut lines = text.split("\r\n");
    let mut first = lines.next().unwrap_or("").split(' ');
    let (method, target, version) = (first.next(), first.next(), first.next());
    let (Some(method), Some(target), Some(version), None) = (method, target, version, first.next()) else {
        return Err(400);
    };
    if !matches!(version, "HTTP/1.1" | "HTTP/1.0") {
        return Err(if version.starts_with("HTTP/") { 505 } else { 400 });
    }
    let (mut length, mut shown, mut continues) = (None, None, false);
    for line in lines {
        let (name, value) = line.split_once(':').ok_or(400_u16)?;
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
        if name.is_empty() || !name.chars().all(plain) || value.contains(['\r', '\n', '\0']) {
            return Err(400);
        }
        let value = value.trim();
        match name.to_ascii_lowercase().as_str() {
            "content-length" => {
                let digits = !value.is_empty() && value.bytes().all(|b| b.is_ascii_digit());
                if length.is_some() || !digits {
                    return Err(400);
                }
                // A number too large for this machine is too large for us.
                length = Some(value.parse::<usize>().unwrap_or(usize::MAX));
            }
            "transfer-encoding" => return Err(411),
            "authorization" if shown.is_some() => return Err(400),
            "authorization" => shown = Some(value),
            "expect" => continues = value.eq_ignore_ascii_case("100-continue"),
            _ => {}
        }
    }
    let token =
        shown.and_then(|s| s.split_once(' ')).filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"));
    if !token.is_some_and(|(_, token)| secret::same(token.trim().as_bytes(), terms.token.as_bytes())) {
        return Err(401);
    }
    // A secret in an address ends up in logs: there is nothing to ask for behind a `?`.
    let path = target.strip_prefix("/readings/").ok_or(404_u16)?;
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-' | '/');
    if path.is_empty() || path.len() > 200 || !path.chars().all(plain) {
        return Err(404);
    }
    if method != "POST" {
        return Err(405);
    }
    let length = length.ok_or(411_u16)?;
    if length > terms.largest_body {
        return Err(413);
    }
    Ok(Head { path: path.to_owned(), length, continues })
}

fn request(socket: &mut TcpStream, shared: &Shared) -> Result<Status, u16> {
    let until = clock::monotonic() + ARRIVING;
    socket.set_write_timeout(Some(KEEPING)).map_err(|_| 503_u16)?;
    let mut bytes = Vec::new();
    let end = loop {
        let at = bytes.windows(4).position(|w| w == b"\r\n\r\n");
        if at.unwrap_or(bytes.len()) > LONGEST_HEAD {
            return Err(431);
        }
        if let Some(at) = at {
            break at;
        }
        if !more(socket, &mut bytes, usize::MAX, until)? {
            return Err(400);
        }
    };
    let text = std::str::from_utf8(bytes.get(..end).unwrap_or(&[])).map_err(|_| 400_u16)?;
    let head = head(text, &shared.terms)?;
    let may = {
        let mut pace = shared.pace.lock().unwrap_or_else(PoisonError::into_inner);
        pace.take(shared.terms.per_minute, clock::monotonic())
    };
    if !may {
        return Err(429);
    }
    if head.continues {
        socket.write_all(b"HTTP/1.1 100 Continue\r\n\r\n").map_err(|_| 400_u16)?;
    }
    let mut body = bytes.split_off(end + 4);
    while body.len() < head.length {
        let most = head.length - body.len();
        if !more(socket, &mut body, most, until)? {
            return Err(400);
        }
    }
    // What comes behind the length is another request, and a connection carries one.
    body.truncate(head.length);
    let (to, from) = sync_channel(1);
    let arrival = Arrival::new(Via::Path(head.path), body, clock::now_ms());
    if !shared.inlet.offer(Arrival { ticket: Some(Box::new(Waiting(to))), ..arrival }) {
        return Err(503);
    }
    match from.recv_timeout(KEEPING) {
        Ok(Fate::Kept(readings)) => Ok((200, Some(readings))),
        _ => Err(503),
    }
}

#[cfg(test)]
mod tests;
