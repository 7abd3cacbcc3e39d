//! The watch over a job's series: every `watch/*.csv` and the series beside visits whose columns are traces
//! (`bedroom.co2 ppm`) are lived through again, in the order of time, as a live watch would have.

use crate::present::watch::{Called, Names};
use crate::{File, Job};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::series::{self, Series};
use engine::fit::Fit;
use engine::plan::model::{Luck, Surroundings, door_targets, model, targets};
use engine::rule::spelled;
use engine::watch::signals::{Ruled, RulesNow};
use engine::watch::{
    Alert, At, Band, Clock, Device, Due, Event, Field, Filter, HOUR_MS, Kind, Night, Now, OUTDOOR_CO2, Setup,
    Source, Watch,
};
use engine::year::Model;
use jiff::tz::{TimeZone, TimeZoneDatabase};
use serde::Serialize;
use std::ops::ControlFlow;

mod live;
mod rules;
mod standing;

pub use crate::present::watch::Places;
pub use live::{Fitted, Live, held};
pub use rules::LiveRules;
pub use standing::{Standing, Told, told};

/// Houses that the fit allows in which traces are expected.
const DRAWS: usize = 6;
/// Time between two looks of the rules, ms.
const RULES_MS: i64 = 300_000;

/// The watch at the end of the series.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Watched {
    /// From and to, ms.
    pub from_ms: i64,
    /// End.
    pub to_ms: i64,
    /// Traces as they stand.
    pub traces: Vec<Now>,
    /// What each measures, by trace.
    #[serde(skip)]
    pub fields: Vec<(String, Field)>,
    /// Alerts.
    pub alerts: Vec<Alert>,
    /// False alarms of each kind that are expected in a month of the whole house.
    pub expected_false_a_month: Vec<(Kind, Option<f64>)>,
    /// Events with their causes.
    pub events: Vec<Event>,
    /// What nights and departures told.
    pub nights: Vec<Night>,
    /// Filters.
    pub filters: Vec<Due>,
    /// Relative exposure and what is owed, s.
    pub owed: Option<(f64, f64)>,
    /// Rules that are on at the end, by their names.
    pub rules_on: Vec<String>,
    /// Rules of which a signal is lost at the end.
    pub rules_lost: Vec<String>,
    /// Rules and devices as they stand at the end; nothing without rules.
    pub rules: Option<RulesNow>,
    /// Whether anything is expected of rooms: whether there is a fitted house with weather.
    pub has_model: bool,
    /// The clock of the house, for showing.
    #[serde(skip)]
    pub zone: Option<TimeZone>,
    /// What was remembered, for a store.
    #[serde(skip)]
    pub watch: Watch,
}

/// Time zone of the job.
fn zone(job: &Job) -> Option<TimeZone> {
    let name = job.documents.job.place.time_zone.as_ref()?;
    TimeZoneDatabase::bundled().get(&name.value).ok()
}

/// Standard time ahead of UTC, s: the least of January and July.
fn ahead_s(zone: Option<&TimeZone>) -> f64 {
    let at = |month| {
        let start = TimeZone::UTC.to_timestamp(jiff::civil::date(2029, month, 1).at(0, 0, 0, 0)).ok()?;
        Some(zone?.to_offset(start).seconds())
    };
    [1, 7].into_iter().filter_map(at).min().map_or(0.0, f64::from)
}

/// Parameters of the houses that are stepped, the middle of the fit first.
fn chosen(fit: &Fit) -> Vec<Vec<f64>> {
    let count = fit.draws.len();
    let mut middle = vec![0.0; fit.draws.first().map_or(0, Vec::len)];
    for draw in &fit.draws {
        middle.iter_mut().zip(draw).for_each(|(t, d)| *t += d / count as f64);
    }
    let spread = (0..DRAWS - 1).filter_map(|k| fit.draws.get(k * count / (DRAWS - 1)).cloned());
    std::iter::once(middle).chain(spread).collect()
}

/// Houses of the fit, the middle one first; none where the parameters are not those of the house.
fn draws(job: &Job, chosen: &[Vec<f64>]) -> Vec<Model> {
    let (Some(house), Some(weather)) = (&job.house, &job.weather) else { return Vec::new() };
    let around = Surroundings { place: &job.documents.job.place, weather, rules: None };
    if chosen.iter().any(|theta| theta.len() != house.params.len()) {
        return Vec::new();
    }
    chosen
        .iter()
        .enumerate()
        .filter_map(|(at, theta)| {
            let luck = Luck { seed: job.documents.job.seed, draw: at };
            model(house, theta, &[], luck, around).ok()
        })
        .collect()
}

/// Devices that traces may belong to.
fn devices(job: &Job) -> Vec<Device> {
    let list = job.house.as_ref().map(targets).unwrap_or_default();
    list.into_iter().map(|(name, target)| Device { name, target }).collect()
}

/// A column as a trace of this house; `doors` are those that may open, with their index in the model.
fn source(name: &str, job: &Job, devices: &[Device], doors: &[(String, Option<usize>)]) -> Option<Source> {
    let (place, field) = name.split_once('.')?;
    let field = Field::named(field)?;
    let at = match place {
        "outdoor" => At::Outdoors,
        _ => {
            let zone = job.house.as_ref()?.zones.iter().position(|z| spelled(&z.name) == place);
            let device = || devices.iter().position(|d| spelled(&d.name) == place);
            let door = || doors.iter().find(|d| spelled(&d.0) == place)?.1.map(At::Door);
            zone.map(At::Zone).or_else(|| device().map(At::Device)).or_else(door)?
        }
    };
    Some(Source { name: name.to_owned(), at, field, accuracy: field.usual_accuracy() })
}

/// Series beside visits without a field test, which nobody has read: those with traces, and empty ones, which are said.
fn beside<'f>(job: &'f Job, files: &'f [File]) -> impl Iterator<Item = &'f File> {
    let visits = job.documents.visits.iter().filter(|v| v.field.is_empty());
    let folders: Vec<&str> = visits.map(|v| v.folder.as_str()).collect();
    files.iter().filter(move |f| {
        let here = f.name.rsplit_once('/').is_some_and(|(folder, _)| folders.contains(&folder));
        let header = f.text.lines().find(|l| !l.trim().is_empty() && !l.starts_with('#'));
        let traces = header.is_none_or(|h| h.split(',').skip(1).any(|c| c.contains('.')));
        here && f.name.ends_with(".csv") && traces
    })
}

/// Series that the watch lives through.
fn all_series(job: &Job, files: &[File]) -> Vec<Series> {
    let named = |f: &&File| f.name.starts_with("watch/") && f.name.ends_with(".csv");
    let mut list: Vec<Series> =
        files.iter().filter(named).filter_map(|f| series::read(f, job.sink())).collect();
    let traced = |s: &&Series| s.start.is_some() && s.names().any(|n| n.contains('.'));
    list.extend(job.series.iter().filter(traced).cloned());
    list.extend(beside(job, files).filter_map(|f| series::read(f, job.sink())));
    list
}

/// What the series of a job hold, trace by trace.
#[derive(Debug, Default)]
pub(crate) struct Gathered {
    /// The traces.
    pub(crate) sources: Vec<Source>,
    /// Their points in the order of time: ms since 1970, SI.
    pub(crate) points: Vec<Vec<(i64, f64)>>,
    /// Devices that they may belong to.
    devices: Vec<Device>,
    /// `watch.toml`.
    pub(crate) written: engine::doc::watch::Watch,
    /// The clock of the house.
    pub(crate) zone: Option<TimeZone>,
}

/// Reads all series of a job; what cannot be read is said.
pub(crate) fn gather(job: &Job, files: &[File]) -> Gathered {
    let list = all_series(job, files);
    let devices = devices(job);
    let doors = job.house.as_ref().map(door_targets).unwrap_or_default();
    let written = engine::doc::watch::of_job(files, job.sink());
    let found = engine::doc::watch::check(&written, job.documents.house.as_ref());
    job.sink().borrow_mut().append(found);
    let zone = zone(job);
    let mut sources: Vec<Source> = Vec::new();
    let mut points: Vec<Vec<(i64, f64)>> = Vec::new();
    for series in &list {
        let Some(start) = series.start else {
            job.say(Diagnostic::warning(code::L122).at(Span::new(&series.file, 0..0)));
            continue;
        };
        let in_utc = |s: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "a time within centuries")]
            let at = start.checked_add(jiff::SignedDuration::from_millis((s * 1000.0) as i64)).ok()?;
            let zone = zone.clone().unwrap_or(TimeZone::UTC);
            zone.to_timestamp(at).ok().map(|t| t.as_millisecond())
        };
        let times: Vec<Option<i64>> = series.time_s.iter().map(|s| in_utc(*s)).collect();
        for name in series.names() {
            let Some(mut of) = source(name, job, &devices, &doors) else {
                if series.file.starts_with("watch/") {
                    job.say(
                        Diagnostic::warning(code::L121).at(Span::new(&series.file, 0..0)).arg("name", name),
                    );
                }
                continue;
            };
            let Some(values) = series.column(name, of.field.quantity(), job.sink()) else { continue };
            if let Some((_, accuracy)) = written.accuracies.iter().find(|a| a.0.value == name) {
                of.accuracy = *accuracy;
            }
            let at = sources.iter().position(|s| s.name == name).unwrap_or_else(|| {
                sources.push(of);
                points.push(Vec::new());
                sources.len() - 1
            });
            points[at].extend(
                times.iter().zip(values).filter(|(_, v)| v.is_finite()).filter_map(|(t, v)| Some(((*t)?, v))),
            );
        }
    }
    points.iter_mut().for_each(|p| p.sort_by_key(|p| p.0));
    Gathered { sources, points, devices, written, zone }
}

/// Lives through all series of a job; what is shown begins at `since`.
pub(crate) fn answer(job: &Job, files: &[File], fit: Option<&Fit>, since: Option<&str>) -> Option<Watched> {
    let since_ms = |zone: Option<&TimeZone>| since.and_then(|text| moment_ms(text, zone));
    let gathered = gather(job, files);
    let since_ms = since_ms(gathered.zone.as_ref()).unwrap_or(i64::MIN);
    live_through(job, &gathered, fit, since_ms, &mut |_, _| ControlFlow::Continue(()))
}

/// Hears what was expected in the hours that were just judged, and which part of the time they end.
pub(crate) type Hear<'h> = dyn FnMut(Vec<Band>, f64) -> ControlFlow<()> + 'h;

/// Lives through what was gathered; nothing where there is no trace, or where whoever hears it stops it.
pub(crate) fn live_through(
    job: &Job,
    gathered: &Gathered,
    fit: Option<&Fit>,
    since_ms: i64,
    hear: &mut Hear<'_>,
) -> Option<Watched> {
    let zone = gathered.zone.clone();
    if gathered.sources.is_empty() {
        job.say(Diagnostic::error(code::L123).at(Span::new("watch", 0..0)));
        return None;
    }
    let models = fit.map(|f| draws(job, &chosen(f))).unwrap_or_default();
    let has_model = !models.is_empty() && job.weather.is_some();
    if !has_model {
        job.say(Diagnostic::warning(code::L124).at(Span::new("house.toml", 0..0)));
    }
    let filters = filters(job, &gathered.written, &gathered.devices, zone.as_ref());
    let place = &job.documents.job.place;
    let setup = Setup {
        sources: gathered.sources.clone(),
        devices: gathered.devices.clone(),
        filters,
        draws: &models,
        weather: job.weather.as_ref(),
        clock: Clock { ahead_s: ahead_s(zone.as_ref()) },
        false_a_month: engine::watch::FALSE_A_MONTH,
        exposure: job.rules.as_ref().and_then(|s| s.exposure),
        volume_m3: job.rules.as_ref().map_or(0.0, |s| s.volume_m3),
        outdoor_co2: place.outdoor_co2.unwrap_or(OUTDOOR_CO2),
        appliance_zone: models.first().and_then(|m| m.appliance_zone),
    };
    replay(job, &setup, &gathered.points, since_ms, (has_model, zone), hear)
}

fn filters(
    job: &Job,
    written: &engine::doc::watch::Watch,
    devices: &[Device],
    zone: Option<&TimeZone>,
) -> Vec<Filter> {
    let one = |w: &engine::doc::watch::Filter| {
        let Some(device) = devices.iter().position(|d| spelled(&d.name) == w.device.value) else {
            let known: Vec<&str> = devices.iter().map(|d| d.name.as_str()).collect();
            job.say(
                Diagnostic::error(code::L125)
                    .at(w.device.span.clone())
                    .arg("name", w.device.value.as_str())
                    .arg("known", known.join(", ")),
            );
            return None;
        };
        let zone = zone.cloned().unwrap_or(TimeZone::UTC);
        let new = w.new.and_then(|d| zone.to_timestamp(d.at(0, 0, 0, 0)).ok());
        Some(Filter {
            device,
            sits: w.sits,
            motor: w.motor,
            flow_m3_s: w.flow_m3_s,
            intake_m3_s: w.intake_m3_s,
            drop_pa: w.drop_pa,
            return_pa: w.return_pa,
            rest_pa: w.rest_pa,
            new_ms: new.map(|t| t.as_millisecond()),
            limit: w.limit,
        })
    };
    written.filters.iter().filter_map(one).collect()
}

/// Feeds the points hour by hour, rules and all.
fn replay(
    job: &Job,
    setup: &Setup<'_>,
    points: &[Vec<(i64, f64)>],
    since_ms: i64,
    (has_model, zone): (bool, Option<TimeZone>),
    hear: &mut Hear<'_>,
) -> Option<Watched> {
    let ends = || points.iter().filter_map(|p| Some((p.first()?.0, p.last()?.0)));
    let (from_ms, to_ms) = (ends().map(|e| e.0).min()?, ends().map(|e| e.1).max()?);
    let mut watch = Watch::default();
    let ruled_set = job.rules.clone().filter(|s| !s.rules.is_empty());
    let mut ruled = ruled_set.map(Ruled::new);
    let mut next = vec![0_usize; points.len()];
    let mut now_ms = from_ms.div_euclid(HOUR_MS) * HOUR_MS;
    // Without rules a day at a time is the same and quicker.
    let stride = if ruled.is_some() { RULES_MS } else { 24 * HOUR_MS };
    while now_ms <= to_ms {
        now_ms += stride;
        for (source, list) in points.iter().enumerate() {
            let until = next[source] + list[next[source]..].partition_point(|p| p.0 < now_ms);
            watch.take(setup, source, &list[next[source]..until]);
            next[source] = until;
        }
        if let Some(ruled) = &mut ruled {
            ruled.step(setup, &watch, now_ms.min(to_ms));
        }
        if now_ms % (24 * HOUR_MS) < stride || now_ms > to_ms {
            // The hour after the last point is no silence.
            if let Err(error) = watch.advance(setup, now_ms.min(to_ms + HOUR_MS)) {
                job.say(Diagnostic::error(code::L126).arg("error", error.to_string()));
                return None;
            }
            let part = (now_ms - from_ms) as f64 / (to_ms - from_ms).max(1) as f64;
            if hear(watch.take_bands(), part.min(1.0)).is_break() {
                return None;
            }
        }
    }
    watch.decays(setup, to_ms + 2 * HOUR_MS);
    let named = |on: fn(&engine::rule::Machine, usize) -> bool| -> Vec<String> {
        let Some(ruled) = &ruled else { return Vec::new() };
        let machine = ruled.machine();
        let rules = machine.set().rules.iter().enumerate();
        rules.filter(|(k, _)| on(machine, *k)).map(|(_, r)| r.label.clone()).collect()
    };
    Some(Watched {
        from_ms,
        to_ms,
        traces: watch.now(setup),
        fields: setup.sources.iter().map(|s| (s.name.clone(), s.field)).collect(),
        alerts: watch.alerts().filter(|a| a.time_ms >= since_ms).cloned().collect(),
        expected_false_a_month: Kind::ALL.map(|k| (k, k.false_a_month(setup.false_a_month))).to_vec(),
        events: watch.events().filter(|e| e.end_ms.unwrap_or(to_ms) >= since_ms).cloned().collect(),
        nights: watch.nights().filter(|n| n.to_ms >= since_ms).cloned().collect(),
        filters: watch.filters(setup),
        owed: watch.owed(),
        rules_on: named(engine::rule::Machine::is_on),
        rules_lost: named(engine::rule::Machine::is_lost),
        rules: ruled.as_ref().and_then(Ruled::now),
        has_model,
        zone,
        watch,
    })
}

/// A date, or a date and a time, of the house's clock.
pub(crate) fn moment_ms(text: &str, zone: Option<&TimeZone>) -> Option<i64> {
    let at: jiff::civil::DateTime =
        text.parse().ok().or_else(|| text.parse::<jiff::civil::Date>().ok().map(|d| d.at(0, 0, 0, 0)))?;
    let zone = zone.cloned().unwrap_or(TimeZone::UTC);
    zone.to_timestamp(at).ok().map(|t| t.as_millisecond())
}

/// The likeliest causes of an event with their shares, in words for somebody who knows the house; `fields` are what
/// its traces measure.
pub fn cause_words(
    event: &Event,
    fields: &[(String, Field)],
    live: &Live,
    words: &report::words::Words,
) -> Vec<(f64, String)> {
    let called = Called::of(live.job.documents.house.as_ref(), &live.document);
    crate::present::watch::likeliest(event, fields, words, &Names::Called(called))
}

/// Events and alerts, for whoever keeps them.
pub(crate) fn kept(w: &Watched) -> File {
    let text = serde_json::json!({ "events": w.events, "alerts": w.alerts });
    File { name: "watch-events.json".to_owned(), text: format!("{text:#}\n") }
}

#[cfg(test)]
mod tests {
    use crate::{Inputs, Request, answer, demo};
    use engine::doc::File;
    use engine::watch::Kind;
    use std::ops::ControlFlow;

    fn watched(csv: &str, extra: &[(&str, &str)], spanish: bool) -> crate::Outcome {
        let mut files = demo().unwrap();
        files.push(File { name: "watch/log.csv".into(), text: csv.into() });
        files.extend(extra.iter().map(|(name, text)| File { name: (*name).into(), text: (*text).into() }));
        if spanish {
            let job = files.iter_mut().find(|f| f.name == "job.toml").unwrap();
            job.text = job.text.replace("language = \"en\"", "language = \"es\"");
        }
        let request = Request::Watch { since: None };
        answer(&request, &Inputs { files, now: String::new() }, &mut |_| ControlFlow::Continue(()))
    }

    /// Six days of ten minutes: a bedroom of two, with a sample of carbon monoxide in it.
    fn days() -> String {
        let mut csv =
            "time,bedroom.co2 ppm,bedroom.temp degC,main.co ppm,outdoor.temp degC,bath_fan.flow cfm\n"
                .to_owned();
        for k in 0..6 * 144 {
            let (day, minute) = (k / 144 + 1, k % 144 * 10);
            let hour = f64::from(minute) / 60.0;
            let night = |h: f64| 900.0 * (1.0 - engine::math::exp(-h / 2.5));
            let excess = match hour {
                h if h >= 22.0 => night(h - 22.0),
                h if h < 7.0 => night(h + 2.0),
                h => night(9.0) * engine::math::exp(-(h - 7.0) / 2.0),
            };
            let co = if k == 500 { 12.0 } else { 1.0 };
            let fan = if (6..8).contains(&(minute / 60)) { 50.0 } else { 0.0 };
            csv += &format!(
                "2026-11-{:02} {:02}:{:02},{:.0},20.5,{co},8,{fan}\n",
                day,
                minute / 60,
                minute % 60,
                425.0 + excess
            );
        }
        csv
    }

    #[test]
    fn a_job_is_watched_in_both_languages() {
        let toml = "format = 1\n[trace.one]\ncolumn = \"bedroom.co2\"\naccuracy = \"30 ppm + 3 %\"\n[filter.hall]\ndevice = \"air_handler\"\nflow = \"1000 cfm\"\ndrop = \"25 Pa\"\n";
        let out = watched(&days(), &[("watch.toml", toml)], false);
        let w = out.data.watch.as_ref().unwrap();
        assert!(w.has_model && w.traces.len() == 5, "{:?} {:?}", w.traces, out.diagnostics);
        assert!(w.traces.iter().any(|t| t.trace == "bedroom.co2" && t.within.is_some()));
        let monoxide: Vec<_> = w.alerts.iter().filter(|a| a.kind == Kind::CarbonMonoxide).collect();
        assert_eq!(monoxide.len(), 1);
        let decays = w.nights.iter().filter(|n| matches!(n.told, engine::watch::Told::Decay { .. })).count();
        assert!(decays >= 5, "{:?}", w.nights);
        let text = &out.summary.text;
        assert!(text.contains("alarms must be present") && text.contains("9 ppm (bpi-1200)"), "{text}");
        assert!(!text.contains("watch-"), "a key without words: {text}");
        assert!(out.documents.iter().any(|d| d.name == "watch-events.json"));
        assert_eq!(out.exit_code(), 1);
        let text = watched(&days(), &[], true).summary.text;
        assert!(text.contains("Debe haber alarmas") && !text.contains("watch-"), "{text}");
    }

    #[test]
    fn what_is_no_trace_is_said() {
        let out = watched("time,bedrom.co2 ppm\n2026-11-01 10:00,500\n", &[], false);
        let codes: Vec<&str> = out.diagnostics.list.iter().map(|d| d.code.0).collect();
        assert!(codes.contains(&"L121") && codes.contains(&"L123"), "{codes:?}");
    }
}
