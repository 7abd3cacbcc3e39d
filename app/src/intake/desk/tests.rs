use super::*;
use crate::intake::bench::{Memory, desk, document};
use crate::intake::channel;
use std::sync::Mutex;

const SOURCES: &str = r#"
format = 1
[posts]
listen = "127.0.0.1:8065"
token_env = "TOKEN"
[source.bath]
path = "bath"
payload = "plain"
quantity = "rh"
unit = "%"
basis = "raw"
instrument = "probe"
place = "bath"
silent_after = "1 s"
"#;

struct Told(Arc<Mutex<Vec<Fate>>>, usize);

impl Ticket for Told {
    fn tell(&mut self, fate: Fate) -> bool {
        if self.1 > 0 {
            self.1 -= 1;
            return false;
        }
        self.0.lock().unwrap().push(fate);
        true
    }
}

fn arrival(body: &str, told: &Arc<Mutex<Vec<Fate>>>, refusals: usize) -> Arrival {
    let arrival = Arrival::new(Via::Path("bath".to_owned()), body.as_bytes().to_vec(), clock::now_ms());
    Arrival { ticket: Some(Box::new(Told(Arc::clone(told), refusals))), ..arrival }
}

fn made() -> (crate::intake::Inlet, Desk<Memory>, Memory) {
    let (inlet, from) = channel();
    let (desk, memory) = desk(&document(SOURCES), from);
    (inlet, desk, memory)
}

#[test]
fn a_sender_hears_after_keeping_and_is_told_again_where_that_was_not_possible() {
    let (inlet, mut desk, memory) = made();
    let told = Arc::default();
    inlet.put(arrival("51", &told, 0));
    inlet.put(arrival("52.5", &told, 2));
    let turn = desk.turn(Duration::from_millis(10), &Stop::default());
    assert_eq!(turn.readings.len(), 2);
    assert!((memory.readings()[1].value - 0.525).abs() < 1e-12, "SI");
    assert_eq!(told.lock().unwrap().len(), 1);
    desk.turn(Duration::from_millis(1), &Stop::default());
    desk.turn(Duration::from_millis(1), &Stop::default());
    assert_eq!(*told.lock().unwrap(), [Fate::Kept(1), Fate::Kept(1)]);
}

#[test]
fn a_store_that_cannot_is_asked_again_and_the_end_tells_the_truth() {
    let (inlet, mut desk, memory) = made();
    let told = Arc::default();
    memory.fail(2);
    inlet.put(arrival("51", &told, 0));
    desk.turn(Duration::from_millis(10), &Stop::default());
    assert_eq!((desk.tally.failed, desk.tally.readings), (2, 1));
    // Nobody can keep it, and the program is to end: not kept is what is said.
    memory.fail(usize::MAX);
    inlet.put(arrival("52", &told, 0));
    let stop = Stop::default();
    stop.ask();
    desk.turn(Duration::from_millis(10), &stop);
    assert_eq!(*told.lock().unwrap(), [Fate::Kept(1), Fate::NotKept]);
    assert_eq!(memory.readings().len(), 1);
}

#[test]
fn silence_is_said_once_and_its_end() {
    let (inlet, mut desk, _) = made();
    let (told, stop) = (Arc::default(), Stop::default());
    inlet.put(arrival("51", &told, 0));
    assert!(desk.turn(Duration::from_millis(5), &stop).silent.is_empty());
    std::thread::sleep(Duration::from_millis(1100));
    let turn = desk.turn(Duration::from_millis(5), &stop);
    assert_eq!(turn.silent.len(), 1);
    assert!(desk.turn(Duration::from_millis(5), &stop).silent.is_empty());
    inlet.put(arrival("53", &told, 0));
    assert_eq!(desk.turn(Duration::from_millis(5), &stop).heard.len(), 1);
}

#[test]
fn what_nobody_explained_is_kept_and_listed() {
    let (inlet, mut desk, memory) = made();
    for k in 0..300 {
        let via = Via::Path(format!("other/{}", k % 250));
        inlet.put(Arrival::new(via, format!("{{\"x\":\"\u{1b}[2J{k}\"}}").into_bytes(), clock::now_ms()));
        desk.turn(Duration::from_millis(1), &Stop::default());
    }
    assert_eq!(memory.bodies().len(), 300, "all of it");
    assert_eq!((desk.tally.unknown.len(), desk.tally.readings), (200, 0));
    assert_eq!(desk.tally.unknown.values().map(|u| u.count).sum::<u64>() + desk.tally.further, 300);
    assert!(desk.tally.unknown.values().all(|u| !u.example.contains('\u{1b}')), "no command to a terminal");
}
