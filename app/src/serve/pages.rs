//! The phone's pages: files of a fixed list by exact name. No path of the disk is ever made from a request,
//! so that there is nothing to climb out of.

use crate::pages::Page;
use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use axum::http::header::{self, HeaderName};
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::Response;

/// Scripts of the page alone, none of them inline; the engine needs leave to compile itself. The
/// sheet carries its own style.
const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; \
     img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; worker-src 'self'; \
     manifest-src 'self'; frame-src 'self' blob:; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'self'";

/// Whatever has no route of its own is a page, or nothing.
pub(super) fn router(pages: &'static [Page]) -> Router {
    Router::new().fallback(move |request: Request| std::future::ready(answer(&request, pages)))
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

fn find(path: &str, pages: &'static [Page]) -> Option<&'static Page> {
    let name = path.strip_prefix('/')?;
    let name = if name.is_empty() { "index.html" } else { name };
    pages.iter().find(|p| p.0 == name)
}

fn answer(request: &Request, pages: &'static [Page]) -> Response {
    let page = request.method() == Method::GET || request.method() == Method::HEAD;
    let (status, kind, body): (_, _, &'static [u8]) = match find(request.uri().path(), pages) {
        Some((name, body)) if page => (StatusCode::OK, kind(name), body),
        None if page => (StatusCode::NOT_FOUND, "text/plain; charset=utf-8", b"404\n"),
        _ => (StatusCode::METHOD_NOT_ALLOWED, "text/plain; charset=utf-8", b""),
    };
    let mut response = Response::new(Body::from(body));
    *response.status_mut() = status;
    let headers: [(HeaderName, &'static str); 5] = [
        (header::CONTENT_TYPE, kind),
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        // A new program has new pages; the page's own worker keeps what works without a network.
        (header::CACHE_CONTROL, "no-cache"),
    ];
    for (name, value) in headers {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::serve::listen;
    use std::io::{Read, Write};
    use tokio::sync::watch;

    const FAKE: &[Page] = &[
        ("index.html", b"<!doctype html><p>here"),
        ("assets/a.js", b"export {}"),
        ("assets/engine.wasm", b"\0asm"),
        ("manifest.webmanifest", b"{}"),
    ];

    /// Serves on a thread of its own; where, and how it is ended.
    fn serve(pages: &'static [Page]) -> (String, watch::Sender<bool>) {
        let (end, ended) = watch::channel(false);
        let (tell, hear) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
            runtime.block_on(async move {
                let bound = listen::bind("127.0.0.1:0".parse().unwrap()).unwrap();
                tell.send(bound.local_addr().unwrap().to_string()).unwrap();
                listen::run(bound, None, router(pages), ended).await;
            });
        });
        (hear.recv().unwrap(), end)
    }

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
        let (address, end) = serve(FAKE);
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
        end.send_replace(true);
    }

    /// Five clients that ask for a file larger than all buffers between and do not read it, and a sixth.
    #[test]
    fn a_client_that_does_not_read_holds_nobody_up() {
        let large: &'static [u8] = Box::leak(vec![b'x'; 32 << 20].into_boxed_slice());
        let pages: &'static [Page] = Box::leak(Box::new([("large.wasm", large), FAKE[0]]));
        let (address, end) = serve(pages);
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
        end.send_replace(true);
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

    #[tokio::test]
    async fn a_port_is_taken_once() {
        let first = listen::bind("127.0.0.1:0".parse().unwrap()).unwrap();
        let second = listen::bind(first.local_addr().unwrap()).unwrap_err();
        assert_eq!(second.kind(), std::io::ErrorKind::AddrInUse);
    }
}
