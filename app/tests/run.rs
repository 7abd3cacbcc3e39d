//! Running the program in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::{AtomicUsize, Ordering};

static COUNT: AtomicUsize = AtomicUsize::new(0);

/// A folder that goes when the test is over. Its name has spaces and accents, as people's have.
pub(crate) struct Folder(PathBuf);

impl Folder {
    pub(crate) fn new() -> Folder {
        let n = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("airwright test {} n\u{fa}mero {n}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    pub(crate) fn path(&self) -> &Path {
        &self.0
    }

    pub(crate) fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.0.join(name)).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // A folder that cannot be removed harms nobody; the system clears it.
        std::fs::remove_dir_all(&self.0).ok();
    }
}

/// What a run gave.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

pub(crate) fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_airwright"));
    command.env("NO_COLOR", "1");
    command
}

/// A live watch of `job` over `store` that ends when what is there is judged, with its summary as JSON.
pub(crate) fn watch_once(job: &Path, store: &Path) -> Command {
    let mut command = program();
    command.arg("watch").arg(job).arg("--store").arg(store).args(["--once", "--json"]);
    command.env("LIVE_TEST_TOKEN", "from-the-test");
    command
}

impl From<Output> for Ran {
    fn from(o: Output) -> Ran {
        Ran {
            code: o.status.code().unwrap_or(-1),
            out: String::from_utf8(o.stdout).unwrap(),
            err: String::from_utf8(o.stderr).unwrap(),
        }
    }
}

pub(crate) fn airwright(args: &[&str], folder: &Path) -> Ran {
    program().args(args).arg(folder).output().unwrap().into()
}

pub(crate) fn json(args: &[&str], folder: &Path) -> (i32, serde_json::Value) {
    let ran: Ran = program().args(args).arg(folder).arg("--json").output().unwrap().into();
    let value = serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {}", ran.out));
    (ran.code, value)
}
