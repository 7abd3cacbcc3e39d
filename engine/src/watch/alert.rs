//! What is worth telling somebody at once, and how often it would be told for nothing.

use crate::procedure::combustion::{Levels, PROTOCOLS, Published};
use serde::{Deserialize, Serialize};

/// Kinds of alerts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Carbon monoxide at or above a level: the first sample tells, and nothing silences it.
    CarbonMonoxide,
    /// Traces left what is expected of them for long enough.
    Change,
    /// A source that sends nothing.
    Silence,
    /// A CO2 sensor reads below outdoor air.
    BelowOutdoors,
    /// A filter's forecast date has come.
    FilterDue,
    /// More ventilation is owed than a day of one excess exposure.
    Debt,
}

impl Kind {
    /// All of them, the gravest first.
    pub const ALL: [Kind; 6] =
        [Kind::CarbonMonoxide, Kind::Change, Kind::Silence, Kind::BelowOutdoors, Kind::FilterDue, Kind::Debt];

    /// False alarms of the whole house that are expected in a month of 730 h while nothing is the matter;
    /// nothing where no chance is in it: such an alert says what is there.
    pub fn false_a_month(self, change: f64) -> Option<f64> {
        match self {
            Kind::Change => Some(change),
            // A week's least hour 3.29 sd below its limit, twenty sensors at most.
            Kind::BelowOutdoors => Some(20.0 * 4.3 * 0.0005),
            // The limit was passed at 95 %: one in twenty filters is told early; two filters a year.
            Kind::FilterDue => Some(0.05 * 2.0 / 12.0),
            Kind::CarbonMonoxide | Kind::Silence | Kind::Debt => None,
        }
    }
}

/// How grave carbon monoxide is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Tell the people, look for the source, ventilate.
    Tell,
    /// Open up, all possible sources off.
    Stop,
    /// Everybody out; emergency services are called from outside.
    Leave,
}

/// The lowest published level of each kind that was read in a citable text, with its source; recalled ones count only
/// where no protocol has a read one.
pub fn levels() -> Vec<(Level, Published)> {
    let of = |level: Level, pick: fn(&Levels) -> Option<Published>| {
        let all = || PROTOCOLS.iter().filter_map(|p| pick(&p.levels));
        let least = |seen: bool| all().filter(|l| l.seen == seen).min_by(|a, b| a.si.total_cmp(&b.si));
        least(true).or_else(|| least(false)).map(|l| (level, l))
    };
    [of(Level::Tell, |l| l.tell), of(Level::Stop, |l| l.stop), of(Level::Leave, |l| l.leave)]
        .into_iter()
        .flatten()
        .collect()
}

/// The level that a reading reaches.
pub fn level_of(co: f64) -> Option<(Level, Published)> {
    levels().into_iter().rfind(|(_, l)| co >= l.si)
}

/// One alert.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Alert {
    /// What.
    pub kind: Kind,
    /// When it was known, ms.
    pub time_ms: i64,
    /// The trace or device concerned.
    pub of: String,
    /// The number that tells, SI; of the trace's own quantity, days for a filter, s for a debt or silence.
    pub value: f64,
    /// For carbon monoxide, how grave.
    pub level: Option<Level>,
    /// The event it belongs to.
    pub event: Option<u64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_the_published_ones() {
        let found: Vec<(Level, f64, &str)> =
            levels().iter().map(|(l, p)| (*l, (p.si * 1e7).round() / 10.0, p.source)).collect();
        assert_eq!(
            found,
            [
                (Level::Tell, 9.0, "bpi-1200"),
                (Level::Stop, 30.0, "irc-app-d"),
                (Level::Leave, 70.0, "bpi-1200")
            ]
        );
        assert!(level_of(8.9e-6).is_none());
        assert_eq!(level_of(9e-6).unwrap().0, Level::Tell);
        assert_eq!(level_of(71e-6).unwrap().0, Level::Leave);
    }
}
