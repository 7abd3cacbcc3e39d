//! `kind = "two zones"`: exchange of air between two rooms and with outdoors.

use super::record::{self, Outdoors, Record};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::tracer::two_zones::Between;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct TwoZones {
    /// Readings of both rooms.
    pub record: Record,
    /// Gas outdoors.
    pub outdoors: Outdoors,
    /// Volumes by column.
    pub volumes: Vec<(Sp<String>, f64)>,
    /// How well volumes are known.
    pub volume_accuracy: Option<crate::units::Accuracy>,
    /// What is given off, m3/s, by column.
    pub given: Vec<(Sp<String>, f64)>,
    /// How air moves between the rooms.
    pub between: Between,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<TwoZones> {
    let given = t.pairs("given_off").into_iter().filter_map(|(name, text)| {
        match crate::units::parse(&text.value, Q::GasFlow) {
            Ok(flow) => {
                let flow = Sp { value: flow.si, span: text.span };
                t.within("given_off", &flow, Q::GasFlow, 0.0..=0.1).then_some((name, flow.value))
            }
            Err(e) => {
                t.say(crate::doc::read::unit_diagnostic(e, Q::GasFlow, &text.value).at(text.span));
                None
            }
        }
    });
    let given = given.collect();
    let ways = [("equal both ways", Between::Equal), ("each way its own", Between::Free)];
    Some(TwoZones {
        record: record::record(t),
        outdoors: record::outdoors(t),
        volumes: record::volumes(t),
        volume_accuracy: t.accuracy("volume_accuracy", Q::Volume).map(|a| a.value),
        given,
        between: t.choice("between", &ways).map_or(Between::Equal, |w| w.value),
    })
}
