//! Writes `validate/RESIDUALS.md`, or with the word `convergence` `docs/CONVERGENCE.md`, or with the
//! word `coverage` or `fit-coverage` its part of `docs/COVERAGE.md` (some minutes), or with the word
//! `fit-jobs` the jobs that `oracles/fit_by_others.py` asks about.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use validate::{compare, convergence, fit_coverage, fit_jobs, record, source, wind_a, wind_b, windy};

const TESTS_A_CLASS: usize = 600;
/// Houses of each making.
const HOUSES: u64 = 500;
const SEED: u64 = 20;

fn docs(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs").join(name)
}

fn write(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
}

/// Writes one of the two parts of `docs/COVERAGE.md` and keeps the other.
fn coverage(wind: Option<&str>, fit: Option<&str>) -> Result<(), String> {
    let path = docs("COVERAGE.md");
    let old = std::fs::read_to_string(&path).unwrap_or_default();
    let (old_wind, old_fit) = old.split_once(fit_coverage::TITLE).unwrap_or((&old, ""));
    let kept = if old_fit.is_empty() { String::new() } else { format!("{}{old_fit}", fit_coverage::TITLE) };
    let wind = wind.unwrap_or(old_wind).trim_end();
    write(&path, format!("{wind}\n\n{}", fit.unwrap_or(&kept)).trim_start())
}

fn run() -> Result<(), String> {
    match std::env::args().nth(1).as_deref() {
        None => write(&compare::residuals_path(), &record::render(&compare::all()?)),
        Some("coverage") => {
            let accounts = [
                windy::account("A", wind_a::simulate, TESTS_A_CLASS, SEED),
                windy::account("B", wind_b::simulate, TESTS_A_CLASS, SEED),
            ];
            coverage(Some(&windy::render(&accounts, TESTS_A_CLASS, SEED)), None)
        }
        Some("fit-coverage") => {
            let houses = std::env::args().nth(2).and_then(|n| n.parse().ok()).unwrap_or(HOUSES);
            coverage(None, Some(&fit_coverage::account(houses, SEED)))
        }
        Some("convergence") => write(&docs("CONVERGENCE.md"), &convergence::render(&convergence::lines()?)),
        Some("fit-jobs") => fit_jobs::write_all(&source::data_folder().join("fit-by-others")),
        Some(other) => {
            Err(format!("unknown word: {other}; known: convergence, coverage, fit-coverage, fit-jobs"))
        }
    }
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            use std::io::Write;
            let _ = writeln!(std::io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}
