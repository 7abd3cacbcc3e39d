//! The large table of the fit's coverage, misfit and time.
//! Run with `cargo bench -p airwright-validate --bench fit` (optimised) or, as built for tests,
//! `cargo test -p airwright-validate --bench fit`; the number of visits is the first argument.
#![expect(clippy::print_stdout, reason = "a bench prints")]

use validate::fit_cases::{Case, FAMILIES, HOUSE, VISIT, coverage, mean};

fn main() {
    let visits = std::env::args().filter_map(|a| a.parse().ok()).next().unwrap_or(100);
    let case = Case::new(HOUSE, VISIT);
    println!("{} readings, {} parameters", case.seen.list.len(), case.house.params.len());
    let got = coverage(&case, visits, 7);
    println!("{:>16} {:>6} {:>9} {:>7}  ranks in tenths", "family", "truths", "90 % hits", "even p");
    for (name, tally) in FAMILIES.iter().copied().chain(["all"]).zip(got.families.iter().chain([&got.pooled])) {
        println!(
            "{name:>16} {:>6} {:>7.1} % {:>7.3}  {:?}",
            tally.count,
            100.0 * tally.coverage(),
            tally.even(),
            tally.bins
        );
    }
    let worst = got.pareto_k.iter().copied().fold(f64::MIN, f64::max);
    println!(
        "Pareto k mean {:.2}, largest {worst:.2}, above 0.7: {}; effective draws mean {:.0}; {:.0} ms a fit",
        mean(&got.pareto_k),
        got.pareto_k.iter().filter(|k| **k >= 0.7).count(),
        mean(&got.effective),
        1e3 * mean(&got.seconds)
    );
    let bad = got.fits.iter().filter(|p| **p <= 0.01).count();
    println!("said not to fit though as drawn: {bad} of {visits}; mean probability {:.2}", mean(&got.fits));
}
