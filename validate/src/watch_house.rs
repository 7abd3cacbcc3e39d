//! A house of the truth under watch: real weather, people who do not live by the clock, sensors with offset, noise and
//! drift within what they state; quiet, or with one thing wrong from some day on.

use crate::houses::{ATTIC, BATH, BED, CRAWL, KITCHEN, LIVING, six_zones};
use engine::air;
use engine::network::{Kind, Network};
use engine::rng::Stream;
use engine::watch::cause::{open_window, turn};
use engine::watch::filter::{Motor, Sits};
use engine::watch::{Alert, At, Clock, Device, Field, Filter, HOUR_MS, Setup, Source, Watch};
use engine::weather::Weather;
use engine::year::live::{self, Standing};
use engine::year::{Model, Open, Target};

/// 1 January 2026, UTC; the house's standard time is five hours behind.
pub const NEW_YEAR_MS: i64 = 1_767_225_600_000 + 5 * HOUR_MS;
const DAY_MS: i64 = 24 * HOUR_MS;
/// Time between points of a trace, s.
const POINT_S: f64 = 600.0;
/// Spread of what the fit leaves open of every leak, as a share.
const LEAKS: f64 = 0.15;

/// Something wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// The ventilator moves nothing.
    VentilatorStopped,
    /// The bath fan does not turn off.
    BathFanRuns,
    /// The bedroom's window stands open by a height, m.
    Window(f64),
    /// The bedroom's door stays shut by day too.
    DoorShut,
    /// A part of the supply goes into the attic.
    Duct(f64),
    /// More people in the living room, all day.
    People(f64),
    /// The bedroom's CO2 sensor reads more, volume fraction.
    Sensor(f64),
    /// The same, a week.
    SensorAWeek(f64),
    /// Smoke outside, kg/m3.
    Smoke(f64),
    /// Heating and cooling give nothing.
    NoHeat,
    /// The handler's filter adds this part of its clean resistance a day.
    Filter(f64),
    /// The ventilator's flow falls by this part.
    FlowFalls(f64),
    /// The bedroom's CO2 sensor sends nothing.
    Silent,
    /// Carbon monoxide in the living room, volume fraction.
    Monoxide(f64),
}

/// The house that is really there, the houses that its fit allows, and its weather.
pub struct House {
    /// The truth.
    pub truth: Model,
    /// Draws, the middle first.
    pub draws: Vec<Model>,
    /// Weather.
    pub weather: Weather,
}

/// Every leak of the envelope times a factor of its own.
fn leaky(model: &Model, stream: &mut Stream) -> Result<Model, String> {
    let ways = model.network.passages().iter().map(|w| {
        let mut w = w.clone();
        if let Kind::Leak { c_m3_s_pan, .. } = &mut w.kind {
            *c_m3_s_pan *= engine::math::exp(LEAKS * stream.normal());
        }
        w
    });
    let ways: Vec<_> = ways.collect();
    let names = model.zones.iter().map(|z| z.name.clone());
    let network = Network::new(names, ways).map_err(|e| e.to_string())?;
    Ok(Model { network, ..model.clone() })
}

impl House {
    /// The house of six zones; the truth is one more of what the fit allows.
    ///
    /// # Errors
    /// A text where the house cannot be made, which would be a mistake here.
    pub fn new(draws: usize, seed: u64) -> Result<House, String> {
        let weather = crate::houses::greensboro()?;
        let middle = six_zones(&weather).map_err(|e| e.to_string())?;
        let mut stream = Stream::new(seed, "leaks of a watched house");
        let truth = leaky(&middle, &mut stream)?;
        let mut list = vec![middle.clone()];
        for _ in 1..draws {
            list.push(leaky(&middle, &mut stream)?);
        }
        Ok(House { truth, draws: list, weather })
    }

    /// Twenty traces of the house and what is measured outdoors.
    pub fn setup(&self) -> Setup<'_> {
        let zone = |name: &str, zone: usize, fields: &[Field]| {
            fields.iter().map(|f| source(name, At::Zone(zone), *f)).collect::<Vec<_>>()
        };
        use Field::{Co, Co2, Flow, Pm25, Power, Pressure, Rh, Temp, Wind};
        let sources = [
            zone("living", LIVING, &[Temp, Rh, Co2, Pm25, Pressure, Co]),
            zone("kitchen", KITCHEN, &[Temp, Rh, Co2, Pm25]),
            zone("bedroom", BED, &[Temp, Rh, Co2, Pm25]),
            zone("bath", BATH, &[Rh]),
            zone("crawl", CRAWL, &[Temp, Rh]),
            zone("attic", ATTIC, &[Temp]),
            vec![source("air_handler", At::Device(0), Flow), source("air_handler", At::Device(0), Power)],
            vec![source("ventilator", At::Device(1), Flow)],
            [Temp, Rh, Wind].into_iter().map(|f| source("outdoor", At::Outdoors, f)).collect(),
        ]
        .concat();
        let device = |name: &str, target| Device { name: name.to_owned(), target };
        Setup {
            sources,
            devices: vec![
                device("air_handler", Target::Handler),
                device("ventilator", Target::Ventilator(0)),
                device("range_hood", Target::Exhaust(0)),
                device("bath_fan", Target::Exhaust(1)),
            ],
            filters: vec![Filter {
                device: 0,
                sits: Some(Sits::After),
                motor: Some(Motor::FixedSpeed),
                flow_m3_s: 0.5 / air::REFERENCE_DENSITY_KG_M3,
                intake_m3_s: 0.0,
                drop_pa: 25.0,
                return_pa: 25.0,
                rest_pa: 75.0,
                new_ms: None,
                limit: 2.0,
            }],
            draws: &self.draws,
            weather: Some(&self.weather),
            clock: Clock { ahead_s: -5.0 * 3600.0 },
            false_a_month: engine::watch::FALSE_A_MONTH,
            exposure: None,
            volume_m3: 235.0,
            outdoor_co2: 420e-6,
            appliance_zone: Some(LIVING),
        }
    }
}

fn source(place: &str, at: At, field: Field) -> Source {
    Source { name: format!("{place}.{}", field.name()), at, field, accuracy: field.usual_accuracy() }
}

/// White noise of one point, as a share of the stated limit: what good loggers of the class show (common
/// practice, no source).
const NOISE: f64 = 0.2;
/// Drift over a year at most, as a share of the limit.
const DRIFT: f64 = 0.5;

/// One sensor: its offset and its drift a year, as shares of its limit.
#[derive(Clone, Debug)]
struct Sensor {
    offset: f64,
    drift: f64,
    noise: Stream,
}

/// A year under watch, as far as it went.
#[derive(Clone)]
pub struct Walk {
    /// The watch.
    pub watch: Watch,
    standing: Standing,
    sensors: Vec<Sensor>,
    lives: Stream,
    /// Days lived.
    pub day: i64,
    /// What was told, in order.
    pub told: Vec<Alert>,
}

impl Walk {
    /// At New Year.
    ///
    /// # Errors
    /// A text where the house cannot be stepped.
    pub fn new(house: &House, seed: u64) -> Result<Walk, String> {
        let mut standing = Standing::new(&house.truth, &house.weather).map_err(|e| e.to_string())?;
        live::step(
            &house.truth,
            &house.weather,
            &mut standing,
            (-5.0 * 86_400.0, 0.0),
            300.0,
            &mut |_, _| {},
            &mut |_, _, _| {},
        )
        .map_err(|e| e.to_string())?;
        let mut of = Stream::new(seed, "sensors");
        let setup = house.setup();
        let sensors = setup.sources.iter().map(|s| Sensor {
            offset: 1.2 * (of.uniform() - 0.5),
            drift: DRIFT * (2.0 * of.uniform() - 1.0),
            noise: Stream::new(seed, &s.name),
        });
        Ok(Walk {
            watch: Watch::default(),
            standing,
            sensors: sensors.collect(),
            lives: Stream::new(seed, "lives"),
            day: 0,
            told: Vec::new(),
        })
    }

    /// The house as it is lived in on one day: nobody lives by the clock.
    fn today(&mut self, house: &House, fault: Option<(Fault, i64)>) -> Model {
        let mut m = house.truth.clone();
        let s = &mut self.lives;
        for o in &mut m.occupants {
            let much = 1.0 + 0.1 * s.normal();
            let home = s.uniform() < 0.15;
            for hour in 0..24 {
                o.co2_m3_s[hour] *= much;
                o.water_kg_s[hour] *= much;
                // Some days somebody stays at home.
                if home && o.zone[hour].is_none() {
                    o.zone[hour] = Some(LIVING);
                }
            }
        }
        for source in m.sources.iter_mut().filter(|s| s.duration_s < 6.0 * 3600.0) {
            let much = engine::math::exp(0.3 * s.normal());
            source.pm25_kg_s *= much;
            source.water_kg_s *= much;
            source.start_s = (source.start_s + 1800.0 * s.normal()).rem_euclid(86_400.0);
        }
        // The bedroom's door is forgotten now and then.
        let (open, shut) = (s.uniform() < 0.1, s.uniform() < 0.1);
        for door in &mut m.doors {
            if let Open::Hours(hours) = &mut door.open {
                let night = |h: usize| !(7..22).contains(&h);
                (0..24).filter(|h| night(*h)).for_each(|h| hours[h] |= open);
                (0..24).filter(|h| !night(*h)).for_each(|h| hours[h] &= !shut);
            }
        }
        // Guests on some Saturdays; the year begins on a Thursday.
        if self.day % 7 == 2 && s.uniform() < 0.25 {
            let mut guests = m.occupants[0].clone();
            guests.zone = std::array::from_fn(|h| (18..23).contains(&h).then_some(LIVING));
            guests.co2_m3_s = guests.co2_m3_s.map(|c| 2.0 * c);
            m.occupants.push(guests);
        }
        if let Some((fault, since)) = fault {
            wrong(&mut m, fault, (self.day - since) as f64);
        }
        m
    }

    /// Lives one more day, perhaps with something wrong since the start of a day.
    ///
    /// # Errors
    /// A text where something cannot be stepped.
    pub fn live(&mut self, house: &House, fault: Option<(Fault, i64)>) -> Result<(), String> {
        let model = self.today(house, fault);
        let mut setup = house.setup();
        if let Some((Fault::Filter(_), since)) = fault {
            // It was put in on that day, as the practitioner wrote down.
            setup.filters.iter_mut().for_each(|f| f.new_ms = Some(NEW_YEAR_MS + DAY_MS * since));
        }
        let from_s = self.day as f64 * 86_400.0;
        let midnight_ms = NEW_YEAR_MS + DAY_MS * self.day;
        let mut points: Vec<Vec<(i64, f64)>> = vec![Vec::new(); setup.sources.len()];
        let smoke = match fault {
            Some((Fault::Smoke(more), _)) => more,
            _ => 0.0,
        };
        let mut weather = None;
        if smoke > 0.0 {
            let mut with = house.weather.clone();
            with.pm25_kg_m3 = vec![model.outdoor.pm25_kg_m3[0] + smoke; with.hours.len()];
            weather = Some(with);
        }
        let weather = weather.as_ref().unwrap_or(&house.weather);
        let mut sums = vec![0.0; setup.sources.len()];
        let mut held = 0.0;
        let sensors = &mut self.sensors;
        let age = self.day as f64 / 365.0;
        live::step(
            &model,
            weather,
            &mut self.standing,
            (from_s, from_s + 86_400.0),
            300.0,
            &mut |_, _| {},
            &mut |end_s, dt_s, now| {
                for (sum, source) in sums.iter_mut().zip(&setup.sources) {
                    let outdoor = weather.at(end_s - 0.5 * dt_s);
                    let value = match (source.at, source.field) {
                        (At::Outdoors, Field::Temp) => outdoor.temp_k,
                        (At::Outdoors, Field::Wind) => outdoor.wind_m_s,
                        (At::Outdoors, _) => {
                            air::relative_humidity(outdoor.temp_k, outdoor.w_kg_kg, outdoor.pressure_pa)
                        }
                        (_, Field::Co) => 1e-6,
                        _ => engine::watch::expect::shows(&model, source, &setup.devices, now)
                            .unwrap_or(f64::NAN),
                    };
                    *sum += value * dt_s;
                }
                held += dt_s;
                if held < POINT_S - 1.0 {
                    return;
                }
                let time_ms = midnight_ms + ((end_s - from_s - 0.5 * held) * 1000.0) as i64;
                for (k, source) in setup.sources.iter().enumerate() {
                    let truth = sums[k] / held;
                    let sensor = &mut sensors[k];
                    let limit = source.accuracy.limit(truth);
                    let mut value =
                        truth + limit * (sensor.offset + sensor.drift * age + NOISE * sensor.noise.normal());
                    match fault.map(|f| f.0) {
                        Some(Fault::Sensor(by)) if source.name == "bedroom.co2" => value += by,
                        Some(Fault::SensorAWeek(by)) if source.name == "bedroom.co2" => {
                            let since = fault.map_or(0, |f| f.1);
                            let days = (self.day - since) as f64 + (end_s - from_s) / 86_400.0;
                            value += by * days / 7.0;
                        }
                        Some(Fault::Monoxide(co)) if source.field == Field::Co => value = co,
                        Some(Fault::Silent) if source.name == "bedroom.co2" => continue,
                        _ => {}
                    }
                    if matches!(
                        source.field,
                        Field::Rh | Field::Pm25 | Field::Flow | Field::Power | Field::Wind
                    ) {
                        value = value.max(0.0);
                    }
                    if value.is_finite() {
                        points[k].push((time_ms, value));
                    }
                }
                sums.fill(0.0);
                held = 0.0;
            },
        )
        .map_err(|e| e.to_string())?;
        self.day += 1;
        // A day at a time gives the same and is quicker; with something wrong hours count.
        let pieces = if fault.is_some() { 24 } else { 1 };
        let mut next = vec![0; points.len()];
        for piece in 1..=pieces {
            let now_ms = midnight_ms + DAY_MS * piece / pieces;
            for (k, list) in points.iter().enumerate() {
                let until = next[k] + list[next[k]..].partition_point(|p| p.0 < now_ms);
                self.told.extend(self.watch.take(&setup, k, &list[next[k]..until]));
                next[k] = until;
            }
            self.told.extend(self.watch.advance(&setup, now_ms).map_err(|e| e.to_string())?);
        }
        Ok(())
    }
}

/// What is wrong in the model, `days` after it began.
fn wrong(m: &mut Model, fault: Fault, days: f64) {
    match fault {
        Fault::VentilatorStopped => {
            turn(m, Target::Ventilator(0), Some(1.0));
        }
        Fault::BathFanRuns => {
            turn(m, Target::Exhaust(1), None);
        }
        Fault::Window(height_m) => {
            open_window(m, BED, height_m);
        }
        Fault::DoorShut => m.doors.iter_mut().for_each(|d| d.open = Open::Hours([false; 24])),
        Fault::Duct(share) => {
            if let Some(leak) = m.handler.as_mut().and_then(|h| h.supply_leak.as_mut()) {
                leak.share += share;
            }
        }
        Fault::People(count) => {
            let mut more = m.occupants[0].clone();
            more.zone = [Some(LIVING); 24];
            more.co2_m3_s = [more.co2_m3_s[12] * count; 24];
            more.water_kg_s = [more.water_kg_s[12] * count; 24];
            more.heat_w = [more.heat_w[12] * count; 24];
            m.occupants.push(more);
        }
        Fault::NoHeat => m.thermostat = None,
        Fault::FlowFalls(part) => {
            for v in &mut m.ventilators {
                v.supply_kg_s.iter_mut().chain(&mut v.exhaust_kg_s).for_each(|s| s.1 *= 1.0 - part);
            }
        }
        Fault::Filter(a_day) => {
            if let Some(path) = path_of_truth()
                && let Some(h) = &mut m.handler
            {
                let now = path.loaded(1.0 + a_day * days);
                let clean = path.loaded(1.0);
                h.flow_kg_s *= now.flow_m3_s / clean.flow_m3_s;
                h.power_w *= now.air_w() / clean.air_w();
            }
        }
        Fault::Sensor(_) | Fault::SensorAWeek(_) | Fault::Smoke(_) | Fault::Silent | Fault::Monoxide(_) => {}
    }
}

/// The return side as it is.
fn path_of_truth() -> Option<engine::watch::filter::Path> {
    Some(engine::watch::filter::Path {
        sits: Sits::After,
        motor: Motor::FixedSpeed,
        flow_m3_s: 0.5 / air::REFERENCE_DENSITY_KG_M3,
        intake_m3_s: 0.0,
        drop_pa: 25.0,
        return_pa: 25.0,
        rest_pa: 75.0,
        exponent: 1.5,
    })
}
