//! `airwright import`: shown, asked, approved, kept.

use super::run::{Folder, program};
use std::process::Output;

const JOB: &str = "format = 1\nname = \"j\"\nunits = \"SI\"\n";
const VISIT: &str = "format = 1\ndate = 2026-11-12\n";

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("job/job.toml", JOB);
    folder.write("job/visits/2026-11-12/visit.toml", VISIT);
    folder
}

fn import(folder: &Folder, args: &[&str]) -> (i32, String, String) {
    let mut command = program();
    command.current_dir(folder.path()).args(["import", "job"]).args(args);
    let Output { status, stdout, stderr } = command.output().unwrap();
    let text = |b: Vec<u8>| String::from_utf8(b).unwrap();
    (status.code().unwrap(), text(stdout), text(stderr))
}

fn files(folder: &Folder) -> Vec<String> {
    let mut found = Vec::new();
    let mut folders = vec![folder.path().join("job")];
    while let Some(inner) = folders.pop() {
        for entry in std::fs::read_dir(inner).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder.path().join("job")).unwrap();
                found.push(name.to_string_lossy().into_owned());
            }
        }
    }
    found.sort();
    found
}

#[test]
fn a_record_in_latin_letters_is_shown_asked_and_kept_verbatim() {
    let folder = folder();
    let text = "Fecha;CO2 (ppm);Temperatura (\u{b0}C)\n03/04/2026 10:00;749;21,5\n03/04/2026 10:01;750;21,6\nmal;1;2\n";
    let latin: Vec<u8> = text.chars().map(|c| c as u8).collect();
    folder.write("hall.csv", &latin);
    let (code, out, err) = import(&folder, &["hall.csv"]);
    assert_eq!((code, files(&folder).len()), (1, 2), "{out}{err}");
    assert!(out.contains("--answer \"date-order=d/m/y\"") && out.contains("--answer \"clock=UTC\""), "{out}");
    // Approving does not answer.
    let (code, _, err) = import(&folder, &["hall.csv", "--approve"]);
    assert!(code == 2 && err.contains("I129"), "{err}");
    let answers = ["hall.csv", "--answer", "date-order=d/m/y", "--answer", "clock=UTC", "--approve"];
    let (code, out, err) = import(&folder, &[&answers[..], &["--dry-run"]].concat());
    assert_eq!((code, files(&folder).len()), (1, 2), "{out}{err}");
    let (code, out, err) = import(&folder, &answers);
    assert!(code == 1 && err.contains("I103") && out.contains("2 rows"), "{out}{err}");
    let found = files(&folder);
    assert_eq!(found.len(), 5, "{found:?}");
    assert_eq!(std::fs::read(folder.path().join("job").join(&found[0])).unwrap(), latin);
    let series = folder.read("job/visits/2026-11-12/hall.csv");
    assert!(
        series.ends_with(
            "time,co2 ppm,temperature degC\n2026-04-03 10:00:00,749,21.5\n2026-04-03 10:01:00,750,21.6\n"
        ),
        "{series}"
    );
    // Nothing is overwritten.
    let (code, _, err) = import(&folder, &["hall.csv"]);
    assert!(code == 2 && err.contains("I130"), "{err}");
    assert_eq!(files(&folder), found);
    // The originals disturb no other command, whatever letters they hold.
    let output = program().arg("results").arg(folder.path().join("job")).output().unwrap();
    assert!(!String::from_utf8_lossy(&output.stderr).contains("UTF-8"));
}

#[test]
fn a_unit_that_lies_leaves_nothing_behind() {
    let folder = folder();
    folder.write("job/intake/hall.toml", "format = 1\nkind = \"table\"\n[time]\nfrom = \"time\"\nwritten = \"y-m-d\"\nclock = \"UTC\"\n[column.co2]\nfrom = \"c\"\nquantity = \"gas_fraction\"\nunit = \"ppm\"\n");
    let rows: String = (10..59).map(|m| format!("2026-11-12 22:{m},0.06\n")).collect();
    folder.write("hall.csv", format!("time,c\n{rows}"));
    let before = files(&folder);
    let (code, _, err) = import(&folder, &["hall.csv"]);
    assert!(code == 2 && err.contains("vol %"), "{err}");
    assert_eq!(files(&folder), before);
}

#[test]
fn a_folder_of_loggers_is_answered_as_json() {
    let folder = folder();
    let record = |late: i64| -> String {
        let rows = (0..300_i64).map(|i| {
            let since = |at: i64| (i - at).max(0) as f64;
            let bump = |t: f64| t * 20.0 / (1.0 + t * t / 400.0);
            let ppm = 450.0 + bump(since(60)) + 0.4 * bump(since(130)) + 1.6 * bump(since(210));
            format!("{},{ppm:.0}\n", 1_794_500_000 + i * 60 + late)
        });
        format!("time,co2\n{}", rows.collect::<String>())
    };
    folder.write("loggers/a.csv", record(0));
    folder.write("loggers/b.csv", record(-300));
    let (_, out, err) = import(&folder, &["loggers", "--approve", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    let import = &json["data"]["import"];
    let offset = import["clocks"][0]["offset_s"].as_f64().unwrap();
    assert!((offset + 300.0).abs() < 20.0, "{offset} {err}");
    assert_eq!(import["files"][1]["rows"], 300);
    assert_eq!(files(&folder).len(), 8);
    assert_eq!(json["diagnostics"][0]["code"], "I133");
}
