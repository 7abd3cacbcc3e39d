//! Long work on the desk.

use super::client::{PATIENCE, Serving};
use crate::run::{Folder, program};
use serde_json::{Value, json};
use std::time::{Duration, Instant};

fn demo() -> Folder {
    let folder = Folder::new();
    for file in api::demo().unwrap() {
        folder.write(&format!("house/{}", file.name), file.text);
    }
    let put = program()
        .arg("store")
        .arg(folder.path().join("desk.store"))
        .arg("put")
        .arg(folder.path().join("house"))
        .output()
        .unwrap();
    assert!(put.status.success(), "{put:?}");
    folder
}

#[allow(clippy::disallowed_methods, reason = "the test measures time")]
fn now() -> Instant {
    Instant::now()
}

/// Asks until the standing is one of these.
fn until(desk: &Serving, token: &str, id: &str, wanted: impl Fn(&Value) -> bool) -> Value {
    let began = now();
    loop {
        let reply = desk.as_device(token, &format!("GET /desk/tasks/{id}"), None);
        assert_eq!(reply.status, 200, "{reply:?}");
        let answer = reply.json();
        if wanted(&answer["standing"]) {
            return answer;
        }
        assert!(began.elapsed() < 6 * PATIENCE, "{}", answer["standing"]);
        std::thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn work_is_asked_watched_and_cancelled() {
    let desk = Serving::new(demo(), &[]);
    let token = desk.join(&desk.code(), "phone");
    let begin = |page: Value| {
        let ask = json!({ "job": "house", "question": page, "now": "2026-11-25 12:00 +00:00" });
        let reply = desk.as_device(&token, "POST /desk/tasks", Some(&ask));
        assert_eq!(reply.status, 200, "{reply:?}");
        reply.json()["id"].as_str().unwrap().to_owned()
    };
    let plans = || begin(json!({ "page": "plans", "run": true }));
    // Two at once; the third waits for a turn, and gets it within a second of a cancel.
    let (one, two, three) = (plans(), plans(), begin(json!({ "page": "visit", "read": true })));
    until(&desk, &token, &one, |s| s["state"] == "works" && s["of"].as_u64() > Some(0));
    until(&desk, &token, &two, |s| s["state"] == "works");
    assert_eq!(until(&desk, &token, &three, |_| true)["standing"]["state"], "waits");
    let cancel = |id: &str| desk.as_device(&token, &format!("DELETE /desk/tasks/{id}"), None).status;
    let asked = now();
    assert_eq!(cancel(&one), 200);
    until(&desk, &token, &three, |s| s["state"] != "waits");
    let took = asked.elapsed();
    assert!(took < Duration::from_secs(1), "{took:?}");
    assert_eq!(cancel(&one), 404);
    assert_eq!(cancel(&two), 200);
    // The result is what the page itself would be answered, and stays until it is taken.
    let done = until(&desk, &token, &three, |s| s["state"] == "done");
    assert_eq!(done["answer"]["data"]["fitted"], true, "{}", done["answer"]["diagnostics"]);
    assert!(!done["answer"]["data"]["fragments"].as_array().unwrap().is_empty());
    assert_eq!(until(&desk, &token, &three, |_| true)["answer"], done["answer"]);
    assert_eq!((cancel(&three), cancel(&three)), (200, 404));
    // A question of a job that is not there, and one that is none.
    for (ask, status) in [
        (json!({ "job": "nobody", "question": { "page": "visit" } }), 404),
        (json!({ "job": "house", "question": { "page": "shell" } }), 400),
    ] {
        assert_eq!(desk.as_device(&token, "POST /desk/tasks", Some(&ask)).status, status, "{ask}");
    }
}
