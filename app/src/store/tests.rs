//! Behaviour of the store in one process.

use super::*;

mod documents;
mod faults;
mod series;

use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

static COUNT: AtomicUsize = AtomicUsize::new(0);

/// A folder that goes with the test.
pub(super) struct Dir(PathBuf);

impl Dir {
    pub(super) fn new() -> Dir {
        let n = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("airwright store {} {n}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Dir(path)
    }

    pub(super) fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Dir {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.0).ok();
    }
}

pub(super) fn who(author: &str) -> Who {
    Who { author: author.to_owned(), device: "test".to_owned(), now_ms: 1_790_000_000_000 }
}

pub(super) fn files(list: &[(&str, &str)]) -> Vec<Bytes> {
    list.iter().map(|(p, t)| Bytes { path: (*p).to_owned(), bytes: t.as_bytes().to_vec() }).collect()
}

pub(super) fn store_with_source(path: &Path, settings: Settings) -> (Store, i64) {
    let store = Store::open_with(path, settings).unwrap();
    store.put("job", "folder", files(&[("job.toml", "format = 1\n")]), true, who("a")).unwrap();
    let id = store.describe("bedroom co2", told(), 0).unwrap();
    (store, id)
}

pub(super) fn told() -> Description {
    let some = |t: &str| Some(t.to_owned());
    Description {
        job: some("job"),
        instrument: some("meter 1"),
        place: some("bedroom"),
        quantity: some("gas_fraction"),
        unit: some("ppm"),
        basis: some("raw"),
    }
}

pub(super) fn batch(source: i64, points: &[(i64, f64)]) -> Batch {
    let points = points.iter().map(|(time_ms, value)| Point { time_ms: *time_ms, value: *value }).collect();
    Batch { parts: vec![Part { source, points, flags: 0 }], raw: Vec::new(), arrived_ms: 1_790_000_000_000 }
}

/// Random numbers that are the same in every run.
pub(super) struct Few(pub(super) u64);

impl Few {
    pub(super) fn below(&mut self, n: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(self.0 >> 33).unwrap() % n
    }
}

/// Every trouble is told in words, in every language, with its values in them.
#[test]
fn every_trouble_has_its_words() {
    use report::words::{Language, Words};
    let t = || "zzz".to_owned();
    let all = [
        StoreError::NotAStore,
        StoreError::NoStore(PathBuf::from("zzz")),
        StoreError::Newer { version: 9, known: 1 },
        StoreError::Damaged { what: t() },
        StoreError::Full { waiting: 7, refused: 3 },
        StoreError::NoRoom { what: t() },
        StoreError::Ended,
        StoreError::Busy,
        StoreError::NoJob { name: t(), known: String::new() },
        StoreError::Erased { name: t() },
        StoreError::NoDocument { path: t() },
        StoreError::NoRevision { path: t(), number: 4, last: 2 },
        StoreError::NothingToUndo { path: t() },
        StoreError::Path { path: t() },
        StoreError::Edit { path: t(), why: "missing", what: t(), line: 0 },
        StoreError::NoSource { name: t() },
        StoreError::Described { name: t(), field: "unit", was: t() },
        StoreError::Unit { unit: t(), quantity: t() },
        StoreError::Unknown { folder: t(), job: t() },
        StoreError::File { path: t(), why: "denied", what: t() },
        StoreError::Other { what: t() },
    ];
    let mut codes = std::collections::BTreeSet::new();
    for trouble in all {
        let diagnostic = trouble.diagnostic();
        assert!(codes.insert(diagnostic.code.0), "{}", diagnostic.code);
        for language in Language::ALL {
            let said = Words::new(language, engine::units::System::Si).diagnostic(&diagnostic);
            assert_ne!(said.text, diagnostic.code.0);
            let shown = [Some(said.text), said.because, said.help].into_iter().flatten().collect::<String>();
            assert!(!shown.contains(['{', '$']), "{shown}");
            if format!("{trouble:?}").contains("zzz") {
                assert!(shown.contains("zzz"), "{shown}");
            }
        }
    }
    assert_eq!(codes.len(), 21);
}
