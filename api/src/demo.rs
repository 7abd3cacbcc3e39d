//! The demonstration house: documents written by hand, readings made up by the engine from a truth
//! that the fit never sees, with the stated errors of the instruments and wind.

use crate::File;
use engine::diag::Span;
use engine::doc::{Sink, house as house_text, visit as visit_text};
use engine::fit::observe::{Observation, Observations, Seen, collect};
use engine::fit::simulate;
use engine::house::{House, build};
use engine::math;

const JOB: &str = include_str!("../assets/demo/job.toml");
const HOUSE: &str = include_str!("../assets/demo/house.toml");
const PLANS: &str = include_str!("../assets/demo/plans.toml");
const VISIT: &str = include_str!("../assets/demo/visit.toml");
const WEATHER: &str = include_str!("../assets/weather/greensboro-723170.csv");

/// Height of the invented town above sea level, m; that of the weather station.
const ALTITUDE_M: f64 = 270.0;
const SEED: u64 = 11;

/// The hidden truth: parameters as multiples of their prior sd from the prior mean. Invented.
const TRUTH: &[(&str, f64)] = &[
    ("walls_main", 0.3),
    ("walls_bedroom", -0.4),
    ("ceiling_main", 0.7),
    ("ceiling_bedroom", 0.2),
    ("floor_main", 0.9),
    ("floor_bedroom", 0.6),
    ("closet_top", 1.0),
    ("attic_vents", -0.3),
    ("crawl_vents", -0.6),
    ("bedroom_door", -0.7),
    ("closet_door", 0.2),
    ("attic_hatch", 0.9),
    ("crawl_hatch", 0.4),
    ("bath_fan", -0.5),
    ("return_leak", 1.1),
    ("supply_leak", 0.3),
    ("bedroom_supply", 0.4),
    ("air_handler", -0.2),
];

/// The job folder of the demonstration house.
pub(crate) fn files() -> Result<Vec<File>, String> {
    let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
    Ok(vec![
        file("job.toml", JOB),
        file("house.toml", HOUSE),
        file("plans.toml", PLANS),
        File { name: VISIT_FILE.to_owned(), text: visit()? },
        file("weather.csv", WEATHER),
    ])
}

const VISIT_FILE: &str = "visits/2026-11-12/visit.toml";

/// A visit after the work of plan A, whose floors and ducts let less air through: the parameters by
/// name that changed, each with the share that is left. Its readings are made as those of [`files`].
#[cfg(test)]
pub(crate) fn after_work(left: &[(&str, f64)]) -> Result<File, String> {
    let text = VISIT.replace("date = \"2026-11-12\"", "date = \"2026-12-10\"").replace(
        "# ---------------------------------------------------------------- instruments",
        "[test_out]\nof = \"a\"\nbefore = \"2026-11-12\"\nwork_done = \"2026-12-03\"\n",
    );
    let sink = Sink::default();
    let written = house_text::read(&File { name: "house.toml".to_owned(), text: HOUSE.to_owned() }, &sink);
    let house = build(&written, &sink);
    let file = File { name: AFTER_FILE.to_owned(), text };
    let visit = visit_text::read(&file, &sink);
    let seen = collect(&house, std::slice::from_ref(&visit), ALTITUDE_M, &sink);
    let theta = truth_after(&house, left);
    let made = simulate::readings(&house, &seen, &theta, SEED + 1).map_err(|e| e.to_string())?;
    Ok(File { text: rewrite(&file.text, &visit, &made), ..file })
}

/// The hidden truth with sizes by name at these shares of what they were.
#[cfg(test)]
pub(crate) fn truth_after(house: &House, left: &[(&str, f64)]) -> Vec<f64> {
    let mut theta = truth(house);
    for (name, share) in left {
        let sizes = |p: &engine::house::Param| {
            use engine::house::ParamKind::{CommonExponent, Exponent};
            p.name == *name && !matches!(p.kind, Exponent | CommonExponent)
        };
        for (k, p) in house.params.iter().enumerate().filter(|(_, p)| sizes(p)) {
            theta[k] = p.scale.theta(p.scale.value(theta[k]) * share);
        }
    }
    theta
}

#[cfg(test)]
const AFTER_FILE: &str = "visits/2026-12-10/visit.toml";

/// The visit with every value replaced by what the instruments would have shown.
fn visit() -> Result<String, String> {
    let sink = Sink::default();
    let text = house_text::read(&File { name: "house.toml".to_owned(), text: HOUSE.to_owned() }, &sink);
    let house = build(&text, &sink);
    let file = File { name: VISIT_FILE.to_owned(), text: VISIT.to_owned() };
    let visit = visit_text::read(&file, &sink);
    let seen = collect(&house, std::slice::from_ref(&visit), ALTITUDE_M, &sink);
    if sink.borrow().has_errors() {
        return Err(format!("{:?}", sink.borrow().list));
    }
    let made = simulate::readings(&house, &seen, &truth(&house), SEED).map_err(|e| e.to_string())?;
    Ok(rewrite(VISIT, &visit, &made))
}

fn truth(house: &House) -> Vec<f64> {
    house
        .params
        .iter()
        .map(|p| {
            let z = TRUTH.iter().find(|(name, _)| *name == p.name).map_or(0.0, |t| t.1);
            // The list speaks of sizes; exponents stay where they are.
            let is_size = !matches!(
                p.kind,
                engine::house::ParamKind::Exponent | engine::house::ParamKind::CommonExponent
            );
            if is_size { p.mean + z * p.sd } else { p.mean }
        })
        .collect()
}

/// Puts the made values where the nominal ones stand. Stations of the test are rows; the baseline
/// samples scatter around the made mean.
fn rewrite(text: &str, visit: &visit_text::Visit, made: &Observations) -> String {
    let mut edits: Vec<(Span, String)> = Vec::new();
    let shown = |o: &Observation| match o.seen {
        Seen::Pressure { .. } => format!("{:.1}", o.value),
        _ => format!("{:.0}", math::exp(o.value) / CFM),
    };
    for test in &visit.tests {
        let baseline = made.list.iter().find(|o| o.span == test.span).map_or(0.0, |o| o.value);
        for samples in test.baselines() {
            let mean = samples.value.iter().sum::<f64>() / samples.value.len() as f64;
            let list: Vec<String> =
                samples.value.iter().map(|v| format!("{:.1}", v - mean + baseline)).collect();
            edits.push((samples.span.clone(), format!("[\"Pa\", {}]", list.join(", "))));
        }
        for row in test.runs.iter().flat_map(|r| &r.stations).flat_map(|g| &g.rows) {
            let values: Vec<String> = made.list.iter().filter(|o| o.span == row.span).map(shown).collect();
            edits.push((row.span.clone(), format!("[{}]", values.join(", "))));
        }
    }
    for reading in &visit.readings {
        if let Some(o) = made.list.iter().find(|o| o.span == reading.span) {
            let unit = if matches!(o.seen, Seen::Pressure { .. }) { "Pa" } else { "cfm" };
            edits.push((reading.value.span.clone(), format!("\"{} {unit}\"", shown(o))));
        }
    }
    edits.sort_by_key(|(span, _)| span.start);
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for (span, replacement) in edits {
        out.push_str(text.get(at..span.start).unwrap_or(""));
        out.push_str(&replacement);
        at = span.end;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    out
}

/// One cubic foot a minute, m3/s.
const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;

#[cfg(test)]
mod tests {
    use super::*;
    use engine::house::air::Air;

    /// Two independent ways to one number: the standard's regression on readings without error, and
    /// the network held at 50 Pa. They share the leak's law only; what is left is rounding of the
    /// displays, stack pressure over the house and the power law through leaks in series.
    #[test]
    fn the_standard_and_the_network_agree_on_a_house_read_without_error() {
        let text = VISIT
            .replace("1 % or 0.15 Pa", "0.0001 %")
            .replace("accuracy = \"3 %\"", "accuracy = \"0.0001 %\"")
            .replace("-1.0, -0.6, -1.2, -0.9, -0.7", "0.0, 0.0001")
            .replace("-0.8, -1.1, -0.9, -0.5, -1.0", "0.0, 0.0001");
        let sink = Sink::default();
        let written =
            house_text::read(&File { name: "house.toml".to_owned(), text: HOUSE.to_owned() }, &sink);
        let house = build(&written, &sink);
        let file = File { name: VISIT_FILE.to_owned(), text: text.clone() };
        let visit = visit_text::read(&file, &sink);
        let mut seen = collect(&house, std::slice::from_ref(&visit), ALTITUDE_M, &sink);
        seen.wind_sd_pa.fill(1e-6);
        seen.list.iter_mut().for_each(|o| o.noise_sd = 1e-6);
        let made = simulate::readings(&house, &seen, &truth(&house), SEED).unwrap();
        let job = File { name: "job.toml".to_owned(), text: JOB.to_owned() };
        let read = File { name: VISIT_FILE.to_owned(), text: rewrite(&text, &visit, &made) };
        let inputs = crate::Inputs { files: vec![job, read], now: String::new() };
        let out =
            crate::answer(&crate::Request::Results, &inputs, &mut |_| std::ops::ControlFlow::Continue(()));
        let tested = out.data.results[0].result.figures.flow_at(50.0).unwrap().flow.total.si;
        let mut air = Air::new(&house).unwrap();
        let held = engine::fit::total_at50_m3_s(&house, &mut air, &truth(&house));
        assert!((tested / held - 1.0).abs() < 0.015, "{} cfm, {} cfm", tested / CFM, held / CFM);
    }
}
