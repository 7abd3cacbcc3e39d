//! Writes `validate/RESIDUALS.md`, or with the word `convergence` `docs/CONVERGENCE.md`, or with the
//! word `coverage` `docs/COVERAGE.md` (some minutes), with the word `next` the measured part of
//! `docs/NEXT.md` (some minutes; numbers are printed as they fall).

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use validate::{compare, convergence, next_order, record, wind_a, wind_b, windy};

const TESTS_A_CLASS: usize = 600;
const SEED: u64 = 20;

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
        Some("convergence") => {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/CONVERGENCE.md");
            Ok((path, convergence::render(&convergence::lines()?)))
        }
        Some("next") => {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/NEXT.md");
            let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
            let (head, _) = text.split_once(MEASURED).ok_or("docs/NEXT.md has lost its mark")?;
            let mut accounts = Vec::new();
            use next_order::Asked::{Evening, Share};
            for (name, ducts, asked) in [
                ("share of the crawl space at 50 Pa, ducts in it", true, Share),
                ("air from it on a cold evening, no ducts", false, Evening),
            ] {
                let bench = next_order::Bench::new(ducts, asked)?;
                let mut tell = |at: usize, so_far: &next_order::Account| {
                    let (medians, reached) = (so_far.medians(), so_far.reached());
                    let last = so_far.walks.last();
                    say(&format!(
                        "{name}, house {at}: {last:?}\n  medians {medians:?} reached {reached:?} promised over obtained {:.2}",
                        so_far.promise_ratio()
                    ));
                };
                accounts.push((name, bench.compare(NEXT_HOUSES, SEED, &mut tell)));
            }
            let table = next_order::render(&accounts, SEED, &next_order::speed());
            say(&table);
            Ok((path, format!("{head}{MEASURED}\n\n{table}")))
        }
        Some(other) => Err(format!("unknown word: {other}; known: convergence, coverage, next")),
    }
}

/// What follows this line in `docs/NEXT.md` is measured.
const MEASURED: &str = "<!-- measured: cargo run -p airwright-validate -- next -->";
/// Houses in which the advice is followed.
const NEXT_HOUSES: usize = 100;

fn say(line: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stderr(), "{line}");
}

fn main() -> ExitCode {
    match page()
        .and_then(|(path, text)| std::fs::write(&path, text).map_err(|e| format!("{}: {e}", path.display())))
    {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say(&error);
            ExitCode::FAILURE
        }
    }
}
