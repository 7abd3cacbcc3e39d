use super::*;
use api::edit::{Change, Operation, key_path};

fn set(path: &str, key: &str, value: &str) -> Vec<Operation> {
    vec![Operation {
        path: path.to_owned(),
        key: key_path(key).unwrap(),
        change: Change::Set { value: value.to_owned() },
    }]
}

fn text(store: &Store, path: &str) -> String {
    String::from_utf8(store.bytes("job", path, None).unwrap().unwrap()).unwrap()
}

fn started(dir: &Dir) -> Store {
    let store = Store::open(&dir.file("a.store")).unwrap();
    let job = files(&[
        ("job.toml", "# the job\nformat = 1\nname = \"one\"\n"),
        ("house.toml", "format = 1\n\n[zone.main] # here\nvolume = \"9 ft3\"\nfloor = \"1 ft\"\n"),
        ("visits/2026-01-02/visit.toml", "format = 1\n"),
    ]);
    store.put("job", "/a", job, false, who("ann")).unwrap();
    store
}

#[test]
fn bytes_come_back_as_they_were() {
    let dir = Dir::new();
    let source = dir.file("mi casa \u{f1}and\u{fa}");
    let every: Vec<u8> = (0..=255).collect();
    let picture = super::super::documents::hash(&every);
    let list: Vec<(String, Vec<u8>)> = vec![
        ("job.toml".to_owned(), b"\xef\xbb\xbfformat = 1\r\n".to_vec()),
        ("visits/2026-01-02 primera/visit.toml".to_owned(), b"# no end".to_vec()),
        ("visits/2026-01-02 primera/ba\u{f1}o co2.csv".to_owned(), b"a,b\n1,2\n".to_vec()),
        (format!("attachments/{picture}.jpg"), every.clone()),
        ("attachments/copy of it.jpg".to_owned(), every),
        ("empty".to_owned(), Vec::new()),
    ];
    for (path, bytes) in &list {
        let at = source.join(path);
        std::fs::create_dir_all(at.parent().unwrap()).unwrap();
        std::fs::write(at, bytes).unwrap();
    }
    std::fs::create_dir_all(source.join("out/plans")).unwrap();
    std::fs::write(source.join("out/report.html"), "derived").unwrap();
    std::fs::write(source.join(".hidden"), "x").unwrap();
    std::fs::write(source.join(format!("attachments/{}.png", "0".repeat(64))), "other").unwrap();
    let taken = read_folder(&source).unwrap();
    assert_eq!(taken.left, [".hidden"]);
    assert_eq!(taken.misnamed, [format!("attachments/{}.png", "0".repeat(64))]);
    let store = Store::open(&dir.file("a.store")).unwrap();
    store.put("mi casa", "/a", taken.files.clone(), false, who("ann")).unwrap();
    drop(store);
    let store = Store::open(&dir.file("a.store")).unwrap();
    let given = store.give("mi casa", "/b").unwrap();
    let target = dir.file("out again");
    write_folder(&target, &given).unwrap();
    let back = read_folder(&target).unwrap();
    assert_eq!(back.files, taken.files);
    assert!(back.files.iter().all(|f| !f.path.starts_with("out/")));
    // The same bytes twice are kept once.
    let kept: i64 = store.read().query_row("SELECT count(*) FROM content", [], |r| r.get(0)).unwrap();
    assert_eq!(kept, 6);
    assert!(store.check().unwrap().sound());
}

#[test]
fn paths_that_lead_out_are_refused() {
    let dir = Dir::new();
    let store = started(&dir);
    for path in ["../x", "/etc/x", "a//b", "a/../b", "c:x", "a\\b", "", "out/x", "a\nb"] {
        let put = store.put("job", "/a", files(&[(path, "x")]), true, who("ann"));
        assert!(matches!(put, Err(StoreError::Path { .. })), "{path}");
        let evil = vec![Bytes { path: path.to_owned(), bytes: vec![1] }];
        assert!(write_folder(&dir.file("x"), &evil).is_err(), "{path}");
    }
    // Nothing of a refused put was kept.
    assert_eq!(store.history("job", None).unwrap().len(), 3);
}

#[test]
fn an_edit_names_its_revision_and_others_merge_with_it() {
    let dir = Dir::new();
    let store = started(&dir);
    let edit = |on, key: &str, value: &str, by| {
        store.edit("job", "house.toml", on, set("house.toml", key, value), who(by)).unwrap()
    };
    assert_eq!(edit(1, "zone.main.volume", "\"10 ft3\"", "ann"), Edited::Kept { number: 2, merged: false });
    // Made on the first revision as well, of another field.
    assert_eq!(edit(1, "zone.main.floor", "\"2 ft\"", "bob"), Edited::Kept { number: 3, merged: true });
    assert_eq!(
        text(&store, "house.toml"),
        "format = 1\n\n[zone.main] # here\nvolume = \"10 ft3\"\nfloor = \"2 ft\"\n"
    );
    // Of the same field: the second is shown the first, and both are there still.
    let Edited::Conflict { number: 3, fields } = edit(1, "zone.main.volume", "\"12 ft3\"", "bob") else {
        panic!()
    };
    assert_eq!(
        (fields[0].base.as_deref(), fields[0].theirs.as_deref(), fields[0].mine.as_deref()),
        (Some("\"9 ft3\""), Some("\"10 ft3\""), Some("\"12 ft3\""))
    );
    edit(1, "zone.main.volume", "\"12 ft3\"", "bob");
    let waiting = store.waiting("job").unwrap();
    assert_eq!((waiting.len(), waiting[0].author.as_str()), (1, "bob"));
    // Sent again after its answer was lost: nothing new.
    assert_eq!(edit(1, "zone.main.floor", "\"2 ft\"", "bob"), Edited::Same { number: 3 });
    let settled = store.settle("job", waiting[0].id, true, who("bob")).unwrap();
    assert_eq!(settled, Edited::Kept { number: 4, merged: true });
    assert!(
        text(&store, "house.toml").contains("\"12 ft3\"\nfloor = \"2 ft\""),
        "{}",
        text(&store, "house.toml")
    );
    assert_eq!(store.waiting("job").unwrap(), []);
    let history = store.history("job", Some("house.toml")).unwrap();
    let told: Vec<(i64, &str, &str)> =
        history.iter().map(|r| (r.number, r.what.as_str(), r.author.as_str())).collect();
    assert_eq!(told, [(1, "put", "ann"), (2, "edit", "ann"), (3, "merge", "bob"), (4, "merge", "bob")]);
    assert!(history[1].operations.is_some());
    let trouble = store.edit("job", "house.toml", 9, set("house.toml", "a", "1"), who("ann"));
    assert!(matches!(trouble, Err(StoreError::NoRevision { number: 9, last: 4, .. })));
    let trouble = store.edit("job", "house.toml", 4, set("house.toml", "a", "no value"), who("ann"));
    assert!(matches!(trouble, Err(StoreError::Edit { .. })));
    assert_eq!(store.last("job", "house.toml").unwrap(), 4);
}

#[test]
fn an_undo_is_a_new_revision() {
    let dir = Dir::new();
    let store = started(&dir);
    let versions: Vec<String> = (1..=4)
        .map(|n| {
            if n > 1 {
                store
                    .edit("job", "job.toml", n - 1, set("job.toml", "name", &format!("\"{n}\"")), who("ann"))
                    .unwrap();
            }
            text(&store, "job.toml")
        })
        .collect();
    // One after the other back to the first, and no further.
    for back in [2, 1, 0] {
        store.undo("job", "job.toml", None, who("ann")).unwrap();
        assert_eq!(text(&store, "job.toml"), versions[back]);
    }
    assert!(matches!(store.undo("job", "job.toml", None, who("ann")), Err(StoreError::NothingToUndo { .. })));
    // An undo is taken back like anything else.
    store.undo("job", "job.toml", Some(7), who("ann")).unwrap();
    assert_eq!(text(&store, "job.toml"), versions[1]);
    assert_eq!(store.history("job", Some("job.toml")).unwrap().len(), 8);
    // An older one, while others did something else meanwhile.
    store
        .edit("job", "house.toml", 1, set("house.toml", "zone.main.volume", "\"5 ft3\""), who("ann"))
        .unwrap();
    store.edit("job", "house.toml", 2, set("house.toml", "zone.main.floor", "\"5 ft\""), who("bob")).unwrap();
    store.undo("job", "house.toml", Some(2), who("ann")).unwrap();
    let now = text(&store, "house.toml");
    assert!(now.contains("\"9 ft3\"") && now.contains("\"5 ft\""), "{now}");
    store.edit("job", "house.toml", 4, set("house.toml", "zone.main.floor", "\"6 ft\""), who("bob")).unwrap();
    let made = store.undo("job", "house.toml", Some(3), who("ann")).unwrap();
    assert!(matches!(made, Edited::Conflict { .. }), "{made:?}");
}

#[test]
fn folders_come_back_merged() {
    let dir = Dir::new();
    let store = started(&dir);
    let put = |folder: &str, list: Vec<Bytes>, over| store.put("job", folder, list, over, who("bob"));
    // A folder that never came from here would write over others.
    assert!(matches!(put("/z", files(&[("job.toml", "x = 1\n")]), false), Err(StoreError::Unknown { .. })));
    let mut mine = store.give("job", "/b").unwrap();
    store
        .edit("job", "house.toml", 1, set("house.toml", "zone.main.volume", "\"5 ft3\""), who("ann"))
        .unwrap();
    store.edit("job", "job.toml", 1, set("job.toml", "name", "\"two\""), who("ann")).unwrap();
    let change = |list: &mut Vec<Bytes>, path: &str, from: &str, to: &str| {
        let file = list.iter_mut().find(|f| f.path == path).unwrap();
        file.bytes = String::from_utf8(file.bytes.clone()).unwrap().replace(from, to).into_bytes();
    };
    change(&mut mine, "house.toml", "1 ft\"", "2 ft\"");
    mine.push(files(&[("plans.toml", "format = 1\n")]).remove(0));
    mine.retain(|f| !f.path.starts_with("visits/"));
    let made = put("/b", mine.clone(), false).unwrap();
    assert_eq!(made["house.toml"], Edited::Kept { number: 3, merged: true });
    assert_eq!(made["job.toml"], Edited::Same { number: 2 });
    assert_eq!(made["plans.toml"], Edited::Kept { number: 1, merged: false });
    assert_eq!(made["visits/2026-01-02/visit.toml"], Edited::Kept { number: 2, merged: false });
    let house = text(&store, "house.toml");
    assert!(house.contains("\"5 ft3\"\nfloor = \"2 ft\""), "{house}");
    assert_eq!(store.job("job").unwrap().len(), 3);
    // The same folder again: nothing new, and nobody's edit is taken back.
    let again = put("/b", mine.clone(), false).unwrap();
    assert!(again.values().all(|e| matches!(e, Edited::Same { .. })), "{again:?}");
    assert_eq!(text(&store, "house.toml"), house);
    assert!(text(&store, "job.toml").contains("two"));
    // Both changed the name: nothing of the folder is taken, both names are kept.
    change(&mut mine, "job.toml", "one", "three");
    change(&mut mine, "plans.toml", "format = 1", "format = 1\nx = 1");
    let refused = put("/b", mine.clone(), false).unwrap();
    assert!(matches!(refused["job.toml"], Edited::Conflict { .. }));
    assert!(!text(&store, "plans.toml").contains("x = 1"));
    assert_eq!(store.waiting("job").unwrap().len(), 1);
    // `over`: the folder counts where both changed a field, and only there.
    store.edit("job", "job.toml", 2, set("job.toml", "units", "\"ip\""), who("ann")).unwrap();
    put("/b", mine, true).unwrap();
    let now = text(&store, "job.toml");
    assert!(now.contains("three") && now.contains("units = \"ip\""), "{now}");
    let before = store.bytes("job", "job.toml", Some(2)).unwrap().unwrap();
    assert!(String::from_utf8(before).unwrap().contains("two"));
}

/// Everything that could be found of a person is gone from the file, its log and its free pages.
#[test]
fn what_is_erased_is_gone_and_a_stone_stays() {
    let dir = Dir::new();
    let path = dir.file("a.store");
    let store = started(&dir);
    let secret = "Quillfeather Lane 77".to_owned();
    store.put("other", "/o", files(&[("job.toml", "name = \"kept forever\"\n")]), false, who("ann")).unwrap();
    for n in 1..40 {
        let value = format!("\"{secret} {}\"", "x".repeat(n * 100));
        store.edit("job", "job.toml", n as i64, set("job.toml", "name", &value), who("ann")).unwrap();
    }
    store
        .edit("job", "job.toml", 1, set("job.toml", "name", &format!("\"{secret} c\"")), who("ann"))
        .unwrap();
    let id = store.describe("bedroom co2", told(), 0).unwrap();
    let mut b = batch(id, &[(1_780_000_000_000, 12_345.678_9)]);
    b.raw = vec![Raw {
        source: Some(id),
        channel: "c".to_owned(),
        payload: secret.clone().into_bytes(),
        device_ms: None,
        parser: "p".to_owned(),
    }];
    store.writer().append(b).unwrap();
    store
        .writer()
        .call({
            let body = secret.clone();
            move |conn| {
                conn.execute(
                    "INSERT INTO result (job_id, request, inputs, program, body, made_ms) VALUES (1, 'r', 'i', 'p', ?1, 0)",
                    [body.into_bytes()],
                )?;
                Ok(())
            }
        })
        .unwrap();
    let found = |what: &[u8]| {
        ["", "-wal"].iter().any(|end| {
            std::fs::read(beside(&path, end)).is_ok_and(|b| b.windows(what.len()).any(|w| w == what))
        })
    };
    let value = 12_345.678_9_f64.to_be_bytes();
    assert!(found(secret.as_bytes()) && found(&value));
    // First the one series, then everything.
    let stones = store.erase("job", Target::Series("bedroom co2".to_owned()), "the owner", 5).unwrap();
    assert_eq!(
        (stones.len(), stones[0].kind.as_str(), stones[0].asked_by.as_str()),
        (1, "series", "the owner")
    );
    assert!(!found(&value) && found(secret.as_bytes()));
    let state: (String, Option<Vec<u8>>) =
        store.read().query_row("SELECT state, body FROM result", [], |r| Ok((r.get(0)?, r.get(1)?))).unwrap();
    assert_eq!(state, ("erased".to_owned(), None));
    let stones = store.erase("job", Target::Job, "the owner", 6).unwrap();
    assert_eq!(
        stones.iter().map(|s| s.what.as_str()).collect::<Vec<_>>(),
        ["job 1: house.toml", "job 1: job.toml", "job 1: visits/2026-01-02/visit.toml"]
    );
    assert!(stones.iter().all(|s| s.hash.len() == 64));
    assert!(!found(secret.as_bytes()) && !found(b"zone.main"));
    assert!(found(b"kept forever"));
    assert_eq!(store.tombstones().unwrap().len(), 4);
    assert!(matches!(store.job("erased-1"), Err(StoreError::Erased { .. })));
    assert!(store.check().unwrap().sound());
    drop(store);
    assert!(!found(secret.as_bytes()));
}

/// An edit makes results older than their inputs.
#[test]
fn an_edit_marks_results_stale() {
    let dir = Dir::new();
    let store = started(&dir);
    store
        .writer()
        .call(|conn| {
            conn.execute(
                "INSERT INTO result (job_id, request, inputs, program, made_ms) VALUES (1, 'r', 'i', 'p', 0)",
                [],
            )?;
            Ok(())
        })
        .unwrap();
    store.edit("job", "job.toml", 1, set("job.toml", "name", "\"x\""), who("ann")).unwrap();
    let state: String = store.read().query_row("SELECT state FROM result", [], |r| r.get(0)).unwrap();
    assert_eq!(state, "stale");
}
