//! Rules for the whole house's outdoor air, as data: editions of ASHRAE 62.2, its forerunner, and a
//! rule of the user's own.
//!
//! What was not read in a citable text says so, and then no check that rests on it decides.

use serde::Serialize;

const FOOT: f64 = 0.3048;
/// One cubic foot per minute, m3/s.
pub const CFM: f64 = FOOT * FOOT * FOOT / 60.0;
const FOOT2: f64 = FOOT * FOOT;
const LITRE_S: f64 = 1e-3;

/// A value of a rule, and whether it was read in a citable text.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ruled<T> {
    /// The value.
    pub value: T,
    /// Id of the text ([`crate::procedure::source`]).
    pub source: &'static str,
    /// Whether it was read there.
    pub confirmed: bool,
}

const fn read<T>(value: T, source: &'static str) -> Ruled<T> {
    Ruled { value, source, confirmed: true }
}

const fn recalled<T>(value: T) -> Ruled<T> {
    Ruled { value, source: super::super::source::FROM_MEMORY, confirmed: false }
}

/// How much air a dwelling needs in all.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum TotalRule {
    /// Per floor area and per bedroom plus one; the standard prints it in two systems of units that
    /// differ by up to 2 %.
    AreaAndBedrooms {
        /// m3/s per m2, inch-pound form.
        area_ip: f64,
        /// m3/s per person, inch-pound form.
        person_ip: f64,
        /// m3/s per m2, metric form.
        area_si: f64,
        /// m3/s per person, metric form.
        person_si: f64,
    },
    /// Air changes of the volume, at least so much a person.
    AirChange {
        /// 1/s.
        change_per_s: f64,
        /// m3/s a person.
        person_m3_s: f64,
    },
    /// A flow typed by the user, m3/s.
    Typed,
}

/// How much of it may come in by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CreditRule {
    /// None.
    None,
    /// All of `Q_inf A_ext`, whichever way the fan blows.
    Whole,
    /// All of it for a balanced system; `Q_inf/Q_tot` of it for another.
    ByBalance,
}

/// One edition of a rule.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Profile {
    /// Id, as in documents.
    pub id: &'static str,
    /// Standard and edition.
    pub standard: &'static str,
    /// Outdoor air in all.
    pub total: Ruled<TotalRule>,
    /// What infiltration takes off it.
    pub credit: Ruled<CreditRule>,
    /// In new houses, at most this share of the total may be taken off.
    pub new_house_cap: Option<Ruled<f64>>,
    /// In existing houses, this share of what local exhausts fall short of is added.
    pub deficit_share: Option<Ruled<f64>>,
    /// What an openable window takes off a room's shortfall, m3/s; not read anywhere.
    pub window_m3_s: f64,
}

const fn area_and_bedrooms(cfm_per_ft2: f64, l_s_per_m2: f64) -> TotalRule {
    TotalRule::AreaAndBedrooms {
        area_ip: cfm_per_ft2 * CFM / FOOT2,
        person_ip: 7.5 * CFM,
        area_si: l_s_per_m2 * LITRE_S,
        person_si: 3.5 * LITRE_S,
    }
}

const FROM_2013: TotalRule = area_and_bedrooms(0.03, 0.15);
/// The article on the existing-dwelling path that was read.
const EXISTING: &str = "ashrae-journal-62-2-existing";

/// Every rule there is.
pub const PROFILES: &[Profile] = &[
    Profile {
        id: "62-1999",
        standard: "ASHRAE 62-1999",
        total: read(
            TotalRule::AirChange { change_per_s: 0.35 / 3600.0, person_m3_s: 15.0 * CFM },
            "epa-62-1999",
        ),
        credit: recalled(CreditRule::Whole),
        new_house_cap: None,
        deficit_share: None,
        window_m3_s: 0.0,
    },
    Profile {
        id: "62.2-2010",
        standard: "ASHRAE 62.2-2010",
        // The metric form is the inch-pound one, rounded as the later editions' is; from memory.
        total: read(area_and_bedrooms(0.01, 0.05), "glossary-62-2-2010"),
        credit: recalled(CreditRule::None),
        new_house_cap: None,
        deficit_share: Some(read(0.25, EXISTING)),
        window_m3_s: 20.0 * CFM,
    },
    Profile {
        id: "62.2-2013",
        standard: "ASHRAE 62.2-2013",
        total: read(FROM_2013, "model-code-62-2"),
        credit: read(CreditRule::Whole, "model-code-62-2"),
        new_house_cap: Some(recalled(2.0 / 3.0)),
        deficit_share: Some(read(0.25, EXISTING)),
        window_m3_s: 20.0 * CFM,
    },
    Profile {
        id: "62.2-2016",
        standard: "ASHRAE 62.2-2016",
        total: read(FROM_2013, "ashrae-2021-16-tables"),
        credit: recalled(CreditRule::ByBalance),
        new_house_cap: Some(recalled(2.0 / 3.0)),
        deficit_share: Some(read(0.25, EXISTING)),
        window_m3_s: 20.0 * CFM,
    },
    Profile {
        id: "62.2-2019",
        standard: "ASHRAE 62.2-2019",
        total: read(FROM_2013, "ashrae-2021-16-tables"),
        credit: recalled(CreditRule::ByBalance),
        new_house_cap: Some(recalled(2.0 / 3.0)),
        deficit_share: Some(read(0.25, EXISTING)),
        window_m3_s: 20.0 * CFM,
    },
    Profile {
        id: "62.2-2022",
        standard: "ASHRAE 62.2-2022",
        total: recalled(FROM_2013),
        credit: recalled(CreditRule::ByBalance),
        new_house_cap: Some(recalled(2.0 / 3.0)),
        deficit_share: Some(recalled(0.25)),
        window_m3_s: 20.0 * CFM,
    },
    Profile {
        id: "own",
        standard: "",
        total: recalled(TotalRule::Typed),
        credit: recalled(CreditRule::Whole),
        new_house_cap: None,
        deficit_share: None,
        window_m3_s: 0.0,
    },
];

impl Profile {
    /// The rule of this id.
    pub fn by_id(id: &str) -> Option<&'static Profile> {
        PROFILES.iter().find(|p| p.id == id)
    }
}

/// What a rule needs to know of the dwelling.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Dwelling {
    /// Floor area, m2.
    pub floor_area_m2: Option<f64>,
    /// Bedrooms; at least one counts.
    pub bedrooms: Option<usize>,
    /// People, where there are more than the bedrooms stand for.
    pub people: Option<usize>,
    /// Air volume, m3.
    pub volume_m3: Option<f64>,
    /// Whether the inch-pound form of a rule is used.
    pub inch_pound: bool,
}

/// What a rule needs and nobody told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Missing {
    /// Floor area.
    FloorArea,
    /// Bedrooms.
    Bedrooms,
    /// Air volume.
    Volume,
    /// The user's own rate.
    Rate,
}

/// Outdoor air in all, m3/s; `typed` is the user's own rate, m3/s.
///
/// Two people in the first bedroom and one in each other, as the standard counts (Handbook -
/// Fundamentals 2021 ch. 16 table 3); more people than that count one by one.
///
/// # Errors
/// What is missing.
///
/// ```
/// use engine::procedure::ventilation::rates::{CFM, Dwelling, Profile, total_m3_s};
/// let house = Dwelling {
///     floor_area_m2: Some(2400.0 * 0.09290304), bedrooms: Some(3), inch_pound: true, ..Dwelling::default()
/// };
/// let rule = Profile::by_id("62.2-2013").unwrap();
/// assert!((total_m3_s(&rule.total.value, &house, None).unwrap() / CFM - 102.0).abs() < 1e-9);
/// ```
pub fn total_m3_s(rule: &TotalRule, house: &Dwelling, typed: Option<f64>) -> Result<f64, Missing> {
    let bedrooms = || house.bedrooms.map(|b| b.max(1)).ok_or(Missing::Bedrooms);
    match *rule {
        TotalRule::AreaAndBedrooms { area_ip, person_ip, area_si, person_si } => {
            let area_m2 = house.floor_area_m2.ok_or(Missing::FloorArea)?;
            let people = (bedrooms()? + 1).max(house.people.unwrap_or(0)) as f64;
            let (per_area, per_person) =
                if house.inch_pound { (area_ip, person_ip) } else { (area_si, person_si) };
            Ok(per_area * area_m2 + per_person * people)
        }
        TotalRule::AirChange { change_per_s, person_m3_s } => {
            let volume_m3 = house.volume_m3.ok_or(Missing::Volume)?;
            let people = match house.people {
                Some(people) => people,
                None => bedrooms()? + 1,
            };
            Ok((change_per_s * volume_m3).max(person_m3_s * people as f64))
        }
        TotalRule::Typed => typed.ok_or(Missing::Rate),
    }
}

/// Effective infiltration of a year, m3/s: `NL wsf A/7.3` in cfm and ft2, from the normalised leakage and
/// the weather and shielding factor (model mechanical code that credits ASHRAE 62.2, 4.1.2).
pub fn infiltration_by_leakage_m3_s(nl: f64, weather_factor: f64, floor_area_m2: f64) -> f64 {
    nl * weather_factor * (floor_area_m2 / FOOT2) / 7.3 * CFM
}

/// The same from the flow at 50 Pa: `0.052 wsf S Q50`, `S = (H/H_r)^0.4` with the height over 2.5 m or
/// the number of storeys (US work specifications on the infiltration credit, 2013).
///
/// ```
/// use engine::procedure::ventilation::rates::{CFM, infiltration_by_flow50_m3_s};
/// let q = infiltration_by_flow50_m3_s(1500.0 * CFM, 0.6, 2.0) / CFM;
/// assert!((q - 61.753).abs() < 1e-3);
/// ```
pub fn infiltration_by_flow50_m3_s(flow50_m3_s: f64, weather_factor: f64, height_ratio: f64) -> f64 {
    0.052 * weather_factor * crate::math::pow(height_ratio, 0.4) * flow50_m3_s
}

/// The fan flow that is still needed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FanNeed {
    /// By a balanced system, m3/s.
    pub balanced_m3_s: f64,
    /// By fans that blow one way, m3/s.
    pub unbalanced_m3_s: f64,
    /// Share of the infiltration that counts beside fans that blow one way.
    pub phi: f64,
}

/// Fan flow for a total, an infiltration and the share of the envelope that faces outdoors; `cap` is
/// the largest share of the total that infiltration may take off.
///
/// ```
/// use engine::procedure::ventilation::rates::{CreditRule, fan_need};
/// let need = fan_need(CreditRule::ByBalance, 90.0, 61.75297022417144, 1.0, None);
/// assert!((need.balanced_m3_s - 28.247).abs() < 1e-3);
/// assert!((need.unbalanced_m3_s - 47.629).abs() < 1e-3);
/// ```
pub fn fan_need(
    rule: CreditRule,
    total_m3_s: f64,
    infiltration_m3_s: f64,
    exterior_share: f64,
    cap: Option<f64>,
) -> FanNeed {
    let limited = |credit: f64| cap.map_or(credit, |c| credit.min(c * total_m3_s));
    let whole = infiltration_m3_s * exterior_share;
    let phi = match rule {
        CreditRule::None => 0.0,
        CreditRule::Whole => 1.0,
        CreditRule::ByBalance => (infiltration_m3_s / total_m3_s).min(1.0),
    };
    let balanced = if rule == CreditRule::None { 0.0 } else { whole };
    FanNeed {
        balanced_m3_s: (total_m3_s - limited(balanced)).max(0.0),
        unbalanced_m3_s: (total_m3_s - limited(phi * whole)).max(0.0),
        phi,
    }
}

/// Rooms with an exhaust of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LocalRoom {
    /// A bathroom with a tub or a shower.
    Bath,
    /// A kitchen with a vented range hood.
    KitchenHood,
    /// A kitchen with another exhaust.
    Kitchen,
}

/// The words used in documents.
pub const LOCAL_ROOMS: &[(&str, LocalRoom)] =
    &[("bath", LocalRoom::Bath), ("kitchen hood", LocalRoom::KitchenHood), ("kitchen", LocalRoom::Kitchen)];

/// When an exhaust runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Runs {
    /// When somebody wants it.
    OnDemand,
    /// All the time.
    Always,
}

/// The words used in documents.
pub const RUNS: &[(&str, Runs)] = &[("on demand", Runs::OnDemand), ("always", Runs::Always)];

/// Least flow of a local exhaust, m3/s (Handbook - Fundamentals 2021 ch. 16 tables 1 and 2, which give
/// those of ASHRAE 62.2): 25 or 10 L/s in a bath (50 or 20 cfm), 50 L/s by a hood (100 cfm), 150 L/s by
/// another kitchen exhaust (300 cfm); all the time, five air changes of an enclosed kitchen.
pub fn local_exhaust_m3_s(
    room: LocalRoom,
    runs: Runs,
    room_volume_m3: Option<f64>,
    inch_pound: bool,
) -> Option<f64> {
    let pick = |cfm: f64, l_s: f64| if inch_pound { cfm * CFM } else { l_s * LITRE_S };
    match (room, runs) {
        (LocalRoom::Bath, Runs::OnDemand) => Some(pick(50.0, 25.0)),
        (LocalRoom::Bath, Runs::Always) => Some(pick(20.0, 10.0)),
        (LocalRoom::KitchenHood, Runs::OnDemand) => Some(pick(100.0, 50.0)),
        (LocalRoom::Kitchen, Runs::OnDemand) => Some(pick(300.0, 150.0)),
        (_, Runs::Always) => room_volume_m3.map(|v| 5.0 * v / 3600.0),
    }
}

/// What a room's exhaust falls short of the on-demand rate, m3/s; an openable window takes `window_m3_s`
/// off it (0 where that is not used).
///
/// The existing-dwelling path asks 100 cfm of a kitchen, whatever its exhaust.
pub fn shortfall_m3_s(room: LocalRoom, measured_m3_s: f64, window_m3_s: f64, inch_pound: bool) -> f64 {
    let asked = match room {
        LocalRoom::Bath => LocalRoom::Bath,
        LocalRoom::KitchenHood | LocalRoom::Kitchen => LocalRoom::KitchenHood,
    };
    let wanted = local_exhaust_m3_s(asked, Runs::OnDemand, None, inch_pound).unwrap_or(0.0);
    (wanted - measured_m3_s - window_m3_s).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_of_a_total_are_alike() {
        for p in PROFILES.iter().filter(|p| matches!(p.total.value, TotalRule::AreaAndBedrooms { .. })) {
            let of = |inch_pound| {
                let house = Dwelling {
                    floor_area_m2: Some(180.0),
                    bedrooms: Some(3),
                    inch_pound,
                    ..Dwelling::default()
                };
                total_m3_s(&p.total.value, &house, None).unwrap()
            };
            assert!((of(true) / of(false) - 1.0).abs() < 0.02, "{}", p.id);
        }
    }

    /// A rule that was recalled rests on no text, and a rule that was read on one.
    #[test]
    fn sources_resolve() {
        let known = |id: &str| crate::procedure::source::source(id).is_some();
        for p in PROFILES {
            assert!(known(p.total.source) && known(p.credit.source), "{}", p.id);
            assert!(p.deficit_share.is_none_or(|d| known(d.source)), "{}", p.id);
        }
    }
}
