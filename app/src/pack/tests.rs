//! Packs that are whole, damaged, and made to do harm.

use super::*;
use crate::store::Bytes;
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn job() -> Vec<Bytes> {
    let file = |path: &str, bytes: &[u8]| Bytes { path: path.to_owned(), bytes: bytes.to_vec() };
    // A series that does not shrink to nothing.
    let mut state = 1_u32;
    let mut series = String::from("time s,co2 ppm\r\n");
    for i in 0..4000 {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        series += &format!("{i},{}\r\n", 400 + (state >> 22));
    }
    vec![
        file("attachments/photo.bin", &(0..=255).cycle().take(3000).collect::<Vec<u8>>()),
        file("job.toml", b"format = 1\nname = \"X\"\n"),
        file("visits/2026-11-12/ba\u{f1}o.csv", series.as_bytes()),
        file("visits/2026-11-12/visit.toml", b"\xef\xbb\xbfformat = 1\r\n"),
    ]
}

fn packed(files: &[Bytes]) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    pack(files, &mut out).unwrap();
    out.into_inner()
}

fn map(files: &[Bytes]) -> BTreeMap<&str, &[u8]> {
    files.iter().map(|f| (f.path.as_str(), &f.bytes[..])).collect()
}

/// A ZIP of any entries, as somebody else might make it.
fn zip(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in entries {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn swap(bytes: &mut [u8], from: &[u8], to: &[u8]) -> usize {
    assert_eq!(from.len(), to.len());
    let places: Vec<usize> =
        (0..=bytes.len() - from.len()).filter(|i| &bytes[*i..*i + from.len()] == from).collect();
    for at in &places {
        bytes[*at..*at + to.len()].copy_from_slice(to);
    }
    places.len()
}

#[test]
fn what_goes_in_comes_out_and_the_same_job_gives_the_same_bytes() {
    let files = job();
    let bytes = packed(&files);
    assert_eq!(bytes, packed(&files));
    let taken = unpack(&bytes);
    assert_eq!(taken.files, files);
    assert!(taken.listed && !taken.searched && taken.lost.is_empty() && taken.refused.is_empty());
}

/// A copy that broke off anywhere: what was written whole before is saved, the rest is named.
#[test]
fn a_pack_that_broke_off_gives_what_it_has_and_names_what_it_lost() {
    let files = job();
    let bytes = packed(&files);
    let mut least = files.len();
    for cut in (0..bytes.len()).step_by(211) {
        let taken = unpack(&bytes[..cut]);
        let lost: Vec<&str> = taken.lost.iter().map(|l| l.path.as_str()).collect();
        let whole = map(&files);
        for f in &taken.files {
            match f.path.strip_suffix(".damaged") {
                None if taken.listed => assert_eq!(whole[f.path.as_str()], f.bytes),
                None => assert!(whole.get(f.path.as_str()).is_none_or(|w| *w == f.bytes)),
                // What inflates before the end is the beginning of the file.
                Some(name) if name != LIST => assert!(whole[name].starts_with(&f.bytes), "{cut} {name}"),
                Some(_) => {}
            }
        }
        if taken.listed {
            let saved = taken.files.iter().filter(|f| !f.path.ends_with(".damaged")).count();
            assert_eq!(saved + lost.len(), files.len(), "{cut}: {lost:?}");
            least = least.min(saved);
        }
    }
    assert_eq!(least, 0);
    // Without its last twenty bytes there is no table of contents, and nothing is lost.
    let taken = unpack(&bytes[..bytes.len() - 20]);
    assert!(taken.searched && taken.lost.is_empty());
    assert_eq!(taken.files, files);
}

/// One wrong bit anywhere: never a file that is not what was packed, and at most one file lost.
#[test]
fn a_flipped_bit_costs_one_file_at_most() {
    let files = job();
    let good = packed(&files);
    let mut costs = 0;
    for at in (0..good.len()).step_by(37) {
        let mut bytes = good.clone();
        bytes[at] ^= 1 << (at % 8);
        let taken = unpack(&bytes);
        let whole = map(&files);
        let saved: Vec<&Bytes> = taken.files.iter().filter(|f| !f.path.ends_with(".damaged")).collect();
        if taken.listed {
            assert!(saved.iter().all(|f| whole[f.path.as_str()] == f.bytes), "byte {at}");
        }
        assert!(saved.len() + 1 >= files.len(), "byte {at}: {:?}", taken.lost);
        costs += usize::from(saved.len() < files.len());
    }
    assert!(costs > 10);
}

#[test]
fn names_that_lead_out_links_and_doubles_are_refused() {
    let bad = [
        "../up.toml",
        "/etc/x.toml",
        "a/../../b.toml",
        "c:\\x.toml",
        "C:/x.toml",
        "a\\b.toml",
        "aux.toml",
        "a//b.toml",
        ".hidden",
        "x. ",
        "com1",
    ];
    for name in bad {
        // The writer may tidy a name: a plain one of the same length is swapped in the bytes.
        let plain = "q".repeat(name.len());
        let mut bytes = zip(&[(&plain, b"harm"), ("job.toml", b"format = 1\n")]);
        assert_eq!(swap(&mut bytes, plain.as_bytes(), name.as_bytes()), 2, "{name}");
        let taken = unpack(&bytes);
        assert_eq!(map(&taken.files).keys().copied().collect::<Vec<_>>(), ["job.toml"], "{name}");
        assert!(taken.refused.iter().any(|r| r.why == Trouble::Name), "{name}: {taken:?}");
    }
    let mut link = ZipWriter::new(Cursor::new(Vec::new()));
    link.add_symlink("link.toml", "/etc/passwd", SimpleFileOptions::default()).unwrap();
    link.start_file("job.toml", SimpleFileOptions::default()).unwrap();
    let taken = unpack(&link.finish().unwrap().into_inner());
    assert_eq!((taken.files.len(), taken.refused[0].why), (1, Trouble::Link));
    // The same name in other letters, and the same name again.
    let taken = unpack(&zip(&[("job.toml", b"1"), ("JOB.toml", b"2")]));
    assert_eq!((taken.files.len(), taken.refused[0].why), (1, Trouble::Twice));
    let mut bytes = zip(&[("job.toml", b"1"), ("qob.toml", b"2")]);
    assert_eq!(swap(&mut bytes, b"qob.toml", b"job.toml"), 2);
    let taken = unpack(&bytes);
    assert!(taken.files.len() == 1 && taken.refused.iter().any(|r| r.why == Trouble::Twice), "{taken:?}");
}

/// A tampered file whose own sum was made right again is found by the list.
#[test]
fn a_file_that_was_changed_is_found_by_its_checksum() {
    let files = job();
    let list = List {
        format: FORMAT + 1,
        files: files
            .iter()
            .map(|f| Listed { path: f.path.clone(), size: 0, sha256: sha256(&f.bytes) })
            .collect(),
    };
    let text = serde_json::to_vec(&list).unwrap();
    let taken =
        unpack(&zip(&[(LIST, &text), ("job.toml", b"format = 1\nname = \"Y\"\n"), ("more.toml", b"x")]));
    assert_eq!(taken.newer, Some(FORMAT + 1));
    let why: BTreeMap<&str, Trouble> = taken.lost.iter().map(|l| (l.path.as_str(), l.why)).collect();
    assert_eq!(why["job.toml"], Trouble::Changed);
    assert_eq!(why["more.toml"], Trouble::Unlisted);
    assert_eq!(why["visits/2026-11-12/visit.toml"], Trouble::Missing);
    assert!(taken.files.iter().all(|f| f.path.ends_with(".damaged")));
}

#[test]
fn what_is_no_pack_gives_nothing() {
    for bytes in [&b""[..], b"PK", b"PK\x03\x04", b"format = 1\n", &[0; 4096]] {
        assert_eq!(unpack(bytes).files, []);
    }
}
