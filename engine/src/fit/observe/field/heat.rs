//! Heating bills as an observation.

use super::{Placed, STATED_LIMIT_SD, relative_sd};
use crate::air;
use crate::doc::field::FieldTest;
use crate::doc::field::bills::Bills;
use crate::fit::observe::{Day, Observation, Seen};
use crate::fit::season::{Climate, Season};
use crate::house;
use crate::math;
use crate::measure::Estimate;
use crate::procedure::field::Worked;

/// What bills see beside conduction and air: sun and inner gains that go with the season, thermostats
/// turned down; the same once more for temperatures of a usual year, and for ducts outside of the
/// rooms. Sd over the heat loss; common practice, no source.
const SEASONAL: f64 = 0.1;
/// How far the conductances of `house.toml` may be off together, sd. Common practice, no source.
const CONDUCTANCES_OFF: f64 = 0.25;
/// Mean wind at the eaves of a house among others, m/s, and how far it may be off, sd over it. Common
/// practice, no source.
const SEASON_WIND_M_S: f64 = 2.0;
const WIND_OFF: f64 = 0.4;
/// Rooms in the heating season where nobody says, K.
const INDOOR_K: f64 = 293.15;

impl Day<'_> {
    /// The slope of heating bills: conduction and the heat of the air that comes in.
    pub(super) fn bills(&mut self, asked: &Bills, test: &FieldTest, worked: &Worked) -> Placed {
        let all = |id: &'static str| worked.figures.iter().filter(move |f| f.id == id);
        let turned = |of: &Option<String>| all("figure-heat-loss").any(|f| f.of == *of);
        if let Some(slope) = all("figure-heating-slope").find(|f| !turned(&f.of)) {
            return Err(("left-out-bills-efficiency", slope.of.clone().unwrap_or_default()));
        }
        let losses: Vec<Estimate> = all("figure-heat-loss").map(|f| f.number).collect();
        let outdoors: Vec<f64> = all("figure-heating-outdoor").map(|f| f.number.si).collect();
        let read_w_k: f64 = losses.iter().map(|e| e.si).sum();
        if losses.is_empty() || outdoors.is_empty() || read_w_k <= 0.0 {
            return Err(("left-out-no-result", String::new()));
        }
        if !self.all.seasons.is_empty() {
            return Err(("left-out-bills-other", String::new()));
        }
        let conditions = &self.visit.conditions;
        let pressure_pa = conditions.pressure_pa;
        let climate = Climate {
            indoor_k: asked.indoor_k.or(conditions.indoor_k).unwrap_or(INDOOR_K),
            outdoor_k: outdoors.iter().sum::<f64>() / outdoors.len() as f64,
            wind_m_s: asked.wind_m_s.unwrap_or(SEASON_WIND_M_S),
            pressure_pa: pressure_pa.unwrap_or_else(|| air::standard_pressure_pa(self.altitude_m)),
        };
        let off = asked.conductances_within.map_or(CONDUCTANCES_OFF, |w| w / STATED_LIMIT_SD);
        let windier = Climate { wind_m_s: (1.0 + WIND_OFF) * climate.wind_m_s, ..climate };
        let (Some(season), Some(windier)) =
            (Season::new(self.house, climate, off), Season::new(self.house, windier, off))
        else {
            return Err(("left-out-bills", String::new()));
        };
        // What another wind would do to the air's heat in the house as first believed.
        let heat = |s: &Season| s.nominal_air_w_k(self.house);
        let (Some(still), Some(blown)) = (heat(&season), heat(&windier)) else {
            return Err(("left-out-no-result", String::new()));
        };
        let own2: f64 = losses.iter().map(|e| relative_sd(e).map_or(0.0, |r| r * e.si)).map(|s| s * s).sum();
        if losses.iter().any(|e| relative_sd(e).is_none()) {
            return Err(("left-out-interval", String::new()));
        }
        let usual = worked.notes.iter().any(|n| n.id == "note-bills-usual-weather");
        let ducts =
            self.house.air_handler.as_ref().is_some_and(|h| !self.house.zones[h.zone].kind.is_indoors());
        let mut off2 = SEASONAL * SEASONAL;
        for _ in [usual, ducts].into_iter().filter(|yes| *yes) {
            off2 += SEASONAL * SEASONAL;
        }
        let wind_w_k = blown - still;
        let sd2 = own2 + off2 * read_w_k * read_w_k + wind_w_k * wind_w_k;
        let noise_sd = (sd2 + season.ua_sd_w_k * season.ua_sd_w_k).sqrt() / read_w_k;
        self.all.seasons.push(season);
        let season = self.all.seasons.len() - 1;
        // Its own states are the season's; the station only says on which visit it was written.
        let station = self.station(&house::start(self.house), None);
        self.all.list.push(Observation {
            station,
            seen: Seen::HeatLoss { season },
            value: math::ln(read_w_k),
            noise_sd,
            below: false,
            instrument: None,
            span: test.span.clone(),
        });
        Ok(())
    }
}
