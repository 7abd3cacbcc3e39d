//! Taking a reading in the true house: what it costs, what the instrument shows.

use super::document::{Hazard, HazardKind, Practice, truth};
use crate::File;
use engine::diag::{Diagnostic, code};
use engine::doc::Sink;
use engine::doc::visit::{self as visit_text, Direction, Subject, Visit};
use engine::fit::observe::{Observations, Seen, collect};
use engine::fit::problem::{Problem, Row};
use engine::house::{self, House, Setup, WINDS, start};
use engine::math;
use engine::next::{Minutes, Reads, Stand, draws_down};
use engine::rng::Stream;
use engine::units::{Quantity, System};

/// Pressure that the test fan is set to, as the gauge shows it, Pa.
const TARGET_PA: f64 = 50.0;

/// What the learner asks for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Wanted {
    /// A reading of `visit.toml`.
    Reading {
        /// Of what: keys and names as in the document.
        subject: Vec<(&'static str, String)>,
        /// What is touched for it.
        set: Vec<(String, String)>,
    },
    /// A look or a measurement for safety.
    Look(Look),
}

/// Looks and measurements for safety.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Look {
    /// Carbon monoxide in the air, first at the door.
    AmbientCo,
    /// Fires and ash.
    Embers,
    /// Material that may hold asbestos.
    Asbestos,
    /// Fuel in and at the house.
    Fuel,
    /// How long an appliance spills.
    Spillage(String),
    /// Carbon monoxide in the flue of an appliance.
    FlueCo(String),
}

/// The words of looks with their minutes; common practice, no source.
pub(super) const LOOKS: [(&str, f64); 6] = [
    ("ambient CO", 2.0),
    ("look for embers", 3.0),
    ("look for asbestos", 5.0),
    ("look for fuel", 10.0),
    ("spillage of", 12.0),
    ("flue CO of", 8.0),
];

impl Look {
    /// Its key in the record.
    pub(super) fn key(&self) -> String {
        match self {
            Look::AmbientCo => "ambient CO".to_owned(),
            Look::Embers => "embers".to_owned(),
            Look::Asbestos => "asbestos".to_owned(),
            Look::Fuel => "fuel".to_owned(),
            Look::Spillage(a) => format!("spillage {a}"),
            Look::FlueCo(a) => format!("flue CO {a}"),
        }
    }

    pub(super) fn minutes(&self) -> f64 {
        let at = match self {
            Look::AmbientCo => 0,
            Look::Embers => 1,
            Look::Asbestos => 2,
            Look::Fuel => 3,
            Look::Spillage(_) => 4,
            Look::FlueCo(_) => 5,
        };
        LOOKS[at].1
    }
}

/// The words of a reading: `attic compared with outdoors; attic_hatch = open`, `flow of bath_fan`, or one of
/// [`LOOKS`].
pub(super) fn parse(text: &str) -> Option<Wanted> {
    let mut parts = text.split(';').map(str::trim);
    let what = parts.next()?.split_whitespace().collect::<Vec<_>>().join(" ");
    let lower = what.to_lowercase();
    let rest: Vec<&str> = parts.filter(|p| !p.is_empty()).collect();
    let name_after = |words: &str| {
        lower.starts_with(words).then(|| what.get(words.len()..).unwrap_or("").trim().to_owned())
    };
    let named = |words: &str| name_after(words).filter(|n| !n.is_empty());
    let look = match lower.as_str() {
        "ambient co" => Some(Look::AmbientCo),
        "look for embers" => Some(Look::Embers),
        "look for asbestos" => Some(Look::Asbestos),
        "look for fuel" => Some(Look::Fuel),
        _ => named("spillage of ").map(Look::Spillage).or_else(|| named("flue co of ").map(Look::FlueCo)),
    };
    if let Some(look) = look {
        return rest.is_empty().then_some(Wanted::Look(look));
    }
    let subject = match (named("flow of "), lower.find(" compared with ")) {
        (Some(of), _) => vec![("flow_of", of)],
        (None, Some(at)) => {
            let feels = what.get(..at)?.trim().to_owned();
            let against = what.get(at + " compared with ".len()..)?.trim().to_owned();
            vec![("feels", feels), ("compared_with", against)]
        }
        _ => return None,
    };
    let set = rest
        .iter()
        .flat_map(|p| p.split(','))
        .map(|pair| pair.split_once('=').map(|(k, v)| (k.trim().to_owned(), v.trim().to_owned())))
        .collect::<Option<Vec<_>>>()?;
    (subject.iter().all(|s| !s.1.contains(' '))).then_some(Wanted::Reading { subject, set })
}

/// The lines of a reading in `visit.toml`; nothing where no instrument takes it.
pub(super) fn lines(
    practice: &Practice,
    subject: &[(&str, String)],
    set: &[(String, String)],
    value: &str,
    time: &str,
) -> Option<String> {
    let tool = match subject.first()? {
        ("flow_of", of) if of == "test_fan" || of == "air_handler" => of.as_str(),
        ("flow_of", _) => "hood",
        _ => "pressure",
    };
    let with = practice.takes.get(tool)?;
    let text = super::document::toml_text;
    let mut out = format!("\n[[reading]]\ntime = {}\n", text(time));
    if !set.is_empty() {
        let pairs: Vec<String> = set.iter().map(|(k, v)| format!("{k} = {}", text(v))).collect();
        out += &format!("set = {{ {} }}\n", pairs.join(", "));
    }
    for (key, name) in subject {
        out += &format!("{key} = {}\n", text(name));
    }
    out += &format!("value = {}\nwith = {}\n", text(value), text(with));
    Some(out)
}

/// What a reading reads, for its cost.
pub(super) fn reads(house: &House, subject: &Subject) -> Option<Reads> {
    match subject {
        Subject::Pressure { feels, compared_with } => {
            let compared = if compared_with.value == "outdoors" {
                None
            } else {
                Some(house.zone(&compared_with.value)?)
            };
            match house.zone(&feels.value) {
                Some(feels) => Some(Reads::Tap { feels, compared_with: compared }),
                // Outdoors felt against a room: the same tubes.
                None => compared.map(|feels| Reads::Tap { feels, compared_with: None }),
            }
        }
        Subject::Flow { of } => {
            let name = of.value.as_str();
            if name == "test_fan" {
                return Some(Reads::FanFlow);
            }
            if name == "air_handler" {
                return house.air_handler.as_ref().map(|_| Reads::Handler);
            }
            let fan = house.fans.iter().position(|f| f.text.name.value == name);
            let registers = house.air_handler.iter().flat_map(|h| &h.text.registers);
            let register = || registers.into_iter().position(|r| r.name.value == name);
            fan.map(|fan| Reads::Exhaust { fan })
                .or_else(|| register().map(|register| Reads::Register { register }))
        }
    }
}

/// How house and instruments stand after the readings of a visit, and the setup of the last.
pub(super) fn stand(house: &House, visit: &Visit) -> Stand {
    let quiet = Sink::default();
    let mut setup = start(house);
    house::apply(house, &mut setup, &visit.start, &quiet);
    let mut stand = Stand::of(setup.clone());
    for reading in &visit.readings {
        house::apply(house, &mut setup, &reading.set, &quiet);
        if let Some(reads) = reads(house, &reading.subject) {
            stand = stand.after(&setup, &reads, draws_down(house, &setup));
        }
    }
    stand
}

/// What changes on the way to a reading, and what it costs.
pub(super) struct Cost {
    pub(super) minutes: f64,
    pub(super) draws_down: bool,
}

/// Minutes of a reading from where everything stands. `set` is applied; what does not fit is said.
pub(super) fn cost(
    house: &House,
    visit: &Visit,
    reading: &visit_text::Reading,
    minutes: &Minutes,
    sink: &Sink,
) -> Option<Cost> {
    let now = stand(house, visit);
    let mut setup: Setup = now.setup.clone();
    house::apply(house, &mut setup, &reading.set, sink);
    let reads = reads(house, &reading.subject)?;
    let down = draws_down(house, &setup);
    let changeover = now.changeover_min(house, &setup, &reads, down, minutes);
    Some(Cost { minutes: changeover + minutes.reading_min, draws_down: down })
}

/// What the instrument shows of the last reading of the visit: the value as the document writes it.
///
/// The network of the true house, the wind of the day and of the moment, the instrument's own gain and
/// offset (the same all day) and the noise of the reading; each from a stream of its own, so that a reading
/// shows the same whatever is read before it in the same setup.
///
/// # Errors
/// What does not fit, as diagnostics in the sink, or a text where the network has no solution.
pub(super) fn shown(
    true_house: &House,
    visit: &Visit,
    altitude_m: f64,
    seed: u64,
    system: System,
    sink: &Sink,
) -> Result<String, String> {
    let all = collect(true_house, std::slice::from_ref(visit), altitude_m, sink);
    let wanted = visit.readings.last().ok_or("no reading")?;
    let Some(at) = all.list.iter().rposition(|o| o.span == wanted.span) else {
        return Err(String::new());
    };
    let observation = all.list[at].clone();
    let station = all.stations[observation.station].clone();
    let gauge = visit.instruments.iter().position(|i| i.measures == Quantity::Pressure);
    let instrument = observation.instrument;
    let moment = observation.station;
    let mut one = observation;
    one.station = 0;
    let held = station.fan_zone.is_some();
    let direction = station.setup.test_fan;
    let alone = Observations {
        stations: vec![station],
        list: vec![one.clone()],
        instruments: all.instruments.clone(),
        wind_sd_pa: all.wind_sd_pa.clone(),
        ..Observations::default()
    };
    let mut problem = Problem::new(true_house, &alone).map_err(|e| e.to_string())?;
    let tools = alone.instruments.len();
    let first_gain = problem.gain_unknown(0);
    let first_offset = first_gain + tools;
    let day_wind = first_offset + tools;
    let moment_wind = day_wind + WINDS * alone.wind_sd_pa.len();
    let mut x: Vec<f64> = (0..problem.len()).map(|i| problem.prior(i).0).collect();
    let mut draw = |i: usize, name: String| {
        let (mean, sd) = problem.prior(i);
        x[i] = mean + sd * Stream::new(seed, &name).normal().clamp(-2.5, 2.5);
    };
    for (i, tool) in visit.instruments.iter().enumerate() {
        draw(first_gain + i, format!("gain of {}", tool.name.value));
        draw(first_offset + i, format!("offset of {}", tool.name.value));
    }
    for w in 0..WINDS {
        draw(day_wind + w, format!("wind {w}"));
        draw(moment_wind + w, format!("wind {w} of moment {moment}"));
    }
    x.splice(problem.first_house.., truth(true_house, seed));
    if held {
        // The fan is turned until the gauge shows the target.
        let (gain, offset) = gauge.map_or((0.0, 0.0), |g| (x[first_gain + g], x[first_offset + g]));
        let sign = if direction == Some(Direction::Pressurise) { 1.0 } else { -1.0 };
        let pa = (TARGET_PA - sign * offset) / (1.0 + gain);
        if let Some(fan) = problem.fan_of(0) {
            x[fan] = math::ln(pa);
        }
    }
    let mut rows: Vec<Row> = Vec::new();
    problem.rows(&x, false, &mut rows).map_err(|e| e.to_string())?;
    let noise = Stream::new(seed, &format!("noise of reading {}", visit.readings.len())).normal();
    let value = rows.first().map_or(f64::NAN, |r| r.expected) + one.noise_sd * noise;
    if !value.is_finite() {
        return Err("no value".to_owned());
    }
    let resolution = instrument.and_then(|i| visit.instruments.get(i)).map_or(0.0, |i| i.resolution);
    let (si, quantity) = match one.seen {
        Seen::Pressure { .. } => (value, Quantity::Pressure),
        _ => (math::exp(value), Quantity::AirFlow),
    };
    let unit = quantity.display_unit(system);
    let step = if resolution > 0.0 { resolution / unit.factor } else { 0.1 };
    let steps = (unit.from_si(si) / step).round() * step;
    let decimals = if step >= 0.95 {
        0
    } else if step >= 0.095 {
        1
    } else {
        2
    };
    Ok(format!("{steps:.decimals$} {}", unit.symbol))
}

/// What a look shows, and what it changes in the visit's document.
pub(super) struct Shown {
    pub(super) shown: String,
    /// Key of the words for what was seen.
    pub(super) key: &'static str,
    pub(super) operations: Vec<(&'static str, String)>,
    pub(super) lines: String,
}

/// A look in the true house.
pub(super) fn look(
    look: &Look,
    practice: &Practice,
    house: &House,
    visit: &Visit,
    seed: u64,
) -> Result<Shown, Diagnostic> {
    let found = |kind: HazardKind| practice.hazard.iter().find(|h| h.kind == kind);
    let plain =
        |key: &'static str| Shown { shown: String::new(), key, operations: Vec::new(), lines: String::new() };
    let appliance = |name: &str| -> Result<Option<&Hazard>, Diagnostic> {
        if !house.appliances.iter().any(|a| a.name == name) {
            let known: Vec<&str> = house.appliances.iter().map(|a| a.name.as_str()).collect();
            return Err(Diagnostic::error(code::S106)
                .arg("what", name)
                .arg("known", known.join(", "))
                .arg("why", "unknown"));
        }
        if visit.combustion.is_none() {
            return Err(Diagnostic::error(code::S106).arg("what", name).arg("known", "").arg("why", "look"));
        }
        Ok(practice.hazard.iter().find(|h| h.kind == HazardKind::Spillage && h.appliance == name))
    };
    let noise = |name: &str| Stream::new(seed, name).normal();
    let text = super::document::toml_text;
    Ok(match look {
        Look::AmbientCo => {
            let ppm = found(HazardKind::CarbonMonoxide).map_or(0.0, |h| h.ppm);
            let ppm = if ppm > 0.0 { (ppm + noise("co")).round() } else { 0.0 };
            Shown { shown: format!("{ppm} ppm"), ..plain("practice-saw-co") }
        }
        Look::Embers | Look::Asbestos => {
            let (kind, key) = match look {
                Look::Embers => (HazardKind::Embers, "hazards.embers"),
                _ => (HazardKind::Asbestos, "hazards.asbestos"),
            };
            match found(kind) {
                Some(h) => Shown {
                    shown: h.label.clone(),
                    operations: vec![(key, "true".to_owned())],
                    ..plain("practice-saw")
                },
                None => plain("practice-saw-nothing"),
            }
        }
        Look::Fuel => {
            let names: Vec<&str> = house.appliances.iter().map(|a| a.label.as_str()).collect();
            let fuel = if names.is_empty() { "none found" } else { "present" };
            Shown {
                shown: names.join(", "),
                operations: vec![
                    ("combustion.fuel", text(fuel)),
                    ("combustion.looked_by", text("the learner")),
                    ("combustion.looked_where", text("every room, the spaces around them, outside walls")),
                ],
                ..plain(if names.is_empty() { "practice-saw-nothing" } else { "practice-saw" })
            }
        }
        Look::Spillage(name) => {
            let s = appliance(name)?.map_or(0.0, |h| h.spills_s);
            // Even a good flue spills for some seconds until it is warm.
            let s = (s + 6.0 + 2.0 * noise(&format!("spillage {name}"))).max(1.0).round();
            Shown {
                shown: format!("{s} s"),
                lines: format!(
                    "\n[[combustion.spillage]]\nappliance = {}\nspilled_for = \"{s} s\"\n",
                    text(name)
                ),
                ..plain("practice-saw-value")
            }
        }
        Look::FlueCo(name) => {
            let ppm = appliance(name)?.map_or(0.0, |h| h.flue_ppm);
            let ppm = (ppm + 15.0 + 4.0 * noise(&format!("flue {name}"))).max(0.0).round();
            Shown {
                shown: format!("{ppm} ppm"),
                lines: format!(
                    "\n[[combustion.flue_co]]\nappliance = {}\nvalue = \"{ppm} ppm\"\nbasis = \"air-free\"\n",
                    text(name)
                ),
                ..plain("practice-saw-value")
            }
        }
    })
}

/// A visit as read; what is wrong goes to the sink.
pub(super) fn visit(name: &str, text: &str, sink: &Sink) -> Visit {
    visit_text::read(&File { name: name.to_owned(), text: text.to_owned() }, sink)
}
