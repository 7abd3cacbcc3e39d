//! The year's step against an independent solution, and `docs/CONVERGENCE.md` says the truth.

use std::path::Path;
use validate::convergence::{QUANTITIES, lines, render};

/// At most 2e-3 of the largest value at 60 s and 1e-2 at five minutes, and errors that fall with
/// the step.
#[test]
fn the_year_converges_and_its_account_is_up_to_date() {
    let lines = lines().unwrap();
    assert_eq!(lines.len(), 12);
    for line in &lines {
        let limit = match line.step_s {
            s if s <= 60.0 => 2e-3,
            s if s <= 300.0 => 1e-2,
            _ => f64::INFINITY,
        };
        for (quantity, error) in QUANTITIES.iter().zip(line.errors) {
            assert!(error <= limit, "{} at {} s: {quantity} {error:.2e}", line.name, line.step_s);
        }
    }
    for house in lines.chunks(4) {
        for pair in house.windows(2) {
            for k in 0..QUANTITIES.len() {
                assert!(pair[0].errors[k] < pair[1].errors[k], "{}: {}", pair[0].name, QUANTITIES[k]);
            }
        }
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/CONVERGENCE.md");
    let committed = std::fs::read_to_string(path).unwrap_or_default();
    assert_eq!(committed, render(&lines), "run `cargo run -p airwright-validate -- convergence`");
}
