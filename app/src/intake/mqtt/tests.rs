//! With a broker from Debian.

use super::*;
use crate::intake::bench::{Mosquitto, desk, document, turn_until};
use crate::intake::desk::Desk;
use crate::intake::keep::Kept;
use crate::intake::map::Map;
use crate::intake::{Keep, channel};
use crate::store::{Store, Who};
use mqtt4::{Client, Event, MqttOptions, Outgoing, Packet, PublishOptions, QoS};
use std::path::Path;

/// Publishes at speed, each at least once; goes on over a broker's restart. Returns when the broker
/// has acknowledged all.
fn send(port: u16, messages: Vec<(String, Vec<u8>)>) -> std::thread::JoinHandle<()> {
    let mut options = MqttOptions::new("sender", ("127.0.0.1", port));
    options.set_clean_session(false).set_inflight(100).set_max_packet_size(1 << 20, 1 << 20);
    let (client, mut connection) = Client::builder(options).capacity(100).build();
    let count = messages.len();
    let feeding = std::thread::spawn(move || {
        for (topic, body) in messages {
            client.publish(topic, body, PublishOptions::new(QoS::AtLeastOnce)).unwrap();
        }
        client
    });
    std::thread::spawn(move || {
        let (mut acknowledged, mut sent) = (0, 0);
        while acknowledged < count {
            match connection.recv().unwrap() {
                Ok(Event::Incoming(Packet::PubAck(_))) => acknowledged += 1,
                Ok(Event::Outgoing(Outgoing::Publish(_))) => sent += 1,
                Ok(_) => {}
                Err(_) => std::thread::sleep(Duration::from_millis(100)),
            }
        }
        drop(feeding.join().unwrap());
        assert!(sent >= count);
    })
}

fn source(name: &str, topic: &str, value: &str, quantity: &str, unit: &str) -> String {
    format!(
        "[source.{name}]\nbroker = \"home\"\ntopic = \"{topic}\"\npayload = \"json\"\nvalue = \"{value}\"\n\
         time = \"$.at\"\nquantity = \"{quantity}\"\nunit = \"{unit}\"\nbasis = \"raw\"\n\
         instrument = \"logger\"\nplace = \"office\"\n"
    )
}

fn office(broker: &Mosquitto, version: &str) -> engine::doc::watch::Watch {
    let mut text = format!("format = 1\n{}", broker.table(version));
    for (name, value, quantity, unit) in
        [("temp", "$.temp", "temp", "degC"), ("rh", "$.rh", "rh", "%"), ("co2", "$.co2", "co2", "ppm")]
    {
        text.push_str(&source(name, "rooms/+/air", value, quantity, unit));
    }
    document(&text)
}

/// The record as messages, as `validate/tests/office.rs` finds it.
fn record() -> Option<Vec<(String, Vec<u8>)>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let name = "shared/data/office-room-co2-2015.csv";
    let text = ["..", "../.."].iter().find_map(|up| std::fs::read_to_string(root.join(up).join(name)).ok());
    let Some(text) = text else {
        println!("NOT RUN: ../{name} is not there");
        return None;
    };
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').map(|c| c.trim_matches('"')).collect();
        let at = cells[1].replace(' ', "T");
        let body = format!(r#"{{"at":"{at}Z","temp":{},"rh":{},"co2":{}}}"#, cells[2], cells[3], cells[5]);
        ("rooms/office/air".to_owned(), body.into_bytes())
    };
    Some(text.lines().skip(1).map(row).collect())
}

fn listening(
    broker: &Mosquitto,
    version: Version,
    filters: &[&str],
) -> (Listening, std::sync::mpsc::Receiver<Arrival>, Stop) {
    let (inlet, from) = channel();
    let stop = Stop::default();
    let filters = filters.iter().map(|f| (*f).to_owned()).collect();
    let listening = listen(&broker.setup(version, "house"), filters, inlet, stop.clone()).unwrap();
    (listening, from, stop)
}

fn subscribed<K: Keep>(desk: &mut Desk<K>, listening: &Listening, port: u16) {
    assert!(turn_until(desk, 20, |_| listening.status.is_up()), "{}", listening.status.why());
    // A message of our own shows that the broker knows the subscription.
    send(port, vec![("rooms/probe/x".to_owned(), b"probe".to_vec())]).join().unwrap();
}

/// Every reading of two days, as fast as it goes, by both versions.
#[test]
fn a_real_record_arrives_whole_and_once() {
    let (Some(broker), Some(messages)) = (Mosquitto::start("record"), record()) else { return };
    for (version, word) in [(Version::V311, "3.1.1"), (Version::V5, "5")] {
        let (listening, from, stop) = listening(&broker, version, &["rooms/+/air"]);
        let (mut desk, memory) = desk(&office(&broker, word), from);
        subscribed(&mut desk, &listening, broker.port);
        let began = clock::monotonic();
        let sending = send(broker.port, messages.clone());
        let all = 3 * messages.len() as u64;
        assert!(turn_until(&mut desk, 60, |d| d.tally.readings >= all), "{:?}", desk.tally);
        let took = began.elapsed().as_secs_f64();
        sending.join().unwrap();
        turn_until(&mut desk, 1, |_| false);
        let readings = memory.readings();
        assert_eq!(readings.len() as u64, all, "each once");
        let mut keys: Vec<_> = readings.iter().map(|r| (r.source.clone(), r.time_ms)).collect();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len() as u64, all, "and each another");
        let co2: f64 = readings.iter().filter(|r| &*r.source == "co2").map(|r| r.value * 1e6).sum();
        let temp = readings.iter().find(|r| &*r.source == "temp").unwrap();
        assert!((temp.value - (23.7 + 273.15)).abs() < 1e-9);
        println!(
            "MQTT {word}: {} messages, {all} readings in {took:.2} s: {:.0} readings/s; arrival to kept {:.1} ms mean, {} ms longest; mean CO2 {:.1} ppm",
            messages.len(),
            all as f64 / took,
            desk.tally.sum_ms as f64 / desk.tally.messages as f64,
            desk.tally.longest_ms,
            co2 / messages.len() as f64
        );
        stop.ask();
        listening.end();
    }
}

/// The broker goes away in the middle and comes back; the store cannot keep anything for a while. Every reading is there once.
#[test]
fn a_broker_that_goes_away_and_a_store_that_is_busy_lose_nothing() {
    let Some(mut broker) = Mosquitto::start("away") else { return };
    for (version, word) in [(Version::V311, "3.1.1"), (Version::V5, "5")] {
        let (listening, from, stop) = listening(&broker, version, &["rooms/+/air"]);
        let (mut desk, memory) = desk(&office(&broker, word), from);
        subscribed(&mut desk, &listening, broker.port);
        let count = 3000_u64;
        let messages = (0..count).map(|k| {
            let body = format!(r#"{{"at":{},"co2":{}}}"#, 1_700_000_000 + k, 400 + k);
            ("rooms/a/air".to_owned(), body.into_bytes())
        });
        let messages: Vec<_> = messages.collect();
        // Half of it lies at the broker, a part was taken and not acknowledged, when it goes.
        let (first, second) = messages.split_at(1500);
        let sending = send(broker.port, first.to_vec());
        assert!(turn_until(&mut desk, 30, |d| d.tally.readings > 300), "{:?}", desk.tally);
        sending.join().unwrap();
        broker.stop(true);
        memory.fail(3);
        turn_until(&mut desk, 1, |_| false);
        assert!(!listening.status.is_up());
        broker.go_on();
        let sending = send(broker.port, second.to_vec());
        assert!(turn_until(&mut desk, 60, |d| d.tally.readings >= count), "{:?}", desk.tally);
        turn_until(&mut desk, 1, |_| false);
        let mut values: Vec<u64> = memory.readings().iter().map(|r| (r.value * 1e6).round() as u64).collect();
        values.sort_unstable();
        assert_eq!(values, (400..400 + count).collect::<Vec<_>>(), "each once");
        assert!(listening.status.connected() >= 2 && desk.tally.failed >= 3);
        sending.join().unwrap();
        println!("MQTT {word}: {} came twice and were kept once", desk.tally.repeated);
        stop.ask();
        listening.end();
    }
}

/// What we missed while the program was not running, and what was taken and not kept, comes when it runs
/// again.
#[test]
fn nothing_is_acknowledged_before_it_is_kept() {
    let Some(broker) = Mosquitto::start("ack") else { return };
    for (version, word) in [(Version::V311, "3.1.1"), (Version::V5, "5")] {
        let watch = office(&broker, word);
        let (first, from, stop) = listening(&broker, version, &["rooms/+/air"]);
        let (mut taking, _) = desk(&watch, from);
        subscribed(&mut taking, &first, broker.port);
        // The desk takes nothing more: it is as if the program hung, and then it ends.
        let one = |k: u32| {
            ("rooms/a/air".to_owned(), format!(r#"{{"at":{},"co2":500}}"#, 1_700_000_000 + k).into_bytes())
        };
        send(broker.port, (0..10).map(one).collect()).join().unwrap();
        std::thread::sleep(Duration::from_millis(300));
        stop.ask();
        first.end();
        drop(taking);
        std::thread::sleep(Duration::from_millis(300));
        send(broker.port, (10..20).map(one).collect()).join().unwrap();
        let (second, from, stop) = listening(&broker, version, &["rooms/+/air"]);
        let (mut desk, memory) = desk(&watch, from);
        assert!(turn_until(&mut desk, 20, |d| d.tally.readings >= 20), "{word} {:?}", desk.tally);
        assert_eq!(memory.readings().len(), 20);
        stop.ask();
        second.end();
    }
}

/// Ten thousand messages of rubbish, to a known source and to none.
#[test]
fn rubbish_is_kept_counted_and_harms_nobody() {
    let Some(broker) = Mosquitto::start("rubbish") else { return };
    let (listening, from, stop) = listening(&broker, Version::V311, &["rooms/#"]);
    let (mut desk, memory) = desk(&office(&broker, "3.1.1"), from);
    subscribed(&mut desk, &listening, broker.port);
    let mut state = 12_345_u64;
    let mut random = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize
    };
    let mut messages = Vec::new();
    for k in 0..10_000 {
        let body: Vec<u8> = match k % 8 {
            0 => (0..random() % 300).map(|_| random() as u8).collect(),
            1 => b"[".repeat(random() % 5000),
            2 => br#"{"co2":1e999,"at":"2026-01-01T00:00:00Z"}"#.to_vec(),
            3 => br#"{"co2":"four hundred","at":true}"#.to_vec(),
            4 => br#"{"at":99999999999999999999,"co2":500}"#.to_vec(),
            5 => format!(r#"{{"temp":{},"at":"yesterday"}}"#, random()).into_bytes(),
            6 => Vec::new(),
            _ => b"{\"a\":".repeat(random() % 500),
        };
        let topic = if k % 3 == 0 { format!("rooms/none/{k}") } else { "rooms/a/air".to_owned() };
        messages.push((topic, body));
    }
    messages.push(("rooms/a/air".to_owned(), vec![b'x'; 300_000]));
    messages.push(("rooms/a/air".to_owned(), br#"{"co2":612,"at":1700000000}"#.to_vec()));
    let count = messages.len() as u64;
    let sending = send(broker.port, messages);
    assert!(turn_until(&mut desk, 90, |d| d.tally.messages > count), "{}", desk.tally.messages);
    sending.join().unwrap();
    let tally = &desk.tally;
    // The good one among them, and nothing else.
    assert_eq!(memory.readings().len(), 1);
    assert_eq!(tally.troubles.values().sum::<u64>(), count, "{:?}", tally.troubles);
    assert!(tally.unknown.len() <= 200 && tally.further > 3000, "a bounded list: {}", tally.further);
    let longest = memory.bodies().iter().map(Vec::len).max().unwrap();
    assert_eq!(longest, crate::intake::LONGEST, "the beginning of a long one");
    assert!(listening.status.is_up() && listening.status.connected() == 1);
    stop.ask();
    listening.end();
}

#[test]
fn a_message_of_our_own_arrives() {
    let Some(broker) = Mosquitto::start("own") else { return };
    let (listening, from, stop) = listening(&broker, Version::V311, &["house/alerts"]);
    let watch = document("format = 1\n");
    let (mut desk, memory) = desk(&watch, from);
    assert!(turn_until(&mut desk, 20, |_| listening.status.is_up()));
    std::thread::sleep(Duration::from_millis(200));
    for version in [Version::V311, Version::V5] {
        publish(&broker.setup(version, "teller"), "house/alerts", b"{\"kind\":\"silence\"}").unwrap();
    }
    assert!(turn_until(&mut desk, 10, |d| d.tally.messages == 2));
    assert_eq!(memory.bodies()[0], b"{\"kind\":\"silence\"}");
    stop.ask();
    listening.end();
    let away = Setup { port: 1, ..broker.setup(Version::V5, "teller") };
    assert!(publish(&away, "house/alerts", b"x").is_err());
}

/// A certificate for this machine, by openssl; says plainly where there is none.
fn certificate(folder: &Path) -> Option<String> {
    let made = std::process::Command::new("openssl")
        .args(["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=airwright test"])
        .args(["-addext", "subjectAltName=IP:127.0.0.1", "-addext", "basicConstraints=critical,CA:FALSE"])
        .arg("-keyout")
        .arg(folder.join("key.pem"))
        .arg("-out")
        .arg(folder.join("ca.pem"))
        .stderr(std::process::Stdio::null())
        .status();
    if !made.is_ok_and(|s| s.success()) {
        println!("NOT RUN: openssl is not there (Debian: apt-get install openssl)");
        return None;
    }
    let path = |name: &str| folder.join(name).display().to_string();
    Some(format!("certfile {}\nkeyfile {}\n", path("ca.pem"), path("key.pem")))
}

/// Encrypted, to a broker whose authority the document names; one whose authority nobody knows is refused.
#[test]
fn an_encrypted_connection_with_an_authority_of_ones_own() {
    let Some(broker) = Mosquitto::start_with("tls", certificate) else { return };
    for version in [Version::V311, Version::V5] {
        let authority = broker.folder().join("ca.pem");
        let setup = Setup { tls: Some(Some(authority)), ..broker.setup(version, "teller") };
        publish(&setup, "house/alerts", b"x").unwrap();
        let unknown = Setup { tls: Some(None), ..broker.setup(version, "teller") };
        let error = publish(&unknown, "house/alerts", b"x").unwrap_err();
        assert!(!error.is_empty(), "{error}");
        let open = Setup { tls: None, ..broker.setup(version, "teller") };
        assert!(publish(&open, "house/alerts", b"x").is_err(), "it takes nothing in the open");
    }
}

/// The record through a broker into the store of the desk, and then once more: every reading is there once.
#[test]
fn a_real_record_goes_into_the_store_once() {
    let (Some(broker), Some(messages)) = (Mosquitto::start("store"), record()) else { return };
    let store = Arc::new(Store::open(&broker.folder().join("house.store")).unwrap());
    store.put("house", "/nowhere", Vec::new(), false, Who::default()).unwrap();
    let watch = office(&broker, "3.1.1");
    let all = 3 * messages.len() as u64;
    for round in 0..2 {
        // A program that starts anew remembers nothing of its own.
        let (listening, from, stop) = listening(&broker, Version::V311, &["rooms/+/air"]);
        let kept = Kept::new(Arc::clone(&store), "house", &watch, clock::now_ms()).unwrap();
        let mut desk =
            Desk::new(from, Map::new(&watch), kept, Box::new(|_, why| panic!("{why}")), clock::now_ms());
        subscribed(&mut desk, &listening, broker.port);
        let began = clock::monotonic();
        let sending = send(broker.port, messages.clone());
        assert!(turn_until(&mut desk, 120, |d| d.tally.readings >= all), "{:?}", desk.tally);
        let took = began.elapsed().as_secs_f64();
        sending.join().unwrap();
        assert_eq!(desk.kept().twice(), round * all);
        println!(
            "MQTT into the store, round {round}: {:.0} readings/s, {} batches; arrival to kept {:.1} ms mean, {} ms longest",
            all as f64 / took,
            desk.tally.batches,
            desk.tally.sum_ms as f64 / desk.tally.messages as f64,
            desk.tally.longest_ms
        );
        stop.ask();
        listening.end();
    }
    let readings: i64 = store.sources().unwrap().iter().filter(|s| s.complete).map(|s| s.readings).sum();
    assert_eq!(readings as u64, all);
}
