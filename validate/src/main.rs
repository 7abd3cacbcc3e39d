//! Writes `validate/RESIDUALS.md`.

use std::process::ExitCode;
use validate::{compare, record};

fn main() -> ExitCode {
    match compare::all().and_then(|sheets| {
        let path = compare::residuals_path();
        std::fs::write(&path, record::render(&sheets)).map_err(|e| format!("{}: {e}", path.display()))
    }) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            use std::io::Write;
            let _ = writeln!(std::io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}
