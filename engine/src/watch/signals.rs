//! The same control rules as in the year, fed by traces; a signal that falls silent is lost.

use super::{At, Field, Setup, Watch};
use crate::air;
use crate::rule::{Machine, Set, Setting, Signals, spelled};

/// Rules at work on a house that is watched. A restart begins with every rule off.
#[derive(Clone, Debug)]
pub struct Ruled {
    machine: Machine,
    signals: Vec<f64>,
    last_ms: Option<i64>,
}

/// Signals of now: one value a slot, SI; what nobody measures, or what is silent, is no number.
pub fn signals(of: &Signals, setup: &Setup<'_>, watch: &Watch, now_ms: i64) -> Vec<f64> {
    let mut list = vec![f64::NAN; of.list.len()];
    let mut put = |name: String, value: f64| {
        if let Some(place) = of.slot(&name).and_then(|s| list.get_mut(s)) {
            *place = value;
        }
    };
    let heard = |at: At, field: Field| {
        let k = setup.sources.iter().position(|s| s.at == at && s.field == field)?;
        watch.traces().get(k).filter(|t| !t.is_lost(now_ms))?.last
    };
    for (source, trace) in setup.sources.iter().zip(watch.traces()) {
        if let Some(value) = trace.last.filter(|_| !trace.is_lost(now_ms)) {
            put(source.name.clone(), value);
        }
    }
    let hour = setup.clock.year_s(now_ms) / 3600.0;
    put("time.hour".to_owned(), hour.rem_euclid(24.0));
    let days = setup.clock.day(now_ms);
    // 1 January 1970 was a Thursday.
    put("time.weekday".to_owned(), ((days + 3).rem_euclid(7) + 1) as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a day of the year")]
    let month = crate::weather::month_of(((hour / 24.0) as usize).min(364));
    put("time.month".to_owned(), (month + 1) as f64);
    let pressure_pa = setup.weather.map_or(air::STANDARD_PRESSURE_PA, |w| w.mean_pressure_pa());
    let mut places: Vec<(String, At)> = vec![("outdoor".to_owned(), At::Outdoors)];
    if let Some(model) = setup.draws.first() {
        places.extend(model.zones.iter().enumerate().map(|(z, zone)| (spelled(&zone.name), At::Zone(z))));
    }
    for (name, at) in places {
        if let (Some(temp_k), Some(rh)) = (heard(at, Field::Temp), heard(at, Field::Rh)) {
            let vapour_pa = rh * air::saturation_pressure_pa(temp_k);
            put(format!("{name}.humidity_ratio"), air::humidity_ratio(vapour_pa, pressure_pa));
            put(format!("{name}.dew_point"), air::dew_point_k(vapour_pa));
        }
    }
    list
}

impl Ruled {
    /// All rules off.
    pub fn new(set: Set) -> Ruled {
        Ruled { signals: Vec::new(), machine: Machine::new(set), last_ms: None }
    }

    /// Looks at the signals of now; one setting a device. The caller says how often: a step a minute to five.
    pub fn step(&mut self, setup: &Setup<'_>, watch: &Watch, now_ms: i64) -> &[Setting] {
        self.signals = signals(&self.machine.set().signals, setup, watch, now_ms);
        self.machine.fill_own(&mut self.signals);
        let dt_s = self.last_ms.map_or(0.0, |l| (now_ms - l) as f64 / 1000.0).max(0.0);
        self.last_ms = Some(now_ms);
        self.machine.step(&self.signals, dt_s)
    }

    /// The machine, for what is on, what is lost and what is owed.
    pub fn machine(&self) -> &Machine {
        &self.machine
    }
}
