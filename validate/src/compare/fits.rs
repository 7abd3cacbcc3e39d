//! The fit beside other people's programs on the same posterior: optima by SciPy, draws by emcee and by
//! the No-U-Turn sampler.

use crate::fit_cases::Case;
use crate::fit_jobs;
use crate::record::Sheet;
use crate::source::{Source, data_folder};
use engine::fit::problem::Problem;
use engine::fit::{Options, fit, solve};
use engine::math;
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// Readings decide an unknown of which they removed at least this share of the variance.
const DECIDED: f64 = 0.5;
/// A chain of emcee's must be longer than so many of its autocorrelation times (its own rule).
const TAUS: f64 = 50.0;
/// Draws that are compared.
const DRAWS: usize = 4000;

/// Jobs whose sum of squares has two minima next to each other: a wind that turns the flow through
/// a tight leak round. SciPy ends in the one, the fit in the other.
const TWO_MINIMA: &[&str] = &["house-03"];

/// A row of values for each unknown of a job.
type Columns = BTreeMap<String, Vec<Vec<f64>>>;

fn columns(source: &Source, file: &str, names: &[&str]) -> Result<Columns, String> {
    let mut all = Columns::new();
    for row in source.table(file)?.rows() {
        let values: Result<Vec<f64>, String> = names.iter().map(|n| row.number(n)).collect();
        all.entry(row.text("job")?.to_owned()).or_default().push(values?);
    }
    Ok(all)
}

pub(super) fn others(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let optima = columns(source, "optima.csv", &["value", "squares"])?;
    let quantiles = ["p05", "p50", "p95", "sd"];
    // An ensemble's chain says nothing where it is short beside its own autocorrelation.
    for (job, rows) in columns(source, "emcee-length.csv", &["taus"])? {
        if rows.iter().any(|row| row[0] < TAUS) {
            return Err(format!("{job}: emcee's chain is shorter than {TAUS} autocorrelation times"));
        }
    }
    let draws = [
        ("emcee", columns(source, "emcee.csv", &quantiles)?),
        ("No-U-Turn", columns(source, "nuts.csv", &quantiles)?),
    ];
    for job in 0..fit_jobs::JOBS {
        let name = fit_jobs::name(job);
        let case = fit_jobs::read(&data_folder().join("fit-by-others"), job)?;
        let best = optima.get(&name).ok_or_else(|| format!("{name}: no optimum"))?;
        optimum(&case, &name, best, sheet)?;
        for (whose, draws) in &draws {
            if let Some(other) = draws.get(&name) {
                drawn(&case, (&name, whose), other, sheet)?;
            }
        }
    }
    Ok(())
}

fn optimum(case: &Case, name: &str, other: &[Vec<f64>], sheet: &mut Sheet) -> Result<(), String> {
    let mut problem = Problem::new(&case.house, &case.seen).map_err(|e| e.to_string())?;
    let go = &mut |_| ControlFlow::Continue(());
    let best = solve::optimum(&mut problem, go).map_err(|e| e.to_string())?;
    if other.len() != best.x.len() {
        return Err(format!("{name}: {} unknowns, SciPy had {}", best.x.len(), other.len()));
    }
    let which = if TWO_MINIMA.contains(&name) { ", two minima" } else { "" };
    sheet.compare(&format!("sum of squares at the optimum{which}"), name, best.squares, other[0][1]);
    let spread = solve::covariance(&problem, &best).ok_or("no covariance")?;
    for (i, (ours, theirs)) in best.x.iter().zip(other).enumerate() {
        let sd = spread[(i, i)].sqrt();
        sheet.compare(
            &format!("unknown at the optimum{which}"),
            &format!("{name} {i}"),
            ours / sd,
            theirs[0] / sd,
        );
    }
    Ok(())
}

fn drawn(case: &Case, (name, by): (&str, &str), other: &[Vec<f64>], sheet: &mut Sheet) -> Result<(), String> {
    let options = Options {
        tries: DRAWS,
        further: false,
        draws: DRAWS,
        set_right: false,
        whole: false,
        ..Options::default()
    };
    let go = &mut |_| ControlFlow::Continue(());
    let ours = fit(&case.house, &case.seen, options, go).map_err(|e| e.to_string())?;
    sheet.compare("Pareto k", name, ours.pareto_k, 0.0);
    let first = other.len() - case.house.params.len();
    for (i, param) in case.house.params.iter().enumerate() {
        let [p05, p50, p95, sd] = other[first + i][..] else { return Err(format!("{name}: a short row")) };
        let mut values: Vec<f64> = ours.draws.iter().map(|d| d[i]).collect();
        values.sort_by(f64::total_cmp);
        let decided = 1.0 - sd * sd / (param.sd * param.sd) >= DECIDED;
        let label = format!("{name} {} {:?}", param.name, param.kind);
        let mut put = |what: &str, level: f64, theirs: f64| {
            let ours = math::quantile_of_draws(&values, level).unwrap_or(f64::NAN);
            let whose = if decided { "decided by readings" } else { "left to the prior" };
            sheet.compare(&format!("{what}, {whose}, {by}"), &label, ours / sd, theirs / sd);
        };
        put("median", 0.5, p50);
        put("5 and 95 % limit", 0.05, p05);
        put("5 and 95 % limit", 0.95, p95);
    }
    Ok(())
}
