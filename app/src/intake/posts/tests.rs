//! Senders, friendly and not, on loopback.

use super::*;
use crate::intake::bench::{desk, document};
use crate::intake::channel;

struct House {
    address: SocketAddr,
    stop: Stop,
    desk: std::thread::JoinHandle<(u64, usize)>,
    listening: Listening,
}

fn house(per_minute: usize) -> House {
    let (inlet, from) = channel();
    let terms = Terms { token: "a-token".to_owned(), largest_body: 2000, per_minute };
    let stop = Stop::default();
    let listening = listen("127.0.0.1", 0, terms, inlet, stop.clone()).unwrap();
    let watch = document(
        "format = 1\n[posts]\nlisten = \"127.0.0.1:1\"\ntoken_env = \"T\"\n[source.s]\npath = \"bath\"\n\
         payload = \"json\"\nvalue = \"rh\"\nquantity = \"rh\"\nunit = \"%\"\nbasis = \"raw\"\n\
         instrument = \"i\"\nplace = \"bath\"\n",
    );
    let ended = stop.clone();
    let desk = std::thread::spawn(move || {
        let (mut desk, memory) = desk(&watch, from);
        while !ended.asked() {
            desk.turn(Duration::from_millis(10), &ended);
        }
        (desk.tally.messages, memory.readings().len())
    });
    House { address: listening.address, stop, desk, listening }
}

impl House {
    fn end(self) -> (u64, usize) {
        self.stop.ask();
        self.listening.end();
        self.desk.join().unwrap()
    }

    /// What is answered to these bytes; 0 where the connection just ended.
    fn says(&self, bytes: &[u8]) -> (u16, String) {
        let mut socket = TcpStream::connect(self.address).unwrap();
        socket.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        // It may have heard enough before the end.
        socket.write_all(bytes).ok();
        socket.shutdown(Shutdown::Write).ok();
        let mut answer = Vec::new();
        socket.read_to_end(&mut answer).ok();
        let text = String::from_utf8(answer).unwrap();
        let status = text.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
        (status, text)
    }
}

fn post(path: &str, more: &str, body: &str) -> Vec<u8> {
    format!(
        "POST {path} HTTP/1.1\r\nHost: house\r\nAuthorization: Bearer a-token\r\nContent-Length: {}\r\n{more}\r\n{body}",
        body.len()
    )
    .into_bytes()
}

#[test]
fn a_reading_is_acknowledged_when_it_is_kept() {
    let house = house(600);
    let (status, text) = house.says(&post("/readings/bath", "", r#"{"rh":61}"#));
    assert_eq!(status, 200);
    assert!(text.ends_with("{\"kept\":true,\"readings\":1}\n"), "{text}");
    let (status, text) = house.says(&post("/readings/attic", "", "?"));
    assert!(status == 200 && text.contains("\"readings\":0"), "kept raw: {text}");
    let (status, _) = house.says(&post("/readings/bath", "Expect: 100-continue\r\n", r#"{"rh":62}"#));
    assert_eq!(status, 100);
    assert_eq!(house.end(), (3, 2));
}

#[test]
fn strange_and_hostile_requests() {
    let house = house(600);
    let good = String::from_utf8(post("/readings/bath", "", r#"{"rh":61}"#)).unwrap();
    let long = format!("X: {}\r\n", "x".repeat(10_000));
    let cases: Vec<(Vec<u8>, u16)> = vec![
        (good.replace("a-token", "a-tokem").into_bytes(), 401),
        (good.replace("a-token", "a-token2").into_bytes(), 401),
        (good.replace("a-token", "").into_bytes(), 401),
        (good.replace("Bearer", "Basic").into_bytes(), 401),
        (good.replace("Authorization", "X-Other").into_bytes(), 401),
        // A secret in an address would end up in logs.
        (good.replace("Authorization", "X-Other").replace("/bath", "/bath?token=a-token").into_bytes(), 401),
        (good.replace("/bath", "/bath?x=1").into_bytes(), 404),
        (good.replace("/readings/bath", "/").into_bytes(), 404),
        (good.replace("/bath", "/%2e%2e/x").into_bytes(), 404),
        (good.replace("POST", "GET").into_bytes(), 405),
        (good.replace("Content-Length: 9", "Content-Length: 2001").into_bytes(), 413),
        (good.replace("Content-Length: 9", "Content-Length: 99999999999999999999999").into_bytes(), 413),
        (good.replace("Content-Length: 9", "Content-Length: -9").into_bytes(), 400),
        (good.replace("Content-Length: 9", "Content-Length: 0x9").into_bytes(), 400),
        (good.replace("Content-Length: 9", "Content-Length: 9\r\nContent-Length: 4").into_bytes(), 400),
        (good.replace("Content-Length: 9\r\n", "").into_bytes(), 411),
        (good.replace("Content-Length: 9", "Transfer-Encoding: chunked").into_bytes(), 411),
        (
            good.replace("Content-Length: 9", "Content-Length: 9\r\nTransfer-Encoding: chunked").into_bytes(),
            411,
        ),
        (good.replace("Content-Length: 9", "Content-Length: 90").into_bytes(), 400),
        (good.replace("Host: house", "Host: house\r\n folded: line").into_bytes(), 400),
        (good.replace("Host: house", "Host house").into_bytes(), 400),
        (good.replace("Host: house", "Host : house").into_bytes(), 400),
        (good.replace("HTTP/1.1", "HTTP/2.0").into_bytes(), 505),
        (good.replace("HTTP/1.1", "HTTQ").into_bytes(), 400),
        (good.replace("POST ", "POST  ").into_bytes(), 400),
        (good.replace("Host: house\r\n", &long).into_bytes(), 431),
        ("A".repeat(200_000).into_bytes(), 431),
        (b"\r\n\r\n".to_vec(), 400),
        (vec![0xff; 3000], 400),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03".to_vec(), 400),
        (b"POST /readings/bath HTTP/1.1\r\n".to_vec(), 400),
        (Vec::new(), 400),
    ];
    for (bytes, wanted) in &cases {
        let (status, text) = house.says(bytes);
        let shown: String = String::from_utf8_lossy(bytes).chars().take(120).collect();
        assert_eq!(status, *wanted, "{shown:?}: {text}");
        assert!(!text.contains("a-token"), "{text}");
    }
    // Another request behind the body is not read as one.
    let mut two = post("/readings/bath", "", r#"{"rh":61}"#);
    two.extend(post("/readings/bath", "", r#"{"rh":99}"#));
    assert_eq!(house.says(&two).0, 200);
    assert_eq!(house.end(), (1, 1));
}

#[test]
fn too_many_are_turned_away() {
    let house = house(5);
    let statuses: Vec<u16> =
        (0..12).map(|_| house.says(&post("/readings/bath", "", r#"{"rh":61}"#)).0).collect();
    assert_eq!(statuses.iter().filter(|s| **s == 200).count(), 5, "{statuses:?}");
    assert_eq!(statuses.iter().filter(|s| **s == 429).count(), 7);
    assert_eq!(house.end().1, 5);
}

/// Thirty connections that say nothing: the sixteen first hold their places, others are told to come
/// again, and everything works when they are gone.
#[test]
fn idle_connections_do_not_pile_up() {
    let house = house(600);
    let idle: Vec<TcpStream> = (0..30).map(|_| TcpStream::connect(house.address).unwrap()).collect();
    std::thread::sleep(Duration::from_millis(300));
    assert_eq!(house.says(&post("/readings/bath", "", r#"{"rh":61}"#)).0, 503);
    drop(idle);
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(house.says(&post("/readings/bath", "", r#"{"rh":61}"#)).0, 200);
    assert_eq!(house.end().1, 1);
}
