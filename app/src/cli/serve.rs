//! `airwright serve`: the phone's pages on this machine, for itself alone.
//!
//! Files of a fixed list by exact name; no path of the disk is ever made from a request, so that
//! there is nothing to climb out of. Loopback only.

use super::data;
use crate::pages::{PAGES, Page};
use anyhow::{Context, Result, bail};
use std::net::{Ipv4Addr, SocketAddrV4};
use tiny_http::{Header, Method, Request, Response, Server};

/// Scripts of the page alone, none of them inline; the engine needs leave to compile itself. The
/// sheet carries its own style.
const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; \
     img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; worker-src 'self'; \
     manifest-src 'self'; frame-src 'self' blob:; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'self'";

/// Serves until the program is ended.
pub(crate) fn run(port: u16) -> Result<u8> {
    let words = api::plain_words();
    if PAGES.is_empty() {
        bail!("{}", words.say("cli-no-pages"));
    }
    let (server, address) = listen(port)?;
    data(&format!("{}\n", words.text("cli-serving", &[("address", format!("http://{address}/").into())])));
    serve(&server, PAGES);
    Ok(0)
}

/// How many answers may be under way at once. A browser may leave a large file lying while it asks
/// for the next ones, on six connections at most: one thread would wait for it and it for the thread.
const AT_ONCE: usize = 16;

fn serve(server: &Server, pages: &[Page]) {
    std::thread::scope(|scope| {
        for _ in 0..AT_ONCE {
            scope.spawn(|| {
                while let Ok(request) = server.recv() {
                    answer(request, pages);
                }
            });
        }
    });
}

fn listen(port: u16) -> Result<(Server, String)> {
    let at = SocketAddrV4::new(Ipv4Addr::LOCALHOST, port);
    let taken = || api::plain_words().text("cli-port-taken", &[("port", port.to_string().into())]);
    let server = Server::http(at).map_err(|e| anyhow::anyhow!(e.to_string())).with_context(taken)?;
    let address = server.server_addr().to_string();
    Ok((server, address))
}

/// What a browser is told a file is; by its name's end.
fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("json" | "map") => "application/json",
        Some("webmanifest") => "application/manifest+json",
        Some("wasm") => "application/wasm",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("ico") => "image/x-icon",
        Some("woff2") => "font/woff2",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

fn find<'p>(url: &str, pages: &'p [Page]) -> Option<&'p Page> {
    let path = url.split(['?', '#']).next().unwrap_or(url);
    let name = path.strip_prefix('/')?;
    let name = if name.is_empty() { "index.html" } else { name };
    pages.iter().find(|p| p.0 == name)
}

fn answer(request: Request, pages: &[Page]) {
    let empty: &[u8] = &[];
    let (status, kind, body) = match (request.method(), find(request.url(), pages)) {
        (Method::Get | Method::Head, Some((name, body))) => (200, kind(name), *body),
        (Method::Get | Method::Head, None) => (404, "text/plain; charset=utf-8", b"404\n".as_slice()),
        _ => (405, "text/plain; charset=utf-8", empty),
    };
    let headers = [
        ("Content-Type", kind),
        ("Content-Security-Policy", POLICY),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "no-referrer"),
        // A new program has new pages; the page's own worker keeps what works without a network.
        ("Cache-Control", "no-cache"),
    ];
    let mut response = Response::from_data(body).with_status_code(status);
    for (name, value) in headers {
        if let Ok(header) = Header::from_bytes(name, value) {
            response = response.with_header(header);
        }
    }
    // Whoever asked may have gone.
    if request.respond(response).is_err() {}
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Read, Write};

    const FAKE: &[Page] = &[
        ("index.html", b"<!doctype html><p>here"),
        ("assets/a.js", b"export {}"),
        ("assets/engine.wasm", b"\0asm"),
        ("manifest.webmanifest", b"{}"),
    ];

    fn ask(address: &str, line: &str) -> (u16, String, String) {
        let mut socket = std::net::TcpStream::connect(address).unwrap();
        write!(socket, "{line} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
        let mut text = String::new();
        socket.read_to_string(&mut text).unwrap();
        let (head, body) = text.split_once("\r\n\r\n").unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        (status, head.to_lowercase(), body.to_owned())
    }

    #[test]
    fn the_pages_and_nothing_else() {
        let (server, address) = listen(0).unwrap();
        assert!(address.starts_with("127.0.0.1:"), "{address}");
        let asked: Vec<(&str, u16, &str)> = vec![
            ("GET /", 200, "text/html"),
            ("GET /index.html?v=1", 200, "text/html"),
            ("GET /assets/a.js", 200, "text/javascript"),
            ("GET /assets/engine.wasm", 200, "application/wasm"),
            ("GET /manifest.webmanifest", 200, "application/manifest+json"),
            ("HEAD /assets/a.js", 200, "text/javascript"),
            ("GET /assets", 404, "text/plain"),
            ("GET /assets/../index.html", 404, "text/plain"),
            ("GET /../../../../etc/passwd", 404, "text/plain"),
            ("GET /..%2f..%2fetc/passwd", 404, "text/plain"),
            ("GET /assets%2fa.js", 404, "text/plain"),
            ("GET //etc/passwd", 404, "text/plain"),
            ("POST /", 405, "text/plain"),
            ("DELETE /index.html", 405, "text/plain"),
        ];
        let count = asked.len();
        let serving = std::thread::spawn(move || {
            for request in server.incoming_requests().take(count) {
                answer(request, FAKE);
            }
        });
        for (line, status, kind) in asked {
            let (got, head, body) = ask(&address, line);
            assert_eq!(got, status, "{line}");
            assert!(head.contains(&format!("content-type: {kind}")), "{line}: {head}");
            assert!(head.contains("x-content-type-options: nosniff"));
            let policy = head.lines().find(|l| l.starts_with("content-security-policy")).unwrap();
            let scripts = policy.split(';').find(|p| p.trim().starts_with("script-src")).unwrap();
            assert!(!scripts.contains("unsafe-inline") && !scripts.contains("'unsafe-eval'"), "{policy}");
            assert_eq!(body.contains("here"), line.starts_with("GET /i") || line == "GET /", "{line}");
        }
        serving.join().unwrap();
    }

    /// Five clients that ask for a file larger than all buffers between and do not read it, and a sixth.
    #[test]
    fn a_client_that_does_not_read_holds_nobody_up() {
        let large: &'static [u8] = Box::leak(vec![b'x'; 32 << 20].into_boxed_slice());
        let pages: &'static [Page] = Box::leak(Box::new([("large.wasm", large), FAKE[0]]));
        let (server, address) = listen(0).unwrap();
        let server = std::sync::Arc::new(server);
        let serving = std::thread::spawn({
            let server = server.clone();
            move || serve(&server, pages)
        });
        let idle: Vec<_> = (0..5)
            .map(|_| {
                let mut socket = std::net::TcpStream::connect(&address).unwrap();
                write!(socket, "GET /large.wasm HTTP/1.1\r\nHost: {address}\r\n\r\n").unwrap();
                socket.set_read_timeout(Some(std::time::Duration::from_secs(20))).unwrap();
                let mut head = [0; 15];
                socket.read_exact(&mut head).unwrap();
                assert_eq!(&head, b"HTTP/1.1 200 OK");
                socket
            })
            .collect();
        let (done, waits) = std::sync::mpsc::channel();
        std::thread::spawn({
            let address = address.clone();
            move || done.send(ask(&address, "GET /").0)
        });
        assert_eq!(waits.recv_timeout(std::time::Duration::from_secs(20)), Ok(200));
        drop(idle);
        for _ in 0..AT_ONCE {
            server.unblock();
        }
        serving.join().unwrap();
    }

    /// A folder on a server of the person's own has the page's policy alone: it is no wider. Who may
    /// frame a page cannot be said within it.
    #[test]
    fn the_page_carries_the_same_policy() {
        let page = include_str!("../../../web/index.html");
        let (_, from) = page.split_once("Content-Security-Policy\"").unwrap();
        let policy = from.split_once("content=\"").unwrap().1.split('"').next().unwrap();
        assert_eq!(format!("{policy}; frame-ancestors 'self'"), POLICY);
    }

    #[test]
    fn a_port_is_taken_once() {
        let (_first, address) = listen(0).unwrap();
        let port = address.rsplit(':').next().unwrap().parse().unwrap();
        let error = listen(port).map(|_| ()).unwrap_err();
        assert!(format!("{error:#}").contains(&port.to_string()), "{error:#}");
    }
}
