//! Two devices and a desk: whatever each does while it is away, whatever answers are lost, all end with the
//! same documents and nothing is lost.

use super::client::{Serving, folder};
use api::edit::merge;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Numbers that are the same in every run (an LCG of Knuth's, MMIX).
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

/// A document on a device: what it is, what both sides had last, and what is under way.
#[derive(Default)]
pub(super) struct Local {
    pub(super) text: Option<String>,
    pub(super) number: i64,
    agreed: Option<String>,
    /// Whether `agreed` is not the text of revision `number`.
    apart: bool,
    pending: Option<Value>,
}

/// What a page does with one job, step by step (`web/src/lib/desk.svelte.ts`).
#[derive(Default)]
pub(super) struct Phone {
    pub(super) name: &'static str,
    pub(super) token: String,
    /// The job as an address has it.
    pub(super) job: String,
    pub(super) documents: BTreeMap<String, Local>,
    pub(super) marks: u64,
    /// Photos by their names.
    pub(super) photos: BTreeMap<String, Vec<u8>>,
    /// Texts that reached the desk.
    pub(super) delivered: Vec<String>,
    pub(super) conflicts: usize,
}

impl Phone {
    pub(super) fn set(&mut self, name: &str, text: Option<String>) {
        self.documents.entry(name.to_owned()).or_default().text = text;
    }

    /// One exchange. `lost`: the desk gets it, the device never hears the answer. `meanwhile`: typed while the answer is
    /// on its way.
    pub(super) fn exchange(&mut self, desk: &Serving, lost: bool, meanwhile: impl FnOnce(&mut Phone)) {
        let mut sent = Vec::new();
        for (name, local) in &mut self.documents {
            if local.pending.is_none() && (local.text != local.agreed || local.apart) {
                self.marks += 1;
                let mark = format!("{}{}", self.name, self.marks);
                let mut change =
                    json!({ "name": name, "base": local.number, "mark": mark, "text": local.text });
                if local.apart {
                    change["from"] = json!(local.agreed);
                }
                local.pending = Some(change);
            }
            sent.push(local.pending.clone().unwrap_or_else(|| json!({ "name": name, "base": local.number })));
        }
        // Where the job is there already, nothing is begun.
        let body = json!({ "begin": true, "documents": sent });
        let line = format!("POST /desk/jobs/{}/exchange", self.job);
        let reply = desk.as_device(&self.token, &line, Some(&body));
        assert_eq!(reply.status, 200, "{reply:?}");
        self.delivered.extend(sent.iter().filter_map(|s| s["text"].as_str().map(str::to_owned)));
        meanwhile(self);
        if lost {
            return;
        }
        for stands in reply.json()["documents"].as_array().unwrap() {
            let local = self.documents.entry(stands["name"].as_str().unwrap().to_owned()).or_default();
            let sent = match local.pending.take() {
                Some(pending) => pending["text"].as_str().map(str::to_owned),
                None => local.agreed.clone(),
            };
            self.conflicts += stands["conflicts"].as_array().map_or(0, Vec::len);
            let there = stands["there"].as_bool().unwrap();
            let now = stands["text"].as_str().map(str::to_owned).or(if there { sent.clone() } else { None });
            local.number = stands["number"].as_i64().unwrap();
            local.apart = false;
            if local.text == sent {
                local.text = now.clone();
                local.agreed = now;
                continue;
            }
            let merged = match (&sent, &local.text, &now) {
                (Some(sent), Some(mine), Some(now)) => Some(merge("house.toml", sent, mine, now)),
                _ => None,
            };
            match merged {
                Some(merged) if merged.conflicts.is_empty() => {
                    local.text = Some(merged.text);
                    local.agreed = now;
                }
                // The desk has to say what counts: it is told from which text this one was made.
                _ if sent != now => (local.agreed, local.apart) = (sent, true),
                _ => local.agreed = now,
            }
        }
    }

    /// Photos both ways. `lost`: the network goes after so many requests.
    fn photos(&mut self, desk: &Serving, lost: Option<u64>) {
        let mut left = lost.unwrap_or(u64::MAX);
        let mut gone = || {
            left = left.saturating_sub(1);
            left == 0
        };
        let reply = desk.as_device(&self.token, "GET /desk/jobs/maple/photos", None);
        let list = reply.json()["photos"].as_array().unwrap().clone();
        let there: BTreeSet<String> = list.iter().map(|p| p["name"].as_str().unwrap().to_owned()).collect();
        for name in there.iter().filter(|n| !self.photos.contains_key(*n)).cloned().collect::<Vec<_>>() {
            if gone() {
                return;
            }
            let bytes = desk.fetch(&self.token, &format!("GET /desk/jobs/maple/photos/{name}"));
            assert_eq!(named(&bytes), name);
            self.photos.insert(name, bytes);
        }
        for (name, bytes) in self.photos.iter().filter(|(n, _)| !there.contains(*n)) {
            if gone() {
                return;
            }
            let reply = desk.send(&self.token, &format!("PUT /desk/jobs/maple/photos/{name}"), bytes);
            assert_eq!(reply.status, 200, "{reply:?}");
        }
    }

    /// A week's work: fields of its own, fields of both, documents of its own.
    fn work(&mut self, dice: &mut Dice, count: &mut u64, last: &mut BTreeMap<String, String>) {
        *count += 1;
        let value = format!("{}-{count}", self.name);
        if dice.below(6) == 0 {
            // No two are the same, and no byte of them is text.
            let mut bytes = vec![0xff, 0xd8, 0xff, 0xe0];
            bytes.extend(value.bytes().map(|b| b | 0x80));
            bytes.resize(200 + dice.below(90_000) as usize, 0x9c);
            self.photos.insert(named(&bytes), bytes);
        }
        let field = match dice.below(10) {
            0..5 => format!("{}{}", self.name, dice.below(6)),
            5..8 => format!("both{}", dice.below(4)),
            _ => {
                let name = format!("visits/{}{}.toml", self.name, dice.below(3));
                let text = format!("# {value}\nvalue = \"{value}\"\n");
                last.insert(name.clone(), value);
                return self.set(&name, Some(text));
            }
        };
        let old = self.documents["house.toml"].text.clone().unwrap();
        let line = format!("{field} = ");
        let text: String = old
            .lines()
            .map(|l| if l.starts_with(&line) { format!("{line}\"{value}\"\n") } else { format!("{l}\n") })
            .collect();
        last.insert(field, value);
        self.set("house.toml", Some(text));
    }
}

/// A photo's name: the SHA-256 of its bytes.
fn named(bytes: &[u8]) -> String {
    use sha2::{Digest, Sha256};
    let hash: String = Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect();
    format!("{hash}.jpg")
}

fn start() -> String {
    let own = ["ann", "ben"].iter().flat_map(|n| (0..6).map(move |k| format!("{n}{k}")));
    let fields = own.chain((0..4).map(|k| format!("both{k}")));
    let lines: String = fields.map(|f| format!("{f} = \"0\" # of {f}\n")).collect();
    format!("format = 1\n\n# a house of two\n[zone.main]\n{lines}")
}

pub(super) fn contents(desk: &Serving) -> Vec<String> {
    let base = rusqlite::Connection::open(desk.store()).unwrap();
    let mut select = base.prepare("SELECT bytes FROM content").unwrap();
    let rows = select.query_map([], |r| r.get::<_, Vec<u8>>(0)).unwrap();
    rows.map(|b| String::from_utf8_lossy(&b.unwrap()).into_owned()).collect()
}

#[test]
fn a_week_apart_in_any_order_with_answers_lost() {
    let desk = Serving::new(folder("maple"), &[]);
    let mut desk = desk;
    let mut conflicts = 0;
    for seed in 0..6_u64 {
        let mut dice = Dice(seed * 7919 + 1);
        let mut phones: Vec<Phone> = Vec::new();
        for name in ["ann", "ben"] {
            let code = desk.another();
            // The first code of all is still unread on the terminal.
            let token = desk.join(&code, name);
            phones.push(Phone { name, token, job: "maple".to_owned(), ..Phone::default() });
        }
        let mut count = seed * 10_000;
        phones[0].exchange(&desk, false, |_| ());
        phones[0].set("house.toml", Some(start().replace("\"0\"", &format!("\"{seed}\""))));
        phones[0].exchange(&desk, false, |_| ());
        phones[1].exchange(&desk, false, |_| ());
        assert_eq!(phones[0].documents["house.toml"].text, phones[1].documents["house.toml"].text);
        let mut last: [BTreeMap<String, String>; 2] = Default::default();
        for _day in 0..7 {
            for _ in 0..6 {
                let who = dice.below(2) as usize;
                phones[who].work(&mut dice, &mut count, &mut last[who]);
                // On some days there is a network for a moment, and not for every answer.
                if dice.below(9) == 0 {
                    let lost = dice.below(2) == 0;
                    let types = dice.below(2) == 0;
                    let after = 1 + dice.below(3);
                    phones[who].photos(&desk, lost.then_some(after));
                    let (dice, last, count) = (&mut dice, &mut last[who], &mut count);
                    phones[who].exchange(&desk, lost, |p| {
                        if types {
                            p.work(dice, count, last);
                        }
                    });
                }
            }
        }
        // Home again: exchanges in any order, every third answer lost, until both are through.
        for _ in 0..24 {
            let who = dice.below(2) as usize;
            let lost = dice.below(3) == 0;
            phones[who].exchange(&desk, lost, |_| ());
        }
        for _ in 0..2 {
            for phone in &mut phones {
                phone.photos(&desk, None);
                phone.exchange(&desk, false, |_| ());
            }
        }
        let texts = |p: &Phone| -> BTreeMap<String, Option<String>> {
            p.documents.iter().map(|(n, l)| (n.clone(), l.text.clone())).collect()
        };
        assert_eq!(texts(&phones[0]), texts(&phones[1]), "seed {seed}");
        assert_eq!(phones[0].photos, phones[1].photos, "seed {seed}");
        assert!(phones[0].photos.len() > 3, "seed {seed}: few photos were taken");
        for (name, bytes) in &phones[0].photos {
            let name = format!("attachments/{name}");
            let shown =
                crate::run::program().arg("store").arg(desk.store()).args(["show", "maple", &name]).output();
            assert_eq!(&shown.unwrap().stdout, bytes, "seed {seed}: {name}");
        }
        let house = phones[0].documents["house.toml"].text.clone().unwrap();
        for (name, local) in &phones[0].documents {
            let shown =
                crate::run::program().arg("store").arg(desk.store()).args(["show", "maple", name]).output();
            let shown = String::from_utf8(shown.unwrap().stdout).unwrap();
            assert_eq!(local.text.as_deref(), Some(shown.as_str()), "seed {seed}: {name}");
        }
        // Each has the last word in fields that are its own; in those of both one of the two has it.
        let field = |name: &str| {
            let found = house.lines().find_map(|l| l.strip_prefix(&format!("{name} = \""))).unwrap();
            found.split('"').next().unwrap().to_owned()
        };
        let all: BTreeSet<&String> = last[0].keys().chain(last[1].keys()).collect();
        for name in all {
            let said: Vec<&String> = last.iter().filter_map(|l| l.get(name)).collect();
            if name.starts_with("visits/") {
                let text = phones[0].documents[name].text.clone().unwrap();
                assert!(text.contains(said[0].as_str()), "seed {seed}: {name}");
            } else {
                assert!(said.contains(&&field(name)), "seed {seed}: {name} is {} of {said:?}", field(name));
            }
        }
        // Whatever reached the desk stands in a revision or waits with both values.
        let kept = contents(&desk);
        for text in phones.iter().flat_map(|p| &p.delivered) {
            let values = text.split('"').filter(|v| v.starts_with("ann-") || v.starts_with("ben-"));
            for value in values {
                let quoted = format!("\"{value}\"");
                assert!(kept.iter().any(|k| k.contains(&quoted)), "seed {seed}: {value} is lost");
            }
        }
        let waiting = desk.as_device(&phones[0].token, "GET /desk/jobs/maple", None).json();
        let waiting = waiting["waiting"].as_array().unwrap().clone();
        conflicts += waiting.len();
        // One that is settled counts on both.
        if let Some(one) = waiting.iter().find(|w| w["path"] == "house.toml") {
            let mine = one["fields"][0]["mine"].as_str().unwrap().to_owned();
            let ask = json!({ "number": one["id"], "take": true });
            let settled = desk.as_device(&phones[1].token, "POST /desk/jobs/maple/settle", Some(&ask));
            assert_eq!(settled.status, 200, "{settled:?}");
            phones[0].exchange(&desk, false, |_| ());
            phones[1].exchange(&desk, false, |_| ());
            let key = one["fields"][0]["key"].as_str().unwrap().rsplit('.').next().unwrap().to_owned();
            let now = phones[0].documents["house.toml"].text.clone().unwrap();
            assert!(now.contains(&format!("{key} = {mine}")), "{key} = {mine} in {now}");
            assert_eq!(texts(&phones[0]), texts(&phones[1]));
        }
        for one in &waiting {
            let ask = json!({ "number": one["id"], "take": false });
            desk.as_device(&phones[0].token, "POST /desk/jobs/maple/settle", Some(&ask));
        }
    }
    assert!(conflicts > 0, "no contradiction was met");
}

/// What is no photo, or another one than its name says, is not taken; nor is one where no job is.
#[test]
fn a_photo_is_held_against_its_name() {
    let desk = Serving::new(folder("maple"), &[]);
    let token = desk.join(&desk.code(), "ann");
    let photo = [&[0xff, 0xd8, 0xff, 0xe0][..], &[0x9c; 500][..]].concat();
    let put = |job: &str, name: &str, bytes: &[u8]| {
        desk.send(&token, &format!("PUT /desk/jobs/{job}/photos/{name}"), bytes)
    };
    let name = named(&photo);
    assert_eq!(put("maple", &named(b"other"), &photo).status, 422);
    let text = b"<script>no picture</script>";
    let refused = put("maple", &named(text), text);
    assert_eq!(
        (refused.status, refused.json()["error"]["code"].as_str().map(str::to_owned)),
        (422, Some("K190".to_owned()))
    );
    assert_eq!(put("maple", "..%2f..%2fjob.toml", &photo).status, 422);
    assert_eq!(put("oak", &name, &photo).status, 404);
    assert_eq!(put("maple", &name, &vec![0xff; (12 << 20) + 1]).status, 413);
    let stranger =
        desk.raw(&super::client::request("x", &format!("GET /desk/jobs/maple/photos/{name}"), &[], None));
    assert_ne!(stranger.unwrap().status, 200);
    for kept in [true, false] {
        assert_eq!(put("maple", &name, &photo).json()["kept"], kept);
    }
    let list = desk.as_device(&token, "GET /desk/jobs/maple/photos", None).json();
    assert_eq!(list["photos"], json!([{ "name": name, "bytes": photo.len() }]));
    // It is no document of an exchange.
    let none = json!({ "documents": [] });
    let there = desk.as_device(&token, "POST /desk/jobs/maple/exchange", Some(&none)).json();
    assert!(!there.to_string().contains(&name), "{there}");
    assert_eq!(
        desk.as_device(&token, &format!("GET /desk/jobs/maple/photos/{}", named(b"gone")), None).status,
        404
    );
}

/// The same request again and again, with another device between: it counts once.
#[test]
fn a_request_that_comes_again_changes_nothing() {
    let mut desk = Serving::new(folder("maple"), &[]);
    let (one, two) = (desk.code(), desk.another());
    let (one, two) = (desk.join(&one, "ann"), desk.join(&two, "ben"));
    let line = "POST /desk/jobs/maple/exchange";
    let text = |volume: &str| format!("format = 1\n[zone.main]\nvolume = \"{volume} ft3\"\n");
    let sent = |base: i64, mark: &str, text: &str| json!({ "documents": [{ "name": "house.toml", "base": base, "mark": mark, "text": text }] });
    let first = sent(1, "a1", &text("9000"));
    assert_eq!(desk.as_device(&one, line, Some(&first)).json()["documents"][0]["number"], 2);
    let again = desk.as_device(&one, line, Some(&first)).json();
    assert_eq!(again["documents"][0]["number"], 2);
    assert_eq!(again["documents"][0]["text"], Value::Null);
    // Somebody who has seen it writes another value; the old request comes once more.
    desk.as_device(&two, line, Some(&sent(2, "b1", &text("8000"))));
    let late = desk.as_device(&one, line, Some(&first)).json();
    assert_eq!(late["documents"][0]["number"], 3);
    assert_eq!(late["documents"][0]["text"], text("8000"));
    assert_eq!(late["waiting"], json!([]));
    // Without having seen it: both are shown, the first counts.
    let both = desk.as_device(&one, line, Some(&sent(2, "a2", &text("7000")))).json();
    assert_eq!(both["documents"][0]["text"], text("8000"));
    assert_eq!(both["documents"][0]["conflicts"][0]["mine"], "\"7000 ft3\"");
    assert_eq!(both["waiting"].as_array().unwrap().len(), 1);
    let again = desk.as_device(&one, line, Some(&sent(2, "a2", &text("7000")))).json();
    assert_eq!(again["waiting"].as_array().unwrap().len(), 1);
    // A job is made once, whatever comes twice.
    let begin = json!({ "begin": true, "documents": [{ "name": "job.toml", "base": 0, "mark": "c1", "text": "format = 1\n" }] });
    for _ in 0..2 {
        let reply = desk.as_device(&two, "POST /desk/jobs/elm%20street/exchange", Some(&begin));
        assert_eq!((reply.status, reply.json()["documents"][0]["number"].as_i64()), (200, Some(1)));
    }
}
