//! `airwright dev store-feed STORE`: readings from standard input, for tests that end the process at
//! any moment. `airwright dev store-speed DIR`: how fast the store is, as a page of `docs`.

use super::data;
use crate::clock::{Watch, now_ms};
use crate::files;
use crate::store::{
    Ack, BATCHES, Batch, Description, Part, Pending, Point, Store, StoreError, Who, bare_loop, pages,
};
use anyhow::{Result, anyhow, bail};
use std::io::{BufRead, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// Reads batches and answers each when it is kept.
pub(super) fn feed(store: &Path) -> Result<u8> {
    let store = Store::open(store)?;
    let writer = store.writer();
    let mut batch = Batch::default();
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        if !line.is_empty() {
            let mut words = line.split(' ');
            let mut next = || words.next().ok_or_else(|| anyhow!("`{line}`: SOURCE TIME_MS VALUE"));
            let (name, time_ms, value) = (next()?, next()?.parse()?, next()?.parse()?);
            let source = store.source(name)?;
            batch.parts.push(Part { source, points: vec![Point { time_ms, value }], flags: 0 });
            continue;
        }
        let ack = writer.append(Batch { arrived_ms: now_ms(), ..std::mem::take(&mut batch) })?;
        writeln!(out, "{} {} {} {} {}", ack.kept, ack.twice, ack.second, ack.held, ack.refused)?;
        out.flush()?;
    }
    Ok(0)
}

/// Some day long ago, ms since 1970.
const BEGIN: i64 = 1_700_000_000_000;

fn sources(store: &Store, n: usize) -> Result<Vec<i64>> {
    store.put("speed", "speed", Vec::new(), true, Who::default())?;
    (0..n)
        .map(|k| {
            let told = Description {
                job: Some("speed".to_owned()),
                instrument: Some("invented".to_owned()),
                place: Some(format!("room {k}")),
                quantity: Some("temperature".to_owned()),
                unit: Some("degC".to_owned()),
                basis: Some("raw".to_owned()),
            };
            Ok(store.describe(&format!("trace {k}"), told, 0)?)
        })
        .collect()
}

fn point(source: usize, n: i64, every_ms: i64) -> Point {
    // Anything that is not the same twice: a saw of its own for each source.
    let value = 290.0 + ((n * 37 + source as i64 * 11) % 1000) as f64 * 0.01;
    Point { time_ms: BEGIN + n * every_ms, value }
}

/// Batches of 20 sources, each `each` readings long.
fn batches(ids: &[i64], from: i64, to: i64, each: i64, every_ms: i64) -> impl Iterator<Item = Batch> {
    (from..to).step_by(each as usize).map(move |start| Batch {
        parts: ids
            .iter()
            .enumerate()
            .map(|(k, id)| Part {
                source: *id,
                points: (start..(start + each).min(to)).map(|n| point(k, n, every_ms)).collect(),
                flags: 0,
            })
            .collect(),
        raw: Vec::new(),
        arrived_ms: BEGIN + to * every_ms,
    })
}

struct Rate {
    per_s: f64,
    bare_per_s: f64,
    /// Quickest piece of ours over the quickest piece of the bare loop.
    ratio: f64,
    worst_ms: f64,
}

/// Readings in one go through the writer, with a few batches under way, and through a bare loop.
fn rate(dir: &Path, name: &str, each: i64, every_ms: i64, readings: i64) -> Result<Rate> {
    let store = Store::open(&dir.join(format!("{name}.store")))?;
    let ids = sources(&store, 20)?;
    let writer = store.writer();
    let rows = readings / 20;
    // Ours and the bare one by turns, so that what else the machine does meets both.
    let bare = dir.join(format!("{name}-bare.store"));
    let (mut ours, mut plain, mut worst_s): (Vec<f64>, Vec<f64>, f64) = (Vec::new(), Vec::new(), 0.0);
    let parts = 20;
    for part in 0..parts {
        let list: Vec<Batch> =
            batches(&ids, rows * part / parts, rows * (part + 1) / parts, each, every_ms).collect();
        let copy = list.clone();
        let watch = Watch::start();
        let mut under_way = std::collections::VecDeque::new();
        let mut settle = |waiting: (Watch, Pending<Ack>)| -> Result<()> {
            waiting.1.wait()?;
            let took = waiting.0.seconds();
            if took > worst_s {
                worst_s = took;
            }
            Ok(())
        };
        for batch in list {
            if under_way.len() >= BATCHES
                && let Some(first) = under_way.pop_front()
            {
                settle(first)?;
            }
            under_way.push_back((Watch::start(), writer.offer(batch)?));
        }
        for waiting in under_way {
            settle(waiting)?;
        }
        ours.push(watch.seconds());
        let watch = Watch::start();
        bare_loop(&bare, &copy)?;
        plain.push(watch.seconds());
    }
    let n = (rows * 20) as f64;
    let sum = |list: &[f64]| list.iter().sum::<f64>();
    let least = |list: &[f64]| list.iter().copied().min_by(f64::total_cmp).unwrap_or(f64::NAN);
    Ok(Rate {
        per_s: n / sum(&ours),
        bare_per_s: n / sum(&plain),
        ratio: least(&plain) / least(&ours),
        worst_ms: worst_s * 1000.0,
    })
}

/// What one write of 4 kB and its flush take by themselves, ms, until told to stop: what the disk does to
/// everybody is no merit or fault of the store.
fn flushes(path: &Path, stop: &AtomicBool) -> Vec<f64> {
    let mut times = Vec::new();
    let Ok(mut file) = std::fs::File::create(path) else { return times };
    while !stop.load(Ordering::Relaxed) {
        let watch = Watch::start();
        if file.write_all(&[7; 4096]).and_then(|()| file.sync_data()).is_err() {
            break;
        }
        times.push(watch.seconds() * 1000.0);
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    times.sort_by(f64::total_cmp);
    times
}

/// That share of sorted times is not above this.
fn within(times: &[f64], share: f64) -> f64 {
    times.get((times.len() as f64 * share) as usize).or(times.last()).copied().unwrap_or(0.0)
}

/// Times from arrival to acknowledgement, ms, while readings arrive at an even rate.
fn paced(dir: &Path, per_s: f64, seconds: f64) -> Result<Vec<f64>> {
    let store = Store::open(&dir.join("paced.store"))?;
    let ids = sources(&store, 20)?;
    let writer = store.writer();
    let list: Vec<Batch> = batches(&ids, 0, (per_s * seconds / 20.0) as i64, 60, 1000).collect();
    let (send, receive) = std::sync::mpsc::channel::<(Watch, Pending<Ack>)>();
    // Acknowledgements are heard by a thread of their own: who sends does not wait for them.
    let hearing = std::thread::spawn(move || {
        let times = receive.into_iter().map(|(arrived, pending)| {
            pending.wait()?;
            Ok(arrived.seconds() * 1000.0)
        });
        times.collect::<std::result::Result<Vec<f64>, StoreError>>()
    });
    let watch = Watch::start();
    let mut due_s = 0.0;
    for batch in list {
        let ahead = due_s - watch.seconds();
        if ahead > 0.0 {
            std::thread::sleep(std::time::Duration::from_micros((ahead * 1e6) as u64));
        }
        due_s += batch.parts.iter().map(|p| p.points.len()).sum::<usize>() as f64 / per_s;
        send.send((Watch::start(), writer.offer(batch)?)).ok();
    }
    drop(send);
    let mut times = hearing.join().map_err(|_| anyhow!("a thread ended"))??;
    times.sort_by(f64::total_cmp);
    Ok(times)
}

/// Measures and prints the page.
pub(super) fn speed(dir: &Path, readings: usize) -> Result<u8> {
    if !files::is_free(dir)? {
        bail!("{} is not empty", dir.display());
    }
    std::fs::create_dir_all(dir)?;
    let load = || std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let before = load();
    let mut page = String::from(
        "# Speed of the store\n\nMade by `airwright dev store-speed DIR`; do not edit.\n\
         Everything in the profile that tests are built in; SQLite itself at `opt-level = 3`.\n",
    );
    page += &format!("Processors: {}.\n", std::thread::available_parallelism().map_or(0, usize::from));
    let mut rows = String::new();
    for (name, each, every_ms, told) in [
        ("second", 60, 1000, "20 sources, a reading a second, a minute each"),
        ("minute", 60, 60_000, "20 sources, a reading a minute, an hour each"),
        ("row", 1, 1000, "20 sources, one reading each"),
    ] {
        let n = if each == 1 { 200_000 } else { 1_920_000 };
        let r = rate(dir, name, each, every_ms, n)?;
        rows += &format!(
            "| {told} | {} | {:.0} | {:.0} | {:.2} | {:.2} | {:.0} |\n",
            each * 20,
            r.per_s,
            r.bare_per_s,
            r.per_s / r.bare_per_s,
            r.ratio,
            r.worst_ms
        );
    }
    let stop = AtomicBool::new(false);
    let (times, flushed) = std::thread::scope(|scope| {
        let flushing = scope.spawn(|| flushes(&dir.join("flush"), &stop));
        let times = paced(dir, 50_000.0, 20.0);
        stop.store(true, Ordering::Relaxed);
        (times, flushing.join().unwrap_or_default())
    });
    let three = |t: &[f64]| {
        let [half, most, all] = [0.5, 0.99, 1.0].map(|share| within(t, share));
        format!("half within {half:.0} ms, 99 in 100 within {most:.0} ms, all within {all:.0} ms")
    };
    let pace = format!(
        "\nReadings that arrive at an even 50,000 a second for 20 s, in batches of 1200, are acknowledged: {}.\n\
         In the same 20 s a write of 4 kB with its flush, to another file on the same disk, took: {}.\n",
        three(&times?),
        three(&flushed)
    );
    // A year of 20 traces, and what it takes to draw them.
    let store = Store::open(&dir.join("year.store"))?;
    let ids = sources(&store, 20)?;
    let minutes = i64::try_from(readings / 20)?;
    let watch = Watch::start();
    for batch in batches(&ids, 0, minutes, 1000, 60_000) {
        loop {
            match store.writer().append(batch.clone()) {
                Err(StoreError::Full { .. }) => {}
                done => {
                    done?;
                    break;
                }
            }
        }
    }
    let filled_s = watch.seconds();
    let mut draws = String::new();
    for (told, span) in [
        ("a year", minutes),
        ("a quarter", minutes / 4),
        ("a month", minutes / 12),
        ("ten days", minutes / 36),
        ("a week", minutes / 52),
        ("four days", minutes / 83),
        ("a day", 1440),
        ("an hour", 60),
    ] {
        let (mut worst, mut all) = (0.0, 0.0);
        let mut runs = 0;
        // Windows that begin at odd moments all over the year.
        for k in 0..7 {
            let from = BEGIN + (minutes - span) * k / 7 * 60_000 + 12_345;
            let watch = Watch::start();
            let mut count = 0;
            for id in &ids {
                count += store.window(*id, from, from + span * 60_000, 800)?.len();
            }
            let took = watch.seconds() * 1000.0;
            if count == 0 {
                bail!("nothing was drawn");
            }
            all += took;
            runs += 1;
            if took > worst {
                worst = took;
            }
        }
        draws += &format!("| {told} | {:.0} | {worst:.0} |\n", all / f64::from(runs));
    }
    let size = pages(&dir.join("year.store"))?;
    drop(store);
    let watch = Watch::start();
    let store = Store::open(&dir.join("year.store"))?;
    let opened_s = watch.seconds();
    drop(store);
    // As a process that did not come to close it leaves it: the log is there.
    std::fs::write(dir.join("year.store-wal"), [0; 64])?;
    let watch = Watch::start();
    let store = Store::open(&dir.join("year.store"))?;
    let checked_s = watch.seconds();
    drop(store);
    page +=
        &format!("Load before and after (1, 5, 15 minutes): {} and {}.\n\n", words(&before), words(&load()));
    page += "## Intake\n\nThrough the writer with at most four batches under way, each acknowledged after the log was flushed; beside it, by turns, a bare loop of the same inserts into the same table without levels, one flushed transaction for four batches.\nThe work is cut into twenty pieces, ours and the bare one by turns; the ratio of the quickest pieces counts least what else the machine did.\n*Longest* is the longest time from handing a batch over to its acknowledgement.\n\n";
    page += "| readings | in a batch | ours, 1/s | bare, 1/s | ours over bare | same, quickest piece | longest, ms |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: |\n";
    page += &rows;
    page += &pace;
    page += &format!(
        "\n## Drawing\n\n{} readings of 20 sources, one a minute ({:.0} MB, filled in {filled_s:.0} s): all 20 traces of a window in 800 stretches each, seven windows at odd moments.\n\n| window | mean, ms | longest, ms |\n| --- | ---: | ---: |\n{draws}",
        minutes * 20,
        size as f64 / 1e6
    );
    page += &format!(
        "\nOpening that store takes {opened_s:.3} s; where it was left without being closed, with the check of its structure, {checked_s:.1} s.\n"
    );
    data(&page);
    Ok(0)
}

fn words(load: &str) -> String {
    load.split(' ').take(3).collect::<Vec<_>>().join(", ")
}
