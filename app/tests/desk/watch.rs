//! What a live watch of a job tells, on the desk that has its store.

use super::client::{PATIENCE, Serving, folder};
use super::live::listen;
use crate::run::{Ran, watch_once};
use crate::watch_live::{port, post};
use serde_json::{Value, json};
use std::process::Stdio;
use std::time::Duration;

const RULES: &str = "format = 1\n[rule.bath]\nlabel = \"wet bath\"\ndevice = \"bath_fan\"\non = \"100 %\"\noff = \"0 %\"\n\
     on_when = 'main.rh > q(\"60 %\")'\nif_lost = \"off\"\n\
     [rule.cold]\nlabel = \"cold outside\"\ndevice = \"bath_fan\"\non = \"50 %\"\non_when = 'outdoor.temp < q(\"-20 degC\")'\npriority = 3\n";

fn sources(port: u16) -> String {
    let source = |name: &str, quantity: &str, unit: &str, place: &str| {
        format!(
            "[source.{name}]\npath = \"{name}\"\npayload = \"csv\"\nvalue = \"v\"\ntime = \"t\"\n\
             quantity = \"{quantity}\"\nunit = \"{unit}\"\nbasis = \"raw\"\ninstrument = \"one\"\nplace = \"{place}\"\n"
        )
    };
    let all = [source("damp", "rh", "%", "main"), source("fumes", "co", "ppm", "main")];
    format!(
        "format = 1\n[posts]\nlisten = \"127.0.0.1:{port}\"\ntoken_env = \"LIVE_TEST_TOKEN\"\n{}",
        all.concat()
    )
}

/// Readings of a source, minutes ago.
fn table(rows: &[(i64, f64)]) -> String {
    let now = jiff::Timestamp::now();
    let row = |(ago, v): &(i64, f64)| {
        let at = now - jiff::SignedDuration::from_mins(*ago);
        format!("{at},{v}\n")
    };
    format!("t,v\n{}", rows.iter().map(row).collect::<String>())
}

#[test]
fn a_desk_tells_what_its_watch_told() {
    let (folder, port) = (folder("job"), port());
    let demo = api::demo().unwrap();
    let house = demo.iter().find(|f| f.name == "house.toml").unwrap();
    folder.write("job/house.toml", &house.text);
    folder.write("job/rules/bath.toml", RULES);
    folder.write("job/watch.toml", sources(port));
    let job = folder.path().join("job");
    let desk = Serving::new(folder, &[]);
    let token = desk.join(&desk.code(), "phone");
    let ask = |desk: &Serving| desk.as_device(&token, "GET /desk/watch?job=job", None).json();
    let before = ask(&desk);
    assert_eq!(
        (&before["alerts"], &before["rules"], &before["until_ms"]),
        (&json!([]), &Value::Null, &Value::Null)
    );
    let events = listen(&desk, &token, "/desk/live?job=job");
    let child =
        watch_once(&job, &desk.store()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let damp: Vec<(i64, f64)> = (1..30).map(|k| (60 - 2 * k, if k > 15 { 75.0 } else { 40.0 })).collect();
    assert!(post(port, "damp", &table(&damp)).contains("\"readings\":29"));
    assert!(post(port, "fumes", &table(&[(1, 82.0)])).contains("\"readings\":1"));
    // Carbon monoxide reaches whoever listens.
    while events.recv_timeout(PATIENCE).unwrap().1 != "event: watch" {}
    let told = ask(&desk);
    let monoxide = &told["alerts"][0];
    assert_eq!(
        (&monoxide["kind"], &monoxide["grave"]),
        (&json!("carbon_monoxide"), &json!(true)),
        "{told:#}"
    );
    assert!(monoxide["text"].as_str().unwrap().contains("82") && monoxide["rate"].is_string(), "{monoxide}");
    let ran: Ran = child.wait_with_output().unwrap().into();
    let summary: Value =
        serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {} {}", ran.out, ran.err));
    // What the rules would have set stands in the summary and on the desk; a signal nobody measures is lost.
    let rules = &summary["data"]["rules"]["rules"];
    assert_eq!((&rules[0]["on"], &rules[0]["lost"]), (&json!(true), &json!(false)), "{summary:#}");
    assert_eq!((&rules[1]["on"], &rules[1]["lost"]), (&json!(false), &json!(true)), "{summary:#}");
    let told = ask(&desk);
    let text = told["rules"]["rules"][0]["text"].as_str().unwrap();
    assert!(text.contains("wet bath") && text.contains("100"), "{text}");
    assert!(told["rules"]["text"].as_str().unwrap().contains("nothing is commanded"));
    assert!(told["rules"]["devices"][0].as_str().unwrap().contains("100"), "{told:#}");
    // A restart goes on: the same rule is on since the same moment.
    std::thread::sleep(Duration::from_millis(10));
    let since = rules[0]["since_ms"].as_i64().unwrap();
    let again = watch_once(&job, &desk.store()).output().unwrap();
    let again: Ran = again.into();
    let again: Value = serde_json::from_str(&again.out).unwrap();
    assert_eq!(again["data"]["rules"]["rules"][0]["since_ms"].as_i64(), Some(since), "{again:#}");
}
