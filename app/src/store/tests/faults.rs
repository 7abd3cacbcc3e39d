use super::*;
use rusqlite::Connection;
use std::sync::{Arc, Barrier};
use std::time::Duration;

const T: i64 = 1_780_000_000_000;

/// The disk is full in the middle of things: what was acknowledged is there, what was not is not, and
/// with room again it goes on.
#[test]
fn a_full_disk_loses_nothing_that_was_acknowledged() {
    let dir = Dir::new();
    let path = dir.file("a.store");
    let (store, id) = store_with_source(&path, Settings { queue: 64, max_pages: Some(120) });
    let mut acknowledged = 0;
    let mut full = 0;
    for k in 0..200_i64 {
        let points: Vec<(i64, f64)> = (0..500).map(|n| (T + (k * 500 + n) * 1000, 1.0)).collect();
        match store.writer().append(batch(id, &points)) {
            Ok(ack) => {
                acknowledged += ack.kept as i64;
                assert_eq!(full, 0);
            }
            Err(StoreError::NoRoom { .. }) => full += 1,
            Err(other) => panic!("{other:?}"),
        }
        if full == 3 {
            break;
        }
    }
    assert!(full == 3 && acknowledged > 0);
    let big = files(&[("big.csv", &"x".repeat(2_000_000))]);
    assert!(matches!(store.put("big", "/b", big, false, who("a")), Err(StoreError::NoRoom { .. })));
    let count = |store: &Store| store.window(id, 0, i64::MAX, 1).unwrap()[0].count;
    assert_eq!(count(&store), acknowledged);
    assert!(store.check().unwrap().sound());
    drop(store);
    let store = Store::open(&path).unwrap();
    assert_eq!(count(&store), acknowledged);
    store.writer().append(batch(id, &[(T - 1, 1.0)])).unwrap();
    assert_eq!(count(&store), acknowledged + 1);
}

/// The log ends anywhere, or its end is torn: what stands is a state that was acknowledged.
#[test]
fn a_torn_log_leaves_whole_transactions() {
    let dir = Dir::new();
    let path = dir.file("a.store");
    let (store, id) = store_with_source(&path, Settings::default());
    drop(store);
    let store = Store::open(&path).unwrap();
    let mut sizes = Vec::new();
    for k in 0..40 {
        store.writer().append(batch(id, &[(T + k * 1000, 1.0), (T + k * 1000 + 1, 2.0)])).unwrap();
        sizes.push(std::fs::metadata(beside(&path, "-wal")).unwrap().len());
    }
    // As after the end of the process: nobody empties the log.
    let (main, log) = (std::fs::read(&path).unwrap(), std::fs::read(beside(&path, "-wal")).unwrap());
    let mut few = Few(3);
    for round in 0..40 {
        let copy = dir.file(&format!("copy {round}"));
        let cut = usize::try_from(few.below(log.len() as i64)).unwrap();
        let mut torn = log.clone();
        if round % 2 == 0 {
            torn.truncate(cut);
        } else {
            torn[cut..].fill(0xa5);
        }
        std::fs::write(&copy, &main).unwrap();
        std::fs::write(beside(&copy, "-wal"), &torn).unwrap();
        let whole = sizes.iter().filter(|s| **s <= cut as u64).count() as i64;
        let store = Store::open(&copy).unwrap();
        let found = store.window(id, 0, i64::MAX, 1).unwrap().first().map_or(0, |b| b.count);
        assert_eq!(found, whole * 2, "cut at {cut}");
        assert!(store.check().unwrap().sound());
    }
}

/// Pages of the file are overwritten: it is refused, and what can be read is saved.
#[test]
fn a_damaged_file_is_refused_and_most_of_it_saved() {
    let dir = Dir::new();
    let path = dir.file("a.store");
    let (store, id) = store_with_source(&path, Settings::default());
    for k in 0..60 {
        let text = format!("n = {k}\n# {}\n", "filler ".repeat(1500));
        store
            .put(
                "job",
                "folder",
                files(&[("job.toml", "format = 1\n"), ("notes.csv", &text)]),
                true,
                who("a"),
            )
            .unwrap();
    }
    let points: Vec<(i64, f64)> = (0..30_000).map(|n| (T + n * 1000, n as f64)).collect();
    for part in points.chunks(5000) {
        store.writer().append(batch(id, part)).unwrap();
    }
    let edit = vec![api::edit::Operation {
        path: "job.toml".to_owned(),
        key: api::edit::key_path("format").unwrap(),
        change: api::edit::Change::Set { value: "2".to_owned() },
    }];
    store.edit("job", "job.toml", 1, edit.clone(), who("a")).unwrap();
    let other = vec![api::edit::Operation {
        change: api::edit::Change::Set { value: "3".to_owned() },
        ..edit[0].clone()
    }];
    store.edit("job", "job.toml", 1, other, who("b")).unwrap();
    store
        .writer()
        .call(move |conn| {
            conn.execute_batch(
                "INSERT INTO event (job_id, kind, start_ms, made_ms) VALUES (1, 'k', 5, 6);
                 INSERT INTO event_source VALUES (1, 1);
                 INSERT INTO alert (event_id, kind, state, made_ms, changed_ms) VALUES (1, 'k', 'open', 6, 6);
                 INSERT INTO outbox (alert_id, key, channel, payload, next_ms) VALUES (1, 'k', 'c', x'00', 6);",
            )?;
            Ok(())
        })
        .unwrap();
    drop(store);
    let bytes = std::fs::read(&path).unwrap();
    let pages = bytes.len() / 4096;
    let (mut refused, mut few) = (0, Few(11));
    for round in 0..12 {
        let copy = dir.file(&format!("hurt {round}"));
        let mut hurt = bytes.clone();
        // The first page and the list of tables are spared; a torn last page is among the rest.
        let page =
            if round == 0 { pages - 1 } else { 60 + usize::try_from(few.below(pages as i64 - 61)).unwrap() };
        let end = if round == 0 { hurt.len() } else { (page + 1) * 4096 };
        hurt[page * 4096..end].fill(0x5a);
        if round == 0 {
            hurt.truncate(page * 4096 + 1000);
        }
        std::fs::write(&copy, &hurt).unwrap();
        // Closed in order it is opened at once, and a check finds the page; a file cut short is refused.
        let finds = |store: &Store| store.check().map_or_else(|_| true, |c| !c.sound());
        match Store::open(&copy) {
            Err(StoreError::Damaged { .. }) => {}
            Ok(store) => assert!(round != 0 && finds(&store), "round {round} page {page}"),
            Err(other) => panic!("{other:?}"),
        }
        // Left by a process that did not come to close it, the whole file is looked at.
        std::fs::write(&copy, &hurt).unwrap();
        std::fs::write(beside(&copy, "-wal"), [0; 64]).unwrap();
        match Store::open(&copy) {
            Err(StoreError::Damaged { .. }) => refused += 1,
            // A page full of one document's bytes is no matter of structure: the hash finds it.
            Ok(store) => assert!(finds(&store), "round {round} page {page}"),
            Err(other) => panic!("{other:?}"),
        }
        std::fs::remove_file(beside(&copy, "-wal")).ok();
        std::fs::write(&copy, &hurt).unwrap();
        let tables = |c: Connection| c.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(()));
        if Connection::open(&copy).and_then(tables).is_err() {
            // The list of tables may have a page in the midst of others; without it nothing can be saved.
            assert!(matches!(Store::open(&copy), Err(StoreError::Damaged { .. })));
            continue;
        }
        let before = std::fs::read(&copy).unwrap();
        let saved = recover(&copy, &dir.file(&format!("saved {round}"))).unwrap();
        assert_eq!(std::fs::read(&copy).unwrap(), before);
        // A page of the levels is no loss: they are made anew.
        let whole = (saved.readings, saved.revisions) == (30_000, 62);
        assert!(!saved.lost.is_empty() || whole, "round {round} {saved:?}");
        assert!(saved.jobs == 1 && saved.revisions > 30, "{saved:?}");
        assert!(
            saved.readings > 29_000 || saved.lost.iter().any(|l| l.contains("source")),
            "round {round} page {page} {saved:?}"
        );
        let store = Store::open(&dir.file(&format!("saved {round}"))).unwrap();
        assert!(store.check().unwrap().sound(), "round {round}");
        for document in store.job("job").unwrap() {
            assert!(document.path == "job.toml" || document.bytes.starts_with(b"n = "), "{}", document.path);
        }
        let inside = store.window(id, 0, i64::MAX, 1).unwrap().first().map_or(0, |b| b.count);
        assert_eq!(inside as usize, saved.readings);
    }
    assert!(refused >= 6, "{refused}");
    // Whole, it is saved whole.
    let saved = recover(&path, &dir.file("saved whole")).unwrap();
    assert_eq!((saved.lost.as_slice(), saved.readings, saved.revisions), (&[][..], 30_000, 62));
    let store = Store::open(&dir.file("saved whole")).unwrap();
    assert_eq!(store.waiting("job").unwrap()[0].author, "b");
    for table in ["event", "event_source", "alert", "outbox"] {
        let sql = format!("SELECT count(*) FROM {table}");
        assert_eq!(store.read().query_row(&sql, [], |r| r.get::<_, i64>(0)).unwrap(), 1, "{table}");
    }
    drop(store);
    std::fs::write(dir.file("gone"), vec![7; 9000]).unwrap();
    assert_eq!(Store::open(&dir.file("gone")).err(), Some(StoreError::NotAStore));
}

#[test]
fn what_is_not_ours_or_newer_is_left_alone() {
    let dir = Dir::new();
    let newer = dir.file("newer.store");
    drop(Store::open(&newer).unwrap());
    Connection::open(&newer).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let other = dir.file("other.db");
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE t (x); INSERT INTO t VALUES (1);").unwrap();
    std::fs::write(dir.file("text"), "format = 1\n".repeat(200)).unwrap();
    let bytes = |p: &Path| std::fs::read(p).unwrap();
    let before = (bytes(&newer), bytes(&other), bytes(&dir.file("text")));
    assert_eq!(Store::open(&newer).err(), Some(StoreError::Newer { version: 99, known: migrate::latest() }));
    assert_eq!(Store::open(&other).err(), Some(StoreError::NotAStore));
    assert_eq!(Store::open(&dir.file("text")).err(), Some(StoreError::NotAStore));
    assert!(matches!(Store::existing(&dir.file("none")), Err(StoreError::NoStore(_))));
    assert_eq!((bytes(&newer), bytes(&other), bytes(&dir.file("text"))), before);
}

/// A copy while somebody writes: one of the states in between, whole.
#[test]
fn a_copy_can_be_made_while_readings_come() {
    let dir = Dir::new();
    let path = dir.file("a.store");
    let (store, id) = store_with_source(&path, Settings::default());
    let writer = store.writer();
    let stop = Arc::new(std::sync::atomic::AtomicBool::new(false));
    let go = Arc::clone(&stop);
    let feeding = std::thread::spawn(move || {
        let mut n = 0;
        while !go.load(Ordering::Relaxed) {
            writer.append(batch(id, &[(T + n * 10, 1.0), (T + n * 10 + 1, 1.0)])).unwrap();
            n += 1;
        }
        n * 2
    });
    let mut last = -1;
    for k in 0..3 {
        std::thread::sleep(Duration::from_millis(60));
        let to = dir.file(&format!("copy {k}"));
        assert!(back_up(&path, &to).unwrap() > 0);
        let copy = Store::open(&to).unwrap();
        assert!(copy.check().unwrap().sound());
        let count = copy.window(id, 0, i64::MAX, 1).unwrap().first().map_or(0, |b| b.count);
        assert!(count > last && count % 2 == 0, "{count} after {last}");
        last = count;
        assert!(back_up(&path, &to).is_err());
    }
    stop.store(true, Ordering::Relaxed);
    assert!(feeding.join().unwrap() >= last);
}

/// Two people edit one document at once, each from what they last saw, for a few seconds (a minute
/// with `AIRWRIGHT_LONG_TESTS`): every acknowledged edit is in the history, both end with one text.
#[test]
fn two_people_edit_at_once() {
    use api::edit::{Change, Operation, key_path};
    let dir = Dir::new();
    let path = dir.file("a.store");
    // Each with a store of its own, as two processes have.
    let first = Store::open(&path).unwrap();
    first.put("job", "/a", files(&[("job.toml", "# kept\nformat = 1\n")]), false, who("x")).unwrap();
    let seconds = if std::env::var_os("AIRWRIGHT_LONG_TESTS").is_some() { 60.0 } else { 3.0 };
    let start = Arc::new(Barrier::new(2));
    let people: Vec<_> = ["ann", "bob"]
        .into_iter()
        .map(|name| {
            let (path, start) = (path.clone(), Arc::clone(&start));
            std::thread::spawn(move || {
                let store = Store::open(&path).unwrap();
                start.wait();
                let watch = crate::clock::Watch::start();
                let (mut on, mut kept, mut met, mut n) = (1, Vec::new(), 0, 0);
                while watch.seconds() < seconds {
                    n += 1;
                    // Mostly a field of one's own, now and then the one that both want.
                    let key = if n % 5 == 0 { "shared".to_owned() } else { format!("{name}_{}", n % 7) };
                    let value = format!("\"{name} {n}\"");
                    let edit = vec![Operation {
                        path: "job.toml".to_owned(),
                        key: key_path(&key).unwrap(),
                        change: Change::Set { value: value.clone() },
                    }];
                    match store.edit("job", "job.toml", on, edit, who(name)).unwrap() {
                        Edited::Kept { number, .. } => {
                            kept.push((number, key, value));
                            on = number;
                        }
                        Edited::Same { number } => on = number,
                        Edited::Conflict { number, fields } => {
                            assert_eq!(fields[0].key, "shared");
                            assert_eq!(fields[0].mine.as_deref(), Some(value.as_str()));
                            met += 1;
                            on = number;
                        }
                    }
                    if n % 3 == 0 {
                        // A look at what the other did.
                        on = store.last("job", "job.toml").unwrap();
                    }
                }
                (store.bytes("job", "job.toml", None).unwrap(), kept, met)
            })
        })
        .collect();
    let done: Vec<_> = people.into_iter().map(|p| p.join().unwrap()).collect();
    let history = first.history("job", Some("job.toml")).unwrap();
    let kept: usize = done.iter().map(|d| d.1.len()).sum();
    assert_eq!(history.len(), kept + 1);
    assert!(kept > 50, "{kept}");
    for (number, key, value) in done.iter().flat_map(|d| &d.1) {
        let bytes = first.bytes("job", "job.toml", Some(*number)).unwrap().unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert!(text.contains(&format!("{key} = {value}\n")), "{number}: {key} = {value} in\n{text}");
        assert!(text.starts_with("# kept\n"));
    }
    let met: usize = done.iter().map(|d| d.2).sum();
    assert!(first.waiting("job").unwrap().len() <= met);
    // Fresh eyes on both sides see one text.
    let second = Store::open(&path).unwrap();
    assert_eq!(first.bytes("job", "job.toml", None).unwrap(), second.bytes("job", "job.toml", None).unwrap());
    assert!(first.check().unwrap().sound());
}
