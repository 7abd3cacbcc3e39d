//! One house as plain numbers: what the year computes with. SI throughout; every reference to a
//! zone or passage is an index. Filled from the house's documents elsewhere; [`Model::check`] says
//! what does not fit together.

use super::equipment::{
    Cleaner, Cooling, Drier, ExhaustFan, Handler, Heating, HotWater, Humidifier, Thermostat, Ventilator,
};
use super::wind::{Exposure, Site};
use crate::device::{filter, person};
use crate::doc::job::SummerTime;
use crate::network::Network;
use crate::procedure::moisture::mould::Sensitivity;
use crate::weather::Weather;
use crate::weather::sun::Plane;

/// A value for every hour of the day.
pub type ByHour<T> = [T; 24];

/// What a zone is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZoneKind {
    /// Part of the living space.
    Conditioned,
    /// Attic, crawl space, garage, duct space: its air is not wanted in the living space.
    Buffer,
}

/// A body of well-mixed air. The order is that of the network's zones.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// The user's name.
    pub name: String,
    /// What it is for.
    pub kind: ZoneKind,
    /// Height of the floor, m.
    pub floor_m: f64,
    /// Height of the ceiling, m.
    pub ceiling_m: f64,
    /// Volume of air, m3.
    pub volume_m3: f64,
    /// Floor area, m2.
    pub floor_area_m2: f64,
    /// Heat that air, furniture and the inner layers of walls take up, J/K.
    pub heat_capacity_j_k: f64,
    /// Moisture capacity over that of the air alone: 10 to 25 in furnished rooms (from memory).
    pub moisture_multiplier: f64,
    /// Deposition of PM2.5, 1/s.
    pub deposition_per_s: f64,
    /// Area of the coldest inner surface (glass), on which water condenses, m2.
    pub cold_area_m2: f64,
    /// Temperature factor of that surface: 0 as cold as outdoors, 1 as warm as the room.
    pub cold_factor: f64,
    /// What that surface is called.
    pub cold_name: String,
    /// How readily mould grows on it.
    pub mould: Sensitivity,
    /// Temperature at the start of the first warm-up day, K.
    pub start_k: f64,
}

impl Zone {
    /// A zone with usual properties: capacity 60 kJ/K per m2 of floor for living space and three
    /// times its air elsewhere, moisture multiplier 15 and 5, deposition 0.4 per hour, a tenth of
    /// the floor as glass at factor 0.5 (common practice, no source).
    pub fn usual(name: &str, kind: ZoneKind, floor_m: f64, ceiling_m: f64, floor_area_m2: f64) -> Zone {
        let volume_m3 = floor_area_m2 * (ceiling_m - floor_m);
        let (heat_capacity_j_k, moisture_multiplier, cold_factor) = match kind {
            ZoneKind::Conditioned => (60e3 * floor_area_m2, 15.0, 0.5),
            ZoneKind::Buffer => (3.0 * 1210.0 * volume_m3 + 10e3 * floor_area_m2, 5.0, 0.2),
        };
        Zone {
            name: name.to_owned(),
            kind,
            floor_m,
            ceiling_m,
            volume_m3,
            floor_area_m2,
            heat_capacity_j_k,
            moisture_multiplier,
            deposition_per_s: filter::DEPOSITION_PER_S,
            cold_area_m2: 0.1 * floor_area_m2,
            cold_factor,
            cold_name: String::new(),
            mould: Sensitivity::Sensitive,
            start_k: 294.15,
        }
    }
}

/// What the year needs to know of a passage beyond the network. The order is the network's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// Part of PM2.5 that gets through, 0 to 1: [`filter::PENETRATION`] for cracks, 1 for doors, 1
    /// less the efficiency for a filter.
    pub pm25_passed: f64,
}

/// Sun on an opaque surface, by its sol-air temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunOn {
    /// Which way it faces.
    pub plane: Plane,
    /// Part of the sunlight it takes up.
    pub absorptance: f64,
    /// Heat transfer to the outdoor air, W/(m2 K): 17 to 30 (common practice).
    pub film_w_m2_k: f64,
    /// Loss to the sky as a fall of temperature, K: 4 for a roof (ASHRAE's sol-air value, from
    /// memory), 0 for a wall.
    pub sky_k: f64,
}

/// What is on the other side of a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Beyond {
    /// Outdoor air, perhaps with sun.
    Outdoors(Option<SunOn>),
    /// Ground.
    Ground,
    /// Another zone.
    Zone(usize),
}

/// A wall, floor, ceiling, roof or window, as a conductance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    /// On this side.
    pub zone: usize,
    /// On the other.
    pub beyond: Beyond,
    /// U times area, W/K.
    pub conductance_w_k: f64,
}

/// Glass that lets sun in; its conductance is a [`Surface`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Zone it lights.
    pub zone: usize,
    /// Area, m2.
    pub area_m2: f64,
    /// Solar heat gain coefficient, shading included.
    pub shgc: f64,
    /// Which way it faces.
    pub plane: Plane,
}

/// Ground temperature: a cosine over the year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// Mean of the year, K.
    pub mean_k: f64,
    /// Half the range, K.
    pub amplitude_k: f64,
    /// Day of the year on which it is coldest.
    pub coldest_day: f64,
}

impl Ground {
    /// Near-surface ground under a house: the year's mean, a third of the monthly half range, a
    /// month behind mid-January (common practice, no source).
    pub fn under_house(weather: &Weather) -> Ground {
        let months = weather.monthly_temp_k();
        let hi = months.iter().copied().fold(f64::MIN, f64::max);
        let lo = months.iter().copied().fold(f64::MAX, f64::min);
        Ground { mean_k: weather.mean_temp_k(), amplitude_k: (hi - lo) / 6.0, coldest_day: 45.0 }
    }

    /// Temperature on a day of the year, K.
    pub fn temp_k(&self, day: f64) -> f64 {
        let angle = std::f64::consts::TAU * (day - self.coldest_day) / 365.0;
        self.mean_k - self.amplitude_k * crate::math::cos(angle)
    }
}

/// A wet surface at ground temperature, such as bare soil in a crawl space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WetGround {
    /// Zone above it.
    pub zone: usize,
    /// Mass transfer times area, kg/s per kg/kg: about 0.003 kg/(m2 s) times the wet area.
    pub transfer_kg_s: f64,
}

impl WetGround {
    /// Bare wet soil gives off 0.003 kg/(m2 s) per kg/kg: 3 W/(m2 K) of convection over the heat
    /// capacity of air (Lewis relation).
    pub const BARE_KG_M2_S: f64 = 0.003;

    /// Soil of which the part `covered` (0 to 1) lies under a sheet of a permeance, kg/(s m2 Pa).
    /// Below the sheet the vapour meets both in series; seams and holes belong to the part that is
    /// not covered.
    ///
    /// ```
    /// use engine::year::WetGround;
    /// // A sheet of 0.1 perm lets through next to nothing: the bare tenth decides.
    /// let soil = WetGround::covered(0, 100.0, 0.9, 5.72e-12);
    /// assert!((soil.transfer_kg_s - 0.03).abs() < 1e-4);
    /// ```
    pub fn covered(zone: usize, area_m2: f64, covered: f64, permeance_kg_s_m2_pa: f64) -> WetGround {
        // Vapour pressure over humidity ratio at sea level and low humidity, Pa per kg/kg.
        let pa = 101_325.0 / 0.621_945;
        let sheet = permeance_kg_s_m2_pa * pa;
        let below = sheet * Self::BARE_KG_M2_S / (sheet + Self::BARE_KG_M2_S);
        WetGround { zone, transfer_kg_s: area_m2 * ((1.0 - covered) * Self::BARE_KG_M2_S + covered * below) }
    }
}

/// A person, or several who move together.
#[derive(Clone, Debug, PartialEq)]
pub struct Occupant {
    /// Where they are; `None` is out.
    pub zone: ByHour<Option<usize>>,
    /// CO2, m3/s.
    pub co2_m3_s: ByHour<f64>,
    /// Water, kg/s.
    pub water_kg_s: ByHour<f64>,
    /// Sensible heat, W.
    pub heat_w: ByHour<f64>,
    /// Spans of the day in which something else holds, the first that fits; steps end where they do.
    pub stays: Vec<Stay>,
    /// How many they are.
    pub persons: f64,
}

/// Where a person is in a span of the day, and what they give off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stay {
    /// From, s after midnight.
    pub from_s: f64,
    /// To, s after midnight; before the start it runs past midnight.
    pub to_s: f64,
    /// Where they are; `None` is out.
    pub zone: Option<usize>,
    /// CO2, m3/s.
    pub co2_m3_s: f64,
    /// Water, kg/s.
    pub water_kg_s: f64,
    /// Sensible heat, W.
    pub heat_w: f64,
}

impl Occupant {
    /// The stay at a time of the day, `hour` of which is the whole hour.
    pub fn at(&self, hour: usize, day_s: f64) -> Stay {
        let fits = |s: &&Stay| super::equipment::in_span(day_s, (s.from_s, s.to_s));
        self.stays.iter().find(fits).copied().unwrap_or_else(|| Stay {
            from_s: hour as f64 * 3600.0,
            to_s: (hour + 1) as f64 * 3600.0,
            zone: self.zone[hour],
            co2_m3_s: self.co2_m3_s[hour],
            water_kg_s: self.water_kg_s[hour],
            heat_w: self.heat_w[hour],
        })
    }

    /// A person by basal metabolic rate, place and activity.
    pub fn person(basal_w: f64, zone: ByHour<Option<usize>>, met: ByHour<f64>) -> Occupant {
        Occupant {
            zone,
            co2_m3_s: met.map(|m| person::co2_m3_s(basal_w, m, 293.15, 101_325.0)),
            water_kg_s: met.map(person::water_kg_s),
            heat_w: met.map(|m| person::sensible_w(basal_w, m)),
            stays: Vec::new(),
            persons: 1.0,
        }
    }
}

/// Heat from lights and appliances.
#[derive(Clone, Debug, PartialEq)]
pub struct Gain {
    /// Zone.
    pub zone: usize,
    /// Sensible heat, W.
    pub heat_w: ByHour<f64>,
}

/// Something that happens every day: cooking, a shower, wet laundry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Zone.
    pub zone: usize,
    /// After midnight, s.
    pub start_s: f64,
    /// How long, s; 86400 is always.
    pub duration_s: f64,
    /// PM2.5, kg/s.
    pub pm25_kg_s: f64,
    /// Water, kg/s.
    pub water_kg_s: f64,
    /// CO2, m3/s.
    pub co2_m3_s: f64,
    /// Sensible heat, W.
    pub heat_w: f64,
    /// Part caught by a hood before it mixes, 0 to 1.
    pub capture: f64,
}

/// A gas by name, which air carries and which may decay.
#[derive(Clone, Debug, PartialEq)]
pub struct Gas {
    /// The user's name.
    pub name: String,
    /// Outdoors, kg per kg of air.
    pub outdoors_kg_kg: f64,
    /// Decay in the air and on surfaces, 1/s.
    pub decay_per_s: f64,
    /// What sets it free.
    pub sources: Vec<GasSource>,
}

/// A daily event that sets a gas free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasSource {
    /// Zone.
    pub zone: usize,
    /// After midnight, s.
    pub start_s: f64,
    /// How long, s; 86400 is always.
    pub duration_s: f64,
    /// Rate, kg/s.
    pub rate_kg_s: f64,
    /// Part caught by a hood before it mixes, 0 to 1.
    pub capture: f64,
}

/// When a door is open.
#[derive(Clone, Debug, PartialEq)]
pub enum Open {
    /// In these hours of the day.
    Hours(ByHour<bool>),
    /// While something runs in these spans of the day, s after midnight, or only while it rests.
    Running {
        /// From and to.
        spans: Vec<(f64, f64)>,
        /// Open while it runs; else while it rests.
        while_on: bool,
    },
}

/// A door, or another passage that is there at some times only.
#[derive(Clone, Debug, PartialEq)]
pub struct Door {
    /// Passage of the network that is the open door; its closed gaps are another passage.
    pub passage: usize,
    /// When it is open.
    pub open: Open,
}

impl Door {
    /// Whether it is open in this hour, at these seconds of the day.
    pub fn is_open(&self, hour: usize, day_s: f64) -> bool {
        match &self.open {
            Open::Hours(open) => open.get(hour).copied().unwrap_or(false),
            Open::Running { spans, while_on } => {
                spans.iter().any(|s| super::equipment::in_span(day_s, *s)) == *while_on
            }
        }
    }
}

/// Outdoor air quality.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutdoorAir {
    /// CO2, ppm.
    pub co2_ppm: f64,
    /// PM2.5 by month, kg/m3.
    pub pm25_kg_m3: [f64; 12],
}

impl Default for OutdoorAir {
    /// 420 ppm of CO2, 8 ug/m3 of PM2.5 (a place's own values belong here).
    fn default() -> OutdoorAir {
        OutdoorAir { co2_ppm: 420.0, pm25_kg_m3: [8e-9; 12] }
    }
}

/// One house.
#[derive(Clone, Debug)]
pub struct Model {
    /// Zones, in the order of the network's.
    pub zones: Vec<Zone>,
    /// The air network without fans, handler and ventilators: those are below.
    pub network: Network,
    /// One for each passage of the network.
    pub passages: Vec<Passage>,
    /// One for each wind face of the network.
    pub faces: Vec<Exposure>,
    /// Where the house stands.
    pub site: Site,
    /// When the clock that schedules run by is ahead of the weather's standard time.
    pub summer: Option<SummerTime>,
    /// Conductances.
    pub surfaces: Vec<Surface>,
    /// Glass.
    pub windows: Vec<Window>,
    /// Ground temperature.
    pub ground: Ground,
    /// Wet surfaces.
    pub wet_ground: Vec<WetGround>,
    /// People.
    pub occupants: Vec<Occupant>,
    /// Lights and appliances.
    pub gains: Vec<Gain>,
    /// Daily events.
    pub sources: Vec<Source>,
    /// Doors.
    pub doors: Vec<Door>,
    /// Exhaust fans.
    pub exhausts: Vec<ExhaustFan>,
    /// Portable air cleaners; they run when their fans do.
    pub cleaners: Vec<Cleaner>,
    /// Supply and balanced ventilation.
    pub ventilators: Vec<Ventilator>,
    /// Air handler.
    pub handler: Option<Handler>,
    /// Thermostat; without it nothing heats or cools.
    pub thermostat: Option<Thermostat>,
    /// Heating.
    pub heating: Option<Heating>,
    /// Cooling.
    pub cooling: Option<Cooling>,
    /// Dehumidifiers.
    pub driers: Vec<Drier>,
    /// Heat-pump water heaters.
    pub hot_water: Vec<HotWater>,
    /// Humidifiers.
    pub humidifiers: Vec<Humidifier>,
    /// Gases by name.
    pub gases: Vec<Gas>,
    /// Outdoor air quality.
    pub outdoor: OutdoorAir,
    /// Zone with a combustion appliance that draws from it; its least pressure is reported.
    pub appliance_zone: Option<usize>,
}
