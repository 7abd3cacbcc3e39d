//! Series of the desk, and readings as they come.

use super::client::{PATIENCE, Serving, folder, request};
use crate::run::program;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::process::Stdio;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

const T: i64 = 1_780_000_000_000;

/// Events of a stream, with the moment each came.
pub(super) fn listen(desk: &Serving, token: &str, path: &str) -> Receiver<(Instant, String)> {
    let bearer = format!("Bearer {token}");
    let bytes = request(&desk.host, &format!("GET {path}"), &[("Authorization", &bearer)], None);
    let mut socket = TcpStream::connect(&desk.host).unwrap();
    socket.write_all(&bytes).unwrap();
    let (tell, events) = channel();
    std::thread::spawn(move || {
        for line in BufReader::new(socket).lines().map_while(Result::ok) {
            if line.starts_with("data: ") || line.starts_with("event: ") || line.starts_with("HTTP/1.1") {
                #[allow(clippy::disallowed_methods, reason = "the test measures time")]
                tell.send((Instant::now(), line)).ok();
            }
        }
    });
    let (_, first) = events.recv_timeout(PATIENCE).unwrap();
    assert_eq!(first, "HTTP/1.1 200 OK");
    events
}

fn feed(desk: &Serving, lines: &str) -> Instant {
    let mut child = program()
        .args(["dev", "store-feed"])
        .arg(desk.store())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(format!("{lines}\n").as_bytes()).unwrap();
    let mut acknowledged = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut acknowledged).unwrap();
    #[allow(clippy::disallowed_methods, reason = "the test measures time")]
    let now = Instant::now();
    assert!(child.wait().unwrap().success(), "{acknowledged}");
    now
}

fn posted(job: &str, points: &Value) -> Value {
    json!({
        "job": job,
        "source": { "name": "bath", "instrument": "logger 2", "place": "main", "quantity": "temperature",
                    "unit": "\u{b0}C", "basis": "raw" },
        "points": points,
    })
}

#[test]
fn series_are_posted_once_drawn_and_heard_within_a_second() {
    let mut desk = Serving::new(folder("maple"), &[]);
    let token = desk.join(&desk.code(), "phone");
    let ask = |line: &str| desk.as_device(&token, line, None);
    assert_eq!(ask("GET /desk/sources?job=maple").json(), json!({ "sources": [] }));
    let body = posted("maple", &json!([[T, 20.0], [T + 60_000, 21.0], [T + 120_000, 25.0]]));
    let first = desk.as_device(&token, "POST /desk/readings", Some(&body)).json();
    assert_eq!((&first["kept"], &first["twice"]), (&json!(3), &json!(0)), "{first}");
    let again = desk.as_device(&token, "POST /desk/readings", Some(&body)).json();
    assert_eq!((&again["kept"], &again["twice"]), (&json!(0), &json!(3)));
    let sources = ask("GET /desk/sources?job=maple").json()["sources"].clone();
    let one = &sources[0];
    assert_eq!(
        (&one["name"], &one["count"], &one["unit_si"]),
        (&json!("maple/bath"), &json!(3), &json!("K"))
    );
    assert_eq!((&one["first_ms"], &one["last_ms"]), (&json!(T), &json!(T + 120_000)));
    let id = one["id"].as_i64().unwrap();
    let window = ask(&format!("GET /desk/window?source={id}&from={T}&to={}&buckets=1", T + 120_001)).json();
    assert_eq!((&window["count"], &window["unit"]), (&json!([3]), &json!("K")), "{window}");
    assert!((window["mean"][0].as_f64().unwrap() - 295.15).abs() < 1e-9, "{window}");
    assert_eq!((&window["least"], &window["greatest"]), (&json!([293.15]), &json!([298.15])));
    assert_eq!(
        ask(&format!("GET /desk/expected?source={id}&from={T}&to={}", T + 1)).json()["mid"],
        json!([])
    );
    assert_eq!(ask(&format!("GET /desk/events?job=maple&from={T}&to={}", T + 1)).json()["events"], json!([]));
    let wrong = posted("nobody", &json!([[T, 20.0]]));
    assert_eq!(desk.as_device(&token, "POST /desk/readings", Some(&wrong)).status, 404);

    // What another program writes is heard within a second of its acknowledgement.
    let events = listen(&desk, &token, "/desk/live?job=maple");
    for n in 0..5_i64 {
        let time_ms = T + 180_000 + n * 60_000;
        let written = feed(&desk, &format!("maple/bath {time_ms} {}\n", 290 + n));
        let (came, line) = events.recv_timeout(PATIENCE).unwrap();
        let late = came.saturating_duration_since(written);
        assert!(late < Duration::from_secs(1), "{late:?}");
        let event: Value = serde_json::from_str(line.strip_prefix("data: ").unwrap()).unwrap();
        assert_eq!(event, json!({ "source": id, "points": [[time_ms, (290 + n) as f64]] }));
    }
    // Readings that are older than what was told: look again.
    feed(&desk, &format!("maple/bath {} 280\n", T + 30_000));
    assert_eq!(events.recv_timeout(PATIENCE).unwrap().1, "event: anew");
    assert_eq!(events.recv_timeout(PATIENCE).unwrap().1, format!("data: {{\"source\":{id}}}"));
    // Four streams of a device, no fifth.
    let more: Vec<_> = (0..3).map(|_| listen(&desk, &token, "/desk/live?job=maple")).collect();
    let fifth = ask("GET /desk/live?job=maple");
    assert_eq!((fifth.status, fifth.code().as_str()), (503, "K157"));
    // A device that is forgotten hears no more.
    let code = desk.another();
    let second = desk.join(&code, "tablet");
    let forgot = program().arg("store").arg(desk.store()).args(["forget", "phone"]).output().unwrap();
    assert!(forgot.status.success());
    for events in more.iter().chain([&events]) {
        loop {
            match events.recv_timeout(PATIENCE) {
                Ok(_) => {}
                Err(gone) => {
                    assert_eq!(gone, std::sync::mpsc::RecvTimeoutError::Disconnected);
                    break;
                }
            }
        }
    }
    listen(&desk, &second, "/desk/live?job=maple");
}
