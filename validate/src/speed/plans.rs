//! Time of the demonstration's plans: the first ranking, the settled one, the whole year.

use crate::houses::greensboro;
use engine::doc::{File, Sink, load};
use engine::plan::model::Surroundings;
use engine::plan::{Options, Progress, compare, resolve, score_list};
use engine::rng::Stream;
use engine::year::Days;
use std::fmt::Write;
use std::ops::ControlFlow;

/// Draws of the house, days and step, as `airwright plans` has them.
const DRAWS: usize = 24;
const DAYS: usize = 48;
const STEP_S: f64 = 900.0;
/// Step of the whole year, s.
const FINE_STEP_S: f64 = 300.0;

/// Time that this thread has had of a processor, s: what else the machine does does not count.
fn used_s() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let ns = text.split(' ').next().and_then(|t| t.parse::<f64>().ok());
    ns.map_or(f64::NAN, |ns| 1e-9 * ns)
}

/// The section of `docs/SPEED.md` on plans.
pub fn plans() -> String {
    let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
    let files = [
        file("job.toml", include_str!("../../../api/assets/demo/job.toml")),
        file("house.toml", include_str!("../../../api/assets/demo/house.toml")),
        file("plans.toml", include_str!("../../../api/assets/demo/plans.toml")),
    ];
    let sink = Sink::default();
    let documents = load(&files, &sink);
    let (Some(text), Ok(weather)) = (&documents.house, greensboro()) else { return String::new() };
    let house = engine::house::build(text, &sink);
    let planned = resolve(&documents.plans, &documents.job.prices, &house, None, None, &sink);
    let scores = score_list(&house, &documents.job);
    let around = Surroundings { place: &documents.job.place, weather: &weather, rules: None };
    // Houses before the readings: wider apart than those after.
    let mut stream = Stream::new(1, "speed of plans");
    let draws: Vec<Vec<f64>> = (0..DRAWS)
        .map(|_| {
            let mut theta = house.prior_mean();
            theta.iter_mut().zip(&house.params).for_each(|(t, p)| *t += p.sd * stream.normal());
            theta
        })
        .collect();
    let lived = |days: Days, inner_step_s: f64| -> (f64, Option<f64>, usize) {
        let options = Options {
            draws: DRAWS,
            days,
            inner_step_s,
            years_of_cost: 20.0,
            seed: 1,
            people: 3.0,
            hourly: false,
        };
        let begin_s = used_s();
        let (mut first_s, mut years) = (None, 0);
        let mut hear = |p: Progress| {
            years = p.of;
            if p.leading.is_some() && first_s.is_none() {
                first_s = Some(used_s() - begin_s);
            }
            ControlFlow::Continue(())
        };
        let done = compare(&house, &draws, &planned, &scores, around, &options, &mut hear);
        let whole_s = if done.is_ok() { used_s() - begin_s } else { f64::NAN };
        (whole_s, first_s, years)
    };
    let (settled_s, first_s, years) = lived(Days::Picked(weather.stratified_days(DAYS)), STEP_S);
    let (whole_s, _, _) = lived(Days::All, FINE_STEP_S);
    let mut text = String::from(
        "## Plans\n\n\
         The demonstration's four plans and the house as found, 24 houses each, drawn before the readings.\n\
         Time that one thread has of a processor; on two cores that have nothing else to do it takes half, since years do not know of each other (the first ranking stands after eight of them).\n\
         Made by `speed plans`.\n\n\
         | what | years | s of one core | s on two | asked for, s |\n\
         | --- | ---: | ---: | ---: | ---: |\n",
    );
    let mut row = |what: &str, years: usize, s: f64, asked: f64| {
        let _ = writeln!(text, "| {what} | {years} | {s:.2} | {:.2} | {asked:.0} |", 0.5 * s);
    };
    row("first ranking", 8, first_s.unwrap_or(f64::NAN), 2.0);
    row("settled, 48 days at 15 min", years, settled_s, 30.0);
    row("whole year at 5 min, every plan", years, whole_s, 120.0);
    text.push('\n');
    text
}
