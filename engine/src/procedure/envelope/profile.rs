//! The fan-test standards' rules as data.
//!
//! A limit is `confirmed` where a citable text with it was read; the others come from memory and
//! are shown beside the value without deciding anything.

use super::check::CheckId;
use crate::procedure::instrument::ReferenceForm;
use crate::procedure::source::FROM_MEMORY;
use serde::Serialize;

/// A choice a standard makes, and whether its text was read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sourced<T> {
    /// The choice.
    pub value: T,
    /// Id of the text it rests on, see [`crate::procedure::source`].
    pub source: &'static str,
    /// Whether it was read there.
    pub confirmed: bool,
}

/// How many pressures a procedure uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// A line through stations at many pressures.
    MultiPoint,
    /// Two pressures far apart, each perhaps read several times.
    TwoPoint,
    /// One pressure near 50 Pa, perhaps read several times; the exponent is assumed.
    OnePoint,
}

/// How a standard computes the density of air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DensityForm {
    /// Moist air from barometric pressure, temperature and humidity.
    Moist,
    /// Dry air from altitude and temperature.
    DryAltitude,
}

/// The exponent a one-point test assumes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AssumedExponent {
    /// Exponent n.
    pub value: f64,
    /// Standard uncertainty over houses.
    pub se: f64,
}

/// A limit of one check.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limit {
    /// What is checked.
    pub check: CheckId,
    /// Lowest allowed value, SI.
    pub lo: Option<f64>,
    /// Highest allowed value, SI.
    pub hi: Option<f64>,
    /// Clause, where it is known.
    pub clause: Option<&'static str>,
    /// Id of the text, see [`crate::procedure::source`].
    pub source: &'static str,
    /// Whether the limit was read there; if not it decides nothing.
    pub confirmed: bool,
}

/// One procedure of one standard.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Profile {
    /// Stable id.
    pub id: &'static str,
    /// Name and edition of the standard.
    pub standard: &'static str,
    /// Points, two points or one.
    pub method: Method,
    /// How density is computed.
    pub density: Sourced<DensityForm>,
    /// How leakage is brought to reference conditions.
    pub reference: Sourced<ReferenceForm>,
    /// The exponent where none is measured.
    pub exponent: Sourced<AssumedExponent>,
    /// Its limits.
    pub limits: &'static [Limit],
}

impl Profile {
    /// The profile of this id.
    ///
    /// ```
    /// use engine::procedure::envelope::Profile;
    /// assert!(Profile::by_id("iso-9972").is_some());
    /// ```
    pub fn by_id(id: &str) -> Option<&'static Profile> {
        PROFILES.iter().find(|p| p.id == id)
    }
}

const fn at_least(check: CheckId, lo: f64) -> Limit {
    Limit { check, lo: Some(lo), hi: None, clause: None, source: FROM_MEMORY, confirmed: false }
}

const fn at_most(check: CheckId, hi: f64) -> Limit {
    Limit { check, lo: None, hi: Some(hi), clause: None, source: FROM_MEMORY, confirmed: false }
}

const fn between(check: CheckId, lo: f64, hi: f64) -> Limit {
    Limit { check, lo: Some(lo), hi: Some(hi), clause: None, source: FROM_MEMORY, confirmed: false }
}

const fn read_in(source: &'static str, limit: Limit) -> Limit {
    Limit { source, confirmed: true, ..limit }
}

const fn recalled<T: Copy>(value: T) -> Sourced<T> {
    Sourced { value, source: FROM_MEMORY, confirmed: false }
}

const fn read<T: Copy>(value: T, source: &'static str) -> Sourced<T> {
    Sourced { value, source, confirmed: true }
}

/// Handbook default; the spread is the upper end of its 0.05 to 0.07.
const EXPONENT: Sourced<AssumedExponent> = read(AssumedExponent { value: 0.65, se: 0.07 }, "ashrae-2021-16");

use CheckId as C;

/// Every procedure the program knows.
pub const PROFILES: &[Profile] = &[
    Profile {
        id: "iso-9972",
        standard: "ISO 9972:2015",
        method: Method::MultiPoint,
        density: read(DensityForm::Moist, "uk-tsl1-2010"),
        reference: recalled(ReferenceForm::Density),
        exponent: EXPONENT,
        limits: &[
            read_in("passivhaus-checklist", at_least(C::StationCount, 5.0)),
            at_most(C::PressureStep, 10.0),
            // The source says "about" 10 Pa, so the number is shown without deciding.
            at_least(C::LowestPressure, 10.0),
            read_in("due-2019", at_least(C::LowestOverBaseline, 5.0)),
            read_in("passivhaus-checklist", at_least(C::HighestPressure, 50.0)),
            read_in("passivhaus-checklist", at_most(C::Baseline, 5.0)),
            at_most(C::BaselineSplit, 5.0),
            read_in("passivhaus-checklist", between(C::Exponent, 0.5, 1.0)),
            at_least(C::Determination, 0.98),
            at_most(C::HeightTemperature, 250.0),
            read_in("passivhaus-checklist", at_most(C::Wind, 6.0)),
            at_most(C::FlowAccuracy, 0.07),
            at_most(C::PressureAccuracy, 1.0),
        ],
    },
    Profile {
        id: "astm-e779",
        standard: "ASTM E779-19",
        method: Method::MultiPoint,
        density: recalled(DensityForm::DryAltitude),
        reference: read(ReferenceForm::DensityAndViscosity, "roulet-2008"),
        exponent: EXPONENT,
        limits: &[
            at_least(C::Directions, 2.0),
            at_most(C::PressureStep, 10.0),
            at_least(C::LowestPressure, 10.0),
            at_least(C::HighestPressure, 60.0),
            between(C::Exponent, 0.5, 1.0),
            at_most(C::HeightTemperature, 200.0),
            at_most(C::Wind, 2.0),
            between(C::OutdoorTemperature, 278.15, 308.15),
            at_most(C::FlowAccuracy, 0.05),
        ],
    },
    Profile {
        id: "astm-e1827-one-point",
        standard: "ASTM E1827, one point",
        method: Method::OnePoint,
        density: recalled(DensityForm::DryAltitude),
        reference: recalled(ReferenceForm::DensityAndViscosity),
        exponent: EXPONENT,
        limits: &[at_least(C::StationCount, 5.0), at_most(C::Wind, 2.0), at_most(C::FlowAccuracy, 0.05)],
    },
    Profile {
        id: "astm-e1827-two-point",
        standard: "ASTM E1827, two points",
        method: Method::TwoPoint,
        density: recalled(DensityForm::DryAltitude),
        reference: recalled(ReferenceForm::DensityAndViscosity),
        exponent: EXPONENT,
        limits: &[
            at_least(C::StationCount, 10.0),
            at_most(C::LowestPressure, 12.5),
            at_least(C::HighestPressure, 50.0),
            at_most(C::Wind, 2.0),
            at_most(C::FlowAccuracy, 0.05),
        ],
    },
    Profile {
        id: "cgsb-149.10",
        standard: "CAN/CGSB-149.10, multi-point",
        method: Method::MultiPoint,
        density: recalled(DensityForm::DryAltitude),
        reference: recalled(ReferenceForm::DensityAndViscosity),
        exponent: EXPONENT,
        limits: &[
            at_least(C::StationCount, 8.0),
            at_least(C::Depressurised, 1.0),
            at_least(C::LowestPressure, 15.0),
            // 50 or 60 Pa: the texts that were found disagree.
            at_least(C::HighestPressure, 50.0),
            at_least(C::Correlation, 0.990),
            at_most(C::RelativeStandardError, 0.07),
            between(C::Exponent, 0.5, 1.0),
            at_most(C::Wind, 20.0 / 3.6),
            at_most(C::FlowAccuracy, 0.05),
            at_most(C::PressureAccuracy, 2.0),
        ],
    },
    Profile {
        id: "resnet-icc-380-one-point",
        standard: "ANSI/RESNET/ICC 380, one point",
        method: Method::OnePoint,
        density: recalled(DensityForm::DryAltitude),
        reference: recalled(ReferenceForm::DensityAndViscosity),
        exponent: EXPONENT,
        limits: &[
            at_most(C::Baseline, 5.0),
            at_least(C::HighestPressure, 50.0),
            at_most(C::FlowAccuracy, 0.05),
            at_most(C::PressureAccuracy, 0.5),
        ],
    },
    Profile {
        id: "resnet-icc-380-multi-point",
        standard: "ANSI/RESNET/ICC 380, multi-point",
        method: Method::MultiPoint,
        density: recalled(DensityForm::DryAltitude),
        reference: recalled(ReferenceForm::DensityAndViscosity),
        exponent: EXPONENT,
        limits: &[
            at_most(C::Baseline, 5.0),
            at_least(C::HighestPressure, 50.0),
            at_most(C::FlowAccuracy, 0.05),
            at_most(C::PressureAccuracy, 0.5),
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::source::source;

    #[test]
    fn every_rule_has_a_source_and_nothing_recalled_is_confirmed() {
        for profile in PROFILES {
            let forms = [
                (profile.density.source, profile.density.confirmed),
                (profile.reference.source, profile.reference.confirmed),
                (profile.exponent.source, profile.exponent.confirmed),
            ];
            let limits = profile.limits.iter().map(|l| (l.source, l.confirmed));
            for (id, confirmed) in forms.into_iter().chain(limits) {
                assert!(source(id).is_some(), "{id} in {}", profile.id);
                assert_eq!(confirmed, id != FROM_MEMORY, "{id} in {}", profile.id);
            }
            assert!(profile.limits.iter().all(|l| l.lo.is_some() || l.hi.is_some()));
        }
        let mut ids: Vec<_> = PROFILES.iter().map(|p| p.id).collect();
        ids.dedup();
        assert_eq!(ids.len(), PROFILES.len());
    }
}
