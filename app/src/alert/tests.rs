//! A mail server and a webhook of the test's own on loopback, an outbox in memory.

use super::*;
use engine::doc::watch::Watch;
use engine::units::{Quantity as Q, System};
use report::words::{Language, Words};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};

/// What came to a server: one entry a message or request.
type Received = Arc<Mutex<Vec<String>>>;

/// A mail server that takes everything, or refuses so many messages first.
fn smtp(refuses: usize) -> (u16, Received) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let received = Received::default();
    let to = Arc::clone(&received);
    std::thread::spawn(move || {
        let mut refusals = refuses;
        for socket in listener.incoming() {
            one_mail(socket.unwrap(), &to, &mut refusals);
        }
    });
    (port, received)
}

fn one_mail(socket: TcpStream, to: &Received, refusals: &mut usize) {
    let mut reader = BufReader::new(socket.try_clone().unwrap());
    let mut socket = socket;
    let (mut all, mut in_data) = (String::new(), false);
    let mut say = move |text: &str| socket.write_all(format!("{text}\r\n").as_bytes()).unwrap();
    say("220 sink ready");
    let mut line = String::new();
    while reader.read_line(&mut line).unwrap_or(0) > 0 {
        all.push_str(&line);
        let word = line.trim_end().to_uppercase();
        if in_data {
            if word == "." {
                in_data = false;
                to.lock().unwrap().push(std::mem::take(&mut all));
                say("250 kept");
            }
        } else if word.starts_with("EHLO") {
            say("250-sink");
            say("250-8BITMIME");
            say("250 AUTH PLAIN");
        } else if word.starts_with("AUTH") {
            say("235 welcome");
        } else if word == "DATA" && *refusals > 0 {
            *refusals -= 1;
            say("451 not now");
        } else if word == "DATA" {
            in_data = true;
            say("354 go on");
        } else if word == "QUIT" {
            say("221 bye");
            return;
        } else {
            say("250 good");
        }
        line.clear();
    }
}

/// A server that takes posts.
fn hook() -> (String, Received) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let url = format!("http://{}/tell", listener.local_addr().unwrap());
    let received = Received::default();
    let to = Arc::clone(&received);
    std::thread::spawn(move || {
        for socket in listener.incoming() {
            let mut socket = socket.unwrap();
            let mut bytes = Vec::new();
            let mut part = [0; 4096];
            loop {
                let n = socket.read(&mut part).unwrap_or(0);
                bytes.extend_from_slice(&part[..n]);
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let length = text
                    .to_lowercase()
                    .split_once("content-length: ")
                    .and_then(|(_, rest)| rest.split("\r\n").next().and_then(|n| n.parse::<usize>().ok()));
                let body = text.split_once("\r\n\r\n").map(|(_, body)| body.len());
                if n == 0 || matches!((length, body), (Some(l), Some(b)) if b >= l) {
                    break;
                }
            }
            to.lock().unwrap().push(String::from_utf8(bytes).unwrap());
            socket.write_all(b"HTTP/1.1 204 No Content\r\nConnection: close\r\n\r\n").unwrap();
        }
    });
    (url, received)
}

/// Id to channel, key, payload, attempts, next attempt and whether it left.
type Rows = BTreeMap<i64, (Due, i64, bool, String)>;

#[derive(Default)]
struct Waiting(Mutex<Rows>);

impl Waiting {
    fn put(&self, key: &str, channel: &str, payload: &[u8], now_ms: i64) {
        let mut rows = self.0.lock().unwrap();
        if !rows.values().any(|r| r.0.key == key) {
            let id = rows.len() as i64;
            let due = Due {
                id,
                channel: channel.to_owned(),
                payload: payload.to_vec(),
                attempts: 0,
                key: key.to_owned(),
            };
            rows.insert(id, (due, now_ms, false, String::new()));
        }
    }
}

impl Outbox for Waiting {
    fn due(&self, now_ms: i64) -> Result<Vec<Due>, String> {
        let rows = self.0.lock().unwrap();
        Ok(rows.values().filter(|r| !r.2 && r.1 <= now_ms).map(|r| r.0.clone()).take(AT_ONCE).collect())
    }

    fn sent(&self, id: i64, _now_ms: i64) -> Result<(), String> {
        self.0.lock().unwrap().get_mut(&id).unwrap().2 = true;
        Ok(())
    }

    fn failed(&self, id: i64, next_ms: i64, why: &str) -> Result<(), String> {
        let mut rows = self.0.lock().unwrap();
        let row = rows.get_mut(&id).unwrap();
        (row.0.attempts, row.1, row.3) = (row.0.attempts + 1, next_ms, why.to_owned());
        Ok(())
    }
}

fn document(text: &str) -> Watch {
    crate::intake::bench::document(text)
}

pub(super) fn decoded(mail: &str) -> String {
    let body = mail.split_once("\r\n\r\n").unwrap().1;
    let letters = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let (mut bits, mut count, mut out) = (0_u32, 0, Vec::new());
    for c in body.lines().take_while(|l| *l != ".").flat_map(str::bytes) {
        let Some(at) = letters.iter().position(|l| *l == c) else { continue };
        bits = (bits << 6) | at as u32;
        count += 6;
        if count >= 8 {
            count -= 8;
            out.push((bits >> count) as u8);
        }
    }
    String::from_utf8(out).unwrap()
}

pub(super) fn carbon_monoxide() -> News {
    News {
        kind: NewsKind::CarbonMonoxide,
        name: "co_kitchen".to_owned(),
        of: "CO kitchen".to_owned(),
        place: "kitchen".to_owned(),
        time_ms: 1_795_643_460_000,
        value: Some((42e-6, Q::GasFraction)),
        limit: Some((30e-6, Q::GasFraction, "irc-app-d".to_owned())),
        grave: Some("alert-carbon-monoxide-stop"),
        false_a_month: None,
        causes: Vec::new(),
        late: false,
    }
}

pub(super) fn zone() -> jiff::tz::TimeZone {
    jiff::tz::TimeZone::fixed(jiff::tz::Offset::from_hours(-5).unwrap())
}

#[test]
fn mail_is_tried_again_and_says_what_matters() {
    let (port, received) = smtp(2);
    let folder = std::env::temp_dir().join(format!("airwright mail {}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("mail.secret"), "pass word\n").unwrap();
    let watch = document(&format!(
        "format = 1\n[alert.owner]\nby = \"mail\"\nserver = \"127.0.0.1:{port}\"\ntls = \"none\"\n\
         from = \"house@example.org\"\nto = [\"owner@example.org\", \"other@example.org\"]\n\
         user = \"house\"\npassword_file = \"mail.secret\"\n"
    ));
    let channels = Channels::new(&watch.alerts, Vec::new(), &folder);
    let words = Words::new(Language::Es, System::Si);
    let news = carbon_monoxide();
    let message = compose(&news, "Casa Ejemplo", &zone(), &words);
    let outbox = Waiting::default();
    let payload = serde_json::to_vec(&message).unwrap();
    for _ in 0..3 {
        outbox.put(&news.key(), "owner", &payload, 1000);
    }
    assert_eq!(send_due(&outbox, &channels, 1000), (0, 1));
    assert!(outbox.0.lock().unwrap()[&0].3.contains("451") || !outbox.0.lock().unwrap()[&0].3.is_empty());
    assert_eq!(send_due(&outbox, &channels, 2000), (0, 0), "not before its time");
    assert_eq!(send_due(&outbox, &channels, 11_000), (0, 1));
    assert_eq!(send_due(&outbox, &channels, 20_000), (0, 0), "later and later");
    assert_eq!(send_due(&outbox, &channels, 31_000), (1, 0));
    assert_eq!(send_due(&outbox, &channels, 90_000_000), (0, 0), "once");
    let mails = received.lock().unwrap().clone();
    assert_eq!(mails.len(), 1);
    let mail = &mails[0];
    assert!(mail.contains("owner@example.org") && mail.contains("other@example.org"));
    assert!(mail.contains("Date: Wed, 25 Nov 2026 21:51:00 +0000"), "{mail}");
    let text = decoded(mail);
    assert!(text.contains("42\u{a0}ppm") || text.contains("42 ppm"), "{text}");
    assert!(text.contains("2026-11-25 16:51 -05:00"), "{text}");
    assert!(text.contains(&words.say("alert-carbon-monoxide-listed")), "{text}");
    assert!(!mail.contains("pass word"));
    std::fs::remove_dir_all(folder).ok();
}

/// In both languages, whatever the level.
#[test]
fn carbon_monoxide_always_says_that_listed_alarms_must_be_present() {
    let english = Words::new(Language::En, System::Ip);
    let line = "isted CO alarms must be present; this display is additional and can fail";
    assert!(english.say("alert-carbon-monoxide-listed").contains(line));
    for language in Language::ALL {
        let words = Words::new(language, System::Ip);
        for grave in [None, Some("alert-carbon-monoxide-tell"), Some("alert-carbon-monoxide-leave")] {
            let text = compose(&News { grave, ..carbon_monoxide() }, "h", &zone(), &words).text;
            assert!(text.contains(&words.say("alert-carbon-monoxide-listed")), "{text}");
            assert!(!text.contains("{ $"), "{text}");
        }
    }
}

#[test]
fn every_kind_has_words() {
    for language in Language::ALL {
        let words = Words::new(language, System::Ip);
        for kind in [
            NewsKind::Silence,
            NewsKind::Heard,
            NewsKind::CarbonMonoxide,
            NewsKind::Change,
            NewsKind::BelowOutdoors,
            NewsKind::FilterDue,
            NewsKind::Debt,
        ] {
            let made = compose(&News { kind, ..carbon_monoxide() }, "Casa", &zone(), &words);
            assert!(!made.text.contains("alert-") && !made.subject.contains("alert-"), "{made:?}");
            assert!(made.text.contains("CO kitchen") || kind == NewsKind::Debt, "{made:?}");
        }
    }
}

#[test]
fn a_webhook_gets_json_and_its_token_in_a_header() {
    let (url, received) = hook();
    let folder = std::env::temp_dir().join(format!("airwright hook {}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let watch = document(&format!(
        "format = 1\n[alert.hook]\nby = \"webhook\"\nurl = \"{url}\"\ntoken_file = \"hook.secret\"\n"
    ));
    let channels = Channels::new(&watch.alerts, Vec::new(), &folder);
    let words = Words::new(Language::En, System::Ip);
    let message = compose(&carbon_monoxide(), "House", &zone(), &words);
    let outbox = Waiting::default();
    outbox.put("k", "hook", &serde_json::to_vec(&message).unwrap(), 0);
    // The secret is not there yet: said, and tried again.
    assert_eq!(send_due(&outbox, &channels, 0), (0, 1));
    assert!(outbox.0.lock().unwrap()[&0].3.contains("hook.secret"));
    std::fs::write(folder.join("hook.secret"), "very-secret").unwrap();
    assert_eq!(send_due(&outbox, &channels, 10_000), (1, 0));
    let got = received.lock().unwrap()[0].clone();
    assert!(got.starts_with("POST /tell HTTP/1.1\r\n"), "the token is no part of the address: {got}");
    assert!(got.to_lowercase().contains("authorization: bearer very-secret"), "{got}");
    let body: Message = serde_json::from_str(got.split_once("\r\n\r\n").unwrap().1).unwrap();
    assert_eq!(body, message);
    assert_eq!(body.unit.as_deref(), Some(Q::GasFraction.si_symbol()));
    std::fs::remove_dir_all(folder).ok();
}
