//! Single tests between two devices and a desk: what is typed becomes documents, documents become what is typed, and a
//! test that nobody touches stays as it came, byte for byte.

use super::client::{Serving, folder};
use super::week::{Dice, Phone, contents};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

type Texts = BTreeMap<String, String>;

fn asked(question: &Value) -> Value {
    let answer: Value = serde_json::from_str(&api::phone::ask(&question.to_string())).unwrap();
    assert!(!answer["data"].is_null(), "{answer}");
    answer["data"].clone()
}

/// What was typed, as documents.
fn written(draft: &Value) -> Texts {
    let sheet = asked(&json!({ "ask": "phone-sheet", "draft": draft, "now": draft["created"] }));
    let file = |f: &Value| (f["name"].as_str().unwrap().to_owned(), f["text"].as_str().unwrap().to_owned());
    sheet["files"].as_array().unwrap().iter().map(file).collect()
}

/// Documents as what is typed.
fn read(texts: &Texts) -> Value {
    let files: Vec<Value> = texts.iter().map(|(name, text)| json!({ "name": name, "text": text })).collect();
    asked(&json!({ "ask": "phone-open", "files": files, "language": "en" }))["draft"].clone()
}

/// One test on one device, as `web/src/lib/shelf.ts` keeps it.
struct Single {
    phone: Phone,
    draft: Value,
}

impl Single {
    fn new(name: &'static str, token: &str, job: &str) -> Single {
        let phone = Phone { name, token: token.to_owned(), job: job.to_owned(), ..Phone::default() };
        Single { phone, draft: Value::Null }
    }

    fn texts(&self) -> Texts {
        let all = self.phone.documents.iter();
        all.filter_map(|(name, local)| Some((name.clone(), local.text.clone()?))).collect()
    }

    /// Somebody types: from now on the engine writes the documents.
    fn types(&mut self, at: &str, value: &str) {
        *self.draft.pointer_mut(at).unwrap() = value.into();
        put(&mut self.phone, &written(&self.draft));
    }

    /// One exchange; what came is kept as it came and read as what is typed. `meanwhile`: typed while the answer is on
    /// its way.
    fn exchange(&mut self, desk: &Serving, lost: bool, meanwhile: Option<(&str, &str)>) {
        let before = self.texts();
        let draft = &mut self.draft;
        let mut typed = before.clone();
        self.phone.exchange(desk, lost, |phone| {
            if let Some((at, value)) = meanwhile {
                *draft.pointer_mut(at).unwrap() = value.into();
                typed = written(draft);
                put(phone, &typed);
            }
        });
        let after = self.texts();
        if after != typed {
            self.draft = read(&after);
        }
    }
}

fn put(phone: &mut Phone, texts: &Texts) {
    let gone: Vec<String> =
        phone.documents.keys().filter(|name| !texts.contains_key(*name)).cloned().collect();
    for name in gone {
        phone.set(&name, None);
    }
    for (name, text) in texts {
        phone.set(name, Some(text.clone()));
    }
}

/// A test as somebody wrote it by hand: the engine would write the same otherwise.
fn by_hand(name: &str) -> Texts {
    let job = format!(
        "# written at a table\nformat = 1\nname = '{name}'\nlanguage = \"en\"\nunits = \"SI\"\n\n\
         [building]\nvolume = '400 m3' # paced out\nenvelope_area = '420 m2'\n"
    );
    let visit = "format = 1\ndate = '2026-02-03'\n\n# borrowed\n[instrument.f]\nmeasures = 'air flow'\naccuracy = '4 %'\n\
         shows = 'flow at reference conditions'\n[instrument.p]\nmeasures = 'pressure'\naccuracy = '1 %'\n\
         baseline = 'subtracted'\n\n[conditions]\nindoor = '20 degC'\noutdoor = '10 degC'\n\n[test.t]\n\
         standard = 'ISO 9972'\ndirection = 'depressurise'\npressure_with = 'p'\nflow_with = 'f'\n\
         stations = { columns = ['house Pa', 'fan m3/h'], rows = [\n[-10, 361], [-20, 567], [-30, 744], [-40, 897], \
         [-50, 1040], [-60, 1178]] }\n";
    let files = [("job.toml", job), ("visits/2026-02-03/visit.toml", visit.to_owned())];
    files.into_iter().map(|(name, text)| (name.to_owned(), text)).collect()
}

fn at_the_desk(desk: &Serving, job: &str) -> Texts {
    let plain = job.replace("%20", " ");
    let names: Vec<String> = by_hand("").into_keys().collect();
    let show = |name: String| {
        let shown =
            crate::run::program().arg("store").arg(desk.store()).args(["show", &plain, &name]).output();
        (name, String::from_utf8(shown.unwrap().stdout).unwrap())
    };
    names.into_iter().map(show).collect()
}

const OWN: [&[&str]; 2] = [
    &["/tester/name", "/conditions/indoor", "/stations/0/house"],
    &["/tester/credential", "/building/height"],
];
const BOTH: &[&str] = &["/building/volume", "/conditions/outdoor", "/firm/name"];

/// A value that fits a field, never the same twice.
fn value(at: &str, who: usize, count: u64) -> String {
    match at {
        "/tester/name" | "/tester/credential" | "/firm/name" => format!("somebody {who}-{count}"),
        "/stations/0/house" => format!("{}.{}7", 9 + count % 2, 1000 + count),
        _ => format!("1{who}.{}7", 1000 + count),
    }
}

#[test]
fn a_week_of_single_tests_with_answers_lost() {
    let mut desk = Serving::new(folder("maple"), &[]);
    let mut met = 0;
    for seed in 0..3_u64 {
        let mut dice = Dice(seed * 104_729 + 5);
        let tokens: Vec<String> = ["ann", "ben"]
            .iter()
            .map(|name| {
                let code = desk.another();
                desk.join(&code, name)
            })
            .collect();
        let job = |name: &str| format!("{name}{seed}%20(test%20abc{seed})");
        let pair = |name: &str| {
            [Single::new("ann", &tokens[0], &job(name)), Single::new("ben", &tokens[1], &job(name))]
        };

        // One is typed on Ann's phone; three lay on the desk as somebody wrote them. Both devices take all.
        let (mut shared, mut still, mut touched, mut removed) =
            (pair("shared"), pair("still"), pair("touched"), pair("removed"));
        shared[0].draft = read(&by_hand("shared"));
        shared[0].types("/place/name", "typed on a phone");
        shared[0].exchange(&desk, false, None);
        shared[1].exchange(&desk, false, None);
        for (name, ones) in [("still", &mut still), ("touched", &mut touched), ("removed", &mut removed)] {
            let mut table = Single::new("table", &tokens[0], &job(name));
            put(&mut table.phone, &by_hand(name));
            table.exchange(&desk, false, None);
            for one in ones.iter_mut() {
                one.exchange(&desk, false, None);
                assert_eq!(one.texts(), by_hand(name), "as it came");
                assert_ne!(
                    written(&one.draft),
                    by_hand(name),
                    "the engine writes it otherwise, so that a rewriting shows"
                );
            }
        }

        let mut last: [BTreeMap<String, String>; 2] = Default::default();
        let mut count = 0;
        let mut kept = String::new();
        for day in 0..7 {
            for _ in 0..5 {
                count += 1;
                let who = dice.below(2) as usize;
                let fields = if dice.below(3) == 0 { BOTH } else { OWN[who] };
                let at = fields[dice.below(fields.len() as u64) as usize];
                let typed = value(at, who, count);
                last[who].insert(at.to_owned(), typed.clone());
                let online = dice.below(7) == 0;
                if online && dice.below(2) == 0 {
                    let lost = dice.below(2) == 0;
                    shared[who].exchange(&desk, lost, Some((at, &typed)));
                } else {
                    shared[who].types(at, &typed);
                    if online {
                        shared[who].exchange(&desk, dice.below(2) == 0, None);
                    }
                }
                still[who].exchange(&desk, dice.below(2) == 0, None);
            }
            // Ben alone changes the one; Ben takes the other off his phone on the third day, Ann goes on with it.
            touched[1].types("/tester/name", &format!("ben {seed}-{day}"));
            touched[dice.below(2) as usize].exchange(&desk, dice.below(3) == 0, None);
            if day < 3 {
                kept = format!("licence {seed}-{day}");
                removed[1].types("/firm/licence", &kept);
                removed[1].exchange(&desk, day == 1, None);
                if day == 2 {
                    // What was still on its way goes first.
                    removed[1].exchange(&desk, false, None);
                }
            }
            removed[0].types("/tester/name", &format!("ann {seed}-{day}"));
        }
        for _ in 0..20 {
            shared[dice.below(2) as usize].exchange(&desk, dice.below(3) == 0, None);
        }
        for _ in 0..3 {
            for ones in [&mut shared, &mut touched, &mut still] {
                for one in ones.iter_mut() {
                    one.exchange(&desk, false, None);
                }
            }
            // Removed is removed: that device asks no more.
            removed[0].exchange(&desk, false, None);
        }

        // The same on both and on the desk, as documents and as what is typed.
        for (name, ones) in [("shared", &shared), ("touched", &touched), ("still", &still)] {
            assert_eq!(ones[0].texts(), ones[1].texts(), "seed {seed}: {name}");
            assert_eq!(ones[0].texts(), at_the_desk(&desk, &job(name)), "seed {seed}: {name}");
            assert_eq!(read(&ones[0].texts()), read(&ones[1].texts()), "seed {seed}: {name}");
        }
        // Everybody has the last word in what is his; in what is both's one of the two has it.
        let all: BTreeSet<&String> = last[0].keys().chain(last[1].keys()).collect();
        for at in all {
            let now = shared[0].draft.pointer(at).unwrap().as_str().unwrap();
            let said: Vec<&String> = last.iter().filter_map(|l| l.get(at)).collect();
            assert!(said.iter().any(|v| v.as_str() == now), "seed {seed}: {at} is {now} of {said:?}");
        }
        // What was not touched was never sent, and stands as it came.
        for one in &still {
            assert_eq!(one.texts(), by_hand("still"), "seed {seed}");
            assert!(
                one.phone.delivered.is_empty() && one.phone.documents.values().all(|d| d.number == 1),
                "seed {seed}"
            );
        }
        assert_eq!(touched[0].draft["tester"]["name"], format!("ben {seed}-6"));
        assert!(touched[0].phone.delivered.is_empty(), "seed {seed}: Ann sent what she only got");
        // What Ben took off his phone stays on the desk, with what he had typed and what Ann types on.
        let texts = at_the_desk(&desk, &job("removed"));
        let there = read(&texts);
        assert_eq!(
            (&there["tester"]["name"], &there["firm"]["licence"]),
            (&json!(format!("ann {seed}-6")), &json!(kept))
        );
        // Nothing goes on moving.
        let rest: Vec<usize> = shared.iter().map(|one| one.phone.delivered.len()).collect();
        for one in shared.iter_mut().chain(&mut touched) {
            one.exchange(&desk, false, None);
        }
        assert_eq!(
            shared.iter().map(|one| one.phone.delivered.len()).collect::<Vec<_>>(),
            rest,
            "seed {seed}"
        );
        // Whatever reached the desk stands in a revision or waits with both values.
        let revisions = contents(&desk);
        for text in shared.iter().flat_map(|one| &one.phone.delivered) {
            for typed in text.split('"').filter(|v| v.starts_with("somebody ")) {
                assert!(revisions.iter().any(|r| r.contains(typed)), "seed {seed}: {typed} is lost");
            }
        }
        let waiting = desk.as_device(&tokens[0], &format!("GET /desk/jobs/{}", job("shared")), None).json();
        met += waiting["waiting"].as_array().unwrap().len();
    }
    assert!(met > 0, "no contradiction was met");
}
