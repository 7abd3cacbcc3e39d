//! Time of the fit: the demonstration's kind of house and the large case of 60 readings.

use crate::fit_cases::{Case, HOUSE, VISIT, full_visit, large_case};
use engine::fit::observe::Observations;
use engine::fit::{Options, fit, simulate};
use std::fmt::Write;
use std::ops::ControlFlow;
use std::time::Instant;

/// Fits a case; the least time counts.
const ROUNDS: usize = 5;

fn once(case: &Case, seen: &Observations, whole: bool) -> Option<engine::fit::Fit> {
    let options = Options { whole, ..Options::default() };
    fit(&case.house, seen, options, &mut |_| ControlFlow::Continue(())).ok()
}

fn made(case: &Case) -> Option<Observations> {
    simulate::readings(&case.house, &case.seen, &case.house.prior_mean(), 1).ok()
}

/// Fits the large case so many times, the fit alone; what it was made of.
pub fn fit_alone(rounds: usize) -> String {
    let case = large_case();
    let Some(seen) = made(&case) else { return String::new() };
    let last = (0..rounds).filter_map(|_| once(&case, &seen, false)).next_back();
    last.map_or_else(String::new, |f| {
        format!("{} readings, k {:.2}, {} iterations\n", f.readings_used, f.pareto_k, f.iterations)
    })
}

/// The section of `docs/SPEED.md` on the fit.
#[expect(clippy::disallowed_methods, reason = "what measures time reads the clock")]
pub fn fits() -> String {
    let mut text = String::from(
        "## The fit\n\n\
         From 400 weighted draws on, 200 handed on; one core, the least of five.\n\
         More are drawn while limits rest on few, within a budget of work.\n\
         *Whole*: with the search for passages that nobody drew, the worst reading, and every answer.\n\n\
         | case | zones | readings | numbers of the house | ms the fit | ms whole | optimum's steps | effective draws |\n\
         | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let cases = [
        ("usual visit", Case::new(HOUSE, VISIT)),
        ("full visit", Case::new(HOUSE, &full_visit())),
        ("eight rooms", large_case()),
    ];
    for (name, case) in &cases {
        let Some(seen) = made(case) else { continue };
        let mut least = [f64::INFINITY; 2];
        let mut last = None;
        for (time_ms, whole) in least.iter_mut().zip([false, true]) {
            for _ in 0..ROUNDS {
                let begin = Instant::now();
                last = once(case, &seen, whole);
                let taken_ms = 1e3 * begin.elapsed().as_secs_f64();
                *time_ms = if taken_ms < *time_ms { taken_ms } else { *time_ms };
            }
        }
        let Some(fit) = last else { continue };
        let _ = writeln!(
            text,
            "| {name} | {} | {} | {} | {:.0} | {:.0} | {} | {:.0} |",
            case.house.zones.len(),
            seen.list.len(),
            case.house.params.len(),
            least[0],
            least[1],
            fit.iterations,
            fit.effective_draws,
        );
    }
    let _ = write!(text, "\nLoad at the end of these runs (1, 5, 15 minutes): {}.\n\n", super::table::load());
    text
}
