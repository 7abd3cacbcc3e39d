//! Causes of an event, weighed by how the house would look under each.
//!
//! Every cause is a change to the model (or to one trace). The house is stepped again from before the event with
//! the change in it, at several sizes; what then differs from the undisturbed step is laid over what
//! was expected, and all traces say how likely their readings are, each with the scatter and the likeness of neighbours
//! that it had before. Sizes of one cause have equal parts, and causes are equal beforehand. What no
//! candidate explains is left to *other*, which fits every trace of the event freely and pays for it.

use super::event::{Cause, What};
use super::expect::{self, Around, HOUR_MS};
use super::source::{At, Field, Filter};
use crate::device::person;
use crate::math;
use crate::network::{Kind, Network, Node, Passage as Way};
use crate::weather::Weather;
use crate::year::live::Standing;
use crate::year::{DuctLeak, Model, Occupant, Open, Passage, Schedule, Target, YearError, ZoneKind};

/// Innovations further off than this many sd count no more.
const FURTHEST: f64 = 5.0;
/// What an hour counts in the likelihood: the model errs for hours on end in ways that an autoregression of one hour does
/// not know; four hours count as one (a rule of our own).
const AN_HOUR: f64 = 0.25;
/// What *other* pays for each trace that it fits freely, in units of the log likelihood: that of a number told by some
/// days of hours (Schwarz's criterion, `0.5 ln n`), and that it explains nothing.
const OTHER_PAYS: f64 = 4.0;
/// How well the house with a cause in it tells what changes, as a part of the change: the leaks of a fit are known to
/// some 15 % (a rule of our own). Without it a large change that is told well counts as far off, for
/// traces that hardly scatter else.
const TOLD_TO: f64 = 0.15;
/// Openings of a window, m of height at 0.8 m of width.
const WINDOW_M: [f64; 3] = [0.05, 0.25, 0.8];
const DUCT_SHARES: [f64; 3] = [0.15, 0.3, 0.6];
const MORE_PEOPLE: [f64; 3] = [1.0, 2.0, 5.0];
const SMOKE_KG_M3: [f64; 3] = [20e-9, 60e-9, 200e-9];
const LOADS: [f64; 4] = [1.3, 1.7, 2.5, 4.0];
/// Offsets of a sensor in units of its stated limit.
const OFFSETS: [f64; 8] = [-8.0, -4.0, -2.0, -1.0, 1.0, 2.0, 4.0, 8.0];

/// One trace's past over the hours that are weighed, in units of its usual scatter.
#[derive(Clone, Debug)]
pub struct Evidence {
    /// The source, by index.
    pub source: usize,
    /// Measured less expected less what is usual, over the scatter; NaN in gaps. The first is the hour before.
    pub values: Vec<f64>,
    /// Scatter of each hour, SI.
    pub scatter: Vec<f64>,
    /// Level that the trace usually shows in each hour, SI.
    pub level: Vec<f64>,
    /// How alike neighbours are.
    pub phi: f64,
    /// Standard deviation of an innovation.
    pub innovation_sd: f64,
    /// The instrument's limit at that level, SI.
    pub limit: f64,
    /// Whether it belongs to the event.
    pub in_event: bool,
}

impl Evidence {
    /// Log likelihood with `delta` (SI, one an hour, as `values`) taken off, which is known to `part` of itself.
    fn log(&self, delta: impl Fn(usize) -> f64, part: f64) -> f64 {
        let off = |k: usize| if k == 0 { 0.0 } else { delta(k) / self.scatter[k] };
        let mut sum = 0.0;
        for k in 1..self.values.len() {
            let (by, by_before) = (off(k), off(k - 1));
            let (now, before) = (self.values[k] - by, self.values[k - 1] - by_before);
            if now.is_finite() && before.is_finite() {
                let own = part * by / self.innovation_sd;
                let wide = 1.0 + own * own;
                let z = (now - self.phi * before) / self.innovation_sd;
                sum -= 0.5 * AN_HOUR * ((z * z / wide).min(FURTHEST * FURTHEST) + math::ln(wide));
            }
        }
        sum
    }
}

/// What is needed to weigh.
pub struct Scene<'a> {
    /// The middle of the fit.
    pub model: &'a Model,
    /// Where the house stood at the hour before the event, undisturbed.
    pub standing: &'a Standing,
    /// First hour of the event, ms, and hours.
    pub span: (i64, usize),
    /// Traces.
    pub around: &'a Around<'a>,
    /// Filters.
    pub filters: &'a [Filter],
    /// The past of each trace that has one, one value more than hours.
    pub evidence: &'a [Evidence],
}

/// Weighs all causes; shares add up to one, the likeliest first.
///
/// # Errors
/// [`YearError`] of the undisturbed step; a candidate that cannot be solved is left out.
pub fn weigh(scene: &Scene<'_>) -> Result<Vec<Cause>, YearError> {
    let step = |model: &Model, weather: &Weather| {
        let around = Around { weather, ..*scene.around };
        expect::hours(model, &mut scene.standing.clone(), &around, scene.span).map(|h| h.0)
    };
    let base = step(scene.model, scene.around.weather)?;
    let still: f64 = scene.evidence.iter().map(|e| e.log(|_| 0.0, 0.0)).sum();
    let mut logs: Vec<(What, f64, f64)> = Vec::new();
    for (what, sizes) in candidates(scene) {
        let mut tried: Vec<(f64, f64)> = Vec::new();
        for size in sizes {
            let log = match &what {
                What::Smoke => {
                    let weather = smoky(scene, size);
                    step(scene.model, &weather).ok().map(|h| log_of(scene, &base, &h))
                }
                What::Filter { device } => Some(filter_log(scene, device, size)),
                What::Sensor { trace } => Some(sensor_log(scene, trace, size)),
                _ => changed(scene, &what, size)
                    .and_then(|model| step(&model, scene.around.weather).ok())
                    .map(|h| log_of(scene, &base, &h)),
            };
            tried.extend(log.map(|l| (size, l)));
        }
        let Some((size, most)) = tried.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        let mean = tried.iter().map(|t| math::exp(t.1 - most)).sum::<f64>() / tried.len() as f64;
        let amount = match &what {
            What::Sensor { trace } => size * limit_of(scene, trace),
            What::Window { .. } => 0.8 * size,
            _ => size,
        };
        logs.push((what, amount, most + math::ln(mean)));
    }
    let freely: f64 = scene.evidence.iter().filter(|e| e.in_event).map(freely).sum();
    let rest: f64 = scene.evidence.iter().filter(|e| !e.in_event).map(|e| e.log(|_| 0.0, 0.0)).sum();
    let paid = OTHER_PAYS * scene.evidence.iter().filter(|e| e.in_event).count() as f64;
    logs.push((What::Other, 1.0, (freely + rest - paid).max(still)));
    let most = logs.iter().map(|l| l.2).fold(f64::NEG_INFINITY, f64::max);
    let whole: f64 = logs.iter().map(|l| math::exp(l.2 - most)).sum();
    let mut causes: Vec<Cause> = logs
        .into_iter()
        .map(|(what, amount, log)| Cause { what, amount, share: math::exp(log - most) / whole })
        .collect();
    causes.sort_by(|a, b| b.share.total_cmp(&a.share));
    Ok(causes)
}

fn log_of(scene: &Scene<'_>, base: &[Vec<f64>], with: &[Vec<f64>]) -> f64 {
    let of = |e: &Evidence| {
        let changed = |k: usize| {
            let (with, base) = (with[e.source][k - 1], base[e.source][k - 1]);
            // What moves no air any more is unknown to the changed house: it shows nothing.
            let with = if with.is_finite() { with } else { 0.0 };
            if base.is_finite() { with - base } else { 0.0 }
        };
        e.log(changed, TOLD_TO)
    };
    scene.evidence.iter().map(of).sum()
}

/// The best constant offset of a trace, SI: about its median since the event began.
fn freely(e: &Evidence) -> f64 {
    let middle = middle(e);
    let shifts = [0.0, 0.6, 0.8, 0.9, 1.0, 1.1, 1.25].map(|part| e.log(|_| part * middle, 0.0));
    shifts.into_iter().fold(f64::NEG_INFINITY, f64::max)
}

/// The largest fall of an hour, or rise where none fell, SI: of a device that runs at times.
fn most(e: &Evidence) -> f64 {
    let each = e.values.iter().zip(&e.scatter).skip(1).map(|(v, s)| v * s).filter(|v| v.is_finite());
    let mut sorted: Vec<f64> = each.collect();
    sorted.sort_by(f64::total_cmp);
    math::quantile_sorted(&sorted, 0.1).unwrap_or(0.0)
}

/// Median of measured less expected since the event began, SI.
fn middle(e: &Evidence) -> f64 {
    let each = e.values.iter().zip(&e.scatter).skip(1).map(|(v, s)| v * s);
    let mut sorted: Vec<f64> = each.filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    math::quantile_sorted(&sorted, 0.5).unwrap_or(0.0)
}

fn limit_of(scene: &Scene<'_>, trace: &str) -> f64 {
    let named = |e: &&Evidence| scene.around.sources[e.source].name == trace;
    scene.evidence.iter().find(named).map_or(0.0, |e| e.limit)
}

fn sensor_log(scene: &Scene<'_>, trace: &str, size: f64) -> f64 {
    let of = |e: &Evidence| {
        let own = scene.around.sources[e.source].name == trace;
        e.log(|_| if own { size * e.limit } else { 0.0 }, 0.0)
    };
    scene.evidence.iter().map(of).sum()
}

fn filter_log(scene: &Scene<'_>, device: &str, load: f64) -> f64 {
    let sources = scene.around.sources;
    let at = scene.around.devices.iter().position(|d| d.name == device);
    let path = scene.filters.iter().find(|f| Some(f.device) == at).and_then(Filter::path);
    let of = |e: &Evidence| {
        let source = &sources[e.source];
        let here = matches!(source.at, At::Device(d) if Some(d) == at);
        let ratio = match (&path, source.field.shows()) {
            (Some(path), Some(shows)) if here => path.shows(shows, load) - 1.0,
            _ => 0.0,
        };
        e.log(|k| ratio * e.level[k], 0.0)
    };
    scene.evidence.iter().map(of).sum()
}

fn smoky(scene: &Scene<'_>, more_kg_m3: f64) -> Weather {
    let mut weather = scene.around.weather.clone();
    let count = weather.hours.len();
    if weather.pm25_kg_m3.is_empty() {
        weather.pm25_kg_m3 = (0..count)
            .map(|h| scene.model.outdoor.pm25_kg_m3[crate::weather::month_of(h / 24 % crate::weather::DAYS)])
            .collect();
    }
    for k in 0..scene.span.1 {
        let hour = scene.around.clock.year_s(scene.span.0 + HOUR_MS * k as i64) / 3600.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an hour of the year")]
        let place = hour.max(0.0) as usize % count.max(1);
        if let Some(value) = weather.pm25_kg_m3.get_mut(place) {
            *value += more_kg_m3;
        }
    }
    weather
}

/// What the house could have, with sizes.
fn candidates(scene: &Scene<'_>) -> Vec<(What, Vec<f64>)> {
    let (model, around) = (scene.model, scene.around);
    let mut list: Vec<(What, Vec<f64>)> = Vec::new();
    for (d, device) in around.devices.iter().enumerate() {
        if device.target != Target::Absent && !matches!(device.target, Target::Drier(_)) {
            let mut lost = vec![1.0, 0.5];
            // What its own flow says, where that is measured.
            let own = scene.evidence.iter().find(|e| {
                let source = &around.sources[e.source];
                source.at == At::Device(d) && source.field == Field::Flow
            });
            let level = own.map(|e| math::max_valid(e.level.iter().copied()).unwrap_or(0.0));
            if let (Some(e), Some(level)) = (own, level.filter(|l| *l > 0.0)) {
                lost.extend(Some(-most(e) / level).filter(|part| (0.03..0.97).contains(part)));
            }
            list.push((What::Stopped { device: device.name.clone() }, lost));
            list.push((What::Runs { device: device.name.clone() }, vec![1.0]));
        }
    }
    let name = |node: Node| match node {
        Node::Zone(z) => model.zones[z].name.clone(),
        Node::Outdoors { .. } => String::new(),
    };
    for door in &model.doors {
        let Some(way) = model.network.passages().get(door.passage) else { continue };
        let between = [name(way.a), name(way.b)];
        // Stacks and lines of fans are doors of the network too, but none that people shut.
        if between.iter().all(|b| !b.is_empty()) {
            list.push((What::DoorOpen { between: between.clone() }, vec![1.0]));
            list.push((What::DoorShut { between }, vec![1.0]));
        }
    }
    for zone in model.zones.iter().filter(|z| z.kind == ZoneKind::Conditioned) {
        list.push((What::Window { zone: zone.name.clone() }, WINDOW_M.to_vec()));
        list.push((What::People { zone: zone.name.clone() }, MORE_PEOPLE.to_vec()));
    }
    if let Some(h) = &model.handler {
        let mut into: Vec<Option<usize>> = vec![h.supply_leak.and_then(|l| l.zone)];
        into.extend((0..model.zones.len()).filter(|z| model.zones[*z].kind == ZoneKind::Buffer).map(Some));
        into.sort_unstable();
        into.dedup();
        for z in into.into_iter().flatten() {
            list.push((What::Duct { into: model.zones[z].name.clone() }, DUCT_SHARES.to_vec()));
        }
    }
    if model.heating.is_some() || model.cooling.is_some() {
        list.push((What::NoHeat, vec![1.0]));
    }
    // Where outdoor particles are measured, smoke is in the expectation already.
    if !around.sources.iter().any(|s| s.at == At::Outdoors && s.field == Field::Pm25) {
        list.push((What::Smoke, SMOKE_KG_M3.to_vec()));
    }
    for filter in scene.filters.iter().filter(|f| f.path().is_some()) {
        if let Some(device) = around.devices.get(filter.device) {
            list.push((What::Filter { device: device.name.clone() }, LOADS.to_vec()));
        }
    }
    for e in scene.evidence.iter().filter(|e| e.in_event && e.limit > 0.0) {
        let mut sizes = OFFSETS.to_vec();
        sizes.push(middle(e) / e.limit);
        list.push((What::Sensor { trace: around.sources[e.source].name.clone() }, sizes));
    }
    list
}

/// The house with the change; nothing where it has no such thing.
pub fn changed(scene: &Scene<'_>, what: &What, size: f64) -> Option<Model> {
    let mut model = scene.model.clone();
    let zone = |m: &Model, name: &str| m.zones.iter().position(|z| z.name == name);
    match what {
        What::Stopped { device } | What::Runs { device } => {
            let stopped = matches!(what, What::Stopped { .. });
            let target = scene.around.devices.iter().find(|d| d.name == *device)?.target;
            turn(&mut model, target, stopped.then_some(size))?;
        }
        What::DoorOpen { between } | What::DoorShut { between } => {
            let open = matches!(what, What::DoorOpen { .. });
            let at = model.doors.iter().position(|d| {
                model.network.passages().get(d.passage).is_some_and(|way| {
                    let ends = [way.a, way.b].map(|n| match n {
                        Node::Zone(z) => model.zones[z].name.as_str(),
                        Node::Outdoors { .. } => "",
                    });
                    ends[0] == between[0] && ends[1] == between[1]
                })
            })?;
            model.doors[at].open = Open::Hours([open; 24]);
        }
        What::Window { zone: name } => {
            let z = zone(&model, name)?;
            open_window(&mut model, z, size)?;
        }
        What::People { zone: name } => {
            let z = zone(&model, name)?;
            let basal_w = person::basal_w(person::Sex::Female, 35.0, 70.0);
            let mut more = Occupant::person(basal_w, [Some(z); 24], [1.3; 24]);
            for list in [&mut more.co2_m3_s, &mut more.water_kg_s, &mut more.heat_w] {
                list.iter_mut().for_each(|v| *v *= size);
            }
            more.persons = size;
            model.occupants.push(more);
        }
        What::Duct { into } => {
            let z = zone(&model, into)?;
            let handler = model.handler.as_mut()?;
            let was = handler.supply_leak.map_or(0.0, |l| l.share);
            handler.supply_leak = Some(DuctLeak { share: (was + size).min(0.95), zone: Some(z) });
        }
        What::NoHeat => model.thermostat = None,
        What::Smoke | What::Filter { .. } | What::Sensor { .. } | What::Other => return None,
    }
    model.check().is_empty().then_some(model)
}

/// A device that has lost a part of its flow (1: all), or that runs all day.
pub fn turn(model: &mut Model, target: Target, lost: Option<f64>) -> Option<()> {
    let always = Schedule::Always;
    let stopped = lost.is_some();
    let left = 1.0 - lost.unwrap_or(0.0);
    match target {
        Target::Exhaust(k) => {
            let fan = model.exhausts.get_mut(k)?;
            if stopped {
                fan.flow_kg_s *= left;
                fan.power_w *= if left > 0.0 { 1.0 } else { 0.0 };
            } else {
                fan.schedule = always;
            }
        }
        Target::Ventilator(k) => {
            let v = model.ventilators.get_mut(k)?;
            if stopped {
                v.supply_kg_s.iter_mut().chain(&mut v.exhaust_kg_s).for_each(|s| s.1 *= left);
                v.power_w *= if left > 0.0 { 1.0 } else { 0.0 };
            } else {
                v.schedule = always;
            }
        }
        Target::Handler => {
            let h = model.handler.as_mut()?;
            if left > 0.0 && stopped {
                h.flow_kg_s *= left;
            } else if stopped {
                h.least_duty = 0.0;
                model.thermostat = None;
            } else {
                h.least_duty = 1.0;
            }
        }
        Target::Drier(_) | Target::Absent => return None,
    }
    Some(())
}

/// A window in a room, open by a height, on a face that its walls have.
pub fn open_window(model: &mut Model, zone: usize, height_m: f64) -> Option<()> {
    let mut ways = model.network.passages().to_vec();
    let face = ways.iter().find_map(|w| match (w.a, w.b) {
        (Node::Outdoors { wind }, Node::Zone(z)) | (Node::Zone(z), Node::Outdoors { wind }) if z == zone => {
            Some(wind)
        }
        _ => None,
    });
    let floor_m = model.zones.get(zone)?.floor_m;
    ways.push(Way {
        a: Node::Outdoors { wind: face.unwrap_or(0) },
        b: Node::Zone(zone),
        z_m: floor_m + 1.0,
        kind: Kind::Opening { width_m: 0.8, height_m, bottom_m: floor_m + 1.0, discharge: 0.6 },
    });
    model.passages.push(Passage { pm25_passed: 1.0 });
    model.network = Network::new(model.zones.iter().map(|z| z.name.clone()), ways).ok()?;
    Some(())
}
