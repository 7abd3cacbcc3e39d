//! The store as its user runs it: commands, the end of the process at any moment, and stores and jobs of
//! every past version.

use crate::run::{Folder, Ran, program};
use serde_json::Value;
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::Duration;

const T: i64 = 1_780_000_000_000;

fn store(file: &Path, args: &[&str]) -> Ran {
    program().arg("store").arg(file).args(args).output().unwrap().into()
}

fn json(file: &Path, args: &[&str]) -> (i32, Value) {
    let ran = store(file, &[args, &["--json"]].concat());
    (ran.code, serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {} {}", ran.out, ran.err)))
}

fn path(p: &Path) -> &str {
    p.to_str().unwrap()
}

/// All files below a folder but `out`.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut left = vec![folder.to_path_buf()];
    while let Some(inner) = left.pop() {
        for entry in std::fs::read_dir(inner).unwrap() {
            let at = entry.unwrap().path();
            let name = at.strip_prefix(folder).unwrap().to_path_buf();
            if at.is_dir() && name != Path::new("out") {
                left.push(at);
            } else if at.is_file() {
                found.insert(name, std::fs::read(&at).unwrap());
            }
        }
    }
    found
}

fn old(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/old_jobs").join(name)
}

#[test]
fn a_job_goes_in_is_edited_and_comes_out() {
    let folder = Folder::new();
    let (file, job) = (folder.path().join("desk.store"), folder.path().join("casa \u{f1}"));
    for (name, bytes) in files(&old("1")) {
        folder.write(&format!("casa \u{f1}/{}", name.display()), bytes);
    }
    folder.write("casa \u{f1}/visits/2026-03-04/ba\u{f1}o de arriba.csv", "time s,co2 ppm\r\n0,900\r\n");
    folder.write("casa \u{f1}/out/report.html", "derived");
    assert_eq!(store(&file, &["list"]).code, 2);
    let put = store(&file, &["put", path(&job), "--by", "ann"]);
    assert_eq!(put.code, 0, "{}{}", put.out, put.err);
    let got = folder.path().join("got");
    assert_eq!(store(&file, &["get", "casa \u{f1}", path(&got)]).code, 0);
    let mut want = files(&job);
    want.remove(Path::new("out/report.html"));
    assert_eq!(files(&got), want);
    assert!(!got.join("out").exists());
    // An edit on the desk and one in the folder that was given out, of different fields.
    let edit =
        store(&file, &["edit", "casa \u{f1}", "job.toml", "--set", "name=\"Zw\u{f6}lf\"", "--by", "bob"]);
    assert_eq!(edit.code, 0, "{}{}", edit.out, edit.err);
    let text = std::fs::read_to_string(got.join("job.toml")).unwrap();
    std::fs::write(got.join("job.toml"), format!("{text}\n# a note at the end\n")).unwrap();
    let (code, back) = json(&file, &["put", path(&got), "--job", "casa \u{f1}"]);
    assert_eq!(code, 0, "{back:#}");
    assert_eq!(back["data"]["documents"]["job.toml"]["merged"], true, "{back:#}");
    let shown = store(&file, &["show", "casa \u{f1}", "job.toml"]).out;
    assert!(shown.contains("name = \"Zw\u{f6}lf\"") && shown.contains("# a note at the end"), "{shown}");
    // The same field: told, kept, settled.
    std::fs::write(got.join("job.toml"), text.replace("name = \"", "name = \"other ")).unwrap();
    let (code, refused) = json(&file, &["put", path(&got), "--job", "casa \u{f1}"]);
    assert_eq!((code, refused["diagnostics"][0]["code"].as_str()), (1, Some("K132")), "{refused:#}");
    let (_, history) = json(&file, &["history", "casa \u{f1}", "job.toml"]);
    let number = history["data"]["waiting"][0]["id"].to_string();
    assert_eq!(store(&file, &["settle", "casa \u{f1}", &number]).code, 0);
    assert_eq!(history["data"]["revisions"].as_array().unwrap().len(), 3);
    // Back to the first text.
    for _ in 0..2 {
        assert_eq!(store(&file, &["undo", "casa \u{f1}", "job.toml"]).code, 0);
    }
    assert_eq!(store(&file, &["show", "casa \u{f1}", "job.toml"]).out, text);
    let nothing = store(&file, &["undo", "casa \u{f1}", "job.toml"]);
    assert_eq!(nothing.code, 2);
    assert!(nothing.err.contains("K113"), "{}", nothing.err);
    // A copy, a check, and an erasure that leaves only its record.
    let copy = folder.path().join("copy.store");
    assert_eq!(store(&file, &["back-up", path(&copy)]).code, 0);
    assert_eq!(store(&copy, &["check"]).code, 0);
    let erased = store(&file, &["erase", "casa \u{f1}", "--asked-by", "the owner"]);
    assert!(erased.code == 0 && erased.out.contains("job 1: job.toml") && erased.err.contains("K135"));
    let bytes = std::fs::read(&file).unwrap();
    assert!(!bytes.windows(6).any(|w| w == "Zw\u{f6}lf".as_bytes()));
    assert_eq!(store(&file, &["get", "casa \u{f1}", path(&folder.path().join("no"))]).code, 2);
    let saved = store(&copy, &["recover", path(&folder.path().join("again.store"))]);
    assert_eq!(saved.code, 0, "{}{}", saved.out, saved.err);
}

/// What version 1 wrote opens for ever: the file beside this test was written by it and never changes.
#[test]
fn a_store_of_version_1_opens() {
    let folder = Folder::new();
    let file = folder.path().join("old.store");
    std::fs::copy(old("store-1/desk.store"), &file).unwrap();
    let (code, list) = json(&file, &["list"]);
    assert_eq!(code, 0, "{list:#}");
    let job = &list["data"]["jobs"][0];
    assert_eq!(
        (job["name"].as_str(), job["documents"].as_i64(), job["revisions"].as_i64()),
        (Some("old house"), Some(2), Some(5))
    );
    let got = folder.path().join("got");
    assert_eq!(store(&file, &["get", "old house", path(&got)]).code, 0);
    let mut want = files(&old("1"));
    // Its name was edited twice, and the second edit taken back.
    let text = String::from_utf8(want.remove(Path::new("job.toml")).unwrap()).unwrap();
    let now = files(&got);
    let job = String::from_utf8(now[Path::new("job.toml")].clone()).unwrap();
    assert_eq!(job.lines().count(), text.lines().count());
    assert!(job.contains("name = \"second name\""), "{job}");
    for (name, bytes) in want {
        assert_eq!(now[&name], bytes, "{}", name.display());
    }
    let (_, history) = json(&file, &["history", "old house", "job.toml"]);
    let revisions = history["data"]["revisions"].as_array().unwrap();
    assert_eq!((revisions.len(), revisions[1]["operations"][0]["do"].as_str()), (4, Some("set")));
    let waiting = &history["data"]["waiting"][0];
    assert_eq!(
        (waiting["author"].as_str(), waiting["fields"][0]["key"].as_str()),
        (Some("eve"), Some("name"))
    );
    let (_, readings) = json(&file, &["readings", "attic", "--buckets", "1"]);
    let bucket = &readings["data"]["buckets"][0];
    assert_eq!((bucket["count"].as_i64(), bucket["max"].as_f64()), (Some(3), Some(293.5)));
    let (_, sources) = json(&file, &["sources"]);
    assert_eq!(
        (sources["data"]["sources"][1]["name"].as_str(), sources["data"]["sources"][1]["held"].as_i64()),
        (Some("crawl"), Some(1))
    );
    assert_eq!(store(&file, &["check"]).code, 0);
}

/// A job folder of format 1 is worked for ever.
#[test]
fn a_job_of_format_1_is_worked() {
    let folder = Folder::new();
    for (name, bytes) in files(&old("1")) {
        folder.write(&name.display().to_string(), bytes);
    }
    let ran: Ran = program().arg("results").arg(folder.path()).arg("--json").output().unwrap().into();
    let answer: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(answer["data"]["results"].as_array().map(Vec::len), Some(1), "{answer:#}");
    assert!(answer["diagnostics"].as_array().unwrap().iter().all(|d| d["severity"] != "error"), "{answer:#}");
}

/// Ends the intake with kill -9 two hundred times. Whatever was acknowledged is there, once, and the
/// levels add up; each time the batches without an answer are sent again.
#[test]
#[cfg(unix)]
fn two_hundred_sudden_ends_lose_nothing() {
    let folder = Folder::new();
    let (file, job) = (folder.path().join("desk.store"), folder.path().join("job"));
    folder.write("job/job.toml", "format = 1\nname = \"one\"\n");
    assert_eq!(store(&file, &["put", path(&job)]).code, 0);
    let told = [
        "--job",
        "job",
        "--instrument",
        "i",
        "--place",
        "p",
        "--quantity",
        "temperature",
        "--unit",
        "degC",
        "--basis",
        "raw",
    ];
    assert_eq!(store(&file, &[&["describe", "s"][..], &told].concat()).code, 0);
    const EACH: i64 = 20;
    let batch = |n: i64| {
        let rows = (n * EACH..(n + 1) * EACH).map(|k| format!("s {} {}\n", T + k * 977, value(k)));
        rows.collect::<String>() + "\n"
    };
    let (mut acknowledged, mut dice) = (0_i64, 12_345_u64);
    let mut unanswered = 0;
    for round in 0..200 {
        let mut child = program()
            .args(["dev", "store-feed"])
            .arg(&file)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut feed = child.stdin.take().unwrap();
        let from = acknowledged;
        let feeding = std::thread::spawn(move || {
            let mut n = from;
            // Until the pipe breaks.
            while feed.write_all(batch(n).as_bytes()).is_ok() && n < from + 5000 {
                n += 1;
            }
            n
        });
        let mut answers = BufReader::new(child.stdout.take().unwrap()).lines();
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let delay = Duration::from_micros((dice >> 33) % 60_000);
        // Every other time the end comes while the store opens, else after a first answer.
        let mut count = 0;
        if round % 4 != 0 {
            count += i64::from(answers.next().is_some_and(|line| line.is_ok()));
        }
        std::thread::sleep(delay);
        child.kill().unwrap();
        child.wait().unwrap();
        count += answers.map_while(Result::ok).count() as i64;
        acknowledged += count;
        unanswered += i64::from(feeding.join().unwrap() > acknowledged);
    }
    assert!(acknowledged >= 150 && unanswered > 150, "{acknowledged} {unanswered}");
    // One that answers everything: the store is sound to its own program too.
    assert_eq!(store(&file, &["check"]).code, 0);
    let conn = rusqlite::Connection::open(&file).unwrap();
    let mut select =
        conn.prepare("SELECT time_ms, value, arrival FROM point ORDER BY time_ms, arrival").unwrap();
    let rows: Vec<(i64, f64, i64)> = select
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))
        .unwrap()
        .map(|r| r.unwrap())
        .collect();
    assert!(rows.len() as i64 >= acknowledged * EACH);
    // All from the first on without a gap, each once; beyond the acknowledged at most what was under way.
    for (k, (time_ms, found, arrival)) in rows.iter().enumerate() {
        let k = k as i64;
        assert_eq!((*time_ms, *found, *arrival), (T + k * 977, value(k), 0));
    }
    assert_eq!(rows.len() as i64 % EACH, 0);
}

fn value(k: i64) -> f64 {
    290.0 + (k % 997) as f64 * 0.013
}
