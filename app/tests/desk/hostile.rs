//! Hundreds of requests that no honest client sends: none of them is done, none changes a byte of the store,
//! and the desk is there afterwards.

use super::client::{Reply, Serving, folder, request};
use serde_json::json;
use std::collections::BTreeMap;
use std::io::Write;
use std::net::TcpStream;
use std::time::Duration;

const CLIMBS: &[&str] = &[
    "/../desk.store",
    "/../../../../etc/passwd",
    "/..%2f..%2f..%2fetc%2fpasswd",
    "/%2e%2e/%2e%2e/etc/passwd",
    "/%2e%2e%2f%2e%2e%2fetc/passwd",
    "/..%5c..%5cdesk.store",
    "/....//....//etc/passwd",
    "/..;/..;/etc/passwd",
    "/%252e%252e%252fetc/passwd",
    "/%c0%ae%c0%ae/etc/passwd",
    "/assets/../../desk.store",
    "/assets/%00index.html",
    "/index.html%00.js",
    "//etc/passwd",
    "/\\..\\..\\desk.store",
    "/desk.store",
    "/desk.store-wal",
    "/desk.store-key.pem",
    "/.git/config",
    "/desk/../desk.store",
    "/desk/%2e%2e/desk.store",
    "/desk/jobs/../../desk.store",
    "/desk/jobs/..%2f..%2fdesk.store",
    "/desk/jobs/%2e%2e%2f%2e%2e/exchange",
    "/file:///etc/passwd",
    "/C:/Windows/win.ini",
];
const METHODS: &[&str] = &["GET", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "BREW"];
const TRICKS: &[&str] = &[
    "'%20OR%201=1--",
    "maple'%3bDROP%20TABLE%20job%3b--",
    "%22%3bDELETE%20FROM%20revision%3b--",
    "maple%00",
    "maple%0d%0aSet-Cookie:%20a=b",
    "%3cscript%3ealert(1)%3c/script%3e",
    "$(reboot)",
    "%60reboot%60",
    "maple%20UNION%20SELECT%20token%20FROM%20device",
    "..",
    "%2e",
    "%ff%fe",
    "%e0%80%af",
    "{{7*7}}",
    "*",
    "%25s%25s%25n",
    "maple%2f..%2fmaple",
    "\u{202e}elpam",
];
const QUERIES: &[&str] = &[
    "/desk/window?source=1%20OR%201=1&from=0&to=9",
    "/desk/window?source=1&from=9&to=0",
    "/desk/window?source=1&from=-1&to=9",
    "/desk/window?source=1&from=0&to=9223372036854775807",
    "/desk/window?source=1&from=0&to=9&buckets=0",
    "/desk/window?source=1&from=0&to=9&buckets=99999999999",
    "/desk/window?source=99&from=0&to=9",
    "/desk/window?source=1&source=2&from=0&to=9",
    "/desk/window",
    "/desk/window?source=nan&from=0&to=9",
    "/desk/expected?source=1&from=0&to=253402300800001",
    "/desk/expected?source=18446744073709551616&from=0&to=9",
    "/desk/expected?source=1&from=0",
    "/desk/events?job=maple&from=x&to=9",
    "/desk/events?job=nobody&from=0&to=9",
    "/desk/events?from=0&to=9",
    "/desk/sources?job=nobody",
    "/desk/sources",
    "/desk/live?job=nobody",
    "/desk/live",
    "/desk/tasks/../jobs",
    "/desk/tasks/00000000000000000000000000000000",
    "/desk/tasks/00000000000000000000000000000000/progress",
    "/desk/jobs/nobody",
    "/desk/devices/1",
    "/desk/join",
];

struct Hostile {
    what: String,
    bytes: Vec<u8>,
}

fn hostile(host: &str, token: &str) -> Vec<Hostile> {
    let bearer = format!("Bearer {token}");
    let known: (&str, &str) = ("Authorization", &bearer);
    let mut all = Vec::new();
    let mut add = |what: String, bytes: Vec<u8>| all.push(Hostile { what, bytes });
    let mut plain = |line: &str, headers: &[(&str, &str)], body: Option<&str>| {
        add(format!("{line} {headers:?} {}", body.map_or(0, str::len)), request(host, line, headers, body));
    };
    for climb in CLIMBS {
        for method in METHODS {
            let body = (*method == "POST").then_some("{}");
            plain(&format!("{method} {climb}"), &[known], body);
        }
    }
    for trick in TRICKS {
        for (method, from, to) in [
            ("GET", "/desk/jobs/", ""),
            ("GET", "/desk/sources?job=", ""),
            ("GET", "/desk/events?from=0&to=9&job=", ""),
            ("GET", "/desk/tasks/", ""),
            ("DELETE", "/desk/tasks/", ""),
            ("GET", "/desk/live?job=", ""),
        ] {
            plain(&format!("{method} {from}{trick}{to}"), &[known], None);
        }
        let exchange = json!({ "begin": true, "documents": [] }).to_string();
        plain(&format!("POST /desk/jobs/{trick}%3c/exchange"), &[known], Some(&exchange));
        // Names of documents, as JSON tells them.
        let name = trick.replace("%2f", "/").replace("%00", "\0").replace("%0d%0a", "\r\n");
        let document = json!({ "name": format!("../{name}"), "base": 0, "mark": "m", "text": "x" });
        let climbs = json!({ "documents": [document] }).to_string();
        plain("POST /desk/jobs/maple/exchange", &[known], Some(&climbs));
        let join = json!({ "code": trick, "name": format!("<{trick}>") }).to_string();
        plain("POST /desk/join", &[], Some(&join));
    }
    for query in QUERIES {
        plain(&format!("GET {query}"), &[known], None);
    }
    for name in
        ["", ".", "..", "a/../b", "/etc/passwd", "a\\b", "C:x", "a\0b", "a\nb", "out/report.html", "a//b"]
    {
        let document = json!({ "name": name, "base": 0, "mark": "m", "text": "x" });
        let body = json!({ "documents": [document] }).to_string();
        plain("POST /desk/jobs/maple/exchange", &[known], Some(&body));
    }
    let document = |document: serde_json::Value| json!({ "documents": [document] }).to_string();
    let deep = format!("{{\"documents\":{}", "[".repeat(20_000));
    let long =
        document(json!({ "name": "x.toml", "base": 0, "mark": "m", "text": "x".repeat((4 << 20) + 1) }));
    let bodies = [
        String::new(),
        "{".to_owned(),
        "null".to_owned(),
        "[]".to_owned(),
        "{\"documents\":null}".to_owned(),
        "{\"documents\":[{}]}".to_owned(),
        "{\"documents\":[],\"more\":1}".to_owned(),
        "\u{feff}{\"documents\":[]}".to_owned(),
        deep,
        long,
        document(json!({ "name": "job.toml", "base": -1, "mark": "m", "text": "x" })),
        document(json!({ "name": "job.toml", "base": 99, "mark": "m", "text": "x" })),
        document(json!({ "name": "job.toml", "base": 1, "text": "x" })),
        document(json!({ "name": "job.toml", "base": 1, "mark": "a b", "text": "x" })),
        document(json!({ "name": "job.toml", "base": 1, "mark": "m".repeat(65), "text": "x" })),
        document(json!({ "name": "job.toml", "base": 1.5, "mark": "m", "text": "x" })),
        document(json!({ "name": "job.toml", "base": 1e300, "mark": "m", "text": "x" })),
        document(json!({ "name": "job.toml", "base": 1, "mark": "m", "text": ["x"] })),
        document(json!({ "name": ["job.toml"], "base": 1, "mark": "m", "text": "x" })),
        json!({ "documents": (0..2001).map(|n| json!({ "name": format!("{n}"), "base": 0 })).collect::<Vec<_>>() })
            .to_string(),
        json!({ "documents": [{ "name": "a", "base": 0, "mark": "m", "text": "x" },
                              { "name": "a", "base": 0, "mark": "n", "text": "y" }] })
            .to_string(),
    ];
    for body in &bodies {
        plain("POST /desk/jobs/maple/exchange", &[known], Some(body));
        plain("POST /desk/jobs/maple/settle", &[known], Some(body));
        plain("POST /desk/readings", &[known], Some(body));
        plain("POST /desk/tasks", &[known], Some(body));
    }
    for kind in [
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "application/json; charset=utf-16",
        "text/json",
        "",
    ] {
        plain("POST /desk/code", &[known, ("Content-Type", kind)], Some("{}"));
    }
    for origin in [
        "https://evil.example",
        "null",
        "http://127.0.0.1",
        "https://127.0.0.1:1",
        "http://localhost.evil:1",
        "",
    ] {
        plain("POST /desk/code", &[known, ("Origin", origin)], Some("{}"));
        plain("GET /desk/jobs", &[known, ("Origin", origin)], None);
    }
    for site in ["cross-site", "same-site", "no-such"] {
        plain("GET /desk/jobs", &[known, ("Sec-Fetch-Site", site)], None);
    }
    for name in
        ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost", "[::1]:80", "a b", "", "127.0.0.1:80:80"]
    {
        plain("GET /desk/jobs", &[known, ("Host", name)], None);
        plain("GET /", &[("Host", name)], None);
    }
    plain("GET http://evil.example/desk/jobs", &[known], None);
    plain("GET http://evil.example/", &[], None);
    plain("CONNECT evil.example:443", &[], None);
    plain(&format!("GET /{}", "a".repeat(5000)), &[], None);
    plain(&format!("GET /{}", "a".repeat(100_000)), &[], None);
    plain(&format!("GET /desk/sources?job={}", "a".repeat(5000)), &[known], None);
    let many: Vec<(String, String)> = (0..300).map(|n| (format!("X-{n}"), "y".to_owned())).collect();
    let many: Vec<(&str, &str)> = many.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    plain("GET /", &many, None);
    plain("GET /desk/jobs", &[known, ("X-Long", &"y".repeat(200_000))], None);
    plain("GET /desk/jobs", &[known, ("Range", "bytes=0-,0-,0-")], None);
    for n in 0..24_u32 {
        let forged: String = token
            .chars()
            .map(|c| char::from_digit((c.to_digit(16).unwrap() + 1 + n % 15) % 16, 16).unwrap())
            .collect();
        let forged = format!("Bearer {forged}");
        plain(
            ["GET /desk/jobs", "GET /desk/devices", "DELETE /desk/device"][n as usize % 3],
            &[("Authorization", &forged)],
            None,
        );
    }
    let head = format!(
        "Host: {host}\r\nAuthorization: {bearer}\r\nContent-Type: application/json\r\nConnection: close\r\n"
    );
    let smuggled = [
        format!("POST /desk/code HTTP/1.1\r\n{head}Content-Length: 2\r\nContent-Length: 40\r\n\r\n{{}}"),
        format!(
            "POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET /desk/jobs HTTP/1.1\r\n\r\n"
        ),
        format!(
            "POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Transfer-Encoding: chunked\r\n\r\nFFFFFFFFFFFFFFFFFF\r\n"
        ),
        format!(
            "POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Transfer-Encoding: chunked\r\n\r\n-1\r\n{{}}\r\n"
        ),
        format!("POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Transfer-Encoding: gzip\r\n\r\n{{}}"),
        format!("POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Content-Length: -5\r\n\r\n{{}}"),
        format!(
            "POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Content-Length: 99999999999999999999\r\n\r\n{{}}"
        ),
        format!("POST /desk/jobs/maple/exchange HTTP/1.1\r\n{head}Content-Length: 500000000\r\n\r\n{{}}"),
        format!(
            "GET /desk/jobs HTTP/1.1\r\nHost: {host}\r\nHost: evil.example\r\nAuthorization: {bearer}\r\n\r\n"
        ),
        format!("GET /desk/jobs HTTP/1.1\r\n Host: {host}\r\nAuthorization: {bearer}\r\n\r\n"),
        format!("GET /desk/jobs HTTP/9.9\r\n{head}\r\n"),
        "GET /desk/jobs\r\n\r\n".to_owned(),
        "GET /desk/jobs HTTP/1.1\r\n\r\n".to_owned(),
        "\0\0\0\0\r\n\r\n".to_owned(),
        "\u{16}\u{3}\u{1}\u{2}\0\r\n\r\n".to_owned(),
        "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_owned(),
        "HELO desk\r\n\r\n".to_owned(),
        "\r\n\r\n\r\n\r\n".to_owned() + "X\r\n\r\n",
    ];
    for text in smuggled {
        add(text.chars().take(80).collect(), text.into_bytes());
    }
    all
}

/// Every file of the store but the index of the log, which readers touch.
fn bytes(desk: &Serving) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(desk.folder.path()).unwrap().map(|e| e.unwrap().path());
    entries
        .filter(|p| p.is_file() && !p.to_string_lossy().ends_with("-shm"))
        .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&p).unwrap()))
        .collect()
}

#[test]
fn hundreds_of_hostile_requests_change_nothing() {
    let desk = Serving::new(folder("maple"), &[]);
    let token = desk.join(&desk.code(), "phone");
    let before = bytes(&desk);
    let all = hostile(&desk.host, &token);
    assert!(all.len() >= 500, "{}", all.len());
    let mut answered: BTreeMap<u16, usize> = BTreeMap::new();
    for Hostile { what, bytes } in &all {
        let reply = loop {
            match desk.raw(bytes) {
                // Wrong codes are slowed down for longer than a test waits; that is their answer.
                Some(Reply { status: 429, .. }) if !what.contains("/desk/join") => {
                    std::thread::sleep(Duration::from_millis(500));
                }
                reply => break reply,
            }
        };
        let Some(reply) = reply else {
            *answered.entry(0).or_default() += 1;
            continue;
        };
        *answered.entry(reply.status).or_default() += 1;
        let harmless = what.starts_with("GET /desk/jobs [(\"Authorization\"") && what.contains("Range");
        let refused = (400..500).contains(&reply.status) || reply.status == 505;
        assert!(refused || (harmless && reply.status == 200), "{what}: {reply:?}");
        assert!(!reply.body.contains("root:") && !reply.body.contains("SQLite"), "{what}");
        assert!(!reply.body.contains("<script") && !reply.head.contains("set-cookie"), "{what}: {reply:?}");
        assert!(!reply.head.contains("access-control-allow"), "{what}: {}", reply.head);
    }
    // Almost all were heard and refused; a few were no HTTP at all.
    assert!(answered.get(&0).copied().unwrap_or(0) < 20, "{answered:?}");
    assert!(bytes(&desk) == before, "the store has changed");
    let jobs = desk.as_device(&token, "GET /desk/jobs", None);
    assert_eq!((jobs.status, jobs.json()["jobs"][0]["revisions"].as_i64()), (200, Some(2)));
    let devices = desk.as_device(&token, "GET /desk/devices", None).json();
    assert_eq!(devices["devices"].as_array().unwrap().len(), 1);
}

/// Clients that begin and do not go on hold nobody up, and are let go.
#[test]
fn whoever_dawdles_is_let_go() {
    let desk = Serving::new(folder("maple"), &[]);
    let slow: Vec<TcpStream> = (0..40)
        .map(|n| {
            let mut socket = TcpStream::connect(&desk.host).unwrap();
            let begun = [&b"GET / HTTP/1.1\r\nHost: "[..], b"", b"POST /desk/join HTTP/1.1\r\nX: "][n % 3];
            socket.write_all(begun).unwrap();
            socket
        })
        .collect();
    assert_eq!(desk.ask("GET /desk/jobs", &[], None).status, 401);
    for mut socket in slow {
        socket.set_read_timeout(Some(Duration::from_secs(15))).unwrap();
        let mut end = Vec::new();
        // The desk closes it: no time-out of ours.
        std::io::Read::read_to_end(&mut socket, &mut end).unwrap();
        assert!(!end.starts_with(b"HTTP/1.1 200"));
    }
}
