use super::*;
use crate::store::{Batch, Description, Part, Point, Who};
use watched_house::{job, traces};

#[path = "../../../../tests/watched_house.rs"]
mod watched_house;

const END_MS: i64 = 1_790_000_000_000 / HOUR_MS * HOUR_MS;
const DAYS: (i64, i64) = (75, 2);

fn inputs(tables: &str) -> api::Inputs {
    api::Inputs { files: job(tables), now: String::new() }
}

struct Desk {
    folder: std::path::PathBuf,
    store: Store,
    document: Document,
    places: Places,
    inputs: api::Inputs,
}

impl Drop for Desk {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.folder).ok();
    }
}

/// A store with the job and its traces.
fn desk(name: &str, traces: &[(String, Vec<(i64, f64)>)]) -> Desk {
    let folder = std::env::temp_dir().join(format!("airwright hours {name} {}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let store = Store::open(&folder.join("house.store")).unwrap();
    store.put("house", "/nowhere", Vec::new(), false, Who::default()).unwrap();
    let inputs = inputs("");
    let document = engine::doc::watch::of_job(&inputs.files, &engine::doc::Sink::default());
    let house = engine::doc::load(&inputs.files, &engine::doc::Sink::default()).house;
    let places = Places::of(house.as_ref(), &api::words(&inputs));
    let desk = Desk { folder, store, document, places, inputs };
    for (name, points) in traces {
        append(&desk, name, points);
    }
    desk
}

/// Readings of a source in its own unit come in.
fn append(desk: &Desk, name: &str, points: &[(i64, f64)]) {
    let source = desk.document.sources.iter().find(|s| s.name.value == *name).unwrap();
    let some = |t: &str| Some(t.to_owned());
    let told = Description {
        job: some("house"),
        instrument: some("meter"),
        place: some(&source.place.value),
        quantity: Some(written(source.quantity)),
        unit: some(source.unit.symbol),
        basis: some("raw"),
    };
    let id = desk.store.describe(&format!("house/{name}"), told, 0).unwrap();
    let points = points.iter().map(|p| Point { time_ms: p.0, value: source.unit.to_si(p.1) }).collect();
    let parts = vec![Part { source: id, points, flags: 0 }];
    desk.store.writer().append(Batch { parts, raw: Vec::new(), arrived_ms: END_MS }).unwrap();
}

fn work(desk: &Desk) -> Work<'_> {
    Work {
        store: &desk.store,
        name: "house",
        title: "House",
        document: &desk.document,
        places: &desk.places,
        channels: vec!["hook".to_owned()],
        words: api::words(&desk.inputs),
        zone: jiff::tz::TimeZone::UTC,
        quiet: true,
        at_the_end: false,
    }
}

/// The house is fitted once for its documents. A window that opens is told once, with causes and how often such an
/// alert comes for nothing; what was expected is kept; a process that ends after any stretch of hours goes on as if it
/// had not.
#[test]
fn a_window_is_told_and_a_restart_goes_on() {
    let halt = Stop::default();
    let live = Live::open(&inputs(""));
    let traces = traces(&live, END_MS, DAYS);
    let whole = desk("whole", &traces);
    let of_whole = work(&whole);
    let models = of_whole.models(&live, &halt).unwrap();
    assert_eq!(models.len(), 6);
    let mut hours = Hours::new(&of_whole, &live, &models).unwrap();
    hours.look(END_MS + GRACE_MS, &halt).unwrap();
    // From the store the second time: nothing is fitted or kept again.
    let kept = || whole.store.result("house", FIT, live.hash(), PROGRAM).unwrap().unwrap();
    let body = kept();
    assert_eq!(live.models(&serde_json::from_slice(&body).unwrap()).len(), 6);
    let asked = Stop::default();
    asked.ask();
    assert_eq!(of_whole.models(&live, &asked).unwrap().len(), 6, "a fit would have been stopped");
    assert_eq!(kept(), body);

    let due = whole.store.outbox_due(i64::MAX, 100).unwrap();
    let messages: Vec<crate::alert::Message> =
        due.iter().map(|d| serde_json::from_slice(&d.payload).unwrap()).collect();
    let opened_ms = END_MS - DAYS.1 * 24 * HOUR_MS;
    let told = messages.iter().find(|m| m.kind == "change").unwrap();
    assert!(["bed_co2", "bed_temp"].contains(&told.of.as_str()), "{}", told.of);
    assert_eq!(told.false_a_month, Some(engine::watch::FALSE_A_MONTH));
    assert!(told.text.contains("0.2 a month"), "{}", told.text);
    // Where it stands is said as the house calls it.
    let called = whole.places.say("bedroom");
    assert!(called != "bedroom" && told.text.contains(&format!("({called})")), "{called}: {}", told.text);
    let event = hours.watch.events().last().unwrap();
    assert!((event.known_ms - opened_ms) <= 48 * HOUR_MS && event.start_ms >= opened_ms - 24 * HOUR_MS);
    let first = &event.causes.first().unwrap().what;
    assert!(matches!(first, engine::watch::What::Window { zone } if zone == "bedroom"), "{first:?}");

    // Expected bands of every hour after the first days, around what was measured before the window opened.
    let id = whole.store.source("house/bed_co2").unwrap();
    let bands = whole.store.expected(id, 0, i64::MAX).unwrap();
    assert!(bands.len() > 60 * 24, "{}", bands.len());
    let points = &traces.iter().find(|t| t.0 == "bed_co2").unwrap().1;
    let before = |b: &&Expected| b.hour_ms < opened_ms && b.hour_ms > opened_ms - 30 * 24 * HOUR_MS;
    let (mut inside, mut all) = (0, 0);
    for band in bands.iter().filter(before) {
        let shown = points.iter().find(|p| p.0 - HOUR_MS / 2 == band.hour_ms).unwrap().1 * 1e-6;
        inside += usize::from(band.lo <= shown && shown <= band.hi);
        all += 1;
    }
    assert!(all > 700 && inside * 100 >= 90 * all, "{inside} of {all}");

    // The same in four parts, each with all that was in memory gone.
    let parts = desk("parts", &traces);
    let of_parts = work(&parts);
    for share in [40, 60, 74, 75] {
        let mut hours = Hours::new(&of_parts, &live, &models).unwrap();
        let now_ms = END_MS - (DAYS.0 - share) * 24 * HOUR_MS + 5 * HOUR_MS;
        hours.look(now_ms.min(END_MS) + GRACE_MS, &halt).unwrap();
    }
    let state = |d: &Desk| d.store.watched("house").unwrap().unwrap();
    assert_eq!(state(&whole).until_ms, state(&parts).until_ms);
    let kinds = |d: &Desk| {
        let m = serde_json::from_slice::<Watch>(&state(d).body).unwrap();
        m.events().map(|e| (e.traces[0].trace.clone(), e.known_ms)).collect::<Vec<_>>()
    };
    assert_eq!(kinds(&whole), kinds(&parts));
    assert_eq!(
        parts.store.outbox_due(i64::MAX, 100).unwrap().len(),
        due.len(),
        "each message once, however often it was begun again"
    );

    late_readings_are_judged_when_they_come(&live, &models, &traces, &whole);

    // Erased readings: the memory of them is gone too, and the watch begins anew.
    let erased = crate::store::Target::Series("house/main_co2".to_owned());
    parts.store.erase("house", erased, "the owner", 0).unwrap();
    assert!(parts.store.watched("house").unwrap().is_none());
    hours.work.store.erase("house", crate::store::Target::Series("house/main_co2".into()), "o", 0).unwrap();
    hours.until_ms = Some(END_MS - 24 * HOUR_MS);
    hours.look(END_MS + GRACE_MS, &halt).unwrap();
    assert!(whole.store.watched("house").unwrap().is_some_and(|w| w.until_ms == END_MS));
}

/// Of the last day the bedroom's readings come late, in an order of their own, with the program started again in between:
/// in the end all is as if they had come in time, and nobody is told twice.
fn late_readings_are_judged_when_they_come(
    live: &Live,
    models: &[Model],
    traces: &[(String, Vec<(i64, f64)>)],
    whole: &Desk,
) {
    let halt = Stop::default();
    let from_ms = END_MS - 20 * HOUR_MS;
    let is_late = |name: &str, p: &&(i64, f64)| p.0 >= from_ms && name.starts_with("bed_");
    let split = |late: bool| -> Vec<(String, Vec<(i64, f64)>)> {
        let part = |(name, points): &(String, Vec<(i64, f64)>)| {
            (name.clone(), points.iter().filter(|p| is_late(name, p) == late).copied().collect())
        };
        traces.iter().map(part).collect()
    };
    let some = desk("late", &split(false));
    let of_some = work(&some);
    let mut hours = Hours::new(&of_some, live, models).unwrap();
    hours.look(END_MS + GRACE_MS, &halt).unwrap();
    let state = |d: &Desk| d.store.watched("house").unwrap().unwrap();
    let other = state(&some);
    assert_eq!(other.until_ms, END_MS);
    assert_ne!(other.body, state(whole).body, "the bedroom was silent");
    let first = some.store.outbox_due(i64::MAX, 100).unwrap();
    for (part, (name, points)) in split(true).iter().rev().enumerate() {
        let (late, later) = points.split_at(points.len() / 2);
        for (k, half) in [later, late].into_iter().enumerate() {
            append(&some, name, half);
            // Each time another process.
            let mut hours = Hours::new(&of_some, live, models).unwrap();
            hours.look(END_MS + GRACE_MS + (1 + 2 * part as i64 + k as i64) * LATE_LOOK_MS, &halt).unwrap();
            assert!(hours.back.again_to_ms.is_none() && hours.until_ms == Some(END_MS));
        }
    }
    let watch = |d: &Desk| serde_json::from_slice::<Watch>(&state(d).body).unwrap();
    let known =
        |d: &Desk| watch(d).events().map(|e| (e.traces[0].trace.clone(), e.known_ms)).collect::<Vec<_>>();
    assert_eq!(known(&some), known(whole));
    let bands = |d: &Desk, name: &str| {
        let id = d.store.source(&format!("house/{name}")).unwrap();
        d.store.expected(id, from_ms, END_MS).unwrap()
    };
    for name in ["bed_co2", "bed_temp"] {
        let (some, whole) = (bands(&some, name), bands(whole, name));
        assert_eq!((some.len(), whole.len()), (20, 20));
        // What is written down as text and read again is not the same to the last bit.
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6 * b.abs();
        for (a, b) in some.iter().zip(&whole) {
            assert!(a.hour_ms == b.hour_ms && near(a.mean, b.mean) && near(a.lo, b.lo), "{a:?} {b:?}");
        }
    }
    // A change is told once, whatever was judged again.
    let changes = |d: &Desk| {
        let due = d.store.outbox_due(i64::MAX, 100).unwrap();
        let all = due.iter().map(|m| serde_json::from_slice::<crate::alert::Message>(&m.payload).unwrap());
        all.filter(|m| m.kind == "change").collect::<Vec<_>>()
    };
    assert_eq!(changes(&some).len(), changes(whole).len(), "{:#?}", changes(&some));
    let told_late = changes(&some).iter().filter(|m| m.text.contains("Told late")).count();
    let at_once = first.iter().filter(|m| String::from_utf8_lossy(&m.payload).contains("\"change\"")).count();
    assert_eq!(told_late + at_once, changes(whole).len());
    // Nothing new, nothing judged.
    let mut hours = Hours::new(&of_some, live, models).unwrap();
    hours.look(END_MS + GRACE_MS + 10 * LATE_LOOK_MS, &halt).unwrap();
    assert_eq!(hours.until_ms, Some(END_MS));
}
