//! Every comparison keeps its tolerance, and `RESIDUALS.md` says the truth.

use validate::compare::{ALL, all, one, residuals_path};
use validate::record::render;

#[test]
fn every_source_is_kept_to() {
    let mut failures = Vec::new();
    for (id, compare) in ALL {
        match one(id, *compare) {
            Ok(sheet) if sheet.cases() == 0 => failures.push(format!("{id}: nothing compared")),
            Ok(sheet) => failures.extend(sheet.failures()),
            Err(error) => failures.push(error),
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

#[test]
fn the_account_is_up_to_date() {
    let now = render(&all().unwrap());
    let committed = std::fs::read_to_string(residuals_path()).unwrap_or_default();
    for (line, (a, b)) in committed.lines().zip(now.lines()).enumerate() {
        assert_eq!(a, b, "RESIDUALS.md line {}: run `cargo run -p airwright-validate`", line + 1);
    }
    assert_eq!(committed.lines().count(), now.lines().count(), "run `cargo run -p airwright-validate`");
}
