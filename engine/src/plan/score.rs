//! What plans are judged by: the complaints' quantities first, then what every house is asked.

use super::lived::Hours;
use crate::doc::Sp;
use crate::doc::job::{Job, Measure, Thresholds};
use crate::house::House;
use crate::house::air::Air;
use crate::units::Quantity;
use crate::year::Year;
use serde::Serialize;

/// One quantity of a year.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum ScoreKind {
    /// A measure of a zone (or of the whole house, where `zone` is nothing).
    Of {
        /// What.
        measure: Measure,
        /// Index of the zone.
        zone: Option<usize>,
        /// Index of the buffer zone the air comes from, or of the gas.
        from: Option<usize>,
    },
    /// Mean PM2.5 that people meet at home over that outdoors.
    PersonPm25 {
        /// Index in the house file's people.
        people: usize,
    },
    /// Mean CO2 that people meet at home, volume fraction.
    PersonCo2 {
        /// Index in the house file's people.
        people: usize,
    },
    /// Mean concentration of something that the rooms give off evenly, over what it would be at the
    /// steady dwelling-unit rate of ASHRAE 62.2.
    RelativeExposure,
    /// Highest air quality index of PM2.5 in a zone by the hourly NowCast.
    HighestNowCast {
        /// Index of the zone.
        zone: usize,
    },
    /// Mean pressure at the floor of a zone on the ground against outdoors: what draws soil gas.
    SoilPressure {
        /// Index of the zone.
        zone: usize,
    },
    /// Least pressure at the appliance against outdoors.
    AppliancePressure,
    /// Highest hourly mean of heat given.
    PeakHeating,
    /// Highest hourly mean of heat taken, latent included.
    PeakCooling,
    /// Air changes at 50 Pa.
    Ach50,
    /// Energy for heating, cooling, fans and drying, J a year.
    Energy,
}

impl ScoreKind {
    /// What its values measure.
    pub fn quantity(self) -> Quantity {
        match self {
            ScoreKind::Of { measure, .. } => measure.quantity(),
            ScoreKind::PersonPm25 { .. } => Quantity::Fraction,
            ScoreKind::PersonCo2 { .. } => Quantity::GasFraction,
            ScoreKind::RelativeExposure => Quantity::Number,
            ScoreKind::HighestNowCast { .. } => Quantity::Index,
            ScoreKind::AppliancePressure | ScoreKind::SoilPressure { .. } => Quantity::Pressure,
            ScoreKind::PeakHeating | ScoreKind::PeakCooling => Quantity::Power,
            ScoreKind::Ach50 => Quantity::AirChange,
            ScoreKind::Energy => Quantity::Energy,
        }
    }

    /// Whether less is better.
    pub fn lower_is_better(self) -> bool {
        match self {
            ScoreKind::Of { measure, .. } => measure.lower_is_better(),
            // A pressure below zero draws.
            ScoreKind::AppliancePressure | ScoreKind::SoilPressure { .. } => false,
            _ => true,
        }
    }
}

/// A score with its target.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Score {
    /// What.
    #[serde(flatten)]
    pub kind: ScoreKind,
    /// Target, SI.
    pub target: Option<f64>,
    /// Whose target it is.
    pub target_source: Option<String>,
    /// Value beyond which its hours or days count, SI.
    pub beyond: Option<f64>,
    /// Index of the complaint it stands for.
    pub complaint: Option<usize>,
    /// How much it counts among the complaints.
    pub weight: f64,
    /// Shown after the others, short.
    pub short: bool,
}

impl Score {
    /// Whether a value meets the target; a score without one is always met.
    pub fn met(&self, value: f64) -> bool {
        let lower = self.kind.lower_is_better();
        self.target.is_none_or(|t| if lower { value <= t } else { value >= t })
    }
}

/// The value beyond which hours or days of a measure count: its own, or the job's; nothing where the
/// measure counts none.
pub fn beyond(measure: Measure, own: Option<f64>, usual: &Thresholds) -> Option<f64> {
    measure.threshold()?;
    Some(own.unwrap_or(match measure {
        Measure::HumidHours => usual.damp_rh,
        Measure::DryHours => usual.dry_rh,
        Measure::Co2Hours => usual.co2,
        Measure::Pm25Days => usual.pm25_day_kg_m3,
        Measure::WarmHours => usual.warm_k,
        _ => usual.cool_k,
    }))
}

/// The scores of a job: one a complaint, then what every house is asked without a target.
pub fn list(house: &House, job: &Job) -> Vec<Score> {
    let zone = |name: &Option<Sp<String>>| name.as_ref().and_then(|n| house.zone(&n.value));
    let gases = &house.text.machines.gases;
    let gas = |name: &Sp<String>| gases.iter().position(|g| g.name.value == name.value);
    let mut scores: Vec<Score> = job
        .complaints
        .iter()
        .enumerate()
        .map(|(i, c)| Score {
            kind: ScoreKind::Of {
                measure: c.quantity.value,
                zone: zone(&c.zone),
                from: zone(&c.from).or_else(|| c.gas.as_ref().and_then(gas)),
            },
            target: Some(c.limit.value),
            target_source: c.limit_source.clone(),
            beyond: beyond(c.quantity.value, c.beyond, &job.thresholds),
            complaint: Some(i),
            weight: c.weight,
            short: false,
        })
        .collect();
    let mut plain = |kind: ScoreKind, short: bool| {
        if !scores.iter().any(|s| s.kind == kind) {
            let beyond = match kind {
                ScoreKind::Of { measure, .. } => beyond(measure, None, &job.thresholds),
                _ => None,
            };
            let none = (None, None, None);
            let (target, target_source, complaint) = none;
            scores.push(Score { kind, target, target_source, beyond, complaint, weight: 0.0, short });
        }
    };
    let rooms = crate::fit::fan_zone(house);
    let of = |measure, zone| ScoreKind::Of { measure, zone, from: None };
    plain(of(Measure::OutdoorAir, None), false);
    plain(of(Measure::HumidHours, rooms), false);
    plain(of(Measure::Pm25, rooms), false);
    plain(ScoreKind::Energy, false);
    plain(ScoreKind::Ach50, false);
    if !house.appliances.is_empty() {
        plain(ScoreKind::AppliancePressure, false);
    }
    let lived = lived_in(house);
    for zone in &lived {
        let zone = Some(*zone);
        plain(of(Measure::Co2Hours, zone), true);
        plain(of(Measure::DryHours, zone), true);
        plain(of(Measure::MouldIndex, zone), true);
        plain(of(Measure::CondensingHours, zone), true);
    }
    plain(of(Measure::Pm25Days, rooms), true);
    if let Some(zone) = rooms {
        plain(ScoreKind::HighestNowCast { zone }, true);
    }
    plain(of(Measure::WarmHours, rooms), true);
    plain(of(Measure::CoolHours, rooms), true);
    for people in 0..house.text.people.len() {
        plain(ScoreKind::PersonPm25 { people }, true);
        plain(ScoreKind::PersonCo2 { people }, true);
    }
    for index in 0..gases.len() {
        plain(ScoreKind::Of { measure: Measure::Gas, zone: rooms, from: Some(index) }, true);
    }
    plain(ScoreKind::RelativeExposure, true);
    for zone in on_ground(house) {
        plain(ScoreKind::SoilPressure { zone }, true);
    }
    if house.text.heating.is_some() {
        plain(ScoreKind::PeakHeating, true);
    }
    if house.text.cooling.is_some() {
        plain(ScoreKind::PeakCooling, true);
    }
    scores
}

/// Where people sleep and live, each once.
pub(super) fn lived_in(house: &House) -> Vec<usize> {
    let mut lived: Vec<usize> = Vec::new();
    for name in house.text.people.iter().flat_map(|p| [&p.sleep_in, &p.day_in]) {
        lived.extend(house.zone(&name.value).filter(|z| !lived.contains(z)));
    }
    lived
}

/// Zones that touch the ground.
fn on_ground(house: &House) -> impl Iterator<Item = usize> {
    (0..house.zones.len()).filter(|z| {
        let name = &house.zones[*z].name;
        let ground = |s: &crate::doc::house::Surface| {
            s.between.iter().any(|e| e.value == "ground") && s.between.iter().any(|e| e.value == *name)
        };
        house.text.surfaces.iter().any(ground)
            || house.text.machines.wet_ground.iter().any(|w| w.zone.value == *name)
    })
}

/// Energy bought as fuel over the year, J.
pub(super) fn fuel_j(year: &Year) -> f64 {
    year.energy.heating_j.iter().skip(1).sum()
}

const KG_M3: f64 = crate::air::REFERENCE_DENSITY_KG_M3;
const YEAR_H: f64 = 8760.0;

/// The value of a score after a year, SI; NaN where there is none. `house` and `theta` are those
/// after the plan.
pub(super) fn value(score: &Score, house: &House, theta: &[f64], year: &Year, hours: &Hours<'_>) -> f64 {
    match score.kind {
        ScoreKind::Of { measure, zone, from } => of(measure, zone, from, score.beyond, house, year, hours),
        ScoreKind::PersonPm25 { people } => {
            hours.person(people, |s, k| s.pm25_kg_m3[k]) / year.outdoor_pm25_kg_m3
        }
        ScoreKind::PersonCo2 { people } => hours.person(people, |s, k| s.co2_ppm[k]) * 1e-6,
        ScoreKind::RelativeExposure => hours.relative_exposure(),
        ScoreKind::HighestNowCast { zone } => hours.highest_now_cast(zone),
        ScoreKind::SoilPressure { zone } => {
            let soil = year.soil.iter().find(|s| s.zone == house.zones[zone].name);
            soil.map_or(f64::NAN, |s| s.mean_pa)
        }
        // A plan that takes the appliance away has no pressure to fear.
        ScoreKind::AppliancePressure => year.least_appliance_pa.unwrap_or(f64::NAN),
        ScoreKind::PeakHeating => year.peak_heating_w,
        ScoreKind::PeakCooling => year.peak_cooling_w,
        ScoreKind::Ach50 => ach50(house, theta),
        ScoreKind::Energy => year.energy.electricity_j() + fuel_j(year),
    }
}

fn of(
    measure: Measure,
    zone: Option<usize>,
    from: Option<usize>,
    beyond: Option<f64>,
    house: &House,
    year: &Year,
    hours: &Hours<'_>,
) -> f64 {
    let in_zone = zone.and_then(|z| year.zones.get(z));
    let limit = beyond.unwrap_or(f64::NAN);
    let share = |list: fn(&crate::year::Series) -> &Vec<f64>, counts: &dyn Fn(f64) -> bool| {
        zone.map_or(f64::NAN, |z| hours.share(z, list, counts))
    };
    match measure {
        Measure::Co2AtNight => in_zone.map_or(f64::NAN, |z| z.night_co2_mean_ppm * 1e-6),
        Measure::Pm25 => in_zone.map_or(f64::NAN, |z| z.pm25_mean_kg_m3),
        Measure::HumidHours => share(|s| &s.rh, &|rh| rh > limit),
        Measure::DryHours => share(|s| &s.rh, &|rh| rh < limit),
        Measure::AirFrom => from
            .map(|f| &house.zones[f].name)
            .and_then(|name| year.air_from_buffers_kg_s.iter().find(|(n, _)| n == name))
            .map_or(f64::NAN, |(_, kg_s)| kg_s / KG_M3),
        Measure::OutdoorAir => year.outdoor_air_kg_s / KG_M3,
        Measure::Co2Hours => share(|s| &s.co2_ppm, &|ppm| ppm * 1e-6 > limit),
        Measure::Pm25OverOutdoors => in_zone.and_then(|z| z.pm25_indoors_over_outdoors).unwrap_or(f64::NAN),
        Measure::Pm25Days => zone.map_or(f64::NAN, |z| hours.pm25_days(z, limit)),
        Measure::MouldIndex => zone.map_or(f64::NAN, |z| {
            let whole = year.zones.get(z).and_then(|zone| zone.mould_index);
            whole.unwrap_or_else(|| hours.mould_index(z))
        }),
        Measure::CondensingHours => in_zone.map_or(f64::NAN, |z| z.condensing_h / YEAR_H),
        Measure::Gas => from
            .zip(zone)
            .and_then(|(g, z)| year.gases.get(g)?.mean_kg_kg.get(z).copied())
            .map_or(f64::NAN, |kg_kg| kg_kg * KG_M3),
        Measure::WarmHours => share(|s| &s.temp_k, &|k| k > limit),
        Measure::CoolHours => share(|s| &s.temp_k, &|k| k < limit),
    }
}

/// Air changes at 50 Pa after the plan, 1/s.
fn ach50(house: &House, theta: &[f64]) -> f64 {
    let Ok(mut air) = Air::new(house) else { return f64::NAN };
    crate::fit::total_at50_m3_s(house, &mut air, theta) / house.indoor_volume_m3()
}
