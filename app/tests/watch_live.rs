//! `airwright watch` as a household runs it: headless, with a store, posts and a webhook.

use crate::run::{Folder, Ran, program, watch_once};
use crate::watched_house;
use serde_json::Value;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::process::Stdio;
use std::sync::atomic::{AtomicU16, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

const JOB: &str = "format = 1\nname = \"Live house\"\nunits = \"SI\"\n";

/// A free port that no other test of this process gets, and no outgoing connection: those are above 32767.
pub(crate) fn port() -> u16 {
    static NEXT: AtomicU16 = AtomicU16::new(0);
    let first = 20_000 + (std::process::id() % 100) as u16 * 100;
    (0..100)
        .map(|_| first + NEXT.fetch_add(1, Ordering::Relaxed) % 100)
        .find(|port| TcpListener::bind(("127.0.0.1", *port)).is_ok())
        .unwrap()
}

fn watch(port: u16, hook: &str) -> String {
    format!(
        r#"format = 1
[posts]
listen = "127.0.0.1:{port}"
token_env = "LIVE_TEST_TOKEN"
[source.bath_rh]
label = "bath"
path = "bath"
payload = "csv"
value = "rh"
time = "time"
quantity = "rh"
unit = "%"
basis = "corrected"
instrument = "logger 2"
place = "bath"
[source.attic]
path = "attic"
payload = "senml"
value = "attic:temp"
quantity = "temp"
unit = "degF"
basis = "raw"
instrument = "probe"
place = "attic"
silent_after = "2 s"
[source.hall_co]
path = "hall/co"
payload = "plain"
quantity = "co"
unit = "ppm"
basis = "raw"
instrument = "sensor 3"
place = "hall"
[alert.hook]
by = "webhook"
url = "{hook}"
"#
    )
}

fn hook() -> (String, Arc<Mutex<Vec<String>>>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let url = format!("http://{}/", listener.local_addr().unwrap());
    let got = Arc::new(Mutex::new(Vec::new()));
    let to = Arc::clone(&got);
    std::thread::spawn(move || {
        for mut socket in listener.incoming().flatten() {
            socket.set_read_timeout(Some(Duration::from_millis(500))).unwrap();
            let (mut bytes, mut part) = (Vec::new(), [0; 4096]);
            while let Ok(n) = socket.read(&mut part) {
                bytes.extend_from_slice(&part[..n]);
                if n == 0 || String::from_utf8_lossy(&bytes).trim_end().ends_with('}') {
                    break;
                }
            }
            to.lock().unwrap().push(String::from_utf8_lossy(&bytes).into_owned());
            socket.write_all(b"HTTP/1.1 204 No Content\r\nConnection: close\r\n\r\n").ok();
        }
    });
    (url, got)
}

pub(crate) fn post(port: u16, path: &str, body: &str) -> String {
    for _ in 0..200 {
        let Ok(mut socket) = TcpStream::connect(("127.0.0.1", port)) else {
            std::thread::sleep(Duration::from_millis(50));
            continue;
        };
        let head = format!(
            "POST /readings/{path} HTTP/1.1\r\nHost: h\r\nAuthorization: Bearer from-the-test\r\nContent-Length: {}\r\n\r\n",
            body.len()
        );
        socket.write_all(head.as_bytes()).and_then(|()| socket.write_all(body.as_bytes())).unwrap();
        let mut answer = String::new();
        socket.read_to_string(&mut answer).unwrap();
        return answer;
    }
    panic!("nobody listens")
}

/// Runs it for some seconds while something is posted.
fn run(folder: &Folder, seconds: u32, while_it_runs: impl FnOnce()) -> (Value, Ran) {
    let child = program()
        .arg("watch")
        .arg(folder.path().join("house"))
        .arg("--store")
        .arg(folder.path().join("house.store"))
        .args(["--for", &format!("{seconds} s"), "--json"])
        .env("LIVE_TEST_TOKEN", "from-the-test")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    while_it_runs();
    let ran: Ran = child.wait_with_output().unwrap().into();
    let value = serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {} {}", ran.out, ran.err));
    (value, ran)
}

#[test]
fn posted_readings_are_kept_once_and_a_silent_source_is_told() {
    let (folder, port, (url, got)) = (Folder::new(), port(), hook());
    folder.write("house/job.toml", JOB);
    folder.write("house/watch.toml", watch(port, &url));
    let csv = "time,rh\n2026-11-25T12:00:00Z,51\n2026-11-25T12:01:00Z,52\n2026-11-25T12:02:00Z,\n";
    let (first, ran) = run(&folder, 6, || {
        assert!(post(port, "bath", csv).contains("\"readings\":2"));
        let pack = r#"[{"bn":"attic:","n":"temp","u":"Cel","v":20}]"#;
        assert!(post(port, "attic", pack).contains("\"readings\":1"));
        assert!(post(port, "cellar", "21.5").contains("\"readings\":0"));
        assert!(post(port, "hall/co", "82").contains("\"readings\":1"));
    });
    assert_eq!(ran.code, 1, "an unknown source and a silent one want attention: {}", ran.err);
    let data = &first["data"];
    assert_eq!((data["messages"].as_u64(), data["readings"].as_u64()), (Some(4), Some(4)), "{data:#}");
    assert_eq!(data["unknown"][0]["via"], "/readings/cellar");
    let source =
        |name: &str| data["sources"].as_array().unwrap().iter().find(|s| s["name"] == name).unwrap().clone();
    assert!((source("attic")["last"]["value"].as_f64().unwrap() - 293.15).abs() < 1e-9);
    assert_eq!(source("attic")["silent"], true);
    assert_eq!(source("bath_rh")["silent"], false);
    let told = got.lock().unwrap().clone();
    assert!(told.iter().any(|t| t.contains("\"kind\":\"silence\"") && t.contains("attic")), "{told:?}");
    let monoxide = told.iter().find(|t| t.contains("\"kind\":\"carbon-monoxide\"")).unwrap();
    assert!(monoxide.contains("Listed CO alarms must be present; this display is additional and can fail"));
    assert!(monoxide.contains("Everybody leaves the house now"), "{monoxide}");
    assert!(ran.err.contains("Listed CO alarms must be present"), "however quiet: {}", ran.err);
    assert!(!ran.err.contains("from-the-test") && !ran.out.contains("from-the-test"));
    // The same again in another run: the store had them.
    let (again, _) = run(&folder, 2, || {
        assert!(post(port, "bath", csv).contains("\"kept\":true"));
    });
    assert_eq!(again["data"]["repeated"], 2, "{again:#}");
}

#[test]
fn a_document_with_mistakes_is_not_listened_to() {
    let folder = Folder::new();
    folder.write("house/job.toml", JOB);
    let run = || -> Ran {
        let store = folder.path().join("house.store");
        let mut command = program();
        command.arg("watch").arg(folder.path().join("house")).arg("--store").arg(store).arg("--once");
        command.output().unwrap().into()
    };
    let none = run();
    assert!(none.code == 2 && none.err.contains("watch.toml"), "{}", none.err);
    folder
        .write("house/watch.toml", watch(1, "http://127.0.0.1:1/").replace("unit = \"%\"", "unit = \"ppm\""));
    let wrong = run();
    assert!(
        wrong.code == 2 && wrong.err.contains("L131") && wrong.err.contains("watch.toml"),
        "{}",
        wrong.err
    );
    folder.write(
        "house/watch.toml",
        watch(1, "http://127.0.0.1:1/").replace("token_env = \"LIVE_TEST_TOKEN\"", "token = \"x\""),
    );
    let secret = run();
    assert!(secret.code == 2 && secret.err.contains("L133"), "{}", secret.err);
    folder.write("house/watch.toml", watch(port(), "http://127.0.0.1:1/"));
    let missing = run();
    assert!(missing.code == 2 && missing.err.contains("LIVE_TEST_TOKEN"), "{}", missing.err);
}

/// Weeks of traces of a fitted house, posted at once: what its window does reaches a webhook, with causes and how often
/// such an alert comes for nothing; started again it goes on and tells nothing twice.
#[test]
fn an_event_of_the_fitted_house_reaches_a_webhook() {
    let (folder, port, (url, got)) = (Folder::new(), port(), hook());
    let tables = format!(
        "[posts]\nlisten = \"127.0.0.1:{port}\"\ntoken_env = \"LIVE_TEST_TOKEN\"\nlargest_body = 4000000\n\
         [alert.hook]\nby = \"webhook\"\nurl = \"{url}\"\n"
    );
    let files = watched_house::job(&tables);
    for file in &files {
        folder.write(&format!("house/{}", file.name), &file.text);
    }
    let live = api::watch::Live::open(&api::Inputs { files, now: String::new() });
    let now_ms = jiff::Timestamp::now().as_millisecond();
    let end_ms = now_ms.div_euclid(engine::watch::HOUR_MS) * engine::watch::HOUR_MS;
    let traces = watched_house::traces(&live, end_ms, (75, 2));
    let once = |post_them: bool| {
        let child = watch_once(&folder.path().join("house"), &folder.path().join("house.store"))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        for (name, points) in traces.iter().filter(|_| post_them) {
            // A body is kept whole up to 64 kB.
            for part in points.chunks(1000) {
                let mut csv = "t,v\n".to_owned();
                for (ms, value) in part {
                    csv += &format!("{},{value}\n", jiff::Timestamp::from_millisecond(*ms).unwrap());
                }
                let answer = post(port, name, &csv);
                assert!(answer.contains(&format!("\"readings\":{}", part.len())), "{answer}");
            }
        }
        let ran: Ran = child.wait_with_output().unwrap().into();
        let value: Value =
            serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {} {}", ran.out, ran.err));
        value["data"].clone()
    };
    let data = once(true);
    let told = got.lock().unwrap().clone();
    let change =
        told.iter().find(|t| t.contains("\"kind\":\"change\"")).unwrap_or_else(|| panic!("{told:?}"));
    assert!(change.contains("\"of\":\"bed_"), "{change}");
    assert!(change.contains("\"false_a_month\":0.2") && change.contains("0.2 a month"), "{change}");
    // Within the first minutes of an hour the hour before still waits for what is under way; an hour may have ended
    // meanwhile.
    let until_ms = data["watch"]["until_ms"].as_i64().unwrap();
    let after_ms = jiff::Timestamp::now().as_millisecond();
    assert!(until_ms >= end_ms - engine::watch::HOUR_MS && until_ms <= after_ms, "{until_ms} {end_ms}");
    assert!(
        data["watch"]["events"].as_array().unwrap().iter().any(|e| e["causes"][0]["kind"] != Value::Null)
    );
    let expected = program()
        .arg("store")
        .arg(folder.path().join("house.store"))
        .args(["readings", "house/bed_co2", "--json"])
        .output()
        .unwrap();
    let expected: Ran = expected.into();
    let expected: Value = serde_json::from_str(&expected.out).unwrap();
    let bands = expected["data"]["expected"].as_array().unwrap();
    assert!(bands.len() > 60 * 24 && bands[0]["lo"].as_f64() < bands[0]["hi"].as_f64());
    // Started again: the fit and the memory are in the store, and nothing is told twice.
    let again = once(false);
    assert_eq!(got.lock().unwrap().len(), told.len());
    assert!(again["watch"]["until_ms"].as_i64() >= data["watch"]["until_ms"].as_i64());
}
