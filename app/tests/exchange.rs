//! A job as one file, in other programs' forms, and the practice house, as their user runs them.

use crate::run::{Folder, Ran, program};
use std::path::Path;

fn ran(args: &[&str]) -> Ran {
    program().args(args).output().unwrap().into()
}

fn demo(folder: &Folder) -> String {
    for file in api::demo().unwrap() {
        folder.write(&format!("h/{}", file.name), file.text);
    }
    // What is no text, and what is no part of a job.
    folder.write("h/attachments/photo.bin", (0..=255).cycle().take(4000).collect::<Vec<u8>>());
    folder.write("h/.draft", "hidden");
    path(&folder.path().join("h"))
}

fn path(p: &Path) -> String {
    p.to_str().unwrap().to_owned()
}

#[test]
fn a_job_is_packed_and_unpacked_byte_for_byte() {
    let folder = Folder::new();
    let job = demo(&folder);
    let (zip, out) = (path(&folder.path().join("a b.zip")), path(&folder.path().join("out \u{f1}")));
    let packed = ran(&["pack", &job, &zip]);
    assert_eq!(packed.code, 0, "{}", packed.err);
    assert!(packed.err.contains(".draft"), "{}", packed.err);
    assert_eq!(ran(&["pack", &job, &zip]).code, 2, "a pack is not written over");
    let unpacked = ran(&["unpack", &zip, &out]);
    assert_eq!(unpacked.code, 0, "{}", unpacked.err);
    for name in
        ["job.toml", "house.toml", "visits/2026-11-12/visit.toml", "weather.csv", "attachments/photo.bin"]
    {
        let read = |at: &str| std::fs::read(Path::new(at).join(name)).unwrap();
        assert_eq!(read(&job), read(&out), "{name}");
    }
    assert!(!Path::new(&out).join(".draft").exists() && !Path::new(&out).join(".pack.json").exists());
    assert_eq!(ran(&["unpack", &zip, &out]).code, 2, "a folder that is not empty stays as it is");
    // A copy that broke off: what is whole is taken out, what is lost is named, nothing is called whole.
    let bytes = std::fs::read(&zip).unwrap();
    std::fs::write(&zip, &bytes[..bytes.len() / 2]).unwrap();
    let half = path(&folder.path().join("half"));
    let broken = ran(&["unpack", &zip, &half]);
    assert_eq!(broken.code, 1, "{}", broken.err);
    assert!(broken.err.contains("weather.csv") && broken.err.contains("O145"), "{}", broken.err);
    assert!(
        Path::new(&half).join("weather.csv.damaged").exists()
            && !Path::new(&half).join("weather.csv").exists()
    );
    std::fs::write(&zip, b"no pack at all").unwrap();
    assert_eq!(ran(&["unpack", &zip, &path(&folder.path().join("none"))]).code, 2);
    assert!(!folder.path().join("none").exists());
}

#[test]
fn a_job_goes_out_in_every_form() {
    let folder = Folder::new();
    let job = demo(&folder);
    for (form, file) in [
        ("readings-csv", "readings.csv"),
        ("senml", "readings.senml.json"),
        ("results", "results.json"),
        ("hpxml", "house.xml"),
    ] {
        let said = ran(&["export", &job, "--as", form]);
        assert_eq!(said.code, 0, "{form}: {}", said.err);
        assert!(folder.read(&format!("h/out/export/{file}")).len() > 200, "{form}");
    }
    assert_eq!(ran(&["export", &job, "--as", "spreadsheet"]).code, 2);
    // The published schema of HPXML, where its user has it.
    match std::env::var_os("HPXML_XSD") {
        Some(schema) => {
            let xml = path(&folder.path().join("h/out/export/house.xml"));
            let lint = std::process::Command::new("xmllint")
                .args(["--noout", "--schema"])
                .arg(schema)
                .arg(&xml)
                .output();
            let lint: Ran = lint.unwrap().into();
            assert_eq!(lint.code, 0, "{}", lint.err);
        }
        None => println!("NOT RUN: HPXML_XSD names no schema"),
    }
}

#[test]
fn a_practice_house_is_visited_answered_and_revealed() {
    let folder = Folder::new();
    let dir = path(&folder.path().join("v"));
    let list = ran(&["practice", "list"]);
    assert_eq!(list.out, "mill\norchard\nharbour\n");
    let new = ran(&["practice", "new", &dir, "--house", "harbour", "--seed", "3", "--minutes", "60"]);
    assert_eq!(new.code, 0, "{}", new.err);
    assert!(new.out.contains("60\u{a0}min"), "{}", new.out);
    assert_eq!(ran(&["practice", "new", &dir]).code, 2);
    let take = |reading: &str| ran(&["practice", "take", &dir, reading]);
    assert_eq!(take("ambient CO").code, 0);
    let garage = take("garage compared with outdoors; air_handler = on");
    assert!(garage.code == 0 && garage.out.contains("Pa"), "{}{}", garage.out, garage.err);
    // The usual commands work on the folder.
    assert!(ran(&["next", &dir]).code < 2 && ran(&["fit", &dir]).code < 2);
    let answer = folder.path().join("d.toml");
    std::fs::write(
        &answer,
        "format = 1\ncauses = ['return_leaks']\n[[change]]\ndo = 'seal ducts'\nremoves = '70 %'\n",
    )
    .unwrap();
    assert_eq!(ran(&["practice", "answer", &dir, "--file", &path(&answer)]).code, 0);
    let told = ran(&["practice", "reveal", &dir]);
    assert_eq!(told.code, 0, "{}", told.err);
    for part in ["found: the return duct", "missed: pipes", "never looked for:", "--seed 3"] {
        assert!(told.out.contains(part), "{part}: {}", told.out);
    }
    assert!(folder.read("v/out/practice/true-house.toml").contains("return_leak = \"15 to 20 %\""));
    // A teacher's own house, by its file.
    let own = api::practice::READY[0].1.replace("The house by the mill", "Another house");
    folder.write("own.toml", own);
    let other = path(&folder.path().join("w"));
    let from = path(&folder.path().join("own.toml"));
    let new = ran(&["practice", "new", &other, "--from", &from, "--seed", "1", "--json"]);
    assert_eq!(new.code, 0, "{}", new.err);
    let said: serde_json::Value = serde_json::from_str(&new.out).unwrap();
    assert_eq!(said["data"]["practice"]["label"], "Another house");
}

#[test]
fn a_practice_house_speaks_the_language_that_is_asked_for() {
    let folder = Folder::new();
    let dir = path(&folder.path().join("v"));
    let new = ran(&["practice", "new", &dir, "--house", "harbour", "--seed", "3", "--language", "es"]);
    assert_eq!(new.code, 0, "{}", new.err);
    assert!(new.out.contains("Tiene ") && folder.read("v/job.toml").contains("\"es\""), "{}", new.out);
    let take = |more: &[&str]| {
        let args = [&["practice", "take", &dir, "ambient CO"], more].concat();
        let told = ran(&args);
        assert_eq!(told.code, 0, "{}", told.err);
        told.out
    };
    assert!(take(&[]).contains("Monóxido de carbono"));
    assert!(take(&["--language", "en"]).contains("Carbon monoxide"));
    let none = ran(&["practice", "list", "--language", "xx"]);
    assert!(none.code == 2 && none.err.contains("en, es"), "{}", none.err);
}
