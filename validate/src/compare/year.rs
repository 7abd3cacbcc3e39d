//! Whole houses, against SciPy's Radau: each quantity at 60 s and at five minutes.

use crate::convergence::{QUANTITIES, cases};
use crate::houses::greensboro;
use crate::record::Sheet;
use crate::source::Source;

pub(super) fn houses(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let weather = greensboro()?;
    for case in cases(source)? {
        for (step_s, said) in [(60.0, "60 s"), (300.0, "5 min")] {
            let errors = case.errors(&weather, step_s).map_err(|e| e.to_string())?;
            for (quantity, error) in QUANTITIES.iter().zip(errors) {
                // The error is a share of the largest value already: beside a source of zero it
                // counts as it is.
                sheet.compare(&format!("{quantity}, step {said}"), &case.name, error, 0.0);
            }
        }
    }
    Ok(())
}
