//! Guards: no reference value without its source, none unused, none that rests on memory alone.

use std::collections::BTreeMap;
use std::path::Path;
use validate::compare::ALL;
use validate::source::{Source, Status, data_folder};

/// Folders of check values. A file beside them, such as the textbook's order of readings, checks nothing.
fn folders() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(data_folder())
        .unwrap()
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().unwrap().is_dir())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn every_folder_says_where_it_comes_from() {
    for name in folders() {
        // A missing or unknown field fails to parse.
        let source = Source::load(&name).unwrap();
        assert_eq!(source.id, name);
        let texts = [&source.citation, &source.edition, &source.how, &source.units];
        for text in texts.into_iter().chain([&source.tolerance_reason, &source.licence]) {
            assert!(text.trim().len() >= 3, "{name}: an empty field");
        }
        assert!(source.tolerance > 0.0 && !source.subjects.is_empty(), "{name}");
        for own in source.exception.values() {
            assert!(own.tolerance > 0.0 && own.reason.len() > 3, "{name}: an exception without reason");
        }
        let files = std::fs::read_dir(data_folder().join(&name)).unwrap().count();
        assert!(files >= 2, "{name}: no data beside SOURCE.toml");
    }
}

#[test]
fn every_source_is_used_and_every_use_has_its_source() {
    let mut used: Vec<&str> = ALL.iter().map(|(id, _)| *id).collect();
    used.sort_unstable();
    assert_eq!(folders(), used);
}

#[test]
fn nothing_rests_on_memory_alone() {
    let mut support: BTreeMap<String, Vec<(String, Status)>> = BTreeMap::new();
    for name in folders() {
        let source = Source::load(&name).unwrap();
        for subject in source.subjects {
            support.entry(subject).or_default().push((name.clone(), source.status));
        }
    }
    for (subject, sources) in support {
        assert!(sources.iter().any(|(_, s)| *s != Status::Memory), "{subject} rests on memory: {sources:?}");
    }
}

/// With one test binary a crate, a file that `main.rs` does not name is never built.
#[test]
fn every_file_of_tests_is_part_of_its_binary() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut files = 0;
    for main in ["engine", "report", "api", "app", "validate"].map(|c| root.join(c).join("tests/main.rs")) {
        let Ok(text) = std::fs::read_to_string(&main) else { continue };
        for entry in std::fs::read_dir(main.parent().unwrap()).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
            let module = path.extension().is_some_and(|e| e == "rs") || path.join("mod.rs").exists();
            if name == "main" || !module {
                continue;
            }
            files += 1;
            assert!(text.contains(&format!("mod {name};")), "{} is never built", path.display());
        }
    }
    assert!(files > 8, "{files}");
}
