//! Writes `validate/RESIDUALS.md`, or with the word `convergence` `docs/CONVERGENCE.md`, or with the
//! word `coverage` or `fit-coverage` its part of `docs/COVERAGE.md` (some minutes), with the word
//! `fit-worst` says in which houses of other making the fit scores worst and what was wrong there (`fit-worst 60`
//! in 60 houses, `fit-worst 60 twice` with every reading taken twice, `rich` with every zone felt in six states of the
//! doors, `checked` with what the fit asks for taken again, `fit-worst 1 twice 55` in house 55 alone), with
//! `fit-jobs` the jobs that `oracles/fit_by_others.py` asks about, with the word `next` the measured
//! part of `docs/NEXT.md` (some minutes; numbers are printed as they fall), with the word `watch` that of
//! `docs/WATCH.md` (likewise).

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use validate::rounds::Visit;
use validate::watch_house::House;
use validate::{
    compare, convergence, fit_coverage, fit_jobs, next_order, record, source, watch_house, watch_year,
    wind_a, wind_b, windy,
};

const TESTS_A_CLASS: usize = 600;
/// Houses of each making.
const HOUSES: u64 = 500;
const SEED: u64 = 20;
/// Seed of the invented houses: another than those on which the fit was settled.
const HOUSES_SEED: u64 = 41;
/// Seed of the lives and sensors under watch: none on which the watch was settled.
const WATCH_SEED: u64 = 31;
/// Draws of the fit under watch.
const WATCH_DRAWS: usize = 4;

fn docs(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs").join(name)
}

fn write(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
}

/// Writes one of the two parts of `docs/COVERAGE.md` and keeps the other.
fn coverage(wind: Option<&str>, fit: Option<&str>) -> Result<(), String> {
    let path = docs("COVERAGE.md");
    let old = std::fs::read_to_string(&path).unwrap_or_default();
    let (old_wind, old_fit) = old.split_once(fit_coverage::TITLE).unwrap_or((&old, ""));
    let kept = if old_fit.is_empty() { String::new() } else { format!("{}{old_fit}", fit_coverage::TITLE) };
    let wind = wind.unwrap_or(old_wind).trim_end();
    write(&path, format!("{wind}\n\n{}", fit.unwrap_or(&kept)).trim_start())
}

/// Writes the measured part of `docs/WATCH.md`; a number after the word is how many quiet years.
fn watch() -> Result<(), String> {
    let years: u64 = std::env::args().nth(2).and_then(|n| n.parse().ok()).unwrap_or(2);
    let (mut quiet, mut at) = (Vec::new(), None);
    let house = House::new(WATCH_DRAWS, WATCH_SEED)?;
    for year in 0..years {
        let lived = watch_year::quiet(&house, 365, WATCH_SEED + year, &mut |walk| {
            at.get_or_insert_with(|| walk.clone());
        })?;
        for a in &lived.told {
            let day = (a.time_ms - watch_house::NEW_YEAR_MS) / (24 * engine::watch::HOUR_MS);
            say(&format!("year {year}, day {day}: {:?} {} {:.3e}", a.kind, a.of, a.value));
        }
        quiet.push(lived);
    }
    let from = at.ok_or("no day of faults")?;
    let mut found = Vec::new();
    for fault in watch_year::FAULTS {
        let one = watch_year::find(&house, (&from, &quiet[0]), fault)?;
        say(&format!("{one:?}"));
        found.push(one);
    }
    let table = watch_year::render(&quiet, &found, WATCH_DRAWS, WATCH_SEED);
    say(&table);
    let path = docs("WATCH.md");
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let (head, _) = text.split_once(WATCH_MEASURED).ok_or("docs/WATCH.md has lost its mark")?;
    write(&path, &format!("{head}{WATCH_MEASURED}\n\n{table}"))
}

fn run() -> Result<(), String> {
    match std::env::args().nth(1).as_deref() {
        None => write(&compare::residuals_path(), &record::render(&compare::all()?)),
        Some("coverage") => {
            let accounts = [
                windy::account("A", wind_a::simulate, TESTS_A_CLASS, SEED),
                windy::account("B", wind_b::simulate, TESTS_A_CLASS, SEED),
            ];
            coverage(Some(&windy::render(&accounts, TESTS_A_CLASS, SEED)), None)
        }
        Some("fit-coverage") => {
            let houses = std::env::args().nth(2).and_then(|n| n.parse().ok()).unwrap_or(HOUSES);
            coverage(None, Some(&fit_coverage::account(houses, HOUSES_SEED)))
        }
        Some("fit-worst") => {
            let visit = match std::env::args().nth(3).as_deref() {
                None | Some("once") => Visit::once(),
                Some("twice") => Visit::twice(),
                Some("rich") => Visit::rich(),
                Some("checked") => Visit::checked(),
                Some(other) => {
                    return Err(format!("unknown visit: {other}; known: once, twice, rich, checked"));
                }
            };
            let houses = std::env::args().nth(2).and_then(|n| n.parse().ok()).unwrap_or(HOUSES);
            if let Some(at) = std::env::args().nth(4).and_then(|n| n.parse().ok()) {
                say(&fit_coverage::single(&visit, at, HOUSES_SEED).unwrap_or_default());
                return Ok(());
            }
            say(&fit_coverage::worst(&visit, houses, HOUSES_SEED));
            Ok(())
        }
        Some("convergence") => write(&docs("CONVERGENCE.md"), &convergence::render(&convergence::lines()?)),
        Some("fit-jobs") => fit_jobs::write_missing(&source::data_folder().join("fit-by-others")),
        Some("next-speed") => {
            say(&next_order::speed_lines(&next_order::speeds()));
            Ok(())
        }
        Some("next") => {
            let path = docs("NEXT.md");
            let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
            let (head, _) = text.split_once(MEASURED).ok_or("docs/NEXT.md has lost its mark")?;
            let mut accounts = Vec::new();
            use next_order::Asked::{Evening, Share};
            // `next 20 1` tries the second question in 20 houses and writes nothing; `next 20 1 41` does with
            // another seed.
            let number = |at: usize| std::env::args().nth(at).and_then(|n| n.parse::<usize>().ok());
            let (few, only) = (number(2), number(3));
            let seeds = number(4).map_or(NEXT_SEEDS.to_vec(), |n| vec![n as u64]);
            for (at, (name, ducts, asked)) in [
                ("share of the crawl space at 50 Pa, ducts in it", true, Share),
                ("air from it on a cold evening, no ducts", false, Evening),
            ]
            .into_iter()
            .enumerate()
            {
                if only.is_some_and(|only| only != at) {
                    continue;
                }
                let bench = next_order::Bench::new(ducts, asked)?;
                let mut tell = |at: usize, so_far: &next_order::Account| {
                    let (medians, reached) = (so_far.medians(), so_far.reached());
                    let last = so_far.walks.last();
                    say(&format!(
                        "{name}, house {at}: {last:?}\n  medians {medians:?} reached {reached:?} promised over obtained {:.2}",
                        so_far.promise_ratio()
                    ));
                };
                for seed in &seeds {
                    let account = bench.compare(few.unwrap_or(NEXT_HOUSES), *seed, &mut tell);
                    accounts.push((name, *seed, account));
                }
            }
            let table = next_order::render(&accounts, &next_order::speeds());
            say(&table);
            if few.is_some() {
                return Ok(());
            }
            write(&path, &format!("{head}{MEASURED}\n\n{table}"))
        }
        Some("watch") => watch(),
        Some(other) => Err(format!(
            "unknown word: {other}; known: convergence, coverage, fit-coverage, fit-jobs, fit-worst, next, next-speed, watch"
        )),
    }
}

/// What follows this line in `docs/NEXT.md` is measured.
const WATCH_MEASURED: &str = "<!-- measured: cargo run -p airwright-validate -- watch -->";
const MEASURED: &str = "<!-- measured: cargo run -p airwright-validate -- next -->";
/// Houses in which the advice is followed.
const NEXT_HOUSES: usize = 100;
/// Seeds of those houses: the first is the one on which what a stop has to be worth was settled.
const NEXT_SEEDS: [u64; 4] = [SEED, 41, 42, 43];

fn say(line: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stderr(), "{line}");
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say(&error);
            ExitCode::FAILURE
        }
    }
}
