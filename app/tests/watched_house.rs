//! The demonstration house as a live watch would see it: traces of another draw of its fit, hour by hour, with a
//! window that opens on one day. Shared by the tests of the program and of its inside.

use api::watch::Live;
use engine::rng::Stream;
use engine::watch::cause::open_window;
use engine::watch::expect::{self, Around};
use engine::watch::{At, Field, HOUR_MS};
use engine::year::live::Standing;
use std::ops::ControlFlow;

/// Live sources of `watch.toml`; posted as tables of time and value, SI.
pub(crate) const SOURCES: &str = r#"
[source.bed_co2]
path = "bed_co2"
payload = "csv"
value = "v"
time = "t"
quantity = "co2"
unit = "ppm"
basis = "raw"
instrument = "meter 1"
place = "bedroom"
accuracy = "50 ppm + 3 %"
[source.main_co2]
path = "main_co2"
payload = "csv"
value = "v"
time = "t"
quantity = "co2"
unit = "ppm"
basis = "raw"
instrument = "meter 2"
place = "main"
[source.bed_temp]
path = "bed_temp"
payload = "csv"
value = "v"
time = "t"
quantity = "temp"
unit = "degC"
basis = "raw"
instrument = "meter 1"
place = "bedroom"
[source.out_temp]
path = "out_temp"
payload = "csv"
value = "v"
time = "t"
quantity = "temp"
unit = "degC"
basis = "raw"
instrument = "meter 3"
place = "outdoors"
"#;

/// Files of the demonstration with a `watch.toml` of these tables before the sources.
pub(crate) fn job(tables: &str) -> Vec<api::File> {
    let mut files = api::demo().unwrap();
    files.push(api::File { name: "watch.toml".into(), text: format!("format = 1\n{tables}{SOURCES}") });
    files
}

/// Points by source in its own unit: `days` of them that end at `end_ms`; from `open_days` before the end a window of
/// the bedroom stands open.
pub(crate) fn traces(
    live: &Live,
    end_ms: i64,
    (days, open_days): (i64, i64),
) -> Vec<(String, Vec<(i64, f64)>)> {
    let fitted = live.fit(&mut |_| ControlFlow::Continue(())).unwrap();
    let models = live.models(&fitted);
    let setup = live.setup(&models);
    // Not the house that the watch steps, but another that the fit allows.
    let mut truth = models[3].clone();
    let typical = setup.weather.unwrap();
    let from_ms = end_ms - days * 24 * HOUR_MS;
    let out = setup.sources.iter().position(|s| s.at == At::Outdoors && s.field == Field::Temp).unwrap();
    // Colder than the typical year by some degrees that change from day to day.
    let outdoors = |ms: i64| {
        let day = (ms.div_euclid(24 * HOUR_MS) % 7) as f64;
        let place = (setup.clock.year_s(ms) / 3600.0) as usize % typical.hours.len();
        typical.hours[place].temp_k - 2.0 - 0.5 * day
    };
    let measured = |s: usize, ms: i64| if s == out { outdoors(ms) } else { f64::NAN };
    let plain = Around {
        sources: &setup.sources,
        devices: &setup.devices,
        weather: typical,
        clock: setup.clock,
        measured: &measured,
    };
    let mut values: Vec<Vec<f64>> = vec![Vec::new(); setup.sources.len()];
    let mut standing: Option<Standing> = None;
    for day in 0..days {
        if day == days - open_days {
            open_window(&mut truth, 1, 0.25).unwrap();
        }
        let start_ms = from_ms + day * 24 * HOUR_MS;
        let weather = expect::outdoors(typical, &plain, start_ms - HOUR_MS, start_ms + 25 * HOUR_MS);
        let around = Around { weather: &weather, ..plain };
        let standing = standing.get_or_insert_with(|| Standing::new(&truth, &weather).unwrap());
        let (lists, _) = expect::hours(&truth, standing, &around, (start_ms, 24)).unwrap();
        values.iter_mut().zip(lists).for_each(|(all, more)| all.extend(more));
    }
    let mut luck = Stream::new(7, "sensors");
    let trace = |(k, source): (usize, &engine::watch::Source)| {
        let points = (0..days * 24).map(|hour| {
            let ms = from_ms + hour * HOUR_MS;
            let si = if k == out { outdoors(ms) } else { values[k][hour as usize] };
            let shown = match source.field {
                Field::Co2 => 1e6 * si + 8.0 * luck.normal(),
                _ => si - 273.15 + 0.1 * luck.normal(),
            };
            (ms + HOUR_MS / 2, (shown * 100.0).round() / 100.0)
        });
        (source.name.clone(), points.collect())
    };
    setup.sources.iter().enumerate().map(trace).collect()
}
