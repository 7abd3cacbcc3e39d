//! Times the air network, or solves it a given number of times for somebody who counts.
//!
//! ```text
//! speed table EPANET.csv COUNTS.csv    the text of docs/SPEED.md
//! speed years                          its section on whole years alone
//! speed plans                          its section on plans alone
//! speed fit                            its section on the fit alone
//! speed draws ROUNDS                   fits the large case for somebody who counts
//! speed rules                          time of a control rule
//! speed solve LEVEL CASE ROUNDS        LEVEL: plain, v3, v4; CASE: see `speed cases`
//! speed cases                          one a line
//! speed level LEVEL                    status 0 where this processor has it
//! ```

use engine::network::Level;
use engine::year::{Days, Options, run};
use std::io::Write;
use std::ops::ControlFlow;
use std::process::ExitCode;
use validate::houses::{greensboro, twelve_zones};
use validate::speed::{Series, TOGETHER, fit_alone, fits, house_years, plans, rules_section, table};

/// Name, zones, houses at once, in steps of five minutes.
const CASES: [(&str, usize, usize, bool); 5] = [
    ("one-five-minutes", 12, 1, true),
    ("one-hourly", 12, 1, false),
    ("eight-five-minutes", 12, TOGETHER, true),
    ("eight-hourly", 12, TOGETHER, false),
    ("building-300", 300, 1, true),
];

/// A step of the simulated year, in the house of twelve zones.
const YEAR: &str = "year-step-12";

/// Lives two picked days, each with the days before it that warm up, `rounds` times: steps a round.
fn picked_days(rounds: usize) -> Option<usize> {
    let weather = greensboro().ok()?;
    let model = twelve_zones(&weather).ok()?;
    let options = Options { days: Days::Picked(weather.stratified_days(2)), ..Options::default() };
    let mut steps = 0;
    for _ in 0..rounds {
        let year = run(&model, &weather, &options, &mut |_| ControlFlow::Continue(())).ok()?;
        steps = year.counts.step_count;
    }
    Some(steps)
}

fn level(name: &str) -> Option<Level> {
    Some(match name {
        "plain" => Level::Plain,
        "v3" => Level::X86V3,
        "v4" => Level::X86V4,
        _ => return None,
    })
}

fn answer(words: &[&str]) -> Option<String> {
    match *words {
        ["table", epanet, counts] => {
            let read = |path| std::fs::read_to_string(path).ok();
            Some(table(&read(epanet)?, &read(counts)?))
        }
        ["years"] => Some(house_years()),
        ["plans"] => Some(plans()),
        ["fit"] => Some(fits()),
        ["draws", rounds] => Some(fit_alone(rounds.parse().ok()?)),
        ["rules"] => Some(rules_section()),
        ["cases"] => Some(CASES.map(|case| format!("{}\n", case.0)).concat() + YEAR + "\n"),
        ["level", name] => level(name)?.is_available().then(String::new),
        // At the widest level that the processor has, as every year is lived.
        ["solve", _, YEAR, rounds] => Some(format!("{}\n", picked_days(rounds.parse().ok()?)?)),
        ["solve", name, case, rounds] => {
            let level = level(name).filter(|level| level.is_available())?;
            let &(_, zones, together, fine) = CASES.iter().find(|known| known.0 == case)?;
            let series = Series::new(zones, together, fine);
            let timed = series.solve(level, rounds.parse().ok()?);
            // How many a round: what a difference of two counts is divided by.
            Some(format!("{} {:.3} us, {:.3} steps\n", series.count(), timed.us, timed.iterations))
        }
        _ => None,
    }
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match answer(&words) {
        Some(text) if std::io::stdout().write_all(text.as_bytes()).is_ok() => ExitCode::SUCCESS,
        _ => ExitCode::from(2),
    }
}
