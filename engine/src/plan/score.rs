//! What plans are judged by: the complaints' quantities first, then what every house is asked.

use super::model::Luck;
use crate::doc::job::{Complaint, Measure};
use crate::doc::plans::Change;
use crate::house::air::Air;
use crate::house::{House, Owner};
use crate::math;
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
        /// Index of the buffer zone the air comes from.
        from: Option<usize>,
    },
    /// Least pressure at the appliance against outdoors.
    AppliancePressure,
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
            ScoreKind::AppliancePressure => Quantity::Pressure,
            ScoreKind::Ach50 => Quantity::AirChange,
            ScoreKind::Energy => Quantity::Energy,
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
    /// Index of the complaint it stands for.
    pub complaint: Option<usize>,
    /// How much it counts among the complaints.
    pub weight: f64,
}

impl Score {
    /// Whether a value meets the target; a score without one is always met.
    pub fn met(&self, value: f64) -> bool {
        let lower = match self.kind {
            ScoreKind::Of { measure, .. } => measure.lower_is_better(),
            _ => true,
        };
        self.target.is_none_or(|t| if lower { value <= t } else { value >= t })
    }
}

/// The scores of a job: one a complaint, then what every house is asked without a target.
pub fn list(house: &House, complaints: &[Complaint]) -> Vec<Score> {
    let zone = |name: &Option<crate::doc::Sp<String>>| name.as_ref().and_then(|n| house.zone(&n.value));
    let mut scores: Vec<Score> = complaints
        .iter()
        .enumerate()
        .map(|(i, c)| Score {
            kind: ScoreKind::Of { measure: c.quantity.value, zone: zone(&c.zone), from: zone(&c.from) },
            target: Some(c.limit.value),
            target_source: c.limit_source.clone(),
            complaint: Some(i),
            weight: c.weight,
        })
        .collect();
    let rooms = crate::fit::fan_zone(house);
    let mut plain = |kind: ScoreKind| {
        if !scores.iter().any(|s| s.kind == kind) {
            scores.push(Score { kind, target: None, target_source: None, complaint: None, weight: 0.0 });
        }
    };
    let of = |measure| ScoreKind::Of { measure, zone: rooms, from: None };
    plain(ScoreKind::Of { measure: Measure::OutdoorAir, zone: None, from: None });
    plain(of(Measure::HumidHours));
    plain(of(Measure::Pm25));
    plain(ScoreKind::Energy);
    plain(ScoreKind::Ach50);
    if !house.appliances.is_empty() {
        plain(ScoreKind::AppliancePressure);
    }
    scores
}

/// Energy bought as fuel over the year, J.
pub(super) fn fuel_j(year: &Year) -> f64 {
    year.energy.heating_j.iter().skip(1).sum()
}

const KG_M3: f64 = crate::air::REFERENCE_DENSITY_KG_M3;
const HOURS: f64 = 8760.0;

/// The value of a score after a year, SI.
pub(super) fn value(
    score: &Score,
    house: &House,
    theta: &[f64],
    changes: &[Change],
    luck: Luck,
    year: &Year,
) -> f64 {
    match score.kind {
        ScoreKind::Of { measure, zone, from } => {
            let in_zone = zone.and_then(|z| year.zones.get(z));
            match measure {
                Measure::Co2AtNight => in_zone.map_or(f64::NAN, |z| z.night_co2_mean_ppm * 1e-6),
                Measure::Pm25 => in_zone.map_or(f64::NAN, |z| z.pm25_mean_kg_m3),
                Measure::HumidHours => in_zone.map_or(f64::NAN, |z| z.damp_h / HOURS),
                Measure::DryHours => in_zone.map_or(f64::NAN, |z| z.dry_h / HOURS),
                Measure::AirFrom => from
                    .map(|f| &house.zones[f].name)
                    .and_then(|name| year.air_from_buffers_kg_s.iter().find(|(n, _)| n == name))
                    .map_or(f64::NAN, |(_, kg_s)| kg_s / KG_M3),
                Measure::OutdoorAir => year.outdoor_air_kg_s / KG_M3,
            }
        }
        // A plan that takes the appliance away has no pressure to fear.
        ScoreKind::AppliancePressure => year.least_appliance_pa.unwrap_or(f64::NAN),
        ScoreKind::Ach50 => ach50(house, theta, changes, luck),
        ScoreKind::Energy => year.energy.electricity_j() + fuel_j(year),
    }
}

/// Air changes at 50 Pa after the plan, 1/s.
fn ach50(house: &House, theta: &[f64], changes: &[Change], luck: Luck) -> f64 {
    let mut after = theta.to_vec();
    for change in changes {
        match change {
            Change::Seal { what, removes } => {
                if let Some(leak) = house.leaks.iter().find(|l| l.name == what.value) {
                    let left = 1.0 - luck.within(&what.value, *removes).clamp(0.0, 0.99);
                    after[leak.at50] += math::ln(left);
                }
            }
            Change::Replace { appliance, .. } => {
                for e in &house.elements {
                    if let (Owner::Flue(a), crate::house::Law::Leak { at50, .. }) = (e.owner, &e.law)
                        && house.appliances[a].name == appliance.value
                    {
                        // As good as closed.
                        after[*at50] -= 12.0;
                    }
                }
            }
            _ => {}
        }
    }
    let Ok(mut air) = Air::new(house) else { return f64::NAN };
    crate::fit::total_at50_m3_s(house, &mut air, &after) / house.indoor_volume_m3()
}
