//! The text of `docs/SPEED.md`.

use super::{Series, TOGETHER, Timed};
use crate::houses::{greensboro, six_zones, twelve_zones};
use engine::network::Level;
use engine::year::{Options, Progress, run};
use std::fmt::Write;
use std::ops::ControlFlow;
use std::time::Instant;

/// Names of the two series, as `oracles/epanet_speed.py` writes them.
pub const EPANET_SERIES: [&str; 2] = ["five minutes", "hourly"];

/// Rounds over a series of some 500 boundaries: enough that every piece is once left alone.
const ROUNDS: usize = 400;

/// Times everything and writes the page; `epanet` has a line
/// `series,accuracy,us_per_solution,iterations` for each run of EPANET, `counts` the committed
/// counts of instructions (`level,case,instructions`).
pub fn table(epanet: &str, counts: &str) -> String {
    let mut text = String::from(
        "# Speed of the air network\n\n\
         Made by `./validate/speed`; do not edit.\n\
         A house has 12 zones and 60 leaks unless said otherwise; everything runs on one core, in the profile that tests are built in (the engine at `opt-level = 3`, assertions on).\n\
         A time is the least of many runs, piece by piece, so that what else the machine does counts as little as possible.\n\
         *Five minutes*: hourly boundaries with a correlation of 0.7 from hour to hour, straight lines between, each solution started from the last two.\n\
         *Hourly*: each boundary has nothing to do with the one before, each solution is started from none.\n\
         Every solution stops at residuals below 1e-5 of the throughflow and takes one full step more.\n\n",
    );
    machine(&mut text);
    let outside = outside(&mut text, epanet);
    series(&mut text, &outside);
    sizes(&mut text);
    text.push_str(&house_years());
    text.push_str(&super::plans());
    text.push_str(&super::fits());
    text.push_str(&super::rules_section());
    instructions(&mut text, counts);
    text
}

fn read(path: &str) -> String {
    std::fs::read_to_string(path).unwrap_or_default()
}

pub(super) fn load() -> String {
    read("/proc/loadavg").split(' ').take(3).collect::<Vec<_>>().join(", ")
}

fn machine(text: &mut String) {
    let cpu = read("/proc/cpuinfo");
    let field = |name: &str| {
        let line = cpu.lines().find(|line| line.starts_with(name));
        line.and_then(|line| line.split(':').nth(1)).map_or("not known", str::trim).to_owned()
    };
    let flags = field("flags");
    let wanted = ["sse4_2", "avx", "fma", "avx2", "avx512f", "avx512dq", "avx512vl"];
    let has: Vec<&str> = wanted.into_iter().filter(|flag| flags.split(' ').any(|f| f == *flag)).collect();
    let cores = cpu.lines().filter(|line| line.starts_with("processor")).count();
    let _ = write!(
        text,
        "Machine: {}, `nproc` {cores}, flags {}; level used: {:?}.\n\
         Load while measuring (1, 5, 15 minutes): {}.\n\n",
        field("model name"),
        has.join(" "),
        Level::best(),
        load(),
    );
}

/// The quickest EPANET times of each series, us: all of it at once, and one solution at a time.
fn outside(text: &mut String, epanet: &str) -> [[Option<f64>; 2]; 2] {
    text.push_str(
        "## EPANET 2.2\n\n\
         12 junctions, 60 pipes, the same two series as heads of reservoirs, started from the last flows; measured right before (`validate/oracles/epanet_speed.py`).\n\
         Its accuracy is the sum of the changes of flow over the sum of flows; 0.001 is its default, 0.00001 the finest that it takes.\n\
         *Toolkit*: each solution asked for by itself, new heads set and `ENsolveH` called, as for boundaries that are not known beforehand; the other rows run through a series that is laid down before.\n\n\
         | series | accuracy | us a solution | iterations |\n| --- | ---: | ---: | ---: |\n",
    );
    let mut best = [[None; 2]; 2];
    for line in epanet.lines() {
        let [series, accuracy, us, iterations] = line.split(',').collect::<Vec<_>>()[..] else { continue };
        let _ = writeln!(text, "| {series} | {accuracy} | {us} | {iterations} |");
        let Ok(us) = us.parse::<f64>() else { continue };
        for (best, name) in best.iter_mut().zip(EPANET_SERIES) {
            let ways = [name.to_owned(), format!("{name} (toolkit)")];
            for (best, _) in best.iter_mut().zip(ways).filter(|(_, way)| way == series) {
                *best = Some(best.map_or(us, |b: f64| if us < b { us } else { b }));
            }
        }
    }
    text.push('\n');
    best
}

fn levels() -> impl Iterator<Item = Level> {
    Level::ALL.into_iter().filter(|level| level.is_available())
}

fn row(text: &mut String, head: &str, t: Timed) {
    let _ = write!(text, "| {head} | {:.2} | {:.2} | {:.2} |", t.us, t.iterations, t.us / t.iterations);
}

fn series(text: &mut String, outside: &[[Option<f64>; 2]; 2]) {
    text.push_str(
        "## One house, and eight in lanes\n\n\
         The last two columns are the time of EPANET at the accuracy that is quickest over ours: asked for one solution at a time, and running through a known series.\n\n\
         | series | houses at once | level | us a house | iterations | us an iteration | over toolkit | over known series |\n\
         | --- | ---: | --- | ---: | ---: | ---: | ---: | ---: |\n",
    );
    for (place, name) in EPANET_SERIES.iter().enumerate() {
        for together in [1, TOGETHER] {
            let series = Series::new(12, together, place == 0);
            for level in levels() {
                let t = series.solve(level, ROUNDS);
                row(text, &format!("{name} | {together} | {level:?}"), t);
                let times = |us: Option<f64>| us.map_or("-".to_owned(), |us| format!("{:.1}", us / t.us));
                let [known, toolkit] = outside[place].map(times);
                let _ = writeln!(text, " {toolkit} | {known} |");
            }
        }
    }
    text.push('\n');
}

fn sizes(text: &mut String) {
    text.push_str(
        "## Larger buildings\n\n\
         One building, five passages a zone, five minutes, the best level; growth is the exponent of time in zones since the row above.\n\n\
         | zones | us a solution | iterations | us an iteration | growth |\n| ---: | ---: | ---: | ---: | ---: |\n",
    );
    let mut last: Option<(f64, f64)> = None;
    for zones in [12, 30, 60, 120, 300] {
        let t = Series::new(zones, 1, true).solve(Level::best(), ROUNDS / 4);
        row(text, &zones.to_string(), t);
        let zones = zones as f64;
        let growth = last.map_or("-".to_owned(), |(z, us)| {
            format!("{:.2}", engine::math::ln(t.us / us) / engine::math::ln(zones / z))
        });
        let _ = writeln!(text, " {growth} |");
        last = Some((zones, t.us));
    }
    text.push('\n');
}

/// Rounds of a whole year.
const YEARS: usize = 6;

/// The section on whole years: air, heat, water, CO2 and PM2.5 at five minutes.
///
/// # Panics
/// Where a house of ours is refused.
#[expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "what measures time reads the clock, and stops where its own house is not solved"
)]
pub fn house_years() -> String {
    let mut text = String::from(
        "## A house-year\n\n\
         One year of the shipped weather and seven days of warming up at an inner step of five minutes: air network, heat with thermostat and air handler, water with condensation, CO2, PM2.5, hourly scores; the sum of each day's least of six runs.\n\
         The larger house is two of the smaller side by side on one air handler.\n\
         Each step solves the network without and with the handler; in the year a solution stops at residuals below 1e-4 of the throughflow and takes one full step more.\n\n\
         | zones | passages | s a house-year | us a step | networks a step | Newton steps a network |\n| ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let weather = greensboro().unwrap();
    for model in [six_zones(&weather).unwrap(), twelve_zones(&weather).unwrap()] {
        let mut days: Vec<f64> = Vec::new();
        let mut counts = None;
        for _ in 0..YEARS {
            let mut begin = Instant::now();
            let mut day = |progress: Progress| {
                let (now, place) = (Instant::now(), progress.day_count - 1);
                let taken = now.duration_since(begin).as_secs_f64();
                begin = now;
                match days.get_mut(place) {
                    Some(least) => *least = if taken < *least { taken } else { *least },
                    None => days.push(taken),
                }
                ControlFlow::Continue(())
            };
            counts = Some(run(&model, &weather, &Options::default(), &mut day).unwrap().counts);
        }
        let least: f64 = days.iter().sum();
        let c = counts.unwrap_or_default();
        let steps = c.step_count as f64;
        let _ = writeln!(
            text,
            "| {} | {} | {least:.2} | {:.1} | {:.2} | {:.2} |",
            model.zones.len(),
            model.passages.len(),
            1e6 * least / steps,
            c.solved_count as f64 / steps,
            c.newton_count as f64 / c.solved_count as f64,
        );
    }
    let _ = write!(text, "\nLoad at the end of these runs (1, 5, 15 minutes): {}.\n\n", load());
    text
}

fn instructions(text: &mut String, counts: &str) {
    text.push_str(
        "## Instructions\n\n\
         Counted by valgrind for one solution of one house, the harness around it included: the same on a busy machine.\n\
         `year-step-12` is one step of the simulated year in the house of twelve zones, scores included.\n\
         `./validate/speed count` counts again and compares (valgrind does not know AVX-512).\n\n\
         | level | case | instructions |\n| --- | --- | ---: |\n",
    );
    for line in counts.lines().skip(1) {
        let [level, case, count] = line.split(',').collect::<Vec<_>>()[..] else { continue };
        let _ = writeln!(text, "| {level} | {case} | {count} |");
    }
}
