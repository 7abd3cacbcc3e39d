//! Job folders for other people's samplers and optimisers: the invented houses of [`crate::fit_cases`]
//! with readings made from a truth of their priors, written into the texts of their visits.
//! They stand in `data/fit-by-others`; `oracles/fit_by_others.py` asks about them.

use crate::fit_cases::{
    Case, HOUSE, VISIT, full_visit, house_with_sealed_ceiling, house_without_ducts, long_visit, short_visit,
    small_house, small_visit,
};
use engine::fit::observe::Observations;
use engine::fit::{prior_draws, simulate};
use engine::math;
use std::path::Path;

/// One cubic foot a minute, m3/s.
const CFM_M3_S: f64 = 4.719_474_432e-4;
/// Jobs in the folder.
pub const JOBS: usize = 12;
const JOB: &str = "format = 1\nname = \"invented house\"\n[place]\naltitude = \"120 m\"\n";

/// Name of a job's folder.
pub fn name(job: usize) -> String {
    format!("house-{:02}", job + 1)
}

/// House and visit of a job, the readings' values still placeholders.
fn texts(job: usize) -> (String, String) {
    match job {
        1 | 6 => (house_without_ducts().to_owned(), short_visit()),
        2 | 7 => (house_with_sealed_ceiling(), full_visit()),
        3 | 8 => (HOUSE.to_owned(), long_visit()),
        10 | 11 => (small_house().to_owned(), small_visit(job == 11)),
        _ => (HOUSE.to_owned(), VISIT.to_owned()),
    }
}

/// Writes the jobs below `folder` that do not stand there: what was drawn from the readings of the
/// others would no longer belong to them.
///
/// # Errors
/// A text where a file cannot be written or a house has no readings.
pub fn write_missing(folder: &Path) -> Result<(), String> {
    for job in (0..JOBS).filter(|job| !folder.join(name(*job)).exists()) {
        let (house, visit) = texts(job);
        let case = Case::new(&house, &visit);
        let seed = 500 + job as u64;
        let theta = prior_draws(&case.house, 1, seed).pop().unwrap_or_default();
        let made = simulate::readings(&case.house, &case.seen, &theta, seed).map_err(|e| e.to_string())?;
        let visit = written(&visit, &made).ok_or("a reading has no place in the text")?;
        let to = folder.join(name(job));
        let files = [("job.toml", JOB), ("house.toml", &house), ("visits/a/visit.toml", &visit)];
        for (file, text) in files {
            let path = to.join(file);
            let parent = path.parent().unwrap_or(&to);
            std::fs::create_dir_all(parent)
                .and_then(|()| std::fs::write(&path, text.trim_start()))
                .map_err(|e| format!("{}: {e}", path.display()))?;
        }
    }
    Ok(())
}

/// Reads a job back.
///
/// # Errors
/// A text where a file cannot be read.
pub fn read(folder: &Path, job: usize) -> Result<Case, String> {
    let text = |file: &str| {
        let path = folder.join(name(job)).join(file);
        std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))
    };
    Ok(Case::new(&text("house.toml")?, &text("visits/a/visit.toml")?))
}

/// The text of a visit with the values of its readings, which stand in the order of the text.
fn written(visit: &str, made: &Observations) -> Option<String> {
    let mut values = made.list.iter();
    let mut out = String::new();
    for line in visit.lines() {
        let bare = line.trim();
        let new = if let Some(list) = bare.strip_prefix("baseline_before = ['Pa', ") {
            let samples: Option<Vec<f64>> =
                list.trim_end_matches(']').split(", ").map(|n| n.parse().ok()).collect();
            let samples = samples?;
            let moved = values.next()?.value - samples.iter().sum::<f64>() / samples.len() as f64;
            let moved: Vec<String> = samples.iter().map(|s| format!("{:.2}", s + moved)).collect();
            format!("baseline_before = ['Pa', {}]", moved.join(", "))
        } else if bare.starts_with('[') && bare.contains("],") || bare.ends_with("]] }") {
            let mut rows = Vec::new();
            for _ in bare.split("], [") {
                let (p, q) = (values.next()?.value, math::exp(values.next()?.value) / CFM_M3_S);
                rows.push(format!("[{p:.2}, {q:.1}]"));
            }
            format!(" {}{}", rows.join(", "), if bare.ends_with("]] }") { "] }" } else { "," })
        } else if bare.starts_with("value = ") {
            let value = values.next()?.value;
            if bare.ends_with("Pa'") { format!("value = '{value:.2} Pa'") } else { cfm(value) }
        } else if bare.starts_with("below = ") {
            let o = values.next()?;
            if o.below { line.to_owned() } else { cfm(o.value) }
        } else {
            line.to_owned()
        };
        out += &new;
        out.push('\n');
    }
    values.next().is_none().then_some(out)
}

fn cfm(ln_m3_s: f64) -> String {
    format!("value = '{:.1} cfm'", math::exp(ln_m3_s) / CFM_M3_S)
}
