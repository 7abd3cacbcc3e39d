//! Duct leakage in the shape of all tests.

use super::REFERENCE_PA;
use super::leakage::{Leakage, Part, To};
use crate::procedure::field::{Note, Worked};
use crate::units::Quantity;

fn q25_id(part: Part, to: To) -> &'static str {
    match (part, to) {
        (Part::Whole, To::Anywhere) => "figure-duct-25",
        (Part::Whole, To::Outdoors) => "figure-duct-25-outdoors",
        (Part::Supply, To::Anywhere) => "figure-duct-25-supply",
        (Part::Supply, To::Outdoors) => "figure-duct-25-supply-outdoors",
        (Part::Return, To::Anywhere) => "figure-duct-25-return",
        (Part::Return, To::Outdoors) => "figure-duct-25-return-outdoors",
    }
}

/// Id of the leakage of a side while the handler runs.
pub(super) fn operating_id(part: Part, to: To) -> &'static str {
    match (part, to) {
        (Part::Return, To::Outdoors) => "figure-duct-operating-return-outdoors",
        (Part::Return, To::Anywhere) => "figure-duct-operating-return",
        (_, To::Outdoors) => "figure-duct-operating-supply-outdoors",
        (_, To::Anywhere) => "figure-duct-operating-supply",
    }
}

impl Leakage {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for part in [Part::Whole, Part::Supply, Part::Return] {
            for c in self.combined.iter().filter(|c| c.part == part) {
                worked.figure(q25_id(c.part, c.to), c.q25);
                if part != Part::Whole {
                    continue;
                }
                let of = |list: &[(To, crate::measure::Estimate)]| {
                    list.iter().find(|(to, _)| *to == c.to).map(|(_, e)| *e)
                };
                if let Some(e) = of(&self.per_floor) {
                    let id = match c.to {
                        To::Anywhere => "figure-duct-per-floor",
                        To::Outdoors => "figure-duct-per-floor-outdoors",
                    };
                    worked.figure(id, e);
                }
                if let Some(e) = of(&self.of_handler) {
                    let id = match c.to {
                        To::Anywhere => "figure-duct-of-handler",
                        To::Outdoors => "figure-duct-of-handler-outdoors",
                    };
                    worked.figure(id, e);
                }
            }
        }
        for (part, to, e) in &self.operating {
            worked.figure(operating_id(*part, *to), *e);
        }
        for run in &self.runs {
            if self.runs.iter().filter(|r| r.part == run.part && r.to == run.to).count() > 1 {
                worked.figure_of("figure-duct-25-run", &run.name, run.q25);
            }
        }
        for run in self.runs.iter().filter(|r| r.exponent.bounds().is_some()) {
            worked.figure_of("figure-duct-exponent", &run.name, run.exponent);
        }
        if let Some(gap) = self.split_gap {
            worked.figure("figure-duct-split-gap", gap);
        }
        self.checks(&mut worked);
        self.notes(&mut worked);
        worked
    }

    fn checks(&self, worked: &mut Worked) {
        if let Some((limit, to)) = &self.limit {
            let value = self.per_floor.iter().find(|f| f.0 == *to).map(|f| f.1);
            let id = match to {
                To::Anywhere => "check-duct-limit",
                To::Outdoors => "check-duct-limit-outdoors",
            };
            worked.checks.push(limit.check(id, value));
        }
    }

    fn notes(&self, worked: &mut Worked) {
        let pa = |pa: f64| (pa, Quantity::Pressure);
        let notes = &mut worked.notes;
        for run in &self.runs {
            let reached = run.span_pa.1;
            if reached < 0.95 * REFERENCE_PA {
                let note = Note::caution("note-duct-not-reached").arg("run", run.name.as_str());
                notes.push(note.arg("pressure", pa(reached)));
            }
            if run.house_not_open {
                notes.push(Note::caution("note-duct-house-closed").arg("run", run.name.as_str()));
            }
            let total_known = self.runs.iter().any(|r| r.to == To::Anywhere && r.part == run.part);
            if let Some(null_pa) = run.null_pa.filter(|n| *n > 0.0 && !total_known) {
                let note = Note::caution("note-duct-null").arg("run", run.name.as_str());
                notes.push(note.arg("pressure", pa(null_pa)));
            }
        }
        if self.combined.iter().any(|c| c.directions_disagree) {
            notes.push(Note::caution("note-duct-directions"));
        }
        if let Some((lo, hi)) = self.split_gap.and_then(|g| g.bounds())
            && (lo > 0.0 || hi < 0.0)
        {
            notes.push(Note::caution("note-duct-split"));
        }
        let tap = Note::new("note-duct-tap").arg("place", self.tap.word());
        let tap = tap.arg("share", ((100.0 * self.tap_frac).ceil() / 100.0, Quantity::Fraction));
        notes.push(tap.arg("read", if self.tap_read { "yes" } else { "no" }));
        if self.runs.iter().any(|r| r.exponent.bounds().is_none()) {
            let n = self.runs.iter().find(|r| r.exponent.bounds().is_none()).map_or(0.0, |r| r.exponent.si);
            notes.push(Note::new("note-duct-exponent").arg("n", n));
        }
        let sides = self.combined.iter().any(|c| c.part != Part::Whole);
        if self.combined.iter().any(|c| c.summed) {
            notes.push(Note::new("note-duct-summed"));
        } else if !sides && !self.combined.is_empty() {
            notes.push(Note::new("note-duct-no-split"));
        }
        if self.operating.iter().any(|o| o.1 == To::Anywhere) {
            notes.push(Note::new("note-duct-operating-total"));
        }
        if !self.operating.is_empty() {
            notes.push(Note::new("note-duct-half-plenum"));
        }
    }
}
