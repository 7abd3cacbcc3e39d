//! Writes `validate/RESIDUALS.md`, or with the word `convergence` `docs/CONVERGENCE.md`, or with the
//! word `coverage` `docs/COVERAGE.md` (some minutes).

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use validate::{compare, convergence, fit_coverage, record, wind_a, wind_b, windy};

const TESTS_A_CLASS: usize = 600;
const SEED: u64 = 20;
/// Houses of each making.
const HOUSES: u64 = 500;

fn page() -> Result<(PathBuf, String), String> {
    match std::env::args().nth(1).as_deref() {
        None => Ok((compare::residuals_path(), record::render(&compare::all()?))),
        Some("coverage") => {
            let accounts = [
                windy::account("A", wind_a::simulate, TESTS_A_CLASS, SEED),
                windy::account("B", wind_b::simulate, TESTS_A_CLASS, SEED),
            ];
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/COVERAGE.md");
            Ok((path, windy::render(&accounts, TESTS_A_CLASS, SEED)))
        }
        Some("fit-coverage") => {
            let houses = std::env::args().nth(2).and_then(|n| n.parse().ok()).unwrap_or(HOUSES);
            let (drawn, other) = fit_coverage::both(houses, SEED);
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/FIT-COVERAGE.md");
            Ok((path, fit_coverage::render(&drawn, &other, houses, SEED)))
        }
        Some("convergence") => {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/CONVERGENCE.md");
            Ok((path, convergence::render(&convergence::lines()?)))
        }
        Some(other) => Err(format!("unknown word: {other}; known: convergence, coverage, fit-coverage")),
    }
}

fn main() -> ExitCode {
    match page()
        .and_then(|(path, text)| std::fs::write(&path, text).map_err(|e| format!("{}: {e}", path.display())))
    {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            use std::io::Write;
            let _ = writeln!(std::io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}
