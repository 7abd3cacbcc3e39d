//! What the tests of live readings share: a broker that they start and end, a store in memory.

use super::desk::Desk;
use super::map::Map;
use super::{Keep, Reading, Sorted, Stop};
use crate::clock;
use engine::doc::watch::{Watch, read};
use engine::doc::{File, Sink};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// A document without a mistake.
pub(crate) fn document(text: &str) -> Watch {
    let sink = Sink::default();
    let watch = read(&File { name: "watch.toml".to_owned(), text: text.to_owned() }, &sink);
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow().list);
    watch
}

/// Readings, messages, and attempts to keep that fail from now on.
type Remembered = (Vec<Reading>, Vec<Vec<u8>>, usize);

/// What was kept, and whether keeping fails for now.
#[derive(Clone, Default)]
pub(crate) struct Memory(Arc<Mutex<Remembered>>);

impl Memory {
    pub(crate) fn readings(&self) -> Vec<Reading> {
        self.0.lock().unwrap().0.clone()
    }

    pub(crate) fn bodies(&self) -> Vec<Vec<u8>> {
        self.0.lock().unwrap().1.clone()
    }

    /// So many attempts fail.
    pub(crate) fn fail(&self, times: usize) {
        self.0.lock().unwrap().2 = times;
    }
}

impl Keep for Memory {
    fn append(&mut self, batch: &[Sorted]) -> Result<(), String> {
        let mut all = self.0.lock().unwrap();
        if all.2 > 0 {
            all.2 -= 1;
            return Err("no room".to_owned());
        }
        for one in batch {
            all.0.extend(one.readings.iter().cloned());
            all.1.push(one.arrival.body.clone());
        }
        Ok(())
    }
}

/// A desk with its memory.
pub(crate) fn desk(watch: &Watch, from: std::sync::mpsc::Receiver<super::Arrival>) -> (Desk<Memory>, Memory) {
    let memory = Memory::default();
    let kept = memory.clone();
    (Desk::new(from, Map::new(watch), kept, Box::new(|_, _| {}), clock::now_ms()), memory)
}

/// Turns until something is so, at most for a while.
pub(crate) fn turn_until<K: Keep>(desk: &mut Desk<K>, seconds: u64, done: impl Fn(&Desk<K>) -> bool) -> bool {
    let (began, stop) = (clock::monotonic(), Stop::default());
    while began.elapsed() < Duration::from_secs(seconds) {
        if done(desk) {
            return true;
        }
        desk.turn(Duration::from_millis(20), &stop);
    }
    done(desk)
}

/// A broker of ours on a free port of this machine, ended with the test by its own process.
pub(crate) struct Mosquitto {
    child: Option<Child>,
    pub(crate) port: u16,
    folder: PathBuf,
    path: PathBuf,
}

impl Mosquitto {
    /// Starts one, or says plainly that there is none and gives nothing.
    pub(crate) fn start(name: &str) -> Option<Mosquitto> {
        Mosquitto::start_with(name, |_| Some(String::new()))
    }

    /// The same with more lines of its configuration, made in its folder.
    pub(crate) fn start_with(name: &str, more: impl Fn(&Path) -> Option<String>) -> Option<Mosquitto> {
        let path = ["/usr/sbin/mosquitto", "/usr/local/sbin/mosquitto", "/opt/homebrew/sbin/mosquitto"]
            .iter()
            .map(PathBuf::from)
            .find(|p| p.is_file());
        let Some(path) = path else {
            println!("NOT RUN: mosquitto is not there (Debian: apt-get install mosquitto)");
            return None;
        };
        let folder = std::env::temp_dir().join(format!("airwright broker {} {name}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let more = more(&folder)?;
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        // Started by root it would become another user, who may not write in our folder; by anybody else
        // the line has no effect.
        let config = format!(
            "user root\nlistener {port} 127.0.0.1\nallow_anonymous true\npersistence true\nautosave_interval 1\n\
             autosave_on_changes true\npersistence_location {}/\nmax_queued_messages 100000\nlog_dest none\n{more}",
            folder.display()
        );
        std::fs::write(folder.join("broker.conf"), config).unwrap();
        let mut broker = Mosquitto { child: None, port, folder, path };
        broker.go_on();
        Some(broker)
    }

    /// Its folder, which goes with it.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Starts it, again where it was stopped.
    pub(crate) fn go_on(&mut self) {
        let mut command = Command::new(&self.path);
        command.arg("-c").arg(self.folder.join("broker.conf"));
        self.child = Some(command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap());
        for _ in 0..200 {
            if TcpStream::connect(("127.0.0.1", self.port)).is_ok() {
                return;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("the broker does not listen");
    }

    /// Stops it, as a power cut would or, `gently`, so that it writes down what it has.
    pub(crate) fn stop(&mut self, gently: bool) {
        if let Some(mut child) = self.child.take() {
            if gently {
                Command::new("kill").arg(child.id().to_string()).status().unwrap();
            } else {
                child.kill().unwrap();
            }
            child.wait().unwrap();
        }
    }

    /// A table of a document for it.
    pub(crate) fn table(&self, version: &str) -> String {
        format!("[broker.home]\naddress = \"127.0.0.1:{}\"\nversion = \"{version}\"\n", self.port)
    }

    /// How to connect to it.
    pub(crate) fn setup(&self, version: engine::doc::watch::Version, client: &str) -> super::mqtt::Setup {
        super::mqtt::Setup {
            name: Arc::from("home"),
            host: "127.0.0.1".to_owned(),
            port: self.port,
            version,
            client: client.to_owned(),
            login: None,
            tls: None,
            keep_alive_s: 30,
        }
    }
}

impl Drop for Mosquitto {
    fn drop(&mut self) {
        self.stop(false);
        std::fs::remove_dir_all(&self.folder).ok();
    }
}
