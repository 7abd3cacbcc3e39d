//! The large table of the fit's coverage, misfit and time.
//! Run with `cargo bench -p airwright-validate --bench fit` (optimised) or, as built for tests,
//! `cargo test -p airwright-validate --bench fit`; the number of visits is the first argument.
#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a bench prints; it stops where its own house cannot be made"
)]

use engine::fit::{Options, simulate};
use validate::fit_cases::{
    Case, FAMILIES, HOUSE, VISIT, coverage, further, hidden, house_with_sealed_ceiling, long_visit, mean,
    misfit, timed,
};

const HOUSES: usize = 40;

fn main() {
    let visits = std::env::args().filter_map(|a| a.parse().ok()).next().unwrap_or(100);
    let case = Case::new(HOUSE, VISIT);
    println!("{} readings, {} parameters", case.seen.list.len(), case.house.params.len());
    let got = coverage(&case, visits, 7);
    println!("{:>16} {:>6} {:>9} {:>7}  ranks in tenths", "family", "truths", "90 % hits", "even p");
    for (name, tally) in FAMILIES.iter().copied().chain(["all"]).zip(got.families.iter().chain([&got.pooled]))
    {
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
    let long = Case::new(include_str!("../../api/assets/demo/house.toml"), &long_visit());
    let theta = long.house.prior_mean();
    let seen = simulate::readings(&long.house, &long.seen, &theta, 1).unwrap();
    let (fit, seconds) = timed(&long.house, &seen, Options::default());
    println!(
        "demonstration house, {} readings, {} parameters: {:.0} ms, {} iterations, Pareto k {:.2}, effective draws {:.0}",
        seen.list.len(),
        theta.len(),
        1e3 * seconds,
        fit.iterations,
        fit.pareto_k,
        fit.effective_draws
    );
    for further in further(&case.house) {
        let list = further.promises(HOUSES, 23);
        let expected = mean(&list.iter().map(|p| p.expected).collect::<Vec<_>>());
        let removed = mean(&list.iter().map(|p| p.removed).collect::<Vec<_>>());
        println!(
            "{}: should remove {expected:.3}, removed {removed:.3}, ratio {:.2}",
            further.name,
            expected / removed
        );
    }
    let sealed = house_with_sealed_ceiling();
    for (title, house) in [("house", HOUSE), ("house with a sealed ceiling", sealed.as_str())] {
        let pairs = [
            ("main", "attic"),
            ("main", "outdoors"),
            ("attic", "crawl"),
            ("bedroom", "main"),
            ("attic", "outdoors"),
        ];
        for (a, b) in pairs {
            let mut line = format!("{title}, hidden passage {a} to {b}, said not to fit:");
            for share in [0.0, 0.1, 0.2, 0.4] {
                let fits = misfit(house, &hidden([a, b]), share, HOUSES, 11);
                let said = fits.iter().filter(|p| **p <= 0.01).count();
                line += &format!("  at {:.0} % of the total {said} of {HOUSES}", 100.0 * share);
            }
            println!("{line}");
        }
    }
}
