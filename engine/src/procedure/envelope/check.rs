//! Validity checks of an envelope test.

use super::profile::Limit;
use crate::measure::{Estimate, NoInterval};
use crate::procedure::verdict::Verdict;
use crate::units::Quantity;
use serde::Serialize;

/// What is checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CheckId {
    /// Number of usable stations.
    StationCount,
    /// Lowest induced pressure, Pa.
    LowestPressure,
    /// Highest induced pressure, Pa.
    HighestPressure,
    /// Largest step between neighbouring stations, Pa.
    PressureStep,
    /// Lowest induced pressure, Pa; a profile's limit is so many times the larger mean baseline, a
    /// check's limit is that product.
    LowestOverBaseline,
    /// The larger of the mean baselines before and after, Pa.
    Baseline,
    /// The largest of the means of positive and of negative baseline samples, Pa.
    BaselineSplit,
    /// r squared of the log-log line.
    Determination,
    /// r of the log-log line.
    Correlation,
    /// Relative standard error of the flow at 10 Pa.
    RelativeStandardError,
    /// Flow exponent n.
    Exponent,
    /// Building height times indoor-outdoor temperature difference, m K.
    HeightTemperature,
    /// Mean wind speed, m/s.
    Wind,
    /// Outdoor temperature, K.
    OutdoorTemperature,
    /// Stated accuracy of the flow gauge, share of the reading.
    FlowAccuracy,
    /// Stated accuracy of the pressure gauge at 50 Pa, Pa.
    PressureAccuracy,
    /// Directions tested: 1 or 2.
    Directions,
    /// Runs that depressurise.
    Depressurised,
}

impl CheckId {
    /// What its value measures; nothing for metre-kelvin, which is no other quantity of the program.
    pub fn quantity(self) -> Option<Quantity> {
        use CheckId as C;
        match self {
            C::LowestPressure
            | C::HighestPressure
            | C::PressureStep
            | C::LowestOverBaseline
            | C::Baseline
            | C::BaselineSplit
            | C::PressureAccuracy => Some(Quantity::Pressure),
            C::Wind => Some(Quantity::Speed),
            C::OutdoorTemperature => Some(Quantity::Temperature),
            C::FlowAccuracy | C::RelativeStandardError => Some(Quantity::Fraction),
            C::HeightTemperature => None,
            C::StationCount
            | C::Determination
            | C::Correlation
            | C::Exponent
            | C::Directions
            | C::Depressurised => Some(Quantity::Number),
        }
    }

    /// SI unit of its value.
    pub fn unit(self) -> &'static str {
        self.quantity().map_or("m K", Quantity::si_symbol)
    }

    /// Whether it is asked once for the whole test; the others are asked of every run.
    pub fn of_whole_test(self) -> bool {
        use CheckId as C;
        matches!(
            self,
            C::HeightTemperature
                | C::Wind
                | C::OutdoorTemperature
                | C::FlowAccuracy
                | C::PressureAccuracy
                | C::Directions
                | C::Depressurised
        )
    }
}

/// One check and how it came out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Check {
    /// What was checked.
    pub id: CheckId,
    /// What was found, SI; absent where it was not measured.
    pub value: Option<f64>,
    /// SI unit of value and limits.
    pub unit: &'static str,
    /// Lowest allowed value.
    pub lo: Option<f64>,
    /// Highest allowed value.
    pub hi: Option<f64>,
    /// How it came out.
    pub verdict: Verdict,
    /// Clause of the standard, where it is known.
    pub clause: Option<&'static str>,
    /// Id of the text the limit rests on.
    pub source: &'static str,
    /// Whether the limit was read there.
    pub confirmed: bool,
}

impl Check {
    /// Judges `value` against `limit`.
    ///
    /// A standard's limit is on the reading: one that keeps it passes. One that misses it by less than
    /// its gauge can tell (the interval of `value`) is too close.
    ///
    /// ```
    /// use engine::measure::Estimate;
    /// use engine::procedure::envelope::{Check, CheckId, Profile};
    /// use engine::procedure::verdict::Verdict;
    /// use engine::units::Quantity;
    /// let iso = Profile::by_id("iso-9972").unwrap();
    /// let limit = iso.limits.iter().find(|l| l.check == CheckId::HighestPressure).unwrap();
    /// let read = |pa: f64| Some(Estimate::range(pa, pa - 0.5, pa + 0.5, 0.95, Quantity::Pressure));
    /// assert_eq!(Check::judge(limit, read(50.2)).verdict, Verdict::Pass);
    /// assert_eq!(Check::judge(limit, read(49.8)).verdict, Verdict::TooClose);
    /// assert_eq!(Check::judge(limit, read(48.0)).verdict, Verdict::Fail);
    /// ```
    pub fn judge(limit: &Limit, value: Option<Estimate>) -> Check {
        let verdict_of = |v: Option<&Estimate>| Verdict::of(v, limit.lo, limit.hi, limit.confirmed);
        let reading = value.map(|v| Estimate::without(v.si, v.quantity, NoInterval::NotDefined));
        let verdict = match verdict_of(reading.as_ref()) {
            Verdict::Fail => verdict_of(value.as_ref()),
            other => other,
        };
        Check {
            id: limit.check,
            value: value.map(|v| v.si).filter(|v| v.is_finite()),
            unit: limit.check.unit(),
            lo: limit.lo,
            hi: limit.hi,
            verdict,
            clause: limit.clause,
            source: limit.source,
            confirmed: limit.confirmed,
        }
    }
}
