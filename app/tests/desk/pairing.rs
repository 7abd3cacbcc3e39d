//! Who is let in, and who is not.

use super::client::{Serving, folder};
use crate::run::program;
use serde_json::json;
use std::time::Duration;

fn try_code(desk: &Serving, code: &str) -> super::client::Reply {
    desk.ask("POST /desk/join", &[], Some(&json!({ "code": code, "name": "phone" }).to_string()))
}

#[test]
fn a_code_lets_one_device_in_and_its_token_alone_opens() {
    let mut desk = Serving::new(folder("maple"), &[]);
    let code = desk.code();
    for line in ["GET /desk/jobs", "GET /desk", "GET /desk/nowhere", "DELETE /desk/jobs", "POST /desk/code"] {
        let reply = desk.ask(line, &[], line.starts_with("POST").then_some("{}"));
        assert_eq!((reply.status, reply.code().as_str()), (401, "K152"), "{line}");
    }
    let token = desk.join(&code.to_lowercase(), "Pat's phone");
    assert_eq!(token.len(), 64);
    let jobs = desk.as_device(&token, "GET /desk/jobs", None);
    assert_eq!((jobs.status, jobs.json()["jobs"][0]["name"].as_str()), (200, Some("maple")));
    assert!(jobs.head.contains("cache-control: no-store") && jobs.head.contains("nosniff"), "{}", jobs.head);
    // The code is used up.
    assert_eq!(try_code(&desk, &code).code(), "K150");
    // Another one from a joined device, and one from the terminal.
    let made = desk.as_device(&token, "POST /desk/code", Some(&json!({}))).json();
    let second = desk.join(made["code"].as_str().unwrap(), "tablet");
    let third = desk.another();
    let third = desk.join(&third, "tablet");
    assert!(second != token && third != second);
    let known = desk.as_device(&second, "GET /desk/devices", None).json();
    assert_eq!(known["devices"].as_array().unwrap().len(), 3);
    assert_eq!(known["own"], 2);
    // Neither the token nor the code is in the store.
    for name in ["desk.store", "desk.store-wal"] {
        let bytes = std::fs::read(desk.folder.path().join(name)).unwrap_or_default();
        for secret in [token.as_bytes(), code.as_bytes(), code.replace('-', "").as_bytes()] {
            assert!(!bytes.windows(secret.len()).any(|w| w == secret), "{name}");
        }
    }

    // Forged ones, and the right one where it does not belong.
    let other: String = token.chars().rev().collect();
    let upper = token.to_uppercase();
    let headers: Vec<(&str, String)> = vec![
        ("Authorization", format!("Bearer {other}")),
        ("Authorization", format!("Bearer {}", "0".repeat(64))),
        ("Authorization", format!("Bearer {upper}")),
        ("Authorization", format!("bearer {token}")),
        ("Authorization", format!("Bearer  {token}")),
        ("Authorization", format!("Bearer {}", token.chars().skip(1).collect::<String>())),
        ("Authorization", format!("Basic {token}")),
        ("Authorization", token.clone()),
        ("Authorization", "Bearer ".to_owned()),
        ("Authorization", "Bearer ' OR 1=1 --".to_owned()),
        ("Cookie", format!("token={token}")),
        ("X-Token", token.clone()),
    ];
    for (name, value) in &headers {
        let reply = desk.ask("GET /desk/jobs", &[(name, value)], None);
        assert_eq!(reply.status, 401, "{name}: {value}");
    }
    assert_eq!(desk.ask(&format!("GET /desk/jobs?token={token}"), &[], None).status, 401);
    let both = [("Authorization", format!("Bearer {token}")), ("Authorization", format!("Bearer {other}"))];
    let both: Vec<_> = both.iter().map(|(n, v)| (*n, v.as_str())).collect();
    assert_eq!(desk.ask("GET /desk/jobs", &both, None).status, 401);

    // Leaving, and being forgotten by name at the desk: every device of that name.
    assert_eq!(desk.as_device(&token, "DELETE /desk/device", None).status, 200);
    assert_eq!(desk.as_device(&token, "GET /desk/jobs", None).status, 401);
    let forgot = program().arg("store").arg(desk.store()).args(["forget", "tablet"]).output().unwrap();
    assert!(forgot.status.success(), "{forgot:?}");
    assert_eq!(desk.as_device(&second, "GET /desk/jobs", None).status, 401);
    assert_eq!(desk.as_device(&third, "GET /desk/jobs", None).status, 401);
    let listed = program().arg("store").arg(desk.store()).arg("devices").output().unwrap();
    assert!(String::from_utf8_lossy(&listed.stdout).contains("no device is joined"), "{listed:?}");
    let again = program().arg("store").arg(desk.store()).args(["forget", "tablet"]).output().unwrap();
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("K160"));
}

#[test]
fn whoever_tries_codes_waits() {
    let desk = Serving::new(folder("maple"), &[]);
    let code = desk.code();
    for _ in 0..5 {
        let reply = try_code(&desk, "ZZZZ-ZZZZ");
        assert_eq!((reply.status, reply.code().as_str()), (403, "K150"));
    }
    let reply = try_code(&desk, &code);
    assert_eq!((reply.status, reply.code().as_str()), (429, "K151"));
    let after: u64 = reply
        .head
        .lines()
        .find_map(|l| l.strip_prefix("retry-after: "))
        .and_then(|s| s.trim().parse().ok())
        .unwrap();
    assert!((1..=13).contains(&after));
    std::thread::sleep(Duration::from_secs(after));
    assert_eq!(try_code(&desk, &code).status, 200);
}

#[test]
fn a_desk_answers_in_the_language_of_the_page_and_ends_in_peace() {
    let mut desk = Serving::new(folder("maple"), &["--log"]);
    let reply = desk.ask("GET /desk/jobs", &[("Accept-Language", "es-MX,es;q=0.9")], None);
    assert_eq!(reply.json()["error"]["text"], "este dispositivo no está unido al escritorio");
    let pid = desk.child.id().to_string();
    let ended = std::process::Command::new("kill").arg(&pid).status().unwrap();
    assert!(ended.success());
    assert_eq!(desk.child.wait().unwrap().code(), Some(0));
}

#[test]
fn only_addresses_of_the_local_network_are_served() {
    let folder = folder("maple");
    let store = folder.path().join("desk.store");
    for address in ["8.8.8.8", "0.0.0.0", "2001:db8::1", "::"] {
        let ran =
            program().arg("serve").arg("--store").arg(&store).args(["--lan", address]).output().unwrap();
        assert_eq!(ran.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&ran.stderr).contains("K161"), "{address}: {ran:?}");
    }
    let none = program().arg("serve").arg("--store").arg(folder.path().join("none.store")).output().unwrap();
    assert_eq!(none.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&none.stderr).contains("K102"));
}
