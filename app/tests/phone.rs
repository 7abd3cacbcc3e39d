//! The phone's pages and questions on the command line.

use crate::run::{Folder, Ran, airwright, program};
use std::io::Write;
use std::process::Stdio;

#[test]
fn a_folder_of_pages_or_one_line_that_says_how_to_make_them() {
    let folder = Folder::new();
    let dir = folder.path().join("p\u{e1}ginas");
    let made = airwright(&["phone"], &dir);
    if made.code == 0 {
        assert!(folder.read("p\u{e1}ginas/index.html").contains("<html"));
        assert!(folder.read("p\u{e1}ginas/sw.js").len() > 100);
        let wasm = std::fs::read_dir(dir.join("assets")).unwrap();
        assert!(wasm.flatten().any(|f| f.file_name().to_string_lossy().ends_with(".wasm")));
        // A file of an older version goes, one of somebody else stops everything.
        let list = dir.join("airwright-pages.txt");
        let listed = std::fs::read_to_string(&list).unwrap();
        std::fs::write(&list, format!("{listed}assets/old-1.js\n")).unwrap();
        std::fs::write(dir.join("assets/old-1.js"), "old").unwrap();
        std::fs::write(dir.join("index.html"), "old").unwrap();
        let again = airwright(&["phone"], &dir);
        assert_eq!(again.code, 0, "{}", again.err);
        assert!(!dir.join("assets/old-1.js").exists());
        assert!(folder.read("p\u{e1}ginas/index.html").contains("<html"));
        assert_eq!(std::fs::read_to_string(&list).unwrap(), listed);
        std::fs::write(dir.join("assets/notes.txt"), "mine").unwrap();
        std::fs::write(dir.join("index.html"), "old").unwrap();
        let other = airwright(&["phone"], &dir);
        assert!(other.code == 2 && other.err.contains("assets/notes.txt"), "{}", other.err);
        assert_eq!(folder.read("p\u{e1}ginas/index.html"), "old", "nothing of it was touched");
        assert_eq!(std::fs::read_to_string(dir.join("assets/notes.txt")).unwrap(), "mine");
    } else {
        assert_eq!(made.code, 2);
        assert!(made.err.contains("./web/build") && made.err.lines().count() == 1, "{}", made.err);
        assert!(!dir.exists());
        let served: Ran = program().args(["serve", "--port", "0"]).output().unwrap().into();
        assert_eq!((served.code, served.err), (2, made.err));
    }
}

#[test]
fn questions_come_one_a_line() {
    let mut child =
        program().args(["dev", "ask"]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let mut input = child.stdin.take().unwrap();
    input.write_all(b"{\"ask\":\"phone-profiles\"}\n\n{\"ask\":\"no\"}\n").unwrap();
    drop(input);
    let out = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines.len(), 2);
    assert!(lines[0].contains("iso-9972") && lines[1].contains("D101"), "{out}");
    // Hidden: it is for tests.
    let help: Ran = program().arg("--help").output().unwrap().into();
    assert!(help.out.contains("serve") && !help.out.contains("dev "), "{}", help.out);
}
