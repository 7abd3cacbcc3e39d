//! Who may use whom, under which licence, and how often.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Crates of the workspace and those of it that each may use: data flows one way.
const MAY_USE: &[(&str, &[&str])] = &[
    ("airwright-engine", &[]),
    ("airwright-report", &["airwright-engine"]),
    ("airwright-api", &["airwright-engine", "airwright-report"]),
    ("airwright", &["airwright-engine", "airwright-report", "airwright-api"]),
    ("airwright-validate", &["airwright-engine"]),
];

const LICENCES: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unicode-3.0",
    "MPL-2.0",
    "CC0-1.0",
    "Unlicense",
];

/// Crates that may stand twice in the tree, with the reason.
const TWICE: &[(&str, &str)] = &[
    ("base64", "PDF and its pictures ask for an older one"),
    ("bit-set", "an older one reads highlighting rules of the typesetter; feature `pdf` alone"),
    (
        "bit-vec",
        "goes with bit-set, and the certificates that are made ask for a newer one than the property tests",
    ),
    ("cpufeatures", "small; the hash and the random numbers ask for different ones"),
    ("fearless_simd", "decoders of the PDF writer have half moved; feature `pdf` alone"),
    ("getrandom", "ring asks for an older one; others stand in the lock file for systems we do not build on"),
    ("glam", "optional conversions of nalgebra, named in the lock file and never built"),
    ("hayro-ccitt", "as fearless_simd"),
    ("miniz_oxide", "PNG of the PDF writer asks for an older one; feature `pdf` alone"),
    ("nom", "the mail client has moved to the next one, the conditions of rules have not"),
    ("quick-xml", "citations of the typesetter ask for an older one; feature `pdf` alone"),
    ("r-efi", "goes with getrandom; named in the lock file and never built"),
    (
        "rand",
        "optional WebSocket of the MQTT clients, named in the lock file and never built; sample text of the typesetter",
    ),
    ("rand_chacha", "goes with rand"),
    ("rand_core", "goes with rand"),
    (
        "roxmltree",
        "a reader of font settings, named and never called, asks for an older one; feature `pdf` alone",
    ),
    ("serde_spanned", "goes with toml"),
    ("syn", "runs at build time only; half of the derive macros have moved to the next one"),
    ("synstructure", "goes with a reader of certificates, named in the lock file and never built"),
    ("toml", "the typesetter reads data in an older one; feature `pdf` alone"),
    ("toml_datetime", "goes with toml"),
    ("toml_edit", "goes with toml"),
    ("vello_common", "as fearless_simd"),
    ("windows-sys", "ring asks for an older one; Windows only"),
    ("winnow", "goes with toml"),
];

/// What `cargo metadata` says of every crate in the lock file.
fn packages() -> Vec<Value> {
    let output = std::process::Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--all-features"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    metadata["packages"].as_array().unwrap().clone()
}

fn text<'a>(package: &'a Value, key: &str) -> &'a str {
    package[key].as_str().unwrap_or("")
}

/// Whether a licence expression can be kept by keeping allowed licences alone.
fn allowed(expression: &str) -> bool {
    let plain = expression.replace(['(', ')'], "").replace('/', " OR ");
    // What stands behind WITH permits more and asks for nothing (SPDX 2.3, annex D).
    let bare = |choice: &str| choice.split(" WITH ").next().unwrap_or_default().trim().to_owned();
    plain
        .split(" AND ")
        .all(|part| part.split(" OR ").any(|choice| LICENCES.contains(&bare(choice).as_str())))
}

#[test]
fn crates_use_only_what_stands_before_them() {
    let packages = packages();
    let own: Vec<&Value> = packages.iter().filter(|p| p["source"].is_null()).collect();
    let names: BTreeSet<&str> = own.iter().map(|p| text(p, "name")).collect();
    assert_eq!(names, MAY_USE.iter().map(|(name, _)| *name).collect());
    for package in own {
        let (name, may) = MAY_USE.iter().find(|(name, _)| *name == text(package, "name")).unwrap();
        for used in package["dependencies"].as_array().unwrap().iter().map(|d| text(d, "name")) {
            assert!(!names.contains(used) || may.contains(&used), "{name} must not use {used}");
        }
    }
}

#[test]
fn every_licence_is_one_we_can_keep() {
    assert!(allowed("(MIT OR GPL-3.0) AND Unicode-3.0") && !allowed("MIT AND GPL-3.0") && !allowed(""));
    assert!(allowed("Apache-2.0 WITH LLVM-exception") && !allowed("GPL-2.0 WITH Classpath-exception-2.0"));
    let refused: Vec<String> = packages()
        .iter()
        .filter(|p| !allowed(text(p, "license")))
        .map(|p| format!("{} {}: `{}`", text(p, "name"), text(p, "version"), text(p, "license")))
        .collect();
    assert!(refused.is_empty(), "{refused:?}");
}

#[test]
fn one_version_of_each_crate() {
    let mut versions: BTreeMap<String, usize> = BTreeMap::new();
    for package in packages() {
        *versions.entry(text(&package, "name").to_owned()).or_default() += 1;
    }
    let twice: Vec<&str> = versions.iter().filter(|(_, n)| **n > 1).map(|(name, _)| name.as_str()).collect();
    // Both ways: a crate that stands once again leaves the list.
    assert_eq!(twice, TWICE.iter().map(|(name, _)| *name).collect::<Vec<_>>());
}

/// Every direct dependency has its line, with the licence it has.
#[test]
fn dependencies_are_accounted_for() {
    let account = include_str!("../../docs/DEPENDENCIES.md");
    let packages = packages();
    let licence = |name: &str| packages.iter().find(|p| text(p, "name") == name).map(|p| text(p, "license"));
    let mut direct = BTreeSet::new();
    for package in packages.iter().filter(|p| p["source"].is_null()) {
        let used = package["dependencies"].as_array().unwrap().iter().filter(|d| !d["source"].is_null());
        direct.extend(used.map(|d| text(d, "name")));
    }
    let mut told = BTreeSet::new();
    for line in account.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let name = cells[1].trim_matches('`');
        assert_eq!(Some(cells[4]), licence(name), "{name}");
        told.insert(name);
    }
    assert_eq!(told, direct);
}
