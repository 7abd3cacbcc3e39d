//! The demonstration house: from readings to report by one command.

use crate::run::{Folder, airwright, json, program};
use std::io::Read;
use std::process::Stdio;
use std::time::Duration;

/// Where each text stands in the output; all must be there, in this order.
fn in_order(text: &str, parts: &[&str]) {
    let mut at = 0;
    for part in parts {
        let found = text.get(at..).and_then(|rest| rest.find(part));
        at += found.unwrap_or_else(|| panic!("{part:?} is not there or not in its place:\n{text}"));
    }
}

#[test]
fn the_demo_says_what_it_found_in_order_and_writes_a_report() {
    let folder = Folder::new();
    let house = folder.path().join("la casa");
    let ran = airwright(&["demo"], &house);
    assert_eq!(ran.code, 0, "{}\n{}", ran.out, ran.err);
    in_order(
        &ran.out,
        &[
            "Safety",
            "gas water heater",
            "How tight the house is",
            "ACH50",
            "95",
            "The three best known",
            "The three least known",
            "Plans",
            "computed, not released",
            "released",
            "Readings worth taking next",
            "min",
            "report.html",
            "airwright new",
        ],
    );
    let report = folder.read("la casa/out/report.html");
    assert!(report.contains("<svg") && report.contains("north bedroom"));
    for fetched in ["src=\"http", "href=\"http", "@import", "url(http"] {
        assert!(!report.contains(fetched), "nothing is fetched: {fetched}");
    }
    assert!(folder.read("la casa/out/certificate.html").contains("ASTM E779"));
    // A second run would overwrite somebody's work.
    let again = airwright(&["demo"], &house);
    assert_eq!(again.code, 2);
    assert!(again.err.contains("not empty"), "{}", again.err);

    // The same numbers as data, SI, with intervals, and the gate's word in them.
    let (code, work) = json(&["work"], &house);
    assert_eq!(code, 0, "{}", work["diagnostics"]);
    assert_eq!(work["schema"], "airwright/1");
    let ach50 = &work["data"]["results"][0]["result"]["figures"]["ach50"]["total"];
    assert_eq!(ach50["unit"], "1/s");
    assert!(ach50["lo"].as_f64() < ach50["value"].as_f64() && ach50["value"].as_f64() < ach50["hi"].as_f64());
    let plans = work["data"]["plans"]["plans"].as_array().unwrap();
    let state = |name: &str| {
        let plan = plans.iter().find(|p| p["name"] == name).unwrap();
        (plan["gate"]["state"].as_str().unwrap().to_owned(), plan["best_chance"].clone())
    };
    for held in ["a", "b"] {
        let (gate, chance) = state(held);
        assert_eq!(gate, "held");
        assert!(chance.is_null(), "a held plan is never best");
    }
    assert_eq!(state("c").0, "released");
    let total: f64 = plans.iter().filter_map(|p| p["best_chance"].as_f64()).sum();
    assert!((total - 1.0).abs() < 1e-9, "{total}");
    assert!(work["data"]["plans"]["books_worst"].as_f64().unwrap() < 1e-9);
    assert!(work["data"]["fit"]["pareto_k"].as_f64().unwrap() < 0.7);

    // Every day of the year tells the same story as the days that stand for it.
    let (_, year) = json(&["plans", "--draws", "2", "--every-day"], &house);
    let days = |v: &serde_json::Value| v["data"]["plans"]["days"].as_u64().unwrap();
    assert!(days(&year) > 365 && days(&work) < 150);
    let co2 = |v: &serde_json::Value| v["data"]["plans"]["plans"][0]["values"][0]["value"].as_f64().unwrap();
    assert!((co2(&year) / co2(&work) - 1.0).abs() < 0.1, "{} {}", co2(&year), co2(&work));

    // Every document stands as it was: working a job changes nothing but `out`.
    assert!(folder.read("la casa/job.toml").contains("# The job: one house"));

    // The same house in Spanish and in SI.
    let job = folder.read("la casa/job.toml").replace("\"en\"", "\"es\"").replace("\"IP\"", "\"SI\"");
    folder.write("la casa/job.toml", job);
    let spanish = airwright(&["results"], &house);
    assert_eq!(spanish.code, 0);
    assert!(spanish.out.contains("m\u{b3}/h") && !spanish.out.contains("cfm"), "{}", spanish.out);
}

#[test]
fn each_step_alone_prints_json_with_the_same_envelope() {
    let folder = Folder::new();
    let house = folder.path().join("d");
    std::fs::create_dir(&house).unwrap();
    for (name, text) in [
        ("job.toml", include_str!("../../api/assets/starter/job.toml")),
        ("house.toml", include_str!("../../api/assets/demo/house.toml")),
    ] {
        folder.write(&format!("d/{name}"), text);
    }
    folder.write("d/visits/2026-01-15/visit.toml", include_str!("../../api/assets/starter/visit.toml"));
    for step in ["results", "fit", "next", "report"] {
        let (code, value) = json(&[step], &house);
        assert!(code < 2, "{step}: {value}");
        for key in ["schema", "version", "diagnostics", "data"] {
            assert!(!value[key].is_null(), "{step} {key}");
        }
    }
    let schema = program().arg("schema").output().unwrap();
    let schema: serde_json::Value = serde_json::from_slice(&schema.stdout).unwrap();
    assert!(
        schema["units"].as_array().unwrap().iter().any(|u| u["quantity"] == "air_flow" && u["si"] == "m3/s")
    );
    assert!(schema["request"].is_object());
}

#[cfg(unix)]
#[test]
fn ctrl_c_stops_the_work_and_leaves_no_half_file() {
    let folder = Folder::new();
    let house = folder.path().join("h");
    let mut child =
        program().arg("demo").arg(&house).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // The plans take seconds; by now the documents are written and the years run.
    std::thread::sleep(Duration::from_millis(1500));
    let interrupted = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(interrupted.unwrap().success());
    let status = child.wait().unwrap();
    let mut err = String::new();
    child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    assert_eq!(status.code(), Some(2), "{err}");
    assert!(err.contains("stopped"), "{err}");
    assert!(!house.join("out").exists());
    let left: Vec<_> = walk(&house).into_iter().filter(|p| p.ends_with(".part")).collect();
    assert!(left.is_empty(), "{left:?}");
}

#[cfg(unix)]
fn walk(folder: &std::path::Path) -> Vec<String> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(walk(&path));
        } else {
            all.push(path.display().to_string());
        }
    }
    all
}
