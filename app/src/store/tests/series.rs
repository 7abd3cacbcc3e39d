use super::*;
use crate::store::series::{AHEAD, INTAKE, Raw, SECOND};

const T: i64 = 1_780_000_000_000;

/// What a window should be, from the readings themselves.
fn by_hand(points: &[(i64, f64)], buckets: &[Bucket], to: i64) {
    for (k, b) in buckets.iter().enumerate() {
        let end = buckets.get(k + 1).map_or(to, |n| n.t);
        let inside: Vec<f64> = points.iter().filter(|p| (b.t..end).contains(&p.0)).map(|p| p.1).collect();
        assert_eq!(inside.len() as i64, b.count, "stretch {k} at {}", b.t);
        let mean = inside.iter().sum::<f64>() / inside.len() as f64;
        assert!((mean - b.mean).abs() <= 1e-12 * mean.abs(), "{mean} {}", b.mean);
        let mut sorted = inside.clone();
        sorted.sort_by(f64::total_cmp);
        assert_eq!((sorted.first(), sorted.last()), (Some(&b.min), Some(&b.max)));
    }
}

/// Levels against the readings, in windows of every width at odd moments: in any order, in batches
/// of any size, with repeats.
#[test]
fn windows_say_what_the_readings_say() {
    for (every_ms, n, fine) in [(1000, 20_000, true), (60_000, 20_000, false), (700_000, 3000, false)] {
        let dir = Dir::new();
        let (store, id) = store_with_source(&dir.file("a.store"), Settings::default());
        let mut few = Few(every_ms as u64);
        let points: Vec<(i64, f64)> = (0..n)
            .map(|k| (T + k * every_ms + few.below(every_ms), few.below(10_000) as f64 * 0.01))
            .collect();
        let mut order = points.clone();
        for k in (1..order.len()).rev() {
            order.swap(k, usize::try_from(few.below(k as i64 + 1)).unwrap());
        }
        let (mut at, mut kept) = (0, Ack::default());
        while at < order.len() {
            let end = (at + 1 + usize::try_from(few.below(3000)).unwrap()).min(order.len());
            // Some of what went before comes again.
            let from = at.saturating_sub(usize::try_from(few.below(50)).unwrap());
            kept += store.writer().append(batch(id, &order[from..end])).unwrap();
            at = end;
        }
        assert_eq!((kept.kept, kept.second, kept.refused), (points.len(), 0, 0));
        assert!(kept.twice > 0);
        let last = points.last().unwrap().0;
        for round in 0..60 {
            let span = 1 + few.below((last - T) >> (round % 12));
            let from = T - 5000 + few.below(last - T);
            let want = usize::try_from(1 + few.below(300)).unwrap();
            let buckets = store.window(id, from, from + span, want).unwrap();
            assert!(buckets.len() <= want, "{} of {want}", buckets.len());
            let inside = points.iter().filter(|p| (from..from + span).contains(&p.0)).count() as i64;
            assert_eq!(buckets.iter().map(|b| b.count).sum::<i64>(), inside, "{from} {span} {want}");
            by_hand(&points, &buckets, from + span);
        }
        let known = store.sources().unwrap().remove(0);
        assert_eq!((known.readings, known.first_ms), (n, Some(points[0].0)));
        let checked = store.check().unwrap();
        assert!(checked.sound(), "{checked:?}");
        let is_fine: bool =
            store.read().query_row("SELECT fine FROM source WHERE id = ?1", [id], |r| r.get(0)).unwrap();
        assert_eq!(is_fine, fine);
        assert_eq!(store.window(id, 5, 5, 10).unwrap(), []);
        assert_eq!(store.window(id, T, last, 0).unwrap(), []);
    }
}

#[test]
fn a_reading_counts_once_and_a_second_opinion_is_kept_beside_it() {
    let dir = Dir::new();
    let (store, id) = store_with_source(&dir.file("a.store"), Settings::default());
    let append = |points: &[(i64, f64)]| store.writer().append(batch(id, points)).unwrap();
    assert_eq!(append(&[(T, 1.0), (T + 1000, 2.0)]), Ack { kept: 2, ..Ack::default() });
    assert_eq!(append(&[(T, 1.0), (T, 5.0)]), Ack { twice: 1, second: 1, ..Ack::default() });
    // The second one again, and a third.
    assert_eq!(append(&[(T, 5.0), (T, 7.0)]), Ack { twice: 1, second: 1, ..Ack::default() });
    let strange = [(T + 1, f64::NAN), (T + 2, f64::INFINITY), (-5, 1.0), (i64::MAX, 1.0)];
    assert_eq!(append(&strange), Ack { refused: 4, ..Ack::default() });
    let rows: Vec<(i64, f64, u32)> = store
        .read()
        .prepare("SELECT arrival, value, flags FROM point WHERE time_ms = ?1 ORDER BY arrival")
        .unwrap()
        .query_map([T], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))
        .unwrap()
        .map(|r| r.unwrap())
        .collect();
    assert_eq!(rows, [(0, 1.0, 0), (1, 5.0, SECOND), (2, 7.0, SECOND)]);
    let all = store.window(id, T, T + 2000, 1).unwrap();
    assert_eq!((all[0].count, all[0].max, all[0].mean), (2, 2.0, 1.5));
}

/// A device whose clock jumps ahead, back and stands still.
#[test]
fn clocks_that_jump_are_said_and_nothing_is_lost() {
    let dir = Dir::new();
    let (store, id) = store_with_source(&dir.file("a.store"), Settings::default());
    let mut b = batch(id, &[(T, 1.0), (T + 3_600_000, 2.0), (T - 7_200_000, 3.0), (T, 4.0), (60_000, 5.0)]);
    b.arrived_ms = T;
    b.parts[0].flags = INTAKE;
    let ack = store.writer().append(b).unwrap();
    assert_eq!(ack, Ack { kept: 4, second: 1, ..Ack::default() });
    let flags = |t: i64, arrival: i64| -> u32 {
        let sql = "SELECT flags FROM point WHERE time_ms = ?1 AND arrival = ?2";
        store.read().query_row(sql, [t, arrival], |r| r.get(0)).unwrap()
    };
    assert_eq!(flags(T + 3_600_000, 0), INTAKE | AHEAD);
    assert_eq!((flags(T, 0), flags(T, 1)), (INTAKE, INTAKE | SECOND));
    assert_eq!(store.window(id, 0, T + 4_000_000, 9).unwrap().iter().map(|b| b.count).sum::<i64>(), 4);
    // The clock of this machine goes back between two edits: order does not hang on it.
    for (n, now_ms) in [(1, T), (2, T - 86_400_000)] {
        let edit = vec![api::edit::Operation {
            path: "job.toml".to_owned(),
            key: api::edit::key_path("name").unwrap(),
            change: api::edit::Change::Set { value: format!("\"{n}\"") },
        }];
        store.edit("job", "job.toml", n, edit, Who { now_ms, ..who("a") }).unwrap();
    }
    let text = String::from_utf8(store.bytes("job", "job.toml", None).unwrap().unwrap()).unwrap();
    assert!(text.contains("name = \"2\""), "{text}");
    assert!(store.check().unwrap().sound());
}

#[test]
fn readings_wait_until_all_is_known_of_their_source() {
    let dir = Dir::new();
    let (store, _) = store_with_source(&dir.file("a.store"), Settings::default());
    let first = Description { unit: Some("degF".to_owned()), ..Description::default() };
    let id = store.describe("attic", first, 0).unwrap();
    let mut b = batch(id, &[(T, 212.0), (T + 1000, 32.0)]);
    b.raw = vec![Raw {
        source: Some(id),
        channel: "attic/t".to_owned(),
        payload: b"{\"t\": 212}".to_vec(),
        device_ms: Some(T),
        parser: "test 1".to_owned(),
    }];
    assert_eq!(store.writer().append(b.clone()).unwrap(), Ack { held: 2, ..Ack::default() });
    assert_eq!(store.writer().append(b).unwrap(), Ack { twice: 2, ..Ack::default() });
    assert_eq!(store.window(id, T, T + 9000, 5).unwrap(), []);
    assert_eq!(store.sources().unwrap()[0].held, 2);
    let wrong = Description { quantity: Some("pressure".to_owned()), ..Description::default() };
    assert!(matches!(store.describe("attic", wrong, 0), Err(StoreError::Unit { .. })));
    let other = Description { unit: Some("degC".to_owned()), ..Description::default() };
    assert!(matches!(store.describe("attic", other, 0), Err(StoreError::Described { field: "unit", .. })));
    let rest = Description { quantity: Some("temperature".to_owned()), unit: None, ..told() };
    assert_eq!(store.describe("attic", rest, 0).unwrap(), id);
    let all = store.window(id, T, T + 9000, 1).unwrap();
    assert!((all[0].max - 373.15).abs() < 1e-9 && (all[0].min - 273.15).abs() < 1e-9, "{all:?}");
    assert_eq!(store.sources().unwrap()[0].held, 0);
    let payload: Vec<u8> = store.read().query_row("SELECT payload FROM raw", [], |r| r.get(0)).unwrap();
    assert_eq!(payload, b"{\"t\": 212}");
    assert!(matches!(store.writer().append(batch(99, &[(T, 1.0)])), Err(StoreError::NoSource { .. })));
}

/// A full queue is said at once, counted, and loses nothing that was acknowledged.
#[test]
fn a_full_queue_is_said_and_counted() {
    let dir = Dir::new();
    let (store, id) = store_with_source(&dir.file("a.store"), Settings { queue: 2, max_pages: None });
    let writer = store.writer();
    // Something that holds the writer up.
    let (go, wait) = std::sync::mpsc::sync_channel::<()>(0);
    let (begun, hear) = std::sync::mpsc::sync_channel::<()>(0);
    let slow = store.writer();
    let holder = std::thread::spawn(move || {
        slow.call(move |_| {
            begun.send(()).unwrap();
            wait.recv().unwrap();
            Ok(())
        })
    });
    hear.recv().unwrap();
    let (mut pending, mut refused) = (Vec::new(), 0);
    for k in 0..10 {
        match writer.offer(batch(id, &[(T + k, 1.0)])) {
            Ok(p) => pending.push(p),
            Err(StoreError::Full { refused: n, .. }) => {
                refused += 1;
                assert_eq!(n, refused);
            }
            Err(other) => panic!("{other}"),
        }
    }
    assert_eq!((pending.len(), refused, writer.refused()), (2, 8, 8));
    go.send(()).unwrap();
    holder.join().unwrap().unwrap();
    assert!(pending.into_iter().all(|p| p.wait().unwrap().kept == 1));
    assert_eq!(store.window(id, T, T + 100, 1).unwrap()[0].count, 2);
}

/// What nobody explains cannot fill the disk: the newest messages without a reading stay, and all with one.
#[test]
fn messages_without_a_reading_have_a_room_of_their_own() {
    let dir = Dir::new();
    let (store, id) = store_with_source(&dir.file("a.store"), Settings::default());
    let raw = |source: Option<i64>, text: String| Raw {
        source,
        channel: "posts".to_owned(),
        payload: text.into_bytes(),
        device_ms: None,
        parser: "test".to_owned(),
    };
    let (each, batches) = (400_i64, 30_i64);
    let mut dropped = 0;
    for k in 0..batches {
        let mut list: Vec<Raw> = (0..each).map(|n| raw(None, format!("{}", k * each + n))).collect();
        list.push(raw(Some(id), "known".to_owned()));
        let arrived_ms = 1_790_000_000_000 + k;
        let batch = Batch { parts: Vec::new(), raw: list, arrived_ms };
        dropped += store.writer().append(batch).unwrap().dropped;
    }
    let number = |sql: &str| store.read().query_row(sql, [], |r| r.get::<_, i64>(0)).unwrap();
    let left = number("SELECT count(*) FROM raw WHERE source_id IS NULL");
    assert_eq!(left + dropped as i64, each * batches);
    assert!(left >= 10_000 && left <= 10_000 + 500 + each, "{left}");
    let first = number("SELECT min(CAST(CAST(payload AS TEXT) AS INTEGER)) FROM raw WHERE source_id IS NULL");
    assert_eq!(first, dropped as i64, "the newest stay");
    assert_eq!(number("SELECT count(*) FROM raw WHERE source_id IS NOT NULL"), batches);
    // Few and large ones: by their bytes.
    for k in 0..70_i64 {
        let list = vec![raw(None, "x".repeat(1 << 20))];
        let batch = Batch { parts: Vec::new(), raw: list, arrived_ms: 1_790_000_001_000 + k };
        store.writer().append(batch).unwrap();
    }
    let bytes = number("SELECT sum(length(payload)) FROM raw WHERE source_id IS NULL");
    assert!(bytes <= 69 << 20, "{bytes}");
    assert!(store.check().unwrap().sound());
}
