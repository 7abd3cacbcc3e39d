//! Flow of the air handler in the shape of all tests.

use super::flow::{HandlerFlow, Said};
use super::setup::Motor;
use super::traverse::{QUALITY_SHARE, STRAIGHT};
use crate::measure::{Estimate, NoInterval};
use crate::procedure::field::{Limit, Note, Worked};
use crate::procedure::source::FROM_MEMORY;
use crate::units::Quantity;

impl HandlerFlow {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-handler-flow", self.flow);
        let figures = [
            ("figure-handler-flow-standard", Some(self.standard)),
            ("figure-flow-per-capacity", self.per_capacity),
            ("figure-power-per-flow", self.power_per_flow),
            ("figure-hoods-supply", self.supply_sum),
            ("figure-hoods-return", self.return_sum),
            ("figure-plenum-correction", self.correction),
            ("figure-temperature-rise", self.rise),
            ("figure-mean-speed", self.mean_speed),
        ];
        for (id, e) in figures {
            if let Some(e) = e {
                worked.figure(id, e);
            }
        }
        let exact = |si, quantity| Estimate::without(si, quantity, NoInterval::Exact);
        if let Some(t) = &self.traverse {
            let limit = Limit::at_least(QUALITY_SHARE, FROM_MEMORY, false);
            let share = Some(exact(t.good_share, Quantity::Fraction));
            worked.checks.push(limit.check("check-traverse-quality", share));
        }
        if let Some((before, after)) = self.straight_diameters {
            for (id, found, wanted) in
                [("check-straight-before", before, STRAIGHT.0), ("check-straight-after", after, STRAIGHT.1)]
            {
                let limit = Limit::at_least(wanted, "duct-traverse-page", false);
                let found = found.map(|d| exact(d, Quantity::Number));
                worked.checks.push(limit.check(id, found));
            }
        }
        let [least, most] = &self.limits;
        for (limit, id, value) in [
            (least, "check-flow-per-capacity", self.per_capacity),
            (most, "check-power-per-flow", self.power_per_flow),
        ] {
            if let Some(limit) = limit {
                worked.checks.push(self.setup.judge(limit.check(id, value)));
            }
        }
        for said in &self.said {
            worked.notes.push(match said {
                Said::SeaLevel => Note::caution("note-sea-level"),
                Said::FarCorrection => Note::caution("note-plate-far"),
                Said::Matching => Note::new("note-matching-return"),
                Said::FuelOutput => Note::caution("note-rise-fuel"),
                Said::OnePlace => Note::caution("note-rise-one-place"),
                Said::BelowZero => Note::caution("note-traverse-below-zero")
                    .arg("count", self.traverse.as_ref().map_or(0, |t| t.below_zero)),
                Said::OneLine => Note::caution("note-traverse-one-line"),
                Said::Slow => Note::caution("note-traverse-slow"),
                Said::Hoods => Note::new("note-hoods"),
            });
        }
        self.setup.say(&mut worked);
        if self.setup.motor == Some(Motor::ConstantAirflow) && self.power_per_flow.is_none() {
            worked.notes.push(Note::new("note-motor-watts-missing"));
        }
        worked
    }
}
