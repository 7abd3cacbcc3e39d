//! `airwright serve --store`, and a client that is bare enough to send what no client should.

use crate::run::{Folder, program};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

pub(super) const PATIENCE: Duration = Duration::from_secs(20);

/// A desk that runs; it ends with the test.
pub(super) struct Serving {
    pub(super) folder: Folder,
    pub(super) child: Child,
    /// Such as `127.0.0.1:41234`.
    pub(super) host: String,
    /// Lines of standard output.
    pub(super) lines: Receiver<String>,
}

impl Drop for Serving {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

/// An answer.
#[derive(Debug)]
pub(super) struct Reply {
    pub(super) status: u16,
    pub(super) head: String,
    pub(super) body: String,
}

impl Reply {
    pub(super) fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    /// The code of a refusal.
    pub(super) fn code(&self) -> String {
        self.json()["error"]["code"].as_str().unwrap_or_default().to_owned()
    }
}

/// A folder with a store of one small job.
pub(super) fn folder(job: &str) -> Folder {
    let folder = Folder::new();
    folder.write("job/job.toml", format!("format = 1\nname = \"{job}\"\n"));
    folder.write("job/house.toml", "format = 1\n[zone.main]\nvolume = \"9600 ft3\"\n");
    let mut put = program();
    put.arg("store").arg(folder.path().join("desk.store")).arg("put").arg(folder.path().join("job"));
    let put = put.args(["--job", job]).output().unwrap();
    assert!(put.status.success(), "{put:?}");
    folder
}

impl Serving {
    pub(super) fn new(folder: Folder, more: &[&str]) -> Serving {
        let mut child = program()
            .arg("serve")
            .args(["--port", "0", "--store"])
            .arg(folder.path().join("desk.store"))
            .args(more)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let (tell, lines) = channel();
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                tell.send(line).ok();
            }
        });
        let mut serving = Serving { folder, child, host: String::new(), lines };
        let first = serving.line("://");
        let (_, host) = first.split_once("://").unwrap();
        serving.host = host.split('/').next().unwrap().to_owned();
        serving
    }

    pub(super) fn store(&self) -> PathBuf {
        self.folder.path().join("desk.store")
    }

    /// The next line that says this.
    pub(super) fn line(&self, says: &str) -> String {
        loop {
            let line = self.lines.recv_timeout(PATIENCE).unwrap();
            if line.contains(says) {
                return line;
            }
        }
    }

    /// The code that was shown last or comes next.
    pub(super) fn code(&self) -> String {
        let line = self.line("code to join");
        line.rsplit(' ').next().unwrap().to_owned()
    }

    /// Presses Enter at the terminal.
    pub(super) fn another(&mut self) -> String {
        self.child.stdin.as_mut().unwrap().write_all(b"\n").unwrap();
        self.code()
    }

    /// Sends bytes as they are and reads until the desk has nothing more to say.
    pub(super) fn raw(&self, bytes: &[u8]) -> Option<Reply> {
        let mut socket = TcpStream::connect(&self.host).unwrap();
        socket.set_read_timeout(Some(PATIENCE)).unwrap();
        socket.set_write_timeout(Some(PATIENCE)).unwrap();
        // A desk that has refused a flood reads no more of it.
        socket.write_all(bytes).ok();
        read(&mut socket)
    }

    pub(super) fn ask(&self, line: &str, headers: &[(&str, &str)], body: Option<&str>) -> Reply {
        let bytes = request(&self.host, line, headers, body);
        self.raw(&bytes).unwrap_or_else(|| panic!("no answer to {line}"))
    }

    /// Asks as a joined device does.
    pub(super) fn as_device(&self, token: &str, line: &str, body: Option<&Value>) -> Reply {
        let bearer = format!("Bearer {token}");
        let body = body.map(Value::to_string);
        self.ask(line, &[("Authorization", &bearer)], body.as_deref())
    }

    /// Sends bytes as a joined device does.
    pub(super) fn send(&self, token: &str, line: &str, body: &[u8]) -> Reply {
        let (bearer, length) = (format!("Bearer {token}"), body.len().to_string());
        let headers = [("Authorization", bearer.as_str()), ("Content-Length", length.as_str())];
        let mut bytes = request(&self.host, line, &headers, None);
        bytes.extend_from_slice(body);
        self.raw(&bytes).unwrap_or_else(|| panic!("no answer to {line}"))
    }

    /// The bytes of an answer to a joined device.
    pub(super) fn fetch(&self, token: &str, line: &str) -> Vec<u8> {
        let bearer = format!("Bearer {token}");
        let mut socket = TcpStream::connect(&self.host).unwrap();
        socket.set_read_timeout(Some(PATIENCE)).unwrap();
        socket.write_all(&request(&self.host, line, &[("Authorization", &bearer)], None)).unwrap();
        let mut bytes = Vec::new();
        socket.read_to_end(&mut bytes).ok();
        let head = bytes.windows(4).position(|w| w == b"\r\n\r\n").unwrap();
        bytes.split_off(head + 4)
    }

    /// Lets a device in; its token.
    pub(super) fn join(&self, code: &str, name: &str) -> String {
        let body = json!({ "code": code, "name": name }).to_string();
        let reply = self.ask("POST /desk/join", &[], Some(&body));
        assert_eq!(reply.status, 200, "{reply:?}");
        reply.json()["token"].as_str().unwrap().to_owned()
    }
}

/// A request as bytes.
pub(super) fn request(host: &str, line: &str, headers: &[(&str, &str)], body: Option<&str>) -> Vec<u8> {
    let mut text = format!("{line} HTTP/1.1\r\nConnection: close\r\n");
    let told = |name: &str| headers.iter().any(|(n, _)| n.eq_ignore_ascii_case(name));
    if !told("host") {
        text.push_str(&format!("Host: {host}\r\n"));
    }
    for (name, value) in headers {
        text.push_str(&format!("{name}: {value}\r\n"));
    }
    if let Some(body) = body {
        if !told("content-type") {
            text.push_str("Content-Type: application/json\r\n");
        }
        text.push_str(&format!("Content-Length: {}\r\n", body.len()));
    }
    text.push_str("\r\n");
    text.push_str(body.unwrap_or(""));
    text.into_bytes()
}

fn read(socket: &mut impl Read) -> Option<Reply> {
    let mut bytes = Vec::new();
    // A connection that was cut in the middle has said what it has said.
    socket.read_to_end(&mut bytes).ok();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    Some(Reply { status, head: head.to_lowercase(), body: body.to_owned() })
}
